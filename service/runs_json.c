#include <math.h>

#include "service/json.h"
#include "service/runs_plan.h"

static json_t *words_of(lw_json *j, const lw_runs_planned *p, uint32_t supplies)
{
    json_t *list = lw_json_array(j);
    for (int k = 0; k < p->in.supply_count; k++)
        if (supplies >> k & 1u)
            lw_json_add(j, list, json_string(lw_supply_word((lw_supply)p->supply[k])));
    return list;
}

static json_t *services_of(lw_json *j, const lw_runs_planned *p, uint32_t services)
{
    json_t *list = lw_json_array(j);
    for (int s = 0; s < p->in.service_count; s++)
        if (services >> s & 1u)
            lw_json_add(j, list, json_string(p->errands.service[p->service[s]].name));
    return list;
}

static json_t *run_json(lw_json *j, const lw_runs_planned *p, int at)
{
    const lw_run *run = &p->out.run[at];
    const lw_planned_run *planned = &p->run[at];
    const lw_errand_type *t = &p->errands.type[run->type];
    json_t *o = lw_json_object(j), *parts = lw_json_array(j);
    lw_json_time(j, o, "leave", planned->leave_s);
    lw_json_time(j, o, "back", planned->back_s);
    lw_json_text(j, o, "by", t->name);
    lw_json_flag(j, o, "is_break_camp", t->is_break_camp);
    lw_json_put(j, o, "services", services_of(j, p, run->services));
    lw_json_put(j, o, "supplies", words_of(j, p, run->supplies));
    lw_json_number(j, o, "cans_l", t->is_break_camp ? NAN : t->cans_l, 2);
    lw_json_number(j, o, "waste_l", t->is_break_camp ? NAN : t->waste_l, 2);
    lw_json_number(j, o, "road_km", run->road_km, 2);
    lw_json_number(j, o, "spent_h", run->spent_h, 3);
    lw_json_number(j, o, "usd", run->usd, 2);
    for (int i = 0; i < planned->part_count; i++) {
        json_t *part = lw_json_object(j);
        lw_json_text(j, part, "what", planned->part[i].what);
        lw_json_number(j, part, "usd", planned->part[i].usd, 4);
        lw_json_text(j, part, "source", planned->part[i].source);
        lw_json_add(j, parts, part);
    }
    lw_json_put(j, o, "parts", parts);
    lw_json_text(j, o, "sentence", planned->sentence);
    return o;
}

/* How long each supply was counted to last: as it is, and whole after a run on the second day. */
static json_t *supply_json(lw_json *j, const lw_runs_planned *p, int k)
{
    json_t *o = lw_json_object(j);
    const double since_h = (double)(p->start_s - p->tick0_s) / 3600.0;
    lw_json_text(j, o, "supply", lw_supply_word((lw_supply)p->supply[k]));
    lw_json_flag(j, o, "lasts_to_the_end", p->in.first[k] >= p->in.end);
    lw_json_number(j, o, "lasts_days",
                   p->in.first[k] >= p->in.end ? NAN : (p->in.first[k] * p->tick_h - since_h) / 24.0, 3);
    return o;
}

static json_t *service_json(lw_json *j, const lw_errand_service *s)
{
    static const char *const USERS[] = {"public", "asked", "customers", "unknown"};
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "name", s->name);
    lw_json_text(j, o, "for", USERS[s->users]);
    lw_json_flag(j, o, "is_relied_on", s->users != LW_ERRAND_UNKNOWN);
    lw_json_flag(j, o, "is_guess", s->is_guess);
    lw_json_number(j, o, "road_km", s->road_km, 2);
    lw_json_number(j, o, "road_h", s->road_h, 3);
    lw_json_number(j, o, "fee_usd", s->fee_usd, 2);
    lw_json_text(j, o, "source", s->source);
    return o;
}

static void put_outcome(lw_json *j, json_t *root, const lw_runs_planned *p)
{
    lw_json_flag(j, root, "is_found", p->out.is_found);
    lw_json_flag(j, root, "is_proven", p->out.is_proven);
    lw_json_flag(j, root, "is_reached", p->is_reached);
    lw_json_text(j, root, "short_supply",
                 p->out.short_supply < 0 ? NULL : lw_supply_word((lw_supply)p->supply[p->out.short_supply]));
    lw_json_time(j, root, "reach", p->reach_s);
    lw_json_number(j, root, "usd", p->out.is_found ? p->out.usd : NAN, 2);
    lw_json_number(j, root, "bound_usd", p->out.is_found ? p->out.bound_usd : NAN, 2);
    lw_json_number(j, root, "aimed_frac", p->aimed_frac, 4);
    lw_json_number(j, root, "measured_frac", p->out.is_found ? p->fresh_frac : NAN, 4);
    lw_json_count(j, root, "measured_draws", p->out.is_found ? p->fresh_draws : 0);
    lw_json_number(j, root, "without_frac", p->without_frac, 4);
    lw_json_number(j, root, "keeps_spot_frac", p->keeps_spot_frac, 4);
}

static void put_question(lw_json *j, json_t *root, const lw_runs_planned *p, const char *version)
{
    json_t *program = lw_json_object(j);
    char seed[24];
    lw_json_text(j, root, "schema", "leeway.runs/1");
    lw_json_text(j, program, "name", "leeway");
    lw_json_text(j, program, "version", version ? version : "unknown");
    lw_json_put(j, root, "program", program);
    lw_json_text(j, root, "scenario_file", p->file);
    lw_json_count(j, root, "draws", p->draws);
    snprintf(seed, sizeof seed, "%llu", (unsigned long long)p->seed);
    lw_json_text(j, root, "seed", seed);
    lw_json_time(j, root, "start", p->start_s);
    lw_json_time(j, root, "departure", p->departure_s);
    lw_json_time(j, root, "wished_departure", p->wished_s);
    lw_json_number(j, root, "confidence_frac", p->confidence_frac, 4);
    lw_json_number(j, root, "hour_usd", p->in.hour_usd, 2);
}

char *lw_runs_json(const lw_runs_planned *p, const lw_loaded *camp, const char *version)
{
    lw_json j = {.zone = &p->zone};
    json_t *root = lw_json_object(&j), *runs = lw_json_array(&j), *supplies = lw_json_array(&j),
           *services = lw_json_array(&j), *assumed = lw_json_array(&j);
    put_question(&j, root, p, version);
    put_outcome(&j, root, p);
    for (int i = 0; i < p->out.count; i++)
        lw_json_add(&j, runs, run_json(&j, p, i));
    for (int k = 0; k < p->in.supply_count; k++)
        lw_json_add(&j, supplies, supply_json(&j, p, k));
    for (int s = 0; s < p->errands.service_count; s++)
        lw_json_add(&j, services, service_json(&j, &p->errands.service[s]));
    lw_json_put(&j, root, "runs", runs);
    lw_json_put(&j, root, "supplies", supplies);
    lw_json_put(&j, root, "services", services);
    lw_json_assumptions(&j, assumed, p->errands.assumed, p->errands.assumed_count);
    lw_json_grounds(&j, assumed, &p->prices, camp);
    lw_json_put(&j, root, "assumptions", assumed);
    lw_json_text(&j, root, "headline", p->headline);
    lw_json_text(&j, root, "measured", p->measured);
    lw_json_text(&j, root, "spot", p->spot);
    lw_json_text(&j, root, "driving_day", p->driving);
    lw_json_text(&j, root, "notes", p->notes);
    lw_json_text(&j, root, "ask", p->ask);
    return lw_json_finish(&j, root, 0);
}
