/* core/sky/cloud.h: the sun that an observed or forecast sky cover lets through.
 *
 * Computes  global irradiance over that of a cloudless sky: 1 - 0.75 n^3.4.
 * Inputs    cover_frac n, 0..1, the share of the sky that clouds cover.
 * Results   clear_frac 1..0.25.
 * Errors    LW_E_RANGE from lw_cloud_check; behind it nothing fails.
 * Source    F. Kasten, G. Czeplak, Solar and terrestrial radiation dependent on the amount and type of cloud, Solar
 *           Energy 24, 1980, from ten years of hours at Hamburg.
 * Limits    the amount of cloud says little of its kind: a sky full of thin cirrus lets through some 0.6, of rain clouds
 *           0.15 (the same paper, by type, from memory). Single hours scatter by a third and more; forecast cover is that
 *           of a person's eye, which counts thin cloud in full. */
#ifndef LW_CORE_SKY_CLOUD_H
#define LW_CORE_SKY_CLOUD_H

#include "core/base/err.h"

LW_MUST_USE lw_code lw_cloud_check(double cover_frac, lw_fault *fault);
double lw_cloud_clear_frac(double cover_frac);

#endif
