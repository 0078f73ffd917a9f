/* Legal but extreme camps: nothing the checks let pass may give NaN, a level outside its tank, or a step without end. */
#include "tests/check.h"

#include "tests/core/camp.h"

enum { CAMPS = 400, ROWS = 40 * 24 };

static int chance(uint64_t *r, double of)
{
    return camp_uniform(r) < of;
}

static void empty_vessels(lw_scenario *s, uint64_t *r)
{
    for (int v = 0; v < s->rig.vessel_count; v++) {
        lw_vessel *t = &s->rig.vessel[v];
        if (chance(r, 0.3))
            t->capacity = t->level = t->unusable = t->residue = t->work_reserve = 0.0;
    }
}

static void without_parts(lw_scenario *s, uint64_t *r)
{
    lw_rig *rig = &s->rig;
    if (chance(r, 0.1))
        rig->battery.capacity_ah = 0.0;
    if (chance(r, 0.1))
        rig->array_count = 0;
    if (chance(r, 0.1))
        s->crew.person_count = 0;
    if (chance(r, 0.1))
        rig->load_count = 0;
    if (chance(r, 0.1))
        rig->inverter.is_present = 0;
    if (chance(r, 0.1))
        rig->cabin.furnace_input_w = 0.0;
    if (chance(r, 0.1))
        rig->cabin.fridge_is_present = 0;
    if (chance(r, 0.1))
        rig->cabin.water_heater_is_present = 0;
    if (chance(r, 0.1))
        rig->charger.rated_a = 0.0;
    if (chance(r, 0.2))
        empty_vessels(s, r);
    if (chance(r, 0.1))
        rig->vessel_count = s->transfer_count = 0;
}

static void with_extremes(lw_scenario *s, uint64_t *r)
{
    lw_rig *rig = &s->rig;
    if (chance(r, 0.1))
        camp_weather(s, -40.0, 12.0, camp_uniform(r));
    if (chance(r, 0.1))
        camp_weather(s, 48.0, 10.0, 1.0);
    if (chance(r, 0.1))
        s->place.latitude_deg = chance(r, 0.5) ? 89.0 : -89.0;
    if (chance(r, 0.1))
        rig->cabin.mass_jk = camp_between(r, 1e4, 1e5);
    if (chance(r, 0.1))
        rig->cabin.ua_wk = camp_between(r, 1.0, 4000.0);
    if (chance(r, 0.2))
        for (int l = 0; l < rig->load_count; l++)
            rig->load[l].watts *= camp_between(r, 0.0, 50.0);
    if (chance(r, 0.1))
        for (int l = 0; l < rig->load_count; l++)
            rig->load[l].cut_v = camp_between(r, 8.0, 14.0);
    if (chance(r, 0.1))
        rig->generator.rated_w = 100.0;
    if (chance(r, 0.1))
        rig->generator.start_frac = rig->generator.stop_frac = 0.8;
    if (chance(r, 0.1))
        rig->battery.nominal_v = 48.0, rig->battery.system_cut_v = 42.0;
    if (chance(r, 0.1))
        rig->battery.floor_frac = 1.0;
    if (chance(r, 0.1))
        rig->battery.level_frac = 0.0;
    if (chance(r, 0.1))
        s->stay.departure_s = chance(r, 0.5) ? 0 : s->stay.arrival_s;
    if (chance(r, 0.1))
        s->stay.stay_end_s = s->stay.arrival_s;
    if (chance(r, 0.2))
        for (int t = 0; t < s->transfer_count; t++) /* before the stay, inside it, behind the horizon */
            s->transfer[t].at_s = s->stay.arrival_s - 86400 + (int64_t)t * 400000;
}

static void check_outlook(int number, const lw_outlook *o)
{
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (!(o->leeway[k].q[1].days >= 0.0 && o->leeway[k].use_per_day >= 0.0))
            fail_msg("camp %d: supply %d lasts %g days at %g a day", number, k, o->leeway[k].q[1].days,
                     o->leeway[k].use_per_day);
    for (int k = 0; k < LW_FLOW_COUNT; k++)
        if (!isfinite(o->own.of[k]) || !isfinite(o->joint.of[k]))
            fail_msg("camp %d: flow %d is %g and %g", number, k, o->own.of[k], o->joint.of[k]);
    for (int i = 1; i < o->event_count; i++)
        if (o->event[i].at_s < o->event[i - 1].at_s)
            fail_msg("camp %d: event %d comes before the one it follows", number, i);
}

static void check_rows(int number, const lw_scenario *s, const lw_series *rows)
{
    for (int h = 0; h < rows->count; h++) {
        const lw_state *row = &rows->state[h];
        if (!(row->cabin_c > -100.0 && row->cabin_c < 150.0 && row->battery_q1_ah >= 0.0))
            fail_msg("camp %d, hour %d: cabin %g C, available well %g Ah", number, h, row->cabin_c, row->battery_q1_ah);
        for (int v = 0; v < s->rig.vessel_count; v++)
            if (!(row->level[v] >= -1e-9 && row->level[v] <= s->rig.vessel[v].capacity * (1.0 + 1e-9) + 1e-9))
                fail_msg("camp %d, hour %d: vessel %d holds %g of %g", number, h, v, row->level[v],
                         s->rig.vessel[v].capacity);
    }
}

static void extreme_camps_stay_inside_their_bounds(void **state)
{
    (void)state;
    int run = 0;
    lw_series rows = {.capacity = ROWS, .state = calloc(ROWS, sizeof *rows.state)};
    lw_outlook *outlook = malloc(sizeof *outlook);
    for (int number = 1; number <= CAMPS; number++) {
        uint64_t r = (uint64_t)number * 0x9e3779b97f4a7c15u + 777;
        lw_scenario *s = camp_random(3 + number % 30, (uint64_t)number);
        lw_fault fault;
        without_parts(s, &r);
        with_extremes(s, &r);
        if (lw_scenario_check(s, &fault) != LW_OK) {
            free(s);
            continue;
        }
        run++;
        camp c = camp_prepare(s, number % 4 ? 1 : 4);
        lw_outlook_make(c.context, outlook, NULL, &rows);
        check_outlook(number, outlook);
        check_rows(number, s, &rows);
        camp_free(&c);
    }
    free(rows.state);
    free(outlook);
    assert_true(run > CAMPS / 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(extreme_camps_stay_inside_their_bounds)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
