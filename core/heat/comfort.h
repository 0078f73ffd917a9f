/* core/heat/comfort.h: how cold or hot it feels, and whether windows will run.
 *
 * Computes  wind chill, heat index and its class, comfort bounds, dew point, condensation on the inside of the skin.
 * Inputs    air_c; wind_ms at 10 m; rh_frac 0..1; for condensation the air inside and outside, vapour given off and air
 *           changed.
 * Results   temperatures in C, relative humidity inside 0..1; classes in rising order.
 * Errors    LW_E_RANGE from lw_comfort_check and lw_damp_check.
 * Source    US NWS wind chill (2001). US NWS regression, Rothfusz 1990, SR 90-23; below 80 F and at the dry and
 *           damp ends the NWS's published steps around it (from memory). Classes: NWS; danger from 103 F. ASHRAE
 *           55 zones for 1.0 and 0.5 clo, sleep practice. Magnus, WMO-No. 8 (17.62, 243.12 C).
 * Limits    wind chill is the air temperature above 50 F or below 3 mph; the heat index is for shade and light wind and
 *           is not defined in extreme heat (above 50 C the regression is continued); as published it
 *           jumps by up to 4 F at 80 F, where the regression takes over. Condensation is quasi-steady. */
#ifndef LW_CORE_HEAT_COMFORT_H
#define LW_CORE_HEAT_COMFORT_H

#include "core/base/err.h"

typedef enum lw_heat_class {
    LW_HEAT_NONE = 0,
    LW_HEAT_CAUTION, /* from 80 F */
    LW_HEAT_STRONG,  /* extreme caution, from 90 F */
    LW_HEAT_DANGER,  /* from 103 F */
    LW_HEAT_EXTREME  /* extreme danger, from 125 F */
} lw_heat_class;

typedef enum lw_comfort_season { LW_COMFORT_WINTER = 0, LW_COMFORT_SUMMER, LW_COMFORT_SLEEP } lw_comfort_season;

typedef struct lw_comfort_band {
    double low_c, high_c;
} lw_comfort_band;

typedef struct lw_damp_in {
    double inside_c, outside_c, outside_rh_frac;
    double vapour_gph;                /* people, cooking, unvented flames */
    double volume_m3, air_changes_ph; /* the air changed must not be 0 for a finite answer */
    double surface_u_wm2k;            /* of the coldest surface, such as single glass */
} lw_damp_in;

typedef struct lw_damp_out {
    double inside_rh_frac, dew_c, surface_c;
    int is_wet;
} lw_damp_out;

LW_MUST_USE lw_code lw_comfort_check(double air_c, double wind_ms, double rh_frac, lw_fault *fault);
double lw_wind_chill_c(double air_c, double wind_ms);
double lw_heat_index_c(double air_c, double rh_frac);
lw_heat_class lw_heat_class_of(double heat_index_c);
lw_comfort_band lw_comfort_of(lw_comfort_season season);
double lw_comfort_dew_c(double air_c, double rh_frac);

LW_MUST_USE lw_code lw_damp_check(const lw_damp_in *in, lw_fault *fault);
void lw_damp(const lw_damp_in *in, lw_damp_out *out);

#endif
