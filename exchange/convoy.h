/* exchange/convoy.h: what one household tells the others of a convoy: how long its supplies last, and which things it lends.
 *
 * Reads     YAML or JSON: `convoy: 1`, `household`, `zone`, `from` and `until` (UTC), `confidence`, `hour_value`, `free` (weekly hours in which
 *           its driver can go), `supplies` (supply, now, full, use, courses) and `lends` (thing: vehicle, bladder, generator, tools, other; and
 *           what belongs to it). The form is docs/convoy-share.schema.json; nothing else of a household is in it.
 * Results   lw_convoy_rig in SI. All or nothing. What is left out: confidence 80 %, an hour 10 USD, free from 7 to 21, a vehicle as a
 *           runabout of exchange/errands.h (20 minutes of packing, 0.30 USD a mile).
 * Errors    one sentence with file, line and key; LW_E_FULL for more than fit.
 * Courses   of a supply: "now/full now/full ..", days in each of up to LW_CONVOY_COURSES possible courses, the n-th of one household the same
 *           course in all its supplies: from them the chance is reckoned that all last together. All supplies have as many, or none has.
 * Limits    LW_CONVOY_THINGS things; use is needed of fresh and grey alone, and only where containers are shared. */
#ifndef LW_EXCHANGE_CONVOY_H
#define LW_EXCHANGE_CONVOY_H

#include <stddef.h>
#include <stdint.h>

#include "core/base/civil.h"
#include "core/base/err.h"
#include "core/base/words.h"

enum { LW_CONVOY_THINGS = 8, LW_CONVOY_NAME = 48, LW_CONVOY_COURSES = 200 };

typedef struct lw_convoy_supply {
    int is_present;
    double now_days, full_days; /* it lasts from `from` on, and after a full service */
    double use_per_day;         /* litres; NaN: not said */
    float now_course[LW_CONVOY_COURSES], full_course[LW_CONVOY_COURSES]; /* days */
} lw_convoy_supply;

#define LW_CONVOY_KINDS(X)                                                                                             \
    X(VEHICLE, "vehicle")                                                                                              \
    X(BLADDER, "bladder")                                                                                              \
    X(GENERATOR, "generator")                                                                                          \
    X(TOOLS, "tools")                                                                                                  \
    X(OTHER, "other")

typedef enum lw_convoy_kind {
#define LW_CONVOY_ID(id, word) LW_CONVOY_##id,
    LW_CONVOY_KINDS(LW_CONVOY_ID) LW_CONVOY_KIND_COUNT
#undef LW_CONVOY_ID
} lw_convoy_kind;

typedef struct lw_convoy_thing {
    lw_convoy_kind kind;
    char name[LW_CONVOY_NAME];
    double water_l, waste_l; /* VEHICLE, BLADDER: fresh water it brings, grey it takes; 0: none */
    double power_w;          /* GENERATOR; NaN: not said */
    double ready_h, pour_h, trouble_usd, km_usd;
} lw_convoy_thing;

typedef struct lw_convoy_rig {
    char household[LW_CONVOY_NAME], zone[48];
    int64_t from_s, until_s;
    double confidence_frac, hour_usd;
    uint32_t free[7];
    lw_convoy_supply supply[LW_SUPPLY_COUNT];
    int supply_count;
    int course_count; /* 0: none are said */
    lw_convoy_thing thing[LW_CONVOY_THINGS];
    int thing_count;
} lw_convoy_rig;

LW_MUST_USE lw_code lw_convoy_load(const char *path, lw_convoy_rig *rig, lw_err *err);
LW_MUST_USE lw_code lw_convoy_read(const char *name, const char *bytes, size_t size, lw_convoy_rig *rig, lw_err *err);

/* One item of `lends`, "{thing: bladder, water: 45 gal}". */
LW_MUST_USE lw_code lw_convoy_thing_read(const char *name, const char *text, lw_convoy_thing *thing, lw_err *err);

const char *lw_convoy_kind_word(lw_convoy_kind kind);

#endif
