#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/sky/snow_cover.h"
#include "service/words_internal.h"
#include "text/decimal.h"
#include "text/quantity.h"

static const double SAME_CUT_V = 0.006; /* the engine takes cut-offs nearer than 5 mV for one */

static int is_cut(const lw_speaker *s, double at_12_v, double cut_v)
{
    const lw_battery_use *b = &s->scenario->rig.battery;
    const double own_v = at_12_v > 0.0 ? at_12_v * b->nominal_v / 12.0 : 0.0;
    return fabs((own_v > b->system_cut_v ? own_v : b->system_cut_v) - cut_v) < SAME_CUT_V;
}

static void add_item(lw_line *to, int *count, const char *name)
{
    enum { MOST = 6 };
    if (*count == MOST)
        lw_line_add(to, " and others");
    else if (*count < MOST)
        lw_line_add(to, "%s%s", *count ? ", " : "", name);
    (*count)++;
}

const char *lw_cut_say(const lw_speaker *s, double cut_v, char *buf, size_t n)
{
    const lw_rig *rig = &s->scenario->rig;
    lw_line to = lw_line_of(buf, n);
    int count = 0, has_ac = 0;
    if (rig->cabin.furnace_input_w > 0.0 && is_cut(s, rig->cabin.furnace_cut_v, cut_v))
        add_item(&to, &count, "furnace blower");
    if (rig->cabin.fridge_is_present && is_cut(s, rig->cabin.fridge_cut_v, cut_v))
        add_item(&to, &count, rig->cabin.fridge.kind == LW_COOLING_ABSORPTION ? "fridge controls" : "fridge");
    if (is_cut(s, rig->cabin.pump_cut_v, cut_v))
        add_item(&to, &count, "water pump");
    for (int l = 0; l < rig->load_count; l++) {
        const lw_load *d = &rig->load[l];
        has_ac |= d->power == LW_POWER_AC && !d->with_generator_only;
        if (!d->is_vital && !d->with_generator_only && d->power == LW_POWER_DC && is_cut(s, d->cut_v, cut_v))
            add_item(&to, &count, d->name);
    }
    if (rig->inverter.is_present && has_ac && is_cut(s, 0.0, cut_v))
        add_item(&to, &count, "inverter and what hangs on it");
    return buf;
}

static const char *supply_end_say(const lw_speaker *s, const lw_event *e, char *buf, size_t n)
{
    const lw_rig *rig = &s->scenario->rig;
    char name[96];
    const int fills = lw_supply_fills((lw_supply)e->supply);
    if (e->index >= 0 && e->index < rig->vessel_count && (fills || e->supply == LW_SUPPLY_DATA))
        snprintf(buf, n, "%s: %s is %s", lw_supply_name((lw_supply)e->supply),
                 lw_vessel_say(&rig->vessel[e->index], name, sizeof name), fills ? "full" : "used up");
    else
        snprintf(buf, n, "%s: %s", lw_supply_name((lw_supply)e->supply),
                 fills ? "no room is left" : "what is asked for is not there");
    return buf;
}

static const char *person_of(const lw_speaker *s, int index)
{
    const lw_crew *crew = &s->scenario->crew;
    const int fits = index >= 0 && index < crew->person_count && crew->person[index].name[0];
    return fits ? crew->person[index].name : "someone on board";
}

const char *lw_vital_say(const lw_speaker *s, int index)
{
    const lw_outlook *o = s->outlook;
    if (index < 0 || index >= o->vital_count)
        return "a vital device";
    return s->scenario->rig.load[o->vital_load[index]].name;
}

static const char *array_of(const lw_speaker *s, int index)
{
    const lw_rig *rig = &s->scenario->rig;
    return index >= 0 && index < rig->array_count && rig->array[index].name[0] ? rig->array[index].name : "the panels";
}

static const char *depth_say(const lw_speaker *s, double depth_m, char *buf, size_t n)
{
    const char *unit = s->choice.units == LW_UNITS_SI ? "cm" : "in";
    return lw_quantity_print_in(buf, n, depth_m, lw_unit_find(LW_DIM_LENGTH, unit, strlen(unit)), 1);
}

/* Gusts: 1.5 times an hour's mean wind over open ground, more among trees and hills; from memory. */
static const char *wind_advice(const lw_speaker *s, int index)
{
    const lw_rig *rig = &s->scenario->rig;
    if (index == LW_AWNING)
        return "have it in before then";
    if (index >= 0 && index < rig->array_count && rig->array[index].is_stowed_in_wind)
        return "it is put away while a grown-up is there, and gives nothing";
    return "lay it flat or tie it down before then";
}

/* What comes behind the time. One screen a kind would be a table of functions; the words differ too much for rows. */
static void event_words(const lw_speaker *s, const lw_event *e, lw_line *to)
{
    const lw_rig *rig = &s->scenario->rig;
    char a[160], b[LW_QUANTITY_BYTES];
    const char *warm = lw_temperature_say(s, e->value, b, sizeof b);
    switch (e->kind) {
    case LW_EVENT_SUPPLY_END:
        lw_line_add(to, "%s.", supply_end_say(s, e, a, sizeof a));
        break;
    case LW_EVENT_SUPPLY_BACK:
        lw_line_add(to, "%s: there again.", lw_supply_name((lw_supply)e->supply));
        break;
    case LW_EVENT_BATTERY_FLOOR:
        lw_line_add(to, "battery below your floor of %d %%.", (int)lround(rig->battery.floor_frac * 100.0));
        break;
    case LW_EVENT_LOADS_CUT:
        lw_cut_say(s, e->value, a, sizeof a);
        lw_line_add(to, "battery below %s V%s%s%s.", lw_num(e->value).text, a[0] ? ": " : "", a, a[0] ? " off" : "");
        break;
    case LW_EVENT_LOADS_BACK:
        lw_cut_say(s, e->value, a, sizeof a);
        lw_line_add(to, "%s%s again.", a[0] ? a : "battery up", a[0] ? " on" : "");
        break;
    case LW_EVENT_FURNACE_STOPS:
        lw_line_add(to, "furnace stops: %s.",
                    e->value == LW_FURNACE_WITHOUT_POWER ? "no power for its blower"
                    : e->value == LW_FURNACE_WITHOUT_GAS ? "no gas"
                                                         : "the gas is too cold to leave the cylinder");
        break;
    case LW_EVENT_FURNACE_SHORT:
        lw_line_add(to, "the furnace runs without pause and does not reach the warmth you set, %s inside.", warm);
        break;
    case LW_EVENT_GAS_SHORT:
        lw_line_add(to, "cold or nearly empty cylinders give less gas than is asked for.");
        break;
    case LW_EVENT_FRIDGE_STOPS:
        lw_line_add(to, "fridge stops cooling.");
        break;
    case LW_EVENT_FOOD_WARM:
        lw_line_add(to, "food in the fridge has been warm for 4 h.");
        break;
    case LW_EVENT_WATER_STOPS:
        lw_line_add(to, "no water at the taps: the pump has no power.");
        break;
    case LW_EVENT_NETWORK_STOPS:
        lw_line_add(to, "no connection in hours of work or school.");
        break;
    case LW_EVENT_ALARMS_STOP:
        lw_line_add(to, "gas and smoke alarms have no power.");
        break;
    case LW_EVENT_VITAL_STOPS:
        lw_line_add(to, "no power for %s.", lw_vital_say(s, e->index));
        break;
    case LW_EVENT_VITAL_COLD:
        lw_line_add(to, "too cold inside for %s, %s.", person_of(s, e->index), warm);
        break;
    case LW_EVENT_VITAL_HOT:
        lw_line_add(to, "too hot inside for %s, %s.", person_of(s, e->index), warm);
        break;
    case LW_EVENT_CABIN_COLD:
        lw_line_add(to, "cabin below %s with people inside.", lw_temperature_say(s, 10.0, a, sizeof a));
        break;
    case LW_EVENT_CABIN_FREEZES:
        lw_line_add(to, "cabin below freezing.");
        break;
    case LW_EVENT_CABIN_HOT:
        lw_line_add(to, "heat inside feels like %s: dangerous.", warm);
        break;
    case LW_EVENT_VALVE_FREEZES:
        lw_line_add(to, "outside valves and hose freeze, air at %s.", warm);
        break;
    case LW_EVENT_PIPES_FREEZE:
        lw_line_add(to, "pipes in the tank bay freeze, %s there.", warm);
        break;
    case LW_EVENT_CHARGE_COLD:
        lw_line_add(to, "lithium battery below freezing: it takes no charge.");
        break;
    case LW_EVENT_LEISURE_DATA_ENDS:
        lw_line_add(to, "mobile data for leisure is spent; what is left is kept for work.");
        break;
    case LW_EVENT_RUBBISH_PLACE:
        lw_line_add(to, "rubbish goes to the %s from here.",
                    e->index >= 0 && e->index < rig->vessel_count ? rig->vessel[e->index].name : "next place");
        break;
    case LW_EVENT_RUBBISH_OLD:
        lw_line_add(to, "the oldest bag of rubbish smells.");
        break;
    case LW_EVENT_GENERATOR_SMALL:
        lw_line_add(to, "more is asked of the generator than it can give.");
        break;
    case LW_EVENT_AC_STOPS:
        lw_line_add(to, "an appliance wants mains current while the inverter is off or too small for it.");
        break;
    case LW_EVENT_SNOW_ON_PANELS:
        lw_line_add(to,
                    "snow covers %s, about %s fresh: little or no power until it melts, slides or is cleared. Clear it "
                    "only if you can from firm ground, with a soft broom; an icy roof or ladder is not worth it.",
                    array_of(s, e->index), depth_say(s, e->value * LW_FRESH_SNOW_DEPTH / 1000.0, b, sizeof b));
        break;
    case LW_EVENT_WIND_HIGH:
        lw_quantity_print(b, sizeof b, e->value, LW_DIM_SPEED, s->choice.units);
        lw_line_add(to, "mean wind of %s, above your limit for %s; gusts reach half as much again or more: %s.", b,
                    e->index == LW_AWNING ? "the awning" : array_of(s, e->index), wind_advice(s, e->index));
        break;
    default:
        break;
    }
}

void lw_say_event(const lw_speaker *s, const lw_event *event, char *buf, size_t n)
{
    lw_line to = lw_line_of(buf, n);
    char when[LW_WHEN];
    lw_line_add(&to, "%s: ", lw_when_say(s, event->at_s, when, sizeof when));
    event_words(s, event, &to);
}
