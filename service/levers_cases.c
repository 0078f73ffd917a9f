/* Draws as cases (core/plan/least_set.h): a set that is sure enough lasts in one draw of any so many that there is one more of
 * them than may be lost. The hardest are taken, each with the prices at which its supplies are had at the least burden. */
#include <math.h>
#include <stdlib.h>

#include "core/base/num.h"
#include "core/base/order.h"
#include "service/levers_internal.h"

/* Levers that give towards a draw's supplies, and what they are paid. */
typedef struct draw_case {
    int draw;
    double bound;
    double price[LW_SUPPLY_COUNT];
} draw_case;

static double missing_of(const lw_case_maker *m, int supply, int draw)
{
    const double *net = m->base->of[supply];
    return net ? lw_most(net[draw], 0.0) : 0.0;
}

/* A run, and what no sum is known of, may give it all. */
static double gives_of(const lw_case_maker *m, int lever, int supply, int draw)
{
    const lw_lever_sums *sums = m->sums[lever];
    if (!(sums->is_known >> supply & 1u) || (sums->is_renewed >> supply & 1u) || sums->brought[supply] > 0.0)
        return missing_of(m, supply, draw);
    return sums->of[supply] ? -sums->of[supply][draw] : 0.0;
}

/* Prices supply by supply, what is dearest by itself first. */
static void price_draw(const lw_case_maker *m, int draw, draw_case *to)
{
    const lw_lever_set open = ~UINT64_C(0);
    double left[LW_SET_LEVERS], gives[LW_SUPPLY_COUNT][LW_SET_LEVERS],
        less_alone[LW_SUPPLY_COUNT]; /* of one by itself */
    int order[LW_SUPPLY_COUNT] = {0}, count = 0, unused;
    *to = (draw_case){.draw = draw};
    for (int i = 0; i < m->count; i++)
        left[i] = m->lever[i].burden;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        const double missing = missing_of(m, k, draw);
        if (!(missing > LW_ASKED_SAME * (1.0 + missing)))
            continue;
        for (int i = 0; i < m->count; i++)
            gives[k][i] = gives_of(m, i, k, draw);
        less_alone[k] = -missing * lw_set_price(m->lever, m->count, gives[k], left, open, missing, &unused);
        lw_order_put(less_alone, k, order, &count);
    }
    for (int o = 0; o < count && !isinf(to->bound); o++) {
        const int k = order[o];
        const double missing = missing_of(m, k, draw);
        to->price[k] = lw_set_price(m->lever, m->count, gives[k], left, open, missing, &unused);
        to->bound += to->price[k] * missing;
        for (int i = 0; i < m->count && !isinf(to->price[k]); i++)
            left[i] -= to->price[k] * gives[k][i];
    }
    to->bound -= isinf(to->bound) ? 0.0 : lw_set_overpaid(m->lever, m->count, left, open);
}

static int by_bound(const void *a, const void *b)
{
    const draw_case *x = a, *y = b;
    return x->bound != y->bound ? (x->bound < y->bound) - (x->bound > y->bound) : x->draw - y->draw;
}

static void put_case(const lw_case_maker *m, const draw_case *from, int at, int cases, float *due, float *pays)
{
    double sum = 0.0;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        sum += from->price[k] * missing_of(m, k, from->draw);
    due[at] = (float)sum;
    for (int i = 0; i < m->count; i++) {
        double paid = 0.0;
        for (int k = 0; k < LW_SUPPLY_COUNT; k++)
            paid += from->price[k] > 0.0 ? from->price[k] * gives_of(m, i, k, from->draw) : 0.0;
        pays[(size_t)i * (size_t)cases + (size_t)at] = (float)paid;
    }
}

int lw_levers_cases(const lw_case_maker *m, int draws, int wanted, float *due, float *pays)
{
    const int more = draws - wanted + 1;
    draw_case *all = more <= LW_SET_CASES ? malloc((size_t)draws * sizeof *all) : NULL;
    int from = 0;
    if (!all)
        return 0;
    for (int d = 0; d < draws; d++)
        price_draw(m, d, &all[d]);
    qsort(all, (size_t)draws, sizeof *all, by_bound);
    while (from < more && isinf(all[from].bound)) /* no set lasts in these */
        from++;
    const int cases = all[more - 1].bound > 0.0 ? more - from : 0;
    for (int c = 0; c < cases; c++)
        put_case(m, &all[from + c], c, cases, due, pays);
    free(all);
    return cases;
}
