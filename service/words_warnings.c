#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/words_internal.h"
#include "text/decimal.h"
#include "text/quantity.h"

/* What a flat battery sets off belongs to it for so long after the loads are back. */
static const int64_t AFTER_S = INT64_C(12) * 3600, BOUNCE_S = INT64_C(6) * 3600;
/* A floor crossed so shortly before the cut is the chain's first link. */
static const int64_t FLOOR_S = INT64_C(24) * 3600;

typedef struct lw_episode {
    int first, end; /* events [first, end) of the sorted copy */
    int64_t at_s;
} lw_episode;

typedef struct lw_teller {
    const lw_speaker *s;
    lw_words *words;
    lw_event event[LW_EVENTS]; /* by time, until the stay's end */
    unsigned char is_told[LW_EVENTS];
    int count;
} lw_teller;

static lw_warning *new_warning(lw_teller *t, lw_event_kind kind, int64_t first_s, int times)
{
    lw_words *w = t->words;
    if (w->warning_count == LW_WORDS_WARNINGS) {
        w->warning_lost++;
        return NULL;
    }
    lw_warning *to = &w->warning[w->warning_count++];
    *to = (lw_warning){.kind = kind, .first_s = first_s, .times = times};
    return to;
}

/* ------------------------------------------------------------------ the chain of a flat battery */

static int is_link(const lw_event *e)
{
    switch (e->kind) {
    case LW_EVENT_LOADS_CUT:
    case LW_EVENT_FRIDGE_STOPS:
    case LW_EVENT_FOOD_WARM:
    case LW_EVENT_WATER_STOPS:
    case LW_EVENT_NETWORK_STOPS:
    case LW_EVENT_ALARMS_STOP:
    case LW_EVENT_VITAL_STOPS:
    case LW_EVENT_CABIN_COLD:
    case LW_EVENT_CABIN_FREEZES:
    case LW_EVENT_PIPES_FREEZE:
        return 1;
    case LW_EVENT_FURNACE_STOPS:
        return e->value < 1.5; /* for want of power */
    default:
        return 0;
    }
}

/* From its first cut until every load is back and its after-effects have passed. A bank that bounces back for some hours
 * and drops again is still the same night. */
static int next_episode(const lw_teller *t, int from, lw_episode *out)
{
    int i = from, off = 0;
    while (i < t->count && t->event[i].kind != LW_EVENT_LOADS_CUT)
        i++;
    if (i == t->count)
        return 0;
    *out = (lw_episode){.first = i, .at_s = t->event[i].at_s};
    while (out->first > from && t->event[out->first - 1].at_s == out->at_s)
        out->first--;
    int64_t last_s = t->event[i].at_s;
    for (; i < t->count; i++) {
        const lw_event *e = &t->event[i];
        const int64_t quiet_s = off > 0 ? 0 : e->at_s - last_s;
        if (quiet_s > AFTER_S || (quiet_s > BOUNCE_S && e->kind == LW_EVENT_LOADS_CUT))
            break;
        off += e->kind == LW_EVENT_LOADS_CUT;
        off -= e->kind == LW_EVENT_LOADS_BACK;
        if (off > 0 || e->kind == LW_EVENT_LOADS_BACK)
            last_s = e->at_s;
    }
    out->end = i;
    return 1;
}

static void link_words(const lw_speaker *s, const lw_event *e, lw_line *to)
{
    char a[160];
    switch (e->kind) {
    case LW_EVENT_BATTERY_FLOOR:
        lw_line_add(to, "battery below your floor of %d %%", (int)lround(s->scenario->rig.battery.floor_frac * 100.0));
        break;
    case LW_EVENT_LOADS_CUT:
        lw_cut_say(s, e->value, a, sizeof a);
        lw_line_add(to, "battery below %s V%s%s%s", lw_num(e->value).text, a[0] ? ", " : "", a, a[0] ? " off" : "");
        break;
    case LW_EVENT_FURNACE_STOPS:
        lw_line_add(to, "furnace stops");
        break;
    case LW_EVENT_FRIDGE_STOPS:
        lw_line_add(to, "fridge stops cooling");
        break;
    case LW_EVENT_FOOD_WARM:
        lw_line_add(to, "food warm for 4 h");
        break;
    case LW_EVENT_WATER_STOPS:
        lw_line_add(to, "no water at the taps");
        break;
    case LW_EVENT_NETWORK_STOPS:
        lw_line_add(to, "no connection for work or school");
        break;
    case LW_EVENT_ALARMS_STOP:
        lw_line_add(to, "gas and smoke alarms off");
        break;
    case LW_EVENT_VITAL_STOPS:
        lw_line_add(to, "vital device without power");
        break;
    case LW_EVENT_CABIN_COLD:
        lw_line_add(to, "cabin below %s", lw_temperature_say(s, 10.0, a, sizeof a));
        break;
    case LW_EVENT_CABIN_FREEZES:
        lw_line_add(to, "cabin below freezing");
        break;
    case LW_EVENT_PIPES_FREEZE:
        lw_line_add(to, "tank bay freezing");
        break;
    default:
        break;
    }
}

/* Each consequence once: the first time in the episode. A cut names what it cuts, so it may come once a class. */
static int is_repeat(const lw_teller *t, const lw_episode *p, int at)
{
    for (int i = p->first; i < at; i++)
        if (t->event[i].kind == t->event[at].kind &&
            (t->event[i].kind != LW_EVENT_LOADS_CUT || t->event[i].index == t->event[at].index))
            return 1;
    return 0;
}

/* An outage that names its loads makes the bare "fridge stops" of the same minutes say nothing new. */
static int is_said_by_cut(const lw_teller *t, const lw_episode *p, int at)
{
    const lw_event *e = &t->event[at];
    if (e->kind != LW_EVENT_FRIDGE_STOPS && e->kind != LW_EVENT_FURNACE_STOPS)
        return 0;
    char a[160];
    for (int i = p->first; i < p->end; i++)
        if (t->event[i].kind == LW_EVENT_LOADS_CUT && llabs(t->event[i].at_s - e->at_s) <= 3600) {
            lw_cut_say(t->s, t->event[i].value, a, sizeof a);
            if (strstr(a, e->kind == LW_EVENT_FRIDGE_STOPS ? "fridge" : "furnace"))
                return 1;
        }
    return 0;
}

static void say_link(const lw_teller *t, const lw_event *e, int64_t *night, int count, lw_line *to)
{
    char hour[LW_WHEN];
    const int64_t day = lw_clock_at(&t->s->loaded->zone, e->at_s).day;
    lw_line_add(to, "%s", count ? " -> " : "");
    if (day == *night)
        lw_line_add(to, "%s ", lw_hour_say(t->s, e->at_s, hour, sizeof hour));
    else
        lw_line_add(to, "%s ", lw_when_say(t->s, e->at_s, hour, sizeof hour));
    *night = day;
    link_words(t->s, e, to);
}

static const lw_event *floor_before(lw_teller *t, const lw_episode *p)
{
    const lw_event *found = NULL;
    for (int i = 0; i < t->count && t->event[i].at_s <= p->at_s; i++)
        if (t->event[i].kind == LW_EVENT_BATTERY_FLOOR && p->at_s - t->event[i].at_s <= FLOOR_S) {
            found = &t->event[i];
            t->is_told[i] = 1;
        }
    return found;
}

static void say_chain(lw_teller *t, const lw_episode *p, int times, int64_t last_s)
{
    lw_warning *w = new_warning(t, LW_EVENT_LOADS_CUT, p->at_s, times);
    if (!w)
        return;
    w->is_chain = 1;
    lw_line to = lw_line_of(w->sentence, sizeof w->sentence);
    char when[LW_WHEN];
    int64_t day = -1;
    int count = 0;
    lw_line_add(&to, "Flat battery: ");
    const lw_event *floor = floor_before(t, p);
    if (floor)
        say_link(t, floor, &day, count++, &to);
    for (int i = p->first; i < p->end && count < LW_WORDS_LINKS; i++)
        if (is_link(&t->event[i]) && !is_repeat(t, p, i) && !is_said_by_cut(t, p, i))
            say_link(t, &t->event[i], &day, count++, &to);
    lw_line_add(&to, ".");
    if (times > 1)
        lw_line_add(&to, " Loads are cut %s%d times in all, the last %s.", t->s->outlook->event_lost ? "at least " : "",
                    times, lw_when_say(t->s, last_s, when, sizeof when));
}

static void tell_chain(lw_teller *t)
{
    lw_episode p, first = {0};
    int times = 0;
    int64_t last_s = 0;
    for (int from = 0; next_episode(t, from, &p); from = p.end) {
        if (times++ == 0)
            first = p;
        last_s = p.at_s;
        for (int i = p.first; i < p.end; i++)
            if (is_link(&t->event[i]) && t->event[i].kind != LW_EVENT_VITAL_STOPS)
                t->is_told[i] = 1;
    }
    if (times == 0)
        return;
    for (int i = 0; i < t->count; i++) /* the floor is crossed on the way down each time */
        if (t->event[i].kind == LW_EVENT_BATTERY_FLOOR && t->event[i].at_s >= first.at_s)
            t->is_told[i] = 1;
    say_chain(t, &first, times, last_s);
}

/* ------------------------------------------------------------------ all others, each kind once */

/* Told elsewhere: by the supplies' own sentences, or only of use in the list of events. */
static int is_quiet(const lw_teller *t, const lw_event *e)
{
    switch (e->kind) {
    case LW_EVENT_SUPPLY_END:
    case LW_EVENT_SUPPLY_BACK:
    case LW_EVENT_LOADS_BACK:
    case LW_EVENT_RUBBISH_OLD:
    case LW_EVENT_LEISURE_DATA_ENDS:
        return 1;
    case LW_EVENT_RUBBISH_PLACE: {
        const lw_rig *rig = &t->s->scenario->rig;
        return e->index < 0 || e->index >= rig->vessel_count || rig->vessel[e->index].place < LW_RUBBISH_RACK;
    }
    default:
        return 0;
    }
}

static int is_vital(lw_event_kind kind)
{
    return kind == LW_EVENT_VITAL_STOPS || kind == LW_EVENT_VITAL_COLD || kind == LW_EVENT_VITAL_HOT;
}

static const char *unit_of_repeats(lw_event_kind kind)
{
    switch (kind) {
    case LW_EVENT_CABIN_HOT:
    case LW_EVENT_VITAL_HOT:
    case LW_EVENT_NETWORK_STOPS:
    case LW_EVENT_CHARGE_COLD:
    case LW_EVENT_GENERATOR_SMALL:
    case LW_EVENT_RUBBISH_PLACE:
        return "days";
    default:
        return "nights";
    }
}

/* Repeats of one kind (and one person, place or device) as days or nights on which they happen. */
static int count_repeats(lw_teller *t, int first)
{
    const lw_event *e = &t->event[first];
    const int by_night = strcmp(unit_of_repeats(e->kind), "nights") == 0;
    const int by_index = is_vital(e->kind) || e->kind == LW_EVENT_RUBBISH_PLACE;
    int64_t last_day = INT64_MIN;
    int count = 0;
    for (int i = first; i < t->count; i++) {
        if (t->is_told[i] || t->event[i].kind != e->kind || (by_index && t->event[i].index != e->index))
            continue;
        const int64_t at_s = t->event[i].at_s;
        const int64_t day = by_night ? lw_night_of(t->s, at_s) : lw_clock_at(&t->s->loaded->zone, at_s).day;
        count += day != last_day;
        last_day = day;
        t->is_told[i] = 1;
    }
    return count;
}

static void say_vital_end(const lw_event *e, lw_line *to)
{
    if (e->kind == LW_EVENT_VITAL_STOPS)
        lw_line_add(to, " Give it a battery of its own or leave before then for a place with power. "
                        "This program is not a medical device.");
    else
        lw_line_add(to, " Leave before then for a place that is safe.%s",
                    e->kind == LW_EVENT_VITAL_HOT ? " Trust no machine alone with a life in a hot cabin." : "");
}

static void tell_repeats(lw_teller *t, int first)
{
    const lw_event e = t->event[first];
    const int times = count_repeats(t, first);
    lw_warning *w = new_warning(t, e.kind, e.at_s, times);
    if (!w)
        return;
    char event[LW_SENTENCE];
    w->is_vital = is_vital(e.kind);
    lw_line to = lw_line_of(w->sentence, sizeof w->sentence);
    lw_say_event(t->s, &e, event, sizeof event);
    if (times > 1)
        lw_line_add(&to, "%s%d %s, first ", t->s->outlook->event_lost ? "At least " : "", times,
                    unit_of_repeats(e.kind));
    lw_line_add(&to, "%s", event);
    if (w->is_vital)
        say_vital_end(&e, &to);
}

static int before(const lw_warning *a, const lw_warning *b)
{
    return a->is_vital != b->is_vital ? a->is_vital : a->first_s < b->first_s;
}

static void sort_warnings(lw_words *words)
{
    for (int i = 1; i < words->warning_count; i++) {
        const lw_warning w = words->warning[i];
        int k = i;
        for (; k > 0 && before(&w, &words->warning[k - 1]); k--)
            words->warning[k] = words->warning[k - 1];
        words->warning[k] = w;
    }
}

void lw_say_warnings(const lw_speaker *s, lw_words *words)
{
    lw_teller t = {.s = s, .words = words};
    const int64_t until_s = lw_concern_until(s);
    for (int i = 0; i < words->event_count; i++)
        if (words->happening[i].at_s < until_s)
            t.event[t.count++] = words->happening[i];
    tell_chain(&t);
    for (int i = 0; i < t.count; i++)
        if (!t.is_told[i] && !is_quiet(&t, &t.event[i]))
            tell_repeats(&t, i);
    sort_warnings(words);
}
