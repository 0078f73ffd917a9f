/* fetch/http.h: one document by HTTP, held to time, size and where it may come from.
 *
 * Inputs    `url` http or https. `base` is what the user named: a further address, from a redirect or an answer, must be
 *           https, or http at the same host where the base itself is http.
 * Results   the body in memory, a NUL behind it. Ends with 200 only.
 * Errors    LW_E_IO and one sentence with the address: no network, no such host, nobody there, time-out, a certificate
 *           that proves nothing, broken off, another status (404 is LW_E_MISSING), no JSON by its own header, too long
 *           (LW_E_FULL), sent on elsewhere or too often.
 * Limits    LW_HTTP_REDIRECTS redirects. Certificates are always verified. Proxies are taken from the environment. */
#ifndef LW_FETCH_HTTP_H
#define LW_FETCH_HTTP_H

#include <stddef.h>

#include "core/base/err.h"

enum { LW_HTTP_REDIRECTS = 5, LW_HTTP_URL_BYTES = 1024 };

typedef struct lw_http_order {
    const char *url, *base, *agent;
    double wait_s; /* for the whole document */
    size_t most_bytes;
} lw_http_order;

typedef struct lw_http_body {
    char *bytes; /* owned: free */
    size_t n;
} lw_http_body;

/* Once before and once after all else; 0 when the library does not start. */
int lw_http_start(void);
void lw_http_stop(void);

LW_MUST_USE lw_code lw_http_get(const lw_http_order *order, lw_http_body *body, lw_err *err);

/* Of an address that an answer names, by the rule above. */
LW_MUST_USE lw_code lw_http_check(const char *url, const char *base, lw_err *err);

#endif
