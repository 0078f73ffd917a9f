#include "tests/check.h"

#include <stdlib.h>
#include <string.h>
#include <zlib.h>

#include "exchange/ascii_grid.h"
#include "exchange/ground.h"
#include "exchange/terrain.h"
#include "tests/exchange/loaded.h"

#define TILES "tests/reference/terrain"

static lw_code read_bytes(const void *bytes, size_t n, lw_hgt *hgt, lw_err *err)
{
    lw_bytes source = {bytes, n};
    *err = (lw_err){0};
    return lw_hgt_read(lw_read_bytes, &source, 38, -112, hgt, err);
}

static void a_tile_is_read_high_byte_first_from_its_north_west_corner(void **state)
{
    (void)state;
    /* 3 x 3: half a degree apart */
    static const unsigned char tile[18] = {0x07, 0x74, 0, 1, 0, 2, 0, 3, 0x80, 0, 0, 5, 0xff, 0xfe, 0, 7, 0, 8};
    lw_hgt hgt;
    lw_err err;
    assert_int_equal(read_bytes(tile, sizeof tile, &hgt, &err), LW_OK);
    assert_int_equal(hgt.tile.side, 3);
    assert_int_equal(hgt.tile.h_m[0], 1908); /* 0x0774 */
    assert_int_equal(hgt.tile.h_m[4], LW_TERRAIN_VOID);
    assert_int_equal(hgt.tile.h_m[6], -2);
    const lw_terrain terrain = {&hgt.tile, 1};
    CHECK_NEAR(lw_terrain_m(&terrain, (lw_spot){39.0, -112.0}), 1908.0, 0.0, "north-west");
    CHECK_NEAR(lw_terrain_m(&terrain, (lw_spot){38.0, -111.0}), 8.0, 0.0, "south-east");
    lw_hgt_clear(&hgt);
}

static void the_same_tile_pressed_is_the_same(void **state)
{
    (void)state;
    unsigned char tile[2 * 61 * 61], pressed[9000];
    for (size_t i = 0; i < sizeof tile; i++)
        tile[i] = (unsigned char)(i % 2 ? i % 251 : i % 7);
    z_stream z = {.next_in = tile, .avail_in = sizeof tile, .next_out = pressed, .avail_out = sizeof pressed};
    assert_int_equal(deflateInit2(&z, 6, Z_DEFLATED, 16 + MAX_WBITS, 8, Z_DEFAULT_STRATEGY), Z_OK);
    assert_int_equal(deflate(&z, Z_FINISH), Z_STREAM_END);
    const size_t n = sizeof pressed - z.avail_out;
    (void)deflateEnd(&z);
    lw_hgt a, b;
    lw_err err;
    assert_int_equal(read_bytes(tile, sizeof tile, &a, &err), LW_OK);
    assert_int_equal(read_bytes(pressed, n, &b, &err), LW_OK);
    assert_memory_equal(a.tile.h_m, b.tile.h_m, sizeof tile);
    lw_hgt_clear(&a);
    lw_hgt_clear(&b);
    assert_int_equal(read_bytes(pressed, n - 9, &a, &err), LW_E_SYNTAX);
    assert_non_null(strstr(err.text, "cut"));
    pressed[n / 2] ^= 0x55;
    assert_int_equal(read_bytes(pressed, n, &a, &err), LW_E_SYNTAX);
    assert_non_null(strstr(err.text, "damaged"));
}

static long zeros(void *left, char *buf, size_t n)
{
    size_t *const rest = left;
    n = n < *rest ? n : *rest;
    memset(buf, 0, n);
    *rest -= n;
    return (long)n;
}

static void what_is_no_tile_is_refused_and_what_has_no_end_too(void **state)
{
    (void)state;
    lw_hgt hgt;
    lw_err err;
    assert_int_equal(read_bytes("", 0, &hgt, &err), LW_E_SYNTAX);
    assert_int_equal(read_bytes("abcdefg", 7, &hgt, &err), LW_E_SYNTAX);
    assert_non_null(strstr(err.text, "no HGT tile"));
    unsigned char swapped[18]; /* low byte first: 1500 m is 56325 */
    for (int i = 0; i < 18; i++)
        swapped[i] = i % 2 ? 0x05 : 0xdc;
    assert_int_equal(read_bytes(swapped, sizeof swapped, &hgt, &err), LW_E_SYNTAX);
    assert_non_null(strstr(err.text, "above 9000 m"));
    size_t endless = (size_t)1 << 40;
    err = (lw_err){0};
    assert_int_equal(lw_hgt_read(zeros, &endless, 0, 0, &hgt, &err), LW_E_FULL);
    if (endless < ((size_t)1 << 40) - 30000000)
        fail_msg("more than a tile was read of what has no end");
}

static void a_name_says_its_corner(void **state)
{
    (void)state;
    static const struct {
        const char *name;
        int is_one, south, west;
    } row[] = {
        {"N44W072.hgt", 1, 44, -72}, {"s03e011.hgt.gz", 1, -3, 11}, {"N00E000", 1, 0, 0}, {"N44W72.hgt", 0, 0, 0},
        {"N90E000.hgt", 0, 0, 0},    {"X44W072.hgt", 0, 0, 0},      {"N44", 0, 0, 0},     {"N44W181.hgt", 0, 0, 0}};
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        int south, west;
        assert_int_equal(lw_hgt_corner(row[i].name, &south, &west), row[i].is_one);
        if (row[i].is_one && (south != row[i].south || west != row[i].west))
            fail_msg("%s is %d %d", row[i].name, south, west);
    }
}

static void tiles_of_a_folder_are_found_by_the_point_and_one_tile_alone_is_enough(void **state)
{
    static const char *const paths[] = {TILES, TILES "/N38W112.hgt.gz"};
    (void)state;
    lw_terrain_files *files = calloc(1, sizeof *files);
    assert_non_null(files);
    for (int i = 0; i < 2; i++) {
        lw_err err = {0};
        assert_int_equal(lw_terrain_files_open(paths[i], files, &err), LW_OK);
        assert_int_equal(lw_terrain_files_around(files, (lw_spot){38.2, -111.1}, 50000.0, &err), LW_OK);
        assert_int_equal(files->missing_count, i == 0 ? 3 : 0); /* south and east of it */
        CHECK_NEAR(lw_terrain_m(&files->terrain, (lw_spot){38.2, -111.05}), 2500.0, 1e-9, "the ridge");
        assert_int_equal(lw_terrain_files_around(files, (lw_spot){40.2, -111.1}, 0.0, &err), LW_E_MISSING);
        assert_non_null(strstr(err.text, "no tile N40W112"));
        lw_terrain_files_clear(files);
    }
    lw_err err = {0};
    assert_int_equal(lw_terrain_files_open(TILES "/nowhere", files, &err), LW_E_MISSING);
    err = (lw_err){0};
    assert_int_equal(lw_terrain_files_open(TILES "/README.md", files, &err), LW_OK);
    assert_int_equal(lw_terrain_files_around(files, (lw_spot){38.2, -111.1}, 0.0, &err), LW_E_SYNTAX);
    assert_non_null(strstr(err.text, "corner"));
    free(files);
}

static void a_grid_of_text_is_read_by_its_headings(void **state)
{
    (void)state;
    static const char text[] =
        "NCOLS 4\nnrows 2\nxllcorner -45\nYLLCORNER -45\ncellsize 90\nnodata_value -9999\n1 2 3 8\n4 5 6.5 -9999\n";
    lw_ascii_grid grid;
    lw_err err = {0};
    assert_int_equal(lw_ascii_grid_read(text, sizeof text - 1, &grid, &err), LW_OK);
    CHECK_NEAR(lw_flat_grid_m(&grid.grid, 180.0 - 45.0, 0.0), 5.75, 0.0, "in the south: a corner is half a cell off");
    CHECK_NEAR(lw_flat_grid_m(&grid.grid, 0.0, 90.0), 1.0, 0.0, "north-west");
    assert_true(isnan(lw_flat_grid_m(&grid.grid, 260.0, 10.0)));
    lw_ascii_grid_clear(&grid);
    static const struct {
        const char *text, *said;
    } bad[] = {
        {"", "ncols is missing"},
        {"ncols 3\nnrows 2\nxllcenter 0\ncellsize 90\n1 2 3 4 5 6", "yllcenter is missing"},
        {"ncols 3\nnrows 2\nheight 7\n", "'height' is no heading"},
        {"ncols 3000\nnrows 3000\nxllcenter 0\nyllcenter 0\ncellsize 90\n1", "3000 x 3000"},
        {"ncols 3\nnrows 2\nxllcenter 0\nyllcenter 0\ncellsize 90\n1 2 3 4 5", "ends before a height"},
        {"ncols 3\nnrows 2\nxllcenter 0\nyllcenter 0\ncellsize 90\n1 2 3 4 high 6", "'high' is no number"},
        {"ncols 2\nnrows 2\nxllcenter 0\nyllcenter 0\ncellsize 0\n1 2 3 4", "cell"},
    };
    for (size_t i = 0; i < COUNT_OF(bad); i++) {
        err = (lw_err){0};
        if (!lw_ascii_grid_read(bad[i].text, strlen(bad[i].text), &grid, &err) || !strstr(err.text, bad[i].said))
            fail_msg("%s: %s", bad[i].text, err.text);
    }
}

static void the_ground_is_kept_as_a_text(void **state)
{
    static lw_ground ground, back;
    static char text[LW_GROUND_BYTES];
    (void)state;
    lw_err err = {0};
    const lw_spot at = {38.2, -111.1};
    assert_int_equal(lw_ground_find(TILES, at, &ground, &err), LW_OK);
    CHECK_NEAR(ground.skyline.ground_m, 1500.0, 1e-9, "ground");
    /* The ridge, 1000 m up and 0.05 deg of longitude off: 4369 m at 38.2 N; less 3 m of roof and 1.3 m of the earth.
     * Samples are 900 m apart in this tile, steps 46 m: up to 10 m of the top are missed. */
    CHECK_NEAR(ground.skyline.seen_deg[90], 57.29577951 * atan((1000.0 - 3.0 - 1.3) / 4369.0), 0.14, "east");
    CHECK_NEAR(ground.skyline.seen_deg[270], 0.0, 0.0, "west");
    assert_int_equal(lw_ground_print(&ground, text, sizeof text), 1);
    assert_int_equal(lw_ground_parse(text, &back, &err), LW_OK);
    assert_int_equal(lw_ground_is_of(&back, TILES, at), 1);
    assert_int_equal(lw_ground_is_of(&back, TILES, (lw_spot){38.2, -111.11}), 0);
    assert_int_equal(lw_ground_is_of(&back, "elsewhere", at), 0);
    for (int i = 0; i < LW_SKYLINE_POINTS; i++)
        CHECK_NEAR(back.skyline.seen_deg[i], ground.skyline.seen_deg[i], 0.0501, "%d deg", i);
    assert_int_equal(lw_ground_print(&ground, text, 1000), 0);
    assert_int_equal(lw_ground_parse("1 2 3", &back, &err), LW_E_SYNTAX);
}

static void a_scenario_takes_height_and_skyline_from_tiles_where_it_does_not_say_them(void **state)
{
    static const char *const said[] = {"place.elevation=900 m", "place.horizon=5 deg"};
    static const char text[] = HEAD RIG CREW "place: {latitude: 38.2 N, longitude: 111.05 W, zone: UTC, terrain: " TILES
                                             "/N38W112.hgt.gz}\n" STAY AIR;
    lw_loaded loaded = {0};
    lw_err err = {0};
    (void)state;
    load_changed(&loaded, text, NULL, 0);
    CHECK_NEAR(loaded.scenario->place.elevation_m, 2500.0, 1e-9, "on the ridge");
    CHECK_NEAR(loaded.scenario->place.horizon_deg[90], 0.0, 0.0, "nothing stands higher");
    assert_string_equal(assumed(&loaded, "place.elevation")->value, "8202 ft");
    assert_non_null(assumed(&loaded, "place.horizon"));
    lw_loaded_clear(&loaded);
    load_changed(&loaded, text, said, 2);
    CHECK_NEAR(loaded.scenario->place.elevation_m, 900.0, 1e-9, "as said");
    CHECK_NEAR(loaded.scenario->place.horizon_deg[17], 5.0, 1e-9, "as said");
    assert_null(assumed(&loaded, "place.elevation"));
    lw_loaded_clear(&loaded);
    static const char elsewhere[] =
        HEAD RIG CREW "place: {latitude: 48.2 N, longitude: 111.05 W, zone: UTC, terrain: " TILES "}\n" STAY AIR;
    const lw_scenario_from from = {.path = "t.yaml", .bytes = elsewhere, .size = sizeof elsewhere - 1};
    assert_int_equal(lw_scenario_load(&from, &loaded, &err), LW_E_MISSING);
    assert_non_null(strstr(err.text, "no tile N48W112"));
    assert_non_null(strstr(err.where, "t.yaml:4 place.terrain"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_tile_is_read_high_byte_first_from_its_north_west_corner),
        cmocka_unit_test(the_same_tile_pressed_is_the_same),
        cmocka_unit_test(what_is_no_tile_is_refused_and_what_has_no_end_too),
        cmocka_unit_test(a_name_says_its_corner),
        cmocka_unit_test(tiles_of_a_folder_are_found_by_the_point_and_one_tile_alone_is_enough),
        cmocka_unit_test(a_grid_of_text_is_read_by_its_headings),
        cmocka_unit_test(the_ground_is_kept_as_a_text),
        cmocka_unit_test(a_scenario_takes_height_and_skyline_from_tiles_where_it_does_not_say_them),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
