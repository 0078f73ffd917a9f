#include <math.h>

#include "service/json.h"
#include "service/signal.h"

static json_t *own_json(lw_json *j, const lw_carrier_signal *c)
{
    json_t *o = lw_json_object(j);
    lw_json_count(j, o, "readings", c->own_count);
    lw_json_count(j, o, "readings_here", c->here_count);
    lw_json_number(j, o, "here_dbm", c->here_dbm, 1);
    lw_json_number(j, o, "nearest_m", c->nearest_m, 0);
    lw_json_count(j, o, "tried", c->tried);
    lw_json_count(j, o, "worked", c->worked);
    return o;
}

static json_t *published_json(lw_json *j, const lw_carrier_signal *c)
{
    static const char *const CLAIMS[] = {"yes", "no", "unknown"};
    const int is_claimed = c->claim == LW_CLAIM_YES;
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "is_claimed", CLAIMS[c->claim]);
    lw_json_number(j, o, "down_mbit", is_claimed ? c->coverage.down_mbit : (double)NAN, 3);
    lw_json_number(j, o, "up_mbit", is_claimed ? c->coverage.up_mbit : (double)NAN, 3);
    lw_json_number(j, o, "technology", is_claimed && c->coverage.technology ? c->coverage.technology : (double)NAN, 0);
    return o;
}

static json_t *predicted_json(lw_json *j, const lw_signal_answer *a, const lw_carrier_signal *c)
{
    const double none = (double)NAN;
    json_t *o = lw_json_object(j);
    lw_json_count(j, o, "masts", c->masts);
    lw_json_number(j, o, "dbm", c->predicted_dbm, 1);
    lw_json_number(j, o, "sigma_db",
                   c->masts ? lw_belief_of_prediction(c->predicted_dbm, a->has_terrain).sigma_db : none, 1);
    lw_json_number(j, o, "mast_latitude_deg", c->masts ? c->best.spot.latitude_deg : none, 5);
    lw_json_number(j, o, "mast_longitude_deg", c->masts ? c->best.spot.longitude_deg : none, 5);
    lw_json_number(j, o, "mast_m", c->masts ? c->best.way_m : none, 0);
    lw_json_number(j, o, "toward_deg", c->masts ? c->toward_deg : none, 0);
    lw_json_number(j, o, "loss_db", c->masts ? c->loss_db : none, 1);
    lw_json_number(j, o, "free_space_db", c->masts ? c->free_db : none, 1);
    lw_json_number(j, o, "disturbance_dbm", c->masts && isfinite(c->disturb_dbm) ? c->disturb_dbm : none, 1);
    return o;
}

static json_t *together_json(lw_json *j, const lw_carrier_signal *c)
{
    const double none = (double)NAN;
    json_t *o = lw_json_object(j);
    const int has_any = c->belief.has_any;
    lw_json_number(j, o, "dbm", has_any ? c->belief.dbm : none, 1);
    lw_json_number(j, o, "sigma_db", has_any ? c->belief.sigma_db : none, 1);
    lw_json_number(j, o, "own_weight", has_any ? c->belief.own_weight : none, 3);
    lw_json_number(j, o, "needed_dbm", isfinite(c->wanted_dbm) ? c->wanted_dbm : none, 1);
    lw_json_number(j, o, "down_mbit", has_any ? c->rate.down_mbit : none, 3);
    lw_json_number(j, o, "up_mbit", has_any ? c->rate.up_mbit : none, 3);
    return o;
}

static json_t *carrier_json(lw_json *j, const lw_signal_answer *a, const lw_carrier_signal *c)
{
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "name", c->name);
    lw_json_text(j, o, "network", c->network);
    lw_json_flag(j, o, "is_line", c->is_line);
    lw_json_number(j, o, "chance_frac", c->frac, 3);
    lw_json_put(j, o, "measured", own_json(j, c));
    lw_json_put(j, o, "published", published_json(j, c));
    lw_json_put(j, o, "predicted", predicted_json(j, a, c));
    lw_json_put(j, o, "together", together_json(j, c));
    return o;
}

static json_t *place_json(lw_json *j, const lw_signal_ask *ask)
{
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "name", ask->name);
    lw_json_number(j, o, "latitude_deg", ask->spot.latitude_deg, 5);
    lw_json_number(j, o, "longitude_deg", ask->spot.longitude_deg, 5);
    return o;
}

static json_t *antenna_json(lw_json *j, const lw_signal_ask *ask)
{
    json_t *o = lw_json_object(j);
    lw_json_number(j, o, "height_m", ask->antenna_m, 2);
    lw_json_number(j, o, "gain_dbi", ask->gain_dbi, 1);
    lw_json_number(j, o, "cable_db", ask->cable_db, 1);
    return o;
}

char *lw_signal_json(const lw_signal_answer *a, const char *version)
{
    lw_json j = {.zone = NULL};
    char text[LW_SIGNAL_TEXT];
    json_t *root = lw_json_object(&j), *carriers = lw_json_array(&j), *notes = lw_json_array(&j),
           *need = lw_json_object(&j);
    lw_json_text(&j, root, "schema", "leeway.work-signal/1");
    lw_json_text(&j, root, "program", version ? version : "unknown");
    lw_json_text(&j, root, "headline", lw_signal_headline(a, text));
    lw_json_put(&j, root, "place", place_json(&j, &a->ask));
    lw_json_put(&j, root, "antenna", antenna_json(&j, &a->ask));
    lw_json_number(&j, need, "down_mbit", a->ask.need.down_mbit, 3);
    lw_json_number(&j, need, "up_mbit", a->ask.need.up_mbit, 3);
    lw_json_put(&j, root, "need", need);
    lw_json_number(&j, root, "chance_frac", a->any_frac, 3);
    lw_json_flag(&j, root, "has_terrain", a->has_terrain);
    lw_json_number(&j, root, "sky_frac", a->sky_frac, 3);
    for (int i = 0; i < a->carrier_count; i++)
        lw_json_add(&j, carriers, carrier_json(&j, a, &a->carrier[i]));
    lw_json_put(&j, root, "carriers", carriers);
    for (int i = 0; i < a->note_count; i++) {
        json_t *o = lw_json_object(&j);
        lw_json_text(&j, o, "text", a->note[i]);
        lw_json_add(&j, notes, o);
    }
    lw_json_put(&j, root, "notes", notes);
    return lw_json_finish(&j, root, 0);
}

/* road[i]: how the i-th spot is reached; NULL: not looked for. */
char *lw_signal_reach_json(const lw_signal_reach *reach, const lw_road *road, const char *version)
{
    lw_json j = {.zone = NULL};
    json_t *root = lw_json_object(&j), *list = lw_json_array(&j);
    lw_json_text(&j, root, "schema", "leeway.signal-run/1");
    lw_json_text(&j, root, "program", version ? version : "unknown");
    lw_json_text(&j, root, "place", reach->name);
    lw_json_number(&j, root, "latitude_deg", reach->from.latitude_deg, 6);
    lw_json_number(&j, root, "longitude_deg", reach->from.longitude_deg, 6);
    lw_json_number(&j, root, "wanted_frac", reach->chance_frac, 3);
    lw_json_flag(&j, root, "has_terrain", reach->has_terrain);
    lw_json_count(&j, root, "masts", reach->tower_count);
    for (int i = 0; i < reach->count; i++) {
        const lw_signal_spot *s = &reach->spot[i];
        const double none = (double)NAN;
        json_t *o = lw_json_object(&j);
        lw_json_text(&j, o, "carrier", s->name);
        lw_json_text(&j, o, "network", s->network);
        lw_json_flag(&j, o, "is_found", s->is_found);
        lw_json_flag(&j, o, "worked_before", s->is_own);
        lw_json_number(&j, o, "latitude_deg", s->is_found ? s->spot.latitude_deg : none, 6);
        lw_json_number(&j, o, "longitude_deg", s->is_found ? s->spot.longitude_deg : none, 6);
        lw_json_number(&j, o, "chance_frac", s->is_found ? s->frac : none, 3);
        lw_json_number(&j, o, "way_m", s->is_found ? s->way_m : none, 0);
        lw_json_number(&j, o, "toward_deg", s->is_found ? s->toward_deg : none, 0);
        lw_json_number(&j, o, "distance_m", s->is_found && road ? road[i].distance_m.middle : none, 0);
        lw_json_number(&j, o, "time_s", s->is_found && road ? road[i].time_s.middle : none, 0);
        lw_json_add(&j, list, o);
    }
    lw_json_put(&j, root, "spots", list);
    return lw_json_finish(&j, root, 0);
}
