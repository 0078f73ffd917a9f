#include "tests/check.h"

#include <string.h>

#include "core/base/units.h"

static const lw_unit *unit(lw_dim dim, const char *spelling)
{
    const lw_unit *found = lw_unit_find(dim, spelling, strlen(spelling));
    if (!found)
        fail_msg("no unit %s of %s", spelling, lw_dim_of(dim)->word);
    return found;
}

static void factors_are_those_of_nist_sp_811(void **state)
{
    /* NIST SP 811 (2008), appendix B.8, in the unit it prints, brought to the storage unit by powers of ten and 3600.
     * Tolerance: half of the last figure printed, relative. */
    static const struct {
        lw_dim dim;
        const char *spelling;
        double want_si, digits;
    } row[] = {
        {LW_DIM_VOLUME, "gal", 3.785412, 5e-7},
        {LW_DIM_VOLUME, "qt", 0.9463529, 5e-7},
        {LW_DIM_VOLUME, "pt", 0.4731765, 5e-7},
        {LW_DIM_VOLUME, "cup", 0.2365882, 5e-7},
        {LW_DIM_VOLUME, "floz", 0.02957353, 5e-7},
        {LW_DIM_VOLUME, "ft3", 28.31685, 5e-7},
        {LW_DIM_MASS, "lb", 0.45359237, 1e-15},
        {LW_DIM_MASS, "oz", 0.02834952, 5e-7},
        {LW_DIM_MASS, "ton", 907.1847, 5e-7},
        {LW_DIM_POWER, "BTU/h", 0.2930711, 5e-7},
        {LW_DIM_POWER, "hp", 745.6999, 5e-7},
        {LW_DIM_ENERGY, "BTU", 1055.056 / 3600.0, 5e-7},
        {LW_DIM_ENERGY, "MJ", 1.0e6 / 3600.0, 1e-15},
        {LW_DIM_LENGTH, "ft", 0.3048, 1e-15},
        {LW_DIM_LENGTH, "in", 0.0254, 1e-15},
        {LW_DIM_LENGTH, "mi", 1609.344, 1e-15},
        {LW_DIM_LENGTH, "yd", 0.9144, 1e-15},
        {LW_DIM_AREA, "ft2", 0.09290304, 1e-15},
        {LW_DIM_SPEED, "mph", 0.44704, 1e-15},
        {LW_DIM_SPEED, "kt", 0.5144444, 5e-7},
        {LW_DIM_SPEED, "km/h", 0.2777778, 5e-7},
        {LW_DIM_PRESSURE, "psi", 6894.757, 5e-7},
        {LW_DIM_PRESSURE, "inHg", 3386.389, 1e-15},
        {LW_DIM_PRESSURE, "mbar", 100.0, 1e-15},
        {LW_DIM_PRESSURE, "inH2O", 249.0889, 1e-15},
        {LW_DIM_FLOW, "gpm", 0.06309020, 5e-7},
        {LW_DIM_TEMPERATURE_STEP, "F", 0.5555556, 5e-7},
        {LW_DIM_CONDUCTANCE, "BTU/h/F", 0.5275279, 5e-7},
        {LW_DIM_HEAT_CAPACITY, "BTU/F", 1.899101, 5e-7},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++)
        CHECK_NEAR(lw_unit_to_si(unit(row[i].dim, row[i].spelling), 1.0), row[i].want_si,
                   row[i].want_si * row[i].digits, "1 %s", row[i].spelling);
}

static void temperatures_meet_at_their_fixed_points(void **state)
{
    /* NIST SP 811, B.8: t/C = (t/F - 32)/1.8, T/K = t/C + 273.15. */
    static const struct {
        const char *spelling;
        double value, want_c;
    } row[] = {{"F", 32.0, 0.0},   {"F", 212.0, 100.0},     {"F", -40.0, -40.0}, {"F", 68.0, 20.0},
               {"K", 273.15, 0.0}, {"F", -459.67, -273.15}, {"C", -5.5, -5.5}};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++)
        CHECK_NEAR(lw_unit_to_si(unit(LW_DIM_TEMPERATURE, row[i].spelling), row[i].value), row[i].want_c, 1e-12,
                   "%g %s", row[i].value, row[i].spelling);
}

static void fuel_use_is_the_reciprocal_of_economy(void **state)
{
    /* By definition 8 mpg (US) = 235.215/8 = 29.40 L/100 km. */
    (void)state;
    CHECK_NEAR(lw_unit_to_si(unit(LW_DIM_FUEL_USE, "mpg"), 8.0), 29.40, 0.01, "8 mpg");
    CHECK_NEAR(lw_unit_from_si(unit(LW_DIM_FUEL_USE, "mpg"), 29.4018), 8.0, 1e-4, "29.4018 L/100 km");
    CHECK_NEAR(lw_unit_to_si(unit(LW_DIM_FUEL_USE, "km/L"), 20.0), 5.0, 1e-12, "20 km/L");
}

static void propane_against_gasoline_by_heat_of_a_gallon(void **state)
{
    /* US DOE Alternative Fuels Data Center: 116,090 and 84,250 BTU (lower) a gallon, 1.38 gallons for one. */
    const lw_unit *btu = unit(LW_DIM_ENERGY, "BTU"), *gal = unit(LW_DIM_VOLUME, "gal");
    (void)state;
    const double gasoline_whpl = lw_unit_to_si(btu, 116090.0) / lw_unit_to_si(gal, 1.0);
    const double propane_whpl = lw_unit_to_si(btu, 84250.0) / lw_unit_to_si(gal, 1.0);
    CHECK_NEAR(gasoline_whpl / propane_whpl, 1.378, 0.002, "ratio");
    CHECK_NEAR(propane_whpl, 6522.7, 0.1, "propane Wh/L"); /* 84,250 x 0.2930711 / 3.785412 */
}

static void a_run_by_car_costs_the_mileage_rate(void **state)
{
    /* IRS notice of 29 Dec 2025: 72.5 cents a mile on business in 2026; 120 miles cost 87.00 USD. */
    (void)state;
    const double usd_m = lw_unit_to_si(unit(LW_DIM_PRICE_PER_LENGTH, "USD/mi"), 0.725);
    CHECK_NEAR(usd_m * lw_unit_to_si(unit(LW_DIM_LENGTH, "mi"), 120.0), 87.00, 0.01, "120 miles");
}

static void every_unit_goes_there_and_back(void **state)
{
    static const double values[] = {-40.0, -1.0, 1.0e-6, 0.1, 1.0, 40.0, 98.6, 12345.678, 1.0e12};
    (void)state;
    for (size_t u = 0; u < lw_units_count; u++)
        for (size_t v = 0; v < COUNT_OF(values); v++) {
            const double back = lw_unit_from_si(&lw_units[u], lw_unit_to_si(&lw_units[u], values[v]));
            /* An offset of 460 costs its digits to a small value. */
            CHECK_NEAR(back, values[v], 4e-16 * fabs(values[v]) + (fabs(lw_units[u].offset) > 0.0 ? 2e-13 : 0.0),
                       "%.9g %s", values[v], lw_units[u].symbol);
        }
}

static void no_spelling_means_two_units_of_one_dimension(void **state)
{
    (void)state;
    for (size_t u = 0; u < lw_units_count; u++) {
        const lw_unit *found = lw_unit_find(lw_units[u].dim, lw_units[u].symbol, strlen(lw_units[u].symbol));
        if (found != &lw_units[u])
            fail_msg("%s is read as %s", lw_units[u].symbol, found ? found->symbol : "nothing");
        const char *alias = lw_units[u].aliases;
        while (*alias) {
            const size_t n = strcspn(alias, "|");
            found = lw_unit_find(lw_units[u].dim, alias, n);
            if (found != &lw_units[u])
                fail_msg("%.*s of %s is read as %s", (int)n, alias, lw_units[u].symbol, found ? found->symbol : "none");
            alias += n + (alias[n] == '|');
        }
    }
}

static void every_dimension_stores_in_its_own_symbol(void **state)
{
    (void)state;
    for (int dim = 0; dim < LW_DIM_COUNT; dim++) {
        const char *symbol = lw_dim_of((lw_dim)dim)->symbol;
        if (symbol[0] == '\0')
            continue;
        const lw_unit *stored = unit((lw_dim)dim, symbol);
        CHECK_NEAR(lw_unit_to_si(stored, 1.0), 1.0, 0.0, "1 %s", symbol);
    }
}

static void spellings_of_keyboards_are_understood(void **state)
{
    static const struct {
        lw_dim dim;
        const char *spelling, *want;
    } row[] = {
        {LW_DIM_TEMPERATURE,
         "\xC2\xB0"
         "F",
         "F"},
        {LW_DIM_TEMPERATURE, "c", "C"},
        {LW_DIM_AREA, "m\xC2\xB2", "m2"},
        {LW_DIM_VOLUME, "ft\xC2\xB3", "ft3"},
        {LW_DIM_ENERGY, "KWH", "kWh"},
        {LW_DIM_VOLUME, "GAL", "gal"},
        {LW_DIM_ANGLE, "\xC2\xB0", "deg"},
        {LW_DIM_VOLUME, "fl  oz", "floz"},
        {LW_DIM_POWER, "btu/H", "BTU/h"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++)
        assert_string_equal(unit(row[i].dim, row[i].spelling)->symbol, row[i].want);
    assert_null(lw_unit_find(LW_DIM_DATA, "Mb", 2)); /* a megabit is no megabyte */
    assert_null(lw_unit_find(LW_DIM_VOLUME, "lb", 2));
    assert_null(lw_unit_find(LW_DIM_VOLUME, "", 0));
    assert_null(lw_unit_find(LW_DIM_VOLUME, "\xC2", 1));
    assert_int_equal(lw_unit_find_any("lb", 2)->dim, LW_DIM_MASS);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(factors_are_those_of_nist_sp_811),
        cmocka_unit_test(temperatures_meet_at_their_fixed_points),
        cmocka_unit_test(fuel_use_is_the_reciprocal_of_economy),
        cmocka_unit_test(propane_against_gasoline_by_heat_of_a_gallon),
        cmocka_unit_test(a_run_by_car_costs_the_mileage_rate),
        cmocka_unit_test(every_unit_goes_there_and_back),
        cmocka_unit_test(no_spelling_means_two_units_of_one_dimension),
        cmocka_unit_test(every_dimension_stores_in_its_own_symbol),
        cmocka_unit_test(spellings_of_keyboards_are_understood),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
