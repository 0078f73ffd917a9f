#include "core/power/battery.h"

#include <math.h>

#include "core/power/given_internal.h"

static const double RATED_H = 20.0;                   /* the rate behind capacity_ah */
static const double MONTH_H = 730.5;                  /* a twelfth of 365.25 days */
static const double TABLE_AH = 100.0, TABLE_V = 12.0; /* the bank that resistances and voltages are listed for */

/* Common practice of the trade, no single source, except where said; the rows of figures are named B...
 * Charging resistance is larger than the ohmic one because it stands for the overvoltage of charging as well: it
 * is set so that a cycle at a tenth to a fifth of the capacity an hour lands in the usual round trips (0.70-0.85, 0.80-0.90, 0.92-0.96).
 * c and k lie in recalled ranges (c 0.2-0.6, k 0.3-3), chosen so that the capacity at 5 h and 1 h follows Peukert's usual exponents
 * (flooded 0.83 and 0.55 of the 20-hour one, AGM 0.91 and 0.70). Taper of LFP and lead-acid: common practice. */
static const lw_battery_defaults DEFAULTS[LW_CHEMISTRY_COUNT] = {
    [LW_CHEMISTRY_FLOODED] =
        {
            .source = "common practice; c and k from memory",
            /* A table long in circulation among deep-cycle makers; the value at 0 continues its last step */
            .rest_v = {11.36, 11.51, 11.66, 11.81, 11.96, 12.10, 12.24, 12.37, 12.50, 12.62, 12.73},
            .floor_frac = 0.50,
            .charge_limit_per_h = 0.20,
            .coulombic_frac = 0.90,
            .resistance_ohm = 0.015,
            .charge_resistance_ohm = 0.085,
            .accept_per_h = 1.0,
            .self_discharge_frac_month = 0.06,
            .kibam_c = 0.40,
            .kibam_k_per_h = 1.0,
            .cut_v = 11.5,
            .reconnect_v = 12.6,
            .peukert_k = 1.25,
        },
    [LW_CHEMISTRY_AGM] =
        {
            .source = "common practice; c and k from memory",
            /* Middles of common ranges at the quarters, linear between */
            .rest_v = {11.70, 11.82, 11.94, 12.055, 12.165, 12.275, 12.395, 12.515, 12.63, 12.74, 12.85},
            .floor_frac = 0.50,
            .charge_limit_per_h = 0.30,
            .coulombic_frac = 0.97,
            .resistance_ohm = 0.010,
            .charge_resistance_ohm = 0.055,
            .accept_per_h = 1.0,
            .self_discharge_frac_month = 0.02,
            .kibam_c = 0.55,
            .kibam_k_per_h = 1.2,
            .cut_v = 11.5,
            .reconnect_v = 12.6,
            .peukert_k = 1.12,
        },
    [LW_CHEMISTRY_LFP] =
        {
            .source = "common practice; reconnect from memory",
            /* Common practice; 0 % and the cut are the middle of the range for the management board */
            .rest_v = {10.6, 12.80, 12.90, 13.04, 13.14, 13.16, 13.18, 13.26, 13.31, 13.33, 13.50},
            .floor_frac = 0.10,
            .charge_limit_per_h = 0.50,
            .coulombic_frac = 0.995,
            .resistance_ohm = 0.025,
            .charge_resistance_ohm = 0.025,
            .accept_per_h = 4.0,
            .self_discharge_frac_month = 0.02,
            .kibam_c = 1.0,
            .kibam_k_per_h = 1.0,
            .cut_v = 10.6,
            .reconnect_v = 12.0,
            .peukert_k = 1.02,
        },
};

const lw_battery_defaults *lw_battery_defaults_of(lw_chemistry chemistry)
{
    return &DEFAULTS[chemistry];
}

lw_battery_spec lw_battery_typical(lw_chemistry chemistry, double capacity_ah, double nominal_v)
{
    return (lw_battery_spec){
        .chemistry = chemistry,
        .capacity_ah = capacity_ah,
        .nominal_v = nominal_v,
        .health_frac = 1.0,
        .floor_frac = DEFAULTS[chemistry].floor_frac,
        .charge_limit_a = NAN,
        .coulombic_frac = NAN,
        .resistance_ohm = NAN,
        .charge_resistance_ohm = NAN,
        .accept_per_h = NAN,
        .self_discharge_frac_month = NAN,
        .kibam_c = NAN,
        .kibam_k_per_h = NAN,
        .cut_v = NAN,
        .reconnect_v = NAN,
    };
}

lw_code lw_battery_check(const lw_battery_spec *spec, lw_fault *fault)
{
    const struct {
        const char *field;
        double value, low, high;
        int may_be_nan;
    } want[] = {
        {"chemistry", (double)spec->chemistry, 0.0, LW_CHEMISTRY_COUNT - 1, 0},
        {"capacity_ah", spec->capacity_ah, 1.0, 1e5, 0},
        {"nominal_v", spec->nominal_v, 6.0, 60.0, 0},
        {"health_frac", spec->health_frac, 0.05, 1.2, 0},
        {"floor_frac", spec->floor_frac, 0.0, 0.95, 0},
        {"charge_limit_a", spec->charge_limit_a, 0.0, 1e5, 1},
        {"coulombic_frac", spec->coulombic_frac, 0.5, 1.0, 1},
        {"resistance_ohm", spec->resistance_ohm, 0.0, 10.0, 1},
        {"charge_resistance_ohm", spec->charge_resistance_ohm, 0.0, 10.0, 1},
        {"accept_per_h", spec->accept_per_h, 0.05, 50.0, 1},
        {"self_discharge_frac_month", spec->self_discharge_frac_month, 0.0, 0.9, 1},
        {"kibam_c", spec->kibam_c, 0.05, 1.0, 1},
        {"kibam_k_per_h", spec->kibam_k_per_h, 0.01, 100.0, 1},
        {"cut_v", spec->cut_v, 0.0, 100.0, 1},
        {"reconnect_v", spec->reconnect_v, 0.0, 100.0, 1},
    };
    for (size_t i = 0; i < sizeof want / sizeof want[0]; i++) {
        if (want[i].may_be_nan && isnan(want[i].value))
            continue;
        const lw_code bad = lw_want_range(fault, want[i].field, want[i].value, want[i].low, want[i].high);
        if (bad)
            return bad;
    }
    return LW_OK;
}

/* Knots of the voltage and of its integral, the latter zero where the wells are empty. */
static void lay_grid(lw_battery *b, const double rest_v[LW_BATTERY_KNOTS], double scale)
{
    b->grid_ah = b->capacity_ah / (LW_BATTERY_KNOTS - 1);
    b->per_grid_ah = 1.0 / b->grid_ah;
    for (int i = 0; i < LW_BATTERY_KNOTS; i++)
        b->rest_v[i] = rest_v[i] * scale;
    for (int i = 0; i + 1 < LW_BATTERY_KNOTS; i++)
        b->rise_v_ah[i] = (b->rest_v[i + 1] - b->rest_v[i]) / b->grid_ah;
    b->energy_wh[0] = b->empty_ah * (b->rest_v[0] - 0.5 * b->rise_v_ah[0] * b->empty_ah);
    for (int i = 0; i + 1 < LW_BATTERY_KNOTS; i++)
        b->energy_wh[i + 1] = b->energy_wh[i] + b->grid_ah * 0.5 * (b->rest_v[i] + b->rest_v[i + 1]);
}

void lw_battery_prepare(const lw_battery_spec *spec, lw_battery *b)
{
    const lw_battery_defaults *d = &DEFAULTS[spec->chemistry];
    const double scale = spec->nominal_v / TABLE_V, per_size = scale * TABLE_AH / spec->capacity_ah;
    *b = (lw_battery){
        .chemistry = spec->chemistry,
        .is_heated = spec->is_heated,
        .wells = {.qmax_ah = 1.0,
                  .c = lw_given_or(spec->kibam_c, d->kibam_c),
                  .k_per_h = lw_given_or(spec->kibam_k_per_h, d->kibam_k_per_h)},
        .capacity_ah = spec->capacity_ah * spec->health_frac,
        .floor_frac = spec->floor_frac,
        .charge_limit_a = lw_given_or(spec->charge_limit_a, d->charge_limit_per_h * spec->capacity_ah),
        .coulombic_frac = lw_given_or(spec->coulombic_frac, d->coulombic_frac),
        .resistance_ohm = lw_given_or(spec->resistance_ohm, d->resistance_ohm * per_size),
        .charge_resistance_ohm = lw_given_or(spec->charge_resistance_ohm, d->charge_resistance_ohm * per_size),
        .accept_per_h = lw_given_or(spec->accept_per_h, d->accept_per_h),
        .self_discharge_per_h =
            -log1p(-lw_given_or(spec->self_discharge_frac_month, d->self_discharge_frac_month)) / MONTH_H,
        .cut_v = lw_given_or(spec->cut_v, d->cut_v * scale),
        .reconnect_v = lw_given_or(spec->reconnect_v, d->reconnect_v * scale),
    };
    b->per_coulombic = 1.0 / b->coulombic_frac;
    b->accept_h = 1.0 / b->accept_per_h;
    b->wells.qmax_ah = b->capacity_ah / lw_kibam_capacity_ah(&b->wells, RATED_H);
    b->empty_ah = b->wells.qmax_ah - b->capacity_ah;
    b->per_capacity = 1.0 / b->capacity_ah;
    lay_grid(b, d->rest_v, scale);
    lw_battery_set_step(b, 1.0);
}

void lw_battery_set_step(lw_battery *b, double step_h)
{
    b->step = lw_kibam_phase_of(&b->wells, step_h);
    b->step_taper = exp(-b->accept_per_h * step_h);
}

lw_kibam_state lw_battery_at_soc(const lw_battery *b, double soc_frac)
{
    const double q_ah = lw_battery_soc_ah(b, soc_frac);
    return lw_kibam_at_rest(&b->wells, fmin(fmax(q_ah, 0.0), b->wells.qmax_ah));
}

double lw_ieee485_factor(double temp_c)
{
    /* IEEE 485, Table 1. Its rows stand at 25, 30 .. 70 degF, then 77: in kelvin a step of 25/9 from -35/9 C. */
    static const double factor[] = {1.52, 1.43, 1.35, 1.30, 1.25, 1.19, 1.15, 1.11, 1.08, 1.04};
    static const double first_c = -35.0 / 9.0, step_k = 25.0 / 9.0, last_c = 190.0 / 9.0, standard_c = 25.0;
    if (temp_c >= standard_c)
        return 1.0;
    if (temp_c >= last_c)
        return 1.04 + (1.00 - 1.04) * (temp_c - last_c) / (standard_c - last_c);
    const double x = (temp_c - first_c) / step_k;
    const int i = x > 0.0 ? (int)x : 0, at = i > 8 ? 8 : i;
    return factor[at] + (x - at) * (factor[at + 1] - factor[at]);
}

/* Middles of common ranges; below -20 C its last slope goes on. */
static double lfp_capacity_frac(double temp_c)
{
    static const double at_c[] = {-20.0, -10.0, 0.0, 10.0, 25.0}, frac[] = {0.60, 0.75, 0.87, 0.95, 1.00},
                        rise_pk[] = {(0.75 - 0.60) / 10.0, (0.87 - 0.75) / 10.0, (0.95 - 0.87) / 10.0,
                                     (1.00 - 0.95) / 15.0};
    if (temp_c >= at_c[4])
        return 1.0;
    int i = 0;
    while (i < 3 && temp_c >= at_c[i + 1])
        i++;
    return lw_most(0.0, frac[i] + (temp_c - at_c[i]) * rise_pk[i]);
}

double lw_battery_capacity_frac(lw_chemistry chemistry, double temp_c)
{
    return chemistry == LW_CHEMISTRY_LFP ? lfp_capacity_frac(temp_c) : 1.0 / lw_ieee485_factor(temp_c);
}

double lw_battery_floor_ah(const lw_battery *b, double temp_c)
{
    const double usable_frac = lw_battery_capacity_frac(b->chemistry, temp_c) * (1.0 - b->floor_frac);
    return b->wells.qmax_ah - b->capacity_ah * usable_frac;
}

double lw_battery_cut_ah(const lw_battery *b, double discharge_a)
{
    return lw_battery_q_at_ocv(b, b->cut_v + discharge_a * b->resistance_ohm);
}

double lw_battery_charge_cap_a(const lw_battery *b, double temp_c)
{
    /* Common cell data sheets: lithium plates out below 0 C; a tenth and a fifth of the capacity up to 5 and 10 C.
     */
    if (b->chemistry != LW_CHEMISTRY_LFP || b->is_heated || temp_c >= 10.0)
        return b->charge_limit_a;
    const double per_h = temp_c >= 5.0 ? 0.2 : temp_c >= 0.0 ? 0.1 : 0.0;
    return fmin(b->charge_limit_a, per_h * b->capacity_ah);
}
