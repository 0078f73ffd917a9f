/* exchange/gridpoint.h: the gridpoint forecast of the US weather service (GeoJSON), hour by hour.
 *
 * Reads     one Feature: the cell's polygon, updateTime, elevation, layers of intervals "start/duration". Units by their
 *           code, "wmoUnit:" or "unit:" in front; K, degF, m/s, knots, cm, m and inches as well as the usual ones.
 * Results   lw_forecast: hours from start_s, the whole hour that holds `now_s` (0: the first that the air's layer has).
 *           Intervals that began before are cut there. Air, dew point, humidity, cloud, wind: mean over the hour;
 *           precipitation and snow: sums, an interval's total shared in proportion to time; chance of precipitation: that
 *           of the interval, not of the hour. NaN: not known. end_h[layer]: hours up to the end of what it knows.
 * Errors    one sentence with file and layer: no JSON, a key twice, too long or too deep, another kind of JSON, no air
 *           temperature, an unknown unit (by name), a bad time or duration, intervals that overlap or run backwards, a
 *           value no weather has. On failure *out is untouched. A forecast that is over has hours 0: no error.
 * Memory    the JSON's tree while it reads, some ten times its text, which is held to LW_GRIDPOINT_BYTES.
 * Source    National Weather Service API documentation, gridpoint layers; ISO 8601 intervals.
 * Limits    LW_FORECAST_HOURS hours. A value counts for an hour that it covers by half at the least. Layers end at
 *           different times. There is no irradiance: core/sky/cloud.h estimates it from the sky cover. */
#ifndef LW_EXCHANGE_GRIDPOINT_H
#define LW_EXCHANGE_GRIDPOINT_H

#include <stdint.h>

#include "core/base/err.h"
#include "exchange/csv.h"
#include "exchange/limits.h"

/* id, name, layer of the form, kind, least and largest value in our unit */
#define LW_FORECAST_LAYERS(X)                                                                                          \
    X(AIR, air_c, "temperature", WARMTH, -90.0, 70.0)                                                                  \
    X(DEW, dew_c, "dewpoint", WARMTH, -100.0, 60.0)                                                                    \
    X(HUMIDITY, humidity_frac, "relativeHumidity", SHARE, 0.0, 1.1)                                                    \
    X(SKY_COVER, sky_cover_frac, "skyCover", SHARE, 0.0, 1.0)                                                          \
    X(WIND, wind_ms, "windSpeed", SPEED, 0.0, 120.0)                                                                   \
    X(GUST, gust_ms, "windGust", SPEED, 0.0, 150.0)                                                                    \
    X(WIND_FROM, wind_from_deg, "windDirection", BEARING, 0.0, 360.0)                                                  \
    X(PRECIPITATION, precip_mm, "quantitativePrecipitation", DEPTH, 0.0, 2000.0)                                       \
    X(CHANCE, precip_chance_frac, "probabilityOfPrecipitation", SHARE, 0.0, 1.0)                                       \
    X(SNOW, snow_mm, "snowfallAmount", DEPTH, 0.0, 5000.0)

typedef enum lw_forecast_layer {
#define LW_FORECAST_ID(id, name, layer, kind, least, most) LW_FORECAST_##id,
    LW_FORECAST_LAYERS(LW_FORECAST_ID)
#undef LW_FORECAST_ID
        LW_FORECAST_LAYER_COUNT
} lw_forecast_layer;

typedef struct lw_forecast {
    int64_t issued_s, start_s;
    double latitude_deg, longitude_deg, elevation_m; /* the cell's middle; NaN: not said */
    int hours;                                       /* until the end of the air's layer */
    int end_h[LW_FORECAST_LAYER_COUNT];              /* 0: the layer is absent, empty or over */
#define LW_FORECAST_FIELD(id, name, layer, kind, least, most) double name[LW_FORECAST_HOURS];
    LW_FORECAST_LAYERS(LW_FORECAST_FIELD)
#undef LW_FORECAST_FIELD
} lw_forecast;

LW_MUST_USE lw_code lw_gridpoint_read(lw_read_fn *read, void *context, const char *name, int64_t now_s,
                                      lw_forecast *out, lw_err *err);
LW_MUST_USE lw_code lw_gridpoint_read_path(const char *path, int64_t now_s, lw_forecast *out, lw_err *err);

/* The hours of a layer, of which the first end_h may be known; borrowed from the forecast. */
const double *lw_forecast_hours(const lw_forecast *forecast, lw_forecast_layer layer);
const char *lw_forecast_name(lw_forecast_layer layer); /* "air_c"; borrowed for ever */

/* The first answer of the service: where the forecast of a spot is. `url` is properties.forecastGridData. */
LW_MUST_USE lw_code lw_gridpoint_find_url(const char *text, size_t n, char *url, size_t size, lw_err *err);

#endif
