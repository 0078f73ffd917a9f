#include "core/house/toilet.h"

#include <math.h>

lw_code lw_black_tank_check(const lw_black_tank_in *in, lw_fault *fault)
{
    const struct {
        const char *field;
        double value, high;
    } row[] = {
        {"adults", in->adults, 100.0},     {"children", in->children, 100.0},
        {"here_frac", in->here_frac, 1.0}, {"flush_l", in->flush_l, 20.0},
        {"paper_l", in->paper_l, 5.0},     {"flushes_perday", in->flushes_perday, 50.0},
        {"tank_l", in->tank_l, 10000.0},
    };
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        const lw_code bad = lw_want_range(fault, row[i].field, row[i].value, 0.0, row[i].high);
        if (bad)
            return bad;
    }
    return LW_OK;
}

void lw_black_tank(const lw_black_tank_in *in, lw_black_tank_out *out)
{
    const double excreta_l = (LW_URINE_L + LW_FAECES_L) * (in->adults + LW_CHILD_EXCRETA * in->children);
    const double each_l = in->flushes_perday * in->flush_l + in->paper_l;
    out->l_perday = in->here_frac * (excreta_l + (in->adults + in->children) * each_l);
    out->days = out->l_perday > 0.0 ? in->tank_l / out->l_perday : (double)NAN;
}
