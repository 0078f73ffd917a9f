#include "tests/check.h"

#include "core/models.h"

enum { COLUMNS_MOST = 16 };

static const char *const NAMES[] = {"cabin",      "heat-need", "propane",      "propane-limit", "cylinder",
                                    "burner",     "fridge",    "water-heater", "freeze",        "wind-chill",
                                    "heat-index", "ice",       "food-clock"};

static size_t column(const lw_model *model, const char *name, int is_out)
{
    const lw_column *row = is_out ? model->out : model->in;
    const size_t count = is_out ? model->out_count : model->in_count;
    for (size_t i = 0; i < count; i++) {
        size_t k = 0;
        while (name[k] && name[k] == row[i].name[k])
            k++;
        if (name[k] == row[i].name[k])
            return i;
    }
    fail_msg("%s has no column %s", model->name, name);
    return 0;
}

static void every_model_of_the_room_is_found_and_described(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(NAMES); i++) {
        const lw_model *model = lw_model_named(NAMES[i]);
        if (!model)
            fail_msg("no model %s", NAMES[i]);
        assert_true(model->in_count > 0 && model->in_count <= COLUMNS_MOST);
        assert_true(model->out_count > 0 && model->out_count <= COLUMNS_MOST);
        assert_non_null(model->source);
    }
}

static void an_empty_required_field_is_refused_by_name(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(NAMES); i++) {
        const lw_model *model = lw_model_named(NAMES[i]);
        double in[COLUMNS_MOST], out[COLUMNS_MOST];
        for (size_t k = 0; k < model->in_count; k++)
            in[k] = (double)NAN;
        lw_fault fault = {0};
        assert_int_equal(model->apply(in, out, &fault), LW_E_RANGE);
        const lw_column *named = &model->in[column(model, fault.field, 0)];
        assert_false(named->is_optional);
    }
}

static void models_give_the_worked_examples(void **state)
{
    (void)state;
    lw_fault fault;
    double out[COLUMNS_MOST];
    const lw_model *need = lw_model_named("heat-need");
    /* Worked out by the method of ASHRAE Fundamentals, as in test_furnace.c. */
    const double need_in[] = {78.99, 18.0, -5.0, 184.0, 30000.0 * 0.29307107, 0.78, 95.0, (double)NAN};
    assert_int_equal(need->apply(need_in, out, &fault), LW_OK);
    CHECK_NEAR(out[column(need, "need_w", 1)], 1632.8, 0.5, "need");
    CHECK_NEAR(out[column(need, "duty_frac", 1)], 0.2381, 0.0005, "duty");
    CHECK_NEAR(out[column(need, "gas_kgph", 1)], 0.1504, 0.0005, "gas");
    CHECK_NEAR(out[column(need, "blower_w", 1)], 41.6, 0.1, "blower");
    /* NFPA 54 derate: 80,000 BTU/h at 5,000 ft. */
    const lw_model *burner = lw_model_named("burner");
    assert_int_equal(burner->apply((const double[]){80000.0, 1524.0, 1.0, (double)NAN}, out, &fault), LW_OK);
    CHECK_NEAR(out[0], 70400.0, 1e-6, "above-2000ft");
    /* 334 kJ/kg. */
    const lw_model *ice = lw_model_named("ice");
    assert_int_equal(ice->apply((const double[]){7.76, 1.2, 25.0}, out, &fault), LW_OK);
    CHECK_NEAR(out[column(ice, "days", 1)], 1.0, 0.002, "a day");
    assert_int_equal(ice->apply((const double[]){7.76, 1.2, -1.0}, out, &fault), LW_OK);
    assert_true(isnan(out[column(ice, "days", 1)]));
    /* EN 1646-1 grade 3. */
    const lw_model *cabin = lw_model_named("cabin");
    const double cabin_in[] = {190.0,  2e6,         20.0,        -15.0,       0.0,         20.0,
                               9000.0, (double)NAN, (double)NAN, (double)NAN, (double)NAN, 3600.0};
    assert_int_equal(cabin->apply(cabin_in, out, &fault), LW_OK);
    CHECK_NEAR(out[column(cabin, "heat_w", 1)], 6650.0, 1.0, "furnace");
    const lw_model *bay = lw_model_named("freeze");
    assert_int_equal(
        bay->apply((const double[]){1.0, 5.0, 18.0, -10.0, (double)NAN, (double)NAN, 3.5, (double)NAN, 3600.0}, out,
                   &fault),
        LW_OK);
    CHECK_NEAR(out[column(bay, "is_hose_freezing", 1)], 1.0, 0.0, "hose");
    const lw_model *fridge = lw_model_named("fridge");
    assert_int_equal(fridge->apply((const double[]){1.0, 25.0, 150.0, (double)NAN}, out, &fault), LW_OK);
    CHECK_NEAR(out[column(fridge, "electric_w", 1)], 700.0 / 24.0, 1e-9, "150 L (the middle of practice)");
    const lw_model *heater = lw_model_named("water-heater");
    assert_int_equal(
        heater->apply((const double[]){3000.0, 0.75, 60.0, 22.7, 0.0, 10.0, 55.0, (double)NAN, 3600.0}, out, &fault),
        LW_OK);
    CHECK_NEAR(out[column(heater, "gas_w", 1)], 80.0, 1e-9, "standing loss over efficiency");
    assert_int_equal(fridge->apply((const double[]){7.0, 25.0, 150.0, (double)NAN}, out, &fault), LW_E_RANGE);
}

/* The rows that the models share with the tables of their sources, in the units those print. */
static void published_rows_come_back_through_the_models(void **state)
{
    (void)state;
    static const struct {
        const char *model, *result;
        double in[4], want, tolerance;
    } row[] = {
        /* Lemmon, McLinden and Wagner 2009: R-290 tables print 836.5 kPa at 20 C and 474.5 at 0 C; boils at -42.1 C. */
        {"propane", "vapour_pa", {20.0, 101325.0}, 836.5e3, 1.5e3},
        {"propane", "vapour_pa", {0.0, 101325.0}, 474.5e3, 1e3},
        {"propane", "boiling_c", {20.0, 101325.0}, -42.1, 0.05},
        /* LP-gas trade table for upright cylinders: 20 lb of liquid at 20 F give 51,000 BTU/h. */
        {"propane-limit", "limit_w", {9.0718474, -20.0 / 3.0}, 51000.0 * 0.29307107, 1.0},
        /* 49 CFR 173.304a(d): 42 % of a stamped 47.6 lb. */
        {"cylinder", "fill_kg", {21.591}, 9.0682, 1e-3},
        /* US NWS 2001 chart: 0 F and 15 mph feel as -19 F, to half a degree. */
        {"wind-chill", "wind_chill_c", {-160.0 / 9.0, 6.7056}, -28.33, 0.28},
        /* US NWS SR 90-23: 90 F and 70 % feel as 105.9 F, class danger. */
        {"heat-index", "heat_index_c", {290.0 / 9.0, 0.7}, 41.06, 0.06},
        {"heat-index", "class", {290.0 / 9.0, 0.7}, 3.0, 0.0},
        /* USDA FSIS: two hours in the danger zone, one above 90 F. */
        {"food-clock", "left_h", {20.0, 20.0, 0.0, 0.5}, 1.5, 1e-9},
        {"food-clock", "left_h", {35.0, 35.0, 0.0, 0.5}, 0.5, 1e-9},
    };
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        const lw_model *model = lw_model_named(row[i].model);
        double out[COLUMNS_MOST];
        lw_fault fault;
        assert_int_equal(model->apply(row[i].in, out, &fault), LW_OK);
        CHECK_NEAR(out[column(model, row[i].result, 1)], row[i].want, row[i].tolerance, "%s", row[i].model);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_model_of_the_room_is_found_and_described),
        cmocka_unit_test(an_empty_required_field_is_refused_by_name),
        cmocka_unit_test(models_give_the_worked_examples),
        cmocka_unit_test(published_rows_come_back_through_the_models),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
