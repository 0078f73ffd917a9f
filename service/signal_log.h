/* service/signal_log.h: signal by thumb: what a phone or router shows and what it carries, kept with its hour.
 *
 * Reads     words NAME=VALUE: carrier (must be said), device, antenna; bars 0..5, dbm (-98), down and up ("12 Mbit/s"),
 *           call (yes, no); ? is "I do not know". At least one of bars, dbm, down, up, call.
 * Tables    lw_signal_table: by carrier, device and antenna, by Monday to Friday or the weekend, by civil hour: medians, and how
 *           often a call was possible, so that a busy Saturday evening is not a Tuesday morning.
 * Errors    one sentence. All or nothing.
 * Limits    bars are each maker's own and become no dBm. */
#ifndef LW_SERVICE_SIGNAL_LOG_H
#define LW_SERVICE_SIGNAL_LOG_H

#include "book/entries.h"
#include "core/base/civil.h"
#include "core/base/words.h"

enum { LW_SIGNAL_TARGET = 3 * LW_NAME + 3, LW_SIGNAL_DETAIL = 200, LW_SIGNAL_SAID = 240 };

typedef struct lw_signal {
    char carrier[LW_NAME], device[LW_NAME], antenna[LW_NAME];
    double bars, dbm, down_mbit, up_mbit; /* NaN: not said */
    int call;                             /* 1 yes, 0 no, -1 not said */
} lw_signal;

LW_MUST_USE lw_code lw_signal_read(const char *const *words, int count, lw_signal *signal, lw_err *err);
char *lw_signal_say(const lw_signal *signal, char *buf, size_t n);

/* The entry points into target and detail. */
void lw_entry_of_signal(const lw_signal *signal, char target[LW_SIGNAL_TARGET], char detail[LW_SIGNAL_DETAIL],
                        lw_entry *entry);
void lw_signal_of_entry(const lw_entry *entry, lw_signal *signal);

typedef struct lw_signal_row {
    char what[LW_SIGNAL_TARGET]; /* "Anycell, phone" */
    int is_weekend, hour, readings;
    double bars, dbm, down_mbit, up_mbit; /* medians; NaN: never said */
    int calls, calls_asked;
} lw_signal_row;

/* Rows by what, weekend, hour; the caller frees *rows. Entries of other kinds are passed over. */
LW_MUST_USE lw_code lw_signal_table(const lw_zone *zone, const lw_entries *entries, lw_signal_row **rows, size_t *count,
                                    lw_err *err);

#endif
