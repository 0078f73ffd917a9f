/* service/log.h: a reading or an event as people type it, as a checked record.
 *
 * Reads      readings  NAME=VALUE, several at once; a name may be of several words: kitchen grey=1/3
 *              NAME    a vessel ("kitchen grey"), a supply that has one vessel ("fresh"), "battery", "generator",
 *                      "SUPPLY/VESSEL"; any beginning that fits one of them alone
 *              VALUE   what the gauge shows: 2/3, 33 %, full, empty, 12.4V, "14 lb", 2bags, "12 GB" (left), 412.3h; ? is "I do
 *                      not know", which is kept as nothing
 *                      "about 1/2", "about 15 gal": by eye, whatever gauge there is
 *                      "2/3 to 1/3": the light changed just now, so that the level is where it changes
 *                      "12.4V at rest": a battery neither charged nor drawn from for some hours
 *            events    one a line, the verb first (or last: rubbish dropped)
 *              filled THING... [AMOUNT]   to the brim, or so much put in; refuelled is filled fuel
 *              filled THING AMOUNT to the brim   both: a metered fill, which tells what was missing
 *              dumped THING... [AMOUNT]   to what always stays, or so much let out; dropped is dumped rubbish
 *              gave THING AMOUNT to NAME, received THING AMOUNT from NAME
 *              sanitised THING            a fresh tank, and filled from a drinking-water tap: its water is no longer doubted
 *              spent AMOUNT CURRENCY KIND [what for]; among readings too: spent="23.50 USD propane" (service/spent.h)
 *              people +2 (came), people -1 (left), people +1 child, people -Ada, people +Marlow, each with
 *                                         until 2026-06-20 12:00; moved PLACE, habits changed
 *            A supply of several vessels as a THING is all of them, where no amount is said.
 * Results    lw_logged: records, checked against the rig's vessels and gauges, low and high in the vessel's own unit.
 * Errors     one sentence: what was typed, what fits; the nearest known name; what the gauge can show. All or nothing.
 *            all SUPPLY=VALUE is of a gauge that shows several vessels together, of the kind that the first of them has.
 * Limits     LW_LOG_RECORDS a line. */
#ifndef LW_SERVICE_LOG_H
#define LW_SERVICE_LOG_H

#include "core/base/units.h"
#include "exchange/scenario.h"

enum {
    LW_LOG_RECORDS = 32,
    LW_LOG_TEXT = 96,  /* of one record as it was typed */
    LW_LOG_SAID = 320, /* a record in words */
    LW_LOG_WHERE = 48,
    LW_LOG_BATTERY = LW_READ_BATTERY,
    LW_LOG_GENERATOR = -2,
    LW_LOG_NOTHING = -3, /* no vessel: people, place, habits */
};

/* id, verb */
#define LW_LOG_KINDS(X)                                                                                                \
    X(READING, "reading")                                                                                              \
    X(FILLED, "filled")                                                                                                \
    X(DUMPED, "dumped")                                                                                                \
    X(GAVE, "gave")                                                                                                    \
    X(RECEIVED, "received")                                                                                            \
    X(SANITISED, "sanitised")                                                                                          \
    X(PEOPLE, "people")                                                                                                \
    X(MOVED, "moved")                                                                                                  \
    X(HABITS, "habits")                                                                                                \
    X(SPENT, "spent")

typedef enum lw_log_kind {
#define LW_LOG_ID(id, verb) LW_LOG_##id,
    LW_LOG_KINDS(LW_LOG_ID) LW_LOG_KIND_COUNT
#undef LW_LOG_ID
} lw_log_kind;

typedef struct lw_log_record {
    lw_log_kind kind;
    int64_t at_s;
    int vessel;           /* of the rig; LW_LOG_BATTERY, LW_LOG_GENERATOR, LW_LOG_NOTHING */
    uint32_t also;        /* READING: bits of the further vessels of that supply, where one gauge shows all together */
    char target[LW_NAME]; /* its name; "all grey", "battery", "generator"; SPENT: the kind; empty */
    char unit
        [16]; /* of low, high, amount: l, kg, gb, person_days; frac or v (battery), h (generator); SPENT: the currency; empty */
    double low, high; /* READING: as core/learn/gauge.h says; open ends are infinities. Equal: the light changed then */
    double shown, shown_before; /* READING: what the gauge showed, in its own terms; before: NaN unless it changed */
    int gauge;                  /* READING: of the vessel's gauges; LW_GAUGES_EACH: the eye */
    double lie_frac;
    int is_at_rest; /* battery volts */
    double amount;  /* FILLED, DUMPED: NaN: all; GAVE, RECEIVED; SPENT: of the currency, below zero: money back */
    int is_brim;    /* FILLED with an amount: until it was full */
    int people;     /* PEOPLE: +2, -1 */
    lw_being being; /* PEOPLE: adult where nothing was said */
    int is_kind_said;
    int64_t until_s; /* PEOPLE: 0: for good */
    char party
        [LW_NAME]; /* GAVE, RECEIVED: with whom; MOVED: where to; SPENT: what for; PEOPLE: who, where a name was said */
    char where[LW_LOG_WHERE]; /* MOVED: "38.57,-109.55,6000 ft"; empty: a place that the book knows */
    char text[LW_LOG_TEXT];
} lw_log_record;

typedef struct lw_logged {
    lw_log_record record[LW_LOG_RECORDS];
    int count;
    char unknown[LW_LOG_RECORDS][LW_NAME]; /* answered with "?" */
    int unknown_count;
} lw_logged;

const char *lw_log_verb(lw_log_kind kind);

/* `words` as a shell parts them. */
LW_MUST_USE lw_code lw_log_read(const lw_loaded *rig, int64_t at_s, const char *const *words, int count,
                                lw_logged *logged, lw_err *err);

/* A record as one could type it, in words of a line each parted by a blank: lw_log_read of it gives the record again. Gives buf. */
char *lw_log_print(const lw_loaded *rig, const lw_log_record *record, char *buf, size_t n);

/* What was understood: "fresh between 1/3 and 2/3 (13 to 27 gal)". Gives buf. */
char *lw_log_say(const lw_loaded *rig, const lw_log_record *record, lw_unit_system units, char *buf, size_t n);

/* How a thing is read: "lights: empty, 1/3, 2/3, full". Gives buf. */
char *lw_log_gauges_say(const lw_loaded *rig, int vessel, lw_unit_system units, char *buf, size_t n);

/* A civil time of the place: "2026-06-18 7:30", or "7:30" of today. NULL: now. Refuses what the clock skips, what is later than
 * now, what is before from_s; of a time shown twice the first, and *is_twice. */
LW_MUST_USE lw_code lw_log_time(const lw_zone *zone, const char *text, int64_t now_s, int64_t from_s, int64_t *at_s,
                                int *is_twice, lw_err *err);

#endif
