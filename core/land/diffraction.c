#include "core/land/diffraction.h"

#include <math.h>

#include "core/base/num.h"

static const double PI = 3.14159265358979323846;
static const double LIGHT_MGHZ = 0.2998; /* wavelength in metres times frequency in GHz */

enum { BLOCK = 64 }; /* points worked on at once: values first, which compilers put side by side, then their greatest */

/* A path as the edge is looked for on it. */
typedef struct line {
    const lw_profile *profile;
    int is_smooth; /* ground at 0 all along */
    double tx_m, rx_m, length_km, bulge_m_per_km2;
} line;

typedef enum view { FROM_TX, FROM_RX, CLEARANCE } view;

/* Of up to BLOCK numbers. Four in parallel: each comparison waits for the one before. */
static double greatest(const double *value, int count)
{
    double top[4] = {-INFINITY, -INFINITY, -INFINITY, -INFINITY};
    int i = 0;
    for (; i + 4 <= count; i += 4)
        for (int k = 0; k < 4; k++)
            top[k] = value[i + k] > top[k] ? value[i + k] : top[k];
    for (; i < count; i++)
        top[0] = lw_most(top[0], value[i]);
    return lw_most(lw_most(top[0], top[1]), lw_most(top[2], top[3]));
}

/* Ground with what stands on it, and the earth's bulge between the ends. */
static void fill_tops(const line *l, int from, int count, double *top_m)
{
    const double *d_km = l->profile->d_km + from, *h_m = l->profile->h_m + from;
    const double bulge = l->bulge_m_per_km2, length_km = l->length_km;
    if (l->is_smooth)
        for (int j = 0; j < count; j++)
            top_m[j] = bulge * d_km[j] * (length_km - d_km[j]);
    else
        for (int j = 0; j < count; j++)
            top_m[j] = h_m[j] + bulge * d_km[j] * (length_km - d_km[j]);
    if (l->profile->clutter_m && !l->is_smooth)
        for (int j = 0; j < count; j++)
            top_m[j] += l->profile->clutter_m[from + j];
}

/* The greatest slope from an end (m/km), or the least clearance weighted as in nu, over the points between the ends. */
static double worst(const line *l, view from_where)
{
    const double length_km = l->length_km, tx_m = l->tx_m, rx_m = l->rx_m;
    const double fall_mpkm = (rx_m - tx_m) / length_km;
    double best = -INFINITY;
    for (int from = 1; from < l->profile->count - 1; from += BLOCK) {
        const int left = l->profile->count - 1 - from, count = left < BLOCK ? left : BLOCK;
        const double *d_km = l->profile->d_km + from;
        double value[BLOCK];
        fill_tops(l, from, count, value);
        if (from_where == FROM_TX)
            for (int j = 0; j < count; j++)
                value[j] = (value[j] - tx_m) / d_km[j];
        else if (from_where == FROM_RX)
            for (int j = 0; j < count; j++)
                value[j] = (value[j] - rx_m) / (length_km - d_km[j]);
        else
            for (int j = 0; j < count; j++)
                value[j] = (value[j] - (tx_m + fall_mpkm * d_km[j])) / sqrt(d_km[j] * (length_km - d_km[j]));
        best = lw_most(best, greatest(value, count));
    }
    return best;
}

double lw_edge_loss_db(double nu)
{
    const double v = nu - 0.1;
    return nu > -0.78 ? 6.9 + 20.0 * log10(sqrt(v * v + 1.0) + v) : 0.0;
}

/* Section 4.3.1. */
static double bullington_db(const line *l, double wavelength_m, lw_diffraction *out)
{
    const double length_km = l->length_km;
    const double from_tx = worst(l, FROM_TX), straight = (l->rx_m - l->tx_m) / length_km;
    out->is_beyond = !(from_tx < straight);
    out->point_km = (double)NAN;
    if (!out->is_beyond) {
        out->nu = worst(l, CLEARANCE) * sqrt(0.002 * length_km / wavelength_m);
    } else {
        const double from_rx = worst(l, FROM_RX);
        const double d_km = (l->rx_m - l->tx_m + from_rx * length_km) / (from_tx + from_rx), rest_km = length_km - d_km;
        out->point_km = d_km;
        out->nu = (l->tx_m + from_tx * d_km - (l->tx_m * rest_km + l->rx_m * d_km) / length_km) *
                  sqrt(0.002 * length_km / (wavelength_m * d_km * rest_km));
    }
    const double edge_db = lw_edge_loss_db(out->nu);
    return edge_db + (1.0 - exp(-edge_db / 6.0)) * (10.0 + 0.02 * length_km);
}

/* What an antenna's height gains over the ground, equation 35. */
static double height_gain_db(double b, double k)
{
    const double gain_db =
        b > 2.0 ? 17.6 * sqrt(b - 1.1) - 5.0 * log10(b - 1.1) - 8.0 : 20.0 * log10(b + 0.1 * b * b * b);
    return lw_most(gain_db, 2.0 + 20.0 * log10(k));
}

typedef struct ground {
    double permittivity, conductivity_spm;
} ground;

typedef struct hop {
    double f_ghz, length_km, tx_m, rx_m, radius_km;
} hop;

/* The first term over one kind of ground, equations 29 to 36. */
static void first_term_db(const hop *h, const ground *g, double loss_db[2])
{
    const double s = 18.0 * g->conductivity_spm / h->f_ghz, e = g->permittivity;
    const double k_h = 0.036 / cbrt(h->radius_km * h->f_ghz) / sqrt(sqrt((e - 1.0) * (e - 1.0) + s * s));
    const double k[2] = {k_h, k_h * sqrt(e * e + s * s)};
    for (int p = 0; p < 2; p++) {
        const double k2 = k[p] * k[p], k4 = k2 * k2;
        const double beta = (1.0 + 1.6 * k2 + 0.67 * k4) / (1.0 + 4.5 * k2 + 1.53 * k4);
        const double x = 21.88 * beta * cbrt(h->f_ghz / (h->radius_km * h->radius_km)) * h->length_km;
        const double y_per_m = 0.9575 * beta * cbrt(h->f_ghz * h->f_ghz / h->radius_km);
        const double f_db = x >= 1.6 ? 11.0 + 10.0 * log10(x) - 17.6 * x : -20.0 * log10(x) - 5.6488 * pow(x, 1.425);
        loss_db[p] =
            -f_db - height_gain_db(beta * y_per_m * h->tx_m, k[p]) - height_gain_db(beta * y_per_m * h->rx_m, k[p]);
    }
}

/* Land and sea by their shares, equation 28. */
static void round_earth_db(const hop *h, double sea_frac, double loss_db[2])
{
    static const ground LAND = {22.0, 0.003}, SEA = {80.0, 5.0};
    first_term_db(h, &LAND, loss_db);
    if (sea_frac <= 0.0)
        return;
    double sea_db[2];
    first_term_db(h, &SEA, sea_db);
    for (int p = 0; p < 2; p++)
        loss_db[p] = sea_frac * sea_db[p] + (1.0 - sea_frac) * loss_db[p];
}

/* Section 4.3.2; heights above the smooth ground. */
static void sphere_db(const hop *h, double sea_frac, double loss_db[2])
{
    const double sight_km = sqrt(2.0 * h->radius_km) * (sqrt(0.001 * h->tx_m) + sqrt(0.001 * h->rx_m));
    if (h->length_km >= sight_km) {
        round_earth_db(h, sea_frac, loss_db);
        return;
    }
    const double d_km = h->length_km, both_m = h->tx_m + h->rx_m;
    const double c = (h->tx_m - h->rx_m) / both_m, m = 250.0 * d_km * d_km / (h->radius_km * both_m), m1 = m + 1.0;
    const double turn = lw_least(1.0, lw_most(-1.0, 1.5 * c * sqrt(3.0 * m / (m1 * m1 * m1))));
    const double b = 2.0 * sqrt(m1 / (3.0 * m)) * cos(PI / 3.0 + acos(turn) / 3.0);
    const double d1_km = 0.5 * d_km * (1.0 + b), d2_km = d_km - d1_km;
    const double clear_m = ((h->tx_m - 500.0 * d1_km * d1_km / h->radius_km) * d2_km +
                            (h->rx_m - 500.0 * d2_km * d2_km / h->radius_km) * d1_km) /
                           d_km;
    const double wanted_m = 17.456 * sqrt(d1_km * d2_km * LIGHT_MGHZ / h->f_ghz / d_km);
    loss_db[0] = loss_db[1] = 0.0;
    if (clear_m > wanted_m)
        return;
    const double grazing = d_km / (sqrt(h->tx_m) + sqrt(h->rx_m));
    hop bent = *h;
    bent.radius_km = 500.0 * grazing * grazing; /* this earth would just touch the ray */
    round_earth_db(&bent, sea_frac, loss_db);
    for (int p = 0; p < 2; p++)
        loss_db[p] = (1.0 - clear_m / wanted_m) * lw_most(0.0, loss_db[p]);
}

lw_smooth_ends lw_smooth_ends_of(const lw_profile *profile, double tx_m, double rx_m)
{
    const double *d_km = profile->d_km, *h_m = profile->h_m;
    const int last = profile->count - 1;
    const double length_km = d_km[last], from_m = h_m[0] + tx_m, fall_mpkm = (h_m[last] + rx_m - from_m) / length_km;
    double v1 = 0.0, v2 = 0.0, above_m = -INFINITY, from_tx = -INFINITY, from_rx = -INFINITY;
    for (int i = 1; i <= last; i++) {
        const double step_km = d_km[i] - d_km[i - 1];
        v1 += step_km * (h_m[i] + h_m[i - 1]);
        v2 += step_km * (h_m[i] * (2.0 * d_km[i] + d_km[i - 1]) + h_m[i - 1] * (d_km[i] + 2.0 * d_km[i - 1]));
    }
    for (int i = 1; i < last; i++) { /* no bulge here: equation 89d */
        const double over_m = h_m[i] - (from_m + fall_mpkm * d_km[i]);
        above_m = lw_most(above_m, over_m);
        if (over_m > 0.0) { /* the slopes are used only then */
            from_tx = lw_most(from_tx, over_m / d_km[i]);
            from_rx = lw_most(from_rx, over_m / (length_km - d_km[i]));
        }
    }
    lw_smooth_ends out = {
        .fitted_tx_m = (2.0 * v1 * length_km - v2) / (length_km * length_km),
        .fitted_rx_m = (v2 - v1 * length_km) / (length_km * length_km),
    };
    const double down_m = above_m > 0.0 ? above_m / (from_tx + from_rx) : 0.0;
    out.tx_m = lw_least(h_m[0], out.fitted_tx_m - (above_m > 0.0 ? down_m * from_tx : 0.0));
    out.rx_m = lw_least(h_m[last], out.fitted_rx_m - (above_m > 0.0 ? down_m * from_rx : 0.0));
    return out;
}

void lw_diffraction_over(const lw_diffraction_in *in, const lw_smooth_ends *smooth, lw_diffraction *out)
{
    const lw_profile *profile = in->profile;
    const double tx_m = profile->h_m[0] + in->tx_m, rx_m = profile->h_m[profile->count - 1] + in->rx_m;
    const double wavelength_m = LIGHT_MGHZ / in->f_ghz;
    line real = {profile, 0, tx_m, rx_m, lw_profile_km(profile), 500.0 / in->ap_km}, flat = real;
    flat.is_smooth = 1;
    flat.tx_m = tx_m - smooth->tx_m;
    flat.rx_m = rx_m - smooth->rx_m;
    out->smooth = *smooth;
    out->smooth_db = bullington_db(&flat, wavelength_m, out);
    out->real_db = bullington_db(&real, wavelength_m, out); /* last: its edge is the one told */
    const hop h = {in->f_ghz, real.length_km, flat.tx_m, flat.rx_m, in->ap_km};
    sphere_db(&h, in->sea_frac, out->round_db);
    for (int p = 0; p < 2; p++)
        out->loss_db[p] = out->real_db + lw_most(0.0, out->round_db[p] - out->smooth_db);
}

void lw_diffraction_of(const lw_diffraction_in *in, lw_diffraction *out)
{
    const lw_smooth_ends smooth = lw_smooth_ends_of(in->profile, in->tx_m, in->rx_m);
    lw_diffraction_over(in, &smooth, out);
}

lw_code lw_diffraction_check(const lw_diffraction_in *in, lw_fault *fault)
{
    const lw_want want[] = {
        {"f_ghz", in->f_ghz, 0.03, 6.0},     {"htg_m", in->tx_m, 1.0, 3000.0},      {"hrg_m", in->rx_m, 1.0, 3000.0},
        {"ap_km", in->ap_km, 1000.0, 1.0e6}, {"omega_sea", in->sea_frac, 0.0, 1.0},
    };
    const lw_code bad = lw_want_all(fault, LW_WANTS(want));
    return bad ? bad : lw_profile_check(in->profile, fault);
}
