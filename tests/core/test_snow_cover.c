#include "core/sky/snow_cover.h"
#include "tests/check.h"

static lw_snow_cover after(lw_snow_cover before, double snow_mm, double air_c, double plane_wm2, double tilt_deg)
{
    return lw_snow_cover_next(&(lw_snow_cover_in){.before = before,
                                                  .step_h = 1.0,
                                                  .snow_mm = snow_mm,
                                                  .air_c = air_c,
                                                  .plane_wm2 = plane_wm2,
                                                  .sin_tilt = sin(tilt_deg * 3.14159265358979 / 180.0)});
}

/* Marion et al. 2013: slides while T > E / -80 W/m2/C, 1.97 tenths of the face x sin(tilt) an hour. */
static void snow_slides_as_published(void **state)
{
    const lw_snow_cover full = {1.0, 20.0};
    static const struct {
        double air_c, plane_wm2, tilt_deg, cover_frac;
    } row[] = {{-5.0, 401.0, 40.0, 1.0 - 0.197 * 0.6427876},
               {-5.0, 399.0, 40.0, 1.0},
               {-1.0, 81.0, 90.0, 1.0 - 0.197},
               {-5.0, 900.0, 0.0, 1.0},
               {0.5, 0.0, 30.0, 1.0 - 0.197 * 0.5}};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++)
        CHECK_NEAR(after(full, 0.0, row[i].air_c, row[i].plane_wm2, row[i].tilt_deg).cover_frac, row[i].cover_frac,
                   1e-6, "row %zu", i);
}

/* Pellicciotti et al. 2005, by hand: 0.05 x 4 + 0.0094 x 0.2 x 500 = 1.14 mm; nothing at 1 C and below. */
static void snow_melts_by_warmth_and_sun_above_one_degree(void **state)
{
    (void)state;
    CHECK_NEAR(after((lw_snow_cover){1.0, 5.0}, 0.0, 4.0, 500.0, 0.0).snow_mm, 5.0 - 1.14, 1e-9, "warm sun");
    CHECK_NEAR(after((lw_snow_cover){1.0, 5.0}, 0.0, 1.0, 500.0, 0.0).snow_mm, 5.0, 1e-9, "at 1 C");
    CHECK_NEAR(after((lw_snow_cover){1.0, 0.5}, 0.0, 10.0, 500.0, 0.0).cover_frac, 0.0, 0.0, "all of it");
}

static void a_centimetre_covers_and_less_covers_a_part(void **state)
{
    const lw_snow_cover bare = {0.0, 0.0};
    (void)state;
    CHECK_NEAR(after(bare, 0.4, -5.0, 0.0, 0.0).cover_frac, 0.4, 1e-9, "4 mm fresh");
    CHECK_NEAR(after(bare, 3.0, -5.0, 0.0, 0.0).cover_frac, 1.0, 1e-9, "3 cm fresh");
    CHECK_NEAR(after(after(bare, 0.4, -5.0, 0.0, 0.0), 0.4, -5.0, 0.0, 0.0).cover_frac, 0.8, 1e-9, "twice 4 mm");
}

/* Water that lies is never more than what was there and what fell, over random hours. */
static void no_snow_comes_from_nowhere(void **state)
{
    lw_snow_cover s = {0.0, 0.0};
    unsigned seed = 1;
    (void)state;
    for (int i = 0; i < 20000; i++) {
        seed = seed * 1664525u + 1013904223u;
        const double u = (seed >> 8) / 16777216.0;
        const double snow_mm = i % 7 ? 0.0 : 4.0 * u, lay_mm = s.cover_frac * s.snow_mm;
        s = after(s, snow_mm, -6.0 + 12.0 * u, 800.0 * (1.0 - u), 50.0 * (i % 2));
        assert_true(s.cover_frac >= 0.0 && s.cover_frac <= 1.0);
        assert_true(s.cover_frac * s.snow_mm <= lay_mm + snow_mm + 1e-9);
    }
}

static void what_is_no_panel_is_refused(void **state)
{
    const lw_snow_cover_in good = {.step_h = 1.0};
    lw_snow_cover_in bad[] = {good, good, good};
    static const char *const field[] = {"air_c", "snow_mm", "cover_frac"};
    (void)state;
    bad[0].air_c = (double)NAN, bad[1].snow_mm = -1.0, bad[2].before.cover_frac = 1.1;
    for (size_t i = 0; i < COUNT_OF(bad); i++) {
        lw_fault fault = {0};
        assert_int_equal(lw_snow_cover_check(&bad[i], &fault), LW_E_RANGE);
        assert_string_equal(fault.field, field[i]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(snow_slides_as_published),
        cmocka_unit_test(snow_melts_by_warmth_and_sun_above_one_degree),
        cmocka_unit_test(a_centimetre_covers_and_less_covers_a_part),
        cmocka_unit_test(no_snow_comes_from_nowhere),
        cmocka_unit_test(what_is_no_panel_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
