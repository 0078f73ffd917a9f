#include "service/spent.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "text/decimal.h"
#include "text/say.h"

static const double MOST = 1e6; /* of a currency: beyond it is a slip of the pen */

static const char *const KIND_WORD[] = {
#define LW_EXPENSE_WORD(id, word) word,
    LW_EXPENSES(LW_EXPENSE_WORD)
#undef LW_EXPENSE_WORD
};

static const char *const CURRENCY_WORD[] = {
#define LW_CURRENCY_WORD(id, word) word,
    LW_CURRENCIES(LW_CURRENCY_WORD)
#undef LW_CURRENCY_WORD
};

/* Other words that people use. "gas" is none of them: it is fuel to one and propane to the other. */
static const struct {
    const char *word;
    lw_expense_kind kind;
} ALSO[] = {
    {"fee", LW_EXPENSE_CAMP},      {"fees", LW_EXPENSE_CAMP},       {"camping", LW_EXPENSE_CAMP},
    {"site", LW_EXPENSE_CAMP},     {"permits", LW_EXPENSE_PERMIT},  {"pass", LW_EXPENSE_PERMIT},
    {"gasoline", LW_EXPENSE_FUEL}, {"diesel", LW_EXPENSE_FUEL},     {"petrol", LW_EXPENSE_FUEL},
    {"trash", LW_EXPENSE_RUBBISH}, {"garbage", LW_EXPENSE_RUBBISH}, {"phone", LW_EXPENSE_DATA},
    {"internet", LW_EXPENSE_DATA}, {"groceries", LW_EXPENSE_FOOD},  {"repairs", LW_EXPENSE_REPAIR},
    {"parts", LW_EXPENSE_REPAIR},
};
enum { ALSO_COUNT = sizeof ALSO / sizeof ALSO[0] };

const char *lw_expense_word(lw_expense_kind kind)
{
    return (unsigned)kind < LW_EXPENSE_COUNT ? KIND_WORD[kind] : "";
}

int lw_expense_kind_of(const char *word, lw_expense_kind *kind)
{
    for (int i = 0; i < LW_EXPENSE_COUNT; i++)
        if (strcasecmp(word, KIND_WORD[i]) == 0) {
            *kind = (lw_expense_kind)i;
            return 1;
        }
    return 0;
}

const char *lw_currency_word(lw_currency currency)
{
    return (unsigned)currency < LW_CURRENCY_COUNT ? CURRENCY_WORD[currency] : "";
}

int lw_currency_of(const char *word, lw_currency *currency)
{
    for (int i = 0; i < LW_CURRENCY_COUNT; i++)
        if (strcasecmp(word, CURRENCY_WORD[i]) == 0) {
            *currency = (lw_currency)i;
            return 1;
        }
    return 0;
}

char *lw_money_print(char *buf, size_t n, int64_t cents, lw_currency currency)
{
    const int64_t size = cents < 0 ? -cents : cents;
    snprintf(buf, n, "%s%lld.%02d %s", cents < 0 ? "-" : "", (long long)(size / 100), (int)(size % 100),
             lw_currency_word(currency));
    return buf;
}

static const char *skip_blanks(const char *at)
{
    return at + strspn(at, " ");
}

/* A currency at the start of `at`; gives where it ended, `at` where there is none. */
static const char *take_currency(const char *at, lw_currency *currency)
{
    char word[4];
    if (*at == '$') {
        *currency = LW_CURRENCY_USD;
        return at + 1;
    }
    snprintf(word, sizeof word, "%s", at);
    const int is_word = strlen(word) == 3 && strchr(" 0123456789.-+", at[3]) != NULL;
    return is_word && lw_currency_of(word, currency) ? at + 3 : at;
}

static lw_code take_money(const char **at, const char *whole, lw_spent *to, lw_err *err)
{
    const lw_quoted_text typed = lw_quoted(whole, strlen(whole));
    const char *from = skip_blanks(*at), *number = take_currency(from, &to->currency);
    int has_currency = number != from;
    double value;
    number = skip_blanks(number);
    if (!*from)
        return lw_fail(err, LW_E_MISSING, "say how much and what for: spent 23.50 USD propane");
    const char *end = lw_decimal_scan(number, number + strlen(number), &value);
    if (!end)
        return lw_fail(err, LW_E_SYNTAX, "%s has no amount; write how much and what for: 23.50 USD propane",
                       typed.text);
    const char *unit = skip_blanks(end), *behind = take_currency(unit, &to->currency);
    if (behind != unit && has_currency)
        return lw_fail(err, LW_E_SYNTAX, "%s has two currencies; write 23.50 USD", typed.text);
    has_currency |= behind != unit;
    if (!has_currency)
        return lw_fail(err, LW_E_UNIT, "%s has no currency; write %s USD, or CAD, or MXN", typed.text,
                       lw_num(value).text);
    const double cents = value * 100.0;
    if (!(fabs(value) <= MOST) || fabs(cents - round(cents)) > 1e-4 || !(fabs(cents) >= 0.5))
        return lw_fail(err, LW_E_RANGE, "%s does not fit; an amount is at least a cent, in whole cents", typed.text);
    to->cents = (int64_t)llround(cents);
    *at = behind;
    return LW_OK;
}

static lw_code refuse_kind(const char *word, lw_err *err)
{
    const char *known[LW_EXPENSE_COUNT + ALSO_COUNT];
    char list[200] = "";
    size_t count = 0;
    for (int i = 0; i < LW_EXPENSE_COUNT; i++) {
        const size_t used = strlen(list);
        snprintf(list + used, sizeof list - used, "%s%s", i ? ", " : "", KIND_WORD[i]);
        known[count++] = KIND_WORD[i];
    }
    for (int i = 0; i < ALSO_COUNT; i++)
        known[count++] = ALSO[i].word;
    if (!*word)
        return lw_fail(err, LW_E_MISSING, "say what it was spent on: %s", list);
    if (strcasecmp(word, "gas") == 0)
        return lw_fail(err, LW_E_SYNTAX, "gas is fuel or propane; say which");
    const char *near = lw_nearest(word, known, count);
    if (near)
        return lw_fail(err, LW_E_SYNTAX, "%s is no kind of expense; did you mean %s?",
                       lw_quoted(word, strlen(word)).text, near);
    return lw_fail(err, LW_E_SYNTAX, "%s is no kind of expense; there are %s", lw_quoted(word, strlen(word)).text,
                   list);
}

static lw_code take_kind(const char **at, lw_spent *to, lw_err *err)
{
    char word[32];
    const char *from = skip_blanks(*at);
    const size_t n = strcspn(from, " ,:");
    snprintf(word, sizeof word, "%.*s", (int)(n < sizeof word ? n : sizeof word - 1), from);
    *at = from + n;
    if (lw_expense_kind_of(word, &to->kind))
        return LW_OK;
    for (int i = 0; i < ALSO_COUNT; i++)
        if (strcasecmp(word, ALSO[i].word) == 0) {
            to->kind = ALSO[i].kind;
            return LW_OK;
        }
    return refuse_kind(word, err);
}

lw_code lw_spent_read(const char *text, lw_spent *spent, lw_err *err)
{
    lw_spent made = {.cents = 0};
    const char *at = text;
    lw_code code = take_money(&at, text, &made, err);
    code = code ? code : take_kind(&at, &made, err);
    if (code)
        return code;
    at += strspn(at, " ,:");
    if (strlen(at) >= sizeof made.what)
        return lw_fail(err, LW_E_FULL, "what it was for is too long; %d letters fit", LW_NAME - 1);
    snprintf(made.what, sizeof made.what, "%s", at);
    *spent = made;
    return LW_OK;
}
