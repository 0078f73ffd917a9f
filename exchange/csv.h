/* exchange/csv.h: a table of comma separated values, record by record.
 *
 * Reads     RFC 4180: fields split by commas, quotes around a field that holds commas, quotes (doubled) or line breaks;
 *           lines end in LF or CRLF, the last may have no end; a byte order mark at the start is passed over. Empty
 *           lines are passed over; lines that begin with '#' too when asked.
 * Results   fields without their quotes, each ended by a NUL, and the record's own bytes without the line end, so that
 *           it can be passed on untouched. Borrowed until the next call.
 * Errors    one sentence with the line where the record begins: a quote without an end or inside a bare field, text
 *           behind a closing quote, a NUL byte or a bare CR, more fields or bytes than exchange/limits.h allows, a
 *           failed read. After an error or the end no more records come.
 * Limits    the struct holds its buffers (some 200 kB): allocate it, do not put it on a stack. Bytes are not decoded:
 *           UTF-8 passes through. */
#ifndef LW_EXCHANGE_CSV_H
#define LW_EXCHANGE_CSV_H

#include <stddef.h>
#include <stdio.h>

#include "core/base/err.h"
#include "exchange/limits.h"

/* Puts up to n bytes into buf and gives how many; 0 at the end; -1 when the system refuses. */
typedef long lw_read_fn(void *context, char *buf, size_t n);

/* lw_read_fn of a FILE *. */
long lw_read_file(void *file, char *buf, size_t n);

typedef struct lw_bytes {
    const char *at;
    size_t left;
} lw_bytes;

/* lw_read_fn of a lw_bytes: memory as a source. */
long lw_read_bytes(void *bytes, char *buf, size_t n);

enum {
    LW_CSV_COMMENTS = 1,  /* '#' at the start of a line begins a comment */
    LW_CSV_NO_QUOTES = 2, /* a quote is a character like any other */
};

typedef struct lw_csv {
    /* For the reader of records: */
    const char *field[LW_CSV_FIELDS];
    size_t field_n[LW_CSV_FIELDS];
    size_t count;    /* fields of the record; 0 at the end */
    const char *raw; /* the record as it stands, raw_n bytes */
    size_t raw_n;
    long line; /* where the record begins, from 1 */
    /* Its own: */
    lw_read_fn *read;
    void *context;
    unsigned flags;
    long next_line;
    size_t begin, end; /* unread bytes of the buffer */
    int is_source_dry, is_done;
    char buffer[LW_CSV_BUFFER_BYTES];
    char plain[LW_CSV_RECORD_BYTES + LW_CSV_FIELDS];
} lw_csv;

void lw_csv_init(lw_csv *csv, lw_read_fn *read, void *context, unsigned flags);

/* The next record; csv->count is 0 at the end. */
LW_MUST_USE lw_code lw_csv_next(lw_csv *csv, lw_err *err);

/* The column of that name, blanks around it set aside; -1 when there is none. */
int lw_csv_column(const lw_csv *header, const char *name);

#endif
