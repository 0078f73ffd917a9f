#include "core/plan/least_set.h"

#include <math.h>

#include "core/base/num.h"
#include "core/base/order.h"

static const double MOST_BURDEN = 1e12, EPS = 1e-9;
static const double CASE_EPS = 1e-5; /* cases are summed in single precision */
static const double HARM = 4.0;      /* what hurts elsewhere is taken last, where no least set is looked for */

typedef struct search {
    const lw_set_in *in;
    lw_set_room *room;
    int clause_count, node_count;
    int asked;
    lw_code code;
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
static lw_code ask_for(search *s, lw_lever_set set, uint32_t targets, int may_leave_open, uint32_t *failing,
                       int *is_none)
{
    s->asked++;
    s->code = s->in->fails(s->in->with, set, targets, may_leave_open, failing);
    *is_none = s->code == LW_E_CONFLICT;
    if (*is_none) {
        *failing = 0;
        s->code = LW_OK;
    }
    return s->code;
}

static lw_code ask(search *s, lw_lever_set set, uint32_t targets, uint32_t *failing, int *is_none)
{
    return ask_for(s, set, targets, 0, failing, is_none);
}

/* What is not known without more ado counts as not failing. */
static lw_code ask_about(search *s, lw_lever_set set, int target, uint32_t *failing, int *is_none)
{
    return ask_for(s, set, UINT32_C(1) << target, 1, failing, is_none);
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

/* ------------------------------------------------------------------ a bound from below
 *
 * What is missing, as linear conditions: of each target the sum that it needs, of each broken clause one lever. Every
 * condition gets a price (a Lagrange multiplier), one after the other: as high as what its levers still cost lets it rise. The
 * prices of all that is missing, less what levers are then paid beyond their burden, is no more than any completion costs,
 * whatever the prices; of one group only its best paid lever counts. */

typedef struct prices {
    double left[LW_SET_LEVERS]; /* burden of each lever that is not yet paid; below 0: paid beyond it */
    lw_lever_set open;          /* levers that may still be taken */
    double sum;
} prices;

double lw_set_price(const lw_set_lever *lever, int count, const double *gives, const double *left, lw_lever_set open,
                    double missing, int *best)
{
    int order[LW_SET_LEVERS] = {0}, n = 0;
    double ratio[LW_SET_LEVERS], most[LW_SET_LEVERS] = {0.0};
    for (int i = 0; i < count; i++) {
        if (!(open & bit_of(i)) || !(gives[i] > 0.0))
            continue;
        ratio[i] = lw_most(left[i], 0.0) / gives[i];
        lw_order_put(ratio, i, order, &n);
        if (lever[i].group >= 0)
            most[lever[i].group] = lw_most(most[lever[i].group], gives[i]);
    }
    lw_lever_set groups = 0;
    *best = n > 0 ? order[0] : -1;
    for (int o = 0; o < n; o++) {
        const int i = order[o], group = lever[i].group;
        if (group >= 0 && (groups & bit_of(group)))
            continue;
        missing -= group >= 0 ? most[group] : gives[i];
        groups |= group >= 0 ? bit_of(group) : 0;
        if (missing <= 0.0)
            return ratio[i];
    }
    return INFINITY;
}

static double price_of_need(const search *s, const prices *p, int target, double missing, int *best)
{
    double gives[LW_SET_LEVERS];
    for (int i = 0; i < s->in->lever_count; i++)
        gives[i] = s->in->lever[i].gives[target];
    return lw_set_price(s->in->lever, s->in->lever_count, gives, p->left, p->open, missing, best);
}

static void pay_clauses(const search *s, lw_lever_set set, prices *p)
{
    for (int c = 0; c < s->clause_count && !isinf(p->sum); c++) {
        const lw_lever_set open = s->room->clause[c].one_of & p->open;
        double price = INFINITY;
        if (is_kept(&s->room->clause[c], set))
            continue;
        for (lw_lever_set rest = open; rest; rest &= rest - 1)
            price = lw_least(price, p->left[__builtin_ctzll(rest)]);
        p->sum += lw_most(price, 0.0);
        for (lw_lever_set rest = open; rest && price > 0.0; rest &= rest - 1)
            p->left[__builtin_ctzll(rest)] -= price;
    }
}

/* Of the targets that need a sum those with something missing, what is dearest first. The best lever of that into *lever. */
static void pay_needs(const search *s, lw_lever_set set, prices *p, int *lever)
{
    double missing[LW_SET_TARGETS], less_alone[LW_SET_TARGETS]; /* what is dearest by itself is least */
    int best[LW_SET_TARGETS] = {0}, order[LW_SET_TARGETS] = {0}, count = 0;
    for (int t = 0; t < s->in->target_count; t++) {
        missing[t] = missing_of(s->in, set, t);
        if (missing[t] <= 0.0)
            continue;
        less_alone[t] = -price_of_need(s, p, t, missing[t], &best[t]) * missing[t];
        lw_order_put(less_alone, t, order, &count);
    }
    *lever = count > 0 ? best[order[0]] : -1;
    for (int o = 0; o < count && !isinf(p->sum); o++) {
        const int t = order[o];
        int unused;
        const double price = price_of_need(s, p, t, missing[t], &unused);
        p->sum += price * missing[t];
        for (int i = 0; i < s->in->lever_count && price > 0.0 && !isinf(price); i++)
            p->left[i] -= price * s->in->lever[i].gives[t];
    }
}

double lw_set_overpaid(const lw_set_lever *lever, int count, const double *left, lw_lever_set open)
{
    double sum = 0.0, most[LW_SET_LEVERS] = {0.0};
    for (int i = 0; i < count; i++) {
        const double over = open & bit_of(i) ? lw_most(-left[i], 0.0) : 0.0;
        if (lever[i].group < 0)
            sum += over;
        else
            most[lever[i].group] = lw_most(most[lever[i].group], over);
    }
    for (int g = 0; g < LW_SET_LEVERS; g++)
        sum += most[g];
    return sum;
}

static double bound_of_sums(const search *s, lw_lever_set set, lw_lever_set barred, int *lever)
{
    prices p = {.open = ~(set | barred), .sum = 0.0};
    for (int i = 0; i < s->in->lever_count; i++)
        p.left[i] = s->in->lever[i].burden;
    pay_needs(s, set, &p, lever);
    pay_clauses(s, set, &p);
    return isinf(p.sum) ? p.sum : p.sum - lw_set_overpaid(s->in->lever, s->in->lever_count, p.left, p.open);
}

static float above(float a, float b)
{
    return a > b ? a : b;
}

/* Of each case what is due yet, less what open levers would pay beyond their burden; of a group the one that pays most. */
static void owe(const search *s, lw_lever_set set, lw_lever_set barred)
{
    const lw_set_in *in = s->in;
    const int n = in->case_count;
    float *left = s->room->left, *most = s->room->most;
    lw_lever_set seen = 0;
    for (int k = 0; k < n; k++)
        left[k] = in->due[k];
    for (int i = 0; i < in->lever_count; i++) {
        const float *pays = in->pays + (size_t)i * (size_t)n;
        const float burden = (float)in->lever[i].burden;
        if (set & bit_of(i)) {
            for (int k = 0; k < n; k++)
                left[k] -= pays[k];
        } else if (!(barred & bit_of(i)) && in->lever[i].group < 0) {
            for (int k = 0; k < n; k++)
                left[k] -= above(pays[k] - burden, 0.0f);
        }
    }
    for (int i = 0; i < in->lever_count; i++) {
        const int group = in->lever[i].group;
        if (group < 0 || (seen & bit_of(group)))
            continue;
        seen |= bit_of(group);
        for (int k = 0; k < n; k++)
            most[k] = 0.0f;
        for (int j = i; j < in->lever_count; j++) {
            const float *pays = in->pays + (size_t)j * (size_t)n;
            const float burden = (float)in->lever[j].burden;
            for (int k = 0; in->lever[j].group == group && !((set | barred) & bit_of(j)) && k < n; k++)
                most[k] = above(pays[k] - burden, most[k]);
        }
        for (int k = 0; k < n; k++)
            left[k] -= most[k];
    }
}

/* The open lever that pays most for its burden in a case; -1: what is taken pays what is due, or nothing more can. */
static int payer_of(const search *s, lw_lever_set set, lw_lever_set barred, int at)
{
    const lw_set_in *in = s->in;
    double due = (double)in->due[at], best = 0.0;
    int lever = -1;
    for (int i = 0; i < in->lever_count; i++) {
        const double pays = (double)in->pays[(size_t)i * (size_t)in->case_count + (size_t)at];
        if (set & bit_of(i))
            due -= pays;
        else if (!(barred & bit_of(i)) && pays / (in->lever[i].burden + EPS) > best)
            best = pays / (in->lever[i].burden + EPS), lever = i;
    }
    return due > CASE_EPS * (1.0 + (double)in->due[at]) ? lever : -1;
}

/* Burden at least, of the cases the one that asks least. */
static double bound_of_cases(const search *s, lw_lever_set set, lw_lever_set barred, int *lever)
{
    int least = 0;
    owe(s, set, barred);
    for (int k = 1; k < s->in->case_count; k++)
        least = s->room->left[k] < s->room->left[least] ? k : least;
    *lever = payer_of(s, set, barred, least);
    const double left = (double)s->room->left[least];
    return left - CASE_EPS * (1.0 + fabs(left) + (double)s->in->due[least]);
}

static int broken_clause(const search *s, lw_lever_set set, lw_lever_set barred);
static int cheapest(const lw_set_in *in, lw_lever_set open);

/* Infinite: what is missing cannot be had any more. */
static void put_bound(const search *s, lw_set_node *node)
{
    int of_cases = -1;
    double more = bound_of_sums(s, node->set, node->barred, &node->lever);
    if (s->in->case_count > 0 && !isinf(more))
        more = lw_most(more, bound_of_cases(s, node->set, node->barred, &of_cases));
    if (node->lever < 0)
        node->lever = of_cases;
    if (node->lever < 0) {
        const int broken = broken_clause(s, node->set, node->barred);
        node->lever = broken < 0 ? -1 : cheapest(s->in, s->room->clause[broken].one_of & ~node->barred);
    }
    node->clauses = s->clause_count;
    node->bound = burden_of(s->in, node->set) + (isinf(more) ? more : lw_most(more - EPS * (1.0 + more), 0.0));
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
        const int open = count_of(s->room->clause[c].one_of & ~barred);
        if (!is_kept(&s->room->clause[c], set) && open < fewest)
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

/* ------------------------------------------------------------------ open nodes, the least bound on top */

static int is_before(const lw_set_node *a, const lw_set_node *b)
{
    return a->bound < b->bound || (a->bound <= b->bound && count_of(a->set) > count_of(b->set));
}

static void push(search *s, const lw_set_node *node)
{
    lw_set_node *heap = s->room->node;
    int at = s->node_count++;
    for (int up; at > 0 && is_before(node, &heap[up = (at - 1) / 2]); at = up)
        heap[at] = heap[up];
    heap[at] = *node;
}

static lw_set_node pop(search *s)
{
    lw_set_node *heap = s->room->node;
    const lw_set_node top = heap[0], last = heap[--s->node_count];
    int at = 0;
    for (int child; (child = 2 * at + 1) < s->node_count; at = child) {
        child += child + 1 < s->node_count && is_before(&heap[child + 1], &heap[child]);
        if (!is_before(&heap[child], &last))
            break;
        heap[at] = heap[child];
    }
    heap[at] = last;
    return top;
}

static void push_bounded(search *s, lw_set_node node)
{
    put_bound(s, &node);
    if (!isinf(node.bound))
        push(s, &node);
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
    double burden[LW_SET_LEVERS];
    int count = 0;
    for (int i = 0; i < in->lever_count; i++) {
        burden[i] = in->lever[i].burden;
        if (helpers & bit_of(i))
            lw_order_put(burden, i, order, &count);
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
    if (ask_about(s, more, target, &failing, &is_none))
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
        if (ask_about(s, more, target, &failing, &is_none))
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

/* Room for one of each target is kept: is_at_limit. */
static void add_clause(search *s, lw_lever_set one_of, lw_lever_set or_not)
{
    s->room->clause[s->clause_count++] = (lw_set_clause){.one_of = one_of, .or_not = or_not};
}

static lw_code learn(search *s, lw_lever_set set, int target)
{
    const lw_lever_set may_help = with_bit(s->in, target, 0), may_hurt = with_bit(s->in, target, 1);
    const lw_lever_set freed = set & may_help;
    lw_lever_set blamed = freed & may_hurt, failing_set = freed;
    if (freed != set) {
        uint32_t failing = 0;
        int is_none;
        if (ask_about(s, freed, target, &failing, &is_none))
            return s->code;
        if (!failing) { /* what hurts made it fail */
            failing_set = set;
            blamed |= set & ~freed;
        }
    }
    if (grow(s, &failing_set, may_help & ~may_hurt & ~failing_set, target))
        return s->code;
    add_clause(s, beyond(s->in, failing_set, may_help, target), blamed & failing_set);
    return LW_OK;
}

static void give(const search *s, int is_found, lw_lever_set set, uint32_t hopeless, lw_set_out *out)
{
    const double burden = is_found ? burden_of(s->in, set) : INFINITY;
    *out = (lw_set_out){.is_found = is_found,
                        .is_proven = 1,
                        .bound = burden,
                        .set = is_found ? set : 0,
                        .burden = burden,
                        .hopeless = hopeless,
                        .asked = s->asked};
}

/* Targets whose needs all levers together do not give. */
static uint32_t never_filled(const search *s)
{
    uint32_t never = 0;
    int best;
    const prices p = {.open = ~UINT64_C(0)};
    for (int t = 0; t < s->in->target_count; t++)
        if (missing_of(s->in, 0, t) > 0.0 && isinf(price_of_need(s, &p, t, missing_of(s->in, 0, t), &best)))
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
static lw_code mend(search *s, uint32_t all, const lw_set_node *least, lw_set_out *out)
{
    lw_lever_set set = least->set;
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
    give(s, !failing, set, 0, out);
    out->is_proven = 0;
    out->bound = least->bound;
    return LW_OK;
}

static int is_at_limit(const search *s)
{
    const lw_set_in *in = s->in;
    return (in->ask_most > 0 && s->asked >= in->ask_most) ||
           (in->spend_most > 0 && in->spent && *in->spent >= in->spend_most) ||
           s->clause_count > LW_SET_CLAUSES - LW_SET_TARGETS || s->node_count > LW_SET_NODES - 3;
}

/* A complete set is the answer, or a clause more. */
static lw_code try_set(search *s, uint32_t all, lw_lever_set set, int *is_done, lw_set_out *out)
{
    uint32_t failing = 0, hopeless = 0;
    int is_none;
    if (ask(s, set, all, &failing, &is_none))
        return s->code;
    if (is_none) {
        add_clause(s, 0, set);
        return LW_OK;
    }
    for (int t = 0; t < s->in->target_count; t++) {
        if (!(failing >> t & 1u))
            continue;
        if (learn(s, set, t))
            return s->code;
        const lw_set_clause *last = &s->room->clause[s->clause_count - 1];
        hopeless |= last->one_of == 0 && last->or_not == 0 ? UINT32_C(1) << t : 0u;
    }
    *is_done = !failing || hopeless;
    if (*is_done)
        give(s, !failing, set, hopeless, out);
    return LW_OK;
}

lw_code lw_least_set(const lw_set_in *in, lw_set_room *room, lw_set_out *out)
{
    search s = {.in = in, .room = room};
    const uint32_t all = (UINT32_C(1) << in->target_count) - 1u;
    int is_done = 0;
    for (int t = 0; t < in->target_count; t++)
        s.meeting_share[t] = INFINITY;
    push_bounded(&s, (lw_set_node){.set = 0});
    while (s.node_count > 0 && !is_done) {
        lw_set_node node = pop(&s);
        if (is_at_limit(&s))
            return mend(&s, all, &node, out);
        if (node.clauses < s.clause_count) {
            push_bounded(&s, node);
            continue;
        }
        if (node.lever < 0) {
            if (try_set(&s, all, node.set, &is_done, out))
                return s.code;
            push_bounded(&s, node);
            continue;
        }
        const lw_lever_set bit = bit_of(node.lever);
        push_bounded(&s, (lw_set_node){.set = node.set | bit, .barred = node.barred | rivals_of(in, node.lever)});
        push_bounded(&s, (lw_set_node){.set = node.set, .barred = node.barred | bit});
    }
    if (!is_done)
        give(&s, 0, 0, never_filled(&s), out);
    return LW_OK;
}
