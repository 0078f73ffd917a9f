#include "service/trip.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "service/trip_internal.h"
#include "text/say.h"

enum { WIDTH = 4096, SIFT_DRAWS = 2000, KNOWN_ELSEWHERE_PARTS = 5, ELSEWHERE_PARTS = 2, TIGHTENED_MOST = 5 };

double lw_trip_clock_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* ---- how far it is: tables, then each plan's searches and its measuring, told as one ---- */

enum { WHOLE = 1000, TABLES = 300 };
static const double TELL_S = 0.05;

typedef struct pace {
    const lw_trip_ask *outer;
    int from, until; /* of the whole: the part that is worked on */
    int told;
    double told_s;
} pace;

static int tell_part(void *with, int done, int of)
{
    pace *p = with;
    const int at = p->from + (of > 0 ? (int)((int64_t)(p->until - p->from) * (done < of ? done : of) / of) : 0);
    const double now = lw_trip_clock_s();
    if (at <= p->told && now - p->told_s < TELL_S)
        return 1;
    p->told = at > p->told ? at : p->told;
    p->told_s = now;
    return p->outer->progress(p->outer->with, p->told, WHOLE);
}

static int enough_of_part(void *with)
{
    const pace *p = with;
    return p->outer->is_enough(p->outer->with);
}

static lw_trip_ask paced(const lw_trip_ask *ask, pace *p)
{
    lw_trip_ask inner = *ask;
    *p = (pace){.outer = ask, .until = TABLES, .told = -1};
    inner.progress = ask->progress ? tell_part : NULL;
    inner.is_enough = ask->is_enough ? enough_of_part : NULL;
    inner.with = p;
    return inner;
}

static void pace_to(pace *p, int until)
{
    p->from = p->until;
    p->until = until;
}

int lw_trip_is_enough(const lw_trip_ask *ask)
{
    return ask->is_enough && ask->is_enough(ask->with);
}

/* ---- the solver ---- */

typedef struct timer {
    const lw_trip_ask *ask;
    double began_s, seconds;
    int is_stopped;
} timer;

static int has_time(void *with, const lw_trip_out *so_far)
{
    timer *t = with;
    const double gone_s = lw_trip_clock_s() - t->began_s;
    if (t->ask->progress && !t->ask->progress(t->ask->with, (int)(gone_s / t->seconds * WHOLE), WHOLE))
        t->is_stopped = 1;
    return !t->is_stopped && gone_s < t->seconds && !(so_far->is_found && lw_trip_is_enough(t->ask));
}

lw_code lw_trip_solve(const lw_trip_ask *ask, const lw_trip_tables *t, double seconds, int is_any_enough,
                      lw_trip_out *out, lw_err *err)
{
    timer time = {.ask = ask, .began_s = lw_trip_clock_s(), .seconds = seconds};
    lw_fault fault = {0};
    lw_arena arena = {.cap = lw_trip_bytes(&t->in, WIDTH)};
    const lw_trip_how how = {.go_on = has_time, .with = &time, .is_any_enough = is_any_enough};
    if (lw_trip_check(&t->in, &fault))
        return lw_fault_say(&fault, err);
    arena.base = malloc(arena.cap);
    if (!arena.base)
        return lw_fail(err, LW_E_FULL, "no memory to plan a trip");
    const lw_code code = lw_trip_plan(&t->in, &how, &arena, out, &fault) ? lw_fault_say(&fault, err) : LW_OK;
    free(arena.base);
    return !code && time.is_stopped ? lw_fail(err, LW_E_CONFLICT, "stopped while the trip was planned") : code;
}

int64_t lw_trip_date_s(const lw_trip_planned *planned, int day, int hour)
{
    return lw_utc_of(&planned->zone, planned->file.from_day + day, hour * 3600);
}

/* ---- plans that differ ---- */

static void cap_places(lw_trip_tables *t, const lw_trip_made *plan)
{
    lw_trip_cap *cap = &t->cap[t->in.cap_count++];
    *cap = (lw_trip_cap){.nights = t->in.days -
                                   (t->in.days * ELSEWHERE_PARTS + KNOWN_ELSEWHERE_PARTS - 1) / KNOWN_ELSEWHERE_PARTS};
    for (int d = 0; d < t->in.days; d++) {
        const int p = plan->out.chain.place[d];
        cap->of[p / 64] |= UINT64_C(1) << (p % 64);
    }
}

static lw_code make_plan(const lw_trip_ask *ask, lw_trip_planned *to, lw_trip_tables *t, lw_trip_made *plan,
                         lw_err *err)
{
    lw_fault fault;
    lw_code code = lw_trip_solve(ask, t, ask->seconds > 0.0 ? ask->seconds : 5.0, 0, &plan->out, err);
    if (code || !plan->out.is_found)
        return code;
    if (lw_trip_walk(&t->in, &plan->out.chain, &plan->sum, &fault))
        return lw_fail(err, LW_E_CONFLICT, "the planned trip breaks its own rule (%s); please report this",
                       fault.field);
    lw_trip_fill_stops(to, t, plan);
    plan->further_frac = (double)NAN;
    const int sift = to->fresh_draws < SIFT_DRAWS ? to->fresh_draws : SIFT_DRAWS;
    return lw_trip_live(ask, &to->file, t->camp.zone.name, sift, LW_TRIP_SIFT_FROM, plan, err);
}

/* What is told stays that of the fresh draws. */
static lw_code measure_further(const lw_trip_ask *ask, const lw_trip_planned *to, const lw_trip_tables *t,
                               lw_trip_made *plan, lw_err *err)
{
    lw_trip_made *copy = malloc(sizeof *copy);
    if (!copy)
        return lw_fail(err, LW_E_FULL, "no memory for a trip");
    *copy = *plan;
    const lw_code code = lw_trip_live(ask, &to->file, t->camp.zone.name, ask->further, LW_TRIP_FURTHER_FROM, copy, err);
    plan->further_frac = copy->supplies_frac;
    free(copy);
    return code;
}

/* A plan looks better on the draws it was chosen on: where fresh ones fall short of the wish, more is kept in hand and the plan
 * made again; the surest is kept. */
static lw_code make_sure_plan(const lw_trip_ask *ask, lw_trip_planned *to, lw_trip_tables *t, lw_trip_made *plan,
                              lw_err *err)
{
    lw_trip_tables_aim(t, to->file.supplies_frac); /* the plan before may have been made surer */
    lw_trip_tables_lay(t, &to->file);
    lw_code code = make_plan(ask, to, t, plan, err);
    plan->aim_frac = to->file.supplies_frac;
    lw_trip_made *surer = calloc(1, sizeof *surer);
    double found_frac = to->file.supplies_frac, none_frac = 1.0; /* aimed so, there is a trip, and there is none */
    if (!surer)
        code = code ? code : lw_fail(err, LW_E_FULL, "no memory for a trip");
    for (int i = 0; surer && i < TIGHTENED_MOST && !code && plan->out.is_found &&
                    plan->supplies_frac < to->file.supplies_frac && !lw_trip_is_enough(ask);
         i++) {
        const double aim_frac = (found_frac + none_frac) / 2.0;
        lw_trip_tables_aim(t, aim_frac);
        lw_trip_tables_lay(t, &to->file);
        *surer = (lw_trip_made){.stop_count = 0};
        code = make_plan(ask, to, t, surer, err);
        if (!surer->out.is_found) {
            none_frac = aim_frac;
            continue;
        }
        surer->aim_frac = found_frac = aim_frac;
        if (surer->supplies_frac > plan->supplies_frac)
            *plan = *surer;
    }
    free(surer);
    if (!code && plan->out.is_found && ask->further > 0)
        code = measure_further(ask, to, t, plan, err);
    if (!code && plan->out.is_found) /* the chance that is shown comes from draws that had no part in choosing */
        code = lw_trip_live(ask, &to->file, t->camp.zone.name, to->fresh_draws, LW_TRIP_FRESH_FROM, plan, err);
    if (!code && plan->out.is_found)
        lw_trip_why_missed(ask, t, to, plan);
    return code;
}

static lw_code make_plans(const lw_trip_ask *ask, pace *p, lw_trip_planned *to, lw_trip_tables *t, lw_err *err)
{
    lw_code code = LW_OK;
    for (int i = 0; i < ask->plans && i < LW_TRIP_PLANS && !code && !(i > 0 && lw_trip_is_enough(ask)); i++) {
        pace_to(p, TABLES + (i + 1) * (WHOLE - TABLES) / ask->plans);
        code = make_sure_plan(ask, to, t, &to->plan[i], err);
        if (code || !to->plan[i].out.is_found)
            break;
        to->plan_count++;
        cap_places(t, &to->plan[i]);
    }
    return code;
}

/* ---- the trip ---- */

lw_code lw_trip_make(const lw_trip_ask *ask, lw_trip_planned *to, lw_err *err)
{
    lw_trip_tables *t = calloc(1, sizeof *t);
    *to = (lw_trip_planned){.plan = NULL};
    if (!t)
        return lw_fail(err, LW_E_FULL, "no memory for a trip");
    pace p;
    const lw_trip_ask inner = paced(ask, &p);
    lw_code code = lw_trip_open(&inner, to, t, err);
    if (!code) {
        code = make_plans(&inner, &p, to, t, err);
        if (!code && to->plan_count == 0 && !ask->is_without_advice)
            lw_trip_relax(&inner, t, to);
    }
    lw_trip_tables_clear(t);
    free(t);
    if (code)
        lw_trip_clear(to);
    return code;
}

void lw_trip_clear(lw_trip_planned *planned)
{
    lw_trip_gathered_clear(&planned->gathered);
    free(planned->plan);
    free(planned->input);
    free(planned->camp);
    planned->plan = NULL;
    planned->input = planned->camp = NULL;
    planned->file.camp_text = NULL;
    planned->plan_count = 0;
}
