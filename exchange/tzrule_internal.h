/* exchange/tzrule_internal.h: the rule in the footer of a zone file, "MST7MDT,M3.2.0,M11.1.0".
 * Source  IEEE Std 1003.1-2017, section 8.3, with the signed hours up to 167 of RFC 8536. */
#ifndef LW_EXCHANGE_TZRULE_INTERNAL_H
#define LW_EXCHANGE_TZRULE_INTERNAL_H

#include <stddef.h>
#include <stdint.h>

typedef enum lw_tz_day_kind {
    LW_TZ_DAY_JULIAN, /* Jn: 1..365, 29 February never counted */
    LW_TZ_DAY_ZERO,   /* n: 0..365, 29 February counted */
    LW_TZ_DAY_WEEK,   /* Mm.w.d: weekday d (0 Sunday) of week w (5 the last) of month m */
} lw_tz_day_kind;

typedef struct lw_tz_day {
    lw_tz_day_kind kind;
    int number, month, week, weekday;
    int32_t second; /* local, of the clock in force before */
} lw_tz_day;

typedef struct lw_tz_half {
    int32_t offset_s; /* east positive */
    char letters[8];
} lw_tz_half;

typedef struct lw_tz_rule {
    lw_tz_half standard, summer;
    int has_summer;
    lw_tz_day begin, end; /* of summer time */
} lw_tz_rule;

/* 0 when text of n bytes is no such rule. */
int lw_tz_rule_parse(const char *text, size_t n, lw_tz_rule *rule);

/* The UTC seconds at which summer time begins and ends in a civil year. */
int64_t lw_tz_rule_begin(const lw_tz_rule *rule, int year);
int64_t lw_tz_rule_end(const lw_tz_rule *rule, int year);

#endif
