#include <math.h>

#include "core/base/hot.h"
#include "core/base/num.h"
#include "core/sim/step_internal.h"

/* A class of loads that dropped out comes back this far above its cut-off: undervoltage relays of 12 V gear wait for
 * 0.5-1 V (from memory), or they would chatter at dawn. */
static const double RECONNECT_RISE_V = 0.7;
/* .. and not before this long: relay delays and people who look again later; from memory. */
static const double OFF_LEAST_H = 1.0;
/* What the wells of lead-acid can take falls while they fill: the longest stretch with one current then. */
static const double WELLS_H = 0.25;
/* Switchings in one step: each class of loads, the generator, its fuel. Beyond that the rest of the step is one stretch. */
static const int SEGMENTS_MAX = 32;
static const double SHORTEST_FRAC = 1e-9; /* of a step: an event at its very start is stepped over */

/* Of all arrays together. */
typedef struct lw_sun_power {
    double offer_w; /* at the battery */
    double panels_w;
    double soiling_w, wiring_w, mismatch_w, conversion_w;
} lw_sun_power;

static void sun_power(const lw_context *c, const lw_hour *hour, double battery_v, lw_sun_power *sun)
{
    const lw_rig *rig = &c->scenario->rig;
    *sun = (lw_sun_power){0};
    if (!hour->is_sun_on)
        return;
    for (int a = 0; a < rig->array_count; a++) {
        const double panel_w = hour->panel_w[a], cell_c = hour->cell_c[a];
        lw_controller_flow flow;
        if (LW_SELDOM(!(panel_w > 0.0)))
            continue;
        lw_controller_offer(&c->controller[a], panel_w, cell_c, battery_v, &flow);
        sun->panels_w += panel_w;
        sun->offer_w += flow.battery_w;
        sun->soiling_w += flow.soiling_w;
        sun->wiring_w += flow.wiring_w;
        sun->mismatch_w += flow.mismatch_w;
        sun->conversion_w += flow.conversion_w;
    }
}

/* The arrays share what was taken in proportion to what they offered: what is left of all flows but the soiling is the same
 * for all. */
static void book_sun(const lw_sun_power *sun, double used_wh, double dt_h, lw_flows *f, lw_step_note *note)
{
    note->panels_wh += sun->panels_w * dt_h;
    if (sun->panels_w <= 0.0 || !f)
        return;
    const double share = sun->offer_w > 0.0 ? used_wh / (sun->offer_w * dt_h) : 0.0;
    const double part = lw_least(share, 1.0), taken_h = part * dt_h;
    const double passed_w = sun->wiring_w + sun->mismatch_w + sun->conversion_w + sun->offer_w;
    f->of[LW_FLOW_SUN_SOILING] += sun->soiling_w * dt_h;
    f->of[LW_FLOW_SUN_WIRING] += sun->wiring_w * taken_h;
    f->of[LW_FLOW_SUN_MISMATCH] += sun->mismatch_w * taken_h;
    f->of[LW_FLOW_SUN_CONVERSION] += sun->conversion_w * taken_h;
    f->of[LW_FLOW_SUN_USED] += sun->offer_w * taken_h;
    f->of[LW_FLOW_SUN_UNUSED] += passed_w * ((1.0 - part) * dt_h);
    f->of[LW_FLOW_SUN_PANELS] += sun->panels_w * dt_h;
}

/* ------------------------------------------------------------------ generator */

static int fuel_supply(const lw_context *c)
{
    return c->scenario->rig.generator.fuel == LW_ENGINE_FUEL_LPG ? LW_SUPPLY_PROPANE : LW_SUPPLY_FUEL;
}

/* What the generator may still burn: a set on the rig's propane leaves this step's gas to the burners. */
static double fuel_left(const lw_context *c, const lw_state *s, const lw_step_note *note)
{
    const int supply = fuel_supply(c);
    if (c->row[supply].count == 0)
        return INFINITY; /* from elsewhere: a rig that does not track it */
    const double left = lw_row_available(c, supply, s);
    return supply == LW_SUPPLY_PROPANE ? lw_most(left - note->gas_reserved_kg, 0.0) : left;
}

/* Litres, or kilograms of propane, an hour. */
static double fuel_rate(const lw_context *c, double load_w)
{
    const double lph = lw_generator_fuel_lph(&c->generator, load_w);
    return fuel_supply(c) == LW_SUPPLY_PROPANE ? lw_lpg_kg(lph) : lph;
}

int lw_generator_is_wanted_on(const lw_context *c, lw_mode mode, const lw_hour *hour, const lw_wish *wish, double q_ah,
                              const lw_state *s, const lw_step_note *note)
{
    const lw_generator_use *g = &c->scenario->rig.generator;
    if (!g->is_present || !hour->is_generator_allowed)
        return 0;
    if (mode == LW_MODE_JOINT && fuel_left(c, s, note) <= LW_LEAST_FUEL)
        return 0;
    if (hour->is_generator_wanted || wish->wants_generator)
        return 1;
    if (!g->is_automatic)
        return 0;
    const double soc = lw_battery_soc_frac(&c->battery, q_ah);
    return s->is_generator_on ? soc < g->stop_frac - 1e-9 : soc <= g->start_frac + 1e-9;
}

static void book_fuel(const lw_context *c, lw_mode mode, double amount, lw_state *s, lw_flows *f, lw_step_note *note)
{
    const int supply = fuel_supply(c);
    const double lack = lw_row_draw(c, supply, amount, s);
    const int is_gas = supply == LW_SUPPLY_PROPANE;
    const int is_tracked = c->row[supply].count > 0;
    if (is_tracked)
        lw_note_lack(note, supply, amount, lack, LW_NOTHING_KG);
    note->gas_asked_kg += is_gas ? amount : 0.0;
    if (!f)
        return;
    f->of[is_gas ? LW_FLOW_PROPANE_OUT : LW_FLOW_FUEL_OUT] += amount - lack;
    if (is_gas)
        f->of[LW_FLOW_PROPANE_GENERATOR] += mode == LW_MODE_OWN || !is_tracked ? amount : amount - lack;
    if (mode == LW_MODE_OWN || !is_tracked)
        f->of[is_gas ? LW_FLOW_PROPANE_SHORT : LW_FLOW_FUEL_SHORT] += lack;
}

/* ------------------------------------------------------------------ one stretch with constant sources and loads */

typedef struct lw_stretch {
    double dc_w, vital_w;  /* on the bus, classes that are on */
    double dropped_w;      /* direct current of the classes that are off */
    double ac_off_w;       /* alternating current nobody makes now */
    double ac_flat_w;      /* of it what a flat battery is to blame for: the inverter would be on */
    lw_inverter_flow lent; /* own course: what the inverter would draw then */
    lw_inverter_flow inverter;
    double charger_max_w, ac_now_w, ac_missing_w;
    double net_w, offered_w; /* sources less loads; with all the charger can add */
    int is_on;
    double run_h;
    lw_battery_flow flow;
    double charger_w;
} lw_stretch;

static void sum_demand(const lw_context *c, const lw_hour *hour, const lw_wish *wish, double battery_v,
                       const lw_state *s, lw_stretch *x)
{
    x->dc_w = x->vital_w = x->dropped_w = x->ac_off_w = 0.0;
    x->charger_max_w = x->ac_now_w = x->ac_missing_w = 0.0;
    x->inverter = x->lent = (lw_inverter_flow){0};
    x->ac_flat_w = 0.0;
    if (LW_MOSTLY(!s->cut)) {
        x->dc_w = wish->dc_sum_w;
        x->vital_w = wish->vital_sum_w;
    }
    for (int k = 0; LW_SELDOM(s->cut) && k < c->cut_count; k++) {
        const double w = wish->dc_w[k];
        if (s->cut & lw_bit(k)) {
            x->dropped_w += w;
            continue;
        }
        x->dc_w += w;
        x->vital_w += c->cut_is_vital[k] ? w : 0.0;
    }
    if (LW_SELDOM(x->is_on)) {
        const double capacity_w = lw_generator_capacity_w(&c->generator, hour->air_c);
        const double wanted_w = wish->ac_w + wish->ac_generator_w;
        x->ac_now_w = lw_least(wanted_w, capacity_w);
        x->ac_missing_w = wanted_w - x->ac_now_w;
        x->charger_max_w = lw_charger_dc_w(&c->charger, battery_v, capacity_w - x->ac_now_w, INFINITY);
    } else if (hour->is_inverter_on && !lw_is_cut(s, c->system_cut)) {
        lw_inverter_run(&c->inverter, wish->ac_w, 1, &x->inverter);
        x->ac_off_w = x->inverter.short_w;
    } else {
        x->ac_off_w = wish->ac_w;
        if (LW_SELDOM(hour->is_inverter_on)) {
            lw_inverter_run(&c->inverter, wish->ac_w, 1, &x->lent);
            x->ac_flat_w = x->lent.out_w;
        }
    }
}

/* The next class to drop: the highest voltage still on; -1 when all are off. */
static int top_class(const lw_context *c, const lw_state *s)
{
    for (int k = 0; k < c->cut_count; k++)
        if (!(s->cut & lw_bit(k)))
            return k;
    return -1;
}

static double cut_charge_ah(const lw_context *c, int k, double discharge_a)
{
    return lw_battery_q_at_ocv(&c->battery, c->cut_v[k] + discharge_a * c->battery.resistance_ohm);
}

static double sooner(double a, double b)
{
    return a < b ? a : b;
}

/* The charge at which a class comes back while the battery is being charged: its voltage then is above the open one. */
static double reconnect_ah(const lw_context *c, int k, double charge_a)
{
    const double at_v = c->cut_v[k] + RECONNECT_RISE_V * c->nominal_frac;
    return lw_battery_q_at_ocv(&c->battery, at_v - charge_a * c->battery.charge_resistance_ohm);
}

/* Of the classes that are off the one with the lowest voltage comes back first; -1: none is off. */
static int next_back(const lw_context *c, const lw_state *s)
{
    for (int k = c->cut_count - 1; k >= 0; k--)
        if (s->cut & lw_bit(k))
            return k;
    return -1;
}

static void flow_of(const lw_battery *b, const lw_kibam_state *wells, double cap_a, lw_stretch *x)
{
    if (x->offered_w >= 0.0)
        lw_battery_fill(b, wells, x->offered_w, cap_a, x->run_h, &x->flow);
    else
        lw_battery_draw(b, wells, -x->offered_w, x->run_h, &x->flow);
    x->charger_w = !x->is_on            ? 0.0
                   : x->offered_w < 0.0 ? x->charger_max_w
                                        : lw_least(lw_most(x->flow.terminal_w - x->net_w, 0.0), x->charger_max_w);
}

/* The wells cannot bear this current to the end: their voltage collapses before. Halves the stretch until they can;
 * returns 0 when not even a sixty-fourth of a step is possible. */
static int shorten_to_bearable(const lw_battery *b, const lw_kibam_state *wells, double cap_a, double dt_h,
                               lw_stretch *x)
{
    while (x->flow.is_limited && x->run_h > dt_h / 64.0) {
        x->run_h *= 0.5;
        flow_of(b, wells, cap_a, x);
    }
    return !x->flow.is_limited;
}

/* A class comes back at once, or the stretch is cut where it will: when it was off long enough and the charging voltage is
 * back. Returns 0 when one came back. */
static int find_return(const lw_context *c, double q_ah, lw_state *s, lw_stretch *x)
{
    const int k = next_back(c, s);
    if (k < 0 || x->flow.current_a <= 0.0)
        return 1;
    const double wait_h = OFF_LEAST_H - (double)s->off_h[k];
    if (wait_h > 1e-6) {
        x->run_h = sooner(x->run_h, wait_h);
        return 1;
    }
    const double back_ah = reconnect_ah(c, k, x->flow.current_a);
    if (q_ah >= back_ah * (1.0 - 1e-12)) {
        s->cut &= ~lw_bit(k);
        return 0;
    }
    x->run_h = sooner(x->run_h, lw_battery_hours_to(&c->battery, &x->flow, q_ah, back_ah));
    return 1;
}

static void count_off(const lw_context *c, double h, lw_state *s)
{
    for (int k = 0; s->cut && k < c->cut_count; k++)
        s->off_h[k] = (s->cut & lw_bit(k)) ? s->off_h[k] + (float)h : 0.0f;
}

/* Cuts the stretch where something switches. Returns 0 when a class has to drop at once. */
static int find_switch(const lw_context *c, lw_mode mode, const lw_hour *hour, const lw_wish *wish,
                       const lw_kibam_state *wells, double cap_a, double dt_h, const lw_state *s,
                       const lw_step_note *note, lw_stretch *x)
{
    const lw_battery *b = &c->battery;
    const double q_ah = lw_battery_charge_ah(wells);
    const lw_generator_use *g = &c->scenario->rig.generator;
    if (x->offered_w >= 0.0) {
        if (x->flow.is_limited && x->flow.taper_ah <= 0.0 && x->flow.current_a < cap_a * (1.0 - 1e-9))
            x->run_h = sooner(x->run_h, WELLS_H);
        if (x->is_on && g->is_automatic && !hour->is_generator_wanted && !wish->wants_generator)
            x->run_h = sooner(x->run_h, lw_battery_hours_to(b, &x->flow, q_ah, lw_battery_soc_ah(b, g->stop_frac)));
    } else {
        const int k = top_class(c, s);
        if (k >= 0) {
            if (!shorten_to_bearable(b, wells, cap_a, dt_h, x))
                return 0;
            const double cut_ah = cut_charge_ah(c, k, -x->flow.current_a);
            if (q_ah <= cut_ah * (1.0 + 1e-12))
                return 0;
            x->run_h = sooner(x->run_h, lw_battery_hours_to(b, &x->flow, q_ah, cut_ah));
        }
        if (!x->is_on && g->is_present && g->is_automatic && hour->is_generator_allowed)
            x->run_h = sooner(x->run_h, lw_battery_hours_to(b, &x->flow, q_ah, lw_battery_soc_ah(b, g->start_frac)));
    }
    if (x->is_on && mode == LW_MODE_JOINT) {
        lw_charger_flow ac;
        lw_charger_run(&c->charger, x->charger_w, &ac);
        x->run_h = sooner(x->run_h, fuel_left(c, s, note) / fuel_rate(c, x->ac_now_w + ac.in_w));
    }
    return 1;
}

static void book_generator(const lw_context *c, lw_mode mode, const lw_stretch *x, lw_state *s, lw_flows *f,
                           lw_step_note *note)
{
    lw_charger_flow ac;
    lw_charger_run(&c->charger, x->charger_w, &ac);
    if (f) {
        f->of[LW_FLOW_AC_GENERATOR] += x->ac_now_w * x->run_h;
        f->of[LW_FLOW_GENERATOR_AC] += (x->ac_now_w + ac.in_w) * x->run_h;
        f->of[LW_FLOW_CHARGER_AC] += ac.in_w * x->run_h;
        f->of[LW_FLOW_CHARGER_DC] += ac.dc_w * x->run_h;
        f->of[LW_FLOW_CHARGER_LOSS] += ac.loss_w * x->run_h;
        f->of[LW_FLOW_GENERATOR_HOURS] += x->run_h;
    }
    book_fuel(c, mode, fuel_rate(c, x->ac_now_w + ac.in_w) * x->run_h, s, f, note);
    note->generator_missing_w = lw_most(note->generator_missing_w, x->ac_missing_w);
}

static void begin_cuts(const lw_context *c, lw_step_note *note)
{
    if (note->has_cuts)
        return;
    note->has_cuts = 1;
    for (int k = 0; k < c->cut_count; k++) {
        note->served_h[k] = note->part_served_h[k] = 0.0;
        note->cut_h[k] = INFINITY;
    }
}

/* What of the loads ran while the battery could not give it all: a lack falls on all loads alike but the vital ones, which
 * are short only of what the others cannot spare. */
typedef struct lw_kept {
    double short_w, others, vital; /* shares of their wish */
} lw_kept;

static lw_kept kept_of(const lw_stretch *x)
{
    lw_kept kept = {.others = 1.0, .vital = 1.0};
    if (x->offered_w >= 0.0)
        return kept;
    kept.short_w = lw_most(-x->offered_w - lw_most(-x->flow.terminal_w, 0.0), 0.0);
    const double others_w = x->dc_w + x->inverter.in_w - x->vital_w;
    if (LW_SELDOM(kept.short_w > 0.0)) {
        kept.others = others_w > 0.0 ? 1.0 - lw_least(kept.short_w / others_w, 1.0) : 1.0;
        kept.vital = x->vital_w > 0.0 ? 1.0 - lw_most(kept.short_w - others_w, 0.0) / x->vital_w : 1.0;
    }
    return kept;
}

static void book_inverter(const lw_inverter_flow *flow, double h, lw_flows *f)
{
    f->of[LW_FLOW_INVERTER_IN] += flow->in_w * h;
    f->of[LW_FLOW_INVERTER_IDLE] += flow->idle_w * h;
    f->of[LW_FLOW_INVERTER_LOSS] += flow->conversion_w * h;
    f->of[LW_FLOW_AC_INVERTER] += flow->out_w * h;
}

/* Returns the sun used, Wh. */
static double book_sources(lw_mode mode, const lw_hour *hour, double sun_offer_w, const lw_stretch *x,
                           const lw_kept *kept, lw_flows *f)
{
    const double h = x->run_h, in_w = lw_most(x->flow.terminal_w, 0.0), out_w = lw_most(-x->flow.terminal_w, 0.0);
    const double wanted_w = x->dc_w + x->inverter.in_w + in_w - kept->short_w - x->charger_w;
    const double drive_w = lw_least(hour->drive_w, wanted_w), sun_w = lw_least(sun_offer_w, wanted_w - drive_w);
    f->of[LW_FLOW_DRIVE_DC] += drive_w * h;
    f->of[LW_FLOW_BATTERY_IN] += in_w * h;
    f->of[LW_FLOW_BATTERY_OUT] += out_w * h;
    f->of[LW_FLOW_BATTERY_OHMIC] += x->flow.ohmic_w * h;
    f->of[LW_FLOW_BATTERY_COULOMBIC] += x->flow.coulombic_w * h;
    if (x->inverter.in_w > 0.0)
        book_inverter(&x->inverter, mode == LW_MODE_JOINT ? kept->others * h : h, f);
    f->of[LW_FLOW_UNMET_LOAD] += (kept->short_w + x->dropped_w + x->ac_off_w + x->ac_missing_w) * h;
    if (mode == LW_MODE_OWN) {
        f->of[LW_FLOW_DC_LOADS] += (x->dc_w + x->dropped_w) * h;
        f->of[LW_FLOW_DC_SHORT] += (kept->short_w + x->dropped_w + x->lent.in_w) * h;
        if (LW_SELDOM(x->lent.in_w > 0.0))
            book_inverter(&x->lent, h, f);
    } else {
        f->of[LW_FLOW_DC_LOADS] += ((x->dc_w - x->vital_w) * kept->others + x->vital_w * kept->vital) * h;
    }
    return sun_w * h;
}

/* Books what flowed; returns the sun used, Wh. */
static double book_stretch(const lw_context *c, lw_mode mode, const lw_hour *hour, double sun_offer_w,
                           const lw_stretch *x, const lw_state *s, lw_flows *f, lw_step_note *note)
{
    const lw_kept kept = kept_of(x);
    const double h = x->run_h, short_w = kept.short_w;
    if (LW_MOSTLY(!s->cut && short_w <= 0.0)) {
        note->part_all_h += h;
    } else {
        begin_cuts(c, note);
        for (int k = 0; k < c->cut_count; k++)
            if (!(s->cut & lw_bit(k)))
                note->part_served_h[k] += (c->cut_is_vital[k] ? kept.vital : kept.others) * h;
    }
    note->unmet_wh += (short_w + x->dropped_w + x->ac_flat_w) * h;
    note->ac_missing_w = lw_most(note->ac_missing_w, x->ac_off_w - x->ac_flat_w);
    const double ac_lack_w = x->ac_off_w + x->ac_missing_w + x->inverter.out_w * (1.0 - kept.others);
    if (LW_SELDOM(ac_lack_w > 0.0))
        note->ac_lack_h += h * ac_lack_w / (x->ac_off_w + x->ac_missing_w + x->ac_now_w + x->inverter.out_w);
    return LW_MOSTLY(f) ? book_sources(mode, hour, sun_offer_w, x, &kept, f) : 0.0;
}

/* No class of loads drops, the set neither starts nor stops, in the whole of the stretch. */
static int is_steady(const lw_context *c, lw_mode mode, const lw_hour *hour, const lw_wish *wish, double q_ah,
                     double cap_a, const lw_state *s, const lw_step_note *note, const lw_stretch *x)
{
    const lw_battery *b = &c->battery;
    const lw_generator_use *g = &c->scenario->rig.generator;
    const double end_ah = q_ah + x->flow.change_ah;
    if (x->offered_w >= 0.0) {
        if (LW_SELDOM(x->flow.is_limited && x->flow.taper_ah <= 0.0 && x->flow.current_a < cap_a * (1.0 - 1e-9)))
            return 0;
        if (x->is_on && g->is_automatic && !hour->is_generator_wanted && !wish->wants_generator &&
            end_ah >= lw_battery_soc_ah(b, g->stop_frac) * (1.0 - 1e-12))
            return 0;
    } else {
        if (LW_SELDOM(x->flow.is_limited || (c->cut_count > 0 && !(x->flow.end_v > c->cut_v[0] + LW_CLEAR_OF_CUT_V))))
            return 0;
        if (!x->is_on && g->is_present && g->is_automatic && hour->is_generator_allowed &&
            end_ah <= lw_battery_soc_ah(b, g->start_frac) * (1.0 + 1e-12))
            return 0;
    }
    if (LW_SELDOM(x->is_on && mode == LW_MODE_JOINT)) {
        lw_charger_flow ac;
        lw_charger_run(&c->charger, x->charger_w, &ac);
        return fuel_left(c, s, note) > fuel_rate(c, x->ac_now_w + ac.in_w) * x->run_h * (1.0 + 1e-12);
    }
    return 1;
}

static void note_floor(const lw_battery *b, const lw_battery_flow *flow, double q_ah, double floor_ah, double at_h,
                       lw_step_note *note)
{
    if (LW_SELDOM(q_ah > floor_ah && q_ah + flow->change_ah <= floor_ah))
        note->floor_h = sooner(note->floor_h, at_h + lw_battery_hours_to(b, flow, q_ah, floor_ah));
}

/* What is left to do once all stretches of a part are booked. */
static void finish(const lw_context *c, const lw_sun_power *sun, double sun_used_wh, double done_h,
                   lw_kibam_state *wells, lw_state *s, lw_flows *f, lw_step_note *note)
{
    const double self_wh = lw_battery_rest(&c->battery, wells, s->battery_c, done_h);
    if (LW_MOSTLY(f))
        f->of[LW_FLOW_BATTERY_SELF] += self_wh;
    book_sun(sun, sun_used_wh, done_h, f, note);
    s->battery_q1_ah = wells->q1_ah;
    s->battery_q2_ah = wells->q2_ah;
    note->done_h = done_h;
    note->all_served_h += note->part_all_h;
    for (int k = 0; LW_SELDOM(note->has_cuts) && k < c->cut_count; k++)
        note->served_h[k] += note->part_served_h[k];
}

static void begin_part(const lw_context *c, lw_step_note *note)
{
    note->part_all_h = 0.0;
    for (int k = 0; LW_SELDOM(note->has_cuts) && k < c->cut_count; k++)
        note->part_served_h[k] = 0.0;
}

int lw_step_power_steady(const lw_context *c, lw_mode mode, const lw_hour *hour, double dt_h, const lw_wish *wish,
                         lw_state *s, lw_flows *f, lw_step_note *note)
{
    const lw_battery *b = &c->battery;
    lw_kibam_state wells = {.q1_ah = s->battery_q1_ah, .q2_ah = s->battery_q2_ah};
    const double q_ah = lw_battery_charge_ah(&wells), open_v = lw_battery_ocv_v(b, q_ah);
    const double cap_a = lw_battery_charge_cap_a(b, s->battery_c);
    lw_sun_power sun;
    lw_stretch x;
    if (LW_SELDOM(s->cut))
        return 0;
    sun_power(c, hour, open_v, &sun);
    x.run_h = dt_h;
    x.is_on = lw_generator_is_wanted_on(c, mode, hour, wish, q_ah, s, note);
    sum_demand(c, hour, wish, open_v, s, &x);
    x.net_w = sun.offer_w + hour->drive_w - (x.dc_w + x.inverter.in_w);
    x.offered_w = x.net_w + x.charger_max_w;
    flow_of(b, &wells, cap_a, &x);
    if (LW_SELDOM(!is_steady(c, mode, hour, wish, q_ah, cap_a, s, note, &x)))
        return 0;
    const double floor_ah = lw_battery_floor_ah(b, s->battery_c);
    begin_part(c, note);
    s->is_generator_on = (uint8_t)x.is_on;
    if (LW_SELDOM(q_ah <= floor_ah))
        note->floor_h = sooner(note->floor_h, note->offset_h);
    note_floor(b, &x.flow, q_ah, floor_ah, note->offset_h, note);
    if (LW_SELDOM(cap_a <= 0.0 && x.offered_w > 0.0))
        note->cold_charge_wh += x.offered_w * dt_h;
    if (LW_SELDOM(x.is_on))
        book_generator(c, mode, &x, s, f, note);
    const double sun_used_wh = book_stretch(c, mode, hour, sun.offer_w, &x, s, f, note);
    lw_battery_apply(b, &wells, &x.flow);
    finish(c, &sun, sun_used_wh, dt_h, &wells, s, f, note);
    return 1;
}

void lw_step_power(const lw_context *c, lw_mode mode, const lw_hour *hour, double dt_h, const lw_wish *wish,
                   lw_state *s, lw_flows *f, lw_step_note *note)
{
    const lw_battery *b = &c->battery;
    int was_on = 0;
    lw_kibam_state wells = {.q1_ah = s->battery_q1_ah, .q2_ah = s->battery_q2_ah};
    const double cap_a = lw_battery_charge_cap_a(b, s->battery_c);
    const double floor_ah = lw_battery_floor_ah(b, s->battery_c);
    double sun_used_wh = 0.0, at_h = 0.0;
    begin_part(c, note);
    lw_sun_power sun;

    sun_power(c, hour, lw_battery_ocv_v(b, lw_battery_charge_ah(&wells)), &sun);
    if (lw_battery_charge_ah(&wells) <= floor_ah)
        note->floor_h = sooner(note->floor_h, note->offset_h);

    for (int n = 0; at_h < dt_h; n++) {
        const double q_ah = lw_battery_charge_ah(&wells);
        lw_stretch x;
        x.run_h = dt_h - at_h;
        x.is_on = lw_generator_is_wanted_on(c, mode, hour, wish, q_ah, s, note);
        if (wish->heat_needs_generator && at_h > 0.0 && x.is_on != was_on)
            break;
        was_on = x.is_on;
        s->is_generator_on = (uint8_t)x.is_on;
        sum_demand(c, hour, wish, lw_battery_ocv_v(b, q_ah), s, &x);
        x.net_w = sun.offer_w + hour->drive_w - (x.dc_w + x.inverter.in_w);
        x.offered_w = x.net_w + x.charger_max_w;
        flow_of(b, &wells, cap_a, &x);
        if (n < SEGMENTS_MAX) {
            if (!find_switch(c, mode, hour, wish, &wells, cap_a, dt_h, s, note, &x)) {
                const int k = top_class(c, s);
                s->cut |= lw_bit(k);
                s->off_h[k] = 0.0f;
                begin_cuts(c, note);
                note->cut_h[k] = sooner(note->cut_h[k], note->offset_h + at_h);
                continue;
            }
            if (s->cut && !find_return(c, q_ah, s, &x))
                continue;
            x.run_h = lw_most(x.run_h, SHORTEST_FRAC * dt_h);
            if (x.run_h < dt_h - at_h)
                flow_of(b, &wells, cap_a, &x);
            else
                x.run_h = dt_h - at_h;
        }
        note_floor(b, &x.flow, q_ah, floor_ah, note->offset_h + at_h, note);
        if (cap_a <= 0.0 && x.offered_w > 0.0)
            note->cold_charge_wh += x.offered_w * x.run_h;
        if (x.is_on)
            book_generator(c, mode, &x, s, f, note);
        sun_used_wh += book_stretch(c, mode, hour, sun.offer_w, &x, s, f, note);
        lw_battery_apply(b, &wells, &x.flow);
        count_off(c, x.run_h, s);
        at_h += x.run_h;
    }
    finish(c, &sun, sun_used_wh, at_h, &wells, s, f, note);
}
