/* core/house/house.h: the habits a household has chosen, turned into what the engine runs.
 *
 * Computes   for each choice one lw_use: its rate for every person, its hours, and its effect on several supplies at once.
 * Inputs     lw_house_in: choices (a row of the habit table, with what this household does differently), the toilet, and
 *            whether the place allows water on the ground. The crew's people are read, its uses are written.
 * Results    crew->use[], crew->use_count; lw_house_out: which choices had to be changed, as bits by choice.
 *            Of every use: water drawn = to grey + to black + outdoors + gone.
 *            Rates of toilet activities are already multiplied by the person's toilet_here_frac. Paper that a bowl's flush
 *            is too weak to carry adds a use of its own behind those of the choices, a litre a unit: what the flush lacks.
 * Encoding   drawn water: SUPPLY FRESH or SUPPLY DRINKING; through a filter SUPPLY FRESH, and the same litres from the
 *            cartridge by a VESSEL effect that is a count, not water. Tanks: SUPPLY GREY, SUPPLY BLACK, by the use's fixture.
 *            Dry toilet: VESSEL effects on the urine bottle and the solids bin. Bag toilet: SUPPLY RUBBISH.
 *            EMPTIES supplies are drawn by negative amounts.
 * Errors     lw_house_check: LW_E_RANGE (numbers, indices), LW_E_CONFLICT (a flush without a flush toilet, rate and
 *            every_days together), LW_E_MISSING (a dry toilet without its vessels, a choice without its habit),
 *            LW_E_FULL (too many choices). lw_house_make cannot fail on what was checked.
 * Source     the rows of data/habits.csv; core/house/toilet.h; bag and cover figures from memory.
 * Limits     water on the ground is not weighed against the place's ground; black water never goes there. */
#ifndef LW_CORE_HOUSE_HOUSE_H
#define LW_CORE_HOUSE_HOUSE_H

#include <stdint.h>

#include "core/base/err.h"
#include "core/house/habit.h"
#include "core/house/toilet.h"
#include "core/house/crew.h"

/* One habit of this household. NaN: as the table says. */
typedef struct lw_house_choice {
    const lw_habit *habit; /* borrowed while lw_house_make runs */
    uint32_t people;       /* bit per person of the crew; 0 = everybody; unused by rhythm CAMP */
    double rate;           /* units a day or hour of the first kind of being the table has; the others in proportion */
    double every_days;     /* the same said the other way: one unit each so many days */
    double water_l;        /* a unit; its hot share stays */
    double rubbish_l, data_gb;
} lw_house_choice;

typedef struct lw_toilet {
    lw_toilet_kind kind;
    int urine_vessel, solids_vessel; /* DRY: indices of black vessels of the rig, -1 = none */
    double cover_l;                  /* DRY: cover material an adult's day adds to the solids */
    double bag_l;                    /* BAG: what bag and powder add to an adult's day */
} lw_toilet;

typedef struct lw_house_in {
    lw_house_choice choice[LW_USES];
    int choice_count;
    lw_toilet toilet;
    int filter_vessel; /* index of the drinking vessel that is the cartridge; -1 = its litres are not counted */
    lw_permission outdoor_water; /* UNKNOWN counts as not allowed */
} lw_house_in;

typedef struct lw_house_out {
    uint64_t kept_off_ground; /* bit per choice: its outdoor share goes to the grey tank, the place does not allow it */
    uint64_t to_rubbish;      /* bit per choice: goes to the rubbish because the toilet has no bowl for it */
} lw_house_out;

/* Amounts of one whole day in camp; work and school as the mean of the week's masks. */
typedef struct lw_house_day {
    double fresh_l, drinking_l, hot_l;          /* drawn; hot_l is part of fresh_l */
    double grey_l, black_l, outdoors_l, gone_l; /* black_l with what is not water */
    double rubbish_l, data_gb, food_person_days, propane_wh, dc_wh;
} lw_house_day;

lw_house_choice lw_house_choice_of(const lw_habit *habit);
lw_toilet lw_toilet_of(lw_toilet_kind kind);

LW_MUST_USE lw_code lw_house_check(const lw_house_in *in, const lw_crew *crew, lw_fault *fault);
void lw_house_make(const lw_house_in *in, lw_crew *crew, lw_house_out *out);

/* `person` as index: what that one causes alone (guests too). -1: the household without its guests, and the camp's uses. */
void lw_house_daily(const lw_crew *crew, int person, lw_house_day *day);

#endif
