#include "service/levers.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/tables.h"
#include "service/levers_internal.h"
#include "service/pool.h"
#include "text/decimal.h"
#include "text/say.h"

static const double HOUR_S = 3600.0, DAY_H = 24.0;
static const double SAME_DAYS = 0.05;    /* less than the tenth of a day that is shown */
static const double SAME_FRAC = 1e-9;    /* of use and room: rounding, no change */
static const double USE_STRENGTH = 1e-3; /* between rivals whose ends are beyond the horizon, use decides */
static const double WEEK_H = 7.0 * 24.0;

const char *lw_lever_sort_word(lw_lever_sort sort)
{
#define WORD(id, word) word,
    static const char *const WORDS[] = {LW_LEVER_SORTS(WORD)};
#undef WORD
    return WORDS[sort];
}

/* ------------------------------------------------------------------ rows to figures */

float lw_row_first_h(const lw_trial_row *row)
{
    float first = INFINITY;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        first = row->end_h[k] < first ? row->end_h[k] : first;
    return first;
}

static float end_of(const lw_trial_row *row, int supply)
{
    return supply == LW_TARGET_ALL ? lw_row_first_h(row) : row->end_h[supply];
}

double lw_rows_stay_frac(const lw_levers_work *w, const lw_trial_row *row, int count)
{
    int stays = 0;
    for (int i = 0; i < count; i++)
        stays += lw_row_first_h(&row[i]) >= (float)w->wished_h;
    return (double)stays / count;
}

static int by_size(const void *a, const void *b)
{
    const float x = *(const float *)a, y = *(const float *)b;
    return (x > y) - (x < y);
}

/* Days that a supply lasts in this share of the draws; infinite: to the horizon. */
double lw_rows_sure_days(const lw_trial_row *row, int count, int supply, double frac)
{
    float *end_h = malloc((size_t)count * sizeof *end_h);
    if (!end_h)
        return INFINITY;
    for (int i = 0; i < count; i++)
        end_h[i] = end_of(&row[i], supply);
    qsort(end_h, (size_t)count, sizeof *end_h, by_size);
    const int lost = count - (int)ceil(frac * count - 1e-9);
    const double days = (double)end_h[lost] / DAY_H;
    free(end_h);
    return days;
}

/* P50 in days, as core/sim/ensemble.h counts it; infinite: beyond the horizon. */
static double middle_days(const lw_trial_row *row, int count, int supply)
{
    float *end_h = malloc((size_t)count * sizeof *end_h);
    if (!end_h)
        return INFINITY;
    for (int i = 0; i < count; i++)
        end_h[i] = end_of(&row[i], supply);
    qsort(end_h, (size_t)count, sizeof *end_h, by_size);
    const double days = (double)end_h[(count + 1) / 2 - 1] / DAY_H;
    free(end_h);
    return days;
}

static void say_gain(lw_gain *g)
{
    const double shown = nearbyint(g->difference_days * 10.0) / 10.0;
    const char *sign = shown > 0.0 ? "+" : "";
    if (g->bound == LW_BOUND_UNKNOWN)
        g->text[0] = '\0';
    else if (g->bound == LW_BOUND_EXACT && fabs(g->difference_days) < SAME_DAYS)
        snprintf(g->text, sizeof g->text, "same");
    else
        snprintf(g->text, sizeof g->text, "%s%s%s",
                 g->bound == LW_BOUND_AT_LEAST  ? ">= "
                 : g->bound == LW_BOUND_AT_MOST ? "<= "
                                                : "",
                 sign, lw_num(shown).text);
}

lw_gain lw_gain_of(const lw_levers_work *w, const lw_trial_row *row, int supply)
{
    const double before = middle_days(w->base_row, w->to->draws, supply),
                 after = middle_days(row, w->to->draws, supply);
    lw_gain g = {.had = 1, .has = 1, .before_is_beyond = isinf(before), .after_is_beyond = isinf(after)};
    g.before_days = g.before_is_beyond ? w->to->horizon_days : before;
    g.after_days = g.after_is_beyond ? w->to->horizon_days : after;
    g.bound = g.before_is_beyond && g.after_is_beyond ? LW_BOUND_UNKNOWN
              : g.after_is_beyond                     ? LW_BOUND_AT_LEAST
              : g.before_is_beyond                    ? LW_BOUND_AT_MOST
                                                      : LW_BOUND_EXACT;
    g.difference_days = g.bound == LW_BOUND_UNKNOWN ? 0.0 : g.after_days - g.before_days;
    say_gain(&g);
    return g;
}

/* ------------------------------------------------------------------ what a lever touches */

/* What can be drawn, or what fits, at the start. */
static double room_of(const lw_leeway *l, lw_supply supply)
{
    return lw_supply_fills(supply) ? l->capacity - l->start[1] : l->start[1];
}

static int is_more(double a, double b)
{
    return a - b > SAME_FRAC * fmax(fabs(a), fabs(b));
}

/* By the usual course: less use or more room helps, more use or less room hurts; so does what falls on the panels, though no
 * draw of the unchanged camp may end its battery: another lever can make it. */
static void touch_by_course(const lw_levers_work *w, const lw_outlook *plain, lw_lever *lever)
{
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        const lw_leeway *a = &w->base_plain->leeway[k], *b = &plain->leeway[k];
        const double had = a->is_present ? room_of(a, (lw_supply)k) : 0.0;
        const double has = b->is_present ? room_of(b, (lw_supply)k) : 0.0;
        lever->use_more[k] = (b->is_present ? b->use_per_day : 0.0) - (a->is_present ? a->use_per_day : 0.0);
        lever->room_more[k] = has - had;
        if (k == LW_SUPPLY_STAY || !a->is_present)
            continue;
        if (is_more(a->use_per_day, b->use_per_day) || is_more(has, had) || is_more(b->q[1].days, a->q[1].days))
            lever->in_set.helps |= UINT32_C(1) << k;
        if (is_more(b->use_per_day, a->use_per_day) || is_more(had, has) || is_more(a->q[1].days, b->q[1].days))
            lever->in_set.hurts |= UINT32_C(1) << k;
    }
    const double sun = plain->own.of[LW_FLOW_SUN_PANELS], before = w->base_plain->own.of[LW_FLOW_SUN_PANELS];
    lever->in_set.helps |= is_more(sun, before) ? UINT32_C(1) << LW_SUPPLY_BATTERY : 0u;
    lever->in_set.hurts |= is_more(before, sun) ? UINT32_C(1) << LW_SUPPLY_BATTERY : 0u;
}

static int ends_in_some_draw(const lw_levers_work *w, int supply)
{
    for (int i = 0; i < w->to->draws; i++)
        if (!isinf(w->base_row[i].end_h[supply]))
            return 1;
    return 0;
}

/* What poor sun or cold decides about may show in no usual course: panels, batteries, machines, a furnace. */
static int hangs_on_weather(const lw_lever *lever)
{
    static const char CABIN[] = "rig.cabin.";
    return lever->sort == LW_LEVER_GENERATOR || lever->sort == LW_LEVER_RUN || lever->sort == LW_LEVER_PURCHASE ||
           strncmp(lever->change[0], CABIN, sizeof CABIN - 1) == 0;
}

/* Draws are spared where nothing that ends here is touched, and nothing else is made worse. */
static int needs_draws(const lw_levers_work *w, const lw_lever *lever)
{
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if ((lever->in_set.hurts >> k & 1u) || ((lever->in_set.helps >> k & 1u) && ends_in_some_draw(w, k)))
            return 1;
    return hangs_on_weather(lever);
}

static void touch_by_draws(const lw_levers_work *w, const lw_trial_row *row, lw_lever *lever)
{
    const float horizon_h = (float)w->base.horizon_h;
    for (int k = 0; k <= LW_TARGET_ALL; k++) {
        double sum_h = 0.0;
        for (int i = 0; i < w->to->draws; i++) {
            const float had = fminf(end_of(&w->base_row[i], k), horizon_h), has = fminf(end_of(&row[i], k), horizon_h);
            lever->in_set.helps |= k < LW_TARGET_ALL && has > had ? UINT32_C(1) << k : 0u;
            lever->in_set.hurts |= k < LW_TARGET_ALL && has < had ? UINT32_C(1) << k : 0u;
            sum_h += (double)has;
        }
        lever->in_set.strength[k] = sum_h / w->to->draws;
        if (k < LW_TARGET_ALL && w->base_plain->leeway[k].use_per_day > 0.0)
            lever->in_set.strength[k] -= USE_STRENGTH * lever->use_more[k] / w->base_plain->leeway[k].use_per_day;
    }
    /* All supplies together: whatever helps one may help, whatever hurts one may hurt; rivals of a group are not compared. */
    const uint32_t all = UINT32_C(1) << LW_TARGET_ALL;
    lever->in_set.helps |= lever->in_set.helps || lever->exclusive[0] ? all : 0u;
    lever->in_set.hurts |= lever->in_set.hurts || lever->exclusive[0] ? all : 0u;
}

/* ------------------------------------------------------------------ costs */

static double stay_days(const lw_levers_work *w)
{
    return w->wished_h / DAY_H;
}

static void cost(const lw_levers_work *w, lw_lever *lever)
{
    const double days = stay_days(w);
    const double saved_usd = -(lever->use_more[LW_SUPPLY_FUEL] * w->to->fuel_usd_l +
                               lever->use_more[LW_SUPPLY_PROPANE] * w->to->propane_usd_kg);
    lever->running_usd = -saved_usd * days;
    lever->minutes = lever->minutes_once + lever->minutes_a_day * days;
    lever->burden_usd =
        fmax(lever->price_usd + lever->running_usd + fmax(lever->minutes, 0.0) / 60.0 * w->to->hour_usd +
                 lever->nuisance * days * w->to->nuisance_usd,
             0.0);
    lever->in_set.burden = lever->burden_usd;
    if (lever->sort == LW_LEVER_PURCHASE)
        lever->payback_days = saved_usd > 1e-6 ? lever->price_usd / saved_usd : INFINITY;
}

/* ------------------------------------------------------------------ one lever */

static const lw_table *open_habits(lw_table *habits, lw_err *err)
{
    return lw_table_open("habits", habits, err) ? NULL : habits;
}

static void habit_minutes(const lw_levers_work *w, const lw_loaded *changed, lw_lever *lever)
{
    lw_table habits = {0};
    lw_err unused = {0};
    if (lever->sort != LW_LEVER_HABIT || !lever->exclusive[0] || !open_habits(&habits, &unused))
        return;
    double today = 0.0;
    for (int row = 0; row < habits.rows; row++)
        if (strcmp(lw_table_cell(&habits, row, "activity"), lever->exclusive) == 0)
            today += lw_lever_habit_minutes(&w->base.loaded, &habits, lw_table_cell(&habits, row, "id"));
    lever->minutes_a_day = lw_lever_habit_minutes(changed, &habits, lever->id) - today;
    lw_table_clear(&habits);
}

static void fill_gains(const lw_levers_work *w, const lw_trial_row *row, const lw_outlook *plain, lw_lever *lever)
{
    lever->stay = lw_gain_of(w, row, LW_TARGET_ALL);
    lever->stays_frac = lw_rows_stay_frac(w, row, w->to->draws);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        if (w->base_plain->leeway[k].is_present && plain->leeway[k].is_present)
            lever->gain[k] = lw_gain_of(w, row, k);
        else
            lever->gain[k] = (lw_gain){.had = w->base_plain->leeway[k].is_present,
                                       .has = plain->leeway[k].is_present,
                                       .bound = LW_BOUND_UNKNOWN};
    }
}

static void try_lever(void *with, int worker, int at)
{
    lw_levers_work *w = with;
    lw_lever *lever = &w->to->lever[at];
    lw_outlook *plain = w->plain[worker];
    const char *change[LW_LEVER_CHANGES];
    lw_err err = {0};
    lw_trial trial;
    lw_trial_row *row = malloc((size_t)w->to->draws * sizeof *row);
    for (int i = 0; i < lever->change_count; i++)
        change[i] = lever->change[i];
    if (!row || lw_trial_make(w->trials, change, lever->change_count, &trial, &err)) {
        snprintf(lever->why_not, sizeof lever->why_not, "%.150s", row ? err.text : "no memory");
        free(row);
        return;
    }
    lw_trial_plain(&trial, plain);
    habit_minutes(w, &trial.loaded, lever);
    touch_by_course(w, plain, lever);
    cost(w, lever);
    lever->is_drawn = needs_draws(w, lever);
    if (lever->is_drawn)
        lw_trial_rows(&trial, &w->bench[worker], 0, (uint32_t)w->to->draws, row);
    else
        memcpy(row, w->base_row, (size_t)w->to->draws * sizeof *row);
    touch_by_draws(w, row, lever);
    fill_gains(w, row, plain, lever);
    if (w->factor)
        lw_levers_sum(w, &trial, worker, &w->sums[lever->number]);
    lw_trial_clear(&trial);
    free(row);
}

/* ------------------------------------------------------------------ order */

static double worth(const lw_lever *l)
{
    double sum = 1e3 * l->stay.difference_days + 1e2 * l->stays_frac;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        sum += l->gain[k].difference_days > 0.0 ? l->gain[k].difference_days : 0.0;
    return sum;
}

static int by_worth(const void *a, const void *b)
{
    const lw_lever *x = a, *y = b;
    const int tried = (x->why_not[0] != '\0') - (y->why_not[0] != '\0');
    const double p = worth(x), q = worth(y);
    return tried ? tried : p != q ? (p < q) - (p > q) : strcmp(x->id, y->id);
}

/* ------------------------------------------------------------------ the unchanged camp */

/* 10:00 by the place's clock, before the stay's safe end. */
static int64_t run_time(const lw_loaded *loaded, int64_t start_s, double safe_h)
{
    const int64_t safe_s = start_s + (int64_t)(safe_h * HOUR_S);
    int64_t at_s = start_s + 2 * (int64_t)HOUR_S;
    for (int64_t t = start_s - start_s % 3600; t + 3600 < safe_s; t += 3600)
        if (t > at_s && lw_clock_at(&loaded->zone, t).hour == 10)
            at_s = t;
    return at_s;
}

static double safe_hours(const lw_levers_work *w)
{
    float *first = malloc((size_t)w->to->draws * sizeof *first);
    if (!first)
        return 0.0;
    for (int i = 0; i < w->to->draws; i++)
        first[i] = lw_row_first_h(&w->base_row[i]);
    qsort(first, (size_t)w->to->draws, sizeof *first, by_size);
    const float h = first[(w->to->draws + 9) / 10 - 1];
    free(first);
    return isinf(h) ? w->wished_h : (double)h;
}

static void fill_base(lw_levers_work *w)
{
    lw_levers *to = w->to;
    to->stay = lw_gain_of(w, w->base_row, LW_TARGET_ALL);
    to->stays_frac = lw_rows_stay_frac(w, w->base_row, to->draws);
    to->binding = -1;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        to->supply[k] = (lw_gain){.bound = LW_BOUND_UNKNOWN};
        if (!w->base_plain->leeway[k].is_present)
            continue;
        to->supply[k] = lw_gain_of(w, w->base_row, k);
        if (!to->supply[k].before_is_beyond &&
            (to->binding < 0 || to->supply[k].before_days < to->supply[to->binding].before_days))
            to->binding = k;
    }
    to->run_s = run_time(&w->base.loaded, to->start_s, safe_hours(w));
}

/* How far it is looked: to the departure; without one far enough that what binds can move. */
static int hours_of(const lw_loaded *base, const lw_outlook *plain)
{
    const lw_calendar *c = &base->scenario->calendar;
    const int64_t departure_s = base->scenario->stay.departure_s;
    if (departure_s > c->start_s)
        return (int)((departure_s - c->start_s + 3599) / 3600);
    const double binds_h = plain->binding < 0 ? c->hours : plain->leeway[plain->binding].q[1].days * DAY_H;
    return (int)fmin(fmax(3.0 * binds_h, WEEK_H), c->hours);
}

static lw_code open_base(lw_levers_work *w, lw_trials *trials, lw_err *err)
{
    lw_code code = lw_trial_make(trials, NULL, 0, &w->base, err);
    if (code)
        return code;
    lw_trial_plain(&w->base, w->base_plain);
    trials->most_hours = hours_of(&w->base.loaded, w->base_plain);
    lw_trial_clear(&w->base);
    code = lw_trial_make(trials, NULL, 0, &w->base, err);
    if (code)
        return code;
    lw_trial_plain(&w->base, w->base_plain);
    const lw_scenario *s = w->base.loaded.scenario;
    w->to->start_s = s->calendar.start_s;
    w->to->departure_s = s->stay.departure_s > s->calendar.start_s ? s->stay.departure_s : 0;
    w->wished_h = w->to->departure_s ? (double)(w->to->departure_s - w->to->start_s) / HOUR_S : w->base.horizon_h;
    w->to->horizon_days = w->base.horizon_h / DAY_H;
    return LW_OK;
}

/* ------------------------------------------------------------------ all of it */

static int wants_set(const lw_levers *to)
{
    return to->departure_s && !to->wish.wants_no_set;
}

static lw_code take_memory(lw_levers_work *w, lw_err *err)
{
    w->bench = calloc((size_t)w->threads, sizeof *w->bench);
    w->plain = calloc((size_t)w->threads, sizeof(void *));
    w->base_plain = malloc(sizeof *w->base_plain);
    const int rows = w->to->draws > w->to->set_draws ? w->to->draws : w->to->set_draws;
    w->base_row = calloc((size_t)rows, sizeof *w->base_row);
    int is_whole = w->bench && w->plain && w->base_plain && w->base_row;
    for (int i = 0; is_whole && i < w->threads; i++)
        is_whole = (w->plain[i] = malloc(sizeof **w->plain)) != NULL;
    return is_whole ? LW_OK : lw_fail(err, LW_E_FULL, "no memory to try changes");
}

static void give_memory(lw_levers_work *w)
{
    for (int i = 0; w->bench && i < w->threads; i++)
        lw_bench_close(&w->bench[i]);
    for (int i = 0; w->plain && i < w->threads; i++)
        free(w->plain[i]);
    free(w->bench);
    free(w->plain);
    free(w->base_plain);
    free(w->base_row);
    lw_levers_sums_close(w);
    lw_trial_clear(&w->base);
}

static lw_code take_wish(const lw_levers_wish *wish, uint64_t seed, lw_levers *to, lw_err *err)
{
    *to = (lw_levers){.wish = *wish, .hour_usd = wish->hour_usd, .nuisance_usd = wish->nuisance_usd, .seed = seed};
    to->draws = wish->draws > 0 ? wish->draws : LW_LEVER_DRAWS_USUAL;
    to->set_draws = wish->set_draws > 0              ? wish->set_draws
                    : to->draws > LW_LEVER_SET_DRAWS ? to->draws
                                                     : LW_LEVER_SET_DRAWS;
    if (!(wish->confidence_frac >= 0.5 && wish->confidence_frac <= 0.99))
        return lw_fail(err, LW_E_RANGE, "a confidence of %s; give 0.5 to 0.99", lw_num(wish->confidence_frac).text);
    to->fuel_usd_l = to->propane_usd_kg = NAN;
    to->prices.units = wish->choice.units;
    lw_code code = lw_price_take("hour", &to->hour_usd, "as you ask", &to->prices, err);
    code = code ? code : lw_price_take("nuisance", &to->nuisance_usd, "as you ask", &to->prices, err);
    code = code ? code : lw_price_take("fuel", &to->fuel_usd_l, NULL, &to->prices, err);
    return code ? code : lw_price_take("propane", &to->propane_usd_kg, NULL, &to->prices, err);
}

static lw_code make(lw_levers_work *w, lw_trials *trials, lw_err *err)
{
    lw_levers *to = w->to;
    lw_code code = take_memory(w, err);
    code = code ? code : open_base(w, trials, err);
    for (int i = 0; !code && i < w->threads; i++)
        code = lw_bench_open(&w->base, &w->bench[i], err);
    if (code)
        return code;
    const int rows = wants_set(to) && to->set_draws > to->draws ? to->set_draws : to->draws;
    lw_trial_rows_spread(&w->base, w->bench, w->threads, 0, (uint32_t)rows, w->base_row);
    fill_base(w);
    code = lw_levers_read(&w->base.loaded, to, err);
    code = code || !wants_set(to) ? code : lw_levers_sums_open(w, err);
    if (code)
        return code;
    lw_pool_run(w->threads, to->count, try_lever, w);
    qsort(to->lever, (size_t)to->count, sizeof *to->lever, by_worth);
    for (int i = 0; i < to->count; i++)
        to->not_tried += to->lever[i].why_not[0] != '\0';
    if (wants_set(to))
        code = lw_levers_choose(w, err);
    if (!code)
        lw_levers_say(to, &w->base.loaded);
    return code;
}

lw_code lw_levers_make(lw_trials *trials, const lw_levers_wish *wish, lw_levers *levers, lw_err *err)
{
    lw_levers_work w = {.trials = trials, .to = levers, .threads = lw_pool_threads(trials->threads)};
    lw_code code = take_wish(wish, trials->seed, levers, err);
    if (code)
        return code;
    trials->most_hours = 0;
    code = lw_trials_open(trials, err);
    if (code)
        return code;
    code = make(&w, trials, err);
    give_memory(&w);
    lw_trials_close(trials);
    return code;
}
