/* Every model of the room, by name, against its reference table, column by column: the same check that anybody can make
 * with `leeway model NAME FILE.csv`. The sources are in the first lines of each table. */
#include "core/models.h"
#include "tests/table.h"

typedef struct tolerance {
    const char *column;
    double tolerance; /* the last printed digit stands between the two, and little else */
    int is_relative;
} tolerance;

typedef struct reference {
    const char *model, *path;
    tolerance of[9];
} reference;

static const reference REFERENCES[] = {
    {"sun",
     "tests/reference/sun.csv",
     {{"zenith_deg", 2e-6, 0},
      {"apparent_zenith_deg", 2e-6, 0},
      {"azimuth_deg", 2e-6, 0}, /* times the sine of the zenith angle */
      {"equation_of_time_min", 1e-5, 0},
      {"declination_deg", 2e-6, 0},
      {"earth_sun_au", 1e-8, 0}}},
    {"sun-events",
     "tests/reference/sun_events.csv",
     {{"sun_up", 0.0, 0}, {"transit_utc", 0.2, 0}, {"sunrise_utc", 0.2, 0}, {"sunset_utc", 0.2, 0}}},
    {"clear-sky",
     "tests/reference/clear_sky.csv",
     {{"extra_dni_w_m2", 1e-3, 0},
      {"extra_dni_spa_w_m2", 1e-3, 0},
      {"airmass_relative", 2e-6, 1},
      {"airmass_absolute", 2e-6, 1},
      {"ghi_w_m2", 1e-3, 0},
      {"dni_w_m2", 1e-3, 0},
      {"dhi_w_m2", 1e-3, 0},
      {"haurwitz_ghi_w_m2", 1e-3, 0}}},
    {"split", "tests/reference/split.csv", {{"kt", 1e-6, 0}, {"dni_w_m2", 1e-3, 0}, {"dhi_w_m2", 1e-3, 0}}},
    {"plane",
     "tests/reference/plane.csv",
     {{"aoi_deg", 1e-5, 0},
      {"beam_w_m2", 1e-3, 0},
      {"sky_isotropic_w_m2", 1e-3, 0},
      {"sky_hay_davies_w_m2", 1e-3, 0},
      {"sky_perez_w_m2", 1e-3, 0},
      {"ground_w_m2", 1e-3, 0}}},
    {"glass", "tests/reference/glass.csv", {{"iam_ashrae", 1e-7, 0}, {"iam_physical", 1e-7, 0}}},
    {"cell",
     "tests/reference/cell.csv",
     {{"t_sapm_insulated_c", 1e-4, 0},
      {"t_sapm_close_c", 1e-4, 0},
      {"t_sapm_open_c", 1e-4, 0},
      {"t_faiman_c", 1e-4, 0},
      {"t_ross_c", 1e-4, 0},
      {"t_pvsyst_insulated_c", 1e-4, 0},
      {"dc_w", 1e-4, 0}}},
};

static double choice_index(const char *choices, const char *text)
{
    const size_t length = strlen(text);
    double index = 0.0;
    for (const char *at = choices; at; index += 1.0) {
        const char *bar = strchr(at, '|');
        if ((bar ? (size_t)(bar - at) : strlen(at)) == length && memcmp(at, text, length) == 0)
            return index;
        at = bar ? bar + 1 : NULL;
    }
    return (double)NAN;
}

static double value_of(const table *t, const lw_column *column)
{
    switch (column->kind) {
    case LW_COLUMN_TIME:
        return table_time(t, column->name);
    case LW_COLUMN_DATE:
        return table_date(t, column->name);
    case LW_COLUMN_CHOICE:
        return choice_index(column->choices, table_text(t, column->name));
    case LW_COLUMN_PROFILE:
    case LW_COLUMN_GRID:
    case LW_COLUMN_NUMBER:
        break;
    }
    return table_number(t, column->name);
}

static size_t output_of(const lw_model *model, const char *column)
{
    for (size_t i = 0; i < model->out_count; i++)
        if (strcmp(model->out[i].name, column) == 0)
            return i;
    fail_msg("model %s has no result %s", model->name, column);
    return 0;
}

static double miss(const lw_model *model, const tolerance *of, const double *out, double got, double want)
{
    double off = fabs(got - want);
    if (strcmp(of->column, "azimuth_deg") == 0) {
        const double zenith_deg = out[output_of(model, "zenith_deg")];
        off = fmin(off, fabs(off - 360.0)) * sin(zenith_deg * 0.017453292519943295);
    }
    return of->is_relative ? off / fabs(want) : off;
}

static void compare_row(const reference *r, const lw_model *model, const table *t)
{
    double in[16], out[16];
    lw_fault fault = {0};
    for (size_t i = 0; i < model->in_count; i++)
        in[i] = table_has(t, model->in[i].name) ? value_of(t, &model->in[i]) : (double)NAN;
    for (size_t i = 0; i < model->out_count; i++)
        out[i] = -1e300;
    if (model->apply(in, out, &fault) != LW_OK)
        fail_msg("%s row %d: refused for %s = %g", r->path, t->row, fault.field, fault.value);
    for (const tolerance *of = r->of; of->column; of++) {
        const size_t i = output_of(model, of->column);
        const double want = value_of(t, &model->out[i]);
        const int is_same = isnan(want) ? isnan(out[i]) : miss(model, of, out, out[i], want) <= of->tolerance;
        if (!is_same)
            fail_msg("%s row %d: %s is %.10g, want %.10g", r->path, t->row, of->column, out[i], want);
    }
}

static void every_model_agrees_with_its_reference_table(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(REFERENCES); i++) {
        const lw_model *model = lw_model_named(REFERENCES[i].model);
        if (!model) {
            fail_msg("no model %s", REFERENCES[i].model);
            return;
        }
        table t;
        table_open(&t, REFERENCES[i].path);
        while (table_next(&t))
            compare_row(&REFERENCES[i], model, &t);
        assert_true(t.row >= 40);
    }
}

/* A model that lets NaN or nonsense through would print a figure nobody can trust. */
static void a_required_field_that_is_empty_is_refused(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(REFERENCES); i++) {
        const lw_model *model = lw_model_named(REFERENCES[i].model);
        table t;
        table_open(&t, REFERENCES[i].path);
        assert_true(table_next(&t));
        for (size_t missing = 0; missing < model->in_count; missing++) {
            double in[16], out[16];
            lw_fault fault = {0};
            for (size_t k = 0; k < model->in_count; k++)
                in[k] = table_has(&t, model->in[k].name) ? value_of(&t, &model->in[k]) : (double)NAN;
            in[missing] = (double)NAN;
            const lw_code code = model->apply(in, out, &fault);
            if ((code == LW_OK) != (model->in[missing].is_optional != 0))
                fail_msg("%s without %s: code %d", model->name, model->in[missing].name, (int)code);
            if (code != LW_OK)
                assert_non_null(fault.field);
        }
        fclose(t.file);
    }
}

static void the_air_model_gives_the_standard_atmosphere_and_leaves_the_dew_point_empty(void **state)
{
    (void)state;
    const lw_model *model = lw_model_named("air");
    const double in[] = {2000.0, (double)NAN, (double)NAN};
    double out[6];
    lw_fault fault = {0};
    assert_int_equal(model->apply(in, out, &fault), LW_OK);
    CHECK_NEAR(out[output_of(model, "pressure_pa")], 79495.2, 0.1, "ICAO Doc 7488/3, 2,000 m");
    CHECK_NEAR(out[output_of(model, "boiling_c")], 93.32, 0.01, "IAPWS-IF97 on it");
    assert_true(isnan(out[output_of(model, "dew_point_c")]));
    const double with_dew[] = {0.0, 20.0, 0.5};
    assert_int_equal(model->apply(with_dew, out, &fault), LW_OK);
    CHECK_NEAR(out[output_of(model, "dew_point_c")], 9.26, 0.01, "WMO-No. 8, 20 C and 50 %%");
}

static void the_sun_model_fills_empty_air_from_the_elevation(void **state)
{
    (void)state;
    const lw_model *model = lw_model_named("sun");
    const double empty = (double)NAN;
    const double bare[] = {1.7e9, 40.0, -105.0, 2000.0, empty, empty, empty};
    const double full[] = {1.7e9, 40.0, -105.0, 2000.0, 79495.2, 12.0, 69.2};
    double a[6], b[6];
    lw_fault fault = {0};
    assert_int_equal(model->apply(bare, a, &fault), LW_OK);
    assert_int_equal(model->apply(full, b, &fault), LW_OK);
    for (int i = 0; i < 6; i++)
        CHECK_NEAR(a[i], b[i], 1e-7, "%s", model->out[i].name);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_model_agrees_with_its_reference_table),
        cmocka_unit_test(a_required_field_that_is_empty_is_refused),
        cmocka_unit_test(the_air_model_gives_the_standard_atmosphere_and_leaves_the_dew_point_empty),
        cmocka_unit_test(the_sun_model_fills_empty_air_from_the_elevation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
