#include <math.h>
#include <stdio.h>
#include <string.h>

#include "service/provisions.h"
#include "service/words_internal.h"
#include "text/decimal.h"
#include "text/quantity.h"

static const double SURE_FRAC = 0.9995; /* of what is told as a chance, this is as good as sure */

typedef struct speaker {
    lw_provisions *to;
    const lw_loaded *loaded;
} speaker;

static const char *percent(double frac, char buf[LW_DECIMAL_BYTES])
{
    lw_decimal_print(buf, LW_DECIMAL_BYTES, floor(frac * 1000.0 + 1e-6) / 10.0, 1, 0);
    return buf;
}

static const char *tenths(double value, char buf[LW_DECIMAL_BYTES])
{
    lw_decimal_print(buf, LW_DECIMAL_BYTES, nearbyint(value * 10.0) / 10.0, 1, 0);
    return buf;
}

static const char *amount(const speaker *s, int supply, double value, char buf[LW_QUANTITY_BYTES])
{
    if (supply == LW_SUPPLY_RUBBISH && s->loaded->bag_l > 0.0) {
        char number[LW_DECIMAL_BYTES];
        tenths(value / s->loaded->bag_l, number);
        snprintf(buf, LW_QUANTITY_BYTES, "%s %s", number, strcmp(number, "1") == 0 ? "bag" : "bags");
        return buf;
    }
    return lw_amount_print(buf, LW_QUANTITY_BYTES, (lw_supply)supply, value, s->to->wish.choice.units);
}

static const char *mass(const speaker *s, double kg, char buf[LW_QUANTITY_BYTES])
{
    const lw_unit_system units = s->to->wish.choice.units;
    const char *name = units == LW_UNITS_SI ? "kg" : "lb";
    const lw_unit *unit = lw_unit_find(LW_DIM_MASS, name, 2);
    const double step = lw_unit_to_si(unit, 1.0);
    return lw_quantity_print_in(buf, LW_QUANTITY_BYTES, nearbyint(kg / step) * step, unit, 9);
}

static void say_headline(const speaker *s)
{
    lw_provisions *to = s->to;
    const double lasts_d = (double)(to->departure_s - to->start_s) / 86400.0;
    char from[LW_WHEN], until[LW_WHEN], days[LW_DECIMAL_BYTES], sure[LW_DECIMAL_BYTES];
    const char *place = s->loaded->scenario->place.name;
    const int has_name = place[0] && strcmp(place, "here") != 0; /* what a scenario calls a place without a name */
    lw_line line = lw_line_of(to->headline, sizeof to->headline);
    lw_when_print(from, sizeof from, &s->loaded->zone, to->start_s, to->wish.choice.is_12_hour);
    lw_when_print(until, sizeof until, &s->loaded->zone, to->departure_s, to->wish.choice.is_12_hour);
    lw_line_add(&line, "For %s %s%s%s, from %s to %s, to be %s %% sure%s",
                tenths(lasts_d < 1.0 ? 24.0 * lasts_d : lasts_d, days), lasts_d < 1.0 ? "h" : "days",
                has_name ? " at " : "", has_name ? place : "", from, until, percent(to->wish.confidence_frac, sure),
                to->wish.choice.is_page ? "." : ":");
}

/* ---- the list ---- */

static void say_bring(const speaker *s, int k, lw_provision *p)
{
    char level[LW_QUANTITY_BYTES], of[LW_QUANTITY_BYTES], more[LW_QUANTITY_BYTES];
    const int is_full = p->level >= p->capacity * (1.0 - 1e-9);
    const char *name = lw_supply_name((lw_supply)k);
    lw_line line = lw_line_of(p->list, sizeof p->list);
    if (!(p->sure > 0.0))
        return;
    amount(s, k, p->level, level);
    amount(s, k, p->capacity, of);
    if (k == LW_SUPPLY_FOOD)
        lw_line_add(&line, "%s: %s", name, level);
    else if (k == LW_SUPPLY_DATA)
        lw_line_add(&line, "%s: have %s left of %s", name, level, of);
    else if (is_full)
        lw_line_add(&line, "%s: fill it all, %s", name, of);
    else
        lw_line_add(&line, "%s: have %s of %s", name, level, of);
    if (p->more > 0.0)
        lw_line_add(&line, ", and %s more", amount(s, k, p->more, more));
    lw_line_add(&line, ".");
}

static void say_empty(const speaker *s, int k, lw_provision *p)
{
    char level[LW_QUANTITY_BYTES], of[LW_QUANTITY_BYTES], bag[LW_QUANTITY_BYTES];
    const char *name = lw_supply_name((lw_supply)k);
    lw_line line = lw_line_of(p->list, sizeof p->list);
    if (!(p->sure > 0.0))
        return;
    if (p->level > 0.0)
        lw_line_add(&line, "%s: come with no more than %s in it, of %s.", name, amount(s, k, p->level, level),
                    amount(s, k, p->capacity, of));
    else if (k == LW_SUPPLY_RUBBISH)
        lw_line_add(&line, "%s: leave what you have behind.", name);
    else
        lw_line_add(&line, "%s: dump it before you come.", name);
    if (k == LW_SUPPLY_RUBBISH && s->to->bags > 0)
        lw_line_add(&line, " Take %d %s of %s.", s->to->bags, s->to->bags == 1 ? "bag" : "bags",
                    lw_quantity_print(bag, sizeof bag, s->loaded->bag_l, LW_DIM_VOLUME, s->to->wish.choice.units));
}

/* ---- what cannot be carried ---- */

static void say_carry(const speaker *s, int k, lw_provision *p)
{
    static const char *const WAY[LW_SUPPLY_COUNT] = {
        [LW_SUPPLY_FRESH] = "bring it in cans, fetch it in between, or use less",
        [LW_SUPPLY_DRINKING] = "more bottles or jugs, or fetch them in between",
        [LW_SUPPLY_GREY] = "dump in between, take a portable tank, or use less water",
        [LW_SUPPLY_BLACK] = "dump in between, flush less, or use other toilets by day",
        [LW_SUPPLY_PROPANE] = "another cylinder, a refill in between, or a cooler cabin",
        [LW_SUPPLY_FUEL] = "approved cans stowed outside, or fetch it in between",
        [LW_SUPPLY_RUBBISH] = "take it to a drop-off in between, or leave packing at the shop",
        [LW_SUPPLY_DATA] = "buy it, or use less",
        [LW_SUPPLY_FOOD] = "find room for it, or shop in between",
    };
    char more[LW_QUANTITY_BYTES], kg[LW_QUANTITY_BYTES], name[64];
    lw_line line = lw_line_of(p->carry, sizeof p->carry);
    const double each_kg = s->to->cargo.supply_kg[k];
    if (!(p->more > 0.0))
        return;
    amount(s, k, p->more, more);
    lw_lower_first(lw_supply_name((lw_supply)k), name, sizeof name);
    if (lw_supply_fills((lw_supply)k))
        lw_line_add(&line, "%s of %s have no room", more, name);
    else if (each_kg > 0.0)
        lw_line_add(&line, "%s of %s do not fit (%s)", more, name, mass(s, each_kg * p->more, kg));
    else
        lw_line_add(&line, "%s of %s are more than you have", more, name);
    lw_line_add(&line, ": %s.", WAY[k]);
}

static void say_given(const speaker *s, int k, lw_provision *p)
{
    char frac[LW_DECIMAL_BYTES];
    lw_line line = lw_line_of(p->given, sizeof p->given);
    const char *name = lw_subject_say((lw_supply)k);
    if (k == LW_SUPPLY_STAY) {
        if (p->lasts_frac < 1.0)
            lw_line_add(&line, "The place does not allow so many days.");
        return;
    }
    if (k != LW_SUPPLY_BATTERY)
        lw_line_add(&line, "%s is %s within the stay: come with it %s. ", name,
                    lw_supply_fills((lw_supply)k) ? "emptied" : "filled up",
                    lw_supply_fills((lw_supply)k) ? "empty" : "full");
    else if (p->lasts_frac >= s->to->wish.confidence_frac)
        lw_line_add(&line, "The battery: come with it charged. ");
    if (p->lasts_frac >= SURE_FRAC)
        lw_line_add(&line, "Then it lasts.");
    else
        lw_line_add(&line, "%s in %s %% of the courses%s.",
                    k == LW_SUPPLY_BATTERY && p->lasts_frac < s->to->wish.confidence_frac
                        ? "The battery, full when you come, lasts"
                        : "It lasts",
                    percent(p->lasts_frac, frac),
                    p->lasts_frac < s->to->wish.confidence_frac
                        ? lw_if_typed(&s->to->wish.choice, "; see leeway plan levers")
                        : "");
    (void)name;
}

static void say_why(const speaker *s, int k, lw_provision *p)
{
    char middle[LW_QUANTITY_BYTES], sure[LW_QUANTITY_BYTES], lasts[LW_DECIMAL_BYTES], draws[LW_DECIMAL_BYTES],
        fresh[LW_DECIMAL_BYTES];
    lw_line line = lw_line_of(p->why, sizeof p->why);
    lw_decimal_print(draws, sizeof draws, s->to->draws, 0, 0);
    lw_decimal_print(fresh, sizeof fresh, s->to->fresh_draws, 0, 0);
    if (p->is_counted)
        lw_line_add(&line,
                    "The stay takes %s in half of %s possible courses of weather and use, run hour by hour; %s is "
                    "planned for, and was enough in %s %% of %s fresh ones.",
                    amount(s, k, p->middle, middle), draws, amount(s, k, p->sure, sure), percent(p->lasts_frac, lasts),
                    fresh);
    if (s->to->cargo.supply_kg[k] > 0.0)
        lw_line_add(&line, " One weighs: %s.", s->to->cargo.supply_source[k]);
}

static void say_measured(const speaker *s)
{
    lw_provisions *to = s->to;
    char got[LW_DECIMAL_BYTES], fresh[LW_DECIMAL_BYTES], aim[LW_DECIMAL_BYTES];
    lw_line line = lw_line_of(to->measured, sizeof to->measured);
    lw_decimal_print(fresh, sizeof fresh, to->fresh_draws, 0, 0);
    lw_line_add(&line, "With that, all of it is enough in %s %% of %s fresh courses of weather and use%s.",
                percent(to->fresh_frac, got), fresh, to->is_reached ? "" : ", less than you wish: more does not help");
    if (to->tightened > 0)
        lw_line_add(&line, " It was planned for %s %% to get there.", percent(to->aimed_frac, aim));
}

static void say_mass(const speaker *s)
{
    lw_provisions *to = s->to;
    char come[LW_QUANTITY_BYTES], leave[LW_QUANTITY_BYTES], may[LW_QUANTITY_BYTES], over[LW_QUANTITY_BYTES];
    lw_line line = lw_line_of(to->mass, sizeof to->mass);
    lw_line_add(&line, "Loaded with all that%s and gear the rig carries %s when you come, about %s when you leave",
                to->cargo.has_people ? ", people" : "", mass(s, to->arriving_kg, come), mass(s, to->leaving_kg, leave));
    if (isnan(to->cargo.payload_kg)) {
        lw_line_add(&line, "; what it may carry is not known%s.",
                    lw_if_typed(&s->to->wish.choice, ": rig.payload says it"));
        return;
    }
    const int is_yours = !isnan(s->loaded->payload_kg);
    lw_line_add(&line, "; it may carry %s%s", mass(s, to->cargo.payload_kg, may),
                is_yours                     ? ""
                : s->to->wish.choice.is_page ? ", if it is like most of its kind"
                                             : ", if it is like most of its kind (say yours as rig.payload)");
    if (to->over_kg > 0.5)
        lw_line_add(&line, ". That is %s too much: take water nearer to the place, or leave things behind",
                    mass(s, to->over_kg, over));
    lw_line_add(&line, ".");
}

void lw_provisions_say(lw_provisions *to, const lw_loaded *loaded)
{
    const speaker s = {.to = to, .loaded = loaded};
    say_headline(&s);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        lw_provision *p = &to->supply[k];
        if (!p->is_there)
            continue;
        if (!p->is_counted)
            say_given(&s, k, p);
        else if (lw_supply_fills((lw_supply)k))
            say_empty(&s, k, p);
        else
            say_bring(&s, k, p);
        if (p->is_counted)
            say_carry(&s, k, p);
        say_why(&s, k, p);
    }
    say_measured(&s);
    say_mass(&s);
}
