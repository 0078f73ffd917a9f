#include "service/draws.h"

#include <pthread.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "exchange/spread.h"
#include "text/decimal.h"
#include "text/say.h"

enum {
    STRETCH = 16,     /* draws a worker takes at a time */
    ALONE_MOST = 192, /* draws of weather alone and of use alone, for what makes the spread */
    ALONE_LEAST = 16, /* fewer tell nothing */
    DRAWS_PER_ALONE = 5,
};

typedef struct pool {
    const lw_ensemble *ensemble;
    lw_draw_row *row;
    uint32_t draws;
    lw_draw_ends *ends; /* weather alone, then use alone */
    uint32_t alone;     /* of each, a multiple of a stretch; 0: not looked at */
    atomic_uint next, done;
    atomic_int is_stopped;
} pool;

typedef struct worker {
    pool *pool;
    void *scratch;
    lw_draw_sums *sums;
    pthread_t thread;
    int is_started;
} worker;

/* Behind the draws those of weather and of use alone. */
static int work_alone(worker *w, uint32_t at)
{
    pool *p = w->pool;
    if (at >= LW_DRAWN_COUNT * p->alone)
        return 0;
    lw_ensemble_alone(p->ensemble, (lw_drawn)(at / p->alone), at % p->alone, STRETCH, w->scratch, p->ends + at);
    return 1;
}

/* One stretch of draws; 0 when there are no more. */
static int work_on(worker *w)
{
    pool *p = w->pool;
    const uint32_t first = atomic_fetch_add(&p->next, STRETCH);
    if (atomic_load(&p->is_stopped))
        return 0;
    if (first >= p->draws)
        return work_alone(w, (first - p->draws) / STRETCH * STRETCH);
    const uint32_t left = p->draws - first, count = left < STRETCH ? left : STRETCH;
    lw_ensemble_part(p->ensemble, first, count, w->scratch, p->row + first, w->sums);
    atomic_fetch_add(&p->done, count);
    return 1;
}

static void *work(void *with)
{
    while (work_on(with))
        continue;
    return NULL;
}

static int thread_count(const lw_draws_wish *wish)
{
    const long cores = sysconf(_SC_NPROCESSORS_ONLN);
    int threads = wish->threads > 0 ? wish->threads : cores > 0 ? (int)cores : 1;
    const int most = (wish->draws + STRETCH - 1) / STRETCH;
    threads = threads < most ? threads : most;
    return threads < LW_DRAW_THREADS ? threads : LW_DRAW_THREADS;
}

static int is_ready(const worker *w)
{
    return w->scratch && w->sums;
}

/* The calling thread works too and tells how far it is; threads that cannot be had are done without. */
static void run_pool(pool *p, worker *workers, int count, const lw_draws_wish *wish)
{
    for (int i = 1; i < count; i++)
        workers[i].is_started =
            is_ready(&workers[i]) && pthread_create(&workers[i].thread, NULL, work, &workers[i]) == 0;
    while (work_on(&workers[0]))
        if (wish->progress && !wish->progress(wish->with, (int)atomic_load(&p->done), wish->draws))
            atomic_store(&p->is_stopped, 1);
    for (int i = 1; i < count; i++)
        if (workers[i].is_started)
            (void)pthread_join(workers[i].thread, NULL);
}

static void add_sums(lw_draw_sums *to, const lw_draw_sums *more)
{
    to->draws += more->draws;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        for (int m = 0; m < LW_MARKS; m++)
            for (int b = 0; b < LW_LEVEL_BINS; b++)
                to->level[k][m][b] += more->level[k][m][b];
}

static void finish(const pool *p, const lw_draw_sums *sums, float *memory, lw_outlook *outlook)
{
    lw_ensemble_finish(p->ensemble, p->row, p->draws, sums, memory, outlook);
    if (p->alone > 0)
        lw_ensemble_shares(p->ensemble, p->ends, p->ends + p->alone, p->alone, memory, outlook);
}

static uint32_t alone_of(int draws)
{
    const int count = draws / DRAWS_PER_ALONE / STRETCH * STRETCH;
    return (uint32_t)(count < ALONE_LEAST ? 0 : count < ALONE_MOST ? count : ALONE_MOST);
}

static lw_code draw_all(const lw_ensemble *ensemble, const lw_context *context, const lw_draws_wish *wish,
                        lw_outlook *outlook, lw_err *err)
{
    const int count = thread_count(wish);
    pool p = {
        .ensemble = ensemble, .draws = (uint32_t)wish->draws, .alone = wish->ends_only ? 0 : alone_of(wish->draws)};
    worker workers[LW_DRAW_THREADS] = {{.pool = &p}};
    float *memory = calloc((size_t)wish->draws, sizeof *memory);
    p.row = calloc((size_t)wish->draws, sizeof *p.row);
    p.ends = calloc((size_t)p.alone * LW_DRAWN_COUNT + 1, sizeof *p.ends);
    for (int i = 0; i < count; i++)
        workers[i] = (worker){.pool = &p,
                              .scratch = malloc(lw_ensemble_scratch_bytes(context)),
                              .sums = calloc(1, sizeof *workers[i].sums)};
    lw_code code = LW_OK;
    if (!memory || !p.row || !p.ends || !is_ready(&workers[0]))
        code = lw_fail(err, LW_E_FULL, "no memory for %d draws", wish->draws);
    if (!code) {
        run_pool(&p, workers, count, wish);
        for (int i = 1; i < count; i++)
            if (is_ready(&workers[i]))
                add_sums(workers[0].sums, workers[i].sums);
        if (atomic_load(&p.is_stopped))
            code = lw_fail(err, LW_E_CONFLICT, "stopped after %u of %d draws", atomic_load(&p.done), wish->draws);
        else
            finish(&p, workers[0].sums, memory, outlook);
    }
    for (int i = 0; i < count; i++) {
        free(workers[i].scratch);
        free(workers[i].sums);
    }
    free(p.row);
    free(p.ends);
    free(memory);
    return code;
}

/* What the joint courses of draws would say, as the plain course has it: they were not run. */
static void keep_plain(const lw_outlook *plain, lw_outlook *outlook)
{
    memcpy(outlook->vital, plain->vital, sizeof outlook->vital);
    for (int i = 0; i < outlook->vital_count; i++)
        outlook->vital_p01[i] = plain->vital[i].q[0];
    memcpy(outlook->happens_frac, plain->happens_frac, sizeof outlook->happens_frac);
    memcpy(outlook->inside_low_c, plain->inside_low_c, sizeof outlook->inside_low_c);
    memcpy(outlook->inside_high_c, plain->inside_high_c, sizeof outlook->inside_high_c);
    memcpy(outlook->too_cold_frac, plain->too_cold_frac, sizeof outlook->too_cold_frac);
    memcpy(outlook->too_hot_frac, plain->too_hot_frac, sizeof outlook->too_hot_frac);
}

static lw_code draw_ends(const lw_ensemble *ensemble, const lw_context *context, const lw_draws_wish *wish,
                         lw_outlook *outlook, lw_err *err)
{
    lw_outlook *plain = malloc(sizeof *plain);
    if (!plain)
        return lw_fail(err, LW_E_FULL, "no memory for %d draws", wish->draws);
    *plain = *outlook;
    const lw_code code = draw_all(ensemble, context, wish, outlook, err);
    if (!code)
        keep_plain(plain, outlook);
    free(plain);
    return code;
}

lw_code lw_draws_run(const lw_context *context, const lw_loaded *loaded, const lw_draws_wish *wish, lw_outlook *outlook,
                     lw_err *err)
{
    if (wish->draws < 1 || wish->draws > LW_DRAWS_MOST)
        return lw_fail(err, LW_E_RANGE, "%d draws; give 1 to %d", wish->draws, LW_DRAWS_MOST);
    lw_ensemble_in in = {.context = context,
                         .with_place_error = loaded->weather_is_climate,
                         .seed = wish->seed,
                         .start = wish->start,
                         .start_count = wish->start_count,
                         .joint_until_s = wish->ends_only ? outlook->start_s + 1 : outlook->joint_until_s};
    lw_draw_known known;
    lw_fault fault = {0};
    lw_arena arena = {.cap = lw_ensemble_bytes(context)};
    lw_weather_frame *frame = malloc(sizeof *frame);
    arena.base = malloc(arena.cap);
    lw_code code =
        frame && arena.base ? lw_spread_load(&in.spread, err) : lw_fail(err, LW_E_FULL, "no memory for draws");
    if (!code && lw_loaded_draws(loaded, &known)) {
        if (lw_weather_frame_check(&known.in, &fault))
            code = lw_fail(err, fault.code, "no weather can be drawn for this stay: %s is %s", fault.field,
                           lw_num(fault.value).text);
        else
            lw_weather_frame_make(&known.in, frame), in.frame = frame;
    }
    lw_ensemble *ensemble = NULL;
    if (!code && lw_ensemble_prepare(&in, &arena, &ensemble, &fault))
        code = lw_fail_typed(err, fault.code, "leave out --step or --draws", "draws are made in steps of an hour");
    if (!code)
        code = (wish->ends_only ? draw_ends : draw_all)(ensemble, context, wish, outlook, err);
    free(arena.base);
    free(frame);
    return code;
}
