/* tests/core/camp.h: invented camps for the engine's tests: one plain household, and random ones around it. */
#ifndef LW_TESTS_CORE_CAMP_H
#define LW_TESTS_CORE_CAMP_H

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "core/power/battery.h"
#include "core/power/cell.h"
#include "core/power/controller.h"
#include "core/power/generator.h"
#include "core/sim/outlook.h"

static inline void camp_hours(uint32_t mask[7], int from, int to)
{
    for (int d = 0; d < 7; d++)
        for (int h = from; h < to; h++)
            mask[d] |= 1u << h;
}

static inline lw_vessel *camp_vessel(lw_scenario *s, const char *name, lw_supply supply, double capacity, double level)
{
    lw_vessel *v = &s->rig.vessel[s->rig.vessel_count++];
    memset(v, 0, sizeof *v);
    strncpy(v->name, name, LW_NAME - 1);
    v->supply = supply;
    v->capacity = capacity;
    v->level = level;
    v->order = s->rig.vessel_count;
    return v;
}

static inline lw_use *camp_use(lw_scenario *s, const char *name, lw_group group, lw_fixture fixture, double rate)
{
    lw_use *u = &s->crew.use[s->crew.use_count++];
    memset(u, 0, sizeof *u);
    strncpy(u->name, name, LW_NAME - 1);
    u->group = group;
    u->fixture = fixture;
    for (int p = 0; p < LW_PEOPLE; p++)
        u->rate[p] = rate;
    static const int meals[] = {7, 8, 12, 18, 19};
    for (size_t i = 0; i < sizeof meals / sizeof meals[0]; i++)
        u->weight[meals[i]] = 0.2;
    return u;
}

static inline void camp_effect(lw_use *u, lw_effect_kind kind, int at, double amount)
{
    u->effect[u->effect_count++] = (lw_effect){.kind = kind, .at = at, .amount = amount};
}

static inline lw_load *camp_load(lw_scenario *s, const char *name, lw_load_rhythm rhythm, double watts, double cut_v)
{
    lw_load *l = &s->rig.load[s->rig.load_count++];
    memset(l, 0, sizeof *l);
    strncpy(l->name, name, LW_NAME - 1);
    l->rhythm = rhythm;
    l->watts = watts;
    l->duty_frac = 1.0;
    l->cut_v = cut_v;
    l->person = -1;
    l->inside_frac = 1.0;
    l->group = LW_GROUP_DEVICES;
    camp_hours(l->hours, 0, 24);
    return l;
}

/* Weather: a daily wave of temperature and a constant share of the clear sky. */
static inline void camp_weather(lw_scenario *s, double mean_c, double swing_c, double clear_frac)
{
    for (int h = 0; h < s->calendar.hours; h++) {
        s->weather.air_c[h] = mean_c + swing_c * cos(2.0 * 3.14159265358979 * (s->calendar.civil_hour[h] - 15) / 24.0);
        s->weather.wind_ms[h] = 2.0;
        s->weather.humidity_frac[h] = 0.4;
        s->weather.ghi_wm2[h] = s->weather.dni_wm2[h] = s->weather.dhi_wm2[h] = NAN;
        s->weather.clear_frac[h] = clear_frac;
        s->weather.precip_mm[h] = 0.0;
    }
}

static inline void camp_uses(lw_scenario *s)
{
    lw_use *u = camp_use(s, "dishes", LW_GROUP_DISHES, LW_FIXTURE_KITCHEN, 1.0);
    camp_effect(u, LW_EFFECT_SUPPLY, LW_SUPPLY_FRESH, -3.0);
    camp_effect(u, LW_EFFECT_SUPPLY, LW_SUPPLY_GREY, 2.8);
    camp_effect(u, LW_EFFECT_GONE_L, 0, 0.2);
    u->hot_l = 1.5;
    u->needs_pump = 1;
    u = camp_use(s, "shower", LW_GROUP_SHOWERS, LW_FIXTURE_SHOWER, 0.5);
    camp_effect(u, LW_EFFECT_SUPPLY, LW_SUPPLY_FRESH, -8.0);
    camp_effect(u, LW_EFFECT_SUPPLY, LW_SUPPLY_GREY, 7.9);
    camp_effect(u, LW_EFFECT_GONE_L, 0, 0.1);
    u->hot_l = 5.0;
    u->needs_pump = 1;
    u->is_stopped_by_rubbish_in_shower = 1;
    u = camp_use(s, "flush", LW_GROUP_TOILET, LW_FIXTURE_TOILET, 4.0);
    camp_effect(u, LW_EFFECT_SUPPLY, LW_SUPPLY_FRESH, -0.5);
    camp_effect(u, LW_EFFECT_SUPPLY, LW_SUPPLY_BLACK, 0.5);
    u->needs_pump = 1;
    u = camp_use(s, "toilet", LW_GROUP_TOILET, LW_FIXTURE_TOILET, 1.0);
    camp_effect(u, LW_EFFECT_SUPPLY, LW_SUPPLY_BLACK, 1.5);
    u = camp_use(s, "drinking", LW_GROUP_DRINKING, LW_FIXTURE_KITCHEN, 2.0);
    camp_effect(u, LW_EFFECT_SUPPLY, LW_SUPPLY_DRINKING, -1.0);
    camp_effect(u, LW_EFFECT_GONE_L, 0, 1.0);
    u = camp_use(s, "cooking", LW_GROUP_DISHES, LW_FIXTURE_KITCHEN, 1.0);
    camp_effect(u, LW_EFFECT_PROPANE_W, 0, 500.0);
    camp_effect(u, LW_EFFECT_SUPPLY, LW_SUPPLY_FOOD, -1.0);
    camp_effect(u, LW_EFFECT_SUPPLY, LW_SUPPLY_RUBBISH, 4.0);
    u = camp_use(s, "work", LW_GROUP_DATA, LW_FIXTURE_KITCHEN, 0.6);
    u->rhythm = LW_RHYTHM_WORK;
    camp_effect(u, LW_EFFECT_SUPPLY, LW_SUPPLY_DATA, -1.0);
    u = camp_use(s, "films", LW_GROUP_DATA, LW_FIXTURE_KITCHEN, 1.0);
    camp_effect(u, LW_EFFECT_SUPPLY, LW_SUPPLY_DATA, -1.0);
    u->is_leisure_data = 1;
}

static inline void camp_rig(lw_scenario *s)
{
    lw_rig *r = &s->rig;
    camp_vessel(s, "fresh", LW_SUPPLY_FRESH, 150.0, 150.0)->unusable = 5.0;
    camp_vessel(s, "kitchen grey", LW_SUPPLY_GREY, 80.0, 0.0)->fixtures = 1u << LW_FIXTURE_KITCHEN;
    camp_vessel(s, "bath grey", LW_SUPPLY_GREY, 100.0, 0.0)->fixtures =
        1u << LW_FIXTURE_SHOWER | 1u << LW_FIXTURE_BASIN;
    camp_vessel(s, "black", LW_SUPPLY_BLACK, 110.0, 8.0)->residue = 5.0;
    camp_vessel(s, "bottles", LW_SUPPLY_DRINKING, 40.0, 40.0);
    camp_vessel(s, "cylinder 1", LW_SUPPLY_PROPANE, 9.07, 9.07);
    camp_vessel(s, "cylinder 2", LW_SUPPLY_PROPANE, 9.07, 9.07);
    camp_vessel(s, "fuel", LW_SUPPLY_FUEL, 40.0, 40.0)->unusable = 10.0;
    camp_vessel(s, "bin", LW_SUPPLY_RUBBISH, 49.0, 0.0)->place = LW_RUBBISH_BIN;
    camp_vessel(s, "locker", LW_SUPPLY_RUBBISH, 120.0, 0.0)->place = LW_RUBBISH_LOCKER;
    lw_vessel *data = camp_vessel(s, "phone", LW_SUPPLY_DATA, 100.0, 100.0);
    data->work_reserve = 40.0;
    camp_vessel(s, "food", LW_SUPPLY_FOOD, 28.0, 28.0);

    r->battery = (lw_battery_use){.chemistry = LW_CHEMISTRY_LFP,
                                  .capacity_ah = 200.0,
                                  .nominal_v = 12.0,
                                  .health_frac = 1.0,
                                  .floor_frac = 0.2,
                                  .level_frac = 0.9,
                                  .charge_limit_a = 100.0,
                                  .is_inside = 1,
                                  .cut_v = NAN,
                                  .resistance_ohm = NAN,
                                  .system_cut_v = 10.5};
    r->array[r->array_count++] = (lw_array){.rated_w = 400.0,
                                            .mount = LW_MOUNT_FLAT_ON_ROOF,
                                            .gamma_perk = -0.0035,
                                            .controller = LW_CONTROLLER_MPPT,
                                            .vmp_v = 18.0,
                                            .vmp_v_frac_per_k = -0.0035,
                                            .wiring_frac = 0.02,
                                            .soiling_frac = 0.03,
                                            .moves_a_day = -1};
    r->array[r->array_count++] = (lw_array){.rated_w = 200.0,
                                            .tilt_deg = 40.0,
                                            .azimuth_deg = 180.0,
                                            .mount = LW_MOUNT_OPEN_RACK,
                                            .gamma_perk = -0.0035,
                                            .controller = LW_CONTROLLER_PWM,
                                            .vmp_v = 18.0,
                                            .vmp_v_frac_per_k = -0.0035,
                                            .wiring_frac = 0.03,
                                            .soiling_frac = 0.03,
                                            .moves_a_day = 2};
    for (int a = 0; a < 2; a++)
        camp_hours(r->array[a].out, 0, 24);
    r->generator = (lw_generator_use){.is_present = 1,
                                      .rated_w = 2800.0,
                                      .fuel = LW_ENGINE_FUEL_GASOLINE,
                                      .none_lph = 0.4,
                                      .slope_lpkwh = 0.45,
                                      .is_automatic = 1,
                                      .start_frac = 0.4,
                                      .stop_frac = 0.8,
                                      .runs_for_cooling = 1};
    camp_hours(r->generator.allowed, 8, 20);
    r->charger = (lw_charger_use){.rated_a = 55.0, .efficiency_frac = 0.85, .power_factor = 0.7};
    r->drive = (lw_drive_charge){.rated_a = 40.0};
    r->inverter = (lw_inverter_use){.is_present = 1, .rated_w = 2000.0, .idle_w = 20.0, .efficiency_frac = 0.9};
    camp_hours(r->inverter.on, 7, 22);
    r->cabin = (lw_cabin_use){
        .ua_wk = 190.0,
        .mass_jk = 2.0e6,
        .glass_m2 = 3.0,
        .skin_m2 = 0.8,
        .vent_wk = 200.0,
        .vent_above_c = 26.0,
        .day_c = 20.0,
        .night_c = 16.0,
        .away_c = 10.0,
        .inside_c = 20.0,
        .furnace_input_w = 8800.0,
        .furnace_frac = 0.78,
        .blower_w = 90.0,
        .furnace_cut_v = 10.8,
        .cool_w = 3800.0,
        .cool_electric_w = 1500.0,
        .cool_above_c = 29.0,
        .bay = LW_BAY_KIND_ENCLOSED,
        .fridge_is_present = 1,
        .fridge = lw_fridge_absorption(),
        .fridge_cut_v = 10.6,
        .water_heater_is_present = 1,
        .water_heater = {.input_w = 3000.0, .efficiency_frac = 0.75, .standing_w = 55.0, .volume_l = 22.7},
        .hot_c = 55.0,
        .cold_c = 14.0,
        .open_cylinders = 1,
        .pump_wh_per_l = 0.13,
        .pump_cut_v = 10.4};
    camp_hours(r->cabin.day, 7, 22);
    camp_load(s, "standing", LW_LOAD_ALWAYS, 8.0, 0.0);
    camp_load(s, "alarms", LW_LOAD_ALWAYS, 1.2, 8.0)->is_alarm = 1;
    camp_load(s, "router", LW_LOAD_ALWAYS, 9.0, 10.2)->is_network = 1;
    camp_load(s, "laptop", LW_LOAD_WORK, 35.0, 0.0)->power = LW_POWER_AC;
    camp_load(s, "lights", LW_LOAD_DARK, 15.0, 10.0);
    camp_load(s, "fan", LW_LOAD_CABIN_HOT, 25.0, 10.0)->above_c = 27.0;
    camp_load(s, "microwave", LW_LOAD_PRESENT, 60.0, 0.0)->power = LW_POWER_AC;
    s->rig.load[s->rig.load_count - 1].with_generator_only = 1;
}

/* `days` from 2026-06-14 15:00 at UTC-7, a Sunday. */
static inline void camp_calendar(lw_scenario *s, int days)
{
    const int64_t start_s = 1781474400; /* 2026-06-14T22:00:00Z */
    s->calendar.hours = days * 24;
    s->calendar.start_s = start_s;
    for (int h = 0; h < s->calendar.hours; h++) {
        const int64_t local_s = start_s - INT64_C(7) * 3600 + (int64_t)h * 3600 + 1800;
        s->calendar.civil_hour[h] = (uint8_t)(local_s % 86400 / 3600);
        s->calendar.civil_day[h] = (int32_t)(local_s / 86400);
        s->calendar.weekday[h] = (uint8_t)((local_s / 86400 + 3) % 7);
    }
    s->stay.arrival_s = start_s;
    s->stay.departure_s = start_s + (int64_t)days * 86400 / 2;
}

static inline lw_scenario *camp_new(int days)
{
    lw_scenario *s = calloc(1, sizeof *s);
    for (int g = 0; g < LW_GROUP_COUNT; g++)
        s->factor[g] = 1.0;
    s->place = (lw_place){.latitude_deg = 40.5,
                          .longitude_deg = -112.3,
                          .elevation_m = 1600.0,
                          .albedo_frac = 0.2,
                          .linke_turbidity = 3.0};
    camp_calendar(s, days);
    for (int p = 0; p < 2; p++) {
        lw_person *person = &s->crew.person[s->crew.person_count++];
        person->being = LW_BEING_ADULT;
        person->toilet_here_frac = 1.0;
        person->inside_low_c = person->inside_high_c = NAN;
        for (int d = 0; d < 5; d++)
            person->work[d] = 0x1fe00; /* 9-17 */
    }
    camp_rig(s);
    camp_uses(s);
    camp_weather(s, 16.0, 9.0, 0.85);
    return s;
}

/* A small generator of uniform numbers for tests: xorshift by Marsaglia, 2003. */
static inline double camp_uniform(uint64_t *seed)
{
    *seed ^= *seed << 13;
    *seed ^= *seed >> 7;
    *seed ^= *seed << 17;
    return (double)(*seed >> 11) * 0x1.0p-53;
}

static inline double camp_between(uint64_t *seed, double low, double high)
{
    return low + (high - low) * camp_uniform(seed);
}

static inline lw_scenario *camp_random(int days, uint64_t seed)
{
    uint64_t r = seed * 0x9e3779b97f4a7c15u + 88172645463325252u;
    lw_scenario *s = camp_new(days);
    lw_rig *rig = &s->rig;
    for (int v = 0; v < rig->vessel_count; v++) {
        const double scale = camp_between(&r, 0.1, 2.0);
        rig->vessel[v].capacity *= scale;
        rig->vessel[v].unusable *= scale * camp_uniform(&r);
        rig->vessel[v].work_reserve *= scale * 0.5;
        rig->vessel[v].residue *= scale;
        rig->vessel[v].level = rig->vessel[v].capacity * camp_uniform(&r);
    }
    lw_battery_use *b = &rig->battery;
    b->chemistry = (int)(camp_uniform(&r) * LW_CHEMISTRY_COUNT);
    b->capacity_ah = camp_between(&r, 50.0, 600.0);
    b->nominal_v = camp_uniform(&r) < 0.3 ? 24.0 : 12.0;
    b->system_cut_v = 10.5 * b->nominal_v / 12.0;
    b->charge_limit_a = camp_between(&r, 10.0, 100.0);
    b->health_frac = camp_between(&r, 0.6, 1.0);
    b->floor_frac = camp_between(&r, 0.0, 0.6);
    b->level_frac = camp_uniform(&r);
    b->is_inside = camp_uniform(&r) < 0.5;
    for (int a = 0; a < rig->array_count; a++)
        rig->array[a].rated_w *= camp_uniform(&r) * 2.0;
    rig->generator.is_present = camp_uniform(&r) < 0.6;
    rig->generator.is_automatic = camp_uniform(&r) < 0.7;
    rig->generator.start_frac = camp_between(&r, 0.2, 0.6);
    if (camp_uniform(&r) < 0.3)
        rig->generator.fuel = LW_ENGINE_FUEL_LPG;
    if (camp_uniform(&r) < 0.3)
        camp_hours(rig->generator.run, 17, 19);
    rig->cabin.ua_wk = camp_between(&r, 60.0, 400.0);
    rig->cabin.wind_wkpms = camp_uniform(&r) < 0.5 ? 0.0 : camp_between(&r, 0.0, 6.0);
    rig->cabin.open_cylinders = 1 + (int)(camp_uniform(&r) * 2.0);
    rig->cabin.electric_w = camp_uniform(&r) < 0.3 ? 1500.0 : 0.0;
    rig->cabin.bay = (lw_bay_kind)(camp_uniform(&r) * LW_BAY_KIND_COUNT);
    if (camp_uniform(&r) < 0.5) {
        rig->cabin.fridge = lw_fridge_compressor(120.0);
    }
    for (int l = 0; l < rig->load_count; l++)
        rig->load[l].watts *= camp_between(&r, 0.2, 4.0);
    if (camp_uniform(&r) < 0.4)
        camp_load(s, "breathing device", LW_LOAD_WEEKLY, 30.0, 0.0)->is_vital = 1;
    for (int u = 0; u < s->crew.use_count; u++)
        for (int p = 0; p < LW_PEOPLE; p++)
            s->crew.use[u].rate[p] *= camp_between(&r, 0.2, 2.0);
    if (camp_uniform(&r) < 0.5) {
        lw_use *rinse = camp_use(s, "outdoor rinse", LW_GROUP_SHOWERS, LW_FIXTURE_OUTDOOR, 1.0);
        camp_effect(rinse, LW_EFFECT_SUPPLY, LW_SUPPLY_FRESH, -3.0);
        camp_effect(rinse, LW_EFFECT_OUTDOORS_L, 0, 2.7);
        camp_effect(rinse, LW_EFFECT_GONE_L, 0, 0.3);
    }
    if (camp_uniform(&r) < 0.5)
        rig->drive.drive[rig->drive.drive_count++] =
            (lw_span){.from_s = s->stay.arrival_s + 90000, .to_s = s->stay.arrival_s + 96100};
    s->place.latitude_deg = camp_between(&r, 25.0, 62.0);
    s->place.elevation_m = camp_between(&r, 0.0, 3000.0);
    camp_weather(s, camp_between(&r, -25.0, 32.0), camp_between(&r, 2.0, 12.0), camp_between(&r, 0.1, 1.0));
    const int transfers = (int)(camp_uniform(&r) * 6.0);
    for (int t = 0; t < transfers; t++) {
        const int v = (int)(camp_uniform(&r) * rig->vessel_count);
        s->transfer[s->transfer_count++] =
            (lw_transfer){.at_s = s->stay.arrival_s + (int64_t)(days * 86400.0 * (t + camp_uniform(&r)) / transfers),
                          .vessel = v,
                          .kind = camp_uniform(&r) < 0.3                   ? LW_TRANSFER_ADD
                                  : lw_supply_fills(rig->vessel[v].supply) ? LW_TRANSFER_EMPTY
                                                                           : LW_TRANSFER_FILL,
                          .amount = camp_between(&r, 0.0, rig->vessel[v].capacity)};
    }
    return s;
}

typedef struct camp {
    lw_scenario *scenario;
    lw_arena arena;
    lw_context *context;
} camp;

static inline camp camp_prepare(lw_scenario *s, int steps_per_hour)
{
    camp c = {.scenario = s};
    lw_fault fault = {0};
    c.arena.cap = lw_prepare_bytes(s, steps_per_hour);
    c.arena.base = malloc(c.arena.cap);
    if (lw_prepare(s, steps_per_hour, &c.arena, &c.context, &fault) != LW_OK)
        abort();
    return c;
}

static inline void camp_free(camp *c)
{
    free(c->arena.base);
    free(c->scenario);
}

#endif
