#include "core/plan/least_set.h"

#include <math.h>

#include "core/base/num.h"

static const double MOST_BURDEN = 1e12, EPS = 1e-9;
static const double HARM = 4.0; /* what hurts elsewhere is taken last, where no least set is looked for */

typedef struct search {
    const lw_set_in *in;
    lw_set_clause *clause;
    int clause_count;
    lw_lever_set best;
    double best_burden; /* infinite: none yet */
    int asked;
    lw_code code;
    /* By target the levers that give something towards it, the best for their burden first. */
    int order[LW_SET_TARGETS][LW_SET_LEVERS], order_count[LW_SET_TARGETS];
    double failing_share[LW_SET_TARGETS], meeting_share[LW_SET_TARGETS];
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

/* A set that cannot be counts as one of which nothing is known: *failing 0, *is_none 1. */
static lw_code ask(search *s, lw_lever_set set, uint32_t targets, uint32_t *failing, int *is_none)
{
    s->asked++;
    s->code = s->in->fails(s->in->with, set, targets, failing);
    *is_none = s->code == LW_E_CONFLICT;
    if (*is_none) {
        *failing = 0;
        s->code = LW_OK;
    }
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

/* What is missing of what a target needs; not above 0: nothing. */
static double missing_of(const lw_set_in *in, lw_lever_set set, int target)
{
    double missing = in->needs[target];
    if (!(missing > 0.0))
        return 0.0;
    for (int i = 0; i < in->lever_count; i++)
        missing -= set & bit_of(i) ? in->lever[i].gives[target] : 0.0;
    return missing - EPS * in->needs[target];
}

/* The most that one lever of a group may give. */
static double most_of_group(const search *s, lw_lever_set closed, int target, int group)
{
    double most = 0.0;
    for (int o = 0; o < s->order_count[target]; o++) {
        const int i = s->order[target][o];
        if (!(closed & bit_of(i)) && s->in->lever[i].group == group)
            most = lw_most(most, s->in->lever[i].gives[target]);
    }
    return most;
}

/* A bound from below of what filling costs: levers in parts, of a group as much as its strongest gives at the price of its
 * cheapest for what it gives. Infinite: they cannot fill it. The best one for its burden into *best. */
static double fill_of(const search *s, lw_lever_set set, lw_lever_set barred, int target, int *best)
{
    const lw_set_in *in = s->in;
    const lw_lever_set closed = set | barred;
    double missing = missing_of(in, set, target), sum = 0.0;
    lw_lever_set groups = 0;
    *best = -1;
    for (int o = 0; o < s->order_count[target] && missing > 0.0; o++) {
        const int i = s->order[target][o], group = in->lever[i].group;
        if ((closed & bit_of(i)) || (group >= 0 && (groups & bit_of(group))))
            continue;
        const double own = in->lever[i].gives[target];
        const double gives = group < 0 ? own : most_of_group(s, closed, target, group);
        if (*best < 0)
            *best = i;
        if (group >= 0)
            groups |= bit_of(group);
        sum += in->lever[i].burden * lw_least(missing, gives) / own;
        missing -= gives;
    }
    return missing > 0.0 ? INFINITY : sum;
}

/* Burden that what is still missing costs at least; the target that costs most and its best lever. */
static double fill_bound(const search *s, lw_lever_set set, lw_lever_set barred, int *lever)
{
    double most = -1.0;
    *lever = -1;
    for (int t = 0; t < s->in->target_count; t++) {
        int best;
        if (missing_of(s->in, set, t) <= 0.0)
            continue;
        const double fill = fill_of(s, set, barred, t, &best);
        if (fill > most) {
            most = fill;
            *lever = best;
        }
    }
    return most > 0.0 ? most : 0.0;
}

static int count_of(lw_lever_set set)
{
    int count = 0;
    for (; set; set &= set - 1) /* the lowest one goes */
        count++;
    return count;
}

static int broken_clause(const search *s, lw_lever_set set, lw_lever_set barred)
{
    int broken = -1, fewest = LW_SET_LEVERS + 1;
    for (int c = 0; c < s->clause_count; c++) {
        const int open = count_of(s->clause[c].one_of & ~barred);
        if (!is_kept(&s->clause[c], set) && open < fewest)
            broken = c, fewest = open;
    }
    return broken;
}

static int cheapest(const lw_set_in *in, lw_lever_set open)
{
    int at = -1;
    for (int i = 0; i < in->lever_count; i++)
        if ((open & bit_of(i)) && (at < 0 || in->lever[i].burden < in->lever[at].burden))
            at = i;
    return at;
}

/* Levers of the set stay in, barred ones stay out. Where something is missing or a clause is broken, one lever that mends it
 * is taken or barred. Nothing of or_not can be left out any more: it is in the set. */
/* NOLINTNEXTLINE(misc-no-recursion): at most LW_SET_LEVERS deep, each step takes or bars a lever */
static void branch(search *s, lw_lever_set set, lw_lever_set barred)
{
    int lever;
    const double burden = burden_of(s->in, set), fill = fill_bound(s, set, barred, &lever);
    const double rest = lw_most(fill, bound_of(s, set, barred));
    if (burden + rest >= s->best_burden)
        return;
    if (lever < 0) {
        const int broken = broken_clause(s, set, barred);
        if (broken < 0) {
            s->best = set;
            s->best_burden = burden;
            return;
        }
        lever = cheapest(s->in, s->clause[broken].one_of & ~barred);
        if (lever < 0) /* the bound is infinite then */
            return;
    }
    branch(s, set | bit_of(lever), barred | rivals_of(s->in, lever));
    branch(s, set, barred | bit_of(lever));
}

static void put_in_order(search *s)
{
    for (int t = 0; t < s->in->target_count; t++) {
        s->order_count[t] = 0;
        s->meeting_share[t] = INFINITY;
        for (int i = 0; i < s->in->lever_count; i++) {
            const lw_set_lever *l = s->in->lever;
            int at = s->order_count[t];
            if (!(l[i].gives[t] > 0.0))
                continue;
            for (; at > 0 &&
                   l[s->order[t][at - 1]].burden * l[i].gives[t] > l[i].burden * l[s->order[t][at - 1]].gives[t];
                 at--)
                s->order[t][at] = s->order[t][at - 1];
            s->order[t][at] = i;
            s->order_count[t]++;
        }
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

/* Between what is known to fail and what is known to meet the target, as shares of what it needs as a sum. */
static void remember(search *s, lw_lever_set set, int target, int is_failing)
{
    if (!(s->in->needs[target] > 0.0))
        return;
    const double share = 1.0 - missing_of(s->in, set, target) / s->in->needs[target];
    if (is_failing)
        s->failing_share[target] = lw_most(s->failing_share[target], share);
    else
        s->meeting_share[target] = lw_least(s->meeting_share[target], share);
}

static lw_lever_set with_first(const search *s, lw_lever_set set, const int *order, int count, int target)
{
    for (int i = 0; i < count; i++)
        set = grown(s->in, set, order[i], target);
    return set;
}

/* How many helpers more will do no harm, from the sums: where to look first. */
static int guess(const search *s, lw_lever_set set, const int *order, int count, int target)
{
    const double needs = s->in->needs[target];
    if (!(needs > 0.0) || isinf(s->meeting_share[target]))
        return count;
    const double border = 0.5 * (s->failing_share[target] + s->meeting_share[target]);
    for (int n = 1; n <= count; n++)
        if (1.0 - missing_of(s->in, with_first(s, set, order, n, target), target) / needs >= border)
            return n > 1 ? n - 1 : 1;
    return count;
}

/* Of the other helpers those that by the sums do not suffice either, all at once: what they leave is a stronger clause. */
static lw_code grow_by_sums(search *s, lw_lever_set *set, const int *order, int count, int target)
{
    lw_lever_set more = *set;
    uint32_t failing = 0;
    int is_none;
    for (int i = 0; i < count; i++) {
        const lw_lever_set next = grown(s->in, more, order[i], target);
        const double share = 1.0 - missing_of(s->in, next, target) / s->in->needs[target];
        if (share < s->failing_share[target])
            more = next;
    }
    if (more == *set)
        return LW_OK;
    if (ask(s, more, UINT32_C(1) << target, &failing, &is_none))
        return s->code;
    if (!is_none)
        remember(s, more, target, failing != 0);
    if (failing)
        *set = more;
    return LW_OK;
}

/* The most of its cheapest helpers that leave the target failing, as more of them never make it fail: from the guess one step on,
 * then by halving. */
static lw_code grow(search *s, lw_lever_set *set, lw_lever_set helpers, int target)
{
    int order[LW_SET_LEVERS] = {0};
    const int count = order_of(s->in, helpers, order);
    const lw_lever_set from = *set;
    int fails_to = 0, passes_from = count + 1, try = guess(s, from, order, count, target);
    for (int asks = 0; fails_to + 1 < passes_from; asks++) {
        const lw_lever_set more = with_first(s, from, order, try, target);
        uint32_t failing = 0;
        int is_none;
        if (ask(s, more, UINT32_C(1) << target, &failing, &is_none))
            return s->code;
        if (!is_none)
            remember(s, more, target, failing != 0);
        if (failing)
            fails_to = try, *set = more;
        else
            passes_from = try;
        try = asks > 0 ? (fails_to + passes_from) / 2 : failing ? try + 1 : try - 1;
    }
    return s->in->needs[target] > 0.0 ? grow_by_sums(s, set, order, count, target) : LW_OK;
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

static lw_code add_clause(search *s, lw_lever_set one_of, lw_lever_set or_not)
{
    if (s->clause_count == LW_SET_CLAUSES)
        return s->code = LW_E_FULL;
    s->clause[s->clause_count++] = (lw_set_clause){.one_of = one_of, .or_not = or_not};
    return LW_OK;
}

static lw_code learn(search *s, lw_lever_set set, int target)
{
    const lw_lever_set may_help = with_bit(s->in, target, 0), may_hurt = with_bit(s->in, target, 1);
    const lw_lever_set freed = set & may_help;
    lw_lever_set blamed = freed & may_hurt, failing_set = freed;
    if (freed != set) {
        uint32_t failing = 0;
        int is_none;
        if (ask(s, freed, UINT32_C(1) << target, &failing, &is_none))
            return s->code;
        if (!failing) { /* what hurts made it fail */
            failing_set = set;
            blamed |= set & ~freed;
        }
    }
    if (grow(s, &failing_set, may_help & ~may_hurt & ~failing_set, target))
        return s->code;
    return add_clause(s, beyond(s->in, failing_set, may_help, target), blamed & failing_set);
}

static void give(const search *s, int is_found, uint32_t hopeless, lw_set_out *out)
{
    *out = (lw_set_out){.is_found = is_found,
                        .is_proven = 1,
                        .bound = is_found ? s->best_burden : INFINITY,
                        .set = is_found ? s->best : 0,
                        .burden = is_found ? s->best_burden : INFINITY,
                        .hopeless = hopeless,
                        .asked = s->asked};
}

/* Targets whose needs all levers together do not give. */
static uint32_t never_filled(const search *s)
{
    uint32_t never = 0;
    int best;
    for (int t = 0; t < s->in->target_count; t++)
        if (missing_of(s->in, 0, t) > 0.0 && isinf(fill_of(s, 0, 0, t, &best)))
            never |= UINT32_C(1) << t;
    return never;
}

/* ------------------------------------------------------------------ when there is no time to prove it */

/* The helper that gives most for its burden; where that is not known, the cheapest. -1: none is left. */
static int next_helper(const search *s, lw_lever_set set, int target)
{
    const lw_set_lever *l = s->in->lever;
    int best = -1;
    double best_price = INFINITY;
    for (int i = 0; i < s->in->lever_count; i++) {
        if ((set & bit_of(i)) || !(l[i].helps >> target & 1u) || grown(s->in, set, i, target) == set)
            continue;
        const double gives = s->in->needs[target] > 0.0 ? l[i].gives[target] : 1.0;
        const double harm = l[i].hurts & ~(UINT32_C(1) << target) ? HARM : 1.0;
        const double price = gives > 0.0 ? harm * (l[i].burden + EPS) / gives : INFINITY;
        if (price < best_price)
            best = i, best_price = price;
    }
    return best;
}

static int lowest_of(uint32_t bits)
{
    return __builtin_ctz(bits);
}

/* Every lever that hurts nothing without helping it; of a group the strongest for the target. */
static lw_lever_set everything_good(const lw_set_in *in, int target)
{
    lw_lever_set set = 0;
    for (int i = 0; i < in->lever_count; i++)
        if (in->lever[i].helps && !(in->lever[i].hurts & ~in->lever[i].helps))
            set = grown(in, set, i, target);
    return set;
}

/* Helpers for what fails, one after the other. */
static lw_code add_helpers(search *s, uint32_t all, lw_lever_set *set, uint32_t *failing)
{
    int is_none = 0;
    for (int i = 0; i <= s->in->lever_count; i++) {
        if (ask(s, *set, all, failing, &is_none))
            return s->code;
        const int more = *failing ? next_helper(s, *set, lowest_of(*failing)) : -1;
        if (more < 0)
            break;
        *set = grown(s->in, *set, more, lowest_of(*failing));
    }
    *failing = is_none ? all : *failing;
    return LW_OK;
}

/* Without each lever that is not needed, the heaviest first. */
static lw_code leave_out(search *s, uint32_t all, lw_lever_set *set)
{
    int order[LW_SET_LEVERS];
    for (int i = order_of(s->in, *set, order); i-- > 0;) {
        uint32_t failing = 0;
        int is_none;
        if (ask(s, *set & ~bit_of(order[i]), all, &failing, &is_none))
            return s->code;
        if (!failing && !is_none)
            *set &= ~bit_of(order[i]);
    }
    return LW_OK;
}

/* A set that does it, though perhaps not the least: helpers for what fails or, where that leads nowhere, all that is good;
 * then without what is not needed. */
static lw_code mend(search *s, uint32_t all, lw_set_out *out)
{
    const double bound = s->best_burden;
    lw_lever_set set = s->best;
    uint32_t failing = 0;
    int is_none = 0;
    if (add_helpers(s, all, &set, &failing))
        return s->code;
    if (failing) {
        set = everything_good(s->in, lowest_of(failing));
        if (ask(s, set, all, &failing, &is_none))
            return s->code;
        failing = is_none ? all : failing;
    }
    if (!failing && leave_out(s, all, &set))
        return s->code;
    s->best = set;
    s->best_burden = burden_of(s->in, set);
    give(s, !failing, 0, out);
    out->is_proven = 0;
    out->bound = bound;
    return LW_OK;
}

lw_code lw_least_set(const lw_set_in *in, lw_set_clause *clause, lw_set_out *out)
{
    search s = {.in = in, .clause = clause};
    const uint32_t all = (UINT32_C(1) << in->target_count) - 1u;
    put_in_order(&s);
    for (;;) {
        uint32_t failing = 0, hopeless = 0;
        int is_none;
        s.best_burden = INFINITY;
        branch(&s, 0, 0);
        if (isinf(s.best_burden)) {
            give(&s, 0, never_filled(&s), out);
            return LW_OK;
        }
        if (in->ask_most > 0 && s.asked >= in->ask_most)
            return mend(&s, all, out);
        if (ask(&s, s.best, all, &failing, &is_none))
            return s.code;
        if (is_none) {
            if (add_clause(&s, 0, s.best))
                return s.code;
            continue;
        }
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
