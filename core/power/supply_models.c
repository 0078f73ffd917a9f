#include <math.h>

#include "core/base/model.h"
#include "core/power/charger.h"
#include "core/power/controller.h"
#include "core/power/generator.h"
#include "core/power/given_internal.h"
#include "core/power/inverter.h"
#include "core/power/wire.h"

/* The words of the choices, each after a bar. */
#define WORD_OF_WIRE(id, word, ohm_per_kft) "|" word
#define BAR_AND_WORD(id, word)              "|" word
static const char CONTROLLER_WORDS[] = LW_CONTROLLERS(BAR_AND_WORD);
static const char FUEL_WORDS[] = LW_ENGINE_FUELS(BAR_AND_WORD);
static const char DERATE_WORDS[] = LW_DERATES(BAR_AND_WORD);
static const char WIRE_WORDS[] = LW_WIRES(WORD_OF_WIRE);

/* wire */
static const lw_column WIRE_IN[] = {
    {.name = "gauge_awg", .what = "copper", .kind = LW_COLUMN_CHOICE, .choices = WIRE_WORDS + 1},
    {.name = "run_m", .what = "one way"},
    {.name = "current_a", .what = "flowing"},
    {.name = "supply_v", .what = "12.8 if empty", .is_optional = 1},
};
static const lw_column WIRE_OUT[] = {
    {.name = "drop_v", .what = "there and back"},
    {.name = "loss_frac", .what = "of the power"},
    {.name = "loss_w", .what = "as heat in the wire"},
};

static lw_code wire_apply(const double *in, double *out, lw_fault *fault)
{
    const double supply_v = lw_given_or(in[3], 12.8);
    lw_code bad = lw_want_range(fault, "gauge_awg", in[0], 0.0, LW_WIRE_COUNT - 1);
    if (bad)
        return bad;
    const lw_wire_run run = {.gauge = (lw_wire)in[0], .run_m = in[1]};
    bad = lw_wire_check(&run, in[2], supply_v, fault);
    if (bad)
        return bad;
    out[0] = lw_wire_drop_v(&run, in[2]);
    out[1] = lw_wire_loss_frac(&run, in[2], supply_v);
    out[2] = in[2] * in[2] * lw_wire_ohm(&run);
    return LW_OK;
}

const lw_model lw_model_wire = {
    .name = "wire",
    .what = "voltage drop and loss of a copper run",
    .source = "NFPA 70 (NEC) Chapter 9, Table 8",
    .in = LW_COLUMNS(WIRE_IN),
    .out = LW_COLUMNS(WIRE_OUT),
    .apply = wire_apply,
};

/* inverter */
static const lw_column INVERTER_IN[] = {
    {.name = "rated_w", .what = "continuous"},
    {.name = "load_w", .what = "asked for"},
    {.name = "idle_w", .what = "by size if empty", .is_optional = 1},
    {.name = "efficiency_frac", .what = "of conversion; 0.90 if empty", .is_optional = 1},
    {.name = "b_per_w", .what = "square term; 0 if empty", .is_optional = 1},
};
static const lw_column INVERTER_OUT[] = {
    {.name = "in_w", .what = "from the battery"},
    {.name = "out_w", .what = "to the load"},
    {.name = "idle_w", .what = "for being on"},
    {.name = "conversion_w", .what = "lost in converting"},
    {.name = "short_w", .what = "beyond the rating, not met"},
};

static lw_code inverter_apply(const double *in, double *out, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "load_w", in[1], 0.0, 1e6);
    if (bad)
        return bad;
    lw_inverter_spec spec = lw_inverter_typical(in[0]);
    spec.idle_w = lw_given_or(in[2], spec.idle_w);
    spec.efficiency_frac = lw_given_or(in[3], spec.efficiency_frac);
    spec.b_per_w = lw_given_or(in[4], spec.b_per_w);
    bad = lw_inverter_check(&spec, fault);
    if (bad)
        return bad;
    lw_inverter_flow flow;
    lw_inverter_run(&spec, in[1], 1, &flow);
    out[0] = flow.in_w;
    out[1] = flow.out_w;
    out[2] = flow.idle_w;
    out[3] = flow.conversion_w;
    out[4] = flow.short_w;
    return LW_OK;
}

const lw_model lw_model_inverter = {
    .name = "inverter",
    .what = "battery power for an alternating-current load",
    .source = "idle + P/efficiency + b P^2, common practice",
    .in = LW_COLUMNS(INVERTER_IN),
    .out = LW_COLUMNS(INVERTER_OUT),
    .apply = inverter_apply,
};

/* charger */
static const lw_column CHARGER_IN[] = {
    {.name = "rated_a", .what = "at the battery"},
    {.name = "battery_v", .what = "while charging"},
    {.name = "in_w", .what = "what the source can give; no limit if empty", .is_optional = 1},
    {.name = "in_va", .what = "the same in volt-amperes; no limit if empty", .is_optional = 1},
    {.name = "efficiency_frac", .what = "0.85 if empty", .is_optional = 1},
    {.name = "power_factor", .what = "0.7 if empty; 1 for DC-DC", .is_optional = 1},
};
static const lw_column CHARGER_OUT[] = {
    {.name = "dc_w", .what = "to battery and loads"},
    {.name = "in_w", .what = "taken"},
    {.name = "loss_w", .what = "as heat"},
    {.name = "in_va", .what = "taken, apparent"},
};

static lw_code charger_apply(const double *in, double *out, lw_fault *fault)
{
    lw_charger_spec spec = lw_charger_from_ac(in[0]);
    spec.efficiency_frac = lw_given_or(in[4], spec.efficiency_frac);
    spec.power_factor = lw_given_or(in[5], spec.power_factor);
    const double source_w = lw_given_or(in[2], INFINITY), source_va = lw_given_or(in[3], INFINITY);
    lw_code bad = lw_charger_check(&spec, fault);
    if (!bad)
        bad = lw_want_range(fault, "battery_v", in[1], 1.0, 100.0);
    if (!bad)
        bad = lw_want_range(fault, "in_w", source_w, 0.0, INFINITY);
    if (!bad)
        bad = lw_want_range(fault, "in_va", source_va, 0.0, INFINITY);
    if (bad)
        return bad;
    lw_charger_flow flow;
    lw_charger_run(&spec, lw_charger_dc_w(&spec, in[1], source_w, source_va), &flow);
    out[0] = flow.dc_w;
    out[1] = flow.in_w;
    out[2] = flow.loss_w;
    out[3] = flow.in_va;
    return LW_OK;
}

const lw_model lw_model_charger = {
    .name = "charger",
    .what = "converter-charger or DC-DC charger at full current",
    .source = "common practice: 0.80-0.90, power factor 0.6-0.7 uncorrected",
    .in = LW_COLUMNS(CHARGER_IN),
    .out = LW_COLUMNS(CHARGER_OUT),
    .apply = charger_apply,
};

/* controller */
static const lw_column CONTROLLER_IN[] = {
    {.name = "controller", .what = "kind", .kind = LW_COLUMN_CHOICE, .choices = CONTROLLER_WORDS + 1},
    {.name = "panel_w", .what = "clean array at its maximum power point"},
    {.name = "cell_c", .what = "cell temperature"},
    {.name = "battery_v", .what = "at the battery"},
    {.name = "array_v", .what = "V_mp at 25 C; needed for PWM", .is_optional = 1},
    {.name = "rated_a", .what = "of the controller; no limit if empty", .is_optional = 1},
    {.name = "efficiency_frac", .what = "0.96 MPPT, 0.99 PWM if empty", .is_optional = 1},
    {.name = "wiring_frac", .what = "0.02 if empty", .is_optional = 1},
    {.name = "soiling_frac", .what = "0.03 if empty", .is_optional = 1},
};
static const lw_column CONTROLLER_OUT[] = {
    {.name = "battery_w", .what = "offered to battery and loads"},
    {.name = "soiling_w", .what = "lost to dirt"},
    {.name = "wiring_w", .what = "lost in the wires"},
    {.name = "mismatch_w", .what = "PWM: voltage not used"},
    {.name = "conversion_w", .what = "lost in converting"},
    {.name = "unused_w", .what = "above the current rating"},
};

static lw_code controller_apply(const double *in, double *out, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "controller", in[0], 0.0, LW_CONTROLLER_COUNT - 1);
    if (bad)
        return bad;
    const lw_controller kind = (lw_controller)in[0];
    lw_controller_spec spec = lw_controller_typical(
        kind, kind == LW_CONTROLLER_MPPT && isnan(in[4]) ? 18.0 : in[4]); /* MPPT does not use it */
    spec.rated_a = lw_given_or(in[5], spec.rated_a);
    spec.efficiency_frac = lw_given_or(in[6], spec.efficiency_frac);
    spec.wiring_frac = lw_given_or(in[7], spec.wiring_frac);
    spec.soiling_frac = lw_given_or(in[8], spec.soiling_frac);
    bad = lw_controller_check(&spec, fault);
    if (!bad)
        bad = lw_want_range(fault, "panel_w", in[1], 0.0, 1e6);
    if (!bad)
        bad = lw_want_range(fault, "cell_c", in[2], -60.0, 120.0);
    if (!bad)
        bad = lw_want_range(fault, "battery_v", in[3], 1.0, 100.0);
    if (bad)
        return bad;
    lw_controller_flow flow;
    lw_controller_offer(&spec, in[1], in[2], in[3], &flow);
    out[0] = flow.battery_w;
    out[1] = flow.soiling_w;
    out[2] = flow.wiring_w;
    out[3] = flow.mismatch_w;
    out[4] = flow.conversion_w;
    out[5] = flow.unused_w;
    return LW_OK;
}

const lw_model lw_model_controller = {
    .name = "controller",
    .what = "solar charge controller",
    .source = "MPPT 0.94-0.98, common practice; PWM: I_mp times battery voltage, circuit physics",
    .in = LW_COLUMNS(CONTROLLER_IN),
    .out = LW_COLUMNS(CONTROLLER_OUT),
    .apply = controller_apply,
};

/* generator */
static const lw_column GENERATOR_IN[] = {
    {.name = "fuel", .what = "kind", .kind = LW_COLUMN_CHOICE, .choices = FUEL_WORDS + 1},
    {.name = "rated_w", .what = "at sea level"},
    {.name = "load_w", .what = "asked for"},
    {.name = "elevation_m", .what = "above sea level"},
    {.name = "air_c", .what = "at the intake"},
    {.name = "none_lph", .what = "at no load; by fuel and size if empty", .is_optional = 1},
    {.name = "slope_lpkwh", .what = "litres for each kWh more; by fuel and size if empty", .is_optional = 1},
    {.name = "derate", .what = "rule", .kind = LW_COLUMN_CHOICE, .choices = DERATE_WORDS + 1},
};
static const lw_column GENERATOR_OUT[] = {
    {.name = "capacity_w", .what = "at this elevation and temperature"},
    {.name = "out_w", .what = "given"},
    {.name = "fuel_lph", .what = "litres an hour at that load"},
};

static lw_code generator_apply(const double *in, double *out, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "fuel", in[0], 0.0, LW_ENGINE_FUEL_COUNT - 1);
    if (!bad)
        bad = lw_want_range(fault, "load_w", in[2], 0.0, 1e6);
    if (!bad)
        bad = lw_want_range(fault, "elevation_m", in[3], -430.0, 6000.0);
    if (!bad)
        bad = lw_want_range(fault, "air_c", in[4], -60.0, 60.0);
    if (!bad)
        bad = lw_want_range(fault, "derate", in[7], 0.0, LW_DERATE_COUNT - 1);
    if (bad)
        return bad;
    lw_generator_spec spec = lw_generator_typical((lw_engine_fuel)in[0], in[1]);
    spec.none_lph = lw_given_or(in[5], spec.none_lph);
    spec.slope_lpkwh = lw_given_or(in[6], spec.slope_lpkwh);
    spec.derate = (lw_derate)in[7];
    bad = lw_generator_check(&spec, fault);
    if (bad)
        return bad;
    lw_generator gen;
    lw_generator_prepare(&spec, in[3], &gen);
    out[0] = lw_generator_capacity_w(&gen, in[4]);
    out[1] = fmin(in[2], out[0]);
    out[2] = lw_generator_fuel_lph(&gen, out[1]);
    return LW_OK;
}

const lw_model lw_model_generator = {
    .name = "generator",
    .what = "capacity and fuel of a generator set",
    .source = "SAE J1349; common generator sheets; Skarstein and Uhlen, Wind Engineering 13, 1989",
    .in = LW_COLUMNS(GENERATOR_IN),
    .out = LW_COLUMNS(GENERATOR_OUT),
    .apply = generator_apply,
};

/* noise */
static const lw_column NOISE_IN[] = {
    {.name = "known_dba", .what = "level on the sheet"},
    {.name = "known_m", .what = "distance on the sheet"},
    {.name = "at_m", .what = "distance asked for; 15.24 (50 ft) if empty", .is_optional = 1},
};
static const lw_column NOISE_OUT[] = {
    {.name = "level_dba", .what = "at that distance, free field", .decimals = 2},
    {.name = "margin_db", .what = "under the limit of US national parks, if at 50 ft", .decimals = 2},
    {.name = "quiet_m", .what = "distance at which it is 60 dBA", .decimals = 2},
};

static lw_code noise_apply(const double *in, double *out, lw_fault *fault)
{
    const double at_m = lw_given_or(in[2], LW_NPS_NOISE_M);
    lw_code bad = lw_want_range(fault, "known_dba", in[0], 0.0, 150.0);
    if (!bad)
        bad = lw_want_range(fault, "known_m", in[1], 0.1, 1000.0);
    if (!bad)
        bad = lw_want_range(fault, "at_m", at_m, 0.1, 1e5);
    if (bad)
        return bad;
    out[0] = lw_noise_dba(in[0], in[1], at_m);
    out[1] = LW_NPS_NOISE_DBA - lw_noise_dba(in[0], in[1], LW_NPS_NOISE_M);
    out[2] = lw_noise_distance_m(in[0], in[1], LW_NPS_NOISE_DBA);
    return LW_OK;
}

const lw_model lw_model_noise = {
    .name = "noise",
    .what = "generator sound at a distance, and the parks' limit",
    .source = "free field, 6 dB for each doubling; 36 CFR 2.12(a)(1)",
    .in = LW_COLUMNS(NOISE_IN),
    .out = LW_COLUMNS(NOISE_OUT),
    .apply = noise_apply,
};
