/* service/what_if.h: two outlooks of one camp compared: what a change gains or costs.
 *
 * Results   a row a supply that either has: P50 days before and after, their difference. An end beyond the horizon is only
 *           known to be later, so its difference carries ">=" or, the other way, "<=" and never an invented number.
 * Errors    none. Both answers must have the same start; comparing other ones means nothing. */
#ifndef LW_SERVICE_WHAT_IF_H
#define LW_SERVICE_WHAT_IF_H

#include "service/outlook.h"
#include "service/words.h"

typedef enum lw_bound {
    LW_BOUND_EXACT = 0,
    LW_BOUND_AT_LEAST, /* the true difference is this or more */
    LW_BOUND_AT_MOST,  /* this or less (a loss of at least so much) */
    LW_BOUND_UNKNOWN,  /* both beyond the horizon, or only one has the supply */
} lw_bound;

typedef struct lw_what_if_row {
    lw_supply supply;
    int had, has; /* present before, after */
    double before_days, after_days;
    int before_is_beyond, after_is_beyond;
    double difference_days; /* after - before; 0 where UNKNOWN */
    lw_bound bound;
    char before[64], after[64], difference[64]; /* "4.1", ">= 60", "+2.3", ">= +55.9", "same" */
    char sentence[LW_SENTENCE];
} lw_what_if_row;

typedef struct lw_what_if {
    lw_what_if_row row[LW_SUPPLY_COUNT]; /* what ends first after the change on top */
    int row_count;
    int binding_before, binding_after;        /* lw_supply or -1 */
    double stay_before_days, stay_after_days; /* until the binding end or the horizon */
    int stay_before_is_beyond, stay_after_is_beyond;
    char headline[LW_SENTENCE];
} lw_what_if;

void lw_what_if_make(const lw_outlook_answer *before, const lw_outlook_answer *after, const lw_words_choice *choice,
                     lw_what_if *out);

/* An assumption of one camp that the other does not make: the change gives it, takes it away or makes it another. */
int lw_is_assumed_only_in(const lw_loaded *one, int assumption, const lw_loaded *other);

typedef struct lw_what_if_json_options {
    const lw_outlook_answer *before, *after;
    const char *const *change; /* "rig.solar=800 W" */
    int change_count;
    int wants_assumptions; /* those of either camp alone; what both assume is only counted */
    int is_compact;
    const char *version; /* of the program; NULL: "unknown" */
} lw_what_if_json_options;

/* "schema": "leeway.what-if/1", docs/what-if.schema.json; the text is the caller's (free), NULL: no memory. */
char *lw_what_if_json(const lw_what_if *what_if, const lw_what_if_json_options *options);

#endif
