#include <math.h>
#include <stdio.h>
#include <string.h>

#include "service/convoy_internal.h"
#include "service/words_internal.h"
#include "text/decimal.h"
#include "text/quantity.h"

static const char *number(double value, int decimals, char buf[LW_DECIMAL_BYTES])
{
    lw_decimal_print(buf, LW_DECIMAL_BYTES, value, decimals, 0);
    return buf;
}

static const char *does_say(lw_supply supply)
{
    static const char *const DOES[LW_SUPPLY_COUNT] = {
        [LW_SUPPLY_FRESH] = "water in",      [LW_SUPPLY_DRINKING] = "drinking water",
        [LW_SUPPLY_GREY] = "grey out",       [LW_SUPPLY_BLACK] = "black out",
        [LW_SUPPLY_PROPANE] = "gas",         [LW_SUPPLY_FUEL] = "fuel",
        [LW_SUPPLY_RUBBISH] = "rubbish out", [LW_SUPPLY_FOOD] = "groceries"};
    return DOES[supply] ? DOES[supply] : "";
}

/* "water in (Snug Harbour 12 gal, Elkhorn 16 gal), rubbish out" */
static void say_brought(const lw_convoy *c, const lw_convoy_run *to, uint32_t supplies, lw_line *line)
{
    char amount[LW_QUANTITY_BYTES];
    int told = 0;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        if (!(supplies >> k & 1u))
            continue;
        lw_line_add(line, "%s%s", told++ ? ", " : "", does_say((lw_supply)k));
        int parts = 0;
        for (int i = 0; k == LW_SUPPLY_FRESH && i < c->count; i++)
            if (to->water_l[i] > 0.0)
                lw_line_add(line, "%s%s %s", parts++ ? ", " : " (", c->member[i].rig.household,
                            lw_quantity_print(amount, sizeof amount, to->water_l[i], LW_DIM_VOLUME, c->choice.units));
        lw_line_add(line, "%s", parts ? ")" : "");
    }
}

void lw_convoy_say_run(const lw_convoy *c, const lw_errands *errands, const lw_run *run, const int *service,
                       uint32_t supplies, lw_convoy_run *to)
{
    lw_line line = lw_line_of(to->sentence, sizeof to->sentence);
    const lw_convoy_rig *driver = &c->member[to->driver].rig;
    char leave[LW_WHEN], back[LW_WHEN], a[LW_DECIMAL_BYTES];
    int told = 0;
    lw_line_add(&line, "%s to %s: %s by %s to ",
                lw_when_print(leave, sizeof leave, &c->zone, to->leave_s, c->choice.is_12_hour),
                lw_hour_print(back, sizeof back, &c->zone, to->back_s, c->choice.is_12_hour), driver->household,
                driver->thing[to->thing].name);
    for (int j = 0; j < LW_RUN_SERVICES; j++)
        if (run->services >> j & 1u)
            lw_line_add(&line, "%s%s", lw_between(told++, lw_bits(run->services)), errands->service[service[j]].name);
    lw_line_add(&line, ": ");
    say_brought(c, to, supplies, &line);
    lw_line_add(&line, ". For");
    told = 0;
    for (int i = 0; i < c->count; i++)
        if (to->rigs >> i & 1u)
            lw_line_add(&line, "%s %s", told++ ? "," : "", c->member[i].rig.household);
    lw_line_add(&line, "; %s USD.", number(to->usd, 0, a));
}

static void say_alone(const lw_convoy *c, const lw_convoy_member *m, lw_line *line)
{
    char a[LW_DECIMAL_BYTES], name[64];
    (void)c;
    if (isinf(m->bare_days))
        lw_line_add(line, "nothing ends before the plan does");
    else
        lw_line_add(line, "without runs %s ends it after %s days",
                    lw_lower_first(lw_subject_say(m->bare_supply), name, sizeof name), number(m->bare_days, 1, a));
    if (m->is_alone_found)
        lw_line_add(line, "; by itself %d run%s for %s USD would keep it", m->alone_runs, m->alone_runs == 1 ? "" : "s",
                    number(m->alone_usd, 0, a));
    else if (m->alone_short >= 0)
        lw_line_add(line, "; by itself no runs keep %s up",
                    lw_lower_first(lw_subject_say((lw_supply)m->alone_short), name, sizeof name));
    else
        lw_line_add(line, "; by itself no runs keep it");
}

static void say_member(lw_convoy *c, lw_convoy_member *m)
{
    lw_line line = lw_line_of(m->sentence, sizeof m->sentence);
    char a[LW_DECIMAL_BYTES], name[64];
    const double owes_usd = m->share_usd - m->drove_usd;
    lw_line_add(&line, "%s: ", m->rig.household);
    say_alone(c, m, &line);
    if (c->is_found) {
        lw_line_add(&line, "; in the convoy its part is %s USD", number(m->share_usd, 0, a));
        if (m->drives > 0)
            lw_line_add(&line, ", it drives %d time%s", m->drives, m->drives == 1 ? "" : "s");
        if (owes_usd >= 0.5)
            lw_line_add(&line, ", and it owes %s USD to who drove", number(owes_usd, 0, a));
        else if (owes_usd <= -0.5)
            lw_line_add(&line, ", and it is owed %s USD", number(-owes_usd, 0, a));
    }
    lw_line_add(&line, ".");
    if (!isinf(m->own_days))
        lw_line_add(&line, " Its own matter: %s ends after %s days.",
                    lw_lower_first(lw_subject_say(m->own_supply), name, sizeof name), number(m->own_days, 1, a));
}

static void say_headline(lw_convoy *c)
{
    lw_line line = lw_line_of(c->headline, sizeof c->headline);
    char until[LW_WHEN], a[LW_DECIMAL_BYTES], b[LW_DECIMAL_BYTES], name[64];
    lw_when_print(until, sizeof until, &c->zone, c->until_s, c->choice.is_12_hour);
    if (!c->is_found && c->short_supply >= 0)
        lw_line_add(&line, "No common runs keep the convoy going until %s: %s cannot be kept up.", until,
                    lw_lower_first(lw_subject_say((lw_supply)c->short_supply), name, sizeof name));
    else if (!c->is_found)
        lw_line_add(&line, "No common runs keep the convoy going until %s: free and open hours are too few.", until);
    else if (c->run_count == 0)
        lw_line_add(&line, "Until %s no common run is needed.", until);
    else {
        lw_line_add(&line, "Until %s, %d common run%s keep%s all %d rigs going, for %s USD", until, c->run_count,
                    c->run_count == 1 ? "" : "s", c->run_count == 1 ? "s" : "", c->count, number(c->usd, 0, a));
        if (!isnan(c->alone_usd))
            lw_line_add(&line, "; each by itself it would be %s USD", number(c->alone_usd, 0, b));
        lw_line_add(&line, ".");
    }
}

/* Things that lie outside the runs, each with who might want it. */
static void say_loans(lw_convoy *c)
{
    char amount[LW_QUANTITY_BYTES], days[LW_DECIMAL_BYTES];
    for (int i = 0; i < c->count; i++)
        for (int k = 0; k < c->member[i].rig.thing_count && c->loan_count < LW_CONVOY_LOANS; k++) {
            const lw_convoy_thing *thing = &c->member[i].rig.thing[k];
            if (thing->kind == LW_CONVOY_VEHICLE)
                continue;
            lw_line line = lw_line_of(c->loan[c->loan_count++], LW_SENTENCE);
            lw_line_add(&line, "%s lends: %s", c->member[i].rig.household, thing->name);
            if (thing->kind == LW_CONVOY_BLADDER)
                lw_line_add(&line, ", %s; it goes with every run",
                            lw_quantity_print(amount, sizeof amount, thing->water_l, LW_DIM_VOLUME, c->choice.units));
            if (thing->kind == LW_CONVOY_GENERATOR && !isnan(thing->power_w))
                lw_line_add(&line, ", %s",
                            lw_quantity_print(amount, sizeof amount, thing->power_w, LW_DIM_POWER, c->choice.units));
            for (int o = 0; thing->kind == LW_CONVOY_GENERATOR && o < c->count; o++) {
                const lw_convoy_supply *battery = &c->member[o].rig.supply[LW_SUPPLY_BATTERY];
                if (o != i && battery->is_present && c->member[o].own_supply == LW_SUPPLY_BATTERY &&
                    !isinf(c->member[o].own_days))
                    lw_line_add(&line, "; %s's battery ends after %s days", c->member[o].rig.household,
                                number(battery->now_days, 1, days));
            }
            lw_line_add(&line, ".%s",
                        thing->kind == LW_CONVOY_GENERATOR
                            ? " In the open, 20 ft from any door, window and vent of every rig."
                            : "");
        }
}

static void say_ask(const lw_errands *errands, lw_convoy *c)
{
    lw_line line = lw_line_of(c->ask, sizeof c->ask);
    int asks = 0;
    for (int j = 0; j < errands->service_count; j++)
        if (errands->service[j].users == LW_ERRAND_UNKNOWN)
            lw_line_add(&line, "%s%s",
                        asks++ ? ", " : "Ask first whether you may use them; the plan does not rely on: ",
                        errands->service[j].name);
    lw_line_add(&line, "%s", asks ? "." : "");
}

void lw_convoy_say(const lw_errands *errands, lw_convoy *c)
{
    say_headline(c);
    for (int i = 0; i < c->count; i++)
        say_member(c, &c->member[i]);
    say_loans(c);
    say_ask(errands, c);
    char a[LW_DECIMAL_BYTES];
    lw_line line = lw_line_of(c->rule, sizeof c->rule);
    if (c->is_found && c->is_by_joining)
        lw_line_add(&line, "Split by what each adds to the cost, in the mean over every order of joining; nobody pays "
                           "more than by itself. ");
    else if (c->is_found)
        lw_line_add(&line, "Split: each run in equal parts among the rigs that it serves. ");
    if (c->is_found && c->usd > c->apart_usd + 0.5)
        lw_line_add(&line, "In smaller groups it would be %s USD. ", number(c->apart_usd, 0, a));
    if (!c->is_found) {
        lw_line_add(&line, "Each supply counts as sure as its household wished, by itself.");
        return;
    }
    lw_line_add(&line, "The driver's hours are in it. ");
    if (isnan(c->chance_frac))
        lw_line_add(&line,
                    "Each supply is as sure as its household wished, by itself; how sure all together are is not "
                    "known, as not every share file has courses.");
    else
        lw_line_add(&line, "Everything that runs serve lasts in all rigs in %s of 100 courses of weather and use%s.",
                    number(100.0 * c->chance_frac, 0, a),
                    c->chance_frac < c->confidence_frac ? ": fewer than wished" : "");
}
