#include "core/base/civil.h"
#include "core/models.h"
#include "tests/check.h"

static lw_code run(const char *name, const double *in, double *out)
{
    lw_fault fault = {0};
    const lw_model *model = lw_model_named(name);
    if (!model)
        fail_msg("no model %s", name);
    return model->apply(in, out, &fault);
}

static void a_home_shower_is_the_product_of_its_means(void **state)
{
    (void)state;
    /* Water Research Foundation, Residential End Uses of Water v2 (2016): 7.8 min at 2.1 gpm, printed mean 15.8 gal; the
     * product of means is not the mean of products: 5 %. */
    double out[5];
    const double in[] = {7.8, 2.1 * 3.785412, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, NAN};
    assert_int_equal(run("water-use", in, out), LW_OK);
    CHECK_NEAR(out[0] / 3.785412, 15.8, 0.05 * 15.8, "gal a shower");
}

static void water_drawn_is_water_that_went_somewhere(void **state)
{
    (void)state;
    double out[5];
    const double in[] = {1.5, 5.3, 1.0, 1.2, 3.0, 4.5, 0.8, 5.0, 4.0, 0.08};
    assert_int_equal(run("water-use", in, out), LW_OK);
    CHECK_NEAR(out[2] + out[3] + out[4], out[1], 1e-12, "litres a day");
    CHECK_NEAR(out[1], 1.5 * 5.3 + 3.6 + 4.5 + 4.0 + 4.0, 1e-12, "sum of the parts");
}

static void models_by_name_give_what_their_functions_give(void **state)
{
    (void)state;
    double out[5];
    /* 30 gal, six adults, six flushes of 0.1 gal: 4.96 days; Rose and others 2015 (urine recalled). */
    assert_int_equal(run("black-tank", (double[]){6, 0, 1, 0.3785412, 6, NAN, 113.56}, out), LW_OK);
    CHECK_NEAR(out[1], 4.96, 0.05, "black-tank");
    /* 13 gal at 138 lb/yd3: 4.03 kg; EPA 2016. */
    assert_int_equal(run("rubbish", (double[]){49.21, 30.0}, out), LW_OK);
    CHECK_NEAR(out[0], 4.03, 0.005, "rubbish, kg");
    CHECK_NEAR(out[3], 2.5, 1e-9, "rubbish, days at 30 C");
    assert_int_equal(run("dose", (double[]){151.41648, 50.0, 5.25}, out), LW_OK);
    CHECK_NEAR(out[0], 144.2, 0.1, "dose");
    assert_int_equal(run("data-use", (double[]){2.6, 1.8, 1.0}, out), LW_OK);
    CHECK_NEAR(out[0], 1.98, 0.01, "data-use");
    assert_int_equal(run("distance", (double[]){0.0, 0.0, 0.0, 1.0}, out), LW_OK);
    CHECK_NEAR(out[0], 111195.08, 0.01, "distance");
}

static void a_stay_may_be_asked_by_name(void **state)
{
    (void)state;
    /* 62 FR 66880: 14 in any 28; used 1-14 June: 28 June no, 29 June yes. */
    const double june = (double)lw_day_of((lw_date){2026, 6, 1});
    double in[] = {14, 28, 0, june, june + 13, NAN, NAN, june + 27}, out[3];
    assert_int_equal(run("stay-rule", in, out), LW_OK);
    CHECK_NEAR(out[0], 0.0, 0.0, "28 June");
    CHECK_NEAR(out[1], 14.0, 0.0, "used");
    assert_true(isnan(out[2]));
    in[7] = june + 28;
    assert_int_equal(run("stay-rule", in, out), LW_OK);
    CHECK_NEAR(out[0], 1.0, 0.0, "29 June");
    CHECK_NEAR(out[2], june + 41, 0.0, "last day: each day in drops a day used");
    in[4] = NAN;
    assert_int_equal(run("stay-rule", in, out), LW_E_RANGE);
    in[4] = june - 1;
    assert_int_equal(run("stay-rule", in, out), LW_E_CONFLICT);
}

static void nan_in_a_column_that_is_not_optional_is_refused(void **state)
{
    static const char *const NAMES[] = {"black-tank", "water-use", "rubbish", "dose",
                                        "data-use",   "stay-rule", "distance"};
    (void)state;
    for (size_t m = 0; m < COUNT_OF(NAMES); m++) {
        const lw_model *model = lw_model_named(NAMES[m]);
        for (size_t bad = 0; bad < model->in_count; bad++) {
            double in[16], out[16];
            for (size_t i = 0; i < model->in_count; i++)
                in[i] = model->in[i].is_optional ? (double)NAN : 1.0;
            if (model->in[bad].is_optional)
                continue;
            in[bad] = NAN;
            if (run(NAMES[m], in, out) == LW_OK)
                fail_msg("%s takes NaN as %s", NAMES[m], model->in[bad].name);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_home_shower_is_the_product_of_its_means),
        cmocka_unit_test(water_drawn_is_water_that_went_somewhere),
        cmocka_unit_test(models_by_name_give_what_their_functions_give),
        cmocka_unit_test(a_stay_may_be_asked_by_name),
        cmocka_unit_test(nan_in_a_column_that_is_not_optional_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
