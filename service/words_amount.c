#include <math.h>
#include <stdio.h>

#include "service/words_internal.h"

static const double NOTHING_FRAC = 1e-6; /* of what it holds: what sums of hours leave behind is no amount to tell */

int lw_vessels_of(const lw_scenario *scenario, lw_supply supply)
{
    int count = 0;
    for (int v = 0; v < scenario->rig.vessel_count; v++)
        count += scenario->rig.vessel[v].supply == supply && scenario->rig.vessel[v].filter_life_l <= 0.0;
    return count;
}

double lw_left_of(const lw_speaker *s, lw_supply supply)
{
    const lw_leeway *l = &s->outlook->leeway[supply];
    const lw_rig *rig = &s->scenario->rig;
    if (supply == LW_SUPPLY_STAY)
        return l->q[1].days;
    if (supply == LW_SUPPLY_BATTERY)
        return l->start[1];
    double closed = 0.0; /* what nobody may draw, or must not fill */
    for (int v = 0; v < rig->vessel_count; v++)
        if (rig->vessel[v].supply == supply && rig->vessel[v].filter_life_l <= 0.0)
            closed += rig->vessel[v].unusable;
    const double left = lw_supply_fills(supply) ? l->capacity - l->start[1] - closed : l->start[1] - closed;
    return left > NOTHING_FRAC * l->capacity ? left : 0.0;
}

/* A tank that nothing is drawn from or put into is no line of a report. */
int lw_is_of_concern(const lw_speaker *s, lw_supply supply)
{
    const lw_leeway *l = &s->outlook->leeway[supply];
    if (!l->is_present)
        return 0;
    return supply == LW_SUPPLY_BATTERY || supply == LW_SUPPLY_STAY || l->use_per_day > 0.0 || !l->q[1].beyond_horizon;
}

int64_t lw_concern_until(const lw_speaker *s)
{
    const lw_outlook *o = s->outlook;
    return o->departure_s > o->start_s && o->departure_s < o->horizon_s ? o->departure_s : o->horizon_s;
}
