/* book/book_internal.h: what the sources of this room share: statements, their failures as sentences, kept texts. */
#ifndef LW_BOOK_BOOK_INTERNAL_H
#define LW_BOOK_BOOK_INTERNAL_H

#include <sqlite3.h>

#include "book/book.h"
#include "book/id.h"

struct lw_book {
    sqlite3 *db;
    lw_book_mode mode;
    int depth; /* of lw_book_begin */
    char why[160];
    char path[LW_BOOK_PATH_BYTES];
};

/* ---- statements ---- */

/* The last failure of the connection as a sentence; gives its code. */
lw_code lw_book_refuse(const lw_book *book, int rc, lw_err *err);
lw_code lw_book_run(lw_book *book, const char *sql, lw_err *err);
lw_code lw_book_prepare(lw_book *book, const char *sql, sqlite3_stmt **stmt, lw_err *err);
/* *has_row 0: done. */
lw_code lw_book_step(lw_book *book, sqlite3_stmt *stmt, int *has_row, lw_err *err);
/* A statement without rows. */
lw_code lw_book_finish(lw_book *book, sqlite3_stmt *stmt, lw_err *err);
lw_code lw_book_count(lw_book *book, const char *sql, int64_t *count, lw_err *err);

/* ?at of a statement without values yet. Nothing is copied, so nothing can fail, and what is pointed to must last until the step. */
void lw_bind_text(sqlite3_stmt *stmt, int at, const char *text); /* NULL: NULL */
void lw_bind_real(sqlite3_stmt *stmt, int at, double value);     /* NaN: NULL */
void lw_bind_time(sqlite3_stmt *stmt, int at, int64_t time_s);   /* LW_NO_TIME: NULL */
void lw_bind_ref(sqlite3_stmt *stmt, int at, int64_t id);        /* 0: NULL */
void lw_bind_id(sqlite3_stmt *stmt, int at, const lw_id *id);    /* none: NULL */
double lw_column_real(sqlite3_stmt *stmt, int at);
int64_t lw_column_time(sqlite3_stmt *stmt, int at);
void lw_column_id(sqlite3_stmt *stmt, int at, lw_id *id);

/* ---- what comes from outside ---- */

/* UTF-8 without control characters but line end and tab, of at most `most` bytes; NULL passes unless it is needed. */
lw_code lw_want_text(const char *what, const char *text, size_t most, int is_needed, lw_err *err);
/* Finite, or NaN where that may be. */
lw_code lw_want_real(const char *what, double value, int may_be_none, lw_err *err);
/* Years 1970 to 9999, or LW_NO_TIME where that may be. */
lw_code lw_want_time(const char *what, int64_t time_s, int may_be_none, lw_err *err);

/* ---- texts that live as long as a list ---- */

typedef struct lw_texts lw_texts;
/* A copy of column `at`; NULL for NULL. *has_failed is set where there is no memory. */
const char *lw_keep_column(lw_texts **texts, sqlite3_stmt *stmt, int at, int *has_failed);
void lw_texts_free(lw_texts *texts);
/* A place for one more item of `size` bytes behind `count`, which grows; NULL: no memory. */
void *lw_grow(void **items, size_t *count, size_t size);
lw_code lw_no_memory(lw_err *err);

/* The folders of a new book are its household's alone. One that cannot be made shows when the file is opened. */
void lw_book_make_folders(const char *path);
/* The name of a new file must last too. A file system that cannot sync a folder has the file all the same. */
void lw_book_settle_folder(const char *path);

/* ---- schema.c ---- */

enum { LW_BOOK_APPLICATION = 0x4C574259 }; /* "LWBY", in bytes 68..71 of the file */

/* Refuses foreign files and newer ones; an empty one passes. */
lw_code lw_schema_want_ours(lw_book *book, lw_err *err);
/* The connection's index of spots gives the nearest first (book/spots.h); SQLite's code. */
int lw_spots_know_nearness(sqlite3 *db);

/* Makes the tables of an empty file and brings an older one up to LW_BOOK_SCHEMA; refuses foreign and newer ones. */
lw_code lw_schema_settle(lw_book *book, lw_err *err);
/* Without writing: an older one is refused too. */
lw_code lw_schema_look(lw_book *book, lw_err *err);

#endif
