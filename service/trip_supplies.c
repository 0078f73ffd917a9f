/* How long a full load lasts at a place from a date on, and households taken through a whole trip, from filling to filling. */
#include <math.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/trips.h"
#include "core/base/hash.h"
#include "exchange/spread.h"
#include "exchange/tables.h"
#include "service/pool.h"
#include "service/trip_internal.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/say.h"

static const uint32_t FORM = 2; /* grows with every change of what a row of the table holds */
enum { CHANGE_BYTES = 512, CHANGES = 3, STRETCH = 64, LOOK_LEAST_DAYS = 4 };
static const double LOOK_FURTHER =
    1.6; /* than a load lasts where the trip begins; a place where it lasts longer is looked at again */

static lw_code no_memory(lw_err *err)
{
    (void)lw_fail(err, LW_E_FULL, "no memory for a trip's supplies");
    return LW_E_FULL;
}

/* ---- the camp of a date, before it is put down at a place ---- */

static void say_stay(const lw_trip_file *file, const char *zone, int place, int64_t day, int nights,
                     char text[CHANGES][CHANGE_BYTES])
{
    const lw_trip_file_place *p = &file->place[place];
    char from[40], until[40], rule[96] = "";
    (void)lw_date_print(from, sizeof from, lw_date_of(day));
    (void)lw_date_print(until, sizeof until, lw_date_of(day + nights));
    if (p->rule[0])
        snprintf(rule, sizeof rule, ", stay_rule: %s", p->rule);
    snprintf(text[0], CHANGE_BYTES, "place={name: trip, latitude: %s, longitude: %s, elevation: %s m, zone: %s%s}",
             lw_num(p->spot.latitude_deg).text, lw_num(p->spot.longitude_deg).text, lw_num(p->elevation_m).text, zone,
             rule);
    snprintf(text[1], CHANGE_BYTES, "stay={arrive: %s 10:00, leave: %s 10:00}", from, until);
    snprintf(text[2], CHANGE_BYTES, "weather={}");
}

static lw_code load_at(const lw_trip_file *file, const char *zone, int place, int64_t day, int nights,
                       lw_code (*load)(const lw_scenario_from *, lw_loaded *, lw_err *), lw_loaded *to, lw_err *err)
{
    char text[CHANGES][CHANGE_BYTES];
    const char *const change[CHANGES] = {text[0], text[1], text[2]};
    say_stay(file, zone, place, day, nights, text);
    return load(&(lw_scenario_from){.path = lw_trip_camp_name(file),
                                    .bytes = file->camp_text,
                                    .size = strlen(file->camp_text),
                                    .change = change,
                                    .change_count = CHANGES},
                to, err);
}

lw_code lw_trip_land_at(const lw_trip_file *file, const char *zone, int place, lw_loaded *land, lw_err *err)
{
    return load_at(file, zone, place, file->from_day, 1, lw_scenario_land, land, err);
}

/* Levels of the file, or all that a service fills up and takes in. */
static lw_code load_base(const lw_trip_file *file, const char *zone, int64_t day, int nights, int is_full,
                         lw_loaded *base, lw_err *err)
{
    const lw_code code = load_at(file, zone, 0, day, nights, lw_scenario_load, base, err);
    if (code)
        return code;
    base->scenario->calendar.hours = 24 * nights;
    for (int v = 0; is_full && v < base->scenario->rig.vessel_count; v++) {
        lw_vessel *vessel = &base->scenario->rig.vessel[v];
        vessel->level = lw_supply_fills(vessel->supply) ? vessel->residue : vessel->capacity;
    }
    return LW_OK;
}

/* ---- put down at a place, ready to be drawn from ---- */

typedef struct bench {
    lw_scenario *scenario;
    lw_weather_frame *frame;
    lw_place_facts *facts;
    lw_arena memory, light;
    lw_loaded here;
    lw_context *context;
    lw_ensemble *ensemble;
    void *scratch;
    lw_draw_ends *ends;
} bench;

static void bench_close(bench *b)
{
    free(b->scenario);
    free(b->frame);
    free(b->facts);
    free(b->memory.base);
    free(b->light.base);
    free(b->scratch);
    free(b->ends);
    *b = (bench){.scenario = NULL};
}

static lw_code bench_open(const lw_loaded *base, bench *b, lw_err *err)
{
    *b = (bench){.scenario = malloc(sizeof *b->scenario),
                 .frame = malloc(sizeof *b->frame),
                 .facts = calloc(1, sizeof *b->facts),
                 .memory = {.cap = lw_prepare_bytes(base->scenario, 1)}};
    b->memory.base = malloc(b->memory.cap);
    if (b->scenario && b->frame && b->facts && b->memory.base)
        return LW_OK;
    bench_close(b);
    return no_memory(err);
}

typedef struct kind {
    uint64_t seed;
    lw_spread spread;
    const lw_draw_start *start;
    uint32_t start_count;
} kind;

static lw_code put_down(const lw_loaded *base, const lw_trip_file_place *place, const kind *with, bench *b, lw_err *err)
{
    lw_fault fault = {0};
    b->facts->spot = place->spot;
    b->facts->elevation_m = place->elevation_m;
    snprintf(b->facts->name, sizeof b->facts->name, "trip");
    if (!lw_loaded_put_down(base, b->facts, NULL, b->scenario, b->frame, &b->here)) {
        lw_fail(err, LW_E_RANGE, "its climate is not known");
        return lw_err_at(err, place->name, 0, NULL);
    }
    b->memory.used = 0;
    if (lw_scenario_check(b->scenario, &fault) || lw_prepare(b->scenario, 1, &b->memory, &b->context, &fault))
        return lw_fault_say(&fault, err);
    if (lw_ensemble_bytes(b->context) > b->light.cap) {
        free(b->light.base);
        b->light = (lw_arena){.cap = lw_ensemble_bytes(b->context)};
        b->light.base = malloc(b->light.cap);
        if (!b->light.base)
            return no_memory(err);
    }
    b->light.used = 0;
    const lw_ensemble_in in = {.context = b->context,
                               .frame = b->frame,
                               .with_place_error = 1,
                               .spread = with->spread,
                               .seed = with->seed,
                               .start = with->start,
                               .start_count = with->start_count};
    return lw_ensemble_prepare(&in, &b->light, &b->ensemble, &fault) ? lw_fault_say(&fault, err) : LW_OK;
}

/* The supply that ends first; -1: none. Days allowed are the stay rule's, data renew by themselves. */
static int first_end(const lw_draw_ends *ends)
{
    int first = -1;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (k != LW_SUPPLY_STAY && k != LW_SUPPLY_DATA && isfinite(ends->end_h[k]) &&
            (first < 0 || ends->end_h[k] < ends->end_h[first]))
            first = k;
    return first;
}

/* Of what a service fills up; the battery is another matter. */
static float load_end_h(const lw_draw_ends *ends)
{
    float first_h = INFINITY;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (k != LW_SUPPLY_STAY && k != LW_SUPPLY_DATA && k != LW_SUPPLY_BATTERY && isfinite(ends->end_h[k]))
            first_h = fminf(first_h, ends->end_h[k]);
    return first_h;
}

/* ---- how long a load lasts, by place and date ---- */

typedef struct maker {
    const lw_trip_ask *ask;
    lw_trip_tables *t;
    kind with;
    lw_loaded base[TRIP_SAMPLES];     /* full, of each date */
    lw_scenario *brief[TRIP_SAMPLES]; /* the same, looked at for fewer days */
    int brief_nights, at;             /* at: which of the sorted draws is counted on */
    bench bench[LW_POOL_THREADS];
    lw_err err[LW_POOL_THREADS];
    lw_code code[LW_POOL_THREADS];
    atomic_int done, is_stopped;
    lw_lasting kept; /* rows by place and date, and one of the load that the camp's file tells */
    uint64_t *key;
} maker;

static int by_size(const void *a, const void *b)
{
    const float x = *(const float *)a, y = *(const float *)b;
    return (x > y) - (x < y);
}

/* Sorted nights of the draws that a load lasts, those beyond the days looked at as these; behind them those of the battery, INFINITY
 * where it lasts beyond them: the sun sustains it. */
static lw_code lasting(const maker *m, const lw_loaded *base, int place, bench *b, float *nights, lw_err *err)
{
    const int draws = m->t->draws;
    const lw_code code = put_down(base, &m->t->file->place[place], &m->with, b, err);
    if (code)
        return code;
    const float most_h = (float)base->scenario->calendar.hours;
    lw_ensemble_leave(b->ensemble, 0, (uint32_t)draws, b->scratch, b->ends, NULL);
    for (int i = 0; i < draws; i++) {
        const float battery_h = b->ends[i].end_h[LW_SUPPLY_BATTERY];
        nights[i] = fminf(load_end_h(&b->ends[i]), most_h) / 24.0F;
        nights[draws + i] = battery_h < most_h ? battery_h / 24.0F : INFINITY; /* NaN: there is none */
    }
    qsort(nights, (size_t)draws, sizeof *nights, by_size);
    qsort(nights + draws, (size_t)draws, sizeof *nights, by_size);
    return LW_OK;
}

static void sample(void *with, int worker, int at)
{
    maker *m = with;
    const int place = at / m->t->samples, i = at % m->t->samples;
    float *nights = m->t->row + (size_t)at * lw_trip_row(m->t);
    lw_loaded brief = m->base[i];
    if (m->code[worker] || atomic_load(&m->is_stopped))
        return;
    if (worker == 0 && m->ask->progress &&
        !m->ask->progress(m->ask->with, atomic_load(&m->done), m->t->file->place_count * m->t->samples))
        atomic_store(&m->is_stopped, 1);
    atomic_fetch_add(&m->done, 1);
    if (m->kept.is_there[at])
        return;
    brief.scenario = m->brief[i];
    m->code[worker] = lasting(m, &brief, place, &m->bench[worker], nights, &m->err[worker]);
    if (!m->code[worker] && !(nights[m->at] < (float)m->brief_nights))
        m->code[worker] = lasting(m, &m->base[i], place, &m->bench[worker], nights, &m->err[worker]);
}

static lw_code load_dates(maker *m, lw_err *err)
{
    lw_code code = LW_OK;
    for (int i = 0; i < m->t->samples && !code; i++) {
        code = load_base(m->t->file, m->t->camp.zone.name, m->t->file->from_day + (int64_t)i * TRIP_EVERY_DAYS,
                         TRIP_LOOK_DAYS, 1, &m->base[i], err);
        m->brief[i] = code ? NULL : malloc(sizeof *m->brief[i]);
        if (!code && !m->brief[i])
            code = no_memory(err);
        if (!code)
            memcpy(m->brief[i], m->base[i].scenario, sizeof *m->brief[i]);
    }
    return code;
}

static lw_code open_benches(maker *m, int threads, lw_err *err)
{
    lw_code code = LW_OK;
    for (int i = 0; i < threads && !code; i++) {
        bench *b = &m->bench[i];
        code = bench_open(&m->base[0], b, err);
        if (code)
            break;
        code = put_down(&m->base[0], &m->t->file->place[0], &m->with, b, err);
        if (code)
            break;
        b->scratch = malloc(lw_ensemble_scratch_bytes(b->context));
        b->ends = calloc((size_t)m->t->draws, sizeof *b->ends);
        if (!b->scratch || !b->ends)
            code = no_memory(err);
    }
    return code;
}

/* The last row: from the levels of the camp's file, where the trip begins. */
static size_t start_row(const lw_trip_tables *t)
{
    return (size_t)t->file->place_count * (size_t)t->samples;
}

static lw_code fill_start(maker *m, lw_err *err)
{
    const lw_trip_tables *t = m->t;
    lw_loaded base = {.scenario = NULL};
    if (m->kept.is_there[start_row(t)])
        return LW_OK;
    lw_code code = load_base(t->file, t->camp.zone.name, t->file->from_day, TRIP_LOOK_DAYS, 0, &base, err);
    if (!code)
        code = lasting(m, &base, t->file->start, &m->bench[0], t->row + start_row(t) * lw_trip_row(t), err);
    lw_loaded_clear(&base);
    return code;
}

/* How much of a load is used up when the trip begins. */
static void find_start(const maker *m)
{
    lw_trip_tables *t = m->t;
    const size_t each = lw_trip_row(t), at = (size_t)m->at;
    const float full = t->row[(size_t)t->file->start * (size_t)t->samples * each + at];
    const float left = t->row[start_row(t) * each + at];
    if (m->ask->has_start)
        t->start_used = m->ask->start_used;
    else if (!t->file->place[t->file->start].has_everything && full > 0.0F)
        t->start_used = (int)lroundf(LW_TRIP_FULL * fminf(1.0F, fmaxf(0.0F, 1.0F - left / full)));
}

static lw_code fill_rows(maker *m, lw_err *err)
{
    lw_trip_tables *t = m->t;
    const int threads = lw_pool_threads(m->ask->threads);
    float *first = t->row + (size_t)t->file->start * (size_t)t->samples * lw_trip_row(t);
    lw_code code = open_benches(m, threads, err);
    code = code ? code : lasting(m, &m->base[0], t->file->start, &m->bench[0], first, err);
    if (code)
        return code;
    const double wished = ceil(LOOK_FURTHER * (double)first[m->at]) + 1.0;
    m->brief_nights = (int)fmin(TRIP_LOOK_DAYS, fmax(LOOK_LEAST_DAYS, wished));
    for (int i = 0; i < t->samples; i++)
        m->brief[i]->calendar.hours = 24 * m->brief_nights;
    lw_pool_run(threads, t->file->place_count * t->samples, sample, m);
    for (int i = 0; i < threads && !code; i++)
        if (m->code[i]) {
            *err = m->err[i];
            code = m->code[i];
        }
    if (!code && atomic_load(&m->is_stopped))
        code = lw_fail(err, LW_E_CONFLICT, "stopped while the trip's tables were made");
    return code ? code : fill_start(m, err);
}

/* ---- kept in the book ---- */

static void add(uint64_t *hash, const void *bytes, size_t n)
{
    *hash = lw_hash(*hash, bytes, n);
}

static void name_rows(maker *m)
{
    static const char VERSION[] = LW_VERSION;
    const lw_trip_tables *t = m->t;
    const uint64_t tables = lw_tables_hash();
    uint64_t form = lw_hash(LW_HASH_START, VERSION, sizeof VERSION), camp = LW_HASH_START;
    add(&form, &tables, sizeof tables);
    add(&form, &FORM, sizeof FORM);
    m->kept.form = (int64_t)form; /* the same 64 bits */
    add(&camp, t->file->camp_text, strlen(t->file->camp_text));
    add(&camp, t->camp.zone.name, strlen(t->camp.zone.name));
    add(&camp, &m->ask->seed, sizeof m->ask->seed);
    add(&camp, &m->at, sizeof m->at);
    for (size_t i = 0; i < m->kept.count; i++) {
        const int is_start = i == start_row(t);
        const int place = is_start ? t->file->start : (int)i / t->samples;
        const int64_t day = t->file->from_day + (is_start ? 0 : (int64_t)((int)i % t->samples) * TRIP_EVERY_DAYS);
        const lw_trip_file_place *p = &t->file->place[place];
        m->key[i] = camp;
        add(&m->key[i], &is_start, sizeof is_start);
        add(&m->key[i], &day, sizeof day);
        add(&m->key[i], &p->spot, sizeof p->spot);
        add(&m->key[i], &p->elevation_m, sizeof p->elevation_m);
    }
}

/* A book that cannot be asked, or takes no writes, costs time and nothing else. */
static int find_kept(maker *m)
{
    lw_err own = {0};
    int missing = 0;
    name_rows(m);
    if (m->ask->book && lw_book_lasting(m->ask->book, &m->kept, &own))
        memset(m->kept.is_there, 0, m->kept.count);
    for (size_t i = 0; i < m->kept.count; i++) {
        const int place = i == start_row(m->t) ? m->t->file->start : (int)i / m->t->samples;
        m->kept.is_there[i] |= (char)m->t->file->place[place].has_everything;
        missing += !m->kept.is_there[i];
    }
    return missing;
}

lw_code lw_trip_supplies(const lw_trip_ask *ask, lw_trip_tables *t, lw_err *err)
{
    const size_t rows = start_row(t) + 1;
    maker *m = calloc(1, sizeof *m);
    if (!m)
        return no_memory(err);
    m->ask = ask;
    m->t = t;
    m->with.seed = ask->seed;
    m->at = (int)((1.0 - t->file->supplies_frac) * t->draws);
    m->key = calloc(rows, sizeof *m->key);
    t->row = calloc(rows * lw_trip_row(t), sizeof *t->row);
    m->kept = (lw_lasting){
        .key = m->key, .count = rows, .each = lw_trip_row(t), .nights = t->row, .is_there = calloc(rows, 1)};
    lw_code code = m->key && t->row && m->kept.is_there ? LW_OK : no_memory(err);
    if (!code && find_kept(m)) {
        lw_err own = {0};
        code = lw_spread_load(&m->with.spread, err);
        code = code ? code : load_dates(m, err);
        code = code ? code : fill_rows(m, err);
        if (!code && ask->book && lw_book_keep_lasting(ask->book, &m->kept, &own))
            own = (lw_err){0}; /* they are made again the next time */
    }
    if (!code)
        find_start(m);
    for (int i = 0; i < LW_POOL_THREADS; i++)
        bench_close(&m->bench[i]);
    for (int i = 0; i < TRIP_SAMPLES; i++) {
        lw_loaded_clear(&m->base[i]);
        free(m->brief[i]);
    }
    free(m->kept.is_there);
    free(m->key);
    free(m);
    return code;
}

/* ---- households through a trip ---- */

typedef struct journey {
    const lw_trip_ask *ask;
    const lw_trip_file *file;
    const char *zone;
    kind with;
    int draws;
    uint32_t first;
    lw_draw_start *now, *next;
    signed char *is_short, *is_short_here; /* by draw: 1 + the supply; 0: none */
    lw_state full;
    lw_supply supply[LW_VESSELS]; /* of each vessel */
    bench bench;                  /* of the stretch of nights that is gone through */
    void *scratch[LW_POOL_THREADS];
    lw_draw_ends *ends[LW_POOL_THREADS];
    int threads;
} journey;

static void live_stretch(void *with, int worker, int at)
{
    journey *j = with;
    const int from = at * STRETCH, count = j->draws - from < STRETCH ? j->draws - from : STRETCH;
    lw_ensemble_leave(j->bench.ensemble, j->first + (uint32_t)from, (uint32_t)count, j->scratch[worker],
                      j->ends[worker], j->next + from);
    for (int i = 0; i < count; i++)
        if (!j->is_short_here[from + i])
            j->is_short_here[from + i] = (signed char)(1 + first_end(&j->ends[worker][i]));
}

/* All but what is not to be had there. */
static void fill_up(journey *j, uint32_t lacks)
{
    for (int i = 0; i < j->draws; i++) {
        lw_state *s = &j->now[i].state;
        for (int v = 0; v < LW_VESSELS; v++)
            if (!(lacks >> j->supply[v] & 1u))
                s->level[v] = j->full.level[v];
        if (!(lacks >> LW_SUPPLY_RUBBISH & 1u))
            s->rubbish_age_frac = 0.0;
    }
}

/* What a replanned trip knows of its levels is how much of a load is used. */
static void use_up(lw_loaded *base, int used)
{
    const double used_frac = (double)used / LW_TRIP_FULL;
    for (int v = 0; v < base->scenario->rig.vessel_count; v++) {
        lw_vessel *vessel = &base->scenario->rig.vessel[v];
        vessel->level += used_frac * ((lw_supply_fills(vessel->supply) ? vessel->capacity : 0.0) - vessel->level);
    }
}

/* Nights in a row at one place, without a filling but at their beginning. Without a start the households begin here. */
static lw_code live(journey *j, const lw_trip_file_place *place, int day, int nights, int is_full, lw_err *err)
{
    lw_loaded base = {.scenario = NULL};
    const int is_given = j->with.start_count == 0 && j->ask->has_start && !is_full;
    lw_code code = load_base(j->file, j->zone, j->file->from_day + day, nights, is_full || is_given, &base, err);
    if (!code && is_given)
        use_up(&base, j->ask->start_used);
    code = code ? code : bench_open(&base, &j->bench, err);
    code = code ? code : put_down(&base, place, &j->with, &j->bench, err);
    for (int i = 0; i < j->threads && !code; i++) {
        j->scratch[i] = malloc(lw_ensemble_scratch_bytes(j->bench.context));
        code = j->scratch[i] ? LW_OK : no_memory(err);
    }
    if (!code) {
        lw_pool_run(j->threads, (j->draws + STRETCH - 1) / STRETCH, live_stretch, j);
        lw_draw_start *lived = j->next;
        j->next = j->now, j->now = lived;
        j->with.start = j->now;
        j->with.start_count = (uint32_t)j->draws;
    }
    for (int i = 0; i < j->threads; i++) {
        free(j->scratch[i]);
        j->scratch[i] = NULL;
    }
    bench_close(&j->bench);
    lw_loaded_clear(&base);
    return code;
}

/* What a service leaves behind, and a place where all is at hand, its battery full too. */
static lw_code find_full(journey *j, lw_err *err)
{
    lw_loaded base = {.scenario = NULL};
    lw_code code = load_base(j->file, j->zone, j->file->from_day, 1, 1, &base, err);
    if (!code)
        base.scenario->rig.battery.level_frac = 1.0;
    code = code ? code : bench_open(&base, &j->bench, err);
    code = code ? code : put_down(&base, &j->file->place[0], &j->with, &j->bench, err);
    if (!code)
        lw_state_start(j->bench.context, &j->full);
    for (int v = 0; v < LW_VESSELS && !code; v++)
        j->supply[v] = v < base.scenario->rig.vessel_count ? base.scenario->rig.vessel[v].supply : LW_SUPPLY_COUNT;
    bench_close(&j->bench);
    lw_loaded_clear(&base);
    return code;
}

static int most_often(const signed char *is_short, int draws)
{
    int count[LW_SUPPLY_COUNT + 1] = {0}, most = 0;
    for (int i = 0; i < draws; i++)
        count[is_short[i]]++;
    for (int k = 1; k <= LW_SUPPLY_COUNT; k++)
        if (count[k] > (most ? count[most] : 0))
            most = k;
    return most - 1;
}

static lw_code live_stop(journey *j, lw_trip_stop *s, lw_err *err)
{
    const lw_trip_file_place *place = &j->file->place[s->place];
    const int is_begun = j->with.start_count > 0;
    lw_code code = LW_OK;
    memset(j->is_short_here, 0, (size_t)j->draws);
    for (int day = s->arrive, run = 0; day < s->leave && !code;) {
        const int until = run < s->runs && s->run_day[run] > day ? s->run_day[run] : s->leave;
        if (is_begun && s->is_served && day == s->arrive)
            fill_up(j, s->lacks);
        if (!is_begun || !place->has_everything)
            code = live(j, place, day, until - day, s->is_served, err);
        if (run < s->runs && s->run_day[run] == until)
            run++, fill_up(j, s->run_lacks);
        day = until;
    }
    for (int i = 0; i < j->draws && place->has_everything && !code; i++)
        j->now[i].state = j->full;
    int kept = 0;
    for (int i = 0; i < j->draws; i++) {
        if (place->has_everything)
            j->is_short_here[i] = 0;
        if (!j->is_short[i])
            j->is_short[i] = j->is_short_here[i];
        kept += !j->is_short_here[i];
    }
    s->short_supply = most_often(j->is_short_here, j->draws);
    s->holds_frac = code ? NAN : (double)kept / j->draws;
    return code;
}

lw_code lw_trip_live(const lw_trip_ask *ask, const lw_trip_file *file, const char *zone, int draws, uint32_t from,
                     lw_trip_made *plan, lw_err *err)
{
    journey j = {.ask = ask, .file = file, .zone = zone, .draws = draws, .with = {.seed = ask->seed}};
    const size_t n = (size_t)draws;
    j.first =
        (from + (uint32_t)draws - 1) / (uint32_t)draws * (uint32_t)draws; /* so that draw i goes on from start i */
    j.threads = lw_pool_threads(ask->threads);
    j.now = calloc(n, sizeof *j.now), j.next = calloc(n, sizeof *j.next);
    j.is_short = calloc(n, 1), j.is_short_here = calloc(n, 1);
    int has_room = j.now && j.next && j.is_short && j.is_short_here;
    for (int i = 0; i < j.threads; i++) {
        j.ends[i] = calloc(STRETCH, sizeof *j.ends[i]);
        has_room &= j.ends[i] != NULL;
    }
    lw_code code = has_room ? lw_spread_load(&j.with.spread, err) : no_memory(err);
    code = code ? code : find_full(&j, err);
    for (int i = 0; i < plan->stop_count && !code; i++) {
        code = live_stop(&j, &plan->stop[i], err);
        if (!code && ask->progress && !ask->progress(ask->with, i + 1, plan->stop_count))
            code = lw_fail(err, LW_E_CONFLICT, "stopped while the trip was measured");
    }
    int kept = 0;
    for (int i = 0; i < draws && !code; i++)
        kept += !j.is_short[i];
    plan->supplies_frac = code ? NAN : (double)kept / draws;
    plan->short_supply = code ? -1 : most_often(j.is_short, draws);
    for (int i = 0; i < j.threads; i++)
        free(j.ends[i]);
    free(j.now);
    free(j.next);
    free(j.is_short);
    free(j.is_short_here);
    return code;
}
