/* The household itself: the state of the book, settings, a stay that begins, ready-made rigs, the demo, devices. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/devices.h"
#include "exchange/tables.h"
#include "exchange/tzif.h"
#include "service/ask_internal.h"
#include "service/demo.h"
#include "service/household.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/quantity.h"
#include "text/say.h"

static const char *const NO_KEYS[] = {NULL};
static const int64_t YEAR_S = 31622400;
enum { LW_RIG_LABEL = 128 };

/* ---- state ---- */

/* "2026-06-08T07:00:00-06:00": an instant by the clock of a place. */
static void put_local(lw_json *j, json_t *o, const char *key, const lw_zone *zone, int64_t at_s)
{
    char text[64];
    const lw_clock c = lw_clock_at(zone, at_s);
    const int32_t off_m = (c.utc_offset_s < 0 ? -c.utc_offset_s : c.utc_offset_s) / 60;
    snprintf(text, sizeof text, "%04d-%02d-%02dT%02d:%02d:%02d%c%02d:%02d", c.date.year, c.date.month, c.date.day,
             c.hour, c.minute, c.second, c.utc_offset_s < 0 ? '-' : '+', (int)(off_m / 60), (int)(off_m % 60));
    lw_json_text(j, o, key, text);
}

static lw_code put_stay(lw_asked *a, lw_json *j, json_t *root, const lw_kept_stay *stay, lw_err *err)
{
    lw_kept_places places = {0};
    lw_kept_docs rigs = {0};
    lw_zone *zone = malloc(sizeof *zone);
    lw_code code = zone ? LW_OK : lw_fail(err, LW_E_FULL, "not enough memory");
    code = code ? code : lw_book_list_places(a->book, &(lw_kept_key){.id = stay->place}, &places, err);
    code = code ? code : lw_book_list_rigs(a->book, &(lw_kept_key){.id = stay->rig}, &rigs, err);
    if (!code && zone) {
        const char *name = places.place[0].zone;
        lw_err unknown = {0};
        if (!name || lw_zone_load(name, a->ask->now_s - YEAR_S, a->ask->now_s + YEAR_S, zone, &unknown))
            lw_zone_utc(zone);
        json_t *o = lw_json_object(j);
        lw_json_text(j, o, "place", places.place[0].name);
        lw_json_text(j, o, "rig", rigs.doc[0].name);
        put_local(j, o, "from", zone, stay->arrival_s);
        if (stay->departure_s != LW_NO_TIME)
            put_local(j, o, "until", zone, stay->departure_s);
        else
            lw_json_text(j, o, "until", NULL);
        lw_json_put(j, root, "stay", o);
        put_local(j, root, "now", zone, a->ask->now_s);
        lw_json_text(j, root, "zone", zone->name);
    }
    lw_kept_places_clear(&places);
    lw_kept_docs_clear(&rigs);
    free(zone);
    return code;
}

static void put_no_stay(lw_asked *a, lw_json *j, json_t *root)
{
    char now[48];
    lw_json_put(j, root, "stay", json_null());
    lw_json_text(j, root, "now", lw_instant_print(now, sizeof now, (double)a->ask->now_s, 0));
    lw_json_text(j, root, "zone", NULL);
}

static void put_choice(lw_json *j, json_t *root, const lw_words_choice *choice)
{
    lw_json_text(j, root, "units", choice->units == LW_UNITS_SI ? "si" : "us");
    lw_json_text(j, root, "clock", choice->is_12_hour ? "12" : "24");
}

lw_code lw_ask_state(lw_asked *a, lw_err *err)
{
    static const char *const USE[] = {
        [LW_BOOK_IS_EMPTY] = "empty", [LW_BOOK_IS_DEMO] = "demo", [LW_BOOK_IS_OWN] = "own"};
    lw_words_choice choice = {.units = LW_UNITS_US};
    lw_book_use use = LW_BOOK_IS_EMPTY;
    lw_kept_stays stays = {0};
    int64_t changes = 0;
    lw_code code = lw_asked_want_params(a, NO_KEYS, err);
    code = code ? code : lw_asked_choice(a, &choice, err);
    code = code ? code : lw_book_use_of(a->book, &use, err);
    code = code ? code : lw_book_changes(a->book, &changes, err);
    code = code ? code : lw_book_current_stay(a->book, a->ask->now_s, &stays, err);
    if (code)
        return code;
    lw_json j = {0};
    json_t *root = lw_json_object(&j);
    lw_json_text(&j, root, "schema", "leeway.state/1");
    lw_json_text(&j, root, "program", a->ask->version);
    if (stays.count > 0)
        code = put_stay(a, &j, root, &stays.stay[0], err);
    else
        put_no_stay(a, &j, root);
    put_choice(&j, root, &choice);
    lw_json_text(&j, root, "book", USE[use]);
    lw_json_flag(&j, root, "is_clock_doubted", a->ask->clock.is_doubted);
    lw_json_flag(&j, root, "is_read_only", lw_book_mode_of(a->book) == LW_BOOK_READ_ONLY);
    lw_json_count(&j, root, "changes", changes);
    lw_kept_stays_clear(&stays);
    if (!code)
        return lw_asked_reply_json(a, &j, root, err);
    json_decref(root);
    return code;
}

/* ---- settings ---- */

lw_code lw_ask_settings(lw_asked *a, lw_err *err)
{
    lw_words_choice choice = {.units = LW_UNITS_US};
    lw_code code = lw_asked_want_params(a, NO_KEYS, err);
    code = code ? code : lw_asked_choice(a, &choice, err);
    if (code)
        return code;
    lw_json j = {0};
    json_t *root = lw_json_object(&j);
    lw_json_text(&j, root, "schema", "leeway.settings/1");
    put_choice(&j, root, &choice);
    return lw_asked_reply_json(a, &j, root, err);
}

static lw_code set(lw_asked *a, const json_t *root, const char *key, const char *one, const char *other, lw_err *err)
{
    const char *text;
    const lw_code code = lw_asked_text(a, root, key, &text, err);
    if (code || !text)
        return code;
    if (strcmp(text, one) != 0 && strcmp(text, other) != 0)
        return lw_fail(err, LW_E_RANGE, "%s is %s or %s, not %s", key, one, other, lw_quoted(text, strlen(text)).text);
    return lw_book_set(a->book, key, text, err);
}

lw_code lw_ask_put_settings(lw_asked *a, lw_err *err)
{
    json_t *root = NULL;
    lw_code code = lw_asked_want_params(a, NO_KEYS, err);
    code = code ? code : lw_asked_body(a, &root, err);
    if (!code) {
        code = lw_book_begin(a->book, err);
        if (!code) {
            code = set(a, root, "units", "us", "si", err);
            code = code ? code : set(a, root, "clock", "12", "24", err);
            code = lw_book_end(a->book, code, err);
        }
    }
    json_decref(root);
    return code ? code : lw_ask_settings(a, err);
}

/* ---- a stay ---- */

static lw_code take_scenario(lw_asked *a, json_t **root, lw_scenario_from *from, lw_err *err)
{
    const char *text = NULL;
    lw_code code = lw_asked_want_params(a, NO_KEYS, err);
    code = code ? code : lw_asked_body(a, root, err);
    code = code ? code : lw_asked_text(a, *root, "scenario", &text, err);
    if (!code && !text) {
        a->reply->status = 400;
        return lw_fail(err, LW_E_MISSING, "scenario is to be the text of a scenario, in YAML or JSON");
    }
    if (code)
        return code;
    *from = (lw_scenario_from){.path = "scenario", .bytes = text, .size = strlen(text), .now_s = a->ask->now_s};
    return LW_OK;
}

static void add_says(lw_json *j, json_t *says, const char *text)
{
    json_t *made = json_string(text);
    lw_json_add(j, says, made ? made : json_string("?"));
}

static char *begun_json(const lw_begun *begun)
{
    lw_json j = {.zone = &begun->zone};
    json_t *root = lw_json_object(&j), *says = lw_json_array(&j);
    char text[LW_SENTENCE], when[LW_WHEN];
    lw_json_text(&j, root, "schema", "leeway.begun/1");
    lw_json_text(&j, root, "rig", begun->rig_name);
    lw_json_text(&j, root, "place", begun->place_name);
    put_local(&j, root, "from", &begun->zone, begun->arrival_s);
    if (begun->departure_s)
        put_local(&j, root, "until", &begun->zone, begun->departure_s);
    else
        lw_json_text(&j, root, "until", NULL);
    snprintf(text, sizeof text, "The book now follows your stay at %s with %s, from %s.", begun->place_name,
             begun->rig_name, lw_when_print(when, sizeof when, &begun->zone, begun->arrival_s, 0));
    add_says(&j, says, text);
    if (begun->is_same)
        add_says(&j, says, "It is the stay that was going on: what you have read stays with it.");
    if (begun->ended_stay)
        add_says(&j, says, "The stay that was going on has ended there.");
    lw_json_put(&j, root, "says", says);
    return lw_json_finish(&j, root, 1);
}

lw_code lw_ask_begin(lw_asked *a, lw_err *err)
{
    json_t *root = NULL;
    lw_scenario_from from = {.path = NULL};
    lw_begun *begun = malloc(sizeof *begun);
    lw_code code = begun ? take_scenario(a, &root, &from, err) : lw_fail(err, LW_E_FULL, "not enough memory");
    code = code ? code : lw_household_want_no_files(a->book, &from, err);
    code = code ? code : lw_household_begin_from(a->book, &from, begun, err);
    if (!code && begun)
        code = lw_asked_reply(a, begun_json(begun), err);
    json_decref(root);
    free(begun);
    return code;
}

static char *checked_json(const lw_loaded *loaded, const lw_err *found)
{
    lw_json j = {0};
    json_t *root = lw_json_object(&j), *says = lw_json_array(&j), *assumptions = lw_json_array(&j);
    char text[sizeof found->where + sizeof found->text + 4];
    lw_json_text(&j, root, "schema", "leeway.checked/1");
    const char *space = strrchr(found->where, ' ');
    lw_json_flag(&j, root, "is_right", !found->code);
    lw_json_text(&j, root, "key", found->code ? (space ? space + 1 : found->where) : NULL);
    lw_json_text(&j, root, "text", found->code ? found->text : NULL);
    snprintf(text, sizeof text, "%s%s%s", found->where, found->where[0] ? ": " : "", found->text);
    if (found->code)
        add_says(&j, says, text);
    for (int i = 0; i < loaded->note_count && !found->code; i++) {
        char note[sizeof loaded->note->where + sizeof loaded->note->text + 4];
        const lw_note *n = &loaded->note[i];
        snprintf(note, sizeof note, "%s%s%s", n->where, n->where[0] ? ": " : "", n->text);
        add_says(&j, says, note);
    }
    for (int i = 0; i < loaded->assumption_count && !found->code; i++)
        lw_json_add(&j, assumptions, lw_json_assumption(&j, &loaded->assumption[i]));
    lw_json_put(&j, root, "says", says);
    lw_json_put(&j, root, "assumptions", assumptions);
    return lw_json_finish(&j, root, 1);
}

lw_code lw_ask_check(lw_asked *a, lw_err *err)
{
    json_t *root = NULL;
    lw_scenario_from from = {.path = NULL};
    lw_err found = {0};
    lw_loaded *loaded = calloc(1, sizeof *loaded);
    lw_code code = loaded ? take_scenario(a, &root, &from, err) : lw_fail(err, LW_E_FULL, "not enough memory");
    if (!code && loaded && !lw_household_want_no_files(a->book, &from, &found) &&
        lw_scenario_load(&from, loaded, &found))
        *loaded = (lw_loaded){0};
    if (!code && loaded)
        code = lw_asked_reply(a, checked_json(loaded, &found), err);
    if (loaded)
        lw_loaded_clear(loaded);
    free(loaded);
    json_decref(root);
    return code;
}

lw_code lw_ask_scenario(lw_asked *a, lw_err *err)
{
    char *text = NULL;
    lw_code code = lw_asked_want_params(a, NO_KEYS, err);
    code = code ? code : lw_household_scenario(a->book, a->ask->now_s, &text, err);
    if (code == LW_E_MISSING)
        a->reply->status = 409;
    if (code)
        return code;
    lw_json j = {0};
    json_t *root = lw_json_object(&j);
    lw_json_text(&j, root, "schema", "leeway.scenario/1");
    lw_json_text(&j, root, "scenario", text);
    free(text);
    return lw_asked_reply_json(a, &j, root, err);
}

/* ---- ready-made rigs ---- */

typedef struct rig_row {
    const lw_table *table;
    int row;
    lw_unit_system units;
} rig_row;

/* The cell in a person's unit; 0: nothing of it. */
static int put_cell(char *buf, size_t n, const rig_row *r, const char *column, lw_dim dim, double per_cell, lw_err *err)
{
    double value;
    buf[0] = '\0';
    if (lw_table_number(r->table, r->row, column, &value, err) || !(value > 0.0))
        return 0;
    const double si = value * per_cell;
    if (dim == LW_DIM_VOLUME && r->units == LW_UNITS_US) /* typical, so no tenths of a gallon */
        (void)lw_quantity_print_in(buf, n, si, lw_unit_find(LW_DIM_VOLUME, "gal", 3), 0);
    else
        (void)lw_quantity_print(buf, n, si, dim, r->units);
    return 1;
}

static void add_cell(lw_json *j, json_t *o, const char *key, const rig_row *r, const char *column, lw_dim dim,
                     lw_err *err)
{
    char text[LW_QUANTITY_BYTES];
    lw_json_text(j, o, key, put_cell(text, sizeof text, r, column, dim, 1.0, err) ? text : "none");
}

static json_t *rig_json(lw_json *j, const rig_row *r, lw_err *err)
{
    json_t *rig = lw_json_object(j), *tanks = lw_json_object(j), *battery = lw_json_object(j);
    char text[LW_QUANTITY_BYTES], gas[LW_QUANTITY_BYTES + 16];
    double cylinders = 1.0;
    lw_json_text(j, rig, "kind", lw_table_cell(r->table, r->row, "id"));
    add_cell(j, tanks, "fresh", r, "fresh_l", LW_DIM_VOLUME, err);
    add_cell(j, tanks, "grey", r, "grey_l", LW_DIM_VOLUME, err);
    add_cell(j, tanks, "black", r, "black_l", LW_DIM_VOLUME, err);
    lw_json_put(j, rig, "tanks", tanks);
    add_cell(j, rig, "drinking", r, "drinking_l", LW_DIM_VOLUME, err);
    if (!lw_table_number(r->table, r->row, "cylinders", &cylinders, err) &&
        put_cell(text, sizeof text, r, "propane_kg", LW_DIM_MASS, 1.0 / cylinders, err)) {
        snprintf(gas, sizeof gas, "%d x %s", (int)cylinders, text);
        lw_json_text(j, rig, "propane", gas);
    }
    lw_json_text(j, battery, "chemistry", lw_table_cell(r->table, r->row, "battery_chemistry"));
    snprintf(text, sizeof text, "%s Ah", lw_table_cell(r->table, r->row, "battery_ah"));
    lw_json_text(j, battery, "capacity", text);
    lw_json_put(j, rig, "battery", battery);
    add_cell(j, rig, "solar", r, "solar_w", LW_DIM_POWER, err);
    if (put_cell(text, sizeof text, r, "generator_w", LW_DIM_POWER, 1.0, err)) {
        json_t *generator = lw_json_object(j);
        lw_json_text(j, generator, "rated", text);
        lw_json_text(j, generator, "fuel", lw_table_cell(r->table, r->row, "generator_fuel"));
        lw_json_put(j, rig, "generator", generator);
        add_cell(j, rig, "fuel", r, "fuel_l", LW_DIM_VOLUME, err);
    } else
        lw_json_text(j, rig, "generator", "none");
    add_cell(j, rig, "inverter", r, "inverter_w", LW_DIM_POWER, err);
    return rig;
}

/* "Trailer, 26 ft": whole feet, or metres. */
static void add_label(lw_json *j, json_t *o, const rig_row *r, lw_err *err)
{
    char text[LW_RIG_LABEL], length[LW_QUANTITY_BYTES];
    double length_m;
    const lw_unit *feet = lw_unit_find(LW_DIM_LENGTH, "ft", 2);
    const char *title = lw_table_cell(r->table, r->row, "title");
    if (lw_table_number(r->table, r->row, "length_m", &length_m, err) || !(length_m > 0.0))
        snprintf(text, sizeof text, "%.60s", title);
    else if (r->units == LW_UNITS_US)
        snprintf(text, sizeof text, "%.60s, %s", title, lw_quantity_print_in(length, sizeof length, length_m, feet, 0));
    else
        snprintf(text, sizeof text, "%.60s, %s", title,
                 lw_quantity_print(length, sizeof length, length_m, LW_DIM_LENGTH, LW_UNITS_SI));
    lw_json_text(j, o, "label", text);
}

lw_code lw_ask_starts(lw_asked *a, lw_err *err)
{
    lw_table table = {0};
    lw_words_choice choice = {.units = LW_UNITS_US};
    lw_code code = lw_asked_want_params(a, NO_KEYS, err);
    code = code ? code : lw_asked_choice(a, &choice, err);
    code = code ? code : lw_table_open("rigs", &table, err);
    if (code)
        return code;
    lw_json j = {0};
    json_t *root = lw_json_object(&j), *list = lw_json_array(&j);
    lw_json_text(&j, root, "schema", "leeway.starts/1");
    for (int i = 0; i < table.rows && !err->code; i++) {
        json_t *o = lw_json_object(&j);
        lw_json_text(&j, o, "id", lw_table_cell(&table, i, "id"));
        add_label(&j, o, &(rig_row){&table, i, choice.units}, err);
        lw_json_flag(&j, o, "typical", 1);
        lw_json_text(&j, o, "toilet", lw_table_cell(&table, i, "toilet"));
        lw_json_put(&j, o, "rig", rig_json(&j, &(rig_row){&table, i, choice.units}, err));
        lw_json_add(&j, list, o);
    }
    lw_json_put(&j, root, "starts", list);
    lw_table_clear(&table);
    if (!err->code)
        return lw_asked_reply_json(a, &j, root, err);
    json_decref(root);
    return err->code;
}

/* ---- the demo ---- */

lw_code lw_ask_demo(lw_asked *a, lw_err *err)
{
    lw_code code = lw_asked_want_params(a, NO_KEYS, err);
    code = code ? code : lw_demo_begin(a->book, a->ask->now_s, err);
    return code ? code : lw_ask_state(a, err);
}

lw_code lw_ask_end_demo(lw_asked *a, lw_err *err)
{
    lw_code code = lw_asked_want_params(a, NO_KEYS, err);
    code = code ? code : lw_demo_end(a->book, err);
    return code ? code : lw_ask_state(a, err);
}

/* ---- devices ---- */

lw_code lw_ask_devices(lw_asked *a, lw_err *err)
{
    lw_devices devices = {0};
    lw_code code = lw_asked_want_params(a, NO_KEYS, err);
    code = code ? code : lw_book_list_devices(a->book, &devices, err);
    if (code)
        return code;
    lw_json j = {0};
    json_t *root = lw_json_object(&j), *list = lw_json_array(&j);
    lw_json_text(&j, root, "schema", "leeway.devices/1");
    for (size_t i = 0; i < devices.count; i++) {
        char at[48];
        const lw_device *d = &devices.device[i];
        json_t *o = lw_json_object(&j);
        lw_json_count(&j, o, "id", d->id);
        lw_json_text(&j, o, "name", d->name);
        lw_json_text(&j, o, "paired", lw_instant_print(at, sizeof at, (double)d->paired_s, 0));
        lw_json_text(&j, o, "seen",
                     d->seen_s == LW_NO_TIME ? NULL : lw_instant_print(at, sizeof at, (double)d->seen_s, 0));
        lw_json_add(&j, list, o);
    }
    lw_json_put(&j, root, "devices", list);
    lw_devices_clear(&devices);
    return lw_asked_reply_json(a, &j, root, err);
}

lw_code lw_ask_revoke(lw_asked *a, lw_err *err)
{
    double id;
    if (!lw_decimal_parse(a->rest, a->rest + strlen(a->rest), &id) || !(id >= 1.0 && id <= 1e15)) {
        a->reply->status = 404;
        return lw_fail(err, LW_E_MISSING, "there is no such device");
    }
    const lw_code code = lw_book_revoke_device(a->book, (int64_t)id, err);
    if (code == LW_E_MISSING)
        a->reply->status = 404;
    return code ? code : lw_ask_devices(a, err);
}
