#include "core/plan/runs.h"

#include <math.h>
#include <string.h>

#include "core/base/num.h"

enum { HOURS = 24, MASKS = 1 << LW_RUN_SUPPLIES };

static const double EPS_H = 1e-9, EPS_USD = 1e-9;

/* The cheapest run of a day and type that serves just these supplies. */
typedef struct option {
    double usd;
    uint32_t services, supplies;
    int type;
} option;

typedef struct label {
    double usd;
    int parent;                    /* -1: the arrival */
    int16_t day, option;           /* the run that led here, on the day before; option -1: none */
    int8_t until[LW_RUN_SUPPLIES]; /* covered through this day */
} label;

typedef struct planner {
    const lw_runs_in *in;
    option *option; /* of all days, one after the other */
    int first_option[LW_RUN_DAYS + 1];
    double (*least)[LW_RUN_DAYS + 1]; /* [supply][covered through + 1]: what it costs alone from there */
    label *label;
    int label_count, from, to; /* of the day at hand */
    double best_usd;
    int best;
} planner;

/* ------------------------------------------------------------------ one run */

static double hours_of(const lw_runs_in *in, int type, uint32_t services)
{
    double road_h = 0.0, there_h = 0.0;
    for (int j = 0; j < in->service_count; j++)
        if (services >> j & 1u) {
            road_h = lw_most(road_h, in->service[j].road_h);
            there_h += in->service[j].time_h + in->type[type].more_h;
        }
    return in->type[type].own_h + 2.0 * road_h + there_h;
}

static double km_of(const lw_runs_in *in, uint32_t services)
{
    double km = 0.0;
    for (int j = 0; j < in->service_count; j++)
        if (services >> j & 1u)
            km = lw_most(km, in->service[j].road_km);
    return 2.0 * km;
}

static double cost_of(const lw_runs_in *in, int type, uint32_t services)
{
    double usd = in->type[type].own_usd + in->hour_usd * hours_of(in, type, services) +
                 in->type[type].km_usd * km_of(in, services);
    for (int j = 0; j < in->service_count; j++)
        usd += services >> j & 1u ? in->service[j].fee_usd : 0.0;
    return usd;
}

/* Hours from .. to - 1 as bits; none where they do not lie in a day. */
static uint32_t span_bits(int from, int to)
{
    return to > from ? ((UINT32_C(1) << to) - 1u) & ~((UINT32_C(1) << from) - 1u) : 0u;
}

static int is_open(const lw_run_service *service, int day, int from, int hours)
{
    const int road = (int)floor(service->road_h + EPS_H);
    const uint32_t wanted = span_bits(from + road, from + hours - road);
    return (service->open[day] & wanted) == wanted;
}

int lw_run_fits(const lw_runs_in *in, int day, int type, uint32_t services, int *hours)
{
    *hours = (int)ceil(hours_of(in, type, services) - EPS_H);
    *hours = *hours > 0 ? *hours : 1;
    for (int from = 0; from + *hours <= HOURS; from++) {
        const uint32_t wanted = span_bits(from, from + *hours);
        int fits = (in->type[type].free[day] & wanted) == wanted;
        for (int j = 0; j < in->service_count && fits; j++)
            fits = !(services >> j & 1u) || is_open(&in->service[j], day, from, *hours);
        if (fits)
            return from;
    }
    return -1;
}

/* ------------------------------------------------------------------ options of a day */

static uint32_t served_by(const lw_runs_in *in, int type, uint32_t services)
{
    uint32_t supplies = 0;
    for (int j = 0; j < in->service_count; j++)
        supplies |= services >> j & 1u ? in->service[j].gives : 0u;
    return supplies & in->type[type].carries;
}

/* An option that another of its type serves no less for no more is none. */
static int is_outdone(const double *usd, uint32_t supplies, uint32_t all)
{
    for (uint32_t more = (supplies + 1) | supplies; more <= all; more = (more + 1) | supplies)
        if ((more & supplies) == supplies && usd[more] <= usd[supplies] + EPS_USD)
            return 1;
    return 0;
}

static int same_day(const lw_runs_in *in, int a, int b, int type)
{
    if (in->type[type].free[a] != in->type[type].free[b])
        return 0;
    for (int j = 0; j < in->service_count; j++)
        if (in->service[j].open[a] != in->service[j].open[b])
            return 0;
    return 1;
}

static void options_of_type(planner *p, int day, int type, int *count)
{
    const lw_runs_in *in = p->in;
    const uint32_t all = (UINT32_C(1) << in->supply_count) - 1u;
    static const uint32_t NONE = 0;
    double usd[MASKS];
    uint32_t services_of[MASKS];
    for (int like = 0; like < day; like++) { /* a weekday like one before */
        if (!same_day(in, like, day, type))
            continue;
        for (int i = p->first_option[like]; i < p->first_option[like + 1]; i++)
            if (p->option[i].type == type)
                p->option[(*count)++] = p->option[i];
        return;
    }
    for (uint32_t m = 0; m <= all; m++)
        usd[m] = INFINITY, services_of[m] = NONE;
    for (uint32_t services = 1; services < UINT32_C(1) << in->service_count; services++) {
        int hours;
        const uint32_t supplies = served_by(in, type, services);
        const double cost = cost_of(in, type, services);
        if (supplies && cost < usd[supplies] && lw_run_fits(in, day, type, services, &hours) >= 0)
            usd[supplies] = cost, services_of[supplies] = services;
    }
    for (uint32_t m = 1; m <= all; m++)
        if (!isinf(usd[m]) && !is_outdone(usd, m, all))
            p->option[(*count)++] = (option){.usd = usd[m], .services = services_of[m], .supplies = m, .type = type};
}

static void find_options(planner *p)
{
    int count = 0;
    for (int d = 0; d < p->in->days; d++) {
        p->first_option[d] = count;
        for (int r = 0; r < p->in->type_count; r++)
            options_of_type(p, d, r, &count);
        p->first_option[d + 1] = count;
    }
}

/* ------------------------------------------------------------------ bounds */

static int covered_by(const lw_runs_in *in, int supply, int type, int day)
{
    const int until = day + in->lasts[supply][type][day];
    return until < in->days ? until : in->days - 1;
}

/* Each supply by itself: the least that it costs from the day through which it is covered. */
static void bound_supply(planner *p, int k)
{
    const int days = p->in->days;
    p->least[k][days] = 0.0;
    for (int covered = days - 1; covered >= 0; covered--) { /* days 0 .. covered - 1 are */
        double least = INFINITY;
        for (int d = 0; d < covered; d++)
            for (int i = p->first_option[d]; i < p->first_option[d + 1]; i++) {
                const int until = covered_by(p->in, k, p->option[i].type, d) + 1;
                if ((p->option[i].supplies >> k & 1u) && until > covered)
                    least = lw_least(least, p->option[i].usd + p->least[k][until]);
            }
        p->least[k][covered] = least;
    }
}

static double bound_of(const planner *p, const label *l)
{
    double most = 0.0;
    for (int k = 0; k < p->in->supply_count; k++)
        most = lw_most(most, p->least[k][l->until[k] + 1]);
    return most;
}

/* ------------------------------------------------------------------ labels */

/* Does a cover no less than b, for no more. */
static int is_no_worse(const planner *p, const label *a, const label *b)
{
    int covers = a->usd <= b->usd + EPS_USD;
    for (int k = 0; k < p->in->supply_count && covers; k++)
        covers = a->until[k] >= b->until[k];
    return covers;
}

static int is_dominated(const planner *p, const label *l)
{
    for (int i = p->to; i < p->label_count; i++)
        if (is_no_worse(p, &p->label[i], l))
            return 1;
    return 0;
}

/* What the new label makes needless goes; the last takes its place. */
static void drop_dominated(planner *p, const label *l)
{
    for (int i = p->to; i < p->label_count;)
        if (is_no_worse(p, l, &p->label[i]))
            p->label[i] = p->label[--p->label_count];
        else
            i++;
}

static lw_code add_label(planner *p, const label *l)
{
    const double bound = bound_of(p, l);
    if (isinf(bound) || l->usd + bound >= p->best_usd - EPS_USD || is_dominated(p, l))
        return LW_OK;
    drop_dominated(p, l);
    if (p->label_count == LW_RUN_LABELS)
        return LW_E_FULL;
    p->label[p->label_count++] = *l;
    return LW_OK;
}

static label after_run(const planner *p, int parent, int day, int at)
{
    const option *o = &p->option[at];
    label l = p->label[parent];
    l.usd += o->usd;
    l.parent = parent;
    l.day = (int16_t)day;
    l.option = (int16_t)(at - p->first_option[day]);
    for (int k = 0; k < p->in->supply_count; k++) {
        const int until = covered_by(p->in, k, o->type, day);
        if ((o->supplies >> k & 1u) && until > l.until[k])
            l.until[k] = (int8_t)until;
    }
    return l;
}

static int is_through(const planner *p, const label *l)
{
    for (int k = 0; k < p->in->supply_count; k++)
        if (l->until[k] < p->in->days - 1)
            return 0;
    return 1;
}

static void finish(planner *p, int at)
{
    if (is_through(p, &p->label[at]) && p->label[at].usd < p->best_usd) {
        p->best_usd = p->label[at].usd;
        p->best = at;
    }
}

static int is_covered(const planner *p, const label *l, int day)
{
    for (int k = 0; k < p->in->supply_count; k++)
        if (l->until[k] < day)
            return 0;
    return 1;
}

/* From the labels of a day's morning those of the next. Runs that cover nothing longer are none. */
static lw_code next_day(planner *p, int day)
{
    p->to = p->label_count;
    for (int i = p->from; i < p->to; i++) {
        if (!is_covered(p, &p->label[i], day))
            continue;
        label stays = p->label[i];
        stays.parent = i, stays.option = -1, stays.day = (int16_t)day;
        lw_code code = add_label(p, &stays);
        for (int o = p->first_option[day]; o < p->first_option[day + 1] && !code; o++) {
            const label l = after_run(p, i, day, o);
            code = add_label(p, &l);
        }
        if (code)
            return code;
    }
    p->from = p->to;
    return LW_OK;
}

/* ------------------------------------------------------------------ the answer */

static void give_runs(const planner *p, lw_runs_out *out)
{
    const lw_runs_in *in = p->in;
    out->is_found = 1;
    out->usd = p->best_usd;
    out->count = 0;
    for (int at = p->best; at >= 0 && p->label[at].parent >= 0; at = p->label[at].parent) {
        const label *l = &p->label[at];
        if (l->option < 0)
            continue;
        const option *o = &p->option[p->first_option[l->day] + l->option];
        lw_run *run = &out->run[out->count++];
        *run =
            (lw_run){.day = l->day, .type = o->type, .services = o->services, .supplies = o->supplies, .usd = o->usd};
        run->from_hour = lw_run_fits(in, l->day, o->type, o->services, &run->hours);
        run->spent_h = hours_of(in, o->type, o->services);
        run->road_km = km_of(in, o->services);
        for (int j = 0; j < in->service_count; j++)
            if (o->services >> j & 1u)
                run->road_h = lw_most(run->road_h, 2.0 * in->service[j].road_h);
    }
    for (int i = 0; i < out->count / 2; i++) {
        const lw_run swap = out->run[i];
        out->run[i] = out->run[out->count - 1 - i];
        out->run[out->count - 1 - i] = swap;
    }
}

/* All days from the arrival on. */
static lw_code sweep(planner *p, const label *start, lw_runs_out *out)
{
    p->label[0] = *start;
    p->label_count = 1;
    p->from = p->to = 0;
    p->best = -1;
    finish(p, 0);
    for (int d = 0; d < p->in->days; d++) {
        if (next_day(p, d))
            return LW_E_FULL;
        for (int i = p->from; i < p->label_count; i++)
            finish(p, i);
    }
    out->labels += p->label_count;
    if (p->best >= 0)
        give_runs(p, out);
    return LW_OK;
}

lw_code lw_runs_check(const lw_runs_in *in, lw_fault *fault)
{
    const lw_want counts[] = {
        {"days", in->days, 1, LW_RUN_DAYS},
        {"supply_count", in->supply_count, 1, LW_RUN_SUPPLIES},
        {"service_count", in->service_count, 0, LW_RUN_SERVICES},
        {"type_count", in->type_count, 0, LW_RUN_TYPES},
        {"hour_usd", in->hour_usd, 0.0, 1e6},
    };
    lw_code bad = lw_want_all(fault, LW_WANTS(counts));
    for (int k = 0; k < in->supply_count && !bad; k++) {
        bad = lw_want_range(fault, "first", in->first[k], 0, 1000);
        for (int r = 0; r < in->type_count && !bad; r++)
            for (int d = 0; d < in->days && !bad; d++)
                bad = lw_want_range(fault, "lasts", in->lasts[k][r][d], 0, 1000);
    }
    for (int j = 0; j < in->service_count && !bad; j++) {
        const lw_run_service *s = &in->service[j];
        const lw_want wants[] = {{"road_h", s->road_h, 0.0, 24.0},
                                 {"road_km", s->road_km, 0.0, 2000.0},
                                 {"time_h", s->time_h, 0.0, 24.0},
                                 {"fee_usd", s->fee_usd, 0.0, 1e5}};
        bad = lw_want_all(fault, LW_WANTS(wants));
    }
    for (int r = 0; r < in->type_count && !bad; r++) {
        const lw_run_type *t = &in->type[r];
        const lw_want wants[] = {{"own_h", t->own_h, 0.0, 24.0},
                                 {"own_usd", t->own_usd, 0.0, 1e6},
                                 {"km_usd", t->km_usd, 0.0, 1e3},
                                 {"more_h", t->more_h, 0.0, 24.0}};
        bad = lw_want_all(fault, LW_WANTS(wants));
    }
    return bad;
}

static size_t options_most(void)
{
    return (size_t)LW_RUN_DAYS * LW_RUN_TYPES * MASKS;
}

size_t lw_runs_bytes(void)
{
    return LW_RUN_LABELS * sizeof(label) + options_most() * sizeof(option) +
           sizeof(double[LW_RUN_SUPPLIES][LW_RUN_DAYS + 1]) + 256;
}

lw_code lw_runs_plan(const lw_runs_in *in, lw_arena *arena, lw_runs_out *out, lw_fault *fault)
{
    planner p = {.in = in, .best_usd = INFINITY, .best = -1};
    p.label = lw_arena_lend(arena, LW_RUN_LABELS * sizeof *p.label, sizeof(double));
    p.option = lw_arena_lend(arena, options_most() * sizeof *p.option, sizeof(double));
    p.least = lw_arena_lend(arena, sizeof(double[LW_RUN_SUPPLIES][LW_RUN_DAYS + 1]), sizeof(double));
    *fault = (lw_fault){.code = LW_E_FULL, .field = "labels", .value = LW_RUN_LABELS, .high = LW_RUN_LABELS};
    if (!p.label || !p.option || !p.least)
        return LW_E_FULL;
    *out = (lw_runs_out){.short_supply = -1, .usd = INFINITY};
    find_options(&p);
    label start = {.parent = -1, .option = -1};
    for (int k = 0; k < in->supply_count; k++) {
        bound_supply(&p, k);
        start.until[k] = (int8_t)((in->first[k] < in->days ? in->first[k] : in->days) - 1);
        if (isinf(p.least[k][start.until[k] + 1]) && out->short_supply < 0)
            out->short_supply = k;
    }
    if (out->short_supply < 0 && sweep(&p, &start, out))
        return LW_E_FULL;
    *fault = (lw_fault){.code = LW_OK};
    return LW_OK;
}
