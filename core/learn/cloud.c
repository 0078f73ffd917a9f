/* Draws led from the prior to the readings. */
#include <math.h>
#include <string.h>

#include "core/base/num.h"
#include "core/base/random.h"
#include "core/learn/learn_internal.h"

/* Streams of core/base/random.h. */
enum { STREAM_PRIOR = 0x4c450001, STREAM_MOVE = 0x4c450002, STREAM_PICK = 0x4c450003, STREAM_REST = 0x4c450004 };

/* Which unknowns a move takes along. One group's: its household's and its days'. */
typedef enum lw_move { MOVE_ALL = 0, MOVE_LASTING, MOVE_GROUP, MOVE_DAYS, MOVE_COUNT } lw_move;

enum { POWERS_MOST = 60, SWEEPS = 3, SWEEPS_LAST = 8, BLOCKS = 1024 };

static const double EFFECTIVE_FRAC = 0.5;
/* Steps are lengthened and shortened towards this share of accepted moves; any works, from practice. */
static const double ACCEPT_LOW = 0.2, ACCEPT_HIGH = 0.4, STEP_LEAST = 0.05;

/* ------------------------------------------------------------------ a draw from its unknowns */

static double start_level(const lw_unknown *u, double z)
{
    const double p = u->low_p + (u->high_p - u->low_p) * lw_normal_frac(z);
    const double level = u->mean + u->sd * lw_random_normal(lw_least(lw_most(p, 1e-12), 1.0 - 1e-12));
    return lw_least(lw_most(level, 0.0), u->capacity);
}

double lw_learn_beside(lw_transfer_kind kind, double sd, double z)
{
    return sd * (kind == LW_TRANSFER_ADD ? z : fabs(z));
}

static void set_days(const lw_model *m, const double before[LW_GROUP_COUNT], const double later[LW_GROUP_COUNT],
                     lw_past_draw *draw)
{
    for (int d = 0; d < m->days; d++)
        for (int g = 0; g < LW_GROUP_COUNT; g++)
            draw->factor[d][g] = (float)exp(m->changed_day >= 0 && d >= m->changed_day ? later[g] : before[g]);
}

void lw_sight_plain(lw_sight *sight)
{
    for (int v = 0; v < LW_VESSELS; v++)
        sight->bias[v] = 0.0, sight->residue_frac[v] = 1.0;
}

/* A start that is a share is one of whatever the vessel holds; each emptying leaves in what this draw has it leave. Where the
 * start is sure its level is the scenario's, which lw_past_plain has set and a draw before may have changed. */
static void take_vessels(const lw_model *m, const lw_sight *sight, lw_past_draw *draw)
{
    const lw_scenario *s = m->scenario;
    for (int v = 0; v < s->rig.vessel_count; v++) {
        if (!(m->in->capacity_sd[v] > 0.0) || !m->in->is_start_share[v])
            continue;
        if (!(m->in->start_sd[v] > 0.0))
            draw->level[v] = s->rig.vessel[v].level;
        draw->level[v] *= draw->capacity_frac[v];
    }
    for (int t = 0; t < s->transfer_count; t++) {
        const int v = s->transfer[t].vessel;
        if (s->transfer[t].kind != LW_TRANSFER_EMPTY || !(m->in->residue_sd[v] > 0.0))
            continue;
        if (!(m->in->transfer_sd[t] > 0.0))
            draw->beside[t] = 0.0;
        draw->beside[t] += s->rig.vessel[v].residue * (sight->residue_frac[v] - 1.0);
    }
}

void lw_model_draw(const lw_model *m, const double *z, lw_past_draw *draw, lw_sight *sight,
                   double household[LW_GROUP_COUNT])
{
    double before[LW_GROUP_COUNT] = {0.0}, later[LW_GROUP_COUNT] = {0.0};
    const double own = sqrt(1.0 - LW_CHANGE_KEEPS * LW_CHANGE_KEEPS);
    for (int i = 0; i < m->unknowns; i++) {
        const lw_unknown *u = &m->unknown[i];
        if (u->kind == LW_UNKNOWN_HOUSEHOLD) {
            before[u->index] = u->sd * z[i];
            later[u->index] += LW_CHANGE_KEEPS * u->sd * z[i];
        } else if (u->kind == LW_UNKNOWN_LATER) {
            later[u->index] += own * u->sd * z[i];
        } else if (u->kind == LW_UNKNOWN_CHANGE) {
            for (int g = 0; g < LW_GROUP_COUNT; g++)
                later[g] += g != LW_GROUP_HEAT ? u->sd * z[i] : 0.0;
        }
    }
    set_days(m, before, later, draw);
    for (int i = 0; i < m->unknowns; i++) {
        const lw_unknown *u = &m->unknown[i];
        if (u->kind == LW_UNKNOWN_DAY)
            draw->factor[u->day][u->index] *= (float)exp(u->sd * z[i] - 0.5 * u->sd * u->sd);
        else if (u->kind == LW_UNKNOWN_START && u->index == LW_VESSELS)
            draw->battery_frac = start_level(u, z[i]);
        else if (u->kind == LW_UNKNOWN_START)
            draw->level[u->index] = start_level(u, z[i]);
        else if (u->kind == LW_UNKNOWN_TRANSFER)
            draw->beside[u->index] = lw_learn_beside(m->scenario->transfer[u->index].kind, u->sd, z[i]);
        else if (u->kind == LW_UNKNOWN_CAPACITY)
            draw->capacity_frac[u->index] = exp(u->sd * z[i]);
        else if (u->kind == LW_UNKNOWN_RESIDUE)
            sight->residue_frac[u->index] = exp(u->sd * z[i]);
        else if (u->kind == LW_UNKNOWN_BIAS)
            sight->bias[u->index] = u->sd * z[i];
    }
    if (m->is_unsure)
        take_vessels(m, sight, draw);
    for (int g = 0; g < LW_GROUP_COUNT; g++)
        household[g] = exp(m->changed_day >= 0 ? later[g] : before[g]);
}

/* ------------------------------------------------------------------ likelihood of a draw */

static double sums_log_of(const lw_model *m, const double *z, lw_cloud *c)
{
    double household[LW_GROUP_COUNT];
    lw_model_draw(m, z, c->draw, &c->sight, household);
    lw_past_sums(m->past, c->draw, c->level);
    return lw_model_sums_log(m, c->level, c->draw, &c->sight);
}

/* Of the draw that sums_log_of has just made. */
static double engine_log_of(const lw_model *m, lw_cloud *c)
{
    if (!m->has_engine)
        return 0.0;
    lw_past_run(m->past, c->draw, m->engine_moments, c->scratch, c->state);
    return lw_model_engine_log(m, c->state);
}

/* ------------------------------------------------------------------ powers and resampling */

/* Share of the draws that stay effective when the likelihood's power grows by `more`. */
static double effective_at(const lw_cloud *c, double more, double most_log)
{
    double sum = 0.0, squares = 0.0;
    for (uint32_t i = 0; i < c->draws; i++) {
        const double w = exp(more * (c->sums_log[i] + c->engine_log[i] - most_log));
        sum += w;
        squares += w * w;
    }
    return sum * sum / (squares * c->draws);
}

static double most_log(const lw_cloud *c)
{
    double most = -INFINITY;
    for (uint32_t i = 0; i < c->draws; i++)
        most = lw_most(most, c->sums_log[i] + c->engine_log[i]);
    return most;
}

static double next_power(const lw_cloud *c, double power)
{
    const double most = most_log(c);
    double low = 0.0, high = 1.0 - power;
    if (effective_at(c, high, most) >= EFFECTIVE_FRAC)
        return 1.0;
    for (int i = 0; i < 40; i++) {
        const double middle = 0.5 * (low + high);
        if (effective_at(c, middle, most) >= EFFECTIVE_FRAC)
            low = middle;
        else
            high = middle;
    }
    return power + low;
}

/* Evenly spaced picks through the sum of weights, from one random place. */
static void pick(lw_cloud *c, uint64_t seed, int powers)
{
    const lw_random_key key = {.seed = seed, .draw = 0};
    const double place = lw_random_unit(lw_random_block(&key, STREAM_PICK, powers).word[0]);
    double sum = 0.0, at = 0.0;
    for (uint32_t i = 0; i < c->draws; i++)
        sum += c->weight[i];
    uint32_t from = 0;
    at = c->weight[0];
    for (uint32_t i = 0; i < c->draws; i++) {
        const double want = (i + place) / c->draws * sum;
        while (at < want && from + 1 < c->draws)
            at += c->weight[++from];
        c->parent[i] = from;
    }
}

/* Draw i becomes a copy of its parent. Parents stand in order, so a copy may be needed again: into the other memory. */
static void resample(const lw_model *m, lw_cloud *c, uint64_t seed)
{
    const size_t row = (size_t)m->unknowns;
    pick(c, seed, c->powers);
    for (uint32_t i = 0; i < c->draws; i++) {
        memcpy(c->z_next + row * i, c->z + row * c->parent[i], row * sizeof *c->z);
        c->weight[i] = c->sums_log[c->parent[i]];
    }
    memcpy(c->sums_log, c->weight, c->draws * sizeof *c->weight);
    for (uint32_t i = 0; i < c->draws; i++)
        c->weight[i] = c->engine_log[c->parent[i]];
    memcpy(c->engine_log, c->weight, c->draws * sizeof *c->weight);
    for (uint32_t i = 0; i < c->draws; i++)
        c->families[i] = c->family[c->parent[i]];
    memcpy(c->family, c->families, c->draws * sizeof *c->families);
    double *const swap = c->z;
    c->z = c->z_next, c->z_next = swap;
}

static void weigh(lw_cloud *c, double more)
{
    const double most = most_log(c);
    double sum = 0.0;
    for (uint32_t i = 0; i < c->draws; i++) {
        c->weight[i] = exp(more * (c->sums_log[i] + c->engine_log[i] - most));
        sum += c->weight[i];
    }
    c->log_evidence += more * most + log(sum / c->draws);
}

/* ------------------------------------------------------------------ moves */

static int takes(const lw_unknown *u, lw_move move, int group)
{
    switch (move) {
    case MOVE_ALL:
    case MOVE_COUNT:
        return 1;
    case MOVE_LASTING:
        return u->kind != LW_UNKNOWN_DAY;
    case MOVE_GROUP:
        return u->kind <= LW_UNKNOWN_DAY && u->index == group;
    case MOVE_DAYS:
        return u->kind == LW_UNKNOWN_DAY;
    }
    return 0;
}

typedef struct lw_numbers {
    lw_random_key key;
    uint32_t stream;
    int64_t block;
    lw_random_words words;
    int used;
} lw_numbers;

static double unit(lw_numbers *n)
{
    if (n->used == 4) {
        n->words = lw_random_block(&n->key, n->stream, n->block++);
        n->used = 0;
    }
    return lw_random_unit(n->words.word[n->used++]);
}

static lw_numbers numbers_of(uint64_t seed, uint32_t draw, uint32_t stream, int64_t index)
{
    return (lw_numbers){.key = {.seed = seed, .draw = draw}, .stream = stream, .block = index * BLOCKS, .used = 4};
}

/* z' = sqrt(1 - b^2) z + b normal leaves the prior as it is: only the likelihood decides. Sums decide first; the engine,
 * which costs a hundred times as much, is asked only about what they let through. Gives whether it moved; -1: nothing to. */
static int move_draw(const lw_model *m, lw_cloud *c, uint32_t i, lw_move move, double step, double power, lw_numbers *n)
{
    double *z = c->z + (size_t)m->unknowns * i, *to = c->z_next + (size_t)m->unknowns * i;
    const double keep = sqrt(1.0 - step * step);
    const double first = log(unit(n)), second = log(unit(n));
    const int group = (int)(unit(n) * LW_GROUP_COUNT);
    memcpy(to, z, (size_t)m->unknowns * sizeof *to);
    int moved = 0;
    for (int k = 0; k < m->read_unknowns; k++)
        if (takes(&m->unknown[k], move, group)) {
            to[k] = keep * z[k] + step * lw_random_normal(unit(n));
            moved = 1;
        }
    if (!moved)
        return -1;
    const double sums_log = sums_log_of(m, to, c);
    if (!(first < power * (sums_log - c->sums_log[i])))
        return 0;
    const double engine_log = engine_log_of(m, c);
    if (!(second < power * (engine_log - c->engine_log[i])))
        return 0;
    memcpy(z, to, (size_t)m->unknowns * sizeof *z);
    c->sums_log[i] = sums_log;
    c->engine_log[i] = engine_log;
    c->family[i] = i | UINT32_C(1) << 31; /* marked: on its own again */
    return 1;
}

/* Families are renumbered by who is in them: a moved draw is one of its own, though its old number may live on in others. */
static void sort_families(lw_cloud *c)
{
    for (uint32_t i = 0; i < c->draws; i++)
        c->families[i] = UINT32_MAX;
    for (uint32_t i = 0; i < c->draws; i++) {
        if (c->family[i] & UINT32_C(1) << 31)
            continue;
        uint32_t *first = &c->families[c->family[i]];
        if (*first == UINT32_MAX)
            *first = i;
    }
    for (uint32_t i = 0; i < c->draws; i++)
        c->family[i] = c->family[i] & UINT32_C(1) << 31 ? i : c->families[c->family[i]];
}

static void move_all(const lw_model *m, lw_cloud *c, uint64_t seed, int sweeps, double power, double step[MOVE_COUNT])
{
    for (int s = 0; s < sweeps; s++)
        for (int move = 0; move < MOVE_COUNT; move++) {
            const int64_t index = ((int64_t)c->powers * SWEEPS_LAST + s) * MOVE_COUNT + move;
            int accepted = 0, tried = 0;
            for (uint32_t i = 0; i < c->draws; i++) {
                lw_numbers n = numbers_of(seed, i, STREAM_MOVE, index);
                const int moved = move_draw(m, c, i, (lw_move)move, step[move], power, &n);
                accepted += moved > 0;
                tried += moved >= 0;
            }
            const double share = tried > 0 ? (double)accepted / tried : ACCEPT_LOW;
            if (share < ACCEPT_LOW)
                step[move] = lw_most(step[move] * 0.7, STEP_LEAST);
            else if (share > ACCEPT_HIGH)
                step[move] = lw_least(step[move] * 1.3, 1.0);
        }
    sort_families(c);
}

/* ------------------------------------------------------------------ the whole way */

static void begin(const lw_model *m, uint64_t seed, lw_cloud *c)
{
    c->powers = 0;
    c->log_evidence = 0.0;
    if (m->has_engine)
        lw_past_begin(m->past, c->scratch);
    lw_past_plain(m->past, c->draw);
    lw_sight_plain(&c->sight);
    for (uint32_t i = 0; i < c->draws; i++) {
        lw_numbers n = numbers_of(seed, i, STREAM_PRIOR, 0);
        double *z = c->z + (size_t)m->unknowns * i;
        for (int k = 0; k < m->unknowns; k++)
            z[k] = lw_random_normal(unit(&n));
        c->family[i] = i;
        c->sums_log[i] = sums_log_of(m, z, c);
        c->engine_log[i] = engine_log_of(m, c);
    }
}

/* What no claim depends on is as the prior has it, whatever was picked: drawn anew, so that copies differ in it. */
static void draw_rest(const lw_model *m, uint64_t seed, lw_cloud *c)
{
    for (uint32_t i = 0; i < c->draws; i++) {
        lw_numbers n = numbers_of(seed, i, STREAM_REST, 0);
        for (int k = m->read_unknowns; k < m->unknowns; k++)
            c->z[(size_t)m->unknowns * i + (size_t)k] = lw_random_normal(unit(&n));
    }
}

static double effective_of(lw_cloud *c)
{
    double squares = 0.0;
    memset(c->families, 0, c->draws * sizeof *c->families);
    for (uint32_t i = 0; i < c->draws; i++)
        c->families[c->family[i]]++;
    for (uint32_t i = 0; i < c->draws; i++)
        squares += (double)c->families[i] * c->families[i];
    return (double)c->draws * c->draws / squares;
}

void lw_cloud_lead(const lw_model *m, uint64_t seed, lw_cloud *c)
{
    double step[MOVE_COUNT] = {0.5, 0.7, 0.7, 0.7}, power = 0.0;
    begin(m, seed, c);
    if (most_log(c) > -INFINITY && effective_at(c, 1.0, most_log(c)) > 1.0 - 1e-12) {
        /* Every draw agrees alike: nothing to learn, and the prior's draws stay. */
        c->log_evidence = most_log(c);
        power = 1.0;
    }
    while (power < 1.0 && c->powers < POWERS_MOST) {
        const double next = c->powers == POWERS_MOST - 1 ? 1.0 : next_power(c, power);
        weigh(c, next - power);
        power = next;
        c->powers++;
        resample(m, c, seed);
        move_all(m, c, seed, power < 1.0 ? SWEEPS : SWEEPS_LAST, power, step);
    }
    if (c->powers > 0)
        draw_rest(m, seed, c);
    c->effective = effective_of(c);
}
