/* core/land/spot_kind.h: what a spot on the map is good for. A spot may be good for several things.
 *
 * Words     those of the command line, of files of our own and of answers.
 * Order     books hold them as bits: new ones go to the end.
 * Water     WATER is a tap or a filling point; whether it is fit to drink is told apart. */
#ifndef LW_CORE_LAND_SPOT_KIND_H
#define LW_CORE_LAND_SPOT_KIND_H

#define LW_SPOT_KINDS(X)                                                                                               \
    X(CAMP, "camp")                                                                                                    \
    X(DUMP, "dump")                                                                                                    \
    X(WATER, "water")                                                                                                  \
    X(PROPANE, "propane")                                                                                              \
    X(FUEL, "fuel")                                                                                                    \
    X(RUBBISH, "rubbish")                                                                                              \
    X(GROCERIES, "groceries")                                                                                          \
    X(LAUNDRY, "laundry")                                                                                              \
    X(REST, "rest")   /* a rest area of a road */                                                                      \
    X(PLACE, "place") /* anything else that has a name */                                                              \
    X(RECYCLING, "recycling")                                                                                          \
    X(SHOWER, "shower")                                                                                                \
    X(TOWN, "town")   /* or village, or city */                                                                        \
    X(TRAIL, "trail") /* its head */                                                                                   \
    X(PARK, "park")                                                                                                    \
    X(SIGHT, "sight") /* viewpoint, museum and the like */

typedef enum lw_spot_kind {
#define LW_SPOT_KIND_ID(id, word) LW_SPOT_##id,
    LW_SPOT_KINDS(LW_SPOT_KIND_ID) LW_SPOT_KIND_COUNT
#undef LW_SPOT_KIND_ID
} lw_spot_kind;

#define LW_SPOT_KIND_AND(id, word) word ", "
#define LW_SPOT_KINDS_SAID         LW_SPOT_KINDS(LW_SPOT_KIND_AND) /* "camp, dump, ... sight, ": to go on from */

typedef enum lw_fit { LW_FIT_UNKNOWN = 0, LW_FIT_YES, LW_FIT_NO } lw_fit; /* to drink */

#endif
