/* exchange/osm_internal.h: what the readers of OpenStreetMap's two forms share: elements, and the places gathered of them.
 *
 * Areas     most camps and dump stations are areas: a way names its nodes, a relation its ways. A place of an area is the middle of the
 *           box around it. The file is gone through again and again, so that only the corners of areas that are wanted are
 *           kept: first for ways and relations that are places, then, where there are such relations, for their ways, then for nodes
 *           and rows together, or, where the file has not all nodes before ways before relations, one after the other.
 * Memory    16 bytes a corner, 40 a way of a relation, within LW_OSM_CORNERS, LW_ROAD_CORNERS and LW_OSM_WAYS; the extract itself is not held.
 * Relations members that are nodes and ways count, relations within relations do not. */
#ifndef LW_EXCHANGE_OSM_INTERNAL_H
#define LW_EXCHANGE_OSM_INTERNAL_H

#include "exchange/spots_internal.h"

/* ---- numbers that are looked for, with what is known of them ---- */

typedef struct lw_osm_set {
    int64_t *id;
    unsigned char *value; /* `size` bytes each, all bits set: not known yet */
    size_t count, room, most, size;
    size_t at; /* where it was looked last */
    int is_sorted;
} lw_osm_set;

/* 0: more than the most. Nothing is added behind lw_osm_set_sort. */
int lw_osm_set_add(lw_osm_set *set, int64_t id);
int lw_osm_set_sort(lw_osm_set *set); /* 0: no memory */
void *lw_osm_set_find(lw_osm_set *set, int64_t id);
void lw_osm_set_clear(lw_osm_set *set);

/* ---- elements ---- */

typedef enum lw_osm_what { LW_OSM_NODE = 0, LW_OSM_WAY, LW_OSM_RELATION, LW_OSM_WHATS } lw_osm_what;

typedef struct lw_osm_tag {
    const char *key, *value;
} lw_osm_tag;

typedef struct lw_osm_element {
    lw_osm_what what;
    int64_t id;
    int64_t latitude_e7, longitude_e7; /* of a node */
    const lw_osm_tag *tag;
    size_t tags;
    const int64_t *ref; /* nodes of a way, members of a relation */
    const unsigned char *ref_what;
    size_t refs;
    lw_spot_box box; /* of a way that brings its own corners; empty otherwise */
    const lw_spot *own;
    size_t owns;
} lw_osm_element;

enum { LW_OSM_TAGS = 2048, LW_OSM_REFS = 131072 }; /* of one element */

/* As above; NODES and BOXES go before the rows where the file is out of order. */
typedef enum lw_osm_pass { LW_OSM_AREAS = 0, LW_OSM_MEMBERS, LW_OSM_NODES, LW_OSM_BOXES, LW_OSM_ROWS } lw_osm_pass;

typedef struct lw_osm_gather {
    const lw_spots_run *run;
    lw_osm_pass pass;
    lw_osm_set corners, ways;
    size_t road_refs[LW_ROAD_CLASS_COUNT]; /* corners, */
    long road_ways[LW_ROAD_CLASS_COUNT];   /* and how many they are */
    int road_classes;                      /* of these there is room */
    lw_osm_what last;                      /* met */
    int is_out_of_order;
    int is_road; /* the way at hand was put as one */
} lw_osm_gather;

/* Whether this going through needs elements of a kind; told of each kind as it is met. */
int lw_osm_wants(lw_osm_gather *gather, lw_osm_what what);
lw_code lw_osm_take(lw_osm_gather *gather, const lw_osm_element *element);

/* What is kept of a node; all bits set, a point in the sea, stands for "not met". */
typedef struct lw_osm_corner {
    int32_t latitude_e7, longitude_e7;
} lw_osm_corner;
const lw_osm_corner *lw_osm_corner_of(lw_osm_gather *gather, int64_t id); /* NULL: not met */
lw_code lw_osm_note(const lw_osm_gather *gather, lw_osm_set *to, int64_t id);

/* Roads: counted in the first going through, their corners noted in the next for the classes that have room, put with the rows. */
void lw_osm_road_count(lw_osm_gather *gather, const lw_osm_element *way);
void lw_osm_road_room(lw_osm_gather *gather);
lw_code lw_osm_road_note(lw_osm_gather *gather, const lw_osm_element *way);
lw_code lw_osm_road_put(lw_osm_gather *gather, const lw_osm_element *way);

typedef lw_code lw_osm_reader(const lw_spots_run *run, lw_osm_gather *gather);
lw_osm_reader lw_osm_xml, lw_osm_pbf;

#endif
