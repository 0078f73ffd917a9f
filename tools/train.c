/* leeway-train: outlooks of some households, run while the core is built for release, so that the compiler learns which way the
 * choices of the hour loop mostly go (CMakeLists.txt). Prints nothing; what counts is what was counted.
 *
 * The households differ in what decides the way: cold, mild and hot weather, lithium and lead-acid, with and without a
 * generator. None is the one that leeway-bench measures. */
#include "core/power/battery.h"
#include "core/sim/outlook.h"
#include "tests/core/camp.h"

enum { DAYS = 24, TIMES = 20 };

typedef struct household {
    double mean_c, swing_c, clear_frac;
    lw_chemistry chemistry;
    int is_without_generator;
} household;

static const household HOUSEHOLDS[] = {
    {9.0, 9.0, 0.35, LW_CHEMISTRY_LFP, 0},     {16.0, 11.0, 0.6, LW_CHEMISTRY_LFP, 0},
    {26.0, 10.0, 0.8, LW_CHEMISTRY_LFP, 0},    {-2.0, 7.0, 0.4, LW_CHEMISTRY_LFP, 1},
    {4.0, 8.0, 0.2, LW_CHEMISTRY_LFP, 0},      {12.0, 9.0, 0.5, LW_CHEMISTRY_AGM, 0},
    {14.0, 9.0, 0.3, LW_CHEMISTRY_FLOODED, 1},
};

int main(void)
{
    double days = 0.0;
    lw_outlook *out = calloc(1, sizeof *out);
    if (!out)
        return 1;
    for (size_t i = 0; i < sizeof HOUSEHOLDS / sizeof HOUSEHOLDS[0]; i++) {
        const household *h = &HOUSEHOLDS[i];
        lw_scenario *s = camp_new(DAYS);
        camp_weather(s, h->mean_c, h->swing_c, h->clear_frac);
        s->rig.battery.chemistry = (int)h->chemistry;
        s->rig.generator.is_present = !h->is_without_generator;
        camp c = camp_prepare(s, 1);
        for (int n = 0; n < TIMES; n++) {
            lw_outlook_make(c.context, out, NULL, NULL);
            days += out->leeway[LW_SUPPLY_FRESH].q[1].days;
        }
        camp_free(&c);
    }
    free(out);
    return days > 0.0 ? 0 : 1;
}
