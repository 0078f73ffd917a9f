/* The summary of a stay in words. */
#include <stdio.h>
#include <string.h>

#include "service/stay_end.h"
#include "service/words.h"
#include "text/decimal.h"
#include "text/say.h"

char *lw_happened_say(const lw_stay_summary *summary, const lw_supply_summary *s, int is_12_hour, char *buf, size_t n)
{
    char when[LW_WHEN];
    const char *served = lw_supply_fills(s->supply) ? "emptied" : "filled";
    (void)lw_when_print(when, sizeof when, &summary->zone, s->happened_s, is_12_hour);
    switch (s->happened) {
    case LW_HAPPENED_ENDED:
        snprintf(buf, n, "%s about %s", lw_supply_fills(s->supply) ? "full" : "at its end", when);
        break;
    case LW_HAPPENED_SERVED:
        snprintf(buf, n, "%s %s", served, when);
        break;
    case LW_HAPPENED_LASTED:
        snprintf(buf, n, "lasted");
        break;
    default:
        snprintf(buf, n, "not read");
    }
    return buf;
}

static void say_days(double days, char *buf, size_t n)
{
    char number[LW_DECIMAL_BYTES];
    if (days >= LW_BEYOND_DAYS) {
        snprintf(buf, n, "beyond");
        return;
    }
    lw_decimal_print(number, sizeof number, days, days < 10.0 ? 1 : 0, 0);
    snprintf(buf, n, "%s", number);
}

char *lw_left_say_days(const lw_supply_summary *s, char *buf, size_t n)
{
    char low[LW_DECIMAL_BYTES], likely[LW_DECIMAL_BYTES], high[LW_DECIMAL_BYTES];
    say_days(s->ends.p10_days, low, sizeof low);
    say_days(s->ends.p50_days, likely, sizeof likely);
    say_days(s->ends.p90_days, high, sizeof high);
    if (s->ends.p10_days >= LW_BEYOND_DAYS)
        snprintf(buf, n, "does not end");
    else
        snprintf(buf, n, "%s (%s to %s)", likely, low, high);
    return buf;
}

char *lw_left_say_nights(const lw_stay_summary *s, int is_12_hour, char *buf, size_t n)
{
    char from[LW_WHEN], until[LW_WHEN];
    snprintf(buf, n, "%d %s at %s, from %s until %s.", s->nights, s->nights == 1 ? "night" : "nights", s->place,
             lw_when_print(from, sizeof from, &s->zone, s->arrival_s, is_12_hour),
             lw_when_print(until, sizeof until, &s->zone, s->left_s, is_12_hour));
    return buf;
}

char *lw_left_say_wish(const lw_stay_summary *s, int is_12_hour, char *buf, size_t n)
{
    char wished[LW_WHEN];
    buf[0] = '\0';
    if (s->departure_s != LW_NO_TIME)
        snprintf(buf, n, "You wished to stay until %s.",
                 lw_when_print(wished, sizeof wished, &s->zone, s->departure_s, is_12_hour));
    return buf;
}

char *lw_left_say_first(const lw_stay_summary *s, int is_12_hour, char *buf, size_t n)
{
    char happened[LW_WHEN * 2] = "";
    if (s->supply_count == 0) {
        snprintf(buf, n, "No forecast was kept of this stay, so there is nothing to compare.");
        return buf;
    }
    for (int i = 0; i < s->supply_count; i++)
        if ((int)s->supply[i].supply == s->first)
            (void)lw_happened_say(s, &s->supply[i], is_12_hour, happened, sizeof happened);
    snprintf(buf, n, "First by the forecast: %s. First in fact: %s%s%s.",
             s->binding >= 0 ? lw_supply_name((lw_supply)s->binding) : "nothing ends",
             s->first >= 0 ? lw_supply_name((lw_supply)s->first) : "nothing was read at its end, filled or emptied",
             s->first >= 0 ? ", " : "", happened);
    return buf;
}

char *lw_left_say_money(const lw_stay_summary *s, char *buf, size_t n)
{
    char all[LW_MONEY_TEXT], night[LW_MONEY_TEXT];
    size_t used = 0;
    buf[0] = '\0';
    for (int c = 0; c < LW_CURRENCY_COUNT && used < n; c++) {
        if (!lw_has_money(&s->money[c]))
            continue;
        lw_money_print(all, sizeof all, s->money[c].all_cents, (lw_currency)c);
        snprintf(buf + used, n - used, "%s%s", used ? "; " : "Spent: ", all);
        used = strlen(buf);
        if (s->nights > 0) {
            lw_money_print(night, sizeof night, lw_cents_a_night(s->money[c].all_cents, s->nights), (lw_currency)c);
            snprintf(buf + used, n - used, ", %s a night", night);
            used = strlen(buf);
        }
    }
    if (used)
        snprintf(buf + used, n - used, ".");
    return buf;
}
