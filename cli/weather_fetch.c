/* leeway weather fetch: the public forecast of a place into a file, by the program leeway-fetch. */
#include <errno.h>
#include <limits.h>
#include <math.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "cli/beside.h"
#include "cli/command.h"
#include "cli/help.h"
#include "cli/options.h"
#include "cli/out.h"
#include "exchange/gridpoint.h"
#include "exchange/scenario.h"
#include "exchange/services.h"
#include "exchange/yaml_tree.h"
#include "service/camp_sheet.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/quantity.h"
#include "text/say.h"

extern char **environ;

enum { HELP, AT, FROM, SAVE, WAIT, PATH_BYTES = 1400, SAID_BYTES = 700, HOUR_S = 3600 };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [AT] = {"at", 0, "LAT,LON", 0, "the spot in degrees north and east, such as 38.57,-109.55, instead of a FILE"},
    [FROM] = {"from", 0, "URL", 0,
              "base address of the service, such as https://example.org; without it that of the table"},
    [SAVE] = {"save", 0, "FILE", 0,
              "where the forecast goes; without it where the scenario's weather.forecast is, else the cache folder"},
    [WAIT] = {"wait", 0, "SECONDS", 0, "for each of the two answers; without it 30"},
};

static const lw_example EXAMPLES[] = {
    {"leeway weather fetch camp.yaml", "for the place of a scenario"},
    {"leeway weather fetch --at 38.57,-109.55 --save forecast.json", "for a spot"},
};

typedef struct order {
    const char *scenario, *save, *wait;
    char base[512];
    double latitude_deg, longitude_deg; /* NaN: by the scenario */
    lw_unit_system units;
    char path[PATH_BYTES]; /* of the forecast */
} order;

/* ---- the command line ---- */

static lw_code take_spot(const char *value, order *o, lw_err *err)
{
    const char *comma = strchr(value, ',');
    if (comma && lw_decimal_parse(value, comma, &o->latitude_deg) &&
        lw_decimal_parse(comma + 1 + strspn(comma + 1, " "), value + strlen(value), &o->longitude_deg) &&
        fabs(o->latitude_deg) <= 90.0 && fabs(o->longitude_deg) <= 180.0)
        return LW_OK;
    return lw_fail(err, LW_E_SYNTAX, "--at %s is no spot such as 38.57,-109.55: degrees north, degrees east",
                   lw_quoted(value, strlen(value)).text);
}

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    double seconds;
    switch (option) {
    case AT:
        return take_spot(value, o, err);
    case FROM:
        if (strlen(value) >= sizeof o->base)
            return lw_fail(err, LW_E_FULL, "--from is longer than %zu letters", sizeof o->base - 1);
        memcpy(o->base, value, strlen(value) + 1);
        return LW_OK;
    case SAVE:
        o->save = value;
        return LW_OK;
    default:
        o->wait = value;
        if (lw_decimal_parse(value, value + strlen(value), &seconds) && seconds >= 0.1 && seconds <= 600.0)
            return LW_OK;
        return lw_fail(err, LW_E_RANGE, "--wait %s is no number of seconds from 0.1 to 600",
                       lw_quoted(value, strlen(value)).text);
    }
}

static lw_code check_order(const lw_args *args, order *o, lw_err *err)
{
    o->scenario = lw_args_operand(args, 0);
    if (lw_args_operand_count(args) > 1)
        return lw_fail(err, LW_E_SYNTAX, "weather fetch takes one FILE, the scenario; --save names where to put it");
    if (!o->scenario && isnan(o->latitude_deg))
        return lw_fail(err, LW_E_MISSING, "name a scenario file or a spot, such as --at 38.57,-109.55");
    if (o->scenario && !isnan(o->latitude_deg))
        return lw_fail(err, LW_E_CONFLICT, "a scenario has its own place; leave out --at or the FILE");
    return LW_OK;
}

/* ---- where and from where ---- */

/* The place only: whatever weather the scenario names may not be there yet. */
static lw_code read_place(order *o, lw_err *err)
{
    static const char *const NO_WEATHER[] = {"weather={high: 20 C, low: 10 C}"};
    lw_loaded loaded;
    const lw_code code = lw_scenario_load(
        &(lw_scenario_from){.path = o->scenario, .change = NO_WEATHER, .change_count = 1, .now_s = (int64_t)time(NULL)},
        &loaded, err);
    if (code)
        return code;
    o->latitude_deg = loaded.scenario->place.latitude_deg;
    o->longitude_deg = loaded.scenario->place.longitude_deg;
    o->units = loaded.units;
    lw_loaded_clear(&loaded);
    return LW_OK;
}

/* weather.forecast of the scenario, beside it. 0: it names none. */
static int find_named(order *o)
{
    lw_yaml tree;
    lw_err none = {0};
    if (!o->scenario || lw_yaml_load(&tree, o->scenario, &none))
        return 0;
    const lw_yaml_node *node = lw_yaml_find(&tree, "weather.forecast");
    const int is_named = node && node->kind == LW_YAML_SCALAR && node->text[0] && strcmp(node->text, "none") != 0;
    if (is_named)
        lw_scenario_beside(o->path, sizeof o->path, o->scenario, node->text);
    lw_yaml_clear(&tree);
    return is_named;
}

/* XDG Base Directory Specification: a variable that does not begin at the root counts as not set. */
static lw_code find_cached(order *o, lw_err *err)
{
    const char *cache = getenv("XDG_CACHE_HOME"), *home = getenv("HOME");
    char folder[PATH_BYTES / 2], latitude[LW_DECIMAL_BYTES], longitude[LW_DECIMAL_BYTES];
    const int is_set = cache && cache[0] == '/';
    if (!is_set && (!home || home[0] != '/'))
        return lw_fail(err, LW_E_MISSING, "neither XDG_CACHE_HOME nor HOME says where to keep it; give --save FILE");
    const int n = snprintf(folder, sizeof folder, "%s%s", is_set ? cache : home, is_set ? "" : "/.cache");
    if (n < 0 || (size_t)n + sizeof "/leeway" > sizeof folder)
        return lw_fail(err, LW_E_FULL, "the name of the cache folder is too long; give --save FILE");
    (void)mkdir(folder, 0700); /* there already, or the next one tells */
    memcpy(folder + n, "/leeway", sizeof "/leeway");
    if (mkdir(folder, 0700) != 0 && errno != EEXIST) {
        lw_fail(err, LW_E_IO, "cannot be made: %s", strerror(errno));
        return lw_err_at(err, folder, 0, NULL);
    }
    lw_decimal_print(latitude, sizeof latitude, o->latitude_deg, 4, 0);
    lw_decimal_print(longitude, sizeof longitude, o->longitude_deg, 4, 0);
    snprintf(o->path, sizeof o->path, "%s/forecast_%s_%s.json", folder, latitude, longitude);
    return LW_OK;
}

static lw_code find_all(order *o, lw_err *err)
{
    lw_code code = o->scenario ? read_place(o, err) : LW_OK;
    if (!code && !o->base[0])
        code = lw_service_base("forecast", o->base, sizeof o->base, err);
    if (code)
        return code;
    if (o->save)
        snprintf(o->path, sizeof o->path, "%s", o->save);
    else if (!find_named(o))
        return find_cached(o, err);
    return LW_OK;
}

/* ---- the program that has the network ---- */

/* Whole of what the child says, as far as it fits, without its last line end. */
static void listen_to(int fd, char *said, size_t size)
{
    char piece[256] = "";
    size_t used = 0;
    for (;;) {
        const ssize_t got = read(fd, piece, sizeof piece);
        if (got < 0 && errno == EINTR)
            continue;
        if (got <= 0)
            break;
        const size_t room = size - 1 - used, n = (size_t)got < room ? (size_t)got : room;
        memcpy(said + used, piece, n);
        used += n;
    }
    said[used] = '\0';
    said[strcspn(said, "\n")] = '\0';
}

static int wait_for(pid_t child)
{
    int status = 0;
    while (waitpid(child, &status, 0) < 0)
        if (errno != EINTR)
            return -1;
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

static int spawn(char *const argv[], int say_fd, pid_t *child)
{
    posix_spawn_file_actions_t actions;
    if (posix_spawn_file_actions_init(&actions))
        return 0;
    const int is_done = !posix_spawn_file_actions_adddup2(&actions, say_fd, STDERR_FILENO) &&
                        !posix_spawnp(child, argv[0], &actions, NULL, argv, environ);
    posix_spawn_file_actions_destroy(&actions);
    return is_done;
}

/* LW_OK, or what the child said as the sentence. */
static lw_code run_program(const order *o, lw_err *err)
{
    char program[PATH_MAX], latitude[LW_DECIMAL_BYTES], longitude[LW_DECIMAL_BYTES], wait[] = "30";
    char base[sizeof o->base], path[sizeof o->path], own_wait[32], said[SAID_BYTES];
    int ends[2];
    pid_t child;
    lw_beside("leeway-fetch", program, sizeof program);
    lw_decimal_print(latitude, sizeof latitude, o->latitude_deg, 4, 0);
    lw_decimal_print(longitude, sizeof longitude, o->longitude_deg, 4, 0);
    snprintf(base, sizeof base, "%s", o->base);
    snprintf(path, sizeof path, "%s", o->path);
    snprintf(own_wait, sizeof own_wait, "%.31s", o->wait ? o->wait : wait);
    char *const argv[] = {program, base, latitude, longitude, own_wait, path, NULL};
    if (pipe(ends) != 0)
        return lw_fail(err, LW_E_IO, "no pipe to leeway-fetch: %s", strerror(errno));
    const int is_running = spawn(argv, ends[1], &child);
    close(ends[1]);
    if (is_running)
        listen_to(ends[0], said, sizeof said);
    close(ends[0]);
    if (!is_running)
        return lw_fail(err, LW_E_IO,
                       "the program leeway-fetch is not there; it stands beside leeway or in PATH, and is built where "
                       "libcurl is");
    const int exit_code = wait_for(child);
    if (exit_code == 0)
        return LW_OK;
    return lw_fail(err, exit_code == LW_EXIT_INPUT ? LW_E_SYNTAX : LW_E_IO, "%s",
                   said[0] ? said : "leeway-fetch ended without a word");
}

/* ---- what is there ---- */

static void say_age(int64_t issued_s, char *buf, size_t size)
{
    const double hours = fmax((double)((int64_t)time(NULL) - issued_s) / HOUR_S, 0.0);
    if (hours >= 48.0)
        snprintf(buf, size, "%.0f days old", floor(hours / 24.0));
    else
        snprintf(buf, size, "%.0f h old", floor(hours));
}

static int refuse_fetch(const order *o, const lw_err *why)
{
    lw_forecast *last = malloc(sizeof *last);
    lw_err none = {0};
    char age[32];
    if (last && !lw_gridpoint_read_path(o->path, 0, last, &none)) {
        say_age(last->issued_s, age, sizeof age);
        fprintf(stderr, "leeway: %s; the last good forecast, %s, stays in %s\n", why->text, age, o->path);
    } else
        fprintf(stderr, "leeway: %s; there is no earlier forecast in %s\n", why->text, o->path);
    free(last);
    return why->code == LW_E_IO ? LW_EXIT_SYSTEM : LW_EXIT_INPUT;
}

static lw_code put_forecast(const order *o, lw_sink *sink, lw_err *err)
{
    char made[40], until[40], age[32], spot[64], height[LW_QUANTITY_BYTES] = "a height not said";
    lw_forecast *f = malloc(sizeof *f);
    if (!f)
        return lw_fail(err, LW_E_FULL, "no memory for a forecast");
    const lw_code code = lw_gridpoint_read_path(o->path, (int64_t)time(NULL), f, err);
    if (!code) {
        say_age(f->issued_s, age, sizeof age);
        if (!isnan(f->elevation_m))
            lw_quantity_print(height, sizeof height, f->elevation_m, LW_DIM_LENGTH, o->units);
        lw_sink_print(sink, "Forecast for %s, its cell at %s.\n",
                      lw_camp_spot_say((lw_spot){o->latitude_deg, o->longitude_deg}, spot, sizeof spot), height);
        lw_sink_print(sink, "Made %s, %s; %d hours from now on, to %s.\n",
                      lw_instant_print(made, sizeof made, (double)f->issued_s, 0), age, f->hours,
                      lw_instant_print(until, sizeof until, (double)f->start_s + (double)f->hours * HOUR_S, 0));
        lw_sink_print(sink, "Saved as %s; in a scenario: weather: {forecast: %s}\n", o->path, o->path);
    }
    free(f);
    return code;
}

int lw_cli_weather_fetch(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    lw_sink sink;
    order o = {.latitude_deg = NAN, .longitude_deg = NAN, .units = LW_UNITS_US};
    const int end = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (end == LW_ARGS_HELP)
        return lw_help_run(self);
    if (end == LW_ARGS_BAD || check_order(&args, &o, &err))
        return lw_refuse(&err);
    if (find_all(&o, &err)) {
        (void)lw_refuse(&err);
        return LW_EXIT_INPUT;
    }
    if (run_program(&o, &err))
        return refuse_fetch(&o, &err);
    lw_out_open(&sink);
    if (put_forecast(&o, &sink, &err))
        return lw_refuse(&err);
    return lw_out_close(&sink);
}

const lw_command lw_command_weather_fetch = {
    .name = "weather fetch",
    .operands = "[FILE]",
    .what = "Get the public forecast of a place and keep it",
    .about =
        "FILE is a scenario, whose place is meant; or name a spot with --at. The US National Weather Service is asked, "
        "which covers the United States and its territories: two requests, some 100 kB. Nothing else is sent than the "
        "spot, to four decimals, and this program's name.\n\n"
        "What comes is read before it is kept. Whatever goes wrong is said in one sentence, and the last good forecast "
        "stays. A scenario uses it by weather: {forecast: FILE}; the weather that stands beside it there, or the "
        "climate of the place, follows where the forecast ends.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = lw_cli_weather_fetch,
};
