/* exchange/tables.h: the tables of data/, which travel inside the program, by row and column name.
 *
 * Form      CSV with '#' comment lines, a header line, fields in double quotes where they hold a comma or a quote.
 *           Columns of numbers carry their unit as the last part of the name.
 * Errors    LW_E_MISSING no such table; LW_E_SYNTAX a row with another number of fields than the header, or a text that is
 *           no number; LW_E_RANGE a row that the core refuses. The tests load every table, so a built program meets none.
 * Ownership lw_table_open fills, lw_table_clear frees (twice is fine, zeros too); cells are borrowed until then. */
#ifndef LW_EXCHANGE_TABLES_H
#define LW_EXCHANGE_TABLES_H

#include <stddef.h>
#include <stdint.h>

#include "core/base/err.h"

typedef struct lw_table {
    char *text;        /* all cells, each with its end mark */
    const char **cell; /* row by row; the header's cells first */
    int rows, columns;
} lw_table;

LW_MUST_USE lw_code lw_table_open(const char *name, lw_table *table, lw_err *err);
LW_MUST_USE lw_code lw_table_parse(const char *name, const char *text, size_t size, lw_table *table, lw_err *err);
void lw_table_clear(lw_table *table);

int lw_table_column(const lw_table *table, const char *name);        /* -1: none */
const char *lw_table_at(const lw_table *table, int row, int column); /* rows from 0, behind the header; "" outside */
const char *lw_table_cell(const lw_table *table, int row, const char *column);  /* "" where there is none */
int lw_table_row(const lw_table *table, const char *column, const char *value); /* first row with it; -1: none */

/* A cell as a number; NaN where it is empty. */
LW_MUST_USE lw_code lw_table_number(const lw_table *table, int row, const char *column, double *value, lw_err *err);

/* Up to `most` cells of a column, for lw_nearest and lists; gives their number. */
size_t lw_table_names(const lw_table *table, const char *column, const char **names, size_t most);

/* Names the contents of all of them: the same as long as no table changed. */
uint64_t lw_tables_hash(void);

#endif
