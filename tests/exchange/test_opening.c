#include "exchange/opening.h"

#include <string.h>

#include "core/base/civil.h"
#include "exchange/map_tags.h"
#include "tests/check.h"

/* Bits of the hours from..to. */
static uint32_t hours(int from, int to)
{
    return ((UINT32_C(1) << to) - 1u) & ~((UINT32_C(1) << from) - 1u);
}

#define ALL 0xFFFFFFu

/* Texts of the kinds that the OpenStreetMap wiki ("Key:opening_hours", "Key:opening_hours/specification") gives as examples; hours by its words. 2026-06-01 is a
 * Monday. */
static void hours_are_those_the_rules_say(void **state)
{
    static const struct {
        const char *text;
        lw_date on;
        uint32_t want;
    } row[] = {
        {"24/7", {2026, 6, 7}, ALL},
        {"Mo-Su 00:00-24:00", {2026, 6, 7}, ALL},
        {"08:00-17:00", {2026, 6, 7}, 0x1FF00u},
        {"Mo-Fr 08:00-17:30", {2026, 6, 1}, 0x1FF00u}, /* the half hour is no whole one */
        {"Mo-Fr 08:00-17:30", {2026, 6, 6}, 0},
        {"Mo-Fr 08:00-12:00,13:00-17:30; Sa 08:00-12:00; PH off", {2026, 6, 5}, 0x1EF00u},
        {"Mo-Fr 08:00-12:00,13:00-17:30; Sa 08:00-12:00; PH off", {2026, 6, 6}, 0xF00u},
        {"Mo-Fr 08:00-12:00, Sa 09:00-11:00", {2026, 6, 6}, 0x600u},
        {"Mo-Su 10:00-20:00; Tu off", {2026, 6, 2}, 0},
        {"Mo-Su 10:00-20:00; Tu off", {2026, 6, 3}, 0xFFC00u},
        {"Mo-Sa 10:00-20:00; Tu 10:00-14:00", {2026, 6, 2}, 0x3C00u}, /* the later rule has the day */
        {"Mo-Fr 08:00-18:00; 12:00-13:00 off", {2026, 6, 1}, 0x3EF00u},
        {"Fr-Mo 10:00-12:00", {2026, 6, 1}, 0xC00u},
        {"Fr-Mo 10:00-12:00", {2026, 6, 2}, 0},
        {"Fr,Sa 20:00-02:00", {2026, 6, 6}, 0xF00003u}, /* the end of Friday's and the beginning of its own */
        {"Fr,Sa 20:00-02:00", {2026, 6, 7}, 0x3u},
        {"Sa 22:00-26:00", {2026, 6, 7}, 0x3u},
        {"May-Sep", {2026, 9, 30}, ALL},
        {"May-Sep", {2026, 10, 1}, 0},
        {"Nov-Mar off", {2026, 1, 1}, 0},
        {"24/7; Nov-Mar off", {2026, 6, 1}, ALL},
        {"24/7; Nov-Mar off", {2026, 11, 1}, 0},
        {"Apr 15-Oct 31: Mo-Su 07:00-22:00", {2026, 4, 14}, 0},
        {"Apr 15-Oct 31: Mo-Su 07:00-22:00", {2026, 4, 15}, 0x3FFF80u},
        {"Apr 15-30 07:00-22:00", {2026, 5, 1}, 0},
        {"Dec 25 off; 06:00-22:00", {2026, 12, 25}, 0x3FFFC0u}, /* the later one again */
        {"06:00-22:00; Dec 25 off", {2026, 12, 25}, 0},
        {"Apr,Jun-Aug Sa,Su 09:00-17:00", {2026, 5, 2}, 0},
        {"Apr,Jun-Aug Sa,Su 09:00-17:00", {2026, 6, 6}, 0x1FE00u},
        {"Apr-Oct 24/7", {2026, 6, 6}, ALL},
        {"PH,Mo-Fr 09:00-12:00", {2026, 6, 1}, 0xE00u},
        {"closed", {2026, 6, 1}, 0},
        {"Mo-Fr 09:00-17:00;", {2026, 6, 1}, 0x1FE00u},
    };
    (void)state;
    assert_int_equal(hours(8, 17), 0x1FF00u);
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_opening o;
        lw_opening_read(row[i].text, &o);
        if (!o.is_understood)
            fail_msg("\"%s\" is not understood", row[i].text);
        const uint32_t got = lw_opening_hours(&o, lw_day_of(row[i].on));
        if (got != row[i].want)
            fail_msg("\"%s\" on %d-%02d-%02d: hours %06x, want %06x", row[i].text, row[i].on.year, row[i].on.month,
                     row[i].on.day, got, row[i].want);
    }
}

static void what_is_not_understood_is_never_open(void **state)
{
    static const char *const text[] = {
        "",
        "sunrise-sunset",
        "Mo-Fr 08:00-sunset",
        "Mo-Fr 08:00+",
        "Sa[1] 09:00-12:00",
        "week 1-20 Mo 08:00-12:00",
        "2026 May-Sep 08:00-12:00",
        "SH 08:00-12:00",
        "\"by appointment\"",
        "Mo-Fr 08:00-12:00 \"ring the bell\"",
        "Mo-Fr 08:00-12:00 || \"on request\"",
        "easter off",
        "Mo-Fr unknown",
        "08:00",
        "8-17",
        "25:00-26:00",
        "08:00-12:60",
        "Mo-Fr 8.00-12.00",
        "Mo-",
        "May-",
        "Apr 15-Oct 08:00-12:00",
        "Monday 08:00-12:00",
        "open all year",
        "1;2;3;4;5;6;7;8;9;10;11;12;13;14;15;16;17;18",
        "Mo;Mo;Mo;Mo;Mo;Mo;Mo;Mo;Mo;Mo;Mo;Mo;Mo;Mo;Mo;Mo;Mo;Mo",
        "01:00-02:00,01:00-02:00,01:00-02:00,01:00-02:00,01:00-02:00,01:00-02:00,01:00-02:00",
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(text); i++) {
        lw_opening o;
        int is_open = 1;
        lw_opening_read(text[i], &o);
        if (o.is_understood)
            fail_msg("\"%s\" is taken for understood", text[i]);
        for (int64_t day = 20605; day < 20612; day++)
            assert_int_equal(lw_opening_hours(&o, day), 0);
        assert_int_equal(lw_opening_next_min(&o, 20605, 600, &is_open), -1);
        assert_int_equal(is_open, 0);
    }
}

static void the_next_change_is_found_over_days(void **state)
{
    lw_opening o;
    int is_open;
    (void)state;
    const int64_t friday = lw_day_of((lw_date){2026, 6, 5});
    lw_opening_read("Mo-Fr 08:00-17:30; PH off", &o);
    assert_int_equal(o.has_holidays, 1);
    assert_int_equal(lw_opening_next_min(&o, friday, 17 * 60, &is_open), 30);
    assert_int_equal(is_open, 1);
    assert_int_equal(lw_opening_next_min(&o, friday, 18 * 60, &is_open), 2 * 1440 + 14 * 60); /* Monday at 8 */
    assert_int_equal(is_open, 0);
    lw_opening_read("24/7", &o);
    assert_int_equal(lw_opening_next_min(&o, friday, 0, &is_open), -1);
    assert_int_equal(is_open, 1);
    lw_opening_read("Fr 22:00-03:00", &o);
    assert_int_equal(lw_opening_next_min(&o, friday, 23 * 60, &is_open), 240);
}

static void hours_are_found_among_the_tags_that_are_kept(void **state)
{
    char buf[64];
    (void)state;
    assert_int_equal(lw_map_tag_of("fee=yes; charge=10 USD; opening_hours=Mo-Sa 06:00-21:00; Su off; access=yes",
                                   "opening_hours", buf, sizeof buf),
                     1);
    assert_string_equal(buf, "Mo-Sa 06:00-21:00; Su off");
    assert_int_equal(lw_map_tag_of("opening_hours=24/7", "opening_hours", buf, sizeof buf), 1);
    assert_string_equal(buf, "24/7");
    assert_int_equal(lw_map_tag_of("fee=yes", "opening_hours", buf, sizeof buf), 0);
    assert_int_equal(lw_map_tag_of(NULL, "opening_hours", buf, sizeof buf), 0);
    assert_int_equal(lw_map_tag_of("opening_hours=Mo-Fr 08:00-12:00; Sa off", "opening_hours", buf, 8), 1);
    assert_string_equal(buf, "Mo-Fr 0");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(hours_are_those_the_rules_say),
        cmocka_unit_test(what_is_not_understood_is_never_open),
        cmocka_unit_test(the_next_change_is_found_over_days),
        cmocka_unit_test(hours_are_found_among_the_tags_that_are_kept),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
