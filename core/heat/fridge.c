#include "core/heat/fridge.h"

#include "core/base/num.h"
#include "core/heat/propane.h"
#include "core/heat/trade_units_internal.h"

/* Absorption: straight between the ends of practice, 0.3 kg of gas a day at 10 C, 0.7 at 38 C; as shares of 25 C. */
#define KG_DAY(air_c) (0.3 + ((air_c)-10.0) * ((0.7 - 0.3) / (38.0 - 10.0)))
static const double GAS_25_W = KG_DAY(25.0) * LW_PROPANE_HHV_JPKG / 86400.0;
static const double GAS_PER_K = (0.7 - 0.3) / (38.0 - 10.0) / KG_DAY(25.0);
static const double GAS_LEAST_FRAC = 0.5; /* doors keep opening in the cold; from memory */
static const double WEAK_ABOVE_C = 32.0;
static const double PER_K = 0.035, LEAST_FRAC = 0.15;

lw_fridge lw_fridge_absorption(void)
{
    return (lw_fridge){.kind = LW_COOLING_ABSORPTION, .rated_w = GAS_25_W, .burner_w = 400.0, .control_w = 8.0};
}

double lw_fridge_rated_w(double volume_l)
{
    /* Straight through the middles of practice: 50 L 350 Wh/day, 150 L 700 Wh/day. */
    return (175.0 + 3.5 * volume_l) / 24.0;
}

lw_fridge lw_fridge_compressor(double volume_l)
{
    return (lw_fridge){.kind = LW_COOLING_COMPRESSOR, .rated_w = lw_fridge_rated_w(volume_l), .running_w = 65.0};
}

lw_code lw_fridge_check(const lw_fridge *fridge, double ambient_c, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "ambient_c", ambient_c, -60.0, 70.0);
    if (!bad)
        bad = lw_want_range(fault, "burner_w", fridge->burner_w, 0.0, 2000.0);
    if (!bad)
        bad = lw_want_range(fault, "control_w", fridge->control_w, 0.0, 500.0);
    if (!bad)
        bad = lw_want_range(fault, "rated_w", fridge->rated_w, 0.0, 1000.0);
    if (!bad)
        bad = lw_want_range(fault, "running_w", fridge->running_w, 0.0, 2000.0);
    return bad;
}

lw_fridge_slope lw_fridge_slope_of(lw_cooling kind)
{
    return kind == LW_COOLING_COMPRESSOR ? (lw_fridge_slope){PER_K, LEAST_FRAC}
                                         : (lw_fridge_slope){GAS_PER_K, GAS_LEAST_FRAC};
}

static double wish_w_of(const lw_fridge *fridge, double ambient_c)
{
    const lw_fridge_slope slope = lw_fridge_slope_of(fridge->kind);
    const double factor = 1.0 + slope.per_k * (ambient_c - LW_FRIDGE_RATED_AT_C);
    return fridge->rated_w * lw_most(factor, slope.least_frac);
}

static void run_absorption(const lw_fridge *fridge, double ambient_c, lw_fridge_out *out)
{
    const double wish_w = wish_w_of(fridge, ambient_c);
    const double gas_w = lw_least(wish_w, fridge->burner_w);
    *out = (lw_fridge_out){
        .gas_w = gas_w,
        .electric_w = fridge->control_w,
        .is_weak = ambient_c > WEAK_ABOVE_C || wish_w > fridge->burner_w,
    };
}

static void run_compressor(const lw_fridge *fridge, double ambient_c, lw_fridge_out *out)
{
    const double wish_w = wish_w_of(fridge, ambient_c);
    const double electric_w = lw_least(wish_w, fridge->running_w);
    *out = (lw_fridge_out){
        .gas_w = 0.0,
        .electric_w = electric_w,
        .is_weak = wish_w > fridge->running_w,
    };
}

void lw_fridge_run(const lw_fridge *fridge, double ambient_c, lw_fridge_out *out)
{
    if (fridge->kind == LW_COOLING_COMPRESSOR)
        run_compressor(fridge, ambient_c, out);
    else
        run_absorption(fridge, ambient_c, out);
}

double lw_fridge_duty_frac(const lw_fridge *fridge, const lw_fridge_out *run)
{
    const int is_compressor = fridge->kind == LW_COOLING_COMPRESSOR;
    const double most_w = is_compressor ? fridge->running_w : fridge->burner_w;
    return most_w > 0.0 ? (is_compressor ? run->electric_w : run->gas_w) / most_w : 0.0;
}

double lw_fridge_household_kwh_a(double adjusted_l)
{
    return 8.07 / FT3_L(1.0) * adjusted_l + 233.7;
}
