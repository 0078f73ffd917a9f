/* core/sim/ensemble.h: many possible stays instead of one: weather and use drawn, so that an outlook can say how sure it is.
 *
 * Computes   For each draw the own and the joint course under its own weather and its own use, and from all of them P10, P50
 *            and P90 of every leeway, how often each supply binds, the chance that it lasts to each day, bands of levels.
 * Weather    That of the draw (core/sky/weather_draw.h), about whatever the frame was made of: the climate, months, a
 *            file's days, a forecast. Without a frame the weather is as given in every draw.
 * Use        Each group of use is the table's times a factor of the household (log-normal, median 1, the same all through a
 *            draw) times one of the day (log-normal, mean 1). HEAT has the household's alone. What a life hangs on is not
 *            varied: it runs as stated.
 * How        lw_ensemble_prepare once; then lw_ensemble_part for any stretch of draws, in any order, on any number of threads,
 *            each with its own scratch; rows and integer sums come out, the same bytes for the same seed. lw_ensemble_finish
 *            turns them into an outlook that lw_outlook_make has filled for the median course.
 * Starts     Where learning gives draws of the state now and of the household (start, start_count), draw i goes on from number
 *            i mod start_count instead of the scenario's levels and a household of its own.
 * Inputs     a context in steps of one hour; at least one draw.
 * Errors     LW_E_RANGE from lw_ensemble_check; LW_E_FULL when the arena is too small.
 * Limits     courses that last past the horizon are censored: a quantile then says beyond_horizon. A quantile of n draws is the
 *            smallest of them that at least that share does not exceed. Fuel of a generator and gas follow the
 *            weather through heat and sun alone.
 * Source     docs/engine.md, "Many draws". Spread of use: data/spread.csv. */
#ifndef LW_CORE_SIM_ENSEMBLE_H
#define LW_CORE_SIM_ENSEMBLE_H

#include "core/sim/outlook.h"
#include "core/sky/weather_frame.h"

enum {
    LW_DRAWS_MOST = 1000000,
    LW_LEVEL_BINS = 50, /* of a level, as a fraction of capacity: 2 % each */
};

/* Standard deviations of the logarithm of use, by group. */
typedef struct lw_spread {
    double household[LW_GROUP_COUNT], day[LW_GROUP_COUNT];
} lw_spread;

/* What learning knows of one possible household: its state when the context begins and its factors. */
typedef struct lw_draw_start {
    lw_state state;
    double household[LW_GROUP_COUNT];
} lw_draw_start;

/* Draws go side by side, with what the machine has, four at once where it can, with any instruction set, or one by one. */
typedef enum lw_draws_by { LW_DRAWS_BY_MACHINE = 0, LW_DRAWS_BY_FOUR, LW_DRAWS_BY_PLAIN, LW_DRAWS_BY_ONE } lw_draws_by;

typedef struct lw_ensemble_in {
    const lw_context *context;
    const lw_weather_frame *frame; /* of the calendar's hours; NULL: weather as given */
    int with_place_error;          /* 0: as if the climate model were exact at the place */
    lw_spread spread;
    uint64_t seed;
    const lw_draw_start *start; /* NULL: the scenario's; must outlive the ensemble */
    uint32_t start_count;
    int64_t joint_until_s; /* of the outlook: every draw's joint course is told to that moment; 0: each to
                            * departure or a fortnight past its own first shortage */
    lw_draws_by how;       /* for tests; any gives the same bytes */
} lw_ensemble_in;

typedef struct lw_ensemble lw_ensemble; /* lives in the arena, read-only afterwards */

/* One draw. Hours from the start; INFINITY: not before the horizon (vital: not in the joint course). */
typedef struct lw_draw_row {
    float end_h[LW_SUPPLY_COUNT], rubbish_age_h, leisure_end_h, vital_end_h[LW_VITALS];
    float inside_low_c, inside_high_c;
    float propane_kg, sun_wh;   /* own course, until departure: gas asked for, sun on the panels */
    uint32_t too_cold, too_hot; /* bit per person or animal whose limit is passed */
    uint32_t kinds;             /* bit per lw_event_kind that happened in the joint course */
} lw_draw_row;

/* For telling whether weather or use makes the spread: one of them drawn, the other as in the plain course. BOTH: as ever. */
typedef enum lw_drawn { LW_DRAWN_WEATHER = 0, LW_DRAWN_USE, LW_DRAWN_COUNT, LW_DRAWN_BOTH = LW_DRAWN_COUNT } lw_drawn;

typedef struct lw_draw_ends {
    float end_h[LW_SUPPLY_COUNT];
} lw_draw_ends;

/* Sums of any number of draws: integers, so that their order does not matter. */
typedef struct lw_draw_sums {
    uint32_t draws;
    uint32_t level[LW_SUPPLY_COUNT][LW_MARKS][LW_LEVEL_BINS];
} lw_draw_sums;

LW_MUST_USE lw_code lw_ensemble_check(const lw_ensemble_in *in, lw_fault *fault);
size_t lw_ensemble_bytes(const lw_context *context);
LW_MUST_USE lw_code lw_ensemble_prepare(const lw_ensemble_in *in, lw_arena *arena, lw_ensemble **ensemble,
                                        lw_fault *fault);

/* Draws first .. first + count - 1 into row[0 .. count - 1] and on top of *sums. scratch: lw_ensemble_scratch_bytes, aligned
 * for any type, one for each thread; what it holds does not matter. */
size_t lw_ensemble_scratch_bytes(const lw_context *context);
void lw_ensemble_part(const lw_ensemble *ensemble, uint32_t first, uint32_t count, void *scratch, lw_draw_row *row,
                      lw_draw_sums *sums);

/* The context of one draw, for stepping through it by hand; it lives in the scratch until that is used again. */
const lw_context *lw_ensemble_draw(const lw_ensemble *ensemble, uint32_t draw, void *scratch);

/* The factors of use of one draw, by civil day from the first and group; as lw_ensemble_part has them. */
void lw_ensemble_factors(const lw_ensemble *ensemble, uint32_t draw, float (*factor)[LW_GROUP_COUNT]);

/* Hours of supplies' ends [draw][supply] by the own courses alone, which tell nothing of events: with BOTH those of
 * lw_ensemble_part, at less cost; else with only one of the two drawn. */
void lw_ensemble_alone(const lw_ensemble *ensemble, lw_drawn what, uint32_t first, uint32_t count, void *scratch,
                       lw_draw_ends *ends);

/* The draws' own courses to the horizon alone: when each supply ends; and state and household at the horizon, with which
 * they may go on at another place (start). next NULL: not wanted. */
void lw_ensemble_leave(const lw_ensemble *ensemble, uint32_t first, uint32_t count, void *scratch, lw_draw_ends *ends,
                       lw_draw_start *next);

/* The same draws' own courses to the horizon, as sums of flows: what is asked of each supply (lw_flows_demand), hours of the
 * generator; and when each ends. */
void lw_ensemble_flows(const lw_ensemble *ensemble, uint32_t first, uint32_t count, void *scratch, lw_flows *flows,
                       lw_draw_ends *ends);

/* The states with which both courses of these draws end: what tests hold the ways of drawing to, bit for bit. */
void lw_ensemble_last(const lw_ensemble *ensemble, uint32_t first, uint32_t count, void *scratch, lw_state *own,
                      lw_state *joint);

/* Sets spread_use_frac: with w the width from P10 to P90, ends past the horizon counted at it, w_use^2 / (w_use^2 +
 * w_weather^2). `memory`: count floats. */
void lw_ensemble_shares(const lw_ensemble *ensemble, const lw_draw_ends *weather, const lw_draw_ends *use,
                        uint32_t count, float *memory, lw_outlook *out);

/* Sets quantiles, chances and bands of *out. `memory`: count floats. */
void lw_ensemble_finish(const lw_ensemble *ensemble, const lw_draw_row *row, uint32_t count, const lw_draw_sums *sums,
                        float *memory, lw_outlook *out);

#endif
