/* service/hand.h: places handed to friends as one small file, without a network, and taken in again.
 *
 * Form      YAML: leeway_places: 1; from: who hands them over (may be left out); places: a list of sections `place`, with the keys of
 *           docs/use/scenario.md. What names files of one machine (terrain, towers, coverage, photos), permits and a deadline are left out.
 * Gives     lw_hand_over: that file as text; short enough for a QR code where it is one place with few words. lw_hand_geojson: points
 *           (RFC 7946) for any map, with name, kind, manager, fee and notes.
 * Takes     lw_hand_take: all or nothing; what the book has under the same name stays as it is and is told; what may be the same place is
 *           told, never merged. Who handed it over is kept as who recommended it, where the file names nobody else.
 * Errors    one sentence with line: LW_E_SYNTAX another form or version; those of exchange/about.h; LW_E_MISSING a name the book does not have.
 * Limits    LW_HAND_PLACES places a file; those of exchange/yaml_tree.h. */
#ifndef LW_SERVICE_HAND_H
#define LW_SERVICE_HAND_H

#include "service/camps.h"

enum { LW_HAND_PLACES = 200 };

/* names: of the book; the caller's text (free). from NULL: nobody is named. */
LW_MUST_USE lw_code lw_hand_over(lw_book *book, const char *const *names, int count, const char *from, int64_t now_s,
                                 char **text, lw_err *err);
LW_MUST_USE lw_code lw_hand_geojson(lw_book *book, const char *const *names, int count, char **text, lw_err *err);

typedef struct lw_handed_place {
    char name[LW_NAME];
    int is_there; /* the book has one of that name: left as it is */
    lw_camp_put put;
} lw_handed_place;

typedef struct lw_handed {
    char from[LW_ABOUT_WORDS];
    lw_handed_place place[LW_HAND_PLACES];
    int count, taken;
} lw_handed;

LW_MUST_USE lw_code lw_hand_take(lw_book *book, const char *name, const char *bytes, size_t size, int64_t now_s,
                                 lw_handed *handed, lw_err *err);

#endif
