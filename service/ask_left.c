/* Leaving: the stay that goes on ends, what it was like, and back again. */
#include <stdlib.h>

#include "service/ask_internal.h"
#include "service/stay_end.h"
#include "text/say.h"

static const char *const NO_KEYS[] = {NULL};

lw_code lw_ask_left(lw_asked *a, lw_err *err)
{
    lw_words_choice choice = {.units = LW_UNITS_US};
    char *scenario = NULL;
    lw_stay_summary *s = malloc(sizeof *s);
    lw_code code = s ? lw_asked_want_params(a, NO_KEYS, err) : lw_fail(err, LW_E_FULL, "no memory for a summary");
    code = code ? code : lw_asked_choice(a, &choice, err);
    if (!code && s) {
        code = lw_stay_left(a->book, a->ask->now_s, s, &scenario, err);
        if (code == LW_E_MISSING)
            a->reply->status = 409;
    }
    if (!code && s)
        code = lw_asked_reply(a, lw_stay_left_json(s, choice.is_12_hour, scenario), err);
    free(scenario);
    free(s);
    return code;
}

lw_code lw_ask_leave(lw_asked *a, lw_err *err)
{
    json_t *root = NULL;
    int64_t at_s = 0;
    lw_stay_summary *s = malloc(sizeof *s);
    lw_code code = s ? lw_asked_want_params(a, NO_KEYS, err) : lw_fail(err, LW_E_FULL, "no memory for a summary");
    code = code ? code : lw_asked_body(a, &root, err);
    code = code ? code : lw_asked_instant(a, root, "at", &at_s, err);
    code = code ? code : lw_asked_want_time(a, err);
    if (!code && s) {
        code = lw_stay_end(a->book, at_s ? at_s : a->ask->now_s, a->ask->now_s, s, err);
        if (code == LW_E_MISSING)
            a->reply->status = 409;
    }
    json_decref(root);
    free(s);
    return code ? code : lw_ask_left(a, err);
}

static char *gone_on_json(const lw_gone_on *gone)
{
    lw_json j = {.zone = &gone->zone};
    char text[LW_SENTENCE];
    json_t *root = lw_json_object(&j), *says = lw_json_array(&j);
    lw_json_text(&j, root, "schema", "leeway.gone_on/1");
    snprintf(text, sizeof text, "Your stay at %s goes on.", gone->place);
    lw_json_add(&j, says, json_string(text));
    if (gone->dropped[0]) {
        snprintf(text, sizeof text, "The stay at %s, begun since, is out of the book: nothing was logged in it.",
                 gone->dropped);
        lw_json_add(&j, says, json_string(text));
    }
    lw_json_put(&j, root, "says", says);
    return lw_json_finish(&j, root, 1);
}

lw_code lw_ask_go_on(lw_asked *a, lw_err *err)
{
    lw_gone_on gone;
    lw_code code = lw_asked_want_params(a, NO_KEYS, err);
    code = code ? code : lw_stay_go_on(a->book, a->ask->now_s, &gone, err);
    if (code == LW_E_MISSING)
        a->reply->status = 409;
    return code ? code : lw_asked_reply(a, gone_on_json(&gone), err);
}
