#include "exchange/csv.h"

#include <string.h>

#include "text/say.h"

long lw_read_file(void *file, char *buf, size_t n)
{
    const size_t got = fread(buf, 1, n, file);
    return got == 0 && ferror((FILE *)file) ? -1 : (long)got;
}

long lw_read_bytes(void *bytes, char *buf, size_t n)
{
    lw_bytes *source = bytes;
    const size_t got = n < source->left ? n : source->left;
    memcpy(buf, source->at, got);
    source->at += got;
    source->left -= got;
    return (long)got;
}

void lw_csv_init(lw_csv *csv, lw_read_fn *read, void *context, unsigned flags)
{
    csv->read = read;
    csv->context = context;
    csv->flags = flags;
    csv->count = 0;
    csv->raw = csv->buffer;
    csv->raw_n = 0;
    csv->line = 0;
    csv->next_line = 1;
    csv->begin = csv->end = 0;
    csv->is_source_dry = csv->is_done = 0;
}

static lw_code fail_at(lw_csv *csv, long line, lw_code code, lw_err *err, const char *text)
{
    csv->is_done = 1;
    csv->count = 0;
    lw_fail(err, code, "%s", text);
    return lw_err_at(err, NULL, line, NULL);
}

/* Moves what is unread to the front and reads on. The buffer holds two records, so there is always room. */
static lw_code fill(lw_csv *csv, lw_err *err)
{
    memmove(csv->buffer, csv->buffer + csv->begin, csv->end - csv->begin);
    csv->end -= csv->begin;
    csv->begin = 0;
    const long got = csv->read(csv->context, csv->buffer + csv->end, sizeof csv->buffer - csv->end);
    if (got < 0)
        return fail_at(csv, csv->next_line, LW_E_IO, err, "the system refused to read on");
    csv->is_source_dry = got == 0;
    csv->end += (size_t)got;
    return LW_OK;
}

/* A comment may hold a single quote, so what stands there is not counted. */
static int has_quotes(const lw_csv *csv, char first)
{
    return !(csv->flags & LW_CSV_NO_QUOTES) && !((csv->flags & LW_CSV_COMMENTS) && first == '#');
}

/* Finds the end of the record that starts at `begin`: its length with the line end, and how many lines it spans. */
static lw_code measure(lw_csv *csv, size_t *length, long *lines, lw_err *err)
{
    size_t n = 0;
    int is_quoted = 0;
    *lines = 1;
    for (;;) {
        while (csv->begin + n < csv->end) {
            const char c = csv->buffer[csv->begin + n++];
            if (n > LW_CSV_RECORD_BYTES)
                return fail_at(csv, csv->next_line, LW_E_FULL, err,
                               is_quoted ? "a quote opened here does not end within 65536 bytes"
                                         : "this line is longer than 65536 bytes; is it a table as text?");
            if (c == '"' && has_quotes(csv, csv->buffer[csv->begin]))
                is_quoted = !is_quoted;
            if (c != '\n')
                continue;
            if (!is_quoted) {
                *length = n;
                return LW_OK;
            }
            ++*lines;
        }
        if (csv->is_source_dry) {
            *length = n;
            return is_quoted ? fail_at(csv, csv->next_line, LW_E_SYNTAX, err, "a quote opened here has no end") : LW_OK;
        }
        const lw_code bad = fill(csv, err);
        if (bad)
            return bad;
    }
}

static lw_code take_field(lw_csv *csv, const char **at, const char *end, char **out, lw_err *err)
{
    const char *p = *at;
    char *q = *out;
    const int is_plain = (csv->flags & LW_CSV_NO_QUOTES) != 0;
    if (p < end && *p == '"' && !is_plain) {
        for (p++;; p++) {
            if (*p == '"' && (++p == end || *p != '"')) /* measure saw to it that each quote has its end */
                break;
            *q++ = *p;
        }
        if (p < end && *p != ',')
            return fail_at(csv, csv->line, LW_E_SYNTAX, err,
                           "text follows a closing quote; double the quotes inside a quoted field");
    } else {
        for (; p < end && *p != ','; p++) {
            if (*p == '"' && !is_plain)
                return fail_at(csv, csv->line, LW_E_SYNTAX, err,
                               "a quote stands inside a bare field; put the whole field in quotes");
            *q++ = *p;
        }
    }
    csv->field[csv->count] = *out;
    csv->field_n[csv->count++] = (size_t)(q - *out);
    *q++ = '\0';
    *at = p;
    *out = q;
    return LW_OK;
}

static lw_code split(lw_csv *csv, lw_err *err)
{
    const char *at = csv->raw, *const end = csv->raw + csv->raw_n;
    char *out = csv->plain;
    csv->count = 0;
    for (;;) {
        if (csv->count == LW_CSV_FIELDS)
            return fail_at(csv, csv->line, LW_E_FULL, err, "this line has more than 512 fields");
        const lw_code bad = take_field(csv, &at, end, &out, err);
        if (bad)
            return bad;
        if (at == end)
            return LW_OK;
        at++; /* the comma */
    }
}

lw_code lw_csv_next(lw_csv *csv, lw_err *err)
{
    csv->count = 0;
    while (!csv->is_done) {
        size_t length = 0;
        long lines = 0;
        const lw_code bad = measure(csv, &length, &lines, err);
        if (bad)
            return bad;
        if (length == 0) {
            csv->is_done = 1;
            break;
        }
        csv->raw = csv->buffer + csv->begin;
        csv->raw_n = length;
        csv->line = csv->next_line;
        csv->next_line += lines;
        csv->begin += length;
        if (csv->line == 1 && length >= 3 && memcmp(csv->raw, "\xEF\xBB\xBF", 3) == 0) {
            csv->raw += 3;
            csv->raw_n -= 3;
        }
        if (csv->raw_n && csv->raw[csv->raw_n - 1] == '\n')
            csv->raw_n--;
        if (csv->raw_n && csv->raw[csv->raw_n - 1] == '\r')
            csv->raw_n--;
        if (csv->raw_n == 0 || ((csv->flags & LW_CSV_COMMENTS) && csv->raw[0] == '#'))
            continue;
        if (memchr(csv->raw, '\0', csv->raw_n))
            return fail_at(csv, csv->line, LW_E_SYNTAX, err, "a NUL byte stands here; this is no text");
        const char *cr = memchr(csv->raw, '\r', csv->raw_n);
        if (cr && (cr + 1 == csv->raw + csv->raw_n || cr[1] != '\n'))
            return fail_at(csv, csv->line, LW_E_SYNTAX, err,
                           "a carriage return stands alone here; lines must end in LF or CR LF");
        return split(csv, err);
    }
    return LW_OK;
}

static void trim(const char **at, const char **end)
{
    while (*at < *end && (**at == ' ' || **at == '\t'))
        ++*at;
    while (*end > *at && ((*end)[-1] == ' ' || (*end)[-1] == '\t'))
        --*end;
}

int lw_csv_column(const lw_csv *header, const char *name)
{
    const char *name_end = name + strlen(name);
    trim(&name, &name_end);
    for (size_t i = 0; i < header->count; i++) {
        const char *at = header->field[i], *end = at + header->field_n[i];
        trim(&at, &end);
        if (end - at == name_end - name && memcmp(at, name, (size_t)(end - at)) == 0)
            return (int)i;
    }
    return -1;
}
