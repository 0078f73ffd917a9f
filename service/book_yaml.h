/* service/book_yaml.h: the whole book as YAML text, both ways, so that nothing of a household's is locked into one format.
 *
 * Writes    a stream of YAML documents, parted by lines "---". The first is a head (leeway_book: 1, schema, program); each
 *           further one is a map of one table's name to a list of its rows, a row a map of its columns without those that
 *           hold nothing. Numbers to 17 digits where they need them, ids as 32 hexadecimal digits; a text longer than
 *           the reader's longest is a list of pieces.
 * Reads     what it writes, and the same by hand. All rows or none. Rows that are in the book already are passed over, so
 *           the same file may be read twice; a row that differs is LW_E_CONFLICT.
 * Errors    LW_E_SYNTAX, LW_E_CONFLICT, LW_E_MISSING, LW_E_FULL with file, line and what was expected; LW_E_IO where reading
 *           or writing fails.
 * Limits    those of exchange/yaml_tree.h for each document of the stream; any number of documents. */
#ifndef LW_SERVICE_BOOK_YAML_H
#define LW_SERVICE_BOOK_YAML_H

#include <stdint.h>
#include <stdio.h>

#include "book/book.h"
#include "core/base/err.h"
#include "service/sink.h"

LW_MUST_USE lw_code lw_book_export(lw_book *book, const char *program_version, lw_sink *sink, lw_err *err);

typedef struct lw_imported {
    int64_t added, known; /* rows */
} lw_imported;

/* `name` stands in front of the line in errors. */
LW_MUST_USE lw_code lw_book_import(lw_book *book, const char *name, FILE *stream, lw_imported *imported, lw_err *err);

#endif
