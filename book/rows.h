/* book/rows.h: the whole book as plain rows, for a copy in another form (service/book_yaml.h).
 *
 * Gives     lw_book_each_row: every row of every table but of those that can be made again (what was learned, the spots of
 *           map files), as of one moment, those that others refer to first; cells that hold nothing are left out, and so
 *           is an entry's seq, which the order stands for.
 * Takes     between lw_book_begin and lw_book_end, lw_book_take_row: a row that is there already, cell for cell, is
 *           passed over; one that differs from that of the same key is LW_E_CONFLICT; another is added. So the same rows
 *           may be taken twice.
 * Errors    as book/book.h; LW_E_SYNTAX for a table or column that is none. */
#ifndef LW_BOOK_ROWS_H
#define LW_BOOK_ROWS_H

#include <stddef.h>
#include <stdint.h>

#include "book/book.h"
#include "core/base/err.h"

enum { LW_ROW_CELLS = 24 };

typedef enum lw_cell_kind { LW_CELL_WHOLE = 0, LW_CELL_REAL, LW_CELL_TEXT, LW_CELL_BYTES } lw_cell_kind;

typedef struct lw_cell {
    const char *column;
    lw_cell_kind kind;
    int64_t whole;
    double real;
    const char *text; /* n characters of a text, or bytes */
    size_t n;
} lw_cell;

/* The cells are borrowed until the function returns. */
typedef lw_code lw_row_fn(void *context, const char *table, const lw_cell *cell, size_t count, lw_err *err);
LW_MUST_USE lw_code lw_book_each_row(lw_book *book, lw_row_fn *take, void *context, lw_err *err);

/* What a column holds; LW_E_SYNTAX where there is no such table or column. */
LW_MUST_USE lw_code lw_book_column(lw_book *book, const char *table, const char *column, lw_cell_kind *kind,
                                   lw_err *err);

LW_MUST_USE lw_code lw_book_take_row(lw_book *book, const char *table, const lw_cell *cell, size_t count, int *is_new,
                                     lw_err *err);

#endif
