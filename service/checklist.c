#include "service/checklist.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/house/disinfect.h"
#include "exchange/tables.h"
#include "service/words_internal.h"
#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

/* ---- names ---- */

static const char *const NAME[] = {
#define NAME_OF(id, name, title) name,
    LW_CHECKLISTS(NAME_OF)
#undef NAME_OF
};

const char *lw_checklist_name(lw_checklist_id id)
{
    return NAME[id];
}

const char *lw_checklist_title(lw_checklist_id id)
{
    static const char *const TITLE[] = {
#define TITLE_OF(id, name, title) title,
        LW_CHECKLISTS(TITLE_OF)
#undef TITLE_OF
    };
    return TITLE[id];
}

/* "sanitizing" is sanitising. */
static int is_beginning(const char *typed, const char *name)
{
    for (size_t i = 0; typed[i]; i++)
        if (typed[i] != name[i] && !(typed[i] == 'z' && name[i] == 's'))
            return 0;
    return typed[0] != '\0';
}

lw_code lw_checklist_find(const char *typed, lw_checklist_id *id, lw_err *err)
{
    for (int i = 0; i < LW_CHECKLIST_COUNT; i++)
        if (is_beginning(typed, NAME[i])) { /* no two begin alike */
            *id = (lw_checklist_id)i;
            return LW_OK;
        }
    char list[120] = "";
    for (int i = 0; i < LW_CHECKLIST_COUNT; i++) {
        const size_t used = strlen(list);
        snprintf(list + used, sizeof list - used, "%s%s", i ? ", " : "", NAME[i]);
    }
    const char *near = lw_nearest(typed, NAME, LW_CHECKLIST_COUNT);
    const lw_quoted_text quoted = lw_quoted(typed, strlen(typed));
    return near ? lw_fail(err, LW_E_MISSING, "there is no checklist %s; did you mean %s?", quoted.text, near)
                : lw_fail(err, LW_E_MISSING, "there is no checklist %s; there are %s", quoted.text, list);
}

/* ---- the dose ---- */

static lw_code make_doses(const lw_checklist_in *in, lw_checklist *list, lw_err *err)
{
    const lw_rig *rig = &in->loaded->scenario->rig;
    list->is_bleach_assumed = isnan(in->bleach_pct);
    list->bleach_pct = list->is_bleach_assumed ? LW_BLEACH_USUAL_PCT : in->bleach_pct;
    for (int v = 0; v < rig->vessel_count; v++) {
        lw_dose_in dose = {rig->vessel[v].capacity, LW_TANK_MGPL, list->bleach_pct};
        lw_fault fault = {0};
        lw_dose_out middle, strong, weak;
        if (rig->vessel[v].supply != LW_SUPPLY_FRESH)
            continue;
        if (lw_dose_check(&dose, &fault))
            return lw_fault_say(&fault, err);
        lw_dose(&dose, &middle);
        dose.bleach_pct = list->is_bleach_assumed ? LW_BLEACH_STRONG_PCT : list->bleach_pct;
        lw_dose(&dose, &strong);
        dose.bleach_pct = list->is_bleach_assumed ? LW_BLEACH_WEAK_PCT : list->bleach_pct;
        lw_dose(&dose, &weak);
        list->dose[list->dose_count++] =
            (lw_check_dose){.vessel = v, .bleach_ml = middle.ml, .least_ml = strong.ml, .most_ml = weak.ml};
    }
    return LW_OK;
}

static const char *bleach_say(double ml, lw_unit_system units, char *buf, size_t n)
{
    static const double ML_PER_FLOZ = 29.5735295625; /* NIST SP 811 */
    char number[LW_DECIMAL_BYTES], si[LW_DECIMAL_BYTES];
    lw_decimal_print_digits(si, sizeof si, ml, 2);
    lw_decimal_print_digits(number, sizeof number, ml / ML_PER_FLOZ, 2);
    if (units == LW_UNITS_SI)
        snprintf(buf, n, "%s mL", si);
    else
        snprintf(buf, n, "%s fl oz (%s mL)", number, si);
    return buf;
}

static void put_dose(const lw_checklist_in *in, const lw_checklist *list, lw_line *to)
{
    char amount[64], other[64], holds[LW_QUANTITY_BYTES];
    for (int i = 0; i < list->dose_count; i++) {
        const lw_check_dose *d = &list->dose[i];
        const lw_vessel *vessel = &in->loaded->scenario->rig.vessel[d->vessel];
        lw_line_add(to, "\n%s, %s: %s of %s %% bleach", vessel->name,
                    lw_amount_print(holds, sizeof holds, LW_SUPPLY_FRESH, vessel->capacity, in->units),
                    bleach_say(d->bleach_ml, in->units, amount, sizeof amount), lw_num(list->bleach_pct).text);
        if (list->is_bleach_assumed)
            lw_line_add(to, "; or %s of %s %%, %s of %s %%", bleach_say(d->least_ml, in->units, amount, sizeof amount),
                        lw_num(LW_BLEACH_STRONG_PCT).text, bleach_say(d->most_ml, in->units, other, sizeof other),
                        lw_num(LW_BLEACH_WEAK_PCT).text);
    }
    lw_line_add(to, "\nThat gives %s mg/L of chlorine in a full tank; pipes and water heater are not counted in.",
                lw_num(LW_TANK_MGPL).text);
    if (list->is_bleach_assumed)
        lw_line_add(to, " How strong yours is the label says; %s %% is assumed, and old bleach is weaker.",
                    lw_num(list->bleach_pct).text);
}

/* The row's text with what is reckoned put in. */
static void put_text(const lw_checklist_in *in, const lw_checklist *list, const char *text, char *buf, size_t n)
{
    lw_line to = lw_line_of(buf, n);
    for (const char *at = text; *at;) {
        const size_t plain = strcspn(at, "{");
        lw_line_add(&to, "%.*s", (int)plain, at);
        at += plain;
        if (strncmp(at, "{dose}", 6) == 0) {
            put_dose(in, list, &to);
            at += 6;
        } else if (strncmp(at, "{stand}", 7) == 0) {
            lw_line_add(&to, "%s hours or longer", lw_num(LW_TANK_STAND_H).text);
            at += 7;
        } else if (*at) {
            lw_line_add(&to, "%c", *at++);
        }
    }
}

/* ---- items ---- */

static lw_code add_caution(const lw_table *cautions, const char *id, lw_checklist *list, lw_err *err)
{
    for (int i = 0; i < list->caution_count; i++)
        if (strcmp(list->caution[i].id, id) == 0)
            return LW_OK;
    const int row = lw_table_row(cautions, "id", id);
    if (row < 0 || list->caution_count == LW_CHECK_CAUTIONS)
        return lw_fail(err, LW_E_SYNTAX, "data/checklists.csv: there is no caution %s, or too many", id);
    lw_check_caution *to = &list->caution[list->caution_count++];
    snprintf(to->id, sizeof to->id, "%.31s", id);
    snprintf(to->title, sizeof to->title, "%.63s", lw_table_cell(cautions, row, "title"));
    snprintf(to->text, sizeof to->text, "%.*s", LW_CHECK_TEXT - 1, lw_table_cell(cautions, row, "text"));
    snprintf(to->source, sizeof to->source, "%.*s", LW_CHECK_SOURCE - 1, lw_table_cell(cautions, row, "source"));
    return LW_OK;
}

static lw_code add_item(const lw_checklist_in *in, const lw_table *table, int row, const lw_table *cautions,
                        lw_checklist *list, lw_err *err)
{
    const char *id = lw_table_cell(table, row, "id"), *caution = lw_table_cell(table, row, "caution");
    const int has = lw_checklist_has(in->loaded, lw_table_cell(table, row, "if"));
    if (has < -1 || list->count == LW_CHECK_ITEMS)
        return lw_fail(err, LW_E_SYNTAX, "data/checklists.csv: %s asks for a part that is none, or is one too many",
                       id);
    if (has == 0)
        return LW_OK;
    lw_check_item *to = &list->item[list->count++];
    *to = (lw_check_item){.is_unsure = has < 0, .ticked_s = LW_NO_TIME};
    snprintf(to->id, sizeof to->id, "%.31s", id);
    put_text(in, list, lw_table_cell(table, row, "text"), to->text, sizeof to->text);
    snprintf(to->caution, sizeof to->caution, "%.31s", caution);
    snprintf(to->source, sizeof to->source, "%.*s", LW_CHECK_SOURCE - 1, lw_table_cell(table, row, "source"));
    snprintf(to->kind, sizeof to->kind, "%.23s", lw_table_cell(table, row, "kind"));
    return *caution ? add_caution(cautions, caution, list, err) : LW_OK;
}

lw_code lw_checklist_make(const lw_checklist_in *in, lw_checklist *list, lw_err *err)
{
    lw_table table = {0}, cautions = {0};
    memset(list, 0, sizeof *list);
    list->id = in->id;
    list->since_s = LW_NO_TIME;
    lw_code code = in->id == LW_CHECKLIST_SANITISING ? make_doses(in, list, err) : LW_OK;
    code = code ? code : lw_table_open("checklists", &table, err);
    code = code ? code : lw_table_open("cautions", &cautions, err);
    for (int row = 0; row < table.rows && !code; row++)
        if (strcmp(lw_table_cell(&table, row, "list"), NAME[in->id]) == 0)
            code = add_item(in, &table, row, &cautions, list, err);
    lw_table_clear(&table);
    lw_table_clear(&cautions);
    return code;
}

/* ---- ticks ---- */

/* Behind "leaving/"; NULL: of another list. "" is a fresh start. */
static const char *item_of(const lw_checklist *list, const char *target)
{
    const size_t n = strlen(NAME[list->id]);
    if (!target || strncmp(target, NAME[list->id], n) != 0)
        return NULL;
    return target[n] == '/' ? target + n + 1 : target[n] == '\0' ? "" : NULL;
}

static void count_ticks(lw_checklist *list)
{
    list->ticked = 0;
    for (int i = 0; i < list->count; i++)
        list->ticked += list->item[i].is_ticked;
}

lw_code lw_checklist_take_ticks(lw_book *book, int64_t stay, lw_checklist *list, lw_err *err)
{
    lw_entries entries = {0};
    int64_t fresh_seq = 0, seq[LW_CHECK_ITEMS] = {0};
    const lw_code code =
        lw_book_history(book, &(lw_history){.stay = stay, .kinds = 1u << LW_ENTRY_TICK}, &entries, err);
    for (size_t e = 0; e < entries.count && !code; e++) {
        const lw_entry *entry = &entries.entry[e];
        const char *id = item_of(list, entry->target);
        if (id && !*id && entry->seq > fresh_seq) {
            fresh_seq = entry->seq;
            list->since_s = entry->stated_s;
        }
        for (int i = 0; id && i < list->count; i++)
            if (strcmp(list->item[i].id, id) == 0 && entry->seq > seq[i]) {
                seq[i] = entry->seq;
                list->item[i].is_ticked = entry->amount > 0.0;
                list->item[i].ticked_s = list->item[i].is_ticked ? entry->stated_s : LW_NO_TIME;
            }
    }
    for (int i = 0; i < list->count && !code; i++)
        if (seq[i] < fresh_seq) {
            list->item[i].is_ticked = 0;
            list->item[i].ticked_s = LW_NO_TIME;
        }
    count_ticks(list);
    lw_entries_clear(&entries);
    return code;
}

static lw_entry new_tick(const lw_checklist_marks *marks, const char *target, double amount)
{
    return (lw_entry){.stay = marks->stay,
                      .stated_s = marks->stated_s,
                      .device_s = marks->device_s,
                      .server_s = marks->device_s,
                      .kind = LW_ENTRY_TICK,
                      .device = marks->device,
                      .target = target,
                      .low = NAN,
                      .high = NAN,
                      .amount = amount,
                      .is_clock_doubted = marks->is_clock_doubted};
}

lw_code lw_checklist_mark(lw_book *book, const lw_checklist_marks *marks, lw_checklist *list, lw_err *err)
{
    char target[LW_CHECK_ITEMS][2 * LW_NAME];
    lw_entry entry[LW_CHECK_ITEMS + 1];
    size_t count = 0;
    if (marks->is_fresh_start)
        entry[count++] = new_tick(marks, NAME[list->id], NAN);
    for (int i = 0; i < list->count; i++) {
        const int was = list->item[i].is_ticked && !marks->is_fresh_start;
        const int is_on = marks->ticked >> i & 1u, is_off = marks->unticked >> i & 1u;
        if ((!is_on || was) && (!is_off || !was))
            continue;
        snprintf(target[i], sizeof target[i], "%s/%s", NAME[list->id], list->item[i].id);
        entry[count++] = new_tick(marks, target[i], is_on ? 1.0 : 0.0);
    }
    const lw_code code = count ? lw_book_append(book, entry, count, err) : LW_OK;
    return code ? code : lw_checklist_take_ticks(book, marks->stay, list, err);
}

char *lw_checklist_entry_say(const lw_entry *entry, char *buf, size_t n)
{
    const char *target = entry->target ? entry->target : "", *slash = strchr(target, '/');
    if (!slash)
        snprintf(buf, n, "checklist %s: begun again", target);
    else
        snprintf(buf, n, "checklist %.*s: %s %s", (int)(slash - target), target, slash + 1,
                 entry->amount > 0.0 ? "ticked" : "not ticked any more");
    return buf;
}
