/* service/entries_apply.h: records of a stay as entries of the book, and entries as what the learning and the outlook take.
 *
 * Entry      lw_entry_of_record: kind, target ("fresh/main", "battery", "generator"), low and high in the vessel's unit, amount,
 *            what was said; a detail in YAML for the rest: gauge, chance of a lie, at rest, with whom. The book wants both
 *            ends of a reading: an open one is empty or full there, and the detail says that it is open.
 * Record     lw_record_of_entry: back again; 0 where this rig has no such thing any more, or the entry is of another kind.
 * Applies    lw_entries_apply: levels as lw_reading; battery volts stay volts, with whether it was at rest (what charge they
 *            mean is core/learn/rest.h's to say); engine hours apart; fills, dumps and gifts as lw_transfer, each with
 *            its uncertainty, a metered fill also as the room that there was a second before; when habits were said to have changed last.
 * Errors     LW_E_FULL more transfers than LW_TRANSFERS, or no memory.
 * Source     uncertainty: brim and dumped tank 2 % of the capacity, a stated amount 5 % of itself: from memory. */
#ifndef LW_SERVICE_ENTRIES_APPLY_H
#define LW_SERVICE_ENTRIES_APPLY_H

#include "book/entries.h"
#include "core/learn/gauge.h"
#include "service/log.h"

enum { LW_DETAIL = 320, LW_TARGET = 2 * LW_NAME + 2 };

/* What an entry points into. */
typedef struct lw_entry_room {
    char target[LW_TARGET], detail[LW_DETAIL];
} lw_entry_room;

/* people: how many are there from then on, of a PEOPLE record. line: what all entries of one typed line have in common, so that
 * they are taken back together; NULL: it stands alone. The entry points into record and room. */
void lw_entry_of_record(const lw_loaded *rig, const lw_log_record *record, int people, const char *line,
                        lw_entry_room *room, lw_entry *entry);
/* The line of an entry; "" where it stands alone. Gives buf. */
char *lw_entry_line(const lw_entry *entry, char *buf, size_t n);
/* Where camp was moved to; "" of another entry. Gives buf. */
char *lw_entry_place(const lw_entry *entry, char *buf, size_t n);
int lw_record_of_entry(const lw_loaded *rig, const lw_entry *entry, lw_log_record *record);

typedef struct lw_meter_reading { /* battery volts, engine hours */
    int64_t at_s;
    double low, high, lie_frac;
    int is_at_rest;
} lw_meter_reading;

typedef struct lw_applied {
    lw_reading *reading; /* levels, by time */
    int reading_count;
    lw_meter_reading *volts, *hours;
    int volts_count, hours_count;
    lw_transfer transfer[LW_TRANSFERS];
    double transfer_sd[LW_TRANSFERS]; /* in the vessel's unit */
    int transfer_count;
    int64_t habits_changed_s; /* 0: never */
    int passed_over;          /* of things that the rig has no more, or under a clock that is doubted */
} lw_applied;

/* Whether what is in each vessel now is fit to drink: as the scenario says of the arrival; not known any more once water came
 * from a neighbour; fit once it was sanitised. Entries by time, the oldest first. */
void lw_entries_potable(const lw_loaded *rig, const lw_entries *entries, lw_potable potable[LW_VESSELS]);

/* Entries by time, the oldest first. */
LW_MUST_USE lw_code lw_entries_apply(const lw_loaded *rig, const lw_entries *entries, lw_applied *applied, lw_err *err);
/* A fill, dump or gift of a vessel as a transfer; *sd: how uncertain, in the vessel's unit. */
void lw_transfer_of_record(const lw_loaded *rig, const lw_log_record *record, lw_transfer *transfer, double *sd);
void lw_applied_clear(lw_applied *applied); /* twice is fine, and so are zeros */

#endif
