#include <stdlib.h>
#include <string.h>

#include "service/words_internal.h"

/* What can set something else off comes before it where both are of one minute. */
static int rank_of(lw_event_kind kind)
{
    switch (kind) {
    case LW_EVENT_SUPPLY_BACK:
    case LW_EVENT_LOADS_BACK:
        return 0;
    case LW_EVENT_BATTERY_FLOOR:
    case LW_EVENT_CHARGE_COLD:
    case LW_EVENT_GENERATOR_SMALL:
    case LW_EVENT_AC_STOPS:
    case LW_EVENT_SNOW_ON_PANELS:
    case LW_EVENT_WIND_HIGH:
        return 1;
    case LW_EVENT_SUPPLY_END:
    case LW_EVENT_LOADS_CUT:
    case LW_EVENT_GAS_SHORT:
        return 2;
    case LW_EVENT_VITAL_STOPS:
        return 3;
    case LW_EVENT_FURNACE_STOPS:
    case LW_EVENT_FURNACE_SHORT:
    case LW_EVENT_FRIDGE_STOPS:
    case LW_EVENT_WATER_STOPS:
    case LW_EVENT_NETWORK_STOPS:
    case LW_EVENT_ALARMS_STOP:
    case LW_EVENT_LEISURE_DATA_ENDS:
    case LW_EVENT_RUBBISH_PLACE:
        return 4;
    case LW_EVENT_CABIN_COLD:
    case LW_EVENT_CABIN_HOT:
        return 5;
    case LW_EVENT_CABIN_FREEZES:
    case LW_EVENT_VALVE_FREEZES:
    case LW_EVENT_PIPES_FREEZE:
        return 6;
    default: /* of persons and food: what all the rest leads to */
        return 7;
    }
}

static int by_time(const void *a, const void *b)
{
    const lw_event *x = a, *y = b;
    if (x->at_s != y->at_s)
        return x->at_s < y->at_s ? -1 : 1;
    const int rank = rank_of(x->kind) - rank_of(y->kind);
    if (rank)
        return rank;
    return x->kind != y->kind ? (x->kind < y->kind ? -1 : 1) : (x->index > y->index) - (x->index < y->index);
}

/* Could this have stopped that: a cut of power what needs current, an empty supply what draws on it. */
static int is_cause(const lw_event *cause, const lw_event *effect)
{
    const int is_cut = cause->kind == LW_EVENT_LOADS_CUT;
    const int is_end = cause->kind == LW_EVENT_SUPPLY_END;
    switch (effect->kind) {
    case LW_EVENT_FURNACE_STOPS:
        return effect->value < 1.5 ? is_cut : is_end && cause->supply == LW_SUPPLY_PROPANE && cause->index < 0;
    case LW_EVENT_FRIDGE_STOPS:
        return is_cut || (is_end && cause->supply == LW_SUPPLY_PROPANE && cause->index < 0);
    case LW_EVENT_WATER_STOPS:
    case LW_EVENT_NETWORK_STOPS:
    case LW_EVENT_ALARMS_STOP:
        return is_cut;
    default:
        return 0;
    }
}

/* The engine notes what stops at the start of its step, and what stops it where it falls inside the step: then it is told
 * with its cause. The blower is the first to go as a rule, the others are among the last. */
static void put_behind_causes(lw_event *event, int count, int64_t step_s)
{
    for (int i = 0; i < count; i++) {
        lw_event *e = &event[i];
        const int wants_first = e->kind == LW_EVENT_FURNACE_STOPS;
        int64_t moved_s = e->at_s;
        for (int c = 0; c < count; c++) {
            const int64_t cause_s = event[c].at_s;
            if (cause_s <= e->at_s || cause_s >= e->at_s + step_s || !is_cause(&event[c], e))
                continue;
            if (moved_s == e->at_s || (cause_s > moved_s) != wants_first)
                moved_s = cause_s;
        }
        e->at_s = moved_s;
    }
}

void lw_events_in_order(const lw_outlook *outlook, lw_event *to)
{
    const int count = outlook->event_count;
    memcpy(to, outlook->event, (size_t)count * sizeof *to);
    put_behind_causes(to, count, 3600 / (outlook->steps_per_hour > 0 ? outlook->steps_per_hour : 1));
    qsort(to, (size_t)count, sizeof *to, by_time);
}
