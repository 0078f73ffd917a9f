/* service/ask_internal.h: what the sources ask_*.c share: one request being answered. */
#ifndef LW_SERVICE_ASK_INTERNAL_H
#define LW_SERVICE_ASK_INTERNAL_H

#include <stdio.h>

#include "book/id.h"
#include "service/ask.h"
#include "service/json.h"
#include "service/words.h"

typedef struct lw_asked {
    lw_book *book;
    const lw_ask *ask;
    lw_ask own; /* what ask points to once a device has set the clock */
    lw_reply *reply;
    const char *rest;                                      /* of the path, behind the route's */
    const char *key[LW_ASK_PARAMS], *value[LW_ASK_PARAMS]; /* of the query, decoded */
    int param_count;
    char text[LW_ASK_TARGET_BYTES]; /* what they point into */
    json_t *told;                   /* or this: a body in place of a query, owned */
} lw_asked;

/* Gives LW_OK with the reply's body filled, or a failure; a->reply->status, where set then, is its status. */
typedef lw_code lw_ask_fn(lw_asked *a, lw_err *err);

lw_ask_fn lw_ask_state, lw_ask_clock, lw_ask_settings, lw_ask_put_settings, lw_ask_begin, lw_ask_check, lw_ask_scenario,
    lw_ask_starts, lw_ask_demo, lw_ask_end_demo, lw_ask_outlook, lw_ask_today, lw_ask_learned, lw_ask_weather,
    lw_ask_history, lw_ask_foreseen, lw_ask_people, lw_ask_levers, lw_ask_generator, lw_ask_calendar, lw_ask_gauges,
    lw_ask_entries, lw_ask_undo, lw_ask_devices, lw_ask_revoke, lw_ask_checklists, lw_ask_ticks, lw_ask_ledger,
    lw_ask_plain, lw_ask_plain_svg, lw_ask_plain_css, lw_ask_plain_form;

lw_ask_fn lw_ask_places, lw_ask_rank, lw_ask_compare, lw_ask_progress, lw_ask_map, lw_ask_drive, lw_ask_place,
    lw_ask_place_sheet, lw_ask_place_around, lw_ask_place_climate, lw_ask_place_sun, lw_ask_place_signal,
    lw_ask_place_signal_run, lw_ask_add_place, lw_ask_edit_place, lw_ask_forget_place, lw_ask_recall_place,
    lw_ask_give_places, lw_ask_take_places;

lw_ask_fn lw_ask_trip, lw_ask_trip_export;

lw_ask_fn lw_ask_left, lw_ask_leave, lw_ask_go_on;

lw_ask_fn lw_ask_runs, lw_ask_provisions, lw_ask_buy, lw_ask_cost, lw_ask_rhythm, lw_ask_share, lw_ask_convoy,
    lw_ask_services, lw_ask_put_services;

/* ---- helpers ---- */

const char *lw_asked_param(const lw_asked *a, const char *key); /* the first; NULL: none */
/* One that must be there. */
LW_MUST_USE lw_code lw_asked_want(lw_asked *a, const char *key, const char **value, lw_err *err);
LW_MUST_USE lw_code lw_asked_missing(lw_asked *a, lw_code code); /* LW_E_MISSING is a name that is none: 404 */
/* Without a stay there is nothing to look at: a state of the book, no mistake of who asks. */
LW_MUST_USE lw_code lw_asked_want_stay(lw_asked *a, lw_err *err);
/* Refuses a query with any other key. NULL-ended. */
LW_MUST_USE lw_code lw_asked_want_params(lw_asked *a, const char *const *keys, lw_err *err);
LW_MUST_USE lw_code lw_asked_whole(lw_asked *a, const char *key, int least, int most, int *to, lw_err *err);

/* All values of a key, "set=rig.solar=400 W", "done=dumped grey". */
int lw_asked_values(const lw_asked *a, const char *key, const char *value[LW_ASK_PARAMS]);
/* Changes to a scenario's keys that came from another device: of the form KEY=VALUE, and no names of files. */
LW_MUST_USE lw_code lw_asked_want_changes(lw_asked *a, const char *const *change, int count, lw_err *err);
/* Left as it is where the query has none. */
LW_MUST_USE lw_code lw_asked_real(lw_asked *a, const char *key, double least, double most, double *to, lw_err *err);

/* The body of a form, in place of the query. */
LW_MUST_USE lw_code lw_asked_form(lw_asked *a, lw_err *err);
/* Now, as long as the outlook goes; before or behind it, its start. */
int64_t lw_asked_moment(const lw_outlook *outlook, int64_t now_s);

/* A doubted clock: LW_E_CONFLICT and the sentence that asks for the time. */
LW_MUST_USE lw_code lw_asked_want_time(lw_asked *a, lw_err *err);
/* Takes a device's time for a doubted clock's; any other clock stays as it is. */
LW_MUST_USE lw_code lw_asked_take_time(lw_asked *a, int64_t said_s, lw_err *err);
/* An instant under a key; 0 where there is none or null. */
LW_MUST_USE lw_code lw_asked_instant(lw_asked *a, const json_t *root, const char *key, int64_t *to_s, lw_err *err);

/* The body as a JSON object; json_decref frees. */
LW_MUST_USE lw_code lw_asked_body(lw_asked *a, json_t **root, lw_err *err);
/* A text under a key; NULL where there is none or null. LW_E_SYNTAX: something else. */
LW_MUST_USE lw_code lw_asked_text(lw_asked *a, const json_t *root, const char *key, const char **text, lw_err *err);
LW_MUST_USE lw_code lw_asked_id(lw_asked *a, const json_t *root, const char *key, lw_id *id, lw_err *err);

/* Whether somebody still waits: what long work asks as it goes (a progress of service/draws.h and its like). ask: a const lw_ask. */
int lw_asked_goes_on(void *ask, int done, int of);
int lw_asked_tells(void *ask, int done, int of); /* and tells whoever looks how far it is */
int lw_asked_is_enough(void *ask);

/* Takes the text over as the reply's body; NULL is LW_E_FULL. */
LW_MUST_USE lw_code lw_asked_reply(lw_asked *a, char *text, lw_err *err);
LW_MUST_USE lw_code lw_asked_reply_json(lw_asked *a, lw_json *j, json_t *root, lw_err *err);

/* Text from outside into HTML. */
void lw_asked_put_html(FILE *to, const char *text);

/* The household's choice, as kept in the book. */
LW_MUST_USE lw_code lw_asked_choice(lw_asked *a, lw_words_choice *choice, lw_err *err);
const char *lw_asked_device(const lw_asked *a, const char *said);

#endif
