/* Readings and events as they are typed, against the rig of examples/every-key.yaml. Intervals by hand from the rules of
 * core/learn/gauge.h; 1 gal = 3.785411784 L, 1 lb = 0.45359237 kg (NIST SP 811). */
#include "service/log.h"

#include <stdlib.h>
#include <string.h>

#include "tests/check.h"

#define GAL 3.785411784
#define LB  0.45359237
#define INF INFINITY

enum { WORDS = 12 };
static const int64_t AT_S = 1781000000;
static lw_loaded rig;

static int load_rig(void **state)
{
    lw_err err = {0};
    static const char *const CHANGE[] = {"rig.battery.voltage=12 V"};
    (void)state;
    return (int)lw_scenario_load(
        &(lw_scenario_from){.path = "examples/every-key.yaml", .change = CHANGE, .change_count = 1}, &rig, &err);
}

static int clear_rig(void **state)
{
    (void)state;
    lw_loaded_clear(&rig);
    return 0;
}

/* Words are parted by '|' here, as a shell parts them by blanks outside quotes. */
static lw_code read_line(const char *line, lw_logged *to, lw_err *err)
{
    static char copy[2048];
    const char *words[WORDS];
    int count = 0;
    snprintf(copy, sizeof copy, "%s", line);
    for (char *at = copy; *line && at && count < WORDS;) {
        words[count++] = at;
        at = strchr(at, '|');
        if (at)
            *at++ = '\0';
    }
    return lw_log_read(&rig, AT_S, words, count, to, err);
}

static void near_or_same(double got, double want, const char *line, const char *what)
{
    if (got == want || (isnan(got) && isnan(want)))
        return;
    CHECK_NEAR(got, want, 1e-9, "%s, %s", line, what);
}

static void a_reading_is_the_interval_that_its_gauge_says(void **state)
{
    static const struct {
        const char *line, *target;
        double low, high;
        const char *said;
    } row[] = {
        /* lamps at thirds: reached */
        {"main=1/3", "main", 40 * GAL / 3, 80 * GAL / 3, "main between 1/3 and 2/3 (13 to 27 gal)"},
        {"fresh/main=1/3", "main", 40 * GAL / 3, 80 * GAL / 3, NULL},
        {"fresh/ma=33 %", "main", 40 * GAL / 3, 80 * GAL / 3, NULL},
        {"main=full", "main", 0.97 * 40 * GAL, INF, "main full (39 gal or more)"},
        {"main=empty", "main", -INF, 40 * GAL / 3, "main below 1/3 (less than 13 gal)"},
        {"MAIN = 2/3", "main", 80 * GAL / 3, 0.97 * 40 * GAL, "main between 2/3 and full (27 to 39 gal)"},
        {"main=0", "main", -INF, 40 * GAL / 3, NULL},
        /* the light changed just now */
        {"main=2/3 to 1/3", "main", 80 * GAL / 3, 80 * GAL / 3, "main just went from 2/3 to 1/3 (about 26.7 gal)"},
        {"kitchen grey=1/4 to 1/2", "kitchen grey", 9 * GAL, 9 * GAL, NULL},
        {"kitchen|grey=1/4", "kitchen grey", 4.5 * GAL, 9 * GAL, "kitchen grey between 1/4 and 1/2 (4.5 to 9 gal)"},
        {"grey/kitchen|grey=1/4", "kitchen grey", 4.5 * GAL, 9 * GAL, NULL},
        {"kit=3/4", "kitchen grey", 13.5 * GAL, 0.97 * 18 * GAL, NULL},
        {"black=40 %", "black", 0.35 * 30 * GAL, 0.45 * 30 * GAL, "black 40% (10.5 to 13.5 gal)"},
        {"black=2/5", "black", 0.35 * 30 * GAL, 0.45 * 30 * GAL, NULL},
        {"black=50% to 40%", "black", 0.45 * 30 * GAL, 0.45 * 30 * GAL, NULL},
        /* scales: net, and with the cylinder of 17 lb */
        {"left=14 lb", "left", 13.5 * LB, 14.5 * LB, "left 14 lb (13.5 to 14.5 lb)"},
        {"right=31 lb", "right", 13.5 * LB, 14.5 * LB, NULL},
        {"right=full", "right", 19.5 * LB, INF, NULL},
        {"left=6 kg", "left", 6 - 0.5 * LB, 6 + 0.5 * LB, NULL},
        {"rear locker=2bags", "rear locker", 1.5 * 13 * GAL, INF, NULL},
        {"rear=1", "rear locker", 0.5 * 13 * GAL, 1.5 * 13 * GAL, NULL},
        {"data=12 GB", "phone plan", 11.5, 12.5, "phone plan 12 GB (11.5 to 12.5 GB)"},
        {"phone plan=900MB", "phone plan", 0.4, 1.4, NULL},
        {"fuel=3/4", "tank", 0.625 * 55 * GAL, 0.875 * 55 * GAL, "tank nearest to 3/4 (34 to 48 gal)"},
        {"battery=80 %", "battery", 0.775, 0.825, "battery 80% (77.5 to 82.5%)"},
        {"battery=12.4V", "battery", 12.35, 12.45, NULL},
        {"battery=12.4 V at rest", "battery", 12.35, 12.45, "battery 12.4 V at rest"},
        {"generator=412.3h", "generator", 412.3, 412.4, "generator 412.3 h"},
        {"gen=412 h 18 min", "generator", 412.3, 412.4, NULL},
        /* the eye */
        {"bottles=1/2", "bottles", 0.375 * 6 * GAL, 0.625 * 6 * GAL, "bottles by eye 3 gal (2.25 to 3.75 gal)"},
        {"bottles=4 gal", "bottles", 3.25 * GAL, 4.75 * GAL, NULL},
        {"food=20 person-days", "food", 20 - 0.125 * 42, 20 + 0.125 * 42, NULL},
        {"main=about 1/2", "main", 15 * GAL, 25 * GAL, "main by eye 20 gal (15 to 25 gal)"},
        {"main=about 12 gal", "main", 7 * GAL, 17 * GAL, NULL},
        {"filter=3/4", "filter", 0.625 * 400 * GAL, 0.875 * 400 * GAL, NULL},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_logged logged;
        lw_err err = {0};
        char said[LW_LOG_SAID];
        if (read_line(row[i].line, &logged, &err))
            fail_msg("%s is refused: %s", row[i].line, err.text);
        assert_int_equal(logged.count, 1);
        const lw_log_record *r = &logged.record[0];
        assert_string_equal(r->target, row[i].target);
        assert_int_equal(r->kind, LW_LOG_READING);
        near_or_same(r->low, row[i].low, row[i].line, "low");
        near_or_same(r->high, row[i].high, row[i].line, "high");
        lw_log_say(&rig, r, LW_UNITS_US, said, sizeof said);
        if (row[i].said && strcmp(said, row[i].said) != 0)
            fail_msg("%s is said as: %s", row[i].line, said);
    }
}

static void an_event_is_what_was_done(void **state)
{
    static const struct {
        const char *line;
        lw_log_kind kind;
        const char *targets; /* parted by ", " */
        double amount;
        const char *said; /* of the first */
    } row[] = {
        {"filled|fresh", LW_LOG_FILLED, "main, cans", NAN, "main filled to the brim"},
        {"filled|main", LW_LOG_FILLED, "main", NAN, NULL},
        {"fresh|filled", LW_LOG_FILLED, "main, cans", NAN, NULL},
        {"filled|main|20|gal", LW_LOG_FILLED, "main", 20 * GAL, "20 gal put into main"},
        {"filled|main|20 gal", LW_LOG_FILLED, "main", 20 * GAL, NULL},
        {"filled|main|20|gal|to|the|brim", LW_LOG_FILLED, "main", 20 * GAL, "20 gal put into main until it was full"},
        {"filled|main|to|the|brim", LW_LOG_FILLED, "main", NAN, "main filled to the brim"},
        {"dumped|grey|black", LW_LOG_DUMPED, "kitchen grey, bath grey, black", NAN, "kitchen grey emptied"},
        {"dumped|kitchen|grey|black", LW_LOG_DUMPED, "kitchen grey, black", NAN, NULL},
        {"dumped|black|4 gal", LW_LOG_DUMPED, "black", 4 * GAL, "4 gal taken out of black"},
        {"refuelled", LW_LOG_FILLED, "tank", NAN, NULL},
        {"refuelled|12 gal", LW_LOG_FILLED, "tank", 12 * GAL, NULL},
        {"refueled|tank|12|gal", LW_LOG_FILLED, "tank", 12 * GAL, NULL},
        {"rubbish|dropped", LW_LOG_DUMPED, "rear locker, vehicle", NAN, NULL},
        {"dropped|rear|1 bag", LW_LOG_DUMPED, "rear locker", 13 * GAL, NULL},
        {"gave|main|5|gal|to|Marlow", LW_LOG_GAVE, "main", 5 * GAL, "5 gal of main given to Marlow"},
        {"gave|cans|5 gal|to|the|Marlows", LW_LOG_GAVE, "cans", 5 * GAL, NULL},
        {"received|fuel|2 gal|from|Marlow", LW_LOG_RECEIVED, "tank", 2 * GAL, "2 gal of tank received from Marlow"},
        {"filled|left", LW_LOG_FILLED, "left", NAN, NULL},
        {"sanitised|fresh", LW_LOG_SANITISED, "main, cans", NAN, "main sanitised: its water is no longer doubted"},
        {"sanitized|cans", LW_LOG_SANITISED, "cans", NAN, NULL},
        {"sanitised", LW_LOG_SANITISED, "main, cans", NAN, NULL},
        {"people|+2", LW_LOG_PEOPLE, "", NAN, "2 people came"},
        {"people|-1", LW_LOG_PEOPLE, "", NAN, "1 person left"},
        {"people=+2", LW_LOG_PEOPLE, "", NAN, "2 people came"},
        {"people|+1|child", LW_LOG_PEOPLE, "", NAN, "1 child came"},
        {"people|-2|adults|until|2026-07-01", LW_LOG_PEOPLE, "", NAN, "2 adults left until Wed 1 Jul 12:00"},
        {"people|+Marlow", LW_LOG_PEOPLE, "", NAN, "Marlow came"},
        {"people|-ottilie", LW_LOG_PEOPLE, "", NAN, "Ottilie left"},
        {"people|-Ottilie|+1|teen|until|2026-07-01|9:30", LW_LOG_PEOPLE, ", ", NAN,
         "Ottilie left until Wed 1 Jul 09:30"},
        {"moved|Juniper|Bench", LW_LOG_MOVED, "", NAN, "moved to Juniper Bench"},
        {"moved|Far|Wash|at|38.57,-109.55,6000|ft", LW_LOG_MOVED, "", NAN, "moved to Far Wash"},
        {"habits|changed", LW_LOG_HABITS, "", NAN, "habits changed: earlier readings count less from now on"},
        {"spent|23.50|USD|propane", LW_LOG_SPENT, "propane", 23.5, "23.50 USD spent on propane"},
        {"spent=23.50 USD propane", LW_LOG_SPENT, "propane", 23.5, NULL},
        {"paid|$8|dump", LW_LOG_SPENT, "dump", 8.0, "8.00 USD spent on dump"},
        {"spent|CAD 61.07 groceries, a week", LW_LOG_SPENT, "food", 61.07, "61.07 CAD spent on food (a week)"},
        {"spent|-5 usd camp", LW_LOG_SPENT, "camp", -5.0, "5.00 USD came back for camp"},
        {"spent=0.01$ Gear", LW_LOG_SPENT, "gear", 0.01, NULL},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_logged logged;
        lw_err err = {0};
        char targets[200] = "", said[LW_LOG_SAID];
        if (read_line(row[i].line, &logged, &err))
            fail_msg("%s is refused: %s", row[i].line, err.text);
        for (int k = 0; k < logged.count; k++) {
            const size_t used = strlen(targets);
            snprintf(targets + used, sizeof targets - used, "%s%s", k ? ", " : "", logged.record[k].target);
            assert_int_equal(logged.record[k].kind, row[i].kind);
            near_or_same(logged.record[k].amount, row[i].amount, row[i].line, "amount");
        }
        assert_string_equal(targets, row[i].targets);
        lw_log_say(&rig, &logged.record[0], LW_UNITS_US, said, sizeof said);
        if (row[i].said && strcmp(said, row[i].said) != 0)
            fail_msg("%s is said as: %s", row[i].line, said);
    }
}

static void several_readings_stand_in_one_line(void **state)
{
    lw_logged logged;
    lw_err err = {0};
    (void)state;
    assert_int_equal(
        read_line("main=2/3|kitchen|grey=1/4|battery=12.4V|battery=80%|left=14 lb|black=?|gen=412.3h", &logged, &err),
        LW_OK);
    assert_int_equal(logged.count, 6);
    assert_int_equal(logged.unknown_count, 1); /* "I do not know" is kept as nothing */
    assert_string_equal(logged.unknown[0], "black");
    assert_string_equal(logged.record[1].target, "kitchen grey");
    assert_string_equal(logged.record[2].unit, "v");
    assert_string_equal(logged.record[3].unit, "frac");
    assert_true(logged.record[0].at_s == AT_S);
}

static void what_does_not_fit_is_refused_in_one_sentence(void **state)
{
    static const struct {
        const char *line, *text;
    } row[] = {
        {"", "say what a gauge shows, such as fresh=2/3"},
        {"fesh=1/3", "there is no fesh in this rig; did you mean fresh?"},
        {"xylophone=1/3", "there is no xylophone in this rig; there are main, cans,"},
        {"spent|23.50|propane", "23.50 propane has no currency; write 23.5 USD, or CAD, or MXN"},
        {"spent|USD|propane", "USD propane has no amount; write how much and what for: 23.50 USD propane"},
        {"spent|5 USD", "say what it was spent on: camp, permit, fuel,"},
        {"spent|5 USD gas", "gas is fuel or propane; say which"},
        {"spent|5 USD propan", "propan is no kind of expense; did you mean propane?"},
        {"spent|5 USD xylophone", "xylophone is no kind of expense; there are camp,"},
        {"spent|5.005 USD food", "an amount is at least a cent, in whole cents"},
        {"spent|0 USD food", "an amount is at least a cent, in whole cents"},
        {"spent|9e9 USD food", "an amount is at least a cent, in whole cents"},
        {"spent|$5 USD food", "$5 USD food has two currencies; write 23.50 USD"},
        {"spent", "say how much and what for: spent 23.50 USD propane"},
        {"spent=5 USD food a name of more letters than any fits", "what it was for is too long; 31 letters fit"},
        {"=1/3", "there is no thing without a name in this rig"},
        {"fresh=1/3",
         "fresh stands for several: main, cans; say which, or all fresh=1/2 where one gauge shows them together"},
        {"grey=1/3", "grey stands for several: kitchen grey, bath grey; say which, or all grey=1/2 where one gauge "
                     "shows them together"},
        {"b=1/3", "b may be bath grey, black, bottles, battery; write more of it"},
        {"fresh/kitchen grey=1/3", "there is no kitchen grey in this rig"},
        {"battery/main=1/3", "battery has no vessels; write its name alone"},
        {"main=1/2", "main cannot show 1/2; it can show empty, 1/3, 2/3, full; by eye write \"about 1/2\""},
        {"kitchen grey=1/3", "kitchen grey cannot show 1/3; it can show empty, 1/4, 1/2, 3/4, full;"},
        {"main=20 gal", "20 gal is not what main shows; it is read by lights: empty, 1/3, 2/3, full; by eye write"},
        {"main=", "nothing is not what main shows"},
        {"main=half", "half is not what main shows; it is read by lights"},
        {"main=about half", "half is not what main shows"},
        {"main=about 50 gal", "50 gal is more than main holds (40 gal)"},
        {"main=12.4V", "12.4V is not what main shows"},
        {"battery=12.4", "12.4 is not what battery shows; it is read by a voltmeter, such as 12.8 V, or a percentage"},
        {"battery=48V", "48V does not fit a battery of 12 V"},
        {"battery=120 %", "120 % is more than full"},
        {"battery=80% at rest", "at rest is said of volts"},
        {"left=30 lb", "30 lb is more than left holds (20 lb)"},
        {"left=-1 lb", "-1 lb is less than nothing"},
        {"left=1/2", "1/2 is not what left shows; it is read by a scale, such as 10 lb"},
        {"right=9 lb", "9 lb is less than the empty cylinder weighs (17 lb)"},
        {"rear locker=3 bags", "3 bags is more than rear locker holds"},
        {"generator=412", "412 is not what generator shows; it is read by an hour meter, such as 412.3 h"},
        {"generator=-4h", "-4h does not fit an engine's hours"},
        {"data=12", "12 is not what phone plan shows; it is read by an amount"},
        {"main=full to 1/3", "main does not go from full straight to 1/3; a change is one step"},
        {"main=1/3 to 1/3", "main does not go from 1/3 straight to 1/3"},
        {"battery=12.4V to 12.3V", "a change is of one gauge that shows a level"},
        {"main=1/3|main=2/3", "main stands twice in one line"},
        {"left=14|lb", "14 is not what left shows"},
        {"main=1/3|lb", "lb belongs to nothing; a value with a blank needs quotes"},
        {"main|1/3", "main says nothing yet; write what it shows: main=1/2"},
        {"filed|fresh", "filed is neither a reading nor an event; did you mean filled?"},
        {"hello|world", "hello is neither a reading (fresh=2/3) nor an event (filled, refuelled,"},
        {"filled", "say what was filled, such as filled fresh"},
        {"filled|grey", "kitchen grey is not filled; write dumped"},
        {"dumped|fresh", "main is not dumped; write filled, gave"},
        {"filled|battery", "the battery cannot be filled"},
        {"filled|fresh|20 gal", "fresh stands for several: main, cans; an amount is of one"},
        {"filled|main|50 gal", "50 gal is more than main holds (40 gal)"},
        {"filled|fresh|20 gal|to|the|brim", "fresh stands for several: main, cans; an amount is of one"},
        {"filled|main|0 gal", "0 gal does not fit; an amount is above zero"},
        {"filled|main|20", "20 has no unit; write 20 gal or"},
        {"filled|main|20 lb", "20 lb is mass; volume is needed"},
        {"filled|main|1/3", "1/3 has no unit"},
        {"refuelled|main", "refuelled is said of fuel; for main write filled"},
        {"dropped|black", "dropped is said of rubbish; for black write dumped"},
        {"sanitised|grey", "kitchen grey is no fresh tank"},
        {"sanitised|main|5 gal", "a tank is sanitised as a whole; leave out 5 gal"},
        {"gave|main|5 gal", "say to whom, such as gave fresh 5 gal to Marlow"},
        {"gave|main|5 gal|to", "say to whom"},
        {"gave|main|to|Marlow", "say how much, such as 5 gal"},
        {"gave|grey|5 gal|to|Marlow", "kitchen grey is not given"},
        {"received|fuel|2 gal", "say from whom"},
        {"people|2", "people takes who came or left, such as people +2, people -1 child or people -Ada"},
        {"people|+0", "people takes who came or left"},
        {"people|+2|dogs", "dogs is none of it"},
        {"people", "nothing is none of it"},
        {"people|-Nobody", "there is no Nobody in your crew"},
        {"people|+2|until", "say until when, such as until 2026-06-20 12:00"},
        {"people|+2|until|2020-01-01", "until 2020-01-01 is not after they came or left"},
        {"people|+2|until|Sunday", "Sunday"},
        {"moved", "say where to, such as moved Juniper Bench"},
        {"moved|Far Wash|at", "say where to, such as moved Juniper Bench"},
        {"moved|a place whose name is far too long to keep", "this name is too long; 31 letters fit"},
        {"habits|altered", "habits is neither a reading"},
        {"changed|plans", "what changed is written as habits changed"},
        {"dumped|grey|main=1/3", "main=1/3 is a reading; readings and an event are written each in a line of its own"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        static lw_logged logged;
        lw_err err = {0};
        logged.count = -1;
        if (!read_line(row[i].line, &logged, &err))
            fail_msg("%s is taken", row[i].line);
        if (!strstr(err.text, row[i].text))
            fail_msg("%s is refused with: %s", row[i].line, err.text);
        assert_int_equal(logged.count, -1); /* all or nothing */
        if (strchr(err.text, '\n') || err.text[strlen(err.text) - 1] == '.')
            fail_msg("%s: not one sentence in our form: %s", row[i].line, err.text);
    }
}

static void check_same(const lw_log_record *a, const lw_log_record *b, const char *text)
{
    const double slack = 1e-9 * (1.0 + (isfinite(a->high) ? fabs(a->high) : 0.0));
    if (a->kind != b->kind || a->vessel != b->vessel || a->gauge != b->gauge || a->is_at_rest != b->is_at_rest ||
        a->people != b->people || a->is_brim != b->is_brim || a->being != b->being ||
        a->is_kind_said != b->is_kind_said || a->until_s != b->until_s || a->also != b->also ||
        strcmp(a->where, b->where) != 0 || strcmp(a->party, b->party) != 0 || strcmp(a->unit, b->unit) != 0)
        fail_msg("%s is read as another record", text);
    const double left[] = {a->low, a->high, a->amount, a->shown, a->shown_before},
                 right[] = {b->low, b->high, b->amount, b->shown, b->shown_before};
    for (size_t i = 0; i < COUNT_OF(left); i++)
        if (left[i] != right[i] && !(isnan(left[i]) && isnan(right[i])))
            CHECK_NEAR(right[i], left[i], slack, "%s, number %zu", text, i);
}

/* What is printed is read as the same record: every gauge of the rig at 40 levels, and every event. */
static void a_record_survives_being_printed_and_read(void **state)
{
    static const char *const EVENT[] = {
        "filled|main",
        "filled|main|7.3 gal",
        "dumped|black|2 L",
        "gave|main|3 gal|to|Marlow",
        "people|-3",
        "received|left|3 lb|from|the|Marlows",
        "moved|Far|Wash",
        "habits|changed",
        "dropped|rear|1 bag",
        "main=2/3 to 1/3",
        "black=30% to 40%",
        "main=about 1/2",
        "right=25 lb",
        "battery=12.6V at rest",
        "filled|food",
        "sanitised|main",
        "all grey=1/2",
        "moved|Far|Wash|at|38.57,-109.55",
        "spent|-1234.50 MXN fuel|a full tank",
        "filled|main|7.3 gal|to|the|brim",
    };
    lw_logged first, again;
    lw_err err = {0};
    char text[200];
    (void)state;
    for (size_t i = 0; i < COUNT_OF(EVENT); i++) {
        assert_int_equal(read_line(EVENT[i], &first, &err), LW_OK);
        for (int k = 0; k < first.count; k++) {
            const char *words[WORDS], *whole = lw_log_print(&rig, &first.record[k], text, sizeof text);
            int count = 0;
            if (first.record[k].kind == LW_LOG_READING) {
                words[count++] = whole;
            } else {
                for (char *at = text; at && count < WORDS;) {
                    words[count++] = at;
                    at = strchr(at, ' ');
                    if (at)
                        *at++ = '\0';
                }
            }
            if (lw_log_read(&rig, AT_S, words, count, &again, &err))
                fail_msg("%s, printed, is refused: %s", EVENT[i], err.text);
            assert_int_equal(again.count, 1);
            check_same(&first.record[k], &again.record[0], EVENT[i]);
        }
    }
    for (int v = LW_LOG_GENERATOR; v < rig.scenario->rig.vessel_count; v++)
        for (int i = 0; i <= 40; i++) {
            const lw_gauges *gauges = v == LW_LOG_GENERATOR ? &rig.generator_gauges
                                      : v == LW_LOG_BATTERY ? &rig.battery_gauges
                                                            : &rig.vessel_gauges[v];
            const double capacity = v >= 0 ? rig.scenario->rig.vessel[v].capacity : 1.0;
            for (int g = 0; g < gauges->count; g++) {
                const lw_gauge_kind kind = gauges->gauge[g].kind;
                lw_log_record record = {
                    .kind = LW_LOG_READING, .at_s = AT_S, .vessel = v, .gauge = g, .shown_before = NAN, .amount = NAN};
                const double level = kind == LW_GAUGE_VOLTS   ? 11.0 + 0.05 * i
                                     : kind == LW_GAUGE_HOURS ? 3.7 * i
                                                              : capacity * i / 40.0;
                record.shown = lw_gauge_shows(&gauges->gauge[g], level, capacity);
                lw_gauge_says(&gauges->gauge[g], record.shown, capacity, &record.low, &record.high);
                snprintf(record.target, sizeof record.target, "%s",
                         v == LW_LOG_GENERATOR ? "generator"
                         : v == LW_LOG_BATTERY ? "battery"
                                               : rig.scenario->rig.vessel[v].name);
                const char *word = lw_log_print(&rig, &record, text, sizeof text);
                err = (lw_err){0};
                if (lw_log_read(&rig, AT_S, &word, 1, &again, &err))
                    fail_msg("%s, printed, is refused: %s", text, err.text);
                snprintf(record.unit, sizeof record.unit, "%s", again.record[0].unit);
                check_same(&record, &again.record[0], text);
            }
        }
}

static void a_time_is_civil_and_not_to_come(void **state)
{
    /* 2026-06-18 13:30 UTC is 7:30 in Denver (summer, six hours behind) */
    static const int64_t NOW = 1781789400, FROM = 1781000000;
    static const struct {
        const char *text;
        int64_t at_s;
        const char *refused;
    } row[] = {
        {NULL, 1781789400, NULL},
        {"2026-06-18 7:30", 1781789400, NULL},
        {"2026-06-18 7:00", 1781787600, NULL},
        {"7:00", 1781787600, NULL},
        {"7 am", 1781787600, NULL},
        {"2026-06-17 7:00 pm", 1781744400, NULL},
        {"2026-06-18 7:31", 0, "has not come yet; it is Thu 18 Jun 07:30"},
        {"8:00", 0, "8:00 has not come yet"},
        {"2026-06-01 7:30", 0, "is before this stay began"},
        {"2026-06-18", 0, "2026-06-18 has no time of day; write 2026-06-18 7:30"},
        {"2026-03-08 2:30", 0, "does not exist in America/Denver: the clock is put forward over it"},
        {"2026-02-30 7:30", 0, "30"},
        {"yesterday", 0, "yesterday"},
    };
    lw_zone zone = rig.zone;
    (void)state;
    assert_string_equal(zone.name, "America/Denver");
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_err err = {0};
        int64_t at_s = 0;
        int is_twice;
        const lw_code code = lw_log_time(&zone, row[i].text, NOW, FROM, &at_s, &is_twice, &err);
        if (!row[i].refused) {
            if (code || at_s != row[i].at_s)
                fail_msg("%s gives %lld, %s", row[i].text ? row[i].text : "now", (long long)at_s, err.text);
        } else if (!code || !strstr(err.text, row[i].refused)) {
            fail_msg("%s: %s", row[i].text, code ? err.text : "is taken");
        }
    }
}

/* Whatever is typed, an answer or one sentence. */
static void noise_is_no_harm(void **state)
{
    static const char *const PIECE[] = {"main",   "grey", "=",     "1/3",     "|",      " ",   "%", "to",
                                        "about ", "?",    "12.4V", "full",    "-",      "1e9", "/", "filled",
                                        "gave",   "lb",   "gal",   "at rest", "people", "+"};
    (void)state;
    srand(7);
    for (int round = 0; round < 20000; round++) {
        char line[256] = "";
        const int n = 1 + rand() % 9;
        for (int i = 0; i < n; i++)
            snprintf(line + strlen(line), sizeof line - strlen(line), "%s", PIECE[(size_t)rand() % COUNT_OF(PIECE)]);
        lw_logged logged;
        lw_err err = {0};
        const lw_code code = read_line(line, &logged, &err);
        if (code && (!err.text[0] || err.code != code))
            fail_msg("%s is refused without a sentence", line);
        for (int i = 0; !code && i < logged.count; i++)
            if (logged.record[i].low > logged.record[i].high)
                fail_msg("%s gives an interval turned round", line);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_reading_is_the_interval_that_its_gauge_says),
        cmocka_unit_test(an_event_is_what_was_done),
        cmocka_unit_test(several_readings_stand_in_one_line),
        cmocka_unit_test(what_does_not_fit_is_refused_in_one_sentence),
        cmocka_unit_test(a_record_survives_being_printed_and_read),
        cmocka_unit_test(a_time_is_civil_and_not_to_come),
        cmocka_unit_test(noise_is_no_harm),
    };
    return cmocka_run_group_tests(tests, load_rig, clear_rig);
}
