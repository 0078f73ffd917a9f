#include "service/household.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "book/devices.h"
#include "core/base/hash.h"
#include "exchange/yaml_print.h"
#include "service/demo.h"
#include "service/place_known.h"
#include "service/stay_end.h"
#include "service/stays.h"
#include "service/words.h"
#include "text/moment.h"
#include "service/entries_apply.h"
#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

/* Of the file whose sections are kept apart: what belongs to the rig, the crew, the place, and to this stay alone. */
enum { RIG, CREW, PLACE, STAY, SECTIONS };

static const char *const NO_RIG = "rig: {}\n"; /* a scenario that says nothing of it */
static const char *const UNNAMED = "here";     /* a place that the scenario gives no name */

/* Keys that name files. */
static const char *const FILE_KEYS[] = {"weather.file",  "weather.forecast", "weather.normals", "weather.ghcn",
                                        "place.terrain", "place.towers",     "place.coverage"};

/* The book has these in columns of its own. */
static const char *const OWN_COLUMNS[] = {"arrive", "leave", NULL};

static lw_code add_section(const lw_yaml *tree, const char *key, char **to, lw_err *err)
{
    const lw_yaml_node *node = lw_yaml_find(tree, key);
    char *text = NULL;
    if (!node)
        return LW_OK;
    const lw_code code = lw_yaml_print(node, strcmp(key, "stay") == 0 ? OWN_COLUMNS : NULL, &text, err);
    if (code)
        return code;
    if (!*to) {
        *to = text;
        return LW_OK;
    }
    const size_t n = strlen(*to), m = strlen(text);
    char *both = realloc(*to, n + m + 1);
    if (!both) {
        free(text);
        return lw_fail(err, LW_E_FULL, "no memory for the sections of a scenario");
    }
    memcpy(both + n, text, m + 1);
    *to = both;
    free(text);
    return LW_OK;
}

static int is_file_name(const lw_yaml_node *node)
{
    return node && node->kind == LW_YAML_SCALAR && strcmp(node->text, "climate") != 0 &&
           strcmp(node->text, "none") != 0;
}

/* A bare word under "weather" is a file's. */
static lw_code want_no_files(lw_yaml *tree, const lw_yaml *own, lw_err *err)
{
    lw_code code = lw_yaml_wrap(tree, "weather", strlen("weather"), "file", err);
    for (size_t i = 0; i < sizeof FILE_KEYS / sizeof FILE_KEYS[0] && !code; i++) {
        const lw_yaml_node *node = lw_yaml_find(tree, FILE_KEYS[i]);
        const lw_yaml_node *same = own->root ? lw_yaml_find(own, FILE_KEYS[i]) : NULL;
        if (!is_file_name(node) || (is_file_name(same) && strcmp(same->text, node->text) == 0))
            continue;
        lw_fail(err, LW_E_CONFLICT,
                "names a file of the machine that Leeway runs on, which cannot be said from here; leave it out for "
                "the climate of the place");
        code = lw_yaml_at(node, err);
    }
    return code;
}

/* The book lies elsewhere than the scenario did. */
static lw_code name_files_from_the_root(lw_yaml *tree, const char *path, lw_err *err)
{
    lw_code code = LW_OK;
    for (size_t i = 0; i < sizeof FILE_KEYS / sizeof FILE_KEYS[0] && !code; i++) {
        const lw_yaml_node *node = lw_yaml_find(tree, FILE_KEYS[i]);
        char beside[LW_YAML_SCALAR_BYTES], change[LW_YAML_SCALAR_BYTES + 64];
        if (!node || node->kind != LW_YAML_SCALAR)
            continue;
        lw_scenario_beside(beside, sizeof beside, path, node->text);
        char *whole = realpath(beside, NULL);
        if (!whole)
            return lw_fail(err, LW_E_MISSING, "%.200s cannot be found again for the book", beside);
        const int n = snprintf(change, sizeof change, "%s='", FILE_KEYS[i]);
        size_t used = (size_t)n;
        for (const char *c = whole; *c && used < sizeof change - 3; c++) {
            if (*c == '\'') /* doubled inside single quotes */
                change[used++] = '\'';
            change[used++] = *c;
        }
        snprintf(change + used, sizeof change - used, "'");
        free(whole);
        code = lw_yaml_set(tree, change, err);
    }
    return code;
}

static lw_code read_tree(const lw_scenario_from *from, lw_yaml *tree, lw_err *err)
{
    lw_code code = from->bytes ? lw_yaml_read(tree, from->path, from->bytes, from->size, err)
                               : lw_yaml_load(tree, from->path, err);
    for (int i = 0; i < from->change_count && !code; i++)
        code = lw_yaml_set(tree, from->change[i], err);
    return code;
}

static lw_code cut_sections(const lw_scenario_from *from, char *section[SECTIONS], lw_err *err)
{
    static const struct {
        int section;
        const char *key;
    } cuts[] = {{RIG, "rig"}, {CREW, "crew"}, {PLACE, "place"}, {STAY, "stay"}, {STAY, "weather"}};
    lw_yaml tree = {0};
    lw_code code = read_tree(from, &tree, err);
    code = code ? code : name_files_from_the_root(&tree, from->path, err);
    for (size_t i = 0; i < sizeof cuts / sizeof cuts[0] && !code; i++)
        code = add_section(&tree, cuts[i].key, &section[cuts[i].section], err);
    lw_yaml_clear(&tree);
    return code;
}

static int64_t time_or_none(int64_t at_s)
{
    return at_s ? at_s : LW_NO_TIME;
}

/* A stay ends with its summary; where that cannot be made, without one. */
static lw_code end_stay(lw_book *book, lw_kept_stay *stay, int64_t at_s, lw_err *err)
{
    lw_stay_summary *summary = malloc(sizeof *summary);
    char *json = NULL;
    lw_err ignored = {0};
    stay->left_s = at_s;
    lw_code code = lw_book_put_stay(book, stay, err);
    if (!code && summary && lw_stay_summarise(book, stay, summary, &json, &ignored) == LW_OK) {
        stay->summary = json;
        code = lw_book_put_stay(book, stay, err);
    }
    free(summary);
    free(json);
    return code;
}

/* Open stays end where the new one begins, once that has come. One of the same arrival is the same stay, described anew: its
 * readings stay with it. */
static lw_code end_open_stays(lw_book *book, int64_t now_s, lw_begun *begun, lw_err *err)
{
    lw_kept_stays stays = {0};
    lw_code code = lw_book_list_stays(book, NULL, &stays, err);
    for (size_t i = 0; i < stays.count && !code; i++) {
        lw_kept_stay *stay = &stays.stay[i];
        if (stay->left_s != LW_NO_TIME)
            continue;
        if (stay->arrival_s == begun->arrival_s) {
            begun->stay = stay->id;
            begun->is_same = 1;
        } else if (begun->arrival_s <= now_s && stay->arrival_s < begun->arrival_s) {
            begun->ended_stay = stay->id;
            code = end_stay(book, stay, begun->arrival_s, err);
        }
    }
    lw_kept_stays_clear(&stays);
    return code;
}

static const char *or_empty(const char *text)
{
    return text ? text : "";
}

/* Stays of before keep what they were: the row is described anew for this one. */
static lw_code put_rig(lw_book *book, lw_kept_doc *rig, int64_t stay, lw_err *err)
{
    lw_kept_docs old = {0};
    lw_code code = lw_book_list_rigs(book, &(lw_kept_key){.name = rig->name}, &old, err);
    if (!code && old.count && strcmp(old.doc[0].doc, rig->doc) != 0)
        code = lw_stays_keep_section(book, "rig", old.doc[0].id, old.doc[0].doc, stay, err);
    lw_kept_docs_clear(&old);
    return code ? code : lw_book_put_rig(book, rig, err);
}

static lw_code put_crew(lw_book *book, lw_kept_doc *crew, int64_t stay, lw_err *err)
{
    lw_kept_docs old = {0};
    lw_code code = lw_book_list_crews(book, &(lw_kept_key){.name = crew->name}, &old, err);
    if (!code && old.count && strcmp(old.doc[0].doc, crew->doc) != 0)
        code = lw_stays_keep_section(book, "crew", old.doc[0].id, old.doc[0].doc, stay, err);
    lw_kept_docs_clear(&old);
    return code ? code : lw_book_put_crew(book, crew, err);
}

static lw_code put_place(lw_book *book, lw_kept_place *place, int64_t stay, lw_err *err)
{
    lw_kept_places old = {0};
    char *with_about = NULL; /* what is known of a place outlives a scenario that says nothing of it */
    lw_code code = lw_book_list_places(book, &(lw_kept_key){.name = place->name}, &old, err);
    if (!code && old.count && place->doc[0]) {
        code = lw_place_keep_about(place->doc, old.place[0].doc, &with_about, err);
        place->doc = with_about ? with_about : place->doc;
    }
    if (!code && old.count && strcmp(old.place[0].doc, place->doc) != 0)
        code = lw_stays_keep_section(book, "place", old.place[0].id, old.place[0].doc, stay, err);
    lw_kept_places_clear(&old);
    code = code ? code : lw_book_put_place(book, place, err);
    free(with_about);
    place->doc = NULL;
    return code;
}

/* ---- what terrain tiles say of a place is kept: they are opened once ---- */

static lw_code keep_ground(lw_book *book, const lw_ground *ground, int64_t place, lw_err *err)
{
    char key[48], text[LW_GROUND_BYTES];
    char *whole = ground ? realpath(ground->path, NULL) : NULL; /* as the place's own text names it in the book */
    if (!whole || strlen(whole) >= sizeof ground->path) {
        free(whole);
        return LW_OK;
    }
    lw_ground named = *ground;
    memcpy(named.path, whole, strlen(whole) + 1);
    free(whole);
    if (!lw_ground_print(&named, text, sizeof text))
        return LW_OK;
    snprintf(key, sizeof key, "ground.%lld", (long long)place);
    return lw_book_set(book, key, text, err);
}

/* Owned by the caller; NULL: nothing is kept that can be read. */
static lw_ground *kept_ground(lw_book *book, int64_t place)
{
    char key[48], text[LW_GROUND_BYTES];
    int is_there = 0;
    lw_err own = {0};
    lw_ground *ground = malloc(sizeof *ground);
    snprintf(key, sizeof key, "ground.%lld", (long long)place);
    if (ground && !lw_book_get(book, key, text, sizeof text, &is_there, &own) && is_there &&
        !lw_ground_parse(text, ground, &own))
        return ground;
    free(ground);
    return NULL;
}

/* The stay that goes on, of the same arrival, place and rig: it is described anew. */
static lw_code is_current(lw_book *book, int64_t now_s, const lw_begun *begun, int *is, lw_err *err)
{
    lw_kept_stays open = {0};
    lw_kept_places place = {0};
    lw_kept_docs rig = {0};
    lw_code code = lw_book_current_stay(book, now_s, &open, err);
    code = code ? code : lw_book_list_places(book, &(lw_kept_key){.name = begun->place_name}, &place, err);
    code = code ? code : lw_book_list_rigs(book, &(lw_kept_key){.name = begun->rig_name}, &rig, err);
    *is = !code && open.count > 0 && place.count > 0 && rig.count > 0 && open.stay[0].arrival_s == begun->arrival_s &&
          open.stay[0].place == place.place[0].id && open.stay[0].rig == rig.doc[0].id;
    lw_kept_docs_clear(&rig);
    lw_kept_places_clear(&place);
    lw_kept_stays_clear(&open);
    return code;
}

/* Whose own stay begins has no use for the demo; a plan that is kept in it is none. */
static lw_code take_demo_out(lw_book *book, int64_t now_s, const lw_begun *begun, lw_err *err)
{
    char demo[32];
    int is_demo = 0, is_its_own = 0;
    lw_code code = lw_book_get(book, LW_DEMO_KEY, demo, sizeof demo, &is_demo, err);
    if (!code && is_demo)
        code = is_current(book, now_s, begun, &is_its_own, err);
    return code || !is_demo || is_its_own ? code : lw_book_take_all_out(book, LW_DEMO_KEY, err);
}

static lw_code keep(lw_book *book, const lw_loaded *loaded, char *const section[SECTIONS], int64_t now_s, lw_begun *to,
                    lw_err *err)
{
    const lw_scenario *s = loaded->scenario;
    lw_kept_doc rig = {.name = to->rig_name, .doc = section[RIG] ? section[RIG] : NO_RIG};
    lw_kept_doc crew = {.name = "crew", .doc = or_empty(section[CREW])};
    lw_kept_place place = {.name = to->place_name,
                           .latitude_deg = s->place.latitude_deg,
                           .longitude_deg = s->place.longitude_deg,
                           .elevation_m = s->place.elevation_m,
                           .zone = loaded->zone.name,
                           .manager = loaded->land.manager[0] ? loaded->land.manager : NULL,
                           .doc = or_empty(section[PLACE])};
    lw_code code = take_demo_out(book, now_s, to, err);
    code = code ? code : end_open_stays(book, now_s, to, err);
    code = code ? code : put_rig(book, &rig, to->stay, err);
    code = code ? code : put_crew(book, &crew, to->stay, err);
    code = code ? code : put_place(book, &place, to->stay, err);
    lw_kept_stay stay = {.id = to->stay,
                         .place = place.id,
                         .rig = rig.id,
                         .crew = crew.id,
                         .arrival_s = to->arrival_s,
                         .departure_s = time_or_none(to->departure_s),
                         .left_s = LW_NO_TIME,
                         .doc = or_empty(section[STAY])};
    code = code ? code : lw_book_put_stay(book, &stay, err);
    code = code ? code : lw_book_set(book, "units", loaded->units == LW_UNITS_SI ? "si" : "us", err);
    code = code ? code : keep_ground(book, loaded->ground, place.id, err);
    to->rig = rig.id, to->crew = crew.id, to->place = place.id, to->stay = stay.id;
    return code;
}

lw_code lw_household_begin(lw_book *book, const char *path, int64_t now_s, lw_begun *begun, lw_err *err)
{
    return lw_household_begin_from(book, &(lw_scenario_from){.path = path, .now_s = now_s}, begun, err);
}

lw_code lw_household_begin_from(lw_book *book, const lw_scenario_from *from, lw_begun *begun, lw_err *err)
{
    lw_loaded loaded = {0};
    char *section[SECTIONS] = {NULL};
    lw_begun made = {0};
    lw_code code = lw_scenario_load(from, &loaded, err);
    if (code)
        return code;
    const lw_scenario *s = loaded.scenario;
    snprintf(made.rig_name, sizeof made.rig_name, "%s", s->rig.name[0] ? s->rig.name : loaded.rig_kind);
    if (s->place.name[0] && strcmp(s->place.name, UNNAMED) != 0)
        snprintf(made.place_name, sizeof made.place_name, "%s", s->place.name);
    else
        snprintf(made.place_name, sizeof made.place_name, "%.3f, %.3f", s->place.latitude_deg, s->place.longitude_deg);
    made.arrival_s = s->stay.arrival_s;
    made.departure_s = s->stay.departure_s;
    made.zone = loaded.zone;
    code = cut_sections(from, section, err);
    if (!code) {
        code = lw_book_begin(book, err);
        if (!code) {
            code = keep(book, &loaded, section, from->now_s, &made, err);
            code = lw_book_end(book, code, err);
        }
    }
    for (int i = 0; i < SECTIONS; i++)
        free(section[i]);
    lw_loaded_clear(&loaded);
    if (code)
        return code;
    lw_household_keep_ground(book, from->now_s);
    *begun = made;
    return LW_OK;
}

/* ---- and back ---- */

lw_code lw_household_no_stay(lw_err *err)
{
    return lw_fail_typed(err, LW_E_MISSING, "begin one with leeway begin FILE.yaml",
                         "the book has no stay that is going on");
}

static lw_code own_text(lw_book *book, int64_t now_s, char **text, lw_err *err)
{
    lw_kept_stays open = {0};
    *text = NULL;
    lw_code code = lw_book_current_stay(book, now_s, &open, err);
    if (!code && open.count > 0)
        code = lw_stay_text(book, &open.stay[0], text, err);
    lw_kept_stays_clear(&open);
    return code;
}

lw_code lw_household_scenario(lw_book *book, int64_t now_s, char **text, lw_err *err)
{
    const lw_code code = own_text(book, now_s, text, err);
    return code || *text ? code : lw_household_no_stay(err);
}

/* From the arrival to the wished departure as the book has them; the caller's changes behind. */
static lw_code change_stay(lw_book *book, const lw_kept_stay *stay, int64_t now_s, const char *text,
                           const char *const *change, int change_count, lw_err *err)
{
    char arrive[64], leave[64], at[48];
    const char **all = calloc((size_t)change_count + 2, sizeof *all);
    lw_begun begun;
    int count = 0;
    if (!all)
        return lw_fail(err, LW_E_FULL, "no memory for the changes of a scenario");
    snprintf(arrive, sizeof arrive, "stay.arrive=%s", lw_instant_print(at, sizeof at, (double)stay->arrival_s, 0));
    all[count++] = arrive;
    if (stay->departure_s != LW_NO_TIME) {
        snprintf(leave, sizeof leave, "stay.leave=%s", lw_instant_print(at, sizeof at, (double)stay->departure_s, 0));
        all[count++] = leave;
    }
    for (int i = 0; i < change_count; i++)
        all[count++] = change[i];
    const lw_code code = lw_household_begin_from(book,
                                                 &(lw_scenario_from){.path = "the book",
                                                                     .bytes = text,
                                                                     .size = strlen(text),
                                                                     .change = all,
                                                                     .change_count = count,
                                                                     .now_s = now_s},
                                                 &begun, err);
    free(all);
    return code;
}

lw_code lw_household_change(lw_book *book, int64_t now_s, const char *const *change, int change_count, lw_err *err)
{
    lw_kept_stays open = {0};
    char *text = NULL;
    lw_code code = lw_household_scenario(book, now_s, &text, err);
    code = code ? code : lw_book_current_stay(book, now_s, &open, err);
    if (!code && text && open.count > 0)
        code = change_stay(book, &open.stay[0], now_s, text, change, change_count, err);
    lw_kept_stays_clear(&open);
    free(text);
    return code;
}

/* What comes from elsewhere: a scenario, or nothing but changes. */
static lw_code read_foreign(const lw_scenario_from *from, lw_yaml *tree, lw_err *err)
{
    lw_code code = from->bytes ? lw_yaml_read(tree, from->path, from->bytes, from->size, err)
                               : lw_yaml_read(tree, "changes", "{}", 2, err);
    for (int i = 0; i < from->change_count && !code; i++)
        code = lw_yaml_set(tree, from->change[i], err);
    return code;
}

lw_code lw_household_want_no_files(lw_book *book, const lw_scenario_from *from, lw_err *err)
{
    lw_yaml tree = {0}, own = {0};
    char *text = NULL;
    lw_code code = own_text(book, from->now_s, &text, err);
    if (!code && text)
        code = lw_yaml_read(&own, "the book", text, strlen(text), err);
    code = code ? code : read_foreign(from, &tree, err);
    code = code ? code : want_no_files(&tree, &own, err);
    lw_yaml_clear(&tree);
    lw_yaml_clear(&own);
    free(text);
    return code;
}

typedef struct from_then {
    int64_t now_s, begin_s;
    const char *until;
    const char *const *change;
    int change_count;
    const lw_ground *ground;
    const lw_place_known *known;
    int takes_last; /* a stay that is over, where none goes on */
    int is_unmoved;
} from_then;

static lw_code load_text(const lw_kept_stay *stay, const char *text, const lw_book_stays *past, const lw_land_of *here,
                         const from_then *then, lw_loaded *loaded, lw_err *err)
{
    char arrive[64], leave[128], at[48];
    const char **change = calloc((size_t)then->change_count + 2, sizeof *change);
    int count = 0, earlier_count;
    lw_named_stay *earlier = lw_stays_named(past, stay->arrival_s, stay->id, here, &earlier_count);
    if (!change || !earlier) {
        free(change);
        free(earlier);
        return lw_fail(err, LW_E_FULL, "no memory for the changes of a scenario");
    }
    const int64_t from_s = then->begin_s > stay->arrival_s ? then->begin_s : stay->arrival_s;
    snprintf(arrive, sizeof arrive, "stay.arrive=%s", lw_instant_print(at, sizeof at, (double)stay->arrival_s, 0));
    change[count++] = arrive;
    if (then->until)
        snprintf(leave, sizeof leave, "stay.leave=%.100s", then->until);
    else if (stay->departure_s != LW_NO_TIME && stay->departure_s > from_s)
        snprintf(leave, sizeof leave, "stay.leave=%s", lw_instant_print(at, sizeof at, (double)stay->departure_s, 0));
    else
        leave[0] = '\0';
    if (leave[0])
        change[count++] = leave;
    for (int i = 0; i < then->change_count; i++)
        change[count++] = then->change[i];
    const lw_code code = lw_scenario_load(&(lw_scenario_from){.path = "the book",
                                                              .bytes = text,
                                                              .size = strlen(text),
                                                              .change = change,
                                                              .change_count = count,
                                                              .earlier = earlier,
                                                              .earlier_count = earlier_count,
                                                              .permit = past->permit,
                                                              .permit_count = past->permit_count,
                                                              .now_s = then->now_s,
                                                              .begin_s = then->begin_s,
                                                              .known = then->known,
                                                              .ground = then->ground},
                                          loaded, err);
    free(change);
    free(earlier);
    return code;
}

/* The wish of a stay that nobody has ended; 0: it is still to come. */
static int64_t overdue(const lw_kept_stay *stay, const from_then *then)
{
    const int is_over =
        stay->left_s == LW_NO_TIME && stay->departure_s != LW_NO_TIME && stay->departure_s <= then->now_s;
    return is_over && !then->until ? stay->departure_s : 0;
}

/* Weather that was given for the stay need not reach past its end: then that is the reason, and no line of the scenario. */
static lw_code load_open(const lw_kept_stay *stay, const char *text, const lw_book_stays *past, const lw_land_of *here,
                         const from_then *then, lw_loaded *loaded, lw_err *err)
{
    const int64_t overdue_s = overdue(stay, then);
    lw_err own = {0}, ignored = {0};
    lw_code code = load_text(stay, text, past, here, then, loaded, &own);
    if (!code) {
        loaded->overdue_s = overdue_s;
        return LW_OK;
    }
    from_then at_first = *then;
    at_first.begin_s = 0;
    if (!overdue_s || load_text(stay, text, past, here, &at_first, loaded, &ignored) || !loaded->scenario) {
        if (!err->code)
            *err = own;
        return err->code;
    }
    char when[LW_WHEN];
    (void)lw_fail_typed(
        err, LW_E_MISSING, "leeway end, leeway begin FILE.yaml",
        "your stay at %s was to end %s %d, and the weather you gave for it does not reach today; if you "
        "have left, end it or begin the next",
        loaded->scenario->place.name[0] ? loaded->scenario->place.name : UNNAMED,
        lw_when_print(when, sizeof when, &loaded->zone, overdue_s, 0), lw_clock_at(&loaded->zone, overdue_s).date.year);
    lw_loaded_clear(loaded);
    return LW_E_MISSING;
}

/* The list is of one stay, or of none. */
static lw_code last_stay(lw_book *book, int64_t now_s, lw_kept_stays *stays, lw_err *err)
{
    lw_kept_stays all = {0};
    int64_t last_s = INT64_MIN, id = 0;
    lw_code code = lw_book_list_stays(book, NULL, &all, err);
    for (size_t i = 0; i < all.count; i++)
        if (all.stay[i].arrival_s <= now_s && all.stay[i].arrival_s >= last_s) {
            last_s = all.stay[i].arrival_s;
            id = all.stay[i].id;
        }
    lw_kept_stays_clear(&all);
    return code || !id ? code : lw_book_list_stays(book, &(lw_kept_key){.id = id}, stays, err);
}

lw_code lw_household_place_named(lw_book *book, const char *name, int64_t *place, lw_err *err)
{
    lw_kept_places places = {0};
    const lw_code code = lw_book_list_places(book, NULL, &places, err);
    *place = 0;
    for (size_t i = 0; i < places.count; i++)
        if (strcasecmp(places.place[i].name, name) == 0)
            *place = places.place[i].id;
    lw_kept_places_clear(&places);
    return code;
}

/* The last move of the stay to a place that the book knows. */
static lw_code find_move(lw_book *book, lw_kept_stay *stay, int64_t now_s, int64_t *moved_s, lw_err *err)
{
    lw_entries moves = {0};
    const lw_history which = {
        .stay = stay->id, .kinds = 1u << LW_ENTRY_MOVED, .from_s = stay->arrival_s, .to_s = now_s + 1};
    lw_code code = lw_book_history(book, &which, &moves, err);
    for (size_t i = 0; i < moves.count && !code && !*moved_s; i++) {
        char name[LW_NAME];
        int64_t place = 0;
        if (!moves.entry[i].is_clock_doubted && *lw_entry_place(&moves.entry[i], name, sizeof name))
            code = lw_household_place_named(book, name, &place, err);
        if (place) {
            stay->place = place;
            *moved_s = moves.entry[i].stated_s;
        }
    }
    lw_entries_clear(&moves);
    return code;
}

static lw_code load(lw_book *book, const from_then *then, lw_household *household, lw_err *err)
{
    lw_kept_stays open = {0};
    lw_book_stays past = {0};
    char *text = NULL;
    lw_household made = {0};
    lw_land_of here;
    lw_code code = lw_book_current_stay(book, then->now_s, &open, err);
    if (!code && open.count == 0 && then->takes_last)
        code = last_stay(book, then->now_s, &open, err);
    if (!code && open.count == 0)
        code = lw_household_no_stay(err);
    if (!code && !then->is_unmoved)
        code = find_move(book, &open.stay[0], then->now_s, &made.moved_s, err);
    if (!code)
        code = lw_stay_text(book, &open.stay[0], &text, err);
    code = code ? code : lw_stays_gather(book, then->now_s, &past, err);
    code = code ? code : lw_stays_land_of(book, open.stay[0].place, &here, err);
    if (!code) {
        const lw_kept_stay *stay = &open.stay[0];
        made.rig = stay->rig, made.crew = stay->crew, made.place = stay->place, made.stay = stay->id;
        made.arrival_s = stay->arrival_s;
        made.words_hash = lw_hash(LW_HASH_START, text, strlen(text));
        lw_ground *ground = kept_ground(book, stay->place);
        lw_place_known known;
        from_then with_ground = *then;
        with_ground.ground = ground;
        with_ground.known = &known;
        lw_place_known_find(book, here.spot, &known);
        code = load_open(stay, text, &past, &here, &with_ground, &made.loaded, err);
        free(ground);
    }
    free(text);
    lw_stays_clear(&past);
    lw_kept_stays_clear(&open);
    if (!code)
        *household = made;
    return code;
}

lw_code lw_household_load(lw_book *book, int64_t now_s, int64_t begin_s, lw_household *household, lw_err *err)
{
    return load(book, &(from_then){.now_s = now_s, .begin_s = begin_s}, household, err);
}

lw_code lw_household_load_changed(lw_book *book, int64_t now_s, int64_t begin_s, const char *until,
                                  const char *const *change, int change_count, lw_household *household, lw_err *err)
{
    const from_then then = {
        .now_s = now_s, .begin_s = begin_s, .until = until, .change = change, .change_count = change_count};
    return load(book, &then, household, err);
}

lw_code lw_household_load_last(lw_book *book, int64_t now_s, lw_household *household, lw_err *err)
{
    return load(book, &(from_then){.now_s = now_s, .takes_last = 1}, household, err);
}

lw_code lw_household_load_came(lw_book *book, int64_t now_s, int64_t begin_s, lw_household *household, lw_err *err)
{
    return load(book, &(from_then){.now_s = now_s, .begin_s = begin_s, .is_unmoved = 1}, household, err);
}

void lw_household_keep_ground(lw_book *book, int64_t now_s)
{
    lw_household home = {0};
    lw_err ignored = {0};
    if (lw_household_load(book, now_s, 0, &home, &ignored))
        return;
    const lw_ground *now = home.loaded.ground;
    lw_ground *kept = now ? kept_ground(book, home.place) : NULL;
    if (now && !(kept && lw_ground_is_of(kept, now->path, now->spot)))
        (void)keep_ground(book, now, home.place, &ignored);
    free(kept);
    lw_household_clear(&home);
}

/* The next part of "38.57,-109.55,6000 ft"; *at behind its comma. 0: it is none, or out of bounds. */
static int next_part(const char **at, lw_dim dim, double low, double high, double *to)
{
    lw_err unread = {0};
    const char *from = *at + strspn(*at, " ");
    const size_t n = strcspn(from, ",");
    *at = from + n + (from[n] == ',');
    const int is_read = dim == LW_DIM_NUMBER ? lw_decimal_parse(from, from + n, to)
                                             : lw_quantity_parse_n(from, n, dim, to, &unread) == LW_OK;
    return is_read && *to >= low && *to <= high;
}

lw_code lw_household_put_place(lw_book *book, const lw_household *now, const char *name, const char *where, lw_err *err)
{
    lw_kept_place place = {
        .name = name, .elevation_m = now->loaded.scenario->place.elevation_m, .zone = now->loaded.zone.name};
    char doc[400], a[LW_DECIMAL_BYTES], b[LW_DECIMAL_BYTES], c[LW_DECIMAL_BYTES];
    const char *at = where;
    int fits = next_part(&at, LW_DIM_NUMBER, -90.0, 90.0, &place.latitude_deg) &&
               next_part(&at, LW_DIM_NUMBER, -180.0, 180.0, &place.longitude_deg);
    if (fits && *at)
        fits = next_part(&at, LW_DIM_LENGTH, -430.0, 6000.0, &place.elevation_m) && !*at;
    if (!fits)
        return lw_fail(err, LW_E_RANGE,
                       "%s is no spot; it is written in degrees north and east, such as 38.57,-109.55 or "
                       "38.57,-109.55,6000 ft",
                       lw_quoted(where, strlen(where)).text);
    lw_decimal_print(a, sizeof a, place.latitude_deg, 6, 0);
    lw_decimal_print(b, sizeof b, place.longitude_deg, 6, 0);
    lw_decimal_print(c, sizeof c, place.elevation_m, 1, 0);
    snprintf(doc, sizeof doc,
             "place:\n  name: '%.31s'\n  latitude: %s\n  longitude: %s\n  elevation: %s m\n  zone: %s\n", name, a, b, c,
             place.zone);
    place.doc = doc;
    return strchr(name, '\'') ? lw_fail(err, LW_E_SYNTAX, "a new place's name has no ' in it")
                              : lw_book_put_place(book, &place, err);
}

void lw_household_clear(lw_household *household)
{
    lw_loaded_clear(&household->loaded);
    *household = (lw_household){0};
}
