/* The model's sentences once more, one after the other; the search is not asked. */
#include <string.h>

#include "core/plan/trip_internal.h"

typedef struct walk {
    const lw_trip_in *in;
    const lw_trip_chain *chain;
    lw_trip_sum *sum;
    lw_fault *fault;
    lw_stay_past stay[LW_STAYS];
    int stay_count;
    int used, week_min;
} walk;

static lw_code broken(walk *w, const char *what, int day)
{
    *w->fault = (lw_fault){.code = LW_E_CONFLICT, .field = what, .value = day};
    return LW_E_CONFLICT;
}

static int may(const walk *w, int place, int day, int what)
{
    return (trip_cell(w->in, place, day)->may & what) != 0;
}

static lw_code walk_leg(walk *w, int day, int from, int to, int is_served)
{
    const lw_trip_leg *leg = trip_leg(w->in, from, to);
    const int road_min = is_served ? leg->served_min : leg->road_min;
    const int32_t money_c = is_served ? leg->served_money_c : leg->money_c;
    if (road_min == LW_TRIP_NO_ROAD)
        return broken(w, "road", day);
    if (road_min > w->in->day_min[day])
        return broken(w, "day_min", day);
    if ((w->in->place[from].beyond & w->in->closed[day]) != (w->in->place[to].beyond & w->in->closed[day]))
        return broken(w, "pass", day);
    if (is_served && (leg->served_shut >> lw_weekday_of(w->in->first_day + day) & 1u))
        return broken(w, "service", day);
    w->week_min += road_min;
    if (w->week_min > w->in->week_min)
        return broken(w, "week_min", day);
    w->sum->money_c += money_c;
    w->sum->value_c -= money_c + (is_served ? leg->served_burden_c : leg->burden_c);
    w->sum->drive_min += road_min;
    w->sum->drives++;
    w->sum->served += is_served;
    w->used = is_served ? 0 : w->used;
    if (day == w->in->days)
        return LW_OK;
    const lw_trip_cell *there = trip_cell(w->in, to, day);
    if (there->reach_min && road_min > there->reach_min)
        return broken(w, "reach_min", day);
    return w->used + there->spare > LW_TRIP_FULL ? broken(w, "spare", day) : LW_OK;
}

static lw_code walk_morning(walk *w, int day, int from)
{
    const int to = w->chain->place[day], act = w->chain->act[day];
    if (from == to) {
        if (act != LW_TRIP_STAYS && act != LW_TRIP_STAYS_RUN)
            return broken(w, "act", day);
        if (day > 0 && !may(w, to, day, LW_TRIP_DAY))
            return broken(w, "day", day);
        if (act == LW_TRIP_STAYS)
            return LW_OK;
        if (day == 0 || !may(w, to, day, LW_TRIP_RUN))
            return broken(w, "run", day);
        const lw_trip_place *place = &w->in->place[to];
        w->sum->money_c += place->run_money_c;
        w->sum->value_c -= place->run_money_c + place->run_burden_c;
        w->sum->runs++;
        w->used = 0;
        return LW_OK;
    }
    if (act != LW_TRIP_DRIVES && act != LW_TRIP_DRIVES_SERVED)
        return broken(w, "act", day);
    if (day > 0 && !may(w, from, day, LW_TRIP_LEAVE))
        return broken(w, "leave", day);
    if (!may(w, to, day, LW_TRIP_ARRIVE))
        return broken(w, "arrive", day);
    return walk_leg(w, day, from, to, act == LW_TRIP_DRIVES_SERVED);
}

static lw_code walk_night(walk *w, int day)
{
    const int place = w->chain->place[day];
    const lw_trip_cell *c = trip_cell(w->in, place, day);
    if (!may(w, place, day, LW_TRIP_NIGHT))
        return broken(w, "night", day);
    w->used += c->use;
    if (w->used > LW_TRIP_FULL)
        return broken(w, "supplies", day);
    w->sum->worth_c += c->worth_c;
    w->sum->value_c += c->worth_c - c->fee_c;
    w->sum->money_c += c->fee_c;
    return LW_OK;
}

/* Each stay by the rule of its place, after all before it. */
static lw_code walk_rules(walk *w)
{
    const lw_trip_in *in = w->in;
    for (int i = 0; i < in->history.count; i++)
        w->stay[w->stay_count++] = in->history.stay[i];
    for (int arrive = 0; arrive < in->days;) {
        const lw_trip_place *place = &in->place[w->chain->place[arrive]];
        int leave = arrive + 1;
        while (leave < in->days && w->chain->place[leave] == w->chain->place[arrive])
            leave++;
        if (place->rule >= 0) {
            const lw_stay_history history = {w->stay, w->stay_count};
            const lw_stay_until until =
                lw_stay_last_day(&in->rule[place->rule], &history, place->at, in->first_day + arrive);
            if (until.is_limited && until.leave_day < in->first_day + leave)
                return broken(w, "stay rule", (int)(until.leave_day - in->first_day));
        }
        w->stay[w->stay_count++] =
            (lw_stay_past){place->at.spot, place->at.land, in->first_day + arrive, in->first_day + leave};
        arrive = leave;
    }
    return LW_OK;
}

static int is_kept(const walk *w, const lw_trip_wish *wish)
{
    int run = 0;
    for (int d = wish->from_day; d < wish->until_day; d++) {
        const int place = w->chain->place[d];
        run = !trip_has(wish->of, place) ? 0 : d > wish->from_day && w->chain->place[d - 1] == place ? run + 1 : 1;
        if (run >= wish->nights)
            return 1;
    }
    return 0;
}

static lw_code walk_wishes(walk *w)
{
    const lw_trip_in *in = w->in;
    for (int i = 0; i < in->wish_count; i++) {
        if (is_kept(w, &in->wish[i])) {
            w->sum->wishes |= UINT32_C(1) << i;
            w->sum->worth_c += in->wish[i].value_c;
            w->sum->value_c += in->wish[i].value_c;
        } else if (in->wish[i].is_must)
            return broken(w, "must", in->wish[i].from_day);
    }
    for (int c = 0; c < in->cap_count; c++) {
        int nights = 0;
        for (int d = 0; d < in->days; d++)
            nights += trip_has(in->cap[c].of, w->chain->place[d]);
        if (nights > in->cap[c].nights)
            return broken(w, "cap", 0);
    }
    return LW_OK;
}

static lw_code walk_end(walk *w, int from)
{
    const lw_trip_in *in = w->in;
    const int act = w->chain->act[in->days];
    if (in->end < 0 || from == in->end)
        return act == LW_TRIP_STAYS ? LW_OK : broken(w, "act", in->days);
    if (act != LW_TRIP_DRIVES && act != LW_TRIP_DRIVES_SERVED)
        return broken(w, "act", in->days);
    if (!may(w, from, in->days - 1, LW_TRIP_LEAVE))
        return broken(w, "leave", in->days);
    if (in->week[in->days] != in->week[in->days - 1])
        w->week_min = 0;
    return walk_leg(w, in->days, from, in->end, act == LW_TRIP_DRIVES_SERVED);
}

lw_code lw_trip_walk(const lw_trip_in *in, const lw_trip_chain *chain, lw_trip_sum *sum, lw_fault *fault)
{
    walk w = {
        .in = in, .chain = chain, .sum = sum, .fault = fault, .used = in->start_used, .week_min = in->week_used_min};
    int at = in->start;
    memset(sum, 0, sizeof *sum);
    for (int day = 0; day < in->days; day++) {
        if (chain->place[day] < 0 || chain->place[day] >= in->place_count)
            return broken(&w, "place", day);
        if (day > 0 && in->week[day] != in->week[day - 1])
            w.week_min = 0;
        lw_code bad = walk_morning(&w, day, at);
        bad = bad ? bad : walk_night(&w, day);
        if (bad)
            return bad;
        at = chain->place[day];
    }
    lw_code bad = walk_end(&w, at);
    bad = bad ? bad : walk_rules(&w);
    bad = bad ? bad : walk_wishes(&w);
    if (!bad && in->budget_c >= 0 && sum->money_c > in->budget_c)
        return broken(&w, "budget", in->days);
    return bad;
}
