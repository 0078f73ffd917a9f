#include <math.h>
#include <stdio.h>
#include <string.h>

#include "exchange/amount.h"
#include "service/log_internal.h"
#include "service/words.h"
#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

static const double VOLTS_LEAST = 0.5, VOLTS_MOST = 1.5; /* of nominal; beyond it was another meter */
static const double HOURS_MOST = 100000.0;               /* engines last a tenth of it */
static const double EYE_LIE_FRAC = 0.05;                 /* as data/gauges.csv has for "none" */
static const double STEP_SLACK = 0.02;                   /* of a step */

/* ---- gauges in words ---- */

char *lw_log_share(double frac, char *buf, size_t n)
{
    enum { PARTS = 8 };
    if (frac <= 0.0 || frac >= 1.0) {
        snprintf(buf, n, "%s", frac <= 0.0 ? "empty" : "full");
        return buf;
    }
    for (int below = 2; below <= PARTS; below++) {
        const double above = frac * below;
        if (fabs(above - round(above)) < 1e-9 * below) {
            snprintf(buf, n, "%d/%d", (int)round(above), below);
            return buf;
        }
    }
    return lw_quantity_print_in(buf, n, frac, lw_unit_find(LW_DIM_FRACTION, "%", 1), 12);
}

lw_gauge lw_log_eye(const lw_log_thing *thing)
{
    for (int i = 0; i < thing->gauges->count; i++)
        if (thing->gauges->gauge[i].kind == LW_GAUGE_NONE)
            return thing->gauges->gauge[i];
    return (lw_gauge){.kind = LW_GAUGE_NONE, .rule = LW_GAUGE_NEAREST, .lie_frac = EYE_LIE_FRAC};
}

const lw_gauge *lw_log_gauge(const lw_log_thing *thing, int gauge, lw_gauge *eye)
{
    *eye = lw_log_eye(thing);
    return gauge >= 0 && gauge < thing->gauges->count ? &thing->gauges->gauge[gauge] : eye;
}

static size_t put_marks(char *buf, size_t n, const lw_gauge *gauge)
{
    char share[LW_QUANTITY_BYTES];
    size_t used = (size_t)snprintf(buf, n, "empty, ");
    for (int i = 0; i < gauge->probe_count && used < n; i++)
        used += (size_t)snprintf(buf + used, n - used, "%s, ", lw_log_share(gauge->probe_frac[i], share, sizeof share));
    if (used < n)
        used += (size_t)snprintf(buf + used, n - used, "full");
    return used;
}

static void put_gauge(const lw_log_thing *thing, int at, lw_unit_system units, char *buf, size_t n)
{
    const lw_gauge *gauge = &thing->gauges->gauge[at];
    char amount[LW_QUANTITY_BYTES];
    size_t used;
    switch (gauge->kind) {
    case LW_GAUGE_PROBES:
        used = (size_t)snprintf(buf, n, "%s: ", strcmp(thing->gauges->word[at], "marks") == 0 ? "marks" : "lights");
        if (used < n)
            (void)put_marks(buf + used, n - used, gauge);
        break;
    case LW_GAUGE_PERCENT:
        snprintf(buf, n, "a percentage, such as 40 %%");
        break;
    case LW_GAUGE_VOLTS:
        snprintf(buf, n, "a voltmeter, such as 12.8 V");
        break;
    case LW_GAUGE_HOURS:
        snprintf(buf, n, "an hour meter, such as 412.3 h");
        break;
    case LW_GAUGE_COUNT:
        snprintf(buf, n, "a count of bags, such as 2 bags");
        break;
    case LW_GAUGE_NONE:
        snprintf(buf, n, "the eye, such as 1/2 or %s",
                 lw_amount_print(amount, sizeof amount, thing->supply, 0.5 * thing->capacity, units));
        break;
    default:
        snprintf(buf, n, "%s, such as %s", gauge->kind == LW_GAUGE_SCALE ? "a scale" : "an amount",
                 lw_amount_print(amount, sizeof amount, thing->supply, 0.5 * thing->capacity, units));
    }
}

static void put_gauges(const lw_log_thing *thing, lw_unit_system units, char *buf, size_t n)
{
    size_t used = 0;
    buf[0] = '\0';
    for (int i = 0; i < thing->gauges->count && used < n; i++) {
        used += (size_t)snprintf(buf + used, n - used, "%s", i ? ", or " : "");
        if (used < n)
            put_gauge(thing, i, units, buf + used, n - used);
        used = strlen(buf);
    }
}

char *lw_log_gauges_say(const lw_loaded *rig, int vessel, lw_unit_system units, char *buf, size_t n)
{
    const lw_log_thing thing = lw_log_thing_of(rig, vessel);
    put_gauges(&thing, units, buf, n);
    return buf;
}

/* ---- what was typed ---- */

typedef struct typed {
    const char *text;
    size_t n;
} typed;

static typed trim(const char *text, size_t n)
{
    while (n && *text == ' ')
        text++, n--;
    while (n && text[n - 1] == ' ')
        n--;
    return (typed){text, n};
}

/* Cuts `end` off where it is the last word or words. */
static int cut_end(typed *t, const char *end)
{
    const size_t n = strlen(end);
    if (t->n < n || !lw_log_same(t->text + t->n - n, n, end))
        return 0;
    *t = trim(t->text, t->n - n);
    return 1;
}

static int cut_start(typed *t, const char *start)
{
    const size_t n = strlen(start);
    if (t->n < n || !lw_log_same(t->text, n, start))
        return 0;
    *t = trim(t->text + n, t->n - n);
    return 1;
}

static int is_share(typed t, double *frac)
{
    lw_err unread = {0};
    if (lw_log_same(t.text, t.n, "full") || lw_log_same(t.text, t.n, "empty")) {
        *frac = lw_log_same(t.text, t.n, "full") ? 1.0 : 0.0;
        return 1;
    }
    return !lw_quantity_parse_n(t.text, t.n, LW_DIM_FRACTION, frac, &unread);
}

static int is_amount(typed t, const lw_loaded *rig, lw_supply supply, double *amount)
{
    lw_err unread = {0};
    return supply < LW_SUPPLY_STAY && supply != LW_SUPPLY_BATTERY &&
           !lw_amount_parse_n(t.text, t.n, supply, rig->bag_l, amount, &unread);
}

/* What this gauge would have shown, in its own terms; 0: the text is nothing that such a gauge shows. */
static int shown_on(const lw_loaded *rig, const lw_log_thing *thing, const lw_gauge *gauge, typed t, double *shown)
{
    lw_err unread = {0};
    double value;
    const int is_word = lw_log_same(t.text, t.n, "full") || lw_log_same(t.text, t.n, "empty");
    switch (gauge->kind) {
    case LW_GAUGE_PROBES:
    case LW_GAUGE_PERCENT:
        return is_share(t, shown);
    case LW_GAUGE_VOLTS:
        return !lw_quantity_parse_n(t.text, t.n, LW_DIM_VOLTAGE, shown, &unread);
    case LW_GAUGE_HOURS:
        if (lw_quantity_parse_n(t.text, t.n, LW_DIM_TIME, &value, &unread))
            return 0;
        *shown = value / 3600.0;
        return 1;
    case LW_GAUGE_NONE:
        if (is_share(t, &value)) {
            *shown = value * thing->capacity;
            return 1;
        }
        return is_amount(t, rig, thing->supply, shown);
    default:
        if (is_word && is_share(t, &value)) {
            *shown = value * thing->capacity;
            return 1;
        }
        return is_amount(t, rig, thing->supply, shown);
    }
}

/* A scale weighs the cylinder too; full and empty are of the gas. */
static double less_tare(const lw_log_thing *thing, int gauge, typed t, double shown)
{
    double frac;
    return gauge < thing->gauges->count && !is_share(t, &frac) ? shown - thing->gauges->tare_kg[gauge] : shown;
}

static lw_code refuse_value(const lw_log_thing *thing, typed t, lw_err *err)
{
    char gauges[200];
    put_gauges(thing, LW_UNITS_US, gauges, sizeof gauges);
    if (thing->capacity > 0.0 && thing->vessel >= 0)
        return lw_fail(err, LW_E_SYNTAX, "%s is not what %s shows; it is read by %s; by eye write \"about 1/2\"",
                       t.n ? lw_quoted(t.text, t.n).text : "nothing", thing->name, gauges);
    return lw_fail(err, LW_E_SYNTAX, "%s is not what %s shows; it is read by %s",
                   t.n ? lw_quoted(t.text, t.n).text : "nothing", thing->name, gauges);
}

static lw_code refuse_mark(const lw_log_thing *thing, const lw_gauge *gauge, typed t, lw_err *err)
{
    char marks[160];
    (void)put_marks(marks, sizeof marks, gauge);
    return lw_fail(err, LW_E_RANGE, "%s cannot show %s; it can show %s; by eye write \"about %.20s\"", thing->name,
                   lw_quoted(t.text, t.n).text, marks, lw_quoted(t.text, t.n).text);
}

static lw_code want_possible(const lw_loaded *rig, const lw_log_thing *thing, int at, const lw_gauge *gauge, typed t,
                             double shown, lw_err *err)
{
    double nearest;
    char most[LW_QUANTITY_BYTES];
    const lw_quoted_text typed_text = lw_quoted(t.text, t.n);
    const char *copy = typed_text.text;
    if (gauge->kind == LW_GAUGE_VOLTS) {
        const double nominal_v = rig->scenario->rig.battery.nominal_v;
        if (shown >= VOLTS_LEAST * nominal_v && shown <= VOLTS_MOST * nominal_v)
            return LW_OK;
        return lw_fail(err, LW_E_RANGE, "%s does not fit a battery of %s V", copy, lw_num(nominal_v).text);
    }
    if (gauge->kind == LW_GAUGE_HOURS) {
        if (shown >= 0.0 && shown <= HOURS_MOST)
            return LW_OK;
        return lw_fail(err, LW_E_RANGE, "%s does not fit an engine's hours; from 0 h to 100000 h does", copy);
    }
    if (lw_gauge_can_show(gauge, shown, thing->capacity, &nearest))
        return LW_OK;
    if (gauge->kind == LW_GAUGE_PROBES)
        return refuse_mark(thing, gauge, t, err);
    if (shown < 0.0 && at < thing->gauges->count && thing->gauges->tare_kg[at] > 0.0)
        return lw_fail(err, LW_E_RANGE, "%s is less than the empty cylinder weighs (%s)", copy,
                       lw_quantity_print(most, sizeof most, thing->gauges->tare_kg[at], LW_DIM_MASS, rig->units));
    if (shown < 0.0)
        return lw_fail(err, LW_E_RANGE, "%s is less than nothing", copy);
    if (thing->vessel < 0 || gauge->kind == LW_GAUGE_PERCENT)
        return lw_fail(err, LW_E_RANGE, "%s is more than full", copy);
    return lw_fail(err, LW_E_RANGE, "%s is more than %s holds (%s)", copy, thing->name,
                   lw_amount_print(most, sizeof most, thing->supply, thing->capacity, rig->units));
}

/* The first of the gauges that shows such a thing, and what it showed. */
static lw_code read_shown(const lw_loaded *rig, const lw_log_thing *thing, typed t, int is_by_eye, int *at,
                          double *shown, lw_err *err)
{
    lw_gauge eye = lw_log_eye(thing);
    if (is_by_eye) {
        *at = LW_GAUGES_EACH;
        if (!shown_on(rig, thing, &eye, t, shown))
            return refuse_value(thing, t, err);
        return want_possible(rig, thing, *at, &eye, t, *shown, err);
    }
    for (*at = 0; *at < thing->gauges->count; (*at)++) {
        const lw_gauge *gauge = &thing->gauges->gauge[*at];
        if (shown_on(rig, thing, gauge, t, shown)) {
            *shown = less_tare(thing, *at, t, *shown);
            /* lamps that cannot show it, where a percentage beside them can */
            double nearest;
            if (gauge->kind == LW_GAUGE_PROBES && *at + 1 < thing->gauges->count &&
                !lw_gauge_can_show(gauge, *shown, thing->capacity, &nearest) &&
                thing->gauges->gauge[*at + 1].kind == LW_GAUGE_PERCENT)
                continue;
            return want_possible(rig, thing, *at, gauge, t, *shown, err);
        }
    }
    return refuse_value(thing, t, err);
}

/* "2/3 to 1/3": where the one becomes the other. */
static lw_code read_change(const lw_loaded *rig, const lw_log_thing *thing, typed before, typed now,
                           lw_log_record *record, lw_err *err)
{
    int first;
    lw_code code = read_shown(rig, thing, before, 0, &first, &record->shown_before, err);
    if (!code)
        code = read_shown(rig, thing, now, 0, &record->gauge, &record->shown, err);
    if (code)
        return code;
    const lw_gauge *gauge = &thing->gauges->gauge[record->gauge];
    if (first != record->gauge || gauge->kind == LW_GAUGE_NONE || gauge->kind == LW_GAUGE_VOLTS ||
        gauge->kind == LW_GAUGE_HOURS)
        return lw_fail(err, LW_E_SYNTAX, "a change is of one gauge that shows a level; write what it shows now");
    const int is_up = record->shown > record->shown_before;
    const double edge = lw_gauge_edge(gauge, record->shown_before, is_up, thing->capacity),
                 other = lw_gauge_edge(gauge, record->shown, !is_up, thing->capacity);
    const double slack = gauge->kind == LW_GAUGE_PROBES
                             ? 1e-9 * thing->capacity
                             : STEP_SLACK * gauge->step * (gauge->kind == LW_GAUGE_PERCENT ? thing->capacity : 1.0);
    if (!(fabs(edge - other) <= slack))
        return lw_fail(err, LW_E_CONFLICT,
                       "%s does not go from %.30s straight to %.30s; a change is one step of what it shows",
                       thing->name, lw_quoted(before.text, before.n).text, lw_quoted(now.text, now.n).text);
    record->low = record->high = edge;
    return LW_OK;
}

static const char *find_to(typed t)
{
    for (size_t i = 0; i + 4 <= t.n; i++)
        if (lw_log_same(t.text + i, 4, " to "))
            return t.text + i;
    return NULL;
}

lw_code lw_log_value(const lw_loaded *rig, const char *text, lw_log_record *record, int *is_unknown, lw_err *err)
{
    const lw_log_thing thing = lw_log_thing_read(rig, record);
    lw_gauge eye;
    typed t = trim(text, strlen(text));
    *is_unknown = lw_log_same(t.text, t.n, "?");
    if (*is_unknown)
        return LW_OK;
    record->shown_before = NAN;
    record->is_at_rest = record->vessel == LW_LOG_BATTERY && cut_end(&t, " at rest");
    const int is_by_eye = record->vessel >= 0 && cut_start(&t, "about ");
    const char *to = is_by_eye ? NULL : find_to(t);
    lw_code code;
    if (to) {
        const size_t head = (size_t)(to - t.text);
        code = read_change(rig, &thing, trim(t.text, head), trim(to + 4, t.n - head - 4), record, err);
    } else {
        code = read_shown(rig, &thing, t, is_by_eye, &record->gauge, &record->shown, err);
    }
    if (code)
        return code;
    const lw_gauge *gauge = lw_log_gauge(&thing, record->gauge, &eye);
    record->lie_frac = gauge->lie_frac;
    snprintf(record->unit, sizeof record->unit, "%s", gauge->kind == LW_GAUGE_VOLTS ? "v" : thing.unit);
    if (record->is_at_rest && gauge->kind != LW_GAUGE_VOLTS)
        return lw_fail(err, LW_E_CONFLICT, "at rest is said of volts, such as battery=\"12.6V at rest\"");
    if (!to)
        lw_gauge_says(gauge, record->shown, thing.capacity, &record->low, &record->high);
    return LW_OK;
}
