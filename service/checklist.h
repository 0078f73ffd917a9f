/* service/checklist.h: what is gone through on arrival, on leaving, at the dump, for sanitising the tank, before a winter night.
 *
 * Items      the rows of data/checklists.csv whose part this rig has, in their order. A part that the scenario neither
 *            gives nor denies (slides, awning) leaves its items in, marked is_unsure.
 * Parts      fresh grey black drinking propane fuel (a vessel of that supply), filter, black-valve (a black tank with a
 *            valve), cassette, dry-toilet, generator, inverter, solar, solar-portable, solar-tilted, awning, slides,
 *            water-heater, furnace, fridge-gas, pads, bay-cold (tanks hang in the cold), lead-acid, lithium, network, vital,
 *            animals, work, and how such a rig travels: towed, driven, carried. A blank parts all that are needed, a stroke those of
 *            which one is enough.
 * Dose       of bleach for each fresh tank filled to the brim, by core/house/disinfect.h. Where the label's strength is not
 *            said, LW_BLEACH_USUAL_PCT is taken and the doses of the weakest and strongest usual bleach stand beside it.
 * Ticks      entries of the stay in the book: kind tick, target "leaving/gas-off", amount 1 or 0; a fresh start has the
 *            list's name alone as target. What counts is the last that arrived behind the last fresh start. All of one call or none.
 * Errors     LW_E_MISSING no such list, with the nearest; LW_E_RANGE a strength that no bleach has; LW_E_SYNTAX a row of the
 *            table that is none; those of book/entries.h.
 * Source     each row's own; usual strengths: EPA 816-F-15-003 (6 and 8.25 %), CDC (5-6 %). */
#ifndef LW_SERVICE_CHECKLIST_H
#define LW_SERVICE_CHECKLIST_H

#include "book/entries.h"
#include "exchange/scenario.h"

enum { LW_CHECK_ITEMS = 40, LW_CHECK_TEXT = 720, LW_CHECK_SOURCE = 200, LW_CHECK_CAUTIONS = 12 };

#define LW_BLEACH_USUAL_PCT  6.0
#define LW_BLEACH_WEAK_PCT   5.25
#define LW_BLEACH_STRONG_PCT 8.25

/* id, name, title */
#define LW_CHECKLISTS(X)                                                                                               \
    X(ARRIVING, "arriving", "Arriving")                                                                                \
    X(LEAVING, "leaving", "Leaving camp")                                                                              \
    X(DUMPING, "dumping", "At the dump")                                                                               \
    X(SANITISING, "sanitising", "Sanitising the fresh tank")                                                           \
    X(WINTER_NIGHT, "winter-night", "Before a winter night")

typedef enum lw_checklist_id {
#define LW_CHECKLIST_ID(id, name, title) LW_CHECKLIST_##id,
    LW_CHECKLISTS(LW_CHECKLIST_ID) LW_CHECKLIST_COUNT
#undef LW_CHECKLIST_ID
} lw_checklist_id;

const char *lw_checklist_name(lw_checklist_id id);
const char *lw_checklist_title(lw_checklist_id id);

/* By its name or the beginning of it; "sanitizing" too. */
LW_MUST_USE lw_code lw_checklist_find(const char *typed, lw_checklist_id *id, lw_err *err);

typedef struct lw_check_item {
    char id[LW_NAME], text[LW_CHECK_TEXT];
    int is_unsure; /* the scenario does not say whether the rig has its part */
    int is_ticked;
    int64_t ticked_s;      /* stated; of the tick, LW_NO_TIME without */
    char caution[LW_NAME]; /* empty: none */
    char source[LW_CHECK_SOURCE], kind[24];
} lw_check_item;

typedef struct lw_check_caution {
    char id[LW_NAME], title[64], text[LW_CHECK_TEXT], source[LW_CHECK_SOURCE];
} lw_check_caution;

typedef struct lw_check_dose {
    int vessel;
    double bleach_ml, least_ml, most_ml; /* least with the strongest bleach; all alike where the label was read */
} lw_check_dose;

typedef struct lw_checklist {
    lw_checklist_id id;
    lw_check_item item[LW_CHECK_ITEMS];
    int count, ticked;
    int64_t since_s;                             /* of the last fresh start; LW_NO_TIME: none */
    lw_check_caution caution[LW_CHECK_CAUTIONS]; /* of the items shown, each once */
    int caution_count;
    double bleach_pct; /* SANITISING */
    int is_bleach_assumed;
    lw_check_dose dose[LW_VESSELS];
    int dose_count; /* 0 but for SANITISING */
} lw_checklist;

typedef struct lw_checklist_in {
    const lw_loaded *loaded;
    lw_checklist_id id;
    double bleach_pct; /* of the label; NaN: not said */
    lw_unit_system units;
} lw_checklist_in;

/* Without ticks. */
LW_MUST_USE lw_code lw_checklist_make(const lw_checklist_in *in, lw_checklist *list, lw_err *err);

/* Whether the rig has the parts: 1, 0, -1 not said; -2 where a word is no part. */
int lw_checklist_has(const lw_loaded *loaded, const char *parts);

LW_MUST_USE lw_code lw_checklist_take_ticks(lw_book *book, int64_t stay, lw_checklist *list, lw_err *err);

typedef struct lw_checklist_marks {
    int is_fresh_start;        /* before the ticks */
    uint64_t ticked, unticked; /* bit per item */
    int64_t stay, stated_s, device_s;
    const char *device;
    int is_clock_doubted;
} lw_checklist_marks;

/* Into the book, and into the list. What is ticked already keeps its time. */
LW_MUST_USE lw_code lw_checklist_mark(lw_book *book, const lw_checklist_marks *marks, lw_checklist *list, lw_err *err);

/* "leaving: gas-off ticked". Gives buf. */
char *lw_checklist_entry_say(const lw_entry *entry, char *buf, size_t n);

/* The JSON leeway.checklist/1 (docs/checklist.schema.json); the text is the caller's; NULL: no memory. */
char *lw_checklist_json(const lw_loaded *loaded, const lw_checklist *list, int is_12_hour, const char *version);

#endif
