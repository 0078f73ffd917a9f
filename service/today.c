#include "service/today.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/tables.h"
#include "service/today_internal.h"
#include "text/decimal.h"
#include "text/say.h"

static const int64_t DAY_S = 86400, SAME_RUN_S = INT64_C(3) * 86400;
/* Maintenance is told so many hours of the engine ahead; from judgement. */
static const double UPKEEP_AHEAD_H = 5.0;

static const char *const TODO_WORDS[] = {
#define LW_TODO_WORD(id, word) word,
    LW_TODO_KINDS(LW_TODO_WORD)
#undef LW_TODO_WORD
};

const char *lw_todo_word(lw_todo_kind kind)
{
    return TODO_WORDS[kind];
}

lw_todo *lw_todo_new(lw_planner *p, lw_todo_kind kind, int64_t by_s, const char *caution)
{
    lw_today *t = p->today;
    if (t->count == LW_TODOS) {
        t->lost++;
        return NULL;
    }
    lw_todo *to = &t->item[t->count++];
    *to = (lw_todo){.kind = kind, .by_s = by_s > t->now_s ? by_s : t->now_s};
    snprintf(to->caution, sizeof to->caution, "%s", caution);
    return to;
}

/* ------------------------------------------------------------------ runs */

/* What a run does for a supply, and what is without it. NULL: no run helps. */
typedef struct errand {
    const char *what, *otherwise;
} errand;

static const errand ERRANDS[LW_SUPPLY_COUNT] = {
    [LW_SUPPLY_FRESH] = {"fill fresh water", "the taps run dry"},
    [LW_SUPPLY_DRINKING] = {"fetch drinking water", "there is no drinking water"},
    [LW_SUPPLY_GREY] = {"dump the grey water", "nothing more may go down the drains"},
    [LW_SUPPLY_BLACK] = {"dump the black water", "the toilet is out of use"},
    [LW_SUPPLY_PROPANE] = {"fill propane", "there is no gas for heat, fridge or stove"},
    [LW_SUPPLY_FUEL] = {"fetch fuel", "the generator stops"},
    [LW_SUPPLY_RUBBISH] = {"take the rubbish away", "there is no room for another bag"},
    [LW_SUPPLY_FOOD] = {"shop for food", "the food is used up"},
    [LW_SUPPLY_DATA] = {"buy mobile data", "there is no mobile data"},
};

static int64_t safe_until(const lw_planner *p, int supply)
{
    return p->in->answer->outlook->leeway[supply].q[0].at_s;
}

/* Ends before the household leaves, in one stay of ten at least, and a run can help. */
static int needs_run(const lw_planner *p, int supply)
{
    const lw_leeway *l = &p->in->answer->outlook->leeway[supply];
    return ERRANDS[supply].what && lw_is_of_concern(&p->speaker, (lw_supply)supply) && !l->q[0].beyond_horizon &&
           l->q[0].at_s < lw_concern_until(&p->speaker);
}

void lw_add_errands(uint32_t supplies, lw_line *to)
{
    int left = 0;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        left += (int)(supplies >> k & 1u);
    const int all = left;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (supplies >> k & 1u) {
            lw_line_add(to, "%s%s", left == all ? "" : left == 1 ? " and " : ", ", ERRANDS[k].what);
            left--;
        }
}

static int first_due(const lw_planner *p, uint32_t done)
{
    int first = -1;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (!(done >> k & 1u) && needs_run(p, k) && (first < 0 || safe_until(p, k) < safe_until(p, first)))
            first = k;
    return first;
}

/* One run after the other: the first supply that is due, and those that are due within three days of it. */
static void plan_runs(lw_planner *p)
{
    uint32_t done = 0;
    for (int first = first_due(p, 0); first >= 0; first = first_due(p, done)) {
        lw_todo *to = lw_todo_new(p, LW_TODO_RUN, safe_until(p, first), "weight");
        if (!to)
            return;
        to->supplies = 1u << first;
        for (int k = 0; k < LW_SUPPLY_COUNT; k++)
            if (k != first && !(done >> k & 1u) && needs_run(p, k) &&
                safe_until(p, k) - safe_until(p, first) < SAME_RUN_S)
                to->also |= 1u << k;
        done |= to->supplies | to->also;
        lw_line what = lw_line_of(to->what, sizeof to->what), why = lw_line_of(to->why, sizeof to->why);
        char by[LW_WHEN];
        if (p->in->choice.is_page) /* the time stands beside it */
            lw_line_add(&what, "Run to town: ");
        else
            lw_line_add(&what, "Run by %s: ", lw_when_say(&p->speaker, to->by_s, by, sizeof by));
        lw_add_errands(to->supplies, &what);
        if (to->also) {
            lw_line_add(&what, "; on the same way ");
            lw_add_errands(to->also, &what);
        }
        lw_line_add(&what, ".");
        const lw_leeway *l = &p->in->answer->outlook->leeway[first];
        char safe[LW_WHEN], likely[LW_WHEN];
        lw_line_add(&why, "%s is %s until %s", lw_supply_name((lw_supply)first),
                    p->in->answer->outlook->draws > 1 ? "safe" : "enough",
                    lw_when_say(&p->speaker, l->q[0].at_s, safe, sizeof safe));
        if (!l->q[1].beyond_horizon && l->q[1].at_s - l->q[0].at_s >= DAY_S / 4)
            lw_line_add(&why, ", likely until %s", lw_when_say(&p->speaker, l->q[1].at_s, likely, sizeof likely));
        lw_line_add(&why, ".");
        snprintf(to->otherwise, sizeof to->otherwise, "Then %s.", ERRANDS[first].otherwise);
    }
}

/* ------------------------------------------------------------------ power */

static int popcount24(uint32_t hours)
{
    int n = 0;
    for (int h = 0; h < 24; h++)
        n += (int)(hours >> h & 1u);
    return n;
}

/* What an appliance draws in a day as its hours say. Only to name the largest. */
static double load_wh_a_day(const lw_load *load)
{
    double hours = 0.0;
    for (int d = 0; d < 7; d++)
        hours +=
            (load->rhythm == LW_LOAD_WEEKLY || load->rhythm == LW_LOAD_PRESENT ? popcount24(load->hours[d]) : 24) / 7.0;
    return load->watts * load->duty_frac * hours;
}

static const lw_load *largest_load(const lw_rig *rig)
{
    const lw_load *largest = NULL;
    for (int i = 0; i < rig->load_count; i++) {
        const lw_load *load = &rig->load[i];
        const int is_steady =
            load->rhythm == LW_LOAD_ALWAYS || load->rhythm == LW_LOAD_WEEKLY || load->rhythm == LW_LOAD_PRESENT;
        if (is_steady && !load->is_vital && !load->is_alarm && !load->with_generator_only &&
            (!largest || load_wh_a_day(load) > load_wh_a_day(largest)))
            largest = load;
    }
    return largest;
}

static void say_generator(lw_planner *p, const lw_generator_window *w, lw_todo *to)
{
    char when[LW_WHEN], floor[LW_WHEN];
    const lw_speaker *s = &p->speaker;
    to->generator_h = w->hours;
    to->by_s = w->latest_s > p->today->now_s ? w->latest_s : p->today->now_s;
    snprintf(to->what, sizeof to->what, "Run the generator for %d %s, begun by %s.", w->hours,
             w->hours == 1 ? "hour" : "hours", lw_when_say(s, to->by_s, when, sizeof when));
    snprintf(to->why, sizeof to->why,
             "Without it the battery is down to your floor of %.0f %% at %s; so long is the least that keeps it above "
             "until the set may run again.",
             100.0 * s->scenario->rig.battery.floor_frac, lw_when_say(s, w->floor_s, floor, sizeof floor));
}

static void say_saving(lw_planner *p, const lw_generator_window *w, lw_todo *to)
{
    char when[LW_WHEN];
    const lw_speaker *s = &p->speaker;
    const lw_rig *rig = &s->scenario->rig;
    const lw_load *load = largest_load(rig);
    lw_line what = lw_line_of(to->what, sizeof to->what), why = lw_line_of(to->why, sizeof to->why);
    lw_line_add(&what, "Save power");
    if (load)
        lw_line_add(&what, ": the largest thing you could switch off is %s", load->name);
    lw_line_add(&what, ".");
    lw_line_add(&why, "The battery is down to your floor of %.0f %% at %s", 100.0 * rig->battery.floor_frac,
                lw_when_say(s, w->floor_s, when, sizeof when));
    lw_line_add(&why,
                rig->generator.is_present ? ", and no run of the generator in its allowed hours is long enough." : ".");
}

static lw_code plan_power(lw_planner *p, lw_err *err)
{
    lw_generator_window w;
    const lw_code code = lw_generator_window_find(p->in, &w, err);
    if (code || !w.floor_s)
        return code;
    lw_todo *to = lw_todo_new(p, LW_TODO_POWER, w.floor_s, w.hours ? "generator" : "electricity");
    if (!to)
        return LW_OK;
    if (w.hours)
        say_generator(p, &w, to);
    else
        say_saving(p, &w, to);
    snprintf(to->otherwise, sizeof to->otherwise,
             "Then loads drop out as its voltage falls: furnace blower, pump, fridge, alarms.");
    return LW_OK;
}

/* ------------------------------------------------------------------ what the outlook tells */

/* What to do about an event, and which caution stands beside it. */
typedef struct remedy {
    lw_event_kind event;
    lw_todo_kind kind;
    const char *what, *otherwise, *caution;
} remedy;

static const remedy REMEDIES[] = {
    {LW_EVENT_VITAL_STOPS, LW_TODO_VITAL,
     "Give the vital device power from elsewhere, or leave for where there is some", "Then the device stands still.",
     "medical"},
    {LW_EVENT_VITAL_COLD, LW_TODO_VITAL, "Bring whoever needs the warmth to a warm place",
     "Then it is too cold for them.", "cold"},
    {LW_EVENT_VITAL_HOT, LW_TODO_VITAL, "Bring whoever needs it cool to a cool place", "Then it is too hot for them.",
     "heat"},
    {LW_EVENT_CABIN_FREEZES, LW_TODO_COLD, "Heat, or drain the water system and sleep elsewhere",
     "Then pipes inside may burst.", "cold"},
    {LW_EVENT_CABIN_COLD, LW_TODO_COLD, "Be ready for a cold cabin: see to furnace and gas, and have blankets out",
     "Then it is below 50 F (10 C) inside.", "cold"},
    {LW_EVENT_PIPES_FREEZE, LW_TODO_COLD, "Keep the tank bay warm, or drain what is in it",
     "Then pipes and valves there may burst.", "cold"},
    {LW_EVENT_VALVE_FREEZES, LW_TODO_COLD, "Drain the water hose and take it in",
     "Then hose and dump valves freeze shut.", "cold"},
    {LW_EVENT_CABIN_HOT, LW_TODO_HEAT, "Have shade, water and a cool place ready", "Then the heat inside is dangerous.",
     "heat"},
    {LW_EVENT_FOOD_WARM, LW_TODO_FOOD, "Eat what spoils, or cool it with ice", "Then food from the fridge is not safe.",
     "estimate"},
    {LW_EVENT_RUBBISH_OLD, LW_TODO_RUBBISH, "Take the oldest bag away", "Then it smells and draws flies.", "estimate"},
    {LW_EVENT_SNOW_ON_PANELS, LW_TODO_OUTSIDE, "Clear the snow off the panels, from the ground",
     "Then they give nothing.", "weight"},
    {LW_EVENT_WIND_HIGH, LW_TODO_OUTSIDE, "Bring in what stands in the wind", "Then it may be torn off.", "wind"},
    {LW_EVENT_CHARGE_COLD, LW_TODO_COLD, "Warm the battery before it is to charge",
     "Then it takes no charge from the sun.", "lithium"},
};

static const lw_event *first_event(const lw_planner *p, lw_event_kind kind)
{
    const lw_outlook *o = p->in->answer->outlook;
    for (int i = 0; i < o->event_count; i++)
        if (o->event[i].kind == kind && o->event[i].at_s >= p->today->now_s &&
            o->event[i].at_s <= lw_concern_until(&p->speaker))
            return &o->event[i];
    return NULL;
}

static void plan_remedies(lw_planner *p)
{
    for (size_t i = 0; i < sizeof REMEDIES / sizeof REMEDIES[0]; i++) {
        const remedy *r = &REMEDIES[i];
        const lw_event *e = first_event(p, r->event);
        lw_todo *to = e ? lw_todo_new(p, r->kind, e->at_s, r->caution) : NULL;
        if (!to)
            continue;
        snprintf(to->what, sizeof to->what, "%s.", r->what);
        lw_say_event(&p->speaker, e, to->why, sizeof to->why);
        snprintf(to->otherwise, sizeof to->otherwise, "%s", r->otherwise);
    }
}

static void plan_water(lw_planner *p)
{
    lw_words *words = calloc(1, sizeof *words);
    if (!words)
        return;
    lw_say_doubtful_water(&p->speaker, words);
    lw_todo *to = words->caution_count > 0 ? lw_todo_new(p, LW_TODO_WATER, p->today->now_s, "drinking-water") : NULL;
    if (to) {
        snprintf(to->what, sizeof to->what, "See to the water you drink.");
        snprintf(to->why, sizeof to->why, "%s", words->caution[0].text);
        snprintf(to->otherwise, sizeof to->otherwise, "Then you drink what nobody vouches for.");
    }
    free(words);
}

/* Hours of the engine until a thing is due: at its first hour, then at each multiple. */
static double upkeep_left_h(double engine_h, double every_h, double first_h)
{
    if (first_h > 0.0 && engine_h < first_h)
        return first_h - engine_h;
    return every_h - fmod(engine_h, every_h);
}

static lw_code plan_upkeep(lw_planner *p, lw_err *err)
{
    if (isnan(p->in->engine_h) || !p->speaker.scenario->rig.generator.is_present)
        return LW_OK;
    lw_table table = {0};
    lw_code code = lw_table_open("maintenance", &table, err);
    for (int row = 0; !code && row < table.rows; row++) {
        double every_h, first_h;
        code = lw_table_number(&table, row, "every_h", &every_h, err);
        code = code ? code : lw_table_number(&table, row, "first_h", &first_h, err);
        if (code)
            break;
        const double left_h = upkeep_left_h(p->in->engine_h, every_h, first_h);
        lw_todo *to =
            left_h <= UPKEEP_AHEAD_H ? lw_todo_new(p, LW_TODO_UPKEEP, p->today->due_until_s - 1, "generator") : NULL;
        if (!to)
            continue;
        char left[32], at[32];
        snprintf(to->what, sizeof to->what, "%s.", lw_table_cell(&table, row, "what"));
        snprintf(to->why, sizeof to->why, "Due in %s engine hours (the counter shows %s): %s.",
                 lw_tenths_say(left_h, left, sizeof left), lw_tenths_say(p->in->engine_h, at, sizeof at),
                 lw_table_cell(&table, row, "why"));
        snprintf(to->otherwise, sizeof to->otherwise, "The maker's manual goes first.");
    }
    lw_table_clear(&table);
    return code;
}

/* ------------------------------------------------------------------ */

static int rank(const lw_todo *todo)
{
    return todo->kind == LW_TODO_VITAL ? 0 : 1;
}

static int is_before(const lw_todo *a, const lw_todo *b)
{
    if (rank(a) != rank(b))
        return rank(a) < rank(b);
    return a->by_s != b->by_s ? a->by_s < b->by_s : a->kind < b->kind;
}

static void sort_todos(lw_today *t)
{
    for (int n = 1; n < t->count; n++) {
        const lw_todo moved = t->item[n];
        int i = n;
        for (; i > 0 && is_before(&moved, &t->item[i - 1]); i--)
            t->item[i] = t->item[i - 1];
        t->item[i] = moved;
    }
}

/* Vital things stand in front whenever they come; so the due ones are gathered behind them by time. */
static void part_due(lw_today *t)
{
    lw_todo sorted[LW_TODOS] = {{.kind = LW_TODO_VITAL}};
    int n = 0;
    for (int pass = 0; pass < 2; pass++) {
        for (int i = 0; i < t->count; i++)
            if ((t->item[i].by_s < t->due_until_s) == (pass == 0))
                sorted[n++] = t->item[i];
        if (pass == 0)
            t->due = n;
    }
    memcpy(t->item, sorted, (size_t)t->count * sizeof sorted[0]);
}

static void say_headline(lw_planner *p)
{
    lw_today *t = p->today;
    char when[LW_WHEN];
    if (t->due > 0)
        snprintf(t->headline, sizeof t->headline, "%d %s to do by the end of tomorrow.", t->due,
                 t->due == 1 ? "thing" : "things");
    else if (t->count > 0) {
        int64_t next_s = t->item[0].by_s;
        for (int i = 1; i < t->count; i++)
            next_s = t->item[i].by_s < next_s ? t->item[i].by_s : next_s;
        snprintf(t->headline, sizeof t->headline, "Nothing needs you before %s.",
                 lw_when_say(&p->speaker, next_s, when, sizeof when));
    } else
        snprintf(t->headline, sizeof t->headline, "Nothing needs you before %s.",
                 lw_when_say(&p->speaker, lw_concern_until(&p->speaker), when, sizeof when));
}

static void add_list(lw_today *t, lw_checklist_id id, const char *why)
{
    lw_today_list *to = &t->list[t->list_count++];
    to->id = id;
    snprintf(to->why, sizeof to->why, "%s", why);
}

static int is_due(const lw_today *t, lw_todo_kind kind, uint32_t supplies)
{
    for (int i = 0; i < t->due; i++)
        if (t->item[i].kind == kind && (!supplies || (t->item[i].supplies | t->item[i].also) & supplies))
            return 1;
    return 0;
}

static void point_to_lists(lw_planner *p)
{
    lw_today *t = p->today;
    const lw_outlook *o = p->in->answer->outlook;
    const lw_zone *zone = &p->speaker.loaded->zone;
    char when[LW_WHEN], why[96];
    if (lw_clock_at(zone, t->now_s).day == lw_clock_at(zone, p->speaker.loaded->arrived_s).day)
        add_list(t, LW_CHECKLIST_ARRIVING, "it is the day of arrival");
    if (o->departure_s && o->departure_s < t->due_until_s) {
        snprintf(why, sizeof why, "you leave %s", lw_when_say(&p->speaker, o->departure_s, when, sizeof when));
        add_list(t, LW_CHECKLIST_LEAVING, why);
    }
    if (is_due(t, LW_TODO_RUN, 1u << LW_SUPPLY_GREY | 1u << LW_SUPPLY_BLACK))
        add_list(t, LW_CHECKLIST_DUMPING, "the run dumps");
    if (is_due(t, LW_TODO_WATER, 0))
        add_list(t, LW_CHECKLIST_SANITISING, "the water you drink is doubted");
    if (is_due(t, LW_TODO_COLD, 0))
        add_list(t, LW_CHECKLIST_WINTER_NIGHT, "it is cold");
}

lw_code lw_today_make(const lw_today_in *in, lw_today *today, lw_err *err)
{
    const lw_outlook *o = in->answer->outlook;
    memset(today, 0, sizeof *today);
    if (in->now_s < o->start_s || in->now_s >= lw_concern_until(&(lw_speaker){.outlook = o}))
        return lw_fail(err, LW_E_RANGE, "the moment asked for lies outside the stay");
    const lw_loaded *loaded = &in->answer->loaded;
    lw_planner p = {.in = in,
                    .speaker = {.outlook = o, .scenario = loaded->scenario, .loaded = loaded, .choice = in->choice},
                    .today = today};
    today->now_s = in->now_s;
    today->due_until_s = lw_utc_of(&loaded->zone, lw_clock_at(&loaded->zone, in->now_s).day + 1, DAY_S);
    lw_plan_overdue(&p);
    plan_remedies(&p);
    lw_code code = plan_power(&p, err);
    plan_runs(&p);
    lw_plan_kept(&p);
    lw_plan_stay(&p);
    lw_plan_permits(&p);
    lw_plan_data(&p);
    plan_water(&p);
    code = code ? code : plan_upkeep(&p, err);
    sort_todos(today);
    part_due(today);
    point_to_lists(&p);
    say_headline(&p);
    return code;
}
