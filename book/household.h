/* book/household.h: rigs, crews, places and stays.
 *
 * Documents are kept as the text of the sections of a scenario (docs/use/scenario.md), which the scenario's own reader
 * checks: the book holds text, names and what it must search by.
 * Put       id 0: the row of that name is replaced, or a new one made (a stay, which has no name, is always new); another
 *           id: that row is replaced. The id is filled in.
 * List      all rows in the order they were made, or those that the key names; none is an empty list, not a failure.
 * Errors    as book/book.h; LW_E_MISSING an id that is not there, LW_E_CONFLICT a name that another row has. */
#ifndef LW_BOOK_HOUSEHOLD_H
#define LW_BOOK_HOUSEHOLD_H

#include <stddef.h>
#include <stdint.h>

#include "book/book.h"
#include "core/base/err.h"
#include "core/land/distance.h"

typedef struct lw_kept_doc {
    int64_t id;
    const char *name, *doc;
} lw_kept_doc;

typedef struct lw_kept_place {
    int64_t id;
    const char *name;
    double latitude_deg, longitude_deg; /* north and east positive */
    double elevation_m;                 /* NaN: not known */
    const char *zone, *manager;         /* NULL: not known */
    const char *doc;                    /* the rest of the section, "" without */
} lw_kept_place;

typedef struct lw_kept_stay {
    int64_t id;
    int64_t place, rig, crew;
    int64_t arrival_s;
    int64_t departure_s; /* the wished end; LW_NO_TIME: none */
    int64_t left_s;      /* LW_NO_TIME: still there */
    const char *doc;     /* the section `stay`, and any section that is of this stay alone */
    const char *summary; /* what it was like, as JSON, once it is over; NULL: none */
} lw_kept_stay;

typedef struct lw_kept_key {
    int64_t id;          /* 0: any */
    const char *name;    /* NULL: any; stays have none */
    const char *alike;   /* the same whatever the case of its plain letters */
    const lw_spot *near; /* NULL: anywhere; places alone lie somewhere */
    double within_m;     /* of it; some that are a little farther come too */
} lw_kept_key;

typedef struct lw_kept_docs {
    lw_kept_doc *doc;
    size_t count;
    struct lw_texts *texts;
} lw_kept_docs;

typedef struct lw_kept_places {
    lw_kept_place *place;
    size_t count;
    struct lw_texts *texts;
} lw_kept_places;

typedef struct lw_kept_stays {
    lw_kept_stay *stay;
    size_t count;
    struct lw_texts *texts;
} lw_kept_stays;

void lw_kept_docs_clear(lw_kept_docs *docs);
void lw_kept_places_clear(lw_kept_places *places);
void lw_kept_stays_clear(lw_kept_stays *stays);

LW_MUST_USE lw_code lw_book_put_rig(lw_book *book, lw_kept_doc *rig, lw_err *err);
LW_MUST_USE lw_code lw_book_put_crew(lw_book *book, lw_kept_doc *crew, lw_err *err);
LW_MUST_USE lw_code lw_book_put_place(lw_book *book, lw_kept_place *place, lw_err *err);
LW_MUST_USE lw_code lw_book_put_stay(lw_book *book, lw_kept_stay *stay, lw_err *err);

/* key NULL: all. */
LW_MUST_USE lw_code lw_book_list_rigs(lw_book *book, const lw_kept_key *key, lw_kept_docs *docs, lw_err *err);
LW_MUST_USE lw_code lw_book_list_crews(lw_book *book, const lw_kept_key *key, lw_kept_docs *docs, lw_err *err);
LW_MUST_USE lw_code lw_book_list_places(lw_book *book, const lw_kept_key *key, lw_kept_places *places, lw_err *err);
LW_MUST_USE lw_code lw_book_list_stays(lw_book *book, const lw_kept_key *key, lw_kept_stays *stays, lw_err *err);

/* Takes a stay without entries out of the book, with its forecasts; LW_E_CONFLICT where anything else refers to it. */
LW_MUST_USE lw_code lw_book_drop_stay(lw_book *book, int64_t id, lw_err *err);

/* Takes a place out of the book, with the weather kept for it; LW_E_CONFLICT where a stay was there. */
LW_MUST_USE lw_code lw_book_drop_place(lw_book *book, int64_t id, lw_err *err);

/* The stay with the latest arrival of those that have begun by now_s and are not left: a list of one, or none. */
LW_MUST_USE lw_code lw_book_current_stay(lw_book *book, int64_t now_s, lw_kept_stays *stays, lw_err *err);

#endif
