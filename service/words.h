/* service/words.h: an outlook in sentences, for the terminal, JSON and the page alike.
 *
 * Computes   from a finished outlook: the headline, a sentence a supply, what happens in order, the chain that a flat
 *            battery sets off told once, warnings with their repeats counted, and the cautions that are touched.
 * Results    lw_words: owned until lw_words_clear (twice is fine, zeros too). Lines that do not concern this household
 *            are not there. Order: vital warnings first, then by time.
 * Form       times are the place's civil time, "Thu 18 Jun 18:40" or "6:40 pm" by choice; amounts are in the units asked
 *            for; ASCII except the names the user wrote.
 * Errors     LW_E_FULL no memory; those of the table of cautions.
 * Limits     the words are English. With one draw the three quantiles agree and the sentences say "about"; once they
 *            differ by more than half a day they say "safe until, likely until, at best". */
#ifndef LW_SERVICE_WORDS_H
#define LW_SERVICE_WORDS_H

#include "core/base/units.h"
#include "service/outlook.h"

enum {
    LW_SENTENCE = 480,
    LW_WHEN = 48, /* holds every time in words */
    LW_WORDS_WARNINGS = 48,
    LW_WORDS_CAUTIONS = 32,
    LW_WORDS_LINKS = 12, /* parts of a chain */
    LW_WORDS_VITALS = LW_VITALS + LW_PEOPLE,
};

typedef struct lw_words_choice {
    lw_unit_system units;
    int is_12_hour; /* 0: 18:40; 1: 6:40 pm */
    int is_page;    /* read where no commands are typed: sentences name no options, commands and keys */
} lw_words_choice;

/* The part of a sentence that is only for who types commands. */
static inline const char *lw_if_typed(const lw_words_choice *choice, const char *part)
{
    return choice->is_page ? "" : part;
}

/* What a supply's row says. Texts are empty where there is nothing to say. */
typedef struct lw_supply_words {
    int is_shown;
    char name[LW_NAME]; /* "Grey water" */
    char left[64];      /* "12 gal of room", "71 %", "23 lb" */
    char ends[64];      /* "Thu 18 Jun 18:40", "after Sun 9 Aug" */
    char sentence[LW_SENTENCE];
    char age_sentence[LW_SENTENCE];     /* rubbish: its second leeway, by smell */
    char leisure_sentence[LW_SENTENCE]; /* data: what leisure may use, where work has a reserve */
    char plan_sentence[LW_SENTENCE]; /* data: speed once it is spent and price of more, where the scenario says them */
} lw_supply_words;

typedef struct lw_warning {
    lw_event_kind kind; /* of its first event; SUPPLY_END: what has no vessel from the start */
    int supply, index;  /* of that event; supply -1: none */
    int64_t first_s;
    int times; /* how often; its sentence says so */
    int is_vital;
    int is_chain; /* tells of a flat battery and all that follows */
    char sentence[LW_SENTENCE * 2];
} lw_warning;

/* A device that must have power, or a being that must be kept warm or cool. */
typedef struct lw_vital_words {
    int load, person; /* in the scenario; -1: the other of the two */
    int lasts;        /* until the departure, or as far as is looked; otherwise it is among the warnings too */
    char sentence[LW_SENTENCE];
} lw_vital_words;

typedef struct lw_caution {
    char id[LW_NAME], title[64], text[LW_SENTENCE], source[128];
} lw_caution;

typedef struct lw_words {
    char headline[LW_SENTENCE];
    char stay[LW_SENTENCE];      /* what ends the stay; differs from the headline where that tells of a vital device */
    char why[LW_SENTENCE];       /* how sure that is, and what it stands on */
    char departure[LW_SENTENCE]; /* whether the wished departure is reached, or that it is over; empty without one */
    lw_supply_words supply[LW_SUPPLY_COUNT];
    lw_event *happening;        /* every event of the outlook by time, a cause before what it sets off */
    char (*event)[LW_SENTENCE]; /* a sentence for each of them, same order */
    int event_count;
    lw_warning warning[LW_WORDS_WARNINGS];
    int warning_count, warning_lost;
    char possible[LW_SENTENCE]; /* what the middle course spares but many draws do not; empty: nothing */
    lw_vital_words vital[LW_WORDS_VITALS];
    int vital_count;
    char vital_note[LW_SENTENCE]; /* how far to trust them; empty: none */
    lw_caution caution[LW_WORDS_CAUTIONS];
    int caution_count;
    char stay_rule[LW_SENTENCE];     /* the rule in its own words and that signs win; empty: none */
    char weather[LW_SENTENCE];       /* where it comes from and its age */
    char learned[LW_SENTENCE];       /* how much comes from the household's own readings; empty: of a file */
    char learned_doubt[LW_SENTENCE]; /* a stuck gauge, changed habits, another rule of lamps; empty: none */
} lw_words;

LW_MUST_USE lw_code lw_words_make(const lw_outlook_answer *answer, const lw_words_choice *choice, lw_words *words,
                                  lw_err *err);
void lw_words_clear(lw_words *words);

/* A row of data/cautions.csv. */
LW_MUST_USE lw_code lw_caution_named(const char *id, lw_caution *to, lw_err *err);

/* ---- pieces, each gives buf ---- */

char *lw_when_print(char *buf, size_t n, const lw_zone *zone, int64_t at_s, int is_12_hour);    /* Thu 18 Jun 18:40 */
char *lw_day_print(char *buf, size_t n, const lw_zone *zone, int64_t at_s);                     /* Thu 18 June */
char *lw_hour_print(char *buf, size_t n, const lw_zone *zone, int64_t at_s, int is_12_hour);    /* 18:40 */
char *lw_relative_print(char *buf, size_t n, const lw_zone *zone, int64_t now_s, int64_t at_s); /* in 4 days, tonight */

/* An amount of a supply in a person's unit: "24 gal", "38 GB", "12 person-days"; battery in kWh. */
char *lw_amount_print(char *buf, size_t n, lw_supply supply, double amount, lw_unit_system units);

const char *lw_supply_name(lw_supply supply);  /* "Grey water" */
const char *lw_supply_unit(lw_supply supply);  /* "l", the suffix of keys */
const char *lw_event_word(lw_event_kind kind); /* "supply_end" */
const char *lw_group_say(lw_group group);      /* "washing up" */
const char *lw_group_word(lw_group group);     /* "dishes", as in keys */

#endif
