#include "core/sky/weather_draw.h"

#include <math.h>

#include "core/base/num.h"
#include "core/sky/air.h"

/* Which numbers of a draw: streams of core/base/random.h. */
enum { STREAM_PLACE = 0x57450001, STREAM_AIR = 0x57450002, STREAM_RAIN = 0x57450003 };

static const double PLACE_R = 0.2;
static const double LEAST_RANGE_K = 1.0, LEAST_WET_MM = 0.25, LEAST_WIND_MS = 0.3;
static const double LEAST_KT = 0.05, MOST_KT = 0.8, MOST_CLEAR_FRAC = 1.3;

/* What the model is wrong by at the place, in standard deviations. */
typedef struct lw_place_error {
    double tmax, tmin, kt, wind;
} lw_place_error;

typedef struct lw_day_state {
    double mean, cloud; /* standard deviates */
    int is_wet, has_begun;
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

/* A range of this mean and spread that never falls below the least: what is above it is the square of a normal deviate. */
static double range_of(double mean_k, double spread_k, double w)
{
    const double above_k = lw_most(mean_k - LEAST_RANGE_K, 0.1), spread = lw_least(spread_k, 1.3 * above_k);
    const double chance = above_k - sqrt(above_k * above_k - 0.5 * spread * spread); /* share of the mean by chance */
    const double root = sqrt(above_k - chance) + sqrt(chance) * w;
    return LEAST_RANGE_K + root * root;
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

static void draw_day(const lw_weather_normal *n, const lw_place_error *e, const lw_random_words *air,
                     const lw_random_words *rain, lw_day_state *s, lw_weather_day *out)
{
    const lw_climate_day *c = &n->climate;
    const double wet_chance = !s->has_begun ? c->wet_frac : s->is_wet ? n->wet_again_frac : n->wet_anew_frac;
    s->is_wet = lw_random_unit(rain->word[0]) < wet_chance;
    s->mean = next_of(s->mean, c->r1, deviate(air->word[0]), s->has_begun);
    s->cloud = next_of(s->cloud, n->cloud_r, deviate(air->word[1]), s->has_begun);
    s->has_begun = 1;

    const double rank = cloud_rank(n, s), wet = c->wet_frac;
    const double dryness = s->is_wet ? -sqrt((1.0 - wet) / wet) : sqrt(wet / (1.0 - wet));
    const double w =
        n->range_cloud * lw_random_normal(rank) + n->range_wet * dryness + n->range_rest * deviate(air->word[2]);
    const double high_c = c->tmax_c + e->tmax * n->error.tmax_k, low_c = c->tmin_c + e->tmin * n->error.tmin_k;
    const double range_k = range_of(high_c - low_c, c->sddtr_k, w);
    const double mean_c = 0.5 * (high_c + low_c) + c->sd_k * s->mean;
    const double mean_kt = clamp(c->kt + e->kt * n->error.kt, LEAST_KT, MOST_KT);
    const double wind_ms = lw_most(c->wind_ms + e->wind * n->error.wind_ms, LEAST_WIND_MS);
    *out = (lw_weather_day){
        .tmin_c = mean_c - 0.5 * range_k,
        .tmax_c = mean_c + 0.5 * range_k,
        .clear_frac = lw_least(lw_weather_day_kt(mean_kt, rank) / n->clear_kt, MOST_CLEAR_FRAC),
        .wind_ms = wind_ms * exp(n->wind_log_sd * (deviate(air->word[3]) - 0.5 * n->wind_log_sd)),
        .is_wet = s->is_wet,
        .precip_mm =
            s->is_wet ? LEAST_WET_MM - (c->wet_day_mm - LEAST_WET_MM) * log(lw_random_unit(rain->word[1])) : 0.0,
    };
}

void lw_weather_draw(const lw_weather_frame *frame, const lw_random_key *key, int with_place_error,
                     lw_weather_day day[LW_WEATHER_DAYS])
{
    const lw_place_error error = with_place_error ? place_error_of(key) : (lw_place_error){0};
    lw_day_state state = {0};
    for (int d = 0; d < frame->days; d++) {
        const lw_random_words air = lw_random_block(key, STREAM_AIR, frame->first_day + d);
        const lw_random_words rain = lw_random_block(key, STREAM_RAIN, frame->first_day + d);
        draw_day(&frame->day[d], &error, &air, &rain, &state, &day[d]);
    }
}

void lw_weather_normal_days(const lw_weather_frame *frame, lw_weather_day day[LW_WEATHER_DAYS])
{
    for (int d = 0; d < frame->days; d++) {
        const lw_climate_day *c = &frame->day[d].climate;
        day[d] = (lw_weather_day){.tmin_c = c->tmin_c,
                                  .tmax_c = c->tmax_c,
                                  .clear_frac = lw_least(c->kt / frame->day[d].clear_kt, MOST_CLEAR_FRAC),
                                  .precip_mm = c->wet_frac * c->wet_day_mm,
                                  .wind_ms = c->wind_ms};
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
        const double air_c = low_c + (double)h->share * (day[h->high_day].tmax_c - low_c);
        if (to->air_c)
            to->air_c[i] = air_c;
        if (to->clear_frac)
            to->clear_frac[i] = own->clear_frac;
        if (to->wind_ms)
            to->wind_ms[i] = own->wind_ms * (double)h->wind;
        if (to->precip_mm)
            to->precip_mm[i] = own->precip_mm / 24.0;
        if (to->humidity_frac)
            to->humidity_frac[i] = humidity_at(air_c, own->tmin_c - frame->day[h->day].dew_below_k);
    }
}
