#include <math.h>
#include <string.h>

#include "core/base/num.h"
#include "core/sim/step_internal.h"

static const lw_flow_ids FLOWS_OF[LW_SUPPLY_COUNT] = {
    [LW_SUPPLY_FRESH] = {LW_FLOW_FRESH_OUT, LW_FLOW_FRESH_SHORT, LW_FLOW_FRESH_TRANSFER},
    [LW_SUPPLY_DRINKING] = {LW_FLOW_DRINKING_OUT, LW_FLOW_DRINKING_SHORT, LW_FLOW_DRINKING_TRANSFER},
    [LW_SUPPLY_GREY] = {LW_FLOW_GREY_IN, LW_FLOW_GREY_OVER, LW_FLOW_GREY_TRANSFER},
    [LW_SUPPLY_BLACK] = {LW_FLOW_BLACK_IN, LW_FLOW_BLACK_OVER, LW_FLOW_BLACK_TRANSFER},
    [LW_SUPPLY_BATTERY] = {LW_NO_FLOW, LW_NO_FLOW, LW_NO_FLOW},
    [LW_SUPPLY_PROPANE] = {LW_FLOW_PROPANE_OUT, LW_FLOW_PROPANE_SHORT, LW_FLOW_PROPANE_TRANSFER},
    [LW_SUPPLY_FUEL] = {LW_FLOW_FUEL_OUT, LW_FLOW_FUEL_SHORT, LW_FLOW_FUEL_TRANSFER},
    [LW_SUPPLY_RUBBISH] = {LW_FLOW_RUBBISH_IN, LW_FLOW_RUBBISH_OVER, LW_FLOW_RUBBISH_TRANSFER},
    [LW_SUPPLY_DATA] = {LW_FLOW_DATA_OUT, LW_FLOW_DATA_SHORT, LW_FLOW_DATA_TRANSFER},
    [LW_SUPPLY_FOOD] = {LW_FLOW_FOOD_OUT, LW_FLOW_FOOD_SHORT, LW_FLOW_FOOD_TRANSFER},
    [LW_SUPPLY_STAY] = {LW_NO_FLOW, LW_NO_FLOW, LW_NO_FLOW},
};

lw_flow_ids lw_flow_ids_of(int supply)
{
    return FLOWS_OF[supply];
}

static double room_at(const lw_link *link, int i, const lw_state *s)
{
    const double level = s->level[link->vessel[i]];
    const double room = link->kind == LW_LINK_DRAW ? level - link->limit[i] : link->limit[i] - level;
    return lw_most(room, 0.0);
}

static double room_in_reach(const lw_link *link, const lw_state *s)
{
    double room = 0.0;
    for (int i = 0; i < link->count; i++)
        room += room_at(link, i, s);
    return room;
}

double lw_vessel_room(const lw_context *c, int v, const lw_state *s)
{
    const lw_vessel *t = &c->scenario->rig.vessel[v];
    return lw_supply_fills(t->supply) ? t->capacity - t->unusable - s->level[v] : s->level[v] - t->unusable;
}

/* The common case: every first vessel in reach gives or takes it all. */
static int has_room(const lw_chore *chore, double units, const lw_state *s)
{
    for (int l = 0; l < chore->link_count; l++) {
        const lw_link *link = &chore->link[l];
        if (link->kind <= LW_LINK_PUT && link->count > 0 && !(units * link->amount <= room_at(link, 0, s)))
            return 0;
    }
    return 1;
}

static int is_shower_barred(const lw_context *c, const double level[LW_VESSELS])
{
    return c->shower_rubbish >= 0 && level[c->shower_rubbish] > c->vessel_eps[c->shower_rubbish];
}

static int is_barred(const lw_context *c, const lw_chore *chore, const lw_state *s)
{
    return chore->is_stopped_by_rubbish && is_shower_barred(c, s->level);
}

/* Share of its wish a use can have in the joint course: power, water, and room where its water goes. */
static double possible_share(const lw_context *c, const lw_chore *chore, double units, const lw_state *s,
                             const lw_step_note *note)
{
    double share = 1.0;
    if (!note->has_cuts && !chore->is_stopped_by_rubbish && has_room(chore, units, s))
        return 1.0;
    if (chore->needs_pump)
        share = lw_least(share, lw_part_served(note, c->pump_cut));
    if (chore->is_network)
        for (int k = 0; k < c->cut_count; k++)
            if (c->network_cuts & lw_bit(k))
                share = lw_least(share, lw_part_served(note, k));
    if (is_barred(c, chore, s))
        return 0.0;
    for (int l = 0; l < chore->link_count; l++) {
        const lw_link *link = &chore->link[l];
        const double need = units * link->amount;
        if (link->kind > LW_LINK_PUT || link->count == 0 || need <= 0.0)
            continue;
        const double room = room_in_reach(link, s);
        if (room < need)
            share = lw_least(share, room / need);
    }
    return share > 0.0 ? share : 0.0;
}

void lw_uses_expected(const lw_context *c, int step, double share, const lw_state *s, lw_expected *to)
{
    const lw_hour *hour = &c->hour[step];
    const float *factor = lw_factors_of(c, hour);
    lw_step_note powered; /* no more of it is read here */
    powered.has_cuts = 0;
    powered.part_all_h = powered.done_h = 1.0;
    *to = lw_expected_of(hour);
    for (int d = 0; d < hour->dose_count; d++) {
        const lw_dose *dose = &c->dose[hour->dose_first + d];
        const lw_chore *chore = &c->chore[dose->chore];
        if (chore->hot_l + chore->gas_wh + chore->pumped_l + chore->dc_wh <= 0.0)
            continue;
        const double units = dose->units * lw_factor_of(factor, chore->group);
        const double part = possible_share(c, chore, units * share, s, &powered);
        if (part >= 1.0)
            continue;
        const double missing = units * (1.0 - part);
        to->hot_l -= missing * chore->hot_l;
        to->gas_wh -= missing * chore->gas_wh;
        to->pumped_l -= missing * chore->pumped_l;
        to->uses_wh -= missing * chore->dc_wh;
    }
    to->hot_l = lw_most(to->hot_l, 0.0);
    to->gas_wh = lw_most(to->gas_wh, 0.0);
    to->pumped_l = lw_most(to->pumped_l, 0.0);
    to->uses_wh = lw_most(to->uses_wh, 0.0);
}

/* Moves an amount along the vessels in reach; returns what none of them could give or take. */
static double move(lw_mode mode, const lw_link *link, double amount, lw_state *s, lw_flows *f)
{
    double rest = amount;
    for (int i = 0; i < link->count && rest > 0.0; i++) {
        const double room = room_at(link, i, s), part = room < rest ? room : rest;
        s->level[link->vessel[i]] += link->kind == LW_LINK_DRAW ? -part : part;
        rest -= part;
    }
    if (f && link->moved != LW_NO_FLOW) {
        f->of[link->moved] += amount - rest;
        if (mode == LW_MODE_OWN)
            f->of[link->lent] += rest;
    }
    return rest;
}

/* The common case: the first vessel in reach has room for it all. Returns 0 where it has not. */
static int fill_whole(const lw_link *link, double amount, double level[LW_VESSELS])
{
    double *const at = &level[link->vessel[0]];
    const double change = link->kind == LW_LINK_DRAW ? -amount : amount;
    const double room = link->kind == LW_LINK_DRAW ? *at - link->limit[0] : link->limit[0] - *at;
    if (!(amount <= room))
        return 0;
    *at += change;
    return 1;
}

static int move_whole(const lw_link *link, double amount, lw_state *s, lw_flows *f)
{
    if (!fill_whole(link, amount, s->level))
        return 0;
    if (f && link->moved != LW_NO_FLOW)
        f->of[link->moved] += amount;
    return 1;
}

static void note_amounts(const lw_context *c, const lw_chore *chore, const lw_link *link, double wish, double lack,
                         lw_wants *wants)
{
    if (chore->is_leisure_data && c->has_work_data) {
        wants->leisure_want += wish;
        wants->leisure_lack += lack;
        return;
    }
    wants->supply_want[link->supply] += wish;
    wants->supply_lack[link->supply] += lack;
    if (link->count > 0) {
        wants->want[link->vessel[link->count - 1]] += wish;
        wants->lack[link->vessel[link->count - 1]] += lack;
    }
}

/* Data for leisure is what is left over from work: its end is not the supply's where somebody works. */
static void note_lack(int is_leisure_data, const lw_link *link, double lack, lw_step_note *note)
{
    if (link->supply == LW_SUPPLY_DATA) {
        if (is_leisure_data) {
            note->is_leisure_stopped = 1;
            return;
        }
        note->data_lack_gb += lack;
    }
    note->lack_supplies |= lw_bit(link->supply);
    if (link->count > 0)
        note->lack_vessels |= lw_bit(link->vessel[link->count - 1]);
}

/* What no vessel of the rig gives or takes. */
static void book_unmoved(const lw_link *link, double amount, lw_flows *f)
{
    if (link->kind == LW_LINK_OUTDOORS)
        f->of[LW_FLOW_OUTDOORS] += amount;
    else if (link->kind == LW_LINK_GONE)
        f->of[LW_FLOW_GONE] += amount;
    else /* a supply this rig does not track: what is used of it comes from, or goes, elsewhere */
        f->of[link->lent] += amount;
}

static void do_chore(const lw_context *c, lw_mode mode, const lw_chore *chore, double wished, lw_state *s, lw_flows *f,
                     lw_step_note *note)
{
    const double part = mode == LW_MODE_JOINT ? possible_share(c, chore, wished, s, note) : 1.0;
    const double units = wished * part;
    if (f)
        f->of[LW_FLOW_BODY_IN] += units * chore->body_l;
    if (part < 1.0 || is_barred(c, chore, s)) /* in its own course it goes on, but the courses part here */
        note->is_use_stopped = 1;
    for (int l = 0; l < chore->link_count; l++) {
        const lw_link *link = &chore->link[l];
        const double amount = units * link->amount;
        if (link->count > 0 && part >= 1.0 && move_whole(link, amount, s, f)) {
            if (note->wants)
                note_amounts(c, chore, link, amount, 0.0, note->wants);
            continue;
        }
        if (link->kind > LW_LINK_PUT || link->count == 0) {
            if (f)
                book_unmoved(link, amount, f);
        } else {
            /* In the joint course a use may stop for another supply's sake: only this one's own lack is noted. */
            const double wish = wished * link->amount;
            const double room = part < 1.0 ? room_in_reach(link, s) : INFINITY;
            const double rest = move(mode, link, amount, s, f);
            const double lack = part < 1.0 ? lw_most(wish - room, 0.0) : rest;
            if (note->wants)
                note_amounts(c, chore, link, wish, lack, note->wants);
            if (lack > (link->count > 0 ? c->vessel_eps[link->vessel[link->count - 1]] : 0.0))
                note_lack(chore->is_leisure_data && c->has_work_data, link, lack, note);
        }
    }
}

void lw_step_uses(const lw_context *c, lw_mode mode, int step, double share, uint32_t supplies, lw_state *s,
                  lw_flows *f, lw_step_note *note)
{
    const lw_hour *hour = &c->hour[step];
    const lw_dose *dose = &c->dose[hour->dose_first];
    const float *factor = lw_factors_of(c, hour);
    for (int d = 0; d < hour->dose_count; d++) {
        const lw_chore *chore = &c->chore[dose[d].chore];
        if (supplies == ~UINT32_C(0) || (chore->supplies & supplies))
            do_chore(c, mode, chore, dose[d].units * share * lw_factor_of(factor, chore->group), s, f, note);
    }
}

/* A draw's factors of a step by group; of a plain course: as the tables have it. */
static const float *factors_of(const lw_context *c, const lw_hour *hour)
{
    static const float ONES[LW_GROUP_COUNT] = {1.0f, 1.0f, 1.0f, 1.0f, 1.0f, 1.0f, 1.0f, 1.0f};
    return c->use_factor ? lw_factors_of(c, hour) : ONES;
}

/* Its row cannot give or take it all. In its own course the rest is lent; what has to be noted of that is noted. */
static void pour_short(const lw_context *c, const lw_strand *strand, double amount, lw_state *s, lw_flows *f,
                       lw_step_note *note)
{
    const lw_link *link = &strand->link;
    const int last = link->vessel[link->count - 1];
    const double lack = move(LW_MODE_OWN, link, amount, s, f);
    if (lack > c->vessel_eps[last])
        note_lack(strand->is_leisure_data, link, lack, note);
}

/* Moves what the step's uses move of these supplies, each from or into the first vessel it reaches; returns 0 where one of
 * them has not room for all of it, or burns something. */
static int fill_all(const lw_context *c, const lw_hour *hour, double share, uint32_t supplies, double level[LW_VESSELS])
{
    const lw_pour *pour = &c->pour[hour->pour_first];
    const float *factor = factors_of(c, hour);
    for (int i = 0; i < hour->pour_count; i++) {
        const lw_strand *strand = &c->strand[pour[i].strand];
        const int is_burnt = strand->link.supply == LW_SUPPLY_PROPANE || strand->link.supply == LW_SUPPLY_FUEL;
        if (strand->link.count > 0 && (supplies & lw_bit(strand->link.supply)) &&
            (is_burnt || !fill_whole(&strand->link, pour[i].amount * share * (double)factor[strand->group], level)))
            return 0;
    }
    return 1;
}

int lw_has_room_for_uses(const lw_context *c, const lw_hour *hour, double share, const lw_state *s)
{
    double level[LW_VESSELS];
    if (hour->is_use_barred_by_rubbish && is_shower_barred(c, s->level))
        return 0;
    memcpy(level, s->level, sizeof level);
    return fill_all(c, hour, share, ~UINT32_C(0), level) &&
           !(hour->is_use_barred_by_rubbish && is_shower_barred(c, level));
}

int lw_pour_whole(const lw_context *c, const lw_hour *hour, double share, uint32_t supplies, lw_state *s)
{
    double level[LW_VESSELS];
    memcpy(level, s->level, sizeof level);
    if (!fill_all(c, hour, share, supplies, level))
        return 0;
    memcpy(s->level, level, sizeof level);
    return 1;
}

void lw_pour_uses(const lw_context *c, const lw_hour *hour, double share, lw_state *s, lw_flows *f, lw_step_note *note)
{
    const lw_pour *pour = &c->pour[hour->pour_first];
    const float *factor = factors_of(c, hour);
    for (int i = 0; i < hour->pour_count; i++) {
        const lw_strand *strand = &c->strand[pour[i].strand];
        const double amount = pour[i].amount * share * (double)factor[strand->group];
        if (strand->link.count == 0) {
            if (f)
                f->of[strand->link.lent] += amount;
        } else if (!move_whole(&strand->link, amount, s, f))
            pour_short(c, strand, amount, s, f, note);
    }
    if (hour->is_use_barred_by_rubbish && is_shower_barred(c, s->level))
        note->is_use_stopped = 1;
}

double lw_transfer_level(const lw_vessel *vessel, const lw_transfer *transfer, double before)
{
    if (transfer->kind == LW_TRANSFER_FILL)
        return vessel->capacity;
    if (transfer->kind == LW_TRANSFER_EMPTY)
        return vessel->residue < before ? vessel->residue : before;
    return lw_least(lw_most(before + transfer->amount, 0.0), vessel->capacity);
}

void lw_apply_transfer(const lw_context *c, const lw_transfer *transfer, lw_state *s, lw_flows *f)
{
    const lw_vessel *t = &c->scenario->rig.vessel[transfer->vessel];
    double *level = &s->level[transfer->vessel];
    const double before = *level;
    *level = lw_transfer_level(t, transfer, before);
    if (f && FLOWS_OF[t->supply].transfer != LW_NO_FLOW && t->filter_life_l <= 0.0)
        f->of[FLOWS_OF[t->supply].transfer] += *level - before;
    if (t->supply == LW_SUPPLY_RUBBISH && lw_rubbish_is_empty(c, s))
        s->rubbish_age_frac = 0.0;
}

int lw_rubbish_is_empty(const lw_context *c, const lw_state *s)
{
    const lw_row *row = &c->row[LW_SUPPLY_RUBBISH];
    for (int i = 0; i < row->count; i++)
        if (s->level[row->vessel[i]] > c->vessel_eps[row->vessel[i]] + c->scenario->rig.vessel[row->vessel[i]].residue)
            return 0;
    return 1;
}
