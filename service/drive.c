#include "service/drive.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "service/json.h"
#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

lw_code lw_drive_engine_set(lw_book *book, const char *engine, lw_err *err)
{
    const int is_none = strcmp(engine, "none") == 0;
    const lw_code code = is_none ? LW_OK : lw_router_check(engine, err);
    return code ? code : lw_book_set(book, LW_ROADS_ENGINE_KEY, is_none ? "" : engine, err);
}

lw_code lw_drive_make(lw_book *book, const lw_drive_ask *ask, lw_drive_answer *answer, lw_err *err)
{
    lw_camps camps = {0};
    lw_roads roads = {0};
    lw_drive_answer a = {0};
    snprintf(a.from, sizeof a.from, "%.63s", ask->from);
    snprintf(a.to, sizeof a.to, "%.63s", ask->to);
    lw_code code = lw_camps_load(book, &camps, err);
    code = code ? code : lw_roads_end(&camps, ask->from, &a.from_spot, &a.from_m, err);
    code = code ? code : lw_roads_end(&camps, ask->to, &a.to_spot, &a.to_m, err);
    code = code ? code : lw_roads_open(book, &camps, ask->now_s, &roads, err);
    if (!code) {
        a.road = lw_roads_between(&roads, a.from_spot, a.to_spot);
        a.fuel = lw_roads_fuel(&roads.rig, &a.road, a.from_m, a.to_m);
        a.speed_ms = roads.rig.speed_ms;
        snprintf(a.note, sizeof a.note, "%s", roads.note);
        *answer = a;
    }
    lw_roads_clear(&roads);
    lw_camps_clear(&camps);
    return code;
}

int lw_drive_say(const lw_drive_answer *a, lw_unit_system units, char line[LW_DRIVE_LINES][LW_ROADS_NOTE])
{
    char road[LW_ROADS_SAY], fuel[LW_QUANTITY_BYTES], low[LW_QUANTITY_BYTES], high[LW_QUANTITY_BYTES],
        speed[LW_QUANTITY_BYTES], share[LW_DECIMAL_BYTES];
    int count = 0;
    snprintf(line[count++], LW_ROADS_NOTE, "From %s to %s: %s.", a->from, a->to, lw_road_say(&a->road, units, road));
    lw_quantity_print_in(fuel, sizeof fuel, a->fuel.fuel_l, lw_quantity_unit(a->fuel.fuel_l, LW_DIM_VOLUME, units), 2);
    lw_quantity_print_in(low, sizeof low, a->fuel.low_l, lw_quantity_unit(a->fuel.fuel_l, LW_DIM_VOLUME, units), 2);
    lw_quantity_print_in(high, sizeof high, a->fuel.high_l, lw_quantity_unit(a->fuel.fuel_l, LW_DIM_VOLUME, units), 2);
    if (a->road.by == LW_ROAD_GUESS)
        snprintf(line[count++], LW_ROADS_NOTE, "Fuel: %s to %s, some %s; hills, wind and traffic add 5 to 15 %%.", low,
                 high, fuel);
    else
        snprintf(line[count++], LW_ROADS_NOTE, "Fuel: %s; hills, wind and traffic add 5 to 15 %%.", fuel);
    if (a->fuel.uphill_ms < 0.97 * a->speed_ms) {
        lw_decimal_print(share, sizeof share, 100.0 * (1.0 - a->fuel.power_frac), 0, 0);
        snprintf(line[count++], LW_ROADS_NOTE,
                 "Up a grade of 6 %% at the higher end the engine holds %s; thin air takes %s %% of its power.",
                 a->fuel.uphill_ms > 0.0
                     ? lw_quantity_print(speed, sizeof speed, a->fuel.uphill_ms, LW_DIM_SPEED, units)
                     : "no speed at all",
                 share);
    }
    if (a->note[0])
        snprintf(line[count++], LW_ROADS_NOTE, "%s", a->note);
    if (a->road.is_none)
        snprintf(line[count++], LW_ROADS_NOTE,
                 "Perhaps a bridge is too low or a road too weak for the rig: look at the map.");
    return count;
}

static void put_band(lw_json *j, json_t *o, const char *key, lw_drive_band band)
{
    json_t *b = lw_json_object(j);
    lw_json_number(j, b, "middle", band.middle, 0);
    lw_json_number(j, b, "low", band.low, 0);
    lw_json_number(j, b, "high", band.high, 0);
    lw_json_put(j, o, key, b);
}

static json_t *end_json(lw_json *j, const char *name, lw_spot spot, double height_m)
{
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "name", name);
    lw_json_number(j, o, "latitude_deg", spot.latitude_deg, 6);
    lw_json_number(j, o, "longitude_deg", spot.longitude_deg, 6);
    lw_json_number(j, o, "elevation_m", height_m, 1);
    return o;
}

char *lw_drive_json(const lw_drive_answer *a, const char *version)
{
    static const char *const BY[] = {"yours", "engine", "guess"};
    lw_json j = {.zone = NULL};
    json_t *root = lw_json_object(&j);
    lw_json_text(&j, root, "schema", "leeway.drive/1");
    lw_json_text(&j, root, "program", version ? version : "unknown");
    lw_json_put(&j, root, "from", end_json(&j, a->from, a->from_spot, a->from_m));
    lw_json_put(&j, root, "to", end_json(&j, a->to, a->to_spot, a->to_m));
    lw_json_text(&j, root, "by", BY[a->road.by]);
    lw_json_flag(&j, root, "is_no_way_known", a->road.is_none);
    lw_json_number(&j, root, "air_m", a->road.air_m, 0);
    put_band(&j, root, "distance_m", a->road.distance_m);
    put_band(&j, root, "time_s", a->road.time_s);
    lw_json_number(&j, root, "fuel_l", a->fuel.fuel_l, 2);
    lw_json_number(&j, root, "fuel_low_l", a->fuel.low_l, 2);
    lw_json_number(&j, root, "fuel_high_l", a->fuel.high_l, 2);
    lw_json_number(&j, root, "uphill_ms", a->fuel.uphill_ms, 2);
    lw_json_number(&j, root, "power_frac", a->fuel.power_frac, 4);
    lw_json_text(&j, root, "note", a->note);
    return lw_json_finish(&j, root, 0);
}
