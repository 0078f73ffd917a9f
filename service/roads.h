/* service/roads.h: how far it is by road between places, how long it takes, and what it burns.
 *
 * Order      the household's own figure goes first (place.about.drives of either end, both ways, where both ends are within 300 m); then the
 *            routing engine that the book's setting names (exchange/router.h), with the rig's height, width, length and weight; else a
 *            guess from the distance by air (core/land/drive.h), with a wide band.
 * Engine     where it fails, ways are guessed and `note` says why in one sentence; it is not asked again in this run.
 * Fuel       lw_roads_fuel: by the rig's forces over the way, with the heights of its ends where they are known: the climb is at least
 *            their difference, and every slope 5 %. Thin air takes from the engine by SAE J1349 at the higher end (core/power/generator.h),
 *            unless it is charged. A use that the household states (rig.travel.use) sets the engine's efficiency.
 * Errors     LW_E_FULL no memory; those of the book. LW_E_SYNTAX a name that is no place (lw_roads_end). */
#ifndef LW_SERVICE_ROADS_H
#define LW_SERVICE_ROADS_H

#include "core/base/units.h"
#include "core/land/drive.h"
#include "exchange/router.h"
#include "service/camps.h"

#define LW_ROADS_ENGINE_KEY "roads.engine"

enum { LW_ROADS_SAY = 240, LW_ROADS_NOTE = 400 };

typedef enum lw_road_by { LW_ROAD_YOURS = 0, LW_ROAD_ENGINE, LW_ROAD_GUESS } lw_road_by;

typedef struct lw_road {
    lw_road_by by;
    int is_none; /* the engine knows no way for this rig; the figures are the guess */
    double air_m;
    lw_drive_band distance_m, time_s;
} lw_road;

typedef struct lw_roads_leg {
    lw_spot from, to;
    double distance_m, time_s; /* NaN: not said */
} lw_roads_leg;

/* A rig on the road with nothing unknown: lw_travel over data/travel.csv. */
typedef struct lw_road_rig {
    double length_m, height_m, width_m, weight_kg, speed_ms, power_w;
    int is_turbo;
    lw_clearance clearance;
    lw_drive_rig drive; /* power_w INFINITY */
} lw_road_rig;

typedef struct lw_roads {
    lw_roads_leg *leg; /* owned */
    int leg_count;
    char engine[LW_ROUTER_ENGINE]; /* empty: none */
    double wait_s;
    int64_t now_s;
    lw_road_rig rig;
    char note[LW_ROADS_NOTE]; /* empty: nothing went wrong */
} lw_roads;

/* rig_kind of data/rigs.csv; travel NULL: nothing is said of the rig. */
LW_MUST_USE lw_code lw_road_rig_of(const char *rig_kind, const lw_travel *travel, lw_road_rig *rig, lw_err *err);

/* Of the current stay's rig, or of a usual one. camps: those of the book; they are not kept. */
LW_MUST_USE lw_code lw_roads_open(lw_book *book, const lw_camps *camps, int64_t now_s, lw_roads *roads, lw_err *err);
void lw_roads_clear(lw_roads *roads); /* twice is fine, and so are zeros */

/* out: from_count x to_count, by rows. */
void lw_roads_table(lw_roads *roads, const lw_spot *from, int from_count, const lw_spot *to, int to_count,
                    lw_road *out);
lw_road lw_roads_between(lw_roads *roads, lw_spot from, lw_spot to);

typedef struct lw_road_fuel {
    double fuel_l, low_l, high_l; /* by the band of the distance */
    double uphill_ms;             /* held on a grade of 6 % at the higher end; 0: none */
    double power_frac;            /* what thin air leaves of the engine there */
} lw_road_fuel;
/* Heights NaN: not known, taken as the sea's level. */
lw_road_fuel lw_roads_fuel(const lw_road_rig *rig, const lw_road *road, double from_m, double to_m);

/* A place of the book, or LAT,LON. elevation_m NaN: not known. */
LW_MUST_USE lw_code lw_roads_end(const lw_camps *camps, const char *typed, lw_spot *spot, double *elevation_m,
                                 lw_err *err);

char *lw_road_time_say(double time_s, char *buf, size_t n); /* "2 h 10 min", to five minutes. Gives buf. */
/* "96 mi, 2 h 10 min (your own figure)"; "some 110 mi, 2 h to 4 h (guessed: 90 mi by air)". Gives buf. */
char *lw_road_say(const lw_road *road, lw_unit_system units, char buf[LW_ROADS_SAY]);

#endif
