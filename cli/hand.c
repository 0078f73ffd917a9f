/* leeway places give, take: places for friends, as a file or as a square for a camera. */
#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli/beside.h"
#include "cli/command.h"
#include "cli/help.h"
#include "cli/kept.h"
#include "cli/options.h"
#include "cli/out.h"
#include "exchange/yaml_tree.h"
#include "service/hand.h"
#include "text/quantity.h"
#include "text/say.h"

enum { HELP, BOOK, NOW, AS, GEOJSON, QR, SQUARE_BYTES = 1200 };

#define SHARED [HELP] = {"help", 'h', NULL, 0, "this text"}, [BOOK] = LW_KEPT_BOOK_OPTION, [NOW] = LW_KEPT_NOW_OPTION

static const lw_option GIVE_OPTIONS[] = {
    SHARED,
    [AS] = {"as", 0, "NAME", 0, "who hands them over; stands in the file"},
    [GEOJSON] = {"geojson", 0, NULL, 0, "as GeoJSON, for any map program"},
    [QR] = {"qr", 0, NULL, 0, "as a square that a phone's camera reads, on the terminal"},
};
static const lw_option TAKE_OPTIONS[] = {SHARED};

static const lw_example GIVE_EXAMPLES[] = {
    {"leeway places give \"Larkspur Flat\" \"Cottonwood Wash\" --as Ottilie >places.yaml", "as a file"},
    {"leeway places give \"Larkspur Flat\" --qr", "for a camera"},
};
static const lw_example TAKE_EXAMPLES[] = {{"leeway places take places.yaml", "into the book"},
                                           {"leeway places take -", "pasted, ended with Ctrl-D"}};

typedef struct order {
    lw_kept_order kept;
    const char *as;
    int wants_geojson, wants_qr;
} order;

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    if (option == NOW)
        return lw_kept_now(value, &o->kept, err);
    o->kept.book = option == BOOK ? value : o->kept.book;
    o->as = option == AS ? value : o->as;
    o->wants_geojson |= option == GEOJSON;
    o->wants_qr |= option == QR;
    return LW_OK;
}

/* This process becomes the program that knows how to draw it. */
static lw_code become_square(char *text, lw_err *err)
{
    char program[PATH_MAX], word[] = "--qr";
    if (strlen(text) > SQUARE_BYTES)
        return lw_fail(err, LW_E_FULL,
                       "%zu letters are too many for a square (%d fit); hand over a file, or a place with fewer words",
                       strlen(text), SQUARE_BYTES);
    lw_beside("leeway-serve", program, sizeof program);
    char *const argv[] = {program, word, text, NULL};
    (void)execvp(program, argv);
    return lw_fail(err, LW_E_IO, "the program leeway-serve, which draws squares, cannot be run (%s)", strerror(errno));
}

static int give(const lw_args *args, const order *o, lw_book *book)
{
    const char *names[LW_HAND_PLACES];
    lw_err err = {0};
    lw_sink sink;
    char *text = NULL;
    int count = 0;
    while (count < lw_args_operand_count(args) && count < LW_HAND_PLACES) {
        names[count] = lw_args_operand(args, count);
        count++;
    }
    lw_code code = o->wants_geojson ? lw_hand_geojson(book, names, count, &text, &err)
                                    : lw_hand_over(book, names, count, o->as, o->kept.now_s, &text, &err);
    lw_book_close(book);
    if (!code && o->wants_qr)
        code = become_square(text, &err);
    int exit_code = 0;
    if (!code) {
        lw_out_open(&sink);
        lw_sink_text(&sink, text);
        exit_code = lw_out_close(&sink);
    }
    free(text);
    return code ? lw_refuse(&err) : exit_code;
}

static void put_taken(const lw_handed *h, lw_sink *sink)
{
    lw_sink_print(sink, "%d of %d %s into the book%s%s.\n", h->taken, h->count, h->count == 1 ? "place" : "places",
                  h->from[0] ? ", from " : "", h->from);
    for (int i = 0; i < h->count; i++) {
        const lw_handed_place *p = &h->place[i];
        char way[LW_QUANTITY_BYTES];
        if (p->is_there)
            lw_sink_print(sink, "%s is there already and stays as it is.\n", p->name);
        for (int k = 0; k < p->put.same_count; k++)
            lw_sink_print(sink, "%s: %s%s%s%s is %s off, perhaps the same place; both stay.\n", p->name,
                          p->put.same[k].name, p->put.same[k].source[0] ? " (of " : "", p->put.same[k].source,
                          p->put.same[k].source[0] ? ")" : "",
                          lw_quantity_print(way, sizeof way, p->put.same[k].way_m, LW_DIM_LENGTH, LW_UNITS_US));
    }
    lw_sink_text(sink, "Look before you trust it: rules and roads change.\n");
}

static lw_code read_whole(const char *path, char **bytes, size_t *size, lw_err *err)
{
    const int is_input = strcmp(path, "-") == 0;
    FILE *from = is_input ? stdin : fopen(path, "rb");
    if (!from) {
        (void)lw_fail(err, LW_E_MISSING, "cannot be opened: %s", strerror(errno));
        return lw_err_at(err, path, 0, NULL);
    }
    *bytes = malloc(LW_YAML_BYTES + 1);
    *size = *bytes ? fread(*bytes, 1, LW_YAML_BYTES + 1, from) : 0;
    const int is_bad = ferror(from) != 0;
    if (!is_input)
        (void)fclose(from);
    if (!*bytes)
        return lw_fail(err, LW_E_FULL, "no memory for a file of places");
    if (is_bad)
        (void)lw_fail(err, LW_E_IO, "cannot be read");
    else if (*size > LW_YAML_BYTES)
        (void)lw_fail(err, LW_E_FULL, "is longer than 1 MB, and no file of places");
    return err->code ? lw_err_at(err, path, 0, NULL) : LW_OK;
}

static int take(const char *path, const order *o, lw_book *book)
{
    lw_err err = {0};
    lw_sink sink;
    lw_handed *handed = calloc(1, sizeof *handed);
    char *bytes = NULL;
    size_t size = 0;
    lw_code code = handed ? LW_OK : lw_fail(&err, LW_E_FULL, "no memory to take places in");
    code = code ? code : read_whole(path, &bytes, &size, &err);
    if (!code && handed)
        code = lw_hand_take(book, path, bytes, size, o->kept.now_s, handed, &err);
    lw_book_close(book);
    free(bytes);
    lw_out_open(&sink);
    if (!code && handed)
        put_taken(handed, &sink);
    free(handed);
    const int exit_code = lw_out_close(&sink);
    return code ? lw_refuse(&err) : exit_code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    lw_book *book = NULL;
    order o = {.as = NULL};
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    const int is_take = self == &lw_command_places_take;
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken != LW_ARGS_BAD && lw_args_operand_count(&args) == 0)
        (void)lw_fail(&err, LW_E_MISSING,
                      is_take ? "name the FILE, or - for what is pasted" : "name the places to hand over");
    else if (taken != LW_ARGS_BAD && is_take && lw_args_operand_count(&args) > 1)
        (void)lw_fail(&err, LW_E_SYNTAX, "take reads one FILE");
    else if (taken != LW_ARGS_BAD && o.wants_geojson && o.wants_qr)
        (void)lw_fail(&err, LW_E_CONFLICT, "--geojson and --qr are two forms; choose one");
    if (err.code || lw_kept_open_order(&o.kept, &err) ||
        lw_kept_open(&o.kept, is_take ? LW_BOOK_CREATE : LW_BOOK_WRITE, &book, &err))
        return lw_refuse(&err);
    return is_take ? take(lw_args_operand(&args, 0), &o, book) : give(&args, &o, book);
}

const lw_command lw_command_places_give = {
    .name = "places give",
    .operands = "PLACE...",
    .what = "Hand places to friends: one small file, GeoJSON, or a square for a camera",
    .about = "The file is YAML: leeway_places: 1, from, and the places with the keys of docs/use/scenario.md. What "
             "names files of this "
             "machine, permits and your deadline are left out; notes go along. leeway places take reads it. No network "
             "is needed.",
    .option = GIVE_OPTIONS,
    .option_count = sizeof GIVE_OPTIONS / sizeof GIVE_OPTIONS[0],
    .example = GIVE_EXAMPLES,
    .example_count = sizeof GIVE_EXAMPLES / sizeof GIVE_EXAMPLES[0],
    .run = run,
};

const lw_command lw_command_places_take = {
    .name = "places take",
    .operands = "FILE",
    .what = "Take places in that friends handed over",
    .about = "A file of leeway places give, or - for standard input. All or nothing. A place whose name the book has "
             "stays as it is; "
             "what may be the same place is told. Map files of other programs go in with leeway import.",
    .option = TAKE_OPTIONS,
    .option_count = sizeof TAKE_OPTIONS / sizeof TAKE_OPTIONS[0],
    .example = TAKE_EXAMPLES,
    .example_count = sizeof TAKE_EXAMPLES / sizeof TAKE_EXAMPLES[0],
    .run = run,
};
