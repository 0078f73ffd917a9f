/* leeway-bench: what the engine costs. Prints microseconds of the processor and, beside them, a ratio to a fixed loop of exponentials
 * timed in the same round, so that figures of two machines, or of a busy one, can be compared. No pass or fail.
 *
 * Each figure is the median of ROUNDS rounds; each thing measured leaves a checksum behind, so that no compiler can leave
 * it out, and equal checksums say that equal work was done. */
#include <stdio.h>
#include <time.h>

#include "core/land/radio.h"
#include "core/sim/ensemble.h"
#include "core/sky/sun_table.h"
#include "core/sky/weather_draw.h"
#include "tests/core/camp.h"

enum { ROUNDS = 11, DAYS = 30, EXPONENTIALS = 1000, POSITIONS = 10000, DRAWS = 64, MANY_DRAWS = 10000, CORES = 2 };
enum { PATHS = 16, PATH_POINTS = 200 };
static const double ROUND_S = 0.02; /* a round repeats its work for at least this long */

typedef struct subject {
    const char *name;
    double (*work)(void *with); /* gives its checksum */
    void *with;
    double units; /* work of one call, where the name speaks of one unit */
} subject;

typedef struct figure {
    double us, ratio, checksum;
} figure;

static double cpu_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t); /* what others do on the machine costs nothing here */
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* The yardstick: each exponential waits for the one before. */
static double exponentials(void *with)
{
    double x = *(const double *)with;
    for (int i = 0; i < EXPONENTIALS; i++)
        x = exp(-x) * 1.0625;
    return x;
}

/* Seconds of one call, by repeating it. */
static double time_of(const subject *s, double *checksum)
{
    const double begin_s = cpu_s();
    double end_s;
    long calls = 0;
    do {
        *checksum = s->work(s->with);
        calls++;
        end_s = cpu_s();
    } while (end_s - begin_s < ROUND_S);
    return (end_s - begin_s) / (double)calls;
}

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(double *values)
{
    qsort(values, ROUNDS, sizeof *values, by_size);
    return values[ROUNDS / 2];
}

static figure measure(const subject *s)
{
    double start = 0.5, us[ROUNDS], ratio[ROUNDS], checksum = 0.0, yard_checksum;
    const subject yard = {.name = "yardstick", .work = exponentials, .with = &start};
    for (int round = 0; round < ROUNDS; round++) {
        const double yard_s = time_of(&yard, &yard_checksum), s_s = time_of(s, &checksum);
        us[round] = 1e6 * s_s / s->units;
        ratio[round] = s_s / s->units / yard_s;
    }
    return (figure){median(us), median(ratio), checksum};
}

static double sum_of(const lw_flows *flows)
{
    double sum = 0.0;
    for (int f = 0; f < LW_FLOW_COUNT; f++)
        sum += flows->of[f];
    return sum;
}

static double course(const camp *c, lw_mode mode)
{
    lw_state state;
    lw_course course;
    lw_state_start(c->context, &state);
    lw_course_run(c->context, mode, &state, &course, NULL);
    return sum_of(&course.total);
}

static double own_course(void *with)
{
    return course(with, LW_MODE_OWN);
}

static double joint_course(void *with)
{
    return course(with, LW_MODE_JOINT);
}

static double outlook(void *with)
{
    const camp *c = with;
    lw_outlook out;
    lw_outlook_make(c->context, &out, NULL, NULL);
    return sum_of(&out.own) + sum_of(&out.joint) + out.leeway[LW_SUPPLY_FRESH].q[1].days;
}

/* The sun on each array, schedules, habits resolved to tanks: once per place, dates and rig. */
static double prepare(void *with)
{
    camp *c = with;
    lw_fault fault = {0};
    c->arena.used = 0;
    if (lw_prepare(c->scenario, 1, &c->arena, &c->context, &fault) != LW_OK)
        abort();
    return (double)c->arena.used;
}

typedef struct sky {
    lw_sun_table table;
    lw_sun_place place;
    double t_s[POSITIONS];
    lw_sun sun[POSITIONS];
} sky;

static double positions(void *with)
{
    sky *s = with;
    double sum = 0.0;
    lw_sun_at_each(&s->table, &s->place, s->t_s, POSITIONS, s->sun);
    for (int i = 0; i < POSITIONS; i += POSITIONS / 10)
        sum += s->sun[i].up;
    return sum;
}

/* A household whose furnace and generator really run: cool, clouded weather on a 200 Ah bank. */
static camp busy_camp(int days)
{
    lw_scenario *s = camp_new(days);
    camp_weather(s, 6.0, 8.0, 0.25);
    for (int v = 0; v < s->rig.vessel_count; v++) /* so that what is measured does not stop for want of supplies */
        if (s->rig.vessel[v].supply == LW_SUPPLY_PROPANE || s->rig.vessel[v].supply == LW_SUPPLY_FUEL)
            s->rig.vessel[v].capacity = s->rig.vessel[v].level *= 4.0;
    return camp_prepare(s, 1);
}

static figure report(subject s)
{
    if (s.units <= 0.0)
        s.units = 1.0;
    const figure f = measure(&s);
    printf("  %-36s %12.4g us %12.4g   %.12g\n", s.name, f.us, f.ratio, f.checksum);
    return f;
}

static void report_engine(void)
{
    camp c = busy_camp(DAYS);
    lw_outlook *out = calloc(1, sizeof *out);
    if (!out)
        abort();
    lw_outlook_make(c.context, out, NULL, NULL);
    const double *of = out->joint.of;
    printf("30 days in hours, all supplies; in the joint course the generator runs %.0f h, the furnace burns %.1f kg,\n"
           "the bank takes %.1f kWh, %.0f litres of fresh water are drawn, %d events are told\n",
           of[LW_FLOW_GENERATOR_HOURS], of[LW_FLOW_PROPANE_FURNACE], of[LW_FLOW_BATTERY_IN] / 1000.0,
           of[LW_FLOW_FRESH_OUT], out->event_count);
    report((subject){.name = "own course", .work = own_course, .with = &c});
    report((subject){.name = "joint course", .work = joint_course, .with = &c});
    report((subject){.name = "whole outlook", .work = outlook, .with = &c});
    report((subject){.name = "prepare: sun on the arrays, schedules", .work = prepare, .with = &c});
    free(out);
    camp_free(&c);
}

static void report_sky(void)
{
    sky *s = calloc(1, sizeof *s);
    if (!s)
        abort();
    const int64_t first_day = 20618; /* 2026-06-14 */
    lw_sun_table_fill(&s->table, first_day, 60, 69.0);
    const lw_spa_place place = {.latitude_deg = 40.5,
                                .longitude_deg = -112.3,
                                .elevation_m = 1600.0,
                                .pressure_pa = 83500.0,
                                .temperature_c = 15.0};
    s->place = lw_sun_place_of(&place);
    for (int i = 0; i < POSITIONS; i++)
        s->t_s[i] = 86400.0 * ((double)first_day + 60.0 * i / POSITIONS);
    const figure f =
        report((subject){.name = "a solar position from the table", .work = positions, .with = s, .units = POSITIONS});
    printf("  that is %.1f million solar positions a second\n", 1.0 / f.us);
    free(s);
}

/* An outlook is one course up to the first shortage and two from there on, so it grows faster than its days until most of
 * them lie behind it; a course by itself grows with its days. */
static void report_growth(void)
{
    static const int days[] = {10, 20, 40, 60};
    double first_own = 0.0, first_outlook = 0.0;
    printf("\ngrowth              own course   against 10 days   whole outlook   against 10 days\n");
    for (size_t i = 0; i < sizeof days / sizeof days[0]; i++) {
        camp c = busy_camp(days[i]);
        const figure own = measure(&(subject){.work = own_course, .with = &c, .units = 1.0});
        const figure both = measure(&(subject){.work = outlook, .with = &c, .units = 1.0});
        if (i == 0) {
            first_own = own.ratio;
            first_outlook = both.ratio;
        }
        printf("  %2d days %15.4g us %15.2f %15.4g us %15.2f\n", days[i], own.us, own.ratio / first_own, both.us,
               both.ratio / first_outlook);
        camp_free(&c);
    }
}

/* ------------------------------------------------------------------ many draws */

typedef struct many {
    camp camp;
    lw_weather_frame *frame;
    lw_arena arena;
    lw_ensemble_in in;
    lw_ensemble *ensemble;
    void *scratch;
    lw_draw_row row[8 * DRAWS];
    lw_draw_sums sums;
    uint32_t draws;
} many;

static double prepare_draws(void *with)
{
    many *m = with;
    lw_fault fault = {0};
    m->arena.used = 0;
    if (lw_ensemble_prepare(&m->in, &m->arena, &m->ensemble, &fault) != LW_OK)
        abort();
    return (double)m->arena.used;
}

/* A household in a cool spring under drawn weather: the climate's own, with its error at the place, and drawn use. */
static many *many_draws(int days)
{
    many *m = calloc(1, sizeof *m);
    lw_climate_site *site = calloc(1, sizeof *site);
    if (!m || !site || !(m->frame = calloc(1, sizeof *m->frame)))
        abort();
    lw_scenario *s = camp_new(days);
    lw_climate_site_make(&(lw_climate_place){s->place.latitude_deg, s->place.longitude_deg, s->place.elevation_m},
                         site);
    lw_weather_frame_make(&(lw_weather_frame_in){.site = site,
                                                 .start_s = s->calendar.start_s,
                                                 .hours = s->calendar.hours,
                                                 .linke_turbidity = s->place.linke_turbidity},
                          m->frame);
    free(site);
    m->camp = camp_prepare(s, 1);
    m->in = (lw_ensemble_in){.context = m->camp.context, .frame = m->frame, .with_place_error = 1, .seed = 1};
    for (int g = 0; g < LW_GROUP_COUNT; g++)
        m->in.spread.household[g] = m->in.spread.day[g] = 0.25;
    m->arena.cap = lw_ensemble_bytes(m->camp.context);
    m->arena.base = malloc(m->arena.cap);
    m->scratch = malloc(lw_ensemble_scratch_bytes(m->camp.context));
    if (!m->arena.base || !m->scratch)
        abort();
    (void)prepare_draws(m);
    m->draws = DRAWS;
    return m;
}

static void free_many(many *m)
{
    free(m->scratch);
    free(m->arena.base);
    free(m->frame);
    camp_free(&m->camp);
    free(m);
}

static double draws(void *with)
{
    many *m = with;
    double sum = 0.0;
    lw_ensemble_part(m->ensemble, 0, m->draws, m->scratch, m->row, &m->sums);
    for (uint32_t i = 0; i < m->draws; i++)
        for (int k = 0; k < LW_SUPPLY_COUNT; k++)
            sum += isinf(m->row[i].end_h[k]) ? 0.0 : (double)m->row[i].end_h[k];
    return sum;
}

static void report_draws(void)
{
    many *m = many_draws(DAYS);
    printf("\nmany draws of %d days, weather and use drawn, one core\n", DAYS);
    report((subject){.name = "prepare: light by the sky's clearness", .work = prepare_draws, .with = m});
    const figure f = report((subject){.name = "a draw", .work = draws, .with = m, .units = DRAWS});
    printf("  that is %.2f s for %d draws on %d cores\n", f.us * 1e-6 * MANY_DRAWS / CORES, MANY_DRAWS, CORES);
    const double fixed = (double)(m->arena.cap + sizeof *m->frame + m->camp.arena.cap + sizeof *m->camp.scenario);
    const double threads = CORES * (double)(lw_ensemble_scratch_bytes(m->camp.context) + sizeof(lw_draw_sums));
    const double rows = MANY_DRAWS * (double)(sizeof(lw_draw_row) + sizeof(float));
    printf("  memory of %d draws on %d cores, by sizes: %.1f MiB shared, %.1f MiB of threads, %.1f MiB of rows\n",
           MANY_DRAWS, CORES, fixed / 1048576.0, threads / 1048576.0, rows / 1048576.0);
    free_many(m);
}

static void report_draws_growth(void)
{
    static const int days[] = {15, 30, 60};
    static const uint32_t counts[] = {DRAWS / 2, DRAWS, 8 * DRAWS};
    double first = 0.0;
    printf("\ngrowth of draws     time of all   against the first, by draws or days\n");
    many *m = many_draws(DAYS);
    for (size_t i = 0; i < sizeof counts / sizeof counts[0]; i++) {
        m->draws = counts[i];
        const figure f = measure(&(subject){.work = draws, .with = m, .units = 1.0});
        first = i == 0 ? f.ratio : first;
        printf("  %3u draws %14.4g us %10.2f for %.0f times the draws\n", (unsigned)counts[i], f.us, f.ratio / first,
               (double)counts[i] / counts[0]);
    }
    free_many(m);
    for (size_t i = 0; i < sizeof days / sizeof days[0]; i++) {
        m = many_draws(days[i]);
        const figure f = measure(&(subject){.work = draws, .with = m, .units = 1.0});
        first = i == 0 ? f.ratio : first;
        printf("  %3d days  %14.4g us %10.2f for %.0f times the days\n", days[i], f.us, f.ratio / first,
               (double)days[i] / days[0]);
        free_many(m);
    }
}

/* ------------------------------------------------------------------ radio paths */

/* Paths of 20 km over hills that grow from nothing to 150 m: the first in sight, the last far beyond it. */
typedef struct paths {
    double d_km[PATH_POINTS], h_m[PATHS][PATH_POINTS];
    lw_profile profile[PATHS];
} paths;

static double diffractions(void *with)
{
    const paths *p = with;
    double sum = 0.0;
    for (int i = 0; i < PATHS; i++) {
        lw_diffraction out;
        lw_diffraction_of(
            &(lw_diffraction_in){.profile = &p->profile[i], .f_ghz = 0.7, .tx_m = 40.0, .rx_m = 3.0, .ap_km = 8495.0},
            &out);
        sum += out.loss_db[1];
    }
    return sum;
}

static double whole_paths(void *with)
{
    const paths *p = with;
    double sum = 0.0;
    for (int i = 0; i < PATHS; i++) {
        lw_radio out;
        lw_radio_of(&(lw_radio_in){.profile = &p->profile[i],
                                   .f_ghz = 0.7,
                                   .tx_m = 40.0,
                                   .rx_m = 3.0,
                                   .is_vertical = 1,
                                   .time_pct = 30.0,
                                   .place_pct = 50.0,
                                   .dn_nupkm = 45.0,
                                   .n0 = 320.0,
                                   .latitude_deg = 40.0,
                                   .coast_tx_km = 500.0,
                                   .coast_rx_km = 500.0},
                    &out);
        sum += out.loss_db;
    }
    return sum;
}

static void report_paths(void)
{
    paths *p = calloc(1, sizeof *p);
    if (!p)
        abort();
    for (int k = 0; k < PATH_POINTS; k++) {
        p->d_km[k] = 20.0 * k / (PATH_POINTS - 1);
        for (int i = 0; i < PATHS; i++)
            p->h_m[i][k] = 500.0 + 10.0 * i * sin(0.05 * k * (1.0 + 0.1 * i)) * sin(0.017 * k);
    }
    for (int i = 0; i < PATHS; i++)
        p->profile[i] = (lw_profile){.count = PATH_POINTS, .d_km = p->d_km, .h_m = p->h_m[i]};
    printf("\nradio paths of %d points, one core\n", PATH_POINTS);
    const figure some =
        report((subject){.name = "diffraction of a path", .work = diffractions, .with = p, .units = PATHS});
    const figure all =
        report((subject){.name = "whole loss of a path", .work = whole_paths, .with = p, .units = PATHS});
    printf("  that is %.0f and %.0f paths a second\n", 1e6 / some.us, 1e6 / all.us);
    free(p);
}

int main(void)
{
    double start = 0.5;
    printf("                                            time            to yardstick   checksum\n");
    report((subject){.name = "yardstick: 1000 exponentials", .work = exponentials, .with = &start});
    report_sky();
    printf("\n");
    report_engine();
    report_growth();
    report_draws();
    report_draws_growth();
    report_paths();
    return 0;
}
