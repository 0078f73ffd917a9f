/* core/sky/glass.h: the share of beam light that gets through a panel's glass (incidence angle modifier).
 *
 * Computes  ASHRAE: 1 - b (1/cos - 1), b = 0.05; physical: reflection at one air-glass face by Fresnel, index 1.526,
 *           and absorption 4 /m in 2 mm. Both against a beam square on the glass.
 * Inputs    cosine of the angle of incidence, -1..1.
 * Results   0..1; 0 from behind and edge-on.
 * Errors    none: every number gives a share; NaN gives 0.
 * Source    A. Souka, H. Safwat, Solar Energy 10, 1966 (ASHRAE 93-77); W. De Soto and others, Solar Energy 80, 2006.
 * Limits    a clean, dry, uncoated pane; light that comes from all the sky is taken as not reduced. */
#ifndef LW_CORE_SKY_GLASS_H
#define LW_CORE_SKY_GLASS_H

double lw_glass_ashrae_frac(double cos_aoi);
double lw_glass_physical_frac(double cos_aoi);

#endif
