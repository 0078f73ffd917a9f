/* What was learned, later: each draw lives on to now. */
#include <math.h>
#include <string.h>

#include "core/base/num.h"
#include "core/base/random.h"
#include "core/learn/learn_internal.h"

/* Streams of core/base/random.h; the index is the civil day, or the transfer. */
enum { STREAM_DAY = 0x4c450005, STREAM_DAY_MORE = 0x4c450006, STREAM_BESIDE = 0x4c450007 };

static lw_past_in past_of(const lw_learn_in *in)
{
    lw_past_in past = {.context = in->past, .at_s = &in->now_s, .at_count = 1};
    lw_learn_inexact(in, past.is_inexact);
    return past;
}

size_t lw_learn_go_on_bytes(const lw_learn_in *in)
{
    const lw_past_in past = past_of(in);
    return lw_learn_padded(lw_past_bytes(&past)) + lw_learn_padded(sizeof(lw_model)) +
           lw_learn_padded(sizeof(lw_past_draw)) + lw_learn_padded(lw_past_scratch_bytes(in->past)) +
           2 * lw_learn_padded(in->draws * sizeof(double)) + 256;
}

static double normal_of(const lw_random_key *key, uint32_t stream, uint32_t more, int64_t index, int group)
{
    const lw_random_words w = lw_random_block(key, group < 4 ? stream : more, index);
    return lw_random_normal(lw_random_unit(w.word[group % 4]));
}

/* Of the days from that of from_s on; HEAT has none of its own. */
static void set_days(const lw_model *m, const lw_random_key *key, int from, const double household[LW_GROUP_COUNT],
                     const float day[LW_GROUP_COUNT], lw_past_draw *draw)
{
    memcpy(draw->factor[from], day, sizeof draw->factor[from]);
    for (int d = from + 1; d < m->days; d++)
        for (int g = 0; g < LW_GROUP_COUNT; g++) {
            const double sd = g == LW_GROUP_HEAT ? 0.0 : m->in->spread.day[g];
            const double z = normal_of(key, STREAM_DAY, STREAM_DAY_MORE, m->scenario->calendar.civil_day[0] + d, g);
            draw->factor[d][g] = (float)(household[g] * exp(sd * z - 0.5 * sd * sd));
        }
}

static void set_besides(const lw_model *m, const lw_random_key *key, lw_past_draw *draw)
{
    for (int t = 0; t < m->scenario->transfer_count; t++) {
        const double z = normal_of(key, STREAM_BESIDE, STREAM_BESIDE, t, 0);
        draw->beside[t] = lw_learn_beside(m->scenario->transfer[t].kind, m->in->transfer_sd[t], z);
    }
}

/* The engine knows a vessel as stated: what fills is shifted there, so that the room left is that of this draw, and back. */
static void shift_room(const lw_model *m, const float capacity_frac[LW_VESSELS], double sign, lw_state *state)
{
    for (int v = 0; v < m->scenario->rig.vessel_count; v++) {
        const lw_vessel *t = &m->scenario->rig.vessel[v];
        if (lw_supply_fills(t->supply))
            state->level[v] += sign * t->capacity * ((double)capacity_frac[v] - 1.0);
    }
}

static void live_on(const lw_model *m, int64_t from_s, void *scratch, lw_past_draw *draw, lw_learned *out)
{
    const int from = lw_learn_day(m->scenario, from_s);
    lw_past_begin(m->past, scratch);
    lw_past_plain(m->past, draw);
    for (uint32_t i = 0; i < out->draws; i++) {
        const lw_random_key key = {.seed = m->in->seed, .draw = i};
        set_days(m, &key, from, out->draw[i].household, out->day[i], draw);
        set_besides(m, &key, draw);
        shift_room(m, out->capacity[i], -1.0, &out->draw[i].state);
        lw_past_go_on(m->past, draw, from_s, scratch, &out->draw[i].state);
        shift_room(m, out->capacity[i], 1.0, &out->draw[i].state);
        memcpy(out->day[i], draw->factor[m->days - 1], sizeof out->day[i]);
    }
}

lw_code lw_learn_go_on(const lw_learn_in *in, int64_t from_s, lw_arena *arena, lw_learned *learned, lw_fault *fault)
{
    const lw_scenario *s = lw_context_scenario(in->past);
    lw_code bad = lw_learn_check(in, fault);
    bad = bad ? bad : lw_want_range(fault, "from_s", (double)from_s, (double)s->calendar.start_s, (double)in->now_s);
    if (bad)
        return bad;
    const size_t kept = arena->used;
    const lw_past_in past_in = past_of(in);
    lw_past *past;
    lw_work w = {0};
    w.model = lw_learn_lend(arena, sizeof *w.model, &w);
    w.a = lw_learn_lend(arena, learned->draws * sizeof *w.a, &w);
    w.b = lw_learn_lend(arena, learned->draws * sizeof *w.b, &w);
    lw_past_draw *draw = lw_learn_lend(arena, sizeof *draw, &w);
    void *scratch = lw_learn_lend(arena, lw_past_scratch_bytes(in->past), &w);
    if (w.is_full) {
        *fault = (lw_fault){.code = LW_E_FULL,
                            .field = "arena_bytes",
                            .value = (double)arena->cap,
                            .low = (double)lw_learn_go_on_bytes(in),
                            .high = INFINITY};
        return LW_E_FULL;
    }
    bad = lw_past_prepare(&past_in, arena, &past, fault);
    if (bad)
        return bad;
    memset(w.model, 0, sizeof *w.model);
    w.model->in = in;
    w.model->scenario = s;
    w.model->past = past;
    w.model->days = lw_learn_day(s, in->now_s) + 1;
    for (int v = 0; v < s->rig.vessel_count; v++)
        for (int g = 0; g < LW_GROUP_COUNT; g++)
            w.model->use[v][g] = lw_past_use(past, v, g);
    live_on(w.model, from_s, scratch, draw, learned);
    lw_tell_levels(&w, learned);
    lw_tell_help(&w, learned);
    arena->used = kept;
    return LW_OK;
}
