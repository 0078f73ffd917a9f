/* core/land/link.h: from the loss of a path to what a mobile connection carries.
 *
 * Computes  received power of one resource element (RSRP), its ratio to noise and interference, the rate of one user, and
 *           the RSRP that a wished rate needs.
 * Inputs    cell: re_dbm, radiated in the camp's direction by one resource element of 15 kHz; port_dbm, the same before the
 *           mast's antenna; bandwidth_mhz of the carrier, of which 0.9 carry; users that share it. end: gain_dbi of the
 *           camp's antenna, cable_db of its cable or of the vehicle's walls, noise_db figure, power_dbm it sends with.
 *           interference_dbm by resource element from other masts; -INFINITY: none.
 * Results   dBm, dB, bit/s/Hz, Mbit/s for one user at a time when `users` are active.
 * Errors    LW_E_RANGE from lw_link_check.
 * Source    rate: truncated Shannon bound, 3GPP TR 36.942 annex A (0.6 down, 0.4 up; from -10 dB; at most 4.4 and 2.0);
 *           noise -174 dBm/Hz at 290 K; mast's noise figure 4 dB, common practice; uplink by the same path loss.
 * Limits    one stream, one carrier; load of the mast's line, plans that slow down and the hour of day are not in it. */
#ifndef LW_CORE_LAND_LINK_H
#define LW_CORE_LAND_LINK_H

#include "core/base/err.h"

typedef struct lw_link_cell {
    double re_dbm, port_dbm, bandwidth_mhz, users;
} lw_link_cell;

typedef struct lw_link_end {
    double gain_dbi, cable_db, noise_db, power_dbm;
} lw_link_end;

typedef struct lw_link_rate {
    double down_mbit, up_mbit;
} lw_link_rate;

LW_MUST_USE lw_code lw_link_check(const lw_link_cell *cell, const lw_link_end *end, lw_fault *fault);

double lw_link_rsrp_dbm(const lw_link_cell *cell, const lw_link_end *end, double loss_db);
double lw_link_noise_dbm(const lw_link_end *end); /* by resource element */
double lw_link_sum_dbm(double a_dbm, double b_dbm);
double lw_link_down_bits(double sinr_db); /* a second and hertz */
double lw_link_up_bits(double sinr_db);
lw_link_rate lw_link_rate_of(const lw_link_cell *cell, const lw_link_end *end, double rsrp_dbm,
                             double interference_dbm);

/* The least RSRP at which both rates are reached, within 0.01 dB; INFINITY: this cell never gives them. */
double lw_link_wanted_dbm(const lw_link_cell *cell, const lw_link_end *end, lw_link_rate need, double interference_dbm);

#endif
