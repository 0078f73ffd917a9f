/* core/sky/climate.h: the typical weather of a place in North America, by latitude, longitude, elevation and day of the year.
 *
 * Computes  lw_climate_site_make: what depends on the place; lw_climate_of_day, lw_climate_of_month: mean daily maximum and
 *           minimum, day-to-day spread of the mean and of the range, correlation with the day before, clearness, share of
 *           wet days, rain of a wet day, wind; lw_climate_correct: the place brought nearer to stations around it;
 *           lw_climate_error: the model's own root mean square error there; lw_climate_doubts: what to beware of.
 * Inputs    latitude_deg 24..66, longitude_deg -165..-60 (east positive), elevation_m -100..4000: the fitted domain.
 *           day_of_year 1..366, month 1..12. A station's months: NaN where not known.
 * Results   the climate of 1991-2020. Temperatures in C at 1.5-2 m, spreads in K, wind in m/s at 10 m in the open (that of
 *           airfields: a sheltered camp sees less), kt the global horizontal over the extraterrestrial irradiation.
 * Errors    LW_E_RANGE from the checks, with the bound. Behind them all is total: a place outside is held at the edge.
 * Formula   y = sum over terms j of term_j (c_j0 + c_j1 cos t + c_j2 sin t + c_j3 cos 2t + c_j4 sin 2t), t the season; then
 *           y, e^y or 1/(1 + e^-y) by variable, within bounds. Terms: u = (lat - 40)/10, v = (lon + 105)/15, z in km,
 *           z1 = max(z - 1, 0); nearness to the coasts p1 = e^(-dP/50 km), p2 = e^(-dP/300 km), a1 = e^(-dA/200 km),
 *           b1 = e^(-dB/200 km); products of these; bells of 4.5 degrees around 33 centres. tmax - tmin is at least 4 K.
 *           Near stations: plus sum w (station - model there) / (0.2 + sum w), w = e^(-d/50 km) e^(-(dz/500 m)^2), stations
 *           within 400 km.
 * Source    our own fit; its figures, data and errors stand in data/climate/.
 * Limits    root mean square errors: highs 1.1 K, lows 1.4 K over all; lows 2.3 K at 2000-2500 m in the West, Alaska and
 *           northern Canada 3-4 K. High basins collect cold air on winter nights that the model does not know: of western
 *           stations at 1500-2500 m one in twenty is more than 3.6 K colder in December-February, the worst 9.4 K. North of
 *           49 N in Canada only highs and lows rest on stations, eight of them; Mexico and the sea are extrapolated. Rain of a
 *           wet day is the weakest (2.3 mm), wind little better than its mean. */
#ifndef LW_CORE_SKY_CLIMATE_H
#define LW_CORE_SKY_CLIMATE_H

#include "core/base/err.h"

/* id, name in tables, field */
#define LW_CLIMATE_VARIABLES(X)                                                                                        \
    X(TMAX, "tmax", tmax_c)                                                                                            \
    X(TMIN, "tmin", tmin_c)                                                                                            \
    X(SD, "sd", sd_k)                                                                                                  \
    X(SDDTR, "sddtr", sddtr_k)                                                                                         \
    X(R1, "r1", r1)                                                                                                    \
    X(KT, "kt", kt)                                                                                                    \
    X(WET, "wet", wet_frac)                                                                                            \
    X(PMM, "pmm", wet_day_mm)                                                                                          \
    X(WIND, "wind", wind_ms)

typedef enum lw_climate_variable {
#define LW_CLIMATE_ID(id, name, field) LW_CLIMATE_##id,
    LW_CLIMATE_VARIABLES(LW_CLIMATE_ID)
#undef LW_CLIMATE_ID
        LW_CLIMATE_COUNT
} lw_climate_variable;

enum {
    LW_CLIMATE_PARTS = 5, /* 1, cos t, sin t, cos 2t, sin 2t */
    LW_CLIMATE_ROWS = 11,
    LW_CLIMATE_QUANTILES = 9,
};

typedef struct lw_climate_place {
    double latitude_deg, longitude_deg, elevation_m;
} lw_climate_place;

typedef enum lw_climate_region {
    LW_CLIMATE_PACIFIC = 0, /* within 200 km of the outer Pacific coast */
    LW_CLIMATE_INTERIOR,    /* the rest west of 100 W */
    LW_CLIMATE_EAST,
    LW_CLIMATE_NORTH,       /* of 52 N: Alaska, northern Canada */
    LW_CLIMATE_CANADA_WEST, /* 49 to 52 N */
    LW_CLIMATE_CANADA_EAST,
} lw_climate_region;

/* What depends on the place only; copyable. */
typedef struct lw_climate_site {
    lw_climate_place place; /* held inside the domain */
    lw_climate_region region;
    double u, v;
    double season[LW_CLIMATE_COUNT][LW_CLIMATE_PARTS];
    double station_frac;                                 /* 0: no station near .. 1: their differences count in full */
    double tmax_k[12], tmin_k[12], kt[12], wet_frac[12]; /* added by stations */
} lw_climate_site;

typedef struct lw_climate_day {
    double tmax_c, tmin_c, sd_k, sddtr_k, r1, kt, wet_frac, wet_day_mm, wind_ms;
} lw_climate_day;

typedef struct lw_climate_rms {
    double tmax_k, tmin_k, sd_k, kt, wet_frac, wind_ms;
} lw_climate_rms;

typedef struct lw_climate_station {
    lw_climate_place place;
    double tmax_c[12], tmin_c[12], kt[12], wet_frac[12]; /* NaN: not known */
} lw_climate_station;

/* Bits of lw_climate_doubts. */
enum {
    LW_CLIMATE_COLD_POOL =
        1,               /* November-February in the interior West, 1500-2500 m: a basin may be far colder at night */
    LW_CLIMATE_HIGH = 2, /* above the highest long-record station, 2807 m */
    LW_CLIMATE_FEW_NORTH = 4,   /* Canada: eight sites for highs and lows, none for the rest */
    LW_CLIMATE_ROUGH_NORTH = 8, /* Alaska: errors of 3-4 K */
    LW_CLIMATE_SOUTH = 16,      /* south of the stations: Mexico, Cuba */
};

LW_MUST_USE lw_code lw_climate_check(const lw_climate_place *place, lw_fault *fault);

void lw_climate_site_make(const lw_climate_place *place, lw_climate_site *site);
void lw_climate_of_day(const lw_climate_site *site, double day_of_year, lw_climate_day *out);
void lw_climate_of_month(const lw_climate_site *site, int month, lw_climate_day *out);

/* Replaces what stations added before. Clearness and wet days are corrected by the formula of highs and lows: one station
 * left out at a time it brings wet days from 0.053 to 0.037 in the West, clearness from 0.050 to 0.048 (typical years). */
void lw_climate_correct(lw_climate_site *site, const lw_climate_station *station, int count);

/* The larger of the region's error and, in the interior West, that of its elevation band; highs and lows by month. With
 * stations near it falls to what stations left out showed: highs to 0.81, lows to 0.905, wet days to 0.70 of it. */
void lw_climate_error(const lw_climate_site *site, int month, lw_climate_rms *out);

unsigned lw_climate_doubts(const lw_climate_site *site, int month);

/* Probability of a wet day behind a wet day, at that day's own share of wet days. */
double lw_climate_wet_again_frac(const lw_climate_site *site, double day_of_year, double wet_frac);

#endif
