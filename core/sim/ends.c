#include <math.h>

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
    for (int v = 0; v < rig->vessel_count; v++) {
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

void lw_ends_find(const lw_context *c, lw_mode mode, int step, double from, double to, const lw_state *before,
                  lw_ends *ends)
{
    lw_state s = *before;
    lw_flows ignored = {{0}};
    lw_wants wants = {.want = {0}};
    lw_step_note note = {.wants = &wants};
    const double at_h = ((double)step + from) * c->step_h, part_h = (to - from) * c->step_h / REFINE;
    *ends = (lw_ends){.leisure_h = INFINITY};
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        ends->h[k] = INFINITY, ends->vessel[k] = -1;
    for (int v = 0; v < LW_VESSELS; v++)
        ends->vessel_h[v] = INFINITY;
    uint32_t supplies = ~UINT32_C(0);
    lw_step(c, mode, step, from, to, &s, &ignored, &note);
    ends_of_power(c, &note, at_h, (to - from) * c->step_h, ends);
    if (!note.lack_vessels && !note.is_leisure_stopped)
        return;
    if (mode == LW_MODE_OWN) /* there nothing that a use lacks touches another one */
        supplies = note.lack_supplies | (note.is_leisure_stopped ? lw_bit(LW_SUPPLY_DATA) : 0u);
    s = *before;
    for (int i = 0; i < REFINE; i++) {
        wants = (lw_wants){.want = {0}};
        note.lack_vessels = note.lack_supplies = 0;
        note.is_leisure_stopped = 0;
        lw_step_uses(c, mode, step, (to - from) / REFINE, supplies, &s, &ignored, &note);
        ends_of_uses(c, &note, at_h + i * part_h, part_h, ends);
    }
}

int lw_ends_are_new(const lw_course *course, const lw_step_note *note)
{
    return (note->lack_supplies & ~course->ended_supplies) || (note->lack_vessels & ~course->ended_vessels) ||
           (note->is_leisure_stopped && isinf(course->leisure_end_h)) ||
           (isinf(course->end_h[LW_SUPPLY_BATTERY]) && (!isinf(note->floor_h) || note->unmet_wh > LW_UNMET_WH));
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
    for (int i = 0; i < c->watched_count; i++) {
        const int v = c->watched[i];
        if (c->end_sign[v] * (s->level[v] - c->end_level[v]) < 0.0 || !isinf(course->vessel_end_h[v]))
            continue;
        const double left = lw_vessel_room(c, v, s), was = lw_vessel_room(c, v, before);
        course->vessel_end_h[v] = at_h + (was > left ? dt_h * lw_least(lw_most(was / (was - left), 0.0), 1.0) : 0.0);
    }
}
