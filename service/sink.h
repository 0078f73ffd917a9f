/* service/sink.h: where results go, whatever it is: a stream, a socket, memory.
 *
 * lw_sink collects small pieces and hands on large ones. A receiver that has gone (a closed pipe) is no failure:
 * further pieces are dropped, lw_sink_is_closed says so, and the work may stop early. A receiver that refuses (disk
 * full) is LW_E_IO from lw_sink_flush and remembered. */
#ifndef LW_SERVICE_SINK_H
#define LW_SERVICE_SINK_H

#include <stddef.h>

#include "core/base/err.h"

typedef enum lw_written { LW_WRITTEN = 0, LW_WRITE_CLOSED, LW_WRITE_REFUSED } lw_written;
typedef lw_written lw_write_fn(void *context, const char *bytes, size_t n);

/* lw_write_fn of a FILE *; does not flush it. */
lw_written lw_write_file(void *file, const char *bytes, size_t n);

typedef struct lw_sink {
    lw_write_fn *write;
    void *context;
    lw_written state;
    size_t used;
    char buffer[16384];
} lw_sink;

void lw_sink_init(lw_sink *sink, lw_write_fn *write, void *context);
void lw_sink_put(lw_sink *sink, const char *bytes, size_t n);
void lw_sink_text(lw_sink *sink, const char *text);
void lw_sink_print(lw_sink *sink, const char *fmt, ...) LW_PRINTF(2, 3); /* up to 1 kB; no %f or %g */
int lw_sink_is_closed(const lw_sink *sink);

/* Hands on what is collected. */
LW_MUST_USE lw_code lw_sink_flush(lw_sink *sink, lw_err *err);

#endif
