#include "core/land/ledger.h"

#include <math.h>

#include "core/base/civil.h"
#include "core/land/season.h"

static const double YEAR_1 = -719162.0, YEAR_9999 = 2932896.0; /* days, as the checks of core/land/stay_rule.h */

static lw_code conflict(lw_fault *fault, const char *field, double value, double low)
{
    *fault = (lw_fault){.code = LW_E_CONFLICT, .field = field, .value = value, .low = low};
    return LW_E_CONFLICT;
}

static lw_code check_count(lw_fault *fault, const char *field, int count, int most)
{
    if (count >= 0 && count <= most)
        return LW_OK;
    *fault = (lw_fault){.code = LW_E_FULL, .field = field, .value = count, .high = most};
    return LW_E_FULL;
}

static lw_code check_stay(const lw_ledger_stay *stay, lw_fault *fault)
{
    lw_code bad = lw_spot_check(&stay->spot, fault);
    if (!bad)
        bad = lw_want_range(fault, "arrival_day", (double)stay->arrival_day, YEAR_1, YEAR_9999);
    if (!bad)
        bad = lw_want_range(fault, "departure_day", (double)stay->departure_day, YEAR_1, YEAR_9999);
    if (!bad && stay->departure_day < stay->arrival_day)
        bad = conflict(fault, "departure_day", (double)stay->departure_day, (double)stay->arrival_day);
    return bad;
}

static lw_code check_permit(const lw_permit *permit, lw_fault *fault)
{
    const lw_want wants[] = {
        {"permit.first_day", (double)permit->first_day, YEAR_1, YEAR_9999},
        {"permit.last_day", (double)permit->last_day, YEAR_1, YEAR_9999},
        {"permit.season_from", permit->season_from, 0.0, 1231.0},
        {"permit.season_to", permit->season_to, 0.0, 1231.0},
        {"permit.price_usd", permit->price_usd, 0.0, 1e6},
        {"permit.renews_days", permit->renews_days, 0.0, 3660.0},
    };
    const lw_code bad = lw_want_all(fault, LW_WANTS(wants));
    if (!bad && permit->last_day < permit->first_day)
        return conflict(fault, "permit.last_day", (double)permit->last_day, (double)permit->first_day);
    return bad;
}

lw_code lw_ledger_check(const lw_ledger *ledger, lw_fault *fault)
{
    lw_code bad = check_count(fault, "ledger.stay_count", ledger->stay_count, LW_LEDGER_STAYS);
    if (!bad)
        bad = check_count(fault, "ledger.permit_count", ledger->permit_count, LW_PERMITS);
    for (int i = 0; i < ledger->stay_count && !bad; i++)
        bad = check_stay(&ledger->stay[i], fault);
    for (int i = 0; i < ledger->permit_count && !bad; i++)
        bad = check_permit(&ledger->permit[i], fault);
    return bad;
}

/* ---- nights ---- */

static int is_night_of(const lw_ledger *ledger, int place, int manager, int64_t night)
{
    for (int i = 0; i < ledger->stay_count; i++) {
        const lw_ledger_stay *stay = &ledger->stay[i];
        if ((place < 0 || stay->place == place) && (manager < 0 || stay->manager == manager) &&
            night >= stay->arrival_day && night < stay->departure_day)
            return 1;
    }
    return 0;
}

int lw_ledger_nights(const lw_ledger *ledger, int place, int manager, int64_t from_day, int64_t until_day)
{
    int nights = 0;
    int64_t counted_to = from_day; /* nights before it are done with */
    for (;;) {
        int64_t first = until_day; /* the next night that is one of theirs */
        if (is_night_of(ledger, place, manager, counted_to))
            first = counted_to;
        else
            for (int i = 0; i < ledger->stay_count; i++) {
                const int64_t arrival = ledger->stay[i].arrival_day;
                if (arrival > counted_to && arrival < first && is_night_of(ledger, place, manager, arrival))
                    first = arrival;
            }
        if (first >= until_day)
            return nights;
        nights++;
        counted_to = first + 1;
    }
}

/* ---- what is left of a limit ---- */

static int is_covered(const lw_permit *permit, int manager, int64_t day)
{
    if (permit->manager != manager || day < permit->first_day || day > permit->last_day)
        return 0;
    return lw_season_holds((lw_season){permit->season_from, permit->season_to}, day);
}

static const lw_permit *permit_on(const lw_ledger *ledger, int manager, int64_t day)
{
    for (int i = 0; i < ledger->permit_count; i++)
        if (is_covered(&ledger->permit[i], manager, day))
            return &ledger->permit[i];
    return NULL;
}

/* The stays as the rule counts them. Days under a permit that keeps them out of the count are cut out, which may part a stay in two. */
typedef struct past {
    lw_stay_past stay[LW_STAYS];
    int count;
} past;

static void add_day(past *p, const lw_stay_rule *rule, lw_spot spot, int land, int64_t day, int is_new)
{
    const int tail = rule->count == LW_STAY_NIGHTS; /* the rule leaves out a stay's last day */
    if (!is_new && p->count > 0 && p->stay[p->count - 1].last_day == day - 1 + tail) {
        p->stay[p->count - 1].last_day++;
        return;
    }
    if (p->count < LW_STAYS)
        p->stay[p->count++] = (lw_stay_past){.spot = spot, .land = land, .first_day = day, .last_day = day + tail};
}

/* `last` is the last day that is counted. */
static void add_stay(past *p, const lw_ledger *ledger, const lw_stay_rule *rule, lw_spot spot, int land, int64_t first,
                     int64_t last)
{
    int is_new = 1;
    for (int64_t day = first; day <= last; day++) {
        const lw_permit *permit = permit_on(ledger, land, day);
        if (permit && permit->is_uncounted)
            continue;
        add_day(p, rule, spot, land, day, is_new);
        is_new = 0;
    }
}

static void gather_past(const lw_ledger *ledger, const lw_stay_rule *rule, int64_t today, past *p)
{
    p->count = 0;
    for (int i = 0; i < ledger->stay_count; i++) {
        const lw_ledger_stay *stay = &ledger->stay[i];
        const int64_t last = rule->count == LW_STAY_NIGHTS ? stay->departure_day - 1 : stay->departure_day;
        add_stay(p, ledger, rule, stay->spot, stay->manager, stay->arrival_day, last < today ? last : today - 1);
    }
}

lw_ledger_left lw_ledger_left_at(const lw_ledger *ledger, const lw_stay_rule *rule, lw_stay_place place, int64_t today)
{
    lw_ledger_left left = {.last_day = today - 1, .away_m = lw_stay_radius_m(rule, today)};
    past p;
    gather_past(ledger, rule, today, &p);
    const int before = p.count;
    left.is_permit = permit_on(ledger, place.land, today) != NULL;
    left.used_days = lw_stay_on(rule, &(lw_stay_history){p.stay, p.count}, place, today).used_days;
    for (int64_t day = today; day < today + LW_STAY_HORIZON_DAYS; day++) {
        const lw_stay_verdict v = lw_stay_on(rule, &(lw_stay_history){p.stay, p.count}, place, day);
        if (!permit_on(ledger, place.land, day) && !v.is_allowed) {
            left.is_limited = 1;
            left.limit = v.limit;
            break;
        }
        left.last_day = day;
        left.left_days++;
        p.count = before;
        add_stay(&p, ledger, rule, place.spot, place.land, today, day);
    }
    left.leave_day = rule->count == LW_STAY_NIGHTS ? left.last_day + 1 : left.last_day;
    left.again_day = left.last_day + LW_STAY_HORIZON_DAYS;
    for (int64_t day = left.last_day + 2; left.is_limited && day < left.again_day; day++)
        if (permit_on(ledger, place.land, day) ||
            lw_stay_on(rule, &(lw_stay_history){p.stay, p.count}, place, day).is_allowed)
            left.again_day = day;
    return left;
}

static int used_before(const lw_stay_rule *rule, const past *p, lw_stay_place place, int64_t day)
{
    return lw_stay_on(rule, &(lw_stay_history){p->stay, p->count}, place, day).used_days;
}

lw_ledger_frees lw_ledger_frees_at(const lw_ledger *ledger, const lw_stay_rule *rule, lw_stay_place place,
                                   int64_t today)
{
    past p;
    gather_past(ledger, rule, today + 1, &p);
    lw_ledger_frees frees = {.used_days = used_before(rule, &p, place, today + 1)};
    for (int64_t day = today + 2; frees.used_days > 0 && !frees.all_day && day <= today + LW_STAY_HORIZON_DAYS; day++) {
        const int used = used_before(rule, &p, place, day);
        if (!frees.first_day && used < frees.used_days) {
            frees.first_day = day;
            frees.freed_days = frees.used_days - used;
        }
        frees.all_day = used == 0 ? day : 0;
    }
    return frees;
}

int64_t lw_permit_covered_until(const lw_ledger *ledger, int manager, int64_t day)
{
    int64_t last = day - 1;
    while (last < day + LW_STAY_HORIZON_DAYS && permit_on(ledger, manager, last + 1))
        last++;
    return last;
}

int64_t lw_permit_due_day(const lw_permit *permit, int64_t day)
{
    if (permit->renews_days <= 0)
        return 0;
    const int64_t gone = day < permit->first_day ? 0 : (day - permit->first_day) / permit->renews_days + 1;
    const int64_t due = permit->first_day + gone * permit->renews_days;
    return due > day && due <= permit->last_day ? due : 0;
}

double lw_permit_cost_usd(const lw_permit *permit, int64_t until_day)
{
    const int64_t end = until_day <= permit->last_day ? until_day : permit->last_day + 1;
    if (end <= permit->first_day)
        return 0.0;
    if (permit->renews_days <= 0)
        return permit->price_usd;
    const int64_t renewals = (end - 1 - permit->first_day) / permit->renews_days;
    return permit->price_usd * (double)(1 + renewals);
}

/* ---- money ---- */

lw_money lw_ledger_money(const lw_expense *expense, int count, int64_t from_day, int64_t until_day)
{
    lw_money money = {.all_cents = 0};
    for (int i = 0; i < count; i++) {
        if (expense[i].day < from_day || expense[i].day >= until_day || (unsigned)expense[i].kind >= LW_EXPENSE_COUNT)
            continue;
        money.cents[expense[i].kind] += expense[i].cents;
        money.all_cents += expense[i].cents;
    }
    return money;
}

/* ---- how good the forecasts were ---- */

lw_code lw_forecasts_check(const lw_forecast_kept *kept, int count, lw_fault *fault)
{
    lw_code bad = check_count(fault, "forecast.count", count, LW_FORECASTS);
    for (int i = 0; i < count && !bad; i++) {
        const lw_want wants[] = {
            {"forecast.p10_days", kept[i].p10_days, 0.0, 3660.0},
            {"forecast.p50_days", kept[i].p50_days, 0.0, 3660.0},
            {"forecast.p90_days", kept[i].p90_days, 0.0, 3660.0},
            {"forecast.happened_days", kept[i].happened_days, 0.0, 3660.0},
        };
        bad = lw_want_all(fault, LW_WANTS(wants));
        if (!bad && kept[i].p50_days < kept[i].p10_days)
            bad = conflict(fault, "forecast.p50_days", kept[i].p50_days, kept[i].p10_days);
        if (!bad && kept[i].p90_days < kept[i].p50_days)
            bad = conflict(fault, "forecast.p90_days", kept[i].p90_days, kept[i].p50_days);
    }
    return bad;
}

static double off_days(const lw_forecast_kept *kept)
{
    return fabs(kept->happened_days - kept->p50_days);
}

/* The value with `rank` smaller ones among the ends seen; equal ones in their order. */
static double off_of_rank(const lw_forecast_kept *kept, int count, int rank)
{
    for (int i = 0; i < count; i++) {
        int smaller = 0;
        if (kept[i].is_left_early)
            continue;
        for (int k = 0; k < count; k++)
            smaller += !kept[k].is_left_early &&
                       (k < i ? off_days(&kept[k]) <= off_days(&kept[i]) : off_days(&kept[k]) < off_days(&kept[i]));
        if (smaller == rank)
            return off_days(&kept[i]);
    }
    return NAN;
}

lw_score lw_ledger_score(const lw_forecast_kept *kept, int count)
{
    lw_score score = {.inside_frac = NAN, .mean_error_days = NAN, .median_off_days = NAN};
    double sum = 0.0;
    for (int i = 0; i < count; i++) {
        const lw_forecast_kept *k = &kept[i];
        if (k->is_left_early && k->happened_days <= k->p90_days) {
            score.unscored++;
            continue;
        }
        score.scored++;
        score.inside += k->happened_days >= k->p10_days && k->happened_days <= k->p90_days;
        if (k->is_left_early)
            continue;
        score.with_error++;
        sum += k->happened_days - k->p50_days;
    }
    if (score.scored > 0)
        score.inside_frac = (double)score.inside / score.scored;
    if (score.with_error > 0) {
        const int n = score.with_error;
        score.mean_error_days = sum / n;
        score.median_off_days = 0.5 * (off_of_rank(kept, count, (n - 1) / 2) + off_of_rank(kept, count, n / 2));
    }
    return score;
}
