/* leeway batch: a scenario a line in, an outlook a line out, for programs that pipe lines. */
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>
#include <sys/signalfd.h>
#include <time.h>
#include <unistd.h>

#include "cli/command.h"
#include "cli/help.h"
#include "cli/options.h"
#include "service/draws.h"
#include "service/batch.h"
#include "text/say.h"

enum { HELP, DRAWS, SEED, THREADS, ASSUMPTIONS };

static const lw_option OPTIONS[] = {
    [HELP] = {"help", 'h', NULL, 0, "this text"},
    [DRAWS] = {"draws", 0, "N", 0,
               "possible courses of weather and use that each answer is made of; without it 1000; 1 is one course, "
               "weather and use just as given"},
    [SEED] = {"seed", 0, "N", 0, "which draws: the same number gives the same answer; without it 1"},
    [THREADS] = {"threads", 0, "N", 0, "lines worked on at a time, 1 to 64; without it one a core"},
    [ASSUMPTIONS] = {"assumptions", 'a', NULL, 0, "add to each answer every value that is not in its scenario"},
};

static const lw_example EXAMPLES[] = {
    {"leeway batch < camps.jsonl > answers.jsonl", "a file of scenarios"},
    {"jq -c . camp.json | leeway batch", "one scenario, written over several lines"},
    {"leeway batch camps.jsonl | jq -r '[.id, .outlook.binding] | @tsv'", "what ends each stay"},
};

typedef struct order {
    const char *path; /* NULL: standard input */
    uint64_t draws, seed, threads;
    int wants_assumptions;
} order;

/* ---- the command line ---- */

static lw_code take_option(int option, const char *value, void *to, lw_err *err)
{
    order *o = to;
    switch (option) {
    case DRAWS:
        return lw_args_whole("draws", value, 1, LW_DRAWS_MOST, &o->draws, err);
    case SEED:
        return lw_args_whole("seed", value, 0, UINT64_MAX, &o->seed, err);
    case THREADS:
        return lw_args_whole("threads", value, 1, LW_BATCH_THREADS, &o->threads, err);
    default:
        o->wants_assumptions = 1;
        return LW_OK;
    }
}

static lw_code check_order(const lw_args *args, order *o, lw_err *err)
{
    o->path = lw_args_operand(args, 0);
    if (lw_args_operand_count(args) > 1) {
        const char *more = lw_args_operand(args, 1);
        return lw_fail(err, LW_E_SYNTAX, "batch takes one FILE, found %s as well; put the lines of several into one",
                       lw_quoted(more, strlen(more)).text);
    }
    if (o->path && strcmp(o->path, "-") == 0)
        o->path = NULL;
    return LW_OK;
}

/* ---- lines in, lines out ---- */

/* Signals that end the work are kept waiting, so that no line is cut: the reader sees them come at a descriptor of their
 * own, the workers ask what is waiting, and they are let through when all is tidied up. */
typedef struct ends {
    int in, out, signals;
    int wake[2];         /* written to when the output is refused, so that the reader does not wait for ever */
    sigset_t held, mask; /* kept waiting; what the mask was before */
    atomic_int is_over;  /* nobody takes the answers any more */
    int refused_read, refused_write;
} ends;

static int is_stopped(void *with)
{
    ends *e = with;
    sigset_t waiting;
    if (atomic_load(&e->is_over))
        return 1;
    if (sigpending(&waiting) != 0)
        return 0;
    return (sigismember(&waiting, SIGINT) == 1 && sigismember(&e->held, SIGINT) == 1) ||
           (sigismember(&waiting, SIGTERM) == 1 && sigismember(&e->held, SIGTERM) == 1);
}

static int64_t clock_s(void *with)
{
    (void)with;
    return (int64_t)time(NULL);
}

/* Waits for input, a signal, or the end of whoever takes the answers. */
static long get(void *from, char *buf, size_t n)
{
    ends *e = from;
    for (;;) {
        struct pollfd on[] = {{.fd = e->in, .events = POLLIN},
                              {.fd = e->signals, .events = POLLIN},
                              {.fd = e->wake[0], .events = POLLIN},
                              {.fd = e->out, .events = 0}};
        if (poll(on, sizeof on / sizeof on[0], -1) < 0 && errno != EINTR)
            break;
        if (on[3].revents)
            atomic_store(&e->is_over, 1);
        if (on[1].revents || on[2].revents || on[3].revents)
            return 0;
        const ssize_t got = on[0].revents ? read(e->in, buf, n) : -1;
        if (got >= 0)
            return (long)got;
        if (on[0].revents && errno != EINTR && errno != EAGAIN)
            break;
    }
    e->refused_read = errno;
    return -1;
}

static lw_written put(void *to, const char *bytes, size_t n)
{
    ends *e = to;
    while (n > 0) {
        const ssize_t done = write(e->out, bytes, n);
        if (done >= 0) {
            bytes += done;
            n -= (size_t)done;
        } else if (errno == EAGAIN) {
            struct pollfd on = {.fd = e->out, .events = POLLOUT};
            (void)poll(&on, 1, -1);
        } else if (errno != EINTR) {
            const int is_closed = errno == EPIPE;
            e->refused_write = is_closed ? 0 : errno;
            atomic_store(&e->is_over, 1);
            (void)!write(e->wake[1], "", 1);
            return is_closed ? LW_WRITE_CLOSED : LW_WRITE_REFUSED;
        }
    }
    return LW_WRITTEN;
}

static void hold_signals(ends *e)
{
    static const int ENDING[] = {SIGINT, SIGTERM};
    sigemptyset(&e->held);
    for (size_t i = 0; i < sizeof ENDING / sizeof ENDING[0]; i++) {
        struct sigaction is;
        if (sigaction(ENDING[i], NULL, &is) == 0 && is.sa_handler != SIG_IGN) /* ignored stays ignored: nohup */
            sigaddset(&e->held, ENDING[i]);
    }
    (void)pthread_sigmask(SIG_BLOCK, &e->held, &e->mask);
    e->signals = signalfd(-1, &e->held, SFD_CLOEXEC);
}

static lw_code open_ends(const order *o, ends *e, lw_err *err)
{
    *e = (ends){.in = STDIN_FILENO, .out = STDOUT_FILENO, .signals = -1, .wake = {-1, -1}};
    if (o->path && (e->in = open(o->path, O_RDONLY | O_CLOEXEC)) < 0) {
        lw_fail(err, LW_E_MISSING, "cannot be opened: %s", strerror(errno));
        return lw_err_at(err, o->path, 0, NULL);
    }
    if (pipe(e->wake) != 0)
        return lw_fail(err, LW_E_IO, "the system gives no pipe: %s", strerror(errno));
    hold_signals(e);
    return LW_OK;
}

static void close_ends(const order *o, ends *e)
{
    const int opened[] = {o->path ? e->in : -1, e->wake[0], e->wake[1], e->signals};
    for (size_t i = 0; i < sizeof opened / sizeof opened[0]; i++)
        if (opened[i] >= 0)
            (void)close(opened[i]);
    if (e->signals >= 0)
        (void)pthread_sigmask(SIG_SETMASK, &e->mask, NULL); /* what was kept waiting ends the program here */
}

static int answer_order(const order *o)
{
    ends e;
    lw_err err = {0};
    lw_code code = open_ends(o, &e, &err);
    const lw_batch_wish wish = {.draws = (int)o->draws,
                                .seed = o->seed,
                                .wants_assumptions = o->wants_assumptions,
                                .version = LW_VERSION,
                                .threads = (int)o->threads,
                                .is_stopped = is_stopped,
                                .now_s = clock_s,
                                .with = &e};
    if (!code) {
        code = lw_batch_run(&wish, &(lw_batch_ends){.read = get, .from = &e, .write = put, .to = &e}, &err);
        if (code && (e.refused_read || e.refused_write)) {
            err = (lw_err){0};
            lw_fail(&err, LW_E_IO, "cannot be %s: %s", e.refused_write ? "written" : "read",
                    strerror(e.refused_write ? e.refused_write : e.refused_read));
            lw_err_at(&err, e.refused_write ? "standard output" : o->path ? o->path : "standard input", 0, NULL);
        }
    }
    close_ends(o, &e);
    return code ? lw_refuse(&err) : LW_EXIT_DONE;
}

static int run(const lw_command *self, int argc, char **argv)
{
    lw_args args;
    lw_err err = {0};
    order o = {.draws = LW_DRAWS_USUAL, .seed = 1};
    const int end = lw_args_take(&args, self, argc, argv, take_option, &o, &err);
    if (end == LW_ARGS_HELP)
        return lw_help_run(self);
    if (end == LW_ARGS_BAD || check_order(&args, &o, &err))
        return lw_refuse(&err);
    if (lw_args_operand_count(&args) == 0 && isatty(STDIN_FILENO))
        return lw_help_run(self);
    return answer_order(&o);
}

const lw_command lw_command_batch = {
    .name = "batch",
    .operands = "[FILE]",
    .what = "Answer many scenarios, one a line, for programs that pipe lines",
    .about =
        "Each line of FILE, or of standard input without FILE or with -, is one JSON object: a scenario, or "
        "{\"id\": ..., \"scenario\": {...}, \"change\": [\"rig.solar=400 W\"]}, of which only the scenario is needed. "
        "Each line is "
        "answered by one line of JSON, in order: its number, its id just as it came, and the outlook as of leeway "
        "outlook "
        "--json, or an error with what is wrong and where. A bad line costs only its own answer; an empty one is a bad "
        "one. All cores work, and the number of threads changes no byte.\n\n"
        "An answer is written as soon as those before it are, so that a program may write one line and wait. Files "
        "that "
        "a line names are looked for from the working directory, with your rights: answer lines of people you trust. A "
        "line is at most 1 MiB long.\n\n"
        "The exit status is 0 once all lines are read, whatever is in the answers. Interrupted, it stops behind the "
        "last whole "
        "answer.",
    .option = OPTIONS,
    .option_count = sizeof OPTIONS / sizeof OPTIONS[0],
    .example = EXAMPLES,
    .example_count = sizeof EXAMPLES / sizeof EXAMPLES[0],
    .run = run,
};
