#include <math.h>
#include <string.h>

#include "core/power/battery.h"
#include "core/sim/course_internal.h"
#include "core/sim/step_internal.h"

static const double DAY_H = 24.0;

void lw_state_start(const lw_context *c, lw_state *s)
{
    const lw_rig *rig = &c->scenario->rig;
    if (c->start) {
        *s = *c->start;
        return;
    }
    memset(s, 0, sizeof *s);
    for (int v = 0; v < rig->vessel_count; v++)
        s->level[v] = rig->vessel[v].level;
    const lw_kibam_state wells = lw_battery_at_soc(&c->battery, rig->battery.level_frac);
    s->battery_q1_ah = wells.q1_ah;
    s->battery_q2_ah = wells.q2_ah;
    s->cabin_c = rig->cabin.inside_c;
    s->bay_c = c->steps > 0 ? 0.5 * (rig->cabin.inside_c + c->hour[0].air_c) : rig->cabin.inside_c;
    s->battery_c = rig->battery.is_inside ? s->cabin_c : s->bay_c;
}

/* ------------------------------------------------------------------ one draw to quantiles */

static void set_quantiles(const lw_context *c, double end_h, double horizon_h, lw_leeway *to)
{
    const int is_beyond = !(end_h < horizon_h);
    const double h = is_beyond ? horizon_h : end_h;
    for (int i = 0; i < LW_QUANTILES; i++)
        to->q[i] = (lw_quantile){
            .days = h / DAY_H, .at_s = c->start_s + (int64_t)floor(h * 3600.0 + 0.5), .beyond_horizon = is_beyond};
    to->beyond_frac = is_beyond ? 1.0 : 0.0;
}

static double supply_level(const lw_context *c, int supply, const lw_state *s)
{
    const lw_rig *rig = &c->scenario->rig;
    double sum = 0.0;
    for (int i = 0; i < c->row[supply].count; i++)
        if (rig->vessel[c->row[supply].vessel[i]].filter_life_l <= 0.0)
            sum += s->level[c->row[supply].vessel[i]];
    return sum;
}

double lw_supply_level(const lw_context *c, int supply, const lw_state *s)
{
    if (supply == LW_SUPPLY_BATTERY)
        return lw_state_battery_wh(c, s);
    return supply_level(c, supply, s);
}

static double capacity_of(const lw_context *c, int supply)
{
    if (supply == LW_SUPPLY_BATTERY)
        return lw_battery_energy_wh(&c->battery, c->battery.wells.qmax_ah);
    return c->capacity[supply];
}

double lw_flows_demand(const lw_flows *f, lw_supply supply)
{
    static const int8_t of[LW_SUPPLY_COUNT][2] = {
        [LW_SUPPLY_FRESH] = {LW_FLOW_FRESH_OUT, LW_FLOW_FRESH_SHORT},
        [LW_SUPPLY_DRINKING] = {LW_FLOW_DRINKING_OUT, LW_FLOW_DRINKING_SHORT},
        [LW_SUPPLY_GREY] = {LW_FLOW_GREY_IN, LW_FLOW_GREY_OVER},
        [LW_SUPPLY_BLACK] = {LW_FLOW_BLACK_IN, LW_FLOW_BLACK_OVER},
        [LW_SUPPLY_BATTERY] = {LW_FLOW_DC_LOADS, LW_FLOW_INVERTER_IN},
        [LW_SUPPLY_PROPANE] = {LW_FLOW_PROPANE_OUT, LW_FLOW_PROPANE_SHORT},
        [LW_SUPPLY_FUEL] = {LW_FLOW_FUEL_OUT, LW_FLOW_FUEL_SHORT},
        [LW_SUPPLY_RUBBISH] = {LW_FLOW_RUBBISH_IN, LW_FLOW_RUBBISH_OVER},
        [LW_SUPPLY_DATA] = {LW_FLOW_DATA_OUT, LW_FLOW_DATA_SHORT},
        [LW_SUPPLY_FOOD] = {LW_FLOW_FOOD_OUT, LW_FLOW_FOOD_SHORT},
    };
    return supply == LW_SUPPLY_STAY ? 0.0 : f->of[of[supply][0]] + f->of[of[supply][1]];
}

static int is_present(const lw_context *c, int supply)
{
    const lw_rig *rig = &c->scenario->rig;
    if (supply == LW_SUPPLY_BATTERY)
        return rig->battery.capacity_ah > 0.0;
    if (supply == LW_SUPPLY_STAY)
        return c->scenario->stay.stay_end_s != 0;
    return c->row[supply].count > 0;
}

static double use_per_day(const lw_course *own, int supply)
{
    if (supply == LW_SUPPLY_STAY)
        return 1.0;
    return own->first_week_h > 0.0 ? lw_flows_demand(&own->first_week, (lw_supply)supply) * DAY_H / own->first_week_h
                                   : 0.0;
}

static int has_leisure_data(const lw_context *c)
{
    for (int u = 0; u < c->scenario->crew.use_count; u++)
        if (c->chore[u].is_leisure_data)
            return 1;
    return 0;
}

static void fill_leeways(const lw_context *c, const lw_state *start, const lw_course *own, const lw_course *joint,
                         double joint_h, lw_outlook *out)
{
    const double horizon_h = c->steps * c->step_h;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        lw_leeway *l = &out->leeway[k];
        l->is_present = is_present(c, k);
        l->vessel = own->end_vessel[k];
        set_quantiles(c, own->end_h[k], horizon_h, l);
        for (int i = 0; i < LW_QUANTILES; i++)
            l->start[i] = lw_supply_level(c, k, start);
        l->capacity = capacity_of(c, k);
        l->use_per_day = use_per_day(own, k);
        l->at_departure = c->scenario->stay.departure_s ? lw_supply_level(c, k, &joint->at_departure) : NAN;
        l->spread_use_frac = NAN;
        l->unmet = own->unmet[k];
        l->unmet_h = own->unmet_h[k];
    }
    out->leeway[LW_SUPPLY_PROPANE].is_too_cold = own->is_gas_too_cold;
    const lw_rig *rig = &c->scenario->rig;
    for (int v = 0; v < rig->vessel_count; v++) {
        lw_leeway *l = &out->vessel[v];
        l->is_present = 1;
        l->vessel = v;
        set_quantiles(c, own->vessel_end_h[v], horizon_h, l);
        for (int i = 0; i < LW_QUANTILES; i++)
            l->start[i] = start->level[v];
        l->capacity = rig->vessel[v].capacity;
        l->at_departure = c->scenario->stay.departure_s ? joint->at_departure.level[v] : NAN;
    }
    out->rubbish_age.is_present = c->row[LW_SUPPLY_RUBBISH].count > 0;
    out->rubbish_age.vessel = -1;
    set_quantiles(c, own->rubbish_age_h, horizon_h, &out->rubbish_age);
    out->leisure_data.is_present = c->has_work_data && has_leisure_data(c);
    out->leisure_data.vessel = -1;
    set_quantiles(c, own->leisure_end_h, horizon_h, &out->leisure_data);
    out->vital_count = c->vital_count;
    for (int i = 0; i < c->vital_count; i++) {
        out->vital_load[i] = c->vital_load[i];
        out->vital[i].is_present = 1;
        out->vital[i].vessel = -1;
        set_quantiles(c, joint->vital_end_h[i], joint_h, &out->vital[i]);
    }
}

void lw_sort_supplies(lw_outlook *out)
{
    out->order_count = 0;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        if (!out->leeway[k].is_present)
            continue;
        int i = out->order_count++;
        for (; i > 0 && out->leeway[out->order[i - 1]].q[1].days > out->leeway[k].q[1].days; i--)
            out->order[i] = out->order[i - 1];
        out->order[i] = k;
    }
    out->binding = -1;
    if (out->order_count > 0 && !out->leeway[out->order[0]].q[1].beyond_horizon) {
        out->binding = out->order[0];
        if (out->draws <= 1)
            out->leeway[out->binding].binds_frac = 1.0;
    }
}

/* A step tells its parts one after the other; people want the order of time. */
static void take_events(const lw_course *joint, lw_outlook *out)
{
    for (int n = 0; n < joint->event_count; n++) {
        int i = n;
        for (; i > 0 && out->event[i - 1].at_s > joint->event[n].at_s; i--)
            out->event[i] = out->event[i - 1];
        out->event[i] = joint->event[n];
    }
    out->event_count = joint->event_count;
    memcpy(out->event_sum, joint->event_sum, sizeof out->event_sum);
}

static void copy_series(const lw_series *from, int rows, lw_series *to)
{
    const int n = rows < to->capacity ? rows : to->capacity;
    to->count = n;
    if (to->state && from->state)
        memcpy(to->state, from->state, (size_t)n * sizeof *to->state);
    if (to->flows && from->flows)
        memcpy(to->flows, from->flows, (size_t)n * sizeof *to->flows);
}

int lw_last_joint_step(const lw_context *c, int parting)
{
    const int fortnight = parting + 14 * 24 * c->steps_per_hour;
    if (!c->scenario->stay.departure_s)
        return fortnight < c->steps ? fortnight : c->steps;
    return c->departure_step > parting ? c->departure_step : parting;
}

void lw_settle_comfort(const lw_context *c, const lw_state *start, lw_comfort *comfort)
{
    if (comfort->inside_low_c <= comfort->inside_high_c)
        return;
    comfort->inside_low_c = comfort->inside_high_c = start->cabin_c;
    comfort->bay_low_c = start->bay_c;
    comfort->inside_low_s = comfort->inside_high_s = comfort->bay_low_s = c->start_s;
}

int lw_run_both(const lw_context *c, const lw_courses_wish *wish, int joint_last, lw_course *own, lw_course *joint)
{
    lw_series *const own_series = wish->own_series, *const joint_series = wish->joint_series;
    lw_state start, s;
    /* The common part writes to whichever rows are wanted. */
    lw_series marks = own_series ? *own_series : joint_series ? *joint_series : (lw_series){.capacity = 0};
    marks.mark = wish->mark;
    marks.count = 0;
    lw_state_start(c, &start);
    s = start;
    lw_course_clear(c, own);
    const lw_run common = {.context = c,
                           .mode = LW_MODE_OWN,
                           .tells = 1,
                           .stop_where_parting = 1,
                           .series = &marks,
                           .is_without_flows = wish->is_without_flows};
    const int parting = lw_run_steps(&common, 0, &s, own);
    if (joint_series && own_series)
        copy_series(&marks, parting / c->steps_per_hour, joint_series);
    else if (joint_series)
        joint_series->count = marks.count;
    *joint = *own;
    if (parting >= c->steps) {
        joint_last = c->steps;
    } else {
        lw_state joint_s = s;
        if (!own_series)
            marks = (lw_series){.mark = wish->mark};
        joint_last = joint_last < 0 ? lw_last_joint_step(c, parting) : joint_last;
        const lw_run apart = {.context = c,
                              .mode = LW_MODE_JOINT,
                              .tells = 1,
                              .series = joint_series,
                              .last = joint_last,
                              .is_without_flows = wish->is_without_flows};
        if (joint_last > parting)
            (void)lw_run_steps(&apart, parting, &joint_s, joint);
        const lw_run alone = {
            .context = c, .mode = LW_MODE_OWN, .series = &marks, .is_without_flows = wish->is_without_flows};
        (void)lw_run_steps(&alone, parting, &s, own);
    }
    if (own_series) {
        own_series->count = marks.count;
        lw_series_finish(own_series);
    }
    lw_series_finish(joint_series);
    lw_settle_comfort(c, &start, &joint->comfort);
    return joint_last;
}

void lw_outlook_make(const lw_context *c, lw_outlook *out, lw_series *own_series, lw_series *joint_series)
{
    lw_state start;
    lw_course own, joint;
    memset(out, 0, sizeof *out);
    lw_state_start(c, &start);
    const lw_courses_wish wish = {.own_series = own_series, .joint_series = joint_series, .mark = out->mark};
    const int joint_last = lw_run_both(c, &wish, -1, &own, &joint);

    out->start_s = c->start_s;
    out->horizon_s = c->start_s + (int64_t)(c->steps / c->steps_per_hour) * 3600;
    out->departure_s = c->scenario->stay.departure_s;
    out->joint_until_s = c->start_s + (int64_t)floor(joint_last * c->step_h * 3600.0 + 0.5);
    out->steps_per_hour = c->steps_per_hour;
    out->policy = LW_POLICY_AS_IS;
    out->draws = 1;
    out->mark_count = (c->steps / c->steps_per_hour + LW_MARK_HOURS - 1) / LW_MARK_HOURS;
    fill_leeways(c, &start, &own, &joint, joint_last * c->step_h, out);
    lw_sort_supplies(out);
    take_events(&joint, out);
    out->event_lost = joint.event_lost;
    out->own = own.total;
    out->joint = joint.total;
    out->own_to_departure = own.to_departure;
    out->joint_to_departure = joint.to_departure;
    out->comfort = joint.comfort;
}
