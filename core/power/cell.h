/* core/power/cell.h: how warm a panel's cells are and what power they give.
 *
 * Computes  cell temperature by mount (Sandia's model, SAPM), and by Faiman, by Ross and by the model of PVsyst for an
 *           insulated back; DC power at a temperature (PVWatts).
 * Inputs    irradiance in the plane; air temperature; wind at 10 m for lw_cell_sapm_c and at panel height for Faiman;
 *           effective irradiance (behind the glass), rated power at 1000 W/m2 and 25 C, gamma_pk its change per K
 *           as a fraction (-0.0035).
 * Results   degrees Celsius; watts, never below 0.
 * Errors    LW_E_RANGE from the checks.
 * Source    D. L. King and others, SAND2004-3535 (parameter sets insulated back glass/polymer, close mount glass/glass,
 *           open rack glass/polymer); D. Faiman, Progress in Photovoltaics 16, 2008 (u0 25, u1 6.84); R. G. Ross, 1980
 *           (NOCT 45 C); PVsyst's heat loss for an insulated back (15 W/m2K, absorption 0.9, efficiency 0.1); A. Dobos,
 *           PVWatts version 5, NREL/TP-6A20-62641, 2014.
 * Limits    steady state: no thermal mass; a flat panel on a van's roof is taken as an insulated back. Models differ by
 *           up to 8 % of the yield. No low-light loss, no wiring, no controller. */
#ifndef LW_CORE_POWER_CELL_H
#define LW_CORE_POWER_CELL_H

#include "core/base/err.h"

typedef enum lw_mount {
    LW_MOUNT_FLAT_ON_ROOF, /* no air behind: insulated back */
    LW_MOUNT_ON_SPACERS,   /* a hand's width of air: close mount */
    LW_MOUNT_OPEN_RACK,    /* on the ground or tilted up, free behind */
} lw_mount;

typedef struct lw_cell_in {
    double plane_wm2, air_c, wind_mps;
} lw_cell_in;

typedef struct lw_cell_power_in {
    double effective_wm2, cell_c, rated_w, gamma_pk;
} lw_cell_power_in;

LW_MUST_USE lw_code lw_cell_check(const lw_cell_in *in, lw_fault *fault);
double lw_cell_sapm_c(lw_mount mount, const lw_cell_in *in);
double lw_cell_faiman_c(const lw_cell_in *in);
double lw_cell_ross_c(const lw_cell_in *in);
double lw_cell_pvsyst_c(const lw_cell_in *in);

/* Kelvins above the air per W/m2: e^(a + b wind) of the module, and what its cells are warmer than its back. */
typedef struct lw_cell_line {
    double a, b, conduction_kpwm2;
} lw_cell_line;
lw_cell_line lw_cell_line_of(lw_mount mount);

/* The part of the SAPM that depends on mount and wind only: kelvins above the air per W/m2. For the hour loop. */
double lw_cell_rise_kpwm2(lw_mount mount, double wind_mps);

LW_MUST_USE lw_code lw_cell_power_check(const lw_cell_power_in *in, lw_fault *fault);
double lw_cell_power_w(const lw_cell_power_in *in);

#endif
