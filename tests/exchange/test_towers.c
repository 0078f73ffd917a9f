#include "tests/check.h"

#include <stdlib.h>
#include <string.h>

#include "exchange/coverage.h"
#include "exchange/towers.h"

static const lw_spot CAMP = {38.2, -111.1};

static lw_code read_list(const char *text, lw_towers *out, lw_err *err)
{
    lw_bytes source = {text, strlen(text)};
    *err = (lw_err){0};
    return lw_towers_read(lw_read_bytes, &source, CAMP, 40000.0, out, err);
}

/* Rows made up in the form of the open cell lists; cells 25601 and 25602 are sectors of the mast 100. */
#define FIRST  "LTE,310,260,1,25601,,-111.2,38.2,1000,30,1,1500000000,1700000000,0\n"
#define SECOND "LTE,310,260,1,25602,,-111.21,38.2,1000,10,1,1500000000,1700000000,0\n"

static void cells_of_a_mast_become_one_at_their_mean(void **state)
{
    static lw_towers t;
    lw_err err;
    (void)state;
    assert_int_equal(read_list(FIRST SECOND "GSM,310,260,1,7,,-111.2,38.2,1,1,1,0,0,0\n"
                                            "LTE,310,260,1,99999,,-101.2,38.2,1,1,1,0,0,0\n"
                                            "NR,310,410,1,5000000000,,-111.15,38.25,1000,4,1,0,0,0\n",
                               &t, &err),
                     LW_OK);
    assert_int_equal(t.count, 2);
    assert_int_equal(t.rows, 5);
    assert_int_equal(t.skipped, 2); /* the old radio, and the one that is 870 km off */
    CHECK_NEAR(t.tower[0].spot.longitude_deg, -111.2025, 1e-9, "30 samples against 10");
    assert_int_equal(t.tower[0].cells, 2);
    assert_int_equal(t.tower[0].mast, 100);
    CHECK_NEAR(t.tower[0].way_m, lw_distance_m(CAMP, t.tower[0].spot), 1e-6, "way");
    assert_int_equal(t.tower[1].radio, LW_RADIO_NR);
    assert_int_equal(t.tower[1].net, 410);
}

static void a_header_may_put_columns_in_another_order_and_the_operators_own_place_wins(void **state)
{
    static lw_towers t;
    lw_err err;
    (void)state;
    assert_int_equal(read_list("lat,lon,radio,mcc,net,cell,changeable,samples\n"
                               "38.2,-111.2,LTE,310,260,25601,1,500\n"
                               "38.3,-111.3,LTE,310,260,25602,0,1\n"
                               "38.2,-111.2,LTE,310,260,25603,1,500\n",
                               &t, &err),
                     LW_OK);
    assert_int_equal(t.count, 1);
    assert_int_equal(t.tower[0].is_exact, 1);
    CHECK_NEAR(t.tower[0].spot.latitude_deg, 38.3, 1e-9, "as the operator says");
}

static void what_is_no_list_of_cells_is_refused_with_its_line(void **state)
{
    static lw_towers t;
    static const struct {
        const char *text, *where, *said;
    } row[] = {
        {"name,lat,lon\nx,1,2\n", "line 1", "column radio is missing"},
        {FIRST "WIMAX,310,260,1,1,,-111,38,1,1,1,0,0,0\n", "line 2 radio", "'WIMAX' is no radio"},
        {FIRST "LTE,310,260,1,1,,-111,138,1,1,1,0,0,0\n", "line 2 lat", "from -90 to 90"},
        {FIRST "LTE,310,260,1\n", "line 2 cell", "''"},
    };
    (void)state;
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_err err;
        if (!read_list(row[i].text, &t, &err) || !strstr(err.text, row[i].said) || !strstr(err.where, row[i].where))
            fail_msg("%s: %s: %s", row[i].text, err.where, err.text);
    }
    lw_err err = {0};
    assert_int_equal(lw_towers_load("tests/nowhere.csv", CAMP, 1.0, &t, &err), LW_E_MISSING);
}

static void the_nearest_masts_are_kept_when_there_are_too_many(void **state)
{
    static lw_towers t;
    static char text[900 * 80];
    lw_err err;
    size_t used = 0;
    (void)state;
    for (int i = 0; i < 800; i++) /* from far to near */
        used += (size_t)snprintf(text + used, sizeof text - used, "LTE,310,260,1,%d,,-111.1,%.6f,1,1,1,0,0,0\n",
                                 256 * i, 38.2 + 0.0003 * (800 - i));
    assert_int_equal(read_list(text, &t, &err), LW_OK);
    assert_int_equal(t.count, LW_TOWERS);
    for (int i = 0; i < t.count; i++)
        assert_true(t.tower[i].way_m < 0.0003 * (LW_TOWERS + 1) * 111200.0);
}

#define AROUND(who, down)                                                                                              \
    "{\"type\": \"Feature\", \"properties\": {\"BrandName\": \"" who "\", \"technology\": 400, \"MINDOWN\": " down     \
    ", \"minup\": \"1\"}, \"geometry\": {\"type\": \"Polygon\", \"coordinates\": [[[-112, 38], [-111, 38], [-111, "    \
    "39], "                                                                                                            \
    "[-112, 39], [-112, 38]], [[-111.6, 38.4], [-111.4, 38.4], [-111.4, 38.6], [-111.6, 38.6], [-111.6, 38.4]]]}}"
#define AWAY                                                                                                           \
    "{\"type\": \"Feature\", \"properties\": {\"brandname\": \"Farcell\"}, \"geometry\": {\"type\": "                  \
    "\"MultiPolygon\", "                                                                                               \
    "\"coordinates\": [[[[0, 0], [1, 0], [1, 1], [0, 0]]]]}}"

static lw_code read_claims(const char *text, lw_spot at, lw_coverages *out, lw_err *err)
{
    lw_bytes source = {text, strlen(text)};
    *err = (lw_err){0};
    return lw_coverages_read(lw_read_bytes, &source, at, out, err);
}

static void coverage_is_claimed_inside_its_polygons_and_not_in_their_holes(void **state)
{
    static const char text[] = "{\"type\": \"FeatureCollection\", \"features\": [" AROUND("Anycell", "5") ", " AROUND(
        "Anycell", "35") ", " AWAY "]}";
    lw_coverages c;
    lw_err err;
    (void)state;
    assert_int_equal(read_claims(text, CAMP, &c, &err), LW_OK);
    assert_int_equal(c.count, 2);
    assert_string_equal(c.of[0].who, "Anycell");
    assert_int_equal(c.of[0].is_claimed, 1);
    assert_int_equal(c.of[0].technology, 400);
    CHECK_NEAR(c.of[0].down_mbit, 35.0, 0.0, "the better claim");
    CHECK_NEAR(c.of[0].up_mbit, 1.0, 0.0, "a number written as text");
    assert_int_equal(c.of[1].is_claimed, 0);
    assert_int_equal(read_claims(text, (lw_spot){38.5, -111.5}, &c, &err), LW_OK);
    assert_int_equal(c.of[0].is_claimed, 0);
    /* In the other corner of the country: a map of another region says nothing of it. 80 km off it still does. */
    assert_int_equal(read_claims(text, (lw_spot){44.27, -71.3}, &c, &err), LW_OK);
    assert_int_equal(c.count, 0);
    assert_int_equal(read_claims(text, (lw_spot){38.5, -110.1}, &c, &err), LW_OK);
    assert_int_equal(c.count, 2);
    assert_int_equal(read_claims("{\"type\": \"Topology\"}", CAMP, &c, &err), LW_E_SYNTAX);
    assert_non_null(strstr(err.text, "no GeoJSON"));
    assert_int_equal(read_claims("{\"type\": ", CAMP, &c, &err), LW_E_SYNTAX);
}

/* The cell 8929923928bffff holds the camp and a neighbour of it does not: h3-js 4.5.0. */
static void a_cell_of_the_hexagon_grid_is_an_area(void **state)
{
    static lw_coverages c;
    lw_err err;
    const char *const list = "h3_res9_id,providerid,mindown\n8929923928bffff,7,5\n8929923928fffff,8,5\n";
    (void)state;
    assert_int_equal(read_claims(list, CAMP, &c, &err), LW_OK);
    assert_int_equal(c.count, 2);
    assert_string_equal(c.of[0].who, "7");
    assert_int_equal(c.of[0].is_claimed, 1);
    assert_int_equal(c.of[1].is_claimed, 0);
    assert_int_equal(read_claims("{\"type\":\"Feature\",\"geometry\":null,\"properties\":{\"name\":\"Anycell\","
                                 "\"H3_INDEX\":\"8929923928BFFFF\"}}",
                                 CAMP, &c, &err),
                     LW_OK);
    assert_int_equal(c.of[0].is_claimed, 1);
    assert_int_equal(read_claims("h3,name\n8929923928bffff,Any\nnone,Any\n", CAMP, &c, &err), LW_E_SYNTAX);
    assert_non_null(strstr(err.text, "'none' is no cell of the H3 grid"));
    assert_int_equal(read_claims("h3,what\n8929923928bffff,Any\n", CAMP, &c, &err), LW_E_MISSING);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cells_of_a_mast_become_one_at_their_mean),
        cmocka_unit_test(a_header_may_put_columns_in_another_order_and_the_operators_own_place_wins),
        cmocka_unit_test(what_is_no_list_of_cells_is_refused_with_its_line),
        cmocka_unit_test(the_nearest_masts_are_kept_when_there_are_too_many),
        cmocka_unit_test(coverage_is_claimed_inside_its_polygons_and_not_in_their_holes),
        cmocka_unit_test(a_cell_of_the_hexagon_grid_is_an_area),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
