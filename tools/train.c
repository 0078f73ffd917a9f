/* leeway-train: outlooks and draws of some households, run while the core is built for release, so that the compiler learns
 * which way the choices of the hour loop mostly go (CMakeLists.txt). Prints nothing; what counts is what was counted.
 *
 * The households differ in what decides the way: cold, mild and hot weather, lithium and lead-acid, with and without a
 * generator. None is the one that leeway-bench measures. */
#include "core/power/battery.h"
#include "core/sim/ensemble.h"
#include "core/sky/weather_draw.h"
#include "tests/core/camp.h"

/* An outlook goes the long way in few of its hours, a draw that looks for ends in many: the outlooks are to decide. */
enum { DAYS = 24, TIMES = 150, DRAWS = 64 };

typedef struct household {
    double mean_c, swing_c, clear_frac;
    lw_chemistry chemistry;
    int is_without_generator;
    double latitude_deg, elevation_m; /* whose climate is drawn */
} household;

static const household HOUSEHOLDS[] = {
    {9.0, 9.0, 0.35, LW_CHEMISTRY_LFP, 0, 46.0, 800.0},      {16.0, 11.0, 0.6, LW_CHEMISTRY_LFP, 0, 37.0, 1200.0},
    {26.0, 10.0, 0.8, LW_CHEMISTRY_LFP, 0, 32.5, 400.0},     {-2.0, 7.0, 0.4, LW_CHEMISTRY_LFP, 1, 48.0, 1500.0},
    {4.0, 8.0, 0.2, LW_CHEMISTRY_LFP, 0, 43.0, 2200.0},      {12.0, 9.0, 0.5, LW_CHEMISTRY_AGM, 0, 39.0, 1000.0},
    {14.0, 9.0, 0.3, LW_CHEMISTRY_FLOODED, 1, 35.0, 1800.0},
};

static double sum_of(const lw_draw_row *row)
{
    double sum_h = 0.0;
    for (int i = 0; i < DRAWS; i++)
        for (int k = 0; k < LW_SUPPLY_COUNT; k++)
            sum_h += isinf(row[i].end_h[k]) ? 0.0 : (double)row[i].end_h[k];
    return sum_h;
}

/* Its draws under the climate's own weather, by eight or by four as the machine can. */
static double draw(const camp *c, lw_draws_by how)
{
    const lw_scenario *s = c->scenario;
    lw_climate_site site;
    lw_fault fault = {0};
    lw_ensemble *ensemble;
    lw_weather_frame *frame = calloc(1, sizeof *frame);
    lw_draw_sums *sums = calloc(1, sizeof *sums);
    lw_draw_row *row = calloc(DRAWS, sizeof *row);
    lw_arena arena = {.cap = lw_ensemble_bytes(c->context)};
    void *scratch = malloc(lw_ensemble_scratch_bytes(c->context));
    arena.base = malloc(arena.cap);
    if (!frame || !sums || !row || !scratch || !arena.base)
        abort();
    lw_climate_site_make(&(lw_climate_place){s->place.latitude_deg, s->place.longitude_deg, s->place.elevation_m},
                         &site);
    lw_weather_frame_make(&(lw_weather_frame_in){.site = &site,
                                                 .start_s = s->calendar.start_s,
                                                 .hours = s->calendar.hours,
                                                 .linke_turbidity = s->place.linke_turbidity},
                          frame);
    lw_ensemble_in in = {.context = c->context, .frame = frame, .with_place_error = 1, .how = how, .seed = 7};
    for (int g = 0; g < LW_GROUP_COUNT; g++)
        in.spread.household[g] = in.spread.day[g] = 0.2;
    if (lw_ensemble_prepare(&in, &arena, &ensemble, &fault) != LW_OK)
        abort();
    lw_ensemble_part(ensemble, 0, DRAWS, scratch, row, sums);
    const double sum_h = sum_of(row);
    free(arena.base);
    free(scratch);
    free(row);
    free(sums);
    free(frame);
    return sum_h;
}

int main(void)
{
    double sum = 0.0;
    lw_outlook *out = calloc(1, sizeof *out);
    if (!out)
        return 1;
    for (size_t i = 0; i < sizeof HOUSEHOLDS / sizeof HOUSEHOLDS[0]; i++) {
        const household *h = &HOUSEHOLDS[i];
        lw_scenario *s = camp_new(DAYS);
        camp_weather(s, h->mean_c, h->swing_c, h->clear_frac);
        s->rig.battery.chemistry = (int)h->chemistry;
        s->rig.generator.is_present = !h->is_without_generator;
        s->place.latitude_deg = h->latitude_deg;
        s->place.elevation_m = h->elevation_m;
        camp c = camp_prepare(s, 1);
        for (int n = 0; n < TIMES; n++) {
            lw_outlook_make(c.context, out, NULL, NULL);
            sum += out->leeway[LW_SUPPLY_FRESH].q[1].days;
        }
        sum += draw(&c, LW_DRAWS_BY_MACHINE) + draw(&c, LW_DRAWS_BY_FOUR);
        camp_free(&c);
    }
    free(out);
    return sum > 0.0 ? 0 : 1;
}
