/* exchange/errands.h: the services around a place and the ways to get there, as a household writes them down.
 *
 * Reads     YAML (or JSON): `services`, a list: name, gives (water, drinking, dump, rubbish, propane, fuel, groceries), distance, road
 *           (one way), time (there), fee, open (weekly hours), from and until (dates of a season), for (public, asked,
 *           customers, unknown); and `runs`, a list: kind (runabout, break-camp), name, cans, waste_tank, ready (packing,
 *           tearing down and setting up), pour (at each service), trouble (what the nuisance weighs), per_mile.
 * Results   lw_errands in SI; distances in km. All or nothing. What is left out: a service 20 minutes, no fee, always open, its
 *           users unknown; a run 20 minutes of packing (breaking camp 90), 5 minutes of pouring at each service, no trouble,
 *           0.30 USD a mile (breaking camp 0.60): from memory.
 * Errors    one sentence with file, line and key; LW_E_FULL for more than fit.
 * Limits    LW_ERRAND_SERVICES services, LW_ERRAND_TYPES ways. */
#ifndef LW_EXCHANGE_ERRANDS_H
#define LW_EXCHANGE_ERRANDS_H

#include <stdint.h>

#include "core/base/err.h"
#include "core/base/words.h"

enum { LW_ERRAND_SERVICES = 12, LW_ERRAND_TYPES = 3, LW_ERRAND_NAME = 48 };

typedef enum lw_errand_users {
    LW_ERRAND_PUBLIC = 0,
    LW_ERRAND_ASKED,
    LW_ERRAND_CUSTOMERS,
    LW_ERRAND_UNKNOWN, /* to be asked first; never relied on */
} lw_errand_users;

typedef struct lw_errand_service {
    char name[LW_ERRAND_NAME];
    uint32_t supplies; /* bit per lw_supply */
    double road_km, road_h, time_h, fee_usd;
    uint32_t open[7];
    int32_t from_day, until_day; /* civil days since 1970; 0: no bound */
    lw_errand_users users;
} lw_errand_service;

typedef struct lw_errand_type {
    char name[LW_ERRAND_NAME];
    int is_break_camp;
    double cans_l, waste_l; /* NaN: none */
    double ready_h, pour_h, trouble_usd, km_usd;
} lw_errand_type;

typedef struct lw_errands {
    lw_errand_service service[LW_ERRAND_SERVICES];
    lw_errand_type type[LW_ERRAND_TYPES];
    int service_count, type_count;
} lw_errands;

LW_MUST_USE lw_code lw_errands_load(const char *path, lw_errands *errands, lw_err *err);
LW_MUST_USE lw_code lw_errands_read(const char *name, const char *bytes, size_t size, lw_errands *errands, lw_err *err);

#endif
