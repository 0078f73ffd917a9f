/* service/weather.h: the weather of a place: its climate by month, or what a scenario was loaded with by day.
 *
 * Inputs    lw_weather_of_place: a place in North America (core/sky/climate.h), elevation NaN: not known, sea
 *           level is taken and said. lw_weather_of_scenario: where a scenario comes
 *           from (exchange/scenario.h); ..._by_month: the climate of its place, drawn to the station it names.
 * Results   lw_weather_answer, whole; owned until lw_weather_answer_clear, twice is fine, zeros too. On failure nothing is
 *           owned. Days are civil days of the place; sun is the global irradiation of the level ground in kWh/m2 a day, which
 *           people call peak sun hours.
 * Sun       hours of direct sun: the parts of the disc that stand over the skyline of the place, minute by minute over the
 *           hours of the day that are known.
 * Errors    LW_E_RANGE outside the climate's domain, those of exchange/scenario.h, LW_E_FULL no memory. One sentence.
 * JSON      schema leeway.weather/1, in SI: {"kind": "climate", "months": [12]} or {"kind": "loaded", "days": [...]}.
 * Limits    sun of a month: clearness times what falls above the air on its middle day (spherical trigonometry, 1 %). */
#ifndef LW_SERVICE_WEATHER_H
#define LW_SERVICE_WEATHER_H

#include "core/sky/climate.h"
#include "exchange/climate.h"
#include "exchange/scenario.h"

enum { LW_WEATHER_NOTES = 12 };

typedef struct lw_weather_month {
    lw_climate_day normal;
    lw_climate_rms error;
    double sun_kwhm2, wet_days, rain_mm; /* a day; in the month; in the month */
} lw_weather_month;

typedef struct lw_weather_date {
    int64_t day;           /* since 1970-01-01 */
    int hours;             /* of it that are known: fewer than 24 at both ends */
    double up_h, direct_h; /* the sun above the level, and clear of the skyline; cloud and trees set aside */
    double high_c, low_c, sun_kwhm2, clear_frac, rain_mm, wind_ms, humidity_frac; /* clear_frac: NaN without daylight */
} lw_weather_date;

typedef struct lw_weather_answer {
    int is_climate;
    lw_climate_place place;
    lw_weather_month month[12]; /* of a climate */
    lw_loaded loaded;           /* of a scenario */
    lw_weather_date date[LW_DAYS + 2];
    int date_count, stay_count;                              /* days in all; days until departure */
    char note[LW_WEATHER_NOTES][sizeof((lw_note *)0)->text]; /* what to beware of */
    int note_count;
} lw_weather_answer;

LW_MUST_USE lw_code lw_weather_of_place(const lw_climate_place *place, lw_unit_system units, lw_weather_answer *answer,
                                        lw_err *err);
LW_MUST_USE lw_code lw_weather_of_scenario(const lw_scenario_from *from, lw_weather_answer *answer, lw_err *err);
/* The same of a scenario in memory, which is taken over and left empty, on failure too. */
LW_MUST_USE lw_code lw_weather_of_loaded(lw_loaded *loaded, lw_weather_answer *answer, lw_err *err);
LW_MUST_USE lw_code lw_weather_of_scenario_by_month(const lw_scenario_from *from, lw_weather_answer *answer,
                                                    lw_err *err);
void lw_weather_answer_clear(lw_weather_answer *answer);

/* The caller's text (free). */
LW_MUST_USE lw_code lw_weather_json(const lw_weather_answer *answer, const char *version, char **text, lw_err *err);

#endif
