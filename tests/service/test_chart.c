#include "service/chart_svg.h"

#include <stdlib.h>
#include <string.h>

#include "tests/check.h"
#include "tests/service/camp_answer.h"

static const lw_words_choice US = {.units = LW_UNITS_US};

static lw_chart *chart_of(const lw_outlook_answer *answer, int most_days)
{
    lw_words *words = malloc(sizeof *words);
    lw_chart *chart = malloc(sizeof *chart);
    lw_err err = {0};
    if (lw_words_make(answer, &US, words, &err) != LW_OK)
        fail_msg("%s", err.text);
    lw_chart_make(answer, words, &US, most_days, chart);
    lw_words_clear(words);
    free(words);
    return chart;
}

static char *svg_of(const lw_chart *chart, int width_px)
{
    char *text = NULL;
    size_t n = 0;
    FILE *to = open_memstream(&text, &n);
    lw_sink *sink = malloc(sizeof *sink);
    const lw_svg_options options = {.width_px = width_px};
    lw_sink_init(sink, lw_write_file, to);
    lw_chart_svg(chart, &options, sink);
    assert_int_equal(lw_sink_flush(sink, &(lw_err){0}), LW_OK);
    fclose(to);
    free(sink);
    return text;
}

static void the_soonest_end_is_on_top_and_alone_is_warm(void **state)
{
    (void)state;
    lw_outlook_answer answer = camp_answer(camp_new(30), 0);
    lw_chart *chart = chart_of(&answer, 0);
    int binding = 0;
    for (int i = 0; i < chart->row_count; i++) {
        binding += chart->row[i].is_binding;
        if (i > 0)
            assert_true(chart->row[i].p50_days >= chart->row[i - 1].p50_days);
    }
    assert_int_equal(binding, 1);
    assert_true(chart->row[0].is_binding);
    free(chart);
    lw_outlook_answer_clear(&answer);
}

static void days_are_civil_and_cover_the_chart_without_gap(void **state)
{
    (void)state;
    lw_outlook_answer answer = camp_answer(camp_new(30), 0);
    /* a clock put back on the night to Tuesday: that Monday has 25 hours */
    lw_zone *zone = &answer.loaded.zone;
    zone->count = 2;
    zone->from_s[1] = answer.outlook->start_s + 20 * INT64_C(3600);
    zone->offset_s[1] = -8 * 3600;
    lw_chart *chart = chart_of(&answer, 0);
    assert_true(chart->day_count > 4);
    CHECK_NEAR(chart->day[0].from_days, 0.0, 1e-12, "first day");
    CHECK_NEAR(chart->day[chart->day_count - 1].to_days, chart->days_shown, 2e-5, "last day");
    for (int i = 1; i < chart->day_count; i++) {
        CHECK_NEAR(chart->day[i].from_days, chart->day[i - 1].to_days, 1e-12, "day %d", i);
        assert_int_equal(chart->day[i].weekday, (chart->day[i - 1].weekday + 1) % 7);
    }
    CHECK_NEAR((chart->day[1].to_days - chart->day[1].from_days) * 24.0, 25.0, 1e-9, "Monday");
    assert_string_equal(chart->day[0].letters, "Su");
    assert_string_equal(chart->day[1].date, "15 Jun");
    assert_false(chart->day[0].is_work); /* Sunday */
    assert_true(chart->day[1].is_work);
    CHECK_NEAR(chart->day[2].low_c, 7.0, 0.1, "low of a whole day"); /* 16 - 9 */
    CHECK_NEAR(chart->day[2].high_c, 25.0, 0.1, "high");
    assert_false(chart->day[2].is_frost);
    free(chart);
    lw_outlook_answer_clear(&answer);
}

static void marks_stand_at_their_time_and_in_order(void **state)
{
    (void)state;
    lw_scenario *scenario = camp_new(16); /* wishes to leave after 8 days */
    scenario->stay.stay_end_s = scenario->stay.arrival_s + 7 * INT64_C(86400);
    scenario->transfer_count = 2;
    for (int t = 0; t < 2; t++) {
        scenario->transfer[t] =
            (lw_transfer){.at_s = scenario->stay.arrival_s + 3 * INT64_C(86400), .vessel = t, .kind = LW_TRANSFER_ADD};
        snprintf(scenario->transfer[t].why, LW_NAME, "run to town");
    }
    lw_outlook_answer answer = camp_answer(scenario, 0);
    lw_chart *chart = chart_of(&answer, 0);
    assert_int_equal(chart->mark_count, 3); /* one run, though it fills two tanks */
    assert_int_equal(chart->mark[0].kind, LW_MARK_TRANSFER);
    CHECK_NEAR(chart->mark[0].at_days, 3.0, 1e-9, "run");
    assert_string_equal(chart->mark[0].text, "run to town Wed 17 Jun 15:00");
    assert_int_equal(chart->mark[1].kind, LW_MARK_STAY_LIMIT);
    CHECK_NEAR(chart->mark[2].at_days, 8.0, 1e-9, "departure");
    free(chart);
    lw_outlook_answer_clear(&answer);
}

static void the_picture_is_well_formed_at_every_width(void **state)
{
    (void)state;
    static const int width_px[] = {0, 1, 320, 360, 1200, 99999};
    static const char *const box[] = {"\"0 0 760 ", "\"0 0 320 ",  "\"0 0 320 ",
                                      "\"0 0 360 ", "\"0 0 1200 ", "\"0 0 2000 "};
    lw_outlook_answer answer = camp_answer(camp_cold_night(), 0);
    for (size_t i = 0; i < COUNT_OF(width_px); i++) {
        lw_chart *chart = chart_of(&answer, 0);
        char *svg = svg_of(chart, width_px[i]);
        char path[] = "/tmp/leeway-svg-XXXXXX", command[256];
        const int fd = mkstemp(path);
        assert_true(fd >= 0);
        FILE *file = fdopen(fd, "w");
        fputs(svg, file);
        fclose(file);
        snprintf(command, sizeof command, "python3 -c 'import sys, xml.dom.minidom as d; d.parse(sys.argv[1])' %s",
                 path);
        const int status = system(command);
        (void)remove(path);
        if (status != 0)
            fail_msg("width %d: no XML", width_px[i]);
        if (!strstr(svg, box[i]))
            fail_msg("width %d is not drawn as %s", width_px[i], box[i]);
        assert_non_null(strstr(svg, "<title id="));
        assert_non_null(strstr(svg, "<desc id="));
        assert_null(strstr(svg, "nan"));
        assert_null(strstr(svg, "inf"));
        free(svg);
        free(chart);
    }
    lw_outlook_answer_clear(&answer);
}

static void text_from_outside_cannot_become_markup(void **state)
{
    (void)state;
    lw_outlook_answer answer = camp_answer(camp_new(6), 0);
    lw_chart *chart = chart_of(&answer, 0);
    snprintf(chart->place, sizeof chart->place, "<b>&\"\x01\xFF\xC3\xA9");
    snprintf(chart->row[0].left, sizeof chart->row[0].left, "</text><script>");
    char *svg = svg_of(chart, 0);
    assert_non_null(strstr(svg, "&lt;b&gt;&amp;&quot;?\xC3\xA9,"));
    assert_null(strstr(svg, "<script"));
    assert_null(strchr(svg, '\x01'));
    free(svg);
    free(chart);
    lw_outlook_answer_clear(&answer);
}

static void an_empty_chart_is_still_a_picture(void **state)
{
    (void)state;
    lw_chart *chart = calloc(1, sizeof *chart);
    chart->days_shown = 4.0;
    char *svg = svg_of(chart, 0);
    assert_non_null(strstr(svg, "</svg>"));
    assert_null(strstr(svg, "nan"));
    free(svg);
    free(chart);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_soonest_end_is_on_top_and_alone_is_warm),
        cmocka_unit_test(days_are_civil_and_cover_the_chart_without_gap),
        cmocka_unit_test(marks_stand_at_their_time_and_in_order),
        cmocka_unit_test(the_picture_is_well_formed_at_every_width),
        cmocka_unit_test(text_from_outside_cannot_become_markup),
        cmocka_unit_test(an_empty_chart_is_still_a_picture),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
