#include "httpd/server.h"

#include <arpa/inet.h>
#include <errno.h>
#include <ifaddrs.h>
#include <netinet/in.h>
#include <pthread.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/epoll.h>
#include <sys/eventfd.h>
#include <sys/signalfd.h>
#include <sys/socket.h>
#include <sys/timerfd.h>
#include <time.h>
#include <unistd.h>

#include <microhttpd.h>

#include "httpd/gate.h"
#include "httpd/lanes.h"
#include "httpd/pages.h"
#include "httpd/qr.h"
#include "text/say.h"

enum { CONNECTION_BYTES = 16 << 10, BACKLOG = 256, EVENTS = 8, ADDRESS = 64, COOKIE_NAME_BYTES = 14 };

static const char COOKIE_NAME[] = "leeway_device=";

/* A connection and its time. */
typedef struct line {
    int fd;           /* -1: free */
    int64_t until_ms; /* 0: no hurry while an answer is worked out */
    struct sockaddr_storage peer;
} line;

typedef struct server {
    const lw_server_order *order;
    lw_gate gate;
    struct MHD_Daemon *daemon;
    lw_lanes *lanes;
    int listen_fd, poll_fd, signal_fd, timer_fd, done_fd;
    int port, is_over;
    int64_t timer_ms; /* when it rings; 0: never */
    line line[LW_SERVER_CONNECTIONS];
    pthread_mutex_t lock; /* of done */
    lw_job *done;
} server;

/* A request and its answer. */
typedef struct request {
    lw_job job;
    struct MHD_Connection *connection;
    server *server;
    line *line;
    char *target, *body, *known_mark;
    size_t body_size, body_room;
    enum { NEW = 0, TAKING, WORKING, ANSWERED } step;
} request;

/* ---- time ---- */

static int64_t now_ms(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

static void ring_at(server *s, int64_t at_ms)
{
    const struct itimerspec when = {.it_value = {at_ms / 1000, at_ms % 1000 * 1000000}};
    s->timer_ms = at_ms;
    (void)timerfd_settime(s->timer_fd, TFD_TIMER_ABSTIME, &when, NULL);
}

/* The timer rings no later than the earliest line ends; earlier is fine, it looks again then. */
static void give_time(server *s, line *l, int64_t ms)
{
    if (!l)
        return;
    l->until_ms = ms ? now_ms() + ms : 0;
    if (l->until_ms && (!s->timer_ms || l->until_ms < s->timer_ms))
        ring_at(s, l->until_ms);
}

static void end_late_lines(server *s)
{
    const int64_t now = now_ms();
    int64_t next = 0;
    for (int i = 0; i < LW_SERVER_CONNECTIONS; i++) {
        line *l = &s->line[i];
        if (l->fd < 0 || !l->until_ms)
            continue;
        if (l->until_ms <= now) {
            (void)shutdown(l->fd, SHUT_RDWR); /* the daemon finds it ended */
            l->until_ms = 0;
        } else if (!next || l->until_ms < next)
            next = l->until_ms;
    }
    s->timer_ms = 0;
    if (next)
        ring_at(s, next);
}

/* ---- connections ---- */

static int is_same_peer(const struct sockaddr_storage *a, const struct sockaddr *b)
{
    if (a->ss_family != b->sa_family)
        return 0;
    if (b->sa_family == AF_INET)
        return memcmp(&((const struct sockaddr_in *)(const void *)a)->sin_addr,
                      &((const struct sockaddr_in *)(const void *)b)->sin_addr, sizeof(struct in_addr)) == 0;
    return memcmp(&((const struct sockaddr_in6 *)(const void *)a)->sin6_addr,
                  &((const struct sockaddr_in6 *)(const void *)b)->sin6_addr, sizeof(struct in6_addr)) == 0;
}

static enum MHD_Result let_connect(void *with, const struct sockaddr *peer, socklen_t size)
{
    const server *s = with;
    int count = 0;
    (void)size;
    if (!lw_gate_is_local(peer))
        return MHD_NO;
    for (int i = 0; i < LW_SERVER_CONNECTIONS; i++)
        count += s->line[i].fd >= 0 && is_same_peer(&s->line[i].peer, peer);
    return lw_gate_is_here(peer) || count < LW_SERVER_EACH ? MHD_YES : MHD_NO;
}

static line *free_line(server *s)
{
    for (int i = 0; i < LW_SERVER_CONNECTIONS; i++)
        if (s->line[i].fd < 0)
            return &s->line[i];
    return NULL;
}

static void note_connection(void *with, struct MHD_Connection *connection, void **context,
                            enum MHD_ConnectionNotificationCode what)
{
    server *s = with;
    line *l = *context;
    if (what == MHD_CONNECTION_NOTIFY_CLOSED) {
        if (l)
            l->fd = -1;
        return;
    }
    const union MHD_ConnectionInfo *fd = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD);
    const union MHD_ConnectionInfo *peer = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CLIENT_ADDRESS);
    l = free_line(s);
    *context = l;
    if (!l || !fd || !peer)
        return;
    l->fd = fd->connect_fd;
    memcpy(&l->peer, peer->client_addr,
           peer->client_addr->sa_family == AF_INET6 ? sizeof(struct sockaddr_in6) : sizeof(struct sockaddr_in));
    give_time(s, l, LW_SERVER_REQUEST_MS);
}

/* ---- requests ---- */

static void *note_target(void *with, const char *target, struct MHD_Connection *connection)
{
    request *r = calloc(1, sizeof *r);
    if (!r)
        return NULL;
    r->server = with;
    r->connection = connection;
    r->target = strdup(target);
    const union MHD_ConnectionInfo *context = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_SOCKET_CONTEXT);
    r->line = context ? context->socket_context : NULL;
    return r;
}

static void note_completed(void *with, struct MHD_Connection *connection, void **context,
                           enum MHD_RequestTerminationCode why)
{
    request *r = *context;
    (void)connection;
    (void)why;
    if (!r)
        return;
    give_time(with, r->line, LW_SERVER_REQUEST_MS);
    lw_answer_drop(r->job.answer);
    free(r->target);
    free(r->body);
    free(r->known_mark);
    free(r);
    *context = NULL;
}

static const char *header(const request *r, const char *name)
{
    return MHD_lookup_connection_value(r->connection, MHD_HEADER_KIND, name);
}

/* ---- answers ---- */

/* What every answer says. Scripts, styles and pictures come from here alone, nobody frames the page, and no form goes elsewhere. */
static void add_usual(struct MHD_Response *to, const char *type)
{
    if (type && strcmp(type, "image/svg+xml") == 0) /* a picture has its styles in itself */
        (void)MHD_add_response_header(to, "Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'");
    else
        (void)MHD_add_response_header(to, "Content-Security-Policy",
                                      "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
                                      "connect-src 'self'; font-src 'self'; manifest-src 'self'; form-action 'self'; "
                                      "base-uri 'none'; frame-ancestors 'none'");
    (void)MHD_add_response_header(to, "X-Content-Type-Options", "nosniff");
    (void)MHD_add_response_header(to, "Referrer-Policy", "same-origin");
    (void)MHD_add_response_header(to, "Cross-Origin-Resource-Policy", "same-origin");
    (void)MHD_add_response_header(to, "X-Frame-Options", "DENY");
}

static enum MHD_Result send_response(request *r, unsigned status, struct MHD_Response *to)
{
    if (!to)
        return MHD_NO;
    add_usual(to, MHD_get_response_header(to, "Content-Type"));
    give_time(r->server, r->line, LW_SERVER_ANSWER_MS);
    r->step = ANSWERED;
    const enum MHD_Result queued = MHD_queue_response(r->connection, status, to);
    MHD_destroy_response(to);
    return queued;
}

static enum MHD_Result refuse(request *r, int status, const char *says)
{
    lw_reply reply = {0};
    if (r->target && lw_ask_is_plain(r->target))
        lw_plain_refuse(&reply, status, says);
    else
        lw_reply_refuse(&reply, status, says);
    struct MHD_Response *to =
        reply.body ? MHD_create_response_from_buffer(reply.size, reply.body, MHD_RESPMEM_MUST_FREE) : NULL;
    if (!to) {
        lw_reply_clear(&reply);
        return MHD_NO;
    }
    (void)MHD_add_response_header(to, "Content-Type", reply.type);
    (void)MHD_add_response_header(to, "Cache-Control", "no-store");
    return send_response(r, (unsigned)status, to);
}

/* "gzip" among the words of Accept-Encoding, and not with a quality of nothing. */
static int takes_packed(const request *r)
{
    const char *accepted = header(r, "Accept-Encoding");
    const char *at = accepted ? strstr(accepted, "gzip") : NULL;
    return at && strncmp(at, "gzip;q=0", 8) != 0;
}

static void drop_answer(void *answer)
{
    lw_answer_drop(answer);
}

static void add_tag(struct MHD_Response *to, const char *mark, int is_packed)
{
    char tag[LW_ASK_MARK + 8];
    snprintf(tag, sizeof tag, "\"%s%s\"", mark, is_packed ? "-gz" : "");
    (void)MHD_add_response_header(to, "ETag", tag);
}

static enum MHD_Result send_answer(request *r)
{
    lw_answer *a = r->job.answer;
    if (!a)
        return refuse(r, 503, "not enough memory for this answer; try again");
    const int is_packed = a->packed && takes_packed(r);
    struct MHD_Response *to = MHD_create_response_from_buffer_with_free_callback_cls(
        is_packed ? a->packed_size : a->size, is_packed ? (void *)a->packed : (void *)a->bytes, drop_answer,
        lw_answer_hold(a));
    if (!to) {
        lw_answer_drop(a);
        return MHD_NO;
    }
    if (a->type && a->status != 304)
        (void)MHD_add_response_header(to, "Content-Type", a->type);
    if (is_packed)
        (void)MHD_add_response_header(to, "Content-Encoding", "gzip");
    if (a->mark[0]) {
        add_tag(to, a->mark, is_packed);
        (void)MHD_add_response_header(to, "Vary", "Accept-Encoding");
    }
    (void)MHD_add_response_header(to, "Cache-Control", a->mark[0] ? "private, no-cache" : "no-store");
    if (a->allow[0])
        (void)MHD_add_response_header(to, "Allow", a->allow);
    if (r->job.cookie[0]) {
        char cookie[LW_COOKIE + 96];
        snprintf(cookie, sizeof cookie, "%s%s; Path=/; Max-Age=31536000; HttpOnly; SameSite=Strict", COOKIE_NAME,
                 r->job.cookie);
        (void)MHD_add_response_header(to, "Set-Cookie", cookie);
    }
    return send_response(r, (unsigned)a->status, to);
}

/* The mark in an If-None-Match, without its quotes and ending. */
static char *known_mark_of(const request *r)
{
    const char *text = header(r, "If-None-Match");
    const char *from = text ? strchr(text, '"') : NULL, *end = from ? strchr(from + 1, '"') : NULL;
    if (!end)
        return NULL;
    size_t n = (size_t)(end - from) - 1;
    if (n > 3 && strncmp(end - 3, "-gz", 3) == 0)
        n -= 3;
    return strndup(from + 1, n);
}

static enum MHD_Result send_page(request *r, const lw_page *page)
{
    const int is_packed = page->packed && takes_packed(r);
    const lw_file *file = is_packed ? page->packed : page->plain;
    char *known = known_mark_of(r);
    const int is_known = known && strcmp(known, page->tag) == 0;
    free(known);
    union {
        const unsigned char *bytes;
        void *taken; /* the library's word for what it only reads */
    } from = {.bytes = file->bytes};
    struct MHD_Response *to =
        MHD_create_response_from_buffer(is_known ? 0 : file->size, from.taken, MHD_RESPMEM_PERSISTENT);
    if (!to)
        return MHD_NO;
    if (!is_known)
        (void)MHD_add_response_header(to, "Content-Type", page->type);
    if (is_packed && !is_known)
        (void)MHD_add_response_header(to, "Content-Encoding", "gzip");
    if (page->packed)
        (void)MHD_add_response_header(to, "Vary", "Accept-Encoding");
    add_tag(to, page->tag, is_packed);
    (void)MHD_add_response_header(to, "Cache-Control",
                                  page->is_lasting ? "public, max-age=31536000, immutable" : "no-cache");
    return send_response(r, is_known ? 304 : 200, to);
}

/* ---- from the daemon to the lanes and back ---- */

static int is_api(const char *target)
{
    return strncmp(target, "/api/", 5) == 0 || strncmp(target, "/plain", 6) == 0;
}

static int is_get(const char *method)
{
    return strcmp(method, "GET") == 0 || strcmp(method, "HEAD") == 0;
}

/* The one thing that a page from elsewhere could send without asking: it must say that it comes from here. */
static int is_own_form(const request *r, const char *host)
{
    const char *referer = header(r, "Referer");
    const size_t n = strlen(host);
    return header(r, "Origin") || (referer && strncasecmp(referer, "http://", 7) == 0 &&
                                   strncasecmp(referer + 7, host, n) == 0 && referer[7 + n] == '/');
}

/* What is refused before a byte of a body is taken in. 0: nothing. */
static int refused_at_once(request *r, const char *method, const char **says)
{
    const char *host = header(r, "Host"), *length = header(r, "Content-Length");
    if (!r->target) {
        *says = "not enough memory for this answer; try again";
        return 503;
    }
    if (!lw_gate_is_host(&r->server->gate, host)) {
        *says = "this server does not go by that name; it can be started with that name";
        return 421;
    }
    if (!lw_gate_is_origin(header(r, "Origin"), host)) {
        *says = "a page from elsewhere may not ask this server";
        return 403;
    }
    if (header(r, "Transfer-Encoding")) {
        *says = "the length of the body is to be said in Content-Length";
        return 411;
    }
    if (length && (strlen(length) > 9 || strtol(length, NULL, 10) > LW_ASK_BODY_BYTES)) {
        *says = "a body is 256 KiB at most";
        return 413;
    }
    const char *type = header(r, "Content-Type");
    if (strcmp(method, "POST") == 0 && lw_ask_is_plain(r->target)) {
        *says = "this form is sent from its own page alone";
        return is_own_form(r, host) ? 0 : 403;
    }
    if (!is_get(method) && length && strcmp(length, "0") != 0 &&
        (!type || strncasecmp(type, "application/json", strlen("application/json")) != 0)) {
        *says = "a body is to be application/json";
        return 415;
    }
    return 0;
}

/* Of the line "Authorization: Bearer TOKEN", or of the cookie. */
static void take_token(request *r)
{
    static const char BEARER[] = "Bearer ";
    const char *said = header(r, "Authorization"), *cookie = header(r, "Cookie"), *from = NULL;
    if (said && strncasecmp(said, BEARER, sizeof BEARER - 1) == 0)
        from = said + sizeof BEARER - 1;
    for (const char *at = cookie; !from && at && (at = strstr(at, COOKIE_NAME)) != NULL; at += COOKIE_NAME_BYTES)
        if (at == cookie || at[-1] == ' ' || at[-1] == ';')
            from = at + COOKIE_NAME_BYTES;
    const size_t n = from ? strspn(from, "0123456789abcdef") : 0;
    if (n == LW_TOKEN_TEXT - 1)
        memcpy(r->job.token, from, n);
}

static enum MHD_Result hand_over(request *r, const char *method)
{
    const union MHD_ConnectionInfo *peer = MHD_get_connection_info(r->connection, MHD_CONNECTION_INFO_CLIENT_ADDRESS);
    take_token(r);
    r->known_mark = known_mark_of(r);
    r->job.owner = r;
    r->job.method = method;
    r->job.target = r->target;
    r->job.body = r->body;
    r->job.size = r->body_size;
    r->job.is_here = peer && lw_gate_is_here(peer->client_addr);
    r->job.known_mark = r->known_mark;
    r->step = WORKING;
    give_time(r->server, r->line, 0);
    MHD_suspend_connection(r->connection);
    lw_lanes_put(r->server->lanes, &r->job);
    return MHD_YES;
}

static enum MHD_Result take_body(request *r, const char *bytes, size_t *n)
{
    if (r->body_size + *n + 1 > r->body_room) {
        const size_t room = 2 * r->body_room > r->body_size + *n + 1 ? 2 * r->body_room : r->body_size + *n + 1;
        char *more = room <= LW_ASK_BODY_BYTES + 1u           ? realloc(r->body, room)
                     : r->body_size + *n <= LW_ASK_BODY_BYTES ? realloc(r->body, LW_ASK_BODY_BYTES + 1u)
                                                              : NULL;
        if (!more)
            return MHD_NO;
        r->body = more;
        r->body_room = room <= LW_ASK_BODY_BYTES + 1u ? room : LW_ASK_BODY_BYTES + 1u;
    }
    memcpy(r->body + r->body_size, bytes, *n);
    r->body_size += *n;
    r->body[r->body_size] = '\0';
    *n = 0;
    return MHD_YES;
}

static enum MHD_Result answer_here(request *r, const char *path, const char *method)
{
    lw_page page;
    if (!lw_page_find(path, &page))
        return refuse(r, 404, "there is nothing at this address");
    if (is_get(method))
        return send_page(r, &page);
    return refuse(r, 405, "here one may GET");
}

static enum MHD_Result take_request(void *with, struct MHD_Connection *connection, const char *path, const char *method,
                                    const char *version, const char *bytes, size_t *n, void **context)
{
    request *r = *context;
    const char *says = NULL;
    (void)with;
    (void)connection;
    (void)version;
    if (!r)
        return MHD_NO;
    if (r->step == NEW) {
        r->step = TAKING;
        const int status = refused_at_once(r, method, &says);
        return status ? refuse(r, status, says) : MHD_YES;
    }
    if (r->step == WORKING)
        return send_answer(r);
    if (*n > 0)
        return take_body(r, bytes, n);
    lw_page page;
    if (is_api(r->target))
        return hand_over(r, method);
    if (strcmp(path, "/") == 0 && !lw_page_find(path, &page)) { /* built without the page */
        free(r->target);
        r->target = strdup("/plain");
        return r->target ? hand_over(r, method) : MHD_NO;
    }
    return answer_here(r, path, method);
}

/* From a lane's thread. */
static void note_done(void *with, lw_job *job)
{
    server *s = with;
    const uint64_t one = 1;
    pthread_mutex_lock(&s->lock);
    job->next = s->done;
    s->done = job;
    pthread_mutex_unlock(&s->lock);
    if (write(s->done_fd, &one, sizeof one) != (ssize_t)sizeof one)
        return; /* it rings already */
}

static void resume_done(server *s)
{
    pthread_mutex_lock(&s->lock);
    lw_job *job = s->done;
    s->done = NULL;
    pthread_mutex_unlock(&s->lock);
    while (job) {
        lw_job *next = job->next;
        MHD_resume_connection(((request *)job->owner)->connection);
        job = next;
    }
}

static int is_gone(void *with, const lw_job *job)
{
    const request *r = job->owner;
    char byte;
    (void)with;
    return r->line && recv(r->line->fd, &byte, 1, MSG_PEEK | MSG_DONTWAIT) == 0;
}

/* ---- the terminal ---- */

static int print_four(const struct sockaddr *at, char text[ADDRESS])
{
    return at && at->sa_family == AF_INET && lw_gate_is_local(at) && !lw_gate_is_here(at) &&
           inet_ntop(AF_INET, &((const struct sockaddr_in *)(const void *)at)->sin_addr, text, ADDRESS) != NULL;
}

/* The address that this machine would speak from (an address of RFC 5737; nothing is sent), else any of a local network. */
static int find_lan_address(char text[ADDRESS])
{
    struct sockaddr_in away = {.sin_family = AF_INET, .sin_port = htons(9)}, own = {0};
    socklen_t size = sizeof own;
    struct ifaddrs *all = NULL;
    int is_found = 0;
    const int fd = socket(AF_INET, SOCK_DGRAM | SOCK_CLOEXEC, 0);
    (void)inet_pton(AF_INET, "192.0.2.1", &away.sin_addr);
    if (fd >= 0 && connect(fd, (const struct sockaddr *)&away, sizeof away) == 0 &&
        getsockname(fd, (struct sockaddr *)&own, &size) == 0)
        is_found = print_four((const struct sockaddr *)&own, text);
    if (fd >= 0)
        close(fd);
    if (is_found || getifaddrs(&all))
        return is_found;
    for (const struct ifaddrs *at = all; at && !is_found; at = at->ifa_next)
        is_found = print_four(at->ifa_addr, text);
    freeifaddrs(all);
    return is_found;
}

static void show_code(void *with, const char *code)
{
    const server *s = with;
    char address[ADDRESS], text[2 * ADDRESS];
    if (!find_lan_address(address)) {
        printf("No network is up; when one is, devices are paired by the code %s\n", code);
        (void)fflush(stdout);
        return;
    }
    snprintf(text, sizeof text, "http://%s:%d/#pair=%s", address, s->port, code);
    printf("To pair one device, open http://%s:%d/ on it and type %s", address, s->port, code);
    if (isatty(STDOUT_FILENO)) {
        printf(", or let its camera read this:\n\n");
        (void)lw_qr_print(text, stdout);
    }
    printf("\n");
    (void)fflush(stdout);
}

static void greet(server *s)
{
    printf("Leeway listens at http://127.0.0.1:%d/ (Ctrl-C ends it)\n", s->port);
    if (s->order->is_lan)
        show_code(s, lw_lanes_code(s->lanes));
    (void)fflush(stdout);
}

/* ---- opening, running, closing ---- */

static lw_code refuse_port(const server *s, lw_err *err)
{
    if (errno == EADDRINUSE)
        return lw_fail(err, LW_E_IO,
                       "port %d is in use, perhaps by another leeway serve; choose one with --port N, or any free one "
                       "with --port 0",
                       s->order->port);
    if (errno == EACCES)
        return lw_fail(err, LW_E_IO, "port %d is not yours to use; choose one from 1024 on with --port N",
                       s->order->port);
    return lw_fail(err, LW_E_IO, "no socket to listen at: %s", strerror(errno));
}

static int bind_to(server *s, int family)
{
    const int on = 1, off = 0;
    const struct sockaddr_in four = {
        .sin_family = AF_INET,
        .sin_port = htons((uint16_t)s->order->port),
        .sin_addr.s_addr = htonl(s->order->is_lan ? INADDR_ANY : INADDR_LOOPBACK),
    };
    const struct sockaddr_in6 six = {
        .sin6_family = AF_INET6, .sin6_port = htons((uint16_t)s->order->port), .sin6_addr = IN6ADDR_ANY_INIT};
    s->listen_fd = socket(family, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
    if (s->listen_fd < 0 || setsockopt(s->listen_fd, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on))
        return 0;
    if (family == AF_INET6 && setsockopt(s->listen_fd, IPPROTO_IPV6, IPV6_V6ONLY, &off, sizeof off))
        return 0;
    return bind(s->listen_fd, family == AF_INET6 ? (const void *)&six : (const void *)&four,
                family == AF_INET6 ? sizeof six : sizeof four) == 0 &&
           listen(s->listen_fd, BACKLOG) == 0;
}

static lw_code listen_at(server *s, lw_err *err)
{
    struct sockaddr_storage own = {0};
    socklen_t size = sizeof own;
    int is_bound = s->order->is_lan && bind_to(s, AF_INET6);
    if (!is_bound && s->order->is_lan && errno != EADDRINUSE && s->listen_fd >= 0) { /* a system without IPv6 */
        close(s->listen_fd);
        s->listen_fd = -1;
    }
    if (!is_bound && (s->listen_fd < 0 || !s->order->is_lan))
        is_bound = bind_to(s, AF_INET);
    if (!is_bound || getsockname(s->listen_fd, (struct sockaddr *)&own, &size))
        return refuse_port(s, err);
    s->port = ntohs(own.ss_family == AF_INET6 ? ((const struct sockaddr_in6 *)(const void *)&own)->sin6_port
                                              : ((const struct sockaddr_in *)(const void *)&own)->sin_port);
    return LW_OK;
}

static int watch(const server *s, int fd)
{
    struct epoll_event event = {.events = EPOLLIN, .data.fd = fd};
    return fd >= 0 && epoll_ctl(s->poll_fd, EPOLL_CTL_ADD, fd, &event) == 0;
}

static int start_daemon(server *s)
{
    s->daemon = MHD_start_daemon(
        MHD_USE_EPOLL | MHD_ALLOW_SUSPEND_RESUME | (s->order->is_lan ? MHD_USE_DUAL_STACK : 0u), (uint16_t)s->port,
        let_connect, s, take_request, s, MHD_OPTION_LISTEN_SOCKET, s->listen_fd, MHD_OPTION_CONNECTION_LIMIT,
        (unsigned)LW_SERVER_CONNECTIONS, MHD_OPTION_CONNECTION_MEMORY_LIMIT, (size_t)CONNECTION_BYTES,
        MHD_OPTION_NOTIFY_CONNECTION, note_connection, s, MHD_OPTION_URI_LOG_CALLBACK, note_target, s,
        MHD_OPTION_NOTIFY_COMPLETED, note_completed, s, MHD_OPTION_END);
    const union MHD_DaemonInfo *fd = s->daemon ? MHD_get_daemon_info(s->daemon, MHD_DAEMON_INFO_EPOLL_FD) : NULL;
    return fd && watch(s, fd->epoll_fd);
}

static lw_code open_all(server *s, lw_err *err)
{
    sigset_t ends;
    lw_code code = listen_at(s, err);
    if (code)
        return code;
    sigemptyset(&ends);
    sigaddset(&ends, SIGINT);
    sigaddset(&ends, SIGTERM);
    s->poll_fd = epoll_create1(EPOLL_CLOEXEC);
    s->signal_fd = signalfd(-1, &ends, SFD_CLOEXEC | SFD_NONBLOCK);
    s->timer_fd = timerfd_create(CLOCK_MONOTONIC, TFD_CLOEXEC | TFD_NONBLOCK);
    s->done_fd = eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK);
    if (s->poll_fd < 0 || !watch(s, s->signal_fd) || !watch(s, s->timer_fd) || !watch(s, s->done_fd))
        return lw_fail(err, LW_E_IO, "the system gives no more descriptors: %s", strerror(errno));
    code = lw_lanes_open(&s->lanes,
                         &(lw_lanes_order){.book_path = s->order->book_path,
                                           .version = s->order->version,
                                           .shift_s = s->order->shift_s,
                                           .is_lan = s->order->is_lan,
                                           .done = note_done,
                                           .is_gone = is_gone,
                                           .new_code = show_code,
                                           .with = s},
                         err);
    if (!code && !start_daemon(s))
        code = lw_fail(err, LW_E_IO, "the server could not be started: %s", strerror(errno));
    return code;
}

static void take_event(server *s, int fd)
{
    uint64_t count;
    struct signalfd_siginfo info;
    if (fd == s->signal_fd)
        s->is_over = read(fd, &info, sizeof info) > 0;
    else if ((fd == s->timer_fd || fd == s->done_fd) && read(fd, &count, sizeof count) < 0)
        return; /* rang twice, read once */
    if (fd == s->timer_fd)
        end_late_lines(s);
    if (fd == s->done_fd)
        resume_done(s);
}

static void run(server *s)
{
    struct epoll_event event[EVENTS];
    while (!s->is_over) {
        MHD_UNSIGNED_LONG_LONG ms;
        const int waits = MHD_get_timeout(s->daemon, &ms) == MHD_YES ? (int)ms : -1;
        const int count = epoll_wait(s->poll_fd, event, EVENTS, waits);
        for (int i = 0; i < count; i++)
            take_event(s, event[i].data.fd);
        (void)MHD_run(s->daemon);
    }
}

static void close_all(server *s)
{
    if (s->daemon)
        (void)MHD_quiesce_daemon(s->daemon); /* the listening socket is ours again */
    lw_lanes_close(s->lanes);
    if (s->daemon) {
        resume_done(s);
        for (int i = 0; i < EVENTS; i++)
            (void)MHD_run(s->daemon);
        MHD_stop_daemon(s->daemon);
    }
    const int fd[] = {s->listen_fd, s->poll_fd, s->signal_fd, s->timer_fd, s->done_fd};
    for (size_t i = 0; i < sizeof fd / sizeof fd[0]; i++)
        if (fd[i] >= 0)
            close(fd[i]);
    pthread_mutex_destroy(&s->lock);
}

lw_code lw_server_run(const lw_server_order *order, lw_err *err)
{
    server *s = calloc(1, sizeof *s);
    if (!s || pthread_mutex_init(&s->lock, NULL) != 0) {
        free(s);
        return lw_fail(err, LW_E_FULL, "no memory for the server");
    }
    s->order = order;
    s->gate.is_lan = order->is_lan;
    (void)gethostname(s->gate.own_name, sizeof s->gate.own_name - 1);
    snprintf(s->gate.more_name, sizeof s->gate.more_name, "%s", order->name ? order->name : "");
    s->listen_fd = s->poll_fd = s->signal_fd = s->timer_fd = s->done_fd = -1;
    for (int i = 0; i < LW_SERVER_CONNECTIONS; i++)
        s->line[i].fd = -1;
    const lw_code code = open_all(s, err);
    if (!code) {
        greet(s);
        run(s);
    }
    close_all(s);
    free(s);
    return code;
}
