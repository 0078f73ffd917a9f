#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/convoy.h"
#include "service/json.h"
#include "service/levers_internal.h"
#include "service/pool.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/say.h"

enum { LEVELS = 10, LEVEL_BYTES = 64, HOURS_BYTES = 400, COURSES_BYTES = LW_CONVOY_COURSES * 16 };

/* What a household says of its supplies: all that errands serve, and what stays its own matter. */
static const lw_supply TOLD[] = {LW_SUPPLY_FRESH,   LW_SUPPLY_DRINKING, LW_SUPPLY_GREY, LW_SUPPLY_BLACK,
                                 LW_SUPPLY_BATTERY, LW_SUPPLY_PROPANE,  LW_SUPPLY_FUEL, LW_SUPPLY_RUBBISH,
                                 LW_SUPPLY_DATA,    LW_SUPPLY_FOOD};
enum { TOLD_COUNT = sizeof TOLD / sizeof TOLD[0] };

typedef struct lasting {
    double days[LW_SUPPLY_COUNT], use_per_day[LW_SUPPLY_COUNT];
    int is_present[LW_SUPPLY_COUNT];
    lw_trial_row course[LW_CONVOY_COURSES]; /* of draws that the days above do not come from */
    double horizon_days;
} lasting;

/* How long each supply lasts in the wished share of draws, with changes to the scenario. */
static lw_code draw(const lw_trials *trials, const char *const *change, int changes, double frac, int draws,
                    lasting *to, lw_err *err)
{
    lw_trial trial;
    lw_bench bench[LW_POOL_THREADS] = {{.scratch = NULL}};
    const int threads = lw_pool_threads(trials->threads);
    lw_trial_row *row = calloc((size_t)draws + 1, sizeof *row);
    lw_outlook *plain = calloc(1, sizeof *plain);
    if (!row || !plain) {
        free(row);
        free(plain);
        return lw_fail(err, LW_E_FULL, "no memory for what is shared");
    }
    lw_code code = lw_trial_make(trials, change, changes, &trial, err);
    for (int i = 0; i < threads && !code; i++)
        code = lw_bench_open(&trial, &bench[i], err);
    if (!code) {
        lw_trial_rows_spread(&trial, bench, threads, 0, (uint32_t)draws, row);
        lw_trial_rows_spread(&trial, bench, threads, LW_TRIAL_FRESH, LW_CONVOY_COURSES, to->course);
        to->horizon_days = trial.horizon_h / 24.0;
        lw_trial_plain(&trial, plain);
        for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
            to->is_present[k] = plain->leeway[k].is_present;
            to->use_per_day[k] = plain->leeway[k].use_per_day;
            to->days[k] = fmin(lw_rows_sure_days(row, draws, k, frac), trial.horizon_h / 24.0);
        }
    }
    for (int i = 0; i < threads; i++)
        lw_bench_close(&bench[i]);
    lw_trial_clear(&trial);
    free(row);
    free(plain);
    return code;
}

/* "Mon 7:00-9:00; Mon 17:00-21:00; ..": hours between 7 and 21 in which a grown-up is free. */
static void free_hours(const lw_crew *crew, char *buf, size_t n)
{
    size_t used = 0;
    buf[0] = '\0';
    for (int day = 0; day < 7; day++) {
        uint32_t some = 0;
        for (int i = 0; i < crew->person_count; i++)
            if (crew->person[i].being == LW_BEING_ADULT)
                some |= ~(crew->person[i].work[day] | crew->person[i].school[day] | crew->person[i].away[day]);
        for (int h = 7; h < 21 && used < n; h++) {
            const int from = h;
            while (h < 21 && some >> h & 1u)
                h++;
            if (h > from)
                used += (size_t)snprintf(buf + used, n - used, "%s%s %d:00-%d:00", used ? "; " : "",
                                         lw_weekday_word(day), from, h);
        }
    }
    if (!buf[0])
        snprintf(buf, n, "never");
}

static void put_amount(lw_json *j, json_t *o, const char *key, double value, int decimals, const char *unit)
{
    char number[LW_DECIMAL_BYTES], text[LW_DECIMAL_BYTES + 16];
    lw_decimal_print(number, sizeof number, value, decimals, 0);
    snprintf(text, sizeof text, "%s %s", number, unit);
    lw_json_text(j, o, key, text);
}

static double course_days(const lasting *l, int course, lw_supply k)
{
    return fmin((double)l->course[course].end_h[k] / 24.0, l->horizon_days);
}

/* "3.21/4.05 2.9/3.84 ..": now and full in each course. */
static void put_courses(lw_json *j, json_t *o, lw_supply k, const lasting *now, const lasting *full)
{
    char text[COURSES_BYTES], a[LW_DECIMAL_BYTES], b[LW_DECIMAL_BYTES];
    size_t used = 0;
    for (int i = 0; i < LW_CONVOY_COURSES && used < sizeof text; i++) {
        lw_decimal_print(a, sizeof a, course_days(now, i, k), 2, 0);
        lw_decimal_print(b, sizeof b, course_days(full, i, k), 2, 0);
        used += (size_t)snprintf(text + used, sizeof text - used, "%s%s/%s", i ? " " : "", a, b);
    }
    lw_json_text(j, o, "courses", text);
}

static json_t *supply_json(lw_json *j, lw_supply k, const lasting *now, const lasting *full)
{
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "supply", lw_supply_word(k));
    put_amount(j, o, "now", now->days[k], 2, "days");
    put_amount(j, o, "full", full->days[k], 2, "days");
    if (k == LW_SUPPLY_FRESH || k == LW_SUPPLY_GREY)
        put_amount(j, o, "use", now->use_per_day[k], 1, "L");
    put_courses(j, o, k, now, full);
    return o;
}

static json_t *thing_json(lw_json *j, const lw_convoy_thing *thing)
{
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "thing", lw_convoy_kind_word(thing->kind));
    lw_json_text(j, o, "name", thing->name);
    if (thing->water_l > 0.0)
        put_amount(j, o, "water", thing->water_l, 1, "L");
    if (thing->waste_l > 0.0)
        put_amount(j, o, "waste_tank", thing->waste_l, 1, "L");
    if (!isnan(thing->power_w))
        put_amount(j, o, "power", thing->power_w, 0, "W");
    if (thing->kind == LW_CONVOY_VEHICLE) {
        put_amount(j, o, "ready", thing->ready_h * 60.0, 1, "min");
        put_amount(j, o, "pour", thing->pour_h * 60.0, 1, "min");
        put_amount(j, o, "trouble", thing->trouble_usd, 2, "USD");
        put_amount(j, o, "per_mile", thing->km_usd * 1.609344, 3, "USD");
    }
    return o;
}

static char *share_text(const lw_convoy_share_wish *wish, const lw_loaded *base, double hour_usd, const lasting *now,
                        const lasting *full)
{
    lw_json j = {.zone = &base->zone};
    json_t *root = lw_json_object(&j), *supplies = lw_json_array(&j), *lends = lw_json_array(&j);
    const lw_scenario *s = base->scenario;
    char when[48], hours[HOURS_BYTES];
    lw_json_text(&j, root, "convoy", "1");
    lw_json_text(&j, root, "household", wish->household ? wish->household : s->rig.name);
    lw_json_text(&j, root, "zone", base->zone.name);
    lw_json_text(&j, root, "from", lw_instant_print(when, sizeof when, (double)s->calendar.start_s, 0));
    lw_json_text(&j, root, "until", lw_instant_print(when, sizeof when, (double)s->stay.departure_s, 0));
    put_amount(&j, root, "confidence", 100.0 * wish->confidence_frac, 1, "%");
    put_amount(&j, root, "hour_value", hour_usd, 2, "USD");
    free_hours(&s->crew, hours, sizeof hours);
    lw_json_text(&j, root, "free", hours);
    for (int i = 0; i < TOLD_COUNT; i++)
        if (now->is_present[TOLD[i]] && full->use_per_day[TOLD[i]] > 0.0)
            lw_json_add(&j, supplies, supply_json(&j, TOLD[i], now, full));
    lw_json_put(&j, root, "supplies", supplies);
    for (int i = 0; i < wish->thing_count; i++)
        lw_json_add(&j, lends, thing_json(&j, &wish->thing[i]));
    lw_json_put(&j, root, "lends", lends);
    return lw_json_finish(&j, root, 0);
}

/* Everything as after a service. */
static int full_levels(const lw_scenario *s, char level[LEVELS][LEVEL_BYTES], const char **change)
{
    int count = 0;
    for (int i = 0; i < TOLD_COUNT; i++) {
        int has = 0;
        for (int v = 0; v < s->rig.vessel_count; v++)
            has |= s->rig.vessel[v].supply == TOLD[i];
        if (!has && TOLD[i] != LW_SUPPLY_BATTERY)
            continue;
        if (TOLD[i] == LW_SUPPLY_BATTERY && !(s->rig.battery.capacity_ah > 0.0))
            continue;
        snprintf(level[count], LEVEL_BYTES, "stay.levels.%s=%s", lw_supply_word(TOLD[i]),
                 lw_supply_fills(TOLD[i]) ? "empty" : "full");
        change[count] = level[count];
        count++;
    }
    return count;
}

lw_code lw_convoy_share(lw_trials *trials, const lw_convoy_share_wish *wish, char **text, lw_err *err)
{
    char level[LEVELS][LEVEL_BYTES];
    const char *change[LEVELS];
    lasting now = {.is_present = {0}}, full = {.is_present = {0}};
    double hour_usd = wish->hour_usd;
    lw_code code = lw_trials_open(trials, err);
    if (code)
        return code;
    const lw_scenario *s = trials->base.scenario;
    if (!s->stay.departure_s)
        code = lw_fail_typed(err, LW_E_MISSING, "say it with --until, or stay.leave",
                             "a convoy needs to know when you leave");
    if (!code && !wish->household && !s->rig.name[0])
        code = lw_fail_typed(err, LW_E_MISSING, "say it with --household, or rig.name", "a convoy needs your name");
    if (!code && isnan(hour_usd))
        code = lw_price("hour", &hour_usd, err);
    code = code ? code : draw(trials, NULL, 0, wish->confidence_frac, wish->draws, &now, err);
    if (!code)
        code = draw(trials, change, full_levels(s, level, change), wish->confidence_frac, wish->draws, &full, err);
    if (!code) {
        *text = share_text(wish, &trials->base, hour_usd, &now, &full);
        code = *text ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for what is shared");
    }
    lw_trials_close(trials);
    return code;
}
