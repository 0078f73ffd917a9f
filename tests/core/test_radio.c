#include "tests/table.h"

#include "core/land/radio.h"
#include "core/models.h"

#define FOLDER "tests/reference/radio/"

/* One profile, kept while rows name it. */
typedef struct ground {
    char name[96];
    double d_km[1000], h_m[1000], clutter_m[1000];
    lw_profile profile;
} ground;

static void take_ground(ground *g, const char *name)
{
    char path[192];
    if (strcmp(g->name, name) == 0)
        return;
    table t;
    snprintf(g->name, sizeof g->name, "%s", name);
    snprintf(path, sizeof path, FOLDER "profiles/%s.csv", name);
    table_open(&t, path);
    int n = 0;
    while (table_next(&t)) {
        if (n == COUNT_OF(g->d_km))
            fail_msg("%s: more points than this test holds", path);
        g->d_km[n] = table_number(&t, "d_km");
        g->h_m[n] = table_number(&t, "h_m");
        g->clutter_m[n] = table_number(&t, "clutter_m");
        n++;
    }
    g->profile = (lw_profile){.count = n, .d_km = g->d_km, .h_m = g->h_m, .clutter_m = g->clutter_m};
}

/* Their figures have six decimals and agree to 1e-5. */
static const double ARITHMETIC_DB = 0.0001;

static double field(const table *t, const lw_column *c)
{
    if (c->kind == LW_COLUMN_PROFILE)
        return 1.0;
    return table_has(t, c->name) ? table_number(t, c->name) : (double)NAN;
}

/* Every line through the model; every result that the table has too. */
static void check_table(const char *model_name, const char *path, int rows, int columns)
{
    static ground g;
    const lw_model *model = lw_model_named(model_name);
    table t;
    assert_non_null(model);
    table_open(&t, path);
    while (table_next(&t)) {
        double in[32], out[32];
        lw_fault fault = {0};
        int compared = 0;
        take_ground(&g, table_text(&t, "profile"));
        for (size_t i = 0; i < model->in_count; i++)
            in[i] = field(&t, &model->in[i]);
        if (model->apply_beside(in, &(lw_beside){.profile = &g.profile}, out, &fault))
            fail_msg("%s: %s is refused", table_text(&t, "case"), fault.field);
        for (size_t i = 0; i < model->out_count; i++) {
            const lw_column *c = &model->out[i];
            if (!table_has(&t, c->name))
                continue;
            compared++;
            if (c->kind == LW_COLUMN_CHOICE)
                assert_int_equal((int)out[i], strcmp(table_text(&t, c->name), "trans") == 0);
            else if (isnan(out[i]) || isnan(table_number(&t, c->name)))
                assert_true(isnan(out[i]) && isnan(table_number(&t, c->name)));
            else
                CHECK_NEAR(out[i], table_number(&t, c->name), ARITHMETIC_DB, "%s %s", table_text(&t, "case"), c->name);
        }
        assert_int_equal(compared, columns);
    }
    assert_int_equal(t.row, rows);
}

static void diffraction_agrees_with_the_validated_program(void **state)
{
    (void)state;
    check_table("diffraction", FOLDER "delta_bullington.csv", 57, 13);
}

static void the_whole_chain_agrees_with_the_validated_program(void **state)
{
    (void)state;
    check_table("p1812", FOLDER "p1812.csv", 76, 18);
}

static void the_whole_chain_gives_the_published_validation_cases(void **state)
{
    (void)state;
    check_table("p1812", FOLDER "p1812_published.csv", 6, 18);
}

static void one_edge_follows_the_fresnel_integral(void **state)
{
    table t;
    (void)state;
    table_open(&t, FOLDER "knife_edge.csv");
    while (table_next(&t)) {
        const double nu = table_number(&t, "nu"), got_db = lw_edge_loss_db(nu);
        CHECK_NEAR(got_db, table_number(&t, "J_approx_db"), 1e-5, "nu %g", nu);
        if (nu >= -0.7) /* below it the exact curve swings by 1 dB and the approximation is 0 */
            CHECK_NEAR(got_db, table_number(&t, "J_exact_db"), 0.13, "nu %g, exact", nu);
    }
}

/* ---- laws ---- */

enum { POINTS = 101 };
typedef struct made {
    double d_km[POINTS], h_m[POINTS];
    unsigned char zone[POINTS];
    lw_profile profile;
} made;

static lw_radio_in made_path(made *m, double hill_m)
{
    for (int i = 0; i < POINTS; i++) {
        m->d_km[i] = 0.3 * i;
        m->h_m[i] = i == 40 ? hill_m : 0.0;
        m->zone[i] = LW_ZONE_INLAND;
    }
    m->profile = (lw_profile){.count = POINTS, .d_km = m->d_km, .h_m = m->h_m, .zone = m->zone};
    return (lw_radio_in){.profile = &m->profile,
                         .f_ghz = 0.9,
                         .tx_m = 30.0,
                         .rx_m = 3.0,
                         .time_pct = 10.0,
                         .place_pct = 50.0,
                         .dn_nupkm = 45.0,
                         .n0 = 320.0,
                         .latitude_deg = 40.0,
                         .coast_tx_km = 500.0,
                         .coast_rx_km = 500.0};
}

static double loss_db(const lw_radio_in *in)
{
    lw_radio out;
    lw_radio_of(in, &out);
    return out.loss_db;
}

static void a_higher_hill_takes_more_and_both_ways_take_the_same(void **state)
{
    made m, back;
    double before_db = 0.0;
    (void)state;
    /* below 60 m the hill's own loss and that of the round earth are traded by the method, a fall of 0.2 dB */
    for (double hill_m = 60.0; hill_m < 400.0; hill_m += 20.0) {
        const lw_radio_in in = made_path(&m, hill_m);
        const double there_db = loss_db(&in);
        if (!(there_db >= before_db))
            fail_msg("a hill of %g m takes %g dB, a lower one %g", hill_m, there_db, before_db);
        before_db = there_db;
        lw_radio_in other = made_path(&back, 0.0);
        other.tx_m = in.rx_m;
        other.rx_m = in.tx_m;
        for (int i = 0; i < POINTS; i++)
            back.h_m[i] = m.h_m[POINTS - 1 - i];
        CHECK_NEAR(loss_db(&other), there_db, 1e-9, "a hill of %g m, the other way", hill_m);
    }
}

static void the_sea_carries_farther_and_no_more_than_nine_places_in_ten_is_a_weaker_wish(void **state)
{
    made m;
    (void)state;
    lw_radio_in in = made_path(&m, 0.0);
    const double land_db = loss_db(&in);
    for (int i = 20; i < POINTS; i++)
        m.zone[i] = LW_ZONE_SEA;
    in.coast_tx_km = 5.85;
    const double sea_db = loss_db(&in);
    if (!(sea_db < land_db - 0.5))
        fail_msg("over sea %g dB, over land %g", sea_db, land_db);
    const lw_zone_km sea = lw_profile_zones(&m.profile, 1U << LW_ZONE_SEA);
    CHECK_NEAR(sea.longest_km, 30.0 - 5.85, 1e-9, "the run of sea, from half way between the points 19 and 20");
    in = made_path(&m, 50.0);
    in.place_sigma_db = 5.5;
    in.place_pct = 90.0; /* nine places of ten do better: 1.2816 spreads, a table of the normal distribution */
    const double most_db = loss_db(&in);
    in.place_pct = 50.0;
    CHECK_NEAR(most_db - loss_db(&in), 1.2816 * 5.5, 0.005, "nine places in ten");
}

static void bad_input_is_refused_by_its_name(void **state)
{
    made m;
    lw_fault fault;
    (void)state;
    lw_radio_in in = made_path(&m, 0.0);
    in.f_ghz = 6.1;
    assert_int_equal(lw_radio_check(&in, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "f_ghz");
    in = made_path(&m, (double)NAN);
    assert_int_equal(lw_radio_check(&in, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "h_m");
    in = made_path(&m, 0.0);
    m.d_km[7] = m.d_km[6];
    assert_int_equal(lw_radio_check(&in, &fault), LW_E_CONFLICT);
    assert_string_equal(fault.field, "d_km");
    in = made_path(&m, 0.0);
    m.d_km[0] = 0.1;
    assert_int_equal(lw_radio_check(&in, &fault), LW_E_CONFLICT);
    in = made_path(&m, 0.0);
    m.zone[3] = 2;
    assert_int_equal(lw_radio_check(&in, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "zone");
    in = made_path(&m, 0.0);
    m.profile.count = LW_PROFILE_LEAST - 1;
    assert_int_equal(lw_radio_check(&in, &fault), LW_E_RANGE);
    m.profile.count = LW_PROFILE_POINTS + 1;
    assert_int_equal(lw_radio_check(&in, &fault), LW_E_FULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(diffraction_agrees_with_the_validated_program),
        cmocka_unit_test(the_whole_chain_agrees_with_the_validated_program),
        cmocka_unit_test(the_whole_chain_gives_the_published_validation_cases),
        cmocka_unit_test(one_edge_follows_the_fresnel_integral),
        cmocka_unit_test(a_higher_hill_takes_more_and_both_ways_take_the_same),
        cmocka_unit_test(the_sea_carries_farther_and_no_more_than_nine_places_in_ten_is_a_weaker_wish),
        cmocka_unit_test(bad_input_is_refused_by_its_name),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
