/* Records in words: as one could type them, and what was understood. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/amount.h"
#include "service/log_internal.h"
#include "service/spent.h"
#include "service/words.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/quantity.h"

enum { EVERY_DIGIT = 15 };

/* ---- as one could type it ---- */

static void put_si(char *buf, size_t n, double value, lw_dim dim)
{
    const char *symbol = lw_dim_of(dim)->symbol;
    const lw_unit *unit = lw_unit_find(dim, symbol, strlen(symbol));
    lw_quantity_print_in(buf, n, value, unit, EVERY_DIGIT);
}

static void put_amount(char *buf, size_t n, lw_supply supply, double amount)
{
    const lw_dim dim = lw_amount_dim(supply);
    put_si(buf, n, amount / lw_amount_per_dim(supply), dim == LW_DIM_PERSON_DAYS ? LW_DIM_PERSON_DAYS : dim);
}

static void put_shown(const lw_log_thing *thing, int at, double shown, char *buf, size_t n)
{
    lw_gauge eye;
    const lw_gauge *gauge = lw_log_gauge(thing, at, &eye);
    switch (gauge->kind) {
    case LW_GAUGE_PROBES:
    case LW_GAUGE_PERCENT:
        (void)lw_log_share(shown, buf, n);
        break;
    case LW_GAUGE_VOLTS:
        put_si(buf, n, shown, LW_DIM_VOLTAGE);
        break;
    case LW_GAUGE_HOURS:
        lw_quantity_print_in(buf, n, shown * 3600.0, lw_unit_find(LW_DIM_TIME, "h", 1), EVERY_DIGIT);
        break;
    default:
        put_amount(buf, n, thing->supply, shown + (at < thing->gauges->count ? thing->gauges->tare_kg[at] : 0.0));
    }
}

static char *money_of(const lw_log_record *record, char *buf, size_t n)
{
    lw_currency currency = LW_CURRENCY_USD;
    (void)lw_currency_of(record->unit, &currency);
    return lw_money_print(buf, n, (int64_t)llround(record->amount * 100.0), currency);
}

static void say_spent(const lw_log_record *record, char *buf, size_t n)
{
    lw_log_record size = *record;
    char money[LW_MONEY_TEXT];
    size.amount = fabs(record->amount);
    snprintf(buf, n, "%s %s %s%s%s%s", money_of(&size, money, sizeof money),
             record->amount < 0.0 ? "came back for" : "spent on", record->target, record->party[0] ? " (" : "",
             record->party, record->party[0] ? ")" : "");
}

static const char *being_say(const lw_log_record *record, int is_several)
{
    static const char *const ONE[] = {"adult", "teen", "child"}, *const SEVERAL[] = {"adults", "teens", "children"};
    return (is_several ? SEVERAL : ONE)[record->being <= LW_BEING_CHILD ? record->being : LW_BEING_ADULT];
}

static void print_people(const lw_log_record *record, char *buf, size_t n)
{
    char until[40];
    if (record->party[0])
        snprintf(buf, n, "people %c%s", record->people > 0 ? '+' : '-', record->party);
    else
        snprintf(buf, n, "people %+d%s%s", record->people, record->is_kind_said ? " " : "",
                 record->is_kind_said ? being_say(record, abs(record->people) > 1) : "");
    const size_t used = strlen(buf);
    if (record->until_s)
        snprintf(buf + used, n - used, " until %s", lw_instant_print(until, sizeof until, (double)record->until_s, 0));
}

static void say_people(const lw_loaded *rig, const lw_log_record *record, char *buf, size_t n)
{
    char until[LW_WHEN];
    const int count = abs(record->people), is_several = count > 1;
    const char *did = record->people > 0 ? "came" : "left";
    if (record->party[0])
        snprintf(buf, n, "%s %s", record->party, did);
    else if (record->is_kind_said)
        snprintf(buf, n, "%d %s %s", count, being_say(record, is_several), did);
    else
        snprintf(buf, n, "%d %s %s", count, is_several ? "people" : "person", did);
    const size_t used = strlen(buf);
    if (record->until_s)
        snprintf(buf + used, n - used, " until %s", lw_when_print(until, sizeof until, &rig->zone, record->until_s, 0));
}

char *lw_log_print(const lw_loaded *rig, const lw_log_record *record, char *buf, size_t n)
{
    char now[LW_QUANTITY_BYTES] = "", before[LW_QUANTITY_BYTES] = "";
    if (record->kind == LW_LOG_READING) {
        const lw_log_thing thing = lw_log_thing_read(rig, record);
        put_shown(&thing, record->gauge, record->shown, now, sizeof now);
        if (!isnan(record->shown_before))
            put_shown(&thing, record->gauge, record->shown_before, before, sizeof before);
        snprintf(buf, n, "%s=%s%s%s%s%s", record->target, record->gauge == LW_GAUGES_EACH ? "about " : "", before,
                 before[0] ? " to " : "", now, record->is_at_rest ? " at rest" : "");
        return buf;
    }
    switch (record->kind) {
    case LW_LOG_PEOPLE:
        print_people(record, buf, n);
        return buf;
    case LW_LOG_MOVED:
        snprintf(buf, n, "moved %s%s%s", record->party, record->where[0] ? " at " : "", record->where);
        return buf;
    case LW_LOG_HABITS:
        snprintf(buf, n, "habits changed");
        return buf;
    case LW_LOG_SPENT:
        snprintf(buf, n, "spent %s %s%s%s", money_of(record, now, sizeof now), record->target,
                 record->party[0] ? " " : "", record->party);
        return buf;
    default:
        break;
    }
    if (!isnan(record->amount))
        put_amount(now, sizeof now, rig->scenario->rig.vessel[record->vessel].supply, record->amount);
    snprintf(buf, n, "%s %s%s%s%s%s", lw_log_verb(record->kind), record->target, now[0] ? " " : "", now,
             record->kind == LW_LOG_GAVE       ? " to "
             : record->kind == LW_LOG_RECEIVED ? " from "
             : record->is_brim                 ? " to the brim"
                                               : "",
             record->party);
    return buf;
}

/* ---- what was understood ---- */

/* "13.3 gal" as "13 gal": more figures than a lamp has say nothing. */
static void make_coarse(char *text, size_t n)
{
    double value;
    char rest[LW_QUANTITY_BYTES], number[LW_DECIMAL_BYTES];
    const char *end = lw_decimal_scan(text, text + strlen(text), &value);
    if (!end || fabs(value) < 10.0)
        return;
    snprintf(rest, sizeof rest, "%s", end);
    lw_decimal_print(number, sizeof number, value, 0, 0);
    snprintf(text, n, "%s%s", number, rest);
}

static double number_of(const char *text)
{
    double value;
    return lw_decimal_scan(text, text + strlen(text), &value) ? value : 0.0;
}

/* "13 to 27 gal": the unit once, where it is the same. */
static void put_range(const lw_log_thing *thing, double low, double high, lw_unit_system units, char *buf, size_t n)
{
    char a[LW_QUANTITY_BYTES], b[LW_QUANTITY_BYTES];
    if (thing->vessel == LW_LOG_BATTERY) {
        const lw_unit *percent = lw_unit_find(LW_DIM_FRACTION, "%", 1);
        lw_quantity_print_in(a, sizeof a, isinf(low) ? 0.0 : low, percent, 3);
        lw_quantity_print_in(b, sizeof b, isinf(high) ? 0.0 : high, percent, 3);
    } else {
        lw_amount_print(a, sizeof a, thing->supply, isinf(low) ? 0.0 : low, units);
        lw_amount_print(b, sizeof b, thing->supply, isinf(high) ? 0.0 : high, units);
    }
    const double WIDE = thing->vessel == LW_LOG_BATTERY ? 10.0 : 3.0; /* of the unit printed */
    if (isinf(low) || isinf(high) || number_of(b) - number_of(a) > WIDE) {
        make_coarse(a, sizeof a);
        make_coarse(b, sizeof b);
    }
    if (isinf(low)) {
        snprintf(buf, n, "less than %s", b);
    } else if (isinf(high)) {
        snprintf(buf, n, "%s or more", a);
    } else {
        const char *unit_a = strpbrk(a, " %"), *unit_b = strpbrk(b, " %");
        if (unit_a && unit_b && strcmp(unit_a, unit_b) == 0)
            a[unit_a - a] = '\0';
        const size_t figures = strcspn(b, " %");
        if (strcmp(a, b) == 0 || (strlen(a) == figures && strncmp(a, b, figures) == 0))
            snprintf(buf, n, "about %s", b);
        else
            snprintf(buf, n, "%s to %s", a, b);
    }
}

static void say_lamps(const lw_gauge *gauge, const lw_log_thing *thing, const lw_log_record *record, char *buf,
                      size_t n)
{
    char shown[LW_QUANTITY_BYTES], above[LW_QUANTITY_BYTES];
    (void)lw_log_share(record->shown, shown, sizeof shown);
    if (gauge->rule == LW_GAUGE_NEAREST) {
        snprintf(buf, n, "nearest to %s", shown);
        return;
    }
    double next = 1.0;
    for (int i = gauge->probe_count; i-- > 0;)
        if (gauge->probe_frac[i] * thing->capacity > record->low + 1e-9 * thing->capacity)
            next = gauge->probe_frac[i];
    (void)lw_log_share(next, above, sizeof above);
    if (isinf(record->low))
        snprintf(buf, n, "below %s", above);
    else if (isinf(record->high))
        snprintf(buf, n, "full");
    else
        snprintf(buf, n, "between %s and %s", shown, above);
}

static void say_reading(const lw_loaded *rig, const lw_log_record *record, lw_unit_system units, char *buf, size_t n)
{
    const lw_log_thing thing = lw_log_thing_read(rig, record);
    lw_gauge eye;
    const lw_gauge *gauge = lw_log_gauge(&thing, record->gauge, &eye);
    char how[160], range[160], now[LW_QUANTITY_BYTES], before[LW_QUANTITY_BYTES];
    if (gauge->kind == LW_GAUGE_VOLTS || gauge->kind == LW_GAUGE_HOURS) {
        put_shown(&thing, record->gauge, record->shown, now, sizeof now);
        snprintf(buf, n, "%s %s%s", record->target, now,
                 gauge->kind == LW_GAUGE_HOURS ? ""
                 : record->is_at_rest          ? " at rest"
                                               : " (not said to be at rest, so it tells little of the charge)");
        return;
    }
    if (!isnan(record->shown_before)) {
        put_shown(&thing, record->gauge, record->shown, now, sizeof now);
        put_shown(&thing, record->gauge, record->shown_before, before, sizeof before);
        put_range(&thing, record->low, record->high, units, range, sizeof range);
        snprintf(buf, n, "%s just went from %s to %s (%s)", record->target, before, now, range);
        return;
    }
    put_range(&thing, record->low, record->high, units, range, sizeof range);
    if (gauge->kind == LW_GAUGE_PROBES)
        say_lamps(gauge, &thing, record, how, sizeof how);
    else if (gauge->kind == LW_GAUGE_PERCENT)
        (void)lw_quantity_print_in(how, sizeof how, record->shown, lw_unit_find(LW_DIM_FRACTION, "%", 1), 3);
    else if (gauge->kind == LW_GAUGE_COUNT && rig->bag_l > 0.0)
        (void)lw_quantity_print(how, sizeof how, record->shown / rig->bag_l, LW_DIM_BAGS, units);
    else
        (void)lw_amount_print(how, sizeof how, thing.supply, record->shown, units);
    snprintf(buf, n, "%s %s%s (%s)", record->target, gauge->kind == LW_GAUGE_NONE ? "by eye " : "", how, range);
}

char *lw_log_say(const lw_loaded *rig, const lw_log_record *record, lw_unit_system units, char *buf, size_t n)
{
    char amount[LW_QUANTITY_BYTES] = "";
    if (record->kind == LW_LOG_READING) {
        say_reading(rig, record, units, buf, n);
        return buf;
    }
    if (record->kind == LW_LOG_SPENT) {
        say_spent(record, buf, n);
        return buf;
    }
    if (!isnan(record->amount))
        (void)lw_amount_print(amount, sizeof amount, rig->scenario->rig.vessel[record->vessel].supply, record->amount,
                              units);
    switch (record->kind) {
    case LW_LOG_FILLED:
        if (record->is_brim)
            snprintf(buf, n, "%s put into %s until it was full", amount, record->target);
        else if (amount[0])
            snprintf(buf, n, "%s put into %s", amount, record->target);
        else
            snprintf(buf, n, "%s filled to the brim", record->target);
        break;
    case LW_LOG_DUMPED:
        if (amount[0])
            snprintf(buf, n, "%s taken out of %s", amount, record->target);
        else
            snprintf(buf, n, "%s emptied", record->target);
        break;
    case LW_LOG_GAVE:
        snprintf(buf, n, "%s of %s given to %s", amount, record->target, record->party);
        break;
    case LW_LOG_RECEIVED:
        snprintf(buf, n, "%s of %s received from %s", amount, record->target, record->party);
        break;
    case LW_LOG_SANITISED:
        snprintf(buf, n, "%s sanitised: its water is no longer doubted", record->target);
        break;
    case LW_LOG_PEOPLE:
        say_people(rig, record, buf, n);
        break;
    case LW_LOG_MOVED:
        snprintf(buf, n, "moved to %s", record->party);
        break;
    default:
        snprintf(buf, n, "habits changed: earlier readings count less from now on");
    }
    return buf;
}
