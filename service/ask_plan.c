/* Plans of the stay that goes on: what to change to stay longer, when to run the generator, when to go on errands. Seconds of
 * work each. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "service/ask_plan_internal.h"
#include "service/generator_plan.h"
#include "service/levers.h"
#include "service/runs_plan.h"
#include "text/say.h"

enum { CONFIDENCE_LEAST_PCT = 50, CONFIDENCE_MOST_PCT = 99, CONFIDENCE_USUAL_PCT = 80, USD_MOST = 10000 };

static int is_over(void *with)
{
    return !lw_asked_goes_on(with, 0, 0);
}

lw_code lw_asked_plan_open(lw_asked *a, const char *const *keys, lw_asked_plan *plan, lw_err *err)
{
    int confidence_pct = CONFIDENCE_USUAL_PCT, is_anew = 0;
    *plan = (lw_asked_plan){.source = {.book = a->book,
                                       .until = lw_asked_param(a, "until"),
                                       .now_s = a->ask->now_s,
                                       .seed = 1,
                                       .is_over = is_over,
                                       .with = (void *)a->ask}};
    plan->source.change = plan->change;
    plan->source.change_count = lw_asked_values(a, "set", plan->change);
    lw_code code = lw_asked_want_params(a, keys, err);
    code =
        code ? code : lw_asked_whole(a, "confidence", CONFIDENCE_LEAST_PCT, CONFIDENCE_MOST_PCT, &confidence_pct, err);
    code = code ? code : lw_asked_whole(a, "anew", 0, 1, &is_anew, err);
    code = code ? code : lw_asked_want_changes(a, plan->change, plan->source.change_count, err);
    code = code ? code : lw_asked_want_time(a, err);
    code = code ? code : lw_asked_want_stay(a, err);
    code = code ? code : lw_asked_choice(a, &plan->choice, err);
    plan->confidence_frac = confidence_pct / 100.0;
    plan->source.is_anew = is_anew;
    return code ? code : lw_plan_source_open(&plan->source, err);
}

lw_code lw_asked_usd(lw_asked *a, const char *key, double *to, lw_err *err)
{
    int usd = -1;
    const lw_code code = lw_asked_whole(a, key, 0, USD_MOST, &usd, err);
    if (!code && usd >= 0)
        *to = usd;
    return code;
}

lw_code lw_asked_as_state(lw_asked *a, lw_code code)
{
    if (code == LW_E_MISSING)
        a->reply->status = 409;
    return code;
}

lw_code lw_asked_errands(lw_asked *a, const lw_loaded *camp, lw_errands *errands, lw_err *err)
{
    return lw_asked_as_state(a, lw_errands_of_book(a->book, camp, errands, err));
}

static const char *const KEYS[] = {"until", "confidence", "set", NULL};

lw_code lw_ask_levers(lw_asked *a, lw_err *err)
{
    lw_asked_plan p;
    lw_levers *levers = malloc(sizeof *levers);
    lw_code code = levers ? lw_asked_plan_open(a, KEYS, &p, err) : lw_fail(err, LW_E_FULL, "no memory for a plan");
    if (code) {
        free(levers);
        return code;
    }
    lw_trials trials = lw_plan_source_trials(&p.source);
    code = lw_levers_make(&trials,
                          &(lw_levers_wish){.confidence_frac = p.confidence_frac,
                                            .hour_usd = (double)NAN,
                                            .nuisance_usd = (double)NAN,
                                            .choice = p.choice},
                          levers, err);
    char *text = code ? NULL : lw_levers_json(levers, &p.source.known.loaded, a->ask->version);
    lw_plan_source_close(&p.source);
    free(levers);
    return code ? code : lw_asked_reply(a, text, err);
}

lw_code lw_ask_generator(lw_asked *a, lw_err *err)
{
    lw_asked_plan p;
    lw_generator_plan *made = malloc(sizeof *made);
    lw_code code = made ? lw_asked_plan_open(a, KEYS, &p, err) : lw_fail(err, LW_E_FULL, "no memory for a plan");
    if (code) {
        free(made);
        return code;
    }
    lw_trials trials = lw_plan_source_trials(&p.source);
    code = lw_asked_as_state(
        a, lw_generator_plan_make(
               &trials, &(lw_generator_wish){.confidence_frac = p.confidence_frac, .choice = p.choice}, made, err));
    char *text = code ? NULL : lw_generator_plan_json(made, &p.source.known.loaded, a->ask->version);
    lw_plan_source_close(&p.source);
    free(made);
    return code ? code : lw_asked_reply(a, text, err);
}

static lw_code plan_runs(lw_asked *a, lw_asked_plan *p, double hour_usd, lw_errands *errands, lw_runs_planned *plan,
                         char **text, lw_err *err)
{
    lw_loaded camp = {0};
    lw_code code = lw_plan_source_camp(&p->source, &camp, err);
    code = code ? code : lw_asked_errands(a, &camp, errands, err);
    const lw_runs_wish wish = {
        .confidence_frac = p->confidence_frac, .hour_usd = hour_usd, .choice = p->choice, .has_units = 1};
    code = code ? code : lw_asked_as_state(a, lw_runs_plan_make(&p->source, &wish, errands, plan, err));
    *text = code ? NULL : lw_runs_json(plan, &camp, a->ask->version);
    lw_loaded_clear(&camp);
    return code;
}

/* Errands that the stay goes by are no part of a new plan, which takes their place; what is asked for stands above that. */
static lw_code leave_out_kept(lw_asked *a, lw_asked_plan *p, char **change, lw_err *err)
{
    int errands;
    const lw_code code = lw_runs_without_kept(a->book, a->ask->now_s, change, &errands, err);
    if (code || !*change || p->source.change_count == LW_ASK_PARAMS)
        return code;
    memmove(p->change + 1, p->change, (size_t)p->source.change_count * sizeof p->change[0]);
    p->change[0] = *change;
    p->source.change_count++;
    return LW_OK;
}

lw_code lw_ask_runs(lw_asked *a, lw_err *err)
{
    static const char *const ITS_KEYS[] = {"until", "confidence", "hour_value", "set", NULL};
    lw_asked_plan p;
    double hour_usd = (double)NAN;
    lw_errands *errands = calloc(1, sizeof *errands);
    lw_runs_planned *plan = calloc(1, sizeof *plan);
    lw_code code = errands && plan ? lw_asked_usd(a, "hour_value", &hour_usd, err)
                                   : lw_fail(err, LW_E_FULL, "no memory for a plan");
    code = code ? code : lw_asked_plan_open(a, ITS_KEYS, &p, err);
    char *text = NULL, *without_kept = NULL;
    if (!code) {
        code = leave_out_kept(a, &p, &without_kept, err);
        code = code ? code : plan_runs(a, &p, hour_usd, errands, plan, &text, err);
        lw_plan_source_close(&p.source);
    }
    free(without_kept);
    free(errands);
    free(plan);
    return code ? code : lw_asked_reply(a, text, err);
}

/* ---- what lies around ---- */

static lw_code reply_services(lw_asked *a, lw_err *err)
{
    char *own = NULL;
    const lw_code code = lw_errands_kept(a->book, &own, err);
    if (code)
        return code;
    lw_json j = {0};
    json_t *root = lw_json_object(&j);
    lw_json_text(&j, root, "schema", "leeway.services/1");
    lw_json_text(&j, root, "own", own);
    free(own);
    return lw_asked_reply_json(a, &j, root, err);
}

lw_code lw_ask_services(lw_asked *a, lw_err *err)
{
    static const char *const NONE[] = {NULL};
    const lw_code code = lw_asked_want_params(a, NONE, err);
    return code ? code : reply_services(a, err);
}

lw_code lw_ask_put_services(lw_asked *a, lw_err *err)
{
    json_t *root = NULL;
    const char *own = NULL;
    lw_code code = lw_asked_body(a, &root, err);
    code = code ? code : lw_asked_text(a, root, "own", &own, err);
    if (!code && !own) {
        a->reply->status = 400;
        code = lw_fail(err, LW_E_MISSING, "own is to be the text of a file of services, in YAML or JSON");
    }
    code = code ? code : lw_errands_keep_text(a->book, "services", own, err);
    json_decref(root);
    return code ? code : reply_services(a, err);
}
