/* What the weather does outside, and to who is left in camp: snow on panels, wind on what stands up, heat on a dog. */
#include "tests/check.h"

#include "core/sim/ensemble.h"
#include "tests/core/camp.h"

typedef struct answer {
    lw_outlook *out;
    double panels_wh; /* of the joint course */
} answer;

static answer answer_of(lw_scenario *s)
{
    answer a = {.out = malloc(sizeof *a.out)};
    assert_non_null(a.out);
    camp c = camp_prepare(s, 1);
    lw_outlook_make(c.context, a.out, NULL, NULL);
    a.panels_wh = a.out->own_to_departure.of[LW_FLOW_SUN_PANELS];
    camp_free(&c);
    return a;
}

static const lw_event *event_of(const answer *a, lw_event_kind kind, int index)
{
    for (int i = 0; i < a->out->event_count; i++)
        if (a->out->event[i].kind == kind && a->out->event[i].index == index)
            return &a->out->event[i];
    return NULL;
}

/* Ten days at -8 C by day; from the second evening 10 cm fall within five hours. */
static lw_scenario *winter_camp(double snow_mm)
{
    lw_scenario *s = camp_new(10);
    camp_weather(s, -12.0, 4.0, 0.8);
    for (int h = 28; h < 33; h++)
        s->weather.precip_mm[h] = s->weather.snow_mm[h] = snow_mm / 5.0;
    return s;
}

static void a_flat_panel_under_snow_gives_nothing_until_it_is_cleared(void **state)
{
    (void)state;
    answer bare = answer_of(winter_camp(0.0)), snowed = answer_of(winter_camp(10.0));
    lw_scenario *s = winter_camp(10.0);
    s->rig.array[0].is_snow_cleared = s->rig.array[1].is_snow_cleared = 1;
    answer cleared = answer_of(s);
    assert_null(event_of(&bare, LW_EVENT_SNOW_ON_PANELS, 0));
    const lw_event *e = event_of(&snowed, LW_EVENT_SNOW_ON_PANELS, 0);
    assert_non_null(e);
    assert_int_equal((e->at_s - snowed.out->start_s) / 3600, 28);
    if (!(snowed.panels_wh < 0.75 * bare.panels_wh && cleared.panels_wh > 0.9 * bare.panels_wh &&
          cleared.panels_wh < bare.panels_wh))
        fail_msg("bare %.0f Wh, snowed %.0f, cleared %.0f", bare.panels_wh, snowed.panels_wh, cleared.panels_wh);
    free(bare.out), free(snowed.out), free(cleared.out);
}

/* In cold sun snow slides from 40 degrees (T > E / -80) and stays on a roof; above freezing both are bare again. */
static void a_tilted_array_sheds_its_snow_in_cold_sun(void **state)
{
    double wh[2][2];
    (void)state;
    for (int a = 0; a < 2; a++)
        for (int is_snow = 0; is_snow < 2; is_snow++) {
            lw_scenario *s = winter_camp(is_snow ? 10.0 : 0.0);
            camp_weather(s, -3.0, 3.0, 1.0);
            for (int h = 28; h < 33; h++)
                s->weather.snow_mm[h] = is_snow ? 2.0 : 0.0;
            s->rig.array[0] = s->rig.array[a];
            s->rig.array_count = 1;
            answer got = answer_of(s);
            wh[a][is_snow] = got.panels_wh;
            free(got.out);
        }
    if (!(wh[0][1] < 0.6 * wh[0][0] && wh[1][1] > 0.75 * wh[1][0]))
        fail_msg("flat %.0f of %.0f Wh, tilted %.0f of %.0f", wh[0][1], wh[0][0], wh[1][1], wh[1][0]);
}

/* Two panels alike but the grown-ups are away from 7 to 18: nobody clears. */
static void snow_is_cleared_only_while_a_grown_up_is_there(void **state)
{
    (void)state;
    lw_scenario *s = winter_camp(10.0), *away = winter_camp(10.0);
    s->rig.array[0].is_snow_cleared = away->rig.array[0].is_snow_cleared = 1;
    for (int p = 0; p < 2; p++)
        camp_hours(away->crew.person[p].away, 7, 18);
    answer there = answer_of(s), gone = answer_of(away);
    assert_true(gone.panels_wh < 0.9 * there.panels_wh);
    free(there.out), free(gone.out);
}

static void draws_carry_snow_and_tell_its_chance(void **state)
{
    enum { DRAWS = 60 };
    static lw_climate_site site;
    lw_fault fault = {0};
    double happens[2];
    (void)state;
    for (int is_summer = 0; is_summer < 2; is_summer++) {
        lw_scenario *s = camp_new(10);
        /* June, at 3300 m and at 400 m in the south: the calendar of the camp is of June. */
        s->place.elevation_m = is_summer ? 400.0 : 3300.0;
        s->place.latitude_deg = is_summer ? 33.0 : 43.5;
        s->place.longitude_deg = -110.0;
        const lw_climate_place place = {s->place.latitude_deg, s->place.longitude_deg, s->place.elevation_m};
        lw_climate_site_make(&place, &site);
        lw_weather_frame *frame = malloc(sizeof *frame);
        assert_non_null(frame);
        lw_weather_frame_make(&(lw_weather_frame_in){.site = &site,
                                                     .start_s = s->calendar.start_s,
                                                     .hours = s->calendar.hours,
                                                     .linke_turbidity = s->place.linke_turbidity},
                              frame);
        camp c = camp_prepare(s, 1);
        lw_ensemble_in in = {.context = c.context, .frame = frame, .with_place_error = 1, .seed = 3};
        lw_arena arena = {.cap = lw_ensemble_bytes(c.context)};
        arena.base = malloc(arena.cap);
        void *scratch = malloc(lw_ensemble_scratch_bytes(c.context));
        lw_draw_row row[DRAWS];
        lw_draw_sums *sums = calloc(1, sizeof *sums);
        lw_ensemble *e;
        float memory[DRAWS];
        lw_outlook *out = malloc(sizeof *out);
        assert_true(arena.base && scratch && sums && out);
        assert_int_equal(lw_ensemble_prepare(&in, &arena, &e, &fault), LW_OK);
        lw_outlook_make(c.context, out, NULL, NULL);
        lw_ensemble_part(e, 0, DRAWS, scratch, row, sums);
        lw_ensemble_finish(e, row, DRAWS, sums, memory, out);
        happens[is_summer] = (double)out->happens_frac[LW_EVENT_SNOW_ON_PANELS];
        free(arena.base), free(scratch), free(sums), free(out), free(frame);
        camp_free(&c);
    }
    if (!(happens[0] > 0.1 && happens[0] < 1.0 && happens[1] <= 0.0))
        fail_msg("June: snow on panels in %.2f of draws at 3300 m, %.2f at 400 m", happens[0], happens[1]);
}

static void wind_over_a_limit_is_told_and_only_then(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(6);
    s->rig.awning_limit_ms = 7.0;
    s->rig.array[1].wind_limit_ms = 9.0;
    for (int h = 20; h < 24; h++)
        s->weather.wind_ms[h] = 8.0;
    answer a = answer_of(s);
    const lw_event *e = event_of(&a, LW_EVENT_WIND_HIGH, LW_AWNING);
    assert_non_null(e);
    assert_int_equal((e->at_s - a.out->start_s) / 3600, 20);
    CHECK_NEAR(e->value, 8.0, 1e-9, "mean wind");
    assert_null(event_of(&a, LW_EVENT_WIND_HIGH, 1));
    assert_null(event_of(&a, LW_EVENT_WIND_HIGH, 0));
    assert_int_equal(a.out->event_sum[LW_EVENT_WIND_HIGH].count, 1);
    free(a.out);
}

static void an_array_is_put_away_in_wind_only_where_its_owner_says_so(void **state)
{
    double wh[2];
    (void)state;
    for (int is_stowed = 0; is_stowed < 2; is_stowed++) {
        lw_scenario *s = camp_new(6);
        s->rig.array[1].wind_limit_ms = 9.0;
        s->rig.array[1].is_stowed_in_wind = is_stowed;
        for (int h = 0; h < s->calendar.hours; h++)
            s->weather.wind_ms[h] = 10.0;
        s->rig.array[0] = s->rig.array[1];
        s->rig.array_count = 1;
        answer a = answer_of(s);
        assert_non_null(event_of(&a, LW_EVENT_WIND_HIGH, 0));
        wh[is_stowed] = a.panels_wh;
        free(a.out);
    }
    assert_true(wh[0] > 1000.0);
    CHECK_NEAR(wh[1], 0.0, 1e-9, "put away");
}

/* A dog alone from 8 to 18 on days of 38 C: nobody opens a window, and it is told; with somebody there the cabin is cooler. */
static void a_dog_left_on_a_hot_day_has_shut_windows_and_is_told_of(void **state)
{
    double high_c[2];
    (void)state;
    for (int is_left = 0; is_left < 2; is_left++) {
        lw_scenario *s = camp_new(4);
        camp_weather(s, 30.0, 8.0, 1.0);
        s->rig.generator.is_present = 0;
        lw_person *dog = &s->crew.person[s->crew.person_count++];
        dog->being = LW_BEING_DOG;
        dog->inside_low_c = NAN;
        dog->inside_high_c = 30.0;
        for (int p = 0; p < 2 && is_left; p++)
            camp_hours(s->crew.person[p].away, 8, 18);
        answer a = answer_of(s);
        assert_non_null(event_of(&a, LW_EVENT_VITAL_HOT, 2));
        high_c[is_left] = a.out->comfort.inside_high_c;
        if (is_left)
            assert_non_null(event_of(&a, LW_EVENT_CABIN_HOT, 0));
        free(a.out);
    }
    if (!(high_c[1] > high_c[0] + 2.0))
        fail_msg("left alone up to %.1f C, with people %.1f C", high_c[1], high_c[0]);
}

static void an_animal_alone_lights_no_lamp_but_is_kept_warm(void **state)
{
    double loads_wh[2];
    (void)state;
    for (int has_lamp = 0; has_lamp < 2; has_lamp++) {
        lw_scenario *s = camp_new(4);
        const double least_c = s->rig.cabin.night_c - 1.5;
        camp_weather(s, 2.0, 5.0, 0.8);
        lw_person *dog = &s->crew.person[s->crew.person_count++];
        dog->being = LW_BEING_DOG;
        dog->inside_low_c = dog->inside_high_c = NAN;
        s->rig.load_count = 0;
        camp_load(s, "lights", LW_LOAD_DARK, has_lamp ? 100.0 : 0.0, 10.0);
        for (int p = 0; p < 2; p++)
            camp_hours(s->crew.person[p].away, 0, 24);
        answer a = answer_of(s);
        assert_true(a.out->comfort.inside_low_c > least_c);
        loads_wh[has_lamp] = a.out->own_to_departure.of[LW_FLOW_DC_LOADS];
        free(a.out);
    }
    CHECK_NEAR(loads_wh[1], loads_wh[0], 1e-6, "loads with a lamp");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_flat_panel_under_snow_gives_nothing_until_it_is_cleared),
        cmocka_unit_test(a_tilted_array_sheds_its_snow_in_cold_sun),
        cmocka_unit_test(snow_is_cleared_only_while_a_grown_up_is_there),
        cmocka_unit_test(draws_carry_snow_and_tell_its_chance),
        cmocka_unit_test(wind_over_a_limit_is_told_and_only_then),
        cmocka_unit_test(an_array_is_put_away_in_wind_only_where_its_owner_says_so),
        cmocka_unit_test(a_dog_left_on_a_hot_day_has_shut_windows_and_is_told_of),
        cmocka_unit_test(an_animal_alone_lights_no_lamp_but_is_kept_warm),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
