#include <math.h>
#include <stdio.h>
#include <string.h>

#include "service/levers_internal.h"
#include "service/words_internal.h"
#include "text/decimal.h"
#include "text/quantity.h"

static const char *tenths(double value, char buf[LW_DECIMAL_BYTES])
{
    lw_decimal_print(buf, LW_DECIMAL_BYTES, nearbyint(value * 10.0) / 10.0, 1, 0);
    return buf;
}

static const char *whole(double value, char buf[LW_DECIMAL_BYTES])
{
    lw_decimal_print(buf, LW_DECIMAL_BYTES, nearbyint(value), 0, 0);
    return buf;
}

static const char *percent(double frac, char buf[LW_DECIMAL_BYTES])
{
    lw_decimal_print(buf, LW_DECIMAL_BYTES, floor(frac * 1000.0) / 10.0, 1, 0);
    return buf;
}

static const char *days_of(double days)
{
    return nearbyint(days * 10.0) == 10.0 ? "day" : "days";
}

/* "grey water", inside a sentence. */
static const char *supply_say(int supply, char *buf, size_t n)
{
    return lw_lower_first(lw_subject_say((lw_supply)supply), buf, n);
}

static void say_headline(lw_levers *to, const lw_loaded *loaded)
{
    char name[64], when[LW_WHEN], a[LW_DECIMAL_BYTES], b[LW_DECIMAL_BYTES];
    lw_line line = lw_line_of(to->headline, sizeof to->headline);
    if (to->binding >= 0)
        lw_line_add(&line, "As it is, %s ends this stay after %s %s.", supply_say(to->binding, name, sizeof name),
                    tenths(to->stay.before_days, a), days_of(to->stay.before_days));
    else
        lw_line_add(&line, "As it is, nothing ends this stay within %s days.", tenths(to->horizon_days, a));
    if (!to->departure_s)
        return;
    lw_when_print(when, sizeof when, &loaded->zone, to->departure_s, to->wish.choice.is_12_hour);
    lw_line_add(&line, " You wish to stay until %s with %s %%; the chance is %s %%.", when,
                percent(to->wish.confidence_frac, b), percent(to->stays_frac, a));
}

static void say_lever(const lw_levers *to, lw_lever *lever)
{
    char name[64], a[LW_DECIMAL_BYTES];
    lw_line line = lw_line_of(lever->sentence, sizeof lever->sentence);
    const lw_gain *stay = &lever->stay;
    char title[96];
    snprintf(title, sizeof title, "%s", lever->title);
    if (title[0] >= 'a' && title[0] <= 'z')
        title[0] = (char)(title[0] - 'a' + 'A');
    if (lever->why_not[0]) {
        lw_line_add(&line, "%s: cannot be tried here: %s.", title, lever->why_not);
        return;
    }
    if (stay->bound == LW_BOUND_UNKNOWN || (stay->bound == LW_BOUND_EXACT && fabs(stay->difference_days) < 0.05))
        lw_line_add(&line, "%s: the stay is as long as before", title);
    else
        lw_line_add(&line, "%s: the stay is %s%s %s %s", title, stay->bound == LW_BOUND_EXACT ? "" : "at least ",
                    tenths(fabs(stay->difference_days), a), days_of(fabs(stay->difference_days)),
                    stay->difference_days > 0.0 ? "longer" : "shorter");
    int told = 0;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        const lw_gain *g = &lever->gain[k];
        if (g->bound == LW_BOUND_UNKNOWN || fabs(g->difference_days) < 0.05)
            continue;
        lw_line_add(&line, "%s%s %s%s %s %s", told++ ? ", " : "; ", supply_say(k, name, sizeof name),
                    g->bound == LW_BOUND_EXACT ? "" : "at least ", tenths(fabs(g->difference_days), a),
                    days_of(fabs(g->difference_days)), g->difference_days > 0.0 ? "more" : "less");
    }
    lw_line_add(&line, ".");
    (void)to;
}

static void say_payback(const lw_levers *to, lw_lever *lever)
{
    char a[LW_DECIMAL_BYTES];
    if (lever->sort != LW_LEVER_PURCHASE || lever->why_not[0])
        return;
    if (isinf(lever->payback_days))
        snprintf(lever->payback, sizeof lever->payback, "It never pays itself back: it saves no fuel and no gas here.");
    else
        snprintf(lever->payback, sizeof lever->payback,
                 "It pays itself back by the fuel and gas it saves after %s days such as these.",
                 whole(lever->payback_days, a));
    (void)to;
}

void lw_lever_say_costs(const lw_lever *lever, char *buf, size_t n)
{
    char a[LW_DECIMAL_BYTES];
    lw_line line = lw_line_of(buf, n);
    if (lever->price_usd > 0.0)
        lw_line_add(&line, "%s USD; ", whole(lever->price_usd, a));
    if (fabs(lever->minutes_a_day) >= 0.05)
        lw_line_add(&line, "%s%s min a day; ", lever->minutes_a_day < 0.0 ? "saves " : "",
                    tenths(fabs(lever->minutes_a_day), a));
    if (lever->minutes_once > 0.0)
        lw_line_add(&line, "%s min once; ", whole(lever->minutes_once, a));
    lw_line_add(&line, "nuisance %s%s", tenths(lever->nuisance, a),
                lever->nuisance_from == LW_NUISANCE_TABLE ? "" : " (yours)");
}

static void add_cost(lw_line *line, const lw_levers *to)
{
    char usd[LW_DECIMAL_BYTES], min[LW_DECIMAL_BYTES], kg[LW_QUANTITY_BYTES];
    lw_line_add(line, "Together: %s USD to buy or pay", whole(to->set_price_usd, usd));
    if (fabs(to->set_running_usd) >= 0.5)
        lw_line_add(line, ", %s USD %s fuel and gas", whole(fabs(to->set_running_usd), usd),
                    to->set_running_usd > 0.0 ? "more of" : "less of");
    if (fabs(to->set_minutes) >= 1.0)
        lw_line_add(line, ", %s minutes%s over the stay", whole(fabs(to->set_minutes), min),
                    to->set_minutes < 0.0 ? " saved" : "");
    if (to->set_mass_kg > 0.5)
        lw_line_add(line, ", %s to carry",
                    lw_quantity_print(kg, sizeof kg, to->set_mass_kg, LW_DIM_MASS, to->wish.choice.units));
    lw_line_add(line, ".");
}

static void add_names(lw_line *line, const lw_levers *to)
{
    int told = 0;
    for (int i = 0; i < to->count; i++)
        if (to->lever[i].is_in_set)
            lw_line_add(line, "%s%s", told++ == 0 ? "" : told == to->set_count ? " and " : ", ", to->lever[i].title);
}

static void say_measured(lw_levers *to)
{
    char a[LW_DECIMAL_BYTES], b[LW_DECIMAL_BYTES];
    lw_line line = lw_line_of(to->measured, sizeof to->measured);
    lw_line_add(&line, "Of %s fresh courses of weather and use %s %% get there%s.", whole(to->fresh_draws, b),
                percent(to->fresh_frac, a), to->is_reached ? "" : ", which is less than you wish");
    if (to->tightened > 0)
        lw_line_add(&line,
                    " The aim was raised to %s %% for that: sets look better on the courses they were chosen by.",
                    percent(to->aimed_frac, a));
}

static void add_hopeless(lw_line *line, const lw_levers *to)
{
    char name[64];
    int told = 0;
    lw_line_add(line, to->hopeless ? " What falls short whatever is done: " : "");
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (to->hopeless >> k & 1u)
            lw_line_add(line, "%s%s", lw_between(told++, lw_bits(to->hopeless)), supply_say(k, name, sizeof name));
    lw_line_add(line, told ? "." : "");
    if (to->hopeless >> LW_SUPPLY_STAY & 1u)
        lw_line_add(line, " No lever moves the days that the place allows.");
    else
        lw_line_add(line, " Leave earlier%s, be content with less%s, or plan runs.",
                    lw_if_typed(&to->wish.choice, " (--until)"), lw_if_typed(&to->wish.choice, " (--confidence)"));
}

static void say_set(lw_levers *to, const lw_loaded *loaded)
{
    char when[LW_WHEN], a[LW_DECIMAL_BYTES];
    lw_line line = lw_line_of(to->set_sentence, sizeof to->set_sentence);
    if (!to->has_set)
        return;
    lw_when_print(when, sizeof when, &loaded->zone, to->departure_s, to->wish.choice.is_12_hour);
    if (to->set_count == 0 && to->is_reached)
        lw_line_add(&line, "Nothing has to change to stay until %s.", when);
    else if (to->is_reached) {
        lw_line lead = lw_line_of(to->set_lead, sizeof to->set_lead);
        lw_line cost = lw_line_of(to->set_cost, sizeof to->set_cost);
        lw_line_add(&lead, "To stay until %s with %s %%, %s", when, percent(to->wish.confidence_frac, a),
                    to->is_least ? "the least burden is" : "what does it is");
        add_cost(&cost, to);
        lw_line_add(&line, "%s: ", to->set_lead);
        add_names(&line, to);
        lw_line_add(&line, ". %s", to->set_cost);
    } else {
        if (to->is_least)
            lw_line_add(&line, "No set of these levers reaches %s with %s %%.", when,
                        percent(to->wish.confidence_frac, a));
        else
            lw_line_add(&line, "No set of levers was found that reaches %s with %s %%, though there may be one%s.",
                        when, percent(to->wish.confidence_frac, a),
                        lw_if_typed(&to->wish.choice, "; --sets 1000 looks on"));
        add_hopeless(&line, to);
        if (to->set_count > 0) {
            lw_line_add(&line, " Nearest: ");
            add_names(&line, to);
            lw_line_add(&line, ".");
        }
    }
    if (to->is_reached || to->set_count > 0)
        say_measured(to);
}

void lw_levers_say(lw_levers *levers, const lw_loaded *loaded)
{
    say_headline(levers, loaded);
    say_set(levers, loaded);
    for (int i = 0; i < levers->count; i++) {
        say_lever(levers, &levers->lever[i]);
        say_payback(levers, &levers->lever[i]);
    }
}
