/* fetch/save.h: bytes into a file that is whole or as it was.
 *
 * Errors    LW_E_IO with the path: what stood there stays. The new file is on the disk before it takes the name. */
#ifndef LW_FETCH_SAVE_H
#define LW_FETCH_SAVE_H

#include <stddef.h>

#include "core/base/err.h"

LW_MUST_USE lw_code lw_save_whole(const char *path, const char *bytes, size_t n, lw_err *err);

#endif
