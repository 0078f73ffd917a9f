/* core/plan/least_set.h: the least burdensome set of levers that meets every target.
 *
 * Computes   Of all sets of levers without two of one group the one of least burden for which no target fails. Whether a target
 *            fails is asked of the caller, who simulates the set: levers interact, so nothing is added up here but burdens.
 * How        Branch and bound, the least bound first: a lever is taken or barred. What is complete by all that is known is asked
 *            about. What fails is turned into a clause: the set, freed of what does the target harm and grown by as many of its
 *            cheapest helpers as leave it failing, says that a lever beyond it is needed, or one of its own must go. Bounds come
 *            from clauses, from sums that targets need, and from cases of which one must be met.
 * Inputs     per lever its burden, its group, and by target whether it helps, hurts or may do either, with its strength, by which
 *            levers of one group compare.
 * Results    the set and its burden; or the targets that no set meets. `asked` counts simulations.
 * Exact      where, for each target, adding a lever that only helps never makes it fail, adding one that only hurts never
 *            makes it pass, one that does neither changes nothing, and of one group the stronger is no worse: the same
 *            burden as trying every set (tests/core/test_least_set.c, tests/service/test_levers.c).
 * Errors     LW_E_RANGE from lw_least_set_check; what `fails` gives.
 * Limits     what takes more than LW_SET_CLAUSES clauses or LW_SET_NODES open nodes is not proven, as with ask_most. */
#ifndef LW_CORE_PLAN_LEAST_SET_H
#define LW_CORE_PLAN_LEAST_SET_H

#include <stdint.h>

#include "core/base/err.h"

enum { LW_SET_LEVERS = 64, LW_SET_TARGETS = 16, LW_SET_CLAUSES = 2048, LW_SET_NODES = 1 << 16, LW_SET_CASES = 4096 };

typedef uint64_t lw_lever_set; /* bit per lever */

typedef struct lw_set_lever {
    double burden;
    int group;                       /* levers of one group exclude one another; -1: none */
    uint32_t helps, hurts;           /* bit per target; both: either */
    double strength[LW_SET_TARGETS]; /* within a group: more helps more */
    double gives[LW_SET_TARGETS];    /* towards needs */
} lw_set_lever;

typedef struct lw_set_in {
    const lw_set_lever *lever;
    int lever_count, target_count;
    /* No set meets a target whose levers give less than it needs, all together: spares asking about it. 0: not known. */
    double needs[LW_SET_TARGETS];
    /* Where case_count is above 0, a set that meets all targets meets one of these cases, and a case only where what its levers
     * pay in it, [lever][case], is no less than what it is due. */
    int case_count;
    const float *due, *pays;
    /* Bits of those of `targets` that fail under the set, into *failing. LW_E_CONFLICT: levers of the set cannot be together,
     * so it is none. Any other code ends the search with it. may_leave_open: what it would be dear to find out may be left out
     * of *failing: the clause is the weaker for it, and no less true. */
    lw_code (*fails)(void *with, lw_lever_set set, uint32_t targets, int may_leave_open, uint32_t *failing);
    void *with;
    /* After so many questions, or once the caller has spent so much on answering them, a set that does it is made, not the least
     * one; 0: as much as it takes. */
    int ask_most, spend_most;
    const int *spent; /* counted by the caller; NULL: it does not */
} lw_set_in;

typedef struct lw_set_clause {
    lw_lever_set one_of, or_not; /* kept by a set with a lever of one_of, or without one of or_not */
} lw_set_clause;

/* Levers of set are taken, barred ones are not. */
typedef struct lw_set_node {
    lw_lever_set set, barred;
    double bound;
    int clauses, lever; /* known when it was bounded; to branch on, -1: none, it is complete */
} lw_set_node;

/* What a search works with. */
typedef struct lw_set_room {
    lw_set_clause clause[LW_SET_CLAUSES];
    lw_set_node node[LW_SET_NODES];
    float left[LW_SET_CASES], most[LW_SET_CASES];
} lw_set_room;

typedef struct lw_set_out {
    int is_found;
    int is_proven; /* 0: a limit came first; then the set does it, and no set of a burden under `bound` does */
    double bound;
    lw_lever_set set;
    double burden;
    uint32_t hopeless; /* targets that no set meets; 0 though none is found: not all of them together */
    int asked;
} lw_set_out;

LW_MUST_USE lw_code lw_least_set_check(const lw_set_in *in, lw_fault *fault);

/* For bounds from below: the price at which open levers, of which each costs what is left of its burden, fill what is missing;
 * of a group the most that one gives, at the ratio of its cheapest. Infinite: they cannot. The best for its burden into *best. */
double lw_set_price(const lw_set_lever *lever, int count, const double *gives, const double *left, lw_lever_set open,
                    double missing, int *best);
/* What open levers are paid beyond their burden where `left` is below 0; of a group the most. */
double lw_set_overpaid(const lw_set_lever *lever, int count, const double *left, lw_lever_set open);

LW_MUST_USE lw_code lw_least_set(const lw_set_in *in, lw_set_room *room, lw_set_out *out);

#endif
