#include "service/generator_plan.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/power/generator.h"
#include "service/generator_plan_internal.h"
#include "service/pool.h"
#include "service/words_internal.h"
#include "text/say.h"

enum {
    STRETCH = 50, /* draws of one job: sums are added up by stretch, so that threads do not matter */
    FEW_FRESH = 1000,
    DAY_FROM_H = 8, /* the day is preferred where no rule forbids the night: as in leeway today */
    DAY_TO_H = 22,
    SKIP_STEPS = 7, /* halvings of the level from which a run can be left out */
};

/* Steps of the aim: the share of draws in which a day is no poorer than the model's. */
static const double AIM[] = {0.20, 0.30, 0.40, 0.50, 0.60, 0.70, 0.75, 0.80,
                             0.85, 0.90, 0.93, 0.95, 0.97, 0.98, 0.99, 0.995};
enum { AIMS = sizeof AIM / sizeof AIM[0] };

/* The sums of a stretch of draws. */
typedef struct sums {
    int kept, enough[LW_GENERATOR_DAYS], runs[LW_GENERATOR_WINDOWS];
    double fuel, running_h, run_fuel[LW_GENERATOR_WINDOWS], before[LW_GENERATOR_WINDOWS], after[LW_GENERATOR_WINDOWS];
} sums;

/* What a thread works on. */
typedef struct desk {
    void *scratch, *memory;
    lw_set_course *course;
} desk;

typedef struct weighed {
    float balance_wh;
    uint32_t draw;
} weighed;

typedef struct maker {
    lw_trials *trials;
    lw_generator_plan *to;
    lw_trial trial;
    lw_scenario *scenario; /* of the trial */
    desk desk[LW_POOL_THREADS];
    int threads, draws, days, floor_from;
    weighed *weighed;    /* [day][draw]; then each day's by rank, the poorest first */
    uint32_t *by_charge; /* starts of learning, the emptiest battery first */
    lw_set_hours_in in;
    lw_set_hours_out out;
    lw_arena planning;
    int16_t run_of[LW_SET_HOURS]; /* which run begins in the hour, or -1 */
    sums *sum;
    uint32_t first_draw;
    int asked; /* draws of this measuring */
    int mode;
} maker;

enum { AS_PLANNED = 0, NEVER, ALWAYS };

/* ------------------------------------------------------------------ poor days */

static void weigh_draw(void *with, int worker, int at)
{
    maker *m = with;
    desk *d = &m->desk[worker];
    lw_state state;
    const lw_context *draw = lw_ensemble_draw(m->trial.ensemble, (uint32_t)at, d->scratch);
    lw_set_course_take(d->course, draw, 0, LW_DAYS + 2, 1);
    lw_state_start(draw, &state);
    for (int h = 0; h < m->in.hours; h++) {
        lw_set_hour told;
        lw_set_course_hour(d->course, h, 0, &state, &told);
        m->weighed[lw_set_course_day(d->course, h) * m->draws + at].balance_wh += (float)told.balance_wh;
    }
    for (int day = 0; day < m->days; day++)
        m->weighed[day * m->draws + at].draw = (uint32_t)at;
}

static int is_poorer(const void *a, const void *b)
{
    const weighed *p = a, *q = b;
    if (p->balance_wh < q->balance_wh || p->balance_wh > q->balance_wh)
        return p->balance_wh < q->balance_wh ? -1 : 1;
    return p->draw < q->draw ? -1 : p->draw > q->draw;
}

static int rank_of(double aim, int count)
{
    const int rank = (int)floor((1.0 - aim) * count);
    return rank < count ? rank : count - 1;
}

/* Of learned starts the one of the aimed rank by charge; else the scenario's own. */
static void poor_start(const maker *m, double aim, lw_state *state)
{
    if (m->trial.start_count > 0)
        *state = m->trial.start[m->by_charge[rank_of(aim, (int)m->trial.start_count)]].state;
    else
        lw_state_start(m->trial.context, state);
}

static void compose(maker *m, double aim)
{
    desk *d = &m->desk[0];
    lw_set_course_take(d->course, m->trial.context, 0, LW_DAYS + 2, 1);
    for (int day = 0; day < m->days; day++) {
        const uint32_t draw = m->weighed[day * m->draws + rank_of(aim, m->draws)].draw;
        lw_set_course_take(d->course, lw_ensemble_draw(m->trial.ensemble, draw, d->scratch), day, day + 1, 0);
    }
    poor_start(m, aim, &m->in.start);
    m->in.course = d->course;
    /* A battery that begins below its floor counts from where running would have brought it above. */
    lw_state state = m->in.start;
    m->in.floor_from = 0;
    for (int h = 0;
         h < m->in.hours && lw_set_course_frac(d->course, &state) <= lw_set_course_floor_frac(d->course, &state); h++) {
        lw_set_hour told;
        lw_set_course_hour(d->course, h, 1, &state, &told);
        m->in.floor_from = h + 1;
    }
    m->floor_from = m->in.floor_from;
}

/* ------------------------------------------------------------------ runs of the plan */

static int is_night(const lw_scenario *scenario, int hour)
{
    return scenario->calendar.civil_hour[hour] < DAY_FROM_H || scenario->calendar.civil_hour[hour] >= DAY_TO_H;
}

static void list_runs(maker *m)
{
    lw_generator_plan *to = m->to;
    const int64_t start_s = m->scenario->calendar.start_s;
    to->run_count = 0;
    memset(m->run_of, -1, sizeof m->run_of);
    for (int h = 0; h < m->in.hours; h++) {
        if (!m->out.on[h])
            continue;
        const int goes_on = h > 0 && m->out.on[h - 1];
        if (!goes_on) {
            m->run_of[h] = (int16_t)to->run_count;
            to->run[to->run_count++] =
                (lw_generator_run){.from_s = start_s + (int64_t)h * 3600, .from_hour = h, .skip_from_frac = NAN};
        }
        lw_generator_run *run = &to->run[to->run_count - 1];
        run->hours++;
        run->is_at_night |= is_night(m->scenario, h);
        run->until_s = start_s + (int64_t)(h + 1) * 3600;
    }
}

static int serves_need(const maker *m, const lw_generator_run *run)
{
    for (int i = 0; i < m->in.need_count; i++)
        for (int h = run->from_hour; h < run->from_hour + run->hours; h++)
            if (h >= m->in.need[i].from && h < m->in.need[i].until)
                return 1;
    return 0;
}

/* The hour in which the floor is passed when a run is left out at that level; -1: none. The later runs are as planned. */
static int floor_without(const maker *m, const lw_generator_run *run, lw_state state, double level_frac)
{
    if (level_frac > 0.0)
        lw_set_course_charge(m->in.course, level_frac, &state);
    for (int h = run->from_hour; h < m->in.hours; h++) {
        lw_set_hour told;
        const int is_left = h < run->from_hour + run->hours;
        lw_set_course_hour(m->in.course, h, m->out.on[h] && !is_left, &state, &told);
        if (told.is_under_floor && h >= m->in.floor_from)
            return h;
    }
    return -1;
}

static double skip_level(const maker *m, const lw_generator_run *run, const lw_state *state)
{
    double low = lw_set_course_frac(m->in.course, state), high = 1.0;
    if (floor_without(m, run, *state, high) >= 0)
        return NAN;
    for (int i = 0; i < SKIP_STEPS; i++) {
        const double middle = 0.5 * (low + high);
        if (floor_without(m, run, *state, middle) >= 0)
            low = middle;
        else
            high = middle;
    }
    return ceil(high * 100.0) / 100.0;
}

static void find_skips(maker *m)
{
    lw_state state = m->in.start;
    for (int h = 0; h < m->in.hours; h++) {
        lw_set_hour told;
        if (m->run_of[h] >= 0) {
            lw_generator_run *run = &m->to->run[m->run_of[h]];
            const int passed = floor_without(m, run, state, 0.0);
            run->floor_s = passed < 0 ? 0 : m->scenario->calendar.start_s + (int64_t)passed * 3600;
            run->skip_from_frac = serves_need(m, run) ? NAN : skip_level(m, run, &state);
        }
        lw_set_course_hour(m->in.course, h, m->out.on[h], &state, &told);
    }
}

/* ------------------------------------------------------------------ chances */

static int is_on(const maker *m, const lw_set_course *course, int h, const lw_state *state, int *skips_until)
{
    if (m->mode != AS_PLANNED)
        return m->mode == ALWAYS;
    const lw_generator_run *run = m->run_of[h] >= 0 ? &m->to->run[m->run_of[h]] : NULL;
    if (run && lw_set_course_frac(course, state) >= run->skip_from_frac)
        *skips_until = h + run->hours;
    return m->out.on[h] && h >= *skips_until;
}

static void measure_draw(const maker *m, desk *d, uint32_t number, sums *sum)
{
    const lw_context *draw = lw_ensemble_draw(m->trial.ensemble, number, d->scratch);
    lw_state state;
    int skips_until = 0, passed = INT32_MAX, now = -1;
    lw_set_course_take(d->course, draw, 0, LW_DAYS + 2, 1);
    lw_state_start(draw, &state);
    for (int h = 0; h < m->in.hours; h++) {
        lw_set_hour told;
        const int runs = is_on(m, d->course, h, &state, &skips_until);
        if (runs && m->mode == AS_PLANNED && m->run_of[h] >= 0) {
            now = m->run_of[h];
            sum->runs[now]++;
            sum->before[now] += lw_set_course_frac(d->course, &state);
        }
        lw_set_course_hour(d->course, h, runs, &state, &told);
        if (told.is_under_floor && h >= m->floor_from && passed > h)
            passed = h;
        sum->fuel += told.fuel;
        sum->running_h += told.running_h;
        if (runs && now >= 0) {
            sum->run_fuel[now] += told.fuel;
            if (h + 1 == m->to->run[now].from_hour + m->to->run[now].hours)
                sum->after[now] += lw_set_course_frac(d->course, &state);
        }
    }
    sum->kept += passed == INT32_MAX;
    for (int i = 0; i < m->to->work_count; i++)
        sum->enough[i] += passed >= m->to->work[i].hour;
}

static void measure_stretch(void *with, int worker, int at)
{
    maker *m = with;
    const int first = at * STRETCH, last = first + STRETCH < m->asked ? first + STRETCH : m->asked;
    m->sum[at] = (sums){.kept = 0};
    for (int i = first; i < last; i++)
        measure_draw(m, &m->desk[worker], m->first_draw + (uint32_t)i, &m->sum[at]);
}

/* Ranges of draws that are apart: those that look for the aim, those whose chance is told, those that it is held against. */
enum { TOLD = LW_TRIAL_FRESH, SOUGHT = LW_TRIAL_FRESH + (1 << 20), FURTHER = LW_TRIAL_FRESH + (1 << 21) };

static sums measure(maker *m, int mode, uint32_t first_draw, int draws)
{
    sums all = {.kept = 0};
    const int stretches = (draws + STRETCH - 1) / STRETCH;
    m->mode = mode;
    m->asked = draws;
    m->first_draw = first_draw;
    lw_pool_run(m->threads, stretches, measure_stretch, m);
    for (int at = 0; at < stretches; at++) {
        const sums *s = &m->sum[at];
        all.kept += s->kept;
        all.fuel += s->fuel;
        all.running_h += s->running_h;
        for (int i = 0; i < m->to->work_count; i++)
            all.enough[i] += s->enough[i];
        for (int i = 0; i < m->to->run_count; i++) {
            all.runs[i] += s->runs[i];
            all.run_fuel[i] += s->run_fuel[i];
            all.before[i] += s->before[i];
            all.after[i] += s->after[i];
        }
    }
    return all;
}

static void keep_measured(maker *m, const sums *all, int draws)
{
    lw_generator_plan *to = m->to;
    to->fresh_frac = (double)all->kept / draws;
    to->fresh_draws = draws;
    to->fuel = all->fuel / draws;
    to->running_h = all->running_h / draws;
    for (int i = 0; i < to->work_count; i++)
        to->work[i].enough_frac = (double)all->enough[i] / draws;
    for (int i = 0; i < to->run_count; i++) {
        lw_generator_run *run = &to->run[i];
        const double n = all->runs[i] > 0 ? (double)all->runs[i] : (double)NAN;
        run->runs_frac = (double)all->runs[i] / draws;
        run->fuel = all->run_fuel[i] / n;
        run->before_frac = all->before[i] / n;
        run->after_frac = all->after[i] / n;
    }
}

/* ------------------------------------------------------------------ the aim */

/* 0: no hours keep the floor on such days. */
static int plan_at(maker *m, int aim, lw_err *err, lw_code *code)
{
    lw_fault fault = {0};
    compose(m, AIM[aim]);
    m->planning.used = 0;
    if (lw_set_hours_check(&m->in, &fault) || lw_set_hours_plan(&m->in, &m->planning, &m->out, &fault)) {
        *code = lw_fault_say(&fault, err);
        return 0;
    }
    if (!m->out.is_found)
        return 0;
    list_runs(m);
    find_skips(m);
    m->to->aimed_frac = AIM[aim];
    return 1;
}

static int least_int(int a, int b)
{
    return a < b ? a : b;
}

/* The lowest aim that a few fresh draws do not refute; AIMS: every one that keeps the floor at all is refuted. *top: the highest that
 * keeps it, -1: none. */
static int first_aim(maker *m, int *top, lw_err *err, lw_code *code)
{
    const int few = least_int(FEW_FRESH, m->to->wish.fresh);
    int low = 0, high = AIMS;
    *top = AIMS - 1;
    while (low < high && !*code) {
        const int middle = (low + high) / 2;
        if (middle > *top || !plan_at(m, middle, err, code)) {
            *top = least_int(*top, middle - 1);
            high = middle;
        } else if ((double)measure(m, AS_PLANNED, SOUGHT, few).kept / few >= m->to->wish.confidence_frac)
            high = middle;
        else
            low = middle + 1;
    }
    return low;
}

/* From there on more draws decide; where none is enough, the highest aim that keeps the floor on its own days is told. */
static lw_code find_aim(maker *m, lw_err *err)
{
    lw_generator_plan *to = m->to;
    lw_code code = LW_OK;
    int top, aim = first_aim(m, &top, err, &code);
    if (code || top < 0)
        return code;
    for (aim = least_int(aim, top); aim <= top && !to->is_reached && !code; aim++) {
        if (!plan_at(m, aim, err,
                     &code)) /* an aim below one that keeps the floor keeps it; if not, the one before stays */
            continue;
        to->is_found = 1;
        const sums all = measure(m, AS_PLANNED, TOLD, to->wish.fresh);
        keep_measured(m, &all, to->wish.fresh);
        to->is_reached = to->fresh_frac >= to->wish.confidence_frac;
        to->is_exact = m->out.is_exact;
        to->usd = m->out.usd;
        to->bound_usd = m->out.bound_usd;
        if (to->wish.further > 0)
            to->further_frac = (double)measure(m, AS_PLANNED, FURTHER, to->wish.further).kept / to->wish.further;
    }
    return code;
}

/* ------------------------------------------------------------------ what is asked of the hours */

static void price_hours(maker *m, double night_usd)
{
    const lw_generator_wishes *wishes = &m->trial.loaded.generator_wishes;
    const lw_calendar *calendar = &m->scenario->calendar;
    for (int h = 0; h < m->in.hours; h++) {
        m->in.hour_usd[h] = is_night(m->scenario, h) ? night_usd : 0.0;
        for (int i = 0; i < wishes->bother_count; i++)
            if (lw_is_in_hours(wishes->bother[i].hours, calendar, h) && wishes->bother[i].per_hour_usd > 0.0)
                m->in.hour_usd[h] += wishes->bother[i].per_hour_usd;
    }
}

/* Each stretch of hours of a need asks for its running, or for what is allowed of it. */
static void ask_needs(maker *m)
{
    const lw_generator_wishes *wishes = &m->trial.loaded.generator_wishes;
    const lw_calendar *calendar = &m->scenario->calendar;
    for (int k = 0; k < wishes->need_count; k++)
        for (int h = 0; h < m->in.hours;) {
            int allowed = 0;
            const int from = h;
            for (; h < m->in.hours && lw_is_in_hours(wishes->need[k].hours, calendar, h); h++)
                allowed += lw_set_course_may_run(m->desk[0].course, h);
            const double asked_h = isnan(wishes->need[k].run_h) ? 1.0 : wishes->need[k].run_h;
            if (allowed > 0 && m->in.need_count < LW_SET_NEEDS)
                m->in.need[m->in.need_count++] = (lw_set_need){
                    .kind = k, .from = from, .until = h, .least_h = least_int((int)ceil(asked_h - 1e-9), allowed)};
            h += h == from;
        }
}

/* The last hour of work or school in camp of each day. */
static void list_work(maker *m)
{
    const lw_crew *crew = &m->scenario->crew;
    const lw_calendar *calendar = &m->scenario->calendar;
    lw_generator_plan *to = m->to;
    for (int h = 0; h < m->in.hours; h++) {
        int works = 0;
        for (int i = 0; i < crew->person_count; i++) {
            const lw_person *p = &crew->person[i];
            works |= lw_is_in_hours(p->work, calendar, h) || lw_is_in_hours(p->school, calendar, h);
        }
        if (!works)
            continue;
        const int is_same =
            to->work_count > 0 && calendar->civil_day[to->work[to->work_count - 1].hour - 1] == calendar->civil_day[h];
        if (!is_same && to->work_count == LW_GENERATOR_DAYS)
            return;
        to->work_count += !is_same;
        to->work[to->work_count - 1] =
            (lw_work_day){.until_s = calendar->start_s + (int64_t)(h + 1) * 3600, .hour = h + 1};
    }
}

static lw_code price(maker *m, lw_err *err)
{
    lw_generator_plan *to = m->to;
    const lw_generator_wishes *wishes = &m->trial.loaded.generator_wishes;
    double night_usd = NAN;
    to->fuel_usd = NAN;
    to->per_hour_usd = wishes->per_hour_usd;
    to->per_start_usd = wishes->per_start_usd;
    to->prices.units = to->wish.choice.units;
    lw_code code = lw_price_take(to->is_gas ? "propane" : "fuel", &to->fuel_usd, NULL, &to->prices, err);
    code = code ? code : lw_price_take("generator-hour", &to->per_hour_usd, "rig.generator.per_hour", &to->prices, err);
    code =
        code ? code : lw_price_take("generator-start", &to->per_start_usd, "rig.generator.per_start", &to->prices, err);
    code = code ? code : lw_price_take("generator-night", &night_usd, NULL, &to->prices, err);
    if (code)
        return code;
    m->in.fuel_usd = to->fuel_usd;
    m->in.running_usd = to->per_hour_usd;
    m->in.start_usd = to->per_start_usd;
    price_hours(m, night_usd);
    return LW_OK;
}

/* ------------------------------------------------------------------ opening and closing */

static lw_code want_set(const lw_scenario *s, lw_err *err)
{
    if (!s->rig.generator.is_present)
        return lw_fail(err, LW_E_MISSING, "the rig has no generator: rig.generator says its power and fuel");
    if (!(s->rig.battery.capacity_ah > 0.0))
        return lw_fail(err, LW_E_MISSING, "the rig has no battery to keep up: rig.battery");
    if (!(s->rig.charger.rated_a > 0.0))
        return lw_fail(err, LW_E_MISSING,
                       "the rig has no charger between generator and battery: rig.charger says its current");
    return LW_OK;
}

static lw_code open_trial(maker *m, lw_err *err)
{
    static const char *const BY_HAND[] = {"rig.generator.automatic=no", "rig.generator.run=never"};
    const lw_scenario *base = m->trials->base.scenario;
    const lw_code bad = want_set(base, err);
    if (bad)
        return bad;
    int hours = LW_SET_DAYS * 24;
    if (base->stay.departure_s) {
        const int64_t left_s = base->stay.departure_s - base->calendar.start_s;
        m->to->is_to_departure = left_s <= (int64_t)hours * 3600;
        hours = m->to->is_to_departure ? (int)((left_s + 3599) / 3600) : hours;
    }
    if (hours < 1)
        return lw_fail(err, LW_E_RANGE, "the stay is over: there is no day to plan for");
    m->trials->most_hours = hours;
    const lw_code code = lw_trial_make(m->trials, BY_HAND, 2, &m->trial, err);
    if (code)
        return code;
    m->scenario = m->trial.loaded.scenario;
    m->in.hours = hours;
    m->days = m->scenario->calendar.civil_day[hours - 1] - m->scenario->calendar.civil_day[0] + 1;
    m->to->hours = hours;
    m->to->start_s = m->scenario->calendar.start_s;
    m->to->until_s = m->to->start_s + (int64_t)hours * 3600;
    m->to->floor_frac = m->scenario->rig.battery.floor_frac;
    m->to->is_gas = m->scenario->rig.generator.fuel == LW_ENGINE_FUEL_LPG;
    return LW_OK;
}

static lw_code open_desks(maker *m, lw_err *err)
{
    for (int i = 0; i < m->threads; i++) {
        desk *d = &m->desk[i];
        d->scratch = malloc(lw_ensemble_scratch_bytes(m->trial.context));
        d->memory = malloc(lw_set_course_bytes(m->trial.context));
        if (!d->scratch || !d->memory)
            return lw_fail(err, LW_E_FULL, "no memory to plan the generator");
        d->course = lw_set_course_begin(m->trial.context, d->memory);
    }
    const int told = m->to->wish.fresh > FEW_FRESH ? m->to->wish.fresh : FEW_FRESH;
    const int fresh = m->to->wish.further > told ? m->to->wish.further : told;
    m->planning.cap = lw_set_hours_bytes();
    m->planning.base = malloc(m->planning.cap);
    m->weighed = calloc((size_t)m->draws * (size_t)m->days + 1, sizeof *m->weighed);
    m->by_charge = calloc((size_t)m->trial.start_count + 1, sizeof *m->by_charge);
    m->sum = calloc((size_t)fresh / STRETCH + 1, sizeof *m->sum);
    return m->planning.base && m->weighed && m->by_charge && m->sum
               ? LW_OK
               : lw_fail(err, LW_E_FULL, "no memory to plan the generator");
}

static void close_maker(maker *m)
{
    for (int i = 0; i < m->threads; i++) {
        free(m->desk[i].scratch);
        free(m->desk[i].memory);
    }
    free(m->planning.base);
    free(m->weighed);
    free(m->by_charge);
    free(m->sum);
    lw_trial_clear(&m->trial);
    lw_trials_close(m->trials);
}

/* By insertion: a few hundred, once. */
static void sort_starts(maker *m)
{
    for (uint32_t i = 0; i < m->trial.start_count; i++) {
        uint32_t at = i;
        const double charge = lw_state_charge_ah(&m->trial.start[i].state);
        for (; at > 0 && lw_state_charge_ah(&m->trial.start[m->by_charge[at - 1]].state) > charge; at--)
            m->by_charge[at] = m->by_charge[at - 1];
        m->by_charge[at] = i;
    }
}

static double fuel_there(const maker *m)
{
    const lw_rig *rig = &m->scenario->rig;
    const lw_supply supply = m->to->is_gas ? LW_SUPPLY_PROPANE : LW_SUPPLY_FUEL;
    double there = 0.0;
    int has = 0;
    for (int v = 0; v < rig->vessel_count; v++)
        if (rig->vessel[v].supply == supply) {
            there += fmax(rig->vessel[v].level - rig->vessel[v].unusable, 0.0);
            has = 1;
        }
    return has ? there : NAN;
}

static lw_code find_plan(maker *m, lw_err *err)
{
    lw_generator_plan *to = m->to;
    lw_code code = price(m, err);
    if (code)
        return code;
    ask_needs(m);
    list_work(m);
    sort_starts(m);
    to->fuel_there = fuel_there(m);
    lw_pool_run(m->threads, m->draws, weigh_draw, m);
    for (int day = 0; day < m->days; day++)
        qsort(m->weighed + (size_t)day * (size_t)m->draws, (size_t)m->draws, sizeof *m->weighed, is_poorer);
    compose(m, 0.5);
    const sums never = measure(m, NEVER, TOLD, to->wish.fresh);
    to->without_frac = (double)never.kept / to->wish.fresh;
    to->is_needed = to->without_frac < to->wish.confidence_frac || m->in.need_count > 0;
    keep_measured(m, &never, to->wish.fresh);
    if (!to->is_needed) {
        to->is_found = to->is_reached = to->is_exact = 1;
        return LW_OK;
    }
    const int few = least_int(FEW_FRESH, to->wish.fresh);
    to->always_frac = (double)measure(m, ALWAYS, TOLD, few).kept / few;
    return find_aim(m, err);
}

lw_code lw_generator_plan_make(lw_trials *trials, const lw_generator_wish *wish, lw_generator_plan *plan, lw_err *err)
{
    lw_code code = lw_trials_open(trials, err);
    if (code)
        return code;
    maker *m = calloc(1, sizeof *m);
    if (!m) {
        lw_trials_close(trials);
        return lw_fail(err, LW_E_FULL, "no memory to plan the generator");
    }
    *plan = (lw_generator_plan){
        .wish = *wish, .seed = trials->seed, .always_frac = NAN, .further_frac = NAN, .usd = NAN, .bound_usd = NAN};
    plan->wish.fresh = wish->fresh ? wish->fresh : LW_GENERATOR_FRESH;
    plan->draws = wish->draws ? wish->draws : LW_GENERATOR_DRAWS_USUAL;
    m->trials = trials;
    m->to = plan;
    m->draws = plan->draws;
    m->threads = lw_pool_threads(trials->threads);
    code = open_trial(m, err);
    code = code ? code : open_desks(m, err);
    code = code ? code : find_plan(m, err);
    code = code ? code : lw_caution_named("generator", &plan->caution, err);
    if (!code)
        lw_generator_plan_say(&trials->base, plan);
    close_maker(m);
    free(m);
    return code;
}
