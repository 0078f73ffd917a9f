#include "service/buy.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/household.h"
#include "exchange/tables.h"
#include "service/levers_internal.h"
#include "service/pool.h"
#include "text/decimal.h"
#include "text/say.h"

enum { CHANGES_MOST = LW_BUY_SET_MOST * LW_LEVER_CHANGES + 3, PLACE_BYTES = 256, YEAR_DAYS = 365, MONTH_NIGHTS = 14 };
static const double DAY_H = 24.0;
static const double SAME_DAYS = 0.05, SAME_USD = 0.005; /* less than that is nothing */

/* What a run to town serves. */
enum { YEARS_RUN = 4 }; /* the rig as it is, single things, pairs, one more to what is on the front */

static const uint32_t RUN_SUPPLIES = 1u << LW_SUPPLY_FRESH | 1u << LW_SUPPLY_DRINKING | 1u << LW_SUPPLY_GREY |
                                     1u << LW_SUPPLY_BLACK | 1u << LW_SUPPLY_PROPANE | 1u << LW_SUPPLY_RUBBISH |
                                     1u << LW_SUPPLY_FOOD | 1u << LW_SUPPLY_FUEL;

/* A stay of the year as it is drawn now. */
typedef struct work {
    lw_trials *trials;
    lw_bought *to;
    int threads;
    lw_bench *bench;
    lw_flows **flows; /* one a thread */
    lw_trial_row **row;
    const lw_year_stay *stay;
    char place[3][PLACE_BYTES]; /* changes that bring the household there */
    int place_count;
    int first; /* set that this pass begins with; -1: the rig as it is */
    int done;  /* stays that were run, for those who wait */
} work;

/* ------------------------------------------------------------------ the year */

lw_year lw_year_by_month(const lw_loaded *loaded)
{
    lw_year year = {.from = LW_YEAR_BY_MONTH};
    lw_date at = lw_clock_at(&loaded->zone, loaded->scenario->stay.arrival_s).date;
    const lw_place *place = &loaded->scenario->place;
    for (int m = 0; m < 12; m++) {
        at.day = 8;
        lw_year_stay *stay = &year.stay[year.count++];
        *stay = (lw_year_stay){.is_here = 1,
                               .latitude_deg = place->latitude_deg,
                               .longitude_deg = place->longitude_deg,
                               .elevation_m = place->elevation_m,
                               .day = lw_day_of(at),
                               .nights = MONTH_NIGHTS};
        snprintf(stay->name, sizeof stay->name, "%.31s", place->name);
        at.year += at.month == 12;
        at.month = at.month % 12 + 1;
    }
    return year;
}

static lw_code take_stay(lw_book *book, const lw_kept_stay *kept, int64_t now_s, lw_year *year, lw_err *err)
{
    static const int64_t DAY_S = 86400;
    const int64_t until_s = kept->left_s != LW_NO_TIME        ? kept->left_s
                            : kept->departure_s != LW_NO_TIME ? kept->departure_s
                                                              : now_s;
    const int64_t nights = (until_s - kept->arrival_s + DAY_S / 2) / DAY_S;
    lw_kept_places places = {0};
    if (kept->arrival_s > now_s || kept->arrival_s < now_s - YEAR_DAYS * DAY_S || nights < 1)
        return LW_OK;
    if (year->count == LW_BUY_STAYS) {
        year->left_out++;
        return LW_OK;
    }
    const lw_code code = lw_book_list_places(book, &(lw_kept_key){.id = kept->place}, &places, err);
    if (!code && places.count == 1) {
        const lw_kept_place *place = &places.place[0];
        lw_year_stay *stay = &year->stay[year->count++];
        *stay = (lw_year_stay){.latitude_deg = place->latitude_deg,
                               .longitude_deg = place->longitude_deg,
                               .elevation_m = isnan(place->elevation_m) ? 0.0 : place->elevation_m,
                               .day = kept->arrival_s / DAY_S,
                               .nights = nights < LW_BUY_NIGHTS ? (int)nights : LW_BUY_NIGHTS};
        snprintf(stay->name, sizeof stay->name, "%.31s", place->name);
    }
    lw_kept_places_clear(&places);
    return code;
}

lw_code lw_year_of_book(lw_book *book, int64_t now_s, lw_year *year, lw_err *err)
{
    lw_kept_stays stays = {0};
    *year = (lw_year){.from = LW_YEAR_OF_BOOK};
    lw_code code = lw_book_list_stays(book, NULL, &stays, err);
    for (size_t i = 0; !code && i < stays.count; i++)
        code = take_stay(book, &stays.stay[i], now_s, year, err);
    lw_kept_stays_clear(&stays);
    return code;
}

lw_code lw_year_known(lw_book *book, int64_t now_s, const lw_loaded *loaded, lw_year *year, lw_err *err)
{
    *year = (lw_year){.count = 0};
    const lw_code code = book ? lw_year_of_book(book, now_s, year, err) : LW_OK;
    if (!code && year->count == 0)
        *year = lw_year_by_month(loaded);
    return code;
}

static void put_date(int64_t day, char *buf, size_t n)
{
    const lw_date d = lw_date_of(day);
    snprintf(buf, n, "%04d-%02d-%02d", d.year, d.month, d.day);
}

/* The household is brought to the stay: its own place keeps skyline and shade, others are open. */
static void bring_there(work *w, const char *zone)
{
    const lw_year_stay *s = w->stay;
    char from[16], until[16], latitude[LW_DECIMAL_BYTES], longitude[LW_DECIMAL_BYTES], elevation[LW_DECIMAL_BYTES];
    put_date(s->day, from, sizeof from);
    put_date(s->day + s->nights, until, sizeof until);
    lw_decimal_print(latitude, sizeof latitude, s->latitude_deg, 6, 0);
    lw_decimal_print(longitude, sizeof longitude, s->longitude_deg, 6, 0);
    lw_decimal_print(elevation, sizeof elevation, s->elevation_m, 1, 0);
    w->place_count = 0;
    if (s->is_here)
        snprintf(w->place[w->place_count++], PLACE_BYTES, "place.deadline=%s 15:00", until);
    else
        snprintf(w->place[w->place_count++], PLACE_BYTES,
                 "place={latitude: %s, longitude: %s, elevation: %s m, zone: %.48s}", latitude, longitude, elevation,
                 zone);
    snprintf(w->place[w->place_count++], PLACE_BYTES, "stay={arrive: %s 15:00, leave: %s 15:00}", from, until);
    snprintf(w->place[w->place_count++], PLACE_BYTES, "weather=climate");
}

/* ------------------------------------------------------------------ one set at one stay */

static int take_changes(const work *w, const lw_buy_set *set, const char *change[CHANGES_MOST])
{
    int count = 0;
    for (int i = 0; i < w->place_count; i++)
        change[count++] = w->place[i];
    for (int i = 0; i < set->count; i++) {
        const lw_buy_item *item = &w->to->item[set->item[i]];
        for (int c = 0; c < item->change_count; c++)
            change[count++] = item->change[c];
    }
    return count;
}

/* Hours until the first of some supplies ends, at most those of the stay. */
static double first_h(const lw_trial_row *row, uint32_t supplies, double horizon_h)
{
    double h = horizon_h;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (k != LW_SUPPLY_STAY && (supplies >> k & 1u))
            h = fmin(h, (double)row->end_h[k]);
    return h;
}

static void add_draw(const lw_trial_row *row, const lw_flows *flows, double horizon_h, double weight, lw_buy_set *set)
{
    set->days += weight * first_h(row, UINT32_MAX, horizon_h) / DAY_H;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        set->own_days[k] += weight * fmin((double)row->end_h[k], horizon_h) / DAY_H;
    const double between_h = fmax(first_h(row, RUN_SUPPLIES, horizon_h), 1.0);
    if (between_h < horizon_h)
        set->runs += weight * floor(horizon_h / between_h);
    set->fuel_l += weight * lw_flows_demand(flows, LW_SUPPLY_FUEL);
    set->propane_kg += weight * lw_flows_demand(flows, LW_SUPPLY_PROPANE);
    set->generator_h += weight * flows->of[LW_FLOW_GENERATOR_HOURS];
}

static void try_set(void *with, int worker, int at)
{
    work *w = with;
    const int number = w->first + at;
    lw_buy_set *set = number < 0 ? &w->to->base : &w->to->set[number];
    const char *change[CHANGES_MOST];
    lw_trial trial;
    lw_err err = {0};
    if (set->why_not[0])
        return;
    if (lw_trial_make(w->trials, change, take_changes(w, set, change), &trial, &err)) {
        snprintf(set->why_not, sizeof set->why_not, "%.158s", err.text);
        return;
    }
    lw_trial_flows(&trial, &w->bench[worker], 0, (uint32_t)w->to->draws, w->flows[worker], w->row[worker]);
    for (int i = 0; i < w->to->draws; i++)
        add_draw(&w->row[worker][i], &w->flows[worker][i], trial.horizon_h, 1.0 / w->to->draws, set);
    lw_trial_clear(&trial);
}

/* ------------------------------------------------------------------ sets over the year */

/* What is brought there is changed for every load: what all trials share belongs to this stay. */
typedef struct loader_at {
    lw_trial_loader *load;
    void *with;
    const work *work;
} loader_at;

static lw_code load_there(void *with, const char *const *change, int change_count, lw_loaded *loaded,
                          lw_draw_start **start, uint32_t *start_count, lw_err *err)
{
    const loader_at *l = with;
    const char *all[CHANGES_MOST];
    if (change_count > 0)
        return l->load(l->with, change, change_count, loaded, start, start_count, err);
    for (int i = 0; i < l->work->place_count; i++)
        all[i] = l->work->place[i];
    return l->load(l->with, all, l->work->place_count, loaded, start, start_count, err);
}

static lw_code open_benches(work *w, lw_err *err)
{
    const char *change[CHANGES_MOST];
    lw_trial trial;
    lw_code code = lw_trial_make(w->trials, change, take_changes(w, &(lw_buy_set){.count = 0}, change), &trial, err);
    if (code)
        return code;
    for (int i = 0; !code && i < w->threads; i++)
        code = lw_bench_open(&trial, &w->bench[i], err);
    lw_trial_clear(&trial);
    return code;
}

static void close_benches(work *w)
{
    for (int i = 0; i < w->threads; i++)
        lw_bench_close(&w->bench[i]);
}

/* One stay of the year for the sets from `first` on. */
static lw_code run_stay(work *w, const lw_loaded *home, int count, lw_err *err)
{
    const lw_trials kept = *w->trials;
    const loader_at there = {.load = kept.load, .with = kept.with, .work = w};
    bring_there(w, home->zone.name);
    w->trials->load = load_there;
    w->trials->with = (void *)&there;
    w->trials->most_hours = w->stay->nights * 24;
    lw_code code = lw_trials_open(w->trials, err);
    if (!code) {
        code = open_benches(w, err);
        if (!code)
            lw_pool_run(w->threads, count, try_set, w);
        close_benches(w);
        lw_trials_close(w->trials);
    }
    *w->trials = kept;
    return code ? lw_err_at(err, w->stay->name, 0, NULL) : LW_OK;
}

static lw_code run_year(work *w, const lw_loaded *home, int first, int count, lw_err *err)
{
    lw_code code = LW_OK;
    w->first = first;
    for (int i = 0; !code && i < w->to->year.count; i++) {
        w->stay = &w->to->year.stay[i];
        code = run_stay(w, home, count, err);
        if (!code && w->to->wish.progress)
            w->to->wish.progress(w->to->wish.with, ++w->done, YEARS_RUN * w->to->year.count);
    }
    if (!code && first < 0 && w->to->base.why_not[0])
        code = lw_fail(err, LW_E_CONFLICT, "%.150s", w->to->base.why_not);
    return code;
}

static double years(double price_usd, double saved_usd)
{
    return saved_usd * LW_BUY_NEVER_YEARS > price_usd ? price_usd / saved_usd : INFINITY;
}

static void weigh(const lw_bought *to, lw_buy_set *set)
{
    const lw_buy_set *base = &to->base;
    set->gained_days = set->days - base->days;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        set->own_gained_days[k] = set->own_days[k] - base->own_days[k];
    set->runs_saved = base->runs - set->runs;
    set->fuel_saved_l = base->fuel_l - set->fuel_l;
    set->propane_saved_kg = base->propane_kg - set->propane_kg;
    set->generator_saved_h = base->generator_h - set->generator_h;
    set->usd_a_day = set->gained_days > SAME_DAYS ? set->price_usd / set->gained_days : INFINITY;
    set->saved_usd = set->fuel_saved_l * to->wish.fuel_usd_l + set->propane_saved_kg * to->wish.propane_usd_kg;
    set->runs_usd = set->runs_saved * to->wish.run_usd;
    set->payback_fuel_years = years(set->price_usd, set->saved_usd);
    set->payback_runs_years = years(set->price_usd, set->runs_usd);
    set->payback_nights_years =
        set->gained_days > SAME_DAYS ? years(set->price_usd, set->gained_days * to->wish.night_usd) : INFINITY;
    set->fits_roof = !(set->roof_m2 > to->cargo.roof_m2);
    set->fits_mass = !(set->mass_kg > to->spare_kg);
}

/* ------------------------------------------------------------------ which sets */

static int is_allowed(const lw_bought *to, const lw_buy_set *set, int item)
{
    double price_usd = to->item[item].price_usd;
    for (int i = 0; i < set->count; i++) {
        const lw_buy_item *had = &to->item[set->item[i]];
        price_usd += had->price_usd;
        if (set->item[i] == item || (had->exclusive[0] && strcmp(had->exclusive, to->item[item].exclusive) == 0))
            return 0;
    }
    return price_usd <= to->wish.budget_usd;
}

static int same_items(const lw_buy_set *a, const lw_buy_set *b)
{
    int common = 0;
    for (int i = 0; i < a->count; i++)
        for (int j = 0; j < b->count; j++)
            common += a->item[i] == b->item[j];
    return a->count == b->count && common == a->count;
}

static void add_set(lw_bought *to, const lw_buy_set *from, int item)
{
    const lw_buy_item *more = &to->item[item];
    if (to->set_count == LW_BUY_SETS || !is_allowed(to, from, item))
        return;
    lw_buy_set set = {.count = from->count + 1,
                      .price_usd = from->price_usd + more->price_usd,
                      .mass_kg = from->mass_kg + more->mass_kg,
                      .roof_m2 = from->roof_m2 + more->roof_m2};
    memcpy(set.item, from->item, sizeof set.item);
    set.item[from->count] = item;
    for (int i = 0; i < to->set_count; i++)
        if (same_items(&to->set[i], &set))
            return;
    to->set[to->set_count++] = set;
}

/* Of each supply that ends in this year the two singles that gain it most days a dollar, as far as there is room. */
static int take_pool(const lw_bought *to, int pool[LW_BUY_POOL])
{
    int count = 0;
    for (int rank = 0; rank < 2; rank++)
        for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
            int best = -1;
            double best_worth = 0.0;
            for (int i = 0; i < to->set_count; i++) {
                int is_taken = 0;
                const lw_buy_set *s = &to->set[i];
                for (int p = 0; p < count; p++)
                    is_taken |= pool[p] == s->item[0];
                const double worth = s->own_gained_days[k] / fmax(s->price_usd, 1.0);
                if (s->count == 1 && !s->why_not[0] && !is_taken && s->own_gained_days[k] > SAME_DAYS &&
                    worth > best_worth)
                    best = s->item[0], best_worth = worth;
            }
            if (best >= 0 && count < LW_BUY_POOL)
                pool[count++] = best;
        }
    return count;
}

static void find_front(lw_bought *to)
{
    double best = SAME_DAYS;
    to->front_count = 0;
    for (int i = 0; i < to->set_count; i++)
        to->set[i].is_on_front = 0;
    for (;;) { /* the cheapest that gains more than all before; of equal prices the one that gains most */
        int next = -1;
        for (int i = 0; i < to->set_count; i++) {
            const lw_buy_set *s = &to->set[i], *n = next < 0 ? s : &to->set[next];
            if (s->why_not[0] || !s->fits_roof || !(s->gained_days > best + SAME_DAYS))
                continue;
            if (next < 0 || s->price_usd < n->price_usd - SAME_USD ||
                (s->price_usd < n->price_usd + SAME_USD && s->gained_days > n->gained_days))
                next = i;
        }
        if (next < 0)
            return;
        to->set[next].is_on_front = 1;
        to->front[to->front_count++] = next;
        best = to->set[next].gained_days;
    }
}

static lw_code run_new(work *w, const lw_loaded *home, int from, lw_err *err)
{
    const lw_code code = run_year(w, home, from, w->to->set_count - from, err);
    for (int i = from; i < w->to->set_count; i++)
        weigh(w->to, &w->to->set[i]);
    find_front(w->to);
    return code;
}

static lw_code run_all(work *w, const lw_loaded *home, lw_err *err)
{
    lw_bought *to = w->to;
    int pool[LW_BUY_POOL], from = 0;
    const lw_buy_set none = {.count = 0};
    lw_code code = run_year(w, home, -1, 1, err);
    if (code)
        return code;
    weigh(to, &to->base);
    for (int i = 0; i < to->item_count; i++)
        add_set(to, &none, i);
    code = run_new(w, home, from, err);
    const int pool_count = take_pool(to, pool), singles = to->set_count;
    for (int i = 0; i < singles; i++)
        for (int p = 0; p < pool_count; p++)
            if (to->set[i].item[0] == pool[p])
                for (int q = 0; q < pool_count; q++)
                    add_set(to, &to->set[i], pool[q]);
    from = singles;
    code = code ? code : run_new(w, home, from, err);
    from = to->set_count;
    for (int i = singles; i < from; i++)
        for (int p = 0; to->set[i].is_on_front && p < pool_count; p++)
            add_set(to, &to->set[i], pool[p]);
    return code ? code : run_new(w, home, from, err);
}

/* ------------------------------------------------------------------ what there is to buy */

static lw_code read_items(const lw_loaded *home, lw_bought *to, lw_err *err)
{
    lw_levers *levers = calloc(1, sizeof *levers);
    if (!levers)
        return lw_fail(err, LW_E_FULL, "no memory for what could be bought");
    levers->wish = (lw_levers_wish){
        .is_used = to->wish.is_used, .without = to->wish.without, .without_count = to->wish.without_count};
    const lw_code code = lw_levers_read(home, levers, err);
    for (int i = 0; !code && i < levers->count && to->item_count < LW_BUY_ITEMS; i++) {
        const lw_lever *l = &levers->lever[i];
        if (l->sort != LW_LEVER_CONTAINER && l->sort != LW_LEVER_PURCHASE)
            continue;
        lw_buy_item *item = &to->item[to->item_count++];
        *item = (lw_buy_item){.sort = l->sort,
                              .change_count = l->change_count,
                              .price_usd = l->price_usd,
                              .mass_kg = l->mass_kg,
                              .roof_m2 = l->roof_m2};
        memcpy(item->id, l->id, sizeof item->id);
        memcpy(item->title, l->title, sizeof item->title);
        memcpy(item->exclusive, l->exclusive, sizeof item->exclusive);
        memcpy(item->source, l->source, sizeof item->source);
        memcpy(item->kind, l->kind, sizeof item->kind);
        memcpy(item->change, l->change, sizeof item->change);
    }
    free(levers);
    return code;
}

/* Payload above people, gear and everything full. */
static double spare_of(const lw_cargo *c, const lw_rig *rig)
{
    double kg = c->payload_kg - c->people_kg - c->gear_kg;
    for (int i = 0; i < rig->vessel_count; i++)
        if (!lw_supply_fills(rig->vessel[i].supply) && rig->vessel[i].filter_life_l <= 0.0)
            kg -= c->supply_kg[rig->vessel[i].supply] * rig->vessel[i].capacity;
    return kg;
}

static lw_code take_prices(lw_bought *bought, lw_err *err)
{
    lw_buy_wish *wish = &bought->wish;
    double *const to[] = {&wish->run_usd, &wish->night_usd, &wish->fuel_usd_l, &wish->propane_usd_kg};
    static const char *const ID[] = {"run", "hookup-night", "fuel", "propane"};
    lw_code code = LW_OK;
    bought->prices.units = wish->choice.units;
    for (size_t i = 0; !code && i < sizeof ID / sizeof ID[0]; i++)
        code = lw_price_take(ID[i], to[i], "as you ask", &bought->prices, err);
    return code;
}

static int by_worth(const void *a, const void *b)
{
    const lw_buy_set *x = a, *y = b;
    const int tried = (x->why_not[0] != '\0') - (y->why_not[0] != '\0');
    const int gains = (x->gained_days > SAME_DAYS) - (y->gained_days > SAME_DAYS);
    if (tried || gains)
        return tried ? tried : -gains;
    if (x->gained_days > SAME_DAYS && x->usd_a_day != y->usd_a_day)
        return x->usd_a_day < y->usd_a_day ? -1 : 1;
    return x->price_usd != y->price_usd ? (x->price_usd < y->price_usd ? -1 : 1) : x->item[0] - y->item[0];
}

static lw_code take_memory(work *w, lw_err *err)
{
    const size_t draws = (size_t)w->to->draws;
    w->bench = calloc((size_t)w->threads, sizeof *w->bench);
    w->flows = calloc((size_t)w->threads, sizeof(void *));
    w->row = calloc((size_t)w->threads, sizeof(void *));
    int is_whole = w->bench && w->flows && w->row;
    for (int i = 0; is_whole && i < w->threads; i++) {
        w->flows[i] = malloc(draws * sizeof **w->flows);
        w->row[i] = malloc(draws * sizeof **w->row);
        is_whole = w->flows[i] && w->row[i];
    }
    return is_whole ? LW_OK : lw_fail(err, LW_E_FULL, "no memory to try what could be bought");
}

static void give_memory(work *w)
{
    for (int i = 0; w->flows && w->row && i < w->threads; i++) {
        free(w->flows[i]);
        free(w->row[i]);
    }
    free(w->flows);
    free(w->row);
    free(w->bench);
}

static lw_code make(work *w, const lw_loaded *home, lw_err *err)
{
    lw_bought *to = w->to;
    lw_code code = take_prices(to, err);
    code = code ? code : lw_cargo_of(home, &to->cargo, err);
    code = code ? code : read_items(home, to, err);
    code = code ? code : take_memory(w, err);
    if (code)
        return code;
    to->spare_kg = spare_of(&to->cargo, &home->scenario->rig);
    code = run_all(w, home, err);
    if (code)
        return code;
    to->generator_runs = to->base.generator_h > 0.0;
    qsort(to->set, (size_t)to->set_count, sizeof *to->set, by_worth);
    find_front(to);
    lw_buy_say(to, home);
    return LW_OK;
}

lw_code lw_buy_make(lw_trials *trials, const lw_year *year, const lw_buy_wish *wish, lw_bought *to, lw_err *err)
{
    lw_loaded home = {0};
    lw_draw_start *start = NULL;
    uint32_t start_count = 0;
    *to = (lw_bought){.wish = *wish, .year = *year, .seed = trials->seed};
    to->draws = wish->draws > 0 ? wish->draws : LW_BUY_DRAWS_USUAL;
    if (year->count < 1)
        return lw_fail(err, LW_E_MISSING, "there is no stay in this year");
    for (int i = 0; i < year->count; i++)
        to->nights += year->stay[i].nights;
    trials->begins_anew = 1;
    lw_code code = trials->load(trials->with, NULL, 0, &home, &start, &start_count, err);
    free(start);
    if (code)
        return code;
    work w = {.trials = trials, .to = to, .threads = lw_pool_threads(trials->threads)};
    code = make(&w, &home, err);
    give_memory(&w);
    lw_loaded_clear(&home);
    return code;
}
