#include "core/sky/spa.h"

#include <math.h>

#include "core/sky/spa_series_internal.h"

static const double RAD = 0.017453292519943295; /* pi / 180 */
static const double J2000_S = 946728000.0;      /* 2000-01-01 12:00 in seconds since 1970 */
static const double DAY_S = 86400.0, CENTURY_D = 36525.0;
static const double FLATTENING = 0.99664719, EARTH_RADIUS_M = 6378140.0; /* of the report, section 3.12 */

static double wrap_deg(double deg)
{
    const double rest = fmod(deg, 360.0);
    return rest < 0.0 ? rest + 360.0 : rest;
}

static double sum(const term *terms, size_t count, double millennia)
{
    double total = 0.0;
    for (size_t i = 0; i < count; i++)
        total += terms[i].a * cos(terms[i].b + terms[i].c * millennia);
    return total;
}

#define SUM(table, t) sum(table, sizeof(table) / sizeof((table)[0]), t)

static void earth(double t, lw_spa_sun *out)
{
    const double l =
        SUM(L0, t) + t * (SUM(L1, t) + t * (SUM(L2, t) + t * (SUM(L3, t) + t * (SUM(L4, t) + t * SUM(L5, t)))));
    const double b = SUM(B0, t) + t * SUM(B1, t);
    const double r = SUM(R0, t) + t * (SUM(R1, t) + t * (SUM(R2, t) + t * (SUM(R3, t) + t * SUM(R4, t))));
    out->helio_longitude_deg = wrap_deg(l * 1e-8 / RAD);
    out->helio_latitude_deg = b * 1e-8 / RAD;
    out->radius_au = r * 1e-8;
}

static void nutation(double t, lw_spa_sun *out)
{
    const double x[5] = {297.85036 + t * (445267.111480 + t * (-0.0019142 + t / 189474.0)),
                         357.52772 + t * (35999.050340 + t * (-0.0001603 - t / 300000.0)),
                         134.96298 + t * (477198.867398 + t * (0.0086972 + t / 56250.0)),
                         93.27191 + t * (483202.017538 + t * (-0.0036825 + t / 327270.0)),
                         125.04452 + t * (-1934.136261 + t * (0.0020708 + t / 450000.0))};
    double longitude = 0.0, obliquity = 0.0;
    for (size_t i = 0; i < sizeof NUTATION / sizeof NUTATION[0]; i++) {
        const struct nutation_term *n = &NUTATION[i];
        double angle = 0.0;
        for (int k = 0; k < 5; k++)
            angle += n->y[k] * x[k];
        angle = fmod(angle, 360.0) * RAD;
        longitude += (n->a + n->b * t) * sin(angle);
        obliquity += (n->c + n->d * t) * cos(angle);
    }
    out->nutation_longitude_deg = longitude / 36e6;
    out->nutation_obliquity_deg = obliquity / 36e6;
}

static double mean_obliquity_arcsec(double millennia)
{
    static const double c[] = {84381.448, -4680.93, -1.55, 1999.25, -51.38, -249.67, -39.05, 7.12, 27.87, 5.79, 2.45};
    const double u = millennia / 10.0;
    double total = 0.0;
    for (size_t i = sizeof c / sizeof c[0]; i-- > 0;)
        total = total * u + c[i];
    return total;
}

static double equation_of_time_min(double m, const lw_spa_sun *sun)
{
    const double mean_longitude_deg =
        280.4664567 +
        m * (360007.6982779 + m * (0.03032028 + m * (1.0 / 49931.0 - m * (1.0 / 15300.0 + m / 2000000.0))));
    const double deg = mean_longitude_deg - 0.0057183 - sun->right_ascension_deg +
                       sun->nutation_longitude_deg * cos(sun->obliquity_deg * RAD);
    const double wrapped = wrap_deg(deg + 180.0) - 180.0; /* never more than 5 deg from zero */
    return 4.0 * wrapped;
}

void lw_spa_sun_at(double t_s, double delta_t_s, lw_spa_sun *out)
{
    const double days = (t_s - J2000_S) / DAY_S, centuries = days / CENTURY_D;
    const double eph_centuries = (days + delta_t_s / DAY_S) / CENTURY_D, eph_millennia = eph_centuries / 10.0;

    earth(eph_millennia, out);
    nutation(eph_centuries, out);
    out->obliquity_deg = mean_obliquity_arcsec(eph_millennia) / 3600.0 + out->nutation_obliquity_deg;

    const double aberration_deg = -20.4898 / (3600.0 * out->radius_au);
    out->apparent_longitude_deg =
        wrap_deg(out->helio_longitude_deg + 180.0 + out->nutation_longitude_deg + aberration_deg);

    const double lambda = out->apparent_longitude_deg * RAD, beta = -out->helio_latitude_deg * RAD;
    const double epsilon = out->obliquity_deg * RAD;
    out->right_ascension_deg =
        wrap_deg(atan2(sin(lambda) * cos(epsilon) - tan(beta) * sin(epsilon), cos(lambda)) / RAD);
    out->declination_deg = asin(sin(beta) * cos(epsilon) + cos(beta) * sin(epsilon) * sin(lambda)) / RAD;

    const double mean_sidereal_deg =
        280.46061837 + 360.98564736629 * days + centuries * centuries * (0.000387933 - centuries / 38710000.0);
    out->sidereal_deg = wrap_deg(mean_sidereal_deg + out->nutation_longitude_deg * cos(epsilon));
    out->equation_of_time_min = equation_of_time_min(eph_millennia, out);
}

double lw_spa_refraction_deg(double elevation_deg, double pressure_pa, double temperature_c)
{
    if (!(elevation_deg >= -(LW_SPA_SUN_RADIUS_DEG + LW_SPA_REFRACT_DEG)))
        return 0.0;
    return pressure_pa / 101000.0 * (283.0 / (273.0 + temperature_c)) * 1.02 /
           (60.0 * tan((elevation_deg + 10.3 / (elevation_deg + 5.11)) * RAD));
}

void lw_spa_seen_from(const lw_spa_sun *sun, const lw_spa_place *place, lw_spa_out *out)
{
    const double phi = place->latitude_deg * RAD, delta = sun->declination_deg * RAD;
    out->hour_angle_deg = wrap_deg(sun->sidereal_deg + place->longitude_deg - sun->right_ascension_deg);
    const double h = out->hour_angle_deg * RAD;

    const double parallax = 8.794 / (3600.0 * sun->radius_au) * RAD;
    const double u = atan(FLATTENING * tan(phi));
    const double x = cos(u) + place->elevation_m / EARTH_RADIUS_M * cos(phi);
    const double y = FLATTENING * sin(u) + place->elevation_m / EARTH_RADIUS_M * sin(phi);
    const double along = cos(delta) - x * sin(parallax) * cos(h);
    const double shift = atan2(-x * sin(parallax) * sin(h), along);
    const double delta_topo = atan2((sin(delta) - y * sin(parallax)) * cos(shift), along);
    const double h_topo = h - shift;
    out->topo_right_ascension_deg = wrap_deg(sun->right_ascension_deg + shift / RAD);
    out->topo_declination_deg = delta_topo / RAD;
    out->topo_hour_angle_deg = wrap_deg(h_topo / RAD);

    /* Rounding may carry the sine past 1 with the sun at the zenith. */
    const double sine = sin(phi) * sin(delta_topo) + cos(phi) * cos(delta_topo) * cos(h_topo);
    const double elevation_deg = asin(fmax(-1.0, fmin(1.0, sine))) / RAD;
    out->zenith_deg = 90.0 - elevation_deg;
    out->apparent_zenith_deg =
        out->zenith_deg - lw_spa_refraction_deg(elevation_deg, place->pressure_pa, place->temperature_c);
    /* cos(delta) multiplied through, so that no tangent grows without bound. */
    out->azimuth_deg = wrap_deg(180.0 + atan2(sin(h_topo) * cos(delta_topo),
                                              cos(h_topo) * sin(phi) * cos(delta_topo) - sin(delta_topo) * cos(phi)) /
                                            RAD);
}

void lw_spa(const lw_spa_in *in, lw_spa_sun *sun, lw_spa_out *out)
{
    lw_spa_sun_at(in->t_s, in->delta_t_s, sun);
    lw_spa_seen_from(sun, &in->place, out);
}

lw_code lw_spa_check(const lw_spa_in *in, lw_fault *fault)
{
    const lw_want wants[] = {
        {"t_s", in->t_s, -125283024000.0, 127208534400.0}, /* years -2000 and 6001 */
        {"delta_t_s", in->delta_t_s, -8000.0, 8000.0},
    };
    const lw_code bad = lw_want_all(fault, LW_WANTS(wants));
    return bad ? bad : lw_spa_place_check(&in->place, fault);
}

lw_code lw_spa_place_check(const lw_spa_place *place, lw_fault *fault)
{
    const lw_want wants[] = {
        {"latitude_deg", place->latitude_deg, -90.0, 90.0},    {"longitude_deg", place->longitude_deg, -180.0, 180.0},
        {"elevation_m", place->elevation_m, -500.0, 11000.0},  {"pressure_pa", place->pressure_pa, 0.0, 120000.0},
        {"temperature_c", place->temperature_c, -100.0, 80.0},
    };
    return lw_want_all(fault, LW_WANTS(wants));
}
