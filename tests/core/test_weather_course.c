/* Weather that is known better than the climate, and a forecast, in the frame of the draws. */
#include <stdlib.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/sky/weather_draw.h"
#include "tests/table.h"

enum { HOURS = 30 * 24, SAID = 7 * 24, DRAWS = 4000 };

typedef struct course_world {
    lw_climate_site site;
    double air_c[HOURS], clear_frac[HOURS], ghi_wm2[HOURS], wind_ms[HOURS], precip_mm[HOURS], wet_frac[HOURS];
    lw_weather_known known;
    lw_weather_said said;
    lw_weather_frame_in in;
    lw_weather_frame frame;
} course_world;

static int64_t midnight_s(void)
{
    return lw_day_of((lw_date){2026, 4, 10}) * 86400 + 7 * 3600; /* local time of 109.55 W, to a third of an hour */
}

/* A steady course: a swing of 14 K about 10 C, three quarters clear, a wind of 3 m/s, 2 mm a day. */
static course_world *world_take(void)
{
    course_world *w = calloc(1, sizeof *w);
    assert_non_null(w);
    lw_climate_site_make(&(lw_climate_place){38.57, -109.55, 1230.0}, &w->site);
    for (int h = 0; h < HOURS; h++) {
        w->air_c[h] = 10.0 + 7.0 * cos((h % 24 - 15.0) * 3.14159265358979 / 12.0);
        w->clear_frac[h] = 0.75 + (h % 24 < 12 ? 0.1 : -0.1);
        w->ghi_wm2[h] = (double)NAN;
        w->wind_ms[h] = 3.0;
        w->precip_mm[h] = 2.0 / 24.0;
        w->wet_frac[h] = 0.4;
    }
    w->known = (lw_weather_known){w->air_c, w->clear_frac, w->ghi_wm2, w->wind_ms, w->precip_mm};
    w->said = (lw_weather_said){
        .known = w->known, .wet_frac = w->wet_frac, .from = 0, .until = SAID, .issued_s = midnight_s() - 6 * 3600};
    w->in = (lw_weather_frame_in){.site = &w->site, .start_s = midnight_s(), .hours = HOURS, .linke_turbidity = 3.0};
    return w;
}

typedef struct moments {
    double n, sum, square;
} moments;

static void add(moments *m, double x)
{
    m->n += 1.0, m->sum += x, m->square += x * x;
}

static double mean_of(const moments *m)
{
    return m->sum / m->n;
}

static double sd_of(const moments *m)
{
    return sqrt(m->square / m->n - mean_of(m) * mean_of(m));
}

static void the_course_of_a_single_outlook_is_what_is_known(void **state)
{
    (void)state;
    course_world *w = world_take();
    static double air[HOURS], clear[HOURS], wind[HOURS];
    lw_weather_day day[LW_WEATHER_DAYS];
    for (int kind = 0; kind < 2; kind++) {
        w->in.usual = kind ? NULL : &w->known;
        w->in.said = kind ? &w->said : NULL;
        lw_weather_frame_make(&w->in, &w->frame);
        lw_weather_normal_days(&w->frame, day);
        lw_weather_hours(&w->frame, day, &(lw_weather_series){.air_c = air, .clear_frac = clear, .wind_ms = wind});
        for (int h = 0; h < (kind ? SAID - 2 : HOURS); h++) {
            CHECK_NEAR(air[h], w->air_c[h], 1e-5, "kind %d, air of hour %d", kind, h);
            CHECK_NEAR(wind[h], 3.0, 1e-5, "kind %d, wind of hour %d", kind, h);
            if (h % 24 > 7 && h % 24 < 16)
                CHECK_NEAR(clear[h], w->clear_frac[h], 1e-5, "kind %d, clearness of hour %d", kind, h);
        }
    }
    free(w);
}

static void draws_lie_about_the_known_weather_with_the_climates_spread(void **state)
{
    (void)state;
    course_world *w = world_take();
    lw_weather_day day[LW_WEATHER_DAYS];
    moments mean = {0}, range = {0}, wind = {0}, rain = {0}, clear = {0};
    w->in.usual = &w->known;
    for (int year = 0; year < 2; year++) {
        w->in.usual_is_one_year = year;
        lw_weather_frame_make(&w->in, &w->frame);
        mean = range = wind = rain = clear = (moments){0};
        for (uint32_t draw = 0; draw < DRAWS; draw++) {
            lw_weather_draw(&w->frame, &(lw_random_key){7, draw}, 0, day);
            const lw_weather_day *x = &day[15];
            add(&mean, 0.5 * (x->tmin_c + x->tmax_c)), add(&range, x->tmax_c - x->tmin_c), add(&wind, x->wind_ms);
            add(&rain, x->precip_mm), add(&clear, x->clear_frac);
        }
        const lw_climate_day *c = &w->frame.day[15].climate;
        /* four standard errors of 4000 independent draws */
        CHECK_NEAR(mean_of(&mean), 10.0, 4.0 * c->sd_k / sqrt(DRAWS), "mean");
        CHECK_NEAR(sd_of(&mean) / c->sd_k, 1.0, 4.0 / sqrt(2.0 * DRAWS), "spread");
        CHECK_NEAR(mean_of(&range), 14.0, 0.4, "range");
        CHECK_NEAR(mean_of(&wind), 3.0, 0.1, "wind");
        CHECK_NEAR(mean_of(&rain), 2.0, 0.5, "rain");
        CHECK_NEAR(mean_of(&clear), 0.75, 0.03, "clearness");
    }
    free(w);
}

static void a_forecasts_error_grows_with_the_lead_and_ends_at_the_climates(void **state)
{
    (void)state;
    course_world *w = world_take();
    static const double AIR_SD_K[] = {1.8, 2.0, 2.2, 2.5, 2.8, 3.2, 3.5}; /* data/climate/leads.csv */
    static moments mean[LW_WEATHER_DAYS], wet[LW_WEATHER_DAYS];
    lw_weather_day day[LW_WEATHER_DAYS];
    w->in.said = &w->said;
    lw_weather_frame_make(&w->in, &w->frame);
    for (uint32_t draw = 0; draw < DRAWS; draw++) {
        lw_weather_draw(&w->frame, &(lw_random_key){3, draw}, 0, day);
        for (int d = 0; d < w->frame.days; d++)
            add(&mean[d], 0.5 * (day[d].tmin_c + day[d].tmax_c)), add(&wet[d], day[d].is_wet);
    }
    const int first = (int)(midnight_s() / 86400 - w->frame.first_day);
    for (int k = 0; k < 7; k++) { /* noon of the k-th day is k + 0.75 days behind the making */
        const double lead = k + 0.75, at = lead < 1.0 ? 0.0 : lead - 1.0;
        const double want = AIR_SD_K[(int)at] + (at - (int)at) * (AIR_SD_K[(int)at + 1] - AIR_SD_K[(int)at]);
        CHECK_NEAR(mean_of(&mean[first + k]), 10.0, 0.25, "mean of day %d", k);
        CHECK_NEAR(sd_of(&mean[first + k]) / want, 1.0, 4.0 / sqrt(2.0 * DRAWS), "error of day %d", k);
        CHECK_NEAR(mean_of(&wet[first + k]), 0.4, 4.0 * sqrt(0.24 / DRAWS), "chance of rain of day %d", k);
    }
    /* Behind it a first-order autoregression: mean and variance on the way to the climate's. */
    const int last = first + 6;
    for (int k = 1; k <= 20; k++) {
        const lw_climate_day *c = &w->frame.day[last + k].climate;
        const double normal_c = 0.5 * (c->tmax_c + c->tmin_c), r = pow(c->r1, k);
        const double from_c = 10.0 - 0.5 * (w->frame.day[last].climate.tmax_c + w->frame.day[last].climate.tmin_c);
        CHECK_NEAR(mean_of(&mean[last + k]) - normal_c, r * from_c, 0.4, "mean, %d days behind", k);
        const double s = sd_of(&mean[last]);
        CHECK_NEAR(sd_of(&mean[last + k]), sqrt(r * r * s * s + (1.0 - r * r) * c->sd_k * c->sd_k), 0.25,
                   "spread, %d days behind", k);
    }
    free(w);
}

static void a_forecasts_sky_counts_the_less_the_further_ahead(void **state)
{
    (void)state;
    course_world *w = world_take();
    static moments clear[LW_WEATHER_DAYS];
    lw_weather_day day[LW_WEATHER_DAYS];
    for (int h = 0; h < HOURS; h++)
        w->clear_frac[h] = 0.3; /* a week of thick cloud */
    w->in.said = &w->said;
    lw_weather_frame_make(&w->in, &w->frame);
    for (uint32_t draw = 0; draw < DRAWS; draw++) {
        lw_weather_draw(&w->frame, &(lw_random_key){5, draw}, 0, day);
        for (int d = 0; d < w->frame.days; d++)
            add(&clear[d], day[d].clear_frac);
    }
    const int first = (int)(midnight_s() / 86400 - w->frame.first_day);
    const double usual = w->frame.day[20].climate.kt / w->frame.day[20].clear_kt;
    assert_true(mean_of(&clear[first]) < 0.5 && mean_of(&clear[first]) > 0.25);
    for (int k = 1; k < 7; k++)
        assert_true(mean_of(&clear[first + k]) > mean_of(&clear[first + k - 1]));
    assert_true(mean_of(&clear[first + 6]) < usual - 0.03);
    CHECK_NEAR(mean_of(&clear[first + 10]), usual, 0.03, "behind it the climate's");
    free(w);
}

static void a_forecast_outside_the_span_is_refused(void **state)
{
    static const struct {
        int from, until;
        const char *field;
    } row[] = {{-1, 5, "from"}, {0, HOURS + 1, "until"}, {9, 8, "until"}};
    (void)state;
    course_world *w = world_take();
    w->in.said = &w->said;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_fault fault = {0};
        w->said.from = row[i].from, w->said.until = row[i].until;
        assert_int_equal(lw_weather_frame_check(&w->in, &fault), LW_E_RANGE);
        assert_string_equal(fault.field, row[i].field);
    }
    free(w);
}

static void cold_days_bring_snow_and_warm_ones_rain(void **state)
{
    (void)state;
    course_world *w = world_take();
    lw_weather_day day[LW_WEATHER_DAYS];
    double precip[2] = {0.0}, snow[2] = {0.0};
    static double hourly[HOURS];
    for (int cold = 0; cold < 2; cold++) {
        for (int h = 0; h < HOURS; h++)
            w->air_c[h] += cold ? -22.0 : 10.0;
        w->in.usual = &w->known;
        lw_weather_frame_make(&w->in, &w->frame);
        for (uint32_t draw = 0; draw < 200; draw++) {
            lw_weather_draw(&w->frame, &(lw_random_key){5, draw}, 0, day);
            for (int d = 0; d < w->frame.days; d++) {
                assert_true(day[d].snow_mm >= 0.0 && day[d].snow_mm <= day[d].precip_mm);
                precip[cold] += day[d].precip_mm, snow[cold] += day[d].snow_mm;
            }
        }
        double sum = 0.0, want = 0.0;
        lw_weather_hours(&w->frame, day, &(lw_weather_series){.snow_mm = hourly});
        for (int h = 0; h < HOURS; h++)
            sum += hourly[h], want += day[w->frame.hour[h].day].snow_mm / 24.0;
        CHECK_NEAR(sum, want, 1e-9, "hours of snow");
    }
    free(w);
    assert_true(snow[0] < 0.01 * precip[0]); /* about 20 C */
    assert_true(snow[1] > 0.75 * precip[1]); /* about -2 C, with a spread of 4 K */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_course_of_a_single_outlook_is_what_is_known),
        cmocka_unit_test(draws_lie_about_the_known_weather_with_the_climates_spread),
        cmocka_unit_test(a_forecasts_error_grows_with_the_lead_and_ends_at_the_climates),
        cmocka_unit_test(a_forecasts_sky_counts_the_less_the_further_ahead),
        cmocka_unit_test(a_forecast_outside_the_span_is_refused),
        cmocka_unit_test(cold_days_bring_snow_and_warm_ones_rain),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
