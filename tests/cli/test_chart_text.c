/* The leeway chart in text, drawn from a chart made by hand. */
#include "tests/check.h"

#include <stdio.h>
#include <string.h>

#include "cli/chart_text.h"

typedef struct page {
    char text[16384];
    size_t n;
} page;

static lw_written write_page(void *context, const char *bytes, size_t n)
{
    page *p = context;
    assert_true(p->n + n < sizeof p->text);
    memcpy(p->text + p->n, bytes, n);
    p->n += n;
    p->text[p->n] = '\0';
    return LW_WRITTEN;
}

static lw_chart chart_of_ten_days(void)
{
    static const char *const LETTERS[] = {"Mo", "Tu", "We", "Th", "Fr", "Sa", "Su"};
    lw_chart chart = {.days_shown = 10.0, .day_count = 10, .row_count = 2, .mark_count = 1};
    for (int i = 0; i < 10; i++) {
        lw_chart_day *day = &chart.day[i];
        *day = (lw_chart_day){.from_days = i, .to_days = i + 1, .weekday = i % 7, .high_c = 20.0 + i, .low_c = -1.0};
        snprintf(day->letters, sizeof day->letters, "%s", LETTERS[i % 7]);
        snprintf(day->date, sizeof day->date, "%d Jun", i + 8);
    }
    chart.row[0] = (lw_chart_row){.name = "Grey water",
                                  .left = "12 gal of room",
                                  .p10_days = 2.0,
                                  .p50_days = 4.0,
                                  .p90_days = 6.0,
                                  .is_binding = 1};
    chart.row[1] = (lw_chart_row){.name = "Propane",
                                  .left = "23 lb",
                                  .p10_days = 60.0,
                                  .p50_days = 60.0,
                                  .p90_days = 60.0,
                                  .p10_is_beyond = 1,
                                  .p50_is_beyond = 1,
                                  .p90_is_beyond = 1};
    chart.mark[0] = (lw_chart_mark){.kind = LW_MARK_DEPARTURE, .at_days = 8.0, .text = "leave Tue 16 Jun"};
    return chart;
}

/* 10 + 2 + 14 + 2 + 5 + 2 columns of words, so 40 columns for ten days: four a day. */
enum { WORDS = 35, WIDTH = WORDS + 40 };

static page draw(const lw_chart *chart, int has_colour, int is_ascii)
{
    static lw_sink sink;
    page p = {.n = 0};
    lw_err err = {0};
    lw_sink_init(&sink, write_page, &p);
    lw_screen screen = {.sink = &sink, .width = WIDTH, .has_colour = has_colour, .is_ascii = is_ascii};
    lw_chart_text(&screen, chart);
    assert_int_equal(lw_sink_flush(&sink, &err), LW_OK);
    return p;
}

/* The line that begins with `start`. */
static const char *line_of(const page *p, const char *start, char *line, size_t n)
{
    const char *at = p->text;
    while (at && strncmp(at, start, strlen(start)) != 0) {
        at = strchr(at, '\n');
        at = at ? at + 1 : NULL;
    }
    if (!at)
        fail_msg("no line begins with '%s' in\n%s", start, p->text);
    else
        snprintf(line, n, "%.*s", (int)strcspn(at, "\n"), at);
    return line;
}

static void a_bar_is_sure_then_likely_then_a_dot_then_thin(void **state)
{
    (void)state;
    const lw_chart chart = chart_of_ten_days();
    const page p = draw(&chart, 0, 1);
    char line[512];
    assert_string_equal(line_of(&p, "Grey", line, sizeof line),
                        "Grey water  12 gal of room    4.0  ========--------o.......        :");
    assert_string_equal(line_of(&p, "Propane", line, sizeof line),
                        "Propane     23 lb             60+  =======================================>");
}

static void days_stand_where_they_begin(void **state)
{
    (void)state;
    const lw_chart chart = chart_of_ten_days();
    const page p = draw(&chart, 0, 1);
    assert_non_null(strstr(p.text, "days  Mo  Tu  We  Th  Fr  Sa  Su  Mo  Tu  We\n"));
    assert_non_null(strstr(p.text, "      8   9   10  11  12  13  14  15  16  17\n"));
    assert_non_null(strstr(p.text, "high F  68  70  72  73  75  77  79  81  82  84\n"));
    assert_non_null(strstr(p.text, "leave Tue 16 Jun ^\n"));
}

/* A fortnight from a Monday evening: the first date is that of the first day that has a letter. */
static void a_date_stands_under_its_own_day(void **state)
{
    (void)state;
    lw_chart chart = chart_of_ten_days();
    chart.days_shown = 14.25;
    chart.day_count = 15;
    for (int i = 0; i < 15; i++) {
        lw_chart_day *day = &chart.day[i];
        *day = (lw_chart_day){.from_days = i ? i - 0.75 : 0.0, .to_days = i + 0.25, .weekday = i % 7};
        snprintf(day->letters, sizeof day->letters, "%c", "MTWTFSS"[i % 7]);
        snprintf(day->date, sizeof day->date, "%d Jun", i + 8);
    }
    const page p = draw(&chart, 0, 1);
    char letters[512], dates[512];
    (void)line_of(&p, "                             days", letters, sizeof letters);
    (void)line_of(&p, "                                   ", dates, sizeof dates);
    const char *const first = strstr(dates, "9 Jun"), *const monday = strstr(dates, "15 Jun");
    assert_non_null(first);
    assert_non_null(monday);
    assert_null(strstr(dates, " 8 Jun"));
    assert_int_equal(letters[first - dates], 'T');
    assert_int_equal(letters[monday - dates], 'M');
}

static void a_name_of_double_width_keeps_its_row_in_line(void **state)
{
    (void)state;
    assert_int_equal(lw_columns_of(NULL, "水の箱"), 6);
    assert_int_equal(lw_columns_of(NULL, "e\xCC\x81t"), 2); /* an accent that combines */
    assert_int_equal(lw_columns_of(NULL, "━●"), 2);
    lw_chart chart = chart_of_ten_days();
    snprintf(chart.row[0].name, sizeof chart.row[0].name, "水の箱");
    const page p = draw(&chart, 0, 0);
    char line[512], other[512];
    const char *bar = strstr(line_of(&p, "水の箱", line, sizeof line), "━");
    const char *same = strstr(line_of(&p, "Propane", other, sizeof other), "━");
    assert_non_null(bar);
    assert_non_null(same);
    assert_int_equal(bar - line - 3, same - other); /* three more bytes than columns */
}

static void a_line_is_never_wider_than_the_screen(void **state)
{
    (void)state;
    lw_chart chart = chart_of_ten_days();
    chart.mark[0].at_days = 10.0;
    for (double days = 1.0; days <= 60.0; days += 0.5) {
        chart.days_shown = days;
        page p = draw(&chart, 0, 0);
        for (char *line = strtok(p.text, "\n"); line; line = strtok(NULL, "\n"))
            if (lw_columns_of(NULL, line) > WIDTH)
                fail_msg("%d columns with %g days: %s", lw_columns_of(NULL, line), days, line);
    }
}

static void only_the_binding_supply_is_warm(void **state)
{
    (void)state;
    const lw_chart chart = chart_of_ten_days();
    const page p = draw(&chart, 1, 0);
    char line[1024];
    assert_non_null(strstr(line_of(&p, "\033[1;31mGrey", line, sizeof line), "\033[1;31m━"));
    assert_null(strstr(line_of(&p, "Propane", line, sizeof line), "\033["));
    assert_null(strchr(draw(&chart, 0, 0).text, '\033'));
}

static void names_from_outside_cannot_steer_the_terminal(void **state)
{
    (void)state;
    lw_chart chart = chart_of_ten_days();
    snprintf(chart.row[0].name, sizeof chart.row[0].name, "a\033[2J\x9b\xc2\x9b\xffz");
    const page p = draw(&chart, 0, 0);
    char line[512];
    assert_int_equal(strncmp(line_of(&p, "a", line, sizeof line), "a?[2J???z", 9), 0);
    for (size_t i = 0; i < p.n; i++)
        assert_true(p.text[i] == '\n' || (unsigned char)p.text[i] >= 0x20);
}

static void ascii_has_ascii_only(void **state)
{
    (void)state;
    lw_chart chart = chart_of_ten_days();
    snprintf(chart.row[1].name, sizeof chart.row[1].name, "Zoë’s gas");
    const page p = draw(&chart, 0, 1);
    char line[512];
    for (size_t i = 0; i < p.n; i++)
        assert_true((unsigned char)p.text[i] < 0x80);
    assert_int_equal(strncmp(line_of(&p, "Zo", line, sizeof line), "Zo?'s gas", 9), 0);
}

static void a_narrow_screen_keeps_the_scale(void **state)
{
    (void)state;
    static lw_sink sink;
    const lw_chart chart = chart_of_ten_days();
    page p = {.n = 0};
    lw_err err = {0};
    char line[512];
    lw_sink_init(&sink, write_page, &p);
    lw_screen screen = {.sink = &sink, .width = LW_WIDTH_LEAST, .is_ascii = 1};
    lw_chart_text(&screen, &chart);
    assert_int_equal(lw_sink_flush(&sink, &err), LW_OK);
    assert_string_equal(line_of(&p, "Grey", line, sizeof line), "Grey water    4.0  ======------o.....      :");
}

static void a_mark_without_room_under_its_column_is_told_below(void **state)
{
    (void)state;
    lw_chart chart = chart_of_ten_days();
    chart.mark[0].at_days = 5.0;
    snprintf(chart.mark[0].text, sizeof chart.mark[0].text, "%s",
             "run to the town with the long name and back before it is night");
    assert_non_null(
        strstr(draw(&chart, 0, 1).text, "\n: run to the town with the long name and back before it is night\n"));
}

static void an_empty_chart_draws_nothing(void **state)
{
    (void)state;
    const lw_chart chart = {.days_shown = 0.0};
    assert_int_equal(draw(&chart, 0, 0).n, 0);
}

static void what_is_out_already_shows_its_dot(void **state)
{
    (void)state;
    lw_chart chart = chart_of_ten_days();
    chart.row[0].p10_days = chart.row[0].p50_days = chart.row[0].p90_days = 0.0;
    const page p = draw(&chart, 0, 1);
    char line[512];
    assert_string_equal(line_of(&p, "Grey", line, sizeof line),
                        "Grey water  12 gal of room    0.0  o                               :");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_bar_is_sure_then_likely_then_a_dot_then_thin),
        cmocka_unit_test(days_stand_where_they_begin),
        cmocka_unit_test(a_date_stands_under_its_own_day),
        cmocka_unit_test(a_name_of_double_width_keeps_its_row_in_line),
        cmocka_unit_test(a_line_is_never_wider_than_the_screen),
        cmocka_unit_test(only_the_binding_supply_is_warm),
        cmocka_unit_test(names_from_outside_cannot_steer_the_terminal),
        cmocka_unit_test(ascii_has_ascii_only),
        cmocka_unit_test(a_narrow_screen_keeps_the_scale),
        cmocka_unit_test(a_mark_without_room_under_its_column_is_told_below),
        cmocka_unit_test(an_empty_chart_draws_nothing),
        cmocka_unit_test(what_is_out_already_shows_its_dot),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
