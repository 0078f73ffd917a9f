/* leeway-places-speed: how long the nearest services of a point take in a book (tools/import-speed).
 *
 *   leeway-places-speed FILE    200 questions from 36..42 N, 114..120 W; the book is only read */
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "book/spots.h"
#include "core/base/random.h"
#include "core/land/spot_kind.h"

enum { ASKED = 200 };

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

static lw_code ask(lw_book *book, unsigned kinds, const char *said, lw_err *err)
{
    double took_ms[ASKED];
    for (uint32_t i = 0; i < ASKED; i++) {
        const lw_random_words w = lw_random_block(&(lw_random_key){3, i}, 1, 1);
        const lw_spots_near near = {36.0 + 6.0 * lw_random_unit(w.word[0]), -120.0 + 6.0 * lw_random_unit(w.word[1]),
                                    80467.2, kinds, 10};
        lw_kept_spots found = {0};
        const double from_ms = now_ms();
        const lw_code code = lw_book_spots_near(book, &near, &found, err);
        took_ms[i] = now_ms() - from_ms;
        lw_kept_spots_clear(&found);
        if (code)
            return code;
    }
    qsort(took_ms, ASKED, sizeof took_ms[0], compare);
    printf("  ten nearest %-24s %8.3f ms median %8.3f ms worst of %d\n", said, took_ms[ASKED / 2], took_ms[ASKED - 1],
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
    code = code ? code : ask(book, 0, "of any kind", &err);
    code = code ? code : ask(book, 1u << LW_SPOT_DUMP, "dump stations", &err);
    code = code ? code : ask(book, 1u << LW_SPOT_SHOWER, "showers, of which none is", &err);
    lw_book_close(book);
    if (code)
        fprintf(stderr, "leeway-places-speed: %s: %s\n", err.where, err.text);
    return code != 0;
}
