/* exchange/whole_file.h: a file that is whole or as it was.
 *
 * Computes  lw_whole_file_open: a stream to write to, which is a new file beside `path`; lw_whole_file_close: the new
 *           file goes to the disk and takes the name, or is thrown away when `code`, how the writing went, is not LW_OK.
 *           What stood at `path` stays until then, with its rights; a link stays a link. A device or a pipe cannot be
 *           replaced and is written to.
 * Errors    LW_E_IO with the path; nothing is left beside it then. Close gives `code` back where that is one already.
 * Limits    two writers at once: the last one's file stays, whole. */
#ifndef LW_EXCHANGE_WHOLE_FILE_H
#define LW_EXCHANGE_WHOLE_FILE_H

#include <stdio.h>

#include "core/base/err.h"

typedef struct lw_whole_file {
    FILE *stream;
    const char *path;      /* the caller's, for sentences */
    char *target, *beside; /* NULL for a device */
} lw_whole_file;

LW_MUST_USE lw_code lw_whole_file_open(lw_whole_file *file, const char *path, lw_err *err);
LW_MUST_USE lw_code lw_whole_file_close(lw_whole_file *file, lw_code code, lw_err *err);

#endif
