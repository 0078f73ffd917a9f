#include <math.h>
#include <string.h>

#include "core/base/exp.h"
#include "core/base/hot.h"
#include "core/base/num.h"
#include "core/heat/cabin.h"
#include "core/heat/propane.h"
#include "core/house/rubbish.h"
#include "core/sim/step_internal.h"

static const double JOULE_PER_WH = 3600.0;

/* Parts of a stretch: a cabin without mass and an air conditioner could call each other for ever. Then the rest is one. */
static const int PARTS_MOST = 12;

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

double lw_row_draw(const lw_context *c, int supply, double amount, lw_state *s)
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
double lw_draw_gas(const lw_context *c, double kg, lw_state *s)
{
    const lw_vessel *vessel = c->scenario->rig.vessel;
    int open[LW_VESSELS];
    int n;
    if (c->scenario->rig.cabin.open_cylinders <= 1) /* one after the other, as from any row */
        return lw_row_draw(c, LW_SUPPLY_PROPANE, kg, s);
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
LW_RARE double lw_vapour_limit_w(const lw_context *c, const lw_state *s, double air_c)
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
        if (most_kg <= 0.0)
            break;
        taken |= lw_bit(fullest);
        sum += lw_propane_vapour_limit_w(most_kg, air_c);
    }
    return sum;
}

static double fullest_kg(const lw_context *c, const lw_state *s)
{
    const lw_row *row = &c->row[LW_SUPPLY_PROPANE];
    double most_kg = 0.0;
    for (int i = 0; i < row->count; i++)
        most_kg = lw_most(s->level[row->vessel[i]], most_kg);
    return most_kg;
}

/* ------------------------------------------------------------------ heat and gas */

typedef struct lw_heat {
    double ua_wk, decay_full, step_s, per_s;
    double sun_w, people_w, loads_w, inside_gas_w; /* gains */
    double most_w;                                 /* joint course: gas there is, vaporised and held */
    int is_gas_cold;                               /* what is vaporised is less than what is held */
    int is_limit_exact;                            /* of the note's gas_limit_w; else there is no less than that */
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

/* Share that a part is of the whole: mostly all of it. */
static double part_of(double dt_h, double whole_h)
{
    return LW_SELDOM(dt_h < whole_h) ? dt_h / whole_h : 1.0;
}

static double clip(double frac)
{
    return lw_least(lw_most(frac, 0.0), 1.0);
}

static double fan_frac(const lw_hour *hour, const lw_dynamic_load *fan, double cabin_c)
{
    return hour->is_somebody_in ? clip((cabin_c - fan->above_c) / LW_FAN_RAMP_K) : 0.0;
}

/* A draw uses more or less of its devices, but not of what a life hangs on. */
static double devices_factor(const lw_context *c, const lw_hour *hour)
{
    return lw_factor_of(lw_factors_of(c, hour), LW_GROUP_DEVICES);
}

/* Heat of the loads, as far as their classes are on when the step begins. */
static double loads_heat_w(const lw_context *c, const lw_hour *hour, const lw_state *s)
{
    const double factor = devices_factor(c, hour);
    const int has_ac = s->is_generator_on || (hour->is_inverter_on && !lw_is_cut(s, c->system_cut));
    double inside_w = has_ac ? factor * hour->ac_inside_w : 0.0;
    for (int d = 0; d < c->dynamic_count; d++) {
        const lw_dynamic_load *fan = &c->dynamic[d];
        const int is_fed = fan->with_generator_only ? s->is_generator_on
                           : fan->is_ac             ? has_ac
                                                    : !lw_is_cut(s, fan->cut);
        inside_w += is_fed ? fan->watts * fan->inside_frac * fan_frac(hour, fan, s->cabin_c) : 0.0;
    }
    if (LW_MOSTLY(!s->cut))
        return inside_w + factor * hour->loads_inside_w;
    double all_w = 0.0, on_w = 0.0;
    for (int k = 0; k < c->cut_count; k++) {
        all_w += hour->dc_w[k];
        on_w += (s->cut & lw_bit(k)) ? 0.0 : hour->dc_w[k];
    }
    return inside_w + (all_w > 0.0 ? factor * hour->loads_inside_w * on_w / all_w : 0.0);
}

static void run_small_burners(const lw_context *c, const lw_expected *uses, const lw_state *s, lw_heat *heat)
{
    const lw_cabin_use *h = &c->scenario->rig.cabin;
    heat->cooking_w = uses->gas_wh * c->per_step_h * heat->gas_frac;
    heat->water = (lw_water_heater_out){.deficit_j = s->water_deficit_j};
    heat->fridge = (lw_fridge_out){0};
    if (LW_MOSTLY(h->water_heater_is_present))
        lw_water_heater_run(&c->water_heater,
                            &(lw_water_heater_in){.hot_l = uses->hot_l * (heat->step_s * c->per_step_s),
                                                  .cold_c = h->cold_c,
                                                  .hot_c = h->hot_c,
                                                  .deficit_j = s->water_deficit_j,
                                                  .input_now_w = heat->water_input_w,
                                                  .step_s = heat->step_s,
                                                  .per_s = heat->per_s},
                            &heat->water);
    if (LW_MOSTLY(h->fridge_is_present)) {
        lw_fridge_run(&h->fridge, s->cabin_c, &heat->fridge);
        heat->fridge.gas_w *= heat->gas_frac;
    }
    heat->inside_gas_w = heat->cooking_w + heat->water.standing_w;
}

static double small_burners_w(const lw_heat *heat)
{
    return heat->cooking_w + heat->water.gas_w + heat->fridge.gas_w;
}

/* Why the burners go short: the cylinders are empty, or too cold to give what they hold. */
static void note_gas_lack(const lw_heat *heat, lw_step_note *note)
{
    if (heat->is_gas_cold)
        note->is_gas_cold = 1;
    else
        note->lack_supplies |= lw_bit(LW_SUPPLY_PROPANE);
}

static void set_gas_limit(const lw_context *c, lw_mode mode, double limit_w, const lw_state *s, lw_heat *heat,
                          lw_step_note *note)
{
    note->gas_limit_w = limit_w;
    if (mode == LW_MODE_OWN)
        return;
    const double held_w = lw_row_available(c, LW_SUPPLY_PROPANE, s) * (LW_PROPANE_HHV_JPKG * heat->per_s);
    heat->most_w = lw_least(limit_w, held_w);
    heat->is_gas_cold = limit_w < held_w;
}

/* Whether the burners get what they ask for; what the cylinders vaporise is worked out only where that is in doubt. */
static int is_gas_enough(const lw_context *c, lw_mode mode, const lw_hour *hour, double asked_w, const lw_state *s,
                         lw_heat *heat, lw_step_note *note)
{
    if (LW_SELDOM(!heat->is_limit_exact && asked_w > lw_least(heat->most_w, note->gas_limit_w))) {
        heat->is_limit_exact = 1;
        set_gas_limit(c, mode, lw_vapour_limit_w(c, s, hour->air_c), s, heat, note);
    }
    return asked_w <= heat->most_w;
}

/* Gas: stove and fridge first, then hot water; the furnace gets what the cylinders can still vaporise. In a supply's own course gas is
 * lent, so that only the note says what was missing. */
static void share_gas(const lw_context *c, lw_mode mode, const lw_hour *hour, const lw_expected *uses,
                      const lw_state *s, lw_heat *heat, lw_step_note *note)
{
    heat->gas_frac = 1.0;
    heat->most_w = INFINITY;
    heat->water_input_w = c->water_input_w;
    heat->furnace_input_w = c->furnace.input_w;
    run_small_burners(c, uses, s, heat);
    heat->is_limit_exact = c->row[LW_SUPPLY_PROPANE].count == 0;
    if (LW_SELDOM(heat->is_limit_exact)) { /* gas from elsewhere: a rig that does not track it */
        note->gas_limit_w = INFINITY;
        return;
    }
    /* No more than that, at a glance at the fullest, which is always among those taken. */
    const double most_kg = fullest_kg(c, s);
    heat->is_limit_exact = most_kg <= 0.0; /* from empty ones there is none */
    set_gas_limit(c, mode, lw_propane_vapour_surely_w(most_kg, hour->air_c), s, heat, note);
    if (LW_SELDOM(!is_gas_enough(c, mode, hour, small_burners_w(heat), s, heat, note))) {
        const double most_w = heat->most_w;
        const double first_w = heat->cooking_w + heat->fridge.gas_w;
        note_gas_lack(heat, note); /* not even for hot water, stove and fridge */
        heat->gas_frac = first_w > most_w ? most_w / first_w : 1.0;
        heat->water_input_w = lw_least(heat->water_input_w, lw_most(most_w - first_w, 0.0));
        run_small_burners(c, uses, s, heat);
    }
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
                            .vent_set_c = lw_most(h->vent_above_c, hour->heat_set_c + LW_VENT_ABOVE_SET_K),
                            .vent_max_wk = hour->is_grown_in ? h->vent_wk : 0.0,
                            .cool_set_c = h->cool_above_c,
                            .cool_max_w = heat->cool_max_w,
                            .step_s = heat->step_s};
    lw_cabin_step(&cabin, &in, &heat->cabin);
    heat->electric_w = lw_least(heat->cabin.heat_w, heat->electric_max_w);
    lw_furnace furnace = c->furnace;
    furnace.cycles_per_h *= heat->cabin.held_frac; /* warming up is one long burn, without the run-on of cycles */
    lw_furnace_run(&furnace, input_w, heat->cabin.heat_w - heat->electric_w, &heat->furnace);
}

/* What the cylinders give is a mean as well: a furnace that cycles within it keeps its full flame. */
static void limit_furnace(const lw_context *c, lw_mode mode, const lw_hour *hour, int is_blower_off, const lw_state *s,
                          lw_heat *heat, lw_step_note *note)
{
    const int is_enough = is_gas_enough(c, mode, hour, small_burners_w(heat) + heat->furnace.gas_w, s, heat, note);
    double left_w = heat->most_w - small_burners_w(heat);
    if (left_w < LW_ROUNDING_FRAC * c->furnace.input_w) /* a last bit of gas keeps no blower running */
        left_w = 0.0;
    if (LW_MOSTLY(is_enough || heat->furnace.gas_w <= left_w))
        return;
    note_gas_lack(heat, note);
    heat->furnace_input_w = lw_least(heat->furnace_input_w, left_w);
    run_cabin(c, hour, is_blower_off ? 0.0 : 1.0, s, heat);
}

/* Alternating current of the scheduled loads; in a plain course just what stands in the hour. */
static double ac_w_of(const lw_context *c, const lw_hour *hour)
{
    return c->use_factor ? hour->vital_ac_w + devices_factor(c, hour) * (hour->ac_w - hour->vital_ac_w) : hour->ac_w;
}

/* A heater has what the other loads leave of the running set. An air conditioner has all it needs or does not start. */
static void share_generator(const lw_context *c, const lw_hour *hour, const lw_state *s, lw_heat *heat,
                            lw_step_note *note)
{
    const lw_cabin_use *h = &c->scenario->rig.cabin;
    const double loads_w = ac_w_of(c, hour) + devices_factor(c, hour) * hour->ac_generator_w;
    const double left_w = lw_most(lw_generator_capacity_w(&c->generator, hour->air_c) - loads_w, 0.0);
    heat->electric_max_w = lw_least(h->electric_w, left_w);
    if (left_w >= h->cool_electric_w)
        heat->cool_max_w = h->cool_w;
    else if (s->cabin_c >= h->cool_above_c - LW_AT_SET_K)
        note->generator_missing_w = lw_most(note->generator_missing_w, h->cool_electric_w - left_w);
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

static int has_pad_power(const lw_context *c, const lw_hour *hour, int is_set_on)
{
    return c->has_pads && (is_set_on || !(c->pad_needs_generator || (c->pad_is_ac && !hour->is_inverter_on)));
}

/* Share of the part after which a rising cabin reaches a temperature; 1 when it does not. */
static double reach_frac(double start_c, double end_c, double at_c)
{
    return start_c < at_c && end_c > at_c ? (at_c - start_c) / (end_c - start_c) : 1.0;
}

/* What the cabin wishes, all its devices running. */
static void plan_heat(const lw_context *c, lw_mode mode, int step, double dt_h, const lw_state *s, lw_heat *heat,
                      lw_wish *wish, lw_step_note *note)
{
    const lw_hour *hour = &c->hour[step];
    const lw_cabin_use *h = &c->scenario->rig.cabin;
    const lw_generator_use *g = &c->scenario->rig.generator;
    const int is_blower_off = mode == LW_MODE_JOINT && lw_is_cut(s, c->blower_cut);
    heat->step_s = dt_h * JOULE_PER_WH;
    heat->per_s = LW_SELDOM(dt_h < c->step_h) ? 1.0 / heat->step_s : c->per_step_s;
    heat->reaches_frac = 1.0;
    heat->ua_wk = c->ua_wk + c->wind_wkpms * hour->wind_ms;
    heat->decay_full = c->wind_wkpms > 0.0 || dt_h < c->step_h ? 0.0 : c->decay_calm;
    heat->sun_w = hour->sun_gain_w;
    heat->people_w = hour->people_w;
    heat->loads_w = loads_heat_w(c, hour, s);
    wish->has_room =
        mode == LW_MODE_OWN || hour->pour_count == 0 || lw_has_room_for_uses(c, hour, part_of(dt_h, c->step_h), s);
    if (LW_SELDOM(!wish->has_room) && hour->hot_l + hour->gas_wh + hour->pumped_l + hour->uses_wh > 0.0)
        lw_uses_expected(c, step, part_of(dt_h, c->step_h), s, &wish->expected);
    else
        wish->expected = lw_expected_of(hour);
    share_gas(c, mode, hour, &wish->expected, s, heat, note);
    if (LW_MOSTLY(!lw_is_cut(s, c->fridge_cut)))
        heat->loads_w += heat->fridge.electric_w;

    const int can_cool = hour->is_generator_allowed && g->runs_for_cooling && h->cool_w > 0.0 && hour->is_grown_in;
    wish->heat_needs_generator = g->is_present && (h->electric_w > 0.0 || h->cool_w > 0.0);
    wish->wants_generator = can_cool && s->cabin_c >= h->cool_above_c - LW_AT_SET_K;
    if (LW_SELDOM(c->is_set_on_gas))
        note->gas_reserved_kg = small_burners_w(heat) * heat->step_s / LW_PROPANE_HHV_JPKG;
    if (LW_MOSTLY(!wish->is_decided))
        wish->is_on = lw_generator_is_wanted_on(c, mode, hour, wish, s->battery_q1_ah + s->battery_q2_ah, s, note);
    const int is_on = wish->is_on;
    heat->electric_max_w = heat->cool_max_w = 0.0;
    if (LW_SELDOM(is_on) && wish->heat_needs_generator)
        share_generator(c, hour, s, heat, note);
    if (LW_SELDOM(wish->is_bounded)) {
        heat->electric_max_w = lw_least(heat->electric_max_w, wish->electric_most_w);
        heat->cool_max_w = lw_least(heat->cool_max_w, wish->cool_most_w);
    }
    run_cabin(c, hour, is_blower_off ? 0.0 : 1.0, s, heat);
    limit_furnace(c, mode, hour, is_blower_off, s, heat, note);
    if (wish->wants_generator && heat->cabin.cool_w <= 0.0)
        wish->wants_generator = 0; /* it is cooling down by itself */
    if (can_cool && !wish->wants_generator)
        heat->reaches_frac = reach_frac(s->cabin_c, heat->cabin.end_c, h->cool_above_c);
    run_bay(c, hour, has_pad_power(c, hour, is_on), s, heat);
    if (LW_SELDOM(c->is_set_on_gas))
        note->gas_reserved_kg = (small_burners_w(heat) + heat->furnace.gas_w) * heat->step_s / LW_PROPANE_HHV_JPKG;
}

/* The same once more, for a part that turned out shorter. */
static LW_RARE void plan_heat_again(const lw_context *c, lw_mode mode, int step, double dt_h, const lw_state *s,
                                    lw_heat *heat, lw_wish *wish, lw_step_note *note)
{
    plan_heat(c, mode, step, dt_h, s, heat, wish, note);
}

/* Where a thermostat's load is counted: only a running set feeds it, the inverter does, or the battery. */
static double *line_of(int with_generator_only, int is_ac, double *dc_w, lw_wish *wish)
{
    return with_generator_only ? &wish->ac_generator_w : is_ac ? &wish->ac_w : dc_w;
}

static double pump_w(const lw_context *c, const lw_wish *wish)
{
    const double pump_wh = c->scenario->rig.cabin.pump_wh_per_l * wish->expected.pumped_l + wish->expected.uses_wh;
    return pump_wh * c->per_step_h;
}

static void plan_loads(const lw_context *c, const lw_hour *hour, const lw_heat *heat, lw_wish *wish)
{
    const lw_cabin_use *h = &c->scenario->rig.cabin;
    const double factor = devices_factor(c, hour);
    wish->ac_w = ac_w_of(c, hour);
    wish->ac_generator_w = factor * hour->ac_generator_w + heat->electric_w;
    if (heat->cabin.cool_w > 0.0 && h->cool_w > 0.0)
        wish->ac_generator_w += h->cool_electric_w * heat->cabin.cool_w / h->cool_w;
    wish->vital_sum_w = hour->dc_vital_w;
    wish->dc_sum_w = factor * hour->dc_varied_w + hour->dc_vital_w + heat->furnace.blower_w + heat->fridge.electric_w +
                     pump_w(c, wish);
    *line_of(c->pad_needs_generator, c->pad_is_ac, &wish->dc_sum_w, wish) += heat->bay.pad_w;
    for (int d = 0; d < c->dynamic_count; d++) {
        const lw_dynamic_load *fan = &c->dynamic[d];
        *line_of(fan->with_generator_only, fan->is_ac, &wish->dc_sum_w, wish) +=
            fan->watts * fan_frac(hour, fan, heat->cabin.mean_c);
    }
}

/* The direct current of plan_loads by class: for a part in which one may drop. */
static LW_RARE void plan_classes(const lw_context *c, const lw_hour *hour, const lw_heat *heat, lw_wish *wish)
{
    const double factor = devices_factor(c, hour);
    for (int k = 0; k < c->cut_count; k++)
        wish->dc_w[k] = hour->dc_w[k] * (c->cut_is_vital[k] ? 1.0 : factor);
    wish->dc_w[c->blower_cut] += heat->furnace.blower_w;
    wish->dc_w[c->pump_cut] += pump_w(c, wish);
    wish->dc_w[c->fridge_cut] += heat->fridge.electric_w;
    if (!c->pad_needs_generator && !c->pad_is_ac)
        wish->dc_w[c->pad_cut] += heat->bay.pad_w;
    for (int d = 0; d < c->dynamic_count; d++) {
        const lw_dynamic_load *fan = &c->dynamic[d];
        if (!fan->with_generator_only && !fan->is_ac)
            wish->dc_w[fan->cut] += fan->watts * fan_frac(hour, fan, heat->cabin.mean_c);
    }
    wish->dc_sum_w = wish->vital_sum_w = 0.0;
    for (int k = 0; k < c->cut_count; k++) {
        wish->dc_sum_w += wish->dc_w[k];
        wish->vital_sum_w += c->cut_is_vital[k] ? wish->dc_w[k] : 0.0;
    }
}

/* Gas that holds the lower set-point against the cold outside, without sun and people. */
static double held_need_w(const lw_context *c, const lw_hour *hour, const lw_heat *heat)
{
    const lw_cabin_use *h = &c->scenario->rig.cabin;
    const double set_c = lw_least(lw_least(h->day_c, h->night_c), hour->heat_set_c);
    return c->furnace.efficiency_frac > 0.0
               ? heat->ua_wk * lw_most(set_c - hour->air_c, 0.0) / c->furnace.efficiency_frac
               : 0.0;
}

static void book_gas(lw_mode mode, const lw_context *c, const lw_hour *hour, const lw_heat *heat, lw_state *s,
                     lw_flows *f, lw_step_note *note)
{
    const double kg_per_w = heat->step_s * (1.0 / LW_PROPANE_HHV_JPKG);
    const double all_kg = (heat->furnace.gas_w + small_burners_w(heat)) * kg_per_w;
    if (LW_SELDOM(all_kg <= 0.0))
        return;
    const double lack_kg = lw_draw_gas(c, all_kg, s);
    /* share_gas has kept the joint course within what the cylinders hold; a generator on the same gas may have taken a
     * little more than it was left. */
    const int is_lent = mode == LW_MODE_OWN || c->row[LW_SUPPLY_PROPANE].count == 0;
    const double burnt = (is_lent || lack_kg <= 0.0 ? 1.0 : (all_kg - lack_kg) / all_kg) * kg_per_w;
    note->gas_asked_kg += all_kg;
    if (LW_MOSTLY(f)) {
        f->of[LW_FLOW_PROPANE_FURNACE] += heat->furnace.gas_w * burnt;
        f->of[LW_FLOW_PROPANE_WATER] += heat->water.gas_w * burnt;
        f->of[LW_FLOW_PROPANE_FRIDGE] += heat->fridge.gas_w * burnt;
        f->of[LW_FLOW_PROPANE_COOKING] += heat->cooking_w * burnt;
        f->of[LW_FLOW_PROPANE_OUT] += all_kg - lack_kg;
        f->of[LW_FLOW_PROPANE_SHORT] += is_lent ? lack_kg : 0.0;
    }
    if (LW_SELDOM(c->row[LW_SUPPLY_PROPANE].count == 0))
        return;
    /* Its own course ends too where the cylinders are so cold that what they hold is of no use: they give far less than
     * holds the cabin at its lowest set-point, though they hold enough for many hours. That a furnace warming up burns
     * lower for an hour is no end, and the last of a cylinder is its end anyway. */
    double cold_kg = 0.0;
    if (mode == LW_MODE_OWN && note->gas_limit_w < LW_COLD_GAS_FRAC * (heat->furnace.gas_w + small_burners_w(heat))) {
        const double need_w = lw_least(heat->furnace.gas_w, held_need_w(c, hour, heat)) + small_burners_w(heat);
        if (note->gas_limit_w < LW_COLD_GAS_FRAC * need_w &&
            lw_row_available(c, LW_SUPPLY_PROPANE, s) * LW_PROPANE_HHV_JPKG > need_w * LW_COLD_GAS_LEFT_S)
            cold_kg = (need_w - note->gas_limit_w) * kg_per_w;
    }
    note->is_gas_cold |= cold_kg > lack_kg;
    lw_note_lack(note, LW_SUPPLY_PROPANE, all_kg, lw_most(lack_kg, cold_kg), LW_NOTHING_KG);
}

static void book_heat_flows(const lw_heat *heat, double dt_h, lw_flows *f)
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
}

static void keep_heat(const lw_context *c, const lw_hour *hour, double dt_h, const lw_heat *heat, lw_state *s,
                      lw_step_note *note)
{
    note->furnace_duty += heat->furnace.duty_frac * part_of(dt_h, note->span_h);
    note->inside_min_c = lw_least(note->inside_min_c, heat->cabin.min_c);
    note->inside_max_c = lw_most(note->inside_max_c, heat->cabin.max_c);
    note->set_c = hour->heat_set_c;
    note->is_gas_over_limit |= small_burners_w(heat) + heat->furnace.gas_w > note->gas_limit_w;
    note->is_hose_freezing |= heat->bay.is_hose_freezing;
    note->is_pipe_freezing |= heat->bay.is_pipe_freezing;
    s->cabin_c = heat->cabin.end_c;
    s->bay_c = heat->bay.bay_c;
    s->freeze_valve_h = heat->bay.hose_h;
    s->freeze_pipe_h = heat->bay.pipe_h;
    s->water_deficit_j = heat->water.deficit_j;

    const lw_battery_use *b = &c->scenario->rig.battery;
    const double around_c = b->is_inside ? heat->cabin.mean_c : heat->bay.mean_c;
    const double keep = dt_h < c->step_h ? lw_exp(-dt_h * (1.0 / LW_BATTERY_LAG_H)) : c->battery_decay;
    s->battery_c = around_c + (s->battery_c - around_c) * keep;
}

/* A fridge without cooling warms where the cabin is warmer than the food may be; four hours are the food clock's limit. */
static void note_fridge(const lw_context *c, double dt_h, const lw_heat *heat, lw_state *s, lw_step_note *note)
{
    const lw_cabin_use *h = &c->scenario->rig.cabin;
    note->fridge_frac = 1.0;
    if (!h->fridge_is_present)
        return;
    const double before_h = s->fridge_warm_h;
    if (LW_SELDOM(note->has_cuts))
        note->fridge_frac = lw_least(lw_part_served(note, c->fridge_cut), 1.0);
    if (h->fridge.kind == LW_COOLING_ABSORPTION)
        note->fridge_frac = lw_least(note->fridge_frac, heat->gas_frac);
    if (LW_MOSTLY(note->fridge_frac >= 0.5)) {
        /* Off at the end of the part: the clock began when it stopped. */
        s->fridge_warm_h = lw_is_cut(s, c->fridge_cut) ? dt_h * (1.0 - note->fridge_frac) : 0.0;
    } else if (heat->cabin.mean_c > LW_FOOD_SAFE_C) {
        const double rate = 1.0 - note->fridge_frac;
        s->fridge_warm_h += dt_h * rate;
        if (before_h < LW_FOOD_WARM_H && s->fridge_warm_h >= LW_FOOD_WARM_H)
            note->food_warm_h = note->offset_h + (LW_FOOD_WARM_H - before_h) / rate;
    }
}

/* The oldest bag ages by the air around it: inside for the bin and the shower, outside elsewhere. */
static void age_rubbish(const lw_context *c, const lw_hour *hour, double dt_h, lw_state *s)
{
    if (LW_SELDOM(c->row[LW_SUPPLY_RUBBISH].count == 0 || lw_rubbish_is_empty(c, s)))
        return;
    const lw_rubbish_place place = c->scenario->rig.vessel[c->row[LW_SUPPLY_RUBBISH].vessel[0]].place;
    const int is_inside = place == LW_RUBBISH_BIN || place == LW_RUBBISH_SHOWER;
    s->rubbish_age_frac += lw_rubbish_age_rate_perh(is_inside ? s->cabin_c : hour->air_c) * dt_h;
}

static void clear_note(double span_h, lw_step_note *note)
{
    note->lack_vessels = note->lack_supplies = 0;
    note->is_leisure_stopped = note->is_use_stopped = note->has_cuts = 0;
    note->is_hose_freezing = note->is_pipe_freezing = note->is_gas_cold = note->is_gas_over_limit = 0;
    note->data_lack_gb = note->unmet_wh = note->cold_charge_wh = note->generator_missing_w = note->ac_missing_w = 0.0;
    note->gas_asked_kg = note->panels_wh = 0.0;
    note->ac_lack_h = note->all_served_h = note->offset_h = note->furnace_duty = 0.0;
    note->span_h = span_h;
    note->floor_h = note->inside_min_c = note->food_warm_h = INFINITY;
    note->inside_max_c = -INFINITY;
}

/* What the joint course takes back from the cabin when power failed inside the part. */
static LW_RARE void correct_heat(const lw_context *c, const lw_hour *hour, const lw_state *s, const lw_step_note *note,
                                 lw_heat *heat)
{
    const double blower = lw_part_served(note, c->blower_cut), pad = lw_part_served(note, c->pad_cut);
    if (blower < 1.0 && heat->furnace.heat_w > 0.0)
        run_cabin(c, hour, heat->furnace.duty_frac * blower, s, heat);
    if (pad < 0.5 || blower < 1.0)
        run_bay(c, hour, has_pad_power(c, hour, s->is_generator_on) && pad >= 0.5, s, heat);
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
    wish.is_decided = is_last; /* a set that starts and stops for ever no longer heats or cools in this step */
    wish.is_on = wish.is_bounded = 0;
    plan_heat(c, mode, step, dt_h, s, &heat, &wish, note);
    if (LW_SELDOM(is_last))
        wish.heat_needs_generator = 0;
    else if (LW_SELDOM(heat.reaches_frac < 1.0)) {
        dt_h *= lw_most(heat.reaches_frac, LW_SHORTEST_PART);
        plan_heat_again(c, mode, step, dt_h, s, &heat, &wish, note);
    }
    plan_loads(c, hour, &heat, &wish);
    if (LW_SELDOM(note->wants || !lw_step_power_steady(c, mode, hour, dt_h, &wish, s, f, note))) {
        plan_classes(c, hour, &heat, &wish);
        lw_step_power(c, mode, hour, dt_h, &wish, s, f, note);
    }
    if (LW_SELDOM(note->done_h < dt_h)) {
        /* The generator switched: the cabin's part is planned again for the shorter time. */
        const uint8_t on = s->is_generator_on;
        lw_wish ignored = {.is_decided = 1, /* as it was while this part ran */
                           .is_on = on,
                           .is_bounded = 1,
                           .cool_most_w = heat.cabin.cool_w,
                           .electric_most_w = heat.electric_w};
        dt_h = note->done_h;
        plan_heat_again(c, mode, step, dt_h, s, &heat, &ignored, note);
        s->is_generator_on = on;
    }
    if (LW_SELDOM(mode == LW_MODE_JOINT && note->part_all_h < note->done_h * (1.0 - 1e-12)))
        correct_heat(c, hour, s, note, &heat);
    book_gas(mode, c, hour, &heat, s, f, note);
    if (LW_SELDOM(note->wants || !wish.has_room || (mode == LW_MODE_JOINT && note->has_cuts)))
        lw_step_uses(c, mode, step, part_of(dt_h, c->step_h), ~UINT32_C(0), s, f, note);
    else
        lw_pour_uses(c, hour, part_of(dt_h, c->step_h), s, f, note);
    note_fridge(c, dt_h, &heat, s, note);
    if (LW_MOSTLY(f))
        book_heat_flows(&heat, dt_h, f);
    keep_heat(c, hour, dt_h, &heat, s, note);
    age_rubbish(c, hour, dt_h, s);
    return dt_h;
}

static inline void run_parts(const lw_context *c, lw_mode mode, int step, double span_h, lw_state *s, lw_flows *f,
                             lw_step_note *note)
{
    for (int n = 1; note->offset_h < span_h * (1.0 - LW_SHORTEST_PART); n++)
        note->offset_h += run_part(c, mode, step, span_h - note->offset_h, n >= PARTS_MOST, s, f, note);
}

LW_FLAT void lw_step(const lw_context *c, lw_mode mode, int step, double from_frac, double to_frac, lw_state *s,
                     lw_flows *f, lw_step_note *note)
{
    const double span_h = (to_frac - from_frac) * c->step_h;
    clear_note(span_h, note);
    if (LW_MOSTLY(f))
        run_parts(c, mode, step, span_h, s, f, note);
    else
        run_parts(c, mode, step, span_h, s, NULL, note);
}
