#include "core/house/disinfect.h"
#include "service/checklist.h"
#include "service/json.h"

static json_t *item_json(lw_json *j, const lw_check_item *item, int number)
{
    json_t *to = lw_json_object(j);
    lw_json_count(j, to, "number", number);
    lw_json_text(j, to, "id", item->id);
    lw_json_text(j, to, "text", item->text);
    lw_json_flag(j, to, "is_unsure", item->is_unsure);
    lw_json_flag(j, to, "is_ticked", item->is_ticked);
    lw_json_time(j, to, "ticked", item->ticked_s == LW_NO_TIME ? 0 : item->ticked_s);
    lw_json_text(j, to, "caution", item->caution);
    lw_json_text(j, to, "source", item->source);
    lw_json_text(j, to, "kind", item->kind);
    return to;
}

static json_t *caution_json(lw_json *j, const lw_check_caution *caution)
{
    json_t *to = lw_json_object(j);
    lw_json_text(j, to, "id", caution->id);
    lw_json_text(j, to, "title", caution->title);
    lw_json_text(j, to, "text", caution->text);
    lw_json_text(j, to, "source", caution->source);
    return to;
}

static json_t *dose_json(lw_json *j, const lw_loaded *loaded, const lw_check_dose *dose)
{
    const lw_vessel *vessel = &loaded->scenario->rig.vessel[dose->vessel];
    json_t *to = lw_json_object(j);
    lw_json_text(j, to, "vessel", vessel->name);
    lw_json_number(j, to, "capacity_l", vessel->capacity, 4);
    lw_json_number(j, to, "bleach_ml", dose->bleach_ml, 2);
    lw_json_number(j, to, "least_ml", dose->least_ml, 2);
    lw_json_number(j, to, "most_ml", dose->most_ml, 2);
    return to;
}

static json_t *bleach_json(lw_json *j, const lw_loaded *loaded, const lw_checklist *list)
{
    json_t *to = lw_json_object(j), *doses = lw_json_array(j);
    lw_json_number(j, to, "bleach_pct", list->bleach_pct, 4);
    lw_json_flag(j, to, "is_assumed", list->is_bleach_assumed);
    lw_json_number(j, to, "chlorine_mgpl", LW_TANK_MGPL, 2);
    lw_json_number(j, to, "stand_h", LW_TANK_STAND_H, 2);
    for (int i = 0; i < list->dose_count; i++)
        lw_json_add(j, doses, dose_json(j, loaded, &list->dose[i]));
    lw_json_put(j, to, "tanks", doses);
    return to;
}

char *lw_checklist_json(const lw_loaded *loaded, const lw_checklist *list, int is_12_hour, const char *version)
{
    lw_json j = {.zone = &loaded->zone, .is_12_hour = is_12_hour};
    json_t *root = lw_json_object(&j), *items = lw_json_array(&j), *cautions = lw_json_array(&j);
    lw_json_text(&j, root, "schema", "leeway.checklist/1");
    lw_json_text(&j, root, "program", version ? version : "unknown");
    lw_json_text(&j, root, "name", lw_checklist_name(list->id));
    lw_json_text(&j, root, "title", lw_checklist_title(list->id));
    lw_json_time(&j, root, "since", list->since_s == LW_NO_TIME ? 0 : list->since_s);
    lw_json_count(&j, root, "ticked", list->ticked);
    for (int i = 0; i < list->count; i++)
        lw_json_add(&j, items, item_json(&j, &list->item[i], i + 1));
    lw_json_put(&j, root, "items", items);
    lw_json_put(&j, root, "bleach", list->dose_count ? bleach_json(&j, loaded, list) : json_null());
    for (int i = 0; i < list->caution_count; i++)
        lw_json_add(&j, cautions, caution_json(&j, &list->caution[i]));
    lw_json_put(&j, root, "cautions", cautions);
    return lw_json_finish(&j, root, 0);
}
