#include "service/forecast.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/forecasts.h"
#include "exchange/tables.h"
#include "service/json.h"
#include "service/stays.h"
#include "text/say.h"

static const int64_t HOUR_S = 3600;
enum { DAYS_DECIMALS = 3, LEVEL_DECIMALS = 3, CAPACITY_DECIMALS = 3, HASH_TEXT = 20 };

void lw_forecast_of(const lw_outlook_answer *answer, int64_t made_s, lw_forecast *forecast)
{
    const lw_outlook *o = answer->outlook;
    const int step = LW_FORECAST_MARK_H / LW_MARK_HOURS;
    memset(forecast, 0, sizeof *forecast);
    forecast->made_s = made_s;
    forecast->start_s = o->start_s;
    forecast->draws = o->draws;
    forecast->binding = o->binding;
    while (forecast->mark_count < LW_FORECAST_MARKS && forecast->mark_count * step < o->mark_count)
        forecast->mark_count++;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        lw_forecast_supply *to = &forecast->supply[k];
        to->is_present = o->leeway[k].is_present;
        to->capacity = o->leeway[k].capacity;
        for (int q = 0; q < LW_QUANTILES; q++)
            to->days[q] = o->leeway[k].q[q].beyond_horizon ? INFINITY : o->leeway[k].q[q].days;
        for (int m = 0; m < forecast->mark_count; m++) {
            const size_t mark = (size_t)m * (size_t)step;
            to->level[m][0] = o->mark_low[k][mark];
            to->level[m][1] = o->mark[k][mark];
            to->level[m][2] = o->mark_high[k][mark];
        }
    }
}

int lw_forecast_level(const lw_forecast *forecast, lw_supply supply, int64_t at_s, double band[LW_QUANTILES])
{
    const double at = (double)(at_s - forecast->start_s) / (double)(LW_FORECAST_MARK_H * HOUR_S);
    const lw_forecast_supply *s = &forecast->supply[supply];
    if (!s->is_present || !(at >= 0.0) || !(at <= forecast->mark_count - 1))
        return 0;
    const int m = (int)at, next = m + 1 < forecast->mark_count ? m + 1 : m;
    for (int q = 0; q < LW_QUANTILES; q++)
        band[q] = (double)s->level[m][q] + (at - m) * ((double)s->level[next][q] - (double)s->level[m][q]);
    return 1;
}

/* ---- as JSON ---- */

static json_t *supply_json(lw_json *j, const lw_forecast *f, int k)
{
    const lw_forecast_supply *s = &f->supply[k];
    json_t *o = lw_json_object(j), *days = lw_json_array(j), *level = lw_json_array(j);
    lw_json_text(j, o, "supply", lw_supply_word((lw_supply)k));
    lw_json_number(j, o, "capacity", s->capacity, CAPACITY_DECIMALS);
    for (int q = 0; q < LW_QUANTILES; q++)
        lw_json_add(j, days, lw_json_real(s->days[q], DAYS_DECIMALS)); /* beyond: null */
    for (int m = 0; m < f->mark_count; m++)
        for (int q = 0; q < LW_QUANTILES; q++)
            lw_json_add(j, level, lw_json_real((double)s->level[m][q], LEVEL_DECIMALS));
    lw_json_put(j, o, "days", days);
    lw_json_put(j, o, "level", level);
    return o;
}

char *lw_forecast_json(const lw_forecast *f)
{
    lw_json j = {.zone = NULL};
    json_t *root = lw_json_object(&j), *supplies = lw_json_array(&j);
    lw_json_text(&j, root, "schema", "leeway.forecast/1");
    lw_json_count(&j, root, "made_s", f->made_s);
    lw_json_count(&j, root, "start_s", f->start_s);
    lw_json_count(&j, root, "draws", f->draws);
    lw_json_text(&j, root, "binding", f->binding >= 0 ? lw_supply_word((lw_supply)f->binding) : NULL);
    lw_json_count(&j, root, "mark_h", LW_FORECAST_MARK_H);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (f->supply[k].is_present)
            lw_json_add(&j, supplies, supply_json(&j, f, k));
    lw_json_put(&j, root, "supplies", supplies);
    return lw_json_finish(&j, root, 1);
}

static int supply_of(const json_t *word)
{
    const char *text = json_string_value(word);
    for (int k = 0; text && k < LW_SUPPLY_COUNT; k++)
        if (strcmp(lw_supply_word((lw_supply)k), text) == 0)
            return k;
    return -1;
}

static void read_supply(const json_t *o, lw_forecast *f)
{
    const int k = supply_of(json_object_get(o, "supply"));
    const json_t *days = json_object_get(o, "days"), *level = json_object_get(o, "level");
    if (k < 0)
        return;
    lw_forecast_supply *s = &f->supply[k];
    s->is_present = 1;
    s->capacity = json_number_value(json_object_get(o, "capacity"));
    for (int q = 0; q < LW_QUANTILES; q++) {
        const json_t *at = json_array_get(days, (size_t)q);
        s->days[q] = json_is_number(at) ? json_number_value(at) : INFINITY;
    }
    int marks = (int)(json_array_size(level) / LW_QUANTILES);
    marks = marks < LW_FORECAST_MARKS ? marks : LW_FORECAST_MARKS;
    f->mark_count = f->mark_count < marks ? f->mark_count : marks;
    for (int m = 0; m < marks; m++)
        for (int q = 0; q < LW_QUANTILES; q++)
            s->level[m][q] = (float)json_number_value(json_array_get(level, (size_t)m * LW_QUANTILES + (size_t)q));
}

lw_code lw_forecast_read(const char *text, lw_forecast *forecast, lw_err *err)
{
    json_t *root = json_loads(text, JSON_REJECT_DUPLICATES, NULL);
    const char *schema = json_string_value(json_object_get(root, "schema"));
    const json_t *supplies = json_object_get(root, "supplies");
    if (!schema || strcmp(schema, "leeway.forecast/1") != 0 || !json_is_array(supplies) ||
        json_integer_value(json_object_get(root, "mark_h")) != LW_FORECAST_MARK_H) {
        json_decref(root);
        return lw_fail(err, LW_E_SYNTAX, "this is no kept forecast of a form that is known");
    }
    memset(forecast, 0, sizeof *forecast);
    forecast->made_s = json_integer_value(json_object_get(root, "made_s"));
    forecast->start_s = json_integer_value(json_object_get(root, "start_s"));
    forecast->draws = (int)json_integer_value(json_object_get(root, "draws"));
    forecast->binding = supply_of(json_object_get(root, "binding"));
    forecast->mark_count = LW_FORECAST_MARKS;
    for (size_t i = 0; i < json_array_size(supplies); i++)
        read_supply(json_array_get(supplies, i), forecast);
    json_decref(root);
    return LW_OK;
}

/* ---- keeping ---- */

static lw_code put(lw_book *book, const lw_kept_stay *stay, const lw_outlook_answer *answer, int64_t now_s,
                   const lw_id *worse, lw_err *err)
{
    lw_forecast *f = malloc(sizeof *f);
    char *input = NULL, *result = NULL, hash[HASH_TEXT];
    lw_code code = f ? lw_stay_scenario(book, stay, &input, err) : lw_fail(err, LW_E_FULL, "no memory for a forecast");
    if (!code && f) {
        lw_forecast_of(answer, now_s, f);
        result = lw_forecast_json(f);
        code = result ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for a forecast");
    }
    snprintf(hash, sizeof hash, "%016llx", (unsigned long long)lw_tables_hash());
    lw_kept_forecast kept = {.made_s = now_s,
                             .stay = stay->id,
                             .program_version = LW_VERSION,
                             .table_hash = hash,
                             .seed = answer->outlook->seed,
                             .draws = answer->outlook->draws,
                             .input = input,
                             .result = result};
    code = code ? code : lw_book_begin(book, err);
    if (!code) {
        if (worse)
            code = lw_book_drop_forecast(book, worse, err);
        code = code ? code : lw_book_keep_forecast(book, &kept, err);
        code = lw_book_end(book, code, err);
    }
    free(f);
    free(input);
    free(result);
    return code;
}

lw_code lw_forecast_keep(lw_book *book, const lw_outlook_answer *answer, int64_t now_s, lw_err *err)
{
    const lw_zone *zone = &answer->loaded.zone;
    lw_kept_stays open = {0};
    lw_kept_forecast last = {.draws = 0};
    int is_there = 0;
    if (lw_book_mode_of(book) == LW_BOOK_READ_ONLY || answer->outlook->draws < 2)
        return LW_OK;
    lw_code code = lw_book_current_stay(book, now_s, &open, err);
    if (!code && open.count > 0)
        code = lw_book_newest_forecast(book, open.stay[0].id, now_s, &last, &is_there, err);
    const int is_of_today = !code && is_there && lw_clock_at(zone, last.made_s).day == lw_clock_at(zone, now_s).day;
    const int is_done = is_of_today && last.draws >= answer->outlook->draws;
    if (!code && open.count > 0 && !is_done)
        code = put(book, &open.stay[0], answer, now_s, is_of_today ? &last.id : NULL, err);
    lw_kept_stays_clear(&open);
    return code;
}
