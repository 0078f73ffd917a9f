/* book/entries.h: what happens in time, in one list that only grows.
 *
 * Writes    lw_book_append: one or several entries, all or none. An id that is there already gives the first answer
 *           (is_repeat, with its seq and server_s) and changes nothing: a device may send again until it is answered.
 *           lw_book_undo: an entry of kind "undo" that names another; both stay in the list.
 * Reads     lw_book_history by time, stay, kind and target; lw_book_newest: the last entry of a kind for each target.
 *           Undone entries and the undos are left out unless asked for.
 * Values    SI; `unit` says which (l, kg, v, frac, h, ...; of an expense the currency). A reading is an interval low..high:
 *           equal where the gauge gives one figure. NaN: not stated.
 * Errors    as book/book.h; LW_E_RANGE for a number or a time out of bounds, LW_E_SYNTAX for a text with control characters
 *           or not in UTF-8, LW_E_FULL for one too long, LW_E_MISSING for an undo of nothing, LW_E_CONFLICT for an undo of
 *           what is undone or of an undo. */
#ifndef LW_BOOK_ENTRIES_H
#define LW_BOOK_ENTRIES_H

#include <stddef.h>
#include <stdint.h>

#include "book/book.h"
#include "book/id.h"
#include "core/base/err.h"

/* id, word in the file, what it says */
#define LW_ENTRY_KINDS(X)                                                                                              \
    X(READING, "reading") /* a gauge was looked at: target, low..high */                                               \
    X(FILLED, "filled")   /* amount into target; NaN: to the brim */                                                   \
    X(DUMPED, "dumped")   /* target emptied */                                                                         \
    X(REFUELLED, "refuelled")                                                                                          \
    X(RUBBISH_DROPPED, "rubbish_dropped")                                                                              \
    X(GIVEN, "given") /* amount of target to neighbours */                                                             \
    X(RECEIVED, "received")                                                                                            \
    X(PEOPLE, "people") /* amount: how many are there from now on; detail: who */                                      \
    X(MOVED, "moved")   /* camp moved within a stay; detail: where */                                                  \
    X(ENGINE_HOURS, "engine_hours")                                                                                    \
    X(EXPENSE, "expense")           /* amount in currency `unit`, for target */                                        \
    X(RUN, "run")                   /* a trip to dump, fill, shop; detail */                                           \
    X(SIGNAL, "signal")             /* target carrier/device/antenna; low, high in dBm; detail: rates, calls */        \
    X(HABIT_CHANGE, "habit_change") /* earlier readings of target tell less from now on */                             \
    X(SANITISED, "sanitised")       /* a tank of drinking water, and filled afresh: target */                          \
    X(TICK, "tick") /* an item of a checklist: target "leaving/gas-off", amount 1 or 0; "leaving": begun again */      \
    X(NOTE, "note")                                                                                                    \
    X(UNDO, "undo")

typedef enum lw_entry_kind {
#define LW_ENTRY_ID(id, word) LW_ENTRY_##id,
    LW_ENTRY_KINDS(LW_ENTRY_ID)
#undef LW_ENTRY_ID
        LW_ENTRY_KIND_COUNT
} lw_entry_kind;

const char *lw_entry_word(lw_entry_kind kind);               /* borrowed for ever */
int lw_entry_kind_of(const char *word, lw_entry_kind *kind); /* 0: no such kind */

/* Texts are NULL where there is none. Times are seconds since 1970 UTC. */
typedef struct lw_entry {
    lw_id id;         /* none: made by lw_book_append */
    int64_t seq;      /* result: rises in the order of arrival in this book */
    int64_t stay;     /* 0: of no stay */
    int64_t stated_s; /* when it was so, as the person says */
    int64_t device_s; /* the device's clock when it sent */
    int64_t server_s; /* the book's clock when it came */
    lw_entry_kind kind;
    const char *device; /* never NULL or empty: "cli", a phone's name */
    const char *target; /* "fresh", "grey/kitchen grey", "battery", "generator" */
    double low, high, amount;
    const char *unit;
    const char *said; /* as it was typed */
    const char *note;
    const char *detail; /* whatever more a kind has, a YAML or JSON text */
    lw_id undoes;       /* of an undo */
    int is_clock_doubted;
    int is_undone; /* result */
    int is_repeat; /* result of lw_book_append */
} lw_entry;

typedef struct lw_entries {
    lw_entry *entry;
    size_t count;
    struct lw_texts *texts; /* what the entries point into */
} lw_entries;

void lw_entries_clear(lw_entries *entries); /* twice is fine, and so are zeros */

/* Fills id, seq, server_s (that of the first, for a repeat) and is_repeat of each. */
LW_MUST_USE lw_code lw_book_append(lw_book *book, lw_entry *entries, size_t count, lw_err *err);

/* The entry named, or with `which` NULL the last that arrived and is not undone, of `device` alone where that is not NULL (and of a run of
 * it, whose name stands behind its own and a blank); a tick of a checklist is taken back by another tick and passed over here.
 * The undo takes `device` and `now_s`; *undone, if not NULL, is the entry, in a list of one. */
LW_MUST_USE lw_code lw_book_undo(lw_book *book, const lw_id *which, const char *device, int64_t now_s,
                                 lw_entries *undone, lw_err *err);

typedef struct lw_history {
    int64_t from_s, to_s; /* stated; to_s itself is out; 0, 0: all */
    int64_t stay;         /* 0: any */
    const char *target;   /* NULL: any */
    unsigned kinds;       /* bits 1u << lw_entry_kind; 0: any */
    const lw_id *id;      /* NULL: any */
    size_t limit;         /* 0: no limit */
    int is_oldest_first;  /* otherwise newest first; by stated time, then by seq */
    int has_undone;       /* undone entries and undos as well */
    int is_doubted_only;  /* by a device whose clock was doubted */
} lw_history;

LW_MUST_USE lw_code lw_book_history(lw_book *book, const lw_history *which, lw_entries *entries, lw_err *err);

/* Of each target, in the order of their names. stay 0: of any. */
LW_MUST_USE lw_code lw_book_newest(lw_book *book, lw_entry_kind kind, int64_t stay, lw_entries *entries, lw_err *err);

/* The latest stated time of what is neither undone nor of a doubted clock; LW_NO_TIME: there is nothing. */
LW_MUST_USE lw_code lw_book_newest_time(lw_book *book, int64_t *stated_s, lw_err *err);

/* Moves the stated times of all doubted entries of a device by shift_s and ends their doubt; device_s stays as it was. */
LW_MUST_USE lw_code lw_book_correct_clock(lw_book *book, const char *device, int64_t shift_s, int64_t *corrected,
                                          lw_err *err);

#endif
