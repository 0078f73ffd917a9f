#include <math.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/base/num.h"
#include "core/plan/trip_internal.h"

enum { LAYERS_A_DAY = 4, ROUNDS_WITHOUT = 12, BUDGET_PARTS = 1024, MINUTES_A_DAY = 1440 };
static const double MINUTES_A_NIGHT = 120.0, CENTS_A_NIGHT = 6000.0; /* what makes the kinds of multipliers alike */

static const double FIRST_LENGTH = 0.5, LONGER = 1.1, SHORTER = 0.66, NEW_SHARE = 0.1; /* of the steps; tried */

/* Where each kind of rule begins in the row of multipliers. */
typedef struct trip_rows {
    int budget, week, wish, cap, span, end;
} trip_rows;

static trip_rows rows_of(const trip_bound *b)
{
    trip_rows r = {.budget = 0, .week = 1};
    r.wish = r.week + LW_TRIP_DAYS + 1;
    r.cap = r.wish + LW_TRIP_WISHES;
    r.span = r.cap + LW_TRIP_CAPS;
    r.end = r.span + b->span_count;
    return r;
}

static size_t groups_most(const lw_trip_in *in)
{
    return 3 * (size_t)in->place_count;
}

static size_t spans_most(const lw_trip_in *in)
{
    return groups_most(in) * (size_t)(in->days + 1);
}

static size_t layers_most(const lw_trip_in *in)
{
    return TRIP_STEPS * ((size_t)1 << trip_least(in->wish_count, TRIP_CHOSEN));
}

static size_t rules_most(const lw_trip_in *in)
{
    return 2 + LW_TRIP_DAYS + LW_TRIP_WISHES + LW_TRIP_CAPS + spans_most(in);
}

size_t trip_bound_bytes(const lw_trip_in *in)
{
    const size_t n = (size_t)in->place_count, d = (size_t)in->days;
    return groups_most(in) * sizeof(lw_trip_places) + n * sizeof(int[3]) + spans_most(in) * sizeof(trip_span) +
           2 * n * d * sizeof(int32_t) + 2 * layers_most(in) * n * (d + 1) * sizeof(int32_t) + n * d * sizeof(int16_t) +
           n * sizeof(uint32_t) + 2 * n * n * (2 * sizeof(int32_t) + sizeof(uint16_t) + TRIP_SLOTS * sizeof(int32_t)) +
           4 * rules_most(in) * sizeof(double) + 2048;
}

/* ---- groups: places that are all near one another, so that the nights at them in a window are limited together ---- */

static int is_of_group(const trip_bound *b, const lw_trip_places group, int place, int first, int second)
{
    const trip_rules *r = b->rules;
    for (int q = 0; q < b->in->place_count; q++) {
        if (!trip_has(group, q))
            continue;
        if (!trip_has(r->near[first][place], q) || !trip_has(r->near[first][q], place))
            return 0;
        if (second >= 0 && (!trip_has(r->near[second][place], q) || !trip_has(r->near[second][q], place)))
            return 0;
    }
    return 1;
}

static void add_span(trip_bound *b, int group, int from, int until, int most)
{
    from = from < 0 ? 0 : from;
    until = trip_least(until, b->in->days);
    most = most < 0 ? 0 : most;
    if (most < until - from)
        b->span[b->span_count++] = (trip_span){.group = group, .from = from, .until = until, .most = most};
}

/* The least that places of the group have used before the trip in the days given. */
static int used_before(const trip_bound *b, const lw_trip_places group, trip_near which, int from)
{
    int least = LW_STAY_HORIZON_DAYS + 1;
    for (int p = 0; p < b->in->place_count; p++)
        if (trip_has(group, p))
            least = trip_least(least, trip_used(&b->rules->past[which][p], from, -1));
    return least;
}

/* N nights in any W: where days are counted in any part, the day after the last night counts as well. */
static void span_windows(trip_bound *b, int group, trip_near which, trip_near other, int most, int window, int is_any)
{
    for (int day = 0; day < b->in->days + is_any; day++) {
        const int from = day - window + 1;
        const int used = from < 0 ? trip_least(used_before(b, b->group[group], which, from),
                                               used_before(b, b->group[group], other, from))
                                  : 0;
        add_span(b, group, from, day + 1 - is_any, most - is_any - used);
    }
}

static void span_years(trip_bound *b, int group, int most)
{
    const lw_trip_in *in = b->in;
    for (int day = 0; day < in->days;) {
        const int year = lw_date_of(in->first_day + day).year;
        const int begins = (int)(lw_day_of((lw_date){year, 1, 1}) - in->first_day);
        const int next = (int)(lw_day_of((lw_date){year + 1, 1, 1}) - in->first_day);
        add_span(b, group, begins, next, most - used_before(b, b->group[group], NEAR_LAND, begins));
        day = next;
    }
}

/* kind 0: the window; 1: days running at a site; 2: the year. */
static int has_kind(const lw_stay_rule *rule, int kind)
{
    if (kind == 0) /* an anchored window may hold twice its days in any W */
        return rule->days > 0 && rule->window_days > 0 && rule->reading != LW_STAY_ANCHORED;
    return kind == 1 ? rule->consecutive_days > 0 : rule->year_days > 0;
}

static void make_groups(trip_bound *b, int rule_at, int kind)
{
    const lw_trip_in *in = b->in;
    const lw_stay_rule *rule = &in->rule[rule_at];
    const trip_near which = kind == 0 ? NEAR_FIRST : kind == 1 ? NEAR_SITE : NEAR_LAND;
    const int second = kind == 0 && rule->second_from ? NEAR_SECOND : -1;
    const int first_group = b->group_count;
    const int is_any = rule->count == LW_STAY_ANY_PART;
    for (int p = 0; p < in->place_count; p++) {
        int g = first_group;
        if (in->place[p].rule != rule_at)
            continue;
        while (g < b->group_count && !is_of_group(b, b->group[g], p, (int)which, second))
            g++;
        if (g == b->group_count)
            memset(b->group[b->group_count++], 0, sizeof(lw_trip_places));
        trip_put(b->group[g], p);
        b->groups_of[p][kind] = g;
    }
    for (int g = first_group; g < b->group_count; g++) {
        if (kind == 0)
            span_windows(b, g, which, second >= 0 ? NEAR_SECOND : which, rule->days, rule->window_days, is_any);
        else if (kind == 1)
            span_windows(b, g, which, which, rule->consecutive_days, rule->consecutive_days + 1, is_any);
        else
            span_years(b, g, rule->year_days);
    }
}

/* How far a stay can go from each arrival, and which wishes each place can keep. */
static void find_until(trip_bound *b)
{
    const lw_trip_in *in = b->in;
    for (int p = 0; p < in->place_count; p++) {
        b->wishes_of[p] = 0;
        for (int w = 0; w < in->wish_count; w++)
            b->wishes_of[p] |= (uint32_t)trip_has(in->wish[w].of, p) << w;
        for (int d = 0; d < in->days; d++) {
            int until = d;
            const int most =
                trip_cell(in, p, d)->may & LW_TRIP_NIGHT ? trip_until(b->rules, (trip_past){NULL, -1, d}, p, d) : d;
            while (until < most && (trip_cell(in, p, until)->may & LW_TRIP_NIGHT) &&
                   (until == d || (trip_cell(in, p, until)->may & LW_TRIP_DAY)))
                until++;
            b->until[d * in->place_count + p] = (int16_t)until;
        }
    }
}

/* Chosen wishes that may have been kept by a morning, and may yet be kept or not: where they tell layers apart. */
static uint32_t open_at(const trip_bound *b, int morning)
{
    uint32_t open = 0;
    for (int c = 0; c < b->chosen_count; c++) {
        const lw_trip_wish *wish = &b->in->wish[b->chosen[c]];
        open |= (uint32_t)(wish->from_day + wish->nights <= morning && morning < wish->until_day) << c;
    }
    return open;
}

static int layers_in_all(const trip_bound *b)
{
    int layers = 0;
    for (int d = 0; d <= b->in->days; d++) {
        int of_day = 1;
        for (uint32_t open = open_at(b, d); open; open &= open - 1)
            of_day *= 2;
        layers += of_day;
    }
    return layers;
}

/* Musts first, then the dearest, while the path is not made much longer to find. */
static void choose_wishes(trip_bound *b)
{
    const lw_trip_in *in = b->in;
    uint32_t seen = 0;
    for (int i = 0; i < in->wish_count && b->chosen_count < TRIP_CHOSEN; i++) {
        int best = -1;
        for (int w = 0; w < in->wish_count; w++)
            if (!(seen >> w & 1u) &&
                (best < 0 || in->wish[w].is_must > in->wish[best].is_must ||
                 (in->wish[w].is_must == in->wish[best].is_must && in->wish[w].value_c > in->wish[best].value_c)))
                best = w;
        if (best < 0)
            break;
        seen |= UINT32_C(1) << best;
        b->chosen[b->chosen_count++] = best;
        if (layers_in_all(b) > LAYERS_A_DAY * (in->days + 1))
            b->chosen_count--;
    }
}

static int is_chosen(const trip_bound *b, int wish)
{
    for (int c = 0; c < b->chosen_count; c++)
        if (b->chosen[c] == wish)
            return 1;
    return 0;
}

static int turn_legs(trip_bound *b, lw_arena *arena)
{
    const lw_trip_in *in = b->in;
    const size_t n = (size_t)in->place_count;
    for (int is_served = 0; is_served < 2; is_served++) {
        b->leg_parts[is_served] = lw_arena_lend(arena, n * n * sizeof(int32_t), 16);
        b->leg_money_c[is_served] = lw_arena_lend(arena, n * n * sizeof(int32_t), 16);
        b->leg_min[is_served] = lw_arena_lend(arena, n * n * sizeof(uint16_t), 16);
        for (int i = 0; i < TRIP_SLOTS; i++)
            b->slot[i].cost[is_served] = lw_arena_lend(arena, n * n * sizeof(int32_t), 16);
        if (!b->slot[TRIP_SLOTS - 1].cost[is_served] || !b->leg_min[is_served] || !b->leg_money_c[is_served] ||
            !b->leg_parts[is_served])
            return 0;
        for (size_t to = 0; to < n; to++)
            for (size_t from = 0; from < n; from++) {
                const lw_trip_leg *leg = trip_leg(in, (int)from, (int)to);
                const int32_t money_c = is_served ? leg->served_money_c : leg->money_c;
                const int32_t burden_c = is_served ? leg->served_burden_c : leg->burden_c;
                b->leg_parts[is_served][to * n + from] = (money_c + burden_c) * TRIP_SCALE;
                b->leg_money_c[is_served][to * n + from] = money_c;
                b->leg_min[is_served][to * n + from] = from == to  ? LW_TRIP_NO_ROAD
                                                       : is_served ? leg->served_min
                                                                   : leg->road_min;
            }
    }
    return 1;
}

int trip_bound_make(trip_bound *b, const lw_trip_in *in, const trip_rules *rules, lw_arena *arena)
{
    const size_t n = (size_t)in->place_count, d = (size_t)in->days;
    *b = (trip_bound){.in = in, .rules = rules, .best_whole = INT64_MAX, .steps = 1};
    b->group = lw_arena_lend(arena, groups_most(in) * sizeof(lw_trip_places), 8);
    b->groups_of = lw_arena_lend(arena, n * sizeof *b->groups_of, 8);
    b->span = lw_arena_lend(arena, spans_most(in) * sizeof *b->span, 8);
    b->night = lw_arena_lend(arena, n * d * sizeof *b->night, 16);
    b->leave = lw_arena_lend(arena, layers_most(in) * n * (d + 1) * sizeof *b->leave, 16);
    b->arrive = lw_arena_lend(arena, layers_most(in) * n * (d + 1) * sizeof *b->arrive, 16);
    b->until = lw_arena_lend(arena, n * d * sizeof *b->until, 8);
    b->wishes_of = lw_arena_lend(arena, n * sizeof *b->wishes_of, 8);
    double *rows = lw_arena_lend(arena, 4 * rules_most(in) * sizeof *rows, 8);
    if (!rows || !b->leave || !b->arrive || !b->until || !b->wishes_of || !b->night || !b->span || !b->groups_of ||
        !b->group || !turn_legs(b, arena))
        return 0;
    for (size_t p = 0; p < n; p++)
        b->groups_of[p][0] = b->groups_of[p][1] = b->groups_of[p][2] = -1;
    for (int rule = 0; rule < in->rule_count; rule++)
        for (int kind = 0; kind < 3; kind++)
            if (has_kind(&in->rule[rule], kind))
                make_groups(b, rule, kind);
    find_until(b);
    choose_wishes(b);
    memset(rows, 0, 4 * rules_most(in) * sizeof *rows);
    b->by = rows;
    b->best = rows + rules_most(in);
    b->breach = b->best + rules_most(in);
    b->mean = b->breach + rules_most(in);
    b->rule_count = rows_of(b).end;
    return 1;
}

/* ---- tables of the multipliers at hand ---- */

static int32_t parts(double cents)
{
    return (int32_t)lround(cents * TRIP_SCALE);
}

int64_t trip_bound_budget(const trip_bound *b, int64_t money_c)
{
    return money_c * TRIP_SCALE * b->budget_unit / BUDGET_PARTS;
}

int32_t trip_leg_cost(const trip_bound *b, const lw_trip_leg *leg, int day, int is_served)
{
    const int road_min = is_served ? leg->served_min : leg->road_min;
    if (road_min == LW_TRIP_NO_ROAD || road_min > b->in->day_min[day])
        return TRIP_LEG_NO;
    const int32_t money_c = is_served ? leg->served_money_c : leg->money_c;
    const int32_t burden_c = is_served ? leg->served_burden_c : leg->burden_c;
    return (money_c + burden_c) * TRIP_SCALE + (int32_t)trip_bound_budget(b, money_c) +
           b->week_unit[b->in->week[day]] * road_min;
}

static void fill_slot(const trip_bound *b, const trip_leg_slot *slot, int is_served)
{
    const size_t cells = (size_t)b->in->place_count * (size_t)b->in->place_count;
    const int32_t *parts_of = b->leg_parts[is_served], *money_c = b->leg_money_c[is_served];
    const uint16_t *road_min = b->leg_min[is_served];
    int32_t *cost = slot->cost[is_served];
    for (size_t i = 0; i < cells; i++) {
        const int32_t at = parts_of[i] + slot->week_unit * road_min[i];
        cost[i] = road_min[i] <= slot->day_min ? at : TRIP_LEG_NO;
    }
    for (size_t i = 0; i < cells && slot->budget_unit; i++)
        if (cost[i] != TRIP_LEG_NO)
            cost[i] += (int32_t)trip_bound_budget(b, money_c[i]);
}

/* Legs cost the same on days of equal limits and multipliers, whatever the week. */
const trip_leg_slot *trip_bound_legs(trip_bound *b, int day)
{
    const int32_t week_unit = b->week_unit[b->in->week[day]];
    trip_leg_slot *oldest = &b->slot[0];
    b->slot_clock++;
    for (int i = 0; i < TRIP_SLOTS; i++) {
        trip_leg_slot *slot = &b->slot[i];
        if (slot->used_at && slot->week_unit == week_unit && slot->budget_unit == b->budget_unit &&
            slot->day_min == b->in->day_min[day]) {
            slot->used_at = b->slot_clock;
            return slot;
        }
        oldest = slot->used_at < oldest->used_at ? slot : oldest;
    }
    oldest->week_unit = week_unit;
    oldest->budget_unit = b->budget_unit;
    oldest->day_min = b->in->day_min[day];
    oldest->used_at = b->slot_clock;
    fill_slot(b, oldest, 0);
    fill_slot(b, oldest, 1);
    return oldest;
}

/* The multipliers as whole parts, their constants, and what they come to by day. 0: too great to be reckoned with. */
static int fix_units(trip_bound *b)
{
    const lw_trip_in *in = b->in;
    const trip_rows row = rows_of(b);
    b->constant = 0;
    b->budget_unit = in->budget_c < 0 ? 0 : (int32_t)lround(b->by[row.budget] / CENTS_A_NIGHT * BUDGET_PARTS);
    if (in->budget_c >= 0)
        b->constant += trip_bound_budget(b, in->budget_c) + 1;
    for (int w = in->week[0]; w <= in->week[in->days]; w++) {
        b->week_unit[w] = parts(b->by[row.week + w] / MINUTES_A_NIGHT);
        b->constant += (int64_t)b->week_unit[w] * (in->week_min - (w == in->week[0] ? in->week_used_min : 0));
    }
    for (int w = 0; w < in->wish_count; w++) {
        const int32_t unit = parts(b->by[row.wish + w]); /* a chosen one gives its value */
        const int32_t value = in->wish[w].value_c * TRIP_SCALE;
        b->wish_unit[w] = is_chosen(b, w) ? value : in->wish[w].is_must || unit < value ? unit : value;
        b->constant += value - b->wish_unit[w];
    }
    for (int c = 0; c < in->cap_count; c++) {
        b->cap_unit[c] = parts(b->by[row.cap + c]);
        b->constant += (int64_t)b->cap_unit[c] * in->cap[c].nights;
    }
    for (int i = 0; i < b->span_count; i++) {
        b->span[i].unit = parts(b->by[row.span + i]);
        b->constant += (int64_t)b->span[i].unit * b->span[i].most;
    }
    if (b->budget_unit > 2 * BUDGET_PARTS)
        return 0;
    for (int w = in->week[0]; w <= in->week[in->days]; w++)
        if (b->week_unit[w] > 2 * TRIP_LEG_MOST / MINUTES_A_DAY)
            return 0;
    return 1;
}

static void spread_groups(const trip_bound *b, int32_t *by_day, int group)
{
    memset(by_day, 0, (size_t)b->in->days * sizeof *by_day);
    for (int i = 0; i < b->span_count; i++)
        if (b->span[i].unit && b->span[i].group == group)
            for (int d = b->span[i].from; d < b->span[i].until; d++)
                by_day[d] += b->span[i].unit;
}

/* Takes the groups' parts off the nights of their places. */
static void charge_groups(trip_bound *b)
{
    const lw_trip_in *in = b->in;
    const int n = in->place_count;
    for (int i = 0; i < b->span_count;) {
        int32_t by_day[LW_TRIP_DAYS], any = 0;
        const int group = b->span[i].group;
        int until = i;
        for (; until < b->span_count && b->span[until].group == group; until++)
            any |= b->span[until].unit;
        i = until;
        if (!any)
            continue;
        spread_groups(b, by_day, group);
        for (int p = 0; p < n; p++)
            if (trip_has(b->group[group], p))
                for (int d = 0; d < in->days; d++)
                    if (b->night[d * n + p] != TRIP_NONE)
                        b->night[d * n + p] -= by_day[d];
    }
}

static void charge_cap(trip_bound *b, const lw_trip_cap *cap, int32_t unit)
{
    const int n = b->in->place_count;
    for (int p = 0; p < n && unit; p++)
        if (trip_has(cap->of, p))
            for (int d = 0; d < b->in->days; d++)
                if (b->night[d * n + p] != TRIP_NONE)
                    b->night[d * n + p] -= unit;
}

/* Modified nights and runs; 0: something is too great for whole numbers. */
static int fill_nights(trip_bound *b)
{
    const lw_trip_in *in = b->in;
    const int n = in->place_count;
    for (int p = 0; p < n; p++)
        for (int d = 0; d < in->days; d++) {
            const lw_trip_cell *c = trip_cell(in, p, d);
            const int is_night = c->may & LW_TRIP_NIGHT;
            b->night[d * n + p] =
                is_night ? (c->worth_c - c->fee_c) * TRIP_SCALE - (int32_t)trip_bound_budget(b, c->fee_c) : TRIP_NONE;
        }
    charge_groups(b);
    for (int c = 0; c < in->cap_count; c++)
        charge_cap(b, &in->cap[c], b->cap_unit[c]);
    for (int i = 0; i < n * in->days; i++)
        if (b->night[i] != TRIP_NONE && (b->night[i] > TRIP_LEG_MOST || b->night[i] < -TRIP_LEG_MOST))
            return 0;
    return 1;
}

/* ---- the longest path, from the end ---- */

static int layers_of(const trip_bound *b)
{
    return b->steps << b->chosen_count;
}

static int step_of(const trip_bound *b, int used)
{
    return used <= 0 ? 0 : trip_least(b->steps - 1, used * b->steps / LW_TRIP_FULL);
}

/* The layer of a morning for what has been kept and used; -1: a must has been missed. */
static int layer_at(const trip_bound *b, uint32_t kept, int used, int morning)
{
    uint32_t layer = 0;
    if (b->chosen_count == 0)
        return step_of(b, used);
    for (int c = 0; c < b->chosen_count; c++) {
        const lw_trip_wish *wish = &b->in->wish[b->chosen[c]];
        const uint32_t is_kept = kept >> b->chosen[c] & 1u;
        if (wish->is_must && !is_kept && wish->until_day <= morning)
            return -1;
        layer |= is_kept << c;
    }
    return (int)(layer & open_at(b, morning)) * b->steps + step_of(b, used);
}

/* What a layer of a morning says is kept; of wishes whose time is over, that they were. */
static uint32_t kept_of(const trip_bound *b, int layer, int morning)
{
    uint32_t kept = 0;
    layer /= b->steps;
    for (int c = 0; c < b->chosen_count; c++)
        if ((layer >> c & 1) || b->in->wish[b->chosen[c]].until_day <= morning)
            kept |= UINT32_C(1) << b->chosen[c];
    return kept;
}

static size_t row_at(const trip_bound *b, int day, int layer)
{
    return ((size_t)day * (size_t)layers_of(b) + (size_t)layer) * (size_t)b->in->place_count;
}

static int32_t leave_at(const trip_bound *b, uint32_t kept, int used, int morning, int place)
{
    const int layer = layer_at(b, kept, used, morning);
    return layer < 0 ? TRIP_NONE : b->leave[row_at(b, morning, layer) + (size_t)place];
}

const int32_t *trip_bound_arrive(const trip_bound *b, uint32_t kept, int used, int day)
{
    const int layer = layer_at(b, kept, used, day);
    return layer < 0 ? NULL : b->arrive + row_at(b, day, layer);
}

/* Wishes that one more night brings about: what they give, and that they are kept. */
static int32_t brought(const trip_bound *b, const trip_going *g, int night, uint32_t *kept)
{
    int32_t gain = 0;
    uint32_t open = b->wishes_of[g->place] & ~*kept;
    for (int w = 0; open; w++, open >>= 1) {
        const lw_trip_wish *wish = &b->in->wish[w];
        if ((open & 1u) && night < wish->until_day &&
            night + 1 - trip_most(g->arrive, wish->from_day) == wish->nights) {
            gain += b->wish_unit[w];
            *kept |= UINT32_C(1) << w;
        }
    }
    return gain;
}

int32_t trip_bound_run(const trip_bound *b, int place)
{
    const lw_trip_place *p = &b->in->place[place];
    return -(p->run_money_c + p->run_burden_c) * TRIP_SCALE - (int32_t)trip_bound_budget(b, p->run_money_c);
}

/* Runs as late as they can be: the fewest, and the least used on leaving for so many. One more, on the last day that allows a
 * run, leaves less used still; to run more often than that is of no use. */
int32_t trip_bound_go_on(const trip_bound *b, const trip_going *g, trip_gone *gone)
{
    const lw_trip_in *in = b->in;
    const int n = in->place_count;
    const lw_trip_cell *cell = trip_cell(in, g->place, 0);
    int32_t value = 0;
    int used = g->used, runs = 0;
    int last_run = -1, since = 0, runs_then = 0; /* the last day that allows a run: used since, runs before it */
    uint32_t kept = g->kept;
    const int32_t run = trip_bound_run(b, g->place);
    *gone =
        (trip_gone){g->day > g->arrive ? leave_at(b, g->kept, g->used, g->day, g->place) : TRIP_NONE, g->day, used, 0};
    for (int t = g->day; t < g->until; t++) {
        const int at = t * n + g->place;
        if (t > g->arrive) {
            if (!(cell[t].may & LW_TRIP_DAY))
                break;
            if (cell[t].may & LW_TRIP_RUN)
                last_run = t, since = 0, runs_then = runs;
        }
        if (b->night[at] == TRIP_NONE)
            break;
        used += cell[t].use;
        since += cell[t].use;
        if (used > LW_TRIP_FULL) {
            if (last_run < 0 || since > LW_TRIP_FULL)
                break;
            runs = runs_then + 1, used = since, last_run = -1;
        }
        value += b->night[at] + (b->wishes_of[g->place] ? brought(b, g, t, &kept) : 0);
        if (t + 1 < in->days && !(cell[t + 1].may & LW_TRIP_LEAVE))
            continue;
        const int more_most = last_run >= 0 && b->steps > 1 ? 1 : 0;
        for (int more = 0; more <= more_most; more++) {
            const int all = more ? runs_then + 1 : runs, left = more ? since : used;
            const int32_t rest = leave_at(b, kept, left, t + 1, g->place);
            if (rest != TRIP_NONE && value + rest + all * run > gone->value)
                *gone = (trip_gone){value + rest + all * run, t + 1, left, all};
        }
    }
    return gone->value;
}

static void last_morning(trip_bound *b)
{
    const lw_trip_in *in = b->in;
    const size_t n = (size_t)in->place_count;
    const trip_leg_slot *legs = in->end >= 0 ? trip_bound_legs(b, in->days) : NULL;
    for (int step = 0; step < b->steps; step++)
        for (size_t p = 0; p < n; p++) {
            int32_t *to = &b->leave[row_at(b, in->days, step) + p];
            *to = 0;
            if (!legs || (int)p == in->end)
                continue;
            const size_t at = (size_t)in->end * n + p;
            const int32_t cost = legs->cost[0][at] < legs->cost[1][at] ? legs->cost[0][at] : legs->cost[1][at];
            *to =
                cost == TRIP_LEG_NO || !(trip_cell(in, (int)p, in->days - 1)->may & LW_TRIP_LEAVE) ? TRIP_NONE : -cost;
        }
}

static void reach_back(int32_t *restrict row, const int32_t *restrict leg, int32_t value, int n)
{
    for (int from = 0; from < n; from++) {
        const int32_t by = value - leg[from];
        row[from] = row[from] > by ? row[from] : by;
    }
}

static void arrive_layer(trip_bound *b, int day, int layer)
{
    const int n = b->in->place_count;
    int32_t *arrive = b->arrive + row_at(b, day, layer);
    trip_going going = {.arrive = day, .day = day, .kept = kept_of(b, layer, day)};
    trip_gone gone;
    going.used = layer % b->steps * LW_TRIP_FULL / b->steps;
    for (int p = 0; p < n; p++) {
        going.place = p;
        going.until = b->until[day * n + p];
        arrive[p] = going.until > day ? trip_bound_go_on(b, &going, &gone) : TRIP_NONE;
    }
}

/* The best leg from each place with the load as it is, or filled on the way, which the first step's values tell. */
static void leave_layer(trip_bound *b, int day, int layer, const trip_leg_slot *legs)
{
    const size_t n = (size_t)b->in->place_count;
    const int full = layer - layer % b->steps;
    int32_t *row = b->leave + row_at(b, day, layer);
    for (size_t p = 0; p < n; p++)
        row[p] = TRIP_NONE;
    if (!legs)
        return;
    const int32_t *arrive = b->arrive + row_at(b, day, layer), *filled = b->arrive + row_at(b, day, full);
    for (size_t q = 0; q < n; q++) {
        if (!(trip_cell(b->in, (int)q, day)->may & LW_TRIP_ARRIVE))
            continue;
        if (arrive[q] != TRIP_NONE)
            reach_back(row, legs->cost[0] + q * n, arrive[q], (int)n);
        if (filled[q] != TRIP_NONE)
            reach_back(row, legs->cost[1] + q * n, filled[q], (int)n);
    }
}

static int close_layer(trip_bound *b, int day, int layer)
{
    const size_t n = (size_t)b->in->place_count;
    int32_t *row = b->leave + row_at(b, day, layer), *arrive = b->arrive + row_at(b, day, layer);
    for (size_t p = 0; p < n; p++) {
        if (row[p] < TRIP_NO_WAY || (day > 0 && !(trip_cell(b->in, (int)p, day)->may & LW_TRIP_LEAVE)))
            row[p] = TRIP_NONE;
        if ((row[p] != TRIP_NONE && row[p] < TRIP_LOW) || (arrive[p] != TRIP_NONE && arrive[p] < TRIP_LOW))
            return 0;
    }
    return 1;
}

static int one_morning(trip_bound *b, int day)
{
    const uint32_t open = open_at(b, day);
    const trip_leg_slot *legs = b->in->day_min[day] > 0 ? trip_bound_legs(b, day) : NULL;
    for (int layer = 0; layer < layers_of(b); layer++)
        if (!((uint32_t)(layer / b->steps) & ~open)) {
            arrive_layer(b, day, layer);
            leave_layer(b, day, layer, legs);
            if (!close_layer(b, day, layer))
                return 0;
        }
    return 1;
}

static int make_tables(trip_bound *b)
{
    const lw_trip_in *in = b->in;
    if (!fix_units(b) || !fill_nights(b))
        return 0;
    last_morning(b);
    for (int day = in->days - 1; day >= 0; day--)
        if (!one_morning(b, day))
            return 0;
    const size_t first = row_at(b, 0, layer_at(b, 0, in->start_used, 0)) + (size_t)in->start;
    const int32_t goes = b->leave[first], stays = b->arrive[first];
    const int32_t path = goes > stays ? goes : stays;
    b->whole = path == TRIP_NONE ? TRIP_NONE : b->constant + path;
    return 1;
}

/* ---- what the longest path does to the rules ---- */

typedef struct follow {
    int place[LW_TRIP_DAYS];
    int week_min[LW_TRIP_DAYS + 1];
    int wishes[LW_TRIP_WISHES]; /* stays that keep it */
    int used;
    int64_t money_c;
} follow;

static void follow_leg(const trip_bound *b, follow *f, int day, int from, int to, int is_served)
{
    const lw_trip_leg *leg = trip_leg(b->in, from, to);
    f->used = is_served ? 0 : f->used;
    f->week_min[b->in->week[day]] += is_served ? leg->served_min : leg->road_min;
    f->money_c += is_served ? leg->served_money_c : leg->money_c;
}

static int next_place(trip_bound *b, follow *f, uint32_t kept, int day, int from)
{
    const size_t n = (size_t)b->in->place_count;
    const trip_leg_slot *legs = trip_bound_legs(b, day);
    const int32_t want = leave_at(b, kept, f->used, day, from);
    for (int is_served = 0; is_served < 2; is_served++) {
        const int32_t *arrive = trip_bound_arrive(b, kept, is_served ? 0 : f->used, day);
        for (size_t q = 0; q < n; q++) {
            const int32_t cost = legs->cost[is_served][q * n + (size_t)from];
            if (arrive[q] == TRIP_NONE || cost == TRIP_LEG_NO || arrive[q] - cost != want ||
                !(trip_cell(b->in, (int)q, day)->may & LW_TRIP_ARRIVE))
                continue;
            follow_leg(b, f, day, from, (int)q, is_served);
            return (int)q;
        }
    }
    return from;
}

/* The stay's nights; gives the morning it is left. */
static int follow_stay(const trip_bound *b, follow *f, int place, int day, uint32_t *kept)
{
    const lw_trip_in *in = b->in;
    const trip_going going = {.place = place,
                              .arrive = day,
                              .day = day,
                              .until = b->until[day * in->place_count + place],
                              .used = step_of(b, f->used) * LW_TRIP_FULL / b->steps,
                              .kept = *kept};
    trip_gone gone;
    (void)trip_bound_go_on(b, &going, &gone);
    for (int t = day; t < gone.day; t++) {
        f->place[t] = place;
        f->money_c += trip_cell(in, place, t)->fee_c;
    }
    f->money_c += (int64_t)gone.runs * in->place[place].run_money_c;
    f->used = gone.used;
    for (int w = 0; w < in->wish_count; w++)
        if ((b->wishes_of[place] >> w & 1u) &&
            trip_least(gone.day, in->wish[w].until_day) - trip_most(day, in->wish[w].from_day) >= in->wish[w].nights) {
            f->wishes[w]++;
            *kept |= is_chosen(b, w) ? UINT32_C(1) << w : 0;
        }
    return gone.day;
}

static void follow_path(trip_bound *b, follow *f)
{
    const lw_trip_in *in = b->in;
    int at = in->start, day = 0;
    uint32_t kept = 0;
    memset(f, 0, sizeof *f);
    f->used = in->start_used;
    if (trip_bound_arrive(b, 0, f->used, 0)[at] >= leave_at(b, 0, f->used, 0, at))
        day = follow_stay(b, f, at, 0, &kept);
    while (day < in->days) {
        const int to = next_place(b, f, kept, day, at);
        if (to == at)
            return; /* cannot be: some place gave the value */
        at = to;
        day = follow_stay(b, f, at, day, &kept);
    }
    if (in->end >= 0 && at != in->end) {
        const lw_trip_leg *leg = trip_leg(in, at, in->end);
        follow_leg(b, f, in->days, at, in->end,
                   trip_leg_cost(b, leg, in->days, 1) < trip_leg_cost(b, leg, in->days, 0));
    }
}

static int nights_of(const follow *f, const lw_trip_places of, int days)
{
    int nights = 0;
    for (int d = 0; d < days; d++)
        nights += trip_has(of, f->place[d]);
    return nights;
}

static void breach_spans(const trip_bound *b, const follow *f, double *by)
{
    int before[LW_TRIP_DAYS + 1];
    for (int i = 0; i < b->span_count; i++) {
        const trip_span *s = &b->span[i];
        if (i == 0 || s->group != s[-1].group) {
            before[0] = 0;
            for (int d = 0; d < b->in->days; d++)
                before[d + 1] = before[d] + trip_has(b->group[s->group], f->place[d]);
        }
        by[i] = before[s->until] - before[s->from] - s->most;
    }
}

/* How far each rule is broken by the path, in nights or what is worth about one. */
static void find_breaches(trip_bound *b, const follow *f)
{
    const lw_trip_in *in = b->in;
    const trip_rows row = rows_of(b);
    double *by = b->breach;
    by[row.budget] = in->budget_c < 0 ? 0.0 : (double)(f->money_c - in->budget_c) / CENTS_A_NIGHT;
    for (int w = in->week[0]; w <= in->week[in->days]; w++) {
        const int used = f->week_min[w] + (w == in->week[0] ? in->week_used_min : 0);
        by[row.week + w] = (used - in->week_min) / MINUTES_A_NIGHT;
    }
    for (int w = 0; w < in->wish_count; w++) {
        const lw_trip_wish *wish = &in->wish[w];
        const int is_taken = wish->is_must || wish->value_c * TRIP_SCALE > b->wish_unit[w];
        by[row.wish + w] = is_chosen(b, w) ? 0.0 : is_taken - f->wishes[w];
    }
    for (int c = 0; c < in->cap_count; c++)
        by[row.cap + c] = nights_of(f, in->cap[c].of, in->days) - in->cap[c].nights;
    breach_spans(b, f, by + row.span);
}

/* What is not broken and has no multiplier does not count. */
static int counts(const trip_bound *b, int i)
{
    return b->best[i] > 0.0 || b->mean[i] > 0.0;
}

static void blend_in(trip_bound *b, double share)
{
    for (int i = 0; i < b->rule_count; i++)
        b->mean[i] += share * (b->breach[i] - b->mean[i]);
}

static void step_from_best(trip_bound *b, double length, double more_c)
{
    double square = 0.0;
    for (int i = 0; i < b->rule_count; i++)
        square += counts(b, i) ? b->mean[i] * b->mean[i] : 0.0;
    const double step = square > 0.0 ? length * more_c / square : 0.0;
    for (int i = 0; i < b->rule_count; i++)
        b->by[i] = counts(b, i) ? lw_most(0.0, b->best[i] + step * b->mean[i]) : 0.0;
}

/* Did the new path break what the mean of the paths breaks? */
static double agreement(const trip_bound *b)
{
    double sum = 0.0;
    for (int i = 0; i < b->rule_count; i++)
        sum += counts(b, i) ? b->mean[i] * b->breach[i] : 0.0;
    return sum;
}

void trip_bound_tables(trip_bound *b)
{
    memcpy(b->by, b->best, (size_t)b->rule_count * sizeof *b->by);
    (void)make_tables(b); /* they were made with these before */
}

/* More steps make the same multipliers' bound no greater. */
void trip_bound_set_steps(trip_bound *b, int steps)
{
    b->steps = steps;
    trip_bound_tables(b);
    if (b->whole < b->best_whole)
        b->best_whole = b->whole;
}

/* Steps go from the best multipliers along the mean of the paths' breaches, in which later paths weigh more. */
int trip_bound_improve(trip_bound *b, int rounds, int64_t known_c, int (*go_on)(void *with), void *with, int *done)
{
    double length = FIRST_LENGTH;
    int since = 0, is_going = 1;
    trip_bound_tables(b);
    for (int round = 0; round < rounds && is_going; round++, ++*done) {
        follow f;
        if (round > 0 && !make_tables(b)) {
            length *= 0.5;
        } else {
            if (b->whole == TRIP_NONE) {
                b->best_whole = TRIP_NONE;
                return is_going;
            }
            follow_path(b, &f);
            find_breaches(b, &f);
            if (round == 0)
                memcpy(b->mean, b->breach, (size_t)b->rule_count * sizeof *b->mean);
            else if (b->whole < b->best_whole && agreement(b) > 0.0)
                length = lw_least(2.0, length * LONGER);
            blend_in(b, NEW_SHARE);
            since++;
            if (b->whole < b->best_whole) {
                b->best_whole = b->whole;
                memcpy(b->best, b->by, (size_t)b->rule_count * sizeof *b->by);
                since = 0;
            }
        }
        if (since >= ROUNDS_WITHOUT) {
            length *= SHORTER, since = 0;
            if (length < 1e-3)
                break;
        }
        const double whole = (double)b->best_whole / TRIP_SCALE;
        const double known = known_c == INT64_MIN ? whole - 0.1 * fabs(whole) - 100.0 : (double)known_c;
        if (whole <= known)
            break;
        step_from_best(b, length, whole - known);
        is_going = !go_on || go_on(with);
    }
    trip_bound_tables(b);
    return is_going;
}
