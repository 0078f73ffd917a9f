/* The joint course: shortages feed back into one another. What the outlook makes of it, and what holds at every step. */
#include "tests/check.h"

#include "tests/core/camp.h"

enum { CAMPS = 150, ELECTRIC_CAMPS = 60 };

/* The outlook begins the joint course where shortages first matter; a plain one from the start must be the same. */
static void the_outlooks_joint_course_is_the_plain_one(void **state)
{
    (void)state;
    lw_outlook *out = malloc(sizeof *out);
    assert_non_null(out);
    for (uint64_t seed = 1; seed <= CAMPS; seed++) {
        const int steps_per_hour = seed % 7 == 0 ? 4 : 1;
        camp c = camp_prepare(camp_random(3 + (int)(seed % 40), seed), steps_per_hour);
        lw_outlook_make(c.context, out, NULL, NULL);
        const int steps = (int)((out->joint_until_s - out->start_s) * steps_per_hour / 3600);
        lw_state s;
        lw_flows sum = {{0}}, own_sum = {{0}};
        lw_state_start(c.context, &s);
        for (int i = 0; i < steps; i++) {
            lw_flows flows;
            lw_step_once(c.context, LW_MODE_JOINT, i, &s, &flows);
            for (int f = 0; f < LW_FLOW_COUNT; f++)
                sum.of[f] += flows.of[f];
        }
        lw_state_start(c.context, &s);
        for (int i = 0; i < lw_context_steps(c.context); i++) {
            lw_flows flows;
            lw_step_once(c.context, LW_MODE_OWN, i, &s, &flows);
            for (int f = 0; f < LW_FLOW_COUNT; f++)
                own_sum.of[f] += flows.of[f];
        }
        for (int f = 0; f < LW_FLOW_COUNT; f++) {
            CHECK_NEAR(out->joint.of[f], sum.of[f], 1e-6 * (1.0 + fabs(sum.of[f])), "camp %d joint flow %d", (int)seed,
                       f);
            CHECK_NEAR(out->own.of[f], own_sum.of[f], 1e-6 * (1.0 + fabs(own_sum.of[f])), "camp %d own flow %d",
                       (int)seed, f);
        }
        camp_free(&c);
    }
    free(out);
}

/* A heater or an air conditioner that hangs on the generator warms and cools with what the generator made, no more. */
static void no_heat_comes_from_a_generator_that_stands(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= ELECTRIC_CAMPS; seed++) {
        lw_scenario *s = camp_random(4, seed);
        uint64_t r = seed;
        s->rig.generator.is_present = 1;
        s->rig.cabin.electric_w = 1500.0;
        if (seed % 2)
            camp_weather(s, 36.0, 6.0, 0.9);
        for (int v = 0; v < s->rig.vessel_count; v++) {
            lw_vessel *t = &s->rig.vessel[v];
            if (t->supply == LW_SUPPLY_FUEL || t->supply == LW_SUPPLY_PROPANE)
                t->level = t->unusable + (t->capacity - t->unusable) * 0.1 * camp_uniform(&r);
        }
        camp c = camp_prepare(s, 1);
        lw_state now;
        lw_state_start(c.context, &now);
        for (int i = 0; i < lw_context_steps(c.context); i++) {
            lw_flows f;
            lw_step_once(c.context, LW_MODE_JOINT, i, &now, &f);
            /* The air conditioner's electricity by its rated ratio of cooling. */
            const lw_cabin_use *h = &s->rig.cabin;
            const double cooling_wh = f.of[LW_FLOW_HEAT_COOLING] * h->cool_electric_w / h->cool_w;
            if (f.of[LW_FLOW_HEAT_ELECTRIC] + cooling_wh > f.of[LW_FLOW_AC_GENERATOR] + 1e-6)
                fail_msg("camp %d step %d: electric heat %g Wh and cooling's %g Wh, but the generator gave %g Wh",
                         (int)seed, i, f.of[LW_FLOW_HEAT_ELECTRIC], cooling_wh, f.of[LW_FLOW_AC_GENERATOR]);
        }
        camp_free(&c);
    }
}

static int first_of(const lw_outlook *o, lw_event_kind kind)
{
    for (int e = 0; e < o->event_count; e++)
        if (o->event[e].kind == kind)
            return e;
    return -1;
}

/* The camp's inverter is on from 7 to 22: a breathing device on alternating current stops at 22 on the first evening. */
static void a_vital_device_on_alternating_current_stops_with_the_inverter(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(6);
    s->rig.generator.is_present = 0;
    lw_load *device = camp_load(s, "breathing device", LW_LOAD_WEEKLY, 30.0, 0.0);
    device->is_vital = 1;
    device->power = LW_POWER_AC;
    memset(device->hours, 0, sizeof device->hours);
    camp_hours(device->hours, 20, 24);
    camp c = camp_prepare(s, 1);
    lw_outlook *o = malloc(sizeof *o);
    assert_non_null(o);
    lw_outlook_make(c.context, o, NULL, NULL);
    CHECK_NEAR(o->vital[0].q[1].days * 24.0, 7.0, 1e-9, "hours of power from 15:00");
    const int e = first_of(o, LW_EVENT_VITAL_STOPS);
    assert_true(e >= 0);
    CHECK_NEAR((double)(o->event[e].at_s - o->start_s) / 3600.0, 7.0, 1e-9, "hours until it is told");
    free(o);
    camp_free(&c);
}

static lw_outlook *outlook_of(lw_scenario *s)
{
    camp c = camp_prepare(s, 1);
    lw_outlook *o = malloc(sizeof *o);
    assert_non_null(o);
    lw_outlook_make(c.context, o, NULL, NULL);
    free(c.arena.base);
    return o;
}

static double days_of(const lw_outlook *o, lw_supply supply)
{
    return o->leeway[supply].q[1].days;
}

/* A bank that is cut out early by its board lasts for less than one that goes on. */
static void the_banks_own_cut_out_ends_it(void **state)
{
    (void)state;
    double days[2];
    for (int i = 0; i < 2; i++) {
        lw_scenario *s = camp_new(10);
        s->rig.generator.is_present = 0;
        s->rig.battery.floor_frac = 0.0;
        s->rig.battery.cut_v = i ? 13.0 : 10.0;
        camp_weather(s, 16.0, 9.0, 0.05);
        lw_outlook *o = outlook_of(s);
        days[i] = days_of(o, LW_SUPPLY_BATTERY);
        free(o), free(s);
    }
    assert_true(days[1] < 0.8 * days[0]);
}

/* Propane boils at -42 C: at -40 a cylinder has no pressure to speak of, however full. */
static void gas_too_cold_to_leave_the_cylinder_does_not_last(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(10);
    camp_weather(s, -40.0, 0.0, 0.5);
    lw_outlook *o = outlook_of(s);
    assert_true(days_of(o, LW_SUPPLY_PROPANE) < 0.1);
    assert_int_equal(o->leeway[LW_SUPPLY_PROPANE].is_too_cold, 1);
    const int e = first_of(o, LW_EVENT_FURNACE_STOPS);
    assert_true(e >= 0);
    CHECK_NEAR(o->event[e].value, LW_FURNACE_GAS_TOO_COLD, 0.0, "the cause");
    assert_true(first_of(o, LW_EVENT_GAS_SHORT) >= 0);
    assert_true(first_of(o, LW_EVENT_SUPPLY_END) < 0 ||
                o->event[first_of(o, LW_EVENT_SUPPLY_END)].supply != LW_SUPPLY_PROPANE);
    free(o);

    /* The same cylinders in mild cold: they end when they are empty, and that is the cause told. */
    camp_weather(s, 0.0, 4.0, 0.5);
    s->stay.departure_s = 0;
    o = outlook_of(s);
    assert_true(days_of(o, LW_SUPPLY_PROPANE) > 1.0);
    assert_int_equal(o->leeway[LW_SUPPLY_PROPANE].is_too_cold, 0);
    assert_true(first_of(o, LW_EVENT_GAS_SHORT) < 0 ||
                o->event[first_of(o, LW_EVENT_GAS_SHORT)].at_s > o->leeway[LW_SUPPLY_PROPANE].q[1].at_s - 86400);
    free(o), free(s);
}

/* A rig whose gas is not tracked has gas: nothing is known of a cylinder that could be empty. */
static void gas_that_is_not_tracked_still_warms(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(4);
    camp_weather(s, 0.0, 4.0, 0.5);
    int n = 0;
    for (int v = 0; v < s->rig.vessel_count; v++)
        if (s->rig.vessel[v].supply != LW_SUPPLY_PROPANE)
            s->rig.vessel[n++] = s->rig.vessel[v];
    s->rig.vessel_count = n;
    camp c = camp_prepare(s, 1);
    lw_state now;
    lw_state_start(c.context, &now);
    for (int i = 0; i < 48; i++) {
        lw_flows f;
        lw_step_once(c.context, LW_MODE_JOINT, i, &now, &f);
        assert_true(now.cabin_c > 14.0);
    }
    camp_free(&c);
}

/* Four hours without cooling are counted in warm air, at their very moment, and not in a cabin colder than a fridge. */
static void food_without_a_fridge_is_told_after_four_warm_hours(void **state)
{
    (void)state;
    for (int is_cold = 0; is_cold < 2; is_cold++) {
        lw_scenario *s = camp_new(6);
        s->rig.generator.is_present = 0;
        s->rig.battery.level_frac = 0.05;
        s->rig.battery.floor_frac = 0.0;
        s->rig.cabin.fridge = lw_fridge_compressor(120.0);
        s->rig.array_count = 0;
        s->rig.cabin.inside_c = is_cold ? 1.0 : 20.0;
        camp_weather(s, is_cold ? -20.0 : 20.0, 4.0, 0.0);
        lw_outlook *o = outlook_of(s);
        const int stops = first_of(o, LW_EVENT_FRIDGE_STOPS), warm = first_of(o, LW_EVENT_FOOD_WARM);
        assert_true(stops >= 0);
        if (is_cold) {
            assert_true(warm < 0);
        } else {
            int cut = first_of(o, LW_EVENT_LOADS_CUT);
            while (cut < o->event_count && !(o->event[cut].kind == LW_EVENT_LOADS_CUT &&
                                             o->event[cut].value >= 10.6 - 1e-9 && o->event[cut].value < 10.65))
                cut++;
            assert_true(warm >= 0 && cut < o->event_count);
            CHECK_NEAR((double)(o->event[warm].at_s - o->event[cut].at_s) / 3600.0, 4.0, 0.02,
                       "hours from cut to warm");
        }
        free(o), free(s);
    }
}

/* NWS heat index chart: 96 F and 50 % feel like 108 F. The warning speaks of that, not of the air. */
static void the_warning_of_heat_tells_what_it_feels_like(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(4);
    s->rig.generator.is_present = 0;
    camp_weather(s, 37.0, 3.0, 0.9);
    for (int h = 0; h < s->calendar.hours; h++)
        s->weather.humidity_frac[h] = 0.6;
    lw_outlook *o = outlook_of(s);
    const int e = first_of(o, LW_EVENT_CABIN_HOT);
    assert_true(e >= 0);
    assert_true(o->event[e].value > o->comfort.inside_high_c);
    free(o), free(s);
}

/* A fan's watts end as heat in the cabin, and its group's factor holds for it. */
static void fans_warm_the_cabin_and_follow_their_group(void **state)
{
    (void)state;
    double heat_wh[2], drawn_wh[2];
    for (int i = 0; i < 2; i++) {
        lw_scenario *s = camp_new(2);
        s->rig.generator.is_present = 0;
        s->rig.battery.capacity_ah = 2000.0;
        s->rig.load_count = 0;
        lw_load *fan = camp_load(s, "fan", LW_LOAD_CABIN_HOT, 100.0, 0.0);
        fan->above_c = 0.0;
        fan->group = LW_GROUP_DEVICES;
        s->factor[LW_GROUP_DEVICES] = i ? 2.0 : 1.0;
        camp_weather(s, 20.0, 1.0, 0.2);
        lw_outlook *o = outlook_of(s);
        heat_wh[i] = o->own.of[LW_FLOW_HEAT_LOADS];
        drawn_wh[i] = o->own.of[LW_FLOW_DC_LOADS];
        free(o), free(s);
    }
    assert_true(heat_wh[0] > 100.0 * 40.0);
    CHECK_NEAR(heat_wh[1] - heat_wh[0], drawn_wh[1] - drawn_wh[0], 0.05 * heat_wh[0], "twice the fan, twice its heat");
}

static void heating_pads_as_an_appliance_warm_the_bay(void **state)
{
    (void)state;
    double bay_low_c[2];
    for (int i = 0; i < 2; i++) {
        lw_scenario *s = camp_new(4);
        s->rig.battery.capacity_ah = 3000.0;
        s->rig.battery.level_frac = 1.0;
        camp_weather(s, -10.0, 2.0, 0.5);
        if (i)
            camp_load(s, "pads", LW_LOAD_BAY_COLD, 80.0, 0.0);
        lw_outlook *o = outlook_of(s);
        bay_low_c[i] = o->comfort.bay_low_c;
        free(o), free(s);
    }
    assert_true(bay_low_c[1] > bay_low_c[0] + 3.0);
}

/* What an inverter that is switched off does not give is no fault of the battery. */
static void mains_current_outside_the_inverters_hours_does_not_end_the_battery(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(6);
    s->rig.generator.is_present = 0;
    s->rig.battery.capacity_ah = 3000.0;
    s->rig.battery.level_frac = 1.0;
    camp_load(s, "heated blanket", LW_LOAD_ALWAYS, 40.0, 0.0)->power = LW_POWER_AC;
    lw_outlook *o = outlook_of(s);
    assert_true(o->leeway[LW_SUPPLY_BATTERY].q[1].beyond_horizon);
    const int e = first_of(o, LW_EVENT_AC_STOPS);
    assert_true(e >= 0);
    CHECK_NEAR((double)(o->event[e].at_s - o->start_s) / 3600.0, 7.0, 1e-9, "at 22:00");
    free(o), free(s);
}

/* What a household asks of its bank does not fall when the bank is flat. */
static void a_flat_bank_does_not_lessen_what_is_asked_of_it(void **state)
{
    (void)state;
    double a_day_wh[2];
    for (int i = 0; i < 2; i++) {
        lw_scenario *s = camp_new(7);
        s->rig.generator.is_present = 0;
        s->rig.battery.capacity_ah = i ? 5000.0 : 20.0;
        s->rig.battery.level_frac = 1.0;
        camp_load(s, "kettle", LW_LOAD_PRESENT, 50.0, 0.0)->power = LW_POWER_AC;
        camp_weather(s, 18.0, 6.0, 0.0);
        lw_outlook *o = outlook_of(s);
        a_day_wh[i] = o->leeway[LW_SUPPLY_BATTERY].use_per_day;
        free(o), free(s);
    }
    CHECK_NEAR(a_day_wh[0], a_day_wh[1], 0.02 * a_day_wh[1], "use a day");
}

/* Each cylinder has its own end: the first of two equal ones is empty at half the time of both. */
static void every_vessel_has_its_own_end(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(30);
    lw_outlook *o = outlook_of(s);
    assert_false(o->vessel[5].q[1].beyond_horizon);
    const double first = o->vessel[5].q[1].days, both = days_of(o, LW_SUPPLY_PROPANE);
    assert_true(first > 0.3 * both && first < 0.7 * both);
    CHECK_NEAR(o->vessel[6].q[1].days, both, 0.05, "the last cylinder ends with its supply");
    free(o), free(s);
}

/* The list of events is full of small things long before the cabin freezes: the grave ones still find room. */
static void a_full_list_keeps_what_can_hurt(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(60);
    s->stay.departure_s = s->stay.arrival_s + INT64_C(58) * 86400;
    s->rig.generator.is_present = 0;
    s->rig.battery.capacity_ah = 60.0;
    s->rig.vessel[5].capacity = s->rig.vessel[5].level = 400.0;
    camp_weather(s, 12.0, 6.0, 0.3);
    for (int h = 50 * 24; h < s->calendar.hours; h++)
        s->weather.air_c[h] = -25.0, s->weather.clear_frac[h] = 0.0;
    lw_outlook *o = outlook_of(s);
    const int e = first_of(o, LW_EVENT_CABIN_FREEZES);
    assert_true(o->event_lost > 0);
    assert_true(e >= 0 && o->event[e].at_s > o->start_s + INT64_C(49) * 86400);
    assert_true(o->event_sum[LW_EVENT_LOADS_CUT].count > LW_EVENTS_OF_KIND);
    for (int i = 1; i < o->event_count; i++)
        assert_true(o->event[i].at_s >= o->event[i - 1].at_s && o->event[i].at_s <= s->stay.departure_s);
    free(o), free(s);
}

/* Two draws of one use on one tank: what the tank lacks stops the use; no water comes from nowhere. */
static void two_effects_on_one_tank_share_what_is_in_it(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(3);
    lw_use *wash = camp_use(s, "wash", LW_GROUP_SHOWERS, LW_FIXTURE_BASIN, 4.0);
    camp_effect(wash, LW_EFFECT_SUPPLY, LW_SUPPLY_FRESH, -3.0);
    camp_effect(wash, LW_EFFECT_SUPPLY, LW_SUPPLY_FRESH, -3.0);
    camp_effect(wash, LW_EFFECT_GONE_L, 0, 6.0);
    s->rig.vessel[0].level = s->rig.vessel[0].unusable + 10.0;
    camp c = camp_prepare(s, 1);
    lw_state now;
    lw_state_start(c.context, &now);
    lw_flows sum = {{0}};
    for (int i = 0; i < lw_context_steps(c.context); i++) {
        lw_flows f;
        lw_step_once(c.context, LW_MODE_JOINT, i, &now, &f);
        for (int k = 0; k < LW_FLOW_COUNT; k++)
            sum.of[k] += f.of[k];
        const double in = f.of[LW_FLOW_FRESH_OUT] + f.of[LW_FLOW_DRINKING_OUT] + f.of[LW_FLOW_BODY_IN];
        const double out = f.of[LW_FLOW_GREY_IN] + f.of[LW_FLOW_BLACK_IN] + f.of[LW_FLOW_GONE];
        CHECK_NEAR(in, out, 1e-9, "step %d", i);
    }
    CHECK_NEAR(sum.of[LW_FLOW_FRESH_OUT], 10.0, 1e-6, "all the tank held");
    camp_free(&c);
}

/* A person who is not there is not in danger from the cold of an empty cabin. */
static void somebody_away_is_not_told_to_be_cold(void **state)
{
    (void)state;
    for (int is_away = 0; is_away < 2; is_away++) {
        lw_scenario *s = camp_new(3);
        s->rig.cabin.furnace_input_w = 0.0;
        camp_weather(s, -5.0, 2.0, 0.2);
        s->crew.person[1].inside_low_c = 16.0;
        if (is_away)
            camp_hours(s->crew.person[1].away, 0, 24);
        lw_outlook *o = outlook_of(s);
        assert_int_equal(first_of(o, LW_EVENT_VITAL_COLD) >= 0, !is_away);
        free(o), free(s);
    }
}

/* Without water nobody showers, and the heater burns only to keep warm. */
static void a_use_that_does_not_happen_burns_no_gas(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(3);
    s->rig.cabin.furnace_input_w = 0.0;
    s->rig.cabin.fridge_is_present = 0;
    s->rig.vessel[0].level = s->rig.vessel[0].unusable;
    camp_weather(s, 20.0, 2.0, 0.5);
    lw_use *cooking = &s->crew.use[5];
    cooking->effect_count = 1; /* gas alone */
    cooking->rate[0] = cooking->rate[1] = 0.0;
    camp c = camp_prepare(s, 1);
    lw_state now;
    lw_state_start(c.context, &now);
    double water_kg = 0.0, pump_wh = 0.0;
    const double standing_kg = s->rig.cabin.water_heater.standing_w / s->rig.cabin.water_heater.efficiency_frac *
                               3600.0 * 72.0 / 50.3e6; /* by the HHV of propane, 50.3 MJ/kg (NIST) */
    for (int i = 0; i < 72; i++) {
        lw_flows f;
        lw_step_once(c.context, LW_MODE_JOINT, i, &now, &f);
        water_kg += f.of[LW_FLOW_PROPANE_WATER];
        pump_wh += f.of[LW_FLOW_FRESH_OUT];
    }
    CHECK_NEAR(pump_wh, 0.0, 1e-9, "water drawn");
    CHECK_NEAR(water_kg, standing_kg, 0.05 * standing_kg, "gas of the water heater");
    camp_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_outlooks_joint_course_is_the_plain_one),
        cmocka_unit_test(no_heat_comes_from_a_generator_that_stands),
        cmocka_unit_test(a_vital_device_on_alternating_current_stops_with_the_inverter),
        cmocka_unit_test(the_banks_own_cut_out_ends_it),
        cmocka_unit_test(gas_too_cold_to_leave_the_cylinder_does_not_last),
        cmocka_unit_test(gas_that_is_not_tracked_still_warms),
        cmocka_unit_test(food_without_a_fridge_is_told_after_four_warm_hours),
        cmocka_unit_test(the_warning_of_heat_tells_what_it_feels_like),
        cmocka_unit_test(fans_warm_the_cabin_and_follow_their_group),
        cmocka_unit_test(heating_pads_as_an_appliance_warm_the_bay),
        cmocka_unit_test(mains_current_outside_the_inverters_hours_does_not_end_the_battery),
        cmocka_unit_test(a_flat_bank_does_not_lessen_what_is_asked_of_it),
        cmocka_unit_test(every_vessel_has_its_own_end),
        cmocka_unit_test(a_full_list_keeps_what_can_hurt),
        cmocka_unit_test(two_effects_on_one_tank_share_what_is_in_it),
        cmocka_unit_test(somebody_away_is_not_told_to_be_cold),
        cmocka_unit_test(a_use_that_does_not_happen_burns_no_gas),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
