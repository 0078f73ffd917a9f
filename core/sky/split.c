#include "core/sky/split.h"

#include <math.h>

static const double RAD = 0.017453292519943295; /* pi / 180 */
static const double MIN_COS_ZENITH = 0.065, MAX_ZENITH_DEG = 87.0;

lw_code lw_split_check(const lw_split_in *in, lw_fault *fault)
{
    const lw_want wants[] = {
        {"ghi_wm2", in->ghi_wm2, 0.0, 3000.0},
        {"zenith_deg", in->zenith_deg, 0.0, 180.0},
        {"extra_dni_wm2", in->extra_dni_wm2, 1000.0, 1700.0},
    };
    return lw_want_all(fault, LW_WANTS(wants));
}

static double diffuse_share(double kt)
{
    if (kt <= 0.22)
        return 1.0 - 0.09 * kt;
    if (kt <= 0.8)
        return 0.9511 + kt * (-0.1604 + kt * (4.388 + kt * (-16.638 + kt * 12.336)));
    return 0.165;
}

void lw_split(const lw_split_in *in, lw_split_out *out)
{
    const double cos_zenith = cos(in->zenith_deg * RAD);
    out->kt = fmin(1.0, in->ghi_wm2 / (in->extra_dni_wm2 * fmax(cos_zenith, MIN_COS_ZENITH)));
    if (in->zenith_deg > MAX_ZENITH_DEG) {
        out->dni_wm2 = 0.0;
        out->dhi_wm2 = in->ghi_wm2;
        return;
    }
    out->dhi_wm2 = in->ghi_wm2 * diffuse_share(out->kt);
    out->dni_wm2 = (in->ghi_wm2 - out->dhi_wm2) / cos_zenith;
}

lw_code lw_split_cloud_check(const lw_split_cloud_in *in, lw_fault *fault)
{
    const lw_want wants[] = {
        {"clear_ghi_wm2", in->clear.ghi_wm2, 0.0, 3000.0},    {"clear_dni_wm2", in->clear.dni_wm2, 0.0, 3000.0},
        {"clear_dhi_wm2", in->clear.dhi_wm2, 0.0, 3000.0},    {"cloud_frac", in->cloud_frac, 0.0, 1.0},
        {"zenith_deg", in->zenith_deg, 0.0, 180.0},           {"extra_dni_wm2", in->extra_dni_wm2, 1000.0, 1700.0},
        {"blend_width_frac", in->blend_width_frac, 0.0, 1.0},
    };
    return lw_want_all(fault, LW_WANTS(wants));
}

/* 0 where the blend begins, 1 at a clear sky, level at both ends. */
static double clear_weight(double cloud_frac, double width_frac)
{
    if (cloud_frac >= 1.0)
        return 1.0;
    if (!(cloud_frac > 1.0 - width_frac))
        return 0.0;
    const double x = (cloud_frac - (1.0 - width_frac)) / width_frac;
    return x * x * (3.0 - 2.0 * x);
}

void lw_split_cloud(const lw_split_cloud_in *in, lw_clear_out *out)
{
    const double w = clear_weight(in->cloud_frac, in->blend_width_frac);
    const lw_split_in cloudy = {.ghi_wm2 = in->clear.ghi_wm2 * in->cloud_frac,
                                .zenith_deg = in->zenith_deg,
                                .extra_dni_wm2 = in->extra_dni_wm2};
    lw_split_out erbs;
    lw_split(&cloudy, &erbs);
    out->ghi_wm2 = cloudy.ghi_wm2;
    out->dni_wm2 = (1.0 - w) * erbs.dni_wm2 + w * in->cloud_frac * in->clear.dni_wm2;
    out->dhi_wm2 = (1.0 - w) * erbs.dhi_wm2 + w * in->cloud_frac * in->clear.dhi_wm2;
}
