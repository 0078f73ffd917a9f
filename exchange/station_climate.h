/* exchange/station_climate.h: what a weather station says of its place, month by month.
 *
 * Holds     monthly means of the daily maximum and minimum, the share of days with 0.25 mm (0.01 inch) or more, the
 *           precipitation of the month. Filled by exchange/normals.h and exchange/ghcn.h.
 * NaN       not known; `has` says the same as bits, month 1 being bit 0. Place and height are NaN where the form carries
 *           none. */
#ifndef LW_EXCHANGE_STATION_CLIMATE_H
#define LW_EXCHANGE_STATION_CLIMATE_H

enum { LW_MONTHS = 12, LW_ALL_MONTHS = 0xFFF };

typedef enum lw_station_value {
    LW_STATION_TMAX = 0,
    LW_STATION_TMIN,
    LW_STATION_WET,
    LW_STATION_PRECIP,
    LW_STATION_VALUES
} lw_station_value;

typedef struct lw_station_climate {
    char id[32], name[64];
    char period[16]; /* "1991-2020" */
    double latitude_deg, longitude_deg, elevation_m;
    double tmax_c[LW_MONTHS], tmin_c[LW_MONTHS], wet_frac[LW_MONTHS], precip_mm[LW_MONTHS];
    unsigned has[LW_STATION_VALUES];
    unsigned is_weak[LW_STATION_VALUES]; /* short record, or filled from neighbours, by the source's own flags */
} lw_station_climate;

#endif
