/* exchange/errands.h: the services around a place and the ways to get there, as a household writes them down.
 *
 * Reads     YAML (or JSON): `services`, a list; `runs`, a list of ways to get there; `passes` that the household has; `fallback`, where it goes when its
 *           spot is gone. The keys are those of docs/use/plan.md.
 * Results   lw_errands in SI; distances in km. All or nothing. What is left out: a service 20 minutes, no fee, always open, its
 *           users unknown; a run 20 minutes of packing (breaking camp 90), no pouring, a can of 5 gal, no trouble,
 *           a mile as data/prices.csv has it: of a runabout, or of the rig. What a runabout brings is held to its payload, and each can to what
 *           may be lifted.
 * Errors    one sentence with file, line and key; LW_E_FULL for more than fit.
 * Limits    LW_ERRAND_SERVICES services, LW_ERRAND_TYPES ways, LW_ERRAND_PASSES passes; one closure and one season a service. */
#ifndef LW_EXCHANGE_ERRANDS_H
#define LW_EXCHANGE_ERRANDS_H

#include <stdint.h>

#include "core/base/err.h"
#include "core/base/words.h"
#include "exchange/scenario.h"

enum {
    LW_ERRAND_SERVICES = 12,
    LW_ERRAND_TYPES = 3,
    LW_ERRAND_PASSES = 8,
    LW_ERRAND_NAME = 48,
    LW_ERRAND_SOURCE = 96,
    LW_ERRAND_ASSUMED = 72,
};

typedef enum lw_errand_users {
    LW_ERRAND_PUBLIC = 0,
    LW_ERRAND_ASKED,
    LW_ERRAND_CUSTOMERS,
    LW_ERRAND_UNKNOWN, /* to be asked first; never relied on */
} lw_errand_users;

typedef struct lw_errand_service {
    char name[LW_ERRAND_NAME];
    char source[LW_ERRAND_SOURCE]; /* who says so: the file with its line, or the import */
    char pass[LW_ERRAND_NAME];     /* with which the fee is another; it is not among those at hand where is_cut is 0 */
    uint32_t supplies;             /* bit per lw_supply */
    double road_km, road_h, time_h;
    double fee_usd;                   /* of a visit, for all that is got there; the pass counts */
    double each_usd[LW_SUPPLY_COUNT]; /* besides, for that one alone */
    double buy_usd;                   /* what customers must buy; what is bought anyway counts */
    double bag_l;                     /* of rubbish, at most; 0: not said */
    uint32_t open[7];
    int32_t from_day, until_day;       /* civil days since 1970; 0: no bound */
    int32_t closed_from, closed_until; /* days on which it is shut; 0: none */
    int32_t confirmed_day;             /* when somebody last made sure; 0: not said */
    lw_errand_users users;
    int is_cut;   /* by a pass at hand */
    int is_guess; /* road, hours or fee are assumed */
} lw_errand_service;

typedef struct lw_errand_type {
    char name[LW_ERRAND_NAME];
    int is_break_camp;
    double cans_l, waste_l;                                /* that are filled: within payload and lifting; NaN: none */
    double cans_said_l, waste_said_l, payload_kg, lift_kg; /* NaN: not said */
    double can_l, can_h, waste_h; /* one can; time to fill, carry and pour it; to empty the waste tank */
    double ready_h, pour_h, trouble_usd, km_usd;
    char km_source[LW_ERRAND_SOURCE]; /* whose figure km_usd is */
    double lose_frac;                 /* breaking camp: that the spot is gone */
} lw_errand_type;

/* Where it is gone to when the spot is lost, or instead of coming back. */
typedef struct lw_errand_fallback {
    char name[LW_ERRAND_NAME]; /* empty: none is said */
    double road_km, road_h, trouble_usd, night_usd;
} lw_errand_fallback;

typedef struct lw_errands {
    lw_errand_service service[LW_ERRAND_SERVICES];
    lw_errand_type type[LW_ERRAND_TYPES];
    int service_count, type_count;
    lw_errand_fallback fallback;
    lw_assumption assumed[LW_ERRAND_ASSUMED]; /* what is left out and counts; the first so many */
    int assumed_count;
} lw_errands;

/* "little car: ready", "20 min": a value that nobody said. */
/* kind: NULL, from memory. */
void lw_errands_assume(lw_errands *errands, const char *of, const char *key, const char *value, const char *source,
                       const char *kind);

/* What a way costs a km where nothing is said, by data/prices.csv, and an assumption that says so; the type's name and is_break_camp are
 * set. Safe on more than one type. */
LW_MUST_USE lw_code lw_errands_usual_way(lw_errands *errands, lw_errand_type *type, lw_err *err);

/* The file as it is, for keeping. LW_E_FULL where it does not fit with its end. */
LW_MUST_USE lw_code lw_errands_text(const char *path, char *buf, size_t n, lw_err *err);

/* Bits of supplies for a word of `gives`, "water"; 0: none. */
uint32_t lw_errand_supplies(const char *word);

LW_MUST_USE lw_code lw_errands_load(const char *path, lw_errands *errands, lw_err *err);
LW_MUST_USE lw_code lw_errands_read(const char *name, const char *bytes, size_t size, lw_errands *errands, lw_err *err);

#endif
