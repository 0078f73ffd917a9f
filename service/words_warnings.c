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
    *to = (lw_warning){.kind = kind, .supply = -1, .first_s = first_s, .times = times};
    return to;
}

/* ------------------------------------------------------------------ nights and days */

/* What begins between evening and morning is said of the night; the same hours serve all lines. */
enum { NIGHT_FROM_H = 18, NIGHT_TO_H = 9, DAYS_NAMED = 4, HALF_DAY_S = 43200 };

/* The nights or days on which something happens, each once. */
typedef struct lw_when_list {
    int64_t at_s[LW_EVENTS];
    int count, is_by_day; /* by_day: at least one of them is in daylight */
} lw_when_list;

static void note_time(const lw_speaker *s, int64_t at_s, lw_when_list *list)
{
    const int hour = lw_clock_at(&s->loaded->zone, at_s).hour;
    list->at_s[list->count++] = at_s;
    list->is_by_day |= hour >= NIGHT_TO_H && hour < NIGHT_FROM_H;
}

static int64_t day_of(const lw_speaker *s, const lw_when_list *list, int i)
{
    return list->is_by_day ? lw_clock_at(&s->loaded->zone, list->at_s[i]).day : lw_night_of(s, list->at_s[i]);
}

/* Keeps the first of each night or day; the list is by time. */
static void join_days(const lw_speaker *s, lw_when_list *list)
{
    int kept = 0;
    int64_t last = 0;
    for (int i = 0; i < list->count; i++) {
        const int64_t day = day_of(s, list, i);
        if (kept == 0 || day != last)
            list->at_s[kept++] = list->at_s[i];
        last = day;
    }
    list->count = kept;
}

static const char *unit_say(const lw_when_list *list)
{
    return list->is_by_day ? list->count == 1 ? "day" : "days" : list->count == 1 ? "night" : "nights";
}

/* Two nights that begin to tell on one date: in its small hours and in its evening. */
static int has_twins(const lw_speaker *s, const lw_when_list *list)
{
    for (int i = 1; i < list->count; i++)
        if (lw_clock_at(&s->loaded->zone, list->at_s[i]).day == lw_clock_at(&s->loaded->zone, list->at_s[i - 1]).day)
            return 1;
    return 0;
}

/* "Thu 15 Jan, Fri 16 Jan and Sun 18 Jan"; of many "first Thu 15 Jan, last Sun 25 Jan". Twins are named by the days on which nights began. */
static void add_days(const lw_speaker *s, const lw_when_list *list, lw_line *to)
{
    char day[LW_WHEN];
    const int64_t back_s = has_twins(s, list) ? HALF_DAY_S : 0;
    for (int i = 0; i < list->count; i++) {
        if (list->count > DAYS_NAMED && i > 0 && i < list->count - 1)
            continue;
        const int is_last = i == list->count - 1, is_long = list->count > DAYS_NAMED;
        const char *between = i == 0 ? (is_long ? "first " : "") : is_long ? ", last " : is_last ? " and " : ", ";
        lw_line_add(to, "%s%s", between, lw_date_say(s, list->at_s[i] - back_s, day, sizeof day));
    }
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
        lw_line_add(to, "battery below %s V%s%s%s", lw_num(e->value).text, a[0] ? " (off: " : "", a, a[0] ? ")" : "");
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
        lw_line_add(to, "no power for %s", lw_vital_say(s, e->index));
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

/* Two classes of loads whose cut-offs lie so close are one for the ear. */
static int is_same_cut(const lw_teller *t, const lw_event *x, const lw_event *y)
{
    char a[160], b[160];
    return x->index == y->index ||
           strcmp(lw_cut_say(t->s, x->value, a, sizeof a), lw_cut_say(t->s, y->value, b, sizeof b)) == 0;
}

/* Each consequence once: the first time in the episode. A cut names what it cuts, so it may come once a class. */
static int is_repeat(const lw_teller *t, const lw_episode *p, int at)
{
    const lw_event *e = &t->event[at];
    for (int i = p->first; i < at; i++)
        if (t->event[i].kind == e->kind && (e->kind != LW_EVENT_LOADS_CUT || is_same_cut(t, &t->event[i], e)) &&
            (e->kind != LW_EVENT_VITAL_STOPS || t->event[i].index == e->index))
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
    lw_line_add(to, "%s", count ? "; " : "");
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

/* What a later flat night does to people and pipes, a line a kind; freezing says that it is cold. */
static const lw_event_kind GRAVE[] = {LW_EVENT_CABIN_FREEZES, LW_EVENT_CABIN_COLD, LW_EVENT_PIPES_FREEZE,
                                      LW_EVENT_ALARMS_STOP};

static int freezes_that_night(const lw_teller *t, int64_t at_s)
{
    for (int i = 0; i < t->count; i++)
        if (t->event[i].kind == LW_EVENT_CABIN_FREEZES &&
            lw_night_of(t->s, t->event[i].at_s) == lw_night_of(t->s, at_s))
            return 1;
    return 0;
}

static void say_later(lw_teller *t, lw_event_kind kind, const unsigned char *is_later)
{
    lw_when_list list = {.count = 0};
    const lw_event *first = NULL;
    for (int i = 0; i < t->count; i++) {
        const lw_event *e = &t->event[i];
        if (!is_later[i] || e->kind != kind || (kind == LW_EVENT_CABIN_COLD && freezes_that_night(t, e->at_s)))
            continue;
        first = first ? first : e;
        note_time(t->s, e->at_s, &list);
    }
    join_days(t->s, &list);
    lw_warning *w = first ? new_warning(t, kind, first->at_s, list.count) : NULL;
    if (!w)
        return;
    lw_line to = lw_line_of(w->sentence, sizeof w->sentence);
    lw_line_add(&to, "Flat battery again: ");
    link_words(t->s, first, &to);
    lw_line_add(&to, ", %s%d %s (", t->s->outlook->event_lost ? "at least " : "", list.count, unit_say(&list));
    add_days(t->s, &list, &to);
    lw_line_add(&to, ").");
}

static void tell_chain(lw_teller *t)
{
    lw_episode p, first = {0};
    unsigned char is_later[LW_EVENTS] = {0};
    int times = 0;
    int64_t last_s = 0;
    for (int from = 0; next_episode(t, from, &p); from = p.end) {
        if (times++ == 0)
            first = p;
        last_s = p.at_s;
        for (int i = p.first; i < p.end; i++)
            if (is_link(&t->event[i]) && t->event[i].kind != LW_EVENT_VITAL_STOPS) {
                t->is_told[i] = 1;
                is_later[i] = times > 1;
            }
    }
    if (times == 0)
        return;
    for (int i = 0; i < t->count; i++) /* the floor is crossed on the way down each time */
        if (t->event[i].kind == LW_EVENT_BATTERY_FLOOR && t->event[i].at_s >= first.at_s)
            t->is_told[i] = 1;
    say_chain(t, &first, times, last_s);
    for (size_t k = 0; k < sizeof GRAVE / sizeof GRAVE[0]; k++)
        say_later(t, GRAVE[k], is_later);
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

/* Repeats of one kind (and one person, place or device), all told with the first. */
static void take_repeats(lw_teller *t, int first, lw_when_list *list)
{
    const lw_event *e = &t->event[first];
    const int by_index = is_vital(e->kind) || e->kind == LW_EVENT_RUBBISH_PLACE;
    for (int i = first; i < t->count; i++) {
        if (t->is_told[i] || t->event[i].kind != e->kind || (by_index && t->event[i].index != e->index))
            continue;
        note_time(t->s, t->event[i].at_s, list);
        t->is_told[i] = 1;
    }
    join_days(t->s, list);
}

/* Over in its moment; all others begin then and last. */
static int is_moment(lw_event_kind kind)
{
    return kind == LW_EVENT_FOOD_WARM || kind == LW_EVENT_LOADS_CUT || kind == LW_EVENT_BATTERY_FLOOR;
}

static void say_vital_end(const lw_teller *t, const lw_event *e, lw_line *to)
{
    int is_said = 0;
    for (int i = 0; i < t->words->warning_count; i++)
        is_said += t->words->warning[i].kind == LW_EVENT_VITAL_STOPS;
    if (e->kind == LW_EVENT_VITAL_STOPS && t->s->outlook->draws > 1) {
        char when[LW_WHEN];
        lw_line_add(to, " Count on it only until %s: %s.",
                    lw_when_say(t->s, lw_vital_end(t->s->outlook, e->index)->at_s, when, sizeof when),
                    t->s->outlook->draws < LW_DRAWS_FEW ? "the shortest of few courses, where 1000 would do"
                                                        : "99 of 100 possible courses last so long");
    }
    if (e->kind == LW_EVENT_VITAL_STOPS)
        lw_line_add(to, " Give it a battery of its own or leave before then for a place with power.%s",
                    is_said > 1 ? "" : " This program is not a medical device.");
    else
        lw_line_add(to, " Leave before then for a place that is safe.%s",
                    e->kind == LW_EVENT_VITAL_HOT ? " Trust no machine alone with a life in a hot cabin." : "");
}

/* The list keeps some of each kind; the engine's sums know of the last. Of one person or device they know nothing. */
static void say_unlisted(const lw_teller *t, const lw_event *e, lw_line *to)
{
    const lw_event_sum *sum = &t->s->outlook->event_sum[e->kind];
    char when[LW_WHEN];
    int listed = 0;
    int64_t last_s = 0;
    for (int i = 0; i < t->count; i++)
        if (t->event[i].kind == e->kind)
            listed++, last_s = t->event[i].at_s;
    if (sum->count > listed && sum->last_s > last_s && sum->last_s < lw_concern_until(t->s) && !is_vital(e->kind))
        lw_line_add(to, " It happens again later, the last time %s.",
                    lw_when_say(t->s, sum->last_s, when, sizeof when));
}

static void tell_repeats(lw_teller *t, int first)
{
    const lw_event e = t->event[first];
    lw_when_list list = {.count = 0};
    take_repeats(t, first, &list);
    lw_warning *w = new_warning(t, e.kind, e.at_s, list.count);
    if (!w)
        return;
    char event[LW_SENTENCE];
    w->is_vital = is_vital(e.kind);
    w->supply = e.supply;
    w->index = e.index;
    lw_line to = lw_line_of(w->sentence, sizeof w->sentence);
    lw_say_event(t->s, &e, event, sizeof event);
    if (list.count > 1)
        lw_line_add(&to, "%s%d %s, first ", t->s->outlook->event_lost ? "At least " : "", list.count, unit_say(&list));
    else if (!is_moment(e.kind))
        lw_line_add(&to, "From ");
    lw_line_add(&to, "%s", event);
    say_unlisted(t, &e, &to);
    if (w->is_vital)
        say_vital_end(t, &e, &to);
}

/* The list of events is of a stated length; the end of a vital device's power is found apart from it. */
static void tell_vital_unlisted(lw_teller *t, int vital)
{
    const lw_quantile *end = lw_vital_end(t->s->outlook, vital);
    if (end->beyond_horizon || end->at_s >= lw_concern_until(t->s) || t->count == LW_EVENTS)
        return;
    for (int i = 0; i < t->count; i++)
        if (t->event[i].kind == LW_EVENT_VITAL_STOPS && t->event[i].index == vital)
            return;
    const lw_event e = {.kind = LW_EVENT_VITAL_STOPS, .at_s = end->at_s, .supply = -1, .index = vital};
    if (t->s->outlook->draws <= 1) {
        t->event[t->count] = e;
        tell_repeats(t, t->count++);
        return;
    }
    lw_warning *w = new_warning(t, LW_EVENT_VITAL_STOPS, end->at_s, 1);
    if (!w)
        return;
    char when[LW_WHEN];
    lw_line to = lw_line_of(w->sentence, sizeof w->sentence);
    const double fails = 1.0 - t->s->outlook->vital[vital].beyond_frac;
    w->is_vital = 1;
    w->index = vital;
    lw_line_add(&to, "Power for %s is sure only until %s; it fails in %d of 100 such stays.",
                t->s->scenario->rig.load[t->s->outlook->vital_load[vital]].name,
                lw_when_say(t->s, end->at_s, when, sizeof when), (int)ceil(100.0 * fails));
    say_vital_end(t, &e, &to);
}

/* A limit of a person or an animal that the course told keeps, but many draws do not. */
static void tell_being_unlisted(lw_teller *t, int person, lw_event_kind kind, double chance)
{
    const lw_person *p = &t->s->scenario->crew.person[person];
    if (chance <= LW_VITAL_FRAC)
        return;
    for (int i = 0; i < t->count; i++)
        if (t->event[i].kind == kind && t->event[i].index == person)
            return;
    lw_warning *w = new_warning(t, kind, t->s->outlook->start_s, 1);
    if (!w)
        return;
    char limit[64];
    lw_line to = lw_line_of(w->sentence, sizeof w->sentence);
    const int is_hot = kind == LW_EVENT_VITAL_HOT;
    w->is_vital = 1;
    w->index = person;
    lw_line_add(&to, "Too %s inside for %s, %s %s, in %d of 100 such stays. Leave in time for a place that is safe.%s",
                is_hot ? "hot" : "cold", p->name[0] ? p->name : "someone on board", is_hot ? "above" : "below",
                lw_temperature_say(t->s, is_hot ? p->inside_high_c : p->inside_low_c, limit, sizeof limit),
                (int)ceil(100.0 * chance), is_hot ? " Trust no machine alone with a life in a hot cabin." : "");
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

static const double POSSIBLE_FRAC = 0.1;

/* Grave things that do not happen in the course that is told, but in a tenth of the draws or more. */
static void say_possible(const lw_speaker *s, lw_words *words)
{
    static const struct {
        lw_event_kind kind;
        const char *words;
    } ROW[] = {{LW_EVENT_LOADS_CUT, "a flat battery"},
               {LW_EVENT_CABIN_COLD, "under 50 F inside"},
               {LW_EVENT_CABIN_FREEZES, "frost inside"},
               {LW_EVENT_PIPES_FREEZE, "frost where the tanks are"},
               {LW_EVENT_VALVE_FREEZES, "frozen outside valves and hose"},
               {LW_EVENT_CABIN_HOT, "dangerous heat inside"},
               {LW_EVENT_GAS_SHORT, "too little gas from the cylinders"},
               {LW_EVENT_FURNACE_SHORT, "a furnace too small"},
               {LW_EVENT_FOOD_WARM, "food warm for 4 hours"},
               {LW_EVENT_NETWORK_STOPS, "no connection for work or school"},
               {LW_EVENT_FURNACE_STOPS, "a furnace that stops"},
               {LW_EVENT_FRIDGE_STOPS, "a fridge that stops"},
               {LW_EVENT_WATER_STOPS, "no water at the taps"},
               {LW_EVENT_ALARMS_STOP, "alarms without power"}};
    lw_line to = lw_line_of(words->possible, sizeof words->possible);
    for (size_t i = 0; s->outlook->draws > 1 && i < sizeof ROW / sizeof ROW[0]; i++) {
        const double chance = (double)s->outlook->happens_frac[ROW[i].kind];
        if (chance < POSSIBLE_FRAC || s->outlook->event_sum[ROW[i].kind].count > 0)
            continue;
        const int is_cold = ROW[i].kind == LW_EVENT_CABIN_COLD && s->choice.units == LW_UNITS_SI;
        lw_line_add(&to, "%s%s in %d", to.used ? ", " : "Possible as well, of 100 such stays: ",
                    is_cold ? "under 10 C inside" : ROW[i].words, (int)lround(100.0 * chance));
    }
    if (to.used)
        lw_line_add(&to, ".");
}

void lw_say_warnings(const lw_speaker *s, lw_words *words)
{
    say_possible(s, words);
    lw_teller t = {.s = s, .words = words};
    const int64_t until_s = lw_concern_until(s);
    for (int i = 0; i < words->event_count; i++)
        if (words->happening[i].at_s < until_s)
            t.event[t.count++] = words->happening[i];
    /* What a life may hang on comes first, so that no limit of the list can drop it. */
    for (int i = 0; i < s->outlook->vital_count; i++)
        tell_vital_unlisted(&t, i);
    for (int p = 0; s->outlook->draws > 1 && p < s->scenario->crew.person_count; p++) {
        tell_being_unlisted(&t, p, LW_EVENT_VITAL_COLD, (double)s->outlook->too_cold_frac[p]);
        tell_being_unlisted(&t, p, LW_EVENT_VITAL_HOT, (double)s->outlook->too_hot_frac[p]);
    }
    for (int i = 0; i < t.count; i++)
        if (!t.is_told[i] && is_vital(t.event[i].kind))
            tell_repeats(&t, i);
    tell_chain(&t);
    lw_say_spills(s, words);
    for (int i = 0; i < t.count; i++)
        if (!t.is_told[i] && !is_quiet(&t, &t.event[i]))
            tell_repeats(&t, i);
    sort_warnings(words);
}
