#include "core/sky/weather_frame.h"

#include <math.h>

#include "core/base/civil.h"
#include "core/base/num.h"
#include "core/base/random.h"
#include "core/sky/clear_sky.h"
#include "core/sky/climate_fit_internal.h"
#include "core/sky/weather_internal.h"
#include "core/sky/weather_plain.h"

static const double RAD = 0.017453292519943295, PI = 3.14159265358979323846;
static const double LOW_BEHIND_SUNRISE_H = 0.4, HIGH_BEHIND_NOON_H = 1.8, NIGHT_DECAY = 2.2; /* our own fit */
static const double SIDES_AT_DEG = -102.0; /* data/climate/months.csv: west, east */
static const double LAG_BIAS = 0.05;       /* of the raw month estimates, as that table says */
static const double LEAST_REST = 0.05;     /* of the range's variance, that neither cloud nor rain decides */
static const double SHORTEST_DAY_H = 4.0, LONGEST_DAY_H = 20.0;
enum { NODES = 24, HALVINGS = 16 };

lw_code lw_weather_frame_check(const lw_weather_frame_in *in, lw_fault *fault)
{
    const lw_want wants[] = {
        {"hours", in->hours, 1.0, LW_WEATHER_HOURS},
        {"start_s", (double)in->start_s, -2.0e10, 2.0e11},
        {"linke_turbidity", in->linke_turbidity, 1.0, 15.0},
    };
    lw_code bad = lw_climate_check(&in->site->place, fault);
    bad = bad ? bad : lw_want_all(fault, LW_WANTS(wants));
    if (bad || !in->said)
        return bad;
    const lw_want of_said[] = {
        {"from", in->said->from, 0.0, in->hours},
        {"until", in->said->until, in->said->from, in->hours},
        {"issued_s", (double)in->said->issued_s, -2.0e10, 2.0e11},
    };
    return lw_want_all(fault, LW_WANTS(of_said));
}

/* ---- the hour ---- */

double lw_weather_share(double solar_h, double sunrise_h, double sunset_h, int *is_evening, int *is_before_low)
{
    const double low_h = sunrise_h + LOW_BEHIND_SUNRISE_H, high_h = 12.0 + HIGH_BEHIND_NOON_H;
    const double quarter_h = (high_h - low_h) / (0.5 * PI);
    *is_evening = solar_h >= high_h;
    *is_before_low = solar_h < low_h;
    if (solar_h >= low_h && solar_h <= sunset_h)
        return sin((solar_h - low_h) / quarter_h);
    const double dark_h = solar_h > sunset_h ? solar_h - sunset_h : solar_h + 24.0 - sunset_h;
    const double night_h = 24.0 - sunset_h + low_h, end = exp(-NIGHT_DECAY);
    return sin((sunset_h - low_h) / quarter_h) * (exp(-NIGHT_DECAY * dark_h / night_h) - end) / (1.0 - end);
}

/* The shapes hold at the middle of their seasons: 15 January, April, July, October. */
static double wind_shape(double year_day, double solar_h)
{
    const double at = fmod((year_day - 15.0) / 91.3125 + 4.0, 4.0), hour = fmod(solar_h + 23.5, 24.0);
    const int season = (int)at % 4, next = (season + 1) % 4, h = (int)hour % 24, then = (h + 1) % 24;
    const double *a = lw_climate_table.wind_shape[season], *b = lw_climate_table.wind_shape[next];
    const double t = at - floor(at), s = hour - floor(hour);
    return (1.0 - t) * (a[h] + s * (a[then] - a[h])) + t * (b[h] + s * (b[then] - b[h]));
}

/* ---- clearness of a day ---- */

static int row_of(double mean_kt, double *part)
{
    const double *mean = lw_climate_table.day_mean;
    int row = 0;
    while (row + 2 < LW_CLIMATE_ROWS && mean_kt > mean[row + 1])
        row++;
    *part = lw_least(lw_most((mean_kt - mean[row]) / (mean[row + 1] - mean[row]), 0.0), 1.0);
    return row;
}

static double row_mean_kt(const double *row)
{
    const double *p = lw_climate_table.day_p;
    double sum = row[0] * p[0] + row[LW_CLIMATE_QUANTILES - 1] * (1.0 - p[LW_CLIMATE_QUANTILES - 1]);
    for (int i = 0; i + 1 < LW_CLIMATE_QUANTILES; i++)
        sum += 0.5 * (row[i] + row[i + 1]) * (p[i + 1] - p[i]);
    return sum;
}

/* The days of a month of that mean: between two rows of the table. */
typedef struct month_days {
    const double *low, *high;
    double part, mean_kt, rows_kt; /* rows_kt: mean of the rows themselves */
} month_days;

static month_days month_of(double mean_kt)
{
    double part;
    const int at = row_of(mean_kt, &part);
    const double *low = lw_climate_table.day_kt[at], *high = lw_climate_table.day_kt[at + 1];
    return (month_days){low, high, part, mean_kt, (1.0 - part) * row_mean_kt(low) + part * row_mean_kt(high)};
}

static double row_at(const double *row, int i, double rank_frac)
{
    const double *p = lw_climate_table.day_p;
    return row[i] + (row[i + 1] - row[i]) * (rank_frac - p[i]) / (p[i + 1] - p[i]);
}

static double day_kt(const month_days *m, double rank_frac)
{
    const double *p = lw_climate_table.day_p;
    double low, high;
    if (rank_frac <= p[0]) {
        low = m->low[0];
        high = m->high[0];
    } else if (rank_frac >= p[LW_CLIMATE_QUANTILES - 1]) {
        low = m->low[LW_CLIMATE_QUANTILES - 1];
        high = m->high[LW_CLIMATE_QUANTILES - 1];
    } else {
        int i = 0;
        while (rank_frac > p[i + 1])
            i++;
        low = row_at(m->low, i, rank_frac);
        high = row_at(m->high, i, rank_frac);
    }
    return ((1.0 - m->part) * low + m->part * high) * m->mean_kt / m->rows_kt;
}

double lw_weather_day_kt(double mean_kt, double rank_frac)
{
    const month_days m = month_of(mean_kt);
    return day_kt(&m, rank_frac);
}

/* ---- how cloud, rain and range hang together ---- */

static double of_month(const lw_weather_frame_in *in, lw_climate_monthly what, double year_day)
{
    const double at = (year_day - 0.5) / 365.25 * 12.0 + 11.5, whole = floor(at);
    const double *value = lw_climate_table.of_month[what][in->site->place.longitude_deg > SIDES_AT_DEG];
    const int before = (int)whole % 12;
    return value[before] + (at - whole) * (value[(before + 1) % 12] - value[before]);
}

static double spread_of(double wet_frac, double gap)
{
    return sqrt(lw_most(1.0 - wet_frac * (1.0 - wet_frac) * gap * gap, 0.0));
}

static double rank_of(const lw_weather_normal *n, double deviate)
{
    const double wet = n->climate.wet_frac;
    return wet * lw_normal_frac((deviate + (1.0 - wet) * n->cloud_gap) / n->cloud_spread) +
           (1.0 - wet) * lw_normal_frac((deviate - wet * n->cloud_gap) / n->cloud_spread);
}

/* The middles of equal shares of a normal deviate. */
typedef struct nodes {
    double z[NODES];
} nodes;

static nodes nodes_of_normal(void)
{
    nodes n;
    for (int i = 0; i < NODES; i++)
        n.z[i] = lw_random_normal((i + 0.5) / NODES);
    return n;
}

static double wet_rank(const lw_weather_normal *n, double z)
{
    return rank_of(n, -(1.0 - n->climate.wet_frac) * n->cloud_gap + n->cloud_spread * z);
}

/* On wet days: mean clearness, and mean of the rank as a normal deviate. */
static double wet_mean_kt(const lw_weather_normal *n, const nodes *at, const month_days *month)
{
    double kt = 0.0;
    for (int i = 0; i < NODES; i++)
        kt += day_kt(month, wet_rank(n, at->z[i])) / NODES;
    return kt;
}

static double wet_mean_deviate(const lw_weather_normal *n, const nodes *at)
{
    double deviate = 0.0;
    for (int i = 0; i < NODES; i++)
        deviate += lw_random_normal(lw_least(lw_most(wet_rank(n, at->z[i]), 1e-9), 1.0 - 1e-9)) / NODES;
    return deviate;
}

/* The gap between dry and wet days that gives the wanted ratio of their clearness: larger gap, smaller ratio. */
static double find_gap(lw_weather_normal *n, const nodes *at, const month_days *month, double wet_over_dry)
{
    const double wet = n->climate.wet_frac, want_kt = n->climate.kt * wet_over_dry / (wet * wet_over_dry + 1.0 - wet);
    double low = 0.0, high = 0.98 / sqrt(wet * (1.0 - wet));
    for (int i = 0; i < HALVINGS; i++) {
        n->cloud_gap = 0.5 * (low + high);
        n->cloud_spread = spread_of(wet, n->cloud_gap);
        if (wet_mean_kt(n, at, month) > want_kt)
            low = n->cloud_gap;
        else
            high = n->cloud_gap;
    }
    return wet_mean_deviate(n, at);
}

/* Correlation of the days' clearness with its rank as a normal deviate: below 1, as clearness is lopsided. */
static double lopsided(const nodes *at, const month_days *month)
{
    double square = 0.0, both = 0.0;
    for (int i = 0; i < NODES; i++) {
        const double off_kt = day_kt(month, (i + 0.5) / NODES) - month->mean_kt;
        square += off_kt * off_kt / NODES;
        both += off_kt * at->z[i] / NODES;
    }
    return both / sqrt(square);
}

static void tie_cloud_and_range(const lw_weather_frame_in *in, const nodes *at, double year_day, lw_weather_normal *n)
{
    const month_days month = month_of(n->climate.kt);
    const double wet = n->climate.wet_frac, both = sqrt(wet * (1.0 - wet));
    const double wet_deviate = find_gap(n, at, &month, of_month(in, LW_MONTHLY_KT_WET_OVER_DRY, year_day));
    const double wet_r = n->wet_again_frac - n->wet_anew_frac, between = both * both * n->cloud_gap * n->cloud_gap;
    const double lag = of_month(in, LW_MONTHLY_KT_LAG1_RAW, year_day) + LAG_BIAS;
    n->cloud_r = lw_least(lw_most((lag - between * wet_r) / (1.0 - between), 0.0), 0.9);
    /* Of the range: correlation with clearness, and the difference of dry and wet days in its own spread. */
    const double tied = -wet_deviate * wet / both; /* of dryness and clearness */
    const double ratio = of_month(in, LW_MONTHLY_DTR_WET_OVER_DRY, year_day);
    const double range_k = n->climate.tmax_c - n->climate.tmin_c;
    const double want_cloud = of_month(in, LW_MONTHLY_KT_DTR_CORR, year_day) / lopsided(at, &month);
    const double want_dry =
        lw_least(range_k * (1.0 - ratio) / (wet * ratio + 1.0 - wet) / n->climate.sddtr_k * both, 0.9);
    n->range_cloud = (want_cloud - want_dry * tied) / (1.0 - tied * tied);
    n->range_wet = (want_dry - want_cloud * tied) / (1.0 - tied * tied);
    const double decided = n->range_cloud * want_cloud + n->range_wet * want_dry;
    const double shrink = decided > 1.0 - LEAST_REST ? sqrt((1.0 - LEAST_REST) / decided) : 1.0;
    n->range_cloud *= shrink;
    n->range_wet *= shrink;
    n->range_rest = sqrt(1.0 - lw_least(decided, 1.0 - LEAST_REST));
}

/* ---- the day ---- */

double lw_frame_clear_wm2(const lw_weather_frame_in *in, const lw_frame_sun *sky, double t_s, double *above_wm2)
{
    lw_sun sun;
    lw_clear_out out;
    lw_sun_at(&sky->table, &sky->place, t_s, &sun);
    const double extra_wm2 = lw_clear_extra_dni_at_wm2(sun.radius_au);
    lw_clear(&(lw_clear_in){.apparent_zenith_deg = 90.0 - sun.apparent_elevation_deg,
                            .pressure_pa = sky->air.pressure_pa,
                            .elevation_m = in->site->place.elevation_m,
                            .linke_turbidity = in->linke_turbidity,
                            .extra_dni_wm2 = extra_wm2},
             &out);
    *above_wm2 = extra_wm2 * lw_most(sun.cos_zenith, 0.0);
    return out.ghi_wm2;
}

/* Over the day's sums: a sky without cloud against the sun above the air. */
static double clear_kt(const lw_weather_frame_in *in, const lw_frame_sun *sky, int64_t day)
{
    const double midnight_s = (double)day * 86400.0 - in->site->place.longitude_deg * 240.0;
    double clear = 0.0, above = 0.0;
    for (int half = 0; half < 48; half++) {
        double above_wm2;
        clear += lw_frame_clear_wm2(in, sky, midnight_s + half * 1800.0 + 900.0, &above_wm2);
        above += above_wm2;
    }
    return above > 100.0 && clear > 0.0 ? clear / above : 0.7; /* polar night: any figure will do */
}

/* Our own rule: the wider the range and the rarer the rain, the drier the air. */
static double dew_below_k(const lw_climate_day *climate)
{
    return 1.4 * lw_most(climate->tmax_c - climate->tmin_c - 8.0, 0.0) * lw_most(1.0 - climate->wet_frac / 0.45, 0.0);
}

static int year_day_of(int64_t day, int *month)
{
    const lw_date date = lw_date_of(day);
    *month = date.month;
    return (int)(day - lw_day_of((lw_date){date.year, 1, 1})) + 1;
}

static void find_normal(const lw_weather_frame_in *in, int64_t day, lw_weather_normal *n)
{
    int month;
    const double year_day = year_day_of(day, &month);
    *n = (lw_weather_normal){.clear_kt = (double)NAN};
    lw_climate_of_day(in->site, year_day, &n->climate);
    lw_climate_error(in->site, month, &n->error);
}

/* Day by day, or every few days and straight between. */
static void find_clear(const lw_weather_frame_in *in, const lw_frame_sun *sky, int stride, lw_weather_frame *frame)
{
    const int last = frame->days - 1;
    lw_weather_normal *day = frame->day;
    day[0].clear_kt = clear_kt(in, sky, frame->first_day);
    for (int from = 0, to; from < last; from = to) {
        to = from + stride < last ? from + stride : last;
        day[to].clear_kt = clear_kt(in, sky, frame->first_day + to);
        for (int d = from + 1; d < to; d++)
            day[d].clear_kt = day[from].clear_kt + (day[to].clear_kt - day[from].clear_kt) * (d - from) / (to - from);
    }
}

/* at NULL: how days are spread is not asked. */
static void tie_day(const lw_weather_frame_in *in, const nodes *at, int64_t day, lw_weather_normal *n)
{
    int month;
    const double year_day = year_day_of(day, &month), wet = n->climate.wet_frac;
    /* The fit knows no air mass: under the low sun of a northern winter its mean is brighter than a sky without a cloud. */
    n->climate.kt = lw_least(n->climate.kt, n->clear_kt);
    n->wet_again_frac = lw_climate_wet_again_frac(in->site, year_day, wet);
    n->wet_anew_frac = lw_least(wet * (1.0 - n->wet_again_frac) / (1.0 - wet), 1.0);
    if (at)
        tie_cloud_and_range(in, at, year_day, n);
    const double wind_cv = of_month(in, LW_MONTHLY_WIND_DAILY_SD_OVER_MEAN, year_day);
    n->wind_log_sd = sqrt(log(1.0 + wind_cv * wind_cv));
    n->dew_below_k = dew_below_k(&n->climate);
    n->course = (lw_weather_day){.tmin_c = n->climate.tmin_c,
                                 .tmax_c = n->climate.tmax_c,
                                 .clear_frac = lw_least(n->climate.kt / n->clear_kt, LW_WEATHER_MOST_CLEAR_FRAC),
                                 .precip_mm = wet * n->climate.wet_day_mm,
                                 .wind_ms = n->climate.wind_ms};
}

static int64_t solar_day_of(double t_s, double longitude_deg, double *hour)
{
    const double days = (t_s + longitude_deg * 240.0) / 86400.0, whole = floor(days);
    *hour = (days - whole) * 24.0;
    return (int64_t)whole;
}

/* Half the day from sunrise to sunset, as the hour angle of the sun's upper limb. */
static double half_day_h(const lw_frame_sun *sky, double sin_declination)
{
    const double cos_declination = sqrt(1.0 - sin_declination * sin_declination);
    const double cos_angle = (sin(LW_SPA_SUNSET_DEG * RAD) - sky->place.sin_latitude * sin_declination) /
                             lw_most(sky->place.cos_latitude * cos_declination, 1e-9);
    const double half_h = acos(lw_least(lw_most(cos_angle, -1.0), 1.0)) * 12.0 / PI;
    return lw_least(lw_most(half_h, 0.5 * SHORTEST_DAY_H), 0.5 * LONGEST_DAY_H);
}

static void fill_hour(const lw_weather_frame_in *in, const lw_frame_sun *sky, int i, lw_weather_frame *frame)
{
    double solar_h;
    const double longitude_deg = in->site->place.longitude_deg;
    const int64_t day = solar_day_of((double)in->start_s + 3600.0 * i + 1800.0, longitude_deg, &solar_h);
    const int at = (int)(day - frame->first_day), row = (int)(day - sky->table.first_day) + 1;
    int is_evening, is_before_low, month;
    /* Apparent time: the table's hour angle at Greenwich midnight is half a turn and the equation of time. That this may carry an
     * hour's middle a little over midnight does not matter. */
    const double early_h = (sky->table.row[row].lead_rad - PI) * 12.0 / PI;
    const double half_h = half_day_h(sky, sky->table.row[row].sin_declination);
    const double apparent_h = lw_least(lw_most(solar_h + early_h, 0.0), 24.0);
    const double share = lw_weather_share(apparent_h, 12.0 - half_h, 12.0 + half_h, &is_evening, &is_before_low);
    frame->hour[i] = (lw_weather_hour){
        .day = (uint8_t)at,
        .low_day = (uint8_t)(is_evening ? at + 1 : at),
        .high_day = (uint8_t)(is_before_low ? at - 1 : at),
        .share = (float)share,
        .wind = (float)wind_shape(year_day_of(day, &month), solar_h),
    };
}

static void make(const lw_weather_frame_in *in, int is_plain, lw_weather_frame *frame)
{
    double unused;
    float clear_wm2[LW_WEATHER_HOURS];
    lw_frame_sun sky;
    const lw_climate_place *place = &in->site->place;
    const double last_s = (double)in->start_s + 3600.0 * in->hours;
    frame->first_day = solar_day_of((double)in->start_s, place->longitude_deg, &unused) - 1;
    frame->days = (int)(solar_day_of(last_s, place->longitude_deg, &unused) - frame->first_day) + 2;
    frame->hours = in->hours;
    sky.air = lw_air_standard(place->elevation_m);
    sky.place = lw_sun_place_at(place->latitude_deg, place->longitude_deg, place->elevation_m);
    lw_sun_table_fill(&sky.table, frame->first_day, frame->days + 2, LW_SPA_DELTA_T_S);
    frame->pressure_pa = sky.air.pressure_pa;
    for (int d = 0; d < frame->days; d++)
        find_normal(in, frame->first_day + d, &frame->day[d]);
    find_clear(in, &sky, is_plain ? LW_WEATHER_CLEAR_DAYS : 1, frame);
    for (int i = 0; i < in->hours; i++) {
        fill_hour(in, &sky, i, frame);
        if (in->usual || in->said)
            clear_wm2[i] = (float)lw_frame_clear_wm2(in, &sky, (double)in->start_s + 3600.0 * i + 1800.0, &unused);
    }
    if (in->usual)
        lw_frame_lay_usual(in, clear_wm2, frame);
    const nodes at = nodes_of_normal();
    for (int d = 0; d < frame->days; d++)
        tie_day(in, is_plain ? NULL : &at, frame->first_day + d, &frame->day[d]);
    if (in->usual || in->said)
        lw_frame_lay_said(in, clear_wm2, frame);
}

void lw_weather_frame_make(const lw_weather_frame_in *in, lw_weather_frame *frame)
{
    make(in, 0, frame);
}

void lw_weather_frame_plain(const lw_weather_frame_in *in, lw_weather_frame *frame)
{
    make(in, 1, frame);
}
