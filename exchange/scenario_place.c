#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/land/stay_rule.h"
#include "exchange/scenario_internal.h"
#include "exchange/tables_typed.h"
#include "exchange/tzif.h"
#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

_Static_assert((int)LW_ITEMS <= (int)LW_EARLIER_STAYS, "the items of a list find room");

static const int64_t DAY_S = 86400;

/* ---- the clock of the place ---- */

/* The zone is needed before any moment can be an instant; its span is cut around the year of arrival. */
void lw_read_zone(lw_reader *r, const lw_scope *root)
{
    const lw_scope place = lw_read_map(r, root, "place"), stay = lw_read_map(r, root, "stay");
    const char *given = lw_read_text(r, &place, "zone");
    char name[48];
    lw_value arrive;
    int64_t around_s = r->now_s;
    if (lw_read_value(r, &stay, "arrive", &arrive))
        around_s = arrive.at.day * DAY_S;
    snprintf(name, sizeof name, "%.47s", given ? given : "");
    if (!given)
        lw_zone_machine(name, sizeof name);
    if (r->code)
        return;
    lw_err own = {0};
    if (lw_zone_load(name, around_s - 800 * DAY_S, around_s + 800 * DAY_S, &r->out->zone, &own)) {
        lw_read_refuse(r, &place, "zone", own.code, "%s", own.text);
        return;
    }
    if (!given)
        lw_read_assume(r, &place, "zone", name, "the zone of this machine", "yours");
}

/* ---- the skyline ---- */

/* Points around the compass, joined by straight lines; a single one is the same all around. */
static double rise_at(const double *toward_deg, const double *rises_deg, int count, double at_deg)
{
    int before = 0, after = 0;
    double gap_before = 1e9, gap_after = 1e9;
    for (int i = 0; i < count; i++) {
        const double back = fmod(at_deg - toward_deg[i] + 360.0, 360.0),
                     ahead = fmod(toward_deg[i] - at_deg + 360.0, 360.0);
        if (back < gap_before)
            gap_before = back, before = i;
        if (ahead < gap_after)
            gap_after = ahead, after = i;
    }
    const double width = gap_before + gap_after;
    if (before == after || !(width > 0.0))
        return rises_deg[before];
    return rises_deg[before] + (rises_deg[after] - rises_deg[before]) * gap_before / width;
}

static void read_horizon(lw_reader *r, const lw_scope *place, lw_place *to)
{
    lw_scope items[LW_ITEMS];
    double toward_deg[LW_ITEMS], rises_deg[LW_ITEMS];
    const int count = lw_read_items(r, place, "horizon", items);
    for (int i = 0; i < count && !r->code; i++) {
        rises_deg[i] = lw_read_si(r, &items[i], "rises");
        toward_deg[i] = lw_read_si(r, &items[i], "toward");
        if (isnan(rises_deg[i]))
            lw_read_refuse(r, &items[i], NULL, LW_E_MISSING, "rises is missing; write rises: 8 deg");
        if (isnan(toward_deg[i]) && count > 1)
            lw_read_refuse(r, &items[i], NULL, LW_E_MISSING,
                           "toward is missing; each of several points says its direction");
        if (isnan(toward_deg[i]))
            toward_deg[i] = 0.0;
    }
    for (int i = 0; i < LW_HORIZON_POINTS && count > 0 && !r->code; i++)
        to->horizon_deg[i] = rise_at(toward_deg, rises_deg, count, i * 360.0 / LW_HORIZON_POINTS);
}

static void read_path(lw_reader *r, const lw_scope *place, const char *key, char path[512])
{
    char whole[LW_YAML_SCALAR_BYTES];
    const char *name = lw_read_text(r, place, key);
    if (!name || r->code)
        return;
    lw_scenario_beside(whole, sizeof whole, r->from->path, name);
    if (strlen(whole) >= 512)
        lw_read_refuse(r, place, key, LW_E_FULL, "the path is longer than 511 letters");
    else
        memcpy(path, whole, strlen(whole) + 1);
}

/* Of the spot that the text names, which is read already; NULL: nothing. */
static const lw_place_known *known_of(const lw_reader *r)
{
    const lw_place_known *known = r->from->known;
    const lw_place *place = &r->out->scenario->place;
    return known && fabs(known->spot.latitude_deg - place->latitude_deg) < 1e-5 &&
                   fabs(known->spot.longitude_deg - place->longitude_deg) < 1e-5
               ? known
               : NULL;
}

void lw_read_place(lw_reader *r, const lw_scope *root)
{
    const lw_scope in = lw_read_map(r, root, "place");
    lw_place *to = &r->out->scenario->place;
    const char *name = lw_read_text(r, &in, "name");
    snprintf(to->name, sizeof to->name, "%.31s", name ? name : "here");
    to->latitude_deg = lw_read_si(r, &in, "latitude");
    to->longitude_deg = lw_read_si(r, &in, "longitude");
    const lw_place_known *known = known_of(r);
    const int is_known = known && known->terrain[0] && !lw_read_is_given(r, &in, "horizon");
    const int has_terrain = is_known || lw_read_is_given(r, &in, "terrain");
    if (!has_terrain || lw_read_is_given(r, &in, "elevation")) /* else lw_read_terrain sets them */
        to->elevation_m = lw_read_si(r, &in, "elevation");
    if (!has_terrain || lw_read_is_given(r, &in, "horizon"))
        read_horizon(r, &in, to);
    if (is_known)
        snprintf(r->out->terrain_path, sizeof r->out->terrain_path, "%s", known->terrain);
    read_path(r, &in, "terrain", r->out->terrain_path);
    read_path(r, &in, "towers", r->out->towers_path);
    read_path(r, &in, "coverage", r->out->coverage_path);
    to->shade_frac = lw_read_si(r, &in, "shade");
    to->albedo_frac = lw_read_si(r, &in, "albedo");
    to->linke_turbidity = lw_read_si(r, &in, "turbidity");
    /* the file's order of words is yes, no, unknown */
    static const lw_permission PERMISSION[] = {LW_PERMISSION_YES, LW_PERMISSION_NO, LW_PERMISSION_UNKNOWN};
    const int water = lw_read_word(r, &in, "outdoor_water");
    to->outdoor_water = PERMISSION[water < 0 ? 2 : water];
    to->has_animals = lw_read_yes(r, &in, "animals");
    (void)lw_read_hours(r, &in, "quiet", r->out->quiet);
}

/* ---- the ground, by terrain tiles ---- */

static void say_terrain(lw_reader *r, const lw_scope *place, const lw_ground *ground, int has_height, int has_horizon)
{
    char value[LW_QUANTITY_BYTES + 32], source[160];
    double highest_deg = 0.0;
    const char *name = strrchr(ground->path, '/'), *unit = r->out->units == LW_UNITS_SI ? "m" : "ft";
    snprintf(source, sizeof source, "terrain tiles in %.120s", name ? name + 1 : ground->path);
    if (!has_height)
        lw_read_assume(r, place, "elevation",
                       lw_quantity_print_in(value, sizeof value, ground->skyline.ground_m,
                                            lw_unit_find(LW_DIM_LENGTH, unit, strlen(unit)), 4),
                       source, "published");
    if (has_horizon)
        return;
    for (int i = 0; i < LW_SKYLINE_POINTS; i++)
        highest_deg = fmax(highest_deg, ground->skyline.seen_deg[i]);
    snprintf(value, sizeof value, "up to %s deg", lw_num(round(highest_deg)).text);
    lw_read_assume(r, place, "horizon", value, source, "published");
    if (ground->skyline.known_frac < 0.98)
        lw_read_note(
            r, place, "terrain",
            "the tiles cover %.0f %% of the 50 km around; where they are missing the horizon is taken as level",
            100.0 * ground->skyline.known_frac);
}

/* Tiles that nobody named are no reason to refuse. */
static void do_without_terrain(lw_reader *r, const lw_scope *place, int has_height, const lw_err *why)
{
    lw_read_note(r, place, "terrain", "the tiles beside the book are left out: %s%s%s", why->where,
                 why->where[0] ? ": " : "", why->text);
    free(r->out->ground);
    r->out->ground = NULL;
    r->out->terrain_path[0] = '\0';
    if (!has_height)
        r->out->scenario->place.elevation_m = lw_read_si(r, place, "elevation");
}

/* What the tiles say, for what the file does not. */
void lw_read_terrain(lw_reader *r, const lw_scope *root)
{
    const lw_scope in = lw_read_map(r, root, "place"), *place = &in;
    lw_place *to = &r->out->scenario->place;
    const int has_height = lw_read_is_given(r, place, "elevation"), has_horizon = lw_read_is_given(r, place, "horizon");
    const char *path = r->out->terrain_path;
    if (!path[0] || r->code)
        return;
    const lw_spot spot = {to->latitude_deg, to->longitude_deg};
    lw_ground *ground = calloc(1, sizeof *ground);
    lw_err own = {0};
    r->out->ground = ground;
    if (!ground)
        lw_read_refuse(r, place, "terrain", LW_E_FULL, "no memory for terrain");
    else if (r->from->ground && lw_ground_is_of(r->from->ground, path, spot))
        *ground = *r->from->ground;
    else if (lw_ground_find(path, spot, ground, &own) && !lw_read_is_given(r, place, "terrain")) {
        do_without_terrain(r, place, has_height, &own);
        return;
    } else if (own.code)
        lw_read_refuse(r, place, "terrain", own.code, "%s%s%s", own.where, own.where[0] ? ": " : "", own.text);
    if (r->code || !ground)
        return;
    say_terrain(r, place, ground, has_height, has_horizon);
    if (!has_height)
        to->elevation_m = ground->skyline.ground_m;
    for (int i = 0; i < LW_HORIZON_POINTS && !has_horizon; i++)
        to->horizon_deg[i] = ground->skyline.seen_deg[i];
}

/* ---- the stay rule ---- */

static int rule_of_table(lw_reader *r, const lw_scope *in, const char *id, lw_stay_rule *rule)
{
    lw_table table = {0};
    enum { MOST = 100 };
    const char *names[MOST];
    if ((r->code = lw_table_open("stay_rules", &table, r->err)) != LW_OK)
        return 0;
    const int row = lw_table_row(&table, "id", id);
    if (row < 0) {
        const size_t count = lw_table_names(&table, "id", names, MOST);
        const char *near = lw_nearest(id, names, count);
        if (near)
            lw_read_refuse(r, in, "id", LW_E_SYNTAX, "%s is not in the table of stay rules; did you mean %s?", id,
                           near);
        lw_read_refuse(r, in, "id", LW_E_SYNTAX, "%s is not in the table of stay rules; write days and window instead",
                       id);
    } else {
        r->code = lw_stay_rule_of_row(&table, row, rule, r->err);
        snprintf(r->out->rule_words, sizeof r->out->rule_words, "%.190s", lw_table_cell(&table, row, "title"));
        snprintf(r->out->rule_source, sizeof r->out->rule_source, "%.190s", lw_table_cell(&table, row, "source"));
        if (!rule->days && !rule->consecutive_days && !rule->year_days)
            lw_read_note(r, in, "id", "%s has no number of its own: %s", id, lw_table_cell(&table, row, "note"));
    }
    lw_table_clear(&table);
    return !r->code;
}

static void say_own_rule(lw_reader *r, const lw_stay_rule *rule)
{
    char radius[LW_QUANTITY_BYTES];
    char *to = r->out->rule_words;
    const size_t size = sizeof r->out->rule_words;
    snprintf(to, size, rule->window_days ? "%d days in any %d" : "%d days at one place",
             rule->window_days ? rule->days : rule->consecutive_days, rule->window_days);
    if (rule->radius_m > 0.0) {
        const size_t used = strlen(to);
        snprintf(to + used, size - used, " within %s",
                 lw_quantity_print(radius, sizeof radius, rule->radius_m, LW_DIM_LENGTH, r->out->units));
    }
    snprintf(r->out->rule_source, sizeof r->out->rule_source, "as the scenario says");
}

int lw_read_rule(lw_reader *r, const lw_scope *place, lw_stay_rule *rule)
{
    *rule = (lw_stay_rule){0};
    if (!lw_read_is_given(r, place, "stay_rule"))
        return 0;
    const lw_scope in = lw_read_map(r, place, "stay_rule");
    const char *id = lw_read_text(r, &in, "id");
    if (id && !rule_of_table(r, &in, id, rule))
        return 0;
    const double days_s = lw_read_si(r, &in, "days"), window_s = lw_read_si(r, &in, "window"),
                 radius_m = lw_read_si(r, &in, "radius");
    const int days = isnan(days_s) ? 0 : (int)(days_s / (double)DAY_S + 0.5);
    const int window = isnan(window_s) ? 0 : (int)(window_s / (double)DAY_S + 0.5);
    if (!id && !days)
        lw_read_refuse(r, &in, NULL, LW_E_MISSING,
                       "the rule needs an id from the table of stay rules, or days, such as days: 14 days");
    if (window && days > window)
        lw_read_refuse(r, &in, "days", LW_E_CONFLICT, "more days are allowed than the window has");
    if (days && (window || rule->window_days))
        rule->days = days;
    else if (days)
        rule->consecutive_days = days;
    if (window)
        rule->window_days = window;
    if (!isnan(radius_m))
        rule->radius_m = radius_m;
    if (days || window || !isnan(radius_m))
        say_own_rule(r, rule);
    lw_fault fault;
    if (!r->code && lw_stay_rule_check(rule, &fault)) {
        lw_err own = {0};
        (void)lw_fault_say(&fault, &own);
        lw_read_refuse(r, &in, NULL, own.code, "%s", own.text);
    }
    return !r->code && (rule->days || rule->consecutive_days || rule->year_days || rule->site_gap_days);
}

/* Of the file: where it says no manager, the stay counts under every rule. */
static void read_earlier(lw_reader *r, const lw_scope *root)
{
    lw_named_stay *past = r->out->land.earlier;
    const lw_scope stay = lw_read_map(r, root, "stay");
    const lw_place *place = &r->out->scenario->place;
    const int64_t first_day = lw_clock_at(&r->out->zone, r->arrived_s).day;
    lw_scope items[LW_ITEMS];
    const int count = lw_read_items(r, &stay, "earlier", items);
    for (int i = 0; i < count && !r->code; i++) {
        lw_value from, to;
        if (!lw_read_value(r, &items[i], "from", &from) || !lw_read_value(r, &items[i], "to", &to))
            continue;
        const double latitude = lw_read_si(r, &items[i], "latitude"), longitude = lw_read_si(r, &items[i], "longitude");
        const char *manager = lw_read_text(r, &items[i], "manager");
        past[i] = (lw_named_stay){.arrival_day = from.at.day, .departure_day = to.at.day, .place = -1};
        past[i].spot.latitude_deg = isnan(latitude) ? place->latitude_deg : latitude;
        past[i].spot.longitude_deg = isnan(longitude) ? place->longitude_deg : longitude;
        snprintf(past[i].manager, LW_NAME, "%.31s", manager ? manager : "");
        if (to.at.day < from.at.day)
            lw_read_refuse(r, &items[i], "to", LW_E_CONFLICT, "that stay ends before it begins");
        if (to.at.day > first_day)
            lw_read_refuse(r, &items[i], "to", LW_E_CONFLICT, "an earlier stay ends before this one begins");
    }
    r->out->land.earlier_count = r->code ? 0 : count;
}

/* ---- permits ---- */

static void read_permit(lw_reader *r, const lw_scope *in, lw_named_permit *to)
{
    lw_value from, until;
    *to = (lw_named_permit){.name = ""};
    if (!lw_read_value(r, in, "from", &from) || !lw_read_value(r, in, "to", &until))
        return;
    const char *name = lw_read_text(r, in, "name"), *season = lw_read_text(r, in, "season");
    const double price = lw_read_si(r, in, "price"), renews_s = lw_read_si(r, in, "renews");
    snprintf(to->name, sizeof to->name, "%.31s", name ? name : "permit");
    snprintf(to->manager, sizeof to->manager, "%s", r->out->land.manager);
    to->terms = (lw_permit){.first_day = from.at.day,
                            .last_day = until.at.day,
                            .price_usd = isnan(price) ? 0.0 : price,
                            .renews_days = isnan(renews_s) ? 0 : (int)(renews_s / (double)DAY_S + 0.5),
                            .is_uncounted = !lw_read_yes(r, in, "counts")};
    if (until.at.day < from.at.day)
        lw_read_refuse(r, in, "to", LW_E_CONFLICT, "that permit ends before it begins");
    lw_season days = {0, 0};
    if (season && !lw_season_of(season, &days))
        lw_read_refuse(r, in, "season", LW_E_SYNTAX,
                       "%s is no season; write month and day from and to, such as 09-15 to 04-15",
                       lw_quoted(season, strlen(season)).text);
    to->terms.season_from = days.from;
    to->terms.season_to = days.to;
}

static void read_permits(lw_reader *r, const lw_scope *place)
{
    lw_land *land = &r->out->land;
    lw_scope items[LW_ITEMS];
    const int count = lw_read_items(r, place, "permits", items);
    if (count > 0 && !land->manager[0])
        lw_read_refuse(r, place, "permits", LW_E_MISSING,
                       "a permit is for the land of one manager; say which, such as manager: BLM Kanab");
    if (count > LW_PERMITS_OF_PLACE)
        lw_read_refuse(r, place, "permits", LW_E_FULL, "more than %d permits for one place", LW_PERMITS_OF_PLACE);
    for (int i = 0; i < count && !r->code; i++)
        read_permit(r, &items[i], &land->permit[land->permit_count++]);
}

/* What is usual on this land by a map of its managers. */
static int take_known_rule(lw_reader *r, const lw_scope *place, const lw_place_known *known, lw_stay_rule *rule)
{
    if (!rule_of_table(r, place, known->rule, rule))
        return 0;
    snprintf(r->out->rule_source, sizeof r->out->rule_source, "%s", known->rule_source);
    lw_read_assume(r, place, "stay_rule", r->out->rule_words, known->rule_source, known->rule_kind);
    return 1;
}

void lw_read_land(lw_reader *r, const lw_scope *root)
{
    const lw_scope place = lw_read_map(r, root, "place");
    const lw_place_known *known = known_of(r);
    lw_land *land = &r->out->land;
    const char *manager = lw_read_text(r, &place, "manager");
    snprintf(land->manager, sizeof land->manager, "%.31s", manager ? manager : "");
    land->has_rule = lw_read_rule(r, &place, &land->rule);
    if (!r->code && known && known->rule[0] && !lw_read_is_given(r, &place, "stay_rule"))
        land->has_rule = take_known_rule(r, &place, known, &land->rule);
    read_permits(r, &place);
    read_earlier(r, root);
}

/* ---- the end of the stay ---- */

static void read_deadline(lw_reader *r, const lw_scope *place)
{
    lw_scenario *to = r->out->scenario;
    lw_value deadline;
    if (!lw_read_value(r, place, "deadline", &deadline))
        return;
    const int64_t deadline_s = lw_read_instant(r, place, "deadline", &deadline.at);
    if (deadline_s <= to->stay.arrival_s)
        lw_read_refuse(r, place, "deadline", LW_E_CONFLICT, "the deadline is over before the arrival");
    if (to->stay.stay_end_s == 0 || deadline_s < to->stay.stay_end_s)
        to->stay.stay_end_s = deadline_s;
}

/* Of the permits alone, where no rule is known: the last day that one covers. */
static lw_ledger_left left_of_permits(const lw_ledger *ledger, int land, int64_t today)
{
    const int64_t last = lw_permit_covered_until(ledger, land, today);
    return (lw_ledger_left){.is_limited = last >= today && last < today + LW_STAY_HORIZON_DAYS,
                            .is_permit = last >= today,
                            .left_days = (int)(last + 1 - today),
                            .last_day = last,
                            .leave_day = last};
}

static void end_by_rule(lw_reader *r, const lw_scope *place, const lw_named_stay *past, int count)
{
    lw_scenario *to = r->out->scenario;
    lw_land *land = &r->out->land;
    lw_named_permit permit[LW_PERMITS_OF_PLACE + LW_PERMITS];
    lw_land_ledger *known = calloc(1, sizeof *known);
    int permits = 0;
    if (!known) {
        lw_read_refuse(r, place, NULL, LW_E_FULL, "no memory for the ledger of stays");
        return;
    }
    for (int i = 0; i < land->permit_count; i++)
        permit[permits++] = land->permit[i];
    for (int i = 0; i < r->from->permit_count && permits < LW_PERMITS_OF_PLACE + LW_PERMITS; i++)
        permit[permits++] = r->from->permit[i];
    lw_land_ledger_of(past, count, permit, permits, known);
    const lw_stay_place here = {.spot = {to->place.latitude_deg, to->place.longitude_deg},
                                .land = lw_land_number(known, land->manager)};
    const int64_t first_day = lw_clock_at(&r->out->zone, r->arrived_s).day;
    lw_fault fault;
    if (lw_ledger_check(&known->ledger, &fault)) {
        lw_err own = {0};
        (void)lw_fault_say(&fault, &own);
        lw_read_refuse(r, place, NULL, own.code, "%s", own.text);
    } else
        r->out->left = land->has_rule ? lw_ledger_left_at(&known->ledger, &land->rule, here, first_day)
                                      : left_of_permits(&known->ledger, here.land, first_day);
    for (int i = 0; i < known->ledger.permit_count; i++) {
        if (known->permit[i].manager != here.land || !here.land)
            continue;
        lw_named_permit *holds = &r->out->permit[r->out->permit_count++];
        *holds = (lw_named_permit){.terms = known->permit[i]};
        snprintf(holds->name, sizeof holds->name, "%s", known->permit_name[i]);
        snprintf(holds->manager, sizeof holds->manager, "%s", land->manager);
    }
    free(known);
    if (r->code || !r->out->left.is_limited)
        return;
    to->stay.stay_end_s = lw_utc_of(&r->out->zone, r->out->left.leave_day, (int32_t)DAY_S);
    if (to->stay.stay_end_s <= to->stay.arrival_s) {
        to->stay.stay_end_s = to->stay.arrival_s;
        lw_read_note(r, place, "stay_rule", "by this rule and the earlier stays no day is left here");
    }
}

/* The end by rule, permits and deadline, whichever comes first; 0 where none is known. */
void lw_read_limits(lw_reader *r, const lw_scope *root)
{
    const lw_scope place = lw_read_map(r, root, "place");
    const lw_land *land = &r->out->land;
    const int known = r->from->earlier_count;
    lw_read_land(r, root);
    lw_named_stay *past = calloc((size_t)known + LW_EARLIER_STAYS, sizeof *past);
    if (!past) {
        lw_read_refuse(r, &place, NULL, LW_E_FULL, "no memory for the earlier stays");
        return;
    }
    if (known > 0)
        memcpy(past, r->from->earlier, (size_t)known * sizeof *past);
    memcpy(past + known, land->earlier, (size_t)land->earlier_count * sizeof *past);
    if (!r->code)
        end_by_rule(r, &place, past, known + land->earlier_count);
    free(past);
    if (!r->code)
        read_deadline(r, &place);
}
