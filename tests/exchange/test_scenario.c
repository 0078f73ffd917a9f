#include "exchange/scenario.h"

#include <string.h>

#include "exchange/tables.h"
#include "tests/exchange/loaded.h"

static const lw_use *use_named(const lw_loaded *loaded, const char *name)
{
    for (int i = 0; i < loaded->scenario->crew.use_count; i++)
        if (strcmp(loaded->scenario->crew.use[i].name, name) == 0)
            return &loaded->scenario->crew.use[i];
    return NULL;
}

static const lw_load *load_named(const lw_loaded *loaded, const char *name)
{
    for (int i = 0; i < loaded->scenario->rig.load_count; i++)
        if (strcmp(loaded->scenario->rig.load[i].name, name) == 0)
            return &loaded->scenario->rig.load[i];
    fail_msg("there is no appliance %s", name);
    return NULL;
}

/* ---- what is left out ---- */

static void ten_lines_are_a_scenario(void **state)
{
    (void)state;
    lw_loaded loaded;
    load_file(&loaded, "examples/ten-lines.yaml");
    assert_string_equal(loaded.rig_kind, "class-c");
    assert_int_equal(loaded.units, LW_UNITS_US);
    assert_int_equal(loaded.scenario->crew.person_count, 4);
    CHECK_NEAR(vessel(&loaded, "fresh")->level, vessel(&loaded, "fresh")->capacity, 0.0, "fresh begins full");
    CHECK_NEAR(vessel(&loaded, "grey")->level, vessel(&loaded, "grey")->residue, 0.0, "grey begins dumped");
    CHECK_NEAR(loaded.scenario->rig.battery.level_frac, 1.0, 0.0, "battery begins full");
    for (int g = 0; g < LW_GROUP_COUNT; g++)
        CHECK_NEAR(loaded.scenario->factor[g], 1.0, 0.0, "factor of group %d", g);
    lw_loaded_clear(&loaded);
    lw_loaded_clear(&loaded);
}

static void each_default_taken_is_listed_with_its_source_in_the_order_of_the_file(void **state)
{
    (void)state;
    lw_loaded loaded;
    load_file(&loaded, "examples/ten-lines.yaml");
    const lw_assumption *fresh = assumed(&loaded, "rig.tanks.fresh.capacity");
    assert_non_null(fresh);
    assert_string_equal(fresh->value, "39.6 gal"); /* 150 L in data/rigs.csv */
    assert_string_equal(fresh->kind, "common practice");
    assert_null(assumed(&loaded, "rig.kind"));
    assert_non_null(assumed(&loaded, "crew.habits.dishes"));
    for (int i = 0; i < loaded.assumption_count; i++) {
        const lw_assumption *row = &loaded.assumption[i];
        if (!row->key[0] || !row->value[0] || !row->source[0] || !row->kind[0])
            fail_msg("%s: value '%s', source '%s', kind '%s'", row->key, row->value, row->source, row->kind);
        assert_true(i == 0 || loaded.assumption[i - 1].order <= row->order);
    }
    lw_loaded_clear(&loaded);
}

/* Tank sizes are the trade's, the battery of such a rig is recalled; and no source is cut short. */
static void each_column_of_a_rig_has_its_own_source_and_kind(void **state)
{
    (void)state;
    lw_table rigs, columns;
    lw_err err = {0};
    assert_int_equal(lw_table_open("rigs", &rigs, &err), LW_OK);
    assert_int_equal(lw_table_open("rig_columns", &columns, &err), LW_OK);
    for (int i = 0; i < rigs.columns; i++) {
        const char *name = rigs.cell[i];
        if (strcmp(name, "id") != 0 && strcmp(name, "title") != 0 && lw_table_row(&columns, "column", name) < 0)
            fail_msg("data/rig_columns.csv has no row of %s", name);
    }
    static const char *const column[][2] = {{"rig.tanks.fresh.capacity", "fresh_l"},
                                            {"rig.battery.capacity", "battery_ah"},
                                            {"rig.cabin.fridge.power", "fridge_w"}};
    lw_loaded loaded;
    load(&loaded, HEAD "rig: class-c\n" CREW PLACE STAY AIR);
    for (size_t i = 0; i < COUNT_OF(column); i++) {
        const lw_assumption *a = assumed(&loaded, column[i][0]);
        const int row = lw_table_row(&columns, "column", column[i][1]);
        char want[256];
        snprintf(want, sizeof want, "class-c: %s", lw_table_cell(&columns, row, "source"));
        assert_non_null(a);
        assert_string_equal(a->source, want);
        assert_string_equal(a->kind, lw_table_cell(&columns, row, "kind"));
    }
    assert_string_equal(assumed(&loaded, "rig.battery.capacity")->kind, "from memory");
    lw_loaded_clear(&loaded);
    lw_table_clear(&rigs);
    lw_table_clear(&columns);
}

static void of_a_time_that_comes_twice_the_first_is_taken_and_listed(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD "rig: class-c\n" CREW "place: {latitude: 40 N, longitude: 110 W, zone: America/Denver}\n"
                       "stay: {arrive: 2026-11-01 01:30}\n" AIR);
    assert_int_equal(loaded.scenario->stay.arrival_s, INT64_C(1793518200)); /* 07:30 UTC: still summer time */
    const lw_assumption *a = assumed(&loaded, "stay.arrive");
    assert_non_null(a);
    assert_string_equal(a->value, "2026-11-01 01:30 MDT, the first");
    lw_loaded_clear(&loaded);
}

static void a_missing_connection_is_noted_where_somebody_works(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD "rig: class-c\n" CREW PLACE STAY AIR);
    assert_false(has_note(&loaded, "data is not tracked"));
    lw_loaded_clear(&loaded);
    load(&loaded, HEAD
         "rig: class-c\ncrew: {people: [{name: Wren, kind: adult, work: \"Mon-Fri 9:00-17:00\"}]}\n" PLACE STAY AIR);
    assert_true(has_note(&loaded, "data is not tracked"));
    lw_loaded_clear(&loaded);
}

static void a_note_of_a_habit_names_its_key(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD "rig: {kind: van, tanks: {black: none}}\n"
                       "crew: {people: [{name: Wren, kind: adult}], toilet: bag}\n" PLACE STAY AIR);
    int found = 0;
    for (int i = 0; i < loaded.note_count; i++)
        found += strcmp(loaded.note[i].where, "crew.habits.excreta") == 0;
    assert_int_equal(found, 1);
    lw_loaded_clear(&loaded);
}

/* At -15 to -5 C all of it is snow. A month's 62 mm are 2 mm a day: a fall of 5 mm each 60 h, the first after 30 h. In June
 * at 10 C and more nothing lies. */
static void snow_of_mean_weather_comes_in_falls(void **state)
{
    static lw_loaded l;
    int falls = 0;
    double sum_mm = 0.0;
    (void)state;
    load(&l, HEAD RIG CREW "place: {latitude: 40 N, longitude: 105 W, elevation: 1500 m, zone: America/Denver}\n"
                           "stay: {arrive: 2026-01-11 12:00, leave: 2026-01-21 12:00}\n"
                           "weather: {high: -5 C, low: -15 C, rain: 62 mm}\n");
    for (int h = 0; h < 240; h++) {
        falls += l.scenario->weather.snow_mm[h] > 0.0;
        sum_mm += l.scenario->weather.snow_mm[h];
        if (l.scenario->weather.snow_mm[h] > 0.0)
            CHECK_NEAR(l.scenario->weather.snow_mm[h], 5.0, 1e-9, "hour %d", h);
        if (h < 28)
            assert_true(falls == 0);
    }
    assert_true(falls == 4);
    CHECK_NEAR(sum_mm, 20.0, 1e-9, "snow of ten days");
    lw_loaded_clear(&l);
    load(&l, HEAD RIG CREW PLACE STAY "weather: {high: 30 C, low: 10 C, rain: 62 mm}\n");
    for (int h = 0; h < l.scenario->calendar.hours; h++)
        CHECK_NEAR(l.scenario->weather.snow_mm[h], 0.0, 0.0, "June hour %d", h);
    lw_loaded_clear(&l);
}

static void limits_of_wind_and_the_way_with_snow_are_read(void **state)
{
    static lw_loaded l;
    (void)state;
    load(&l, HEAD "rig: {kind: class-c, awning: 9 m/s, solar: [{rated: 200 W, snow: cleared, wind_limit: 12 m/s, "
                  "in_wind: stowed}, {rated: 100 W}]}\n" CREW PLACE STAY AIR);
    const lw_rig *rig = &l.scenario->rig;
    CHECK_NEAR(rig->awning_limit_ms, 9.0, 1e-9, "awning");
    CHECK_NEAR(rig->array[0].wind_limit_ms, 12.0, 1e-9, "array");
    assert_true(rig->array[0].is_snow_cleared && rig->array[0].is_stowed_in_wind);
    assert_false(rig->array[1].is_snow_cleared || rig->array[1].is_stowed_in_wind);
    CHECK_NEAR(rig->array[1].wind_limit_ms, 0.0, 0.0, "none set");
    lw_loaded_clear(&l);
}

static void no_events_may_be_said(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD "rig: class-c\n" CREW PLACE "stay: {arrive: 2026-06-08 15:00, events: none}\n" AIR);
    assert_int_equal(loaded.scenario->transfer_count, 0);
    lw_loaded_clear(&loaded);
}

/* A plan of two months has more errands than one would type: 150 events, each of one vessel, and one too many for the engine. */
static void a_long_plan_finds_room_and_too_long_a_one_is_refused(void **state)
{
    static const int COUNT[] = {150, LW_TRANSFERS + 1};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(COUNT); i++) {
        static char text[32768];
        size_t used =
            (size_t)snprintf(text, sizeof text, "%s",
                             HEAD "rig: class-c\n" CREW PLACE AIR "stay:\n  arrive: 2026-06-08 15:00\n  events:\n");
        for (int k = 0; k < COUNT[i]; k++)
            used += (size_t)snprintf(text + used, sizeof text - used,
                                     "    - {at: 2026-06-%02d %02d:00, do: dump, what: grey}\n", 9 + k / 24, k % 24);
        lw_loaded loaded;
        lw_err err = {0};
        const lw_scenario_from from = {.path = "t.yaml", .bytes = text, .size = used};
        const lw_code code = lw_scenario_load(&from, &loaded, &err);
        if (i == 0) {
            if (code)
                fail_msg("%s: %s", err.where, err.text);
            assert_int_equal(loaded.scenario->transfer_count, COUNT[i]);
            lw_loaded_clear(&loaded);
        } else if (code != LW_E_FULL || !strstr(err.text, "more than 192"))
            fail_msg("code %d, %s: %s", (int)code, err.where, err.text);
    }
}

static void windows_of_the_generator_are_read(void **state)
{
    static const struct {
        const char *rig, *windows, *sentence;
    } ROW[] = {
        {"{kind: class-c, generator: {rated: 4 kW, fuel: gasoline}}",
         "[{from: 2026-06-10 17:00, until: 2026-06-10 16:00}]", "ends before it begins"},
        {"{kind: class-c, generator: {rated: 4 kW, fuel: gasoline}}", "[{from: 2026-06-10 17:00}]", "until"},
        {"{kind: class-c, generator: none}", "[{from: 2026-06-10 17:00, until: 2026-06-10 18:00}]", "no generator"},
    };
    lw_loaded l;
    (void)state;
    load(&l,
         HEAD "rig: {kind: class-c, generator: {rated: 4 kW, fuel: gasoline}}\n" CREW PLACE
              "stay: {arrive: 2026-06-08 15:00, generator: [{from: 2026-06-10 17:00, until: 2026-06-10 19:00}]}\n" AIR);
    const lw_generator_use *g = &l.scenario->rig.generator;
    assert_int_equal(g->window_count, 1);
    assert_true(g->window[0].to_s - g->window[0].from_s == 7200);
    assert_true(g->window[0].from_s - l.scenario->stay.arrival_s == 2 * 86400 + 7200);
    lw_loaded_clear(&l);
    for (size_t i = 0; i < COUNT_OF(ROW); i++) {
        char text[4096];
        lw_err err = {0};
        snprintf(text, sizeof text, HEAD "rig: %s\n" CREW PLACE "stay: {arrive: 2026-06-08 15:00, generator: %s}\n" AIR,
                 ROW[i].rig, ROW[i].windows);
        const lw_scenario_from from = {.path = "t.yaml", .bytes = text, .size = strlen(text)};
        if (!lw_scenario_load(&from, &l, &err) || !strstr(err.text, ROW[i].sentence) || !err.where[0])
            fail_msg("row %zu: %s: %s", i, err.where, err.text);
    }
}

static void a_value_that_is_given_is_no_assumption(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD "units: si\nrig: {kind: class-c, tanks: {fresh: 40 gal}}\n" CREW PLACE STAY AIR);
    assert_null(assumed(&loaded, "rig.tanks.fresh.capacity"));
    assert_string_equal(assumed(&loaded, "rig.tanks.grey.capacity")->value, "130 L");
    CHECK_NEAR(vessel(&loaded, "fresh")->capacity, 151.416471, 1e-6, "40 US gal by NIST SP 811");
    lw_loaded_clear(&loaded);
}

static void every_kind_of_rig_loads_from_its_name_alone(void **state)
{
    (void)state;
    lw_table rigs;
    lw_err err = {0};
    assert_int_equal(lw_table_open("rigs", &rigs, &err), LW_OK);
    for (int row = 0; row < rigs.rows; row++) {
        char text[600];
        lw_loaded loaded;
        double want, watts = 0.0;
        snprintf(text, sizeof text, HEAD "rig: %s\n" CREW PLACE STAY AIR, lw_table_cell(&rigs, row, "id"));
        load(&loaded, text);
        const lw_rig *rig = &loaded.scenario->rig;
        assert_int_equal(lw_table_number(&rigs, row, "generator_w", &want, &err), LW_OK);
        assert_int_equal(rig->generator.is_present, want > 0.0);
        assert_int_equal(lw_table_number(&rigs, row, "solar_w", &want, &err), LW_OK);
        for (int i = 0; i < rig->array_count; i++)
            watts += rig->array[i].rated_w;
        CHECK_NEAR(watts, want, 0.0, "solar of %s", lw_table_cell(&rigs, row, "id"));
        assert_int_equal(lw_table_number(&rigs, row, "mass_jk", &want, &err), LW_OK);
        CHECK_NEAR(rig->cabin.mass_jk, want, 1e-6 * want, "mass of %s", lw_table_cell(&rigs, row, "id"));
        lw_loaded_clear(&loaded);
    }
    lw_table_clear(&rigs);
}

static void none_means_that_there_is_none(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD
         "rig: {kind: class-c, solar: none, generator: none, inverter: none, propane: none, food: none, "
         "tanks: {black: none}, cabin: {furnace: none, cooling: none, water_heater: none, fridge: none}}\n" CREW PLACE
             STAY AIR);
    const lw_rig *rig = &loaded.scenario->rig;
    assert_int_equal(rig->array_count, 0);
    assert_false(rig->generator.is_present);
    assert_false(rig->inverter.is_present);
    assert_false(rig->cabin.water_heater_is_present);
    assert_false(rig->cabin.fridge_is_present);
    CHECK_NEAR(rig->cabin.furnace_input_w + rig->cabin.cool_w, 0.0, 0.0, "furnace and cooling");
    for (int i = 0; i < rig->vessel_count; i++)
        assert_true(rig->vessel[i].supply != LW_SUPPLY_PROPANE && rig->vessel[i].supply != LW_SUPPLY_FOOD &&
                    rig->vessel[i].supply != LW_SUPPLY_BLACK);
    assert_null(use_named(&loaded, "flush-medium"));
    lw_loaded_clear(&loaded);
}

/* ---- short forms ---- */

static void a_short_form_and_its_long_form_mean_the_same(void **state)
{
    (void)state;
    static const struct {
        const char *brief, *full;
    } row[] = {
        {"rig: {propane: 2 x 20 lb}", "rig: {propane: {cylinders: [{capacity: 20 lb}, {capacity: 20 lb}]}}"},
        {"rig: {propane: [20 lb, 30 lb]}", "rig: {propane: {cylinders: [{capacity: 20 lb}, {capacity: 30 lb}]}}"},
        {"rig: {solar: 400 W}", "rig: {solar: [{rated: 400 W}]}"},
        {"rig: {battery: 200 Ah}", "rig: {battery: {capacity: 200 Ah}}"},
        {"rig: {battery: 2.4 kWh}", "rig: {battery: {capacity: 200 Ah}}"},
        {"rig: {tanks: {grey: 30 gal}}", "rig: {tanks: {grey: {capacity: 30 gal}}}"},
        {"rig: {rubbish: 3 bags}", "rig: {rubbish: {capacity: 39 gal}}"},
        {"rig: {drinking: 6 gal}", "rig: {drinking: {bottled: 6 gal}}"},
        {"rig: {appliances: \"alarms, 2 router\"}", "rig: {appliances: [{id: alarms}, {id: router}, {id: router}]}"},
        {"rig: van", "rig: {kind: van}"},
    };
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        char text[900];
        lw_loaded a, b;
        snprintf(text, sizeof text, HEAD "%s\n" CREW PLACE STAY AIR, row[i].brief);
        load(&a, text);
        snprintf(text, sizeof text, HEAD "%s\n" CREW PLACE STAY AIR, row[i].full);
        load(&b, text);
        assert_int_equal(a.scenario->rig.vessel_count, b.scenario->rig.vessel_count);
        for (int v = 0; v < a.scenario->rig.vessel_count; v++)
            CHECK_NEAR(a.scenario->rig.vessel[v].capacity, b.scenario->rig.vessel[v].capacity, 1e-9, "%s",
                       row[i].brief);
        assert_int_equal(a.scenario->rig.load_count, b.scenario->rig.load_count);
        CHECK_NEAR(a.scenario->rig.array[0].rated_w, b.scenario->rig.array[0].rated_w, 0.0, "%s", row[i].brief);
        CHECK_NEAR(a.scenario->rig.battery.capacity_ah, b.scenario->rig.battery.capacity_ah, 1e-9, "%s", row[i].brief);
        lw_loaded_clear(&a);
        lw_loaded_clear(&b);
    }
}

static void people_in_short_are_counted_and_named(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD RIG "crew: 2 adults, 3 children, dog\n" PLACE STAY AIR);
    const lw_crew *crew = &loaded.scenario->crew;
    assert_int_equal(crew->person_count, 6);
    assert_string_equal(crew->person[1].name, "adult 2");
    assert_string_equal(crew->person[4].name, "child 3");
    assert_int_equal(crew->person[5].being, LW_BEING_DOG);
    assert_true(crew->person[5].inside_high_c > 0.0); /* an animal's bounds come from the table */
    assert_true(isnan(crew->person[0].inside_high_c) != 0);
    CHECK_NEAR(vessel(&loaded, "food")->capacity, 50.0, 0.0, "ten days for five who eat at the table");
    lw_loaded_clear(&loaded);
}

static void who_is_only_named_is_grown(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD RIG "crew: {people: [{name: Ottilie}, {name: Rufus, kind: dog}]}\n" PLACE STAY AIR);
    assert_int_equal(loaded.scenario->crew.person[0].being, LW_BEING_ADULT);
    assert_int_equal(loaded.scenario->crew.person[1].being, LW_BEING_DOG);
    lw_loaded_clear(&loaded);
}

/* ---- vessels ---- */

static void cylinders_beyond_those_open_wait_their_turn(void **state)
{
    (void)state;
    lw_loaded one, two;
    load(&one, HEAD "rig: {propane: 2 x 20 lb}\n" CREW PLACE STAY AIR);
    load(&two, HEAD "rig: {propane: {cylinders: 2 x 20 lb, open: 2}}\n" CREW PLACE STAY AIR);
    CHECK_NEAR(vessel(&one, "cylinder")->capacity, 9.0718474, 1e-7, "20 lb by NIST SP 811");
    assert_true(vessel(&one, "cylinder")->order < vessel(&one, "cylinder 2")->order);
    assert_int_equal(vessel(&two, "cylinder")->order, vessel(&two, "cylinder 2")->order);
    assert_int_equal(two.scenario->rig.cabin.open_cylinders, 2);
    lw_loaded_clear(&one);
    lw_loaded_clear(&two);
}

static void gallons_of_propane_are_weighed(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD "rig: {propane: 10 gal}\n" CREW PLACE STAY AIR);
    /* 0.508 kg/L at 15.6 C, LP-gas property table after NFPA 58: 4.24 lb/gal */
    CHECK_NEAR(vessel(&loaded, "cylinder")->capacity, 10.0 * 3.785411784 * 0.508, 1e-6, "10 gal");
    lw_loaded_clear(&loaded);
}

static void levels_at_arrival_are_amounts_or_shares(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD "rig: {tanks: {fresh: {capacity: 60 L, level: 1/3}, grey: {capacity: 60 L, level: 12 L}, "
                       "black: {capacity: 60 L, level: 25 %}}}\n" CREW PLACE STAY AIR);
    CHECK_NEAR(vessel(&loaded, "fresh")->level, 20.0, 1e-9, "1/3");
    CHECK_NEAR(vessel(&loaded, "grey")->level, 12.0, 1e-9, "12 L");
    CHECK_NEAR(vessel(&loaded, "black")->level, 15.0, 1e-9, "25 %%");
    lw_loaded_clear(&loaded);
}

static void levels_of_the_stay_stand_over_those_of_the_rig(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded,
         HEAD "rig: {tanks: {fresh: [{name: a, capacity: 60 L}, {name: b, capacity: 20 L}]}, data: 10 GB}\n" CREW PLACE
              "stay: {arrive: 2026-06-08 15:00, levels: {fresh: 40 L, battery: 80 %, data: 4 GB}}\n" AIR);
    CHECK_NEAR(vessel(&loaded, "a")->level, 30.0, 1e-9, "three quarters of 40 L");
    CHECK_NEAR(vessel(&loaded, "b")->level, 10.0, 1e-9, "the rest");
    CHECK_NEAR(vessel(&loaded, "data")->level, 4.0, 1e-12, "GB");
    CHECK_NEAR(loaded.scenario->rig.battery.level_frac, 0.8, 1e-12, "battery");
    lw_loaded_clear(&loaded);
}

static void a_vehicle_tank_keeps_a_quarter_and_a_can_keeps_nothing(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD
         "rig: {fuel: [{name: tank, capacity: 200 L}, {name: can, capacity: 20 L, order: 2}]}\n" CREW PLACE STAY AIR);
    CHECK_NEAR(vessel(&loaded, "tank")->unusable, 50.0, 1e-9, "tank");
    CHECK_NEAR(vessel(&loaded, "can")->unusable, 0.0, 0.0, "can");
    lw_loaded_clear(&loaded);
}

/* ---- power ---- */

static void quiet_hours_are_taken_from_the_generator(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD "rig: {generator: {rated: 2 kW, allowed: \"7:00-23:00\"}}\n" CREW
                       "place: {latitude: 1 N, longitude: 2 E, zone: UTC, quiet: 21:00-8:00}\n" STAY AIR);
    uint32_t want = 0;
    for (int h = 8; h < 21; h++)
        want |= UINT32_C(1) << h;
    for (int day = 0; day < 7; day++)
        assert_int_equal(loaded.scenario->rig.generator.allowed[day], want);
    lw_loaded_clear(&loaded);
}

static void a_week_of_hours_is_read_as_civil_hours(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD RIG "crew:\n  people:\n    - {kind: adult, work: \"Mon-Fri 8:30-16:15, Sat 10:00-11:00\", away: "
                           "\"Fri 22:00-2:00\"}\n" PLACE STAY AIR);
    const lw_person *p = &loaded.scenario->crew.person[0];
    assert_int_equal(p->work[0], 0x00FF00); /* 8:30 is half of the hour: it counts; 16:00-16:15 is a quarter */
    assert_int_equal(p->work[5], 1 << 10);
    assert_int_equal(p->work[6], 0);
    assert_int_equal(p->away[4], 3 << 22);
    assert_int_equal(p->away[5], 3);
    lw_loaded_clear(&loaded);
}

static void a_generator_takes_the_fuel_line_that_is_given(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD
         "rig: {generator: {rated: 4 kW, fuel: gasoline, idle_use: 1 L/h, full_use: 3 L/h}}\n" CREW PLACE STAY AIR);
    CHECK_NEAR(loaded.scenario->rig.generator.none_lph, 1.0, 1e-12, "idle");
    CHECK_NEAR(loaded.scenario->rig.generator.slope_lpkwh, 0.5, 1e-12, "2 L more for 4 kWh");
    lw_loaded_clear(&loaded);
}

static void an_appliance_keeps_its_rows_energy_a_day(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD "rig: {appliances: [coffee-drip, {id: tv-24, hours: \"20:00-22:00\"}, {name: lamp, watts: 5 W, "
                       "when: always}]}\n" CREW PLACE STAY AIR);
    /* data/appliances.csv: 1000 W for 0.15 h; in a mask of one hour */
    const lw_load *coffee = load_named(&loaded, "coffee-drip");
    CHECK_NEAR(coffee->watts * coffee->duty_frac, 150.0, 1e-9, "Wh in its one hour");
    assert_int_equal(coffee->hours[0], 1 << 7);
    assert_int_equal(coffee->power, LW_POWER_AC);
    CHECK_NEAR(load_named(&loaded, "tv-24")->duty_frac, 1.0, 0.0, "hours of one's own are whole");
    CHECK_NEAR(load_named(&loaded, "lamp")->watts, 5.0, 0.0, "own row");
    lw_loaded_clear(&loaded);
}

static void a_bank_of_24_v_counts_watt_hours_by_its_voltage(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded,
         HEAD "rig: {battery: {capacity: 4.8 kWh, voltage: 24 V, chemistry: lfp, level: 1/2}}\n" CREW PLACE STAY AIR);
    const lw_battery_use *battery = &loaded.scenario->rig.battery;
    CHECK_NEAR(battery->capacity_ah, 200.0, 1e-9, "Ah");
    CHECK_NEAR(battery->level_frac, 0.5, 1e-12, "level");
    CHECK_NEAR(battery->system_cut_v, 21.0, 1e-9, "10.5 V for 12 V");
    lw_loaded_clear(&loaded);
}

/* ---- habits ---- */

static void a_habit_is_found_by_a_part_of_its_name(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD RIG "crew: {people: 2 adults, habits: {dishes: paper, shower: {as: wet-soap-rinse, every: 4 "
                           "days}, laundry: none}}\n" PLACE STAY AIR);
    assert_non_null(use_named(&loaded, "dishes-paper-plates"));
    CHECK_NEAR(use_named(&loaded, "shower-wet-soap-rinse")->rate[0], 0.25, 1e-12, "once in four days");
    assert_null(assumed(&loaded, "crew.habits.dishes"));
    assert_non_null(assumed(&loaded, "crew.habits.flush"));
    lw_loaded_clear(&loaded);
}

static void people_drink_what_the_rig_has(void **state)
{
    (void)state;
    static const struct {
        const char *rig, *use;
    } row[] = {
        {"rig: class-c", "drink-tap"},
        {"rig: {drinking: 6 gal}", "drink-bottled"},
        {"rig: {drinking: {filter: 400 gal}}", "drink-filter"},
    };
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        char text[600];
        lw_loaded loaded;
        snprintf(text, sizeof text, HEAD "%s\n" CREW PLACE STAY AIR, row[i].rig);
        load(&loaded, text);
        if (!use_named(&loaded, row[i].use))
            fail_msg("%s does not give %s", row[i].rig, row[i].use);
        lw_loaded_clear(&loaded);
    }
}

static void a_filter_slower_than_people_drink_is_said(void **state)
{
    (void)state;
    static const char *const RATE[] = {"0.1 gal/h", "2 gal/h"};
    for (int i = 0; i < 2; i++) {
        char text[600];
        lw_loaded loaded;
        snprintf(text, sizeof text, HEAD "rig: {drinking: {filter: {life: 400 gal, rate: %s}}}\n%s", RATE[i],
                 "crew: 8 adults\n" PLACE STAY AIR);
        load(&loaded, text);
        int is_said = 0;
        for (int n = 0; n < loaded.note_count; n++)
            is_said |= strstr(loaded.note[n].text, "the filter gives") != NULL;
        assert_int_equal(is_said, i == 0);
        lw_loaded_clear(&loaded);
    }
}

static void work_data_is_used_only_where_somebody_works(void **state)
{
    (void)state;
    lw_loaded idle, busy;
    load(&idle, HEAD RIG CREW PLACE STAY AIR);
    load(&busy, HEAD RIG "crew: {people: {kind: adult, work: \"Mon-Fri 8:00-16:00\"}}\n" PLACE STAY AIR);
    assert_null(use_named(&idle, "work-calls"));
    assert_non_null(use_named(&busy, "work-calls"));
    lw_loaded_clear(&idle);
    lw_loaded_clear(&busy);
}

static void a_dry_toilet_parts_what_it_gets(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD "rig: {tanks: {black: [{name: urine, capacity: 10 L, residue: 0 L}, {name: solids, capacity: 20 "
                       "L, residue: 0 L}]}}\n"
                       "crew: {people: 2 adults, toilet: dry}\n" PLACE STAY AIR);
    const lw_use *excreta = use_named(&loaded, "excreta");
    assert_non_null(excreta);
    double urine_l = 0.0, solids_l = 0.0;
    for (int i = 0; i < excreta->effect_count; i++) {
        if (excreta->effect[i].kind != LW_EFFECT_VESSEL)
            continue;
        urine_l += excreta->effect[i].at == vessel_at(&loaded, "urine") ? excreta->effect[i].amount : 0.0;
        solids_l += excreta->effect[i].at == vessel_at(&loaded, "solids") ? excreta->effect[i].amount : 0.0;
    }
    CHECK_NEAR(urine_l, 1.42, 1e-9, "Rose and others 2015: median urine of an adult's day");
    assert_true(solids_l >= 0.128);
    assert_null(use_named(&loaded, "flush-medium"));
    lw_loaded_clear(&loaded);
}

static void absences_and_guests_are_instants(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD RIG
         "crew:\n  people:\n    - {name: a, kind: adult, out: [2026-06-10 9:00 to 2026-06-10 17:00, 2026-06-12 to "
         "2026-06-13]}\n    - {name: b, kind: teen, guest: 2026-06-11 12:00 to 2026-06-12 12:00}\n" PLACE STAY AIR);
    const lw_person *a = &loaded.scenario->crew.person[0], *b = &loaded.scenario->crew.person[1];
    assert_int_equal(a->out_count, 2);
    assert_int_equal(a->out[0].to_s - a->out[0].from_s, 8 * 3600);
    assert_int_equal(a->out[1].to_s - a->out[1].from_s, 24 * 3600);
    assert_int_equal(a->out[0].from_s - loaded.scenario->stay.arrival_s, 42 * 3600);
    assert_int_equal(b->guest.to_s - b->guest.from_s, 24 * 3600);
    CHECK_NEAR(vessel(&loaded, "food")->capacity, 10.0, 0.0, "the larder is planned without guests");
    lw_loaded_clear(&loaded);
}

static void water_that_may_not_go_on_the_ground_is_noted(void **state)
{
    (void)state;
    lw_loaded loaded;
    load(&loaded, HEAD RIG "crew: {people: 2 adults, habits: {shower: outdoor}}\n" PLACE STAY AIR);
    assert_true(has_note(&loaded, "goes to the grey tank"));
    lw_loaded_clear(&loaded);
}

/* ---- changes, JSON, examples ---- */

/* What a rig of this kind holds is in data/rigs.csv: 150 L of fresh water and 200 Ah for a class C. */
static void changes_add_to_what_is_there_and_to_what_is_usual(void **state)
{
    static const char *const CHANGES[] = {"rig.tanks.fresh+={name: bladder, capacity: 25 L, order: 2}",
                                          "rig.battery.capacity+=50 Ah",
                                          "rig.solar+=200 W",
                                          "rig.solar+=100 W",
                                          "rig.tanks.grey.2.capacity+=5 L",
                                          "rig.fuel+=20 L",
                                          "rig.cabin.night+=-3 C",
                                          "rig.cabin.day+=4.5 F"};
    static const char FILE[] = HEAD "rig: {kind: class-c, solar: none, tanks: {grey: [{capacity: 60 L}, {capacity: 30 "
                                    "L}]}}\n" CREW PLACE STAY AIR;
    lw_loaded usual, loaded;
    (void)state;
    load(&usual, FILE);
    load_changed(&loaded, FILE, CHANGES, COUNT_OF(CHANGES));
    const lw_rig *had = &usual.scenario->rig, *has = &loaded.scenario->rig;
    assert_int_equal(has->vessel_count, had->vessel_count + 2);
    CHECK_NEAR(has->vessel[vessel_at(&loaded, "bladder")].capacity, 25.0, 1e-9, "the bladder");
    CHECK_NEAR(has->battery.capacity_ah, had->battery.capacity_ah + 50.0, 1e-9, "the battery");
    assert_int_equal(has->array_count, 2);
    CHECK_NEAR(has->array[0].rated_w + has->array[1].rated_w, 300.0, 1e-9, "the arrays");
    CHECK_NEAR(has->cabin.night_c, had->cabin.night_c - 3.0, 1e-6, "the night");
    CHECK_NEAR(has->cabin.day_c, had->cabin.day_c + 2.5, 1e-6, "the day, 4.5 F more");
    double fresh_l = 0.0, grey_l = 0.0, fuel_l = 0.0, fuel_had_l = 0.0;
    for (int i = 0; i < has->vessel_count; i++) {
        fresh_l += has->vessel[i].supply == LW_SUPPLY_FRESH ? has->vessel[i].capacity : 0.0;
        grey_l += has->vessel[i].supply == LW_SUPPLY_GREY ? has->vessel[i].capacity : 0.0;
        fuel_l += has->vessel[i].supply == LW_SUPPLY_FUEL ? has->vessel[i].capacity : 0.0;
    }
    for (int i = 0; i < had->vessel_count; i++) {
        fresh_l -= had->vessel[i].supply == LW_SUPPLY_FRESH ? had->vessel[i].capacity : 0.0;
        fuel_had_l += had->vessel[i].supply == LW_SUPPLY_FUEL ? had->vessel[i].capacity : 0.0;
    }
    CHECK_NEAR(fresh_l, 25.0, 1e-6, "fresh water more");
    CHECK_NEAR(grey_l, 95.0, 1e-9, "grey tanks");
    CHECK_NEAR(fuel_l - fuel_had_l, 20.0, 1e-6, "fuel more");
    lw_loaded_clear(&usual);
    lw_loaded_clear(&loaded);
}

static void additions_that_make_no_sense_are_refused(void **state)
{
    static const struct {
        const char *change, *sentence;
    } ROW[] = {
        {"rig.name+=x", "adds to a list or to a quantity"},
        {"rig.battery.capacity+=1 kWh", "same kind of unit"},
        {"rig.battery.capacity+=much", "is not a quantity"},
        {"rig.solr+=100 W", "did you mean solar?"},
        {"rig.solar+=", "no value"},
        {"+=3", "written key.key=value"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(ROW); i++) {
        static const char FILE[] = HEAD RIG CREW PLACE STAY AIR;
        lw_loaded loaded;
        lw_err err = {0};
        const lw_scenario_from from = {
            .path = "t.yaml", .bytes = FILE, .size = strlen(FILE), .change = &ROW[i].change, .change_count = 1};
        const lw_code code = lw_scenario_load(&from, &loaded, &err);
        if (!code || !strstr(err.text, ROW[i].sentence) || !err.where[0])
            fail_msg("%s: code %d, %s: %s", ROW[i].change, code, err.where, err.text);
    }
}

static void changes_reach_below_short_forms(void **state)
{
    (void)state;
    lw_loaded loaded;
    static const char *const CHANGES[] = {"rig.solar=500 W", "crew.habits.dishes=paper", "rig.solar.tilt=30 deg",
                                          "units=si"};
    load_changed(&loaded, HEAD RIG CREW PLACE STAY AIR, CHANGES, COUNT_OF(CHANGES));
    CHECK_NEAR(loaded.scenario->rig.array[0].rated_w, 500.0, 0.0, "watts");
    CHECK_NEAR(loaded.scenario->rig.array[0].tilt_deg, 30.0, 0.0, "tilt");
    assert_non_null(use_named(&loaded, "dishes-paper-plates"));
    assert_int_equal(loaded.units, LW_UNITS_SI);
    lw_loaded_clear(&loaded);
}

static void json_is_the_same_scenario(void **state)
{
    (void)state;
    lw_loaded yaml, json;
    load(&yaml, HEAD RIG CREW PLACE STAY AIR);
    load(&json,
         "{\"leeway\": 1, \"rig\": \"class-c\", \"crew\": \"2 adults\", \"place\": {\"latitude\": \"38.2 N\", "
         "\"longitude\": -111.1, \"elevation\": \"1000 m\", \"zone\": \"America/Denver\"}, \"stay\": {\"arrive\": "
         "\"2026-06-08T15:00\", \"leave\": \"2026-06-18 10:00\"}, \"weather\": {\"high\": \"30 C\", \"low\": \"10 "
         "C\"}}");
    assert_int_equal(yaml.assumption_count, json.assumption_count);
    assert_memory_equal(&yaml.scenario->stay, &json.scenario->stay, sizeof yaml.scenario->stay);
    assert_memory_equal(&yaml.scenario->calendar, &json.scenario->calendar, sizeof yaml.scenario->calendar);
    for (int i = 0; i < yaml.scenario->calendar.hours; i++)
        CHECK_NEAR(yaml.scenario->weather.air_c[i], json.scenario->weather.air_c[i], 0.0, "hour %d", i);
    CHECK_NEAR(json.scenario->place.longitude_deg, -111.1, 1e-12, "longitude");
    lw_loaded_clear(&yaml);
    lw_loaded_clear(&json);
}

static void each_example_loads(void **state)
{
    (void)state;
    static const char *const FILES[] = {"examples/ten-lines.yaml", "examples/every-key.yaml",
                                        "examples/family-at-work.yaml", "examples/winter-trailer.yaml"};
    for (size_t i = 0; i < COUNT_OF(FILES); i++) {
        lw_loaded loaded;
        load_file(&loaded, FILES[i]);
        assert_true(loaded.scenario->calendar.hours >= 60 * 24);
        lw_loaded_clear(&loaded);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ten_lines_are_a_scenario),
        cmocka_unit_test(each_default_taken_is_listed_with_its_source_in_the_order_of_the_file),
        cmocka_unit_test(each_column_of_a_rig_has_its_own_source_and_kind),
        cmocka_unit_test(of_a_time_that_comes_twice_the_first_is_taken_and_listed),
        cmocka_unit_test(a_missing_connection_is_noted_where_somebody_works),
        cmocka_unit_test(a_note_of_a_habit_names_its_key),
        cmocka_unit_test(snow_of_mean_weather_comes_in_falls),
        cmocka_unit_test(limits_of_wind_and_the_way_with_snow_are_read),
        cmocka_unit_test(no_events_may_be_said),
        cmocka_unit_test(a_long_plan_finds_room_and_too_long_a_one_is_refused),
        cmocka_unit_test(windows_of_the_generator_are_read),
        cmocka_unit_test(a_value_that_is_given_is_no_assumption),
        cmocka_unit_test(every_kind_of_rig_loads_from_its_name_alone),
        cmocka_unit_test(none_means_that_there_is_none),
        cmocka_unit_test(a_short_form_and_its_long_form_mean_the_same),
        cmocka_unit_test(people_in_short_are_counted_and_named),
        cmocka_unit_test(who_is_only_named_is_grown),
        cmocka_unit_test(cylinders_beyond_those_open_wait_their_turn),
        cmocka_unit_test(gallons_of_propane_are_weighed),
        cmocka_unit_test(levels_at_arrival_are_amounts_or_shares),
        cmocka_unit_test(levels_of_the_stay_stand_over_those_of_the_rig),
        cmocka_unit_test(a_vehicle_tank_keeps_a_quarter_and_a_can_keeps_nothing),
        cmocka_unit_test(quiet_hours_are_taken_from_the_generator),
        cmocka_unit_test(a_week_of_hours_is_read_as_civil_hours),
        cmocka_unit_test(a_generator_takes_the_fuel_line_that_is_given),
        cmocka_unit_test(an_appliance_keeps_its_rows_energy_a_day),
        cmocka_unit_test(a_bank_of_24_v_counts_watt_hours_by_its_voltage),
        cmocka_unit_test(a_habit_is_found_by_a_part_of_its_name),
        cmocka_unit_test(people_drink_what_the_rig_has),
        cmocka_unit_test(a_filter_slower_than_people_drink_is_said),
        cmocka_unit_test(work_data_is_used_only_where_somebody_works),
        cmocka_unit_test(a_dry_toilet_parts_what_it_gets),
        cmocka_unit_test(absences_and_guests_are_instants),
        cmocka_unit_test(water_that_may_not_go_on_the_ground_is_noted),
        cmocka_unit_test(changes_reach_below_short_forms),
        cmocka_unit_test(changes_add_to_what_is_there_and_to_what_is_usual),
        cmocka_unit_test(additions_that_make_no_sense_are_refused),
        cmocka_unit_test(json_is_the_same_scenario),
        cmocka_unit_test(each_example_loads),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
