#include "cli/screen.h"

#include <assert.h>
#include <langinfo.h>
#include <locale.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

enum { DEFAULT_WIDTH = 80, GAP = 2, READABLE = 30, STACK = 4, CELL_MOST = 40 };

static const char *const PAINT[] = {"", "\033[1m", "\033[1;31m", "\033[2m"};

static int width_of(int fd)
{
    const char *said = getenv("COLUMNS");
    char *end;
    const long columns = said && *said ? strtol(said, &end, 10) : 0;
    struct winsize size;
    int width = DEFAULT_WIDTH;
    if (columns > 0 && *end == '\0')
        width = columns < LW_WIDTH_MOST ? (int)columns : LW_WIDTH_MOST;
    else if (isatty(fd) && ioctl(fd, TIOCGWINSZ, &size) == 0 && size.ws_col > 0)
        width = size.ws_col;
    width = width < LW_WIDTH_LEAST ? LW_WIDTH_LEAST : width;
    return width > LW_WIDTH_MOST ? LW_WIDTH_MOST : width;
}

static int is_utf8(void)
{
    /* The process keeps the plain locale: a decimal comma must not reach a number. */
    const locale_t locale = newlocale(LC_CTYPE_MASK, "", (locale_t)0);
    if (locale == (locale_t)0)
        return 0;
    const int is = strcmp(nl_langinfo_l(CODESET, locale), "UTF-8") == 0;
    freelocale(locale);
    return is;
}

void lw_screen_init(lw_screen *screen, lw_sink *sink, int fd, int wants_ascii)
{
    const char *no_colour = getenv("NO_COLOR"), *term = getenv("TERM");
    *screen = (lw_screen){
        .sink = sink,
        .width = width_of(fd),
        .has_colour = isatty(fd) && !(no_colour && *no_colour) && term && *term && strcmp(term, "dumb") != 0,
        .is_ascii = wants_ascii || !is_utf8(),
    };
}

/* Bytes of the character at text: 1 for a byte that begins none. */
static size_t character(const char *text)
{
    const unsigned char c = (unsigned char)*text;
    const size_t n = c >= 0xF0 && c < 0xF8 ? 4 : c >= 0xE0 && c < 0xF0 ? 3 : c >= 0xC2 && c < 0xE0 ? 2 : 1;
    for (size_t i = 1; i < n; i++)
        if (((unsigned char)text[i] & 0xC0) != 0x80)
            return 1;
    return n;
}

/* Code point of a whole character of n bytes. */
static uint32_t code_of(const char *bytes, size_t n)
{
    const unsigned char *c = (const unsigned char *)bytes;
    if (n == 1)
        return c[0];
    uint32_t code = (uint32_t)(n == 2 ? c[0] & 0x1F : n == 3 ? c[0] & 0x0F : c[0] & 0x07);
    for (size_t i = 1; i < n; i++)
        code = code << 6 | (uint32_t)(c[i] & 0x3F);
    return code;
}

/* Columns of a terminal: blocks that East Asian Width (Unicode, UAX 11) gives two, marks that combine none. */
static int columns_at(const lw_screen *screen, const char *bytes, size_t n)
{
    static const struct {
        uint32_t from, to;
        int columns;
    } BLOCK[] = {{0x0300, 0x036F, 0},   {0x200B, 0x200F, 0},   {0x20D0, 0x20FF, 0},  {0xFE00, 0xFE0F, 0},
                 {0x1100, 0x115F, 2},   {0x2E80, 0x303E, 2},   {0x3041, 0x33FF, 2},  {0x3400, 0x4DBF, 2},
                 {0x4E00, 0x9FFF, 2},   {0xA000, 0xA4CF, 2},   {0xAC00, 0xD7A3, 2},  {0xF900, 0xFAFF, 2},
                 {0xFE30, 0xFE4F, 2},   {0xFF00, 0xFF60, 2},   {0xFFE0, 0xFFE6, 2},  {0x1F300, 0x1F64F, 2},
                 {0x1F680, 0x1F6FF, 2}, {0x1F900, 0x1F9FF, 2}, {0x20000, 0x3FFFD, 2}};
    const uint32_t code = code_of(bytes, n);
    if (screen && screen->is_ascii)
        return 1; /* a stand-in is printed */
    for (size_t i = 0; i < sizeof BLOCK / sizeof BLOCK[0]; i++)
        if (code >= BLOCK[i].from && code <= BLOCK[i].to)
            return BLOCK[i].columns;
    return 1;
}

int lw_columns_of(const lw_screen *screen, const char *text)
{
    int columns = 0;
    while (*text) {
        const size_t n = character(text);
        columns += columns_at(screen, text, n);
        text += n;
    }
    return columns;
}

/* What stands for a character beyond ASCII: one column each, so that nothing shifts. */
static char plain_look(const char *bytes, size_t n)
{
    static const struct {
        const char *text;
        char look;
    } looks[] = {{"━", '='}, {"─", '-'}, {"┈", '.'}, {"●", 'o'}, {"┊", ':'}, {"▸", '>'},  {"–", '-'},
                 {"—", '-'}, {"…", '.'}, {"×", 'x'}, {"°", ' '}, {"·", '.'}, {"’", '\''}, {"±", '~'}};
    for (size_t i = 0; i < sizeof looks / sizeof looks[0]; i++)
        if (strlen(looks[i].text) == n && memcmp(looks[i].text, bytes, n) == 0)
            return looks[i].look;
    return '?';
}

static void put_character(const lw_screen *screen, const char *bytes, size_t n)
{
    const unsigned char c = (unsigned char)*bytes;
    /* C1 controls (C2 80 .. C2 9F) steer some terminals as well. */
    const int is_control = c < 0x20 || c == 0x7F || (n == 2 && c == 0xC2 && (unsigned char)bytes[1] < 0xA0);
    if (is_control || (n == 1 && c >= 0x80))
        lw_sink_put(screen->sink, "?", 1);
    else if (n > 1 && screen->is_ascii)
        lw_sink_put(screen->sink, &(char){plain_look(bytes, n)}, 1);
    else
        lw_sink_put(screen->sink, bytes, n);
}

static void put_part(const lw_screen *screen, lw_paint paint, const char *text, const char *end)
{
    const int is_painted = screen->has_colour && paint != LW_PAINT_PLAIN && text < end;
    if (is_painted)
        lw_sink_text(screen->sink, PAINT[paint]);
    while (text < end) {
        const size_t n = character(text);
        put_character(screen, text, n);
        text += n;
    }
    if (is_painted)
        lw_sink_text(screen->sink, "\033[0m");
}

void lw_put(lw_screen *screen, lw_paint paint, const char *text)
{
    put_part(screen, paint, text, text + strlen(text));
}

void lw_put_blank(lw_screen *screen, int columns)
{
    while (columns-- > 0)
        lw_sink_put(screen->sink, " ", 1);
}

void lw_put_end(lw_screen *screen)
{
    lw_sink_put(screen->sink, "\n", 1);
}

void lw_put_padded(lw_screen *screen, lw_paint paint, const char *text, int columns, int is_right)
{
    const int own = lw_columns_of(screen, text);
    if (own <= columns) {
        lw_put_blank(screen, is_right ? columns - own : 0);
        lw_put(screen, paint, text);
        lw_put_blank(screen, is_right ? 0 : columns - own);
        return;
    }
    const char *end = text;
    int used = 0;
    for (;;) {
        const size_t n = character(end);
        const int more = columns_at(screen, end, n);
        if (used + more > columns - 1)
            break;
        used += more;
        end += n;
    }
    put_part(screen, paint, text, end);
    lw_put(screen, paint, "…");
    lw_put_blank(screen, columns - 1 - used);
}

/* The end of the longest start of text that fits into `room` columns, at a blank where there is one; one character at the
 * least. */
static const char *break_at(const lw_screen *screen, const char *text, int room)
{
    const char *at = text, *blank = NULL;
    int used = 0;
    while (*at && *at != '\n') {
        const size_t n = character(at);
        used += columns_at(screen, at, n);
        if (*at == ' ' && at > text && used - 1 <= room)
            blank = at;
        if (used > room && at > text)
            return blank ? blank : at;
        at += n;
    }
    return at;
}

void lw_put_wrapped(lw_screen *screen, lw_paint paint, const char *text, int at, int indent)
{
    int room = screen->width - at;
    do {
        const char *end = break_at(screen, text, room > 8 ? room : 8);
        put_part(screen, paint, text, end);
        lw_put_end(screen);
        while (*end == ' ')
            end++;
        if (*end == '\n')
            end++;
        text = end;
        room = screen->width - indent;
        if (*text)
            lw_put_blank(screen, indent);
    } while (*text);
}

void lw_put_title(lw_screen *screen, const char *title)
{
    lw_put_end(screen);
    lw_put(screen, LW_PAINT_STRONG, title);
    lw_put_end(screen);
}

/* A cell that is longer than most does not push the others away: the first has a line of its own, any other runs over in its row. */
static void widths_of(const lw_screen *screen, const lw_table *table, int *width)
{
    char text[LW_CELL];
    for (int column = 0; column < table->columns; column++) {
        width[column] = 0;
        for (int row = 0; row < table->rows; row++) {
            table->cell(table->context, row, column, text, sizeof text);
            const int own = lw_columns_of(screen, text);
            width[column] = own > width[column] && own <= CELL_MOST ? own : width[column];
        }
    }
}

static lw_paint paint_of(const lw_table *table, int row)
{
    return row == table->warm_row ? LW_PAINT_WARM : row == 0 ? table->head : LW_PAINT_PLAIN;
}

/* The last column of a row that holds anything: what is behind it is not filled up with blanks. */
static int last_filled(const lw_table *table, int row)
{
    char text[LW_CELL];
    for (int column = table->columns - 1; column > 0; column--) {
        table->cell(table->context, row, column, text, sizeof text);
        if (text[0] != '\0')
            return column;
    }
    return 0;
}

/* In its place where it fits or there is room to read it; else under its row. */
static void put_last(lw_screen *screen, const lw_table *table, lw_paint paint, const char *text, int at, int blanks)
{
    const int room = screen->width - at, below = table->indent + STACK;
    const int is_beside = at == table->indent || lw_columns_of(screen, text) <= room || room >= READABLE;
    if (is_beside)
        lw_put_blank(screen, blanks);
    else {
        lw_put_end(screen);
        lw_put_blank(screen, below);
    }
    lw_put_wrapped(screen, paint, text, is_beside ? at : below, is_beside ? at : below);
}

static void put_row(lw_screen *screen, const lw_table *table, int row, const int *width)
{
    char text[LW_CELL];
    const lw_paint paint = paint_of(table, row);
    const int last = last_filled(table, row);
    int at = table->indent, blanks = 0; /* blanks wait until something stands behind them */
    lw_put_blank(screen, at);
    for (int column = 0; column <= last; column++) {
        const int is_right = (int)(table->right >> column & 1u);
        table->cell(table->context, row, column, text, sizeof text);
        if (column == last && !is_right) {
            put_last(screen, table, paint, text, at, blanks);
            return;
        }
        const int own = lw_columns_of(screen, text), wide = own > width[column] ? own : width[column];
        if (column == 0 && own > width[0] && !is_right) {
            lw_put_wrapped(screen, paint, text, at, at + GAP);
            at += width[0] + GAP;
            blanks = at;
            continue;
        }
        if (own == 0) { /* nothing to be set: the blanks go on waiting */
            blanks += wide + GAP;
            at += wide + GAP;
            continue;
        }
        lw_put_blank(screen, blanks + (is_right ? wide - own : 0));
        lw_put(screen, paint, text);
        blanks = (is_right ? 0 : wide - own) + GAP;
        at += wide + GAP;
    }
    lw_put_end(screen);
}

void lw_put_table(lw_screen *screen, const lw_table *table)
{
    int width[LW_TABLE_COLUMNS] = {0};
    assert(table->columns <= LW_TABLE_COLUMNS);
    widths_of(screen, table, width);
    for (int row = 0; row < table->rows; row++)
        put_row(screen, table, row, width);
}
