/* service/household.h: between a scenario file and the book: a household's rig, crew, place and stay.
 *
 * Begin     lw_household_begin: a scenario, read and checked whole, goes into the book by its sections; a rig, crew or place
 *           of the same name is described anew, and stays of before keep what it was; the stay is new unless one of that
 *           arrival is going on. Another stay that is still open ends where the new one begins. Files that the weather names
 *           are named from the root afterwards.
 * Load      lw_household_load: the scenario of the current stay, put together again: from its arrival, or from a later moment
 *           on. The earlier stays of the book and their permits count for the limit of this one. A wished departure that is over is no wish any more: loaded.overdue_s has
 *           it. Where what the scenario says does not reach so far past it, the refusal says that the stay is over.
 * Maps      What the text leaves open, the maps in the book say (service/place_known.h): the skyline, the usual stay rule. Earlier
 *           stays that by them were on the land of somebody else do not count (service/stays.h).
 * Moved     Where camp was moved within the stay to a place that the book knows (by that name, whatever the case), the scenario
 *           is of that place from then on; the limit of the stay counts from the arrival all the same.
 * Errors    those of exchange/scenario.h and book/book.h; LW_E_MISSING where the book has no stay that is going on. All or
 *           nothing. */
#ifndef LW_SERVICE_HOUSEHOLD_H
#define LW_SERVICE_HOUSEHOLD_H

#include "book/household.h"
#include "exchange/scenario.h"

typedef struct lw_begun {
    int64_t rig, crew, place, stay;
    char rig_name[LW_NAME], place_name[LW_NAME];
    int64_t arrival_s, departure_s; /* departure 0: none wished */
    int64_t ended_stay;             /* that was open until now; 0: none */
    int is_same;                    /* the open stay began then: it is described anew and keeps its readings */
    lw_zone zone;
} lw_begun;

LW_MUST_USE lw_code lw_household_begin(lw_book *book, const char *path, int64_t now_s, lw_begun *begun, lw_err *err);

/* The same of a scenario in memory, with changes to its keys. */
LW_MUST_USE lw_code lw_household_begin_from(lw_book *book, const lw_scenario_from *from, lw_begun *begun, lw_err *err);

/* The stay that goes on described anew, with changes to its keys: it keeps its readings. */
LW_MUST_USE lw_code lw_household_change(lw_book *book, int64_t now_s, const char *const *change, int change_count,
                                        lw_err *err);

/* Of a scenario (or changes alone, without bytes) that came from another device: it must not make this machine open files by
 * name, but those that the current stay names already. LW_E_CONFLICT. */
LW_MUST_USE lw_code lw_household_want_no_files(lw_book *book, const lw_scenario_from *from, lw_err *err);

/* That no stay goes on; LW_E_MISSING. */
lw_code lw_household_no_stay(lw_err *err);

/* The current stay's scenario as text, the caller's (free). */
LW_MUST_USE lw_code lw_household_scenario(lw_book *book, int64_t now_s, char **text, lw_err *err);

typedef struct lw_household {
    int64_t rig, crew, place, stay;
    int64_t arrival_s;
    uint64_t
        words_hash;  /* names what the book says of rig, crew, place and stay: the same as long as nobody changes it */
    int64_t moved_s; /* when camp was moved to `place` within the stay; 0: it was not */
    lw_loaded loaded;
} lw_household;

/* begin_s 0: from the arrival. Cleared by lw_household_clear; on failure nothing is owned. */
LW_MUST_USE lw_code lw_household_load(lw_book *book, int64_t now_s, int64_t begin_s, lw_household *household,
                                      lw_err *err);
/* The same with changes to its keys and, unless NULL, another wished departure, both as typed. */
LW_MUST_USE lw_code lw_household_load_changed(lw_book *book, int64_t now_s, int64_t begin_s, const char *until,
                                              const char *const *change, int change_count, lw_household *household,
                                              lw_err *err);
/* The stay that goes on, or where none does the last that did: what was logged in it is still told, and paid for. */
LW_MUST_USE lw_code lw_household_load_last(lw_book *book, int64_t now_s, lw_household *household, lw_err *err);
/* As if camp had not been moved. */
LW_MUST_USE lw_code lw_household_load_came(lw_book *book, int64_t now_s, int64_t begin_s, lw_household *household,
                                           lw_err *err);
/* *place 0: the book knows none of that name. */
LW_MUST_USE lw_code lw_household_place_named(lw_book *book, const char *name, int64_t *place, lw_err *err);
/* A place of that name at "LAT,LON" or "LAT,LON,ELEVATION", in the zone of where camp stands now; nothing else is known of it. */
LW_MUST_USE lw_code lw_household_put_place(lw_book *book, const lw_household *now, const char *name, const char *where,
                                           lw_err *err);
/* What the tiles say of where one is now is kept, so that they are not opened for every question; nothing to keep is no error. */
void lw_household_keep_ground(lw_book *book, int64_t now_s);
void lw_household_clear(lw_household *household); /* twice is fine, and so are zeros */

#endif
