/* leeway-levers-speed: what forty levers over a fortnight cost, with the least set.
 *
 *   leeway-levers-speed        from the project's folder
 *
 * Of the levers that make sense for a household of examples/ forty, evenly over data/levers.csv: 256 courses each, 1,000 for sets, 10,000
 * fresh ones for the set that is told, on two threads. Printed: the time, the least of three rounds, beside a yardstick (a fixed loop of
 * exponentials), so that figures of two machines can be compared. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "exchange/tables.h"
#include "service/levers.h"
#include "service/plan_source.h"

enum { LEVERS = 40, ROUNDS = 3, THREADS = 2 };

typedef struct subject {
    const char *path, *until;
} subject;

static double seconds(clockid_t of)
{
    struct timespec t;
    clock_gettime(of, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static double yardstick_s(void)
{
    const double from_s = seconds(CLOCK_PROCESS_CPUTIME_ID);
    volatile double x = 0.5;
    for (int i = 0; i < 10000000; i++)
        x = exp(-x) * 1.0625;
    return seconds(CLOCK_PROCESS_CPUTIME_ID) - from_s;
}

static void need(lw_code code, const lw_err *err)
{
    if (!code)
        return;
    fprintf(stderr, "leeway-levers-speed: %s: %s\n", err->where, err->text);
    exit(1);
}

static void make(const subject *s, lw_levers_wish wish, lw_levers *to)
{
    lw_plan_source source = {.path = s->path, .until = s->until, .now_s = 1781000000, .seed = 1, .threads = THREADS};
    lw_err err = {0};
    lw_trials trials = lw_plan_source_trials(&source);
    need(lw_levers_make(&trials, &wish, to, &err), &err);
}

static int is_kept(int number, int count)
{
    return count <= LEVERS || number * LEVERS / count != (number - 1) * LEVERS / count || number == 0;
}

/* Those but forty, by the names of the table. */
static int others(const lw_levers *all, const lw_table *table, const char *without[LW_LEVERS])
{
    int count = 0;
    for (int i = 0; i < all->count; i++)
        if (!is_kept(all->lever[i].number, all->count))
            without[count++] = lw_table_cell(table, lw_table_row(table, "id", all->lever[i].id), "id");
    return count;
}

static void measure(const subject *s, const lw_table *table, double yard_s)
{
    lw_levers *all = malloc(sizeof *all), *to = malloc(sizeof *to);
    const char *without[LW_LEVERS];
    lw_levers_wish wish = {.confidence_frac = 0.8, .hour_usd = NAN, .nuisance_usd = NAN, .draws = 8, .wants_no_set = 1};
    double least_s = INFINITY, least_cpu_s = INFINITY;
    if (!all || !to)
        exit(1);
    make(s, wish, all);
    wish.without = without;
    wish.without_count = others(all, table, without);
    wish.draws = 0, wish.wants_no_set = 0;
    for (int round = 0; round < ROUNDS; round++) {
        const double from_s = seconds(CLOCK_MONOTONIC), cpu_from_s = seconds(CLOCK_PROCESS_CPUTIME_ID);
        make(s, wish, to);
        least_s = fmin(least_s, seconds(CLOCK_MONOTONIC) - from_s);
        least_cpu_s = fmin(least_cpu_s, seconds(CLOCK_PROCESS_CPUTIME_ID) - cpu_from_s);
    }
    int drawn = 0;
    for (int i = 0; i < to->count; i++)
        drawn += to->lever[i].is_drawn;
    printf("%s until %s: %d levers, %d drawn, %.1f days, %d sets run, %s: %.2f s, of computing time %.2f s = %.0f "
           "yardsticks\n",
           s->path, s->until, to->count, drawn, to->horizon_days, to->sets_asked,
           !to->is_chosen ? "no set does it"
           : to->is_least ? "least set proven"
                          : "set found",
           least_s, least_cpu_s, least_cpu_s / yard_s);
    free(all);
    free(to);
}

int main(void)
{
    static const subject SUBJECTS[] = {{"examples/couple-on-the-road.yaml", "2027-05-24 10:00"},
                                       {"examples/family-at-work.yaml", "2026-06-22 10:00"},
                                       {"examples/ten-lines.yaml", "2026-06-15 10:00"},
                                       {"examples/winter-trailer.yaml", "2026-01-26 10:00"}};
    lw_table table = {0};
    lw_err err = {0};
    need(lw_table_open("levers", &table, &err), &err);
    const double yard_s = yardstick_s();
    for (size_t i = 0; i < sizeof SUBJECTS / sizeof SUBJECTS[0]; i++)
        measure(&SUBJECTS[i], &table, yard_s);
    lw_table_clear(&table);
    return 0;
}
