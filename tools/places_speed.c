/* leeway-places-speed: what the nearest services of a point cost in a book, in time of computing (tools/import-speed).
 *
 *   leeway-places-speed FILE    1,000 questions of each sort; the book is only read. tools/import-speed puts its places within 36..42 N,
 *                               114..120 W, so questions come from inside, from around, where most of the circle is empty or
 *                               all of it, and from along the edge. */
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "book/spots.h"
#include "core/base/random.h"
#include "core/land/spot_kind.h"

enum { ASKED = 1000 };

static const struct {
    const char *said;
    double south_deg, west_deg, up_deg, across_deg;
} FROM[] = {{"inside", 36.0, -120.0, 6.0, 6.0},
            {"in and around", 30.0, -126.0, 18.0, 18.0},
            {"along the edge", 35.3, -120.0, 0.7, 6.0},
            {"in one town", 39.0, -117.0, 0.02, 0.02}};

static const struct {
    const char *said;
    unsigned kinds;
} WANTED[] = {{"any kind", 0},
              {"dump stations", 1u << LW_SPOT_DUMP},
              {"two kinds", 1u << LW_SPOT_WATER | 1u << LW_SPOT_LAUNDRY},
              {"showers: none", 1u << LW_SPOT_SHOWER}};

static double now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t); /* what others do on the machine costs nothing here */
    return (double)t.tv_sec * 1e3 + (double)t.tv_nsec * 1e-6;
}

static int compare(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static lw_code ask(lw_book *book, size_t from, size_t wanted, lw_err *err)
{
    double took_ms[ASKED];
    for (uint32_t i = 0; i < ASKED; i++) {
        const lw_random_words w = lw_random_block(&(lw_random_key){3, i}, 1, 1);
        const lw_spots_near near = {FROM[from].south_deg + FROM[from].up_deg * lw_random_unit(w.word[0]),
                                    FROM[from].west_deg + FROM[from].across_deg * lw_random_unit(w.word[1]), 80467.2,
                                    WANTED[wanted].kinds, 10};
        lw_kept_spots found = {0};
        const double from_ms = now_ms();
        const lw_code code = lw_book_spots_near(book, &near, &found, err);
        took_ms[i] = now_ms() - from_ms;
        lw_kept_spots_clear(&found);
        if (code)
            return code;
    }
    qsort(took_ms, ASKED, sizeof took_ms[0], compare);
    printf("  ten nearest, %-14s from %-15s %7.3f ms median %7.3f ms of 1 in 100 %8.3f ms worst of %d\n",
           WANTED[wanted].said, FROM[from].said, took_ms[ASKED / 2], took_ms[ASKED - ASKED / 100], took_ms[ASKED - 1],
           (int)ASKED);
    return LW_OK;
}

int main(int argc, char **argv)
{
    lw_err err = {0};
    lw_book *book = NULL;
    if (argc != 2) {
        fputs("leeway-places-speed: FILE: a book with places\n", stderr);
        return 2;
    }
    lw_code code = lw_book_open(&book, argv[1], LW_BOOK_READ_ONLY, &err);
    for (size_t from = 0; from < sizeof FROM / sizeof FROM[0]; from++)
        for (size_t wanted = 0; wanted < sizeof WANTED / sizeof WANTED[0] && !code; wanted++)
            code = ask(book, from, wanted, &err);
    lw_book_close(book);
    if (code)
        fprintf(stderr, "leeway-places-speed: %s: %s\n", err.where, err.text);
    return code != 0;
}
