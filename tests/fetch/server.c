/* A web server for the tests of leeway weather fetch: 127.0.0.1, one connection at a time, fixed answers by the first part
 * of the path. Writes its port on standard output and serves until it is ended, at most two minutes.
 *
 *   fetch_server FORECAST.json
 *
 * /KIND/points/... is answered by where the forecast is, /KIND/grid by the forecast in the way of that KIND. */
#include <arpa/inet.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

enum { REQUEST_BYTES = 8192, FORECAST_BYTES = 262144, PATIENCE_MS = 5000, LIFE_S = 120, HUGE_BYTES = 3200000 };

typedef struct server {
    int port;
    char forecast[FORECAST_BYTES];
    size_t forecast_n;
} server;

static void put(int fd, const char *bytes, size_t n)
{
    while (n > 0) {
        const ssize_t sent = send(fd, bytes, n, MSG_NOSIGNAL);
        if (sent <= 0)
            return;
        bytes += sent;
        n -= (size_t)sent;
    }
}

static void put_head(int fd, const char *status, const char *type, size_t n, const char *more)
{
    char head[2048];
    const int length = snprintf(head, sizeof head,
                                "HTTP/1.1 %s\r\nContent-Type: %s\r\nContent-Length: %zu\r\n%sConnection: close\r\n\r\n",
                                status, type, n, more);
    put(fd, head, (size_t)length);
}

static void answer(int fd, const char *status, const char *type, const char *bytes, size_t n)
{
    put_head(fd, status, type, n, "");
    put(fd, bytes, n);
}

static void send_on(int fd, const char *to)
{
    char more[1024];
    snprintf(more, sizeof more, "Location: %.900s\r\n", to);
    put_head(fd, "301 Moved Permanently", "text/plain", 0, more);
}

/* The other end hangs up when it has had enough. */
static void wait_for_end(int fd)
{
    struct pollfd at = {.fd = fd, .events = POLLIN};
    (void)poll(&at, 1, PATIENCE_MS);
}

static void answer_huge(int fd)
{
    static const char BLANKS[4096] = "                ";
    put_head(fd, "200 OK", "application/geo+json", HUGE_BYTES, "");
    for (int i = 0; i < HUGE_BYTES; i += (int)sizeof BLANKS)
        put(fd, BLANKS, sizeof BLANKS);
}

static void answer_point(const server *s, int fd, const char *kind)
{
    static const char JSON[] = "application/geo+json";
    char text[600], where[300];
    snprintf(where, sizeof where, "http://127.0.0.1:%d/%.60s/grid", s->port, kind);
    if (strcmp(kind, "elsewhere") == 0)
        snprintf(where, sizeof where, "http://elsewhere.invalid/grid");
    if (strcmp(kind, "file") == 0)
        snprintf(where, sizeof where, "file:///etc/passwd");
    snprintf(text, sizeof text, "{\"properties\": {\"forecastGridData\": \"%s\"}}", where);
    if (strcmp(kind, "nowhere") == 0)
        answer(fd, "404 Not Found", "application/problem+json", "{\"status\": 404}", 15);
    else if (strcmp(kind, "silent") == 0)
        wait_for_end(fd);
    else if (strcmp(kind, "wordless") == 0)
        answer(fd, "200 OK", JSON, "{\"properties\": {}}", 18);
    else
        answer(fd, "200 OK", JSON, text, strlen(text));
}

static void answer_forecast(const server *s, int fd, const char *kind)
{
    static const char JSON[] = "application/geo+json";
    char to[200];
    if (strcmp(kind, "missing") == 0)
        answer(fd, "404 Not Found", "application/problem+json", "{\"status\": 404}", 15);
    else if (strcmp(kind, "busy") == 0)
        answer(fd, "503 Service Unavailable", "text/plain", "busy", 4);
    else if (strcmp(kind, "slow") == 0 || strcmp(kind, "cut") == 0) {
        put_head(fd, "200 OK", JSON, s->forecast_n, "");
        put(fd, s->forecast, s->forecast_n / 2);
        if (strcmp(kind, "slow") == 0)
            wait_for_end(fd);
    } else if (strcmp(kind, "half") == 0)
        answer(fd, "200 OK", JSON, s->forecast, s->forecast_n / 2);
    else if (strcmp(kind, "nonsense") == 0)
        answer(fd, "200 OK", JSON, "{\"properties\": nothing}", 23);
    else if (strcmp(kind, "other") == 0)
        answer(fd, "200 OK", JSON, "{\"type\": \"FeatureCollection\", \"features\": []}", 45);
    else if (strcmp(kind, "page") == 0)
        answer(fd, "200 OK", "text/html", "<html>sign in to the camp network</html>", 40);
    else if (strcmp(kind, "nothing") == 0)
        answer(fd, "200 OK", JSON, "", 0);
    else if (strcmp(kind, "huge") == 0)
        answer_huge(fd);
    else if (strcmp(kind, "moved") == 0) {
        snprintf(to, sizeof to, "http://127.0.0.1:%d/good/grid", s->port);
        send_on(fd, to);
    } else if (strcmp(kind, "round") == 0) {
        snprintf(to, sizeof to, "/round/grid");
        send_on(fd, to);
    } else if (strcmp(kind, "away") == 0)
        send_on(fd, "http://elsewhere.invalid/grid");
    else
        answer(fd, "200 OK", JSON, s->forecast, s->forecast_n);
}

/* "GET /good/points/1,2 HTTP/1.1" */
static void serve(const server *s, int fd)
{
    char request[REQUEST_BYTES], kind[64] = "", rest[64] = "";
    size_t n = 0;
    request[0] = '\0';
    while (n + 1 < sizeof request && !strstr(request, "\r\n\r\n")) {
        const ssize_t got = recv(fd, request + n, sizeof request - 1 - n, 0);
        if (got <= 0)
            return;
        n += (size_t)got;
        request[n] = '\0';
    }
    if (sscanf(request, "GET /%63[a-z]/%63s", kind, rest) != 2 || !strstr(request, "User-Agent: leeway/"))
        answer(fd, "400 Bad Request", "text/plain", "", 0);
    else if (strncmp(rest, "points/", 7) == 0 && strcmp(rest, "points/38.57,-109.55") != 0)
        answer(fd, "418 Wrong Spot", "text/plain", "", 0);
    else if (strncmp(rest, "points/", 7) == 0)
        answer_point(s, fd, kind);
    else
        answer_forecast(s, fd, kind);
}

static int listen_here(server *s)
{
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    socklen_t length = sizeof at;
    const int fd = socket(AF_INET, SOCK_STREAM, 0);
    if (fd < 0 || bind(fd, (struct sockaddr *)&at, sizeof at) != 0 || listen(fd, 8) != 0 ||
        getsockname(fd, (struct sockaddr *)&at, &length) != 0)
        return -1;
    s->port = ntohs(at.sin_port);
    return fd;
}

int main(int argc, char **argv)
{
    static server s;
    FILE *file = argc > 1 ? fopen(argv[1], "rb") : NULL;
    if (!file)
        return 1;
    s.forecast_n = fread(s.forecast, 1, sizeof s.forecast, file);
    fclose(file);
    const int fd = listen_here(&s);
    if (fd < 0)
        return 1;
    (void)alarm(LIFE_S);
    printf("%d\n", s.port);
    fflush(stdout);
    for (;;) {
        const int one = accept(fd, NULL, NULL);
        if (one < 0)
            continue;
        serve(&s, one);
        (void)shutdown(one, SHUT_RDWR);
        close(one);
    }
}
