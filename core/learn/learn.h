/* core/learn/learn.h: from gauge readings to what this household really uses, and to what is in its tanks now.
 *
 * Computes   Equally weighted draws of the state now and of the household's factor by group of use, given what was read; from
 *            them bands of factors and levels, how far each reading is believed, which gauge is stuck, whether the habits
 *            seem to have changed, and which reading would say most.
 * Unknown    By group a factor of the household (log-normal, median 1) and one of each past day (log-normal, mean 1; none of
 *            HEAT), levels at the start (normal about the stated one, cut at empty and full), and how full a fill or how
 *            empty a dump left a vessel (the far side of a half normal; normal for an amount added).
 *            Where they are not sure: what a vessel holds (log-normal, median as stated), what stays in when it is emptied
 *            (likewise, the same each time), and by how much of the capacity its gauge shows too much (normal).
 * Reading    says in with 1 where the level is inside its interval, falling to 0 over LW_LEARN_EDGE_FRAC of the capacity
 *            outside it; a level at its limit counts as beyond it. low = high: as if one edge wide to either side. A reading counts
 *            (1 - lie) in + lie w, where w is its interval's share of the vessel, at least 0.02. All readings of one gauge
 *            count together: (1 - s) product of these + s w_1 product of (r [same as the one before] + (1 - r) w), with s
 *            the chance that it is stuck and r that a stuck gauge shows the same again.
 * How        Draws from the prior are led to the readings by powers of the likelihood, each power as far as half of the draws
 *            stay effective; resampled, then moved (pCN: autoregressive steps that leave the prior as it is). Vessels that
 *            uses alone move are found by sums, the others by the engine (core/sim/past.h). Same seed, same bytes.
 * Habits     The same again, shorter, with factors of their own from each of a few moments on: where the readings are
 *            LW_LEARN_FAR times likelier that way, or with every gauge of lamps read by the other rule, that is said. Tanks
 *            alone; what a battery or a gas scale shows is left out there.
 * Forgetting from forget_before_s on (its whole civil day) the logarithm of a group's factor is half of that before, plus
 *            its own with the prior's spread, plus one with a spread of 0.5 that all groups but HEAT share: what was before is a hint.
 * Errors     LW_E_RANGE with the field; LW_E_FULL when the arena is too small.
 * Limits     what a vessel is at its start or takes in sums is never negative; a bias that nobody said may be is
 *            only looked for as the other rule. The engine's own runs take capacities as stated: levels of tanks that are not sure come from sums. Docs: docs/learning.md.
 * Source     pCN: S. L. Cotter, G. O. Roberts, A. M. Stuart, D. White, "MCMC methods for functions", Statistical Science 28
 *            (2013). Powers and resampling: P. Del Moral, A. Doucet, A. Jasra, "Sequential Monte Carlo samplers", J. R.
 *            Statist. Soc. B 68 (2006). Two-stage acceptance: J. A. Christen, C. Fox, J. Comput. Graph. Statist. 14 (2005). */
#ifndef LW_CORE_LEARN_LEARN_H
#define LW_CORE_LEARN_LEARN_H

#include "core/learn/gauge.h"
#include "core/sim/ensemble.h"
#include "core/sim/past.h"

enum {
    LW_LEARN_READINGS = 1024,
    LW_LEARN_DRAWS = 10000,
    LW_LEARN_BATTERY = LW_VESSELS,        /* its gauge */
    LW_LEARN_GAUGES = 2 * LW_VESSELS + 1, /* behind it the meters of fills, by vessel */
    LW_LEARN_MOMENTS = 3,                 /* at which habits are tried to have changed */
};

#define LW_LEARN_EDGE_FRAC 0.01 /* of capacity: height of a probe, from memory */
#define LW_LEARN_STUCK     0.03 /* chance that a gauge is stuck: common practice, no source */
#define LW_LEARN_SAME      0.8  /* that a stuck gauge shows the same again: our own judgement */
#define LW_LEARN_FAR       3.0  /* "substantial" by H. Jeffreys, Theory of Probability, from memory */

typedef struct lw_learn_in {
    const lw_context *past; /* from the start to now or later, steps of one hour, weather as kept */
    int64_t now_s;
    lw_spread spread;
    double start_sd[LW_VESSELS]; /* of the level at the start, the vessel's unit; 0: known */
    double battery_sd_frac;
    double transfer_sd[LW_TRANSFERS]; /* of the scenario's transfers, the vessel's unit; 0: exact */
    const lw_reading *reading;        /* sorted by time, from the start to now */
    int reading_count;
    double rule_shift[LW_VESSELS]; /* what an interval of this gauge would move by under its other rule; 0: has none */
    int64_t forget_before_s;       /* 0: nothing is forgotten */
    /* What the household does not know, or only about; 0: sure. Of vessels that uses alone move. */
    double capacity_sd[LW_VESSELS], residue_sd[LW_VESSELS]; /* of the logarithm */
    double bias_sd[LW_VESSELS];                             /* of the capacity */
    uint8_t is_start_share[LW_VESSELS];                     /* its level at the start is a share of whatever it holds */
    uint32_t draws;
    uint64_t seed;
    int asks; /* whether it looks for changed habits and a wrong rule: some four shorter runs more */
} lw_learn_in;

typedef struct lw_learned_factor {
    double prior[LW_QUANTILES], now[LW_QUANTILES];
    int is_read; /* some reading's vessel is moved by this group */
} lw_learned_factor;

typedef struct lw_learned_gauge {
    int readings;
    double stuck_frac; /* chance that it is stuck, or shows what has nothing to do with the level */
    int is_stuck;      /* likelier than not, from two readings on: to be said */
} lw_learned_gauge;

/* What readings of a vessel depend on, besides its days. */
typedef enum lw_learned_what {
    LW_LEARNED_START = 0,
    LW_LEARNED_USE,
    LW_LEARNED_CAPACITY,
    LW_LEARNED_RESIDUE,
    LW_LEARNED_BIAS,
    LW_LEARNED_WHATS,
} lw_learned_what;

/* Two of them that cannot be told apart: both are still wide, and one makes up for the other. */
typedef struct lw_learned_tie {
    lw_learned_what a, b; /* a < b: the pair that hangs together most, where there is one at all */
    double correlation;   /* with its sign; 0: nothing is open, or only one of them */
    int is_tied;
} lw_learned_tie;

typedef enum lw_doubt { LW_DOUBT_NONE = 0, LW_DOUBT_HABITS, LW_DOUBT_RULE } lw_doubt;

/* The reading, taken now and exact, that would narrow the spread of a supply's remaining days most. */
typedef struct lw_learned_help {
    int vessel;          /* -1: none would */
    double narrows_frac; /* share of the standard deviation that it takes away */
} lw_learned_help;

typedef struct lw_learned {
    uint32_t draws;
    lw_draw_start *draw; /* in the arena; equal weights */
    float (*day)
        [LW_GROUP_COUNT]; /* likewise: each draw's factors of the civil day that now lies in, its household's in them */
    double effective;     /* draws that differ: copies that no move changed count as one */
    double log_evidence;  /* of the readings, natural */
    int powers;           /* steps it took from the prior to the readings */
    lw_learned_factor factor[LW_GROUP_COUNT];
    double level[LW_VESSELS][LW_QUANTILES], battery_frac[LW_QUANTILES]; /* now: P10, P50, P90 */
    double *lie_frac;                                                   /* of each reading, in the arena */
    lw_learned_gauge gauge[LW_LEARN_GAUGES];
    lw_doubt doubt;
    double doubt_log_odds; /* of the best other explanation against the plain one, looked for or not: 0 */
    int64_t since_s;       /* HABITS: since about when */
    lw_learned_help help[LW_SUPPLY_COUNT];
    lw_learned_tie tie[LW_VESSELS];
    /* What was not sure, now; of a vessel whose sd is 0 as stated. */
    double capacity_frac[LW_VESSELS][LW_QUANTILES], residue_frac[LW_VESSELS][LW_QUANTILES];
    double bias[LW_VESSELS][LW_QUANTILES];
    float (*capacity)[LW_VESSELS]; /* in the arena: of each draw, share of what is stated */
} lw_learned;

LW_MUST_USE lw_code lw_learn_check(const lw_learn_in *in, lw_fault *fault);
size_t lw_learn_bytes(const lw_learn_in *in);
LW_MUST_USE lw_code lw_learn(const lw_learn_in *in, lw_arena *arena, lw_learned *learned, lw_fault *fault);

/* What was learned at from_s goes on to in->now_s, which is not earlier: each draw lives through the hours between by the engine,
 * the day of from_s with its own factors, later days with new ones. Levels and which reading helps are those of now then;
 * the rest stays. As good as learning again where nothing was read since and the past is the same: what is unknown of a
 * day without readings is as the prior has it. Readings of `in` are not looked at. */
size_t lw_learn_go_on_bytes(const lw_learn_in *in);
LW_MUST_USE lw_code lw_learn_go_on(const lw_learn_in *in, int64_t from_s, lw_arena *arena, lw_learned *learned,
                                   lw_fault *fault);

#endif
