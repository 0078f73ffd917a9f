#include "core/power/cell.h"

#include <math.h>

#include "core/base/exp.h"

static const lw_cell_line SAPM[] = {
    [LW_MOUNT_FLAT_ON_ROOF] = {-2.81, -0.0455, 0.0 / 1000.0},
    [LW_MOUNT_ON_SPACERS] = {-2.98, -0.0471, 1.0 / 1000.0},
    [LW_MOUNT_OPEN_RACK] = {-3.56, -0.0750, 3.0 / 1000.0},
};

lw_cell_line lw_cell_line_of(lw_mount mount)
{
    return SAPM[mount];
}

lw_code lw_cell_check(const lw_cell_in *in, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "plane_wm2", in->plane_wm2, 0.0, 3000.0);
    if (!bad)
        bad = lw_want_range(fault, "air_c", in->air_c, -80.0, 70.0);
    return bad ? bad : lw_want_range(fault, "wind_mps", in->wind_mps, 0.0, 100.0);
}

double lw_cell_rise_kpwm2(lw_mount mount, double wind_mps)
{
    const lw_cell_line line = lw_cell_line_of(mount);
    return lw_exp(line.a + line.b * wind_mps) + line.conduction_kpwm2;
}

double lw_cell_sapm_c(lw_mount mount, const lw_cell_in *in)
{
    return in->air_c + in->plane_wm2 * lw_cell_rise_kpwm2(mount, in->wind_mps);
}

double lw_cell_faiman_c(const lw_cell_in *in)
{
    return in->air_c + in->plane_wm2 / (25.0 + 6.84 * in->wind_mps);
}

double lw_cell_ross_c(const lw_cell_in *in)
{
    return in->air_c + in->plane_wm2 * (45.0 - 20.0) / 800.0;
}

double lw_cell_pvsyst_c(const lw_cell_in *in)
{
    return in->air_c + in->plane_wm2 * 0.9 * (1.0 - 0.1) / 15.0;
}

lw_code lw_cell_power_check(const lw_cell_power_in *in, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "effective_wm2", in->effective_wm2, 0.0, 3000.0);
    if (!bad)
        bad = lw_want_range(fault, "cell_c", in->cell_c, -100.0, 250.0);
    if (!bad)
        bad = lw_want_range(fault, "rated_w", in->rated_w, 0.0, 1e6);
    return bad ? bad : lw_want_range(fault, "gamma_pk", in->gamma_pk, -0.02, 0.02);
}

double lw_cell_power_w(const lw_cell_power_in *in)
{
    const double warm = 1.0 + in->gamma_pk * (in->cell_c - 25.0);
    return fmax(0.0, in->rated_w * (1.0 / 1000.0) * in->effective_wm2 * warm);
}
