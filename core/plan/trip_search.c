#include <string.h>

#include "core/plan/trip_internal.h"

enum { LOOKED_AT = 48 };

/* What is known of a trip up to a morning. */
typedef struct label {
    int64_t bound;  /* of all trips that begin so, parts of a cent */
    int64_t so_far; /* of it: what is behind */
    int32_t value_c, money_c;
    int32_t stay;  /* the stay before this one; -1: none */
    int32_t mine;  /* the row of this one once it is left; -1: not yet */
    int32_t trace; /* of the morning before; then its own */
    int32_t next;  /* at the same place */
    uint32_t wishes;
    int16_t place, arrive, until;
    uint16_t week_min, used;
    uint8_t cap[LW_TRIP_CAPS];
    uint8_t act;
} label;

typedef struct trace {
    int32_t before;
    int16_t place;
    uint8_t act;
} trace;

typedef struct search {
    const lw_trip_in *in;
    const trip_rules *rules;
    trip_bound *b;
    const trip_search_how *how;
    lw_trip_out *out;
    label *pool[2];
    int count[2];
    int32_t *head; /* of the labels of a place in the pool that is filled */
    int32_t *row;  /* [from * place_count + to]: least modified cost of a leg this morning */
    int *row_day;  /* by place: the morning its row is of; -1: none */
    trace *trace;
    trip_stay *stay;
    int32_t trace_count, stay_count, trace_most, stay_most;
    int32_t *order;
    int *expires; /* spans with a multiplier, by their last night */
    int expires_from[LW_TRIP_DAYS + 2];
    uint32_t musts;
    int64_t floor; /* of a trimmed pool: what is below it would not stay */
    int64_t left;
    int day, into;
} search;

static size_t pool_of(int width)
{
    return 2 * (size_t)width;
}

size_t trip_search_bytes(const lw_trip_in *in, int width)
{
    const size_t n = (size_t)in->place_count, d = (size_t)in->days;
    return 2 * pool_of(width) * sizeof(label) + n * (sizeof(int32_t) + sizeof(int)) + n * n * sizeof(int32_t) +
           ((size_t)width * d + 1) * (sizeof(trace) + sizeof(trip_stay)) + pool_of(width) * sizeof(int32_t) +
           3 * n * (d + 1) * sizeof(int) + 1024;
}

/* ---- what must be better ---- */

static int64_t least_bound(const search *s)
{
    return s->out->is_found ? s->out->value_c * TRIP_SCALE + TRIP_SCALE : INT64_MIN;
}

/* A label of that bound is not worth making; what it could have been counts in the bound. */
static int is_behind(search *s, int64_t bound)
{
    if (bound < least_bound(s))
        return 1;
    if (bound >= s->floor)
        return 0;
    s->left = s->left > bound ? s->left : bound;
    return 1;
}

/* ---- no worse in all that can matter later ---- */

/* By day the region of the night and that of a place left, where it is another; into arrays of TRIP_FREE. */
static void days_of(const search *s, const label *l, uint16_t *night, uint16_t *left, int from)
{
    int until = s->day + 1, place = l->place, arrive = l->arrive;
    int32_t at = l->stay;
    for (;;) {
        for (int d = arrive > from ? arrive : from; d < until; d++)
            night[d] = s->rules->region[place];
        if (at < 0 || arrive <= from)
            break;
        until = arrive;
        place = s->stay[at].place;
        arrive = s->stay[at].arrive;
        left[until] = s->rules->region[place] == night[until] ? TRIP_FREE : s->rules->region[place];
        at = s->stay[at].before;
    }
}

static int is_counted_no_more(const search *s, const label *a, const label *b)
{
    const int to = s->day, from = trip_most(0, to - s->rules->memory_days);
    uint16_t night_a[LW_TRIP_DAYS + 2] = {0}, night_b[LW_TRIP_DAYS + 2] = {0}, left_a[LW_TRIP_DAYS + 2] = {0},
                                    left_b[LW_TRIP_DAYS + 2] = {0};
    int16_t more[LW_TRIP_PLACES + 1] = {0};
    if (s->rules->compare == COMPARE_NOTHING)
        return 1;
    days_of(s, a, night_a, left_a, from);
    days_of(s, b, night_b, left_b, from);
    for (int d = to; d >= from; d--) {
        if (s->rules->compare == COMPARE_SAME) {
            if (night_a[d] != night_b[d] || (s->rules->is_any_part && left_a[d] != left_b[d]))
                return 0;
        } else if (s->rules->compare == COMPARE_DAYS) {
            if (night_a[d] != TRIP_FREE && night_a[d] != night_b[d] && night_a[d] != left_b[d])
                return 0;
            if (left_a[d] != TRIP_FREE && left_a[d] != night_b[d] && left_a[d] != left_b[d])
                return 0;
        } else {
            more[night_b[d]]--;
            more[night_a[d]]++;
            if (s->rules->is_any_part) {
                more[left_b[d]]--;
                more[left_a[d]]++;
            }
            if ((night_a[d] != TRIP_FREE && more[night_a[d]] > 0) ||
                (s->rules->is_any_part && left_a[d] != TRIP_FREE && more[left_a[d]] > 0))
                return 0;
        }
    }
    return 1;
}

static int nights_towards(const search *s, const label *l, const lw_trip_wish *wish)
{
    return s->day + 1 - trip_most(l->arrive, wish->from_day);
}

/* Does a outdo b, or equal it: same place, same morning (that after day). */
static int outdoes(const search *s, const label *a, const label *b)
{
    const lw_trip_in *in = s->in;
    int64_t lost_c = 0;
    if (a->value_c < b->value_c || a->used > b->used || a->week_min > b->week_min || a->until < b->until ||
        (in->budget_c >= 0 && a->money_c > b->money_c))
        return 0;
    for (int c = 0; c < in->cap_count; c++)
        if (a->cap[c] > b->cap[c])
            return 0;
    for (int w = 0; w < in->wish_count; w++) {
        const lw_trip_wish *wish = &in->wish[w];
        const int has_a = (int)(a->wishes >> w & 1u), has_b = (int)(b->wishes >> w & 1u);
        if (wish->is_must && has_b && !has_a)
            return 0;
        if (wish->until_day <= s->day + 1)
            continue;
        if (has_a && !has_b)
            lost_c += wish->value_c;
        if (!has_a && !has_b && wish->nights > 1 && (s->b->wishes_of[a->place] >> w & 1u) &&
            nights_towards(s, a, wish) < nights_towards(s, b, wish) && nights_towards(s, b, wish) > 0)
            return 0;
    }
    return a->value_c - lost_c >= b->value_c && is_counted_no_more(s, a, b);
}

/* ---- the pool of a morning ---- */

static void hang(search *s, int at)
{
    label *l = &s->pool[s->into][at];
    l->next = s->head[l->place];
    s->head[l->place] = at;
}

/* Puts the `keep` labels of greatest bound first. */
static void select_best(label *l, int count, int keep)
{
    int low = 0, high = count - 1;
    while (low < high) {
        const int64_t pivot = l[low + (high - low) / 2].bound;
        int i = low, j = high;
        while (i <= j) {
            while (l[i].bound > pivot)
                i++;
            while (l[j].bound < pivot)
                j--;
            if (i <= j) {
                const label swap = l[i];
                l[i++] = l[j];
                l[j--] = swap;
            }
        }
        if (keep <= j)
            high = j;
        else if (keep >= i)
            low = i;
        else
            break;
    }
}

static void trim(search *s, int keep)
{
    label *l = s->pool[s->into];
    int *count = &s->count[s->into];
    if (*count > keep) {
        select_best(l, *count, keep);
        int64_t least = INT64_MAX;
        for (int i = 0; i < keep; i++)
            least = least < l[i].bound ? least : l[i].bound;
        for (int i = keep; i < *count; i++)
            s->left = s->left > l[i].bound ? s->left : l[i].bound;
        *count = keep;
        s->floor = least;
    }
    for (int p = 0; p < s->in->place_count; p++)
        s->head[p] = -1;
    for (int i = 0; i < *count; i++)
        hang(s, i);
}

/* Unhangs what the new label outdoes; it stays in the pool with a bound that nothing wants. Only the youngest of a place are
 * looked at: to look at all costs more than what it finds. */
static void put(search *s, const label *l)
{
    label *pool = s->pool[s->into];
    int32_t *link = &s->head[l->place];
    int looked = 0;
    for (int32_t at = *link; at >= 0 && looked < LOOKED_AT; at = pool[at].next, looked++)
        if (outdoes(s, &pool[at], l))
            return;
    for (looked = 0; *link >= 0 && looked < LOOKED_AT; looked++) {
        label *other = &pool[*link];
        if (outdoes(s, l, other)) {
            other->bound = INT64_MIN;
            *link = other->next;
        } else
            link = &other->next;
    }
    if (s->count[s->into] == (int)pool_of(s->how->width)) {
        trim(s, s->how->width);
        if (is_behind(s, l->bound))
            return;
    }
    const int at = s->count[s->into]++;
    pool[at] = *l;
    hang(s, at);
    s->out->labels++;
}

/* Those outdone leave; the rest, if too many, down to the width. */
static void close_pool(search *s)
{
    label *l = s->pool[s->into];
    int count = 0;
    for (int i = 0; i < s->count[s->into]; i++)
        if (l[i].bound != INT64_MIN)
            l[count++] = l[i];
    s->count[s->into] = count;
    trim(s, s->how->width);
}

/* ---- one night more ---- */

static int nights_in(const search *s, const label *l, const lw_trip_places of, int from, int until)
{
    int nights = 0, end = s->day + 1, arrive = l->arrive, place = l->place;
    int32_t at = l->stay;
    while (end > from) {
        if (trip_has(of, place))
            nights += trip_most(0, trip_least(end, until) - trip_most(arrive, from));
        if (at < 0)
            break;
        end = arrive;
        place = s->stay[at].place;
        arrive = s->stay[at].arrive;
        at = s->stay[at].before;
    }
    return nights;
}

/* What the multipliers gave for rules whose days are over and that were not used up. 0: a must can no more be kept. */
static int settle(search *s, label *l)
{
    const lw_trip_in *in = s->in;
    const trip_bound *b = s->b;
    for (int i = s->expires_from[s->day + 1]; i < s->expires_from[s->day + 2]; i++) {
        const trip_span *span = &b->span[s->expires[i]];
        l->so_far -=
            (int64_t)span->unit * (span->most - nights_in(s, l, b->group[span->group], span->from, span->until));
    }
    for (int w = 0; w < in->wish_count; w++) {
        const lw_trip_wish *wish = &in->wish[w];
        if (wish->until_day != s->day + 1)
            continue;
        const int is_kept = (int)(l->wishes >> w & 1u);
        if (wish->is_must && !is_kept)
            return 0;
        if (!is_kept)
            l->so_far -= wish->value_c * TRIP_SCALE - b->wish_unit[w];
    }
    if (in->week[s->day + 1] != in->week[s->day]) {
        l->so_far -= (int64_t)b->week_unit[in->week[s->day]] * (in->week_min - l->week_min);
        l->week_min = 0;
    }
    return 1;
}

/* The night of the day, after whatever the morning brought. */
static void spend_night(search *s, label *l)
{
    const lw_trip_in *in = s->in;
    const lw_trip_cell *c = trip_cell(in, l->place, s->day);
    const int used = l->used + c->use;
    l->value_c += c->worth_c - c->fee_c;
    l->money_c += c->fee_c;
    if (used > LW_TRIP_FULL || (in->budget_c >= 0 && l->money_c > in->budget_c))
        return;
    l->used = (uint16_t)used;
    for (int k = 0; k < in->cap_count; k++) {
        l->cap[k] = (uint8_t)(l->cap[k] + trip_has(in->cap[k].of, l->place));
        if (l->cap[k] > in->cap[k].nights)
            return;
    }
    for (int w = 0; w < in->wish_count; w++) {
        const lw_trip_wish *wish = &in->wish[w];
        if ((s->b->wishes_of[l->place] & ~l->wishes) >> w & 1u && s->day < wish->until_day &&
            nights_towards(s, l, wish) >= wish->nights) {
            l->wishes |= UINT32_C(1) << w;
            l->value_c += wish->value_c;
            l->so_far += s->b->wish_unit[w];
        }
    }
    l->so_far += s->b->night[s->day * in->place_count + l->place];
    if (!settle(s, l))
        return;
    trip_gone gone;
    const int32_t rest = trip_bound_go_on(s->b,
                                          &(trip_going){.place = l->place,
                                                        .arrive = l->arrive,
                                                        .day = s->day + 1,
                                                        .until = l->until,
                                                        .used = l->used,
                                                        .kept = l->wishes},
                                          &gone);
    l->bound = l->so_far + rest;
    if (rest != TRIP_NONE && !is_behind(s, l->bound))
        put(s, l);
}

static void stay_on(search *s, const label *l)
{
    const lw_trip_in *in = s->in;
    const int may = trip_cell(in, l->place, s->day)->may;
    if (!(may & LW_TRIP_NIGHT) || (s->day > 0 && !(may & LW_TRIP_DAY)) || s->day >= l->until)
        return;
    label next = *l;
    next.act = LW_TRIP_STAYS;
    spend_night(s, &next);
    if (s->day == 0 || !(may & LW_TRIP_RUN))
        return;
    next = *l;
    next.act = LW_TRIP_STAYS_RUN;
    next.so_far += trip_bound_run(s->b, l->place);
    next.used = 0;
    next.value_c -= in->place[l->place].run_money_c + in->place[l->place].run_burden_c;
    next.money_c += in->place[l->place].run_money_c;
    spend_night(s, &next);
}

/* The least modified cost of a leg, either way, to each place. */
static const int32_t *costs_from(search *s, int place)
{
    const size_t n = (size_t)s->in->place_count, from = (size_t)place;
    int32_t *row = s->row + from * n;
    if (s->row_day[place] == s->day)
        return row;
    const trip_leg_slot *legs = trip_bound_legs(s->b, s->day);
    for (size_t to = 0; to < n; to++) {
        const int32_t direct = legs->cost[0][to * n + from], served = legs->cost[1][to * n + from];
        row[to] = direct < served ? direct : served;
    }
    s->row_day[place] = s->day;
    return row;
}

/* The stay that ends this morning; the start before the first night is none. */
static int32_t stay_of(search *s, label *l)
{
    if (s->day == 0)
        return -1;
    if (l->mine < 0) {
        l->mine = s->stay_count++;
        s->stay[l->mine] = (trip_stay){l->stay, l->place, l->arrive};
    }
    return l->mine;
}

static void drive_to(search *s, label *l, int to, int32_t arrive_value)
{
    const lw_trip_in *in = s->in;
    const lw_trip_leg *leg = trip_leg(in, l->place, to);
    int until = -1;
    for (int is_served = 0; is_served < 2; is_served++) {
        const int32_t cost = trip_leg_cost(s->b, leg, s->day, is_served);
        const int road_min = is_served ? leg->served_min : leg->road_min;
        if (cost == TRIP_LEG_NO || !trip_may_drive(in, l->place, to, s->day, road_min) ||
            (is_served && !trip_is_served(in, leg, s->day)) ||
            (is_served ? 0 : l->used) + trip_cell(in, to, s->day)->spare > LW_TRIP_FULL ||
            l->week_min + road_min > in->week_min || is_behind(s, l->so_far + arrive_value - cost))
            continue;
        label next = *l;
        next.stay = stay_of(s, l);
        if (until < 0)
            until = trip_until(s->rules, (trip_past){s->stay, next.stay, s->day}, to, s->day);
        if (until <= s->day)
            return;
        next.mine = -1;
        next.so_far -= cost;
        next.place = (int16_t)to;
        next.arrive = (int16_t)s->day;
        next.until = (int16_t)until;
        next.act = is_served ? LW_TRIP_DRIVES_SERVED : LW_TRIP_DRIVES;
        next.week_min = (uint16_t)(next.week_min + road_min);
        next.money_c += is_served ? leg->served_money_c : leg->money_c;
        next.value_c -= is_served ? leg->served_money_c + leg->served_burden_c : leg->money_c + leg->burden_c;
        next.used = is_served ? 0 : next.used;
        spend_night(s, &next);
    }
}

static void drive_on(search *s, label *l)
{
    const lw_trip_in *in = s->in;
    const int n = in->place_count;
    if (in->day_min[s->day] <= 0 || (s->day > 0 && !(trip_cell(in, l->place, s->day)->may & LW_TRIP_LEAVE)))
        return;
    const int32_t *cost = costs_from(s, l->place), *arrive = trip_bound_arrive(s->b, l->wishes, 0, s->day);
    for (int to = 0; to < n && arrive; to++)
        if (cost[to] != TRIP_LEG_NO && arrive[to] != TRIP_NONE && !is_behind(s, l->so_far + arrive[to] - cost[to]) &&
            (trip_cell(in, to, s->day)->may & LW_TRIP_ARRIVE))
            drive_to(s, l, to, arrive[to]);
}

/* ---- the last morning ---- */

static void give_chain(const search *s, const label *l, int last_act)
{
    lw_trip_out *out = s->out;
    int32_t at = l->trace;
    memset(&out->chain, 0, sizeof out->chain);
    out->chain.act[s->in->days] = (uint8_t)last_act;
    for (int d = s->in->days - 1; d >= 0; d--, at = s->trace[at].before) {
        out->chain.place[d] = s->trace[at].place;
        out->chain.act[d] = s->trace[at].act;
    }
}

static void finish(search *s, const label *l)
{
    const lw_trip_in *in = s->in;
    if ((l->wishes & s->musts) != s->musts)
        return;
    if (in->end < 0 || l->place == in->end) {
        if (!s->out->is_found || l->value_c > s->out->value_c) {
            s->out->is_found = 1;
            s->out->value_c = l->value_c;
            give_chain(s, l, LW_TRIP_STAYS);
        }
        return;
    }
    const lw_trip_leg *leg = trip_leg(in, l->place, in->end);
    if (!(trip_cell(in, l->place, in->days - 1)->may & LW_TRIP_LEAVE))
        return;
    for (int is_served = 0; is_served < 2; is_served++) {
        const int road_min = is_served ? leg->served_min : leg->road_min;
        const int32_t money_c = is_served ? leg->served_money_c : leg->money_c;
        const int64_t value_c = (int64_t)l->value_c - money_c - (is_served ? leg->served_burden_c : leg->burden_c);
        if (!trip_may_drive(in, l->place, in->end, in->days, road_min) ||
            (is_served && !trip_is_served(in, leg, in->days)) || l->week_min + road_min > in->week_min ||
            (in->budget_c >= 0 && l->money_c + money_c > in->budget_c))
            continue;
        if (!s->out->is_found || value_c > s->out->value_c) {
            s->out->is_found = 1;
            s->out->value_c = value_c;
            give_chain(s, l, is_served ? LW_TRIP_DRIVES_SERVED : LW_TRIP_DRIVES);
        }
    }
}

/* ---- all nights ---- */

static void list_expiring(search *s)
{
    const trip_bound *b = s->b;
    int count = 0;
    for (int d = 0; d <= s->in->days; d++) {
        s->expires_from[d] = count;
        for (int i = 0; i < b->span_count && d < s->in->days; i++)
            if (b->span[i].unit && b->span[i].until == d)
                s->expires[count++] = i;
    }
    s->expires_from[s->in->days + 1] = count;
}

static int lend(search *s, lw_arena *arena, int width)
{
    const size_t n = (size_t)s->in->place_count, d = (size_t)s->in->days;
    s->trace_most = s->stay_most = width * s->in->days + 1;
    s->pool[0] = lw_arena_lend(arena, pool_of(width) * sizeof(label), 8);
    s->pool[1] = lw_arena_lend(arena, pool_of(width) * sizeof(label), 8);
    s->head = lw_arena_lend(arena, n * sizeof *s->head, 8);
    s->row = lw_arena_lend(arena, n * n * sizeof *s->row, 8);
    s->row_day = lw_arena_lend(arena, n * sizeof *s->row_day, 8);
    s->trace = lw_arena_lend(arena, (size_t)s->trace_most * sizeof *s->trace, 8);
    s->stay = lw_arena_lend(arena, (size_t)s->stay_most * sizeof *s->stay, 8);
    s->expires = lw_arena_lend(arena, 3 * n * (d + 1) * sizeof *s->expires, 8);
    return s->pool[0] && s->pool[1] && s->head && s->row && s->row_day && s->trace && s->stay && s->expires;
}

static void begin(search *s)
{
    const lw_trip_in *in = s->in;
    for (int p = 0; p < in->place_count; p++) {
        s->row_day[p] = s->head[p] = -1;
    }
    for (int w = 0; w < in->wish_count; w++)
        s->musts |= (uint32_t)(in->wish[w].is_must != 0) << w;
    s->pool[0][0] = (label){.bound = s->b->whole,
                            .so_far = s->b->constant,
                            .stay = -1,
                            .mine = -1,
                            .trace = -1,
                            .place = (int16_t)in->start,
                            .until = (int16_t)trip_until(s->rules, (trip_past){s->stay, -1, 0}, in->start, 0),
                            .week_min = (uint16_t)in->week_used_min,
                            .used = (uint16_t)in->start_used};
    s->count[0] = 1;
}

static void keep_traces(search *s)
{
    label *l = s->pool[s->into];
    for (int i = 0; i < s->count[s->into]; i++) {
        s->trace[s->trace_count] = (trace){l[i].trace, l[i].place, l[i].act};
        l[i].trace = s->trace_count++;
    }
}

/* All that stands when it is stopped is left behind. */
static void leave_all(search *s, int from)
{
    for (int i = 0; i < s->count[from]; i++)
        s->left = s->left > s->pool[from][i].bound ? s->left : s->pool[from][i].bound;
}

int trip_search(const trip_rules *rules, trip_bound *b, const trip_search_how *how, lw_arena *arena, lw_trip_out *out,
                int64_t *left)
{
    search s = {.in = rules->in, .rules = rules, .b = b, .how = how, .out = out, .left = INT64_MIN};
    int from = 0, is_going = 1;
    *left = INT64_MIN;
    if (!lend(&s, arena, how->width) || b->whole == TRIP_NONE)
        return 1;
    begin(&s);
    list_expiring(&s);
    for (s.day = 0; s.day < s.in->days && is_going; s.day++) {
        s.into = 1 - from;
        s.count[s.into] = 0;
        s.floor = INT64_MIN;
        for (int p = 0; p < s.in->place_count; p++)
            s.head[p] = -1;
        for (int i = 0; i < s.count[from]; i++) {
            stay_on(&s, &s.pool[from][i]);
            drive_on(&s, &s.pool[from][i]);
        }
        close_pool(&s);
        keep_traces(&s);
        from = s.into;
        is_going = !how->go_on || how->go_on(how->with);
        if (!is_going)
            leave_all(&s, from);
    }
    if (is_going)
        for (int i = 0; i < s.count[from]; i++)
            finish(&s, &s.pool[from][i]);
    *left = s.left;
    return is_going;
}
