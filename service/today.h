/* service/today.h: the few things to do now, each with its reason, its latest time and what happens otherwise.
 *
 * Inputs    a finished outlook with hourly rows of its joint course (wants_series), the moment it is asked for, which lies in
 *           the outlook; the generator's own counter where it is known.
 * Results   lw_today, filled whole: things to do in the order of their latest times, but what a life hangs on first. The
 *           first `due` of them cannot wait past the end of tomorrow; the others are later. Nothing due is a good answer.
 * Rules     a supply is due by the moment until which it is safe (P10; in one course the end itself), when that comes before
 *           the wished departure; supplies that are due within three days of the first are one run. A generator window is
 *           found by running the camp's next hours again with the set on for one hour, two, ..: the fewest hours inside
 *           the allowed ones that keep the battery above its floor until it may run again, tomorrow or the day after, begun
 *           as late as that works, so that the sun has its chance.
 * Kept      generator windows and errands of the stay's plan (stay.generator, stay.events) stand at their time: those that are due, or
 *           the next one.
 * Lists     the checklists of what is due: arriving on the day of arrival, leaving where the wished departure is due, dumping
 *           before a run that dumps, sanitising where water is doubted, winter-night where cold is due.
 * Errors    LW_E_FULL; LW_E_RANGE for a moment outside the outlook; those of the tables of data/.
 * Limits    the usual course: what only some draws bring is not among the things to do, but for supplies. One generator
 *           window. Days are civil days of the place. */
#ifndef LW_SERVICE_TODAY_H
#define LW_SERVICE_TODAY_H

#include "service/checklist.h"
#include "service/words.h"

enum { LW_TODOS = 32, LW_TODOS_SHOWN = 6 };

#define LW_TODO_KINDS(X)                                                                                               \
    X(VITAL, "vital")                                                                                                  \
    X(OVERDUE, "overdue") /* whether the household is still here */                                                    \
    X(POWER, "power")                                                                                                  \
    X(RUN, "run")                                                                                                      \
    X(STAY, "stay")                                                                                                    \
    X(PERMIT, "permit")                                                                                                \
    X(DATA, "data") /* for leisure, where work has a reserve */                                                        \
    X(COLD, "cold")                                                                                                    \
    X(HEAT, "heat")                                                                                                    \
    X(OUTSIDE, "outside") /* snow on panels, wind */                                                                   \
    X(FOOD, "food")                                                                                                    \
    X(RUBBISH, "rubbish")                                                                                              \
    X(WATER, "water") /* is it fit to drink */                                                                         \
    X(UPKEEP, "upkeep")

typedef enum lw_todo_kind {
#define LW_TODO_ID(id, word) LW_TODO_##id,
    LW_TODO_KINDS(LW_TODO_ID) LW_TODO_KIND_COUNT
#undef LW_TODO_ID
} lw_todo_kind;

typedef struct lw_todo {
    lw_todo_kind kind;
    int64_t by_s;      /* latest time; what has begun already: now */
    uint32_t supplies; /* RUN: bit per supply that has to be served by then */
    uint32_t also;     /* RUN: bit per supply that the same run may serve */
    int is_kept;       /* a window or an errand of the stay's plan */
    int generator_h;   /* POWER: hours it has to run, begun by by_s at the latest; 0: none is found or there is none */
    char what[LW_SENTENCE], why[LW_SENTENCE], otherwise[LW_SENTENCE];
    char caution[LW_NAME]; /* its row in data/cautions.csv; empty: none */
} lw_todo;

/* A checklist that belongs to what is due. */
typedef struct lw_today_list {
    lw_checklist_id id;
    char why[96];
} lw_today_list;

typedef struct lw_today {
    int64_t now_s, due_until_s;
    lw_todo item[LW_TODOS];
    int count, due, lost; /* lost: more than there is room for */
    char headline[LW_SENTENCE];
    lw_today_list list[LW_CHECKLIST_COUNT];
    int list_count;
} lw_today;

/* Without a wished departure it looks so many days ahead: what comes later is nothing for today, and each day costs time. */
enum { LW_TODAY_AHEAD_DAYS = 14 };

typedef struct lw_today_in {
    const lw_outlook_answer *answer;
    lw_words_choice choice;
    int64_t now_s;
    double engine_h; /* the generator's counter; NaN: not known */
} lw_today_in;

LW_MUST_USE lw_code lw_today_make(const lw_today_in *in, lw_today *today, lw_err *err);

const char *lw_todo_word(lw_todo_kind kind);

#endif
