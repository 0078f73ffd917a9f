#include <math.h>
#include <string.h>

#include "core/base/num.h"
#include "core/heat/cabin.h"
#include "core/heat/propane.h"
#include "core/house/rubbish.h"
#include "core/sim/step_internal.h"

static const double JOULE_PER_WH = 3600.0;
/* Thermostat of heating pads: on below 7 C, off above 20 C (common practice). */
static const double PAD_ON_C = 7.0, PAD_OFF_C = 20.0;
/* People turn fans up over some kelvins rather than at a line; from memory. */
static const double FAN_RAMP_K = 2.0;
#define LW_AT_SET_K 1e-6 /* held at a set-point: nearer than this */

/* Parts of a stretch: a cabin without mass and an air conditioner could call each other for ever. Then the rest is one. */
static const int PARTS_MOST = 12;
static const double SHORTEST_PART = 1e-6; /* of what is left of a stretch: an event at its begin is stepped over */

/* ------------------------------------------------------------------ supplies in rows of vessels */

double lw_row_available(const lw_context *c, int supply, const lw_state *s)
{
    const lw_row *row = &c->row[supply];
    double sum = 0.0;
    for (int i = 0; i < row->count; i++) {
        const int v = row->vessel[i];
        const double here = s->level[v] - c->scenario->rig.vessel[v].unusable;
        if (here > c->vessel_eps[v])
            sum += here;
    }
    return sum;
}

double lw_draw_row(const lw_context *c, int supply, double amount, lw_state *s)
{
    const lw_row *row = &c->row[supply];
    for (int i = 0; i < row->count && amount > 0.0; i++) {
        const int v = row->vessel[i];
        const double here = s->level[v] - c->scenario->rig.vessel[v].unusable;
        const double take = here <= 0.0 ? 0.0 : here < amount ? here : amount;
        s->level[v] -= take;
        amount -= take;
    }
    return amount;
}

/* Cylinders that are open together give together; the next ones in order follow when one is empty. */
static int open_cylinders(const lw_context *c, const lw_state *s, int open[LW_VESSELS])
{
    const lw_row *row = &c->row[LW_SUPPLY_PROPANE];
    const int most = c->scenario->rig.cabin.open_cylinders > 0 ? c->scenario->rig.cabin.open_cylinders : 1;
    int n = 0;
    for (int i = 0; i < row->count && n < most; i++) {
        const int v = row->vessel[i];
        if (s->level[v] - c->scenario->rig.vessel[v].unusable > c->vessel_eps[v])
            open[n++] = v;
    }
    return n;
}

/* Open cylinders give equal shares until one is at its end; returns what could not be had. */
static double draw_gas(const lw_context *c, double kg, lw_state *s)
{
    const lw_vessel *vessel = c->scenario->rig.vessel;
    int open[LW_VESSELS];
    int n;
    while (kg > 0.0 && (n = open_cylinders(c, s, open)) > 0) {
        double each = kg / n;
        for (int i = 0; i < n; i++)
            each = lw_least(each, s->level[open[i]] - vessel[open[i]].unusable);
        const int is_enough = each * n >= kg * (1.0 - 1e-15);
        for (int i = 0; i < n; i++)
            s->level[open[i]] -= each;
        if (is_enough)
            return 0.0;
        kg -= each * n;
    }
    return kg;
}

/* What the cylinders can vaporise: as many of the fullest as may be open at once. A nearly empty one that cannot follow
 * is changed for a full one, by the valve or by hand, and emptied later. */
static double vapour_limit_w(const lw_context *c, const lw_state *s, double air_c)
{
    const lw_row *row = &c->row[LW_SUPPLY_PROPANE];
    const int most = c->scenario->rig.cabin.open_cylinders > 0 ? c->scenario->rig.cabin.open_cylinders : 1;
    uint32_t taken = 0;
    double sum = 0.0;
    for (int n = 0; n < most && n < row->count; n++) {
        int fullest = 0;
        double most_kg = -1.0;
        for (int i = 0; i < row->count; i++)
            if (!(taken & lw_bit(i)) && s->level[row->vessel[i]] > most_kg) {
                most_kg = s->level[row->vessel[i]];
                fullest = i;
            }
        taken |= lw_bit(fullest);
        sum += lw_propane_vapour_limit_w(most_kg, air_c);
    }
    return sum;
}

/* ------------------------------------------------------------------ heat and gas */

typedef struct lw_heat {
    double ua_wk, decay_full, step_s;
    double sun_w, people_w, loads_w, inside_gas_w; /* gains */
    double furnace_input_w;                        /* that gas and altitude allow now */
    double electric_max_w, cool_max_w;
    double gas_frac;      /* of their wish that stove and fridge get */
    double water_input_w; /* that gas allows the water heater now */
    double cooking_w;     /* gas, HHV */
    double reaches_frac;  /* of the part, when it gets so warm that cooling is wanted */
    double electric_w;
    lw_cabin_out cabin;
    lw_furnace_out furnace;
    lw_water_heater_out water;
    lw_fridge_out fridge;
    lw_bay_out bay;
} lw_heat;

/* Heat of the scheduled loads, as far as their classes are on when the step begins. */
static double loads_heat_w(const lw_context *c, const lw_hour *hour, const lw_state *s)
{
    if (!s->cut)
        return hour->loads_inside_w;
    double all_w = hour->ac_w, on_w = all_w;
    for (int k = 0; k < c->cut_count; k++) {
        all_w += hour->dc_w[k];
        on_w += (s->cut & lw_bit(k)) ? 0.0 : hour->dc_w[k];
    }
    return all_w > 0.0 ? hour->loads_inside_w * on_w / all_w : 0.0;
}

static void run_small_burners(const lw_context *c, const lw_hour *hour, const lw_state *s, lw_heat *heat)
{
    const lw_cabin_use *h = &c->scenario->rig.cabin;
    heat->cooking_w = hour->gas_wh / c->step_h * heat->gas_frac;
    heat->water = (lw_water_heater_out){.deficit_j = s->water_deficit_j};
    heat->fridge = (lw_fridge_out){0};
    if (h->water_heater_is_present)
        lw_water_heater_run(&h->water_heater,
                            &(lw_water_heater_in){.hot_l = hour->hot_l * heat->step_s / (c->step_h * JOULE_PER_WH),
                                                  .cold_c = h->cold_c,
                                                  .hot_c = h->hot_c,
                                                  .deficit_j = s->water_deficit_j,
                                                  .input_now_w = heat->water_input_w,
                                                  .step_s = heat->step_s},
                            &heat->water);
    if (h->fridge_is_present) {
        lw_fridge_run(&h->fridge, s->cabin_c, &heat->fridge);
        heat->fridge.gas_w *= heat->gas_frac;
    }
    heat->inside_gas_w = heat->cooking_w + heat->water.standing_w;
}

static double small_burners_w(const lw_heat *heat)
{
    return heat->cooking_w + heat->water.gas_w + heat->fridge.gas_w;
}

/* Gas: stove and fridge first, then hot water; the furnace gets what the cylinders can still vaporise. In a supply's own course gas is
 * lent, so that only the note says what was missing. */
static void share_gas(const lw_context *c, lw_mode mode, const lw_hour *hour, const lw_state *s, lw_heat *heat,
                      lw_step_note *note)
{
    heat->gas_frac = 1.0;
    heat->water_input_w = c->water_input_w;
    heat->furnace_input_w = c->furnace.input_w;
    run_small_burners(c, hour, s, heat);
    note->gas_limit_w = vapour_limit_w(c, s, hour->air_c);
    if (mode == LW_MODE_OWN)
        return;
    const double held_w = lw_row_available(c, LW_SUPPLY_PROPANE, s) * LW_PROPANE_HHV_JPKG / heat->step_s;
    const double most_w = lw_least(note->gas_limit_w, held_w);
    if (small_burners_w(heat) > most_w) {
        const double first_w = heat->cooking_w + heat->fridge.gas_w;
        note->lack_supplies |= lw_bit(LW_SUPPLY_PROPANE); /* not even for hot water, stove and fridge */
        heat->gas_frac = first_w > most_w ? most_w / first_w : 1.0;
        heat->water_input_w = lw_least(heat->water_input_w, lw_most(most_w - first_w, 0.0));
        run_small_burners(c, hour, s, heat);
    }
    heat->furnace_input_w = lw_least(heat->furnace_input_w, lw_most(most_w - small_burners_w(heat), 0.0));
}

static void run_cabin(const lw_context *c, const lw_hour *hour, double furnace_frac, const lw_state *s, lw_heat *heat)
{
    const lw_cabin_use *h = &c->scenario->rig.cabin;
    const lw_cabin cabin = {.ua_wk = heat->ua_wk, .mass_jk = c->mass_jk, .decay_full = heat->decay_full};
    const double input_w = heat->furnace_input_w * furnace_frac;
    const lw_cabin_in in = {.start_c = s->cabin_c,
                            .outside_c = hour->air_c,
                            .gain_w = heat->sun_w + heat->people_w + heat->loads_w + heat->inside_gas_w,
                            .heat_set_c = hour->heat_set_c,
                            .heat_max_w = input_w * c->furnace.efficiency_frac + heat->electric_max_w,
                            .vent_set_c = h->vent_above_c,
                            .vent_max_wk = hour->is_somebody_in ? h->vent_wk : 0.0,
                            .cool_set_c = h->cool_above_c,
                            .cool_max_w = heat->cool_max_w,
                            .step_s = heat->step_s};
    lw_cabin_step(&cabin, &in, &heat->cabin);
    heat->electric_w = lw_least(heat->cabin.heat_w, heat->electric_max_w);
    lw_furnace furnace = c->furnace;
    furnace.cycles_per_h *= heat->cabin.held_frac; /* warming up is one long burn, without the run-on of cycles */
    lw_furnace_run(&furnace, input_w, heat->cabin.heat_w - heat->electric_w, &heat->furnace);
}

static void run_bay(const lw_context *c, const lw_hour *hour, int is_pad_on, const lw_state *s, lw_heat *heat)
{
    const lw_bay_spec *bay = heat->step_s < c->step_h * JOULE_PER_WH ? &c->odd_bay : &c->bay;
    lw_bay_step(bay,
                &(lw_bay_in){.bay_c = s->bay_c,
                             .hose_h = s->freeze_valve_h,
                             .pipe_h = s->freeze_pipe_h,
                             .inside_c = heat->cabin.mean_c,
                             .outside_c = hour->air_c,
                             .step_s = heat->step_s,
                             .is_furnace_on = heat->furnace.duty_frac > 0.0,
                             .is_pad_on = is_pad_on},
                &heat->bay);
}

/* Share of the part after which a rising cabin reaches a temperature; 1 when it does not. */
static double reach_frac(double start_c, double end_c, double at_c)
{
    return start_c < at_c && end_c > at_c ? (at_c - start_c) / (end_c - start_c) : 1.0;
}

/* What the cabin wishes, all its devices running. */
static void plan_heat(const lw_context *c, lw_mode mode, const lw_hour *hour, double dt_h, const lw_state *s,
                      lw_heat *heat, lw_wish *wish, lw_step_note *note)
{
    const lw_cabin_use *h = &c->scenario->rig.cabin;
    const lw_generator_use *g = &c->scenario->rig.generator;
    const int is_blower_off = mode == LW_MODE_JOINT && (s->cut & lw_bit(c->blower_cut));
    heat->step_s = dt_h * JOULE_PER_WH;
    heat->reaches_frac = 1.0;
    heat->ua_wk = c->ua_wk + c->wind_wkpms * hour->wind_ms;
    heat->decay_full = c->wind_wkpms > 0.0 || dt_h < c->step_h ? 0.0 : c->decay_calm;
    heat->sun_w = hour->sun_gain_w;
    heat->people_w = hour->people_w;
    heat->loads_w = loads_heat_w(c, hour, s);
    share_gas(c, mode, hour, s, heat, note);
    if (!(s->cut & lw_bit(c->fridge_cut)))
        heat->loads_w += heat->fridge.electric_w;

    const int can_cool = hour->is_generator_allowed && g->runs_for_cooling && h->cool_w > 0.0 && hour->is_somebody_in;
    wish->heat_needs_generator = g->is_present && (h->electric_w > 0.0 || h->cool_w > 0.0);
    wish->wants_generator = can_cool && s->cabin_c >= h->cool_above_c - LW_AT_SET_K;
    const int is_on =
        hour->is_generator_allowed && (s->is_generator_on || hour->is_generator_wanted || wish->wants_generator);
    heat->electric_max_w = is_on ? h->electric_w : 0.0;
    heat->cool_max_w = is_on ? h->cool_w : 0.0;
    run_cabin(c, hour, is_blower_off ? 0.0 : 1.0, s, heat);
    if (wish->wants_generator && heat->cabin.cool_w <= 0.0)
        wish->wants_generator = 0; /* it is cooling down by itself */
    if (can_cool && !wish->wants_generator)
        heat->reaches_frac = reach_frac(s->cabin_c, heat->cabin.end_c, h->cool_above_c);
    run_bay(c, hour, h->bay == LW_BAY_KIND_PAD, s, heat);
    note->gas_reserved_kg = (small_burners_w(heat) + heat->furnace.gas_w) * heat->step_s / LW_PROPANE_HHV_JPKG;
}

static double clip(double frac)
{
    return lw_least(lw_most(frac, 0.0), 1.0);
}

static void plan_loads(const lw_context *c, const lw_hour *hour, const lw_heat *heat, lw_wish *wish)
{
    const lw_cabin_use *h = &c->scenario->rig.cabin;
    memcpy(wish->dc_w, hour->dc_w, sizeof wish->dc_w);
    wish->ac_w = hour->ac_w;
    wish->ac_generator_w = hour->ac_generator_w + heat->electric_w;
    if (heat->cabin.cool_w > 0.0 && h->cool_w > 0.0)
        wish->ac_generator_w += h->cool_electric_w * heat->cabin.cool_w / h->cool_w;
    wish->dc_w[c->blower_cut] += heat->furnace.blower_w;
    wish->dc_w[c->pump_cut] += h->pump_wh_per_l * hour->pumped_l / c->step_h;
    wish->dc_w[c->fridge_cut] += heat->fridge.electric_w;
    wish->dc_w[c->system_cut] += heat->bay.pad_w;
    for (int d = 0; d < c->dynamic_count; d++) {
        const lw_dynamic_load *load = &c->dynamic[d];
        const int is_cold_bay = load->rhythm == LW_LOAD_BAY_COLD;
        const double on = is_cold_bay            ? clip((PAD_OFF_C - heat->bay.mean_c) / (PAD_OFF_C - PAD_ON_C))
                          : hour->is_somebody_in ? clip((heat->cabin.mean_c - load->above_c) / FAN_RAMP_K)
                                                 : 0.0;
        double *const to = load->with_generator_only ? &wish->ac_generator_w
                           : load->is_ac             ? &wish->ac_w
                                                     : &wish->dc_w[load->cut];
        *to += load->watts * on;
    }
    wish->dc_sum_w = wish->vital_sum_w = 0.0;
    for (int k = 0; k < c->cut_count; k++) {
        wish->dc_sum_w += wish->dc_w[k];
        if (c->cut_is_vital[k])
            wish->vital_sum_w += wish->dc_w[k];
    }
}

static void book_gas(lw_mode mode, const lw_context *c, const lw_heat *heat, lw_state *s, lw_flows *f,
                     lw_step_note *note)
{
    const double kg_per_w = heat->step_s / LW_PROPANE_HHV_JPKG;
    const double all_kg = (heat->furnace.gas_w + small_burners_w(heat)) * kg_per_w;
    if (all_kg <= 0.0)
        return;
    const double lack_kg = draw_gas(c, all_kg, s);
    /* share_gas has kept the joint course within what the cylinders hold; a generator on the same gas may have taken a
     * little more than it was left. */
    const double burnt = (mode == LW_MODE_OWN ? 1.0 : (all_kg - lack_kg) / all_kg) * kg_per_w;
    f->of[LW_FLOW_PROPANE_FURNACE] += heat->furnace.gas_w * burnt;
    f->of[LW_FLOW_PROPANE_WATER] += heat->water.gas_w * burnt;
    f->of[LW_FLOW_PROPANE_FRIDGE] += heat->fridge.gas_w * burnt;
    f->of[LW_FLOW_PROPANE_COOKING] += heat->cooking_w * burnt;
    f->of[LW_FLOW_PROPANE_OUT] += all_kg - lack_kg;
    lw_note_lack(note, LW_SUPPLY_PROPANE, all_kg, lack_kg, LW_NOTHING_KG);
    if (mode == LW_MODE_OWN)
        f->of[LW_FLOW_PROPANE_SHORT] += lack_kg;
}

static void book_heat(const lw_context *c, const lw_hour *hour, double dt_h, const lw_heat *heat, lw_state *s,
                      lw_flows *f, lw_step_note *note)
{
    f->of[LW_FLOW_HEAT_SUN] += heat->sun_w * dt_h;
    f->of[LW_FLOW_HEAT_PEOPLE] += heat->people_w * dt_h;
    f->of[LW_FLOW_HEAT_LOADS] += heat->loads_w * dt_h;
    f->of[LW_FLOW_HEAT_GAS] += heat->inside_gas_w * dt_h;
    f->of[LW_FLOW_HEAT_FURNACE] += heat->furnace.heat_w * dt_h;
    f->of[LW_FLOW_HEAT_ELECTRIC] += heat->electric_w * dt_h;
    f->of[LW_FLOW_HEAT_CONDUCTION] += heat->cabin.conduction_w * dt_h;
    f->of[LW_FLOW_HEAT_VENT] += heat->cabin.vent_w * dt_h;
    f->of[LW_FLOW_HEAT_COOLING] += heat->cabin.cool_w * dt_h;
    note->furnace_duty += heat->furnace.duty_frac * dt_h / note->span_h;
    note->inside_min_c = lw_least(note->inside_min_c, heat->cabin.min_c);
    note->inside_max_c = lw_most(note->inside_max_c, heat->cabin.max_c);
    note->set_c = hour->heat_set_c;
    note->gas_wish_w = lw_most(note->gas_wish_w, small_burners_w(heat) + heat->furnace.gas_w);
    note->is_hose_freezing |= heat->bay.is_hose_freezing;
    note->is_pipe_freezing |= heat->bay.is_pipe_freezing;
    s->cabin_c = heat->cabin.end_c;
    s->bay_c = heat->bay.bay_c;
    s->freeze_valve_h = heat->bay.hose_h;
    s->freeze_pipe_h = heat->bay.pipe_h;
    s->water_deficit_j = heat->water.deficit_j;

    const lw_battery_use *b = &c->scenario->rig.battery;
    const double around_c = b->is_inside ? heat->cabin.mean_c : heat->bay.mean_c;
    const double keep = dt_h < c->step_h ? exp(-dt_h / LW_BATTERY_LAG_H) : c->battery_decay;
    s->battery_c = around_c + (s->battery_c - around_c) * keep;
}

/* A fridge without cooling warms; four hours are the food clock's limit (USDA FSIS). */
static void note_fridge(const lw_context *c, double dt_h, const lw_heat *heat, lw_state *s, lw_step_note *note)
{
    const lw_cabin_use *h = &c->scenario->rig.cabin;
    note->fridge_frac = 1.0;
    if (!h->fridge_is_present)
        return;
    note->fridge_frac = lw_part_served(note, c->fridge_cut) < 1.0 ? lw_part_served(note, c->fridge_cut) : 1.0;
    if (h->fridge.kind == LW_COOLING_ABSORPTION)
        note->fridge_frac = lw_least(note->fridge_frac, heat->gas_frac);
    s->fridge_warm_h = note->fridge_frac >= 0.5 ? 0.0 : s->fridge_warm_h + dt_h * (1.0 - note->fridge_frac);
}

/* The oldest bag ages by the air around it: inside for the bin and the shower, outside elsewhere. */
static void age_rubbish(const lw_context *c, const lw_hour *hour, double dt_h, lw_state *s)
{
    if (c->row[LW_SUPPLY_RUBBISH].count == 0 || lw_rubbish_is_empty(c, s))
        return;
    const lw_rubbish_place place = c->scenario->rig.vessel[c->row[LW_SUPPLY_RUBBISH].vessel[0]].place;
    const int is_inside = place == LW_RUBBISH_BIN || place == LW_RUBBISH_SHOWER;
    s->rubbish_age_frac += lw_rubbish_age_rate_perh(is_inside ? s->cabin_c : hour->air_c) * dt_h;
}

static void clear_note(double span_h, lw_step_note *note)
{
    note->lack_vessels = note->lack_supplies = 0;
    note->is_leisure_stopped = note->is_use_stopped = note->has_cuts = 0;
    note->is_hose_freezing = note->is_pipe_freezing = 0;
    note->data_lack_gb = note->unmet_wh = note->cold_charge_wh = note->generator_missing_w = 0.0;
    note->all_served_h = note->offset_h = note->furnace_duty = note->gas_wish_w = 0.0;
    note->span_h = span_h;
    note->floor_h = note->inside_min_c = INFINITY;
    note->inside_max_c = -INFINITY;
}

/* What the joint course takes back from the cabin when power failed inside the part. */
static void correct_heat(const lw_context *c, const lw_hour *hour, const lw_state *s, const lw_step_note *note,
                         lw_heat *heat)
{
    const double blower = lw_part_served(note, c->blower_cut), pad = lw_part_served(note, c->system_cut);
    if (blower < 1.0 && heat->furnace.heat_w > 0.0)
        run_cabin(c, hour, heat->furnace.duty_frac * blower, s, heat);
    if (pad < 0.5 || blower < 1.0)
        run_bay(c, hour, c->scenario->rig.cabin.bay == LW_BAY_KIND_PAD && pad >= 0.5, s, heat);
    heat->fridge.gas_w *= lw_part_served(note, c->fridge_cut);
}

/* One part of a stretch, from from_h of it for at most dt_h; returns how long it was. It ends where the cabin begins to
 * want the generator, or the generator on which the cabin depends starts or stops. */
static double run_part(const lw_context *c, lw_mode mode, int step, double dt_h, int is_last, lw_state *s, lw_flows *f,
                       lw_step_note *note)
{
    const lw_hour *hour = &c->hour[step];
    lw_heat heat;
    lw_wish wish;
    plan_heat(c, mode, hour, dt_h, s, &heat, &wish, note);
    if (is_last)
        wish.heat_needs_generator = 0;
    else if (heat.reaches_frac < 1.0) {
        dt_h *= lw_most(heat.reaches_frac, SHORTEST_PART);
        plan_heat(c, mode, hour, dt_h, s, &heat, &wish, note);
    }
    plan_loads(c, hour, &heat, &wish);
    lw_step_power(c, mode, hour, dt_h, &wish, s, f, note);
    if (note->done_h < dt_h) {
        /* The generator switched: the cabin's part is planned again for the shorter time. */
        const uint8_t on = s->is_generator_on;
        lw_wish ignored;
        dt_h = note->done_h;
        plan_heat(c, mode, hour, dt_h, s, &heat, &ignored, note);
        s->is_generator_on = on;
    }
    if (mode == LW_MODE_JOINT && note->part_all_h < note->done_h * (1.0 - 1e-12))
        correct_heat(c, hour, s, note, &heat);
    book_gas(mode, c, &heat, s, f, note);
    lw_step_uses(c, mode, step, dt_h / c->step_h, s, f, note);
    note_fridge(c, dt_h, &heat, s, note);
    book_heat(c, hour, dt_h, &heat, s, f, note);
    age_rubbish(c, hour, dt_h, s);
    return dt_h;
}

void lw_step(const lw_context *c, lw_mode mode, int step, double from_frac, double to_frac, lw_state *s, lw_flows *f,
             lw_step_note *note)
{
    const double span_h = (to_frac - from_frac) * c->step_h;
    clear_note(span_h, note);
    for (int n = 1; note->offset_h < span_h * (1.0 - SHORTEST_PART); n++)
        note->offset_h += run_part(c, mode, step, span_h - note->offset_h, n >= PARTS_MOST, s, f, note);
}
