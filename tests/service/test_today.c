/* What to do today: invented camps; what is found is held against running the camp again. */
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/check.h"

#include "service/allowance.h"
#include "service/today.h"
#include "service/today_json.h"
#include "tests/service/camp_answer.h"

typedef struct morning {
    lw_outlook_answer answer;
    lw_today today;
} morning;

static morning *today_of(lw_scenario *scenario, int64_t after_s, double engine_h)
{
    morning *m = calloc(1, sizeof *m);
    lw_err err = {0};
    assert_non_null(m);
    m->answer = camp_answer(scenario, 1);
    const lw_today_in in = {.answer = &m->answer, .now_s = m->answer.outlook->start_s + after_s, .engine_h = engine_h};
    if (lw_today_make(&in, &m->today, &err) != LW_OK)
        fail_msg("%s: %s", err.where, err.text);
    return m;
}

static void end_of(morning *m)
{
    lw_outlook_answer_clear(&m->answer);
    free(m);
}

static const lw_todo *todo_of(const lw_today *t, lw_todo_kind kind)
{
    for (int i = 0; i < t->count; i++)
        if (t->item[i].kind == kind)
            return &t->item[i];
    return NULL;
}

/* The cold camp with a set, and power enough in it. */
static lw_scenario *cold_with_generator(void)
{
    lw_scenario *s = camp_cold_night();
    s->rig.generator.is_present = 1;
    s->rig.generator.is_automatic = 0;
    s->rig.battery.capacity_ah = 200.0;
    s->rig.battery.charge_limit_a = 60.0;
    s->rig.battery.floor_frac = 0.25;
    memset(s->rig.generator.run, 0, sizeof s->rig.generator.run);
    for (int d = 0; d < 7; d++) {
        s->rig.generator.allowed[d] = 0;
        for (int h = 8; h < 20; h++)
            s->rig.generator.allowed[d] |= UINT32_C(1) << h;
    }
    return s;
}

static lw_scenario *copy_of(const lw_scenario *scenario)
{
    lw_scenario *s = malloc(sizeof *s);
    if (!s)
        abort();
    *s = *scenario;
    return s;
}

static lw_scenario *with_run(const lw_scenario *scenario, int from, int hours)
{
    lw_scenario *s = copy_of(scenario);
    for (int h = from; h < from + hours; h++)
        s->rig.generator.run[s->calendar.weekday[h]] |= UINT32_C(1) << s->calendar.civil_hour[h];
    return s;
}

/* From the arrival to hour `to`, the set on for `hours` from `from`: does the battery keep above its floor? By the plain hour
 * loop over a scenario of its own. */
static int keeps_floor(const lw_scenario *scenario, int from, int hours, int to)
{
    /* NOLINTNEXTLINE(clang-analyzer-unix.Malloc): camp_free below frees it, which the analyser loses sight of */
    camp c = camp_prepare(with_run(scenario, from, hours), 1);
    const lw_scenario *s = c.scenario;
    lw_state state;
    int keeps = 1;
    lw_state_start(c.context, &state);
    for (int h = 0; h < to && keeps; h++) {
        lw_flows flows;
        lw_step_once(c.context, LW_MODE_JOINT, h, &state, &flows);
        keeps = lw_state_battery_frac(c.context, &state) > s->rig.battery.floor_frac && !state.cut;
    }
    camp_free(&c);
    return keeps;
}

static int civil_is(const lw_scenario *s, int hour, int civil_hour, int days)
{
    return s->calendar.civil_hour[hour] == civil_hour && s->calendar.civil_day[hour] == s->calendar.civil_day[0] + days;
}

static void the_generator_window_is_the_shortest_and_the_latest(void **state)
{
    (void)state;
    lw_scenario *s = cold_with_generator();
    morning *m = today_of(s, 0, NAN);
    const lw_todo *power = todo_of(&m->today, LW_TODO_POWER);
    assert_non_null(power);
    assert_true(power->generator_h > 0);
    const lw_scenario *kept = m->answer.loaded.scenario;
    const int start = (int)((power->by_s - m->answer.outlook->start_s) / 3600), hours = power->generator_h;
    int to = 0, is_plain_lost = 0;
    for (int days = 1; days <= 2 && !is_plain_lost; days++) {
        for (to = 1; !civil_is(kept, to, 8, days); to++)
            ;
        is_plain_lost = !keeps_floor(kept, 0, 0, to);
    }
    assert_true(is_plain_lost);
    if (!keeps_floor(kept, start, hours, to))
        fail_msg("%d hours from hour %d do not keep the floor until hour %d", hours, start, to);
    for (int from = 0; from + hours - 1 <= to; from++) {
        int is_allowed = 1;
        for (int h = from; h < from + hours - 1; h++)
            is_allowed &= (int)(kept->rig.generator.allowed[0] >> kept->calendar.civil_hour[h] & 1u);
        if (hours > 1 && is_allowed && keeps_floor(kept, from, hours - 1, to))
            fail_msg("%d hours from hour %d are enough, %d were asked for", hours - 1, from, hours);
    }
    for (int from = start + 1; from + hours <= to; from++) {
        int is_allowed = 1;
        for (int h = from; h < from + hours; h++)
            is_allowed &= (int)(kept->rig.generator.allowed[0] >> kept->calendar.civil_hour[h] & 1u);
        if (is_allowed && keeps_floor(kept, from, hours, to))
            fail_msg("it may begin later than hour %d: at %d", start, from);
    }
    end_of(m);
}

static void without_a_generator_power_is_saved(void **state)
{
    (void)state;
    morning *m = today_of(camp_cold_night(), 0, NAN);
    const lw_todo *power = todo_of(&m->today, LW_TODO_POWER);
    assert_non_null(power);
    assert_int_equal(power->generator_h, 0);
    assert_non_null(strstr(power->what, "Save power"));
    end_of(m);
}

static void what_is_due_comes_by_time_and_vital_things_first(void **state)
{
    (void)state;
    lw_scenario *s = camp_cold_night();
    s->crew.person[0].inside_low_c = 12.0;
    s->crew.person[0].inside_high_c = 40.0;
    morning *m = today_of(s, 0, NAN);
    const lw_today *t = &m->today;
    assert_true(t->due > 1);
    assert_int_equal(t->item[0].kind, LW_TODO_VITAL);
    for (int i = 1; i < t->due; i++) {
        assert_true(t->item[i].by_s < t->due_until_s);
        if (t->item[i - 1].kind != LW_TODO_VITAL && t->item[i].by_s < t->item[i - 1].by_s)
            fail_msg("item %d is due before item %d", i, i - 1);
    }
    for (int i = t->due; i < t->count; i++)
        assert_true(t->item[i].by_s >= t->due_until_s);
    for (int i = 0; i < t->count; i++)
        assert_true(t->item[i].what[0] && t->item[i].why[0] && t->item[i].otherwise[0]);
    end_of(m);
}

/* A mild camp with everything full, asked at its start. */
static void a_quiet_day_says_until_when(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(6);
    camp_weather(s, 18.0, 4.0, 0.9);
    for (int v = 0; v < s->rig.vessel_count; v++) {
        s->rig.vessel[v].capacity *= 6.0;
        if (!lw_supply_fills(s->rig.vessel[v].supply))
            s->rig.vessel[v].level *= 6.0;
    }
    s->rig.battery.capacity_ah *= 6.0;
    s->stay.departure_s = s->stay.arrival_s + 4 * INT64_C(86400);
    s->stay.stay_end_s = 0;
    morning *m = today_of(s, 0, NAN);
    if (m->today.due != 0)
        fail_msg("due: %s %s", m->today.item[0].what, m->today.item[0].why);
    assert_non_null(strstr(m->today.headline, "Nothing needs you before"));
    end_of(m);
}

static void supplies_due_together_are_one_run(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(20);
    s->stay.departure_s = s->stay.arrival_s + 14 * INT64_C(86400);
    morning *m = today_of(s, 0, NAN);
    const lw_outlook *o = m->answer.outlook;
    uint32_t seen = 0;
    for (int i = 0; i < m->today.count; i++) {
        const lw_todo *t = &m->today.item[i];
        if (t->kind != LW_TODO_RUN)
            continue;
        assert_int_equal(seen & (t->supplies | t->also), 0);
        seen |= t->supplies | t->also;
        for (int k = 0; k < LW_SUPPLY_COUNT; k++)
            if ((t->supplies | t->also) >> k & 1u) {
                const int64_t at_s = o->leeway[k].q[0].at_s;
                assert_true(at_s >= t->by_s && at_s - t->by_s < 3 * INT64_C(86400));
            }
    }
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        const int ends = o->leeway[k].is_present && o->leeway[k].use_per_day > 0.0 &&
                         o->leeway[k].q[0].at_s < o->departure_s && k != LW_SUPPLY_BATTERY && k != LW_SUPPLY_STAY;
        if (ends != (int)(seen >> k & 1u))
            fail_msg("supply %d: ends before the departure %d, in a run %d", k, ends, (int)(seen >> k & 1u));
    }
    end_of(m);
}

static void upkeep_is_told_near_its_hours(void **state)
{
    static const struct {
        double engine_h;
        const char *what; /* NULL: nothing of it */
        int is_told;
    } row[] = {{97.0, "Change the oil", 1},
               {93.0, "Change the oil", 0},
               {17.0, "Change the oil", 1},
               {197.5, "spark plug", 1},
               {150.0, "spark plug", 0}};
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        morning *m = today_of(cold_with_generator(), 0, row[i].engine_h);
        int is_told = 0;
        for (int t = 0; t < m->today.count; t++)
            is_told |= m->today.item[t].kind == LW_TODO_UPKEEP && strstr(m->today.item[t].what, row[i].what);
        if (is_told != row[i].is_told)
            fail_msg("%.1f h, %s: told %d, want %d", row[i].engine_h, row[i].what, is_told, row[i].is_told);
        end_of(m);
    }
}

static void a_moment_outside_the_stay_is_refused(void **state)
{
    (void)state;
    lw_outlook_answer answer = camp_answer(camp_cold_night(), 1);
    static lw_today today;
    const int64_t wrong[] = {answer.outlook->start_s - 1, answer.outlook->departure_s};
    for (size_t i = 0; i < COUNT_OF(wrong); i++) {
        lw_err err = {0};
        assert_int_equal(
            lw_today_make(&(lw_today_in){.answer = &answer, .now_s = wrong[i], .engine_h = NAN}, &today, &err),
            LW_E_RANGE);
        assert_non_null(strstr(err.text, "outside the stay"));
    }
    lw_outlook_answer_clear(&answer);
}

/* Whoever spends just what is allowed leaves with just nothing. */
static void spending_the_allowance_lasts_to_the_departure(void **state)
{
    (void)state;
    static const lw_supply plain[] = {LW_SUPPLY_FRESH, LW_SUPPLY_GREY};
    for (size_t i = 0; i < COUNT_OF(plain); i++) {
        lw_scenario *s = camp_new(20);
        s->stay.departure_s = s->stay.arrival_s + 10 * INT64_C(86400);
        s->transfer_count = 0;
        lw_outlook_answer before = camp_answer(s, 1);
        lw_allowance row[LW_SUPPLY_COUNT];
        const int count = lw_allowance_make(&before, before.outlook->start_s, row);
        const lw_allowance *a = NULL;
        for (int r = 0; r < count; r++)
            a = row[r].supply == plain[i] ? &row[r] : a;
        if (!a)
            fail_msg("no row of %s", lw_supply_word(plain[i]));
        else
            CHECK_NEAR(a->per_day * 10.0, a->left, 1e-9 * a->left, "shares of %s", lw_supply_word(plain[i]));
        lw_scenario *again = copy_of(before.loaded.scenario);
        for (int g = 0; a && g < LW_GROUP_COUNT; g++)
            again->factor[g] *= a->per_day / a->use_per_day;
        lw_outlook_answer after = camp_answer(again, 1);
        /* Hours of the day and the days of the week are uneven: within a day. */
        CHECK_NEAR(after.outlook->leeway[plain[i]].q[1].days, 10.0, 1.0, "%s spent as allowed",
                   lw_supply_word(plain[i]));
        lw_outlook_answer_clear(&after);
        lw_outlook_answer_clear(&before);
    }
}

static void the_json_keeps_to_its_schema(void **state)
{
    (void)state;
    char folder[] = "/tmp/leeway-today-XXXXXX", path[64], command[256];
    assert_non_null(mkdtemp(folder));
    for (int i = 0; i < 2; i++) {
        morning *m = today_of(i == 0 ? cold_with_generator() : camp_new(12), 0, 98.0);
        lw_allowance row[LW_SUPPLY_COUNT];
        const lw_today_in in = {.answer = &m->answer, .now_s = m->today.now_s};
        const int count = lw_allowance_make(&m->answer, m->today.now_s, row);
        char *text = lw_today_json(&in, &m->today, row, count, "0.0.0");
        assert_non_null(text);
        snprintf(path, sizeof path, "%s/%d.json", folder, i);
        FILE *file = fopen(path, "w");
        if (!file || !text)
            fail_msg("%s cannot be written", path);
        else {
            fputs(text, file);
            fclose(file);
        }
        free(text);
        end_of(m);
    }
    snprintf(command, sizeof command, "python3 tests/service/check_schema.py docs/today.schema.json %s/*.json", folder);
    const int status = system(command);
    for (int i = 0; i < 2; i++) {
        snprintf(path, sizeof path, "%s/%d.json", folder, i);
        (void)remove(path);
    }
    (void)rmdir(folder);
    if (WIFEXITED(status) && WEXITSTATUS(status) == 77)
        skip();
    assert_int_equal(status, 0);
}

/* Of a camp that is on the land of one manager: today again, with its permits and what its rule leaves. */
static void make_again(morning *m, int64_t after_s)
{
    lw_err err = {0};
    const lw_today_in in = {
        .answer = &m->answer, .now_s = m->answer.outlook->start_s + after_s, .engine_h = (double)NAN};
    if (lw_today_make(&in, &m->today, &err) != LW_OK)
        fail_msg("%s: %s", err.where, err.text);
}

/* 14 days at 40 USD each from the day before the arrival on: due again on the 13th day of the stay, which the household leaves on
 * the 19th; it ends on the 17th, and the rule then has two days more. */
static void permits_fall_due_and_end(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(20);
    s->stay.departure_s = s->stay.arrival_s + 18 * INT64_C(86400);
    s->stay.stay_end_s = 0;
    morning *m = today_of(s, 0, (double)NAN);
    const int64_t day = lw_clock_at(&m->answer.loaded.zone, m->answer.outlook->start_s).day;
    assert_null(todo_of(&m->today, LW_TODO_PERMIT));
    m->answer.loaded.permit_count = 1;
    m->answer.loaded.permit[0] = (lw_named_permit){
        .name = "summer",
        .manager = "BLM Juniper",
        .terms = {.manager = 1, .first_day = day - 1, .last_day = day + 16, .price_usd = 40.0, .renews_days = 14}};
    m->answer.loaded.left =
        (lw_ledger_left){.is_limited = 1, .is_permit = 1, .leave_day = day + 18, .last_day = day + 18};
    make_again(m, 0);
    const lw_todo *pay = todo_of(&m->today, LW_TODO_PERMIT), *end = NULL;
    assert_non_null(pay);
    for (int i = 0; i < m->today.count; i++)
        if (m->today.item[i].kind == LW_TODO_PERMIT && &m->today.item[i] != pay)
            end = &m->today.item[i];
    assert_non_null(strstr(pay->what, "Pay for the permit summer again on"));
    assert_non_null(strstr(pay->what, "40.00 USD"));
    assert_int_equal(lw_clock_at(&m->answer.loaded.zone, pay->by_s - 1).day, day + 13);
    assert_non_null(end);
    assert_int_equal(lw_clock_at(&m->answer.loaded.zone, end->by_s - 1).day, day + 16);
    assert_non_null(strstr(end->otherwise, "the stay rule counts: you may stay until"));
    /* once paid for the last time there is nothing to pay */
    make_again(m, 14 * INT64_C(86400));
    pay = todo_of(&m->today, LW_TODO_PERMIT);
    assert_non_null(pay);
    assert_non_null(strstr(pay->what, "Get the next permit"));
    end_of(m);
}

/* 50 of the plan's 100 are there and 40 kept for work: the ten others over the ten days to the departure are one a day. */
static void leisure_is_told_what_work_leaves(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(12);
    s->stay.departure_s = s->stay.arrival_s + 10 * INT64_C(86400);
    for (int v = 0; v < s->rig.vessel_count; v++)
        if (s->rig.vessel[v].supply == LW_SUPPLY_DATA)
            s->rig.vessel[v].level = 50.0;
    morning *m = today_of(s, 0, (double)NAN);
    const lw_leeway *leisure = &m->answer.outlook->leisure_data;
    assert_true(leisure->is_present && !leisure->q[0].beyond_horizon); /* the camp is one that spends it */
    const lw_todo *data = todo_of(&m->today, LW_TODO_DATA);
    assert_non_null(data);
    assert_true(data->by_s == leisure->q[0].at_s);
    if (!strstr(data->what, "no more than 1 GB of mobile data a day besides work until you leave"))
        fail_msg("%s", data->what);
    assert_non_null(strstr(data->why, "50 GB are left and 40 GB of them are kept for work"));
    /* a plan that renews before leisure has spent its share needs nothing */
    const lw_date first = lw_date_of(lw_clock_at(&m->answer.loaded.zone, leisure->q[0].at_s).day);
    m->answer.loaded.connection_count = 1;
    m->answer.loaded.connection[0] = (lw_connection){.renews_day = first.day};
    make_again(m, 0);
    const int64_t day = lw_clock_at(&m->answer.loaded.zone, m->answer.outlook->start_s).day;
    if (lw_clock_at(&m->answer.loaded.zone, leisure->q[0].at_s).day > day)
        assert_null(todo_of(&m->today, LW_TODO_DATA));
    end_of(m);
}

/* The rule's end says what earlier stays have used and when one may be back. */
static void the_end_of_the_days_allowed_says_why(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(20);
    s->stay.departure_s = s->stay.arrival_s + 18 * INT64_C(86400);
    s->stay.stay_end_s = s->stay.arrival_s + 5 * INT64_C(86400);
    morning *m = today_of(s, 0, (double)NAN);
    const int64_t leave = lw_clock_at(&m->answer.loaded.zone, s->stay.stay_end_s).day;
    m->answer.loaded.left = (lw_ledger_left){
        .is_limited = 1, .used_days = 9, .leave_day = leave, .last_day = leave, .again_day = leave + 13};
    make_again(m, 0);
    const lw_todo *stay = todo_of(&m->today, LW_TODO_STAY);
    assert_non_null(stay);
    assert_non_null(strstr(stay->why, "Earlier stays have used 9 of them."));
    assert_non_null(strstr(stay->otherwise, "you may be back from"));
    end_of(m);
}

/* Before all else, whether anybody is still here; a page is told no commands. */
static void a_stay_past_its_end_is_asked_about_first(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(10);
    s->stay.departure_s = 0;
    morning *m = today_of(s, 0, (double)NAN);
    assert_null(todo_of(&m->today, LW_TODO_OVERDUE));
    m->answer.loaded.overdue_s = m->answer.outlook->start_s - 2 * INT64_C(86400);
    for (int is_page = 0; is_page < 2; is_page++) {
        lw_err err = {0};
        const lw_today_in in = {.answer = &m->answer,
                                .choice = {.is_page = is_page},
                                .now_s = m->answer.outlook->start_s,
                                .engine_h = (double)NAN};
        assert_int_equal(lw_today_make(&in, &m->today, &err), LW_OK);
        assert_int_equal((int)m->today.item[0].kind, (int)LW_TODO_OVERDUE);
        assert_true(m->today.due > 0);
        assert_int_equal(strstr(m->today.item[0].what, "leeway end") != NULL, !is_page);
    }
    end_of(m);
}

static void without_a_departure_nothing_is_shared_out(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(10);
    s->stay.departure_s = 0;
    lw_outlook_answer answer = camp_answer(s, 1);
    lw_allowance row[LW_SUPPLY_COUNT];
    assert_int_equal(lw_allowance_make(&answer, answer.outlook->start_s, row), 0);
    lw_outlook_answer_clear(&answer);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_generator_window_is_the_shortest_and_the_latest),
        cmocka_unit_test(without_a_generator_power_is_saved),
        cmocka_unit_test(what_is_due_comes_by_time_and_vital_things_first),
        cmocka_unit_test(a_quiet_day_says_until_when),
        cmocka_unit_test(supplies_due_together_are_one_run),
        cmocka_unit_test(upkeep_is_told_near_its_hours),
        cmocka_unit_test(a_moment_outside_the_stay_is_refused),
        cmocka_unit_test(spending_the_allowance_lasts_to_the_departure),
        cmocka_unit_test(permits_fall_due_and_end),
        cmocka_unit_test(leisure_is_told_what_work_leaves),
        cmocka_unit_test(the_end_of_the_days_allowed_says_why),
        cmocka_unit_test(the_json_keeps_to_its_schema),
        cmocka_unit_test(without_a_departure_nothing_is_shared_out),
        cmocka_unit_test(a_stay_past_its_end_is_asked_about_first),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
