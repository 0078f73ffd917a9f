#include "service/camp_sheet.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/spots.h"
#include "core/land/spot_kind.h"
#include "service/household.h"
#include "service/json.h"
#include "service/ledger.h"
#include "service/opening_now.h"
#include "service/places.h"
#include "service/signal.h"
#include "service/words.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/quantity.h"
#include "text/say.h"

/* ---- lines ---- */

static void add(lw_camp_sheet *sheet, const char *what, const char *fmt, ...) LW_PRINTF(3, 4);
static void add(lw_camp_sheet *sheet, const char *what, const char *fmt, ...)
{
    if (sheet->count == LW_SHEET_LINES)
        return;
    int before = sheet->count - 1;
    while (before > 0 && !sheet->line[before].what[0])
        before--;
    const int goes_on = before >= 0 && strcmp(what, sheet->line[before].what) == 0;
    lw_sheet_line *line = &sheet->line[sheet->count++];
    snprintf(line->what, sizeof line->what, "%s", goes_on ? "" : what);
    va_list args;
    va_start(args, fmt);
    vsnprintf(line->text, sizeof line->text, fmt, args);
    va_end(args);
}

typedef struct shown {
    char text[LW_QUANTITY_BYTES];
} shown;

static shown show(double value, lw_dim dim, lw_unit_system units)
{
    shown s = {0};
    lw_quantity_print(s.text, sizeof s.text, value, dim, units);
    return s;
}

char *lw_camp_height_say(double height_m, lw_unit_system units, char *buf, size_t n)
{
    const lw_unit *unit = lw_unit_find(LW_DIM_LENGTH, units == LW_UNITS_SI ? "m" : "ft", units == LW_UNITS_SI ? 1 : 2);
    const double tens = round(lw_unit_from_si(unit, height_m) / 10.0) * 10.0;
    return lw_quantity_print_in(buf, n, lw_unit_to_si(unit, tens), unit, 3);
}

static shown show_time(double time_s)
{
    shown s = {0};
    lw_road_time_say(time_s, s.text, sizeof s.text);
    return s;
}

static shown show_frac(double frac)
{
    shown s = {0};
    const size_t n = lw_decimal_print(s.text, sizeof s.text, 100.0 * frac, 0, 0);
    snprintf(s.text + n, sizeof s.text - n, " %%");
    return s;
}

static shown show_day(int64_t day)
{
    shown s = {0};
    lw_civil_say(s.text, sizeof s.text, day);
    return s;
}

static shown show_season(lw_season season)
{
    static const char *const MONTHS[] = {"",    "Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                         "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
    shown s = {0};
    snprintf(s.text, sizeof s.text, "%d %s to %d %s", season.from % 100, MONTHS[season.from / 100 % 13],
             season.to % 100, MONTHS[season.to / 100 % 13]);
    return s;
}

char *lw_camp_spot_say(lw_spot spot, char *buf, size_t n)
{
    char a[LW_DECIMAL_BYTES], b[LW_DECIMAL_BYTES];
    lw_decimal_print(a, sizeof a, fabs(spot.latitude_deg), 5, 0);
    lw_decimal_print(b, sizeof b, fabs(spot.longitude_deg), 5, 0);
    snprintf(buf, n, "%.20s %s, %.20s %s", a, spot.latitude_deg < 0.0 ? "S" : "N", b,
             spot.longitude_deg < 0.0 ? "W" : "E");
    return buf;
}

static void add_where(const lw_camp *camp, lw_unit_system units, lw_camp_sheet *to)
{
    const lw_place_facts *f = &camp->facts;
    char spot[64], height[LW_QUANTITY_BYTES];
    const int has_height = !isnan(f->elevation_m);
    add(to, "where", "%s%s%s", lw_camp_spot_say(f->spot, spot, sizeof spot), has_height ? ", at " : "",
        has_height ? lw_camp_height_say(f->elevation_m, units, height, sizeof height) : "");
    if (f->manager[0])
        add(to, "land of", "%s", f->manager);
}

/* ---- rules ---- */

static void add_rules(const lw_camp *camp, lw_unit_system units, lw_camp_sheet *to)
{
    const lw_place_facts *f = &camp->facts;
    const lw_about *a = &f->about;
    static const char *const FIRE[] = {"fires are allowed", "fires only in the ring there", "no fires", ""};
    if (f->rule_words[0])
        add(to, "rules", "%s (%s)", f->rule_words, f->rule_source);
    if (f->quiet_words[0])
        add(to, "rules", "quiet hours %s: no generator", f->quiet_words);
    if (f->outdoor_water != LW_PERMISSION_UNKNOWN)
        add(to, "rules", "dish water on the ground: %s",
            f->outdoor_water == LW_PERMISSION_YES ? "allowed" : "not allowed");
    if (!isnan(a->rules.water_m))
        add(to, "rules", "camp %s or more from water", show(a->rules.water_m, LW_DIM_LENGTH, units).text);
    if (!isnan(a->rules.unattended_s))
        add(to, "rules", "camp may stand alone for %s", show(a->rules.unattended_s, LW_DIM_TIME, units).text);
    if (a->rules.food_storage != LW_PERMISSION_UNKNOWN)
        add(to, "rules", "food locked away from animals: %s",
            a->rules.food_storage == LW_PERMISSION_YES ? "it must be" : "no rule");
    if (a->rules.fire != LW_FIRE_ASK)
        add(to, "rules", "%s; look for today's fire order", FIRE[a->rules.fire]);
    if (!f->has_rule && !f->rule_words[0])
        add(to, "rules", "how long one may stay is not known");
    add(to, "rules", "Ask the local office%s%s; its order and the signs win.", a->rules.office[0] ? ": " : "",
        a->rules.office);
}

/* ---- the way in ---- */

const char *lw_camp_too_big(const lw_about *a, const lw_road_rig *rig, lw_unit_system units, char *buf, size_t n)
{
    const struct {
        const char *what;
        double limit, is;
        lw_dim dim;
    } LIMIT[] = {{"long", a->length_m, rig->length_m, LW_DIM_LENGTH},
                 {"high", a->height_m, rig->height_m, LW_DIM_LENGTH},
                 {"heavy", a->weight_kg, rig->weight_kg, LW_DIM_MASS}};
    for (size_t i = 0; i < sizeof LIMIT / sizeof LIMIT[0]; i++)
        if (LIMIT[i].is > LIMIT[i].limit) {
            snprintf(buf, n, "your rig is too %s: %s, and %s fits", LIMIT[i].what,
                     show(LIMIT[i].is, LIMIT[i].dim, units).text, show(LIMIT[i].limit, LIMIT[i].dim, units).text);
            return buf;
        }
    if (a->road.clearance <= rig->clearance)
        return NULL;
    snprintf(buf, n, "the road takes %s",
             a->road.clearance == LW_CLEARANCE_HIGH ? "high clearance" : "four-wheel drive");
    return buf;
}

static void add_road(const lw_about *a, const lw_road_rig *rig, lw_unit_system units, lw_camp_sheet *to)
{
    static const char *const CLEARANCE[] = {"", "high clearance", "four-wheel drive"};
    char text[400] = "", big[160];
    size_t used = 0;
    if (a->road.surface != LW_SURFACE_UNKNOWN)
        used += (size_t)snprintf(text + used, sizeof text - used, ", %s", lw_surface_word(a->road.surface));
    if (!isnan(a->road.distance_m))
        used += (size_t)snprintf(text + used, sizeof text - used, " for %s",
                                 show(a->road.distance_m, LW_DIM_LENGTH, units).text);
    if (!isnan(a->road.grade_frac))
        used +=
            (size_t)snprintf(text + used, sizeof text - used, ", up to %s steep", show_frac(a->road.grade_frac).text);
    if (a->road.clearance)
        used += (size_t)snprintf(text + used, sizeof text - used, ", %s", CLEARANCE[a->road.clearance]);
    if (a->road.season.from)
        (void)snprintf(text + used, sizeof text - used, ", open %s", show_season(a->road.season).text);
    if (text[0])
        add(to, "road", "%s", text + 2);
    if (a->road.is_dry_only)
        add(to, "road", "only when dry: rain can close it behind you");
    if (!isnan(a->length_m))
        add(to, "fits", "rigs up to %s long", show(a->length_m, LW_DIM_LENGTH, units).text);
    if (!isnan(a->height_m))
        add(to, "fits", "up to %s high", show(a->height_m, LW_DIM_LENGTH, units).text);
    if (!isnan(a->weight_kg))
        add(to, "fits", "up to %s", show(a->weight_kg, LW_DIM_MASS, units).text);
    if (rig && lw_camp_too_big(a, rig, units, big, sizeof big))
        add(to, "fits", "No: %s.", big);
}

/* ---- the rest ---- */

static void add_there(const lw_about *a, lw_camp_sheet *to)
{
    static const char *const WATER[] = {"fit to drink", "not fit to drink", "none", "not known whether fit to drink"};
    char text[160] = "";
    size_t used = 0;
    for (int i = 0; i < LW_PLACE_SERVICE_COUNT && used < sizeof text; i++)
        if (a->services & 1u << i)
            used += (size_t)snprintf(text + used, sizeof text - used, "%s%s", used ? ", " : "",
                                     lw_place_service_word((lw_place_service)i));
    if (!isnan(a->fee_usd) && a->fee_usd > 0.0)
        add(to, "cost", "%s a night", show(a->fee_usd, LW_DIM_MONEY, LW_UNITS_US).text);
    else if (!isnan(a->fee_usd))
        add(to, "cost", "free");
    if (a->has_services)
        add(to, "there", "%s", a->services == 1u << LW_PLACE_SERVICE_NONE ? "no services" : text);
    if (a->water != LW_PLACE_WATER_UNKNOWN || (a->services & 1u << LW_PLACE_SERVICE_WATER))
        add(to, "water", "%s", WATER[a->water]);
}

static void add_room(const lw_about *a, lw_camp_sheet *to)
{
    if (a->rigs)
        add(to, "room", "for %d %s", a->rigs, a->rigs == 1 ? "rig" : "rigs");
    for (int i = 0; i < a->room_count; i++) {
        char days[40];
        const int is_any = a->room[i].days == LW_EVERY_DAY;
        add(to, "room", "%s to find a spot%s%s%s%s", show_frac(a->room[i].chance_frac).text, is_any ? "" : " on ",
            is_any ? "" : lw_weekdays_print(days, sizeof days, a->room[i].days), a->room[i].season.from ? ", " : "",
            a->room[i].season.from ? show_season(a->room[i].season).text : "");
    }
    for (int i = 0; i < a->closed_count; i++) {
        const char *dash = a->closed[i].why[0] ? ": " : "";
        if (a->closed[i].season.from)
            add(to, "closed", "%s%s%s", show_season(a->closed[i].season).text, dash, a->closed[i].why);
        else
            add(to, "closed", "%s to %s%s%s", show_day(a->closed[i].first_day).text,
                show_day(a->closed[i].last_day).text, dash, a->closed[i].why);
    }
    for (int i = 0; i < a->signal_count; i++)
        add(to, "signal", "%s: a work day with a chance of %s, as you said", a->signal[i].line,
            show_frac(a->signal[i].chance_frac).text);
}

static void add_far(const lw_about *a, lw_unit_system units, lw_camp_sheet *to)
{
    for (int i = 0; i < a->nearby_count; i++) {
        const int has_time = !isnan(a->nearby[i].time_s), has_way = !isnan(a->nearby[i].distance_m);
        add(to, "nearby", "%s%s%s%s%s", a->nearby[i].what, has_time ? ", " : "",
            has_time ? show_time(a->nearby[i].time_s).text : "", has_way ? ", " : "",
            has_way ? show(a->nearby[i].distance_m, LW_DIM_LENGTH, units).text : "");
    }
    for (int i = 0; i < a->drive_count; i++) {
        const int has_time = !isnan(a->drive[i].time_s), has_way = !isnan(a->drive[i].distance_m);
        add(to, "drives", "to %s%s%s%s%s", a->drive[i].to, has_time ? ", " : "",
            has_time ? show_time(a->drive[i].time_s).text : "", has_way ? ", " : "",
            has_way ? show(a->drive[i].distance_m, LW_DIM_LENGTH, units).text : "");
    }
}

static void add_said(const lw_about *a, lw_camp_sheet *to)
{
    if (a->confirmed_day != LW_NO_DAY)
        add(to, "confirmed", "%s%s%s", show_day(a->confirmed_day).text, a->confirmed_by[0] ? " by " : "",
            a->confirmed_by);
    if (a->recommended_by[0] || a->recommended_day != LW_NO_DAY)
        add(to, "heard of", "%s%s%s%s", a->recommended_by[0] ? "from " : "", a->recommended_by,
            a->recommended_by[0] && a->recommended_day != LW_NO_DAY ? ", " : "",
            a->recommended_day != LW_NO_DAY ? show_day(a->recommended_day).text : "");
    if (a->notes[0])
        add(to, "notes", "%s", a->notes);
    for (int i = 0; i < a->photo_count; i++)
        add(to, "photos", "%s", a->photo[i]);
}

void lw_camp_sheet_make(const lw_camp *camp, const lw_road_rig *rig, lw_unit_system units, lw_camp_sheet *sheet)
{
    const lw_about *a = &camp->facts.about;
    sheet->count = 0;
    add_where(camp, units, sheet);
    add_road(a, rig, units, sheet);
    add_there(a, sheet);
    add_room(a, sheet);
    add_rules(camp, units, sheet);
    add_far(a, units, sheet);
    add_said(a, sheet);
}

/* ---- around it ---- */

static lw_code add_services(lw_book *book, const lw_camp *camp, int64_t now_s, lw_unit_system units, lw_camp_sheet *to,
                            lw_err *err)
{
    static const lw_spot_kind KINDS[] = {LW_SPOT_DUMP,      LW_SPOT_WATER,   LW_SPOT_RUBBISH, LW_SPOT_PROPANE,
                                         LW_SPOT_GROCERIES, LW_SPOT_LAUNDRY, LW_SPOT_FUEL};
    static const double REACH_M = 80000.0;
    const lw_spot at = camp->facts.spot;
    lw_zone *zone = malloc(sizeof *zone);
    lw_code code = zone ? lw_zone_here(book, camp->zone, now_s, zone, err) : lw_fail(err, LW_E_FULL, "no memory");
    for (size_t i = 0; i < sizeof KINDS / sizeof KINDS[0] && !code; i++) {
        lw_kept_spots near = {0};
        char kinds[LW_PLACE_KINDS], said[LW_PLACE_LINE], open[LW_OPENING_SAID], way[LW_PLACE_WAY];
        code = lw_book_spots_near(book, &(lw_spots_near){at.latitude_deg, at.longitude_deg, REACH_M, 1u << KINDS[i], 1},
                                  &near, err);
        if (!code && near.count)
            add(to, "around", "%s: %s, %s", lw_place_kinds_say(1u << KINDS[i], kinds),
                lw_place_way_say(at, &near.spot[0], units, way),
                lw_place_say(&near.spot[0], lw_opening_now_say(near.spot[0].detail, zone, now_s, open), said));
        lw_kept_spots_clear(&near);
    }
    free(zone);
    return code;
}

static int is_named(const char *path)
{
    return path && path[0];
}

lw_code lw_camp_signal_ask(lw_book *book, const lw_camp *camp, int64_t now_s, lw_household *home, lw_signal_ask *ask,
                           lw_err *err)
{
    const lw_code code = lw_household_load_last(book, now_s, home, err);
    if (code)
        return code;
    lw_signal_ask_of(&home->loaded, ask);
    snprintf(ask->name, sizeof ask->name, "%s", camp->facts.name);
    ask->spot = camp->facts.spot;
    ask->antenna_m = 1.5;
    ask->need = (lw_link_rate){5.0, 1.0};
    return lw_signal_own(book, now_s, ask, err);
}

static void add_signal(lw_book *book, const lw_camp *camp, int64_t now_s, lw_signal_ask *ask, lw_signal_answer *answer,
                       lw_camp_sheet *to)
{
    lw_household home = {0};
    lw_err ignored = {0}; /* a sheet without it is a sheet all the same */
    char text[LW_SIGNAL_TEXT];
    int is_near = 0;
    const lw_code code = lw_camp_signal_ask(book, camp, now_s, &home, ask, &ignored);
    for (int i = 0; i < ask->own_count; i++)
        is_near |= lw_distance_m(ask->own[i].spot, ask->spot) < 10000.0;
    if (!code && (is_near || is_named(ask->towers) || is_named(ask->coverage)) &&
        !lw_signal_make(ask, answer, &ignored))
        add(to, "signal", "%s", lw_signal_headline(answer, text));
    lw_signal_ask_clear(ask);
    lw_household_clear(&home);
}

lw_code lw_camp_sheet_road(lw_book *book, const lw_camp *camp, lw_unit_system units, lw_camp_sheet *sheet, lw_err *err)
{
    lw_road_near near = {0};
    char text[LW_ROAD_LINE], credit[LW_CREDIT_LINE];
    const lw_code code = lw_road_near_of(book, camp->facts.spot, &near, err);
    if (!code && near.is_known) {
        const lw_kept_road *road = near.roads.road;
        add(sheet, "road by a map", "%s", lw_road_near_say(&near, units, text));
        add(sheet, "road by a map", "%s",
            lw_credit_say(road->source, road->credit, road->imported_s, road->data_s, credit));
    }
    lw_road_near_clear(&near);
    return code;
}

lw_code lw_camp_sheet_around(lw_book *book, const lw_camp *camp, int64_t now_s, lw_unit_system units,
                             lw_camp_sheet *sheet, lw_err *err)
{
    lw_signal_ask *ask = calloc(1, sizeof *ask);
    lw_signal_answer *answer = calloc(1, sizeof *answer);
    lw_code code = lw_camp_sheet_road(book, camp, units, sheet, err);
    code = code ? code : add_services(book, camp, now_s, units, sheet, err);
    if (!code && ask && answer)
        add_signal(book, camp, now_s, ask, answer, sheet);
    free(ask);
    free(answer);
    return code;
}

/* ---- JSON ---- */

static const char *permission_word(lw_permission p)
{
    return p == LW_PERMISSION_YES ? "yes" : p == LW_PERMISSION_NO ? "no" : "unknown";
}

static void put_day(lw_json *j, json_t *o, const char *key, int64_t day)
{
    char text[40];
    lw_json_text(j, o, key, day == LW_NO_DAY ? NULL : lw_date_print(text, sizeof text, lw_date_of(day)));
}

static void put_season(lw_json *j, json_t *o, lw_season season)
{
    char text[20];
    snprintf(text, sizeof text, "%02d-%02d to %02d-%02d", season.from / 100 % 100, season.from % 100,
             season.to / 100 % 100, season.to % 100);
    lw_json_text(j, o, "season", season.from ? text : NULL);
}

static json_t *road_json(lw_json *j, const lw_about *a)
{
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "surface", lw_surface_word(a->road.surface));
    lw_json_text(j, o, "clearance", lw_clearance_word(a->road.clearance));
    lw_json_number(j, o, "grade_frac", a->road.grade_frac, 3);
    lw_json_number(j, o, "distance_m", a->road.distance_m, 0);
    put_season(j, o, a->road.season);
    lw_json_flag(j, o, "is_dry_only", a->road.is_dry_only);
    return o;
}

static json_t *room_json(lw_json *j, const lw_about *a)
{
    json_t *list = lw_json_array(j);
    for (int i = 0; i < a->room_count; i++) {
        json_t *o = lw_json_object(j);
        char days[40];
        lw_json_number(j, o, "chance_frac", a->room[i].chance_frac, 3);
        lw_json_text(j, o, "days", lw_weekdays_print(days, sizeof days, a->room[i].days));
        put_season(j, o, a->room[i].season);
        lw_json_add(j, list, o);
    }
    return list;
}

static json_t *closed_json(lw_json *j, const lw_about *a)
{
    json_t *list = lw_json_array(j);
    for (int i = 0; i < a->closed_count; i++) {
        json_t *o = lw_json_object(j);
        put_season(j, o, a->closed[i].season);
        put_day(j, o, "from", a->closed[i].first_day);
        put_day(j, o, "to", a->closed[i].last_day);
        lw_json_text(j, o, "why", a->closed[i].why);
        lw_json_add(j, list, o);
    }
    return list;
}

static json_t *rules_json(lw_json *j, const lw_place_facts *f)
{
    static const char *const FIRE[] = {"yes", "ring", "no", "ask"};
    const lw_about *a = &f->about;
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "words", f->rule_words);
    lw_json_text(j, o, "source", f->rule_source);
    lw_json_count(j, o, "days", f->rule.days ? f->rule.days : f->rule.consecutive_days);
    lw_json_count(j, o, "window_days", f->rule.window_days);
    lw_json_number(j, o, "radius_m", f->rule.radius_m, 0);
    lw_json_text(j, o, "quiet", f->quiet_words);
    lw_json_text(j, o, "outdoor_water", permission_word(f->outdoor_water));
    lw_json_number(j, o, "water_distance_m", a->rules.water_m, 0);
    lw_json_number(j, o, "unattended_s", a->rules.unattended_s, 0);
    lw_json_text(j, o, "food_storage", permission_word(a->rules.food_storage));
    lw_json_text(j, o, "fire", FIRE[a->rules.fire]);
    lw_json_text(j, o, "office", a->rules.office);
    return o;
}

static json_t *lists_json(lw_json *j, const lw_about *a, const char *which)
{
    json_t *list = lw_json_array(j);
    const int is_near = strcmp(which, "nearby") == 0;
    const int count = is_near ? a->nearby_count : a->drive_count;
    for (int i = 0; i < count; i++) {
        json_t *o = lw_json_object(j);
        lw_json_text(j, o, is_near ? "what" : "to", is_near ? a->nearby[i].what : a->drive[i].to);
        lw_json_number(j, o, "time_s", is_near ? a->nearby[i].time_s : a->drive[i].time_s, 0);
        lw_json_number(j, o, "distance_m", is_near ? a->nearby[i].distance_m : a->drive[i].distance_m, 0);
        lw_json_add(j, list, o);
    }
    return list;
}

static json_t *about_json(lw_json *j, const lw_about *a)
{
    static const char *const WATER[] = {"potable", "not-potable", "none", "unknown"};
    json_t *o = lw_json_object(j), *services = lw_json_array(j), *signal = lw_json_array(j), *photos = lw_json_array(j);
    put_day(j, o, "confirmed", a->confirmed_day);
    lw_json_text(j, o, "confirmed_by", a->confirmed_by);
    put_day(j, o, "recommended", a->recommended_day);
    lw_json_text(j, o, "recommended_by", a->recommended_by);
    lw_json_number(j, o, "fee_usd", a->fee_usd, 2);
    for (int i = 0; i < LW_PLACE_SERVICE_COUNT; i++)
        if (a->services & 1u << i)
            lw_json_add(j, services, json_string(lw_place_service_word((lw_place_service)i)));
    lw_json_put(j, o, "services", services);
    lw_json_text(j, o, "water", WATER[a->water]);
    lw_json_count(j, o, "rigs", a->rigs);
    lw_json_number(j, o, "length_m", a->length_m, 2);
    lw_json_number(j, o, "height_m", a->height_m, 2);
    lw_json_number(j, o, "weight_kg", a->weight_kg, 0);
    lw_json_put(j, o, "road", road_json(j, a));
    lw_json_put(j, o, "room", room_json(j, a));
    lw_json_put(j, o, "closed", closed_json(j, a));
    for (int i = 0; i < a->signal_count; i++) {
        json_t *one = lw_json_object(j);
        lw_json_text(j, one, "line", a->signal[i].line);
        lw_json_number(j, one, "chance_frac", a->signal[i].chance_frac, 3);
        lw_json_add(j, signal, one);
    }
    lw_json_put(j, o, "signal", signal);
    lw_json_put(j, o, "nearby", lists_json(j, a, "nearby"));
    lw_json_put(j, o, "drives", lists_json(j, a, "drives"));
    lw_json_text(j, o, "notes", a->notes);
    for (int i = 0; i < a->photo_count; i++)
        lw_json_add(j, photos, json_string(a->photo[i]));
    lw_json_put(j, o, "photos", photos);
    return o;
}

static json_t *same_json(lw_json *j, const lw_camp_put *put)
{
    json_t *list = lw_json_array(j);
    for (int i = 0; put && i < put->same_count; i++) {
        json_t *o = lw_json_object(j);
        lw_json_text(j, o, "name", put->same[i].name);
        lw_json_text(j, o, "source", put->same[i].source);
        lw_json_number(j, o, "way_m", put->same[i].way_m, 0);
        lw_json_add(j, list, o);
    }
    return list;
}

char *lw_camp_json(const lw_camp *camp, const lw_camp_put *put, const char *version)
{
    const lw_place_facts *f = &camp->facts;
    lw_json j = {.zone = NULL};
    json_t *root = lw_json_object(&j);
    lw_json_text(&j, root, "schema", "leeway.place/1");
    lw_json_text(&j, root, "program", version ? version : "unknown");
    lw_json_count(&j, root, "id", camp->id);
    lw_json_text(&j, root, "name", f->name);
    lw_json_number(&j, root, "latitude_deg", f->spot.latitude_deg, 6);
    lw_json_number(&j, root, "longitude_deg", f->spot.longitude_deg, 6);
    lw_json_number(&j, root, "elevation_m", f->elevation_m, 1);
    lw_json_text(&j, root, "zone", camp->zone);
    lw_json_text(&j, root, "manager", f->manager);
    lw_json_put(&j, root, "rules", rules_json(&j, f));
    lw_json_put(&j, root, "about", about_json(&j, &f->about));
    lw_json_put(&j, root, "same", same_json(&j, put));
    return lw_json_finish(&j, root, 0);
}
