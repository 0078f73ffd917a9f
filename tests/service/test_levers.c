/* What a household may change: invented households from examples/; gains are held against what-if outlooks, sets against trying
 * every set. No outside source knows this; the arithmetic of tanks is checked by hand. */
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/check.h"

#include "core/base/random.h"
#include "exchange/tables.h"
#include "service/levers.h"
#include "service/plan_source.h"
#include "tests/service/calibration.h"

static lw_levers *levers_from(lw_plan_source source, lw_levers_wish wish)
{
    lw_levers *levers = malloc(sizeof *levers);
    lw_err err = {0};
    assert_non_null(levers);
    lw_trials trials = lw_plan_source_trials(&source);
    if (lw_levers_make(&trials, &wish, levers, &err))
        fail_msg("%s: %s", err.where, err.text);
    return levers;
}

static lw_plan_source source_of(const char *path, const char *until)
{
    return (lw_plan_source){.path = path, .until = until, .now_s = 1781000000, .seed = 1};
}

static lw_levers *levers_of(const char *path, const char *until, lw_levers_wish wish)
{
    return levers_from(source_of(path, until), wish);
}

static lw_levers_wish wish_of(int draws)
{
    return (lw_levers_wish){.confidence_frac = 0.8,
                            .hour_usd = NAN,
                            .nuisance_usd = NAN,
                            .draws = draws,
                            .fresh = draws,
                            .wants_no_set = 1};
}

/* Every lever but a few is left out: trying them all takes its time under sanitizers. */
static lw_levers *few_levers_from(lw_plan_source source, lw_levers_wish wish, const char *const *kept, int kept_count)
{
    const char *without[LW_LEVERS];
    lw_table table = {0};
    lw_err err = {0};
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
    lw_levers *levers = levers_from(source, wish);
    lw_table_clear(&table);
    return levers;
}

static lw_levers *few_levers_of(const char *path, const char *until, lw_levers_wish wish, const char *const *kept,
                                int kept_count)
{
    return few_levers_from(source_of(path, until), wish, kept, kept_count);
}

static const lw_lever *lever_of(const lw_levers *levers, const char *id)
{
    for (int i = 0; i < levers->count; i++)
        if (strcmp(levers->lever[i].id, id) == 0)
            return &levers->lever[i];
    fail_msg("there is no lever %s", id);
    return NULL;
}

/* ---- the table ---- */

/* What nobody can choose otherwise, or what is not of every household. */
static int is_no_choice(const char *activity)
{
    return strcmp(activity, "excreta") == 0 || strcmp(activity, "pet") == 0 || strcmp(activity, "food") == 0 ||
           strcmp(activity, "wipes") == 0;
}

static void every_habit_is_a_lever_with_its_source(void **state)
{
    lw_table habits = {0}, levers = {0};
    lw_err err = {0};
    (void)state;
    assert_int_equal(lw_table_open("habits", &habits, &err), LW_OK);
    assert_int_equal(lw_table_open("levers", &levers, &err), LW_OK);
    for (int row = 0; row < habits.rows; row++) {
        const char *id = lw_table_cell(&habits, row, "id"), *activity = lw_table_cell(&habits, row, "activity");
        const int at = lw_table_row(&levers, "id", id);
        if (is_no_choice(activity) || strcmp(id, "flush-cassette") == 0 || strcmp(id, "cook-electric") == 0 ||
            strcmp(id, "laundry-washer") == 0) /* these take an appliance or a toilet that must be bought with them */
            continue;
        char change[96];
        snprintf(change, sizeof change, "crew.habits.%s=%s", activity, id);
        if (at < 0 || strcmp(lw_table_cell(&levers, at, "change"), change) != 0)
            fail_msg("data/levers.csv has no row %s with %s", id, change);
    }
    for (int row = 0; row < levers.rows; row++) {
        double nuisance = NAN;
        const char *id = lw_table_cell(&levers, row, "id"), *kind = lw_table_cell(&levers, row, "kind");
        assert_int_equal(lw_table_number(&levers, row, "nuisance", &nuisance, &err), LW_OK);
        if (!(nuisance >= 0.0 && nuisance <= 10.0) || !*lw_table_cell(&levers, row, "source") ||
            !*lw_table_cell(&levers, row, "title") || lw_table_row(&levers, "id", id) != row ||
            (strcmp(kind, "published") != 0 && strcmp(kind, "common practice") != 0 &&
             strcmp(kind, "from memory") != 0))
            fail_msg("row %s of data/levers.csv: nuisance %g, kind %s", id, nuisance, kind);
    }
    lw_table_clear(&habits);
    lw_table_clear(&levers);
}

static void every_lever_that_fits_the_demo_can_be_tried(void **state)
{
    (void)state;
    lw_levers *l = levers_of("examples/family-at-work.yaml", "2026-06-10 10:00", wish_of(16));
    for (int i = 0; i < l->count; i++)
        if (l->lever[i].why_not[0])
            fail_msg("%s: %s", l->lever[i].id, l->lever[i].why_not);
    assert_true(l->count >= 45);
    free(l);
}

/* ---- gains ---- */

/* By hand: 45 gal more of a tank that lasts d days with c gal to be drawn last 45 d / c days longer, but for the unevenness of days. */
static void a_gain_is_what_the_same_change_gives_an_outlook(void **state)
{
    static const char *const CHANGE[] = {"crew.habits.teeth=teeth-cup"};
    (void)state;
    static const char *const KEPT[] = {"teeth-cup"};
    lw_levers *l = few_levers_of("examples/ten-lines.yaml", "2026-06-14 10:00", wish_of(48), KEPT, COUNT_OF(KEPT));
    const lw_lever *lever = lever_of(l, "teeth-cup");
    lw_outlook_answer before = {0}, after = {0};
    lw_err err = {0};
    lw_outlook_request request = {.from = {.path = "examples/ten-lines.yaml", .now_s = 1781000000},
                                  .until = "2026-06-14 10:00",
                                  .draws = {.draws = 48, .seed = 1}};
    assert_int_equal(lw_outlook_run(&request, &before, &err), LW_OK);
    request.from.change = CHANGE;
    request.from.change_count = 1;
    assert_int_equal(lw_outlook_run(&request, &after, &err), LW_OK);
    for (int k = LW_SUPPLY_FRESH; k <= LW_SUPPLY_GREY; k++) {
        if (!before.outlook->leeway[k].is_present)
            continue;
        const double gain = after.outlook->leeway[k].q[1].days - before.outlook->leeway[k].q[1].days;
        if (lever->gain[k].bound == LW_BOUND_EXACT)
            CHECK_NEAR(lever->gain[k].difference_days, gain, 1e-6, "%s by a cup", lw_supply_word((lw_supply)k));
    }
    assert_true(lever->gain[LW_SUPPLY_FRESH].bound == LW_BOUND_EXACT);
    assert_true(lever->gain[LW_SUPPLY_FRESH].difference_days > 0.0);
    lw_outlook_answer_clear(&before);
    lw_outlook_answer_clear(&after);
    free(l);
}

static void what_lasts_past_the_days_looked_at_gains_at_least(void **state)
{
    (void)state;
    static const char *const KEPT[] = {"bladder-45"};
    lw_levers *l = few_levers_of("examples/ten-lines.yaml", "2026-06-10 10:00", wish_of(16), KEPT, COUNT_OF(KEPT));
    const lw_lever *bladder = lever_of(l, "bladder-45");
    const lw_gain *g = &bladder->gain[LW_SUPPLY_FRESH];
    assert_true(g->bound == LW_BOUND_AT_LEAST && strncmp(g->text, ">= +", 4) == 0);
    CHECK_NEAR(g->after_days, l->horizon_days, 1e-9, "to the horizon");
    assert_string_equal(bladder->gain[LW_SUPPLY_FOOD].text, "");
    free(l);
}

/* The generator of the demo is never run by policy: more panels save nothing, and it is said so. */
static void panels_that_save_no_fuel_never_pay_and_gain_what_the_simulation_says(void **state)
{
    (void)state;
    static const char *const KEPT[] = {"solar-double"};
    lw_levers *l = few_levers_of("examples/family-at-work.yaml", "2026-06-10 10:00", wish_of(16), KEPT, COUNT_OF(KEPT));
    const lw_lever *twice = lever_of(l, "solar-double");
    assert_true(isinf(twice->payback_days));
    assert_non_null(strstr(twice->payback, "never pays itself back"));
    assert_non_null(strstr(twice->change[0], "rated: 640 W")); /* 480 W and 160 W */
    CHECK_NEAR(twice->price_usd, 1.2 * 640.0, 1e-9, "by the watt");
    CHECK_NEAR(twice->mass_kg, 0.06 * 640.0, 1e-9, "by the watt");
    CHECK_NEAR(twice->roof_m2, 0.0055 * 640.0, 1e-9, "by the watt");
    CHECK_NEAR(twice->stay.difference_days, 0.0, 1e-9, "water ends the stay, not power");
    free(l);
}

/* ---- weights and wishes ---- */

static void the_households_own_weights_count(void **state)
{
    const lw_lever_weight weight[] = {{"teeth-cup", 7.0}};
    static const char *const KEPT[] = {"teeth-cup", "cans-4"};
    lw_levers_wish wish = wish_of(16);
    (void)state;
    wish.weight = weight, wish.weight_count = 1;
    wish.is_used = 1;
    wish.hour_usd = 30.0, wish.nuisance_usd = 2.0;
    lw_levers *l = few_levers_of("examples/ten-lines.yaml", "2026-06-10 15:00", wish, KEPT, COUNT_OF(KEPT));
    const lw_lever *cup = lever_of(l, "teeth-cup"), *cans = lever_of(l, "cans-4");
    CHECK_NEAR(cup->nuisance, 7.0, 1e-9, "nuisance as it was given; a brush under the tap is none");
    CHECK_NEAR(cup->burden_usd, 7.0 * 2.0 * 2.0 + fmax(cup->minutes, 0.0) / 60.0 * 30.0 + cup->running_usd, 1e-6,
               "two days of it");
    CHECK_NEAR(cans->price_usd, 30.0, 1e-9, "used cans");
    assert_int_equal(l->count, 2);
    free(l);
}

/* Of a habit the source is that of its water and minutes; a price that nobody said has a source too. */
static void every_figure_has_its_source(void **state)
{
    static const char *const KEPT[] = {"teeth-cup", "cans-4"};
    static const char *const PRICES[] = {"hour", "nuisance", "fuel", "propane"};
    lw_levers_wish wish = wish_of(16);
    char costs[64];
    (void)state;
    wish.hour_usd = 25.0;
    lw_levers *l = few_levers_of("examples/ten-lines.yaml", "2026-06-10 4:00", wish, KEPT, COUNT_OF(KEPT));
    for (size_t i = 0; i < COUNT_OF(PRICES); i++) {
        const lw_assumption *row = lw_price_row(&l->prices, PRICES[i]);
        if (!row || !row->source[0] || (strcmp(row->kind, "yours") == 0) != (i == 0))
            fail_msg("%s: %s", PRICES[i], row ? row->kind : "not told");
    }
    assert_string_equal(lw_price_row(&l->prices, "hour")->value, "25 USD/h");
    assert_string_equal(lw_price_row(&l->prices, "fuel")->value, "3.79 USD/gal"); /* 1 USD a litre; 3.785 L a gallon */
    for (int i = 0; i < l->count; i++)
        assert_true(l->lever[i].source[0] && l->lever[i].kind[0] && !strstr(l->lever[i].source, "data/habits.csv"));
    assert_non_null(strstr(lever_of(l, KEPT[0])->source, "; its nuisance from judgement"));
    lw_lever_say_costs(lever_of(l, KEPT[1]), costs, sizeof costs);
    assert_string_equal(costs, "60 USD; 2 min a day; 20 min once; nuisance 1");
    free(l);
}

/* What sun is worth shows in no usual course of a camp whose battery lasts, and in draws it does: see touch_by_course. */
static void a_panel_is_drawn_though_no_usual_course_needs_it(void **state)
{
    static const char *const KEPT[] = {"solar-suitcase"};
    (void)state;
    lw_levers *l = few_levers_of("examples/ten-lines.yaml", "2026-06-12 10:00", wish_of(16), KEPT, COUNT_OF(KEPT));
    const lw_lever *panel = lever_of(l, KEPT[0]);
    assert_true(panel->is_drawn);
    assert_true(panel->in_set.helps >> LW_SUPPLY_BATTERY & 1u);
    free(l);
}

/* crew.nuisance of the household's file stands where nothing else is asked; the table where it says nothing. */
static void what_a_nuisance_is_stands_in_the_households_file(void **state)
{
    static const char *const CHANGE[] = {"crew.nuisance={of: teeth-cup, is: 6}", "crew.nuisance+={of: cans-4, is: 0}"};
    static const char *const OTHERS[] = {"teeth-cup", "cans-4", "bladder-45"};
    const lw_lever_weight weight[] = {{"cans-4", 2.0}};
    lw_plan_source source = source_of("examples/ten-lines.yaml", "2026-06-10 15:00");
    lw_levers_wish wish = wish_of(16);
    (void)state;
    source.change = CHANGE, source.change_count = COUNT_OF(CHANGE);
    wish.weight = weight, wish.weight_count = 1;
    lw_levers *l = few_levers_from(source, wish, OTHERS, COUNT_OF(OTHERS));
    CHECK_NEAR(lever_of(l, OTHERS[0])->nuisance, 6.0, 1e-9, "of the file");
    assert_true(lever_of(l, OTHERS[0])->nuisance_from == LW_NUISANCE_SCENARIO);
    CHECK_NEAR(lever_of(l, OTHERS[1])->nuisance, 2.0, 1e-9, "as asked");
    assert_true(lever_of(l, OTHERS[1])->nuisance_from == LW_NUISANCE_ASKED);
    CHECK_NEAR(lever_of(l, OTHERS[2])->nuisance, 1.0, 1e-9, "of data/levers.csv");
    assert_true(lever_of(l, OTHERS[2])->nuisance_from == LW_NUISANCE_TABLE);
    free(l);
}

static void what_is_asked_wrongly_is_refused(void **state)
{
    const lw_lever_weight weight[] = {{"teeth-cub", 7.0}};
    lw_plan_source source = {.path = "examples/ten-lines.yaml", .now_s = 1781000000};
    lw_levers *levers = malloc(sizeof *levers);
    lw_levers_wish wish = wish_of(16);
    lw_err err = {0};
    (void)state;
    assert_non_null(levers);
    lw_trials trials = lw_plan_source_trials(&source);
    wish.weight = weight, wish.weight_count = 1;
    assert_int_equal(lw_levers_make(&trials, &wish, levers, &err), LW_E_MISSING);
    assert_non_null(strstr(err.text, "did you mean teeth-cup?"));
    wish.weight_count = 0;
    wish.confidence_frac = 1.0;
    err = (lw_err){0};
    assert_int_equal(lw_levers_make(&trials, &wish, levers, &err), LW_E_RANGE);
    free(levers);
}

/* ---- sets ---- */

enum { POOL = 16, CASE_LEVERS = 4, SOAK_LEVERS = 10 };

static const char *const POOL_IDS[POOL] = {
    "teeth-cup",        "face-cloth",    "hands-wipes",     "dishes-paper-plates", "shower-basin", "flush-nearly-dry",
    "bladder-45",       "waste-tank-15", "rubbish-pressed", "dishes-wipe-first",   "paper-bagged", "cook-simple",
    "shower-elsewhere", "break-camp",    "cans-4",          "solar-suitcase"};

static uint32_t number(uint32_t seed, uint32_t at, uint32_t below)
{
    const lw_random_key key = {.seed = seed, .draw = at};
    return lw_random_block(&key, 11, 0).word[0] % below;
}

/* A few of the pool, each once. */
static void pick(uint32_t seed, int levers, const char *kept[SOAK_LEVERS])
{
    int count = 0;
    for (uint32_t at = 0; count < levers; at++) {
        const char *id = POOL_IDS[number(seed, at, POOL)];
        int is_new = 1;
        for (int i = 0; i < count; i++)
            is_new &= strcmp(kept[i], id) != 0;
        if (is_new)
            kept[count++] = id;
    }
}

/* Of all sets of the levers the least burden with which enough draws stay; infinite: none. */
static double by_trying_all(const lw_levers *l, lw_plan_source *source, double wished_h)
{
    lw_trials trials = lw_plan_source_trials(source);
    lw_err err = {0};
    double least = INFINITY;
    if (lw_trials_open(&trials, &err))
        fail_msg("%s", err.text);
    trials.most_hours = (int)ceil(wished_h);
    lw_trial_row *row = calloc((size_t)l->draws, sizeof *row);
    assert_non_null(row);
    for (uint32_t set = 0; set < UINT32_C(1) << l->count; set++) {
        const char *change[SOAK_LEVERS * LW_LEVER_CHANGES];
        int changes = 0, is_one = 1, stays = 0;
        double burden = 0.0;
        for (int i = 0; i < l->count; i++) {
            if (!(set >> i & 1u))
                continue;
            burden += l->lever[i].burden_usd;
            for (int j = 0; j < i; j++)
                is_one &= !(set >> j & 1u) || !l->lever[i].exclusive[0] ||
                          strcmp(l->lever[i].exclusive, l->lever[j].exclusive) != 0;
            for (int c = 0; c < l->lever[i].change_count; c++)
                change[changes++] = l->lever[i].change[c];
        }
        lw_trial trial;
        lw_bench bench;
        if (!is_one || burden >= least || lw_trial_make(&trials, change, changes, &trial, &err))
            continue;
        assert_int_equal(lw_bench_open(&trial, &bench, &err), LW_OK);
        lw_trial_rows(&trial, &bench, 0, (uint32_t)l->draws, row);
        for (int d = 0; d < l->draws; d++) {
            int lasts = 1;
            for (int k = 0; k < LW_SUPPLY_COUNT; k++)
                lasts &= row[d].end_h[k] >= (float)wished_h;
            stays += lasts;
        }
        if (stays >= (int)ceil(0.8 * l->draws - 1e-9))
            least = burden;
        lw_bench_close(&bench);
        lw_trial_clear(&trial);
    }
    free(row);
    lw_trials_close(&trials);
    return least;
}

/* Where the aim was raised by what fresh draws said, it is another model, and the case says nothing. */
static void the_least_set_is_that_of_trying_all(void **state)
{
    /* so that ten days are hopeless in some of the cases only */
    static const char *const LARGER[] = {"rig.tanks.fresh=80 gal", "rig.tanks.grey=70 gal",   "rig.tanks.black=60 gal",
                                         "rig.rubbish=8 bags",     "rig.food=60 person-days", "rig.propane=60 lb"};
    const int is_soak = getenv("LEEWAY_SOAK") != NULL, levers = is_soak ? SOAK_LEVERS : CASE_LEVERS;
    int found = 0, none = 0;
    (void)state;
    for (uint32_t seed = 1; seed <= (is_soak ? 100u : 2u); seed++) {
        const char *kept[SOAK_LEVERS] = {NULL};
        char until[32];
        /* ten days of a stay that begins on the 8th, and less */
        snprintf(until, sizeof until, "2026-06-%02u %02u:00", 10 + (is_soak ? number(seed, 98, 9) : 0),
                 8 + number(seed, 99, 12));
        lw_levers_wish wish = wish_of(is_soak ? 32 : 16);
        wish.wants_no_set = 0;
        wish.sets = 1000;
        wish.set_draws = wish.draws;
        wish.fresh = 1;
        pick(seed, levers, kept);
        lw_plan_source source = source_of("examples/ten-lines.yaml", until);
        source.change = LARGER, source.change_count = is_soak ? COUNT_OF(LARGER) : 0;
        lw_levers *l = few_levers_from(source, wish, kept, levers);
        const double least = by_trying_all(l, &source, (double)(l->departure_s - l->start_s) / 3600.0);
        const double got = l->is_chosen ? l->set_burden_usd : INFINITY;
        if (l->tightened == 0 && !(fabs(got - least) <= 1e-6) && !(isinf(got) && isinf(least)))
            fail_msg("case %u until %s: burden %g, trying all sets %g", seed, until, got, least);
        found += l->tightened == 0 && !isinf(least), none += isinf(least);
        free(l);
    }
    if (is_soak)
        print_message("%d sets found, %d hopeless\n", found, none);
    if (is_soak && (found < 20 || none < 5))
        fail_msg("lopsided: %d found, %d none", found, none);
}

static void the_chance_that_is_told_is_at_least_the_wish(void **state)
{
    lw_levers_wish wish = wish_of(32);
    (void)state;
    wish.wants_no_set = 0;
    wish.fresh = 200;
    wish.sets = 12;
    lw_levers *l = few_levers_of("examples/ten-lines.yaml", "2026-06-10 4:00", wish, POOL_IDS, 6);
    assert_true(l->has_set && l->is_reached && l->set_count > 0);
    assert_true(l->fresh_frac >= 0.8 && l->fresh_draws == 200);
    assert_string_equal(l->set_lead, "To stay until Wed 10 Jun 04:00 with 80 %, the least burden is");
    assert_true(strncmp(l->set_cost, "Together: ", 10) == 0 && strstr(l->set_cost, " USD to buy or pay"));
    /* the sentence is these two, and between them every lever of the set by its title */
    assert_true(strncmp(l->set_sentence, l->set_lead, strlen(l->set_lead)) == 0);
    assert_string_equal(l->set_sentence + strlen(l->set_sentence) - strlen(l->set_cost), l->set_cost);
    for (int i = 0; i < l->count; i++)
        if ((strstr(l->set_sentence, l->lever[i].title) != NULL) != l->lever[i].is_in_set)
            fail_msg("%s: %s", l->lever[i].title, l->set_sentence);
    free(l);
}

/* Other levers, another departure and another wish a case. */
static void the_chance_is_that_of_further_draws(void **state)
{
    const int is_soak = getenv("LEEWAY_SOAK") != NULL;
    const int cases = is_soak ? 100 : 2, fresh = is_soak ? LW_LEVER_FRESH : 200, further = is_soak ? 100000 : 800;
    calibration c = {.cases = 0};
    int raised = 0;
    (void)state;
    for (uint32_t seed = 1; c.cases < cases && seed < 10u * (uint32_t)cases; seed++) {
        const char *kept[SOAK_LEVERS] = {NULL};
        char until[32];
        snprintf(until, sizeof until, "2026-06-%02u %02u:00", 9 + number(seed, 98, is_soak ? 4 : 2),
                 8 + number(seed, 99, 12));
        lw_levers_wish wish = wish_of(is_soak ? 64 : 16);
        wish.confidence_frac = 0.6 + 0.05 * number(seed, 97, 7);
        wish.wants_no_set = 0;
        wish.set_draws = is_soak ? LW_LEVER_SET_DRAWS : 32;
        wish.fresh = fresh;
        wish.further = further;
        pick(seed, is_soak ? SOAK_LEVERS : 5, kept);
        lw_levers *l = few_levers_of("examples/ten-lines.yaml", until, wish, kept, is_soak ? SOAK_LEVERS : 5);
        if (l->is_reached && !(l->fresh_frac >= wish.confidence_frac))
            fail_msg("case %u: %g is told for a wish of %g", seed, l->fresh_frac, wish.confidence_frac);
        if (l->is_reached && l->set_count > 0) {
            calibration_add(&c, l->fresh_frac, fresh, l->further_frac, further);
            raised += l->tightened > 0;
        }
        free(l);
    }
    if (c.cases < cases)
        fail_msg("only %d cases", c.cases);
    print_message("the aim was raised in %d\n", raised);
    calibration_want(&c, is_soak, "levers");
}

static void the_json_keeps_to_its_schema(void **state)
{
    char path[] = "/tmp/leeway-levers-XXXXXX", command[256];
    lw_levers_wish wish = wish_of(16);
    lw_loaded loaded = {.file = "ten-lines.yaml"};
    (void)state;
    wish.wants_no_set = 0;
    wish.sets = 3;
    lw_levers *l = few_levers_of("examples/ten-lines.yaml", "2026-06-10 4:00", wish, POOL_IDS, 6);
    char *text = lw_levers_json(l, &loaded, "0.0.0");
    const int file = mkstemp(path);
    assert_non_null(text);
    assert_true(file >= 0 && write(file, text, strlen(text)) == (ssize_t)strlen(text));
    close(file);
    snprintf(command, sizeof command, "python3 tests/service/check_schema.py docs/levers.schema.json %s", path);
    const int status = system(command);
    (void)remove(path);
    free(text);
    free(l);
    if (WIFEXITED(status) && WEXITSTATUS(status) == 77)
        skip();
    assert_int_equal(status, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_habit_is_a_lever_with_its_source),
        cmocka_unit_test(every_lever_that_fits_the_demo_can_be_tried),
        cmocka_unit_test(a_gain_is_what_the_same_change_gives_an_outlook),
        cmocka_unit_test(what_lasts_past_the_days_looked_at_gains_at_least),
        cmocka_unit_test(panels_that_save_no_fuel_never_pay_and_gain_what_the_simulation_says),
        cmocka_unit_test(the_households_own_weights_count),
        cmocka_unit_test(every_figure_has_its_source),
        cmocka_unit_test(a_panel_is_drawn_though_no_usual_course_needs_it),
        cmocka_unit_test(what_a_nuisance_is_stands_in_the_households_file),
        cmocka_unit_test(what_is_asked_wrongly_is_refused),
        cmocka_unit_test(the_least_set_is_that_of_trying_all),
        cmocka_unit_test(the_chance_that_is_told_is_at_least_the_wish),
        cmocka_unit_test(the_chance_is_that_of_further_draws),
        cmocka_unit_test(the_json_keeps_to_its_schema),
    };
    return cmocka_run_group_tests_name("service/levers", tests, NULL, NULL);
}
