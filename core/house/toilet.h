/* core/house/toilet.h: what people leave in a toilet, and how long a black tank lasts them.
 *
 * Computes  litres a day into the black tank = share at the rig x (excreta + flush water + paper), summed over people.
 * Inputs    adults (teenagers count as adults) and children; here_frac 0..1 of their visits at the rig; flush_l a flush,
 *           flushes_perday a person; paper_l a person and day that goes into the bowl, with the water by which flushes
 *           are lengthened to carry it; tank_l from empty to full.
 * Results   l_perday; days until tank_l is full, NaN when nothing goes in.
 * Errors    LW_E_RANGE from lw_black_tank_check.
 * Source    Rose, Parker, Jefferson, Cartmell, Crit. Rev. Environ. Sci. Technol. 45, 2015: median 1.42 L urine (recalled)
 *           and 128 g faeces a person and day, at about 1 kg/L; children about 0.6 of that (common practice).
 * Limits    medians: one household may be half or twice that. Residue left after a dump is the caller's. */
#ifndef LW_CORE_HOUSE_TOILET_H
#define LW_CORE_HOUSE_TOILET_H

#include "core/base/err.h"

#define LW_URINE_L       1.42  /* an adult's day; Rose and others 2015 (recalled) */
#define LW_FAECES_L      0.128 /* an adult's day at 1 kg/L; Rose and others 2015 */
#define LW_CHILD_EXCRETA 0.6   /* of an adult's; common practice */

/* Where excreta go: a tank below, a cassette carried out, urine bottle and solids bin, a bag for the rubbish. */
#define LW_TOILETS(X) X(NONE, "none") X(FLUSH, "flush") X(CASSETTE, "cassette") X(DRY, "dry") X(BAG, "bag")
typedef enum lw_toilet_kind {
#define LW_TOILET_ID(id, word) LW_TOILET_##id,
    LW_TOILETS(LW_TOILET_ID) LW_TOILET_COUNT
#undef LW_TOILET_ID
} lw_toilet_kind;

typedef struct lw_black_tank_in {
    double adults, children, here_frac, flush_l, flushes_perday, paper_l, tank_l;
} lw_black_tank_in;

typedef struct lw_black_tank_out {
    double l_perday, days;
} lw_black_tank_out;

LW_MUST_USE lw_code lw_black_tank_check(const lw_black_tank_in *in, lw_fault *fault);
void lw_black_tank(const lw_black_tank_in *in, lw_black_tank_out *out);

#endif
