/* service/allowance.h: what each supply may spend a day, so that the wished departure is reached.
 *
 * Inputs    a finished outlook with hourly rows of its joint course, a wished departure, the moment asked for.
 * Results   a row a supply that is used up or filled: what is left now, spread evenly over the days to the departure; the mean
 *           use of the first week beside it; and in household terms what one more of the largest single use takes and by how
 *           many hours it brings the end nearer. Battery: what the appliances may draw, from the charge above the floor and
 *           the sun there is. No rows without a wished departure.
 * Errors    none: total on a finished outlook. now_s must lie in [start, departure).
 * Limits    even shares: a day of guests needs its own thought. Renewed data and planned transfers are not counted ahead. */
#ifndef LW_SERVICE_ALLOWANCE_H
#define LW_SERVICE_ALLOWANCE_H

#include "service/words.h"

typedef struct lw_allowance {
    lw_supply supply;
    double left;        /* unit of the supply; battery: Wh above the floor */
    double per_day;     /* may be spent */
    double use_per_day; /* is spent */
    char one[LW_NAME];  /* "a shower": the largest single thing somebody may leave out; empty: none */
    double one_amount;
    double one_costs_h; /* hours by which one more brings its end nearer */
} lw_allowance;

/* Room for LW_SUPPLY_COUNT rows, in the order of the outlook; gives their number. */
int lw_allowance_make(const lw_outlook_answer *answer, int64_t now_s, lw_allowance rows[LW_SUPPLY_COUNT]);

#endif
