#include <libical/ical.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "tests/check.h"

#include "core/base/random.h"
#include "service/trip.h"
#include "tests/service/calibration.h"

static lw_trip_planned *make(const char *path, uint64_t seed, int plans)
{
    lw_trip_planned *p = calloc(1, sizeof *p);
    lw_err err = {0};
    assert_non_null(p);
    if (lw_trip_make(&(lw_trip_ask){.path = path, .plans = plans, .draws = 16, .fresh = 1000, .seed = seed}, p, &err))
        fail_msg("%s: %s", err.where, err.text);
    return p;
}

static void drop(lw_trip_planned *p)
{
    lw_trip_clear(p);
    free(p);
}

/* Ferry Bend has no signal: a weekend there, the work week elsewhere, which a reader of the file would choose as well. */
static void work_days_have_signal_and_weekends_need_none(void **state)
{
    (void)state;
    lw_trip_planned *p = make("tests/trips/short.yaml", 1, 1);
    assert_int_equal(p->plan_count, 1);
    const lw_trip_made *plan = &p->plan[0];
    assert_true(plan->out.is_proven && plan->stop_count == 2);
    assert_string_equal(p->file.place[plan->stop[0].place].name, "Ferry Bend");
    assert_int_equal(plan->stop[0].leave, 2); /* Sunday */
    assert_true(p->file.place[plan->stop[1].place].signal_frac >= 0.8);
    assert_true(plan->stop[0].fallback >= 0 && plan->stop[0].fallback_min <= LW_TRIP_FALLBACK_MIN);
    assert_true(plan->stop[0].leave_by_s + 60 * (int64_t)plan->stop[0].drive_min < lw_trip_date_s(p, 0, 21));
    CHECK_NEAR((double)(plan->sum.worth_c - plan->out.worth_c), 0.0, 0.0, "worth");
    drop(p);
}

/* Two sets of 1,000 draws: a share near 0.9 differs by four times sqrt(2 x 0.9 x 0.1 / 1000) at most. */
static void the_chance_is_that_of_other_draws(void **state)
{
    (void)state;
    lw_trip_planned *a = make("tests/trips/short.yaml", 1, 1), *b = make("tests/trips/short.yaml", 2, 1);
    assert_true(a->plan[0].supplies_frac >= a->file.supplies_frac);
    CHECK_NEAR(a->plan[0].supplies_frac, b->plan[0].supplies_frac, 0.054, "seeds 1 and 2");
    drop(a);
    drop(b);
}

static double unit(uint32_t seed, uint32_t at)
{
    const lw_random_key key = {.seed = seed, .draw = at};
    return lw_random_unit(lw_random_block(&key, 23, 0).word[0]);
}

/* Three places, dates, a wish and draws of its own for each case, so that errors are independent. */
static void say_case(uint32_t seed, char *text, size_t n)
{
    const int month = 4 + (int)(unit(seed, 0) * 6.0), day = 1 + (int)(unit(seed, 1) * 12.0);
    const int nights = 5 + (int)(unit(seed, 2) * (getenv("LEEWAY_SOAK") ? 9.0 : 2.0));
    size_t used = (size_t)snprintf(text, n,
                                   "leeway: 1\ntrip: {camp: examples/couple-on-the-road.yaml, from: 2027-%02d-%02d, "
                                   "until: 2027-%02d-%02d, start: p0, "
                                   "drive_days: Mon-Sun, work_chance: 0 %%, supplies_chance: %d %%}\nplaces:\n",
                                   month, day, month, day + nights, 55 + 5 * (int)(unit(seed, 3) * 8.0));
    for (uint32_t p = 0; p < 3; p++)
        used += (size_t)snprintf(
            text + used, n - used,
            "  - {name: p%u, latitude: %.2f, longitude: %.2f, elevation: %d m, worth: %d USD, road: %d min}\n",
            (unsigned)p, 37.0 + unit(seed, 10 + p), -112.0 - unit(seed, 20 + p),
            1300 + (int)(1000.0 * unit(seed, 30 + p)), 30 + (int)(40.0 * unit(seed, 40 + p)),
            15 + (int)(60.0 * unit(seed, 50 + p)));
}

static void the_chance_is_that_of_further_draws(void **state)
{
    const int is_soak = getenv("LEEWAY_SOAK") != NULL;
    const int cases = is_soak ? 60 : 2, fresh = is_soak ? LW_TRIP_FRESH : 300, further = is_soak ? 100000 : 1500;
    calibration c = {.cases = 0};
    lw_trip_planned *p = calloc(1, sizeof *p);
    (void)state;
    assert_non_null(p);
    for (uint32_t seed = 1; c.cases < cases && seed < 10u * (uint32_t)cases; seed++) {
        char text[1024];
        lw_err err = {0};
        say_case(seed, text, sizeof text);
        const lw_trip_ask ask = {.path = "case.yaml",
                                 .text = text,
                                 .is_without_advice = 1,
                                 .plans = 1,
                                 .draws = is_soak ? 48 : 16,
                                 .fresh = fresh,
                                 .further = further,
                                 .seed = seed};
        if (lw_trip_make(&ask, p, &err))
            fail_msg("case %u: %s: %s", seed, err.where, err.text);
        if (p->plan_count)
            calibration_add(&c, p->plan[0].supplies_frac, fresh, p->plan[0].further_frac, further);
        lw_trip_clear(p);
    }
    assert_int_equal(c.cases, cases);
    calibration_want(&c, is_soak, "trips");
    free(p);
}

static void trips_that_differ_differ(void **state)
{
    (void)state;
    lw_trip_planned *p = make("tests/trips/short.yaml", 1, 2);
    int elsewhere = 0;
    assert_int_equal(p->plan_count, 2);
    for (int d = 0; d < 5; d++) {
        int is_new = 1;
        for (int k = 0; k < 5; k++)
            is_new &= p->plan[1].out.chain.place[d] != p->plan[0].out.chain.place[k];
        elsewhere += is_new;
    }
    assert_true(elsewhere >= 2 && p->plan[1].out.value_c <= p->plan[0].out.value_c);
    drop(p);
}

/* Read back by libical, a library of others (https://libical.github.io). */
static void the_calendar_is_taken_by_a_library_of_others(void **state)
{
    (void)state;
    lw_trip_planned *p = make("tests/trips/short.yaml", 1, 1);
    const lw_trip_made *plan = &p->plan[0];
    char *text = NULL;
    lw_err err = {0};
    int stays = 0, drives = 0, runs = 0;
    if (lw_trip_export(p, 0, LW_TRIP_CALENDAR, 1810238400, "1", &text, &err))
        fail_msg("%s", err.text);
    icalcomponent *root = icalparser_parse_string(text);
    if (!root || icalcomponent_count_errors(root) != 0 || !icalrestriction_check(root))
        fail_msg("libical does not take:\n%s", text);
    for (icalcomponent *e = icalcomponent_get_first_component(root, ICAL_VEVENT_COMPONENT); e;
         e = icalcomponent_get_next_component(root, ICAL_VEVENT_COMPONENT)) {
        const struct icaltimetype from = icalcomponent_get_dtstart(e), until = icalcomponent_get_dtend(e);
        const int is_run = strncmp(icalcomponent_get_summary(e), "Run for services", 16) == 0;
        drives += !from.is_date;
        runs += is_run;
        if (!from.is_date || is_run)
            continue;
        const lw_trip_stop *s = &plan->stop[stays++];
        const lw_date first = lw_date_of(p->file.from_day + s->arrive), last = lw_date_of(p->file.from_day + s->leave);
        assert_string_equal(icalcomponent_get_summary(e), p->file.place[s->place].name);
        assert_true(from.year == first.year && from.month == first.month && from.day == first.day);
        assert_true(until.year == last.year && until.month == last.month && until.day == last.day);
    }
    assert_int_equal(stays, plan->stop_count);
    assert_int_equal(runs, plan->sum.runs);
    assert_int_equal(drives, plan->stop_count - plan->stop[0].is_start);
    icalcomponent_free(root);
    free(text);
    drop(p);
}

/* Far Post is worth most, and no other place is within 2 h 30 min of it; Windy Gap opens on the fourth day. */
static void passes_and_places_without_another_near_are_kept_to(void **state)
{
    (void)state;
    lw_trip_planned *p = make("tests/trips/pass.yaml", 1, 1);
    assert_int_equal(p->plan_count, 1);
    assert_string_equal(p->left_out,
                        "Not driven to, as no other place is within 2 h 30 min should it be full: Far Post.");
    const lw_trip_made *plan = &p->plan[0];
    for (int d = 0; d < 7; d++)
        assert_string_equal(p->file.place[plan->out.chain.place[d]].name, d < 3 ? "Quarry Flat" : "High Basin");
    const lw_trip_stop *s = &plan->stop[1];
    assert_string_equal(p->file.place[s->fallback].name, "High Fork");
    assert_non_null(strstr(s->note[0], "Windy Gap, which opens on"));
    assert_true(plan->used[3] + 50 <= LW_TRIP_FULL || s->is_served); /* and supplies for a night at the other */
    drop(p);
}

static void the_fewest_wishes_to_relax_are_named(void **state)
{
    (void)state;
    lw_trip_planned *p = make("tests/trips/no-signal.yaml", 1, 1);
    assert_int_equal(p->plan_count, 0);
    assert_int_equal(p->relax_count, 2);
    assert_string_equal(p->relax[0], "a work day with signal at 60 %");
    assert_string_equal(p->relax[1], "work days without signal");
    assert_non_null(strstr(p->why, "Mon 17 May"));
    drop(p);
}

/* What a trip is worth is told by parts that add up. */
static void the_worth_adds_up_as_it_is_told(void **state)
{
    char text[LW_SENTENCE];
    (void)state;
    lw_trip_planned *p = make("tests/trips/short.yaml", 1, 1);
    assert_int_equal(p->plan_count, 1);
    int money = 0, worth = 0, all = 0, trouble = 0;
    const char *told = strstr(lw_trip_say_plan(p, 0, text, sizeof text), "at the wheel, ");
    if (!told ||
        sscanf(told,
               "at the wheel, %d USD for fees, fuel and services, worth %d USD: %d for nights and wishes, less "
               "that money and %d for hours and trouble.",
               &money, &worth, &all, &trouble) != 4)
        fail_msg("%s", text);
    assert_true(trouble > 0 && all == worth + money + trouble);
    CHECK_NEAR(worth, (double)p->plan[0].out.value_c / 100.0, 0.5001, "worth");
    drop(p);
}

/* The battery ends first, a generator stands there, and nobody said how to get to services. */
static void what_would_make_supplies_last_is_told(void **state)
{
    (void)state;
    lw_trip_planned *p = make("tests/trips/no-services.yaml", 1, 1);
    assert_int_equal(p->plan_count, 0);
    assert_true(p->relax_count > 0);
    if (!strstr(p->relax[0],
                " of battery; by rig.generator.automatic: yes the generator charges it; no way to services is "
                "said: road of a place, or services)"))
        fail_msg("%s", p->relax[0]);
    drop(p);
}

/* July afternoons in Phoenix are no place below 92 F, July in Leadville is: normals of 1991-2020, NOAA NCEI: 106.5 F and 71 F (from
 * memory). */
static void the_year_knows_heat_from_height(void **state)
{
    (void)state;
    lw_trip_year *year = calloc(1, sizeof *year);
    lw_err err = {0};
    assert_non_null(year);
    if (lw_trip_year_make(&(lw_trip_ask){.path = "tests/trips/year.yaml"}, &(lw_trip_year_wish){NAN, NAN, NAN}, year,
                          &err))
        fail_msg("%s: %s", err.where, err.text);
    assert_int_equal(year->month[6].fit_count, 1);
    assert_string_equal(year->file.place[year->month[6].fit[0]].name, "high");
    assert_int_equal(year->month[0].fit_count, 1);
    assert_string_equal(year->file.place[year->month[0].fit[0]].name, "low");
    free(year);
}

/* Sunset of 19 May 2027 at Tin Cup, 37.3 N, 112.1 W: 20:32.3 by the equations of NOAA's "General Solar Position Calculations", worked out
 * apart. Less half an hour, 42 min on to Tin Cup from where the trip ends, and 42 min there: both are what the plan says of its ways. */
static void the_last_drive_is_begun_in_time(void **state)
{
    static const double SUNSET_S = 20 * 3600 + 32.3 * 60;
    (void)state;
    char text[4096];
    FILE *file = fopen("tests/trips/short.yaml", "r");
    assert_non_null(file);
    const size_t n = fread(text, 1, sizeof text - 64, file);
    fclose(file);
    text[n] = '\0';
    char *at = strstr(text, "start: Quarry Flat");
    assert_non_null(at);
    memmove(at + 18, at, n - (size_t)(at - text) + 1);
    memcpy(at, "end: Quarry Flat, ", 18);
    lw_trip_planned *p = calloc(1, sizeof *p);
    lw_err err = {0};
    assert_non_null(p);
    if (lw_trip_make(
            &(lw_trip_ask){
                .path = "tests/trips/end.yaml", .text = text, .plans = 1, .draws = 16, .fresh = 200, .seed = 1},
            p, &err))
        fail_msg("%s: %s", err.where, err.text);
    const lw_trip_made *plan = &p->plan[0];
    assert_int_equal(plan->end_min, 42);
    CHECK_NEAR((double)(plan->end_leave_by_s - lw_trip_date_s(p, 5, 0)), SUNSET_S - 60 * (30 + 42 + 42), 120,
               "set out by");
    assert_int_equal(plan->end_work_until_s, lw_trip_date_s(p, 5, 15));
    char said[LW_SENTENCE], *calendar = NULL;
    assert_non_null(
        strstr(lw_trip_say_end(p, plan, said, sizeof said), "set out after work at 15:00 and by Wed 19 May 18:3"));
    assert_int_equal(lw_trip_export(p, 0, LW_TRIP_CALENDAR, p->file.from_day * 86400, "1", &calendar, &err), LW_OK);
    assert_non_null(strstr(calendar, "SUMMARY:Set out for Quarry Flat at the latest"));
    free(calendar);
    lw_trip_clear(p);
    free(p);
}

/* The way against every other one there is, added up here; two places a month make 4096 of them. */
static double year_usd(const lw_trip_year *y, const int at[12])
{
    double usd = 0.0;
    for (int k = 0; k < 12; k++) {
        const lw_trip_file_place *one = &y->file.place[at[k]];
        usd += 365.25 / 12.0 * (one->worth_usd - one->fee_usd);
        if (k > 0)
            usd -= y->file.km_usd * lw_distance_m(y->file.place[at[k - 1]].spot, one->spot) / 1000.0;
    }
    return usd;
}

static void the_way_through_the_year_is_the_dearest(void **state)
{
    static const double FEE[] = {0.0, 3.0, 12.0, 40.0};
    (void)state;
    for (size_t f = 0; f < sizeof FEE / sizeof FEE[0]; f++) {
        char text[512];
        lw_trip_year *year = calloc(1, sizeof *year);
        lw_err err = {0};
        assert_non_null(year);
        snprintf(text, sizeof text,
                 "leeway: 1\ntrip: {from: 2027-05-14, until: 2027-05-19, start: a, coldest: 10 F, nights_chance: 60 "
                 "%%}\nplaces:\n  - {name: a, latitude: 34 N, longitude: 112 W, elevation: 3000 ft, fee: %d USD}\n"
                 "  - {name: b, latitude: 35 N, longitude: 112 W, elevation: 6500 ft, fee: 3 USD}\n",
                 (int)FEE[f]);
        if (lw_trip_year_make(&(lw_trip_ask){.path = "t", .text = text}, &(lw_trip_year_wish){NAN, NAN, NAN}, year,
                              &err))
            fail_msg("%s: %s", err.where, err.text);
        double best = -INFINITY;
        int way[12];
        for (int k = 0; k < 12; k++) {
            way[k] = year->month[(year->first + k) % 12].follow;
            assert_true(way[k] >= 0);
        }
        assert_int_equal(year->first, 4);
        for (int mask = 0; mask < 4096; mask++) {
            int at[12], is_mild = 1;
            for (int k = 0; k < 12; k++) {
                at[k] = mask >> k & 1;
                is_mild &= year->month[(year->first + k) % 12].chance_frac[at[k]] >= year->nights_frac;
            }
            best = is_mild ? fmax(best, year_usd(year, at)) : best;
        }
        if (!(fabs(year_usd(year, way) - best) <= 1e-6))
            fail_msg("fee %.0f: the way is worth %.2f USD, the best one %.2f", FEE[f], year_usd(year, way), best);
        free(year);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(work_days_have_signal_and_weekends_need_none),
        cmocka_unit_test(the_chance_is_that_of_other_draws),
        cmocka_unit_test(the_chance_is_that_of_further_draws),
        cmocka_unit_test(trips_that_differ_differ),
        cmocka_unit_test(the_calendar_is_taken_by_a_library_of_others),
        cmocka_unit_test(passes_and_places_without_another_near_are_kept_to),
        cmocka_unit_test(the_fewest_wishes_to_relax_are_named),
        cmocka_unit_test(what_would_make_supplies_last_is_told),
        cmocka_unit_test(the_worth_adds_up_as_it_is_told),
        cmocka_unit_test(the_year_knows_heat_from_height),
        cmocka_unit_test(the_way_through_the_year_is_the_dearest),
        cmocka_unit_test(the_last_drive_is_begun_in_time),
    };
    return cmocka_run_group_tests_name("service/trip", tests, NULL, NULL);
}
