/* service/history.h: what was logged in the current stay, told again; and the signal by hour of day.
 *
 * Gather    lw_history_gather: the entries of the stay that goes on, or of the last, by time, the oldest first, from `since` on or from arrival; of one
 *           supply or thing, or the last few, where asked. With is_signal the table of service/signal_log.h instead.
 * Results   lw_history_answer, owned until lw_history_clear (twice is fine, zeros too).
 * JSON      "leeway.history/1" or "leeway.signal/1"; low, high and amount in SI with their unit, times in UTC and civil.
 * Errors    one sentence; LW_E_MISSING without a stay. */
#ifndef LW_SERVICE_HISTORY_H
#define LW_SERVICE_HISTORY_H

#include "book/entries.h"
#include "service/household.h"
#include "service/signal_log.h"

enum { LW_HISTORY_DECIMALS = 6 };

typedef struct lw_history_wish {
    int64_t now_s;
    const char *since;  /* as typed: "2026-06-12 7:30", "3 days"; NULL: from arrival */
    const char *target; /* "fresh", "fresh/main", "battery"; NULL: all */
    int last;           /* so many of the newest; 0: all */
    int is_signal, has_undone;
} lw_history_wish;

typedef struct lw_stay_zone {
    int64_t stay;
    lw_zone zone;
} lw_stay_zone;

typedef struct lw_history_answer {
    lw_household home;  /* the rig by whose names they are told */
    lw_stay_zone *zone; /* of every other stay among the entries */
    size_t zone_count;
    lw_entries entries;
    lw_entries doubted; /* whose time is not known: behind all others */
    lw_signal_row *signal;
    size_t signal_count;
} lw_history_answer;

LW_MUST_USE lw_code lw_history_gather(lw_book *book, const lw_history_wish *wish, lw_history_answer *answer,
                                      lw_err *err);
void lw_history_clear(lw_history_answer *answer);

/* All of them, those whose time is not known last. */
size_t lw_history_count(const lw_history_answer *answer);
const lw_entry *lw_history_at(const lw_history_answer *answer, size_t at);

/* An entry is told by the clock of the place it was made at, wherever the rig is now. */
const lw_zone *lw_history_zone(const lw_history_answer *answer, const lw_entry *entry);

/* An entry in words. Gives buf. */
char *lw_history_say(const lw_history_answer *answer, const lw_entry *entry, char *buf, size_t n);

/* The text is the caller's (free); NULL: no memory. */
char *lw_history_json(const lw_history_answer *answer, int is_signal);

#endif
