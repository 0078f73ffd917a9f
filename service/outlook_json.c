#include "service/outlook_json.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/json.h"
#include "service/learning.h"
#include "text/say.h"

static const double DAY_S = 86400.0;

typedef struct lw_writer {
    lw_json j;
    const lw_outlook_answer *answer;
    const lw_json_options *options;
    const lw_words *words;
    const lw_outlook *outlook;
    const lw_scenario *scenario;
} lw_writer;

/* ------------------------------------------------------------------ what makes it repeatable */

static json_t *program_of(lw_writer *w)
{
    json_t *o = lw_json_object(&w->j);
    lw_json_text(&w->j, o, "name", "leeway");
    lw_json_text(&w->j, o, "version", w->options->version ? w->options->version : "unknown");
    return o;
}

static json_t *run_of(lw_writer *w)
{
    char seed[24];
    json_t *o = lw_json_object(&w->j);
    /* as text: a reader with doubles would round a seed of 64 bits */
    snprintf(seed, sizeof seed, "%llu", (unsigned long long)w->outlook->seed);
    lw_json_text(&w->j, o, "seed", seed);
    lw_json_count(&w->j, o, "draws", w->outlook->draws);
    lw_json_text(&w->j, o, "policy", w->outlook->policy == LW_POLICY_PLAN ? "plan" : "as_is");
    lw_json_count(&w->j, o, "steps_per_hour", w->outlook->steps_per_hour);
    lw_json_text(&w->j, o, "scenario_file", w->answer->loaded.file);
    lw_json_text(&w->j, o, "units", w->options->choice.units == LW_UNITS_SI ? "si" : "us");
    return o;
}

static json_t *weather_of(lw_writer *w)
{
    const lw_loaded *in = &w->answer->loaded;
    json_t *o = lw_json_object(&w->j);
    lw_json_text(&w->j, o, "source", in->weather_source);
    lw_json_time(&w->j, o, "made", in->weather_made_s);
    lw_json_number(&w->j, o, "age_days",
                   in->weather_made_s ? (double)(w->outlook->start_s - in->weather_made_s) / DAY_S : NAN, 1);
    lw_json_flag(&w->j, o, "is_typical", in->weather_is_typical);
    lw_json_number(&w->j, o, "measured_at_elevation_m", in->weather_elevation_m, 0);
    lw_json_text(&w->j, o, "sentence", w->words->weather);
    return o;
}

static json_t *place_of(lw_writer *w)
{
    const lw_place *p = &w->scenario->place;
    json_t *o = lw_json_object(&w->j);
    lw_json_text(&w->j, o, "name", p->name);
    lw_json_number(&w->j, o, "latitude_deg", p->latitude_deg, 5);
    lw_json_number(&w->j, o, "longitude_deg", p->longitude_deg, 5);
    lw_json_number(&w->j, o, "elevation_m", p->elevation_m, 0);
    lw_json_text(&w->j, o, "zone", w->answer->loaded.zone.name);
    return o;
}

/* ------------------------------------------------------------------ leeways */

static json_t *quantile_of(lw_writer *w, const lw_quantile *q)
{
    json_t *o = lw_json_object(&w->j);
    lw_json_number(&w->j, o, "days", q->days, 4);
    lw_json_time(&w->j, o, "at", q->at_s);
    lw_json_flag(&w->j, o, "beyond_horizon", q->beyond_horizon);
    return o;
}

static json_t *leeway_of(lw_writer *w, const lw_leeway *l)
{
    static const char *const NAME[LW_QUANTILES] = {"p10", "p50", "p90"};
    json_t *o = lw_json_object(&w->j);
    for (int i = 0; i < LW_QUANTILES; i++)
        lw_json_put(&w->j, o, NAME[i], quantile_of(w, &l->q[i]));
    lw_json_number(&w->j, o, "beyond_frac", l->beyond_frac, 4);
    return o;
}

/* "level_l": what, the unit of the supply, and perhaps "a day" behind it. */
static void amount(lw_writer *w, json_t *o, const char *what, lw_supply supply, const char *per, double value)
{
    char key[64];
    snprintf(key, sizeof key, "%s_%s%s", what, lw_supply_unit(supply), per);
    lw_json_number(&w->j, o, key, value, 3);
}

static void vessel_name(lw_writer *w, json_t *o, const char *key, int vessel)
{
    const int fits = vessel >= 0 && vessel < w->scenario->rig.vessel_count;
    lw_json_text(&w->j, o, key, fits ? w->scenario->rig.vessel[vessel].name : NULL);
}

static json_t *floats_of(lw_writer *w, const float *value, int count)
{
    json_t *list = lw_json_array(&w->j);
    for (int i = 0; i < count; i++)
        lw_json_add(&w->j, list, lw_json_real((double)value[i], 4));
    return list;
}

static json_t *supply_of(lw_writer *w, lw_supply k)
{
    const lw_leeway *l = &w->outlook->leeway[k];
    const lw_supply_words *words = &w->words->supply[k];
    json_t *o = lw_json_object(&w->j);
    lw_json_text(&w->j, o, "supply", lw_supply_word(k));
    lw_json_text(&w->j, o, "name", lw_supply_name(k));
    lw_json_flag(&w->j, o, "is_shown", words->is_shown);
    lw_json_text(&w->j, o, "end", lw_supply_fills(k) ? "fills" : "empties");
    lw_json_put(&w->j, o, "leeway", leeway_of(w, l));
    lw_json_number(&w->j, o, "binds_frac", l->binds_frac, 4);
    lw_json_number(&w->j, o, "spread_use_frac", l->spread_use_frac, 3);
    if (w->outlook->draws > 1)
        lw_json_put(&w->j, o, "lasts_frac", floats_of(w, w->outlook->lasts_frac[k], w->outlook->day_count));
    vessel_name(w, o, "binding_vessel", l->vessel);
    if (k != LW_SUPPLY_STAY) {
        amount(w, o, "level_p10", k, "", l->start[0]);
        amount(w, o, "level", k, "", l->start[1]);
        amount(w, o, "level_p90", k, "", l->start[2]);
        amount(w, o, "capacity", k, "", l->capacity);
        amount(w, o, "use", k, "_per_day", l->use_per_day);
        amount(w, o, "level_at_departure", k, "", l->at_departure);
        amount(w, o, "unmet", k, "", l->unmet);
        lw_json_number(&w->j, o, "unmet_h", l->unmet_h, 2);
    }
    lw_json_text(&w->j, o, "left", words->left);
    lw_json_text(&w->j, o, "ends", words->ends);
    lw_json_text(&w->j, o, "sentence", words->sentence);
    if (k == LW_SUPPLY_RUBBISH) {
        lw_json_put(&w->j, o, "age_leeway", leeway_of(w, &w->outlook->rubbish_age));
        lw_json_text(&w->j, o, "age_sentence", words->age_sentence);
    }
    if (k == LW_SUPPLY_DATA) {
        const lw_leeway *leisure = &w->outlook->leisure_data;
        lw_json_put(&w->j, o, "leisure_leeway", leisure->is_present ? leeway_of(w, leisure) : json_null());
        lw_json_text(&w->j, o, "leisure_sentence", words->leisure_sentence);
        lw_json_text(&w->j, o, "plan_sentence", words->plan_sentence);
    }
    return o;
}

static json_t *supplies_of(lw_writer *w)
{
    json_t *list = lw_json_array(&w->j);
    for (int i = 0; i < w->outlook->order_count; i++)
        lw_json_add(&w->j, list, supply_of(w, (lw_supply)w->outlook->order[i]));
    return list;
}

static json_t *vessels_of(lw_writer *w)
{
    static const char *const POTABLE[] = {"yes", "no", "unknown"};
    const lw_rig *rig = &w->scenario->rig;
    json_t *list = lw_json_array(&w->j);
    for (int v = 0; v < rig->vessel_count; v++) {
        const lw_vessel *t = &rig->vessel[v];
        const lw_leeway *l = &w->outlook->vessel[v];
        json_t *o = lw_json_object(&w->j);
        lw_json_text(&w->j, o, "name", t->name);
        lw_json_text(&w->j, o, "supply", lw_supply_word(t->supply));
        lw_json_text(&w->j, o, "owner", t->owner);
        if (t->supply == LW_SUPPLY_FRESH || t->supply == LW_SUPPLY_DRINKING)
            lw_json_text(&w->j, o, "potable", (unsigned)t->potable < 3 ? POTABLE[t->potable] : NULL);
        amount(w, o, "level", t->supply, "", l->start[1]);
        amount(w, o, "capacity", t->supply, "", t->capacity);
        amount(w, o, "unusable", t->supply, "", t->unusable);
        amount(w, o, "level_at_departure", t->supply, "", l->at_departure);
        lw_json_put(&w->j, o, "leeway", leeway_of(w, l));
        lw_json_add(&w->j, list, o);
    }
    return list;
}

static json_t *band_of(lw_writer *w, const double q[LW_QUANTILES], double times)
{
    json_t *three = lw_json_array(&w->j);
    for (int i = 0; i < LW_QUANTILES; i++)
        lw_json_add(&w->j, three, lw_json_real(times * q[i], 4));
    return three;
}

/* What the rig's file leaves open of water tanks; the scenario has the middle of it by now. */
static json_t *unsure_of(lw_writer *w)
{
    static const char *const KEY[LW_LEARNED_WHATS] = {
        [LW_LEARNED_CAPACITY] = "capacity_l", [LW_LEARNED_RESIDUE] = "residue_l", [LW_LEARNED_BIAS] = "bias_frac"};
    lw_json *j = &w->j;
    const lw_learned *l = &w->answer->learning->learned;
    const lw_rig *rig = &w->answer->loaded.scenario->rig;
    json_t *list = lw_json_array(j);
    for (int v = 0; v < rig->vessel_count; v++)
        for (int what = LW_LEARNED_CAPACITY; what <= LW_LEARNED_BIAS; what++) {
            if (!lw_is_unsure(&w->answer->loaded, v, (lw_learned_what)what))
                continue;
            const double *q = what == LW_LEARNED_CAPACITY  ? l->capacity_frac[v]
                              : what == LW_LEARNED_RESIDUE ? l->residue_frac[v]
                                                           : l->bias[v];
            const double times = what == LW_LEARNED_CAPACITY  ? rig->vessel[v].capacity / q[1]
                                 : what == LW_LEARNED_RESIDUE ? rig->vessel[v].residue / q[1]
                                                              : 1.0;
            json_t *o = lw_json_object(j);
            lw_json_text(j, o, "of", rig->vessel[v].name);
            lw_json_put(j, o, KEY[what], band_of(w, q, times));
            lw_json_add(j, list, o);
        }
    return list;
}

static json_t *ties_of(lw_writer *w)
{
    lw_json *j = &w->j;
    const lw_rig *rig = &w->answer->loaded.scenario->rig;
    json_t *list = lw_json_array(j);
    for (int v = 0; v < rig->vessel_count; v++) {
        char says[LW_SENTENCE];
        lw_say_tie(rig, w->answer->learning, v, w->options->choice.is_page, says, sizeof says);
        if (!says[0])
            continue;
        json_t *o = lw_json_object(j);
        lw_json_text(j, o, "of", rig->vessel[v].name);
        lw_json_text(j, o, "says", says);
        lw_json_add(j, list, o);
    }
    return list;
}

/* What the household's own readings said: times the table, P10, P50, P90. */
static json_t *learned_of(lw_writer *w)
{
    lw_json *j = &w->j;
    const lw_learning *l = w->answer->learning;
    json_t *o = lw_json_object(j), *factors = lw_json_object(j);
    lw_json_count(j, o, "readings", l->readings);
    lw_json_count(j, o, "left_out", l->left_out);
    lw_json_time(j, o, "since", l->begin_s);
    lw_json_number(j, o, "effective_draws", l->learned.effective, 0);
    for (int g = 0; g < LW_GROUP_COUNT; g++) {
        json_t *three = lw_json_array(j);
        for (int q = 0; q < LW_QUANTILES; q++)
            lw_json_add(j, three, lw_json_real(l->learned.factor[g].now[q], 3));
        lw_json_put(j, factors, lw_group_word((lw_group)g), three);
    }
    lw_json_put(j, o, "factors", factors);
    lw_json_put(j, o, "unsure", unsure_of(w));
    lw_json_put(j, o, "ties", ties_of(w));
    lw_json_text(j, o, "sentence", w->words->learned);
    lw_json_text(j, o, "doubt", w->words->learned_doubt);
    return o;
}

static json_t *vital_of(lw_writer *w)
{
    json_t *list = lw_json_array(&w->j);
    for (int i = 0; i < w->outlook->vital_count; i++) {
        json_t *o = lw_json_object(&w->j);
        lw_json_text(&w->j, o, "load", w->scenario->rig.load[w->outlook->vital_load[i]].name);
        lw_json_put(&w->j, o, "leeway", leeway_of(w, &w->outlook->vital[i]));
        if (w->outlook->draws > 1)
            lw_json_put(&w->j, o, "p01", quantile_of(w, &w->outlook->vital_p01[i]));
        lw_json_text(&w->j, o, "sentence", i < w->words->vital_count ? w->words->vital[i].sentence : NULL);
        lw_json_add(&w->j, list, o);
    }
    return list;
}

/* People and animals that must be kept warm or cool; the devices stand before them in the words. */
static json_t *kept_of(lw_writer *w)
{
    json_t *list = lw_json_array(&w->j);
    for (int i = 0; i < w->words->vital_count; i++) {
        const lw_vital_words *v = &w->words->vital[i];
        if (v->person < 0)
            continue;
        json_t *o = lw_json_object(&w->j);
        lw_json_text(&w->j, o, "name", w->scenario->crew.person[v->person].name);
        lw_json_flag(&w->j, o, "lasts", v->lasts);
        lw_json_text(&w->j, o, "sentence", v->sentence);
        lw_json_add(&w->j, list, o);
    }
    return list;
}

/* ------------------------------------------------------------------ what happens */

static json_t *events_of(lw_writer *w)
{
    json_t *list = lw_json_array(&w->j);
    for (int i = 0; i < w->words->event_count; i++) {
        const lw_event *e = &w->words->happening[i];
        const int has_supply = e->supply >= 0 && e->supply < LW_SUPPLY_COUNT;
        json_t *o = lw_json_object(&w->j);
        lw_json_text(&w->j, o, "kind", lw_event_word(e->kind));
        lw_json_time(&w->j, o, "at", e->at_s);
        lw_json_text(&w->j, o, "supply", has_supply ? lw_supply_word((lw_supply)e->supply) : NULL);
        lw_json_count(&w->j, o, "index", e->index);
        lw_json_number(&w->j, o, "value", e->value, 3);
        lw_json_text(&w->j, o, "sentence", w->words->event[i]);
        lw_json_add(&w->j, list, o);
    }
    return list;
}

static json_t *warnings_of(lw_writer *w)
{
    json_t *list = lw_json_array(&w->j);
    for (int i = 0; i < w->words->warning_count; i++) {
        const lw_warning *in = &w->words->warning[i];
        json_t *o = lw_json_object(&w->j);
        lw_json_text(&w->j, o, "kind", lw_event_word(in->kind));
        lw_json_time(&w->j, o, "first", in->first_s);
        lw_json_count(&w->j, o, "times", in->times);
        lw_json_flag(&w->j, o, "is_vital", in->is_vital);
        lw_json_flag(&w->j, o, "is_chain", in->is_chain);
        lw_json_text(&w->j, o, "sentence", in->sentence);
        lw_json_add(&w->j, list, o);
    }
    return list;
}

static json_t *cautions_of(lw_writer *w)
{
    json_t *list = lw_json_array(&w->j);
    for (int i = 0; i < w->words->caution_count; i++) {
        const lw_caution *in = &w->words->caution[i];
        json_t *o = lw_json_object(&w->j);
        lw_json_text(&w->j, o, "id", in->id);
        lw_json_text(&w->j, o, "title", in->title);
        lw_json_text(&w->j, o, "text", in->text);
        lw_json_text(&w->j, o, "source", in->source);
        lw_json_add(&w->j, list, o);
    }
    return list;
}

/* ------------------------------------------------------------------ balances */

static json_t *energy_of(lw_writer *w)
{
    const int has_end = w->outlook->departure_s != 0;
    const lw_flows *f = has_end ? &w->outlook->joint_to_departure : &w->outlook->joint;
    static const struct {
        const char *key;
        lw_flow flow;
    } ROW[] = {
        {"sun_on_panels_wh", LW_FLOW_SUN_PANELS}, {"sun_used_wh", LW_FLOW_SUN_USED},
        {"sun_unused_wh", LW_FLOW_SUN_UNUSED},    {"generator_to_dc_wh", LW_FLOW_CHARGER_DC},
        {"drive_to_dc_wh", LW_FLOW_DRIVE_DC},     {"dc_loads_wh", LW_FLOW_DC_LOADS},
        {"inverter_in_wh", LW_FLOW_INVERTER_IN},  {"inverter_idle_wh", LW_FLOW_INVERTER_IDLE},
        {"battery_in_wh", LW_FLOW_BATTERY_IN},    {"battery_out_wh", LW_FLOW_BATTERY_OUT},
        {"unmet_wh", LW_FLOW_UNMET_LOAD},         {"generator_h", LW_FLOW_GENERATOR_HOURS},
    };
    json_t *o = lw_json_object(&w->j);
    lw_json_text(&w->j, o, "until", has_end ? "departure" : "horizon");
    for (size_t i = 0; i < sizeof ROW / sizeof ROW[0]; i++)
        lw_json_number(&w->j, o, ROW[i].key, f->of[ROW[i].flow], 2);
    lw_json_number(&w->j, o, "battery_losses_wh",
                   f->of[LW_FLOW_BATTERY_OHMIC] + f->of[LW_FLOW_BATTERY_COULOMBIC] + f->of[LW_FLOW_BATTERY_SELF], 2);
    return o;
}

/* A course without a step has looked at no temperature: its marks of "none yet" are not figures. */
static double seen_c(double value_c)
{
    return fabs(value_c) > 500.0 ? NAN : value_c;
}

static json_t *comfort_of(lw_writer *w)
{
    const lw_comfort *c = &w->outlook->comfort;
    json_t *o = lw_json_object(&w->j);
    lw_json_number(&w->j, o, "inside_low_c", seen_c(c->inside_low_c), 1);
    lw_json_time(&w->j, o, "inside_low_at", c->inside_low_s);
    lw_json_number(&w->j, o, "inside_high_c", seen_c(c->inside_high_c), 1);
    lw_json_time(&w->j, o, "inside_high_at", c->inside_high_s);
    lw_json_number(&w->j, o, "bay_low_c", seen_c(c->bay_low_c), 1);
    lw_json_time(&w->j, o, "bay_low_at", c->bay_low_s);
    lw_json_number(&w->j, o, "below_set_h", c->below_set_h, 2);
    lw_json_number(&w->j, o, "furnace_h", c->furnace_h, 2);
    lw_json_number(&w->j, o, "hot_h", c->hot_h, 2);
    if (w->outlook->draws > 1) {
        lw_json_number(&w->j, o, "inside_low_p10_c", seen_c(w->outlook->inside_low_c[0]), 1);
        lw_json_number(&w->j, o, "inside_high_p90_c", seen_c(w->outlook->inside_high_c[2]), 1);
    }
    return o;
}

static json_t *deciles_of(lw_writer *w, const double value[LW_DECILES], int places)
{
    json_t *list = lw_json_array(&w->j);
    for (int i = 0; w->outlook->draws > 1 && i < LW_DECILES; i++)
        lw_json_add(&w->j, list, lw_json_real(value[i], places));
    return list;
}

/* What the draws need in all, whatever there is of it. */
static json_t *totals_of(lw_writer *w)
{
    json_t *o = lw_json_object(&w->j);
    lw_json_text(&w->j, o, "until", w->outlook->departure_s ? "departure" : "horizon");
    lw_json_put(&w->j, o, "propane_kg_deciles", deciles_of(w, w->outlook->propane_kg, 4));
    lw_json_put(&w->j, o, "sun_on_panels_wh_deciles", deciles_of(w, w->outlook->sun_wh, 1));
    return o;
}

/* How often each kind of event happens, of those that do. */
static json_t *chances_of(lw_writer *w)
{
    json_t *o = lw_json_object(&w->j);
    for (int k = 0; w->outlook->draws > 1 && k < LW_EVENT_KIND_COUNT; k++)
        if (w->outlook->happens_frac[k] > 0.0f)
            lw_json_number(&w->j, o, lw_event_word((lw_event_kind)k), (double)w->outlook->happens_frac[k], 4);
    return o;
}

static const char *flow_key(int flow)
{
#define KEY(id, word, unit) word "_" #unit,
    static const char *const ROW[LW_FLOW_COUNT] = {LW_FLOWS(KEY)};
#undef KEY
    return ROW[flow];
}

static json_t *sums_of(lw_writer *w, const lw_flows *f)
{
    json_t *o = lw_json_object(&w->j);
    for (int k = 0; k < LW_FLOW_COUNT; k++)
        lw_json_number(&w->j, o, flow_key(k), f->of[k], 3);
    return o;
}

static json_t *flows_of(lw_writer *w)
{
    json_t *o = lw_json_object(&w->j);
    const int has_end = w->outlook->departure_s != 0;
    lw_json_put(&w->j, o, "own", sums_of(w, &w->outlook->own));
    lw_json_put(&w->j, o, "joint", sums_of(w, &w->outlook->joint));
    lw_json_put(&w->j, o, "own_to_departure", has_end ? sums_of(w, &w->outlook->own_to_departure) : json_null());
    lw_json_put(&w->j, o, "joint_to_departure", has_end ? sums_of(w, &w->outlook->joint_to_departure) : json_null());
    return o;
}

/* ------------------------------------------------------------------ courses */

static json_t *marks_of(lw_writer *w)
{
    json_t *o = lw_json_object(&w->j), *level = lw_json_object(&w->j);
    json_t *low = lw_json_object(&w->j), *high = lw_json_object(&w->j);
    const int count = w->outlook->mark_count, has_bands = w->outlook->draws > 1;
    lw_json_count(&w->j, o, "every_h", LW_MARK_HOURS);
    for (int i = 0; i < w->outlook->order_count; i++) {
        const int k = w->outlook->order[i];
        if (k == LW_SUPPLY_STAY)
            continue;
        const char *word = lw_supply_word((lw_supply)k);
        lw_json_put(&w->j, level, word, floats_of(w, w->outlook->mark[k], count));
        lw_json_put(&w->j, low, word, floats_of(w, w->outlook->mark_low[k], has_bands ? count : 0));
        lw_json_put(&w->j, high, word, floats_of(w, w->outlook->mark_high[k], has_bands ? count : 0));
    }
    lw_json_put(&w->j, o, "level_frac", level);
    lw_json_put(&w->j, o, "level_p10_frac", low);
    lw_json_put(&w->j, o, "level_p90_frac", high);
    return o;
}

static json_t *assumptions_of(lw_writer *w)
{
    json_t *list = lw_json_array(&w->j);
    for (int i = 0; i < w->answer->loaded.assumption_count; i++)
        lw_json_add(&w->j, list, lw_json_assumption(&w->j, &w->answer->loaded.assumption[i]));
    return list;
}

static json_t *notes_of(lw_writer *w)
{
    json_t *list = lw_json_array(&w->j);
    for (int i = 0; i < w->answer->loaded.note_count; i++) {
        json_t *o = lw_json_object(&w->j);
        lw_json_text(&w->j, o, "where", w->answer->loaded.note[i].where);
        lw_json_text(&w->j, o, "text", w->answer->loaded.note[i].text);
        lw_json_add(&w->j, list, o);
    }
    return list;
}

/* Columns, as the chart of a page wants them. */
static json_t *series_of(lw_writer *w)
{
    static const struct {
        const char *key;
        lw_flow flow;
    } FLOW[] = {
        {"sun_on_panels_wh", LW_FLOW_SUN_PANELS}, {"sun_used_wh", LW_FLOW_SUN_USED},
        {"generator_h", LW_FLOW_GENERATOR_HOURS}, {"dc_loads_wh", LW_FLOW_DC_LOADS},
        {"inverter_in_wh", LW_FLOW_INVERTER_IN},  {"unmet_wh", LW_FLOW_UNMET_LOAD},
        {"propane_kg", LW_FLOW_PROPANE_OUT},
    };
    const lw_series *in = &w->answer->joint;
    json_t *o = lw_json_object(&w->j), *levels = lw_json_array(&w->j);
    json_t *air = lw_json_array(&w->j), *cabin = lw_json_array(&w->j), *bay = lw_json_array(&w->j);
    json_t *battery = lw_json_array(&w->j);
    lw_json_count(&w->j, o, "every_h", 1);
    lw_json_count(&w->j, o, "count", in->count);
    for (int h = 0; h < in->count; h++) {
        lw_json_add(&w->j, air, lw_json_real(w->scenario->weather.air_c[h], 1));
        lw_json_add(&w->j, cabin, lw_json_real(in->state[h].cabin_c, 1));
        lw_json_add(&w->j, bay, lw_json_real(in->state[h].bay_c, 1));
        lw_json_add(&w->j, battery, lw_json_real(w->answer->battery_frac[h], 4));
    }
    lw_json_put(&w->j, o, "air_c", air);
    lw_json_put(&w->j, o, "cabin_c", cabin);
    lw_json_put(&w->j, o, "bay_c", bay);
    lw_json_put(&w->j, o, "battery_frac", battery);
    for (size_t i = 0; i < sizeof FLOW / sizeof FLOW[0]; i++) {
        json_t *list = lw_json_array(&w->j);
        for (int h = 0; h < in->count; h++)
            lw_json_add(&w->j, list, lw_json_real(in->flows[h].of[FLOW[i].flow], 3));
        lw_json_put(&w->j, o, FLOW[i].key, list);
    }
    for (int v = 0; v < w->scenario->rig.vessel_count; v++) { /* in the order of "vessels", in their units */
        json_t *list = lw_json_array(&w->j);
        for (int h = 0; h < in->count; h++)
            lw_json_add(&w->j, list, lw_json_real(in->state[h].level[v], 3));
        lw_json_add(&w->j, levels, list);
    }
    lw_json_put(&w->j, o, "vessel_level", levels);
    return o;
}

/* ------------------------------------------------------------------ all of it */

static json_t *root_of(lw_writer *w)
{
    lw_json *j = &w->j;
    const lw_outlook *out = w->outlook;
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "schema", "leeway.outlook/1");
    lw_json_put(j, o, "program", program_of(w));
    lw_json_put(j, o, "run", run_of(w));
    lw_json_put(j, o, "place", place_of(w));
    lw_json_put(j, o, "weather", weather_of(w));
    lw_json_time(j, o, "start", out->start_s);
    lw_json_time(j, o, "horizon", out->horizon_s);
    lw_json_time(j, o, "joint_until", out->joint_until_s);
    lw_json_time(j, o, "departure", out->departure_s);
    lw_json_text(j, o, "headline", w->words->headline);
    lw_json_text(j, o, "stay_sentence", w->words->stay);
    lw_json_text(j, o, "why", w->words->why);
    lw_json_text(j, o, "departure_sentence", w->words->departure);
    lw_json_text(j, o, "stay_rule", w->words->stay_rule);
    if (w->answer->learning)
        lw_json_put(j, o, "learned", learned_of(w));
    lw_json_text(j, o, "binding", out->binding >= 0 ? lw_supply_word((lw_supply)out->binding) : NULL);
    lw_json_put(j, o, "warnings", warnings_of(w));
    lw_json_put(j, o, "supplies", supplies_of(w));
    lw_json_put(j, o, "vessels", vessels_of(w));
    lw_json_put(j, o, "vital", vital_of(w));
    lw_json_put(j, o, "kept_warm_or_cool", kept_of(w));
    lw_json_text(j, o, "vital_note", w->words->vital_note);
    lw_json_put(j, o, "events", events_of(w));
    lw_json_count(j, o, "events_lost", out->event_lost);
    lw_json_put(j, o, "energy", energy_of(w));
    lw_json_put(j, o, "comfort", comfort_of(w));
    lw_json_put(j, o, "flows", flows_of(w));
    lw_json_put(j, o, "marks", marks_of(w));
    lw_json_put(j, o, "chances_frac", chances_of(w));
    lw_json_text(j, o, "possible", w->words->possible[0] ? w->words->possible : NULL);
    lw_json_put(j, o, "first_end", w->outlook->draws > 1 ? leeway_of(w, &w->outlook->first) : json_null());
    lw_json_number(j, o, "stays_frac", w->outlook->draws > 1 ? w->outlook->stays_frac : NAN, 4);
    lw_json_put(j, o, "totals", totals_of(w));
    lw_json_put(j, o, "cautions", cautions_of(w));
    lw_json_put(j, o, "notes", notes_of(w));
    lw_json_count(j, o, "assumption_count", w->answer->loaded.assumption_count);
    if (w->options->wants_assumptions)
        lw_json_put(j, o, "assumptions", assumptions_of(w));
    if (w->options->wants_series && w->answer->joint.state)
        lw_json_put(j, o, "series", series_of(w));
    return o;
}

lw_code lw_outlook_json(const lw_outlook_answer *answer, const lw_json_options *options, char **text, lw_err *err)
{
    lw_words *words = malloc(sizeof *words);
    *text = NULL;
    if (!words)
        return lw_fail(err, LW_E_FULL, "there is not enough memory for the sentences");
    const lw_code code = lw_words_make(answer, &options->choice, words, err);
    if (code) {
        free(words);
        return code;
    }
    lw_writer w = {.j = {.zone = &answer->loaded.zone, .is_12_hour = options->choice.is_12_hour},
                   .answer = answer,
                   .options = options,
                   .words = words,
                   .outlook = answer->outlook,
                   .scenario = answer->loaded.scenario};
    *text = lw_json_finish(&w.j, root_of(&w), options->is_compact);
    lw_words_clear(words);
    free(words);
    return *text ? LW_OK : lw_fail(err, LW_E_FULL, "there is not enough memory for the JSON text");
}

char *lw_err_json(const lw_err *failure, int is_compact)
{
    static const char *const CODE[] = {"ok", "range", "unit", "syntax", "missing", "full", "io", "conflict"};
    lw_json j = {0};
    json_t *o = lw_json_object(&j);
    const unsigned code = (unsigned)failure->code;
    lw_json_text(&j, o, "schema", "leeway.error/1");
    lw_json_text(&j, o, "code", code < sizeof CODE / sizeof CODE[0] ? CODE[code] : "unknown");
    lw_json_text(&j, o, "where", failure->where);
    lw_json_text(&j, o, "text", failure->text);
    return lw_json_finish(&j, o, is_compact);
}
