#include "book/entries.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/book_internal.h"
#include "text/say.h"

static const char *const WORD[] = {
#define WORD_OF(id, word) word,
    LW_ENTRY_KINDS(WORD_OF)
#undef WORD_OF
};

const char *lw_entry_word(lw_entry_kind kind)
{
    return WORD[kind];
}

int lw_entry_kind_of(const char *word, lw_entry_kind *kind)
{
    for (int i = 0; i < LW_ENTRY_KIND_COUNT; i++)
        if (strcmp(WORD[i], word) == 0) {
            *kind = (lw_entry_kind)i;
            return 1;
        }
    return 0;
}

void lw_entries_clear(lw_entries *entries)
{
    free(entries->entry);
    lw_texts_free(entries->texts);
    *entries = (lw_entries){0};
}

/* ---- appending ---- */

static lw_code want_texts(const lw_entry *e, lw_err *err)
{
    const struct {
        const char *what, *text;
        size_t most;
    } TEXT[] = {
        {"the target", e->target, LW_BOOK_WORD_BYTES},  {"the unit", e->unit, LW_BOOK_WORD_BYTES},
        {"what was said", e->said, LW_BOOK_TEXT_BYTES}, {"the note", e->note, LW_BOOK_TEXT_BYTES},
        {"the detail", e->detail, LW_BOOK_TEXT_BYTES},
    };
    lw_code code = lw_want_text("the device", e->device, LW_BOOK_WORD_BYTES, 1, err);
    for (size_t i = 0; i < sizeof TEXT / sizeof TEXT[0] && !code; i++)
        code = lw_want_text(TEXT[i].what, TEXT[i].text, TEXT[i].most, 0, err);
    return code;
}

static lw_code want_entry(const lw_entry *e, lw_err *err)
{
    lw_code code = want_texts(e, err);
    code = code ? code : lw_want_time("the stated time", e->stated_s, 0, err);
    code = code ? code : lw_want_time("the device's time", e->device_s, 0, err);
    code = code ? code : lw_want_time("the time of arrival", e->server_s, 0, err);
    code = code ? code : lw_want_real("low", e->low, 1, err);
    code = code ? code : lw_want_real("high", e->high, 1, err);
    code = code ? code : lw_want_real("amount", e->amount, 1, err);
    if (code)
        return code;
    if ((unsigned)e->kind >= LW_ENTRY_KIND_COUNT)
        return lw_fail(err, LW_E_RANGE, "an entry of kind %d; kinds go up to %d", (int)e->kind,
                       LW_ENTRY_KIND_COUNT - 1);
    if ((e->low == e->low) != (e->high == e->high) || e->low > e->high)
        return lw_fail(err, LW_E_RANGE, "a reading is an interval: both ends stated, the lower one first");
    if ((e->kind == LW_ENTRY_UNDO) == lw_id_is_none(&e->undoes))
        return lw_fail(err, LW_E_MISSING, "an undo names the entry that it undoes, and nothing else names one");
    return LW_OK;
}

/* The first answer of an id that is there already. */
static lw_code find_first(lw_book *book, sqlite3_stmt *find, lw_entry *e, lw_err *err)
{
    int has_row = 0;
    sqlite3_reset(find);
    lw_bind_id(find, 1, &e->id);
    const lw_code code = lw_book_step(book, find, &has_row, err);
    if (!code && has_row) {
        e->seq = sqlite3_column_int64(find, 0);
        e->server_s = sqlite3_column_int64(find, 1);
        e->is_repeat = 1;
    }
    sqlite3_reset(find);
    return code;
}

/* What an undo names must be there, be no undo and not be undone. */
static lw_code want_undoable(lw_book *book, const lw_id *id, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    int has_row = 0;
    lw_code code = lw_book_prepare(book,
                                   "SELECT kind = 'undo', EXISTS (SELECT 1 FROM entry u WHERE u.undoes = e.id)"
                                   " FROM entry e WHERE id = ?1",
                                   &stmt, err);
    if (!code) {
        lw_bind_id(stmt, 1, id);
        code = lw_book_step(book, stmt, &has_row, err);
    }
    char text[LW_ID_TEXT];
    if (!code && !has_row)
        code = lw_fail(err, LW_E_MISSING, "there is no entry %s to undo", lw_id_print(text, sizeof text, id));
    else if (!code && sqlite3_column_int(stmt, 0))
        code = lw_fail(err, LW_E_CONFLICT, "an undo is not undone; enter the reading again");
    else if (!code && sqlite3_column_int(stmt, 1))
        code = lw_fail(err, LW_E_CONFLICT, "this entry is undone already");
    sqlite3_finalize(stmt);
    return code;
}

static lw_code want_stay(lw_book *book, int64_t stay, lw_err *err)
{
    char sql[80];
    int64_t there = 0;
    snprintf(sql, sizeof sql, "SELECT count(*) FROM stay WHERE id = %lld", (long long)stay);
    const lw_code code = lw_book_count(book, sql, &there, err);
    return code || there ? code : lw_fail(err, LW_E_MISSING, "there is no stay %lld in the book", (long long)stay);
}

static lw_code insert(lw_book *book, sqlite3_stmt *stmt, lw_entry *e, lw_err *err)
{
    lw_code code = e->kind == LW_ENTRY_UNDO ? want_undoable(book, &e->undoes, err) : LW_OK;
    code = code || !e->stay ? code : want_stay(book, e->stay, err);
    if (code)
        return code;
    sqlite3_reset(stmt);
    sqlite3_clear_bindings(stmt);
    lw_bind_id(stmt, 1, &e->id);
    lw_bind_text(stmt, 2, e->device);
    lw_bind_ref(stmt, 3, e->stay);
    lw_bind_time(stmt, 4, e->stated_s);
    lw_bind_time(stmt, 5, e->device_s);
    lw_bind_time(stmt, 6, e->server_s);
    lw_bind_text(stmt, 7, WORD[e->kind]);
    lw_bind_text(stmt, 8, e->target);
    lw_bind_real(stmt, 9, e->low);
    lw_bind_real(stmt, 10, e->high);
    lw_bind_text(stmt, 11, e->unit);
    lw_bind_real(stmt, 12, e->amount);
    lw_bind_text(stmt, 13, e->said);
    lw_bind_text(stmt, 14, e->note);
    lw_bind_id(stmt, 15, &e->undoes);
    sqlite3_bind_int(stmt, 16, e->is_clock_doubted != 0);
    lw_bind_text(stmt, 17, e->detail);
    code = lw_book_finish(book, stmt, err);
    if (!code)
        e->seq = sqlite3_last_insert_rowid(book->db);
    return code;
}

static lw_code append_all(lw_book *book, lw_entry *entries, size_t count, lw_err *err)
{
    sqlite3_stmt *find = NULL, *add = NULL;
    lw_code code = lw_book_prepare(book, "SELECT seq, server_s FROM entry WHERE id = ?1", &find, err);
    code = code
               ? code
               : lw_book_prepare(book,
                                 "INSERT INTO entry (id, device, stay, stated_s, device_s, server_s, kind, target, low,"
                                 " high, unit, amount, said, note, undoes, is_clock_doubted, detail)"
                                 " VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17)",
                                 &add, err);
    for (size_t i = 0; i < count && !code; i++) {
        entries[i].is_repeat = 0;
        code = find_first(book, find, &entries[i], err);
        if (!code && !entries[i].is_repeat)
            code = insert(book, add, &entries[i], err);
    }
    sqlite3_finalize(find);
    sqlite3_finalize(add);
    return code;
}

lw_code lw_book_append(lw_book *book, lw_entry *entries, size_t count, lw_err *err)
{
    lw_code code = LW_OK;
    for (size_t i = 0; i < count && !code; i++) {
        code = want_entry(&entries[i], err);
        if (!code && lw_id_is_none(&entries[i].id))
            code = lw_id_make(&entries[i].id, err);
    }
    code = code ? code : lw_book_begin(book, err);
    if (code)
        return code;
    code = append_all(book, entries, count, err);
    return lw_book_end(book, code, err);
}

/* ---- reading ---- */

/* As a subquery per row, so that an index on `undoes` answers it. */
#define IS_UNDONE "EXISTS (SELECT 1 FROM entry u WHERE u.undoes = e.id)"
#define COLUMNS                                                                                                        \
    "e.id, e.seq, e.stay, e.stated_s, e.device_s, e.server_s, e.kind, e.device, e.target, e.low, e.high, e.amount,"    \
    " e.unit, e.said, e.note, e.detail, e.undoes, e.is_clock_doubted, " IS_UNDONE

static lw_code take_row(sqlite3_stmt *stmt, lw_entries *to, lw_err *err)
{
    int has_failed = 0;
    lw_entry *e = lw_grow((void **)&to->entry, &to->count, sizeof *e);
    if (!e)
        return lw_no_memory(err);
    lw_column_id(stmt, 0, &e->id);
    e->seq = sqlite3_column_int64(stmt, 1);
    e->stay = sqlite3_column_int64(stmt, 2); /* 0 for NULL */
    e->stated_s = sqlite3_column_int64(stmt, 3);
    e->device_s = sqlite3_column_int64(stmt, 4);
    e->server_s = sqlite3_column_int64(stmt, 5);
    const char *word = (const char *)sqlite3_column_text(stmt, 6);
    if (!word)
        return lw_no_memory(err);
    if (!lw_entry_kind_of(word, &e->kind))
        return lw_fail(err, LW_E_SYNTAX, "holds an entry of kind %s, which this Leeway does not know; update it",
                       lw_quoted(word, strlen(word)).text);
    e->device = lw_keep_column(&to->texts, stmt, 7, &has_failed);
    e->target = lw_keep_column(&to->texts, stmt, 8, &has_failed);
    e->low = lw_column_real(stmt, 9);
    e->high = lw_column_real(stmt, 10);
    e->amount = lw_column_real(stmt, 11);
    e->unit = lw_keep_column(&to->texts, stmt, 12, &has_failed);
    e->said = lw_keep_column(&to->texts, stmt, 13, &has_failed);
    e->note = lw_keep_column(&to->texts, stmt, 14, &has_failed);
    e->detail = lw_keep_column(&to->texts, stmt, 15, &has_failed);
    lw_column_id(stmt, 16, &e->undoes);
    e->is_clock_doubted = sqlite3_column_int(stmt, 17);
    e->is_undone = sqlite3_column_int(stmt, 18);
    return has_failed ? lw_no_memory(err) : LW_OK;
}

/* The rows of a statement that gives COLUMNS; ends it. */
static lw_code take_rows(lw_book *book, sqlite3_stmt *stmt, lw_entries *entries, lw_err *err)
{
    lw_entries made = {0};
    int has_row = 0;
    lw_code code = LW_OK;
    while (!code && !(code = lw_book_step(book, stmt, &has_row, err)) && has_row)
        code = take_row(stmt, &made, err);
    sqlite3_finalize(stmt);
    if (code)
        lw_entries_clear(&made);
    else
        *entries = made;
    return code;
}

static size_t add_kinds(char *sql, size_t used, size_t n, unsigned kinds)
{
    const char *between = " AND e.kind IN (";
    for (int i = 0; i < LW_ENTRY_KIND_COUNT; i++)
        if (kinds & 1u << i) {
            used += (size_t)snprintf(sql + used, n - used, "%s'%s'", between, WORD[i]);
            between = ", ";
        }
    return used + (size_t)snprintf(sql + used, n - used, ")");
}

lw_code lw_book_history(lw_book *book, const lw_history *which, lw_entries *entries, lw_err *err)
{
    char sql[2048];
    const int has_span = which->from_s || which->to_s;
    size_t used =
        (size_t)snprintf(sql, sizeof sql, "SELECT " COLUMNS " FROM entry e WHERE true%s%s%s%s%s%s",
                         has_span ? " AND e.stated_s >= ?1 AND e.stated_s < ?2" : "",
                         which->stay ? " AND e.stay = ?3" : "", which->target ? " AND e.target = ?4" : "",
                         which->id ? " AND e.id = ?5" : "", which->is_doubted_only ? " AND e.is_clock_doubted = 1" : "",
                         which->has_undone ? "" : " AND e.kind <> 'undo' AND NOT " IS_UNDONE);
    if (which->kinds)
        used = add_kinds(sql, used, sizeof sql, which->kinds);
    const char *way = which->is_oldest_first ? "" : " DESC";
    snprintf(sql + used, sizeof sql - used, " ORDER BY e.stated_s%s, e.seq%s LIMIT ?6", way, way);
    sqlite3_stmt *stmt = NULL;
    const lw_code code = lw_book_prepare(book, sql, &stmt, err);
    if (code)
        return code;
    if (has_span) {
        sqlite3_bind_int64(stmt, 1, which->from_s);
        sqlite3_bind_int64(stmt, 2, which->to_s);
    }
    if (which->stay)
        sqlite3_bind_int64(stmt, 3, which->stay);
    if (which->target)
        lw_bind_text(stmt, 4, which->target);
    if (which->id)
        lw_bind_id(stmt, 5, which->id);
    sqlite3_bind_int64(stmt, 6, which->limit ? (int64_t)which->limit : -1);
    return take_rows(book, stmt, entries, err);
}

/* Jumps from target to target along an index instead of reading every entry. The empty target stands before all others: an
 * entry without one has none to be newest of. */
#define NEWEST(and_stay)                                                                                               \
    "WITH RECURSIVE each (target) AS ("                                                                                \
    " SELECT min(target) FROM entry WHERE kind = ?1" and_stay " UNION ALL"                                             \
    " SELECT (SELECT min(n.target) FROM entry n WHERE n.kind = ?1" and_stay " AND n.target > each.target) FROM each"   \
    " WHERE each.target IS NOT NULL)"                                                                                  \
    " SELECT " COLUMNS " FROM each JOIN entry e ON e.seq = (SELECT i.seq FROM entry i WHERE i.kind = ?1" and_stay      \
    " AND i.target = each.target AND NOT EXISTS (SELECT 1 FROM entry u WHERE u.undoes = i.id)"                         \
    " ORDER BY i.stated_s DESC, i.seq DESC LIMIT 1)"                                                                   \
    " WHERE each.target IS NOT NULL ORDER BY each.target"

lw_code lw_book_newest(lw_book *book, lw_entry_kind kind, int64_t stay, lw_entries *entries, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    const lw_code code = lw_book_prepare(book, stay ? NEWEST(" AND stay = ?2") : NEWEST(""), &stmt, err);
    if (code)
        return code;
    lw_bind_text(stmt, 1, WORD[kind]);
    if (stay)
        sqlite3_bind_int64(stmt, 2, stay);
    return take_rows(book, stmt, entries, err);
}

lw_code lw_book_newest_time(lw_book *book, int64_t *stated_s, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    int has_row = 0;
    lw_code code = lw_book_prepare(book,
                                   "SELECT e.stated_s FROM entry e WHERE e.is_clock_doubted = 0 AND e.kind <> 'undo'"
                                   " AND NOT " IS_UNDONE " ORDER BY e.stated_s DESC, e.seq DESC LIMIT 1",
                                   &stmt, err);
    code = code ? code : lw_book_step(book, stmt, &has_row, err);
    if (!code)
        *stated_s = has_row ? sqlite3_column_int64(stmt, 0) : LW_NO_TIME;
    sqlite3_finalize(stmt);
    return code;
}

/* ---- undoing, correcting ---- */

static lw_code find_to_undo(lw_book *book, const lw_id *which, const char *device, lw_entries *found, lw_err *err)
{
    if (which)
        return lw_book_history(book, &(lw_history){.id = which, .has_undone = 1}, found, err);
    sqlite3_stmt *stmt = NULL;
    const lw_code code =
        lw_book_prepare(book,
                        "SELECT " COLUMNS " FROM entry e WHERE e.kind NOT IN ('undo', 'tick') AND NOT " IS_UNDONE
                        " AND (?1 IS NULL OR e.device = ?1 OR substr(e.device, 1, length(?1) + 1) = ?1 || ' ') ORDER "
                        "BY e.seq DESC LIMIT 1",
                        &stmt, err);
    if (code)
        return code;
    lw_bind_text(stmt, 1, device);
    return take_rows(book, stmt, found, err);
}

lw_code lw_book_undo(lw_book *book, const lw_id *which, const char *device, int64_t now_s, lw_entries *undone,
                     lw_err *err)
{
    lw_entries found = {0};
    lw_code code = lw_book_begin(book, err);
    if (code)
        return code;
    code = find_to_undo(book, which, device, &found, err);
    if (!code && found.count == 0)
        code = lw_fail(err, LW_E_MISSING, which ? "there is no such entry to undo" : "there is nothing to undo");
    if (!code && found.entry) {
        lw_entry undo = {.stay = found.entry[0].stay,
                         .stated_s = now_s,
                         .device_s = now_s,
                         .server_s = now_s,
                         .kind = LW_ENTRY_UNDO,
                         .device = device ? device : found.entry[0].device,
                         .target = found.entry[0].target,
                         .low = (double)NAN,
                         .high = (double)NAN,
                         .amount = (double)NAN,
                         .undoes = found.entry[0].id};
        code = lw_book_append(book, &undo, 1, err);
    }
    code = lw_book_end(book, code, err);
    if (!code && undone && found.entry) {
        found.entry[0].is_undone = 1;
        *undone = found;
    } else {
        lw_entries_clear(&found);
    }
    return code;
}

lw_code lw_book_correct_clock(lw_book *book, const char *device, int64_t shift_s, int64_t *corrected, lw_err *err)
{
    sqlite3_stmt *stmt = NULL;
    lw_code code = lw_book_begin(book, err);
    if (code)
        return code;
    code = lw_book_prepare(book,
                           "UPDATE entry SET stated_s = stated_s + ?2, is_clock_doubted = 0"
                           " WHERE is_clock_doubted = 1 AND device = ?1",
                           &stmt, err);
    if (!code) {
        lw_bind_text(stmt, 1, device);
        sqlite3_bind_int64(stmt, 2, shift_s);
        code = lw_book_finish(book, stmt, err);
    }
    const int64_t changes = sqlite3_changes64(book->db);
    sqlite3_finalize(stmt);
    code = lw_book_end(book, code, err);
    if (!code)
        *corrected = changes;
    return code;
}
