#include <math.h>

#include "service/json.h"
#include "service/levers.h"

static json_t *gain_json(lw_json *j, const lw_gain *g)
{
    static const char *const BOUND[] = {"exact", "at_least", "at_most", "unknown"};
    json_t *o = lw_json_object(j);
    lw_json_number(j, o, "before_days", g->had ? g->before_days : NAN, 3);
    lw_json_flag(j, o, "before_is_beyond", g->before_is_beyond);
    lw_json_number(j, o, "after_days", g->has ? g->after_days : NAN, 3);
    lw_json_flag(j, o, "after_is_beyond", g->after_is_beyond);
    lw_json_number(j, o, "difference_days", g->bound == LW_BOUND_UNKNOWN ? NAN : g->difference_days, 3);
    lw_json_text(j, o, "bound", BOUND[g->bound]);
    return o;
}

static json_t *gains_json(lw_json *j, const lw_gain *gain, const double *use_more)
{
    json_t *list = lw_json_array(j);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        if (!gain[k].had && !gain[k].has)
            continue;
        json_t *o = gain_json(j, &gain[k]);
        lw_json_text(j, o, "supply", lw_supply_word((lw_supply)k));
        if (use_more) {
            lw_json_number(j, o, "use_more_per_day", use_more[k], 4);
            lw_json_text(j, o, "unit", lw_supply_unit((lw_supply)k));
        }
        lw_json_add(j, list, o);
    }
    return list;
}

static json_t *changes_json(lw_json *j, const lw_lever *lever)
{
    json_t *list = lw_json_array(j);
    for (int i = 0; i < lever->change_count; i++)
        lw_json_add(j, list, json_string(lever->change[i]));
    return list;
}

static json_t *lever_json(lw_json *j, const lw_lever *l)
{
    static const char *const FROM[] = {"table", "scenario", "asked"};
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "id", l->id);
    lw_json_text(j, o, "kind", lw_lever_sort_word(l->sort));
    lw_json_text(j, o, "title", l->title);
    lw_json_put(j, o, "changes", changes_json(j, l));
    lw_json_text(j, o, "exclusive", l->exclusive);
    lw_json_text(j, o, "why_not", l->why_not);
    lw_json_flag(j, o, "is_in_set", l->is_in_set);
    lw_json_flag(j, o, "is_drawn", l->is_drawn);
    if (!l->why_not[0]) {
        lw_json_put(j, o, "stay", gain_json(j, &l->stay));
        lw_json_put(j, o, "supplies", gains_json(j, l->gain, l->use_more));
    }
    lw_json_number(j, o, "stays_frac", l->why_not[0] ? NAN : l->stays_frac, 4);
    lw_json_number(j, o, "price_usd", l->price_usd, 2);
    lw_json_number(j, o, "running_usd", l->running_usd, 2);
    lw_json_number(j, o, "minutes_a_day", l->minutes_a_day, 2);
    lw_json_number(j, o, "minutes_once", l->minutes_once, 2);
    lw_json_number(j, o, "nuisance", l->nuisance, 2);
    lw_json_text(j, o, "nuisance_from", FROM[l->nuisance_from]);
    lw_json_number(j, o, "mass_kg", l->mass_kg, 2);
    lw_json_number(j, o, "roof_m2", l->roof_m2, 2);
    lw_json_number(j, o, "burden_usd", l->burden_usd, 2);
    lw_json_number(j, o, "payback_days", l->payback_days, 1);
    lw_json_flag(j, o, "payback_is_never", isinf(l->payback_days));
    lw_json_text(j, o, "sentence", l->sentence);
    lw_json_text(j, o, "payback", l->payback);
    lw_json_text(j, o, "source", l->source);
    lw_json_text(j, o, "source_kind", l->kind);
    return o;
}

static json_t *set_json(lw_json *j, const lw_levers *l)
{
    json_t *o = lw_json_object(j), *ids = lw_json_array(j), *short_of = lw_json_array(j);
    for (int i = 0; i < l->count; i++)
        if (l->lever[i].is_in_set)
            lw_json_add(j, ids, json_string(l->lever[i].id));
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (l->hopeless >> k & 1u)
            lw_json_add(j, short_of, json_string(lw_supply_word((lw_supply)k)));
    const int is_measured = l->is_reached || l->set_count > 0;
    lw_json_flag(j, o, "is_reached", l->is_reached);
    lw_json_put(j, o, "levers", ids);
    lw_json_put(j, o, "short_of", short_of);
    lw_json_number(j, o, "aimed_frac", is_measured ? l->aimed_frac : NAN, 4);
    lw_json_number(j, o, "model_frac", is_measured ? l->model_frac : NAN, 4);
    lw_json_number(j, o, "measured_frac", is_measured ? l->fresh_frac : NAN, 4);
    lw_json_count(j, o, "measured_draws", is_measured ? l->fresh_draws : 0);
    lw_json_flag(j, o, "is_least", is_measured && l->is_least);
    lw_json_number(j, o, "bound_usd", is_measured ? l->bound_usd : NAN, 2);
    lw_json_count(j, o, "sets_tried", l->sets_asked);
    lw_json_number(j, o, "burden_usd", is_measured ? l->set_burden_usd : NAN, 2);
    lw_json_number(j, o, "price_usd", is_measured ? l->set_price_usd : NAN, 2);
    lw_json_number(j, o, "running_usd", is_measured ? l->set_running_usd : NAN, 2);
    lw_json_number(j, o, "minutes", is_measured ? l->set_minutes : NAN, 1);
    lw_json_number(j, o, "mass_kg", is_measured ? l->set_mass_kg : NAN, 1);
    lw_json_number(j, o, "roof_m2", is_measured ? l->set_roof_m2 : NAN, 2);
    lw_json_text(j, o, "sentence", l->set_sentence);
    lw_json_text(j, o, "measured", l->measured);
    return o;
}

char *lw_levers_json(const lw_levers *l, const lw_loaded *loaded, const char *version)
{
    lw_json j = {.zone = &loaded->zone, .is_12_hour = l->wish.choice.is_12_hour};
    json_t *root = lw_json_object(&j), *program = lw_json_object(&j), *list = lw_json_array(&j),
           *assumed = lw_json_array(&j);
    lw_json_text(&j, root, "schema", "leeway.levers/1");
    lw_json_text(&j, program, "name", "leeway");
    lw_json_text(&j, program, "version", version ? version : "unknown");
    lw_json_put(&j, root, "program", program);
    lw_json_text(&j, root, "scenario_file", loaded->file);
    lw_json_count(&j, root, "draws", l->draws);
    lw_json_count(&j, root, "set_draws", l->set_draws);
    char seed[24];
    snprintf(seed, sizeof seed, "%llu", (unsigned long long)l->seed);
    lw_json_text(&j, root, "seed", seed);
    lw_json_time(&j, root, "start", l->start_s);
    lw_json_time(&j, root, "departure", l->departure_s);
    lw_json_time(&j, root, "run", l->run_s);
    lw_json_number(&j, root, "horizon_days", l->horizon_days, 3);
    lw_json_number(&j, root, "confidence_frac", l->wish.confidence_frac, 4);
    lw_json_number(&j, root, "hour_usd", l->hour_usd, 2);
    lw_json_number(&j, root, "nuisance_usd", l->nuisance_usd, 2);
    lw_json_number(&j, root, "fuel_usd_l", l->fuel_usd_l, 3);
    lw_json_number(&j, root, "propane_usd_kg", l->propane_usd_kg, 3);
    lw_json_grounds(&j, assumed, &l->prices, loaded);
    lw_json_put(&j, root, "assumptions", assumed);
    lw_json_text(&j, root, "headline", l->headline);
    lw_json_text(&j, root, "binding", l->binding >= 0 ? lw_supply_word((lw_supply)l->binding) : NULL);
    lw_json_number(&j, root, "stays_frac", l->stays_frac, 4);
    lw_json_put(&j, root, "stay", gain_json(&j, &l->stay));
    lw_json_put(&j, root, "supplies", gains_json(&j, l->supply, NULL));
    for (int i = 0; i < l->count; i++)
        lw_json_add(&j, list, lever_json(&j, &l->lever[i]));
    lw_json_put(&j, root, "levers", list);
    lw_json_put(&j, root, "set", l->has_set ? set_json(&j, l) : json_null());
    return lw_json_finish(&j, root, 0);
}
