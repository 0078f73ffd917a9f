#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/land/stay_rule.h"
#include "exchange/scenario_internal.h"
#include "exchange/tables_typed.h"
#include "exchange/tzif.h"
#include "text/quantity.h"
#include "text/say.h"

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

void lw_read_place(lw_reader *r, const lw_scope *root)
{
    const lw_scope in = lw_read_map(r, root, "place");
    lw_place *to = &r->out->scenario->place;
    const char *name = lw_read_text(r, &in, "name");
    snprintf(to->name, sizeof to->name, "%.31s", name ? name : "here");
    to->latitude_deg = lw_read_si(r, &in, "latitude");
    to->longitude_deg = lw_read_si(r, &in, "longitude");
    to->elevation_m = lw_read_si(r, &in, "elevation");
    read_horizon(r, &in, to);
    to->shade_frac = lw_read_si(r, &in, "shade");
    to->albedo_frac = lw_read_si(r, &in, "albedo");
    to->linke_turbidity = lw_read_si(r, &in, "turbidity");
    /* the file's order of words is yes, no, unknown */
    static const lw_permission PERMISSION[] = {LW_PERMISSION_YES, LW_PERMISSION_NO, LW_PERMISSION_UNKNOWN};
    const int water = lw_read_word(r, &in, "outdoor_water");
    to->outdoor_water = PERMISSION[water < 0 ? 2 : water];
    to->has_animals = lw_read_yes(r, &in, "animals");
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

/* 1: there is a rule, in *rule. */
static int read_rule(lw_reader *r, const lw_scope *place, lw_stay_rule *rule)
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

static int read_earlier(lw_reader *r, const lw_scope *root, lw_stay_past past[LW_ITEMS])
{
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
        past[i] = (lw_stay_past){.first_day = from.at.day, .last_day = to.at.day};
        past[i].spot.latitude_deg = isnan(latitude) ? place->latitude_deg : latitude;
        past[i].spot.longitude_deg = isnan(longitude) ? place->longitude_deg : longitude;
        if (to.at.day < from.at.day)
            lw_read_refuse(r, &items[i], "to", LW_E_CONFLICT, "that stay ends before it begins");
        if (to.at.day > first_day)
            lw_read_refuse(r, &items[i], "to", LW_E_CONFLICT, "an earlier stay ends before this one begins");
    }
    return count;
}

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

/* The end by rule and by deadline, whichever comes first; 0 where neither is known. */
void lw_read_limits(lw_reader *r, const lw_scope *root)
{
    lw_scenario *to = r->out->scenario;
    const lw_scope place = lw_read_map(r, root, "place");
    lw_stay_rule rule;
    lw_stay_past past[LW_ITEMS];
    const int count = read_earlier(r, root, past);
    if (read_rule(r, &place, &rule) && !r->code) {
        const lw_stay_history history = {past, count};
        const lw_stay_place here = {.spot = {to->place.latitude_deg, to->place.longitude_deg}};
        const int64_t first_day = lw_clock_at(&r->out->zone, r->arrived_s).day;
        const lw_stay_until until = lw_stay_last_day(&rule, &history, here, first_day);
        if (until.is_limited)
            to->stay.stay_end_s = lw_utc_of(&r->out->zone, until.leave_day, (int32_t)DAY_S);
        if (until.is_limited && to->stay.stay_end_s <= to->stay.arrival_s) {
            to->stay.stay_end_s = to->stay.arrival_s;
            lw_read_note(r, &place, "stay_rule", "by this rule and the earlier stays no day is left here");
        }
    }
    read_deadline(r, &place);
}
