#include "service/ledger_json.h"

#include <math.h>
#include <stdio.h>

#include "service/csv_row.h"
#include "service/json.h"
#include "service/words.h"
#include "text/moment.h"

enum { CENTS = 2, DAYS = 2, SHARES = 3, DATE = 16, AT = 40 };

static double whole(int64_t cents)
{
    return (double)cents / 100.0;
}

static double a_night(int64_t cents, int nights)
{
    return nights > 0 ? whole(lw_cents_a_night(cents, nights)) : (double)NAN;
}

static void put_day(lw_json *j, json_t *o, const char *key, int64_t day, int is_known)
{
    char text[DATE];
    lw_json_text(j, o, key, is_known ? lw_date_print(text, sizeof text, lw_date_of(day)) : NULL);
}

json_t *lw_money_json(lw_json *j, const lw_money money[LW_CURRENCY_COUNT], int nights)
{
    json_t *list = lw_json_array(j);
    for (int c = 0; c < LW_CURRENCY_COUNT; c++) {
        if (!lw_has_money(&money[c]))
            continue;
        json_t *o = lw_json_object(j), *by = lw_json_object(j);
        lw_json_text(j, o, "currency", lw_currency_word((lw_currency)c));
        lw_json_number(j, o, "total", whole(money[c].all_cents), CENTS);
        if (nights >= 0)
            lw_json_number(j, o, "per_night", a_night(money[c].all_cents, nights), CENTS);
        for (int k = 0; k < LW_EXPENSE_COUNT; k++)
            if (money[c].cents[k] != 0)
                lw_json_number(j, by, lw_expense_word((lw_expense_kind)k), whole(money[c].cents[k]), CENTS);
        lw_json_put(j, o, "by", by);
        lw_json_add(j, list, o);
    }
    return list;
}

static json_t *stay_json(lw_json *j, const lw_stay_sum *sum)
{
    json_t *o = lw_json_object(j);
    lw_json_count(j, o, "id", sum->stay.id);
    lw_json_text(j, o, "place", sum->stay.place_name);
    lw_json_text(j, o, "manager", sum->stay.manager);
    lw_json_time(j, o, "arrived", sum->stay.arrival_s);
    lw_json_time(j, o, "left", sum->stay.left_s == LW_NO_TIME ? 0 : sum->stay.left_s);
    put_day(j, o, "first_day", sum->stay.arrival_day, 1);
    put_day(j, o, "last_day", sum->stay.departure_day, 1);
    lw_json_count(j, o, "nights", sum->nights);
    lw_json_put(j, o, "money", lw_money_json(j, sum->money, sum->nights));
    return o;
}

static json_t *nights_json(lw_json *j, const lw_nights_sum *sum, int has_manager)
{
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "name", sum->name);
    if (has_manager)
        lw_json_text(j, o, "manager", sum->manager);
    lw_json_count(j, o, "nights", sum->nights);
    lw_json_count(j, o, "stays", sum->stays);
    put_day(j, o, "last_day", sum->last_day, 1);
    return o;
}

static json_t *limit_json(lw_json *j, const lw_place_limit *limit)
{
    json_t *o = lw_json_object(j);
    char text[LW_SENTENCE];
    lw_json_text(j, o, "place", limit->place);
    lw_json_text(j, o, "manager", limit->manager);
    lw_json_flag(j, o, "is_here", limit->is_here);
    lw_json_text(j, o, "rule", limit->rule);
    lw_json_text(j, o, "source", limit->source);
    lw_json_text(j, o, "counts", limit->count == LW_STAY_NIGHTS ? "nights" : "any-part");
    lw_json_count(j, o, "used", limit->left.used_days);
    lw_json_flag(j, o, "is_limited", limit->left.is_limited);
    lw_json_put(j, o, "left", limit->left.is_limited ? json_integer(limit->left.left_days) : json_null());
    put_day(j, o, "leave", limit->left.leave_day, limit->left.is_limited);
    put_day(j, o, "again", limit->left.again_day, limit->left.is_limited);
    lw_json_count(j, o, "freed", limit->frees.freed_days);
    put_day(j, o, "freed_from", limit->frees.first_day, limit->frees.first_day != 0);
    put_day(j, o, "all_free_from", limit->frees.all_day, limit->frees.all_day != 0);
    put_day(j, o, "permit_until", limit->permit_until, limit->permit_until >= limit->today);
    lw_json_text(j, o, "sentence", lw_limit_say(limit, text, sizeof text));
    return o;
}

static json_t *permit_json(lw_json *j, const lw_permit_sum *permit, int64_t today)
{
    json_t *o = lw_json_object(j);
    const lw_permit *terms = &permit->permit.terms;
    char text[LW_SENTENCE];
    lw_json_text(j, o, "name", permit->permit.name);
    lw_json_text(j, o, "manager", permit->permit.manager);
    put_day(j, o, "from", terms->first_day, 1);
    put_day(j, o, "to", terms->last_day, 1);
    lw_json_flag(j, o, "is_now", permit->is_now);
    lw_json_flag(j, o, "counts", !terms->is_uncounted);
    lw_json_number(j, o, "price_usd", terms->price_usd, CENTS);
    lw_json_number(j, o, "cost_usd", permit->cost_usd, CENTS);
    put_day(j, o, "due", permit->due_day, permit->due_day != 0);
    lw_json_text(j, o, "sentence", lw_permit_say(permit, today, text, sizeof text));
    return o;
}

static json_t *month_json(lw_json *j, const lw_month_sum *month)
{
    json_t *o = lw_json_object(j);
    char text[DATE];
    snprintf(text, sizeof text, "%04d-%02d", month->year, month->month);
    lw_json_text(j, o, "month", text);
    lw_json_put(j, o, "money", lw_money_json(j, month->money, -1));
    return o;
}

static json_t *score_json(lw_json *j, const lw_supply_score *score)
{
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "supply", lw_supply_word(score->supply));
    lw_json_count(j, o, "ends", score->ends.scored);
    lw_json_count(j, o, "ends_inside", score->ends.inside);
    lw_json_count(j, o, "ends_unknown", score->ends.unscored);
    lw_json_number(j, o, "mean_error_days", score->ends.mean_error_days, DAYS);
    lw_json_number(j, o, "median_off_days", score->ends.median_off_days, DAYS);
    lw_json_count(j, o, "readings", score->compared);
    lw_json_count(j, o, "readings_inside", score->inside);
    lw_json_number(j, o, "off_frac", score->off_frac, SHARES);
    return o;
}

static json_t *forecasts_json(lw_json *j, const lw_book_ledger *l)
{
    json_t *o = lw_json_object(j), *supplies = lw_json_array(j);
    lw_json_count(j, o, "stays", l->scored_stays);
    for (int i = 0; i < l->score_count; i++)
        lw_json_add(j, supplies, score_json(j, &l->score[i]));
    lw_json_put(j, o, "supplies", supplies);
    return o;
}

char *lw_ledger_json(const lw_book_ledger *l, const char *version)
{
    lw_json j = {.zone = &l->zone};
    json_t *root = lw_json_object(&j), *stays = lw_json_array(&j), *places = lw_json_array(&j);
    json_t *managers = lw_json_array(&j), *limits = lw_json_array(&j), *permits = lw_json_array(&j);
    json_t *months = lw_json_array(&j);
    lw_json_text(&j, root, "schema", "leeway.ledger/1");
    lw_json_text(&j, root, "program", version ? version : "unknown");
    lw_json_time(&j, root, "now", l->now_s);
    put_day(&j, root, "today", l->today, 1);
    put_day(&j, root, "since", l->since_day, l->since_day != INT64_MIN);
    lw_json_put(&j, root, "stay", l->only_stay ? json_integer(l->only_stay) : json_null());
    lw_json_count(&j, root, "nights", l->nights);
    for (int i = 0; i < l->stay_count; i++)
        lw_json_add(&j, stays, stay_json(&j, &l->stay[i]));
    for (int i = 0; i < l->place_count; i++)
        lw_json_add(&j, places, nights_json(&j, &l->place[i], 1));
    for (int i = 0; i < l->manager_count; i++)
        lw_json_add(&j, managers, nights_json(&j, &l->manager[i], 0));
    for (int i = 0; i < l->limit_count; i++)
        lw_json_add(&j, limits, limit_json(&j, &l->limit[i]));
    for (int i = 0; i < l->permit_count; i++)
        lw_json_add(&j, permits, permit_json(&j, &l->permit[i], l->today));
    for (int i = 0; i < l->month_count; i++)
        lw_json_add(&j, months, month_json(&j, &l->month[i]));
    lw_json_put(&j, root, "stays", stays);
    lw_json_put(&j, root, "places", places);
    lw_json_put(&j, root, "managers", managers);
    lw_json_put(&j, root, "limits", limits);
    lw_json_put(&j, root, "permits", permits);
    lw_json_put(&j, root, "money", lw_money_json(&j, l->money, l->nights));
    lw_json_put(&j, root, "months", months);
    lw_json_put(&j, root, "forecasts", forecasts_json(&j, l));
    lw_json_count(&j, root, "unread", l->unread);
    return lw_json_finish(&j, root, 0);
}

/* ---- CSV ---- */

static void put_stay(const lw_stay_sum *sum, int currency, lw_sink *sink)
{
    const lw_money none = {.all_cents = 0}, *money = currency < 0 ? &none : &sum->money[currency];
    const int has_left = sum->stay.left_s != LW_NO_TIME;
    char text[AT];
    lw_sink_print(sink, "%lld,", (long long)sum->stay.id);
    lw_csv_field(sink, sum->stay.place_name, ",");
    lw_csv_field(sink, sum->stay.manager, ",");
    lw_csv_field(sink, lw_instant_print(text, sizeof text, (double)sum->stay.arrival_s, 0), ",");
    lw_csv_field(sink, has_left ? lw_instant_print(text, sizeof text, (double)sum->stay.left_s, 0) : NULL, ",");
    lw_csv_field(sink, lw_date_print(text, sizeof text, lw_date_of(sum->stay.arrival_day)), ",");
    lw_csv_field(sink, lw_date_print(text, sizeof text, lw_date_of(sum->stay.departure_day)), ",");
    lw_sink_print(sink, "%d,", sum->nights);
    lw_csv_field(sink, currency < 0 ? NULL : lw_currency_word((lw_currency)currency), ",");
    for (int k = 0; k < LW_EXPENSE_COUNT; k++)
        lw_csv_number(sink, currency < 0 ? (double)NAN : whole(money->cents[k]), CENTS, ",");
    lw_csv_number(sink, currency < 0 ? (double)NAN : whole(money->all_cents), CENTS, ",");
    lw_csv_number(sink, currency < 0 ? (double)NAN : a_night(money->all_cents, sum->nights), CENTS, "\n");
}

void lw_ledger_csv(const lw_book_ledger *l, lw_sink *sink)
{
    lw_sink_text(sink, "stay,place,manager,arrived,left,first_day,last_day,nights,currency,");
    for (int k = 0; k < LW_EXPENSE_COUNT; k++)
        lw_sink_print(sink, "%s,", lw_expense_word((lw_expense_kind)k));
    lw_sink_text(sink, "total,per_night\n");
    for (int i = 0; i < l->stay_count; i++) {
        int written = 0;
        for (int c = 0; c < LW_CURRENCY_COUNT; c++)
            if (lw_has_money(&l->stay[i].money[c])) {
                put_stay(&l->stay[i], c, sink);
                written++;
            }
        if (!written)
            put_stay(&l->stay[i], -1, sink);
    }
}
