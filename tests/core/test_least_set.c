/* The least set of levers: invented levers and targets, held against trying every set (brute force, no outside source). */
#include <stdlib.h>
#include <string.h>

#include "tests/check.h"

#include "core/base/random.h"
#include "core/plan/least_set.h"

enum { MOST = 10 };

/* A target is met when what its levers give together, with falling returns, reaches what is wanted. The last one is met when
 * all others have some to spare together, as the chance of all supplies is. */
typedef struct field {
    lw_set_lever lever[MOST];
    double gives[MOST][LW_SET_TARGETS], wanted[LW_SET_TARGETS], spare;
    int levers, targets;
    lw_lever_set not_both; /* two that cannot be together; 0: none */
    int asked;
} field;

static lw_set_room ROOM; /* two megabytes: not on the stack */

static double reached(const field *f, lw_lever_set set, int target)
{
    double sum = 0.0;
    for (int i = 0; i < f->levers; i++)
        sum += set >> i & 1u ? f->gives[i][target] : 0.0;
    return sum / (1.0 + 0.1 * fabs(sum)) - f->wanted[target];
}

static lw_code fails(void *with, lw_lever_set set, uint32_t targets, int may_leave_open, uint32_t *failing)
{
    field *f = with;
    double spare = 0.0;
    *failing = 0;
    f->asked++;
    if (f->not_both && (set & f->not_both) == f->not_both)
        return LW_E_CONFLICT;
    for (int t = 0; t + 1 < f->targets; t++) {
        spare += reached(f, set, t);
        if (reached(f, set, t) < 0.0)
            *failing |= UINT32_C(1) << t;
    }
    if (spare < f->spare)
        *failing |= UINT32_C(1) << (f->targets - 1);
    *failing &= targets;
    if (may_leave_open && set % 3 == 0) /* as if that were dear to find out */
        *failing = 0;
    return LW_OK;
}

static double unit(uint32_t seed, uint32_t at)
{
    const lw_random_key key = {.seed = seed, .draw = at};
    return lw_random_unit(lw_random_block(&key, 7, 0).word[0]);
}

static void make(field *f, uint32_t seed)
{
    uint32_t at = 0;
    *f = (field){.levers = 4 + (int)(unit(seed, at++) * 6.99)};
    f->targets = 2 + (int)(unit(seed, at++) * 3.0);
    f->spare = unit(seed, at++) * 1.5;
    for (int t = 0; t + 1 < f->targets; t++)
        f->wanted[t] = unit(seed, at++) * 3.0 - 0.5;
    for (int i = 0; i < f->levers; i++) {
        lw_set_lever *l = &f->lever[i];
        *l = (lw_set_lever){.burden = floor(unit(seed, at++) * 20.0)};
        l->group = (int)(unit(seed, at++) * 8.0) - 4;
        l->group = l->group < 0 ? -1 : l->group;
        for (int t = 0; t + 1 < f->targets; t++) {
            const double kind = unit(seed, at++), size = unit(seed, at++) * 2.0;
            f->gives[i][t] = kind < 0.45 ? size : kind < 0.65 ? -size : 0.0;
            l->helps |= f->gives[i][t] > 0.0 ? UINT32_C(1) << t | UINT32_C(1) << (f->targets - 1) : 0u;
            l->hurts |= f->gives[i][t] < 0.0 ? UINT32_C(1) << t | UINT32_C(1) << (f->targets - 1) : 0u;
            l->strength[t] = l->gives[t] = f->gives[i][t];
        }
    }
    if (seed % 3 == 0)
        f->not_both = UINT64_C(1) << (seed / 3) % (uint32_t)f->levers | UINT64_C(1) << (seed / 5) % (uint32_t)f->levers;
    if (__builtin_popcountll(f->not_both) != 2)
        f->not_both = 0;
    /* Together the rivals of one group compare only where one is better everywhere: otherwise they may do either. */
    for (int i = 0; i < f->levers; i++)
        if (f->lever[i].group >= 0)
            f->lever[i].hurts |= UINT32_C(1) << (f->targets - 1), f->lever[i].helps |= UINT32_C(1) << (f->targets - 1);
}

static int has_rivals(const field *f, lw_lever_set set)
{
    for (int i = 0; i < f->levers; i++)
        for (int j = 0; j < i; j++)
            if ((set >> i & set >> j & 1u) && f->lever[i].group >= 0 && f->lever[i].group == f->lever[j].group)
                return 1;
    return 0;
}

static double by_trying_all(field *f)
{
    double least = INFINITY;
    for (lw_lever_set set = 0; set < UINT64_C(1) << f->levers; set++) {
        uint32_t failing;
        double burden = 0.0;
        for (int i = 0; i < f->levers; i++)
            burden += set >> i & 1u ? f->lever[i].burden : 0.0;
        if (burden < least && !has_rivals(f, set) && !fails(f, set, ~UINT32_C(0), 0, &failing) && !failing)
            least = burden;
    }
    return least;
}

static void it_is_the_least_of_all_sets(void **state)
{
    int found = 0, none = 0, larger = 0;
    (void)state;
    for (uint32_t seed = 0; seed < 2000; seed++) {
        field f;
        lw_set_room *room = &ROOM;
        lw_set_out out;
        lw_fault fault;
        make(&f, seed);
        const lw_set_in in = {
            .lever = f.lever, .lever_count = f.levers, .target_count = f.targets, .fails = fails, .with = &f};
        /* In every other case it is told what a target needs as a sum, a little less than the truth. */
        lw_set_in told = in;
        for (int t = 0; t + 1 < f.targets && seed % 2; t++)
            told.needs[t] = f.wanted[t] > 0.0 ? 0.95 * f.wanted[t] / (1.0 - 0.1 * f.wanted[t]) : 0.0;
        /* In every fifth also, of the first target, that one of two cases is met: one as it is, and a harder one. */
        float due[2], pays[MOST * 2];
        if (seed % 5 == 0 && f.wanted[0] > 0.0) {
            const double sum = f.wanted[0] / (1.0 - 0.1 * f.wanted[0]), price = 1.0 + seed % 7;
            told.case_count = 2, told.due = due, told.pays = pays;
            due[0] = (float)(1.5 * price * sum), due[1] = (float)(price * sum);
            for (int i = 0; i < f.levers; i++)
                pays[2 * i] = pays[2 * i + 1] = (float)(price * f.gives[i][0]);
        }
        assert_int_equal(lw_least_set_check(&told, &fault), LW_OK);
        assert_int_equal(lw_least_set(&told, room, &out), LW_OK);
        assert_int_equal(out.asked, f.asked);
        const double least = by_trying_all(&f);
        if (out.burden != least && !(isinf(out.burden) && isinf(least)))
            fail_msg("case %u, %d levers: burden %g, the least of all sets has %g", seed, f.levers, out.burden, least);
        uint32_t failing = 0;
        if (out.is_found && (fails(&f, out.set, ~UINT32_C(0), 0, &failing), failing || has_rivals(&f, out.set)))
            fail_msg("case %u: the set %llx fails %x", seed, (unsigned long long)out.set, failing);
        found += out.is_found, none += !out.is_found, larger += __builtin_popcountll(out.set) > 2;
    }
    if (found < 500 || none < 100 || larger < 100)
        fail_msg("the cases are lopsided: %d found, %d none, %d of more than two levers", found, none, larger);
}

static void cut_short_it_tells_a_bound_that_holds(void **state)
{
    int open = 0;
    (void)state;
    for (uint32_t seed = 0; seed < 500; seed++) {
        field f;
        lw_set_room *room = &ROOM;
        lw_set_out out;
        uint32_t failing = 1;
        make(&f, seed);
        const lw_set_in in = {.lever = f.lever,
                              .lever_count = f.levers,
                              .target_count = f.targets,
                              .fails = fails,
                              .with = &f,
                              .ask_most = 3};
        assert_int_equal(lw_least_set(&in, room, &out), LW_OK);
        const double least = by_trying_all(&f);
        if (out.is_found && (fails(&f, out.set, ~UINT32_C(0), 0, &failing) || failing))
            fail_msg("case %u: the set %llx fails %x", seed, (unsigned long long)out.set, failing);
        if (!(out.bound <= least) || (out.is_found && out.burden < least) ||
            (out.is_proven && out.is_found && out.burden > least))
            fail_msg("case %u: burden %g, bound %g, the least of all sets has %g", seed, out.burden, out.bound, least);
        open += !out.is_proven && out.is_found && out.burden > least;
    }
    if (open < 10)
        fail_msg("only %d cases were cut short", open);
}

static void nothing_is_needed_where_nothing_fails(void **state)
{
    field f = {.levers = 1, .targets = 2, .wanted = {-1.0}, .lever = {{.burden = 0.0, .group = -1}}};
    lw_set_room *room = &ROOM;
    lw_set_out out;
    (void)state;
    const lw_set_in in = {.lever = f.lever, .lever_count = 1, .target_count = 2, .fails = fails, .with = &f};
    assert_int_equal(lw_least_set(&in, room, &out), LW_OK);
    assert_true(out.is_found && out.set == 0 && out.burden == 0.0 && out.asked == 1);
}

static void what_no_set_meets_is_named(void **state)
{
    field f = {.levers = 1, .targets = 3, .wanted = {-1.0, 5.0}, .lever = {{.burden = 1.0, .group = -1, .helps = 6}}};
    lw_set_room *room = &ROOM;
    lw_set_out out;
    (void)state;
    f.gives[0][1] = 1.0;
    const lw_set_in in = {.lever = f.lever, .lever_count = 1, .target_count = 3, .fails = fails, .with = &f};
    assert_int_equal(lw_least_set(&in, room, &out), LW_OK);
    assert_true(!out.is_found && (out.hopeless & 2u));
}

static lw_code gives_up(void *with, lw_lever_set set, uint32_t targets, int may_leave_open, uint32_t *failing)
{
    (void)with, (void)set, (void)may_leave_open;
    *failing = targets;
    return LW_E_FULL;
}

static void a_caller_that_stops_ends_the_search(void **state)
{
    lw_set_room *room = &ROOM;
    lw_set_out out;
    (void)state;
    const lw_set_in in = {.lever = NULL, .lever_count = 0, .target_count = 1, .fails = gives_up};
    assert_int_equal(lw_least_set(&in, room, &out), LW_E_FULL);
}

static void bad_input_is_refused(void **state)
{
    lw_set_lever lever = {.burden = NAN, .group = -1};
    lw_fault fault;
    (void)state;
    assert_int_equal(lw_least_set_check(&(lw_set_in){.lever = &lever, .lever_count = 1, .target_count = 1}, &fault),
                     LW_E_RANGE);
    assert_string_equal(fault.field, "burden");
    assert_int_equal(lw_least_set_check(&(lw_set_in){.lever_count = 65, .target_count = 1}, &fault), LW_E_RANGE);
    assert_int_equal(lw_least_set_check(&(lw_set_in){.target_count = 17}, &fault), LW_E_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_is_the_least_of_all_sets),
        cmocka_unit_test(cut_short_it_tells_a_bound_that_holds),
        cmocka_unit_test(nothing_is_needed_where_nothing_fails),
        cmocka_unit_test(what_no_set_meets_is_named),
        cmocka_unit_test(a_caller_that_stops_ends_the_search),
        cmocka_unit_test(bad_input_is_refused),
    };
    return cmocka_run_group_tests_name("core/least_set", tests, NULL, NULL);
}
