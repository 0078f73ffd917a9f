/* service/ledger.h: the book added up: nights, what rules and permits leave, money.
 *
 * Computes   from all stays of the book that have begun, their rules and permits, and the money that was logged: nights by place
 *            and manager, each civil night once; of every place of the last LIMIT_DAYS with a rule, how many days of it are used,
 *            how many are left on the present day, when to leave and when the window frees days; money by kind for each stay,
 *            month and in all; how good the forecasts were. Stays that were left on the day they began count no night.
 * Inputs     an open book, the moment; since: only nights and money from then on; stay: of one stay alone, its row in the book.
 *            Rules look at all stays in any case.
 * Results    lw_book_ledger: owned until lw_book_ledger_clear. Days are civil days of each place.
 * Errors     those of book/book.h; LW_E_MISSING: no stay has begun, or none of that number; LW_E_SYNTAX of since.
 * Money      what was logged, by currency, nothing converted. Prices of permits by their terms stand apart and are not added.
 * Limits     those of core/land/ledger.h; of the permits the newest LW_PERMITS. */
#ifndef LW_SERVICE_LEDGER_H
#define LW_SERVICE_LEDGER_H

#include "book/book.h"
#include "service/spent.h"
#include "service/stays.h"

typedef struct lw_stay_sum {
    lw_book_stay stay;
    int nights;
    lw_money money[LW_CURRENCY_COUNT];
} lw_stay_sum;

typedef struct lw_nights_sum { /* of a place, or of a manager */
    char name[LW_NAME], manager[LW_NAME];
    int nights, stays;
    int64_t last_day; /* of departure; the present day while one is there */
} lw_nights_sum;

typedef struct lw_month_sum {
    int year, month;
    lw_money money[LW_CURRENCY_COUNT];
} lw_month_sum;

typedef struct lw_place_limit {
    char place[LW_NAME], manager[LW_NAME];
    char rule[192], source[192];
    int is_here;   /* the stay goes on there */
    int64_t today; /* by its clock */
    lw_stay_count count;
    lw_ledger_left left;   /* from today on; where one is not there: as if one came today */
    lw_ledger_frees frees; /* staying away from tomorrow on */
    int64_t permit_until;  /* the last day that permits cover in a row; today - 1: none today */
} lw_place_limit;

typedef struct lw_permit_sum {
    lw_named_permit permit;
    int is_now;      /* covers today */
    int64_t due_day; /* the price is due again; 0: no more */
    double cost_usd; /* by its terms, today included */
} lw_permit_sum;

typedef struct lw_supply_score { /* of the first forecast of each stay that is over (service/stay_end.h) */
    lw_supply supply;
    lw_score ends;
    int compared, inside; /* readings, and those that touch the band */
    double off_frac;      /* their mean distance from the P50; NaN without any */
} lw_supply_score;

typedef struct lw_book_ledger {
    int64_t now_s, today; /* by the clock of the newest stay */
    int64_t since_day;    /* INT64_MIN: from the beginning */
    int64_t only_stay;    /* 0: all */
    lw_zone zone;         /* of the newest stay */
    lw_stay_sum *stay;    /* by arrival */
    int stay_count;
    lw_nights_sum *place, *manager; /* most nights first; a place without a manager is in no row of manager */
    int place_count, manager_count;
    lw_place_limit *limit; /* where one is first, then by place */
    int limit_count;
    lw_permit_sum permit[LW_PERMITS];
    int permit_count;
    lw_month_sum *month;
    int month_count;
    lw_supply_score score[LW_SUPPLY_COUNT];
    int score_count, scored_stays;
    int nights; /* in all */
    lw_money money[LW_CURRENCY_COUNT];
    int unread; /* stays of which this version cannot read the place any more */
} lw_book_ledger;

typedef struct lw_ledger_request {
    int64_t now_s;
    const char *since; /* "2026-06-12", "30 days"; NULL: all */
    int64_t stay;      /* 0: all */
} lw_ledger_request;

LW_MUST_USE lw_code lw_book_ledger_make(lw_book *book, const lw_ledger_request *request, lw_book_ledger *ledger,
                                        lw_err *err);
void lw_book_ledger_clear(lw_book_ledger *ledger); /* twice is fine, and so are zeros */

/* Is any money of this currency in it. */
int lw_has_money(const lw_money *money);

/* Cents a night, to the nearest; of no night all of them. */
int64_t lw_cents_a_night(int64_t cents, int nights);

/* A moment as it is typed for --since: a date, a date with a time, or how long ago ("3 days"). */
LW_MUST_USE lw_code lw_since_read(const char *text, int64_t now_s, const lw_zone *zone, int64_t *from_s, lw_err *err);

/* ---- in words, each gives buf ---- */

char *lw_civil_say(char *buf, size_t n, int64_t day); /* Thu 18 Jun 2026 */

/* "10 of its days are used, 4 are left: leave by Tue 16 Jun 2026. ..." */
char *lw_limit_say(const lw_place_limit *limit, char *buf, size_t n);
char *lw_permit_say(const lw_permit_sum *permit, int64_t today, char *buf, size_t n);

#endif
