/* core/learn/gauge.h: what a gauge says about a level: an interval, never a point.
 *
 * Computes  From what a gauge of a stated kind shows the interval of levels in which it shows that.
 * Kinds     PROBES: lamps at stated heights; a lit lamp means the liquid has *reached* its probe, so that 1/3 says
 *           [1/3, 2/3); with the rule NEAREST the mark next to the level is shown: 1/3 says [1/6, 1/2). The lamp
 *           "full" has its probe a little below the brim, at LW_GAUGE_FULL_FRAC: no level is above capacity.
 *           PERCENT, AMOUNT, SCALE, COUNT: a number in steps of `step`: nearest, or the step that was reached. Below
 *           nothing and above capacity the interval is open: what shows 0 says "less than half a step, or none".
 *           VOLTS: a battery at rest; what state of charge that means is core/power's to say.
 *           HOURS: an engine's own counter, no level. NONE: nothing to read; the eye may still give an AMOUNT, on
 *           which a step says how far it is trusted (0: a quarter of the capacity).
 * Lies      lie_frac is the chance that a reading has nothing to do with the level (a stuck float, a misread lamp): no
 *           likelihood of a reading is ever zero.
 * Changing  "the light went out just now": the level is at the probe, or at the edge between two marks.
 * Errors    lw_gauge_check: LW_E_RANGE with the field. The others cannot fail on a checked gauge.
 * Source    heights and rules of lamps: common practice, no source; height of the lamp "full": from memory; chance of a lie 2-5 %: common practice, no source. */
#ifndef LW_CORE_LEARN_GAUGE_H
#define LW_CORE_LEARN_GAUGE_H

#include <stdint.h>

#include "core/base/err.h"

enum { LW_PROBES = 8 };

#define LW_GAUGE_FULL_FRAC 0.97

#define LW_GAUGE_KINDS(X)                                                                                              \
    X(NONE, "none")                                                                                                    \
    X(PROBES, "lights")                                                                                                \
    X(PERCENT, "percent")                                                                                              \
    X(AMOUNT, "amount")                                                                                                \
    X(SCALE, "scale")                                                                                                  \
    X(COUNT, "count")                                                                                                  \
    X(VOLTS, "volts")                                                                                                  \
    X(HOURS, "hours")

typedef enum lw_gauge_kind {
#define LW_GAUGE_ID(id, word) LW_GAUGE_##id,
    LW_GAUGE_KINDS(LW_GAUGE_ID) LW_GAUGE_KIND_COUNT
#undef LW_GAUGE_ID
} lw_gauge_kind;

typedef enum lw_gauge_rule { LW_GAUGE_REACHED = 0, LW_GAUGE_NEAREST } lw_gauge_rule;

typedef struct lw_gauge {
    lw_gauge_kind kind;
    lw_gauge_rule rule;
    int probe_count;
    double probe_frac[LW_PROBES]; /* PROBES: heights as fractions of capacity, lowest first, empty and full left out */
    double step;                  /* PERCENT: fraction; AMOUNT, SCALE, COUNT: unit of the vessel; VOLTS: V; HOURS: h */
    double lie_frac;
} lw_gauge;

/* What was read, as the learning takes it. */
enum { LW_READ_BATTERY = -1 }; /* of a reading's vessel */

/* What an interval is of. Where a capacity is not sure they differ: lamps show a share of whatever it is. */
typedef enum lw_read_what {
    LW_READ_LEVEL = 0,
    LW_READ_SHARE, /* in the vessel's unit as well, of the capacity as stated: by eye */
    LW_READ_GAUGE, /* likewise, by a gauge that may show too much */
    LW_READ_ROOM,  /* what went in until it was full, metered: capacity less level, before that */
} lw_read_what;

typedef struct lw_reading {
    int64_t at_s;
    int vessel;       /* index in rig.vessel, or LW_READ_BATTERY */
    double low, high; /* level in the vessel's unit, low <= level < high; the battery: state of charge, fraction. Open
                       * ends are -INFINITY and INFINITY. A lamp that changed just then: low = high, its probe */
    double lie_frac;
    lw_read_what what;
    uint32_t also; /* bits of further vessels of the same supply: the level is that of all of them together */
} lw_reading;

LW_MUST_USE lw_code lw_gauge_check(const lw_gauge *gauge, lw_fault *fault);

/* shown: PROBES a fraction of capacity (that of the highest lit lamp, 0: none is lit, 1: full); PERCENT a fraction; the
 * others in their unit. capacity is the vessel's, in its unit. Of VOLTS and HOURS the interval is of volts, of hours. */
void lw_gauge_says(const lw_gauge *gauge, double shown, double capacity, double *low, double *high);

/* What the gauge shows at a level (VOLTS, HOURS: volts, hours): lw_gauge_says of it holds the level. */
double lw_gauge_shows(const lw_gauge *gauge, double level, double capacity);

/* Whether it can show this at all, to a hundredth of capacity: 33 % is 1/3; *nearest is what it can. Of a number anything
 * from nothing to capacity can be read, between steps too: an eye goes further than the print on a dial. */
int lw_gauge_can_show(const lw_gauge *gauge, double shown, double capacity, double *nearest);

/* The level at which what is shown changes to the next above (or below). PROBES: where the lamp changes. NaN: there is none. */
double lw_gauge_edge(const lw_gauge *gauge, double shown, int is_above, double capacity);

#endif
