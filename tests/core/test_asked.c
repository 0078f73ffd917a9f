/* What uses ask of a supply, as a sum, against the hours: for random invented camps under drawn use the own course of each draw ends
 * before the horizon just where the sum says so. */
#include "tests/check.h"

#include "core/sim/asked.h"
#include "tests/core/camp.h"

enum { CAMPS = 60, DAYS = 6, DRAWS = 24 };

typedef struct counted {
    int ends, lasts, unsure;
} counted;

static void hold(const camp *c, const lw_asked *asked, int number, int draw, const float *factor,
                 const lw_draw_ends *ends, counted *counts)
{
    lw_state start;
    lw_state_start(c->context, &start);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        if (!((asked->is_known & ~asked->is_begun) >> k & 1u))
            continue;
        const double room = lw_asked_room(c->context, (lw_supply)k, &start).now;
        const double sum = lw_asked_sum(asked, (lw_supply)k, factor);
        const int is_beyond = isinf(ends->end_h[k]);
        if (sum > room * (1.0 + LW_ASKED_SAME)) {
            counts->ends++;
            if (is_beyond)
                fail_msg("camp %d, draw %d: %s is asked %.9g of %.9g and does not end", number, draw,
                         lw_supply_word((lw_supply)k), sum, room);
        } else if (sum < room * (1.0 - LW_ASKED_SAME) && (asked->is_whole >> k & 1u)) {
            counts->lasts++;
            if (!is_beyond)
                fail_msg("camp %d, draw %d: %s is asked %.9g of %.9g and ends after %.2f h", number, draw,
                         lw_supply_word((lw_supply)k), sum, room, (double)ends->end_h[k]);
        } else
            counts->unsure++;
    }
}

static void a_supply_ends_where_the_sum_of_its_uses_says_so(void **state)
{
    counted counts = {0};
    lw_asked *asked = malloc(sizeof *asked);
    float(*factor)[LW_GROUP_COUNT] = malloc((LW_DAYS + 2) * sizeof *factor);
    (void)state;
    assert_true(asked && factor);
    for (uint64_t number = 1; number <= CAMPS; number++) {
        camp c = camp_prepare(camp_random(DAYS, number), 1);
        lw_ensemble_in in = {.context = c.context, .seed = number};
        for (int g = 0; g < LW_GROUP_COUNT; g++)
            in.spread.household[g] = in.spread.day[g] = 0.3;
        lw_arena arena = {.cap = lw_ensemble_bytes(c.context)};
        arena.base = malloc(arena.cap);
        void *scratch = malloc(lw_ensemble_scratch_bytes(c.context));
        lw_ensemble *ensemble;
        lw_draw_ends ends[DRAWS];
        lw_fault fault = {0};
        assert_int_equal(lw_ensemble_prepare(&in, &arena, &ensemble, &fault), LW_OK);
        lw_asked_make(c.context, 0, lw_context_steps(c.context), asked);
        lw_ensemble_alone(ensemble, LW_DRAWN_BOTH, 0, DRAWS, scratch, ends);
        for (int d = 0; d < DRAWS; d++) {
            lw_ensemble_factors(ensemble, (uint32_t)d, factor);
            hold(&c, asked, (int)number, d, &factor[0][0], &ends[d], &counts);
        }
        free(scratch);
        free(arena.base);
        camp_free(&c);
    }
    free(asked);
    free(factor);
    print_message("%d ends, %d that last, %d that the sum leaves open\n", counts.ends, counts.lasts, counts.unsure);
    assert_true(counts.ends > 500 && counts.lasts > 500);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(a_supply_ends_where_the_sum_of_its_uses_says_so)};
    return cmocka_run_group_tests_name("core/asked", tests, NULL, NULL);
}
