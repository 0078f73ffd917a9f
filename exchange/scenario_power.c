#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/power/battery.h"
#include "core/power/controller.h"
#include "core/power/generator.h"
#include "core/power/inverter.h"
#include "exchange/scenario_internal.h"
#include "text/quantity.h"

static double plain(double value)
{
    return isnan(value) ? 0.0 : value;
}

/* A figure that a core table of defaults gives: listed like any other default. */
static double typical(lw_reader *r, const lw_scope *in, const char *key, double value, lw_dim dim, const char *source)
{
    char shown[LW_QUANTITY_BYTES];
    const char *unit = r->out->units == LW_UNITS_SI ? "L/h" : "gal/h";
    if (dim == LW_DIM_FLOW)
        lw_quantity_print_in(shown, sizeof shown, value, lw_unit_find(dim, unit, strlen(unit)), 3);
    else
        lw_quantity_print(shown, sizeof shown, value, dim, r->out->units);
    lw_read_assume(r, in, key, shown, source, "common practice");
    return value;
}

/* ---- battery ---- */

static const char CHEMISTRY[] = "usual for batteries of that chemistry and size";

static void read_battery(lw_reader *r, const lw_scope *rig)
{
    const lw_scope in = lw_read_map(r, rig, "battery");
    lw_battery_use *battery = &r->out->scenario->rig.battery;
    lw_value capacity;
    const int chemistry = lw_read_word(r, &in, "chemistry");
    if (chemistry < 0 || !lw_read_value(r, &in, "capacity", &capacity)) {
        lw_read_refuse(r, &in, NULL, LW_E_MISSING, "the battery's chemistry and capacity are needed, such as 200 Ah");
        return;
    }
    const lw_battery_defaults *usual = lw_battery_defaults_of((lw_chemistry)chemistry);
    *battery = (lw_battery_use){.chemistry = chemistry, .cut_v = NAN, .resistance_ohm = NAN};
    battery->nominal_v = lw_read_si(r, &in, "voltage");
    battery->capacity_ah = capacity.dim == LW_DIM_ENERGY ? capacity.si / battery->nominal_v : capacity.si;
    battery->health_frac = lw_read_si(r, &in, "health");
    battery->floor_frac = lw_read_si(r, &in, "floor");
    if (isnan(battery->floor_frac))
        battery->floor_frac = typical(r, &in, "floor", usual->floor_frac, LW_DIM_FRACTION, CHEMISTRY);
    battery->charge_limit_a = lw_read_si(r, &in, "charge_limit");
    if (isnan(battery->charge_limit_a))
        battery->charge_limit_a = typical(r, &in, "charge_limit", usual->charge_limit_per_h * battery->capacity_ah,
                                          LW_DIM_CURRENT, CHEMISTRY);
    battery->level_frac = lw_read_level(r, &in, "level", battery->capacity_ah) / battery->capacity_ah;
    battery->is_heated = lw_read_yes(r, &in, "heated");
    battery->is_inside = lw_read_yes(r, &in, "inside");
    battery->cut_v = lw_read_si(r, &in, "cut_off");
    battery->resistance_ohm = lw_read_si(r, &in, "resistance");
    battery->system_cut_v = lw_read_si(r, &in, "load_cut_off");
    if (!lw_read_is_given(r, &in, "load_cut_off"))
        battery->system_cut_v *= battery->nominal_v / 12.0;
    lw_read_gauges(r, &in, LW_SUPPLY_BATTERY, 1.0, &r->out->battery_gauges);
    if (!r->code && battery->floor_frac > battery->level_frac)
        lw_read_note(r, &in, "level", "the battery arrives below its own floor");
}

/* ---- solar ---- */

static int is_unmoved(const uint32_t hours[7])
{
    for (int day = 0; day < 7; day++)
        if (hours[day] != UINT32_C(0xFFFFFF))
            return 0;
    return 1;
}

static void read_array(lw_reader *r, const lw_scope *in, lw_array *array, int number)
{
    const lw_array none = {0};
    const char *name = lw_read_text(r, in, "name");
    *array = none;
    if (in->node && in->node->kind == LW_YAML_MAP && name)
        snprintf(array->name, sizeof array->name, "%.31s", name);
    else
        snprintf(array->name, sizeof array->name, number > 1 ? "solar %d" : "solar", number);
    array->rated_w = lw_read_si(r, in, "rated");
    array->tilt_deg = lw_read_si(r, in, "tilt");
    const double toward_deg =
        array->tilt_deg > 0.0 || lw_read_is_given(r, in, "toward") ? lw_read_si(r, in, "toward") : 180.0;
    array->azimuth_deg = toward_deg >= 360.0 ? 0.0 : toward_deg;
    array->mount = lw_read_word(r, in, "mount");
    array->controller = lw_read_word(r, in, "controller");
    array->gamma_perk = -0.0035;       /* power a kelvin of crystalline silicon, common practice */
    array->vmp_v_frac_per_k = -0.0035; /* its voltage at most power likewise, from memory */
    array->vmp_v = array->controller == LW_CONTROLLER_PWM ? lw_read_si(r, in, "vmp") : 20.0;
    if (lw_read_is_given(r, in, "vmp"))
        array->vmp_v = lw_read_si(r, in, "vmp");
    array->wiring_frac = lw_read_si(r, in, "wiring");
    array->soiling_frac = lw_read_si(r, in, "soiling");
    array->shade_frac = lw_read_si(r, in, "shade");
    (void)lw_read_hours(r, in, "out", array->out);
    array->moves_a_day = (int)plain(lw_read_si(r, in, "moves"));
    array->is_snow_cleared = lw_read_word(r, in, "snow") == 1;
    array->wind_limit_ms = plain(lw_read_si(r, in, "wind_limit"));
    array->is_stowed_in_wind = lw_read_word(r, in, "in_wind") == 1;
    if (array->moves_a_day == 0 && is_unmoved(array->out))
        array->moves_a_day = -1;
}

static void read_solar(lw_reader *r, const lw_scope *rig)
{
    lw_scope items[LW_ITEMS];
    lw_rig *to = &r->out->scenario->rig;
    const int count = lw_read_items(r, rig, "solar", items);
    if (count > LW_ARRAYS) {
        lw_read_refuse(r, rig, "solar", LW_E_FULL, "%d arrays; at most %d fit, join those that face the same way",
                       count, LW_ARRAYS);
        return;
    }
    for (int i = 0; i < count; i++)
        read_array(r, &items[i], &to->array[to->array_count++], i + 1);
}

/* ---- what burns fuel, and what makes direct current of it ---- */

static void keep_quiet(const lw_reader *r, uint32_t allowed[7])
{
    for (int day = 0; day < 7; day++)
        allowed[day] &= ~r->out->quiet[day] & UINT32_C(0xFFFFFF);
}

/* A list of hours with what they are about. */
static int read_generator_hours(lw_reader *r, const lw_scope *in, const char *key, int most, lw_generator_hours *to)
{
    lw_scope items[LW_ITEMS];
    const int count = lw_read_items(r, in, key, items);
    if (count > most) {
        lw_read_refuse(r, in, key, LW_E_FULL, "%d of them; at most %d fit", count, most);
        return 0;
    }
    for (int i = 0; i < count && !r->code; i++) {
        const char *what = lw_read_text(r, &items[i], "what");
        snprintf(to[i].what, sizeof to[i].what, "%s", what ? what : "");
        (void)lw_read_hours(r, &items[i], "hours", to[i].hours);
        to[i].per_hour_usd = strcmp(key, "bother") == 0 ? lw_read_si(r, &items[i], "per_hour") : NAN;
        to[i].run_h = strcmp(key, "needs") == 0 ? lw_read_si(r, &items[i], "run") / 3600.0 : NAN;
    }
    return count > 0 ? count : 0;
}

static void read_generator_wishes(lw_reader *r, const lw_scope *in)
{
    lw_generator_wishes *to = &r->out->generator_wishes;
    to->per_hour_usd = lw_read_si(r, in, "per_hour");
    to->per_start_usd = lw_read_si(r, in, "per_start");
    to->bother_count = read_generator_hours(r, in, "bother", LW_GENERATOR_BOTHERS, to->bother);
    to->need_count = read_generator_hours(r, in, "needs", LW_GENERATOR_NEEDS, to->need);
}

static void read_generator(lw_reader *r, const lw_scope *rig)
{
    lw_generator_use *to = &r->out->scenario->rig.generator;
    if (!lw_read_has(r, rig, "generator"))
        return;
    const lw_scope in = lw_read_map(r, rig, "generator");
    const double rated_w = lw_read_si(r, &in, "rated");
    const int fuel = lw_read_word(r, &in, "fuel");
    if (isnan(rated_w) || fuel < 0) {
        lw_read_refuse(r, &in, NULL, LW_E_MISSING,
                       "the generator's rated power and fuel are needed, such as rated: 2 kW, fuel: gasoline");
        return;
    }
    lw_read_gauges(r, &in, LW_SUPPLY_COUNT, 0.0, &r->out->generator_gauges);
    const lw_generator_spec usual = lw_generator_typical((lw_engine_fuel)fuel, rated_w);
    *to = (lw_generator_use){.is_present = 1, .rated_w = rated_w, .fuel = fuel};
    const double idle_lps = lw_read_si(r, &in, "idle_use"), full_lps = lw_read_si(r, &in, "full_use");
    static const char SOURCE[] = "fuel line of sets of that fuel and size";
    to->none_lph = isnan(idle_lps) ? usual.none_lph : idle_lps * 3600.0;
    if (isnan(idle_lps))
        (void)typical(r, &in, "idle_use", to->none_lph / 3600.0, LW_DIM_FLOW, SOURCE);
    const double full_lph = isnan(full_lps) ? to->none_lph + usual.slope_lpkwh * rated_w / 1000.0 : full_lps * 3600.0;
    if (isnan(full_lps))
        (void)typical(r, &in, "full_use", full_lph / 3600.0, LW_DIM_FLOW, SOURCE);
    if (!r->code && full_lph <= to->none_lph)
        lw_read_refuse(r, &in, isnan(full_lps) ? "idle_use" : "full_use", LW_E_CONFLICT,
                       "full load takes no more fuel than no load");
    to->slope_lpkwh = (full_lph - to->none_lph) / (rated_w / 1000.0);
    to->derate_rule = lw_read_word(r, &in, "derate");
    to->is_automatic = lw_read_yes(r, &in, "automatic");
    to->start_frac = lw_read_si(r, &in, "start");
    to->stop_frac = lw_read_si(r, &in, "stop");
    if (!r->code && !(to->start_frac < to->stop_frac))
        lw_read_refuse(r, &in, lw_read_is_given(r, &in, "start") ? "start" : "stop", LW_E_CONFLICT,
                       "it would start above the battery level at which it stops");
    (void)lw_read_hours(r, &in, "run", to->run);
    (void)lw_read_hours(r, &in, "allowed", to->allowed);
    keep_quiet(r, to->allowed);
    to->runs_for_cooling = lw_read_yes(r, &in, "for_cooling");
    read_generator_wishes(r, &in);
}

static void want_fuel(lw_reader *r, const lw_scope *rig)
{
    const lw_rig *to = &r->out->scenario->rig;
    const lw_supply wanted = to->generator.fuel == LW_ENGINE_FUEL_LPG ? LW_SUPPLY_PROPANE : LW_SUPPLY_FUEL;
    if (!to->generator.is_present || r->code)
        return;
    for (int i = 0; i < to->vessel_count; i++)
        if (to->vessel[i].supply == wanted)
            return;
    lw_read_refuse(r, rig, "generator", LW_E_CONFLICT, "there is a generator but no %s for it",
                   wanted == LW_SUPPLY_PROPANE ? "propane" : "fuel");
}

static void read_charger(lw_reader *r, const lw_scope *rig)
{
    lw_charger_use *to = &r->out->scenario->rig.charger;
    *to = (lw_charger_use){.efficiency_frac = 1.0, .power_factor = 1.0};
    if (!lw_read_has(r, rig, "charger"))
        return;
    const lw_scope in = lw_read_map(r, rig, "charger");
    to->rated_a = plain(lw_read_si(r, &in, "rated"));
    to->efficiency_frac = lw_read_si(r, &in, "efficiency");
    to->power_factor = lw_read_si(r, &in, "power_factor");
}

static void read_inverter(lw_reader *r, const lw_scope *rig)
{
    lw_inverter_use *to = &r->out->scenario->rig.inverter;
    if (!lw_read_has(r, rig, "inverter"))
        return;
    const lw_scope in = lw_read_map(r, rig, "inverter");
    to->is_present = 1;
    to->rated_w = lw_read_si(r, &in, "rated");
    if (isnan(to->rated_w)) {
        lw_read_refuse(r, &in, NULL, LW_E_MISSING, "the inverter's rated power is needed, such as 2 kW");
        return;
    }
    to->idle_w = lw_read_is_given(r, rig, "inverter") && !lw_read_is_given(r, &in, "idle")
                     ? typical(r, &in, "idle", lw_inverter_typical(to->rated_w).idle_w, LW_DIM_POWER,
                               "inverters of its size, 3-35 W")
                     : lw_read_si(r, &in, "idle");
    to->efficiency_frac = lw_read_si(r, &in, "efficiency");
    (void)lw_read_hours(r, &in, "on", to->on);
}

static void read_alternator(lw_reader *r, const lw_scope *rig)
{
    lw_drive_charge *to = &r->out->scenario->rig.drive;
    if (!lw_read_is_given(r, rig, "alternator"))
        return;
    const lw_scope in = lw_read_map(r, rig, "alternator");
    to->rated_a = lw_read_si(r, &in, "rated");
    if (isnan(to->rated_a))
        lw_read_refuse(r, &in, NULL, LW_E_MISSING, "the current into the battery is needed, such as rated: 30 A");
    to->drive_count = lw_read_spans(r, &in, "drives", to->drive, LW_SPANS);
}

void lw_read_power(lw_reader *r, const lw_scope *rig)
{
    read_battery(r, rig);
    read_solar(r, rig);
    const lw_scope awning = lw_read_map(r, rig, "awning");
    r->out->scenario->rig.awning_limit_ms = plain(lw_read_si(r, &awning, "wind_limit"));
    read_generator(r, rig);
    want_fuel(r, rig);
    read_charger(r, rig);
    read_inverter(r, rig);
    read_alternator(r, rig);
}
