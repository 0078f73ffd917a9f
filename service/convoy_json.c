#include <math.h>
#include <stdio.h>

#include "service/convoy.h"
#include "service/json.h"

static json_t *member_json(lw_json *j, const lw_convoy_member *m)
{
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "household", m->rig.household);
    lw_json_number(j, o, "without_runs_days", m->bare_days, 2);
    lw_json_text(j, o, "without_runs_ends", isinf(m->bare_days) ? NULL : lw_supply_word(m->bare_supply));
    lw_json_flag(j, o, "can_alone", m->is_alone_found);
    lw_json_number(j, o, "alone_usd", m->alone_usd, 2);
    lw_json_count(j, o, "alone_runs", m->alone_runs);
    lw_json_number(j, o, "own_matter_days", m->own_days, 2);
    lw_json_text(j, o, "own_matter", isinf(m->own_days) ? NULL : lw_supply_word(m->own_supply));
    lw_json_count(j, o, "drives", m->drives);
    lw_json_number(j, o, "share_usd", m->share_usd, 2);
    lw_json_number(j, o, "owes_usd", m->share_usd - m->drove_usd, 2);
    lw_json_text(j, o, "sentence", m->sentence);
    return o;
}

static json_t *run_json(lw_json *j, const lw_convoy *c, const lw_convoy_run *run)
{
    json_t *o = lw_json_object(j), *rigs = lw_json_array(j);
    lw_json_time(j, o, "leave", run->leave_s);
    lw_json_time(j, o, "back", run->back_s);
    lw_json_text(j, o, "driver", c->member[run->driver].rig.household);
    lw_json_text(j, o, "vehicle", c->member[run->driver].rig.thing[run->thing].name);
    for (int i = 0; i < c->count; i++)
        if (run->rigs >> i & 1u) {
            json_t *served = lw_json_object(j);
            lw_json_text(j, served, "household", c->member[i].rig.household);
            lw_json_number(j, served, "water_l", run->water_l[i], 2);
            lw_json_add(j, rigs, served);
        }
    lw_json_put(j, o, "serves", rigs);
    lw_json_number(j, o, "usd", run->usd, 2);
    lw_json_text(j, o, "sentence", run->sentence);
    return o;
}

char *lw_convoy_json(const lw_convoy *c, const char *version)
{
    lw_json j = {.zone = &c->zone, .is_12_hour = c->choice.is_12_hour};
    json_t *root = lw_json_object(&j), *program = lw_json_object(&j), *members = lw_json_array(&j),
           *runs = lw_json_array(&j), *loans = lw_json_array(&j);
    lw_json_text(&j, root, "schema", "leeway.convoy/1");
    lw_json_text(&j, program, "name", "leeway");
    lw_json_text(&j, program, "version", version ? version : "unknown");
    lw_json_put(&j, root, "program", program);
    lw_json_time(&j, root, "start", c->start_s);
    lw_json_time(&j, root, "until", c->until_s);
    lw_json_flag(&j, root, "is_found", c->is_found);
    lw_json_text(&j, root, "short_of", c->short_supply >= 0 ? lw_supply_word((lw_supply)c->short_supply) : NULL);
    lw_json_number(&j, root, "usd", c->usd, 2);
    lw_json_number(&j, root, "alone_usd", c->alone_usd, 2);
    lw_json_number(&j, root, "apart_usd", c->apart_usd, 2);
    lw_json_number(&j, root, "confidence_frac", c->confidence_frac, 4);
    lw_json_number(&j, root, "chance_frac", c->chance_frac, 4);
    lw_json_text(&j, root, "split", c->is_by_joining ? "by_joining" : "equal_parts");
    lw_json_text(&j, root, "headline", c->headline);
    lw_json_text(&j, root, "rule", c->rule);
    lw_json_text(&j, root, "ask", c->ask);
    for (int i = 0; i < c->count; i++)
        lw_json_add(&j, members, member_json(&j, &c->member[i]));
    lw_json_put(&j, root, "households", members);
    for (int i = 0; i < c->run_count; i++)
        lw_json_add(&j, runs, run_json(&j, c, &c->run[i]));
    lw_json_put(&j, root, "runs", runs);
    for (int i = 0; i < c->loan_count; i++)
        lw_json_add(&j, loans, json_string(c->loan[i]));
    lw_json_put(&j, root, "loans", loans);
    return lw_json_finish(&j, root, 0);
}
