/* Conservation: every litre, watt-hour and gram of a step is in a named flow. Random invented camps, each step. */
#include "tests/check.h"

#include "tests/core/camp.h"

enum { CAMPS = 1000, DAYS = 4 };

typedef struct term {
    int flow;
    double sign;
} term;

typedef struct sum {
    const char *name;
    int count;
    term term[14];
} sum;

#define T(sign_, id)                                                                                                   \
    {                                                                                                                  \
        LW_FLOW_##id, sign_ 1.0                                                                                        \
    }

/* The sums of core/sim/flow.h. The last ones are closed with a change of state. */
static const sum SUMS[] = {
    {"water",
     11,
     {T(+, FRESH_OUT), T(+, FRESH_SHORT), T(+, DRINKING_OUT), T(+, DRINKING_SHORT), T(+, BODY_IN), T(-, GREY_IN),
      T(-, GREY_OVER), T(-, BLACK_IN), T(-, BLACK_OVER), T(-, OUTDOORS), T(-, GONE)}},
    {"panels",
     7,
     {T(+, SUN_PANELS), T(-, SUN_SOILING), T(-, SUN_WIRING), T(-, SUN_MISMATCH), T(-, SUN_CONVERSION), T(-, SUN_USED),
      T(-, SUN_UNUSED)}},
    {"bus",
     8,
     {T(+, SUN_USED), T(+, CHARGER_DC), T(+, DRIVE_DC), T(+, BATTERY_OUT), T(+, DC_SHORT), T(-, DC_LOADS),
      T(-, INVERTER_IN), T(-, BATTERY_IN)}},
    {"inverter", 4, {T(+, INVERTER_IN), T(-, AC_INVERTER), T(-, INVERTER_IDLE), T(-, INVERTER_LOSS)}},
    {"generator", 3, {T(+, GENERATOR_AC), T(-, AC_GENERATOR), T(-, CHARGER_AC)}},
    {"charger", 3, {T(+, CHARGER_AC), T(-, CHARGER_DC), T(-, CHARGER_LOSS)}},
    {"gas",
     7,
     {T(+, PROPANE_OUT), T(+, PROPANE_SHORT), T(-, PROPANE_FURNACE), T(-, PROPANE_WATER), T(-, PROPANE_FRIDGE),
      T(-, PROPANE_COOKING), T(-, PROPANE_GENERATOR)}},
    {"battery",
     5,
     {T(+, BATTERY_IN), T(-, BATTERY_OUT), T(-, BATTERY_OHMIC), T(-, BATTERY_COULOMBIC), T(-, BATTERY_SELF)}},
    {"heat",
     9,
     {T(+, HEAT_SUN), T(+, HEAT_PEOPLE), T(+, HEAT_LOADS), T(+, HEAT_GAS), T(+, HEAT_FURNACE), T(+, HEAT_ELECTRIC),
      T(-, HEAT_CONDUCTION), T(-, HEAT_VENT), T(-, HEAT_COOLING)}},
    {"fresh", 2, {T(-, FRESH_OUT), T(+, FRESH_TRANSFER)}},
    {"drinking", 2, {T(-, DRINKING_OUT), T(+, DRINKING_TRANSFER)}},
    {"grey", 2, {T(+, GREY_IN), T(+, GREY_TRANSFER)}},
    {"black", 2, {T(+, BLACK_IN), T(+, BLACK_TRANSFER)}},
    {"propane", 2, {T(-, PROPANE_OUT), T(+, PROPANE_TRANSFER)}},
    {"fuel", 2, {T(-, FUEL_OUT), T(+, FUEL_TRANSFER)}},
    {"rubbish", 2, {T(+, RUBBISH_IN), T(+, RUBBISH_TRANSFER)}},
    {"data", 2, {T(-, DATA_OUT), T(+, DATA_TRANSFER)}},
    {"food", 2, {T(-, FOOD_OUT), T(+, FOOD_TRANSFER)}},
};

static double supply_level(const camp *c, const lw_state *s, lw_supply supply)
{
    double level = 0.0;
    for (int v = 0; v < c->scenario->rig.vessel_count; v++)
        if (c->scenario->rig.vessel[v].supply == supply)
            level += s->level[v];
    return level;
}

static double supply_capacity(const camp *c, lw_supply supply)
{
    double sum_of = 0.0;
    for (int v = 0; v < c->scenario->rig.vessel_count; v++)
        if (c->scenario->rig.vessel[v].supply == supply)
            sum_of += c->scenario->rig.vessel[v].capacity;
    return sum_of;
}

/* Change of what is stored on the other side of a sum, and the size the tolerance is relative to. */
static double stored(const camp *c, const char *name, const lw_state *a, const lw_state *b, double *size)
{
    static const struct {
        const char *name;
        lw_supply supply;
    } tanks[] = {{"fresh", LW_SUPPLY_FRESH},     {"drinking", LW_SUPPLY_DRINKING}, {"grey", LW_SUPPLY_GREY},
                 {"black", LW_SUPPLY_BLACK},     {"propane", LW_SUPPLY_PROPANE},   {"fuel", LW_SUPPLY_FUEL},
                 {"rubbish", LW_SUPPLY_RUBBISH}, {"data", LW_SUPPLY_DATA},         {"food", LW_SUPPLY_FOOD}};
    const double bank_wh = c->scenario->rig.battery.capacity_ah * c->scenario->rig.battery.nominal_v;
    *size = strcmp(name, "water") == 0 ? supply_capacity(c, LW_SUPPLY_FRESH)
            : strcmp(name, "gas") == 0 ? supply_capacity(c, LW_SUPPLY_PROPANE)
                                       : bank_wh;
    if (strcmp(name, "battery") == 0) {
        *size = bank_wh;
        return lw_state_battery_wh(c->context, b) - lw_state_battery_wh(c->context, a);
    }
    if (strcmp(name, "heat") == 0) {
        *size = c->scenario->rig.cabin.mass_jk / 3600.0;
        return c->scenario->rig.cabin.mass_jk / 3600.0 * (b->cabin_c - a->cabin_c);
    }
    for (size_t i = 0; i < COUNT_OF(tanks); i++)
        if (strcmp(name, tanks[i].name) == 0) {
            *size = supply_capacity(c, tanks[i].supply);
            return supply_level(c, b, tanks[i].supply) - supply_level(c, a, tanks[i].supply);
        }
    return 0.0;
}

/* Largest miss of all sums, relative to the larger of capacity and throughput. `leave_out`, `stretch`: mutations. */
static double worst_miss(const camp *c, const lw_flows *f, const lw_state *a, const lw_state *b, const char **which)
{
    double worst = 0.0;
    for (size_t i = 0; i < COUNT_OF(SUMS); i++) {
        double size, total = 0.0, through = 0.0;
        const double change = stored(c, SUMS[i].name, a, b, &size);
        for (int k = 0; k < SUMS[i].count; k++) {
            total += SUMS[i].term[k].sign * f->of[SUMS[i].term[k].flow];
            through += fabs(f->of[SUMS[i].term[k].flow]);
        }
        const double miss = fabs(total - change) / fmax(fmax(size, through), 1e-6);
        if (!(miss <= worst)) {
            worst = miss;
            *which = SUMS[i].name;
        }
    }
    return worst;
}

typedef struct spoil {
    int flow;
    double by; /* 1 = as it is */
} spoil;

static double run_camp(int number, lw_mode mode, spoil how)
{
    camp c = camp_prepare(camp_random(DAYS, (uint64_t)number), 1);
    lw_state s;
    double worst = 0.0;
    lw_state_start(c.context, &s);
    for (int step = 0; step < lw_context_steps(c.context); step++) {
        const lw_state before = s;
        const char *which = "";
        lw_flows f;
        lw_step_once(c.context, mode, step, &s, &f);
        f.of[how.flow] *= how.by;
        const double miss = worst_miss(&c, &f, &before, &s, &which);
        if (how.by == 1.0 && !(miss <= 1e-9))
            fail_msg("camp %d step %d mode %d: the sum of %s misses by %.3g", number, step, (int)mode, which, miss);
        if (!(miss <= worst))
            worst = miss;
    }
    camp_free(&c);
    return worst;
}

static void every_sum_closes_at_every_step(void **state)
{
    (void)state;
    double own = 0.0, joint = 0.0;
    for (int i = 1; i <= CAMPS; i++) {
        own = fmax(own, run_camp(i, LW_MODE_OWN, (spoil){0, 1.0}));
        joint = fmax(joint, run_camp(i, LW_MODE_JOINT, (spoil){0, 1.0}));
    }
    print_message("largest miss: own course %.2e, joint course %.2e of max(capacity, throughput)\n", own, joint);
}

/* The test above must be able to fail: each flow dropped, and each changed by one part in ten thousand, is noticed in
 * one of the same camps. */
static void a_dropped_or_wrong_flow_is_noticed(void **state)
{
    (void)state;
    static const double by[] = {0.0, 1.0001};
    for (size_t i = 0; i < COUNT_OF(SUMS); i++)
        for (int k = 0; k < SUMS[i].count; k++)
            for (size_t m = 0; m < COUNT_OF(by); m++) {
                const int flow = SUMS[i].term[k].flow;
                double worst = 0.0;
                for (int number = 1; number <= 200 && !(worst > 1e-9); number++)
                    worst = run_camp(number, LW_MODE_OWN, (spoil){flow, by[m]});
                if (!(worst > 1e-9))
                    fail_msg("flow %d of %s times %g goes unnoticed", flow, SUMS[i].name, by[m]);
            }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_sum_closes_at_every_step),
        cmocka_unit_test(a_dropped_or_wrong_flow_is_noticed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
