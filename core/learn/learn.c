#include "core/learn/learn.h"

#include <math.h>
#include <string.h>

#include "core/base/num.h"
#include "core/base/random.h"
#include "core/learn/learn_internal.h"

static const double WIDTH_LEAST = 0.02;
enum { ASKING_DRAWS = 200, DAY_S = 86400 };

/* ------------------------------------------------------------------ checks and memory */

static lw_code check_reading(const lw_learn_in *in, int i, double before_s, lw_fault *fault)
{
    const lw_scenario *s = lw_context_scenario(in->past);
    const lw_reading *r = &in->reading[i];
    const double from_s = (double)s->calendar.start_s, now_s = (double)in->now_s;
    const lw_code bad = lw_want_range(fault, "reading at_s", (double)r->at_s, lw_most(before_s, from_s), now_s);
    if (bad)
        return bad;
    const lw_code vessel = lw_want_range(fault, "reading vessel", r->vessel, LW_READ_BATTERY, s->rig.vessel_count - 1);
    if (vessel)
        return vessel;
    for (int v = 0; r->also >> v; v++)
        if (r->also >> v & 1u) {
            const int fits = r->vessel >= 0 && v < s->rig.vessel_count && v != r->vessel &&
                             s->rig.vessel[v].supply == s->rig.vessel[r->vessel].supply;
            const lw_code other = lw_want_range(fault, "reading also", fits, 1.0, 1.0);
            if (other)
                return other;
        }
    const lw_code high = lw_want_range(fault, "reading high", r->high, r->low, INFINITY);
    if (high)
        return high;
    return lw_want_range(fault, "reading lie_frac", r->lie_frac, 1e-4, 0.5);
}

lw_code lw_learn_check(const lw_learn_in *in, lw_fault *fault)
{
    const lw_scenario *s = lw_context_scenario(in->past);
    const lw_calendar *k = &s->calendar;
    const lw_want want[] = {
        {"draws", in->draws, 2.0, LW_LEARN_DRAWS},
        {"reading_count", in->reading_count, 0.0, LW_LEARN_READINGS},
        {"now_s", (double)in->now_s, (double)k->start_s, (double)k->start_s + 3600.0 * k->hours},
        {"battery_sd_frac", in->battery_sd_frac, 0.0, 10.0},
    };
    const lw_code bad = lw_want_all(fault, LW_WANTS(want));
    if (bad)
        return bad;
    for (int g = 0; g < LW_GROUP_COUNT; g++) {
        const lw_want spread[] = {{"household_sd", in->spread.household[g], 0.0, 2.0},
                                  {"day_sd", in->spread.day[g], 0.0, 2.0}};
        const lw_code far = lw_want_all(fault, LW_WANTS(spread));
        if (far)
            return far;
    }
    for (int v = 0; v < s->rig.vessel_count; v++) {
        const double capacity = s->rig.vessel[v].capacity;
        const lw_want vessel[] = {{"start_sd", in->start_sd[v], 0.0, 10.0 * capacity},
                                  {"rule_shift", in->rule_shift[v], -capacity, capacity},
                                  {"capacity_sd", in->capacity_sd[v], 0.0, 2.0},
                                  {"residue_sd", in->residue_sd[v], 0.0, 2.0},
                                  {"bias_sd", in->bias_sd[v], 0.0, 1.0}};
        const lw_code far = lw_want_all(fault, LW_WANTS(vessel));
        if (far)
            return far;
    }
    for (int t = 0; t < s->transfer_count; t++) {
        const double capacity = s->rig.vessel[s->transfer[t].vessel].capacity;
        const lw_code far = lw_want_range(fault, "transfer_sd", in->transfer_sd[t], 0.0, 10.0 * capacity);
        if (far)
            return far;
    }
    double before_s = 0.0;
    for (int i = 0; i < in->reading_count; i++) {
        const lw_code wrong = check_reading(in, i, before_s, fault);
        if (wrong)
            return wrong;
        before_s = (double)in->reading[i].at_s;
    }
    return LW_OK;
}

void lw_learn_inexact(const lw_learn_in *in, uint8_t is_inexact[LW_TRANSFERS])
{
    const lw_scenario *s = lw_context_scenario(in->past);
    for (int t = 0; t < s->transfer_count; t++)
        is_inexact[t] = in->transfer_sd[t] > 0.0 ||
                        (s->transfer[t].kind == LW_TRANSFER_EMPTY && in->residue_sd[s->transfer[t].vessel] > 0.0);
}

/* Of the moments as they may be at most: one a reading, and now. */
static lw_past_in past_of(const lw_learn_in *in, const int64_t *at_s, int count)
{
    lw_past_in past = {.context = in->past, .at_s = at_s, .at_count = count};
    lw_learn_inexact(in, past.is_inexact);
    return past;
}

size_t lw_learn_padded(size_t bytes)
{
    return bytes + 16;
}

int lw_learn_day(const lw_scenario *s, int64_t at_s)
{
    const int64_t hour = (at_s - s->calendar.start_s) / 3600;
    const int64_t last = s->calendar.hours - 1;
    return s->calendar.civil_day[hour < 0 ? 0 : hour > last ? last : hour] - s->calendar.civil_day[0];
}

/* At most: factors twice where habits may have changed, each past day's, starts and transfers. */
static size_t most_unknowns(const lw_learn_in *in)
{
    const lw_scenario *s = lw_context_scenario(in->past);
    const size_t days = (size_t)lw_learn_day(s, in->now_s) + 1;
    return 1 + (2 + days) * LW_GROUP_COUNT + 4 * (size_t)s->rig.vessel_count + 1 + (size_t)s->transfer_count;
}

static size_t cloud_bytes(const lw_learn_in *in)
{
    const size_t n = in->draws, moments = (size_t)in->reading_count + 1;
    return 2 * lw_learn_padded(n * most_unknowns(in) * sizeof(double)) + 3 * lw_learn_padded(n * sizeof(double)) +
           3 * lw_learn_padded(n * sizeof(uint32_t)) + lw_learn_padded(moments * sizeof(double[LW_VESSELS])) +
           lw_learn_padded(moments * sizeof(lw_state)) + lw_learn_padded(sizeof(lw_past_draw)) +
           lw_learn_padded(lw_past_scratch_bytes(in->past));
}

size_t lw_learn_bytes(const lw_learn_in *in)
{
    const size_t n = in->draws, readings = (size_t)in->reading_count;
    const lw_past_in past = past_of(in, NULL, in->reading_count + 1);
    return lw_learn_padded(n * sizeof(lw_draw_start)) + lw_learn_padded(n * sizeof(float[LW_GROUP_COUNT])) +
           lw_learn_padded(n * sizeof(float[LW_VESSELS])) + 2 * lw_learn_padded(readings * sizeof(double)) +
           lw_learn_padded(sizeof(lw_model)) + lw_learn_padded((readings + 1) * sizeof(int64_t)) +
           lw_learn_padded(readings * sizeof(lw_claim)) + lw_learn_padded(readings * sizeof(int)) +
           (2 + LW_LEARNED_WHATS) * lw_learn_padded(n * sizeof(double)) + lw_learn_padded(lw_past_bytes(&past)) +
           cloud_bytes(in) + 256;
}

void *lw_learn_lend(lw_arena *arena, size_t bytes, lw_work *w)
{
    void *const memory = lw_arena_lend(arena, bytes, 16);
    w->is_full |= !memory;
    return memory;
}

static void lend_cloud(const lw_learn_in *in, lw_arena *arena, lw_work *w)
{
    const size_t n = in->draws, moments = (size_t)in->reading_count + 1;
    lw_cloud *c = &w->cloud;
    c->draws = in->draws;
    c->z = lw_learn_lend(arena, n * most_unknowns(in) * sizeof(double), w);
    c->z_next = lw_learn_lend(arena, n * most_unknowns(in) * sizeof(double), w);
    c->sums_log = lw_learn_lend(arena, n * sizeof(double), w);
    c->engine_log = lw_learn_lend(arena, n * sizeof(double), w);
    c->weight = lw_learn_lend(arena, n * sizeof(double), w);
    c->family = lw_learn_lend(arena, n * sizeof(uint32_t), w);
    c->parent = lw_learn_lend(arena, n * sizeof(uint32_t), w);
    c->families = lw_learn_lend(arena, n * sizeof(uint32_t), w);
    c->level = lw_learn_lend(arena, moments * sizeof *c->level, w);
    c->state = lw_learn_lend(arena, moments * sizeof *c->state, w);
    c->draw = lw_learn_lend(arena, sizeof *c->draw, w);
    c->scratch = lw_learn_lend(arena, lw_past_scratch_bytes(in->past), w);
}

/* ------------------------------------------------------------------ the model */

static int gauge_of(const lw_reading *r)
{
    if (r->vessel == LW_READ_BATTERY)
        return LW_LEARN_BATTERY;
    return r->what == LW_READ_ROOM ? LW_LEARN_BATTERY + 1 + r->vessel : r->vessel;
}

static double clipped_width(const lw_claim *c)
{
    const double low = lw_most(c->low, 0.0), high = lw_least(c->high, c->capacity);
    return lw_most((high - low) / c->capacity, WIDTH_LEAST);
}

static lw_claim claim_of(const lw_model *m, const lw_reading *r, int moment)
{
    const int is_battery = r->vessel == LW_READ_BATTERY;
    const lw_vessel *v = is_battery ? NULL : &m->scenario->rig.vessel[r->vessel];
    lw_claim c = {.gauge = gauge_of(r),
                  .moment = moment,
                  .vessel = r->vessel,
                  .also = r->also,
                  .low = r->low,
                  .high = r->high,
                  .capacity = v ? v->capacity : 1.0,
                  .limit = INFINITY,
                  .lie = r->lie_frac,
                  .what = r->what,
                  .is_by_engine = is_battery || !lw_past_is_by_sums(m->past, r->vessel)};
    double unusable = v ? v->unusable : 0.0;
    for (int k = 0; v && k < m->scenario->rig.vessel_count; k++)
        if (r->also >> k & 1u) {
            c.capacity += m->scenario->rig.vessel[k].capacity;
            unusable += m->scenario->rig.vessel[k].unusable;
        }
    c.edge = LW_LEARN_EDGE_FRAC * c.capacity;
    if (v && lw_supply_fills(v->supply))
        c.limit = c.capacity - unusable - 1e-9 * c.capacity;
    if (!(c.high > c.low))
        c.low -= c.edge, c.high += c.edge;
    c.width = clipped_width(&c);
    return c;
}

/* A gauge's readings, were it stuck: the first anything, the next most likely the same again. */
static void set_stuck(lw_model *m)
{
    for (int i = 0; i < m->claims; i++) {
        const lw_claim *c = &m->claim[i], *before = c - 1;
        const int is_first = i == 0 || before->gauge != c->gauge;
        const int is_same = !is_first && !(c->low < before->low) && !(c->low > before->low) &&
                            !(c->high < before->high) && !(c->high > before->high);
        if (is_first)
            m->stuck_log[c->gauge] = log(c->width);
        else
            m->stuck_log[c->gauge] += log(LW_LEARN_SAME * is_same + (1.0 - LW_LEARN_SAME) * c->width);
    }
}

/* Claims by gauge, the first gauge's first; in each in order of time. Moments: one for each time there is, and now. */
static void make_claims(const lw_learn_in *in, lw_work *w)
{
    lw_model *m = w->model;
    m->has_engine = m->engine_moments = 0;
    for (int gauge = 0; gauge < LW_LEARN_GAUGES; gauge++) {
        int moment = -1;
        for (int i = 0; i < in->reading_count; i++) {
            moment += i == 0 || in->reading[i].at_s > in->reading[i - 1].at_s;
            if (gauge_of(&in->reading[i]) != gauge)
                continue;
            const lw_claim c = claim_of(m, &in->reading[i], moment);
            if (c.is_by_engine) {
                m->has_engine = 1;
                m->engine_moments = moment + 1 > m->engine_moments ? moment + 1 : m->engine_moments;
            }
            w->reading_of[m->claims] = i;
            m->claim[m->claims++] = c;
        }
    }
    set_stuck(m);
}

static int list_moments(const lw_learn_in *in, int64_t *at_s)
{
    int count = 0;
    for (int i = 0; i < in->reading_count; i++)
        if (count == 0 || in->reading[i].at_s > at_s[count - 1])
            at_s[count++] = in->reading[i].at_s;
    at_s[count++] = in->now_s;
    return count;
}

int lw_model_reads(const lw_model *m, int group)
{
    if (m->has_engine)
        return 1; /* warmth and current depend on nearly all */
    for (int i = 0; i < m->claims; i++)
        for (int v = 0; v < m->scenario->rig.vessel_count; v++)
            if ((v == m->claim[i].vessel || m->claim[i].also >> v & 1u) && m->use[v][group] > 0.0)
                return 1;
    return 0;
}

/* Vessels of one supply spill into one another. */
static int is_supply_read(const lw_model *m, int vessel)
{
    if (m->has_engine)
        return 1;
    for (int i = 0; i < m->claims; i++)
        if (m->scenario->rig.vessel[m->claim[i].vessel].supply == m->scenario->rig.vessel[vessel].supply)
            return 1;
    return 0;
}

static void add_unknown(lw_model *m, const lw_unknown *u, int is_read, int wants_read)
{
    if (u->sd > 0.0 && (is_read != 0) == wants_read)
        m->unknown[m->unknowns++] = *u;
}

static void add_group(lw_model *m, int g, int is_read, int wants_read)
{
    const lw_spread *s = &m->in->spread;
    add_unknown(m, &(lw_unknown){.kind = LW_UNKNOWN_HOUSEHOLD, .index = g, .sd = s->household[g]}, is_read, wants_read);
    if (m->changed_day >= 0)
        add_unknown(m, &(lw_unknown){.kind = LW_UNKNOWN_LATER, .index = g, .sd = s->household[g]}, is_read, wants_read);
    for (int d = 0; d < m->days && g != LW_GROUP_HEAT; d++)
        add_unknown(m, &(lw_unknown){.kind = LW_UNKNOWN_DAY, .index = g, .day = d, .sd = s->day[g]}, is_read,
                    wants_read);
}

static void add_start(lw_model *m, int index, double mean, double sd, double capacity, int wants_read)
{
    if (!(sd > 0.0))
        return;
    const lw_unknown u = {.kind = LW_UNKNOWN_START,
                          .index = index,
                          .sd = sd,
                          .mean = mean,
                          .capacity = capacity,
                          .low_p = lw_normal_frac((0.0 - mean) / sd),
                          .high_p = lw_normal_frac((capacity - mean) / sd)};
    const int is_read = index == LW_VESSELS ? m->has_engine : is_supply_read(m, index);
    add_unknown(m, &u, is_read, wants_read);
}

static void add_unsure(lw_model *m, int v, int wants_read)
{
    const int is_read = is_supply_read(m, v);
    add_unknown(m, &(lw_unknown){.kind = LW_UNKNOWN_CAPACITY, .index = v, .sd = m->in->capacity_sd[v]}, is_read,
                wants_read);
    add_unknown(m, &(lw_unknown){.kind = LW_UNKNOWN_RESIDUE, .index = v, .sd = m->in->residue_sd[v]}, is_read,
                wants_read);
    add_unknown(m, &(lw_unknown){.kind = LW_UNKNOWN_BIAS, .index = v, .sd = m->in->bias_sd[v]}, is_read, wants_read);
}

static void make_unknowns(lw_model *m)
{
    const lw_rig *rig = &m->scenario->rig;
    m->unknowns = 0;
    if (m->changed_day >= 0)
        m->unknown[m->unknowns++] = (lw_unknown){.kind = LW_UNKNOWN_CHANGE, .sd = LW_CHANGE_SD};
    for (int wants_read = 1; wants_read >= 0; wants_read--) {
        for (int g = 0; g < LW_GROUP_COUNT; g++)
            add_group(m, g, lw_model_reads(m, g), wants_read);
        for (int v = 0; v < rig->vessel_count; v++)
            add_start(m, v, rig->vessel[v].level, m->in->start_sd[v], rig->vessel[v].capacity, wants_read);
        add_start(m, LW_VESSELS, rig->battery.level_frac, m->in->battery_sd_frac, 1.0, wants_read);
        for (int v = 0; v < rig->vessel_count; v++)
            add_unsure(m, v, wants_read);
        for (int t = 0; t < m->scenario->transfer_count; t++)
            add_unknown(m, &(lw_unknown){.kind = LW_UNKNOWN_TRANSFER, .index = t, .sd = m->in->transfer_sd[t]},
                        is_supply_read(m, m->scenario->transfer[t].vessel), wants_read);
        if (wants_read)
            m->read_unknowns = m->unknowns;
    }
}

static lw_code make_model(const lw_learn_in *in, lw_arena *arena, lw_work *w, lw_fault *fault)
{
    const lw_scenario *s = lw_context_scenario(in->past);
    const int moments = list_moments(in, w->at_s);
    const lw_past_in past_in = past_of(in, w->at_s, moments);
    lw_past *past;
    const lw_code bad = lw_past_prepare(&past_in, arena, &past, fault);
    if (bad)
        return bad;
    lw_model *m = w->model;
    m->in = in;
    m->scenario = s;
    m->past = past;
    m->moments = moments;
    m->days = lw_learn_day(s, in->now_s) + 1;
    m->changed_day = in->forget_before_s > s->calendar.start_s && in->forget_before_s < in->now_s
                         ? lw_learn_day(s, in->forget_before_s)
                         : -1;
    for (int v = 0; v < s->rig.vessel_count; v++)
        for (int g = 0; g < LW_GROUP_COUNT; g++)
            m->use[v][g] = lw_past_use(past, v, g);
    for (int v = 0; v < s->rig.vessel_count; v++)
        m->is_unsure |= in->capacity_sd[v] > 0.0 || in->residue_sd[v] > 0.0 || in->bias_sd[v] > 0.0;
    m->claims = 0;
    make_claims(in, w);
    make_unknowns(m);
    return LW_OK;
}

/* ------------------------------------------------------------------ results */

/* The engine knows a vessel as stated: what is not sure, and what it spills into, stands as sums have it. */
static void take_sums(const lw_model *m, lw_cloud *c)
{
    const lw_rig *rig = &m->scenario->rig;
    lw_past_sums(m->past, c->draw, c->level);
    for (int v = 0; v < rig->vessel_count; v++) {
        int is_unsure = 0;
        for (int u = 0; u < rig->vessel_count; u++)
            is_unsure |= rig->vessel[u].supply == rig->vessel[v].supply && m->in->capacity_sd[u] > 0.0;
        for (int i = 0; i < m->moments && is_unsure && lw_past_is_by_sums(m->past, v); i++)
            c->state[i].level[v] = c->level[i][v];
    }
}

/* Each draw is run once by the engine to now: state, factors, what it believes of the readings. */
static void finish_draws(lw_work *w, lw_draw_start *draw, lw_learned *out)
{
    const lw_model *m = w->model;
    lw_cloud *c = &w->cloud;
    double stuck[LW_LEARN_GAUGES] = {0.0};
    memset(w->lie, 0, (size_t)m->claims * sizeof *w->lie);
    lw_past_begin(m->past, c->scratch);
    lw_past_plain(m->past, c->draw);
    lw_sight_plain(&c->sight);
    for (uint32_t i = 0; i < c->draws; i++) {
        lw_model_draw(m, c->z + (size_t)m->unknowns * i, c->draw, &c->sight, draw[i].household);
        lw_past_run(m->past, c->draw, m->moments, c->scratch, c->state);
        if (m->is_unsure)
            take_sums(m, c);
        draw[i].state = c->state[m->moments - 1];
        memcpy(out->day[i], c->draw->factor[m->days - 1], sizeof out->day[i]);
        for (int v = 0; v < LW_VESSELS; v++)
            out->capacity[i][v] = v < m->scenario->rig.vessel_count ? (float)c->draw->capacity_frac[v] : 1.0f;
        lw_model_beliefs(m, c->state, c->draw, &c->sight, w->lie, stuck);
    }
    for (int k = 0; k < m->claims; k++)
        out->gauge[m->claim[k].gauge].readings++;
    for (int g = 0; g < LW_LEARN_GAUGES; g++) {
        out->gauge[g].stuck_frac = stuck[g] / c->draws;
        out->gauge[g].is_stuck = out->gauge[g].readings > 1 && out->gauge[g].stuck_frac > 0.5;
    }
}

/* ------------------------------------------------------------------ other explanations */

static void drop_engine_claims(lw_model *m)
{
    int kept = 0;
    for (int i = 0; i < m->claims; i++)
        if (!m->claim[i].is_by_engine)
            m->claim[kept++] = m->claim[i];
    m->claims = kept;
    m->has_engine = m->engine_moments = 0;
}

static void shift_claims(const lw_model *m, double sign)
{
    for (int i = 0; i < m->claims; i++) {
        lw_claim *c = &m->claim[i];
        const double shift =
            sign * m->in->rule_shift[c->vessel] * c->capacity / m->scenario->rig.vessel[c->vessel].capacity;
        c->low += shift;
        c->high += shift;
        c->width = clipped_width(c);
    }
}

static double evidence(lw_work *w, uint64_t seed)
{
    const uint32_t draws = w->cloud.draws;
    w->cloud.draws = draws < ASKING_DRAWS ? draws : ASKING_DRAWS;
    set_stuck(w->model);
    make_unknowns(w->model);
    lw_cloud_lead(w->model, seed, &w->cloud);
    w->cloud.draws = draws;
    return w->cloud.log_evidence;
}

static void keep_doubt(lw_doubt doubt, double log_odds, int64_t since_s, lw_learned *out)
{
    if (log_odds <= out->doubt_log_odds)
        return;
    out->doubt_log_odds = log_odds;
    out->doubt = log_odds > log(LW_LEARN_FAR) ? doubt : LW_DOUBT_NONE;
    out->since_s = out->doubt == LW_DOUBT_HABITS ? since_s : 0;
}

static int64_t day_begin_s(const lw_scenario *s, int day)
{
    for (int h = 0; h < s->calendar.hours; h++)
        if (s->calendar.civil_day[h] - s->calendar.civil_day[0] >= day)
            return s->calendar.start_s + (int64_t)h * 3600;
    return s->calendar.start_s;
}

/* Since when is not known: each moment has its share of the whole explanation, the likeliest is told. */
static void ask_habits(lw_work *w, double plain_log, lw_learned *out)
{
    lw_model *m = w->model;
    const int first = lw_learn_day(m->scenario, w->at_s[0]), last = m->days - 1;
    double best_log = -INFINITY, sum = 0.0, log_of[LW_LEARN_MOMENTS];
    int best = 0, before = first, tried = 0;
    for (int i = 0; i < LW_LEARN_MOMENTS; i++) {
        const int day = first + (last - first) * (i + 1) / (LW_LEARN_MOMENTS + 1);
        if (day <= before)
            continue;
        before = m->changed_day = day;
        log_of[tried] = evidence(w, m->in->seed);
        if (log_of[tried] > best_log)
            best_log = log_of[tried], best = day;
        tried++;
    }
    m->changed_day = -1;
    for (int i = 0; i < tried; i++)
        sum += exp(log_of[i] - best_log) / tried;
    if (tried > 0)
        keep_doubt(LW_DOUBT_HABITS, best_log + log(sum) - plain_log, day_begin_s(m->scenario, best), out);
}

static void ask(lw_work *w, lw_learned *out)
{
    lw_model *m = w->model;
    drop_engine_claims(m);
    if (m->claims == 0)
        return;
    const double plain_log = evidence(w, m->in->seed);
    int has_rule = 0;
    for (int i = 0; i < m->claims; i++)
        has_rule |= fabs(m->in->rule_shift[m->claim[i].vessel]) > 0.0;
    if (has_rule) {
        shift_claims(m, 1.0);
        keep_doubt(LW_DOUBT_RULE, evidence(w, m->in->seed) - plain_log, 0, out);
        shift_claims(m, -1.0);
    }
    if (m->changed_day < 0) /* a change that was stated is in the plain explanation already */
        ask_habits(w, plain_log, out);
}

/* ------------------------------------------------------------------ the whole */

lw_code lw_learn(const lw_learn_in *in, lw_arena *arena, lw_learned *learned, lw_fault *fault)
{
    const lw_code bad = lw_learn_check(in, fault);
    if (bad)
        return bad;
    const size_t readings = (size_t)in->reading_count, n = in->draws;
    lw_work w = {0};
    lw_draw_start *draw = lw_learn_lend(arena, n * sizeof *draw, &w);
    float(*day)[LW_GROUP_COUNT] = lw_learn_lend(arena, n * sizeof *day, &w);
    float(*capacity)[LW_VESSELS] = lw_learn_lend(arena, n * sizeof *capacity, &w);
    double *lie_frac = lw_learn_lend(arena, readings * sizeof *lie_frac, &w);
    const size_t kept = arena->used;
    w.model = lw_learn_lend(arena, sizeof *w.model, &w);
    w.at_s = lw_learn_lend(arena, (readings + 1) * sizeof *w.at_s, &w);
    lw_claim *claim = lw_learn_lend(arena, readings * sizeof *claim, &w);
    w.reading_of = lw_learn_lend(arena, readings * sizeof *w.reading_of, &w);
    w.lie = lw_learn_lend(arena, readings * sizeof *w.lie, &w);
    w.a = lw_learn_lend(arena, n * sizeof *w.a, &w);
    w.b = lw_learn_lend(arena, n * sizeof *w.b, &w);
    for (int k = 0; k < LW_LEARNED_WHATS; k++)
        w.what[k] = lw_learn_lend(arena, n * sizeof *w.what[k], &w);
    lend_cloud(in, arena, &w);
    if (w.is_full) {
        *fault = (lw_fault){.code = LW_E_FULL,
                            .field = "arena_bytes",
                            .value = (double)arena->cap,
                            .low = (double)lw_learn_bytes(in),
                            .high = INFINITY};
        return LW_E_FULL;
    }
    memset(w.model, 0, sizeof *w.model);
    w.model->claim = claim;
    const lw_code other = make_model(in, arena, &w, fault);
    if (other)
        return other;
    lw_cloud_lead(w.model, in->seed, &w.cloud);
    memset(learned, 0, sizeof *learned);
    learned->draws = in->draws;
    learned->draw = draw;
    learned->day = day;
    learned->capacity = capacity;
    learned->lie_frac = lie_frac;
    learned->effective = w.cloud.effective;
    learned->log_evidence = w.cloud.log_evidence;
    learned->powers = w.cloud.powers;
    finish_draws(&w, draw, learned);
    for (int k = 0; k < w.model->claims; k++)
        lie_frac[w.reading_of[k]] = w.lie[k] / in->draws;
    lw_tell_bands(&w, learned);
    lw_tell_unsure(&w, learned);
    lw_tell_help(&w, learned);
    lw_tell_ties(&w, learned);
    if (in->asks)
        ask(&w, learned);
    arena->used = kept;
    return LW_OK;
}
