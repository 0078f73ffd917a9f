#include "service/chart.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "service/words_internal.h"
#include "text/quantity.h"

static const double DAY_S = 86400.0;
static const double LEAST_DAYS = 4.0, MOST_DAYS = 21.0;
static const double FROST_C = 0.0;

static double days_of(const lw_outlook *o, int64_t at_s)
{
    return (double)(at_s - o->start_s) / DAY_S;
}

static void fill_rows(const lw_speaker *s, const lw_words *words, lw_chart *chart)
{
    const lw_outlook *o = s->outlook;
    for (int i = 0; i < o->order_count; i++) {
        const lw_supply k = (lw_supply)o->order[i];
        const lw_leeway *l = &o->leeway[k];
        if (!words->supply[k].is_shown)
            continue;
        lw_chart_row *r = &chart->row[chart->row_count++];
        *r = (lw_chart_row){.supply = k,
                            .p10_days = l->q[0].days,
                            .p50_days = l->q[1].days,
                            .p90_days = l->q[2].days,
                            .p10_is_beyond = l->q[0].beyond_horizon,
                            .p50_is_beyond = l->q[1].beyond_horizon,
                            .p90_is_beyond = l->q[2].beyond_horizon,
                            .is_binding = (int)k == o->binding};
        snprintf(r->name, sizeof r->name, "%s", words->supply[k].name);
        snprintf(r->left, sizeof r->left, "%s", words->supply[k].left);
        snprintf(r->ends, sizeof r->ends, "%s", words->supply[k].ends);
    }
}

/* Whole civil days are easier to read than a last one cut short; the last end shown has some paper behind it. */
static double choose_days(const lw_speaker *s, const lw_chart *chart, int most_days)
{
    const lw_outlook *o = s->outlook;
    const double horizon = days_of(o, o->horizon_s), most = most_days > 0 ? most_days : MOST_DAYS;
    double last = LEAST_DAYS;
    for (int i = 0; i < chart->row_count; i++)
        if (!chart->row[i].p50_is_beyond && chart->row[i].p50_days < most)
            last = fmax(last, chart->row[i].p50_days + 1.0);
    if (o->departure_s)
        last = fmax(last, days_of(o, o->departure_s) + 1.0);
    const lw_clock end = lw_clock_at(&s->loaded->zone, o->start_s + (int64_t)(last * DAY_S));
    last = days_of(o, lw_utc_of(&s->loaded->zone, end.day + 1, 0));
    return fmin(fmin(last, most), fmin(horizon, LW_CHART_DAYS - 2));
}

static int is_work_day(const lw_scenario *scenario, int weekday)
{
    for (int p = 0; p < scenario->crew.person_count; p++)
        if (scenario->crew.person[p].work[weekday] || scenario->crew.person[p].school[weekday])
            return 1;
    return 0;
}

static void fill_weather(const lw_speaker *s, int64_t from_s, int64_t to_s, lw_chart_day *d)
{
    const lw_calendar *c = &s->scenario->calendar;
    const lw_weather *w = &s->scenario->weather;
    double clear = 0.0;
    int count = 0;
    d->low_c = d->high_c = d->clear_frac = NAN;
    for (int h = 0; h < c->hours; h++) {
        const int64_t at_s = c->start_s + 3600 * (int64_t)h;
        if (at_s < from_s || at_s >= to_s)
            continue;
        d->low_c = fmin(d->low_c, w->air_c[h]); /* fmin gives the number where the other is NaN */
        d->high_c = fmax(d->high_c, w->air_c[h]);
        clear += w->clear_frac[h];
        count += isnan(w->ghi_wm2[h]);
    }
    if (count > 0 && isfinite(clear))
        d->clear_frac = fmin(clear / count, 1.0);
    d->is_frost = d->low_c <= FROST_C;
}

static void fill_days(const lw_speaker *s, lw_chart *chart)
{
    const lw_outlook *o = s->outlook;
    const lw_zone *zone = &s->loaded->zone;
    const int64_t end_s = o->start_s + (int64_t)(chart->days_shown * DAY_S);
    for (int64_t day = lw_clock_at(zone, o->start_s).day; chart->day_count < LW_CHART_DAYS; day++) {
        const int64_t midnight_s = lw_utc_of(zone, day, 0), next_s = lw_utc_of(zone, day + 1, 0);
        const int64_t from_s = midnight_s > o->start_s ? midnight_s : o->start_s;
        const int64_t to_s = next_s < end_s ? next_s : end_s;
        if (from_s >= end_s)
            return;
        lw_chart_day *d = &chart->day[chart->day_count++];
        char date[LW_WHEN];
        *d = (lw_chart_day){.from_days = days_of(o, from_s), .to_days = days_of(o, to_s)};
        d->weekday = lw_weekday_of(day);
        d->is_work = is_work_day(s->scenario, d->weekday);
        lw_day_print(date, sizeof date, zone, from_s);
        snprintf(d->letters, sizeof d->letters, "%.2s", date);
        const char *space = strchr(date, ' ');
        const char *month = space ? strchr(space + 1, ' ') : NULL;
        if (month)
            snprintf(d->date, sizeof d->date, "%.*s%.4s", (int)(month - space - 1), space + 1, month);
        fill_weather(s, from_s, to_s, d);
    }
}

static void add_mark(const lw_speaker *s, lw_chart *chart, lw_chart_mark_kind kind, int64_t at_s, const char *word)
{
    const double at_days = days_of(s->outlook, at_s);
    char when[LW_WHEN];
    if (chart->mark_count == LW_CHART_MARKS || at_days < 0.0 || at_days > chart->days_shown)
        return;
    lw_chart_mark *m = &chart->mark[chart->mark_count++];
    *m = (lw_chart_mark){.kind = kind, .at_days = at_days};
    snprintf(m->text, sizeof m->text, "%.20s %s", word, lw_when_say(s, at_s, when, sizeof when));
    const lw_chart_mark made = *m;
    for (; m > chart->mark && m[-1].at_days > made.at_days; m--)
        m[0] = m[-1];
    *m = made;
}

/* Several vessels filled on one run are one mark. */
static void fill_marks(const lw_speaker *s, lw_chart *chart)
{
    const lw_scenario *in = s->scenario;
    if (s->outlook->departure_s)
        add_mark(s, chart, LW_MARK_DEPARTURE, s->outlook->departure_s, "leave");
    if (in->stay.stay_end_s)
        add_mark(s, chart, LW_MARK_STAY_LIMIT, in->stay.stay_end_s, "stay limit");
    for (int t = 0; t < in->transfer_count; t++)
        if (t == 0 || in->transfer[t].at_s != in->transfer[t - 1].at_s)
            add_mark(s, chart, LW_MARK_TRANSFER, in->transfer[t].at_s,
                     in->transfer[t].why[0] ? in->transfer[t].why : "change");
}

void lw_chart_make(const lw_outlook_answer *answer, const lw_words *words, const lw_words_choice *choice, int most_days,
                   lw_chart *chart)
{
    const lw_speaker s = {
        .outlook = answer->outlook, .scenario = answer->loaded.scenario, .loaded = &answer->loaded, .choice = *choice};
    char from[LW_WHEN], to[LW_WHEN];
    memset(chart, 0, sizeof *chart);
    chart->units = choice->units;
    fill_rows(&s, words, chart);
    chart->days_shown = choose_days(&s, chart, most_days);
    fill_days(&s, chart);
    fill_marks(&s, chart);
    snprintf(chart->place, sizeof chart->place, "%s", answer->loaded.scenario->place.name);
    snprintf(chart->headline, sizeof chart->headline, "%s", words->headline);
    /* The stay as wished; without a wish as far as the chart goes. */
    const int64_t shown_s = s.outlook->start_s + (int64_t)(chart->days_shown * DAY_S) - 61;
    const int64_t end_s = s.outlook->departure_s ? s.outlook->departure_s : shown_s;
    snprintf(chart->span, sizeof chart->span, "%.40s to %.40s",
             lw_day_print(from, sizeof from, &answer->loaded.zone, s.outlook->start_s),
             lw_day_print(to, sizeof to, &answer->loaded.zone, end_s));
}
