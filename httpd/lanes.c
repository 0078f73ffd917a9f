#include "httpd/lanes.h"

#include <malloc.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

#include "exchange/csv.h"
#include "exchange/json_tree.h"
#include "httpd/qr.h"
#include "text/say.h"

typedef struct lane {
    lw_lanes *lanes;
    pthread_t thread;
    pthread_cond_t wake;
    lw_job *first, *last;
    int is_ending;
    lw_book *book;
    dev_t device;
    ino_t file;
} lane;

/* An answer that is kept, or is being worked out. */
typedef struct kept {
    char *target;
    char mark[LW_ASK_MARK];
    lw_answer *answer; /* NULL: being worked out */
    lw_job *waiting;   /* meanwhile, the one in work among them */
    uint64_t used;
} kept;

enum { LW_WORK_TARGET = 1024 }; /* longer ones are cut: they are only shown */

struct lw_lanes {
    lw_lanes_order order;
    lw_machine_clock machine; /* its run */
    pthread_mutex_t lock;     /* of all below but what is of one thread alone */
    lane quick, slow;
    kept kept[LW_KEPT_ANSWERS];
    uint64_t uses;
    uint64_t changes; /* that something was worked out ahead of */
    int is_closing;
    char working[LW_WORK_TARGET]; /* what the slow lane is at, and how far; empty: nothing */
    int work_done, work_of, work_is_enough;
    lw_pairing pairing; /* of the quick thread */
    char first_code[LW_PAIRING_CODE];
};

/* ---- queues ---- */

static void push(lane *l, lw_job *job)
{
    job->next = NULL;
    if (l->last)
        l->last->next = job;
    else
        l->first = job;
    l->last = job;
    pthread_cond_signal(&l->wake);
}

/* What somebody asked for goes before what is worked out ahead. */
static void push_asked(lane *l, lw_job *job)
{
    lw_job **at = &l->first;
    while (*at && (*at)->owner)
        at = &(*at)->next;
    if (!job->owner || !*at) {
        push(l, job);
        return;
    }
    job->next = *at;
    *at = job;
    pthread_cond_signal(&l->wake);
}

/* NULL: the lane is to end, and nothing is left. */
static lw_job *pop(lane *l)
{
    pthread_mutex_lock(&l->lanes->lock);
    while (!l->first && !l->is_ending)
        pthread_cond_wait(&l->wake, &l->lanes->lock);
    lw_job *job = l->first;
    if (job) {
        l->first = job->next;
        l->last = l->first ? l->last : NULL;
    }
    pthread_mutex_unlock(&l->lanes->lock);
    return job;
}

void lw_lanes_put(lw_lanes *lanes, lw_job *job)
{
    pthread_mutex_lock(&lanes->lock);
    push(&lanes->quick, job);
    pthread_mutex_unlock(&lanes->lock);
}

static void done(const lw_lanes *lanes, lw_job *job, lw_answer *answer)
{
    if (!job->owner) {
        lw_answer_drop(answer);
        free(job);
        return;
    }
    job->answer = answer;
    lanes->order.done(lanes->order.with, job);
}

static void done_with(const lw_lanes *lanes, lw_job *job, lw_reply *reply)
{
    done(lanes, job, lw_answer_take(reply, 0));
}

static void refuse(const lw_lanes *lanes, lw_job *job, int status, const char *says)
{
    lw_reply reply = {0};
    lw_reply_refuse(&reply, status, says);
    done_with(lanes, job, &reply);
}

/* ---- the book of a lane ---- */

static lw_code open_book(lane *l, lw_err *err)
{
    struct stat there = {0};
    const char *path = l->lanes->order.book_path;
    if (l->book && stat(path, &there) == 0 && there.st_dev == l->device && there.st_ino == l->file)
        return LW_OK;
    lw_book_close(l->book);
    l->book = NULL;
    const lw_code code = lw_book_open(&l->book, path, LW_BOOK_CREATE, err);
    if (!code && stat(path, &there) == 0) {
        l->device = there.st_dev;
        l->file = there.st_ino;
    }
    return code;
}

static int64_t now_of(const lw_lanes *lanes)
{
    return (int64_t)time(NULL) + lanes->order.shift_s;
}

/* ---- pairing ---- */

static lw_code read_pairing(const lw_job *job, char code[LW_PAIRING_CODE + 1], char name[LW_DEVICE_NAME], lw_err *err)
{
    lw_bytes bytes = {job->body, job->size};
    json_t *root = NULL;
    if (!job->body || lw_json_tree_read(lw_read_bytes, &bytes, &root, err))
        return lw_fail(err, LW_E_SYNTAX, "a JSON object with code and device is wanted");
    const char *said = json_string_value(json_object_get(root, "code"));
    const char *device = json_string_value(json_object_get(root, "device"));
    snprintf(code, LW_PAIRING_CODE + 1, "%s", said ? said : "");
    snprintf(name, LW_DEVICE_NAME, "%s", device && *device ? device : "a device");
    json_decref(root);
    return said ? LW_OK : lw_fail(err, LW_E_SYNTAX, "a JSON object with code and device is wanted");
}

/* Of a form, whose writer may have put a blank between the digits as the terminal shows them. */
static void read_pairing_form(const lw_job *job, char code[LW_PAIRING_CODE + 1], char name[LW_DEVICE_NAME])
{
    char typed[LW_ASK_FIELD_BYTES];
    size_t n = 0;
    lw_ask_form_field(job->body, job->size, "code", typed, sizeof typed);
    for (const char *at = typed; *at && n < LW_PAIRING_CODE; at++)
        if (*at != ' ')
            code[n++] = *at;
    code[n] = '\0';
    lw_ask_form_field(job->body, job->size, "device", typed, sizeof typed);
    snprintf(name, LW_DEVICE_NAME, "%.*s", LW_DEVICE_NAME - 1, typed[0] ? typed : "a device");
}

static lw_code let_in(lane *l, lw_job *job, const char *name, lw_err *err)
{
    char token[LW_TOKEN_TEXT];
    unsigned char hash[LW_TOKEN_HASH];
    int64_t id;
    lw_code code = lw_token_make(token, err);
    if (code)
        return code;
    lw_token_hash(token, hash);
    code = lw_book_add_device(l->book, name, hash, now_of(l->lanes), &id, err);
    if (!code)
        snprintf(job->cookie, sizeof job->cookie, "%s", token);
    return code;
}

static void pair(lane *l, lw_job *job)
{
    lw_lanes *lanes = l->lanes;
    char code[LW_PAIRING_CODE + 1], name[LW_DEVICE_NAME], body[LW_COOKIE + 64];
    lw_err err = {0};
    lw_reply reply = {0};
    int is_new = 0;
    const int is_form = lw_ask_is_plain(job->target);
    lw_code failed = LW_OK;
    if (is_form)
        read_pairing_form(job, code, name);
    else
        failed = read_pairing(job, code, name, &err);
    failed = failed ? failed : lw_pairing_try(&lanes->pairing, code, now_of(lanes), &is_new, &err);
    failed = failed ? failed : let_in(l, job, name, &err);
    if (is_new)
        lanes->order.new_code(lanes->order.with, lanes->pairing.code);
    const int status = failed == LW_OK           ? 200
                       : failed == LW_E_CONFLICT ? 403
                       : failed == LW_E_FULL     ? 429
                       : failed == LW_E_IO       ? 503
                                                 : 400;
    if (is_form) {
        lw_plain_pairing(&reply, status, failed ? err.text : NULL);
    } else if (failed) {
        lw_reply_refuse_err(&reply, status, &err);
    } else {
        snprintf(body, sizeof body, "{\"schema\":\"leeway.paired/1\",\"token\":\"%s\"}\n", job->cookie);
        reply = (lw_reply){.status = 200, .type = "application/json", .body = strdup(body), .size = strlen(body)};
    }
    done_with(lanes, job, &reply);
}

static int is_paired(lane *l, lw_job *job, lw_err *err)
{
    unsigned char hash[LW_TOKEN_HASH];
    lw_device device;
    int is_there = 0;
    if (!job->token[0])
        return 0;
    lw_token_hash(job->token, hash);
    if (lw_book_find_device(l->book, hash, now_of(l->lanes), &device, &is_there, err) || !is_there)
        return 0;
    snprintf(job->device, sizeof job->device, "%s", device.name);
    return 1;
}

/* ---- what is kept ---- */

static kept *find_kept(lw_lanes *lanes, const char *target, const char *mark)
{
    for (int i = 0; i < LW_KEPT_ANSWERS; i++) {
        kept *k = &lanes->kept[i];
        if (k->target && strcmp(k->target, target) == 0 && strcmp(k->mark, mark) == 0)
            return k;
    }
    return NULL;
}

static void forget(kept *k)
{
    free(k->target);
    lw_answer_drop(k->answer);
    *k = (kept){0};
}

/* A free row, or that of the answer used longest ago; NULL: all are being worked out. */
static kept *oldest(lw_lanes *lanes)
{
    kept *oldest = NULL;
    for (int i = 0; i < LW_KEPT_ANSWERS; i++) {
        kept *k = &lanes->kept[i];
        if (!k->target)
            return k;
        if (k->answer && (!oldest || k->used < oldest->used))
            oldest = k;
    }
    return oldest;
}

static void keep_within(lw_lanes *lanes)
{
    for (;;) {
        size_t bytes = 0;
        kept *oldest = NULL;
        for (int i = 0; i < LW_KEPT_ANSWERS; i++) {
            kept *k = &lanes->kept[i];
            if (!k->answer)
                continue;
            bytes += k->answer->size + k->answer->packed_size;
            oldest = !oldest || k->used < oldest->used ? k : oldest;
        }
        if (bytes <= LW_KEPT_BYTES || !oldest)
            return;
        forget(oldest);
    }
}

/* Under the lock. *answer: it is kept. Otherwise the job waits where somebody waits already, or is the first of its kind. */
static void look_up(lw_lanes *lanes, lw_job *job, const char *mark, lw_answer **answer)
{
    kept *k = find_kept(lanes, job->target, mark);
    if (k && k->answer) {
        k->used = ++lanes->uses;
        *answer = lw_answer_hold(k->answer);
        return;
    }
    if (k) {
        job->next = k->waiting;
        k->waiting = job;
        return;
    }
    k = oldest(lanes);
    job->row = -1;
    if (k) {
        forget(k);
        k->target = strdup(job->target);
        memcpy(k->mark, mark, sizeof k->mark);
        k->used = ++lanes->uses;
        job->row = k->target ? (int)(k - lanes->kept) : -1;
    }
    push_asked(&lanes->slow, job);
}

static void answer_kept(lane *l, const lw_ask *ask, lw_job *job)
{
    lw_lanes *lanes = l->lanes;
    char mark[LW_ASK_MARK] = "";
    lw_err err = {0};
    lw_answer *answer = NULL;
    lw_reply reply = {0};
    if (lw_ask_mark(l->book, ask, mark, &err)) {
        lw_reply_refuse_err(&reply, 503, &err);
        done_with(lanes, job, &reply);
        return;
    }
    if (job->known_mark && strcmp(job->known_mark, mark) == 0) {
        reply = (lw_reply){.status = 304, .type = "application/json"};
        answer = lw_answer_take(&reply, 0);
        if (answer)
            memcpy(answer->mark, mark, sizeof answer->mark);
        done(lanes, job, answer);
        return;
    }
    pthread_mutex_lock(&lanes->lock);
    look_up(lanes, job, mark, &answer);
    pthread_mutex_unlock(&lanes->lock);
    if (answer)
        done(lanes, job, answer);
}

/* What hangs on a body is worked out for each who asks, and not kept. */
static void work_by_itself(lw_lanes *lanes, lw_job *job)
{
    job->row = -1;
    pthread_mutex_lock(&lanes->lock);
    push_asked(&lanes->slow, job);
    pthread_mutex_unlock(&lanes->lock);
}

/* ---- the quick lane ---- */

static lw_ask ask_of(const lw_lanes *lanes, const lw_job *job)
{
    return (lw_ask){.method = job->method,
                    .target = job->target,
                    .body = job->body,
                    .size = job->size,
                    .device = job->is_here ? NULL : job->device,
                    .now_s = now_of(lanes),
                    .version = lanes->order.version,
                    .square = lw_qr_modules};
}

static lw_code look_at_clock(lane *l, lw_ask *ask, lw_err *err)
{
    lw_machine_clock machine = l->lanes->machine;
    lw_machine_clock_now(&machine);
    machine.now_s += l->lanes->order.shift_s;
    machine.started_s += l->lanes->order.shift_s;
    return lw_ask_look_at_clock(l->book, &machine, ask, err);
}

/* Behind whatever else is waiting, and only as a courtesy: without memory it is left out. */
static void work_ahead(lw_lanes *lanes, const char *const *target)
{
    pthread_mutex_lock(&lanes->lock);
    lanes->changes++;
    for (; *target && !lanes->is_closing; target++) {
        lw_job *job = calloc(1, sizeof *job);
        if (!job)
            break;
        *job = (lw_job){.method = "GET", .target = *target, .is_here = 1, .ahead = lanes->changes};
        push(&lanes->quick, job);
    }
    pthread_mutex_unlock(&lanes->lock);
}

static void cut_short(void *with)
{
    lw_lanes *lanes = with;
    pthread_mutex_lock(&lanes->lock);
    lanes->work_is_enough = 1;
    pthread_mutex_unlock(&lanes->lock);
}

static void answer_quick(lane *l, lw_job *job)
{
    lw_lanes *lanes = l->lanes;
    lw_err err = {0};
    lw_reply reply = {0};
    if (open_book(l, &err)) {
        lw_reply_refuse_err(&reply, 503, &err);
        done_with(lanes, job, &reply);
        return;
    }
    if (lanes->order.is_lan && strcmp(job->method, "POST") == 0 &&
        (strcmp(job->target, "/api/1/pair") == 0 || strcmp(job->target, "/plain/pair") == 0)) {
        pair(l, job);
        return;
    }
    if (!job->is_here && !is_paired(l, job, &err) && strcmp(job->target, "/plain.css") != 0) {
        if (lw_ask_is_plain(job->target)) {
            lw_plain_pairing(&reply, 401, NULL);
            done_with(lanes, job, &reply);
            return;
        }
        refuse(lanes, job, 401, "this device is not paired; type the code that stands on the terminal");
        return;
    }
    lw_ask ask = ask_of(lanes, job);
    if (look_at_clock(l, &ask, &err)) {
        lw_reply_refuse_err(&reply, 503, &err);
        done_with(lanes, job, &reply);
        return;
    }
    if (lw_ask_is_slow(&ask)) {
        if (strcmp(job->method, "POST") == 0)
            work_by_itself(lanes, job);
        else
            answer_kept(l, &ask, job);
        return;
    }
    char working[LW_WORK_TARGET];
    pthread_mutex_lock(&lanes->lock);
    if (lanes->working[0]) {
        memcpy(working, lanes->working, sizeof working);
        ask.work_target = working;
        ask.work_done = lanes->work_done;
        ask.work_of = lanes->work_of;
        ask.cut_short = cut_short;
        ask.with = lanes;
    }
    pthread_mutex_unlock(&lanes->lock);
    lw_ask_answer(l->book, &ask, &reply);
    const char *const *ahead = reply.status == 200 ? lw_ask_ahead(&ask) : NULL;
    done_with(lanes, job, &reply); /* ask points into the job: it is over */
    if (ahead)
        work_ahead(lanes, ahead);
}

static void *run_quick(void *with)
{
    lane *l = with;
    for (lw_job *job; (job = pop(l)) != NULL;)
        answer_quick(l, job);
    return NULL;
}

/* ---- the slow lane ---- */

typedef struct watch {
    lw_lanes *lanes;
    lw_job *job;
    int has_given_up; /* is_over has said so */
} watch;

/* Under the lock. Work ahead makes room for what somebody asks for; whoever needs it later asks for it. */
static int is_wanted(const lw_lanes *lanes, const lw_job *job)
{
    if (job->owner)
        return !lanes->order.is_gone(lanes->order.with, job);
    return job->ahead == lanes->changes && !(lanes->slow.first && lanes->slow.first->owner);
}

static int is_over(void *with)
{
    watch *w = with;
    lw_lanes *lanes = w->lanes;
    pthread_mutex_lock(&lanes->lock);
    const kept *k = w->job->row < 0 ? NULL : &lanes->kept[w->job->row];
    int is_waited_for = is_wanted(lanes, w->job);
    for (const lw_job *other = k ? k->waiting : NULL; other && !is_waited_for; other = other->next)
        is_waited_for = is_wanted(lanes, other);
    w->has_given_up = lanes->is_closing || !is_waited_for;
    pthread_mutex_unlock(&lanes->lock);
    return w->has_given_up;
}

static void tell(void *with, int done, int of)
{
    watch *w = with;
    pthread_mutex_lock(&w->lanes->lock);
    w->lanes->work_done = done;
    w->lanes->work_of = of;
    pthread_mutex_unlock(&w->lanes->lock);
}

static int is_enough(void *with)
{
    const watch *w = with;
    pthread_mutex_lock(&w->lanes->lock);
    const int is = w->lanes->work_is_enough;
    pthread_mutex_unlock(&w->lanes->lock);
    return is;
}

/* target NULL: nothing is worked on any more. */
static void work_on(lw_lanes *lanes, const char *target)
{
    pthread_mutex_lock(&lanes->lock);
    snprintf(lanes->working, sizeof lanes->working, "%s", target ? target : "");
    lanes->work_done = lanes->work_of = lanes->work_is_enough = 0;
    pthread_mutex_unlock(&lanes->lock);
}

/* Under the lock. Somebody may have asked between the giving up and the end of the work: the work begins anew for them. */
static int hand_on(lw_lanes *lanes, const lw_job *job)
{
    kept *k = job->row < 0 || lanes->is_closing ? NULL : &lanes->kept[job->row];
    lw_job **at = k ? &k->waiting : NULL;
    while (at && *at && !(*at)->owner)
        at = &(*at)->next;
    if (!at || !*at)
        return 0;
    lw_job *heir = *at;
    *at = heir->next;
    heir->row = job->row;
    push_asked(&lanes->slow, heir);
    return 1;
}

/* Those who waited get a share each; what went wrong is not kept. */
static void hand_out(const watch *w, lw_answer *answer)
{
    lw_lanes *lanes = w->lanes;
    lw_job *job = w->job, *waiting = NULL;
    pthread_mutex_lock(&lanes->lock);
    kept *k = job->row < 0 ? NULL : &lanes->kept[job->row];
    const int is_cut = w->has_given_up && !(answer && answer->status == 200);
    if (k && !(is_cut && hand_on(lanes, job))) {
        waiting = k->waiting;
        k->waiting = NULL;
        if (answer && answer->status == 200) {
            memcpy(answer->mark, k->mark, sizeof answer->mark);
            k->answer = lw_answer_hold(answer);
            keep_within(lanes);
        } else
            forget(k);
    }
    pthread_mutex_unlock(&lanes->lock);
    while (waiting) {
        lw_job *next = waiting->next;
        done(lanes, waiting, answer ? lw_answer_hold(answer) : NULL);
        waiting = next;
    }
    done(lanes, job, answer);
}

static void answer_slow(lane *l, lw_job *job)
{
    lw_lanes *lanes = l->lanes;
    watch w = {.lanes = lanes, .job = job};
    lw_err err = {0};
    lw_reply reply = {0};
    lw_ask ask = ask_of(lanes, job);
    ask.is_over = is_over;
    ask.tell = tell;
    ask.is_enough = is_enough;
    ask.with = &w;
    work_on(lanes, job->target);
    if (is_over(&w))
        lw_reply_refuse(&reply, 503, "nobody waits for this answer any more");
    else if (open_book(l, &err) || look_at_clock(l, &ask, &err))
        lw_reply_refuse_err(&reply, 503, &err);
    else
        lw_ask_answer(l->book, &ask, &reply);
    work_on(lanes, NULL);
    hand_out(&w, lw_answer_take(&reply, reply.status == 200));
#ifdef __GLIBC__
    (void)malloc_trim(0); /* the draws' memory goes back to the system: the server rests small */
#endif
}

static void *run_slow(void *with)
{
    lane *l = with;
    for (lw_job *job; (job = pop(l)) != NULL;)
        answer_slow(l, job);
    return NULL;
}

/* ---- opening and closing ---- */

static int start(lane *l, lw_lanes *lanes, void *(*run)(void *))
{
    l->lanes = lanes;
    return pthread_cond_init(&l->wake, NULL) == 0 && pthread_create(&l->thread, NULL, run, l) == 0;
}

static void stop(lane *l)
{
    pthread_mutex_lock(&l->lanes->lock);
    l->is_ending = 1;
    pthread_cond_signal(&l->wake);
    pthread_mutex_unlock(&l->lanes->lock);
    pthread_join(l->thread, NULL);
    pthread_cond_destroy(&l->wake);
    lw_book_close(l->book);
}

lw_code lw_lanes_open(lw_lanes **lanes, const lw_lanes_order *order, lw_err *err)
{
    lw_lanes *made = calloc(1, sizeof *made);
    if (!made)
        return lw_fail(err, LW_E_FULL, "no memory for the server");
    made->order = *order;
    made->machine = lw_machine_clock_read();
    const lw_code code = lw_pairing_begin(&made->pairing, err);
    if (code || pthread_mutex_init(&made->lock, NULL) != 0) {
        free(made);
        return code ? code : lw_fail(err, LW_E_IO, "the system gives no threads");
    }
    memcpy(made->first_code, made->pairing.code, sizeof made->first_code);
    if (start(&made->quick, made, run_quick) && start(&made->slow, made, run_slow)) {
        *lanes = made;
        return LW_OK;
    }
    return lw_fail(err, LW_E_IO,
                   "the system gives no threads"); /* the program ends: nothing is taken down one by one */
}

const char *lw_lanes_code(const lw_lanes *lanes)
{
    return lanes->first_code;
}

void lw_lanes_close(lw_lanes *lanes)
{
    if (!lanes)
        return;
    pthread_mutex_lock(&lanes->lock);
    lanes->is_closing = 1;
    pthread_mutex_unlock(&lanes->lock);
    stop(&lanes->quick); /* first: it may still hand something to the other */
    stop(&lanes->slow);
    for (int i = 0; i < LW_KEPT_ANSWERS; i++)
        forget(&lanes->kept[i]);
    pthread_mutex_destroy(&lanes->lock);
    free(lanes);
}
