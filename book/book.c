#include "book/book.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "book/book_internal.h"
#include "text/say.h"

/* ---- where ---- */

lw_code lw_book_default_path(char *buf, size_t n, lw_err *err)
{
    const char *data = getenv("XDG_DATA_HOME"), *home = getenv("HOME");
    int length = -1;
    if (data && data[0] == '/') /* the XDG base directory specification passes over others */
        length = snprintf(buf, n, "%s/leeway/book.sqlite", data);
    else if (home && home[0] == '/')
        length = snprintf(buf, n, "%s/.local/share/leeway/book.sqlite", home);
    if (length < 0)
        return lw_fail(err, LW_E_MISSING,
                       "neither XDG_DATA_HOME nor HOME says where the book is; name it: --book FILE");
    return (size_t)length < n ? LW_OK
                              : lw_fail(err, LW_E_FULL, "the path of the book is too long; name it: --book FILE");
}

static lw_code refuse_path(const char *path, lw_code code, const char *what, lw_err *err)
{
    lw_fail(err, code, "%s", what);
    return lw_err_at(err, path, 0, NULL);
}

void lw_book_make_folders(const char *path)
{
    char part[LW_BOOK_PATH_BYTES];
    snprintf(part, sizeof part, "%s", path);
    for (char *at = part + 1; (at = strchr(at, '/')) != NULL; *at++ = '/') {
        *at = '\0';
        (void)mkdir(part, 0700);
    }
}

/* The log beside the file is given the same rights by SQLite. */
static void make_private(const char *path)
{
    const int fd = open(path, O_CREAT | O_EXCL | O_WRONLY, 0600);
    if (fd >= 0)
        close(fd);
}

void lw_book_settle_folder(const char *path)
{
    char part[LW_BOOK_PATH_BYTES];
    snprintf(part, sizeof part, "%s", path);
    char *slash = strrchr(part, '/');
    if (slash)
        slash[slash == part] = '\0';
    const int fd = open(slash ? part : ".", O_RDONLY);
    if (fd < 0)
        return;
    (void)fsync(fd);
    close(fd);
}

/* ---- opening ---- */

static int has_log(const char *path)
{
    char log[LW_BOOK_PATH_BYTES + 8];
    struct stat there;
    snprintf(log, sizeof log, "%s-wal", path);
    return stat(log, &there) == 0 && there.st_size > 0;
}

/* "file:" and the path with the letters that mean something in a URI written as %xx. */
static void make_uri(char *uri, const char *path, const char *options)
{
    uri += sprintf(uri, "file:");
    for (; *path; path++)
        uri += sprintf(uri, strchr("%?#", *path) ? "%%%02X" : "%c", (unsigned char)*path);
    sprintf(uri, "%s", options);
}

static int connect(lw_book *book, int flags, const char *options)
{
    char uri[3 * LW_BOOK_PATH_BYTES + 32];
    make_uri(uri, book->path, options);
    int rc =
        sqlite3_open_v2(uri, &book->db, flags | SQLITE_OPEN_URI | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_EXRESCODE, NULL);
    if (!rc)
        rc = sqlite3_busy_timeout(book->db, LW_BOOK_WAIT_MS);
    return rc ? rc : lw_spots_know_nearness(book->db);
}

static void disconnect(lw_book *book)
{
    sqlite3_close(book->db);
    book->db = NULL;
}

/* Reads from the file itself: what cannot be read is found here, not at the first question. */
static int look(lw_book *book)
{
    return sqlite3_exec(book->db,
                        "PRAGMA trusted_schema = OFF; PRAGMA foreign_keys = ON; SELECT count(*) FROM sqlite_schema",
                        NULL, NULL, NULL);
}

/* Turning the log on asks for the file alone, without the patience of the busy timeout where another does the same. Extra
 * synchronisation is that of FULL, and makes the removal of the journal before it last: a journal that came back after a power
 * cut would undo the whole book. */
static int turn_log_on(lw_book *book)
{
    int rc = sqlite3_exec(book->db, "PRAGMA synchronous = EXTRA", NULL, NULL, NULL);
    int waited_ms = 0;
    if (rc)
        return rc;
    while ((rc = sqlite3_exec(book->db, "PRAGMA journal_mode = WAL", NULL, NULL, NULL) & 0xFF) == SQLITE_BUSY &&
           waited_ms < LW_BOOK_WAIT_MS)
        waited_ms += sqlite3_sleep(5);
    return rc;
}

/* A disk that is full or cannot be written to, and not a file that is none of ours. */
static int is_write_refused(int rc)
{
    rc &= 0xFF;
    return rc == SQLITE_READONLY || rc == SQLITE_CANTOPEN || rc == SQLITE_FULL || rc == SQLITE_IOERR ||
           rc == SQLITE_PERM;
}

static void say_why(lw_book *book, int rc)
{
    rc &= 0xFF;
    snprintf(book->why, sizeof book->why, "%s",
             rc == SQLITE_FULL                            ? "the disk is full"
             : rc == SQLITE_READONLY || rc == SQLITE_OK   ? "the file or its disk is read-only"
             : rc == SQLITE_CANTOPEN || rc == SQLITE_PERM ? "no file can be made beside it"
                                                          : "the disk fails when written to");
}

/* The ways to read without writing, from the one that sees most: with the others' log; with the log but without the memory
 * shared with others, which is a file that a full disk has no room for; the file alone, where there is no log. */
static int connect_to_read(lw_book *book)
{
    static const struct {
        int flags;
        const char *options, *before;
        int needs_no_log;
    } WAY[] = {
        {SQLITE_OPEN_READONLY, "", "PRAGMA query_only = ON", 0},
        {SQLITE_OPEN_READONLY, "?immutable=1", "PRAGMA query_only = ON", 1},
        {SQLITE_OPEN_READWRITE, "", "PRAGMA locking_mode = EXCLUSIVE; PRAGMA query_only = ON", 0},
    };
    int rc = SQLITE_CANTOPEN;
    for (size_t i = 0; i < sizeof WAY / sizeof WAY[0]; i++) {
        if (WAY[i].needs_no_log && has_log(book->path))
            continue;
        rc = connect(book, WAY[i].flags, WAY[i].options);
        rc = rc ? rc : sqlite3_db_config(book->db, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, NULL);
        rc = rc ? rc : sqlite3_exec(book->db, WAY[i].before, NULL, NULL, NULL);
        rc = rc ? rc : look(book);
        if (!is_write_refused(rc))
            break;
        if (i + 1 < sizeof WAY / sizeof WAY[0])
            disconnect(book);
    }
    book->mode = LW_BOOK_READ_ONLY;
    return rc;
}

static int connect_to_write(lw_book *book, int may_create)
{
    int rc = connect(book, SQLITE_OPEN_READWRITE | (may_create ? SQLITE_OPEN_CREATE : 0), "");
    rc = rc ? rc : look(book);
    /* The system gives a file without rights to write for reading only. */
    return rc ? rc : sqlite3_db_readonly(book->db, "main") ? SQLITE_READONLY : SQLITE_OK;
}

static lw_code settle(lw_book *book, int is_new, lw_err *err)
{
    /* Foreign and newer files are refused before anything is changed in them. */
    lw_code code = lw_schema_want_ours(book, err);
    if (code)
        return code;
    const int rc = turn_log_on(book);
    if (rc)
        return lw_book_refuse(book, rc, err);
    code = lw_schema_settle(book, err);
    if (!code && is_new)
        lw_book_settle_folder(book->path);
    return code;
}

static lw_code open_to_read(lw_book *book, int first_rc, lw_err *err)
{
    say_why(book, first_rc);
    disconnect(book);
    const int rc = connect_to_read(book);
    return rc ? lw_book_refuse(book, rc, err) : lw_schema_look(book, err);
}

static lw_code open_as(lw_book *book, lw_book_mode mode, int is_new, lw_err *err)
{
    if (mode == LW_BOOK_READ_ONLY) {
        const lw_code code = open_to_read(book, SQLITE_OK, err);
        snprintf(book->why, sizeof book->why, "it was opened for reading");
        return code;
    }
    const int rc = connect_to_write(book, mode == LW_BOOK_CREATE);
    if (!is_new && is_write_refused(rc))
        return open_to_read(book, rc, err);
    if (rc)
        return lw_book_refuse(book, rc, err);
    lw_err refused = {0};
    const lw_code code = settle(book, is_new, &refused);
    if (code == LW_E_IO && !is_new) { /* its disk may have filled since: what is there can be read */
        const int why = sqlite3_errcode(book->db);
        if (is_write_refused(why)) {
            lw_err unread = {0};
            if (!open_to_read(book, why, &unread))
                return LW_OK;
        }
    }
    if (code)
        *err = refused;
    return code;
}

static lw_code want_path(const char *path, lw_book_mode mode, int *is_new, lw_err *err)
{
    struct stat there;
    if (strlen(path) >= LW_BOOK_PATH_BYTES || !*path)
        return refuse_path(*path ? "the book" : "--book", LW_E_SYNTAX, "a path of 1 to 4095 bytes is needed", err);
    *is_new = stat(path, &there) != 0;
    if (*is_new && mode != LW_BOOK_CREATE)
        return refuse_path(path, LW_E_MISSING,
                           "there is no book here yet; leeway begin FILE makes one, --book FILE names another", err);
    if (!*is_new && !S_ISREG(there.st_mode))
        return refuse_path(path, LW_E_SYNTAX, "is no plain file, so no book of Leeway; name another file", err);
    return LW_OK;
}

lw_code lw_book_open(lw_book **book, const char *path, lw_book_mode mode, lw_err *err)
{
    int is_new = 0;
    lw_code code = want_path(path, mode, &is_new, err);
    if (code)
        return code;
    lw_book *made = calloc(1, sizeof *made);
    if (!made)
        return lw_no_memory(err);
    snprintf(made->path, sizeof made->path, "%s", path);
    made->mode = LW_BOOK_WRITE;
    if (is_new) {
        lw_book_make_folders(path);
        make_private(path);
    }
    code = open_as(made, mode, is_new, err);
    if (code)
        lw_book_close(made);
    else
        *book = made;
    return code;
}

void lw_book_close(lw_book *book)
{
    if (book)
        disconnect(book);
    free(book);
}

/* ---- what is open ---- */

lw_book_mode lw_book_mode_of(const lw_book *book)
{
    return book->mode;
}

const char *lw_book_why_read_only(const lw_book *book)
{
    return book->why;
}

const char *lw_book_path(const lw_book *book)
{
    return book->path;
}

lw_code lw_book_info_of(lw_book *book, lw_book_info *info, lw_err *err)
{
    lw_book_info made = {.mode = book->mode};
    int64_t schema = 0;
    const struct {
        const char *sql;
        int64_t *to;
    } QUESTION[] = {
        {"PRAGMA user_version", &schema},
        {"SELECT page_count * page_size FROM pragma_page_count, pragma_page_size", &made.bytes},
        {"SELECT count(*) FROM rig", &made.rigs},
        {"SELECT count(*) FROM crew", &made.crews},
        {"SELECT count(*) FROM place", &made.places},
        {"SELECT count(*) FROM stay", &made.stays},
        {"SELECT count(*) FROM setting", &made.settings},
        {"SELECT count(*) FROM entry", &made.entries},
        {"SELECT count(undoes) FROM entry", &made.undone},
        {"SELECT count(*) FROM past_weather", &made.weather_hours},
        {"SELECT count(*) FROM forecast", &made.forecasts},
        {"SELECT count(*) FROM learned", &made.learned},
        {"SELECT count(*) FROM spot", &made.spots},
        {"SELECT min(stated_s) FROM entry", &made.first_s},
        {"SELECT max(stated_s) FROM entry", &made.last_s},
    };
    lw_code code = LW_OK;
    for (size_t i = 0; i < sizeof QUESTION / sizeof QUESTION[0] && !code; i++)
        code = lw_book_count(book, QUESTION[i].sql, QUESTION[i].to, err);
    if (code)
        return code;
    made.schema = (int)schema;
    *info = made;
    return LW_OK;
}

/* ---- settings ---- */

lw_code lw_book_set(lw_book *book, const char *key, const char *value, lw_err *err)
{
    lw_code code = lw_want_text("the key", key, LW_BOOK_WORD_BYTES, 1, err);
    code = code ? code : lw_want_text("the value", value, LW_BOOK_TEXT_BYTES, 0, err);
    code = code ? code : lw_book_begin(book, err);
    if (code)
        return code;
    sqlite3_stmt *stmt = NULL;
    code =
        lw_book_prepare(book,
                        value ? "INSERT INTO setting VALUES (?1, ?2) ON CONFLICT DO UPDATE SET value = excluded.value"
                              : "DELETE FROM setting WHERE key = ?1",
                        &stmt, err);
    if (!code) {
        lw_bind_text(stmt, 1, key);
        if (value)
            lw_bind_text(stmt, 2, value);
        code = lw_book_finish(book, stmt, err);
    }
    sqlite3_finalize(stmt);
    return lw_book_end(book, code, err);
}

lw_code lw_book_get(lw_book *book, const char *key, char *buf, size_t n, int *is_there, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    int has_row = 0;
    lw_code code = lw_book_prepare(book, "SELECT value FROM setting WHERE key = ?1", &stmt, err);
    if (!code) {
        lw_bind_text(stmt, 1, key);
        code = lw_book_step(book, stmt, &has_row, err);
    }
    const char *value = !code && has_row ? (const char *)sqlite3_column_text(stmt, 0) : "";
    if (!code && !value)
        code = lw_no_memory(err);
    if (!code && value && strlen(value) >= n)
        code = lw_fail(err, LW_E_FULL, "the setting %s is too long to be used", key);
    if (!code && value) {
        snprintf(buf, n, "%s", value);
        *is_there = has_row;
    }
    sqlite3_finalize(stmt);
    return code;
}
