/* core/sim/outlook.h: how long every supply lasts, and what ends the stay.
 *
 * Computes   From a scenario: the leeway of every supply (time until its demand first goes unmet), each with the others
 *            counted as topped up; and apart from that the joint course, in which shortages feed back into one another:
 *            a flat battery stops the blower, the cabin cools, the tank bay freezes.
 * How        lw_prepare makes, once per place, dates and rig, what all draws share (sun on each array, schedules, people,
 *            set-points, habits resolved to tanks); lw_course runs the hour loop over it; lw_outlook_make turns the two
 *            courses into an outlook.
 * Inputs     a scenario that passed lw_scenario_check; memory from an arena (lw_prepare_bytes says how much).
 * Results    lw_outlook, filled whole each time. Times are UTC seconds; NaN days do not occur.
 * Errors     LW_E_FULL when the arena is too small; nothing else on checked input.
 * Limits     one course, so P10, P50 and P90 are equal; core/sim/ensemble.h draws many. Horizon max(departure, 60 days).
 * Source     docs/engine.md: order of a step, what each boundary assumes, where the step size shows. */
#ifndef LW_CORE_SIM_OUTLOOK_H
#define LW_CORE_SIM_OUTLOOK_H

#include "core/base/arena.h"
#include "core/sim/flow.h"
#include "core/sim/scenario.h"

enum {
    LW_EVENTS = 256,
    LW_EVENTS_GRAVE = 64,   /* of them kept for what can hurt somebody */
    LW_EVENTS_OF_KIND = 12, /* of one kind; more are counted only */
    LW_QUANTILES = 3,       /* P10, P50, P90 */
    LW_DECILES = 9,         /* P10, P20 .. P90 */
    LW_MARK_HOURS = 3,      /* level marks for the chart */
    LW_MARKS = LW_HOURS / LW_MARK_HOURS + 2,
};

typedef struct lw_context lw_context; /* made by lw_prepare, lives in the arena, read-only afterwards */

/* Everything a draw carries from step to step. Flat: copying it with = is a what-if. */
typedef struct lw_state {
    double level[LW_VESSELS];
    double battery_q1_ah, battery_q2_ah, battery_c;
    double cabin_c, bay_c, water_deficit_j;
    double rubbish_age_frac; /* 1 = the oldest bag is past its tolerable age */
    double fridge_warm_h;    /* hours without cooling */
    double freeze_valve_h, freeze_pipe_h;
    float off_h[LW_CUTS]; /* how long a class of loads has been off */
    uint32_t cut;         /* bit per cut-off class that has dropped out */
    uint8_t is_generator_on;
} lw_state;
_Static_assert(sizeof(lw_state) <= 512, "the state of a draw stays small, so that an ensemble fits in cache");

typedef enum lw_policy { LW_POLICY_AS_IS = 0, LW_POLICY_PLAN } lw_policy;

/* OWN: each supply alone, the others topped up. JOINT: shortages feed back. */
typedef enum lw_mode { LW_MODE_OWN = 0, LW_MODE_JOINT } lw_mode;

/* What happens, in order. `index` is a supply, a vessel, a load or a person, as the kind says; value as noted. */
#define LW_EVENT_KINDS(X)                                                                                              \
    X(SUPPLY_END, "supply_end")       /* index vessel (or -1), supply set */                                           \
    X(SUPPLY_BACK, "supply_back")     /* renewed or refilled */                                                        \
    X(BATTERY_FLOOR, "battery_floor") /* the owner's floor is crossed; value state of charge */                        \
    X(LOADS_CUT, "loads_cut")         /* index cut-off class; value its voltage */                                     \
    X(LOADS_BACK, "loads_back")                                                                                        \
    X(FURNACE_STOPS, "furnace_stops") /* value: LW_FURNACE_.., why */                                                  \
    X(FURNACE_SHORT, "furnace_short") /* runs without pause and the cabin cools; value C */                            \
    X(GAS_SHORT, "gas_short")         /* cylinders too cold to vaporise enough; value W they give */                   \
    X(FRIDGE_STOPS, "fridge_stops")                                                                                    \
    X(FOOD_WARM, "food_warm")         /* four hours without cooling */                                                 \
    X(WATER_STOPS, "water_stops")     /* no pump or no water */                                                        \
    X(NETWORK_STOPS, "network_stops") /* during work or school hours */                                                \
    X(ALARMS_STOP, "alarms_stop")                                                                                      \
    X(VITAL_STOPS, "vital_stops") /* index vital; the first warning of all */                                          \
    X(VITAL_COLD, "vital_cold")   /* index person; value C inside */                                                   \
    X(VITAL_HOT, "vital_hot")                                                                                          \
    X(CABIN_COLD, "cabin_cold") /* below 10 C with people inside; value lowest C */                                    \
    X(CABIN_FREEZES, "cabin_freezes")                                                                                  \
    X(CABIN_HOT, "cabin_hot")                 /* heat index in the danger class; value: it, C */                       \
    X(VALVE_FREEZES, "valve_freezes")         /* outside valve and hose */                                             \
    X(PIPES_FREEZE, "pipes_freeze")           /* tank bay */                                                           \
    X(CHARGE_COLD, "charge_cold")             /* lithium battery below freezing: sun it could not take */              \
    X(LEISURE_DATA_ENDS, "leisure_data_ends") /* what is left is kept for work */                                      \
    X(RUBBISH_PLACE, "rubbish_place")         /* a worse place is used from now; index vessel */                       \
    X(RUBBISH_OLD, "rubbish_old")                                                                                      \
    X(GENERATOR_SMALL, "generator_small") /* wanted more than it can give; value W missing */                          \
    X(AC_STOPS, "ac_stops") /* alternating current is wanted while the inverter is off or too small; value W */        \
    X(SNOW_ON_PANELS, "snow_on_panels") /* index array, half of it covered; value mm of water on it */                 \
    X(WIND_HIGH, "wind_high") /* index array or LW_AWNING; value m/s of the hour's mean, above the limit set */

/* Why a furnace stops: values of FURNACE_STOPS. */
#define LW_FURNACE_WITHOUT_POWER 1.0
#define LW_FURNACE_WITHOUT_GAS   2.0
#define LW_FURNACE_GAS_TOO_COLD  3.0

typedef enum lw_event_kind {
#define LW_EVENT_ID(id, word) LW_EVENT_##id,
    LW_EVENT_KINDS(LW_EVENT_ID) LW_EVENT_KIND_COUNT
#undef LW_EVENT_ID
} lw_event_kind;

typedef struct lw_event {
    int64_t at_s;
    lw_event_kind kind;
    int supply, index;
    double value;
} lw_event;

/* All events of a kind, also those that are not in the list. */
typedef struct lw_event_sum {
    int count;
    int64_t last_s;
    uint32_t seen; /* bit per index that was told */
} lw_event_sum;

typedef struct lw_quantile {
    double days; /* from the start of the outlook; the horizon's length when beyond it */
    int64_t at_s;
    int beyond_horizon;
} lw_quantile;

typedef struct lw_leeway {
    int is_present;              /* the rig has a vessel for it */
    int vessel;                  /* that ends first; -1: none, or not one vessel */
    int is_too_cold;             /* propane: ends not empty but too cold to leave the cylinders */
    lw_quantile q[LW_QUANTILES]; /* P10, P50, P90 */
    double beyond_frac;          /* chance of lasting past the horizon */
    double binds_frac;           /* how often it is the binding one */
    double spread_use_frac; /* of its spread that comes from use, the rest from weather; NaN: none, or not looked at */
    double start[LW_QUANTILES]; /* level at the start: what is left or, for what fills, what is in */
    double capacity;
    double use_per_day;    /* mean over the first seven days or the horizon, as asked for */
    double at_departure;   /* level then, joint course; NaN without a wished departure */
    double unmet, unmet_h; /* own course, whole horizon, for supplies that renew: battery (Wh), data (GB) */
} lw_leeway;

typedef struct lw_comfort {
    double inside_low_c, inside_high_c;
    int64_t inside_low_s, inside_high_s;
    double bay_low_c;
    int64_t bay_low_s;
    double below_set_h, furnace_h, hot_h;
} lw_comfort;

typedef struct lw_outlook {
    int64_t start_s, horizon_s, departure_s;
    int64_t joint_until_s; /* the joint course ends: at departure, or a fortnight after shortages begin */
    int steps_per_hour;
    lw_policy policy;
    int draws;
    uint64_t seed;
    lw_leeway leeway[LW_SUPPLY_COUNT];
    lw_leeway vessel[LW_VESSELS]; /* each tank by itself; FILLS and EMPTIES alike */
    lw_leeway rubbish_age;        /* the second leeway of rubbish */
    lw_leeway leisure_data;       /* data for leisure, where work has a reserve; absent otherwise */
    lw_leeway vital[LW_VITALS];   /* each vital load's power, joint course: beyond means until joint_until_s */
    int vital_load[LW_VITALS];    /* its index in rig.load */
    int vital_count;
    int order[LW_SUPPLY_COUNT]; /* present supplies, soonest end first */
    int order_count;
    int binding;                 /* lw_supply, or -1: nothing binds before the horizon */
    lw_event event[LW_EVENTS];   /* joint course, in order of time */
    int event_count, event_lost; /* lost: more happened than fits; they are in the sums */
    lw_event_sum event_sum[LW_EVENT_KIND_COUNT];
    lw_flows own, joint; /* sums over the horizon; joint: until joint_until_s */
    lw_flows own_to_departure, joint_to_departure;
    lw_comfort comfort; /* joint course, until departure if one is wished */
    int mark_count;
    float mark[LW_SUPPLY_COUNT][LW_MARKS]; /* own course: fraction of capacity at each 3-hour mark */
    /* Only with more than one draw: bands of the same (P10, P90), chance that a supply lasts to the end of each day of the
     * horizon, chance that a kind of event happens in the joint course. */
    float mark_low[LW_SUPPLY_COUNT][LW_MARKS], mark_high[LW_SUPPLY_COUNT][LW_MARKS];
    int day_count;
    float lasts_frac[LW_SUPPLY_COUNT][LW_DAYS];
    float happens_frac[LW_EVENT_KIND_COUNT];
    double inside_low_c[LW_QUANTILES], inside_high_c[LW_QUANTILES]; /* of the draws' coldest and warmest */
    float too_cold_frac[LW_PEOPLE], too_hot_frac[LW_PEOPLE]; /* chance that a person's or animal's limit is passed */
    lw_leeway first;                                         /* when the first of the supplies ends, whichever it is */
    double stays_frac;                /* chance that none ends before the wished departure; NaN without one */
    lw_quantile vital_p01[LW_VITALS]; /* what 99 of 100 draws reach: what is planned for where a life hangs on it */
    double propane_kg[LW_DECILES],
        sun_wh[LW_DECILES]; /* own course until departure: gas asked for, sun on the panels */
} lw_outlook;

/* One row an hour of a course, for charts and --csv. The caller's memory; any pointer may be NULL. */
typedef struct lw_series {
    int capacity;            /* rows there is room for */
    int count;               /* rows filled */
    lw_state *state;         /* at the end of each hour */
    lw_flows *flows;         /* of each hour */
    float (*mark)[LW_MARKS]; /* [supply][mark]: level as a fraction of capacity every LW_MARK_HOURS */
} lw_series;

/* Bytes of arena for a scenario at this step, alignment included. */
size_t lw_prepare_bytes(const lw_scenario *scenario, int steps_per_hour);

/* steps_per_hour 1..12. The scenario is read again during courses: it must outlive the context. */
LW_MUST_USE lw_code lw_prepare(const lw_scenario *scenario, int steps_per_hour, lw_arena *arena, lw_context **context,
                               lw_fault *fault);

/* The state at arrival. */
void lw_state_start(const lw_context *context, lw_state *state);

/* What a course leaves behind; times in hours from the start, INFINITY where it did not happen. */
typedef struct lw_course {
    double end_h[LW_SUPPLY_COUNT];
    double vessel_end_h[LW_VESSELS];
    int end_vessel[LW_SUPPLY_COUNT];
    int is_gas_too_cold; /* propane's end: its cylinders are cold, not empty */
    double rubbish_age_h;
    double vital_end_h[LW_VITALS];
    double unmet[LW_SUPPLY_COUNT], unmet_h[LW_SUPPLY_COUNT];
    double leisure_end_h; /* data for leisure is used up, work's is kept */
    lw_flows total, to_departure, first_week;
    double first_week_h;            /* of the first seven days, as far as the horizon goes */
    double gas_asked_kg, panels_wh; /* to departure: gas whether it was to be had or not, sun on the panels */
    lw_state at_departure, last;
    lw_comfort comfort;
    lw_event event[LW_EVENTS];
    int event_count, event_lost;
    lw_event_sum event_sum[LW_EVENT_KIND_COUNT];
    uint32_t ended_supplies, ended_vessels; /* bits: their end is found */
    uint32_t watch_over;                    /* bits of the context's watched vessels that have come to their end */
    uint32_t is_on[LW_EVENT_KIND_COUNT];    /* a bit an index: in force now, so that an event is told once */
    uint32_t kinds_on;                      /* bit per kind of them */
} lw_course;

/* Runs one course from the start to the horizon. `series` may be NULL. */
void lw_course_run(const lw_context *context, lw_mode mode, lw_state *state, lw_course *course, lw_series *series);

/* One step by itself: for tests of the ledger. step 0 .. lw_context_steps - 1; flows are those of this step only. */
int lw_context_steps(const lw_context *context);
void lw_step_once(const lw_context *context, lw_mode mode, int step, lw_state *state, lw_flows *flows);
/* The same by the long way, use by use and switch by switch, as where something switches or is short: what the short ways of
 * most steps are held to (tests/core/test_long_way.c). */
void lw_step_once_long(const lw_context *context, lw_mode mode, int step, lw_state *state, lw_flows *flows);

/* Stored energy and heat of a state: the other side of the ledger. */
double lw_state_battery_wh(const lw_context *context, const lw_state *state);
double lw_state_battery_frac(const lw_context *context, const lw_state *state);

/* What was asked of a supply: what it gave or took, and what its own course lent. 0 for the days of the stay. */
double lw_flows_demand(const lw_flows *flows, lw_supply supply);

/* Runs both courses and fills the outlook. `own_series`, `joint_series` may be NULL. */
void lw_outlook_make(const lw_context *context, lw_outlook *outlook, lw_series *own_series, lw_series *joint_series);

#endif
