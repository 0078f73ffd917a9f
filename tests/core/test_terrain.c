#include "tests/check.h"

#include <string.h>

#include "core/land/flat_grid.h"
#include "core/land/skyline.h"

enum { SIDE = 61 };

/* Two tiles side by side at 10 N, 20 and 21 E; the height is a plane: 1000 m + 3600 per degree north + 1200 east. */
typedef struct two_tiles {
    int16_t h_m[2][SIDE * SIDE];
    lw_tile tile[2];
    lw_terrain terrain;
} two_tiles;

static double plane_m(double latitude_deg, double longitude_deg)
{
    return 1000.0 + 3600.0 * (latitude_deg - 10.0) + 1200.0 * (longitude_deg - 20.0);
}

static void make_plane(two_tiles *t)
{
    for (int k = 0; k < 2; k++) {
        for (int r = 0; r < SIDE; r++)
            for (int c = 0; c < SIDE; c++)
                t->h_m[k][r * SIDE + c] =
                    (int16_t)lround(plane_m(11.0 - r / (SIDE - 1.0), 20.0 + k + c / (SIDE - 1.0)));
        t->tile[k] = (lw_tile){.south_deg = 10, .west_deg = 20 + k, .side = SIDE, .h_m = t->h_m[k]};
        t->tile[k].highest_m = lw_tile_highest_m(&t->tile[k]);
    }
    t->terrain = (lw_terrain){t->tile, 2};
}

static void heights_lie_straight_between_samples_and_across_tiles(void **state)
{
    static two_tiles t;
    (void)state;
    make_plane(&t);
    const lw_spot row[] = {{10.0, 20.0}, {10.31, 20.77}, {10.5, 21.0}, {10.999, 21.5}, {11.0, 22.0}, {10.25, -339.4}};
    for (size_t i = 0; i < COUNT_OF(row); i++)
        CHECK_NEAR(lw_terrain_m(&t.terrain, row[i]),
                   plane_m(row[i].latitude_deg, fmod(row[i].longitude_deg + 360.0, 360.0)), 1e-6, "%g %g",
                   row[i].latitude_deg, row[i].longitude_deg);
    assert_true(isnan(lw_terrain_m(&t.terrain, (lw_spot){9.999, 20.5})));
    assert_true(isnan(lw_terrain_m(&t.terrain, (lw_spot){10.5, 22.001})));
    assert_true(isnan(lw_terrain_m(&t.terrain, (lw_spot){NAN, 20.5})));
    CHECK_NEAR(t.tile[1].highest_m, 1000.0 + 3600.0 + 2400.0, 0.0, "highest");
}

static void a_void_is_left_out_and_four_of_them_are_not_known(void **state)
{
    static two_tiles t;
    (void)state;
    make_plane(&t);
    t.h_m[0][0] = LW_TERRAIN_VOID; /* north-west corner */
    const lw_spot near = {11.0 - 0.5 / 60.0, 20.0 + 0.5 / 60.0};
    CHECK_NEAR(lw_terrain_m(&t.terrain, near), (t.h_m[0][1] + t.h_m[0][SIDE] + t.h_m[0][SIDE + 1]) / 3.0, 1e-6,
               "mean of the three others");
    t.h_m[0][1] = t.h_m[0][SIDE] = t.h_m[0][SIDE + 1] = LW_TERRAIN_VOID;
    assert_true(isnan(lw_terrain_m(&t.terrain, near)));
    for (int i = 0; i < SIDE * SIDE; i++)
        t.h_m[0][i] = LW_TERRAIN_VOID;
    assert_true(isnan(lw_tile_highest_m(&t.tile[0])));
    double d_km[11], h_m[11];
    /* from the middle of the void tile into the other: the unknown half takes the nearest known */
    assert_int_equal(lw_terrain_between(&t.terrain, (lw_spot){10.5, 20.5}, (lw_spot){10.5, 21.5}, 11, d_km, h_m), 5);
    CHECK_NEAR(h_m[0], h_m[5], 0.0, "before the first known");
    CHECK_NEAR(d_km[10], 109.33, 0.02, "a degree of the parallel at 10.5 N"); /* 111.195 cos 10.5 */
}

/* A printed summit seldom is a sample: the highest within so far stands for it. On the tile N44W072 of the SRTM (90 m) the highest within
 * 150 m of 15 printed summits is 6 to 25 m below their printed heights, the ground at the printed spot itself up to 37 m
 * (heights and spots of US topographic maps, from memory; the tile is not carried along). */
static void the_highest_around_is_the_highest_sample_of_the_circle(void **state)
{
    static two_tiles t;
    (void)state;
    make_plane(&t);
    const double cell_m = 6371000.0 * 0.017453292519943295 / 60.0; /* 1,853 m */
    const lw_spot at = {10.5, 21.0};                               /* on the border of both */
    CHECK_NEAR(lw_terrain_highest_m(&t.terrain, at, 0.0), plane_m(10.5, 21.0), 1e-9, "the sample itself");
    t.h_m[1][29 * SIDE + 1] = 9000; /* one up, one to the east: 2,600 m off */
    CHECK_NEAR(lw_terrain_highest_m(&t.terrain, at, 1.35 * cell_m), plane_m(10.5 + 1.0 / 60.0, 21.0), 1e-9,
               "north of it");
    CHECK_NEAR(lw_terrain_highest_m(&t.terrain, at, 1.42 * cell_m), 9000.0, 0.0, "the peak");
    assert_true(isnan(lw_terrain_highest_m(&t.terrain, (lw_spot){20.0, 20.0}, 5000.0)));
    /* a walk in steps of one length is the finer one where the ground is a plane */
    const lw_seen fine = lw_terrain_look(&t.terrain, (lw_spot){10.2, 20.2}, 2.0, 0.0, 20000.0),
                  stepped = lw_terrain_look_in_steps(&t.terrain, (lw_spot){10.2, 20.2}, 2.0, 0.0, 20000.0, 30.0);
    CHECK_NEAR(stepped.seen_deg, fine.seen_deg, 0.01, "degrees of the slope");
}

/* Known distances and courses: a degree of meridian, the quarter of a great circle. */
static void a_walk_follows_the_great_circle(void **state)
{
    (void)state;
    const lw_walk north = lw_walk_of((lw_spot){40.0, -105.0}, 0.0);
    const lw_spot up = lw_walk_at(&north, 6371000.0 * 0.017453292519943295);
    CHECK_NEAR(up.latitude_deg, 41.0, 1e-9, "a degree north");
    CHECK_NEAR(up.longitude_deg, -105.0, 1e-9, "a degree north");
    const lw_walk east = lw_walk_of((lw_spot){0.0, 10.0}, 90.0);
    CHECK_NEAR(lw_walk_at(&east, 6371000.0 * 1.5707963267948966).longitude_deg, 100.0, 1e-9, "along the equator");
    const lw_spot from = {44.257, -71.253}, to = {44.6, -70.9};
    const lw_walk there = lw_walk_to(from, to);
    const lw_spot at = lw_walk_at(&there, lw_distance_m(from, to) * 6371000.0 / 6371008.8);
    CHECK_NEAR(at.latitude_deg, to.latitude_deg, 1e-9, "arrives");
    CHECK_NEAR(at.longitude_deg, to.longitude_deg, 1e-9, "arrives");
}

/* ---- the skyline ---- */

static double wall_m(const void *with, double way_m)
{
    const double *wall = with; /* distance, height */
    return way_m >= wall[0] ? wall[1] : 0.0;
}

/* tan e = ((R + h1) cos g - (R + h0)) / ((R + h1) sin g), in long double, which the short form must give. */
static void an_angle_is_that_of_the_sphere(void **state)
{
    (void)state;
    const double walls[][2] = {{100.0, 20.0}, {2000.0, 300.0}, {30000.0, 1200.0}, {100000.0, 3000.0}};
    for (size_t i = 0; i < COUNT_OF(walls); i++) {
        lw_seen seen;
        lw_sight_look(&(lw_sight){.height_m = wall_m,
                                  .with = walls[i],
                                  .eye_m = 2.0,
                                  .first_m = 10.0,
                                  .reach_m = 120000.0,
                                  .step_m = 10.0,
                                  .highest_m = walls[i][1]},
                      &seen);
        const long double r[] = {6371000.0L, 6371000.0L / 0.87L};
        const double got[] = {seen.curved_deg, seen.seen_deg};
        for (int k = 0; k < 2; k++) {
            const long double g = (long double)walls[i][0] / r[k], top = r[k] + (long double)walls[i][1];
            const long double want = atanl((top * cosl(g) - (r[k] + 2.0L)) / (top * sinl(g)));
            CHECK_NEAR(got[k], (double)(want * 57.29577951308232087680L), 1e-7, "wall at %g m", walls[i][0]);
        }
        CHECK_NEAR(seen.way_m, walls[i][0], 1e-6, "its near edge");
    }
}

static double valley_m(const void *with, double way_m)
{
    return way_m * *(const double *)with;
}

static void flat_land_has_no_skyline_and_a_slope_has_its_own(void **state)
{
    lw_seen seen;
    (void)state;
    double slope = 0.0;
    lw_sight sight = {.height_m = valley_m,
                      .with = &slope,
                      .eye_m = 2.0,
                      .first_m = 1.0,
                      .reach_m = 20000.0,
                      .step_m = 1.0,
                      .step_share = 0.0005,
                      .step_most_m = 50.0,
                      .highest_m = INFINITY};
    lw_sight_look(&sight, &seen);
    CHECK_NEAR(seen.seen_deg, 0.0, 0.0, "flat");
    CHECK_NEAR(seen.way_m, 0.0, 0.0, "flat");
    slope = 0.36397023; /* tan 20 deg; the eye on the ground */
    sight.eye_m = 0.0;
    sight.reach_m = 1500.0;
    lw_sight_look(&sight, &seen);
    CHECK_NEAR(seen.flat_deg, 20.0, 1e-6, "a slope of 20 deg");
    lw_fault fault;
    sight.eye_m = -1.0;
    assert_int_equal(lw_sight_check(&sight, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "eye_m");
}

static void the_skyline_of_tiles_is_that_of_their_shape_and_ends_with_them(void **state)
{
    static two_tiles t;
    static lw_skyline out;
    (void)state;
    make_plane(&t);
    for (int i = 0; i < SIDE * SIDE; i++)
        t.h_m[0][i] = t.h_m[1][i] = 500;
    for (int r = 0; r < SIDE; r++)
        t.h_m[1][r * SIDE] = t.h_m[0][r * SIDE + SIDE - 1] = 1500; /* a ridge along 21 E */
    for (int k = 0; k < 2; k++)
        t.tile[k].highest_m = lw_tile_highest_m(&t.tile[k]);
    const lw_spot at = {10.5, 20.9};
    assert_int_equal(lw_terrain_skyline(&t.terrain, at, 3.0, 40000.0, &out), 1);
    const double way_m = 0.1 * 111194.9 * cos(10.5 * 0.017453292519943295);
    const double fall_m = way_m * way_m / (2.0 * 7322989.0);
    /* samples are a mile apart here: the sharp top is met within half a step of 93 m, 25 m of its height */
    CHECK_NEAR(out.seen_deg[90], 57.29577951 * atan((997.0 - fall_m) / way_m), 0.14, "east");
    CHECK_NEAR(out.seen_deg[270], 0.0, 0.0, "west");
    CHECK_NEAR(out.ground_m, 500.0, 0.0, "ground");
    CHECK_NEAR(out.known_frac, 1.0, 0.0, "all of 40 km is there");
    t.terrain.count = 1;
    assert_int_equal(lw_terrain_skyline(&t.terrain, at, 3.0, 40000.0, &out), 1);
    if (!(out.known_frac > 0.5 && out.known_frac < 0.8)) /* the east begins 11 km off */
        fail_msg("%g of it are known", out.known_frac);
    assert_int_equal(lw_terrain_skyline(&t.terrain, (lw_spot){12.0, 20.0}, 3.0, 40000.0, &out), 0);
}

static void a_level_grid_is_straight_between_its_samples(void **state)
{
    (void)state;
    const double h_m[] = {10, 20, 30, 0, 10, 20}; /* north row first */
    const lw_flat_grid grid = {3, 2, -90.0, 0.0, 90.0, h_m};
    lw_fault fault;
    assert_int_equal(lw_flat_grid_check(&grid, &fault), LW_OK);
    CHECK_NEAR(lw_flat_grid_m(&grid, -90.0, 90.0), 10.0, 0.0, "north-west");
    CHECK_NEAR(lw_flat_grid_m(&grid, 90.0, 0.0), 20.0, 0.0, "south-east");
    CHECK_NEAR(lw_flat_grid_m(&grid, 0.0, 45.0), 15.0, 1e-12, "half way");
    assert_true(isnan(lw_flat_grid_m(&grid, 91.0, 0.0)));
    assert_true(isnan(lw_flat_grid_m(&grid, 0.0, -1.0)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(heights_lie_straight_between_samples_and_across_tiles),
        cmocka_unit_test(a_void_is_left_out_and_four_of_them_are_not_known),
        cmocka_unit_test(the_highest_around_is_the_highest_sample_of_the_circle),
        cmocka_unit_test(a_walk_follows_the_great_circle),
        cmocka_unit_test(an_angle_is_that_of_the_sphere),
        cmocka_unit_test(flat_land_has_no_skyline_and_a_slope_has_its_own),
        cmocka_unit_test(the_skyline_of_tiles_is_that_of_their_shape_and_ends_with_them),
        cmocka_unit_test(a_level_grid_is_straight_between_its_samples),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
