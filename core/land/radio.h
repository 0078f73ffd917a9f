/* core/land/radio.h: basic transmission loss between two antennas over terrain, by ITU-R P.1812-8.
 *
 * Computes  free space with multipath and focusing, diffraction (core/land/diffraction.h) for the median earth and for
 *           that of time_pct, ducting and layer reflection, scatter from the troposphere, blended into the loss not
 *           exceeded for time_pct of the time and place_pct of the places.
 * Inputs    profile (checked); f_ghz 0.03..6; tx_m, rx_m above ground 1..3000; is_vertical polarisation; time_pct 1..50;
 *           place_pct 1..99; place_sigma_db >= 0 (0: none); dn_nupkm mean lapse of the refractive index in the lowest km
 *           0..150 N-units/km; n0 refractivity at the sea's level 200..450; latitude_deg of the path's middle;
 *           coast_tx_km, coast_rx_km land between an antenna and the sea along the path.
 * Results   dB between isotropic antennas, each step of the chain beside the sum; field_dbuvm for 1 kW.
 * Errors    LW_E_RANGE and those of the profile, from lw_radio_check.
 * Source    Recommendation ITU-R P.1812-8 (09/2025), equation numbers as there. The maps of dn and n0 are the ITU's and
 *           are not shipped: mid-latitude land has dn 40 to 50, n0 310 to 330 (from memory).
 * Limits    outdoor antennas, no loss into buildings, 0.25 to 3000 km. Arithmetic is exact to 0.001 dB; the model is 12 dB
 *           (one standard deviation) from a measured level where nothing was measured before (docs/use/signal.md). */
#ifndef LW_CORE_LAND_RADIO_H
#define LW_CORE_LAND_RADIO_H

#include "core/land/diffraction.h"

typedef struct lw_radio_in {
    const lw_profile *profile;
    double f_ghz, tx_m, rx_m;
    int is_vertical;
    double time_pct, place_pct, place_sigma_db;
    double dn_nupkm, n0, latitude_deg, coast_tx_km, coast_rx_km;
} lw_radio_in;

typedef struct lw_radio {
    double ae_km, duct_pct; /* median effective earth radius; time with a lapse of over 100 N-units/km, "beta 0" */
    double bend_mrad;       /* angle of the path, theta */
    lw_smooth_ends smooth;
    double free_db, sight_db, sight_duct_db;       /* Lbfs, Lb0p, Lb0b */
    double hills50_db, hills_duct_db, hills_db;    /* Ld50, Ldb, Ldp */
    double least_db, duct_db, duct_least_db;       /* Lminb0p, Lba, Lminbap */
    double mixed_db, bent_db, scatter_db, mean_db; /* Lbda, Lbam, Lbs, Lbc */
    double loss_db;                                /* Lb */
    double field_dbuvm;                            /* for 1 kW */
} lw_radio;

LW_MUST_USE lw_code lw_radio_check(const lw_radio_in *in, lw_fault *fault);
void lw_radio_of(const lw_radio_in *in, lw_radio *out);

/* The inverse of the normal distribution as the Recommendation rounds it (within 5e-4), 1e-6..1-1e-6. */
double lw_radio_normal(double chance);

#endif
