/* Books of every earlier schema open with all their rows; newer and foreign files are refused and stay as they are. */
#include <sqlite3.h>

#include "book/forecasts.h"
#include "book/learned.h"
#include "book/weather_kept.h"
#include "tests/book/shelf.h"

static void run_sql(const char *path, const char *sql)
{
    sqlite3 *db = NULL;
    char *said = NULL;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    if (sqlite3_exec(db, sql, NULL, NULL, &said))
        fail_msg("%s", said);
    sqlite3_close(db);
}

/* A book as that schema left it. */
static void make_old(const char *path, int schema)
{
    static char sql[16384];
    char name[64];
    snprintf(name, sizeof name, "tests/book/schema_%d.sql", schema);
    FILE *file = fopen(name, "r");
    assert_non_null(file);
    sql[fread(sql, 1, sizeof sql - 1, file)] = '\0';
    fclose(file);
    run_sql(path, sql);
}

static void check_rows(lw_book *book, int schema)
{
    lw_kept_docs rigs = {0};
    lw_kept_places places = {0};
    lw_kept_stays stays = {0};
    lw_entries entries = {0};
    char units[8];
    int is_there = 0;
    CHECK_OK(lw_book_get(book, "units", units, sizeof units, &is_there, &err));
    assert_string_equal(units, "si");
    CHECK_OK(lw_book_list_rigs(book, NULL, &rigs, &err));
    assert_int_equal(rigs.count, 1);
    assert_string_equal(rigs.doc[0].name, "the old bus");
    CHECK_OK(lw_book_list_places(book, &(lw_kept_key){.name = "dry lake"}, &places, &err));
    assert_int_equal(places.count, 1);
    CHECK_NEAR(places.place[0].elevation_m, 1410.0, 0.0, "elevation");
    CHECK_OK(lw_book_current_stay(book, 1780000500, &stays, &err));
    assert_int_equal(stays.count, 1);
    assert_int_equal(stays.stay[0].departure_s, 1780600000);
    if (schema < 3)
        assert_null(stays.stay[0].summary);
    else
        assert_string_equal(stays.stay[0].summary, "{}");
    CHECK_OK(lw_book_history(book, &(lw_history){.has_undone = 1, .is_oldest_first = 1}, &entries, &err));
    assert_true(entries.count >= 3);
    assert_string_equal(entries.entry[0].said, "fresh=2/3");
    CHECK_NEAR(entries.entry[0].high, 0.75, 0.0, "high");
    assert_null(entries.entry[0].detail);
    assert_true(entries.entry[1].is_undone);
    lw_entries_clear(&entries);
    lw_kept_stays_clear(&stays);
    lw_kept_places_clear(&places);
    lw_kept_docs_clear(&rigs);
}

/* What schema 1 did not have; `before` forecasts are in the book. */
static void use_news(lw_book *book, size_t before)
{
    const lw_kept_hour hour = {.hour_s = 1779998400,
                               .air_c = 20.0,
                               .wind_ms = (double)NAN,
                               .humidity_frac = 0.5,
                               .ghi_wm2 = 0.0,
                               .precip_mm = 0.0,
                               .snow_mm = (double)NAN};
    lw_kept_hours hours = {0};
    lw_kept_forecast forecast = {.made_s = 1780000000,
                                 .stay = 1,
                                 .program_version = "1",
                                 .table_hash = "x",
                                 .seed = UINT64_MAX,
                                 .draws = 100,
                                 .input = "leeway: 1",
                                 .result = "{}"};
    lw_kept_forecasts forecasts = {0};
    lw_kept_stays stays = {0};
    lw_entry signal = shelf_reading("a carrier/phone", 1780000900, -101.0);
    signal.kind = LW_ENTRY_SIGNAL;
    signal.detail = "{down_mbit: 4}";
    signal.stay = 1;
    lw_kept_learned learned = {.stay = 1, .key = UINT64_MAX, .moment_s = 1780000000, .bytes = malloc(4), .count = 4};
    assert_non_null(learned.bytes);
    memcpy(learned.bytes, "abcd", 4);
    CHECK_OK(lw_book_keep_learned(book, &learned, &err));
    lw_kept_learned_clear(&learned);
    CHECK_OK(lw_book_put_weather(book, 1, "measured", &hour, 1, &err));
    CHECK_OK(lw_book_weather(book, 1, 0, 1780000000, &hours, &err));
    assert_int_equal(hours.count, 1);
    assert_true(isnan(hours.hour[0].wind_ms));
    CHECK_OK(lw_book_keep_forecast(book, &forecast, &err));
    CHECK_OK(lw_book_keep_forecast(book, &forecast, &err)); /* once */
    CHECK_OK(lw_book_list_forecasts(book, 1, &forecasts, &err));
    assert_int_equal(forecasts.count, before + 1);
    for (size_t i = 0; i < forecasts.count; i++)
        assert_true(forecasts.forecast[i].seed == UINT64_MAX);
    CHECK_OK(lw_book_append(book, &signal, 1, &err));
    CHECK_OK(lw_book_list_stays(book, NULL, &stays, &err));
    stays.stay[0].summary = "{}";
    CHECK_OK(lw_book_put_stay(book, &stays.stay[0], &err));
    lw_kept_stays_clear(&stays);
    CHECK_OK(lw_book_list_stays(book, NULL, &stays, &err));
    assert_string_equal(stays.stay[0].summary, "{}");
    lw_kept_stays_clear(&stays);
    lw_kept_hours_clear(&hours);
    lw_kept_forecasts_clear(&forecasts);
}

static void an_old_book_keeps_its_rows(void **state)
{
    (void)state;
    for (int schema = 1; schema < LW_BOOK_SCHEMA; schema++) {
        const shelf s = shelf_open();
        lw_book *book = NULL;
        lw_book_info info = {0};
        make_old(s.path, schema);
        CHECK_REFUSED(lw_book_open(&book, s.path, LW_BOOK_READ_ONLY, &err), LW_E_IO, "must be brought up to date");
        CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_WRITE, &err));
        CHECK_OK(lw_book_info_of(book, &info, &err));
        assert_int_equal(info.schema, LW_BOOK_SCHEMA);
        check_rows(book, schema);
        use_news(book, (size_t)info.forecasts);
        CHECK_OK(lw_book_check(book, &err));
        lw_book_close(book);
        CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_READ_ONLY, &err));
        assert_int_equal(lw_book_mode_of(book), LW_BOOK_READ_ONLY);
        lw_book_close(book);
        shelf_close(&s);
    }
}

/* A migrated book and a new one have the same tables. */
static void schema_of(const char *path, char *text, size_t n)
{
    sqlite3 *db = NULL;
    sqlite3_stmt *stmt = NULL;
    size_t used = 0;
    assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(db, "SELECT name || ': ' || coalesce(sql, '') FROM sqlite_schema ORDER BY name",
                                        -1, &stmt, NULL),
                     SQLITE_OK);
    while (sqlite3_step(stmt) == SQLITE_ROW)
        for (const unsigned char *at = sqlite3_column_text(stmt, 0); *at && used + 1 < n; at++)
            if (*at != ' ' && *at != '\n')
                text[used++] = (char)*at;
    text[used] = '\0';
    sqlite3_finalize(stmt);
    sqlite3_close(db);
}

static void a_migrated_book_is_made_as_a_new_one(void **state)
{
    (void)state;
    static char migrated[16384], fresh[16384];
    lw_book *book = NULL;
    const shelf t = shelf_open();
    CHECK_OK(lw_book_open(&book, t.path, LW_BOOK_CREATE, &err));
    lw_book_close(book);
    schema_of(t.path, fresh, sizeof fresh);
    shelf_close(&t);
    for (int schema = 1; schema < LW_BOOK_SCHEMA; schema++) {
        const shelf s = shelf_open();
        make_old(s.path, schema);
        CHECK_OK(lw_book_open(&book, s.path, LW_BOOK_WRITE, &err));
        lw_book_close(book);
        schema_of(s.path, migrated, sizeof migrated);
        assert_string_equal(migrated, fresh);
        shelf_close(&s);
    }
}

static void newer_and_foreign_files_are_refused(void **state)
{
    (void)state;
    const shelf s = shelf_open();
    lw_book *book = NULL;
    FILE *file;
    run_sql(s.path, "PRAGMA application_id = 1280787033; PRAGMA user_version = 99; CREATE TABLE entry (id)");
    CHECK_REFUSED(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err), LW_E_CONFLICT, "newer Leeway");
    shelf_empty(&s);
    run_sql(s.path, "CREATE TABLE song (title)");
    CHECK_REFUSED(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err), LW_E_SYNTAX, "database of another program");
    run_sql(s.path, "PRAGMA user_version = 1");
    CHECK_REFUSED(lw_book_open(&book, s.path, LW_BOOK_WRITE, &err), LW_E_SYNTAX, "database of another program");
    shelf_empty(&s);
    file = fopen(s.path, "w");
    assert_non_null(file);
    for (int i = 0; i < 200; i++)
        fputs("This is a letter and no database. ", file);
    fclose(file);
    CHECK_REFUSED(lw_book_open(&book, s.path, LW_BOOK_CREATE, &err), LW_E_SYNTAX, "is no database");
    CHECK_REFUSED(lw_book_open(&book, s.folder, LW_BOOK_CREATE, &err), LW_E_SYNTAX, "is no plain file");
    shelf_empty(&s);
    CHECK_REFUSED(lw_book_open(&book, s.path, LW_BOOK_WRITE, &err), LW_E_MISSING, "there is no book here");
    assert_null(book);
    shelf_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_old_book_keeps_its_rows),
        cmocka_unit_test(a_migrated_book_is_made_as_a_new_one),
        cmocka_unit_test(newer_and_foreign_files_are_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
