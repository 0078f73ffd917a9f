#include "service/ledger.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "book/entries.h"
#include "exchange/tables.h"
#include "exchange/tzif.h"
#include "service/place_known.h"
#include "service/stay_end.h"
#include "text/moment.h"
#include "text/quantity.h"
#include "text/say.h"

static const int64_t DAY_S = 86400;
enum { LIMIT_DAYS = LW_STAY_HORIZON_DAYS, ZONE_DAYS = 800 };

static lw_code no_memory(lw_err *err)
{
    (void)lw_fail(err, LW_E_FULL, "no memory for the ledger");
    return LW_E_FULL;
}

void lw_book_ledger_clear(lw_book_ledger *ledger)
{
    free(ledger->stay);
    free(ledger->place);
    free(ledger->manager);
    free(ledger->limit);
    free(ledger->month);
    *ledger = (lw_book_ledger){0};
}

int lw_has_money(const lw_money *money)
{
    for (int k = 0; k < LW_EXPENSE_COUNT; k++)
        if (money->cents[k] != 0)
            return 1;
    return 0;
}

int64_t lw_cents_a_night(int64_t cents, int nights)
{
    return nights > 0 ? (cents + nights / 2) / nights : cents;
}

lw_code lw_since_read(const char *text, int64_t now_s, const lw_zone *zone, int64_t *from_s, lw_err *err)
{
    lw_moment moment;
    lw_err unread = {0};
    double ago_s;
    if (!lw_quantity_parse(text, LW_DIM_TIME, &ago_s, &unread) && ago_s >= 0.0) {
        *from_s = now_s - (int64_t)ago_s;
        return LW_OK;
    }
    const lw_code code = lw_moment_parse(text, &moment, err);
    if (!code)
        *from_s = lw_moment_utc(&moment, zone);
    return code;
}

static lw_code load_zone(const char *name, int64_t around_s, lw_zone *zone, lw_err *err)
{
    return lw_zone_load(name, around_s - ZONE_DAYS * DAY_S, around_s + ZONE_DAYS * DAY_S, zone, err);
}

/* ---- nights ---- */

static int is_of_stay(const lw_book_ledger *l, const lw_book_stay *stay)
{
    return !l->only_stay || stay->id == l->only_stay;
}

static int is_asked(const lw_book_ledger *l, const lw_book_stay *stay)
{
    return is_of_stay(l, stay) && stay->departure_day >= l->since_day;
}

/* What the core counts: the stays that are asked for, by number of place and manager. */
typedef struct counting {
    lw_ledger_stay *stay;
    int count;
    lw_table managers; /* that the maps may name */
} counting;

static lw_nights_sum *sum_of(lw_nights_sum *sums, int *count, const char *name)
{
    for (int i = 0; i < *count; i++)
        if (strcasecmp(sums[i].name, name) == 0)
            return &sums[i];
    snprintf(sums[*count].name, LW_NAME, "%s", name);
    return &sums[(*count)++];
}

static void add_to_sum(lw_nights_sum *sum, const lw_book_stay *stay)
{
    sum->stays++;
    sum->last_day = stay->departure_day > sum->last_day ? stay->departure_day : sum->last_day;
}

static int by_nights(const void *a, const void *b)
{
    const lw_nights_sum *x = a, *y = b;
    return x->nights != y->nights ? (x->nights < y->nights) - (x->nights > y->nights) : strcmp(x->name, y->name);
}

/* As it was written, else whose it is by the maps; empty: not known. */
static const char *manager_of(const counting *c, const lw_book_stay *stay)
{
    return stay->manager[0]  ? stay->manager
           : stay->by_map[0] ? lw_table_cell(&c->managers, lw_table_row(&c->managers, "id", stay->by_map), "title")
                             : "";
}

static void count_nights(lw_book_ledger *l, const lw_book_stays *all, counting *c)
{
    for (int i = 0; i < all->count; i++) {
        const lw_book_stay *from = &all->stay[i];
        if (!is_asked(l, from))
            continue;
        lw_nights_sum *place = sum_of(l->place, &l->place_count, from->place_name);
        const char *whose = manager_of(c, from);
        snprintf(place->manager, LW_NAME, "%.*s", LW_NAME - 1, whose);
        add_to_sum(place, from);
        lw_ledger_stay *to = &c->stay[c->count++];
        *to = (lw_ledger_stay){.place = (int)(place - l->place),
                               .manager = 0,
                               .spot = from->spot,
                               .arrival_day = from->arrival_day,
                               .departure_day = from->departure_day};
        if (*whose) {
            lw_nights_sum *manager = sum_of(l->manager, &l->manager_count, place->manager);
            add_to_sum(manager, from);
            to->manager = (int)(manager - l->manager) + 1;
        }
    }
    const lw_ledger ledger = {.stay = c->stay, .stay_count = c->count};
    const int64_t until = INT64_MAX;
    for (int i = 0; i < l->place_count; i++)
        l->place[i].nights = lw_ledger_nights(&ledger, i, -1, l->since_day, until);
    for (int i = 0; i < l->manager_count; i++)
        l->manager[i].nights = lw_ledger_nights(&ledger, -1, i + 1, l->since_day, until);
    l->nights = lw_ledger_nights(&ledger, -1, -1, l->since_day, until);
    if (l->place_count > 1)
        qsort(l->place, (size_t)l->place_count, sizeof *l->place, by_nights);
    if (l->manager_count > 1)
        qsort(l->manager, (size_t)l->manager_count, sizeof *l->manager, by_nights);
}

/* ---- money ---- */

static void add_money(lw_money *to, lw_expense_kind kind, int64_t cents)
{
    to->cents[kind] += cents;
    to->all_cents += cents;
}

static lw_month_sum *month_of(lw_book_ledger *l, lw_date date)
{
    int at = 0;
    for (; at < l->month_count; at++)
        if (l->month[at].year == date.year && l->month[at].month == date.month)
            return &l->month[at];
    lw_month_sum *more = realloc(l->month, sizeof *more * (size_t)(l->month_count + 1));
    if (!more)
        return NULL;
    l->month = more;
    while (at > 0 &&
           (more[at - 1].year > date.year || (more[at - 1].year == date.year && more[at - 1].month > date.month))) {
        more[at] = more[at - 1];
        at--;
    }
    more[at] = (lw_month_sum){.year = date.year, .month = date.month};
    l->month_count++;
    return &more[at];
}

static lw_code add_expense(lw_book_ledger *l, const lw_entry *e, const lw_zone *zone, lw_stay_sum *to, lw_err *err)
{
    lw_expense_kind kind = LW_EXPENSE_OTHER;
    lw_currency currency;
    const lw_clock clock = lw_clock_at(zone, e->stated_s);
    if (clock.day < l->since_day || isnan(e->amount) || !lw_currency_of(e->unit ? e->unit : "", &currency))
        return LW_OK;
    (void)lw_expense_kind_of(e->target ? e->target : "", &kind);
    const int64_t cents = (int64_t)llround(e->amount * 100.0);
    lw_month_sum *month = month_of(l, clock.date);
    if (!month)
        return no_memory(err);
    add_money(&to->money[currency], kind, cents);
    add_money(&month->money[currency], kind, cents);
    add_money(&l->money[currency], kind, cents);
    return LW_OK;
}

static lw_code add_money_of(lw_book *book, lw_book_ledger *l, lw_stay_sum *to, lw_err *err)
{
    lw_entries spent = {0};
    lw_zone *zone = NULL;
    const lw_history which = {.stay = to->stay.id, .kinds = 1u << LW_ENTRY_EXPENSE, .is_oldest_first = 1};
    lw_code code = lw_book_history(book, &which, &spent, err);
    if (!code && spent.count > 0) {
        zone = malloc(sizeof *zone);
        code = zone ? load_zone(to->stay.zone, to->stay.arrival_s, zone, err) : no_memory(err);
    }
    for (size_t i = 0; i < spent.count && !code; i++)
        code = add_expense(l, &spent.entry[i], zone, to, err);
    free(zone);
    lw_entries_clear(&spent);
    return code;
}

static lw_code sum_stays(lw_book *book, lw_book_ledger *l, const lw_book_stays *all, lw_err *err)
{
    lw_code code = LW_OK;
    for (int i = 0; i < all->count && !code; i++) {
        if (!is_asked(l, &all->stay[i]))
            continue;
        lw_stay_sum *to = &l->stay[l->stay_count++];
        const int64_t from = all->stay[i].arrival_day > l->since_day ? all->stay[i].arrival_day : l->since_day;
        *to = (lw_stay_sum){.stay = all->stay[i]};
        to->nights = all->stay[i].departure_day > from ? (int)(all->stay[i].departure_day - from) : 0;
        code = add_money_of(book, l, to, err);
    }
    return code;
}

/* ---- what rules and permits leave ---- */

/* The newest stay of each place of late. */
static int is_newest_of_its_place(const lw_book_stays *all, int at)
{
    for (int i = at + 1; i < all->count; i++)
        if (all->stay[i].place == all->stay[at].place)
            return 0;
    return 1;
}

static lw_code read_place(lw_book *book, const lw_book_stay *stay, int64_t now_s, lw_loaded *loaded, int *is_unread,
                          lw_err *err)
{
    lw_kept_stays kept = {0};
    lw_place_known known;
    char *text = NULL;
    lw_err own = {0};
    lw_code code = lw_book_list_stays(book, &(lw_kept_key){.id = stay->id}, &kept, err);
    code = code ? code : lw_stay_scenario(book, &kept.stay[0], &text, err);
    if (!code) {
        lw_place_known_find(book, stay->spot, &known);
        *is_unread = lw_scenario_land(
                         &(lw_scenario_from){
                             .path = "the book", .bytes = text, .size = strlen(text), .known = &known, .now_s = now_s},
                         loaded, &own) != LW_OK;
    }
    free(text);
    lw_kept_stays_clear(&kept);
    return code;
}

/* Of all stays but those on other land. */
static lw_code ledger_at(const lw_book_stays *all, const lw_book_stay *stay, lw_land_ledger *known, lw_err *err)
{
    lw_land_of here = {.spot = stay->spot};
    int count;
    memcpy(here.manager, stay->manager, sizeof here.manager);
    memcpy(here.by_map, stay->by_map, sizeof here.by_map);
    lw_named_stay *named = lw_stays_named(all, INT64_MAX, 0, &here, &count);
    if (!named)
        return no_memory(err);
    lw_land_ledger_of(named, count, all->permit, all->permit_count, known);
    free(named);
    return LW_OK;
}

static void fill_limit(const lw_book_stay *stay, const lw_loaded *loaded, lw_land_ledger *known, int64_t now_s,
                       lw_place_limit *to)
{
    const lw_stay_place place = {.spot = stay->spot, .land = lw_land_number(known, stay->manager)};
    *to = (lw_place_limit){.is_here = stay->left_s == LW_NO_TIME,
                           .today = lw_clock_at(&loaded->zone, now_s).day,
                           .count = loaded->land.rule.count};
    snprintf(to->place, sizeof to->place, "%s", stay->place_name);
    snprintf(to->manager, sizeof to->manager, "%s", stay->manager);
    snprintf(to->rule, sizeof to->rule, "%s", loaded->rule_words);
    snprintf(to->source, sizeof to->source, "%s", loaded->rule_source);
    to->left = lw_ledger_left_at(&known->ledger, &loaded->land.rule, place, to->today);
    to->frees = lw_ledger_frees_at(&known->ledger, &loaded->land.rule, place, to->today);
    to->permit_until = lw_permit_covered_until(&known->ledger, place.land, to->today);
}

static int by_here(const void *a, const void *b)
{
    const lw_place_limit *x = a, *y = b;
    return x->is_here != y->is_here ? y->is_here - x->is_here : strcmp(x->place, y->place);
}

static lw_code gather_limits(lw_book *book, lw_book_ledger *l, const lw_book_stays *all, lw_land_ledger *known,
                             lw_err *err)
{
    lw_code code = l->limit ? LW_OK : no_memory(err);
    for (int i = 0; i < all->count && !code; i++) {
        const lw_book_stay *stay = &all->stay[i];
        lw_loaded loaded = {0};
        int is_unread = 0;
        if (!is_of_stay(l, stay) || stay->departure_day < l->today - LIMIT_DAYS || !is_newest_of_its_place(all, i))
            continue;
        code = read_place(book, stay, l->now_s, &loaded, &is_unread, err);
        l->unread += !code && is_unread;
        code = code ? code : ledger_at(all, stay, known, err);
        if (!code && !is_unread && loaded.land.has_rule)
            fill_limit(stay, &loaded, known, l->now_s, &l->limit[l->limit_count++]);
        lw_loaded_clear(&loaded);
    }
    if (!code)
        qsort(l->limit, (size_t)l->limit_count, sizeof *l->limit, by_here);
    return code;
}

static void gather_permits(lw_book_ledger *l, const lw_book_stays *all, const lw_land_ledger *known)
{
    for (int i = 0; i < known->ledger.permit_count; i++) {
        const lw_permit *terms = &known->permit[i];
        lw_permit_sum *to = &l->permit[l->permit_count++];
        *to = (lw_permit_sum){.permit = {.terms = *terms},
                              .is_now = lw_permit_covered_until(&(lw_ledger){.permit = terms, .permit_count = 1},
                                                                terms->manager, l->today) >= l->today,
                              .due_day = lw_permit_due_day(terms, l->today),
                              .cost_usd = lw_permit_cost_usd(terms, l->today + 1)};
        snprintf(to->permit.name, LW_NAME, "%s", known->permit_name[i]);
        snprintf(to->permit.manager, LW_NAME, "%s", terms->manager > 0 ? known->manager[terms->manager - 1] : "");
    }
    l->unread += all->unread;
}

static lw_code gather_land(lw_book *book, lw_book_ledger *l, const lw_book_stays *all, lw_err *err)
{
    int count;
    lw_named_stay *named = lw_stays_named(all, INT64_MAX, 0, NULL, &count);
    lw_land_ledger *known = malloc(sizeof *known);
    lw_code code = named && known ? LW_OK : no_memory(err);
    if (!code) {
        lw_land_ledger_of(named, count, all->permit, all->permit_count, known);
        gather_permits(l, all, known);
        code = gather_limits(book, l, all, known, err);
    }
    free(named);
    free(known);
    return code;
}

/* ---- how good the forecasts were ---- */

typedef struct scoring {
    lw_forecast_kept kept[LW_SUPPLY_COUNT][LW_FORECASTS];
    int count[LW_SUPPLY_COUNT], compared[LW_SUPPLY_COUNT], inside[LW_SUPPLY_COUNT];
    double off[LW_SUPPLY_COUNT];
} scoring;

static void add_summary(scoring *to, const lw_stay_summary *s)
{
    for (int i = 0; i < s->supply_count; i++) {
        const lw_supply_summary *of = &s->supply[i];
        const int k = (int)of->supply;
        if (to->count[k] < LW_FORECASTS)
            to->kept[k][to->count[k]++] = of->ends;
        to->compared[k] += of->compared;
        to->inside[k] += of->inside;
        to->off[k] += of->compared > 0 ? of->off_frac * of->compared : 0.0;
    }
}

static void put_scores(const scoring *from, lw_book_ledger *l)
{
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        if (from->count[k] == 0)
            continue;
        lw_supply_score *to = &l->score[l->score_count++];
        *to = (lw_supply_score){.supply = (lw_supply)k,
                                .ends = lw_ledger_score(from->kept[k], from->count[k]),
                                .compared = from->compared[k],
                                .inside = from->inside[k],
                                .off_frac = from->compared[k] > 0 ? from->off[k] / from->compared[k] : (double)NAN};
    }
}

static lw_code score_forecasts(lw_book *book, lw_book_ledger *l, lw_err *err)
{
    lw_kept_stays kept = {0};
    scoring *sums = calloc(1, sizeof *sums);
    lw_stay_summary *summary = malloc(sizeof *summary);
    lw_code code = sums && summary ? lw_book_list_stays(book, NULL, &kept, err) : no_memory(err);
    for (size_t i = 0; !code && sums && summary && i < kept.count; i++) {
        int is_asked_for = 0;
        for (int k = 0; k < l->stay_count; k++)
            is_asked_for |= l->stay[k].stay.id == kept.stay[i].id;
        if (!is_asked_for || !kept.stay[i].summary || !lw_stay_summary_read(kept.stay[i].summary, summary) ||
            summary->supply_count == 0)
            continue;
        l->scored_stays++;
        add_summary(sums, summary);
    }
    if (!code && sums)
        put_scores(sums, l);
    free(sums);
    free(summary);
    lw_kept_stays_clear(&kept);
    return code;
}

/* ---- all of it ---- */

static lw_code begin(const lw_ledger_request *request, const lw_book_stays *all, lw_book_ledger *l, lw_err *err)
{
    int is_there = request->stay == 0;
    if (all->count == 0)
        return lw_fail_typed(err, LW_E_MISSING, "begin one with leeway begin FILE.yaml",
                             "no stay of the book has begun yet");
    for (int i = 0; i < all->count; i++)
        is_there |= all->stay[i].id == request->stay;
    if (!is_there)
        return lw_fail_typed(err, LW_E_MISSING, "leeway ledger shows their numbers", "the book has no stay %lld",
                             (long long)request->stay);
    const size_t most = (size_t)all->count + 1;
    *l = (lw_book_ledger){.now_s = request->now_s, .since_day = INT64_MIN, .only_stay = request->stay};
    l->stay = calloc(most, sizeof *l->stay);
    l->place = calloc(most, sizeof *l->place);
    l->manager = calloc(most, sizeof *l->manager);
    l->limit = calloc(most, sizeof *l->limit);
    if (!l->stay || !l->place || !l->manager || !l->limit)
        return no_memory(err);
    lw_code code = load_zone(all->stay[all->count - 1].zone, request->now_s, &l->zone, err);
    int64_t from_s;
    if (!code && request->since) {
        code = lw_since_read(request->since, request->now_s, &l->zone, &from_s, err);
        if (code)
            return lw_err_at(err, NULL, 0, "since");
        l->since_day = lw_clock_at(&l->zone, from_s).day;
    }
    l->today = lw_clock_at(&l->zone, request->now_s).day;
    return code;
}

lw_code lw_book_ledger_make(lw_book *book, const lw_ledger_request *request, lw_book_ledger *ledger, lw_err *err)
{
    lw_book_stays all = {0};
    lw_book_ledger made = {0};
    counting c = {0};
    lw_code code = lw_stays_gather(book, request->now_s, &all, err);
    code = code ? code : begin(request, &all, &made, err);
    if (!code && !(c.stay = calloc((size_t)all.count + 1, sizeof *c.stay)))
        code = no_memory(err);
    code = code ? code : lw_table_open("land_managers", &c.managers, err);
    if (!code)
        count_nights(&made, &all, &c);
    code = code ? code : sum_stays(book, &made, &all, err);
    code = code ? code : gather_land(book, &made, &all, err);
    code = code ? code : score_forecasts(book, &made, err);
    free(c.stay);
    lw_table_clear(&c.managers);
    lw_stays_clear(&all);
    if (code)
        lw_book_ledger_clear(&made);
    else
        *ledger = made;
    return code;
}
