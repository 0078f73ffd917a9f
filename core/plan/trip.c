#include "core/plan/trip.h"

#include <math.h>
#include <string.h>

#include "core/plan/trip_internal.h"

enum { ROUNDS_USUAL = 180, ROUNDS_FIRST = 100, PAST_MOST = 128, WIDER = 4 };

/* ---- checks ---- */

static lw_code check_size(const lw_trip_in *in, lw_fault *fault)
{
    const lw_want wants[] = {
        {"days", in->days, 1, LW_TRIP_DAYS},
        {"place_count", in->place_count, 1, LW_TRIP_PLACES},
        {"start", in->start, 0, in->place_count - 1},
        {"end", in->end, -1, in->place_count - 1},
        {"first_day", (double)in->first_day, -700000.0, 2900000.0},
        {"week_min", in->week_min, 0, 10080},
        {"week_used_min", in->week_used_min, 0, 10080},
        {"start_used", in->start_used, 0, LW_TRIP_FULL},
        {"budget_c", (double)in->budget_c, -1.0, 2e9},
        {"rule_count", in->rule_count, 0, LW_TRIP_RULES},
        {"wish_count", in->wish_count, 0, LW_TRIP_WISHES},
        {"cap_count", in->cap_count, 0, LW_TRIP_CAPS},
        {"history.count", in->history.count, 0, PAST_MOST},
    };
    return lw_want_all(fault, LW_WANTS(wants));
}

static lw_code check_days(const lw_trip_in *in, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "week", in->week[0], 0, 1);
    for (int d = 0; d <= in->days && !bad; d++) {
        bad = lw_want_range(fault, "day_min", in->day_min[d], 0, 1440);
        if (!bad && d > 0)
            bad = lw_want_range(fault, "week", in->week[d], in->week[d - 1], in->week[d - 1] + 1);
    }
    return bad;
}

static lw_code check_tables(const lw_trip_in *in, lw_fault *fault)
{
    lw_code bad = LW_OK;
    const double most = LW_TRIP_MOST_C;
    for (int p = 0; p < in->place_count && !bad; p++) {
        const lw_trip_place *place = &in->place[p];
        bad = lw_spot_check(&place->at.spot, fault);
        const lw_want wants[] = {{"rule", place->rule, -1, in->rule_count - 1},
                                 {"run_money_c", place->run_money_c, 0, most},
                                 {"run_burden_c", place->run_burden_c, 0, most}};
        bad = bad ? bad : lw_want_all(fault, LW_WANTS(wants));
        for (int d = 0; d < in->days && !bad; d++) {
            const lw_trip_cell *c = trip_cell(in, p, d);
            const lw_want cell[] = {{"worth_c", c->worth_c, -most, most}, {"fee_c", c->fee_c, 0, most}};
            bad = lw_want_all(fault, LW_WANTS(cell));
        }
        for (int q = 0; q < in->place_count && !bad; q++) {
            const lw_trip_leg *leg = trip_leg(in, p, q);
            const lw_want costs[] = {{"money_c", leg->money_c, 0, most},
                                     {"burden_c", leg->burden_c, 0, most},
                                     {"served_money_c", leg->served_money_c, 0, most},
                                     {"served_burden_c", leg->served_burden_c, 0, most},
                                     {"served_shut", leg->served_shut, 0, 127}};
            bad = p == q ? LW_OK : lw_want_all(fault, LW_WANTS(costs));
        }
    }
    return bad;
}

static lw_code check_wishes(const lw_trip_in *in, lw_fault *fault)
{
    lw_code bad = LW_OK;
    for (int w = 0; w < in->wish_count && !bad; w++) {
        const lw_trip_wish *wish = &in->wish[w];
        const lw_want wants[] = {{"from_day", wish->from_day, 0, in->days - 1},
                                 {"until_day", wish->until_day, wish->from_day + 1, in->days},
                                 {"nights", wish->nights, 1, in->days},
                                 {"value_c", wish->value_c, 0, wish->is_must ? 0 : 10 * LW_TRIP_MOST_C}};
        bad = lw_want_all(fault, LW_WANTS(wants));
    }
    for (int c = 0; c < in->cap_count && !bad; c++)
        bad = lw_want_range(fault, "cap.nights", in->cap[c].nights, 0, in->days);
    return bad;
}

static lw_code check_history(const lw_trip_in *in, lw_fault *fault)
{
    lw_code bad = lw_stay_history_check(&in->history, fault);
    for (int r = 0; r < in->rule_count && !bad; r++)
        bad = lw_stay_rule_check(&in->rule[r], fault);
    for (int i = 0; i < in->history.count && !bad; i++)
        bad = lw_want_range(fault, "last_day", (double)in->history.stay[i].last_day, -719162.0, (double)in->first_day);
    return bad;
}

lw_code lw_trip_check(const lw_trip_in *in, lw_fault *fault)
{
    lw_code bad = check_size(in, fault);
    bad = bad ? bad : check_days(in, fault);
    bad = bad ? bad : check_tables(in, fault);
    bad = bad ? bad : check_wishes(in, fault);
    return bad ? bad : check_history(in, fault);
}

/* ---- the plan ---- */

size_t lw_trip_bytes(const lw_trip_in *in, int width)
{
    return trip_rules_bytes(in) + trip_bound_bytes(in) + trip_search_bytes(in, width) + 64;
}

/* The first night that no chain of places reaches by table and road alone. */
static int blocked_day(const lw_trip_in *in)
{
    lw_trip_places here = {0};
    trip_put(here, in->start);
    for (int d = 0; d < in->days; d++) {
        lw_trip_places next = {0};
        int any = 0;
        for (int p = 0; p < in->place_count; p++) {
            const int may = trip_cell(in, p, d)->may;
            if (!trip_has(here, p))
                continue;
            if ((may & LW_TRIP_NIGHT) && (d == 0 || (may & LW_TRIP_DAY)))
                trip_put(next, p), any = 1;
            for (int q = 0; q < in->place_count && (d == 0 || (may & LW_TRIP_LEAVE)); q++) {
                const int there = trip_cell(in, q, d)->may;
                const lw_trip_leg *leg = trip_leg(in, p, q);
                if (p != q && (there & LW_TRIP_NIGHT) && (there & LW_TRIP_ARRIVE) &&
                    (trip_may_drive(in, p, q, d, leg->road_min) ||
                     (trip_may_drive(in, p, q, d, leg->served_min) && trip_is_served(in, leg, d))))
                    trip_put(next, q), any = 1;
            }
        }
        if (!any)
            return d;
        memcpy(here, next, sizeof here);
    }
    return -1;
}

typedef struct plan {
    const lw_trip_in *in;
    const lw_trip_how *how;
    trip_rules rules;
    trip_bound bound;
    lw_trip_out *out;
    int64_t left; /* of the last pass; INT64_MAX before */
} plan;

static int64_t whole_cents(int64_t parts)
{
    return parts >= 0 ? parts / TRIP_SCALE : -((-parts + TRIP_SCALE - 1) / TRIP_SCALE);
}

static void tell(plan *p)
{
    lw_trip_out *out = p->out;
    lw_trip_sum sum;
    lw_fault fault;
    int64_t parts = p->bound.best_whole < p->left ? p->bound.best_whole : p->left;
    parts = out->is_found && parts < out->value_c * TRIP_SCALE ? out->value_c * TRIP_SCALE : parts;
    if (parts != INT64_MAX && parts != INT64_MIN)
        out->bound_c = whole_cents(parts) < out->bound_c ? whole_cents(parts) : out->bound_c;
    out->gap_frac = NAN;
    if (!out->is_found)
        return;
    if (lw_trip_walk(p->in, &out->chain, &sum, &fault) == LW_OK)
        out->worth_c = sum.worth_c;
    if (out->worth_c > 0)
        out->gap_frac = (double)(out->bound_c - out->value_c) / (double)out->worth_c;
    out->is_proven = out->bound_c <= out->value_c;
}

static int goes_on(void *with)
{
    plan *p = with;
    return !p->how->go_on || p->how->go_on(p->how->with, p->out);
}

static int is_enough(const plan *p)
{
    const lw_trip_out *out = p->out;
    return out->is_proven || (out->is_found && (p->how->is_any_enough || out->gap_frac <= p->how->enough_frac));
}

/* Passes of the search, each four times as wide as the one before, until none is left behind. */
static void widen(plan *p, lw_arena *arena)
{
    const size_t used = arena->used;
    lw_trip_out *out = p->out;
    const int all = p->how->rounds > 0 ? p->how->rounds : ROUNDS_USUAL;
    int is_going = trip_bound_improve(&p->bound, trip_least(all, ROUNDS_FIRST), INT64_MIN, goes_on, p, &out->rounds);
    if (p->bound.best_whole != TRIP_NONE)
        trip_bound_set_steps(&p->bound, TRIP_STEPS);
    for (int width = LW_TRIP_WIDTH_LEAST; is_going; width *= WIDER) {
        int64_t left;
        if (p->bound.best_whole == TRIP_NONE) { /* not even the longest path */
            out->is_proven = 1;
            return;
        }
        arena->used = used;
        if (trip_search_bytes(p->in, width) > arena->cap - used)
            return;
        const trip_search_how how = {.width = width, .go_on = goes_on, .with = p};
        is_going = trip_search(&p->rules, &p->bound, &how, arena, out, &left);
        out->width = width;
        p->left = left < p->left ? left : p->left;
        if (left == INT64_MIN) {
            p->left = out->is_found ? out->value_c * TRIP_SCALE : INT64_MIN;
            out->is_proven = 1;
        }
        tell(p);
        if (is_enough(p) || out->is_proven)
            return;
        if (is_going && out->rounds < all) {
            is_going = trip_bound_improve(&p->bound, all - out->rounds, out->is_found ? out->value_c : INT64_MIN,
                                          goes_on, p, &out->rounds);
            out->rounds = all; /* it has come as far as it comes */
            tell(p);
            if (is_enough(p))
                return;
        }
    }
}

lw_code lw_trip_plan(const lw_trip_in *in, const lw_trip_how *how, lw_arena *arena, lw_trip_out *out, lw_fault *fault)
{
    plan p = {.in = in, .how = how, .out = out, .left = INT64_MAX};
    *fault = (lw_fault){.code = LW_E_FULL, .field = "arena", .value = (double)arena->cap};
    if (!trip_rules_make(&p.rules, in, arena) || !trip_bound_make(&p.bound, in, &p.rules, arena) ||
        trip_search_bytes(in, LW_TRIP_WIDTH_LEAST) > arena->cap - arena->used)
        return LW_E_FULL;
    *out = (lw_trip_out){.blocked_day = -1, .bound_c = INT64_MAX, .gap_frac = NAN};
    widen(&p, arena);
    tell(&p);
    if (!out->is_found)
        out->blocked_day = blocked_day(in);
    *fault = (lw_fault){.code = LW_OK};
    return LW_OK;
}
