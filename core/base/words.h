/* core/base/words.h: the words that several rooms share: supplies, rubbish places, permission, spans of time, sizes.
 *
 * Amounts of a supply are in its own unit (LW_SUPPLIES): litres, kilograms, gigabytes, person-days, days; battery in Wh.
 * A weekly mask, wherever one stands, is seven words (0 = Monday) of 24 bits, bit h set = "in the civil hour h". */
#ifndef LW_CORE_BASE_WORDS_H
#define LW_CORE_BASE_WORDS_H

#include <stdint.h>

/* id, word, what its end means, unit of its amounts, suffix of that unit */
#define LW_SUPPLIES(X)                                                                                                 \
    X(FRESH, "fresh", EMPTIES, l)                                                                                      \
    X(DRINKING, "drinking", EMPTIES, l)                                                                                \
    X(GREY, "grey", FILLS, l)                                                                                          \
    X(BLACK, "black", FILLS, l)                                                                                        \
    X(BATTERY, "battery", EMPTIES, wh)                                                                                 \
    X(PROPANE, "propane", EMPTIES, kg)                                                                                 \
    X(FUEL, "fuel", EMPTIES, l)                                                                                        \
    X(RUBBISH, "rubbish", FILLS, l)                                                                                    \
    X(DATA, "data", EMPTIES, gb)                                                                                       \
    X(FOOD, "food", EMPTIES, person_days)                                                                              \
    X(STAY, "stay", EMPTIES, days)

typedef enum lw_supply {
#define LW_SUPPLY_ID(id, word, end, unit) LW_SUPPLY_##id,
    LW_SUPPLIES(LW_SUPPLY_ID) LW_SUPPLY_COUNT
#undef LW_SUPPLY_ID
} lw_supply;

/* "grey", as in keys. */
static inline const char *lw_supply_word(lw_supply supply)
{
#define LW_SUPPLY_WORD(id, word, end, unit) word,
    static const char *const ROW[] = {LW_SUPPLIES(LW_SUPPLY_WORD)};
#undef LW_SUPPLY_WORD
    return (unsigned)supply < LW_SUPPLY_COUNT ? ROW[supply] : "";
}

/* Whether it ends full (grey, black, rubbish) and not empty. One bit a supply: the hour loop asks. */
static inline int lw_supply_fills(lw_supply supply)
{
    enum { EMPTIES, FILLS };
#define LW_SUPPLY_END(id, word, end, unit) | (unsigned)end << LW_SUPPLY_##id
    return (unsigned)supply < LW_SUPPLY_COUNT && ((0u LW_SUPPLIES(LW_SUPPLY_END)) >> supply & 1u);
#undef LW_SUPPLY_END
}

enum {
    LW_NAME = 32,    /* bytes of a name, its end included */
    LW_VESSELS = 24, /* of one rig, all supplies together */
    LW_SPANS = 16,
};

/* Where rubbish may stand, in order of comfort. The price of each: see data/rubbish_places.csv. */
typedef enum lw_rubbish_place {
    LW_RUBBISH_BIN = 0,
    LW_RUBBISH_LOCKER,
    LW_RUBBISH_RACK,    /* sack outside the shell: never where animals are */
    LW_RUBBISH_VEHICLE, /* smells */
    LW_RUBBISH_SHOWER,  /* stops showers while it stands there */
} lw_rubbish_place;

typedef enum lw_permission { LW_PERMISSION_NO = 0, LW_PERMISSION_YES, LW_PERMISSION_UNKNOWN } lw_permission;

typedef struct lw_span {
    int64_t from_s, to_s;
} lw_span;

#endif
