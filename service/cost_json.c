#include <math.h>
#include <stdio.h>

#include "service/cost.h"
#include "service/json.h"
#include "service/spent.h"

static json_t *line_json(lw_json *j, const lw_cost_line *line, lw_expense_kind expense)
{
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "id", line->word);
    lw_json_text(j, o, "title", line->title);
    lw_json_flag(j, o, "is_counted", line->is_counted);
    lw_json_number(j, o, "usd", line->usd, 2);
    lw_json_number(j, o, "low_usd", line->low_usd, 2);
    lw_json_number(j, o, "high_usd", line->high_usd, 2);
    lw_json_text(j, o, "spent_as", lw_expense_word(expense));
    lw_json_text(j, o, "how", line->how);
    lw_json_text(j, o, "source", line->source);
    lw_json_text(j, o, "source_kind", line->kind);
    return o;
}

static json_t *spent_json(lw_json *j, const lw_costed *c)
{
    json_t *o = lw_json_object(j), *kinds = lw_json_object(j);
    const lw_money *m = c->wish.spent;
    for (int k = 0; m && k < LW_EXPENSE_COUNT; k++)
        if (m->cents[k] != 0)
            lw_json_number(j, kinds, lw_expense_word((lw_expense_kind)k), (double)m->cents[k] / 100.0, 2);
    lw_json_number(j, o, "usd", m ? (double)m->all_cents / 100.0 : NAN, 2);
    lw_json_count(j, o, "nights", c->wish.spent_nights);
    lw_json_put(j, o, "by_kind", kinds);
    lw_json_text(j, o, "sentence", c->spent);
    return o;
}

char *lw_cost_json(const lw_costed *c, const lw_loaded *loaded, const char *version)
{
    static const lw_expense_kind EXPENSE[] = {
#define LW_COST_EXPENSE(id, word, expense) LW_EXPENSE_##expense,
        LW_COSTS(LW_COST_EXPENSE)
#undef LW_COST_EXPENSE
    };
    lw_json j = {.zone = &loaded->zone, .is_12_hour = c->wish.choice.is_12_hour};
    json_t *root = lw_json_object(&j), *program = lw_json_object(&j), *list = lw_json_array(&j),
           *assumed = lw_json_array(&j);
    char seed[24];
    lw_json_text(&j, root, "schema", "leeway.cost/1");
    lw_json_text(&j, program, "name", "leeway");
    lw_json_text(&j, program, "version", version ? version : "unknown");
    lw_json_put(&j, root, "program", program);
    lw_json_text(&j, root, "scenario_file", loaded->file);
    lw_json_text(&j, root, "weather_source", loaded->weather_source);
    lw_json_count(&j, root, "draws", c->draws);
    snprintf(seed, sizeof seed, "%llu", (unsigned long long)c->seed);
    lw_json_text(&j, root, "seed", seed);
    lw_json_time(&j, root, "start", c->start_s);
    lw_json_time(&j, root, "departure", c->departure_s);
    lw_json_number(&j, root, "nights", c->nights, 3);
    lw_json_number(&j, root, "runs", c->runs, 2);
    lw_json_text(&j, root, "headline", c->headline);
    lw_json_number(&j, root, "usd", c->usd, 2);
    lw_json_number(&j, root, "low_usd", c->low_usd, 2);
    lw_json_number(&j, root, "high_usd", c->high_usd, 2);
    lw_json_number(&j, root, "night_usd", c->night_usd, 2);
    lw_json_number(&j, root, "month_usd", c->month_usd, 2);
    lw_json_text(&j, root, "month", c->month);
    lw_json_number(&j, root, "hookup_night_usd", c->wish.hookup_usd, 2);
    lw_json_number(&j, root, "hookup_nights", c->hookup_nights, 2);
    lw_json_text(&j, root, "hookups", c->hookups);
    lw_json_put(&j, root, "spent", spent_json(&j, c));
    lw_json_text(&j, root, "left_out", c->left_out);
    for (int i = 0; i < LW_COST_COUNT; i++)
        lw_json_add(&j, list, line_json(&j, &c->line[i], EXPENSE[i]));
    lw_json_put(&j, root, "lines", list);
    lw_json_grounds(&j, assumed, &c->prices, loaded);
    lw_json_put(&j, root, "assumptions", assumed);
    return lw_json_finish(&j, root, 0);
}
