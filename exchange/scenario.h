/* exchange/scenario.h: a scenario file (YAML or JSON) turned into what the engine is told.
 *
 * Reads     the keys of docs/use/scenario.md, each typed by one table (scenario_schema.c). What a file leaves out comes from
 *           data/defaults.csv, the row of the rig's kind in data/rigs.csv and the tables of habits and appliances; every
 *           such value is listed in `assumption`, in the order of the file, with its source.
 * Results   lw_loaded: the scenario (SI and UTC), the zone, the texts that a report needs. All or nothing: on failure
 *           *out is as lw_loaded_clear leaves it.
 * Errors    one sentence with file, line and key: what was found, what fits. The first failure wins.
 * Weather   an hourly file; or the climate of the place (core/sky/climate.h, North America), also where the file says nothing
 *           of weather: each day as its normal, its error in the source's words and among the assumptions, doubts as notes;
 *           or values by month or for the whole stay, from which each day has the same curve: the low at 6:00 and the high at 15:00 mean solar time, half a cosine between either; clearness is constant (ghi, dni, dhi
 *           are NaN then). Months hold at their middle and pass over in between. Air is corrected by 6.5 K/km from the
 *           height where the weather was measured to the place.
 * Forecast  a gridpoint forecast (exchange/gridpoint.h) takes the place of the weather above for its hours; each of its
 *           layers to its own end. Behind it the mean difference of its last day from the usual hours fades: that of
 *           the air by the climate's correlation from day to day (0.77 outside its domain), wind, humidity and clearness
 *           over 24 h; not rain, nor the sun of a file. Sun by core/sky/cloud.h; air corrected
 *           by 6.5 K/km from the cell's height, relative humidity kept; pressure is the place's own everywhere. Notes tell
 *           of a height apart, of a cell elsewhere, of an age over 36 h.
 * Terrain   where the place names tiles (exchange/ground.h), its height and skyline come from them, as far as the file does not
 *           say them itself; listed among the assumptions.
 * Gauges    what each vessel, the battery and the generator is read by; where the file says nothing, by data/gauges.csv. No
 *           outlook stands on them, so they are no assumptions.
 * Horizon   the calendar runs from the hour of arrival to the later of departure and arrival + 60 days, at most LW_HOURS.
 * Limits    those of exchange/yaml_tree.h and core/sim/scenario.h; a departure beyond the horizon is refused where `is_long` does not ask for it.
 *           Hours of weekly ranges are whole: an hour counts where at least half of it lies inside the range.
 * Source    6.5 K/km: ICAO standard atmosphere; winter valleys invert it. Day curve: common practice of degree-hour methods,
 *           error 1-2 K on clear days, worse in storms. */
#ifndef LW_EXCHANGE_SCENARIO_H
#define LW_EXCHANGE_SCENARIO_H

#include <stddef.h>
#include <stdint.h>

#include "core/base/civil.h"
#include "core/base/err.h"
#include "core/base/units.h"
#include "core/house/toilet.h"
#include "core/learn/gauge.h"
#include "core/sim/scenario.h"
#include "core/sky/weather_frame.h"
#include "exchange/about.h"
#include "exchange/ground.h"
#include "exchange/land.h"

enum {
    LW_ASSUMPTIONS = 600,
    LW_NOTES = 40,
    LW_CONNECTIONS = 8,
    LW_GENERATOR_BOTHERS = 8,
    LW_NUISANCES = 40, /* as many as a list has items */
    LW_GENERATOR_NEEDS = 4,
    LW_GAUGES_EACH = 2, /* of one vessel: lamps on the wall and a percentage at the tank */
};

typedef struct lw_assumption {
    char key[96];   /* "rig.tanks.fresh.capacity" */
    char value[64]; /* as a person would write it, in the units of the file's `units` */
    char source[160];
    char kind[24]; /* published, common practice, from memory, fitted, yours */
    int order;     /* of the key in the table of keys */
} lw_assumption;

typedef struct lw_note {
    char where[128], text[384];
} lw_note;

typedef struct lw_connection { /* what the engine does not need of a data connection */
    int vessel;
    double slow_mbit, price_usd; /* NaN: not said */
    int renews_day;              /* 0: not said */
    char network[16];            /* "310-260"; empty: not said */
} lw_connection;

/* When running the generator weighs more, or is asked for. Not for the engine: for its plan. */
typedef struct lw_generator_hours {
    char what[LW_NAME]; /* empty: not said */
    uint32_t hours[7];
    double per_hour_usd, run_h; /* NaN: not said */
} lw_generator_hours;

typedef struct lw_generator_wishes {
    double per_hour_usd, per_start_usd; /* NaN: not said */
    lw_generator_hours bother[LW_GENERATOR_BOTHERS], need[LW_GENERATOR_NEEDS];
    int bother_count, need_count;
} lw_generator_wishes;

/* What a lever of data/levers.csv is to this household, 0 none to 10 hardly to be borne, a day. For leeway plan levers. */
typedef struct lw_own_nuisance {
    char id[LW_NAME];
    double a_day;
} lw_own_nuisance;

/* What one vessel, the battery or the generator is read by. Not for the engine: for readings and what is learned of them. */
typedef struct lw_gauges {
    lw_gauge gauge[LW_GAUGES_EACH];     /* step in the vessel's unit (PERCENT: a fraction) */
    char word[LW_GAUGES_EACH][LW_NAME]; /* as declared: "thirds" */
    double tare_kg[LW_GAUGES_EACH];     /* SCALE: of the empty cylinder where it is weighed with the gas, else 0 */
    double bias_frac[LW_GAUGES_EACH];   /* what it shows too much, of the capacity */
    double bias_sd[LW_GAUGES_EACH];     /* how far off that may be; 0: sure */
    int count;
    int is_usual; /* from data/gauges.csv: the file says nothing */
} lw_gauges;

/* What a draw of the weather needs besides the scenario's own hours, where a forecast lies over them. */
typedef struct lw_before_forecast {
    lw_weather usual;
    double wet_frac[LW_HOURS]; /* the forecast's chance of precipitation; NaN: not said */
} lw_before_forecast;

/* What a scenario does not know of a water tank, or only about: standard deviations as core/learn/learn.h has them, 0: sure. For
 * what is learned of readings; an outlook of the file alone takes the figures as they are. */
typedef struct lw_unsure {
    double capacity_sd, residue_sd; /* of a gauge's bias: lw_gauges */
    int is_level_share;             /* its level at arrival is said as a share of whatever it holds */
} lw_unsure;

typedef struct lw_loaded {
    lw_scenario *scenario;
    lw_zone zone;
    lw_unit_system units;
    char file[256]; /* as it was named */
    char rig_kind[LW_NAME];
    int64_t arrived_s;    /* of the stay, also where the outlook begins later */
    int64_t overdue_s;    /* a wished departure that is over while the stay goes on in the book; 0: there is none */
    char rule_words[192]; /* "14 days in any 28"; empty: no rule known */
    char rule_source[192];
    lw_land land;
    lw_about about;
    lw_travel travel;
    lw_named_permit
        permit[LW_PERMITS]; /* for the land of this place, of the file and of the book; terms.manager is one number */
    int permit_count;
    lw_ledger_left left; /* of the rule and permits, on the day of arrival; all zero where there are none */
    uint32_t quiet[7];   /* hours of the place in which there must be no noise; zeros: none are said */
    char terrain_path[512], towers_path[512], coverage_path[512]; /* of the place; empty: none is named */
    lw_ground *ground; /* owned; what terrain tiles say of the place; NULL: none are named */
    char weather_source[192];
    int64_t weather_made_s;                    /* 0: not said */
    int weather_is_typical;                    /* monthly or constant values, or a typical year: not a forecast */
    double weather_elevation_m;                /* NaN: taken as the place's */
    int64_t forecast_from_s, forecast_until_s; /* hours of the outlook that a forecast covers; 0: none */
    lw_climate_site climate;                   /* of the place, drawn to a station where one is given */
    int has_climate;                           /* 0: the place lies outside it, and weather was given */
    int weather_is_climate;                    /* nothing but it and perhaps a forecast */
    int weather_is_one_year;                   /* the hours of a file */
    lw_before_forecast *before_forecast;       /* owned; NULL: no forecast */
    double filter_l_per_day;                   /* what a drinking filter gives at most; 0: not said */
    double bag_l;
    double payload_kg, gear_kg,
        roof_m2;                /* NaN: not said. No outlook stands on them: service/cargo.h has the defaults */
    int has_awning, has_slides; /* 0 or 1; -1: the file does not say */
    lw_toilet_kind toilet;
    lw_connection connection[LW_CONNECTIONS];
    int connection_count;
    lw_gauges vessel_gauges[LW_VESSELS], battery_gauges, generator_gauges;
    lw_generator_wishes generator_wishes;
    lw_own_nuisance nuisance[LW_NUISANCES];
    int nuisance_count;
    lw_unsure unsure[LW_VESSELS];
    lw_assumption *assumption; /* LW_ASSUMPTIONS of them are owned */
    int assumption_count;
    lw_note *note;
    int note_count;
} lw_loaded;

/* What maps say of a spot, for what the text leaves open. */
typedef struct lw_place_known {
    lw_spot spot;
    char terrain[512]; /* the folder of tiles that has the spot; empty: none */
    char rule[48];     /* of data/stay_rules.csv, usual on this land; empty: none */
    char rule_source[160], rule_kind[24];
} lw_place_known;

typedef struct lw_scenario_from {
    const char *path; /* file; or, when bytes is set, only its name in errors and the folder of the weather file */
    const char *bytes;
    size_t size;
    const char *const
        *change; /* "rig.solar=400 W", applied in order; "rig.solar+=200 W": one more item of a list, or so much
                                * more of a quantity, counted from the default where the file does not say it */
    int change_count;
    const lw_named_stay *earlier; /* before this stay, besides those of the file */
    int earlier_count;
    const lw_named_permit *permit; /* besides those of the file */
    int permit_count;
    const lw_place_known *known; /* taken where the place is at its spot; NULL: nothing */
    const lw_ground *ground;     /* of before: taken where it is of the same tiles and spot; NULL: none */
    int64_t now_s;               /* arrival where the file has none; 0: then it is refused */
    int64_t begin_s; /* the outlook begins here where that is after the arrival; the limit of the stay counts from the
                      * arrival all the same, and what stands before is left out. Levels are those of the file. 0: at arrival */
    int is_long;     /* a departure past the days that are simulated is kept; hours end at LW_HOURS all the same */
} lw_scenario_from;

LW_MUST_USE lw_code lw_scenario_load(const lw_scenario_from *from, lw_loaded *out, lw_err *err);
/* Only place and stay: zone, spot, rule, permits and earlier stays, without a limit; the whole text is checked all the same. */
LW_MUST_USE lw_code lw_scenario_land(const lw_scenario_from *from, lw_loaded *out, lw_err *err);
/* Place, stay, crew and rig, as entries need them: without habits, limits and weather. */
LW_MUST_USE lw_code lw_scenario_camp(const lw_scenario_from *from, lw_loaded *out, lw_err *err);
void lw_loaded_clear(lw_loaded *loaded); /* twice is fine, and so is a struct of zeros */

/* The frame of the draws (core/sky/weather_frame.h) around what the scenario was loaded with: the climate, the file, the values
 * and the forecast, each with its own spread. `to` points into itself and into `loaded`: it is not to be copied, and lives no
 * longer than these. 0: there are no draws, as the place lies outside the climate. */
typedef struct lw_draw_known {
    lw_weather_known usual;
    lw_weather_said said;
    lw_weather_frame_in in;
} lw_draw_known;
int lw_loaded_draws(const lw_loaded *loaded, lw_draw_known *to);

/* The same camp put down at another place for the same dates, under the climate there: its spot, height (where it is said) and quiet
 * hours; skyline LW_HORIZON_POINTS, NULL: level; no limit of the stay. scenario and frame are the caller's; *out borrows from base and from
 * them and is never cleared. 0: the place lies outside the climate. */
int lw_loaded_put_down(const lw_loaded *base, const lw_place_facts *facts, const double *horizon_deg,
                       lw_scenario *scenario, lw_weather_frame *frame, lw_loaded *out);

/* A file named in a scenario: beside it, unless the name begins at the root. Cut where it does not fit. */
void lw_scenario_beside(char *buf, size_t size, const char *scenario, const char *name);

/* The key reference, docs/use/scenario.md, made from the table of keys. Owned by the caller (free); NULL: no memory. */
char *lw_scenario_reference(void);

/* Keys of the table, for completion and tests: NULL past the end. "rig.solar[].tilt". */
const char *lw_scenario_key(int at);

#endif
