#include <math.h>
#include <stdio.h>
#include <string.h>

#include "service/cost.h"
#include "service/spent.h"
#include "service/words_internal.h"
#include "text/decimal.h"

static const double CENTS = 100.0;

static const char *whole(double value, char buf[LW_DECIMAL_BYTES])
{
    lw_decimal_print(buf, LW_DECIMAL_BYTES, nearbyint(value), 0, 0);
    return buf;
}

static const char *tenths(double value, char buf[LW_DECIMAL_BYTES])
{
    lw_decimal_print(buf, LW_DECIMAL_BYTES, nearbyint(value * 10.0) / 10.0, 1, 0);
    return buf;
}

static void say_headline(lw_costed *to, const lw_loaded *loaded)
{
    char until[LW_WHEN], usd[LW_DECIMAL_BYTES], low[LW_DECIMAL_BYTES], high[LW_DECIMAL_BYTES], night[LW_DECIMAL_BYTES],
        nights[LW_DECIMAL_BYTES];
    lw_line line = lw_line_of(to->headline, sizeof to->headline);
    lw_when_print(until, sizeof until, &loaded->zone, to->departure_s, to->wish.choice.is_12_hour);
    lw_line_add(&line, "Staying until %s, %s nights, costs some %s USD, %s a night", until, tenths(to->nights, nights),
                whole(to->usd, usd), whole(to->night_usd, night));
    if (to->high_usd - to->low_usd >= 2.0)
        lw_line_add(&line, "; in eight courses of ten %s to %s USD", whole(to->low_usd, low),
                    whole(to->high_usd, high));
    lw_line_add(&line, ".");
    if (to->limit_s)
        lw_line_add(&line, " The place allows no stay past %s.",
                    lw_when_print(until, sizeof until, &loaded->zone, to->limit_s, to->wish.choice.is_12_hour));
}

static void say_month(lw_costed *to)
{
    char usd[LW_DECIMAL_BYTES];
    lw_line line = lw_line_of(to->month, sizeof to->month);
    lw_line_add(&line, "A month of such stays: %s USD%s.", whole(to->month_usd, usd),
                isnan(to->wish.drive_m) ? ", without the drives" : ", each with its drive");
}

static void say_hookups(lw_costed *to)
{
    char each[LW_DECIMAL_BYTES], all[LW_DECIMAL_BYTES], less[LW_DECIMAL_BYTES], nights[LW_DECIMAL_BYTES];
    const double drive = to->line[LW_COST_DRIVE].usd + to->line[LW_COST_DRIVE_WEAR].usd;
    const double hookups = to->wish.hookup_usd * to->nights + drive;
    lw_line line = lw_line_of(to->hookups, sizeof to->hookups);
    lw_line_add(&line, "The same nights with hookups at %s USD: %s USD%s, %s USD %s.",
                tenths(to->wish.hookup_usd, each), whole(hookups, all), drive > 0.0 ? " with the same drive" : "",
                whole(fabs(hookups - to->usd), less), hookups >= to->usd ? "more" : "less");
    if (!isinf(to->hookup_nights))
        lw_line_add(&line, " This stay costs as much as %s such nights.", tenths(to->hookup_nights, nights));
}

static void say_spent(lw_costed *to)
{
    const lw_money *m = to->wish.spent;
    char all[LW_DECIMAL_BYTES], night[LW_DECIMAL_BYTES], each[LW_DECIMAL_BYTES], both[LW_DECIMAL_BYTES];
    lw_line line = lw_line_of(to->spent, sizeof to->spent);
    int told = 0;
    if (!m)
        return;
    const double usd = (double)m->all_cents / CENTS;
    if (m->all_cents == 0) {
        lw_line_add(&line, "Nothing was logged as spent on this stay yet%s.",
                    lw_if_typed(&to->wish.choice, " (leeway log spent 12 USD camp)"));
        return;
    }
    lw_line_add(&line, "Really spent on this stay so far: %s USD", whole(usd, all));
    if (to->wish.spent_nights > 0)
        lw_line_add(&line, " in %d nights, %s a night", to->wish.spent_nights,
                    whole(usd / to->wish.spent_nights, night));
    for (int k = 0; k < LW_EXPENSE_COUNT; k++)
        if (m->cents[k] != 0)
            lw_line_add(&line, "%s%s %s", told++ ? ", " : " (", lw_expense_word((lw_expense_kind)k),
                        whole((double)m->cents[k] / CENTS, each));
    lw_line_add(&line, "%s; with what is to come %s USD.", told ? ")" : "", whole(usd + to->usd, both));
}

static void say_left_out(lw_costed *to, const lw_loaded *loaded)
{
    int told = 0;
    lw_line line = lw_line_of(to->left_out, sizeof to->left_out);
    for (int c = 0; c < LW_COST_COUNT; c++)
        if (!to->line[c].is_counted && c != LW_COST_DRIVE_WEAR && c != LW_COST_GENERATOR_WEAR && c != LW_COST_PERMIT)
            lw_line_add(&line, "%s%s: %s", told++ ? "; " : "Not in it. ", to->line[c].title, to->line[c].how);
    if (loaded->scenario->transfer_count > 0)
        lw_line_add(&line, "%sErrands that are announced or kept: their ways and fees%s", told++ ? "; " : "Not in it. ",
                    lw_if_typed(&to->wish.choice, " (leeway plan runs --why)"));
    lw_line_add(&line, "%sFood, laundry, insurance and what the rig loses in value are not counted.", told ? ". " : "");
}

void lw_cost_say(lw_costed *to, const lw_loaded *loaded)
{
    say_headline(to, loaded);
    say_month(to);
    say_hookups(to);
    say_spent(to);
    say_left_out(to, loaded);
}
