/* leeway-fetch: gets the forecast of a spot and saves it. A process of its own, which `leeway weather fetch` runs, so that
 * the network library is linked into nothing else.
 *
 *   leeway-fetch BASE LATITUDE LONGITUDE SECONDS FILE
 *
 * Two requests: BASE/points/LATITUDE,LONGITUDE names the address of the forecast, the second gets it. It is read before it
 * takes FILE's place; on any failure FILE stays as it was. One sentence on standard error then, and exit code 1, or 2 when
 * the words of the command are wrong. */
#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/gridpoint.h"
#include "exchange/whole_file.h"
#include "fetch/http.h"
#include "text/decimal.h"
#include "text/say.h"

enum { FAILED = 1, MISUSED = 2, POINT_BYTES = 262144 };

typedef struct wish {
    const char *base, *file;
    double latitude_deg, longitude_deg, wait_s;
} wish;

static const char AGENT[] = "leeway/" LW_VERSION;

static lw_code read_number(const char *text, double least, double most, double *value, lw_err *err)
{
    if (lw_decimal_parse(text, text + strlen(text), value) && *value >= least && *value <= most)
        return LW_OK;
    return lw_fail(err, LW_E_SYNTAX, "%s is no number from %s to %s", lw_quoted(text, strlen(text)).text,
                   lw_num(least).text, lw_num(most).text);
}

static lw_code read_words(int argc, char **argv, wish *w, lw_err *err)
{
    if (argc != 6) {
        lw_fail(err, LW_E_SYNTAX, "leeway-fetch is run by leeway weather fetch: BASE LATITUDE LONGITUDE SECONDS FILE");
        return LW_E_SYNTAX;
    }
    w->base = argv[1];
    w->file = argv[5];
    lw_code bad = lw_http_check(w->base, w->base, err);
    bad = bad ? bad : read_number(argv[2], -90.0, 90.0, &w->latitude_deg, err);
    bad = bad ? bad : read_number(argv[3], -180.0, 180.0, &w->longitude_deg, err);
    return bad ? bad : read_number(argv[4], 0.1, 600.0, &w->wait_s, err);
}

/* BASE/points/38.57,-109.55: the service wants four decimals at most, without zeros behind. */
static lw_code find_url(const wish *w, char *url, size_t size, lw_err *err)
{
    char point[LW_HTTP_URL_BYTES], latitude[LW_DECIMAL_BYTES], longitude[LW_DECIMAL_BYTES];
    lw_http_body body = {0};
    size_t base_n = strlen(w->base);
    while (base_n > 0 && w->base[base_n - 1] == '/')
        base_n--;
    lw_decimal_print(latitude, sizeof latitude, w->latitude_deg, 4, 0);
    lw_decimal_print(longitude, sizeof longitude, w->longitude_deg, 4, 0);
    snprintf(point, sizeof point, "%.*s/points/%s,%s", base_n < 900 ? (int)base_n : 900, w->base, latitude, longitude);
    const lw_http_order order = {
        .url = point, .base = w->base, .agent = AGENT, .wait_s = w->wait_s, .most_bytes = POINT_BYTES};
    lw_code code = lw_http_get(&order, &body, err);
    if (!code && lw_gridpoint_find_url(body.bytes, body.n, url, size, err))
        code = lw_err_at(err, point, 0, NULL);
    free(body.bytes);
    return code;
}

static lw_code save(const char *path, const char *bytes, size_t n, lw_err *err)
{
    lw_whole_file file;
    lw_code code = lw_whole_file_open(&file, path, err);
    if (code)
        return code;
    if (fwrite(bytes, 1, n, file.stream) != n) {
        lw_fail(err, LW_E_IO, "cannot be written: %s", strerror(errno));
        code = lw_err_at(err, path, 0, NULL);
    }
    return lw_whole_file_close(&file, code, err);
}

static lw_code fetch(const wish *w, lw_err *err)
{
    char url[LW_HTTP_URL_BYTES];
    lw_http_body body = {0};
    lw_forecast *forecast = malloc(sizeof *forecast);
    lw_code code = forecast ? find_url(w, url, sizeof url, err) : lw_fail(err, LW_E_FULL, "no memory for a forecast");
    if (!code) {
        const lw_http_order order = {
            .url = url, .base = w->base, .agent = AGENT, .wait_s = w->wait_s, .most_bytes = LW_GRIDPOINT_BYTES};
        code = lw_http_get(&order, &body, err);
    }
    lw_bytes bytes = {body.bytes, body.n};
    code = code ? code : lw_gridpoint_read(lw_read_bytes, &bytes, url, 0, forecast, err);
    code = code ? code : save(w->file, body.bytes, body.n, err);
    free(body.bytes);
    free(forecast);
    return code;
}

static int refuse(const lw_err *err, int exit_code)
{
    fprintf(stderr, "%s%s%s\n", err->where, err->where[0] ? ": " : "", err->text);
    return exit_code;
}

int main(int argc, char **argv)
{
    lw_err err = {0};
    wish w = {0};
    (void)signal(SIGPIPE, SIG_IGN);
    if (!lw_http_start()) {
        lw_fail(&err, LW_E_IO, "the network library does not start");
        return refuse(&err, FAILED);
    }
    int exit_code = 0;
    if (read_words(argc, argv, &w, &err))
        exit_code = refuse(&err, MISUSED);
    else if (fetch(&w, &err))
        exit_code = refuse(&err, FAILED);
    lw_http_stop();
    return exit_code;
}
