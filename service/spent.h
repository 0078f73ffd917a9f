/* service/spent.h: money spent, as people type it.
 *
 * Reads      AMOUNT CURRENCY KIND [what for]: "23.50 USD propane", "$23.50 propane", "USD 12 camp two nights",
 *            "-5 USD camp" (money back). KIND is a word of core/land/ledger.h or one that people use for it: fee, groceries, trash.
 * Currency   USD ("$" too), CAD, MXN: those of the places whose climate the program knows. Nothing is converted.
 * Errors     one sentence: what was typed, what fits. Amounts are whole cents, at most MOST of them. */
#ifndef LW_SERVICE_SPENT_H
#define LW_SERVICE_SPENT_H

#include <stdint.h>

#include "core/land/ledger.h"
#include "core/sim/scenario.h"

enum { LW_MONEY_TEXT = 32 };

#define LW_CURRENCIES(X) X(USD, "USD") X(CAD, "CAD") X(MXN, "MXN")
typedef enum lw_currency {
#define LW_CURRENCY_ID(id, word) LW_CURRENCY_##id,
    LW_CURRENCIES(LW_CURRENCY_ID) LW_CURRENCY_COUNT
#undef LW_CURRENCY_ID
} lw_currency;

typedef struct lw_spent {
    int64_t cents;
    lw_currency currency;
    lw_expense_kind kind;
    char what[LW_NAME]; /* what for; empty: not said */
} lw_spent;

LW_MUST_USE lw_code lw_spent_read(const char *text, lw_spent *spent, lw_err *err);

const char *lw_expense_word(lw_expense_kind kind);
int lw_expense_kind_of(const char *word, lw_expense_kind *kind); /* its own words only; 0: none of them */
const char *lw_currency_word(lw_currency currency);
int lw_currency_of(const char *word, lw_currency *currency);

/* "23.50 USD"; below zero with a minus. Gives buf. */
char *lw_money_print(char *buf, size_t n, int64_t cents, lw_currency currency);

#endif
