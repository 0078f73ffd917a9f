/* More rows by which this room's models are run by name: cold, heat on people, food, hot water. */
#include <math.h>

#include "core/base/model.h"
#include "core/heat/comfort.h"
#include "core/heat/food.h"
#include "core/heat/freeze.h"
#include "core/heat/fridge.h"
#include "core/heat/water_heater.h"

static double or_else(double value, double otherwise)
{
    return isnan(value) ? otherwise : value;
}

static const lw_column fridge_in[] = {
    {.name = "kind", .what = "how it cools", .kind = LW_COLUMN_CHOICE, .choices = "absorption|compressor"},
    {.name = "ambient_c", .what = "air around it"},
    {.name = "volume_l", .what = "compressor: litres inside; empty: 100", .is_optional = 1},
    {.name = "burner_w", .what = "absorption: gas while burning; empty: 400", .is_optional = 1},
};
static const lw_column fridge_out[] = {
    {.name = "gas_w", .what = "gas, mean"},
    {.name = "electric_w", .what = "electric power, mean"},
    {.name = "duty_frac", .what = "share of its most"},
    {.name = "is_weak", .what = "1: no longer holds its temperature", .decimals = 1},
};

static lw_code apply_fridge(const double *in, double *out, lw_fault *fault)
{
    const double volume_l = or_else(in[2], 100.0);
    lw_code bad = lw_want_range(fault, "kind", in[0], 0.0, 1.0);
    if (!bad)
        bad = lw_want_range(fault, "volume_l", volume_l, 5.0, 1000.0);
    if (bad)
        return bad;
    lw_fridge fridge = in[0] > 0.5 ? lw_fridge_compressor(volume_l) : lw_fridge_absorption();
    fridge.burner_w = or_else(in[3], fridge.burner_w);
    bad = lw_fridge_check(&fridge, in[1], fault);
    if (bad)
        return bad;
    lw_fridge_out r;
    lw_fridge_run(&fridge, in[1], &r);
    out[0] = r.gas_w;
    out[1] = r.electric_w;
    out[2] = lw_fridge_duty_frac(&fridge, &r);
    out[3] = r.is_weak;
    return LW_OK;
}

const lw_model lw_model_fridge = {
    .name = "fridge",
    .what = "mean gas and electric power of a fridge against the air around it",
    .source = "trade practice",
    LW_COLUMNS(fridge_in),
    LW_COLUMNS(fridge_out),
    apply_fridge,
};

static const lw_column water_heater_in[] = {
    {.name = "input_w", .what = "gas while burning"},
    {.name = "efficiency_frac", .what = "of the gross heat"},
    {.name = "standing_w", .what = "loss of a hot tank", .is_optional = 1},
    {.name = "volume_l", .what = "tank; empty: tankless", .is_optional = 1},
    {.name = "hot_l", .what = "drawn hot"},
    {.name = "cold_c", .what = "water coming in"},
    {.name = "hot_c", .what = "water going out"},
    {.name = "deficit_j", .what = "heat the tank lacks at the start", .is_optional = 1},
    {.name = "step_s", .what = "length of the step"},
};
static const lw_column water_heater_out[] = {
    {.name = "gas_w", .what = "gas, mean"},
    {.name = "standing_w", .what = "standing loss, mean"},
    {.name = "served_j", .what = "heat in the water drawn", .decimals = 1},
    {.name = "short_j", .what = "heat that was missing", .decimals = 1},
    {.name = "deficit_j", .what = "heat the tank lacks at the end", .decimals = 1},
};

static lw_code apply_water_heater(const double *in, double *out, lw_fault *fault)
{
    const lw_water_heater heater = {
        .input_w = in[0],
        .efficiency_frac = in[1],
        .standing_w = or_else(in[2], 0.0),
        .volume_l = or_else(in[3], 0.0),
    };
    const lw_water_heater_in at = {
        .hot_l = in[4],
        .cold_c = in[5],
        .hot_c = in[6],
        .deficit_j = or_else(in[7], 0.0),
        .input_now_w = in[0],
        .step_s = in[8],
    };
    const lw_code bad = lw_water_heater_check(&heater, &at, fault);
    if (bad)
        return bad;
    lw_water_heater_out r;
    lw_water_heater_run(&heater, &at, &r);
    out[0] = r.gas_w;
    out[1] = r.standing_w;
    out[2] = r.served_j;
    out[3] = r.short_j;
    out[4] = r.deficit_j;
    return LW_OK;
}

const lw_model lw_model_water_heater = {
    .name = "water-heater",
    .what = "gas for hot water, tank or tankless",
    .source = "heat capacity of water (physics); efficiencies and standing loss trade practice",
    LW_COLUMNS(water_heater_in),
    LW_COLUMNS(water_heater_out),
    apply_water_heater,
};

static const lw_column freeze_in[] = {
    {.name = "bay", .what = "kind of tank bay", .kind = LW_COLUMN_CHOICE, .choices = "exposed|enclosed|ducted|pad"},
    {.name = "bay_c", .what = "bay at the start"},
    {.name = "inside_c", .what = "inside of the rig"},
    {.name = "outside_c", .what = "outside"},
    {.name = "is_furnace_on", .what = "1: furnace blows (ducted bay)", .is_optional = 1},
    {.name = "is_pad_on", .what = "1: pad has power (bay with pad)", .is_optional = 1},
    {.name = "hose_h", .what = "clock of hose and outside valve", .is_optional = 1},
    {.name = "pipe_h", .what = "clock of pipes and tanks", .is_optional = 1},
    {.name = "step_s", .what = "length of the step"},
};
static const lw_column freeze_out[] = {
    {.name = "bay_c", .what = "bay at the end"},
    {.name = "pad_w", .what = "heating pad, mean"},
    {.name = "hose_h", .what = "clock of hose and outside valve"},
    {.name = "pipe_h", .what = "clock of pipes and tanks"},
    {.name = "is_hose_freezing", .what = "1: warn", .decimals = 1},
    {.name = "is_pipe_freezing", .what = "1: warn", .decimals = 1},
};

static lw_code apply_freeze(const double *in, double *out, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "bay", in[0], 0.0, LW_BAY_KIND_COUNT - 1);
    if (bad)
        return bad;
    const lw_bay_spec bay = lw_bay_of((lw_bay_kind)(int)in[0]);
    const lw_bay_in at = {
        .bay_c = in[1],
        .inside_c = in[2],
        .outside_c = in[3],
        .is_furnace_on = or_else(in[4], 0.0) > 0.5,
        .is_pad_on = or_else(in[5], 0.0) > 0.5,
        .hose_h = or_else(in[6], 0.0),
        .pipe_h = or_else(in[7], 0.0),
        .step_s = in[8],
    };
    bad = lw_bay_check(&bay, &at, fault);
    if (bad)
        return bad;
    lw_bay_out r;
    lw_bay_step(&bay, &at, &r);
    out[0] = r.bay_c;
    out[1] = r.pad_w;
    out[2] = r.hose_h;
    out[3] = r.pipe_h;
    out[4] = r.is_hose_freezing;
    out[5] = r.is_pipe_freezing;
    return LW_OK;
}

const lw_model lw_model_freeze = {
    .name = "freeze",
    .what = "tank bay temperature and the clocks of freezing hoses, pipes and tanks",
    .source = "thresholds and hours trade practice; mix and lag ours",
    LW_COLUMNS(freeze_in),
    LW_COLUMNS(freeze_out),
    apply_freeze,
};

static const lw_column wind_chill_in[] = {
    {.name = "air_c", .what = "air"},
    {.name = "wind_ms", .what = "wind at 10 m"},
};
static const lw_column wind_chill_out[] = {
    {.name = "wind_chill_c", .what = "how cold it feels on skin"},
};

static lw_code apply_wind_chill(const double *in, double *out, lw_fault *fault)
{
    const lw_code bad = lw_comfort_check(in[0], in[1], 0.0, fault);
    if (bad)
        return bad;
    out[0] = lw_wind_chill_c(in[0], in[1]);
    return LW_OK;
}

const lw_model lw_model_wind_chill = {
    .name = "wind-chill",
    .what = "wind chill temperature",
    .source = "US NWS, 2001",
    LW_COLUMNS(wind_chill_in),
    LW_COLUMNS(wind_chill_out),
    apply_wind_chill,
};

static const lw_column heat_index_in[] = {
    {.name = "air_c", .what = "air in the shade"},
    {.name = "rh_frac", .what = "relative humidity"},
};
static const lw_column heat_index_out[] = {
    {.name = "heat_index_c", .what = "how hot it feels"},
    {.name = "class", .what = "0 none, 1 caution, 2 extreme caution, 3 danger, 4 extreme danger", .decimals = 1},
};

static lw_code apply_heat_index(const double *in, double *out, lw_fault *fault)
{
    const lw_code bad = lw_comfort_check(in[0], 0.0, in[1], fault);
    if (bad)
        return bad;
    out[0] = lw_heat_index_c(in[0], in[1]);
    out[1] = lw_heat_class_of(out[0]);
    return LW_OK;
}

const lw_model lw_model_heat_index = {
    .name = "heat-index",
    .what = "heat index and its class",
    .source = "US NWS, SR 90-23 (Rothfusz 1990)",
    LW_COLUMNS(heat_index_in),
    LW_COLUMNS(heat_index_out),
    apply_heat_index,
};

static const lw_column ice_in[] = {
    {.name = "ice_kg", .what = "ice at hand"},
    {.name = "ua_wk", .what = "conductance of the cooler"},
    {.name = "warmer_k", .what = "air warmer than the ice"},
};
static const lw_column ice_out[] = {
    {.name = "cold_wh", .what = "cold in the ice"},
    {.name = "melt_kgpd", .what = "ice melted in a day"},
    {.name = "days", .what = "until the ice is gone; empty: never"},
};

static lw_code apply_ice(const double *in, double *out, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "ice_kg", in[0], 0.0, 1000.0);
    if (!bad)
        bad = lw_want_range(fault, "ua_wk", in[1], 0.0, 100.0);
    if (!bad)
        bad = lw_want_range(fault, "warmer_k", in[2], -100.0, 100.0);
    if (bad)
        return bad;
    out[0] = lw_ice_cold_wh(in[0]);
    out[1] = lw_cooler_ice_kg(&(lw_cooler_in){.ua_wk = in[1], .warmer_k = in[2], .hours = 24.0});
    out[2] = out[1] > 0.0 ? in[0] / out[1] : (double)NAN;
    return LW_OK;
}

const lw_model lw_model_ice = {
    .name = "ice",
    .what = "cold in ice, and how long it lasts in a cooler",
    .source = "heat of fusion 334 kJ/kg (physical tables)",
    LW_COLUMNS(ice_in),
    LW_COLUMNS(ice_out),
    apply_ice,
};

static const lw_column food_clock_in[] = {
    {.name = "food_c", .what = "the food"},
    {.name = "around_c", .what = "the air around"},
    {.name = "spent_frac", .what = "of the clock so far", .is_optional = 1},
    {.name = "step_h", .what = "hours like this"},
};
static const lw_column food_clock_out[] = {
    {.name = "spent_frac", .what = "of the clock"},
    {.name = "left_h", .what = "hours left"},
    {.name = "advice", .what = "0 keep, 1 soon, 2 throw", .decimals = 1},
};

static lw_code apply_food_clock(const double *in, double *out, lw_fault *fault)
{
    const lw_food_clock_in at = {
        .food_c = in[0], .around_c = in[1], .spent_frac = or_else(in[2], 0.0), .step_h = in[3]};
    const lw_code bad = lw_food_clock_check(&at, fault);
    if (bad)
        return bad;
    lw_food_clock_out r;
    lw_food_clock(&at, &r);
    out[0] = r.spent_frac;
    out[1] = r.left_h;
    out[2] = r.advice;
    return LW_OK;
}

const lw_model lw_model_food_clock = {
    .name = "food-clock",
    .what = "how long perishable food has been too warm",
    .source = "USDA FSIS",
    LW_COLUMNS(food_clock_in),
    LW_COLUMNS(food_clock_out),
    apply_food_clock,
};
