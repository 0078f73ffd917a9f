/* service/outlook_json.h: an outlook as JSON, "schema": "leeway.outlook/1", described in docs/outlook.schema.json.
 *
 * The one codec: command line, server and phone build write with it. Keys end in their unit; times stand as ISO 8601 UTC
 * and as civil text; what is not known is null; a number never has a decimal comma nor more digits than mean something.
 * Errors    LW_E_FULL no memory; those of service/words.h. */
#ifndef LW_SERVICE_OUTLOOK_JSON_H
#define LW_SERVICE_OUTLOOK_JSON_H

#include "service/outlook.h"
#include "service/words.h"

typedef struct lw_json_options {
    lw_words_choice choice;
    int wants_assumptions;
    int wants_series;    /* hourly rows; the answer must hold them */
    int is_compact;      /* one line, for batches */
    const char *version; /* of the program; NULL: "unknown" */
} lw_json_options;

/* The text is the caller's (free); one line feed at its end. NULL on failure. */
LW_MUST_USE lw_code lw_outlook_json(const lw_outlook_answer *answer, const lw_json_options *options, char **text,
                                    lw_err *err);

/* A failure as JSON: {"schema": "leeway.error/1", "code": .., "where": .., "text": ..}; the caller's, NULL: no memory. */
char *lw_err_json(const lw_err *failure, int is_compact);

#endif
