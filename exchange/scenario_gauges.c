#include <math.h>
#include <stdio.h>
#include <string.h>

#include "exchange/amount.h"
#include "exchange/scenario_internal.h"
#include "text/quantity.h"
#include "text/say.h"

/* Words of rig.gauge[].kind in the order of the table of keys. */
static const lw_gauge_kind KIND_OF_WORD[] = {
    LW_GAUGE_NONE,   LW_GAUGE_PROBES, LW_GAUGE_PROBES, LW_GAUGE_PROBES, LW_GAUGE_PROBES, LW_GAUGE_PERCENT,
    LW_GAUGE_AMOUNT, LW_GAUGE_SCALE,  LW_GAUGE_COUNT,  LW_GAUGE_VOLTS,  LW_GAUGE_HOURS,
};

static const char *thing(lw_supply supply)
{
    return supply == LW_SUPPLY_COUNT ? "generator" : lw_supply_word(supply);
}

/* What can be read of it at all. */
static int fits(lw_gauge_kind kind, lw_supply supply)
{
    switch (kind) {
    case LW_GAUGE_HOURS:
        return supply == LW_SUPPLY_COUNT;
    case LW_GAUGE_VOLTS:
        return supply == LW_SUPPLY_BATTERY;
    case LW_GAUGE_SCALE:
        return supply == LW_SUPPLY_PROPANE;
    case LW_GAUGE_COUNT:
        return supply == LW_SUPPLY_RUBBISH;
    case LW_GAUGE_NONE:
        return 1;
    case LW_GAUGE_PERCENT:
        return supply != LW_SUPPLY_COUNT;
    default:
        return supply != LW_SUPPLY_COUNT && supply != LW_SUPPLY_BATTERY;
    }
}

/* "1/4, 1/2, 3/4", lowest first. 0: it is not that; err has the sentence. */
static int read_heights(const char *text, lw_gauge *gauge, lw_err *err)
{
    gauge->probe_count = 0;
    for (const char *at = text;; at++) {
        const size_t n = strcspn(at, ",");
        if (gauge->probe_count == LW_PROBES) {
            (void)lw_fail(err, LW_E_FULL, "more than %d heights", LW_PROBES);
            return 0;
        }
        if (lw_quantity_parse_n(at, n, LW_DIM_FRACTION, &gauge->probe_frac[gauge->probe_count++], err))
            return 0;
        at += n;
        if (!*at)
            return 1;
    }
}

/* In the vessel's unit; a share is one of the capacity. */
static lw_code read_step(const lw_reader *r, const char *text, lw_supply supply, double capacity, lw_gauge *gauge,
                         lw_err *err)
{
    lw_err unread = {0};
    double frac;
    const size_t n = strlen(text);
    if (gauge->kind == LW_GAUGE_VOLTS)
        return lw_quantity_parse(text, LW_DIM_VOLTAGE, &gauge->step, err);
    if (gauge->kind == LW_GAUGE_HOURS) {
        const lw_code code = lw_quantity_parse(text, LW_DIM_TIME, &gauge->step, err);
        gauge->step /= 3600.0;
        return code;
    }
    if (gauge->kind == LW_GAUGE_PERCENT)
        return lw_quantity_parse(text, LW_DIM_FRACTION, &gauge->step, err);
    /* a bare number is bags where bags are counted */
    if (gauge->kind != LW_GAUGE_COUNT && !lw_quantity_parse(text, LW_DIM_FRACTION, &frac, &unread)) {
        gauge->step = frac * capacity;
        return LW_OK;
    }
    return lw_amount_parse_n(text, n, supply, r->out->bag_l, &gauge->step, err);
}

/* A cell of data/gauges.csv: of this thing, or else of any gauge of the kind. */
static const char *usual_cell(const lw_table *usual, const char *of, const char *gauge, const char *column)
{
    const char *general = "";
    for (int row = 0; row < usual->rows; row++) {
        if (strcmp(lw_table_cell(usual, row, "gauge"), gauge) != 0)
            continue;
        const char *cell = lw_table_cell(usual, row, column);
        if (*cell && strcmp(lw_table_cell(usual, row, "of"), of) == 0)
            return cell;
        if (strcmp(lw_table_cell(usual, row, "of"), "any") == 0)
            general = cell;
    }
    return general;
}

/* `in` without a node: all by the table. */
static void read_gauge(lw_reader *r, const lw_scope *in, const lw_table *usual, const char *word, lw_supply supply,
                       double capacity, lw_gauges *to)
{
    const char *given;
    lw_value value;
    lw_err own = {0};
    lw_fault fault = {0};
    lw_gauge *gauge = &to->gauge[to->count];
    int kind = 0;
    char buf[LW_NAME];
    const lw_key *row = lw_key_at("rig.gauge[].kind");
    while (lw_word_at(row->words, kind, buf, sizeof buf) && strcmp(buf, word) != 0)
        kind++;
    *gauge = (lw_gauge){.kind = KIND_OF_WORD[kind]};
    snprintf(to->word[to->count], sizeof to->word[0], "%.31s", word);
    if (!fits(gauge->kind, supply)) {
        lw_read_refuse(r, in, NULL, LW_E_CONFLICT, "%s cannot be read by %s", thing(supply), word);
        return;
    }
    given = lw_read_text(r, in, "at");
    if (given && gauge->kind != LW_GAUGE_PROBES)
        lw_read_refuse(r, in, "at", LW_E_CONFLICT, "%s has no lamps or marks; leave at out, or write lights or marks",
                       word);
    if (gauge->kind == LW_GAUGE_PROBES &&
        !read_heights(given ? given : usual_cell(usual, thing(supply), word, "at"), gauge, &own))
        lw_read_refuse(r, in, "at", own.code, "%s", own.text);
    gauge->rule =
        strcmp(usual_cell(usual, thing(supply), word, "rule"), "nearest") == 0 ? LW_GAUGE_NEAREST : LW_GAUGE_REACHED;
    if (lw_read_is_given(r, in, "rule") && lw_read_value(r, in, "rule", &value))
        gauge->rule = (lw_gauge_rule)value.word;
    given = lw_read_text(r, in, "step");
    if (given && gauge->kind == LW_GAUGE_PROBES)
        lw_read_refuse(r, in, "step", LW_E_CONFLICT,
                       "lamps and marks have heights, not a step; write at: 1/4, 1/2, 3/4");
    if (!r->code && gauge->kind != LW_GAUGE_PROBES) {
        own = (lw_err){0};
        if (read_step(r, given ? given : usual_cell(usual, thing(supply), word, "step"), supply, capacity, gauge, &own))
            lw_read_refuse(r, in, "step", own.code, "%s", own.text);
    }
    given = usual_cell(usual, thing(supply), word, "lie_frac");
    gauge->lie_frac = lw_read_si(r, in, "lie");
    if (isnan(gauge->lie_frac) && lw_quantity_parse(given, LW_DIM_FRACTION, &gauge->lie_frac, &own))
        gauge->lie_frac = 0.0;
    to->bias_frac[to->count] = lw_read_unsure(r, in, "bias", "bias", &to->bias_sd[to->count]);
    if (isnan(to->bias_frac[to->count]))
        to->bias_frac[to->count] = to->bias_sd[to->count] = 0.0;
    if (lw_read_is_given(r, in, "bias") &&
        ((gauge->kind != LW_GAUGE_PROBES && gauge->kind != LW_GAUGE_PERCENT) ||
         (supply != LW_SUPPLY_FRESH && supply != LW_SUPPLY_GREY && supply != LW_SUPPLY_BLACK)))
        lw_read_refuse(r, in, "bias", LW_E_CONFLICT, "only lamps, marks and percentages of water tanks have a bias");
    const double tare_kg = lw_read_si(r, in, "tare");
    to->tare_kg[to->count] = isnan(tare_kg) ? 0.0 : tare_kg;
    if (!isnan(tare_kg) && gauge->kind != LW_GAUGE_SCALE)
        lw_read_refuse(r, in, "tare", LW_E_CONFLICT, "only what is weighed has a tare; write kind: scale");
    if (!r->code && lw_gauge_check(gauge, &fault)) {
        if (strcmp(fault.field, "probe_frac") == 0)
            lw_read_refuse(r, in, "at", LW_E_RANGE, "heights go up, from above empty to below 97 %%, and stand apart");
        else
            lw_read_refuse(r, in, strcmp(fault.field, "step") == 0 ? "step" : NULL, LW_E_RANGE,
                           "this step does not fit; it is more than nothing, of a percentage at most 50 %%");
    }
    to->count++;
}

void lw_read_gauges(lw_reader *r, const lw_scope *in, lw_supply supply, double capacity, lw_gauges *gauges)
{
    lw_table usual = {0};
    lw_scope items[LW_ITEMS];
    *gauges = (lw_gauges){0};
    if (r->code)
        return;
    r->code = lw_table_open("gauges", &usual, r->err);
    const int count = lw_read_items(r, in, "gauge", items);
    if (count > LW_GAUGES_EACH)
        lw_read_refuse(r, in, "gauge", LW_E_FULL, "%d gauges; at most %d fit", count, LW_GAUGES_EACH);
    for (int i = 0; i < count && !r->code; i++) {
        char word[LW_NAME];
        const int kind =
            lw_read_is_given(r, &items[i], "kind") || items[i].text[0] ? lw_read_word(r, &items[i], "kind") : 0;
        if (kind < 0 || !lw_word_at(lw_key_at("rig.gauge[].kind")->words, kind, word, sizeof word))
            continue;
        read_gauge(r, &items[i], &usual, word, supply, capacity, gauges);
    }
    gauges->is_usual = count == 0;
    for (int row = 0; row < usual.rows && count == 0 && !r->code && gauges->count < LW_GAUGES_EACH; row++) {
        const lw_scope absent = {.key = lw_key_under(in->path, "gauge"), .path = "rig.gauge[]", .label = "gauge"};
        if (strcmp(lw_table_cell(&usual, row, "of"), thing(supply)) == 0)
            read_gauge(r, &absent, &usual, lw_table_cell(&usual, row, "gauge"), supply, capacity, gauges);
    }
    lw_table_clear(&usual);
}
