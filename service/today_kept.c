/* What is planned and kept: the generator's windows and the errands of the stay, each at its time. Of either those that are due, or else
 * the next. */
#include <stdio.h>
#include <string.h>

#include "service/today_internal.h"
#include "text/say.h"

static void add_window(lw_planner *p, const lw_span *window)
{
    lw_todo *to = lw_todo_new(p, LW_TODO_POWER, window->from_s, "generator");
    char from[LW_WHEN], until[LW_WHEN];
    if (!to)
        return;
    to->is_kept = 1;
    to->generator_h = (int)((window->to_s - window->from_s + 1800) / 3600);
    snprintf(to->what, sizeof to->what, "Run the generator from %s until %s.",
             lw_when_say(&p->speaker, window->from_s, from, sizeof from),
             lw_when_say(&p->speaker, window->to_s, until, sizeof until));
    snprintf(to->why, sizeof to->why, "You planned and kept these hours.");
    snprintf(to->otherwise, sizeof to->otherwise, "Then the battery holds less than the outlook counts on.");
}

static void add_windows(lw_planner *p)
{
    const lw_generator_use *set = &p->speaker.scenario->rig.generator;
    int is_first = 1;
    for (int i = 0; set->is_present && i < set->window_count; i++) {
        const lw_span *window = &set->window[i];
        if (window->to_s <= p->today->now_s || (window->from_s >= p->today->due_until_s && !is_first))
            continue;
        add_window(p, window);
        is_first = 0;
    }
}

static int is_helpful(const lw_transfer *t, lw_supply supply)
{
    return t->kind != LW_TRANSFER_ADD || (lw_supply_fills(supply) ? t->amount < 0.0 : t->amount > 0.0);
}

uint32_t lw_errand_serves(const lw_scenario *s, int first, const char **where)
{
    uint32_t supplies = 0;
    *where = "";
    for (int i = first; i < s->transfer_count && s->transfer[i].at_s == s->transfer[first].at_s; i++) {
        const lw_transfer *t = &s->transfer[i];
        const lw_supply supply = s->rig.vessel[t->vessel].supply;
        if (strcmp(t->why, "renewal") == 0)
            continue;
        supplies |= is_helpful(t, supply) ? UINT32_C(1) << supply : 0u;
        *where = **where ? *where : t->why;
    }
    return supplies;
}

static void add_errand(lw_planner *p, int64_t at_s, uint32_t supplies, const char *where)
{
    lw_todo *to = lw_todo_new(p, LW_TODO_RUN, at_s, "weight");
    char by[LW_WHEN];
    if (!to)
        return;
    to->is_kept = 1;
    to->supplies = supplies;
    lw_line what = lw_line_of(to->what, sizeof to->what);
    lw_line_add(&what, "Errand as planned");
    if (!p->in->choice.is_page) /* the time stands beside it */
        lw_line_add(&what, ", back by %s", lw_when_say(&p->speaker, at_s, by, sizeof by));
    lw_line_add(&what, ": ");
    lw_add_errands(supplies, &what);
    lw_line_add(&what, "%s%s%s.", *where ? " (" : "", where, *where ? ")" : "");
    snprintf(to->why, sizeof to->why, "The outlook counts on it.");
    snprintf(to->otherwise, sizeof to->otherwise,
             "Then supplies end sooner than the outlook says: move the errand, or take it out of the plan.");
}

static void add_kept_errands(lw_planner *p)
{
    const lw_scenario *s = p->speaker.scenario;
    int is_first = 1;
    for (int i = 0; i < s->transfer_count;) {
        const int64_t at_s = s->transfer[i].at_s;
        const char *where;
        const uint32_t supplies = lw_errand_serves(s, i, &where);
        if (at_s > p->today->now_s && supplies && (at_s < p->today->due_until_s || is_first)) {
            add_errand(p, at_s, supplies, where);
            is_first = 0;
        }
        while (i < s->transfer_count && s->transfer[i].at_s == at_s)
            i++;
    }
}

void lw_plan_kept(lw_planner *p)
{
    add_windows(p);
    add_kept_errands(p);
}
