#include "core/land/link.h"

#include <math.h>

#include "core/base/num.h"

static const double THERMAL_DBM_PER_HZ = -174.0;
static const double RE_HZ = 15000.0, CARRIES_FRAC = 0.9; /* of the carrier: 50 blocks of 180 kHz in 10 MHz */
static const double MAST_NOISE_DB = 4.0;

lw_code lw_link_check(const lw_link_cell *cell, const lw_link_end *end, lw_fault *fault)
{
    const lw_want want[] = {
        {"re_dbm", cell->re_dbm, -50.0, 80.0},
        {"port_dbm", cell->port_dbm, -50.0, 60.0},
        {"bandwidth_mhz", cell->bandwidth_mhz, 0.1, 1000.0},
        {"users", cell->users, 1.0, 1000.0},
        {"gain_dbi", end->gain_dbi, -20.0, 40.0},
        {"cable_db", end->cable_db, 0.0, 60.0},
        {"noise_db", end->noise_db, 0.0, 30.0},
        {"power_dbm", end->power_dbm, -20.0, 50.0},
    };
    return lw_want_all(fault, LW_WANTS(want));
}

static double log2_of_sum(double db)
{
    return log2(1.0 + pow(10.0, 0.1 * db));
}

double lw_link_down_bits(double sinr_db)
{
    return sinr_db < -10.0 ? 0.0 : lw_least(4.4, 0.6 * log2_of_sum(sinr_db));
}

double lw_link_up_bits(double sinr_db)
{
    return sinr_db < -10.0 ? 0.0 : lw_least(2.0, 0.4 * log2_of_sum(sinr_db));
}

double lw_link_rsrp_dbm(const lw_link_cell *cell, const lw_link_end *end, double loss_db)
{
    return cell->re_dbm - loss_db + end->gain_dbi - end->cable_db;
}

double lw_link_noise_dbm(const lw_link_end *end)
{
    return THERMAL_DBM_PER_HZ + 10.0 * log10(RE_HZ) + end->noise_db;
}

double lw_link_sum_dbm(double a_dbm, double b_dbm)
{
    const double more = lw_most(a_dbm, b_dbm), less = lw_least(a_dbm, b_dbm);
    return isinf(less) ? more : more + 10.0 * log10(1.0 + pow(10.0, 0.1 * (less - more)));
}

lw_link_rate lw_link_rate_of(const lw_link_cell *cell, const lw_link_end *end, double rsrp_dbm, double interference_dbm)
{
    const double hz = 1e6 * CARRIES_FRAC * cell->bandwidth_mhz;
    const double sinr_db = rsrp_dbm - lw_link_sum_dbm(lw_link_noise_dbm(end), interference_dbm);
    /* the way from the mast's plug to the camp's is as long as the way back */
    const double at_mast_dbm = end->power_dbm - (cell->port_dbm - rsrp_dbm);
    const double up_db = at_mast_dbm - (THERMAL_DBM_PER_HZ + 10.0 * log10(hz) + MAST_NOISE_DB);
    return (lw_link_rate){1e-6 * hz * lw_link_down_bits(sinr_db) / cell->users,
                          1e-6 * hz * lw_link_up_bits(up_db) / cell->users};
}

double lw_link_wanted_dbm(const lw_link_cell *cell, const lw_link_end *end, lw_link_rate need, double interference_dbm)
{
    double low_dbm = -160.0, high_dbm = 0.0;
    const lw_link_rate best = lw_link_rate_of(cell, end, high_dbm, interference_dbm);
    if (best.down_mbit < need.down_mbit || best.up_mbit < need.up_mbit)
        return INFINITY;
    while (high_dbm - low_dbm > 0.005) {
        const double middle_dbm = 0.5 * (low_dbm + high_dbm);
        const lw_link_rate rate = lw_link_rate_of(cell, end, middle_dbm, interference_dbm);
        if (rate.down_mbit >= need.down_mbit && rate.up_mbit >= need.up_mbit)
            high_dbm = middle_dbm;
        else
            low_dbm = middle_dbm;
    }
    return high_dbm;
}
