#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/levers_internal.h"
#include "service/pool.h"
#include "text/say.h"

enum {
    ROUND = 64,  /* draws between two looks at what is decided: the same on any number of threads */
    TRIED = 512, /* sets that are remembered */
    AIMS_MOST = 12,
};

/* What the aim is raised by besides the shortfall: so that it does not creep. */
static const double SLACK_FRAC = 0.04; /* by which sums and draws may differ; see docs/planner.md */
static const double AIM_STEP = 0.004, AIM_MOST = 0.9995;

typedef struct tried_set {
    lw_lever_set set;
    int done; /* draws */
    lw_trial_row *row;
} tried_set;

typedef struct chooser {
    lw_levers_work *w;
    int lever_at[LW_SET_LEVERS];
    lw_set_lever lever[LW_SET_LEVERS];
    int count;
    tried_set tried[TRIED];
    int tried_count, asked;
    double aim_frac;
    lw_err *err;
} chooser;

/* ------------------------------------------------------------------ a set, run again */

static lw_code make_trial(const chooser *c, lw_lever_set set, lw_trial *trial)
{
    const char *change[LW_SET_LEVERS * LW_LEVER_CHANGES];
    int count = 0;
    for (int i = 0; i < c->count; i++) {
        const lw_lever *lever = &c->w->to->lever[c->lever_at[i]];
        for (int j = 0; (set >> i & 1u) && j < lever->change_count; j++)
            change[count++] = lever->change[j];
    }
    const lw_code code = lw_trial_make(c->w->trials, change, count, trial, c->err);
    return code && code != LW_E_FULL ? LW_E_CONFLICT : code; /* each was tried alone: together they cannot be */
}

static tried_set *remembered(chooser *c, lw_lever_set set)
{
    for (int i = 0; i < c->tried_count; i++)
        if (c->tried[i].set == set)
            return &c->tried[i];
    if (c->tried_count == TRIED)
        return NULL;
    tried_set *t = &c->tried[c->tried_count];
    *t = (tried_set){.set = set, .row = calloc((size_t)c->w->to->draws, sizeof *t->row)};
    if (!t->row)
        return NULL;
    c->tried_count++;
    return t;
}

/* Of the targets those that fail (or, decided the other way, pass) whatever the draws to come bring. */
static uint32_t decided(const chooser *c, const tried_set *t, uint32_t targets, uint32_t *failing)
{
    const int draws = c->w->to->draws, wanted = (int)ceil(c->aim_frac * draws - 1e-9);
    uint32_t settled = 0;
    *failing = 0;
    for (int k = 0; k < LW_TARGETS; k++) {
        int lost = 0;
        for (int i = 0; (targets >> k & 1u) && i < t->done; i++) {
            const float end_h = k == LW_TARGET_ALL ? lw_row_first_h(&t->row[i]) : t->row[i].end_h[k];
            lost += end_h < (float)c->w->wished_h;
        }
        if (lost > draws - wanted)
            *failing |= UINT32_C(1) << k;
        if (lost > draws - wanted || t->done - lost >= wanted)
            settled |= UINT32_C(1) << k;
    }
    return settled & targets;
}

/* Supplies that fail say more than that all of them together do. */
static int is_enough(uint32_t settled, uint32_t targets, uint32_t failing)
{
    const uint32_t all = UINT32_C(1) << LW_TARGET_ALL;
    return settled == targets || ((failing & all) && (failing & ~all));
}

static lw_code draw_until_decided(chooser *c, tried_set *t, uint32_t targets, uint32_t *failing)
{
    lw_trial trial;
    lw_code code = LW_OK;
    int is_made = 0;
    while (!is_enough(decided(c, t, targets, failing), targets, *failing) && !code) {
        if (!is_made)
            code = make_trial(c, t->set, &trial), is_made = !code;
        const int left = c->w->to->draws - t->done, n = left < ROUND ? left : ROUND;
        if (!code)
            lw_trial_rows_spread(&trial, c->w->bench, c->w->threads, (uint32_t)t->done, (uint32_t)n, t->row + t->done);
        t->done += code ? 0 : n;
    }
    if (is_made)
        lw_trial_clear(&trial);
    return code;
}

static lw_code fails(void *with, lw_lever_set set, uint32_t targets, uint32_t *failing)
{
    chooser *c = with;
    tried_set *t = remembered(c, set);
    if (!t)
        return lw_fail(c->err, LW_E_FULL, "more than %d sets of levers had to be tried; leave some out with --without",
                       TRIED);
    const int before = t->done;
    const lw_code code = draw_until_decided(c, t, targets, failing);
    const uint32_t all = UINT32_C(1) << LW_TARGET_ALL;
    c->asked += t->done > before;
    if (*failing & ~all)
        *failing &= ~all;
    return code;
}

/* ------------------------------------------------------------------ which levers */

/* What hurts only, or helps nothing that is there, belongs to no least set. */
static void gather(chooser *c)
{
    lw_levers *to = c->w->to;
    char group[LW_SET_LEVERS][LW_NAME];
    int groups = 0;
    for (int i = 0; i < to->count && c->count < LW_SET_LEVERS; i++) {
        const lw_lever *lever = &to->lever[i];
        if (lever->why_not[0] || !(lever->in_set.helps & ~(UINT32_C(1) << LW_TARGET_ALL)))
            continue;
        lw_set_lever *row = &c->lever[c->count];
        *row = lever->in_set;
        row->group = -1;
        for (int g = 0; g < groups && lever->exclusive[0]; g++)
            row->group = strcmp(group[g], lever->exclusive) == 0 ? g : row->group;
        if (row->group < 0 && lever->exclusive[0]) {
            row->group = groups;
            snprintf(group[groups++], LW_NAME, "%s", lever->exclusive);
        }
        c->lever_at[c->count++] = i;
    }
}

/* ------------------------------------------------------------------ what a supply needs, as a sum */

/* Room over use is how long a supply lasts that is drawn by people's doings alone; those add up. */
static int is_sum(int supply)
{
    return supply == LW_SUPPLY_FRESH || supply == LW_SUPPLY_DRINKING || supply == LW_SUPPLY_GREY ||
           supply == LW_SUPPLY_BLACK || supply == LW_SUPPLY_RUBBISH || supply == LW_SUPPLY_FOOD;
}

/* The surest days of the draws over room by use: at most, of the unchanged camp and of each lever by itself. 0: not known. */
static double most_ratio(const chooser *c, int supply, double room, double use)
{
    const lw_levers_work *w = c->w;
    const double base_days = lw_rows_sure_days(w->base_row, w->to->draws, supply, w->to->wish.confidence_frac);
    double most = isinf(base_days) || room <= 0.0 ? 0.0 : base_days * use / room;
    for (int i = 0; i < w->to->count && most > 0.0; i++) {
        const lw_lever *l = &w->to->lever[i];
        const double days = l->why_not[0] ? INFINITY : w->sure_days[l->number][supply];
        const double own_room = room + l->room_more[supply], own_use = use + l->use_more[supply];
        if (!isinf(days) && l->sort != LW_LEVER_RUN && own_room > 0.0)
            most = fmax(most, days * own_use / own_room);
    }
    return most;
}

/* Below what it needs by SLACK_FRAC a set is not run again: room + more room >= days / ratio x (use + more use). */
static void know_sums(chooser *c, lw_set_in *in)
{
    const double days = c->w->wished_h / 24.0;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        const lw_leeway *l = &c->w->base_plain->leeway[k];
        const double room = l->is_present ? lw_lever_room(l, (lw_supply)k) : 0.0, use = l->use_per_day;
        const double ratio = l->is_present && is_sum(k) && use > 0.0 ? most_ratio(c, k, room, use) : 0.0;
        in->needs[k] = 0.0;
        if (ratio <= 0.0)
            continue;
        const double wanted = days / (ratio * (1.0 + SLACK_FRAC));
        in->needs[k] = fmax(wanted * use - room, 0.0);
        for (int i = 0; i < c->count; i++) {
            const lw_lever *lever = &c->w->to->lever[c->lever_at[i]];
            c->lever[i].gives[k] = lever->room_more[k] - wanted * lever->use_more[k];
            if (lever->sort == LW_LEVER_RUN && (lever->in_set.helps >> k & 1u))
                c->lever[i].gives[k] = in->needs[k]; /* what is in the tank by then depends on the others */
        }
    }
}

/* ------------------------------------------------------------------ measuring */

static double measure(const chooser *c, const lw_trial *trial, lw_trial_row *row, int count)
{
    lw_trial_rows_spread(trial, c->w->bench, c->w->threads, LW_TRIAL_FRESH, (uint32_t)count, row);
    return lw_rows_stay_frac(c->w, row, count);
}

static void add_up(const chooser *c, lw_lever_set set)
{
    lw_levers *to = c->w->to;
    to->set_count = 0;
    to->set_price_usd = to->set_minutes = to->set_mass_kg = to->set_roof_m2 = to->set_burden_usd = 0.0;
    to->set_running_usd = 0.0;
    for (int i = 0; i < to->count; i++)
        to->lever[i].is_in_set = 0;
    for (int i = 0; i < c->count; i++) {
        lw_lever *lever = &to->lever[c->lever_at[i]];
        if (!(set >> i & 1u))
            continue;
        lever->is_in_set = 1;
        to->set_count++;
        to->set_price_usd += lever->price_usd;
        to->set_running_usd += lever->running_usd;
        to->set_minutes += lever->minutes;
        to->set_mass_kg += lever->mass_kg;
        to->set_roof_m2 += lever->roof_m2;
        to->set_burden_usd += lever->burden_usd;
    }
}

/* The set's gains, by the draws that chose it, and its chance by those that did not. */
static lw_code measure_set(chooser *c, lw_lever_set set, lw_trial_row *fresh)
{
    lw_levers *to = c->w->to;
    lw_trial trial;
    lw_trial_row *row = calloc((size_t)to->draws, sizeof *row);
    if (!row)
        return lw_fail(c->err, LW_E_FULL, "no memory to measure a set of levers");
    const lw_code code = make_trial(c, set, &trial);
    if (!code) {
        lw_trial_rows_spread(&trial, c->w->bench, c->w->threads, 0, (uint32_t)to->draws, row);
        to->model_frac = lw_rows_stay_frac(c->w, row, to->draws);
        to->set_stay = lw_gain_of(c->w, row, LW_TARGET_ALL);
        for (int k = 0; k < LW_SUPPLY_COUNT; k++)
            to->set_gain[k] = lw_gain_of(c->w, row, k);
        to->fresh_frac = measure(c, &trial, fresh, to->fresh_draws);
        lw_trial_clear(&trial);
    }
    free(row);
    return code;
}

/* ------------------------------------------------------------------ the search */

static lw_code search(chooser *c, lw_set_out *out)
{
    lw_fault fault = {0};
    lw_set_in in = {.lever = c->lever,
                    .lever_count = c->count,
                    .target_count = LW_TARGETS,
                    .fails = fails,
                    .with = c,
                    .ask_most = c->w->to->wish.sets > 0 ? c->w->to->wish.sets : LW_LEVER_SETS_USUAL};
    know_sums(c, &in);
    lw_set_clause *clause = calloc(LW_SET_CLAUSES, sizeof *clause);
    if (!clause)
        return lw_fail(c->err, LW_E_FULL, "no memory to choose levers");
    lw_code code = lw_least_set_check(&in, &fault) ? lw_fault_say(&fault, c->err) : lw_least_set(&in, clause, out);
    if (code == LW_E_FULL && !c->err->text[0])
        code = lw_fail(c->err, LW_E_FULL, "too many levers hang together here; leave some out with --without");
    free(clause);
    return code;
}

/* Chosen, measured, and where it falls short chosen again with a higher aim. */
static lw_code choose(chooser *c, lw_trial_row *fresh)
{
    lw_levers *to = c->w->to;
    lw_code code = LW_OK;
    c->aim_frac = to->wish.confidence_frac;
    for (int i = 0; i < AIMS_MOST && !code && !to->is_reached; i++) { /* the first aim is the wish itself */
        lw_set_out out = {.is_found = 0};
        code = search(c, &out);
        if (!code)
            to->is_least = out.is_proven;
        if (code || !out.is_found) {
            to->hopeless = code ? 0 : out.hopeless;
            break;
        }
        to->aimed_frac = c->aim_frac;
        to->is_least = out.is_proven;
        to->bound_usd = out.bound;
        to->tightened = i;
        to->is_chosen = 1;
        add_up(c, out.set);
        code = measure_set(c, out.set, fresh);
        to->is_reached = !code && to->fresh_frac >= to->wish.confidence_frac;
        c->aim_frac = fmin(c->aim_frac + fmax(to->wish.confidence_frac - to->fresh_frac, 0.0) + AIM_STEP, AIM_MOST);
    }
    to->sets_asked = c->asked;
    return code;
}

lw_code lw_levers_choose(lw_levers_work *w, lw_err *err)
{
    chooser *c = calloc(1, sizeof *c);
    w->to->fresh_draws = w->to->wish.fresh > 0 ? w->to->wish.fresh : LW_LEVER_FRESH;
    lw_trial_row *fresh = calloc((size_t)w->to->fresh_draws, sizeof *fresh);
    if (!c || !fresh) {
        free(c);
        free(fresh);
        return lw_fail(err, LW_E_FULL, "no memory to choose levers");
    }
    c->w = w;
    c->err = err;
    w->to->has_set = 1;
    gather(c);
    const lw_code code = choose(c, fresh);
    for (int i = 0; i < c->tried_count; i++)
        free(c->tried[i].row);
    free(fresh);
    free(c);
    return code;
}
