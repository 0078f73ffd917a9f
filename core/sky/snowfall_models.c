/* Rain or snow as a model by name. */
#include "core/base/model.h"
#include "core/sky/air.h"
#include "core/sky/snowfall.h"

enum { AIR, HUMIDITY, ELEVATION };
static const lw_column IN[] = {
    {"air_c", "at 2 m while it falls", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"humidity_frac", "relative humidity", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"elevation_m", "above sea level; its standard pressure is taken", LW_COLUMN_NUMBER, 0, NULL, 0},
};
static const lw_column OUT[] = {
    {"snow_frac", "share of what falls that is snow", LW_COLUMN_NUMBER, 0, NULL, 4},
};

static lw_code apply(const double *in, double *out, lw_fault *fault)
{
    lw_code bad = lw_air_check(in[ELEVATION], fault);
    if (bad)
        return bad;
    const lw_snowfall_in row = {in[AIR], in[HUMIDITY], lw_air_standard(in[ELEVATION]).pressure_pa};
    bad = lw_snowfall_check(&row, fault);
    if (!bad)
        out[0] = lw_snow_frac(&row);
    return bad;
}

const lw_model lw_model_snowfall = {
    .name = "snowfall",
    .what = "rain or snow",
    .source = "Jennings et al. 2018",
    .in = LW_COLUMNS(IN),
    .out = LW_COLUMNS(OUT),
    .apply = apply,
};
