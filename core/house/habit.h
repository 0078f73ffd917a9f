/* core/house/habit.h: one way of doing a thing, with everything it moves: a row of data/habits.csv.
 *
 * Computes   nothing but checks: the table is data. Hour profiles stand here because they are shared by all rows.
 * Inputs     numbers a unit (a shower, a meal of one, an hour of work); rate = units a person and day by kind of being;
 *            rhythm CAMP: rate[LW_BEING_ADULT] units a day of the whole camp; WORK and SCHOOL: units an hour of it.
 *            Water of a unit leaves by four ways whose shares sum to 1, also where water_l is 0.
 * Results    lw_profile_weights: 24 shares that sum to 1.
 * Errors     lw_habit_check: LW_E_RANGE for a number outside its bounds, LW_E_CONFLICT for toilet water on the ground or a
 *            row that both draws water and adds what was none (black_l), LW_E_FULL where a row moves more than LW_EFFECTS things.
 * Source     each row of the table names its own. Profiles: common practice, no source.
 * Limits     one fixture a habit; rates do not change with the weather. */
#ifndef LW_CORE_HOUSE_HABIT_H
#define LW_CORE_HOUSE_HABIT_H

#include <stddef.h>

#include "core/base/err.h"
#include "core/house/crew.h"

#define LW_ACTIVITIES(X)                                                                                               \
    X(DISHES, "dishes")                                                                                                \
    X(SHOWER, "shower")                                                                                                \
    X(HANDS, "hands")                                                                                                  \
    X(TEETH, "teeth")                                                                                                  \
    X(FACE, "face")                                                                                                    \
    X(WIPES, "wipes")                                                                                                  \
    X(COOKING, "cooking")                                                                                              \
    X(DRINKING, "drinking")                                                                                            \
    X(EXCRETA, "excreta")                                                                                              \
    X(FLUSH, "flush")                                                                                                  \
    X(PAPER, "paper")                                                                                                  \
    X(CLEANING, "cleaning")                                                                                            \
    X(LAUNDRY, "laundry")                                                                                              \
    X(PET, "pet")                                                                                                      \
    X(RUBBISH, "rubbish")                                                                                              \
    X(FOOD, "food")                                                                                                    \
    X(WORK_DATA, "work-data")                                                                                          \
    X(SCHOOL_DATA, "school-data")                                                                                      \
    X(LEISURE_DATA, "leisure-data")                                                                                    \
    X(BACKGROUND_DATA, "background-data")
typedef enum lw_activity {
#define LW_ACTIVITY_ID(id, word) LW_ACTIVITY_##id,
    LW_ACTIVITIES(LW_ACTIVITY_ID) LW_ACTIVITY_COUNT
#undef LW_ACTIVITY_ID
} lw_activity;

/* The words of core/house/crew.h's lw_rhythm in the table. */
#define LW_RHYTHMS(X) X(PERSON, "person") X(CAMP, "camp") X(WORK, "work") X(SCHOOL, "school")
#define LW_BEINGS(X)  X(ADULT, "adult") X(TEEN, "teen") X(CHILD, "child") X(DOG, "dog") X(CAT, "cat")
enum { LW_BEING_COUNT = LW_BEING_CAT + 1 };

#define LW_PROFILES(X)                                                                                                 \
    X(MEALS, "meals")                                                                                                  \
    X(MORNING, "morning")                                                                                              \
    X(EVENING, "evening") X(SPREAD, "spread") X(WAKING, "waking") X(TEETH, "teeth") X(TOILET, "toilet")
typedef enum lw_profile {
#define LW_PROFILE_ID(id, word) LW_PROFILE_##id,
    LW_PROFILES(LW_PROFILE_ID) LW_PROFILE_COUNT
#undef LW_PROFILE_ID
} lw_profile;

/* FRESH: from the tank by the fixture. FILTER: the same through a cartridge whose litres are counted. DRINKING: from the
 * drinking vessels in order of use. */
#define LW_WATER_FROMS(X) X(FRESH, "fresh") X(FILTER, "filter") X(DRINKING, "drinking")
typedef enum lw_water_from {
#define LW_WATER_FROM_ID(id, word) LW_WATER_FROM_##id,
    LW_WATER_FROMS(LW_WATER_FROM_ID) LW_WATER_FROM_COUNT
#undef LW_WATER_FROM_ID
} lw_water_from;

typedef struct lw_habit {
    char id[LW_NAME];
    lw_activity activity;
    lw_group group;
    lw_rhythm rhythm;
    lw_fixture fixture;
    lw_water_from water_from;
    lw_profile profile;
    double rate[LW_BEING_COUNT];
    double water_l, hot_l; /* hot_l: of water_l, at the hot tap's temperature */
    double to_grey_frac, to_black_frac, to_outdoors_frac, gone_frac;
    double black_l; /* besides water: excreta, paper */
    /* PAPER: so many flushes a unit carry it, and take at least this much each; a weaker flush is lengthened to that. */
    double carry_flushes, carry_flush_l;
    double rubbish_l, rubbish_kg, data_gb, food_person_days, propane_wh, dc_wh;
    double minutes; /* of somebody's time */
    int needs_pump, is_leisure_data;
} lw_habit;

/* Columns of numbers and of 0/1 flags by name, so that a reader of the table needs no list of its own. */
typedef struct lw_habit_column {
    const char *name;
    size_t offset; /* of a double, or of an int for flags */
} lw_habit_column;
extern const lw_habit_column lw_habit_numbers[], lw_habit_flags[];
extern const size_t lw_habit_numbers_count, lw_habit_flags_count;

LW_MUST_USE lw_code lw_habit_check(const lw_habit *habit, lw_fault *fault);
void lw_profile_weights(lw_profile profile, double weight[24]);

#endif
