#include "tests/check.h"

#include <string.h>

#include "text/decimal.h"
#include "text/quantity.h"

static void quantities_are_read_into_storage_units(void **state)
{
    static const struct {
        const char *text;
        lw_dim dim;
        double want_si;
    } row[] = {
        {"40 gal", LW_DIM_VOLUME, 151.41647136},
        {"151L", LW_DIM_VOLUME, 151.0},
        {"-3 gal", LW_DIM_VOLUME, -11.356235352},
        {"  40   gal  ", LW_DIM_VOLUME, 151.41647136},
        {"1 1/2 gal", LW_DIM_VOLUME, 5.678117676},
        {"1/2 gal", LW_DIM_VOLUME, 1.892705892},
        {"2/3", LW_DIM_FRACTION, 2.0 / 3.0},
        {"67 %", LW_DIM_FRACTION, 0.67},
        {"67%", LW_DIM_FRACTION, 0.67},
        {"2 thirds", LW_DIM_FRACTION, 2.0 / 3.0},
        {"0.5", LW_DIM_FRACTION, 0.5},
        {"1", LW_DIM_FRACTION, 1.0},
        {"68 F", LW_DIM_TEMPERATURE, 20.0},
        {"-40\xC2\xB0"
         "F",
         LW_DIM_TEMPERATURE, -40.0},
        {"293.15 K", LW_DIM_TEMPERATURE, 20.0},
        {"9 F", LW_DIM_TEMPERATURE_STEP, 5.0},
        {"5 h 30 min", LW_DIM_TIME, 19800.0},
        {"5h30min", LW_DIM_TIME, 19800.0},
        {"1 d 2 h", LW_DIM_TIME, 93600.0},
        {"2 weeks", LW_DIM_TIME, 1209600.0},
        {"12 lb 4 oz", LW_DIM_MASS, 5.5565065325},
        {"6 ft 2 in", LW_DIM_LENGTH, 1.8796},
        {"6' 2\"", LW_DIM_LENGTH, 1.8796},
        {"8 mpg", LW_DIM_FUEL_USE, 29.401823},
        {"12 L/100 km", LW_DIM_FUEL_USE, 12.0},
        {"$40", LW_DIM_MONEY, 40.0},
        {"12.50 USD", LW_DIM_MONEY, 12.5},
        {"$3.785411784/gal", LW_DIM_PRICE_PER_VOLUME, 1.0},
        {"2 people", LW_DIM_PEOPLE, 2.0},
        {"2", LW_DIM_PEOPLE, 2.0},
        {"3 gal/day", LW_DIM_VOLUME_PER_DAY, 11.356235352},
        {"2/d", LW_DIM_COUNT_PER_DAY, 2.0},
        {"1500 W", LW_DIM_POWER, 1500.0},
        {"1.5e3 W", LW_DIM_POWER, 1500.0},
        {"30 kBTU/h", LW_DIM_POWER, 8792.1321},
        {"20 mohm", LW_DIM_RESISTANCE, 0.02},
        {"50 BTU/h/F", LW_DIM_CONDUCTANCE, 26.376396},
        {"11 in WC", LW_DIM_PRESSURE, 2739.9779},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_err err = {0};
        double value = NAN;
        if (lw_quantity_parse(row[i].text, row[i].dim, &value, &err))
            fail_msg("%s refused: %s", row[i].text, err.text);
        CHECK_NEAR(value, row[i].want_si, 1e-7 * fabs(row[i].want_si), "%s", row[i].text);
    }
}

static void refusals_say_what_fits(void **state)
{
    static const struct {
        const char *text;
        lw_dim dim;
        lw_code code;
        const char *says;
    } row[] = {
        {"40", LW_DIM_VOLUME, LW_E_UNIT, "40 has no unit; write 40 gal or 151 L (volume is given in gal, L, qt"},
        {"67", LW_DIM_FRACTION, LW_E_UNIT, "67 has no unit; write 67 % or a part such as 2/3"},
        {"40 lb", LW_DIM_VOLUME, LW_E_UNIT, "40 lb is mass; volume is needed here"},
        {"40 gallos", LW_DIM_VOLUME, LW_E_UNIT, "gallos is not a unit of volume"},
        {"1,500 W", LW_DIM_POWER, LW_E_SYNTAX, "comma"},
        {"1,5 gal", LW_DIM_VOLUME, LW_E_SYNTAX, "comma"},
        {"", LW_DIM_VOLUME, LW_E_SYNTAX, "nothing is not a quantity"},
        {"gal", LW_DIM_VOLUME, LW_E_SYNTAX, "not a quantity"},
        {"nan gal", LW_DIM_VOLUME, LW_E_SYNTAX, "not a quantity"},
        {"inf gal", LW_DIM_VOLUME, LW_E_SYNTAX, "not a quantity"},
        {"1e999 gal", LW_DIM_VOLUME, LW_E_RANGE, "too large"},
        {"1e308 gal", LW_DIM_VOLUME, LW_E_RANGE, "no finite"},
        {"0 mpg", LW_DIM_FUEL_USE, LW_E_RANGE, "no finite fuel use"},
        {"1/0 gal", LW_DIM_VOLUME, LW_E_RANGE, "divides by nothing"},
        {"-500 F", LW_DIM_TEMPERATURE, LW_E_RANGE, "absolute zero"},
        {"30 min 5 h", LW_DIM_TIME, LW_E_SYNTAX, "smaller than the one before"},
        {"5 h 30", LW_DIM_TIME, LW_E_UNIT, "ends in a number without a unit"},
        {"20 A 5 A", LW_DIM_CURRENT, LW_E_SYNTAX, "left over"},
        {"4 gal -1 qt", LW_DIM_VOLUME, LW_E_SYNTAX, "left over"},
        {"20 A", LW_DIM_CHARGE, LW_E_UNIT, "20 A is current; charge is needed"},
        {"$40", LW_DIM_VOLUME, LW_E_UNIT, "$40 is money"},
        {"500 Mb", LW_DIM_DATA, LW_E_UNIT, "not a unit of data"},
        {"2 kg", LW_DIM_NUMBER, LW_E_UNIT, "give the number alone"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_err err = {0};
        double value = 12.0;
        const lw_code code = lw_quantity_parse(row[i].text, row[i].dim, &value, &err);
        if (code != row[i].code || err.code != code || !strstr(err.text, row[i].says))
            fail_msg("'%s': code %d, '%s'; want %d, '%s'", row[i].text, (int)code, err.text, (int)row[i].code,
                     row[i].says);
        CHECK_NEAR(value, 12.0, 0.0, "%s: result touched", row[i].text);
    }
}

static void printing_uses_the_units_of_the_household(void **state)
{
    static const struct {
        double value_si;
        lw_dim dim;
        lw_unit_system system;
        const char *want;
    } row[] = {
        {151.41647136, LW_DIM_VOLUME, LW_UNITS_US, "40 gal"}, {151.41647136, LW_DIM_VOLUME, LW_UNITS_SI, "151 L"},
        {0.0, LW_DIM_VOLUME, LW_UNITS_US, "0 gal"},           {0.25, LW_DIM_VOLUME, LW_UNITS_SI, "250 mL"},
        {20.0, LW_DIM_TEMPERATURE, LW_UNITS_US, "68 F"},      {-5.0, LW_DIM_TEMPERATURE, LW_UNITS_SI, "-5 C"},
        {0.667, LW_DIM_FRACTION, LW_UNITS_US, "66.7%"},       {29.4018, LW_DIM_FUEL_USE, LW_UNITS_US, "8 mpg"},
        {1500.0, LW_DIM_POWER, LW_UNITS_US, "1500 W"},        {12.5, LW_DIM_MONEY, LW_UNITS_US, "12.50 USD"},
        {40.0, LW_DIM_MONEY, LW_UNITS_US, "40 USD"},          {19800.0, LW_DIM_TIME, LW_UNITS_US, "5.5 h"},
        {3.0, LW_DIM_PEOPLE, LW_UNITS_US, "3 people"},        {7.0, LW_DIM_NUMBER, LW_UNITS_US, "7"},
        {2500.0, LW_DIM_DATA, LW_UNITS_US, "2.5 GB"},         {123456.0, LW_DIM_LENGTH, LW_UNITS_SI, "123 km"},
    };
    char text[LW_QUANTITY_BYTES];
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++)
        assert_string_equal(lw_quantity_print(text, sizeof text, row[i].value_si, row[i].dim, row[i].system),
                            row[i].want);
}

static void what_is_printed_is_read_back_in_every_unit(void **state)
{
    static const double sizes[] = {-12.5, 0.0, 0.004, 0.7, 1.0, 3.0, 42.0, 666.0, 54321.0};
    char text[LW_QUANTITY_BYTES];
    (void)state;
    for (size_t u = 0; u < lw_units_count; u++)
        for (size_t s = 0; s < COUNT_OF(sizes); s++) {
            const double si = lw_unit_to_si(&lw_units[u], sizes[s]);
            if (!isfinite(si) || lw_units[u].dim == LW_DIM_MONEY) /* money is cut to cents */
                continue;
            if (lw_units[u].dim == LW_DIM_TEMPERATURE && si < -273.15)
                continue;
            double back = NAN;
            lw_err err = {0};
            lw_quantity_print_in(text, sizeof text, si, &lw_units[u], 15);
            if (lw_quantity_parse(text, lw_units[u].dim, &back, &err))
                fail_msg("printed %s is refused: %s", text, err.text);
            CHECK_NEAR(back, si, 1e-13 * (fabs(si) + fabs(lw_units[u].offset)) + 1e-15, "%s", text);
        }
}

static void systems_print_what_both_read_as_the_same_amount(void **state)
{
    char us[LW_QUANTITY_BYTES], si[LW_QUANTITY_BYTES];
    (void)state;
    for (int dim = 0; dim < LW_DIM_COUNT; dim++)
        for (double value = 0.02; value < 1e7; value *= 3.7) {
            double a = NAN, b = NAN;
            lw_err err = {0};
            if (dim == LW_DIM_FRACTION && value > 1.0)
                continue;
            lw_quantity_print(us, sizeof us, value, (lw_dim)dim, LW_UNITS_US);
            lw_quantity_print(si, sizeof si, value, (lw_dim)dim, LW_UNITS_SI);
            if (lw_quantity_parse(us, (lw_dim)dim, &a, &err) || lw_quantity_parse(si, (lw_dim)dim, &b, &err))
                fail_msg("%s / %s: %s", us, si, err.text);
            /* Three digits: half a unit of the third, on a Fahrenheit scale that starts at -18 C; cents for money. */
            const double slack = dim == LW_DIM_TEMPERATURE ? 0.1 : dim == LW_DIM_MONEY ? 0.005 : 0.0;
            CHECK_NEAR(a, value, 0.0051 * value + slack, "%s", us);
            CHECK_NEAR(b, value, 0.0051 * value + slack, "%s", si);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(quantities_are_read_into_storage_units),
        cmocka_unit_test(refusals_say_what_fits),
        cmocka_unit_test(printing_uses_the_units_of_the_household),
        cmocka_unit_test(what_is_printed_is_read_back_in_every_unit),
        cmocka_unit_test(systems_print_what_both_read_as_the_same_amount),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
