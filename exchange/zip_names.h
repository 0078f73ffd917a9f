/* exchange/zip_names.h: the names of the files in a zip, to tell what kind of map it holds before any of it is unpacked.
 *
 * Reads     the list at the end of the file, up to LW_ZIP_FILES names of at most LW_ZIP_NAME bytes; what the packer adds for a Macintosh
 *           ("__MACOSX/") is passed over.
 * Errors    LW_E_SYNTAX no zip, cut, or larger than 4 GB.
 * Source    the zip format as PKWARE's APPNOTE 6.3 has it (from memory), 4.3.12 and 4.3.16. */
#ifndef LW_EXCHANGE_ZIP_NAMES_H
#define LW_EXCHANGE_ZIP_NAMES_H

#include <stdio.h>

#include "core/base/err.h"

enum { LW_ZIP_NAME = 256 };

/* From a file that can be sought in; it stays open. */
LW_MUST_USE lw_code lw_zip_names(FILE *file, void (*take)(void *with, const char *name), void *with, lw_err *err);

#endif
