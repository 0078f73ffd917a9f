#include "core/sky/plane.h"

#include <math.h>

#include "core/base/num.h"
#include "core/sky/clear_sky.h"
#include "core/sky/glass.h"

static const double RAD = 0.017453292519943295; /* pi / 180 */
static const double RB_MIN_COS_ZENITH = 0.01745;

lw_code lw_plane_check(const lw_plane_in *in, lw_fault *fault)
{
    const lw_want wants[] = {{"tilt_deg", in->tilt_deg, 0.0, 180.0}, {"azimuth_deg", in->azimuth_deg, -360.0, 360.0}};
    const lw_code bad = lw_want_all(fault, LW_WANTS(wants));
    return bad || !in->horizon ? bad : lw_horizon_check(in->horizon, fault);
}

lw_code lw_plane_light_check(const lw_plane_light *light, lw_fault *fault)
{
    const lw_want wants[] = {
        {"ghi_wm2", light->ghi_wm2, 0.0, 3000.0},      {"dni_wm2", light->dni_wm2, 0.0, 3000.0},
        {"dhi_wm2", light->dhi_wm2, 0.0, 3000.0},      {"extra_dni_wm2", light->extra_dni_wm2, 1000.0, 1700.0},
        {"albedo_frac", light->albedo_frac, 0.0, 1.0},
    };
    return lw_want_all(fault, LW_WANTS(wants));
}

lw_plane_array lw_plane_array_of(const lw_plane_in *in)
{
    lw_plane_array array = {.sky_open = in->horizon ? lw_horizon_sky_frac(in->horizon) : 1.0};
    lw_plane_turn(in, &array);
    return array;
}

void lw_plane_turn(const lw_plane_in *in, lw_plane_array *array)
{
    const double tilt = in->tilt_deg * RAD, azimuth = in->azimuth_deg * RAD;
    *array = (lw_plane_array){
        .east = sin(tilt) * sin(azimuth),
        .north = sin(tilt) * cos(azimuth),
        .up = cos(tilt),
        .tilt_sine = sin(tilt),
        .sky_view = 0.5 * (1.0 + cos(tilt)),
        .ground_view = 0.5 * (1.0 - cos(tilt)),
        .sky_open = array->sky_open,
        .horizon = in->horizon,
    };
}

lw_sun lw_plane_sun_of(double apparent_zenith_deg, double azimuth_deg)
{
    const double zenith = apparent_zenith_deg * RAD, azimuth = azimuth_deg * RAD;
    return (lw_sun){
        .east = sin(zenith) * sin(azimuth),
        .north = sin(zenith) * cos(azimuth),
        .up = cos(zenith),
        .cos_zenith = cos(zenith),
        .apparent_elevation_deg = 90.0 - apparent_zenith_deg,
        .elevation_deg = 90.0 - apparent_zenith_deg,
        .radius_au = 1.0,
    };
}

static double visible(const lw_plane_array *array, const lw_sun *sun)
{
    if (!(sun->apparent_elevation_deg > 0.0))
        return 0.0;
    if (!array->horizon)
        return 1.0;
    return lw_horizon_sun_frac(array->horizon, lw_sun_azimuth_deg(sun), sun->apparent_elevation_deg);
}

void lw_plane_prepare(const lw_plane_array *array, const lw_sun *sun, lw_plane_geometry *out)
{
    const double cos_aoi = array->east * sun->east + array->north * sun->north + array->up * sun->up;
    out->cos_aoi = lw_most(-1.0, lw_least(1.0, cos_aoi));
    out->rb = lw_most(0.0, out->cos_aoi) / lw_most(sun->up, RB_MIN_COS_ZENITH);
    out->beam_visible = visible(array, sun);
    out->beam_glass = lw_glass_physical_frac(out->cos_aoi);
    out->sky_view = array->sky_view * array->sky_open;
    out->ground_view = array->ground_view;
    out->tilt_sine = array->tilt_sine;
    out->apparent_zenith_deg = 90.0 - sun->apparent_elevation_deg;
}

lw_plane_light lw_plane_light_mean(const lw_plane_light *light, int count)
{
    const double share = 1.0 / count;
    lw_plane_light mean = {.ghi_wm2 = 0.0};
    for (int i = 0; i < count; i++) {
        mean.ghi_wm2 += share * light[i].ghi_wm2;
        mean.dni_wm2 += share * light[i].dni_wm2;
        mean.dhi_wm2 += share * light[i].dhi_wm2;
        mean.extra_dni_wm2 += share * light[i].extra_dni_wm2;
        mean.albedo_frac += share * light[i].albedo_frac;
    }
    return mean;
}

static double ratio(double part, double whole, double without)
{
    return whole > 0.0 ? part / whole : without;
}

/* Each factor is weighted with the light that it multiplies, in the order of the product, so that the product of the
 * means is the mean of the products. With no light to weigh by, the first instant stands for the step. */
void lw_plane_mean(const lw_plane_geometry *part, const lw_plane_light *light, int count, lw_plane_geometry *out)
{
    const lw_plane_light mean = lw_plane_light_mean(light, count);
    const double share = 1.0 / count;
    double falling = 0.0, seen = 0.0, through = 0.0, around = 0.0, even = 0.0, zenith_deg = 0.0;
    for (int i = 0; i < count; i++) {
        const lw_plane_geometry *p = &part[i];
        const double beam = share * lw_most(0.0, light[i].dni_wm2 * p->cos_aoi);
        const double anisotropy = light[i].dni_wm2 / light[i].extra_dni_wm2, dhi = share * light[i].dhi_wm2;
        falling += beam;
        seen += beam * p->beam_visible;
        through += beam * p->beam_visible * p->beam_glass;
        around += dhi * anisotropy * p->rb * p->beam_visible;
        even += lw_most(0.0, dhi * (1.0 - anisotropy) * p->sky_view);
        zenith_deg += share * p->apparent_zenith_deg;
    }
    *out = part[0];
    out->cos_aoi = ratio(falling, mean.dni_wm2, part[0].cos_aoi);
    out->beam_visible = ratio(seen, falling, part[0].beam_visible);
    out->beam_glass = ratio(through, seen, part[0].beam_glass);
    const double anisotropy = mean.dni_wm2 / mean.extra_dni_wm2;
    out->rb = ratio(around, mean.dhi_wm2 * anisotropy * out->beam_visible, part[0].rb);
    out->sky_view = ratio(even, mean.dhi_wm2 * (1.0 - anisotropy), part[0].sky_view);
    out->apparent_zenith_deg = zenith_deg;
}

/* What the three models share; `sky_wm2` is the only thing they differ in. */
static inline void add_up(const lw_plane_geometry *g, const lw_plane_light *light, double sky_wm2, lw_plane_out *out)
{
    out->beam_wm2 = lw_most(0.0, light->dni_wm2 * g->cos_aoi) * g->beam_visible;
    out->sky_wm2 = sky_wm2;
    out->ground_wm2 = light->ghi_wm2 * light->albedo_frac * g->ground_view;
    out->total_wm2 = out->beam_wm2 + out->sky_wm2 + out->ground_wm2;
    out->effective_wm2 = out->beam_wm2 * g->beam_glass + out->sky_wm2 + out->ground_wm2;
}

/* The share of diffuse light that comes from around the sun. With the sun under the horizon there is no beam, so the
 * anisotropy is 0; with it behind a hill the circumsolar light goes with the beam. */
void lw_plane_irradiance(const lw_plane_geometry *geometry, const lw_plane_light *light, lw_plane_out *out)
{
    const double anisotropy = light->dni_wm2 / light->extra_dni_wm2;
    const double circumsolar = light->dhi_wm2 * anisotropy * geometry->rb * geometry->beam_visible;
    const double even = lw_most(0.0, light->dhi_wm2 * (1.0 - anisotropy) * geometry->sky_view);
    add_up(geometry, light, circumsolar + even, out);
}

double lw_plane_unevenness(const lw_plane_geometry *part, const lw_plane_light *light, int count)
{
    double total = 0.0, effective = 0.0, product = 0.0;
    for (int i = 0; i < count; i++) {
        lw_plane_out out;
        lw_plane_irradiance(&part[i], &light[i], &out);
        total += out.total_wm2;
        effective += out.effective_wm2;
        product += out.total_wm2 * out.effective_wm2;
    }
    return ratio(count * product, total * effective, 1.0);
}

/* Perez and others 1990, "all sites composite": one row a bin of sky clearness; f11 f12 f13 f21 f22 f23. */
static const double PEREZ[8][6] = {
    {-0.008, 0.588, -0.062, -0.060, 0.072, -0.022}, {0.130, 0.683, -0.151, -0.019, 0.066, -0.029},
    {0.330, 0.487, -0.221, 0.055, -0.064, -0.026},  {0.568, 0.187, -0.295, 0.109, -0.152, -0.014},
    {0.873, -0.392, -0.362, 0.226, -0.462, 0.001},  {1.132, -1.237, -0.412, 0.288, -0.823, 0.056},
    {1.060, -1.600, -0.359, 0.264, -1.127, 0.131},  {0.678, -0.327, -0.250, 0.156, -1.377, 0.251}};
static const double CLEARNESS_EDGES[7] = {1.065, 1.23, 1.5, 1.95, 2.8, 4.5, 6.2};

static double perez_sky_wm2(const lw_plane_geometry *g, const lw_plane_light *light)
{
    static const double MIN_COS_ZENITH = 0.08715574274765817; /* cos 85 deg */
    const double air_mass = lw_clear_air_mass(g->apparent_zenith_deg);
    if (!(light->dhi_wm2 > 0.0 && air_mass > 0.0))
        return 0.0;
    const double z = g->apparent_zenith_deg * RAD, kz3 = 1.041 * z * z * z;
    const double clearness = ((light->dhi_wm2 + light->dni_wm2) / light->dhi_wm2 + kz3) / (1.0 + kz3);
    const double brightness = light->dhi_wm2 * air_mass / light->extra_dni_wm2;
    int bin = 0;
    while (bin < 7 && clearness >= CLEARNESS_EDGES[bin])
        bin++;
    const double *f = PEREZ[bin];
    const double f1 = lw_most(0.0, f[0] + f[1] * brightness + f[2] * z);
    const double f2 = f[3] + f[4] * brightness + f[5] * z;
    const double ratio = lw_most(0.0, g->cos_aoi) / lw_most(cos(z), MIN_COS_ZENITH);
    const double parts = (1.0 - f1) * g->sky_view + f1 * ratio * g->beam_visible + f2 * g->tilt_sine;
    return lw_most(0.0, light->dhi_wm2 * parts);
}

void lw_plane_irradiance_by(lw_sky_model model, const lw_plane_geometry *geometry, const lw_plane_light *light,
                            lw_plane_out *out)
{
    switch (model) {
    case LW_SKY_PEREZ:
        add_up(geometry, light, perez_sky_wm2(geometry, light), out);
        break;
    case LW_SKY_ISOTROPIC:
        add_up(geometry, light, light->dhi_wm2 * geometry->sky_view, out);
        break;
    case LW_SKY_HAY_DAVIES:
        lw_plane_irradiance(geometry, light, out);
        break;
    }
}
