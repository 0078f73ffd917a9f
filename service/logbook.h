/* service/logbook.h: a line of readings or events into the book, and out of it again: what the command line and the page do.
 *
 * Log       lw_logbook_log: words as a shell parts them, read by service/log.h (readings, events) or, where the first is
 *           "signal", by service/signal_log.h; into the current stay, all of the line or nothing.
 * Undo      lw_logbook_undo: what a line brought, by the id it was given, or the last of a device; all that was typed in
 *           that line. It stays in the book, marked so.
 * Time      `at` as typed by the clock of the place, or at_s as a device has it; neither: now.
 * Results   lw_log_answer: a sentence for each thing that was understood, and the moment it is of.
 * Errors    one sentence: those of service/household.h, service/log.h, book/entries.h; LW_E_RANGE a moment before the stay or
 *           to come. */
#ifndef LW_SERVICE_LOGBOOK_H
#define LW_SERVICE_LOGBOOK_H

#include "book/book.h"
#include "book/id.h"
#include "service/log.h"
#include "service/words.h"

enum { LW_LOGBOOK_SAID = 3 * LW_LOG_RECORDS };

typedef struct lw_log_line {
    const char *const *word;
    int count;
    const char *at; /* "7:30"; an error names it as the option --at does; NULL: at_s */
    int64_t at_s;   /* 0: now */
    int64_t now_s;
    int64_t here_s;     /* which stay goes on: 0: now; of a doubted clock another moment */
    int64_t device_s;   /* the device's clock when it sent; 0: now_s */
    const char *device; /* never NULL */
    const lw_id *id;    /* of the line, made by the device; NULL: made here */
    int is_clock_doubted;
    int is_12_hour;
} lw_log_line;

typedef struct lw_log_answer {
    char said[LW_LOGBOOK_SAID][LW_LOG_SAID];
    int count;
    char when[LW_WHEN];
    int is_twice; /* the clock shows `at` twice; the first was taken */
} lw_log_answer;

LW_MUST_USE lw_code lw_logbook_log(lw_book *book, const lw_log_line *line, lw_log_answer *answer, lw_err *err);

typedef struct lw_log_undo {
    const lw_id *which; /* of a line; NULL: the last of the device */
    const char *device; /* never NULL */
    int64_t now_s;
    int is_12_hour;
} lw_log_undo;

LW_MUST_USE lw_code lw_logbook_undo(lw_book *book, const lw_log_undo *undo, lw_log_answer *answer, lw_err *err);

#endif
