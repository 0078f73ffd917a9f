#include <math.h>

#include "core/base/num.h"
#include "core/heat/comfort.h"
#include "core/sim/stretch_internal.h"
#include "core/sky/air.h"

static const double AT_LIMIT_K = 0.05; /* held right at a limit is not beyond it */

/* Heat index inside; inside air keeps the outside's water: it is drier the warmer it is. Below 30 C the air itself. */
static double feels_like_c(double dew_c, double cabin_c)
{
    if (cabin_c < LW_HEAT_BEGINS_C)
        return cabin_c;
    return lw_heat_index_c(cabin_c, lw_air_humidity_frac(cabin_c, dew_c));
}

int lw_is_dangerously_hot(double dew_c, double cabin_c)
{
    return cabin_c >= LW_HEAT_BEGINS_C && lw_heat_class_of(feels_like_c(dew_c, cabin_c)) >= LW_HEAT_DANGER;
}

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
        if (!*on)
            return;
        *on &= ~bit;
        if (!*on)
            t->course->kinds_on &= ~(UINT32_C(1) << kind);
    } else if (!(*on & bit)) {
        *on |= bit;
        t->course->kinds_on |= UINT32_C(1) << kind;
        tell(t, kind, supply, index, at_h, value);
    }
}

static int has_leisure_data(const lw_context *c, const lw_state *s)
{
    const lw_row *row = &c->row[LW_SUPPLY_DATA];
    for (int i = 0; i < row->count; i++) {
        const lw_vessel *v = &c->scenario->rig.vessel[row->vessel[i]];
        if (s->level[row->vessel[i]] > lw_most(v->work_reserve, v->unusable) + LW_BACK_FRAC * v->capacity)
            return 1;
    }
    return 0;
}

static void tell_supplies(const lw_teller *t, const lw_step_note *note, const lw_state *s)
{
    const lw_context *c = t->c;
    const lw_rig *rig = &c->scenario->rig;
    uint32_t *ended = &t->course->is_on[LW_EVENT_SUPPLY_END];
    const uint32_t amiss = note->lack_vessels | *ended;
    for (uint32_t left = amiss & (lw_bit(rig->vessel_count) - 1u); left; left &= left - 1u) {
        const int v = __builtin_ctz(left);
        const uint32_t bit = lw_bit(v);
        const int supply = (int)rig->vessel[v].supply;
        if ((note->lack_vessels & bit) && !(*ended & bit)) {
            *ended |= bit;
            tell(t, LW_EVENT_SUPPLY_END, supply, v, moment(t, t->ends ? t->ends->vessel_h[v] : INFINITY), 0.0);
        } else if ((*ended & bit) && lw_vessel_room(c, v, s) > LW_BACK_FRAC * rig->vessel[v].capacity) {
            *ended &= ~bit;
            tell(t, LW_EVENT_SUPPLY_BACK, supply, v, t->at_h, 0.0);
        }
    }
    for (int k = LW_SUPPLY_PROPANE; k <= LW_SUPPLY_FUEL; k++) {
        const uint32_t bit = lw_bit(LW_VESSELS + k - LW_SUPPLY_PROPANE);
        if ((note->lack_supplies & lw_bit(k)) && !(*ended & bit)) {
            *ended |= bit;
            tell(t, LW_EVENT_SUPPLY_END, k, -1, moment(t, t->ends ? t->ends->h[k] : INFINITY), 0.0);
        } else if ((*ended & bit) && lw_row_available(c, k, s) > LW_BACK_FRAC * c->capacity[k]) {
            *ended &= ~bit;
            tell(t, LW_EVENT_SUPPLY_BACK, k, -1, t->at_h, 0.0);
        }
    }
    t->course->kinds_on &= ~(UINT32_C(1) << LW_EVENT_SUPPLY_END);
    t->course->kinds_on |= *ended ? UINT32_C(1) << LW_EVENT_SUPPLY_END : 0u;
    /* Told again only after there was more than work needs. */
    const int is_leisure_out =
        note->is_leisure_stopped || (t->course->is_on[LW_EVENT_LEISURE_DATA_ENDS] && !has_leisure_data(c, s));
    begin(t, LW_EVENT_LEISURE_DATA_ENDS, 0, is_leisure_out, LW_SUPPLY_DATA,
          moment(t, t->ends ? t->ends->leisure_h : INFINITY), 0.0);
}

/* Where an end has to be looked for: a bit for propane and fuel, all others for what people use. */
static uint32_t new_lacks(const lw_course *course, const lw_step_note *note)
{
    static const uint32_t ROWS = UINT32_C(3) << LW_SUPPLY_PROPANE;
    const uint32_t ended = course->is_on[LW_EVENT_SUPPLY_END];
    const uint32_t rows = note->lack_supplies & ROWS & ~(ended >> LW_VESSELS << LW_SUPPLY_PROPANE);
    const int is_tank =
        (note->lack_vessels & ~ended) || (note->is_leisure_stopped && !course->is_on[LW_EVENT_LEISURE_DATA_ENDS]);
    return rows | (is_tank ? ~(ROWS | lw_bit(LW_SUPPLY_BATTERY)) : 0u);
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
    const int gas_frozen = note->is_gas_cold && note->gas_limit_w < LW_NO_GAS_FRAC * c->furnace.input_w;
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
    begin(t, LW_EVENT_CABIN_COLD, 0, hour->is_somebody_in && cabin_c < LW_COLD_C, LW_SUPPLY_PROPANE, t->at_h, cabin_c);
    begin(t, LW_EVENT_CABIN_FREEZES, 0, cabin_c < 0.0, LW_SUPPLY_PROPANE, t->at_h, cabin_c);
    begin(t, LW_EVENT_VALVE_FREEZES, 0, note->is_hose_freezing, LW_SUPPLY_GREY, t->at_h, hour->air_c);
    begin(t, LW_EVENT_PIPES_FREEZE, 0, note->is_pipe_freezing, LW_SUPPLY_FRESH, t->at_h, s->bay_c);
    begin(t, LW_EVENT_CABIN_HOT, 0, hour->is_somebody_in && lw_is_dangerously_hot(hour->dew_c, cabin_c), -1, t->at_h,
          feels_like_c(hour->dew_c, cabin_c));
    const lw_crew *crew = &c->scenario->crew;
    for (int p = 0; p < crew->person_count; p++) {
        const int is_in = hour->is_in >> p & 1;
        begin(t, LW_EVENT_VITAL_COLD, p, is_in && cabin_c < crew->person[p].inside_low_c - AT_LIMIT_K, -1, t->at_h,
              cabin_c);
        begin(t, LW_EVENT_VITAL_HOT, p, is_in && cabin_c > crew->person[p].inside_high_c + AT_LIMIT_K, -1, t->at_h,
              cabin_c);
    }
}

/* Of what stands outside: arrays, and the awning behind them. */
static void tell_outside(const lw_teller *t, const lw_hour *hour)
{
    const int arrays = t->c->scenario->rig.array_count;
    for (int a = 0; a < arrays; a++) {
        begin(t, LW_EVENT_SNOW_ON_PANELS, a, hour->snow_on >> a & 1, LW_SUPPLY_BATTERY, t->at_h, (double)hour->snow_mm);
        begin(t, LW_EVENT_WIND_HIGH, a, hour->wind_over >> a & 1, -1, t->at_h, hour->wind_ms);
    }
    begin(t, LW_EVENT_WIND_HIGH, LW_AWNING, hour->wind_over >> LW_AWNING & 1, -1, t->at_h, hour->wind_ms);
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

/* Most hours nothing is amiss and nothing that was is over; where something is, mostly one part of it alone. Each part
 * is looked at only while one of its kinds is in force or may begin. */
static int may_tell_supplies(const lw_step_note *note)
{
    return (note->lack_vessels | note->lack_supplies) || note->is_leisure_stopped;
}

static int may_tell_power(const lw_step_note *note, const lw_state *before, const lw_state *s)
{
    return (s->cut | before->cut) || note->has_cuts || !isinf(note->floor_h) || note->cold_charge_wh > 1.0 ||
           note->generator_missing_w > 1.0 || note->ac_missing_w > 1.0 || note->ac_lack_h > 0.0 ||
           note->unmet_wh > LW_UNMET_WH;
}

static int may_tell_heat(const lw_context *c, const lw_hour *hour, const lw_step_note *note, const lw_state *s)
{
    return note->has_cuts || note->is_gas_cold || note->fridge_frac < 0.5 ||
           s->cabin_c < lw_most(hour->heat_set_c - 0.5, LW_COLD_C) || s->cabin_c >= LW_HEAT_BEGINS_C ||
           s->cabin_c < c->vital_low_c || s->cabin_c > c->vital_high_c || note->is_hose_freezing ||
           note->is_pipe_freezing;
}

void lw_tell(const lw_run *run, int step, const lw_stretch_times *at, const lw_step_note *note, const lw_state *before,
             const lw_state *s, lw_course *course)
{
    const lw_context *c = run->context;
    const lw_hour *hour = &c->hour[step];
    const uint32_t on = course->kinds_on;
    lw_ends ends;
    lw_teller t = {.c = c, .course = course, .at_h = at->h};
    if (may_tell_supplies(note) || (on & LW_TELL_SUPPLY)) {
        const uint32_t lacks = new_lacks(course, note);
        if (lacks) {
            lw_ends_find(c, run->mode, step, at->from, at->to, before, note, lacks, &ends);
            t.ends = &ends;
        }
        tell_supplies(&t, note, s);
    }
    if (may_tell_power(note, before, s) || (on & LW_TELL_POWER))
        tell_power(&t, hour, note, before, s);
    if (may_tell_heat(c, hour, note, s) || (on & ~(LW_TELL_SUPPLY | LW_TELL_POWER | LW_TELL_OUTSIDE | LW_TELL_RUBBISH)))
        tell_heat(&t, hour, note, before, s);
    if ((hour->snow_on | hour->wind_over) || (on & LW_TELL_OUTSIDE))
        tell_outside(&t, hour);
    tell_rubbish(&t, before, s);
}
