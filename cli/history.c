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
#include "service/csv_row.h"
#include "service/history.h"
#include "service/log.h"
#include "service/words.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/say.h"

enum { HELP, BOOK, SINCE, SIGNAL, CSV, JSON, UNDONE, NOW };

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

/* "Thu 18 Jun 07:30"; with the zone's letters where the entries are of several. Gives buf. */
static char *when_say(const lw_history_answer *s, const lw_entry *entry, char *buf, size_t n)
{
    const lw_zone *zone = lw_history_zone(s, entry);
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
    const lw_history_answer *s = context;
    const lw_entry *entry = lw_history_at(s, (size_t)row);
    char said[LW_LOG_SAID];
    if (column == 0) {
        (void)when_say(s, entry, buf, n);
        return;
    }
    (void)lw_history_say(s, entry, said, sizeof said);
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
    const lw_signal_row *r = &((const lw_history_answer *)context)->signal[row - 1];
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

static void put_lines(const order *o, const lw_history_answer *s, lw_sink *sink)
{
    lw_screen screen;
    lw_screen_init(&screen, sink, STDOUT_FILENO, 0);
    const size_t count = o->is_signal ? s->signal_count : lw_history_count(s);
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

static void put_entries_csv(const lw_history_answer *s, lw_sink *sink)
{
    lw_sink_text(sink, "at,civil,kind,target,low,high,amount,unit,said,understood,is_undone,id,is_clock_doubted\n");
    for (size_t i = 0; i < lw_history_count(s); i++) {
        const lw_entry *e = lw_history_at(s, i);
        char text[LW_LOG_SAID];
        lw_csv_field(sink, lw_instant_print(text, sizeof text, (double)e->stated_s, 0), ",");
        lw_csv_field(sink, lw_when_print(text, sizeof text, lw_history_zone(s, e), e->stated_s, 0), ",");
        lw_csv_field(sink, lw_entry_word(e->kind), ",");
        lw_csv_field(sink, e->target, ",");
        lw_csv_number(sink, e->low, LW_HISTORY_DECIMALS, ",");
        lw_csv_number(sink, e->high, LW_HISTORY_DECIMALS, ",");
        lw_csv_number(sink, e->amount, LW_HISTORY_DECIMALS, ",");
        lw_csv_field(sink, e->unit, ",");
        lw_csv_field(sink, e->said, ",");
        lw_csv_field(sink, lw_history_say(s, e, text, sizeof text), ",");
        lw_csv_field(sink, e->is_undone ? "1" : "0", ",");
        lw_csv_field(sink, lw_id_print(text, sizeof text, &e->id), ",");
        lw_csv_field(sink, e->is_clock_doubted ? "1" : "0", "\n");
    }
}

static void put_signal_csv(const lw_history_answer *s, lw_sink *sink)
{
    lw_sink_text(sink, "what,is_weekend,hour,readings,dbm,bars,down_mbit,up_mbit,calls,calls_asked\n");
    for (size_t i = 0; i < s->signal_count; i++) {
        const lw_signal_row *r = &s->signal[i];
        lw_csv_field(sink, r->what, ",");
        lw_sink_print(sink, "%d,%d,%d,", r->is_weekend, r->hour, r->readings);
        lw_csv_number(sink, r->dbm, LW_HISTORY_DECIMALS, ",");
        lw_csv_number(sink, r->bars, LW_HISTORY_DECIMALS, ",");
        lw_csv_number(sink, r->down_mbit, LW_HISTORY_DECIMALS, ",");
        lw_csv_number(sink, r->up_mbit, LW_HISTORY_DECIMALS, ",");
        lw_sink_print(sink, "%d,%d\n", r->calls, r->calls_asked);
    }
}

/* ---- the command ---- */

static lw_code put_json(const order *o, const lw_history_answer *s, lw_sink *sink, lw_err *err)
{
    char *text = lw_history_json(s, o->is_signal);
    if (!text)
        return lw_fail(err, LW_E_FULL, "no memory for this answer");
    lw_sink_text(sink, text);
    free(text);
    return LW_OK;
}

static lw_code answer(const order *o, lw_sink *sink, lw_err *err)
{
    lw_book *book = NULL;
    lw_history_answer s = {0};
    const lw_history_wish wish = {
        .now_s = o->kept.here_s, .since = o->since, .is_signal = o->is_signal, .has_undone = o->has_undone};
    lw_code code = lw_kept_open(&o->kept, LW_BOOK_WRITE, &book, err);
    if (!code)
        code = lw_history_gather(book, &wish, &s, err);
    if (!code && o->is_json)
        code = put_json(o, &s, sink, err);
    else if (!code && o->is_csv && o->is_signal)
        put_signal_csv(&s, sink);
    else if (!code && o->is_csv)
        put_entries_csv(&s, sink);
    else if (!code)
        put_lines(o, &s, sink);
    lw_history_clear(&s);
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
