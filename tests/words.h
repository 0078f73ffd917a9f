/* tests/words.h: reads one table of data/ or tests/reference/ as text: quoted fields, # lines skipped, names from line one. */
#ifndef LW_TESTS_WORDS_H
#define LW_TESTS_WORDS_H

#include <stdlib.h>
#include <string.h>

#include "tests/check.h"

enum { WORDS_ROWS = 128, WORDS_COLUMNS = 64, WORDS_BYTES = 1 << 16 };

typedef struct words {
    char bytes[WORDS_BYTES];
    char *cell[WORDS_ROWS][WORDS_COLUMNS];
    int rows, columns; /* row 0 holds the names */
} words;

/* Cuts one field off at its comma or line end, in place; *end is the character that ended it. */
static inline char *words_cut(char **at, char *end)
{
    char *start = *at, *to = *at, *from = *at;
    int is_quoted = 0;
    for (; *from && (is_quoted || (*from != ',' && *from != '\n')); from++) {
        if (*from == '"' && is_quoted && from[1] == '"')
            *to++ = *from++;
        else if (*from == '"')
            is_quoted = !is_quoted;
        else
            *to++ = *from;
    }
    *end = *from;
    *at = *from ? from + 1 : from;
    *to = '\0';
    return start;
}

static inline void words_open(words *w, const char *path)
{
    FILE *file = fopen(path, "rb");
    if (!file)
        fail_msg("%s cannot be opened: run from the source folder", path);
    const size_t size = fread(w->bytes, 1, sizeof w->bytes - 1, file);
    fclose(file);
    assert_true(size < sizeof w->bytes - 1);
    w->bytes[size] = '\0';
    w->rows = w->columns = 0;
    for (char *at = w->bytes; *at;) {
        if (*at == '#') {
            at = strchr(at, '\n') + 1;
            continue;
        }
        int column = 0;
        char end;
        assert_true(w->rows < WORDS_ROWS);
        do {
            assert_true(column < WORDS_COLUMNS);
            w->cell[w->rows][column++] = words_cut(&at, &end);
        } while (end == ',');
        if (w->rows == 0)
            w->columns = column;
        if (column != w->columns)
            fail_msg("%s: row %d (%s) has %d fields, want %d", path, w->rows, w->cell[w->rows][0], column, w->columns);
        w->rows++;
    }
}

static inline const char *words_at(const words *w, int row, const char *name)
{
    for (int column = 0; column < w->columns; column++)
        if (!strcmp(w->cell[0][column], name))
            return w->cell[row][column];
    fail_msg("no column %s", name);
    return "";
}

/* NaN where the field is empty; refuses what is not a number. */
static inline double words_number(const words *w, int row, const char *name)
{
    const char *text = words_at(w, row, name);
    if (!*text)
        return (double)NAN;
    char *end;
    const double value = strtod(text, &end);
    if (*end || end == text)
        fail_msg("%s, column %s: \"%s\" is not a number", w->cell[row][0], name, text);
    return value;
}

/* Row of an id in the first column. */
static inline int words_row(const words *w, const char *id)
{
    for (int row = 1; row < w->rows; row++)
        if (!strcmp(w->cell[row][0], id))
            return row;
    fail_msg("no row %s", id);
    return 0;
}

/* Index of a word in a list of words. */
static inline int words_index(const char *const *list, int count, const char *word, const char *where)
{
    for (int i = 0; i < count; i++)
        if (!strcmp(list[i], word))
            return i;
    fail_msg("%s: unknown word \"%s\"", where, word);
    return 0;
}

/* Each row says where its figures come from and what kind of fact they are, in the last two columns. */
static inline void words_check_sources(const words *w)
{
    static const char *const KINDS[] = {"published", "common practice", "from memory", "yours"};
    assert_string_equal(w->cell[0][w->columns - 2], "source");
    assert_string_equal(w->cell[0][w->columns - 1], "kind");
    for (int row = 1; row < w->rows; row++) {
        if (!*w->cell[row][w->columns - 2])
            fail_msg("%s has no source", w->cell[row][0]);
        words_index(KINDS, 4, w->cell[row][w->columns - 1], w->cell[row][0]);
        for (int other = 1; other < row; other++)
            if (!strcmp(w->cell[row][0], w->cell[other][0]))
                fail_msg("id %s comes twice", w->cell[row][0]);
    }
}

#endif
