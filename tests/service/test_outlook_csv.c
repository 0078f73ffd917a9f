#include "service/outlook_csv.h"

#include <stdlib.h>
#include <string.h>

#include "tests/check.h"
#include "tests/service/camp_answer.h"

static char *csv_of(const lw_outlook_answer *answer)
{
    char *text = NULL;
    size_t n = 0;
    FILE *to = open_memstream(&text, &n);
    lw_sink *sink = malloc(sizeof *sink);
    lw_err err = {0};
    lw_sink_init(sink, lw_write_file, to);
    if (lw_outlook_csv(answer, sink, &err) != LW_OK)
        fail_msg("%s", err.text);
    fclose(to);
    free(sink);
    return text;
}

static int fields_of(const char *line, size_t n)
{
    int count = 1;
    for (size_t i = 0; i < n; i++)
        count += line[i] == ',';
    return count;
}

static void there_is_a_full_row_an_hour(void **state)
{
    (void)state;
    lw_outlook_answer answer = camp_answer(camp_new(5), 1);
    char *text = csv_of(&answer);
    int rows = 0, want = 0;
    for (const char *line = text; *line; rows++) {
        const size_t n = strcspn(line, "\n");
        const int fields = fields_of(line, n);
        want = rows == 0 ? fields : want;
        if (fields != want)
            fail_msg("row %d has %d fields, the header %d", rows, fields, want);
        line += n + (line[n] == '\n');
    }
    assert_int_equal(rows, 1 + answer.joint.count);
    assert_non_null(strstr(text, "kitchen_grey_level_l,"));
    assert_non_null(strstr(text, "cylinder_1_level_kg,"));
    assert_non_null(strstr(text, "phone_level_gb,"));
    /* 15:00 at the camp is 22:00 UTC; irradiance is not given, hence empty */
    assert_non_null(strstr(text, "\n2026-06-14T22:00:00Z,Sun 2026-06-14 15:00,25,2,0.4,,0.85,0,"));
    assert_null(strstr(text, "nan"));
    free(text);
    lw_outlook_answer_clear(&answer);
}

static void two_vessels_of_one_name_have_two_headers(void **state)
{
    (void)state;
    lw_scenario *scenario = camp_new(2);
    snprintf(scenario->rig.vessel[2].name, LW_NAME, "Kitchen, Grey");
    snprintf(scenario->rig.vessel[1].name, LW_NAME, "kitchen  grey");
    lw_outlook_answer answer = camp_answer(scenario, 1);
    char *text = csv_of(&answer);
    assert_non_null(strstr(text, ",kitchen__grey_level_l,kitchen__grey_3_level_l,"));
    free(text);
    lw_outlook_answer_clear(&answer);
}

static void an_answer_without_rows_is_refused(void **state)
{
    (void)state;
    lw_outlook_answer answer = camp_answer(camp_new(2), 0);
    lw_sink *sink = malloc(sizeof *sink);
    lw_err err = {0};
    lw_sink_init(sink, lw_write_file, stdout);
    assert_int_equal(lw_outlook_csv(&answer, sink, &err), LW_E_MISSING);
    free(sink);
    lw_outlook_answer_clear(&answer);
}

static lw_written refuse(void *context, const char *bytes, size_t n)
{
    (void)bytes;
    (void)n;
    ++*(int *)context;
    return LW_WRITE_REFUSED;
}

static void a_full_disk_is_said(void **state)
{
    (void)state;
    lw_outlook_answer answer = camp_answer(camp_new(20), 1);
    lw_sink *sink = malloc(sizeof *sink);
    lw_err err = {0};
    int calls = 0;
    lw_sink_init(sink, refuse, &calls);
    assert_int_equal(lw_outlook_csv(&answer, sink, &err), LW_E_IO);
    assert_int_equal(calls, 1); /* and nothing more is tried */
    free(sink);
    lw_outlook_answer_clear(&answer);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(there_is_a_full_row_an_hour),
        cmocka_unit_test(two_vessels_of_one_name_have_two_headers),
        cmocka_unit_test(an_answer_without_rows_is_refused),
        cmocka_unit_test(a_full_disk_is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
