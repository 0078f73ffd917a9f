/* service/trial.h: one camp with changes to its keys, drawn from as often as is asked.
 *
 * For       planners that try many changes of one stay: all trials share weather frame, seed and draws, so that the same number of
 *           draw is the same weather and the same household in each (common random numbers).
 * Inputs    lw_trials: how a changed scenario is loaded, how far it is looked, the seed.
 * Results   lw_trial_rows: hours from the start at which each supply ends, each by itself (own course); INFINITY: not before
 *           horizon_h. Draw numbers are free: numbers from LW_TRIAL_FRESH on are for measuring what others chose.
 * Errors    those of loading and of service/draws.h, in one sentence.
 * Threads   trials are read-only once made; each thread has a bench (scratch) of its own. */
#ifndef LW_SERVICE_TRIAL_H
#define LW_SERVICE_TRIAL_H

#include "core/sim/ensemble.h"
#include "exchange/scenario.h"

enum { LW_TRIAL_FRESH = 1 << 20, LW_TRIAL_STRETCH = 16 };

/* A scenario with changes; starts: of learning, owned by the caller (free), or NULL. Must be safe on any thread. */
typedef lw_code lw_trial_loader(void *with, const char *const *change, int change_count, lw_loaded *loaded,
                                lw_draw_start **start, uint32_t *start_count, lw_err *err);

typedef struct lw_trials {
    lw_trial_loader *load;
    void *with;
    uint64_t seed;
    int threads;
    int begins_anew; /* learned draws begin with the levels of the scenario, not with their own */
    int most_hours;  /* of the calendar that are looked at; 0: all */
    lw_spread spread;
    lw_weather_frame *frame; /* owned; NULL: weather as given */
    int with_place_error;
    lw_loaded base; /* as it is, owned: the frame points into it */
    lw_draw_known known;
} lw_trials;

typedef struct lw_trial {
    lw_loaded loaded;
    lw_arena memory, light;
    lw_context *context;
    lw_ensemble *ensemble;
    lw_draw_start *start;
    uint32_t start_count;
    double horizon_h;
} lw_trial;

/* What a thread needs to draw. */
typedef struct lw_bench {
    void *scratch;
} lw_bench;

typedef struct lw_trial_row {
    float end_h[LW_SUPPLY_COUNT];
} lw_trial_row;

/* Loads the unchanged camp and makes what all trials share. load, with, seed, threads and most_hours are the caller's. */
LW_MUST_USE lw_code lw_trials_open(lw_trials *trials, lw_err *err);
void lw_trials_close(lw_trials *trials);

/* What a planner does to a camp besides changing keys. */
typedef struct lw_trial_more {
    const lw_transfer *transfer; /* besides those of the camp, by time */
    int transfer_count;
    uint32_t renewed; /* bit per supply that begins full or, where it fills, empty but for its residue */
} lw_trial_more;

LW_MUST_USE lw_code lw_trial_make(const lw_trials *trials, const char *const *change, int change_count, lw_trial *trial,
                                  lw_err *err);
LW_MUST_USE lw_code lw_trial_make_with(const lw_trials *trials, const lw_trial_more *more, lw_trial *trial,
                                       lw_err *err);
void lw_trial_clear(lw_trial *trial); /* twice is fine, and so are zeros */

/* The outlook of the trial's one plain course, without draws; allocated by the caller. */
void lw_trial_plain(const lw_trial *trial, lw_outlook *outlook);

LW_MUST_USE lw_code lw_bench_open(const lw_trial *trial, lw_bench *bench, lw_err *err);
void lw_bench_close(lw_bench *bench);
void lw_trial_rows(const lw_trial *trial, lw_bench *bench, uint32_t first, uint32_t count, lw_trial_row *row);

/* What is asked of each supply until the horizon, draw by draw, each by itself: lw_flows_demand of the sums; and when it ends. */
void lw_trial_flows(const lw_trial *trial, lw_bench *bench, uint32_t first, uint32_t count, lw_flows *flows,
                    lw_trial_row *row);
/* Of these the flows alone, on all cores. */
void lw_trial_flows_spread(const lw_trial *trial, lw_bench *bench, int threads, uint32_t first, uint32_t count,
                           lw_flows *flows);

/* The same on all cores: bench has one for each thread. */
void lw_trial_rows_spread(const lw_trial *trial, lw_bench *bench, int threads, uint32_t first, uint32_t count,
                          lw_trial_row *row);

#endif
