#include "core/house/toilet.h"

#include <math.h>

lw_code lw_black_tank_check(const lw_black_tank_in *in, lw_fault *fault)
{
    const lw_want wants[] = {
        {"adults", in->adults, 0.0, 100.0},     {"children", in->children, 0.0, 100.0},
        {"here_frac", in->here_frac, 0.0, 1.0}, {"flush_l", in->flush_l, 0.0, 20.0},
        {"paper_l", in->paper_l, 0.0, 5.0},     {"flushes_perday", in->flushes_perday, 0.0, 50.0},
        {"tank_l", in->tank_l, 0.0, 10000.0},
    };
    return lw_want_all(fault, LW_WANTS(wants));
}

void lw_black_tank(const lw_black_tank_in *in, lw_black_tank_out *out)
{
    const double excreta_l = (LW_URINE_L + LW_FAECES_L) * (in->adults + LW_CHILD_EXCRETA * in->children);
    const double each_l = in->flushes_perday * in->flush_l + in->paper_l;
    out->l_perday = in->here_frac * (excreta_l + (in->adults + in->children) * each_l);
    out->days = out->l_perday > 0.0 ? in->tank_l / out->l_perday : (double)NAN;
}
