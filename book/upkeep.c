#include "book/book.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "book/book_internal.h"
#include "text/say.h"

enum { LONG_PATH = LW_BOOK_PATH_BYTES + 16 };

/* ---- checking ---- */

static lw_code refuse_damage(const lw_book *book, const char *found, lw_err *err)
{
    const char *line = strchr(found, '\n'); /* behind a heading */
    found = line ? line + 1 : found;
    lw_fail(err, LW_E_SYNTAX, "is damaged: %.200s; leeway book restore puts a backup in its place", found);
    return lw_err_at(err, book->path, 0, NULL);
}

static lw_code check_structure(lw_book *book, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    int has_row = 0;
    lw_code code = lw_book_prepare(book, "PRAGMA integrity_check(1)", &stmt, err);
    code = code ? code : lw_book_step(book, stmt, &has_row, err);
    const char *found = !code && has_row ? (const char *)sqlite3_column_text(stmt, 0) : NULL;
    if (!code && !found)
        code = lw_no_memory(err);
    else if (!code && strcmp(found, "ok") != 0)
        code = refuse_damage(book, found, err);
    sqlite3_finalize(stmt);
    return code;
}

static lw_code check_references(lw_book *book, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    int has_row = 0;
    lw_code code = lw_book_prepare(book, "PRAGMA foreign_key_check", &stmt, err);
    code = code ? code : lw_book_step(book, stmt, &has_row, err);
    if (!code && has_row) {
        char found[120];
        snprintf(found, sizeof found, "a row of %.40s names a %.40s that is not there",
                 (const char *)sqlite3_column_text(stmt, 0), (const char *)sqlite3_column_text(stmt, 2));
        code = refuse_damage(book, found, err);
    }
    sqlite3_finalize(stmt);
    return code;
}

lw_code lw_book_check(lw_book *book, lw_err *err)
{
    const lw_code code = check_structure(book, err);
    return code ? code : check_references(book, err);
}

/* ---- copying ---- */

static lw_code refuse_copy(const char *path, const char *why, lw_err *err)
{
    lw_fail(err, LW_E_IO, "cannot be written: %s", why);
    return lw_err_at(err, path, 0, NULL);
}

/* All pages in one step: as of one moment, whoever writes meanwhile. */
static int copy_pages(sqlite3 *from, sqlite3 *to)
{
    sqlite3_backup *copy = sqlite3_backup_init(to, "main", from, "main");
    if (!copy)
        return sqlite3_errcode(to);
    int rc;
    int waited_ms = 0;
    while ((rc = sqlite3_backup_step(copy, -1) & 0xFF) == SQLITE_BUSY && waited_ms < LW_BOOK_WAIT_MS)
        waited_ms += sqlite3_sleep(20);
    const int end = sqlite3_backup_finish(copy);
    return rc == SQLITE_DONE ? end : rc;
}

/* A new file beside `path` that is a whole copy, on the disk, without a log of its own. */
static lw_code copy_beside(lw_book *book, const char *path, char *beside, lw_err *err)
{
    snprintf(beside, LONG_PATH, "%s.XXXXXX", path);
    const int fd = mkstemp(beside); /* its household's alone, as the book */
    if (fd < 0)
        return refuse_copy(path, strerror(errno), err);
    close(fd);
    sqlite3 *to = NULL;
    int rc = sqlite3_open_v2(beside, &to, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, NULL);
    rc = rc ? rc : copy_pages(book->db, to);
    /* One file is easier to keep than two; this also syncs it. */
    rc = rc ? rc : sqlite3_exec(to, "PRAGMA journal_mode = DELETE", NULL, NULL, NULL);
    sqlite3_close(to);
    if (rc) {
        unlink(beside);
        return refuse_copy(path, (rc & 0xFF) == SQLITE_FULL ? "the disk is full" : sqlite3_errstr(rc), err);
    }
    return LW_OK;
}

static lw_code take_name(const char *beside, const char *path, lw_err *err)
{
    if (rename(beside, path) != 0) {
        const int why = errno;
        unlink(beside);
        return refuse_copy(path, strerror(why), err);
    }
    lw_book_settle_folder(path);
    return LW_OK;
}

static int is_same_file(const char *a, const char *b)
{
    struct stat of_a, of_b;
    return stat(a, &of_a) == 0 && stat(b, &of_b) == 0 && of_a.st_dev == of_b.st_dev && of_a.st_ino == of_b.st_ino;
}

static lw_code want_target(const char *to, const char *from, lw_err *err)
{
    struct stat there;
    const int is_there = stat(to, &there) == 0;
    if (strlen(to) >= LW_BOOK_PATH_BYTES || !*to)
        lw_fail(err, LW_E_SYNTAX, "a path of 1 to 4095 bytes is needed");
    else if (is_there && !S_ISREG(there.st_mode))
        lw_fail(err, LW_E_SYNTAX, "is no plain file; name another");
    else if (is_same_file(to, from))
        lw_fail(err, LW_E_CONFLICT, "is the same file; name another");
    return err->code ? lw_err_at(err, *to ? to : "the copy", 0, NULL) : LW_OK;
}

lw_code lw_book_backup(lw_book *book, const char *to, lw_err *err)
{
    char beside[LONG_PATH];
    lw_code code = want_target(to, book->path, err);
    code = code ? code : copy_beside(book, to, beside, err);
    return code ? code : take_name(beside, to, err);
}

/* ---- restoring ---- */

/* A file too damaged to be opened goes out of the way with its log, whole: somebody may still read some of it. */
static lw_code move_away(const char *path, const char *before, lw_err *err)
{
    static const char *const PART[] = {"-wal", "-shm", ""};
    char from[LONG_PATH], to[LONG_PATH + 8];
    for (size_t i = 0; i < sizeof PART / sizeof PART[0]; i++) {
        snprintf(from, sizeof from, "%s%s", path, PART[i]);
        snprintf(to, sizeof to, "%s%s", before, PART[i]);
        if (rename(from, to) != 0 && errno != ENOENT)
            return refuse_copy(from, strerror(errno), err);
    }
    return LW_OK;
}

/* Into the file that is there, as one transaction: whoever else has it open sees the old book or the new one. */
static lw_code pour_into(lw_book *old, lw_book *from, const char *before, lw_err *err)
{
    lw_code code = lw_book_mode_of(old) == LW_BOOK_READ_ONLY ? lw_book_refuse(old, SQLITE_READONLY, err) : LW_OK;
    code = code ? code : lw_book_backup(old, before, err);
    if (code)
        return code;
    const int rc = copy_pages(from->db, old->db);
    return rc ? lw_book_refuse(old, rc, err) : LW_OK;
}

static lw_code put_in_place(lw_book *from, const char *path, lw_err *err)
{
    char before[LONG_PATH], beside[LONG_PATH];
    struct stat there;
    lw_book *old = NULL;
    lw_err unread = {0};
    snprintf(before, sizeof before, "%s.before", path);
    const int is_there = stat(path, &there) == 0;
    const lw_code found = is_there ? lw_book_open(&old, path, LW_BOOK_WRITE, &unread) : LW_OK;
    if (found && found != LW_E_SYNTAX) {
        *err = unread;
        return err->code;
    }
    lw_code code = LW_OK;
    if (old) {
        code = pour_into(old, from, before, err);
        lw_book_close(old);
        return code;
    }
    if (!is_there)
        lw_book_make_folders(path);
    code = copy_beside(from, path, beside, err);
    if (!code && is_there && (code = move_away(path, before, err)) != LW_OK)
        unlink(beside);
    return code ? code : take_name(beside, path, err);
}

lw_code lw_book_restore(const char *path, const char *from, lw_err *err)
{
    lw_book *source = NULL;
    lw_code code = want_target(path, from, err);
    code = code ? code : lw_book_open(&source, from, LW_BOOK_READ_ONLY, err);
    code = code ? code : lw_book_check(source, err);
    code = code ? code : put_in_place(source, path, err);
    lw_book_close(source);
    return code;
}
