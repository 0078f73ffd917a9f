/* cli/out.h: standard output as a sink, and files that are whole or not there. */
#ifndef LW_CLI_OUT_H
#define LW_CLI_OUT_H

#include "core/base/err.h"
#include "service/sink.h"

void lw_out_open(lw_sink *sink);

/* Hands on the rest. A reader that has gone is fine; anything else is said on standard error. Gives the exit code. */
int lw_out_close(lw_sink *sink);

/* Writes path by exchange/whole_file.h: nobody ever finds half of it. `put` fills the sink and may fail. */
typedef lw_code lw_put_fn(void *context, lw_sink *sink, lw_err *err);
LW_MUST_USE lw_code lw_out_file(const char *path, lw_put_fn *put, void *context, lw_err *err);

#endif
