/* leeway-trip-bench: invented trips by class (tests/core/trip_cases.h): seconds, gap, how often rules bind; and how time grows with
 * days and places. No pass or fail.
 *   leeway-trip-bench [SECONDS a trip] [TRIPS a class] [easy|medium|tight|growth] */
#include <stdio.h>
#include <time.h>

#include "tests/core/trip_cases.h"

enum { CASES_MOST = 64, DAYS = 60, PLACES = 300 };
static const size_t MEMORY = (size_t)160 << 20;

typedef struct watch {
    double until_s;
} watch;

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static int go_on(void *with, const lw_trip_out *so_far)
{
    (void)so_far;
    return now_s() < ((const watch *)with)->until_s;
}

typedef struct figures {
    double s, gap_frac;
    int is_found, is_proven, width, rounds;
} figures;

static figures plan(const lw_trip_in *in, double seconds, double enough_frac, lw_trip_out *out)
{
    lw_arena arena = {.base = malloc(MEMORY), .cap = MEMORY};
    lw_fault fault;
    const double began_s = now_s();
    watch w = {began_s + seconds};
    const lw_trip_how how = {.go_on = go_on, .with = &w, .enough_frac = enough_frac};
    if (!arena.base || lw_trip_check(in, &fault) || lw_trip_plan(in, &how, &arena, out, &fault)) {
        fprintf(stderr, "%s %g\n", fault.field, fault.value);
        exit(1);
    }
    free(arena.base);
    return (figures){now_s() - began_s, out->gap_frac, out->is_found, out->is_proven, out->width, out->rounds};
}

/* Does the best trip without what couples the days break it? */
static int is_bound(const trip_case *c)
{
    trip_case loose = *c;
    static lw_trip_place place[LW_TRIP_PLACES];
    lw_trip_out out;
    lw_trip_sum sum;
    lw_fault fault;
    memcpy(place, c->place, (size_t)c->in.place_count * sizeof *place);
    for (int p = 0; p < c->in.place_count; p++)
        place[p].rule = -1;
    loose.in.place = place;
    loose.in.week_min = 10080;
    loose.in.budget_c = -1;
    (void)plan(&loose.in, 2.0, 0.002, &out);
    return !out.is_found || lw_trip_walk(&c->in, &out.chain, &sum, &fault) != LW_OK;
}

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void run_class(trip_class class, double seconds, int cases)
{
    static const char *const NAME[] = {"easy", "medium", "tight"};
    double gap[CASES_MOST], to_2[CASES_MOST];
    int bound = 0, found = 0, proven = 0;
    for (int i = 0; i < cases; i++) {
        trip_case c;
        lw_trip_out out;
        trip_case_make(&c, (uint32_t)i + 1, class, DAYS, PLACES);
        bound += is_bound(&c);
        const figures early = plan(&c.in, seconds, 0.02, &out);
        const figures f = plan(&c.in, seconds, 0.0, &out);
        to_2[i] = early.s;
        gap[i] = f.is_found ? f.gap_frac : f.is_proven ? 0.0 : INFINITY;
        found += f.is_found, proven += f.is_proven;
        printf("  %s %2d: %s gap %.2f %% in %.2f s (2 %% or end after %.2f s), value %.0f bound %.0f, width %d, %d "
               "rounds, %lld labels\n",
               NAME[class], i + 1, f.is_proven ? "proven," : "", 100.0 * f.gap_frac, f.s, early.s,
               (double)out.value_c / 100.0, (double)out.bound_c / 100.0, f.width, f.rounds, (long long)out.labels);
        trip_case_clear(&c);
    }
    qsort(gap, (size_t)cases, sizeof *gap, by_size);
    qsort(to_2, (size_t)cases, sizeof *to_2, by_size);
    printf("%s: %d trips of %d days and %d places, %d found, %d proven; rules bind in %d; gap after %.1f s: median "
           "%.2f %%, worst %.2f %%; "
           "CPU to 2 %%: median %.2f s, worst %.2f s\n",
           NAME[class], cases, DAYS, PLACES, found, proven, bound, seconds, 100.0 * gap[cases / 2],
           100.0 * gap[cases - 1], to_2[cases / 2], to_2[cases - 1]);
}

static void run_growth(void)
{
    static const int SIZE[][2] = {{15, 300}, {30, 300}, {60, 300}, {120, 300},
                                  {60, 75},  {60, 150}, {60, 300}, {60, 500}};
    printf("growth, medium, CPU to a gap of 2 %% (20 s at most), median of 3:\n");
    for (size_t i = 0; i < sizeof SIZE / sizeof SIZE[0]; i++) {
        double s[3], gap[3];
        for (int k = 0; k < 3; k++) {
            trip_case c;
            lw_trip_out out;
            trip_case_make(&c, (uint32_t)k + 1, TRIP_MEDIUM, SIZE[i][0], SIZE[i][1]);
            const figures f = plan(&c.in, 20.0, 0.02, &out);
            s[k] = f.s, gap[k] = f.gap_frac;
            trip_case_clear(&c);
        }
        qsort(s, 3, sizeof *s, by_size);
        qsort(gap, 3, sizeof *gap, by_size);
        printf("  %3d days %3d places: %6.2f s, gap %.2f %%\n", SIZE[i][0], SIZE[i][1], s[1], 100.0 * gap[1]);
    }
}

int main(int argc, char **argv)
{
    static const char *const NAME[] = {"easy", "medium", "tight"};
    const double seconds = argc > 1 ? atof(argv[1]) : 5.0;
    const int cases = argc > 2 ? atoi(argv[2]) : 12;
    setvbuf(stdout, NULL, _IOLBF, 0);
    for (int class = 0; class < TRIP_CLASSES; class ++)
        if (argc < 4 || strcmp(argv[3], NAME[class]) == 0)
            run_class((trip_class) class, seconds, cases < CASES_MOST ? cases : CASES_MOST);
    if (argc > 3 && strcmp(argv[3], "growth") == 0)
        run_growth();
    return 0;
}
