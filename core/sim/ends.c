#include <math.h>

#include "core/base/hot.h"
#include "core/base/num.h"
#include "core/sim/stretch_internal.h"

/* A crossing is looked for again in this many parts of its step, so that uses that share a tank are in their order. */
static const int REFINE = 8;

static double lack_h(double want, double lack, double dt_h)
{
    return want > 0.0 ? dt_h * (1.0 - lack / want) : 0.0;
}

/* Supplies that people use, within one part of a stretch. */
static void ends_of_uses(const lw_context *c, const lw_step_note *note, double at_h, double dt_h, lw_ends *ends)
{
    const lw_rig *rig = &c->scenario->rig;
    const lw_wants *w = note->wants;
    for (int v = 0; note->lack_vessels >> v; v++) {
        if (!(note->lack_vessels & lw_bit(v)))
            continue;
        const double h = at_h + lack_h(w->want[v], w->lack[v], dt_h);
        const int supply = (int)rig->vessel[v].supply;
        ends->vessel_h[v] = lw_least(ends->vessel_h[v], h);
        if (h < ends->h[supply]) {
            ends->h[supply] = h;
            ends->vessel[supply] = v;
        }
    }
    if (note->is_leisure_stopped)
        ends->leisure_h = lw_least(ends->leisure_h, at_h + lack_h(w->leisure_want, w->leisure_lack, dt_h));
}

/* Gas, fuel and the battery, whose course inside the stretch is one line or known in closed form. */
static void ends_of_power(const lw_context *c, const lw_step_note *note, double at_h, double dt_h, lw_ends *ends)
{
    const lw_wants *w = note->wants;
    for (int k = LW_SUPPLY_PROPANE; k <= LW_SUPPLY_FUEL; k++)
        if (note->lack_supplies & lw_bit(k))
            ends->h[k] = at_h + lack_h(w->supply_want[k], w->supply_lack[k], dt_h);
    if (!isinf(note->floor_h) || note->unmet_wh > LW_UNMET_WH) {
        double first = note->floor_h;
        for (int k = 0; note->has_cuts && k < c->cut_count; k++)
            first = lw_least(first, note->cut_h[k]);
        ends->h[LW_SUPPLY_BATTERY] = at_h + (isinf(first) ? 0.0 : first);
    }
}

static const uint32_t POWER_SUPPLIES =
    UINT32_C(1) << LW_SUPPLY_PROPANE | UINT32_C(1) << LW_SUPPLY_FUEL | UINT32_C(1) << LW_SUPPLY_BATTERY;

static uint32_t vessels_of(const lw_context *c, uint32_t vessels, uint32_t supplies)
{
    uint32_t of = 0;
    for (int v = 0; vessels >> v; v++)
        of |= supplies & lw_bit((int)c->scenario->rig.vessel[v].supply) ? vessels & lw_bit(v) : 0u;
    return of;
}

/* A part in which nothing is short or barred, and everything has power: its uses move as sums. In the joint course they hang
 * together, whichever supplies are looked for. */
static int goes_whole(const lw_context *c, lw_mode mode, const lw_hour *hour, double share, uint32_t supplies,
                      const lw_step_note *note, lw_state *s)
{
    if (mode == LW_MODE_OWN)
        return lw_pour_whole(c, hour, share, supplies, s);
    return !note->has_cuts && !hour->is_use_barred_by_rubbish && lw_pour_whole(c, hour, share, ~UINT32_C(0), s);
}

/* Of all the uses, or of those alone that touch what is short: nothing that one lacks touches another in the own course.
 * Parts in which nothing is short go by strands; none is looked at any more when all that the whole stretch lacked is found. */
static void find_in_parts(const lw_context *c, lw_mode mode, int step, double from, double to, const lw_state *before,
                          uint32_t supplies, lw_step_note *note, lw_ends *ends)
{
    const double at_h = ((double)step + from) * c->step_h, part_h = (to - from) * c->step_h / REFINE;
    const double share = (to - from) / REFINE;
    lw_wants *const wants = note->wants;
    lw_state s = *before;
    uint32_t vessels = vessels_of(c, note->lack_vessels, supplies);
    int is_leisure = note->is_leisure_stopped && (supplies & lw_bit(LW_SUPPLY_DATA));
    for (int i = 0; i < REFINE && (vessels || is_leisure); i++) {
        if (goes_whole(c, mode, &c->hour[step], share, supplies, note, &s))
            continue;
        *wants = (lw_wants){.want = {0}};
        note->lack_vessels = note->lack_supplies = 0;
        note->is_leisure_stopped = 0;
        lw_step_uses(c, mode, step, share, supplies, &s, NULL, note);
        ends_of_uses(c, note, at_h + i * part_h, part_h, ends);
        vessels &= ~note->lack_vessels;
        is_leisure &= !note->is_leisure_stopped;
    }
}

void lw_ends_find(const lw_context *c, lw_mode mode, int step, double from, double to, const lw_state *before,
                  const lw_step_note *known, uint32_t supplies, lw_ends *ends)
{
    lw_wants wants = {.want = {0}};
    lw_step_note note = *known;
    note.wants = &wants;
    *ends = (lw_ends){.leisure_h = INFINITY};
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        ends->h[k] = INFINITY, ends->vessel[k] = -1;
    for (int v = 0; v < LW_VESSELS; v++)
        ends->vessel_h[v] = INFINITY;
    if (supplies & POWER_SUPPLIES) {
        lw_state s = *before;
        lw_step(c, mode, step, from, to, &s, NULL, &note);
        ends_of_power(c, &note, ((double)step + from) * c->step_h, (to - from) * c->step_h, ends);
    }
    if ((supplies & ~POWER_SUPPLIES) && (note.lack_vessels || note.is_leisure_stopped))
        find_in_parts(c, mode, step, from, to, before, supplies, &note, ends);
}

uint32_t lw_ends_new(const lw_context *c, const lw_course *course, const lw_step_note *note)
{
    uint32_t found = note->lack_supplies & ~course->ended_supplies;
    const uint32_t vessels = note->lack_vessels & ~course->ended_vessels;
    for (uint32_t left = vessels; left; left &= left - 1u)
        found |= lw_bit((int)c->scenario->rig.vessel[__builtin_ctz(left)].supply);
    if (note->is_leisure_stopped && isinf(course->leisure_end_h))
        found |= lw_bit(LW_SUPPLY_DATA);
    if ((!isinf(note->floor_h) || note->unmet_wh > LW_UNMET_WH) && isinf(course->end_h[LW_SUPPLY_BATTERY]))
        found |= lw_bit(LW_SUPPLY_BATTERY);
    return found;
}

void lw_ends_keep(const lw_step_note *note, const lw_ends *ends, double latest_h, lw_course *course)
{
    /* What the whole step lacked but its parts did not, is a matter of rounding: it ends with the step. */
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        const int is_lacking = (note->lack_supplies & lw_bit(k)) != 0;
        if (!isinf(course->end_h[k]) || (isinf(ends->h[k]) && !is_lacking))
            continue;
        course->end_h[k] = isinf(ends->h[k]) ? latest_h : ends->h[k];
        course->end_vessel[k] = ends->vessel[k];
        if (k == LW_SUPPLY_PROPANE)
            course->is_gas_too_cold = note->is_gas_cold;
    }
    for (int v = 0; v < LW_VESSELS; v++)
        if (isinf(course->vessel_end_h[v]) && (!isinf(ends->vessel_h[v]) || (note->lack_vessels & lw_bit(v))))
            course->vessel_end_h[v] = isinf(ends->vessel_h[v]) ? latest_h : ends->vessel_h[v];
    if (isinf(course->leisure_end_h))
        course->leisure_end_h = ends->leisure_h;
    course->ended_supplies |= note->lack_supplies;
    course->ended_vessels |= note->lack_vessels;
}

void lw_ends_watch(const lw_context *c, const lw_state *before, const lw_state *s, double at_h, double dt_h,
                   lw_course *course)
{
    for (uint32_t rest = (lw_bit(c->watched_count) - 1u) & ~course->watch_over; rest; rest &= rest - 1u) {
        const int i = __builtin_ctz(rest), v = c->watched[i];
        if (LW_MOSTLY(c->end_sign[i] * s->level[v] < c->end_mark[i]))
            continue;
        course->watch_over |= lw_bit(i);
        if (!isinf(course->vessel_end_h[v]))
            continue;
        const double left = lw_vessel_room(c, v, s), was = lw_vessel_room(c, v, before);
        course->vessel_end_h[v] = at_h + (was > left ? dt_h * lw_least(lw_most(was / (was - left), 0.0), 1.0) : 0.0);
    }
}
