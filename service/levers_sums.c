#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/sim/asked.h"
#include "service/levers_internal.h"
#include "service/pool.h"
#include "text/say.h"

/* Before the run of the table, and after it. */
typedef struct lw_asked_pair {
    lw_asked before, after;
} lw_asked_pair;

static void ask(const lw_levers_work *w, const lw_trial *trial, lw_asked_pair *to)
{
    const int until = (int)floor(w->wished_h); /* a supply that ends within an hour begun is left open */
    const int run = (int)((w->to->run_s - w->to->start_s) / 3600);
    const int parted = run < 0 ? 0 : run < until ? run : until;
    lw_asked_make(trial->context, 0, parted, &to->before);
    lw_asked_make(trial->context, parted, until, &to->after);
}

/* What a run does to a supply: renews all of its vessels or brings (takes away) an amount; anything else is not known. */
static void take_run(const lw_levers_work *w, const lw_trial *trial, const lw_asked_pair *pair, lw_lever_sums *to)
{
    const lw_scenario *s = trial->loaded.scenario;
    int vessels[LW_SUPPLY_COUNT] = {0}, renewed[LW_SUPPLY_COUNT] = {0};
    for (int v = 0; v < s->rig.vessel_count; v++)
        vessels[s->rig.vessel[v].supply]++;
    for (int i = 0; i < s->transfer_count; i++) {
        const lw_transfer *t = &s->transfer[i];
        const lw_supply k = s->rig.vessel[t->vessel].supply;
        const int is_right_way = lw_supply_fills(k) ? t->amount < 0.0 : t->amount > 0.0;
        if (t->at_s != w->to->run_s)
            continue;
        if (t->kind != LW_TRANSFER_ADD)
            renewed[k]++;
        else if (is_right_way)
            to->brought[k] += fabs(t->amount);
        else
            to->is_known &= ~(UINT32_C(1) << k);
    }
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        const uint32_t bit = UINT32_C(1) << k;
        to->is_single |= vessels[k] == 1 ? bit : 0u;
        to->is_renewed |= renewed[k] > 0 ? bit : 0u;
        if ((renewed[k] > 0 && renewed[k] < vessels[k]) ||
            ((pair->after.is_begun & bit) && renewed[k] == 0 && !(to->brought[k] > 0.0)))
            to->is_known &= ~bit;
    }
}

static int is_same(const lw_asked *a, const lw_asked *b, int supply)
{
    for (int d = 0; d < a->days || d < b->days; d++)
        for (int g = 0; g < LW_GROUP_COUNT; g++)
            if (fabs(a->of[supply][d][g] - b->of[supply][d][g]) > 0.0)
                return 0;
    return 1;
}

static int is_as_base(const lw_levers_work *w, const lw_trial *trial, const lw_asked_pair *pair, int supply)
{
    lw_state a, b;
    lw_state_start(w->base.context, &a);
    lw_state_start(trial->context, &b);
    const lw_asked_rooms x = lw_asked_room(w->base.context, (lw_supply)supply, &a),
                         y = lw_asked_room(trial->context, (lw_supply)supply, &b);
    const double apart = fabs(x.now - y.now) + fabs(x.renewed - y.renewed) + fabs(x.missing - y.missing);
    return !(apart > 0.0) && is_same(&pair->before, &w->base_asked->before, supply) &&
           is_same(&pair->after, &w->base_asked->after, supply);
}

static void sum_draws(const lw_levers_work *w, const lw_trial *trial, const lw_asked_pair *pair, int supply, double *of)
{
    const size_t n = (size_t)w->to->set_draws;
    lw_state plain;
    lw_state_start(trial->context, &plain);
    for (size_t d = 0; d < n; d++) {
        const lw_state *start = trial->start_count ? &trial->start[d % trial->start_count].state : &plain;
        const lw_asked_rooms room = lw_asked_room(trial->context, (lw_supply)supply, start);
        const float *factor = &w->factor[d][0][0];
        const double before = lw_asked_sum(&pair->before, (lw_supply)supply, factor);
        const double after = lw_asked_sum(&pair->after, (lw_supply)supply, factor);
        of[LW_SUM_ALL * n + d] = before + after - room.now;
        of[LW_SUM_BEFORE * n + d] = before - room.now;
        of[LW_SUM_AFTER * n + d] = after - room.renewed;
        of[LW_SUM_MISSING * n + d] = before + room.missing;
    }
}

void lw_levers_sum(const lw_levers_work *w, const lw_trial *trial, int worker, lw_lever_sums *to)
{
    lw_asked_pair *pair = w->asked[worker];
    const size_t values = (size_t)LW_SUMS * (size_t)w->to->set_draws;
    ask(w, trial, pair);
    to->is_known = pair->before.is_known & pair->after.is_known & ~pair->before.is_begun;
    to->is_whole = pair->before.is_whole & pair->after.is_whole;
    take_run(w, trial, pair, to);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        const double *base = w->base_sums.of[k];
        if (!(to->is_known >> k & 1u) || !base || is_as_base(w, trial, pair, k))
            continue;
        to->of[k] = malloc(values * sizeof *to->of[k]);
        if (!to->of[k]) { /* then it is run */
            to->is_known &= ~(UINT32_C(1) << k);
            continue;
        }
        sum_draws(w, trial, pair, k, to->of[k]);
        for (size_t i = 0; i < values; i++)
            to->of[k][i] -= base[i];
    }
}

static void draw_factors(void *with, int worker, int at)
{
    lw_levers_work *w = with;
    (void)worker;
    for (int d = at * LW_TRIAL_STRETCH; d < (at + 1) * LW_TRIAL_STRETCH && d < w->to->set_draws; d++)
        lw_ensemble_factors(w->base.ensemble, (uint32_t)d, w->factor[d]);
}

static lw_code sum_base(lw_levers_work *w)
{
    const lw_asked_pair *pair = w->base_asked;
    lw_lever_sums *to = &w->base_sums;
    ask(w, &w->base, w->base_asked);
    to->is_known = pair->before.is_known & pair->after.is_known & ~pair->before.is_begun & ~pair->after.is_begun;
    to->is_whole = pair->before.is_whole & pair->after.is_whole;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        if (!(to->is_known >> k & 1u))
            continue;
        to->of[k] = malloc((size_t)LW_SUMS * (size_t)w->to->set_draws * sizeof *to->of[k]);
        if (!to->of[k])
            return LW_E_FULL;
        sum_draws(w, &w->base, pair, k, to->of[k]);
    }
    return LW_OK;
}

lw_code lw_levers_sums_open(lw_levers_work *w, lw_err *err)
{
    const int n = w->to->set_draws;
    w->factor = calloc((size_t)n, sizeof *w->factor);
    w->asked = calloc((size_t)w->threads, sizeof(void *));
    w->base_asked = malloc(sizeof *w->base_asked);
    w->sums = calloc(LW_LEVERS, sizeof *w->sums);
    int is_whole = w->factor && w->asked && w->sums && w->base_asked;
    for (int i = 0; is_whole && i < w->threads; i++)
        is_whole = (w->asked[i] = malloc(sizeof **w->asked)) != NULL;
    if (is_whole) {
        lw_pool_run(w->threads, (n + LW_TRIAL_STRETCH - 1) / LW_TRIAL_STRETCH, draw_factors, w);
        is_whole = sum_base(w) == LW_OK;
    }
    return is_whole ? LW_OK : lw_fail(err, LW_E_FULL, "no memory to choose levers");
}

static void clear(lw_lever_sums *sums)
{
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        free(sums->of[k]);
}

void lw_levers_sums_close(lw_levers_work *w)
{
    for (int i = 0; w->asked && i < w->threads; i++)
        free(w->asked[i]);
    for (int i = 0; w->sums && i < LW_LEVERS; i++)
        clear(&w->sums[i]);
    clear(&w->base_sums);
    free(w->asked);
    free(w->base_asked);
    free(w->sums);
    free(w->factor);
}
