#include "exchange/zip_names.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/limits.h"
#include "text/say.h"

enum { END_BYTES = 22, REMARK_BYTES = 65535, ROW_BYTES = 46 };

static uint32_t little(const unsigned char *b, int bytes)
{
    uint32_t value = 0;
    for (int i = bytes - 1; i >= 0; i--)
        value = value << 8 | b[i];
    return value;
}

static lw_code damaged(lw_err *err)
{
    return lw_fail(err, LW_E_SYNTAX, "is no zip that is read: it is cut or damaged; unzip it and import what is in it");
}

/* Where the list begins and how many rows it has: the mark stands before a remark of unknown length. */
static int find_list(FILE *file, uint32_t *at, uint32_t *rows)
{
    enum { MOST = END_BYTES + REMARK_BYTES };
    unsigned char *tail = malloc(MOST);
    int is_found = 0;
    const long size = fseek(file, 0, SEEK_END) ? 0 : ftell(file), take = size < MOST ? size : MOST;
    if (tail && take >= END_BYTES && fseek(file, size - take, SEEK_SET) == 0 &&
        fread(tail, 1, (size_t)take, file) == (size_t)take)
        for (long i = take - END_BYTES; i >= 0 && !is_found; i--)
            if (little(tail + i, 4) == 0x06054b50u) {
                *rows = little(tail + i + 10, 2);
                *at = little(tail + i + 16, 4);
                is_found = 1;
            }
    free(tail);
    return is_found && *at != UINT32_MAX;
}

static int take_row(FILE *file, void (*take)(void *with, const char *name), void *with)
{
    unsigned char row[ROW_BYTES];
    char name[LW_ZIP_NAME];
    if (fread(row, 1, sizeof row, file) != sizeof row || little(row, 4) != 0x02014b50u)
        return 0;
    const uint32_t bytes = little(row + 28, 2), behind = little(row + 30, 2) + little(row + 32, 2);
    const size_t kept = bytes < sizeof name ? bytes : sizeof name - 1;
    if (fread(name, 1, kept, file) != kept || fseek(file, (long)(bytes - kept + behind), SEEK_CUR))
        return 0;
    name[kept] = '\0';
    if (strncmp(name, "__MACOSX/", 9) != 0)
        take(with, name);
    return 1;
}

lw_code lw_zip_names(FILE *file, void (*take)(void *with, const char *name), void *with, lw_err *err)
{
    uint32_t at = 0, rows = 0;
    int is_fine = find_list(file, &at, &rows) && fseek(file, (long)at, SEEK_SET) == 0;
    for (uint32_t i = 0; is_fine && i < rows && i < LW_ZIP_FILES; i++)
        is_fine = take_row(file, take, with);
    return is_fine ? LW_OK : damaged(err);
}
