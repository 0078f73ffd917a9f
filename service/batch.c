#include "service/batch.h"

#include <pthread.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "text/say.h"

enum { READ_BYTES = 65536 };

typedef enum slot_state { SLOT_FREE = 0, SLOT_READ, SLOT_DONE } slot_state;

typedef struct slot {
    slot_state state;
    lw_batch_line line;
    char *bytes;  /* of the line; owned */
    char *answer; /* NULL when done: no memory, or given up */
    int is_short_of_memory, is_given_up;
    size_t held; /* what it counts towards LW_BATCH_HELD_BYTES */
} slot;

/* A ring of lines: read up to `read`, taken by workers up to `taken`, handed out up to `out`. */
typedef struct pool {
    const lw_batch_wish *wish;
    const lw_batch_ends *ends;
    pthread_mutex_t lock;
    pthread_cond_t work, room;
    slot *ring;
    size_t window;
    uint64_t read, taken, out;
    size_t held;
    int is_at_end;  /* no more lines come */
    int is_writing; /* one of the workers hands out */
    int is_over;    /* nothing more is handed out */
    lw_written written;
} pool;

static int is_stopped(const lw_batch_wish *wish)
{
    return wish->is_stopped && wish->is_stopped(wish->with);
}

static slot *slot_of(pool *p, uint64_t at)
{
    return &p->ring[at % p->window];
}

static int64_t now_of(const lw_batch_wish *wish)
{
    return wish->now_s ? wish->now_s(wish->with) : 0;
}

/* ---- handing out ---- */

static lw_written put_answer(const pool *p, const slot *s)
{
    char poor[256];
    if (s->answer)
        return p->ends->write(p->ends->to, s->answer, strlen(s->answer));
    const int n =
        snprintf(poor, sizeof poor,
                 "{\"schema\":\"leeway.batch/1\",\"line\":%lld,\"id\":null,\"error\":{\"schema\":"
                 "\"leeway.error/1\",\"code\":\"full\",\"where\":\"line %lld\",\"text\":\"there is not enough "
                 "memory to answer this line\"}}\n",
                 (long long)s->line.number, (long long)s->line.number);
    return p->ends->write(p->ends->to, poor, (size_t)n);
}

/* Locked; unlocked while it writes. Only one worker is here at a time; what others finish meanwhile it finds on its way. */
static void hand_out(pool *p)
{
    if (p->is_writing)
        return;
    p->is_writing = 1;
    for (slot *s = slot_of(p, p->out); p->out < p->read && s->state == SLOT_DONE; s = slot_of(p, p->out)) {
        p->is_over |= s->is_given_up;
        if (!p->is_over) {
            pthread_mutex_unlock(&p->lock);
            const lw_written written = put_answer(p, s);
            pthread_mutex_lock(&p->lock);
            p->written = written;
            p->is_over |= written != LW_WRITTEN;
        }
        free(s->answer);
        p->held -= s->held;
        *s = (slot){.state = SLOT_FREE};
        p->out++;
        pthread_cond_signal(&p->room);
    }
    p->is_writing = 0;
}

/* ---- answering ---- */

static void answer_one(pool *p, slot *s)
{
    const int is_over = p->is_over;
    pthread_mutex_unlock(&p->lock);
    if (!is_over && !s->is_short_of_memory && !is_stopped(p->wish))
        s->answer = lw_batch_answer(&s->line, p->wish);
    s->is_given_up = is_over || is_stopped(p->wish);
    free(s->bytes);
    s->bytes = NULL;
    const size_t held = s->answer ? strlen(s->answer) : 0;
    pthread_mutex_lock(&p->lock);
    p->held += held - s->held;
    s->held = held;
    s->state = SLOT_DONE;
}

static void *work(void *with)
{
    pool *p = with;
    pthread_mutex_lock(&p->lock);
    for (;;) {
        while (p->taken == p->read && !p->is_at_end)
            pthread_cond_wait(&p->work, &p->lock);
        if (p->taken == p->read)
            break;
        answer_one(p, slot_of(p, p->taken++));
        hand_out(p);
    }
    pthread_mutex_unlock(&p->lock);
    return NULL;
}

/* ---- reading ---- */

/* The line that is being read: a text that grows to its limit and then only counts. */
typedef struct text {
    char *bytes;
    size_t used, room;
    int is_begun, is_too_long, is_short_of_memory;
} text;

static void add(text *t, const char *bytes, size_t n)
{
    t->is_begun = 1;
    if (n == 0 || t->is_too_long || t->is_short_of_memory)
        return;
    if (t->used + n > LW_BATCH_LINE_BYTES) {
        free(t->bytes);
        *t = (text){.is_begun = 1, .is_too_long = 1};
        return;
    }
    if (t->used + n > t->room) {
        const size_t room = 2 * (t->used + n);
        char *more = realloc(t->bytes, room);
        if (!more) {
            free(t->bytes);
            *t = (text){.is_begun = 1, .is_short_of_memory = 1};
            return;
        }
        t->bytes = more;
        t->room = room;
    }
    memcpy(t->bytes + t->used, bytes, n);
    t->used += n;
}

/* Hands a line to the workers, once there is room; 0 when nothing more is wanted. */
static int give(pool *p, text *t)
{
    pthread_mutex_lock(&p->lock);
    while (!p->is_over &&
           (p->read - p->out == p->window || (p->held + t->used > LW_BATCH_HELD_BYTES && p->read > p->out)))
        pthread_cond_wait(&p->room, &p->lock);
    const int goes_on = !p->is_over;
    if (goes_on) {
        slot *s = slot_of(p, p->read);
        *s = (slot){.state = SLOT_READ,
                    .line = {.number = (int64_t)p->read + 1,
                             .bytes = t->is_too_long ? NULL
                                      : t->bytes     ? t->bytes
                                                     : "",
                             .size = t->used,
                             .now_s = now_of(p->wish)},
                    .bytes = t->bytes,
                    .is_short_of_memory = t->is_short_of_memory,
                    .held = t->used};
        p->held += t->used;
        p->read++;
        pthread_cond_signal(&p->work);
        *t = (text){.used = 0};
    }
    pthread_mutex_unlock(&p->lock);
    return goes_on;
}

/* Bytes as they come; 0 when nothing more is wanted. */
static int take_bytes(pool *p, text *t, const char *bytes, size_t n)
{
    for (const char *at = bytes, *end = bytes + n; at < end;) {
        const char *feed = memchr(at, '\n', (size_t)(end - at));
        add(t, at, (size_t)((feed ? feed : end) - at));
        if (!feed)
            return 1;
        if (!give(p, t))
            return 0;
        at = feed + 1;
    }
    return 1;
}

static lw_code read_lines(pool *p, lw_err *err)
{
    text t = {.used = 0};
    long got = 0;
    int goes_on = 1;
    char *bytes = malloc(READ_BYTES);
    if (!bytes)
        return lw_fail(err, LW_E_FULL, "there is not enough memory to read lines");
    while (goes_on && !is_stopped(p->wish) && (got = p->ends->read(p->ends->from, bytes, READ_BYTES)) > 0)
        goes_on = take_bytes(p, &t, bytes, (size_t)got);
    if (goes_on && got >= 0 && t.is_begun && !is_stopped(p->wish)) /* the last may have no line feed */
        (void)give(p, &t);
    free(t.bytes);
    free(bytes);
    return got < 0 ? lw_fail(err, LW_E_IO, "the system refused to read on") : LW_OK;
}

/* ---- all of it ---- */

static int thread_count(const lw_batch_wish *wish)
{
    const long cores = sysconf(_SC_NPROCESSORS_ONLN);
    const int threads = wish->threads > 0 ? wish->threads : cores > 0 ? (int)cores : 1;
    return threads < LW_BATCH_THREADS ? threads : LW_BATCH_THREADS;
}

/* Signals stay with the calling thread, so that they end its wait for input. Gives how many threads there are. */
static int start_threads(pool *p, pthread_t *thread, int wanted)
{
    sigset_t all, before;
    int count = 0;
    sigfillset(&all);
    const int is_masked = pthread_sigmask(SIG_SETMASK, &all, &before) == 0;
    while (count < wanted && pthread_create(&thread[count], NULL, work, p) == 0)
        count++;
    if (is_masked)
        (void)pthread_sigmask(SIG_SETMASK, &before, NULL);
    return count;
}

static lw_code run_pool(pool *p, int wanted, lw_err *err)
{
    pthread_t thread[LW_BATCH_THREADS];
    const int count = start_threads(p, thread, wanted);
    lw_code code = count > 0 ? read_lines(p, err) : lw_fail(err, LW_E_FULL, "the system gives no thread to work on");
    pthread_mutex_lock(&p->lock);
    p->is_at_end = 1;
    pthread_cond_broadcast(&p->work);
    pthread_mutex_unlock(&p->lock);
    for (int i = 0; i < count; i++)
        (void)pthread_join(thread[i], NULL);
    if (p->written == LW_WRITE_REFUSED)
        code = lw_fail(err, LW_E_IO, "the results cannot be written; is the disk full?");
    return code;
}

lw_code lw_batch_run(const lw_batch_wish *wish, const lw_batch_ends *ends, lw_err *err)
{
    const int threads = thread_count(wish);
    pool p = {.wish = wish,
              .ends = ends,
              .lock = PTHREAD_MUTEX_INITIALIZER,
              .work = PTHREAD_COND_INITIALIZER,
              .room = PTHREAD_COND_INITIALIZER,
              .window = (size_t)threads * LW_BATCH_AHEAD};
    p.ring = calloc(p.window, sizeof *p.ring);
    const lw_code code =
        p.ring ? run_pool(&p, threads, err) : lw_fail(err, LW_E_FULL, "there is not enough memory for a batch");
    free(p.ring);
    pthread_cond_destroy(&p.room);
    pthread_cond_destroy(&p.work);
    pthread_mutex_destroy(&p.lock);
    return code;
}
