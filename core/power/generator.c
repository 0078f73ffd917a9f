#include "core/power/generator.h"

#include <math.h>

#include "core/base/num.h"

/* Lines through no load and full load of the ranges' middles; a line of one size is scaled with the rating. */
const lw_fuel_line lw_fuel_lines[] = {
    {"small gasoline inverter set", "fit to common data sheets, 1-3 kW", LW_ENGINE_FUEL_GASOLINE, 3000.0, 0.14, 0.47},
    {"built-in gasoline 4 kW", "common practice; 1.0 none, 2.55 L/h full", LW_ENGINE_FUEL_GASOLINE, 5000.0, 1.0 / 4.0,
     (2.55 - 1.0) / 4.0},
    {"built-in gasoline 5.5-7 kW", "common practice; 1.55 none, 3.95 L/h full, read at 6.25 kW",
     LW_ENGINE_FUEL_GASOLINE, INFINITY, 1.55 / 6.25, (3.95 - 1.55) / 6.25},
    {"built-in lpg 5.5 kW", "common practice; 2.65 half, 4.05 L/h full", LW_ENGINE_FUEL_LPG, INFINITY,
     (2.0 * 2.65 - 4.05) / 5.5, 2.0 * (4.05 - 2.65) / 5.5},
    {"built-in diesel 6-8 kW", "common practice; 0.75 none, 3.05 L/h full, read at 7 kW", LW_ENGINE_FUEL_DIESEL,
     10000.0, 0.75 / 7.0, (3.05 - 0.75) / 7.0},
    {"diesel", "Skarstein and Uhlen, Wind Engineering 13, 1989; coefficients recalled", LW_ENGINE_FUEL_DIESEL, INFINITY,
     0.08145, 0.246},
};
const size_t lw_fuel_lines_count = sizeof lw_fuel_lines / sizeof lw_fuel_lines[0];

/* Common practice. */
const lw_service_row lw_services[] = {
    {"oil, built-in", 35.0, 100.0, 150.0},        {"oil, portable", 20.0, 50.0, 100.0},
    {"air filter", 100.0, 100.0, 200.0},          {"spark plugs", 250.0, 250.0, 500.0},
    {"engine, gasoline", 2000.0, 2000.0, 3000.0}, {"engine, diesel", 8000.0, 8000.0, 10000.0},
};
const size_t lw_services_count = sizeof lw_services / sizeof lw_services[0];

lw_generator_spec lw_generator_on_line(const lw_fuel_line *line, double rated_w)
{
    return (lw_generator_spec){
        .rated_w = rated_w,
        .fuel = line->fuel,
        .none_lph = line->none_l_per_kw * rated_w / 1000.0,
        .slope_lpkwh = line->slope_lpkwh,
        .derate = LW_DERATE_SHEET,
    };
}

lw_generator_spec lw_generator_typical(lw_engine_fuel fuel, double rated_w)
{
    size_t i = 0;
    while (i + 1 < lw_fuel_lines_count && !(lw_fuel_lines[i].fuel == fuel && rated_w < lw_fuel_lines[i].to_w))
        i++;
    return lw_generator_on_line(&lw_fuel_lines[i], rated_w);
}

lw_code lw_generator_check(const lw_generator_spec *spec, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "rated_w", spec->rated_w, 1.0, 1e6);
    if (!bad)
        bad = lw_want_range(fault, "fuel", (double)spec->fuel, 0.0, LW_ENGINE_FUEL_COUNT - 1);
    if (!bad)
        bad = lw_want_range(fault, "none_lph", spec->none_lph, 0.0, 100.0);
    if (!bad)
        bad = lw_want_range(fault, "slope_lpkwh", spec->slope_lpkwh, 0.0, 5.0);
    return bad ? bad : lw_want_range(fault, "derate", (double)spec->derate, 0.0, LW_DERATE_COUNT - 1);
}

static const double J1349_PA = 99000.0; /* dry, at 25 C: where SAE J1349 corrects by 1 */

/* ICAO Doc 7488/3 and U.S. Standard Atmosphere 1976, lowest layer. */
static double standard_pressure_pa(double elevation_m)
{
    return 101325.0 * pow(1.0 - 0.0065 * elevation_m / 288.15, 5.255876);
}

static double j1349_frac(double thin_air, double air_c)
{
    return 1.0 / (1.18 * thin_air * sqrt((air_c + 273.0) / 298.0) - 0.18);
}

double lw_j1349_frac(double dry_pressure_pa, double air_c)
{
    return j1349_frac(J1349_PA / dry_pressure_pa, air_c);
}

void lw_generator_prepare(const lw_generator_spec *spec, double elevation_m, lw_generator *gen)
{
    const double sheet = 1.0 - 0.035 * (elevation_m > 0.0 ? elevation_m : 0.0) / 305.0; /* common generator sheets */
    *gen = (lw_generator){
        .rated_w = spec->rated_w,
        .none_lph = spec->none_lph,
        .slope_lpw = spec->slope_lpkwh / 1000.0,
        .derate = spec->derate,
        .thin_air = spec->derate == LW_DERATE_J1349   ? J1349_PA / standard_pressure_pa(elevation_m)
                    : spec->derate == LW_DERATE_SHEET ? lw_most(sheet, 0.0)
                                                      : 1.0,
    };
}

double lw_generator_capacity_w(const lw_generator *gen, double air_c)
{
    double frac = 1.0;
    if (gen->derate == LW_DERATE_SHEET)
        frac = gen->thin_air * (1.0 - 0.01 / 5.6 * (air_c > 25.0 ? air_c - 25.0 : 0.0)); /* common generator sheets */
    else if (gen->derate == LW_DERATE_J1349)
        frac = j1349_frac(gen->thin_air, air_c);
    return gen->rated_w * (frac < 1.0 ? frac : 1.0);
}

double lw_noise_dba(double known_dba, double known_m, double at_m)
{
    return known_dba - 20.0 * log10(at_m / known_m);
}

double lw_noise_distance_m(double known_dba, double known_m, double wanted_dba)
{
    return known_m * pow(10.0, (known_dba - wanted_dba) / 20.0);
}

static const double LPG_KG_PER_L = 0.508;

double lw_lpg_kg(double volume_l)
{
    return volume_l * LPG_KG_PER_L;
}

double lw_lpg_l(double mass_kg)
{
    return mass_kg / LPG_KG_PER_L;
}
