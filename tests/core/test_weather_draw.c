#include "core/sky/weather_draw.h"

#include <stdlib.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/sky/sun_events.h"
#include "core/sky/weather_plain.h"
#include "tests/table.h"

typedef struct world {
    lw_climate_site site;
    lw_weather_frame frame;
} world;

static void world_make(world *w, double latitude_deg, double longitude_deg, double elevation_m, lw_date from, int days)
{
    lw_climate_site_make(&(lw_climate_place){latitude_deg, longitude_deg, elevation_m}, &w->site);
    const lw_weather_frame_in in = {
        .site = &w->site, .start_s = lw_day_of(from) * 86400 + 20 * 3600, .hours = days * 24, .linke_turbidity = 3.0};
    lw_fault fault = {0};
    if (lw_weather_frame_check(&in, &fault))
        fail_msg("refused: %s", fault.field);
    lw_weather_frame_make(&in, &w->frame);
}

static world *world_take(double latitude_deg, double longitude_deg, double elevation_m, lw_date from, int days)
{
    world *w = malloc(sizeof *w);
    assert_non_null(w);
    world_make(w, latitude_deg, longitude_deg, elevation_m, from, days);
    return w;
}

/* Places of several kinds: the desert, a wet coast, a cold basin, the humid east. */
static const struct {
    const char *name;
    double latitude_deg, longitude_deg, elevation_m;
    int month;
} PLACES[] = {
    {"desert, June", 33.66, -114.23, 268.0, 6},
    {"wet coast, December", 48.35, -124.60, 60.0, 12},
    {"basin, January", 44.55, -110.40, 2360.0, 1},
    {"canyon, April", 38.57, -109.55, 1230.0, 4},
    {"mountains of the east, October", 35.60, -83.40, 1500.0, 10},
    {"interior of Alaska, March", 64.80, -147.70, 130.0, 3},
};

typedef struct sums {
    double n, mean, square, lag, wet, wet_pairs, wet_wet, kt, kt_square, kt_lag, kt_wet, kt_dry, range, range_square,
        range_kt, range_wet, range_dry, wind, wind_square, rain, tmax, tmin, pairs;
} sums;

/* Sums over draws of what one day and its pair with the day before show. Anomalies are against the frame's normals. */
static sums gather(const lw_weather_frame *f, int draws)
{
    sums s = {0};
    lw_weather_day day[LW_WEATHER_DAYS];
    for (int draw = 0; draw < draws; draw++) {
        double mean_before = 0.0, kt_before = 0.0;
        lw_weather_draw(f, &(lw_random_key){42, (uint32_t)draw}, 0, day);
        for (int d = 0; d < f->days; d++) {
            const lw_climate_day *c = &f->day[d].climate;
            const double x = (0.5 * (day[d].tmax_c + day[d].tmin_c - c->tmax_c - c->tmin_c)) / c->sd_k;
            const double kt = day[d].clear_frac * f->day[d].clear_kt - c->kt;
            const double range = (day[d].tmax_c - day[d].tmin_c - c->tmax_c + c->tmin_c) / c->sddtr_k;
            s.n += 1.0, s.mean += x, s.square += x * x, s.wet += day[d].is_wet, s.kt += kt, s.kt_square += kt * kt;
            s.range += range, s.range_square += range * range, s.range_kt += range * kt;
            s.tmax += day[d].tmax_c - c->tmax_c, s.tmin += day[d].tmin_c - c->tmin_c;
            s.wind += day[d].wind_ms / c->wind_ms, s.wind_square += pow(day[d].wind_ms / c->wind_ms, 2.0);
            if (day[d].is_wet)
                s.kt_wet += kt + c->kt, s.range_wet += day[d].tmax_c - day[d].tmin_c,
                    s.rain += day[d].precip_mm / c->wet_day_mm;
            else
                s.kt_dry += kt + c->kt, s.range_dry += day[d].tmax_c - day[d].tmin_c;
            if (d > 0) {
                s.pairs += 1.0, s.lag += x * mean_before, s.kt_lag += kt * kt_before;
                s.wet_pairs += day[d - 1].is_wet, s.wet_wet += day[d - 1].is_wet && day[d].is_wet;
            }
            mean_before = x, kt_before = kt;
        }
    }
    return s;
}

static void spread_and_autocorrelation_are_the_models(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(PLACES); i++) {
        world *w = world_take(PLACES[i].latitude_deg, PLACES[i].longitude_deg, PLACES[i].elevation_m,
                              (lw_date){2026, PLACES[i].month, 1}, 30);
        const sums s = gather(&w->frame, 3000);
        const double r = w->frame.day[15].climate.r1,
                     n = s.n * (1.0 - r) / (1.0 + r); /* days that count as independent */
        CHECK_NEAR(s.mean / s.n, 0.0, 4.0 / sqrt(n), "%s: mean of the anomaly", PLACES[i].name);
        CHECK_NEAR(s.square / s.n, 1.0, 4.0 * sqrt(2.0 / n), "%s: variance over sd squared", PLACES[i].name);
        CHECK_NEAR(s.lag / s.pairs, r, 4.0 / sqrt(n) + 0.01, "%s: r1, which moves by 0.01 in the month",
                   PLACES[i].name);
        free(w);
    }
}

static void highs_lows_clearness_and_wind_keep_the_models_means(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(PLACES); i++) {
        world *w = world_take(PLACES[i].latitude_deg, PLACES[i].longitude_deg, PLACES[i].elevation_m,
                              (lw_date){2026, PLACES[i].month, 1}, 30);
        const sums s = gather(&w->frame, 3000);
        /* four standard errors of a mean of sd 7.5 K over some 12,000 independent days */
        CHECK_NEAR(s.tmax / s.n, 0.0, 0.27, "%s: tmax", PLACES[i].name);
        CHECK_NEAR(s.tmin / s.n, 0.0, 0.27, "%s: tmin", PLACES[i].name);
        CHECK_NEAR(s.kt / s.n, 0.0, 0.004, "%s: kt", PLACES[i].name);
        CHECK_NEAR(s.wind / s.n, 1.0, 0.01, "%s: wind", PLACES[i].name);
        CHECK_NEAR(s.rain / s.wet, 1.0, 0.03, "%s: rain of a wet day", PLACES[i].name);
        CHECK_NEAR(s.wet / s.n, w->frame.day[15].climate.wet_frac, 0.015, "%s: wet days", PLACES[i].name);
        CHECK_NEAR(s.wet_wet / s.wet_pairs, w->frame.day[15].wet_again_frac, 0.02, "%s: wet again", PLACES[i].name);
        free(w);
    }
}

static void cloud_rain_and_range_hang_together_as_the_tables_say(void **state)
{
    /* data/climate/months.csv at the middle of the month: west, but for the fifth place. */
    static const struct {
        double kt_lag, range_kt, kt_ratio, range_ratio, wind_cv;
    } want[] = {
        {0.256, 0.571, 0.737, 0.730, 0.282}, {0.212, 0.515, 0.685, 0.690, 0.495}, {0.265, 0.476, 0.653, 0.691, 0.473},
        {0.267, 0.629, 0.673, 0.653, 0.363}, {0.283, 0.662, 0.632, 0.728, 0.408}, {0.264, 0.599, 0.656, 0.650, 0.414},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(PLACES); i++) {
        world *w = world_take(PLACES[i].latitude_deg, PLACES[i].longitude_deg, PLACES[i].elevation_m,
                              (lw_date){2026, PLACES[i].month, 2}, 27);
        const sums s = gather(&w->frame, 3000);
        const double dry = s.n - s.wet, kt_sd = sqrt(s.kt_square / s.n), range_sd = sqrt(s.range_square / s.n);
        CHECK_NEAR(s.kt_lag / s.pairs / kt_sd / kt_sd, want[i].kt_lag + 0.05, 0.06, "%s: clearness, day to day",
                   PLACES[i].name);
        CHECK_NEAR(s.kt_wet / s.wet / (s.kt_dry / dry), want[i].kt_ratio, 0.03, "%s: clearness, wet over dry",
                   PLACES[i].name);
        CHECK_NEAR(s.range_kt / s.n / kt_sd / range_sd, want[i].range_kt, 0.06, "%s: range with clearness",
                   PLACES[i].name);
        CHECK_NEAR(s.range_wet / s.wet / (s.range_dry / dry), want[i].range_ratio, 0.07, "%s: range, wet over dry",
                   PLACES[i].name);
        CHECK_NEAR(range_sd, 1.0, 0.06, "%s: spread of the range over sddtr", PLACES[i].name);
        CHECK_NEAR(sqrt(s.wind_square / s.n - pow(s.wind / s.n, 2.0)), want[i].wind_cv, 0.03, "%s: wind",
                   PLACES[i].name);
        free(w);
    }
}

static void clearness_has_the_quantiles_and_the_spread_of_its_table(void **state)
{
    /* data/climate/days.csv: mean 0.60: p02 0.284, p50 0.649, p98 0.726, standard deviation 0.134. The row's own mean is near
     * 0.6; the days are scaled to it. */
    double sum = 0.0, square = 0.0;
    enum { N = 20000 };
    (void)state;
    for (int i = 0; i < N; i++) {
        const double kt = lw_weather_day_kt(0.60, (i + 0.5) / N);
        sum += kt / N, square += kt * kt / N;
    }
    CHECK_NEAR(sum, 0.60, 1e-6, "mean");
    CHECK_NEAR(sqrt(square - sum * sum), 0.134, 0.015, "standard deviation");
    CHECK_NEAR(lw_weather_day_kt(0.60, 0.02) / lw_weather_day_kt(0.60, 0.98), 0.284 / 0.726, 1e-9, "end over end");
    CHECK_NEAR(lw_weather_day_kt(0.60, 0.5) / lw_weather_day_kt(0.60, 0.98), 0.649 / 0.726, 1e-9, "median over end");
    CHECK_NEAR(lw_weather_day_kt(0.60, 0.0), lw_weather_day_kt(0.60, 0.02), 1e-12, "below the table");
    for (double mean = 0.1; mean <= 0.8; mean += 0.05) {
        double total = 0.0, before = 0.0;
        for (int i = 0; i < N; i++) {
            const double kt = lw_weather_day_kt(mean, (i + 0.5) / N);
            total += kt / N;
            assert_true(kt >= before - 1e-12);
            before = kt;
        }
        CHECK_NEAR(total, mean, 1e-6, "mean %g", mean);
    }
}

static void the_places_error_stays_through_a_draw_and_spreads_as_the_model_says(void **state)
{
    world *w = world_take(44.55, -110.40, 2360.0, (lw_date){2026, 7, 1}, 30);
    enum { DRAWS = 4000 };
    double square = 0.0, low_square = 0.0, both = 0.0;
    (void)state;
    for (uint32_t draw = 0; draw < DRAWS; draw++) {
        lw_weather_day with[LW_WEATHER_DAYS], without[LW_WEATHER_DAYS];
        lw_weather_draw(&w->frame, &(lw_random_key){9, draw}, 1, with);
        lw_weather_draw(&w->frame, &(lw_random_key){9, draw}, 0, without);
        const double high_k = with[3].tmax_c + with[3].tmin_c - without[3].tmax_c - without[3].tmin_c;
        for (int d = 4; d < 20; d++)
            CHECK_NEAR(with[d].tmax_c + with[d].tmin_c - without[d].tmax_c - without[d].tmin_c, high_k, 1e-9, "day %d",
                       d);
        const double a = with[10].tmax_c - without[10].tmax_c, b = with[10].tmin_c - without[10].tmin_c;
        square += a * a, low_square += b * b, both += a * b;
    }
    const lw_climate_rms *e = &w->frame.day[10].error;
    CHECK_NEAR(sqrt(square / DRAWS) / e->tmax_k, 1.0, 0.05, "highs");
    CHECK_NEAR(sqrt(low_square / DRAWS) / e->tmin_k, 1.0, 0.05, "lows");
    CHECK_NEAR(both / sqrt(square * low_square), 0.2, 0.06, "together");
    free(w);
}

/* Under a low sun too: at 62 N in December the fit's mean, taken as it is, was 1.3 of a sky without a cloud. */
static void the_mean_day_is_no_brighter_than_a_sky_without_clouds(void **state)
{
    (void)state;
    for (int month = 1; month <= 12; month++)
        for (double latitude_deg = 25.0; latitude_deg <= 66.0; latitude_deg += 1.0) {
            world *w = world_take(latitude_deg, -105.0 - latitude_deg / 2.0, 300.0, (lw_date){2026, month, 12}, 5);
            for (int d = 0; d < w->frame.days; d++)
                if (!(w->frame.day[d].course.clear_frac <= 1.0))
                    fail_msg("%.0f N in month %d: %.3f of a cloudless sky", latitude_deg, month,
                             w->frame.day[d].course.clear_frac);
            free(w);
        }
}

static void the_same_seed_gives_the_same_bytes_and_another_does_not(void **state)
{
    world *w = world_take(38.57, -109.55, 1230.0, (lw_date){2026, 4, 1}, 30);
    lw_weather_day a[LW_WEATHER_DAYS], b[LW_WEATHER_DAYS], c[LW_WEATHER_DAYS];
    (void)state;
    memset(a, 0, sizeof a), memset(b, 0, sizeof b), memset(c, 0, sizeof c);
    lw_weather_draw(&w->frame, &(lw_random_key){7, 3}, 1, a);
    lw_weather_draw(&w->frame, &(lw_random_key){7, 4}, 1, c);
    lw_weather_draw(&w->frame, &(lw_random_key){7, 3}, 1, b);
    const size_t n = (size_t)w->frame.days * sizeof *a;
    assert_memory_equal(a, b, n);
    assert_memory_not_equal(a, c, n);
    free(w);
}

static void another_span_of_the_same_days_meets_the_same_numbers(void **state)
{
    world *a = world_take(38.57, -109.55, 1230.0, (lw_date){2026, 4, 1}, 30);
    world *b = world_take(38.57, -109.55, 1230.0, (lw_date){2026, 4, 3}, 30);
    lw_weather_day x[LW_WEATHER_DAYS], y[LW_WEATHER_DAYS];
    double off = 0.0;
    (void)state;
    assert_int_equal(b->frame.first_day - a->frame.first_day, 2);
    lw_weather_draw(&a->frame, &(lw_random_key){7, 3}, 1, x);
    lw_weather_draw(&b->frame, &(lw_random_key){7, 3}, 1, y);
    /* the chain has forgotten where it began: 0.77^18 is a hundredth */
    off = fmax(off, fabs(x[22].tmax_c + x[22].tmin_c - y[20].tmax_c - y[20].tmin_c));
    CHECK_NEAR(off, 0.0, 0.5, "mean of a day late in the span");
    CHECK_NEAR(x[22].wind_ms, y[20].wind_ms, 1e-9, "wind");
    free(a), free(b);
}

static void an_hour_of_the_day_stands_where_the_mean_day_of_western_stations_has_it(void **state)
{
    /* tests/reference/climate_hours.csv: months around the middle of each season at 39 N; 0.075 of the range at worst, 0.03 in
     * the mean (the fit of core/sky/weather_frame.h). Stations' standard time is taken as the sun's. */
    static const struct {
        const char *season;
        int month;
    } row[] = {{"winter", 1}, {"spring", 4}, {"summer", 7}, {"autumn", 10}};
    (void)state;
    double square = 0.0;
    table t;
    table_open(&t, "tests/reference/climate_hours.csv");
    while (table_next(&t)) {
        double share[24] = {0.0};
        for (int step = -1; step <= 1; step++) {
            const int month = (row[t.row - 1].month + step + 11) % 12 + 1;
            const int64_t day = lw_day_of((lw_date){2026, month, 15});
            lw_sun_events_out sun;
            lw_sun_events(&(lw_sun_events_in){day, 39.0, 0.0, 69.2}, &sun);
            const double half_h = (sun.sunset_s - sun.sunrise_s) / 7200.0;
            for (int h = 0; h < 24; h++)
                for (int part = 0; part < 10; part++) {
                    int evening, before;
                    share[h] +=
                        lw_weather_share(h + 0.05 + 0.1 * part, 12.0 - half_h, 12.0 + half_h, &evening, &before) / 30.0;
                }
        }
        assert_string_equal(table_text(&t, "season"), row[t.row - 1].season);
        for (int h = 0; h < 24; h++) {
            char name[16];
            snprintf(name, sizeof name, "h%02d", h + 1);
            CHECK_NEAR(share[h], table_number(&t, name), 0.085, "%s %s", row[t.row - 1].season, name);
            square += pow(share[h] - table_number(&t, name), 2.0) / 96.0;
        }
    }
    CHECK_NEAR(sqrt(square), 0.03, 0.006, "root mean square");
}

static void hours_reach_each_days_low_near_sunrise_and_high_in_the_afternoon(void **state)
{
    world *w = world_take(39.22, -106.32, 3026.0, (lw_date){2026, 10, 1}, 10);
    lw_weather_day day[LW_WEATHER_DAYS];
    double air[LW_WEATHER_HOURS], wind[LW_WEATHER_HOURS], humidity[LW_WEATHER_HOURS], rain[LW_WEATHER_HOURS];
    (void)state;
    lw_weather_draw(&w->frame, &(lw_random_key){5, 1}, 1, day);
    lw_weather_hours(&w->frame, day,
                     &(lw_weather_series){.air_c = air, .wind_ms = wind, .humidity_frac = humidity, .precip_mm = rain});
    const int64_t start_s = lw_day_of((lw_date){2026, 10, 1}) * 86400 + 20 * 3600;
    for (int64_t d = w->frame.first_day + 2; d < w->frame.first_day + 9; d++) {
        lw_sun_events_out sun;
        lw_sun_events(&(lw_sun_events_in){d, 39.22, -106.32, 69.2}, &sun);
        const int low = (int)((sun.sunrise_s + 0.4 * 3600.0 - (double)start_s) / 3600.0);
        const int high = (int)((sun.transit_s + 1.8 * 3600.0 - (double)start_s) / 3600.0);
        const lw_weather_day *own = &day[d - w->frame.first_day];
        const double range = own->tmax_c - own->tmin_c;
        CHECK_NEAR(fmin(air[low], fmin(air[low - 1], air[low + 1])), own->tmin_c, 0.05 * range + 0.2, "low");
        CHECK_NEAR(fmax(air[high], fmax(air[high - 1], air[high + 1])), own->tmax_c, 0.03 * range, "high");
    }
    for (int i = 1; i < w->frame.hours; i++) {
        if (fabs(air[i] - air[i - 1]) > 6.0)
            fail_msg("hour %d: a jump from %g to %g", i, air[i - 1], air[i]);
        assert_true(humidity[i] > 0.0 && humidity[i] <= 1.0 && wind[i] > 0.0 && rain[i] >= 0.0);
    }
    free(w);
}

static void a_night_goes_from_one_high_to_one_low_over_midnight(void **state)
{
    world *w = world_take(39.22, -106.32, 3026.0, (lw_date){2026, 10, 1}, 10);
    int midnights = 0;
    (void)state;
    for (int i = 1; i < w->frame.hours; i++) {
        const lw_weather_hour *a = &w->frame.hour[i - 1], *b = &w->frame.hour[i];
        if (a->day == b->day)
            continue;
        assert_int_equal(b->day, a->day + 1);
        assert_int_equal(a->low_day, b->day);
        assert_int_equal(b->low_day, b->day);
        assert_int_equal(a->high_day, a->day);
        assert_int_equal(b->high_day, a->day);
        midnights++;
    }
    assert_int_equal(midnights, 10);
    free(w);
}

static void the_hours_follow_the_sun_not_the_mean_clock(void **state)
{
    /* Early November the sun is 16 minutes ahead of its mean. Share by the day's own sunrise, noon and sunset, each of
     * core/sky/sun_events.h; 0.01 of the range is two minutes of the morning. */
    world *w = world_take(38.57, -109.55, 0.0, (lw_date){2026, 11, 1}, 6);
    const int64_t start_s = lw_day_of((lw_date){2026, 11, 1}) * 86400 + 20 * 3600;
    (void)state;
    for (int i = 0; i < w->frame.hours; i++) {
        int evening, before;
        lw_sun_events_out sun;
        lw_sun_events(&(lw_sun_events_in){w->frame.first_day + w->frame.hour[i].day, 38.57, -109.55, 69.2}, &sun);
        const double half_h = (sun.sunset_s - sun.sunrise_s) / 7200.0;
        const double apparent_h = 12.0 + ((double)start_s + 3600.0 * i + 1800.0 - sun.transit_s) / 3600.0;
        const double want = lw_weather_share(apparent_h, 12.0 - half_h, 12.0 + half_h, &evening, &before);
        CHECK_NEAR((double)w->frame.hour[i].share, want, 0.01, "hour %d, %.2f h of the sun", i, apparent_h);
    }
    free(w);
}

static void the_normal_course_is_the_models_and_its_sun_keeps_the_months_clearness(void **state)
{
    world *w = world_take(38.57, -109.55, 1230.0, (lw_date){2026, 7, 1}, 30);
    lw_weather_day day[LW_WEATHER_DAYS];
    lw_climate_day model;
    double wind[LW_WEATHER_HOURS], rain[LW_WEATHER_HOURS], wind_sum = 0.0, rain_sum = 0.0;
    (void)state;
    lw_weather_normal_days(&w->frame, day);
    lw_weather_hours(&w->frame, day, &(lw_weather_series){.wind_ms = wind, .precip_mm = rain});
    lw_climate_of_day(&w->site, 182.0, &model); /* 1 July */
    const int first = (int)(lw_day_of((lw_date){2026, 7, 1}) - w->frame.first_day);
    CHECK_NEAR(day[first].tmax_c, model.tmax_c, 1e-9, "high");
    CHECK_NEAR(day[first].tmin_c, model.tmin_c, 1e-9, "low");
    CHECK_NEAR(day[first].clear_frac * w->frame.day[first].clear_kt, model.kt, 1e-9, "clearness");
    /* a cloudless July day at 1230 m and turbidity 3 lets some three quarters through */
    CHECK_NEAR(w->frame.day[first].clear_kt, 0.75, 0.03, "clear sky");
    for (int i = 0; i < w->frame.hours; i++)
        wind_sum += wind[i] / w->frame.hours, rain_sum += rain[i];
    CHECK_NEAR(wind_sum, 4.02, 0.08, "the wind's shape keeps its mean (check value of July: 4.0205)");
    CHECK_NEAR(rain_sum, 30.0 * 0.1372 * 6.4489, 1.5, "rain of July: wet days times rain of one");
    free(w);
}

/* A frame for one course only gives the course of the whole frame: the same days and hours; a cloudless sky's clearness, known every third
 * day, within 0.0005 of 0.7. */
static void a_plain_frame_gives_the_same_course(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(PLACES); i++) {
        world *whole = world_take(PLACES[i].latitude_deg, PLACES[i].longitude_deg, PLACES[i].elevation_m,
                                  (lw_date){2026, PLACES[i].month, 3}, 17),
              *plain = world_take(PLACES[i].latitude_deg, PLACES[i].longitude_deg, PLACES[i].elevation_m,
                                  (lw_date){2026, PLACES[i].month, 3}, 17);
        const int64_t first = lw_day_of((lw_date){2026, PLACES[i].month, 3});
        const lw_weather_frame_in in = {
            .site = &plain->site, .start_s = first * 86400 + 20 * 3600, .hours = 17 * 24, .linke_turbidity = 3.0};
        lw_weather_frame_plain(&in, &plain->frame);
        for (int d = 0; d < whole->frame.days; d++) {
            const lw_weather_day *a = &plain->frame.day[d].course, *b = &whole->frame.day[d].course;
            CHECK_NEAR(plain->frame.day[d].clear_kt, whole->frame.day[d].clear_kt, 0.0005, "%s: day %d", PLACES[i].name,
                       d);
            CHECK_NEAR(a->tmin_c, b->tmin_c, 0.0, "%s: low of day %d", PLACES[i].name, d);
            CHECK_NEAR(a->tmax_c, b->tmax_c, 0.0, "%s: high of day %d", PLACES[i].name, d);
            CHECK_NEAR(a->precip_mm, b->precip_mm, 0.0, "%s: rain of day %d", PLACES[i].name, d);
            CHECK_NEAR(a->clear_frac, b->clear_frac, 0.001, "%s: clearness of day %d", PLACES[i].name, d);
        }
        for (int h = 0; h < whole->frame.hours; h++)
            CHECK_NEAR((double)plain->frame.hour[h].share, (double)whole->frame.hour[h].share, 1e-6, "%s: hour %d",
                       PLACES[i].name, h);
        free(whole);
        free(plain);
    }
}

static void a_span_outside_is_refused(void **state)
{
    lw_climate_site site;
    lw_climate_site_make(&(lw_climate_place){40.0, -110.0, 1500.0}, &site);
    lw_fault fault;
    lw_weather_frame_in in = {
        .site = &site, .start_s = 1780000000, .hours = LW_WEATHER_HOURS + 1, .linke_turbidity = 3.0};
    (void)state;
    assert_int_equal(lw_weather_frame_check(&in, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "hours");
    in.hours = 0;
    assert_int_equal(lw_weather_frame_check(&in, &fault), LW_E_RANGE);
    in.hours = LW_WEATHER_HOURS;
    assert_int_equal(lw_weather_frame_check(&in, &fault), LW_OK);
    in.linke_turbidity = (double)NAN;
    assert_int_equal(lw_weather_frame_check(&in, &fault), LW_E_RANGE);
    lw_weather_frame *frame = malloc(sizeof *frame);
    assert_non_null(frame);
    in.linke_turbidity = 3.0;
    lw_weather_frame_make(&in, frame);
    assert_true(frame->days <= LW_WEATHER_DAYS);
    free(frame);
}

/* The corners of the domain, where the sun stays down or up, nothing may be other than a number. */
static void every_corner_of_the_domain_gives_numbers(void **state)
{
    static const double LAT[] = {24.0, 45.0, 66.0}, LON[] = {-165.0, -110.0, -60.0}, Z[] = {-100.0, 4000.0};
    (void)state;
    for (size_t a = 0; a < COUNT_OF(LAT); a++)
        for (size_t b = 0; b < COUNT_OF(LON); b++)
            for (size_t c = 0; c < COUNT_OF(Z); c++)
                for (int month = 6; month <= 12; month += 6) {
                    world *w = world_take(LAT[a], LON[b], Z[c], (lw_date){2026, month, 10}, 20);
                    lw_weather_day day[LW_WEATHER_DAYS];
                    double air[LW_WEATHER_HOURS], humidity[LW_WEATHER_HOURS];
                    for (uint32_t draw = 0; draw < 20; draw++) {
                        lw_weather_draw(&w->frame, &(lw_random_key){1, draw}, 1, day);
                        lw_weather_hours(&w->frame, day, &(lw_weather_series){.air_c = air, .humidity_frac = humidity});
                        for (int d = 0; d < w->frame.days; d++) {
                            const lw_weather_day *x = &day[d];
                            if (!(isfinite(x->tmax_c) && x->tmax_c - x->tmin_c >= 1.0 - 1e-9 && x->clear_frac > 0.0 &&
                                  x->clear_frac <= 1.3 && x->wind_ms > 0.0 && x->wind_ms < 60.0 && x->precip_mm >= 0.0))
                                fail_msg("%g %g %g month %d draw %u day %d", LAT[a], LON[b], Z[c], month, draw, d);
                        }
                        for (int i = 0; i < w->frame.hours; i++)
                            assert_true(isfinite(air[i]) && humidity[i] > 0.0 && humidity[i] <= 1.0);
                    }
                    free(w);
                }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(spread_and_autocorrelation_are_the_models),
        cmocka_unit_test(highs_lows_clearness_and_wind_keep_the_models_means),
        cmocka_unit_test(cloud_rain_and_range_hang_together_as_the_tables_say),
        cmocka_unit_test(clearness_has_the_quantiles_and_the_spread_of_its_table),
        cmocka_unit_test(the_places_error_stays_through_a_draw_and_spreads_as_the_model_says),
        cmocka_unit_test(the_mean_day_is_no_brighter_than_a_sky_without_clouds),
        cmocka_unit_test(the_same_seed_gives_the_same_bytes_and_another_does_not),
        cmocka_unit_test(another_span_of_the_same_days_meets_the_same_numbers),
        cmocka_unit_test(an_hour_of_the_day_stands_where_the_mean_day_of_western_stations_has_it),
        cmocka_unit_test(hours_reach_each_days_low_near_sunrise_and_high_in_the_afternoon),
        cmocka_unit_test(a_night_goes_from_one_high_to_one_low_over_midnight),
        cmocka_unit_test(the_hours_follow_the_sun_not_the_mean_clock),
        cmocka_unit_test(the_normal_course_is_the_models_and_its_sun_keeps_the_months_clearness),
        cmocka_unit_test(a_plain_frame_gives_the_same_course),
        cmocka_unit_test(a_span_outside_is_refused),
        cmocka_unit_test(every_corner_of_the_domain_gives_numbers),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
