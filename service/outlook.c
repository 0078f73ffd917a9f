#include "service/outlook.h"

#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/learning.h"
#include "text/say.h"

/* The keys of a scenario file that the core's fields come from, by the start of the field's name. */
static const struct {
    const char *field, *key;
} KEY_OF_FIELD[] = {
    {"place.", "place"},
    {"factor", "habits"},
    {"rig.vessel_count", "rig.tanks"},
    {"vessel.", "rig.tanks"},
    {"battery.charge_limit_a", "rig.battery.charge_limit"},
    {"battery.floor_frac", "rig.battery.floor"},
    {"battery.health_frac", "rig.battery.health"},
    {"battery.", "rig.battery"},
    {"array", "rig.solar"},
    {"load", "rig.appliances"},
    {"generator.", "rig.generator"},
    {"charger.", "rig.charger"},
    {"inverter.", "rig.inverter"},
    {"drive", "rig.drive"},
    {"cabin.", "rig.cabin"},
    {"person", "crew.people"},
    {"use", "habits"},
    {"calendar", "stay"},
    {"weather.", "weather"},
    {"transfer", "stay.events"},
    {"stay.departure_s", "stay.leave"},
};

static lw_code refuse(const lw_fault *fault, const char *file, lw_err *err)
{
    const char *key = NULL;
    for (size_t i = 0; i < sizeof KEY_OF_FIELD / sizeof KEY_OF_FIELD[0] && !key && fault->field; i++)
        if (strncmp(fault->field, KEY_OF_FIELD[i].field, strlen(KEY_OF_FIELD[i].field)) == 0)
            key = KEY_OF_FIELD[i].key;
    const lw_code code = lw_fault_say(fault, err);
    (void)lw_err_at(err, file[0] ? file : NULL, 0, key ? key : fault->field);
    return code;
}

static lw_code no_memory(lw_err *err)
{
    return lw_fail(err, LW_E_FULL, "there is not enough memory for this outlook");
}

static lw_code take_series(lw_series *series, int hours, lw_err *err)
{
    series->capacity = hours;
    series->state = calloc((size_t)hours, sizeof *series->state);
    series->flows = calloc((size_t)hours, sizeof *series->flows);
    return series->state && series->flows ? LW_OK : no_memory(err);
}

static lw_code compute(lw_outlook_answer *answer, int steps_per_hour, int wants_series, const lw_draws_wish *draws,
                       lw_arena *arena, lw_err *err)
{
    const lw_scenario *scenario = answer->loaded.scenario;
    lw_fault fault = {0};
    lw_context *context = NULL;
    assert(scenario);
    if (wants_series) {
        lw_code code = take_series(&answer->own, scenario->calendar.hours, err);
        if (!code)
            code = take_series(&answer->joint, scenario->calendar.hours, err);
        if (code)
            return code;
        answer->battery_frac = calloc((size_t)scenario->calendar.hours, sizeof *answer->battery_frac);
        if (!answer->battery_frac)
            return no_memory(err);
    }
    if (lw_prepare(scenario, steps_per_hour, arena, &context, &fault) != LW_OK)
        return refuse(&fault, answer->loaded.file, err);
    lw_outlook_make(context, answer->outlook, wants_series ? &answer->own : NULL, wants_series ? &answer->joint : NULL);
    for (int h = 0; h < answer->joint.count; h++)
        answer->battery_frac[h] = lw_state_battery_frac(context, &answer->joint.state[h]);
    if (draws && draws->draws > 1)
        return lw_draws_run(context, &answer->loaded, draws, answer->outlook, err);
    return LW_OK;
}

lw_code lw_outlook_of_loaded(lw_loaded *loaded, int steps_per_hour, int wants_series, const lw_draws_wish *draws,
                             lw_outlook_answer *answer, lw_err *err)
{
    lw_outlook_answer made = {.loaded = *loaded};
    const int steps = steps_per_hour ? steps_per_hour : 1;
    lw_arena arena = {0};
    lw_fault fault = {0};
    lw_code code = LW_OK;
    memset(loaded, 0, sizeof *loaded);
    if (!made.loaded.scenario) {
        code = lw_fail(err, LW_E_MISSING, "there is no scenario to look out from");
        goto done;
    }
    if (steps < 1 || steps > 12) {
        code = lw_fail(err, LW_E_RANGE, "%d steps an hour; give 1 to 12", steps);
        goto done;
    }
    if (lw_scenario_check(made.loaded.scenario, &fault) != LW_OK) {
        code = refuse(&fault, made.loaded.file, err);
        goto done;
    }
    arena.cap = lw_prepare_bytes(made.loaded.scenario, steps);
    arena.base = malloc(arena.cap);
    made.outlook = malloc(sizeof *made.outlook);
    if (!arena.base || !made.outlook) {
        code = no_memory(err);
        goto done;
    }
    code = compute(&made, steps, wants_series, draws, &arena, err);
done:
    free(arena.base);
    if (code)
        lw_outlook_answer_clear(&made);
    else
        *answer = made;
    return code;
}

/* A wished end is one more change to the scenario, so that it is read and refused as the key itself would be. */
static lw_code load(const lw_outlook_request *request, lw_loaded *loaded, lw_err *err)
{
    if (!request->until)
        return lw_scenario_load(&request->from, loaded, err);
    lw_scenario_from from = request->from;
    char leave[160];
    snprintf(leave, sizeof leave, "stay.leave=%.140s", request->until);
    const size_t count = (size_t)(from.change_count > 0 ? from.change_count : 0);
    const char **change = calloc(count + 1, sizeof *change);
    if (!change)
        return no_memory(err);
    for (size_t i = 0; i < count; i++)
        change[i] = from.change[i];
    change[count] = leave;
    from.change = change;
    from.change_count = (int)count + 1;
    const lw_code code = lw_scenario_load(&from, loaded, err);
    free(change);
    return code;
}

lw_code lw_outlook_run(const lw_outlook_request *request, lw_outlook_answer *answer, lw_err *err)
{
    lw_loaded loaded = {0};
    const lw_code code = load(request, &loaded, err);
    if (code)
        return code;
    if (request->ahead_days > 0)
        lw_outlook_near(&loaded, request->from.now_s, request->ahead_days);
    return lw_outlook_of_loaded(&loaded, request->steps_per_hour, request->wants_series, &request->draws, answer, err);
}

void lw_outlook_near(lw_loaded *loaded, int64_t now_s, int ahead_days)
{
    enum { DAY_S = 86400, WEEK_HOURS = 7 * 24 };
    lw_scenario *s = loaded->scenario;
    assert(s);
    const int64_t from_s = now_s > s->calendar.start_s ? now_s : s->calendar.start_s;
    const int64_t end_s = s->stay.departure_s ? s->stay.departure_s + DAY_S : from_s + (int64_t)ahead_days * DAY_S;
    const int64_t hours = (end_s - s->calendar.start_s + 3599) / 3600;
    const int64_t least = hours > WEEK_HOURS ? hours : WEEK_HOURS;
    if (least < s->calendar.hours)
        s->calendar.hours = (int)least;
}

static void clear_series(lw_series *series)
{
    free(series->state);
    free(series->flows);
    *series = (lw_series){0};
}

int lw_joint_row_at(const lw_outlook_answer *answer, int64_t at_s)
{
    const int hour = (int)((at_s - answer->outlook->start_s) / 3600);
    return (hour < answer->joint.count ? hour : answer->joint.count) - 1;
}

void lw_outlook_answer_clear(lw_outlook_answer *answer)
{
    lw_learning_free(answer->learning);
    lw_loaded_clear(&answer->loaded);
    free(answer->outlook);
    answer->outlook = NULL;
    free(answer->battery_frac);
    answer->battery_frac = NULL;
    clear_series(&answer->own);
    clear_series(&answer->joint);
}
