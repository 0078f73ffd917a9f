#include "service/convoy.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/tzif.h"
#include "service/convoy_internal.h"
#include "service/errand_row.h"
#include "service/prices.h"
#include "service/words_internal.h"
#include "text/decimal.h"
#include "text/say.h"

enum { TICK_H = 3, MORNING_H = 7, NOON_H = 14, TO_H = 21 };

static const double HOUR_S = 3600.0, DAY_S = 86400.0;

/* Breaking camp, where a household says nothing of it: from memory, as in exchange/errands.h. */
static const double BREAK_H = 1.5;

/* Errands for others can serve these; black water goes with its own rig. */
static const lw_supply SERVED[] = {LW_SUPPLY_FRESH,   LW_SUPPLY_DRINKING, LW_SUPPLY_GREY, LW_SUPPLY_FUEL,
                                   LW_SUPPLY_PROPANE, LW_SUPPLY_RUBBISH,  LW_SUPPLY_FOOD};
enum { SERVED_COUNT = sizeof SERVED / sizeof SERVED[0] };

/* A way of going: a thing that is lent, or breaking camp (thing -1). */
typedef struct way {
    int member, thing;
} way;

/* Runs of some of the rigs. */
typedef struct trip {
    uint32_t rigs; /* bit per member */
    way way[LW_CONVOY_WAYS];
    int way_count;
    int supply[LW_RUN_SUPPLIES], service[LW_RUN_SERVICES];
    lw_runs_in in;
    lw_runs_out out;
} trip;

typedef struct maker {
    lw_convoy *to;
    const lw_errands *errands;
    lw_arena arena;
    int slots;
    double rig_km_usd; /* a kilometre of a rig that breaks camp */
} maker;

static int is_of(const trip *t, int member)
{
    return (int)(t->rigs >> member & 1u);
}

/* ------------------------------------------------------------------ what is carried */

static double use_of(const maker *m, const trip *t, lw_supply supply)
{
    double use = 0.0;
    for (int i = 0; i < m->to->count; i++) {
        const lw_convoy_supply *s = &m->to->member[i].rig.supply[supply];
        use += is_of(t, i) && s->is_present && s->use_per_day > 0.0 ? s->use_per_day : 0.0;
    }
    return use;
}

/* Litres that go with a way: its own cans, and every bladder that is lent. INFINITY: the rig itself goes. */
static double litres(const maker *m, const trip *t, const way *w, lw_supply supply)
{
    double sum = 0.0;
    if (w->thing < 0)
        return INFINITY;
    for (int i = 0; i < m->to->count; i++)
        for (int k = 0; is_of(t, i) && k < m->to->member[i].rig.thing_count; k++) {
            const lw_convoy_thing *thing = &m->to->member[i].rig.thing[k];
            if ((i == w->member && k == w->thing) || thing->kind == LW_CONVOY_BLADDER)
                sum += supply == LW_SUPPLY_FRESH ? thing->water_l : thing->waste_l;
        }
    return sum;
}

static int carries(const maker *m, const trip *t, const way *w, lw_supply supply)
{
    return w->thing < 0 || (supply != LW_SUPPLY_FRESH && supply != LW_SUPPLY_GREY) || litres(m, t, w, supply) > 0.0;
}

/* Days that a supply lasts in all of the rigs after such a run. */
static double days_after(const maker *m, const trip *t, const way *w, lw_supply supply)
{
    double days = INFINITY;
    for (int i = 0; i < m->to->count; i++) {
        const lw_convoy_supply *s = &m->to->member[i].rig.supply[supply];
        if (is_of(t, i) && s->is_present)
            days = fmin(days, s->full_days);
    }
    if (supply == LW_SUPPLY_FRESH || supply == LW_SUPPLY_GREY) {
        const double use = use_of(m, t, supply), brought = litres(m, t, w, supply);
        days = use > 0.0 ? fmin(days, brought / use) : days;
    }
    return days;
}

/* ------------------------------------------------------------------ the solver's input */

static int tick_of(double hours)
{
    const double tick = floor(hours / TICK_H + 1e-9);
    return tick < 0.0 ? 0 : tick < LW_RUN_TICKS ? (int)tick : LW_RUN_TICKS;
}

static double midnight_h(const maker *m, int slot)
{
    return (double)(lw_utc_of(&m->to->zone, m->to->day0 + slot / 2, 0) - m->to->tick0_s) / HOUR_S;
}

static uint32_t half_hours(int slot)
{
    const int from = slot % 2 ? NOON_H : MORNING_H, until = slot % 2 ? TO_H : NOON_H;
    return (UINT32_C(1) << until) - (UINT32_C(1) << from);
}

static void fill_supplies(const maker *m, trip *t)
{
    lw_runs_in *in = &t->in;
    for (int n = 0; n < SERVED_COUNT; n++) {
        const lw_supply k = SERVED[n];
        double covered_h = INFINITY;
        int is_carried = 0;
        for (int i = 0; i < m->to->count; i++) {
            const lw_convoy_rig *rig = &m->to->member[i].rig;
            if (is_of(t, i) && rig->supply[k].is_present)
                covered_h =
                    fmin(covered_h, (double)(rig->from_s - m->to->tick0_s) / HOUR_S + 24.0 * rig->supply[k].now_days);
        }
        for (int r = 0; r < t->way_count; r++)
            is_carried |= carries(m, t, &t->way[r], k);
        if (isinf(covered_h) || !is_carried)
            continue;
        const int at = in->supply_count++;
        t->supply[at] = (int)k;
        in->first[at] = tick_of(covered_h);
        for (int r = 0; r < t->way_count; r++) {
            const double days = days_after(m, t, &t->way[r], k);
            for (int u = 0; u <= LW_RUN_TICKS; u++)
                in->more[at][r][u] = LW_RUN_WHOLE;
            for (int s = 0; s < in->slots; s++)
                in->full[at][r][s] = (int16_t)tick_of(in->midnight_h[s] + 24.0 * fmin(days, 1e4));
        }
    }
}

static void fill_services(const maker *m, trip *t)
{
    lw_runs_in *in = &t->in;
    for (int j = 0; j < m->errands->service_count; j++) {
        const lw_errand_service *s = &m->errands->service[j];
        if (s->users == LW_ERRAND_UNKNOWN)
            continue;
        lw_run_service *row = &in->service[in->service_count];
        t->service[in->service_count++] = j;
        *row = lw_errand_row(s, t->supply, in->supply_count);
        for (int slot = 0; slot < in->slots; slot++) {
            const int64_t day = m->to->day0 + slot / 2;
            const int is_season = (!s->from_day || day >= s->from_day) && (!s->until_day || day <= s->until_day) &&
                                  !(s->closed_from && day >= s->closed_from && day <= s->closed_until);
            row->open[slot] = is_season ? s->open[lw_weekday_of(day)] : 0u;
        }
    }
}

static void fill_ways(const maker *m, trip *t)
{
    lw_runs_in *in = &t->in;
    double hour_usd = 0.0;
    int rigs = 0;
    for (int i = 0; i < m->to->count; i++)
        if (is_of(t, i)) {
            hour_usd += m->to->member[i].rig.hour_usd;
            rigs++;
        }
    in->hour_usd = hour_usd / rigs;
    for (int r = 0; r < t->way_count; r++) {
        const way *w = &t->way[r];
        const lw_convoy_rig *rig = &m->to->member[w->member].rig;
        const lw_convoy_thing *thing = w->thing < 0 ? NULL : &rig->thing[w->thing];
        lw_run_type *row = &in->type[in->type_count++];
        *row = (lw_run_type){.own_h = thing ? thing->ready_h : BREAK_H,
                             .own_usd = thing ? thing->trouble_usd : 0.0,
                             .km_usd = thing ? thing->km_usd : m->rig_km_usd,
                             .more_h = thing ? thing->pour_h : 0.0};
        for (int k = 0; k < in->supply_count; k++)
            row->carries |= carries(m, t, w, (lw_supply)t->supply[k]) ? UINT32_C(1) << k : 0u;
        for (int slot = 2; slot + 2 < in->slots; slot++) /* not on the first and the last day */
            row->free[slot] = rig->free[lw_weekday_of(m->to->day0 + slot / 2)] & half_hours(slot);
    }
}

static lw_code solve(maker *m, trip *t, lw_err *err)
{
    lw_fault fault = {0};
    t->in.slots = m->slots;
    t->in.tick_h = TICK_H;
    t->in.end = tick_of((double)(m->to->until_s - m->to->tick0_s) / HOUR_S);
    for (int s = 0; s < t->in.slots; s++)
        t->in.midnight_h[s] = midnight_h(m, s);
    fill_supplies(m, t);
    fill_services(m, t);
    fill_ways(m, t);
    m->arena.used = 0;
    if (lw_runs_check(&t->in, &fault) || lw_runs_plan(&t->in, &m->arena, &t->out, &fault))
        return lw_fault_say(&fault, err);
    return LW_OK;
}

/* ------------------------------------------------------------------ each by itself */

static void find_bare(const maker *m, lw_convoy_member *member)
{
    const lw_convoy_rig *rig = &member->rig;
    const double left_days = (double)(m->to->until_s - rig->from_s) / DAY_S;
    member->bare_days = member->own_days = INFINITY;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        if (!rig->supply[k].is_present || rig->supply[k].now_days >= left_days)
            continue;
        if (rig->supply[k].now_days < member->bare_days) {
            member->bare_days = rig->supply[k].now_days;
            member->bare_supply = (lw_supply)k;
        }
        const int is_own = k == LW_SUPPLY_BLACK || k == LW_SUPPLY_BATTERY || k == LW_SUPPLY_DATA;
        if (is_own && rig->supply[k].now_days < member->own_days) {
            member->own_days = rig->supply[k].now_days;
            member->own_supply = (lw_supply)k;
        }
    }
}

static lw_code find_alone(maker *m, int at, trip *t, lw_err *err)
{
    lw_convoy_member *member = &m->to->member[at];
    *t = (trip){.rigs = UINT32_C(1) << at};
    for (int k = 0; k < member->rig.thing_count && t->way_count < LW_CONVOY_WAYS - 1; k++)
        if (member->rig.thing[k].kind == LW_CONVOY_VEHICLE)
            t->way[t->way_count++] = (way){.member = at, .thing = k};
    t->way[t->way_count++] = (way){.member = at, .thing = -1};
    const lw_code code = solve(m, t, err);
    member->is_alone_found = t->out.is_found;
    member->alone_runs = t->out.count;
    member->alone_usd = t->out.is_found ? t->out.usd : NAN;
    member->alone_short = !t->out.is_found && t->out.short_supply >= 0 ? t->supply[t->out.short_supply] : -1;
    return code;
}

/* ------------------------------------------------------------------ all together */

static void keep_run(maker *m, const trip *t, const lw_run *run)
{
    lw_convoy *to = m->to;
    lw_convoy_run *row = &to->run[to->run_count++];
    const way *w = &t->way[run->type];
    *row = (lw_convoy_run){.driver = w->member, .thing = w->thing, .usd = run->usd};
    row->leave_s = lw_utc_of(&to->zone, to->day0 + run->slot / 2, run->from_hour * 3600);
    row->back_s = row->leave_s + (int64_t)(run->spent_h * HOUR_S);
    uint32_t supplies = 0;
    for (int k = 0; k < t->in.supply_count; k++)
        supplies |= run->supplies >> k & 1u ? UINT32_C(1) << t->supply[k] : 0u;
    int served = 0;
    const double use = use_of(m, t, LW_SUPPLY_FRESH), water_l = litres(m, t, w, LW_SUPPLY_FRESH);
    for (int i = 0; i < to->count; i++) {
        const lw_convoy_supply *supply = to->member[i].rig.supply;
        int is_served = 0;
        for (int k = 0; k < LW_SUPPLY_COUNT; k++)
            is_served |= (supplies >> k & 1u) && supply[k].is_present;
        row->rigs |= is_served ? UINT32_C(1) << i : 0u;
        served += is_served;
        if (supplies >> LW_SUPPLY_FRESH & 1u && supply[LW_SUPPLY_FRESH].use_per_day > 0.0)
            row->water_l[i] = water_l * supply[LW_SUPPLY_FRESH].use_per_day / use;
    }
    for (int i = 0; i < to->count; i++) /* in equal parts, until something fairer is known */
        to->member[i].share_usd += row->rigs >> i & 1u ? run->usd / served : 0.0;
    to->member[w->member].drives++;
    to->member[w->member].drove_usd += run->usd;
    lw_convoy_say_run(to, m->errands, run, t->service, supplies, row);
}

/* Runs for some of the rigs with the vehicles that these lend; without one nothing is found. */
static lw_code find_common(maker *m, uint32_t rigs, trip *t, lw_err *err)
{
    const lw_convoy *to = m->to;
    *t = (trip){.rigs = rigs};
    for (int i = 0; i < to->count; i++)
        for (int k = 0; is_of(t, i) && k < to->member[i].rig.thing_count && t->way_count < LW_CONVOY_WAYS; k++)
            if (to->member[i].rig.thing[k].kind == LW_CONVOY_VEHICLE)
                t->way[t->way_count++] = (way){.member = i, .thing = k};
    return t->way_count > 0 ? solve(m, t, err) : LW_OK;
}

/* ------------------------------------------------------------------ the chance of all together */

/* Of a household's courses the even ones choose, the odd ones are told. */
enum { CHOOSES = 0, TOLD = 1 };

/* Days that a supply lasts in that share of the courses that choose. */
static double sure_days(const float *course, int count, double aim)
{
    float days[LW_CONVOY_COURSES] = {0};
    int n = 0;
    for (int i = CHOOSES; i < count; i += 2) { /* by insertion: a hundred */
        int at = n++;
        for (; at > 0 && days[at - 1] > course[i]; at--)
            days[at] = days[at - 1];
        days[at] = course[i];
    }
    return (double)days[n - (int)ceil(aim * n - 1e-9)];
}

static void aim_at(maker *m, double aim)
{
    for (int i = 0; i < m->to->count; i++) {
        lw_convoy_rig *rig = &m->to->member[i].rig;
        for (int k = 0; k < LW_SUPPLY_COUNT; k++)
            if (rig->supply[k].is_present) {
                rig->supply[k].now_days = sure_days(rig->supply[k].now_course, rig->course_count, aim);
                rig->supply[k].full_days = sure_days(rig->supply[k].full_course, rig->course_count, aim);
            }
    }
}

static double back_h(const maker *m, const lw_run *run)
{
    return (double)(lw_utc_of(&m->to->zone, m->to->day0 + run->slot / 2, run->from_hour * 3600) - m->to->tick0_s) /
               HOUR_S +
           run->spent_h;
}

/* Hours that what is carried lasts a rig in a course, whose use is to the mean as its full days are to the mean's. */
static double carried_h(const maker *m, const trip *t, const way *w, int member, lw_supply k, int course)
{
    const lw_convoy_rig *rig = &m->to->member[member].rig;
    const lw_convoy_supply *s = &rig->supply[k];
    const double use = use_of(m, t, k);
    double mean_days = 0.0;
    if (w->thing < 0 || (k != LW_SUPPLY_FRESH && k != LW_SUPPLY_GREY) || !(s->use_per_day > 0.0))
        return INFINITY;
    for (int i = 0; i < rig->course_count; i++)
        mean_days += (double)s->full_course[i] / rig->course_count;
    /* its part by use, over its use: the same days for all, but for what this course uses more or less */
    return 24.0 * litres(m, t, w, k) / use * (double)s->full_course[course] / fmax(mean_days, 1e-6);
}

static int lasts(const maker *m, const trip *t, int member, int course)
{
    const lw_convoy_rig *rig = &m->to->member[member].rig;
    const double end_h = (double)(m->to->until_s - m->to->tick0_s) / HOUR_S;
    for (int a = 0; a < t->in.supply_count; a++) {
        const lw_supply k = (lw_supply)t->supply[a];
        const lw_convoy_supply *s = &rig->supply[k];
        double until_h = (double)(rig->from_s - m->to->tick0_s) / HOUR_S + 24.0 * (double)s->now_course[course];
        if (!s->is_present)
            continue;
        for (int i = 0; i < t->out.count; i++) {
            const lw_run *run = &t->out.run[i];
            const double at_h = back_h(m, run);
            if (!(run->supplies >> a & 1u))
                continue;
            if (until_h < at_h)
                return 0;
            until_h = fmin(at_h + 24.0 * (double)s->full_course[course],
                           until_h + carried_h(m, t, &t->way[run->type], member, k, course));
        }
        if (until_h < end_h)
            return 0;
    }
    return 1;
}

/* Households use and lose independently of each other, so that their shares multiply; one sky over all would make it surer. */
static double chance(const maker *m, const trip *t, int which)
{
    double all = 1.0;
    for (int i = 0; i < m->to->count; i++) {
        const int count = m->to->member[i].rig.course_count;
        int lasting = 0, of = 0;
        for (int course = which; course < count; course += 2, of++)
            lasting += lasts(m, t, i, course);
        all *= (double)lasting / of;
    }
    return all;
}

/* The lowest aim whose runs last as surely as the most careful wishes; failing such the surest. */
static lw_code find_aimed(maker *m, trip *t, lw_err *err)
{
    enum { STEPS = 10 };
    lw_convoy *to = m->to;
    const uint32_t all = (UINT32_C(1) << to->count) - 1u;
    double best = -1.0, best_aim = to->confidence_frac, aim = to->confidence_frac;
    lw_code code = LW_OK;
    for (int i = 0; i < STEPS && best < to->confidence_frac && !code; i++) {
        aim_at(m, aim);
        code = find_common(m, all, t, err);
        if (code || !t->out.is_found)
            break;
        const double now = chance(m, t, CHOOSES);
        if (now > best)
            best = now, best_aim = aim;
        aim = 1.0 - 0.7 * (1.0 - aim);
    }
    if (code)
        return code;
    aim_at(m, best_aim);
    code = find_common(m, all, t, err);
    if (!code && t->out.is_found)
        to->chance_frac = chance(m, t, TOLD);
    return code;
}

static int all_tell_courses(const lw_convoy *to)
{
    int all = 1;
    for (int i = 0; i < to->count; i++)
        all = all && to->member[i].rig.course_count > 1;
    return all;
}

static lw_code find_plan(maker *m, trip *t, lw_err *err)
{
    lw_convoy *to = m->to;
    to->chance_frac = NAN;
    for (int i = 0; i < to->count; i++)
        to->confidence_frac = fmax(to->confidence_frac, to->member[i].rig.confidence_frac);
    const lw_code code =
        all_tell_courses(to) ? find_aimed(m, t, err) : find_common(m, (UINT32_C(1) << to->count) - 1u, t, err);
    if (code)
        return code;
    if (t->way_count == 0)
        return lw_fail(err, LW_E_MISSING,
                       "nobody lends a vehicle: one household writes {thing: vehicle} among what it lends");
    to->is_found = t->out.is_found;
    to->short_supply = !t->out.is_found && t->out.short_supply >= 0 ? t->supply[t->out.short_supply] : -1;
    to->usd = t->out.is_found ? t->out.usd : NAN;
    for (int i = 0; t->out.is_found && i < t->out.count; i++)
        keep_run(m, t, &t->out.run[i]);
    return LW_OK;
}

/* ------------------------------------------------------------------ who pays what */

/* The least that each group would cost, together or in parts. */
static lw_code cost_groups(maker *m, trip *t, double usd[1 << LW_CONVOY_RIGS], lw_err *err)
{
    const lw_convoy *to = m->to;
    usd[0] = 0.0;
    for (uint32_t group = 1; group < UINT32_C(1) << to->count; group++) {
        double own = NAN;
        for (int i = 0; i < to->count; i++)
            if (group == UINT32_C(1) << i)
                own = to->member[i].alone_usd;
        if ((group & (group - 1)) != 0) {
            const lw_code code = find_common(m, group, t, err);
            if (code)
                return code;
            own = t->out.is_found ? t->out.usd : NAN;
        }
        usd[group] = isnan(own) ? INFINITY : own;
        for (uint32_t part = (group - 1) & group; part > 0; part = (part - 1) & group)
            usd[group] = fmin(usd[group], usd[part] + usd[group & ~part]);
    }
    return LW_OK;
}

static double order_share(int before, int count)
{
    double share = 1.0 / count; /* before! (count - before - 1)! / count! */
    for (int i = 1; i <= before; i++)
        share *= (double)i / (count - i);
    return share;
}

/* What each adds to the cost, in the mean over all orders of joining. Where some group cannot go at all, or parts would be cheaper than
 * all together, the equal parts stand. */
static lw_code split(maker *m, trip *t, lw_err *err)
{
    lw_convoy *to = m->to;
    double usd[1 << LW_CONVOY_RIGS] = {0.0};
    const uint32_t all = (UINT32_C(1) << to->count) - 1u;
    const lw_code code = cost_groups(m, t, usd, err);
    if (code)
        return code;
    to->apart_usd = usd[all];
    for (uint32_t group = 1; group <= all; group++)
        if (isinf(usd[group]))
            return LW_OK;
    if (to->usd > usd[all] + 1e-6)
        return LW_OK;
    to->is_by_joining = 1;
    for (int i = 0; i < to->count; i++) {
        to->member[i].share_usd = 0.0;
        for (uint32_t group = 0; group <= all; group++) {
            int before = 0;
            for (int k = 0; k < to->count; k++)
                before += (int)(group >> k & 1u);
            if (!(group >> i & 1u))
                to->member[i].share_usd +=
                    order_share(before, to->count) * (usd[group | UINT32_C(1) << i] - usd[group]);
        }
    }
    return LW_OK;
}

static lw_code find_all(maker *m, lw_err *err)
{
    lw_convoy *to = m->to;
    trip *t = malloc(sizeof *t);
    m->arena.cap = lw_runs_bytes();
    m->arena.base = malloc(m->arena.cap);
    if (!t || !m->arena.base) {
        free(t);
        return lw_fail(err, LW_E_FULL, "no memory to plan for a convoy");
    }
    for (int i = 0; i < to->count; i++)
        find_bare(m, &to->member[i]); /* by what each says, before an aim is looked for */
    lw_code code = lw_price("rig-road-km", &m->rig_km_usd, err);
    code = code ? code : find_plan(m, t, err);
    for (int i = 0; i < to->count && !code; i++) {
        code = find_alone(m, i, t, err);
        to->alone_usd += to->member[i].alone_usd;
    }
    if (!code && to->is_found)
        code = split(m, t, err);
    free(t);
    return code;
}

/* ------------------------------------------------------------------ outside */

static lw_code set_span(maker *m, lw_err *err)
{
    lw_convoy *to = m->to;
    to->until_s = INT64_MAX;
    for (int i = 0; i < to->count; i++) {
        const lw_convoy_rig *rig = &to->member[i].rig;
        to->start_s = rig->from_s > to->start_s ? rig->from_s : to->start_s;
        to->until_s = rig->until_s < to->until_s ? rig->until_s : to->until_s;
        for (int k = 0; k < i; k++)
            if (strcmp(to->member[k].rig.household, rig->household) == 0)
                return lw_fail(err, LW_E_CONFLICT, "two households are called %s; let one of them take another name",
                               lw_quoted(rig->household, strlen(rig->household)).text);
    }
    if (to->until_s <= to->start_s)
        return lw_fail(err, LW_E_CONFLICT,
                       "these households are not there at the same time: the last comes when the first has left");
    if ((double)(to->until_s - to->start_s) > LW_CONVOY_DAYS * DAY_S)
        to->until_s = to->start_s + (int64_t)(LW_CONVOY_DAYS * DAY_S);
    const lw_code code = lw_zone_load(to->member[0].rig.zone, to->start_s - (int64_t)(90 * DAY_S),
                                      to->until_s + (int64_t)(90 * DAY_S), &to->zone, err);
    if (code)
        return code;
    to->day0 = lw_clock_at(&to->zone, to->start_s).day;
    to->tick0_s = lw_utc_of(&to->zone, to->day0, 0);
    m->slots = 2 * (int)(lw_clock_at(&to->zone, to->until_s).day - to->day0 + 1);
    return LW_OK;
}

lw_code lw_convoy_plan(const lw_convoy_rig *rig, int count, const lw_errands *errands, const lw_words_choice *choice,
                       lw_convoy *convoy, lw_err *err)
{
    maker m = {.to = convoy, .errands = errands};
    if (count < 2 || count > LW_CONVOY_RIGS)
        return lw_fail(err, LW_E_RANGE, "a convoy is of 2 to %d households; these are %d", LW_CONVOY_RIGS, count);
    *convoy = (lw_convoy){.choice = *choice, .count = count};
    for (int i = 0; i < count; i++)
        convoy->member[i].rig = rig[i];
    lw_code code = set_span(&m, err);
    code = code ? code : find_all(&m, err);
    free(m.arena.base);
    if (!code)
        lw_convoy_say(errands, convoy);
    return code;
}
