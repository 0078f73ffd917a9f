#include "exchange/child.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "text/decimal.h"
#include "text/say.h"

extern char **environ;

enum { OUT, ERR, STREAMS, STEP_BYTES = 65536, SAID_BYTES = 400 };

typedef struct talk {
    int fd[STREAMS]; /* read ends; -1: closed */
    char *text;
    size_t size, room, most;
    char said[SAID_BYTES + 1]; /* the end of its standard error */
    size_t said_n;
} talk;

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static lw_code start(const char *const *argv, talk *t, pid_t *child, lw_err *err)
{
    int pipes[STREAMS][2] = {{-1, -1}, {-1, -1}};
    posix_spawn_file_actions_t actions;
    int rc = posix_spawn_file_actions_init(&actions);
    for (int i = 0; i < STREAMS && !rc; i++)
        if (pipe(pipes[i]) || fcntl(pipes[i][0], F_SETFD, FD_CLOEXEC) || fcntl(pipes[i][1], F_SETFD, FD_CLOEXEC))
            rc = errno;
    rc = rc ? rc : posix_spawn_file_actions_addopen(&actions, 0, "/dev/null", O_RDONLY, 0);
    rc = rc ? rc : posix_spawn_file_actions_adddup2(&actions, pipes[OUT][1], 1);
    rc = rc ? rc : posix_spawn_file_actions_adddup2(&actions, pipes[ERR][1], 2);
    /* posix_spawnp leaves the words as they are; its type is older than const */
    rc = rc ? rc : posix_spawnp(child, argv[0], &actions, NULL, (char *const *)(const void *)argv, environ);
    (void)posix_spawn_file_actions_destroy(&actions);
    for (int i = 0; i < STREAMS; i++) {
        if (pipes[i][1] >= 0)
            (void)close(pipes[i][1]);
        if (rc && pipes[i][0] >= 0)
            (void)close(pipes[i][0]);
        t->fd[i] = rc ? -1 : pipes[i][0];
    }
    if (rc == ENOENT || rc == EACCES)
        return lw_fail(err, LW_E_MISSING, "%s is not installed, or is no program",
                       lw_quoted(argv[0], strlen(argv[0])).text);
    return rc ? lw_fail(err, LW_E_IO, "%s cannot be started: %s", lw_quoted(argv[0], strlen(argv[0])).text,
                        strerror(rc))
              : LW_OK;
}

static lw_code keep(talk *t, const char *bytes, size_t n, lw_err *err)
{
    if (n > t->most - t->size)
        return lw_fail(err, LW_E_FULL, "it prints more than %zu bytes", t->most);
    if (t->size + n + 1 > t->room) {
        const size_t room = 2 * (t->size + n) + 1;
        char *more = realloc(t->text, room);
        if (!more)
            return lw_fail(err, LW_E_FULL, "no memory for what it prints");
        t->text = more;
        t->room = room;
    }
    memcpy(t->text + t->size, bytes, n);
    t->size += n;
    t->text[t->size] = '\0';
    return LW_OK;
}

static void keep_said(talk *t, const char *bytes, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (t->said_n == SAID_BYTES)
            memmove(t->said, t->said + 1, --t->said_n);
        t->said[t->said_n++] = bytes[i];
    }
    t->said[t->said_n] = '\0';
}

static lw_code take(talk *t, int stream, lw_err *err)
{
    char step[STEP_BYTES];
    const ssize_t n = read(t->fd[stream], step, sizeof step);
    if (n < 0 && (errno == EINTR || errno == EAGAIN))
        return LW_OK;
    if (n <= 0) {
        (void)close(t->fd[stream]);
        t->fd[stream] = -1;
        return LW_OK;
    }
    if (stream == OUT)
        return keep(t, step, (size_t)n, err);
    keep_said(t, step, (size_t)n);
    return LW_OK;
}

static lw_code listen_to(talk *t, double until_s, lw_err *err)
{
    while (t->fd[OUT] >= 0 || t->fd[ERR] >= 0) {
        struct pollfd wait[STREAMS] = {{.fd = t->fd[OUT], .events = POLLIN}, {.fd = t->fd[ERR], .events = POLLIN}};
        const double left_s = until_s - now_s();
        if (!(left_s > 0.0))
            return lw_fail(err, LW_E_IO, "it gave no answer in time");
        if (poll(wait, STREAMS, (int)(left_s * 1000.0) + 1) < 0 && errno != EINTR)
            return lw_fail(err, LW_E_IO, "it cannot be listened to: %s", strerror(errno));
        for (int i = 0; i < STREAMS; i++)
            if (t->fd[i] >= 0 && wait[i].revents && take(t, i, err))
                return err->code;
    }
    return LW_OK;
}

/* Its last line that says something. */
static const char *last_words(talk *t)
{
    while (t->said_n && strchr(" \n\r\t", t->said[t->said_n - 1]))
        t->said[--t->said_n] = '\0';
    const char *line = strrchr(t->said, '\n');
    return line ? line + 1 : t->said;
}

static lw_code end(pid_t child, talk *t, lw_code code, lw_err *err)
{
    int status = 0;
    if (code)
        (void)kill(child, SIGKILL);
    for (int i = 0; i < STREAMS; i++)
        if (t->fd[i] >= 0)
            (void)close(t->fd[i]);
    while (waitpid(child, &status, 0) < 0 && errno == EINTR)
        continue;
    if (code || (WIFEXITED(status) && WEXITSTATUS(status) == 0))
        return code;
    const char *said = last_words(t);
    return lw_fail(err, LW_E_IO, "it failed%s%s", *said ? ": " : "", lw_quoted(said, strlen(said)).text);
}

lw_code lw_child_run(const char *const *argv, double wait_s, size_t bytes_most, char **text, size_t *size, lw_err *err)
{
    talk t = {.fd = {-1, -1}, .most = bytes_most};
    pid_t child = -1;
    lw_code code = start(argv, &t, &child, err);
    if (code)
        return code;
    code = keep(&t, "", 0, err);
    code = code ? code : listen_to(&t, now_s() + wait_s, err);
    code = end(child, &t, code, err);
    if (code) {
        free(t.text);
        return lw_err_at(err, argv[0], 0, NULL);
    }
    *text = t.text;
    *size = t.size;
    return LW_OK;
}

/* ---- as a source ---- */

struct lw_child {
    talk talk;
    pid_t pid;
    const char *name;
    double wait_s, bytes_left;
    lw_err why; /* what stopped it */
};

lw_code lw_child_open(const char *const *argv, double wait_s, double bytes_most, lw_child **child, lw_err *err)
{
    lw_child *c = calloc(1, sizeof *c);
    if (!c)
        return lw_fail(err, LW_E_FULL, "no memory to run a program");
    *c = (lw_child){.talk = {.fd = {-1, -1}}, .name = argv[0], .wait_s = wait_s, .bytes_left = bytes_most};
    const lw_code code = start(argv, &c->talk, &c->pid, err);
    if (code)
        free(c);
    else
        *child = c;
    return code;
}

static long stop(lw_child *c, lw_code code, const char *why)
{
    (void)lw_fail(&c->why, code, "%s", why);
    return -1;
}

/* -2: nothing yet. */
static long take_some(lw_child *c, char *buf, size_t n)
{
    talk *t = &c->talk;
    struct pollfd wait[STREAMS] = {{.fd = t->fd[OUT], .events = POLLIN}, {.fd = t->fd[ERR], .events = POLLIN}};
    const int ready = poll(wait, STREAMS, (int)(c->wait_s * 1000.0));
    if (ready < 0 && errno != EINTR)
        return stop(c, LW_E_IO, "it cannot be listened to");
    if (ready == 0)
        return stop(c, LW_E_IO, "it gave no answer in time");
    if (ready > 0 && wait[ERR].revents && take(t, ERR, &c->why))
        return -1;
    if (ready < 0 || !wait[OUT].revents)
        return -2;
    const ssize_t got = read(t->fd[OUT], buf, n);
    if (got < 0)
        return errno == EINTR ? -2 : stop(c, LW_E_IO, "it cannot be read from");
    c->bytes_left -= (double)got;
    return c->bytes_left < 0.0 ? stop(c, LW_E_FULL, "it prints more than a map has") : (long)got;
}

long lw_child_read(void *child, char *buf, size_t n)
{
    lw_child *c = child;
    long got = c->why.code ? -1 : c->talk.fd[OUT] < 0 ? 0 : -2;
    while (got == -2)
        got = take_some(c, buf, n);
    if (got == 0 && c->talk.fd[OUT] >= 0) {
        (void)close(c->talk.fd[OUT]);
        c->talk.fd[OUT] = -1;
    }
    return got;
}

/* One that has said all it will ends by itself, and how it ends tells more than what was made of its words. */
lw_code lw_child_close(lw_child *c, lw_code code, lw_err *err)
{
    lw_err own = c->why;
    const int is_dry = c->talk.fd[OUT] < 0;
    if (is_dry && c->talk.fd[ERR] >= 0)
        (void)listen_to(&c->talk, now_s() + c->wait_s, &own);
    (void)end(c->pid, &c->talk, is_dry ? own.code : LW_E_IO, &own);
    if (own.code) {
        *err = own;
        code = lw_err_at(err, c->name, 0, NULL);
    }
    free(c);
    return code;
}
