/* core/base/hot.h: what the compiler is told about the hour loop.
 *
 * LW_FLAT: everything a function calls becomes part of it, so that what goes from one piece of a step to the next stays in
 * registers: worth a tenth of an outlook. LW_RARE: kept out of that, since most hours never come there (not marked cold:
 * made small it costs more than it saves). LW_SELDOM, LW_MOSTLY: which way a choice goes in the hours of most households, so
 * that the registers are kept for that way. */
#ifndef LW_CORE_BASE_HOT_H
#define LW_CORE_BASE_HOT_H

#define LW_FLAT __attribute__((flatten))
#define LW_RARE __attribute__((noinline))

#define LW_SELDOM(is) __builtin_expect(!!(is), 0)
#define LW_MOSTLY(is) __builtin_expect(!!(is), 1)

#endif
