/* exchange/child.h: an installed program run as a child, for what Leeway does not do itself.
 *
 * Runs      argv[0] found on PATH, its input empty, its standard error kept to the last line. lw_child_run gives what it prints whole,
 *           lw_child_open as a source to read from (lw_child_read is a lw_read_fn), which lw_child_close ends.
 * Results   text is the caller's (free), with an end mark.
 * Errors    LW_E_MISSING no such program; LW_E_FULL more than bytes_most; LW_E_IO it failed (with its last words), or took longer than
 *           wait_s and was ended. */
#ifndef LW_EXCHANGE_CHILD_H
#define LW_EXCHANGE_CHILD_H

#include <stddef.h>

#include "core/base/err.h"

LW_MUST_USE lw_code lw_child_run(const char *const *argv, double wait_s, size_t bytes_most, char **text, size_t *size,
                                 lw_err *err);

typedef struct lw_child lw_child;

/* wait_s: that may pass without a byte. */
LW_MUST_USE lw_code lw_child_open(const char *const *argv, double wait_s, double bytes_most, lw_child **child,
                                  lw_err *err);
long lw_child_read(void *child, char *buf, size_t n);
/* `code` is how the reading went; what went wrong with the program itself goes before it. */
LW_MUST_USE lw_code lw_child_close(lw_child *child, lw_code code, lw_err *err);

#endif
