/* What is known better than the climate: days and hours of a course, laid over a frame. */
#include <math.h>

#include "core/base/num.h"
#include "core/base/random.h"
#include "core/sky/climate_fit_internal.h"
#include "core/sky/weather_internal.h"

static const double LEAST_KT = 0.05, MOST_KT = 0.8, LEAST_WET_DAY_MM = 0.3, LEAST_WIND_MS = 0.3, LEAST_RANGE_K = 1.0;
static const double LIGHT_WM2 = 20.0; /* below that the ratio to a cloudless sky says nothing */
static const double FURTHEST = 0.02;  /* rank: the table of days ends there */
enum { WHOLE_H = 12, HALF_MONTH = 15, HALVINGS = 30 };

typedef struct day_sum {
    double high_c, low_c, sun, clear, clear_frac, wind, rain, wet;
    int hours, all; /* known; of the span */
} day_sum;

/* ---- hours to days ---- */

static double hour_clear_frac(const lw_weather_known *k, int h, double clear_wm2)
{
    if (isnan(k->ghi_wm2[h]))
        return k->clear_frac[h];
    return clear_wm2 > LIGHT_WM2 ? k->ghi_wm2[h] / clear_wm2 : NAN;
}

static void add_hour(const lw_weather_known *k, int h, double clear_wm2, day_sum *to)
{
    const double clear_frac = hour_clear_frac(k, h, clear_wm2);
    to->high_c = to->hours ? lw_most(to->high_c, k->air_c[h]) : k->air_c[h];
    to->low_c = to->hours ? lw_least(to->low_c, k->air_c[h]) : k->air_c[h];
    to->wind += k->wind_ms[h];
    to->rain += k->precip_mm[h];
    if (clear_wm2 > LIGHT_WM2 && !isnan(clear_frac)) {
        to->sun += clear_frac * clear_wm2;
        to->clear += clear_wm2;
    }
    to->hours++;
}

static void gather(const lw_weather_frame *frame, const lw_weather_known *k, const float *clear_wm2, int from,
                   int until, day_sum sum[LW_WEATHER_DAYS])
{
    for (int d = 0; d < LW_WEATHER_DAYS; d++)
        sum[d] = (day_sum){.clear_frac = NAN, .wet = NAN};
    for (int h = 0; h < frame->hours; h++)
        sum[frame->hour[h].day].all++;
    for (int h = from; h < until; h++)
        add_hour(k, h, (double)clear_wm2[h], &sum[frame->hour[h].day]);
    for (int d = 0; d < frame->days; d++) {
        if (sum[d].hours == 0)
            continue;
        sum[d].wind /= sum[d].hours;
        sum[d].rain *= 24.0 / sum[d].hours;
        if (sum[d].clear > 0.0)
            sum[d].clear_frac = sum[d].sun / sum[d].clear;
    }
}

/* ---- the usual weather in the climate's place ---- */

/* Mean over the days near a day, weighted alike; of none: the nearest whole day's. */
static day_sum mean_near(const day_sum *sum, int days, int at, int reach)
{
    day_sum mean = {.high_c = 0.0};
    double sunny = 0.0;
    for (int away = 0; away <= days && (away <= reach || mean.hours == 0); away++)
        for (int side = 0; side < 2; side++) {
            const int d = side ? at + away : at - away;
            if (d < 0 || d >= days || sum[d].hours < WHOLE_H || (side && away == 0))
                continue;
            mean.high_c += sum[d].high_c, mean.low_c += sum[d].low_c, mean.wind += sum[d].wind;
            mean.rain += sum[d].rain, mean.hours++;
            if (!isnan(sum[d].clear_frac))
                mean.clear_frac += sum[d].clear_frac, sunny += 1.0;
        }
    if (mean.hours > 0) {
        mean.high_c /= mean.hours, mean.low_c /= mean.hours, mean.wind /= mean.hours, mean.rain /= mean.hours;
        mean.clear_frac = sunny > 0.0 ? mean.clear_frac / sunny : (double)NAN;
    }
    return mean;
}

void lw_frame_lay_usual(const lw_weather_frame_in *in, const float *clear_wm2, lw_weather_frame *frame)
{
    day_sum sum[LW_WEATHER_DAYS];
    gather(frame, in->usual, clear_wm2, 0, frame->hours, sum);
    for (int d = 0; d < frame->days; d++) {
        const day_sum mean = mean_near(sum, frame->days, d, in->usual_is_one_year ? HALF_MONTH : 0);
        lw_climate_day *c = &frame->day[d].climate;
        if (mean.hours == 0) /* a span of hours: no whole day to go by */
            continue;
        c->tmin_c = mean.low_c;
        c->tmax_c = lw_most(mean.high_c, mean.low_c + LEAST_RANGE_K);
        c->wind_ms = lw_most(mean.wind, LEAST_WIND_MS);
        c->wet_day_mm = lw_most(mean.rain / c->wet_frac, LEAST_WET_DAY_MM);
        if (!isnan(mean.clear_frac))
            c->kt = lw_least(lw_most(mean.clear_frac * frame->day[d].clear_kt, LEAST_KT), MOST_KT);
    }
}

/* ---- a forecast ---- */

static double lead_value(const double value[LW_CLIMATE_LEADS], double lead_day)
{
    const double at = lw_least(lw_most(lead_day - 1.0, 0.0), LW_CLIMATE_LEADS - 1.0);
    const int i = (int)lw_least(at, LW_CLIMATE_LEADS - 2.0);
    return value[i] + (at - i) * (value[i + 1] - value[i]);
}

static double cloud_deviate(const lw_weather_normal *n, double clear_frac)
{
    double low = FURTHEST, high = 1.0 - FURTHEST;
    for (int i = 0; i < HALVINGS; i++) {
        const double rank = 0.5 * (low + high);
        if (lw_weather_day_kt(n->climate.kt, rank) < clear_frac * n->clear_kt)
            low = rank;
        else
            high = rank;
    }
    return lw_random_normal(0.5 * (low + high));
}

/* The rain of a wet day is what is said of the day, over the chance that it comes at all. */
static void tell_rain(const lw_weather_said *said, const lw_weather_frame *frame, int d, const day_sum *sum,
                      lw_weather_told *to)
{
    to->wet_frac = NAN;
    to->wet_day_mm = frame->day[d].climate.wet_day_mm;
    for (int h = said->from; said->wet_frac && h < said->until; h++)
        if (frame->hour[h].day == d && !isnan(said->wet_frac[h]))
            to->wet_frac = isnan(to->wet_frac) ? said->wet_frac[h] : lw_most(to->wet_frac, said->wet_frac[h]);
    if (to->wet_frac > 0.0 && sum->rain > 0.0)
        to->wet_day_mm = lw_most(sum->rain / lw_most(to->wet_frac, 0.1), LEAST_WET_DAY_MM);
}

static void tell_day(const lw_weather_frame_in *in, lw_weather_frame *frame, int d, const day_sum *sum)
{
    lw_weather_normal *n = &frame->day[d];
    const double noon_s = ((double)(frame->first_day + d) + 0.5) * 86400.0 - in->site->place.longitude_deg * 240.0;
    const double lead_day = (noon_s - (double)in->said->issued_s) / 86400.0;
    const double high_c = lw_most(sum->high_c, sum->low_c + LEAST_RANGE_K);
    const double clear_frac = isnan(sum->clear_frac) ? n->course.clear_frac : sum->clear_frac;
    n->told = (lw_weather_told){
        .mean_c = 0.5 * (high_c + sum->low_c),
        .air_sd_k = lw_least(lead_value(lw_climate_table.lead_air_sd_k, lead_day), n->climate.sd_k),
        .sky_r = lead_value(lw_climate_table.lead_sky_r, lead_day),
        .cloud = cloud_deviate(n, clear_frac),
        .range =
            lw_weather_range_deviate(n->climate.tmax_c - n->climate.tmin_c, n->climate.sddtr_k, high_c - sum->low_c),
        .wind_ms = lw_most(sum->wind, LEAST_WIND_MS),
    };
    tell_rain(in->said, frame, d, sum, &n->told);
    n->course = (lw_weather_day){.tmin_c = sum->low_c,
                                 .tmax_c = high_c,
                                 .clear_frac = clear_frac,
                                 .precip_mm = sum->rain,
                                 .wind_ms = n->told.wind_ms};
}

static void tell_days(const lw_weather_frame_in *in, const float *clear_wm2, lw_weather_frame *frame)
{
    day_sum sum[LW_WEATHER_DAYS];
    double left_k = 0.0;
    gather(frame, &in->said->known, clear_wm2, in->said->from, in->said->until, sum);
    for (int d = 0; d < frame->days; d++) {
        lw_weather_normal *n = &frame->day[d];
        if (sum[d].hours > 0 && 2 * sum[d].hours >= sum[d].all) {
            tell_day(in, frame, d, &sum[d]);
            left_k = n->told.mean_c - 0.5 * (n->climate.tmax_c + n->climate.tmin_c);
        } else {
            left_k *= n->climate.r1;
            n->course.tmin_c += left_k;
            n->course.tmax_c += left_k;
        }
    }
    /* The first hours come from the high of a day of which the span holds nothing. */
    for (int d = 1; d >= 0; d--)
        if (d + 1 < frame->days && sum[d].all == 0 && frame->day[d + 1].told.air_sd_k > 0.0) {
            frame->day[d].told = frame->day[d + 1].told;
            frame->day[d].course = frame->day[d + 1].course;
        }
}

/* ---- the hours ---- */

static void shape_hour(const lw_weather_known *k, int h, double clear_wm2, lw_weather_frame *frame)
{
    lw_weather_hour *to = &frame->hour[h];
    const lw_weather_day *own = &frame->day[to->day].course;
    const double low_c = frame->day[to->low_day].course.tmin_c, high_c = frame->day[to->high_day].course.tmax_c;
    const double clear_frac = hour_clear_frac(k, h, clear_wm2);
    to->air_off_k = (float)(k->air_c[h] - (low_c + (double)to->share * (high_c - low_c)));
    to->clear_off = isnan(clear_frac) ? 0.0f : (float)(clear_frac - own->clear_frac);
    to->wind = (float)(k->wind_ms[h] / own->wind_ms);
}

void lw_frame_lay_said(const lw_weather_frame_in *in, const float *clear_wm2, lw_weather_frame *frame)
{
    if (in->said)
        tell_days(in, clear_wm2, frame);
    for (int h = 0; h < frame->hours; h++) {
        if (in->said && h >= in->said->from && h < in->said->until &&
            frame->day[frame->hour[h].day].told.air_sd_k > 0.0)
            shape_hour(&in->said->known, h, (double)clear_wm2[h], frame);
        else if (in->usual && !in->usual_is_one_year && !in->said)
            shape_hour(in->usual, h, (double)clear_wm2[h], frame);
    }
}
