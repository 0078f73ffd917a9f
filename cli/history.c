/* leeway history: what was logged, as lines, as CSV or JSON; and signal by hour of day. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli/command.h"
#include "cli/help.h"
#include "cli/kept.h"
#include "cli/options.h"
#include "cli/out.h"
#include "cli/screen.h"
#include "service/checklist.h"
#include "service/household.h"
#include "service/csv_row.h"
#include "service/entries_apply.h"
#include "service/json.h"
#include "service/ledger.h"
#include "service/signal_log.h"
#include "service/words.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/quantity.h"
#include "text/say.h"

enum { HELP, BOOK, SINCE, SIGNAL, CSV, JSON, UNDONE, NOW, DECIMALS = 6 };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [BOOK] = {"book", 'b', "FILE", 0, "the book; without it leeway/book.sqlite in the data folder of this user"},
    [SINCE] =
        {"since", 's', "TIME", 0,
         "from then on: 2026-06-12, \"2026-06-12 7:30\", or how long ago: \"3 days\"; without it from arrival on"},
    [SIGNAL] = {"signal", 0, NULL, 0, "signal by hour of day, Monday to Friday and the weekend apart"},
    [CSV] = {"csv", 0, NULL, 0, "as CSV with a header line; times in UTC and by the clock of the place"},
    [JSON] = {"json", 'j', NULL, 0, "as JSON"},
    [UNDONE] = {"undone", 0, NULL, 0, "what was taken back as well"},
    [NOW] = {"now", 0, "TIME", 0, "take this for the time it is, such as 2026-06-18T13:30Z: to try things out"},
};

static const lw_example EXAMPLES[] = {
    {"leeway history", "all that was logged in this stay"},
    {"leeway history --since \"3 days\" --csv", "the last three days as a table for a spreadsheet"},
    {"leeway history --signal", "when the connection carries and when it does not"},
};

typedef struct order {
    lw_kept_order kept;
    const char *since;
    int is_signal, is_csv, is_json, has_undone;
} order;

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    if (option == BOOK)
        o->kept.book = value;
    if (option == SINCE)
        o->since = value;
    o->is_signal |= option == SIGNAL;
    o->is_csv |= option == CSV;
    o->is_json |= option == JSON;
    o->has_undone |= option == UNDONE;
    return option == NOW ? lw_kept_now(value, &o->kept, err) : LW_OK;
}

/* What is shown: the entries and the rig by whose names they are told. */
typedef struct stay_zone {
    int64_t stay;
    lw_zone zone;
} stay_zone;

typedef struct shown {
    lw_household home;
    stay_zone *zone; /* of every stay among the entries */
    size_t zone_count;
    lw_entries entries;
    lw_entries doubted; /* whose time is not known: behind all others */
    lw_signal_row *signal;
    size_t signal_count;
} shown;

static lw_code since_of(const order *o, const shown *s, int64_t *from_s, lw_err *err)
{
    *from_s = s->home.arrival_s;
    if (!o->since)
        return LW_OK;
    if (lw_since_read(o->since, o->kept.here_s, &s->home.loaded.zone, from_s, err))
        return lw_err_at(err, "--since", 0, NULL);
    return LW_OK;
}

static void say(const shown *s, const lw_entry *entry, char *buf, size_t n)
{
    lw_log_record record;
    lw_signal signal;
    if (entry->kind == LW_ENTRY_SIGNAL) {
        lw_signal_of_entry(entry, &signal);
        lw_signal_say(&signal, buf, n);
    } else if (entry->kind == LW_ENTRY_TICK) {
        (void)lw_checklist_entry_say(entry, buf, n);
    } else if (lw_record_of_entry(&s->home.loaded, entry, &record)) {
        lw_log_say(&s->home.loaded, &record, s->home.loaded.units, buf, n);
    } else {
        snprintf(buf, n, "%s%s%s%s%s", lw_entry_word(entry->kind), entry->target ? " " : "",
                 entry->target ? entry->target : "", entry->said ? ": " : "", entry->said ? entry->said : "");
    }
}

static size_t count_of(const shown *s)
{
    return s->entries.count + s->doubted.count;
}

static const lw_entry *entry_at(const shown *s, size_t at)
{
    return at < s->entries.count ? &s->entries.entry[at] : &s->doubted.entry[at - s->entries.count];
}

/* What was kept under a doubted clock stands at no time of its own: it is taken out from among the others. */
static lw_code part_doubted(lw_book *book, const lw_history *which, shown *s, lw_err *err)
{
    size_t count = 0;
    for (size_t i = 0; i < s->entries.count; i++)
        if (!s->entries.entry[i].is_clock_doubted)
            s->entries.entry[count++] = s->entries.entry[i];
    s->entries.count = count;
    return lw_book_history(book,
                           &(lw_history){.is_doubted_only = 1, .is_oldest_first = 1, .has_undone = which->has_undone},
                           &s->doubted, err);
}

/* An entry is told by the clock of the place it was made at, wherever the rig is now. */
static const lw_zone *zone_of(const shown *s, const lw_entry *entry)
{
    for (size_t i = 0; i < s->zone_count; i++)
        if (s->zone[i].stay == entry->stay)
            return &s->zone[i].zone;
    return &s->home.loaded.zone;
}

static lw_code gather_zones(lw_book *book, shown *s, lw_err *err)
{
    lw_code code = LW_OK;
    for (size_t i = 0; i < count_of(s) && !code; i++) {
        const lw_entry *entry = entry_at(s, i);
        int is_known = !entry->stay || entry->stay == s->home.stay;
        for (size_t k = 0; k < s->zone_count && !is_known; k++)
            is_known = s->zone[k].stay == entry->stay;
        if (is_known)
            continue;
        stay_zone *more = realloc(s->zone, (s->zone_count + 1) * sizeof *more);
        if (!more)
            return lw_fail(err, LW_E_FULL, "not enough memory");
        s->zone = more;
        s->zone[s->zone_count].stay = entry->stay;
        code = lw_clock_zone(book, entry->stay, entry->stated_s, &s->zone[s->zone_count].zone, err);
        s->zone_count += !code;
    }
    return code;
}

/* "Thu 18 Jun 07:30"; with the zone's letters where the entries are of several. Gives buf. */
static char *when_say(const shown *s, const lw_entry *entry, char *buf, size_t n)
{
    const lw_zone *zone = zone_of(s, entry);
    if (entry->is_clock_doubted) {
        snprintf(buf, n, "time not known");
        return buf;
    }
    (void)lw_when_print(buf, n, zone, entry->stated_s, 0);
    if (s->zone_count > 0) {
        const size_t used = strlen(buf);
        snprintf(buf + used, n - used, " %s", lw_clock_at(zone, entry->stated_s).letters);
    }
    return buf;
}

/* ---- lines ---- */

static void entry_cell(const void *context, int row, int column, char *buf, size_t n)
{
    const shown *s = context;
    const lw_entry *entry = entry_at(s, (size_t)row);
    char said[LW_LOG_SAID];
    if (column == 0) {
        (void)when_say(s, entry, buf, n);
        return;
    }
    say(s, entry, said, sizeof said);
    snprintf(buf, n, "%s%s", said, entry->is_undone ? " (taken back)" : "");
}

static void number_cell(char *buf, size_t n, double value)
{
    if (isnan(value))
        buf[0] = '\0';
    else
        lw_decimal_print_digits(buf, n, value, 3);
}

static void signal_cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[] = {"", "days", "hour", "times", "dBm", "bars", "down Mbit/s", "up Mbit/s"};
    if (row == 0) {
        snprintf(buf, n, "%s", HEAD[column]);
        return;
    }
    const lw_signal_row *r = &((const shown *)context)->signal[row - 1];
    switch (column) {
    case 0:
        if (r->calls_asked)
            snprintf(buf, n, "%s (calls: %d of %d)", r->what, r->calls, r->calls_asked);
        else
            snprintf(buf, n, "%s", r->what);
        break;
    case 1:
        snprintf(buf, n, "%s", r->is_weekend ? "Sat-Sun" : "Mon-Fri");
        break;
    case 2:
        snprintf(buf, n, "%02d:00", r->hour);
        break;
    case 3:
        snprintf(buf, n, "%d", r->readings);
        break;
    case 4:
        number_cell(buf, n, r->dbm);
        break;
    case 5:
        number_cell(buf, n, r->bars);
        break;
    case 6:
        number_cell(buf, n, r->down_mbit);
        break;
    default:
        number_cell(buf, n, r->up_mbit);
    }
}

static void put_lines(const order *o, const shown *s, lw_sink *sink)
{
    lw_screen screen;
    lw_screen_init(&screen, sink, STDOUT_FILENO, 0);
    const size_t count = o->is_signal ? s->signal_count : count_of(s);
    if (count == 0)
        lw_sink_text(sink, "nothing is logged yet\n");
    else
        lw_put_table(&screen, &(lw_table){.rows = (int)count + o->is_signal,
                                          .columns = o->is_signal ? 8 : 2,
                                          .right = o->is_signal ? 0xF8u : 0u,
                                          .head = o->is_signal ? LW_PAINT_FAINT : LW_PAINT_PLAIN,
                                          .warm_row = -1,
                                          .context = s,
                                          .cell = o->is_signal ? signal_cell : entry_cell});
}

/* ---- CSV ---- */

static void put_entries_csv(const shown *s, lw_sink *sink)
{
    lw_sink_text(sink, "at,civil,kind,target,low,high,amount,unit,said,understood,is_undone,id,is_clock_doubted\n");
    for (size_t i = 0; i < count_of(s); i++) {
        const lw_entry *e = entry_at(s, i);
        char text[LW_LOG_SAID];
        lw_csv_field(sink, lw_instant_print(text, sizeof text, (double)e->stated_s, 0), ",");
        lw_csv_field(sink, lw_when_print(text, sizeof text, zone_of(s, e), e->stated_s, 0), ",");
        lw_csv_field(sink, lw_entry_word(e->kind), ",");
        lw_csv_field(sink, e->target, ",");
        lw_csv_number(sink, e->low, DECIMALS, ",");
        lw_csv_number(sink, e->high, DECIMALS, ",");
        lw_csv_number(sink, e->amount, DECIMALS, ",");
        lw_csv_field(sink, e->unit, ",");
        lw_csv_field(sink, e->said, ",");
        say(s, e, text, sizeof text);
        lw_csv_field(sink, text, ",");
        lw_csv_field(sink, e->is_undone ? "1" : "0", ",");
        lw_csv_field(sink, lw_id_print(text, sizeof text, &e->id), ",");
        lw_csv_field(sink, e->is_clock_doubted ? "1" : "0", "\n");
    }
}

static void put_signal_csv(const shown *s, lw_sink *sink)
{
    lw_sink_text(sink, "what,is_weekend,hour,readings,dbm,bars,down_mbit,up_mbit,calls,calls_asked\n");
    for (size_t i = 0; i < s->signal_count; i++) {
        const lw_signal_row *r = &s->signal[i];
        lw_csv_field(sink, r->what, ",");
        lw_sink_print(sink, "%d,%d,%d,", r->is_weekend, r->hour, r->readings);
        lw_csv_number(sink, r->dbm, DECIMALS, ",");
        lw_csv_number(sink, r->bars, DECIMALS, ",");
        lw_csv_number(sink, r->down_mbit, DECIMALS, ",");
        lw_csv_number(sink, r->up_mbit, DECIMALS, ",");
        lw_sink_print(sink, "%d,%d\n", r->calls, r->calls_asked);
    }
}

/* ---- JSON ---- */

static json_t *entry_json(lw_json *j, const shown *s, const lw_entry *e)
{
    json_t *o = lw_json_object(j);
    char text[LW_LOG_SAID];
    lw_json_text(j, o, "id", lw_id_print(text, sizeof text, &e->id));
    j->zone = zone_of(s, e);
    lw_json_time(j, o, "at", e->stated_s);
    lw_json_text(j, o, "kind", lw_entry_word(e->kind));
    lw_json_text(j, o, "target", e->target);
    lw_json_number(j, o, "low", e->low, DECIMALS);
    lw_json_number(j, o, "high", e->high, DECIMALS);
    lw_json_number(j, o, "amount", e->amount, DECIMALS);
    lw_json_text(j, o, "unit", e->unit);
    lw_json_text(j, o, "said", e->said);
    say(s, e, text, sizeof text);
    lw_json_text(j, o, "understood", text);
    lw_json_flag(j, o, "is_undone", e->is_undone);
    lw_json_flag(j, o, "is_clock_doubted", e->is_clock_doubted);
    return o;
}

static json_t *signal_json(lw_json *j, const lw_signal_row *r)
{
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "what", r->what);
    lw_json_flag(j, o, "is_weekend", r->is_weekend);
    lw_json_count(j, o, "hour", r->hour);
    lw_json_count(j, o, "readings", r->readings);
    lw_json_number(j, o, "dbm", r->dbm, 1);
    lw_json_number(j, o, "bars", r->bars, 1);
    lw_json_number(j, o, "down_mbit", r->down_mbit, 3);
    lw_json_number(j, o, "up_mbit", r->up_mbit, 3);
    lw_json_count(j, o, "calls", r->calls);
    lw_json_count(j, o, "calls_asked", r->calls_asked);
    return o;
}

static lw_code put_json(const order *o, const shown *s, lw_sink *sink, lw_err *err)
{
    lw_json j = {.zone = &s->home.loaded.zone};
    json_t *root = lw_json_object(&j), *rows = lw_json_array(&j);
    lw_json_text(&j, root, "schema", o->is_signal ? "leeway.signal/1" : "leeway.history/1");
    for (size_t i = 0; i < count_of(s) && !o->is_signal; i++)
        lw_json_add(&j, rows, entry_json(&j, s, entry_at(s, i)));
    for (size_t i = 0; i < s->signal_count && o->is_signal; i++)
        lw_json_add(&j, rows, signal_json(&j, &s->signal[i]));
    lw_json_put(&j, root, o->is_signal ? "hours" : "entries", rows);
    char *text = lw_json_finish(&j, root, 0);
    if (!text)
        return lw_fail(err, LW_E_FULL, "no memory for this answer");
    lw_sink_text(sink, text);
    free(text);
    return LW_OK;
}

/* ---- the command ---- */

static lw_code gather(lw_book *book, const order *o, shown *s, lw_err *err)
{
    lw_history which = {.is_oldest_first = 1, .has_undone = o->has_undone, .to_s = INT64_MAX};
    lw_code code = lw_household_load_last(book, o->kept.here_s, &s->home, err);
    if (!code)
        code = since_of(o, s, &which.from_s, err);
    if (o->is_signal)
        which.kinds = 1u << LW_ENTRY_SIGNAL;
    if (!code)
        code = lw_book_history(book, &which, &s->entries, err);
    code = code ? code : part_doubted(book, &which, s, err);
    code = code ? code : gather_zones(book, s, err);
    if (!code && o->is_signal)
        code = lw_signal_table(&s->home.loaded.zone, &s->entries, &s->signal, &s->signal_count, err);
    return code;
}

static lw_code answer(const order *o, lw_sink *sink, lw_err *err)
{
    lw_book *book = NULL;
    shown s = {0};
    lw_code code = lw_kept_open(&o->kept, LW_BOOK_WRITE, &book, err);
    if (!code)
        code = gather(book, o, &s, err);
    if (!code && o->is_json)
        code = put_json(o, &s, sink, err);
    else if (!code && o->is_csv && o->is_signal)
        put_signal_csv(&s, sink);
    else if (!code && o->is_csv)
        put_entries_csv(&s, sink);
    else if (!code)
        put_lines(o, &s, sink);
    free(s.signal);
    free(s.zone);
    lw_entries_clear(&s.doubted);
    lw_entries_clear(&s.entries);
    lw_household_clear(&s.home);
    lw_book_close(book);
    return code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    order o = {.kept = {.keeps_doubt = 1}};
    lw_sink sink;
    const int option = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (option == LW_ARGS_HELP)
        return lw_help_run(self);
    if (option != LW_ARGS_BAD && lw_args_operand_count(&args) > 0)
        (void)lw_fail(&err, LW_E_SYNTAX, "history takes no words; --since and --signal say which entries");
    if (option != LW_ARGS_BAD && o.is_csv && o.is_json)
        (void)lw_fail(&err, LW_E_CONFLICT, "--csv and --json are two forms of one answer; choose one");
    if (err.code)
        return lw_refuse(&err);
    lw_out_open(&sink);
    lw_code code = lw_kept_open_order(&o.kept, &err);
    code = code ? code : answer(&o, &sink, &err);
    const int exit_code = lw_out_close(&sink);
    return code ? lw_refuse(&err) : exit_code;
}

const lw_command lw_command_history = {
    .name = "history",
    .operands = "",
    .what = "What was logged in this stay, or the signal by hour of day",
    .about =
        "One line an entry, the oldest first: when, by the clock of the place, and what was understood. Entries that "
        "were "
        "taken back are left out unless --undone asks for them.\n\n"
        "--signal shows medians by hour: what the carrier gave at that time of day, Monday to Friday and the weekend "
        "apart, and how often a call was possible.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
