/* exchange/year_file.h: a household's own year: where it stays from when to when, as it writes it down.
 *
 * Reads     YAML or JSON: `year`, a list of stays with `place`, `from` (first night) and `to` (day of departure); and of a place that
 *           nobody else knows `latitude`, `longitude` and `elevation`, once. `here` is the place of the scenario; a name that stood in the list before
 *           is that place again; any other is for the caller to find, as in a book.
 * Results   lw_year_file; days are civil; in the order of the file. All or nothing.
 * Errors    one sentence with file, line and key; LW_E_FULL for more than fit; LW_E_RANGE for a stay of no night or of more than
 *           LW_YEAR_FILE_NIGHTS; LW_E_CONFLICT for nights that a stay before has too. */
#ifndef LW_EXCHANGE_YEAR_FILE_H
#define LW_EXCHANGE_YEAR_FILE_H

#include <stddef.h>
#include <stdint.h>

#include "core/base/err.h"
#include "core/base/words.h"

enum { LW_YEAR_FILE_STAYS = 60, LW_YEAR_FILE_NIGHTS = 60 };

typedef struct lw_year_file_stay {
    char place[LW_NAME];
    int is_here, has_spot; /* neither: to be found by its name */
    double latitude_deg, longitude_deg, elevation_m;
    int64_t from_day, to_day;
    int line;
} lw_year_file_stay;

typedef struct lw_year_file {
    char name[256]; /* of the file, for what is said later */
    lw_year_file_stay stay[LW_YEAR_FILE_STAYS];
    int count;
} lw_year_file;

LW_MUST_USE lw_code lw_year_file_load(const char *path, lw_year_file *year, lw_err *err);
LW_MUST_USE lw_code lw_year_file_read(const char *name, const char *bytes, size_t size, lw_year_file *year,
                                      lw_err *err);

#endif
