/* core/power/generator.h: a generator set: what it can give, what it drinks, how loud it is.
 *
 * Computes  capacity at an elevation and air temperature, fuel by load, sound at a distance, hours to the next service.
 * Inputs    spec: rated_w > 0; fuel; none_lph, litres an hour at no load; slope_lpkwh, litres for each kWh more;
 *           derate, the rule for thin and hot air. elevation_m, air_c.
 * Results   capacity_w never above the rating; fuel_lph of a running set, load clipped to 0..capacity by the caller.
 * Errors    LW_E_RANGE from lw_generator_check.
 * Source    beside each row and rule in generator.c: common practice mostly; SAE J1349; Skarstein and
 *           Uhlen, Wind Engineering 13, 1989 (coefficients recalled); 36 CFR 2.12(a)(1).
 * Limits    carburettors jetted for sea level lose more; SAE J1349 is formally for corrections of 0.93-1.07 and counts
 *           the air as dry. Sound in the free field: hard ground loses 0-3 dB less. Exhaust and carbon monoxide are in
 *           the cautions, not here. */
#ifndef LW_CORE_POWER_GENERATOR_H
#define LW_CORE_POWER_GENERATOR_H

#include <stddef.h>

#include "core/base/err.h"

#define LW_ENGINE_FUELS(X)                                                                                             \
    X(GASOLINE, "gasoline")                                                                                            \
    X(DIESEL, "diesel")                                                                                                \
    X(LPG, "lpg")

typedef enum lw_engine_fuel {
#define LW_ENGINE_FUEL_ID(id, word) LW_ENGINE_FUEL_##id,
    LW_ENGINE_FUELS(LW_ENGINE_FUEL_ID)
#undef LW_ENGINE_FUEL_ID
        LW_ENGINE_FUEL_COUNT
} lw_engine_fuel;

#define LW_DERATES(X)                                                                                                  \
    X(SHEET, "sheet") /* 3.5 % for each 305 m, 1 % for each 5.6 K above 25 C: common generator sheets */               \
    X(J1349, "j1349") /* engine correction of SAE J1349, spark ignition */                                             \
    X(NONE, "none")

typedef enum lw_derate {
#define LW_DERATE_ID(id, word) LW_DERATE_##id,
    LW_DERATES(LW_DERATE_ID)
#undef LW_DERATE_ID
        LW_DERATE_COUNT
} lw_derate;

typedef struct lw_generator_spec {
    double rated_w;
    lw_engine_fuel fuel;
    double none_lph, slope_lpkwh;
    lw_derate derate;
} lw_generator_spec;

typedef struct lw_generator {
    double rated_w, none_lph, slope_lpw; /* litres an hour for each watt */
    lw_derate derate;
    double thin_air; /* sheet: share left by the elevation; J1349: 990 hPa over the pressure there */
} lw_generator;

/* A line of litres an hour against power, for sets of a fuel and size: none_l_per_kw for each rated kW. */
typedef struct lw_fuel_line {
    const char *word, *source;
    lw_engine_fuel fuel;
    double to_w; /* chosen for sizes below this and above the row before of the same fuel */
    double none_l_per_kw, slope_lpkwh;
} lw_fuel_line;

extern const lw_fuel_line lw_fuel_lines[];
extern const size_t lw_fuel_lines_count;

/* Hours between services, common practice. */
typedef struct lw_service_row {
    const char *work;
    double first_h, low_h, high_h;
} lw_service_row;

extern const lw_service_row lw_services[];
extern const size_t lw_services_count;

lw_generator_spec lw_generator_on_line(const lw_fuel_line *line, double rated_w);
lw_generator_spec lw_generator_typical(lw_engine_fuel fuel, double rated_w); /* the line chosen for fuel and size */
LW_MUST_USE lw_code lw_generator_check(const lw_generator_spec *spec, lw_fault *fault);
void lw_generator_prepare(const lw_generator_spec *spec, double elevation_m, lw_generator *gen);
double lw_generator_capacity_w(const lw_generator *gen, double air_c);

static inline double lw_generator_fuel_lph(const lw_generator *gen, double load_w)
{
    return gen->none_lph + gen->slope_lpw * (load_w > 0.0 ? load_w : 0.0);
}

/* Share of rated power by SAE J1349, not clipped: above 1 in cold dense air. */
double lw_j1349_frac(double dry_pressure_pa, double air_c);

/* Below this share of the rating a set runs badly (a diesel wet-stacks): common practice. */
#define LW_GENERATOR_LEAST_FRAC 0.30

/* Sound level at a distance from a level known at another one. */
double lw_noise_dba(double known_dba, double known_m, double at_m);
double lw_noise_distance_m(double known_dba, double known_m, double wanted_dba);

/* 36 CFR 2.12(a)(1), US national parks: no motorised equipment above 60 dBA at 50 ft, at any hour. */
#define LW_NPS_NOISE_DBA 60.0
#define LW_NPS_NOISE_M   15.24

/* LPG is bought by volume and weighed by the cylinder: 0.508 kg/L at 15.6 C (LP-gas property table after NFPA 58). */
double lw_lpg_kg(double volume_l);
double lw_lpg_l(double mass_kg);

#endif
