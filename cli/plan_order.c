#include "cli/plan_order.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

static lw_code add_change(lw_plan_order *o, const char *key, const char *value, size_t n, lw_err *err)
{
    if (o->change_count == LW_PLAN_CHANGES || strlen(key) + n + 2 > LW_PLAN_CHANGE_BYTES)
        return lw_fail(err, LW_E_FULL, "too many or too long changes; put them into a scenario file");
    char *text = o->text[o->change_count++];
    snprintf(text, LW_PLAN_CHANGE_BYTES, "%s%s%.*s", key, *key ? "=" : "", (int)n, value);
    return LW_OK;
}

/* "LAT,LON" or "LAT,LON,ELEVATION": nothing that the file says of its own place holds there. */
static lw_code take_place(lw_plan_order *o, const char *value, lw_err *err)
{
    const char *longitude = strchr(value, ','), *end = longitude ? strchr(longitude + 1, ',') : NULL;
    if (!longitude)
        return lw_fail(err, LW_E_SYNTAX,
                       "--place %s is not of the form LAT,LON or LAT,LON,ELEVATION, such as "
                       "\"38.2 N,111.1 W,6200 ft\"",
                       lw_quoted(value, strlen(value)).text);
    const size_t n = end ? (size_t)(end - longitude - 1) : strlen(longitude + 1);
    o->source.is_anew = 1;
    lw_code code = add_change(o, "place.name", value, strlen(value) < LW_NAME ? strlen(value) : LW_NAME - 1, err);
    code = code ? code : add_change(o, "place.latitude", value, (size_t)(longitude - value), err);
    code = code ? code : add_change(o, "place.longitude", longitude + 1, n, err);
    if (!code && end)
        code = add_change(o, "place.elevation", end + 1, strlen(end + 1), err);
    return code ? code : add_change(o, "weather", "climate", 7, err);
}

static lw_code take_what_if(lw_plan_order *o, const char *value, lw_err *err)
{
    if (!strchr(value, '=') || value[0] == '=')
        return lw_fail(err, LW_E_SYNTAX, "--what-if %s is not of the form KEY=VALUE, such as \"rig.solar=400 W\"",
                       lw_quoted(value, strlen(value)).text);
    return add_change(o, "", value, strlen(value), err);
}

static lw_code take_chance(const char *option, const char *value, double *to, lw_err *err)
{
    lw_err own = {0};
    if (lw_quantity_parse(value, LW_DIM_FRACTION, to, &own) || !(*to >= 0.5 && *to <= 0.99))
        return lw_fail(err, LW_E_RANGE, "--%s %s is no share from 0.5 to 0.99, such as 0.8 or 80%%", option,
                       lw_quoted(value, strlen(value)).text);
    return LW_OK;
}

lw_code lw_plan_number(const char *option, const char *value, double low, double high, double *to, lw_err *err)
{
    double number;
    if (!lw_decimal_parse(value, value + strlen(value), &number) || !(number >= low && number <= high))
        return lw_fail(err, LW_E_RANGE, "--%s %s is no number from %s to %s", option,
                       lw_quoted(value, strlen(value)).text, lw_num(low).text, lw_num(high).text);
    *to = number;
    return LW_OK;
}

lw_code lw_plan_price(const char *option, const char *value, lw_dim dim, double *to, lw_err *err)
{
    lw_err own = {0};
    double price;
    if (lw_quantity_parse(value, dim, &price, &own))
        return lw_fail(err, own.code, "--%s %s", option, own.text);
    if (!(price >= 0.0))
        return lw_fail(err, LW_E_RANGE, "--%s %s is below zero", option, lw_quoted(value, strlen(value)).text);
    *to = price;
    return LW_OK;
}

static int take_flag(lw_plan_order *o, const char *option)
{
    static const char *const NAME[] = {"details", "assumptions", "json", "ascii"};
    int *const flag[] = {&o->wants_details, &o->wants_assumptions, &o->wants_json, &o->wants_ascii};
    for (size_t i = 0; i < sizeof NAME / sizeof NAME[0]; i++)
        if (strcmp(option, NAME[i]) == 0)
            return *flag[i] = 1;
    return 0;
}

int lw_plan_order_take(lw_plan_order *o, const char *option, const char *value, lw_code *code, lw_err *err)
{
    const struct {
        const char *option, *key;
    } CHANGES[] = {{"arrive", "stay.arrive"}, {"people", "crew.people"}};
    *code = LW_OK;
    if (take_flag(o, option))
        return 1;
    for (size_t i = 0; i < sizeof CHANGES / sizeof CHANGES[0]; i++)
        if (strcmp(option, CHANGES[i].option) == 0) {
            *code = add_change(o, CHANGES[i].key, value, strlen(value), err);
            o->source.is_anew |= strcmp(option, "arrive") == 0;
            if (!*code && strcmp(option, "arrive") == 0) /* what happens at the file's own time happens no more */
                *code = add_change(o, "stay.events", "[]", 2, err);
            return 1;
        }
    if (strcmp(option, "until") == 0)
        o->source.until = value;
    else if (strcmp(option, "place") == 0)
        *code = take_place(o, value, err);
    else if (strcmp(option, "what-if") == 0)
        *code = take_what_if(o, value, err);
    else if (strcmp(option, "chance") == 0)
        *code = take_chance(option, value, &o->confidence_frac, err);
    else if (strcmp(option, "units") == 0)
        *code = lw_args_units(value, &o->units, err);
    else if (strcmp(option, "clock") == 0)
        *code = lw_args_clock(value, &o->is_12_hour, err);
    else if (strcmp(option, "draws") == 0)
        *code = lw_args_whole("draws", value, 16, 10000, &o->draws, err);
    else if (strcmp(option, "seed") == 0)
        *code = lw_args_whole("seed", value, 0, UINT64_MAX, &o->seed, err);
    else if (strcmp(option, "book") == 0)
        o->kept.book = value;
    else if (strcmp(option, "now") == 0)
        *code = lw_kept_now(value, &o->kept, err);
    else
        return 0;
    return 1;
}

lw_code lw_plan_order_check(const lw_args *args, const char *command, lw_plan_order *o, lw_err *err)
{
    o->source.path = lw_args_operand(args, 0);
    if (o->source.path && o->kept.book)
        return lw_fail(err, LW_E_CONFLICT, "a plan is of a FILE or of the book; leave out one of them");
    if (lw_args_operand_count(args) > 1)
        return lw_fail(err, LW_E_SYNTAX, "%s takes one FILE", command);
    const lw_code code = lw_kept_open_order(&o->kept, err);
    o->source.now_s = o->kept.now_s;
    o->source.seed = o->seed;
    return code;
}

lw_code lw_plan_order_open(lw_plan_order *o, lw_err *err)
{
    for (int i = 0; i < o->change_count; i++)
        o->change[i] = o->text[i];
    o->source.change = o->change;
    o->source.change_count = o->change_count;
    lw_code code = o->source.path ? LW_OK : lw_kept_open_for(&o->kept, 1, &o->source.book, err);
    code = code ? code : lw_plan_source_open(&o->source, err);
    if (code)
        return code;
    o->trials = lw_plan_source_trials(&o->source);
    return lw_plan_source_camp(&o->source, &o->loaded, err);
}

void lw_plan_order_close(lw_plan_order *o)
{
    lw_loaded_clear(&o->loaded);
    lw_plan_source_close(&o->source);
    lw_book_close(o->source.book);
    o->source.book = NULL;
}

lw_words_choice lw_plan_choice(const lw_plan_order *o)
{
    return (lw_words_choice){.units = o->units < 0 ? o->loaded.units : (lw_unit_system)o->units,
                             .is_12_hour = o->is_12_hour};
}
