#include <math.h>
#include <stdio.h>
#include <string.h>

#include "service/buy.h"
#include "service/words_internal.h"
#include "text/decimal.h"
#include "text/quantity.h"

const char lw_buy_caution[] =
    "Wiring, fuses, batteries and gas are for the maker's manual, the local code and licensed people; a lithium "
    "battery wants a charger that fits it. Weigh the rig afterwards, each axle; holes in a roof must stay tight.";

static const double SAME_DAYS = 0.05, SAME_RUNS = 0.05, SAVED_USD = 0.5; /* less than that is nothing */

typedef struct speaker {
    lw_bought *to;
    const lw_loaded *home;
} speaker;

static const char *number(double value, int decimals, char buf[LW_DECIMAL_BYTES])
{
    const double scale = decimals ? 10.0 : 1.0;
    lw_decimal_print(buf, LW_DECIMAL_BYTES, nearbyint(value * scale) / scale, decimals, 0);
    return buf;
}

static const char *days_word(double days)
{
    return nearbyint(days * 10.0) == 10.0 ? "day" : "days";
}

/* ---- the year ---- */

static void say_year(const speaker *s)
{
    lw_bought *to = s->to;
    const int stays = to->year.count;
    lw_line line = lw_line_of(to->year_words, sizeof to->year_words);
    if (to->year.from == LW_YEAR_OF_BOOK)
        lw_line_add(&line, "The year is that of your book: %d %s, %d nights.", stays, stays == 1 ? "stay" : "stays",
                    to->nights);
    else if (to->year.from == LW_YEAR_GIVEN)
        lw_line_add(&line, "The year is as you name it: %d %s, %d nights.", stays, stays == 1 ? "stay" : "stays",
                    to->nights);
    else
        lw_line_add(&line,
                    "No year of yours is known, so it is twelve stays of a fortnight at %s, one a month: %d nights.%s",
                    to->year.stay[0].name[0] && strcmp(to->year.stay[0].name, "here") != 0 ? to->year.stay[0].name
                                                                                           : "this place",
                    to->nights, lw_if_typed(&to->wish.choice, " --stay names your own."));
    if (to->year.left_out > 0)
        lw_line_add(&line, " %d more found no room.", to->year.left_out);
    lw_line_add(&line, " The weather is what is usual there.");
}

static void say_headline(const speaker *s)
{
    lw_bought *to = s->to;
    char days[LW_DECIMAL_BYTES], runs[LW_DECIMAL_BYTES], name[64];
    lw_line line = lw_line_of(to->headline, sizeof to->headline);
    int first = -1;
    for (int k = 0; k < LW_SUPPLY_STAY; k++)
        if (to->base.own_days[k] < to->nights - SAME_DAYS &&
            (first < 0 || to->base.own_days[k] < to->base.own_days[first]))
            first = k;
    if (first < 0)
        lw_line_add(&line, "As it is, the rig keeps you for all of the %d night%s away; nothing ends before.",
                    to->nights, to->nights == 1 ? "" : "s");
    else
        lw_line_add(&line,
                    "As it is, the rig keeps you for %s of %d night%s away before something ends, mostly %s; to stay "
                    "on takes about %s runs to town.",
                    number(to->base.days, to->nights < 10, days), to->nights, to->nights == 1 ? "" : "s",
                    lw_lower_first(lw_subject_say((lw_supply)first), name, sizeof name),
                    number(to->base.runs, 0, runs));
}

static void say_advice(const speaker *s)
{
    lw_bought *to = s->to;
    char usd[LW_DECIMAL_BYTES], days[LW_DECIMAL_BYTES], each[LW_DECIMAL_BYTES];
    lw_line line = lw_line_of(to->advice, sizeof to->advice);
    if (to->front_count == 0) {
        lw_line_add(&line, "Nothing in the table gains a day in this year%s.",
                    isinf(to->wish.budget_usd) ? "" : " for that money");
        return;
    }
    int best = to->front[0];
    for (int i = 1; i < to->front_count; i++)
        if (to->set[to->front[i]].usd_a_day < to->set[best].usd_a_day)
            best = to->front[i];
    const lw_buy_set *b = &to->set[best], *most = &to->set[to->front[to->front_count - 1]];
    lw_line_add(&line, "Most days for the money: %s, %s USD for %s %s a year (%s USD a day of the first year).",
                b->title, number(b->price_usd, 0, usd), number(b->gained_days, 1, days), days_word(b->gained_days),
                number(b->usd_a_day, 1, each));
    if (most != b)
        lw_line_add(&line, " Most days: %s, %s USD for %s %s.", most->title, number(most->price_usd, 0, usd),
                    number(most->gained_days, 1, days), days_word(most->gained_days));
}

/* ---- a set ---- */

static void say_title(const lw_bought *to, lw_buy_set *set)
{
    lw_line line = lw_line_of(set->title, sizeof set->title);
    for (int i = 0; i < set->count; i++)
        lw_line_add(&line, "%s%s", i == 0 ? "" : i == set->count - 1 ? " and " : ", ", to->item[set->item[i]].title);
}

static void say_set(const lw_bought *to, lw_buy_set *set)
{
    char usd[LW_DECIMAL_BYTES], days[LW_DECIMAL_BYTES], name[64], title[sizeof set->title];
    lw_line line = lw_line_of(set->sentence, sizeof set->sentence);
    snprintf(title, sizeof title, "%s", set->title);
    if (title[0] >= 'a' && title[0] <= 'z')
        title[0] = (char)(title[0] - 'a' + 'A');
    if (set->why_not[0]) {
        lw_line_add(&line, "%s: cannot be tried here: %s.", title, set->why_not);
        return;
    }
    lw_line_add(&line, "%s, %s USD: ", title, number(set->price_usd, 0, usd));
    if (fabs(set->gained_days) < SAME_DAYS)
        lw_line_add(&line, "gains no day of the year");
    else
        lw_line_add(&line, "%s %s %s a year", set->gained_days > 0.0 ? "gains" : "costs",
                    number(fabs(set->gained_days), 1, days), days_word(fabs(set->gained_days)));
    int told = 0;
    for (int k = 0; k < LW_SUPPLY_STAY; k++)
        if (fabs(set->own_gained_days[k]) >= SAME_DAYS)
            lw_line_add(&line, "%s%s lasts %s %s %s", told++ ? ", " : "; by itself ",
                        lw_lower_first(lw_subject_say((lw_supply)k), name, sizeof name),
                        number(fabs(set->own_gained_days[k]), 1, days), days_word(fabs(set->own_gained_days[k])),
                        set->own_gained_days[k] > 0.0 ? "longer" : "less");
    lw_line_add(&line, ".");
    (void)to;
}

static void add_years(lw_line *line, double years)
{
    char text[LW_DECIMAL_BYTES];
    if (years < 0.1)
        lw_line_add(line, "paid back within weeks.");
    else
        lw_line_add(line, "paid back after %s %s such as this.", number(years, years < 10.0, text),
                    nearbyint(years * 10.0) == 10.0 ? "year" : "years");
}

static void say_fuel(const lw_bought *to, const lw_buy_set *set, lw_line *line)
{
    char usd[LW_DECIMAL_BYTES];
    if (!isinf(set->payback_fuel_years)) {
        lw_line_add(line, "Fuel and gas: %s USD less a year, ", number(set->saved_usd, 0, usd));
        add_years(line, set->payback_fuel_years);
        return;
    }
    lw_line_add(line, "It never pays itself back by fuel and gas: %s",
                to->generator_runs ? "" : "the generator does not run");
    if (set->saved_usd >= SAVED_USD)
        lw_line_add(line, "%sall it saves is %s USD a year.", to->generator_runs ? "" : ", and ",
                    number(set->saved_usd, 1, usd));
    else
        lw_line_add(line, "%s%s.", to->generator_runs ? "" : ", and ",
                    set->saved_usd <= -SAVED_USD ? "it takes more of them" : "it saves none");
}

static void say_payback(const lw_bought *to, lw_buy_set *set)
{
    char a[LW_DECIMAL_BYTES], b[LW_DECIMAL_BYTES];
    lw_line line = lw_line_of(set->payback, sizeof set->payback);
    if (set->why_not[0])
        return;
    say_fuel(to, set, &line);
    if (isinf(set->payback_runs_years))
        lw_line_add(&line, " Nor by runs: it saves %s.",
                    set->runs_saved < SAME_RUNS ? "none" : number(set->runs_saved, 1, a));
    else {
        lw_line_add(&line, " Runs: %s fewer a year at %s USD, ", number(set->runs_saved, 1, a),
                    number(to->wish.run_usd, 0, b));
        add_years(&line, set->payback_runs_years);
    }
    if (isinf(set->payback_nights_years))
        lw_line_add(&line, " Nor by nights with hookups: it gains %s.",
                    set->gained_days < SAME_DAYS ? "no day" : "too few days");
    else {
        lw_line_add(&line,
                    " Were each gained day one night with hookups less at %s USD: ", number(to->wish.night_usd, 0, b));
        add_years(&line, set->payback_nights_years);
    }
}

static void say_load(const speaker *s, lw_buy_set *set)
{
    const lw_bought *to = s->to;
    const lw_unit_system units = to->wish.choice.units;
    char kg[LW_QUANTITY_BYTES], m2[LW_QUANTITY_BYTES], spare[LW_QUANTITY_BYTES];
    lw_line line = lw_line_of(set->load, sizeof set->load);
    lw_line_add(&line, "Mass: %s %s", lw_quantity_print(kg, sizeof kg, fabs(set->mass_kg), LW_DIM_MASS, units),
                set->mass_kg < 0.0 ? "less" : "more");
    if (!isnan(to->spare_kg) && to->spare_kg > 0.0)
        lw_line_add(&line, "; %s of your payload %s left with everything full%s",
                    lw_quantity_print(spare, sizeof spare, to->spare_kg, LW_DIM_MASS, units), "is",
                    set->fits_mass ? "" : ", so it is too heavy for full tanks");
    else if (!isnan(to->spare_kg))
        lw_line_add(&line, "; with everything full you are over your payload already");
    if (set->roof_m2 > 0.0)
        lw_line_add(&line, ". Roof: %s", lw_quantity_print(m2, sizeof m2, set->roof_m2, LW_DIM_AREA, units));
    if (set->roof_m2 > 0.0 && !isnan(to->cargo.roof_m2))
        lw_line_add(&line, " of %s that is free%s",
                    lw_quantity_print(m2, sizeof m2, to->cargo.roof_m2, LW_DIM_AREA, units),
                    set->fits_roof ? "" : ", so it does not fit");
    lw_line_add(&line, ".");
}

void lw_buy_say(lw_bought *to, const lw_loaded *home)
{
    const speaker s = {.to = to, .home = home};
    for (int i = 0; i < to->set_count; i++) {
        say_title(to, &to->set[i]);
        say_set(to, &to->set[i]);
        say_payback(to, &to->set[i]);
        say_load(&s, &to->set[i]);
    }
    say_year(&s);
    say_headline(&s);
    say_advice(&s);
}
