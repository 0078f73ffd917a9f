/* core/plan/trip.h: which places, in which order, for how long.
 *
 * Computes   For each night of the trip a place, and for each day whether one stays, drives on, calls at a service on the way or
 *            makes a run, so that worth less money and trouble is greatest and no hard rule is broken; with it a bound that no trip
 *            passes. docs/trip.md states the model so that it can be written as an integer program.
 * Inputs     lw_trip_in that passed lw_trip_check: tables by place and night, legs by pair of places, limits by day and week, stay
 *            rules with the stays so far (core/land/stay_rule.h), wishes, caps. Money and worth in cents, roads in minutes,
 *            supplies in thousandths of a full load. Memory: one arena, the more the surer (lw_trip_bytes).
 * Results    lw_trip_out: the best trip found, value_c, and bound_c >= the value of any trip. is_proven: both are equal, or no trip
 *            exists at all. gap_frac = (bound_c - value_c) / worth_c, worth_c being the worth of nights and wishes of the trip
 *            found, before anything is taken off; NaN where nothing is found or worth_c is not positive.
 * How        Multipliers on what couples days (stay rules, week, budget, caps, many wishes) give a bound from a longest path
 *            through stays, in whole numbers, so that rounding cannot spoil it. Labels by night then carry the real state; one is
 *            dropped when another at the same place is no worse in all, or when its bound cannot pass the best at hand. The best
 *            so many of a night go on, twice with the same, then four times as many, until none had to be left behind: exact. What is
 *            left behind counts in the bound.
 * Stopping   go_on is asked between rounds and nights of the search; 0 ends it with the best so far and a bound that holds.
 * Errors     LW_E_RANGE, LW_E_CONFLICT, LW_E_FULL from lw_trip_check; LW_E_FULL from lw_trip_plan: an arena below
 *            lw_trip_bytes(in, LW_TRIP_WIDTH_LEAST).
 * Source     Lagrangean relaxation with labels: textbook operations research (from memory); the model is ours. */
#ifndef LW_CORE_PLAN_TRIP_H
#define LW_CORE_PLAN_TRIP_H

#include <stdint.h>

#include "core/base/arena.h"
#include "core/base/err.h"
#include "core/land/stay_rule.h"

enum {
    LW_TRIP_DAYS = 126,
    LW_TRIP_PLACES = 512,
    LW_TRIP_RULES = 64,
    LW_TRIP_WISHES = 16,
    LW_TRIP_CAPS = 4,
    LW_TRIP_FULL = 1000,    /* a full load of supplies */
    LW_TRIP_MOST_C = 30000, /* worth, fee or cost of one thing, in cents */
    LW_TRIP_NO_ROAD = UINT16_MAX,
    LW_TRIP_WIDTH_LEAST = 64,
};

/* What may be done at a place on a day. */
enum {
    LW_TRIP_NIGHT = 1,  /* spend the night that begins on that day */
    LW_TRIP_DAY = 2,    /* be there the whole day, the nights before and after included */
    LW_TRIP_LEAVE = 4,  /* drive off in its course */
    LW_TRIP_ARRIVE = 8, /* come in its course */
    LW_TRIP_RUN = 16,   /* fill up by a run, being there the whole day */
};

typedef struct lw_trip_cell {
    int32_t worth_c, fee_c; /* of the night; worth may be negative, a fee may not */
    uint16_t use;           /* of a load, by the night and the day after */
    uint16_t spare;         /* of a load, to be left on arrival: what another place needs, should this one be full */
    uint16_t reach_min;     /* a longer drive there comes too late that day; 0: any may */
    uint8_t may;
} lw_trip_cell;

typedef struct lw_trip_leg {
    uint16_t road_min;   /* LW_TRIP_NO_ROAD: none for this rig */
    uint16_t served_min; /* the same way with a service on it, all its time included; LW_TRIP_NO_ROAD: none */
    int32_t money_c, burden_c, served_money_c, served_burden_c;
    uint8_t served_shut; /* bit per weekday from Monday: the service cannot be called at; 0: any day */
} lw_trip_leg;

typedef struct lw_trip_place {
    lw_stay_place at;
    int rule;                          /* -1: none */
    int32_t run_money_c, run_burden_c; /* of a run from there */
    uint16_t beyond;                   /* bit per pass: on its far side */
} lw_trip_place;

typedef uint64_t lw_trip_places[LW_TRIP_PLACES / 64]; /* bit per place */

/* Kept by so many nights in a row at one of the places, all from from_day on and before until_day. */
typedef struct lw_trip_wish {
    lw_trip_places of;
    int nights, from_day, until_day;
    int is_must;
    int32_t value_c; /* once; 0 for a must */
} lw_trip_wish;

/* At most so many nights at any of the places. */
typedef struct lw_trip_cap {
    lw_trip_places of;
    int nights;
} lw_trip_cap;

typedef struct lw_trip_in {
    int days, place_count; /* nights 0 .. days - 1; mornings 0 .. days */
    int start, end;        /* places; end -1: anywhere. On the last morning one drives to the end, or is there */
    int64_t first_day;     /* civil day of night 0 */
    int16_t week[LW_TRIP_DAYS + 1];    /* of each day, never falling */
    int day_min[LW_TRIP_DAYS + 1];     /* at the wheel on that day; 0: no driving on */
    uint16_t closed[LW_TRIP_DAYS + 1]; /* of each day: bit per pass that nobody crosses */
    int week_min, week_used_min;       /* a week, and already driven in that of day 0 */
    int start_used;                    /* of a load on the first morning */
    int64_t budget_c;                  /* fees and money of legs and runs; -1: none */
    const lw_trip_cell *cell;          /* [place * days + day] */
    const lw_trip_leg *leg;            /* [from * place_count + to]; from == to is not read */
    const lw_trip_place *place;
    const lw_stay_rule *rule;
    int rule_count;
    lw_stay_history history; /* stays before day 0, that of the start included */
    const lw_trip_wish *wish;
    int wish_count;
    const lw_trip_cap *cap;
    int cap_count;
} lw_trip_in;

typedef enum lw_trip_act {
    LW_TRIP_STAYS = 0,
    LW_TRIP_STAYS_RUN,
    LW_TRIP_DRIVES,
    LW_TRIP_DRIVES_SERVED,
} lw_trip_act;

/* A trip: by day where the night is spent and what is done before. act[days] is the drive to the end, or LW_TRIP_STAYS. */
typedef struct lw_trip_chain {
    int16_t place[LW_TRIP_DAYS];
    uint8_t act[LW_TRIP_DAYS + 1];
} lw_trip_chain;

/* What a chain comes to. */
typedef struct lw_trip_sum {
    int64_t value_c, worth_c, money_c;
    uint32_t wishes; /* kept: bit per wish */
    int drive_min, drives, runs, served;
} lw_trip_sum;

typedef struct lw_trip_out {
    int is_found, is_proven;
    int64_t value_c, bound_c, worth_c;
    double gap_frac;
    lw_trip_chain chain;
    int blocked_day; /* nothing found: the first day that no chain reaches by day, road and place alone; -1: not so simple */
    int rounds, width;
    int64_t labels; /* made */
} lw_trip_out;

typedef struct lw_trip_how {
    int (*go_on)(void *with, const lw_trip_out *so_far); /* NULL: to the end */
    void *with;
    double enough_frac; /* ends when the gap is no more; 0: exact */
    int rounds;         /* of the multipliers, at most; 0: as many as are usual */
    int is_any_enough;  /* ends with the first trip that breaks no rule */
} lw_trip_how;

LW_MUST_USE lw_code lw_trip_check(const lw_trip_in *in, lw_fault *fault);
size_t lw_trip_bytes(const lw_trip_in *in, int width);
LW_MUST_USE lw_code lw_trip_plan(const lw_trip_in *in, const lw_trip_how *how, lw_arena *arena, lw_trip_out *out,
                                 lw_fault *fault);

/* Walks the chain by the model's sentences and the stay rules of core/land, sharing nothing with the search. LW_E_CONFLICT
 * where a hard rule is broken: fault->field says which, fault->value on which day. */
LW_MUST_USE lw_code lw_trip_walk(const lw_trip_in *in, const lw_trip_chain *chain, lw_trip_sum *sum, lw_fault *fault);

#endif
