#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/base/num.h"
#include "service/runs_internal.h"
#include "service/words_internal.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/quantity.h"

enum { STALE_DAYS = 365, WEEK_DAYS = 7, MANY_A_WEEK = 7 };

static const char *percent(double frac, char buf[LW_DECIMAL_BYTES])
{
    lw_decimal_print(buf, LW_DECIMAL_BYTES, floor(frac * 1000.0 + 1e-6) / 10.0, 1, 0);
    return buf;
}

static const char *whole(double value, char buf[LW_DECIMAL_BYTES])
{
    lw_decimal_print(buf, LW_DECIMAL_BYTES, nearbyint(value), 0, 0);
    return buf;
}

/* "10,000" */
static const char *grouped(int number, char *buf, size_t size)
{
    if (number < 1000)
        snprintf(buf, size, "%d", number);
    else
        snprintf(buf, size, "%d,%03d", number / 1000, number % 1000);
    return buf;
}

static lw_unit_system units_of(const lw_runs_work *w)
{
    return w->wish->has_units ? w->wish->choice.units : w->base.base.units;
}

/* ------------------------------------------------------------------ one run */

/* "after work", where the driver's work ends before it; else the part of the day. */
static const char *when_in_day(const lw_runs_work *w, const lw_run *run)
{
    const lw_crew *crew = &w->base.base.scenario->crew;
    const int weekday = lw_weekday_of(w->to->day0 + run->slot / 2);
    int works_before = 0, works_after = 0, is_without = 0;
    for (int i = 0; i < crew->person_count; i++) {
        const uint32_t work = crew->person[i].work[weekday];
        const int back = run->from_hour + (int)ceil(run->spent_h);
        const uint32_t before = (UINT32_C(1) << run->from_hour) - 1u, after = ~((UINT32_C(1) << back) - 1u);
        if (crew->person[i].being != LW_BEING_ADULT)
            continue;
        is_without |= !work;
        works_before |= (work & before) && !(work & after);
        works_after |= (work & after) && !(work & before);
    }
    if (!is_without && works_before)
        return "after work";
    if (!is_without && works_after)
        return "before work";
    return run->from_hour < 11   ? "in the morning"
           : run->from_hour < 14 ? "at noon"
           : run->from_hour < 17 ? "in the afternoon"
                                 : "in the evening";
}

static void add_does(const lw_runs_work *w, const lw_run *run, lw_line *line)
{
    static const char *const DOES[LW_SUPPLY_COUNT] = {
        [LW_SUPPLY_FRESH] = "water in",      [LW_SUPPLY_DRINKING] = "drinking water",
        [LW_SUPPLY_GREY] = "grey out",       [LW_SUPPLY_BLACK] = "black out",
        [LW_SUPPLY_PROPANE] = "gas",         [LW_SUPPLY_FUEL] = "fuel",
        [LW_SUPPLY_RUBBISH] = "rubbish out", [LW_SUPPLY_FOOD] = "groceries"};
    const lw_errand_type *t = &w->to->errands.type[run->type];
    char amount[LW_QUANTITY_BYTES];
    int told = 0;
    for (int k = 0; k < w->to->in.supply_count; k++) {
        const lw_supply supply = (lw_supply)w->to->supply[k];
        const double litres = t->is_break_camp            ? NAN
                              : supply == LW_SUPPLY_FRESH ? t->cans_l
                              : supply == LW_SUPPLY_GREY  ? t->waste_l
                                                          : NAN;
        if (!(run->supplies >> k & 1u) || w->to->in.first[k] >= w->to->in.end) /* on the way, and not needed */
            continue;
        lw_line_add(line, "%s", told++ ? ", " : "");
        if (!isnan(litres))
            lw_line_add(line, "%s of ", lw_quantity_print(amount, sizeof amount, litres, LW_DIM_VOLUME, units_of(w)));
        lw_line_add(line, "%s", DOES[supply] ? DOES[supply] : "");
    }
}

static void say_run(lw_runs_work *w, int at)
{
    lw_runs_planned *to = w->to;
    const lw_run *run = &to->out.run[at];
    lw_planned_run *planned = &to->run[at];
    const lw_errand_type *t = &to->errands.type[run->type];
    char day[LW_WHEN], leave[LW_WHEN], back[LW_WHEN], usd[LW_DECIMAL_BYTES], km[LW_QUANTITY_BYTES];
    lw_line line = lw_line_of(planned->sentence, sizeof planned->sentence);
    int told = 0;
    planned->leave_s = lw_runs_civil_s(w, run->slot / 2, run->from_hour);
    planned->back_s = planned->leave_s + (int64_t)(run->spent_h * 3600.0);
    lw_line_add(&line, "%s, %s: %s%s to ", lw_day_print(day, sizeof day, &to->zone, planned->leave_s),
                when_in_day(w, run), t->is_break_camp ? "" : "by ", t->name);
    for (int j = 0; j < to->in.service_count; j++)
        if (run->services >> j & 1u)
            lw_line_add(&line, "%s%s", lw_between(told++, lw_bits(run->services)),
                        to->errands.service[to->service[j]].name);
    lw_line_add(&line, ": ");
    add_does(w, run, &line);
    lw_line_add(&line, ". Off at %s, back by %s; %s of road, %s USD.",
                lw_hour_print(leave, sizeof leave, &to->zone, planned->leave_s, w->wish->choice.is_12_hour),
                lw_hour_print(back, sizeof back, &to->zone, planned->back_s, w->wish->choice.is_12_hour),
                lw_quantity_print(km, sizeof km, run->road_km * 1000.0, LW_DIM_LENGTH, units_of(w)),
                whole(run->usd, usd));
}

/* ------------------------------------------------------------------ what a run costs, part by part */

static lw_run_part *next_part(lw_planned_run *planned, double usd, const char *source)
{
    static const double LEAST_USD = 5e-4;
    if (fabs(usd) < LEAST_USD || planned->part_count == LW_RUN_PARTS)
        return NULL;
    lw_run_part *part = &planned->part[planned->part_count++];
    *part = (lw_run_part){.usd = usd};
    snprintf(part->source, sizeof part->source, "%s", source);
    return part;
}

static void fee_parts(const lw_runs_planned *to, const lw_run *run, lw_planned_run *planned)
{
    for (int j = 0; j < to->in.service_count; j++) {
        const lw_errand_service *s = &to->errands.service[to->service[j]];
        if (!(run->services >> j & 1u))
            continue;
        lw_run_part *part = next_part(planned, s->fee_usd, s->source);
        if (part)
            snprintf(part->what, sizeof part->what, "fee at %s%s%s", s->name, s->is_cut ? " with " : "",
                     s->is_cut ? s->pass : "");
        part = next_part(planned, to->in.service[j].fee_usd - s->fee_usd, s->source);
        if (part)
            snprintf(part->what, sizeof part->what, "what customers of %s must buy", s->name);
    }
    for (int k = 0; k < to->in.supply_count; k++) {
        int least = -1;
        for (int j = 0; j < to->in.service_count; j++)
            if ((run->services >> j & 1u) && (run->supplies >> k & 1u) && (to->in.service[j].gives >> k & 1u) &&
                (least < 0 || to->in.service[j].each_usd[k] < to->in.service[least].each_usd[k]))
                least = j;
        if (least < 0)
            continue;
        const lw_errand_service *s = &to->errands.service[to->service[least]];
        lw_run_part *part = next_part(planned, to->in.service[least].each_usd[k], s->source);
        if (part)
            snprintf(part->what, sizeof part->what, part->usd < 0.0 ? "%s bought there anyway, at %s" : "%s at %s",
                     lw_supply_name((lw_supply)to->supply[k]), s->name);
    }
}

static void say_parts(lw_runs_work *w, int at)
{
    lw_runs_planned *to = w->to;
    const lw_run *run = &to->out.run[at];
    lw_planned_run *planned = &to->run[at];
    const lw_errand_type *t = &to->errands.type[run->type];
    const char *hour_source =
        isnan(w->wish->hour_usd) ? "an hour's value: data/prices.csv, from memory" : "an hour's value: yours";
    char a[LW_DECIMAL_BYTES], b[LW_DECIMAL_BYTES], km[LW_QUANTITY_BYTES];
    planned->part_count = 0;
    lw_decimal_print(a, sizeof a, run->spent_h, 2, 0);
    lw_decimal_print(b, sizeof b, to->in.hour_usd, 2, 0);
    lw_run_part *part = next_part(planned, run->spent_h * to->in.hour_usd, hour_source);
    if (part)
        snprintf(part->what, sizeof part->what, "%s h of your time at %s USD", a, b);
    part = next_part(planned, run->road_km * t->km_usd, t->km_source);
    if (part)
        snprintf(part->what, sizeof part->what, "%s of road",
                 lw_quantity_print(km, sizeof km, run->road_km * 1000.0, LW_DIM_LENGTH, units_of(w)));
    fee_parts(to, run, planned);
    part = next_part(planned, t->trouble_usd, "trouble of the way, yours");
    if (part)
        snprintf(part->what, sizeof part->what, "trouble of %s", t->name);
    part = next_part(planned, to->in.type[run->type].own_usd - t->trouble_usd, "lose of the way and fallback, yours");
    if (part)
        snprintf(part->what, sizeof part->what, "the spot gone when you come back: %s %% of the way to %s",
                 percent(t->lose_frac, a), to->errands.fallback.name);
}

/* ------------------------------------------------------------------ the whole */

/* Some service that may be used gives it, and some way can bring or take it. */
static int is_served_at_all(const lw_runs_planned *to, int k)
{
    int gives = 0, carries = 0;
    for (int j = 0; j < to->in.service_count; j++)
        gives |= (int)(to->in.service[j].gives >> k & 1u);
    for (int r = 0; r < to->in.type_count; r++)
        carries |= (int)(to->in.type[r].carries >> k & 1u);
    return gives && carries;
}

static void say_nothing_found(const lw_runs_work *w, lw_line *line, const char *when)
{
    const lw_runs_planned *to = w->to;
    char a[LW_DECIMAL_BYTES], name[64], day[LW_WHEN];
    if (to->out.short_supply >= 0 && !is_served_at_all(to, to->out.short_supply))
        lw_line_add(line,
                    "No runs keep the stay going until %s with %s %%: nobody here serves %s. Name a service that you "
                    "may use for it, and a way that can bring or take it.",
                    when, percent(to->confidence_frac, a),
                    lw_lower_first(lw_subject_say((lw_supply)to->supply[to->out.short_supply]), name, sizeof name));
    else if (to->out.short_supply >= 0)
        lw_line_add(line, "No runs keep the stay going until %s with %s %%: nothing here serves %s often enough.", when,
                    percent(to->confidence_frac, a),
                    lw_lower_first(lw_subject_say((lw_supply)to->supply[to->out.short_supply]), name, sizeof name));
    else
        lw_line_add(line,
                    "No runs keep the stay going until %s with %s %%: one a half day, in free and open hours, is too "
                    "few.",
                    when, percent(to->confidence_frac, a));
    if (to->reach_s)
        lw_line_add(line, " It can be kept going until %s%s.", lw_day_print(day, sizeof day, &to->zone, to->reach_s),
                    lw_if_typed(&w->wish->choice, ": ask with --until"));
}

/* The supply that most of the runs serve; of equals the one that ends soonest. */
static int most_served(const lw_runs_planned *to)
{
    int best = 0, most = -1;
    for (int k = 0; k < to->in.supply_count; k++) {
        int served = 0;
        for (int i = 0; i < to->out.count && to->in.first[k] < to->in.end; i++)
            served += (int)(to->out.run[i].supplies >> k & 1u);
        if (served > most || (served == most && to->in.first[k] < to->in.first[best]))
            best = k, most = served;
    }
    return best;
}

/* Nobody drives more than once a day for long: what to do about it comes before the list. */
static void say_verdict(const lw_runs_work *w, lw_line *line)
{
    const lw_runs_planned *to = w->to;
    const double days = w->wished_h / 24.0;
    char a[LW_DECIMAL_BYTES], name[64];
    if (!to->out.is_found || days < WEEK_DAYS || to->out.count * WEEK_DAYS <= MANY_A_WEEK * days)
        return;
    lw_line_add(line, "That takes %s runs a week, most of them for %s: see first what spares some%s. ",
                whole(to->out.count * WEEK_DAYS / days, a),
                lw_lower_first(lw_subject_say((lw_supply)to->supply[most_served(to)]), name, sizeof name),
                lw_if_typed(&w->wish->choice, " (leeway plan levers)"));
}

static void say_headline(lw_runs_work *w)
{
    lw_runs_planned *to = w->to;
    char when[LW_WHEN], b[LW_DECIMAL_BYTES];
    lw_line line = lw_line_of(to->headline, sizeof to->headline);
    lw_when_print(when, sizeof when, &to->zone, to->departure_s, w->wish->choice.is_12_hour);
    say_verdict(w, &line);
    if (to->departure_s < to->wished_s)
        lw_line_add(&line, "The place allows no stay past %s, so runs are planned until then. ", when);
    if (!to->out.is_found)
        say_nothing_found(w, &line, when);
    else if (to->out.count == 0)
        lw_line_add(&line, "No run is needed until %s.", when);
    else
        lw_line_add(&line, "To stay until %s, %d run%s, %s USD in all with your time%s:", when, to->out.count,
                    to->out.count == 1 ? "" : "s", whole(to->out.usd, b),
                    to->out.is_proven ? "" : " (not proven the cheapest)");
}

static void say_measured(lw_runs_work *w)
{
    lw_runs_planned *to = w->to;
    char a[LW_DECIMAL_BYTES], b[LW_DECIMAL_BYTES], draws[24];
    lw_line line = lw_line_of(to->measured, sizeof to->measured);
    if (!to->out.is_found)
        return;
    lw_line_add(&line,
                "In %s %% of %s fresh courses nothing that you can fetch or take away runs short before you leave.",
                percent(to->fresh_frac, a), grouped(to->fresh_draws, draws, sizeof draws));
    if (!to->is_reached)
        lw_line_add(&line, " That is less than you wish; no plan found does better.");
    if (to->out.count > 0)
        lw_line_add(&line, " Without runs: %s %%.", percent(to->without_frac, a));
    if (!to->out.is_proven) {
        const double gap = 1.0 - to->out.bound_usd / to->out.usd;
        lw_line_add(&line, " No plan costs less than %s USD, %s %% under this one.", whole(to->out.bound_usd, a),
                    percent(gap, b));
    }
}

static void say_spot(lw_runs_work *w)
{
    lw_runs_planned *to = w->to;
    char a[LW_DECIMAL_BYTES], km[LW_QUANTITY_BYTES];
    lw_line line = lw_line_of(to->spot, sizeof to->spot);
    int count = 0;
    for (int i = 0; i < to->out.count; i++)
        if (to->errands.type[to->out.run[i].type].is_break_camp) {
            to->keeps_spot_frac *= 1.0 - to->errands.type[to->out.run[i].type].lose_frac;
            count++;
        }
    if (count == 0)
        return;
    if (to->keeps_spot_frac < 1.0)
        lw_line_add(&line, "You break camp %d time%s; by what you said the spot is still yours afterwards in %s %%.",
                    count, count == 1 ? "" : "s", percent(to->keeps_spot_frac, a));
    else
        lw_line_add(&line, "Breaking camp can lose the spot: say how likely with lose: in the file of services.");
    if (to->errands.fallback.name[0])
        lw_line_add(
            &line, " If not: %s, %s on.", to->errands.fallback.name,
            lw_quantity_print(km, sizeof km, to->errands.fallback.road_km * 1000.0, LW_DIM_LENGTH, units_of(w)));
    lw_line_add(&line, " What may be left to hold a place is for the land's rules.");
}

/* -1: none. */
static int first_break_camp(const lw_runs_planned *to)
{
    for (int i = 0; i < to->out.count; i++)
        if (to->errands.type[to->out.run[i].type].is_break_camp)
            return i;
    return -1;
}

/* The calls of a run on the day of coming or leaving: neither packing nor road nor the spot is counted, for that day is driven anyway. */
static void say_driving_day(lw_runs_work *w)
{
    lw_runs_planned *to = w->to;
    const int at = first_break_camp(to);
    char day[LW_WHEN], a[LW_DECIMAL_BYTES], b[LW_DECIMAL_BYTES];
    lw_line line = lw_line_of(to->driving, sizeof to->driving);
    if (at < 0)
        return;
    const lw_run *run = &to->out.run[at];
    const lw_run_type *type = &to->in.type[run->type];
    const double own_usd = type->own_usd + run->road_km * type->km_usd;
    const double there_h = lw_most(run->spent_h - run->road_h - type->own_h, 0.0);
    const double anyway_usd = lw_most(run->usd - own_usd - (run->spent_h - there_h) * to->in.hour_usd, 0.0);
    const int nights = to->in.slots / 2 - 1 - run->slot / 2;
    lw_line_add(
        &line,
        "On a day that you drive anyway the same calls cost %s USD instead of %s: call there on the way in, or leave "
        "on %s, %d night%s sooner.",
        whole(anyway_usd, a), whole(run->usd, b),
        lw_day_print(day, sizeof day, &to->zone, lw_runs_civil_s(w, run->slot / 2, run->from_hour)), nights,
        nights == 1 ? "" : "s");
}

/* Moving on instead of coming back from a run: what it spares and what it costs. */
static void say_moving_on(lw_runs_work *w)
{
    lw_runs_planned *to = w->to;
    const lw_errand_fallback *f = &to->errands.fallback;
    char day[LW_WHEN], a[LW_DECIMAL_BYTES], b[LW_DECIMAL_BYTES];
    const int at = first_break_camp(to);
    if (at < 0 || !f->name[0])
        return;
    const lw_run *run = &to->out.run[at];
    const lw_errand_type *t = &to->errands.type[run->type];
    const int nights = to->in.slots / 2 - 1 - run->slot / 2;
    const double moving_usd = run->usd - (to->in.type[run->type].own_usd - t->trouble_usd) -
                              0.5 * (run->road_h * to->in.hour_usd + run->road_km * t->km_usd) +
                              f->road_h * to->in.hour_usd + f->road_km * t->km_usd + f->trouble_usd +
                              nights * f->night_usd;
    lw_line line = lw_line_of(to->spot + strlen(to->spot), sizeof to->spot - strlen(to->spot));
    lw_line_add(&line,
                " Moving on to %s on %s with the same calls on the way costs %s USD, %d night%s there included; coming "
                "back costs %s USD.%s",
                f->name, lw_day_print(day, sizeof day, &to->zone, lw_runs_civil_s(w, run->slot / 2, run->from_hour)),
                whole(moving_usd, a), nights, nights == 1 ? "" : "s", whole(run->usd, b),
                at + 1 < to->out.count ? " The runs behind it are needed at either place." : "");
}

static void say_asks(lw_runs_planned *to)
{
    lw_line line = lw_line_of(to->ask, sizeof to->ask);
    int asks = 0;
    for (int j = 0; j < to->errands.service_count; j++)
        if (to->errands.service[j].users == LW_ERRAND_UNKNOWN)
            lw_line_add(&line, "%s%s",
                        asks++ ? ", " : "Ask first whether you may use them; the plan does not rely on: ",
                        to->errands.service[j].name);
    lw_line_add(&line, "%s", asks ? "." : "");
}

static int is_called_at(const lw_runs_planned *to, int j)
{
    for (int i = 0; i < to->out.count; i++)
        if (to->out.run[i].services >> j & 1u)
            return 1;
    return 0;
}

/* What to mind of services that the plan calls at, and of containers that cannot be filled whole. */
static void say_notes(lw_runs_work *w)
{
    lw_runs_planned *to = w->to;
    char buf[LW_QUANTITY_BYTES], day[40];
    lw_line line = lw_line_of(to->notes, sizeof to->notes);
    for (int j = 0; j < to->in.service_count; j++) {
        const lw_errand_service *s = &to->errands.service[to->service[j]];
        if (!is_called_at(to, j))
            continue;
        if (s->bag_l > 0.0 && (s->supplies >> LW_SUPPLY_RUBBISH & 1u) && w->base.base.bag_l > s->bag_l)
            lw_line_add(&line, "%s takes bags of %s at most. ", s->name,
                        lw_quantity_print(buf, sizeof buf, s->bag_l, LW_DIM_VOLUME, units_of(w)));
        if (s->confirmed_day && to->day0 - s->confirmed_day > STALE_DAYS)
            lw_line_add(&line, "%s was last confirmed on %s: call before you drive. ", s->name,
                        lw_date_print(day, sizeof day, lw_date_of(s->confirmed_day)));
        if (s->is_guess)
            lw_line_add(&line, "Hours, way and fee of %s are guesses. ", s->name);
    }
    for (int r = 0; r < to->errands.type_count; r++) {
        const lw_errand_type *t = &to->errands.type[r];
        if (t->cans_l < t->cans_said_l || t->waste_l < t->waste_said_l)
            lw_line_add(&line, "By %s only %s can be carried: payload and what may be lifted allow no more. ", t->name,
                        lw_quantity_print(buf, sizeof buf, t->cans_l < t->cans_said_l ? t->cans_l : t->waste_l,
                                          LW_DIM_VOLUME, units_of(w)));
    }
}

void lw_runs_say(lw_runs_work *w)
{
    say_headline(w);
    for (int i = 0; i < w->to->out.count; i++) {
        say_run(w, i);
        say_parts(w, i);
    }
    say_measured(w);
    say_spot(w);
    say_moving_on(w);
    say_driving_day(w);
    say_asks(w->to);
    say_notes(w);
}
