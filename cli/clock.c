/* leeway clock: what time it is, said by people where the machine cannot know. */
#include <string.h>

#include "cli/command.h"
#include "cli/help.h"
#include "cli/kept.h"
#include "cli/options.h"
#include "cli/out.h"
#include "text/moment.h"
#include "text/say.h"

enum { HELP, BOOK };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [BOOK] = LW_KEPT_BOOK_OPTION,
};

static const lw_example EXAMPLES[] = {
    {"leeway clock", "what time it is taken to be, and why"},
    {"leeway clock \"2026-06-18 13:30\"", "it is that now, by the clock of the place"},
};

typedef struct order {
    lw_kept_order kept;
    const char *said;
} order;

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    (void)err;
    if (option == BOOK)
        o->kept.book = value;
    return LW_OK;
}

static lw_code said_of(const order *o, const lw_zone *zone, int64_t *said_s, lw_err *err)
{
    lw_moment moment;
    if (lw_moment_parse(o->said, &moment, err))
        return err->code;
    if (!moment.has_time)
        return lw_fail(err, LW_E_MISSING, "%s has no time of day; write \"%.10s 13:30\"",
                       lw_quoted(o->said, strlen(o->said)).text, o->said);
    if (lw_moment_shown(&moment, zone) == LW_SHOWN_NEVER)
        return lw_fail(err, LW_E_RANGE, "%s does not exist in %.40s: the clock is put forward over it",
                       lw_quoted(o->said, strlen(o->said)).text, zone->name);
    *said_s = lw_moment_utc(&moment, zone);
    return LW_OK;
}

static void put_time(const lw_zone *zone, int64_t at_s, lw_sink *sink)
{
    char text[48];
    const lw_clock clock = lw_clock_at(zone, at_s);
    lw_sink_print(sink, "%s in %s", lw_clock_print(text, sizeof text, &clock), zone->name);
}

static void put_told(const lw_clock_told *told, const lw_zone *zone, int64_t said_s, lw_sink *sink)
{
    lw_sink_text(sink, "It is ");
    put_time(zone, said_s, sink);
    lw_sink_text(sink, told->shift_s
                           ? ". This machine's clock shows another time; until it is set or started again, that "
                             "is made up for.\n"
                           : ". This machine's clock says so too.\n");
    if (told->corrected)
        lw_sink_print(sink, "%lld %s kept meanwhile moved with it.\n", (long long)told->corrected,
                      told->corrected == 1 ? "entry" : "entries");
    if (told->left)
        lw_sink_print(sink, "%lld older %s without a time that can be known; leeway history shows %s.\n",
                      (long long)told->left, told->left == 1 ? "entry stays" : "entries stay",
                      told->left == 1 ? "it" : "them");
}

static lw_code answer(const order *o, lw_sink *sink, lw_err *err)
{
    lw_book *book = NULL;
    lw_zone zone;
    lw_clock_told told;
    int64_t said_s = 0;
    lw_code code = lw_kept_open(&o->kept, o->said ? LW_BOOK_CREATE : LW_BOOK_READ_ONLY, &book, err);
    code = code ? code : lw_clock_zone(book, 0, o->kept.here_s, &zone, err);
    if (!code && !o->said && o->kept.is_doubted) {
        code = lw_clock_ask(&o->kept.view, &zone, err);
    } else if (!code && !o->said) {
        lw_sink_text(sink, "It is ");
        put_time(&zone, o->kept.now_s, sink);
        lw_sink_text(sink, o->kept.view.shift_s ? ", as you said.\n" : ", by this machine's clock.\n");
    } else if (!code) {
        code = said_of(o, &zone, &said_s, err);
        code = code ? code
                    : lw_clock_set(book, &o->kept.machine, &o->kept.view, &zone, said_s, LW_KEPT_DEVICE, &told, err);
        if (!code)
            put_told(&told, &zone, said_s, sink);
    }
    lw_book_close(book);
    return code;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    lw_sink sink;
    order o = {.kept = {.keeps_doubt = 1}};
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    o.said = taken == LW_ARGS_BAD ? NULL : lw_args_operand(&args, 0);
    if (taken != LW_ARGS_BAD && lw_args_operand_count(&args) > 1)
        (void)lw_fail(&err, LW_E_SYNTAX, "clock takes one TIME, in quotes: leeway clock \"2026-06-18 13:30\"");
    if (err.code || lw_kept_open_order(&o.kept, &err))
        return lw_refuse(&err);
    lw_out_open(&sink);
    const lw_code code = answer(&o, &sink, &err);
    const int exit_code = lw_out_close(&sink);
    return code ? lw_refuse(&err) : exit_code;
}

const lw_command lw_command_clock = {
    .name = "clock",
    .operands = "[TIME]",
    .what = "What time it is, where this machine cannot know",
    .about =
        "A board without a battery for its clock begins anew wherever it likes. When the clock shows a moment before "
        "what was logged last, nothing is planned by it: you are asked once. TIME is what the clock of the place "
        "shows, "
        "\"2026-06-18 13:30\". It holds until the machine is started again or its clock is set. What was logged "
        "meanwhile is marked, and moves with it.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
