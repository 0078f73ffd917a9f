/* core/land/road.h: what is known of a road of a map, before a heavy rig drives it.
 *
 * Words     those of data/road_fields.csv and of answers.
 * Order     books hold them as numbers: new ones go to the end. Of classes the greater stands first: a map of much land shows the first.
 * Limits    what a map does not say is unknown, never good. */
#ifndef LW_CORE_LAND_ROAD_H
#define LW_CORE_LAND_ROAD_H

#define LW_ROAD_CLASSES(X)                                                                                             \
    X(MOTORWAY, "motorway")                                                                                            \
    X(TRUNK, "trunk road")                                                                                             \
    X(PRIMARY, "primary road")                                                                                         \
    X(SECONDARY, "secondary road")                                                                                     \
    X(TERTIARY, "tertiary road")                                                                                       \
    X(MINOR, "minor road")                                                                                             \
    X(TRACK, "track")                                                                                                  \
    X(STREET, "street") /* or a driveway */

typedef enum lw_road_class {
#define LW_ROAD_CLASS_ID(id, word) LW_ROAD_##id,
    LW_ROAD_CLASSES(LW_ROAD_CLASS_ID) LW_ROAD_CLASS_COUNT
#undef LW_ROAD_CLASS_ID
} lw_road_class;

typedef enum lw_paved { LW_PAVED_UNKNOWN = 0, LW_PAVED_YES, LW_PAVED_NO, LW_PAVED_COUNT } lw_paved;

/* What it takes to get through. */
typedef enum lw_road_needs {
    LW_NEEDS_UNKNOWN = 0,
    LW_NEEDS_NOTHING,
    LW_NEEDS_CLEARANCE,
    LW_NEEDS_FOUR_WHEEL, /* and clearance */
    LW_NEEDS_NO_CAR,     /* none gets through */
    LW_NEEDS_COUNT
} lw_road_needs;

#endif
