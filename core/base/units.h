/* core/base/units.h: the one table of units. No conversion factor stands in any other file.
 *
 * Computes  a value in a unit to the storage unit of its dimension and back.
 *           plain unit:      stored = value * factor + offset
 *           reciprocal unit: stored = factor / value (miles per gallon against litres per 100 km)
 * Storage   one unit a dimension, the last column of LW_DIMS, with the suffix that names carry: SI, except where the
 *           trade counts otherwise (litre, watt-hour, ampere-hour, megabyte, degree Celsius).
 * Errors    none; NaN and infinities pass through. Finding a unit that is not there gives LW_UNIT_NONE.
 * Source    NIST Special Publication 811 (2008), appendix B: exact where it prints bold figures (gallon 231 cubic
 * inches, pound 0.453 592 37 kg, foot 0.3048 m, knot 1852 m/h, BTU(IT) 1055.055 852 62 J); horsepower 550 ft lbf/s;
 *           inch of mercury 3386.389 Pa and inch of water 249.0889 Pa, both conventional.
 * Limits    gallons, quarts, pints, cups and fluid ounces are US liquid measure; tons are short (2000 lb), a tonne is
 *           metric; MB, GB, TB and kbit, Mbit are decimal. Money is US dollars. */
#ifndef LW_CORE_BASE_UNITS_H
#define LW_CORE_BASE_UNITS_H

#include <stddef.h>

/* id, the word for people, suffix of names, symbol of the storage unit, may a number stand without a unit,
 * does upper against lower case tell units apart */
#define LW_DIMS(X)                                                                                                     \
    X(NUMBER, "number", "", "", 1, 0)                                                                                  \
    X(FRACTION, "fraction", "_frac", "", 0, 0)                                                                         \
    X(VOLUME, "volume", "_l", "L", 0, 0)                                                                               \
    X(MASS, "mass", "_kg", "kg", 0, 0)                                                                                 \
    X(POWER, "power", "_w", "W", 0, 0)                                                                                 \
    X(ENERGY, "energy", "_wh", "Wh", 0, 0)                                                                             \
    X(CHARGE, "charge", "_ah", "Ah", 0, 0)                                                                             \
    X(CURRENT, "current", "_a", "A", 0, 0)                                                                             \
    X(VOLTAGE, "voltage", "_v", "V", 0, 0)                                                                             \
    X(RESISTANCE, "resistance", "_ohm", "ohm", 0, 1)                                                                   \
    X(TEMPERATURE, "temperature", "_c", "C", 0, 0)                                                                     \
    X(TEMPERATURE_STEP, "temperature difference", "_k", "K", 0, 0)                                                     \
    X(LENGTH, "length", "_m", "m", 0, 0)                                                                               \
    X(AREA, "area", "_m2", "m2", 0, 0)                                                                                 \
    X(SPEED, "speed", "_ms", "m/s", 0, 0)                                                                              \
    X(PRESSURE, "pressure", "_pa", "Pa", 0, 0)                                                                         \
    X(TIME, "time", "_s", "s", 0, 0)                                                                                   \
    X(ANGLE, "angle", "_deg", "deg", 0, 0)                                                                             \
    X(DATA, "data", "_mb", "MB", 0, 1)                                                                                 \
    X(DATA_RATE, "data rate", "_mbit", "Mbit/s", 0, 1)                                                                 \
    X(MONEY, "money", "_usd", "USD", 0, 0)                                                                             \
    X(FLOW, "flow", "_lps", "L/s", 0, 0)                                                                               \
    X(FUEL_USE, "fuel use", "_l100km", "L/100 km", 0, 0)                                                               \
    X(CONDUCTANCE, "heat conductance", "_wpk", "W/K", 0, 0)                                                            \
    X(HEAT_CAPACITY, "heat capacity", "_kjpk", "kJ/K", 0, 0)                                                           \
    X(IRRADIANCE, "irradiance", "_wm2", "W/m2", 0, 0)                                                                  \
    X(PEOPLE, "people", "", "people", 1, 0)                                                                            \
    X(BAGS, "bags", "", "bags", 1, 0)                                                                                  \
    X(FLUSHES, "flushes", "", "flushes", 1, 0)                                                                         \
    X(PERSON_DAYS, "person-days", "", "person-days", 1, 0)                                                             \
    X(COUNT_PER_DAY, "times a day", "_per_day", "/d", 0, 0)                                                            \
    X(VOLUME_PER_DAY, "volume a day", "_l_per_day", "L/d", 0, 0)                                                       \
    X(MASS_PER_DAY, "mass a day", "_kg_per_day", "kg/d", 0, 0)                                                         \
    X(ENERGY_PER_DAY, "energy a day", "_wh_per_day", "Wh/d", 0, 0)                                                     \
    X(CHARGE_PER_DAY, "charge a day", "_ah_per_day", "Ah/d", 0, 0)                                                     \
    X(DATA_PER_DAY, "data a day", "_mb_per_day", "MB/d", 0, 1)                                                         \
    X(MONEY_PER_DAY, "money a day", "_usd_per_day", "USD/d", 0, 0)                                                     \
    X(PRICE_PER_VOLUME, "price of a volume", "_usd_per_l", "USD/L", 0, 0)                                              \
    X(PRICE_PER_MASS, "price of a mass", "_usd_per_kg", "USD/kg", 0, 0)                                                \
    X(PRICE_PER_ENERGY, "price of energy", "_usd_per_wh", "USD/Wh", 0, 0)                                              \
    X(PRICE_PER_LENGTH, "price of a distance", "_usd_per_m", "USD/m", 0, 0)

typedef enum lw_dim {
#define LW_DIM_ID(id, word, suffix, symbol, bare, cased) LW_DIM_##id,
    LW_DIMS(LW_DIM_ID)
#undef LW_DIM_ID
        LW_DIM_COUNT
} lw_dim;

typedef enum lw_unit_system { LW_UNITS_US = 0, LW_UNITS_SI = 1 } lw_unit_system;

typedef struct lw_dim_row {
    const char *word, *suffix, *symbol;
    int is_bare_allowed, is_case_strict;
} lw_dim_row;

typedef struct lw_unit {
    lw_dim dim;
    const char *symbol;  /* what is printed */
    const char *aliases; /* what else is read, separated by '|'; may be empty */
    double factor, offset;
    int is_reciprocal;
} lw_unit;

#define LW_UNIT_NONE ((const lw_unit *)0)

extern const lw_unit lw_units[];
extern const size_t lw_units_count;

const lw_dim_row *lw_dim_of(lw_dim dim); /* borrowed for ever; the NUMBER row for an id that is none */

double lw_unit_to_si(const lw_unit *unit, double value);
double lw_unit_from_si(const lw_unit *unit, double value_si);

/* The unit of a dimension spelled so (length n, no end mark needed): exact spelling first, then without regard to case
 * where the dimension allows it. Degree sign, middle dot and superscript 2, 3 in UTF-8 are read as their plain form. */
const lw_unit *lw_unit_find(lw_dim dim, const char *spelling, size_t n);

/* The same in any dimension, the first in table order: for "found a mass, wanted a volume". */
const lw_unit *lw_unit_find_any(const char *spelling, size_t n);

#endif
