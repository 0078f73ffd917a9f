#include "service/entries_apply.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/yaml_tree.h"
#include "service/log_internal.h"
#include "text/decimal.h"
#include "text/say.h"

static const double BRIM_SD_FRAC = 0.02;   /* of capacity */
static const double AMOUNT_SD_FRAC = 0.05; /* of the amount */
static const double METERED_FRAC = 0.05;   /* of it, on either side, where it was put in until full */
static const double METERED_LIE_FRAC = 0.03;

/* ---- to an entry ---- */

static lw_entry_kind kind_of(const lw_loaded *rig, const lw_log_record *record)
{
    switch (record->kind) {
    case LW_LOG_READING:
        return record->vessel == LW_LOG_GENERATOR ? LW_ENTRY_ENGINE_HOURS : LW_ENTRY_READING;
    case LW_LOG_FILLED:
        return rig->scenario->rig.vessel[record->vessel].supply == LW_SUPPLY_FUEL ? LW_ENTRY_REFUELLED
                                                                                  : LW_ENTRY_FILLED;
    case LW_LOG_DUMPED:
        return rig->scenario->rig.vessel[record->vessel].supply == LW_SUPPLY_RUBBISH ? LW_ENTRY_RUBBISH_DROPPED
                                                                                     : LW_ENTRY_DUMPED;
    case LW_LOG_GAVE:
        return LW_ENTRY_GIVEN;
    case LW_LOG_RECEIVED:
        return LW_ENTRY_RECEIVED;
    case LW_LOG_SANITISED:
        return LW_ENTRY_SANITISED;
    case LW_LOG_PEOPLE:
        return LW_ENTRY_PEOPLE;
    case LW_LOG_MOVED:
        return LW_ENTRY_MOVED;
    case LW_LOG_SPENT:
        return LW_ENTRY_EXPENSE;
    default:
        return LW_ENTRY_HABIT_CHANGE;
    }
}

/* In single quotes, as YAML writes a text that is to stay as it is. */
static void put_text(char *buf, size_t n, const char *key, const char *text)
{
    size_t used = strlen(buf);
    used += (size_t)snprintf(buf + used, n - used, "%s%s: '", used ? ", " : "{", key);
    for (; *text && used + 4 < n; text++) {
        if (*text == '\'')
            buf[used++] = '\'';
        buf[used++] = *text;
    }
    snprintf(buf + used, n - used, "'");
}

static void put_number(char *buf, size_t n, const char *key, double value)
{
    char number[LW_DECIMAL_BYTES];
    lw_decimal_print_digits(number, sizeof number, value, 15);
    put_text(buf, n, key, number);
}

static const char *party_key(lw_log_kind kind)
{
    return kind == LW_LOG_MOVED ? "place" : kind == LW_LOG_SPENT ? "what" : "party";
}

static void put_detail(const lw_loaded *rig, const lw_log_record *record, const char *line, char *buf, size_t n)
{
    buf[0] = '\0';
    if (record->kind == LW_LOG_READING) {
        const lw_log_thing thing = lw_log_thing_read(rig, record);
        put_text(buf, n, "gauge", record->gauge < thing.gauges->count ? thing.gauges->word[record->gauge] : "eye");
        put_number(buf, n, "shown", record->shown);
        if (!isnan(record->shown_before))
            put_number(buf, n, "shown_before", record->shown_before);
        put_number(buf, n, "lie_frac", record->lie_frac);
        if (record->is_at_rest)
            put_text(buf, n, "at_rest", "yes");
        if (isinf(record->low))
            put_text(buf, n, "open_low", "yes");
        if (isinf(record->high))
            put_text(buf, n, "open_high", "yes");
    }
    if (record->is_brim)
        put_text(buf, n, "brim", "yes");
    if (line)
        put_text(buf, n, "line", line);
    if (record->kind == LW_LOG_PEOPLE) {
        put_number(buf, n, "change", record->people);
        if (record->is_kind_said)
            put_number(buf, n, "being", (double)record->being);
        if (record->until_s)
            put_number(buf, n, "until_s", (double)record->until_s);
    }
    if (record->party[0])
        put_text(buf, n, party_key(record->kind), record->party);
    const size_t used = strlen(buf);
    if (used)
        snprintf(buf + used, n - used, "}");
}

static void put_target(const lw_loaded *rig, const lw_log_record *record, char *buf, size_t n)
{
    const char *supply =
        record->vessel >= 0 ? lw_supply_word(rig->scenario->rig.vessel[record->vessel].supply) : record->target;
    if (record->also || strcmp(supply, record->target) == 0)
        snprintf(buf, n, "%s", record->target);
    else
        snprintf(buf, n, "%s/%s", supply, record->target);
}

void lw_entry_of_record(const lw_loaded *rig, const lw_log_record *record, int people, const char *line,
                        lw_entry_room *room, lw_entry *entry)
{
    put_target(rig, record, room->target, sizeof room->target);
    put_detail(rig, record, line, room->detail, sizeof room->detail);
    *entry = (lw_entry){.stated_s = record->at_s,
                        .kind = kind_of(rig, record),
                        .target = room->target[0] ? room->target : NULL,
                        .low = isinf(record->low) ? 0.0 : record->low,
                        .high = record->high,
                        .amount = record->kind == LW_LOG_PEOPLE ? people : record->amount,
                        .unit = record->unit[0] ? record->unit : NULL,
                        .said = record->text,
                        .detail = room->detail[0] ? room->detail : NULL};
    if (isinf(record->high))
        entry->high = lw_log_thing_read(rig, record).capacity;
}

/* ---- from an entry ---- */

static const char *text_at(const lw_yaml *detail, const char *key)
{
    const lw_yaml_node *node = detail->root ? lw_yaml_child(detail->root, key) : NULL;
    return node && node->kind == LW_YAML_SCALAR ? node->text : "";
}

static double number_at(const lw_yaml *detail, const char *key)
{
    const char *text = text_at(detail, key);
    double value;
    return lw_decimal_parse(text, text + strlen(text), &value) ? value : NAN;
}

static int is_yes(const lw_yaml *detail, const char *key)
{
    return strcmp(text_at(detail, key), "yes") == 0;
}

char *lw_entry_line(const lw_entry *entry, char *buf, size_t n)
{
    lw_yaml detail = {0};
    lw_err unread = {0};
    buf[0] = '\0';
    if (entry->detail && !lw_yaml_read(&detail, "detail", entry->detail, strlen(entry->detail), &unread))
        snprintf(buf, n, "%s", text_at(&detail, "line"));
    lw_yaml_clear(&detail);
    return buf;
}

char *lw_entry_place(const lw_entry *entry, char *buf, size_t n)
{
    lw_yaml detail = {0};
    lw_err unread = {0};
    buf[0] = '\0';
    if (entry->kind == LW_ENTRY_MOVED && entry->detail &&
        !lw_yaml_read(&detail, "detail", entry->detail, strlen(entry->detail), &unread))
        snprintf(buf, n, "%s", text_at(&detail, "place"));
    lw_yaml_clear(&detail);
    return buf;
}

static int log_kind_of(lw_entry_kind kind, lw_log_kind *to)
{
    static const struct {
        lw_entry_kind kind;
        lw_log_kind log;
    } ROW[] = {
        {LW_ENTRY_READING, LW_LOG_READING},     {LW_ENTRY_ENGINE_HOURS, LW_LOG_READING},
        {LW_ENTRY_FILLED, LW_LOG_FILLED},       {LW_ENTRY_REFUELLED, LW_LOG_FILLED},
        {LW_ENTRY_DUMPED, LW_LOG_DUMPED},       {LW_ENTRY_RUBBISH_DROPPED, LW_LOG_DUMPED},
        {LW_ENTRY_GIVEN, LW_LOG_GAVE},          {LW_ENTRY_RECEIVED, LW_LOG_RECEIVED},
        {LW_ENTRY_PEOPLE, LW_LOG_PEOPLE},       {LW_ENTRY_MOVED, LW_LOG_MOVED},
        {LW_ENTRY_HABIT_CHANGE, LW_LOG_HABITS}, {LW_ENTRY_SANITISED, LW_LOG_SANITISED},
        {LW_ENTRY_EXPENSE, LW_LOG_SPENT},
    };
    for (size_t i = 0; i < sizeof ROW / sizeof ROW[0]; i++)
        if (ROW[i].kind == kind) {
            *to = ROW[i].log;
            return 1;
        }
    return 0;
}

static int gauge_named(const lw_log_thing *thing, const char *word)
{
    for (int i = 0; i < thing->gauges->count; i++)
        if (strcmp(thing->gauges->word[i], word) == 0)
            return i;
    return LW_GAUGES_EACH;
}

static void fill_reading(const lw_loaded *rig, const lw_entry *entry, const lw_yaml *detail, lw_log_record *to)
{
    const lw_log_thing thing = lw_log_thing_read(rig, to);
    const double lie_frac = number_at(detail, "lie_frac");
    lw_gauge eye;
    to->gauge = gauge_named(&thing, text_at(detail, "gauge"));
    to->shown = number_at(detail, "shown");
    to->shown_before = number_at(detail, "shown_before");
    to->lie_frac = isnan(lie_frac) ? lw_log_gauge(&thing, to->gauge, &eye)->lie_frac : lie_frac;
    to->is_at_rest = is_yes(detail, "at_rest");
    to->low = is_yes(detail, "open_low") ? -INFINITY : entry->low;
    to->high = is_yes(detail, "open_high") ? INFINITY : entry->high;
}

static void fill_people(const lw_yaml *detail, lw_log_record *to)
{
    const double change = number_at(detail, "change"), being = number_at(detail, "being"),
                 until_s = number_at(detail, "until_s");
    to->people = isnan(change) ? 0 : (int)change;
    to->is_kind_said = being >= 0.0 && being <= (double)LW_BEING_CHILD;
    to->being = to->is_kind_said ? (lw_being)being : LW_BEING_ADULT;
    to->until_s = isnan(until_s) ? 0 : (int64_t)until_s;
}

int lw_record_of_entry(const lw_loaded *rig, const lw_entry *entry, lw_log_record *record)
{
    lw_log_record made = {.at_s = entry->stated_s,
                          .vessel = LW_LOG_NOTHING,
                          .low = NAN,
                          .high = NAN,
                          .shown = NAN,
                          .shown_before = NAN,
                          .gauge = LW_GAUGES_EACH,
                          .amount = NAN};
    lw_yaml detail = {0};
    lw_err unread = {0};
    if (!log_kind_of(entry->kind, &made.kind))
        return 0;
    if (made.kind < LW_LOG_PEOPLE) {
        int vessel[LW_VESSELS];
        const char *target = entry->target ? entry->target : "";
        if (made.kind == LW_LOG_READING && lw_log_find_all(rig, target, strlen(target), vessel, &made.also))
            snprintf(made.target, sizeof made.target, "%.31s", target);
        else if (lw_log_find(rig, target, strlen(target), vessel, &unread) != 1)
            return 0;
        made.vessel = vessel[0];
        if (!made.also)
            snprintf(made.target, sizeof made.target, "%s", lw_log_thing_of(rig, made.vessel).name);
    } else if (made.kind == LW_LOG_SPENT)
        snprintf(made.target, sizeof made.target, "%.31s", entry->target ? entry->target : "");
    /* a detail that cannot be read leaves what it would have said unsaid: the tree is empty then */
    unread = (lw_err){0};
    if (entry->detail)
        (void)!lw_yaml_read(&detail, "detail", entry->detail, strlen(entry->detail), &unread);
    snprintf(made.unit, sizeof made.unit, "%.15s", entry->unit ? entry->unit : "");
    snprintf(made.text, sizeof made.text, "%.95s", entry->said ? entry->said : "");
    if (made.kind == LW_LOG_READING)
        fill_reading(rig, entry, &detail, &made);
    else if (made.kind == LW_LOG_PEOPLE)
        fill_people(&detail, &made);
    else
        made.amount = entry->amount, made.is_brim = is_yes(&detail, "brim");
    snprintf(made.party, sizeof made.party, "%.31s", text_at(&detail, party_key(made.kind)));
    lw_yaml_clear(&detail);
    *record = made;
    return 1;
}

/* ---- applying ---- */

void lw_applied_clear(lw_applied *applied)
{
    free(applied->reading);
    free(applied->volts);
    free(applied->hours);
    memset(applied, 0, sizeof *applied);
}

static int take_space(lw_applied *to, size_t count)
{
    to->reading = calloc(count + 1, sizeof *to->reading);
    to->volts = calloc(count + 1, sizeof *to->volts);
    to->hours = calloc(count + 1, sizeof *to->hours);
    return to->reading && to->volts && to->hours;
}

/* By time: an earlier moment may come behind a later one. */
static void add_reading(const lw_reading *r, lw_applied *to)
{
    int at = to->reading_count++;
    for (; at > 0 && to->reading[at - 1].at_s > r->at_s; at--)
        to->reading[at] = to->reading[at - 1];
    to->reading[at] = *r;
}

/* What a figure is of, and without what the gauge shows too much. */
static void set_what(const lw_loaded *rig, const lw_log_record *r, lw_reading *to)
{
    const lw_gauges *gauges = r->vessel >= 0 ? &rig->vessel_gauges[r->vessel] : NULL;
    const lw_gauge_kind kind = gauges && r->gauge < gauges->count ? gauges->gauge[r->gauge].kind : LW_GAUGE_NONE;
    if (!gauges || (kind != LW_GAUGE_PROBES && kind != LW_GAUGE_PERCENT && kind != LW_GAUGE_NONE))
        return;
    to->what = kind == LW_GAUGE_NONE ? LW_READ_SHARE : LW_READ_GAUGE;
    if (to->what == LW_READ_GAUGE) {
        const double bias = gauges->bias_frac[r->gauge] * lw_log_thing_read(rig, r).capacity;
        to->low -= bias, to->high -= bias;
    }
}

static void apply_reading(const lw_loaded *rig, const lw_log_record *r, lw_applied *to)
{
    const int is_hours = r->vessel == LW_LOG_GENERATOR, is_volts = strcmp(r->unit, "v") == 0;
    if (is_hours || is_volts) {
        const lw_meter_reading meter = {
            .at_s = r->at_s, .low = r->low, .high = r->high, .lie_frac = r->lie_frac, .is_at_rest = r->is_at_rest};
        if (is_hours)
            to->hours[to->hours_count++] = meter;
        else
            to->volts[to->volts_count++] = meter;
        return;
    }
    lw_reading reading = {
        .at_s = r->at_s, .vessel = r->vessel, .low = r->low, .high = r->high, .lie_frac = r->lie_frac, .also = r->also};
    set_what(rig, r, &reading);
    add_reading(&reading, to);
}

/* What went in until it was full is what was missing the moment before. */
static void apply_metered(const lw_log_record *r, lw_applied *to)
{
    add_reading(&(lw_reading){.at_s = r->at_s - 1,
                              .vessel = r->vessel,
                              .low = (1.0 - METERED_FRAC) * r->amount,
                              .high = (1.0 + METERED_FRAC) * r->amount,
                              .lie_frac = METERED_LIE_FRAC,
                              .what = LW_READ_ROOM},
                to);
}

void lw_transfer_of_record(const lw_loaded *rig, const lw_log_record *r, lw_transfer *transfer, double *sd)
{
    const lw_vessel *vessel = &rig->scenario->rig.vessel[r->vessel];
    const int is_out = r->kind == LW_LOG_DUMPED || r->kind == LW_LOG_GAVE, is_all = isnan(r->amount) || r->is_brim;
    *transfer = (lw_transfer){.at_s = r->at_s,
                              .vessel = r->vessel,
                              .kind = !is_all  ? LW_TRANSFER_ADD
                                      : is_out ? LW_TRANSFER_EMPTY
                                               : LW_TRANSFER_FILL,
                              .amount = is_all   ? 0.0
                                        : is_out ? -r->amount
                                                 : r->amount,
                              .potable = r->kind == LW_LOG_RECEIVED ? LW_POTABLE_UNKNOWN : vessel->potable};
    snprintf(transfer->why, sizeof transfer->why, "%.31s", r->party[0] ? r->party : lw_log_verb(r->kind));
    *sd = is_all ? BRIM_SD_FRAC * vessel->capacity : AMOUNT_SD_FRAC * r->amount;
}

static lw_code apply_transfer(const lw_loaded *rig, const lw_log_record *r, lw_applied *to, lw_err *err)
{
    if (r->vessel < 0)
        return LW_OK;
    if (to->transfer_count == LW_TRANSFERS)
        return lw_fail(err, LW_E_FULL, "more than %d fills, dumps and gifts in one stay", LW_TRANSFERS);
    const int at = to->transfer_count++;
    lw_transfer_of_record(rig, r, &to->transfer[at], &to->transfer_sd[at]);
    return LW_OK;
}

void lw_entries_potable(const lw_loaded *rig, const lw_entries *entries, lw_potable potable[LW_VESSELS])
{
    for (int v = 0; v < rig->scenario->rig.vessel_count; v++)
        potable[v] = rig->scenario->rig.vessel[v].potable;
    for (size_t i = 0; i < entries->count; i++) {
        lw_log_record record;
        if (entries->entry[i].is_undone || !lw_record_of_entry(rig, &entries->entry[i], &record) || record.vessel < 0)
            continue;
        if (record.kind == LW_LOG_SANITISED)
            potable[record.vessel] = LW_POTABLE_YES;
        else if (record.kind == LW_LOG_RECEIVED && potable[record.vessel] == LW_POTABLE_YES)
            potable[record.vessel] = LW_POTABLE_UNKNOWN;
    }
}

lw_code lw_entries_apply(const lw_loaded *rig, const lw_entries *entries, lw_applied *applied, lw_err *err)
{
    memset(applied, 0, sizeof *applied);
    lw_code code = take_space(applied, entries->count) ? LW_OK : lw_fail(err, LW_E_FULL, "not enough memory");
    for (size_t i = 0; i < entries->count && !code; i++) {
        const lw_entry *entry = &entries->entry[i];
        lw_log_record record;
        lw_log_kind kind;
        if (entry->is_undone || !log_kind_of(entry->kind, &kind))
            continue;
        if (entry->is_clock_doubted || !lw_record_of_entry(rig, entry, &record)) {
            applied->passed_over++;
            continue;
        }
        if (kind == LW_LOG_READING)
            apply_reading(rig, &record, applied);
        else if (kind == LW_LOG_HABITS)
            applied->habits_changed_s = record.at_s;
        else if (kind < LW_LOG_PEOPLE && kind != LW_LOG_SANITISED)
            code = apply_transfer(rig, &record, applied, err);
        if (!code && record.is_brim && record.vessel >= 0)
            apply_metered(&record, applied);
    }
    if (code)
        lw_applied_clear(applied);
    return code;
}
