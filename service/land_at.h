/* service/land_at.h: whose land a point is, by the maps in the book, and which stay rule usually goes with that manager.
 *
 * Results   the areas that hold the point, the smallest first, each with the row of data/stay_rules.csv that data/land_managers.csv
 *           names for its manager. A map tells who manages, never whether staying is allowed: lw_land_ask says so and is part of
 *           every answer.
 * Errors    LW_E_RANGE a point that is not on earth; those of book/lands.h. */
#ifndef LW_SERVICE_LAND_AT_H
#define LW_SERVICE_LAND_AT_H

#include "book/lands.h"

/* Nearer than this to a border the map alone does not tell the side: the thinning of borders, a position's error and the map's own. */
#define LW_LAND_NEAR_M 100.0

/* What the tables have for one of the areas; "" where they have nothing. */
typedef struct lw_land_told {
    const char *title, *note; /* of the manager */
    const char *rule, *rule_title, *rule_authority, *rule_note, *rule_source, *rule_kind;
    int has_number; /* the rule says how many days */
} lw_land_told;

typedef struct lw_land_here {
    lw_spot spot;
    lw_kept_lands lands;
    lw_land_told *told; /* one a land */
    int64_t known;      /* areas in the book at all */
    struct lw_land_tables *tables;
} lw_land_here;

LW_MUST_USE lw_code lw_land_at(lw_book *book, lw_spot spot, lw_land_here *here, lw_err *err);
void lw_land_here_clear(lw_land_here *here); /* twice is fine, and so are zeros */

/* Of land i: "Bureau of Land Management, Price Field Office" */
enum { LW_LAND_LINE = 512 };
char *lw_land_say(const lw_land_here *here, size_t i, char buf[LW_LAND_LINE]);
/* "open", "closed", "with restrictions" or the map's own word; "" where it does not say. */
const char *lw_land_access_say(const lw_kept_land *land);
const char *lw_land_ask(const lw_land_here *here);

/* The caller's text (free), NULL: no memory. docs/land.schema.json. */
char *lw_land_json(const lw_land_here *here, const char *version);

#endif
