/* core/sky/split.h: global irradiance into beam and diffuse.
 *
 * Computes  lw_split: by the hourly correlation of Erbs, from the clearness index kt; lw_split_cloud: a cloud factor
 *           on a clear sky, split by Erbs and led smoothly over to the clear sky's own split as the factor nears 1.
 * Inputs    ghi_wm2 on a level plane; true zenith angle in degrees; extraterrestrial beam; for the second the clear
 *           sky of core/sky/clear_sky.h and cloud_frac 0..1 of its global irradiance that comes through.
 *           blend_width_frac: the blend begins at a factor of 1 less this width; 0 is strict Erbs below 1.
 * Results   dni_wm2, dhi_wm2; kt limited to 0..1. dni is 0 and dhi all of ghi at zenith angles over 87 deg. A factor
 *           of exactly 1 gives the clear sky's split whatever the width.
 * Errors    LW_E_RANGE from the checks.
 * Source    D. G. Erbs, S. A. Klein, J. A. Duffie, Solar Energy 28, 1982, with the limits that pvlib-python uses
 *           (cosine not under 0.065, zenith not over 87 deg). The blend is this project's own: Erbs gives a cloudless
 *           sky 17 % diffuse light or more, too much under clean air and a low sun, so that a factor of 0.9999 takes
 *           4-13 % of the clear beam with the sun above 30 deg and half or more at 10 deg; over a year that moves a
 *           35 deg array by -0.1..-1.8 % below 45 deg of latitude and -5.7 % at 61 N (measured here).
 * Limits    a correlation of hourly means: single hours scatter by tens of percent. In the blend each side keeps its
 *           own balance of beam and diffuse; on the level they miss ghi by the beam's refraction only. */
#ifndef LW_CORE_SKY_SPLIT_H
#define LW_CORE_SKY_SPLIT_H

#include "core/base/err.h"
#include "core/sky/clear_sky.h"

#define LW_SPLIT_BLEND_WIDTH_FRAC 0.15 /* chosen here, no source: haze and thin cloud on the last stretch to clear */

typedef struct lw_split_in {
    double ghi_wm2, zenith_deg, extra_dni_wm2;
} lw_split_in;

typedef struct lw_split_out {
    double kt, dni_wm2, dhi_wm2;
} lw_split_out;

typedef struct lw_split_cloud_in {
    lw_clear_out clear;
    double cloud_frac, zenith_deg, extra_dni_wm2, blend_width_frac;
} lw_split_cloud_in;

LW_MUST_USE lw_code lw_split_check(const lw_split_in *in, lw_fault *fault);
void lw_split(const lw_split_in *in, lw_split_out *out);

LW_MUST_USE lw_code lw_split_cloud_check(const lw_split_cloud_in *in, lw_fault *fault);
void lw_split_cloud(const lw_split_cloud_in *in, lw_clear_out *out);

#endif
