/* Runs during a stay: invented services and supplies, held against an integer program solved by GLPK 5.0, a general solver
 * (https://www.gnu.org/software/glpk/), written from the model's sentences and not from its code. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

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
    int days, services, types, supplies;
} size;

static void make(lw_runs_in *in, uint32_t seed, size most)
{
    uint32_t at = 0;
    memset(in, 0, sizeof *in);
    in->days = most.days / 2 + (int)(unit(seed, at++) * (most.days / 2 + 0.99));
    in->service_count = 1 + (int)(unit(seed, at++) * (most.services - 0.01));
    in->type_count = 1 + (int)(unit(seed, at++) * (most.types - 0.01));
    in->supply_count = 1 + (int)(unit(seed, at++) * (most.supplies - 0.01));
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
        const int opens = 7 + (int)(unit(seed, at++) * 4.0), closes = 13 + (int)(unit(seed, at++) * 6.0);
        const int shut = (int)(unit(seed, at++) * 9.0);
        for (int d = 0; d < in->days; d++)
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
        const int works_to = 7 + (int)(unit(seed, at++) * 8.0);
        for (int d = 0; d < in->days; d++)
            t->free[d] = d % 7 < 5 ? hours(works_to, 21) : hours(7, 21);
    }
    for (int k = 0; k < in->supply_count; k++) {
        in->first[k] = 2 + (int)(unit(seed, at++) * 5.0);
        for (int r = 0; r < in->type_count; r++) {
            const int lasts = 2 + (int)(unit(seed, at++) * 5.0);
            for (int d = 0; d < in->days; d++)
                in->lasts[k][r][d] = lasts + (int)(unit(seed, at++) * 1.5);
        }
    }
}

/* ---- the integer program ---- */

typedef struct program {
    const lw_runs_in *in;
    glp_prob *lp;
    int z[LW_RUN_DAYS][LW_RUN_TYPES][LW_RUN_SERVICES]; /* calls at a service */
    int y[LW_RUN_DAYS][LW_RUN_TYPES];                  /* sets out */
    int m[LW_RUN_DAYS][LW_RUN_TYPES];                  /* hours of road, one way */
    int s[LW_RUN_DAYS][LW_RUN_TYPES][24][16];          /* keeps so many hours from that one on */
} program;

enum { LONGEST = 15 };

static int column(program *p, double cost, int is_binary)
{
    const int at = glp_add_cols(p->lp, 1);
    glp_set_obj_coef(p->lp, at, cost);
    if (is_binary)
        glp_set_col_kind(p->lp, at, GLP_BV);
    else
        glp_set_col_bnds(p->lp, at, GLP_LO, 0.0, 0.0);
    return at;
}

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

static int is_open_between(const lw_run_service *s, int day, int from, int to)
{
    for (int h = from; h < to; h++)
        if (!(s->open[day] >> h & 1u))
            return 0;
    return 1;
}

/* Hours that the type may be under way, from one hour on, so many. */
static int may_keep(const lw_runs_in *in, int d, int r, int from, int n)
{
    for (int h = from; h < from + n; h++)
        if (h >= 24 || !(in->type[r].free[d] >> h & 1u))
            return 0;
    return 1;
}

static void add_run(program *p, int d, int r)
{
    const lw_runs_in *in = p->in;
    const lw_run_type *t = &in->type[r];
    row length = {.count = 0}, one = {.count = 0};
    p->y[d][r] = column(p, t->own_usd + in->hour_usd * t->own_h, 1);
    p->m[d][r] = column(p, 2.0 * in->hour_usd + 2.0 * 60.0 * t->km_usd, 0);
    add(&length, p->y[d][r], -t->own_h);
    add(&length, p->m[d][r], -2.0);
    add(&one, p->y[d][r], -1.0);
    for (int h = 0; h < 24; h++)
        for (int n = 1; n <= LONGEST; n++) {
            p->s[d][r][h][n] = 0;
            if (!may_keep(in, d, r, h, n))
                continue;
            p->s[d][r][h][n] = column(p, 0.0, 1);
            add(&length, p->s[d][r][h][n], n);
            add(&one, p->s[d][r][h][n], 1.0);
        }
    for (int j = 0; j < in->service_count; j++) {
        const lw_run_service *s = &in->service[j];
        row goes = {.count = 0}, far = {.count = 0};
        p->z[d][r][j] = column(p, s->fee_usd + in->hour_usd * (s->time_h + t->more_h), 1);
        add(&length, p->z[d][r][j], -s->time_h - t->more_h);
        add(&far, p->m[d][r], 1.0);
        add(&far, p->z[d][r][j], -s->road_h);
        keep(p, &far, GLP_LO, 0.0);
        add(&goes, p->z[d][r][j], -1.0); /* only with hours in which it is open */
        const int road = (int)floor(s->road_h);
        for (int h = 0; h < 24; h++)
            for (int n = 1; n <= LONGEST; n++)
                if (p->s[d][r][h][n] && is_open_between(s, d, h + road, h + n - road))
                    add(&goes, p->s[d][r][h][n], 1.0);
        keep(p, &goes, GLP_LO, 0.0);
    }
    keep(p, &length, GLP_LO, 0.0);
    keep(p, &one, GLP_FX, 0.0);
}

static void cover(program *p, int k, int day)
{
    const lw_runs_in *in = p->in;
    row r = {.count = 0};
    if (day < in->first[k])
        return;
    for (int d = 0; d < day; d++)
        for (int t = 0; t < in->type_count; t++)
            for (int j = 0; j < in->service_count; j++)
                if ((in->service[j].gives & in->type[t].carries) >> k & 1u && d + in->lasts[k][t][d] >= day)
                    add(&r, p->z[d][t][j], 1.0);
    keep(p, &r, GLP_LO, 1.0);
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
    for (int d = 0; d < in->days; d++) {
        row day = {.count = 0};
        for (int r = 0; r < in->type_count; r++) {
            add_run(p, d, r);
            add(&day, p->y[d][r], 1.0);
        }
        keep(p, &day, GLP_UP, 1.0);
    }
    for (int k = 0; k < in->supply_count; k++)
        for (int d = 0; d < in->days; d++)
            cover(p, k, d);
    glp_init_iocp(&how);
    how.presolve = GLP_ON;
    how.gmi_cuts = how.cov_cuts = how.mir_cuts = GLP_ON;
    how.tm_lim = getenv("LEEWAY_SOAK") ? 300000 : 20000; /* ms */
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
        until[k] = in->first[k] - 1;
    for (int i = 0; i < out->count; i++) {
        const lw_run *r = &out->run[i];
        int takes;
        usd += r->usd;
        if ((i > 0 && r->day <= out->run[i - 1].day) ||
            lw_run_fits(in, r->day, r->type, r->services, &takes) != r->from_hour)
            fail_msg("case %u: run %d does not fit on day %d", seed, i, r->day);
        for (int k = 0; k < in->supply_count; k++) {
            if (until[k] < r->day)
                fail_msg("case %u: supply %d is covered through day %d, the run is on day %d", seed, k, until[k],
                         r->day);
            const int more = r->day + in->lasts[k][r->type][r->day];
            until[k] = (r->supplies >> k & 1u) && more > until[k] ? more : until[k];
        }
    }
    for (int k = 0; k < in->supply_count; k++)
        if (until[k] < in->days - 1)
            fail_msg("case %u: supply %d is covered through day %d of %d", seed, k, until[k], in->days);
    CHECK_NEAR(usd, out->usd, 1e-6, "case %u: sum of its runs", seed);
}

static void the_cheapest_runs_are_those_of_an_integer_program(void **state)
{
    const int is_soak = getenv("LEEWAY_SOAK") != NULL;
    const size most = is_soak ? (size){14, 5, 2, 4} : (size){8, 3, 2, 3};
    const uint32_t cases = is_soak ? 200 : 12;
    int found = 0, none = 0, unknown = 0, many = 0;
    (void)state;
    for (uint32_t seed = 1; seed <= cases; seed++) {
        lw_runs_in in;
        make(&in, seed, most);
        const lw_runs_out out = plan(&in);
        const double want = by_program(&in);
        if (isnan(want)) {
            unknown++;
            continue;
        }
        if (!(fabs(out.usd - want) <= 1e-5) && !(isinf(out.usd) && isinf(want)))
            fail_msg("case %u: %d days, %d services, %d types, %d supplies: %.6f USD, the integer program has %.6f",
                     seed, in.days, in.service_count, in.type_count, in.supply_count, out.usd, want);
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

static lw_runs_in simple(void)
{
    lw_runs_in in = {.days = 10, .supply_count = 2, .service_count = 2, .type_count = 1, .hour_usd = 10.0};
    in.first[0] = 4, in.first[1] = 7;
    in.service[0] = (lw_run_service){.gives = 1, .road_h = 1.0, .road_km = 50.0, .time_h = 0.5, .fee_usd = 5.0};
    in.service[1] = (lw_run_service){.gives = 2, .road_h = 0.5, .road_km = 25.0, .time_h = 0.5, .fee_usd = 3.0};
    in.type[0] = (lw_run_type){.carries = 3, .own_h = 0.5, .km_usd = 0.2};
    for (int d = 0; d < 10; d++) {
        in.service[0].open[d] = in.service[1].open[d] = hours(8, 18);
        in.type[0].free[d] = hours(9, 20);
        in.lasts[0][0][d] = 6, in.lasts[1][0][d] = 8;
    }
    return in;
}

/* By hand: on day 3 at the latest, both at once: half an hour of packing, two of road, one there; 100 km; 8 USD of fees. */
static void one_run_serves_both_where_that_is_cheaper(void **state)
{
    (void)state;
    const lw_runs_in in = simple();
    const lw_runs_out out = plan(&in);
    assert_int_equal(out.count, 1);
    assert_int_equal(out.run[0].day, 3);
    assert_int_equal(out.run[0].services, 3);
    assert_int_equal(out.run[0].from_hour, 9);
    assert_int_equal(out.run[0].hours, 4);
    CHECK_NEAR(out.usd, 3.5 * 10.0 + 100.0 * 0.2 + 8.0, 1e-9, "by hand");
}

static void work_and_closed_doors_move_a_run(void **state)
{
    (void)state;
    lw_runs_in in = simple();
    for (int d = 1; d < 4; d++)
        in.type[0].free[d] = hours(17, 20); /* three hours are too few for both, and the first shuts at six */
    const lw_runs_out out = plan(&in);
    assert_true(out.is_found && out.run[0].day == 0);
    in.type[0].free[0] = 0;
    const lw_runs_out none = plan(&in);
    assert_true(!none.is_found && none.short_supply == 0);
}

static void nothing_to_do_is_no_run(void **state)
{
    (void)state;
    lw_runs_in in = simple();
    in.first[0] = in.first[1] = 10;
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
    in.days = LW_RUN_DAYS + 1;
    assert_int_equal(lw_runs_check(&in, &fault), LW_E_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_cheapest_runs_are_those_of_an_integer_program),
        cmocka_unit_test(one_run_serves_both_where_that_is_cheaper),
        cmocka_unit_test(work_and_closed_doors_move_a_run),
        cmocka_unit_test(nothing_to_do_is_no_run),
        cmocka_unit_test(bad_input_is_refused),
    };
    return cmocka_run_group_tests_name("core/runs", tests, NULL, NULL);
}
