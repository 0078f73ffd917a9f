#include "service/runs_plan.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/levers_internal.h"
#include "service/plan_source.h"
#include "service/pool.h"
#include "service/words_internal.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/quantity.h"
#include "text/say.h"

enum {
    EVERY_DAYS = 4,
    LOOK_DAYS = 32,
    AIMS_MOST = 10,
    FEW_FRESH = 1000,
    MORNING_H = 7,
    NOON_H = 14,
    TO_H = 21,
    CHANGE_BYTES = 160,
    LEVELS = 8
};

static const double AIM_STEP = 0.005, AIM_MOST = 0.999;
static const int64_t HOUR_S = 3600;

/* Errands serve these; the others renew or cannot be fetched. */
static const lw_supply FETCHED[] = {LW_SUPPLY_FRESH, LW_SUPPLY_DRINKING, LW_SUPPLY_GREY,    LW_SUPPLY_BLACK,
                                    LW_SUPPLY_FUEL,  LW_SUPPLY_PROPANE,  LW_SUPPLY_RUBBISH, LW_SUPPLY_FOOD};
enum { FETCHED_COUNT = sizeof FETCHED / sizeof FETCHED[0] };

typedef struct maker {
    const lw_runs_wish *wish;
    lw_runs_planned *to;
    lw_trials base;
    lw_outlook *plain;
    lw_trial_row *row; /* of the unchanged stay */
    double wished_h;
    int draws, threads;
    lw_trial_row **start; /* [type][start]: rows after a run on that morning; NULL: none */
    double *look_h;       /* of each start */
    int start_count;
    lw_err *thread_err;
    lw_code code; /* of the first start that failed */
} maker;

/* ------------------------------------------------------------------ loading */

typedef struct from {
    const lw_runs_wish *wish;
    int64_t begin_s;
} from;

static lw_code load(void *with, const char *const *change, int change_count, lw_loaded *loaded, lw_draw_start **start,
                    uint32_t *start_count, lw_err *err)
{
    const from *f = with;
    const char **all = calloc((size_t)change_count + 1, sizeof *all);
    char leave[160];
    int count = 0;
    *start = NULL;
    *start_count = 0;
    if (!all)
        return lw_fail(err, LW_E_FULL, "no memory for the changes of a scenario");
    snprintf(leave, sizeof leave, "stay.leave=%.140s", f->wish->until ? f->wish->until : "");
    if (f->wish->until)
        all[count++] = leave;
    for (int i = 0; i < change_count; i++)
        all[count++] = change[i];
    const lw_code code = lw_scenario_load(&(lw_scenario_from){.path = f->wish->path,
                                                              .change = all,
                                                              .change_count = count,
                                                              .now_s = f->wish->now_s,
                                                              .begin_s = f->begin_s},
                                          loaded, err);
    free(all);
    return code;
}

/* ------------------------------------------------------------------ how long supplies last */

static int64_t civil_s(const maker *m, int day, int hour)
{
    const lw_moment at = {.day = m->to->day0 + day, .second = hour * 3600};
    return lw_moment_utc(&at, &m->base.base.zone);
}

static double capacity_of(const maker *m, lw_supply supply)
{
    return m->plain->leeway[supply].capacity;
}

/* What a run of the type leaves of a supply, as a level of the scenario. 0: it does not serve it. */
static int level_after(const maker *m, const lw_errand_type *type, lw_supply supply, char *to)
{
    const double capacity = capacity_of(m, supply);
    const char *word = lw_supply_word(supply);
    if (!m->plain->leeway[supply].is_present || !(capacity > 0.0))
        return 0;
    if (!type->is_break_camp && supply == LW_SUPPLY_BLACK)
        return 0;
    if (!type->is_break_camp && supply == LW_SUPPLY_FRESH) {
        if (isnan(type->cans_l))
            return 0;
        snprintf(to, CHANGE_BYTES, "stay.levels.%s=%s L", word, lw_num(fmin(type->cans_l, capacity)).text);
    } else if (!type->is_break_camp && supply == LW_SUPPLY_GREY) {
        if (isnan(type->waste_l))
            return 0;
        snprintf(to, CHANGE_BYTES, "stay.levels.%s=%s L", word, lw_num(fmax(capacity - type->waste_l, 0.0)).text);
    } else
        snprintf(to, CHANGE_BYTES, "stay.levels.%s=%s", word, lw_supply_fills(supply) ? "empty" : "full");
    return 1;
}

static uint32_t carried_by(const maker *m, const lw_errand_type *type)
{
    char unused[CHANGE_BYTES];
    uint32_t bits = 0;
    for (int k = 0; k < m->to->in.supply_count; k++)
        bits |= level_after(m, type, (lw_supply)m->to->supply[k], unused) ? UINT32_C(1) << k : 0u;
    return bits;
}

static int day_of_start(int start)
{
    return 1 + start * EVERY_DAYS;
}

/* One job: the draws that begin on a morning with what a run of one type leaves. */
static void draw_start(void *with, int worker, int at)
{
    maker *m = with;
    const int type = at / m->start_count, start = at % m->start_count;
    const lw_errand_type *t = &m->to->errands.type[type];
    char level[FETCHED_COUNT][CHANGE_BYTES];
    const char *change[FETCHED_COUNT];
    int count = 0;
    from f = {.wish = m->wish, .begin_s = civil_s(m, day_of_start(start), MORNING_H)};
    lw_trials trials = {.load = load, .with = &f, .seed = m->wish->seed, .most_hours = LOOK_DAYS * 24};
    lw_trial trial;
    lw_bench bench;
    lw_err *err = &m->thread_err[worker];
    for (int k = 0; k < m->to->in.supply_count; k++)
        if (level_after(m, t, (lw_supply)m->to->supply[k], level[count]))
            change[count] = level[count], count++;
    if (f.begin_s >= m->to->departure_s)
        return;
    lw_code code = lw_trials_open(&trials, err);
    if (!code) {
        const int left_h = (int)((m->to->departure_s - trials.base.scenario->calendar.start_s + HOUR_S - 1) / HOUR_S);
        trials.most_hours = left_h < LOOK_DAYS * 24 ? left_h : LOOK_DAYS * 24;
        code = lw_trial_make(&trials, change, count, &trial, err);
        if (!code) {
            code = lw_bench_open(&trial, &bench, err);
            if (!code) {
                m->look_h[start] = left_h > LOOK_DAYS * 24 ? trial.horizon_h : INFINITY;
                lw_trial_rows(&trial, &bench, 0, (uint32_t)m->draws, m->start[at]);
                lw_bench_close(&bench);
            }
            lw_trial_clear(&trial);
        }
        lw_trials_close(&trials);
    }
    if (code && !m->code)
        m->code = code;
}

/* The hour of day 0 by which a half-day must be covered: a run in it is back by then. Even ones are mornings. */
static double needed_h(int half)
{
    const int day = half / 2;
    return 24.0 * day + (half % 2 ? TO_H : NOON_H);
}

static double begin_h(int half)
{
    const int day = half / 2;
    return 24.0 * day + (half % 2 ? NOON_H : MORNING_H);
}

/* Half-days behind that of the run through which a supply lasts, from the beginning of its half-day on. */
static int halves_after(const maker *m, int type, int start, int half, int k, double aim)
{
    const double sure_h =
        24.0 * lw_rows_sure_days(m->start[type * m->start_count + start], m->draws, m->to->supply[k], aim);
    const double last_h = isinf(sure_h) ? m->look_h[start] : sure_h;
    int more = 0;
    while (half + more < m->to->in.days && needed_h(half + more + 1) <= begin_h(half) + last_h)
        more++;
    return more;
}

static int least_int(int a, int b)
{
    return a < b ? a : b;
}

static void fill_lasts(maker *m, double aim)
{
    lw_runs_in *in = &m->to->in;
    const double since_h = (double)(m->to->start_s - civil_s(m, 0, 0)) / 3600.0;
    for (int k = 0; k < in->supply_count; k++) {
        const double sure_h = 24.0 * lw_rows_sure_days(m->row, m->draws, m->to->supply[k], aim);
        in->first[k] = 0;
        while (in->first[k] < in->days && needed_h(in->first[k]) <= since_h + sure_h)
            in->first[k]++;
        for (int r = 0; r < in->type_count; r++)
            for (int h = 0; h < in->days; h++) {
                const int d = h / 2 < 1 ? 1 : h / 2;
                const int before = least_int((d - 1) / EVERY_DAYS, m->start_count - 1);
                const int after = least_int((d - 1 + EVERY_DAYS - 1) / EVERY_DAYS, m->start_count - 1);
                in->lasts[k][r][h] =
                    least_int(halves_after(m, r, before, h, k, aim), halves_after(m, r, after, h, k, aim));
            }
    }
}

/* ------------------------------------------------------------------ days and hours */

static int is_grown(const lw_person *p)
{
    return p->being == LW_BEING_ADULT;
}

/* Hours of a weekday in which somebody grown up is free, or in which nobody works. */
static uint32_t free_hours(const lw_crew *crew, int weekday, int is_afternoon, int is_for_all)
{
    uint32_t some = 0, all = ~UINT32_C(0);
    for (int i = 0; i < crew->person_count; i++) {
        const lw_person *p = &crew->person[i];
        const uint32_t busy = p->work[weekday] | p->school[weekday];
        all &= ~busy;
        if (is_grown(p))
            some |= ~(busy | p->away[weekday]);
    }
    const int from_hour = is_afternoon ? NOON_H : MORNING_H, to_hour = is_afternoon ? TO_H : NOON_H;
    const uint32_t half = ((UINT32_C(1) << to_hour) - 1u) & ~((UINT32_C(1) << from_hour) - 1u);
    return half & (is_for_all ? all & some : some);
}

static void fill_services(maker *m)
{
    lw_runs_planned *to = m->to;
    lw_line ask = lw_line_of(to->ask, sizeof to->ask);
    int asks = 0;
    for (int j = 0; j < to->errands.service_count; j++) {
        const lw_errand_service *s = &to->errands.service[j];
        if (s->users == LW_ERRAND_UNKNOWN) {
            lw_line_add(&ask, "%s%s",
                        asks++ ? ", " : "Ask first whether you may use them; the plan does not rely on: ", s->name);
            continue;
        }
        lw_run_service *row = &to->in.service[to->in.service_count];
        to->service[to->in.service_count++] = j;
        *row = (lw_run_service){.road_h = s->road_h, .road_km = s->road_km, .time_h = s->time_h, .fee_usd = s->fee_usd};
        for (int k = 0; k < to->in.supply_count; k++)
            row->gives |= s->supplies >> to->supply[k] & 1u ? UINT32_C(1) << k : 0u;
        for (int d = 0; d < to->in.days; d++) {
            const int64_t day = to->day0 + d / 2;
            const int is_season = (!s->from_day || day >= s->from_day) && (!s->until_day || day <= s->until_day);
            row->open[d] = is_season ? s->open[lw_weekday_of(day)] : 0u;
        }
    }
    lw_line_add(&ask, "%s", asks ? "." : "");
}

static void fill_types(maker *m)
{
    lw_runs_in *in = &m->to->in;
    for (int r = 0; r < m->to->errands.type_count; r++) {
        const lw_errand_type *t = &m->to->errands.type[r];
        lw_run_type *row = &in->type[in->type_count++];
        *row = (lw_run_type){.carries = carried_by(m, t),
                             .own_h = t->ready_h,
                             .own_usd = t->trouble_usd,
                             .km_usd = t->km_usd,
                             .more_h = t->pour_h};
        for (int h = 2; h + 2 < in->days; h++) /* not on the days of arrival and departure */
            row->free[h] =
                free_hours(&m->base.base.scenario->crew, lw_weekday_of(m->to->day0 + h / 2), h % 2, t->is_break_camp);
    }
}

/* ------------------------------------------------------------------ the plan, measured */

static int put_event(const maker *m, const lw_run *run, int k, char *to)
{
    const lw_supply supply = (lw_supply)m->to->supply[k];
    const lw_errand_type *t = &m->to->errands.type[run->type];
    const int64_t at_s = civil_s(m, run->day / 2, run->from_hour) + (int64_t)(run->hours * HOUR_S / 2);
    char at[48], amount[64] = "";
    const char *how = lw_supply_fills(supply) ? "dump" : "fill";
    (void)lw_instant_print(at, sizeof at, (double)at_s, 0);
    if (!t->is_break_camp && supply == LW_SUPPLY_FRESH)
        how = "add", snprintf(amount, sizeof amount, ", amount: %s L", lw_num(t->cans_l).text);
    if (!t->is_break_camp && supply == LW_SUPPLY_GREY)
        how = "take", snprintf(amount, sizeof amount, ", amount: %s L", lw_num(t->waste_l).text);
    return snprintf(to, CHANGE_BYTES, "stay.events+={at: %s, do: %s, what: %s%s}", at, how, lw_supply_word(supply),
                    amount);
}

static double stays_frac(const maker *m, const lw_trial_row *row, int count)
{
    int stays = 0;
    for (int i = 0; i < count; i++) {
        int lasts = 1;
        for (int k = 0; k < m->to->in.supply_count && lasts; k++)
            lasts = row[i].end_h[m->to->supply[k]] >= (float)m->wished_h;
        stays += lasts;
    }
    return (double)stays / count;
}

static lw_code measure(maker *m, int draws, lw_err *err)
{
    enum { MOST = LW_TRANSFERS };
    char(*event)[CHANGE_BYTES] = calloc(MOST, sizeof *event);
    const char *change[MOST];
    lw_trial_row *row = calloc((size_t)draws, sizeof *row);
    lw_bench bench[LW_POOL_THREADS] = {{.scratch = NULL}};
    lw_trial trial;
    int count = 0;
    lw_code code = event && row ? LW_OK : lw_fail(err, LW_E_FULL, "no memory to measure a plan");
    for (int i = 0; !code && i < m->to->out.count; i++)
        for (int k = 0; k < m->to->in.supply_count && count < MOST; k++)
            if (m->to->out.run[i].supplies >> k & 1u) {
                (void)put_event(m, &m->to->out.run[i], k, event[count]);
                change[count] = event[count];
                count++;
            }
    code = code ? code : lw_trial_make(&m->base, change, count, &trial, err);
    if (!code) {
        for (int i = 0; i < m->threads && !code; i++)
            code = lw_bench_open(&trial, &bench[i], err);
        if (!code) {
            lw_trial_rows_spread(&trial, bench, m->threads, LW_TRIAL_FRESH, (uint32_t)draws, row);
            m->to->fresh_frac = stays_frac(m, row, draws);
        }
        for (int i = 0; i < m->threads; i++)
            lw_bench_close(&bench[i]);
        lw_trial_clear(&trial);
    }
    free(event);
    free(row);
    return code;
}

static lw_code find_plan(maker *m, lw_err *err)
{
    lw_runs_planned *to = m->to;
    lw_arena arena = {.cap = lw_runs_bytes()};
    lw_fault fault = {0};
    double aim = m->wish->confidence_frac;
    lw_code code = LW_OK;
    arena.base = malloc(arena.cap);
    if (!arena.base)
        return lw_fail(err, LW_E_FULL, "no memory to plan runs");
    for (int i = 0; i < AIMS_MOST && !code && !to->is_reached; i++) {
        lw_runs_out out = {.is_found = 0};
        fill_lasts(m, aim);
        arena.used = 0;
        code = lw_runs_check(&to->in, &fault) || lw_runs_plan(&to->in, &arena, &out, &fault) ? lw_fault_say(&fault, err)
                                                                                             : LW_OK;
        if (code || (i > 0 && !out.is_found))
            break;
        to->out = out;
        if (!out.is_found)
            break;
        to->aimed_frac = aim;
        to->tightened = i;
        code = measure(m, least_int(FEW_FRESH, to->fresh_draws), err); /* few tell soon that it is not enough */
        if (!code && to->fresh_frac >= m->wish->confidence_frac)
            code = measure(m, to->fresh_draws, err);
        to->is_reached = !code && to->fresh_frac >= m->wish->confidence_frac;
        aim = fmin(aim + fmax(m->wish->confidence_frac - to->fresh_frac, 0.0) * 0.5 + AIM_STEP, AIM_MOST);
    }
    free(arena.base);
    return code;
}

/* ------------------------------------------------------------------ sentences */

static const char *percent(double frac, char buf[LW_DECIMAL_BYTES])
{
    lw_decimal_print(buf, LW_DECIMAL_BYTES, floor(frac * 1000.0) / 10.0, 1, 0);
    return buf;
}

static const char *whole(double value, char buf[LW_DECIMAL_BYTES])
{
    lw_decimal_print(buf, LW_DECIMAL_BYTES, nearbyint(value), 0, 0);
    return buf;
}

static const char *does_say(lw_supply supply)
{
    static const char *const DOES[LW_SUPPLY_COUNT] = {
        [LW_SUPPLY_FRESH] = "water in",      [LW_SUPPLY_DRINKING] = "drinking water",
        [LW_SUPPLY_GREY] = "grey out",       [LW_SUPPLY_BLACK] = "black out",
        [LW_SUPPLY_PROPANE] = "gas",         [LW_SUPPLY_FUEL] = "fuel",
        [LW_SUPPLY_RUBBISH] = "rubbish out", [LW_SUPPLY_FOOD] = "groceries"};
    return DOES[supply] ? DOES[supply] : "";
}

static void say_run(const maker *m, int at)
{
    lw_runs_planned *to = m->to;
    const lw_run *run = &to->out.run[at];
    lw_planned_run *planned = &to->run[at];
    char leave[LW_WHEN], back[LW_WHEN], usd[LW_DECIMAL_BYTES], km[LW_QUANTITY_BYTES];
    lw_line line = lw_line_of(planned->sentence, sizeof planned->sentence);
    planned->leave_s = civil_s(m, run->day / 2, run->from_hour);
    planned->back_s = planned->leave_s + (int64_t)(run->spent_h * 3600.0);
    const lw_unit_system units = m->wish->has_units ? m->wish->choice.units : m->base.base.units;
    lw_line_add(&line, "%s to %s, by %s: ",
                lw_when_print(leave, sizeof leave, &m->base.base.zone, planned->leave_s, m->wish->choice.is_12_hour),
                lw_hour_print(back, sizeof back, &m->base.base.zone, planned->back_s, m->wish->choice.is_12_hour),
                to->errands.type[run->type].name);
    int told = 0;
    for (int j = 0; j < to->in.service_count; j++)
        if (run->services >> j & 1u)
            lw_line_add(&line, "%s%s", told++ ? ", " : "", to->errands.service[to->service[j]].name);
    told = 0;
    for (int k = 0; k < to->in.supply_count; k++)
        if (run->supplies >> k & 1u)
            lw_line_add(&line, "%s%s", told++ ? ", " : " for ", does_say((lw_supply)to->supply[k]));
    lw_line_add(&line, ". %s of road, %s USD.",
                lw_quantity_print(km, sizeof km, run->road_km * 1000.0, LW_DIM_LENGTH, units), whole(run->usd, usd));
}

static void say_plan(maker *m)
{
    lw_runs_planned *to = m->to;
    char when[LW_WHEN], a[LW_DECIMAL_BYTES], b[LW_DECIMAL_BYTES], name[64];
    lw_line line = lw_line_of(to->headline, sizeof to->headline);
    lw_when_print(when, sizeof when, &m->base.base.zone, to->departure_s, m->wish->choice.is_12_hour);
    for (int i = 0; i < to->out.count; i++)
        say_run(m, i);
    if (!to->out.is_found && to->out.short_supply >= 0)
        lw_line_add(&line, "No runs keep the stay going until %s with %s %%: nothing here serves %s often enough.",
                    when, percent(to->confidence_frac, a),
                    lw_lower_first(lw_subject_say((lw_supply)to->supply[to->out.short_supply]), name, sizeof name));
    else if (!to->out.is_found)
        lw_line_add(&line,
                    "No runs keep the stay going until %s with %s %%: one a day, in free and open hours, is too few.",
                    when, percent(to->confidence_frac, a));
    else if (to->out.count == 0)
        lw_line_add(&line, "No run is needed until %s.", when);
    else
        lw_line_add(&line, "To stay until %s, %d run%s, %s USD in all with your time:", when, to->out.count,
                    to->out.count == 1 ? "" : "s", whole(to->out.usd, b));
    if (!to->out.is_found)
        return;
    line = lw_line_of(to->measured, sizeof to->measured);
    lw_line_add(&line,
                "Of %s fresh courses of weather and use %s %% then run short of nothing before you leave%s; without "
                "runs %s %%.",
                whole(to->fresh_draws, b), percent(to->fresh_frac, a), to->is_reached ? "" : ", less than you wish",
                percent(to->without_frac, when));
}

/* ------------------------------------------------------------------ all of it */

static lw_code open_base(maker *m, lw_err *err)
{
    lw_runs_planned *to = m->to;
    lw_trial trial;
    lw_bench bench[LW_POOL_THREADS] = {{.scratch = NULL}};
    const lw_scenario *s = m->base.base.scenario;
    to->start_s = s->calendar.start_s;
    to->departure_s = s->stay.departure_s;
    if (!to->departure_s || to->departure_s <= to->start_s)
        return lw_fail(err, LW_E_MISSING,
                       "runs are planned until you leave: say when with --until, or stay.leave in the scenario");
    m->wished_h = (double)(to->departure_s - to->start_s) / 3600.0;
    if (m->wished_h > LW_RUNS_DAYS * 24.0)
        return lw_fail(err, LW_E_RANGE, "a stay of more than %d days; plan a part of it with --until", LW_RUNS_DAYS);
    const lw_clock first = lw_clock_at(&m->base.base.zone, to->start_s),
                   last = lw_clock_at(&m->base.base.zone, to->departure_s);
    to->day0 = first.day;
    to->in.days = 2 * ((int)(last.day - to->day0) + 1);
    m->base.most_hours = (int)ceil(m->wished_h);
    lw_code code = lw_trial_make(&m->base, NULL, 0, &trial, err);
    if (code)
        return code;
    lw_trial_plain(&trial, m->plain);
    for (int i = 0; i < m->threads && !code; i++)
        code = lw_bench_open(&trial, &bench[i], err);
    if (!code)
        lw_trial_rows_spread(&trial, bench, m->threads, 0, (uint32_t)m->draws, m->row);
    for (int i = 0; i < m->threads; i++)
        lw_bench_close(&bench[i]);
    lw_trial_clear(&trial);
    if (!code && s->stay.stay_end_s && s->stay.stay_end_s < to->departure_s) {
        char when[LW_WHEN];
        code = lw_fail(
            err, LW_E_CONFLICT, "the place allows no stay past %s; plan until then with --until",
            lw_when_print(when, sizeof when, &m->base.base.zone, s->stay.stay_end_s, m->wish->choice.is_12_hour));
    }
    return code;
}

static lw_code draw_starts(maker *m, lw_err *err)
{
    const int types = m->to->in.type_count;
    m->start_count = (m->to->in.days / 2 + EVERY_DAYS - 1) / EVERY_DAYS;
    const int jobs = m->start_count * types;
    m->start = calloc((size_t)jobs + 1, sizeof(void *));
    m->look_h = calloc((size_t)m->start_count, sizeof *m->look_h);
    if (!m->start || !m->look_h)
        return lw_fail(err, LW_E_FULL, "no memory to plan runs");
    for (int i = 0; i < jobs; i++) {
        m->start[i] = calloc((size_t)m->draws, sizeof **m->start);
        if (!m->start[i])
            return lw_fail(err, LW_E_FULL, "no memory to plan runs");
        for (int d = 0; d < m->draws; d++)
            for (int k = 0; k < LW_SUPPLY_COUNT; k++)
                m->start[i][d].end_h[k] = INFINITY;
    }
    for (int i = 0; i < m->start_count; i++)
        m->look_h[i] = INFINITY;
    lw_pool_run(m->threads, jobs, draw_start, m);
    for (int i = 0; i < m->threads && m->code; i++)
        if (m->thread_err[i].text[0])
            *err = m->thread_err[i];
    return m->code;
}

static lw_code make(maker *m, lw_err *err)
{
    lw_runs_planned *to = m->to;
    lw_code code = open_base(m, err);
    if (code)
        return code;
    for (int i = 0; i < FETCHED_COUNT; i++)
        if (m->plain->leeway[FETCHED[i]].is_present &&
            !isinf(lw_rows_sure_days(m->row, m->draws, (int)FETCHED[i], AIM_MOST)))
            to->supply[to->in.supply_count++] = (int)FETCHED[i];
    to->without_frac = stays_frac(m, m->row, m->draws);
    if (to->in.supply_count == 0) {
        to->out = (lw_runs_out){.is_found = 1, .short_supply = -1};
        to->fresh_frac = 1.0, to->is_reached = 1;
        to->fresh_draws = m->draws;
        say_plan(m);
        return LW_OK;
    }
    fill_services(m);
    fill_types(m);
    code = draw_starts(m, err);
    code = code ? code : find_plan(m, err);
    if (!code)
        say_plan(m);
    return code;
}

static void give_back(maker *m)
{
    for (int i = 0; m->start && i < m->start_count * m->to->in.type_count; i++)
        free(m->start[i]);
    free(m->start);
    free(m->look_h);
    free(m->row);
    free(m->plain);
    free(m->thread_err);
    lw_trials_close(&m->base);
}

lw_code lw_runs_plan_make(const lw_runs_wish *wish, const lw_errands *errands, lw_runs_planned *plan, lw_err *err)
{
    from f = {.wish = wish};
    maker m = {.wish = wish, .to = plan, .threads = lw_pool_threads(wish->threads)};
    m.draws = wish->draws > 0 ? wish->draws : LW_RUNS_DRAWS_USUAL;
    *plan = (lw_runs_planned){.errands = *errands, .confidence_frac = wish->confidence_frac, .draws = m.draws};
    plan->fresh_draws = wish->fresh > 0 ? wish->fresh : LW_RUNS_FRESH;
    plan->in.hour_usd = wish->hour_usd;
    if (!(wish->confidence_frac >= 0.5 && wish->confidence_frac <= 0.99))
        return lw_fail(err, LW_E_RANGE, "a confidence of %s; give 0.5 to 0.99", lw_num(wish->confidence_frac).text);
    lw_code code = isnan(wish->hour_usd) ? lw_levers_price("hour", &plan->in.hour_usd, err) : LW_OK;
    if (code)
        return code;
    m.base = (lw_trials){.load = load, .with = &f, .seed = wish->seed, .threads = wish->threads};
    m.plain = malloc(sizeof *m.plain);
    m.row = calloc((size_t)m.draws, sizeof *m.row);
    m.thread_err = calloc((size_t)m.threads, sizeof *m.thread_err);
    if (!m.plain || !m.row || !m.thread_err)
        code = lw_fail(err, LW_E_FULL, "no memory to plan runs");
    code = code ? code : lw_trials_open(&m.base, err);
    code = code ? code : make(&m, err);
    give_back(&m);
    return code;
}
