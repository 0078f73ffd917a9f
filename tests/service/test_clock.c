/* The clock of a board that has no battery for it: doubted, said once, corrected together. */
#include "service/clock.h"

#include "tests/book/shelf.h"

static const int64_t DAY_S = 86400;

typedef struct board {
    shelf at;
    lw_book *book;
    int64_t stay;
    lw_machine_clock machine;
} board;

/* It believes that it is 1971, an hour after it was started. */
static board open_board(void)
{
    board b = {.at = shelf_open(),
               .machine = {.now_s = 365 * 86400, .started_s = 365 * 86400 - 3600, .run = "3f2a9c1b"}};
    CHECK_OK(lw_book_open(&b.book, b.at.path, LW_BOOK_CREATE, &err));
    b.stay = shelf_stay(b.book);
    return b;
}

static void close_board(board *b)
{
    lw_book_close(b->book);
    shelf_close(&b->at);
}

static lw_clock_view look(const board *b)
{
    lw_clock_view view;
    CHECK_OK(lw_clock_look(b->book, &b->machine, &view, &err));
    return view;
}

static lw_zone utc(void)
{
    lw_zone zone;
    lw_zone_utc(&zone);
    return zone;
}

static lw_clock_told tell(board *b, int64_t said_s)
{
    const lw_clock_view view = look(b);
    const lw_zone zone = utc();
    lw_clock_told told = {0};
    CHECK_OK(lw_clock_set(b->book, &b->machine, &view, &zone, said_s, "cli", &told, &err));
    return told;
}

static void log_doubted(board *b, const char *target)
{
    char device[40];
    lw_entry e = shelf_reading(target, b->machine.now_s, 0.5);
    e.device = lw_clock_device("cli", &b->machine, device, sizeof device);
    e.stay = b->stay;
    e.is_clock_doubted = 1;
    CHECK_OK(lw_book_append(b->book, &e, 1, &err));
}

static int64_t time_of(board *b, const char *target, int *is_doubted)
{
    lw_entries found = {0};
    CHECK_OK(lw_book_history(b->book, &(lw_history){.target = target}, &found, &err));
    assert_int_equal(found.count, 1);
    const int64_t at_s = found.entry[0].stated_s;
    *is_doubted = found.entry[0].is_clock_doubted;
    lw_entries_clear(&found);
    return at_s;
}

static void a_clock_is_doubted_before_what_was_logged_last(void **state)
{
    (void)state;
    static const struct {
        int64_t now_s;
        int is_doubted;
    } row[] = {
        {SHELF_NOW_S, 0},         {SHELF_NOW_S - 120, 0},    {SHELF_NOW_S - 121, 1},
        {SHELF_NOW_S - 86400, 1}, {SHELF_NOW_S + 864000, 0}, {0, 1},
    };
    board b = open_board();
    lw_entry e = shelf_reading("fresh", SHELF_NOW_S, 0.5);
    CHECK_OK(lw_book_append(b.book, &e, 1, &err));
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        b.machine.now_s = row[i].now_s;
        const lw_clock_view view = look(&b);
        if (view.is_doubted != row[i].is_doubted || view.now_s != row[i].now_s || view.newest_s != SHELF_NOW_S)
            fail_msg("row %zu: doubted %d, want %d", i, view.is_doubted, row[i].is_doubted);
    }
    close_board(&b);
}

static void without_entries_only_what_cannot_be_is_doubted(void **state)
{
    (void)state;
    board b = open_board();
    assert_true(look(&b).is_doubted);
    assert_int_equal(look(&b).newest_s, LW_NO_TIME);
    b.machine.now_s = LW_CLOCK_LEAST_S;
    assert_false(look(&b).is_doubted);
    close_board(&b);
}

/* An entry that was taken back, or was itself of a doubted clock, is no witness. */
static void what_is_taken_back_is_no_witness(void **state)
{
    (void)state;
    board b = open_board();
    lw_entry e = shelf_reading("fresh", SHELF_NOW_S, 0.5), late = shelf_reading("grey", SHELF_NOW_S + 30 * DAY_S, 0.5);
    lw_entry wild = shelf_reading("black", SHELF_NOW_S + 60 * DAY_S, 0.5);
    wild.is_clock_doubted = 1;
    CHECK_OK(lw_book_append(b.book, &e, 1, &err));
    CHECK_OK(lw_book_append(b.book, &late, 1, &err));
    CHECK_OK(lw_book_append(b.book, &wild, 1, &err));
    assert_int_equal(look(&b).newest_s, SHELF_NOW_S + 30 * DAY_S);
    CHECK_OK(lw_book_undo(b.book, &late.id, NULL, SHELF_NOW_S + 31 * DAY_S, NULL, &err));
    assert_int_equal(look(&b).newest_s, SHELF_NOW_S);
    close_board(&b);
}

static void what_was_kept_meanwhile_moves_together(void **state)
{
    (void)state;
    board b = open_board();
    int is_doubted;
    lw_entry e = shelf_reading("fresh", SHELF_NOW_S, 0.5);
    CHECK_OK(lw_book_append(b.book, &e, 1, &err));
    log_doubted(&b, "grey");
    b.machine.now_s += 5400;
    log_doubted(&b, "black");
    b.machine.now_s += 600;
    const lw_clock_told told = tell(&b, SHELF_NOW_S + DAY_S);
    assert_int_equal(told.corrected, 2);
    assert_int_equal(told.left, 0);
    assert_int_equal(time_of(&b, "grey", &is_doubted), SHELF_NOW_S + DAY_S - 6000);
    assert_false(is_doubted);
    assert_int_equal(time_of(&b, "black", &is_doubted), SHELF_NOW_S + DAY_S - 600);
    assert_int_equal(time_of(&b, "fresh", &is_doubted), SHELF_NOW_S); /* never doubted: it stays */
    /* and from now on the clock is right, an hour later too */
    b.machine.now_s += 3600;
    assert_int_equal(look(&b).now_s, SHELF_NOW_S + DAY_S + 3600);
    assert_false(look(&b).is_doubted);
    close_board(&b);
}

static void it_is_asked_again_after_a_new_start(void **state)
{
    (void)state;
    board b = open_board();
    int is_doubted;
    lw_entry e = shelf_reading("fresh", SHELF_NOW_S, 0.5);
    CHECK_OK(lw_book_append(b.book, &e, 1, &err));
    (void)tell(&b, SHELF_NOW_S + DAY_S);
    log_doubted(&b, "grey"); /* of a run whose time is never said */
    snprintf(b.machine.run, sizeof b.machine.run, "77aa0011");
    assert_true(look(&b).is_doubted);
    assert_int_equal(look(&b).shift_s, 0);
    log_doubted(&b, "black");
    const lw_clock_told told = tell(&b, SHELF_NOW_S + 2 * DAY_S);
    assert_int_equal(told.corrected, 1);
    assert_int_equal(told.left, 1);
    (void)time_of(&b, "grey", &is_doubted);
    assert_true(is_doubted); /* nobody knows how far off that run was */
    close_board(&b);
}

/* Somebody sets the machine's clock, or the network does: then it is believed, and nothing is added to it. */
static void a_clock_that_was_set_needs_no_making_up(void **state)
{
    (void)state;
    board b = open_board();
    lw_entry e = shelf_reading("fresh", SHELF_NOW_S, 0.5);
    CHECK_OK(lw_book_append(b.book, &e, 1, &err));
    const lw_clock_told told = tell(&b, SHELF_NOW_S + DAY_S);
    b.machine.now_s += told.shift_s;
    b.machine.started_s += told.shift_s;
    assert_int_equal(look(&b).now_s, SHELF_NOW_S + DAY_S);
    assert_int_equal(look(&b).shift_s, 0);
    /* said again, within two minutes: nothing is left to make up for */
    assert_int_equal(tell(&b, SHELF_NOW_S + DAY_S + 90).shift_s, 0);
    close_board(&b);
}

static void a_time_that_cannot_be_is_refused_and_nothing_moves(void **state)
{
    (void)state;
    board b = open_board();
    int is_doubted;
    const lw_zone zone = utc();
    lw_clock_told told;
    lw_entry e = shelf_reading("fresh", SHELF_NOW_S, 0.5);
    CHECK_OK(lw_book_append(b.book, &e, 1, &err));
    log_doubted(&b, "grey");
    const lw_clock_view view = look(&b);
    CHECK_REFUSED(lw_clock_set(b.book, &b.machine, &view, &zone, SHELF_NOW_S - 7200, "cli", &told, &err), LW_E_RANGE,
                  "before what was logged last (2026-06-09 10:13)"); /* date -u -d @1781000000 */
    CHECK_REFUSED(lw_clock_set(b.book, &b.machine, &view, &zone, 0, "cli", &told, &err), LW_E_RANGE,
                  "before there was a Leeway");
    (void)time_of(&b, "grey", &is_doubted);
    assert_true(is_doubted);
    assert_true(look(&b).is_doubted);
    close_board(&b);
}

static void the_question_says_both_times(void **state)
{
    (void)state;
    lw_zone zone = utc();
    CHECK_REFUSED(lw_clock_ask(&(lw_clock_view){.now_s = 3600, .newest_s = SHELF_NOW_S, .is_doubted = 1}, &zone, &err),
                  LW_E_CONFLICT, "shows 1970-01-01 01:00, before what was logged last (2026-06-09 10:13)");
    CHECK_REFUSED(lw_clock_ask(&(lw_clock_view){.now_s = 3600, .newest_s = LW_NO_TIME, .is_doubted = 1}, &zone, &err),
                  LW_E_CONFLICT, "which cannot be; say what time it is");
}

static void the_zone_is_that_of_the_stay(void **state)
{
    (void)state;
    board b = open_board();
    lw_zone zone;
    CHECK_OK(lw_clock_zone(b.book, b.stay, SHELF_NOW_S, &zone, &err));
    assert_string_equal(zone.name, "America/Denver");
    CHECK_OK(lw_clock_zone(b.book, 0, SHELF_NOW_S, &zone, &err));
    assert_string_equal(zone.name, "America/Denver");
    close_board(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_clock_is_doubted_before_what_was_logged_last),
        cmocka_unit_test(without_entries_only_what_cannot_be_is_doubted),
        cmocka_unit_test(what_is_taken_back_is_no_witness),
        cmocka_unit_test(what_was_kept_meanwhile_moves_together),
        cmocka_unit_test(it_is_asked_again_after_a_new_start),
        cmocka_unit_test(a_clock_that_was_set_needs_no_making_up),
        cmocka_unit_test(a_time_that_cannot_be_is_refused_and_nothing_moves),
        cmocka_unit_test(the_question_says_both_times),
        cmocka_unit_test(the_zone_is_that_of_the_stay),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
