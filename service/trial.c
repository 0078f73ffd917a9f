#include "service/trial.h"

#include <stdlib.h>
#include <string.h>

#include "exchange/spread.h"
#include "service/pool.h"
#include "text/decimal.h"
#include "text/say.h"

static lw_code no_memory(lw_err *err)
{
    return lw_fail(err, LW_E_FULL, "no memory to try changes");
}

/* Nobody looks further than the planner does: the days behind cost time and tell nothing. */
static void shorten(const lw_trials *trials, lw_scenario *scenario)
{
    if (trials->most_hours > 0 && trials->most_hours < scenario->calendar.hours)
        scenario->calendar.hours = trials->most_hours;
}

static lw_code make_frame(lw_trials *t, lw_err *err)
{
    lw_fault fault = {0};
    if (!lw_loaded_draws(&t->base, &t->known))
        return LW_OK;
    if (lw_weather_frame_check(&t->known.in, &fault))
        return lw_fail(err, fault.code, "no weather can be drawn for this stay: %s is %s", fault.field,
                       lw_num(fault.value).text);
    t->frame = malloc(sizeof *t->frame);
    if (!t->frame)
        return no_memory(err);
    lw_weather_frame_make(&t->known.in, t->frame);
    return LW_OK;
}

lw_code lw_trials_open(lw_trials *trials, lw_err *err)
{
    lw_draw_start *start = NULL;
    uint32_t start_count = 0;
    lw_code code = lw_spread_load(&trials->spread, err);
    code = code ? code : trials->load(trials->with, NULL, 0, &trials->base, &start, &start_count, err);
    free(start);
    if (!code) {
        trials->with_place_error = trials->base.weather_is_climate;
        shorten(trials, trials->base.scenario);
        code = make_frame(trials, err);
    }
    if (code)
        lw_trials_close(trials);
    return code;
}

void lw_trials_close(lw_trials *trials)
{
    lw_loaded_clear(&trials->base);
    free(trials->frame);
    trials->frame = NULL;
}

static lw_code prepare(const lw_trials *t, lw_trial *trial, lw_err *err)
{
    lw_fault fault = {0};
    lw_scenario *s = trial->loaded.scenario;
    shorten(t, s);
    if (lw_scenario_check(s, &fault))
        return lw_fault_say(&fault, err);
    trial->memory.cap = lw_prepare_bytes(s, 1);
    trial->memory.base = malloc(trial->memory.cap);
    if (!trial->memory.base)
        return no_memory(err);
    if (lw_prepare(s, 1, &trial->memory, &trial->context, &fault))
        return lw_fault_say(&fault, err);
    for (uint32_t i = 0; t->begins_anew && i < trial->start_count; i++)
        lw_state_start(trial->context, &trial->start[i].state);
    trial->horizon_h = (double)lw_context_steps(trial->context);
    trial->light.cap = lw_ensemble_bytes(trial->context);
    trial->light.base = malloc(trial->light.cap);
    if (!trial->light.base)
        return no_memory(err);
    const lw_ensemble_in in = {.context = trial->context,
                               .frame = t->frame,
                               .with_place_error = t->with_place_error,
                               .spread = t->spread,
                               .seed = t->seed,
                               .start = trial->start,
                               .start_count = trial->start_count,
                               .joint_until_s = s->calendar.start_s + 3600}; /* the joint course is not looked at */
    return lw_ensemble_prepare(&in, &trial->light, &trial->ensemble, &fault) ? lw_fault_say(&fault, err) : LW_OK;
}

lw_code lw_trial_make(const lw_trials *trials, const char *const *change, int change_count, lw_trial *trial,
                      lw_err *err)
{
    *trial = (lw_trial){.context = NULL};
    lw_code code =
        trials->load(trials->with, change, change_count, &trial->loaded, &trial->start, &trial->start_count, err);
    code = code ? code : prepare(trials, trial, err);
    if (code)
        lw_trial_clear(trial);
    return code;
}

static void renew(uint32_t supplies, lw_trial *trial)
{
    lw_rig *rig = &trial->loaded.scenario->rig;
    for (int v = 0; v < rig->vessel_count; v++) {
        lw_vessel *vessel = &rig->vessel[v];
        if (!(supplies >> vessel->supply & 1u))
            continue;
        vessel->level = lw_supply_fills(vessel->supply) ? vessel->residue : vessel->capacity;
        for (uint32_t i = 0; i < trial->start_count; i++)
            trial->start[i].state.level[v] = vessel->level;
    }
}

static lw_code add_transfers(const lw_trial_more *more, lw_scenario *s, lw_err *err)
{
    if (s->transfer_count + more->transfer_count > LW_TRANSFERS_PLANNED)
        return lw_fail(err, LW_E_FULL, "more than %d fills and dumps; plan a shorter time", LW_TRANSFERS_PLANNED);
    for (int i = 0; i < more->transfer_count; i++) {
        int at = s->transfer_count++;
        for (; at > 0 && s->transfer[at - 1].at_s > more->transfer[i].at_s; at--)
            s->transfer[at] = s->transfer[at - 1];
        s->transfer[at] = more->transfer[i];
    }
    return LW_OK;
}

lw_code lw_trial_make_with(const lw_trials *trials, const lw_trial_more *more, lw_trial *trial, lw_err *err)
{
    *trial = (lw_trial){.context = NULL};
    lw_code code = trials->load(trials->with, NULL, 0, &trial->loaded, &trial->start, &trial->start_count, err);
    if (!code) {
        renew(more->renewed, trial);
        code = add_transfers(more, trial->loaded.scenario, err);
    }
    code = code ? code : prepare(trials, trial, err);
    if (code)
        lw_trial_clear(trial);
    return code;
}

void lw_trial_clear(lw_trial *trial)
{
    lw_loaded_clear(&trial->loaded);
    free(trial->memory.base);
    free(trial->light.base);
    free(trial->start);
    *trial = (lw_trial){.context = NULL};
}

void lw_trial_plain(const lw_trial *trial, lw_outlook *outlook)
{
    lw_outlook_make(trial->context, outlook, NULL, NULL);
}

lw_code lw_bench_open(const lw_trial *trial, lw_bench *bench, lw_err *err)
{
    *bench = (lw_bench){.scratch = malloc(lw_ensemble_scratch_bytes(trial->context))};
    return bench->scratch ? LW_OK : no_memory(err);
}

void lw_bench_close(lw_bench *bench)
{
    free(bench->scratch);
    *bench = (lw_bench){.scratch = NULL};
}

void lw_trial_rows(const lw_trial *trial, lw_bench *bench, uint32_t first, uint32_t count, lw_trial_row *row)
{
    lw_draw_ends ends[LW_TRIAL_STRETCH];
    for (uint32_t at = 0; at < count; at += LW_TRIAL_STRETCH) {
        const uint32_t n = count - at < LW_TRIAL_STRETCH ? count - at : LW_TRIAL_STRETCH;
        lw_ensemble_alone(trial->ensemble, LW_DRAWN_BOTH, first + at, n, bench->scratch, ends);
        for (uint32_t i = 0; i < n; i++)
            memcpy(row[at + i].end_h, ends[i].end_h, sizeof row->end_h);
    }
}

typedef struct stretches {
    const lw_trial *trial;
    lw_bench *bench;
    uint32_t first, count;
    lw_trial_row *row;
    lw_flows *flows;
} stretches;

static void draw_stretch(void *with, int worker, int at)
{
    const stretches *s = with;
    const uint32_t from = (uint32_t)at * LW_TRIAL_STRETCH;
    const uint32_t n = s->count - from < LW_TRIAL_STRETCH ? s->count - from : LW_TRIAL_STRETCH;
    lw_trial_rows(s->trial, &s->bench[worker], s->first + from, n, s->row + from);
}

void lw_trial_rows_spread(const lw_trial *trial, lw_bench *bench, int threads, uint32_t first, uint32_t count,
                          lw_trial_row *row)
{
    stretches s = {.trial = trial, .bench = bench, .first = first, .count = count, .row = row};
    lw_pool_run(threads, (int)((count + LW_TRIAL_STRETCH - 1) / LW_TRIAL_STRETCH), draw_stretch, &s);
}

void lw_trial_flows(const lw_trial *trial, lw_bench *bench, uint32_t first, uint32_t count, lw_flows *flows,
                    lw_trial_row *row)
{
    lw_draw_ends ends[LW_TRIAL_STRETCH];
    for (uint32_t at = 0; at < count; at += LW_TRIAL_STRETCH) {
        const uint32_t n = count - at < LW_TRIAL_STRETCH ? count - at : LW_TRIAL_STRETCH;
        lw_ensemble_flows(trial->ensemble, first + at, n, bench->scratch, flows + at, ends);
        for (uint32_t i = 0; i < n; i++)
            memcpy(row[at + i].end_h, ends[i].end_h, sizeof row->end_h);
    }
}

static void flows_of_stretch(void *with, int worker, int at)
{
    const stretches *s = with;
    const uint32_t from = (uint32_t)at * LW_TRIAL_STRETCH;
    const uint32_t n = s->count - from < LW_TRIAL_STRETCH ? s->count - from : LW_TRIAL_STRETCH;
    lw_trial_row unused[LW_TRIAL_STRETCH];
    lw_trial_flows(s->trial, &s->bench[worker], s->first + from, n, s->flows + from, unused);
}

void lw_trial_flows_spread(const lw_trial *trial, lw_bench *bench, int threads, uint32_t first, uint32_t count,
                           lw_flows *flows)
{
    stretches s = {.trial = trial, .bench = bench, .first = first, .count = count, .flows = flows};
    lw_pool_run(threads, (int)((count + LW_TRIAL_STRETCH - 1) / LW_TRIAL_STRETCH), flows_of_stretch, &s);
}
