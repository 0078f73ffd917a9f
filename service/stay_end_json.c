/* The summary of a stay as JSON and back. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "service/json.h"
#include "service/ledger_json.h"
#include "service/stay_end_internal.h"
#include "service/words_internal.h"

enum { DAYS_DECIMALS = 2, SHARE_DECIMALS = 3 };

static void put_days(lw_json *j, json_t *o, const char *key, double days)
{
    lw_json_number(j, o, key, days >= LW_BEYOND_DAYS ? (double)NAN : days, DAYS_DECIMALS);
}

static json_t *supply_json(lw_json *j, const lw_supply_summary *s)
{
    json_t *o = lw_json_object(j), *band = lw_json_array(j);
    lw_json_text(j, o, "supply", lw_supply_word(s->supply));
    put_days(j, o, "p10_days", s->ends.p10_days);
    put_days(j, o, "p50_days", s->ends.p50_days);
    put_days(j, o, "p90_days", s->ends.p90_days);
    lw_json_text(j, o, "happened", lw_happened_word(s->happened));
    lw_json_number(j, o, "happened_days", s->ends.happened_days, DAYS_DECIMALS);
    lw_json_flag(j, o, "is_end_seen", !s->ends.is_left_early);
    lw_json_time(j, o, "happened_at", s->happened_s);
    for (int q = 0; q < LW_QUANTILES; q++)
        lw_json_add(j, band, lw_json_real(s->band[q], SHARE_DECIMALS));
    lw_json_put(j, o, "band_frac", band);
    lw_json_number(j, o, "read_low_frac", s->read_low, SHARE_DECIMALS);
    lw_json_number(j, o, "read_high_frac", s->read_high, SHARE_DECIMALS);
    lw_json_count(j, o, "compared", s->compared);
    lw_json_count(j, o, "inside", s->inside);
    lw_json_number(j, o, "off_frac", s->off_frac, SHARE_DECIMALS);
    return o;
}

static json_t *summary_tree(lw_json *j, const lw_stay_summary *s)
{
    json_t *root = lw_json_object(j), *supplies = lw_json_array(j);
    lw_json_text(j, root, "schema", "leeway.stay/1");
    lw_json_text(j, root, "program", LW_VERSION);
    lw_json_count(j, root, "stay", s->stay);
    lw_json_text(j, root, "place", s->place);
    lw_json_time(j, root, "arrived", s->arrival_s);
    lw_json_time(j, root, "wished", s->departure_s == LW_NO_TIME ? 0 : s->departure_s);
    lw_json_time(j, root, "left", s->left_s);
    lw_json_count(j, root, "nights", s->nights);
    lw_json_put(j, root, "money", lw_money_json(j, s->money, s->nights));
    lw_json_time(j, root, "forecast_made", s->forecast_s);
    lw_json_count(j, root, "draws", s->draws);
    lw_json_text(j, root, "binding", s->binding >= 0 ? lw_supply_word((lw_supply)s->binding) : NULL);
    lw_json_text(j, root, "first", s->first >= 0 ? lw_supply_word((lw_supply)s->first) : NULL);
    for (int i = 0; i < s->supply_count; i++)
        lw_json_add(j, supplies, supply_json(j, &s->supply[i]));
    lw_json_put(j, root, "supplies", supplies);
    return root;
}

char *lw_stay_summary_json(const lw_stay_summary *s)
{
    lw_json j = {.zone = &s->zone};
    return lw_json_finish(&j, summary_tree(&j, s), 0);
}

static void add_sentence(lw_json *j, json_t *says, const char *text)
{
    if (text[0])
        lw_json_add(j, says, json_string(text));
}

static json_t *said_supply(lw_json *j, const lw_stay_summary *s, const lw_supply_summary *of)
{
    char text[LW_SENTENCE];
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "supply", lw_supply_word(of->supply));
    lw_json_text(j, o, "name", lw_supply_name(of->supply));
    lw_json_text(j, o, "forecast_days", lw_left_say_days(of, text, sizeof text));
    lw_json_text(j, o, "happened", lw_happened_say(s, of, j->is_12_hour, text, sizeof text));
    return o;
}

char *lw_stay_left_json(const lw_stay_summary *s, int is_12_hour, const char *scenario)
{
    char text[LW_SENTENCE];
    lw_json j = {.zone = &s->zone, .is_12_hour = is_12_hour};
    json_t *root = lw_json_object(&j), *says = lw_json_array(&j), *supplies = lw_json_array(&j);
    lw_json_text(&j, root, "schema", "leeway.left/1");
    add_sentence(&j, says, lw_left_say_nights(s, is_12_hour, text, sizeof text));
    add_sentence(&j, says, lw_left_say_wish(s, is_12_hour, text, sizeof text));
    add_sentence(&j, says, lw_left_say_first(s, is_12_hour, text, sizeof text));
    add_sentence(&j, says, lw_left_say_money(s, text, sizeof text));
    lw_json_put(&j, root, "says", says);
    for (int i = 0; i < s->supply_count; i++)
        lw_json_add(&j, supplies, said_supply(&j, s, &s->supply[i]));
    lw_json_put(&j, root, "supplies", supplies);
    lw_json_put(&j, root, "stay", summary_tree(&j, s));
    lw_json_text(&j, root, "scenario", scenario);
    return lw_json_finish(&j, root, 1);
}

/* ---- and back ---- */

static double days_at(const json_t *o, const char *key)
{
    const json_t *at = json_object_get(o, key);
    return json_is_number(at) ? json_number_value(at) : LW_BEYOND_DAYS;
}

static int read_supply(const json_t *o, lw_supply_summary *to)
{
    const char *word = json_string_value(json_object_get(o, "supply"));
    const json_t *off = json_object_get(o, "off_frac");
    int k = 0;
    while (k < LW_SUPPLY_COUNT && (!word || strcmp(lw_supply_word((lw_supply)k), word) != 0))
        k++;
    if (k == LW_SUPPLY_COUNT)
        return 0;
    *to = (lw_supply_summary){.supply = (lw_supply)k,
                              .ends = {.p10_days = days_at(o, "p10_days"),
                                       .p50_days = days_at(o, "p50_days"),
                                       .p90_days = days_at(o, "p90_days"),
                                       .happened_days = json_number_value(json_object_get(o, "happened_days")),
                                       .is_left_early = !json_is_true(json_object_get(o, "is_end_seen"))},
                              .compared = (int)json_integer_value(json_object_get(o, "compared")),
                              .inside = (int)json_integer_value(json_object_get(o, "inside")),
                              .off_frac = json_is_number(off) ? json_number_value(off) : (double)NAN};
    return 1;
}

int lw_stay_summary_read(const char *json, lw_stay_summary *summary)
{
    json_t *root = json_loads(json, JSON_REJECT_DUPLICATES, NULL);
    const char *schema = json_string_value(json_object_get(root, "schema"));
    const json_t *supplies = json_object_get(root, "supplies");
    const int is_known = schema && strcmp(schema, "leeway.stay/1") == 0;
    memset(summary, 0, sizeof *summary);
    for (size_t i = 0; is_known && i < json_array_size(supplies) && summary->supply_count < LW_SUPPLY_COUNT; i++)
        summary->supply_count += read_supply(json_array_get(supplies, i), &summary->supply[summary->supply_count]);
    json_decref(root);
    return is_known;
}
