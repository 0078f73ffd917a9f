#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/tables.h"
#include "service/levers_internal.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/say.h"

static int has_vessel(const lw_rig *rig, lw_supply supply, int is_filter)
{
    for (int i = 0; i < rig->vessel_count; i++)
        if (rig->vessel[i].supply == supply && (rig->vessel[i].filter_life_l > 0.0) == is_filter)
            return 1;
    return 0;
}

static int is_there(const lw_scenario *s, const char *need)
{
    const lw_rig *rig = &s->rig;
    if (strcmp(need, "outdoor_water") == 0)
        return s->place.outdoor_water == LW_PERMISSION_YES;
    if (strcmp(need, "filter") == 0)
        return has_vessel(rig, LW_SUPPLY_DRINKING, 1);
    if (strcmp(need, "bottles") == 0)
        return has_vessel(rig, LW_SUPPLY_DRINKING, 0);
    if (strcmp(need, "generator") == 0)
        return rig->generator.is_present;
    if (strcmp(need, "furnace") == 0)
        return rig->cabin.furnace_input_w > 0.0;
    if (strcmp(need, "inverter") == 0)
        return rig->inverter.is_present;
    if (strcmp(need, "absorption") == 0)
        return rig->cabin.fridge_is_present && rig->cabin.fridge.kind == LW_COOLING_ABSORPTION;
    if (strcmp(need, "lead-acid") == 0)
        return rig->battery.capacity_ah > 0.0 && rig->battery.chemistry != LW_CHEMISTRY_LFP;
    if (strcmp(need, "solar") == 0)
        return rig->array_count > 0;
    if (strcmp(need, "runabout") == 0) {
        for (int i = 0; i < rig->vessel_count; i++)
            if (rig->vessel[i].supply == LW_SUPPLY_RUBBISH && rig->vessel[i].place == LW_RUBBISH_VEHICLE)
                return 1;
        return 0;
    }
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (strcmp(need, lw_supply_word((lw_supply)k)) == 0)
            return has_vessel(rig, (lw_supply)k, 0);
    return 0;
}

static int are_there(const lw_scenario *s, const char *needs)
{
    char need[LW_NAME];
    for (const char *at = needs; *at;) {
        const size_t n = strcspn(at, " ");
        snprintf(need, sizeof need, "%.*s", (int)n, at);
        if (n > 0 && !is_there(s, need))
            return 0;
        at += n + (at[n] == ' ');
    }
    return 1;
}

static int is_in_force(const lw_scenario *s, const char *habit)
{
    for (int u = 0; u < s->crew.use_count; u++)
        if (strcmp(s->crew.use[u].name, habit) == 0)
            return 1;
    return 0;
}

double lw_lever_habit_minutes(const lw_loaded *loaded, const lw_table *habits, const char *id)
{
    const lw_crew *crew = &loaded->scenario->crew;
    double minutes = 0.0, each = 0.0;
    lw_err unused = {0};
    const int row = lw_table_row(habits, "id", id);
    if (row < 0 || lw_table_number(habits, row, "minutes", &each, &unused) || isnan(each))
        return 0.0;
    for (int u = 0; u < crew->use_count; u++) {
        const lw_use *use = &crew->use[u];
        if (strcmp(use->name, id) != 0 || use->rhythm == LW_RHYTHM_WORK || use->rhythm == LW_RHYTHM_SCHOOL)
            continue;
        const int count = use->rhythm == LW_RHYTHM_CAMP ? 1 : crew->person_count;
        for (int p = 0; p < count; p++)
            minutes += each * use->rate[p];
    }
    return minutes;
}

/* ------------------------------------------------------------------ one row */

static double solar_w(const lw_scenario *s)
{
    double w = 0.0;
    for (int a = 0; a < s->rig.array_count; a++)
        w += s->rig.array[a].rated_w;
    return w;
}

/* Words in capitals stand for what only the camp knows. */
static void put_change(const lw_scenario *s, int64_t run_s, const char *text, size_t n, char *to)
{
    char run[48];
    size_t used = 0;
    (void)lw_instant_print(run, sizeof run, (double)run_s, 0);
    const char *const end = text + n;
    to[0] = '\0';
    while (text < end && used + 1 < LW_LEVER_CHANGE_BYTES) {
        if (strncmp(text, "RUN", 3) == 0) {
            used += (size_t)snprintf(to + used, LW_LEVER_CHANGE_BYTES - used, "%s", run);
            text += 3;
        } else if (strncmp(text, "SOLAR", 5) == 0) {
            used += (size_t)snprintf(to + used, LW_LEVER_CHANGE_BYTES - used, "%s", lw_num(solar_w(s)).text);
            text += 5;
        } else {
            to[used++] = *text++;
            to[used] = '\0';
        }
    }
}

static void take_changes(const lw_scenario *s, int64_t run_s, const char *text, lw_lever *lever)
{
    for (const char *at = text; *at && lever->change_count < LW_LEVER_CHANGES;) {
        const char *end = strstr(at, "; ");
        const size_t n = end ? (size_t)(end - at) : strlen(at);
        put_change(s, run_s, at, n, lever->change[lever->change_count++]);
        at += n + (end ? 2 : 0);
    }
}

static double number_or(const lw_table *table, int row, const char *column, double instead)
{
    lw_err unused = {0};
    double value = NAN;
    if (lw_table_number(table, row, column, &value, &unused) || isnan(value))
        return instead;
    return value;
}

static lw_lever_sort sort_of(const char *word)
{
    for (int i = 0; i < LW_LEVER_SORT_COUNT; i++)
        if (strcmp(lw_lever_sort_word((lw_lever_sort)i), word) == 0)
            return (lw_lever_sort)i;
    return LW_LEVER_HABIT;
}

/* As it is asked; else as the household's file has it; else as the table. */
static double own_nuisance(const lw_loaded *base, const lw_levers *to, const char *id, double of_table,
                           lw_nuisance_from *from)
{
    *from = LW_NUISANCE_ASKED;
    for (int i = 0; i < to->wish.weight_count; i++)
        if (strcmp(to->wish.weight[i].id, id) == 0)
            return to->wish.weight[i].nuisance;
    *from = LW_NUISANCE_SCENARIO;
    for (int i = 0; i < base->nuisance_count; i++)
        if (strcmp(base->nuisance[i].id, id) == 0)
            return base->nuisance[i].a_day;
    *from = LW_NUISANCE_TABLE;
    return of_table;
}

/* Of a habit's kind of doing: what of it is done today, and how much of a nuisance that is. NaN: nothing of that kind. */
static double nuisance_today(const lw_loaded *base, const lw_table *table, const char *activity, const lw_levers *to)
{
    double most = NAN;
    lw_nuisance_from unused;
    for (int row = 0; row < table->rows; row++) {
        const char *id = lw_table_cell(table, row, "id");
        if (strcmp(lw_table_cell(table, row, "exclusive"), activity) != 0 || !is_in_force(base->scenario, id))
            continue;
        const double nuisance = own_nuisance(base, to, id, number_or(table, row, "nuisance", 0.0), &unused);
        most = isnan(most) || nuisance > most ? nuisance : most;
    }
    return most;
}

static int is_unwanted(const lw_levers *to, const char *id)
{
    for (int i = 0; i < to->wish.without_count; i++)
        if (strcmp(to->wish.without[i], id) == 0)
            return 1;
    return 0;
}

/* Of a habit two tables speak: what it takes stands in that of habits. */
static void take_source(const lw_table *table, const lw_table *habits, int row, lw_lever *lever)
{
    const int habit = lever->sort == LW_LEVER_HABIT ? lw_table_row(habits, "id", lever->id) : -1;
    snprintf(lever->kind, sizeof lever->kind, "%.23s", lw_table_cell(table, row, "kind"));
    if (habit < 0)
        snprintf(lever->source, sizeof lever->source, "%.191s", lw_table_cell(table, row, "source"));
    else
        snprintf(lever->source, sizeof lever->source, "%.120s (%.23s); its nuisance from judgement",
                 lw_table_cell(habits, habit, "source"), lw_table_cell(habits, habit, "kind"));
}

static void read_row(const lw_loaded *base, const lw_table *table, const lw_table *habits, int row, lw_levers *to)
{
    const lw_scenario *s = base->scenario;
    const char *id = lw_table_cell(table, row, "id"), *change = lw_table_cell(table, row, "change");
    lw_lever lever = {.sort = sort_of(lw_table_cell(table, row, "what")), .payback_days = NAN};
    snprintf(lever.id, sizeof lever.id, "%.31s", id);
    snprintf(lever.title, sizeof lever.title, "%.95s", lw_table_cell(table, row, "title"));
    snprintf(lever.exclusive, sizeof lever.exclusive, "%.31s", lw_table_cell(table, row, "exclusive"));
    take_source(table, habits, row, &lever);
    if (is_unwanted(to, id) || !are_there(s, lw_table_cell(table, row, "needs")))
        return;
    const double new_usd = number_or(table, row, "price_usd", 0.0);
    lever.price_usd = to->wish.is_used ? number_or(table, row, "used_usd", new_usd) : new_usd;
    lever.minutes_a_day = number_or(table, row, "minutes_a_day", 0.0);
    lever.minutes_once = number_or(table, row, "minutes_once", 0.0);
    lever.mass_kg = number_or(table, row, "mass_kg", 0.0);
    lever.roof_m2 = number_or(table, row, "roof_m2", 0.0);
    if (strstr(change, "SOLAR")) { /* the row is of a watt */
        lever.price_usd *= solar_w(s);
        lever.mass_kg *= solar_w(s);
        lever.roof_m2 *= solar_w(s);
    }
    lever.nuisance = own_nuisance(base, to, id, number_or(table, row, "nuisance", 0.0), &lever.nuisance_from);
    if (lever.sort == LW_LEVER_HABIT && lever.exclusive[0]) {
        const double today = nuisance_today(base, table, lever.exclusive, to);
        if (isnan(today) || is_in_force(s, id))
            return;
        lever.nuisance = fmax(lever.nuisance - today, 0.0);
    }
    take_changes(s, to->run_s, change, &lever);
    lever.number = to->count;
    to->lever[to->count++] = lever;
}

/* Names on the command line that no lever has. */
static lw_code want_known(const lw_table *table, const lw_levers *to, lw_err *err)
{
    const char *names[LW_LEVERS + 32];
    const size_t count = lw_table_names(table, "id", names, sizeof names / sizeof names[0]);
    for (int i = 0; i < to->wish.weight_count + to->wish.without_count; i++) {
        const char *id =
            i < to->wish.weight_count ? to->wish.weight[i].id : to->wish.without[i - to->wish.weight_count];
        if (lw_table_row(table, "id", id) >= 0)
            continue;
        const char *near = lw_nearest(id, names, count);
        const lw_quoted_text typed = lw_quoted(id, strlen(id));
        if (near)
            return lw_fail(err, LW_E_MISSING, "there is no lever %s; did you mean %s?", typed.text, near);
        return lw_fail_typed(err, LW_E_MISSING, "leeway plan levers --all --details names them", "there is no lever %s",
                             typed.text);
    }
    return LW_OK;
}

lw_code lw_levers_read(const lw_loaded *base, lw_levers *to, lw_err *err)
{
    lw_table table = {0}, habits = {0};
    lw_code code = lw_table_open("levers", &table, err);
    code = code ? code : lw_table_open("habits", &habits, err);
    code = code ? code : want_known(&table, to, err);
    for (int row = 0; !code && row < table.rows && to->count < LW_LEVERS; row++)
        read_row(base, &table, &habits, row, to);
    lw_table_clear(&habits);
    lw_table_clear(&table);
    return code;
}
