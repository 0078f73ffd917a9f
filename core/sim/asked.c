#include "core/sim/asked.h"

#include <string.h>

#include "core/base/num.h"
#include "core/sim/step_internal.h"

static int has_filter(const lw_context *c, int supply)
{
    for (int i = 0; i < c->row[supply].count; i++)
        if (c->scenario->rig.vessel[c->row[supply].vessel[i]].filter_life_l > 0.0)
            return 1;
    return 0;
}

static void find_transfers(const lw_context *c, int from, int until, lw_asked *to)
{
    const int64_t from_s = c->start_s + (int64_t)from * 3600;
    for (int h = from; h < until; h++)
        for (int i = 0; i < c->hour[h].transfer_count; i++) {
            const lw_transfer *transfer = &c->scenario->transfer[c->hour[h].transfer_first + i];
            const uint32_t bit = lw_bit((int)c->scenario->rig.vessel[transfer->vessel].supply);
            if (transfer->at_s == from_s)
                to->is_begun |= bit;
            else
                to->is_known &= ~bit;
        }
}

static int reaches_all(const lw_context *c, int supply)
{
    for (int i = 0; i < c->strand_count; i++) {
        const lw_link *link = &c->strand[i].link;
        if (link->count > 0 && (int)link->supply == supply && link->count != c->row[supply].count)
            return 0;
    }
    return 1;
}

void lw_asked_make(const lw_context *c, int from, int until, lw_asked *to)
{
    static const uint8_t OF_USES[] = {LW_SUPPLY_FRESH, LW_SUPPLY_DRINKING, LW_SUPPLY_GREY,
                                      LW_SUPPLY_BLACK, LW_SUPPLY_RUBBISH,  LW_SUPPLY_FOOD};
    memset(to, 0, sizeof *to);
    for (size_t i = 0; i < sizeof OF_USES; i++) {
        const int k = OF_USES[i];
        if (c->row[k].count == 0 || has_filter(c, k))
            continue;
        to->is_known |= lw_bit(k);
        to->is_whole |= reaches_all(c, k) ? lw_bit(k) : 0u;
    }
    find_transfers(c, from, until, to);
    for (int h = from; h < until; h++) {
        const lw_hour *hour = &c->hour[h];
        to->days = hour->day + 1;
        for (int i = 0; i < hour->pour_count; i++) {
            const lw_pour *pour = &c->pour[hour->pour_first + i];
            const lw_strand *strand = &c->strand[pour->strand];
            if (strand->link.count > 0)
                to->of[strand->link.supply][hour->day][strand->group] += pour->amount;
        }
    }
}

double lw_asked_sum(const lw_asked *asked, lw_supply supply, const float *factor)
{
    double sum = 0.0;
    for (int d = 0; d < asked->days; d++)
        for (int g = 0; g < LW_GROUP_COUNT; g++)
            sum += asked->of[supply][d][g] * (double)factor[d * LW_GROUP_COUNT + g];
    return sum;
}

lw_asked_rooms lw_asked_room(const lw_context *c, lw_supply supply, const lw_state *s)
{
    lw_asked_rooms rooms = {0.0, 0.0, 0.0};
    for (int i = 0; i < c->row[supply].count; i++) {
        const int v = c->row[supply].vessel[i];
        const lw_vessel *vessel = &c->scenario->rig.vessel[v];
        const int fills = lw_supply_fills(supply);
        rooms.now += lw_most(lw_vessel_room(c, v, s), 0.0);
        rooms.renewed += lw_most(vessel->capacity - vessel->unusable - (fills ? vessel->residue : 0.0), 0.0);
        rooms.missing += fills ? s->level[v] : vessel->capacity - s->level[v];
    }
    return rooms;
}
