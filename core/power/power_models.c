#include <math.h>

#include "core/base/model.h"
#include "core/power/battery.h"
#include "core/power/given_internal.h"
#include "core/power/kibam.h"
#include "core/power/sizing.h"

#define BAR_AND_WORD(id, word) "|" word
static const char CHEMISTRY_WORDS[] = LW_CHEMISTRIES(BAR_AND_WORD);

/* battery */
static const lw_column BATTERY_IN[] = {
    {.name = "chemistry", .what = "kind of cells", .kind = LW_COLUMN_CHOICE, .choices = CHEMISTRY_WORDS + 1},
    {.name = "capacity_ah", .what = "rated at 20 h, whole bank"},
    {.name = "nominal_v", .what = "12, 24 or 48; 12 if empty", .is_optional = 1},
    {.name = "health_frac", .what = "left of the capacity by ageing; 1 if empty", .is_optional = 1},
    {.name = "soc_frac", .what = "state of charge, wells at rest"},
    {.name = "power_w", .what = "offered for charging; negative: drawn"},
    {.name = "temp_c", .what = "battery temperature; 25 if empty", .is_optional = 1},
    {.name = "hours", .what = "length of the step"},
};
static const lw_column BATTERY_OUT[] = {
    {.name = "end_soc_frac", .what = "state of charge after the step, self-discharge included"},
    {.name = "current_a", .what = "mean, positive into the battery"},
    {.name = "terminal_w", .what = "mean power into the battery"},
    {.name = "end_v", .what = "terminal voltage at the end, current flowing", .decimals = 4},
    {.name = "stored_w", .what = "rate of change of stored energy"},
    {.name = "ohmic_w", .what = "lost in resistance"},
    {.name = "coulombic_w", .what = "lost as charge that is not kept"},
    {.name = "self_discharge_wh", .what = "lost at rest"},
    {.name = "floor_soc_frac", .what = "where the chemistry's default floor lies at this temperature"},
};

static lw_code battery_apply(const double *in, double *out, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "chemistry", in[0], 0.0, LW_CHEMISTRY_COUNT - 1);
    if (bad)
        return bad;
    lw_battery_spec spec = lw_battery_typical((lw_chemistry)in[0], in[1], lw_given_or(in[2], 12.0));
    spec.health_frac = lw_given_or(in[3], 1.0);
    const double temp_c = lw_given_or(in[6], 25.0);
    bad = lw_battery_check(&spec, fault);
    if (!bad)
        bad = lw_want_range(fault, "soc_frac", in[4], 0.0, 1.0);
    if (!bad)
        bad = lw_want_range(fault, "power_w", in[5], -1e6, 1e6);
    if (!bad)
        bad = lw_want_range(fault, "temp_c", temp_c, -60.0, 80.0);
    if (!bad)
        bad = lw_want_range(fault, "hours", in[7], 1e-4, 1000.0);
    if (bad)
        return bad;

    lw_battery b;
    lw_battery_prepare(&spec, &b);
    lw_kibam_state state = lw_battery_at_soc(&b, in[4]);
    lw_battery_flow flow;
    if (in[5] < 0.0)
        lw_battery_draw(&b, &state, -in[5], in[7], &flow);
    else
        lw_battery_fill(&b, &state, in[5], lw_battery_charge_cap_a(&b, temp_c), in[7], &flow);
    lw_battery_apply(&b, &state, &flow);
    out[7] = lw_battery_rest(&b, &state, temp_c, in[7]);
    out[0] = lw_battery_soc_frac(&b, lw_battery_charge_ah(&state));
    out[1] = flow.current_a;
    out[2] = flow.terminal_w;
    out[3] = flow.end_v;
    out[4] = flow.stored_w;
    out[5] = flow.ohmic_w;
    out[6] = flow.coulombic_w;
    out[8] = lw_battery_soc_frac(&b, lw_battery_floor_ah(&b, temp_c));
    return LW_OK;
}

const lw_model lw_model_battery = {
    .name = "battery",
    .what = "one step of a house battery, drawing or charging",
    .source = "Manwell and McGowan 1993; Lambert, Gilman, Lilienthal 2006; IEEE 485 Table 1; trade practice",
    .in = LW_COLUMNS(BATTERY_IN),
    .out = LW_COLUMNS(BATTERY_OUT),
    .apply = battery_apply,
};

/* kibam */
static const lw_column KIBAM_IN[] = {
    {.name = "q1_ah", .what = "available well"},
    {.name = "q2_ah", .what = "bound well"},
    {.name = "qmax_ah", .what = "all the charge there is"},
    {.name = "c", .what = "share of the available well"},
    {.name = "k_per_h", .what = "rate constant k' = k0 / (c (1 - c))"},
    {.name = "current_a", .what = "positive: discharge"},
    {.name = "hours", .what = "length of the step"},
};
static const lw_column KIBAM_OUT[] = {
    {.name = "q1_ah", .what = "available well after the step; below 0: the current was too large"},
    {.name = "q2_ah", .what = "bound well after the step"},
    {.name = "max_discharge_a", .what = "that leaves the available well empty"},
    {.name = "max_charge_a", .what = "that leaves it full"},
    {.name = "capacity_ah", .what = "had from full in this time at constant current"},
};

static lw_code kibam_apply(const double *in, double *out, lw_fault *fault)
{
    const lw_kibam spec = {.qmax_ah = in[2], .c = in[3], .k_per_h = in[4]};
    const lw_kibam_state state = {.q1_ah = in[0], .q2_ah = in[1]};
    lw_code bad = lw_kibam_check(&spec, &state, fault);
    if (!bad)
        bad = lw_want_range(fault, "current_a", in[5], -1e6, 1e6);
    if (!bad)
        bad = lw_want_range(fault, "hours", in[6], 1e-6, 1e5);
    if (bad)
        return bad;
    const lw_kibam_phase phase = lw_kibam_phase_of(&spec, in[6]);
    const lw_kibam_state after = lw_kibam_step(&phase, state, in[5]);
    out[0] = after.q1_ah;
    out[1] = after.q2_ah;
    out[2] = lw_kibam_max_discharge_a(&phase, state);
    out[3] = lw_kibam_max_charge_a(&spec, &phase, state);
    out[4] = lw_kibam_capacity_ah(&spec, in[6]);
    return LW_OK;
}

const lw_model lw_model_kibam = {
    .name = "kibam",
    .what = "kinetic battery model: two wells, one step",
    .source = "J. F. Manwell, J. G. McGowan, Solar Energy 50(5), 1993, 399-405",
    .in = LW_COLUMNS(KIBAM_IN),
    .out = LW_COLUMNS(KIBAM_OUT),
    .apply = kibam_apply,
};

/* peukert */
static const lw_column PEUKERT_IN[] = {
    {.name = "capacity_ah", .what = "at the rated hours"},
    {.name = "rated_h", .what = "usually 20"},
    {.name = "exponent", .what = "1.2-1.4 flooded, 1.05-1.2 AGM, 1.0-1.05 LFP"},
    {.name = "current_a", .what = "constant draw"},
};
static const lw_column PEUKERT_OUT[] = {
    {.name = "hours", .what = "until empty"},
    {.name = "usable_ah", .what = "drawn by then"},
};

static lw_code peukert_apply(const double *in, double *out, lw_fault *fault)
{
    const lw_peukert p = {.capacity_ah = in[0], .rated_h = in[1], .exponent = in[2], .current_a = in[3]};
    const lw_code bad = lw_peukert_check(&p, fault);
    if (bad)
        return bad;
    out[0] = lw_peukert_hours(&p);
    out[1] = lw_peukert_ah(&p);
    return LW_OK;
}

const lw_model lw_model_peukert = {
    .name = "peukert",
    .what = "hours and charge of a constant draw",
    .source = "W. Peukert, Elektrotechnische Zeitschrift 1897; rated-hour form",
    .in = LW_COLUMNS(PEUKERT_IN),
    .out = LW_COLUMNS(PEUKERT_OUT),
    .apply = peukert_apply,
};

/* rest-voltage */
static const lw_column REST_IN[] = {
    {.name = "chemistry", .what = "kind of cells", .kind = LW_COLUMN_CHOICE, .choices = CHEMISTRY_WORDS + 1},
    {.name = "nominal_v", .what = "12, 24 or 48; 12 if empty", .is_optional = 1},
    {.name = "rest_v", .what = "after hours without current"},
};
static const lw_column REST_OUT[] = {
    {.name = "soc_frac", .what = "state of charge by the chemistry's table", .decimals = 3},
    {.name = "low_frac", .what = "band of the tables that differ, or of the cell's memory", .decimals = 3},
    {.name = "high_frac", .what = "its upper end", .decimals = 3},
};

static lw_code rest_apply(const double *in, double *out, lw_fault *fault)
{
    const double nominal_v = lw_given_or(in[1], 12.0);
    lw_code bad = lw_want_range(fault, "chemistry", in[0], 0.0, LW_CHEMISTRY_COUNT - 1);
    if (!bad)
        bad = lw_want_range(fault, "nominal_v", nominal_v, 6.0, 60.0);
    if (!bad)
        bad = lw_want_range(fault, "rest_v", in[2], 0.0, 80.0);
    if (bad)
        return bad;
    const lw_rest_soc soc = lw_rest_soc_of((lw_chemistry)in[0], nominal_v, in[2]);
    out[0] = soc.soc_frac;
    out[1] = soc.low_frac;
    out[2] = soc.high_frac;
    return LW_OK;
}

const lw_model lw_model_rest_voltage = {
    .name = "rest-voltage",
    .what = "state of charge from a battery's voltage at rest, as a band",
    .source = "Battery Council International, Battery Service Manual; tables of deep-cycle makers (common practice)",
    .in = LW_COLUMNS(REST_IN),
    .out = LW_COLUMNS(REST_OUT),
    .apply = rest_apply,
};

/* battery-size */
static const lw_column SIZE_IN[] = {
    {.name = "daily_ah", .what = "load of a day"},
    {.name = "largest_a", .what = "largest running current"},
    {.name = "days", .what = "without sun"},
    {.name = "depth_frac", .what = "deepest discharge"},
    {.name = "daily_depth_frac", .what = "deepest in a day"},
    {.name = "end_of_life_frac", .what = "of rated capacity"},
    {.name = "temp_c", .what = "coldest"},
    {.name = "margin", .what = "1.1-1.25"},
    {.name = "sun_h", .what = "peak sun hours of the design month", .is_optional = 1},
    {.name = "ratio", .what = "array to load", .is_optional = 1},
    {.name = "loss_frac", .what = "of the array; 0.1 if empty", .is_optional = 1},
};
static const lw_column SIZE_OUT[] = {
    {.name = "adjusted_ah", .what = "before temperature and margin", .decimals = 2},
    {.name = "capacity_ah", .what = "to buy, at the rate below", .decimals = 2},
    {.name = "rate_h", .what = "functional-hour rate", .decimals = 3},
    {.name = "array_a", .what = "array current at 1,000 W/m2", .decimals = 3},
};

static lw_code size_apply(const double *in, double *out, lw_fault *fault)
{
    const lw_battery_need need = {
        .daily_ah = in[0],
        .largest_a = in[1],
        .days = in[2],
        .depth_frac = in[3],
        .daily_depth_frac = in[4],
        .end_of_life_frac = in[5],
        .temp_c = in[6],
        .margin = in[7],
    };
    const double loss_frac = lw_given_or(in[10], 0.1);
    const int has_array = !isnan(in[8]) && !isnan(in[9]);
    lw_code bad = lw_battery_need_check(&need, fault);
    if (!bad && has_array)
        bad = lw_want_range(fault, "sun_h", in[8], 0.1, 24.0);
    if (!bad && has_array)
        bad = lw_want_range(fault, "ratio", in[9], 0.0, 20.0);
    if (!bad && has_array)
        bad = lw_want_range(fault, "loss_frac", loss_frac, 0.0, 0.9);
    if (bad)
        return bad;
    lw_battery_size size;
    lw_battery_size_for(&need, &size);
    out[0] = size.adjusted_ah;
    out[1] = size.capacity_ah;
    out[2] = size.rate_h;
    out[3] = has_array ? lw_array_current_a(in[9], in[0], in[8], loss_frac) : NAN;
    return LW_OK;
}

const lw_model lw_model_battery_size = {
    .name = "battery-size",
    .what = "lead-acid battery and array of a stand-alone system",
    .source = "IEEE 1013-2007, IEEE 1562, IEEE 485 Table 1",
    .in = LW_COLUMNS(SIZE_IN),
    .out = LW_COLUMNS(SIZE_OUT),
    .apply = size_apply,
};
