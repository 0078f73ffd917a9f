/* core/sky/wants_internal.h: the bounds of an input struct as a table; the first field outside its bounds is named. */
#ifndef LW_CORE_SKY_WANTS_INTERNAL_H
#define LW_CORE_SKY_WANTS_INTERNAL_H

#include "core/base/err.h"

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
