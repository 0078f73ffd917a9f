/* exchange/router.h: ways and times by an open routing engine that the user has installed, with a road map of their own.
 *
 * Asks      many ways at once, by the engine's matrix of sources and targets, in JSON (of the Valhalla kind: sources, targets, costing "truck"
 *           with height, width, length and weight). Either a program: a command of words parted by blanks, run with the two more words
 *           sources_to_targets and the question, once for each answer; or a server on this machine: http://127.0.0.1:8002.
 * Results   distance_m, time_s: from_count x to_count, by rows; NaN: it knows no way.
 * Errors    one sentence. LW_E_SYNTAX an address that is none, or of another machine: nothing leaves this one; LW_E_MISSING no such
 *           program, or nobody answers there; LW_E_IO, LW_E_FULL what goes wrong on the way.
 * Limits    LW_ROUTER_PAIRS ways in one answer. */
#ifndef LW_EXCHANGE_ROUTER_H
#define LW_EXCHANGE_ROUTER_H

#include "core/base/err.h"
#include "core/land/distance.h"
#include "exchange/csv.h"

enum { LW_ROUTER_PAIRS = 2000, LW_ROUTER_ENGINE = 512 };

typedef struct lw_router_ask {
    const char *engine;
    const lw_spot *from, *to;
    int from_count, to_count;
    double height_m, width_m, length_m, weight_kg; /* NaN: not said */
    double wait_s;
} lw_router_ask;

/* Whether an address or a command can be one at all; nothing is asked. */
LW_MUST_USE lw_code lw_router_check(const char *engine, lw_err *err);
LW_MUST_USE lw_code lw_router_table(const lw_router_ask *ask, double *distance_m, double *time_s, lw_err *err);

/* The answer alone, as text from anywhere. */
LW_MUST_USE lw_code lw_router_read(const char *bytes, size_t size, int from_count, int to_count, double *distance_m,
                                   double *time_s, lw_err *err);

#endif
