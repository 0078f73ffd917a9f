#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/num.h"
#include "exchange/scenario_internal.h"
#include "text/quantity.h"

static double plain(double value)
{
    return isnan(value) ? 0.0 : value;
}

static int has_propane(const lw_rig *rig)
{
    for (int i = 0; i < rig->vessel_count; i++)
        if (rig->vessel[i].supply == LW_SUPPLY_PROPANE)
            return 1;
    return 0;
}

static void want_propane(lw_reader *r, const lw_scope *in, const char *what)
{
    if (!r->code && in->node && !has_propane(&r->out->scenario->rig))
        lw_read_refuse(r, in, NULL, LW_E_CONFLICT, "the %s burns gas, but there is no propane", what);
}

static void read_shell(lw_reader *r, const lw_scope *in, lw_cabin_use *to)
{
    to->ua_wk = lw_read_si(r, in, "conductance");
    to->wind_wkpms = lw_read_si(r, in, "wind") * to->ua_wk;
    to->mass_jk = lw_read_si(r, in, "mass") * 1000.0; /* stored in kJ/K */
    to->glass_m2 = lw_read_si(r, in, "glass");
    to->skin_m2 = lw_read_si(r, in, "skin");
    to->vent_wk = lw_read_si(r, in, "vents");
    to->vent_above_c = lw_read_si(r, in, "vent_above");
    to->day_c = lw_read_si(r, in, "day");
    to->night_c = lw_read_si(r, in, "night");
    to->away_c = lw_read_si(r, in, "away");
    (void)lw_read_hours(r, in, "day_hours", to->day);
    to->inside_c = lw_read_si(r, in, "start");
    to->electric_w = plain(lw_read_si(r, in, "electric_heat"));
    to->bay = (lw_bay_kind)lw_read_word(r, in, "bay");
    to->pad_w = plain(lw_read_si(r, in, "pads"));
    if (!r->code && to->bay == LW_BAY_KIND_PAD && !(to->pad_w > 0.0))
        lw_read_refuse(r, in, "bay", LW_E_CONFLICT, "the bay is warmed by pads, but rig.cabin.pads has no power");
    if (!r->code && to->vent_above_c <= to->day_c)
        lw_read_refuse(r, in, lw_read_is_given(r, in, "vent_above") ? "vent_above" : "day", LW_E_CONFLICT,
                       "windows would open below the temperature that is kept by day");
}

static void read_furnace(lw_reader *r, const lw_scope *cabin, lw_cabin_use *to)
{
    to->furnace_frac = 1.0;
    if (!lw_read_has(r, cabin, "furnace"))
        return;
    const lw_scope in = lw_read_map(r, cabin, "furnace");
    want_propane(r, &in, "furnace");
    to->furnace_input_w = has_propane(&r->out->scenario->rig) ? plain(lw_read_si(r, &in, "input")) : 0.0;
    to->furnace_frac = lw_read_si(r, &in, "efficiency");
    to->blower_w = plain(lw_read_si(r, &in, "blower"));
    to->furnace_cut_v = plain(lw_read_si(r, &in, "cut_off"));
    to->furnace_derate_rule = lw_read_word(r, &in, "derate");
}

static void read_cooling(lw_reader *r, const lw_scope *cabin, lw_cabin_use *to)
{
    to->cool_above_c = 100.0;
    if (!lw_read_has(r, cabin, "cooling"))
        return;
    const lw_scope in = lw_read_map(r, cabin, "cooling");
    to->cool_w = lw_read_si(r, &in, "output");
    to->cool_electric_w = lw_read_si(r, &in, "electric");
    if (!(to->cool_w > 0.0) || !(to->cool_electric_w > 0.0))
        lw_read_refuse(r, &in, NULL, LW_E_MISSING,
                       "both output and electric are needed, such as output: 13500 BTU/h, electric: 1500 W");
    to->cool_above_c = lw_read_si(r, &in, "above");
    if (!r->code && to->cool_above_c <= to->day_c)
        lw_read_refuse(r, &in, lw_read_is_given(r, &in, "above") ? "above" : NULL, LW_E_CONFLICT,
                       "it would cool below the temperature that is heated to by day");
}

/* A kind that is not the rig's own has other figures than the rig's row: those of a usual one of that kind and size. */
static void read_fridge(lw_reader *r, const lw_scope *cabin, lw_cabin_use *to)
{
    if (!lw_read_has(r, cabin, "fridge"))
        return;
    const lw_scope in = lw_read_map(r, cabin, "fridge");
    char own[LW_NAME];
    const lw_key *kinds = lw_key_under("rig.cabin.fridge", "kind");
    const int kind = lw_read_word(r, &in, "kind");
    if (kind < 0)
        return;
    to->fridge_is_present = 1;
    to->fridge = kind == LW_COOLING_ABSORPTION ? lw_fridge_absorption() : lw_fridge_compressor(140.0);
    const int is_own =
        strcmp(lw_table_cell(&r->rigs, r->rig_row, "fridge"), lw_word_at(kinds->words, kind, own, sizeof own)) == 0;
    if (is_own || lw_read_is_given(r, &in, "power")) {
        to->fridge.rated_w = lw_read_si(r, &in, "power");
    } else {
        char shown[LW_QUANTITY_BYTES];
        lw_quantity_print(shown, sizeof shown, to->fridge.rated_w, LW_DIM_POWER, r->out->units);
        lw_read_assume(r, &in, "power", shown,
                       kind == LW_COOLING_ABSORPTION ? "absorption: 0.3-0.7 kg of propane a day"
                                                     : "100-200 L with a compressor: 500-900 Wh a day",
                       "common practice");
    }
    if (is_own || lw_read_is_given(r, &in, "control"))
        to->fridge.control_w = plain(lw_read_si(r, &in, "control"));
    to->fridge_cut_v = plain(lw_read_si(r, &in, "cut_off"));
    /* A bigger one than usual has a burner, or a compressor, to match. */
    to->fridge.burner_w = lw_most(to->fridge.burner_w, to->fridge.rated_w);
    to->fridge.running_w = lw_most(to->fridge.running_w, to->fridge.rated_w);
    if (kind == LW_COOLING_ABSORPTION)
        want_propane(r, &in, "fridge");
}

static void read_hot_water(lw_reader *r, const lw_scope *cabin, lw_cabin_use *to)
{
    to->hot_c = 40.0;
    to->cold_c = lw_read_si(r, cabin, "tap_water");
    if (!lw_read_has(r, cabin, "water_heater"))
        return;
    const lw_scope in = lw_read_map(r, cabin, "water_heater");
    want_propane(r, &in, "water heater");
    to->water_heater_is_present = has_propane(&r->out->scenario->rig);
    const double share = lw_read_si(r, &in, "efficiency");
    if (isnan(share))
        lw_read_refuse(r, &in, NULL, LW_E_MISSING, "the efficiency of the water heater is needed, such as 75 %%");
    to->water_heater = (lw_water_heater){.input_w = lw_read_si(r, &in, "input"),
                                         .efficiency_frac = share,
                                         .standing_w = plain(lw_read_si(r, &in, "standing")),
                                         .volume_l = plain(lw_read_si(r, &in, "tank"))};
    /* A kind of rig that usually has none: the usual small one. */
    if (!(to->water_heater.input_w > 0.0)) {
        to->water_heater.input_w = 2900.0;
        to->water_heater.volume_l = 22.7;
        lw_read_assume(r, &in, "input", r->out->units == LW_UNITS_SI ? "2900 W" : "9900 BTU/h",
                       "storage heaters of 6 gal: 8,800-12,000 BTU/h", "common practice");
    }
    to->hot_c = lw_read_si(r, &in, "hot");
}

static void read_pump(lw_reader *r, const lw_scope *cabin, lw_cabin_use *to)
{
    const lw_scope in = lw_read_map(r, cabin, "pump");
    const double power_w = lw_read_si(r, &in, "power"), flow_lps = lw_read_si(r, &in, "flow");
    to->pump_wh_per_l = power_w / (flow_lps * 3600.0);
    to->pump_cut_v = plain(lw_read_si(r, &in, "cut_off"));
}

void lw_read_cabin(lw_reader *r, const lw_scope *rig)
{
    const lw_scope in = lw_read_map(r, rig, "cabin");
    lw_cabin_use *to = &r->out->scenario->rig.cabin;
    read_shell(r, &in, to);
    read_furnace(r, &in, to);
    read_cooling(r, &in, to);
    read_fridge(r, &in, to);
    read_hot_water(r, &in, to);
    read_pump(r, &in, to);
}
