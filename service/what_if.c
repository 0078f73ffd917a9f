#include "service/what_if.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "service/json.h"
#include "service/words_internal.h"
#include "text/decimal.h"

static const double SAME_DAYS = 0.05; /* less than the tenth of a day that is shown */

static double tenths(double days)
{
    return nearbyint(days * 10.0) / 10.0;
}

static void say_days(double days, int is_beyond, char *buf, size_t n)
{
    snprintf(buf, n, "%s%s", is_beyond ? ">= " : "", lw_num(tenths(days)).text);
}

static void say_difference(lw_what_if_row *r)
{
    const double shown = tenths(r->difference_days);
    const char *sign = shown > 0.0 ? "+" : "";
    if (r->bound == LW_BOUND_UNKNOWN)
        snprintf(r->difference, sizeof r->difference, "%s", r->had && r->has ? "not known" : "");
    else if (r->bound == LW_BOUND_EXACT && fabs(r->difference_days) < SAME_DAYS)
        snprintf(r->difference, sizeof r->difference, "same");
    else
        snprintf(r->difference, sizeof r->difference, "%s%s%s",
                 r->bound == LW_BOUND_AT_LEAST  ? ">= "
                 : r->bound == LW_BOUND_AT_MOST ? "<= "
                                                : "",
                 sign, lw_num(shown).text);
}

static lw_bound bound_of(const lw_what_if_row *r)
{
    if (!r->had || !r->has || (r->before_is_beyond && r->after_is_beyond))
        return LW_BOUND_UNKNOWN;
    if (r->after_is_beyond)
        return LW_BOUND_AT_LEAST;
    return r->before_is_beyond ? LW_BOUND_AT_MOST : LW_BOUND_EXACT;
}

static void say_row(lw_what_if_row *r)
{
    lw_line to = lw_line_of(r->sentence, sizeof r->sentence);
    const char *name = lw_supply_name(r->supply);
    const double size = tenths(fabs(r->difference_days));
    const char *days = size == 1.0 ? "day" : "days";
    if (!r->had || !r->has)
        lw_line_add(&to, "%s: only %s the change.", name, r->had ? "before" : "after");
    else if (r->bound == LW_BOUND_UNKNOWN)
        lw_line_add(&to, "%s: lasts past the horizon either way.", name);
    else if (r->bound == LW_BOUND_EXACT && size == 0.0)
        lw_line_add(&to, "%s: no change, %s days.", name, r->after);
    else
        lw_line_add(&to, "%s: %s days instead of %s, %s%s %s %s.", name, r->after, r->before,
                    r->bound == LW_BOUND_EXACT ? "" : "at least ", lw_num(size).text, days,
                    r->difference_days > 0.0 ? "more" : "less");
}

static void fill_row(const lw_outlook *before, const lw_outlook *after, lw_supply supply, lw_what_if_row *r)
{
    const lw_leeway *a = &before->leeway[supply], *b = &after->leeway[supply];
    *r = (lw_what_if_row){.supply = supply,
                          .had = a->is_present,
                          .has = b->is_present,
                          .before_days = a->q[1].days,
                          .after_days = b->q[1].days,
                          .before_is_beyond = a->q[1].beyond_horizon,
                          .after_is_beyond = b->q[1].beyond_horizon};
    r->bound = bound_of(r);
    if (r->bound != LW_BOUND_UNKNOWN)
        r->difference_days = r->after_days - r->before_days;
    if (r->had)
        say_days(r->before_days, r->before_is_beyond, r->before, sizeof r->before);
    if (r->has)
        say_days(r->after_days, r->after_is_beyond, r->after, sizeof r->after);
    say_difference(r);
    say_row(r);
}

static void set_stay(const lw_outlook *o, int *binding, double *days, int *is_beyond)
{
    *binding = o->binding;
    *is_beyond = o->binding < 0;
    *days = o->binding < 0 ? (double)(o->horizon_s - o->start_s) / 86400.0 : o->leeway[o->binding].q[1].days;
}

static const char *end_of(int binding, double days, int is_beyond, char *buf, size_t n)
{
    char name[64];
    if (binding >= 0)
        (void)lw_lower_first(lw_subject_say((lw_supply)binding), name, sizeof name);
    if (is_beyond)
        snprintf(buf, n, "nothing ends it within %s days", lw_num(tenths(days)).text);
    else
        snprintf(buf, n, "%s ends it after %s day%s", name, lw_num(tenths(days)).text, tenths(days) == 1.0 ? "" : "s");
    return buf;
}

static void say_headline(lw_what_if *w)
{
    char before[96], after[96];
    lw_line to = lw_line_of(w->headline, sizeof w->headline);
    end_of(w->binding_before, w->stay_before_days, w->stay_before_is_beyond, before, sizeof before);
    end_of(w->binding_after, w->stay_after_days, w->stay_after_is_beyond, after, sizeof after);
    const double gain = w->stay_after_days - w->stay_before_days;
    const double size = tenths(fabs(gain));
    const char *days = size == 1.0 ? "day" : "days";
    if (w->stay_before_is_beyond && w->stay_after_is_beyond)
        lw_line_add(&to, "No difference that can be seen: %s either way.", after);
    else if (size == 0.0 && !w->stay_before_is_beyond && !w->stay_after_is_beyond)
        lw_line_add(&to, "The stay is no longer and no shorter: %s.", after);
    else
        lw_line_add(&to, "The stay is %s%s %s %s: before, %s; after, %s.",
                    w->stay_before_is_beyond || w->stay_after_is_beyond ? "at least " : "", lw_num(size).text, days,
                    gain > 0.0 ? "longer" : "shorter", before, after);
}

void lw_what_if_make(const lw_outlook_answer *before, const lw_outlook_answer *after, const lw_words_choice *choice,
                     lw_what_if *out)
{
    const lw_outlook *a = before->outlook, *b = after->outlook;
    const lw_speaker old = {
        .outlook = a, .scenario = before->loaded.scenario, .loaded = &before->loaded, .choice = *choice};
    const lw_speaker new = {
        .outlook = b, .scenario = after->loaded.scenario, .loaded = &after->loaded, .choice = *choice};
    *out = (lw_what_if){.row_count = 0};
    for (int i = 0; i < b->order_count; i++) {
        const lw_supply k = (lw_supply)b->order[i];
        if (lw_is_of_concern(&old, k) || lw_is_of_concern(&new, k))
            fill_row(a, b, k, &out->row[out->row_count++]);
    }
    for (int i = 0; i < a->order_count; i++) /* gone with the change: last */
        if (!b->leeway[a->order[i]].is_present && lw_is_of_concern(&old, (lw_supply)a->order[i]))
            fill_row(a, b, (lw_supply)a->order[i], &out->row[out->row_count++]);
    set_stay(a, &out->binding_before, &out->stay_before_days, &out->stay_before_is_beyond);
    set_stay(b, &out->binding_after, &out->stay_after_days, &out->stay_after_is_beyond);
    say_headline(out);
}

/* ------------------------------------------------------------------ JSON */

static json_t *row_json(lw_json *j, const lw_what_if_row *r)
{
    static const char *const BOUND[] = {"exact", "at_least", "at_most", "unknown"};
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "supply", lw_supply_word(r->supply));
    lw_json_number(j, o, "before_days", r->had ? r->before_days : NAN, 3);
    lw_json_flag(j, o, "before_is_beyond", r->before_is_beyond);
    lw_json_number(j, o, "after_days", r->has ? r->after_days : NAN, 3);
    lw_json_flag(j, o, "after_is_beyond", r->after_is_beyond);
    lw_json_number(j, o, "difference_days", r->bound == LW_BOUND_UNKNOWN ? NAN : r->difference_days, 3);
    lw_json_text(j, o, "bound", BOUND[r->bound]);
    lw_json_text(j, o, "sentence", r->sentence);
    return o;
}

static void put_stay(lw_json *j, json_t *root, const char *key, int binding, double days, int is_beyond)
{
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "binding", binding >= 0 ? lw_supply_word((lw_supply)binding) : NULL);
    lw_json_number(j, o, "days", days, 3);
    lw_json_flag(j, o, "is_beyond", is_beyond);
    lw_json_put(j, root, key, o);
}

int lw_is_assumed_only_in(const lw_loaded *one, int assumption, const lw_loaded *other)
{
    const lw_assumption *a = &one->assumption[assumption];
    for (int i = 0; i < other->assumption_count; i++)
        if (strcmp(a->key, other->assumption[i].key) == 0 && strcmp(a->value, other->assumption[i].value) == 0)
            return 0;
    return 1;
}

static json_t *assumed_only(lw_json *j, const lw_loaded *one, const lw_loaded *other)
{
    json_t *list = lw_json_array(j);
    for (int i = 0; i < one->assumption_count; i++)
        if (lw_is_assumed_only_in(one, i, other))
            lw_json_add(j, list, lw_json_assumption(j, &one->assumption[i]));
    return list;
}

static void put_assumptions(lw_json *j, json_t *root, const lw_loaded *before, const lw_loaded *after)
{
    json_t *o = lw_json_object(j);
    int both = 0;
    for (int i = 0; i < after->assumption_count; i++)
        both += !lw_is_assumed_only_in(after, i, before);
    lw_json_count(j, o, "in_both", both);
    lw_json_put(j, o, "before_only", assumed_only(j, before, after));
    lw_json_put(j, o, "after_only", assumed_only(j, after, before));
    lw_json_put(j, root, "assumptions", o);
}

char *lw_what_if_json(const lw_what_if *w, const lw_what_if_json_options *options)
{
    lw_json j = {0};
    json_t *root = lw_json_object(&j), *rows = lw_json_array(&j), *changes = lw_json_array(&j);
    json_t *program = lw_json_object(&j);
    lw_json_text(&j, root, "schema", "leeway.what-if/1");
    lw_json_text(&j, program, "name", "leeway");
    lw_json_text(&j, program, "version", options->version ? options->version : "unknown");
    lw_json_put(&j, root, "program", program);
    lw_json_text(&j, root, "scenario_file", options->after->loaded.file);
    for (int i = 0; i < options->change_count; i++) {
        json_t *o = lw_json_object(&j);
        lw_json_text(&j, o, "change", options->change[i]);
        lw_json_add(&j, changes, o);
    }
    lw_json_put(&j, root, "changes", changes);
    lw_json_text(&j, root, "headline", w->headline);
    put_stay(&j, root, "before", w->binding_before, w->stay_before_days, w->stay_before_is_beyond);
    put_stay(&j, root, "after", w->binding_after, w->stay_after_days, w->stay_after_is_beyond);
    for (int i = 0; i < w->row_count; i++)
        lw_json_add(&j, rows, row_json(&j, &w->row[i]));
    lw_json_put(&j, root, "supplies", rows);
    if (options->wants_assumptions)
        put_assumptions(&j, root, &options->before->loaded, &options->after->loaded);
    return lw_json_finish(&j, root, options->is_compact);
}
