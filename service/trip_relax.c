/* Nothing keeps all wishes: which few to relax. Sets are tried in the order of their size, so the first that do are smallest. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/trip_internal.h"
#include "service/words_internal.h"
#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

enum { ITEMS = LW_TRIP_FILE_WISHES + 11, SET_MOST = 3, WORDS = 256 };
static const double WORK_LESS_FRAC = 0.6, MORE = 1.5, COLDER_K = 6.0, HOTTER_K = 5.0, SECONDS_EACH = 1.0;

typedef enum item_kind {
    DROP_MUST,
    LESS_WORK,
    NO_WORK,
    DAY_LONGER,
    WEEK_LONGER,
    COLDER,
    HOTTER,
    DEARER,
    NO_FALLBACK,
    LASTING
} item_kind;

typedef struct item {
    item_kind kind;
    int wish;
} item;

static int list_items(const lw_trip_file *file, const lw_trip_tables *t, item *to)
{
    int count = 0;
    for (int w = 0; w < file->wish_count; w++)
        if (file->wish[w].is_must)
            to[count++] = (item){DROP_MUST, w};
    if (t->work_days && file->work_frac > WORK_LESS_FRAC)
        to[count++] = (item){LESS_WORK, 0};
    to[count++] = (item){DAY_LONGER, 0};
    to[count++] = (item){WEEK_LONGER, 0};
    if (!isnan(file->coldest_c))
        to[count++] = (item){COLDER, 0};
    if (!isnan(file->hottest_c))
        to[count++] = (item){HOTTER, 0};
    if (!isnan(file->budget_usd))
        to[count++] = (item){DEARER, 0};
    to[count++] = (item){NO_FALLBACK, 0};
    if (t->work_days && file->work_frac > 0.0)
        to[count++] = (item){NO_WORK, 0};
    to[count++] = (item){LASTING, 0};
    return count;
}

static void apply(const item *what, lw_trip_file *file, lw_trip_tables *t)
{
    switch (what->kind) {
    case DROP_MUST:
        file->wish[what->wish].is_must = 0;
        break;
    case LESS_WORK:
        file->work_frac = fmin(file->work_frac, WORK_LESS_FRAC);
        break;
    case NO_WORK:
        file->work_frac = 0.0;
        break;
    case DAY_LONGER:
        file->drive_day_s = fmin(86400.0, file->drive_day_s * MORE);
        break;
    case WEEK_LONGER:
        file->drive_week_s *= MORE;
        break;
    case COLDER:
        file->coldest_c -= COLDER_K;
        break;
    case HOTTER:
        file->hottest_c += HOTTER_K;
        break;
    case DEARER:
        file->budget_usd *= MORE;
        break;
    case NO_FALLBACK:
        t->has_no_fallbacks = 1;
        break;
    default:
        t->has_no_supplies = 1;
    }
}

static int knows_services(const lw_trip_file *file)
{
    int knows = file->service_count > 0;
    for (int p = 0; p < file->place_count; p++)
        knows |= !isnan(file->place[p].road_s) || file->place[p].has_everything;
    return knows;
}

/* Where a full load lasts longest, for how long, and what would help first. */
static void say_lasting(const lw_trip_file *file, const lw_trip_tables *t, char *buf, size_t n)
{
    const lw_generator_use *set = &t->camp.scenario->rig.generator;
    double most = 0.0;
    int at = 0, is_battery = 0;
    lw_line line = lw_line_of(buf, n);
    for (int p = 0; p < file->place_count; p++)
        for (int i = 0; i < t->samples; i++) {
            const double lasts = fmin(t->lasts[p][i], t->battery[p][i]);
            if (!isinf(lasts) && lasts > most)
                most = lasts, at = p, is_battery = t->battery[p][i] < t->lasts[p][i];
        }
    most = round(10.0 * most) / 10.0;
    lw_line_add(&line, "supplies that last longer (the best is %s, %s %s%s", file->place[at].name, lw_num(most).text,
                most == 1.0 ? "night" : "nights", is_battery ? " of battery" : "");
    if (is_battery && set->is_present && !set->is_automatic)
        lw_line_add(&line, "; by rig.generator.automatic: yes the generator charges it");
    if (!knows_services(file))
        lw_line_add(&line, "; no way to services is said: road of a place, or services");
    lw_line_add(&line, ")");
}

static void say_item(const item *what, const lw_trip_file *file, const lw_trip_tables *t, lw_unit_system units,
                     char *buf, size_t n)
{
    char amount[64];
    switch (what->kind) {
    case DROP_MUST:
        snprintf(buf, n, "%s need not be", file->wish[what->wish].what);
        break;
    case LESS_WORK:
        snprintf(buf, n, "a work day with signal at %s %%", lw_num(100.0 * WORK_LESS_FRAC).text);
        break;
    case NO_WORK:
        snprintf(buf, n, "work days without signal");
        break;
    case DAY_LONGER:
        snprintf(buf, n, "%s h at the wheel a day", lw_num(file->drive_day_s * MORE / 3600.0).text);
        break;
    case WEEK_LONGER:
        snprintf(buf, n, "%s h at the wheel a week", lw_num(file->drive_week_s * MORE / 3600.0).text);
        break;
    case COLDER:
        snprintf(buf, n, "nights down to %s",
                 lw_quantity_print(amount, sizeof amount, file->coldest_c - COLDER_K, LW_DIM_TEMPERATURE, units));
        break;
    case HOTTER:
        snprintf(buf, n, "days up to %s",
                 lw_quantity_print(amount, sizeof amount, file->hottest_c + HOTTER_K, LW_DIM_TEMPERATURE, units));
        break;
    case DEARER:
        snprintf(buf, n, "a budget of %s USD", lw_num(ceil(file->budget_usd * MORE)).text);
        break;
    case NO_FALLBACK:
        snprintf(buf, n, "places with no other near");
        break;
    default:
        say_lasting(file, t, buf, n);
    }
}

typedef struct search {
    const lw_trip_file *file;
    lw_trip_file *changed;
    const lw_trip_ask *ask;
    lw_trip_tables *t;
    item item[ITEMS];
    int count, wish; /* wish: that is to be kept besides; -1: none */
} search;

static int is_found_with(search *s, const int *set, int size)
{
    lw_trip_out out = {0};
    lw_err err = {0};
    *s->changed = *s->file;
    if (s->wish >= 0)
        s->changed->wish[s->wish].is_must = 1;
    s->t->has_no_fallbacks = s->t->has_no_supplies = 0;
    for (int i = 0; i < size; i++)
        apply(&s->item[set[i]], s->changed, s->t);
    lw_trip_tables_lay(s->t, s->changed);
    return lw_trip_solve(s->ask, s->t, SECONDS_EACH, 1, &out, &err) == LW_OK && out.is_found;
}

static void tell(const search *s, const int *set, int size, lw_trip_planned *to)
{
    lw_line line = lw_line_of(to->relax[to->relax_count], sizeof to->relax[0]);
    char words[WORDS];
    to->relax_count++;
    for (int i = 0; i < size; i++) {
        say_item(&s->item[set[i]], s->file, s->t, to->units, words, sizeof words);
        lw_line_add(&line, "%s%s", i == 0 ? "" : i + 1 < size ? ", " : " and ", words);
    }
}

/* The next set of that size in order; 0: there is none. */
static int next_set(int *set, int size, int count)
{
    int i = size - 1;
    while (i >= 0 && set[i] == count - size + i)
        i--;
    if (i < 0)
        return 0;
    set[i]++;
    for (i++; i < size; i++)
        set[i] = set[i - 1] + 1;
    return 1;
}

static void say_why(const lw_trip_ask *ask, const lw_trip_tables *t, lw_trip_planned *to)
{
    lw_trip_out out;
    lw_err err = {0};
    char day[64];
    lw_line line = lw_line_of(to->why, sizeof to->why);
    if (lw_trip_solve(ask, t, SECONDS_EACH, 1, &out, &err))
        return;
    if (out.blocked_day >= 0)
        lw_line_add(&line, "No place allows the night of %s within %s h at the wheel a day",
                    lw_day_print(day, sizeof day, &to->zone, lw_trip_date_s(to, out.blocked_day, 12)),
                    lw_num(to->file.drive_day_s / 3600.0).text);
    else
        lw_line_add(&line, "Each night has a place that allows it, but %s",
                    out.is_proven ? "no trip keeps all wishes and limits together"
                                  : "no trip was found that keeps all wishes and limits together");
    lw_line_add(&line, ".");
    if (to->left_out[0])
        lw_line_add(&line, " %s", to->left_out);
}

void lw_trip_relax(const lw_trip_ask *ask, lw_trip_tables *t, lw_trip_planned *to)
{
    search s = {.file = &to->file, .ask = ask, .t = t, .wish = -1};
    t->in.cap_count = 0;
    say_why(ask, t, to);
    s.changed = calloc(1, sizeof *s.changed);
    if (!s.changed)
        return;
    s.count = list_items(s.file, t, s.item);
    for (int size = 1; size <= SET_MOST && size <= s.count && to->relax_count == 0; size++) {
        int set[SET_MOST] = {0, 1, 2};
        do
            if (is_found_with(&s, set, size))
                tell(&s, set, size, to);
        while (to->relax_count < LW_TRIP_RELAXED && !lw_trip_is_enough(ask) && next_set(set, size, s.count));
    }
    free(s.changed);
}

/* ---- a wish that was left ---- */

static void say_what_stands_in_its_way(search *s, const lw_trip_planned *to, char *why, size_t n)
{
    char words[WORDS];
    lw_line line = lw_line_of(why, n);
    lw_line_add(&line, "no trip of these dates and places keeps it");
    for (int i = 0; i < s->count && !lw_trip_is_enough(s->ask); i++)
        if (s->item[i].kind != DROP_MUST && is_found_with(s, &i, 1)) {
            say_item(&s->item[i], s->file, s->t, to->units, words, sizeof words);
            lw_line_add(&line, "; with %s one would", words);
            return;
        }
}

/* Whether any place of the wish allows any night of its dates. */
static int has_night(const lw_trip_tables *t, const lw_trip_wish *wish)
{
    for (int p = 0; p < t->in.place_count; p++)
        for (int d = wish->from_day; d < wish->until_day && (wish->of[p / 64] >> (p % 64) & 1u); d++)
            if (t->cell[p * t->in.days + d].may & LW_TRIP_NIGHT)
                return 1;
    return 0;
}

static void why_one(search *s, const lw_trip_planned *to, const lw_trip_made *plan, char *why, size_t n)
{
    const lw_trip_file_wish *wish = &to->file.wish[s->wish];
    const double net_usd = wish->worth_usd - lw_trip_outing_usd(s->file, wish);
    lw_trip_out out = {0};
    lw_err err = {0};
    if (net_usd <= 0.0) {
        snprintf(why, n, "the way there and back costs more than it is worth to you");
        return;
    }
    *s->changed = *s->file;
    s->changed->wish[s->wish].is_must = 1;
    s->t->has_no_fallbacks = s->t->has_no_supplies = 0;
    lw_trip_tables_lay(s->t, s->changed);
    for (int w = 0; w < s->t->in.wish_count; w++)
        if (s->t->wish_of[w] == s->wish && !has_night(s->t, &s->t->wish[w])) {
            snprintf(why, n, "no place of it allows a night then: closed, too cold or hot, or too small");
            return;
        }
    if (lw_trip_solve(s->ask, s->t, SECONDS_EACH, 0, &out, &err))
        return;
    const double less_usd = (double)(plan->out.value_c - out.value_c) / 100.0 - net_usd;
    if (out.is_found)
        snprintf(why, n, "the best trip with it%s is worth %s USD less", out.is_proven ? "" : " that was found",
                 lw_num(fmax(1.0, round(less_usd))).text);
    else if (out.is_proven)
        say_what_stands_in_its_way(s, to, why, n);
    else
        snprintf(why, n, "no trip with it was found in a second");
}

void lw_trip_why_missed(const lw_trip_ask *ask, lw_trip_tables *t, const lw_trip_planned *to, lw_trip_made *plan)
{
    search s = {.file = &to->file, .ask = ask, .t = t, .changed = calloc(1, sizeof *s.changed)};
    if (!s.changed)
        return;
    s.count = list_items(s.file, t, s.item);
    lw_trip_tables_aim(t, plan->aim_frac);
    for (s.wish = 0; s.wish < to->file.wish_count && !lw_trip_is_enough(ask); s.wish++)
        if ((plan->wishes_asked & ~plan->wishes_kept) >> s.wish & 1u)
            why_one(&s, to, plan, plan->why_missed[s.wish], sizeof plan->why_missed[0]);
    t->has_no_fallbacks = t->has_no_supplies = 0;
    lw_trip_tables_lay(t, s.file);
    free(s.changed);
}
