/* tests/core/learn_camp.h: camps with a past, for the tests of the learning: a context over the past, readings, a run. */
#ifndef LW_TESTS_CORE_LEARN_CAMP_H
#define LW_TESTS_CORE_LEARN_CAMP_H

#include "core/learn/learn.h"
#include "tests/check.h"
#include "tests/core/camp.h"

/* A camp of tanks alone: nothing that burns or makes current. */
static inline lw_scenario *learn_camp_bare(int days)
{
    lw_scenario *s = camp_new(days);
    s->rig.vessel_count = s->rig.load_count = s->rig.array_count = s->crew.use_count = 0;
    s->rig.generator.is_present = s->rig.inverter.is_present = 0;
    s->rig.cabin.fridge_is_present = s->rig.cabin.water_heater_is_present = 0;
    s->rig.cabin.furnace_input_w = s->rig.cabin.vent_wk = 0.0;
    s->stay.departure_s = 0;
    return s;
}

/* A use spread evenly over the day that draws from one supply and leaves for nowhere, or fills one. */
static inline lw_use *learn_camp_use(lw_scenario *s, const char *name, lw_group group, double a_day)
{
    lw_use *u = camp_use(s, name, group, LW_FIXTURE_KITCHEN, 0.0);
    for (int h = 0; h < 24; h++)
        u->weight[h] = 1.0 / 24.0;
    u->rate[0] = a_day;
    u->rhythm = LW_RHYTHM_CAMP;
    return u;
}

typedef struct learned {
    lw_learn_in in;
    lw_arena arena;
    lw_learned out;
} learned;

static inline learned learn_run(const lw_learn_in *in)
{
    learned l = {.in = *in};
    lw_fault fault = {0};
    l.arena.cap = lw_learn_bytes(in);
    l.arena.base = malloc(l.arena.cap);
    assert_non_null(l.arena.base);
    if (lw_learn(&l.in, &l.arena, &l.out, &fault) != LW_OK)
        fail_msg("%s: %g, not within %g to %g", fault.field, fault.value, fault.low, fault.high);
    return l;
}

static inline void learn_end(learned *l)
{
    free(l->arena.base);
    *l = (learned){.arena = {0}};
}

/* Lamps at thirds, by the rule that a lit one was reached; nearest: the mark next to the level. */
static inline lw_reading learn_camp_thirds(int64_t at_s, int vessel, double capacity, double level, int is_nearest)
{
    const double frac = level / capacity + (is_nearest ? 1.0 / 6.0 : 1e-9);
    const int lit = frac >= 1.0 ? 3 : frac <= 0.0 ? 0 : (int)(frac * 3.0);
    return (lw_reading){.at_s = at_s,
                        .vessel = vessel,
                        .low = lit > 0 ? capacity * lit / 3.0 : -INFINITY,
                        .high = lit < 3 ? capacity * (lit + 1) / 3.0 : INFINITY,
                        .lie_frac = 0.03};
}

#endif
