#include "exchange/about.h"

#include <stdlib.h>
#include <string.h>

#include "exchange/scenario.h"
#include "tests/check.h"

static const int64_t NOW_S = 1780000000; /* May 2026 */

static int64_t day_of(int year, int month, int day)
{
    return lw_day_of((lw_date){year, month, day});
}

static char *section(void)
{
    char *text = NULL;
    lw_err err = {0};
    if (lw_place_section("Larkspur \"Flat\"", (lw_spot){38.1, -112.4}, 1890.0, "America/Denver", &text, &err))
        fail_msg("%s", err.text);
    return text;
}

static char *changed(const char *from, const char *const *change, int count)
{
    char *text = NULL;
    lw_err err = {0};
    if (lw_place_change(from, change, count, NOW_S, &text, &err))
        fail_msg("%s: %s", err.where, err.text);
    return text;
}

static lw_place_facts *facts_of(const char *text)
{
    lw_place_facts *facts = malloc(sizeof *facts);
    lw_err err = {0};
    assert_non_null(facts);
    if (lw_place_read(text, facts, &err))
        fail_msg("%s: %s\n%s", err.where, err.text, text);
    return facts;
}

static void a_section_says_what_it_was_made_of(void **state)
{
    (void)state;
    char *text = section();
    lw_place_facts *f = facts_of(text);
    assert_string_equal(f->name, "Larkspur \"Flat\"");
    CHECK_NEAR(f->spot.latitude_deg, 38.1, 1e-9, "north");
    CHECK_NEAR(f->elevation_m, 1890.0, 1e-9, "height");
    assert_false(f->about.is_said);
    assert_true(isnan(f->about.fee_usd) && isnan(f->about.length_m) && f->about.water == LW_PLACE_WATER_UNKNOWN);
    assert_true(f->about.confirmed_day == LW_NO_DAY && isnan(lw_about_room_frac(&f->about, day_of(2026, 6, 5))));
    free(f);
    free(text);
}

static void changes_are_kept_as_they_were_typed(void **state)
{
    (void)state;
    static const char *const CHANGE[] = {
        "fee=12 USD",
        "services=dump, water",
        "water=potable",
        "rigs=6",
        "length=30 ft",
        "road=gravel",
        "road.distance=4 mi",
        "road.season=04-15 to 11-20",
        "road.dry_only=yes",
        "room+={chance: 40 %, days: Fri-Sun, season: 05-20 to 09-10}",
        "room+=85 %",
        "closed+={season: 12-01 to 04-01, why: snow}",
        "closed+={from: 2026-09-14, to: 2026-09-25}",
        "rules.food_storage=yes",
        "rules.unattended=10 days",
        "notes=Shade: little; it's #1 - really",
        "drives+={to: Cottonwood Wash, distance: 96 mi, time: 2 h 10 min}",
        "nearby=Rim trail",
        "confirmed=2026-05-30",
        "manager=BLM Juniper",
        "stay_rule={days: 7 days, window: 30 days}",
        "outdoor_water=no",
    };
    char *bare = section(), *text = changed(bare, CHANGE, (int)COUNT_OF(CHANGE));
    lw_place_facts *f = facts_of(text);
    const lw_about *a = &f->about;
    CHECK_NEAR(a->fee_usd, 12.0, 1e-9, "fee");
    assert_int_equal(a->services, 1u << LW_PLACE_SERVICE_WATER | 1u << LW_PLACE_SERVICE_DUMP);
    assert_true(a->water == LW_PLACE_WATER_POTABLE && a->rigs == 6);
    CHECK_NEAR(a->length_m, 9.144, 1e-9, "thirty feet");
    assert_true(a->road.surface == LW_GRAVEL && a->road.is_dry_only);
    CHECK_NEAR(a->road.distance_m, 6437.376, 1e-6, "four miles");
    assert_int_equal(a->closed_count, 2);
    assert_string_equal(a->notes, "Shade: little; it's #1 - really");
    assert_string_equal(a->drive[0].to, "Cottonwood Wash");
    CHECK_NEAR(a->drive[0].time_s, 7800.0, 1e-9, "seconds");
    assert_string_equal(a->nearby[0].what, "Rim trail");
    assert_true(a->confirmed_day == day_of(2026, 5, 30));
    assert_true(a->rules.food_storage == LW_PERMISSION_YES && f->outdoor_water == LW_PERMISSION_NO);
    CHECK_NEAR(a->rules.unattended_s, 864000.0, 1e-9, "seconds of ten days");
    assert_true(f->has_rule && f->rule.days == 7 && f->rule.window_days == 30);
    assert_string_equal(f->manager, "BLM Juniper");

    /* the first row that fits a day holds: 5 June 2026 is a Friday */
    CHECK_NEAR(lw_about_room_frac(a, day_of(2026, 6, 5)), 0.40, 1e-9, "a Friday in June");
    CHECK_NEAR(lw_about_room_frac(a, day_of(2026, 6, 2)), 0.85, 1e-9, "a Tuesday");
    CHECK_NEAR(lw_about_room_frac(a, day_of(2026, 10, 2)), 0.85, 1e-9, "a Friday in October");
    char buf[128];
    assert_null(lw_about_shut(a, day_of(2026, 6, 5), buf, sizeof buf));
    assert_string_equal(lw_about_shut(a, day_of(2027, 1, 5), buf, sizeof buf), "closed then: snow");
    assert_string_equal(lw_about_shut(a, day_of(2026, 9, 20), buf, sizeof buf), "closed then");
    assert_string_equal(lw_about_shut(a, day_of(2026, 4, 10), buf, sizeof buf), "its road is shut then");

    /* and out again */
    static const char *const OUT[] = {"fee=", "road=", "closed=", "rigs="};
    char *less = changed(text, OUT, (int)COUNT_OF(OUT));
    lw_place_facts *g = facts_of(less);
    assert_true(isnan(g->about.fee_usd) && g->about.road.surface == LW_SURFACE_UNKNOWN && g->about.closed_count == 0);
    assert_string_equal(g->about.notes, a->notes);
    free(g);
    free(less);
    free(f);
    free(text);
    free(bare);
}

static void bad_changes_leave_a_sentence(void **state)
{
    (void)state;
    static const struct {
        const char *change, *says;
    } ROW[] = {
        {"roda.surface=gravel", "did you mean road"},
        {"fee=12", "12 USD"},
        {"fee", "KEY=VALUE"},
        {"=3", "KEY=VALUE"},
        {"closed=winter", "no season"},
        {"closed+={why: snow}", "say when"},
        {"closed+={from: 2026-09-14, to: 2026-09-01}", "opens before"},
        {"room+={chance: 40 %, days: Fryday}", "Fryday"},
        {"room+={days: Fri}", "chance"},
        {"drives+={to: x}", "distance"},
        {"services=none, water", "none stands beside"},
        {"road.season=13-01 to 14-01", "no season"},

        {"stay_rule=no-such-rule", "table of stay rules"},
        {"notes={", "{"},
    };
    char *bare = section();
    for (size_t i = 0; i < COUNT_OF(ROW); i++) {
        char *text = NULL;
        lw_err err = {0};
        const char *const change[] = {ROW[i].change};
        const lw_code code = lw_place_change(bare, change, 1, NOW_S, &text, &err);
        if (i + 1 == COUNT_OF(ROW) ? code != LW_OK : code == LW_OK || !strstr(err.text, ROW[i].says))
            fail_msg("%s: %d %s: %s", ROW[i].change, code, err.where, err.text);
        free(text);
    }
    free(bare);
}

static void too_many_of_a_list_are_refused(void **state)
{
    (void)state;
    char *text = section();
    lw_err err = {0};
    for (int i = 0; i <= LW_ABOUT_ROOM; i++) {
        static const char *const CHANGE[] = {"room+=50 %"};
        char *more = NULL;
        const lw_code code = lw_place_change(text, CHANGE, 1, NOW_S, &more, &err);
        assert_int_equal(code, i < LW_ABOUT_ROOM ? LW_OK : LW_E_FULL);
        if (!code) {
            free(text);
            text = more;
        }
    }
    free(text);
}

static void what_is_known_outlives_a_scenario_that_says_nothing(void **state)
{
    (void)state;
    static const char *const CHANGE[] = {"notes=level", "room=50 %"}, *const OTHER[] = {"notes=steep"};
    char *made = section(), *bare = changed(made, NULL, 0), *known = changed(bare, CHANGE, 2),
         *other = changed(bare, OTHER, 1), *kept = NULL, *own = NULL;
    lw_err err = {0};
    assert_int_equal(lw_place_keep_about(bare, known, &kept, &err), LW_OK);
    assert_string_equal(kept, known);
    assert_int_equal(lw_place_keep_about(other, known, &own, &err), LW_OK);
    assert_string_equal(own, other); /* it has its own say */
    free(own);
    free(kept);
    free(other);
    free(known);
    free(bare);
    free(made);
}

static void a_scenario_says_the_same(void **state)
{
    (void)state;
    lw_loaded loaded = {0};
    lw_err err = {0};
    if (lw_scenario_load(&(lw_scenario_from){.path = "examples/every-key.yaml"}, &loaded, &err))
        fail_msg("%s: %s", err.where, err.text);
    CHECK_NEAR(loaded.about.road.grade_frac, 0.09, 1e-12, "grade");
    CHECK_NEAR(loaded.travel.length_m, 8.5344, 1e-9, "28 ft");
    CHECK_NEAR(loaded.travel.use_l100km, 235.214583 / 9.0, 1e-5, "9 mpg in L/100 km");
    assert_int_equal(loaded.about.photo_count, 1);
    lw_loaded_clear(&loaded);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_section_says_what_it_was_made_of),
        cmocka_unit_test(changes_are_kept_as_they_were_typed),
        cmocka_unit_test(bad_changes_leave_a_sentence),
        cmocka_unit_test(too_many_of_a_list_are_refused),
        cmocka_unit_test(what_is_known_outlives_a_scenario_that_says_nothing),
        cmocka_unit_test(a_scenario_says_the_same),
    };
    return cmocka_run_group_tests_name("exchange/about", tests, NULL, NULL);
}
