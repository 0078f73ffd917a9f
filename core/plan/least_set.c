#include "core/plan/least_set.h"

#include <math.h>

static const double MOST_BURDEN = 1e12;

typedef struct search {
    const lw_set_in *in;
    lw_set_clause *clause;
    int clause_count;
    lw_lever_set best;
    double best_burden; /* infinite: none yet */
    int asked;
    lw_code code;
} search;

static lw_lever_set bit_of(int lever)
{
    return UINT64_C(1) << lever;
}

lw_code lw_least_set_check(const lw_set_in *in, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "lever_count", in->lever_count, 0, LW_SET_LEVERS);
    bad = bad ? bad : lw_want_range(fault, "target_count", in->target_count, 1, LW_SET_TARGETS);
    for (int i = 0; i < in->lever_count && !bad; i++) {
        bad = lw_want_range(fault, "burden", in->lever[i].burden, 0.0, MOST_BURDEN);
        bad = bad ? bad : lw_want_range(fault, "group", in->lever[i].group, -1, LW_SET_LEVERS - 1);
    }
    return bad;
}

static lw_code ask(search *s, lw_lever_set set, uint32_t targets, uint32_t *failing)
{
    s->asked++;
    s->code = s->in->fails(s->in->with, set, targets, failing);
    return s->code;
}

/* Of the set the lever in the same group; -1: none. */
static int rival_in(const lw_set_in *in, lw_lever_set set, int lever)
{
    const int group = in->lever[lever].group;
    for (int i = 0; i < in->lever_count && group >= 0; i++)
        if (i != lever && (set & bit_of(i)) && in->lever[i].group == group)
            return i;
    return -1;
}

/* ------------------------------------------------------------------ the least set that keeps to the clauses */

static int is_kept(const lw_set_clause *clause, lw_lever_set set)
{
    return (clause->one_of & set) || (clause->or_not & ~set);
}

static double burden_of(const lw_set_in *in, lw_lever_set set)
{
    double sum = 0.0;
    for (int i = 0; i < in->lever_count; i++)
        sum += set & bit_of(i) ? in->lever[i].burden : 0.0;
    return sum;
}

static double least_of(const lw_set_in *in, lw_lever_set set)
{
    double least = INFINITY;
    for (int i = 0; i < in->lever_count; i++)
        if ((set & bit_of(i)) && in->lever[i].burden < least)
            least = in->lever[i].burden;
    return least;
}

/* What broken clauses without a lever in common cost at least; infinite: one of them can no more be kept. */
static double bound_of(const search *s, lw_lever_set set, lw_lever_set barred)
{
    lw_lever_set seen = 0;
    double sum = 0.0;
    for (int c = 0; c < s->clause_count; c++) {
        const lw_lever_set open = s->clause[c].one_of & ~barred;
        if (is_kept(&s->clause[c], set))
            continue;
        if (!open)
            return INFINITY;
        if (open & seen)
            continue;
        seen |= open;
        sum += least_of(s->in, open);
    }
    return sum;
}

static lw_lever_set rivals_of(const lw_set_in *in, int lever)
{
    lw_lever_set rivals = 0;
    for (int i = 0; i < in->lever_count; i++)
        if (i != lever && in->lever[lever].group >= 0 && in->lever[i].group == in->lever[lever].group)
            rivals |= bit_of(i);
    return rivals;
}

/* Levers of the set stay in, barred ones stay out. A broken clause needs one of its levers: the first that is taken bars those
 * before it. Nothing of or_not can be left out any more: it is in the set. */
/* NOLINTNEXTLINE(misc-no-recursion): at most LW_SET_LEVERS deep, each step takes a lever */
static void branch(search *s, lw_lever_set set, lw_lever_set barred)
{
    const double burden = burden_of(s->in, set);
    if (burden + bound_of(s, set, barred) >= s->best_burden)
        return;
    int broken = -1, fewest = LW_SET_LEVERS + 1;
    for (int c = 0; c < s->clause_count; c++) {
        const int open = __builtin_popcountll(s->clause[c].one_of & ~barred);
        if (!is_kept(&s->clause[c], set) && open < fewest)
            broken = c, fewest = open;
    }
    if (broken < 0) {
        s->best = set;
        s->best_burden = burden;
        return;
    }
    lw_lever_set open = s->clause[broken].one_of & ~barred;
    while (open) {
        int at = __builtin_ctzll(open);
        for (int i = at + 1; i < s->in->lever_count; i++) /* the cheapest first: a good set bounds the rest */
            if ((open & bit_of(i)) && s->in->lever[i].burden < s->in->lever[at].burden)
                at = i;
        branch(s, set | bit_of(at), barred | rivals_of(s->in, at));
        open &= ~bit_of(at);
        barred |= bit_of(at);
    }
}

/* ------------------------------------------------------------------ from a failure to a clause */

static lw_lever_set with_bit(const lw_set_in *in, int target, int wants_hurts)
{
    lw_lever_set set = 0;
    for (int i = 0; i < in->lever_count; i++)
        if ((wants_hurts ? in->lever[i].hurts : in->lever[i].helps) >> target & 1u)
            set |= bit_of(i);
    return set;
}

/* The set with a lever more; a weaker one of its group makes room. As it was where that one is as strong. */
static lw_lever_set grown(const lw_set_in *in, lw_lever_set set, int lever, int target)
{
    const int rival = rival_in(in, set, lever);
    if (rival >= 0 && in->lever[rival].strength[target] >= in->lever[lever].strength[target])
        return set;
    return (rival >= 0 ? set & ~bit_of(rival) : set) | bit_of(lever);
}

static int order_of(const lw_set_in *in, lw_lever_set helpers, int order[LW_SET_LEVERS])
{
    int count = 0;
    for (int i = 0; i < in->lever_count; i++) {
        if (!(helpers & bit_of(i)))
            continue;
        int at = count++;
        for (; at > 0 && in->lever[order[at - 1]].burden > in->lever[i].burden; at--)
            order[at] = order[at - 1];
        order[at] = i;
    }
    return count;
}

/* The most of its cheapest helpers that leave the target failing: by halving, as more of them never make it fail. */
static lw_code grow(search *s, lw_lever_set *set, lw_lever_set helpers, int target)
{
    int order[LW_SET_LEVERS] = {0};
    const int count = order_of(s->in, helpers, order);
    int fails_to = 0, passes_from = count + 1;
    lw_lever_set failing_set = *set;
    for (int try = count; fails_to + 1 < passes_from; try = (fails_to + passes_from) / 2) {
        lw_lever_set more = *set;
        uint32_t failing = 0;
        for (int i = 0; i < try; i++)
            more = grown(s->in, more, order[i], target);
        if (ask(s, more, UINT32_C(1) << target, &failing))
            return s->code;
        if (failing)
            fails_to = try, failing_set = more;
        else
            passes_from = try;
    }
    *set = failing_set;
    return LW_OK;
}

/* Levers of the set's complement that may help beyond it: not those whose stronger rival is in it. */
static lw_lever_set beyond(const lw_set_in *in, lw_lever_set set, lw_lever_set may_help, int target)
{
    lw_lever_set more = 0;
    for (int i = 0; i < in->lever_count; i++) {
        const int rival = rival_in(in, set, i);
        const int is_outdone = rival >= 0 && (may_help & bit_of(rival)) &&
                               in->lever[rival].strength[target] >= in->lever[i].strength[target];
        if ((may_help & ~set & bit_of(i)) && !is_outdone)
            more |= bit_of(i);
    }
    return more;
}

static lw_code learn(search *s, lw_lever_set set, int target)
{
    const lw_lever_set may_help = with_bit(s->in, target, 0), may_hurt = with_bit(s->in, target, 1);
    const lw_lever_set freed = set & may_help;
    lw_lever_set blamed = freed & may_hurt, failing_set = freed;
    if (freed != set) {
        uint32_t failing = 0;
        if (ask(s, freed, UINT32_C(1) << target, &failing))
            return s->code;
        if (!failing) { /* what hurts made it fail */
            failing_set = set;
            blamed |= set & ~freed;
        }
    }
    if (grow(s, &failing_set, may_help & ~may_hurt & ~failing_set, target))
        return s->code;
    if (s->clause_count == LW_SET_CLAUSES)
        return s->code = LW_E_FULL;
    s->clause[s->clause_count++] =
        (lw_set_clause){.one_of = beyond(s->in, failing_set, may_help, target), .or_not = blamed & failing_set};
    return LW_OK;
}

static void give(const search *s, int is_found, uint32_t hopeless, lw_set_out *out)
{
    *out = (lw_set_out){.is_found = is_found,
                        .set = is_found ? s->best : 0,
                        .burden = is_found ? s->best_burden : INFINITY,
                        .hopeless = hopeless,
                        .asked = s->asked};
}

lw_code lw_least_set(const lw_set_in *in, lw_set_clause *clause, lw_set_out *out)
{
    search s = {.in = in, .clause = clause};
    const uint32_t all = (UINT32_C(1) << in->target_count) - 1u;
    for (;;) {
        uint32_t failing = 0, hopeless = 0;
        s.best_burden = INFINITY;
        branch(&s, 0, 0);
        if (isinf(s.best_burden)) {
            give(&s, 0, 0, out);
            return LW_OK;
        }
        if (ask(&s, s.best, all, &failing))
            return s.code;
        for (int t = 0; t < in->target_count; t++) {
            if (!(failing >> t & 1u))
                continue;
            if (learn(&s, s.best, t))
                return s.code;
            const lw_set_clause *last = &s.clause[s.clause_count - 1];
            hopeless |= last->one_of == 0 && last->or_not == 0 ? UINT32_C(1) << t : 0u;
        }
        if (!failing || hopeless) {
            give(&s, !failing, hopeless, out);
            return LW_OK;
        }
    }
}
