#include "core/sim/course_internal.h"

#include <math.h>
#include <string.h>

#include "core/base/num.h"
#include "core/heat/comfort.h"
#include "core/sim/step_internal.h"
#include "core/sky/air.h"

/* A crossing is looked for again in this many parts of its step, so that uses that share a tank are in their order. */
static const int REFINE = 8;
static const double COLD_C = 10.0;        /* people inside below this are told; common practice, no source */
static const double HEAT_BEGINS_C = 30.0; /* below it no humidity makes heat dangerous: NWS chart */
static const double UNMET_WH = 1e-6;
static const double NO_GAS_FRAC = 0.1; /* a furnace that gets less of its input does not light; from judgement */
static const double AT_LIMIT_K = 0.05; /* held right at a limit is not beyond it */

/* ------------------------------------------------------------------ when a supply ends */

typedef struct lw_ends {
    double h[LW_SUPPLY_COUNT], vessel_h[LW_VESSELS], leisure_h;
    int vessel[LW_SUPPLY_COUNT];
} lw_ends;

static double lack_h(double want, double lack, double dt_h)
{
    return want > 0.0 ? dt_h * (1.0 - lack / want) : 0.0;
}

/* Supplies that people use, within one part of a stretch. */
static void ends_of_uses(const lw_context *c, const lw_step_note *note, double at_h, double dt_h, lw_ends *ends)
{
    const lw_rig *rig = &c->scenario->rig;
    const lw_wants *w = note->wants;
    for (int v = 0; v < rig->vessel_count; v++) {
        if (!(note->lack_vessels & lw_bit(v)))
            continue;
        const double h = at_h + lack_h(w->want[v], w->lack[v], dt_h);
        const int supply = (int)rig->vessel[v].supply;
        ends->vessel_h[v] = lw_least(ends->vessel_h[v], h);
        if (h < ends->h[supply]) {
            ends->h[supply] = h;
            ends->vessel[supply] = v;
        }
    }
    if (note->is_leisure_stopped)
        ends->leisure_h = lw_least(ends->leisure_h, at_h + lack_h(w->leisure_want, w->leisure_lack, dt_h));
}

/* Gas, fuel and the battery, whose course inside the stretch is one line or known in closed form. */
static void ends_of_power(const lw_context *c, const lw_step_note *note, double at_h, double dt_h, lw_ends *ends)
{
    const lw_wants *w = note->wants;
    for (int k = LW_SUPPLY_PROPANE; k <= LW_SUPPLY_FUEL; k++)
        if (note->lack_supplies & lw_bit(k))
            ends->h[k] = at_h + lack_h(w->supply_want[k], w->supply_lack[k], dt_h);
    if (!isinf(note->floor_h) || note->unmet_wh > UNMET_WH) {
        double first = note->floor_h;
        for (int k = 0; note->has_cuts && k < c->cut_count; k++)
            first = lw_least(first, note->cut_h[k]);
        ends->h[LW_SUPPLY_BATTERY] = at_h + (isinf(first) ? 0.0 : first);
    }
}

/* The moments inside a stretch: it is run once more with the wishes kept, and its uses, which share tanks in an order
 * that the hour does not show, in parts. */
static void find_ends(const lw_context *c, lw_mode mode, int step, double from, double to, const lw_state *before,
                      lw_ends *ends)
{
    lw_state s = *before;
    lw_flows ignored = {{0}};
    lw_wants wants = {.want = {0}};
    lw_step_note note = {.wants = &wants};
    const double at_h = ((double)step + from) * c->step_h, part_h = (to - from) * c->step_h / REFINE;
    *ends = (lw_ends){.leisure_h = INFINITY};
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        ends->h[k] = INFINITY, ends->vessel[k] = -1;
    for (int v = 0; v < LW_VESSELS; v++)
        ends->vessel_h[v] = INFINITY;
    uint32_t supplies = ~UINT32_C(0);
    lw_step(c, mode, step, from, to, &s, &ignored, &note);
    ends_of_power(c, &note, at_h, (to - from) * c->step_h, ends);
    if (!note.lack_vessels && !note.is_leisure_stopped)
        return;
    if (mode == LW_MODE_OWN) /* there nothing that a use lacks touches another one */
        supplies = note.lack_supplies | (note.is_leisure_stopped ? lw_bit(LW_SUPPLY_DATA) : 0u);
    s = *before;
    for (int i = 0; i < REFINE; i++) {
        wants = (lw_wants){.want = {0}};
        note.lack_vessels = note.lack_supplies = 0;
        note.is_leisure_stopped = 0;
        lw_step_uses(c, mode, step, (to - from) / REFINE, supplies, &s, &ignored, &note);
        ends_of_uses(c, &note, at_h + i * part_h, part_h, ends);
    }
}

static int has_new_end(const lw_course *course, const lw_step_note *note)
{
    return (note->lack_supplies & ~course->ended_supplies) || (note->lack_vessels & ~course->ended_vessels) ||
           (note->is_leisure_stopped && isinf(course->leisure_end_h)) ||
           (isinf(course->end_h[LW_SUPPLY_BATTERY]) && (!isinf(note->floor_h) || note->unmet_wh > UNMET_WH));
}

static void keep_ends(const lw_step_note *note, const lw_ends *ends, double latest_h, lw_course *course)
{
    /* What the whole step lacked but its parts did not, is a matter of rounding: it ends with the step. */
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        const int is_lacking = (note->lack_supplies & lw_bit(k)) != 0;
        if (!isinf(course->end_h[k]) || (isinf(ends->h[k]) && !is_lacking))
            continue;
        course->end_h[k] = isinf(ends->h[k]) ? latest_h : ends->h[k];
        course->end_vessel[k] = ends->vessel[k];
    }
    for (int v = 0; v < LW_VESSELS; v++)
        if (isinf(course->vessel_end_h[v]) && (!isinf(ends->vessel_h[v]) || (note->lack_vessels & lw_bit(v))))
            course->vessel_end_h[v] = isinf(ends->vessel_h[v]) ? latest_h : ends->vessel_h[v];
    if (isinf(course->leisure_end_h))
        course->leisure_end_h = ends->leisure_h;
    course->ended_supplies |= note->lack_supplies;
    course->ended_vessels |= note->lack_vessels;
}

/* A tank that others of its supply follow ends when it is empty or full, though nothing goes short then. */
static void watch_vessels(const lw_context *c, const lw_state *before, const lw_state *s, double at_h, double dt_h,
                          lw_course *course)
{
    for (int i = 0; i < c->watched_count; i++) {
        const int v = c->watched[i];
        if (c->end_sign[v] * (s->level[v] - c->end_level[v]) < 0.0 || !isinf(course->vessel_end_h[v]))
            continue;
        const double left = lw_vessel_room(c, v, s), was = lw_vessel_room(c, v, before);
        course->vessel_end_h[v] = at_h + (was > left ? dt_h * lw_least(lw_most(was / (was - left), 0.0), 1.0) : 0.0);
    }
}

/* ------------------------------------------------------------------ sums over a course */

static void sum_unmet(const lw_context *c, const lw_hour *hour, const lw_step_note *note, double at_h, double dt_h,
                      lw_course *course)
{
    if (note->unmet_wh > UNMET_WH) {
        course->unmet[LW_SUPPLY_BATTERY] += note->unmet_wh;
        course->unmet_h[LW_SUPPLY_BATTERY] += dt_h;
    }
    if (note->data_lack_gb > 0.0) {
        course->unmet[LW_SUPPLY_DATA] += note->data_lack_gb;
        course->unmet_h[LW_SUPPLY_DATA] += dt_h;
    }
    for (int i = 0; i < c->vital_count; i++)
        if (lw_vital_served(c, hour, note, i) < 1.0 - 1e-9 && isinf(course->vital_end_h[i]))
            course->vital_end_h[i] = at_h + lw_vital_served(c, hour, note, i) * dt_h;
}

/* Heat index inside; inside air keeps the outside's water: it is drier the warmer it is. Below 30 C the air itself. */
static double feels_like_c(const lw_hour *hour, double cabin_c)
{
    if (cabin_c < HEAT_BEGINS_C)
        return cabin_c;
    const double dew_c = lw_air_dew_point_c(hour->air_c, lw_most(hour->humidity_frac, 0.01));
    return lw_heat_index_c(cabin_c, lw_air_humidity_frac(cabin_c, dew_c));
}

/* In the NWS's danger class or above. */
static int is_dangerously_hot(const lw_hour *hour, double cabin_c)
{
    return cabin_c >= HEAT_BEGINS_C && lw_heat_class_of(feels_like_c(hour, cabin_c)) >= LW_HEAT_DANGER;
}

static void sum_comfort(const lw_context *c, const lw_hour *hour, const lw_step_note *note, const lw_state *s,
                        double at_h, double dt_h, lw_course *course)
{
    lw_comfort *k = &course->comfort;
    const int64_t at_s = c->start_s + (int64_t)floor(at_h * 3600.0 + 0.5);
    if (note->inside_min_c < k->inside_low_c)
        k->inside_low_c = note->inside_min_c, k->inside_low_s = at_s;
    if (note->inside_max_c > k->inside_high_c)
        k->inside_high_c = note->inside_max_c, k->inside_high_s = at_s;
    if (s->bay_c < k->bay_low_c)
        k->bay_low_c = s->bay_c, k->bay_low_s = at_s;
    if (note->inside_max_c < note->set_c - 0.5)
        k->below_set_h += dt_h;
    k->furnace_h += note->furnace_duty * dt_h;
    if (hour->is_somebody_in && is_dangerously_hot(hour, s->cabin_c))
        k->hot_h += dt_h;
}

/* ------------------------------------------------------------------ what happens */

typedef struct lw_stretch_times {
    double from, to; /* within the step, 0..1 */
    double h, dt_h;  /* begin from the start of the outlook, length */
} lw_stretch_times;

typedef struct lw_teller {
    const lw_context *c;
    lw_course *course;
    const lw_ends *ends; /* moments of this stretch; NULL: nothing ended in it */
    double at_h;
} lw_teller;

static int64_t second_of(const lw_context *c, double h)
{
    return c->start_s + (int64_t)floor(h * 3600.0 + 0.5);
}

static double moment(const lw_teller *t, double found_h)
{
    return isinf(found_h) ? t->at_h : found_h;
}

/* What can hurt somebody or wreck the rig: kept when the list fills up. */
static int is_grave(lw_event_kind kind)
{
    static const uint32_t GRAVE = 1u << LW_EVENT_VITAL_STOPS | 1u << LW_EVENT_VITAL_COLD | 1u << LW_EVENT_VITAL_HOT |
                                  1u << LW_EVENT_CABIN_COLD | 1u << LW_EVENT_CABIN_FREEZES | 1u << LW_EVENT_CABIN_HOT |
                                  1u << LW_EVENT_PIPES_FREEZE | 1u << LW_EVENT_VALVE_FREEZES |
                                  1u << LW_EVENT_ALARMS_STOP | 1u << LW_EVENT_FURNACE_STOPS;
    return (int)(GRAVE >> kind & 1u);
}

/* What happens day after day is told so many times of one kind; then only the first of each index finds room. All are
 * counted, so that "12 times, the last on Friday" can be said. */
static void tell(const lw_teller *t, lw_event_kind kind, int supply, int index, double at_h, double value)
{
    lw_course *course = t->course;
    lw_event_sum *sum = &course->event_sum[kind];
    const int64_t at_s = second_of(t->c, at_h);
    const int64_t leaves_s = t->c->scenario->stay.departure_s;
    if (leaves_s && at_s > leaves_s)
        return;
    const int most = is_grave(kind) ? LW_EVENTS : LW_EVENTS - LW_EVENTS_GRAVE;
    const uint32_t bit = lw_bit(index < 0 ? 31 : index);
    const int is_first = !(sum->seen & bit);
    sum->count++;
    sum->seen |= bit;
    if (sum->count == 1 || at_s > sum->last_s)
        sum->last_s = at_s;
    if (course->event_count >= most || (sum->count > LW_EVENTS_OF_KIND && !is_first)) {
        course->event_lost++;
        return;
    }
    course->event[course->event_count++] =
        (lw_event){.at_s = at_s, .kind = kind, .supply = supply, .index = index, .value = value};
}

/* Tells when a condition begins. */
static void begin(const lw_teller *t, lw_event_kind kind, int index, int is_now, int supply, double at_h, double value)
{
    const uint32_t bit = lw_bit(index);
    uint32_t *on = &t->course->is_on[kind];
    if (!is_now) {
        *on &= ~bit;
    } else if (!(*on & bit)) {
        *on |= bit;
        tell(t, kind, supply, index, at_h, value);
    }
}

/* A vessel that ended is told again only after it had room for a while: half a percent of it. */
static const double BACK_FRAC = 0.005;

static int has_leisure_data(const lw_context *c, const lw_state *s)
{
    const lw_row *row = &c->row[LW_SUPPLY_DATA];
    for (int i = 0; i < row->count; i++) {
        const lw_vessel *v = &c->scenario->rig.vessel[row->vessel[i]];
        if (s->level[row->vessel[i]] > lw_most(v->work_reserve, v->unusable) + BACK_FRAC * v->capacity)
            return 1;
    }
    return 0;
}

static void tell_supplies(const lw_teller *t, const lw_step_note *note, const lw_state *s)
{
    const lw_context *c = t->c;
    const lw_rig *rig = &c->scenario->rig;
    uint32_t *ended = &t->course->is_on[LW_EVENT_SUPPLY_END];
    for (int v = 0; v < rig->vessel_count; v++) {
        const uint32_t bit = lw_bit(v);
        const int supply = (int)rig->vessel[v].supply;
        if ((note->lack_vessels & bit) && !(*ended & bit)) {
            *ended |= bit;
            tell(t, LW_EVENT_SUPPLY_END, supply, v, moment(t, t->ends ? t->ends->vessel_h[v] : INFINITY), 0.0);
        } else if ((*ended & bit) && lw_vessel_room(c, v, s) > BACK_FRAC * rig->vessel[v].capacity) {
            *ended &= ~bit;
            tell(t, LW_EVENT_SUPPLY_BACK, supply, v, t->at_h, 0.0);
        }
    }
    for (int k = LW_SUPPLY_PROPANE; k <= LW_SUPPLY_FUEL; k++) {
        const uint32_t bit = lw_bit(LW_VESSELS + k - LW_SUPPLY_PROPANE);
        if ((note->lack_supplies & lw_bit(k)) && !(*ended & bit)) {
            *ended |= bit;
            tell(t, LW_EVENT_SUPPLY_END, k, -1, moment(t, t->ends ? t->ends->h[k] : INFINITY), 0.0);
        } else if ((*ended & bit) && lw_row_available(c, k, s) > BACK_FRAC * c->capacity[k]) {
            *ended &= ~bit;
            tell(t, LW_EVENT_SUPPLY_BACK, k, -1, t->at_h, 0.0);
        }
    }
    /* Told again only after there was more than work needs. */
    const int is_leisure_out =
        note->is_leisure_stopped || (t->course->is_on[LW_EVENT_LEISURE_DATA_ENDS] && !has_leisure_data(c, s));
    begin(t, LW_EVENT_LEISURE_DATA_ENDS, 0, is_leisure_out, LW_SUPPLY_DATA,
          moment(t, t->ends ? t->ends->leisure_h : INFINITY), 0.0);
}

static int has_new_lack(const lw_course *course, const lw_step_note *note)
{
    const uint32_t ended = course->is_on[LW_EVENT_SUPPLY_END];
    const uint32_t rows = note->lack_supplies >> LW_SUPPLY_PROPANE & 3u;
    return (note->lack_vessels & ~ended) || (rows & ~(ended >> LW_VESSELS)) ||
           (note->is_leisure_stopped && !course->is_on[LW_EVENT_LEISURE_DATA_ENDS]);
}

static void tell_power(const lw_teller *t, const lw_hour *hour, const lw_step_note *note, const lw_state *before,
                       const lw_state *s)
{
    const lw_context *c = t->c;
    if (!isinf(note->floor_h))
        begin(t, LW_EVENT_BATTERY_FLOOR, 0, 1, LW_SUPPLY_BATTERY, t->at_h + note->floor_h, lw_state_battery_frac(c, s));
    else
        begin(t, LW_EVENT_BATTERY_FLOOR, 0, 0, 0, 0.0, 0.0);
    for (int k = 0; k < c->cut_count; k++) {
        const int was = (before->cut & lw_bit(k)) != 0, is = (s->cut & lw_bit(k)) != 0;
        if (is && !was)
            tell(t, LW_EVENT_LOADS_CUT, LW_SUPPLY_BATTERY, k,
                 t->at_h + (note->has_cuts && !isinf(note->cut_h[k]) ? note->cut_h[k] : 0.0), c->cut_v[k]);
        if (was && !is)
            tell(t, LW_EVENT_LOADS_BACK, LW_SUPPLY_BATTERY, k, t->at_h, c->cut_v[k]);
    }
    begin(t, LW_EVENT_CHARGE_COLD, 0, note->cold_charge_wh > 1.0, LW_SUPPLY_BATTERY, t->at_h, note->cold_charge_wh);
    begin(t, LW_EVENT_GENERATOR_SMALL, 0, note->generator_missing_w > 1.0, LW_SUPPLY_BATTERY, t->at_h,
          note->generator_missing_w);
    begin(t, LW_EVENT_AC_STOPS, 0, note->ac_missing_w > 1.0, LW_SUPPLY_BATTERY, t->at_h, note->ac_missing_w);
    int network_off = 0, alarms_off = 0;
    for (int k = 0; k < c->cut_count; k++) {
        network_off |= (c->network_cuts & lw_bit(k)) && lw_served(note, k) < 0.999;
        alarms_off |= (c->alarm_cuts & lw_bit(k)) && lw_served(note, k) < 0.999;
    }
    if (hour->is_somebody_working || !network_off)
        begin(t, LW_EVENT_NETWORK_STOPS, 0, network_off, LW_SUPPLY_DATA, t->at_h, 0.0);
    begin(t, LW_EVENT_ALARMS_STOP, 0, alarms_off, LW_SUPPLY_BATTERY, t->at_h, 0.0);
    for (int i = 0; i < c->vital_count; i++)
        begin(t, LW_EVENT_VITAL_STOPS, i, lw_vital_served(c, hour, note, i) < 1.0 - 1e-9, LW_SUPPLY_BATTERY,
              t->at_h + lw_vital_served(c, hour, note, i) * note->span_h, 0.0);
    if (lw_served(note, c->pump_cut) < 0.999 && hour->pumped_l > 0.0)
        begin(t, LW_EVENT_WATER_STOPS, 0, 1, LW_SUPPLY_FRESH, t->at_h, 0.0);
    else if (hour->pumped_l > 0.0)
        begin(t, LW_EVENT_WATER_STOPS, 0, 0, 0, 0.0, 0.0);
}

static void tell_heat(const lw_teller *t, const lw_hour *hour, const lw_step_note *note, const lw_state *before,
                      const lw_state *s)
{
    const lw_context *c = t->c;
    const double cabin_c = s->cabin_c;
    const int is_cold_out = cabin_c < hour->heat_set_c - 0.5;
    const int has_furnace = c->furnace.input_w > 0.0;
    /* Warming up in the morning is no failure: only below the lowest set-point the furnace is too small. */
    const lw_cabin_use *cabin = &c->scenario->rig.cabin;
    const double least_set_c =
        hour->is_somebody_in ? lw_least(cabin->day_c, cabin->night_c) : lw_least(cabin->away_c, hour->heat_set_c);
    const int blower_off = lw_served(note, c->blower_cut) < 0.999;
    const int has_cylinders = c->row[LW_SUPPLY_PROPANE].count > 0;
    const int gas_out = (note->lack_supplies & lw_bit(LW_SUPPLY_PROPANE)) ||
                        (has_cylinders && lw_row_available(c, LW_SUPPLY_PROPANE, s) <= 0.0);
    const int gas_frozen = note->is_gas_cold && note->gas_limit_w < NO_GAS_FRAC * c->furnace.input_w;
    begin(t, LW_EVENT_FURNACE_STOPS, 0, has_furnace && is_cold_out && (blower_off || gas_out || gas_frozen),
          LW_SUPPLY_PROPANE, t->at_h,
          blower_off ? LW_FURNACE_WITHOUT_POWER
          : gas_out  ? LW_FURNACE_WITHOUT_GAS
                     : LW_FURNACE_GAS_TOO_COLD);
    begin(t, LW_EVENT_FURNACE_SHORT, 0,
          has_furnace && cabin_c < least_set_c - 0.5 && cabin_c <= before->cabin_c && !blower_off && !gas_out &&
              !note->is_gas_cold && note->furnace_duty > 0.99,
          LW_SUPPLY_PROPANE, t->at_h, cabin_c);
    begin(t, LW_EVENT_GAS_SHORT, 0, note->is_gas_cold && (is_cold_out || !has_furnace), LW_SUPPLY_PROPANE, t->at_h,
          note->gas_limit_w);
    begin(t, LW_EVENT_FRIDGE_STOPS, 0, note->fridge_frac < 0.5, LW_SUPPLY_BATTERY, t->at_h, 0.0);
    begin(t, LW_EVENT_FOOD_WARM, 0, s->fridge_warm_h >= LW_FOOD_WARM_H, LW_SUPPLY_FOOD,
          t->at_h + (isinf(note->food_warm_h) ? 0.0 : note->food_warm_h), LW_FOOD_WARM_H);
    begin(t, LW_EVENT_CABIN_COLD, 0, hour->is_somebody_in && cabin_c < COLD_C, LW_SUPPLY_PROPANE, t->at_h, cabin_c);
    begin(t, LW_EVENT_CABIN_FREEZES, 0, cabin_c < 0.0, LW_SUPPLY_PROPANE, t->at_h, cabin_c);
    begin(t, LW_EVENT_VALVE_FREEZES, 0, note->is_hose_freezing, LW_SUPPLY_GREY, t->at_h, hour->air_c);
    begin(t, LW_EVENT_PIPES_FREEZE, 0, note->is_pipe_freezing, LW_SUPPLY_FRESH, t->at_h, s->bay_c);
    begin(t, LW_EVENT_CABIN_HOT, 0, hour->is_somebody_in && is_dangerously_hot(hour, cabin_c), -1, t->at_h,
          feels_like_c(hour, cabin_c));
    const lw_crew *crew = &c->scenario->crew;
    for (int p = 0; p < crew->person_count; p++) {
        const int is_in = hour->is_in >> p & 1;
        begin(t, LW_EVENT_VITAL_COLD, p, is_in && cabin_c < crew->person[p].inside_low_c - AT_LIMIT_K, -1, t->at_h,
              cabin_c);
        begin(t, LW_EVENT_VITAL_HOT, p, is_in && cabin_c > crew->person[p].inside_high_c + AT_LIMIT_K, -1, t->at_h,
              cabin_c);
    }
}

static void tell_rubbish(const lw_teller *t, const lw_state *before, const lw_state *s)
{
    const lw_context *c = t->c;
    const lw_row *row = &c->row[LW_SUPPLY_RUBBISH];
    for (int i = 1; i < row->count; i++) {
        const int v = row->vessel[i];
        if (s->level[v] > c->vessel_eps[v] && before->level[v] <= c->vessel_eps[v])
            tell(t, LW_EVENT_RUBBISH_PLACE, LW_SUPPLY_RUBBISH, v, t->at_h, 0.0);
    }
    begin(t, LW_EVENT_RUBBISH_OLD, 0, s->rubbish_age_frac >= 1.0, LW_SUPPLY_RUBBISH, t->at_h, s->rubbish_age_frac);
}

/* Most hours nothing is amiss and nothing that was is over: then there is nothing to tell but where rubbish goes. */
static int is_quiet(const lw_context *c, const lw_hour *hour, const lw_step_note *note, const lw_state *before,
                    const lw_state *s, const lw_course *course)
{
    return !course->is_anything_on && !(note->lack_vessels | note->lack_supplies | s->cut | before->cut) &&
           !note->has_cuts && !note->is_gas_cold && !note->is_leisure_stopped && isinf(note->floor_h) &&
           note->cold_charge_wh <= 1.0 && note->generator_missing_w <= 1.0 && note->ac_missing_w <= 1.0 &&
           note->ac_lack_h <= 0.0 && note->fridge_frac >= 0.5 && note->unmet_wh <= UNMET_WH &&
           s->cabin_c >= lw_most(hour->heat_set_c - 0.5, COLD_C) && s->cabin_c < HEAT_BEGINS_C &&
           s->cabin_c >= c->vital_low_c && s->cabin_c <= c->vital_high_c && !note->is_hose_freezing &&
           !note->is_pipe_freezing && s->rubbish_age_frac < 1.0;
}

static void tell_all(const lw_run *run, int step, const lw_stretch_times *at, const lw_step_note *note,
                     const lw_state *before, const lw_state *s, lw_course *course)
{
    const lw_context *c = run->context;
    if (is_quiet(c, &c->hour[step], note, before, s, course)) {
        tell_rubbish(&(lw_teller){.c = c, .course = course, .at_h = at->h}, before, s);
        return;
    }
    lw_ends ends;
    const int is_new = has_new_lack(course, note);
    if (is_new)
        find_ends(c, run->mode, step, at->from, at->to, before, &ends);
    const lw_teller t = {.c = c, .course = course, .ends = is_new ? &ends : NULL, .at_h = at->h};
    tell_supplies(&t, note, s);
    tell_power(&t, &c->hour[step], note, before, s);
    tell_heat(&t, &c->hour[step], note, before, s);
    tell_rubbish(&t, before, s);
    course->is_anything_on = 0;
    for (int k = 0; k < LW_EVENT_KIND_COUNT; k++)
        course->is_anything_on |= course->is_on[k] != 0;
}

/* ------------------------------------------------------------------ the loop */

/* From here on a supply's own course and the joint one differ. */
static int is_parting(const lw_step_note *note, const lw_state *s)
{
    return note->lack_supplies || note->is_gas_cold || note->is_leisure_stopped || note->is_use_stopped ||
           note->unmet_wh > UNMET_WH || s->cut != 0 || note->gas_wish_w > note->gas_limit_w;
}

/* Returns 0 where the courses part and that was asked for: nothing of this stretch is kept then. Without a course only
 * state and flows move. */
static int stretch(const lw_run *run, int step, double from, double to, lw_state *s, lw_flows *flows, lw_course *course)
{
    const lw_context *c = run->context;
    const lw_state before = *s;
    const lw_stretch_times at = {
        .from = from, .to = to, .h = ((double)step + from) * c->step_h, .dt_h = (to - from) * c->step_h};
    lw_step_note note;
    note.wants = NULL;
    lw_step(c, run->mode, step, from, to, s, flows, &note);
    if (!course)
        return 1;
    if (run->stop_where_parting && is_parting(&note, s))
        return 0;
    if (run->mode == LW_MODE_OWN && has_new_end(course, &note)) {
        lw_ends ends;
        find_ends(c, run->mode, step, from, to, &before, &ends);
        keep_ends(&note, &ends, at.h + at.dt_h, course);
    }
    if (run->mode == LW_MODE_OWN && c->watched_count > 0)
        watch_vessels(c, &before, s, at.h, at.dt_h, course);
    if (s->rubbish_age_frac >= 1.0 && isinf(course->rubbish_age_h))
        course->rubbish_age_h =
            at.h + at.dt_h * (1.0 - before.rubbish_age_frac) / (s->rubbish_age_frac - before.rubbish_age_frac);
    sum_unmet(c, &c->hour[step], &note, at.h, at.dt_h, course);
    if (!run->tells)
        return 1;
    if (step < c->departure_step)
        sum_comfort(c, &c->hour[step], &note, s, at.h, at.dt_h, course);
    tell_all(run, step, &at, &note, &before, s, course);
    return 1;
}

static int one_step(const lw_run *run, int step, lw_state *s, lw_flows *flows, lw_course *course)
{
    const lw_context *c = run->context;
    const lw_hour *hour = &c->hour[step];
    double from = 0.0;
    for (int i = 0; i < hour->transfer_count; i++) {
        const lw_transfer *transfer = &c->scenario->transfer[hour->transfer_first + i];
        const double at = (double)(transfer->at_s - c->start_s) / 3600.0 / c->step_h - (double)step;
        if (at > from) {
            if (!stretch(run, step, from, at, s, flows, course))
                return 0;
            from = at;
        }
        lw_apply_transfer(c, transfer, s, flows);
    }
    return stretch(run, step, from, 1.0, s, flows, course);
}

static void mark_levels(const lw_context *c, const lw_state *s, int mark, float (*to)[LW_MARKS])
{
    const lw_rig *rig = &c->scenario->rig;
    double sum[LW_SUPPLY_COUNT] = {0};
    for (int v = 0; v < rig->vessel_count; v++)
        if (rig->vessel[v].filter_life_l <= 0.0)
            sum[rig->vessel[v].supply] += s->level[v];
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        to[k][mark] = c->capacity[k] > 0.0 ? (float)(sum[k] / c->capacity[k]) : 0.0f;
    to[LW_SUPPLY_BATTERY][mark] = (float)lw_state_battery_frac(c, s);
}

static void add_flows(lw_flows *to, const lw_flows *more, double sign)
{
    for (int k = 0; k < LW_FLOW_COUNT; k++)
        to->of[k] += sign * more->of[k];
}

static void keep_row(const lw_context *c, int step, const lw_state *s, const lw_flows *total, lw_series *series)
{
    const int hour = step / c->steps_per_hour;
    if (hour >= series->capacity)
        return;
    series->count = hour + 1;
    if (series->state)
        series->state[hour] = *s;
    if (series->flows)
        series->flows[hour] = *total; /* the sum so far, until lw_series_finish */
}

void lw_series_finish(lw_series *series)
{
    if (!series || !series->flows)
        return;
    for (int h = series->count - 1; h > 0; h--)
        add_flows(&series->flows[h], &series->flows[h - 1], -1.0);
}

/* The flows of the step in which the courses part are taken out again: worked out anew from where it began. */
static void undo_step(const lw_run *run, int step, const lw_state *before, lw_state *s, lw_course *course)
{
    lw_state again = *before;
    lw_flows flows = {{0}};
    lw_run same = *run;
    same.stop_where_parting = 0;
    (void)one_step(&same, step, &again, &flows, NULL);
    add_flows(&course->total, &flows, -1.0);
    *s = *before;
}

static void keep_sums(const lw_context *c, int step, const lw_state *s, lw_course *course)
{
    if (step == c->departure_step) {
        course->at_departure = *s;
        course->to_departure = course->total;
    }
    if (step == c->week_step) {
        course->first_week = course->total;
        course->first_week_h = step * c->step_h;
    }
}

int lw_run_steps(const lw_run *run, int first, lw_state *s, lw_course *course)
{
    const lw_context *c = run->context;
    lw_series *series = run->series;
    const int mark_steps = LW_MARK_HOURS * c->steps_per_hour;
    const int last = run->last > 0 ? run->last : c->steps;
    int at = first;
    for (; at < last; at++) {
        keep_sums(c, at, s, course);
        if (series && series->mark && at % mark_steps == 0)
            mark_levels(c, s, at / mark_steps, series->mark);
        if (run->stop_where_parting) {
            const lw_state before = *s;
            const int has_transfers =
                c->hour[at].transfer_count > 0; /* stretches before the parting one are kept then */
            lw_course kept;
            if (has_transfers)
                kept = *course;
            if (!one_step(run, at, s, &course->total, course)) {
                if (has_transfers)
                    *course = kept, *s = before;
                else
                    undo_step(run, at, &before, s, course);
                break;
            }
        } else {
            (void)one_step(run, at, s, &course->total, course);
        }
        if (series)
            keep_row(c, at, s, &course->total, series);
    }
    if (at == last) {
        keep_sums(c, at, s, course);
        course->last = *s;
    }
    return at;
}

void lw_course_clear(const lw_context *c, lw_course *course)
{
    memset(course, 0, sizeof *course);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        course->end_h[k] = INFINITY, course->end_vessel[k] = -1;
    for (int v = 0; v < LW_VESSELS; v++)
        course->vessel_end_h[v] = INFINITY;
    for (int i = 0; i < LW_VITALS; i++)
        course->vital_end_h[i] = INFINITY;
    course->rubbish_age_h = course->leisure_end_h = INFINITY;
    course->comfort = (lw_comfort){.inside_low_c = 1e3, .inside_high_c = -1e3, .bay_low_c = 1e3};
    if (c->scenario->stay.stay_end_s)
        course->end_h[LW_SUPPLY_STAY] = lw_most(0.0, (double)(c->scenario->stay.stay_end_s - c->start_s) / 3600.0);
}

void lw_course_run(const lw_context *c, lw_mode mode, lw_state *state, lw_course *course, lw_series *series)
{
    const lw_run run = {.context = c, .mode = mode, .tells = mode == LW_MODE_JOINT, .series = series};
    lw_course_clear(c, course);
    (void)lw_run_steps(&run, 0, state, course);
    lw_series_finish(series);
}

void lw_step_once(const lw_context *c, lw_mode mode, int step, lw_state *s, lw_flows *flows)
{
    const lw_run run = {.context = c, .mode = mode};
    *flows = (lw_flows){{0}};
    (void)one_step(&run, step, s, flows, NULL);
}

int lw_context_steps(const lw_context *c)
{
    return c->steps;
}

double lw_state_battery_wh(const lw_context *c, const lw_state *s)
{
    return lw_battery_energy_wh(&c->battery, s->battery_q1_ah + s->battery_q2_ah);
}

double lw_state_battery_frac(const lw_context *c, const lw_state *s)
{
    return lw_most(lw_battery_soc_frac(&c->battery, s->battery_q1_ah + s->battery_q2_ah), 0.0);
}
