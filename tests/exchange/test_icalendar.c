#include "tests/check.h"

#include <libical/ical.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/civil.h"
#include "exchange/icalendar.h"
#include "text/utf8.h"

static const int64_t STAMP_S = 1781085600; /* 2026-06-10 10:00 UTC */

static char *printed(const lw_ical *calendar)
{
    char *text = NULL;
    lw_err err = {0};
    if (lw_ical_print(calendar, &text, &err))
        fail_msg("refused: %s", err.text);
    return text;
}

static char *one_event(const lw_ical_event *event)
{
    return printed(&(lw_ical){.name = "Camp", .version = "0.1", .stamp_s = STAMP_S, .event = event, .count = 1});
}

/* RFC 5545, section 3.1: lines end in CR LF, hold at most 75 octets without it, and here no character is cut in two. */
static void hold_lines(const char *text)
{
    size_t column = 0, n;
    for (const char *at = text; *at; at += n) {
        n = lw_utf8_length(at);
        if (n == 0)
            fail_msg("no UTF-8 at byte %zu of:\n%s", (size_t)(at - text), text);
        if (*at == '\r') {
            if (at[1] != '\n')
                fail_msg("a CR without LF in:\n%s", text);
            n = 2;
            column = 0;
            /* what follows a fold begins with a blank, so a whole character is on each side */
            continue;
        }
        if (*at == '\n')
            fail_msg("an LF without CR in:\n%s", text);
        column += n;
        if (column > 75)
            fail_msg("a line of over 75 bytes in:\n%s", text);
    }
    if (column != 0)
        fail_msg("the last line does not end: %s", text);
}

/* What libical reads, without any error property that it leaves where it did not understand. */
static icalcomponent *read_back(const char *text)
{
    icalcomponent *root = icalparser_parse_string(text);
    if (!root)
        fail_msg("libical reads nothing from:\n%s", text);
    if (icalcomponent_count_errors(root) != 0)
        fail_msg("libical finds errors in:\n%s", text);
    if (!icalrestriction_check(root))
        fail_msg("libical finds properties that do not belong in:\n%s", text);
    return root;
}

static icalcomponent *event_of(icalcomponent *root)
{
    return icalcomponent_get_first_component(root, ICAL_VEVENT_COMPONENT);
}

static void hold_text(icalcomponent *event, icalproperty_kind kind, const char *want)
{
    const icalproperty *property = icalcomponent_get_first_property(event, kind);
    const char *got = property ? icalvalue_get_text(icalproperty_get_value(property)) : NULL;
    if (!got || strcmp(got, want) != 0)
        fail_msg("libical reads \"%s\", written was \"%s\"", got ? got : "nothing", want);
}

static void texts_come_back_from_libical_as_they_were(void **state)
{
    static const char *const text[] = {
        "Run to town",
        "water, dump; rubbish \\ propane",
        "line one\nline two\n\nline four",
        "\\n is no line break, nor is \\\\n",
        "ends in a backslash\\",
        "quotes \"and\" colons: key=value;param",
        "BEGIN:VEVENT\nEND:VCALENDAR",
        "tab\there",
        "caf\xC3\xA9, \xE2\x82\xAC 12, \xF0\x9F\x9A\x90 camper, \xE6\xB0\xB4",
        "two  blanks inside", /* at the ends libical takes them off */
        ",;,;,;\\\\;;,,",
        "a",
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(text); i++) {
        char *ics = one_event(&(lw_ical_event){.uid = "x@leeway",
                                               .summary = text[i],
                                               .description = text[i],
                                               .location = text[i],
                                               .start_s = STAMP_S,
                                               .end_s = STAMP_S + 3600});
        hold_lines(ics);
        icalcomponent *root = read_back(ics);
        hold_text(event_of(root), ICAL_SUMMARY_PROPERTY, text[i]);
        hold_text(event_of(root), ICAL_DESCRIPTION_PROPERTY, text[i]);
        hold_text(event_of(root), ICAL_LOCATION_PROPERTY, text[i]);
        icalcomponent_free(root);
        free(ics);
    }
}

/* Every length around the folds, with characters of one to four bytes and escapes across them. */
static void folds_of_every_length_come_back(void **state)
{
    static const char *const piece[] = {"a", "\xC3\xA9", "\xE2\x82\xAC", "\xF0\x9F\x9A\x90", ",", "\n", " "};
    (void)state;
    for (size_t k = 0; k < COUNT_OF(piece); k++)
        for (size_t count = 10; count < 90; count++) {
            char text[512] = "x";
            for (size_t i = 0; i < count; i++)
                strcat(text, piece[k]);
            strcat(text, "z");
            char *ics = one_event(
                &(lw_ical_event){.uid = "x@leeway", .summary = text, .start_s = STAMP_S, .end_s = STAMP_S + 3600});
            hold_lines(ics);
            icalcomponent *root = read_back(ics);
            hold_text(event_of(root), ICAL_SUMMARY_PROPERTY, text);
            icalcomponent_free(root);
            free(ics);
        }
}

static void what_is_no_text_is_replaced(void **state)
{
    static const struct {
        const char *text, *want;
    } row[] = {
        {"a\x01z", "a z"},
        {"a\x7Fz", "a z"},
        {"a\r\nz", "a\nz"},
        {"a\rz", "a\nz"},
        {"a\xC3", "a\xEF\xBF\xBD"},
        {"\xFF\xFEz", "\xEF\xBF\xBD\xEF\xBF\xBDz"},
        {"\xED\xA0\x80", "\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        char *ics = one_event(
            &(lw_ical_event){.uid = "x@leeway", .summary = row[i].text, .start_s = STAMP_S, .end_s = STAMP_S + 3600});
        hold_lines(ics);
        icalcomponent *root = read_back(ics);
        hold_text(event_of(root), ICAL_SUMMARY_PROPERTY, row[i].want);
        icalcomponent_free(root);
        free(ics);
    }
}

static void times_days_alarms_and_places_come_back(void **state)
{
    const lw_ical_event event[] = {
        {.uid = lw_ical_uid("camp", "run", 1).text,
         .summary = "Run",
         .start_s = STAMP_S,
         .end_s = STAMP_S + 5400,
         .category = "run",
         .has_alarm = 1,
         .alarm_before_s = 2 * 86400 + 1800,
         .has_place = 1,
         .latitude_deg = 38.5,
         .longitude_deg = -109.25},
        {.uid = "stay@leeway",
         .summary = "Last day",
         .is_whole_days = 1,
         .from_day = lw_day_of((lw_date){2028, 2, 29}),
         .until_day = lw_day_of((lw_date){2028, 3, 1}),
         .is_free = 1},
    };
    (void)state;
    char *ics = printed(&(lw_ical){.version = "0.1", .stamp_s = STAMP_S, .event = event, .count = 2});
    icalcomponent *root = read_back(ics), *run = event_of(root);
    const struct icaltimetype start = icalcomponent_get_dtstart(run), end = icalcomponent_get_dtend(run);
    assert_int_equal(icaltime_as_timet_with_zone(start, icaltimezone_get_utc_timezone()), STAMP_S);
    assert_int_equal(icaltime_as_timet_with_zone(end, icaltimezone_get_utc_timezone()), STAMP_S + 5400);
    assert_true(icaltime_is_utc(start));
    assert_int_equal(icaltime_as_timet_with_zone(icalcomponent_get_dtstamp(run), icaltimezone_get_utc_timezone()),
                     STAMP_S);
    const struct icalgeotype geo = icalproperty_get_geo(icalcomponent_get_first_property(run, ICAL_GEO_PROPERTY));
    CHECK_NEAR(geo.lat, 38.5, 1e-9, "latitude");
    CHECK_NEAR(geo.lon, -109.25, 1e-9, "longitude");
    icalcomponent *alarm = icalcomponent_get_first_component(run, ICAL_VALARM_COMPONENT);
    const struct icaltriggertype trigger =
        icalproperty_get_trigger(icalcomponent_get_first_property(alarm, ICAL_TRIGGER_PROPERTY));
    assert_int_equal(icaldurationtype_as_int(trigger.duration), -(2 * 86400 + 1800));
    icalcomponent *stay = icalcomponent_get_next_component(root, ICAL_VEVENT_COMPONENT);
    assert_true(icalcomponent_get_dtstart(stay).is_date);
    assert_int_equal(icalcomponent_get_dtstart(stay).day, 29);
    assert_int_equal(icalcomponent_get_dtend(stay).month, 3);
    assert_int_equal(icalproperty_get_transp(icalcomponent_get_first_property(stay, ICAL_TRANSP_PROPERTY)),
                     ICAL_TRANSP_TRANSPARENT);
    icalcomponent_free(root);
    free(ics);
}

/* RFC 5545, section 3.8.7.4: a sequence rises with each change; the uid is what stays. */
static void a_later_export_moves_the_event_of_the_same_uid(void **state)
{
    const lw_ical_uid_text uid = lw_ical_uid("camp", "run", 2);
    lw_ical_event event = {.uid = uid.text, .summary = "Run", .start_s = STAMP_S, .end_s = STAMP_S + 1};
    int sequence[2];
    (void)state;
    for (int i = 0; i < 2; i++) {
        event.start_s += 3600 * i;
        event.end_s += 3600 * i;
        char *ics = printed(&(lw_ical){.version = "0.1", .stamp_s = STAMP_S + 600 * i, .event = &event, .count = 1});
        icalcomponent *root = read_back(ics);
        assert_string_equal(icalcomponent_get_uid(event_of(root)), uid.text);
        sequence[i] = icalcomponent_get_sequence(event_of(root));
        icalcomponent_free(root);
        free(ics);
    }
    assert_int_equal(sequence[1] - sequence[0], 10);
    assert_string_equal(lw_ical_uid("camp", "run", 2).text, uid.text);
    assert_string_not_equal(lw_ical_uid("camp", "run", 3).text, uid.text);
    assert_string_not_equal(lw_ical_uid("other", "run", 2).text, uid.text);
}

static void what_cannot_be_an_event_is_refused(void **state)
{
    static const lw_ical_event good = {.uid = "a", .summary = "b", .start_s = 1, .end_s = 2};
    const struct {
        lw_ical_event event;
        int64_t stamp_s;
        size_t count;
        lw_code want;
    } row[] = {
        {good, STAMP_S, 1, LW_OK},
        {good, STAMP_S, 0, LW_E_MISSING},
        {good, STAMP_S, 2, LW_E_CONFLICT},
        {good, STAMP_S, LW_ICAL_MOST + 1, LW_E_FULL},
        {good, 0, 1, LW_E_RANGE},
        {{.summary = "b"}, STAMP_S, 1, LW_E_MISSING},
        {{.uid = "a", .summary = ""}, STAMP_S, 1, LW_E_MISSING},
        {{.uid = "a", .summary = "b", .start_s = 2, .end_s = 1}, STAMP_S, 1, LW_E_RANGE},
        {{.uid = "a", .summary = "b", .start_s = -1, .end_s = 1}, STAMP_S, 1, LW_E_RANGE},
        {{.uid = "a", .summary = "b", .is_whole_days = 1, .from_day = 3, .until_day = 3}, STAMP_S, 1, LW_E_RANGE},
        {{.uid = "a", .summary = "b", .is_whole_days = 1, .from_day = 3, .until_day = INT64_MAX},
         STAMP_S,
         1,
         LW_E_RANGE},
        {{.uid = "a", .summary = "b", .has_alarm = 1, .alarm_before_s = -1}, STAMP_S, 1, LW_E_RANGE},
        {{.uid = "a", .summary = "b", .has_place = 1, .latitude_deg = NAN}, STAMP_S, 1, LW_E_RANGE},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        const lw_ical_event event[] = {row[i].event, row[i].event};
        char *text = NULL;
        lw_err err = {0};
        const lw_code got = lw_ical_print(
            &(lw_ical){.version = "0.1", .stamp_s = row[i].stamp_s, .event = event, .count = row[i].count}, &text,
            &err);
        if (got != row[i].want || (got && !err.text[0]) || (text != NULL) != (got == LW_OK))
            fail_msg("row %zu: got %d \"%s\", want %d", i, got, err.text, row[i].want);
        free(text);
    }
}

int main(void)
{
    const struct CMUnitTest test[] = {
        cmocka_unit_test(texts_come_back_from_libical_as_they_were),
        cmocka_unit_test(folds_of_every_length_come_back),
        cmocka_unit_test(what_is_no_text_is_replaced),
        cmocka_unit_test(times_days_alarms_and_places_come_back),
        cmocka_unit_test(a_later_export_moves_the_event_of_the_same_uid),
        cmocka_unit_test(what_cannot_be_an_event_is_refused),
    };
    return cmocka_run_group_tests(test, NULL, NULL);
}
