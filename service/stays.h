/* service/stays.h: the stays of the book in civil days, with the land they were on and the permits that were written down.
 *
 * Computes   from the rows of stays and places: day of arrival and of departure by the clock of the place; the present day where
 *            the stay goes on. Permits, and stays of before the book, stand in the sections of places and stays; every one that
 *            has any is read.
 * Results    lw_book_stays, by arrival. Stays that are still to come are not among them.
 * Errors     those of book/book.h and exchange/scenario.h. */
#ifndef LW_SERVICE_STAYS_H
#define LW_SERVICE_STAYS_H

#include "book/household.h"
#include "exchange/scenario.h"

enum { LW_MAP_MANAGER = 24 };

typedef struct lw_book_stay {
    int64_t id, place; /* rows */
    char place_name[LW_NAME], manager[LW_NAME];
    char zone[48];
    lw_spot spot;
    int64_t arrival_s, departure_s; /* departure: the wished one, LW_NO_TIME: none */
    int64_t left_s;                 /* LW_NO_TIME: it goes on */
    int64_t arrival_day, departure_day;
    char by_map
        [LW_MAP_MANAGER]; /* of data/land_managers.csv, by the maps of the book; empty: they do not say, or not for sure */
} lw_book_stay;

/* Whose land a place is: as its text says, and by the maps. */
typedef struct lw_land_of {
    lw_spot spot;
    char manager[LW_NAME], by_map[LW_MAP_MANAGER];
} lw_land_of;

typedef struct lw_book_stays {
    lw_book_stay *stay; /* owned */
    int count;
    lw_named_permit permit[LW_PERMITS]; /* the newest */
    int permit_count;
    lw_named_stay *before; /* owned: stays of before the book, place -1 */
    int before_count;
    int unread; /* stays with permits or earlier stays whose text this version cannot read any more */
} lw_book_stays;

LW_MUST_USE lw_code lw_stays_gather(lw_book *book, int64_t now_s, lw_book_stays *stays, lw_err *err);
void lw_stays_clear(lw_book_stays *stays); /* twice is fine, and so are zeros */

/* Those with an arrival before `before_s`, without row `but`, and those of before the book, as a reader of scenarios and a ledger take them: owned by the
 * caller (free). place is the index in stays, -1 of before the book. NULL: no memory. Without those that by the maps are on another
 * manager's land than `here`, where not both say in words whose theirs is; here NULL: with all. */
lw_named_stay *lw_stays_named(const lw_book_stays *stays, int64_t before_s, int64_t but, const lw_land_of *here,
                              int *count);
/* Of a place of the book, by its row. */
LW_MUST_USE lw_code lw_stays_land_of(lw_book *book, int64_t place, lw_land_of *land, lw_err *err);

/* Who manages the land of a spot by the maps, an id of data/land_managers.csv, where the spot is clear of the border; else empty. */
LW_MUST_USE lw_code lw_stays_by_map(lw_book *book, lw_spot spot, char by_map[LW_MAP_MANAGER], lw_err *err);

/* The scenario of a stay of the book as text, put together of its sections: owned by the caller (free). What a stay keeps of
 * its own stands in for the row that has been described anew since. */
LW_MUST_USE lw_code lw_stay_text(lw_book *book, const lw_kept_stay *stay, char **text, lw_err *err);

/* The same with arrival and wished departure in it: a scenario that leeway outlook takes. */
LW_MUST_USE lw_code lw_stay_scenario(lw_book *book, const lw_kept_stay *stay, char **text, lw_err *err);

/* Before a row of the rig, the crew or the place is described anew: every other stay that refers to it takes the old text for
 * its own. `section` is its key: "rig", "crew", "place". */
LW_MUST_USE lw_code lw_stays_keep_section(lw_book *book, const char *section, int64_t row, const char *old, int64_t but,
                                          lw_err *err);

#endif
