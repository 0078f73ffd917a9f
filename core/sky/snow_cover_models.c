/* Snow on a panel as a model by name: one hour. */
#include <math.h>

#include "core/base/model.h"
#include "core/sky/snow_cover.h"

enum { COVER, LYING, SNOW, AIR, PLANE, TILT };
static const lw_column IN[] = {
    {"cover_frac", "share of the panel under snow before", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"lying_mm", "snow lying there, as water", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"snow_mm", "snow that falls in the hour, as water", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"air_c", "of the air", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"plane_wm2", "light on the plane, as if bare", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"tilt_deg", "from flat, 0..90", LW_COLUMN_NUMBER, 0, NULL, 0},
};
static const lw_column OUT[] = {
    {"after_frac", "share under snow an hour later", LW_COLUMN_NUMBER, 0, NULL, 4},
    {"left_mm", "snow lying there then, as water", LW_COLUMN_NUMBER, 0, NULL, 3},
};

static const double RAD = 0.0174532925199432958;

static lw_code apply(const double *in, double *out, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "tilt_deg", in[TILT], 0.0, 90.0);
    if (bad)
        return bad;
    const lw_snow_cover_in row = {.before = {in[COVER], in[LYING]},
                                  .step_h = 1.0,
                                  .snow_mm = in[SNOW],
                                  .air_c = in[AIR],
                                  .plane_wm2 = in[PLANE],
                                  .sin_tilt = sin(in[TILT] * RAD)};
    bad = lw_snow_cover_check(&row, fault);
    if (bad)
        return bad;
    const lw_snow_cover after = lw_snow_cover_next(&row);
    out[0] = after.cover_frac;
    out[1] = after.snow_mm;
    return LW_OK;
}

const lw_model lw_model_snow_cover = {
    .name = "snow-cover",
    .what = "snow on a panel",
    .source = "Marion et al. 2013; Pellicciotti et al. 2005",
    .in = LW_COLUMNS(IN),
    .out = LW_COLUMNS(OUT),
    .apply = apply,
};
