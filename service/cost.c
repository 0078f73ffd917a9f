#include "service/cost.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/household.h"
#include "service/ledger.h"
#include "service/pool.h"
#include "service/roads.h"
#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

static const double HOUR_S = 3600.0, MONTH_DAYS = 30.44; /* 365.25 / 12, rounded */

/* What a run to town serves. */
static const uint32_t RUN_SUPPLIES = 1u << LW_SUPPLY_FRESH | 1u << LW_SUPPLY_DRINKING | 1u << LW_SUPPLY_GREY |
                                     1u << LW_SUPPLY_BLACK | 1u << LW_SUPPLY_PROPANE | 1u << LW_SUPPLY_FUEL |
                                     1u << LW_SUPPLY_RUBBISH | 1u << LW_SUPPLY_FOOD;

typedef struct price {
    double usd;
    char source[192], kind[24];
} price;

typedef struct work {
    lw_trials *trials;
    lw_costed *to;
    int threads;
    lw_trial trial;
    lw_bench *bench;
    lw_flows *flows;
    lw_trial_row *row;
    double (*usd)[LW_COST_COUNT]; /* [draw] */
    double *sorted;
} work;

/* ------------------------------------------------------------------ prices */

/* What is said goes first; otherwise the table. */
static lw_code price_of(work *w, const char *id, double said, price *to, lw_err *err)
{
    *to = (price){.usd = said, .source = "as you say", .kind = "yours"};
    if (said < 0.0)
        return lw_fail(err, LW_E_RANGE, "a price of %s is below zero", lw_num(said).text);
    if (!*id)
        return LW_OK;
    const lw_code code = lw_price_take(id, &to->usd, "as you say", &w->to->prices, err);
    const lw_assumption *row = lw_price_row(&w->to->prices, id);
    if (!code && row) {
        snprintf(to->source, sizeof to->source, "%s", row->source);
        snprintf(to->kind, sizeof to->kind, "%s", row->kind);
    }
    return code;
}

static void take_source(lw_cost_line *line, const price *p)
{
    memcpy(line->source, p->source, sizeof line->source);
    memcpy(line->kind, p->kind, sizeof line->kind);
    line->is_counted = 1;
}

static void set_all(work *w, lw_cost_kind kind, double usd)
{
    for (int i = 0; i < w->to->draws; i++)
        w->usd[i][kind] = usd;
}

static const char *money(double usd, char buf[LW_DECIMAL_BYTES])
{
    lw_decimal_print(buf, LW_DECIMAL_BYTES, usd, 2, 1);
    return buf;
}

static const char *tenths(double value, char buf[LW_DECIMAL_BYTES])
{
    lw_decimal_print(buf, LW_DECIMAL_BYTES, nearbyint(value * 10.0) / 10.0, 1, 0);
    return buf;
}

static double mean_of(const work *w, lw_flow flow)
{
    double sum = 0.0;
    for (int i = 0; i < w->to->draws; i++)
        sum += w->flows[i].of[flow];
    return sum / w->to->draws;
}

static double mean_demand(const work *w, lw_supply supply)
{
    double sum = 0.0;
    for (int i = 0; i < w->to->draws; i++)
        sum += lw_flows_demand(&w->flows[i], supply);
    return sum / w->to->draws;
}

/* "3.79 USD/gal" */
static const char *per_amount(const work *w, double usd_si, lw_dim dim, char buf[LW_QUANTITY_BYTES])
{
    return lw_quantity_print(buf, LW_QUANTITY_BYTES, usd_si, dim, w->to->wish.choice.units);
}

/* ------------------------------------------------------------------ the lines */

static lw_code site(work *w, lw_err *err)
{
    lw_cost_line *line = &w->to->line[LW_COST_SITE];
    const lw_loaded *l = &w->trial.loaded;
    char fee[LW_DECIMAL_BYTES], nights[LW_DECIMAL_BYTES];
    price p;
    const double said = isnan(w->to->wish.fee_usd) && l->about.is_said ? l->about.fee_usd : w->to->wish.fee_usd;
    if (isnan(said)) {
        snprintf(line->how, sizeof line->how, "no fee is known%s: counted as free, as much public land is",
                 lw_if_typed(&w->to->wish.choice, " (place.about.fee, --fee)"));
        return LW_OK;
    }
    const lw_code code = price_of(w, "", said, &p, err);
    if (code)
        return code;
    take_source(line, &p);
    set_all(w, LW_COST_SITE, said * w->to->nights);
    snprintf(line->how, sizeof line->how, "%s nights at %s USD", tenths(w->to->nights, nights), money(said, fee));
    return LW_OK;
}

/* What falls due of permits that hold while one is there. */
static void permits(work *w)
{
    lw_cost_line *line = &w->to->line[LW_COST_PERMIT];
    const lw_loaded *l = &w->trial.loaded;
    const int64_t from = lw_clock_at(&l->zone, w->to->start_s).day,
                  until = lw_clock_at(&l->zone, w->to->departure_s).day;
    double usd = 0.0;
    int count = 0;
    for (int i = 0; i < l->permit_count; i++) {
        const lw_permit *terms = &l->permit[i].terms;
        if (terms->last_day < from || terms->first_day > until || !(terms->price_usd > 0.0))
            continue;
        usd += lw_permit_cost_usd(terms, until) - lw_permit_cost_usd(terms, from);
        count++;
    }
    if (count == 0) {
        snprintf(line->how, sizeof line->how, "no permit is named");
        return;
    }
    take_source(line, &(price){.source = "the terms of your permits", .kind = "yours"});
    set_all(w, LW_COST_PERMIT, usd);
    snprintf(line->how, sizeof line->how, "what falls due of %d %s between arrival and departure", count,
             count == 1 ? "permit" : "permits");
}

static lw_code drive(work *w, lw_err *err)
{
    lw_cost_line *fuel = &w->to->line[LW_COST_DRIVE], *wear = &w->to->line[LW_COST_DRIVE_WEAR];
    const lw_loaded *l = &w->trial.loaded;
    const double way_m = w->to->wish.drive_m;
    char way[LW_QUANTITY_BYTES], litres[LW_QUANTITY_BYTES], each[LW_QUANTITY_BYTES];
    lw_road_rig rig;
    price p, mile;
    if (isnan(way_m)) {
        snprintf(fuel->how, sizeof fuel->how, "the way there is not said%s",
                 lw_if_typed(&w->to->wish.choice, " (--drive \"120 mi\")"));
        snprintf(wear->how, sizeof wear->how, "the way there is not said");
        return LW_OK;
    }
    lw_code code = lw_road_rig_of(l->rig_kind, &l->travel, &rig, err);
    code = code ? code : price_of(w, "fuel", w->to->wish.fuel_usd_l, &p, err);
    code = code ? code : price_of(w, "rig-km", NAN, &mile, err);
    if (code)
        return code;
    const lw_road road = {.by = LW_ROAD_YOURS, .distance_m = {way_m, way_m, way_m}};
    const double fuel_l = lw_roads_fuel(&rig, &road, NAN, NAN).fuel_l;
    take_source(fuel, &p);
    take_source(wear, &mile);
    set_all(w, LW_COST_DRIVE, fuel_l * p.usd);
    set_all(w, LW_COST_DRIVE_WEAR, way_m / 1000.0 * mile.usd);
    lw_quantity_print(way, sizeof way, way_m, LW_DIM_LENGTH, w->to->wish.choice.units);
    snprintf(fuel->how, sizeof fuel->how, "%s there: %s by the forces on the rig, %s; hills and wind add 5 to 15 %%",
             way, lw_quantity_print(litres, sizeof litres, fuel_l, LW_DIM_VOLUME, w->to->wish.choice.units),
             per_amount(w, p.usd, LW_DIM_PRICE_PER_VOLUME, each));
    snprintf(wear->how, sizeof wear->how, "%s at %s for tyres and upkeep", way,
             per_amount(w, mile.usd / 1000.0, LW_DIM_PRICE_PER_LENGTH, each));
    return LW_OK;
}

static lw_code propane(work *w, lw_err *err)
{
    lw_cost_line *line = &w->to->line[LW_COST_PROPANE];
    char kg[LW_QUANTITY_BYTES], each[LW_QUANTITY_BYTES];
    price p;
    const lw_code code = price_of(w, "propane", w->to->wish.propane_usd_kg, &p, err);
    if (code)
        return code;
    for (int i = 0; i < w->to->draws; i++)
        w->usd[i][LW_COST_PROPANE] = lw_flows_demand(&w->flows[i], LW_SUPPLY_PROPANE) * p.usd;
    take_source(line, &p);
    snprintf(line->how, sizeof line->how, "%s of gas, %s",
             lw_quantity_print(kg, sizeof kg, mean_demand(w, LW_SUPPLY_PROPANE), LW_DIM_MASS, w->to->wish.choice.units),
             per_amount(w, p.usd, LW_DIM_PRICE_PER_MASS, each));
    return LW_OK;
}

/* In most courses the battery ends before the departure. */
static int is_short_of_power(const work *w)
{
    const double stay_h = (double)(w->to->departure_s - w->to->start_s) / HOUR_S;
    int count = 0;
    for (int d = 0; d < w->to->draws; d++)
        count += w->row[d].end_h[LW_SUPPLY_BATTERY] < (float)stay_h;
    return 2 * count > w->to->draws;
}

static lw_code generator(work *w, lw_err *err)
{
    lw_cost_line *fuel = &w->to->line[LW_COST_GENERATOR], *wear = &w->to->line[LW_COST_GENERATOR_WEAR];
    char litres[LW_QUANTITY_BYTES], each[LW_QUANTITY_BYTES], hours[LW_DECIMAL_BYTES], usd[LW_DECIMAL_BYTES];
    price p, hour;
    const double hours_h = mean_of(w, LW_FLOW_GENERATOR_HOURS);
    if (!(hours_h > 0.0)) {
        const int is_missed = w->trial.loaded.scenario->rig.generator.is_present && is_short_of_power(w);
        snprintf(fuel->how, sizeof fuel->how, "the generator does not run%s%s",
                 is_missed ? ", though the battery ends before you leave" : "",
                 is_missed ? lw_if_typed(&w->to->wish.choice, " (hours and fuel: leeway plan generator)") : "");
        snprintf(wear->how, sizeof wear->how, "the generator does not run");
        return LW_OK;
    }
    lw_code code = price_of(w, "fuel", w->to->wish.fuel_usd_l, &p, err);
    code = code ? code : price_of(w, "generator-wear", NAN, &hour, err);
    if (code)
        return code;
    for (int i = 0; i < w->to->draws; i++) {
        w->usd[i][LW_COST_GENERATOR] = lw_flows_demand(&w->flows[i], LW_SUPPLY_FUEL) * p.usd;
        w->usd[i][LW_COST_GENERATOR_WEAR] = w->flows[i].of[LW_FLOW_GENERATOR_HOURS] * hour.usd;
    }
    take_source(fuel, &p);
    take_source(wear, &hour);
    snprintf(fuel->how, sizeof fuel->how, "%s in %s hours, %s",
             lw_quantity_print(litres, sizeof litres, mean_demand(w, LW_SUPPLY_FUEL), LW_DIM_VOLUME,
                               w->to->wish.choice.units),
             tenths(hours_h, hours), per_amount(w, p.usd, LW_DIM_PRICE_PER_VOLUME, each));
    snprintf(wear->how, sizeof wear->how, "%s hours at %s USD", hours, money(hour.usd, usd));
    return LW_OK;
}

static void data(work *w)
{
    lw_cost_line *line = &w->to->line[LW_COST_DATA];
    const lw_loaded *l = &w->trial.loaded;
    char month[LW_DECIMAL_BYTES];
    double usd = 0.0;
    int count = 0;
    for (int i = 0; i < l->connection_count; i++)
        if (l->connection[i].price_usd > 0.0)
            usd += l->connection[i].price_usd, count++;
    if (count == 0) {
        snprintf(line->how, sizeof line->how, "no price of a data plan is said%s",
                 lw_if_typed(&w->to->wish.choice, " (rig.data.price)"));
        return;
    }
    take_source(line, &(price){.source = "the price of your data plan", .kind = "yours"});
    set_all(w, LW_COST_DATA, usd * w->to->nights / MONTH_DAYS);
    snprintf(line->how, sizeof line->how, "the share of %s USD a month that these days have", money(usd, month));
}

/* How long everything that a run serves lasts when it is fresh from one, by what the draw asks of it. */
static double full_h(const work *w, int draw)
{
    const lw_rig *rig = &w->trial.loaded.scenario->rig;
    double h = INFINITY;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        double usable = 0.0;
        for (int v = 0; v < rig->vessel_count; v++)
            if ((int)rig->vessel[v].supply == k && rig->vessel[v].filter_life_l <= 0.0)
                usable += rig->vessel[v].capacity - rig->vessel[v].unusable - rig->vessel[v].residue;
        const double asked = lw_flows_demand(&w->flows[draw], (lw_supply)k);
        if ((RUN_SUPPLIES >> k & 1u) && usable > 0.0 && asked > 0.0)
            h = fmin(h, usable / asked * w->trial.horizon_h);
    }
    return fmax(h, 1.0);
}

/* One when leaving, to dump and fill; one when the first of it ends, and then as often as it lasts full. */
static int runs_of(const work *w, int draw)
{
    double first_h = INFINITY;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (RUN_SUPPLIES >> k & 1u)
            first_h = fmin(first_h, (double)w->row[draw].end_h[k]);
    if (first_h >= w->trial.horizon_h)
        return 1;
    return 2 + (int)floor((w->trial.horizon_h - first_h) / full_h(w, draw));
}

static lw_code runs(work *w, lw_err *err)
{
    lw_cost_line *fee = &w->to->line[LW_COST_RUNS], *way = &w->to->line[LW_COST_RUN_WAY],
                 *rubbish = &w->to->line[LW_COST_RUBBISH];
    const double run_m = w->to->wish.run_m;
    char count[LW_DECIMAL_BYTES], each[LW_DECIMAL_BYTES], length[LW_QUANTITY_BYTES], rate[LW_QUANTITY_BYTES];
    price run, km = {.usd = 0.0}, drop;
    lw_code code = price_of(w, "run", w->to->wish.run_usd, &run, err);
    if (!code && !isnan(run_m))
        code = price_of(w, "runabout-km", NAN, &km, err);
    code = code ? code : price_of(w, "rubbish", NAN, &drop, err);
    if (code)
        return code;
    int count_all = 0;
    for (int i = 0; i < w->to->draws; i++) {
        const int n = runs_of(w, i);
        count_all += n;
        w->usd[i][LW_COST_RUNS] = n * run.usd;
        w->usd[i][LW_COST_RUN_WAY] = isnan(run_m) ? 0.0 : (n - 1) * 2.0 * run_m / 1000.0 * km.usd;
        w->usd[i][LW_COST_RUBBISH] = n * drop.usd;
    }
    w->to->runs = (double)count_all / w->to->draws;
    tenths(w->to->runs, count);
    take_source(fee, &run);
    take_source(rubbish, &drop);
    snprintf(fee->how, sizeof fee->how, "%s times, leaving included, at %s USD", count, money(run.usd, each));
    snprintf(rubbish->how, sizeof rubbish->how, "%s drop-offs at %s USD", count, money(drop.usd, each));
    if (isnan(run_m)) {
        snprintf(way->how, sizeof way->how, "the way of a run is not said%s",
                 lw_if_typed(&w->to->wish.choice, " (--run \"14 mi\")"));
        return LW_OK;
    }
    take_source(way, &km);
    snprintf(way->how, sizeof way->how, "%s runs, %s each way at %s", tenths(w->to->runs - 1.0, count),
             lw_quantity_print(length, sizeof length, run_m, LW_DIM_LENGTH, w->to->wish.choice.units),
             per_amount(w, km.usd / 1000.0, LW_DIM_PRICE_PER_LENGTH, rate));
    return LW_OK;
}

/* ------------------------------------------------------------------ sums */

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void band(const work *w, double *low, double *high)
{
    const int n = w->to->draws;
    qsort(w->sorted, (size_t)n, sizeof *w->sorted, by_size);
    *low = w->sorted[(n + 9) / 10 - 1];
    *high = w->sorted[(9 * n + 9) / 10 - 1];
}

static void sum_up(work *w)
{
    lw_costed *to = w->to;
    for (int c = 0; c < LW_COST_COUNT; c++) {
        for (int i = 0; i < to->draws; i++) {
            w->sorted[i] = w->usd[i][c];
            to->line[c].usd += w->usd[i][c] / to->draws;
        }
        band(w, &to->line[c].low_usd, &to->line[c].high_usd);
        to->usd += to->line[c].usd;
    }
    for (int i = 0; i < to->draws; i++) {
        w->sorted[i] = 0.0;
        for (int c = 0; c < LW_COST_COUNT; c++)
            w->sorted[i] += w->usd[i][c];
    }
    band(w, &to->low_usd, &to->high_usd);
    to->night_usd = to->usd / to->nights;
    to->month_usd = to->night_usd * MONTH_DAYS;
    to->hookup_nights = to->wish.hookup_usd > 0.0 ? to->usd / to->wish.hookup_usd : INFINITY;
}

/* ------------------------------------------------------------------ all of it */

static void name_lines(lw_costed *to)
{
    static const char *const WORD[] = {
#define LW_COST_WORD(id, word, expense) word,
        LW_COSTS(LW_COST_WORD)
#undef LW_COST_WORD
    };
    static const char *const TITLE[LW_COST_COUNT] = {
        [LW_COST_SITE] = "Site",
        [LW_COST_PERMIT] = "Permits",
        [LW_COST_DRIVE] = "Fuel to get there",
        [LW_COST_DRIVE_WEAR] = "Tyres and upkeep",
        [LW_COST_PROPANE] = "Propane",
        [LW_COST_GENERATOR] = "Generator fuel",
        [LW_COST_GENERATOR_WEAR] = "Generator wear",
        [LW_COST_DATA] = "Data",
        [LW_COST_RUNS] = "Dumping and water",
        [LW_COST_RUN_WAY] = "Runs to town",
        [LW_COST_RUBBISH] = "Rubbish",
    };
    for (int c = 0; c < LW_COST_COUNT; c++) {
        to->line[c].word = WORD[c];
        snprintf(to->line[c].title, sizeof to->line[c].title, "%s", TITLE[c]);
    }
}

static lw_code take_memory(work *w, lw_err *err)
{
    const size_t draws = (size_t)w->to->draws;
    w->bench = calloc((size_t)w->threads, sizeof *w->bench);
    w->flows = malloc(draws * sizeof *w->flows);
    w->row = malloc(draws * sizeof *w->row);
    w->usd = calloc(draws, sizeof *w->usd);
    w->sorted = malloc(draws * sizeof *w->sorted);
    lw_code code = w->bench && w->flows && w->row && w->usd && w->sorted
                       ? LW_OK
                       : lw_fail(err, LW_E_FULL, "no memory for what a stay costs");
    for (int i = 0; !code && i < w->threads; i++)
        code = lw_bench_open(&w->trial, &w->bench[i], err);
    return code;
}

static void give_memory(work *w)
{
    for (int i = 0; w->bench && i < w->threads; i++)
        lw_bench_close(&w->bench[i]);
    free(w->bench);
    free(w->flows);
    free(w->row);
    free(w->usd);
    free(w->sorted);
    lw_trial_clear(&w->trial);
}

static lw_code open_trial(work *w, lw_err *err)
{
    const lw_scenario *s = w->trials->base.scenario;
    lw_costed *to = w->to;
    to->start_s = s->calendar.start_s;
    to->departure_s = s->stay.departure_s;
    if (to->departure_s <= to->start_s)
        return lw_fail_typed(err, LW_E_MISSING, "say when you leave with --until", "a cost is of a stay with an end");
    to->limit_s = s->stay.stay_end_s && s->stay.stay_end_s < to->departure_s ? s->stay.stay_end_s : 0;
    w->trials->most_hours = (int)ceil((double)(to->departure_s - to->start_s) / HOUR_S);
    const lw_code code = lw_trial_make(w->trials, NULL, 0, &w->trial, err);
    if (code)
        return code;
    const lw_zone *zone = &w->trial.loaded.zone;
    to->nights = fmax(1.0, (double)(lw_clock_at(zone, to->departure_s).day - lw_clock_at(zone, to->start_s).day));
    return LW_OK;
}

static void draw_stretch(void *with, int worker, int at)
{
    work *w = with;
    const int first = at * LW_TRIAL_STRETCH, left = w->to->draws - first;
    lw_trial_flows(&w->trial, &w->bench[worker], (uint32_t)first,
                   (uint32_t)(left < LW_TRIAL_STRETCH ? left : LW_TRIAL_STRETCH), w->flows + first, w->row + first);
}

static lw_code make(work *w, lw_err *err)
{
    price hookup;
    lw_code code = open_trial(w, err);
    code = code ? code : take_memory(w, err);
    code = code ? code : price_of(w, "hookup-night", w->to->wish.hookup_usd, &hookup, err);
    if (code)
        return code;
    w->to->wish.hookup_usd = hookup.usd;
    lw_pool_run(w->threads, (w->to->draws + LW_TRIAL_STRETCH - 1) / LW_TRIAL_STRETCH, draw_stretch, w);
    name_lines(w->to);
    code = site(w, err);
    permits(w);
    data(w);
    code = code ? code : drive(w, err);
    code = code ? code : propane(w, err);
    code = code ? code : generator(w, err);
    code = code ? code : runs(w, err);
    if (code)
        return code;
    sum_up(w);
    lw_cost_say(w->to, &w->trial.loaded);
    return LW_OK;
}

lw_code lw_cost_spent_of(lw_book *book, int64_t now_s, lw_cost_spent *spent, lw_err *err)
{
    lw_kept_stays stays = {0};
    lw_book_ledger ledger = {0};
    *spent = (lw_cost_spent){.is_known = 0};
    lw_code code = lw_book_current_stay(book, now_s, &stays, err);
    if (!code && stays.count > 0)
        code = lw_book_ledger_make(book, &(lw_ledger_request){.now_s = now_s, .stay = stays.stay[0].id}, &ledger, err);
    if (!code && ledger.stay_count > 0)
        *spent = (lw_cost_spent){.money = ledger.money[LW_CURRENCY_USD], .nights = ledger.nights, .is_known = 1};
    lw_book_ledger_clear(&ledger);
    lw_kept_stays_clear(&stays);
    return code;
}

lw_code lw_cost_make(lw_trials *trials, const lw_cost_wish *wish, lw_costed *to, lw_err *err)
{
    *to = (lw_costed){.wish = *wish, .seed = trials->seed};
    to->draws = wish->draws > 0 ? wish->draws : LW_COST_DRAWS_USUAL;
    to->prices.units = wish->choice.units;
    trials->most_hours = 0;
    lw_code code = lw_trials_open(trials, err);
    if (code)
        return code;
    work w = {.trials = trials, .to = to, .threads = lw_pool_threads(trials->threads)};
    code = make(&w, err);
    give_memory(&w);
    lw_trials_close(trials);
    return code;
}
