/* core/land/diffraction.h: what hills and the round earth take from a radio path ("delta-Bullington").
 *
 * Computes  the loss over the real profile replaced by one edge (Bullington), raised by what the round earth takes from
 *           a smooth path of the same length, where that is more than Bullington finds on it.
 * Inputs    profile (core/land/profile.h, checked); f_ghz 0.03..6; tx_m, rx_m antennas above the ground 1..3000;
 *           ap_km effective earth radius, > 0; sea_frac 0..1 of the path.
 * Results   dB. smooth_tx_m, smooth_rx_m: the smooth ground's height under the ends; is_beyond: 1 where the ground stands in
 *           the way; point_km: the one edge's place then (NaN in line of sight); nu of the edge, or of the worst
 *           point. Losses by polarisation, [0] horizontal, [1] vertical.
 * Errors    LW_E_RANGE and those of the profile, from lw_diffraction_check.
 * Source    ITU-R P.526, section "Method for a general terrestrial path"; ITU-R P.1812-8, sections 4.3.1 to 4.3.4 and
 *           Attachment 1 section 5.6.2, equations as numbered there. Ground: relative permittivity 22, 0.003 S/m (land),
 *           80, 5 S/m (sea). Speed of light 0.2998 m GHz, as the Recommendation has it.
 * Limits    an idealised ground; a real hill takes more or less by several dB. Against measurements see docs/use/signal.md. */
#ifndef LW_CORE_LAND_DIFFRACTION_H
#define LW_CORE_LAND_DIFFRACTION_H

#include "core/land/profile.h"

typedef struct lw_diffraction_in {
    const lw_profile *profile;
    double f_ghz, tx_m, rx_m, ap_km, sea_frac;
} lw_diffraction_in;

/* Heights of the smooth ground under the two ends, above the sea: a property of profile and antennas alone. */
typedef struct lw_smooth_ends {
    double fitted_tx_m, fitted_rx_m; /* the straight line of least squares, equations 87 and 88 */
    double tx_m, rx_m;               /* as the diffraction model wants them, equations 89 to 91 */
} lw_smooth_ends;

typedef struct lw_diffraction {
    lw_smooth_ends smooth;
    int is_beyond;
    double point_km, nu;
    double real_db;   /* Bullington on the real ground */
    double smooth_db; /* Bullington on the smooth one */
    double round_db[2];
    double loss_db[2];
} lw_diffraction;

LW_MUST_USE lw_code lw_diffraction_check(const lw_diffraction_in *in, lw_fault *fault);
void lw_diffraction_of(const lw_diffraction_in *in, lw_diffraction *out);

/* The two steps, for who asks for several earth radii of one path. */
lw_smooth_ends lw_smooth_ends_of(const lw_profile *profile, double tx_m, double rx_m);
void lw_diffraction_over(const lw_diffraction_in *in, const lw_smooth_ends *smooth, lw_diffraction *out);

/* The loss of one edge with the diffraction parameter nu, equation 12: 0 at or below -0.78. */
double lw_edge_loss_db(double nu);

#endif
