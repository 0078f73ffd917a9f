/* core/land/opening.h: when a place is open, by rules of months, weekdays and times.
 *
 * Computes  the whole hours of a civil day at which it is open all through, a bit each.
 * Inputs    rules in the order they are written: days they hold for, spans of minutes (beyond 1440: into the next day), what they say. A
 *           rule takes the place of the ones before on its days, adds to them (is_more), or takes its times out of them (is_off).
 * Results   bits 0 to 23; day since 1970. None where it is not understood: what nobody understands is never open.
 * Errors    none.
 * Source    order and meaning of rules: OpenStreetMap wiki, "Key:opening_hours/specification".
 * Limits    public holidays are the caller's: has_holidays says that rules name them; their hours are not in it. */
#ifndef LW_CORE_LAND_OPENING_H
#define LW_CORE_LAND_OPENING_H

#include <stdint.h>

enum { LW_OPENING_RULES = 16, LW_OPENING_SPANS = 6, LW_OPENING_SEASONS = 6, LW_OPENING_DAY_MIN = 1440 };

typedef struct lw_minutes {
    int from, to;
} lw_minutes;

/* Days of the year as month * 100 + day, both ends in it; from > to: over the new year. */
typedef struct lw_opening_season {
    int from, to;
} lw_opening_season;

typedef struct lw_opening_rule {
    lw_opening_season season[LW_OPENING_SEASONS];
    int seasons;       /* 0: all year */
    unsigned weekdays; /* bits, Monday 0; 0: every day */
    lw_minutes span[LW_OPENING_SPANS];
    int spans;                        /* 0: all day */
    int is_off, is_more, is_holidays; /* is_holidays: of public holidays only */
} lw_opening_rule;

typedef struct lw_opening {
    lw_opening_rule rule[LW_OPENING_RULES];
    int rules, is_understood, has_holidays;
} lw_opening;

uint32_t lw_opening_hours(const lw_opening *opening, int64_t day);
/* Minutes from that minute of the day on until it opens or shuts, whichever is next; -1: it stays so for a fortnight. *is_open: now. */
int lw_opening_next_min(const lw_opening *opening, int64_t day, int minute, int *is_open);

#endif
