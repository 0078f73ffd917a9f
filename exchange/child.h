/* exchange/child.h: an installed program run as a child, for what Leeway does not do itself.
 *
 * Runs      argv[0] found on PATH, its input empty, its standard error kept to the last line; what it prints is given whole.
 * Results   text is the caller's (free), with an end mark.
 * Errors    LW_E_MISSING no such program; LW_E_FULL more than bytes_most; LW_E_IO it failed (with its last words), or took longer than
 *           wait_s and was ended. */
#ifndef LW_EXCHANGE_CHILD_H
#define LW_EXCHANGE_CHILD_H

#include <stddef.h>

#include "core/base/err.h"

LW_MUST_USE lw_code lw_child_run(const char *const *argv, double wait_s, size_t bytes_most, char **text, size_t *size,
                                 lw_err *err);

#endif
