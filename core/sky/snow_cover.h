/* core/sky/snow_cover.h: snow that lies on a solar panel.
 *
 * Computes  the share of a panel's face under snow, and how much lies there, from step to step. Snow gathers until it covers
 *           (1 mm of water, some 1 cm fresh, all over); it slides while T > E / -80, T in C, E the light on the plane in
 *           W/m2, by 0.197 sin(tilt) of the face an hour; it melts in air above 1 C, 0.05 mm an hour and kelvin and
 *           0.0094 (1 - 0.8) mm an hour and W/m2.
 * Inputs    state (all zero: bare), step_h 0..1; snow_mm 0..100 of water, that fell in the step; air_c -60..60;
 *           plane_wm2 0..2000, on the plane as if bare; sin_tilt 0..1.
 * Results   the next state: cover_frac 0..1, snow_mm of water as a mean over what is covered.
 * Errors    LW_E_RANGE from lw_snow_cover_check; behind it nothing fails.
 * Source    sliding: B. Marion, R. Schaefer, H. Caine, G. Sanchez, Measured and modeled photovoltaic system energy losses from
 *           snow for Colorado and Wisconsin locations, Solar Energy 97 (2013) 112-121, -80 W/m2/C and 1.97 tenths of
 *           the face an hour; 1 cm that covers: the same model in Ryberg and Freeman, NREL/TP-6A20-68705 (2017).
 *           Melting: F. Pellicciotti et al., J. Glaciology 51(175) (2005) 573-587, hourly; its coefficients and fresh
 *           snow's albedo of 0.8 from memory. 1 cm of fresh snow for 1 mm of water: common practice.
 * Limits    sliding was measured on fixed arrays of 18 deg and more with a free lower edge; a flat panel sheds by melting
 *           alone. Wind that blows powder off, warmth of the roof below and rain on snow are not followed: a flat panel
 *           may be bare sooner in cold sun. Snow that covers lets no light through. Coefficients of melting are of
 *           a glacier, not of glass. */
#ifndef LW_CORE_SKY_SNOW_COVER_H
#define LW_CORE_SKY_SNOW_COVER_H

#include "core/base/err.h"

/* Fresh snow's depth for its water; common practice. */
#define LW_FRESH_SNOW_DEPTH 10.0

typedef struct lw_snow_cover {
    double cover_frac, snow_mm;
} lw_snow_cover;

typedef struct lw_snow_cover_in {
    lw_snow_cover before;
    double step_h, snow_mm, air_c, plane_wm2, sin_tilt;
} lw_snow_cover_in;

LW_MUST_USE lw_code lw_snow_cover_check(const lw_snow_cover_in *in, lw_fault *fault);
lw_snow_cover lw_snow_cover_next(const lw_snow_cover_in *in);

#endif
