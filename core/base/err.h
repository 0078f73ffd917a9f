/* core/base/err.h: an error is a value.
 *
 * lw_fault   what the core fills: code, field, value and bounds; numbers only, no sentence and no formatting.
 * lw_err     what a person reads: the place and one sentence. The struct stands here because all rooms pass it on;
 *            text/say.h fills it.
 * Rule       the callee fills the struct and returns its code; callers pass it up unchanged. On failure results stay
 *            untouched. */
#ifndef LW_CORE_BASE_ERR_H
#define LW_CORE_BASE_ERR_H

#include <stddef.h>

#define LW_MUST_USE          __attribute__((warn_unused_result))
#define LW_PRINTF(at, first) __attribute__((format(printf, at, first)))

typedef enum lw_code {
    LW_OK = 0,
    LW_E_RANGE,    /* a number outside its bounds, or not a number */
    LW_E_UNIT,     /* a quantity without a unit, or with one that does not fit */
    LW_E_SYNTAX,   /* text that is not of its form */
    LW_E_MISSING,  /* something needed is not there */
    LW_E_FULL,     /* a stated limit of this program is reached */
    LW_E_IO,       /* the system refused to read or write */
    LW_E_CONFLICT, /* two statements that cannot both be true */
} lw_code;

typedef struct lw_fault {
    lw_code code;
    const char *field; /* name with its unit as last part, such as "elevation_m"; a literal */
    double value, low, high;
} lw_fault;

typedef struct lw_err {
    lw_code code;
    char where[128]; /* "rig.yaml:14 battery.capacity": file, line and field, as far as known */
    char text[384];  /* "40 has no unit; write 40 gal or 151 L" */
    char typed[160]; /* what to type about it on a command line; no other face shows it. Empty: nothing */
} lw_err;

/* Refuses a value outside low..high; NaN fails too, hence the form of the comparison. */
LW_MUST_USE static inline lw_code lw_want_range(lw_fault *fault, const char *field, double value, double low,
                                                double high)
{
    if (value >= low && value <= high)
        return LW_OK;
    *fault = (lw_fault){.code = LW_E_RANGE, .field = field, .value = value, .low = low, .high = high};
    return LW_E_RANGE;
}

/* The bounds of an input struct as a table; the first field outside its bounds is named. */
typedef struct lw_want {
    const char *field;
    double value, low, high;
} lw_want;

LW_MUST_USE static inline lw_code lw_want_all(lw_fault *fault, const lw_want *wants, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const lw_code bad = lw_want_range(fault, wants[i].field, wants[i].value, wants[i].low, wants[i].high);
        if (bad)
            return bad;
    }
    return LW_OK;
}

#define LW_WANTS(table) (table), sizeof(table) / sizeof((table)[0])

#endif
