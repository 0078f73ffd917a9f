/* The rows by which the radio path is run by name: the columns of the reference tables. */
#include <math.h>

#include "core/base/model.h"
#include "core/land/belief.h"
#include "core/land/link.h"
#include "core/land/radio.h"

static const double RAD = 0.017453292519943295; /* pi / 180 */
static const double EARTH_KM = 6371.0;
static const double COAST_KM = 500.0; /* far inland */

static const lw_column diffraction_in[] = {
    {.name = "profile", .what = "the ground under the path", .kind = LW_COLUMN_PROFILE},
    {.name = "f_ghz", .what = "frequency"},
    {.name = "htg_m", .what = "transmitting antenna above the ground"},
    {.name = "hrg_m", .what = "receiving antenna above the ground"},
    {.name = "ap_km", .what = "effective earth radius"},
    {.name = "omega_sea", .what = "share of the path over sea, 0..1"},
};
static const lw_column diffraction_out[] = {
    {.name = "path",
     .what = "los: in sight, trans: beyond the horizon",
     .kind = LW_COLUMN_CHOICE,
     .choices = "los|trans"},
    {.name = "bullington_point_km", .what = "where the one edge stands; empty in sight"},
    {.name = "nu", .what = "diffraction parameter"},
    {.name = "Lbulla_db", .what = "one edge for the real ground"},
    {.name = "hstd_m", .what = "smooth ground under the transmitter"},
    {.name = "hsrd_m", .what = "smooth ground under the receiver"},
    {.name = "hts1_m", .what = "transmitting antenna above it"},
    {.name = "hrs1_m", .what = "receiving antenna above it"},
    {.name = "Lbulls_db", .what = "one edge for the smooth ground"},
    {.name = "Lsph_h_db", .what = "round earth, horizontal polarisation"},
    {.name = "Lsph_v_db", .what = "round earth, vertical polarisation"},
    {.name = "Ld_h_db", .what = "the loss, horizontal polarisation"},
    {.name = "Ld_v_db", .what = "the loss, vertical polarisation"},
};

static lw_code apply_diffraction(const double *in, const lw_beside *beside, double *out, lw_fault *fault)
{
    const lw_profile *profile = beside->profile;
    const lw_diffraction_in given = {profile, in[1], in[2], in[3], in[4], in[5]};
    const lw_code bad = lw_diffraction_check(&given, fault);
    if (bad)
        return bad;
    lw_diffraction d;
    lw_diffraction_of(&given, &d);
    const double result[] = {
        d.is_beyond,
        d.point_km,
        d.nu,
        d.real_db,
        d.smooth.tx_m,
        d.smooth.rx_m,
        profile->h_m[0] + in[2] - d.smooth.tx_m,
        profile->h_m[profile->count - 1] + in[3] - d.smooth.rx_m,
        d.smooth_db,
        d.round_db[0],
        d.round_db[1],
        d.loss_db[0],
        d.loss_db[1],
    };
    for (size_t i = 0; i < sizeof result / sizeof result[0]; i++)
        out[i] = result[i];
    return LW_OK;
}

const lw_model lw_model_diffraction = {
    .name = "diffraction",
    .what = "What hills and the round earth take from a radio path (delta-Bullington)",
    .source = "ITU-R P.526, general terrestrial path; ITU-R P.1812-8 sections 4.3.1 to 4.3.4",
    .in = LW_COLUMNS(diffraction_in),
    .out = LW_COLUMNS(diffraction_out),
    .apply_beside = apply_diffraction,
};

enum { PATH_DEG = 10, T_DEG, R_DEG, T_EAST_DEG, R_EAST_DEG, COAST_T, COAST_R };
static const lw_column p1812_in[] = {
    {.name = "profile", .what = "the ground under the path", .kind = LW_COLUMN_PROFILE},
    {.name = "f_ghz", .what = "frequency"},
    {.name = "p_pct", .what = "share of the time that the loss is not exceeded, 1..50"},
    {.name = "pL_pct", .what = "share of places, 1..99"},
    {.name = "sigmaL_db", .what = "spread between places"},
    {.name = "htg_m", .what = "transmitting antenna above the ground"},
    {.name = "hrg_m", .what = "receiving antenna above the ground"},
    {.name = "pol", .what = "polarisation: 1 horizontal, 2 vertical"},
    {.name = "DN", .what = "lapse of the refractive index in the lowest km, N-units/km"},
    {.name = "N0", .what = "refractivity at the sea's level, N-units"},
    {.name = "phi_path_deg", .what = "latitude of the path's middle; empty: from the ends", .is_optional = 1},
    {.name = "phi_t_deg", .what = "latitude of the transmitter", .is_optional = 1},
    {.name = "phi_r_deg", .what = "latitude of the receiver", .is_optional = 1},
    {.name = "lam_t_deg", .what = "longitude of the transmitter", .is_optional = 1},
    {.name = "lam_r_deg", .what = "longitude of the receiver", .is_optional = 1},
    {.name = "dct_km", .what = "land from the transmitter to the coast; empty: 500", .is_optional = 1},
    {.name = "dcr_km", .what = "land from the receiver to the coast; empty: 500", .is_optional = 1},
};
static const lw_column p1812_out[] = {
    {.name = "b0_pct", .what = "time with a strong lapse near the ground"},
    {.name = "ae_km", .what = "median effective earth radius"},
    {.name = "theta_mrad", .what = "angle of the path"},
    {.name = "hstd_m", .what = "smooth ground under the transmitter"},
    {.name = "hsrd_m", .what = "smooth ground under the receiver"},
    {.name = "Lbfs_db", .what = "free space"},
    {.name = "Lb0p_db", .what = "in sight, p % of the time"},
    {.name = "Lb0b_db", .what = "in sight, b0 % of the time"},
    {.name = "Ld50_db", .what = "diffraction, median"},
    {.name = "Ldb_db", .what = "diffraction, b0 % of the time"},
    {.name = "Ldp_db", .what = "diffraction, p % of the time"},
    {.name = "Lminb0p_db", .what = "least by sight and diffraction over sea"},
    {.name = "Lba_db", .what = "ducting and layer reflection"},
    {.name = "Lminbap_db", .what = "least by sight and ducting"},
    {.name = "Lbda_db", .what = "diffraction with it"},
    {.name = "Lbam_db", .what = "blended by the path's angle"},
    {.name = "Lbs_db", .what = "scatter from the troposphere"},
    {.name = "Lbc_db", .what = "all of them, median place"},
    {.name = "Lb_db", .what = "the loss"},
    {.name = "Ep_dbuvm_1kw", .what = "field strength for 1 kW, dB over 1 uV/m"},
};

/* The latitude half way along the great circle. */
static double middle_deg(const lw_profile *profile, const double end_deg[4])
{
    const double t = end_deg[0] * RAD, r = end_deg[1] * RAD, east = (end_deg[3] - end_deg[2]) * RAD;
    const double half = 0.5 * lw_profile_km(profile) / EARTH_KM;
    const double turn = atan2(cos(r) * sin(east), cos(t) * sin(r) - sin(t) * cos(r) * cos(east));
    return asin(sin(t) * cos(half) + cos(t) * sin(half) * cos(turn)) / RAD;
}

/* From phi_path_deg, or from the ends. */
static lw_code set_middle(const double *in, lw_radio_in *given, lw_fault *fault)
{
    given->latitude_deg = in[PATH_DEG];
    if (!isnan(in[PATH_DEG]))
        return LW_OK;
    if (isnan(in[T_DEG]) && isnan(in[R_DEG]) && isnan(in[T_EAST_DEG]) && isnan(in[R_EAST_DEG])) {
        *fault = (lw_fault){LW_E_MISSING, "phi_path_deg", 0.0, -90.0, 90.0};
        return LW_E_MISSING;
    }
    const lw_want want[] = {
        {"phi_t_deg", in[T_DEG], -90.0, 90.0},
        {"phi_r_deg", in[R_DEG], -90.0, 90.0},
        {"lam_t_deg", in[T_EAST_DEG], -360.0, 360.0},
        {"lam_r_deg", in[R_EAST_DEG], -360.0, 360.0},
    };
    lw_code bad = lw_want_all(fault, LW_WANTS(want));
    bad = bad ? bad : lw_profile_check(given->profile, fault);
    if (!bad)
        given->latitude_deg = middle_deg(given->profile, &in[T_DEG]);
    return bad;
}

static lw_code apply_p1812(const double *in, const lw_beside *beside, double *out, lw_fault *fault)
{
    lw_radio_in given = {.profile = beside->profile,
                         .f_ghz = in[1],
                         .time_pct = in[2],
                         .place_pct = in[3],
                         .place_sigma_db = in[4],
                         .tx_m = in[5],
                         .rx_m = in[6],
                         .is_vertical = in[7] > 1.5,
                         .dn_nupkm = in[8],
                         .n0 = in[9],
                         .coast_tx_km = isnan(in[COAST_T]) ? COAST_KM : in[COAST_T],
                         .coast_rx_km = isnan(in[COAST_R]) ? COAST_KM : in[COAST_R]};
    lw_code bad = set_middle(in, &given, fault);
    if (!bad && (in[7] < 1.0 || in[7] > 1.0))
        bad = lw_want_range(fault, "pol", in[7], 2.0, 2.0);
    bad = bad ? bad : lw_radio_check(&given, fault);
    if (bad)
        return bad;
    lw_radio r;
    lw_radio_of(&given, &r);
    const double result[] = {
        r.duct_pct,      r.ae_km,      r.bend_mrad,     r.smooth.tx_m, r.smooth.rx_m, r.free_db,     r.sight_db,
        r.sight_duct_db, r.hills50_db, r.hills_duct_db, r.hills_db,    r.least_db,    r.duct_db,     r.duct_least_db,
        r.mixed_db,      r.bent_db,    r.scatter_db,    r.mean_db,     r.loss_db,     r.field_dbuvm,
    };
    for (size_t i = 0; i < sizeof result / sizeof result[0]; i++)
        out[i] = result[i];
    return LW_OK;
}

const lw_model lw_model_p1812 = {
    .name = "p1812",
    .what = "Loss of a radio path over terrain between two antennas outdoors",
    .source = "Recommendation ITU-R P.1812-8 (09/2025)",
    .in = LW_COLUMNS(p1812_in),
    .out = LW_COLUMNS(p1812_out),
    .apply_beside = apply_p1812,
};

enum { LOSS, RE, GAIN, CABLE, NOISE, INTERFERENCE, BANDWIDTH, USERS };
static const lw_column link_in[] = {
    {.name = "loss_db", .what = "of the path, between antennas without gain"},
    {.name = "re_dbm", .what = "radiated towards the camp by a resource element; empty: 25", .is_optional = 1},
    {.name = "gain_dbi", .what = "of the camp's antenna; empty: 0", .is_optional = 1},
    {.name = "cable_db", .what = "lost in its cable or the vehicle's walls; empty: 0", .is_optional = 1},
    {.name = "noise_db", .what = "noise figure; empty: 9", .is_optional = 1},
    {.name = "interference_dbm", .what = "of other masts, by resource element; empty: none", .is_optional = 1},
    {.name = "bandwidth_mhz", .what = "of the carrier; empty: 10", .is_optional = 1},
    {.name = "users", .what = "that share it; empty: 1", .is_optional = 1},
};
static const lw_column link_out[] = {
    {.name = "rsrp_dbm", .what = "received power of a resource element", .decimals = 3},
    {.name = "sinr_db", .what = "over noise and interference", .decimals = 3},
    {.name = "down_bits", .what = "a second and hertz"},
    {.name = "down_mbit", .what = "for one of the users", .decimals = 4},
    {.name = "up_mbit", .what = "for one of the users", .decimals = 4},
};

static double or_usual(double value, double usual)
{
    return isnan(value) ? usual : value;
}

static lw_code apply_link(const double *in, double *out, lw_fault *fault)
{
    const lw_link_cell cell = {or_usual(in[RE], 25.0), 15.2, or_usual(in[BANDWIDTH], 10.0), or_usual(in[USERS], 1.0)};
    const lw_link_end end = {or_usual(in[GAIN], 0.0), or_usual(in[CABLE], 0.0), or_usual(in[NOISE], 9.0), 23.0};
    lw_code bad = lw_want_range(fault, "loss_db", in[LOSS], 0.0, 400.0);
    if (!bad && !isnan(in[INTERFERENCE]))
        bad = lw_want_range(fault, "interference_dbm", in[INTERFERENCE], -250.0, 0.0);
    bad = bad ? bad : lw_link_check(&cell, &end, fault);
    if (bad)
        return bad;
    const double other_dbm = or_usual(in[INTERFERENCE], -INFINITY);
    out[0] = lw_link_rsrp_dbm(&cell, &end, in[LOSS]);
    out[1] = out[0] - lw_link_sum_dbm(lw_link_noise_dbm(&end), other_dbm);
    out[2] = lw_link_down_bits(out[1]);
    const lw_link_rate rate = lw_link_rate_of(&cell, &end, out[0], other_dbm);
    out[3] = rate.down_mbit;
    out[4] = rate.up_mbit;
    return LW_OK;
}

const lw_model lw_model_link = {
    .name = "link",
    .what = "What a mobile connection carries at a path loss",
    .source = "3GPP TR 36.942 annex A, truncated Shannon bound; thermal noise",
    .in = LW_COLUMNS(link_in),
    .out = LW_COLUMNS(link_out),
    .apply = apply_link,
};

static const lw_column signal_in[] = {
    {.name = "wanted_dbm", .what = "what is needed"},
    {.name = "predicted_dbm", .what = "by terrain and masts; empty: no mast is known", .is_optional = 1},
    {.name = "claimed", .what = "by published coverage", .kind = LW_COLUMN_CHOICE, .choices = "yes|no|unknown"},
    {.name = "measured_dbm", .what = "your own; empty: none", .is_optional = 1},
    {.name = "measured_m", .what = "how far off; empty: here", .is_optional = 1},
    {.name = "predicted_there_dbm", .what = "for that point; empty: as here", .is_optional = 1},
};
static const lw_column signal_out[] = {
    {.name = "dbm", .what = "all together", .decimals = 3},
    {.name = "sigma_db", .what = "its spread", .decimals = 3},
    {.name = "chance_frac", .what = "that it is at least what is needed"},
};

static lw_code apply_signal(const double *in, double *out, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "wanted_dbm", in[0], -200.0, 0.0);
    for (int i = 1; i < 6 && !bad; i++)
        if (i != 2 && !isnan(in[i]))
            bad = i == 4 ? lw_want_range(fault, "measured_m", in[4], 0.0, 1e6)
                         : lw_want_range(fault, signal_in[i].name, in[i], -250.0, 0.0);
    bad = bad ? bad : lw_want_range(fault, "claimed", in[2], 0.0, LW_CLAIM_UNKNOWN);
    if (bad)
        return bad;
    const lw_measured measured = {in[3], in[5], or_usual(in[4], 0.0)};
    const lw_belief belief = lw_belief_join(&(lw_evidence){.predicted_dbm = in[1],
                                                           .has_terrain = 1,
                                                           .claim = (lw_claim)in[2],
                                                           .measured = &measured,
                                                           .measured_count = !isnan(in[3])});
    out[0] = belief.has_any ? belief.dbm : (double)NAN;
    out[1] = belief.has_any ? belief.sigma_db : (double)NAN;
    out[2] = lw_belief_frac(&belief, in[0]);
    return LW_OK;
}

const lw_model lw_model_signal = {
    .name = "signal",
    .what = "Chance that a signal is strong enough, from prediction, published coverage and own measurements",
    .source = "Phillips, Sicker, Grunwald 2012; FCC staff report, December 2019; weights as in core/land/belief.h",
    .in = LW_COLUMNS(signal_in),
    .out = LW_COLUMNS(signal_out),
    .apply = apply_signal,
};
