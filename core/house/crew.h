/* core/house/crew.h: people and animals, and what they do with the supplies, as the engine is told it. */
#ifndef LW_CORE_HOUSE_CREW_H
#define LW_CORE_HOUSE_CREW_H

#include "core/base/words.h"

enum {
    LW_PEOPLE = 16,
    LW_USES = 64,
    LW_EFFECTS = 6, /* of one use */
};

/* Groups of use: the factors that a household is above or below the table by (at most eight). */
#define LW_GROUPS(X)                                                                                                   \
    X(SHOWERS, "showers")                                                                                              \
    X(DISHES, "dishes")                                                                                                \
    X(TOILET, "toilet")                                                                                                \
    X(DRINKING, "drinking")                                                                                            \
    X(HEAT, "heat")                                                                                                    \
    X(DEVICES, "devices")                                                                                              \
    X(RUBBISH, "rubbish")                                                                                              \
    X(DATA, "data")
typedef enum lw_group {
#define LW_GROUP_ID(id, word) LW_GROUP_##id,
    LW_GROUPS(LW_GROUP_ID) LW_GROUP_COUNT
#undef LW_GROUP_ID
} lw_group;

#define LW_FIXTURES(X)                                                                                                 \
    X(KITCHEN, "kitchen")                                                                                              \
    X(BASIN, "basin")                                                                                                  \
    X(SHOWER, "shower")                                                                                                \
    X(TOILET, "toilet")                                                                                                \
    X(OUTDOOR, "outdoor")
typedef enum lw_fixture {
#define LW_FIXTURE_ID(id, word) LW_FIXTURE_##id,
    LW_FIXTURES(LW_FIXTURE_ID) LW_FIXTURE_COUNT
#undef LW_FIXTURE_ID
} lw_fixture;

typedef enum lw_being { LW_BEING_ADULT = 0, LW_BEING_TEEN, LW_BEING_CHILD, LW_BEING_DOG, LW_BEING_CAT } lw_being;

typedef struct lw_person {
    char name[LW_NAME];
    lw_being being;
    uint32_t away[7]; /* weekly mask of hours out of camp */
    uint32_t work[7]; /* hours of work that needs the connection and their devices */
    uint32_t school[7];
    lw_span out[LW_SPANS]; /* whole spans out of camp */
    int out_count;
    lw_span guest;                      /* to_s > from_s: in camp only then; otherwise one of the household */
    double toilet_here_frac;            /* share of toilet visits at the rig while in camp, 0..1 */
    double inside_low_c, inside_high_c; /* NaN unless this person or animal needs the temperature kept (vital) */
} lw_person;

/* What one unit of a use moves. `at` is a vessel index for LEVEL, unused otherwise. amount > 0 is added to the vessel. */
typedef enum lw_effect_kind {
    LW_EFFECT_VESSEL = 0, /* that very vessel */
    LW_EFFECT_SUPPLY,     /* `at` is a lw_supply: drawn from or put into its vessels in order of use, by `fixture` */
    LW_EFFECT_OUTDOORS_L, /* water on the ground, where the place allows it */
    LW_EFFECT_GONE_L,     /* water drunk, cooked in or dried up: leaves the rig without a tank */
    LW_EFFECT_PROPANE_W,  /* amount in Wh of gas burnt inside */
    LW_EFFECT_DC_WH,
} lw_effect_kind;
typedef struct lw_effect {
    lw_effect_kind kind;
    int at;
    double amount;
} lw_effect;

typedef enum lw_rhythm {
    LW_RHYTHM_PERSON = 0, /* per person in camp: rate a day spread over `weight` of the hours they are there */
    LW_RHYTHM_CAMP,       /* per camp: rate a day while anybody is there */
    LW_RHYTHM_WORK,       /* rate an hour of a person's work */
    LW_RHYTHM_SCHOOL,     /* rate an hour of a person's school */
} lw_rhythm;

/* One habit of this household, with its effect on several supplies at once, made by core/house from the habit table. */
typedef struct lw_use {
    char name[LW_NAME];
    lw_group group;
    lw_rhythm rhythm;
    lw_fixture fixture;
    double rate[LW_PEOPLE]; /* units a day (PERSON) or an hour (WORK, SCHOOL) for each person; CAMP: rate[0] a day */
    double weight[24];      /* share of the day's units in each civil hour; sums to 1 (PERSON, CAMP) */
    lw_effect effect[LW_EFFECTS];
    int effect_count;
    double hot_l;        /* of its water, at the hot tap's temperature, a unit */
    int needs_pump;      /* stops in the step in which the pump stops */
    int is_leisure_data; /* may not touch the work reserve */
    int is_stopped_by_rubbish_in_shower;
} lw_use;

typedef struct lw_crew {
    lw_person person[LW_PEOPLE];
    int person_count;
    lw_use use[LW_USES];
    int use_count;
} lw_crew;

#endif
