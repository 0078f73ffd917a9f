/* service/log_internal.h: what the files log*.c share: names of a rig's things, and values by their gauges. */
#ifndef LW_SERVICE_LOG_INTERNAL_H
#define LW_SERVICE_LOG_INTERNAL_H

#include "service/log.h"

/* A vessel, the battery or the generator, with what it is read by. */
typedef struct lw_log_thing {
    int vessel;
    lw_supply supply; /* LW_SUPPLY_COUNT: generator */
    const char *name, *unit;
    double capacity; /* battery: 1; generator: 0 */
    const lw_gauges *gauges;
} lw_log_thing;

lw_log_thing lw_log_thing_of(const lw_loaded *rig, int vessel);
/* Of a reading: where it is of several vessels, under its target's name and with what they hold together. Points into record. */
lw_log_thing lw_log_thing_read(const lw_loaded *rig, const lw_log_record *record);

/* "all grey": the vessels of a supply, the first and the bits of the others. 0: it is no such name. */
int lw_log_find_all(const lw_loaded *rig, const char *typed, size_t n, int *vessel, uint32_t *also);

/* Every thing that a name stands for: one, or the vessels of a supply. Gives their number, 0 with the sentence in err. */
int lw_log_find(const lw_loaded *rig, const char *typed, size_t n, int vessel[LW_VESSELS], lw_err *err);
int lw_log_is_name(const lw_loaded *rig, const char *typed, size_t n); /* the same without a sentence */

/* The eye's gauge for a thing. */
lw_gauge lw_log_eye(const lw_log_thing *thing);
const lw_gauge *lw_log_gauge(const lw_log_thing *thing, int gauge, lw_gauge *eye);

/* What is typed behind "=" into the record of a reading, of which kind, time and vessel stand. *is_unknown: it was "?". */
LW_MUST_USE lw_code lw_log_value(const lw_loaded *rig, const char *text, lw_log_record *record, int *is_unknown,
                                 lw_err *err);

int lw_log_same(const char *a, size_t n, const char *word); /* without regard to case */

/* "1/3", "2/3", "empty", "full", or "37 %". Gives buf. */
char *lw_log_share(double frac, char *buf, size_t n);

#endif
