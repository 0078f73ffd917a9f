/* httpd/server.h: the sockets, by libmicrohttpd: one thread, which waits and never works.
 *
 * Limits    the enum: connections, a body, an address; a request must be whole, and an answer be fetched, within a time, however
 *           slowly it trickles. A connection that is used again has the same time for its next request.
 * Ends      lw_server_run returns on SIGINT or SIGTERM, which the caller has blocked; what is under way is given up or answered.
 * Idle      without connections nothing wakes it.
 * Errors    LW_E_IO with a sentence: the port is taken, the system gives no socket. */
#ifndef LW_HTTPD_SERVER_H
#define LW_HTTPD_SERVER_H

#include <stdint.h>

#include "core/base/err.h"

enum {
    LW_SERVER_CONNECTIONS = 320,
    LW_SERVER_EACH = 24, /* of one address of the network */
    LW_SERVER_REQUEST_MS = 20000,
    LW_SERVER_ANSWER_MS = 60000,
};

typedef struct lw_server_order {
    const char *book_path, *version;
    const char *name; /* under which it may be asked for too; NULL: none */
    int port;         /* 0: any */
    int is_lan;
    int64_t shift_s;
} lw_server_order;

LW_MUST_USE lw_code lw_server_run(const lw_server_order *order, lw_err *err);

#endif
