#include "service/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/words_internal.h"
#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

static const double SPREAD_DAYS = 0.5; /* quantiles nearer than this are told as one time */
enum { ENDS_NAMED = 3 };

static const double AT_ONCE_DAYS = 1.0 / 48.0;
static const double DAY_S = 86400.0;

static const char *days_say(double days, char *buf, size_t n)
{
    if (days < 1.0) {
        const int hours = (int)lround(days * 24.0);
        snprintf(buf, n, "%d hour%s", hours, hours == 1 ? "" : "s");
        return buf;
    }
    const double shown = days < 10.0 ? nearbyint(days * 10.0) / 10.0 : nearbyint(days);
    snprintf(buf, n, "%s %s", lw_num(shown).text, shown == 1.0 ? "day" : "days");
    return buf;
}

/* "Battery" begins a row; inside a sentence it wants its article. */
const char *lw_subject_say(lw_supply supply)
{
    switch (supply) {
    case LW_SUPPLY_BATTERY:
        return "The battery";
    case LW_SUPPLY_STAY:
        return "The stay limit";
    case LW_SUPPLY_RUBBISH:
        return "Room for rubbish";
    default:
        return lw_supply_name(supply);
    }
}

const char *lw_lower_first(const char *text, char *buf, size_t n)
{
    snprintf(buf, n, "%s", text);
    if (buf[0] >= 'A' && buf[0] <= 'Z')
        buf[0] = (char)(buf[0] + ('a' - 'A'));
    return buf;
}

const char *lw_between(int at, int count)
{
    return at == 0 ? "" : at + 1 == count ? " and " : ", ";
}

int lw_bits(uint32_t bits)
{
    int count = 0;
    for (; bits; bits &= bits - 1u)
        count++;
    return count;
}

/* ------------------------------------------------------------------ what an end is */

static int ends_at_floor(const lw_speaker *s, int64_t at_s)
{
    for (int i = 0; i < s->outlook->event_count; i++) {
        const lw_event *e = &s->outlook->event[i];
        if (e->kind == LW_EVENT_BATTERY_FLOOR && llabs(e->at_s - at_s) <= 3600)
            return 1;
    }
    return 0;
}

/* "the kitchen grey tank is full" */
static const char *end_say(const lw_speaker *s, lw_supply supply, char *buf, size_t n)
{
    const lw_leeway *l = &s->outlook->leeway[supply];
    char vessel[96] = "";
    if (l->vessel >= 0)
        lw_vessel_say(&s->scenario->rig.vessel[l->vessel], vessel, sizeof vessel);
    switch (supply) {
    case LW_SUPPLY_FRESH:
        if (vessel[0])
            snprintf(buf, n, "the %s is empty", vessel);
        else
            snprintf(buf, n, "the taps run dry");
        break;
    case LW_SUPPLY_GREY:
    case LW_SUPPLY_BLACK:
        if (vessel[0])
            snprintf(buf, n, "the %s is full", vessel);
        else
            snprintf(buf, n, "there is no tank for it");
        break;
    case LW_SUPPLY_DRINKING:
        snprintf(buf, n, "the drinking water is used up");
        break;
    case LW_SUPPLY_BATTERY:
        if (ends_at_floor(s, l->q[1].at_s))
            snprintf(buf, n, "it is down to your floor of %d %%",
                     (int)lround(s->scenario->rig.battery.floor_frac * 100.0));
        else
            snprintf(buf, n, "it no longer carries all its loads");
        break;
    case LW_SUPPLY_PROPANE:
        snprintf(buf, n,
                 l->is_too_cold ? "what gas is left is too cold to leave its cylinders"
                                : "the last of the gas is burnt");
        break;
    case LW_SUPPLY_FUEL:
        snprintf(buf, n, "what may be used of the fuel is gone");
        break;
    case LW_SUPPLY_RUBBISH:
        snprintf(buf, n, "every place for it is full");
        break;
    case LW_SUPPLY_DATA:
        snprintf(buf, n, "the allowance is spent");
        break;
    case LW_SUPPLY_FOOD:
        snprintf(buf, n, "the last of it is eaten");
        break;
    default:
        snprintf(buf, n, "no night is left");
        break;
    }
    return buf;
}

/* ------------------------------------------------------------------ headline */

static void say_binding(const lw_speaker *s, lw_supply supply, lw_line *to)
{
    const lw_leeway *l = &s->outlook->leeway[supply];
    char part[64], hour[LW_WHEN], end[160];
    end_say(s, supply, end, sizeof end);
    if (l->q[1].days < AT_ONCE_DAYS) {
        lw_line_add(to, "%s is at its end from the start: %s.", lw_subject_say(supply), end);
        return;
    }
    if (supply == LW_SUPPLY_STAY) {
        lw_line_add(to, "The stay limit ends this stay: leave by %s.", lw_when_say(s, l->q[1].at_s, part, sizeof part));
        return;
    }
    lw_line_add(to, "%s ends this stay %s: %s by %s.", lw_subject_say(supply),
                lw_part_of_day_say(s, l->q[1].at_s, part, sizeof part), end,
                lw_hour_say(s, l->q[1].at_s, hour, sizeof hour));
}

/* The same in a sentence that has not named its supply. */
static const char *last_end_say(const lw_speaker *s, lw_supply supply, char *buf, size_t n)
{
    switch (supply) {
    case LW_SUPPLY_BATTERY:
        snprintf(buf, n, "the battery %s",
                 s->scenario->rig.battery.floor_frac > 0.0 ? "is down to your floor"
                                                           : "no longer carries all its loads");
        return buf;
    case LW_SUPPLY_RUBBISH:
        snprintf(buf, n, "every place for rubbish is full");
        return buf;
    case LW_SUPPLY_FOOD:
        snprintf(buf, n, "the last of the food is eaten");
        return buf;
    case LW_SUPPLY_DATA:
        snprintf(buf, n, "the data allowance is spent");
        return buf;
    case LW_SUPPLY_STAY:
        snprintf(buf, n, "the stay limit is reached");
        return buf;
    default:
        return end_say(s, supply, buf, n);
    }
}

/* The vital load that fails first before `until_s`, or -1. */
static int first_vital(const lw_outlook *o, int64_t until_s)
{
    int first = -1;
    for (int i = 0; i < o->vital_count; i++)
        if (!lw_vital_end(o, i)->beyond_horizon && lw_vital_end(o, i)->at_s < until_s &&
            (first < 0 || lw_vital_end(o, i)->at_s < lw_vital_end(o, first)->at_s))
            first = i;
    return first;
}

static const double MOSTLY_FRAC = 0.6; /* an end that is less often the first is not the only one to name */
static const double SHARE_ROUND = 0.005;

/* "in 70 of 100": never more than there are. */
static int of_hundred(double frac)
{
    return (int)floor(100.0 * frac + SHARE_ROUND);
}

/* The supply that ends the stay most often, but for one; -1: none. */
static int most_frequent(const lw_outlook *o, int but)
{
    int most = -1;
    for (int i = 0; i < o->order_count; i++) {
        const int k = o->order[i];
        if (k != but && (most < 0 || o->leeway[k].binds_frac > o->leeway[most].binds_frac))
            most = k;
    }
    return most;
}

/* "Safe until early Tuesday, likely until Tuesday evening, at best Thursday morning. Then the grey tank is full." */
static void say_range(const lw_speaker *s, lw_line *to)
{
    const lw_outlook *o = s->outlook;
    const lw_quantile *q = o->first.q;
    char safe[64], likely[64], best[64], end[160];
    if (q[0].days < AT_ONCE_DAYS) {
        say_binding(s, (lw_supply)o->binding, to);
        return;
    }
    lw_part_of_day_say(s, q[0].at_s, safe, sizeof safe);
    lw_part_of_day_say(s, q[1].at_s, likely, sizeof likely);
    lw_part_of_day_say(s, q[2].at_s, best, sizeof best);
    lw_line_add(to, "Safe until %s", safe);
    if (strcmp(likely, safe) != 0 && !q[1].beyond_horizon)
        lw_line_add(to, ", likely until %s", likely);
    if (q[2].beyond_horizon)
        lw_line_add(to, ", at best longer than can be seen");
    else if (strcmp(best, likely) != 0)
        lw_line_add(to, ", at best %s", best);
    lw_line_add(to, ".");
    double ended = 0.0;
    for (int i = 0; i < o->order_count; i++)
        ended += o->leeway[o->order[i]].binds_frac;
    const int most = most_frequent(o, -1);
    if (most >= 0)
        lw_line_add(to, " Then%s %s.", o->leeway[most].binds_frac < MOSTLY_FRAC * ended ? ", most often," : "",
                    last_end_say(s, (lw_supply)most, end, sizeof end));
}

static void say_stay(const lw_speaker *s, char *buf, size_t n)
{
    const lw_outlook *o = s->outlook;
    lw_line to = lw_line_of(buf, n);
    if (o->draws > 1 && !o->first.q[0].beyond_horizon && o->first.q[0].at_s < lw_concern_until(s)) {
        say_range(s, &to);
        return;
    }
    char when[96], day[LW_WHEN], name[64];
    const int64_t until_s = lw_concern_until(s);
    const int has_wish = until_s == o->departure_s;
    const int64_t end_s = o->binding >= 0 ? o->leeway[o->binding].q[1].at_s : until_s;
    if (o->binding >= 0 && (!has_wish || end_s < until_s)) {
        say_binding(s, (lw_supply)o->binding, &to);
        return;
    }
    lw_line_add(&to, "Nothing ends this stay before %s%s.", lw_day_print(day, sizeof day, &s->loaded->zone, until_s),
                has_wish ? ", when you leave" : "");
    if (o->binding >= 0)
        lw_line_add(&to, " Next would be %s, %s.",
                    lw_lower_first(lw_subject_say((lw_supply)o->binding), name, sizeof name),
                    lw_part_of_day_say(s, end_s, when, sizeof when));
}

static void say_headline(const lw_speaker *s, const char *stay, char *buf, size_t n)
{
    const lw_outlook *o = s->outlook;
    lw_line to = lw_line_of(buf, n);
    char when[96], day[LW_WHEN];
    const int64_t until_s = lw_concern_until(s);
    const int64_t end_s = o->binding >= 0 ? o->leeway[o->binding].q[1].at_s : until_s;
    const int vital = first_vital(o, end_s < until_s ? end_s : until_s);
    if (vital >= 0) {
        const int64_t at_s = lw_vital_end(o, vital)->at_s;
        lw_line_add(&to, "Power for %s %s %s at %s%s", s->scenario->rig.load[o->vital_load[vital]].name,
                    o->draws > 1 ? "is only sure until" : "fails", lw_part_of_day_say(s, at_s, when, sizeof when),
                    lw_hour_say(s, at_s, day, sizeof day), o->draws > 1 ? "." : ", before anything else ends.");
        return;
    }
    lw_line_add(&to, "%s", stay);
}

/* Which supplies end it how often, the two most frequent. */
static void say_shares(const lw_speaker *s, lw_line *to)
{
    const lw_outlook *o = s->outlook;
    const int most = most_frequent(o, -1), next = most_frequent(o, most);
    char name[64];
    if (most < 0 || o->leeway[most].binds_frac <= 0.0)
        return;
    lw_line_add(to, "Of 100 such stays %s ends %d", lw_lower_first(lw_subject_say((lw_supply)most), name, sizeof name),
                (int)lround(100.0 * o->leeway[most].binds_frac));
    if (next >= 0 && o->leeway[next].binds_frac >= 0.05)
        lw_line_add(to, ", %s %d", lw_lower_first(lw_subject_say((lw_supply)next), name, sizeof name),
                    (int)lround(100.0 * o->leeway[next].binds_frac));
    lw_line_add(to, ".");
    if (!isnan(o->stays_frac) && o->stays_frac >= 2.0 * SHARE_ROUND)
        lw_line_add(to, " In %d nothing ends before you leave.", of_hundred(o->stays_frac));
    lw_line_add(to, " ");
}

static void say_why(const lw_speaker *s, char *buf, size_t n)
{
    const lw_outlook *o = s->outlook;
    lw_line to = lw_line_of(buf, n);
    if (o->binding >= 0 && o->draws > 1) {
        say_shares(s, &to);
    } else if (o->draws <= 1) {
        lw_line_add(&to,
                    "One course of hours, with weather and use just as given: a few days either way are possible. ");
    }
    if (s->loaded->assumption_count > 0)
        lw_line_add(&to, "%d figures are assumed, not yours.", s->loaded->assumption_count);
    if (to.used > 0 && to.text[to.used - 1] == ' ')
        to.text[--to.used] = '\0';
}

static void say_departure(const lw_speaker *s, char *buf, size_t n)
{
    const lw_outlook *o = s->outlook;
    lw_line to = lw_line_of(buf, n);
    char when[LW_WHEN], name[64];
    if (!o->departure_s && s->loaded->overdue_s)
        lw_line_add(&to, "You wished to leave %s. That is over; all this is told as if you were still here.",
                    lw_when_say(s, s->loaded->overdue_s, when, sizeof when));
    if (!o->departure_s)
        return;
    int early = 0;
    for (int i = 0; i < o->order_count; i++) {
        const lw_leeway *l = &o->leeway[o->order[i]];
        early += !l->q[1].beyond_horizon && l->q[1].at_s < o->departure_s;
    }
    lw_line_add(&to, "You wish to leave %s: ", lw_when_say(s, o->departure_s, when, sizeof when));
    if (early == 0 && o->draws > 1 && o->stays_frac < 1.0 - SHARE_ROUND) {
        lw_line_add(&to, "in %d of 100 such stays everything lasts until then.", of_hundred(o->stays_frac));
        return;
    }
    if (early == 0) {
        lw_line_add(&to, "everything lasts until then.");
        return;
    }
    /* One more than named would be shorter to name than to count. */
    const int named = early <= ENDS_NAMED + 1 ? early : ENDS_NAMED;
    int told = 0;
    for (int i = 0; i < o->order_count && told < named; i++) {
        const lw_leeway *l = &o->leeway[o->order[i]];
        if (l->q[1].beyond_horizon || l->q[1].at_s >= o->departure_s)
            continue;
        told++;
        lw_line_add(&to, "%s%s (%s)",
                    told == 1       ? ""
                    : told == early ? " and "
                                    : ", ",
                    lw_lower_first(lw_subject_say((lw_supply)o->order[i]), name, sizeof name),
                    lw_when_say(s, l->q[1].at_s, when, sizeof when));
    }
    if (named < early)
        lw_line_add(&to, " and %d more", early - named);
    lw_line_add(&to, " end%s before that.", early == 1 ? "s" : "");
    if (s->scenario->stay.stay_end_s && s->scenario->stay.stay_end_s < o->departure_s)
        lw_line_add(&to, " You may stay until %s at most.",
                    lw_when_say(s, s->scenario->stay.stay_end_s, when, sizeof when));
}

/* ------------------------------------------------------------------ a sentence a supply */

/* What the cartridges are still good for. */
static double filter_left_l(const lw_scenario *scenario)
{
    double left_l = 0.0;
    for (int v = 0; v < scenario->rig.vessel_count; v++)
        if (scenario->rig.vessel[v].filter_life_l > 0.0)
            left_l += scenario->rig.vessel[v].level;
    return left_l;
}

static void say_left(const lw_speaker *s, lw_supply supply, char *buf, size_t n)
{
    const double left = lw_left_of(s, supply);
    char amount[LW_QUANTITY_BYTES];
    lw_line to = lw_line_of(buf, n);
    if (supply == LW_SUPPLY_STAY) {
        if (s->outlook->leeway[supply].q[1].beyond_horizon)
            lw_line_add(&to, "past the horizon");
        else
            lw_line_add(&to, "%s left", days_say(left, amount, sizeof amount));
        return;
    }
    if (supply == LW_SUPPLY_BATTERY) {
        lw_line_add(&to, "%d %%", (int)lround(s->scenario->rig.battery.level_frac * 100.0));
        return;
    }
    if (supply == LW_SUPPLY_RUBBISH && s->loaded->bag_l > 0.0) {
        const double bags = nearbyint(left / s->loaded->bag_l * 10.0) / 10.0;
        lw_line_add(&to, "room for %s bag%s", lw_num(bags).text, bags == 1.0 ? "" : "s");
        return;
    }
    const double filter_l = supply == LW_SUPPLY_DRINKING ? filter_left_l(s->scenario) : 0.0;
    if (filter_l > 0.0) {
        char filter[LW_QUANTITY_BYTES];
        lw_amount_print(filter, sizeof filter, supply, filter_l, s->choice.units);
        if (lw_vessels_of(s->scenario, supply) > 0)
            lw_line_add(&to, "%s, filter %s", lw_amount_print(amount, sizeof amount, supply, left, s->choice.units),
                        filter);
        else
            lw_line_add(&to, "filter for %s", filter);
        return;
    }
    lw_amount_print(amount, sizeof amount, supply, left, s->choice.units);
    lw_line_add(&to, "%s%s", amount, lw_supply_fills(supply) ? " of room" : "");
}

static void say_ends(const lw_speaker *s, const lw_leeway *l, char *buf, size_t n)
{
    char when[LW_WHEN];
    if (l->q[1].beyond_horizon)
        snprintf(buf, n, "after %s", lw_day_print(when, sizeof when, &s->loaded->zone, l->q[1].at_s));
    else
        snprintf(buf, n, "%s", lw_when_say(s, l->q[1].at_s, when, sizeof when));
}

static void say_span(const lw_speaker *s, const lw_leeway *l, lw_line *to)
{
    char a[LW_WHEN], b[LW_WHEN], c[LW_WHEN], days[40];
    const lw_zone *zone = &s->loaded->zone;
    const lw_quantile *q = l->q;
    const int differ = q[2].days - q[0].days > SPREAD_DAYS || q[2].beyond_horizon != q[0].beyond_horizon;
    if (differ) {
        lw_line_add(to, "safe until %s", lw_day_print(a, sizeof a, zone, q[0].at_s));
        lw_line_add(to, q[1].beyond_horizon ? ", likely past %s" : ", likely until %s",
                    lw_day_print(b, sizeof b, zone, q[1].at_s));
        if (!q[1].beyond_horizon)
            lw_line_add(to, q[2].beyond_horizon ? ", at best past %s" : ", at best until %s",
                        lw_day_print(c, sizeof c, zone, q[2].at_s));
    } else if (q[1].beyond_horizon) {
        lw_line_add(to, "past %s", lw_day_print(a, sizeof a, zone, q[1].at_s));
    } else if (q[1].days < AT_ONCE_DAYS) {
        lw_line_add(to, "at its end from the start");
    } else {
        lw_line_add(to, "until about %s, %s", lw_when_say(s, q[1].at_s, a, sizeof a),
                    days_say(q[1].days, days, sizeof days));
    }
}

/* Which of several vessels is meant, and how the others stand. */
static void say_vessel(const lw_speaker *s, lw_supply supply, lw_line *to)
{
    const lw_leeway *l = &s->outlook->leeway[supply];
    char name[96];
    if (l->vessel < 0 || l->q[1].beyond_horizon || lw_vessels_of(s->scenario, supply) < 2)
        return;
    if (supply == LW_SUPPLY_GREY || supply == LW_SUPPLY_BLACK)
        lw_line_add(to, "; the %s fills first", lw_vessel_say(&s->scenario->rig.vessel[l->vessel], name, sizeof name));
}

static void say_potable(const lw_speaker *s, lw_supply supply, lw_line *to)
{
    const lw_rig *rig = &s->scenario->rig;
    int unknown = 0, bad = 0;
    for (int v = 0; v < rig->vessel_count; v++)
        if (rig->vessel[v].supply == supply) {
            unknown |= rig->vessel[v].potable == LW_POTABLE_UNKNOWN;
            bad |= rig->vessel[v].potable == LW_POTABLE_NO;
        }
    if (bad)
        lw_line_add(to, " Not for drinking.");
    else if (unknown)
        lw_line_add(to, " Not known to be fit to drink: treat it as unfit until the tank has been sanitised and "
                        "filled from a drinking-water tap.");
}

static void say_unmet(const lw_speaker *s, lw_supply supply, lw_line *to)
{
    const lw_leeway *l = &s->outlook->leeway[supply];
    char amount[LW_QUANTITY_BYTES], span[40];
    if ((supply != LW_SUPPLY_BATTERY && supply != LW_SUPPLY_DATA) || !(l->unmet > 0.0))
        return;
    lw_amount_print(amount, sizeof amount, supply, l->unmet, s->choice.units);
    const double days = (double)(s->outlook->horizon_s - s->outlook->start_s) / DAY_S;
    lw_line_add(to, " It falls %s short over %s, in %d hours.", amount, days_say(days, span, sizeof span),
                (int)lround(l->unmet_h));
}

static void say_supply(const lw_speaker *s, lw_supply supply, lw_supply_words *w)
{
    const lw_leeway *l = &s->outlook->leeway[supply];
    lw_line to = lw_line_of(w->sentence, sizeof w->sentence);
    char amount[LW_QUANTITY_BYTES];
    w->is_shown = lw_is_of_concern(s, supply);
    if (!w->is_shown)
        return;
    snprintf(w->name, sizeof w->name, "%s", lw_supply_name(supply));
    say_left(s, supply, w->left, sizeof w->left);
    say_ends(s, l, w->ends, sizeof w->ends);
    if (!s->choice.is_page)
        lw_line_add(&to, "%s: ", supply == LW_SUPPLY_RUBBISH ? "Room for rubbish" : w->name);
    say_span(s, l, &to);
    if (s->choice.is_page && w->sentence[0] >= 'a' && w->sentence[0] <= 'z') /* its name stands above it */
        w->sentence[0] = (char)(w->sentence[0] - 'a' + 'A');
    say_vessel(s, supply, &to);
    if (supply == LW_SUPPLY_STAY) {
        if (s->loaded->rule_words[0])
            lw_line_add(&to, " (%s)", s->loaded->rule_words);
        lw_line_add(&to, ". The sign at the entrance wins.");
        return;
    }
    lw_line_add(&to, "; %s now", w->left);
    if (l->use_per_day > 0.0)
        lw_line_add(&to, ", %s a day", lw_amount_print(amount, sizeof amount, supply, l->use_per_day, s->choice.units));
    lw_line_add(&to, ".");
    if (supply == LW_SUPPLY_FRESH || supply == LW_SUPPLY_DRINKING)
        say_potable(s, supply, &to);
    say_unmet(s, supply, &to);
}

static void say_age(const lw_speaker *s, lw_supply_words *w)
{
    const lw_leeway *l = &s->outlook->rubbish_age;
    lw_line to = lw_line_of(w->age_sentence, sizeof w->age_sentence);
    char when[LW_WHEN];
    if (!w->is_shown || !l->is_present)
        return;
    if (l->q[1].beyond_horizon)
        lw_line_add(&to, "Smell of rubbish: no bag grows too old before %s.",
                    lw_day_print(when, sizeof when, &s->loaded->zone, l->q[1].at_s));
    else
        lw_line_add(&to, "Smell of rubbish: the oldest bag should be gone by about %s.",
                    lw_when_say(s, l->q[1].at_s, when, sizeof when));
}

static void say_leisure(const lw_speaker *s, lw_supply_words *w)
{
    const lw_leeway *l = &s->outlook->leisure_data;
    lw_line to = lw_line_of(w->leisure_sentence, sizeof w->leisure_sentence);
    char when[LW_WHEN];
    if (!w->is_shown || !l->is_present)
        return;
    if (l->q[1].beyond_horizon)
        lw_line_add(&to, "Data for leisure: past %s, work's reserve untouched.",
                    lw_day_print(when, sizeof when, &s->loaded->zone, l->q[1].at_s));
    else
        lw_line_add(&to, "Data for leisure: until about %s; what is left then is kept for work.",
                    lw_when_say(s, l->q[1].at_s, when, sizeof when));
}

/* What becomes of the connection when its allowance is spent, and what more of it costs. */
static void say_plan(const lw_speaker *s, lw_supply_words *w)
{
    lw_line to = lw_line_of(w->plan_sentence, sizeof w->plan_sentence);
    char rate[LW_QUANTITY_BYTES], price[LW_QUANTITY_BYTES];
    if (!w->is_shown)
        return;
    for (int i = 0; i < s->loaded->connection_count; i++) {
        const lw_connection *c = &s->loaded->connection[i];
        if (isnan(c->slow_mbit) && isnan(c->price_usd))
            continue;
        lw_line_add(&to, "%s%s: ", to.used ? " " : "", s->scenario->rig.vessel[c->vessel].name);
        if (!isnan(c->slow_mbit))
            lw_line_add(&to, "once spent it goes on at %s",
                        lw_quantity_print(rate, sizeof rate, c->slow_mbit, LW_DIM_DATA_RATE, s->choice.units));
        if (!isnan(c->price_usd))
            lw_line_add(&to, "%sone more allowance costs %s", isnan(c->slow_mbit) ? "" : "; ",
                        lw_quantity_print(price, sizeof price, c->price_usd, LW_DIM_MONEY, s->choice.units));
        lw_line_add(&to, ".");
    }
}

void lw_say_supplies(const lw_speaker *s, lw_words *words)
{
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        say_supply(s, (lw_supply)k, &words->supply[k]);
    say_age(s, &words->supply[LW_SUPPLY_RUBBISH]);
    say_leisure(s, &words->supply[LW_SUPPLY_DATA]);
    say_plan(s, &words->supply[LW_SUPPLY_DATA]);
}

/* ------------------------------------------------------------------ rule and weather */

static void say_rule(const lw_speaker *s, char *buf, size_t n)
{
    lw_line to = lw_line_of(buf, n);
    const lw_loaded *in = s->loaded;
    if (!in->rule_words[0] && !in->left.is_permit)
        return;
    if (in->rule_words[0])
        lw_line_add(&to, "Stay rule: %s", in->rule_words);
    else
        lw_line_add(&to, "No stay rule is given: the stay ends with your permit");
    if (in->rule_source[0])
        lw_line_add(&to, " (%s)", in->rule_source);
    if (in->left.used_days > 0)
        lw_line_add(&to, ", of which earlier stays have used %d", in->left.used_days);
    if (in->left.is_permit && in->rule_words[0])
        lw_line_add(&to, "; a permit of yours is counted");
    lw_line_add(&to, ". Where a sign or an officer says otherwise, that holds.");
}

static void say_weather(const lw_speaker *s, char *buf, size_t n)
{
    lw_line to = lw_line_of(buf, n);
    const lw_loaded *in = s->loaded;
    char day[LW_WHEN];
    lw_line_add(&to, "Weather: %s", in->weather_source[0] ? in->weather_source : "source not said");
    if (in->weather_made_s) {
        const double age = (double)(s->outlook->start_s - in->weather_made_s) / DAY_S;
        lw_line_add(&to, ", made %s", lw_day_print(day, sizeof day, &in->zone, in->weather_made_s));
        if (age >= 1.0)
            lw_line_add(&to, ", %d day%s before arrival", (int)age, (int)age == 1 ? "" : "s");
    }
    lw_line_add(&to, in->weather_is_typical ? ". Usual values of the season, not a forecast."
                                            : ". A forecast is an estimate, less sure with every day ahead.");
    if (s->outlook->draws > 1)
        lw_line_add(&to,
                    " Answer of %d possible courses of %suse%s; the lists below are of one more with usual "
                    "weather and use, and most real stays have worse days than that one.",
                    s->outlook->draws, in->has_climate ? "weather and " : "",
                    in->has_climate ? "" : ", weather as given");
}

/* ------------------------------------------------------------------ all of it */

lw_code lw_words_make(const lw_outlook_answer *answer, const lw_words_choice *choice, lw_words *words, lw_err *err)
{
    const lw_speaker s = {
        .outlook = answer->outlook, .scenario = answer->loaded.scenario, .loaded = &answer->loaded, .choice = *choice};
    const int events = answer->outlook->event_count;
    memset(words, 0, sizeof *words);
    words->event = calloc((size_t)events + 1, sizeof *words->event);
    words->happening = calloc((size_t)events + 1, sizeof *words->happening);
    if (!words->event || !words->happening) {
        lw_words_clear(words);
        return lw_fail(err, LW_E_FULL, "there is not enough memory for the sentences");
    }
    words->event_count = events;
    lw_events_in_order(s.outlook, words->happening);
    say_stay(&s, words->stay, sizeof words->stay);
    say_headline(&s, words->stay, words->headline, sizeof words->headline);
    say_why(&s, words->why, sizeof words->why);
    say_departure(&s, words->departure, sizeof words->departure);
    lw_say_supplies(&s, words);
    for (int i = 0; i < events; i++)
        lw_say_event(&s, &words->happening[i], words->event[i], sizeof words->event[i]);
    lw_say_warnings(&s, words);
    lw_say_vital(&s, words);
    say_rule(&s, words->stay_rule, sizeof words->stay_rule);
    say_weather(&s, words->weather, sizeof words->weather);
    lw_say_doubtful_water(&s, words);
    lw_say_learned(&s, answer->learning, words);
    const lw_code code = lw_say_cautions(&s, words, err);
    if (code)
        lw_words_clear(words);
    return code;
}

void lw_words_clear(lw_words *words)
{
    free(words->event);
    free(words->happening);
    memset(words, 0, sizeof *words);
}
