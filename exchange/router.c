#include "exchange/router.h"

#include <errno.h>
#include <math.h>
#include <netdb.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/time.h>
#include <unistd.h>

#include "exchange/child.h"
#include "exchange/json_tree.h"
#include "exchange/limits.h"
#include "text/say.h"

static const char HTTP[] = "http://";
enum { WORDS = 30 };

/* ---- the question ---- */

static void put_real(json_t *object, const char *key, double value, double scale)
{
    if (!isnan(value))
        (void)json_object_set_new(object, key, json_real(round(value * scale * 1000.0) / 1000.0));
}

static json_t *spots_json(const lw_spot *spot, int count)
{
    json_t *list = json_array();
    for (int i = 0; i < count; i++) {
        json_t *one = json_object();
        (void)json_object_set_new(one, "lat", json_real(spot[i].latitude_deg));
        (void)json_object_set_new(one, "lon", json_real(spot[i].longitude_deg));
        (void)json_array_append_new(list, one);
    }
    return list;
}

/* The caller's text; NULL: no memory. */
static char *question(const lw_router_ask *ask)
{
    json_t *root = json_object(), *options = json_object(), *truck = json_object();
    put_real(truck, "height", ask->height_m, 1.0);
    put_real(truck, "width", ask->width_m, 1.0);
    put_real(truck, "length", ask->length_m, 1.0);
    put_real(truck, "weight", ask->weight_kg, 0.001); /* tonnes */
    (void)json_object_set_new(root, "sources", spots_json(ask->from, ask->from_count));
    (void)json_object_set_new(root, "targets", spots_json(ask->to, ask->to_count));
    (void)json_object_set_new(root, "costing", json_string("truck"));
    (void)json_object_set_new(options, "truck", truck);
    (void)json_object_set_new(root, "costing_options", options);
    (void)json_object_set_new(root, "units", json_string("km"));
    char *text = json_dumps(root, JSON_COMPACT | JSON_REAL_PRECISION(9));
    json_decref(root);
    return text;
}

/* ---- the answer ---- */

typedef struct bytes {
    const char *at;
    size_t left;
} bytes;

static long read_bytes(void *context, char *buf, size_t n)
{
    bytes *b = context;
    const size_t take = b->left < n ? b->left : n;
    memcpy(buf, b->at, take);
    b->at += take;
    b->left -= take;
    return (long)take;
}

static double number_of(const json_t *cell, const char *key, double scale)
{
    const json_t *value = json_object_get(cell, key);
    const double number = json_is_number(value) ? json_number_value(value) * scale : (double)NAN;
    return number >= 0.0 && number <= 1e9 ? number : (double)NAN;
}

static lw_code read_cell(const json_t *cell, double scale, double *distance_m, double *time_s, lw_err *err)
{
    if (!json_is_object(cell))
        return lw_fail(err, LW_E_SYNTAX, "the answer of the routing engine has a cell that is no object");
    *distance_m = number_of(cell, "distance", scale);
    *time_s = number_of(cell, "time", 1.0);
    if (isnan(*distance_m) || isnan(*time_s))
        *distance_m = *time_s = (double)NAN;
    return LW_OK;
}

static lw_code read_rows(const json_t *root, int from_count, int to_count, double *distance_m, double *time_s,
                         lw_err *err)
{
    const json_t *rows = json_object_get(root, "sources_to_targets"), *said = json_object_get(root, "error");
    const char *units = json_string_value(json_object_get(root, "units"));
    const double scale = units && strncmp(units, "mi", 2) == 0 ? 1609.344 : 1000.0;
    if (json_is_string(said))
        return lw_fail(err, LW_E_SYNTAX, "the routing engine says: %s",
                       lw_quoted(json_string_value(said), json_string_length(said)).text);
    if (!json_is_array(rows) || json_array_size(rows) != (size_t)from_count)
        return lw_fail(err, LW_E_SYNTAX, "the answer of the routing engine has no matrix of %d rows", from_count);
    lw_code code = LW_OK;
    for (int i = 0; i < from_count && !code; i++) {
        const json_t *row = json_array_get(rows, (size_t)i);
        if (!json_is_array(row) || json_array_size(row) != (size_t)to_count)
            return lw_fail(err, LW_E_SYNTAX, "the answer of the routing engine has a row without %d cells", to_count);
        for (int k = 0; k < to_count && !code; k++) {
            const size_t at = (size_t)i * (size_t)to_count + (size_t)k;
            code = read_cell(json_array_get(row, (size_t)k), scale, &distance_m[at], &time_s[at], err);
        }
    }
    return code;
}

lw_code lw_router_read(const char *text, size_t size, int from_count, int to_count, double *distance_m, double *time_s,
                       lw_err *err)
{
    bytes from = {text, size};
    json_t *root = NULL;
    lw_code code = lw_json_tree_read_up_to(LW_ROUTER_BYTES, read_bytes, &from, &root, err);
    if (code)
        return lw_err_at(err, "the routing engine", 0, NULL);
    code = read_rows(root, from_count, to_count, distance_m, time_s, err);
    json_decref(root);
    return code;
}

/* ---- a server on this machine ---- */

typedef struct address {
    char host[64], port[8];
} address;

static lw_code address_of(const char *engine, address *to, lw_err *err)
{
    static const char *const HOSTS[] = {"127.0.0.1", "localhost", "[::1]"};
    const char *at = engine + sizeof HTTP - 1;
    for (size_t i = 0; i < sizeof HOSTS / sizeof HOSTS[0]; i++) {
        const size_t n = strlen(HOSTS[i]);
        if (strncmp(at, HOSTS[i], n) != 0 || (at[n] != ':' && at[n] != '/' && at[n] != '\0'))
            continue;
        const char *port = at[n] == ':' ? at + n + 1 : "80";
        const size_t digits = strspn(port, "0123456789");
        if (digits == 0 || digits > 5 || (at[n] == ':' && port[digits] && strcmp(port + digits, "/") != 0))
            break;
        snprintf(to->host, sizeof to->host, "%s", i == 2 ? "::1" : HOSTS[i]);
        snprintf(to->port, sizeof to->port, "%.*s", (int)digits, port);
        return LW_OK;
    }
    return lw_fail(err, LW_E_SYNTAX, "%s is no server of this machine; write http://127.0.0.1:PORT",
                   lw_quoted(engine, strlen(engine)).text);
}

static int connect_to(const address *a, double wait_s)
{
    struct addrinfo hints = {.ai_socktype = SOCK_STREAM}, *list = NULL;
    const struct timeval wait = {.tv_sec = (time_t)wait_s + 1};
    int fd = -1;
    if (getaddrinfo(a->host, a->port, &hints, &list))
        return -1;
    for (const struct addrinfo *one = list; one && fd < 0; one = one->ai_next) {
        fd = socket(one->ai_family, one->ai_socktype, one->ai_protocol);
        if (fd >= 0 && (setsockopt(fd, SOL_SOCKET, SO_RCVTIMEO, &wait, sizeof wait) ||
                        setsockopt(fd, SOL_SOCKET, SO_SNDTIMEO, &wait, sizeof wait) ||
                        connect(fd, one->ai_addr, one->ai_addrlen))) {
            (void)close(fd);
            fd = -1;
        }
    }
    freeaddrinfo(list);
    return fd;
}

static int send_all(int fd, const char *text, size_t n)
{
    while (n) {
        const ssize_t sent = send(fd, text, n, MSG_NOSIGNAL);
        if (sent < 0 && errno == EINTR)
            continue;
        if (sent <= 0)
            return 0;
        text += sent;
        n -= (size_t)sent;
    }
    return 1;
}

/* Until the server closes; 0: it failed or is too long. */
static int receive_all(int fd, char *text, size_t room, size_t *size)
{
    for (*size = 0; *size < room;) {
        const ssize_t n = recv(fd, text + *size, room - *size, 0);
        if (n < 0 && errno == EINTR)
            continue;
        if (n <= 0)
            return n == 0;
        *size += (size_t)n;
    }
    return 0;
}

static lw_code talk(int fd, const address *a, const char *asked, char *answer, size_t *size, lw_err *err)
{
    char head[256];
    const int n = snprintf(head, sizeof head,
                           "POST /sources_to_targets HTTP/1.0\r\nHost: %s\r\nContent-Type: application/json\r\n"
                           "Content-Length: %zu\r\nConnection: close\r\n\r\n",
                           a->host, strlen(asked));
    if (!send_all(fd, head, (size_t)n) || !send_all(fd, asked, strlen(asked)) ||
        !receive_all(fd, answer, LW_ROUTER_BYTES, size))
        return lw_fail(err, LW_E_IO, "the routing engine at port %s gave no whole answer", a->port);
    return LW_OK;
}

static lw_code ask_server(const lw_router_ask *ask, const char *asked, double *distance_m, double *time_s, lw_err *err)
{
    address a;
    size_t size = 0;
    lw_code code = address_of(ask->engine, &a, err);
    if (code)
        return code;
    const int fd = connect_to(&a, ask->wait_s);
    if (fd < 0)
        return lw_fail(err, LW_E_MISSING,
                       "nobody answers at %s: start the routing engine there, or take it out with --engine none",
                       lw_quoted(ask->engine, strlen(ask->engine)).text);
    char *answer = malloc(LW_ROUTER_BYTES + 1);
    code = answer ? talk(fd, &a, asked, answer, &size, err) : lw_fail(err, LW_E_FULL, "no memory for an answer");
    (void)close(fd);
    if (!code) {
        answer[size] = '\0';
        const char *body = strstr(answer, "\r\n\r\n");
        code = strncmp(answer, "HTTP/1.", 7) != 0 || !body
                   ? lw_fail(err, LW_E_SYNTAX, "what answers at %s does not speak HTTP",
                             lw_quoted(ask->engine, strlen(ask->engine)).text)
                   : lw_router_read(body + 4, size - (size_t)(body + 4 - answer), ask->from_count, ask->to_count,
                                    distance_m, time_s, err);
    }
    free(answer);
    return code;
}

/* ---- a program ---- */

static lw_code ask_program(const lw_router_ask *ask, const char *asked, double *distance_m, double *time_s, lw_err *err)
{
    char command[LW_ROUTER_ENGINE], *rest = NULL, *text = NULL;
    const char *argv[WORDS + 3] = {NULL};
    size_t size = 0;
    int count = 0;
    snprintf(command, sizeof command, "%s", ask->engine);
    for (char *word = strtok_r(command, " ", &rest); word && count < WORDS; word = strtok_r(NULL, " ", &rest))
        argv[count++] = word;
    argv[count++] = "sources_to_targets";
    argv[count] = asked;
    const lw_code code = lw_child_run(argv, ask->wait_s, LW_ROUTER_BYTES, &text, &size, err);
    if (code)
        return code;
    const char *json = strchr(text, '{'); /* some say a word of their own before */
    const lw_code read = lw_router_read(json ? json : text, json ? size - (size_t)(json - text) : size, ask->from_count,
                                        ask->to_count, distance_m, time_s, err);
    free(text);
    return read;
}

static int is_server(const char *engine)
{
    return strncmp(engine, HTTP, sizeof HTTP - 1) == 0;
}

lw_code lw_router_check(const char *engine, lw_err *err)
{
    address a;
    if (is_server(engine))
        return address_of(engine, &a, err);
    if (strlen(engine) >= LW_ROUTER_ENGINE || strspn(engine, " ") == strlen(engine) || strstr(engine, "://"))
        return lw_fail(
            err, LW_E_SYNTAX,
            "%s is no routing engine; write http://127.0.0.1:PORT, or the command that runs one, up to %d letters",
            lw_quoted(engine, strlen(engine)).text, LW_ROUTER_ENGINE - 1);
    return LW_OK;
}

lw_code lw_router_table(const lw_router_ask *ask, double *distance_m, double *time_s, lw_err *err)
{
    lw_code code = lw_router_check(ask->engine, err);
    if (code)
        return code;
    if ((long)ask->from_count * ask->to_count > LW_ROUTER_PAIRS)
        return lw_fail(err, LW_E_FULL, "more than %d ways in one question", LW_ROUTER_PAIRS);
    char *asked = question(ask);
    if (!asked)
        return lw_fail(err, LW_E_FULL, "no memory for a question");
    code = is_server(ask->engine) ? ask_server(ask, asked, distance_m, time_s, err)
                                  : ask_program(ask, asked, distance_m, time_s, err);
    free(asked);
    return code;
}
