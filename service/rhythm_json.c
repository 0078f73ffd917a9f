#include <math.h>
#include <stdio.h>

#include "service/json.h"
#include "service/rhythm.h"

static json_t *supply_json(lw_json *j, const lw_rhythm_month *m, int k)
{
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "supply", lw_supply_word((lw_supply)k));
    lw_json_number(j, o, "lasts_days", m->lasts_days[k], 2);
    lw_json_count(j, o, "each_run", m->each[k]);
    lw_json_number(j, o, "use_per_day", m->use_per_day[k], 4);
    lw_json_text(j, o, "unit", lw_supply_unit((lw_supply)k));
    return o;
}

static json_t *month_json(lw_json *j, const lw_rhythm_month *m, const lw_errands *errands)
{
    json_t *o = lw_json_object(j), *supplies = lw_json_array(j), *ways = lw_json_array(j);
    lw_json_count(j, o, "year", m->year);
    lw_json_count(j, o, "month", m->month);
    lw_json_count(j, o, "days", m->days);
    lw_json_count(j, o, "every_days", m->every_days);
    lw_json_text(j, o, "short_of",
                 m->every_days == 0 && m->short_supply >= 0 ? lw_supply_word((lw_supply)m->short_supply) : NULL);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (m->is_served[k])
            lw_json_add(j, supplies, supply_json(j, m, k));
    lw_json_put(j, o, "supplies", supplies);
    for (int i = 0; errands && i < m->type_count; i++)
        lw_json_add(j, ways, json_string(errands->type[m->type[i]].name));
    lw_json_put(j, o, "ways", ways);
    lw_json_number(j, o, "runs", m->runs, 2);
    lw_json_number(j, o, "hours_h", m->hours, 2);
    lw_json_number(j, o, "road_km", m->km, 1);
    lw_json_number(j, o, "fees_usd", m->fees_usd, 2);
    lw_json_number(j, o, "road_usd", m->road_usd, 2);
    lw_json_number(j, o, "time_usd", m->time_usd, 2);
    lw_json_number(j, o, "trouble_usd", m->trouble_usd, 2);
    lw_json_number(j, o, "propane_usd", m->propane_usd, 2);
    lw_json_number(j, o, "fuel_usd", m->fuel_usd, 2);
    lw_json_number(j, o, "usd", m->usd, 2);
    lw_json_number(j, o, "generator_h_per_day", m->generator_h, 2);
    lw_json_number(j, o, "battery_short_frac", m->battery_short_frac, 3);
    lw_json_number(j, o, "aimed_frac", m->aimed_frac, 4);
    lw_json_number(j, o, "measured_frac", m->fresh_frac, 4);
    lw_json_flag(j, o, "is_reached", m->is_reached);
    lw_json_text(j, o, "sentence", m->sentence);
    lw_json_text(j, o, "cost_sentence", m->cost_sentence);
    return o;
}

char *lw_rhythm_json(const lw_long_stay *r, const lw_errands *errands, const char *version)
{
    lw_json j = {.zone = &r->zone, .is_12_hour = r->wish.choice.is_12_hour};
    json_t *root = lw_json_object(&j), *program = lw_json_object(&j), *months = lw_json_array(&j);
    char seed[24];
    lw_json_text(&j, root, "schema", "leeway.rhythm/1");
    lw_json_text(&j, program, "name", "leeway");
    lw_json_text(&j, program, "version", version ? version : "unknown");
    lw_json_put(&j, root, "program", program);
    lw_json_text(&j, root, "scenario_file", r->file);
    lw_json_count(&j, root, "draws", r->draws);
    lw_json_count(&j, root, "measured_draws", r->fresh_draws);
    snprintf(seed, sizeof seed, "%llu", (unsigned long long)r->wish.seed);
    lw_json_text(&j, root, "seed", seed);
    lw_json_time(&j, root, "start", r->start_s);
    lw_json_time(&j, root, "until", r->until_s);
    lw_json_count(&j, root, "days", r->days);
    lw_json_number(&j, root, "confidence_frac", r->confidence_frac, 4);
    lw_json_number(&j, root, "hour_usd", r->hour_usd, 2);
    lw_json_flag(&j, root, "is_climate", r->is_climate);
    lw_json_flag(&j, root, "has_services", r->has_errands);
    lw_json_text(&j, root, "headline", r->headline);
    lw_json_text(&j, root, "limit", r->limit);
    lw_json_text(&j, root, "ask", r->ask);
    lw_json_text(&j, root, "note", r->note);
    lw_json_number(&j, root, "runs", r->runs, 2);
    lw_json_number(&j, root, "usd", r->usd, 2);
    lw_json_number(&j, root, "usd_per_month", r->usd_per_month, 2);
    for (int i = 0; i < r->month_count; i++)
        lw_json_add(&j, months, month_json(&j, &r->month[i], errands));
    lw_json_put(&j, root, "months", months);
    return lw_json_finish(&j, root, 0);
}
