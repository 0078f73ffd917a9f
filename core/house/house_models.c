/* The rows by which this room's models are run by name. */
#include <math.h>

#include "core/base/model.h"
#include "core/house/data_use.h"
#include "core/house/disinfect.h"
#include "core/house/rubbish.h"
#include "core/house/toilet.h"

static double or_else(double value, double otherwise)
{
    return isnan(value) ? otherwise : value;
}

static const lw_column black_tank_in[] = {
    {.name = "adults", .what = "teenagers too"},
    {.name = "children", .what = "each 0.6 of an adult's excreta"},
    {.name = "here_frac", .what = "share of toilet visits at the rig"},
    {.name = "flush_l", .what = "water a flush"},
    {.name = "flushes_perday", .what = "a person"},
    {.name = "paper_l", .what = "a person and day into the bowl; empty: 0", .is_optional = 1},
    {.name = "tank_l", .what = "from empty to full"},
};
static const lw_column black_tank_out[] = {
    {.name = "l_perday", .what = "into the tank"},
    {.name = "days", .what = "until it is full"},
};

static lw_code apply_black_tank(const double *in, double *out, lw_fault *fault)
{
    const lw_black_tank_in tank = {.adults = in[0],
                                   .children = in[1],
                                   .here_frac = in[2],
                                   .flush_l = in[3],
                                   .flushes_perday = in[4],
                                   .paper_l = or_else(in[5], 0.0),
                                   .tank_l = in[6]};
    const lw_code bad = lw_black_tank_check(&tank, fault);
    if (bad)
        return bad;
    lw_black_tank_out r;
    lw_black_tank(&tank, &r);
    out[0] = r.l_perday;
    out[1] = r.days;
    return LW_OK;
}

const lw_model lw_model_black_tank = {
    .name = "black-tank",
    .what = "Litres a day into a black tank and days until it is full",
    .source =
        "Rose and others, Crit. Rev. Environ. Sci. Technol. 45, 2015 (median urine and faeces); children by practice",
    .in = LW_COLUMNS(black_tank_in),
    .out = LW_COLUMNS(black_tank_out),
    .apply = apply_black_tank,
};

static const lw_column water_use_in[] = {
    {.name = "shower_min", .what = "water running"},
    {.name = "shower_lpm", .what = "head, litres a minute"},
    {.name = "showers_perday", .what = "a person; 0.33: each third day"},
    {.name = "dishes_l", .what = "a person and meal"},
    {.name = "meals_perday", .what = "washed up"},
    {.name = "washing_l", .what = "hands, teeth, face; a person and day"},
    {.name = "flush_l", .what = "water a flush"},
    {.name = "flushes_perday", .what = "a person"},
    {.name = "intake_l", .what = "drunk and cooked in; a person and day"},
    {.name = "loss_frac", .what = "of washing water: towels, splashes; empty: 0.05", .is_optional = 1},
};
static const lw_column water_use_out[] = {
    {.name = "shower_l", .what = "one shower"},
    {.name = "fresh_l_perday", .what = "a person"},
    {.name = "grey_l_perday", .what = "a person"},
    {.name = "black_l_perday", .what = "flush water only, a person"},
    {.name = "gone_l_perday", .what = "drunk, cooked in, dried up; a person"},
};

static lw_code apply_water_use(const double *in, double *out, lw_fault *fault)
{
    static const double MOST[] = {120.0, 40.0, 20.0, 100.0, 20.0, 200.0, 20.0, 50.0, 50.0, 1.0};
    for (size_t i = 0; i < sizeof MOST / sizeof MOST[0]; i++) {
        const double value = i == 9 ? or_else(in[i], 0.05) : in[i];
        const lw_code bad = lw_want_range(fault, water_use_in[i].name, value, 0.0, MOST[i]);
        if (bad)
            return bad;
    }
    const double loss_frac = or_else(in[9], 0.05);
    const double washed_l = in[0] * in[1] * in[2] + in[3] * in[4] + in[5];
    const double flushed_l = in[6] * in[7];
    out[0] = in[0] * in[1];
    out[1] = washed_l + flushed_l + in[8];
    out[2] = washed_l * (1.0 - loss_frac);
    out[3] = flushed_l;
    out[4] = washed_l * loss_frac + in[8];
    return LW_OK;
}

const lw_model lw_model_water_use = {
    .name = "water-use",
    .what = "Water a person draws a day and where it goes",
    .source = "arithmetic; minutes and flow as in Residential End Uses of Water v2, 2016; losses by practice",
    .in = LW_COLUMNS(water_use_in),
    .out = LW_COLUMNS(water_use_out),
    .apply = apply_water_use,
};

static const lw_column rubbish_in[] = {
    {.name = "loose_l", .what = "room it takes unpressed"},
    {.name = "air_c", .what = "around the bag"},
};
static const lw_column rubbish_out[] = {
    {.name = "kg", .what = "mass"},
    {.name = "pressed_l", .what = "room it takes pressed by hand"},
    {.name = "age_rate_perh", .what = "share of food waste's tolerable age an hour"},
    {.name = "keeps_days", .what = "food waste at this temperature"},
};

static lw_code apply_rubbish(const double *in, double *out, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "loose_l", in[0], 0.0, 100000.0);
    if (!bad)
        bad = lw_want_range(fault, "air_c", in[1], -60.0, 70.0);
    if (bad)
        return bad;
    out[0] = lw_rubbish_kg(in[0]);
    out[1] = lw_rubbish_pressed_l(in[0]);
    out[2] = lw_rubbish_age_rate_perh(in[1]);
    out[3] = 1.0 / (24.0 * out[2]);
    return LW_OK;
}

const lw_model lw_model_rubbish = {
    .name = "rubbish",
    .what = "Mass, pressed room and keeping time of household rubbish",
    .source = "US EPA, Volume-to-Weight Conversion Factors, 2016 (138 lb/yd3); pressing and keeping by practice",
    .in = LW_COLUMNS(rubbish_in),
    .out = LW_COLUMNS(rubbish_out),
    .apply = apply_rubbish,
};

static const lw_column dose_in[] = {
    {.name = "water_l", .what = "in the tank or bottle"},
    {.name = "want_mgpl", .what = "chlorine wanted; tank 50, drinking 6.34"},
    {.name = "bleach_pct", .what = "strength on the label"},
};
static const lw_column dose_out[] = {
    {.name = "bleach_ml", .what = "to add"},
    {.name = "drops", .what = "of 0.05 mL"},
    {.name = "teaspoons", .what = "US, 4.929 mL"},
};

static lw_code apply_dose(const double *in, double *out, lw_fault *fault)
{
    const lw_dose_in dose = {.water_l = in[0], .want_mgpl = in[1], .bleach_pct = in[2]};
    const lw_code bad = lw_dose_check(&dose, fault);
    if (bad)
        return bad;
    lw_dose_out r;
    lw_dose(&dose, &r);
    out[0] = r.ml;
    out[1] = r.drops;
    out[2] = r.teaspoons;
    return LW_OK;
}

const lw_model lw_model_dose = {
    .name = "dose",
    .what = "Bleach for a wanted concentration",
    .source = "arithmetic; amounts to aim at: EPA 816-F-15-003 for drinking, trade practice for tanks",
    .in = LW_COLUMNS(dose_in),
    .out = LW_COLUMNS(dose_out),
    .apply = apply_dose,
};

static const lw_column data_use_in[] = {
    {.name = "down_mbit", .what = "mean Mbit/s received"},
    {.name = "up_mbit", .what = "mean Mbit/s sent"},
    {.name = "hours", .what = "how long"},
};
static const lw_column data_use_out[] = {{.name = "gb", .what = "decimal gigabytes both ways"}};

static lw_code apply_data_use(const double *in, double *out, lw_fault *fault)
{
    const lw_data_in data = {.down_mbit = in[0], .up_mbit = in[1], .hours = in[2]};
    const lw_code bad = lw_data_check(&data, fault);
    if (!bad)
        out[0] = lw_data_gb(&data);
    return bad;
}

const lw_model lw_model_data_use = {
    .name = "data-use",
    .what = "Gigabytes of an activity",
    .source = "arithmetic: 1 GB = 8,000 Mbit",
    .in = LW_COLUMNS(data_use_in),
    .out = LW_COLUMNS(data_use_out),
    .apply = apply_data_use,
};
