/* The engine as a whole: laws, moments, step size, shortages that feed back. The camps are invented. */
#include "tests/check.h"

#include "tests/core/camp.h"

static lw_outlook *outlook_of(lw_scenario *s, int steps_per_hour)
{
    lw_outlook *out = malloc(sizeof *out);
    camp c = camp_prepare(s, steps_per_hour);
    lw_outlook_make(c.context, out, NULL, NULL);
    free(c.arena.base);
    return out;
}

static double days(const lw_outlook *o, lw_supply k)
{
    return o->leeway[k].q[1].days;
}

static const lw_event *first_event(const lw_outlook *o, lw_event_kind kind, int index)
{
    for (int i = 0; i < o->event_count; i++)
        if (o->event[i].kind == kind && (index < 0 || o->event[i].index == index))
            return &o->event[i];
    return NULL;
}

static double hour_of(const lw_outlook *o, lw_event_kind kind)
{
    const lw_event *e = first_event(o, kind, -1);
    return e ? (double)(e->at_s - o->start_s) / 3600.0 : INFINITY;
}

/* ---- a case worked out by hand: one tank, one use, no power, no heat */

static lw_scenario *one_tank(void)
{
    lw_scenario *s = camp_new(20);
    s->rig.vessel_count = 0;
    s->crew.use_count = 0;
    s->rig.load_count = s->rig.array_count = 0;
    s->rig.generator.is_present = s->rig.inverter.is_present = 0;
    s->rig.cabin.furnace_input_w = 0.0;
    s->rig.cabin.fridge_is_present = s->rig.cabin.water_heater_is_present = 0;
    camp_vessel(s, "tank", LW_SUPPLY_FRESH, 100.0, 90.0)->unusable = 10.0;
    lw_use *u = camp_use(s, "taps", LW_GROUP_DISHES, LW_FIXTURE_KITCHEN, 6.0);
    for (int h = 0; h < 24; h++)
        u->weight[h] = 1.0 / 24.0;
    camp_effect(u, LW_EFFECT_SUPPLY, LW_SUPPLY_FRESH, -1.0);
    camp_effect(u, LW_EFFECT_GONE_L, 0, 1.0);
    return s;
}

static void one_tank_empties_when_arithmetic_says(void **state)
{
    (void)state;
    lw_scenario *s = one_tank();
    lw_outlook *o = outlook_of(s, 1);
    /* (90 - 10) L at two people x 6 L a day. */
    CHECK_NEAR(days(o, LW_SUPPLY_FRESH), 80.0 / 12.0, 1e-6, "days of one tank");
    CHECK_NEAR(o->leeway[LW_SUPPLY_FRESH].use_per_day, 12.0, 1e-9, "use a day");
    assert_int_equal(o->binding, LW_SUPPLY_FRESH);
    free(o);
    s->crew.person[1].out[0] = (lw_span){.from_s = s->stay.arrival_s, .to_s = s->stay.arrival_s + 2 * 86400};
    s->crew.person[1].out_count = 1;
    o = outlook_of(s, 1);
    /* One of the two is away for two days: 12 L less. */
    CHECK_NEAR(days(o, LW_SUPPLY_FRESH), 92.0 / 12.0, 1e-6, "days with one away");
    free(o);
    s->transfer[s->transfer_count++] = (lw_transfer){
        .at_s = s->stay.arrival_s + 5 * 86400 + 1234, .vessel = 0, .kind = LW_TRANSFER_ADD, .amount = 24.0};
    o = outlook_of(s, 1);
    CHECK_NEAR(days(o, LW_SUPPLY_FRESH), 116.0 / 12.0, 1e-6, "days with 24 L brought");
    free(o);
    free(s);
}

static void beyond_the_horizon_is_said_as_such(void **state)
{
    (void)state;
    lw_scenario *s = one_tank();
    s->factor[LW_GROUP_DISHES] = 0.1;
    lw_outlook *o = outlook_of(s, 1);
    assert_true(o->leeway[LW_SUPPLY_FRESH].q[1].beyond_horizon);
    CHECK_NEAR(days(o, LW_SUPPLY_FRESH), 20.0, 0.0, "the horizon");
    assert_int_equal(o->binding, LW_SUPPLY_BATTERY == o->binding ? LW_SUPPLY_BATTERY : -1);
    free(o);
    free(s);
}

/* ---- laws */

typedef void (*change_fn)(lw_scenario *);
static void more_fresh(lw_scenario *s)
{
    s->rig.vessel[0].capacity *= 1.2, s->rig.vessel[0].level *= 1.2;
}
static void more_grey(lw_scenario *s)
{
    s->rig.vessel[1].capacity *= 1.2, s->rig.vessel[2].capacity *= 1.2;
}
static void more_black(lw_scenario *s)
{
    s->rig.vessel[3].capacity *= 1.2;
}
static void more_gas(lw_scenario *s)
{
    s->rig.vessel[6].capacity *= 1.2, s->rig.vessel[6].level *= 1.2;
}
static void less_heat(lw_scenario *s)
{
    s->factor[LW_GROUP_HEAT] = 0.8;
}
static void fewer_showers(lw_scenario *s)
{
    s->factor[LW_GROUP_SHOWERS] = 0.5;
}
static void more_battery(lw_scenario *s)
{
    s->rig.battery.capacity_ah *= 1.3;
}
static void more_sun(lw_scenario *s)
{
    s->rig.array[0].rated_w *= 1.5;
}

static void more_of_a_supply_never_shortens_its_leeway(void **state)
{
    (void)state;
    static const struct {
        const char *what;
        change_fn change;
        lw_supply supply;
    } row[] = {{"fresh tank", more_fresh, LW_SUPPLY_FRESH},         {"grey tanks", more_grey, LW_SUPPLY_GREY},
               {"black tank", more_black, LW_SUPPLY_BLACK},         {"gas", more_gas, LW_SUPPLY_PROPANE},
               {"warmer walls", less_heat, LW_SUPPLY_PROPANE},      {"fewer showers", fewer_showers, LW_SUPPLY_FRESH},
               {"fewer showers", fewer_showers, LW_SUPPLY_GREY},    {"fewer showers", fewer_showers, LW_SUPPLY_PROPANE},
               {"bigger battery", more_battery, LW_SUPPLY_BATTERY}, {"more panels", more_sun, LW_SUPPLY_BATTERY}};
    for (uint64_t seed = 1; seed <= 25; seed++)
        for (size_t i = 0; i < COUNT_OF(row); i++) {
            lw_scenario *a = camp_random(14, seed), *b = camp_random(14, seed);
            a->transfer_count = b->transfer_count = 0;
            /* No law with a generator: it may burn gas to cool what is better insulated, and one that waits for a bigger
             * battery may wait past its allowed hours. */
            a->rig.generator.is_present = b->rig.generator.is_present = 0;
            /* Insulation saves gas where it is cold; where it is hot a warmer cabin makes the fridge work more. */
            if (row[i].change == less_heat)
                camp_weather(a, -5.0, 6.0, 0.6), camp_weather(b, -5.0, 6.0, 0.6);
            row[i].change(b);
            lw_outlook *oa = outlook_of(a, 1), *ob = outlook_of(b, 1);
            if (!(days(ob, row[i].supply) >= days(oa, row[i].supply) - 1e-9))
                fail_msg("camp %d: %s takes supply %d from %.4f to %.4f days", (int)seed, row[i].what,
                         (int)row[i].supply, days(oa, row[i].supply), days(ob, row[i].supply));
            free(oa), free(ob), free(a), free(b);
        }
}

static void the_first_end_of_the_joint_course_is_the_shortest_leeway(void **state)
{
    (void)state;
    int met = 0;
    for (uint64_t seed = 1; seed <= 80; seed++) {
        lw_scenario *s = camp_random(14, seed);
        s->transfer_count = 0;
        s->rig.generator.is_present = 0;
        lw_outlook *o = outlook_of(s, 1);
        const lw_event *e = NULL;
        for (int i = 0; i < o->event_count && !e; i++)
            if (o->event[i].kind == LW_EVENT_SUPPLY_END || o->event[i].kind == LW_EVENT_BATTERY_FLOOR ||
                o->event[i].kind == LW_EVENT_GAS_SHORT || o->event[i].kind == LW_EVENT_LOADS_CUT)
                e = &o->event[i];
        if (e && e->kind == LW_EVENT_SUPPLY_END && o->binding == e->supply) {
            met++;
            CHECK_NEAR((double)(e->at_s - o->start_s) / 86400.0, days(o, (lw_supply)o->binding), 1.0 / 86400.0 * 2,
                       "camp %d, supply %d", (int)seed, o->binding);
        }
        free(o), free(s);
    }
    print_message("%d camps bound by a tank\n", met);
    assert_true(met >= 10);
}

/* ---- step size: what the hour costs against the half hour */

typedef struct step_course {
    lw_outlook outlook;
    lw_state state[14 * 24];
    lw_flows flows[14 * 24];
    lw_scenario *scenario;
    double soc[14];
} step_course;

static step_course *course_of(lw_scenario *s, int steps_per_hour)
{
    step_course *r = calloc(1, sizeof *r);
    lw_series rows = {.capacity = 14 * 24, .state = r->state, .flows = r->flows};
    camp c = camp_prepare(s, steps_per_hour);
    lw_outlook_make(c.context, &r->outlook, &rows, NULL);
    for (int d = 0; d < 14; d++)
        r->soc[d] = lw_state_battery_frac(c.context, &r->state[24 * d + 23]);
    r->scenario = s;
    free(c.arena.base);
    return r;
}

static double day_sum(const step_course *r, int day, int flow)
{
    double sum = 0.0;
    for (int h = 0; h < 24; h++)
        sum += r->flows[24 * day + h].of[flow];
    return sum;
}

/* Daily totals of the plain camp, each against its largest day: 1 %. Exceptions of 2 % (measured 1.5 and 2.0): DC loads,
 * because in the hour of warming up the sun rises too and an hour's mean of it moves the blower's cycles; and through it and
 * the netting of sun and loads inside an hour what goes through the battery: 2.5 %. */
static void halving_the_step_moves_daily_totals_by_less_than_a_percent(void **state)
{
    (void)state;
    static const struct {
        int flow;
        double tolerance;
    } row[] = {{LW_FLOW_FRESH_OUT, 0.01},       {LW_FLOW_GREY_IN, 0.01},       {LW_FLOW_BLACK_IN, 0.01},
               {LW_FLOW_PROPANE_FURNACE, 0.01}, {LW_FLOW_PROPANE_WATER, 0.01}, {LW_FLOW_PROPANE_FRIDGE, 0.01},
               {LW_FLOW_SUN_PANELS, 0.01},      {LW_FLOW_SUN_USED, 0.01},      {LW_FLOW_SUN_UNUSED, 0.01},
               {LW_FLOW_DC_LOADS, 0.02},        {LW_FLOW_INVERTER_IN, 0.01},   {LW_FLOW_HEAT_CONDUCTION, 0.01},
               {LW_FLOW_HEAT_SUN, 0.01},        {LW_FLOW_DATA_OUT, 0.01},      {LW_FLOW_RUBBISH_IN, 0.01},
               {LW_FLOW_BATTERY_IN, 0.025},     {LW_FLOW_BATTERY_OUT, 0.025}};
    lw_scenario *s = camp_new(14);
    step_course *a = course_of(s, 1), *b = course_of(s, 2);
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        double most = 0.0, miss = 0.0;
        for (int d = 0; d < 14; d++) {
            most = fmax(most, fabs(day_sum(b, d, row[i].flow)));
            miss = fmax(miss, fabs(day_sum(a, d, row[i].flow) - day_sum(b, d, row[i].flow)));
        }
        if (!(miss <= row[i].tolerance * most))
            fail_msg("flow %d: a day differs by %.3g of %.3g", row[i].flow, miss, most);
    }
    free(a), free(b), free(s);
}

static void halving_the_step_moves_levels_and_crossings_by_less_than_a_percent(void **state)
{
    (void)state;
    enum { CAMPS = 120 };
    int crossings = 0, crossings_off = 0, levels = 0, levels_off = 0;
    for (uint64_t seed = 1; seed <= CAMPS; seed++) {
        lw_scenario *s = camp_random(14, seed);
        step_course *a = course_of(s, 1), *b = course_of(s, 2);
        for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
            const lw_quantile *qa = &a->outlook.leeway[k].q[1], *qb = &b->outlook.leeway[k].q[1];
            if (!a->outlook.leeway[k].is_present || (qa->beyond_horizon && qb->beyond_horizon))
                continue;
            crossings++;
            crossings_off += !(fabs(qa->days - qb->days) <= fmax(0.01 * qb->days, 0.01));
        }
        for (int d = 0; d < 14; d++) {
            for (int v = 0; v < s->rig.vessel_count; v++) {
                const double miss = fabs(a->state[24 * d + 23].level[v] - b->state[24 * d + 23].level[v]);
                levels++;
                levels_off += !(miss <= 0.01 * s->rig.vessel[v].capacity);
            }
            levels++;
            levels_off += !(fabs(a->soc[d] - b->soc[d]) <= 0.01);
        }
        free(a), free(b), free(s);
    }
    print_message("off by more than 1 %%: %d of %d crossings, %d of %d levels\n", crossings_off, crossings, levels_off,
                  levels);
    assert_true(crossings_off <= crossings / 20);
    assert_true(levels_off <= levels / 20);
}

/* ---- shortages feed back: a flat battery on a cold, cloudy night */

static lw_scenario *cold_night(void)
{
    lw_scenario *s = camp_new(6);
    s->rig.battery.chemistry = LW_CHEMISTRY_AGM;
    s->rig.battery.capacity_ah = 100.0;
    s->rig.battery.floor_frac = 0.5;
    s->rig.battery.level_frac = 0.75;
    s->rig.generator.is_present = 0;
    s->rig.cabin.bay = LW_BAY_KIND_ENCLOSED;
    s->rig.cabin.furnace_cut_v = 11.0;
    s->rig.cabin.fridge_cut_v = 10.9;
    s->rig.cabin.pump_cut_v = 10.7;
    s->rig.load[2].cut_v = 10.6;                                /* router */
    s->rig.vessel[5].capacity = s->rig.vessel[5].level = 300.0; /* gas enough for every night */
    camp_weather(s, -12.0, 4.0, 0.08);
    return s;
}

static void a_flat_battery_stops_blower_fridge_water_and_freezes_the_camp_in_that_order(void **state)
{
    (void)state;
    lw_scenario *s = cold_night();
    lw_outlook *o = outlook_of(s, 1);
    const double floor_h = hour_of(o, LW_EVENT_BATTERY_FLOOR), cut_h = hour_of(o, LW_EVENT_LOADS_CUT);
    const double furnace_h = hour_of(o, LW_EVENT_FURNACE_STOPS), fridge_h = hour_of(o, LW_EVENT_FRIDGE_STOPS);
    const double cold_h = hour_of(o, LW_EVENT_CABIN_COLD), freeze_h = hour_of(o, LW_EVENT_CABIN_FREEZES);
    const double pipes_h = hour_of(o, LW_EVENT_PIPES_FREEZE), food_h = hour_of(o, LW_EVENT_FOOD_WARM);
    const double net_h = hour_of(o, LW_EVENT_NETWORK_STOPS), water_h = hour_of(o, LW_EVENT_WATER_STOPS);
    assert_true(floor_h < cut_h);
    /* The blower stops in the step in which its voltage is gone. */
    assert_true(furnace_h >= cut_h - 1.0 && furnace_h <= cut_h + 1.0);
    assert_true(fridge_h >= furnace_h - 1.0 && fridge_h < INFINITY);
    assert_true(cold_h > furnace_h && freeze_h > cold_h);
    assert_true(pipes_h < INFINITY);
    assert_true(isinf(food_h)); /* the cabin is colder than a fridge before four hours are over */
    assert_true(net_h < INFINITY && water_h < INFINITY);
    assert_true(o->comfort.inside_low_c < 0.0);
    assert_true(o->joint.of[LW_FLOW_PROPANE_FURNACE] < o->own.of[LW_FLOW_PROPANE_FURNACE]);
    free(o);

    /* Enough battery, and nothing of it happens. */
    s->rig.battery.capacity_ah = 3000.0;
    s->rig.battery.level_frac = 1.0;
    o = outlook_of(s, 1);
    assert_true(isinf(hour_of(o, LW_EVENT_LOADS_CUT)) && isinf(hour_of(o, LW_EVENT_CABIN_FREEZES)));
    free(o), free(s);
}

static void a_vital_load_is_served_after_all_others_have_dropped(void **state)
{
    (void)state;
    lw_scenario *s = cold_night();
    lw_load *device = camp_load(s, "breathing device", LW_LOAD_WEEKLY, 20.0, 11.5);
    device->is_vital = 1;
    lw_outlook *o = outlook_of(s, 1);
    assert_int_equal(o->vital_count, 1);
    assert_int_equal(o->vital_load[0], s->rig.load_count - 1);
    const double vital_h = o->vital[0].q[1].days * 24.0, cut_h = hour_of(o, LW_EVENT_LOADS_CUT);
    assert_true(vital_h > cut_h + 1.0);
    assert_true(o->vital[0].q[1].beyond_horizon || first_event(o, LW_EVENT_VITAL_STOPS, 0) != NULL);
    free(o), free(s);
}

static void the_thermostat_stands_at_what_somebody_must_have(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(3);
    camp_weather(s, -5.0, 4.0, 0.5);
    lw_outlook *plain = outlook_of(s, 1);
    s->crew.person[0].inside_low_c = 19.0;
    lw_outlook *kept = outlook_of(s, 1);
    assert_true(kept->comfort.inside_low_c > 18.9 && plain->comfort.inside_low_c < 16.5);
    assert_null(first_event(kept, LW_EVENT_VITAL_COLD, 0));
    assert_true(kept->own.of[LW_FLOW_PROPANE_FURNACE] > plain->own.of[LW_FLOW_PROPANE_FURNACE]);
    free(plain), free(kept), free(s);
}

static void cold_lithium_takes_no_sun_unless_it_is_heated(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(4);
    s->rig.battery.is_inside = 0;
    s->rig.battery.level_frac = 0.6;
    s->rig.generator.is_present = 0;
    s->rig.cabin.bay = LW_BAY_KIND_EXPOSED;
    camp_weather(s, -15.0, 4.0, 1.0);
    lw_outlook *cold = outlook_of(s, 1);
    s->rig.battery.is_heated = 1;
    lw_outlook *heated = outlook_of(s, 1);
    assert_non_null(first_event(cold, LW_EVENT_CHARGE_COLD, -1));
    assert_null(first_event(heated, LW_EVENT_CHARGE_COLD, -1));
    assert_true(heated->own.of[LW_FLOW_BATTERY_IN] > cold->own.of[LW_FLOW_BATTERY_IN] + 500.0);
    free(cold), free(heated), free(s);
}

static void rubbish_in_the_shower_stops_showers(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(12);
    s->rig.vessel[9].place = LW_RUBBISH_SHOWER;
    s->stay.departure_s = 0;
    lw_outlook *o = outlook_of(s, 1);
    const lw_event *place = first_event(o, LW_EVENT_RUBBISH_PLACE, 9);
    assert_non_null(place);
    /* Showers are 16 of 30 L of grey a day; once they stop the bath tank rises no more. */
    assert_true(o->joint.of[LW_FLOW_GREY_IN] < o->own.of[LW_FLOW_GREY_IN] + o->own.of[LW_FLOW_GREY_OVER] - 20.0);
    free(o), free(s);
}

static void leisure_leaves_the_data_that_work_needs(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(20);
    lw_outlook *o = outlook_of(s, 1);
    assert_true(o->leisure_data.is_present);
    assert_true(o->leisure_data.q[1].days < days(o, LW_SUPPLY_DATA));
    const double without = days(o, LW_SUPPLY_DATA);
    free(o);
    s->rig.vessel[10].work_reserve = 0.0;
    o = outlook_of(s, 1);
    assert_true(days(o, LW_SUPPLY_DATA) < without);
    free(o), free(s);
}

static void the_generator_keeps_quiet_hours_and_its_reserve(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(14);
    s->rig.array_count = 0;
    s->rig.battery.level_frac = 0.5;
    step_course *r = course_of(s, 1);
    double hours = 0.0;
    for (int h = 0; h < 14 * 24; h++) {
        const int civil = s->calendar.civil_hour[h];
        hours += r->flows[h].of[LW_FLOW_GENERATOR_HOURS];
        if ((civil < 8 || civil >= 20) && r->flows[h].of[LW_FLOW_GENERATOR_HOURS] > 0.0)
            fail_msg("the generator runs at %d:00", civil);
    }
    assert_true(hours > 5.0);
    /* 10 of the 40 L are the vehicle's reserve. */
    assert_true(r->state[14 * 24 - 1].level[7] >= 10.0 - 1e-9);
    free(r), free(s);
}

/* In the windows of named dates it runs, to the hour and within the allowed ones (8 to 20 o'clock here), and in no other hour. */
static void the_generator_runs_in_windows_on_named_dates(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(5);
    const int64_t start_s = s->calendar.start_s;
    int ten = 0, late = 0; /* hours of the second day that begin at 10:00 and at 19:00 */
    s->rig.battery.level_frac = 0.6;
    s->rig.generator.is_automatic = 0;
    memset(s->rig.generator.run, 0, sizeof s->rig.generator.run);
    for (int h = 24; h < 48; h++) {
        ten = s->calendar.civil_hour[h] == 10 ? h : ten;
        late = s->calendar.civil_hour[h] == 19 ? h : late;
    }
    s->rig.generator.window[0] =
        (lw_span){start_s + ten * 3600, start_s + (ten + 2) * 3600 + 1500}; /* 25 minutes over */
    s->rig.generator.window[1] = (lw_span){start_s + late * 3600, start_s + (late + 3) * 3600};
    s->rig.generator.window_count = 2;
    for (int per_hour = 1; per_hour <= 2; per_hour++) {
        step_course *r = course_of(s, per_hour);
        for (int h = 0; h < 5 * 24; h++) {
            const double hours = r->flows[h].of[LW_FLOW_GENERATOR_HOURS];
            const int is_in = h == ten || h == ten + 1 || h == late;
            const double most = is_in                           ? 1.0
                                : per_hour == 2 && h == ten + 2 ? 0.5
                                                                : 0.0; /* half an hour is a step then */
            if (hours > most + 1e-9 || (is_in && hours < 0.99))
                fail_msg("%d steps an hour: %.2f h of running in hour %d, want %.1f", per_hour, hours, h, most);
        }
        free(r);
    }
    free(s);
}

static void two_open_cylinders_give_gas_that_one_cannot(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(6);
    camp_weather(s, -18.0, 3.0, 0.5);
    s->rig.battery.capacity_ah = 1000.0;
    s->rig.cabin.ua_wk = 200.0;
    s->rig.vessel[5].level = s->rig.vessel[6].level = 4.0;
    lw_outlook *one = outlook_of(s, 1);
    s->rig.cabin.open_cylinders = 2;
    lw_outlook *two = outlook_of(s, 1);
    assert_non_null(first_event(one, LW_EVENT_GAS_SHORT, -1));
    assert_true(hour_of(two, LW_EVENT_GAS_SHORT) > hour_of(one, LW_EVENT_GAS_SHORT));
    free(one), free(two), free(s);
}

static void a_combined_tank_takes_the_water_of_the_fixtures_it_names(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(20);
    lw_outlook *apart = outlook_of(s, 1);
    const double black_l = apart->leeway[LW_SUPPLY_BLACK].use_per_day,
                 grey_l = apart->leeway[LW_SUPPLY_GREY].use_per_day;
    free(apart);
    s->rig.vessel[1].supply = s->rig.vessel[2].supply = LW_SUPPLY_FUEL; /* no grey tank any more */
    s->rig.vessel[3].fixtures = 0xfu;
    lw_outlook *o = outlook_of(s, 1);
    CHECK_NEAR(o->leeway[LW_SUPPLY_BLACK].use_per_day, black_l + grey_l, 1e-9, "litres a day into one tank");
    assert_false(o->leeway[LW_SUPPLY_GREY].is_present);
    free(o), free(s);
}

static void a_stay_rule_ends_the_stay_whatever_the_tanks_hold(void **state)
{
    (void)state;
    lw_scenario *s = one_tank();
    s->stay.stay_end_s = s->stay.arrival_s + 3 * 86400;
    lw_outlook *o = outlook_of(s, 1);
    CHECK_NEAR(days(o, LW_SUPPLY_STAY), 3.0, 1e-9, "days allowed");
    assert_int_equal(o->binding, LW_SUPPLY_STAY);
    free(o), free(s);
}

static void a_fifth_vital_load_is_refused_not_left_out(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(3);
    lw_fault fault = {0};
    for (int i = 0; i < LW_VITALS; i++)
        camp_load(s, "device", LW_LOAD_ALWAYS, 5.0, 0.0)->is_vital = 1;
    assert_int_equal(lw_scenario_check(s, &fault), LW_OK);
    camp_load(s, "one more", LW_LOAD_ALWAYS, 5.0, 0.0)->is_vital = 1;
    assert_int_equal(lw_scenario_check(s, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "vital loads");
    free(s);
}

static void what_the_engine_cannot_make_sense_of_is_refused(void **state)
{
    (void)state;
    static const struct {
        const char *field;
        size_t offset;
        double value;
    } row[] = {
        {"place.latitude_deg", offsetof(lw_scenario, place.latitude_deg), 95.0},
        {"place.longitude_deg", offsetof(lw_scenario, place.longitude_deg), 181.0},
        {"place.elevation_m", offsetof(lw_scenario, place.elevation_m), 9000.0},
        {"place.shade_frac", offsetof(lw_scenario, place.shade_frac), 1.5},
        {"vessel.level", offsetof(lw_scenario, rig.vessel[0].level), 151.0},
        {"vessel.capacity", offsetof(lw_scenario, rig.vessel[1].capacity), -11.0},
        {"battery.floor_frac", offsetof(lw_scenario, rig.battery.floor_frac), -0.1},
        {"battery.capacity_ah", offsetof(lw_scenario, rig.battery.capacity_ah), NAN},
        {"array.tilt_deg", offsetof(lw_scenario, rig.array[1].tilt_deg), 91.0},
        {"load.watts", offsetof(lw_scenario, rig.load[0].watts), -1.0},
        {"generator.stop_frac", offsetof(lw_scenario, rig.generator.stop_frac), 0.1},
        {"charger.efficiency_frac", offsetof(lw_scenario, rig.charger.efficiency_frac), 0.0},
        {"cabin.ua_wk", offsetof(lw_scenario, rig.cabin.ua_wk), 0.0},
        {"use.weight", offsetof(lw_scenario, crew.use[0].weight[0]), 0.5},
        {"weather.air_c", offsetof(lw_scenario, weather.air_c[5]), NAN},
        {"weather.clear_frac", offsetof(lw_scenario, weather.clear_frac[7]), -0.2},
        {"factor", offsetof(lw_scenario, factor[0]), -1.0},
        {"battery.system_cut_v", offsetof(lw_scenario, rig.battery.system_cut_v), NAN},
        {"cabin.vent_above_c", offsetof(lw_scenario, rig.cabin.vent_above_c), NAN},
        {"cabin.cool_w", offsetof(lw_scenario, rig.cabin.cool_w), NAN},
        {"cabin.fridge.rated_w", offsetof(lw_scenario, rig.cabin.fridge.rated_w), NAN},
        {"inverter.rated_w", offsetof(lw_scenario, rig.inverter.rated_w), NAN},
        {"transfer.amount", offsetof(lw_scenario, transfer[0].amount), NAN},
        {"place.horizon_deg", offsetof(lw_scenario, place.horizon_deg[359]), NAN},
    };
    static const struct {
        const char *field;
        size_t offset;
        int value;
    } index[] = {
        {"vessel.supply", offsetof(lw_scenario, rig.vessel[0].supply), LW_SUPPLY_BATTERY},
        {"vessel.supply", offsetof(lw_scenario, rig.vessel[0].supply), LW_SUPPLY_COUNT},
        {"vessel.place", offsetof(lw_scenario, rig.vessel[8].place), 9},
        {"use.effect.at", offsetof(lw_scenario, crew.use[0].effect[0].at), LW_SUPPLY_BATTERY},
        {"use.effect.at", offsetof(lw_scenario, crew.use[0].effect[0].at), LW_SUPPLY_STAY},
        {"use.effect.kind", offsetof(lw_scenario, crew.use[0].effect[0].kind), 77},
        {"use.group", offsetof(lw_scenario, crew.use[0].group), LW_GROUP_COUNT},
        {"use.rhythm", offsetof(lw_scenario, crew.use[0].rhythm), 12},
        {"load.rhythm", offsetof(lw_scenario, rig.load[0].rhythm), 12},
        {"load.group", offsetof(lw_scenario, rig.load[0].group), 8},
        {"array.mount", offsetof(lw_scenario, rig.array[0].mount), 3},
        {"array.controller", offsetof(lw_scenario, rig.array[0].controller), -1},
        {"battery.chemistry", offsetof(lw_scenario, rig.battery.chemistry), LW_CHEMISTRY_COUNT},
        {"generator.fuel", offsetof(lw_scenario, rig.generator.fuel), LW_ENGINE_FUEL_COUNT},
        {"cabin.bay", offsetof(lw_scenario, rig.cabin.bay), LW_BAY_KIND_COUNT},
        {"person.being", offsetof(lw_scenario, crew.person[1].being), 6},
        {"transfer.kind", offsetof(lw_scenario, transfer[0].kind), 3},
    };
    for (size_t i = 0; i < COUNT_OF(index); i++) {
        lw_scenario *s = camp_new(3);
        lw_fault fault = {0};
        s->transfer_count = 1;
        assert_int_equal(lw_scenario_check(s, &fault), LW_OK);
        memcpy((char *)s + index[i].offset, &index[i].value, sizeof index[i].value);
        assert_int_equal(lw_scenario_check(s, &fault), LW_E_RANGE);
        assert_string_equal(fault.field, index[i].field);
        free(s);
    }
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_scenario *s = camp_new(3);
        lw_fault fault = {0};
        s->transfer_count = 1;
        assert_int_equal(lw_scenario_check(s, &fault), LW_OK);
        memcpy((char *)s + row[i].offset, &row[i].value, sizeof row[i].value);
        assert_int_equal(lw_scenario_check(s, &fault), LW_E_RANGE);
        assert_string_equal(fault.field, row[i].field);
        free(s);
    }
    lw_scenario *s = camp_new(3);
    lw_fault fault = {0};
    lw_context *context;
    unsigned char little[64];
    lw_arena arena = {.base = little, .cap = sizeof little};
    assert_int_equal(lw_prepare(s, 1, &arena, &context, &fault), LW_E_FULL);
    assert_int_equal(lw_prepare(s, 13, &arena, &context, &fault), LW_E_RANGE);
    free(s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_tank_empties_when_arithmetic_says),
        cmocka_unit_test(beyond_the_horizon_is_said_as_such),
        cmocka_unit_test(more_of_a_supply_never_shortens_its_leeway),
        cmocka_unit_test(the_first_end_of_the_joint_course_is_the_shortest_leeway),
        cmocka_unit_test(halving_the_step_moves_daily_totals_by_less_than_a_percent),
        cmocka_unit_test(halving_the_step_moves_levels_and_crossings_by_less_than_a_percent),
        cmocka_unit_test(a_flat_battery_stops_blower_fridge_water_and_freezes_the_camp_in_that_order),
        cmocka_unit_test(a_vital_load_is_served_after_all_others_have_dropped),
        cmocka_unit_test(the_thermostat_stands_at_what_somebody_must_have),
        cmocka_unit_test(cold_lithium_takes_no_sun_unless_it_is_heated),
        cmocka_unit_test(rubbish_in_the_shower_stops_showers),
        cmocka_unit_test(leisure_leaves_the_data_that_work_needs),
        cmocka_unit_test(the_generator_keeps_quiet_hours_and_its_reserve),
        cmocka_unit_test(the_generator_runs_in_windows_on_named_dates),
        cmocka_unit_test(two_open_cylinders_give_gas_that_one_cannot),
        cmocka_unit_test(a_combined_tank_takes_the_water_of_the_fixtures_it_names),
        cmocka_unit_test(a_stay_rule_ends_the_stay_whatever_the_tanks_hold),
        cmocka_unit_test(a_fifth_vital_load_is_refused_not_left_out),
        cmocka_unit_test(what_the_engine_cannot_make_sense_of_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
