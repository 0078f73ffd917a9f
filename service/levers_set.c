#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/sim/asked.h"
#include "service/levers_internal.h"
#include "service/pool.h"
#include "text/say.h"

enum {
    LANES = 8,    /* draws that are run together; core/base/lanes.h */
    BLOCKS = 16,  /* of so many draws between two looks at what is decided: the same on any number of threads */
    WORD = 64,    /* draws of a word of bits */
    TRIED = 256,  /* sets whose draws are remembered */
    LOOKS = 8000, /* sets looked at, most of them by sums alone */
    AIMS_MOST = 12,
};

/* What the aim is raised by besides the shortfall: so that it does not creep. */
static const double AIM_STEP = 0.004, AIM_MOST = 0.9995;

/* Bits of draws. */
typedef struct draws {
    uint64_t *bit[LW_SUPPLY_COUNT];
} draws;

/* A set that was run: of the draws that were, whether each supply lasts. */
typedef struct tried_set {
    lw_lever_set set;
    uint64_t *bits; /* words by supply, behind them those of the draws that were run */
} tried_set;

typedef struct chooser {
    lw_levers_work *w;
    int lever_at[LW_SET_LEVERS];
    lw_set_lever lever[LW_SET_LEVERS];
    lw_lever_set helps[LW_SUPPLY_COUNT], hurts[LW_SUPPLY_COUNT]; /* by supply */
    int count, words;
    tried_set tried[TRIED];
    int tried_count, asked;
    lw_lever_set can_be; /* the last set that was found to load */
    /* Of the set that is asked about: draws in which a supply is known to end, and to last; the sums of all uses. */
    draws lost, lasts;
    uint64_t *memory;
    double *net, *more;
    double aim_frac;
    lw_err *err;
} chooser;

static uint64_t *share_out(const chooser *c, draws *to, uint64_t *memory)
{
    for (int k = 0; k < LW_SUPPLY_COUNT; k++, memory += c->words)
        to->bit[k] = memory;
    return memory;
}

/* ------------------------------------------------------------------ what sums of uses say */

static const lw_lever_sums *sums_of(const chooser *c, int lever)
{
    return &c->w->sums[c->w->to->lever[c->lever_at[lever]].number];
}

/* What is known of a supply under a set: of which levers' sums, and what runs do. */
typedef struct standing {
    uint32_t is_known, is_whole, is_single, is_renewed;
    double brought;
} standing;

static standing standing_of(const chooser *c, lw_lever_set set, int supply)
{
    const lw_lever_sums *base = &c->w->base_sums;
    standing s = {.is_known = base->is_known >> supply & 1u,
                  .is_whole = base->is_whole >> supply & 1u,
                  .is_single = 1}; /* a lever that brings some counts the vessels itself */
    for (lw_lever_set left = set; left; left &= left - 1) {
        const lw_lever_sums *more = sums_of(c, __builtin_ctzll(left));
        s.is_known &= more->is_known >> supply;
        s.is_whole &= more->is_whole >> supply;
        s.is_single &= more->is_single >> supply;
        s.is_renewed |= more->is_renewed >> supply & 1u;
        s.brought += more->brought[supply];
    }
    return s;
}

/* Uses and rooms of levers that can stand together add up, draw by draw: into c->net. */
static void add_up_sums(chooser *c, lw_lever_set set, int supply, lw_sum what, double *net)
{
    const size_t n = (size_t)c->w->to->set_draws, at = (size_t)what * n;
    memcpy(net, c->w->base_sums.of[supply] + at, n * sizeof *net);
    for (lw_lever_set left = set; left; left &= left - 1) {
        const double *more = sums_of(c, __builtin_ctzll(left))->of[supply];
        for (size_t d = 0; more && d < n; d++)
            net[d] += more[at + d];
    }
}

/* Draws in which this much is asked beyond the room: those that are lost for sure; the others last. */
static void settle(chooser *c, int supply, const double *net, uint32_t lasts_too)
{
    for (int d = 0; d < c->w->to->set_draws; d++) {
        const double same = LW_ASKED_SAME * (1.0 + fabs(net[d]));
        const uint64_t bit = UINT64_C(1) << d % WORD;
        c->lost.bit[supply][d / WORD] |= net[d] > same ? bit : 0;
        c->lasts.bit[supply][d / WORD] &= net[d] < -same && lasts_too ? ~UINT64_C(0) : ~bit;
    }
}

static int is_asked(uint32_t targets, int supply)
{
    return (targets >> supply & 1u) || (targets >> LW_TARGET_ALL & 1u);
}

static void look_at_sums(chooser *c, lw_lever_set set, uint32_t targets)
{
    const int n = c->w->to->set_draws;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        const standing s = standing_of(c, set, k);
        if (!s.is_known || !is_asked(targets, k))
            continue;
        memset(c->lasts.bit[k], 0xff, (size_t)c->words * sizeof *c->lasts.bit[k]);
        if (s.is_renewed) {
            add_up_sums(c, set, k, LW_SUM_BEFORE, c->net);
            settle(c, k, c->net, s.is_whole);
            add_up_sums(c, set, k, LW_SUM_AFTER, c->net);
            settle(c, k, c->net, s.is_whole);
        } else if (s.brought > 0.0) {
            add_up_sums(c, set, k, LW_SUM_BEFORE, c->net);
            settle(c, k, c->net, s.is_whole);
            add_up_sums(c, set, k, LW_SUM_ALL, c->net);
            add_up_sums(c, set, k, LW_SUM_MISSING, c->more);
            for (int d = 0; d < n; d++)
                c->net[d] -= fmin(s.brought, c->more[d]);
            settle(c, k, c->net, s.is_whole && s.is_single);
        } else {
            add_up_sums(c, set, k, LW_SUM_ALL, c->net);
            settle(c, k, c->net, s.is_whole);
        }
    }
}

/* ------------------------------------------------------------------ what sets that were run say of others */

/* For a supply: a has every helper that b has, and nothing that hurts but what hurts b too. */
static int is_no_worse(const chooser *c, lw_lever_set a, lw_lever_set b, int supply)
{
    return !(a & ~b & c->hurts[supply]) && !(b & ~a & c->helps[supply]);
}

static uint64_t *lasts_of(const chooser *c, const tried_set *t, int supply)
{
    return t->bits + (size_t)supply * (size_t)c->words;
}

static uint64_t *run_of(const chooser *c, const tried_set *t)
{
    return lasts_of(c, t, LW_SUPPLY_COUNT);
}

static void look_at_others(chooser *c, lw_lever_set set, uint32_t targets)
{
    for (int i = 0; i < c->tried_count; i++) {
        const tried_set *t = &c->tried[i];
        for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
            const int is_up = is_no_worse(c, set, t->set, k), is_down = is_no_worse(c, t->set, set, k);
            for (int word = 0; (is_up || is_down) && is_asked(targets, k) && word < c->words; word++) {
                const uint64_t run = run_of(c, t)[word], lasts = lasts_of(c, t, k)[word];
                c->lasts.bit[k][word] |= is_up ? run & lasts : 0;
                c->lost.bit[k][word] |= is_down ? run & ~lasts : 0;
            }
        }
    }
}

/* ------------------------------------------------------------------ a set, run again */

static lw_code make_trial(const chooser *c, lw_lever_set set, lw_trial *trial)
{
    const char *change[LW_SET_LEVERS * LW_LEVER_CHANGES];
    int count = 0;
    for (int i = 0; i < c->count; i++) {
        const lw_lever *lever = &c->w->to->lever[c->lever_at[i]];
        for (int j = 0; (set >> i & 1u) && j < lever->change_count; j++)
            change[count++] = lever->change[j];
    }
    const lw_code code = lw_trial_make(c->w->trials, change, count, trial, c->err);
    return code && code != LW_E_FULL ? LW_E_CONFLICT : code; /* each was tried alone: together they cannot be */
}

/* Where none is free, the place of an older one. */
static tried_set *remembered(chooser *c, lw_lever_set set)
{
    for (int i = 0; i < c->tried_count; i++)
        if (c->tried[i].set == set)
            return &c->tried[i];
    /* the first is the unchanged camp, which stays */
    tried_set *t = &c->tried[c->tried_count < TRIED ? c->tried_count : 1 + c->asked % (TRIED - 1)];
    const size_t bytes = (size_t)(LW_SUPPLY_COUNT + 1) * (size_t)c->words * sizeof *t->bits;
    if (!t->bits)
        t->bits = malloc(bytes);
    if (!t->bits)
        return NULL;
    memset(t->bits, 0, bytes);
    t->set = set;
    c->tried_count += c->tried_count < TRIED;
    return t;
}

static void keep_rows(const chooser *c, const lw_trial_row *row, int first, int count, tried_set *t)
{
    for (int d = first; d < first + count; d++) {
        const uint64_t bit = UINT64_C(1) << d % WORD;
        run_of(c, t)[d / WORD] |= bit;
        for (int k = 0; k < LW_SUPPLY_COUNT; k++)
            if (row[d - first].end_h[k] >= (float)c->w->wished_h)
                lasts_of(c, t, k)[d / WORD] |= bit;
    }
}

/* Of a target the draws of which nothing is known yet. */
static uint64_t open_draws(const chooser *c, int target, int word)
{
    uint64_t lost = 0, lasts = ~UINT64_C(0);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        if (target != k && target != LW_TARGET_ALL)
            continue;
        lost |= c->lost.bit[k][word];
        lasts &= c->lasts.bit[k][word];
    }
    const int left = c->w->to->set_draws - word * WORD;
    return ~(lost | lasts) & (left < WORD ? (UINT64_C(1) << left) - 1u : ~UINT64_C(0));
}

/* Of the targets those that fail (or, decided the other way, pass) whatever the draws to come bring. */
static uint32_t decided(const chooser *c, uint32_t targets, uint32_t *failing)
{
    const int n = c->w->to->set_draws, wanted = (int)ceil(c->aim_frac * n - 1e-9);
    uint32_t settled = 0;
    *failing = 0;
    for (int target = 0; target < LW_TARGETS; target++) {
        int lost = 0, open = 0;
        for (int word = 0; (targets >> target & 1u) && word < c->words; word++) {
            uint64_t bad = 0;
            for (int k = 0; k < LW_SUPPLY_COUNT; k++)
                bad |= target == k || target == LW_TARGET_ALL ? c->lost.bit[k][word] : 0;
            lost += __builtin_popcountll(bad);
            open += __builtin_popcountll(open_draws(c, target, word));
        }
        if (lost > n - wanted)
            *failing |= UINT32_C(1) << target;
        if (lost > n - wanted || lost + open <= n - wanted)
            settled |= UINT32_C(1) << target;
    }
    return settled & targets;
}

/* That all supplies together fail is enough to know; once it runs, which of them it is says more. */
static int is_enough(uint32_t settled, uint32_t targets, uint32_t failing, int is_running)
{
    const uint32_t all = UINT32_C(1) << LW_TARGET_ALL;
    return settled == targets || ((failing & all) && (!is_running || (failing & ~all)));
}

/* Whether one target alone fails is worth a run only where no sums can tell. */
static int is_worth_running(const chooser *c, uint32_t targets, int may_leave_open)
{
    const uint32_t of_sums = c->w->base_sums.is_known | UINT32_C(1) << LW_TARGET_ALL;
    return !may_leave_open || (targets & ~of_sums);
}

typedef struct blocks {
    const chooser *c;
    const lw_trial *trial;
    int first[BLOCKS], count;
    lw_trial_row row[BLOCKS][LANES];
} blocks;

static int block_size(const chooser *c, int first)
{
    const int left = c->w->to->set_draws - first;
    return left < LANES ? left : LANES;
}

static void run_block(void *with, int worker, int at)
{
    blocks *b = with;
    const int first = b->first[at];
    lw_trial_rows(b->trial, &b->c->w->bench[worker], (uint32_t)first, (uint32_t)block_size(b->c, first), b->row[at]);
}

/* The next draws that one of these targets hangs on. */
static void take_blocks(const chooser *c, uint32_t targets, blocks *to)
{
    to->count = 0;
    for (int first = 0; first < c->w->to->set_draws && to->count < BLOCKS; first += LANES) {
        uint64_t open = 0;
        for (int target = 0; target < LW_TARGETS; target++)
            open |= targets >> target & 1u ? open_draws(c, target, first / WORD) : 0;
        if (open >> first % WORD & 0xffu)
            to->first[to->count++] = first;
    }
}

static lw_code run_until_decided(chooser *c, lw_lever_set set, uint32_t targets, int may_leave_open, uint32_t *failing)
{
    lw_trial trial = {.context = NULL};
    lw_code code = LW_OK;
    tried_set *t = NULL;
    for (;;) {
        const uint32_t settled = decided(c, targets, failing);
        if (is_enough(settled, targets, *failing, t != NULL) || !is_worth_running(c, targets, may_leave_open))
            break;
        if (!t) {
            code = make_trial(c, set, &trial);
            if (code)
                return code;
            t = remembered(c, set);
            c->asked++;
        }
        if (!t) {
            code = lw_fail(c->err, LW_E_FULL, "no memory to choose levers");
            break;
        }
        blocks b = {.c = c, .trial = &trial};
        take_blocks(c, targets & ~settled, &b);
        lw_pool_run(c->w->threads, b.count, run_block, &b);
        for (int i = 0; i < b.count; i++)
            keep_rows(c, b.row[i], b.first[i], block_size(c, b.first[i]), t);
        for (int k = 0; k < LW_SUPPLY_COUNT; k++)
            for (int word = 0; word < c->words; word++) {
                const uint64_t run = run_of(c, t)[word], lasts = lasts_of(c, t, k)[word];
                c->lasts.bit[k][word] |= run & lasts;
                c->lost.bit[k][word] |= run & ~lasts;
            }
    }
    lw_trial_clear(&trial);
    return code;
}

/* What passes without having been run must at least be possible. */
static lw_code want_possible(chooser *c, lw_lever_set set)
{
    lw_trial trial;
    if (set == c->can_be)
        return LW_OK;
    const lw_code code = make_trial(c, set, &trial);
    if (!code) {
        c->can_be = set;
        lw_trial_clear(&trial);
    }
    return code;
}

static lw_code fails(void *with, lw_lever_set set, uint32_t targets, int may_leave_open, uint32_t *failing)
{
    chooser *c = with;
    const uint32_t all = UINT32_C(1) << LW_TARGET_ALL;
    memset(c->memory, 0, (size_t)c->words * 2 * LW_SUPPLY_COUNT * sizeof *c->memory);
    look_at_sums(c, set, targets);
    look_at_others(c, set, targets);
    lw_code code = run_until_decided(c, set, targets, may_leave_open, failing);
    if (!code && !*failing && (targets & all) && !may_leave_open)
        code = want_possible(c, set);
    if (*failing & ~all)
        *failing &= ~all;
    return code;
}

/* ------------------------------------------------------------------ which levers */

/* What hurts only, or helps nothing that is there, belongs to no least set. */
static void gather(chooser *c)
{
    lw_levers *to = c->w->to;
    char group[LW_SET_LEVERS][LW_NAME];
    int groups = 0;
    for (int i = 0; i < to->count && c->count < LW_SET_LEVERS; i++) {
        const lw_lever *lever = &to->lever[i];
        if (lever->why_not[0] || !(lever->in_set.helps & ~(UINT32_C(1) << LW_TARGET_ALL)))
            continue;
        lw_set_lever *row = &c->lever[c->count];
        *row = lever->in_set;
        row->group = -1;
        for (int g = 0; g < groups && lever->exclusive[0]; g++)
            row->group = strcmp(group[g], lever->exclusive) == 0 ? g : row->group;
        if (row->group < 0 && lever->exclusive[0]) {
            row->group = groups;
            snprintf(group[groups++], LW_NAME, "%s", lever->exclusive);
        }
        for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
            c->helps[k] |= (uint64_t)(row->helps >> k & 1u) << c->count;
            c->hurts[k] |= (uint64_t)(row->hurts >> k & 1u) << c->count;
        }
        c->lever_at[c->count++] = i;
    }
}

/* ------------------------------------------------------------------ what a supply needs, as a sum */

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x < y) - (x > y);
}

/* Of the draws that ask most beyond the room, one more than may be lost: the set does in one of them what it takes. So, in
 * shares of what is missing in each, the most that its levers give in any of these is no less than 1. */
static void know_sum(chooser *c, int supply, lw_set_in *in)
{
    const lw_levers_work *w = c->w;
    const int n = w->to->set_draws, wanted = (int)ceil(c->aim_frac * n - 1e-9), more = n - wanted + 1;
    const double *net = w->base_sums.of[supply];
    in->needs[supply] = 0.0;
    if (!net || more > n)
        return;
    memcpy(c->net, net, (size_t)n * sizeof *c->net);
    qsort(c->net, (size_t)n, sizeof *c->net, by_size);
    const double least = c->net[more - 1];
    if (!(least > LW_ASKED_SAME))
        return;
    in->needs[supply] = 1.0;
    for (int i = 0; i < c->count; i++) {
        const lw_lever_sums *sums = sums_of(c, i);
        const double *gives = sums->of[supply];
        const int is_run = sums->is_renewed >> supply & 1u || sums->brought[supply] > 0.0;
        double most = gives ? -INFINITY : 0.0;
        for (int d = 0; gives && d < n; d++)
            most = net[d] >= least ? fmax(most, -gives[d] / net[d]) : most;
        c->lever[i].gives[supply] = is_run || !(sums->is_known >> supply & 1u) ? 1.0 : most;
    }
}

/* ------------------------------------------------------------------ measuring */

static double measure(const chooser *c, const lw_trial *trial, lw_trial_row *row, int count)
{
    lw_trial_rows_spread(trial, c->w->bench, c->w->threads, LW_TRIAL_FRESH, (uint32_t)count, row);
    return lw_rows_stay_frac(c->w, row, count);
}

static void add_up(const chooser *c, lw_lever_set set)
{
    lw_levers *to = c->w->to;
    to->set_count = 0;
    to->set_price_usd = to->set_minutes = to->set_mass_kg = to->set_roof_m2 = to->set_burden_usd = 0.0;
    to->set_running_usd = 0.0;
    for (int i = 0; i < to->count; i++)
        to->lever[i].is_in_set = 0;
    for (int i = 0; i < c->count; i++) {
        lw_lever *lever = &to->lever[c->lever_at[i]];
        if (!(set >> i & 1u))
            continue;
        lever->is_in_set = 1;
        to->set_count++;
        to->set_price_usd += lever->price_usd;
        to->set_running_usd += lever->running_usd;
        to->set_minutes += lever->minutes;
        to->set_mass_kg += lever->mass_kg;
        to->set_roof_m2 += lever->roof_m2;
        to->set_burden_usd += lever->burden_usd;
    }
}

/* The set's gains, by the draws that chose it, and its chance by those that did not. */
static lw_code measure_set(chooser *c, lw_lever_set set, lw_trial_row *fresh)
{
    lw_levers *to = c->w->to;
    lw_trial trial;
    lw_trial_row *row = calloc((size_t)to->set_draws, sizeof *row);
    if (!row)
        return lw_fail(c->err, LW_E_FULL, "no memory to measure a set of levers");
    const lw_code code = make_trial(c, set, &trial);
    if (!code) {
        lw_trial_rows_spread(&trial, c->w->bench, c->w->threads, 0, (uint32_t)to->set_draws, row);
        to->model_frac = lw_rows_stay_frac(c->w, row, to->set_draws);
        to->set_stay = lw_gain_of(c->w, row, LW_TARGET_ALL);
        for (int k = 0; k < LW_SUPPLY_COUNT; k++)
            to->set_gain[k] = lw_gain_of(c->w, row, k);
        to->fresh_frac = measure(c, &trial, fresh, to->fresh_draws);
        lw_trial_clear(&trial);
    }
    free(row);
    return code;
}

/* The chance of the set that was chosen on still more draws. */
static lw_code measure_further(const chooser *c, lw_lever_set set, lw_trial_row *row)
{
    lw_levers *to = c->w->to;
    lw_trial trial;
    const lw_code code = make_trial(c, set, &trial);
    double stays = 0.0;
    if (code)
        return code;
    for (int done = 0, n; done < to->wish.further; done += n) {
        n = to->wish.further - done < to->fresh_draws ? to->wish.further - done : to->fresh_draws;
        lw_trial_rows_spread(&trial, c->w->bench, c->w->threads, (uint32_t)(LW_TRIAL_FRESH + to->fresh_draws + done),
                             (uint32_t)n, row);
        stays += n * lw_rows_stay_frac(c->w, row, n);
    }
    to->further_frac = stays / to->wish.further;
    lw_trial_clear(&trial);
    return LW_OK;
}

/* ------------------------------------------------------------------ the search */

static lw_code search(chooser *c, lw_set_out *out)
{
    lw_fault fault = {0};
    lw_set_in in = {.lever = c->lever,
                    .lever_count = c->count,
                    .target_count = LW_TARGETS,
                    .fails = fails,
                    .with = c,
                    .spent = &c->asked,
                    .spend_most = c->w->to->wish.sets > 0 ? c->w->to->wish.sets : LW_LEVER_SETS_USUAL,
                    .ask_most = LOOKS};
    lw_case_maker maker = {.base = &c->w->base_sums, .lever = c->lever, .count = c->count};
    const int n = c->w->to->set_draws;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        know_sum(c, k, &in);
    for (int i = 0; i < c->count; i++)
        maker.sums[i] = sums_of(c, i);
    lw_set_room *room = malloc(sizeof *room);
    float *due = malloc((size_t)(c->count + 1) * LW_SET_CASES * sizeof *due);
    if (!room || !due) {
        free(room);
        free(due);
        return lw_fail(c->err, LW_E_FULL, "no memory to choose levers");
    }
    in.due = due;
    in.pays = due + LW_SET_CASES;
    in.case_count = lw_levers_cases(&maker, n, (int)ceil(c->aim_frac * n - 1e-9), due, due + LW_SET_CASES);
    const lw_code code = lw_least_set_check(&in, &fault) ? lw_fault_say(&fault, c->err) : lw_least_set(&in, room, out);
    free(room);
    free(due);
    return code;
}

/* A higher aim, and one that the set just measured does not reach: of the others none between would be chosen. */
static double raised(const chooser *c)
{
    const lw_levers *to = c->w->to;
    const double by_fresh = c->aim_frac + fmax(to->wish.confidence_frac - to->fresh_frac, 0.0) + AIM_STEP;
    return fmin(fmax(by_fresh, to->model_frac + 0.5 / to->set_draws), AIM_MOST);
}

/* Chosen, measured, and where it falls short chosen again with a higher aim. */
static lw_code choose(chooser *c, lw_trial_row *fresh)
{
    lw_levers *to = c->w->to;
    lw_code code = LW_OK;
    c->aim_frac = to->wish.confidence_frac;
    for (int i = 0; i < AIMS_MOST && !code && !to->is_reached; i++) { /* the first aim is the wish itself */
        lw_set_out out = {.is_found = 0};
        code = search(c, &out);
        if (!code)
            to->is_least = out.is_proven;
        if (code || !out.is_found) {
            to->hopeless = code ? 0 : out.hopeless;
            break;
        }
        to->aimed_frac = c->aim_frac;
        to->bound_usd = out.bound;
        to->tightened = i;
        to->is_chosen = 1;
        add_up(c, out.set);
        code = measure_set(c, out.set, fresh);
        to->is_reached = !code && to->fresh_frac >= to->wish.confidence_frac;
        if (!code && to->wish.further > 0)
            code = measure_further(c, out.set, fresh);
        if (c->aim_frac >= AIM_MOST)
            break;
        c->aim_frac = raised(c);
    }
    to->sets_asked = c->asked;
    return code;
}

static lw_code open_chooser(chooser *c)
{
    const lw_levers *to = c->w->to;
    c->words = (to->set_draws + WORD - 1) / WORD;
    c->memory = calloc((size_t)c->words * 2 * LW_SUPPLY_COUNT, sizeof *c->memory);
    c->net = calloc((size_t)to->set_draws, sizeof *c->net);
    c->more = calloc((size_t)to->set_draws, sizeof *c->more);
    if (!c->memory || !c->net || !c->more)
        return LW_E_FULL;
    (void)share_out(c, &c->lasts, share_out(c, &c->lost, c->memory));
    gather(c);
    tried_set *none = remembered(c, 0);
    if (!none)
        return LW_E_FULL;
    keep_rows(c, c->w->base_row, 0, to->set_draws, none);
    return LW_OK;
}

static void close_chooser(chooser *c)
{
    for (int i = 0; i < TRIED; i++)
        free(c->tried[i].bits);
    free(c->memory);
    free(c->net);
    free(c->more);
    free(c);
}

lw_code lw_levers_choose(lw_levers_work *w, lw_err *err)
{
    chooser *c = calloc(1, sizeof *c);
    w->to->fresh_draws = w->to->wish.fresh > 0 ? w->to->wish.fresh : LW_LEVER_FRESH;
    lw_trial_row *fresh = calloc((size_t)w->to->fresh_draws, sizeof *fresh);
    if (!c || !fresh) {
        free(c);
        free(fresh);
        return lw_fail(err, LW_E_FULL, "no memory to choose levers");
    }
    c->w = w;
    c->err = err;
    w->to->has_set = 1;
    lw_code code = open_chooser(c);
    code = code ? lw_fail(err, code, "no memory to choose levers") : choose(c, fresh);
    close_chooser(c);
    free(fresh);
    return code;
}
