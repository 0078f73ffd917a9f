/* What to buy: invented households. Gains are held against what-if outlooks of the same stay drawn elsewhere, the front against a
 * search of all pairs by hand, payback against arithmetic. */
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/check.h"

#include "exchange/tables.h"
#include "service/buy.h"
#include "service/outlook.h"
#include "service/plan_source.h"

enum { DRAWS = 32 };

/* Frozen Fork in autumn: the battery of the trailer ends some days in. */
static lw_year one_stay(void)
{
    lw_year year = {.count = 1};
    year.stay[0] = (lw_year_stay){.name = "fork",
                                  .latitude_deg = 43.9,
                                  .longitude_deg = -113.6,
                                  .elevation_m = 1900.0,
                                  .day = lw_day_of((lw_date){2026, 9, 20}),
                                  .nights = 4};
    return year;
}

static lw_bought *bought_of(const char *const *kept, int kept_count, const char *const *change, int change_count,
                            lw_buy_wish wish)
{
    const char *without[LW_LEVERS];
    lw_table table = {0};
    lw_err err = {0};
    lw_plan_source source = {.path = "examples/winter-trailer.yaml",
                             .now_s = 1781000000,
                             .seed = 1,
                             .change = change,
                             .change_count = change_count};
    lw_trials trials = lw_plan_source_trials(&source);
    const lw_year year = one_stay();
    lw_bought *b = malloc(sizeof *b);
    assert_non_null(b);
    assert_int_equal(lw_table_open("levers", &table, &err), LW_OK);
    wish.without_count = 0;
    for (int row = 0; row < table.rows; row++) {
        int is_kept = 0;
        for (int i = 0; i < kept_count; i++)
            is_kept |= strcmp(kept[i], lw_table_cell(&table, row, "id")) == 0;
        if (!is_kept)
            without[wish.without_count++] = lw_table_cell(&table, row, "id");
    }
    wish.without = without;
    if (lw_buy_make(&trials, &year, &wish, b, &err))
        fail_msg("%s: %s", err.where, err.text);
    lw_table_clear(&table);
    return b;
}

static lw_buy_wish usual(void)
{
    return (lw_buy_wish){.run_usd = NAN,
                         .night_usd = NAN,
                         .fuel_usd_l = NAN,
                         .propane_usd_kg = NAN,
                         .budget_usd = INFINITY,
                         .draws = DRAWS};
}

static const lw_buy_set *set_of(const lw_bought *b, const char *first, const char *second)
{
    for (int i = 0; i < b->set_count; i++) {
        int has_first = 0, has_second = second == NULL;
        for (int n = 0; n < b->set[i].count; n++) {
            has_first |= strcmp(b->item[b->set[i].item[n]].id, first) == 0;
            has_second |= second && strcmp(b->item[b->set[i].item[n]].id, second) == 0;
        }
        if (has_first && has_second && b->set[i].count == 1 + (second != NULL))
            return &b->set[i];
    }
    fail_msg("there is no set of %s and %s", first, second ? second : "nothing");
    return NULL;
}

/* The mean of the battery's days within the stay, from an outlook of the same stay and draws, by its day-by-day chances. */
static double battery_days(const char *more)
{
    const char *change[] = {"rig.generator.run=never",
                            "place={latitude: 43.9, longitude: -113.6, elevation: 1900 m, zone: America/Boise}",
                            "stay={arrive: 2026-09-20 15:00, leave: 2026-09-24 15:00}", "weather=climate", more};
    lw_outlook_answer answer = {.outlook = NULL};
    lw_err err = {0};
    const lw_outlook_request request = {
        .from = {.path = "examples/winter-trailer.yaml", .change = change, .change_count = more ? 5 : 4},
        .draws = {.draws = DRAWS, .seed = 1}};
    if (lw_outlook_run(&request, &answer, &err))
        fail_msg("%s: %s", err.where, err.text);
    double days = 0.0;
    for (int d = 0; d < 4; d++)
        days += (double)answer.outlook->lasts_frac[LW_SUPPLY_BATTERY][d];
    lw_outlook_answer_clear(&answer);
    return days; /* whole days only: what ends within a day counts for none of it */
}

/* The bar: doubling the panels where the generator never runs gains what the simulation says, and pays back never. */
static void panels_where_no_generator_runs_gain_what_an_outlook_says_and_never_pay(void **state)
{
    const char *kept[] = {"solar-double"}, *never[] = {"rig.generator.run=never"};
    (void)state;
    lw_bought *b = bought_of(kept, 1, never, 1, usual());
    const lw_buy_set *s = set_of(b, "solar-double", NULL);
    const double before = battery_days(NULL), after = battery_days("rig.solar+={name: more panels, rated: 200 W}");
    /* Each draw is told to the day below: both sums are low by at most one. */
    if (!(b->base.own_days[LW_SUPPLY_BATTERY] >= before - 1e-6 && b->base.own_days[LW_SUPPLY_BATTERY] <= before + 1.0 &&
          s->own_days[LW_SUPPLY_BATTERY] >= after - 1e-6 && s->own_days[LW_SUPPLY_BATTERY] <= after + 1.0))
        fail_msg("battery %g to %g, outlooks say %g to %g", b->base.own_days[LW_SUPPLY_BATTERY],
                 s->own_days[LW_SUPPLY_BATTERY], before, after);
    assert_true(s->own_gained_days[LW_SUPPLY_BATTERY] > 0.05);
    CHECK_NEAR(b->base.generator_h, 0.0, 0.0, "the generator never runs");
    assert_true(isinf(s->payback_fuel_years));
    assert_non_null(strstr(s->payback, "never pays itself back by fuel and gas: the generator does not run"));
    free(b);
}

/* With an automatic generator more panels spare fuel: the years are the arithmetic of what was spared. */
static void spared_fuel_pays_by_arithmetic(void **state)
{
    const char *kept[] = {"solar-double"};
    const char *automatic[] = {"rig.generator={rated: 2 kW, fuel: gasoline, automatic: yes, start: 50 %, stop: 90 %}",
                               "rig.fuel=20 gal"};
    lw_buy_wish wish = usual();
    (void)state;
    wish.fuel_usd_l = 1.5;
    wish.is_used = 1;
    lw_bought *b = bought_of(kept, 1, automatic, 2, wish);
    const lw_buy_set *s = set_of(b, "solar-double", NULL);
    assert_true(b->base.generator_h > 0.0 && s->fuel_saved_l > 0.0 && s->generator_saved_h > 0.0);
    CHECK_NEAR(s->price_usd, 0.6 * 200.0, 1e-9, "used panels: 0.6 USD a watt of the 200 W that are there");
    CHECK_NEAR(s->payback_fuel_years,
               s->price_usd / (1.5 * s->fuel_saved_l + b->wish.propane_usd_kg * s->propane_saved_kg), 1e-9, "years");
    free(b);
}

/* Of so many steps, one after the other, the last is told as done. */
static void count_step(void *with, int done, int of)
{
    int *told = with;
    assert_int_equal(done, told[0] + 1);
    told[0] = done;
    told[1] = of;
}

/* Two things on one supply do not add; two on two supplies may gain more than both. */
static void interactions_are_run_again(void **state)
{
    const char *kept[] = {"cans-4", "bladder-45", "battery-200"}, *small[] = {"rig.tanks.fresh=12 gal"};
    (void)state;
    int told[2] = {0};
    lw_buy_wish wish = usual();
    wish.progress = count_step;
    wish.with = told;
    lw_bought *b = bought_of(kept, 3, small, 1, wish);
    assert_true(told[0] == told[1] && told[0] > 0);
    const lw_buy_set *cans = set_of(b, "cans-4", NULL), *battery = set_of(b, "battery-200", NULL),
                     *both = set_of(b, "cans-4", "battery-200");
    CHECK_NEAR(both->price_usd, cans->price_usd + battery->price_usd, 1e-9, "price");
    CHECK_NEAR(both->mass_kg, cans->mass_kg + battery->mass_kg, 1e-9, "mass");
    assert_true(both->days >= fmax(cans->days, battery->days) - 1e-9);
    CHECK_NEAR(both->own_gained_days[LW_SUPPLY_FRESH], cans->own_gained_days[LW_SUPPLY_FRESH], 1e-6,
               "water by itself does not see the battery");
    /* No set that is cheaper or as dear gains more than one of the front. */
    for (int f = 0; f < b->front_count; f++)
        for (int i = 0; i < b->set_count; i++)
            if (!b->set[i].why_not[0] && b->set[i].price_usd <= b->set[b->front[f]].price_usd)
                assert_true(b->set[i].gained_days <= b->set[b->front[f]].gained_days + 1e-9);
    for (int f = 1; f < b->front_count; f++)
        assert_true(b->set[b->front[f]].price_usd > b->set[b->front[f - 1]].price_usd);
    free(b);
}

static void budget_roof_and_mass_are_kept(void **state)
{
    const char *kept[] = {"solar-200", "solar-400", "bladder-45"};
    const char *small[] = {"rig.roof=2 m2", "rig.payload=560 kg", "rig.gear=100 kg"};
    lw_buy_wish wish = usual();
    (void)state;
    wish.budget_usd = 400.0;
    lw_bought *b = bought_of(kept, 3, small, 3, wish);
    for (int i = 0; i < b->set_count; i++)
        assert_true(b->set[i].price_usd <= 400.0);
    assert_true(set_of(b, "solar-200", NULL)->fits_roof);
    free(b);
    wish.budget_usd = INFINITY;
    b = bought_of(kept, 3, small, 3, wish);
    assert_false(set_of(b, "solar-400", NULL)->fits_roof); /* 2.2 m2 */
    assert_false(set_of(b, "solar-400", NULL)->is_on_front);
    assert_non_null(strstr(set_of(b, "solar-400", NULL)->load, "does not fit"));
    /* By hand: 560 kg less 100 of gear, 160 of water, 27.2 of gas, 20 person-days of food at 1.75 and 6 gal of fuel. */
    CHECK_NEAR(b->spare_kg, 560.0 - 100.0 - 160.0 - 2.0 * 13.6 - 20.0 * 1.75 - 6.0 * 3.785411784 * 0.745, 0.5, "spare");
    assert_true(set_of(b, "bladder-45", NULL)->fits_mass); /* 173 kg */
    free(b);
}

static void a_year_by_month_is_twelve_fortnights_here(void **state)
{
    lw_loaded loaded;
    lw_err err = {0};
    (void)state;
    assert_int_equal(lw_scenario_load(&(lw_scenario_from){.path = "examples/winter-trailer.yaml", .now_s = 1781000000},
                                      &loaded, &err),
                     LW_OK);
    const lw_year year = lw_year_by_month(&loaded);
    assert_int_equal(year.count, 12);
    for (int i = 0; i < 12; i++) {
        const lw_date d = lw_date_of(year.stay[i].day);
        assert_int_equal(d.month, i + 1);
        assert_true(d.year == 2026 && year.stay[i].is_here && year.stay[i].nights == 14);
    }
    lw_loaded_clear(&loaded);
}

static lw_written keep(void *to, const char *bytes, size_t n)
{
    char *text = to;
    const size_t used = strlen(text);
    memcpy(text + used, bytes, n);
    text[used + n] = '\0';
    return LW_WRITTEN;
}

static void the_json_keeps_to_its_schema_and_the_picture_is_whole(void **state)
{
    const char *kept[] = {"cans-4", "battery-200"}, *small[] = {"rig.tanks.fresh=12 gal"};
    char path[] = "/tmp/leeway-buy-XXXXXX", command[256];
    lw_loaded loaded;
    lw_err err = {0};
    (void)state;
    lw_bought *b = bought_of(kept, 2, small, 1, usual());
    assert_int_equal(lw_scenario_load(&(lw_scenario_from){.path = "examples/winter-trailer.yaml", .now_s = 1781000000},
                                      &loaded, &err),
                     LW_OK);
    char *text = lw_buy_json(b, &loaded, "0.0.0"), *svg = calloc(1, 1 << 16);
    lw_sink *sink = malloc(sizeof *sink);
    const int file = mkstemp(path);
    assert_true(text && svg && sink);
    lw_sink_init(sink, keep, svg);
    lw_buy_svg(b, 360, sink);
    assert_int_equal(lw_sink_flush(sink, &err), LW_OK);
    assert_true(strncmp(svg, "<svg ", 5) == 0 && strstr(svg, "</svg>\n") && strstr(svg, "four water cans"));
    assert_true(file >= 0 && write(file, text, strlen(text)) == (ssize_t)strlen(text));
    close(file);
    snprintf(command, sizeof command, "python3 tests/service/check_schema.py docs/buy.schema.json %s", path);
    const int status = system(command);
    (void)remove(path);
    free(text);
    free(svg);
    free(sink);
    free(b);
    lw_loaded_clear(&loaded);
    if (WIFEXITED(status) && WEXITSTATUS(status) == 77)
        skip();
    assert_int_equal(status, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(panels_where_no_generator_runs_gain_what_an_outlook_says_and_never_pay),
        cmocka_unit_test(spared_fuel_pays_by_arithmetic),
        cmocka_unit_test(interactions_are_run_again),
        cmocka_unit_test(budget_roof_and_mass_are_kept),
        cmocka_unit_test(a_year_by_month_is_twelve_fortnights_here),
        cmocka_unit_test(the_json_keeps_to_its_schema_and_the_picture_is_whole),
    };
    return cmocka_run_group_tests_name("service/buy", tests, NULL, NULL);
}
