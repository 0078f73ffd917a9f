/* book/book.h: the book, one SQLite file with all that a household keeps. This room alone speaks SQL.
 *
 * Opens     lw_book_open: the file at `path`, made where LW_BOOK_CREATE asks for it, brought up to LW_BOOK_SCHEMA by the
 *           migrations of book/schema.c. What commits is on the disk before a call gives LW_OK (write-ahead log, full
 *           synchronisation). Several programs may have it open; a writer waits for another up to LW_BOOK_WAIT_MS.
 * Mode      LW_BOOK_READ_ONLY where the file or its disk takes no writes, or was asked for so: reading works, every
 *           write is LW_E_IO with lw_book_why_read_only in its sentence.
 * Upkeep    lw_book_check looks through the whole file; lw_book_backup copies it while in use, whole or not at all;
 *           lw_book_restore puts a copy in its place in one step, and only one that passes the check.
 * Errors    one sentence with the file in `where`: LW_E_MISSING no such file, LW_E_SYNTAX no book of this program or
 *           damaged, LW_E_CONFLICT a newer schema or a statement against the book's rules, LW_E_FULL no memory,
 *           LW_E_IO the disk is full, read-only or failing. A write that fails leaves the book as it was.
 * Threads   a handle belongs to one thread at a time; any number of handles may be open.
 * Limits    local disks: SQLite's log needs shared memory between the programs, which network file systems lack. */
#ifndef LW_BOOK_BOOK_H
#define LW_BOOK_BOOK_H

#include <stddef.h>
#include <stdint.h>

#include "core/base/err.h"

enum {
    LW_BOOK_SCHEMA = 11,
    LW_BOOK_WAIT_MS = 30000,
    LW_BOOK_PATH_BYTES = 4096,
    LW_BOOK_WORD_BYTES = 200,      /* names, targets, devices, units, settings' keys */
    LW_BOOK_TEXT_BYTES = 4096,     /* what was said, notes, details, settings' values */
    LW_BOOK_DOC_BYTES = 192 << 10, /* documents and results: two of them, escaped, fit what the reader of YAML takes */
};

#define LW_NO_TIME INT64_MIN /* a moment that is not known, or has not come */

typedef struct lw_book lw_book;

typedef enum lw_book_mode { LW_BOOK_CREATE = 0, LW_BOOK_WRITE, LW_BOOK_READ_ONLY } lw_book_mode;

/* The file of a household that names none: $XDG_DATA_HOME/leeway/book.sqlite, or under ~/.local/share. LW_E_MISSING
 * where neither variable is set to a whole path. */
LW_MUST_USE lw_code lw_book_default_path(char *buf, size_t n, lw_err *err);

/* LW_BOOK_CREATE makes the folders of the path too. *book is untouched on failure. */
LW_MUST_USE lw_code lw_book_open(lw_book **book, const char *path, lw_book_mode mode, lw_err *err);
void lw_book_close(lw_book *book); /* NULL is fine */

lw_book_mode lw_book_mode_of(const lw_book *book);      /* LW_BOOK_WRITE or LW_BOOK_READ_ONLY */
const char *lw_book_why_read_only(const lw_book *book); /* "" where it is not; borrowed while the book is open */
const char *lw_book_path(const lw_book *book);

/* Several calls as one: all of their changes or none. End takes the code so far; what it gives is the answer. */
LW_MUST_USE lw_code lw_book_begin(lw_book *book, lw_err *err);
LW_MUST_USE lw_code lw_book_end(lw_book *book, lw_code code, lw_err *err);

typedef struct lw_book_info {
    int schema;
    lw_book_mode mode;
    int64_t bytes; /* of the file, without its log */
    int64_t rigs, crews, places, stays, settings, entries, undone, weather_hours, forecasts, learned, spots;
    int64_t first_s, last_s; /* stated times of entries; LW_NO_TIME without any */
} lw_book_info;

LW_MUST_USE lw_code lw_book_info_of(lw_book *book, lw_book_info *info, lw_err *err);

/* The file's structure, every index, every reference between tables, and the rules of the rows. LW_E_SYNTAX with what was
 * found first. */
LW_MUST_USE lw_code lw_book_check(lw_book *book, lw_err *err);

/* `to` is replaced, if it is there, only by a whole copy; it must not be the book itself. */
LW_MUST_USE lw_code lw_book_backup(lw_book *book, const char *to, lw_err *err);

/* `from` is checked first and stays as it is. `path` is the book's file, which no other program may have open (LW_E_CONFLICT
 * where one is writing); what it held before is at `path`.before afterwards. */
LW_MUST_USE lw_code lw_book_restore(const char *path, const char *from, lw_err *err);

/* ---- settings: words of the household's choice, such as units ---- */

/* value NULL: forgotten. */
LW_MUST_USE lw_code lw_book_set(lw_book *book, const char *key, const char *value, lw_err *err);
/* *is_there 0: no such setting, buf empty. LW_E_FULL where buf is too small. */
LW_MUST_USE lw_code lw_book_get(lw_book *book, const char *key, char *buf, size_t n, int *is_there, lw_err *err);

#endif
