/* exchange/land.h: whose land a place is, its stay rule and permits by the names people use, and the ledger made of them.
 *
 * Names     a manager is a name of up to LW_NAME - 1 bytes; capitals do not matter. Without a name the land is not known, and a
 *           stay on it counts under every rule (core/land/stay_rule.h).
 * Ledger    lw_land_ledger_of numbers the managers and takes the newest LW_LEDGER_STAYS stays and the first LW_PERMITS permits;
 *           the same permit said twice is taken once. It points into itself: it is not to be copied.
 * Errors    none: what enters was checked by the reader of scenarios. */
#ifndef LW_EXCHANGE_LAND_H
#define LW_EXCHANGE_LAND_H

#include "core/land/ledger.h"
#include "core/sim/scenario.h"

enum { LW_PERMITS_OF_PLACE = 8, LW_EARLIER_STAYS = 192, LW_MANAGERS = LW_LEDGER_STAYS + LW_PERMITS };

typedef struct lw_named_permit {
    char name[LW_NAME], manager[LW_NAME];
    lw_permit terms; /* manager is not set: the name says it */
} lw_named_permit;

typedef struct lw_named_stay {
    char manager[LW_NAME]; /* empty: not known */
    lw_spot spot;
    int64_t arrival_day, departure_day;
    int place; /* a number of the caller's */
} lw_named_stay;

typedef struct lw_land {
    char manager[LW_NAME];
    int has_rule;
    lw_stay_rule rule;
    lw_named_permit permit[LW_PERMITS_OF_PLACE]; /* as the place says them */
    int permit_count;
    lw_named_stay earlier[LW_EARLIER_STAYS]; /* as the stay says them; place -1 */
    int earlier_count;
} lw_land;

typedef struct lw_land_ledger {
    lw_ledger ledger;
    lw_ledger_stay stay[LW_LEDGER_STAYS];
    lw_permit permit[LW_PERMITS];
    char permit_name[LW_PERMITS][LW_NAME];
    char manager[LW_MANAGERS][LW_NAME]; /* of number 1, 2, .. */
    int manager_count;
    int left_out; /* older stays that found no room */
} lw_land_ledger;

void lw_land_ledger_of(const lw_named_stay *stay, int stay_count, const lw_named_permit *permit, int permit_count,
                       lw_land_ledger *to);

/* The number of a manager in a ledger, a new one where the name is new; 0: the name is empty, or there is no room. */
int lw_land_number(lw_land_ledger *ledger, const char *manager);

#endif
