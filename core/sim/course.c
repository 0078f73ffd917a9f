#include <math.h>
#include <string.h>

#include "core/base/hot.h"
#include "core/base/num.h"
#include "core/sim/stretch_internal.h"

/* ------------------------------------------------------------------ sums over a course */

static void sum_unmet(const lw_context *c, const lw_hour *hour, const lw_step_note *note, double at_h, double dt_h,
                      lw_course *course)
{
    if (LW_SELDOM(note->unmet_wh > LW_UNMET_WH)) {
        course->unmet[LW_SUPPLY_BATTERY] += note->unmet_wh;
        course->unmet_h[LW_SUPPLY_BATTERY] += dt_h;
    }
    if (LW_SELDOM(note->data_lack_gb > 0.0)) {
        course->unmet[LW_SUPPLY_DATA] += note->data_lack_gb;
        course->unmet_h[LW_SUPPLY_DATA] += dt_h;
    }
    for (int i = 0; i < c->vital_count; i++)
        if (lw_vital_served(c, hour, note, i) < 1.0 - 1e-9 && isinf(course->vital_end_h[i]))
            course->vital_end_h[i] = at_h + lw_vital_served(c, hour, note, i) * dt_h;
}

static int64_t moment_s(const lw_context *c, double at_h)
{
    return c->start_s + (int64_t)floor(at_h * 3600.0 + 0.5);
}

static void sum_comfort(const lw_context *c, const lw_hour *hour, const lw_step_note *note, const lw_state *s,
                        double at_h, double dt_h, lw_course *course)
{
    lw_comfort *k = &course->comfort;
    if (LW_SELDOM(note->inside_min_c < k->inside_low_c))
        k->inside_low_c = note->inside_min_c, k->inside_low_s = moment_s(c, at_h);
    if (LW_SELDOM(note->inside_max_c > k->inside_high_c))
        k->inside_high_c = note->inside_max_c, k->inside_high_s = moment_s(c, at_h);
    if (LW_SELDOM(s->bay_c < k->bay_low_c))
        k->bay_low_c = s->bay_c, k->bay_low_s = moment_s(c, at_h);
    if (note->inside_max_c < note->set_c - 0.5)
        k->below_set_h += dt_h;
    k->furnace_h += note->furnace_duty * dt_h;
    if (hour->is_somebody_in && lw_is_dangerously_hot(hour->dew_c, s->cabin_c))
        k->hot_h += dt_h;
}

/* ------------------------------------------------------------------ the loop */

/* From here on a supply's own course and the joint one differ. */
static int is_parting(const lw_step_note *note, const lw_state *s)
{
    return note->lack_supplies || note->is_gas_cold || note->is_leisure_stopped || note->is_use_stopped ||
           note->unmet_wh > LW_UNMET_WH || s->cut != 0 || note->is_gas_over_limit;
}

int lw_stretch_keep(const lw_run *run, int step, const lw_stretch_times *at, const lw_state *before, const lw_state *s,
                    const lw_step_note *note, lw_course *course)
{
    const lw_context *c = run->context;
    if (LW_SELDOM(run->stop_where_parting && is_parting(note, s)))
        return 0;
    const uint32_t is_new = run->mode == LW_MODE_OWN ? lw_ends_new(c, course, note) : 0u;
    if (LW_SELDOM(is_new)) {
        lw_ends ends;
        lw_ends_find(c, run->mode, step, at->from, at->to, before, note, is_new, &ends);
        lw_ends_keep(note, &ends, at->h + at->dt_h, course);
    }
    if (run->mode == LW_MODE_OWN && c->watched_count > 0)
        lw_ends_watch(c, before, s, at->h, at->dt_h, course);
    if (LW_SELDOM(s->rubbish_age_frac >= 1.0) && isinf(course->rubbish_age_h))
        course->rubbish_age_h =
            at->h + at->dt_h * (1.0 - before->rubbish_age_frac) / (s->rubbish_age_frac - before->rubbish_age_frac);
    sum_unmet(c, &c->hour[step], note, at->h, at->dt_h, course);
    if (step < c->departure_step) {
        course->gas_asked_kg += note->gas_asked_kg;
        course->panels_wh += note->panels_wh;
    }
    if (!run->tells)
        return 1;
    if (step < c->departure_step)
        sum_comfort(c, &c->hour[step], note, s, at->h, at->dt_h, course);
    lw_tell(run, step, at, note, before, s, course);
    return 1;
}

/* Returns 0 where the courses part and that was asked for: nothing of this stretch is kept then. Without a course only
 * state and flows move. */
static int stretch(const lw_run *run, int step, double from, double to, lw_state *s, lw_flows *flows, lw_course *course)
{
    const lw_context *c = run->context;
    lw_state before;
    lw_state_copy(&before, s);
    const lw_stretch_times at = {
        .from = from, .to = to, .h = ((double)step + from) * c->step_h, .dt_h = (to - from) * c->step_h};
    lw_step_note note;
    note.wants = run->wants;
    lw_step(c, run->mode, step, from, to, s, flows, &note);
    return course ? lw_stretch_keep(run, step, &at, &before, s, &note, course) : 1;
}

static int one_step(const lw_run *run, int step, lw_state *s, lw_flows *flows, lw_course *course)
{
    const lw_context *c = run->context;
    const lw_hour *hour = &c->hour[step];
    double from = 0.0;
    for (int i = 0; i < hour->transfer_count; i++) {
        const lw_transfer *transfer = &c->scenario->transfer[hour->transfer_first + i];
        const double at = (double)(transfer->at_s - c->start_s) / 3600.0 / c->step_h - (double)step;
        if (at > from) {
            if (!stretch(run, step, from, at, s, flows, course))
                return 0;
            from = at;
        }
        lw_apply_transfer(c, transfer, s, flows);
    }
    return stretch(run, step, from, 1.0, s, flows, course);
}

static void mark_levels(const lw_context *c, const lw_state *s, int mark, float (*to)[LW_MARKS])
{
    const lw_rig *rig = &c->scenario->rig;
    double sum[LW_SUPPLY_COUNT];
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        sum[k] = 0.0;
    for (int v = 0; v < rig->vessel_count; v++)
        if (rig->vessel[v].filter_life_l <= 0.0)
            sum[rig->vessel[v].supply] += s->level[v];
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        to[k][mark] = (float)(sum[k] * c->per_capacity[k]);
    to[LW_SUPPLY_BATTERY][mark] = (float)lw_state_battery_frac(c, s);
}

static void add_flows(lw_flows *to, const lw_flows *more, double sign)
{
    for (int k = 0; k < LW_FLOW_COUNT; k++)
        to->of[k] += sign * more->of[k];
}

static void keep_row(const lw_context *c, int step, const lw_state *s, const lw_flows *total, lw_series *series)
{
    const int hour = step / c->steps_per_hour;
    if (hour >= series->capacity)
        return;
    series->count = hour + 1;
    if (series->state)
        series->state[hour] = *s;
    if (series->flows)
        series->flows[hour] = *total; /* the sum so far, until lw_series_finish */
}

void lw_series_finish(lw_series *series)
{
    if (!series || !series->flows)
        return;
    for (int h = series->count - 1; h > 0; h--)
        add_flows(&series->flows[h], &series->flows[h - 1], -1.0);
}

/* The flows of the step in which the courses part are taken out again: worked out anew from where it began. */
static void undo_step(const lw_run *run, int step, const lw_state *before, lw_state *s, lw_course *course)
{
    lw_state again = *before;
    lw_flows flows = {{0}};
    lw_run same = *run;
    *s = *before;
    if (run->is_without_flows)
        return;
    same.stop_where_parting = 0;
    (void)one_step(&same, step, &again, &flows, NULL);
    add_flows(&course->total, &flows, -1.0);
}

static void keep_sums(const lw_context *c, int step, const lw_state *s, lw_course *course)
{
    if (step == c->departure_step) {
        course->at_departure = *s;
        course->to_departure = course->total;
    }
    if (step == c->week_step) {
        course->first_week = course->total;
        course->first_week_h = step * c->step_h;
    }
}

int lw_run_steps(const lw_run *run, int first, lw_state *s, lw_course *course)
{
    const lw_context *c = run->context;
    lw_series *series = run->series;
    const int mark_steps = LW_MARK_HOURS * c->steps_per_hour;
    const int last = run->last > 0 ? run->last : c->steps;
    lw_flows *const total = run->is_without_flows ? NULL : &course->total;
    int at = first;
    for (; at < last; at++) {
        keep_sums(c, at, s, course);
        if (series && series->mark && at % mark_steps == 0)
            mark_levels(c, s, at / mark_steps, series->mark);
        if (run->stop_where_parting) {
            lw_state before;
            lw_state_copy(&before, s);
            const int has_transfers =
                c->hour[at].transfer_count > 0; /* stretches before the parting one are kept then */
            lw_course kept;
            if (has_transfers)
                kept = *course;
            if (!one_step(run, at, s, total, course)) {
                if (has_transfers)
                    *course = kept, *s = before;
                else
                    undo_step(run, at, &before, s, course);
                break;
            }
        } else {
            (void)one_step(run, at, s, total, course);
        }
        if (series)
            keep_row(c, at, s, &course->total, series);
    }
    if (at == last) {
        keep_sums(c, at, s, course);
        course->last = *s;
    }
    return at;
}

void lw_course_clear(const lw_context *c, lw_course *course)
{
    memset(course, 0, sizeof *course);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        course->end_h[k] = INFINITY, course->end_vessel[k] = -1;
    for (int v = 0; v < LW_VESSELS; v++)
        course->vessel_end_h[v] = INFINITY;
    for (int i = 0; i < LW_VITALS; i++)
        course->vital_end_h[i] = INFINITY;
    course->rubbish_age_h = course->leisure_end_h = INFINITY;
    course->comfort = (lw_comfort){.inside_low_c = 1e3, .inside_high_c = -1e3, .bay_low_c = 1e3};
    if (c->scenario->stay.stay_end_s)
        course->end_h[LW_SUPPLY_STAY] = lw_most(0.0, (double)(c->scenario->stay.stay_end_s - c->start_s) / 3600.0);
}

void lw_course_run(const lw_context *c, lw_mode mode, lw_state *state, lw_course *course, lw_series *series)
{
    const lw_run run = {.context = c, .mode = mode, .tells = mode == LW_MODE_JOINT, .series = series};
    lw_course_clear(c, course);
    (void)lw_run_steps(&run, 0, state, course);
    lw_series_finish(series);
}

void lw_step_once(const lw_context *c, lw_mode mode, int step, lw_state *s, lw_flows *flows)
{
    const lw_run run = {.context = c, .mode = mode};
    *flows = (lw_flows){{0}};
    (void)one_step(&run, step, s, flows, NULL);
}

void lw_step_once_long(const lw_context *c, lw_mode mode, int step, lw_state *s, lw_flows *flows)
{
    lw_wants wants = {.want = {0}};
    const lw_run run = {.context = c, .mode = mode, .wants = &wants};
    *flows = (lw_flows){{0}};
    (void)one_step(&run, step, s, flows, NULL);
}

int lw_context_steps(const lw_context *c)
{
    return c->steps;
}

double lw_state_battery_wh(const lw_context *c, const lw_state *s)
{
    return lw_battery_energy_wh(&c->battery, s->battery_q1_ah + s->battery_q2_ah);
}

double lw_state_battery_frac(const lw_context *c, const lw_state *s)
{
    return lw_most(lw_battery_soc_frac(&c->battery, s->battery_q1_ah + s->battery_q2_ah), 0.0);
}
