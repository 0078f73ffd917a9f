/* core/sim/stretch_internal.h: what a course looks for in a stretch that was just run: whether a supply ended in it and when
 * (ends.c), what of it has to be told (tell.c). Stays inside core/sim. */
#ifndef LW_CORE_SIM_STRETCH_INTERNAL_H
#define LW_CORE_SIM_STRETCH_INTERNAL_H

#include "core/sim/course_internal.h"
#include "core/sim/step_internal.h"

/* Electric demand below this is rounding, no shortage. */
#define LW_UNMET_WH 1e-6

#define LW_COLD_C        10.0  /* people inside below this are told; common practice, no source */
#define LW_HEAT_BEGINS_C 30.0  /* below it no humidity makes heat dangerous: NWS chart */
#define LW_BACK_FRAC     0.005 /* a vessel that ended is told again only after it had this much room for a while */

#define LW_NO_GAS_FRAC 0.1 /* a furnace that gets less of its input does not light; from judgement */

/* Kinds of events that are looked at together. */
#define LW_KIND(id)    (UINT32_C(1) << LW_EVENT_##id)
#define LW_TELL_SUPPLY (LW_KIND(SUPPLY_END) | LW_KIND(LEISURE_DATA_ENDS))
#define LW_TELL_POWER                                                                                                  \
    (LW_KIND(BATTERY_FLOOR) | LW_KIND(CHARGE_COLD) | LW_KIND(GENERATOR_SMALL) | LW_KIND(AC_STOPS) |                    \
     LW_KIND(NETWORK_STOPS) | LW_KIND(ALARMS_STOP) | LW_KIND(VITAL_STOPS) | LW_KIND(WATER_STOPS))
#define LW_TELL_OUTSIDE (LW_KIND(SNOW_ON_PANELS) | LW_KIND(WIND_HIGH))
#define LW_TELL_RUBBISH LW_KIND(RUBBISH_OLD)

/* Moments of ends, hours from the start; INFINITY: none in this stretch. */
typedef struct lw_ends {
    double h[LW_SUPPLY_COUNT], vessel_h[LW_VESSELS], leisure_h;
    int vessel[LW_SUPPLY_COUNT];
} lw_ends;

typedef struct lw_stretch_times {
    double from, to; /* within the step, 0..1 */
    double h, dt_h;  /* begin from the start of the outlook, length */
} lw_stretch_times;

/* The moments inside a stretch: where gas, fuel or the battery are short it is run once more with the wishes kept, and its
 * uses, which share tanks in an order that the hour does not show, in parts. note: what the stretch has left; supplies: a bit for each that is
 * looked for. */
LW_RARE void lw_ends_find(const lw_context *c, lw_mode mode, int step, double from, double to, const lw_state *before,
                          const lw_step_note *note, uint32_t supplies, lw_ends *ends);

/* A bit for each supply of which an end, or a vessel's, is not known yet; 0: nothing new ended in this stretch. */
uint32_t lw_ends_new(const lw_context *c, const lw_course *course, const lw_step_note *note);

void lw_ends_keep(const lw_step_note *note, const lw_ends *ends, double latest_h, lw_course *course);

/* A tank that others of its supply follow ends when it is empty or full, though nothing goes short then. */
void lw_ends_watch(const lw_context *c, const lw_state *before, const lw_state *s, double at_h, double dt_h,
                   lw_course *course);

/* What a stretch that was just run adds to its course. Returns 0 where the courses part in it and that was asked for: nothing
 * is kept then. */
int lw_stretch_keep(const lw_run *run, int step, const lw_stretch_times *at, const lw_state *before, const lw_state *s,
                    const lw_step_note *note, lw_course *course);

/* Adds to course->event what begins in this stretch. */
void lw_tell(const lw_run *run, int step, const lw_stretch_times *at, const lw_step_note *note, const lw_state *before,
             const lw_state *s, lw_course *course);

/* Heat index in the NWS's danger class or above. */
int lw_is_dangerously_hot(double dew_c, double cabin_c);

#endif
