/* Published coverage and cells: found by where they are as asking all of them finds them. */
#include "book/signal_maps.h"
#include "core/base/random.h"
#include "tests/book/shelf.h"

enum { MANY = 400 };

typedef struct square {
    lw_corner corner[4];
    uint32_t ring[1];
} square;

static double unit(uint32_t i, int word)
{
    const lw_random_words w = lw_random_block(&(lw_random_key){23, i}, 1, 1);
    return lw_random_unit(w.word[word]);
}

static lw_shape make_square(square *s, uint32_t i)
{
    const double x = -113.0 + 2.0 * unit(i, 0), y = 37.0 + 2.0 * unit(i, 1), half = 0.05 + 0.3 * unit(i, 2);
    s->ring[0] = 4;
    for (int c = 0; c < 4; c++)
        s->corner[c] = lw_corner_of((lw_spot){y + (c < 2 ? -half : half), x + (c == 0 || c == 3 ? -half : half)});
    return (lw_shape){s->corner, s->ring, 1};
}

static lw_spot make_spot(uint32_t i)
{
    return (lw_spot){37.0 + 2.0 * unit(i, 0), -113.0 + 3.0 * unit(i, 1)};
}

static lw_book *filled(const shelf *s)
{
    lw_book *book = NULL;
    lw_import *in = NULL;
    lw_imported done = {0};
    CHECK_OK(lw_book_open(&book, s->path, LW_BOOK_CREATE, &err));
    CHECK_OK(lw_book_coverage_begin(book, &(lw_import_source){"a", NULL, 1780000000}, &in, &err));
    for (uint32_t i = 0; i < MANY; i++) {
        square sq;
        char key[16];
        snprintf(key, sizeof key, "%u", i);
        const lw_kept_coverage row = {.key = key,
                                      .who = i % 2 ? "Anycell" : "Bestcell",
                                      .technology = 400,
                                      .down_mbit = i,
                                      .up_mbit = (double)NAN,
                                      .shape = make_square(&sq, i)};
        CHECK_OK(lw_book_coverage_put(in, &row, &err));
    }
    CHECK_OK(lw_book_import_end(in, LW_OK, NULL, LW_NO_TIME, &done, &err));
    CHECK_OK(lw_book_cells_begin(book, &(lw_import_source){"b", NULL, 1780000000}, &in, &err));
    for (uint32_t i = 0; i < MANY; i++) {
        char key[16];
        snprintf(key, sizeof key, "%u", i);
        const lw_kept_cell cell = {.key = key, .mcc = 901, .net = 101, .mast = i, .spot = make_spot(i), .samples = 2.0};
        CHECK_OK(lw_book_cells_put(in, &cell, &err));
    }
    CHECK_OK(lw_book_import_end(in, LW_OK, NULL, LW_NO_TIME, &done, &err));
    assert_int_equal(done.added, MANY);
    return book;
}

typedef struct seen {
    int operators, here;
    double sum;
} seen;

static lw_code see_coverage(void *context, const lw_kept_coverage *row, lw_err *err)
{
    seen *n = context;
    (void)err;
    n->operators += !row->is_here;
    n->here += row->is_here;
    n->sum += row->is_here ? row->down_mbit : 0.0;
    return LW_OK;
}

static lw_code see_cell(void *context, const lw_kept_cell *cell, lw_err *err)
{
    seen *n = context;
    (void)err;
    n->here++;
    n->sum += (double)cell->mast;
    return LW_OK;
}

static void maps_of_signal_are_found_by_where_they_are(void **state)
{
    (void)state;
    const shelf s = shelf_open();
    lw_book *book = filled(&s);
    for (int ask = 0; ask < 40; ask++) {
        const lw_spot at = {36.9 + 0.06 * ask, -113.2 + 0.08 * ask};
        seen want = {.operators = 2}, got = {0}, want_cells = {0}, cells = {0};
        for (uint32_t i = 0; i < MANY; i++) {
            square sq;
            const lw_shape shape = make_square(&sq, i);
            const int is_here = lw_shape_place(&shape, at) != LW_OUTSIDE,
                      is_near = lw_distance_m(at, make_spot(i)) <= 40000.0;
            want.here += is_here;
            want.sum += is_here ? i : 0.0;
            want_cells.here += is_near;
            want_cells.sum += is_near ? i : 0.0;
        }
        CHECK_OK(lw_book_coverage_at(book, at, see_coverage, &got, &err));
        CHECK_OK(lw_book_cells_near(book, at, 40000.0, see_cell, &cells, &err));
        assert_int_equal(got.operators, want.operators);
        assert_int_equal(got.here, want.here);
        CHECK_NEAR(got.sum, want.sum, 1e-9, "coverage, ask %d", ask);
        assert_int_equal(cells.here, want_cells.here);
        CHECK_NEAR(cells.sum, want_cells.sum, 1e-9, "cells, ask %d", ask);
    }
    seen far = {0};
    CHECK_OK(lw_book_coverage_at(book, (lw_spot){44.27, -71.3}, see_coverage, &far, &err));
    assert_int_equal(far.operators, 0); /* maps of another region say nothing of this one */
    CHECK_OK(lw_book_check(book, &err));
    lw_book_close(book);
    shelf_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(maps_of_signal_are_found_by_where_they_are)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
