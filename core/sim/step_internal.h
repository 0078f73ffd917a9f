/* core/sim/step_internal.h: one step of the engine, in parts. Stays inside core/sim.
 *
 * A step is a stretch of at most one step of the context with constant powers. What the course has to know of its inside
 * (when a class of loads dropped, what a use could not get) is left in lw_step_note; what moved is in lw_flows. */
#ifndef LW_CORE_SIM_STEP_INTERNAL_H
#define LW_CORE_SIM_STEP_INTERNAL_H

#include <string.h>

#include "core/base/hot.h"

#include "core/sim/context_internal.h"

/* Gas lacks below this are rounding of the cylinders' shares. */
#define LW_NOTHING_KG 1e-9
/* Hours that food may stand without cooling (USDA FSIS). */
#define LW_FOOD_WARM_H   4.0
#define LW_FOOD_SAFE_C   4.4  /* 40 F (USDA FSIS): below it food keeps without a fridge */
#define LW_ROUNDING_FRAC 1e-9 /* of a furnace's input: no less keeps its blower running */
/* People turn fans up over some kelvins rather than at a line; from memory. */
#define LW_FAN_RAMP_K 2.0
/* Nobody opens windows while the furnace runs. */
#define LW_VENT_ABOVE_SET_K 1.0
#define LW_AT_SET_K         1e-6 /* held at a set-point: nearer than this */
/* Cylinders that give less than this share of what the burners ask for through an hour are of no use; from judgement. */
#define LW_COLD_GAS_FRAC   0.5
#define LW_COLD_GAS_LEFT_S 43200.0
#define LW_SHORTEST_PART   1e-6 /* of what is left of a stretch: an event at its begin is stepped over */
/* Litres, or kilograms of propane: no set starts on less, milliseconds of it. */
#define LW_LEAST_FUEL 1e-6
/* Terminal voltages nearer to a cut-off than this are left to the long way. */
#define LW_CLEAR_OF_CUT_V 1e-6

/* Amounts of wishes and of what was lacking, kept only where a moment inside a step is looked for. */
typedef struct lw_wants {
    double want[LW_VESSELS], lack[LW_VESSELS]; /* by the last vessel a use reaches: it decides */
    double supply_want[LW_SUPPLY_COUNT], supply_lack[LW_SUPPLY_COUNT];
    double leisure_want, leisure_lack;
} lw_wants;

typedef struct lw_step_note {
    lw_wants *wants;        /* NULL: not looked for. With it a step goes the long way: use by use, switch by switch */
    uint32_t lack_vessels;  /* bit per deciding vessel */
    uint32_t lack_supplies; /* bit per supply; for those without deciding vessels too (propane, fuel) */
    int is_leisure_stopped; /* data kept back for work */
    int is_use_stopped;     /* joint course: a use had less than it wished, for whatever reason */
    double data_lack_gb;

    double span_h, offset_h;         /* length of the whole stretch; where in it the part being worked on begins */
    double all_served_h, part_all_h; /* hours in which every class of loads ran: stretch, part being worked on */
    int has_cuts;                    /* some class did not: only then are the next three filled */
    double served_h[LW_CUTS];        /* besides those hours each class: read them by lw_served .. */
    double part_served_h[LW_CUTS];   /* .. and lw_part_served */
    double ac_lack_h;                /* alternating current: hours without it, as a share of what was wanted */
    double unmet_wh;                 /* electric demand that the battery is to blame for */
    double done_h;                   /* of the part, by the power system */
    double floor_h;                  /* when the owner's floor was crossed; INFINITY: not in this stretch */
    double cut_h[LW_CUTS];           /* when the class dropped; INFINITY: it did not */
    double cold_charge_wh;           /* sun a cold lithium battery refused */
    double generator_missing_w;
    double ac_missing_w; /* alternating current the inverter does not make, by its hours or its size */

    double gas_asked_kg, panels_wh; /* of the stretch: gas whether it was to be had or not, sun on the panels */
    double gas_limit_w;     /* what the open cylinders can vaporise; no less than that while the burners ask for less */
    double gas_reserved_kg; /* joint course, a set on the rig's propane: what this step's burners will need */
    double furnace_duty;
    double inside_min_c, inside_max_c, set_c;
    double fridge_frac; /* share of the stretch it cooled */
    double food_warm_h; /* when the food had been warm for too long; INFINITY: not in this stretch */
    int is_hose_freezing, is_pipe_freezing;
    int is_gas_over_limit; /* the burners ask for more than the cylinders vaporise */
    int is_gas_cold;       /* burners went short, or would, because the cylinders are too cold */
} lw_step_note;

/* A copy in two pieces, since gcc makes one of this length by a string instruction, which begins slowly. */
static inline void lw_state_copy(lw_state *to, const lw_state *from)
{
    memcpy(to->level, from->level, sizeof to->level);
    memcpy((char *)to + sizeof to->level, (const char *)from + sizeof from->level, sizeof *to - sizeof to->level);
}

/* Share of the time a class of loads ran: of the whole stretch, once it is over; of the part. */
static inline double lw_served(const lw_step_note *note, int k)
{
    const double frac = (note->all_served_h + (note->has_cuts ? note->served_h[k] : 0.0)) / note->span_h;
    return frac < 1.0 - 1e-12 ? frac : 1.0;
}

static inline double lw_part_served(const lw_step_note *note, int k)
{
    const double frac = (note->part_all_h + (note->has_cuts ? note->part_served_h[k] : 0.0)) / note->done_h;
    return frac < 1.0 - 1e-12 ? frac : 1.0;
}

/* Of a vital load: on alternating current it has power only where the inverter or the generator gives it. */
static inline double lw_vital_served(const lw_context *c, const lw_hour *hour, const lw_step_note *note, int i)
{
    if (!c->vital_is_ac[i])
        return lw_served(note, c->vital_cut[i]);
    return hour->vital_ac_wanted & lw_bit(i) ? 1.0 - note->ac_lack_h / note->span_h : 1.0;
}

static inline void lw_note_lack(lw_step_note *note, int supply, double wish, double lack, double nothing)
{
    if (note->wants) {
        note->wants->supply_want[supply] += wish;
        note->wants->supply_lack[supply] += lack;
    }
    if (lack > nothing)
        note->lack_supplies |= 1u << supply;
}

/* Of a step's uses what tanks allow in the joint course: a shower without water heats and pumps none. Uses that share a tank are each looked at alone: within the step in which it ends, a
 * little too much. */
typedef struct lw_expected {
    double hot_l, gas_wh, pumped_l, uses_wh;
} lw_expected;
static inline lw_expected lw_expected_of(const lw_hour *hour)
{
    return (lw_expected){
        .hot_l = hour->hot_l, .gas_wh = hour->gas_wh, .pumped_l = hour->pumped_l, .uses_wh = hour->uses_wh};
}
LW_RARE void lw_uses_expected(const lw_context *c, int step, double share, const lw_state *s, lw_expected *to);

/* What the cabin needs from the power system and the other way round; filled by the heat part, read by the power part. */
typedef struct lw_wish {
    double dc_sum_w, vital_sum_w; /* direct current of scheduled and thermostat loads, and of it what a life hangs on */
    double ac_w, ac_generator_w;
    double dc_w[LW_CUTS];  /* the same by class; only for lw_step_power */
    int wants_generator;   /* for cooling */
    lw_expected expected;  /* hot water, cooking, pump of the part's uses */
    int has_room;          /* joint course: for all of them */
    int is_decided, is_on; /* whether the set runs in this part: decided before, or by the plan */
    int is_bounded;        /* a part planned again: no more cooling and electric heat than was booked for it */
    double cool_most_w, electric_most_w;
    int heat_needs_generator; /* electric heater or air conditioner: the part ends where the set starts or stops */
} lw_wish;

/* note->wants is read: set it, or NULL, before. flows: NULL where nobody asks; what a draw tells is in the note. */
void lw_step(const lw_context *c, lw_mode mode, int step, double from_frac, double to_frac, lw_state *s,
             lw_flows *flows, lw_step_note *note);

/* What a vessel can still give, or take. */
double lw_vessel_room(const lw_context *c, int vessel, const lw_state *s);

int lw_generator_is_wanted_on(const lw_context *c, lw_mode mode, const lw_hour *hour, const lw_wish *wish, double q_ah,
                              const lw_state *s, const lw_step_note *note);

/* Parts of a step, in their order. */
LW_RARE void lw_step_power(const lw_context *c, lw_mode mode, const lw_hour *hour, double dt_h, const lw_wish *wish,
                           lw_state *s, lw_flows *flows, lw_step_note *note);
/* The same where nothing switches: one stretch with one current, or one that tapers. Most are such, and need no loads by class.
 * Returns 0, and has done nothing, where something does. */
int lw_step_power_steady(const lw_context *c, lw_mode mode, const lw_hour *hour, double dt_h, const lw_wish *wish,
                         lw_state *s, lw_flows *flows, lw_step_note *note);
/* Note: the power part stops early where the generator switches and the cabin depends on it (lw_wish.heat_needs_generator);
 * note->done_h says how far it came. */
/* `supplies`: only uses of one of these; all bits for all uses. */
LW_RARE void lw_step_uses(const lw_context *c, lw_mode mode, int step, double share, uint32_t supplies, lw_state *s,
                          lw_flows *flows, lw_step_note *note);
/* The same by strands instead of use by use, which differs by rounding alone: in the own course, and in the joint one where
 * there is room for all of them. */
int lw_has_room_for_uses(const lw_context *c, const lw_hour *hour, double share, const lw_state *s);
void lw_pour_uses(const lw_context *c, const lw_hour *hour, double share, lw_state *s, lw_flows *flows,
                  lw_step_note *note);
/* Of these supplies alone, where there is room for all; else returns 0 and moves nothing. */
int lw_pour_whole(const lw_context *c, const lw_hour *hour, double share, uint32_t supplies, lw_state *s);

int lw_rubbish_is_empty(const lw_context *c, const lw_state *s);
void lw_apply_transfer(const lw_context *c, const lw_transfer *transfer, lw_state *s, lw_flows *flows);

/* Draws from the vessels of a supply in order; returns what they could not give. */
double lw_row_draw(const lw_context *c, int supply, double amount, lw_state *s);
double lw_row_available(const lw_context *c, int supply, const lw_state *s);
/* Gas from the open cylinders; returns what could not be had. What they can vaporise. */
double lw_draw_gas(const lw_context *c, double kg, lw_state *s);
LW_RARE double lw_vapour_limit_w(const lw_context *c, const lw_state *s, double air_c);

#endif
