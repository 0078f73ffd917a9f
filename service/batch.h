/* service/batch.h: many scenarios as lines of JSON, each answered by one line of JSON, in order, on all cores.
 *
 * Reads     a line is one JSON object: a scenario (docs/use/scenario.md), or {"scenario": {...}} with, as wished, "id": any
 *           JSON, which comes back byte for byte, and "change": ["rig.solar=400 W", ...], applied in order. Names of files in
 *           it are relative to the working directory.
 * Results   a line a line, the empty one too: {"schema": "leeway.batch/1", "line": .., "id": .., "outlook": {...}}
 *           or .. "error": {"code": .., "where": .., "text": ..}} (docs/batch.schema.json); the outlook is that of
 *           docs/outlook.schema.json. The bytes do not depend on the number of threads.
 * Errors    of a line: in its answer, and the rest go on. Of the whole: LW_E_IO where the system refuses to read or write,
 *           LW_E_FULL without memory or threads to begin with. A receiver that has gone is none.
 * Order     answers are handed out in the order of the lines, each as soon as those before it are out: who writes one line
 *           and waits gets its answer.
 * Limits    LW_BATCH_LINE_BYTES a line, LW_BATCH_CHANGES changes. Memory does not grow with the input: at most
 *           LW_BATCH_AHEAD lines a thread are under way, and no new one is read while they hold over LW_BATCH_HELD_BYTES. */
#ifndef LW_SERVICE_BATCH_H
#define LW_SERVICE_BATCH_H

#include <stddef.h>
#include <stdint.h>

#include "core/base/err.h"
#include "exchange/csv.h"
#include "service/sink.h"

enum {
    LW_BATCH_THREADS = 64,
    LW_BATCH_AHEAD = 8,
    LW_BATCH_CHANGES = 64,
    LW_BATCH_LINE_BYTES = 1 << 20,
    LW_BATCH_HELD_BYTES = 32 << 20,
};

typedef struct lw_batch_wish {
    int draws; /* 1 .. LW_DRAWS_MOST of each line */
    uint64_t seed;
    int wants_assumptions;
    const char *version; /* of the program; NULL: "unknown" */
    int threads;         /* 1 .. LW_BATCH_THREADS; 0: one a core */
    int (*is_stopped)(
        void *with); /* asked from all threads; NULL: never. Then no more lines are read, and those under way
                                      are given up from the first unfinished one on */
    int64_t (*now_s)(void *with); /* when a line is read: its arrival where it names none; NULL: then that is refused */
    void *with;
} lw_batch_wish;

typedef struct lw_batch_line {
    int64_t number;    /* from 1 */
    const char *bytes; /* without the line feed; NULL: longer than LW_BATCH_LINE_BYTES */
    size_t size;
    int64_t now_s; /* 0: not known */
} lw_batch_line;

/* The answer to one line, with a line feed at its end: the caller's (free). NULL: no memory for it. */
char *lw_batch_answer(const lw_batch_line *line, const lw_batch_wish *wish);

/* Where lines come from and answers go to. `read` gives what there is as soon as there is any, on the calling thread;
 * `write` is given a whole line, on any thread, one at a time. */
typedef struct lw_batch_ends {
    lw_read_fn *read;
    void *from;
    lw_write_fn *write;
    void *to;
} lw_batch_ends;

/* Until the lines end, the receiver has gone, or it is stopped. */
LW_MUST_USE lw_code lw_batch_run(const lw_batch_wish *wish, const lw_batch_ends *ends, lw_err *err);

#endif
