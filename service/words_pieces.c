#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "service/words_internal.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/quantity.h"

static const char *const MONTH[] = {"January", "February", "March",     "April",   "May",      "June",
                                    "July",    "August",   "September", "October", "November", "December"};
static const char *const WEEKDAY[] = {"Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"};
static const int64_t DAY_S = 86400;

lw_line lw_line_of(char *text, size_t size)
{
    if (size > 0)
        text[0] = '\0';
    return (lw_line){.text = text, .size = size};
}

void lw_line_add(lw_line *line, const char *fmt, ...)
{
    if (line->used + 1 >= line->size)
        return;
    va_list args;
    va_start(args, fmt);
    const int n = vsnprintf(line->text + line->used, line->size - line->used, fmt, args);
    va_end(args);
    if (n > 0)
        line->used += (size_t)n;
    if (line->used < line->size)
        return;
    line->used = line->size - 1;
    size_t at = line->used; /* never half a character */
    while (at > 0 && ((unsigned char)line->text[at - 1] & 0xC0u) == 0x80u)
        at--;
    if (at > 0 && ((unsigned char)line->text[at - 1] & 0xC0u) == 0xC0u)
        line->used = at - 1;
    line->text[line->used] = '\0';
}

/* ------------------------------------------------------------------ times */

static void print_time(char *buf, size_t n, int hour, int minute, int is_12_hour)
{
    if (!is_12_hour)
        snprintf(buf, n, "%02d:%02d", hour, minute);
    else
        snprintf(buf, n, "%d:%02d %s", hour % 12 ? hour % 12 : 12, minute, hour < 12 ? "am" : "pm");
}

/* People read minutes: the nearest one. */
static lw_clock clock_of(const lw_zone *zone, int64_t at_s)
{
    return lw_clock_at(zone, (at_s + 30) / 60 * 60);
}

char *lw_hour_print(char *buf, size_t n, const lw_zone *zone, int64_t at_s, int is_12_hour)
{
    const lw_clock c = clock_of(zone, at_s);
    print_time(buf, n, c.hour, c.minute, is_12_hour);
    return buf;
}

char *lw_when_print(char *buf, size_t n, const lw_zone *zone, int64_t at_s, int is_12_hour)
{
    const lw_clock c = clock_of(zone, at_s);
    char time[16];
    print_time(time, sizeof time, c.hour, c.minute, is_12_hour);
    snprintf(buf, n, "%s %d %.3s %s", lw_weekday_word(c.weekday), c.date.day, MONTH[c.date.month - 1], time);
    return buf;
}

char *lw_day_print(char *buf, size_t n, const lw_zone *zone, int64_t at_s)
{
    const lw_clock c = clock_of(zone, at_s);
    snprintf(buf, n, "%s %d %s", lw_weekday_word(c.weekday), c.date.day, MONTH[c.date.month - 1]);
    return buf;
}

char *lw_relative_print(char *buf, size_t n, const lw_zone *zone, int64_t now_s, int64_t at_s)
{
    const lw_clock now = clock_of(zone, now_s), at = clock_of(zone, at_s);
    const long long days = (long long)(at.day - now.day);
    if (days == 0)
        snprintf(buf, n, "%s", at.hour >= 18 ? "tonight" : "today");
    else if (days == 1)
        snprintf(buf, n, "tomorrow");
    else if (days == -1)
        snprintf(buf, n, "yesterday");
    else if (days > 0)
        snprintf(buf, n, "in %lld days", days);
    else
        snprintf(buf, n, "%lld days ago", -days);
    return buf;
}

static const char *part_of_day(int hour)
{
    return hour < 5 ? "night" : hour < 12 ? "morning" : hour < 17 ? "afternoon" : hour < 22 ? "evening" : "night";
}

const char *lw_part_of_day_say(const lw_speaker *s, int64_t at_s, char *buf, size_t n)
{
    const lw_clock start = clock_of(&s->loaded->zone, s->outlook->start_s), c = clock_of(&s->loaded->zone, at_s);
    const char *part = part_of_day(c.hour);
    const int is_early = c.hour < 5; /* "Tuesday night" would be a day late */
    if (c.day - start.day < 7)
        snprintf(buf, n, "%s%s%s%s", is_early ? "early " : "", WEEKDAY[c.weekday], is_early ? "" : " ",
                 is_early ? "" : part);
    else if (is_early)
        snprintf(buf, n, "early on %s %d %s", lw_weekday_word(c.weekday), c.date.day, MONTH[c.date.month - 1]);
    else
        snprintf(buf, n, "on the %s of %s %d %s", part, lw_weekday_word(c.weekday), c.date.day,
                 MONTH[c.date.month - 1]);
    return buf;
}

const char *lw_date_say(const lw_speaker *s, int64_t at_s, char *buf, size_t n)
{
    const lw_clock c = clock_of(&s->loaded->zone, at_s);
    snprintf(buf, n, "%s %d %.3s", lw_weekday_word(c.weekday), c.date.day, MONTH[c.date.month - 1]);
    return buf;
}

int64_t lw_night_of(const lw_speaker *s, int64_t at_s)
{
    return lw_clock_at(&s->loaded->zone, at_s - DAY_S / 2).day;
}

const char *lw_when_say(const lw_speaker *s, int64_t at_s, char *buf, size_t n)
{
    return lw_when_print(buf, n, &s->loaded->zone, at_s, s->choice.is_12_hour);
}

const char *lw_hour_say(const lw_speaker *s, int64_t at_s, char *buf, size_t n)
{
    return lw_hour_print(buf, n, &s->loaded->zone, at_s, s->choice.is_12_hour);
}

/* ------------------------------------------------------------------ amounts and names */

const char *lw_temperature_say(const lw_speaker *s, double air_c, char *buf, size_t n)
{
    const lw_unit *unit = lw_quantity_unit(air_c, LW_DIM_TEMPERATURE, s->choice.units);
    const double shown = unit ? lw_unit_from_si(unit, air_c) : air_c;
    lw_quantity_print_in(buf, n, unit ? lw_unit_to_si(unit, nearbyint(shown)) : air_c, unit, 3);
    return buf;
}

const char *lw_tenths_say(double value, char *buf, size_t n)
{
    snprintf(buf, n, "%s", lw_num(nearbyint(value * 10.0) / 10.0 + 0.0).text);
    return buf;
}

const char *lw_supply_name(lw_supply supply)
{
    static const char *const NAME[LW_SUPPLY_COUNT] = {
        [LW_SUPPLY_FRESH] = "Fresh water", [LW_SUPPLY_DRINKING] = "Drinking water", [LW_SUPPLY_GREY] = "Grey water",
        [LW_SUPPLY_BLACK] = "Black water", [LW_SUPPLY_BATTERY] = "Battery",         [LW_SUPPLY_PROPANE] = "Propane",
        [LW_SUPPLY_FUEL] = "Fuel",         [LW_SUPPLY_RUBBISH] = "Rubbish",         [LW_SUPPLY_DATA] = "Mobile data",
        [LW_SUPPLY_FOOD] = "Food",         [LW_SUPPLY_STAY] = "Days allowed",
    };
    return (unsigned)supply < LW_SUPPLY_COUNT ? NAME[supply] : "";
}

const char *lw_supply_unit(lw_supply supply)
{
#define UNIT(id, word, end, unit) #unit,
    static const char *const ROW[] = {LW_SUPPLIES(UNIT)};
#undef UNIT
    return (unsigned)supply < LW_SUPPLY_COUNT ? ROW[supply] : "";
}

const char *lw_event_word(lw_event_kind kind)
{
#define WORD(id, word) word,
    static const char *const ROW[] = {LW_EVENT_KINDS(WORD)};
#undef WORD
    return (unsigned)kind < LW_EVENT_KIND_COUNT ? ROW[kind] : "";
}

static char *print_in(char *buf, size_t n, double amount, lw_dim dim, const char *symbol)
{
    const lw_unit *unit = lw_unit_find(dim, symbol, strlen(symbol));
    return lw_quantity_print_in(buf, n, amount, unit, amount != 0.0 && fabs(amount) < 1.0 ? 2 : 3);
}

char *lw_amount_print(char *buf, size_t n, lw_supply supply, double amount, lw_unit_system units)
{
    const int is_us = units == LW_UNITS_US;
    if (isnan(amount)) {
        snprintf(buf, n, "unknown");
        return buf;
    }
    switch (supply) {
    case LW_SUPPLY_PROPANE:
        return print_in(buf, n, amount, LW_DIM_MASS, is_us ? "lb" : "kg");
    case LW_SUPPLY_BATTERY:
        return print_in(buf, n, amount, LW_DIM_ENERGY, fabs(amount) < 1000.0 ? "Wh" : "kWh");
    case LW_SUPPLY_DATA: {
        const lw_unit *gb = lw_unit_find(LW_DIM_DATA, "GB", 2);
        return lw_quantity_print_in(buf, n, lw_unit_to_si(gb, amount), gb, fabs(amount) < 1.0 ? 2 : 3);
    }
    case LW_SUPPLY_FOOD:
        return print_in(buf, n, amount, LW_DIM_PERSON_DAYS, "person-days");
    case LW_SUPPLY_STAY:
        snprintf(buf, n, "%s days", lw_num(floor(amount * 10.0 + 0.5) / 10.0).text);
        return buf;
    default:
        return print_in(buf, n, amount, LW_DIM_VOLUME, is_us ? "gal" : "L");
    }
}

const char *lw_vessel_say(const lw_vessel *vessel, char *buf, size_t n)
{
    const int is_tank = vessel->supply == LW_SUPPLY_FRESH || vessel->supply == LW_SUPPLY_GREY ||
                        vessel->supply == LW_SUPPLY_BLACK || vessel->supply == LW_SUPPLY_FUEL;
    const int says_what = strstr(vessel->name, "tank") || strstr(vessel->name, "can") ||
                          strstr(vessel->name, "cassette") || strstr(vessel->name, "bladder");
    snprintf(buf, n, "%s%s%s%s", vessel->owner[0] ? vessel->owner : "", vessel->owner[0] ? "'s " : "", vessel->name,
             is_tank && !says_what ? " tank" : "");
    return buf;
}
