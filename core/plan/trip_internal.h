/* core/plan/trip_internal.h: what the parts of the trip's solver share. */
#ifndef LW_CORE_PLAN_TRIP_INTERNAL_H
#define LW_CORE_PLAN_TRIP_INTERNAL_H

#include "core/base/civil.h"
#include "core/plan/trip.h"

enum {
    TRIP_SCALE = 16,          /* parts of a cent */
    TRIP_NONE = -(1 << 30),   /* no way from here */
    TRIP_NO_WAY = -(1 << 29), /* all below it is none: no trip within the checked bounds comes so low */
    TRIP_LOW =
        -(1 << 28), /* multipliers that bring a path below it are not used; a day is worth far less than the rest */
    TRIP_LEG_MOST = 1 << 21,
    TRIP_PAST_DAYS = 448, /* more than any window, year or gap reaches back */
    TRIP_DAY_WORDS = (TRIP_PAST_DAYS + 128) / 64,
    TRIP_CHOSEN = 4,
    TRIP_STEPS = 4, /* of a load, that the path can tell apart */
    TRIP_SLOTS = 4,
    TRIP_FREE = 0, /* the region of places that count under no rule */
};

static inline int trip_has(const lw_trip_places of, int place)
{
    return (int)(of[place >> 6] >> (place & 63) & 1u);
}

static inline void trip_put(lw_trip_places of, int place)
{
    of[place >> 6] |= UINT64_C(1) << (place & 63);
}

static inline const lw_trip_cell *trip_cell(const lw_trip_in *in, int place, int day)
{
    return &in->cell[(size_t)place * (size_t)in->days + (size_t)day];
}

static inline const lw_trip_leg *trip_leg(const lw_trip_in *in, int from, int to)
{
    return &in->leg[(size_t)from * (size_t)in->place_count + (size_t)to];
}

/* May one drive so long on that day, and over the passes between? The bound does not ask for passes and late arrivals: without a
 * rule it is no lower. */
static inline int trip_may_drive(const lw_trip_in *in, int from, int to, int day, int road_min)
{
    const int reach_min = day < in->days ? trip_cell(in, to, day)->reach_min : 0;
    return road_min != LW_TRIP_NO_ROAD && road_min <= in->day_min[day] && (!reach_min || road_min <= reach_min) &&
           !((in->place[from].beyond ^ in->place[to].beyond) & in->closed[day]);
}

/* Is the service on the way there on that day? Nor does the bound ask for this. */
static inline int trip_is_served(const lw_trip_in *in, const lw_trip_leg *leg, int day)
{
    return !(leg->served_shut >> lw_weekday_of(in->first_day + day) & 1u);
}

static inline int trip_least(int a, int b)
{
    return a < b ? a : b;
}

static inline int trip_most(int a, int b)
{
    return a > b ? a : b;
}

/* ---- stay rules ---- */

/* Which stays count for a question: those within the first or second radius, at the same site, on the same land. */
typedef enum trip_near { NEAR_FIRST = 0, NEAR_SECOND, NEAR_SITE, NEAR_LAND, NEAR_COUNT } trip_near;

typedef enum trip_compare { COMPARE_NOTHING, COMPARE_SUMS, COMPARE_DAYS, COMPARE_SAME } trip_compare;

typedef struct trip_days {
    uint64_t word[TRIP_DAY_WORDS]; /* bit per civil day, the first being first_day - TRIP_PAST_DAYS */
} trip_days;

typedef struct trip_rules {
    const lw_trip_in *in;
    lw_trip_places *near[NEAR_COUNT]; /* by asked place */
    trip_days *past[NEAR_COUNT];      /* by asked place: used before the trip */
    uint16_t *region;                 /* by place: places of one region count alike for all */
    int region_count;
    trip_compare compare;
    int is_any_part; /* some rule counts days in any part */
    int memory_days; /* how far back a stay can matter */
} trip_rules;

/* A stay that was left, on the day the next began. */
typedef struct trip_stay {
    int32_t before; /* -1: none */
    int16_t place, arrive;
} trip_stay;

/* Nights [from, until) as known of one place; the chain of stays before it. */
typedef struct trip_past {
    const trip_stay *row;
    int32_t last; /* -1: none */
    int left_day; /* day on which that one was left */
} trip_past;

size_t trip_rules_bytes(const lw_trip_in *in);
int trip_rules_make(trip_rules *rules, const lw_trip_in *in, lw_arena *arena); /* 0: no room */
int trip_used(const trip_days *days, int from, int to);                        /* by day of the trip, both counted */
/* The first night that the place's rule does not allow, arriving on a day after those stays; at most in->days. */
int trip_until(const trip_rules *rules, trip_past past, int place, int arrive);

/* ---- the bound ---- */

typedef struct trip_span {
    int group;       /* of places */
    int from, until; /* nights */
    int most;
    int32_t unit; /* multiplier, in parts of a cent a night */
} trip_span;

/* Modified costs without the gain of a filling, [to * place_count + from]; TRIP_LEG_NO: not on such days. */
typedef struct trip_leg_slot {
    int32_t week_unit, budget_unit;
    int day_min, used_at; /* used_at 0: empty */
    int32_t *cost[2];     /* direct, served */
} trip_leg_slot;

typedef struct trip_bound {
    const lw_trip_in *in;
    const trip_rules *rules;
    lw_trip_places *group;
    int group_count;
    int (*groups_of)[3]; /* by place; -1: none */
    trip_span *span;
    int span_count;
    /* One multiplier a rule, all in one row: budget, weeks, wishes, caps, spans; cents for a breach worth one night. */
    double *by, *best, *breach, *mean;
    int rule_count;
    /* as used, in parts of a cent */
    int32_t budget_unit; /* 1/1024 a part */
    int32_t week_unit[LW_TRIP_DAYS + 1], wish_unit[LW_TRIP_WISHES], cap_unit[LW_TRIP_CAPS];
    /* tables of these multipliers */
    int32_t
        *night; /* [day * place_count + place]: modified worth of the night, without the way there; TRIP_NONE: never */
    /* Wishes that the path itself keeps account of, each a bit of a layer; the others have a multiplier. */
    int chosen[TRIP_CHOSEN], chosen_count;

    int32_t *
        leave; /* [(morning * layers + layer) * place_count + place]: longest path when the place is left that morning; TRIP_NONE: none */
    int32_t *arrive; /* [the same by day]: longest path from a stay that begins that day; TRIP_NONE: none */
    int16_t *
        until; /* [day * place_count + place]: first night that rule, table or day forbid to such a stay, nothing else of the trip counted */
    uint32_t *wishes_of; /* by place */
    int steps;           /* the path tells so many states of the load apart; 1: none */
    /* Legs turned over, [to * place_count + from]: parts of a cent, cents, minutes; direct, then served. */
    int32_t *leg_parts[2], *leg_money_c[2];
    uint16_t *leg_min[2];
    trip_leg_slot slot[TRIP_SLOTS]; /* modified costs, for days that are alike */
    int slot_clock;
    int64_t constant; /* of the multipliers */
    int64_t whole;    /* bound of all trips, parts of a cent */
    int64_t best_whole;
} trip_bound;

size_t trip_bound_bytes(const lw_trip_in *in);
int trip_bound_make(trip_bound *b, const lw_trip_in *in, const trip_rules *rules, lw_arena *arena);
/* At most `rounds` steps towards a known value (INT64_MIN: none is); leaves the tables of the best multipliers. 0: stopped. */
int trip_bound_improve(trip_bound *b, int rounds, int64_t known_c, int (*go_on)(void *with), void *with, int *done);
void trip_bound_tables(trip_bound *b);
enum { TRIP_LEG_NO = (1 << 30) - 1 };
/* Longest path of a stay that goes on: mornings from `day`, so much of the load used, arrived when; wishes in `kept` give nothing. */
typedef struct trip_going {
    int place, arrive, day, until, used;
    uint32_t kept;
} trip_going;
/* The best of it: left on that morning with so much used, after so many runs. */
typedef struct trip_gone {
    int32_t value; /* TRIP_NONE: none */
    int day, used, runs;
} trip_gone;
int32_t trip_bound_go_on(const trip_bound *b, const trip_going *g, trip_gone *gone);
int32_t trip_bound_run(const trip_bound *b, int place); /* the modified cost of a run from there, below 0 */
/* By place, for what is kept and used on arrival that day; NULL: a must has been missed. */
const int32_t *trip_bound_arrive(const trip_bound *b, uint32_t kept, int used, int day);
const trip_leg_slot *trip_bound_legs(trip_bound *b, int day);
/* The modified cost of a leg taken served or not; TRIP_LEG_NO: not that day. */
int32_t trip_leg_cost(const trip_bound *b, const lw_trip_leg *leg, int day, int is_served);
void trip_bound_set_steps(trip_bound *b, int steps);
int64_t trip_bound_budget(const trip_bound *b, int64_t money_c); /* multiplier's part of so much money */

/* ---- the search ---- */

typedef struct trip_search_how {
    int width;
    int is_any_enough;
    int (*go_on)(void *with);
    void *with;
} trip_search_how;

size_t trip_search_bytes(const lw_trip_in *in, int width);
/* One pass. Betters out's trip where it finds a better one; *left: parts of a cent, the greatest bound of what was left behind
 * (TRIP_NONE as int64 when nothing was). 0: stopped, *left then holds for all the rest. */
int trip_search(const trip_rules *rules, trip_bound *b, const trip_search_how *how, lw_arena *arena, lw_trip_out *out,
                int64_t *left);

#endif
