/* leeway-book-speed: how long the questions of every day take in a book of many entries.
 *
 *   leeway-book-speed FILE [ENTRIES]    FILE must not be there; it is made, with 1,000,000 entries where none are said
 *
 * 200 stays one after another, nine targets, an entry in ten a filling. The median of 21 runs of each question is printed. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

#include "book/entries.h"
#include "book/household.h"

enum { STAYS = 200, STEP_S = 60, AT_ONCE = 10000, RUNS = 21, FIRST_S = 1700000000 };

static const char *const TARGET[] = {"fresh",   "drinking", "grey/kitchen grey", "black", "battery",
                                     "propane", "fuel",     "rubbish",           "data"};

typedef struct question {
    const char *name;
    int64_t stay;
    int is_history;
    lw_history which;
} question;

static void need(lw_code code, const lw_err *err)
{
    if (!code)
        return;
    fprintf(stderr, "leeway-book-speed: %s: %s\n", err->where, err->text);
    exit(1);
}

/* Stays get the ids 1, 2, ... of a new book. */
static void add_stays(lw_book *book, long entries)
{
    lw_err err = {0};
    lw_kept_doc rig = {.name = "van", .doc = "rig: van\n"}, crew = {.name = "us", .doc = "crew: 2 adults\n"};
    lw_kept_place place = {
        .name = "dry lake", .latitude_deg = 38.5, .longitude_deg = -110.25, .elevation_m = (double)NAN};
    need(lw_book_begin(book, &err), &err);
    need(lw_book_put_rig(book, &rig, &err), &err);
    need(lw_book_put_crew(book, &crew, &err), &err);
    need(lw_book_put_place(book, &place, &err), &err);
    for (int64_t i = 0; i < STAYS; i++) {
        lw_kept_stay stay = {.place = place.id, .rig = rig.id, .crew = crew.id, .departure_s = LW_NO_TIME, .doc = ""};
        stay.arrival_s = FIRST_S + i * entries / STAYS * STEP_S;
        stay.left_s = i + 1 < STAYS ? FIRST_S + (i + 1) * entries / STAYS * STEP_S : LW_NO_TIME;
        need(lw_book_put_stay(book, &stay, &err), &err);
    }
    need(lw_book_end(book, LW_OK, &err), &err);
}

static void add_entries(lw_book *book, long entries)
{
    lw_err err = {0};
    need(lw_book_begin(book, &err), &err);
    for (long i = 0; i < entries; i++) {
        const int64_t time_s = FIRST_S + i * (int64_t)STEP_S;
        lw_entry e = {.kind = i % 10 ? LW_ENTRY_READING : LW_ENTRY_FILLED,
                      .device = "phone",
                      .target = TARGET[i % (long)(sizeof TARGET / sizeof TARGET[0])],
                      .stay = 1 + i * STAYS / entries,
                      .stated_s = time_s,
                      .device_s = time_s,
                      .server_s = time_s,
                      .low = 0.5,
                      .high = 0.6,
                      .amount = (double)NAN,
                      .unit = "frac",
                      .said = "2/3"};
        need(lw_book_append(book, &e, 1, &err), &err);
        if (i % AT_ONCE == AT_ONCE - 1) {
            need(lw_book_end(book, LW_OK, &err), &err);
            need(lw_book_begin(book, &err), &err);
        }
    }
    need(lw_book_end(book, LW_OK, &err), &err);
}

static double now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec * 1e-6;
}

static int compare(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void ask(lw_book *book, const question *q)
{
    double took_ms[RUNS];
    size_t rows = 0;
    for (int i = 0; i < RUNS; i++) {
        lw_err err = {0};
        lw_entries found = {0};
        const double from_ms = now_ms();
        need(q->is_history ? lw_book_history(book, &q->which, &found, &err)
                           : lw_book_newest(book, LW_ENTRY_READING, q->stay, &found, &err),
             &err);
        took_ms[i] = now_ms() - from_ms;
        rows = found.count;
        lw_entries_clear(&found);
    }
    qsort(took_ms, RUNS, sizeof took_ms[0], compare);
    printf("  %-44s %8.3f ms median %8.3f ms worst %6zu rows\n", q->name, took_ms[RUNS / 2], took_ms[RUNS - 1], rows);
}

int main(int argc, char **argv)
{
    const long entries = argc > 2 ? strtol(argv[2], NULL, 10) : 1000000;
    lw_err err = {0};
    lw_book *book = NULL;
    if (argc < 2 || entries < STAYS || access(argv[1], F_OK) == 0) {
        fprintf(stderr, "leeway-book-speed: FILE [ENTRIES]: a file that is not there yet, %d entries or more\n", STAYS);
        return 2;
    }
    need(lw_book_open(&book, argv[1], LW_BOOK_CREATE, &err), &err);
    const double from_ms = now_ms();
    add_stays(book, entries);
    add_entries(book, entries);
    printf("%ld entries made in %.1f s\n", entries, (now_ms() - from_ms) * 1e-3);
    const question questions[] = {
        {.name = "newest reading of each target"},
        {.name = "newest of each target of the last stay", .stay = STAYS},
        {.name = "all entries of the last stay", .is_history = 1, .which = {.stay = STAYS}},
        {.name = "last 20 entries", .is_history = 1, .which = {.limit = 20}},
    };
    for (size_t i = 0; i < sizeof questions / sizeof questions[0]; i++)
        ask(book, &questions[i]);
    lw_book_close(book);
    return 0;
}
