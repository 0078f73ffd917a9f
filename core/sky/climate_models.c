/* The climate of a place as a model by name. */
#include <math.h>

#include "core/base/model.h"
#include "core/sky/climate.h"

static const lw_column IN[] = {
    {"lat", "latitude, degrees north", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"lon", "longitude, degrees east (so negative)", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"elev_m", "above sea level", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"month", "1..12", LW_COLUMN_NUMBER, 0, NULL, 0},
};

static const lw_column OUT[] = {
    {"tmax", "mean daily maximum, C", LW_COLUMN_NUMBER, 0, NULL, 4},
    {"tmin", "mean daily minimum, C", LW_COLUMN_NUMBER, 0, NULL, 4},
    {"sd", "standard deviation of a day's mean about its normal, K", LW_COLUMN_NUMBER, 0, NULL, 4},
    {"sddtr", "standard deviation of a day's range, K", LW_COLUMN_NUMBER, 0, NULL, 4},
    {"r1", "correlation with the day before", LW_COLUMN_NUMBER, 0, NULL, 4},
    {"kt", "clearness: global over extraterrestrial irradiation", LW_COLUMN_NUMBER, 0, NULL, 4},
    {"wet", "chance of a day with 0.25 mm or more", LW_COLUMN_NUMBER, 0, NULL, 4},
    {"pmm", "mean of a wet day, mm", LW_COLUMN_NUMBER, 0, NULL, 4},
    {"wind", "mean at 10 m in the open, m/s", LW_COLUMN_NUMBER, 0, NULL, 4},
    {"tmax_error_k", "what the model misses of tmax, root mean square", LW_COLUMN_NUMBER, 0, NULL, 3},
    {"tmin_error_k", "of tmin", LW_COLUMN_NUMBER, 0, NULL, 3},
    {"inside", "1: inside the fitted domain; 0: the figures are those of its edge and no answer for the place",
     LW_COLUMN_NUMBER, 0, NULL, 0},
};

static lw_code apply(const double *in, double *out, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "lat", in[0], -90.0, 90.0);
    bad = bad ? bad : lw_want_range(fault, "lon", in[1], -180.0, 180.0);
    bad = bad ? bad : lw_want_range(fault, "elev_m", in[2], -500.0, 9000.0);
    bad = bad ? bad : lw_want_range(fault, "month", in[3], 1.0, 12.0);
    if (bad)
        return bad;
    lw_climate_site site;
    lw_climate_day day;
    lw_climate_error error;
    lw_fault outside;
    const double is_inside = lw_climate_check(in[0], in[1], in[2], &outside) == LW_OK;
    lw_climate_prepare(in[0], in[1], in[2], &site);
    lw_climate_in_month(&site, (int)floor(in[3]), &day);
    lw_climate_error_of(&site, in[1], &error);
    const double result[] = {day.tmax_c,   day.tmin_c, day.sd_k,    day.sddtr_k,  day.r1,       day.kt,
                             day.wet_frac, day.wet_mm, day.wind_ms, error.tmax_k, error.tmin_k, is_inside};
    for (size_t i = 0; i < sizeof result / sizeof result[0]; i++)
        out[i] = result[i];
    return LW_OK;
}

const lw_model lw_model_climate = {
    "climate",
    "the climate of a place in North America by month, and how far the model may be off",
    "our own fit to public station records 1991-2020; core/sky/climate.h",
    LW_COLUMNS(IN),
    LW_COLUMNS(OUT),
    apply,
};
