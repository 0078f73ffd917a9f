#include "exchange/tables.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/hash.h"
#include "exchange/tables_internal.h"
#include "text/decimal.h"
#include "text/say.h"

/* ---- cutting the text into cells ---- */

/* Comment lines and empty lines do not count. */
static const char *skip_idle(const char *at, const char *end)
{
    while (at < end && (*at == '#' || *at == '\n' || *at == '\r')) {
        const char *line_end = memchr(at, '\n', (size_t)(end - at));
        at = line_end ? line_end + 1 : end;
    }
    return at;
}

/* One field from *at into *out (which moves on past its end mark); gives what ended it: ',' or '\n'. */
static char cut_field(const char **at, const char *end, char **out)
{
    const char *p = *at;
    const int is_quoted = p < end && *p == '"';
    p += is_quoted;
    for (; p < end; p++) {
        if (is_quoted && *p == '"') {
            if (p + 1 < end && p[1] == '"')
                p++;
            else
                break;
        } else if (!is_quoted && (*p == ',' || *p == '\n' || *p == '\r')) {
            break;
        }
        *(*out)++ = *p;
    }
    *(*out)++ = '\0';
    p += is_quoted && p < end;
    p += p < end && *p == '\r';
    const char stop = p < end && *p == ',' ? ',' : '\n';
    *at = p < end ? p + 1 : end;
    return stop;
}

static int count_cells(const char *at, const char *end)
{
    int count = 1;
    for (; at < end; at++)
        count += *at == ',' || *at == '\n';
    return count;
}

static lw_code cut_rows(const char *name, const char *at, const char *end, lw_table *table, lw_err *err)
{
    char *out = table->text;
    int cells = 0;
    for (at = skip_idle(at, end); at < end; at = skip_idle(at, end)) {
        int fields = 0;
        char stop = ',';
        while (stop == ',') {
            table->cell[cells++] = out;
            stop = cut_field(&at, end, &out);
            fields++;
        }
        if (table->columns == 0)
            table->columns = fields;
        else if (fields != table->columns)
            return lw_fail(err, LW_E_SYNTAX, "table %s, row %d (%.40s): %d fields, the header has %d", name,
                           table->rows + 1, table->cell[cells - fields], fields, table->columns);
        else
            table->rows++;
    }
    return LW_OK;
}

lw_code lw_table_parse(const char *name, const char *text, size_t size, lw_table *table, lw_err *err)
{
    *table = (lw_table){0};
    lw_table made = {0};
    /* every cell takes at most its own bytes and an end mark */
    const size_t cells = (size_t)count_cells(text, text + size);
    made.text = malloc(size + cells + 1);
    made.cell = calloc(cells + 1, sizeof *made.cell);
    lw_code code = LW_OK;
    if (!made.text || !made.cell)
        code = lw_fail(err, LW_E_FULL, "not enough memory for table %s", name);
    else
        code = cut_rows(name, text, text + size, &made, err);
    if (code)
        lw_table_clear(&made);
    else
        *table = made;
    return code;
}

lw_code lw_table_open(const char *name, lw_table *table, lw_err *err)
{
    *table = (lw_table){0};
    for (unsigned i = 0; i < lw_embedded_count; i++)
        if (strcmp(lw_embedded_tables[i].name, name) == 0)
            return lw_table_parse(name, lw_embedded_tables[i].text, lw_embedded_tables[i].size, table, err);
    return lw_fail(err, LW_E_MISSING, "there is no table %s", name);
}

uint64_t lw_tables_hash(void)
{
    uint64_t hash = LW_HASH_START;
    for (unsigned i = 0; i < lw_embedded_count; i++) {
        const lw_embedded *table = &lw_embedded_tables[i];
        hash = lw_hash(hash, table->name, strlen(table->name) + 1);
        hash = lw_hash(hash, table->text, table->size);
    }
    return hash;
}

void lw_table_clear(lw_table *table)
{
    free(table->text);
    free(table->cell);
    *table = (lw_table){0};
}

/* ---- looking up ---- */

int lw_table_column(const lw_table *table, const char *name)
{
    for (int i = 0; i < table->columns; i++)
        if (strcmp(table->cell[i], name) == 0)
            return i;
    return -1;
}

const char *lw_table_at(const lw_table *table, int row, int column)
{
    if (row < 0 || row >= table->rows || column < 0 || column >= table->columns)
        return "";
    return table->cell[(row + 1) * table->columns + column];
}

const char *lw_table_cell(const lw_table *table, int row, const char *column)
{
    return lw_table_at(table, row, lw_table_column(table, column));
}

int lw_table_row(const lw_table *table, const char *column, const char *value)
{
    const int at = lw_table_column(table, column);
    for (int row = 0; at >= 0 && row < table->rows; row++)
        if (strcmp(lw_table_at(table, row, at), value) == 0)
            return row;
    return -1;
}

lw_code lw_table_number(const lw_table *table, int row, const char *column, double *value, lw_err *err)
{
    const char *text = lw_table_cell(table, row, column);
    if (!*text) {
        *value = NAN;
        return LW_OK;
    }
    if (!lw_decimal_parse(text, text + strlen(text), value))
        return lw_fail(err, LW_E_SYNTAX, "%.40s, %.40s: %.40s is not a number", lw_table_at(table, row, 0), column,
                       text);
    return LW_OK;
}

size_t lw_table_names(const lw_table *table, const char *column, const char **names, size_t most)
{
    const int at = lw_table_column(table, column);
    size_t count = 0;
    for (int row = 0; at >= 0 && row < table->rows && count < most; row++)
        names[count++] = lw_table_at(table, row, at);
    return count;
}
