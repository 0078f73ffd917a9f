#include "core/sky/weather_draw.h"

#include <math.h>

#include "core/base/num.h"
#include "core/sky/snowfall.h"
#include "core/sky/weather_internal.h"

/* Which numbers of a draw: streams of core/base/random.h. */
enum { STREAM_PLACE = 0x57450001, STREAM_AIR = 0x57450002, STREAM_RAIN = 0x57450003 };

static const double PLACE_R = 0.2;
static const double LEAST_RANGE_K = 1.0, LEAST_WET_MM = 0.25, LEAST_WIND_MS = 0.3;
static const double LEAST_KT = 0.05, MOST_KT = 0.8;
static const double FORECAST_R = 0.5; /* errors of a forecast, from day to day: from memory */
static const double LEAST_WET_HUMIDITY_FRAC = 0.6, MOST_WET_HUMIDITY_FRAC = 0.95; /* while it falls: from memory */

/* What the model is wrong by at the place, in standard deviations. */
typedef struct lw_place_error {
    double tmax, tmin, kt, wind;
} lw_place_error;

typedef struct lw_day_state {
    double mean, cloud, miss; /* standard deviates; miss: of a forecast's error */
    int is_wet, has_begun, has_missed;
} lw_day_state;

static double deviate(uint32_t word)
{
    return lw_random_normal(lw_random_unit(word));
}

static lw_place_error place_error_of(const lw_random_key *key)
{
    const lw_random_words w = lw_random_block(key, STREAM_PLACE, 0);
    const double tmax = deviate(w.word[0]);
    return (lw_place_error){.tmax = tmax,
                            .tmin = PLACE_R * tmax + sqrt(1.0 - PLACE_R * PLACE_R) * deviate(w.word[1]),
                            .kt = deviate(w.word[2]),
                            .wind = deviate(w.word[3])};
}

/* Above the least range: a share of the mean by chance, so that the square of the whole has the spread. */
static double chance_k(double *above_k, double mean_k, double spread_k)
{
    *above_k = lw_most(mean_k - LEAST_RANGE_K, 0.1);
    const double spread = lw_least(spread_k, 1.3 * *above_k);
    return *above_k - sqrt(*above_k * *above_k - 0.5 * spread * spread);
}

double lw_weather_range_k(double mean_k, double spread_k, double deviate)
{
    double above_k;
    const double chance = chance_k(&above_k, mean_k, spread_k);
    const double root = sqrt(above_k - chance) + sqrt(chance) * deviate;
    return LEAST_RANGE_K + root * root;
}

double lw_weather_range_deviate(double mean_k, double spread_k, double range_k)
{
    double above_k;
    const double chance = chance_k(&above_k, mean_k, spread_k);
    const double root = sqrt(lw_most(range_k - LEAST_RANGE_K, 0.0));
    return lw_least(lw_most((root - sqrt(above_k - chance)) / lw_most(sqrt(chance), 1e-9), -3.0), 3.0);
}

static double next_of(double before, double r, double fresh, int has_begun)
{
    return has_begun ? r * before + sqrt(1.0 - r * r) * fresh : fresh;
}

static double clamp(double value, double low, double high)
{
    return lw_least(lw_most(value, low), high);
}

/* Rank of the day's clearness among the days of the season: evenly spread over wet and dry days together. */
static double cloud_rank(const lw_weather_normal *n, const lw_day_state *s)
{
    const double wet = n->climate.wet_frac, gap = n->cloud_gap, spread = n->cloud_spread;
    const double y = (s->is_wet ? -(1.0 - wet) * gap : wet * gap) + spread * s->cloud;
    const double rank =
        wet * lw_normal_frac((y + (1.0 - wet) * gap) / spread) + (1.0 - wet) * lw_normal_frac((y - wet * gap) / spread);
    return clamp(rank, 1e-9, 1.0 - 1e-9);
}

/* ---- what a forecast makes of it ---- */

static double believe(double said, double drawn, double r)
{
    return r * said + sqrt(1.0 - r * r) * drawn;
}

/* The day's mean: said with an error, or on from the day before; the state is what it lies above the draw's own normal. */
static double mean_of(const lw_weather_normal *n, double normal_c, double fresh, lw_day_state *s)
{
    if (n->told.air_sd_k > 0.0) {
        s->miss = next_of(s->miss, FORECAST_R, fresh, s->has_missed);
        s->has_missed = 1;
        s->mean = (n->told.mean_c + n->told.air_sd_k * s->miss - normal_c) / n->climate.sd_k;
    } else {
        s->mean = next_of(s->mean, n->climate.r1, fresh, s->has_begun);
    }
    return normal_c + n->climate.sd_k * s->mean;
}

static int is_wet(const lw_weather_normal *n, double unit, const lw_day_state *s)
{
    const double chain = !s->has_begun ? n->climate.wet_frac : s->is_wet ? n->wet_again_frac : n->wet_anew_frac;
    const int is_told = n->told.air_sd_k > 0.0 && !isnan(n->told.wet_frac);
    return unit < (is_told ? n->told.wet_frac : chain);
}

static double wind_of(const lw_weather_normal *n, double mean_ms, double fresh)
{
    const double r = n->told.air_sd_k > 0.0 ? n->told.sky_r : 0.0;
    const double sd = n->wind_log_sd * sqrt(1.0 - r * r);
    const double about_ms = r > 0.0 ? mean_ms * pow(n->told.wind_ms / mean_ms, r) : mean_ms;
    return about_ms * exp(sd * (fresh - 0.5 * sd));
}

static double snow_of(const lw_weather_frame *frame, const lw_weather_day *day)
{
    const double mean_c = 0.5 * (day->tmin_c + day->tmax_c);
    if (day->precip_mm <= 0.0)
        return 0.0;
    const double humidity_frac =
        clamp(lw_air_humidity_frac(clamp(mean_c, -45.0, 60.0), clamp(day->tmin_c, -45.0, 60.0)),
              LEAST_WET_HUMIDITY_FRAC, MOST_WET_HUMIDITY_FRAC);
    return day->precip_mm * lw_snow_frac(&(lw_snowfall_in){mean_c, humidity_frac, frame->pressure_pa});
}

/* ---- the day ---- */

static void draw_day(const lw_weather_frame *frame, int d, const lw_place_error *e, const lw_random_words *air,
                     const lw_random_words *rain, lw_day_state *s, lw_weather_day *out)
{
    const lw_weather_normal *n = &frame->day[d];
    const lw_climate_day *c = &n->climate;
    const double high_c = c->tmax_c + e->tmax * n->error.tmax_k, low_c = c->tmin_c + e->tmin * n->error.tmin_k;
    const int has_told = n->told.air_sd_k > 0.0;
    s->is_wet = is_wet(n, lw_random_unit(rain->word[0]), s);
    s->cloud = next_of(s->cloud, n->cloud_r, deviate(air->word[1]), s->has_begun);
    const double mean_c = mean_of(n, 0.5 * (high_c + low_c), deviate(air->word[0]), s);
    s->has_begun = 1;

    double rank = cloud_rank(n, s);
    const double cloud = lw_random_normal(rank);
    if (has_told)
        rank = clamp(lw_normal_frac(believe(n->told.cloud, cloud, n->told.sky_r)), 1e-9, 1.0 - 1e-9);
    const double wet = c->wet_frac;
    const double dryness = s->is_wet ? -sqrt((1.0 - wet) / wet) : sqrt(wet / (1.0 - wet));
    const double drawn = n->range_cloud * cloud + n->range_wet * dryness + n->range_rest * deviate(air->word[2]);
    const double range_k =
        lw_weather_range_k(high_c - low_c, c->sddtr_k, has_told ? believe(n->told.range, drawn, n->told.sky_r) : drawn);
    const double mean_kt = clamp(c->kt + e->kt * n->error.kt, LEAST_KT, MOST_KT);
    const double wind_ms = lw_most(c->wind_ms + e->wind * n->error.wind_ms, LEAST_WIND_MS);
    const double wet_day_mm = has_told ? n->told.wet_day_mm : c->wet_day_mm;
    *out = (lw_weather_day){
        .tmin_c = mean_c - 0.5 * range_k,
        .tmax_c = mean_c + 0.5 * range_k,
        .clear_frac = lw_least(lw_weather_day_kt(mean_kt, rank) / n->clear_kt, LW_WEATHER_MOST_CLEAR_FRAC),
        .wind_ms = wind_of(n, wind_ms, deviate(air->word[3])),
        .is_wet = s->is_wet,
        .precip_mm = s->is_wet ? LEAST_WET_MM - (wet_day_mm - LEAST_WET_MM) * log(lw_random_unit(rain->word[1])) : 0.0,
    };
    out->snow_mm = snow_of(frame, out);
}

void lw_weather_draw(const lw_weather_frame *frame, const lw_random_key *key, int with_place_error,
                     lw_weather_day day[LW_WEATHER_DAYS])
{
    const lw_place_error error = with_place_error ? place_error_of(key) : (lw_place_error){0};
    lw_day_state state = {0};
    for (int d = 0; d < frame->days; d++) {
        const lw_random_words air = lw_random_block(key, STREAM_AIR, frame->first_day + d);
        const lw_random_words rain = lw_random_block(key, STREAM_RAIN, frame->first_day + d);
        draw_day(frame, d, &error, &air, &rain, &state, &day[d]);
    }
}

void lw_weather_normal_days(const lw_weather_frame *frame, lw_weather_day day[LW_WEATHER_DAYS])
{
    for (int d = 0; d < frame->days; d++) {
        day[d] = frame->day[d].course;
        day[d].snow_mm = snow_of(frame, &day[d]);
    }
}

static double humidity_at(double air_c, double dew_c)
{
    return lw_least(lw_air_humidity_frac(clamp(air_c, -45.0, 60.0), clamp(dew_c, -45.0, 60.0)), 1.0);
}

void lw_weather_hours(const lw_weather_frame *frame, const lw_weather_day *day, const lw_weather_series *to)
{
    for (int i = 0; i < frame->hours; i++) {
        const lw_weather_hour *h = &frame->hour[i];
        const lw_weather_day *own = &day[h->day];
        const double low_c = day[h->low_day].tmin_c;
        const double air_c = low_c + (double)h->share * (day[h->high_day].tmax_c - low_c) + (double)h->air_off_k;
        if (to->air_c)
            to->air_c[i] = air_c;
        if (to->clear_frac)
            to->clear_frac[i] =
                clamp(own->clear_frac + (double)h->clear_off, LW_WEATHER_LEAST_CLEAR_FRAC, LW_WEATHER_MOST_CLEAR_FRAC);
        if (to->wind_ms)
            to->wind_ms[i] = own->wind_ms * (double)h->wind;
        if (to->precip_mm)
            to->precip_mm[i] = own->precip_mm / 24.0;
        if (to->snow_mm)
            to->snow_mm[i] = own->snow_mm / 24.0;
        const double dew_c = own->tmin_c - frame->day[h->day].dew_below_k;
        if (to->humidity_frac)
            to->humidity_frac[i] = humidity_at(air_c, dew_c);
        if (to->dew_c)
            to->dew_c[i] = lw_least(clamp(dew_c, -45.0, 60.0), clamp(air_c, -45.0, 60.0));
    }
}
