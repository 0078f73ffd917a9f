#include "exchange/year_file.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "exchange/keyed_internal.h"
#include "exchange/yaml_whole.h"
#include "text/say.h"

enum { PLACE, LATITUDE, LONGITUDE, ELEVATION, FROM, TO, KEYS };

static const lw_key STAY[KEYS] = {
    [PLACE] = {.path = "place", .kind = LW_KEY_TEXT, .example = "Juniper Bench"},
    [LATITUDE] = {.path = "latitude", .kind = LW_KEY_LATITUDE, .example = "38.2 N"},
    [LONGITUDE] = {.path = "longitude", .kind = LW_KEY_LONGITUDE, .example = "111.1 W"},
    [ELEVATION] = {.path = "elevation",
                   .kind = LW_KEY_QUANTITY,
                   .dim = LW_DIM_LENGTH,
                   .low = -430,
                   .high = 6000,
                   .example = "6200 ft"},
    [FROM] = {.path = "from", .kind = LW_KEY_DATE, .example = "2026-06-08"},
    [TO] = {.path = "to", .kind = LW_KEY_DATE, .example = "2026-06-22"},
};

static const lw_year_file_stay *stood_before(const lw_year_file *year, const char *place)
{
    for (int i = 0; i < year->count; i++)
        if (year->stay[i].has_spot && strcasecmp(year->stay[i].place, place) == 0)
            return &year->stay[i];
    return NULL;
}

static void read_spot(lw_keyed *r, const lw_year_file *year, lw_year_file_stay *to)
{
    lw_value latitude = {.si = 0.0}, longitude = {.si = 0.0};
    const int has_latitude = lw_keyed_get(r, LATITUDE, &latitude),
              has_longitude = lw_keyed_get(r, LONGITUDE, &longitude);
    const lw_year_file_stay *before = stood_before(year, to->place);
    to->elevation_m = lw_keyed_number(r, ELEVATION, 1.0, 0.0);
    to->is_here = strcasecmp(to->place, "here") == 0;
    if (has_latitude != has_longitude && !r->code) {
        (void)lw_fail(r->err, LW_E_MISSING, "%s is missing beside it; a place has both",
                      STAY[has_latitude ? LONGITUDE : LATITUDE].path);
        lw_keyed_refuse(r, r->item);
    }
    if (has_latitude && to->is_here) {
        (void)lw_fail(r->err, LW_E_CONFLICT, "\"here\" is the place of the scenario; give another place its own name");
        lw_keyed_refuse(r, r->item);
    }
    to->has_spot = has_latitude && has_longitude;
    to->latitude_deg = latitude.si;
    to->longitude_deg = longitude.si;
    if (!to->has_spot && before) {
        to->has_spot = 1;
        to->latitude_deg = before->latitude_deg;
        to->longitude_deg = before->longitude_deg;
        to->elevation_m = before->elevation_m;
    }
}

static void check_nights(lw_keyed *r, const lw_year_file *year, const lw_year_file_stay *stay)
{
    const int64_t nights = stay->to_day - stay->from_day;
    if (r->code)
        return;
    if (nights < 1)
        (void)lw_fail(r->err, LW_E_RANGE, "the stay ends before its first night is over");
    else if (nights > LW_YEAR_FILE_NIGHTS)
        (void)lw_fail(r->err, LW_E_RANGE, "a stay of %lld nights; at most %d, so write it as several",
                      (long long)nights, LW_YEAR_FILE_NIGHTS);
    if (nights < 1 || nights > LW_YEAR_FILE_NIGHTS)
        lw_keyed_refuse(r, r->item);
    for (int i = 0; i < year->count && !r->code; i++)
        if (stay->from_day < year->stay[i].to_day && year->stay[i].from_day < stay->to_day) {
            (void)lw_fail(r->err, LW_E_CONFLICT, "the stay of line %d has some of these nights too",
                          year->stay[i].line);
            lw_keyed_refuse(r, r->item);
        }
}

static lw_code read_stay(const lw_yaml_node *item, lw_year_file *year, lw_err *err)
{
    lw_keyed r = lw_keyed_item(item, STAY, KEYS, err);
    lw_year_file_stay *to = &year->stay[year->count];
    lw_value day = {.si = 0.0};
    *to = (lw_year_file_stay){.line = item->line};
    lw_keyed_want(&r, PLACE), lw_keyed_want(&r, FROM), lw_keyed_want(&r, TO);
    lw_keyed_text(&r, PLACE, to->place, sizeof to->place, "");
    read_spot(&r, year, to);
    if (lw_keyed_get(&r, FROM, &day))
        to->from_day = day.at.day;
    if (lw_keyed_get(&r, TO, &day))
        to->to_day = day.at.day;
    check_nights(&r, year, to);
    year->count++;
    return r.code;
}

static lw_code read_tree(const lw_yaml *tree, const char *name, void *into, lw_err *err)
{
    lw_year_file *to = into;
    snprintf(to->name, sizeof to->name, "%s", name);
    const lw_yaml_node *list = tree->root->kind == LW_YAML_MAP ? lw_yaml_child(tree->root, "year") : NULL;
    if (!list || list->kind != LW_YAML_LIST || !list->first || tree->root->count > 1) {
        (void)lw_fail(err, LW_E_MISSING,
                      "a list of stays is wanted and nothing else, such as year: [{place: here, from: 2026-06-08, to: "
                      "2026-06-22}]");
        return lw_yaml_at(tree->root, err);
    }
    if (list->count > LW_YEAR_FILE_STAYS) {
        (void)lw_fail(err, LW_E_FULL, "%d stays; at most %d fit", list->count, LW_YEAR_FILE_STAYS);
        return lw_yaml_at(list, err);
    }
    lw_code code = LW_OK;
    for (const lw_yaml_node *item = list->first; item && !code; item = item->next)
        code = read_stay(item, to, err);
    return code;
}

lw_code lw_year_file_load(const char *path, lw_year_file *year, lw_err *err)
{
    return lw_yaml_whole(&(lw_yaml_source){.name = path}, read_tree, sizeof *year, year, err);
}

lw_code lw_year_file_read(const char *name, const char *bytes, size_t size, lw_year_file *year, lw_err *err)
{
    const lw_yaml_source from = {.name = name, .bytes = bytes, .size = size};
    return lw_yaml_whole(&from, read_tree, sizeof *year, year, err);
}
