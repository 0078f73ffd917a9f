/* The predicted chance of a work day at many spots is that of one spot asked alone, is kept, and is reckoned anew when maps or lines change. */
#include "service/signal_kept.h"

#include <stdlib.h>
#include <string.h>

#include "service/household.h"
#include "service/map_import.h"
#include "service/signal.h"
#include "tests/service/camp_book.h"

enum { MANY = 150 }; /* more than two batches, over several squares of tiles */

#define NOW_S june(10, 12)

static const lw_link_rate NEED = {5.0, 1.0};

static camp_book camp_with_masts(void)
{
    camp_book k = camp_book_open();
    static const char *const FILES[] = {"signal/cells.csv", "signal/coverage.geojson", "terrain/N38W112.hgt.gz"};
    (void)camp_book_begin(&k, 9,
                          "{kind: van, data: [{name: Anycell, allowance: 9 GB, network: 901-101}, {name: Bestcell, "
                          "allowance: 9 GB, network: 901-102}]}",
                          "name: Bench, latitude: 38.2, longitude: -111.1");
    for (size_t i = 0; i < COUNT_OF(FILES); i++) {
        char path[96];
        lw_map_done done;
        lw_err err = {0};
        snprintf(path, sizeof path, "tests/reference/%s", FILES[i]);
        if (lw_map_import(k.book, &(lw_map_ask){.path = path, .now_s = NOW_S}, &done, &err))
            fail_msg("%s: %s", err.where, err.text);
    }
    return k;
}

static void close_camp(camp_book *k)
{
    static const char *const MADE[] = {"more.csv", "terrain/N38W112.hgt", "terrain"};
    for (size_t i = 0; i < COUNT_OF(MADE); i++) {
        char path[128];
        snprintf(path, sizeof path, "%s/%s", k->folder, MADE[i]);
        (void)remove(path);
    }
    camp_book_close(k);
}

/* Some of them off the one tile that there is. */
static lw_spot spot_of(int i)
{
    return (lw_spot){38.02 + 0.0071 * i, -111.92 + 0.0062 * ((i * 37) % MANY)};
}

static double alone(camp_book *k, lw_spot spot)
{
    lw_household home = {0};
    lw_err err = {0};
    lw_signal_ask ask = {.line_count = 0};
    char folder[LW_TERRAIN_PATH];
    static lw_signal_answer answer;
    assert_int_equal(lw_household_load_last(k->book, NOW_S, &home, &err), LW_OK);
    lw_signal_ask_of(&home.loaded, &ask);
    ask.spot = spot;
    ask.book = k->book;
    ask.antenna_m = 1.5;
    ask.need = NEED;
    assert_true(lw_terrain_folder(lw_book_path(k->book), folder));
    ask.terrain = folder;
    ask.is_own_terrain = 1;
    if (lw_signal_make(&ask, &answer, &err))
        fail_msg("%s: %s", err.where, err.text);
    lw_household_clear(&home);
    return answer.any_frac;
}

static void kept(camp_book *k, double frac[MANY])
{
    lw_spot spot[MANY];
    lw_err err = {0};
    for (int i = 0; i < MANY; i++)
        spot[i] = spot_of(i);
    if (lw_signal_kept(k->book, NOW_S, &(lw_signal_spots){.spot = spot, .count = MANY}, frac, &err))
        fail_msg("%s: %s", err.where, err.text);
}

static void many_spots_have_the_chance_that_each_has_alone(void **state)
{
    (void)state;
    camp_book k = camp_with_masts();
    double frac[MANY], again[MANY], least = 1.0, most = 0.0;
    kept(&k, frac);
    kept(&k, again);
    for (int i = 0; i < MANY; i++) {
        const double want = alone(&k, spot_of(i));
        CHECK_NEAR(frac[i], want, 1e-12, "spot %d", i);
        CHECK_NEAR(again[i], want, 1e-12, "spot %d, kept", i);
        least = fmin(least, frac[i]);
        most = fmax(most, frac[i]);
    }
    assert_true(least < 0.3 && most > 0.9); /* spots of all sorts were tried */
    close_camp(&k);
}

static void what_is_kept_goes_by_the_maps(void **state)
{
    static const char CELLS[] =
        "radio,mcc,net,area,cell,unit,lon,lat,range,samples,changeable,created,updated,averageSignal\n"
        "LTE,901,101,1,25601,,-111.92,38.02,3000,30,0,1500000000,1700000000,0\n";
    (void)state;
    camp_book k = camp_with_masts();
    double before[MANY], after[MANY];
    char path[128];
    lw_map_done done;
    lw_err err = {0};
    kept(&k, before);
    snprintf(path, sizeof path, "%s/more.csv", k.folder);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    assert_int_equal(fwrite(CELLS, 1, sizeof CELLS - 1, file), sizeof CELLS - 1);
    assert_int_equal(fclose(file), 0);
    if (lw_map_import(k.book, &(lw_map_ask){.path = path, .now_s = NOW_S + 60}, &done, &err))
        fail_msg("%s: %s", err.where, err.text);
    kept(&k, after);
    if (!(after[0] > before[0] + 0.05))
        fail_msg("beside a new mast the chance is %g, before it was %g", after[0], before[0]);
    close_camp(&k);
}

static void without_maps_or_a_stay_nothing_is_known(void **state)
{
    (void)state;
    camp_book k = camp_book_open();
    const lw_spot spot = {38.2, -111.1};
    double frac = 0.5;
    lw_err err = {0};
    assert_int_equal(lw_signal_kept(k.book, NOW_S, &(lw_signal_spots){.spot = &spot, .count = 1}, &frac, &err), LW_OK);
    assert_true(isnan(frac));
    (void)camp_book_begin(&k, 9, "{kind: van}", "name: Bench, latitude: 38.2, longitude: -111.1");
    assert_int_equal(lw_signal_kept(k.book, NOW_S, &(lw_signal_spots){.spot = &spot, .count = 1}, &frac, &err), LW_OK);
    assert_true(isnan(frac));
    camp_book_close(&k);
}

typedef struct watch {
    int calls, stop_at, of, last;
} watch;

static int look(void *with, int done, int of)
{
    watch *w = with;
    assert_true(done > w->last && done <= of);
    w->last = done;
    w->of = of;
    return ++w->calls != w->stop_at;
}

/* Stopped after its first batch: those of the batch are kept, and the next one reckons the others alone, to the same end. */
static void what_is_through_is_kept_when_it_is_stopped(void **state)
{
    (void)state;
    camp_book k = camp_with_masts();
    lw_spot spot[MANY];
    double frac[MANY], rest[MANY], whole[MANY];
    lw_err err = {0};
    watch first = {.stop_at = 1}, second = {.stop_at = 0}, third = {.stop_at = 0};
    for (int i = 0; i < MANY; i++)
        spot[i] = spot_of(i);
    const lw_signal_spots stopped = {.spot = spot, .count = MANY, .tell = look, .with = &first},
                          again = {.spot = spot, .count = MANY, .tell = look, .with = &second},
                          over = {.spot = spot, .count = MANY, .tell = look, .with = &third};
    assert_int_equal(lw_signal_kept(k.book, NOW_S, &stopped, frac, &err), LW_E_CONFLICT);
    if (!strstr(err.text, "is worked out and kept"))
        fail_msg("it says: %s", err.text);
    assert_true(first.calls == 1 && first.of == MANY && first.last > 0 && first.last < MANY);
    err = (lw_err){0};
    assert_int_equal(lw_signal_kept(k.book, NOW_S, &again, rest, &err), LW_OK);
    assert_int_equal(second.of, MANY - first.last);
    assert_int_equal(second.last, second.of);
    assert_int_equal(lw_signal_kept(k.book, NOW_S, &over, whole, &err), LW_OK);
    assert_int_equal(third.calls, 0);
    for (int i = 0; i < MANY; i++) {
        CHECK_NEAR(rest[i], alone(&k, spot[i]), 1e-12, "spot %d", i);
        CHECK_NEAR(whole[i], rest[i], 0.0, "spot %d, kept", i);
    }
    close_camp(&k);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(many_spots_have_the_chance_that_each_has_alone),
        cmocka_unit_test(what_is_through_is_kept_when_it_is_stopped),
        cmocka_unit_test(what_is_kept_goes_by_the_maps),
        cmocka_unit_test(without_maps_or_a_stay_nothing_is_known),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
