/* service/pick.h: which places of the book fit a wish: by name, manager, distance, drive, services, nights, signal, and the rig.
 *
 * Wish      what is not asked for does not part anything: NaN, 0, NULL. Services: at the place, or of a map file within LW_PICK_SERVICE_M by air.
 *           Nights: the mean low of the dates by the climate of the place, where it is known. Signal: the best chance of a work day that
 *           the place says of any line, or that own tries within 1 km say, else what is predicted (service/signal_kept.h); a place of
 *           which nothing is known does not fit.
 *           Dates: closed places, and roads that are shut on one of the days, do not fit.
 * Results   lw_picks: places that fit, nearest by drive first where a start is said, else by name; and how many each wish sent away
 *           (the first that did).
 * Errors    those of the book; LW_E_FULL no memory. */
#ifndef LW_SERVICE_PICK_H
#define LW_SERVICE_PICK_H

#include "service/roads.h"

enum { LW_PICK_SERVICE_M = 25000 };

#define LW_PICK_REASONS(X)                                                                                             \
    X(NAME, "another name")                                                                                            \
    X(MANAGER, "another manager")                                                                                      \
    X(FAR, "too far")                                                                                                  \
    X(DRIVE, "too long a drive")                                                                                       \
    X(BIG, "too small for the rig, or its road too rough")                                                             \
    X(SHUT, "closed, or its road shut, then")                                                                          \
    X(NIGHT, "nights too cold or too warm")                                                                            \
    X(SIGNAL, "too little signal, or none known")                                                                      \
    X(SERVICE, "without what is asked for near by")
typedef enum lw_pick_reason {
#define LW_PICK_ID(id, word) LW_PICK_##id,
    LW_PICK_REASONS(LW_PICK_ID) LW_PICK_REASON_COUNT
#undef LW_PICK_ID
} lw_pick_reason;
const char *lw_pick_reason_word(lw_pick_reason reason);

typedef struct lw_pick_wish {
    const char *name, *manager; /* parts of them, whatever the case */
    int has_from;
    lw_spot from;
    double from_m;             /* its height; NaN */
    double within_m, within_s; /* by air; by the usual drive */
    unsigned services;         /* bits of lw_spot_kind */
    double night_low_c, night_high_c, signal_frac;
    double length_m;              /* of a rig, instead of that of the book; NaN */
    int64_t first_day, until_day; /* nights from the first to before the last; LW_NO_DAY: no dates */
    int is_shut_too;              /* on some of the dates; else such places do not fit */
    int is_any_size;              /* places that are too small for the rig fit too */
    int is_any;                   /* all fit: only what is known of them is wanted */
    /* Of the signal that has to be predicted (service/signal_kept.h); NULL: nobody looks. */
    int (*tell)(void *with, int done, int of);
    void *with;
} lw_pick_wish;
lw_pick_wish lw_pick_wish_none(void);

typedef enum lw_chance_by { LW_CHANCE_UNKNOWN = 0, LW_CHANCE_SAID, LW_CHANCE_TRIED, LW_CHANCE_PREDICTED } lw_chance_by;

const char *lw_chance_by_word(lw_chance_by by); /* NULL: nothing is known */

typedef struct lw_pick {
    int camp;                      /* in the list of places */
    lw_road road;                  /* where a start is said */
    double night_c, day_c;         /* mean low and high of the dates; NaN: no dates, or no climate */
    double signal_frac, room_frac; /* NaN: not known; room on the first day */
    lw_chance_by signal_by;
} lw_pick;

typedef struct lw_picks {
    lw_pick *pick; /* owned */
    int count, sent_away[LW_PICK_REASON_COUNT];
} lw_picks;

LW_MUST_USE lw_code lw_picks_make(lw_book *book, const lw_camps *camps, lw_roads *roads, const lw_pick_wish *wish,
                                  lw_picks *picks, lw_err *err);
void lw_picks_clear(lw_picks *picks); /* twice is fine, and so are zeros */

/* "Sent away: 3 too far, 1 closed ...". Empty where none was. Gives buf. */
char *lw_picks_say_away(const lw_picks *picks, char *buf, size_t n);

/* docs/pick.schema.json; the caller's text (free), NULL: no memory. */
char *lw_picks_json(const lw_camps *camps, const lw_picks *picks, const char *version);

#endif
