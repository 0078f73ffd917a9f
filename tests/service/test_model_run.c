#include "tests/check.h"

#include <stdlib.h>
#include <string.h>

#include "core/models.h"
#include "service/model_run.h"

/* A model made for these tests: every kind of column, one of them optional. */
static const lw_column IN[] = {
    {.name = "a_m", .what = "a length"},
    {.name = "when", .what = "a moment", .kind = LW_COLUMN_TIME},
    {.name = "day", .what = "a date", .kind = LW_COLUMN_DATE},
    {.name = "type", .what = "a kind", .kind = LW_COLUMN_CHOICE, .choices = "flooded|agm|lfp"},
    {.name = "extra_c", .what = "an air", .is_optional = 1},
};
static const lw_column OUT[] = {
    {.name = "twice_m", .what = "double"},
    {.name = "short_m", .what = "a third", .decimals = 2},
    {.name = "later", .what = "an hour on", .kind = LW_COLUMN_TIME},
    {.name = "next", .what = "the day after", .kind = LW_COLUMN_DATE},
    {.name = "type", .what = "the same", .kind = LW_COLUMN_CHOICE, .choices = "flooded|agm|lfp"},
    {.name = "extra_c", .what = "as it came"},
};

static lw_code apply(const double *in, double *out, lw_fault *fault)
{
    const lw_code bad = lw_want_range(fault, "a_m", in[0], -1e20, 1e20);
    if (bad)
        return bad;
    out[0] = 2.0 * in[0];
    out[1] = in[0] / 3.0;
    out[2] = in[1] + 3600.0;
    out[3] = in[2] + 1.0;
    out[4] = in[3];
    out[5] = in[4];
    return LW_OK;
}

static const lw_model MODEL = {
    .name = "made",
    .what = "a model for tests",
    .source = "ours",
    .in = IN,
    .in_count = COUNT_OF(IN),
    .out = OUT,
    .out_count = COUNT_OF(OUT),
    .apply = apply,
};

typedef struct memory {
    char text[8192];
    size_t n;
    size_t refuse_after; /* bytes taken before the state below is answered; 0: all are taken */
    lw_written then;
} memory;

static lw_written write_memory(void *context, const char *bytes, size_t n)
{
    memory *m = context;
    if (m->refuse_after && m->n + n > m->refuse_after)
        return m->then;
    if (m->n + n < sizeof m->text)
        memcpy(m->text + m->n, bytes, n);
    m->n += n;
    return LW_WRITTEN;
}

static lw_code run_over(const char *text, memory *out, lw_err *err)
{
    static const memory empty;
    lw_sink *sink = malloc(sizeof *sink);
    lw_bytes bytes = {text, strlen(text)};
    const lw_model_source source = {lw_read_bytes, &bytes, "t.csv", NULL};
    const size_t refuse_after = out->refuse_after;
    const lw_written then = out->then;
    *out = empty;
    out->refuse_after = refuse_after;
    out->then = then;
    lw_sink_init(sink, write_memory, out);
    const lw_code code = lw_model_run(&MODEL, &source, sink, err);
    free(sink);
    out->text[out->n < sizeof out->text ? out->n : 0] = '\0';
    return code;
}

#define HEAD    "a_m,when,day,type"
#define OUTHEAD ",out_twice_m,out_short_m,out_later,out_next,out_type,out_extra_c\n"

static void lines_pass_untouched_with_results_behind_them(void **state)
{
    static const struct {
        const char *in, *want;
    } row[] = {
        {HEAD "\n1.5,2029-08-12T11:44:04Z,2028-02-28,lfp\n",
         HEAD OUTHEAD "1.5,2029-08-12T11:44:04Z,2028-02-28,lfp,3,0.5,2029-08-12T12:44:04.0Z,2028-02-29,lfp,\n"},
        /* Other columns, another order, quotes, comments, CR LF, an optional field filled and one empty. */
        {"# source: ours\r\n\"no,te\",type,extra_c,day,when,a_m\r\n\"x,\"\"y\",agm, -0.5 "
         ",2026-06-30,2026-06-30T23:59:59.96Z,"
         "-0.00000001\r\n# between\r\n,flooded,,2026-12-31,2026-06-30T10:00-06:00,1e3\r\n",
         "\"no,te\",type,extra_c,day,when,a_m" OUTHEAD "\"x,\"\"y\",agm, -0.5 "
         ",2026-06-30,2026-06-30T23:59:59.96Z,-0.00000001,0,0,2026-07-01T01:00:00.0Z,2026-07-01,agm,"
         "-0.5\n,flooded,,2026-12-31,2026-06-30T10:00-06:00,1e3,2000,333.33,2026-06-30T17:00:00.0Z,2027-01-01,flooded,"
         "\n"},
        {HEAD "\n1e18,2029-08-12T11:44:04Z,2028-02-28,lfp",
         HEAD OUTHEAD "1e18,2029-08-12T11:44:04Z,2028-02-28,lfp,2e+18,3.33333333333333e+17,2029-08-12T12:44:04.0Z,"
                      "2028-02-29,lfp,\n"},
        {HEAD "\n", HEAD OUTHEAD},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        memory out = {.n = 0};
        lw_err err = {0};
        if (run_over(row[i].in, &out, &err))
            fail_msg("row %zu: %s: %s", i, err.where, err.text);
        assert_string_equal(out.text, row[i].want);
    }
}

static void bad_tables_are_refused_with_line_and_column(void **state)
{
    static const struct {
        const char *in;
        lw_code code;
        const char *where, *says;
    } row[] = {
        {"", LW_E_MISSING, "t.csv", "no header line"},
        {"a_m,when,day\n", LW_E_MISSING, "t.csv:1", "column type (a kind) is missing; model made needs it"},
        {"#x\na_n,when,day,type\n", LW_E_MISSING, "t.csv:2", "column a_m (a length) is missing; is a_n meant?"},
        {HEAD ",a_m\n", LW_E_CONFLICT, "t.csv:1", "column a_m stands twice"},
        {HEAD ", a_m\n", LW_E_CONFLICT, "t.csv:1", "a_m stands twice"},
        {HEAD ",note,note\n", LW_E_CONFLICT, "t.csv:1", "column note stands twice"},
        {HEAD ",out_later\n", LW_E_CONFLICT, "t.csv:1", "out_later is there already"},
        {HEAD "\n1,2,3\n", LW_E_SYNTAX, "t.csv:2", "3 fields, the header has 4"},
        {HEAD "\n1 m,2029-08-12T11:44:04Z,2028-02-28,lfp\n", LW_E_SYNTAX, "t.csv:2 a_m", "'1 m' is no number"},
        {HEAD "\nnan,2029-08-12T11:44:04Z,2028-02-28,lfp\n", LW_E_SYNTAX, "t.csv:2 a_m", "no number"},
        {HEAD "\n,2029-08-12T11:44:04Z,2028-02-28,lfp\n", LW_E_MISSING, "t.csv:2 a_m", "the field is empty"},
        {HEAD "\n1,2029-08-12T11:44:04,2028-02-28,lfp\n", LW_E_SYNTAX, "t.csv:2 when", "which clock"},
        {HEAD "\n1,2029-08-12T11:44:04Z,2029-02-29,lfp\n", LW_E_RANGE, "t.csv:2 day", "28 days"},
        {HEAD "\n1,2029-08-12T11:44:04Z,2028-02-28,gel\n", LW_E_SYNTAX, "t.csv:2 type",
         "'gel' is none of flooded|agm|lfp"},
        {HEAD "\n1e21,2029-08-12T11:44:04Z,2028-02-28,lfp\n", LW_E_RANGE, "t.csv:2 a_m", "a is 1e+21 m; give"},
        {HEAD "\n\"1,2029-08-12T11:44:04Z,2028-02-28,lfp\n", LW_E_SYNTAX, "t.csv:2", "a quote opened here has no end"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        memory out = {.n = 0};
        lw_err err = {0};
        const lw_code code = run_over(row[i].in, &out, &err);
        if (code != row[i].code || strcmp(err.where, row[i].where) != 0 || !strstr(err.text, row[i].says))
            fail_msg("row %zu: %d '%s' '%s'", i, (int)code, err.where, err.text);
    }
}

static void results_before_a_bad_line_are_written(void **state)
{
    memory out = {.n = 0};
    lw_err err = {0};
    (void)state;
    assert_int_equal(run_over(HEAD "\n1,2029-08-12T11:44:04Z,2028-02-28,lfp\nx,,,\n", &out, &err), LW_E_SYNTAX);
    assert_string_equal(err.where, "t.csv:3 a_m");
    assert_string_equal(out.text, HEAD OUTHEAD "1,2029-08-12T11:44:04Z,2028-02-28,lfp,2,0.33,2029-08-12T12:44:04.0Z,"
                                               "2028-02-29,lfp,\n");
}

static void a_receiver_that_goes_ends_in_peace_and_one_that_refuses_does_not(void **state)
{
    static const char line[] = "1,2029-08-12T11:44:04Z,2028-02-28,lfp\n";
    const size_t lines = 5000;
    char *text = malloc(sizeof HEAD + 1 + lines * sizeof line);
    size_t used = (size_t)sprintf(text, "%s\n", HEAD);
    (void)state;
    for (size_t i = 0; i < lines; i++)
        used += (size_t)sprintf(text + used, "%s", line);
    memory gone = {.refuse_after = 40000, .then = LW_WRITE_CLOSED};
    memory full = {.refuse_after = 40000, .then = LW_WRITE_REFUSED};
    lw_err err = {0};
    assert_int_equal(run_over(text, &gone, &err), LW_OK);
    assert_int_equal(run_over(text, &full, &err), LW_E_IO);
    assert_non_null(strstr(err.text, "disk full"));
    free(text);
}

static void models_describe_themselves(void **state)
{
    static const lw_model *const models[] = {&MODEL, &MODEL, NULL};
    static const memory empty;
    memory out = empty;
    lw_sink *sink = malloc(sizeof *sink);
    lw_err err = {0};
    (void)state;
    lw_sink_init(sink, write_memory, &out);
    lw_model_list(models, sink);
    assert_int_equal(lw_sink_flush(sink, &err), LW_OK);
    assert_non_null(strstr(out.text, "made: a model for tests\n  columns  a_m, when, day, type, [extra_c]\n"
                                     "  results  out_twice_m, out_short_m, out_later, out_next, out_type, out_extra_c\n"
                                     "  source   ours\n\nmade:"));
    out = empty;
    lw_model_describe(&MODEL, sink);
    assert_int_equal(lw_sink_flush(sink, &err), LW_OK);
    assert_non_null(strstr(out.text, "\n  a_m      a length (m)\n"));
    assert_non_null(strstr(out.text, "\n  type     a kind (flooded|agm|lfp)\n"));
    assert_non_null(strstr(out.text, "\n  extra_c  an air (C), optional\n"));
    assert_non_null(strstr(out.text, "\n  out_twice_m  double (m)\n"));
    assert_non_null(strstr(out.text, "\n  a_m,when,day,type,extra_c\n"));
    free(sink);
}

static void unknown_models_are_refused_by_name(void **state)
{
    const lw_model *model = NULL;
    lw_err err = {0};
    (void)state;
    assert_int_equal(lw_model_want("no such model", &model, &err), LW_E_MISSING);
    assert_non_null(strstr(err.text, "there is no model no such model"));
    for (size_t i = 0; i < lw_models_count; i++) {
        lw_err none = {0};
        assert_int_equal(lw_model_want(lw_models[i]->name, &model, &none), LW_OK);
        assert_ptr_equal(model, lw_models[i]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lines_pass_untouched_with_results_behind_them),
        cmocka_unit_test(bad_tables_are_refused_with_line_and_column),
        cmocka_unit_test(results_before_a_bad_line_are_written),
        cmocka_unit_test(a_receiver_that_goes_ends_in_peace_and_one_that_refuses_does_not),
        cmocka_unit_test(models_describe_themselves),
        cmocka_unit_test(unknown_models_are_refused_by_name),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
