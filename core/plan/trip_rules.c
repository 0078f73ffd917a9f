#include <string.h>

#include "core/base/civil.h"
#include "core/plan/trip_internal.h"

static int is_near(const lw_stay_place *asked, const lw_stay_place *stay, double radius_m)
{
    if (asked->land && stay->land && asked->land != stay->land)
        return 0;
    return !(radius_m > 0.0) || lw_distance_m(asked->spot, stay->spot) <= radius_m;
}

static double radius_of(const lw_stay_rule *rule, trip_near which)
{
    switch (which) {
    case NEAR_FIRST:
        return rule->radius_m;
    case NEAR_SECOND:
        return rule->second_from ? rule->second_radius_m : rule->radius_m;
    case NEAR_SITE:
        return rule->site_m;
    default:
        return 0.0;
    }
}

/* The question asked for such places at all? */
static int is_asked(const lw_stay_rule *rule, trip_near which)
{
    switch (which) {
    case NEAR_FIRST:
        return rule->days > 0 && rule->window_days > 0;
    case NEAR_SECOND:
        return rule->days > 0 && rule->window_days > 0 && rule->second_from;
    case NEAR_SITE:
        return rule->consecutive_days > 0 || rule->site_gap_days > 0;
    default:
        return rule->year_days > 0;
    }
}

static void use_day(trip_days *days, int64_t day)
{
    const int64_t at = day + TRIP_PAST_DAYS;
    if (at >= 0 && at < TRIP_DAY_WORDS * INT64_C(64))
        days->word[at >> 6] |= UINT64_C(1) << (at & 63);
}

static int is_used(const trip_days *days, int day)
{
    const int at = day + TRIP_PAST_DAYS;
    return at >= 0 && (int)(days->word[at >> 6] >> (at & 63) & 1u);
}

/* Ones of a word, without asking for the compiler's library. */
static int ones(uint64_t w)
{
    w -= w >> 1 & UINT64_C(0x5555555555555555);
    w = (w & UINT64_C(0x3333333333333333)) + (w >> 2 & UINT64_C(0x3333333333333333));
    w = (w + (w >> 4)) & UINT64_C(0x0f0f0f0f0f0f0f0f);
    return (int)(w * UINT64_C(0x0101010101010101) >> 56);
}

int trip_used(const trip_days *days, int from, int to)
{
    int first = from + TRIP_PAST_DAYS, last = to + TRIP_PAST_DAYS, used = 0;
    first = first < 0 ? 0 : first;
    last = last < TRIP_DAY_WORDS * 64 ? last : TRIP_DAY_WORDS * 64 - 1;
    for (int w = first >> 6; first <= last && w <= last >> 6; w++) {
        uint64_t word = days->word[w];
        if (w == first >> 6)
            word &= ~UINT64_C(0) << (first & 63);
        if (w == last >> 6)
            word &= ~UINT64_C(0) >> (63 - (last & 63));
        used += ones(word);
    }
    return used;
}

size_t trip_rules_bytes(const lw_trip_in *in)
{
    const size_t n = (size_t)in->place_count;
    return n * NEAR_COUNT * (sizeof(lw_trip_places) + sizeof(trip_days)) + n * (sizeof(uint16_t) + sizeof(uint64_t)) +
           256;
}

static void mark_past(trip_rules *r, trip_near which, int place)
{
    const lw_trip_in *in = r->in;
    const lw_stay_rule *rule = &in->rule[in->place[place].rule];
    for (int i = 0; i < in->history.count; i++) {
        const lw_stay_past *stay = &in->history.stay[i];
        const lw_stay_place at = {stay->spot, stay->land};
        if (!is_near(&in->place[place].at, &at, radius_of(rule, which)))
            continue;
        const int64_t last = rule->count == LW_STAY_NIGHTS ? stay->last_day - 1 : stay->last_day;
        int64_t day = stay->first_day - in->first_day;
        for (day = day < -TRIP_PAST_DAYS ? -TRIP_PAST_DAYS : day; day <= last - in->first_day; day++)
            use_day(&r->past[which][place], day);
    }
}

/* Do two places count alike under every rule? */
static int is_alike(const trip_rules *r, int a, int b)
{
    for (int which = 0; which < NEAR_COUNT; which++)
        for (int q = 0; q < r->in->place_count; q++)
            if (trip_has(r->near[which][q], a) != trip_has(r->near[which][q], b))
                return 0;
    return 1;
}

static int counts_nowhere(const trip_rules *r, int place)
{
    for (int which = 0; which < NEAR_COUNT; which++)
        for (int q = 0; q < r->in->place_count; q++)
            if (trip_has(r->near[which][q], place))
                return 0;
    return 1;
}

static uint64_t sign_of(const trip_rules *r, int place)
{
    uint64_t sign = UINT64_C(0xcbf29ce484222325);
    for (int which = 0; which < NEAR_COUNT; which++)
        for (int q = 0; q < r->in->place_count; q++)
            sign = (sign ^ (uint64_t)trip_has(r->near[which][q], place)) * UINT64_C(0x100000001b3);
    return sign;
}

static void find_regions(trip_rules *r, uint64_t *sign)
{
    r->region_count = 1;
    for (int p = 0; p < r->in->place_count; p++) {
        int like = -1;
        sign[p] = sign_of(r, p);
        for (int q = 0; q < p && like < 0; q++)
            if (sign[q] == sign[p] && is_alike(r, p, q))
                like = q;
        r->region[p] = (uint16_t)(like >= 0 ? r->region[like] : counts_nowhere(r, p) ? TRIP_FREE : r->region_count++);
    }
}

/* Each question asks about one region only: then sums by region are what the rules count. */
static int is_parted(const trip_rules *r)
{
    for (int which = 0; which < NEAR_COUNT; which++)
        for (int q = 0; q < r->in->place_count; q++) {
            int region = -1;
            for (int p = 0; p < r->in->place_count; p++)
                if (trip_has(r->near[which][q], p)) {
                    if (region >= 0 && region != r->region[p])
                        return 0;
                    region = r->region[p];
                }
        }
    return 1;
}

static void choose_compare(trip_rules *r)
{
    const lw_trip_in *in = r->in;
    int is_sum = 1, has_any = 0;
    r->memory_days = 0;
    r->is_any_part = 0;
    for (int p = 0; p < in->place_count; p++) {
        if (in->place[p].rule < 0)
            continue;
        const lw_stay_rule *rule = &in->rule[in->place[p].rule];
        const int has_window = is_asked(rule, NEAR_FIRST);
        has_any |= has_window || is_asked(rule, NEAR_SITE) || is_asked(rule, NEAR_LAND);
        is_sum &= !(has_window && rule->reading != LW_STAY_ROLLING) && rule->site_gap_days == 0;
        r->is_any_part |= rule->count == LW_STAY_ANY_PART;
        r->memory_days = trip_most(r->memory_days, has_window ? rule->window_days : 0);
        r->memory_days = trip_most(r->memory_days, rule->consecutive_days + 1);
        if (rule->year_days > 0)
            r->memory_days = LW_TRIP_DAYS;
    }
    r->compare = !has_any                          ? COMPARE_NOTHING
                 : !is_sum                         ? COMPARE_SAME
                 : r->is_any_part && !is_parted(r) ? COMPARE_DAYS
                                                   : COMPARE_SUMS;
    if (r->compare == COMPARE_SAME)
        r->memory_days = LW_TRIP_DAYS;
}

int trip_rules_make(trip_rules *r, const lw_trip_in *in, lw_arena *arena)
{
    const size_t n = (size_t)in->place_count;
    *r = (trip_rules){.in = in};
    for (int which = 0; which < NEAR_COUNT; which++) {
        r->near[which] = lw_arena_lend(arena, n * sizeof(lw_trip_places), 8);
        r->past[which] = lw_arena_lend(arena, n * sizeof(trip_days), 8);
        if (!r->near[which] || !r->past[which])
            return 0;
        memset(r->near[which], 0, n * sizeof(lw_trip_places));
        memset(r->past[which], 0, n * sizeof(trip_days));
    }
    r->region = lw_arena_lend(arena, n * sizeof *r->region, 8);
    uint64_t *sign = lw_arena_lend(arena, n * sizeof *sign, 8);
    if (!r->region || !sign)
        return 0;
    for (int p = 0; p < in->place_count; p++)
        for (int which = 0; which < NEAR_COUNT && in->place[p].rule >= 0; which++) {
            const lw_stay_rule *rule = &in->rule[in->place[p].rule];
            if (!is_asked(rule, (trip_near)which))
                continue;
            for (int q = 0; q < in->place_count; q++)
                if (is_near(&in->place[p].at, &in->place[q].at, radius_of(rule, (trip_near)which)))
                    trip_put(r->near[which][p], q);
            mark_past(r, (trip_near)which, p);
        }
    find_regions(r, sign);
    choose_compare(r);
    return 1;
}

/* ---- until when ---- */

static void add_stays(const trip_rules *r, trip_past past, trip_near which, int place, trip_days *days)
{
    const int is_any = r->in->rule[r->in->place[place].rule].count == LW_STAY_ANY_PART;
    int left = past.left_day;
    *days = r->past[which][place];
    for (int32_t at = past.last; at >= 0; at = past.row[at].before) {
        const trip_stay *stay = &past.row[at];
        if (trip_has(r->near[which][place], stay->place))
            for (int day = stay->arrive; day < left + is_any; day++)
                use_day(days, day);
        left = stay->arrive;
    }
}

static int running(const trip_days *days, int day)
{
    int run = 0;
    while (is_used(days, day - 1 - run))
        run++;
    return run;
}

/* Days since the site was last used; 0: yesterday. */
static int gap_before(const trip_days *days, int day)
{
    int gap = 0;
    while (gap < TRIP_PAST_DAYS && !is_used(days, day - 1 - gap))
        gap++;
    return gap;
}

static int year_begins(const lw_trip_in *in, int day)
{
    const int year = lw_date_of(in->first_day + day).year;
    return (int)(lw_day_of((lw_date){year, 1, 1}) - in->first_day);
}

static int is_second_radius(const lw_stay_rule *rule, int64_t civil_day)
{
    const lw_date date = lw_date_of(civil_day);
    const int now = date.month * 100 + date.day, from = rule->second_from, to = rule->second_to;
    return from && (from <= to ? now >= from && now <= to : now >= from || now <= to);
}

/* A window that is not rolling may reach back for ever: asked of core/land with all stays at hand. */
static int is_other_window_kept(const trip_rules *r, trip_past past, int place, int arrive, int day)
{
    const lw_trip_in *in = r->in;
    const lw_stay_rule *whole = &in->rule[in->place[place].rule];
    lw_stay_rule rule = *whole;
    lw_stay_past stay[LW_STAYS];
    lw_stay_history history = {stay, in->history.count};
    int left = past.left_day;
    rule.consecutive_days = rule.year_days = rule.site_gap_days = 0;
    for (int i = 0; i < in->history.count; i++)
        stay[i] = in->history.stay[i];
    for (int32_t at = past.last; at >= 0; at = past.row[at].before) {
        const lw_trip_place *where = &in->place[past.row[at].place];
        stay[history.count++] =
            (lw_stay_past){where->at.spot, where->at.land, in->first_day + past.row[at].arrive, in->first_day + left};
        left = past.row[at].arrive;
    }
    if (day > arrive) /* its own days: the last one is cut by the count of nights, hence up to the day asked */
        stay[history.count++] = (lw_stay_past){in->place[place].at.spot, in->place[place].at.land,
                                               in->first_day + arrive, in->first_day + day};
    return lw_stay_on(&rule, &history, in->place[place].at, in->first_day + day).is_allowed;
}

typedef struct asked {
    const lw_stay_rule *rule;
    trip_days days[NEAR_COUNT];
    int is_asked[NEAR_COUNT];
} asked;

static int is_allowed(const trip_rules *r, const asked *a, trip_past past, int place, int arrive, int day)
{
    const lw_stay_rule *rule = a->rule;
    if (a->is_asked[NEAR_FIRST]) {
        const trip_near which = is_second_radius(rule, r->in->first_day + day) ? NEAR_SECOND : NEAR_FIRST;
        const int is_kept = rule->reading == LW_STAY_ROLLING
                                ? trip_used(&a->days[which], day - rule->window_days + 1, day - 1) < rule->days
                                : is_other_window_kept(r, past, place, arrive, day);
        if (!is_kept)
            return 0;
    }
    if (rule->consecutive_days > 0 && running(&a->days[NEAR_SITE], day) >= rule->consecutive_days)
        return 0;
    if (rule->site_gap_days > 0) {
        const int gap = gap_before(&a->days[NEAR_SITE], day);
        if (gap > 0 && gap < rule->site_gap_days)
            return 0;
    }
    return !a->is_asked[NEAR_LAND] ||
           trip_used(&a->days[NEAR_LAND], year_begins(r->in, day), day - 1) < rule->year_days;
}

int trip_until(const trip_rules *r, trip_past past, int place, int arrive)
{
    const lw_trip_in *in = r->in;
    if (in->place[place].rule < 0)
        return in->days;
    asked a = {.rule = &in->rule[in->place[place].rule]};
    const int is_any = a.rule->count == LW_STAY_ANY_PART;
    for (int which = 0; which < NEAR_COUNT; which++) {
        a.is_asked[which] = is_asked(a.rule, (trip_near)which);
        if (a.is_asked[which])
            add_stays(r, past, (trip_near)which, place, &a.days[which]);
    }
    int day = arrive;
    while (day < in->days + is_any && is_allowed(r, &a, past, place, arrive, day)) {
        for (int which = 0; which < NEAR_COUNT; which++)
            if (a.is_asked[which])
                use_day(&a.days[which], day);
        day++;
    }
    return is_any ? day - 1 : day; /* the day of leaving counts too */
}
