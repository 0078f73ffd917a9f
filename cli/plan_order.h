/* cli/plan_order.h: what the plan commands of a camp share: the stay that is meant, changes to it, confidence, form of the answer.
 *
 * Use       lw_plan_order_take for each option by its long name, lw_plan_order_check when all are taken, lw_plan_order_open before the
 *           work; lw_plan_order_close afterwards (twice is fine, zeros too).
 * Options   place, arrive, people and what-if become changes to keys of the scenario, in the order in which they are typed. */
#ifndef LW_CLI_PLAN_ORDER_H
#define LW_CLI_PLAN_ORDER_H

#include "cli/kept.h"
#include "cli/options.h"
#include "service/plan_source.h"
#include "service/words.h"

enum { LW_PLAN_CHANGES = 24, LW_PLAN_CHANGE_BYTES = 256 };

typedef struct lw_plan_order {
    lw_plan_source source;
    lw_kept_order kept;
    char text[LW_PLAN_CHANGES][LW_PLAN_CHANGE_BYTES];
    const char *change[LW_PLAN_CHANGES];
    int change_count;
    double confidence_frac;
    int wants_details, wants_assumptions, wants_json, wants_ascii, is_12_hour;
    int units; /* -1: the scenario's */
    uint64_t draws, seed;
    lw_trials trials;
    lw_loaded loaded; /* the unchanged camp of this order */
} lw_plan_order;

#define LW_PLAN_ORDER_USUAL                                                                                            \
    {                                                                                                                  \
        .units = -1, .seed = 1, .confidence_frac = 0.8                                                                 \
    }

#define LW_PLAN_HELP_OPTION                                                                                            \
    {                                                                                                                  \
        "help", 'h', NULL, 0, "this text"                                                                              \
    }
#define LW_PLAN_UNTIL_OPTION                                                                                           \
    {                                                                                                                  \
        "until", 0, "WHEN", 0, "when you wish to leave, instead of the scenario's"                                     \
    }
#define LW_PLAN_WHAT_IF_OPTION                                                                                         \
    {                                                                                                                  \
        "what-if", 'w', "KEY=VALUE", 0, "with this key of the scenario changed; may be repeated"                       \
    }
#define LW_PLAN_ASSUMPTIONS_OPTION                                                                                     \
    {                                                                                                                  \
        "assumptions", 'a', NULL, 0, "list the values that are not in your file, with sources"                         \
    }
#define LW_PLAN_JSON_OPTION                                                                                            \
    {                                                                                                                  \
        "json", 'j', NULL, 0, "the whole answer as JSON on standard output, amounts in SI units"                       \
    }
#define LW_PLAN_UNITS_OPTION                                                                                           \
    {                                                                                                                  \
        "units", 'u', "us|si", 0, "units of the answer; without it those of the scenario"                              \
    }
#define LW_PLAN_CLOCK_OPTION                                                                                           \
    {                                                                                                                  \
        "clock", 0, "12|24", 0, "6:40 pm or 18:40; without it 24"                                                      \
    }
#define LW_PLAN_SEED_OPTION                                                                                            \
    {                                                                                                                  \
        "seed", 0, "N", 0, "which draws; without it 1"                                                                 \
    }
#define LW_PLAN_FRESH_OPTION                                                                                           \
    {                                                                                                                  \
        "fresh", 0, "N", 0,                                                                                            \
            "courses that measure the chance; fewer than the usual 10000 are quicker and tell it less exactly"         \
    }
enum { LW_PLAN_FRESH_LEAST = 100, LW_PLAN_FRESH_MOST = 100000 };
#define LW_PLAN_ASCII_OPTION                                                                                           \
    {                                                                                                                  \
        "ascii", 0, NULL, 0, "plain characters only"                                                                   \
    }

/* One of the options above, or place, arrive, people, chance, details, draws, book, now. 0: it is none of them. */
int lw_plan_order_take(lw_plan_order *order, const char *option, const char *value, lw_code *code, lw_err *err);

/* A number of an option between two bounds. */
LW_MUST_USE lw_code lw_plan_number(const char *option, const char *value, double low, double high, double *to,
                                   lw_err *err);

/* A price with its unit, such as "3.89 USD/gal", not below zero. */
LW_MUST_USE lw_code lw_plan_price(const char *option, const char *value, lw_dim dim, double *to, lw_err *err);

LW_MUST_USE lw_code lw_plan_order_check(const lw_args *args, const char *command, lw_plan_order *order, lw_err *err);
LW_MUST_USE lw_code lw_plan_order_open(lw_plan_order *order, lw_err *err);
void lw_plan_order_close(lw_plan_order *order);

lw_words_choice lw_plan_choice(const lw_plan_order *order);

#endif
