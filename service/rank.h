/* service/rank.h: places by what a stay there is expected to be: how long it holds, and how sure that is.
 *
 * Asks      the dates, a wish (service/pick.h), how many draws for how many of the best; or named places, to set them side by side.
 * Answers   each place that fits: when the first supply (or the stay rule) ends a stay that begins there with the rig as its
 *           description says it arrives, under the climate of the place; for the best of them the chance that nothing ends it before
 *           the wished departure, from draws of weather and use.
 * Method    One plain course a place on all cores; the best by days, then by drive, are drawn, each by the same seed. Order: chance (in
 *           steps of 2 %), then the middle of the days, then how many supplies hold all through, then the drive; undrawn ones behind, by the same without
 *           the chance.
 * Shared    rig, crew, habits and calendar are read once; a place brings its spot, height, quiet hours, stay rule over all stays of the
 *           book, and its climate.
 * Stays     The present stay is taken to go on until the day asked for.
 * Errors    those of service/household.h; LW_E_CONFLICT where the caller stopped it.
 * Limits    level skyline, the clock of the present stay, dish water as the present place has it; what was learned of the household is not
 *           in it. A place whose height is not known, or which lies outside the climate, cannot be reckoned and stands last. */
#ifndef LW_SERVICE_RANK_H
#define LW_SERVICE_RANK_H

#include "core/land/ledger.h"
#include "service/outlook.h"
#include "service/pick.h"
#include "service/rank_land.h"

enum { LW_RANK_BEST = 50, LW_RANK_DRAWS = 500, LW_RANK_NAMED = 8 };

typedef struct lw_rank_ask {
    lw_pick_wish wish;
    const char *named[LW_RANK_NAMED]; /* instead of all */
    int named_count;
    const char *from, *until; /* "2026-06-20 15:00", as a scenario has them */
    int64_t now_s;
    int best, draws, threads; /* 0: LW_RANK_BEST, LW_RANK_DRAWS, one a core */
    uint64_t seed;
    int (*progress)(
        void *with, int done,
        int of); /* NULL: none; gives 0 to stop. From one thread; first of signal that has to be predicted */
    void *with;
} lw_rank_ask;

typedef struct lw_ranked {
    lw_pick pick;
    int is_reckoned, is_drawn;
    double days;            /* until the first end, of the plain course; the horizon where is_beyond */
    int is_beyond, binding; /* binding: lw_supply; -1: none */
    double stays_frac, p10_days, p50_days, p90_days; /* of draws */
    int p50_is_beyond;
    double supply_days[LW_SUPPLY_COUNT]; /* middle, of draws where drawn; NaN: no such supply */
    int supply_is_beyond[LW_SUPPLY_COUNT];
    lw_rule_by rule_by;
    lw_ledger_left left; /* on the day of arrival */
} lw_ranked;

typedef struct lw_rank {
    lw_camps camps;
    lw_ranked *row; /* owned */
    int count, sent_away[LW_PICK_REASON_COUNT];
    int drawn, draws;
    uint64_t seed;
    int64_t arrival_s, departure_s;
    lw_zone zone;
    lw_unit_system units;
    char note[LW_ROADS_NOTE];
} lw_rank;

LW_MUST_USE lw_code lw_rank_make(lw_book *book, const lw_rank_ask *ask, lw_rank *rank, lw_err *err);
void lw_rank_clear(lw_rank *rank); /* twice is fine, and so are zeros */

/* docs/rank.schema.json; the caller's text (free), NULL: no memory. */
char *lw_rank_json(const lw_rank *rank, const char *version);

#endif
