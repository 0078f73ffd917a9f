#include "service/model_run.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/models.h"
#include "exchange/limits.h"
#include "service/model_beside.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/say.h"

#define DEFAULT_DECIMALS 6
#define LONGEST_VALUE    64

typedef struct run {
    const lw_model *model;
    const char *name;
    lw_csv *csv;
    lw_sink *sink;
    lw_err *err;
    size_t columns;           /* of the header */
    int at[LW_MODEL_COLUMNS]; /* where each input stands; -1 absent */
    lw_beside_files *beside;
} run;

static lw_code fail_at(const run *r, const char *column)
{
    return lw_err_at(r->err, r->name, r->csv->line, column);
}

static lw_code check_twice(const run *r)
{
    for (size_t i = 0; i < r->csv->count; i++)
        if (r->csv->field_n[i] > 0 && lw_csv_column(r->csv, r->csv->field[i]) < (int)i &&
            lw_csv_column(r->csv, r->csv->field[i]) >= 0) {
            lw_fail(r->err, LW_E_CONFLICT, "column %s stands twice; keep one of them",
                    lw_quoted(r->csv->field[i], r->csv->field_n[i]).text);
            return fail_at(r, NULL);
        }
    for (size_t i = 0; i < r->model->out_count; i++) {
        char out[128];
        snprintf(out, sizeof out, "out_%s", r->model->out[i].name);
        if (lw_csv_column(r->csv, out) >= 0) {
            lw_fail(r->err, LW_E_CONFLICT, "column %s is there already and would stand twice; take it out", out);
            return fail_at(r, NULL);
        }
    }
    return LW_OK;
}

static lw_code find_columns(run *r)
{
    for (size_t i = 0; i < r->model->in_count; i++) {
        const lw_column *column = &r->model->in[i];
        r->at[i] = lw_csv_column(r->csv, column->name);
        if (r->at[i] >= 0 || column->is_optional)
            continue;
        const char *near = lw_nearest(column->name, r->csv->field, r->csv->count);
        if (near)
            lw_fail(r->err, LW_E_MISSING, "column %s (%s) is missing; is %s meant?", column->name, column->what,
                    lw_quoted(near, strlen(near)).text);
        else
            lw_fail(r->err, LW_E_MISSING, "column %s (%s) is missing; model %s needs it", column->name, column->what,
                    r->model->name);
        return fail_at(r, NULL);
    }
    return LW_OK;
}

static void put_header(const run *r)
{
    lw_sink_put(r->sink, r->csv->raw, r->csv->raw_n);
    for (size_t i = 0; i < r->model->out_count; i++) {
        lw_sink_text(r->sink, ",out_");
        lw_sink_text(r->sink, r->model->out[i].name);
    }
    lw_sink_put(r->sink, "\n", 1);
}

/* The index of a word in "a|b|c"; -1 when it is none of them. */
static int choice_of(const char *choices, const char *word, size_t n)
{
    for (int index = 0;; index++) {
        const size_t m = strcspn(choices, "|");
        if (m == n && memcmp(choices, word, n) == 0)
            return index;
        if (choices[m] == '\0')
            return -1;
        choices += m + 1;
    }
}

static lw_code refuse_field(const run *r, const lw_column *column, const char *text, size_t n)
{
    if (column->kind == LW_COLUMN_CHOICE)
        lw_fail(r->err, LW_E_SYNTAX, "'%s' is none of %s", lw_quoted(text, n).text, column->choices);
    else
        lw_fail(r->err, LW_E_SYNTAX, "'%s' is no number; write digits with a point, such as 12.5",
                lw_quoted(text, n).text);
    return fail_at(r, column->name);
}

static lw_code read_field(const run *r, size_t input, double *value)
{
    const lw_column *column = &r->model->in[input];
    *value = NAN;
    if (r->at[input] < 0)
        return LW_OK;
    const char *text = r->csv->field[r->at[input]], *end = text + r->csv->field_n[r->at[input]];
    while (text < end && *text == ' ')
        text++;
    while (end > text && end[-1] == ' ')
        end--;
    const size_t n = (size_t)(end - text);
    if (n == 0 && column->is_optional)
        return LW_OK;
    if (n == 0) {
        lw_fail(r->err, LW_E_MISSING, "the field is empty; model %s needs %s (%s)", r->model->name, column->name,
                column->what);
        return fail_at(r, column->name);
    }
    lw_date date;
    switch (column->kind) {
    case LW_COLUMN_TIME: /* blanks around it are the parser's to skip */
        return lw_instant_parse(text, value, r->err) ? fail_at(r, column->name) : LW_OK;
    case LW_COLUMN_DATE:
        if (lw_date_parse(text, &date, r->err))
            return fail_at(r, column->name);
        *value = (double)lw_day_of(date);
        return LW_OK;
    case LW_COLUMN_CHOICE: {
        const int index = choice_of(column->choices, text, n);
        *value = index;
        return index < 0 ? refuse_field(r, column, text, n) : LW_OK;
    }
    case LW_COLUMN_PROFILE:
    case LW_COLUMN_GRID: {
        char name[256];
        snprintf(name, sizeof name, "%.*s", (int)(n < sizeof name ? n : sizeof name - 1), text);
        *value = 1.0;
        return lw_beside_take(r->beside, column->kind, name, r->err) ? fail_at(r, column->name) : LW_OK;
    }
    case LW_COLUMN_NUMBER:
        break;
    }
    return lw_decimal_parse(text, end, value) ? LW_OK : refuse_field(r, column, text, n);
}

static void put_choice(lw_sink *sink, const char *choices, double value)
{
    for (int left = value >= 0.0 && value < 1000.0 ? (int)value : -1; left >= 0; left--) {
        const size_t n = strcspn(choices, "|");
        if (left == 0)
            lw_sink_put(sink, choices, n);
        if (choices[n] == '\0')
            return;
        choices += n + 1;
    }
}

static void put_value(lw_sink *sink, const lw_column *column, double value)
{
    char text[LONGEST_VALUE];
    lw_sink_put(sink, ",", 1);
    if (isnan(value))
        return;
    switch (column->kind) {
    case LW_COLUMN_TIME:
        lw_sink_text(sink, lw_instant_print(text, sizeof text, value, 1));
        return;
    case LW_COLUMN_DATE:
        if (value > -4.0e6 && value < 3.0e6) /* the years of four digits */
            lw_sink_text(sink, lw_date_print(text, sizeof text, lw_date_of((int64_t)floor(value))));
        return;
    case LW_COLUMN_CHOICE:
        put_choice(sink, column->choices, value);
        return;
    case LW_COLUMN_PROFILE:
    case LW_COLUMN_GRID:
    case LW_COLUMN_NUMBER:
        break;
    }
    const int decimals = column->decimals > 0 ? column->decimals : DEFAULT_DECIMALS;
    lw_sink_put(sink, text, lw_decimal_print(text, sizeof text, value, decimals, 0));
}

static lw_code run_line(const run *r)
{
    double in[LW_MODEL_COLUMNS], out[LW_MODEL_COLUMNS];
    lw_fault fault = {0};
    if (r->csv->count != r->columns) {
        lw_fail(r->err, LW_E_SYNTAX, "this line has %zu fields, the header has %zu", r->csv->count, r->columns);
        return fail_at(r, NULL);
    }
    lw_beside_next_line(r->beside);
    for (size_t i = 0; i < r->model->in_count; i++) {
        const lw_code bad = read_field(r, i, &in[i]);
        if (bad)
            return bad;
    }
    const lw_code bad =
        r->model->apply ? r->model->apply(in, out, &fault) : r->model->apply_beside(in, &r->beside->now, out, &fault);
    if (bad) {
        lw_fault_say(&fault, r->err); /* unless a file beside the table has said more */
        return fail_at(r, fault.field);
    }
    lw_sink_put(r->sink, r->csv->raw, r->csv->raw_n);
    for (size_t i = 0; i < r->model->out_count; i++)
        put_value(r->sink, &r->model->out[i], out[i]);
    lw_sink_put(r->sink, "\n", 1);
    return LW_OK;
}

static lw_code next_line(const run *r)
{
    return lw_csv_next(r->csv, r->err) ? lw_err_at(r->err, r->name, 0, NULL) : LW_OK;
}

static lw_code run_table(run *r)
{
    lw_code code = next_line(r);
    if (!code && r->csv->count == 0) {
        lw_fail(r->err, LW_E_MISSING, "there is no header line; name the columns in the first line");
        return lw_err_at(r->err, r->name, 0, NULL);
    }
    r->columns = r->csv->count;
    code = code ? code : check_twice(r);
    code = code ? code : find_columns(r);
    if (code)
        return code;
    put_header(r);
    while (!code && !lw_sink_is_closed(r->sink)) {
        code = next_line(r);
        if (code || r->csv->count == 0)
            break;
        code = run_line(r);
    }
    return code;
}

lw_code lw_model_run(const lw_model *model, const lw_model_source *source, lw_sink *sink, lw_err *err)
{
    if (model->in_count > LW_MODEL_COLUMNS || model->out_count > LW_MODEL_COLUMNS)
        return lw_fail(err, LW_E_FULL, "model %s has more than %d columns", model->name, LW_MODEL_COLUMNS);
    lw_beside_files *beside = malloc(sizeof *beside); /* too large for a stack */
    run r = {.model = model,
             .name = source->name,
             .csv = malloc(sizeof(lw_csv)),
             .sink = sink,
             .err = err,
             .beside = beside};
    if (!r.csv || !beside) {
        free(r.csv);
        free(beside);
        return lw_fail(err, LW_E_FULL, "no memory to read a table");
    }
    lw_beside_init(beside, source->folder, err);
    lw_csv_init(r.csv, source->read, source->context, LW_CSV_COMMENTS);
    const lw_code code = run_table(&r);
    free(r.csv);
    lw_beside_clear(beside);
    free(beside);
    const lw_code unwritten = lw_sink_flush(sink, err); /* what was computed before a bad line is written too */
    return code ? code : unwritten;
}

lw_code lw_model_want(const char *name, const lw_model **model, lw_err *err)
{
    const lw_model *found = lw_model_named(name);
    if (found) {
        *model = found;
        return LW_OK;
    }
    const char *near = NULL;
    size_t least = strlen(name) / 3 + 2;
    for (size_t i = 0; i < lw_models_count; i++) {
        const size_t distance = lw_edit_distance(name, lw_models[i]->name);
        near = distance < least ? lw_models[i]->name : near;
        least = distance < least ? distance : least;
    }
    const lw_quoted_text quoted = lw_quoted(name, strlen(name));
    if (near)
        return lw_fail(err, LW_E_MISSING, "there is no model %s; did you mean %s?", quoted.text, near);
    return lw_fail_typed(err, LW_E_MISSING, "leeway model --list names them", "there is no model %s", quoted.text);
}

static void put_names(lw_sink *sink, const char *title, const char *prefix, const lw_column *column, size_t count)
{
    lw_sink_text(sink, title);
    for (size_t i = 0; i < count; i++)
        lw_sink_print(sink, "%s%s%s%s%s", i ? ", " : "", column[i].is_optional ? "[" : "", prefix, column[i].name,
                      column[i].is_optional ? "]" : "");
    lw_sink_put(sink, "\n", 1);
}

void lw_model_list(const lw_model *const *models, lw_sink *sink)
{
    for (size_t i = 0; models[i]; i++) {
        lw_sink_print(sink, "%s%s: %s\n", i ? "\n" : "", models[i]->name, models[i]->what);
        put_names(sink, "  columns  ", "", models[i]->in, models[i]->in_count);
        put_names(sink, "  results  ", "out_", models[i]->out, models[i]->out_count);
        lw_sink_print(sink, "  source   %s\n", models[i]->source);
    }
}

static void put_column(lw_sink *sink, const char *prefix, const lw_column *column, int width)
{
    size_t suffix_n;
    const char *unit = lw_unit_of_name(column->name, &suffix_n), *form = unit;
    switch (column->kind) {
    case LW_COLUMN_TIME:
        form = "time, such as 2026-06-14T21:00:00Z";
        break;
    case LW_COLUMN_DATE:
        form = "date, such as 2026-06-14";
        break;
    case LW_COLUMN_CHOICE:
        form = column->choices;
        break;
    case LW_COLUMN_PROFILE:
        form = "NAME of profiles/NAME.csv beside the table: d_km, h_m, [clutter_m], [zone]";
        break;
    case LW_COLUMN_GRID:
        form = "NAME of NAME.asc beside the table, an ASCII grid";
        break;
    case LW_COLUMN_NUMBER:
        break;
    }
    const int pad = width - (int)strlen(prefix) - (int)strlen(column->name);
    lw_sink_print(sink, "  %s%s%*s  %s%s%s%s%s\n", prefix, column->name, pad > 0 ? pad : 0, "", column->what,
                  form[0] ? " (" : "", form, form[0] ? ")" : "", column->is_optional ? ", optional" : "");
}

static int widest(const lw_column *column, size_t count)
{
    size_t width = 0;
    for (size_t i = 0; i < count; i++)
        width = strlen(column[i].name) > width ? strlen(column[i].name) : width;
    return (int)width;
}

void lw_model_describe(const lw_model *model, lw_sink *sink)
{
    lw_sink_print(sink, "%s: %s\nSource: %s\n\nColumns\n", model->name, model->what, model->source);
    for (size_t i = 0; i < model->in_count; i++)
        put_column(sink, "", &model->in[i], widest(model->in, model->in_count));
    lw_sink_text(sink, "\nResults\n");
    for (size_t i = 0; i < model->out_count; i++)
        put_column(sink, "out_", &model->out[i], widest(model->out, model->out_count) + 4);
    lw_sink_text(sink, "\nA table begins with the line\n  ");
    for (size_t i = 0; i < model->in_count; i++)
        lw_sink_print(sink, "%s%s", i ? "," : "", model->in[i].name);
    lw_sink_put(sink, "\n", 1);
}
