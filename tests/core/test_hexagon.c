#include "core/land/hexagon.h"

#include <math.h>

#include "tests/table.h"

/* The table has nine decimals of a degree: 0.06 mm; and what double arithmetic leaves of 15 digits. */
static const double CLOSE_M = 0.001;

static uint64_t cell_of(const table *t)
{
    return strtoull(table_text(t, "cell"), NULL, 16);
}

static double nearest_m(const char *corners, lw_spot to, int *count)
{
    double best_m = 1e9;
    char *at = strdup(corners), *from = at;
    assert_non_null(at);
    for (*count = 0; *from; ++*count) {
        const double lat = strtod(from, &from), lon = strtod(from, &from),
                     way_m = lw_distance_m(to, (lw_spot){lat, lon});
        best_m = way_m < best_m ? way_m : best_m;
        from += *from == ';';
    }
    free(at);
    return best_m;
}

/* tests/reference/hexagons.csv: h3-js 4.5.0. All of 203,000 others, of every resolution and around every pentagon, were within 0.1 mm when this
 * was written. */
static void cells_lie_where_the_library_puts_them(void **state)
{
    static lw_hex_grid grid;
    table t;
    int pentagons = 0;
    (void)state;
    lw_hex_grid_make(&grid);
    table_open(&t, "tests/reference/hexagons.csv");
    while (table_next(&t)) {
        const lw_spot want = {table_number(&t, "latitude_deg"), table_number(&t, "longitude_deg")};
        lw_spot corner[LW_HEX_CORNERS];
        int there = 0;
        if (!lw_hex_is_cell(cell_of(&t)))
            fail_msg("row %d: %s is said to be no cell", t.row, table_text(&t, "cell"));
        const lw_spot got = lw_hex_middle(&grid, cell_of(&t));
        if (!(lw_distance_m(got, want) <= CLOSE_M))
            fail_msg("row %d: %s is at %.7f, %.7f, want %.7f, %.7f", t.row, table_text(&t, "cell"), got.latitude_deg,
                     got.longitude_deg, want.latitude_deg, want.longitude_deg);
        const int corners = lw_hex_border(&grid, cell_of(&t), corner);
        for (int c = 0; c < corners; c++) {
            const double off_m = nearest_m(table_text(&t, "corners"), corner[c], &there);
            if (!(off_m <= CLOSE_M))
                fail_msg("row %d: corner %d of %s is %.3f m off", t.row, c, table_text(&t, "cell"), off_m);
        }
        if (there < corners)
            fail_msg("row %d: %d corners, the library has %d", t.row, corners, there);
        pentagons += corners == 5;
    }
    if (pentagons < 12)
        fail_msg("%d pentagons in the table, 12 at least", pentagons);
}

/* The corners of a cell lie around its middle, counter-clockwise, all about as far. */
static void a_border_goes_around_its_middle(void **state)
{
    static lw_hex_grid grid;
    lw_spot corner[LW_HEX_CORNERS];
    (void)state;
    lw_hex_grid_make(&grid);
    const uint64_t cell = UINT64_C(0x8928308280fffff); /* resolution 9, San Francisco */
    const lw_spot middle = lw_hex_middle(&grid, cell);
    assert_int_equal(lw_hex_border(&grid, cell, corner), 6);
    assert_int_equal(lw_hex_resolution(cell), 9);
    for (int c = 0; c < 6; c++) {
        const lw_spot a = corner[c], b = corner[(c + 1) % 6];
        const double cross = (a.longitude_deg - middle.longitude_deg) * (b.latitude_deg - middle.latitude_deg) -
                             (b.longitude_deg - middle.longitude_deg) * (a.latitude_deg - middle.latitude_deg);
        if (!(cross > 0.0))
            fail_msg("corners %d and %d do not follow counter-clockwise", c, c + 1);
        /* mean edge of resolution 9: 201 m (tables of the H3 documentation, version 4); by place within a fifth */
        CHECK_NEAR(lw_distance_m(middle, a), 201.0, 40.0, "from the middle to corner %d", c);
    }
}

static void what_is_no_cell_is_told(void **state)
{
    (void)state;
    const uint64_t good = UINT64_C(0x8928308280fffff);
    const struct {
        uint64_t cell;
        const char *what;
    } bad[] = {
        {0, "nothing"},
        {UINT64_MAX, "all ones"},
        {good | UINT64_C(1) << 63, "the first bit"},
        {good ^ UINT64_C(3) << 59, "an edge, not a cell"},
        {good | UINT64_C(1) << 56, "reserved bits"},
        {(good & ~(UINT64_C(127) << 45)) | UINT64_C(122) << 45, "a base cell too many"},
        {good & ~UINT64_C(7), "a digit behind the resolution"},
        {good | UINT64_C(7) << 18, "no digit before the resolution"},
        {UINT64_C(0x811c7ffffffffff), "the direction that a pentagon lacks"},
    };
    assert_true(lw_hex_is_cell(good));
    for (size_t i = 0; i < COUNT_OF(bad); i++)
        if (lw_hex_is_cell(bad[i].cell))
            fail_msg("%s: %llx is taken for a cell", bad[i].what, (unsigned long long)bad[i].cell);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cells_lie_where_the_library_puts_them),
        cmocka_unit_test(a_border_goes_around_its_middle),
        cmocka_unit_test(what_is_no_cell_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
