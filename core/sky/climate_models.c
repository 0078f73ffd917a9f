/* The climate of a place as a model by name. */
#include "core/base/model.h"
#include "core/sky/climate.h"

enum { LAT, LON, ELEVATION, MONTH };
static const lw_column IN[] = {
    {"lat", "degrees, north positive", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"lon", "degrees, east positive", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"elev_m", "above sea level", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"month", "1..12", LW_COLUMN_NUMBER, 0, NULL, 0},
};
static const lw_column OUT[] = {
    {"tmax", "mean daily high of the air, C", LW_COLUMN_NUMBER, 0, NULL, 4},
    {"tmin", "mean daily low, C", LW_COLUMN_NUMBER, 0, NULL, 4},
    {"sd", "standard deviation of a day's mean about its normal, K", LW_COLUMN_NUMBER, 0, NULL, 4},
    {"sddtr", "standard deviation of a day's range, K", LW_COLUMN_NUMBER, 0, NULL, 4},
    {"r1", "correlation of the daily mean with the day before", LW_COLUMN_NUMBER, 0, NULL, 4},
    {"kt", "clearness: global on the level over that above the air", LW_COLUMN_NUMBER, 0, NULL, 4},
    {"wet", "share of days with 0.25 mm or more", LW_COLUMN_NUMBER, 0, NULL, 4},
    {"pmm", "rain and melted snow of a wet day, mm", LW_COLUMN_NUMBER, 0, NULL, 4},
    {"wind", "at 10 m in the open, m/s", LW_COLUMN_NUMBER, 0, NULL, 4},
    {"tmax_error_k", "what the model misses of tmax there, root mean square", LW_COLUMN_NUMBER, 0, NULL, 2},
    {"tmin_error_k", "the same of tmin", LW_COLUMN_NUMBER, 0, NULL, 2},
    {"inside", "1; or 0: the place lies outside the domain, the figures are those of its edge and no answer for it",
     LW_COLUMN_NUMBER, 0, NULL, 0},
};

/* A little beyond the domain the formula can be checked where it holds the place at the edge; households get no answer from
 * there: lw_climate_check refuses. */
static lw_code apply(const double *in, double *out, lw_fault *fault)
{
    const lw_want wants[] = {{"lat", in[LAT], 20.0, 70.0},
                             {"lon", in[LON], -170.0, -55.0},
                             {"elev_m", in[ELEVATION], -500.0, 5000.0},
                             {"month", in[MONTH], 1.0, 12.0}};
    const lw_code bad = lw_want_all(fault, LW_WANTS(wants));
    if (bad)
        return bad;
    const lw_climate_place place = {in[LAT], in[LON], in[ELEVATION]};
    const int month = (int)(in[MONTH] + 0.5);
    lw_fault unused;
    lw_climate_site site;
    lw_climate_day day;
    lw_climate_rms error;
    lw_climate_site_make(&place, &site);
    lw_climate_of_month(&site, month, &day);
    lw_climate_error(&site, month, &error);
    const double is_inside = lw_climate_check(&place, &unused) == LW_OK;
    const double results[] = {day.tmax_c,   day.tmin_c,     day.sd_k,    day.sddtr_k,  day.r1,       day.kt,
                              day.wet_frac, day.wet_day_mm, day.wind_ms, error.tmax_k, error.tmin_k, is_inside};
    for (size_t i = 0; i < sizeof results / sizeof results[0]; i++)
        out[i] = results[i];
    return LW_OK;
}

const lw_model lw_model_climate = {
    .name = "climate",
    .what = "the typical weather of a place and month in North America, 1991-2020",
    .source = "our own fit; figures, data and errors in data/climate/",
    .in = LW_COLUMNS(IN),
    .out = LW_COLUMNS(OUT),
    .apply = apply,
};
