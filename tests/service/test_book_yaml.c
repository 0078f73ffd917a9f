/* The book as YAML and back loses nothing: books of random rows, whose texts hold all that YAML has a meaning for. */
#include "service/book_yaml.h"

#include "book/forecasts.h"
#include "book/rows.h"
#include "book/weather_kept.h"
#include "tests/book/shelf.h"

enum { BOOKS = 4, LONGEST = 64 << 20 };

static uint64_t chance_state;

static uint32_t chance(uint32_t below) /* a linear congruence with the constants of Knuth's MMIX */
{
    chance_state = chance_state * 6364136223846793005u + 1442695040888963407u;
    return (uint32_t)(chance_state >> 33) % below;
}

static const char *const PIECE[] = {
    "a",
    "b ",
    " ",
    "  ",
    ": ",
    "- ",
    "#",
    " #",
    "\"",
    "'",
    "\\",
    "\n",
    "\n\n",
    "---\n",
    "...\n",
    "\t",
    "{",
    "}",
    "[",
    "]",
    ",",
    "&x",
    "*x",
    "!t",
    "|",
    ">",
    "%",
    "@",
    "`",
    "null",
    "~",
    "true",
    "0x1F",
    "1e3",
    "\xC3\xA9",
    "\xE2\x82\xAC",
    "\xF0\x9F\x9A\xBF",
    "\xC2\x85",
    "\xE2\x80\xA8",
    "\xEF\xBB\xBF",
    "?",
    "<<",
    "=",
    "water",
    "2026-06-14",
};

static char kept[64][LW_BOOK_DOC_BYTES];
static int kept_used;

static const char *words(size_t most)
{
    char *text = kept[kept_used++ % 64];
    size_t used = 0;
    const uint32_t pieces = 1 + chance(most > 4096 ? 6000 : 12);
    for (uint32_t i = 0; i < pieces; i++) {
        const char *piece = PIECE[chance(COUNT_OF(PIECE))];
        if (used + strlen(piece) > most)
            break;
        used += (size_t)sprintf(text + used, "%s", piece);
    }
    return text;
}

static const char *some_words(size_t most)
{
    return chance(3) ? words(most) : NULL;
}

static double number(void)
{
    double value = (double)chance(1000000007) / (1.0 + chance(1000003));
    for (uint32_t i = chance(20); i > 0; i--)
        value *= chance(2) ? 1e-9 : 3.7;
    return chance(2) ? value : -value;
}

static void fill(lw_book *book)
{
    char name[LW_BOOK_WORD_BYTES + 1];
    int64_t stay[4];
    for (int i = 0; i < 4; i++) {
        snprintf(name, sizeof name, "%d%s", i, words(100));
        lw_kept_doc rig = {.name = name, .doc = words(LW_BOOK_DOC_BYTES - 1)}, crew = {.name = name, .doc = words(50)};
        lw_kept_place place = {.name = name,
                               .latitude_deg = number() / 1e300,
                               .longitude_deg = chance(180) / 7.0,
                               .elevation_m = chance(2) ? (double)NAN : chance(4000) / 3.0,
                               .zone = some_words(50),
                               .manager = some_words(50),
                               .doc = words(9000)};
        CHECK_OK(lw_book_put_rig(book, &rig, &err));
        CHECK_OK(lw_book_put_crew(book, &crew, &err));
        CHECK_OK(lw_book_put_place(book, &place, &err));
        lw_kept_stay of = {.place = place.id,
                           .rig = rig.id,
                           .crew = crew.id,
                           .arrival_s = 1000000 + i,
                           .departure_s = chance(2) ? LW_NO_TIME : 2000000,
                           .left_s = chance(2) ? LW_NO_TIME : 1500000,
                           .doc = words(300),
                           .summary = some_words(LW_BOOK_DOC_BYTES - 1)};
        CHECK_OK(lw_book_put_stay(book, &of, &err));
        stay[i] = of.id;
        CHECK_OK(lw_book_set(book, name, words(1000), &err));
        lw_kept_hour hour = {
            3600 * (int64_t)chance(400000), chance(40) / 3.0, (double)NAN, 0.1, (double)NAN, 0.0, 1.0 / 3.0};
        CHECK_OK(lw_book_put_weather(book, place.id, words(60), &hour, 1, &err));
        lw_kept_forecast forecast = {.made_s = 1000000,
                                     .stay = chance(2) ? stay[i] : 0,
                                     .program_version = "1",
                                     .table_hash = words(100),
                                     .seed = UINT64_MAX - chance(9),
                                     .draws = 5,
                                     .input = words(LW_BOOK_DOC_BYTES - 1),
                                     .result = words(LW_BOOK_DOC_BYTES - 1)};
        CHECK_OK(lw_book_keep_forecast(book, &forecast, &err));
    }
    for (int i = 0; i < 60; i++) {
        const double low = number();
        lw_entry e = {.kind = (lw_entry_kind)chance(LW_ENTRY_UNDO),
                      .device = words(40),
                      .stay = chance(2) ? stay[chance(4)] : 0,
                      .stated_s = chance(2000000000),
                      .device_s = chance(2000000000),
                      .server_s = chance(2000000000),
                      .target = some_words(60),
                      .low = low,
                      .high = low + fabs(number()),
                      .amount = chance(2) ? number() : (double)NAN,
                      .unit = some_words(9),
                      .said = some_words(4000),
                      .note = some_words(4000),
                      .detail = some_words(4000),
                      .is_clock_doubted = (int)chance(2)};
        CHECK_OK(lw_book_append(book, &e, 1, &err));
        if (chance(5) == 0)
            CHECK_OK(lw_book_undo(book, NULL, NULL, 1000000, NULL, &err));
    }
}

/* ---- compared cell by cell, without YAML in between ---- */

typedef struct cells {
    char *bytes;
    size_t used;
} cells;

static lw_code note_row(void *context, const char *table, const lw_cell *cell, size_t count, lw_err *err)
{
    cells *to = context;
    (void)err;
    to->used += (size_t)sprintf(to->bytes + to->used, "%s\n", table);
    for (size_t i = 0; i < count; i++) {
        to->used += (size_t)sprintf(to->bytes + to->used, "%s %d %lld %a ", cell[i].column, (int)cell[i].kind,
                                    cell[i].kind == LW_CELL_WHOLE ? (long long)cell[i].whole : 0,
                                    cell[i].kind == LW_CELL_REAL ? cell[i].real : 0.0);
        if (cell[i].n)
            memcpy(to->bytes + to->used, cell[i].text, cell[i].n);
        to->used += cell[i].n;
    }
    return LW_OK;
}

static cells cells_of(lw_book *book)
{
    cells made = {.bytes = malloc(LONGEST)};
    assert_non_null(made.bytes);
    CHECK_OK(lw_book_each_row(book, note_row, &made, &err));
    return made;
}

static void export_to(lw_book *book, const char *path)
{
    lw_sink sink;
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    lw_sink_init(&sink, lw_write_file, file);
    CHECK_OK(lw_book_export(book, "test", &sink, &err));
    CHECK_OK(lw_sink_flush(&sink, &err));
    assert_int_equal(fclose(file), 0);
}

static lw_code import_from(lw_book *book, const char *path, lw_imported *imported, lw_err *err)
{
    FILE *file = fopen(path, "r");
    assert_non_null(file);
    const lw_code code = lw_book_import(book, "book.yaml", file, imported, err);
    fclose(file);
    return code;
}

static void a_book_comes_back_from_yaml_cell_for_cell(void **state)
{
    (void)state;
    for (uint32_t seed = 1; seed <= BOOKS; seed++) {
        const shelf s = shelf_open(), t = shelf_open();
        lw_book *book = NULL, *other = NULL;
        lw_imported first = {0}, again = {0}, same = {0};
        char yaml[160];
        snprintf(yaml, sizeof yaml, "%s/book.yaml", s.folder);
        chance_state = seed;
        CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
        fill(book);
        export_to(book, yaml);
        CHECK_OK(lw_book_open(&other, t.path, LW_BOOK_CREATE, &err));
        CHECK_OK(import_from(other, yaml, &first, &err));
        CHECK_OK(import_from(other, yaml, &again, &err));
        CHECK_OK(import_from(book, yaml, &same, &err));
        assert_true(first.known == 0 && first.added > 60);
        assert_true(again.added == 0 && again.known == first.added && same.added == 0);
        CHECK_OK(lw_book_check(other, &err));
        cells a = cells_of(book), b = cells_of(other);
        if (a.used != b.used || memcmp(a.bytes, b.bytes, a.used) != 0)
            fail_msg("seed %u: the rows differ", seed);
        free(a.bytes);
        free(b.bytes);
        lw_book_close(book);
        lw_book_close(other);
        shelf_close(&s);
        shelf_close(&t);
    }
}

static void a_bad_file_is_refused_whole(void **state)
{
    (void)state;
    static const struct {
        const char *text, *words;
        lw_code code;
    } BAD[] = {
        {"", "is empty", LW_E_SYNTAX},
        {"rig: van\n", "begins with leeway_book", LW_E_SYNTAX},
        {"leeway_book: 2\n", "form 1", LW_E_CONFLICT},
        {"leeway_book: 1\nschema: 99\n", "newer Leeway", LW_E_CONFLICT},
        {"- 1\n", "a map belongs here", LW_E_SYNTAX},
        {"leeway_book: 1\n---\nsong:\n- {id: 1}\n", "no table song", LW_E_SYNTAX},
        {"leeway_book: 1\n---\nrig:\n- {id: 1, colour: red}\n", "no column colour", LW_E_SYNTAX},
        {"leeway_book: 1\n---\nrig:\n- {id: one, name: a, doc: b}\n", "one is no whole number", LW_E_SYNTAX},
        {"leeway_book: 1\n---\nrig:\n- {id: 1, name: a, doc: b}\n- {id: 2, name: a, doc: b}\n", "does not go with",
         LW_E_CONFLICT},
        {"leeway_book: 1\n---\nrig:\n- {name: a, doc: b}\n", "without its id", LW_E_MISSING},
        {"leeway_book: 1\n---\nrig: 3\n", "a list of rows", LW_E_SYNTAX},
        {"leeway_book: 1\n---\nrig:\n- {id: 1, name: [a, [b]], doc: b}\n", "a piece of text", LW_E_SYNTAX},
        {"leeway_book: 1\n---\nplace:\n- {id: 1, name: a, latitude_deg: 200, longitude_deg: 0, doc: ''}\n",
         "does not go with", LW_E_CONFLICT},
        {"leeway_book: 1\n---\nplace:\n- {id: 1, name: a, latitude_deg: nan, longitude_deg: 0, doc: ''}\n", "no number",
         LW_E_SYNTAX},
    };
    const shelf s = shelf_open();
    lw_book *book = NULL;
    lw_book_info info = {0};
    char yaml[160];
    snprintf(yaml, sizeof yaml, "%s/book.yaml", s.folder);
    CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err));
    for (size_t i = 0; i < COUNT_OF(BAD); i++) {
        lw_imported imported = {0};
        FILE *file = fopen(yaml, "w");
        assert_non_null(file);
        fputs(BAD[i].text, file);
        fclose(file);
        CHECK_REFUSED(import_from(book, yaml, &imported, &err), BAD[i].code, BAD[i].words);
    }
    CHECK_OK(lw_book_info_of(book, &info, &err));
    assert_true(info.rigs == 0 && info.places == 0);
    lw_book_close(book);
    shelf_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_book_comes_back_from_yaml_cell_for_cell),
        cmocka_unit_test(a_bad_file_is_refused_whole),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
