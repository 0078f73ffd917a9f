#include <math.h>
#include <stdio.h>
#include <string.h>

#include "service/rhythm_internal.h"
#include "service/words_internal.h"
#include "text/decimal.h"
#include "text/moment.h"

static const char *const MONTH_SAY[] = {"January", "February", "March",     "April",   "May",      "June",
                                        "July",    "August",   "September", "October", "November", "December"};

static const char *number(double value, int decimals, char buf[LW_DECIMAL_BYTES])
{
    lw_decimal_print(buf, LW_DECIMAL_BYTES, value, decimals, 0);
    return buf;
}

static const char *does_say(lw_supply supply)
{
    static const char *const DOES[LW_SUPPLY_COUNT] = {
        [LW_SUPPLY_FRESH] = "water",     [LW_SUPPLY_DRINKING] = "drinking water",
        [LW_SUPPLY_GREY] = "grey out",   [LW_SUPPLY_BLACK] = "black out",
        [LW_SUPPLY_PROPANE] = "gas",     [LW_SUPPLY_FUEL] = "fuel",
        [LW_SUPPLY_RUBBISH] = "rubbish", [LW_SUPPLY_FOOD] = "groceries"};
    return DOES[supply] ? DOES[supply] : "";
}

static const char *each_say(int each, char buf[40])
{
    static const char *const ORDINAL[] = {"", "every time", "every 2nd time", "every 3rd time"};
    if (each <= 3)
        return ORDINAL[each];
    snprintf(buf, 40, "every %dth time", each);
    return buf;
}

/* "water, rubbish every time; grey out every 2nd time" */
static void say_beats(const lw_rhythm_month *m, lw_line *line)
{
    int told = 0;
    char buf[40];
    for (int each = 1; each <= 24; each++) {
        int of_each = 0;
        for (int k = 0; k < LW_SUPPLY_COUNT; k++)
            if (m->each[k] == each)
                lw_line_add(line, "%s%s", of_each++ ? ", " : told ? "; " : " ", does_say((lw_supply)k));
        if (of_each)
            lw_line_add(line, " %s", each_say(each, buf));
        told += of_each > 0;
    }
}

static void say_chance(const lw_rhythm_month *m, lw_line *line)
{
    char buf[LW_DECIMAL_BYTES];
    number(100.0 * m->fresh_frac, 1, buf);
    if (m->is_reached)
        lw_line_add(line, " All of it lasts through the month in %s of 100 courses.", buf);
    else
        lw_line_add(line, " Surer there is none, and all of it lasts through the month in %s of 100 courses only.",
                    buf);
}

/* On a page the month stands above it. */
static void say_pace(const lw_errands *errands, int is_page, lw_rhythm_month *m)
{
    lw_line line = lw_line_of(m->sentence, sizeof m->sentence);
    char name[64];
    if (!is_page)
        lw_line_add(&line, "%s, %d day%s: ", m->name, m->days, m->days == 1 ? "" : "s");
    if (m->every_days == 0 && m->short_supply >= 0) {
        lw_lower_first(lw_subject_say((lw_supply)m->short_supply), name, sizeof name);
        if (m->lasts_days[m->short_supply] < 1.0)
            lw_line_add(&line, "no rhythm keeps it, as %s does not last a day from one service to the next.", name);
        else
            lw_line_add(&line, "no rhythm keeps it, as nothing here that is open serves %s.", name);
        return;
    }
    if (m->every_days == 0) {
        lw_line_add(&line, "nothing needs a run.");
        say_chance(m, &line);
        return;
    }
    if (m->every_days == 1)
        lw_line_add(&line, "a run every day");
    else
        lw_line_add(&line, "a run every %d days", m->every_days);
    for (int i = 0; errands && i < m->type_count; i++)
        lw_line_add(&line, "%s%s", i == 0 ? ", by " : " or ", errands->type[m->type[i]].name);
    lw_line_add(&line, ":");
    say_beats(m, &line);
    lw_line_add(&line, ".");
    say_chance(m, &line);
}

static void say_cost(const lw_long_stay *r, lw_rhythm_month *m)
{
    lw_line line = lw_line_of(m->cost_sentence, sizeof m->cost_sentence);
    char a[LW_DECIMAL_BYTES], b[LW_DECIMAL_BYTES], c[LW_DECIMAL_BYTES], d[LW_DECIMAL_BYTES];
    if (r->has_errands && m->every_days > 0)
        lw_line_add(&line, "%s runs, %s h: fees %s, road %s, ", number(m->runs, 1, a), number(m->hours, 0, b),
                    number(m->fees_usd, 0, c), number(m->road_usd, 0, d));
    if (r->has_errands && m->every_days > 0)
        lw_line_add(&line, "your time %s, trouble %s USD. ", number(m->time_usd, 0, a), number(m->trouble_usd, 0, b));
    if (m->propane_usd + m->fuel_usd >= 0.5)
        lw_line_add(&line, "Gas %s and generator fuel %s USD. ", number(m->propane_usd, 0, a),
                    number(m->fuel_usd, 0, b));
    lw_line_add(&line, "Together %s USD.", number(m->usd, 0, a));
    if (m->generator_h >= 0.05)
        lw_line_add(&line, " The generator runs about %s h a day.", number(m->generator_h, 1, a));
    if (m->battery_short_frac >= 0.1)
        lw_line_add(&line, " The battery falls short in %s of 100 courses.",
                    number(100.0 * m->battery_short_frac, 0, a));
}

static void say_headline(lw_long_stay *r)
{
    lw_line line = lw_line_of(r->headline, sizeof r->headline);
    char day[LW_WHEN], a[LW_DECIMAL_BYTES], b[LW_DECIMAL_BYTES];
    int least = 0, most = 0, lacks = 0;
    for (int i = 0; i < r->month_count; i++) {
        const int every = r->month[i].every_days;
        lacks += every == 0 && r->month[i].short_supply >= 0;
        if (every > 0 && (least == 0 || every < least))
            least = every;
        most = every > most ? every : most;
    }
    lw_line_add(&line, "For %d days from %s: ", r->days, lw_day_print(day, sizeof day, &r->zone, r->start_s));
    if (lacks > 0)
        lw_line_add(&line, "in %d of %d months no rhythm keeps it.", lacks, r->month_count);
    else if (most == 0)
        lw_line_add(&line, "nothing needs a run.");
    else {
        if (most == 1)
            lw_line_add(&line, "a run every day");
        else if (least == most)
            lw_line_add(&line, "a run every %d days", least);
        else
            lw_line_add(&line, "a run every %d to %d days", least, most);
        lw_line_add(&line, ", about %s in all; %s USD a month%s.", number(r->runs, 0, a),
                    number(r->usd_per_month, 0, b), r->has_errands ? "" : " for gas and fuel");
    }
}

static void say_limit(const lw_loaded *loaded, lw_long_stay *r)
{
    const int64_t end_s = loaded->scenario->stay.stay_end_s;
    lw_line line = lw_line_of(r->limit, sizeof r->limit);
    char day[LW_WHEN];
    if (!end_s || end_s >= r->until_s)
        return;
    lw_line_add(
        &line,
        "The place allows a stay until %s only%s%s: for longer it takes a permit or another place. Signs win; ask "
        "the field office.",
        lw_day_print(day, sizeof day, &r->zone, end_s), loaded->rule_words[0] ? ", " : "", loaded->rule_words);
}

static void say_ask(const lw_errands *errands, lw_long_stay *r)
{
    lw_line line = lw_line_of(r->ask, sizeof r->ask);
    int asks = 0;
    for (int j = 0; errands && j < errands->service_count; j++)
        if (errands->service[j].users == LW_ERRAND_UNKNOWN)
            lw_line_add(&line, "%s%s",
                        asks++ ? ", " : "Ask first whether you may use them; the rhythm does not rely on: ",
                        errands->service[j].name);
    lw_line_add(&line, "%s", asks ? "." : "");
}

void lw_rhythm_say(const lw_loaded *loaded, const lw_errands *errands, int is_page, lw_long_stay *r)
{
    char a[LW_DECIMAL_BYTES], b[LW_DECIMAL_BYTES];
    for (int i = 0; i < r->month_count; i++) {
        lw_rhythm_month *m = &r->month[i];
        snprintf(m->name, sizeof m->name, "%s %d", MONTH_SAY[m->month - 1], m->year);
        say_pace(errands, is_page, m);
        say_cost(r, m);
    }
    say_headline(r);
    say_limit(loaded, r);
    say_ask(errands, r);
    lw_line line = lw_line_of(r->note, sizeof r->note);
    lw_line_add(&line,
                "The pace is the cheapest with which nothing that runs serve ends, all together, in at least %s of 100 "
                "courses, of each month by itself and begun full; measured on %s fresh courses of %s.%s Food and the "
                "place's own fees are not in it.",
                number(100.0 * r->confidence_frac, 0, a), number((double)r->fresh_draws, 0, b),
                r->is_climate ? "the month's climate" : "the weather of the scenario",
                r->has_errands ? ""
                : is_page      ? " Name your services for ways and costs of runs."
                               : " Name your services with --services for ways and costs of runs.");
}
