#include "fetch/http.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include <curl/curl.h>

#include "text/decimal.h"
#include "text/say.h"

enum { CONNECT_S = 10, OK = 200, NOT_FOUND = 404 };

int lw_http_start(void)
{
    return curl_global_init(CURL_GLOBAL_DEFAULT) == CURLE_OK;
}

void lw_http_stop(void)
{
    curl_global_cleanup();
}

/* ---- where it may come from ---- */

typedef struct address {
    char scheme[16], host[256];
} address;

static int take_part(CURLU *url, CURLUPart part, char *buf, size_t size)
{
    char *text = NULL;
    const int is_there = curl_url_get(url, part, &text, 0) == CURLUE_OK && strlen(text) < size;
    if (is_there)
        memcpy(buf, text, strlen(text) + 1);
    curl_free(text);
    return is_there;
}

/* 0 when it is no address, or one with a name and password in it. */
static int parse(const char *text, address *out)
{
    CURLU *url = curl_url();
    const int is_good = url && curl_url_set(url, CURLUPART_URL, text, CURLU_DISALLOW_USER) == CURLUE_OK &&
                        take_part(url, CURLUPART_SCHEME, out->scheme, sizeof out->scheme) &&
                        take_part(url, CURLUPART_HOST, out->host, sizeof out->host);
    curl_url_cleanup(url);
    return is_good;
}

lw_code lw_http_check(const char *url, const char *base, lw_err *err)
{
    address to, from;
    if (strlen(url) >= LW_HTTP_URL_BYTES || !parse(url, &to) || !parse(base, &from) ||
        strncmp(to.scheme, "http", 4) != 0)
        return lw_fail(err, LW_E_SYNTAX, "%s is no address of the web such as https://example.org",
                       lw_quoted(url, strlen(url)).text);
    if (strcmp(to.scheme, "https") == 0)
        return LW_OK;
    if (strcmp(from.scheme, "http") == 0 && strcasecmp(to.host, from.host) == 0)
        return LW_OK;
    return lw_fail(err, LW_E_CONFLICT, "it leads on to %s, which is neither https nor the same host",
                   lw_quoted(url, strlen(url)).text);
}

/* ---- one request ---- */

typedef struct answer {
    lw_http_body body;
    size_t most_bytes;
    int is_too_long, is_out_of_memory;
    long status;
    char next[LW_HTTP_URL_BYTES]; /* of a redirect; else empty */
    char type[64];
} answer;

static size_t take(char *bytes, size_t one, size_t n, void *context)
{
    answer *a = context;
    (void)one; /* always 1 */
    a->is_too_long = n > a->most_bytes - a->body.n;
    char *grown = a->is_too_long ? NULL : realloc(a->body.bytes, a->body.n + n + 1);
    a->is_out_of_memory = !grown && !a->is_too_long;
    if (!grown)
        return 0;
    memcpy(grown + a->body.n, bytes, n);
    a->body.bytes = grown;
    a->body.n += n;
    grown[a->body.n] = '\0';
    return n;
}

static lw_code refuse(CURLcode why, const lw_http_order *order, const answer *a, CURL *curl, lw_err *err)
{
    curl_off_t length = -1;
    switch (why) {
    case CURLE_OPERATION_TIMEDOUT:
        if (a->body.n == 0)
            return lw_fail(err, LW_E_IO, "no answer came within %s s", lw_num(order->wait_s).text);
        return lw_fail(err, LW_E_IO, "the answer had not come whole after %s s, only %s bytes of it",
                       lw_num(order->wait_s).text, lw_num((double)a->body.n).text);
    case CURLE_COULDNT_RESOLVE_HOST:
    case CURLE_COULDNT_RESOLVE_PROXY:
        return lw_fail(err, LW_E_IO, "this host is not found; is there a network?");
    case CURLE_COULDNT_CONNECT:
        return lw_fail(err, LW_E_IO, "nobody answers there");
    case CURLE_PEER_FAILED_VERIFICATION:
    case CURLE_SSL_CONNECT_ERROR:
    case CURLE_SSL_CACERT_BADFILE:
        return lw_fail(err, LW_E_IO, "there is no secure connection: the certificate does not prove who answers");
    case CURLE_PARTIAL_FILE:
        (void)curl_easy_getinfo(curl, CURLINFO_CONTENT_LENGTH_DOWNLOAD_T, &length);
        return lw_fail(err, LW_E_IO, "the answer broke off after %s of %s bytes", lw_num((double)a->body.n).text,
                       lw_num((double)length).text);
    case CURLE_GOT_NOTHING:
        return lw_fail(err, LW_E_IO, "the connection was closed without an answer");
    case CURLE_FILESIZE_EXCEEDED:
        return lw_fail(err, LW_E_FULL, "the answer is longer than %s bytes", lw_num((double)order->most_bytes).text);
    default:
        if (a->is_too_long)
            return lw_fail(err, LW_E_FULL, "the answer is longer than %s bytes",
                           lw_num((double)order->most_bytes).text);
        if (a->is_out_of_memory)
            return lw_fail(err, LW_E_FULL, "no memory for the answer");
        return lw_fail(err, LW_E_IO, "the request failed: %s", curl_easy_strerror(why));
    }
}

static int set_up(CURL *curl, const lw_http_order *order, const char *url, struct curl_slist *headers, answer *a)
{
    const long wait_ms = lrint(1000.0 * order->wait_s);
    CURLcode bad = curl_easy_setopt(curl, CURLOPT_URL, url);
    bad = bad ? bad : curl_easy_setopt(curl, CURLOPT_PROTOCOLS_STR, "http,https");
    bad = bad ? bad : curl_easy_setopt(curl, CURLOPT_FOLLOWLOCATION, 0L); /* each step is looked at first */
    bad = bad ? bad : curl_easy_setopt(curl, CURLOPT_SSL_VERIFYPEER, 1L);
    bad = bad ? bad : curl_easy_setopt(curl, CURLOPT_SSL_VERIFYHOST, 2L);
    bad = bad ? bad : curl_easy_setopt(curl, CURLOPT_NOSIGNAL, 1L);
    bad = bad ? bad : curl_easy_setopt(curl, CURLOPT_CONNECTTIMEOUT, (long)CONNECT_S);
    bad = bad ? bad : curl_easy_setopt(curl, CURLOPT_TIMEOUT_MS, wait_ms);
    bad = bad ? bad : curl_easy_setopt(curl, CURLOPT_MAXFILESIZE_LARGE, (curl_off_t)order->most_bytes);
    bad = bad ? bad : curl_easy_setopt(curl, CURLOPT_ACCEPT_ENCODING, ""); /* a camp pays by the megabyte */
    bad = bad ? bad : curl_easy_setopt(curl, CURLOPT_USERAGENT, order->agent);
    bad = bad ? bad : curl_easy_setopt(curl, CURLOPT_HTTPHEADER, headers);
    bad = bad ? bad : curl_easy_setopt(curl, CURLOPT_WRITEFUNCTION, take);
    bad = bad ? bad : curl_easy_setopt(curl, CURLOPT_WRITEDATA, a);
    return bad == CURLE_OK;
}

static void look_at(CURL *curl, answer *a)
{
    const char *next = NULL, *type = NULL;
    (void)curl_easy_getinfo(curl, CURLINFO_RESPONSE_CODE, &a->status);
    (void)curl_easy_getinfo(curl, CURLINFO_REDIRECT_URL, &next);
    (void)curl_easy_getinfo(curl, CURLINFO_CONTENT_TYPE, &type);
    a->next[0] = '\0';
    if (next && strlen(next) < sizeof a->next)
        memcpy(a->next, next, strlen(next) + 1);
    const lw_quoted_text shown = lw_quoted(type ? type : "", type ? strlen(type) : 0);
    memcpy(a->type, shown.text, sizeof a->type);
}

static lw_code ask(const lw_http_order *order, const char *url, answer *a, lw_err *err)
{
    CURL *curl = curl_easy_init();
    struct curl_slist *headers = curl_slist_append(NULL, "Accept: application/geo+json, application/json");
    lw_code code = LW_OK;
    a->body.n = 0;
    if (!curl || !headers || !set_up(curl, order, url, headers, a))
        code = lw_fail(err, LW_E_IO, "the request could not be made");
    else {
        const CURLcode why = curl_easy_perform(curl);
        if (why != CURLE_OK)
            code = refuse(why, order, a, curl, err);
        look_at(curl, a);
    }
    curl_slist_free_all(headers);
    curl_easy_cleanup(curl);
    return code;
}

static lw_code check_answer(const answer *a, lw_err *err)
{
    if (a->status == NOT_FOUND)
        return lw_fail(err, LW_E_MISSING, "the service knows nothing there (404)");
    if (a->status != OK)
        return lw_fail(err, LW_E_IO, "the service answers with status %ld; try again later", a->status);
    if (a->type[0] && !strstr(a->type, "json"))
        return lw_fail(err, LW_E_SYNTAX, "the answer is %s, not JSON", a->type);
    if (a->body.n == 0)
        return lw_fail(err, LW_E_MISSING, "the answer is empty");
    return LW_OK;
}

lw_code lw_http_get(const lw_http_order *order, lw_http_body *body, lw_err *err)
{
    answer a = {.most_bytes = order->most_bytes};
    char url[LW_HTTP_URL_BYTES];
    lw_code code = lw_http_check(order->url, order->base, err);
    for (int step = 0; !code; step++) {
        memcpy(url, step ? a.next : order->url, strlen(step ? a.next : order->url) + 1);
        code = ask(order, url, &a, err);
        if (code || !a.next[0])
            break;
        if (step == LW_HTTP_REDIRECTS)
            code = lw_fail(err, LW_E_CONFLICT, "the service sends on and on");
        code = code ? code : lw_http_check(a.next, order->base, err);
    }
    code = code ? code : check_answer(&a, err);
    if (code) {
        free(a.body.bytes);
        return lw_err_at(err, order->url, 0, NULL);
    }
    *body = a.body;
    return LW_OK;
}
