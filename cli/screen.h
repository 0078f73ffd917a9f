/* cli/screen.h: text for a person's terminal, or for a pipe.
 *
 * Width     $COLUMNS if it is a number, else what the terminal says, else 80; within LW_WIDTH_LEAST..LW_WIDTH_MOST.
 * Colour    on a terminal only, and never with $NO_COLOR (any text) or TERM=dumb.
 * ASCII     when asked for, or when the locale's characters are not UTF-8: a character beyond is replaced by its nearest
 *           look, or by '?'. Control characters never pass: a name in a file cannot steer a terminal.
 * Columns   a character that terminals show double (East Asian, pictures) counts twice, a combining mark not at all. */
#ifndef LW_CLI_SCREEN_H
#define LW_CLI_SCREEN_H

#include "service/sink.h"

enum { LW_WIDTH_LEAST = 50, LW_WIDTH_MOST = 160, LW_CELL = 256, LW_TABLE_COLUMNS = 8 };

typedef enum lw_paint {
    LW_PAINT_PLAIN = 0,
    LW_PAINT_STRONG,
    LW_PAINT_WARM, /* the binding supply, and nothing else */
    LW_PAINT_FAINT,
} lw_paint;

typedef struct lw_screen {
    lw_sink *sink;
    int width;
    int has_colour, is_ascii;
} lw_screen;

/* `fd` is where the sink's bytes end up. */
void lw_screen_init(lw_screen *screen, lw_sink *sink, int fd, int wants_ascii);

int lw_columns_of(const lw_screen *screen, const char *text);

void lw_put(lw_screen *screen, lw_paint paint, const char *text);
void lw_put_blank(lw_screen *screen, int columns);
void lw_put_end(lw_screen *screen); /* of the line */

/* Filled with blanks up to `columns`, or cut there with a mark that says so. */
void lw_put_padded(lw_screen *screen, lw_paint paint, const char *text, int columns, int is_right);

/* From column `at` on in lines no longer than the screen, further lines indented by `indent`; ends the line. '\n' in the
 * text begins a new one. */
void lw_put_wrapped(lw_screen *screen, lw_paint paint, const char *text, int at, int indent);

/* A title of a section, with an empty line before it. */
void lw_put_title(lw_screen *screen, const char *title);

/* A table: every column as wide as its widest cell, but the last, which takes what is left and wraps, or stands under its
 * row where too little is left. */
typedef struct lw_table {
    int rows, columns;
    unsigned right; /* bit a column: set to the right */
    int indent;
    lw_paint head; /* of row 0 */
    int warm_row;  /* -1: none */
    const void *context;
    void (*cell)(const void *context, int row, int column, char *buf, size_t n);
} lw_table;

void lw_put_table(lw_screen *screen, const lw_table *table);

#endif
