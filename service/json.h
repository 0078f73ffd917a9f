/* service/json.h: building JSON with jansson without a check behind every line.
 *
 * A builder remembers that memory ran out somewhere; the text is then refused as a whole. */
#ifndef LW_SERVICE_JSON_H
#define LW_SERVICE_JSON_H

#include <stdint.h>

#include <jansson.h>

#include "core/base/civil.h"
#include "exchange/scenario.h"
#include "service/prices.h"

typedef struct lw_json {
    int has_failed;
    const lw_zone *zone; /* for civil texts */
    int is_12_hour;
} lw_json;

json_t *lw_json_object(lw_json *j);
json_t *lw_json_array(lw_json *j);
void lw_json_put(lw_json *j, json_t *object, const char *key, json_t *value); /* takes value over; NULL is a failure */
void lw_json_add(lw_json *j, json_t *array, json_t *value);
void lw_json_text(lw_json *j, json_t *object, const char *key, const char *text); /* NULL or empty: null; bytes that
                                                                                     are no UTF-8 become '?' */
void lw_json_flag(lw_json *j, json_t *object, const char *key, int is_so);
void lw_json_count(lw_json *j, json_t *object, const char *key, int64_t count);
/* To so many decimals; NaN and infinities are null, never "-0". */
void lw_json_number(lw_json *j, json_t *object, const char *key, double value, int decimals);
json_t *lw_json_real(double value, int decimals);
/* key: ISO UTC, key_civil: "Thu 18 Jun 18:40"; 0 s: both null. */
void lw_json_time(lw_json *j, json_t *object, const char *key, int64_t at_s);
/* A value that the scenario does not give: key, value, source, kind. */
json_t *lw_json_assumption(lw_json *j, const lw_assumption *assumption);
/* A list of several such lists, one after the other. */
void lw_json_assumptions(lw_json *j, json_t *list, const lw_assumption *assumption, int count);
/* What a plan stands on: its prices, then the values of the scenario that nobody said. */
void lw_json_grounds(lw_json *j, json_t *list, const lw_price_list *prices, const lw_loaded *loaded);
/* The text is the caller's; takes root over; NULL when anything failed. */
char *lw_json_finish(lw_json *j, json_t *root, int is_compact);

#endif
