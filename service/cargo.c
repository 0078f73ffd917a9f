#include "service/cargo.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/power/generator.h"
#include "exchange/tables.h"
#include "text/quantity.h"

const char lw_cargo_caution[] =
    "Masses are estimates: weigh the rig loaded as you travel, each axle and the hitch, and stay under its labels and "
    "the load of its tyres. Water sits where its tank is; the label at the door and the maker's manual come first.";

typedef struct figure {
    const char *key, *column;
    lw_dim dim;
} figure;

/* The scenario's own, or that of its kind of rig, which is then an assumption. */
static lw_code take(const lw_loaded *loaded, const lw_table *rigs, const lw_table *columns, const figure *f,
                    double said, double *to, lw_cargo *cargo, lw_err *err)
{
    *to = said;
    if (!isnan(said))
        return LW_OK;
    const int row = lw_table_row(rigs, "id", loaded->rig_kind), source = lw_table_row(columns, "column", f->column);
    lw_code code = row < 0 ? LW_OK : lw_table_number(rigs, row, f->column, to, err);
    if (code || isnan(*to))
        return code;
    lw_assumption *a = &cargo->assumption[cargo->assumption_count++];
    snprintf(a->key, sizeof a->key, "%s", f->key);
    lw_quantity_print(a->value, sizeof a->value, *to, f->dim, loaded->units);
    snprintf(a->source, sizeof a->source, "%.31s: %.120s", loaded->rig_kind, lw_table_cell(columns, source, "source"));
    snprintf(a->kind, sizeof a->kind, "%.23s", lw_table_cell(columns, source, "kind"));
    return LW_OK;
}

static lw_code mass(const lw_table *masses, const char *id, double *kg, lw_err *err)
{
    return lw_table_number(masses, lw_table_row(masses, "id", id), "kg", kg, err);
}

static lw_code people(const lw_loaded *loaded, const lw_table *masses, lw_cargo *cargo, lw_err *err)
{
    static const char *const BEING[] = {"adult", "teen", "child", "dog", "cat"};
    const lw_crew *crew = &loaded->scenario->crew;
    for (int i = 0; i < crew->person_count; i++) {
        double kg = 0.0;
        const int is_guest = crew->person[i].guest.to_s > crew->person[i].guest.from_s;
        const lw_code code = mass(masses, BEING[crew->person[i].being], &kg, err);
        if (code)
            return code;
        cargo->people_kg += is_guest ? 0.0 : kg;
    }
    return LW_OK;
}

static lw_code supply_mass(const lw_table *masses, const char *id, int supply, lw_cargo *cargo, lw_err *err)
{
    const int row = lw_table_row(masses, "id", id);
    snprintf(cargo->supply_source[supply], sizeof cargo->supply_source[supply], "%.70s (%.20s)",
             lw_table_cell(masses, row, "source"), lw_table_cell(masses, row, "kind"));
    return mass(masses, id, &cargo->supply_kg[supply], err);
}

static lw_code supplies(const lw_loaded *loaded, const lw_table *masses, lw_cargo *cargo, lw_err *err)
{
    static const lw_supply BY_ITS_WORD[] = {LW_SUPPLY_FRESH,   LW_SUPPLY_DRINKING, LW_SUPPLY_GREY, LW_SUPPLY_BLACK,
                                            LW_SUPPLY_PROPANE, LW_SUPPLY_RUBBISH,  LW_SUPPLY_FOOD};
    lw_code code = LW_OK;
    for (size_t i = 0; !code && i < sizeof BY_ITS_WORD / sizeof BY_ITS_WORD[0]; i++)
        code = supply_mass(masses, lw_supply_word(BY_ITS_WORD[i]), (int)BY_ITS_WORD[i], cargo, err);
    if (!code && !cargo->is_driven)
        code = supply_mass(masses, loaded->scenario->rig.generator.fuel == LW_ENGINE_FUEL_DIESEL ? "diesel" : "petrol",
                           LW_SUPPLY_FUEL, cargo, err);
    return code;
}

static lw_code fill(const lw_loaded *loaded, const lw_table *rigs, const lw_table *columns, const lw_table *masses,
                    lw_cargo *cargo, lw_err *err)
{
    const char *travels = lw_table_cell(rigs, lw_table_row(rigs, "id", loaded->rig_kind), "travels");
    cargo->is_driven = strcmp(travels, "driven") == 0;
    cargo->has_people = strcmp(travels, "towed") != 0;
    lw_code code = take(loaded, rigs, columns, &(figure){"rig.payload", "payload_kg", LW_DIM_MASS}, loaded->payload_kg,
                        &cargo->payload_kg, cargo, err);
    code = code ? code
                : take(loaded, rigs, columns, &(figure){"rig.gear", "gear_kg", LW_DIM_MASS}, loaded->gear_kg,
                       &cargo->gear_kg, cargo, err);
    code = code ? code
                : take(loaded, rigs, columns, &(figure){"rig.roof", "roof_m2", LW_DIM_AREA}, loaded->roof_m2,
                       &cargo->roof_m2, cargo, err);
    if (!code && cargo->has_people)
        code = people(loaded, masses, cargo, err);
    return code ? code : supplies(loaded, masses, cargo, err);
}

lw_code lw_cargo_of(const lw_loaded *loaded, lw_cargo *cargo, lw_err *err)
{
    lw_table rigs = {0}, columns = {0}, masses = {0};
    *cargo = (lw_cargo){0};
    lw_code code = lw_table_open("rigs", &rigs, err);
    code = code ? code : lw_table_open("rig_columns", &columns, err);
    code = code ? code : lw_table_open("masses", &masses, err);
    code = code ? code : fill(loaded, &rigs, &columns, &masses, cargo, err);
    lw_table_clear(&rigs);
    lw_table_clear(&columns);
    lw_table_clear(&masses);
    return code;
}
