/* core/learn/learn_internal.h: what the parts of the learning share. Stays inside core/learn. */
#ifndef LW_CORE_LEARN_LEARN_INTERNAL_H
#define LW_CORE_LEARN_LEARN_INTERNAL_H

#include "core/learn/learn.h"

#define LW_CHANGE_KEEPS 0.5 /* of the logarithm of a household's factor, where habits changed; our own judgement */
#define LW_CHANGE_SD    0.5 /* of what a change does to all groups alike: guests, heat, saving; our own judgement */

/* One unknown, as a standard normal deviate. */
typedef enum lw_unknown_kind {
    LW_UNKNOWN_HOUSEHOLD = 0,
    LW_UNKNOWN_LATER, /* of the household, its own part since it changed */
    LW_UNKNOWN_DAY,
    LW_UNKNOWN_CHANGE, /* of all groups together, where habits changed */
    LW_UNKNOWN_START,  /* index: vessel, or LW_VESSELS: the battery */
    LW_UNKNOWN_TRANSFER,
    LW_UNKNOWN_CAPACITY, /* index: vessel, as of those that follow */
    LW_UNKNOWN_RESIDUE,
    LW_UNKNOWN_BIAS,
} lw_unknown_kind;

typedef struct lw_unknown {
    lw_unknown_kind kind;
    int index, day;
    double sd;
    double mean, capacity, low_p, high_p; /* of a start: its normal is cut at these shares */
} lw_unknown;

enum { LW_UNKNOWNS = 1 + 2 * LW_GROUP_COUNT + (LW_DAYS + 2) * LW_GROUP_COUNT + 4 * LW_VESSELS + 1 + LW_TRANSFERS };

/* An interval as it is looked at. */
typedef struct lw_claim {
    int gauge, moment, vessel;
    uint32_t also; /* further vessels whose levels are added */
    double low, high, edge, capacity, limit;
    double lie, width; /* width: what the interval is of the vessel */
    int is_by_engine;
    lw_read_what what;
} lw_claim;

/* What a draw takes of gauges and of what stays in: shares of the capacity, and of the residue as stated. */
typedef struct lw_sight {
    double bias[LW_VESSELS], residue_frac[LW_VESSELS];
} lw_sight;

/* Everything that says how likely a draw is. */
typedef struct lw_model {
    const lw_learn_in *in;
    const lw_scenario *scenario;
    const lw_past *past;
    int moments; /* the last is now */
    int days;
    int changed_day;             /* factors of their own from this day on; -1: the same all through */
    int unknowns, read_unknowns; /* those that some claim depends on stand first */
    lw_unknown unknown[LW_UNKNOWNS];
    double use[LW_VESSELS][LW_GROUP_COUNT]; /* lw_past_use */
    int claims;
    lw_claim *claim; /* by gauge, in order of time */
    int is_unsure;   /* some vessel's capacity, residue or gauge is not sure */
    int has_engine;  /* some claim needs it */
    int engine_moments;
    double stuck_log[LW_LEARN_GAUGES]; /* of all a gauge's readings, were it stuck */
} lw_model;

/* Memory of a run; the arena's. */
typedef struct lw_cloud {
    uint32_t draws;
    double *z, *z_next; /* [draw][unknown] */
    double *sums_log, *engine_log, *weight;
    uint32_t *family, *parent, *families; /* draws of a family are copies; families: how many each has */
    double (*level)[LW_VESSELS];          /* [moment], of the draw at hand */
    lw_state *state;
    lw_past_draw *draw;
    lw_sight sight; /* of the draw at hand, as level */
    void *scratch;
    double effective, log_evidence;
    int powers;
} lw_cloud;

/* Everything of a run that is not its result. */
typedef struct lw_work {
    lw_model *model;
    lw_cloud cloud;
    int64_t *at_s;
    int *reading_of; /* a claim's number among the readings */
    double *lie, *a, *b;
    double *what[LW_LEARNED_WHATS];
    int is_full;
} lw_work;

/* Memory: 16 bytes more for each thing lent; is_full is set where there is none. */
size_t lw_learn_padded(size_t bytes);
void *lw_learn_lend(lw_arena *arena, size_t bytes, lw_work *work);

/* Transfers whose result differs between draws. */
void lw_learn_inexact(const lw_learn_in *in, uint8_t is_inexact[LW_TRANSFERS]);

/* The civil day that a time lies in, from the past's first. */
int lw_learn_day(const lw_scenario *scenario, int64_t at_s);

/* What a draw leaves of a transfer beside what was meant, of a standard normal deviate. */
double lw_learn_beside(lw_transfer_kind kind, double sd, double z);

/* Whether some claim depends on what a group uses. */
int lw_model_reads(const lw_model *model, int group);

void lw_sight_plain(lw_sight *sight); /* all as stated */

/* Values of the unknowns into a draw of the past. household: factors now. */
void lw_model_draw(const lw_model *model, const double *z, lw_past_draw *draw, lw_sight *sight,
                   double household[LW_GROUP_COUNT]);

/* Logarithm of the likelihood of those claims that sums answer, or that the engine answers. */
double lw_model_sums_log(const lw_model *model, double (*level)[LW_VESSELS], const lw_past_draw *draw,
                         const lw_sight *sight);
double lw_model_engine_log(const lw_model *model, const lw_state *state);

/* Shares of belief of one draw whose states at all moments are known: adds what each claim is a lie by to lie[claim] and
 * each gauge stuck by to stuck[gauge]. */
void lw_model_beliefs(const lw_model *model, const lw_state *state, const lw_past_draw *draw, const lw_sight *sight,
                      double *lie, double *stuck);

/* Leads draws from the prior to the claims; leaves them equally weighted in cloud->z. */
void lw_cloud_lead(const lw_model *model, uint64_t seed, lw_cloud *cloud);

/* ------------------------------------------------------------------ tell.c: what is told of the draws in out->draw */

void lw_tell_levels(lw_work *work, lw_learned *out); /* and the battery's */
void lw_tell_bands(lw_work *work, lw_learned *out);  /* of the factors, with the levels */
void lw_tell_help(lw_work *work, lw_learned *out);
void lw_tell_ties(lw_work *work, lw_learned *out);
void lw_tell_unsure(lw_work *work, lw_learned *out); /* capacities, residues, gauges */

#endif
