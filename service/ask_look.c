/* Looking: outlook, today, what was learned, what was logged. */
#include <stdlib.h>
#include <string.h>

#include "service/allowance.h"
#include "service/ask_internal.h"
#include "service/foreseen.h"
#include "service/history.h"
#include "service/learned_json.h"
#include "service/learning.h"
#include "service/outlook_json.h"
#include "service/plan_calendar.h"
#include "service/plan_source.h"
#include "service/today_json.h"
#include "service/weather.h"
#include "text/say.h"

int lw_asked_values(const lw_asked *a, const char *key, const char *value[LW_ASK_PARAMS])
{
    int count = 0;
    for (int i = 0; i < a->param_count; i++)
        if (strcmp(a->key[i], key) == 0)
            value[count++] = a->value[i];
    return count;
}

lw_code lw_asked_want_changes(lw_asked *a, const char *const *change, int count, lw_err *err)
{
    for (int i = 0; i < count; i++)
        if (!strchr(change[i], '=') || change[i][0] == '=') {
            a->reply->status = 400;
            return lw_fail(err, LW_E_SYNTAX, "set=%s is not of the form set=KEY=VALUE",
                           lw_quoted(change[i], strlen(change[i])).text);
        }
    if (count == 0)
        return LW_OK;
    return lw_household_want_no_files(
        a->book, &(lw_scenario_from){.change = change, .change_count = count, .now_s = a->ask->now_s}, err);
}

typedef struct look {
    lw_words_choice choice;
    lw_outlook_answer answer;
} look;

lw_code lw_asked_want_stay(lw_asked *a, lw_err *err)
{
    lw_kept_stays stays = {0};
    lw_code code = lw_book_current_stay(a->book, a->ask->now_s, &stays, err);
    if (!code && stays.count == 0)
        code = lw_fail(err, LW_E_CONFLICT, "the book has no stay that is going on; begin one");
    lw_kept_stays_clear(&stays);
    return code;
}

static lw_code look_out(lw_asked *a, int usual_draws, int wants_series, look *to, lw_err *err)
{
    const char *change[LW_ASK_PARAMS], *done[LW_ASK_PARAMS];
    const int count = lw_asked_values(a, "set", change);
    int draws = usual_draws;
    lw_code code = lw_asked_whole(a, "draws", 1, LW_ASK_DRAWS_MOST, &draws, err);
    code = code ? code : lw_asked_want_changes(a, change, count, err);
    code = code ? code : lw_asked_want_stay(a, err);
    code = code ? code : lw_asked_choice(a, &to->choice, err);
    const lw_learning_request request = {
        .now_s = a->ask->now_s,
        .until = lw_asked_param(a, "until"),
        .change = change,
        .change_count = count,
        .done = done,
        .done_count = lw_asked_values(a, "done", done),
        .wants_series = wants_series,
        .draws = {.draws = draws, .seed = 1, .progress = lw_asked_goes_on, .with = (void *)a->ask}};
    return code ? code : lw_learning_run(a->book, &request, &to->answer, err);
}

lw_code lw_ask_outlook(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"set", "done", "draws", "until", "assumptions", "hours", NULL};
    look l = {.choice = {.units = LW_UNITS_US}};
    char *text = NULL;
    int wants_assumptions = 0, wants_hours = 0;
    lw_code code = lw_asked_want_params(a, KEYS, err);
    code = code ? code : lw_asked_whole(a, "assumptions", 0, 1, &wants_assumptions, err);
    code = code ? code : lw_asked_whole(a, "hours", 0, 1, &wants_hours, err);
    code = code ? code : lw_asked_want_time(a, err);
    code = code ? code : look_out(a, LW_DRAWS_USUAL, wants_hours, &l, err);
    if (!code)
        code = lw_outlook_json(&l.answer,
                               &(lw_json_options){.choice = l.choice,
                                                  .wants_assumptions = wants_assumptions,
                                                  .wants_series = wants_hours,
                                                  .is_compact = 1,
                                                  .version = a->ask->version},
                               &text, err);
    lw_outlook_answer_clear(&l.answer);
    return code ? code : lw_asked_reply(a, text, err);
}

int64_t lw_asked_moment(const lw_outlook *outlook, int64_t now_s)
{
    const int64_t end_s = outlook->departure_s ? outlook->departure_s : outlook->horizon_s;
    return now_s > outlook->start_s && now_s < end_s ? now_s : outlook->start_s;
}

lw_code lw_ask_today(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"set", "done", "draws", "until", NULL};
    look l = {.choice = {.units = LW_UNITS_US}};
    lw_today *today = malloc(sizeof *today);
    lw_allowance row[LW_SUPPLY_COUNT];
    char *text = NULL;
    lw_code code = today ? lw_asked_want_params(a, KEYS, err) : lw_fail(err, LW_E_FULL, "no memory for today");
    code = code ? code : lw_asked_want_time(a, err);
    code = code ? code : look_out(a, LW_DRAWS_USUAL, 1, &l, err);
    if (!code) {
        const lw_today_in in = {.answer = &l.answer,
                                .choice = l.choice,
                                .now_s = lw_asked_moment(l.answer.outlook, a->ask->now_s),
                                .engine_h = l.answer.learning->engine_h};
        code = lw_today_make(&in, today, err);
        if (!code) {
            const int count = lw_allowance_make(&l.answer, in.now_s, row);
            text = lw_today_json(&in, today, row, count, a->ask->version);
        }
    }
    free(today);
    lw_outlook_answer_clear(&l.answer);
    return code ? code : lw_asked_reply(a, text, err);
}

/* The generator's windows; none where the rig has no generator, or nothing to charge. */
static lw_code find_windows(lw_asked *a, const lw_words_choice *choice, lw_generator_plan **windows, lw_err *err)
{
    enum { CONFIDENCE_PCT = 80 };
    lw_plan_source source = {.book = a->book, .now_s = a->ask->now_s, .seed = 1};
    lw_err none = {0};
    lw_generator_plan *made = calloc(1, sizeof *made);
    if (!made)
        return lw_fail(err, LW_E_FULL, "no memory for the generator's windows");
    lw_code code = lw_plan_source_open(&source, err);
    if (code) {
        free(made);
        return code;
    }
    lw_trials trials = lw_plan_source_trials(&source);
    const lw_generator_wish wish = {.confidence_frac = CONFIDENCE_PCT / 100.0, .choice = *choice};
    code = lw_generator_plan_make(&trials, &wish, made, &none);
    lw_plan_source_close(&source);
    if (!code)
        *windows = made;
    else {
        free(made);
        if (code != LW_E_MISSING)
            *err = none;
    }
    return code == LW_E_MISSING ? LW_OK : code;
}

/* What is to be done, errands that are planned, where wished the generator's windows, and the stay's ends, for any calendar. */
lw_code lw_ask_calendar(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"generator", NULL};
    look l = {.choice = {.units = LW_UNITS_US}};
    lw_today *today = malloc(sizeof *today);
    lw_generator_plan *windows = NULL;
    char *text = NULL;
    int count, wants_windows = 0;
    lw_code code = today ? lw_asked_want_params(a, KEYS, err) : lw_fail(err, LW_E_FULL, "no memory for today");
    code = code ? code : lw_asked_whole(a, "generator", 0, 1, &wants_windows, err);
    code = code ? code : lw_asked_want_time(a, err);
    code = code ? code : look_out(a, LW_DRAWS_USUAL, 1, &l, err);
    if (!code && wants_windows)
        code = find_windows(a, &l.choice, &windows, err);
    if (!code) {
        const lw_today_in in = {.answer = &l.answer,
                                .choice = l.choice,
                                .now_s = lw_asked_moment(l.answer.outlook, a->ask->now_s),
                                .engine_h = l.answer.learning->engine_h};
        code = lw_today_make(&in, today, err);
        if (!code)
            code = lw_plan_calendar(&(lw_plan_calendar_in){.loaded = &l.answer.loaded,
                                                           .today = today,
                                                           .generator = windows,
                                                           .choice = l.choice,
                                                           .now_s = a->ask->now_s,
                                                           .version = a->ask->version},
                                    &text, &count, err);
    }
    free(today);
    free(windows);
    lw_outlook_answer_clear(&l.answer);
    code = code ? code : lw_asked_reply(a, text, err);
    if (!code)
        a->reply->type = "text/calendar; charset=utf-8";
    return code;
}

lw_code lw_ask_learned(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {NULL};
    look l = {.choice = {.units = LW_UNITS_US}};
    char *text = NULL;
    lw_code code = lw_asked_want_params(a, KEYS, err);
    code = code ? code : look_out(a, 1, 0, &l, err);
    code = code ? code : lw_learned_json(&l.answer, &l.choice, a->ask->version, &text, err);
    lw_outlook_answer_clear(&l.answer);
    return code ? code : lw_asked_reply(a, text, err);
}

/* Of the days from now on, as the outlook is computed with them. */
lw_code lw_ask_weather(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {NULL};
    lw_household home = {0};
    lw_weather_answer *answer = calloc(1, sizeof *answer);
    char *text = NULL;
    lw_code code = answer ? lw_asked_want_params(a, KEYS, err) : lw_fail(err, LW_E_FULL, "no memory for the weather");
    code = code ? code : lw_asked_want_stay(a, err);
    code = code ? code : lw_household_load(a->book, a->ask->now_s, a->ask->now_s, &home, err);
    code = code ? code : lw_weather_of_loaded(&home.loaded, answer, err);
    code = code ? code : lw_weather_json(answer, a->ask->version, &text, err);
    if (answer)
        lw_weather_answer_clear(answer);
    free(answer);
    lw_household_clear(&home);
    return code ? code : lw_asked_reply(a, text, err);
}

lw_code lw_ask_history(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"supply", "since", "last", "signal", "undone", NULL};
    enum { LAST_MOST = 100000 };
    lw_history_wish wish = {
        .now_s = a->ask->now_s, .since = lw_asked_param(a, "since"), .target = lw_asked_param(a, "supply")};
    lw_history_answer answer = {0};
    char *text = NULL;
    lw_code code = lw_asked_want_params(a, KEYS, err);
    code = code ? code : lw_asked_whole(a, "last", 1, LAST_MOST, &wish.last, err);
    code = code ? code : lw_asked_whole(a, "signal", 0, 1, &wish.is_signal, err);
    code = code ? code : lw_asked_whole(a, "undone", 0, 1, &wish.has_undone, err);
    code = code ? code : lw_asked_want_stay(a, err);
    code = code ? code : lw_history_gather(a->book, &wish, &answer, err);
    if (!code)
        text = lw_history_json(&answer, wish.is_signal);
    lw_history_clear(&answer);
    return code ? code : lw_asked_reply(a, text, err);
}

lw_code lw_ask_foreseen(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"days", NULL};
    enum { DAYS_USUAL = 7, DAYS_MOST = 90 };
    static const int64_t DAY_S = 86400;
    int days = DAYS_USUAL;
    lw_kept_stays stays = {0};
    lw_foreseen *foreseen = malloc(sizeof *foreseen);
    lw_code code = foreseen ? lw_asked_want_params(a, KEYS, err) : lw_fail(err, LW_E_FULL, "not enough memory");
    code = code ? code : lw_asked_whole(a, "days", 1, DAYS_MOST, &days, err);
    code = code ? code : lw_asked_want_stay(a, err);
    code = code ? code : lw_book_current_stay(a->book, a->ask->now_s, &stays, err);
    if (!code && foreseen && stays.count > 0)
        code = lw_foreseen_make(a->book, stays.stay[0].id, a->ask->now_s - days * DAY_S, a->ask->now_s, foreseen, err);
    char *text = code || !foreseen ? NULL : lw_foreseen_json(foreseen);
    lw_kept_stays_clear(&stays);
    free(foreseen);
    return code ? code : lw_asked_reply(a, text, err);
}
