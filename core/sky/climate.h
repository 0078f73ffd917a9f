/* core/sky/climate.h: the climate of a place in North America, with nothing downloaded.
 *
 * Computes  for a day of the year or a month: mean daily maximum and minimum, spread of a day's mean about its normal and of
 *           its range, correlation from day to day, clearness, chance of a wet day and its amount, wind; and how far the
 *           model is off at places it was not fitted to.
 * Inputs    latitude_deg 24..66, longitude_deg -165..-60, elevation_m -100..4000: the fitted domain.
 * Results   lw_climate_day in SI; lw_climate_error: root mean square of what the model misses, by region and elevation.
 * Errors    LW_E_RANGE from lw_climate_check outside the domain: no answer is better than a wrong one. lw_climate_prepare
 *           itself takes the domain's edge then.
 * Source    our own fit to public records 1991-2020 (data/climate.csv says which); terms and method in docs/climate.md.
 * Limits    smooth: valleys that pool cold air are colder on winter nights (one western station in twenty between 1,500 and
 *           2,500 m by more than 3.6 K, the worst by 9.4 K); northern Canada and Alaska are rough (3-4 K); wind is that of
 *           airfields, a sheltered camp sees less; above 2,800 m the lapse of lower stations is kept. */
#ifndef LW_CORE_SKY_CLIMATE_H
#define LW_CORE_SKY_CLIMATE_H

#include "core/base/err.h"

enum { LW_CLIMATE_TERMS = 51 };

typedef struct lw_climate_site {
    double latitude_deg, elevation_m;
    double u, v;
    double term[LW_CLIMATE_TERMS];
} lw_climate_site;

typedef struct lw_climate_day {
    double tmax_c, tmin_c;
    double sd_k;     /* of one day's mean temperature about its normal, all years together */
    double sddtr_k;  /* of one day's range */
    double r1;       /* correlation of the daily mean anomaly with the day before */
    double kt;       /* global irradiation over the extraterrestrial one on the level */
    double wet_frac; /* chance of a day with at least 0.25 mm */
    double wet_mm;   /* mean of a wet day */
    double wind_ms;  /* at 10 m in the open */
} lw_climate_day;

typedef struct lw_climate_error {
    double tmax_k, tmin_k, sd_k, kt, wet_frac, wind_ms; /* NaN: too few stations to say */
} lw_climate_error;

LW_MUST_USE lw_code lw_climate_check(double latitude_deg, double longitude_deg, double elevation_m, lw_fault *fault);
void lw_climate_prepare(double latitude_deg, double longitude_deg, double elevation_m, lw_climate_site *site);
void lw_climate_on_day(const lw_climate_site *site, double day_of_year, lw_climate_day *out); /* 1..366 */
void lw_climate_in_month(const lw_climate_site *site, int month, lw_climate_day *out);        /* 1..12, at its middle */
void lw_climate_error_of(const lw_climate_site *site, double longitude_deg, lw_climate_error *out);

/* Where valleys pool cold air in winter: the interior West above 500 m. */
int lw_climate_may_pool_cold(const lw_climate_site *site, double longitude_deg, int month);

#endif
