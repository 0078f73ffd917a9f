#include "service/allowance.h"

#include <math.h>
#include <stdio.h>

#include "service/words_internal.h"

/* The state at a moment: that at the end of the hour before it. NULL: at the start. */
static const lw_state *state_at(const lw_outlook_answer *a, int64_t now_s)
{
    const int row = lw_joint_row_at(a, now_s);
    return row < 0 ? NULL : &a->joint.state[row];
}

static double left_now(const lw_speaker *s, lw_supply supply, const lw_state *now)
{
    if (!now)
        return lw_left_of(s, supply);
    double left = 0.0;
    for (int v = 0; v < s->scenario->rig.vessel_count; v++) {
        const lw_vessel *t = &s->scenario->rig.vessel[v];
        if (t->supply == supply && t->filter_life_l <= 0.0)
            left += lw_supply_fills(supply) ? t->capacity - t->unusable - now->level[v] : now->level[v] - t->unusable;
    }
    return left > 0.0 ? left : 0.0;
}

/* What a unit of a use takes of a supply. */
static double taken_by(const lw_scenario *scenario, const lw_use *use, lw_supply supply)
{
    double sum = 0.0;
    for (int e = 0; e < use->effect_count; e++) {
        const lw_effect *effect = &use->effect[e];
        const int is_it = effect->kind == LW_EFFECT_SUPPLY   ? effect->at == (int)supply
                          : effect->kind == LW_EFFECT_VESSEL ? scenario->rig.vessel[effect->at].supply == supply
                                                             : 0;
        sum += is_it ? fabs(effect->amount) : 0.0;
    }
    return sum;
}

static int is_done(const lw_use *use)
{
    for (int p = 0; p < LW_PEOPLE; p++)
        if (use->rate[p] > 0.0)
            return 1;
    return 0;
}

/* What somebody may leave out for once, by its group; a unit of the habits is that of one person. */
static const char *const ONE_OF[LW_GROUP_COUNT] = {
    [LW_GROUP_SHOWERS] = "a shower",
    [LW_GROUP_DISHES] = "washing up for one",
};

static void name_largest(const lw_scenario *scenario, lw_allowance *to)
{
    for (int u = 0; u < scenario->crew.use_count; u++) {
        const lw_use *use = &scenario->crew.use[u];
        const double amount = taken_by(scenario, use, to->supply);
        if (ONE_OF[use->group] && is_done(use) && amount > to->one_amount) {
            to->one_amount = amount;
            snprintf(to->one, sizeof to->one, "%s", ONE_OF[use->group]);
        }
    }
    to->one_costs_h = to->one[0] && to->use_per_day > 0.0 ? 24.0 * to->one_amount / to->use_per_day : 0.0;
}

static lw_allowance of_battery(const lw_outlook_answer *a, double days, double stay_days, int64_t now_s)
{
    const lw_outlook *o = a->outlook;
    const lw_leeway *l = &o->leeway[LW_SUPPLY_BATTERY];
    const double floor_wh = l->capacity * a->loaded.scenario->rig.battery.floor_frac;
    const int row = lw_joint_row_at(a, now_s);
    const double now_wh = row < 0 ? l->start[1] : l->capacity * a->battery_frac[row];
    /* The own course takes what sun it can; what it could not take may be had by using more by day. */
    const lw_flows *f = &o->own_to_departure;
    const double sun_wh = (f->of[LW_FLOW_SUN_USED] + f->of[LW_FLOW_SUN_UNUSED]) / stay_days;
    const double left_wh = now_wh > floor_wh ? now_wh - floor_wh : 0.0;
    return (lw_allowance){.supply = LW_SUPPLY_BATTERY,
                          .left = left_wh,
                          .per_day = left_wh / days + sun_wh,
                          .use_per_day = l->use_per_day};
}

int lw_allowance_make(const lw_outlook_answer *a, int64_t now_s, lw_allowance rows[LW_SUPPLY_COUNT])
{
    const lw_outlook *o = a->outlook;
    const lw_scenario *scenario = a->loaded.scenario;
    const lw_speaker s = {.outlook = o, .scenario = scenario, .loaded = &a->loaded};
    const double days = (double)(o->departure_s - now_s) / 86400.0;
    const double stay_days = (double)(o->departure_s - o->start_s) / 86400.0;
    int count = 0;
    if (!o->departure_s || !(days > 0.0))
        return 0;
    for (int i = 0; i < o->order_count; i++) {
        const lw_supply k = (lw_supply)o->order[i];
        if (k == LW_SUPPLY_STAY || !lw_is_of_concern(&s, k))
            continue;
        if (k == LW_SUPPLY_BATTERY) {
            rows[count++] = of_battery(a, days, stay_days, now_s);
            continue;
        }
        lw_allowance *to = &rows[count++];
        *to = (lw_allowance){.supply = k, .left = left_now(&s, k, state_at(a, now_s))};
        to->per_day = to->left / days;
        to->use_per_day = o->leeway[k].use_per_day;
        name_largest(scenario, to);
    }
    return count;
}
