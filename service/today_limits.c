/* What may not be overrun: the days allowed here, permits and what they cost, mobile data that work needs. */
#include <math.h>
#include <stdio.h>

#include "exchange/amount.h"
#include "service/ledger.h"
#include "service/today_internal.h"
#include "text/quantity.h"

static const int64_t DAY_S = 86400;
enum { CIVIL = 24, MONTH_DAYS = 31 };

static int64_t end_of_day(const lw_planner *p, int64_t day)
{
    return lw_utc_of(&p->in->answer->loaded.zone, day, (int32_t)DAY_S);
}

static int64_t day_of(const lw_planner *p, int64_t at_s)
{
    return lw_clock_at(&p->in->answer->loaded.zone, at_s).day;
}

/* ---- the days allowed ---- */

/* The rule or a permit ends the stay, no deadline of the household's. */
static int is_by_rule(const lw_planner *p)
{
    const lw_loaded *loaded = &p->in->answer->loaded;
    return loaded->left.is_limited && loaded->scenario->stay.stay_end_s <= end_of_day(p, loaded->left.leave_day);
}

static void say_rule(const lw_planner *p, lw_line *why)
{
    const lw_loaded *loaded = &p->in->answer->loaded;
    const lw_ledger_left *left = &loaded->left;
    if (loaded->rule_words[0])
        lw_line_add(why, ": %s", loaded->rule_words);
    lw_line_add(why, ".");
    if (left->used_days > 0)
        lw_line_add(why, " Earlier stays have used %d of them.", left->used_days);
    if (left->is_permit)
        lw_line_add(why, " A permit of yours is counted.");
}

/* Whether all the rest is about anything is asked before it. */
void lw_plan_overdue(lw_planner *p)
{
    const int64_t overdue_s = p->in->answer->loaded.overdue_s;
    char when[LW_WHEN];
    lw_todo *to = overdue_s ? lw_todo_new(p, LW_TODO_OVERDUE, p->today->now_s, "") : NULL;
    if (!to)
        return;
    snprintf(to->what, sizeof to->what,
             "If you have left, end this stay or begin the next; if not, say when you leave%s.",
             lw_if_typed(&p->in->choice, " (leeway end, leeway begin FILE.yaml)"));
    snprintf(to->why, sizeof to->why, "You wished to leave %s.",
             lw_when_say(&p->speaker, overdue_s, when, sizeof when));
    snprintf(to->otherwise, sizeof to->otherwise, "Until then all this is told as if you were still here.");
}

void lw_plan_stay(lw_planner *p)
{
    const lw_outlook *o = p->in->answer->outlook;
    const lw_leeway *l = &o->leeway[LW_SUPPLY_STAY];
    char again[CIVIL], when[LW_WHEN];
    if (!l->is_present || l->q[0].beyond_horizon || (o->departure_s && o->departure_s <= l->q[0].at_s))
        return;
    lw_todo *to = lw_todo_new(p, LW_TODO_STAY, l->q[0].at_s, "stay");
    if (!to)
        return;
    const int by_rule = is_by_rule(p);
    lw_line why = lw_line_of(to->why, sizeof to->why), otherwise = lw_line_of(to->otherwise, sizeof to->otherwise);
    snprintf(to->what, sizeof to->what, "Leave by %s, or ask the office for longer.",
             lw_when_say(&p->speaker, l->q[0].at_s, when, sizeof when));
    lw_line_add(&why, "The days allowed here end");
    say_rule(p, &why);
    lw_line_add(&otherwise, "Then you overstay; the sign at the place and its office win.");
    if (by_rule && p->in->answer->loaded.left.again_day > p->in->answer->loaded.left.leave_day)
        lw_line_add(&otherwise, " Having stayed until then you may be back from %s.",
                    lw_civil_say(again, sizeof again, p->in->answer->loaded.left.again_day));
}

/* ---- permits ---- */

/* Before the household leaves, as far as is looked. */
static int is_in_stay(const lw_planner *p, int64_t at_s)
{
    return at_s < lw_concern_until(&p->speaker);
}

static void plan_price(lw_planner *p, const lw_named_permit *permit)
{
    const int64_t due = lw_permit_due_day(&permit->terms, day_of(p, p->today->now_s) - 1);
    char money[LW_MONEY_TEXT], day[CIVIL];
    if (!due || !(permit->terms.price_usd > 0.0) || !is_in_stay(p, end_of_day(p, due) - DAY_S))
        return;
    lw_todo *to = lw_todo_new(p, LW_TODO_PERMIT, end_of_day(p, due), "stay");
    if (!to)
        return;
    lw_money_print(money, sizeof money, (int64_t)llround(permit->terms.price_usd * 100.0), LW_CURRENCY_USD);
    snprintf(to->what, sizeof to->what, "Pay for the permit %s again on %s: %s.", permit->name,
             lw_civil_say(day, sizeof day, due), money);
    snprintf(to->why, sizeof to->why, "Its price is due again every %d days.", permit->terms.renews_days);
    snprintf(to->otherwise, sizeof to->otherwise, "Then it holds no longer, and the stay rule counts.");
}

/* The last of them ends, and the rule has days left behind it; where it has none, the stay ends with the permit. */
static void plan_permit_end(lw_planner *p)
{
    const lw_loaded *loaded = &p->in->answer->loaded;
    lw_permit terms[LW_PERMITS];
    char day[CIVIL];
    for (int i = 0; i < loaded->permit_count; i++)
        terms[i] = loaded->permit[i].terms;
    const lw_ledger ledger = {.permit = terms, .permit_count = loaded->permit_count};
    const int64_t today = day_of(p, p->today->now_s);
    const int64_t last =
        loaded->permit_count > 0 ? lw_permit_covered_until(&ledger, terms[0].manager, today) : today - 1;
    if (last < today || last >= today + LW_STAY_HORIZON_DAYS || !is_in_stay(p, end_of_day(p, last)) ||
        (is_by_rule(p) && loaded->left.leave_day <= last))
        return;
    lw_todo *to = lw_todo_new(p, LW_TODO_PERMIT, end_of_day(p, last), "stay");
    if (!to)
        return;
    snprintf(to->what, sizeof to->what, "Get the next permit, or leave.");
    snprintf(to->why, sizeof to->why, "Your permit here ends on %s.", lw_civil_say(day, sizeof day, last));
    if (loaded->left.is_limited && loaded->left.leave_day > last)
        snprintf(to->otherwise, sizeof to->otherwise, "Then the stay rule counts: you may stay until %s.",
                 lw_civil_say(day, sizeof day, loaded->left.leave_day));
    else
        snprintf(to->otherwise, sizeof to->otherwise, "Then you stay without one, and the stay rule counts.");
}

void lw_plan_permits(lw_planner *p)
{
    for (int i = 0; i < p->in->answer->loaded.permit_count; i++)
        plan_price(p, &p->in->answer->loaded.permit[i]);
    plan_permit_end(p);
}

/* ---- mobile data ---- */

/* The next renewal of any plan: the civil day it begins on. 0: none is known. */
static int64_t renewal_day(const lw_planner *p)
{
    const lw_loaded *loaded = &p->in->answer->loaded;
    const int64_t today = day_of(p, p->today->now_s);
    for (int64_t day = today + 1; day <= today + MONTH_DAYS; day++) {
        const lw_date date = lw_date_of(day);
        const int last = lw_days_in_month(date.year, date.month);
        for (int c = 0; c < loaded->connection_count; c++) {
            const int renews = loaded->connection[c].renews_day;
            if (renews && date.day == (renews < last ? renews : last))
                return day;
        }
    }
    return 0;
}

/* What is left of all plans, and what of it leisure may not spend. */
static void data_now(const lw_planner *p, double *left, double *kept)
{
    const lw_rig *rig = &p->speaker.scenario->rig;
    const int row = lw_joint_row_at(p->in->answer, p->today->now_s);
    *left = *kept = 0.0;
    for (int v = 0; v < rig->vessel_count; v++) {
        if (rig->vessel[v].supply != LW_SUPPLY_DATA)
            continue;
        const double level = row < 0 ? rig->vessel[v].level : p->in->answer->joint.state[row].level[v];
        *left += level;
        *kept += fmin(level, rig->vessel[v].work_reserve);
    }
}

/* Leisure would spend its share before the plan renews or the household leaves. */
void lw_plan_data(lw_planner *p)
{
    const lw_leeway *l = &p->in->answer->outlook->leisure_data;
    const int64_t renewal = renewal_day(p);
    const int64_t renews_s = renewal ? end_of_day(p, renewal - 1) : INT64_MAX, leaves_s = lw_concern_until(&p->speaker);
    const int64_t until_s = renews_s < leaves_s ? renews_s : leaves_s;
    char a_day[LW_QUANTITY_BYTES], left_say[LW_QUANTITY_BYTES], kept_say[LW_QUANTITY_BYTES], when[LW_WHEN], day[CIVIL];
    double left, kept;
    if (!l->is_present || l->q[0].beyond_horizon || l->q[0].at_s >= until_s)
        return;
    data_now(p, &left, &kept);
    lw_todo *to = left > 0.0 ? lw_todo_new(p, LW_TODO_DATA, l->q[0].at_s, "") : NULL; /* without any, the run tells */
    if (!to)
        return;
    const double days = (double)(until_s - p->today->now_s) / (double)DAY_S;
    const lw_unit_system units = p->in->choice.units;
    (void)lw_amount_print(a_day, sizeof a_day, LW_SUPPLY_DATA, fmax(left - kept, 0.0) / days, units);
    (void)lw_amount_print(left_say, sizeof left_say, LW_SUPPLY_DATA, left, units);
    (void)lw_amount_print(kept_say, sizeof kept_say, LW_SUPPLY_DATA, kept, units);
    const char *end = until_s == renews_s ? "the plan renews" : "you leave";
    lw_line why = lw_line_of(to->why, sizeof to->why);
    if (left > kept) {
        snprintf(to->what, sizeof to->what, "Spend no more than %s of mobile data a day besides work until %s.", a_day,
                 end);
        lw_line_add(&why, "%s are left and %s of them are kept for work; as you live, the rest lasts until %s",
                    left_say, kept_say, lw_when_say(&p->speaker, l->q[0].at_s, when, sizeof when));
    } else {
        snprintf(to->what, sizeof to->what, "Use mobile data for work alone until %s.", end);
        lw_line_add(&why, "The %s left are what work needs", left_say);
    }
    if (renewal)
        lw_line_add(&why, ", and the plan renews on %s", lw_civil_say(day, sizeof day, renewal));
    lw_line_add(&why, ".");
    snprintf(to->otherwise, sizeof to->otherwise, "Then what is left is for work alone, until it is used up too.");
}
