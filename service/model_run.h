/* service/model_run.h: one model of the core over a table: `leeway model`.
 *
 * Reads     CSV (exchange/csv.h) with a header line; lines that begin with '#' are dropped. Columns are found by the
 *           names of the model's inputs, in any order among others. NUMBER "12.5"; TIME "2029-08-12T11:44:04Z",
 *           fractions and offsets allowed; DATE "2029-08-12"; CHOICE a word of the column's list; PROFILE a name, whose file is
 *           profiles/NAME.csv beside the table (exchange/profile.h).
 * Writes    every line as it came, with the results appended, named "out_" + name. NUMBER plain decimals, as many as
 *           the column says (6 where it says none), trailing zeros trimmed, never "-0", an exponent only from 1e15 up;
 *           TIME with a tenth of a second and Z; DATE; CHOICE its word; NaN an empty field.
 * Errors    LW_E_MISSING a column or an empty field that the model needs; LW_E_CONFLICT a column twice; LW_E_SYNTAX a
 *           bad number, time or word, or a line with another count of fields; LW_E_RANGE what the model refuses;
 *           LW_E_IO. Each is one sentence with file, line and column. Results of the lines before it are written. A
 *           receiver that has gone ends the run with success.
 * Limits    exchange/limits.h. Nothing is kept between lines. */
#ifndef LW_SERVICE_MODEL_RUN_H
#define LW_SERVICE_MODEL_RUN_H

#include <stddef.h>

#include "core/base/err.h"
#include "core/base/model.h"
#include "exchange/csv.h"
#include "service/sink.h"

typedef struct lw_model_source {
    lw_read_fn *read;
    void *context;
    const char *name;   /* what errors call it: a path, "standard input" */
    const char *folder; /* where the files lie that the table names; NULL: the current one */
} lw_model_source;

LW_MUST_USE lw_code lw_model_run(const lw_model *model, const lw_model_source *source, lw_sink *sink, lw_err *err);

/* The model of that name, or LW_E_MISSING with the nearest name. */
LW_MUST_USE lw_code lw_model_want(const char *name, const lw_model **model, lw_err *err);

/* Every model in a paragraph: what, columns, results, source. NULL-ended list, as lw_models of core/models.h. */
void lw_model_list(const lw_model *const *models, lw_sink *sink);

/* One model with a line a column, and a header to begin a table with. */
void lw_model_describe(const lw_model *model, lw_sink *sink);

#endif
