#include <stdio.h>
#include <string.h>

#include "exchange/scenario_internal.h"
#include "text/decimal.h"

/* Which column of data/rigs.csv speaks for which key, and the unit of its figures. A figure of 0 and the word "none" mean
 * that such a rig has no such thing. Scale turns the column's unit into the one written behind the figure. */
static const struct {
    const char *path, *column, *unit;
    double scale;
} FROM_RIG[] = {
    {"rig.tanks.fresh[].capacity", "fresh_l", "L", 1.0},
    {"rig.tanks.grey[].capacity", "grey_l", "L", 1.0},
    {"rig.tanks.black[].capacity", "black_l", "L", 1.0},
    {"rig.propane.open", "open_cylinders", "", 1.0},
    {"rig.fuel[].capacity", "fuel_l", "L", 1.0},
    {"rig.rubbish[].capacity", "rubbish_l", "L", 1.0},
    {"rig.battery.chemistry", "battery_chemistry", NULL, 1.0},
    {"rig.battery.capacity", "battery_ah", "Ah", 1.0},
    {"rig.solar[].rated", "solar_w", "W", 1.0},
    {"rig.solar[].controller", "controller", NULL, 1.0},
    {"rig.generator.rated", "generator_w", "W", 1.0},
    {"rig.generator.fuel", "generator_fuel", NULL, 1.0},
    {"rig.charger.rated", "converter_a", "A", 1.0},
    {"rig.inverter.rated", "inverter_w", "W", 1.0},
    {"rig.inverter.idle", "inverter_idle_w", "W", 1.0},
    {"rig.cabin.conductance", "ua_wk", "W/K", 1.0},
    {"rig.cabin.mass", "mass_jk", "kJ/K", 0.001},
    {"rig.cabin.glass", "glass_m2", "m2", 1.0},
    {"rig.cabin.skin", "skin_m2", "m2", 1.0},
    {"rig.cabin.vents", "vent_wk", "W/K", 1.0},
    {"rig.cabin.furnace.input", "furnace_input_w", "W", 1.0},
    {"rig.cabin.furnace.efficiency", "furnace_frac", "%", 100.0},
    {"rig.cabin.furnace.blower", "blower_w", "W", 1.0},
    {"rig.cabin.furnace.cut_off", "furnace_cut_v", "V", 1.0},
    {"rig.cabin.furnace.derate", "furnace_derate", NULL, 1.0},
    {"rig.cabin.cooling.output", "cool_w", "W", 1.0},
    {"rig.cabin.cooling.electric", "cool_electric_w", "W", 1.0},
    {"rig.cabin.bay", "bay", NULL, 1.0},
    {"rig.cabin.fridge.kind", "fridge", NULL, 1.0},
    {"rig.cabin.fridge.power", "fridge_w", "W", 1.0},
    {"rig.cabin.fridge.cut_off", "fridge_cut_v", "V", 1.0},
    {"rig.cabin.water_heater.efficiency", "water_heater_frac", "%", 100.0},
    {"rig.cabin.water_heater.standing", "water_heater_standing_w", "W", 1.0},
    {"rig.cabin.water_heater.input", "water_heater_input_w", "W", 1.0},
    {"rig.cabin.water_heater.tank", "water_heater_l", "L", 1.0},
    {"rig.cabin.pump.cut_off", "pump_cut_v", "V", 1.0},
    {"crew.toilet", "toilet", NULL, 1.0},
};

/* The control board of a compressor fridge draws nothing of its own: 0 is a figure there, not an absence. */
static const char FRIDGE_CONTROL[] = "rig.cabin.fridge.control";

void lw_read_open_tables(lw_reader *r)
{
    r->code = lw_table_open("defaults", &r->defaults, r->err);
    if (!r->code)
        r->code = lw_table_open("rigs", &r->rigs, r->err);
    if (!r->code)
        r->code = lw_table_open("rig_columns", &r->rig_columns, r->err);
}

void lw_read_close_tables(lw_reader *r)
{
    lw_table_clear(&r->defaults);
    lw_table_clear(&r->rigs);
    lw_table_clear(&r->rig_columns);
}

int lw_default_is_by_rig(const char *path)
{
    for (size_t i = 0; i < sizeof FROM_RIG / sizeof FROM_RIG[0]; i++)
        if (strcmp(FROM_RIG[i].path, path) == 0)
            return 1;
    return strcmp(path, FRIDGE_CONTROL) == 0;
}

/* Columns of one rig are not equally well known: each has its own source and kind. */
static void say_rig(const lw_reader *r, const char *column, lw_default *out)
{
    const int row = lw_table_row(&r->rig_columns, "column", column);
    snprintf(out->source, sizeof out->source, "%.31s: %.126s", lw_table_cell(&r->rigs, r->rig_row, "id"),
             lw_table_cell(&r->rig_columns, row, "source"));
    snprintf(out->kind, sizeof out->kind, "%.23s", lw_table_cell(&r->rig_columns, row, "kind"));
    out->is_by_rig = 1;
}

static int of_rig(const lw_reader *r, const char *column, const char *unit, double scale, int zero_fits,
                  lw_default *out)
{
    const char *cell = lw_table_cell(&r->rigs, r->rig_row, column);
    double figure;
    if (!*cell || strcmp(cell, "none") == 0)
        return 0;
    if (!unit) {
        snprintf(out->value, sizeof out->value, "%.40s", cell);
    } else {
        if (!lw_decimal_parse(cell, cell + strlen(cell), &figure) || (!(figure > 0.0) && !zero_fits))
            return 0;
        char number[LW_DECIMAL_BYTES];
        lw_decimal_print(number, sizeof number, figure * scale, 9, 0);
        snprintf(out->value, sizeof out->value, "%.40s%s%s", number, *unit ? " " : "", unit);
    }
    say_rig(r, column, out);
    return 1;
}

int lw_default_of(const lw_reader *r, const char *path, lw_default *out)
{
    for (size_t i = 0; i < sizeof FROM_RIG / sizeof FROM_RIG[0] && r->rig_row >= 0; i++)
        if (strcmp(FROM_RIG[i].path, path) == 0)
            return of_rig(r, FROM_RIG[i].column, FROM_RIG[i].unit, FROM_RIG[i].scale, 0, out);
    if (strcmp(path, FRIDGE_CONTROL) == 0 && r->rig_row >= 0)
        return of_rig(r, "fridge_control_w", "W", 1.0, 1, out);
    const int row = lw_table_row(&r->defaults, "key", path);
    if (row < 0)
        return 0;
    out->is_by_rig = 0;
    snprintf(out->value, sizeof out->value, "%.63s", lw_table_cell(&r->defaults, row, "value"));
    snprintf(out->source, sizeof out->source, "%.159s", lw_table_cell(&r->defaults, row, "source"));
    snprintf(out->kind, sizeof out->kind, "%.23s", lw_table_cell(&r->defaults, row, "kind"));
    return 1;
}
