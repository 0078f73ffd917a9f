#include "core/sky/sun_table.h"

#include <math.h>

#include "core/sky/air.h"

static const double RAD = 0.017453292519943295, TURN = 6.283185307179586; /* pi / 180, 2 pi */
static const double DAY_S = 86400.0;
static const double PARALLAX_RAD = 8.794 / 3600.0 * 0.017453292519943295; /* at 1 au */

lw_code lw_sun_table_check(int64_t first_day, int days, double delta_t_s, lw_fault *fault)
{
    if (days > LW_SUN_TABLE_DAYS_MAX) {
        *fault = (lw_fault){.code = LW_E_FULL, .field = "days", .value = days, .low = 1, .high = LW_SUN_TABLE_DAYS_MAX};
        return LW_E_FULL;
    }
    const lw_want wants[] = {
        {"first_day", (double)first_day, -1450000.0, 1472000.0}, /* within the years of spa.h */
        {"days", days, 1.0, LW_SUN_TABLE_DAYS_MAX},
        {"delta_t_s", delta_t_s, -8000.0, 8000.0},
    };
    return lw_want_all(fault, LW_WANTS(wants));
}

void lw_sun_table_fill(lw_sun_table *table, int64_t first_day, int days, double delta_t_s)
{
    table->first_day = first_day;
    table->days = days;
    table->delta_t_s = delta_t_s;
    for (int i = 0; i < days + 3; i++) {
        lw_spa_sun sun;
        lw_spa_sun_at((double)(first_day - 1 + i) * DAY_S, delta_t_s, &sun);
        /* Near 180 deg at midnight, hence no wrap inside a year's table. */
        const double hour_angle_deg = sun.sidereal_deg - sun.right_ascension_deg;
        table->row[i].lead_rad = (hour_angle_deg < 0.0 ? hour_angle_deg + 360.0 : hour_angle_deg) * RAD;
        table->row[i].sin_declination = sin(sun.declination_deg * RAD);
        table->row[i].parallax_rad = PARALLAX_RAD / sun.radius_au;
    }
}

int lw_sun_table_holds(const lw_sun_table *table, double t_s)
{
    const double day = t_s / DAY_S - (double)table->first_day;
    return day >= 0.0 && day <= table->days;
}

lw_sun_place lw_sun_place_of(const lw_spa_place *place)
{
    static const double FLATTENING = 0.99664719, EARTH_RADIUS_M = 6378140.0;
    const double phi = place->latitude_deg * RAD, u = atan(FLATTENING * tan(phi));
    return (lw_sun_place){
        .sin_latitude = sin(phi),
        .cos_latitude = cos(phi),
        .longitude_rad = place->longitude_deg * RAD,
        .axis_x = cos(u) + place->elevation_m / EARTH_RADIUS_M * cos(phi),
        .axis_y = FLATTENING * sin(u) + place->elevation_m / EARTH_RADIUS_M * sin(phi),
        .refraction_scale = place->pressure_pa / 101000.0 * (283.0 / (273.0 + place->temperature_c)),
    };
}

lw_sun_place lw_sun_place_at(double latitude_deg, double longitude_deg, double elevation_m)
{
    return lw_sun_place_of(&(lw_spa_place){.latitude_deg = latitude_deg,
                                           .longitude_deg = longitude_deg,
                                           .elevation_m = elevation_m,
                                           .pressure_pa = lw_air_standard(elevation_m).pressure_pa,
                                           .temperature_c = 12.0});
}

/* Lifts the sun by the refraction. The angle is under 0.02 rad: three terms of sine and cosine are exact to 1e-11. */
static void refract(const lw_sun_place *place, lw_sun *sun)
{
    if (!(sun->elevation_deg >= -(LW_SPA_SUN_RADIUS_DEG + LW_SPA_REFRACT_DEG)))
        return;
    const double e = sun->elevation_deg;
    const double lift_deg = place->refraction_scale * 1.02 / (60.0 * tan((e + 10.3 / (e + 5.11)) * RAD));
    const double r = lift_deg * RAD, r2 = r * r;
    const double sine = r * (1.0 - r2 / 6.0), cosine = 1.0 - r2 * (0.5 - r2 / 24.0);
    const double flat = sqrt(sun->east * sun->east + sun->north * sun->north);
    const double shrink = flat > 0.0 ? (flat * cosine - sun->up * sine) / flat : 1.0;
    sun->up = sun->up * cosine + flat * sine;
    sun->east *= shrink;
    sun->north *= shrink;
    sun->apparent_elevation_deg = e + lift_deg;
}

void lw_sun_at(const lw_sun_table *table, const lw_sun_place *place, double t_s, lw_sun *out)
{
    const double since = t_s / DAY_S - (double)table->first_day;
    const double clamped = fmax(0.0, fmin(table->days, since));
    const int day = clamped < table->days ? (int)clamped : table->days - 1;
    const double s = clamped - day; /* 0..1 between row[day + 1] and row[day + 2] */

    const double before = -s * (s - 1.0) * (s - 2.0) / 6.0, from = (s + 1.0) * (s - 1.0) * (s - 2.0) / 2.0;
    const double to = -(s + 1.0) * s * (s - 2.0) / 2.0, behind = (s + 1.0) * s * (s - 1.0) / 6.0;
#define BETWEEN(f)                                                                                                     \
    (before * table->row[day].f + from * table->row[day + 1].f + to * table->row[day + 2].f +                          \
     behind * table->row[day + 3].f)
    const double hour_angle = BETWEEN(lead_rad) + TURN * s + place->longitude_rad;
    const double sin_d = BETWEEN(sin_declination), parallax = BETWEEN(parallax_rad);
#undef BETWEEN
    const double cos_d = sqrt(1.0 - sin_d * sin_d);

    /* The sun from the observer, in the meridian's frame: out from the axis, west, along the axis. */
    const double outward = cos_d * cos(hour_angle) - parallax * place->axis_x;
    const double west = cos_d * sin(hour_angle);
    const double along = sin_d - parallax * place->axis_y;
    const double scale = 1.0 / sqrt(outward * outward + west * west + along * along);

    out->east = -west * scale;
    out->north = (along * place->cos_latitude - outward * place->sin_latitude) * scale;
    out->up = (along * place->sin_latitude + outward * place->cos_latitude) * scale;
    out->cos_zenith = out->up;
    out->elevation_deg = asin(fmax(-1.0, fmin(1.0, out->up))) / RAD;
    out->apparent_elevation_deg = out->elevation_deg;
    out->radius_au = PARALLAX_RAD / parallax;
    refract(place, out);
}

void lw_sun_at_each(const lw_sun_table *table, const lw_sun_place *place, const double *t_s, size_t count, lw_sun *out)
{
    for (size_t i = 0; i < count; i++)
        lw_sun_at(table, place, t_s[i], &out[i]);
}

double lw_sun_azimuth_deg(const lw_sun *sun)
{
    const double deg = atan2(sun->east, sun->north) / RAD;
    return deg < 0.0 ? deg + 360.0 : deg;
}
