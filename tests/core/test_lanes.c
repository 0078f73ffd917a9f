/* Draws side by side against the same draws one by one: the same bytes, whatever the machine's instruction set, for random
 * invented camps under drawn weather and use. */
#include "tests/check.h"

#include "core/sim/ensemble.h"
#include "tests/core/camp.h"

enum { CAMPS = 24, DAYS = 6, DRAWS = 11 }; /* a full set of lanes and a part of one */

typedef struct drawn {
    lw_draw_row row[DRAWS];
    lw_draw_ends ends[LW_DRAWN_COUNT + 1][DRAWS];
    lw_draw_sums sums;
    lw_state own[DRAWS], joint[DRAWS];
    lw_draw_ends left[DRAWS];
    lw_draw_start next[DRAWS];
} drawn;

/* Every third camp is told to the same moment, every fifth has no departure. */
static lw_ensemble_in wish_of(const camp *c, const lw_weather_frame *frame, uint64_t number)
{
    lw_ensemble_in in = {.context = c->context, .frame = frame, .with_place_error = 1, .seed = number};
    if (number % 3 == 0)
        in.joint_until_s = c->scenario->calendar.start_s + 5 * 86400;
    for (int g = 0; g < LW_GROUP_COUNT; g++)
        in.spread.household[g] = in.spread.day[g] = 0.3;
    return in;
}

static void run(lw_ensemble_in in, lw_draws_by how, drawn *to)
{
    lw_arena arena = {.cap = lw_ensemble_bytes(in.context)};
    void *scratch = malloc(lw_ensemble_scratch_bytes(in.context));
    lw_ensemble *ensemble;
    lw_fault fault = {0};
    arena.base = malloc(arena.cap);
    in.how = how;
    memset(to, 0, sizeof *to);
    assert_int_equal(lw_ensemble_prepare(&in, &arena, &ensemble, &fault), LW_OK);
    lw_ensemble_part(ensemble, 3, DRAWS, scratch, to->row, &to->sums);
    lw_ensemble_last(ensemble, 3, DRAWS, scratch, to->own, to->joint);
    for (int what = 0; what <= LW_DRAWN_BOTH; what++)
        lw_ensemble_alone(ensemble, (lw_drawn)what, 3, DRAWS, scratch, to->ends[what]);
    lw_ensemble_leave(ensemble, 3, DRAWS, scratch, to->left, to->next);
    free(scratch);
    free(arena.base);
}

/* Levels that a rig does not have are never set. */
static void compare_states(const camp *c, const lw_state *a, const lw_state *b, const char *where)
{
    for (int d = 0; d < DRAWS; d++) {
        for (int v = 0; v < c->scenario->rig.vessel_count; v++)
            if (memcmp(&a[d].level[v], &b[d].level[v], sizeof a[d].level[v]) != 0)
                fail_msg("%s, draw %d: %s holds %.17g, alone %.17g", where, d, c->scenario->rig.vessel[v].name,
                         a[d].level[v], b[d].level[v]);
        const double pair[][2] = {
            {a[d].battery_q1_ah, b[d].battery_q1_ah},
            {a[d].battery_q2_ah, b[d].battery_q2_ah},
            {a[d].battery_c, b[d].battery_c},
            {a[d].cabin_c, b[d].cabin_c},
            {a[d].bay_c, b[d].bay_c},
            {a[d].water_deficit_j, b[d].water_deficit_j},
            {a[d].rubbish_age_frac, b[d].rubbish_age_frac},
            {a[d].fridge_warm_h, b[d].fridge_warm_h},
            {a[d].freeze_valve_h, b[d].freeze_valve_h},
            {a[d].freeze_pipe_h, b[d].freeze_pipe_h},
            {(double)a[d].cut, (double)b[d].cut},
            {a[d].is_generator_on, b[d].is_generator_on},
        };
        for (size_t i = 0; i < COUNT_OF(pair); i++)
            if (memcmp(&pair[i][0], &pair[i][1], sizeof pair[i][0]) != 0)
                fail_msg("%s, draw %d: figure %zu is %.17g, alone %.17g", where, d, i, pair[i][0], pair[i][1]);
    }
}

static void compare(const camp *c, const drawn *a, const drawn *b, const char *where)
{
    compare_states(c, a->own, b->own, where);
    compare_states(c, a->joint, b->joint, where);
    /* Whoever goes on elsewhere leaves as the own course ends. */
    lw_state left[DRAWS];
    for (int d = 0; d < DRAWS; d++) {
        left[d] = a->next[d].state;
        if (memcmp(a->left[d].end_h, a->row[d].end_h, sizeof a->left[d].end_h) != 0)
            fail_msg("%s: draw %d leaves with other ends than those told", where, d);
    }
    compare_states(c, left, a->own, where);
    for (int d = 0; d < DRAWS; d++)
        if (memcmp(&a->row[d], &b->row[d], sizeof a->row[d]) != 0)
            fail_msg("%s: draw %d tells something else than alone", where, d);
    if (memcmp(&a->sums, &b->sums, sizeof a->sums) != 0 || memcmp(a->ends, b->ends, sizeof a->ends) != 0)
        fail_msg("%s: levels or ends differ from those alone", where);
}

static lw_weather_frame *frame_of(const lw_scenario *s)
{
    lw_climate_site *site = calloc(1, sizeof *site);
    lw_weather_frame *frame = calloc(1, sizeof *frame);
    lw_climate_site_make(&(lw_climate_place){s->place.latitude_deg, s->place.longitude_deg, s->place.elevation_m},
                         site);
    lw_weather_frame_make(&(lw_weather_frame_in){.site = site,
                                                 .start_s = s->calendar.start_s,
                                                 .hours = s->calendar.hours,
                                                 .linke_turbidity = s->place.linke_turbidity},
                          frame);
    free(site);
    return frame;
}

static void lanes_give_what_one_alone_gives(void **state)
{
    (void)state;
    drawn *alone = malloc(sizeof *alone), *lanes = malloc(sizeof *lanes);
    for (uint64_t number = 1; number <= CAMPS; number++) {
        lw_scenario *s = camp_random(DAYS, number);
        if (number % 5 == 0)
            s->stay.departure_s = 0;
        if (number % 4 == 0)
            s->rig.array[0].wind_limit_ms = 6.0;
        camp c = camp_prepare(s, 1);
        /* Where the climate is not drawn the camp's own weather stands, far hotter and colder. */
        lw_weather_frame *frame = number % 2 ? frame_of(s) : NULL;
        const lw_ensemble_in in = wish_of(&c, frame, number);
        char where[60];
        run(in, LW_DRAWS_BY_ONE, alone);
        for (int d = 0; d < DRAWS; d++)
            if (memcmp(alone->ends[LW_DRAWN_BOTH][d].end_h, alone->row[d].end_h, sizeof alone->row[d].end_h) != 0)
                fail_msg("camp %d, draw %d: own courses end otherwise where nothing is told", (int)number, d);
        for (lw_draws_by how = LW_DRAWS_BY_MACHINE; how <= LW_DRAWS_BY_PLAIN; how++) {
            snprintf(where, sizeof where, "camp %d, way %d", (int)number, (int)how);
            run(in, how, lanes);
            compare(&c, lanes, alone, where);
        }
        free(frame);
        camp_free(&c);
    }
    free(alone);
    free(lanes);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(lanes_give_what_one_alone_gives)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
