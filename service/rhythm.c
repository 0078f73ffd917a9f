#include "service/rhythm.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/levers_internal.h"
#include "service/pool.h"
#include "service/rhythm_internal.h"
#include "service/words_internal.h"
#include "text/moment.h"
#include "text/say.h"

enum { CHANGES = 24, CHANGE_BYTES = 96, BEATS = 24, MASKS = 1 << 8 };

static const double DAY_S = 86400.0, MONTH_DAYS = 30.4375;

/* Errands serve these; a bit of a mask each, in this order. */
static const lw_supply SERVED[] = {LW_SUPPLY_FRESH, LW_SUPPLY_DRINKING, LW_SUPPLY_GREY,    LW_SUPPLY_BLACK,
                                   LW_SUPPLY_FUEL,  LW_SUPPLY_PROPANE,  LW_SUPPLY_RUBBISH, LW_SUPPLY_FOOD};
enum { SERVED_COUNT = sizeof SERVED / sizeof SERVED[0] };

/* The cheapest run for what is due. */
typedef struct errand {
    double usd, fees_usd, road_usd, time_usd, trouble_usd, hours, km;
    int type; /* -1: none serves it */
} errand;

typedef struct maker {
    const lw_rhythm_wish *wish;
    const lw_errands *errands;
    lw_long_stay *to;
    int has_climate, has_generator;
    double propane_usd, fuel_usd;
    errand best[MASKS];
    char change[CHANGES][CHANGE_BYTES];
    const char *change_at[CHANGES];
    int change_count;
} maker;

/* ------------------------------------------------------------------ loading */

static lw_code load(void *with, const char *const *change, int change_count, lw_loaded *loaded, lw_draw_start **start,
                    uint32_t *start_count, lw_err *err)
{
    const maker *m = with;
    const char *all[2 * CHANGES];
    int count = 0;
    *start = NULL;
    *start_count = 0;
    for (int i = 0; i < m->change_count; i++)
        all[count++] = m->change_at[i];
    for (int i = 0; i < change_count && count < 2 * CHANGES; i++)
        all[count++] = change[i];
    return lw_scenario_load(&(lw_scenario_from){.path = m->wish->path,
                                                .bytes = m->wish->bytes,
                                                .size = m->wish->size,
                                                .change = all,
                                                .change_count = count,
                                                .now_s = m->wish->now_s},
                            loaded, err);
}

static void change(maker *m, const char *key, const char *value)
{
    snprintf(m->change[m->change_count], CHANGE_BYTES, "%s=%s", key, value);
    m->change_at[m->change_count] = m->change[m->change_count];
    m->change_count++;
}

static void change_moment(maker *m, const char *key, int64_t at_s)
{
    char date[40], value[64];
    const lw_clock clock = lw_clock_at(&m->to->zone, at_s);
    lw_date_print(date, sizeof date, clock.date);
    snprintf(value, sizeof value, "%s %02d:00", date, clock.hour);
    change(m, key, value);
}

/* The stay from a moment on, as long as a month looks ahead, with everything as after a service. */
static void begin_at(maker *m, const lw_scenario *base, int64_t from_s)
{
    uint32_t present = 0;
    m->change_count = 0;
    for (int v = 0; v < base->rig.vessel_count; v++)
        present |= UINT32_C(1) << base->rig.vessel[v].supply;
    change_moment(m, "stay.arrive", from_s);
    change_moment(m, "stay.leave", from_s + (int64_t)(LW_RHYTHM_LOOK_DAYS * DAY_S));
    change(m, "stay.events", "[]");
    if (m->has_climate)
        change(m, "weather", "climate");
    if (m->has_generator)
        change(m, "rig.generator.automatic", "yes");
    for (int i = 0; i < SERVED_COUNT; i++)
        if (present >> SERVED[i] & 1u) {
            char key[48];
            snprintf(key, sizeof key, "stay.levels.%s", lw_supply_word(SERVED[i]));
            change(m, key, lw_supply_fills(SERVED[i]) ? "empty" : "full");
        }
}

/* ------------------------------------------------------------------ a month */

static void keep_use(const lw_trial *trial, lw_rhythm_month *month)
{
    lw_outlook *plain = calloc(1, sizeof *plain);
    if (!plain)
        return;
    lw_trial_plain(trial, plain);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        month->use_per_day[k] = plain->leeway[k].is_present ? plain->leeway[k].use_per_day : 0.0;
    month->generator_h = plain->own.of[LW_FLOW_GENERATOR_HOURS] / (trial->horizon_h / 24.0);
    free(plain);
}

static lw_code draw_month(maker *m, const lw_scenario *base, int64_t from_s, lw_rhythm_month *month, lw_err *err)
{
    lw_trials trials = {.load = load,
                        .with = m,
                        .seed = m->wish->seed,
                        .threads = m->wish->threads,
                        .most_hours = LW_RHYTHM_LOOK_DAYS * 24};
    const int threads = lw_pool_threads(m->wish->threads);
    lw_trial trial = {.context = NULL};
    lw_bench bench[LW_POOL_THREADS] = {{.scratch = NULL}};
    begin_at(m, base, from_s);
    lw_trial_row *row = calloc((size_t)m->to->draws + 1, sizeof *row);
    if (!row)
        return lw_fail(err, LW_E_FULL, "no memory for a rhythm");
    lw_code code = lw_trials_open(&trials, err);
    if (code) {
        free(row);
        return code;
    }
    code = lw_trial_make(&trials, NULL, 0, &trial, err);
    for (int i = 0; i < threads && !code; i++)
        code = lw_bench_open(&trial, &bench[i], err);
    if (!code) {
        lw_trial_rows_spread(&trial, bench, threads, 0, (uint32_t)m->to->draws, row);
        int is_short = 0;
        for (int i = 0; i < m->to->draws; i++)
            is_short += row[i].end_h[LW_SUPPLY_BATTERY] < 24.0f * (float)month->days;
        month->battery_short_frac = (double)is_short / m->to->draws;
        for (int k = 0; k < LW_SUPPLY_COUNT; k++)
            month->lasts_days[k] = lw_rows_sure_days(row, m->to->draws, k, m->wish->confidence_frac);
        keep_use(&trial, month);
    }
    for (int i = 0; i < threads; i++)
        lw_bench_close(&bench[i]);
    lw_trial_clear(&trial);
    lw_trials_close(&trials);
    free(row);
    return code;
}

/* ------------------------------------------------------------------ runs */

static int is_in_season(const lw_errand_service *s, int64_t day)
{
    return (!s->from_day || day >= s->from_day) && (!s->until_day || day <= s->until_day);
}

/* Share of a full service that a way brings or takes; 0: none. */
static double carries(const lw_errand_type *t, lw_supply supply, double capacity)
{
    if (t->is_break_camp)
        return 1.0;
    if (supply == LW_SUPPLY_BLACK)
        return 0.0;
    const double amount = supply == LW_SUPPLY_FRESH ? t->cans_l : supply == LW_SUPPLY_GREY ? t->waste_l : INFINITY;
    return isnan(amount) || !(capacity > 0.0) ? 0.0 : fmin(amount / capacity, 1.0);
}

static void try_run(maker *m, const lw_errand_type *type, int type_at, uint32_t services, errand *to)
{
    double road_h = 0.0, road_km = 0.0;
    errand e = {.type = type_at, .trouble_usd = type->trouble_usd, .hours = type->ready_h};
    for (int j = 0; j < m->errands->service_count; j++)
        if (services >> j & 1u) {
            const lw_errand_service *s = &m->errands->service[j];
            road_h = fmax(road_h, s->road_h);
            road_km = fmax(road_km, s->road_km);
            e.hours += s->time_h + type->pour_h;
            e.fees_usd += s->fee_usd;
        }
    e.hours += 2.0 * road_h;
    e.km = 2.0 * road_km;
    e.road_usd = e.km * type->km_usd;
    e.time_usd = e.hours * m->to->hour_usd;
    e.usd = e.trouble_usd + e.fees_usd + e.road_usd + e.time_usd;
    if (to->type < 0 || e.usd < to->usd)
        *to = e;
}

/* For every set of due supplies its cheapest run, with the services that are open to us in that month. */
static void fill_best(maker *m, int64_t day, const double *capacity)
{
    const int services = m->errands->service_count;
    for (int mask = 0; mask < MASKS; mask++)
        m->best[mask].type = -1;
    for (uint32_t set = 1; set < 1u << services; set++) {
        uint32_t gives = 0;
        int is_open = 1;
        for (int j = 0; j < services; j++)
            if (set >> j & 1u) {
                const lw_errand_service *s = &m->errands->service[j];
                gives |= s->supplies;
                is_open &= s->users != LW_ERRAND_UNKNOWN && is_in_season(s, day);
            }
        for (int r = 0; is_open && r < m->errands->type_count; r++) {
            int served = 0;
            for (int i = 0; i < SERVED_COUNT; i++)
                if (gives >> SERVED[i] & 1u && carries(&m->errands->type[r], SERVED[i], capacity[SERVED[i]]) > 0.0)
                    served |= 1 << i;
            for (int mask = served; mask > 0; mask = (mask - 1) & served)
                try_run(m, &m->errands->type[r], r, set, &m->best[mask]);
        }
    }
}

/* What is due with the i-th run. */
static int mask_of_beat(const int *each, int beat)
{
    int mask = 0;
    for (int i = 0; i < SERVED_COUNT; i++)
        if (each[SERVED[i]] > 0 && beat % each[SERVED[i]] == 0)
            mask |= 1 << i;
    return mask;
}

/* The mean of a run over the beats, or 0: some of them serve what no way does. */
static int mean_run(const maker *m, const int *each, errand *mean, int *type_runs)
{
    *mean = (errand){.type = 0};
    for (int beat = 1; beat <= BEATS; beat++) {
        const int mask = mask_of_beat(each, beat);
        const errand *e = &m->best[mask];
        if (mask == 0)
            continue;
        if (e->type < 0)
            return 0;
        mean->usd += e->usd / BEATS;
        mean->fees_usd += e->fees_usd / BEATS;
        mean->road_usd += e->road_usd / BEATS;
        mean->time_usd += e->time_usd / BEATS;
        mean->trouble_usd += e->trouble_usd / BEATS;
        mean->hours += e->hours / BEATS;
        mean->km += e->km / BEATS;
        type_runs[e->type]++;
    }
    return 1;
}

/* With each so-manieth run, BEATS at most; 0: some supply does not last to the next. */
static int set_each(const lw_rhythm_month *month, const double *lasts, int every, int *each)
{
    for (int i = 0; i < SERVED_COUNT; i++) {
        const lw_supply k = SERVED[i];
        each[k] = 0;
        if (!month->is_served[k])
            continue;
        each[k] = (int)fmin(floor(lasts[k] / every + 1e-9), BEATS);
        if (each[k] < 1)
            return 0;
    }
    return 1;
}

static void take_run(lw_rhythm_month *month, const errand *mean, const int *each, const int *type_runs, int every)
{
    const double runs = (double)month->days / every;
    memcpy(month->each, each, sizeof month->each);
    month->every_days = every;
    month->runs = runs;
    month->hours = mean->hours * runs;
    month->km = mean->km * runs;
    month->fees_usd = mean->fees_usd * runs;
    month->road_usd = mean->road_usd * runs;
    month->time_usd = mean->time_usd * runs;
    month->trouble_usd = mean->trouble_usd * runs;
    month->usd = mean->usd * runs;
    month->type_count = 0;
    for (int r = 0; r < LW_ERRAND_TYPES; r++)
        if (type_runs[r] > 0) {
            month->type[month->type_count] = r;
            month->type_runs[month->type_count++] = type_runs[r];
        }
}

/* Days that each supply lasts by the way that brings or takes least of it. */
static void lasts_by_way(const maker *m, const lw_rhythm_month *month, const double *capacity, double *lasts)
{
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        double share = 1.0;
        for (int r = 0; m->errands && r < m->errands->type_count; r++) {
            const double own = carries(&m->errands->type[r], (lw_supply)k, capacity[k]);
            share = own > 0.0 ? fmin(share, own) : share;
        }
        lasts[k] = fmin(month->lasts_days[k], LW_RHYTHM_LOOK_DAYS) * share;
    }
}

static void find_pace(const maker *m, lw_rhythm_month *month, const double *capacity)
{
    double lasts[LW_SUPPLY_COUNT], least = INFINITY;
    lasts_by_way(m, month, capacity, lasts);
    month->short_supply = -1;
    for (int i = 0; i < SERVED_COUNT; i++)
        if (month->is_served[SERVED[i]] && lasts[SERVED[i]] < least) {
            least = lasts[SERVED[i]];
            month->shortest = SERVED[i];
        }
    memcpy(month->lasts_days, lasts, sizeof lasts);
    const int most = isinf(least) ? 0 : (int)fmin(floor(least + 1e-9), 31.0);
    if (!isinf(least) && most < 1)
        month->short_supply = (int)month->shortest;
    errand none = {.type = 0};
    int each[LW_SUPPLY_COUNT], no_types[LW_ERRAND_TYPES] = {0};
    if (!m->errands) {
        if (most > 0 && set_each(month, lasts, most, each))
            take_run(month, &none, each, no_types, most);
        return;
    }
    for (int every = most; every >= 1; every--) {
        errand mean;
        int type_runs[LW_ERRAND_TYPES] = {0};
        if (!set_each(month, lasts, every, each) || !mean_run(m, each, &mean, type_runs))
            continue;
        if (month->every_days == 0 || mean.usd * month->days / every < month->usd - 1e-9)
            take_run(month, &mean, each, type_runs, every);
    }
    for (int i = 0; month->every_days == 0 && i < SERVED_COUNT && month->short_supply < 0; i++)
        if (month->is_served[SERVED[i]] && m->best[1 << i].type < 0)
            month->short_supply = (int)SERVED[i];
}

/* ------------------------------------------------------------------ all months */

static void capacities(const lw_scenario *s, double *capacity)
{
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        capacity[k] = 0.0;
    for (int v = 0; v < s->rig.vessel_count; v++)
        if (s->rig.vessel[v].filter_life_l <= 0.0)
            capacity[s->rig.vessel[v].supply] += s->rig.vessel[v].capacity;
}

static lw_code make_month(maker *m, const lw_loaded *base, int64_t from_s, int days, lw_err *err)
{
    lw_long_stay *to = m->to;
    lw_rhythm_month *month = &to->month[to->month_count];
    double capacity[LW_SUPPLY_COUNT];
    const lw_clock clock = lw_clock_at(&to->zone, from_s);
    *month = (lw_rhythm_month){.year = clock.date.year, .month = clock.date.month, .days = days};
    const lw_code code = draw_month(m, base->scenario, from_s, month, err);
    if (code)
        return code;
    to->month_count++;
    capacities(base->scenario, capacity);
    for (int i = 0; i < SERVED_COUNT; i++)
        month->is_served[SERVED[i]] = capacity[SERVED[i]] > 0.0 && month->use_per_day[SERVED[i]] > 1e-9;
    if (m->errands)
        fill_best(m, clock.day + days / 2, capacity);
    find_pace(m, month, capacity);
    month->propane_usd = month->use_per_day[LW_SUPPLY_PROPANE] * days * m->propane_usd;
    month->fuel_usd = month->use_per_day[LW_SUPPLY_FUEL] * days * m->fuel_usd;
    month->usd += month->propane_usd + month->fuel_usd;
    to->runs += month->runs;
    to->usd += month->usd;
    return LW_OK;
}

static lw_code make_months(maker *m, const lw_loaded *base, lw_err *err)
{
    lw_long_stay *to = m->to;
    int64_t at_s = to->start_s;
    lw_code code = LW_OK;
    while (!code && at_s < to->until_s && to->month_count <= LW_RHYTHM_MONTHS) {
        const lw_clock clock = lw_clock_at(&to->zone, at_s);
        const lw_date next = {clock.date.month == 12 ? clock.date.year + 1 : clock.date.year,
                              clock.date.month == 12 ? 1 : clock.date.month + 1, 1};
        int64_t end_s = lw_utc_of(&to->zone, lw_day_of(next), 12 * 3600);
        end_s = end_s < to->until_s ? end_s : to->until_s;
        const int days = (int)floor((double)(end_s - at_s) / DAY_S + 0.5);
        if (days > 0)
            code = make_month(m, base, at_s, days, err);
        at_s = end_s;
    }
    to->usd_per_month = to->usd / to->days * MONTH_DAYS;
    return code;
}

static lw_code set_span(maker *m, const lw_loaded *base, lw_err *err)
{
    lw_long_stay *to = m->to;
    const lw_stay *stay = &base->scenario->stay;
    to->zone = base->zone;
    to->start_s = base->scenario->calendar.start_s;
    to->days = m->wish->days;
    if (!to->days && stay->departure_s)
        to->days = (int)floor((double)(stay->departure_s - to->start_s) / DAY_S + 0.5);
    if (!to->days)
        return lw_fail(err, LW_E_MISSING, "how long is the stay? Say it with --days, such as --days 180");
    if (to->days < 1 || to->days > LW_RHYTHM_DAYS)
        return lw_fail(err, LW_E_RANGE, "%d days; a rhythm is of 1 to %d", to->days, LW_RHYTHM_DAYS);
    to->until_s = to->start_s + (int64_t)(to->days * DAY_S);
    return LW_OK;
}

static lw_code prices(maker *m, lw_err *err)
{
    lw_code code = lw_levers_price("propane", &m->propane_usd, err);
    code = code ? code : lw_levers_price("fuel", &m->fuel_usd, err);
    return code || !isnan(m->to->hour_usd) ? code : lw_levers_price("hour", &m->to->hour_usd, err);
}

lw_code lw_rhythm_make(const lw_rhythm_wish *wish, const lw_errands *errands, lw_long_stay *rhythm, lw_err *err)
{
    lw_loaded base = {0};
    lw_draw_start *start;
    uint32_t start_count;
    maker *m = calloc(1, sizeof *m);
    if (!m)
        return lw_fail(err, LW_E_FULL, "no memory for a rhythm");
    *rhythm = (lw_long_stay){.wish = *wish,
                             .draws = wish->draws ? wish->draws : LW_RHYTHM_DRAWS_USUAL,
                             .has_errands = errands != NULL,
                             .confidence_frac = wish->confidence_frac,
                             .hour_usd = wish->hour_usd};
    m->wish = wish;
    m->errands = errands;
    m->to = rhythm;
    lw_code code = load(m, NULL, 0, &base, &start, &start_count, err);
    code = code ? code : prices(m, err);
    code = code ? code : set_span(m, &base, err);
    if (!code) {
        snprintf(rhythm->file, sizeof rhythm->file, "%s", base.file);
        rhythm->is_climate = m->has_climate = base.has_climate;
        m->has_generator = base.scenario->rig.generator.is_present;
        code = make_months(m, &base, err);
    }
    if (!code)
        lw_rhythm_say(&base, errands, rhythm);
    lw_loaded_clear(&base);
    free(m);
    return code;
}
