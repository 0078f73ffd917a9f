/* service/buy.h: what to buy: days gained over the household's own year, money a gained day, payback, mass and roof.
 *
 * Inputs    how the household is loaded (service/trial.h); the stays of its year (lw_year_of_book, lw_year_by_month, lw_year_of_file, or a list of its own);
 *           prices.
 * Results   lw_bought: a row for each container and purchase of data/levers.csv that makes sense for this rig, and for small sets of
 *           them, each run again over the whole year; the front of those of which no cheaper one gains as much.
 * Model     Each stay is drawn `draws` times under the usual weather of its place, the same draws for every set. Its days are those until
 *           the first supply ends, each by its own course, at most the nights of the stay; the days that the place allows do not
 *           count. A year's days are the sum over its stays of the mean over the draws. Runs: how often within the nights of the stay
 *           what a run serves would have run out. Fuel and gas: what is asked for. Sets: all pairs of what helps a supply that
 *           ends in this year (LW_BUY_POOL of them, the best days a dollar for each supply first), then one more to each pair of the front.
 * Payback   price over what a year saves: in fuel and gas, in runs, in nights with hookups, each by itself; INFINITY: never, which
 *           is also what takes longer than LW_BUY_NEVER_YEARS.
 * Errors    those of the scenario; LW_E_MISSING a year without a stay.
 * Limits    stays of 1 to LW_BUY_NIGHTS nights, LW_BUY_STAYS of them. What a thing wears or saves otherwise is not counted, nor how
 *           long it keeps. Masses are one sum (service/cargo.h).
 * Source    prices, masses, roof: data/levers.csv, data/prices.csv. */
#ifndef LW_SERVICE_BUY_H
#define LW_SERVICE_BUY_H

#include "book/book.h"
#include "service/cargo.h"
#include "service/levers.h"
#include "service/sink.h"

enum {
    LW_BUY_STAYS = 60,
    LW_BUY_NIGHTS = 60,
    LW_BUY_ITEMS = 40,
    LW_BUY_SETS = 160,
    LW_BUY_SET_MOST = 3,
    LW_BUY_POOL = 9,
    LW_BUY_DRAWS_USUAL = 48,
    LW_BUY_NEVER_YEARS = 50, /* nothing of the table lasts so long */
};

typedef struct lw_year_stay {
    char name[LW_NAME];
    int is_here; /* at the place of the scenario, with its skyline and shade */
    double latitude_deg, longitude_deg, elevation_m;
    int64_t day; /* of arrival, civil */
    int nights;
} lw_year_stay;

typedef enum lw_year_from { LW_YEAR_GIVEN = 0, LW_YEAR_OF_BOOK, LW_YEAR_BY_MONTH } lw_year_from;

typedef struct lw_year {
    lw_year_stay stay[LW_BUY_STAYS];
    int count, left_out; /* left out: too many, or too long ago */
    lw_year_from from;
} lw_year;

/* Twelve stays of a fortnight at the place of the scenario, one a month from that of its arrival on. */
lw_year lw_year_by_month(const lw_loaded *loaded);
/* Those of the book that began within a year before now; none: count 0. */
LW_MUST_USE lw_code lw_year_of_book(lw_book *book, int64_t now_s, lw_year *year, lw_err *err);

/* Of a file (exchange/year_file.h); names that it does not place are the book's, book NULL: none. */
LW_MUST_USE lw_code lw_year_of_file(const char *path, lw_book *book, const lw_loaded *loaded, lw_year *year,
                                    lw_err *err);

/* What is known of the year: the book's stays, and where there are none (or no book) twelve at the place of the scenario. */
LW_MUST_USE lw_code lw_year_known(lw_book *book, int64_t now_s, const lw_loaded *loaded, lw_year *year, lw_err *err);

typedef struct lw_buy_wish {
    double run_usd, night_usd, fuel_usd_l, propane_usd_kg; /* NaN: data/prices.csv */
    double budget_usd;                                     /* INFINITY: none */
    int is_used;                                           /* prices of used things, where there are any */
    const char *const *without;
    int without_count;
    int draws; /* of each stay; 0: LW_BUY_DRAWS_USUAL */
    lw_words_choice choice;
    void (*progress)(void *with, int done, int of); /* NULL: nobody waits */
    void *with;
} lw_buy_wish;

typedef struct lw_buy_item {
    char id[LW_NAME], title[96], exclusive[LW_NAME], source[192], kind[24];
    lw_lever_sort sort;
    char change[LW_LEVER_CHANGES][LW_LEVER_CHANGE_BYTES];
    int change_count;
    double price_usd, mass_kg, roof_m2;
} lw_buy_item;

/* Over the year, or above that of the unchanged rig. */
typedef struct lw_buy_set {
    int item[LW_BUY_SET_MOST], count; /* count 0: the rig as it is */
    double price_usd, mass_kg, roof_m2;
    double days, gained_days;
    double own_days[LW_SUPPLY_COUNT], own_gained_days[LW_SUPPLY_COUNT]; /* each supply by itself */
    double runs, runs_saved, fuel_l, fuel_saved_l, propane_kg, propane_saved_kg, generator_h, generator_saved_h;
    double usd_a_day;           /* price for a gained day of one year; INFINITY: gains none */
    double saved_usd, runs_usd; /* a year: fuel and gas; runs */
    double payback_fuel_years, payback_runs_years, payback_nights_years;
    int is_on_front, fits_roof, fits_mass;
    char why_not[160]; /* it cannot be tried */
    char title[240], sentence[LW_SENTENCE], payback[LW_SENTENCE], load[LW_SENTENCE];
} lw_buy_set;

typedef struct lw_bought {
    lw_buy_wish wish;     /* prices filled in */
    lw_price_list prices; /* all that it counts with, but for those of its items */
    lw_year year;
    int nights, draws;
    uint64_t seed;
    lw_buy_item item[LW_BUY_ITEMS];
    int item_count;
    lw_buy_set base, set[LW_BUY_SETS]; /* sets: best of a dollar first; what cannot be tried last */
    int set_count, front_count;
    int front[LW_BUY_SETS]; /* of set, by price */
    lw_cargo cargo;
    double spare_kg; /* payload above people, gear and full supplies; NaN: not known */
    int generator_runs;
    char headline[LW_SENTENCE], year_words[LW_SENTENCE], advice[LW_SENTENCE];
} lw_bought;

/* trials: load, with, seed and threads are set; the rest is filled and cleared here. year: at least one stay. *bought is large:
 * allocate it. */
LW_MUST_USE lw_code lw_buy_make(lw_trials *trials, const lw_year *year, const lw_buy_wish *wish, lw_bought *bought,
                                lw_err *err);

/* buy_words.c: fills the sentences. */
void lw_buy_say(lw_bought *to, const lw_loaded *home);

/* What has to be left to licensed people. */
extern const char lw_buy_caution[];

/* "schema": "leeway.buy/1", docs/buy.schema.json; the text is the caller's (free), NULL: no memory. */
char *lw_buy_json(const lw_bought *bought, const lw_loaded *loaded, const char *version);

/* The front as a picture: price to the right, days gained up. */
void lw_buy_svg(const lw_bought *bought, int width_px, lw_sink *sink);

#endif
