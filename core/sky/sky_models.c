/* The room's models by name. Column names are those of the published reference tables in tests/reference, so that such
 * a table can be fed as it is and compared column by column. */
#include <math.h>

#include "core/base/model.h"
#include "core/sky/air.h"
#include "core/sky/clear_sky.h"
#include "core/sky/glass.h"
#include "core/sky/plane.h"
#include "core/sky/spa.h"
#include "core/sky/split.h"
#include "core/sky/sun_events.h"

static const double RAD = 0.017453292519943295; /* pi / 180 */

static double or_else(double value, double fallback)
{
    return isnan(value) ? fallback : value;
}

/* A fault that names the struct's field is no help to who typed a column's name. */
static lw_code want_column(lw_fault *fault, const lw_model *model, const double *in, size_t i, double low, double high)
{
    return lw_want_range(fault, model->in[i].name, in[i], low, high);
}

/* ---- sun ---- */

enum { SUN_UTC, SUN_LATITUDE, SUN_LONGITUDE, SUN_ELEVATION, SUN_PRESSURE, SUN_TEMPERATURE, SUN_DELTA_T };
static const lw_column SUN_IN[] = {
    {"utc", "instant", LW_COLUMN_TIME, 0, NULL, 0},
    {"latitude_deg", "north positive", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"longitude_deg", "east positive", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"elevation_m", "above sea level; 0 if empty", LW_COLUMN_NUMBER, 1, NULL, 0},
    {"pressure_pa", "of the air there; standard atmosphere if empty", LW_COLUMN_NUMBER, 1, NULL, 0},
    {"temperature_c", "of the air there; 12 if empty", LW_COLUMN_NUMBER, 1, NULL, 0},
    {"delta_t_s", "TT - UT1; 69.2 if empty", LW_COLUMN_NUMBER, 1, NULL, 0},
};
static const lw_column SUN_OUT[] = {
    {"zenith_deg", "from straight up, without refraction", LW_COLUMN_NUMBER, 0, NULL, 8},
    {"apparent_zenith_deg", "from straight up, with refraction", LW_COLUMN_NUMBER, 0, NULL, 8},
    {"azimuth_deg", "clockwise from north", LW_COLUMN_NUMBER, 0, NULL, 8},
    {"equation_of_time_min", "apparent less mean solar time", LW_COLUMN_NUMBER, 0, NULL, 8},
    {"declination_deg", "geocentric, apparent", LW_COLUMN_NUMBER, 0, NULL, 8},
    {"earth_sun_au", "distance", LW_COLUMN_NUMBER, 0, NULL, 10},
};

static lw_code sun_apply(const double *in, double *out, lw_fault *fault)
{
    const double elevation_m = or_else(in[SUN_ELEVATION], 0.0);
    lw_code bad = lw_air_check(elevation_m, fault);
    if (bad)
        return bad;
    const lw_spa_in at = {
        .t_s = in[SUN_UTC],
        .delta_t_s = or_else(in[SUN_DELTA_T], LW_SPA_DELTA_T_S),
        .place = {.latitude_deg = in[SUN_LATITUDE],
                  .longitude_deg = in[SUN_LONGITUDE],
                  .elevation_m = elevation_m,
                  .pressure_pa = or_else(in[SUN_PRESSURE], lw_air_standard(elevation_m).pressure_pa),
                  .temperature_c = or_else(in[SUN_TEMPERATURE], 12.0)},
    };
    bad = lw_spa_check(&at, fault);
    if (bad)
        return bad;
    lw_spa_sun sun;
    lw_spa_out sky;
    lw_spa(&at, &sun, &sky);
    const double results[] = {sky.zenith_deg,           sky.apparent_zenith_deg, sky.azimuth_deg,
                              sun.equation_of_time_min, sun.declination_deg,     sun.radius_au};
    for (size_t i = 0; i < sizeof results / sizeof results[0]; i++)
        out[i] = results[i];
    return LW_OK;
}

const lw_model lw_model_sun = {
    .name = "sun",
    .what = "where the sun stands, at any instant and place",
    .source = "NREL/TP-560-34302, Reda and Andreas 2003, revised 2008",
    .in = LW_COLUMNS(SUN_IN),
    .out = LW_COLUMNS(SUN_OUT),
    .apply = sun_apply,
};

/* ---- sun-events ---- */

static const lw_column EVENTS_IN[] = {
    {"solar_day", "calendar date of local mean solar time", LW_COLUMN_DATE, 0, NULL, 0},
    {"latitude_deg", "north positive", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"longitude_deg", "east positive", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"delta_t_s", "TT - UT1; 69.2 if empty", LW_COLUMN_NUMBER, 1, NULL, 0},
};
static const lw_column EVENTS_OUT[] = {
    {"sun_up", "whether it rises and sets", LW_COLUMN_CHOICE, 0, "part|all-day|never", 0},
    {"transit_utc", "highest", LW_COLUMN_TIME, 0, NULL, 1},
    {"sunrise_utc", "true elevation passes -0.8333 deg upwards", LW_COLUMN_TIME, 0, NULL, 1},
    {"sunset_utc", "true elevation passes -0.8333 deg downwards", LW_COLUMN_TIME, 0, NULL, 1},
};

static lw_code events_apply(const double *in, double *out, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "solar_day", in[0], -1450000.0, 1472000.0); /* before the cast */
    if (bad)
        return bad;
    const lw_sun_events_in day = {.solar_day = (int64_t)in[0],
                                  .latitude_deg = in[1],
                                  .longitude_deg = in[2],
                                  .delta_t_s = or_else(in[3], LW_SPA_DELTA_T_S)};
    bad = lw_sun_events_check(&day, fault);
    if (bad)
        return bad;
    lw_sun_events_out events;
    lw_sun_events(&day, &events);
    out[0] = events.sun_up;
    out[1] = events.transit_s;
    out[2] = events.sunrise_s;
    out[3] = events.sunset_s;
    return LW_OK;
}

const lw_model lw_model_sun_events = {
    .name = "sun-events",
    .what = "transit, sunrise and sunset of a solar day",
    .source = "roots of the elevation by NREL/TP-560-34302",
    .in = LW_COLUMNS(EVENTS_IN),
    .out = LW_COLUMNS(EVENTS_OUT),
    .apply = events_apply,
};

/* ---- clear-sky ---- */

enum { CLEAR_UTC, CLEAR_ELEVATION, CLEAR_DAY, CLEAR_TURBIDITY, CLEAR_ZENITH, CLEAR_PRESSURE };
static const lw_column CLEAR_IN[] = {
    {"utc", "instant, for the distance of the sun", LW_COLUMN_TIME, 1, NULL, 0},
    {"elevation_m", "above sea level", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"day_of_year", "1..366", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"linke_turbidity", "2 very clean .. 7 murky", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"apparent_zenith_deg", "sun from straight up, with refraction", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"pressure_pa", "of the air there; standard atmosphere if empty", LW_COLUMN_NUMBER, 1, NULL, 0},
};
static const lw_column CLEAR_OUT[] = {
    {"extra_dni_w_m2", "beam above the air, by day of year", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"extra_dni_spa_w_m2", "beam above the air, by distance; empty without utc", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"airmass_relative", "path through the air against straight up", LW_COLUMN_NUMBER, 0, NULL, 8},
    {"airmass_absolute", "the same against sea level", LW_COLUMN_NUMBER, 0, NULL, 8},
    {"ghi_w_m2", "global on the level", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"dni_w_m2", "beam, square to it", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"dhi_w_m2", "diffuse on the level", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"haurwitz_ghi_w_m2", "global on the level by Haurwitz", LW_COLUMN_NUMBER, 0, NULL, 0},
};

static lw_code clear_apply(const double *in, double *out, lw_fault *fault);
const lw_model lw_model_clear_sky = {
    .name = "clear-sky",
    .what = "sunlight under a cloudless sky",
    .source = "Spencer 1971; Kasten and Young 1989; Ineichen and Perez 2002; Haurwitz 1945",
    .in = LW_COLUMNS(CLEAR_IN),
    .out = LW_COLUMNS(CLEAR_OUT),
    .apply = clear_apply,
};

static lw_code clear_apply(const double *in, double *out, lw_fault *fault)
{
    lw_code bad = want_column(fault, &lw_model_clear_sky, in, CLEAR_DAY, 1.0, 366.0);
    if (!bad)
        bad = lw_air_check(in[CLEAR_ELEVATION], fault);
    if (bad)
        return bad;
    const lw_clear_in sky = {
        .apparent_zenith_deg = in[CLEAR_ZENITH],
        .pressure_pa = or_else(in[CLEAR_PRESSURE], lw_air_standard(in[CLEAR_ELEVATION]).pressure_pa),
        .elevation_m = in[CLEAR_ELEVATION],
        .linke_turbidity = in[CLEAR_TURBIDITY],
        .extra_dni_wm2 = lw_clear_extra_dni_wm2(in[CLEAR_DAY]),
    };
    bad = lw_clear_check(&sky, fault);
    if (bad)
        return bad;
    lw_clear_out clear;
    lw_clear(&sky, &clear);
    out[0] = sky.extra_dni_wm2;
    out[1] = NAN;
    if (!isnan(in[CLEAR_UTC])) {
        lw_spa_sun sun;
        lw_spa_sun_at(in[CLEAR_UTC], LW_SPA_DELTA_T_S, &sun);
        out[1] = lw_clear_extra_dni_at_wm2(sun.radius_au);
    }
    out[2] = lw_clear_air_mass(sky.apparent_zenith_deg);
    out[3] = lw_clear_air_mass_absolute(out[2], sky.pressure_pa);
    out[4] = clear.ghi_wm2;
    out[5] = clear.dni_wm2;
    out[6] = clear.dhi_wm2;
    out[7] = lw_clear_haurwitz_wm2(sky.apparent_zenith_deg);
    return LW_OK;
}

/* ---- split ---- */

static const lw_column SPLIT_IN[] = {
    {"ghi_w_m2", "global on the level", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"zenith_deg", "sun from straight up, without refraction", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"day_of_year", "1..366", LW_COLUMN_NUMBER, 0, NULL, 0},
};
static const lw_column SPLIT_OUT[] = {
    {"kt", "clearness index", LW_COLUMN_NUMBER, 0, NULL, 9},
    {"dni_w_m2", "beam, square to it", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"dhi_w_m2", "diffuse on the level", LW_COLUMN_NUMBER, 0, NULL, 0},
};

static lw_code split_apply(const double *in, double *out, lw_fault *fault);
const lw_model lw_model_split = {
    .name = "split",
    .what = "global irradiance into beam and diffuse",
    .source = "Erbs, Klein, Duffie 1982",
    .in = LW_COLUMNS(SPLIT_IN),
    .out = LW_COLUMNS(SPLIT_OUT),
    .apply = split_apply,
};

static lw_code split_apply(const double *in, double *out, lw_fault *fault)
{
    lw_code bad = want_column(fault, &lw_model_split, in, 0, 0.0, 3000.0);
    if (!bad)
        bad = want_column(fault, &lw_model_split, in, 2, 1.0, 366.0);
    if (bad)
        return bad;
    const lw_split_in sky = {.ghi_wm2 = in[0], .zenith_deg = in[1], .extra_dni_wm2 = lw_clear_extra_dni_wm2(in[2])};
    bad = lw_split_check(&sky, fault);
    if (bad)
        return bad;
    lw_split_out parts;
    lw_split(&sky, &parts);
    out[0] = parts.kt;
    out[1] = parts.dni_wm2;
    out[2] = parts.dhi_wm2;
    return LW_OK;
}

/* ---- plane ---- */

enum {
    PLANE_ZENITH,
    PLANE_AZIMUTH,
    PLANE_GHI,
    PLANE_DNI,
    PLANE_DHI,
    PLANE_EXTRA,
    PLANE_TILT,
    PLANE_FACING,
    PLANE_ALBEDO
};
static const lw_column PLANE_IN[] = {
    {"zenith_deg", "sun from straight up, with refraction", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"azimuth_deg", "sun, clockwise from north", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"ghi_w_m2", "global on the level", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"dni_w_m2", "beam, square to it", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"dhi_w_m2", "diffuse on the level", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"extra_dni_w_m2", "beam above the air", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"panel_tilt_deg", "0 is flat", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"panel_azimuth_deg", "where the face looks, clockwise from north", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"albedo", "share of light the ground gives back; 0.2 if empty", LW_COLUMN_NUMBER, 1, NULL, 0},
};
static const lw_column PLANE_OUT[] = {
    {"aoi_deg", "angle between sun and the panel's normal", LW_COLUMN_NUMBER, 0, NULL, 8},
    {"beam_w_m2", "beam in the plane", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"sky_isotropic_w_m2", "sky light in the plane, even sky", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"sky_hay_davies_w_m2", "sky light by Hay and Davies", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"sky_perez_w_m2", "sky light by Perez", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"ground_w_m2", "light from the ground", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"total_w_m2", "beam, sky by Hay and Davies, ground", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"effective_w_m2", "the same behind the glass", LW_COLUMN_NUMBER, 0, NULL, 0},
};

static lw_code plane_apply(const double *in, double *out, lw_fault *fault);
const lw_model lw_model_plane = {
    .name = "plane",
    .what = "sunlight in the plane of a panel",
    .source = "Hay and Davies 1980; Perez and others 1990; De Soto and others 2006",
    .in = LW_COLUMNS(PLANE_IN),
    .out = LW_COLUMNS(PLANE_OUT),
    .apply = plane_apply,
};

static lw_code plane_apply(const double *in, double *out, lw_fault *fault)
{
    static const struct {
        size_t column;
        double low, high;
    } bounds[] = {{PLANE_ZENITH, 0.0, 180.0}, {PLANE_AZIMUTH, -360.0, 360.0}, {PLANE_GHI, 0.0, 3000.0},
                  {PLANE_DNI, 0.0, 3000.0},   {PLANE_DHI, 0.0, 3000.0},       {PLANE_EXTRA, 1000.0, 1700.0},
                  {PLANE_TILT, 0.0, 180.0},   {PLANE_FACING, -360.0, 360.0}};
    for (size_t i = 0; i < sizeof bounds / sizeof bounds[0]; i++) {
        const lw_code bad = want_column(fault, &lw_model_plane, in, bounds[i].column, bounds[i].low, bounds[i].high);
        if (bad)
            return bad;
    }
    const double albedo_frac = or_else(in[PLANE_ALBEDO], 0.2);
    const lw_code bad = lw_want_range(fault, "albedo", albedo_frac, 0.0, 1.0);
    if (bad)
        return bad;
    const lw_plane_array array =
        lw_plane_array_of(&(lw_plane_in){.tilt_deg = in[PLANE_TILT], .azimuth_deg = in[PLANE_FACING]});
    const lw_sun sun = lw_plane_sun_of(in[PLANE_ZENITH], in[PLANE_AZIMUTH]);
    const lw_plane_light light = {.ghi_wm2 = in[PLANE_GHI],
                                  .dni_wm2 = in[PLANE_DNI],
                                  .dhi_wm2 = in[PLANE_DHI],
                                  .extra_dni_wm2 = in[PLANE_EXTRA],
                                  .albedo_frac = albedo_frac};
    lw_plane_geometry geometry;
    lw_plane_out isotropic, perez, result;
    lw_plane_prepare(&array, &sun, &geometry);
    lw_plane_irradiance_by(LW_SKY_ISOTROPIC, &geometry, &light, &isotropic);
    lw_plane_irradiance_by(LW_SKY_PEREZ, &geometry, &light, &perez);
    lw_plane_irradiance(&geometry, &light, &result);
    out[0] = acos(geometry.cos_aoi) / RAD;
    out[1] = result.beam_wm2;
    out[2] = isotropic.sky_wm2;
    out[3] = result.sky_wm2;
    out[4] = perez.sky_wm2;
    out[5] = result.ground_wm2;
    out[6] = result.total_wm2;
    out[7] = result.effective_wm2;
    return LW_OK;
}

/* ---- glass ---- */

static const lw_column GLASS_IN[] = {
    {"aoi_deg", "angle between sun and the panel's normal", LW_COLUMN_NUMBER, 0, NULL, 0},
};
static const lw_column GLASS_OUT[] = {
    {"iam_ashrae", "share of the beam, ASHRAE with b 0.05", LW_COLUMN_NUMBER, 0, NULL, 9},
    {"iam_physical", "share of the beam, one pane of glass", LW_COLUMN_NUMBER, 0, NULL, 9},
};

static lw_code glass_apply(const double *in, double *out, lw_fault *fault)
{
    const lw_code bad = lw_want_range(fault, "aoi_deg", in[0], -180.0, 180.0);
    if (bad)
        return bad;
    const double cos_aoi = fabs(in[0]) < 90.0 ? cos(in[0] * RAD) : 0.0; /* cos 90 deg is not quite 0 in binary */
    out[0] = lw_glass_ashrae_frac(cos_aoi);
    out[1] = lw_glass_physical_frac(cos_aoi);
    return LW_OK;
}

const lw_model lw_model_glass = {
    .name = "glass",
    .what = "share of beam light that gets through a panel's glass",
    .source = "Souka and Safwat 1966; De Soto and others 2006",
    .in = LW_COLUMNS(GLASS_IN),
    .out = LW_COLUMNS(GLASS_OUT),
    .apply = glass_apply,
};

/* ---- air ---- */

static const lw_column AIR_IN[] = {
    {"elevation_m", "above sea level", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"air_c", "air temperature, for the dew point", LW_COLUMN_NUMBER, 1, NULL, 0},
    {"humidity_frac", "relative humidity, for the dew point", LW_COLUMN_NUMBER, 1, NULL, 0},
};
static const lw_column AIR_OUT[] = {
    {"temperature_c", "standard atmosphere", LW_COLUMN_NUMBER, 0, NULL, 4},
    {"pressure_pa", "standard atmosphere", LW_COLUMN_NUMBER, 0, NULL, 2},
    {"density_kgm3", "standard atmosphere", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"density_frac", "against sea level", LW_COLUMN_NUMBER, 0, NULL, 0},
    {"boiling_c", "of water at that pressure", LW_COLUMN_NUMBER, 0, NULL, 4},
    {"dew_point_c", "empty without temperature and humidity", LW_COLUMN_NUMBER, 0, NULL, 4},
};

static lw_code air_apply(const double *in, double *out, lw_fault *fault)
{
    lw_code bad = lw_air_check(in[0], fault);
    const int has_dew = !isnan(in[1]) && !isnan(in[2]);
    if (!bad && has_dew)
        bad = lw_air_dew_point_check(in[1], in[2], fault);
    if (bad)
        return bad;
    const lw_air_out air = lw_air_standard(in[0]);
    out[0] = air.temperature_c;
    out[1] = air.pressure_pa;
    out[2] = air.density_kgm3;
    out[3] = air.density_frac;
    out[4] = lw_air_boiling_c(air.pressure_pa);
    out[5] = has_dew ? lw_air_dew_point_c(in[1], in[2]) : NAN;
    return LW_OK;
}

const lw_model lw_model_air = {
    .name = "air",
    .what = "still air by elevation, boiling point, dew point",
    .source = "ICAO Doc 7488/3; IAPWS-IF97 region 4; WMO-No. 8",
    .in = LW_COLUMNS(AIR_IN),
    .out = LW_COLUMNS(AIR_OUT),
    .apply = air_apply,
};
