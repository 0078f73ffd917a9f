#include "service/today_json.h"

#include <stdio.h>

#include "service/json.h"

static json_t *supplies(lw_json *j, uint32_t bits)
{
    json_t *list = lw_json_array(j);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (bits >> k & 1u)
            lw_json_add(j, list, json_string(lw_supply_word((lw_supply)k)));
    return list;
}

static json_t *todo(lw_json *j, const lw_todo *item, int is_due)
{
    json_t *to = lw_json_object(j);
    lw_json_text(j, to, "kind", lw_todo_word(item->kind));
    lw_json_flag(j, to, "is_due", is_due);
    lw_json_time(j, to, "by", item->by_s);
    lw_json_text(j, to, "what", item->what);
    lw_json_text(j, to, "why", item->why);
    lw_json_text(j, to, "otherwise", item->otherwise);
    lw_json_text(j, to, "caution", item->caution);
    if (item->kind == LW_TODO_RUN) {
        lw_json_put(j, to, "supplies", supplies(j, item->supplies));
        lw_json_put(j, to, "also", supplies(j, item->also));
    }
    if (item->kind == LW_TODO_POWER)
        lw_json_count(j, to, "generator_h", item->generator_h);
    return to;
}

static json_t *allowed(lw_json *j, const lw_allowance *a)
{
    json_t *to = lw_json_object(j);
    lw_json_text(j, to, "supply", lw_supply_word(a->supply));
    lw_json_text(j, to, "unit", lw_supply_unit(a->supply));
    lw_json_number(j, to, "left", a->left, 4);
    lw_json_number(j, to, "per_day", a->per_day, 4);
    lw_json_number(j, to, "use_per_day", a->use_per_day, 4);
    lw_json_text(j, to, "one", a->one);
    lw_json_number(j, to, "one_amount", a->one_amount, 4);
    lw_json_number(j, to, "one_costs_h", a->one_costs_h, 2);
    return to;
}

char *lw_today_json(const lw_today_in *in, const lw_today *today, const lw_allowance *allowance, int allowance_count,
                    const char *version)
{
    const lw_outlook *o = in->answer->outlook;
    lw_json j = {.zone = &in->answer->loaded.zone, .is_12_hour = in->choice.is_12_hour};
    json_t *root = lw_json_object(&j);
    lw_json_text(&j, root, "schema", "leeway.today/1");
    lw_json_text(&j, root, "program", version ? version : "unknown");
    lw_json_count(&j, root, "draws", o->draws);
    char seed[24]; /* as text: a reader with doubles would round a seed of 64 bits */
    snprintf(seed, sizeof seed, "%llu", (unsigned long long)o->seed);
    lw_json_text(&j, root, "seed", seed);
    lw_json_time(&j, root, "now", today->now_s);
    lw_json_time(&j, root, "due_until", today->due_until_s);
    lw_json_time(&j, root, "departure", o->departure_s);
    lw_json_text(&j, root, "headline", today->headline);
    json_t *items = lw_json_array(&j), *rows = lw_json_array(&j), *lists = lw_json_array(&j);
    for (int i = 0; i < today->count; i++)
        lw_json_add(&j, items, todo(&j, &today->item[i], i < today->due));
    lw_json_put(&j, root, "todo", items);
    for (int i = 0; i < today->list_count; i++) {
        json_t *list = lw_json_object(&j);
        lw_json_text(&j, list, "name", lw_checklist_name(today->list[i].id));
        lw_json_text(&j, list, "why", today->list[i].why);
        lw_json_add(&j, lists, list);
    }
    lw_json_put(&j, root, "checklists", lists);
    for (int i = 0; i < allowance_count; i++)
        lw_json_add(&j, rows, allowed(&j, &allowance[i]));
    lw_json_put(&j, root, "allowance", rows);
    return lw_json_finish(&j, root, 0);
}
