/* service/camps.h: the places of the book, with what is known of each: to list, add, change and forget.
 *
 * Load      lw_camps_load: all of them as structs. One whose text this version cannot read is left out and counted.
 * Add       lw_camp_add: a name and a spot, with changes as exchange/about.h takes them. The name must be new. What may be the same place
 *           is told (`same`): a place of the book, or a camp of a map file, within 200 m, or within 5 km under nearly the same name. Nothing is
 *           ever merged. What is not said is looked up: the height in the terrain tiles that the last stay names, its zone, and whose
 *           land it is in maps of land managers (service/land_at.h), where the point is clear of their borders. The usual rule of that
 *           manager is told, not taken: the local office knows.
 * Change    lw_camp_edit: changes to one, by its name; stays that were there keep what it was.
 * Forget    lw_camp_forget: LW_E_CONFLICT where a stay was there. lw_camp_recall: the one that was forgotten last, whole, with its photos'
 *           paths, permits and terrain; LW_E_MISSING: that was another.
 * Errors    those of exchange/about.h and book/book.h; LW_E_MISSING no place of that name, with the nearest one. All or nothing. */
#ifndef LW_SERVICE_CAMPS_H
#define LW_SERVICE_CAMPS_H

#include "book/book.h"
#include "exchange/about.h"

enum { LW_CAMPS_SAME = 8 };

typedef struct lw_camp {
    int64_t id;
    char zone[48]; /* empty: not known */
    lw_place_facts facts;
} lw_camp;

typedef struct lw_camps {
    lw_camp *camp; /* owned */
    int count, unread;
} lw_camps;

LW_MUST_USE lw_code lw_camps_load(lw_book *book, lw_camps *camps, lw_err *err);
void lw_camps_clear(lw_camps *camps); /* twice is fine, and so are zeros */

const lw_camp *lw_camps_named(const lw_camps *camps, const char *name); /* whatever the case; NULL: none */
/* The same with a sentence that names the nearest. */
LW_MUST_USE lw_code lw_camps_find(const lw_camps *camps, const char *name, const lw_camp **camp, lw_err *err);

typedef struct lw_camp_same {
    char name[LW_NAME * 2], source[LW_ABOUT_WORDS]; /* source: of a map file; empty: a place of the book */
    double way_m;
} lw_camp_same;

typedef struct lw_camp_put {
    int64_t id;
    lw_camp_same same[LW_CAMPS_SAME];
    int same_count;
    double elevation_m; /* add: found in the terrain tiles; NaN: said, or not found */
    char manager[LW_ABOUT_WORDS *
                 4]; /* add: whose land it is by a map file, with its usual rule; empty: said, or not found */
} lw_camp_put;

typedef struct lw_camp_order {
    const char *name;
    lw_spot spot;       /* add */
    double elevation_m; /* add; NaN: not known */
    const char *zone;   /* add; NULL: not known */
    const char *const *change;
    int change_count;
    int64_t now_s;
} lw_camp_order;

LW_MUST_USE lw_code lw_camp_add(lw_book *book, const lw_camp_order *order, lw_camp_put *put, lw_err *err);
LW_MUST_USE lw_code lw_camp_edit(lw_book *book, const lw_camp_order *order, lw_camp_put *put, lw_err *err);
LW_MUST_USE lw_code lw_camp_forget(lw_book *book, const char *name, lw_err *err);
LW_MUST_USE lw_code lw_camp_recall(lw_book *book, const char *name, lw_camp_put *put, lw_err *err);

/* What may be the same as a place of the book, into `put`. */
LW_MUST_USE lw_code lw_camp_look_for_same(lw_book *book, const lw_camp *camp, lw_camp_put *put, lw_err *err);

/* Whether the book has a place of that name, whatever the case, be its text readable or not. */
LW_MUST_USE lw_code lw_camp_is_there(lw_book *book, const char *name, int *is_there, lw_err *err);

/* A whole section `place` of elsewhere into the book, under its own name; what the book has of that name is LW_E_CONFLICT. */
LW_MUST_USE lw_code lw_camp_take(lw_book *book, const char *section, int64_t now_s, lw_camp_put *put, lw_err *err);

#endif
