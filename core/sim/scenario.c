#include "core/sim/scenario.h"

#include <math.h>

#include "core/heat/furnace.h"
#include "core/power/battery.h"
#include "core/power/cell.h"
#include "core/power/controller.h"
#include "core/power/generator.h"

/* The first fault wins; each helper keeps the one already there. */
typedef struct lw_probe {
    lw_fault fault;
} lw_probe;

static void want(lw_probe *p, const char *field, double value, double low, double high)
{
    if (p->fault.code == LW_OK)
        (void)!lw_want_range(&p->fault, field, value, low, high);
}

static void want_frac(lw_probe *p, const char *field, double value)
{
    want(p, field, value, 0.0, 1.0);
}

static int is_set(double value)
{
    return !isnan(value);
}

/* Where NaN means "not given". */
static void want_if_set(lw_probe *p, const char *field, double value, double low, double high)
{
    if (is_set(value))
        want(p, field, value, low, high);
}

/* A supply that is kept in vessels: the bank and the days allowed are not. */
static void want_kept(lw_probe *p, const char *field, int supply)
{
    want(p, field, supply, 0, LW_SUPPLY_COUNT - 1);
    if (supply == LW_SUPPLY_BATTERY || supply == LW_SUPPLY_STAY)
        want(p, field, supply, 0, -1);
}

static void check_vessels(lw_probe *p, const lw_rig *rig)
{
    want(p, "rig.vessel_count", rig->vessel_count, 0, LW_VESSELS);
    for (int v = 0; v < rig->vessel_count && p->fault.code == LW_OK; v++) {
        const lw_vessel *t = &rig->vessel[v];
        want_kept(p, "vessel.supply", (int)t->supply);
        want(p, "vessel.order", t->order, -1000, 1000);
        want(p, "vessel.place", (int)t->place, 0, LW_RUBBISH_SHOWER);
        want(p, "vessel.potable", (int)t->potable, 0, LW_POTABLE_UNKNOWN);
        want(p, "vessel.filter_life_l", t->filter_life_l, 0, 1e7);
        want(p, "vessel.capacity", t->capacity, 0, 1e6);
        want(p, "vessel.level", t->level, 0, t->capacity);
        want(p, "vessel.unusable", t->unusable, 0, t->capacity);
        want(p, "vessel.residue", t->residue, 0, t->capacity);
        want(p, "vessel.work_reserve", t->work_reserve, 0, t->capacity);
    }
}

static void check_battery(lw_probe *p, const lw_battery_use *b)
{
    want(p, "battery.chemistry", b->chemistry, 0, LW_CHEMISTRY_COUNT - 1);
    want(p, "battery.capacity_ah", b->capacity_ah, 0, 1e5);
    want(p, "battery.nominal_v", b->nominal_v, 6, 60);
    want_frac(p, "battery.floor_frac", b->floor_frac);
    want_frac(p, "battery.level_frac", b->level_frac);
    want(p, "battery.health_frac", b->health_frac, 0.05, 1.2);
    want(p, "battery.charge_limit_a", b->charge_limit_a, 0, 1e5);
    want(p, "battery.system_cut_v", b->system_cut_v, 0, 90);
    want_if_set(p, "battery.cut_v", b->cut_v, 0, 90);
    want_if_set(p, "battery.resistance_ohm", b->resistance_ohm, 0, 10);
}

static void check_arrays(lw_probe *p, const lw_rig *rig)
{
    want(p, "array_count", rig->array_count, 0, LW_ARRAYS);
    for (int a = 0; a < rig->array_count && p->fault.code == LW_OK; a++) {
        const lw_array *s = &rig->array[a];
        want(p, "array.rated_w", s->rated_w, 0, 1e5);
        want(p, "array.tilt_deg", s->tilt_deg, 0, 90);
        want(p, "array.azimuth_deg", s->azimuth_deg, -360, 360);
        want_frac(p, "array.wiring_frac", s->wiring_frac);
        want_frac(p, "array.soiling_frac", s->soiling_frac);
        want_frac(p, "array.shade_frac", s->shade_frac);
        want(p, "array.gamma_perk", s->gamma_perk, -0.02, 0.0);
        want(p, "array.moves_a_day", s->moves_a_day, -1, 24);
        want(p, "array.mount", s->mount, 0, LW_MOUNT_OPEN_RACK);
        want(p, "array.controller", s->controller, 0, LW_CONTROLLER_COUNT - 1);
        want(p, "array.wind_limit_ms", s->wind_limit_ms, 0, 100);
        want(p, "array.vmp_v", s->vmp_v, 1, 1000);
        want(p, "array.vmp_v_frac_per_k", s->vmp_v_frac_per_k, -0.02, 0.0);
    }
}

/* A vital load beyond those that have a line of their own would be left out of the warnings: refused instead. */
static void check_loads(lw_probe *p, const lw_rig *rig)
{
    int vitals = 0;
    want(p, "load_count", rig->load_count, 0, LW_LOADS);
    for (int l = 0; l < rig->load_count && p->fault.code == LW_OK; l++) {
        const lw_load *d = &rig->load[l];
        want(p, "load.watts", d->watts, 0, 1e5);
        want_frac(p, "load.duty_frac", d->duty_frac);
        want_frac(p, "load.inside_frac", d->inside_frac);
        want(p, "load.cut_v", d->cut_v, 0, 60);
        want(p, "load.person", d->person, -1, LW_PEOPLE - 1);
        want(p, "load.power", (int)d->power, 0, LW_POWER_AC);
        want(p, "load.rhythm", (int)d->rhythm, 0, LW_LOAD_CABIN_HOT);
        want(p, "load.group", (int)d->group, 0, LW_GROUP_COUNT - 1);
        if (d->rhythm == LW_LOAD_CABIN_HOT)
            want(p, "load.above_c", d->above_c, -60, 200);
        vitals += d->is_vital != 0;
    }
    want(p, "vital loads", vitals, 0, LW_VITALS);
}

static void check_power(lw_probe *p, const lw_rig *rig)
{
    check_battery(p, &rig->battery);
    check_arrays(p, rig);
    want(p, "awning_limit_ms", rig->awning_limit_ms, 0, 100);
    check_loads(p, rig);
    const lw_generator_use *g = &rig->generator;
    if (g->is_present) {
        want(p, "generator.rated_w", g->rated_w, 100, 1e5);
        want(p, "generator.none_lph", g->none_lph, 0, 100);
        want(p, "generator.slope_lpkwh", g->slope_lpkwh, 0, 10);
        want_frac(p, "generator.start_frac", g->start_frac);
        want(p, "generator.stop_frac", g->stop_frac, g->start_frac, 1.0);
        want(p, "generator.fuel", g->fuel, 0, LW_ENGINE_FUEL_COUNT - 1);
        want(p, "generator.derate_rule", g->derate_rule, 0, LW_DERATE_COUNT - 1);
        want(p, "generator.window_count", g->window_count, 0, LW_WINDOWS);
        for (int i = 0; i < g->window_count && p->fault.code == LW_OK; i++)
            want(p, "generator.window.to_s", (double)g->window[i].to_s, (double)g->window[i].from_s, 1e12);
    }
    want(p, "charger.rated_a", rig->charger.rated_a, 0, 1000);
    want(p, "charger.efficiency_frac", rig->charger.efficiency_frac, 0.3, 1.0);
    if (rig->inverter.is_present)
        want(p, "inverter.efficiency_frac", rig->inverter.efficiency_frac, 0.3, 1.0);
    want_frac(p, "charger.power_factor", rig->charger.power_factor);
    want(p, "inverter.rated_w", rig->inverter.rated_w, 0, 1e5);
    want(p, "inverter.idle_w", rig->inverter.idle_w, 0, 1000);
    want(p, "drive.rated_a", rig->drive.rated_a, 0, 1000);
    want(p, "drive_count", rig->drive.drive_count, 0, LW_SPANS);
}

static void check_cabin(lw_probe *p, const lw_cabin_use *c)
{
    want(p, "cabin.ua_wk", c->ua_wk, 1, 5000);
    want(p, "cabin.mass_jk", c->mass_jk, 1e4, 1e9);
    want(p, "cabin.glass_m2", c->glass_m2, 0, 100);
    want(p, "cabin.skin_m2", c->skin_m2, 0, 100);
    want(p, "cabin.vent_wk", c->vent_wk, 0, 1e4);
    want(p, "cabin.day_c", c->day_c, -50, 45);
    want(p, "cabin.night_c", c->night_c, -50, 45);
    want(p, "cabin.away_c", c->away_c, -50, 45);
    want(p, "cabin.inside_c", c->inside_c, -50, 60);
    want(p, "cabin.furnace_input_w", c->furnace_input_w, 0, 1e5);
    want_frac(p, "cabin.furnace_frac", c->furnace_frac);
    want(p, "cabin.furnace_derate_rule", c->furnace_derate_rule, 0, LW_BURNER_LISTED);
    want(p, "cabin.furnace_listed_to_m", c->furnace_listed_to_m, 0, 6000);
    want(p, "cabin.wind_wkpms", c->wind_wkpms, 0, 1e3);
    want(p, "cabin.vent_above_c", c->vent_above_c, -60, 200);
    want(p, "cabin.blower_w", c->blower_w, 0, 2000);
    want(p, "cabin.furnace_cut_v", c->furnace_cut_v, 0, 60);
    want(p, "cabin.fridge_cut_v", c->fridge_cut_v, 0, 60);
    want(p, "cabin.pump_cut_v", c->pump_cut_v, 0, 60);
    want(p, "cabin.pump_wh_per_l", c->pump_wh_per_l, 0, 10);
    want(p, "cabin.electric_w", c->electric_w, 0, 1e5);
    want(p, "cabin.cool_w", c->cool_w, 0, 1e5);
    want(p, "cabin.cool_electric_w", c->cool_electric_w, 0, 1e5);
    want(p, "cabin.cool_above_c", c->cool_above_c, -60, 200);
    want(p, "cabin.bay", (int)c->bay, 0, LW_BAY_KIND_COUNT - 1);
    want(p, "cabin.pad_w", c->pad_w, 0, 5000);
    if (c->fridge_is_present) {
        want(p, "cabin.fridge.kind", (int)c->fridge.kind, 0, LW_COOLING_COMPRESSOR);
        want(p, "cabin.fridge.rated_w", c->fridge.rated_w, 0, 2000);
        want(p, "cabin.fridge.burner_w", c->fridge.burner_w, 0, 5000);
        want(p, "cabin.fridge.control_w", c->fridge.control_w, 0, 500);
        want(p, "cabin.fridge.running_w", c->fridge.running_w, 0, 2000);
    }
    want(p, "cabin.hot_c", c->hot_c, 0, 100);
    want(p, "cabin.cold_c", c->cold_c, -5, 60);
    if (c->water_heater_is_present) {
        want(p, "cabin.water_heater.efficiency_frac", c->water_heater.efficiency_frac, 0.1, 1.0);
        want(p, "cabin.water_heater.input_w", c->water_heater.input_w, 0, 1e5);
        want(p, "cabin.water_heater.standing_w", c->water_heater.standing_w, 0, 5000);
        want(p, "cabin.water_heater.volume_l", c->water_heater.volume_l, 0, 1000);
    }
    want(p, "cabin.open_cylinders", c->open_cylinders, 0, LW_VESSELS);
}

static void check_crew(lw_probe *p, const lw_scenario *s)
{
    const lw_crew *crew = &s->crew;
    want(p, "person_count", crew->person_count, 0, LW_PEOPLE);
    want(p, "use_count", crew->use_count, 0, LW_USES);
    for (int i = 0; i < crew->person_count && p->fault.code == LW_OK; i++) {
        want(p, "person.out_count", crew->person[i].out_count, 0, LW_SPANS);
        want_frac(p, "person.toilet_here_frac", crew->person[i].toilet_here_frac);
        want(p, "person.being", (int)crew->person[i].being, 0, LW_BEING_CAT);
        want_if_set(p, "person.inside_low_c", crew->person[i].inside_low_c, -50, 45);
        want_if_set(p, "person.inside_high_c", crew->person[i].inside_high_c, -50, 80);
    }
    for (int u = 0; u < crew->use_count && p->fault.code == LW_OK; u++) {
        const lw_use *use = &crew->use[u];
        double weights = 0.0;
        want(p, "use.effect_count", use->effect_count, 0, LW_EFFECTS);
        want(p, "use.group", (int)use->group, 0, LW_GROUP_COUNT - 1);
        want(p, "use.rhythm", (int)use->rhythm, 0, LW_RHYTHM_SCHOOL);
        want(p, "use.fixture", (int)use->fixture, 0, LW_FIXTURE_COUNT - 1);
        want(p, "use.hot_l", use->hot_l, 0, 1e4);
        for (int h = 0; h < 24; h++)
            weights += use->weight[h];
        if (use->rhythm == LW_RHYTHM_PERSON || use->rhythm == LW_RHYTHM_CAMP)
            want(p, "use.weight", weights, 1.0 - 1e-6, 1.0 + 1e-6);
        for (int i = 0; i < LW_PEOPLE; i++)
            want(p, "use.rate", use->rate[i], 0, 1e5);
        for (int e = 0; e < use->effect_count && p->fault.code == LW_OK; e++) {
            const lw_effect *f = &use->effect[e];
            if (f->kind == LW_EFFECT_VESSEL)
                want(p, "use.effect.at", f->at, 0, s->rig.vessel_count - 1);
            if (f->kind == LW_EFFECT_SUPPLY)
                want_kept(p, "use.effect.at", f->at);
            want(p, "use.effect.kind", (int)f->kind, 0, LW_EFFECT_DC_WH);
            want(p, "use.effect.amount", f->amount, -1e6, 1e6);
        }
    }
}

static void check_time(lw_probe *p, const lw_scenario *s)
{
    const lw_calendar *c = &s->calendar;
    want(p, "calendar.hours", c->hours, 1, LW_HOURS);
    if (s->stay.departure_s)
        want(p, "stay.departure_s", (double)s->stay.departure_s, (double)s->stay.arrival_s, 1e12);
    for (int h = 0; h < c->hours && p->fault.code == LW_OK; h++) {
        const lw_weather *w = &s->weather;
        want(p, "calendar.civil_hour", c->civil_hour[h], 0, 23);
        want(p, "calendar.weekday", c->weekday[h], 0, 6);
        want(p, "weather.air_c", w->air_c[h], -70, 65);
        want(p, "weather.wind_ms", w->wind_ms[h], 0, 100);
        want_frac(p, "weather.humidity_frac", w->humidity_frac[h]);
        if (is_set(w->ghi_wm2[h]))
            want(p, "weather.ghi_wm2", w->ghi_wm2[h], 0, 1600);
        else
            want(p, "weather.clear_frac", w->clear_frac[h], 0, 1.5);
        if (is_set(w->dni_wm2[h]))
            want(p, "weather.dni_wm2", w->dni_wm2[h], 0, 1500);
        if (is_set(w->dhi_wm2[h]))
            want(p, "weather.dhi_wm2", w->dhi_wm2[h], 0, 1600);
    }
    want(p, "transfer_count", s->transfer_count, 0, LW_TRANSFERS_PLANNED);
    for (int t = 0; t < s->transfer_count && p->fault.code == LW_OK; t++) {
        want(p, "transfer.vessel", s->transfer[t].vessel, 0, s->rig.vessel_count - 1);
        want(p, "transfer.kind", (int)s->transfer[t].kind, 0, LW_TRANSFER_ADD);
        want(p, "transfer.amount", s->transfer[t].amount, -1e6, 1e6);
        if (t > 0)
            want(p, "transfer.at_s", (double)s->transfer[t].at_s, (double)s->transfer[t - 1].at_s, 1e12);
    }
}

lw_code lw_scenario_check(const lw_scenario *s, lw_fault *fault)
{
    lw_probe p = {.fault = {.code = LW_OK}};
    want(&p, "place.latitude_deg", s->place.latitude_deg, -90, 90);
    want(&p, "place.longitude_deg", s->place.longitude_deg, -180, 180);
    want(&p, "place.elevation_m", s->place.elevation_m, -430, 6000);
    want_frac(&p, "place.shade_frac", s->place.shade_frac);
    want_frac(&p, "place.albedo_frac", s->place.albedo_frac);
    want(&p, "place.linke_turbidity", s->place.linke_turbidity, 1, 15);
    want(&p, "place.outdoor_water", (int)s->place.outdoor_water, 0, LW_PERMISSION_UNKNOWN);
    for (int i = 0; i < LW_HORIZON_POINTS; i++)
        want(&p, "place.horizon_deg", s->place.horizon_deg[i], 0, 90);
    for (int g = 0; g < LW_GROUP_COUNT; g++)
        want(&p, "factor", s->factor[g], 0, 100);
    check_vessels(&p, &s->rig);
    check_power(&p, &s->rig);
    check_cabin(&p, &s->rig.cabin);
    check_crew(&p, s);
    check_time(&p, s);
    if (p.fault.code != LW_OK)
        *fault = p.fault;
    return p.fault.code;
}
