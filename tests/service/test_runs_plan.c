/* Runs of an invented stay: what is planned is held against running the stay again, as the module does on fresh draws. */
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/check.h"

#include "core/base/random.h"
#include "service/errands_kept.h"
#include "service/household.h"
#include "service/map_import.h"
#include "service/runs_plan.h"
#include "tests/service/calibration.h"

enum { NOW_S = 1781000000 };

static const char ERRANDS[] =
    "services:\n"
    "  - {name: yard, gives: [water, dump, rubbish], distance: 5 mi, road: 15 min, fee: 8 USD, for: public}\n"
    "  - {name: spigot, gives: water, distance: 1 mi, road: 5 min}\n"
    "runs:\n"
    "  - {kind: break-camp, ready: 60 min, trouble: 5 USD, lose: 10 %}\n"
    "fallback: {name: the next wash, distance: 6 mi, road: 12 min, trouble: 20 USD}\n";

static lw_runs_wish few_draws(void)
{
    return (lw_runs_wish){.confidence_frac = 0.6, .hour_usd = 10.0, .draws = 16, .fresh = 64};
}

static lw_code plan_by(const char *errands_text, const char *until, lw_runs_wish wish, uint64_t seed,
                       lw_runs_planned *plan, lw_err *err)
{
    lw_errands errands;
    lw_plan_source source = {.path = "examples/ten-lines.yaml", .until = until, .now_s = NOW_S, .seed = seed};
    const lw_code code = lw_errands_read("e.yaml", errands_text, strlen(errands_text), &errands, err);
    return code ? code : lw_runs_plan_make(&source, &wish, &errands, plan, err);
}

static lw_code plan_of(const char *until, lw_runs_planned *plan, lw_err *err)
{
    return plan_by(ERRANDS, until, few_draws(), 1, plan, err);
}

static const double MILE_USD = 0.385 * 1.609344; /* of the rig */

static void a_run_keeps_the_stay_going(void **state)
{
    lw_runs_planned *plan = malloc(sizeof *plan);
    lw_err err = {0};
    (void)state;
    assert_non_null(plan);
    if (plan_of("2026-06-10 20:00", plan, &err))
        fail_msg("%s: %s", err.where, err.text);
    assert_true(plan->out.is_found && plan->out.is_proven && plan->out.count >= 1);
    assert_true(plan->is_reached && plan->fresh_frac >= 0.6 && plan->without_frac < 0.6);
    assert_non_null(strstr(plan->run[0].sentence, ": breaking camp to yard: water in"));
    assert_non_null(strstr(plan->ask, "spigot"));
    assert_non_null(strstr(plan->spot, "the next wash"));
    for (int i = 0; i < plan->out.count; i++) {
        double sum = 0.0;
        assert_true(plan->run[i].leave_s > plan->start_s && plan->run[i].back_s < plan->departure_s);
        for (int p = 0; p < plan->run[i].part_count; p++)
            sum += plan->run[i].part[p].usd;
        CHECK_NEAR(sum, plan->out.run[i].usd, 1e-6, "the parts of run %d add up", i);
    }
    /* By hand: an hour of packing, half an hour of road, twenty minutes there; ten miles at 0.385 USD a km (data/prices.csv); fee and trouble; one time in
     * ten twelve minutes, six miles and 20 USD to the next wash. */
    CHECK_NEAR(plan->out.run[0].usd,
               10.0 * (1.0 + 0.5 + 1.0 / 3.0) + 10.0 * MILE_USD + 8.0 + 5.0 +
                   0.1 * (10.0 * 0.2 + 6.0 * MILE_USD + 20.0),
               1e-6, "its cost");
    CHECK_NEAR(plan->keeps_spot_frac, pow(0.9, plan->out.count), 1e-9, "the spot");
    /* Like with like: this run against moving on with it, what follows comes to both. */
    char coming[64];
    snprintf(coming, sizeof coming, "; coming back costs %.0f USD.", nearbyint(plan->out.run[0].usd));
    if (!strstr(plan->spot, coming))
        fail_msg("%s", plan->spot);
    /* Twenty minutes there and the fee: 10 / 3 + 8 USD. */
    if (strncmp(plan->driving, "On a day that you drive anyway the same calls cost 11 USD instead of ", 68) != 0)
        fail_msg("%s", plan->driving);
    free(plan);
}

/* Twenty gallons a run for a household of four: more than a run a day. */
static void many_runs_are_called_many_before_they_are_listed(void **state)
{
    static const char SMALL[] =
        "services:\n  - {name: yard, gives: [water, dump, rubbish], distance: 5 mi, road: 15 min, fee: 8 USD, for: "
        "public}\nruns:\n  - {kind: runabout, cans: 20 gal, waste_tank: 20 gal}\n  - {kind: break-camp, ready: 300 "
        "min, trouble: 500 USD}\n";
    lw_runs_planned *plan = malloc(sizeof *plan);
    lw_runs_wish wish = few_draws();
    lw_err err = {0};
    (void)state;
    assert_non_null(plan);
    wish.draws = 8, wish.fresh = 16;
    if (plan_by(SMALL, "2026-06-15 20:00", wish, 1, plan, &err))
        fail_msg("%s: %s", err.where, err.text);
    const char *told = plan->headline;
    assert_true(plan->out.is_found && plan->out.count > 5);
    char week[64];
    snprintf(week, sizeof week, "That takes %.0f runs a week, most of them for ",
             plan->out.count * 7.0 * 86400.0 / (double)(plan->departure_s - plan->start_s));
    if (strncmp(told, week, strlen(week)) != 0 ||
        !strstr(told, "(leeway plan levers). To stay until Mon 15 Jun 20:00,"))
        fail_msg("%d runs: %s", plan->out.count, told);
    assert_true(strncmp(plan->measured, "In ", 3) == 0);
    assert_non_null(
        strstr(plan->measured, " % of 16 fresh courses nothing that you can fetch or take away runs short"));
    assert_true(plan->is_reached || strstr(plan->measured, "That is less than you wish"));
    free(plan);
}

static void a_short_stay_needs_none_and_a_long_one_is_refused(void **state)
{
    lw_runs_planned *plan = malloc(sizeof *plan);
    lw_err err = {0};
    (void)state;
    assert_non_null(plan);
    assert_int_equal(plan_of("2026-06-08 20:00", plan, &err), LW_OK);
    assert_true(plan->out.is_found && plan->out.count == 0 && strstr(plan->headline, "No run is needed"));
    assert_int_equal(plan_of("2026-08-08 20:00", plan, &err), LW_E_RANGE);
    free(plan);
}

/* Sunset at Frozen Fork in the middle of January is at 17:25 (NOAA's solar calculator, from memory): breaking camp is over by 17:00. */
static void the_rig_is_back_by_sunset(void **state)
{
    static const char OPEN[] =
        "services:\n  - {name: yard, gives: [water, dump, rubbish, propane, groceries, fuel], distance: 5 "
        "mi, road: 15 min, for: public, open: \"%d:00-21:00\"}\nruns:\n  - {kind: break-camp, ready: 60 min}\n";
    lw_runs_planned *plan = malloc(sizeof *plan);
    (void)state;
    assert_non_null(plan);
    for (int open_h = 12; open_h <= 17; open_h += 5) {
        char text[sizeof OPEN + 16];
        lw_errands errands;
        lw_err err = {0};
        lw_plan_source source = {
            .path = "examples/winter-trailer.yaml", .until = "2026-01-17 10:00", .now_s = NOW_S, .seed = 1};
        const lw_runs_wish wish = few_draws();
        snprintf(text, sizeof text, OPEN, open_h);
        if (lw_errands_read("e.yaml", text, strlen(text), &errands, &err) ||
            lw_runs_plan_make(&source, &wish, &errands, plan, &err))
            fail_msg("%s: %s", err.where, err.text);
        assert_int_equal(plan->out.is_found, open_h == 12);
        assert_true(open_h == 17 || plan->out.count > 0);
        for (int i = 0; i < plan->out.count; i++) {
            const lw_clock back = lw_clock_at(&plan->zone, plan->run[i].back_s);
            assert_true(back.hour < 17 || (back.hour == 17 && back.minute == 0));
        }
    }
    free(plan);
}

/* Nobody said that the spigot may be used: by it alone there is no plan. */
static void what_must_be_asked_for_is_never_relied_on(void **state)
{
    static const char ONLY[] = "services:\n  - {name: spigot, gives: [water, dump], distance: 1 mi, road: 5 min}\n"
                               "runs:\n  - {kind: break-camp}\n";
    lw_runs_planned *plan = malloc(sizeof *plan);
    lw_err err = {0};
    (void)state;
    assert_non_null(plan);
    assert_int_equal(plan_by(ONLY, "2026-06-10 20:00", few_draws(), 1, plan, &err), LW_OK);
    assert_true(!plan->out.is_found && plan->out.short_supply >= 0 && plan->in.service_count == 0);
    assert_non_null(strstr(plan->ask, "Ask first"));
    assert_non_null(strstr(plan->headline, ": nobody here serves "));
    free(plan);
}

static void the_json_keeps_to_its_schema(void **state)
{
    char path[] = "/tmp/leeway-runs-XXXXXX", command[256];
    lw_runs_planned *plan = malloc(sizeof *plan);
    lw_err err = {0};
    (void)state;
    assert_non_null(plan);
    assert_int_equal(plan_of("2026-06-10 20:00", plan, &err), LW_OK);
    /* the hour that the wish priced; the spigot of which nobody said who may use it */
    assert_non_null(lw_price_row(&plan->prices, "hour"));
    assert_string_equal(lw_price_row(&plan->prices, "hour")->kind, "yours");
    int is_told = 0;
    for (int i = 0; i < plan->errands.assumed_count; i++)
        is_told |= strcmp(plan->errands.assumed[i].key, "spigot: for") == 0;
    assert_true(is_told);
    char *text = lw_runs_json(plan, &(lw_loaded){.file = "x"}, "0.0.0");
    const int file = mkstemp(path);
    assert_non_null(text);
    assert_true(file >= 0 && write(file, text, strlen(text)) == (ssize_t)strlen(text));
    close(file);
    snprintf(command, sizeof command, "python3 tests/service/check_schema.py docs/runs.schema.json %s", path);
    const int status = system(command);
    (void)remove(path);
    free(text);
    free(plan);
    if (WIFEXITED(status) && WEXITSTATUS(status) == 77)
        skip();
    assert_int_equal(status, 0);
}

/* ---- of the book ---- */

static void write_file(const char *path, const char *text)
{
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
}

static lw_book *new_book(char folder[64])
{
    char path[96];
    lw_book *book = NULL;
    lw_begun begun;
    lw_err err = {0};
    snprintf(folder, 64, "/tmp/leeway-runs-book-XXXXXX");
    assert_non_null(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/book.sqlite", folder);
    if (lw_book_open(&book, path, LW_BOOK_CREATE, &err) ||
        lw_household_begin(book, "examples/ten-lines.yaml", NOW_S, &begun, &err))
        fail_msg("%s: %s", err.where, err.text);
    return book;
}

static void close_book(lw_book *book, const char *folder)
{
    char command[128];
    lw_book_close(book);
    snprintf(command, sizeof command, "rm -r %s", folder);
    assert_int_equal(system(command), 0);
}

static lw_code errands_of(lw_book *book, lw_errands *errands, lw_err *err)
{
    lw_household now = {0};
    lw_code code = lw_household_load(book, NOW_S, 0, &now, err);
    code = code ? code : lw_errands_of_book(book, &now.loaded, errands, err);
    lw_household_clear(&now);
    return code;
}

static void the_book_plans_by_what_it_keeps(void **state)
{
    char folder[64], path[96];
    lw_errands errands;
    lw_runs_planned *plan = malloc(sizeof *plan);
    lw_err err = {0};
    lw_book *book = new_book(folder);
    (void)state;
    assert_non_null(plan);
    assert_int_equal(errands_of(book, &errands, &err), LW_E_MISSING);
    assert_non_null(strstr(err.typed, "--keep"));
    err = (lw_err){0};
    snprintf(path, sizeof path, "%s/e.yaml", folder);
    write_file(path, ERRANDS);
    assert_int_equal(lw_errands_keep(book, path, &err), LW_OK);
    assert_int_equal(errands_of(book, &errands, &err), LW_OK);
    assert_int_equal(errands.service_count, 2);
    assert_non_null(strstr(errands.service[0].source, "errands of the book:2"));
    lw_plan_source source = {.book = book, .until = "2026-06-11 20:00", .now_s = NOW_S, .seed = 1};
    const lw_runs_wish wish = few_draws();
    if (lw_plan_source_open(&source, &err) || lw_runs_plan_make(&source, &wish, &errands, plan, &err))
        fail_msg("%s: %s", err.where, err.text);
    assert_true(plan->out.is_found && plan->out.count >= 1 && plan->run[0].leave_s > NOW_S);
    lw_plan_source_close(&source);
    close_book(book, folder);
    free(plan);
}

/* ten-lines.yaml stands at 36.9 N 111.5 W or near it; the spots lie within a few miles of it. */
static void spots_of_maps_fill_in_what_nobody_wrote_down(void **state)
{
    char folder[64], path[96], text[512];
    lw_errands errands;
    lw_map_done done;
    lw_household now = {0};
    lw_err err = {0};
    lw_book *book = new_book(folder);
    (void)state;
    assert_int_equal(lw_household_load(book, NOW_S, 0, &now, &err), LW_OK);
    const double lat = now.loaded.scenario->place.latitude_deg, lon = now.loaded.scenario->place.longitude_deg;
    snprintf(
        text, sizeof text,
        "lat,lon,name,kind,access,fee,opening_hours\n%.4f,%.4f,County dump,dump;water,yes,yes,Mo-Fr 08:00-16:30; Sa "
        "off\n%.4f,%.4f,Corner shop,groceries,,,\n%.4f,%.4f,Old bins,rubbish,yes,,sunrise-sunset\n"
        "%.4f,%.4f,Far shop,groceries,,,\n",
        lat + 0.1, lon, lat, lon + 0.1, lat - 0.05, lon, lat + 0.3, lon);
    snprintf(path, sizeof path, "%s/spots.csv", folder);
    write_file(path, text);
    if (lw_map_import(book, &(lw_map_ask){.path = path, .kind = LW_MAP_PLACES, .now_s = NOW_S}, &done, &err) ||
        lw_errands_of_book(book, &now.loaded, &errands, &err))
        fail_msg("%s: %s", err.where, err.text);
    assert_int_equal(errands.service_count, 3);
    for (int j = 0; j < 3; j++) {
        const lw_errand_service *s = &errands.service[j];
        const int is_bins = strcmp(s->name, "Old bins (open sunrise-sunset)") == 0;
        assert_true(s->is_guess && s->users == (is_bins ? LW_ERRAND_UNKNOWN : LW_ERRAND_PUBLIC));
        if (strcmp(s->name, "County dump") == 0) {
            /* a tenth of a degree of latitude is 11.1 km (WGS 84); times 1.3 */
            CHECK_NEAR(s->road_km, 14.4, 0.2, "%s", s->name);
            CHECK_NEAR(s->fee_usd, 12.0, 1e-9, "data/prices.csv");
            for (int d = 0; d < 7; d++) /* whole hours, as the map writes them */
                assert_int_equal(s->open[d], d < 5 ? 0xFF00u : 0);
        } else {
            assert_int_equal(s->open[0], is_bins ? 0 : 0x1FE00u); /* not understood: never; not said: 9 to 17 */
        }
    }
    assert_true(errands.type_count >= 1);
    lw_household_clear(&now);
    close_book(book, folder);
}

/* ---- the chance ---- */

static double unit(uint32_t seed, uint32_t at)
{
    const lw_random_key key = {.seed = seed, .draw = at};
    return lw_random_unit(lw_random_block(&key, 17, 0).word[0]);
}

/* A place by itself a case: services, wish and day of departure, and draws of its own, so that errors are independent. */
static void the_chance_is_that_of_further_draws(void **state)
{
    const int is_soak = getenv("LEEWAY_SOAK") != NULL;
    const int cases = is_soak ? 100 : 2, fresh = is_soak ? LW_RUNS_FRESH : 300, further = is_soak ? 100000 : 1500;
    calibration c = {.cases = 0};
    int reached = 0;
    lw_runs_planned *plan = malloc(sizeof *plan);
    (void)state;
    assert_non_null(plan);
    for (uint32_t seed = 1; c.cases < cases && seed < 10u * (uint32_t)cases; seed++) {
        char text[1024], until[32];
        lw_err err = {0};
        snprintf(
            text, sizeof text,
            "services:\n  - {name: yard, gives: [water, dump, rubbish], distance: %d mi, road: %d min, fee: %d USD, "
            "for: public}\n  - {name: shop, gives: [groceries, drinking], distance: %d mi, road: %d min, for: public}\n"
            "runs:\n  - {kind: break-camp, ready: %d min}\n  - {kind: runabout, cans: %d gal, waste_tank: %d gal}\n",
            3 + (int)(unit(seed, 0) * 20), 10 + (int)(unit(seed, 1) * 30), (int)(unit(seed, 2) * 20),
            3 + (int)(unit(seed, 3) * 20), 10 + (int)(unit(seed, 4) * 30), 30 + (int)(unit(seed, 5) * 60),
            10 + (int)(unit(seed, 6) * 30), 10 + (int)(unit(seed, 7) * 30));
        snprintf(until, sizeof until, "2026-06-%02d 18:00", 10 + (int)(unit(seed, 8) * (is_soak ? 6.0 : 2.0)));
        const lw_runs_wish wish = {.confidence_frac = 0.6 + 0.05 * floor(unit(seed, 9) * 7.0),
                                   .hour_usd = 10.0,
                                   .draws = is_soak ? 256 : 16,
                                   .fresh = fresh,
                                   .further = further};
        if (plan_by(text, until, wish, seed, plan, &err))
            fail_msg("%s: %s", err.where, err.text);
        if (!plan->out.is_found || plan->out.count == 0)
            continue;
        if (plan->is_reached != (plan->fresh_frac >= wish.confidence_frac))
            fail_msg("case %u: %g is told for a wish of %g", seed, plan->fresh_frac, wish.confidence_frac);
        reached += plan->is_reached;
        calibration_add(&c, plan->fresh_frac, fresh, plan->further_frac, further);
    }
    assert_true(c.cases == cases && reached > cases / 3);
    calibration_want(&c, is_soak, "runs");
    free(plan);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_run_keeps_the_stay_going),
        cmocka_unit_test(many_runs_are_called_many_before_they_are_listed),
        cmocka_unit_test(a_short_stay_needs_none_and_a_long_one_is_refused),
        cmocka_unit_test(the_rig_is_back_by_sunset),
        cmocka_unit_test(what_must_be_asked_for_is_never_relied_on),
        cmocka_unit_test(the_json_keeps_to_its_schema),
        cmocka_unit_test(the_book_plans_by_what_it_keeps),
        cmocka_unit_test(spots_of_maps_fill_in_what_nobody_wrote_down),
        cmocka_unit_test(the_chance_is_that_of_further_draws),
    };
    return cmocka_run_group_tests_name("service/runs_plan", tests, NULL, NULL);
}
