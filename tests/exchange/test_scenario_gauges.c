/* What the rig's things are read by: as declared, and by data/gauges.csv where nothing is. */
#include <string.h>

#include "tests/exchange/loaded.h"

static const char BARE[] = HEAD RIG CREW PLACE STAY AIR;

static const lw_gauges *gauges(const lw_loaded *loaded, const char *name)
{
    return &loaded->vessel_gauges[vessel_at(loaded, name)];
}

static void what_is_not_said_is_read_as_usual(void **state)
{
    lw_loaded loaded;
    (void)state;
    load(&loaded, BARE);
    const lw_gauges *fresh = gauges(&loaded, "fresh");
    assert_int_equal(fresh->count, 1);
    assert_true(fresh->is_usual);
    assert_string_equal(fresh->word[0], "thirds");
    assert_int_equal(fresh->gauge[0].kind, LW_GAUGE_PROBES);
    assert_int_equal(fresh->gauge[0].rule, LW_GAUGE_REACHED);
    assert_int_equal(fresh->gauge[0].probe_count, 2);
    CHECK_NEAR(fresh->gauge[0].probe_frac[1], 2.0 / 3.0, 1e-12, "height of the second lamp");
    CHECK_NEAR(fresh->gauge[0].lie_frac, 0.05, 1e-12, "lie");
    assert_int_equal(gauges(&loaded, "cylinder")->gauge[0].kind, LW_GAUGE_SCALE);
    CHECK_NEAR(gauges(&loaded, "cylinder")->gauge[0].step, 0.45359237, 1e-9, "a pound"); /* NIST SP 811 */
    assert_int_equal(gauges(&loaded, "fuel")->gauge[0].rule, LW_GAUGE_NEAREST);
    assert_int_equal(loaded.battery_gauges.count, 2);
    assert_int_equal(loaded.battery_gauges.gauge[0].kind, LW_GAUGE_VOLTS);
    assert_int_equal(loaded.battery_gauges.gauge[1].kind, LW_GAUGE_PERCENT);
    CHECK_NEAR(loaded.generator_gauges.gauge[0].step, 0.1, 1e-12, "hours");
    for (int i = 0; i < loaded.scenario->rig.vessel_count; i++)
        if (loaded.vessel_gauges[i].count == 0)
            fail_msg("%s is read by nothing", loaded.scenario->rig.vessel[i].name);
    lw_loaded_clear(&loaded);
}

/* No outlook stands on a gauge: the same assumptions, whatever it is. */
static void a_gauge_is_no_assumption_of_the_outlook(void **state)
{
    lw_loaded bare, told;
    static const char *const CHANGE[] = {"rig.battery.gauge=percent"};
    (void)state;
    load(&bare, BARE);
    load_changed(&told, BARE, CHANGE, 1);
    assert_int_equal(bare.assumption_count, told.assumption_count);
    lw_loaded_clear(&bare);
    lw_loaded_clear(&told);
}

static void what_is_declared_counts(void **state)
{
    lw_loaded loaded;
    static const char *const CHANGE[] = {
        "rig.tanks.fresh.gauge={kind: lights, at: '1/4, 50 %, 0.8', rule: nearest, lie: 2 %}",
        "rig.tanks.grey.gauge=quarters",
        "rig.tanks.black.gauge={kind: percent, step: 10 %}",
        "rig.propane={cylinders: [{capacity: 20 lb, gauge: {kind: scale, tare: 17 lb, step: 0.5 lb}}]}",
        "rig.battery.gauge=percent",
        "rig.rubbish=[{name: bin, capacity: 2 bags, gauge: {kind: bags, step: 0.5}}]",
        "rig.data=[{name: plan, allowance: 100 GB, gauge: {kind: amount, step: 500 MB}}]",
        "rig.food.gauge={kind: none, step: 6 person-days}",
    };
    (void)state;
    load_changed(&loaded, BARE, CHANGE, (int)COUNT_OF(CHANGE));
    const lw_gauges *fresh = gauges(&loaded, "fresh");
    assert_int_equal(fresh->gauge[0].probe_count, 3);
    CHECK_NEAR(fresh->gauge[0].probe_frac[1], 0.5, 1e-12, "second lamp");
    assert_int_equal(fresh->gauge[0].rule, LW_GAUGE_NEAREST);
    CHECK_NEAR(fresh->gauge[0].lie_frac, 0.02, 1e-12, "lie");
    assert_false(fresh->is_usual);
    assert_int_equal(gauges(&loaded, "grey")->gauge[0].probe_count, 3);
    CHECK_NEAR(gauges(&loaded, "black")->gauge[0].step, 0.1, 1e-12, "percent");
    CHECK_NEAR(gauges(&loaded, "cylinder")->tare_kg[0], 17.0 * 0.45359237, 1e-9, "tare");
    assert_int_equal(loaded.battery_gauges.count, 1);
    CHECK_NEAR(gauges(&loaded, "bin")->gauge[0].step, 0.5 * loaded.bag_l, 1e-9, "half a bag");
    CHECK_NEAR(gauges(&loaded, "plan")->gauge[0].step, 0.5, 1e-12, "half a gigabyte");
    CHECK_NEAR(gauges(&loaded, "food")->gauge[0].step, 6.0, 1e-12, "person-days");
    lw_loaded_clear(&loaded);
}

static void what_cannot_be_is_refused_in_words(void **state)
{
    static const struct {
        const char *change, *text;
    } row[] = {
        {"rig.tanks.fresh.gauge=third", "did you mean thirds"},
        {"rig.tanks.fresh.gauge=volts", "fresh cannot be read by volts"},
        {"rig.battery.gauge=thirds", "battery cannot be read by thirds"},
        {"rig.generator.gauge=percent", "generator cannot be read by percent"},
        {"rig.tanks.fresh.gauge=thirds, percent, amount", "at most 2 fit"},
        {"rig.tanks.fresh.gauge={kind: percent, at: 1/2}", "no lamps or marks"},
        {"rig.tanks.fresh.gauge={kind: thirds, step: 5 %}", "heights, not a step"},
        {"rig.tanks.fresh.gauge={kind: lights, at: '3/4, 1/2'}", "heights go up"},
        {"rig.tanks.fresh.gauge={kind: lights, at: '1/2, 1'}", "heights go up"},
        {"rig.tanks.fresh.gauge={kind: lights, at: half}", "half is not a quantity"},
        {"rig.tanks.fresh.gauge={kind: percent, step: 60 %}", "at most 50 %"},
        {"rig.tanks.fresh.gauge={kind: percent, tare: 1 lb}", "only what is weighed"},
        {"rig.tanks.fresh.gauge={kind: amount, step: 2 lb}", "volume"},
        {"rig.tanks.fresh.gauge={kind: amount, bias: 5 %}", "only lamps, marks and percentages of water tanks"},
        {"rig.tanks.fresh.gauge={kind: thirds, bias: 60 %}", "does not fit"},
        {"rig.tanks.fresh=about", "about is not a quantity"},
        {"rig.fuel=unknown", "unknown is not a quantity"},
        {"rig.tanks.fresh.gauge={kind: thirds, lie: 80 %}", "from 0% to 50%"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_loaded loaded;
        lw_err err = {0};
        const lw_scenario_from from = {
            .path = "t.yaml", .bytes = BARE, .size = sizeof BARE - 1, .change = &row[i].change, .change_count = 1};
        if (!lw_scenario_load(&from, &loaded, &err))
            fail_msg("%s is taken", row[i].change);
        if (!strstr(err.text, row[i].text) || !err.where[0])
            fail_msg("%s: refused at '%s' with: %s", row[i].change, err.where, err.text);
    }
}

/* How far off a figure may be: data/unsure.csv. A cassette and what is measured are sure. */
static void what_is_not_known_has_a_doubt(void **state)
{
    static const char *const CHANGE[] = {
        "rig.tanks.fresh=about 40 gal",
        "rig.tanks.grey=unknown",
        "rig.tanks.black={capacity: 30 gal, residue: unknown, level: 5 gal, gauge: {kind: thirds, bias: about 5 %}}",
    };
    lw_loaded told, bare, sure;
    static const char *const SURE[] = {"rig.tanks.grey={capacity: 30 gal, residue: 1 gal}"};
    (void)state;
    load_changed(&told, BARE, CHANGE, 3);
    load(&bare, BARE);
    load_changed(&sure, BARE, SURE, 1);
    const int fresh = vessel_at(&told, "fresh"), grey = vessel_at(&told, "grey"), black = vessel_at(&told, "black");
    CHECK_NEAR(told.scenario->rig.vessel[fresh].capacity, 40 * 3.785411784, 1e-6, "about"); /* NIST SP 811 */
    CHECK_NEAR(told.unsure[fresh].capacity_sd, 0.08, 0.0, "about");
    assert_true(told.unsure[fresh].is_level_share);
    /* Unknown is what is usual of the kind of rig, and so is what nobody says. */
    CHECK_NEAR(told.scenario->rig.vessel[grey].capacity, bare.scenario->rig.vessel[grey].capacity, 0.0, "unknown");
    CHECK_NEAR(told.unsure[grey].capacity_sd, 0.25, 0.0, "unknown");
    CHECK_NEAR(bare.unsure[grey].capacity_sd, 0.25, 0.0, "not said");
    CHECK_NEAR(told.unsure[black].capacity_sd, 0.0, 0.0, "said");
    CHECK_NEAR(told.unsure[black].residue_sd, 0.6, 0.0, "residue");
    assert_false(told.unsure[black].is_level_share);
    CHECK_NEAR(gauges(&told, "black")->bias_frac[0], 0.05, 1e-12, "bias");
    CHECK_NEAR(gauges(&told, "black")->bias_sd[0], 0.03, 0.0, "bias, how sure");
    CHECK_NEAR(gauges(&told, "fresh")->bias_sd[0], 0.0, 0.0, "no bias");
    CHECK_NEAR(sure.unsure[grey].capacity_sd + sure.unsure[grey].residue_sd, 0.0, 0.0, "measured");
    assert_non_null(assumed(&told, "rig.tanks.grey.capacity"));
    lw_loaded_clear(&told);
    lw_loaded_clear(&bare);
    lw_loaded_clear(&sure);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_not_said_is_read_as_usual),
        cmocka_unit_test(a_gauge_is_no_assumption_of_the_outlook),
        cmocka_unit_test(what_is_declared_counts),
        cmocka_unit_test(what_is_not_known_has_a_doubt),
        cmocka_unit_test(what_cannot_be_is_refused_in_words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
