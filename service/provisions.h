/* service/provisions.h: what to bring to a stay, and which room to have empty, so that it lasts with the wished confidence.
 *
 * Inputs    how the scenario is loaded (service/trial.h), with a wished departure; the confidence.
 * Results   lw_provisions: a row a supply that can be brought or dumped: what the stay takes of it, what to have in the vessels
 *           on arrival, what does not fit; bags; the mass of it all against the payload; and, apart, what cannot be brought
 *           (battery, days allowed, what is refilled on the way) with its chance.
 * Model     Each supply's own course (core/sim/ensemble.h) is asked for in `draws` draws. One share of them, the same for all supplies,
 *           is taken so that in the aimed share of draws all are enough at once; amounts are rounded up to whole
 *           gallons, litres, pounds, kilograms, bags. The stay is then run again with exactly these amounts in its vessels, what
 *           does not fit in vessels of its own; the chance is measured on `fresh` draws that chose nothing; where it falls short
 *           of the wish the aim is raised.
 * Errors    LW_E_MISSING no departure is wished; LW_E_RANGE a confidence outside 0.5..0.99; those of the scenario.
 * Limits    a supply that is refilled or dumped within the stay is not counted out: arrive full (or dumped), and its chance is
 *           told. Mass has no axles (service/cargo.h). With a book levels are as said here and the household as learned. */
#ifndef LW_SERVICE_PROVISIONS_H
#define LW_SERVICE_PROVISIONS_H

#include "service/cargo.h"
#include "service/trial.h"
#include "service/words.h"

enum { LW_PROVISION_DRAWS_USUAL = 1000, LW_PROVISION_FRESH = 10000 };

typedef struct lw_provisions_wish {
    double confidence_frac; /* 0.5 .. 0.99 */
    int draws, fresh;       /* 0: the usual */
    lw_words_choice choice;
} lw_provisions_wish;

/* Amounts in the supply's unit. */
typedef struct lw_provision {
    int is_there;            /* the rig has vessels for it, and something is asked of it or it can be told */
    int is_counted;          /* by amounts; otherwise only its chance is told */
    int is_refilled;         /* within the stay */
    double middle, sure;     /* what the stay takes: half of the draws, and what is planned for */
    double capacity;         /* of the vessels */
    double level;            /* in them on arrival: at least, for what empties; at most, for what fills */
    double more;             /* does not fit: to bring apart, or room that is missing */
    double mass_kg;          /* on arrival, with `more` of what empties */
    double lasts_frac;       /* measured */
    char list[LW_SENTENCE];  /* of the filling and shopping list; empty: nothing to do */
    char carry[LW_SENTENCE]; /* what cannot be carried; empty: all fits */
    char given[LW_SENTENCE]; /* not counted: how far it lasts as it is */
    char why[LW_SENTENCE];   /* where the figures come from */
} lw_provision;

typedef struct lw_provisions {
    lw_provisions_wish wish;
    int64_t start_s, departure_s;
    uint64_t seed;
    int draws, fresh_draws, tightened, is_reached;
    double aimed_frac, fresh_frac;
    lw_provision supply[LW_SUPPLY_COUNT];
    int bags; /* to have; 0: none */
    lw_cargo cargo;
    double arriving_kg, leaving_kg; /* people and gear with it; leaving by the middle of the draws */
    double over_kg;                 /* of the heavier of both above the payload; 0: none; NaN: no payload is known */
    char headline[LW_SENTENCE], measured[LW_SENTENCE], mass[LW_SENTENCE];
} lw_provisions;

/* trials: load, with, seed and threads are set; the rest is filled and cleared here. */
LW_MUST_USE lw_code lw_provisions_make(lw_trials *trials, const lw_provisions_wish *wish, lw_provisions *provisions,
                                       lw_err *err);

/* "schema": "leeway.provisions/1", docs/provisions.schema.json; the text is the caller's (free), NULL: no memory. */
char *lw_provisions_json(const lw_provisions *provisions, const lw_loaded *loaded, const char *version);

/* provisions_words.c: fills the sentences. */
void lw_provisions_say(lw_provisions *to, const lw_loaded *loaded);

#endif
