#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/scenario_internal.h"
#include "exchange/yaml_print.h"
#include "text/decimal.h"
#include "text/say.h"

_Static_assert((int)LW_CLEARANCE_FOUR_WHEEL == 2 && (int)LW_ROCK == 4 && (int)LW_FIRE_ASK == 3 &&
                   (int)LW_PLACE_WATER_UNKNOWN == 3,
               "the enums are in the order of the words in the table of keys");

const char *lw_place_service_word(lw_place_service service)
{
#define WORD(id, word) word,
    static const char *const WORDS[] = {LW_PLACE_SERVICES(WORD)};
#undef WORD
    return (unsigned)service < LW_PLACE_SERVICE_COUNT ? WORDS[service] : "";
}

const char *lw_surface_word(lw_surface surface)
{
    static const char *const WORDS[] = {"paved", "gravel", "dirt", "sand", "rock", ""};
    return WORDS[(unsigned)surface < LW_SURFACE_UNKNOWN ? surface : LW_SURFACE_UNKNOWN];
}

const char *lw_clearance_word(lw_clearance clearance)
{
    static const char *const WORDS[] = {"any", "high", "four-wheel"};
    return WORDS[(unsigned)clearance <= LW_CLEARANCE_FOUR_WHEEL ? clearance : LW_CLEARANCE_ANY];
}

/* ---- parts ---- */

static void copy_text(lw_reader *r, const lw_scope *in, const char *key, char *to, size_t size)
{
    const char *text = lw_read_text(r, in, key);
    if (text && strlen(text) >= size)
        lw_read_refuse(r, in, key, LW_E_FULL, "is longer than %zu letters", size - 1);
    else
        snprintf(to, size, "%s", text ? text : "");
}

static int64_t read_day(lw_reader *r, const lw_scope *in, const char *key)
{
    lw_value value;
    return lw_read_value(r, in, key, &value) ? value.at.day : LW_NO_DAY;
}

/* "09-15 to 04-15" as month x 100 + day. 0: another form, or a day that no year has. */
int lw_season_of(const char *text, lw_season *season)
{
    int month[2], day[2], end = 0;
    if (sscanf(text, "%2d-%2d to %2d-%2d%n", &month[0], &day[0], &month[1], &day[1], &end) != 4 || text[end])
        return 0;
    for (int i = 0; i < 2; i++)
        if (day[i] < 1 || day[i] > lw_days_in_month(2000, month[i])) /* a leap year: 29 February may stand */
            return 0;
    *season = (lw_season){month[0] * 100 + day[0], month[1] * 100 + day[1]};
    return 1;
}

static lw_season read_season(lw_reader *r, const lw_scope *in)
{
    lw_season season = {0, 0};
    const char *text = lw_read_text(r, in, "season");
    if (text && !lw_season_of(text, &season))
        lw_read_refuse(r, in, "season", LW_E_SYNTAX,
                       "%s is no season; write month and day from and to, such as 04-15 to 11-20",
                       lw_quoted(text, strlen(text)).text);
    return season;
}

static int read_list(lw_reader *r, const lw_scope *in, const char *key, int most, lw_scope items[LW_ITEMS])
{
    const int count = lw_read_items(r, in, key, items);
    if (count > most)
        lw_read_refuse(r, in, key, LW_E_FULL, "more than %d of them", most);
    return r->code ? 0 : count;
}

static void read_road(lw_reader *r, const lw_scope *about, lw_about *to)
{
    const lw_scope in = lw_read_map(r, about, "road");
    const int surface = lw_read_word(r, &in, "surface"), clearance = lw_read_word(r, &in, "clearance");
    to->road.surface = surface < 0 ? LW_SURFACE_UNKNOWN : (lw_surface)surface;
    to->road.clearance = clearance < 0 ? LW_CLEARANCE_ANY : (lw_clearance)clearance;
    to->road.grade_frac = lw_read_si(r, &in, "grade");
    to->road.distance_m = lw_read_si(r, &in, "distance");
    to->road.season = read_season(r, &in);
    to->road.is_dry_only = lw_read_yes(r, &in, "dry_only");
}

static void read_room(lw_reader *r, const lw_scope *about, lw_about *to)
{
    lw_scope items[LW_ITEMS];
    to->room_count = read_list(r, about, "room", LW_ABOUT_ROOM, items);
    for (int i = 0; i < to->room_count && !r->code; i++) {
        const char *days = lw_read_text(r, &items[i], "days");
        lw_err own = {0};
        to->room[i].chance_frac = lw_read_si(r, &items[i], "chance");
        to->room[i].days = LW_EVERY_DAY;
        if (days && lw_weekdays_parse(days, &to->room[i].days, &own))
            lw_read_refuse(r, &items[i], "days", own.code, "%s", own.text);
        to->room[i].season = read_season(r, &items[i]);
    }
}

static void read_closed(lw_reader *r, const lw_scope *about, lw_about *to)
{
    lw_scope items[LW_ITEMS];
    to->closed_count = read_list(r, about, "closed", LW_ABOUT_CLOSED, items);
    for (int i = 0; i < to->closed_count && !r->code; i++) {
        to->closed[i].first_day = read_day(r, &items[i], "from");
        to->closed[i].last_day = read_day(r, &items[i], "to");
        const int has_both = to->closed[i].first_day != LW_NO_DAY && to->closed[i].last_day != LW_NO_DAY;
        to->closed[i].season = items[i].text[0] || lw_read_is_given(r, &items[i], "season") ? read_season(r, &items[i])
                                                                                            : (lw_season){0, 0};
        copy_text(r, &items[i], "why", to->closed[i].why, sizeof to->closed[i].why);
        if (!to->closed[i].season.from && !has_both)
            lw_read_refuse(r, &items[i], NULL, LW_E_MISSING,
                           "say when: season: 12-01 to 04-01 for each year, or from and to as dates");
        if (has_both && to->closed[i].last_day < to->closed[i].first_day)
            lw_read_refuse(r, &items[i], "to", LW_E_CONFLICT, "it opens before it closes");
    }
}

static void read_rules(lw_reader *r, const lw_scope *about, lw_about *to)
{
    static const lw_permission PERMISSION[] = {LW_PERMISSION_YES, LW_PERMISSION_NO, LW_PERMISSION_UNKNOWN};
    const lw_scope in = lw_read_map(r, about, "rules");
    const int food = lw_read_word(r, &in, "food_storage"), fire = lw_read_word(r, &in, "fire");
    to->rules.water_m = lw_read_si(r, &in, "water_distance");
    to->rules.unattended_s = lw_read_si(r, &in, "unattended");
    to->rules.food_storage = PERMISSION[food < 0 ? 2 : food];
    to->rules.fire = fire < 0 ? LW_FIRE_ASK : (lw_fire)fire;
    copy_text(r, &in, "office", to->rules.office, sizeof to->rules.office);
}

static void read_far(lw_reader *r, const lw_scope *about, lw_about *to)
{
    lw_scope items[LW_ITEMS];
    to->signal_count = read_list(r, about, "signal", LW_ABOUT_SIGNAL, items);
    for (int i = 0; i < to->signal_count; i++) {
        copy_text(r, &items[i], "line", to->signal[i].line, sizeof to->signal[i].line);
        to->signal[i].chance_frac = lw_read_si(r, &items[i], "chance");
    }
    to->nearby_count = read_list(r, about, "nearby", LW_ABOUT_NEARBY, items);
    for (int i = 0; i < to->nearby_count; i++) {
        const char *brief = items[i].text;
        if (*brief)
            snprintf(to->nearby[i].what, sizeof to->nearby[i].what, "%s", brief);
        else
            copy_text(r, &items[i], "what", to->nearby[i].what, sizeof to->nearby[i].what);
        to->nearby[i].time_s = lw_read_si(r, &items[i], "time");
        to->nearby[i].distance_m = lw_read_si(r, &items[i], "distance");
    }
    to->drive_count = read_list(r, about, "drives", LW_ABOUT_DRIVES, items);
    for (int i = 0; i < to->drive_count; i++) {
        copy_text(r, &items[i], "to", to->drive[i].to, sizeof to->drive[i].to);
        to->drive[i].time_s = lw_read_si(r, &items[i], "time");
        to->drive[i].distance_m = lw_read_si(r, &items[i], "distance");
        if (isnan(to->drive[i].time_s) && isnan(to->drive[i].distance_m))
            lw_read_refuse(r, &items[i], NULL, LW_E_MISSING, "say distance: 96 mi, time: 2 h 10 min, or both");
    }
    to->photo_count = read_list(r, about, "photos", LW_ABOUT_PHOTOS, items);
    for (int i = 0; i < to->photo_count; i++)
        copy_text(r, &items[i], "path", to->photo[i], sizeof to->photo[i]);
}

static void read_about(lw_reader *r, const lw_scope *place, lw_about *to)
{
    const lw_scope in = lw_read_map(r, place, "about");
    lw_value value;
    memset(to, 0, sizeof *to);
    to->is_said = lw_read_is_given(r, place, "about");
    to->confirmed_day = read_day(r, &in, "confirmed");
    to->recommended_day = read_day(r, &in, "recommended");
    copy_text(r, &in, "confirmed_by", to->confirmed_by, sizeof to->confirmed_by);
    copy_text(r, &in, "recommended_by", to->recommended_by, sizeof to->recommended_by);
    to->fee_usd = lw_read_si(r, &in, "fee");
    to->has_services = lw_read_value(r, &in, "services", &value);
    to->services = to->has_services ? value.words : 0;
    if ((to->services & 1u << LW_PLACE_SERVICE_NONE) && to->services != 1u << LW_PLACE_SERVICE_NONE)
        lw_read_refuse(r, &in, "services", LW_E_CONFLICT, "none stands beside others here; write one or the other");
    const int water = lw_read_word(r, &in, "water");
    to->water = water < 0 ? LW_PLACE_WATER_UNKNOWN : (lw_place_water)water;
    const double rigs = lw_read_si(r, &in, "rigs");
    to->rigs = isnan(rigs) ? 0 : (int)rigs;
    to->length_m = lw_read_si(r, &in, "length");
    to->height_m = lw_read_si(r, &in, "height");
    to->weight_kg = lw_read_si(r, &in, "weight");
    copy_text(r, &in, "notes", to->notes, sizeof to->notes);
    read_road(r, &in, to);
    read_room(r, &in, to);
    read_closed(r, &in, to);
    read_rules(r, &in, to);
    read_far(r, &in, to);
}

void lw_read_about(lw_reader *r, const lw_scope *root)
{
    const lw_scope place = lw_read_map(r, root, "place");
    read_about(r, &place, &r->out->about);
}

void lw_read_travel(lw_reader *r, const lw_scope *root)
{
    const lw_scope rig = lw_read_map(r, root, "rig"), in = lw_read_map(r, &rig, "travel");
    lw_travel *to = &r->out->travel;
    const int fuel = lw_read_word(r, &in, "fuel"), clearance = lw_read_word(r, &in, "clearance");
    *to = (lw_travel){.length_m = lw_read_si(r, &in, "length"),
                      .height_m = lw_read_si(r, &in, "height"),
                      .width_m = lw_read_si(r, &in, "width"),
                      .weight_kg = lw_read_si(r, &in, "weight"),
                      .use_l100km = lw_read_si(r, &in, "use"),
                      .power_w = lw_read_si(r, &in, "power"),
                      .speed_ms = lw_read_si(r, &in, "speed"),
                      .is_diesel = fuel == 1,
                      .has_fuel = fuel >= 0,
                      .is_turbo = lw_read_yes(r, &in, "turbo"),
                      .clearance = clearance < 0 ? LW_CLEARANCE_ANY : (lw_clearance)clearance,
                      .has_clearance = clearance >= 0};
}

/* ---- a place alone ---- */

static void read_facts(lw_reader *r, lw_place_facts *to)
{
    static const lw_permission PERMISSION[] = {LW_PERMISSION_YES, LW_PERMISSION_NO, LW_PERMISSION_UNKNOWN};
    const lw_scope root = lw_read_root(r), in = lw_read_map(r, &root, "place");
    const char *name = lw_read_text(r, &in, "name"), *manager = lw_read_text(r, &in, "manager"),
               *quiet = lw_read_text(r, &in, "quiet");
    const int water = lw_read_word(r, &in, "outdoor_water");
    snprintf(to->name, sizeof to->name, "%.31s", name ? name : "here");
    snprintf(to->manager, sizeof to->manager, "%.31s", manager ? manager : "");
    snprintf(to->quiet_words, sizeof to->quiet_words, "%.63s", quiet ? quiet : "");
    to->spot = (lw_spot){lw_read_si(r, &in, "latitude"), lw_read_si(r, &in, "longitude")};
    to->elevation_m = lw_read_si(r, &in, "elevation");
    to->outdoor_water = PERMISSION[water < 0 ? 2 : water];
    to->has_quiet = lw_read_hours(r, &in, "quiet", to->quiet);
    to->has_rule = lw_read_rule(r, &in, &to->rule);
    snprintf(to->rule_words, sizeof to->rule_words, "%s", r->out->rule_words);
    snprintf(to->rule_source, sizeof to->rule_source, "%s", r->out->rule_source);
    read_about(r, &in, &to->about);
}

/* Without the tables of defaults: nothing that is read here has one. */
lw_code lw_place_read(const char *section, lw_place_facts *out, lw_err *err)
{
    lw_yaml tree = {0};
    lw_loaded *loaded = calloc(1, sizeof *loaded);
    if (!loaded)
        return lw_fail(err, LW_E_FULL, "no memory for a place");
    loaded->note_count = LW_NOTES; /* nobody reads them here */
    const lw_scenario_from from = {.path = "the book"};
    lw_reader r = {.from = &from, .tree = &tree, .out = loaded, .err = err, .rig_row = -1};
    lw_place_facts made = {.name = ""};
    r.code = lw_yaml_read(&tree, "the book", section, strlen(section), err);
    if (!r.code)
        lw_read_check_key(&r, "place");
    if (!r.code)
        read_facts(&r, &made);
    lw_yaml_clear(&tree);
    free(loaded);
    if (!r.code)
        *out = made;
    return r.code;
}

/* ---- changing ---- */

lw_code lw_place_section(const char *name, lw_spot spot, double elevation_m, const char *zone, char **text, lw_err *err)
{
    char a[LW_DECIMAL_BYTES], b[LW_DECIMAL_BYTES], c[LW_DECIMAL_BYTES];
    size_t size = 0;
    FILE *to = open_memstream(text, &size);
    if (!to)
        return lw_fail(err, LW_E_FULL, "no memory for a place");
    lw_decimal_print(a, sizeof a, spot.latitude_deg, 6, 0);
    lw_decimal_print(b, sizeof b, spot.longitude_deg, 6, 0);
    fputs("place:\n  name: \"", to);
    for (const char *at = name; *at; at++) {
        if (*at == '"' || *at == '\\')
            putc('\\', to);
        putc(*at, to);
    }
    fprintf(to, "\"\n  latitude: \"%s\"\n  longitude: \"%s\"\n", a, b);
    if (!isnan(elevation_m)) {
        lw_decimal_print(c, sizeof c, elevation_m, 1, 0);
        fprintf(to, "  elevation: %s m\n", c);
    }
    if (zone)
        fprintf(to, "  zone: %s\n", zone);
    return fclose(to) == 0 ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for a place");
}

/* One item of a list that is too long for its short form, such as the path of a photo. */
static int is_long_item(const lw_key *key, const char *value)
{
    return key && key->kind == LW_KEY_LIST && key->brief && strlen(value) >= LW_TEXT_BYTES &&
           !strchr("{['\"", *value) && !strchr(value, ',');
}

/* "road.surface=gravel" is place.about.road.surface, "manager=X" place.manager; a text is put in quotes, so that nobody must know
 * how YAML reads a colon. */
static lw_code whole_change(const lw_yaml *tree, const char *typed, char *buf, size_t size, lw_err *err)
{
    char first[LW_TEXT_BYTES], path[LW_YAML_PATH_BYTES];
    const size_t sign = strcspn(typed, "="), n = strcspn(typed, ".+=");
    if (!typed[sign] || sign == 0 || n >= sizeof first || sign >= sizeof path - sizeof "place.about.")
        return lw_fail(err, LW_E_SYNTAX, "%s is no change; write KEY=VALUE, such as road.surface=gravel",
                       lw_quoted(typed, strlen(typed)).text);
    snprintf(first, sizeof first, "%.*s", (int)n, typed);
    const char *under = lw_key_under("place.about", first) ? "place.about." : "place.";
    const int is_added = typed[sign - 1] == '+';
    snprintf(path, sizeof path, "%s%.*s", under, (int)sign - is_added, typed);
    const lw_key *key = lw_key_of_path(tree, path);
    const char *value = typed + sign + 1;
    if (strncmp(path, "place.", 6) == 0 && !lw_key_under("place", first) && strcmp(under, "place.") == 0) {
        const char *names[LW_ITEMS * 2];
        size_t count = 0;
        for (int i = 0; i < lw_key_count && count < sizeof names / sizeof names[0]; i++) {
            const char *rest = strncmp(lw_keys[i].path, "place.about.", 12) == 0 ? lw_keys[i].path + 12
                               : strncmp(lw_keys[i].path, "place.", 6) == 0      ? lw_keys[i].path + 6
                                                                                 : "";
            if (*rest && !strchr(rest, '.') && !strchr(rest, '['))
                names[count++] = rest;
        }
        const char *near = lw_nearest(first, names, count);
        return near ? lw_fail(err, LW_E_SYNTAX, "a place has no %s; did you mean %s?", lw_quoted(first, n).text, near)
                    : lw_fail(err, LW_E_SYNTAX,
                              "a place has no %s; docs/use/scenario.md lists what stands under place and place.about",
                              lw_quoted(first, n).text);
    }
    const int is_quoted = *value == '"' || *value == '\'', is_long = is_long_item(key, value);
    const int is_text = is_long || (key && key->kind == LW_KEY_TEXT && !is_added && *value && !is_quoted);
    size_t used = (size_t)snprintf(buf, size, "%s%s=%s%s%s%s", path, is_added ? "+" : "", is_long ? "{" : "",
                                   is_long ? key->brief : "", is_long ? ": " : "", is_text ? "'" : value);
    for (; is_text && *value && used + 4 < size; value++) {
        if (*value == '\'')
            buf[used++] = '\'';
        buf[used++] = *value;
    }
    if (is_text && used + 3 < size) {
        buf[used++] = '\'';
        if (is_long)
            buf[used++] = '}';
        buf[used] = '\0';
    }
    return used + 2 < size ? LW_OK : lw_fail(err, LW_E_FULL, "%.40s... is too long", typed);
}

/* What a change with nothing behind its sign takes out. */
static int takes_out(const char *change)
{
    const size_t n = strlen(change);
    return n > 1 && change[n - 1] == '=' && change[n - 2] != '+';
}

static lw_code apply_changes(lw_yaml *tree, const char *const *change, int count, lw_err *err)
{
    char *typed = malloc(LW_YAML_SCALAR_BYTES + 1);
    lw_code code = LW_OK;
    if (!typed)
        return lw_fail(err, LW_E_FULL, "no memory for a change");
    for (int i = 0; i < count && !code; i++) {
        code = whole_change(tree, change[i], typed, LW_YAML_SCALAR_BYTES, err);
        if (!code && takes_out(typed))
            lw_yaml_drop(tree, typed, strlen(typed) - 1);
        else if (!code)
            code = lw_scenario_apply(tree, typed, err);
    }
    free(typed);
    return code;
}

lw_code lw_place_change(const char *section, const char *const *change, int count, int64_t now_s, char **text,
                        lw_err *err)
{
    static const char HEAD[] = "leeway: 1\ncrew: 1 adult\n";
    const size_t size = sizeof HEAD + strlen(section);
    const lw_scenario_from from = {.path = "the book", .now_s = now_s};
    lw_yaml tree = {0};
    char *whole = malloc(size);
    if (!whole)
        return lw_fail(err, LW_E_FULL, "no memory for a place");
    snprintf(whole, size, "%s%s", HEAD, section);
    lw_code code = lw_yaml_read(&tree, "the book", whole, size - 1, err);
    free(whole);
    code = code ? code : apply_changes(&tree, change, count, err);
    code = code ? code : lw_scenario_section(&tree, &from, "place", text, err);
    lw_yaml_clear(&tree);
    return code;
}

lw_code lw_place_keep_about(const char *section, const char *kept, char **text, lw_err *err)
{
    lw_yaml to = {0}, from = {0};
    char *about = NULL;
    *text = NULL;
    lw_code code = lw_yaml_read(&to, "the book", section, strlen(section), err);
    code = code ? code : lw_yaml_read(&from, "the book", kept, strlen(kept), err);
    const lw_yaml_node *has = code ? NULL : lw_yaml_find(&to, "place.about"),
                       *had = code ? NULL : lw_yaml_find(&from, "place.about");
    if (!code && !has && had)
        code = lw_yaml_print_under(had, &about, err);
    if (!code) {
        const size_t size = strlen(section) + (about ? strlen(about) : 0) + 1;
        *text = malloc(size);
        if (*text)
            snprintf(*text, size, "%s%s", section, about ? about : "");
        else
            code = lw_fail(err, LW_E_FULL, "no memory for a place");
    }
    free(about);
    lw_yaml_clear(&to);
    lw_yaml_clear(&from);
    return code;
}

/* ---- days ---- */

double lw_about_room_frac(const lw_about *about, int64_t day)
{
    for (int i = 0; i < about->room_count; i++)
        if ((about->room[i].days >> lw_weekday_of(day) & 1u) && lw_season_holds(about->room[i].season, day))
            return about->room[i].chance_frac;
    return (double)NAN;
}

const char *lw_about_shut(const lw_about *about, int64_t day, char *buf, size_t n)
{
    for (int i = 0; i < about->closed_count; i++) {
        const int is_yearly = about->closed[i].season.from != 0;
        const int is_shut = is_yearly ? lw_season_holds(about->closed[i].season, day)
                                      : day >= about->closed[i].first_day && day <= about->closed[i].last_day;
        if (is_shut) {
            snprintf(buf, n, "closed then%s%s", about->closed[i].why[0] ? ": " : "", about->closed[i].why);
            return buf;
        }
    }
    if (lw_season_holds(about->road.season, day))
        return NULL;
    snprintf(buf, n, "its road is shut then");
    return buf;
}
