#include "core/sim/past.h"

#include <math.h>
#include <string.h>

#include "core/base/num.h"
#include "core/sim/step_internal.h"

/* From one moment, transfer or midnight to the next. */
typedef struct lw_stretch {
    int day;
    int transfer; /* applied at its begin; -1: none */
    int moment;   /* kept at its begin; -1: none. Behind the transfer */
} lw_stretch;

struct lw_past {
    const lw_context *context;
    lw_past_in in;
    int stretch_count;
    lw_stretch *stretch;
    double *amount; /* [stretch][strand of the context] at factor 1 */
};

typedef struct lw_past_scratch {
    lw_context context;
    lw_scenario scenario;
    lw_hour hour[];
} lw_past_scratch;

/* ------------------------------------------------------------------ what is prepared */

static int days_of(const lw_context *c)
{
    return c->steps > 0 ? c->hour[c->steps - 1].day + 1 : 1;
}

/* Moments, transfers, midnights, and the begin. */
static size_t most_stretches(const lw_past_in *in)
{
    return (size_t)in->at_count + (size_t)in->context->scenario->transfer_count + (size_t)days_of(in->context) + 2;
}

static size_t strands(const lw_context *c)
{
    return (size_t)c->strand_count;
}

static double *amounts_of(const lw_past *p, int stretch)
{
    return &p->amount[(size_t)stretch * strands(p->context)];
}

size_t lw_past_bytes(const lw_past_in *in)
{
    return sizeof(lw_past) + most_stretches(in) * (sizeof(lw_stretch) + strands(in->context) * sizeof(double)) + 256;
}

static int is_moved_by_sums(const lw_link *link)
{
    return link->kind <= LW_LINK_PUT && link->count > 0 && link->supply != LW_SUPPLY_PROPANE &&
           link->supply != LW_SUPPLY_FUEL;
}

static void add_pours(lw_past *p, int step, double share, double *amount)
{
    const lw_context *c = p->context;
    const lw_hour *hour = &c->hour[step];
    for (int i = 0; i < hour->pour_count; i++) {
        const lw_pour *pour = &c->pour[hour->pour_first + i];
        if (is_moved_by_sums(&c->strand[pour->strand].link))
            amount[pour->strand] += share * pour->amount;
    }
}

/* Steps and their parts from one time to another, seconds from the start. */
static void sum_uses(lw_past *p, int64_t from_s, int64_t to_s, double *amount)
{
    for (int64_t at_s = from_s; at_s < to_s;) {
        const int step = (int)(at_s / 3600);
        const int64_t end_s = ((int64_t)step + 1) * 3600 < to_s ? ((int64_t)step + 1) * 3600 : to_s;
        add_pours(p, step, (double)(end_s - at_s) / 3600.0, amount);
        at_s = end_s;
    }
}

typedef struct lw_next {
    int transfer, moment, step; /* step: of the next midnight */
} lw_next;

static int64_t transfer_s(const lw_past *p, int i)
{
    const lw_scenario *s = p->context->scenario;
    return i < s->transfer_count ? s->transfer[i].at_s - p->context->start_s : INT64_MAX;
}

static int64_t moment_s(const lw_past *p, int i)
{
    return i < p->in.at_count ? p->in.at_s[i] - p->context->start_s : INT64_MAX;
}

static int next_midnight(const lw_context *c, int step)
{
    int at = step + 1;
    while (at < c->steps && c->hour[at].day == c->hour[step].day)
        at++;
    return at;
}

/* What comes first: a transfer, a moment or a midnight; each begins a stretch of its own. */
static void cut_stretches(lw_past *p)
{
    const lw_context *c = p->context;
    lw_next next = {.step = next_midnight(c, 0)};
    int64_t at_s = 0;
    while (transfer_s(p, next.transfer) < 0)
        next.transfer++;
    p->stretch[p->stretch_count++] = (lw_stretch){.transfer = -1, .moment = -1};
    while (next.moment < p->in.at_count) {
        const int64_t t = transfer_s(p, next.transfer), m = moment_s(p, next.moment);
        const int64_t night_s = next.step < c->steps ? (int64_t)next.step * 3600 : INT64_MAX;
        const int64_t to_s = t <= m ? (t <= night_s ? t : night_s) : (m <= night_s ? m : night_s);
        sum_uses(p, at_s, to_s, amounts_of(p, p->stretch_count - 1));
        lw_stretch begun = {.day = p->stretch[p->stretch_count - 1].day, .transfer = -1, .moment = -1};
        if (to_s == night_s) {
            begun.day = c->hour[next.step].day;
            next.step = next_midnight(c, next.step);
        } else if (to_s == t) {
            begun.transfer = next.transfer++;
        } else {
            begun.moment = next.moment++;
        }
        p->stretch[p->stretch_count++] = begun;
        at_s = to_s;
    }
}

static lw_code check(const lw_past_in *in, lw_fault *fault)
{
    const lw_context *c = in->context;
    double before_s = 0.0;
    const lw_code step = lw_want_range(fault, "steps_per_hour", c->steps_per_hour, 1, 1);
    if (step)
        return step;
    for (int i = 0; i < in->at_count; i++) {
        const double at_s = (double)(in->at_s[i] - c->start_s);
        const lw_code bad = lw_want_range(fault, "at_s", at_s, before_s, 3600.0 * c->steps);
        if (bad)
            return bad;
        before_s = at_s;
    }
    /* each may be followed by what it leaves beside what was meant */
    _Static_assert(2 * (int)LW_TRANSFERS <= (int)LW_TRANSFERS_PLANNED, "inexact transfers find room");
    const double fits[] = {c->scenario->transfer_count, (double)most_stretches(in)};
    const double most[] = {LW_TRANSFERS, LW_PAST_STRETCHES};
    static const char *const WHAT[] = {"transfers", "stretches"};
    for (int i = 0; i < 2; i++)
        if (fits[i] > most[i]) {
            *fault = (lw_fault){.code = LW_E_FULL, .field = WHAT[i], .value = fits[i], .low = 0.0, .high = most[i]};
            return LW_E_FULL;
        }
    return LW_OK;
}

lw_code lw_past_prepare(const lw_past_in *in, lw_arena *arena, lw_past **past, lw_fault *fault)
{
    const lw_code bad = check(in, fault);
    if (bad)
        return bad;
    const size_t align = sizeof(double) * 2, most = most_stretches(in);
    lw_past *p = lw_arena_lend(arena, sizeof *p, align);
    lw_stretch *stretch = lw_arena_lend(arena, most * sizeof *stretch, align);
    double *amount = lw_arena_lend(arena, most * strands(in->context) * sizeof *amount, align);
    if (!p || !stretch || !amount) {
        *fault = (lw_fault){.code = LW_E_FULL,
                            .field = "arena_bytes",
                            .value = (double)arena->cap,
                            .low = (double)lw_past_bytes(in),
                            .high = INFINITY};
        return LW_E_FULL;
    }
    memset(p, 0, sizeof *p);
    memset(amount, 0, most * strands(in->context) * sizeof *amount);
    p->context = in->context;
    p->in = *in;
    p->stretch = stretch;
    p->amount = amount;
    cut_stretches(p);
    *past = p;
    return LW_OK;
}

const lw_scenario *lw_context_scenario(const lw_context *c)
{
    return c->scenario;
}

void lw_past_plain(const lw_past *p, lw_past_draw *draw)
{
    const lw_rig *rig = &p->context->scenario->rig;
    memset(draw, 0, sizeof *draw);
    for (int v = 0; v < rig->vessel_count; v++)
        draw->level[v] = rig->vessel[v].level, draw->capacity_frac[v] = 1.0;
    draw->battery_frac = rig->battery.level_frac;
    for (int d = 0; d < LW_DAYS + 2; d++)
        for (int g = 0; g < LW_GROUP_COUNT; g++)
            draw->factor[d][g] = 1.0f;
}

/* ------------------------------------------------------------------ by sums */

int lw_past_is_by_sums(const lw_past *p, int vessel)
{
    const lw_supply supply = p->context->scenario->rig.vessel[vessel].supply;
    return supply != LW_SUPPLY_PROPANE && supply != LW_SUPPLY_FUEL;
}

double lw_past_use(const lw_past *p, int vessel, int group)
{
    double sum = 0.0;
    for (int k = 0; k < p->context->strand_count; k++) {
        const lw_strand *strand = &p->context->strand[k];
        int is_reached = 0;
        for (int i = 0; i < strand->link.count; i++)
            is_reached |= strand->link.vessel[i] == vessel;
        for (int i = 0; is_reached && strand->group == group && i < p->stretch_count; i++)
            sum += amounts_of(p, i)[k];
    }
    return sum;
}

/* more: what a vessel holds beyond its stated capacity. */
static void move_along(const lw_link *link, double amount, const double *more, double *level)
{
    for (int i = 0; i < link->count && amount > 0.0; i++) {
        double *at = &level[link->vessel[i]];
        const double room =
            link->kind == LW_LINK_DRAW ? *at - link->limit[i] : link->limit[i] + more[link->vessel[i]] - *at;
        const double moved = lw_most(lw_least(room, amount), 0.0);
        *at += link->kind == LW_LINK_DRAW ? -moved : moved;
        amount -= moved;
    }
}

static void transfer_inexactly(const lw_scenario *s, int i, double beside, const double *more, double *level)
{
    const lw_transfer *t = &s->transfer[i];
    const lw_vessel *v = &s->rig.vessel[t->vessel];
    const double capacity = v->capacity + more[t->vessel];
    double *at = &level[t->vessel];
    switch (t->kind) {
    case LW_TRANSFER_FILL:
        *at = lw_most(capacity - beside, 0.0);
        break;
    case LW_TRANSFER_EMPTY:
        *at = lw_least(lw_most(lw_least(v->residue, *at) + beside, 0.0), capacity);
        break;
    case LW_TRANSFER_ADD:
        *at = lw_least(lw_most(lw_least(lw_most(*at + t->amount, 0.0), capacity) + beside, 0.0), capacity);
        break;
    }
}

void lw_past_sums(const lw_past *p, const lw_past_draw *draw, double (*level)[LW_VESSELS])
{
    double now[LW_VESSELS], more[LW_VESSELS];
    const lw_rig *rig = &p->context->scenario->rig;
    memcpy(now, draw->level, sizeof now);
    for (int v = 0; v < rig->vessel_count; v++)
        more[v] = rig->vessel[v].capacity * (draw->capacity_frac[v] - 1.0);
    for (int i = 0; i < p->stretch_count; i++) {
        const lw_stretch *stretch = &p->stretch[i];
        const double *amount = amounts_of(p, i);
        if (stretch->transfer >= 0)
            transfer_inexactly(p->context->scenario, stretch->transfer, draw->beside[stretch->transfer], more, now);
        if (stretch->moment >= 0)
            memcpy(level[stretch->moment], now, sizeof now);
        for (int k = 0; k < p->context->strand_count; k++)
            if (amount[k] > 0.0)
                move_along(&p->context->strand[k].link,
                           amount[k] * (double)draw->factor[stretch->day][p->context->strand[k].group], more, now);
    }
}

/* ------------------------------------------------------------------ by the engine */

size_t lw_past_scratch_bytes(const lw_context *c)
{
    return sizeof(lw_past_scratch) + (size_t)c->steps * sizeof(lw_hour);
}

/* Each inexact transfer is followed by what it leaves beside what was meant. */
static void put_transfers(const lw_past *p, const lw_past_draw *draw, lw_past_scratch *x)
{
    const lw_scenario *from = p->context->scenario;
    lw_scenario *to = &x->scenario;
    to->transfer_count = 0;
    for (int i = 0; i < from->transfer_count; i++) {
        to->transfer[to->transfer_count++] = from->transfer[i];
        if (!p->in.is_inexact[i])
            continue;
        lw_transfer *beside = &to->transfer[to->transfer_count++];
        *beside = from->transfer[i];
        beside->kind = LW_TRANSFER_ADD;
        beside->amount = from->transfer[i].kind == LW_TRANSFER_FILL ? -draw->beside[i] : draw->beside[i];
    }
}

void lw_past_begin(const lw_past *p, void *scratch)
{
    const lw_context *c = p->context;
    lw_past_scratch *x = scratch;
    x->context = *c;
    x->scenario = *c->scenario;
    memcpy(x->hour, c->hour, (size_t)c->steps * sizeof *x->hour);
    x->context.hour = x->hour;
    x->context.scenario = &x->scenario;
}

static void begin_draw(const lw_past *p, const lw_past_draw *draw, lw_past_scratch *x)
{
    x->context.use_factor = &draw->factor[0][0];
    put_transfers(p, draw, x);
}

static lw_state start_of(const lw_context *c, const lw_past_draw *draw)
{
    lw_state s;
    lw_state_start(c, &s);
    memcpy(s.level, draw->level, sizeof s.level);
    const lw_kibam_state wells = lw_battery_at_soc(&c->battery, draw->battery_frac);
    s.battery_q1_ah = wells.q1_ah;
    s.battery_q2_ah = wells.q2_ah;
    return s;
}

static void begin_step(const lw_past *p, const lw_past_draw *draw, int step, int is_first, lw_context *c)
{
    lw_hour *hour = &c->hour[step];
    if (hour->need_count > 0)
        lw_sum_uses(c, hour);
    if (!is_first && hour->day == c->hour[step - 1].day)
        return;
    const double heat = (double)draw->factor[hour->day][LW_GROUP_HEAT];
    c->ua_wk = p->context->ua_wk * heat;
    c->wind_wkpms = p->context->wind_wkpms * heat;
    c->decay_calm = exp(-c->ua_wk * c->step_h * 3600.0 / c->mass_jk);
}

/* From where in a step to where; nothing for an empty part. */
static void part(const lw_context *c, int step, double from, double to, lw_state *s)
{
    lw_flows flows = {{0}};
    lw_step_note note;
    note.wants = NULL;
    if (to > from)
        lw_step(c, LW_MODE_OWN, step, from, to, s, &flows, &note);
}

/* From a state at a moment through the first `count` moments; at: NULL, or a state for each. Transfers up to that moment are
 * done with where they are behind it. */
static void run(const lw_past *p, const lw_past_draw *draw, int64_t from_s, int is_behind, int count, void *scratch,
                lw_state *s, lw_state *at)
{
    lw_past_scratch *x = scratch;
    int moment = 0, transfer = 0;
    begin_draw(p, draw, x);
    const lw_context *c = &x->context;
    const lw_transfer *list = x->scenario.transfer;
    while (transfer < x->scenario.transfer_count && list[transfer].at_s < from_s + is_behind)
        transfer++;
    const int first = (int)((from_s - c->start_s) / 3600);
    double from = (double)(from_s - c->start_s) / 3600.0 - first;
    for (int step = first; moment < count; step++, from = 0.0) {
        const int64_t begin_s = c->start_s + (int64_t)step * 3600;
        if (step < c->steps)
            begin_step(p, draw, step, step == first, &x->context);
        for (;;) {
            const int64_t t = transfer < x->scenario.transfer_count ? list[transfer].at_s : INT64_MAX;
            const int64_t m = moment < count ? p->in.at_s[moment] : INT64_MAX;
            const int64_t next_s = t <= m ? t : m;
            if (next_s >= begin_s + 3600)
                break;
            const double to = (double)(next_s - begin_s) / 3600.0;
            part(c, step, from, to, s);
            from = to;
            if (t <= m) {
                lw_flows flows = {{0}};
                lw_apply_transfer(c, &list[transfer++], s, &flows);
            } else {
                if (at)
                    at[moment] = *s;
                moment++;
            }
        }
        if (moment < count)
            part(c, step, from, 1.0, s);
    }
}

void lw_past_run(const lw_past *p, const lw_past_draw *draw, int count, void *scratch, lw_state *at)
{
    lw_state s = start_of(p->context, draw);
    run(p, draw, p->context->start_s, 0, count, scratch, &s, at);
}

void lw_past_go_on(const lw_past *p, const lw_past_draw *draw, int64_t from_s, void *scratch, lw_state *state)
{
    run(p, draw, from_s, 1, p->in.at_count, scratch, state, NULL);
}
