/* core/sky/sun_table.h: the sun for the hour loop: a daily table made by core/sky/spa.h, read between its days.
 *
 * Computes  lw_sun_table_fill: for each midnight UTC of a span, the sun's hour angle less the clock's, its declination
 *           and distance; lw_sun_place_of, _at: what depends on the place only; lw_sun_at and lw_sun_at_each: the sun in
 *           the sky of that place at any instant of the span.
 * Inputs    times in UTC seconds since 1970-01-01; at most LW_SUN_TABLE_DAYS_MAX days; place as in spa.h. The table is
 *           the caller's, about 10 kB, and may be shared between threads once filled.
 * Results   a unit vector (east, north, up) to where the light comes from: parallax and refraction included, the
 *           latter with the cut-off of spa.h; true elevation and zenith cosine beside the apparent ones.
 * Errors    LW_E_RANGE from lw_sun_table_check; LW_E_FULL for more days than fit. Outside its span the table is read
 *           at its nearest end, which is a wrong sun: ask lw_sun_table_holds where in doubt.
 * Source    spa.h; four-point Lagrange interpolation. The topocentric place by vectors equals the report's formulas.
 * Limits    within 0.000001 deg of spa.h in the years 2020-2041 (measured; the test allows 0.000005). */
#ifndef LW_CORE_SKY_SUN_TABLE_H
#define LW_CORE_SKY_SUN_TABLE_H

#include <stdint.h>

#include "core/sky/spa.h"

#define LW_SUN_TABLE_DAYS_MAX 400
#define LW_SUN_TABLE_ROWS_MAX (LW_SUN_TABLE_DAYS_MAX + 3) /* one midnight before the span, two behind it */

typedef struct lw_sun_table {
    int64_t first_day; /* days since 1970-01-01 */
    int days;
    double delta_t_s;
    struct {
        double lead_rad; /* Greenwich hour angle less that of the clock: the equation of time, as an angle */
        double sin_declination, parallax_rad;
    } row[LW_SUN_TABLE_ROWS_MAX]; /* row[0] is the midnight before first_day */
} lw_sun_table;

typedef struct lw_sun_place {
    double sin_latitude, cos_latitude, longitude_rad;
    double axis_x, axis_y;   /* the observer from the Earth's centre, in its radii: off the axis, along it */
    double refraction_scale; /* pressure and temperature against those of Bennett's formula */
} lw_sun_place;

typedef struct lw_sun {
    double east, north, up; /* towards the apparent (refracted) sun; up is the cosine of the apparent zenith angle */
    double apparent_elevation_deg;
    double elevation_deg, cos_zenith; /* true: without refraction */
    double radius_au;
} lw_sun;

LW_MUST_USE lw_code lw_sun_table_check(int64_t first_day, int days, double delta_t_s, lw_fault *fault);
void lw_sun_table_fill(lw_sun_table *table, int64_t first_day, int days, double delta_t_s);
int lw_sun_table_holds(const lw_sun_table *table, double t_s);

lw_sun_place lw_sun_place_of(const lw_spa_place *place);

/* For refraction: the standard atmosphere's pressure at that height, and 12 C. */
lw_sun_place lw_sun_place_at(double latitude_deg, double longitude_deg, double elevation_m);

void lw_sun_at(const lw_sun_table *table, const lw_sun_place *place, double t_s, lw_sun *out);
void lw_sun_at_each(const lw_sun_table *table, const lw_sun_place *place, const double *t_s, size_t count, lw_sun *out);

/* Azimuth clockwise from north, 0..360; apart because the hour loop needs it only where there is a horizon. */
double lw_sun_azimuth_deg(const lw_sun *sun);

#endif
