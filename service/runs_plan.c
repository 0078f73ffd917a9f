#include "service/runs_plan.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "service/levers_internal.h"
#include "service/pool.h"
#include "service/renewals.h"
#include "service/runs_internal.h"
#include "text/decimal.h"
#include "text/say.h"

enum {
    TRIES = 10,
    FINALS = 4,
    CHOOSING = 2000, /* draws that choose; those that measure are others */
    FIRST_CHOOSING = LW_TRIAL_FRESH * 2,
    FURTHER = LW_TRIAL_FRESH * 4,
    REACH_STEPS = 12,
};

static const double AIM_LEAST = 0.4, AIM_MOST = 0.999, AIM_STEP = 0.02, AIM_CLOSE = 0.006;
static const double SPARE = 0.005;

/* Errands serve these; the others renew or cannot be fetched. */
static const lw_supply FETCHED[] = {LW_SUPPLY_FRESH, LW_SUPPLY_DRINKING, LW_SUPPLY_GREY,    LW_SUPPLY_BLACK,
                                    LW_SUPPLY_FUEL,  LW_SUPPLY_PROPANE,  LW_SUPPLY_RUBBISH, LW_SUPPLY_FOOD};
enum { FETCHED_COUNT = sizeof FETCHED / sizeof FETCHED[0] };

/* ------------------------------------------------------------------ the plan, measured */

static int put_transfers(const lw_runs_work *w, const lw_run *run, lw_transfer *to, int room)
{
    const lw_errand_type *t = &w->to->errands.type[run->type];
    lw_renewal renewal = {.at_s = lw_runs_civil_s(w, run->slot / 2, run->from_hour) + (int64_t)(run->spent_h * 3600.0),
                          .cans_l = t->is_break_camp ? NAN : t->cans_l,
                          .waste_l = t->is_break_camp ? NAN : t->waste_l};
    for (int k = 0; k < w->to->in.supply_count; k++)
        renewal.supplies |= run->supplies >> k & 1u ? UINT32_C(1) << w->to->supply[k] : 0u;
    return lw_renewal_transfers(&w->base.base.scenario->rig, &renewal, to, room);
}

static double lasts_frac(const lw_runs_work *w, const lw_trial_row *row, int count)
{
    int lasting = 0;
    for (int i = 0; i < count; i++) {
        int lasts = 1;
        for (int k = 0; k < FETCHED_COUNT && lasts; k++)
            lasts = row[i].end_h[FETCHED[k]] >= (float)w->wished_h;
        lasting += lasts;
    }
    return (double)lasting / count;
}

static lw_code draw(const lw_runs_work *w, const lw_trial_more *more, uint32_t first, int draws, lw_trial_row *row,
                    lw_err *err)
{
    lw_bench bench[LW_POOL_THREADS] = {{.scratch = NULL}};
    lw_trial trial = {.context = NULL};
    lw_code code = lw_trial_make_with(&w->base, more, &trial, err);
    for (int i = 0; i < w->threads && !code; i++)
        code = lw_bench_open(&trial, &bench[i], err);
    if (!code)
        lw_trial_rows_spread(&trial, bench, w->threads, first, (uint32_t)draws, row);
    for (int i = 0; i < w->threads; i++)
        lw_bench_close(&bench[i]);
    lw_trial_clear(&trial);
    return code;
}

static lw_code measure(const lw_runs_work *w, const lw_runs_out *out, uint32_t first, int draws, double *frac,
                       lw_err *err)
{
    lw_transfer *transfer = calloc(LW_TRANSFERS_PLANNED, sizeof *transfer);
    lw_trial_row *row = calloc((size_t)draws, sizeof *row);
    int count = 0;
    if (!transfer || !row) {
        free(transfer);
        free(row);
        return lw_fail(err, LW_E_FULL, "no memory to measure a plan");
    }
    for (int i = 0; i < out->count; i++)
        count += put_transfers(w, &out->run[i], transfer + count, LW_TRANSFERS_PLANNED - count);
    const lw_trial_more more = {.transfer = transfer, .transfer_count = count};
    const lw_code code = draw(w, &more, first, draws, row, err);
    if (!code)
        *frac = lasts_frac(w, row, draws);
    free(transfer);
    free(row);
    return code;
}

/* ------------------------------------------------------------------ the aim */

/* What was tried: a plan made at one aim, and its chance by the draws that choose. */
typedef struct attempt {
    double aim, frac;
    lw_runs_out out;
} attempt;

typedef struct finder {
    lw_runs_work *w;
    lw_arena arena;
    attempt now, best; /* best: the cheapest that is sure enough; failing such the surest */
    int has_best;
    double low, high; /* aims too low; high enough, or with no plan */
} finder;

static lw_code plan_at(finder *f, double aim, lw_runs_out *out, lw_err *err)
{
    lw_fault fault = {0};
    lw_runs_fill_cover(f->w, aim);
    f->arena.used = 0;
    if (lw_runs_check(&f->w->to->in, &fault) || lw_runs_plan(&f->w->to->in, &f->arena, out, &fault))
        return lw_fault_say(&fault, err);
    return LW_OK;
}

static int is_same(const lw_runs_out *a, const lw_runs_out *b)
{
    int same = a->is_found == b->is_found && a->count == b->count;
    for (int i = 0; i < a->count && same; i++)
        same = a->run[i].slot == b->run[i].slot && a->run[i].type == b->run[i].type &&
               a->run[i].services == b->run[i].services && a->run[i].supplies == b->run[i].supplies;
    return same;
}

/* With a little to spare, so that the draws that measure seldom say otherwise: being made to agree would flatter them. */
static int is_enough(const finder *f, const attempt *a)
{
    return a->out.is_found && a->frac >= fmin(f->w->wish->confidence_frac + SPARE, 1.0);
}

static int is_better(const finder *f, const attempt *a)
{
    const attempt *b = &f->best;
    if (!f->has_best || is_enough(f, a) != is_enough(f, b))
        return !f->has_best || is_enough(f, a);
    if (a->out.is_found != b->out.is_found)
        return a->out.is_found;
    return is_enough(f, a) ? a->out.usd < b->out.usd - 1e-9 || (a->out.usd < b->out.usd + 1e-9 && a->frac > b->frac)
                           : a->frac > b->frac;
}

static lw_code try_aim(finder *f, double aim, lw_err *err)
{
    attempt *a = &f->now;
    const lw_runs_out before = a->out;
    const int fresh = f->w->to->fresh_draws;
    lw_code code = plan_at(f, aim, &a->out, err);
    const int is_known = f->w->to->tries > 0 && is_same(&before, &a->out);
    a->aim = aim;
    if (!code && a->out.is_found && !is_known)
        code = measure(f->w, &a->out, FIRST_CHOOSING, fresh < CHOOSING ? fresh : CHOOSING, &a->frac, err);
    if (!a->out.is_found)
        a->frac = 0.0;
    f->w->to->tries++;
    if (!code && is_better(f, a))
        f->best = *a, f->has_best = 1;
    return code;
}

static double next_aim(const finder *f)
{
    const double short_frac = f->w->wish->confidence_frac - f->now.frac;
    if (f->high > 1.0)
        return fmin(f->low + fmax(0.5 * short_frac, AIM_STEP), AIM_MOST);
    if (f->low < 0.0)
        return fmax(f->high - 2.0 * AIM_STEP, AIM_LEAST);
    return 0.5 * (f->low + f->high);
}

/* Plans at one aim after the other: too low an aim is not sure enough, too high a one costs more than it must, or has no plan. */
static lw_code search(finder *f, double from, lw_err *err)
{
    double aim = from;
    f->low = -1.0, f->high = 2.0;
    for (int i = 0; i < TRIES; i++) {
        const lw_code code = try_aim(f, aim, err);
        if (code)
            return code;
        if (!f->now.out.is_found || is_enough(f, &f->now))
            f->high = aim;
        else
            f->low = aim;
        if (f->high - f->low < AIM_CLOSE || (aim <= AIM_LEAST && f->high <= aim) || (aim >= AIM_MOST && f->low >= aim))
            break;
        aim = next_aim(f);
    }
    return LW_OK;
}

/* The chosen plan on draws that chose nothing. Where they say less than is wished, a surer one is looked for. Gives the times
 * that plans were measured. */
static lw_code settle_on(finder *f, int *measured, lw_err *err)
{
    lw_runs_planned *to = f->w->to;
    double best_frac = -1.0, aim = f->best.aim;
    for (int i = 0; i < FINALS; i++) {
        double frac = 0.0;
        const uint32_t first = LW_TRIAL_FRESH + (uint32_t)(i * to->fresh_draws);
        const lw_code code = measure(f->w, &f->best.out, first, to->fresh_draws, &frac, err);
        if (code)
            return code;
        *measured = i + 1;
        if (frac > best_frac) {
            best_frac = to->fresh_frac = frac;
            to->out = f->best.out;
            to->aimed_frac = f->best.aim;
        }
        to->is_reached = best_frac >= f->w->wish->confidence_frac;
        if (to->is_reached || aim >= AIM_MOST || !is_enough(f, &f->best))
            return LW_OK;
        const attempt was = f->best;
        do { /* to the next other plan */
            aim = fmin(aim + AIM_CLOSE, AIM_MOST);
            f->has_best = 0;
            const lw_code again = try_aim(f, aim, err);
            if (again)
                return again;
        } while (f->best.out.is_found && is_same(&f->best.out, &was.out) && aim < AIM_MOST);
        if (!f->best.out.is_found)
            return LW_OK;
    }
    return LW_OK;
}

/* The best of several measurements flatters its plan, so that one is measured again on draws that none of them saw. */
static lw_code settle(finder *f, lw_err *err)
{
    lw_runs_planned *to = f->w->to;
    int measured = 0;
    lw_code code = settle_on(f, &measured, err);
    if (code || measured < 2)
        return code;
    code = measure(f->w, &to->out, LW_TRIAL_FRESH + (uint32_t)(FINALS * to->fresh_draws), to->fresh_draws,
                   &to->fresh_frac, err);
    to->is_reached = to->fresh_frac >= f->w->wish->confidence_frac;
    return code;
}

/* How far there are plans, where there is none to the end. */
static lw_code reach(finder *f, lw_err *err)
{
    lw_runs_planned *to = f->w->to;
    lw_runs_out out;
    int low = 0, high = to->in.slots / 2 - 1;
    const lw_runs_in whole = to->in;
    for (int i = 0; i < REACH_STEPS && high - low > 1; i++) {
        const int day = (low + high) / 2;
        lw_code code = plan_at(f, f->w->wish->confidence_frac, &out, err);
        if (code)
            return code;
        lw_fault fault = {0};
        to->in.end = (int)ceil((24.0 * day + 10.0) / to->tick_h);
        f->arena.used = 0;
        if (lw_runs_plan(&to->in, &f->arena, &out, &fault))
            return lw_fault_say(&fault, err);
        to->in.end = whole.end;
        if (out.is_found)
            low = day;
        else
            high = day;
    }
    to->reach_s = low > 0 ? lw_runs_civil_s(f->w, low, 10) : 0;
    return LW_OK;
}

static lw_code find_plan(lw_runs_work *w, lw_err *err)
{
    finder *f = calloc(1, sizeof *f);
    lw_code code = LW_OK;
    if (f)
        *f = (finder){.w = w, .arena = {.cap = lw_runs_bytes()}};
    if (!f || !(f->arena.base = malloc(f->arena.cap))) {
        free(f);
        return lw_fail(err, LW_E_FULL, "no memory to plan runs");
    }
    code = search(f, w->wish->confidence_frac, err);
    w->to->out = f->best.out;
    w->to->aimed_frac = f->best.aim;
    if (!code)
        code = f->best.out.is_found ? settle(f, err) : reach(f, err);
    if (!code)
        lw_runs_fill_cover(w, w->to->aimed_frac); /* what is shown is what was planned with */
    free(f->arena.base);
    free(f);
    return code;
}

/* ------------------------------------------------------------------ all of it */

static lw_code want_departure(lw_runs_work *w, lw_err *err)
{
    lw_runs_planned *to = w->to;
    const lw_scenario *s = w->base.base.scenario;
    to->start_s = s->calendar.start_s;
    to->departure_s = to->wished_s = s->stay.departure_s;
    if (!to->departure_s || to->departure_s <= to->start_s)
        return lw_fail_typed(err, LW_E_MISSING, "--until, or stay.leave in the scenario, says it",
                             "runs are planned until you leave: say when");
    if (s->stay.stay_end_s && s->stay.stay_end_s < to->departure_s)
        to->departure_s = s->stay.stay_end_s;
    if (to->departure_s <= to->start_s)
        return lw_fail(err, LW_E_CONFLICT, "the place allows no further day, so there is nothing to plan");
    w->wished_h = (double)(to->departure_s - to->start_s) / 3600.0;
    if (w->wished_h > LW_RUNS_DAYS * 24.0)
        return lw_fail_typed(err, LW_E_RANGE, "--until names its end", "a stay of more than %d days; plan a part of it",
                             LW_RUNS_DAYS);
    return LW_OK;
}

/* Ticks as fine as there is room for. */
static void set_calendar(lw_runs_work *w)
{
    lw_runs_planned *to = w->to;
    const lw_clock first = lw_clock_at(&to->zone, to->start_s), last = lw_clock_at(&to->zone, to->departure_s - 1);
    to->day0 = first.day;
    to->in.slots = 2 * ((int)(last.day - to->day0) + 1);
    to->tick0_s = lw_runs_civil_s(w, 0, 0);
    const double end_h = (double)(to->departure_s - to->tick0_s) / 3600.0;
    to->tick_h = 1;
    while (end_h / to->tick_h > LW_RUN_TICKS - 8)
        to->tick_h++;
    to->in.end = (int)ceil(end_h / to->tick_h - 1e-9);
    to->in.tick_h = to->tick_h;
    for (int s = 0; s < to->in.slots; s++)
        to->in.midnight_h[s] = (double)(lw_runs_civil_s(w, s / 2, 0) - to->tick0_s) / 3600.0;
}

static lw_code open_base(lw_runs_work *w, lw_err *err)
{
    lw_trial trial = {.context = NULL};
    lw_code code = want_departure(w, err);
    if (code)
        return code;
    set_calendar(w);
    w->base.most_hours = (int)ceil(w->wished_h);
    code = lw_trial_make(&w->base, NULL, 0, &trial, err);
    if (code)
        return code;
    lw_trial_plain(&trial, w->plain);
    lw_trial_clear(&trial);
    return draw(w, &(lw_trial_more){.renewed = 0}, 0, w->draws, w->row, err);
}

static lw_code make(lw_runs_work *w, lw_err *err)
{
    lw_runs_planned *to = w->to;
    lw_code code = open_base(w, err);
    if (code)
        return code;
    for (int i = 0; i < FETCHED_COUNT; i++)
        if (w->plain->leeway[FETCHED[i]].is_present &&
            !isinf(lw_rows_sure_days(w->row, w->draws, (int)FETCHED[i], AIM_MOST)))
            to->supply[to->in.supply_count++] = (int)FETCHED[i];
    to->without_frac = lasts_frac(w, w->row, w->draws);
    lw_runs_fill_services(w);
    if (to->in.supply_count == 0) {
        to->out = (lw_runs_out){.is_found = 1, .is_proven = 1, .short_supply = -1};
        code = measure(w, &to->out, LW_TRIAL_FRESH, to->fresh_draws, &to->fresh_frac, err);
        to->is_reached = to->fresh_frac >= w->wish->confidence_frac;
    } else {
        lw_runs_fill_types(w);
        code = lw_runs_draw_starts(w, err);
        code = code ? code : find_plan(w, err);
    }
    if (!code && w->wish->further > 0 && to->out.is_found)
        code = measure(w, &to->out, FURTHER, w->wish->further, &to->further_frac, err);
    if (!code)
        lw_runs_say(w);
    return code;
}

static void give_back(lw_runs_work *w)
{
    for (int i = 0; w->start && i < w->start_count; i++)
        free(w->start[i]);
    free(w->start);
    free(w->look_h);
    free(w->row);
    free(w->plain);
    free(w->thread_err);
    lw_trials_close(&w->base);
}

static lw_code take_wish(lw_runs_work *w, const lw_errands *errands, lw_err *err)
{
    const lw_runs_wish *wish = w->wish;
    w->draws = wish->draws > 0 ? wish->draws : LW_RUNS_DRAWS_USUAL;
    *w->to = (lw_runs_planned){.errands = *errands,
                               .confidence_frac = wish->confidence_frac,
                               .draws = w->draws,
                               .seed = w->source->seed,
                               .further_frac = NAN,
                               .keeps_spot_frac = 1.0};
    w->to->fresh_draws = wish->fresh > 0 ? wish->fresh : LW_RUNS_FRESH;
    w->to->in.hour_usd = wish->hour_usd;
    if (!(wish->confidence_frac >= 0.5 && wish->confidence_frac <= 0.99))
        return lw_fail(err, LW_E_RANGE, "a confidence of %s; give 0.5 to 0.99", lw_num(wish->confidence_frac).text);
    return lw_price_take("hour", &w->to->in.hour_usd, "as you ask", &w->to->prices, err);
}

lw_code lw_runs_plan_make(lw_plan_source *source, const lw_runs_wish *wish, const lw_errands *errands,
                          lw_runs_planned *plan, lw_err *err)
{
    lw_runs_work w = {.wish = wish, .to = plan, .source = source, .threads = lw_pool_threads(source->threads)};
    lw_code code = take_wish(&w, errands, err);
    if (code)
        return code;
    w.base = lw_plan_source_trials(source);
    w.plain = malloc(sizeof *w.plain);
    w.row = calloc((size_t)w.draws, sizeof *w.row);
    w.thread_err = calloc((size_t)w.threads, sizeof *w.thread_err);
    if (!w.plain || !w.row || !w.thread_err)
        code = lw_fail(err, LW_E_FULL, "no memory to plan runs");
    code = code ? code : lw_trials_open(&w.base, err);
    if (!code) {
        plan->zone = w.base.base.zone;
        memcpy(plan->file, w.base.base.file, sizeof plan->file);
        code = make(&w, err);
    }
    give_back(&w);
    return code;
}
