/* core/plan/least_set.h: the least burdensome set of levers that meets every target.
 *
 * Computes   Of all sets of levers without two of one group the one of least burden for which no target fails. Whether a target
 *            fails is asked of the caller, who simulates the set: levers interact, so nothing is added up here but burdens.
 * How        Repeated: the least set that keeps to all clauses found so far (branch and bound, exact) is asked about. What fails
 *            is turned into a clause: the set, freed of what does the target harm and grown by as many of its cheapest helpers as
 *            leave it failing, says that a lever beyond it is needed, or one of its own must go.
 *            Where what a target needs is known as a sum, sets below it are never asked about.
 * Inputs     per lever its burden, its group, and by target whether it helps, hurts or may do either, with its strength, by which
 *            levers of one group compare.
 * Results    the set and its burden; or the targets that no set meets. `asked` counts simulations.
 * Exact      where, for each target, adding a lever that only helps never makes it fail, adding one that only hurts never
 *            makes it pass, one that does neither changes nothing, and of one group the stronger is no worse: the same
 *            burden as trying every set (tests/core/test_least_set.c, tests/service/test_levers.c).
 * Errors     LW_E_RANGE from lw_least_set_check; LW_E_FULL for more than LW_SET_CLAUSES clauses; what `fails` gives. */
#ifndef LW_CORE_PLAN_LEAST_SET_H
#define LW_CORE_PLAN_LEAST_SET_H

#include <stdint.h>

#include "core/base/err.h"

enum { LW_SET_LEVERS = 64, LW_SET_TARGETS = 16, LW_SET_CLAUSES = 512 };

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
    /* Bits of those of `targets` that fail under the set, into *failing. LW_E_CONFLICT: levers of the set cannot be together,
     * so it is none. Any other code ends the search with it. */
    lw_code (*fails)(void *with, lw_lever_set set, uint32_t targets, uint32_t *failing);
    void *with;
    int ask_most; /* after so many simulations a set that does it is made, not the least one; 0: as many as it takes */
} lw_set_in;

typedef struct lw_set_clause {
    lw_lever_set one_of, or_not; /* kept by a set with a lever of one_of, or without one of or_not */
} lw_set_clause;

typedef struct lw_set_out {
    int is_found;
    int is_proven; /* 0: ask_most came first; then the set does it, and no set of a burden under `bound` does */
    double bound;
    lw_lever_set set;
    double burden;
    uint32_t hopeless; /* targets that no set meets; 0 though none is found: not all of them together */
    int asked;
} lw_set_out;

LW_MUST_USE lw_code lw_least_set_check(const lw_set_in *in, lw_fault *fault);

/* clause: room for LW_SET_CLAUSES. */
LW_MUST_USE lw_code lw_least_set(const lw_set_in *in, lw_set_clause *clause, lw_set_out *out);

#endif
