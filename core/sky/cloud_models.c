#include "core/base/model.h"
#include "core/sky/cloud.h"

static const lw_column IN[] = {
    {"cover_frac", "share of the sky that clouds cover", LW_COLUMN_NUMBER, 0, NULL, 0},
};
static const lw_column OUT[] = {
    {"clear_frac", "global irradiance over that of a cloudless sky", LW_COLUMN_NUMBER, 0, NULL, 4},
};

static lw_code apply(const double *in, double *out, lw_fault *fault)
{
    const lw_code bad = lw_cloud_check(in[0], fault);
    if (!bad)
        out[0] = lw_cloud_clear_frac(in[0]);
    return bad;
}

const lw_model lw_model_cloud = {
    .name = "cloud",
    .what = "the sun that a sky cover lets through",
    .source = "Kasten and Czeplak 1980",
    .in = LW_COLUMNS(IN),
    .out = LW_COLUMNS(OUT),
    .apply = apply,
};
