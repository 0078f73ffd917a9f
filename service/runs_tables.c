#include <math.h>
#include <stdlib.h>

#include "core/sky/sun_events.h"
#include "service/errand_row.h"
#include "service/levers_internal.h"
#include "service/pool.h"
#include "service/runs_internal.h"
#include "text/moment.h"
#include "text/say.h"

enum { EVERY_DAYS = 4, LOOK_DAYS = 32 };

static const int64_t HOUR_S = 3600;
static const double EPS_L = 1e-6;
static const double DELTA_T_S = 69.2; /* IERS, 2023: a second of it moves a sunset by nothing anybody sees */

int64_t lw_runs_civil_s(const lw_runs_work *w, int day, int hour)
{
    const lw_moment at = {.day = w->to->day0 + day, .second = hour * 3600};
    return lw_moment_utc(&at, &w->to->zone);
}

/* ------------------------------------------------------------------ how long supplies last */

static int day_of_start(int start)
{
    return 1 + start * EVERY_DAYS;
}

static lw_code rows_from(lw_runs_work *w, int at, int64_t begin_s, lw_err *err)
{
    lw_plan_later later = {.source = w->source, .begin_s = begin_s};
    lw_trials trials = lw_plan_later_trials(&later);
    lw_trial_more more = {.renewed = 0};
    lw_trial trial = {.context = NULL};
    lw_bench bench = {.scratch = NULL};
    trials.most_hours = LOOK_DAYS * 24;
    for (int k = 0; k < w->to->in.supply_count; k++)
        more.renewed |= UINT32_C(1) << w->to->supply[k];
    lw_code code = lw_trials_open(&trials, err);
    if (code)
        return code;
    const int left_h = (int)((w->to->departure_s - trials.base.scenario->calendar.start_s + HOUR_S - 1) / HOUR_S);
    trials.most_hours = left_h < LOOK_DAYS * 24 ? left_h : LOOK_DAYS * 24;
    code = lw_trial_make_with(&trials, &more, &trial, err);
    code = code ? code : lw_bench_open(&trial, &bench, err);
    if (!code) {
        w->look_h[at] = left_h > LOOK_DAYS * 24 ? trial.horizon_h : INFINITY;
        lw_trial_rows(&trial, &bench, 0, (uint32_t)w->draws, w->start[at]);
    }
    lw_bench_close(&bench);
    lw_trial_clear(&trial);
    lw_trials_close(&trials);
    return code;
}

/* One job: the draws that begin on a morning with everything renewed. */
static void draw_start(void *with, int worker, int at)
{
    lw_runs_work *w = with;
    const int64_t begin_s = lw_runs_civil_s(w, day_of_start(at), LW_RUNS_MORNING_H);
    if (begin_s >= w->to->departure_s)
        return;
    const lw_code code = rows_from(w, at, begin_s, &w->thread_err[worker]);
    if (code && !w->code)
        w->code = code;
}

/* Between full and ended: what counts for how long it lasts. */
static double usable_of(const lw_rig *rig, lw_supply supply)
{
    double sum = 0.0;
    for (int v = 0; v < rig->vessel_count; v++)
        if (rig->vessel[v].supply == supply && rig->vessel[v].filter_life_l <= 0.0)
            sum += rig->vessel[v].capacity - rig->vessel[v].unusable -
                   (lw_supply_fills(supply) ? rig->vessel[v].residue : 0.0);
    return sum;
}

lw_code lw_runs_draw_starts(lw_runs_work *w, lw_err *err)
{
    w->start_count = (w->to->in.slots / 2 + EVERY_DAYS - 1) / EVERY_DAYS;
    w->start = calloc((size_t)w->start_count + 1, sizeof(void *));
    w->look_h = calloc((size_t)w->start_count, sizeof *w->look_h);
    if (!w->start || !w->look_h)
        return lw_fail(err, LW_E_FULL, "no memory to plan runs");
    for (int k = 0; k < w->to->in.supply_count; k++)
        w->usable[k] = usable_of(&w->base.base.scenario->rig, (lw_supply)w->to->supply[k]);
    for (int i = 0; i < w->start_count; i++) {
        w->look_h[i] = INFINITY;
        w->start[i] = calloc((size_t)w->draws, sizeof **w->start);
        if (!w->start[i])
            return lw_fail(err, LW_E_FULL, "no memory to plan runs");
        for (int d = 0; d < w->draws; d++)
            for (int k = 0; k < LW_SUPPLY_COUNT; k++)
                w->start[i][d].end_h[k] = INFINITY;
    }
    lw_pool_run(w->threads, w->start_count, draw_start, w);
    for (int i = 0; i < w->threads && w->code; i++)
        if (w->thread_err[i].text[0])
            *err = w->thread_err[i];
    return w->code;
}

/* Hours that a full supply lasts from a start on; to the end of what was looked at where it is not known to end. */
static void lasting(const lw_runs_work *w, double aim, int k, double *last_h)
{
    for (int i = 0; i < w->start_count; i++) {
        const double sure_h = 24.0 * lw_rows_sure_days(w->start[i], w->draws, w->to->supply[k], aim);
        last_h[i] = isinf(sure_h) ? w->look_h[i] : sure_h;
    }
}

static int start_before(const lw_runs_work *w, double at_h)
{
    const int start = ((int)(at_h / 24.0) - 1) / EVERY_DAYS;
    return start < 0 ? 0 : start < w->start_count ? start : w->start_count - 1;
}

static int start_after(const lw_runs_work *w, double at_h)
{
    const int start = ((int)(at_h / 24.0) - 1 + EVERY_DAYS - 1) / EVERY_DAYS;
    return start < 0 ? 0 : start < w->start_count ? start : w->start_count - 1;
}

static int16_t tick_of(const lw_runs_work *w, double at_h)
{
    const double tick = floor(at_h / w->to->tick_h + 1e-9);
    return (int16_t)(tick < LW_RUN_TICKS ? tick : LW_RUN_TICKS);
}

/* From coverage to coverage by so many litres, at what a full tank's time says of the use. */
static void fill_more(lw_runs_work *w, int k, int type, double amount, const double *last_h)
{
    const lw_runs_in *in = &w->to->in;
    int16_t *more = w->to->in.more[k][type];
    const double days_left_h = w->wished_h + 24.0;
    for (int u = 0; u <= in->end; u++) {
        double left = amount, at_h = (double)u * w->to->tick_h;
        while (left > EPS_L && at_h < (double)in->end * w->to->tick_h) {
            const double last = last_h[start_before(w, at_h)], rate = w->usable[k] / fmin(fmax(last, 0.5), days_left_h);
            const double step_h = fmin(left / rate, w->to->tick_h);
            left -= rate * step_h;
            at_h += step_h;
        }
        more[u] = left > EPS_L ? LW_RUN_TICKS : tick_of(w, at_h);
    }
}

static double measured_amount(const lw_errand_type *t, lw_supply supply)
{
    if (t->is_break_camp)
        return NAN;
    return supply == LW_SUPPLY_FRESH ? t->cans_l : supply == LW_SUPPLY_GREY ? t->waste_l : NAN;
}

void lw_runs_fill_cover(lw_runs_work *w, double aim)
{
    lw_runs_in *in = &w->to->in;
    const double since_h = (double)(w->to->start_s - w->to->tick0_s) / 3600.0;
    double last_h[LW_RUNS_DAYS] = {0.0};
    for (int k = 0; k < in->supply_count; k++) {
        const double sure_h = 24.0 * lw_rows_sure_days(w->row, w->draws, w->to->supply[k], aim);
        in->first[k] = tick_of(w, isinf(sure_h) ? 1e6 : since_h + sure_h);
        lasting(w, aim, k, last_h);
        for (int r = 0; r < in->type_count; r++) {
            const double amount = measured_amount(&w->to->errands.type[r], (lw_supply)w->to->supply[k]);
            for (int s = 0; s < in->slots; s++) {
                const double at_h = in->midnight_h[s];
                in->full[k][r][s] = tick_of(w, fmin(at_h + fmin(last_h[start_before(w, at_h + LW_RUNS_MORNING_H)],
                                                                last_h[start_after(w, at_h + LW_RUNS_MORNING_H)]),
                                                    1e6));
            }
            if (isnan(amount))
                for (int u = 0; u <= in->end; u++)
                    in->more[k][r][u] = LW_RUN_WHOLE;
            else
                fill_more(w, k, r, amount, last_h);
        }
    }
}

/* ------------------------------------------------------------------ days and hours */

/* Hours of a half day in which somebody grown up is free, or in which nobody works and the rig may make noise. */
static uint32_t free_hours(const lw_runs_work *w, int weekday, int is_afternoon, int is_rig)
{
    const lw_crew *crew = &w->base.base.scenario->crew;
    uint32_t some = 0, all = ~UINT32_C(0);
    for (int i = 0; i < crew->person_count; i++) {
        const lw_person *p = &crew->person[i];
        const uint32_t busy = p->work[weekday] | p->school[weekday];
        all &= ~busy;
        if (p->being == LW_BEING_ADULT)
            some |= ~(busy | p->away[weekday]);
    }
    const int from_hour = is_afternoon ? LW_RUNS_NOON_H : LW_RUNS_MORNING_H;
    const int to_hour = is_afternoon ? LW_RUNS_NIGHT_H : LW_RUNS_NOON_H;
    const uint32_t half = ((UINT32_C(1) << to_hour) - 1u) & ~((UINT32_C(1) << from_hour) - 1u);
    return half & (is_rig ? all & some & ~w->base.base.quiet[weekday] : some);
}

/* Hours of a day that are over when the sun sets; all where it does not. A rig is driven, and stands again, by daylight. */
static uint32_t hours_of_light(const lw_runs_work *w, int day)
{
    const lw_place *place = &w->base.base.scenario->place;
    const lw_sun_events_in in = {w->to->day0 + day, place->latitude_deg, place->longitude_deg, DELTA_T_S};
    lw_sun_events_out sun;
    lw_sun_events(&in, &sun);
    if (isnan(sun.sunset_s))
        return ~UINT32_C(0);
    const lw_clock sunset = lw_clock_at(&w->to->zone, (int64_t)sun.sunset_s);
    return sunset.day > w->to->day0 + day ? ~UINT32_C(0) : (UINT32_C(1) << sunset.hour) - 1u;
}

static int is_shut(const lw_errand_service *s, int64_t day)
{
    return (s->from_day && day < s->from_day) || (s->until_day && day > s->until_day) ||
           (s->closed_from && day >= s->closed_from && day <= s->closed_until);
}

void lw_runs_fill_services(lw_runs_work *w)
{
    lw_runs_planned *to = w->to;
    for (int j = 0; j < to->errands.service_count; j++) {
        const lw_errand_service *s = &to->errands.service[j];
        if (s->users == LW_ERRAND_UNKNOWN)
            continue;
        lw_run_service *row = &to->in.service[to->in.service_count];
        to->service[to->in.service_count++] = j;
        *row = lw_errand_row(s, to->supply, to->in.supply_count);
        for (int d = 0; d < to->in.slots; d++) {
            const int64_t day = to->day0 + d / 2;
            row->open[d] = is_shut(s, day) ? 0u : s->open[lw_weekday_of(day)];
        }
    }
}

static uint32_t carried_by(const lw_runs_work *w, const lw_errand_type *type)
{
    uint32_t bits = 0;
    for (int k = 0; k < w->to->in.supply_count; k++) {
        const lw_supply supply = (lw_supply)w->to->supply[k];
        const int is_by_rig = supply == LW_SUPPLY_FRESH || supply == LW_SUPPLY_GREY || supply == LW_SUPPLY_BLACK;
        if (type->is_break_camp || !is_by_rig || !isnan(measured_amount(type, supply)))
            bits |= UINT32_C(1) << k;
    }
    return bits;
}

static void fill_type(lw_runs_work *w, int r)
{
    lw_runs_in *in = &w->to->in;
    const lw_errand_type *t = &w->to->errands.type[r];
    lw_run_type *row = &in->type[r];
    const int first_day = w->base.base.arrived_s >= w->to->start_s ? 1 : 0; /* not on the day of arrival */
    *row = (lw_run_type){.carries = carried_by(w, t),
                         .own_h = t->ready_h,
                         .own_usd = t->trouble_usd + lw_errand_lost_usd(&w->to->errands, t, in->hour_usd),
                         .km_usd = t->km_usd,
                         .more_h = t->pour_h};
    for (int k = 0; k < in->supply_count && !t->is_break_camp; k++) {
        if (w->to->supply[k] == LW_SUPPLY_FRESH && !isnan(t->cans_l) && t->can_l > 0.0)
            row->each_h[k] = t->can_h * ceil(t->cans_said_l / t->can_l - 1e-9);
        if (w->to->supply[k] == LW_SUPPLY_GREY && !isnan(t->waste_l))
            row->each_h[k] = t->waste_h;
    }
    const lw_clock start = lw_clock_at(&w->to->zone, w->to->start_s);
    for (int s = 2 * first_day; s + 2 < in->slots; s++) { /* nor on that of departure */
        row->free[s] = free_hours(w, lw_weekday_of(w->to->day0 + s / 2), s % 2, t->is_break_camp);
        row->free[s] &= t->is_break_camp ? hours_of_light(w, s / 2) : ~UINT32_C(0);
        if (s < 2)
            row->free[s] &= ~((UINT32_C(2) << start.hour) - 1u); /* the hour that has begun is over */
    }
}

void lw_runs_fill_types(lw_runs_work *w)
{
    w->to->in.type_count = w->to->errands.type_count;
    for (int r = 0; r < w->to->in.type_count; r++)
        fill_type(w, r);
    for (int k = 0; k < w->to->in.supply_count; k++)
        for (int g = 0; g < w->to->in.supply_count; g++)
            if (w->to->supply[k] == LW_SUPPLY_BLACK && w->to->supply[g] == LW_SUPPLY_GREY)
                w->to->in.with[k] = UINT32_C(1) << g; /* one visit to the dump is paid once */
}
