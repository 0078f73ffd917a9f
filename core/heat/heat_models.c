/* The rows by which this room's models are run by name. */
#include <math.h>

#include "core/base/model.h"
#include "core/heat/cabin.h"
#include "core/heat/furnace.h"
#include "core/heat/propane.h"

/* An optional field left empty arrives as NaN. */
static double or_else(double value, double otherwise)
{
    return isnan(value) ? otherwise : value;
}

static const lw_column cabin_in[] = {
    {.name = "ua_wk", .what = "conductance of the rig, infiltration included"},
    {.name = "mass_jk", .what = "thermal mass"},
    {.name = "start_c", .what = "inside at the start"},
    {.name = "outside_c", .what = "outside, mean of the step"},
    {.name = "gain_w", .what = "sun, bodies, appliances"},
    {.name = "heat_set_c", .what = "furnace set-point", .is_optional = 1},
    {.name = "heat_max_w", .what = "furnace output; empty: none", .is_optional = 1},
    {.name = "vent_set_c", .what = "windows open above", .is_optional = 1},
    {.name = "vent_max_wk", .what = "conductance of open windows; empty: none", .is_optional = 1},
    {.name = "cool_set_c", .what = "air conditioner set-point", .is_optional = 1},
    {.name = "cool_max_w", .what = "heat it can remove; empty: none", .is_optional = 1},
    {.name = "step_s", .what = "length of the step"},
};
static const lw_column cabin_out[] = {
    {.name = "end_c", .what = "inside at the end"},
    {.name = "mean_c", .what = "inside, mean over time"},
    {.name = "min_c", .what = "lowest"},
    {.name = "max_c", .what = "highest"},
    {.name = "heat_w", .what = "furnace, mean"},
    {.name = "conduction_w", .what = "through the skin and by infiltration, mean"},
    {.name = "vent_w", .what = "through windows, mean"},
    {.name = "cool_w", .what = "removed by the air conditioner, mean"},
    {.name = "stored_w", .what = "into the thermal mass, mean"},
};

static lw_code apply_cabin(const double *in, double *out, lw_fault *fault)
{
    const lw_cabin cabin = {.ua_wk = in[0], .mass_jk = in[1]};
    const lw_cabin_in at = {
        .start_c = in[2],
        .outside_c = in[3],
        .gain_w = in[4],
        .heat_set_c = or_else(in[5], 18.0),
        .heat_max_w = or_else(in[6], 0.0),
        .vent_set_c = or_else(in[7], 25.0),
        .vent_max_wk = or_else(in[8], 0.0),
        .cool_set_c = or_else(in[9], 26.0),
        .cool_max_w = or_else(in[10], 0.0),
        .step_s = in[11],
    };
    const lw_code bad = lw_cabin_check(&cabin, &at, fault);
    if (bad)
        return bad;
    lw_cabin_out r;
    lw_cabin_step(&cabin, &at, &r);
    const double all[] = {r.end_c,        r.mean_c, r.min_c,  r.max_c,   r.heat_w,
                          r.conduction_w, r.vent_w, r.cool_w, r.stored_w};
    for (size_t i = 0; i < sizeof all / sizeof all[0]; i++)
        out[i] = all[i];
    return LW_OK;
}

const lw_model lw_model_cabin = {
    .name = "cabin",
    .what = "heat balance of the rig over one step, with furnace, venting and cooling by set-points",
    .source = "ASHRAE Handbook Fundamentals, heating load (one node); closed form ours",
    LW_COLUMNS(cabin_in),
    LW_COLUMNS(cabin_out),
    apply_cabin,
};

static const lw_column heat_need_in[] = {
    {.name = "ua_wk", .what = "conductance of the rig"},
    {.name = "inside_c", .what = "inside"},
    {.name = "outside_c", .what = "outside"},
    {.name = "gain_w", .what = "sun, bodies, appliances"},
    {.name = "furnace_input_w", .what = "gas input while burning, as derated"},
    {.name = "efficiency_frac", .what = "of the gross heat"},
    {.name = "blower_w", .what = "while it runs"},
    {.name = "cycles_per_h", .what = "furnace cycles", .is_optional = 1},
};
static const lw_column heat_need_out[] = {
    {.name = "need_w", .what = "heat to hold the inside"},
    {.name = "duty_frac", .what = "share of time burning"},
    {.name = "gas_kgph", .what = "propane"},
    {.name = "blower_w", .what = "blower, mean"},
};

static lw_code apply_heat_need(const double *in, double *out, lw_fault *fault)
{
    const lw_heat_need_in need = {.ua_wk = in[0], .inside_c = in[1], .outside_c = in[2], .gain_w = in[3]};
    const lw_furnace furnace = {
        .input_w = in[4],
        .efficiency_frac = in[5],
        .blower_w = in[6],
        .cycles_per_h = or_else(in[7], 5.0),
        .runon_h = LW_FURNACE_RUNON_H,
    };
    lw_code bad = lw_heat_need_check(&need, fault);
    if (!bad)
        bad = lw_furnace_check(&furnace, fault);
    if (bad)
        return bad;
    lw_furnace_out r;
    out[0] = lw_heat_need_w(&need);
    lw_furnace_run(&furnace, furnace.input_w, out[0], &r);
    out[1] = r.duty_frac;
    out[2] = r.gas_kgph;
    out[3] = r.blower_w;
    return LW_OK;
}

const lw_model lw_model_heat_need = {
    .name = "heat-need",
    .what = "steady heat need, furnace duty, gas and blower power",
    .source = "ASHRAE Handbook Fundamentals, heating load; blower run-on trade practice",
    LW_COLUMNS(heat_need_in),
    LW_COLUMNS(heat_need_out),
    apply_heat_need,
};

static const lw_column propane_in[] = {
    {.name = "liquid_c", .what = "temperature of the liquid"},
    {.name = "ambient_pa", .what = "air pressure; empty: sea level", .is_optional = 1},
};
static const lw_column propane_out[] = {
    {.name = "vapour_pa", .what = "vapour pressure, absolute", .decimals = 1},
    {.name = "vapour_gauge_pa", .what = "vapour pressure over the air's", .decimals = 1},
    {.name = "liquid_kgpl", .what = "density of the liquid, pure, saturated"},
    {.name = "boiling_c", .what = "boiling point at the air's pressure", .decimals = 3},
};

static lw_code apply_propane(const double *in, double *out, lw_fault *fault)
{
    const double ambient_pa = or_else(in[1], 101325.0);
    const lw_code bad = lw_propane_check(in[0], ambient_pa, fault);
    if (bad)
        return bad;
    lw_propane_out r;
    lw_propane(in[0], ambient_pa, &r);
    out[0] = r.vapour_pa;
    out[1] = r.vapour_gauge_pa;
    out[2] = r.liquid_kgpl;
    out[3] = lw_propane_boiling_c(ambient_pa);
    return LW_OK;
}

const lw_model lw_model_propane = {
    .name = "propane",
    .what = "vapour pressure, density and boiling point of propane",
    .source = "Lemmon, McLinden, Wagner, J. Chem. Eng. Data 54 (2009) 3141, ancillary equations",
    LW_COLUMNS(propane_in),
    LW_COLUMNS(propane_out),
    apply_propane,
};

static const lw_column limit_in[] = {
    {.name = "mass_kg", .what = "liquid left in one open cylinder"},
    {.name = "air_c", .what = "air around it"},
};
static const lw_column limit_out[] = {
    {.name = "limit_w", .what = "most gas it can give without end, gross heat", .decimals = 3},
};

static lw_code apply_limit(const double *in, double *out, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "mass_kg", in[0], 0.0, 2000.0);
    if (!bad)
        bad = lw_want_range(fault, "air_c", in[1], -90.0, 80.0);
    if (bad)
        return bad;
    out[0] = lw_propane_vapour_limit_w(in[0], in[1]);
    return LW_OK;
}

const lw_model lw_model_propane_limit = {
    .name = "propane-limit",
    .what = "vaporisation limit of an upright cylinder by liquid left and air temperature",
    .source = "LP-gas trade table for upright cylinders, bilinear",
    LW_COLUMNS(limit_in),
    LW_COLUMNS(limit_out),
    apply_limit,
};

static const lw_column cylinder_in[] = {
    {.name = "water_capacity_kg", .what = "stamped WC"},
};
static const lw_column cylinder_out[] = {
    {.name = "fill_kg", .what = "legal fill by mass"},
    {.name = "volume_l", .what = "volume of that liquid at 60 F"},
    {.name = "heat_j", .what = "its gross heat", .decimals = 1},
    {.name = "gauge_l", .what = "80 % of the volume"},
};

static lw_code apply_cylinder(const double *in, double *out, lw_fault *fault)
{
    const lw_code bad = lw_cylinder_check(in[0], fault);
    if (bad)
        return bad;
    lw_cylinder_out r;
    lw_cylinder(in[0], &r);
    out[0] = r.fill_kg;
    out[1] = r.volume_l;
    out[2] = r.heat_j;
    out[3] = r.gauge_l;
    return LW_OK;
}

const lw_model lw_model_cylinder = {
    .name = "cylinder",
    .what = "legal propane fill of a cylinder",
    .source = "49 CFR 173.304a(d) and NFPA 58 (42 % by mass, 80 % by volume)",
    LW_COLUMNS(cylinder_in),
    LW_COLUMNS(cylinder_out),
    apply_cylinder,
};

static const lw_column burner_in[] = {
    {.name = "input_w", .what = "input at sea level"},
    {.name = "elevation_m", .what = "elevation of the site"},
    {.name = "rule",
     .what = "how altitude counts",
     .kind = LW_COLUMN_CHOICE,
     .choices = "code|above-2000ft|none|listed"},
    {.name = "listed_to_m", .what = "listed: full input up to here", .is_optional = 1},
};
static const lw_column burner_out[] = {
    {.name = "input_w", .what = "input at the site"},
};

static lw_code apply_burner(const double *in, double *out, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "input_w", in[0], 0.0, 1e5);
    if (!bad)
        bad = lw_want_range(fault, "elevation_m", in[1], -430.0, 9000.0);
    if (!bad)
        bad = lw_want_range(fault, "rule", in[2], 0.0, 3.0);
    if (!bad)
        bad = lw_want_range(fault, "listed_to_m", or_else(in[3], 0.0), 0.0, 9000.0);
    if (bad)
        return bad;
    const lw_burner_derate derate = {.rule = (lw_burner_rule)(int)in[2], .listed_to_m = or_else(in[3], 0.0)};
    out[0] = in[0] * lw_burner_derate_frac(&derate, in[1]);
    return LW_OK;
}

const lw_model lw_model_burner = {
    .name = "burner",
    .what = "burner input at altitude",
    .source = "NFPA 54 / ANSI Z223.1 high-altitude clause; other readings as a choice",
    LW_COLUMNS(burner_in),
    LW_COLUMNS(burner_out),
    apply_burner,
};
