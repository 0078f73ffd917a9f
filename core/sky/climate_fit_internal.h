/* core/sky/climate_fit_internal.h: the form of the climate model's figures, and their table. */
#ifndef LW_CORE_SKY_CLIMATE_FIT_INTERNAL_H
#define LW_CORE_SKY_CLIMATE_FIT_INTERNAL_H

#include "core/sky/climate.h"

enum {
    LW_CLIMATE_VERTICES = 32, /* of one coast line at most */
    LW_CLIMATE_CENTRES = 33,
    LW_CLIMATE_LEADS = 10, /* days ahead of a forecast */
};

typedef enum lw_climate_term {
    LW_TERM_ONE = 0,
    LW_TERM_U,
    LW_TERM_V,
    LW_TERM_Z,
    LW_TERM_P1,
    LW_TERM_P2,
    LW_TERM_A1,
    LW_TERM_B1,
    LW_TERM_UU,
    LW_TERM_UV,
    LW_TERM_VV,
    LW_TERM_UZ,
    LW_TERM_VZ,
    LW_TERM_Z1,
    LW_TERM_P1U,
    LW_TERM_P2U,
    LW_TERM_P2Z,
    LW_TERM_A1U,
    LW_TERM_CENTRE, /* and the others behind it */
    LW_TERM_COUNT = LW_TERM_CENTRE + LW_CLIMATE_CENTRES,
} lw_climate_term;

typedef enum lw_climate_link { LW_LINK_IDENTITY = 0, LW_LINK_EXP, LW_LINK_LOGISTIC } lw_climate_link;

/* Whose stations an error was measured on. */
typedef enum lw_climate_judged {
    LW_ERROR_PACIFIC = 0,
    LW_ERROR_INTERIOR,
    LW_ERROR_EAST,
    LW_ERROR_NORTH,
    LW_ERROR_CANADA_WEST,
    LW_ERROR_CANADA,
    LW_ERROR_BAND_0, /* of the West, by elevation in metres */
    LW_ERROR_BAND_500,
    LW_ERROR_BAND_1000,
    LW_ERROR_BAND_1500,
    LW_ERROR_BAND_2000,
    LW_ERROR_BAND_2500,
    LW_ERROR_COUNT,
} lw_climate_judged;

typedef enum lw_climate_monthly {
    LW_MONTHLY_KT_LAG1_RAW = 0,
    LW_MONTHLY_KT_DTR_CORR,
    LW_MONTHLY_KT_WET_OVER_DRY,
    LW_MONTHLY_DTR_WET_OVER_DRY,
    LW_MONTHLY_WIND_DAILY_SD_OVER_MEAN,
    LW_MONTHLY_COUNT,
} lw_climate_monthly;

typedef struct lw_climate_point {
    double latitude_deg, longitude_deg;
} lw_climate_point;

typedef struct lw_climate_fit {
    lw_climate_point pacific[LW_CLIMATE_VERTICES], atlantic[LW_CLIMATE_VERTICES], bering[LW_CLIMATE_VERTICES];
    lw_climate_point centre[LW_CLIMATE_CENTRES];
    int pacific_count, atlantic_count, bering_count, centre_count;
    struct {
        lw_climate_link link;
        int parts; /* of the year's curve: 3 or 5 */
        double least, most;
    } of[LW_CLIMATE_COUNT];
    double coefficient[LW_CLIMATE_COUNT][LW_TERM_COUNT][LW_CLIMATE_PARTS];
    struct {
        double mean, cos1, logit_wet, u, v;
    } wet_again;
    double error[LW_ERROR_COUNT][LW_CLIMATE_COUNT];                     /* 0: not measured */
    double error_of_month[LW_ERROR_NORTH + 1][LW_CLIMATE_TMIN + 1][12]; /* over that of the year */
    double day_p[LW_CLIMATE_QUANTILES], day_mean[LW_CLIMATE_ROWS];      /* clearness of days */
    double day_kt[LW_CLIMATE_ROWS][LW_CLIMATE_QUANTILES];
    double of_month[LW_MONTHLY_COUNT][2][12];                             /* west, east of 102 W */
    double lead_air_sd_k[LW_CLIMATE_LEADS], lead_sky_r[LW_CLIMATE_LEADS]; /* of a forecast, 1, 2, ... days ahead */
    double wind_shape[4][24];                                             /* winter, spring, summer, autumn */
} lw_climate_fit;

extern const lw_climate_fit lw_climate_table;

#endif
