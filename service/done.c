#include "service/done.h"

#include <stdio.h>
#include <string.h>

#include "service/entries_apply.h"
#include "service/people.h"
#include "text/say.h"

static lw_code take_record(lw_loaded *loaded, const lw_log_record *record, const char *event, lw_done *done,
                           lw_err *err)
{
    lw_people_moved moved;
    double sd;
    if (record->kind == LW_LOG_PEOPLE)
        return lw_people_apply(loaded, record, &moved)
                   ? LW_OK
                   : lw_fail(err, LW_E_RANGE, "%s: the crew cannot come or go like that",
                             lw_quoted(event, strlen(event)).text);
    const int is_transfer = record->kind == LW_LOG_FILLED || record->kind == LW_LOG_DUMPED ||
                            record->kind == LW_LOG_GAVE || record->kind == LW_LOG_RECEIVED;
    if (!is_transfer || record->vessel < 0)
        return lw_fail(err, LW_E_SYNTAX,
                       "%s is nothing that can be tried as done now; write such as filled fresh 40 gal, dumped grey "
                       "or people +2",
                       lw_quoted(event, strlen(event)).text);
    if (done->count == LW_DONE_TRANSFERS)
        return lw_fail(err, LW_E_FULL, "more than %d fills and dumps at once", LW_DONE_TRANSFERS);
    lw_transfer_of_record(loaded, record, &done->transfer[done->count++], &sd);
    return LW_OK;
}

static lw_code read_event(lw_loaded *loaded, int64_t now_s, const char *event, lw_done *done, lw_err *err)
{
    char text[LW_LOG_TEXT];
    const char *word[LW_DONE_WORDS];
    int count = 0;
    lw_logged logged;
    if (strlen(event) >= sizeof text)
        return lw_fail(err, LW_E_FULL, "an event is %zu characters at most", sizeof text - 1);
    snprintf(text, sizeof text, "%s", event);
    for (char *next = text, *at; (at = strtok_r(next, " ", &next)) != NULL;) {
        if (count == LW_DONE_WORDS)
            return lw_fail(err, LW_E_FULL, "an event is %d words at most", LW_DONE_WORDS);
        word[count++] = at;
    }
    lw_code code = lw_log_read(loaded, now_s, word, count, &logged, err);
    for (int i = 0; i < logged.count && !code; i++)
        code = take_record(loaded, &logged.record[i], event, done, err);
    return code;
}

lw_code lw_done_read(lw_loaded *loaded, int64_t now_s, const char *const *event, int count, lw_done *done, lw_err *err)
{
    lw_code code = LW_OK;
    done->count = 0;
    if (count > LW_DONE_EVENTS)
        return lw_fail(err, LW_E_FULL, "more than %d events at once", LW_DONE_EVENTS);
    for (int i = 0; i < count && !code; i++)
        code = read_event(loaded, now_s, event[i], done, err);
    return code;
}

/* Water of a neighbour is not known to be fit to drink. */
void lw_done_to_rig(const lw_done *done, lw_rig *rig)
{
    for (int i = 0; i < done->count; i++) {
        lw_vessel *vessel = &rig->vessel[done->transfer[i].vessel];
        vessel->level = lw_transfer_level(vessel, &done->transfer[i], vessel->level);
        if (done->transfer[i].potable == LW_POTABLE_UNKNOWN && vessel->potable == LW_POTABLE_YES)
            vessel->potable = LW_POTABLE_UNKNOWN;
    }
}

void lw_done_to_state(const lw_done *done, const lw_rig *rig, lw_state *state)
{
    for (int i = 0; i < done->count; i++) {
        const lw_transfer *transfer = &done->transfer[i];
        const lw_vessel *vessel = &rig->vessel[transfer->vessel];
        state->level[transfer->vessel] = lw_transfer_level(vessel, transfer, state->level[transfer->vessel]);
        if (vessel->supply == LW_SUPPLY_RUBBISH && transfer->kind == LW_TRANSFER_EMPTY)
            state->rubbish_age_frac = 0.0;
    }
}
