#include "tests/check.h"

#include <stdlib.h>
#include <string.h>

#include "exchange/csv.h"
#include "tests/exchange/drip.h"

/* The whole table as "a|b|c;d|e|f;" with the raw bytes unchecked, or the sentence. */
static const char *read_all(const char *text, size_t n, unsigned flags, size_t piece, char *out, size_t out_n)
{
    lw_csv *csv = malloc(sizeof *csv);
    drip source = {{text, n}, piece};
    lw_err err = {0};
    size_t used = 0;
    lw_csv_init(csv, read_drip, &source, flags);
    out[0] = '\0';
    while (lw_csv_next(csv, &err) == LW_OK && csv->count > 0)
        for (size_t i = 0; i < csv->count && used < out_n; i++)
            used += (size_t)snprintf(out + used, out_n - used, "%s%c", csv->field[i], i + 1 < csv->count ? '|' : ';');
    if (err.code)
        snprintf(out, out_n, "%s: %s", err.where, err.text);
    free(csv);
    return out;
}

static void tables_are_split_as_rfc_4180_says(void **state)
{
    static const struct {
        const char *text, *want;
        unsigned flags;
    } row[] = {
        {"a,b\n1,2\n", "a|b;1|2;", 0},
        {"a,b\r\n1,2", "a|b;1|2;", 0},
        {"\xEF\xBB\xBF"
         "a,b\n",
         "a|b;", 0},
        {"\"a,b\",\"say \"\"so\"\"\"\n", "a,b|say \"so\";", 0},
        {"\"two\nlines\",x\ny,z\n", "two\nlines|x;y|z;", 0},
        {"a,,\n,\n", "a||;|;", 0},
        {"\n\na\n\n\r\n", "a;", 0},
        {"\"\",\"\"\n", "|;", 0},
        {"# it's \"odd\na,b\n#end", "a|b;", LW_CSV_COMMENTS},
        {"#a,b\n", "#a|b;", 0},
        {"x\"y\",\"z\n", "x\"y\"|\"z;", LW_CSV_NO_QUOTES},
        {"", "", 0},
    };
    char got[512];
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++)
        for (size_t piece = 1; piece < 40; piece += 6)
            assert_string_equal(read_all(row[i].text, strlen(row[i].text), row[i].flags, piece, got, sizeof got),
                                row[i].want);
}

static void malformed_tables_name_their_line(void **state)
{
    static const struct {
        const char *text;
        size_t n;
        const char *want;
    } row[] = {
        {"a\nb\n\"c\nd\n", 9, "line 3: a quote opened here has no end"},
        {"a\n\"b\"c\n", 7, "line 2: text follows a closing quote"},
        {"a\nb\"c\"\n", 7, "line 2: a quote stands inside a bare field"},
        {"a\nb\0c\n", 6, "line 2: a NUL byte"},
        {"a\rb\rc\n", 6, "line 1: a carriage return stands alone"},
        {"\"x\ny\",1\n\"z\"q\n", 12, "line 3: text follows"},
    };
    char got[512];
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++)
        if (strncmp(read_all(row[i].text, row[i].n, 0, 1000, got, sizeof got), row[i].want, strlen(row[i].want)) != 0)
            fail_msg("row %zu: got '%s', want '%s'", i, got, row[i].want);
}

static void limits_are_stated_not_crossed(void **state)
{
    char got[512];
    char *text = malloc(200000);
    (void)state;
    memset(text, 'x', 200000);
    assert_non_null(strstr(read_all(text, 200000, 0, 4096, got, sizeof got), "longer than 65536 bytes"));
    text[0] = '"';
    assert_non_null(strstr(read_all(text, 200000, 0, 4096, got, sizeof got), "does not end within 65536 bytes"));
    memset(text, ',', LW_CSV_FIELDS);
    assert_non_null(strstr(read_all(text, LW_CSV_FIELDS, 0, 4096, got, sizeof got), "more than 512 fields"));
    assert_null(strstr(read_all(text, LW_CSV_FIELDS - 1, 0, 4096, got, sizeof got), "more than"));
    memset(text, 'x', 200000);
    for (size_t i = 65535; i < 200000; i += 65536) /* records of exactly the largest size */
        text[i] = '\n';
    assert_null(strstr(read_all(text, 131072, 0, 100000, got, sizeof got), "line"));
    free(text);
}

static long read_refused(void *context, char *buf, size_t n)
{
    (void)context;
    (void)buf;
    (void)n;
    return -1;
}

static void a_refused_read_is_a_sentence_and_the_end(void **state)
{
    lw_csv *csv = malloc(sizeof *csv);
    lw_err err = {0};
    (void)state;
    lw_csv_init(csv, read_refused, NULL, 0);
    assert_int_equal(lw_csv_next(csv, &err), LW_E_IO);
    lw_err again = {0};
    assert_int_equal(lw_csv_next(csv, &again), LW_OK);
    assert_int_equal(csv->count, 0);
    free(csv);
}

static void raw_bytes_pass_untouched_and_columns_are_found(void **state)
{
    static const char text[] = " lat_deg ,\"x,y\", z\r\n";
    lw_csv *csv = malloc(sizeof *csv);
    lw_bytes source = {text, sizeof text - 1};
    lw_err err = {0};
    (void)state;
    lw_csv_init(csv, lw_read_bytes, &source, 0);
    assert_int_equal(lw_csv_next(csv, &err), LW_OK);
    assert_int_equal(csv->raw_n, sizeof text - 3);
    assert_memory_equal(csv->raw, text, csv->raw_n);
    assert_int_equal(lw_csv_column(csv, "lat_deg"), 0);
    assert_int_equal(lw_csv_column(csv, "x,y"), 1);
    assert_int_equal(lw_csv_column(csv, "z"), 2);
    assert_int_equal(lw_csv_column(csv, "lat"), -1);
    free(csv);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tables_are_split_as_rfc_4180_says),
        cmocka_unit_test(malformed_tables_name_their_line),
        cmocka_unit_test(limits_are_stated_not_crossed),
        cmocka_unit_test(a_refused_read_is_a_sentence_and_the_end),
        cmocka_unit_test(raw_bytes_pass_untouched_and_columns_are_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
