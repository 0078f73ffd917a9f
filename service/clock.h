/* service/clock.h: whether a machine's clock can be believed, by what is in the book; and what is done when it cannot.
 *
 * Doubt      A clock is doubted that shows a moment before LW_CLOCK_LEAST_S, or more than LW_CLOCK_SLACK_S before the newest
 *            entry that is not doubted itself: a board without a battery for its clock begins anew wherever it likes.
 * Said once  lw_clock_set keeps what people say the time is as a shift of this run of the machine: until it is started again
 *            or its clock is set, which shows in the moment it was started by its own clock.
 * Entries    made under a doubted clock are marked and bear the name of their run behind the device's; once the time is
 *            said all of that run move together (lw_book_correct_clock). Those of an earlier run stay marked: nobody knows
 *            how far that clock was off.
 * Errors     those of book/book.h; LW_E_CONFLICT a clock that is doubted, LW_E_RANGE a time that cannot be. */
#ifndef LW_SERVICE_CLOCK_H
#define LW_SERVICE_CLOCK_H

#include "book/entries.h"
#include "core/base/civil.h"

#define LW_CLOCK_LEAST_S INT64_C(1767225600) /* 2026-01-01: no Leeway is older */

#define LW_CLOCK_TERMINAL "cli" /* the device under which the command line keeps entries */

enum { LW_CLOCK_SLACK_S = 120, LW_CLOCK_RUN = 9 };

/* What the machine says of itself. */
typedef struct lw_machine_clock {
    int64_t now_s;
    int64_t started_s;      /* by its own clock: moves when the clock is set */
    char run[LW_CLOCK_RUN]; /* of its own making at each start; empty: not known */
} lw_machine_clock;

/* Of the machine this runs on (Linux; elsewhere without a run). */
lw_machine_clock lw_machine_clock_read(void);
/* The moment anew; its run stays what it was. */
void lw_machine_clock_now(lw_machine_clock *machine);

typedef struct lw_clock_view {
    int64_t now_s;    /* with what people said */
    int64_t shift_s;  /* that: 0 where nothing holds */
    int64_t newest_s; /* LW_NO_TIME: nothing was logged */
    int is_doubted;
} lw_clock_view;

LW_MUST_USE lw_code lw_clock_look(lw_book *book, const lw_machine_clock *machine, lw_clock_view *view, lw_err *err);

/* The zone of a stay, or with stay 0 of the one that goes on then; the machine's where there is none. */
LW_MUST_USE lw_code lw_clock_zone(lw_book *book, int64_t stay, int64_t at_s, lw_zone *zone, lw_err *err);

/* LW_E_CONFLICT and the sentence that says what is wrong and asks for the time. */
lw_code lw_clock_ask(const lw_clock_view *view, const lw_zone *zone, lw_err *err);

/* The name under which entries are kept while the clock is doubted: "cli 3f2a9c1b". Gives buf. */
char *lw_clock_device(const char *device, const lw_machine_clock *machine, char *buf, size_t n);

typedef struct lw_clock_told {
    int64_t shift_s;   /* 0: the machine's clock is right to LW_CLOCK_SLACK_S */
    int64_t corrected; /* entries of this run that moved with it */
    int64_t left;      /* that stay doubted */
} lw_clock_told;

/* said_s: what time people say it is. Kept, and the doubted entries of `device` in this run are corrected. */
LW_MUST_USE lw_code lw_clock_set(lw_book *book, const lw_machine_clock *machine, const lw_clock_view *view,
                                 const lw_zone *zone, int64_t said_s, const char *device, lw_clock_told *told,
                                 lw_err *err);

#endif
