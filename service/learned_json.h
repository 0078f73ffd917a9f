/* service/learned_json.h: what the household's readings say, as JSON: "schema": "leeway.learned/1".
 *
 * By group of use: times the table, assumed and learned; by vessel: what is in it now; then what would help most. Bands are
 * P10, P50, P90. Amounts in SI.
 * Errors    LW_E_FULL no memory; LW_E_MISSING an answer that learned nothing; those of service/words.h. */
#ifndef LW_SERVICE_LEARNED_JSON_H
#define LW_SERVICE_LEARNED_JSON_H

#include "service/learning.h"
#include "service/words.h"

/* The text is the caller's (free). */
LW_MUST_USE lw_code lw_learned_json(const lw_outlook_answer *answer, const lw_words_choice *choice, const char *version,
                                    char **text, lw_err *err);

#endif
