/* service/learning.h: the outlook of the stay that the book follows, from what its readings say of this household.
 *
 * Computes   The stay's past is run again in many draws (core/learn/learn.h) under the weather that was kept, held to the
 *            readings and events of the book; its draws of the state now and of the household go on as the outlook's own.
 * Inputs     an open book, the moment, how many draws; changes and another departure as for a file.
 * Results    lw_learning_run: an answer as of a file, with answer->learning set. The outlook begins at the next full hour.
 * Keeps      what was learned (service/learned_kept.h) and, once a day, the forecast (service/forecast.h), where the book takes
 *            writes.
 * Weather    hours that the book has kept stand over the scenario's; hours that have passed are kept on the way where a
 *            forecast or an hourly file says them and the book takes writes.
 * Errors     those of service/household.h, service/entries_apply.h and core/learn/learn.h, in one sentence.
 * Limits     what is known at the start is taken as known to START_FRAC of a vessel; a stay longer than PAST_DAYS is learned from its last
 *            days, begun without knowing any level. */
#ifndef LW_SERVICE_LEARNING_H
#define LW_SERVICE_LEARNING_H

#include "book/book.h"
#include "core/learn/learn.h"
#include "service/household.h"
#include "service/outlook.h"

enum { LW_LEARN_DRAWS_USUAL = 500, LW_FIRST_FORECAST_DRAWS = 40, LW_LEARN_SEED_USUAL = 1 };

typedef struct lw_learning {
    lw_learned learned;
    lw_arena arena;         /* what learned points into */
    int64_t begin_s;        /* of the past that was run again */
    int64_t now_s;          /* where past ends and outlook begins */
    int is_recalled;        /* from what the book kept of an earlier learning, lived on to now */
    int readings, left_out; /* of the book: used; of no use, such as volts under load */
    lw_draw_start *start; /* learned.draw with households as shares of the middle one, which the scenario has: owned */
    lw_reading *reading;  /* sorted by time: owned */
    double engine_h;      /* last counter read; NaN: none */
} lw_learning;

typedef struct lw_learning_request {
    int64_t now_s;
    const char *until;         /* NULL: the stay's own */
    const char *const *change; /* "rig.solar=400 W" of the outlook, not of the past */
    int change_count;
    const char *const *done; /* what if this were done now (service/done.h): "dumped grey" */
    int done_count;
    int wants_series;
    lw_draws_wish draws;
    int ahead_days;  /* lw_outlook_near; 0: as far as the scenario goes */
    int learn_draws; /* 0: LW_LEARN_DRAWS_USUAL */
    int is_for_once; /* what is learned is not kept */
} lw_learning_request;

LW_MUST_USE lw_code lw_learning_run(lw_book *book, const lw_learning_request *request, lw_outlook_answer *answer,
                                    lw_err *err);

/* Learns of the stay at this moment and keeps it in the book, unless that is kept already: so that the next question need
 * not wait. Nothing else changes; where it fails or is broken off, the next question learns for itself. */
LW_MUST_USE lw_code lw_learning_keep(lw_book *book, int64_t now_s, lw_err *err);

/* The first forecast of the stay that goes on, of few draws, so that there is one when nobody asks on its first day; the first
 * question of the day puts a better one in its place. */
LW_MUST_USE lw_code lw_learning_first_forecast(lw_book *book, int64_t now_s, lw_err *err);

/* ---- in words ---- */

/* Whether the rig's file leaves it open: CAPACITY, RESIDUE or BIAS of a water tank. */
int lw_is_unsure(const lw_loaded *loaded, int vessel, lw_learned_what what);
/* Of what is unsure, column 0: "grey holds", 1 to 3: about, from, to. */
void lw_say_unsure(const lw_outlook_answer *answer, lw_unit_system units, int vessel, lw_learned_what what, int column,
                   char *buf, size_t n);
/* Which two things of a tank cannot be told apart, and the one action that settles it; "" where there is nothing. */
void lw_say_tie(const lw_rig *rig, const lw_learning *learning, int vessel, int is_page, char *buf, size_t n);

/* The scenario of the book with the request's changes, its levels and habits as learned; *start: draws to go on from, owned by
 * the caller (free), l->learned.draws of them. A vessel that a change adds begins as the change says. */
LW_MUST_USE lw_code lw_learning_changed(lw_book *book, const lw_learning_request *request, const lw_learning *l,
                                        lw_loaded *loaded, lw_draw_start **start, lw_err *err);

/* The household of the book at another stay, as the changes say it: levels are the scenario's, use is as learned. *start as
 * above, without states: those are for the caller to fill (lw_state_start). What tanks were learned to hold is left out. */
LW_MUST_USE lw_code lw_learning_anew(lw_book *book, const lw_learning *l, const char *const *change, int change_count,
                                     lw_loaded *loaded, lw_draw_start **start, lw_err *err);

void lw_learning_free(lw_learning *learning); /* NULL is fine */

#endif
