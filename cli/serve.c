/* leeway serve: the page, by the program leeway-serve; and the devices that may use it. */
#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "book/devices.h"
#include "cli/beside.h"
#include "cli/command.h"
#include "cli/help.h"
#include "cli/kept.h"
#include "cli/options.h"
#include "cli/out.h"
#include "cli/screen.h"
#include "text/moment.h"
#include "text/say.h"

enum { HELP, BOOK, PORT, LAN, NAME, DEMO, DEVICES, REVOKE, NOW, USUAL_PORT = 5339 };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [BOOK] = LW_KEPT_BOOK_OPTION,
    [PORT] = {"port", 'p', "N", 0, "where it listens; without it 5339; 0 is any that is free"},
    [LAN] = {"lan", 0, NULL, 0, "let devices of the local network in, each after it was paired by a code"},
    [NAME] = {"name", 0, "NAME", 0,
              "a name that this machine has in your network, such as camper.lan, so that it may be asked for by it"},
    [DEMO] = {"demo", 0, NULL, 0, "put the demo household into the book first, where that is empty"},
    [DEVICES] = {"devices", 0, NULL, 0, "list the devices that are paired, and end"},
    [REVOKE] = {"revoke", 0, "ID", 0, "let a device in no more, and end"},
    [NOW] = {"now", 0, "TIME", 0, "let the clock begin there, such as 2026-06-18T13:30Z: to try things out"},
};

static const lw_example EXAMPLES[] = {
    {"leeway serve", "the page for this machine, at http://127.0.0.1:5339/"},
    {"leeway serve --lan", "for the phones of the household too, after pairing"},
    {"leeway serve --devices", "which devices are paired"},
};

typedef struct order {
    lw_kept_order kept;
    const char *name;
    uint64_t port, revoke; /* revoke 0: none */
    int is_lan, wants_demo, wants_devices;
} order;

static lw_code take_name(const char *value, order *o, lw_err *err)
{
    const size_t n = strlen(value);
    if (n == 0 || n > 200 || strspn(value, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.-") != n)
        return lw_fail(err, LW_E_SYNTAX, "--name %s is no name of a machine, such as camper.lan",
                       lw_quoted(value, n).text);
    o->name = value;
    return LW_OK;
}

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    enum { PORTS = 65535 };
    order *o = to;
    switch (option) {
    case BOOK:
        o->kept.book = value;
        return LW_OK;
    case PORT:
        return lw_args_whole("port", value, 0, PORTS, &o->port, err);
    case LAN:
        o->is_lan = 1;
        return LW_OK;
    case NAME:
        return take_name(value, o, err);
    case DEMO:
        o->wants_demo = 1;
        return LW_OK;
    case DEVICES:
        o->wants_devices = 1;
        return LW_OK;
    case REVOKE:
        return lw_args_whole("revoke", value, 1, INT64_MAX, &o->revoke, err);
    default:
        return lw_kept_now(value, &o->kept, err);
    }
}

/* ---- devices ---- */

static void device_cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[] = {"id", "device", "paired", "last here"};
    enum { DAY_LETTERS = 10 };
    char at[48];
    if (row == 0) {
        snprintf(buf, n, "%s", HEAD[column]);
        return;
    }
    const lw_device *d = &((const lw_devices *)context)->device[row - 1];
    const int64_t at_s = column == 2 ? d->paired_s : d->seen_s;
    if (column == 0)
        snprintf(buf, n, "%lld", (long long)d->id);
    else if (column == 1)
        snprintf(buf, n, "%s", d->name);
    else if (at_s == LW_NO_TIME)
        snprintf(buf, n, "never");
    else
        snprintf(buf, n, "%.*s", DAY_LETTERS, lw_instant_print(at, sizeof at, (double)at_s, 0));
}

static void put_devices(const lw_devices *devices, lw_sink *sink)
{
    lw_screen screen;
    lw_screen_init(&screen, sink, STDOUT_FILENO, 0);
    if (devices->count == 0)
        lw_sink_text(sink, "no device is paired; leeway serve --lan tells how\n");
    else
        lw_put_table(&screen, &(lw_table){.rows = (int)devices->count + 1,
                                          .columns = 4,
                                          .head = LW_PAINT_FAINT,
                                          .warm_row = -1,
                                          .context = devices,
                                          .cell = device_cell});
}

static int run_devices(const order *o)
{
    lw_err err = {0};
    lw_book *book = NULL;
    lw_devices devices = {0};
    lw_sink sink;
    lw_out_open(&sink);
    lw_code code = lw_kept_open(&o->kept, LW_BOOK_WRITE, &book, &err);
    if (!code && o->revoke)
        code = lw_book_revoke_device(book, (int64_t)o->revoke, &err);
    code = code ? code : lw_book_list_devices(book, &devices, &err);
    lw_book_close(book);
    if (!code && o->revoke)
        lw_sink_print(&sink, "device %llu is let in no more\n", (unsigned long long)o->revoke);
    else if (!code)
        put_devices(&devices, &sink);
    lw_devices_clear(&devices);
    const int exit_code = lw_out_close(&sink);
    return code ? lw_refuse(&err) : exit_code;
}

/* ---- the server ---- */

/* This process becomes the server, so that what is sent to it (Ctrl-C, a stop) reaches the one that listens. */
static int become_server(const order *o, int64_t shift_s)
{
    lw_err err = {0};
    char program[PATH_MAX], path[LW_BOOK_PATH_BYTES], port[16], reach[8], demo[8], name[256], shift[32];
    lw_beside("leeway-serve", program, sizeof program);
    snprintf(path, sizeof path, "%s", o->kept.path);
    snprintf(port, sizeof port, "%d", (int)o->port);
    snprintf(reach, sizeof reach, "%s", o->is_lan ? "lan" : "here");
    snprintf(demo, sizeof demo, "%s", o->wants_demo ? "demo" : "as-is");
    snprintf(name, sizeof name, "%s", o->name ? o->name : "");
    snprintf(shift, sizeof shift, "%lld", (long long)shift_s);
    char *const argv[] = {program, path, port, reach, demo, name, shift, NULL};
    (void)execvp(program, argv);
    lw_fail(&err, LW_E_IO,
            "the program leeway-serve cannot be run (%s); it stands beside leeway or in PATH, and is built where "
            "libmicrohttpd and libqrencode are",
            strerror(errno));
    return lw_refuse(&err);
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    order o = {.port = USUAL_PORT};
    const int taken = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (taken == LW_ARGS_HELP)
        return lw_help_run(self);
    if (taken != LW_ARGS_BAD && lw_args_operand_count(&args) > 0)
        (void)lw_fail(&err, LW_E_SYNTAX, "serve takes no FILE; it shows the book");
    if (!err.code && o.wants_devices && o.revoke)
        (void)lw_fail(&err, LW_E_CONFLICT, "--devices lists and --revoke takes one out; choose one");
    if (err.code)
        return lw_refuse(&err);
    const int64_t shift_s = o.kept.now_s ? o.kept.now_s - (int64_t)time(NULL) : 0;
    if (lw_kept_open_order(&o.kept, &err))
        return lw_refuse(&err);
    return o.wants_devices || o.revoke ? run_devices(&o) : become_server(&o, shift_s);
}

const lw_command lw_command_serve = {
    .name = "serve",
    .operands = "",
    .what = "The page, for a browser on this machine or on the household's phones",
    .about =
        "Shows the address to open in a browser, and runs until Ctrl-C. It listens on this machine alone; nothing of "
        "it "
        "ever asks the internet. On an empty book the page offers the demo or to set up your own rig.\n\n"
        "With --lan it listens on the local network too. A phone is let in once it has named the code that stands on "
        "the terminal, or its camera has read the square there; each code is good for one device. What goes over the "
        "network is not encrypted: use it in a network whose members you trust, behind its own password. A device that "
        "is lost is taken out by --revoke.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
