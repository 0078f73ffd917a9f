#include <math.h>
#include <stdio.h>

#include "service/json.h"
#include "service/provisions.h"

static json_t *supply_json(lw_json *j, int supply, const lw_provision *p)
{
    json_t *o = lw_json_object(j);
    const int fills = lw_supply_fills((lw_supply)supply);
    lw_json_text(j, o, "supply", lw_supply_word((lw_supply)supply));
    lw_json_text(j, o, "unit", lw_supply_unit((lw_supply)supply));
    lw_json_text(j, o, "what", !p->is_counted ? "given" : fills ? "room" : "bring");
    lw_json_number(j, o, "middle", p->is_counted ? p->middle : NAN, 3);
    lw_json_number(j, o, "sure", p->is_counted ? p->sure : NAN, 3);
    lw_json_number(j, o, "capacity", supply == LW_SUPPLY_STAY ? NAN : p->capacity, 3);
    lw_json_number(j, o, "level", p->is_counted ? p->level : NAN, 3);
    lw_json_number(j, o, "more", p->is_counted ? p->more : NAN, 3);
    lw_json_number(j, o, "mass_kg", p->mass_kg, 2);
    lw_json_number(j, o, "lasts_frac", p->lasts_frac, 4);
    lw_json_text(j, o, "list", p->list);
    lw_json_text(j, o, "carry", p->carry);
    lw_json_text(j, o, "given", p->given);
    lw_json_text(j, o, "why", p->why);
    return o;
}

static json_t *mass_json(lw_json *j, const lw_provisions *p)
{
    json_t *o = lw_json_object(j), *list = lw_json_array(j);
    lw_json_number(j, o, "arriving_kg", p->arriving_kg, 1);
    lw_json_number(j, o, "leaving_kg", p->leaving_kg, 1);
    lw_json_number(j, o, "people_kg", p->cargo.people_kg, 1);
    lw_json_number(j, o, "gear_kg", p->cargo.gear_kg, 1);
    lw_json_number(j, o, "payload_kg", p->cargo.payload_kg, 1);
    lw_json_number(j, o, "over_kg", p->over_kg, 1);
    lw_json_assumptions(j, list, p->cargo.assumption, p->cargo.assumption_count);
    lw_json_put(j, o, "assumptions", list);
    lw_json_text(j, o, "sentence", p->mass);
    lw_json_text(j, o, "caution", lw_cargo_caution);
    return o;
}

char *lw_provisions_json(const lw_provisions *p, const lw_loaded *loaded, const char *version)
{
    lw_json j = {.zone = &loaded->zone, .is_12_hour = p->wish.choice.is_12_hour};
    json_t *root = lw_json_object(&j), *program = lw_json_object(&j), *list = lw_json_array(&j);
    json_t *assumed = lw_json_array(&j);
    lw_json_text(&j, root, "schema", "leeway.provisions/1");
    lw_json_text(&j, program, "name", "leeway");
    lw_json_text(&j, program, "version", version ? version : "unknown");
    lw_json_put(&j, root, "program", program);
    lw_json_text(&j, root, "scenario_file", loaded->file);
    lw_json_text(&j, root, "place", loaded->scenario->place.name);
    lw_json_text(&j, root, "weather_source", loaded->weather_source);
    lw_json_count(&j, root, "draws", p->draws);
    char seed[24];
    snprintf(seed, sizeof seed, "%llu", (unsigned long long)p->seed);
    lw_json_text(&j, root, "seed", seed);
    lw_json_time(&j, root, "start", p->start_s);
    lw_json_time(&j, root, "departure", p->departure_s);
    lw_json_number(&j, root, "confidence_frac", p->wish.confidence_frac, 4);
    lw_json_number(&j, root, "aimed_frac", p->aimed_frac, 4);
    lw_json_number(&j, root, "measured_frac", p->fresh_frac, 4);
    lw_json_count(&j, root, "measured_draws", p->fresh_draws);
    lw_json_flag(&j, root, "is_reached", p->is_reached);
    lw_json_text(&j, root, "headline", p->headline);
    lw_json_text(&j, root, "measured", p->measured);
    lw_json_count(&j, root, "bags", p->bags);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (p->supply[k].is_there)
            lw_json_add(&j, list, supply_json(&j, k, &p->supply[k]));
    lw_json_put(&j, root, "supplies", list);
    lw_json_put(&j, root, "mass", mass_json(&j, p));
    lw_json_assumptions(&j, assumed, loaded->assumption, loaded->assumption_count);
    lw_json_put(&j, root, "assumptions", assumed);
    return lw_json_finish(&j, root, 0);
}
