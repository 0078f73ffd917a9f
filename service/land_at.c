#include "service/land_at.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/tables.h"
#include "service/json.h"
#include "text/moment.h"
#include "text/say.h"

struct lw_land_tables {
    lw_table managers, rules;
};

void lw_land_here_clear(lw_land_here *here)
{
    lw_kept_lands_clear(&here->lands);
    if (here->tables) {
        lw_table_clear(&here->tables->managers);
        lw_table_clear(&here->tables->rules);
    }
    free(here->tables);
    free(here->told);
    *here = (lw_land_here){0};
}

static lw_land_told tell(const struct lw_land_tables *of, const char *manager)
{
    const int row = lw_table_row(&of->managers, "id", manager ? manager : ""),
              rule = lw_table_row(&of->rules, "id", lw_table_cell(&of->managers, row, "stay_rule"));
    static const char *const NUMBERS[] = {"days", "consecutive_days", "year_days"};
    int has_number = 0;
    for (size_t i = 0; i < sizeof NUMBERS / sizeof NUMBERS[0]; i++)
        has_number |= lw_table_cell(&of->rules, rule, NUMBERS[i])[0] != '\0';
    return (lw_land_told){lw_table_cell(&of->managers, row, "title"),
                          lw_table_cell(&of->managers, row, "note"),
                          lw_table_cell(&of->rules, rule, "id"),
                          lw_table_cell(&of->rules, rule, "title"),
                          lw_table_cell(&of->rules, rule, "authority"),
                          lw_table_cell(&of->rules, rule, "note"),
                          lw_table_cell(&of->rules, rule, "source"),
                          lw_table_cell(&of->rules, rule, "kind"),
                          has_number};
}

lw_code lw_land_at(lw_book *book, lw_spot spot, lw_land_here *here, lw_err *err)
{
    lw_fault fault;
    *here = (lw_land_here){.spot = spot, .tables = calloc(1, sizeof *here->tables)};
    if (!here->tables)
        return lw_fail(err, LW_E_FULL, "no memory for land");
    lw_code code = lw_spot_check(&spot, &fault) ? lw_fault_say(&fault, err) : LW_OK;
    code = code ? code : lw_table_open("land_managers", &here->tables->managers, err);
    code = code ? code : lw_table_open("stay_rules", &here->tables->rules, err);
    code = code ? code : lw_book_lands_count(book, &here->known, err);
    code = code ? code : lw_book_lands_at(book, spot, &here->lands, err);
    here->told = code ? NULL : calloc(here->lands.count + 1, sizeof *here->told);
    if (!code && !here->told)
        code = lw_fail(err, LW_E_FULL, "no memory for land");
    for (size_t i = 0; here->told && i < here->lands.count; i++)
        here->told[i] = tell(here->tables, here->lands.land[i].manager);
    if (code)
        lw_land_here_clear(here);
    return code;
}

char *lw_land_say(const lw_land_here *here, size_t i, char buf[LW_LAND_LINE])
{
    const lw_kept_land *land = &here->lands.land[i];
    const char *title = here->told[i].title;
    const char *who = *title ? title : land->said ? land->said : "manager not said";
    snprintf(buf, LW_LAND_LINE, "%.150s%s%.150s", who, land->name ? ", " : "", land->name ? land->name : "");
    return buf;
}

/* PAD-US, domain Pub_Access. */
const char *lw_land_access_say(const lw_kept_land *land)
{
    static const struct {
        const char *code, *said;
    } WORDS[] = {{"OA", "open"}, {"RA", "with restrictions"}, {"XA", "closed"}, {"UK", "not known"}};
    for (size_t i = 0; land->access && i < sizeof WORDS / sizeof WORDS[0]; i++)
        if (strcmp(land->access, WORDS[i].code) == 0)
            return WORDS[i].said;
    return land->access ? land->access : "";
}

const char *lw_land_ask(const lw_land_here *here)
{
    if (here->known == 0)
        return "The book has no map of land managers yet: import one. Until then ask the local office whose land it "
               "is.";
    if (here->lands.count == 0)
        return "No map in the book says whose land this is. It may be private: ask before you stay.";
    return "Ask the local office: a map says who manages the land, not whether or how long you may stay; the order of "
           "the office and "
           "the sign at the entrance win.";
}

/* ---- JSON ---- */

static json_t *rule_json(lw_json *j, const lw_land_told *told)
{
    if (!*told->rule)
        return json_null();
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "id", told->rule);
    lw_json_text(j, o, "title", told->rule_title);
    lw_json_text(j, o, "authority", told->rule_authority);
    lw_json_text(j, o, "note", told->rule_note);
    lw_json_text(j, o, "source", told->rule_source);
    lw_json_text(j, o, "kind", told->rule_kind);
    return o;
}

static json_t *land_json(lw_json *j, const lw_land_here *here, size_t i)
{
    const lw_kept_land *land = &here->lands.land[i];
    char at[40];
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "manager", land->manager);
    lw_json_text(j, o, "manager_title", here->told[i].title);
    lw_json_text(j, o, "manager_note", here->told[i].note);
    lw_json_text(j, o, "said", land->said);
    lw_json_text(j, o, "name", land->name);
    lw_json_text(j, o, "designation", land->designation);
    lw_json_text(j, o, "access", lw_land_access_say(land));
    lw_json_flag(j, o, "is_on_border", land->where == LW_ON_BORDER);
    lw_json_number(j, o, "border_m", land->border_m, 0);
    lw_json_put(j, o, "usual_rule", rule_json(j, &here->told[i]));
    lw_json_text(j, o, "source", land->source);
    lw_json_text(j, o, "credit", land->credit);
    lw_json_text(j, o, "imported", lw_instant_print(at, sizeof at, (double)land->imported_s, 0));
    return o;
}

char *lw_land_json(const lw_land_here *here, const char *version)
{
    lw_json j = {.zone = NULL};
    json_t *root = lw_json_object(&j), *rows = lw_json_array(&j);
    lw_json_text(&j, root, "schema", "leeway.land/1");
    lw_json_text(&j, root, "program", version ? version : "unknown");
    lw_json_number(&j, root, "latitude_deg", here->spot.latitude_deg, 6);
    lw_json_number(&j, root, "longitude_deg", here->spot.longitude_deg, 6);
    lw_json_count(&j, root, "areas_known", here->known);
    for (size_t i = 0; i < here->lands.count; i++)
        lw_json_add(&j, rows, land_json(&j, here, i));
    lw_json_put(&j, root, "lands", rows);
    lw_json_text(&j, root, "ask", lw_land_ask(here));
    return lw_json_finish(&j, root, 0);
}
