#include "tests/check.h"

#include "core/models.h"

/* One good row a model, with one published or derived result. */
static const struct {
    const char *name;
    double in[12];
    size_t out;
    double want, tolerance;
} ROW[] = {
    {"battery", {2, 100, NAN, NAN, 0.5, -100, NAN, 1}, 2, -100.0, 0.0}, /* the power asked for */
    {"battery", {2, 100, NAN, NAN, 0.5, 100, -5, 1}, 1, 0.0, 0.0},      /* no charge below 0 C */
    {"kibam", {30, 70, 100, 0.3, 0.5, 10, 1}, 0, 21.4914, 1e-4},        /* Manwell and McGowan 1993 */
    {"kibam", {30, 70, 100, 0.3, 0.5, 10, 1}, 4, 35.2586, 1e-4},        /* Manwell and McGowan 1993 */
    {"peukert", {100, 20, 1.2, 10}, 0, 8.7055, 5e-4},                   /* Peukert's law */
    {"rest-voltage", {0, NAN, 12.24}, 1, 0.5, 1e-9},                    /* BCI */
    {"battery-size",
     {120, 25, 3, 0.8, 0.25, 0.8, 4.4, 1.1, 3.5, 1.3, NAN},
     1,
     686.4,
     0.5}, /* IEEE 1013; 4.4 for 40 degF */
    {"battery-size", {120, 25, 3, 0.8, 0.25, 0.8, 4.4, 1.1, 3.5, 1.3, NAN}, 3, 49.52, 0.01}, /* IEEE 1562 */
    {"wire", {2, 4.572, 20, NAN}, 0, 0.744, 1e-3},                           /* NEC chapter 9, table 8 */
    {"inverter", {2000, 0, 20, NAN, NAN}, 0, 20.0, 0.0},                     /* common practice */
    {"charger", {55, 14.2, NAN, NAN, NAN, NAN}, 1, 919.0, 0.5},              /* arithmetic */
    {"controller", {1, 100, 25, 13, 18, NAN, 1, 0, 0}, 0, 72.222, 1e-3},     /* circuit physics */
    {"generator", {1, 8000, 5000, 0, 25, 0.6516, 0.246, 0}, 2, 1.882, 1e-3}, /* Skarstein and Uhlen 1989 */
    {"generator", {0, 4000, 9000, 1500, 25, NAN, NAN, 1}, 1, 3328.8, 2.0},   /* SAE J1349 */
    {"noise", {75, 7, NAN}, 0, 68.2, 0.1},                                   /* free field */
};

static void models_by_name_give_the_published_values(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(ROW); i++) {
        const lw_model *model = lw_model_named(ROW[i].name);
        double out[16];
        lw_fault fault;
        assert_non_null(model);
        assert_true(model->in_count <= COUNT_OF(ROW[i].in) && model->out_count <= COUNT_OF(out));
        assert_int_equal(model->apply(ROW[i].in, out, &fault), LW_OK);
        CHECK_NEAR(out[ROW[i].out], ROW[i].want, ROW[i].tolerance, "%s, %s", ROW[i].name, model->out[ROW[i].out].name);
    }
}

static void models_refuse_each_column_that_is_not_a_number(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(ROW); i++) {
        const lw_model *model = lw_model_named(ROW[i].name);
        for (size_t column = 0; column < model->in_count; column++) {
            double in[12], out[16];
            lw_fault fault;
            for (size_t k = 0; k < COUNT_OF(in); k++)
                in[k] = ROW[i].in[k];
            if (model->in[column].is_optional)
                continue;
            in[column] = NAN;
            if (model->apply(in, out, &fault) != LW_E_RANGE)
                fail_msg("%s took %s that is not a number", ROW[i].name, model->in[column].name);
            assert_true(isnan(fault.value));
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(models_by_name_give_the_published_values),
        cmocka_unit_test(models_refuse_each_column_that_is_not_a_number),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
