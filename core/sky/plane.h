/* core/sky/plane.h: sunlight in the plane of an array, in two steps: the geometry once, the light many times.
 *
 * Computes  lw_plane_array_of: an array's normal and its views of sky and ground; lw_plane_prepare: one sun against
 *           it; lw_plane_irradiance: beam, sky and ground light in the plane and what gets through the glass, sky
 *           light by Hay and Davies; lw_plane_irradiance_by: the same by Perez or by an isotropic sky; lw_plane_mean,
 *           _light_mean, _unevenness: one geometry and one light for the instants of a step.
 * Inputs    tilt_deg 0 flat..180, azimuth_deg clockwise from north (where the face looks); horizon or NULL, kept by
 *           the caller as long as the array; the apparent (refracted) sun of sun_table.h; level irradiances and
 *           extraterrestrial beam in W/m2, albedo 0..1.
 * Results   W/m2: total = beam + sky + ground; effective = beam x glass + sky + ground. No beam with the apparent sun
 *           on or under the horizon. A horizon takes beam and circumsolar light by the sun's disc, the rest of the
 *           sky light by its view factor; ground light is left as it is. Under the mean of the lights it was made with
 *           a geometry of lw_plane_mean gives the mean of what its parts give, by Hay and Davies; under a sky dimmer
 *           or brighter throughout the step it is near that. lw_plane_unevenness, 1 or a little more: the mean of total
 *           times effective over the product of their means. A panel gives most while it is warmest, so that its
 *           cells' rise above the air counts by so much more over the step.
 * Errors    LW_E_RANGE from the checks; behind them nothing fails.
 * Source    J. E. Hay, J. A. Davies, 1980 (circumsolar, cosine of zenith not under 0.01745); R. Perez and others,
 *           Solar Energy 44, 1990, coefficients "all sites composite", relative air mass of Kasten and Young, cosine
 *           of zenith not under that of 85 deg; glass as in core/sky/glass.h.
 * Limits    transposition models differ by 1-4 % a year. The glass dims the beam only. */
#ifndef LW_CORE_SKY_PLANE_H
#define LW_CORE_SKY_PLANE_H

#include "core/sky/horizon.h"
#include "core/sky/sun_table.h"

typedef enum lw_sky_model { LW_SKY_HAY_DAVIES = 0, LW_SKY_PEREZ, LW_SKY_ISOTROPIC } lw_sky_model;

typedef struct lw_plane_in {
    double tilt_deg, azimuth_deg;
    const lw_horizon *horizon; /* NULL: open country */
} lw_plane_in;

typedef struct lw_plane_array {
    double east, north, up; /* the normal */
    double tilt_sine, sky_view, ground_view;
    double sky_open; /* the horizon's share of the sky, 1 without one */
    const lw_horizon *horizon;
} lw_plane_array;

typedef struct lw_plane_geometry {
    double cos_aoi;
    double rb;           /* beam in the plane against beam on the level, for circumsolar light */
    double beam_visible; /* 0..1 */
    double beam_glass;   /* 0..1 of the beam gets through */
    double sky_view, ground_view, tilt_sine, apparent_zenith_deg;
} lw_plane_geometry;

typedef struct lw_plane_light {
    double ghi_wm2, dni_wm2, dhi_wm2, extra_dni_wm2, albedo_frac;
} lw_plane_light;

typedef struct lw_plane_out {
    double beam_wm2, sky_wm2, ground_wm2, total_wm2, effective_wm2;
} lw_plane_out;

LW_MUST_USE lw_code lw_plane_check(const lw_plane_in *in, lw_fault *fault);
LW_MUST_USE lw_code lw_plane_light_check(const lw_plane_light *light, lw_fault *fault);

lw_plane_array lw_plane_array_of(const lw_plane_in *in);
/* The same array turned under the same horizon, of which the sum is kept: it costs a thousand cosines. */
void lw_plane_turn(const lw_plane_in *in, lw_plane_array *array);
void lw_plane_prepare(const lw_plane_array *array, const lw_sun *sun, lw_plane_geometry *out);
void lw_plane_mean(const lw_plane_geometry *part, const lw_plane_light *light, int count, lw_plane_geometry *out);
double lw_plane_unevenness(const lw_plane_geometry *part, const lw_plane_light *light, int count);
lw_plane_light lw_plane_light_mean(const lw_plane_light *light, int count);
void lw_plane_irradiance(const lw_plane_geometry *geometry, const lw_plane_light *light, lw_plane_out *out);
void lw_plane_irradiance_by(lw_sky_model model, const lw_plane_geometry *geometry, const lw_plane_light *light,
                            lw_plane_out *out);

/* The apparent sun from angles, for callers that have no sun table; true figures are set to the apparent ones. */
lw_sun lw_plane_sun_of(double apparent_zenith_deg, double azimuth_deg);

#endif
