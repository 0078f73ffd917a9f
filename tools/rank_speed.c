/* leeway-rank-speed: what ranking places costs.
 *
 *   leeway-rank-speed FILE [PLACES]    FILE must not be there; it is made, with 5,000 places where nothing is said
 *
 * Places lie at random over the western United States. Printed: the time of ranking them for a fortnight on two cores, beside a yardstick
 * (a fixed loop of exponentials), so that figures of two machines can be compared. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "book/household.h"
#include "service/household.h"
#include "service/rank.h"

enum { NOW_S = 1780000000 };

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static double cpu_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static double yardstick_s(void)
{
    const double from_s = cpu_s();
    volatile double x = 0.5;
    for (int i = 0; i < 10000000; i++)
        x = exp(-x) * 1.0625;
    return cpu_s() - from_s;
}

static void need(lw_code code, const lw_err *err)
{
    if (!code)
        return;
    fprintf(stderr, "leeway-rank-speed: %s: %s\n", err->where, err->text);
    exit(1);
}

/* A number of 0..1 by its place in a row of them. */
static double share(uint64_t *state)
{
    *state += 0x9E3779B97F4A7C15u; /* splitmix64 */
    uint64_t z = *state;
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return (double)((z ^ (z >> 31)) >> 11) * 0x1p-53;
}

static void add_places(lw_book *book, long count)
{
    lw_err err = {0};
    uint64_t state = 7;
    need(lw_book_begin(book, &err), &err);
    for (long i = 0; i < count; i++) {
        char name[32], doc[400];
        const double lat = 31.0 + 17.0 * share(&state), lon = -122.0 + 18.0 * share(&state),
                     height_m = 100.0 + 2600.0 * share(&state);
        snprintf(name, sizeof name, "Bench %ld", i);
        snprintf(doc, sizeof doc,
                 "place:\n  name: Bench %ld\n  latitude: %d.%04d\n  longitude: \"-%d.%04d\"\n  elevation: %d m\n  "
                 "manager: BLM %ld\n"
                 "  stay_rule: {days: 14 days, window: 28 days, radius: 25 mi}\n  about:\n    road: gravel\n    fee: 0 "
                 "USD\n    notes: level and quiet\n",
                 i, (int)lat, (int)(fmod(lat, 1.0) * 1e4), (int)-lon, (int)(fmod(-lon, 1.0) * 1e4), (int)height_m,
                 i % 40);
        lw_kept_place place = {.name = name,
                               .latitude_deg = lat,
                               .longitude_deg = lon,
                               .elevation_m = height_m,
                               .zone = "America/Denver",
                               .doc = doc};
        need(lw_book_put_place(book, &place, &err), &err);
    }
    need(lw_book_end(book, LW_OK, &err), &err);
}

int main(int argc, char **argv)
{
    lw_book *book = NULL;
    lw_err err = {0};
    lw_begun begun;
    lw_rank rank = {0};
    const long places = argc > 2 ? atol(argv[2]) : 5000;
    if (argc < 2) {
        fprintf(stderr, "leeway-rank-speed FILE [PLACES]\n");
        return 2;
    }
    need(lw_book_open(&book, argv[1], LW_BOOK_CREATE, &err), &err);
    need(lw_household_begin(book, "examples/family-at-work.yaml", NOW_S + 1000000, &begun, &err), &err);
    add_places(book, places);
    const double yard_s = yardstick_s(), cpu_from_s = cpu_s();
    const double from_s = now_s();
    lw_rank_ask ask = {.wish = lw_pick_wish_none(),
                       .from = "2026-06-20 15:00",
                       .until = "2026-07-04 11:00",
                       .now_s = NOW_S + 1000000,
                       .threads = 2,
                       .seed = 1};
    ask.wish.has_from = 1;
    ask.wish.from = (lw_spot){38.2, -111.1};
    need(lw_rank_make(book, &ask, &rank, &err), &err);
    printf("rank of %d places x 14 days, %d drawn %d times, two threads: %.2f s, of computing time %.2f s = %.0f "
           "yardsticks\n",
           rank.count, rank.drawn, rank.draws, now_s() - from_s, cpu_s() - cpu_from_s, (cpu_s() - cpu_from_s) / yard_s);
    lw_rank_clear(&rank);
    lw_book_close(book);
    return 0;
}
