/* Trips in the book by name: what was asked, the chains that were chosen and what was measured; the rest is worked out again. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/trips.h"
#include "service/json.h"
#include "service/trip_internal.h"
#include "text/moment.h"
#include "text/say.h"

enum { FORM = 1 };

/* ---- to text ---- */

static json_t *texts_json(lw_json *j, const char *const *text, int count)
{
    json_t *list = lw_json_array(j);
    for (int i = 0; i < count; i++)
        lw_json_add(j, list, json_string(text[i]));
    return list;
}

static json_t *chain_json(lw_json *j, const lw_trip_planned *p, const lw_trip_made *plan)
{
    json_t *o = lw_json_object(j), *place = lw_json_array(j), *act = lw_json_array(j), *holds = lw_json_array(j),
           *why = lw_json_array(j);
    const int days = (int)(p->file.until_day - p->file.from_day);
    for (int d = 0; d < days; d++)
        lw_json_add(j, place, json_string(p->file.place[plan->out.chain.place[d]].name));
    for (int d = 0; d <= days; d++)
        lw_json_add(j, act, json_integer(plan->out.chain.act[d]));
    for (int i = 0; i < plan->stop_count; i++)
        lw_json_add(j, holds, lw_json_real(plan->stop[i].holds_frac, 5));
    lw_json_put(j, o, "place", place);
    lw_json_put(j, o, "act", act);
    lw_json_put(j, o, "holds", holds);
    for (int w = 0; w < p->file.wish_count; w++)
        lw_json_add(j, why, json_string(plan->why_missed[w]));
    lw_json_put(j, o, "why_missed", why);
    lw_json_count(j, o, "bound_c", plan->out.bound_c);
    lw_json_flag(j, o, "is_proven", plan->out.is_proven);
    lw_json_number(j, o, "aim_frac", plan->aim_frac, 6);
    lw_json_number(j, o, "supplies_frac", plan->supplies_frac, 6);
    lw_json_text(j, o, "short", plan->short_supply < 0 ? NULL : lw_supply_word((lw_supply)plan->short_supply));
    return o;
}

static char *to_text(const lw_trip_ask *ask, const lw_trip_planned *p)
{
    lw_json j = {.zone = &p->zone};
    json_t *root = lw_json_object(&j), *plans = lw_json_array(&j), *lived = lw_json_array(&j);
    char seed[24];
    snprintf(seed, sizeof seed, "%llu", (unsigned long long)p->seed);
    lw_json_count(&j, root, "form", FORM);
    lw_json_text(&j, root, "seed", seed);
    lw_json_count(&j, root, "draws", p->draws);
    lw_json_count(&j, root, "fresh", p->fresh_draws);
    lw_json_text(&j, root, "from", ask->from);
    lw_json_text(&j, root, "at", ask->at);
    lw_json_put(&j, root, "full", texts_json(&j, ask->full, ask->full_count));
    lw_json_put(&j, root, "hold", texts_json(&j, ask->hold, ask->hold_count));
    lw_json_count(&j, root, "start_used", ask->has_start ? ask->start_used : -1);
    for (int i = 0; i < ask->lived_count; i++) {
        json_t *o = lw_json_object(&j);
        lw_json_count(&j, o, "place", ask->lived[i].place);
        lw_json_count(&j, o, "first_day", ask->lived[i].first_day);
        lw_json_count(&j, o, "last_day", ask->lived[i].last_day);
        lw_json_add(&j, lived, o);
    }
    lw_json_put(&j, root, "lived", lived);
    lw_json_put(&j, root, "gathered", lw_trip_gathered_json(&j, &p->gathered));
    for (int i = 0; i < p->plan_count; i++)
        lw_json_add(&j, plans, chain_json(&j, p, &p->plan[i]));
    lw_json_put(&j, root, "plans", plans);
    return lw_json_finish(&j, root, 1);
}

lw_code lw_trip_keep(lw_book *book, const char *name, const lw_trip_ask *ask, const lw_trip_planned *planned,
                     int64_t now_s, lw_err *err)
{
    if (planned->plan_count == 0)
        return lw_fail(err, LW_E_MISSING, "there is no trip to keep");
    char *text = to_text(ask, planned);
    const lw_kept_trip trip = {
        .name = name, .made_s = now_s, .camp = planned->camp, .input = planned->input, .result = text};
    const lw_code code =
        text ? lw_book_keep_trip(book, &trip, err) : lw_fail(err, LW_E_FULL, "no memory to keep a trip");
    free(text);
    return code;
}

/* ---- and back ---- */

/* What was asked and found; texts are those of `root` and `trips`. */
typedef struct kept {
    lw_kept_trips trips;
    json_t *root;
    lw_trip_ask ask;
    lw_trip_lived lived[TRIP_PAST];
    lw_trip_gathered gathered;
} kept;

static void kept_clear(kept *k)
{
    if (k->root)
        json_decref(k->root);
    lw_kept_trips_clear(&k->trips);
    lw_trip_gathered_clear(&k->gathered);
    *k = (kept){.root = NULL};
}

static lw_code no_such_trip(lw_book *book, const char *name, lw_err *err)
{
    lw_kept_trips all = {0};
    const char *names[LW_TRIPS_KEPT];
    size_t count = 0;
    const lw_code code = lw_book_list_trips(book, NULL, &all, err);
    if (code)
        return code;
    for (; count < all.count && count < LW_TRIPS_KEPT; count++)
        names[count] = all.trip[count].name;
    const char *near = lw_nearest(name, names, count);
    (void)lw_fail_typed(err, LW_E_MISSING, near ? "" : "leeway trip plan FILE --keep NAME keeps one",
                        near ? "no trip is kept as %s; did you mean %s?" : "no trip is kept as %s%s",
                        lw_quoted(name, strlen(name)).text, near ? near : "");
    lw_kept_trips_clear(&all);
    return LW_E_MISSING;
}

static lw_code plan_anew(const char *name, lw_err *err)
{
    (void)lw_fail(err, LW_E_CONFLICT,
                  "trip %s was planned by another Leeway and cannot be shown by this one; plan it anew",
                  lw_quoted(name, strlen(name)).text);
    return LW_E_CONFLICT;
}

static int take_texts(const json_t *list, const char **to)
{
    int count = 0;
    for (size_t i = 0; i < json_array_size(list) && count < LW_TRIP_CHANGES; i++)
        if (json_is_string(json_array_get(list, i)))
            to[count++] = json_string_value(json_array_get(list, i));
    return count;
}

static int64_t whole(const json_t *of, const char *key)
{
    return json_integer_value(json_object_get(of, key));
}

static void take_ask(kept *k)
{
    lw_trip_ask *ask = &k->ask;
    const char *seed = json_string_value(json_object_get(k->root, "seed"));
    const json_t *lived = json_object_get(k->root, "lived");
    ask->seed = seed ? strtoull(seed, NULL, 10) : 1;
    ask->draws = (int)whole(k->root, "draws");
    ask->fresh = (int)whole(k->root, "fresh");
    ask->from = json_string_value(json_object_get(k->root, "from"));
    ask->at = json_string_value(json_object_get(k->root, "at"));
    ask->full_count = take_texts(json_object_get(k->root, "full"), ask->full);
    ask->hold_count = take_texts(json_object_get(k->root, "hold"), ask->hold);
    ask->has_start = whole(k->root, "start_used") >= 0;
    ask->start_used = ask->has_start ? (int)whole(k->root, "start_used") : 0;
    for (size_t i = 0; i < json_array_size(lived) && ask->lived_count < TRIP_PAST; i++) {
        const json_t *one = json_array_get(lived, i);
        k->lived[ask->lived_count++] =
            (lw_trip_lived){(int)whole(one, "place"), whole(one, "first_day"), whole(one, "last_day")};
    }
    ask->lived = k->lived;
}

static lw_code find(lw_book *book, const char *name, const lw_trip_ask *how, kept *k, lw_err *err)
{
    json_error_t said;
    *k = (kept){.root = NULL};
    const lw_code code = lw_book_list_trips(book, name, &k->trips, err);
    if (code)
        return code;
    if (k->trips.count == 0)
        return no_such_trip(book, name, err);
    k->root = json_loads(k->trips.trip[0].result, 0, &said);
    if (!k->root || whole(k->root, "form") != FORM)
        return plan_anew(name, err);
    k->ask = (lw_trip_ask){.path = name,
                           .text = k->trips.trip[0].input,
                           .camp = k->trips.trip[0].camp,
                           .book = book,
                           .now_s = how->now_s,
                           .threads = how->threads,
                           .progress = how->progress,
                           .is_enough = how->is_enough,
                           .with = how->with};
    take_ask(k);
    const json_t *gathered = json_object_get(k->root, "gathered");
    if (!json_is_object(gathered))
        return LW_OK; /* kept before places and services came from the book */
    k->ask.gathered = &k->gathered;
    return lw_trip_gathered_of(gathered, &k->gathered, err);
}

static int place_named(const lw_trip_file *file, const char *name)
{
    for (int p = 0; p < file->place_count && name; p++)
        if (strcmp(file->place[p].name, name) == 0)
            return p;
    return -1;
}

static int take_chain(const lw_trip_planned *p, const json_t *o, lw_trip_made *plan)
{
    const json_t *place = json_object_get(o, "place"), *act = json_object_get(o, "act");
    const size_t days = (size_t)(p->file.until_day - p->file.from_day);
    if (json_array_size(place) != days || json_array_size(act) != days + 1)
        return 0;
    for (size_t d = 0; d <= days; d++) {
        const int64_t a = json_integer_value(json_array_get(act, d));
        const int at = d < days ? place_named(&p->file, json_string_value(json_array_get(place, d))) : 0;
        if (a < LW_TRIP_STAYS || a > LW_TRIP_DRIVES_SERVED || at < 0)
            return 0;
        plan->out.chain.act[d] = (uint8_t)a;
        if (d < days)
            plan->out.chain.place[d] = (int16_t)at;
    }
    return 1;
}

static int supply_named(const char *word)
{
    for (int k = 0; k < LW_SUPPLY_COUNT && word; k++)
        if (strcmp(lw_supply_word((lw_supply)k), word) == 0)
            return k;
    return -1;
}

static int take_plan(lw_trip_planned *p, lw_trip_tables *t, const json_t *o, lw_trip_made *plan)
{
    lw_fault fault;
    const json_t *holds = json_object_get(o, "holds"), *why = json_object_get(o, "why_missed");
    plan->aim_frac = json_number_value(json_object_get(o, "aim_frac"));
    if (!(plan->aim_frac > 0.0 && plan->aim_frac < 1.0) || !take_chain(p, o, plan))
        return 0;
    lw_trip_tables_aim(t, plan->aim_frac);
    lw_trip_tables_lay(t, &p->file);
    if (lw_trip_walk(&t->in, &plan->out.chain, &plan->sum, &fault))
        return 0;
    plan->out.is_found = 1;
    plan->out.value_c = plan->sum.value_c;
    plan->out.worth_c = plan->sum.worth_c;
    plan->out.bound_c = whole(o, "bound_c");
    plan->out.is_proven = json_is_true(json_object_get(o, "is_proven"));
    plan->out.gap_frac = plan->out.worth_c > 0
                             ? (double)(plan->out.bound_c - plan->out.value_c) / (double)plan->out.worth_c
                             : (double)NAN;
    plan->supplies_frac = json_number_value(json_object_get(o, "supplies_frac"));
    plan->short_supply = supply_named(json_string_value(json_object_get(o, "short")));
    lw_trip_fill_stops(p, t, plan);
    for (size_t w = 0; w < json_array_size(why) && w < LW_TRIP_FILE_WISHES; w++)
        if (json_is_string(json_array_get(why, w)))
            snprintf(plan->why_missed[w], sizeof plan->why_missed[w], "%s", json_string_value(json_array_get(why, w)));
    for (int i = 0; i < plan->stop_count; i++)
        plan->stop[i].holds_frac = json_number_value(json_array_get(holds, (size_t)i));
    return 1;
}

static lw_code restore(const kept *k, const char *name, lw_trip_planned *to, lw_err *err)
{
    lw_trip_tables *t = calloc(1, sizeof *t);
    const json_t *plans = json_object_get(k->root, "plans");
    lw_code code = t ? lw_trip_open(&k->ask, to, t, err) : lw_fail(err, LW_E_FULL, "no memory for a trip");
    if (!code && t) {
        for (size_t i = 0; i < json_array_size(plans) && i < LW_TRIP_PLANS && !code; i++)
            if (take_plan(to, t, json_array_get(plans, i), &to->plan[i]))
                to->plan_count++;
            else
                code = plan_anew(name, err);
        if (code)
            lw_trip_clear(to);
        lw_trip_tables_clear(t);
    }
    free(t);
    return code;
}

lw_code lw_trip_show(lw_book *book, const char *name, const lw_trip_ask *how, lw_trip_planned *to, lw_err *err)
{
    kept k;
    *to = (lw_trip_planned){.plan = NULL};
    lw_code code = find(book, name, how, &k, err);
    code = code ? code : restore(&k, name, to, err);
    kept_clear(&k);
    return code;
}

/* ---- the rest anew ---- */

/* Stays of the plan before that day have been. */
static void add_lived(const lw_trip_planned *old, const lw_trip_made *plan, int64_t day, kept *k)
{
    for (int i = 0; i < plan->stop_count && k->ask.lived_count < TRIP_PAST; i++) {
        const lw_trip_stop *s = &plan->stop[i];
        const int64_t first = old->file.from_day + s->arrive, last = old->file.from_day + s->leave;
        if (first < day)
            k->lived[k->ask.lived_count++] = (lw_trip_lived){s->place, first, last < day ? last : day};
    }
    k->ask.lived = k->lived;
}

static lw_code go_on(const lw_trip_planned *old, const lw_trip_made *plan, const lw_trip_ask *how, char today_text[40],
                     kept *k, lw_err *err)
{
    lw_date date;
    int64_t day = lw_clock_at(&old->zone, how->now_s).day;
    if (how->from) {
        if (lw_date_parse(how->from, &date, err))
            return err->code;
        day = lw_day_of(date);
    }
    if (day >= old->file.until_day)
        return lw_fail(err, LW_E_RANGE, "this trip was over on %s; plan another",
                       lw_date_print(today_text, 40, lw_date_of(old->file.until_day)));
    if (how->at)
        k->ask.at = how->at;
    if (day <= old->file.from_day)
        return LW_OK; /* it has not begun */
    const int gone = (int)(day - old->file.from_day);
    k->ask.full_count = 0; /* that was then */
    k->ask.from = lw_date_print(today_text, 40, lw_date_of(day));
    if (!how->at) {
        k->ask.at = old->file.place[plan->out.chain.place[gone - 1]].name;
        k->ask.has_start = 1;
        k->ask.start_used = plan->used[gone] < LW_TRIP_FULL ? plan->used[gone] : LW_TRIP_FULL;
    }
    add_lived(old, plan, day, k);
    return LW_OK;
}

static lw_code add_changes(const lw_trip_ask *how, kept *k, lw_err *err)
{
    if (k->ask.full_count + how->full_count > LW_TRIP_CHANGES || k->ask.hold_count + how->hold_count > LW_TRIP_CHANGES)
        return lw_fail(err, LW_E_FULL,
                       "of one trip at most %d places may be full and %d stays held; plan it anew from its file",
                       LW_TRIP_CHANGES, LW_TRIP_CHANGES);
    for (int i = 0; i < how->full_count; i++)
        k->ask.full[k->ask.full_count++] = how->full[i];
    for (int i = 0; i < how->hold_count; i++)
        k->ask.hold[k->ask.hold_count++] = how->hold[i];
    return LW_OK;
}

lw_code lw_trip_replan(lw_book *book, const char *name, int plan, const lw_trip_ask *how, const char *keep_as,
                       lw_trip_planned *to, lw_err *err)
{
    kept *k = calloc(1, sizeof *k);
    lw_trip_planned *old = calloc(1, sizeof *old);
    char today_text[40];
    *to = (lw_trip_planned){.plan = NULL};
    lw_code code = k && old ? find(book, name, how, k, err) : lw_fail(err, LW_E_FULL, "no memory for a trip");
    if (!code && k && old) {
        code = restore(k, name, old, err);
        if (!code && (plan < 0 || plan >= old->plan_count))
            code =
                lw_fail(err, LW_E_MISSING, "trip %s has %d plans", lw_quoted(name, strlen(name)).text, old->plan_count);
        code = code ? code : go_on(old, &old->plan[plan], how, today_text, k, err);
        code = code ? code : add_changes(how, k, err);
        k->ask.plans = how->plans;
        k->ask.seconds = how->seconds;
        code = code ? code : lw_trip_make(&k->ask, to, err);
        if (!code && keep_as && to->plan_count > 0)
            code = lw_trip_keep(book, keep_as, &k->ask, to, how->now_s, err);
        if (code)
            lw_trip_clear(to);
    }
    if (old)
        lw_trip_clear(old);
    if (k)
        kept_clear(k);
    free(old);
    free(k);
    return code;
}

/* ---- the year of its places ---- */

lw_code lw_trip_year_of_kept(lw_book *book, const char *name, const lw_trip_ask *how, const lw_trip_year_wish *wish,
                             lw_trip_year *year, lw_err *err)
{
    kept k;
    lw_code code = find(book, name, how, &k, err);
    code = code ? code : lw_trip_year_make(&k.ask, wish, year, err);
    kept_clear(&k);
    return code;
}
