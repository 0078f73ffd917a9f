/* service/stay_end.h: a stay that is over: what was forecast against what happened.
 *
 * Forecast   the first that the book kept of the stay (service/forecast.h).
 * Happened   what was logged until the supply was served (filled, dumped, dropped, given, received) or the stay left. Read at its
 *            end: a reading that leaves no more than END_FRAC of the vessel's room; the end lies half way between it and the
 *            reading before. Otherwise it is known to have lasted until the last reading that shows room, and nothing is known
 *            of a supply that nobody read.
 * Levels     every reading until then, all vessels of the supply at once where it has several, against the forecast's band for
 *            that hour: inside where its interval touches the band; off by the distance of its middle from the P50.
 * Ends       lw_stay_end: the stay that goes on is left at at_s, its summary kept with it as JSON (leeway.stay/1).
 *            lw_stay_go_on takes that back: the stay left last goes on again, and one that was begun since without an entry
 *            is taken out of the book.
 * Errors     LW_E_MISSING no stay goes on, or none is left; LW_E_RANGE at_s before the arrival or to come; LW_E_CONFLICT
 *            entries later than at_s, or of a stay begun since; those of book/book.h and exchange/scenario.h. All or nothing. */
#ifndef LW_SERVICE_STAY_END_H
#define LW_SERVICE_STAY_END_H

#include "service/forecast.h"
#include "service/ledger.h"

#define LW_HAPPENED(X)                                                                                                 \
    X(UNREAD, "unread") /* no reading tells */                                                                         \
    X(LASTED, "lasted") /* had room at the last reading, until the stay was left */                                    \
    X(SERVED, "served") /* had room at the last reading before it was filled or emptied */                             \
    X(ENDED, "ended")   /* was read at its end */
typedef enum lw_happened {
#define LW_HAPPENED_ID(id, word) LW_HAPPENED_##id,
    LW_HAPPENED(LW_HAPPENED_ID) LW_HAPPENED_COUNT
#undef LW_HAPPENED_ID
} lw_happened;

typedef struct lw_supply_summary {
    lw_supply supply;
    lw_forecast_kept ends; /* beyond what was looked at: BEYOND_DAYS */
    lw_happened happened;
    int64_t happened_s; /* of the end; of what served it; of the leaving; 0: unread and not served */
    double band[LW_QUANTILES], read_low,
        read_high; /* shares of what it holds at the last reading compared; NaN: none */
    int compared, inside;
    double off_frac; /* mean; NaN: none compared */
} lw_supply_summary;

typedef struct lw_stay_summary {
    int64_t stay;
    char place[LW_NAME];
    lw_zone zone;
    int64_t arrival_s, departure_s, left_s; /* departure: wished; LW_NO_TIME: none */
    int nights;
    lw_money money[LW_CURRENCY_COUNT];
    int64_t forecast_s; /* when it was made; 0: there is none, and no supply is listed */
    int draws;
    int binding, first; /* lw_supply that was to end first; that ended or was served first; -1: none */
    lw_supply_summary supply[LW_SUPPLY_COUNT];
    int supply_count;
} lw_stay_summary;

enum { LW_BEYOND_DAYS = 3660 };

const char *lw_happened_word(lw_happened happened);

LW_MUST_USE lw_code lw_stay_end(lw_book *book, int64_t at_s, int64_t now_s, lw_stay_summary *summary, lw_err *err);

/* As lw_stay_end does it for a stay whose left_s is set already: what it was like, to be put into the row. The text is the
 * caller's. */
LW_MUST_USE lw_code lw_stay_summarise(lw_book *book, const lw_kept_stay *stay, lw_stay_summary *summary, char **json,
                                      lw_err *err);

typedef struct lw_gone_on {
    char place[LW_NAME], dropped[LW_NAME]; /* dropped: place of the stay that was taken out; empty: none */
    int64_t left_s;                        /* as it was */
    lw_zone zone;
} lw_gone_on;
LW_MUST_USE lw_code lw_stay_go_on(lw_book *book, int64_t now_s, lw_gone_on *gone, lw_err *err);

/* Of a kept summary, what tells how good the forecast was: supplies alone. 0: not of a form that is known. */
int lw_stay_summary_read(const char *json, lw_stay_summary *summary);

/* The stay that was left last, where none goes on: summed up anew, and its scenario, the caller's. LW_E_MISSING: one goes on, or
 * none is left. */
LW_MUST_USE lw_code lw_stay_left(lw_book *book, int64_t now_s, lw_stay_summary *summary, char **scenario, lw_err *err);

/* Words of a summary; each gives buf, empty where there is nothing to say. */
char *lw_left_say_nights(const lw_stay_summary *summary, int is_12_hour, char *buf, size_t n);
char *lw_left_say_wish(const lw_stay_summary *summary, int is_12_hour, char *buf, size_t n);
char *lw_left_say_first(const lw_stay_summary *summary, int is_12_hour, char *buf, size_t n);
char *lw_left_say_money(const lw_stay_summary *summary, char *buf, size_t n);
/* "3.4 (2.9 to 4.1)": the forecast in days. */
char *lw_left_say_days(const lw_supply_summary *supply, char *buf, size_t n);
/* "emptied Wed 10 Jun 14:00". */
char *lw_happened_say(const lw_stay_summary *summary, const lw_supply_summary *supply, int is_12_hour, char *buf,
                      size_t n);

/* leeway.left/1: all of these, the summary and the scenario. The caller's; NULL: no memory. */
char *lw_stay_left_json(const lw_stay_summary *summary, int is_12_hour, const char *scenario);

#endif
