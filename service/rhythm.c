#include "service/rhythm.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/errand_row.h"
#include "service/levers_internal.h"
#include "service/pool.h"
#include "service/renewals.h"
#include "service/rhythm_internal.h"
#include "service/words_internal.h"
#include "text/moment.h"
#include "text/say.h"

enum { CHANGES = 24, CHANGE_BYTES = 96, BEATS = 24, MASKS = 1 << 8, CHOOSING = 1000 };

/* Steps of the aim: the share of draws in which each supply lasts to its next turn; then only a part of what it lasts in the worst of
 * them is taken, as many turns in a row ask for more than one. */
static const struct {
    double frac, part;
} AIM[] = {{0.5, 1.0},   {0.6, 1.0},   {0.7, 1.0},   {0.75, 1.0},   {0.8, 1.0},  {0.85, 1.0},
           {0.9, 1.0},   {0.93, 1.0},  {0.95, 1.0},  {0.97, 1.0},   {0.98, 1.0}, {0.99, 1.0},
           {0.995, 1.0}, {0.995, 0.9}, {0.995, 0.8}, {0.995, 0.65}, {0.995, 0.5}};
enum { AIMS = sizeof AIM / sizeof AIM[0] };

/* Draws that choose the aim; those whose share is told are others. */
enum { TOLD = LW_TRIAL_FRESH, SOUGHT = LW_TRIAL_FRESH * 2, FURTHER = LW_TRIAL_FRESH * 3 };

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
    errand best[LW_ERRAND_TYPES][MASKS]; /* by each way alone */
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
                                                .now_s = m->wish->now_s,
                                                .is_long = count == 0},
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
    if (m->has_generator) {
        change(m, "stay.generator", "[]");
        change(m, "rig.generator.automatic", "yes");
    }
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

/* A month that is drawn from. */
typedef struct drawn {
    lw_trials trials;
    lw_trial_row *row, *fresh; /* from full with no run; with the rhythm */
    lw_transfer *transfer;
    int64_t from_s;
    double capacity[LW_SUPPLY_COUNT];
    lw_rhythm_month bare; /* what is known before there is a rhythm */
} drawn;

static lw_code draw(const drawn *d, const lw_trial_more *more, int threads, uint32_t first, int draws,
                    lw_trial_row *row, lw_rhythm_month *use_of, lw_err *err)
{
    lw_trial trial = {.context = NULL};
    lw_bench bench[LW_POOL_THREADS] = {{.scratch = NULL}};
    lw_code code = lw_trial_make_with(&d->trials, more, &trial, err);
    for (int i = 0; i < threads && !code; i++)
        code = lw_bench_open(&trial, &bench[i], err);
    if (!code) {
        lw_trial_rows_spread(&trial, bench, threads, first, (uint32_t)draws, row);
        if (use_of)
            keep_use(&trial, use_of);
    }
    for (int i = 0; i < threads; i++)
        lw_bench_close(&bench[i]);
    lw_trial_clear(&trial);
    return code;
}

static void give_back(drawn *d)
{
    lw_trials_close(&d->trials);
    free(d->row);
    free(d->fresh);
    free(d->transfer);
}

static lw_code draw_month(maker *m, const lw_scenario *base, int64_t from_s, drawn *d, lw_err *err)
{
    const lw_trial_more none = {.renewed = 0};
    const int fresh = m->to->fresh_draws > CHOOSING ? m->to->fresh_draws : CHOOSING;
    lw_rhythm_month *month = &d->bare;
    d->from_s = from_s;
    d->trials = (lw_trials){.load = load,
                            .with = m,
                            .seed = m->wish->seed,
                            .threads = m->wish->threads,
                            .most_hours = LW_RHYTHM_LOOK_DAYS * 24};
    begin_at(m, base, from_s);
    const lw_code opened = lw_trials_open(&d->trials, err);
    if (opened)
        return opened;
    d->row = calloc((size_t)m->to->draws, sizeof *d->row);
    d->fresh = calloc((size_t)fresh, sizeof *d->fresh);
    d->transfer = calloc(LW_TRANSFERS_PLANNED, sizeof *d->transfer);
    if (!d->row || !d->fresh || !d->transfer)
        return lw_fail(err, LW_E_FULL, "no memory for a rhythm");
    const lw_code code = draw(d, &none, lw_pool_threads(m->wish->threads), 0, m->to->draws, d->row, month, err);
    int is_short = 0;
    for (int i = 0; i < m->to->draws && !code; i++)
        is_short += d->row[i].end_h[LW_SUPPLY_BATTERY] < 24.0f * (float)month->days;
    month->battery_short_frac = (double)is_short / m->to->draws;
    d->trials.most_hours = 24 * month->days; /* so far the rhythm is held against draws */
    return code;
}

/* ------------------------------------------------------------------ runs */

static uint32_t supplies_of(int mask)
{
    uint32_t supplies = 0;
    for (int i = 0; i < SERVED_COUNT; i++)
        supplies |= mask >> i & 1 ? UINT32_C(1) << SERVED[i] : 0u;
    return supplies;
}

static int is_in_season(const lw_errand_service *s, int64_t day)
{
    return (!s->from_day || day >= s->from_day) && (!s->until_day || day <= s->until_day) &&
           !(s->closed_from && day >= s->closed_from && day <= s->closed_until);
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

/* due: bit per lw_supply. */
static void try_run(maker *m, const lw_errand_type *type, int type_at, uint32_t services, uint32_t due, errand *to)
{
    double road_h = 0.0, road_km = 0.0;
    uint32_t had = 0;
    errand e = {.type = type_at,
                .trouble_usd = type->trouble_usd + lw_errand_lost_usd(m->errands, type, m->to->hour_usd),
                .hours = type->ready_h};
    for (int j = 0; j < m->errands->service_count; j++)
        if (services >> j & 1u) {
            const lw_errand_service *s = &m->errands->service[j];
            road_h = fmax(road_h, s->road_h);
            road_km = fmax(road_km, s->road_km);
            e.hours += s->time_h + type->pour_h;
            e.fees_usd += lw_errand_fee_usd(s, due & ~had); /* of several that give it the first is paid for */
            had |= s->supplies;
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
    for (int r = 0; r < LW_ERRAND_TYPES; r++)
        for (int mask = 0; mask < MASKS; mask++)
            m->best[r][mask].type = -1;
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
                try_run(m, &m->errands->type[r], r, set, supplies_of(mask), &m->best[r][mask]);
        }
    }
}

/* Of some ways, bit per way, the cheapest for what is due; NULL: none serves it. */
static const errand *best_of(const maker *m, uint32_t ways, int mask)
{
    const errand *best = NULL;
    for (int r = 0; r < LW_ERRAND_TYPES; r++) {
        const errand *e = &m->best[r][mask];
        if ((ways >> r & 1u) && e->type >= 0 && (!best || e->usd < best->usd))
            best = e;
    }
    return best;
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
static int mean_run(const maker *m, uint32_t ways, const int *each, errand *mean, int *type_runs)
{
    *mean = (errand){.type = 0};
    for (int beat = 1; beat <= BEATS; beat++) {
        const int mask = mask_of_beat(each, beat);
        const errand *e = best_of(m, ways, mask);
        if (mask == 0)
            continue;
        if (!e)
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

/* Days that each supply lasts by that of these ways that brings or takes least of it, in the aimed share of draws. */
static void lasts_by_way(const maker *m, const drawn *d, double aim, double part, uint32_t ways, double *lasts)
{
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        double share = 1.0;
        for (int r = 0; m->errands && r < m->errands->type_count; r++) {
            if (!(ways >> r & 1u))
                continue;
            const double own = carries(&m->errands->type[r], (lw_supply)k, d->capacity[k]);
            share = own > 0.0 ? fmin(share, own) : share;
        }
        lasts[k] = fmin(part * lw_rows_sure_days(d->row, m->to->draws, k, aim), LW_RHYTHM_LOOK_DAYS) * share;
    }
}

/* How long all lasts by these ways, and what ends first. */
static int begin_pace(const maker *m, const drawn *d, uint32_t ways, lw_rhythm_month *month, double *lasts)
{
    double least = INFINITY;
    lasts_by_way(m, d, month->aimed_frac, month->aimed_part, ways, lasts);
    month->ways = ways;
    month->short_supply = -1;
    for (int i = 0; i < SERVED_COUNT; i++)
        if (month->is_served[SERVED[i]] && lasts[SERVED[i]] < least) {
            least = lasts[SERVED[i]];
            month->shortest = SERVED[i];
        }
    memcpy(month->lasts_days, lasts, sizeof month->lasts_days);
    const int most = isinf(least) ? 0 : (int)fmin(floor(least + 1e-9), 31.0);
    if (!isinf(least) && most < 1)
        month->short_supply = (int)month->shortest;
    return most;
}

/* The cheapest pace that these ways keep up. */
static void pace_by(const maker *m, const drawn *d, uint32_t ways, lw_rhythm_month *month)
{
    double lasts[LW_SUPPLY_COUNT];
    int each[LW_SUPPLY_COUNT];
    const int most = begin_pace(m, d, ways, month, lasts);
    for (int every = most; every >= 1; every--) {
        errand mean;
        int type_runs[LW_ERRAND_TYPES] = {0};
        if (!set_each(month, lasts, every, each) || !mean_run(m, ways, each, &mean, type_runs))
            continue;
        if (month->every_days == 0 || mean.usd * month->days / every < month->usd - 1e-9)
            take_run(month, &mean, each, type_runs, every);
    }
    for (int i = 0; month->every_days == 0 && i < SERVED_COUNT && month->short_supply < 0; i++)
        if (month->is_served[SERVED[i]] && !best_of(m, ways, 1 << i))
            month->short_supply = (int)SERVED[i];
}

/* By the ways that keep it up for least: what one of them carries little of would set the pace of all. With none that does, all ways
 * tell why not. */
static void find_pace(const maker *m, const drawn *d, double aim, double part, lw_rhythm_month *month)
{
    lw_rhythm_month bare = d->bare;
    bare.aimed_frac = aim;
    bare.aimed_part = part;
    *month = bare;
    if (!m->errands) {
        const errand none = {.type = 0};
        double lasts[LW_SUPPLY_COUNT];
        int each[LW_SUPPLY_COUNT], no_types[LW_ERRAND_TYPES] = {0};
        const int most = begin_pace(m, d, 0, month, lasts);
        if (most > 0 && set_each(month, lasts, most, each))
            take_run(month, &none, each, no_types, most);
        return;
    }
    const uint32_t all = (UINT32_C(1) << m->errands->type_count) - 1u;
    pace_by(m, d, all, month);
    for (uint32_t ways = 1; ways < all; ways++) {
        lw_rhythm_month tried = bare;
        pace_by(m, d, ways, &tried);
        if (tried.every_days > 0 && (month->every_days == 0 || tried.usd < month->usd - 1e-9))
            *month = tried;
    }
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

static int keeps_on(const lw_rhythm_month *month)
{
    return month->every_days > 0 || month->short_supply < 0;
}

/* The fills and dumps of a month of this rhythm. */
static int put_rhythm(const maker *m, const drawn *d, const lw_rhythm_month *month, lw_transfer *to)
{
    int count = 0;
    for (int beat = 1; month->every_days > 0 && beat * month->every_days < month->days; beat++) {
        const int mask = mask_of_beat(month->each, beat);
        lw_renewal renewal = {
            .at_s = d->from_s + (int64_t)(beat * month->every_days * DAY_S), .cans_l = NAN, .waste_l = NAN};
        const errand *best = m->errands && mask ? best_of(m, month->ways, mask) : NULL;
        const lw_errand_type *type = best ? &m->errands->type[best->type] : NULL;
        if (type && !type->is_break_camp) {
            renewal.cans_l = type->cans_l;
            renewal.waste_l = type->waste_l;
        }
        renewal.supplies = supplies_of(mask);
        count +=
            lw_renewal_transfers(&d->trials.base.scenario->rig, &renewal, to + count, LW_TRANSFERS_PLANNED - count);
    }
    return count;
}

/* The share of draws in which nothing that runs serve ends in the month, all together. */
static lw_code measure(const maker *m, const drawn *d, const lw_rhythm_month *month, uint32_t first, int draws,
                       double *frac, lw_err *err)
{
    const lw_trial_more more = {.transfer = d->transfer, .transfer_count = put_rhythm(m, d, month, d->transfer)};
    const lw_code code = draw(d, &more, lw_pool_threads(m->wish->threads), first, draws, d->fresh, NULL, err);
    int lasting = 0;
    for (int i = 0; i < draws && !code; i++) {
        int lasts = 1;
        for (int k = 0; k < LW_SUPPLY_COUNT && lasts; k++)
            lasts = !month->is_served[k] || d->fresh[i].end_h[k] >= 24.0f * (float)month->days;
        lasting += lasts;
    }
    *frac = (double)lasting / draws;
    return code;
}

/* The lowest aim that some draws do not refute; *top: the highest at which there is a rhythm, -1: none. */
static lw_code first_aim(const maker *m, const drawn *d, int *from, int *top, lw_err *err)
{
    int low = 0, high = AIMS;
    lw_code code = LW_OK;
    *top = AIMS - 1;
    while (low < high && !code) {
        const int middle = (low + high) / 2;
        lw_rhythm_month tried;
        double frac = 0.0;
        find_pace(m, d, AIM[middle].frac, AIM[middle].part, &tried);
        if (!keeps_on(&tried)) {
            *top = middle - 1 < *top ? middle - 1 : *top;
            high = middle;
            continue;
        }
        code = measure(m, d, &tried, SOUGHT, CHOOSING < m->to->fresh_draws ? CHOOSING : m->to->fresh_draws, &frac, err);
        if (frac >= m->wish->confidence_frac)
            high = middle;
        else
            low = middle + 1;
    }
    *from = low < *top ? low : *top;
    return code;
}

/* From there on all draws decide. Where no aim is enough the surest is told; where there is no rhythm at all, why not. */
static lw_code find_month(const maker *m, const drawn *d, lw_rhythm_month *month, lw_err *err)
{
    int aim = 0, top = -1;
    double best = -1.0;
    lw_code code = first_aim(m, d, &aim, &top, err);
    if (top < 0) {
        find_pace(m, d, m->wish->confidence_frac, 1.0, month);
        return code;
    }
    for (; aim <= top && !code && !month->is_reached; aim++) {
        lw_rhythm_month tried;
        find_pace(m, d, AIM[aim].frac, AIM[aim].part, &tried);
        code = measure(m, d, &tried, TOLD, m->to->fresh_draws, &tried.fresh_frac, err);
        tried.is_reached = tried.fresh_frac >= m->wish->confidence_frac;
        if (!code && tried.fresh_frac > best) {
            best = tried.fresh_frac;
            *month = tried;
        }
    }
    return code;
}

/* The chance of the month's rhythm on still more draws. */
static lw_code measure_further(const maker *m, const drawn *d, lw_rhythm_month *month, lw_err *err)
{
    double lasting = 0.0, frac = 0.0;
    lw_code code = LW_OK;
    for (int done = 0, n; done < m->wish->further && !code; done += n) {
        n = m->wish->further - done < m->to->fresh_draws ? m->wish->further - done : m->to->fresh_draws;
        code = measure(m, d, month, FURTHER + (uint32_t)done, n, &frac, err);
        lasting += frac * n;
    }
    month->further_frac = lasting / m->wish->further;
    return code;
}

static lw_code make_month(maker *m, const lw_loaded *base, int64_t from_s, int days, lw_err *err)
{
    lw_long_stay *to = m->to;
    lw_rhythm_month *month = &to->month[to->month_count];
    const lw_clock clock = lw_clock_at(&to->zone, from_s);
    drawn d = {.bare = {.year = clock.date.year, .month = clock.date.month, .days = days, .fresh_frac = NAN}};
    lw_code code = draw_month(m, base->scenario, from_s, &d, err);
    capacities(base->scenario, d.capacity);
    for (int i = 0; i < SERVED_COUNT; i++)
        d.bare.is_served[SERVED[i]] = d.capacity[SERVED[i]] > 0.0 && d.bare.use_per_day[SERVED[i]] > 1e-9;
    if (m->errands)
        fill_best(m, clock.day + days / 2, d.capacity);
    *month = d.bare;
    code = code ? code : find_month(m, &d, month, err);
    month->further_frac = NAN;
    if (!code && m->wish->further > 0 && !isnan(month->fresh_frac))
        code = measure_further(m, &d, month, err);
    give_back(&d);
    if (code)
        return code;
    to->month_count++;
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
        if (!code && m->wish->progress)
            m->wish->progress(m->wish->with, (int)((end_s - to->start_s) / 3600),
                              (int)((to->until_s - to->start_s) / 3600));
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
        return lw_fail_typed(err, LW_E_MISSING, "such as --days 180", "how long is the stay? Say its days");
    if (to->days < 1 || to->days > LW_RHYTHM_DAYS)
        return lw_fail(err, LW_E_RANGE, "%d days; a rhythm is of 1 to %d", to->days, LW_RHYTHM_DAYS);
    to->until_s = to->start_s + (int64_t)(to->days * DAY_S);
    return LW_OK;
}

static lw_code prices(maker *m, lw_err *err)
{
    lw_code code = lw_price("propane", &m->propane_usd, err);
    code = code ? code : lw_price("fuel", &m->fuel_usd, err);
    return code || !isnan(m->to->hour_usd) ? code : lw_price("hour", &m->to->hour_usd, err);
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
                             .fresh_draws = wish->fresh ? wish->fresh : LW_RHYTHM_FRESH,
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
        lw_rhythm_say(&base, errands, wish->choice.is_page, rhythm);
    lw_loaded_clear(&base);
    free(m);
    return code;
}
