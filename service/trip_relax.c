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

enum { ITEMS = LW_TRIP_FILE_WISHES + 10, SET_MOST = 3 };
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
    NO_FALLBACK
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
    default:
        t->has_no_fallbacks = 1;
    }
}

static void say_item(const item *what, const lw_trip_file *file, lw_unit_system units, char *buf, size_t n)
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
    default:
        snprintf(buf, n, "places with no other near");
    }
}

typedef struct search {
    const lw_trip_file *file;
    lw_trip_file *changed;
    const lw_trip_ask *ask;
    lw_trip_tables *t;
    item item[ITEMS];
    int count;
} search;

static int is_found_with(search *s, const int *set, int size)
{
    lw_trip_out out;
    lw_err err = {0};
    *s->changed = *s->file;
    s->t->has_no_fallbacks = 0;
    for (int i = 0; i < size; i++)
        apply(&s->item[set[i]], s->changed, s->t);
    lw_trip_tables_lay(s->t, s->changed);
    return lw_trip_solve(s->ask, s->t, SECONDS_EACH, 1, &out, &err) == LW_OK && out.is_found;
}

static void tell(const search *s, const int *set, int size, lw_trip_planned *to)
{
    lw_line line = lw_line_of(to->relax[to->relax_count], sizeof to->relax[0]);
    char words[128];
    to->relax_count++;
    for (int i = 0; i < size; i++) {
        say_item(&s->item[set[i]], s->file, to->units, words, sizeof words);
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
        lw_line_add(&line, "Each wish can be kept by itself, but %s",
                    out.is_proven ? "no trip keeps all of them" : "no trip was found that keeps all of them");
    lw_line_add(&line, ".");
    if (to->left_out[0])
        lw_line_add(&line, " %s", to->left_out);
}

void lw_trip_relax(const lw_trip_ask *ask, lw_trip_tables *t, lw_trip_planned *to)
{
    search s = {.file = &to->file, .ask = ask, .t = t};
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
