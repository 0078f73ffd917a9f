/* Plans around a stay: what to bring, what to buy, what it costs, how it goes over months, and with other rigs. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/ask_plan_internal.h"
#include "service/buy.h"
#include "service/convoy.h"
#include "service/cost.h"
#include "service/household.h"
#include "service/provisions.h"
#include "service/rhythm.h"
#include "text/quantity.h"
#include "text/say.h"

static lw_code no_memory(lw_err *err)
{
    return lw_fail(err, LW_E_FULL, "no memory for a plan");
}

/* A length as people write it, "14 mi"; without it *to stays. */
static lw_code take_length(lw_asked *a, const char *key, double *to_m, lw_err *err)
{
    const char *text = lw_asked_param(a, key);
    lw_err own = {0};
    double length_m;
    if (!text)
        return LW_OK;
    if (lw_quantity_parse(text, LW_DIM_LENGTH, &length_m, &own) || !(length_m >= 0.0)) {
        a->reply->status = 400;
        return lw_fail(err, LW_E_RANGE, "%s is to be a distance such as 14 mi, not %s",
                       strcmp(key, "drive") == 0 ? "the way there" : "the way of a run",
                       lw_quoted(text, strlen(text)).text);
    }
    *to_m = length_m;
    return LW_OK;
}

lw_code lw_ask_provisions(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"until", "confidence", "set", "anew", NULL};
    lw_asked_plan p;
    lw_loaded camp = {0};
    lw_provisions *made = malloc(sizeof *made);
    lw_code code = made ? lw_asked_plan_open(a, KEYS, &p, err) : no_memory(err);
    if (code) {
        free(made);
        return code;
    }
    lw_trials trials = lw_plan_source_trials(&p.source);
    code = lw_plan_source_camp(&p.source, &camp, err);
    if (!code)
        code = lw_asked_as_state(
            a,
            lw_provisions_make(&trials, &(lw_provisions_wish){.confidence_frac = p.confidence_frac, .choice = p.choice},
                               made, err));
    char *text = code ? NULL : lw_provisions_json(made, &camp, a->ask->version);
    lw_loaded_clear(&camp);
    lw_plan_source_close(&p.source);
    free(made);
    return code ? code : lw_asked_reply(a, text, err);
}

lw_code lw_ask_buy(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"set", "anew", "used", "budget", "run_price", "night_price", NULL};
    lw_asked_plan p;
    lw_year year;
    lw_loaded camp = {0};
    lw_buy_wish wish = {.run_usd = (double)NAN,
                        .night_usd = (double)NAN,
                        .fuel_usd_l = (double)NAN,
                        .propane_usd_kg = (double)NAN,
                        .budget_usd = (double)INFINITY};
    lw_bought *made = malloc(sizeof *made);
    lw_code code = made ? lw_asked_whole(a, "used", 0, 1, &wish.is_used, err) : no_memory(err);
    code = code ? code : lw_asked_usd(a, "budget", &wish.budget_usd, err);
    code = code ? code : lw_asked_usd(a, "run_price", &wish.run_usd, err);
    code = code ? code : lw_asked_usd(a, "night_price", &wish.night_usd, err);
    code = code ? code : lw_asked_plan_open(a, KEYS, &p, err);
    if (code) {
        free(made);
        return code;
    }
    p.source.is_anew = 1; /* stays of a year, not the one that goes on */
    wish.choice = p.choice;
    lw_trials trials = lw_plan_source_trials(&p.source);
    code = lw_plan_source_camp(&p.source, &camp, err);
    code = code ? code : lw_year_known(a->book, a->ask->now_s, &camp, &year, err);
    code = code ? code : lw_buy_make(&trials, &year, &wish, made, err);
    char *text = code ? NULL : lw_buy_json(made, &camp, a->ask->version);
    lw_loaded_clear(&camp);
    lw_plan_source_close(&p.source);
    free(made);
    return code ? code : lw_asked_reply(a, text, err);
}

lw_code lw_ask_cost(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"until", "set", "drive", "run", "hookups", "fee", NULL};
    lw_asked_plan p;
    lw_cost_spent spent = {.is_known = 0};
    lw_cost_wish wish = {.fee_usd = (double)NAN,
                         .drive_m = (double)NAN,
                         .run_m = (double)NAN,
                         .hookup_usd = (double)NAN,
                         .fuel_usd_l = (double)NAN,
                         .propane_usd_kg = (double)NAN,
                         .run_usd = (double)NAN};
    lw_costed *made = malloc(sizeof *made);
    lw_code code = made ? take_length(a, "drive", &wish.drive_m, err) : no_memory(err);
    code = code ? code : take_length(a, "run", &wish.run_m, err);
    code = code ? code : lw_asked_usd(a, "hookups", &wish.hookup_usd, err);
    code = code ? code : lw_asked_usd(a, "fee", &wish.fee_usd, err);
    code = code ? code : lw_asked_plan_open(a, KEYS, &p, err);
    if (code) {
        free(made);
        return code;
    }
    lw_trials trials = lw_plan_source_trials(&p.source);
    code = lw_cost_spent_of(a->book, a->ask->now_s, &spent, err);
    if (!code && spent.is_known) {
        wish.spent = &spent.money;
        wish.spent_nights = spent.nights;
    }
    wish.choice = p.choice;
    code = code ? code : lw_asked_as_state(a, lw_cost_make(&trials, &wish, made, err));
    char *text = code ? NULL : lw_cost_json(made, &p.source.known.loaded, a->ask->version);
    lw_plan_source_close(&p.source);
    free(made);
    return code ? code : lw_asked_reply(a, text, err);
}

/* The errands of the book, where it knows any; otherwise the rhythm does without. */
static lw_code find_errands(lw_asked *a, lw_errands *errands, const lw_errands **found, lw_err *err)
{
    lw_household home = {0};
    lw_err none = {0};
    *found = NULL;
    lw_code code = lw_household_load(a->book, a->ask->now_s, 0, &home, err);
    if (!code) {
        code = lw_errands_of_book(a->book, &home.loaded, errands, &none);
        if (!code)
            *found = errands;
        else if (code == LW_E_MISSING)
            code = LW_OK;
        else
            *err = none;
    }
    lw_household_clear(&home);
    return code;
}

lw_code lw_ask_rhythm(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"days", "confidence", "hour_value", NULL};
    int days = 90, confidence_pct = 80;
    const lw_errands *found = NULL;
    lw_errands *errands = calloc(1, sizeof *errands);
    lw_long_stay *made = calloc(1, sizeof *made);
    char *scenario = NULL, *text = NULL;
    lw_rhythm_wish wish = {.path = "the book's stay", .now_s = a->ask->now_s, .hour_usd = (double)NAN, .seed = 1};
    lw_code code = errands && made ? lw_asked_want_params(a, KEYS, err) : no_memory(err);
    code = code ? code : lw_asked_whole(a, "days", 1, LW_RHYTHM_DAYS, &days, err);
    code = code ? code : lw_asked_whole(a, "confidence", 50, 99, &confidence_pct, err);
    code = code ? code : lw_asked_usd(a, "hour_value", &wish.hour_usd, err);
    code = code ? code : lw_asked_want_time(a, err);
    code = code ? code : lw_asked_want_stay(a, err);
    code = code ? code : lw_asked_choice(a, &wish.choice, err);
    code = code ? code : lw_household_scenario(a->book, a->ask->now_s, &scenario, err);
    code = code ? code : find_errands(a, errands, &found, err);
    if (!code && scenario) {
        wish.bytes = scenario;
        wish.size = strlen(scenario);
        wish.days = days;
        wish.confidence_frac = confidence_pct / 100.0;
        wish.has_units = 1;
        code = lw_rhythm_make(&wish, found, made, err);
        text = code ? NULL : lw_rhythm_json(made, found, a->ask->version);
    }
    free(scenario);
    free(errands);
    free(made);
    return code ? code : lw_asked_reply(a, text, err);
}

/* ---- with other rigs ---- */

static lw_code take_things(lw_asked *a, lw_convoy_thing thing[LW_CONVOY_THINGS], int *count, lw_err *err)
{
    const char *lend[LW_ASK_PARAMS];
    *count = lw_asked_values(a, "lend", lend);
    lw_code code = LW_OK;
    if (*count > LW_CONVOY_THINGS)
        code = lw_fail(err, LW_E_FULL, "more than %d things are lent", LW_CONVOY_THINGS);
    for (int i = 0; i < *count && !code; i++)
        code = lw_convoy_thing_read("lend", lend[i], &thing[i], err);
    if (code)
        a->reply->status = 400;
    return code;
}

lw_code lw_ask_share(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"until", "confidence", "household", "lend", NULL};
    lw_asked_plan p;
    lw_convoy_thing thing[LW_CONVOY_THINGS];
    char *text = NULL;
    lw_convoy_share_wish wish = {.household = lw_asked_param(a, "household"),
                                 .hour_usd = (double)NAN,
                                 .thing = thing,
                                 .draws = LW_CONVOY_SHARE_DRAWS};
    lw_code code = take_things(a, thing, &wish.thing_count, err);
    code = code ? code : lw_asked_plan_open(a, KEYS, &p, err);
    if (code)
        return code;
    wish.confidence_frac = p.confidence_frac;
    lw_trials trials = lw_plan_source_trials(&p.source);
    code = lw_asked_as_state(a, lw_convoy_share(&trials, &wish, &text, err));
    lw_plan_source_close(&p.source);
    return code ? code : lw_asked_reply(a, text, err);
}

static lw_code read_rigs(lw_asked *a, const json_t *shares, lw_convoy_rig rig[LW_CONVOY_RIGS], int *count, lw_err *err)
{
    const size_t many = json_array_size(shares);
    if (many < 2 || many > LW_CONVOY_RIGS) {
        a->reply->status = 400;
        return lw_fail(err, LW_E_SYNTAX, "shares is to be a list of 2 to %d share files, each the text of one",
                       LW_CONVOY_RIGS);
    }
    lw_code code = LW_OK;
    for (size_t i = 0; i < many && !code; i++) {
        const json_t *one = json_array_get(shares, i);
        const char *text = json_string_value(one);
        char name[32];
        snprintf(name, sizeof name, "share file %zu", i + 1);
        if (!text) {
            a->reply->status = 400;
            return lw_fail(err, LW_E_SYNTAX, "%s is to be a text", name);
        }
        code = lw_convoy_read(name, text, json_string_length(one), &rig[i], err);
    }
    *count = (int)many;
    return code;
}

lw_code lw_ask_convoy(lw_asked *a, lw_err *err)
{
    json_t *root = NULL;
    lw_convoy_rig rig[LW_CONVOY_RIGS];
    lw_household home = {0};
    lw_words_choice choice;
    int count = 0;
    char *text = NULL;
    lw_errands *errands = calloc(1, sizeof *errands);
    lw_convoy *convoy = calloc(1, sizeof *convoy);
    lw_code code = errands && convoy ? lw_asked_body(a, &root, err) : no_memory(err);
    code = code ? code : read_rigs(a, json_object_get(root, "shares"), rig, &count, err);
    code = code ? code : lw_asked_want_stay(a, err);
    code = code ? code : lw_asked_choice(a, &choice, err);
    code = code ? code : lw_household_load(a->book, a->ask->now_s, 0, &home, err);
    code = code ? code : lw_asked_errands(a, &home.loaded, errands, err);
    code = code ? code : lw_convoy_plan(rig, count, errands, &choice, convoy, err);
    if (!code)
        text = lw_convoy_json(convoy, a->ask->version);
    lw_household_clear(&home);
    json_decref(root);
    free(errands);
    free(convoy);
    return code ? code : lw_asked_reply(a, text, err);
}
