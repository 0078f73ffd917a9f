#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/power/generator.h"
#include "service/generator_plan_internal.h"
#include "service/words_internal.h"
#include "text/decimal.h"
#include "text/quantity.h"

typedef struct speaker {
    const lw_loaded *loaded;
    lw_generator_plan *to;
} speaker;

static const char *percent(double frac, char buf[LW_DECIMAL_BYTES], int decimals)
{
    const double scale = decimals ? 1000.0 : 100.0;
    lw_decimal_print(buf, LW_DECIMAL_BYTES, floor(frac * scale + (decimals ? 1e-9 : 0.5)) * 100.0 / scale, decimals, 0);
    return buf;
}

static const char *number(double value, int decimals, char buf[LW_DECIMAL_BYTES])
{
    lw_decimal_print(buf, LW_DECIMAL_BYTES, value, decimals, 0);
    return buf;
}

static const char *fuel_say(const speaker *s, double fuel, char *buf, size_t n)
{
    return lw_amount_print(buf, n, s->to->is_gas ? LW_SUPPLY_PROPANE : LW_SUPPLY_FUEL, fuel, s->to->wish.choice.units);
}

static const char *when(const speaker *s, int64_t at_s, char buf[LW_WHEN])
{
    return lw_when_print(buf, LW_WHEN, &s->loaded->zone, at_s, s->to->wish.choice.is_12_hour);
}

/* "cooking, tools": the items of a wish list whose hours a run touches. */
static void names_of(const speaker *s, const lw_generator_hours *item, int count, const char *nameless,
                     const lw_generator_run *run, char *buf, size_t n)
{
    const lw_calendar *calendar = &s->loaded->scenario->calendar;
    lw_line line = lw_line_of(buf, n);
    int told = 0;
    for (int i = 0; i < count; i++) {
        int touches = 0;
        for (int h = run->from_hour; h < run->from_hour + run->hours; h++)
            touches |= lw_is_in_hours(item[i].hours, calendar, h);
        if (touches)
            lw_line_add(&line, "%s%s", told++ ? ", " : "", item[i].what[0] ? item[i].what : nameless);
    }
}

static void say_run(const speaker *s, lw_generator_run *run)
{
    const lw_generator_wishes *wishes = &s->loaded->generator_wishes;
    char from[LW_WHEN], until[LW_WHEN], a[LW_DECIMAL_BYTES], b[LW_DECIMAL_BYTES], fuel[64];
    lw_line line = lw_line_of(run->sentence, sizeof run->sentence);
    names_of(s, wishes->need, wishes->need_count, "what needs it", run, run->why, sizeof run->why);
    names_of(s, wishes->bother, wishes->bother_count, "hours you would spare", run, run->spite, sizeof run->spite);
    lw_line_add(&line, "%s to %s: ", when(s, run->from_s, from),
                lw_hour_print(until, sizeof until, &s->loaded->zone, run->until_s, s->to->wish.choice.is_12_hour));
    if (run->runs_frac > 0.0)
        lw_line_add(&line, "battery from about %s to %s %%, %s.", percent(run->before_frac, a, 0),
                    percent(run->after_frac, b, 0), fuel_say(s, run->fuel, fuel, sizeof fuel));
    else
        lw_line_add(&line, "only in a poorer course than those that were drawn.");
    if (run->why[0])
        lw_line_add(&line, " For %s.", run->why);
    if (run->floor_s)
        lw_line_add(&line, " Without it the floor is passed by %s in a poor spell.", when(s, run->floor_s, from));
    if (run->skip_from_frac < 0.995 && run->runs_frac < 0.995)
        lw_line_add(&line, " Leave it out at %s %% or more (%s of 100 courses).", percent(run->skip_from_frac, a, 0),
                    percent(1.0 - run->runs_frac, b, 0));
    if (run->is_at_night)
        lw_line_add(&line, " At night, as the day's hours are not enough: nobody sleeps while it runs.");
    if (run->spite[0])
        lw_line_add(&line, " It falls into: %s.", run->spite);
}

static int can_be_left_out(const lw_generator_plan *to)
{
    for (int i = 0; i < to->run_count; i++)
        if (to->run[i].skip_from_frac < 0.995 && to->run[i].runs_frac < 0.995)
            return 1;
    return 0;
}

/* A plan is of a fortnight: what lies behind is for another. */
static void say_end(const speaker *s, lw_line *line)
{
    char leave[LW_WHEN];
    const int64_t departure_s = s->loaded->scenario->stay.departure_s;
    if (departure_s > s->to->until_s)
        lw_line_add(line, " That is as far as this plan looks: ask again for the days until %s.",
                    when(s, departure_s, leave));
}

static void say_headline(const speaker *s)
{
    lw_generator_plan *to = s->to;
    char until[LW_WHEN], floor_say[LW_DECIMAL_BYTES], a[LW_DECIMAL_BYTES], fuel[64];
    lw_line line = lw_line_of(to->headline, sizeof to->headline);
    when(s, to->until_s, until);
    percent(to->floor_frac, floor_say, 0);
    if (!to->is_needed)
        lw_line_add(&line, "The generator can stay off until %s: the battery keeps above its floor of %s %%.", until,
                    floor_say);
    else if (!to->is_found)
        lw_line_add(
            &line,
            "No allowed hours keep the battery above its floor of %s %% until %s: with the set on in every one of "
            "them it does so in %s of 100 courses. More hours, a stronger charger or less use would help.",
            floor_say, until, percent(to->always_frac, a, 0));
    else
        lw_line_add(&line, "%s %s %% until %s, run the generator in %d window%s: about %s h and %s%s.",
                    to->without_frac < to->wish.confidence_frac
                        ? "To keep the battery above its floor of"
                        : "For what needs its current, with the battery above its floor of",
                    floor_say, until, to->run_count, to->run_count == 1 ? "" : "s",
                    number(to->running_h, to->running_h < 10.0 ? 1 : 0, a), fuel_say(s, to->fuel, fuel, sizeof fuel),
                    can_be_left_out(to) ? " in the mean, as some can be left out" : "");
    say_end(s, &line);
}

static void say_measured(const speaker *s)
{
    lw_generator_plan *to = s->to;
    char a[LW_DECIMAL_BYTES], b[LW_DECIMAL_BYTES], c[LW_DECIMAL_BYTES];
    lw_line line = lw_line_of(to->measured, sizeof to->measured);
    if (!to->is_found)
        return;
    lw_line_add(&line, "Of %s fresh courses of weather and use %s %% stay above it%s", number(to->fresh_draws, 0, a),
                percent(to->fresh_frac, b, 1), to->is_reached ? "" : ", less than you wish");
    if (to->is_needed)
        lw_line_add(&line, "; without the set %s %%", percent(to->without_frac, c, 1));
    lw_line_add(&line, ".");
}

static void say_fuel(const speaker *s)
{
    lw_generator_plan *to = s->to;
    char fuel[64], there[64], when_short[LW_WHEN];
    lw_line line = lw_line_of(to->fuel_sentence, sizeof to->fuel_sentence);
    double sum = 0.0;
    if (!to->is_needed || !to->is_found || isnan(to->fuel_there))
        return;
    fuel_say(s, to->fuel_there, there, sizeof there);
    if (to->fuel <= to->fuel_there) {
        lw_line_add(&line, "There is %s for it.", there);
        return;
    }
    for (int i = 0; i < to->run_count; i++) {
        const double run = to->run[i].runs_frac > 0.0 ? to->run[i].runs_frac * to->run[i].fuel : 0.0;
        if (sum + run > to->fuel_there) {
            lw_line_add(&line, "There is only %s for it: bring %s more before %s.", there,
                        fuel_say(s, to->fuel - to->fuel_there, fuel, sizeof fuel),
                        when(s, to->run[i].from_s, when_short));
            return;
        }
        sum += run;
    }
    lw_line_add(&line, "There is only %s for it: bring %s more.", there,
                fuel_say(s, to->fuel - to->fuel_there, fuel, sizeof fuel));
}

static void say_note(const speaker *s)
{
    lw_generator_plan *to = s->to;
    char a[LW_DECIMAL_BYTES], b[LW_DECIMAL_BYTES], c[LW_DECIMAL_BYTES];
    lw_line line = lw_line_of(to->note, sizeof to->note);
    if (!to->is_needed || !to->is_found)
        return;
    lw_line_add(
        &line,
        "Fuel, an hour of running at %s USD, a start at %s USD and the hours you would spare weigh %s USD on poor days",
        number(to->per_hour_usd, 2, a), number(to->per_start_usd, 2, b), number(to->usd, 2, c));
    if (to->is_exact)
        lw_line_add(&line, "; no other hours do it for less.");
    else
        lw_line_add(&line, "; no other hours do it for less than %s USD.", number(to->bound_usd, 2, a));
    if (!to->is_to_departure)
        lw_line_add(&line, " Plan again within a week: at the end the battery may be at its floor.");
}

static void say_work(const speaker *s)
{
    lw_generator_plan *to = s->to;
    char until[LW_WHEN], a[LW_DECIMAL_BYTES];
    for (int i = 0; i < to->work_count; i++) {
        lw_line line = lw_line_of(to->work[i].sentence, sizeof to->work[i].sentence);
        lw_line_add(&line, "Enough for work and school through %s: %s of 100.", when(s, to->work[i].until_s, until),
                    percent(to->work[i].enough_frac, a, 0));
    }
}

void lw_generator_plan_say(const lw_loaded *loaded, lw_generator_plan *plan)
{
    const speaker s = {.loaded = loaded, .to = plan};
    for (int i = 0; i < plan->run_count; i++)
        say_run(&s, &plan->run[i]);
    say_headline(&s);
    say_measured(&s);
    say_fuel(&s);
    say_note(&s);
    say_work(&s);
}
