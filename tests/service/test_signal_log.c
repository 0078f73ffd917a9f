/* Signal by thumb: what is typed, kept, and told by hour of day. Medians by hand. */
#include "service/signal_log.h"

#include <stdlib.h>
#include <string.h>

#include "tests/check.h"

enum { WORDS = 12 };

static lw_code read_line(const char *line, lw_signal *to, lw_err *err)
{
    static char copy[400];
    const char *words[WORDS];
    int count = 0;
    snprintf(copy, sizeof copy, "%s", line);
    for (char *at = copy; *line && at && count < WORDS;) {
        words[count++] = at;
        at = strchr(at, '|');
        if (at)
            *at++ = '\0';
    }
    return lw_signal_read(words, count, to, err);
}

static void what_is_typed_is_kept_and_said(void **state)
{
    static const struct {
        const char *line, *said;
    } row[] = {
        {"carrier=Anycell|bars=3", "signal of Anycell: 3 bars"},
        {"carrier=Anycell|device=phone|antenna=roof|dbm=-98 dBm", "signal of Anycell, phone, roof: -98 dBm"},
        {"carrier=Anycell|antenna=roof|dbm=-98", "signal of Anycell, roof: -98 dBm"},
        {"carrier=Any Cell|down=12 Mbit/s|up=800 kbit/s|call=no",
         "signal of Any Cell: 12 Mbit/s down, 800 kbit/s up, no call is possible"},
        {"carrier=Anycell|bars=?|call=yes", "signal of Anycell: a call is possible"},
        {"carrier=Anycell|bars=2.5 bars|dbm=-101|call=yes",
         "signal of Anycell: 2.5 bars, -101 dBm, a call is possible"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_signal typed, kept;
        lw_entry entry;
        lw_err err = {0};
        char target[LW_SIGNAL_TARGET], detail[LW_SIGNAL_DETAIL], said[LW_SIGNAL_SAID];
        if (read_line(row[i].line, &typed, &err))
            fail_msg("%s is refused: %s", row[i].line, err.text);
        lw_entry_of_signal(&typed, target, detail, &entry);
        lw_signal_of_entry(&entry, &kept);
        lw_signal_say(&kept, said, sizeof said);
        assert_string_equal(said, row[i].said);
        assert_string_equal(kept.device, typed.device);
        assert_string_equal(kept.antenna, typed.antenna);
        assert_int_equal(kept.call, typed.call);
    }
}

static void what_does_not_fit_is_refused(void **state)
{
    static const struct {
        const char *line, *text;
    } row[] = {
        {"", "say whose signal it is, such as carrier=Anycell"},
        {"bars=3", "say whose signal it is"},
        {"carrier=Anycell", "say what it is like"},
        {"carrier=Anycell|bars=?", "say what it is like"},
        {"carrier=|bars=3", "carrier: 1 to 31 letters"},
        {"carrier=a/b|bars=3", "without a slash"},
        {"carrier=Anycell|bars=6", "bars: 6 does not fit; from 0 to 5 does"},
        {"carrier=Anycell|bars=many", "bars: many does not fit"},
        {"carrier=Anycell|dbm=98", "dbm: 98 does not fit; from -150 to -20 does"},
        {"carrier=Anycell|dbm=-98 dB", "dbm: -98 dB does not fit"},
        {"carrier=Anycell|down=12", "12 has no unit; write 12 Mbit/s"},
        {"carrier=Anycell|down=-1 Mbit/s", "down: -1 Mbit/s is less than nothing"},
        {"carrier=Anycell|call=maybe", "call: maybe is neither yes nor no"},
        {"carrier=Anycell|bar=3", "did you mean bars=?"},
        {"carrier=Anycell|colour=red", "colour=red is no part of signal; there are carrier, device"},
        {"carrier=Anycell|bars", "bars is no part of signal"},
        {"carrier=Anycell|bars=3|bars=2", "bars stands twice in one line"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_signal signal;
        lw_err err = {0};
        if (!read_line(row[i].line, &signal, &err))
            fail_msg("%s is taken", row[i].line);
        if (!strstr(err.text, row[i].text))
            fail_msg("%s: %s", row[i].line, err.text);
    }
}

/* 2026-06-13 is a Saturday, 2026-06-16 a Tuesday (ISO 8601); the place is six hours behind UTC. */
static void a_saturday_evening_is_not_a_tuesday_morning(void **state)
{
    static const struct {
        int64_t at_s;
        double dbm, down_mbit;
        int call, is_undone;
    } seen[] = {
        {1781398800, -98, 1.0, 0, 0},                                 /* Sat 19:00 */
        {1781400600, -99, 3.0, 1, 0},                                 /* Sat 19:30 */
        {1781402399, NAN, 2.0, -1, 0}, {1781402400, -80, 9.0, -1, 0}, /* Sat 20:00: the next hour */
        {1781614800, -98, 24.0, 1, 0},                                /* Tue 07:00 */
        {1781616000, -90, NAN, -1, 1},                                /* taken back */
    };
    static char target[COUNT_OF(seen)][LW_SIGNAL_TARGET], detail[COUNT_OF(seen)][LW_SIGNAL_DETAIL];
    static lw_entry entry[COUNT_OF(seen) + 1];
    static const lw_zone ZONE = {.name = "six behind", .count = 1, .offset_s = {-21600}};
    lw_signal_row *rows = NULL;
    size_t count = 0;
    lw_err err = {0};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(seen); i++) {
        const lw_signal signal = {.carrier = "Anycell",
                                  .bars = NAN,
                                  .dbm = seen[i].dbm,
                                  .down_mbit = seen[i].down_mbit,
                                  .up_mbit = NAN,
                                  .call = seen[i].call};
        lw_entry_of_signal(&signal, target[i], detail[i], &entry[i]);
        entry[i].stated_s = seen[i].at_s;
        entry[i].is_undone = seen[i].is_undone;
    }
    entry[COUNT_OF(seen)] = (lw_entry){.kind = LW_ENTRY_NOTE};
    const lw_entries entries = {.entry = entry, .count = COUNT_OF(entry)};
    assert_int_equal(lw_signal_table(&ZONE, &entries, &rows, &count, &err), LW_OK);
    assert_int_equal(count, 3);
    assert_int_equal(rows[0].hour, 7);
    assert_int_equal(rows[0].is_weekend, 0);
    assert_int_equal(rows[0].readings, 1);
    CHECK_NEAR(rows[0].down_mbit, 24.0, 1e-12, "Tuesday morning");
    assert_int_equal(rows[1].hour, 19);
    assert_int_equal(rows[1].is_weekend, 1);
    assert_int_equal(rows[1].readings, 3);
    CHECK_NEAR(rows[1].dbm, -98.5, 1e-12, "median of two");
    CHECK_NEAR(rows[1].down_mbit, 2.0, 1e-12, "median of three");
    assert_int_equal(rows[1].calls, 1);
    assert_int_equal(rows[1].calls_asked, 2);
    assert_true(isnan(rows[1].bars));
    assert_int_equal(rows[2].hour, 20);
    free(rows);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_typed_is_kept_and_said),
        cmocka_unit_test(what_does_not_fit_is_refused),
        cmocka_unit_test(a_saturday_evening_is_not_a_tuesday_morning),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
