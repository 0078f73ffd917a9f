#include "core/house/disinfect.h"
#include "tests/check.h"

static const double GAL_L = 3.785411784, DROP_ML = 0.05, TEASPOON_ML = 4.929;

static void epa_drops_and_spoons_give_the_milligrams_they_give(void **state)
{
    (void)state;
    /* EPA 816-F-15-003: 6 % bleach, 8 drops in 1 gal; 1/4 tsp in 2 gal. Arithmetic on the sheet. */
    CHECK_NEAR(lw_dose_mgpl(8 * DROP_ML, 6.0, GAL_L), 6.34, 0.01, "8 drops a gallon");
    CHECK_NEAR(lw_dose_mgpl(0.25 * TEASPOON_ML, 6.0, 2.0 * GAL_L), 9.77, 0.01, "1/4 tsp in 2 gal");
    /* Same sheet, 8.25 %: 6 drops a gallon. */
    CHECK_NEAR(lw_dose_mgpl(6 * DROP_ML, 8.25, GAL_L), 6.54, 0.01, "6 drops of 8.25 %%");
}

static void the_old_rule_spans_what_was_published(void **state)
{
    (void)state;
    /* Lantagne and others, Environ. Sci. Technol. 48 (2014), abstract: 5.55-8.67 mg/L; 5.25 %, 8 drops or 1/8 tsp of 0.625 mL. */
    CHECK_NEAR(lw_dose_mgpl(8 * DROP_ML, 5.25, 3.785), 5.55, 0.01, "drops");
    CHECK_NEAR(lw_dose_mgpl(0.625, 5.25, 3.785), 8.67, 0.01, "spoon");
}

static void a_tank_dose_is_the_quarter_cup_of_the_trade(void **state)
{
    (void)state;
    /* Trade instruction "1/4 cup per 15 gal, 50 ppm" of 5.25 %: gives 54.7 mg/L; 40 gal to 50 mg/L: 144.2 mL. */
    CHECK_NEAR(lw_dose_mgpl(59.15, 5.25, 56.78), 54.7, 0.1, "1/4 cup in 15 gal");
    static const struct {
        double bleach_pct, want_ml;
    } row[] = {{5.25, 144.2}, {6.0, 126.2}, {8.25, 91.8}};
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_dose_out out;
        lw_dose(&(lw_dose_in){40.0 * GAL_L, LW_TANK_MGPL, row[i].bleach_pct}, &out);
        CHECK_NEAR(out.ml, row[i].want_ml, 0.1, "%g %%", row[i].bleach_pct);
        CHECK_NEAR(lw_dose_mgpl(out.ml, row[i].bleach_pct, 40.0 * GAL_L), LW_TANK_MGPL, 1e-9, "and back");
    }
}

static void drinking_doses_round_to_the_printed_drops(void **state)
{
    (void)state;
    /* EPA 816-F-15-003 and CDC: a gallon takes 8 drops of 6 % and 6 of 8.25 %; twice that when cloudy. */
    static const struct {
        double bleach_pct, drops;
    } row[] = {{6.0, 8.0}, {8.25, 6.0}};
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_dose_out clear, cloudy;
        lw_dose(&(lw_dose_in){GAL_L, lw_drink_mgpl(0), row[i].bleach_pct}, &clear);
        lw_dose(&(lw_dose_in){GAL_L, lw_drink_mgpl(1), row[i].bleach_pct}, &cloudy);
        CHECK_NEAR(round(clear.drops), row[i].drops, 0.0, "%g %%, clear", row[i].bleach_pct);
        CHECK_NEAR(cloudy.ml, 2.0 * clear.ml, 1e-12, "cloudy");
        CHECK_NEAR(clear.teaspoons * TEASPOON_ML, clear.ml, 1e-12, "teaspoons");
    }
}

static void water_boils_longer_above_the_lower_of_the_two_printed_heights(void **state)
{
    (void)state;
    /* EPA 5,000 ft (1,524 m), CDC 6,500 ft (1,981 m): 3 min above the lower. */
    CHECK_NEAR(lw_boil_min(0.0), 1.0, 0.0, "sea level");
    CHECK_NEAR(lw_boil_min(1524.0), 1.0, 0.0, "at 5,000 ft");
    CHECK_NEAR(lw_boil_min(1525.0), 3.0, 0.0, "above 5,000 ft");
    CHECK_NEAR(lw_boil_min(NAN), 3.0, 0.0, "height not known");
}

static void nonsense_is_refused(void **state)
{
    (void)state;
    lw_fault fault;
    assert_int_equal(lw_dose_check(&(lw_dose_in){151.0, 50.0, 6.0}, &fault), LW_OK);
    assert_int_equal(lw_dose_check(&(lw_dose_in){0.0, 50.0, 6.0}, &fault), LW_E_RANGE);
    assert_int_equal(lw_dose_check(&(lw_dose_in){151.0, NAN, 6.0}, &fault), LW_E_RANGE);
    assert_int_equal(lw_dose_check(&(lw_dose_in){151.0, 50.0, 0.06}, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "bleach_pct");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(epa_drops_and_spoons_give_the_milligrams_they_give),
        cmocka_unit_test(the_old_rule_spans_what_was_published),
        cmocka_unit_test(a_tank_dose_is_the_quarter_cup_of_the_trade),
        cmocka_unit_test(drinking_doses_round_to_the_printed_drops),
        cmocka_unit_test(water_boils_longer_above_the_lower_of_the_two_printed_heights),
        cmocka_unit_test(nonsense_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
