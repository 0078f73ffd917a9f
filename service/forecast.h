/* service/forecast.h: an outlook of the book as it is kept, so that it can be compared with what happened.
 *
 * Keeps      of each supply when it ends (P10, P50, P90 in days from the start), what it began with, and the band of its level
 *            every LW_FORECAST_MARK_H hours of the first fortnight, as shares of what it holds; beside it (book/forecasts.h) the
 *            scenario, the program, its tables, seed and draws, which with the entries of the book repeat it.
 * When       lw_forecast_keep, called with every outlook of the book: once a civil day, the one of most draws. What is of one draw, of
 *            a changed scenario, or of a book that takes no writes is not kept.
 * Form       JSON, "schema": "leeway.forecast/1".
 * Errors     lw_forecast_read: LW_E_SYNTAX for another form. */
#ifndef LW_SERVICE_FORECAST_H
#define LW_SERVICE_FORECAST_H

#include "book/book.h"
#include "service/outlook.h"

enum { LW_FORECAST_MARK_H = 6, LW_FORECAST_MARKS = 14 * 24 / LW_FORECAST_MARK_H + 1 };

typedef struct lw_forecast_supply {
    int is_present;
    double capacity;                              /* in the supply's unit; battery: Wh as the outlook has it */
    double days[LW_QUANTILES];                    /* from start_s; INFINITY: beyond what was looked at */
    float level[LW_FORECAST_MARKS][LW_QUANTILES]; /* share of capacity: left, or in what fills */
} lw_forecast_supply;

typedef struct lw_forecast {
    int64_t made_s, start_s;
    int draws;
    int binding; /* lw_supply; -1: none */
    int mark_count;
    lw_forecast_supply supply[LW_SUPPLY_COUNT];
} lw_forecast;

void lw_forecast_of(const lw_outlook_answer *answer, int64_t made_s, lw_forecast *forecast);
char *lw_forecast_json(const lw_forecast *forecast); /* the caller's; NULL: no memory */
LW_MUST_USE lw_code lw_forecast_read(const char *text, lw_forecast *forecast, lw_err *err);

/* The band of a supply's level at a moment, between two marks by a straight line. 0: not looked at. */
int lw_forecast_level(const lw_forecast *forecast, lw_supply supply, int64_t at_s, double band[LW_QUANTILES]);

LW_MUST_USE lw_code lw_forecast_keep(lw_book *book, const lw_outlook_answer *answer, int64_t now_s, lw_err *err);

#endif
