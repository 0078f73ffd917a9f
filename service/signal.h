/* service/signal.h: will the household's lines carry a work day at a place.
 *
 * Asks      lw_signal_ask: the place, its lines, its antenna, what a work day needs, and where evidence is: terrain tiles, a list
 *           of masts, published coverage, own measurements. Any of them may be missing.
 * Answers   for each carrier three kinds of evidence apart and what they say together (core/land/belief.h), the level that the work
 *           day needs, the chance; and the chance that at least one line of the household works. NaN: nothing is known.
 * Carriers  a line of the household finds its measurements and coverage by name (Anycell also finds "Anycell USA"), its masts
 *           by the network's codes ("310-260"). Networks that are no line are listed too, behind the lines.
 * Masts     of a network within 40 km; each by ITU-R P.1812-8 over the tiles (core/land/radio.h), median in time and place;
 *           the strongest serves, the others disturb at half load, but for those within 1 km of it (one mast, listed
 *           twice). Assumed of each, common practice: 800 MHz, 10 MHz wide, 30 m high, 30 dBm a resource element less 5 dB for
 *           an unknown direction, four users at a time.
 * Own       readings of dBm of the last LW_SIGNAL_OWN_DAYS days within 10 km; with an antenna named they were made with the one asked
 *           about, without with a bare phone 1.5 m up. Calls and rates within 1 km count as tries of a work day.
 * Errors    those of the files' readers, with their path; LW_E_RANGE.
 * Limits    see docs/use/signal.md: honest spreads are 6 to 15 dB. Load by the hour is not in it. */
#ifndef LW_SERVICE_SIGNAL_H
#define LW_SERVICE_SIGNAL_H

#include "book/book.h"
#include "core/base/words.h"
#include "core/land/belief.h"
#include "core/land/link.h"
#include "exchange/coverage.h"
#include "exchange/scenario.h"
#include "exchange/towers.h"
#include "service/roads.h"

enum { LW_CARRIERS = 24, LW_SIGNAL_NOTES = 8, LW_SIGNAL_TEXT = 320, LW_SIGNAL_OWN_DAYS = 730, LW_NETWORK = 16 };

/* A reading of the household's own. */
typedef struct lw_own_signal {
    char carrier[LW_NAME];
    int has_antenna; /* one is named */
    lw_spot spot;
    double dbm, down_mbit, up_mbit; /* NaN: not said */
    int call;                       /* 1 yes, 0 no, -1 not said */
} lw_own_signal;

typedef struct lw_signal_line {
    char name[LW_NAME], network[LW_NETWORK];
} lw_signal_line;

typedef struct lw_signal_ask {
    char name[64]; /* of the place */
    lw_spot spot;
    const char *terrain, *towers, *coverage; /* paths; NULL or empty: none */
    int is_own_terrain; /* the folder beside the book: that it has no tile for the place is no failure */
    lw_book *book;      /* its imported masts and coverage, where no file is named; NULL: none */
    lw_signal_line line[LW_LINES_MOST];
    int line_count;
    double antenna_m, gain_dbi, cable_db;
    lw_link_rate need;
    lw_own_signal *own; /* owned: lw_signal_ask_clear */
    int own_count;
} lw_signal_ask;

typedef struct lw_carrier_signal {
    char name[LW_NAME + LW_COVERAGE_NAME], network[LW_NETWORK];
    int is_line;
    /* yours */
    int own_count, here_count, tried, worked; /* readings of dBm in all and within 100 m; work days tried within 1 km */
    double here_dbm, nearest_m;               /* mean of those here; NaN: none */
    /* published */
    lw_claim claim;
    lw_coverage coverage; /* where claimed */
    /* predicted */
    int masts;
    lw_tower best;
    double predicted_dbm, free_db, loss_db, toward_deg, disturb_dbm; /* NaN, and -INFINITY: none */
    /* together */
    lw_belief belief;
    double wanted_dbm; /* INFINITY: never */
    lw_link_rate rate; /* at the middle of the belief */
    double frac;
} lw_carrier_signal;

typedef struct lw_signal_answer {
    lw_signal_ask ask;                        /* without its `own` */
    int has_terrain, has_coverage, has_masts; /* maps of them there are */
    double unknown_frac;                      /* of the ground under the paths, where the tiles say nothing */
    long tower_rows;
    int tower_count;
    lw_carrier_signal carrier[LW_CARRIERS];
    int carrier_count;
    double any_frac; /* of the lines; of all carriers where no line is known; NaN: nothing is known */
    double sky_frac; /* of the sky above 25 deg that the land leaves; NaN: no terrain */
    char note[LW_SIGNAL_NOTES][LW_SIGNAL_TEXT];
    int note_count;
} lw_signal_answer;

/* Lines, spot and files of a scenario; the antenna and need are the caller's. */
void lw_signal_ask_of(const lw_loaded *loaded, lw_signal_ask *ask);
/* Own readings of the book, of any place. */
LW_MUST_USE lw_code lw_signal_own(lw_book *book, int64_t now_s, lw_signal_ask *ask, lw_err *err);
void lw_signal_ask_clear(lw_signal_ask *ask);

LW_MUST_USE lw_code lw_signal_make(const lw_signal_ask *ask, lw_signal_answer *answer, lw_err *err);

/* The chance of a work day by masts and published coverage of the book alone, at many spots at once, on all cores: what lw_signal_make would
 * say there had nobody measured anything. Files that the ask names are left aside, and so are its spot and own readings. NaN: nothing is known.
 * `tell`, unless NULL, gives 0 to stop: LW_E_CONFLICT. */
typedef struct lw_signal_many {
    const lw_spot *spot;
    int count;
    double *frac;  /* results */
    char *is_done; /* set for each that is through, before it is told; NULL: not wanted */
    int (*tell)(void *with, int done, int of);
    void *with;
} lw_signal_many;
LW_MUST_USE lw_code lw_signal_predict(const lw_signal_ask *ask, const lw_signal_many *many, lw_err *err);

/* The nearest spot at which each line (or, without lines, each carrier) carries the work day with a chance of at least chance_frac: the place itself, then rings of
 * 16 directions up to 35 km around, by the prediction alone, and spots where it worked before. A run may go there. */
typedef struct lw_signal_spot {
    char name[LW_NAME + LW_COVERAGE_NAME], network[LW_NETWORK];
    int is_found, is_own; /* is_own: it worked there before */
    lw_spot spot;
    double way_m, toward_deg, frac; /* by air */
} lw_signal_spot;

typedef struct lw_signal_reach {
    char name[64]; /* of the place */
    lw_spot from;
    double chance_frac;
    int has_terrain, tower_count;
    lw_signal_spot spot[LW_CARRIERS];
    int count;
} lw_signal_reach;

/* How each spot is reached, by the book's own legs and ways; road has room for LW_CARRIERS. book NULL: guessed. */
LW_MUST_USE lw_code lw_signal_roads(lw_book *book, int64_t here_s, const lw_signal_reach *reach, lw_road *road,
                                    lw_err *err);
/* docs/signal-run.schema.json; road[i]: how the i-th spot is reached, NULL: not looked for. The caller's text (free), NULL: no memory. */
char *lw_signal_reach_json(const lw_signal_reach *reach, const lw_road *road, const char *version);
LW_MUST_USE lw_code lw_signal_reach_make(const lw_signal_ask *ask, double chance_frac, lw_signal_reach *reach,
                                         lw_err *err);

/* Sentences: the headline, and of a carrier what each kind of evidence says and all together. Give buf. */
char *lw_signal_headline(const lw_signal_answer *answer, char buf[LW_SIGNAL_TEXT]);
char *lw_signal_say_own(const lw_carrier_signal *carrier, lw_unit_system units, char buf[LW_SIGNAL_TEXT]);
char *lw_signal_say_published(const lw_signal_answer *answer, const lw_carrier_signal *carrier,
                              char buf[LW_SIGNAL_TEXT]);
char *lw_signal_say_predicted(const lw_signal_answer *answer, const lw_carrier_signal *carrier, lw_unit_system units,
                              char buf[LW_SIGNAL_TEXT]);
char *lw_signal_say_together(const lw_carrier_signal *carrier, char buf[LW_SIGNAL_TEXT]);

/* docs/signal.schema.json; the caller's text (free), NULL: no memory. */
char *lw_signal_json(const lw_signal_answer *answer, const char *version);

#endif
