#include "core/land/radio.h"

#include <math.h>

#include "core/base/num.h"

static const double EARTH_KM = 6371.0;

/* Attachment 2. */
double lw_radio_normal(double chance)
{
    const double x = lw_least(1.0 - 1e-6, lw_most(1e-6, chance)), less = lw_least(x, 1.0 - x);
    const double t = sqrt(-2.0 * log(less));
    const double c =
        ((0.010328 * t + 0.802853) * t + 2.515516698) / (((0.001308 * t + 0.189269) * t + 1.432788) * t + 1.0);
    return x <= 0.5 ? t - c : c - t;
}

/* How the ground meets the path: the ends' horizons, equations 76 to 84. */
typedef struct horizons {
    int tx, rx; /* points of the profile */
    double tx_mrad, rx_mrad, tx_km, rx_km, bend_mrad;
} horizons;

/* The steepest point seen from an end, as a tangent. */
static double steepest(const lw_radio_in *in, double ae_km, int is_tx, int *at)
{
    const lw_profile *p = in->profile;
    const int last = p->count - 1;
    const double eye_m = is_tx ? p->h_m[0] + in->tx_m : p->h_m[last] + in->rx_m;
    double best = -INFINITY;
    for (int i = 1; i < last; i++) {
        const double d_km = is_tx ? p->d_km[i] : p->d_km[last] - p->d_km[i];
        const double slope = (p->h_m[i] - eye_m) / (1000.0 * d_km) - d_km / (2.0 * ae_km);
        if (slope > best || (!is_tx && slope >= best)) {
            best = slope;
            *at = i;
        }
    }
    return best;
}

/* In line of sight both horizons are at the point that comes nearest the ray. */
static int nearest_ray(const lw_radio_in *in, double ae_km)
{
    const lw_profile *p = in->profile;
    const int last = p->count - 1;
    const double length_km = p->d_km[last], tx_m = p->h_m[0] + in->tx_m;
    const double fall_mpkm = (p->h_m[last] + in->rx_m - tx_m) / length_km;
    double best = -INFINITY;
    int at = 1;
    for (int i = 1; i < last; i++) {
        const double d_km = p->d_km[i], both_km2 = d_km * (length_km - d_km);
        const double nu = (p->h_m[i] + 500.0 / ae_km * both_km2 - (tx_m + fall_mpkm * d_km)) / sqrt(both_km2);
        if (nu >= best) {
            best = nu;
            at = i;
        }
    }
    return at;
}

static horizons horizons_of(const lw_radio_in *in, double ae_km)
{
    const lw_profile *p = in->profile;
    const int last = p->count - 1;
    const double length_km = p->d_km[last];
    const double rise = (p->h_m[last] + in->rx_m - p->h_m[0] - in->tx_m) / (1000.0 * length_km);
    const double sag = length_km / (2.0 * ae_km);
    horizons h = {0};
    double tx = steepest(in, ae_km, 1, &h.tx), rx = -rise - sag;
    if (tx > rise - sag) {
        rx = steepest(in, ae_km, 0, &h.rx);
        h.rx_km = length_km - p->d_km[h.rx];
    } else {
        tx = rise - sag;
        h.tx = h.rx = nearest_ray(in, ae_km);
        h.rx_km = length_km - p->d_km[h.tx];
    }
    h.tx_km = p->d_km[h.tx];
    h.tx_mrad = 1000.0 * atan(tx);
    h.rx_mrad = 1000.0 * atan(rx);
    h.bend_mrad = 1000.0 * length_km / ae_km + h.tx_mrad + h.rx_mrad;
    return h;
}

/* Section 3.6. */
static double duct_pct(const lw_radio_in *in, double land_km, double tau)
{
    const double latitude_deg = fabs(in->latitude_deg);
    const double inland = pow(10.0, -land_km / (16.0 - 6.6 * tau)) + pow(10.0, -5.0 * (0.496 + 0.354 * tau));
    const double mu1 = lw_least(1.0, pow(inland, 0.2));
    if (latitude_deg > 70.0)
        return 4.17 * mu1 * pow(mu1, 0.3);
    return pow(10.0, 1.67 - 0.015 * latitude_deg) * mu1 * pow(mu1, 0.0176 * latitude_deg - 0.935);
}

/* A hill on an antenna's side of the duct, equation 48. */
static double shield_db(double f_ghz, double mrad, double km)
{
    const double over = mrad - 0.1 * km;
    if (!(over > 0.0))
        return 0.0;
    return 20.0 * log10(1.0 + 0.361 * over * sqrt(f_ghz * km)) + 0.264 * over * cbrt(f_ghz);
}

/* A surface duct over the sea that begins near an antenna, equation 49. */
static double sea_duct_db(double coast_km, double horizon_km, double sea_frac, double above_sea_m)
{
    if (coast_km > 5.0 || coast_km > horizon_km || sea_frac < 0.75)
        return 0.0;
    return -3.0 * exp(-0.25 * coast_km * coast_km) * (1.0 + tanh(0.07 * (50.0 - above_sea_m)));
}

typedef struct ducting {
    double sea_frac, tau, coast_tx_km, coast_rx_km;
    const horizons *h;
    const lw_smooth_ends *smooth;
} ducting;

/* Roughness of the ground between the horizons, equation 95. */
static double roughness_m(const lw_profile *p, const horizons *h, double tx_m, double rx_m)
{
    const double slope_mpkm = (rx_m - tx_m) / lw_profile_km(p);
    double rough_m = -INFINITY;
    for (int i = h->tx; i <= h->rx; i++)
        rough_m = lw_most(rough_m, p->h_m[i] - (tx_m + slope_mpkm * p->d_km[i]));
    return rough_m;
}

/* Section 4.5. */
static double ducted_db(const lw_radio_in *in, const ducting *d, const lw_radio *so_far)
{
    const lw_profile *p = in->profile;
    const horizons *h = d->h;
    const int last = p->count - 1;
    const double f_ghz = in->f_ghz, length_km = p->d_km[last], ae_km = so_far->ae_km;
    const double low_tx_m = lw_least(d->smooth->fitted_tx_m, p->h_m[0]),
                 low_rx_m = lw_least(d->smooth->fitted_rx_m, p->h_m[last]);
    const double rough_m = roughness_m(p, h, low_tx_m, low_rx_m);
    const double between_km = lw_least(40.0, length_km - h->tx_km - h->rx_km);
    const double mu3 = rough_m > 10.0 ? exp(-4.6e-5 * (rough_m - 10.0) * (43.0 + 6.0 * between_km)) : 1.0;
    const double alpha = lw_most(-3.4, -0.6 - 3.5e-9 * pow(length_km, 3.1) * d->tau);
    const double roots = sqrt(in->tx_m + p->h_m[0] - low_tx_m) + sqrt(in->rx_m + p->h_m[last] - low_rx_m);
    const double mu2 = lw_least(1.0, pow(500.0 / ae_km * length_km * length_km / (roots * roots), alpha));
    const double beta = so_far->duct_pct * mu2 * mu3, lb = log10(beta);
    const double gamma =
        1.076 / pow(2.0058 - lb, 1.012) * exp(-(9.51 - 4.8 * lb + 0.198 * lb * lb) * 1e-6 * pow(length_km, 1.13));
    const double in_time_db =
        -12.0 + (1.2 + 3.7e-3 * length_km) * log10(in->time_pct / beta) + 12.0 * pow(in->time_pct / beta, gamma);
    const double bend_mrad =
        1000.0 * length_km / ae_km + lw_least(h->tx_mrad, 0.1 * h->tx_km) + lw_least(h->rx_mrad, 0.1 * h->rx_km);
    const double low_f_db = f_ghz < 0.5 ? 45.375 - 137.0 * f_ghz + 92.5 * f_ghz * f_ghz : 0.0;
    const double fixed_db = 102.45 + 20.0 * log10(f_ghz) + 20.0 * log10(h->tx_km + h->rx_km) + low_f_db +
                            shield_db(f_ghz, h->tx_mrad, h->tx_km) + shield_db(f_ghz, h->rx_mrad, h->rx_km) +
                            sea_duct_db(d->coast_tx_km, h->tx_km, d->sea_frac, p->h_m[0] + in->tx_m) +
                            sea_duct_db(d->coast_rx_km, h->rx_km, d->sea_frac, p->h_m[last] + in->rx_m);
    return fixed_db + 5e-5 * ae_km * cbrt(f_ghz) * bend_mrad + in_time_db;
}

/* Section 4.2. */
static void set_sight(const lw_radio_in *in, const horizons *h, lw_radio *out)
{
    const lw_profile *p = in->profile;
    const double length_km = lw_profile_km(p);
    const double rise_km = 0.001 * (p->h_m[0] + in->tx_m - p->h_m[p->count - 1] - in->rx_m);
    const double swing_db = 2.6 * (1.0 - exp(-0.1 * (h->tx_km + h->rx_km)));
    out->free_db = 92.4 + 20.0 * log10(in->f_ghz) + 10.0 * log10(length_km * length_km + rise_km * rise_km);
    out->sight_db = out->free_db + swing_db * log10(in->time_pct / 50.0);
    out->sight_duct_db = out->free_db + swing_db * log10(out->duct_pct / 50.0);
}

/* Section 4.3.5. */
static void set_hills(const lw_radio_in *in, double sea_frac, double share, lw_radio *out)
{
    const int pol = in->is_vertical ? 1 : 0;
    lw_diffraction_in path = {in->profile, in->f_ghz, in->tx_m, in->rx_m, out->ae_km, sea_frac};
    lw_diffraction hills;
    lw_diffraction_over(&path, &out->smooth, &hills);
    out->hills50_db = hills.loss_db[pol];
    path.ap_km = 3.0 * EARTH_KM;
    lw_diffraction_over(&path, &out->smooth, &hills);
    out->hills_duct_db = hills.loss_db[pol];
    out->hills_db =
        in->time_pct < 50.0 ? out->hills50_db + share * (out->hills_duct_db - out->hills50_db) : out->hills50_db;
}

/* 1 well below the middle, 0 well above it; equations 57 and 58. */
static double fade(double slope, double value, double middle)
{
    return 1.0 - 0.5 * (1.0 + tanh(3.0 * slope * (value - middle) / middle));
}

/* Sections 4.6 and 4.7. */
static void blend(const lw_radio_in *in, double sea_frac, double share, lw_radio *out)
{
    static const double ETA = 2.5;
    const double length_km = lw_profile_km(in->profile), land_hills_db = (1.0 - sea_frac) * out->hills_db;
    const double median_db = out->free_db + out->hills50_db, over_hills_db = out->sight_db + out->hills_db;
    out->least_db = out->sight_db + land_hills_db;
    if (in->time_pct >= out->duct_pct)
        out->least_db = median_db + (out->sight_duct_db + land_hills_db - median_db) * share;
    const double far_db = lw_most(out->duct_db, out->sight_db), near_db = lw_least(out->duct_db, out->sight_db);
    out->duct_least_db = far_db + ETA * log1p(exp((near_db - far_db) / ETA));
    out->mixed_db = over_hills_db;
    if (out->duct_least_db <= over_hills_db)
        out->mixed_db = out->duct_least_db + (over_hills_db - out->duct_least_db) * fade(0.5, length_km, 20.0);
    out->bent_db = out->mixed_db + (out->least_db - out->mixed_db) * fade(0.8, out->bend_mrad, 0.3);
    const double lf = log10(in->f_ghz / 2.0);
    out->scatter_db = 190.1 + 25.0 * log10(in->f_ghz) - 2.5 * lf * lf + 20.0 * log10(length_km) +
                      0.573 * out->bend_mrad - 0.15 * in->n0 - 10.125 * pow(log10(50.0 / in->time_pct), 0.7);
    const double less_db = lw_least(out->scatter_db, out->bent_db), more_db = lw_most(out->scatter_db, out->bent_db);
    out->mean_db = less_db - 5.0 * log10(1.0 + pow(10.0, -0.2 * (more_db - less_db)));
}

void lw_radio_of(const lw_radio_in *in, lw_radio *out)
{
    const lw_profile *p = in->profile;
    const int last = p->count - 1, is_tx_at_sea = p->zone && p->zone[0] == LW_ZONE_SEA,
              is_rx_at_sea = p->zone && p->zone[last] == LW_ZONE_SEA;
    const double inland_km = lw_profile_zones(p, 1U << LW_ZONE_INLAND).longest_km;
    const double land_km = lw_profile_zones(p, 1U << LW_ZONE_INLAND | 1U << LW_ZONE_COAST).longest_km;
    const double sea_frac = lw_profile_zones(p, 1U << LW_ZONE_SEA).all_km / p->d_km[last];
    const double tau = 1.0 - exp(-4.12e-4 * pow(inland_km, 2.41));
    out->ae_km = EARTH_KM * 157.0 / (157.0 - in->dn_nupkm);
    out->duct_pct = duct_pct(in, land_km, tau);
    out->smooth = lw_smooth_ends_of(p, in->tx_m, in->rx_m);
    const horizons h = horizons_of(in, out->ae_km);
    out->bend_mrad = h.bend_mrad;
    const double share = in->time_pct > out->duct_pct
                             ? lw_radio_normal(in->time_pct / 100.0) / lw_radio_normal(out->duct_pct / 100.0)
                             : 1.0;
    const ducting d = {.sea_frac = sea_frac,
                       .tau = tau,
                       .coast_tx_km = is_tx_at_sea ? 0.0 : in->coast_tx_km,
                       .coast_rx_km = is_rx_at_sea ? 0.0 : in->coast_rx_km,
                       .h = &h,
                       .smooth = &out->smooth};
    set_sight(in, &h, out);
    set_hills(in, sea_frac, share, out);
    out->duct_db = ducted_db(in, &d, out);
    blend(in, sea_frac, share, out);
    const double places_db = is_rx_at_sea ? 0.0 : -lw_radio_normal(in->place_pct / 100.0) * in->place_sigma_db;
    out->loss_db = lw_most(out->sight_db, out->mean_db + places_db);
    out->field_dbuvm = 199.36 + 20.0 * log10(in->f_ghz) - out->loss_db;
}

lw_code lw_radio_check(const lw_radio_in *in, lw_fault *fault)
{
    const lw_want want[] = {
        {"f_ghz", in->f_ghz, 0.03, 6.0},
        {"htg_m", in->tx_m, 1.0, 3000.0},
        {"hrg_m", in->rx_m, 1.0, 3000.0},
        {"p_pct", in->time_pct, 1.0, 50.0},
        {"pL_pct", in->place_pct, 1.0, 99.0},
        {"sigmaL_db", in->place_sigma_db, 0.0, 40.0},
        {"DN", in->dn_nupkm, 0.0, 150.0},
        {"N0", in->n0, 200.0, 450.0},
        {"phi_path_deg", in->latitude_deg, -90.0, 90.0},
        {"dct_km", in->coast_tx_km, 0.0, 3000.0},
        {"dcr_km", in->coast_rx_km, 0.0, 3000.0},
    };
    const lw_code bad = lw_want_all(fault, LW_WANTS(want));
    return bad ? bad : lw_profile_check(in->profile, fault);
}
