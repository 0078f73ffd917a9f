#include "service/plan_calendar.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/icalendar.h"
#include "service/checklist.h"
#include "service/today_internal.h"
#include "text/say.h"

enum {
    EVENTS = LW_GENERATOR_WINDOWS + LW_RUN_SLOTS + LW_TODOS + LW_TRANSFERS + LW_WINDOWS + 4,
    SUMMARY = 200,
    DESCRIPTION = 8000,
    HOUR_S = 3600,
    DAY_S = 24 * HOUR_S,
    CHORE_S = HOUR_S / 2,
    LEAVE_S = 3 * HOUR_S, /* ahead of when a kept errand is to be done */
};

typedef struct entry {
    lw_ical_uid_text uid;
    char summary[SUMMARY], description[DESCRIPTION];
} entry;

typedef struct book_of_days {
    const lw_plan_calendar_in *in;
    char owner[LW_NAME + 32]; /* of the uids: place and arrival */
    lw_ical_event event[EVENTS];
    entry entry[EVENTS];
    size_t count;
} book_of_days;

/* The event's texts are filled by the caller before the calendar is printed. */
static lw_ical_event *new_event(book_of_days *b, const char *what, int64_t number, entry **texts)
{
    lw_ical_event *e = &b->event[b->count];
    entry *t = &b->entry[b->count++];
    t->uid = lw_ical_uid(b->owner, what, number);
    *e = (lw_ical_event){.uid = t->uid.text, .summary = t->summary, .description = t->description, .category = what};
    *texts = t;
    return e;
}

static void at_place(const book_of_days *b, lw_ical_event *e)
{
    const lw_place *place = &b->in->loaded->scenario->place;
    e->location = place->name[0] ? place->name : NULL;
    e->has_place = 1;
    e->latitude_deg = place->latitude_deg;
    e->longitude_deg = place->longitude_deg;
}

static void remind(lw_ical_event *e, int32_t before_s)
{
    e->has_alarm = 1;
    e->alarm_before_s = before_s;
}

static const char *place_say(const lw_loaded *loaded)
{
    return loaded->scenario->place.name[0] ? loaded->scenario->place.name : "camp";
}

/* The items of a list, a line each, as far as they fit. */
static lw_code add_checklist(const lw_loaded *loaded, lw_checklist_id id, lw_unit_system units, lw_line *to,
                             lw_err *err)
{
    lw_checklist *list = calloc(1, sizeof *list);
    if (!list)
        return lw_fail(err, LW_E_FULL, "no memory for a checklist");
    const lw_code code = lw_checklist_make(
        &(lw_checklist_in){.loaded = loaded, .id = id, .bleach_pct = LW_BLEACH_USUAL_PCT, .units = units}, list, err);
    int left = 0;
    for (int i = 0; !code && i < list->count; i++)
        if (to->used + strlen(list->item[i].text) + 64 < to->size)
            lw_line_add(to, "%s- %s", to->used > 0 ? "\n" : "", list->item[i].text);
        else
            left++;
    if (left > 0)
        lw_line_add(to, "\n- and %d more on the checklist %s", left, lw_checklist_name(id));
    free(list);
    return code;
}

static lw_code add_stay(book_of_days *b, lw_err *err)
{
    const lw_loaded *loaded = b->in->loaded;
    const lw_stay *stay = &loaded->scenario->stay;
    entry *t;
    if (loaded->arrived_s >= b->in->now_s - DAY_S) {
        lw_ical_event *e = new_event(b, "arrival", 0, &t);
        e->start_s = loaded->arrived_s;
        e->end_s = e->start_s + HOUR_S;
        at_place(b, e);
        snprintf(t->summary, sizeof t->summary, "Arrive at %s", place_say(loaded));
        lw_line line = lw_line_of(t->description, sizeof t->description);
        if (add_checklist(loaded, LW_CHECKLIST_ARRIVING, b->in->choice.units, &line, err))
            return err->code;
    }
    if (stay->departure_s) {
        lw_ical_event *e = new_event(b, "departure", 0, &t);
        e->start_s = stay->departure_s;
        e->end_s = e->start_s + HOUR_S;
        at_place(b, e);
        remind(e, DAY_S);
        snprintf(t->summary, sizeof t->summary, "Leave %s", place_say(loaded));
        lw_line line = lw_line_of(t->description, sizeof t->description);
        if (add_checklist(loaded, LW_CHECKLIST_LEAVING, b->in->choice.units, &line, err))
            return err->code;
    }
    if (stay->stay_end_s) {
        lw_ical_event *e = new_event(b, "limit", 0, &t);
        e->is_whole_days = e->is_free = 1;
        e->from_day = lw_clock_at(&loaded->zone, stay->stay_end_s - 1).day;
        e->until_day = e->from_day + 1;
        at_place(b, e);
        remind(e, 2 * DAY_S);
        snprintf(t->summary, sizeof t->summary, "Last day allowed at %s", place_say(loaded));
        snprintf(t->description, sizeof t->description, "%s%sSigns win, and limits change: ask the field office.",
                 loaded->rule_words, loaded->rule_words[0] ? ". " : "");
    }
    return LW_OK;
}

/* All that is filled and emptied at one moment, none of it a renewal alone, and not over yet. */
static int is_announced_errand(const book_of_days *b, int first)
{
    const lw_scenario *s = b->in->loaded->scenario;
    const int64_t at_s = s->transfer[first].at_s;
    int is_errand = 0;
    for (int k = first; k < s->transfer_count && s->transfer[k].at_s == at_s; k++)
        is_errand = is_errand || strcmp(s->transfer[k].why, "renewal") != 0;
    return is_errand && at_s >= b->in->now_s;
}

static int is_same_day(const book_of_days *b, int64_t a_s, int64_t b_s)
{
    const lw_zone *zone = &b->in->loaded->zone;
    return lw_clock_at(zone, a_s).day == lw_clock_at(zone, b_s).day;
}

/* A run that is due on a day with an errand of its own: the errand tells of it. */
static int is_told_by_errand(const book_of_days *b, const lw_todo *item)
{
    const lw_scenario *s = b->in->loaded->scenario;
    if (item->kind != LW_TODO_RUN || item->is_kept)
        return 0;
    for (int i = 0; i < s->transfer_count; i++)
        if (is_same_day(b, s->transfer[i].at_s, item->by_s) && is_announced_errand(b, i))
            return 1;
    return 0;
}

static void add_chores(book_of_days *b)
{
    const lw_today *today = b->in->today;
    for (int i = 0; today && i < today->count; i++) {
        const lw_todo *item = &today->item[i];
        entry *t;
        /* Windows and errands have plans of their own; without one, and where none was found, the chore tells of them. */
        if (item->is_kept || (item->kind == LW_TODO_POWER && b->in->generator && b->in->generator->is_found) ||
            (item->kind == LW_TODO_RUN && b->in->runs && b->in->runs->out.is_found) || item->kind == LW_TODO_STAY ||
            is_told_by_errand(b, item))
            continue;
        char what[48];
        snprintf(what, sizeof what, "chore-%s", lw_todo_word(item->kind));
        int number = 0; /* of its kind, where it serves no supplies */
        for (int k = 0; k < i; k++)
            number += today->item[k].kind == item->kind;
        lw_ical_event *e = new_event(b, what, item->supplies ? (int64_t)item->supplies + LW_TODOS : number, &t);
        e->category = "chore";
        e->start_s = item->by_s - CHORE_S > today->now_s ? item->by_s - CHORE_S : today->now_s;
        e->end_s = item->by_s > e->start_s ? item->by_s : e->start_s;
        e->is_free = 1;
        remind(e, 2 * HOUR_S);
        snprintf(t->summary, sizeof t->summary, "%.*s", SUMMARY - 1, item->what);
        snprintf(t->description, sizeof t->description, "%s\n%s", item->why, item->otherwise);
    }
}

/* Errands that the scenario announces: all that is filled and emptied at one moment is one of them. */
static void add_announced(book_of_days *b)
{
    const lw_scenario *s = b->in->loaded->scenario;
    for (int i = 0; i < s->transfer_count && b->count < EVENTS;) {
        const int64_t at_s = s->transfer[i].at_s;
        entry *t;
        const char *where;
        const uint32_t supplies = lw_errand_serves(s, i, &where);
        const int is_errand = is_announced_errand(b, i), first = i;
        while (i < s->transfer_count && s->transfer[i].at_s == at_s)
            i++;
        if (!is_errand)
            continue;
        lw_ical_event *e = new_event(b, "errand", at_s / HOUR_S, &t);
        lw_line line = lw_line_of(t->summary, sizeof t->summary);
        lw_line_add(&line, "Errand: ");
        if (supplies)
            lw_add_errands(supplies, &line);
        else
            lw_line_add(&line, "see to %s", s->rig.vessel[s->transfer[first].vessel].name);
        lw_line_add(&line, "%s%s%s", *where ? " (" : "", where, *where ? ")" : "");
        e->start_s = at_s;
        e->end_s = at_s + HOUR_S;
        remind(e, LEAVE_S);
        lw_line about = lw_line_of(t->description, sizeof t->description);
        lw_line_add(&about, "As planned, done by then. Dump only where it is allowed.");
        for (int k = 0; b->in->today && k < b->in->today->count; k++) {
            const lw_todo *item = &b->in->today->item[k];
            char by[LW_WHEN];
            if (is_told_by_errand(b, item) && is_same_day(b, item->by_s, at_s))
                lw_line_add(&about, "\nDue that day, by %s: %s %s",
                            lw_when_print(by, sizeof by, &b->in->loaded->zone, item->by_s, b->in->choice.is_12_hour),
                            item->what, item->why);
        }
    }
}

static void add_runs(book_of_days *b)
{
    const lw_runs_planned *plan = b->in->runs;
    for (int i = 0; plan && plan->out.is_found && i < plan->out.count; i++) {
        const lw_run *run = &plan->out.run[i];
        entry *t;
        lw_ical_event *e = new_event(b, "run", i, &t);
        e->start_s = plan->run[i].leave_s;
        e->end_s = plan->run[i].back_s;
        remind(e, HOUR_S);
        lw_line line = lw_line_of(t->summary, sizeof t->summary);
        lw_line_add(&line, "Run: ");
        int told = 0;
        for (int j = 0; j < plan->in.service_count; j++)
            if (run->services >> j & 1u)
                lw_line_add(&line, "%s%s", told++ ? ", " : "", plan->errands.service[plan->service[j]].name);
        snprintf(t->description, sizeof t->description, "%s\n%s", plan->run[i].sentence, plan->measured);
    }
}

/* A window by its day and which of that day it is: `last` is that of the window before. */
static entry *new_window(book_of_days *b, lw_span span, int64_t *last)
{
    const int64_t of_day = lw_clock_at(&b->in->loaded->zone, span.from_s).day * 16;
    entry *t;
    *last = *last >= of_day ? *last + 1 : of_day;
    lw_ical_event *e = new_event(b, "generator", *last, &t);
    e->start_s = span.from_s;
    e->end_s = span.to_s;
    e->is_free = 1;
    remind(e, 600);
    return t;
}

static void add_windows(book_of_days *b)
{
    const lw_generator_plan *plan = b->in->generator;
    int64_t last = -1;
    for (int i = 0; plan && plan->is_found && i < plan->run_count; i++) {
        const lw_generator_run *run = &plan->run[i];
        entry *t = new_window(b, (lw_span){run->from_s, run->until_s}, &last);
        snprintf(t->summary, sizeof t->summary, "Generator%s%s", run->why[0] ? ", for " : "", run->why);
        snprintf(t->description, sizeof t->description, "%s\n%s", run->sentence, plan->caution.text);
    }
}

/* Those that the scenario names. */
static lw_code add_kept_windows(book_of_days *b, lw_err *err)
{
    const lw_generator_use *g = &b->in->loaded->scenario->rig.generator;
    lw_caution caution;
    int64_t last = -1;
    if (lw_caution_named("generator", &caution, err))
        return err->code;
    for (int i = 0; i < g->window_count; i++) {
        if (g->window[i].to_s <= b->in->now_s)
            continue;
        entry *t = new_window(b, g->window[i], &last);
        snprintf(t->summary, sizeof t->summary, "Generator");
        snprintf(t->description, sizeof t->description, "As planned.\n%s", caution.text);
    }
    return LW_OK;
}

lw_code lw_plan_calendar(const lw_plan_calendar_in *in, char **text, int *count, lw_err *err)
{
    book_of_days *b = calloc(1, sizeof *b);
    char name[LW_NAME + 16];
    if (!b)
        return lw_fail(err, LW_E_FULL, "no memory for a calendar");
    b->in = in;
    snprintf(b->owner, sizeof b->owner, "%s %" PRId64, in->loaded->scenario->place.name, in->loaded->arrived_s);
    snprintf(name, sizeof name, "Stay at %s", place_say(in->loaded));
    lw_code code = add_stay(b, err);
    if (!code) {
        add_chores(b);
        add_runs(b);
        add_announced(b);
        add_windows(b);
        if (!in->generator && !in->without_windows)
            code = add_kept_windows(b, err);
    }
    if (!code)
        code = lw_ical_print(
            &(lw_ical){
                .name = name, .version = in->version, .stamp_s = in->now_s, .event = b->event, .count = b->count},
            text, err);
    *count = (int)b->count;
    free(b);
    return code;
}
