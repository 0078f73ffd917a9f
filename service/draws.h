/* service/draws.h: many draws of an outlook on all cores.
 *
 * Inputs    a prepared context, the loaded scenario it was made from, an outlook that lw_outlook_make has filled; how many draws,
 *           their seed, threads (0: one a core, at most LW_DRAW_THREADS).
 * Results   quantiles, chances and bands in *outlook (core/sim/ensemble.h): the same bytes for the same seed on any number
 *           of threads.
 *           What makes the spread of a supply (spread_use_frac) from 80 draws on.
 * Errors    one sentence; LW_E_FULL where memory is short, LW_E_CONFLICT where the caller stopped it. *outlook is as it was then.
 * Progress  `progress` is called from the calling thread between stretches of work; it returns 0 to stop. NULL: none.
 * Weather   drawn about what the scenario knows (lw_loaded_draws); where the place lies outside the climate it is as given. */
#ifndef LW_SERVICE_DRAWS_H
#define LW_SERVICE_DRAWS_H

#include "core/sim/ensemble.h"
#include "exchange/scenario.h"

enum {
    LW_DRAW_THREADS = 16,
    LW_DRAWS_USUAL = 1000, /* where nobody says how many */
};

typedef struct lw_draws_wish {
    int draws; /* 1 .. LW_DRAWS_MOST */
    uint64_t seed;
    int threads;
    int (*progress)(void *with, int done, int of);
    void *with;
    const lw_draw_start *start; /* what learning knows of the state now and of the household; NULL: the scenario's */
    uint32_t start_count;
    int ends_only; /* only when supplies end, and their levels, is drawn; what happens, comfort and what hangs on vital loads
                    * stay those of the plain course, and what makes the spread is not looked at: half the work */
} lw_draws_wish;

LW_MUST_USE lw_code lw_draws_run(const lw_context *context, const lw_loaded *loaded, const lw_draws_wish *wish,
                                 lw_outlook *outlook, lw_err *err);

#endif
