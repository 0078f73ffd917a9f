#include <math.h>

#include "core/base/num.h"
#include "core/plan/runs_internal.h"

enum { HOURS = 24 };

static const double EPS_H = 1e-9, EPS_USD = 1e-9;

/* ------------------------------------------------------------------ one run */

double lw_run_hours(const lw_runs_in *in, int type, uint32_t services, uint32_t supplies)
{
    const lw_run_type *t = &in->type[type];
    double road_h = 0.0, there_h = 0.0;
    for (int j = 0; j < in->service_count; j++)
        if (services >> j & 1u) {
            road_h = lw_most(road_h, in->service[j].road_h);
            there_h += in->service[j].time_h + t->more_h;
        }
    for (int k = 0; k < in->supply_count; k++)
        there_h += supplies >> k & 1u ? t->each_h[k] : 0.0;
    return t->own_h + 2.0 * road_h + there_h;
}

double lw_run_km(const lw_runs_in *in, uint32_t services)
{
    double km = 0.0;
    for (int j = 0; j < in->service_count; j++)
        if (services >> j & 1u)
            km = lw_most(km, in->service[j].road_km);
    return 2.0 * km;
}

/* Hours from .. to - 1 as bits; none where they do not lie in a day. */
static uint32_t span_bits(int from, int to)
{
    return to > from ? ((UINT32_C(1) << to) - 1u) & ~((UINT32_C(1) << from) - 1u) : 0u;
}

/* The services by their roads, the nearest first. */
static int in_order(const lw_runs_in *in, uint32_t services, int order[LW_RUN_SERVICES])
{
    int count = 0;
    for (int j = 0; j < in->service_count; j++) {
        if (!(services >> j & 1u))
            continue;
        int at = count++;
        for (; at > 0 && in->service[order[at - 1]].road_h > in->service[j].road_h; at--)
            order[at] = order[at - 1];
        order[at] = j;
    }
    return count;
}

/* Setting out then, each is open while it is called at. */
static int are_open(const lw_runs_in *in, int slot, int type, const int *order, int count, int from, int is_way_back)
{
    const lw_run_type *t = &in->type[type];
    const double farthest_h = in->service[order[count - 1]].road_h;
    double there_h = 0.0;
    for (int i = 0; i < count; i++) {
        const lw_run_service *s = &in->service[order[is_way_back ? count - 1 - i : i]];
        const double road_h = is_way_back ? 2.0 * farthest_h - s->road_h : s->road_h;
        const double come_h = from + 0.5 * t->own_h + road_h + there_h, go_h = come_h + s->time_h + t->more_h;
        const uint32_t wanted = span_bits((int)floor(come_h + EPS_H), (int)ceil(go_h - EPS_H));
        if ((s->open[slot] & wanted) != wanted || go_h > HOURS)
            return 0;
        there_h = there_h + s->time_h + t->more_h;
    }
    return 1;
}

static int fits(const lw_runs_in *in, int slot, int type, uint32_t services, double hours_h, int is_last,
                int *is_way_back)
{
    int order[LW_RUN_SERVICES] = {0};
    const int count = in_order(in, services, order);
    int hours = (int)ceil(hours_h - EPS_H);
    hours = hours > 0 ? hours : 1;
    for (int i = 0; i + hours <= HOURS; i++) {
        const int from = is_last ? HOURS - hours - i : i;
        const uint32_t wanted = span_bits(from, from + hours);
        if ((in->type[type].free[slot] & wanted) != wanted)
            continue;
        for (*is_way_back = 0; *is_way_back < 2; ++*is_way_back)
            if (are_open(in, slot, type, order, count, from, *is_way_back))
                return from;
    }
    return -1;
}

int lw_run_fits(const lw_runs_in *in, int slot, int type, uint32_t services, uint32_t supplies, int is_last)
{
    int unused;
    return services ? fits(in, slot, type, services, lw_run_hours(in, type, services, supplies), is_last, &unused) : -1;
}

int lw_run_goes_back(const lw_runs_in *in, int slot, int type, uint32_t services, uint32_t supplies, int is_last)
{
    int is_way_back = 0;
    (void)fits(in, slot, type, services, lw_run_hours(in, type, services, supplies), is_last, &is_way_back);
    return is_way_back;
}

/* ------------------------------------------------------------------ runs of a slot */

typedef struct cheapest {
    double usd[LW_RUN_MASKS];
    uint32_t services[LW_RUN_MASKS];
} cheapest;

static lw_run_visit visit_of(const lw_runs_in *in, int type, uint32_t services)
{
    const lw_run_type *t = &in->type[type];
    lw_run_visit v = {.usd = t->own_usd + t->km_usd * lw_run_km(in, services) +
                             in->hour_usd * lw_run_hours(in, type, services, 0)};
    for (int j = 0; j < in->service_count; j++) {
        const lw_run_service *s = &in->service[j];
        if (!(services >> j & 1u))
            continue;
        v.usd += s->fee_usd;
        for (int k = 0; k < in->supply_count; k++)
            if (s->gives & t->carries & (UINT32_C(1) << k)) {
                const int is_first = !(v.supplies >> k & 1u);
                v.each_usd[k] = is_first ? s->each_usd[k] : lw_least(v.each_usd[k], s->each_usd[k]);
                v.supplies |= UINT32_C(1) << k;
            }
    }
    for (int k = 0; k < in->supply_count; k++)
        if ((v.supplies >> k & 1u) && (v.each_usd[k] > 0.0 || t->each_h[k] > 0.0)) {
            v.each_usd[k] += in->hour_usd * t->each_h[k];
            v.priced |= UINT32_C(1) << k;
        }
    for (int k = 0; k < in->supply_count; k++) /* what brings a priced one along may be left out for that */
        v.priced |= (v.supplies >> k & 1u) && (in->with[k] & v.priced) ? UINT32_C(1) << k : 0u;
    return v;
}

static int is_alone(const lw_runs_in *in, const lw_run_visit *v, uint32_t supplies)
{
    for (int k = 0; k < in->supply_count; k++)
        if ((supplies >> k & 1u) && (in->with[k] & v->supplies & ~supplies))
            return 1;
    return 0;
}

/* With each choice of the priced supplies; the sums of the choices build on one another. */
static void take_services(const lw_runs_in *in, int slot, int type, uint32_t services, const lw_run_visit *v,
                          cheapest *c)
{
    double usd[LW_RUN_MASKS];
    uint32_t supplies[LW_RUN_MASKS];
    int count = 1;
    usd[0] = v->usd, supplies[0] = v->supplies & ~v->priced;
    for (int k = 0; k < in->supply_count; k++)
        if (v->supplies >> k & ~(v->priced >> k) & 1u)
            usd[0] += v->each_usd[k];
    for (int k = 0; k < in->supply_count; k++)
        for (int i = 0, before = count; i < before && (v->priced >> k & 1u); i++, count++)
            usd[count] = usd[i] + v->each_usd[k], supplies[count] = supplies[i] | UINT32_C(1) << k;
    for (int i = 0; i < count; i++) {
        const uint32_t m = supplies[i];
        if (m && usd[i] < c->usd[m] - EPS_USD && !is_alone(in, v, m) &&
            lw_run_fits(in, slot, type, services, m, 0) >= 0)
            c->usd[m] = usd[i], c->services[m] = services;
    }
}

static int is_alike(const lw_runs_in *in, int a, int b, int type)
{
    if (in->type[type].free[a] != in->type[type].free[b])
        return 0;
    for (int j = 0; j < in->service_count; j++)
        if (in->service[j].open[a] != in->service[j].open[b])
            return 0;
    return 1;
}

static void put_ticks(const lw_runs_in *in, int slot, lw_run_option *o)
{
    o->need = (int16_t)lw_least(ceil((in->midnight_h[slot] + o->back_h) / in->tick_h - EPS_H), LW_RUN_TICKS);
    o->shift = (int16_t)floor(o->back_h / in->tick_h + EPS_H);
}

/* A weekday like one before has its runs. */
static int copy_of_type(const lw_runs_in *in, lw_run_options *o, int slot, int type, int *count)
{
    for (int like = 0; like < slot; like++) {
        if (!is_alike(in, like, slot, type))
            continue;
        for (int i = o->first[like]; i < o->first[like + 1]; i++)
            if (o->option[i].type == type) {
                o->option[*count] = o->option[i];
                put_ticks(in, slot, &o->option[(*count)++]);
            }
        return 1;
    }
    return 0;
}

/* Serves no less, no later if the moment before counts and no sooner if the one behind does, for no more. */
static int is_outdone(const lw_run_option *o, const lw_run_option *by)
{
    return (by->supplies & o->supplies) == o->supplies && by->usd <= o->usd + EPS_USD && by->need <= o->need &&
           by->shift >= o->shift;
}

static void add_option(const lw_runs_in *in, lw_run_options *o, int slot, int type, const cheapest *c,
                       uint32_t supplies, int is_last, int begun, int *count)
{
    const int from = lw_run_fits(in, slot, type, c->services[supplies], supplies, is_last);
    lw_run_option one = {.usd = c->usd[supplies],
                         .back_h = from + lw_run_hours(in, type, c->services[supplies], supplies),
                         .services = c->services[supplies],
                         .supplies = supplies,
                         .type = (int16_t)type,
                         .way = (int16_t)(2 * type + is_last),
                         .from_hour = (int16_t)from};
    put_ticks(in, slot, &one);
    for (int i = begun; i < *count; i++)
        if (is_outdone(&one, &o->option[i]))
            return;
    o->option[(*count)++] = one;
}

static void options_of_type(const lw_runs_in *in, lw_run_options *o, int slot, int type, int *count)
{
    const uint32_t all = (UINT32_C(1) << in->supply_count) - 1u;
    cheapest c;
    if (copy_of_type(in, o, slot, type, count))
        return;
    for (uint32_t m = 0; m <= all; m++)
        c.usd[m] = INFINITY, c.services[m] = 0;
    for (uint32_t services = 1; services < UINT32_C(1) << in->service_count && in->type[type].free[slot]; services++)
        take_services(in, slot, type, services, &o->visit[type][services], &c);
    const int begun = *count;
    for (uint32_t m = all; m > 0; m--)
        for (int is_last = 0; is_last < 2 && !isinf(c.usd[m]); is_last++)
            add_option(in, o, slot, type, &c, m, is_last, begun, count);
}

/* Which of the slot's moments each run belongs to: those of a type that are back at the same ticks. */
static void number_moments(lw_run_options *o, int slot)
{
    int count = 0;
    for (int i = o->first[slot]; i < o->first[slot + 1]; i++) {
        lw_run_option *one = &o->option[i];
        one->moment = -1;
        for (int j = o->first[slot]; j < i && one->moment < 0; j++) {
            const lw_run_option *by = &o->option[j];
            if (by->type == one->type && by->need == one->need && by->shift == one->shift)
                one->moment = by->moment;
        }
        one->moment = one->moment < 0 ? (int16_t)count++ : one->moment;
    }
}

void lw_run_options_find(const lw_runs_in *in, lw_run_options *options)
{
    int count = 0;
    for (int r = 0; r < in->type_count; r++)
        for (uint32_t services = 1; services < UINT32_C(1) << in->service_count; services++)
            options->visit[r][services] = visit_of(in, r, services);
    for (int s = 0; s < in->slots; s++) {
        options->first[s] = count;
        for (int r = 0; r < in->type_count; r++)
            options_of_type(in, options, s, r, &count);
        options->first[s + 1] = count;
        number_moments(options, s);
    }
}
