/* service/words_internal.h: what the parts of service/words share. */
#ifndef LW_SERVICE_WORDS_INTERNAL_H
#define LW_SERVICE_WORDS_INTERNAL_H

#include <stddef.h>

#include "service/words.h"

typedef struct lw_speaker {
    const lw_outlook *outlook;
    const lw_scenario *scenario;
    const lw_loaded *loaded;
    lw_words_choice choice;
} lw_speaker;

/* A text that is added to and cut at its end, between characters of UTF-8. */
typedef struct lw_line {
    char *text;
    size_t size, used;
} lw_line;

lw_line lw_line_of(char *text, size_t size);
void lw_line_add(lw_line *line, const char *fmt, ...) LW_PRINTF(2, 3);

const char *lw_temperature_say(const lw_speaker *s, double air_c, char *buf, size_t n);
const char *lw_when_say(const lw_speaker *s, int64_t at_s, char *buf, size_t n);
const char *lw_hour_say(const lw_speaker *s, int64_t at_s, char *buf, size_t n);
/* "Thursday evening" within the coming week, "the evening of Thu 25 June" later. */
const char *lw_part_of_day_say(const lw_speaker *s, int64_t at_s, char *buf, size_t n);
/* "kitchen grey tank", "bottles"; the name the user gave. */
const char *lw_vessel_say(const lw_vessel *vessel, char *buf, size_t n);
/* "Thu 18 Jun" */
const char *lw_date_say(const lw_speaker *s, int64_t at_s, char *buf, size_t n);
const char *lw_tenths_say(double value, char *buf, size_t n); /* "0.7", "3" */
int64_t lw_night_of(const lw_speaker *s, int64_t at_s);       /* civil day that the night began on */

const char *lw_subject_say(lw_supply supply); /* "The battery": as a sentence begins */
const char *lw_lower_first(const char *text, char *buf, size_t n);

/* What stands before the at-th of so many, which are told one after the other: nothing, a comma, or "and". */
const char *lw_between(int at, int count);
int lw_bits(uint32_t bits); /* how many there are */

/* words_amount.c */
double lw_left_of(const lw_speaker *s, lw_supply supply); /* what can still be drawn, or the room */
int lw_vessels_of(const lw_scenario *scenario, lw_supply supply);
int lw_is_of_concern(const lw_speaker *s, lw_supply supply);

/* Events after this are about a stay that has ended: the wished departure, or the horizon. */
int64_t lw_concern_until(const lw_speaker *s);

/* When a vital load's power ends: in one course, or what 99 draws of 100 reach. */
const lw_quantile *lw_vital_end(const lw_outlook *outlook, int vital);

/* What a life hangs on is told first where it fails in more than one stay of a hundred. */
#define LW_VITAL_FRAC 0.01

/* So few draws that the hundredth part of them says nothing. */
enum { LW_DRAWS_FEW = 500 };

void lw_say_supplies(const lw_speaker *s, lw_words *words);
const char *lw_vital_say(const lw_speaker *s, int index); /* a vital device by its place in the outlook */
/* words_vital.c: a line for each device and each being that a life may hang on. */
void lw_say_vital(const lw_speaker *s, lw_words *words);
/* words_spills.c: what the rig has no place for, and water that people drink without knowing it. */
void lw_say_spills(const lw_speaker *s, lw_words *words);
void lw_say_doubtful_water(const lw_speaker *s, lw_words *words);
/* words_order.c: the events of an outlook by time, each behind what caused it; room for event_count. */
void lw_events_in_order(const lw_outlook *outlook, lw_event *to);
/* words_learned.c: learning may be NULL. */
void lw_say_learned(const lw_speaker *s, const struct lw_learning *learning, lw_words *words);
void lw_say_event(const lw_speaker *s, const lw_event *event, char *buf, size_t n);
void lw_say_warnings(const lw_speaker *s, lw_words *words);
/* What drops out at a cut-off class: "furnace blower"; "" when nothing of ours does. */
const char *lw_cut_say(const lw_speaker *s, double cut_v, char *buf, size_t n);
LW_MUST_USE lw_code lw_say_cautions(const lw_speaker *s, lw_words *words, lw_err *err);

#endif
