#include "core/sky/climate.h"

#include <math.h>

#include "core/base/num.h"
#include "core/sky/climate_table_internal.h"

static const double PI = 3.14159265358979323846;
static const double DEGREE_KM = 111.2, CENTRE_WIDTH_DEG = 4.5; /* as the fit took them */

enum { TMAX = 0, TMIN, SD, SDDTR, R1, KT, WET, PMM, WIND, VARIABLES };
enum { LOCAL_TERMS = 18 }; /* the terms before the local ones */

#define COUNT(table) (sizeof(table) / sizeof((table)[0]))

lw_code lw_climate_check(double latitude_deg, double longitude_deg, double elevation_m, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "latitude_deg", latitude_deg, 24.0, 66.0);
    bad = bad ? bad : lw_want_range(fault, "longitude_deg", longitude_deg, -165.0, -60.0);
    return bad ? bad : lw_want_range(fault, "elevation_m", elevation_m, -100.0, 4000.0);
}

static double clamp(double value, double low, double high)
{
    return lw_least(lw_most(value, low), high);
}

/* Distance from the origin to a segment. */
static double segment_km(double ax, double ay, double bx, double by)
{
    const double dx = bx - ax, dy = by - ay, length2 = dx * dx + dy * dy;
    const double along = length2 > 0.0 ? lw_least(lw_most(-(ax * dx + ay * dy) / length2, 0.0), 1.0) : 0.0;
    const double x = ax + along * dx, y = ay + along * dy;
    return sqrt(x * x + y * y);
}

/* To a coast line, on a plane centred at the place. */
static double coast_km(const climate_point *line, size_t count, double latitude_deg, double longitude_deg)
{
    const double east = cos(latitude_deg * PI / 180.0) * DEGREE_KM;
    double nearest = INFINITY;
    for (size_t i = 0; i + 1 < count; i++)
        nearest = lw_least(nearest, segment_km((line[i].longitude_deg - longitude_deg) * east,
                                               (line[i].latitude_deg - latitude_deg) * DEGREE_KM,
                                               (line[i + 1].longitude_deg - longitude_deg) * east,
                                               (line[i + 1].latitude_deg - latitude_deg) * DEGREE_KM));
    return nearest;
}

void lw_climate_prepare(double latitude_deg, double longitude_deg, double elevation_m, lw_climate_site *site)
{
    /* The fit is evaluated at the edge of its domain for what lies outside; who wants an answer asks the check first. */
    latitude_deg = clamp(latitude_deg, 24.0, 66.0);
    longitude_deg = clamp(longitude_deg, -165.0, -60.0);
    elevation_m = clamp(elevation_m, -100.0, 4000.0);
    const double u = (latitude_deg - 40.0) / 10.0, v = (longitude_deg + 105.0) / 15.0, z = elevation_m / 1000.0;
    const double pacific_km = coast_km(CLIMATE_PACIFIC, COUNT(CLIMATE_PACIFIC), latitude_deg, longitude_deg);
    const double p1 = exp(-pacific_km / 50.0), p2 = exp(-pacific_km / 300.0);
    const double a1 = exp(-coast_km(CLIMATE_ATLANTIC, COUNT(CLIMATE_ATLANTIC), latitude_deg, longitude_deg) / 200.0);
    const double b1 = exp(-coast_km(CLIMATE_BERING, COUNT(CLIMATE_BERING), latitude_deg, longitude_deg) / 200.0);
    const double whole[LOCAL_TERMS] = {1.0,
                                       u,
                                       v,
                                       z,
                                       p1,
                                       p2,
                                       a1,
                                       b1,
                                       u * u,
                                       u * v,
                                       v * v,
                                       clamp(u, -1.0, 1.0) * z,
                                       clamp(v, -1.2, 1.7) * z,
                                       lw_most(z - 1.0, 0.0),
                                       p1 * u,
                                       p2 * u,
                                       p2 * z,
                                       a1 * u};
    *site = (lw_climate_site){.latitude_deg = latitude_deg, .elevation_m = elevation_m, .u = u, .v = v};
    for (int i = 0; i < LOCAL_TERMS; i++)
        site->term[i] = whole[i];
    for (size_t i = 0; i < COUNT(CLIMATE_CENTRE); i++) {
        const double north = latitude_deg - CLIMATE_CENTRE[i].latitude_deg;
        const double east =
            (longitude_deg - CLIMATE_CENTRE[i].longitude_deg) * cos(CLIMATE_CENTRE[i].latitude_deg * PI / 180.0);
        site->term[LOCAL_TERMS + i] = exp(-(north * north + east * east) / (2.0 * CENTRE_WIDTH_DEG * CENTRE_WIDTH_DEG));
    }
}

static double linked(int link, double y)
{
    return link == 1 ? exp(y) : link == 2 ? 1.0 / (1.0 + exp(-y)) : y;
}

static void at_season(const lw_climate_site *site, double t, lw_climate_day *out)
{
    const double season[5] = {1.0, cos(t), sin(t), cos(2.0 * t), sin(2.0 * t)};
    double y[VARIABLES] = {0.0};
    for (size_t i = 0; i < COUNT(CLIMATE_TERMS); i++) {
        const climate_term *row = &CLIMATE_TERMS[i];
        double sum = 0.0;
        for (int k = 0; k < 5; k++)
            sum += row->c[k] * season[k];
        y[row->variable] += site->term[row->term] * sum;
    }
    for (int k = 0; k < VARIABLES; k++)
        y[k] = clamp(linked(CLIMATE_VARIABLES[k].link, y[k]), CLIMATE_VARIABLES[k].low, CLIMATE_VARIABLES[k].high);
    if (y[TMAX] - y[TMIN] < 4.0) { /* far outside the data only */
        const double mean = 0.5 * (y[TMAX] + y[TMIN]);
        y[TMAX] = mean + 2.0;
        y[TMIN] = mean - 2.0;
    }
    *out = (lw_climate_day){.tmax_c = y[TMAX],
                            .tmin_c = y[TMIN],
                            .sd_k = y[SD],
                            .sddtr_k = y[SDDTR],
                            .r1 = y[R1],
                            .kt = y[KT],
                            .wet_frac = y[WET],
                            .wet_mm = y[PMM],
                            .wind_ms = y[WIND]};
}

void lw_climate_on_day(const lw_climate_site *site, double day_of_year, lw_climate_day *out)
{
    at_season(site, 2.0 * PI * (day_of_year - 0.5) / 365.25, out);
}

void lw_climate_in_month(const lw_climate_site *site, int month, lw_climate_day *out)
{
    at_season(site, 2.0 * PI * (month - 0.5) / 12.0, out);
}

static double known(double figure)
{
    return figure < 0.0 ? NAN : figure;
}

void lw_climate_error_of(const lw_climate_site *site, double longitude_deg, lw_climate_error *out)
{
    const int region = site->latitude_deg > 52.0 ? 0 : longitude_deg > -100.0 ? 1 : 2;
    const climate_error_row *found = &CLIMATE_ERRORS[0];
    for (size_t i = 0; i < COUNT(CLIMATE_ERRORS); i++)
        if (CLIMATE_ERRORS[i].region == region && site->elevation_m >= CLIMATE_ERRORS[i].from_m &&
            site->elevation_m < CLIMATE_ERRORS[i].to_m)
            found = &CLIMATE_ERRORS[i];
    *out = (lw_climate_error){.tmax_k = found->tmax_k,
                              .tmin_k = found->tmin_k,
                              .sd_k = found->sd_k,
                              .kt = known(found->kt),
                              .wet_frac = found->wet_frac,
                              .wind_ms = known(found->wind_ms)};
}

int lw_climate_may_pool_cold(const lw_climate_site *site, double longitude_deg, int month)
{
    return longitude_deg < -100.0 && site->elevation_m > 500.0 && (month >= 11 || month <= 2);
}
