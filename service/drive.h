/* service/drive.h: one drive between two places, as an answer.
 *
 * Asks      names of places of the book, or spots. The heights of both ends come from the book, for the climb.
 * Answers   the way and its fuel (service/roads.h); lines for people; JSON as docs/drive.schema.json, in SI units.
 * Engine    lw_drive_engine_set: which routing engine the book asks from now on; "none": no more.
 * Errors    those of service/roads.h and exchange/router.h. */
#ifndef LW_SERVICE_DRIVE_H
#define LW_SERVICE_DRIVE_H

#include "service/roads.h"

enum { LW_DRIVE_LINES = 6 };

typedef struct lw_drive_ask {
    const char *from, *to;
    int64_t now_s;
} lw_drive_ask;

typedef struct lw_drive_answer {
    char from[LW_ABOUT_WORDS], to[LW_ABOUT_WORDS];
    lw_spot from_spot, to_spot;
    double from_m, to_m; /* heights; NaN: not known */
    lw_road road;
    lw_road_fuel fuel;
    double speed_ms; /* wished */
    char note[LW_ROADS_NOTE];
} lw_drive_answer;

LW_MUST_USE lw_code lw_drive_make(lw_book *book, const lw_drive_ask *ask, lw_drive_answer *answer, lw_err *err);
LW_MUST_USE lw_code lw_drive_engine_set(lw_book *book, const char *engine, lw_err *err);

/* Gives how many. */
int lw_drive_say(const lw_drive_answer *answer, lw_unit_system units, char line[LW_DRIVE_LINES][LW_ROADS_NOTE]);
/* The caller's text (free), NULL: no memory. */
char *lw_drive_json(const lw_drive_answer *answer, const char *version);

#endif
