#include "service/sink.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "text/say.h"

lw_written lw_write_file(void *file, const char *bytes, size_t n)
{
    if (fwrite(bytes, 1, n, file) == n)
        return LW_WRITTEN;
    return errno == EPIPE ? LW_WRITE_CLOSED : LW_WRITE_REFUSED;
}

void lw_sink_init(lw_sink *sink, lw_write_fn *write, void *context)
{
    sink->write = write;
    sink->context = context;
    sink->state = LW_WRITTEN;
    sink->used = 0;
}

static void hand_on(lw_sink *sink, const char *bytes, size_t n)
{
    if (sink->state == LW_WRITTEN && n > 0)
        sink->state = sink->write(sink->context, bytes, n);
}

void lw_sink_put(lw_sink *sink, const char *bytes, size_t n)
{
    if (n > sizeof sink->buffer - sink->used) {
        hand_on(sink, sink->buffer, sink->used);
        sink->used = 0;
    }
    if (n > sizeof sink->buffer) {
        hand_on(sink, bytes, n);
        return;
    }
    memcpy(sink->buffer + sink->used, bytes, n);
    sink->used += n;
}

void lw_sink_text(lw_sink *sink, const char *text)
{
    lw_sink_put(sink, text, strlen(text));
}

void lw_sink_print(lw_sink *sink, const char *fmt, ...)
{
    char text[1024];
    va_list args;
    va_start(args, fmt);
    const int n = vsnprintf(text, sizeof text, fmt, args);
    va_end(args);
    if (n > 0)
        lw_sink_put(sink, text, (size_t)n < sizeof text ? (size_t)n : sizeof text - 1);
}

int lw_sink_is_closed(const lw_sink *sink)
{
    return sink->state != LW_WRITTEN;
}

lw_code lw_sink_flush(lw_sink *sink, lw_err *err)
{
    hand_on(sink, sink->buffer, sink->used);
    sink->used = 0;
    if (sink->state == LW_WRITE_REFUSED)
        return lw_fail(err, LW_E_IO, "the results cannot be written; is the disk full?");
    return LW_OK;
}
