/* Plans of the stay that goes on: what to change to stay longer, when to run the generator. Seconds of work each. */
#include <math.h>
#include <stdlib.h>

#include "service/ask_internal.h"
#include "service/generator_plan.h"
#include "service/levers.h"
#include "service/plan_source.h"
#include "text/say.h"

enum { CONFIDENCE_LEAST_PCT = 50, CONFIDENCE_MOST_PCT = 99, CONFIDENCE_USUAL_PCT = 80 };

typedef struct plan {
    lw_plan_source source;
    lw_words_choice choice;
    double confidence_frac;
} plan;

static lw_code open_plan(lw_asked *a, plan *p, lw_err *err)
{
    static const char *const KEYS[] = {"until", "confidence", NULL};
    int confidence_pct = CONFIDENCE_USUAL_PCT;
    *p = (plan){.source = {.book = a->book, .until = lw_asked_param(a, "until"), .now_s = a->ask->now_s, .seed = 1}};
    lw_code code = lw_asked_want_params(a, KEYS, err);
    code =
        code ? code : lw_asked_whole(a, "confidence", CONFIDENCE_LEAST_PCT, CONFIDENCE_MOST_PCT, &confidence_pct, err);
    code = code ? code : lw_asked_want_time(a, err);
    code = code ? code : lw_asked_want_stay(a, err);
    code = code ? code : lw_asked_choice(a, &p->choice, err);
    p->confidence_frac = confidence_pct / 100.0;
    return code ? code : lw_plan_source_open(&p->source, err);
}

lw_code lw_ask_levers(lw_asked *a, lw_err *err)
{
    plan p;
    lw_levers *levers = malloc(sizeof *levers);
    lw_code code = levers ? open_plan(a, &p, err) : lw_fail(err, LW_E_FULL, "no memory for a plan");
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
    plan p;
    lw_generator_plan *made = malloc(sizeof *made);
    lw_code code = made ? open_plan(a, &p, err) : lw_fail(err, LW_E_FULL, "no memory for a plan");
    if (code) {
        free(made);
        return code;
    }
    lw_trials trials = lw_plan_source_trials(&p.source);
    code = lw_generator_plan_make(
        &trials, &(lw_generator_wish){.confidence_frac = p.confidence_frac, .choice = p.choice}, made, err);
    if (code == LW_E_MISSING)
        a->reply->status = 409; /* no generator: a state of the rig, no mistake of who asks */
    char *text = code ? NULL : lw_generator_plan_json(made, &p.source.known.loaded, a->ask->version);
    lw_plan_source_close(&p.source);
    free(made);
    return code ? code : lw_asked_reply(a, text, err);
}
