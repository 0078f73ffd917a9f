#include <math.h>
#include <stdio.h>
#include <string.h>

#include "exchange/amount.h"
#include "exchange/scenario_internal.h"
#include "text/say.h"

static const int64_t DAY_S = 86400, HOUR_S = 3600;
static const int HORIZON_DAYS = 60;
static const int32_t USUAL_ARRIVAL_S = 15 * 3600, USUAL_LEAVE_S = 10 * 3600;

/* ---- arrival and departure ---- */

static int64_t instant_of(lw_reader *r, const lw_scope *in, const char *key, lw_moment at, int32_t usual_s)
{
    if (!at.has_time) {
        char shown[LW_TEXT_BYTES];
        at.second = usual_s;
        lw_time_print(shown, sizeof shown, usual_s);
        lw_read_assume(r, in, key, shown, "time of day where only the date is given", "common practice");
    }
    return lw_read_instant(r, in, key, &at);
}

static void read_times(lw_reader *r, const lw_scope *in, lw_stay *to)
{
    lw_value arrive, leave;
    if (lw_read_value(r, in, "arrive", &arrive)) {
        to->arrival_s = instant_of(r, in, "arrive", arrive.at, USUAL_ARRIVAL_S);
    } else if (!r->code && r->now_s) {
        to->arrival_s = (r->now_s + HOUR_S - 1) / HOUR_S * HOUR_S;
        char shown[LW_TEXT_BYTES];
        const lw_clock clock = lw_clock_at(&r->out->zone, to->arrival_s);
        lw_read_assume(r, in, "arrive", lw_clock_print(shown, sizeof shown, &clock), "now, the next full hour",
                       "yours");
    } else {
        lw_read_refuse(r, in, NULL, LW_E_MISSING, "arrive is missing; write stay: {arrive: 2026-06-08 15:00}");
    }
    r->arrived_s = to->arrival_s;
    r->out->arrived_s = to->arrival_s;
    if (!r->code && r->begin_s > to->arrival_s)
        to->arrival_s = r->begin_s;
    if (!lw_read_value(r, in, "leave", &leave))
        return;
    to->departure_s = instant_of(r, in, "leave", leave.at, USUAL_LEAVE_S);
    if (to->departure_s <= to->arrival_s)
        lw_read_refuse(r, in, "leave", LW_E_CONFLICT, "the departure is not after the arrival");
    if (to->departure_s > to->arrival_s + (int64_t)LW_DAYS * DAY_S && !r->from->is_long)
        lw_read_refuse(r, in, "leave", LW_E_RANGE,
                       "a stay of more than %d days is not simulated; give an earlier departure; how a longer one goes "
                       "is told by leeway plan rhythm",
                       LW_DAYS);
}

static void fill_calendar(const lw_zone *zone, const lw_stay *stay, lw_calendar *to)
{
    int64_t end_s = stay->arrival_s + HORIZON_DAYS * DAY_S;
    if (stay->departure_s > end_s)
        end_s = stay->departure_s;
    to->start_s = stay->arrival_s;
    to->hours = (int)((end_s - stay->arrival_s + HOUR_S - 1) / HOUR_S);
    if (to->hours > LW_HOURS)
        to->hours = LW_HOURS;
    for (int i = 0; i < to->hours; i++) {
        const lw_clock clock = lw_clock_at(zone, to->start_s + HOUR_S * i + HOUR_S / 2);
        to->civil_hour[i] = (uint8_t)clock.hour;
        to->weekday[i] = (uint8_t)clock.weekday;
        to->civil_day[i] = (int32_t)clock.day;
    }
}

void lw_read_stay(lw_reader *r, const lw_scope *root)
{
    const lw_scope in = lw_read_map(r, root, "stay");
    read_times(r, &in, &r->out->scenario->stay);
    if (!r->code)
        fill_calendar(&r->out->zone, &r->out->scenario->stay, &r->out->scenario->calendar);
}

/* ---- levels at arrival, over those of the rig ---- */

/* All vessels of a supply to the same share of their capacity, so that the sum is what was said. */
static void spread_level(lw_reader *r, const lw_scope *levels, lw_supply supply)
{
    lw_rig *rig = &r->out->scenario->rig;
    const double per_unit = supply == LW_SUPPLY_DATA ? 1000.0 : 1.0; /* typed in MB, kept in GB */
    double capacity = 0.0;
    for (int i = 0; i < rig->vessel_count; i++)
        capacity += rig->vessel[i].supply == supply ? rig->vessel[i].capacity : 0.0;
    if (supply == LW_SUPPLY_BATTERY)
        capacity = rig->battery.capacity_ah;
    if (!(capacity > 0.0))
        lw_read_refuse(r, levels, lw_supply_word(supply), LW_E_CONFLICT, "the rig has no %s", lw_supply_word(supply));
    const double level = lw_read_level(r, levels, lw_supply_word(supply), capacity * per_unit) / per_unit;
    if (r->code)
        return;
    if (supply == LW_SUPPLY_BATTERY)
        rig->battery.level_frac = level / capacity;
    for (int i = 0; i < rig->vessel_count; i++)
        if (rig->vessel[i].supply == supply)
            rig->vessel[i].level = fmin(rig->vessel[i].capacity * level / capacity, rig->vessel[i].capacity);
}

static void read_levels(lw_reader *r, const lw_scope *stay)
{
    const lw_scope levels = lw_read_map(r, stay, "levels");
    for (int supply = 0; supply < LW_SUPPLY_STAY && !r->code; supply++)
        if (lw_read_is_given(r, &levels, lw_supply_word((lw_supply)supply)))
            spread_level(r, &levels, (lw_supply)supply);
}

/* ---- what is brought and taken meanwhile ---- */

enum { DO_FILL = 0, DO_DUMP, DO_ADD, DO_TAKE }; /* in the order of the words of stay.events[].do */

static int add_transfer(lw_reader *r, const lw_scope *in, lw_transfer transfer)
{
    lw_scenario *to = r->out->scenario;
    if (to->transfer_count == LW_TRANSFERS) {
        lw_read_refuse(r, in, NULL, LW_E_FULL, "more than %d fills, dumps and renewals", LW_TRANSFERS);
        return 0;
    }
    int at = to->transfer_count++;
    for (; at > 0 && to->transfer[at - 1].at_s > transfer.at_s; at--)
        to->transfer[at] = to->transfer[at - 1];
    to->transfer[at] = transfer;
    return 1;
}

static int supply_named(const char *what)
{
    for (int supply = 0; supply < LW_SUPPLY_STAY; supply++)
        if (supply != LW_SUPPLY_BATTERY && strcmp(lw_supply_word((lw_supply)supply), what) == 0)
            return supply;
    return -1;
}

/* A vessel by its name, or the first in use of a supply. */
static int vessel_named(const lw_rig *rig, const char *what)
{
    const int supply = supply_named(what);
    int first = -1;
    for (int i = 0; i < rig->vessel_count; i++)
        if (strcmp(rig->vessel[i].name, what) == 0)
            return i;
    for (int i = 0; i < rig->vessel_count; i++)
        if ((int)rig->vessel[i].supply == supply && (first < 0 || rig->vessel[i].order < rig->vessel[first].order))
            first = i;
    return first;
}

static double amount_of(lw_reader *r, const lw_scope *in, lw_supply supply)
{
    const char *text = lw_read_text(r, in, "amount");
    double amount = NAN;
    lw_err own = {0};
    if (!text) {
        lw_read_refuse(r, in, NULL, LW_E_MISSING, "amount is missing; write amount: 20 gal");
        return NAN;
    }
    if (lw_amount_parse_n(text, strlen(text), supply, r->out->bag_l, &amount, &own))
        lw_read_refuse(r, in, "amount", own.code, "%s", own.text);
    if (!r->code && !(amount > 0.0))
        lw_read_refuse(r, in, "amount", LW_E_RANGE, "%.30s does not fit; an amount is above zero, take takes away",
                       text);
    return amount;
}

static void add_event(lw_reader *r, const lw_scope *in, int doing, int vessel, int64_t at_s)
{
    const lw_rig *rig = &r->out->scenario->rig;
    const lw_supply supply = rig->vessel[vessel].supply;
    if (doing == DO_FILL && lw_supply_fills(supply))
        lw_read_refuse(r, in, "do", LW_E_CONFLICT, "%s is not filled but dumped", lw_supply_word(supply));
    if (doing == DO_DUMP && !lw_supply_fills(supply))
        lw_read_refuse(r, in, "do", LW_E_CONFLICT, "%s is not dumped; fill it, add to it or take from it",
                       lw_supply_word(supply));
    if (r->code)
        return;
    static const lw_transfer_kind KINDS[] = {LW_TRANSFER_FILL, LW_TRANSFER_EMPTY, LW_TRANSFER_ADD, LW_TRANSFER_ADD};
    lw_transfer transfer = {
        .at_s = at_s, .vessel = vessel, .kind = KINDS[doing], .potable = rig->vessel[vessel].potable};
    if (doing == DO_ADD || doing == DO_TAKE)
        transfer.amount = amount_of(r, in, supply) * (doing == DO_TAKE ? -1.0 : 1.0);
    transfer.is_as_tank = !lw_read_is_given(r, in, "potable");
    if (!transfer.is_as_tank)
        transfer.potable = (lw_potable)lw_read_word(r, in, "potable");
    const char *why = lw_read_text(r, in, "why");
    snprintf(transfer.why, sizeof transfer.why, "%.31s", why ? why : "run");
    if (!r->code)
        (void)add_transfer(r, in, transfer);
}

static void read_event(lw_reader *r, const lw_scope *in)
{
    const lw_scenario *to = r->out->scenario;
    const char *what = lw_read_text(r, in, "what");
    lw_value at;
    if (!what || !lw_read_value(r, in, "at", &at))
        return;
    const int doing = lw_read_word(r, in, "do"), vessel = vessel_named(&to->rig, what), supply = supply_named(what);
    const int64_t at_s = lw_read_instant(r, in, "at", &at.at);
    if (vessel < 0)
        lw_read_refuse(r, in, "what", LW_E_MISSING,
                       "%s is neither a supply of this rig nor the name of one of its vessels",
                       lw_quoted(what, strlen(what)).text);
    if (at_s < r->arrived_s)
        lw_read_refuse(r, in, "at", LW_E_CONFLICT, "that is before the arrival; say it by the levels at arrival");
    if (r->code || at_s < to->stay.arrival_s)
        return;
    if (at_s >= to->calendar.start_s + HOUR_S * to->calendar.hours) {
        lw_read_note(r, in, "at", "that is beyond the %d days that are looked at, so it is left out",
                     to->calendar.hours / 24);
        return;
    }
    /* the word of a supply means all its vessels, where no amount has to be shared out */
    if (supply < 0 || doing == DO_ADD || doing == DO_TAKE) {
        add_event(r, in, doing, vessel, at_s);
        return;
    }
    for (int i = 0; i < to->rig.vessel_count && !r->code; i++)
        if ((int)to->rig.vessel[i].supply == supply)
            add_event(r, in, doing, i, at_s);
}

/* A plan begins anew at midnight of its day of the month; of a month that is too short, on its last day. */
static void add_renewals(lw_reader *r, const lw_scope *root)
{
    const lw_scenario *to = r->out->scenario;
    const int64_t end_s = to->calendar.start_s + HOUR_S * to->calendar.hours;
    const int64_t first = lw_clock_at(&r->out->zone, to->stay.arrival_s).day;
    for (int c = 0; c < r->out->connection_count; c++) {
        const lw_connection *connection = &r->out->connection[c];
        for (int64_t day = first; connection->renews_day && day <= first + LW_DAYS; day++) {
            const lw_date date = lw_date_of(day);
            const int last = lw_days_in_month(date.year, date.month);
            const int64_t at_s = lw_utc_of(&r->out->zone, day, 0);
            if (date.day != (connection->renews_day < last ? connection->renews_day : last) ||
                at_s < to->stay.arrival_s || at_s >= end_s)
                continue;
            (void)add_transfer(
                r, root,
                (lw_transfer){.at_s = at_s, .vessel = connection->vessel, .kind = LW_TRANSFER_FILL, .why = "renewal"});
        }
    }
}

/* ---- the generator on named dates ---- */

static int is_allowed_throughout(const lw_reader *r, lw_span window)
{
    for (int64_t at_s = window.from_s + HOUR_S / 2; at_s < window.to_s; at_s += HOUR_S) {
        const lw_clock clock = lw_clock_at(&r->out->zone, at_s);
        if (!(r->out->scenario->rig.generator.allowed[lw_weekday_of(clock.day)] >> clock.hour & 1u))
            return 0;
    }
    return 1;
}

static void read_window(lw_reader *r, const lw_scope *in)
{
    lw_generator_use *to = &r->out->scenario->rig.generator;
    lw_value from, until;
    if (!lw_read_value(r, in, "from", &from) || !lw_read_value(r, in, "until", &until))
        return;
    const lw_span window = {lw_read_instant(r, in, "from", &from.at), lw_read_instant(r, in, "until", &until.at)};
    if (!to->is_present)
        lw_read_refuse(r, in, NULL, LW_E_CONFLICT,
                       "the rig has no generator; say it under rig.generator, or leave this out");
    if (window.to_s <= window.from_s)
        lw_read_refuse(r, in, "until", LW_E_CONFLICT, "the window ends before it begins");
    if (to->window_count == LW_WINDOWS)
        lw_read_refuse(r, in, NULL, LW_E_FULL, "more than %d windows of the generator", LW_WINDOWS);
    if (r->code)
        return;
    if (!is_allowed_throughout(r, window))
        lw_read_note(r, in, NULL, "quiet hours or rig.generator.allowed forbid a part of it; there it stays off");
    to->window[to->window_count++] = window;
}

void lw_read_course(lw_reader *r, const lw_scope *root)
{
    const lw_scope in = lw_read_map(r, root, "stay");
    lw_scope items[LW_ITEMS];
    read_levels(r, &in);
    const int count = lw_read_items(r, &in, "events", items);
    for (int i = 0; i < count && !r->code; i++)
        read_event(r, &items[i]);
    if (!r->code)
        add_renewals(r, root);
    const int windows = lw_read_items(r, &in, "generator", items);
    for (int i = 0; i < windows && !r->code; i++)
        read_window(r, &items[i]);
}
