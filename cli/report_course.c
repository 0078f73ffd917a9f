/* The sections of the report that come from the joint course: power, warmth, every event, every flow. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "cli/report_internal.h"
#include "text/decimal.h"
#include "text/quantity.h"

enum { INDENT = 2, LINES = 12 };

static const double SMALL_WH = 5.0;   /* a day: less is no line */
static const double COLD_BAY_C = 4.0; /* pipes are near freezing */
static const double SMALL_KG = 0.005; /* propane a day */
static const double SHORT_H = 0.5;
static const double SMALL_FLOW = 0.005; /* in all, in its own unit: less would print as 0.00 */

typedef struct amount_line {
    const char *name;
    char amount[LW_QUANTITY_BYTES], note[96];
} amount_line;

typedef struct amount_lines {
    amount_line line[LINES];
    int count;
} amount_lines;

static const lw_flows *flows_of(const lw_report *r)
{
    return r->outlook->departure_s ? &r->outlook->joint_to_departure : &r->outlook->joint;
}

static double days_of(const lw_report *r)
{
    /* without a departure the joint course is told for a while only, and its sums end there */
    const int64_t end_s = r->outlook->departure_s ? r->outlook->departure_s : r->outlook->joint_until_s;
    const double days = (double)(end_s - r->outlook->start_s) / 86400.0;
    return days > 0.0 ? days : 1.0;
}

/* "Power, a day until you leave" */
static void put_daily_title(const lw_report *r, const char *what)
{
    char title[96];
    if (r->outlook->departure_s)
        snprintf(title, sizeof title, "%s, a day until you leave", what);
    else
        snprintf(title, sizeof title, "%s, a day over the next %.0f days", what, days_of(r));
    lw_put_title(r->screen, title);
}

static void line_cell(const void *context, int row, int column, char *buf, size_t n)
{
    const amount_line *line = &((const amount_lines *)context)->line[row];
    snprintf(buf, n, "%s", column == 0 ? line->name : column == 1 ? line->amount : line->note);
}

static void put_lines(const lw_report *r, const amount_lines *lines)
{
    int has_note = 0;
    for (int i = 0; i < lines->count; i++)
        has_note |= lines->line[i].note[0] != '\0';
    lw_put_table(r->screen, &(lw_table){.rows = lines->count,
                                        .columns = has_note ? 3 : 2,
                                        .right = 1u << 1,
                                        .indent = INDENT,
                                        .warm_row = -1,
                                        .context = lines,
                                        .cell = line_cell});
}

static amount_line *add_line(amount_lines *lines, const char *name)
{
    amount_line *line = &lines->line[lines->count++];
    *line = (amount_line){.name = name};
    return line;
}

static void add_energy(amount_lines *lines, const char *name, double a_day_wh, const char *note)
{
    if (!(a_day_wh >= SMALL_WH))
        return;
    amount_line *line = add_line(lines, name);
    /* One unit for the whole column, so that it can be read downwards. */
    char number[LW_DECIMAL_BYTES];
    lw_decimal_print(number, sizeof number, a_day_wh / 1000.0, 2, 1);
    snprintf(line->amount, sizeof line->amount, "%s kWh", number);
    snprintf(line->note, sizeof line->note, "%s", note);
}

static int is_too_cold(const lw_report *r)
{
    const lw_outlook *outlook = r->answer->outlook;
    for (int i = 0; i < outlook->event_count; i++)
        if (outlook->event[i].kind == LW_EVENT_CHARGE_COLD)
            return 1;
    return 0;
}

static char *when(const lw_report *r, int64_t at_s, char *buf, size_t n)
{
    return lw_when_print(buf, n, &r->loaded->zone, at_s, r->choice.is_12_hour);
}

/* Means over days with a flat battery are lower than what a day with power wants. */
static void put_flat_days(const lw_report *r)
{
    const lw_outlook *o = r->outlook;
    char text[128], at[LW_WHEN];
    for (int i = 0; i < o->event_count; i++) {
        if (o->event[i].kind != LW_EVENT_LOADS_CUT)
            continue;
        snprintf(text, sizeof text,
                 "From %s on loads are cut at times: a day with power throughout uses more than these means.",
                 when(r, o->event[i].at_s, at, sizeof at));
        lw_put_item(r, LW_PAINT_FAINT, text);
        return;
    }
}

void lw_report_power(const lw_report *r)
{
    const double days = days_of(r), *of = flows_of(r)->of;
    const double battery_wh = of[LW_FLOW_BATTERY_OUT] + of[LW_FLOW_BATTERY_OHMIC] + of[LW_FLOW_BATTERY_COULOMBIC] +
                              of[LW_FLOW_BATTERY_SELF] - of[LW_FLOW_BATTERY_IN];
    const double losses_wh = of[LW_FLOW_INVERTER_IDLE] + of[LW_FLOW_INVERTER_LOSS] + of[LW_FLOW_CHARGER_LOSS] +
                             of[LW_FLOW_BATTERY_OHMIC] + of[LW_FLOW_BATTERY_COULOMBIC] + of[LW_FLOW_BATTERY_SELF];
    amount_lines lines = {.count = 0};
    char note[96] = "";
    add_energy(&lines, "Sun", of[LW_FLOW_SUN_USED] / days, "");
    if (of[LW_FLOW_GENERATOR_HOURS] > 0.0) {
        char hours[LW_DECIMAL_BYTES];
        lw_decimal_print(hours, sizeof hours, of[LW_FLOW_GENERATOR_HOURS] / days, 1, 0);
        snprintf(note, sizeof note, "runs %s h a day", hours);
    }
    add_energy(&lines, "Generator", of[LW_FLOW_GENERATOR_AC] / days, note);
    add_energy(&lines, "Driving", of[LW_FLOW_DRIVE_DC] / days, "");
    add_energy(&lines, "From the battery", battery_wh / days, "it ends lower than it began");
    add_energy(&lines, "Appliances", (of[LW_FLOW_DC_LOADS] + of[LW_FLOW_AC_INVERTER] + of[LW_FLOW_AC_GENERATOR]) / days,
               "");
    add_energy(&lines, "Lost on the way", losses_wh / days, "battery, inverter, charger");
    add_energy(&lines, "Into the battery", -battery_wh / days, "it ends higher than it began");
    add_energy(&lines, "Sun not used", of[LW_FLOW_SUN_UNUSED] / days,
               is_too_cold(r) ? "the battery had no room for it or was too cold to charge"
                              : "the battery had no room for it");
    add_energy(&lines, "Wanted but not there", of[LW_FLOW_UNMET_LOAD] / days, "appliances that stood still");
    if (lines.count == 0)
        return;
    put_daily_title(r, "Power");
    put_lines(r, &lines);
    put_flat_days(r);
}

/* "58 F", in whole degrees. */
static char *degrees(const lw_report *r, double air_c, char *buf, size_t n)
{
    const lw_unit *unit = lw_quantity_unit(air_c, LW_DIM_TEMPERATURE, r->choice.units);
    snprintf(buf, n, "%.0f %s", round(lw_unit_from_si(unit, air_c)) + 0.0, unit->symbol);
    return buf;
}

static char *hours(double h, char *buf, size_t n)
{
    char number[LW_DECIMAL_BYTES];
    lw_decimal_print(number, sizeof number, h, h < 10.0 ? 1 : 0, 0);
    snprintf(buf, n, "%s h", number);
    return buf;
}

static void put_propane_uses(const lw_report *r)
{
    static const struct {
        lw_flow flow;
        const char *name;
    } uses[] = {{LW_FLOW_PROPANE_FURNACE, "furnace"},
                {LW_FLOW_PROPANE_WATER, "hot water"},
                {LW_FLOW_PROPANE_FRIDGE, "fridge"},
                {LW_FLOW_PROPANE_COOKING, "cooking"},
                {LW_FLOW_PROPANE_GENERATOR, "generator"}};
    const double days = days_of(r), *of = flows_of(r)->of;
    char text[256] = "", amount[LW_QUANTITY_BYTES];
    size_t n = 0;
    for (size_t i = 0; i < sizeof uses / sizeof uses[0]; i++)
        if (of[uses[i].flow] / days >= SMALL_KG && n < sizeof text)
            n += (size_t)snprintf(
                text + n, sizeof text - n, "%s%s %s", n ? ", " : "Propane a day: ", uses[i].name,
                lw_amount_print(amount, sizeof amount, LW_SUPPLY_PROPANE, of[uses[i].flow] / days, r->choice.units));
    if (n == 0)
        return;
    snprintf(text + (n < sizeof text ? n : sizeof text - 1), n < sizeof text ? sizeof text - n : 1, ".");
    lw_put_item(r, LW_PAINT_PLAIN, text);
}

void lw_report_warmth(const lw_report *r)
{
    const lw_comfort *c = &r->outlook->comfort;
    char text[256], low[32], high[32], low_at[LW_WHEN], high_at[LW_WHEN], h[32];
    lw_put_title(r->screen, "Warmth");
    snprintf(text, sizeof text, "Inside, the coldest is %s (%s) and the warmest %s (%s).",
             degrees(r, c->inside_low_c, low, sizeof low), when(r, c->inside_low_s, low_at, sizeof low_at),
             degrees(r, c->inside_high_c, high, sizeof high), when(r, c->inside_high_s, high_at, sizeof high_at));
    lw_put_item(r, LW_PAINT_PLAIN, text);
    if (r->outlook->draws > 1) {
        snprintf(text, sizeof text, "In one stay of ten it goes below %s; in one of ten above %s.",
                 degrees(r, r->outlook->inside_low_c[0], low, sizeof low),
                 degrees(r, r->outlook->inside_high_c[2], high, sizeof high));
        lw_put_item(r, LW_PAINT_PLAIN, text);
    }
    if (c->furnace_h > SHORT_H) {
        snprintf(text, sizeof text, "The furnace burns %s a day.", hours(c->furnace_h / days_of(r), h, sizeof h));
        lw_put_item(r, LW_PAINT_PLAIN, text);
    }
    if (c->below_set_h > SHORT_H) {
        snprintf(text, sizeof text, "For %s in all it is colder inside than you set.",
                 hours(c->below_set_h, h, sizeof h));
        lw_put_item(r, LW_PAINT_PLAIN, text);
    }
    if (c->hot_h > SHORT_H) {
        snprintf(text, sizeof text, "For %s in all the heat inside is a danger to health.",
                 hours(c->hot_h, h, sizeof h));
        lw_put_item(r, LW_PAINT_STRONG, text);
    }
    if (c->bay_low_c < COLD_BAY_C) {
        snprintf(text, sizeof text, "Where tanks and pipes hang it goes down to %s (%s).",
                 degrees(r, c->bay_low_c, low, sizeof low), when(r, c->bay_low_s, low_at, sizeof low_at));
        lw_put_item(r, LW_PAINT_PLAIN, text);
    }
    put_propane_uses(r);
}

/* Shares beyond which one of the two is said to decide. */
static const double MOSTLY_USE = 0.7, MOSTLY_WEATHER = 0.3;

static int is_decided_by(const lw_report *r, int supply, int which)
{
    const double use = r->outlook->leeway[supply].spread_use_frac;
    if (!r->words->supply[supply].is_shown || isnan(use))
        return 0;
    return which == (use >= MOSTLY_USE ? 0 : use <= MOSTLY_WEATHER ? 1 : 2);
}

void lw_report_spread(const lw_report *r)
{
    static const char *const DECIDES[] = {"how you use it decides", "the weather decides", "both decide"};
    char text[512];
    int has_title = 0;
    for (int which = 0; which < 3; which++) {
        size_t n = 0;
        for (int i = 0; i < r->outlook->order_count; i++) {
            const int k = r->outlook->order[i];
            if (!is_decided_by(r, k, which) || n + 2 >= sizeof text)
                continue;
            const size_t at = n > 0 ? n + 2 : n; /* behind a comma */
            n += (size_t)snprintf(text + n, sizeof text - n, "%s%s", n > 0 ? ", " : "", lw_supply_name((lw_supply)k));
            if (at > 0 && at < sizeof text && text[at] >= 'A' && text[at] <= 'Z')
                text[at] = (char)(text[at] - 'A' + 'a');
        }
        if (n == 0 || n >= sizeof text)
            continue;
        snprintf(text + n, sizeof text - n, ": %s.", DECIDES[which]);
        if (!has_title++)
            lw_put_title(r->screen, "What makes these ends early or late");
        lw_put_item(r, LW_PAINT_PLAIN, text);
    }
}

void lw_report_events(const lw_report *r)
{
    if (r->words->event_count == 0)
        return;
    lw_put_title(r->screen, "Everything that happens, in order");
    for (int i = 0; i < r->words->event_count; i++)
        if (r->words->event[i][0])
            lw_put_item(r, LW_PAINT_PLAIN, r->words->event[i]);
    if (r->outlook->event_lost > 0)
        lw_put_item(r, LW_PAINT_FAINT, "More happened than this list holds.");
}

typedef struct flow_rows {
    const lw_report *report;
    int row[LW_FLOW_COUNT], count;
} flow_rows;

static void flow_cell(const void *context, int row, int column, char *buf, size_t n)
{
#define WORD(id, word, unit) word,
#define UNIT(id, word, unit) #unit,
    static const char *const WORDS[] = {LW_FLOWS(WORD)}, *const UNITS[] = {LW_FLOWS(UNIT)};
#undef WORD
#undef UNIT
    static const char *const HEAD[] = {"flow", "in all", "a day", "unit"};
    const flow_rows *rows = context;
    if (row == 0) {
        snprintf(buf, n, "%s", HEAD[column]);
        return;
    }
    const int flow = rows->row[row - 1];
    const double sum = flows_of(rows->report)->of[flow];
    if (column == 1 || column == 2)
        lw_decimal_print(buf, n, column == 1 ? sum : sum / days_of(rows->report), 2, 1);
    else
        snprintf(buf, n, "%s", column == 0 ? WORDS[flow] : UNITS[flow]);
}

void lw_report_flows(const lw_report *r)
{
    flow_rows rows = {.report = r};
    for (int i = 0; i < LW_FLOW_COUNT; i++)
        if (fabs(flows_of(r)->of[i]) >= SMALL_FLOW &&
            (i != LW_FLOW_DATA_SHORT || r->outlook->leeway[LW_SUPPLY_DATA].is_present)) /* else nobody counts it */
            rows.row[rows.count++] = i;
    lw_put_title(r->screen, "Every flow, with shortages feeding back");
    lw_put_table(r->screen, &(lw_table){.rows = rows.count + 1,
                                        .columns = 4,
                                        .right = 3u << 1,
                                        .indent = INDENT,
                                        .head = LW_PAINT_FAINT,
                                        .warm_row = -1,
                                        .context = &rows,
                                        .cell = flow_cell});
}
