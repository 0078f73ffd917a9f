/* Runs during a stay: invented services and supplies, held against an integer program solved by GLPK 5.0, a general solver
 * (https://www.gnu.org/software/glpk/), written from the model's sentences and not from its code. */
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <glpk.h>

#include "tests/check.h"

#include "core/base/random.h"
#include "core/plan/runs.h"

static double unit(uint32_t seed, uint32_t at)
{
    const lw_random_key key = {.seed = seed, .draw = at};
    return lw_random_unit(lw_random_block(&key, 13, 0).word[0]);
}

static uint32_t hours(int from, int to)
{
    uint32_t bits = 0;
    for (int h = from; h < to; h++)
        bits |= UINT32_C(1) << h;
    return bits;
}

typedef struct size {
    int slots, services, types, supplies;
} size;

enum { TICKS = 8 }; /* a slot, which is a day here */

static void make_cover(lw_runs_in *in, uint32_t seed, uint32_t at)
{
    in->end = TICKS * in->slots - 1 < LW_RUN_TICKS ? TICKS * in->slots - 1 : LW_RUN_TICKS;
    in->tick_h = 24.0 / TICKS;
    for (int s = 0; s < in->slots; s++)
        in->midnight_h[s] = 24.0 * s;
    for (int k = 0; k < in->supply_count; k++) {
        in->first[k] = TICKS * 2 + (int)(unit(seed, at++) * 5.0 * TICKS);
        for (int r = 0; r < in->type_count; r++) {
            const int lasts = TICKS * 2 + (int)(unit(seed, at++) * 5.0 * TICKS),
                      adds = TICKS + (int)(unit(seed, at++) * 3.5 * TICKS);
            const int is_measured = unit(seed, at++) < 0.5;
            for (int s = 0; s < in->slots; s++)
                in->full[k][r][s] = (int16_t)(TICKS * s + lasts + (int)(unit(seed, at++) * TICKS));
            for (int u = 0; u <= in->end; u++)
                in->more[k][r][u] = (int16_t)(is_measured ? u + adds + u / 9 : LW_RUN_WHOLE);
        }
    }
}

static size size_of(uint32_t seed, size most)
{
    return (size){most.slots / 2 + (int)(unit(seed, 0) * (most.slots / 2 + 0.99)),
                  1 + (int)(unit(seed, 1) * (most.services - 0.01)), 1 + (int)(unit(seed, 2) * (most.types - 0.01)),
                  1 + (int)(unit(seed, 3) * (most.supplies - 0.01))};
}

static void make(lw_runs_in *in, uint32_t seed, size most)
{
    const size has = size_of(seed, most);
    uint32_t at = 4;
    memset(in, 0, sizeof *in);
    in->slots = has.slots;
    in->service_count = has.services;
    in->type_count = has.types;
    in->supply_count = has.supplies;
    in->hour_usd = floor(unit(seed, at++) * 20.0);
    for (int j = 0; j < in->service_count; j++) {
        lw_run_service *s = &in->service[j];
        s->gives = 1u + (uint32_t)(unit(seed, at++) * ((1 << in->supply_count) - 1.01));
        if (j == 0 && unit(seed, at++) < 0.7)
            s->gives = (1u << in->supply_count) - 1u;
        s->road_h = floor(unit(seed, at++) * 6.0) / 4.0;
        s->road_km = 60.0 * s->road_h;
        s->time_h = 0.25 + floor(unit(seed, at++) * 4.0) / 4.0;
        s->fee_usd = floor(unit(seed, at++) * 20.0);
        for (int k = 0; k < in->supply_count; k++) {
            const double which = unit(seed, at++);
            s->each_usd[k] = which < 0.6 ? 0.0 : floor(which * 10.0);
        }
        if (unit(seed, at++) < 0.3)
            s->each_usd[0] = -s->fee_usd;
        const int opens = 7 + (int)(unit(seed, at++) * 4.0), closes = 13 + (int)(unit(seed, at++) * 6.0);
        const int shut = (int)(unit(seed, at++) * 9.0);
        for (int d = 0; d < in->slots; d++)
            s->open[d] = d % 7 == shut ? 0 : hours(opens, closes);
    }
    for (int r = 0; r < in->type_count; r++) {
        lw_run_type *t = &in->type[r];
        t->carries = r == 0 ? (1u << in->supply_count) - 1u
                            : 1u + (uint32_t)(unit(seed, at++) * ((1 << in->supply_count) - 1.01));
        t->own_h = floor(unit(seed, at++) * 5.0) / 2.0;
        t->own_usd = floor(unit(seed, at++) * 10.0);
        t->km_usd = 0.25;
        t->more_h = floor(unit(seed, at++) * 2.0) / 4.0;
        for (int k = 0; k < in->supply_count; k++)
            t->each_h[k] = unit(seed, at++) < 0.3 ? 0.25 : 0.0;
        const int works_to = 7 + (int)(unit(seed, at++) * 8.0);
        for (int d = 0; d < in->slots; d++)
            t->free[d] = d % 7 < 5 ? hours(works_to, 21) : hours(7, 21);
    }
    if (in->supply_count > 2 && unit(seed, at++) < 0.5)
        in->with[2] = 2;
    make_cover(in, seed, at);
}

/* ---- the integer program: which run in which slot; by supply a path through (slot, covered through) that may only take what the
 * runs serve. Runs are listed one by one from the model's sentences. ---- */

enum { MASKS = 16 };

typedef struct program {
    const lw_runs_in *in;
    glp_prob *lp;
    struct {
        int column; /* 0: none */
        double back_h;
    } run[LW_RUN_SLOTS][LW_RUN_TYPES][MASKS]
         [2]; /* the cheapest that serves just these, at the first hour and the last */
} program;

typedef struct row {
    int count, at[512];
    double by[512];
} row;

static void add(row *r, int at, double by)
{
    r->count++;
    r->at[r->count] = at;
    r->by[r->count] = by;
}

static void keep(program *p, const row *r, int kind, double bound)
{
    const int at = glp_add_rows(p->lp, 1);
    glp_set_row_bnds(p->lp, at, kind, bound, bound);
    glp_set_mat_row(p->lp, at, r->count, r->at, r->by);
}

/* Open in every hour in which the services are called at, the nearest first or, coming back, the farthest. */
static int are_open(const lw_runs_in *in, int s, int r, uint32_t services, double at_h, int is_way_back)
{
    uint32_t left = services;
    double road_h = 0.0;
    while (left) {
        int next = -1;
        for (int j = 0; j < in->service_count; j++)
            if ((left >> j & 1u) && (next < 0 || (is_way_back ? in->service[j].road_h >= in->service[next].road_h
                                                              : in->service[j].road_h < in->service[next].road_h)))
                next = j;
        left &= ~(1u << next);
        at_h += fabs(in->service[next].road_h - road_h);
        road_h = in->service[next].road_h;
        const double go_h = at_h + in->service[next].time_h + in->type[r].more_h;
        for (int h = 0; h < 48; h++)
            if (h + 1.0 > at_h + 1e-9 && h < go_h - 1e-9 && (h > 23 || !(in->service[next].open[s] >> h & 1u)))
                return 0;
        at_h = go_h;
    }
    return 1;
}

/* The hours at which it can set out: the first and the last; 0: there is none. */
static int is_possible(const lw_runs_in *in, int s, int r, uint32_t services, double takes_h, int from[2])
{
    const int n = takes_h > 1.0 ? (int)ceil(takes_h - 1e-9) : 1;
    int count = 0;
    for (int h = 0; h + n <= 24; h++) {
        int can = 1;
        for (int i = h; i < h + n; i++)
            can &= (int)(in->type[r].free[s] >> i & 1u);
        const double at_h = h + 0.5 * in->type[r].own_h;
        can &= are_open(in, s, r, services, at_h, 0) || are_open(in, s, r, services, at_h, 1);
        if (can)
            from[0] = count++ ? from[0] : h, from[1] = h;
    }
    return count > 0;
}

/* Cost of a run that calls at the services for just these supplies; infinite: there is none. */
static double run_usd(const lw_runs_in *in, int s, int r, uint32_t services, uint32_t supplies, double back_h[2])
{
    const lw_run_type *t = &in->type[r];
    double farthest_h = 0.0, takes_h = t->own_h, usd = t->own_usd;
    int from[2] = {0, 0};
    for (int j = 0; j < in->service_count; j++)
        if (services >> j & 1u) {
            farthest_h = fmax(farthest_h, in->service[j].road_h);
            takes_h += in->service[j].time_h + t->more_h;
            usd += in->service[j].fee_usd;
        }
    for (int k = 0; k < in->supply_count; k++) {
        double least = INFINITY;
        if (!(supplies >> k & 1u))
            continue;
        for (int j = 0; j < in->service_count; j++)
            if ((services >> j & 1u) && (in->service[j].gives >> k & 1u) && (t->carries >> k & 1u))
                least = fmin(least, in->service[j].each_usd[k]);
        usd += least;
        takes_h += t->each_h[k];
        for (int j = 0; j < in->service_count; j++) /* what could be served along must be */
            if ((services >> j & 1u) && (in->with[k] & in->service[j].gives & t->carries & ~supplies))
                return INFINITY;
    }
    takes_h += 2.0 * farthest_h;
    usd += takes_h * in->hour_usd + 2.0 * 60.0 * farthest_h * t->km_usd;
    if (isinf(usd) || !is_possible(in, s, r, services, takes_h, from))
        return INFINITY;
    back_h[0] = from[0] + takes_h, back_h[1] = from[1] + takes_h;
    return usd;
}

static void add_runs(program *p, int s)
{
    const lw_runs_in *in = p->in;
    row one = {.count = 0};
    for (int r = 0; r < in->type_count; r++)
        for (uint32_t m = 1; m < 1u << in->supply_count; m++) {
            double usd = INFINITY, back_h[2] = {0.0, 0.0};
            for (uint32_t services = 1; services < 1u << in->service_count; services++) {
                double hours_h[2] = {0.0, 0.0};
                const double now = run_usd(in, s, r, services, m, hours_h);
                if (now < usd - 1e-9)
                    usd = now, back_h[0] = hours_h[0], back_h[1] = hours_h[1];
            }
            for (int i = 0; i < 2 && !isinf(usd); i++) {
                const int at = p->run[s][r][m][i].column = glp_add_cols(p->lp, 1);
                p->run[s][r][m][i].back_h = back_h[i];
                glp_set_obj_coef(p->lp, at, usd);
                glp_set_col_kind(p->lp, at, GLP_BV);
                add(&one, at, 1.0);
            }
        }
    keep(p, &one, GLP_UP, 1.0);
}

/* A column from a row of flow to another; to < 0: to the end, where all that enters is well. */
static int flow(program *p, int from, int to)
{
    const int at = glp_add_cols(p->lp, 1);
    const int rows[] = {0, from, to};
    const double by[] = {0.0, -1.0, 1.0};
    glp_set_col_bnds(p->lp, at, GLP_LO, 0.0, 0.0);
    glp_set_mat_col(p->lp, at, to < 0 ? 1 : 2, rows, by);
    return at;
}

static int node(program *p, int rows[LW_RUN_TICKS + 1], int covered)
{
    if (covered >= p->in->end)
        return -1;
    if (!rows[covered]) {
        rows[covered] = glp_add_rows(p->lp, 1);
        glp_set_row_bnds(p->lp, rows[covered], GLP_FX, 0.0, 0.0);
    }
    return rows[covered];
}

/* What a run makes of coverage, from the model's sentence. */
static int covered_after(const lw_runs_in *in, int k, int r, int s, double back_h, int covered)
{
    int after = in->full[k][r][s] + (int)floor(back_h / in->tick_h + 1e-9);
    if (covered >= in->end)
        return covered;
    if (covered * in->tick_h < in->midnight_h[s] + back_h - 1e-9)
        return covered; /* it comes too late */
    if (in->more[k][r][covered] != LW_RUN_WHOLE && in->more[k][r][covered] < after)
        after = in->more[k][r][covered];
    return after > covered ? after : covered;
}

/* Ways through one supply's coverage that the run of this column lets it take. */
static void add_ways(program *p, int k, int s, int r, uint32_t m, int i, const int *now, int *next)
{
    const lw_runs_in *in = p->in;
    row taken = {.count = 0};
    if (!(m >> k & 1u) || !p->run[s][r][m][i].column)
        return;
    for (int u = 0; u < in->end; u++) {
        const int after = covered_after(in, k, r, s, p->run[s][r][m][i].back_h, u);
        if (now[u] && after > u && (after >= in->end || s + 1 < in->slots))
            add(&taken, flow(p, now[u], node(p, next, after)), 1.0);
    }
    add(&taken, p->run[s][r][m][i].column, -1.0);
    if (taken.count > 1)
        keep(p, &taken, GLP_UP, 0.0);
}

static void add_supply(program *p, int k)
{
    const lw_runs_in *in = p->in;
    int now[LW_RUN_TICKS + 1] = {0};
    const int start = node(p, now, in->first[k]);
    if (start < 0)
        return;
    glp_set_row_bnds(p->lp, start, GLP_FX, -1.0, -1.0); /* one unit leaves it */
    for (int s = 0; s < in->slots; s++) {
        int next[LW_RUN_TICKS + 1] = {0};
        for (int u = 0; u < in->end && s + 1 < in->slots; u++)
            if (now[u])
                (void)flow(p, now[u], node(p, next, u));
        for (int r = 0; r < in->type_count; r++)
            for (uint32_t m = 1; m < 1u << in->supply_count; m++)
                for (int i = 0; i < 2; i++)
                    add_ways(p, k, s, r, m, i, now, next);
        memcpy(now, next, sizeof now);
    }
}

/* Infinite: there is no plan. Where the solver meets its own limit the case says nothing: NaN. */
static double by_program(const lw_runs_in *in)
{
    program *p = calloc(1, sizeof *p);
    double usd = INFINITY;
    glp_iocp how;
    if (!p)
        abort();
    glp_term_out(GLP_OFF);
    p->in = in;
    p->lp = glp_create_prob();
    for (int s = 0; s < in->slots; s++)
        add_runs(p, s);
    for (int k = 0; k < in->supply_count; k++)
        add_supply(p, k);
    glp_init_iocp(&how);
    how.presolve = GLP_ON;
    how.gmi_cuts = how.cov_cuts = how.mir_cuts = GLP_ON;
    how.tm_lim = getenv("LEEWAY_SOAK") ? 900000 : 20000; /* ms by the clock, so a busy machine has less */
    const int code = glp_intopt(p->lp, &how);
    if (code == 0 && glp_mip_status(p->lp) == GLP_OPT)
        usd = glp_mip_obj_val(p->lp);
    else if (code == GLP_ETMLIM)
        usd = NAN;
    glp_delete_prob(p->lp);
    free(p);
    return usd;
}

/* ---- ours ---- */

static lw_runs_out plan(const lw_runs_in *in)
{
    lw_arena arena = {.cap = lw_runs_bytes()};
    lw_runs_out out;
    lw_fault fault = {0};
    arena.base = malloc(arena.cap);
    assert_non_null(arena.base);
    assert_int_equal(lw_runs_check(in, &fault), LW_OK);
    if (lw_runs_plan(in, &arena, &out, &fault))
        fail_msg("%s", fault.field);
    free(arena.base);
    return out;
}

/* What the runs of an answer cost and cover, added up anew. */
static void want_kept(const lw_runs_in *in, const lw_runs_out *out, uint32_t seed)
{
    double usd = 0.0;
    int until[LW_RUN_SUPPLIES];
    for (int k = 0; k < in->supply_count; k++)
        until[k] = in->first[k];
    for (int i = 0; i < out->count; i++) {
        const lw_run *r = &out->run[i];
        double back_h[2] = {0.0, 0.0};
        usd += r->usd;
        CHECK_NEAR(r->usd, run_usd(in, r->slot, r->type, r->services, r->supplies, back_h), 1e-6, "case %u: run %d",
                   seed, i);
        const double own_h = r->from_hour + r->spent_h;
        if ((i > 0 && r->slot <= out->run[i - 1].slot) ||
            (fabs(own_h - back_h[0]) > 1e-9 && fabs(own_h - back_h[1]) > 1e-9))
            fail_msg("case %u: run %d does not fit in slot %d", seed, i, r->slot);
        for (int k = 0; k < in->supply_count; k++) {
            if (!(r->supplies >> k & 1u))
                continue;
            if (until[k] * in->tick_h < in->midnight_h[r->slot] + own_h - 1e-9)
                fail_msg("case %u: supply %d is covered through %d, the run is in slot %d", seed, k, until[k], r->slot);
            until[k] = covered_after(in, k, r->type, r->slot, own_h, until[k]);
        }
    }
    for (int k = 0; k < in->supply_count; k++)
        if (until[k] < in->end)
            fail_msg("case %u: supply %d is covered through %d of %d", seed, k, until[k], in->end);
    CHECK_NEAR(usd, out->usd, 1e-6, "case %u: sum of its runs", seed);
}

static void the_cheapest_runs_are_those_of_an_integer_program(void **state)
{
    const int is_soak = getenv("LEEWAY_SOAK") != NULL;
    const size most = is_soak ? (size){14, 5, 3, 4} : (size){8, 3, 2, 3};
    const uint32_t cases = is_soak ? 200 : 30;
    int found = 0, none = 0, unknown = 0, many = 0;
    (void)state;
    for (uint32_t seed = 1; seed <= cases; seed++) {
        lw_runs_in in;
        make(&in, seed, most);
        const lw_runs_out out = plan(&in);
        if (!out.is_proven)
            fail_msg("case %u: %.6f USD is not proven", seed, out.usd);
        const double want = by_program(&in);
        if (isnan(want)) {
            unknown++;
            continue;
        }
        if (!(fabs(out.usd - want) <= 1e-5) && !(isinf(out.usd) && isinf(want)))
            fail_msg("case %u: %d slots, %d services, %d types, %d supplies: %.6f USD, the integer program has %.6f",
                     seed, in.slots, in.service_count, in.type_count, in.supply_count, out.usd, want);
        if (out.is_found)
            want_kept(&in, &out, seed);
        found += out.is_found, none += !out.is_found, many += out.count > 1;
    }
    if (is_soak)
        print_message("%d plans, %d without, %d beyond the solver's time, %d of several runs\n", found, none, unknown,
                      many);
    if (found < (int)cases / 5 || none == 0 || unknown > (int)cases / 20 || many == 0)
        fail_msg("lopsided: %d plans, %d without, %d beyond the solver's time, %d of several runs", found, none,
                 unknown, many);
}

/* Days in halves, twelve services, three ways to get there, eight supplies that last two days to a fortnight. */
static void make_long(lw_runs_in *in, uint32_t seed, int slots)
{
    const size most = {LW_RUN_SLOTS, 12, 3, 8};
    uint32_t at = 1000;
    size has;
    do
        has = size_of(seed += 7, most);
    while (has.slots < 120 || has.services < 12 || has.types < 3 || has.supplies < 8);
    make(in, seed, most);
    in->slots = slots;
    in->tick_h = 3.0;
    in->end = TICKS * in->slots / 2 - 1;
    for (int s = 0; s < in->slots; s++)
        in->midnight_h[s] = 24.0 * (s / 2);
    for (int s = 0; s < in->slots; s++)
        for (int r = 0; r < 3; r++)
            in->type[r].free[s] = s / 2 % 7 > 4 ? hours(7, 21) : s % 2 ? hours(14, 21) : r == 0 ? hours(7, 14) : 0;
    for (int k = 0; k < in->supply_count; k++) {
        const int lasts = TICKS * (4 + 3 * k) / 2;
        in->first[k] = lasts;
        for (int r = 0; r < 3; r++) {
            const int adds = r == 0 && k < 3 ? TICKS * 3 / 2 + (int)(unit(seed, at++) * 6.0) : 0;
            for (int s = 0; s < in->slots; s++)
                in->full[k][r][s] =
                    (int16_t)fmin(TICKS * (s / 2) + lasts + floor(unit(seed, at++) * 4.0), LW_RUN_TICKS);
            for (int u = 0; u <= in->end; u++)
                in->more[k][r][u] = (int16_t)(!adds ? LW_RUN_WHOLE : u + adds < LW_RUN_TICKS ? u + adds : LW_RUN_TICKS);
        }
    }
}

/* The bar is a second; no timed test: the soak prints the time. Each of these has a plan, found when this was written. */
static void a_long_stay_with_many_services_is_planned(void **state)
{
    const int is_soak = getenv("LEEWAY_SOAK") != NULL, cases = is_soak ? 70 : 1, slots = is_soak ? 120 : 30;
    static lw_runs_in in;
    double most_s = 0.0, sum_s = 0.0, most_gap = 0.0, sum_gap = 0.0;
    int found = 0, proven = 0;
    (void)state;
    for (int i = 0; i < cases; i++) {
        make_long(&in, 1000003u * (uint32_t)(i + 1), slots);
        const clock_t from = clock();
        const lw_runs_out out = plan(&in);
        const double s = (double)(clock() - from) / CLOCKS_PER_SEC;
        most_s = fmax(most_s, s), sum_s += s;
        found += out.is_found, proven += out.is_proven;
        if (out.is_found) {
            want_kept(&in, &out, (uint32_t)i);
            most_gap = fmax(most_gap, 1.0 - out.bound_usd / out.usd), sum_gap += 1.0 - out.bound_usd / out.usd;
        }
        if (is_soak)
            print_message("  %d runs, %.2f USD, bound %.2f, %d labels, %.2f s\n", out.count, out.usd, out.bound_usd,
                          out.labels, s);
    }
    print_message("%d days, 12 services, 3 types, 8 supplies: %d of %d planned, %d proven, gap %.1f %% in the mean, "
                  "%.1f %% at most; %.2f s of CPU in the mean, %.2f s at most\n",
                  slots / 2, found, cases, proven, 100.0 * sum_gap / cases, 100.0 * most_gap, sum_s / cases, most_s);
    assert_int_equal(found, cases);
    assert_true(most_gap < 0.12);
}

/* Days of 24 ticks. */
static lw_runs_in simple(void)
{
    lw_runs_in in = {.slots = 10,
                     .supply_count = 2,
                     .service_count = 2,
                     .type_count = 1,
                     .hour_usd = 10.0,
                     .end = 239,
                     .tick_h = 1.0};
    in.first[0] = 4 * 24 - 1, in.first[1] = 7 * 24 - 1;
    in.service[0] = (lw_run_service){.gives = 1, .road_h = 1.0, .road_km = 50.0, .time_h = 0.5, .fee_usd = 5.0};
    in.service[1] = (lw_run_service){.gives = 2, .road_h = 0.5, .road_km = 25.0, .time_h = 0.5, .fee_usd = 3.0};
    in.type[0] = (lw_run_type){.carries = 3, .own_h = 0.5, .km_usd = 0.2};
    for (int d = 0; d < 10; d++) {
        in.midnight_h[d] = 24.0 * d;
        in.service[0].open[d] = in.service[1].open[d] = hours(8, 18);
        in.type[0].free[d] = hours(9, 20);
        in.full[0][0][d] = (int16_t)(24 * (d + 6) + 10), in.full[1][0][d] = (int16_t)(24 * (d + 8) + 10);
    }
    for (int u = 0; u <= in.end; u++)
        in.more[0][0][u] = in.more[1][0][u] = LW_RUN_WHOLE;
    return in;
}

/* By hand: on day 3 at the latest, both at once: half an hour of packing, two of road, one there; 100 km; 8 USD of fees. */
static void one_run_serves_both_where_that_is_cheaper(void **state)
{
    (void)state;
    const lw_runs_in in = simple();
    const lw_runs_out out = plan(&in);
    assert_int_equal(out.count, 1);
    assert_int_equal(out.run[0].slot, 3);
    assert_int_equal(out.run[0].services, 3);
    assert_in_range(out.run[0].from_hour, 9, 15); /* the first and the last that fit cost the same */
    CHECK_NEAR(out.run[0].spent_h, 3.5, 1e-9, "by hand");
    CHECK_NEAR(out.usd, 3.5 * 10.0 + 100.0 * 0.2 + 8.0, 1e-9, "by hand");
}

static void work_and_closed_doors_move_a_run(void **state)
{
    (void)state;
    lw_runs_in in = simple();
    for (int d = 1; d < 4; d++)
        in.type[0].free[d] = hours(17, 20); /* three hours are too few for both, and the first shuts at six */
    const lw_runs_out out = plan(&in);
    assert_true(out.is_found && out.run[0].slot == 0);
    in.type[0].free[0] = 0;
    const lw_runs_out none = plan(&in);
    assert_true(!none.is_found && none.short_supply == 0);
}

/* By hand: cans that last 30 hours, from coverage through hour 95 on, in a tank that holds 60: runs by day 3, 4, 5 or sooner; each
 * as late as may be, so that none is clipped: 95, 125, 155, 185, 215, 239. Five runs of 2.5 + 0.5 hours, 100 km and 5 USD. */
static void what_cans_bring_adds_to_what_is_there(void **state)
{
    (void)state;
    lw_runs_in in = simple();
    in.first[1] = 240;
    for (int d = 0; d < 10; d++)
        in.full[0][0][d] = (int16_t)(24 * d + 60);
    for (int u = 0; u <= in.end; u++)
        in.more[0][0][u] = (int16_t)(u + 30);
    assert_int_equal(lw_run_covers(&in, 0, 0, 3, 15.0, 95), 125);
    assert_int_equal(lw_run_covers(&in, 0, 0, 2, 15.0, 95), 123); /* what does not fit stays behind */
    assert_int_equal(lw_run_covers(&in, 0, 0, 4, 15.0, 95), 95);  /* too late */
    const lw_runs_out out = plan(&in);
    assert_int_equal(out.count, 5);
    CHECK_NEAR(out.usd, 5.0 * (3.0 * 10.0 + 100.0 * 0.2 + 5.0), 1e-9, "by hand");
}

/* By hand: the dump costs 8 USD besides, and the fee of 5 falls away for who buys groceries. */
static void what_is_not_taken_is_not_paid(void **state)
{
    (void)state;
    lw_runs_in in = simple();
    in.service[0].gives = 3;
    in.service[0].each_usd[1] = 8.0;
    in.first[1] = 240;
    CHECK_NEAR(plan(&in).usd, 3.0 * 10.0 + 20.0 + 5.0, 1e-9, "water alone");
    in.first[1] = 7 * 24 - 1;
    in.service[0].each_usd[1] = -5.0;
    CHECK_NEAR(plan(&in).usd, 3.0 * 10.0 + 20.0, 1e-9, "with groceries");
}

static void nothing_to_do_is_no_run(void **state)
{
    (void)state;
    lw_runs_in in = simple();
    in.first[0] = in.first[1] = 240;
    const lw_runs_out out = plan(&in);
    assert_true(out.is_found && out.count == 0 && out.usd == 0.0);
}

static void bad_input_is_refused(void **state)
{
    lw_fault fault = {0};
    (void)state;
    lw_runs_in in = simple();
    in.service[1].fee_usd = NAN;
    assert_int_equal(lw_runs_check(&in, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "fee_usd");
    in = simple();
    in.slots = LW_RUN_SLOTS + 1;
    assert_int_equal(lw_runs_check(&in, &fault), LW_E_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_cheapest_runs_are_those_of_an_integer_program),
        cmocka_unit_test(a_long_stay_with_many_services_is_planned),
        cmocka_unit_test(one_run_serves_both_where_that_is_cheaper),
        cmocka_unit_test(work_and_closed_doors_move_a_run),
        cmocka_unit_test(what_cans_bring_adds_to_what_is_there),
        cmocka_unit_test(what_is_not_taken_is_not_paid),
        cmocka_unit_test(nothing_to_do_is_no_run),
        cmocka_unit_test(bad_input_is_refused),
    };
    return cmocka_run_group_tests_name("core/runs", tests, NULL, NULL);
}
