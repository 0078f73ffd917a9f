#include "service/book_yaml.h"

#include <errno.h>
#include <locale.h>
#include <stdlib.h>
#include <string.h>
#include <yaml.h>

#include "book/id.h"
#include "book/rows.h"
#include "exchange/yaml_tree.h"
#include "text/say.h"

enum { PIECE_BYTES = 4000, DOCUMENT_BYTES = 200 << 10, DOCUMENT_ROWS = 500, FORM = 1 };

/* Seventeen digits and back are the C library's work; lw_decimal keeps fifteen. Its locale is set aside for that long. */
static locale_t plain_numbers(locale_t *plain)
{
    *plain = newlocale(LC_ALL_MASK, "C", (locale_t)0);
    return *plain ? uselocale(*plain) : (locale_t)0;
}

static void usual_numbers(locale_t plain, locale_t before)
{
    if (plain) {
        uselocale(before);
        freelocale(plain);
    }
}

/* ---- writing ---- */

typedef struct writer {
    yaml_emitter_t emitter;
    lw_sink *sink;
    char table[64]; /* of the open document; "" for none */
    size_t rows, bytes;
    int has_failed;
} writer;

static int hand_on(void *context, unsigned char *bytes, size_t n)
{
    lw_sink_put(context, (const char *)bytes, n);
    return 1;
}

/* Takes the event over; `is_made` is what its initialiser gave. */
static void emit(writer *w, yaml_event_t *event, int is_made)
{
    if (!is_made)
        w->has_failed = 1;
    else if (w->has_failed)
        yaml_event_delete(event);
    else
        w->has_failed = !yaml_emitter_emit(&w->emitter, event);
}

static void put_scalar(writer *w, const char *text, size_t n, yaml_scalar_style_t style)
{
    yaml_event_t event;
    emit(w, &event, yaml_scalar_event_initialize(&event, NULL, NULL, (const yaml_char_t *)text, (int)n, 1, 1, style));
    w->bytes += n;
}

static void put_plain(writer *w, const char *text)
{
    put_scalar(w, text, strlen(text), YAML_PLAIN_SCALAR_STYLE);
}

static void put_quoted(writer *w, const char *text, size_t n)
{
    put_scalar(w, text, n, YAML_DOUBLE_QUOTED_SCALAR_STYLE);
}

static void open_map(writer *w)
{
    yaml_event_t event;
    emit(w, &event, yaml_mapping_start_event_initialize(&event, NULL, NULL, 1, YAML_BLOCK_MAPPING_STYLE));
}

static void close_map(writer *w)
{
    yaml_event_t event;
    emit(w, &event, yaml_mapping_end_event_initialize(&event));
}

static void open_list(writer *w)
{
    yaml_event_t event;
    emit(w, &event, yaml_sequence_start_event_initialize(&event, NULL, NULL, 1, YAML_BLOCK_SEQUENCE_STYLE));
}

static void close_list(writer *w)
{
    yaml_event_t event;
    emit(w, &event, yaml_sequence_end_event_initialize(&event));
}

static void open_document(writer *w)
{
    yaml_event_t event;
    emit(w, &event, yaml_document_start_event_initialize(&event, NULL, NULL, NULL, 0));
    open_map(w);
}

static void close_document(writer *w)
{
    yaml_event_t event;
    close_map(w);
    emit(w, &event, yaml_document_end_event_initialize(&event, 1));
}

static void close_table(writer *w)
{
    if (w->table[0]) {
        close_list(w);
        close_document(w);
    }
    w->table[0] = '\0';
}

static void open_table(writer *w, const char *table)
{
    close_table(w);
    open_document(w);
    put_plain(w, table);
    open_list(w);
    snprintf(w->table, sizeof w->table, "%s", table);
    w->rows = w->bytes = 0;
}

/* The shortest that reads back as the same number, with a sign of being no whole one. */
static void put_real(writer *w, double value)
{
    char text[40];
    for (int digits = 15; digits <= 17; digits++) {
        snprintf(text, sizeof text, "%.*g", digits, value);
        if (strtod(text, NULL) == value)
            break;
    }
    if (!strpbrk(text, ".e"))
        strcat(text, ".0");
    put_plain(w, text);
}

static void put_bytes(writer *w, const char *bytes, size_t n)
{
    lw_id id = {0};
    char text[LW_ID_TEXT];
    memcpy(id.byte, bytes, n < sizeof id.byte ? n : sizeof id.byte);
    lw_id_print(text, sizeof text, &id);
    put_quoted(w, text, strlen(text));
}

static void put_text(writer *w, const char *text, size_t n)
{
    if (n <= PIECE_BYTES) {
        put_quoted(w, text, n);
        return;
    }
    open_list(w);
    while (n > 0) {
        size_t piece = n < PIECE_BYTES ? n : PIECE_BYTES;
        while (piece < n && ((unsigned char)text[piece] & 0xC0) == 0x80) /* not inside a letter */
            piece--;
        put_quoted(w, text, piece);
        text += piece;
        n -= piece;
    }
    close_list(w);
}

static void put_cell(writer *w, const lw_cell *c)
{
    char text[32];
    put_plain(w, c->column);
    switch (c->kind) {
    case LW_CELL_WHOLE:
        snprintf(text, sizeof text, "%lld", (long long)c->whole);
        put_plain(w, text);
        break;
    case LW_CELL_REAL:
        put_real(w, c->real);
        break;
    case LW_CELL_TEXT:
        put_text(w, c->text, c->n);
        break;
    case LW_CELL_BYTES:
        put_bytes(w, c->text, c->n);
        break;
    }
}

static lw_code put_row(void *context, const char *table, const lw_cell *cell, size_t count, lw_err *err)
{
    writer *w = context;
    size_t size = 0;
    for (size_t i = 0; i < count; i++)
        size += cell[i].n;
    if (strcmp(table, w->table) != 0 || w->rows == DOCUMENT_ROWS || w->bytes + size > DOCUMENT_BYTES)
        open_table(w, table);
    open_map(w);
    for (size_t i = 0; i < count; i++)
        put_cell(w, &cell[i]);
    close_map(w);
    w->rows++;
    return w->has_failed ? lw_fail(err, LW_E_FULL, "not enough memory to write YAML") : LW_OK;
}

static void put_head(writer *w, const char *program_version)
{
    char text[24];
    open_document(w);
    put_plain(w, "leeway_book");
    snprintf(text, sizeof text, "%d", (int)FORM);
    put_plain(w, text);
    put_plain(w, "schema");
    snprintf(text, sizeof text, "%d", (int)LW_BOOK_SCHEMA);
    put_plain(w, text);
    put_plain(w, "program");
    put_quoted(w, program_version, strlen(program_version));
    close_document(w);
}

static lw_code write_all(lw_book *book, writer *w, const char *program_version, lw_err *err)
{
    yaml_event_t event;
    yaml_emitter_set_output(&w->emitter, hand_on, w->sink);
    yaml_emitter_set_unicode(&w->emitter, 1);
    yaml_emitter_set_width(&w->emitter, -1); /* a text is one line: none of its lines is taken for "---" */
    emit(w, &event, yaml_stream_start_event_initialize(&event, YAML_UTF8_ENCODING));
    put_head(w, program_version);
    const lw_code code = lw_book_each_row(book, put_row, w, err);
    if (code)
        return code;
    close_table(w);
    emit(w, &event, yaml_stream_end_event_initialize(&event));
    return w->has_failed ? lw_fail(err, LW_E_FULL, "not enough memory to write YAML") : LW_OK;
}

lw_code lw_book_export(lw_book *book, const char *program_version, lw_sink *sink, lw_err *err)
{
    writer w = {.sink = sink};
    locale_t plain;
    if (!yaml_emitter_initialize(&w.emitter))
        return lw_fail(err, LW_E_FULL, "not enough memory to write YAML");
    const locale_t before = plain_numbers(&plain);
    const lw_code code = write_all(book, &w, program_version, err);
    usual_numbers(plain, before);
    yaml_emitter_delete(&w.emitter);
    return code;
}

/* ---- reading ---- */

typedef struct reader {
    lw_book *book;
    const char *name;
    FILE *stream;
    char *line;
    size_t line_size;
    char *part; /* one document */
    size_t part_used;
    long line_number, part_line; /* of the last line, and of the document's first */
    int documents;
    lw_imported imported;
    char *joined; /* pieces of a row's long texts */
    size_t joined_used;
} reader;

static lw_code read_whole_number(const lw_yaml_node *node, int64_t *value, lw_err *err)
{
    char *end = NULL;
    errno = 0;
    const long long read = strtoll(node->text, &end, 10);
    if (errno || end == node->text || *end) {
        lw_fail(err, LW_E_SYNTAX, "%s is no whole number", lw_quoted(node->text, strlen(node->text)).text);
        return lw_yaml_at(node, err);
    }
    *value = read;
    return LW_OK;
}

static lw_code read_real(const lw_yaml_node *node, double *value, lw_err *err)
{
    char *end = NULL;
    const double read = strtod(node->text, &end);
    if (end == node->text || *end || !(read - read == 0.0)) {
        lw_fail(err, LW_E_SYNTAX, "%s is no number", lw_quoted(node->text, strlen(node->text)).text);
        return lw_yaml_at(node, err);
    }
    *value = read;
    return LW_OK;
}

/* The pieces stand one behind the other in r->joined, which has room for every text of a document. */
static lw_code join(reader *r, const lw_yaml_node *list, lw_cell *c, lw_err *err)
{
    char *const start = r->joined + r->joined_used;
    size_t n = 0;
    for (const lw_yaml_node *piece = list->first; piece; piece = piece->next) {
        if (piece->kind != LW_YAML_SCALAR) {
            lw_fail(err, LW_E_SYNTAX, "a piece of text belongs here, not a list or map");
            return lw_yaml_at(piece, err);
        }
        const size_t length = strlen(piece->text);
        memcpy(start + n, piece->text, length);
        n += length;
    }
    start[n] = '\0';
    r->joined_used += n + 1;
    c->text = start;
    c->n = n;
    return LW_OK;
}

static lw_code read_cell(reader *r, const char *table, const lw_yaml_node *node, lw_cell *c, lw_id *id, lw_err *err)
{
    *c = (lw_cell){.column = node->key};
    if (lw_book_column(r->book, table, node->key, &c->kind, err))
        return lw_yaml_at(node, err);
    if (node->kind == LW_YAML_LIST && c->kind == LW_CELL_TEXT)
        return join(r, node, c, err);
    if (node->kind != LW_YAML_SCALAR) {
        lw_fail(err, LW_E_SYNTAX, "a value belongs here, not a list or map");
        return lw_yaml_at(node, err);
    }
    c->text = node->text;
    c->n = strlen(node->text);
    if (c->kind == LW_CELL_WHOLE)
        return read_whole_number(node, &c->whole, err);
    if (c->kind == LW_CELL_REAL)
        return read_real(node, &c->real, err);
    if (c->kind == LW_CELL_BYTES) {
        if (lw_id_parse(node->text, id, err))
            return lw_yaml_at(node, err);
        c->text = (const char *)id->byte;
        c->n = LW_ID_BYTES;
    }
    return LW_OK;
}

static lw_code read_row(reader *r, const char *table, const lw_yaml_node *row, lw_err *err)
{
    lw_cell cell[LW_ROW_CELLS];
    lw_id id[LW_ROW_CELLS];
    size_t count = 0;
    int is_new = 0;
    lw_code code = LW_OK;
    r->joined_used = 0;
    if (row->kind != LW_YAML_MAP || row->count > LW_ROW_CELLS)
        code = lw_fail(err, LW_E_SYNTAX, "a row of %s is a map of at most %d columns", table, LW_ROW_CELLS);
    for (const lw_yaml_node *node = row->first; node && !code; node = node->next, count++)
        if ((code = read_cell(r, table, node, &cell[count], &id[count], err)) != LW_OK)
            return code;
    code = code ? code : lw_book_take_row(r->book, table, cell, count, &is_new, err);
    if (code)
        return lw_yaml_at(row, err);
    *(is_new ? &r->imported.added : &r->imported.known) += 1;
    return LW_OK;
}

static lw_code read_head(const lw_yaml *tree, lw_err *err)
{
    const lw_yaml_node *form = lw_yaml_find(tree, "leeway_book"), *schema = lw_yaml_find(tree, "schema");
    int64_t number = 0;
    if (!form || form->kind != LW_YAML_SCALAR)
        return lw_fail(err, LW_E_SYNTAX, "is no exported book: one begins with leeway_book: 1");
    if (strcmp(form->text, "1") != 0) {
        lw_fail(err, LW_E_CONFLICT, "this Leeway reads exported books of form 1, not %s; update it",
                lw_quoted(form->text, strlen(form->text)).text);
        return lw_yaml_at(form, err);
    }
    if (!schema || schema->kind != LW_YAML_SCALAR)
        return LW_OK;
    if (read_whole_number(schema, &number, err))
        return err->code;
    if (number <= LW_BOOK_SCHEMA)
        return LW_OK;
    lw_fail(err, LW_E_CONFLICT, "was written by a newer Leeway (schema %lld; this one knows up to %d); update Leeway",
            (long long)number, (int)LW_BOOK_SCHEMA);
    return lw_yaml_at(schema, err);
}

static lw_code read_tables(reader *r, const lw_yaml *tree, lw_err *err)
{
    lw_code code = LW_OK;
    for (const lw_yaml_node *table = tree->root->first; table && !code; table = table->next) {
        if (table->kind != LW_YAML_LIST) {
            lw_fail(err, LW_E_SYNTAX, "a list of rows belongs here");
            return lw_yaml_at(table, err);
        }
        for (const lw_yaml_node *row = table->first; row && !code; row = row->next)
            code = read_row(r, table->key, row, err);
    }
    return code;
}

static int is_blank(const reader *r)
{
    return strspn(r->part, " \t\r\n") == r->part_used;
}

static lw_code read_part(reader *r, lw_err *err)
{
    char name[120];
    lw_yaml tree = {0};
    r->part[r->part_used] = '\0';
    if (is_blank(r))
        return LW_OK;
    if (r->part_line > 1)
        snprintf(name, sizeof name, "%.60s from line %ld on", r->name, r->part_line);
    else
        snprintf(name, sizeof name, "%.100s", r->name);
    lw_code code = lw_yaml_read(&tree, name, r->part, r->part_used, err);
    if (!code && tree.root->kind != LW_YAML_MAP) {
        lw_fail(err, LW_E_SYNTAX, "is no exported book: a map belongs here");
        code = lw_err_at(err, name, 0, NULL);
    }
    if (!code && r->documents++ == 0) {
        code = read_head(&tree, err);
        if (code && !err->where[0])
            lw_err_at(err, name, 0, NULL);
    } else if (!code) {
        code = read_tables(r, &tree, err);
    }
    lw_yaml_clear(&tree);
    return code;
}

static lw_code read_lines(reader *r, lw_err *err)
{
    lw_code code = LW_OK;
    ssize_t n;
    r->part_line = 1;
    while (!code && (n = getline(&r->line, &r->line_size, r->stream)) >= 0) {
        r->line_number++;
        if (strncmp(r->line, "---", 3) == 0 && r->line[3 + strspn(r->line + 3, " \t\r\n")] == '\0') {
            code = read_part(r, err);
            r->part_used = 0;
            r->part_line = r->line_number + 1;
        } else if ((size_t)n > (size_t)LW_YAML_BYTES - r->part_used) {
            lw_fail(err, LW_E_FULL, "more than %d bytes without a line ---", LW_YAML_BYTES);
            code = lw_err_at(err, r->name, r->line_number, NULL);
        } else {
            memcpy(r->part + r->part_used, r->line, (size_t)n);
            r->part_used += (size_t)n;
        }
    }
    if (!code && ferror(r->stream)) {
        lw_fail(err, LW_E_IO, "cannot be read: %s", strerror(errno));
        code = lw_err_at(err, r->name, 0, NULL);
    }
    code = code ? code : read_part(r, err);
    if (!code && r->documents == 0) {
        lw_fail(err, LW_E_SYNTAX, "is empty; an exported book begins with leeway_book: 1");
        code = lw_err_at(err, r->name, 0, NULL);
    }
    return code;
}

lw_code lw_book_import(lw_book *book, const char *name, FILE *stream, lw_imported *imported, lw_err *err)
{
    reader r = {.book = book, .name = name, .stream = stream};
    locale_t plain;
    r.part = malloc((size_t)LW_YAML_BYTES + 1);
    r.joined = malloc((size_t)LW_YAML_BYTES + LW_ROW_CELLS);
    lw_code code = r.part && r.joined ? LW_OK : lw_fail(err, LW_E_FULL, "not enough memory to read a book");
    if (!code)
        code = lw_book_begin(book, err);
    if (!code) {
        const locale_t before = plain_numbers(&plain);
        code = read_lines(&r, err);
        usual_numbers(plain, before);
        code = lw_book_end(book, code, err);
    }
    if (!code)
        *imported = r.imported;
    free(r.part);
    free(r.joined);
    free(r.line);
    return code;
}
