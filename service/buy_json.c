#include <math.h>
#include <stdio.h>

#include "service/buy.h"
#include "service/json.h"

static json_t *year_json(lw_json *j, const lw_bought *b)
{
    static const char *const FROM[] = {"given", "book", "by_month"};
    json_t *o = lw_json_object(j), *list = lw_json_array(j);
    lw_json_text(j, o, "from", FROM[b->year.from]);
    lw_json_count(j, o, "nights", b->nights);
    lw_json_count(j, o, "left_out", b->year.left_out);
    for (int i = 0; i < b->year.count; i++) {
        const lw_year_stay *s = &b->year.stay[i];
        const lw_date d = lw_date_of(s->day);
        json_t *stay = lw_json_object(j);
        char date[40];
        snprintf(date, sizeof date, "%04d-%02d-%02d", d.year, d.month, d.day);
        lw_json_text(j, stay, "name", s->name);
        lw_json_number(j, stay, "latitude_deg", s->latitude_deg, 6);
        lw_json_number(j, stay, "longitude_deg", s->longitude_deg, 6);
        lw_json_number(j, stay, "elevation_m", s->elevation_m, 1);
        lw_json_text(j, stay, "arrival", date);
        lw_json_count(j, stay, "nights", s->nights);
        lw_json_add(j, list, stay);
    }
    lw_json_put(j, o, "stays", list);
    lw_json_text(j, o, "sentence", b->year_words);
    return o;
}

static json_t *supplies_json(lw_json *j, const double *days)
{
    json_t *o = lw_json_object(j);
    for (int k = 0; k < LW_SUPPLY_STAY; k++)
        lw_json_number(j, o, lw_supply_word((lw_supply)k), days[k], 2);
    return o;
}

static json_t *base_json(lw_json *j, const lw_buy_set *s)
{
    json_t *o = lw_json_object(j);
    lw_json_number(j, o, "days", s->days, 2);
    lw_json_put(j, o, "own_days", supplies_json(j, s->own_days));
    lw_json_number(j, o, "runs", s->runs, 2);
    lw_json_number(j, o, "fuel_l", s->fuel_l, 2);
    lw_json_number(j, o, "propane_kg", s->propane_kg, 2);
    lw_json_number(j, o, "generator_h", s->generator_h, 2);
    return o;
}

static json_t *set_json(lw_json *j, const lw_bought *b, const lw_buy_set *s)
{
    json_t *o = lw_json_object(j), *ids = lw_json_array(j);
    const int is_tried = !s->why_not[0];
    for (int i = 0; i < s->count; i++)
        lw_json_add(j, ids, json_string(b->item[s->item[i]].id));
    lw_json_put(j, o, "items", ids);
    lw_json_text(j, o, "title", s->title);
    lw_json_text(j, o, "why_not", s->why_not);
    lw_json_flag(j, o, "is_on_front", s->is_on_front);
    lw_json_number(j, o, "price_usd", s->price_usd, 2);
    lw_json_number(j, o, "mass_kg", s->mass_kg, 2);
    lw_json_number(j, o, "roof_m2", s->roof_m2, 2);
    lw_json_flag(j, o, "fits_roof", s->fits_roof);
    lw_json_flag(j, o, "fits_mass", s->fits_mass);
    lw_json_number(j, o, "gained_days", is_tried ? s->gained_days : NAN, 2);
    lw_json_put(j, o, "own_gained_days", supplies_json(j, s->own_gained_days));
    lw_json_number(j, o, "usd_a_day", is_tried ? s->usd_a_day : NAN, 2);
    lw_json_number(j, o, "runs_saved", is_tried ? s->runs_saved : NAN, 2);
    lw_json_number(j, o, "fuel_saved_l", is_tried ? s->fuel_saved_l : NAN, 2);
    lw_json_number(j, o, "propane_saved_kg", is_tried ? s->propane_saved_kg : NAN, 2);
    lw_json_number(j, o, "generator_saved_h", is_tried ? s->generator_saved_h : NAN, 2);
    lw_json_number(j, o, "saved_usd", is_tried ? s->saved_usd : NAN, 2);
    lw_json_number(j, o, "payback_fuel_years", is_tried ? s->payback_fuel_years : NAN, 2);
    lw_json_number(j, o, "payback_runs_years", is_tried ? s->payback_runs_years : NAN, 2);
    lw_json_number(j, o, "payback_nights_years", is_tried ? s->payback_nights_years : NAN, 2);
    lw_json_text(j, o, "sentence", s->sentence);
    lw_json_text(j, o, "payback", s->payback);
    lw_json_text(j, o, "load", s->load);
    return o;
}

static json_t *item_json(lw_json *j, const lw_buy_item *item)
{
    json_t *o = lw_json_object(j), *changes = lw_json_array(j);
    lw_json_text(j, o, "id", item->id);
    lw_json_text(j, o, "kind", lw_lever_sort_word(item->sort));
    lw_json_text(j, o, "title", item->title);
    for (int i = 0; i < item->change_count; i++)
        lw_json_add(j, changes, json_string(item->change[i]));
    lw_json_put(j, o, "changes", changes);
    lw_json_number(j, o, "price_usd", item->price_usd, 2);
    lw_json_number(j, o, "mass_kg", item->mass_kg, 2);
    lw_json_number(j, o, "roof_m2", item->roof_m2, 2);
    lw_json_text(j, o, "source", item->source);
    lw_json_text(j, o, "source_kind", item->kind);
    return o;
}

static json_t *prices_json(lw_json *j, const lw_buy_wish *w)
{
    json_t *o = lw_json_object(j);
    lw_json_number(j, o, "run_usd", w->run_usd, 2);
    lw_json_number(j, o, "hookup_night_usd", w->night_usd, 2);
    lw_json_number(j, o, "fuel_usd_l", w->fuel_usd_l, 4);
    lw_json_number(j, o, "propane_usd_kg", w->propane_usd_kg, 4);
    lw_json_flag(j, o, "is_used", w->is_used);
    lw_json_number(j, o, "budget_usd", w->budget_usd, 2);
    return o;
}

char *lw_buy_json(const lw_bought *b, const lw_loaded *loaded, const char *version)
{
    lw_json j = {.zone = &loaded->zone};
    json_t *root = lw_json_object(&j), *program = lw_json_object(&j), *items = lw_json_array(&j),
           *sets = lw_json_array(&j), *assumed = lw_json_array(&j);
    char seed[24];
    lw_json_text(&j, root, "schema", "leeway.buy/1");
    lw_json_text(&j, program, "name", "leeway");
    lw_json_text(&j, program, "version", version ? version : "unknown");
    lw_json_put(&j, root, "program", program);
    lw_json_text(&j, root, "scenario_file", loaded->file);
    lw_json_count(&j, root, "draws", b->draws);
    snprintf(seed, sizeof seed, "%llu", (unsigned long long)b->seed);
    lw_json_text(&j, root, "seed", seed);
    lw_json_text(&j, root, "headline", b->headline);
    lw_json_text(&j, root, "advice", b->advice);
    lw_json_put(&j, root, "year", year_json(&j, b));
    lw_json_put(&j, root, "prices", prices_json(&j, &b->wish));
    lw_json_number(&j, root, "spare_kg", b->spare_kg, 1);
    lw_json_number(&j, root, "roof_m2", b->cargo.roof_m2, 2);
    lw_json_put(&j, root, "as_it_is", base_json(&j, &b->base));
    for (int i = 0; i < b->item_count; i++)
        lw_json_add(&j, items, item_json(&j, &b->item[i]));
    lw_json_put(&j, root, "items", items);
    for (int i = 0; i < b->set_count; i++)
        lw_json_add(&j, sets, set_json(&j, b, &b->set[i]));
    lw_json_put(&j, root, "sets", sets);
    lw_json_assumptions(&j, assumed, b->cargo.assumption, b->cargo.assumption_count);
    lw_json_grounds(&j, assumed, &b->prices, loaded);
    lw_json_put(&j, root, "assumptions", assumed);
    lw_json_text(&j, root, "caution", lw_buy_caution);
    return lw_json_finish(&j, root, 0);
}
