#include <math.h>
#include <stdio.h>

#include "service/generator_plan.h"
#include "service/json.h"

static json_t *run_json(lw_json *j, const lw_generator_run *run, const char *fuel_key)
{
    json_t *o = lw_json_object(j);
    lw_json_time(j, o, "from", run->from_s);
    lw_json_time(j, o, "until", run->until_s);
    lw_json_number(j, o, "battery_before_frac", run->before_frac, 3);
    lw_json_number(j, o, "battery_after_frac", run->after_frac, 3);
    lw_json_number(j, o, fuel_key, run->fuel, 3);
    lw_json_number(j, o, "runs_frac", run->runs_frac, 4);
    lw_json_number(j, o, "skip_from_frac", run->skip_from_frac, 2);
    lw_json_time(j, o, "floor_without", run->floor_s);
    lw_json_flag(j, o, "is_at_night", run->is_at_night);
    lw_json_text(j, o, "for", run->why);
    lw_json_text(j, o, "bothers", run->spite);
    lw_json_text(j, o, "sentence", run->sentence);
    return o;
}

static json_t *work_json(lw_json *j, const lw_work_day *work)
{
    json_t *o = lw_json_object(j);
    lw_json_time(j, o, "until", work->until_s);
    lw_json_number(j, o, "enough_frac", work->enough_frac, 4);
    lw_json_text(j, o, "sentence", work->sentence);
    return o;
}

static json_t *caution_json(lw_json *j, const lw_caution *caution)
{
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "id", caution->id);
    lw_json_text(j, o, "title", caution->title);
    lw_json_text(j, o, "text", caution->text);
    lw_json_text(j, o, "source", caution->source);
    return o;
}

static void put_figures(lw_json *j, json_t *root, const lw_generator_plan *p)
{
    const char *fuel_key = p->is_gas ? "propane_kg" : "fuel_l";
    lw_json_number(j, root, "floor_frac", p->floor_frac, 4);
    lw_json_number(j, root, "confidence_frac", p->wish.confidence_frac, 4);
    lw_json_flag(j, root, "is_needed", p->is_needed);
    lw_json_flag(j, root, "is_found", p->is_found);
    lw_json_flag(j, root, "is_reached", p->is_reached);
    lw_json_flag(j, root, "is_to_departure", p->is_to_departure);
    lw_json_number(j, root, "aimed_frac", p->is_found && p->is_needed ? p->aimed_frac : NAN, 4);
    lw_json_number(j, root, "measured_frac", p->is_found ? p->fresh_frac : NAN, 4);
    lw_json_count(j, root, "measured_draws", p->fresh_draws);
    lw_json_number(j, root, "without_frac", p->without_frac, 4);
    lw_json_number(j, root, "always_frac", p->always_frac, 4);
    lw_json_number(j, root, fuel_key, p->fuel, 3);
    lw_json_number(j, root, p->is_gas ? "propane_there_kg" : "fuel_there_l", p->fuel_there, 3);
    lw_json_number(j, root, "running_h", p->running_h, 2);
    lw_json_number(j, root, "usd", p->usd, 2);
    lw_json_number(j, root, "bound_usd", p->bound_usd, 2);
    lw_json_flag(j, root, "is_exact", p->is_exact);
    lw_json_number(j, root, p->is_gas ? "propane_usd_kg" : "fuel_usd_l", p->fuel_usd, 3);
    lw_json_number(j, root, "per_hour_usd", p->per_hour_usd, 2);
    lw_json_number(j, root, "per_start_usd", p->per_start_usd, 2);
}

char *lw_generator_plan_json(const lw_generator_plan *p, const lw_loaded *loaded, const char *version)
{
    lw_json j = {.zone = &loaded->zone, .is_12_hour = p->wish.choice.is_12_hour};
    json_t *root = lw_json_object(&j), *program = lw_json_object(&j), *runs = lw_json_array(&j),
           *work = lw_json_array(&j), *assumed = lw_json_array(&j);
    char seed[24];
    lw_json_text(&j, root, "schema", "leeway.generator/1");
    lw_json_text(&j, program, "name", "leeway");
    lw_json_text(&j, program, "version", version ? version : "unknown");
    lw_json_put(&j, root, "program", program);
    lw_json_text(&j, root, "scenario_file", loaded->file);
    lw_json_count(&j, root, "draws", p->draws);
    snprintf(seed, sizeof seed, "%llu", (unsigned long long)p->seed);
    lw_json_text(&j, root, "seed", seed);
    lw_json_time(&j, root, "start", p->start_s);
    lw_json_time(&j, root, "until", p->until_s);
    lw_json_text(&j, root, "headline", p->headline);
    lw_json_text(&j, root, "measured", p->measured);
    lw_json_text(&j, root, "fuel_sentence", p->fuel_sentence);
    lw_json_text(&j, root, "note", p->note);
    put_figures(&j, root, p);
    for (int i = 0; i < p->run_count; i++)
        lw_json_add(&j, runs, run_json(&j, &p->run[i], p->is_gas ? "propane_kg" : "fuel_l"));
    lw_json_put(&j, root, "windows", runs);
    for (int i = 0; i < p->work_count; i++)
        lw_json_add(&j, work, work_json(&j, &p->work[i]));
    lw_json_put(&j, root, "work_days", work);
    lw_json_grounds(&j, assumed, &p->prices, loaded);
    lw_json_put(&j, root, "assumptions", assumed);
    lw_json_put(&j, root, "caution", caution_json(&j, &p->caution));
    return lw_json_finish(&j, root, 0);
}
