/* What each stay of a plan is like: the way there, when to set out, where to go should it be full, services, cautions. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "service/trip_internal.h"
#include "service/words_internal.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/quantity.h"
#include "text/say.h"

enum { NEAR_DAYS = 7 };
static const double FORECAST_M = 30e3; /* of the camp: the next valley may have other weather */
static const double WET_MM = 2.0, WET_FRAC = 0.5, SNOW_MM = 1.0; /* makes a track soft: from memory */

static void find_fallback(const lw_trip_tables *t, lw_trip_stop *s)
{
    s->fallback = lw_trip_fallback(t, s->place, s->arrive);
    s->fallback_min = s->fallback < 0 ? 0 : t->leg[s->place * t->in.place_count + s->fallback].road_min;
}

static int64_t dusk_s(const lw_trip_planned *to, const lw_trip_tables *t, int place, int day)
{
    return lw_trip_date_s(to, day, 0) + 60 * (int64_t)lw_trip_dusk_min(t, place, day);
}

/* The beginning of the first work hour behind a moment; INT64_MAX: nobody works. */
static int64_t next_work_s(const lw_trip_planned *to, int day, int hour)
{
    for (int d = day; d < day + 8; d++) {
        const uint32_t hours = to->work_hours[lw_weekday_of(to->file.from_day + d)];
        for (int h = d == day ? hour : 0; h < 24; h++)
            if (hours >> h & 1u)
                return lw_trip_date_s(to, d, h);
    }
    return INT64_MAX;
}

/* At the latest: to find the place, or the one near it, by daylight, and to be online when work begins again. */
static void set_out(const lw_trip_planned *to, const lw_trip_tables *t, lw_trip_stop *s)
{
    const uint32_t hours = to->work_hours[lw_weekday_of(to->file.from_day + s->arrive)];
    const int64_t here_s = dusk_s(to, t, s->place, s->arrive);
    int ends = 24;
    while (ends > 0 && !(hours >> (ends - 1) & 1u))
        ends--;
    const int64_t work_s = next_work_s(to, s->arrive, ends);
    const int64_t on_s =
        s->fallback < 0 ? here_s : dusk_s(to, t, s->fallback, s->arrive) - 60 * (int64_t)s->fallback_min;
    const int64_t near_s = on_s < here_s ? on_s : here_s;
    s->work_until_s = ends > 0 ? lw_trip_date_s(to, s->arrive, ends) : 0;
    s->leave_by_s = (near_s < work_s ? near_s : work_s) - 60 * (int64_t)s->drive_min;
}

static void note(lw_trip_stop *s, const char *text)
{
    if (s->note_count < LW_TRIP_STAY_NOTES)
        snprintf(s->note[s->note_count++], LW_SENTENCE, "%s", text);
}

static void put_calls(const lw_trip_tables *t, int round, int call[LW_TRIP_CALLS], int *calls, uint32_t *lacks)
{
    *calls = round < 0 ? 0 : t->round[round].calls;
    *lacks = round < 0 ? 0 : t->round[round].lacks;
    for (int i = 0; i < *calls; i++)
        call[i] = t->round[round].call[i];
}

/* In the words of `gives`. */
static void say_supplies(uint32_t supplies, char *buf, size_t n)
{
    static const struct {
        uint32_t any;
        const char *word;
    } WORD[] = {{1u << LW_SUPPLY_GREY | 1u << LW_SUPPLY_BLACK, "dump"},
                {1u << LW_SUPPLY_FRESH, "water"},
                {1u << LW_SUPPLY_DRINKING, "fit to drink"},
                {1u << LW_SUPPLY_PROPANE, "propane"},
                {1u << LW_SUPPLY_RUBBISH, "rubbish"},
                {1u << LW_SUPPLY_FUEL, "fuel"},
                {1u << LW_SUPPLY_FOOD, "groceries"}};
    lw_line line = lw_line_of(buf, n);
    for (size_t k = 0, count = 0; k < sizeof WORD / sizeof WORD[0]; k++)
        if (supplies & WORD[k].any)
            lw_line_add(&line, "%s%s", count++ ? ", " : "", WORD[k].word);
}

/* Each service that is called at: what is had there, where, on which days. */
static void note_calls(const lw_trip_file *file, const int *call, int calls, uint32_t lacks, lw_trip_stop *s)
{
    char text[LW_SENTENCE], had[128], days[40], spot[64];
    for (int i = 0; i < calls; i++) {
        const lw_trip_file_service *at = &file->service[call[i]];
        lw_line line = lw_line_of(text, sizeof text);
        say_supplies(at->supplies, had, sizeof had);
        lw_line_add(&line, "%s (%s): %s", at->name, had, lw_trip_say_spot(at->spot, spot));
        if (at->fee_usd > 0.0)
            lw_line_add(&line, "; %s USD", lw_num(at->fee_usd).text);
        if (at->days != 127)
            lw_line_add(&line, "; %s", lw_weekdays_print(days, sizeof days, at->days));
        lw_line_add(&line, at->is_guess ? "; by a map file: call ahead." : ".");
        note(s, text);
    }
    if (!lacks)
        return;
    say_supplies(lacks, had, sizeof had);
    snprintf(text, sizeof text, "Not to be had there: %s; see to it elsewhere.", had);
    note(s, text);
}

/* The first wet day of the forecast from the day of arrival to that of leaving; -1: none, or no forecast of here. */
static int wet_day(const lw_trip_planned *to, const lw_trip_stop *s)
{
    const lw_trip_forecast *f = &to->forecast;
    const lw_spot here = to->file.place[s->place].spot;
    for (int i = 0; i < f->count && lw_distance_m(f->spot, here) <= FORECAST_M; i++) {
        const int64_t day = f->first_day + i - to->file.from_day;
        if (day >= s->arrive && day <= s->leave && f->rain_mm[i] >= WET_MM && !(f->wet_frac[i] < WET_FRAC))
            return i;
    }
    return -1;
}

/* What is foreseen goes before what is usual, as far as it reaches. */
static void note_track(const lw_trip_planned *to, const lw_trip_tables *t, lw_trip_stop *s)
{
    const lw_trip_forecast *f = &to->forecast;
    const int wet = wet_day(to, s), reaches = (int)(f->first_day + f->count - to->file.from_day);
    const int is_foreseen = lw_distance_m(f->spot, to->file.place[s->place].spot) <= FORECAST_M && reaches > s->leave &&
                            f->count > 0 && f->first_day <= to->file.from_day + s->arrive;
    char text[LW_SENTENCE], day[64], rain[64];
    if (wet >= 0) {
        const int at = (int)(f->first_day + wet - to->file.from_day);
        snprintf(
            text, sizeof text,
            "The forecast has %s of %s on %s, and the way in is for dry weather: be out the day before, or stay with "
            "supplies for days more.",
            lw_quantity_print_in(rain, sizeof rain, f->rain_mm[wet] / 1000.0,
                                 lw_unit_find(LW_DIM_LENGTH, to->units == LW_UNITS_US ? "in" : "mm", 2), 2),
            f->snow_mm[wet] >= SNOW_MM ? "snow and rain" : "rain",
            lw_day_print(day, sizeof day, &to->zone, lw_trip_date_s(to, at, 12)));
        note(s, text);
        return;
    }
    if (is_foreseen) {
        note(s, "The way in is for dry weather; the forecast has none wet: look again before you set out.");
        return;
    }
    lw_climate_day usual;
    lw_climate_of_month(&t->site[s->place], lw_date_of(to->file.from_day + s->arrive).month, &usual);
    const int days = (int)lround(fmax(1.0, 10.0 * usual.wet_frac));
    snprintf(text, sizeof text,
             "The way in is for dry weather, and about %d in ten days there %s: leave before rain, or stay with "
             "supplies for days more.",
             days, days == 1 ? "is wet" : "are wet");
    note(s, text);
}

/* Snow that is foreseen closes a pass before its date does. */
static void note_snow(const lw_trip_planned *to, const lw_trip_tables *t, int from, lw_trip_stop *s)
{
    const lw_trip_forecast *f = &to->forecast;
    const int is_crossed = !s->is_start && t->place[from].beyond != t->place[s->place].beyond;
    char text[LW_SENTENCE], day[64];
    if (!is_crossed || lw_distance_m(f->spot, to->file.place[s->place].spot) > FORECAST_M)
        return;
    for (int i = 0; i < f->count; i++) {
        const int at = (int)(f->first_day + i - to->file.from_day);
        if (f->snow_mm[i] < SNOW_MM || at < s->arrive - 1 || at > s->leave)
            continue;
        snprintf(text, sizeof text,
                 "The forecast has snow on %s, and a pass lies on the way: ask whether it is open before you set out.",
                 lw_day_print(day, sizeof day, &to->zone, lw_trip_date_s(to, at, 12)));
        note(s, text);
        return;
    }
}

/* Passes on the way that close or open within a week of the drive, and those that close soon behind a stay beyond them. */
static void note_passes(const lw_trip_planned *to, const lw_trip_tables *t, int from, lw_trip_stop *s)
{
    char text[LW_SENTENCE], date[40];
    const int64_t arrive = to->file.from_day + s->arrive, leave = to->file.from_day + s->leave;
    for (int k = 0; k < to->file.pass_count; k++) {
        const lw_trip_file_pass *pass = &to->file.pass[k];
        const int is_crossed = !s->is_start && ((t->place[from].beyond ^ t->place[s->place].beyond) >> k & 1);
        if (is_crossed && pass->opens_day && pass->opens_day <= arrive && arrive - pass->opens_day <= NEAR_DAYS)
            snprintf(text, sizeof text, "The way goes over %s, which opens on %s: ask whether it is open.", pass->what,
                     lw_date_print(date, sizeof date, lw_date_of(pass->opens_day)));
        else if ((is_crossed || (t->place[s->place].beyond >> k & 1)) && pass->closes_day &&
                 pass->closes_day >= arrive && pass->closes_day - leave <= NEAR_DAYS)
            snprintf(text, sizeof text,
                     "%s closes on %s, and earlier with the first snow: ask before you set out, and be back over it in "
                     "time.",
                     pass->what, lw_date_print(date, sizeof date, lw_date_of(pass->closes_day)));
        else
            continue;
        note(s, text);
    }
}

static void write_notes(const lw_trip_planned *to, const lw_trip_tables *t, const lw_trip_made *plan, lw_trip_stop *s)
{
    const lw_trip_file_place *p = &to->file.place[s->place];
    char text[LW_SENTENCE];
    if (p->caution[0]) {
        snprintf(text, sizeof text, "Caution: %s.", p->caution);
        note(s, text);
    }
    if (p->nearby[0]) {
        snprintf(text, sizeof text, "Near: %s.", p->nearby);
        note(s, text);
    }
    for (int w = 0; w < to->file.wish_count; w++) {
        const lw_trip_file_wish *wish = &to->file.wish[w];
        if (!(plan->wishes_kept >> w & 1u) || s->leave - s->arrive < wish->nights || !(wish->drive_s > 0.0) ||
            !(wish->of[s->place / 64] >> (s->place % 64) & 1u))
            continue;
        snprintf(text, sizeof text, "From here by car: %s, %d min each way.", wish->what,
                 (int)lround(wish->drive_s / 60.0));
        note(s, text);
    }
    if (p->is_dry_only)
        note_track(to, t, s);
    if (p->until_day && p->until_day - to->file.from_day - s->leave <= NEAR_DAYS) {
        char date[40];
        snprintf(text, sizeof text, "Closes on %s: ask whether it closes early.",
                 lw_date_print(date, sizeof date, lw_date_of(p->until_day)));
        note(s, text);
    }
    if (s->fallback < 0 && !p->has_everything && !s->is_start)
        note(s, "No other place is near enough should it be full: ask before you set out.");
    if (s->work_until_s > s->leave_by_s && s->leave_by_s)
        note(s, "Work that day ends too late for this drive: take the day off, or leave that day out of drive_days.");
}

static void fill_stop(const lw_trip_planned *to, const lw_trip_tables *t, lw_trip_made *plan, lw_trip_stop *s,
                      int *used, int from)
{
    const lw_trip_leg *leg = &t->leg[from * t->in.place_count + s->place];
    const uint8_t *act = plan->out.chain.act;
    plan->used[s->arrive] = *used;
    if (!s->is_start) {
        s->is_served = act[s->arrive] == LW_TRIP_DRIVES_SERVED;
        s->drive_min = s->is_served ? leg->served_min : leg->road_min;
        s->drive_km = t->road_km[from * t->in.place_count + s->place];
        *used = s->is_served ? 0 : *used;
    }
    put_calls(t, s->is_served ? t->leg_round[from * t->in.place_count + s->place] : -1, s->call, &s->calls, &s->lacks);
    find_fallback(t, s);
    if (!s->is_start)
        set_out(to, t, s);
    s->cold_frac = isnan(to->file.coldest_c) ? NAN : 1.0;
    for (int d = s->arrive; d < s->leave; d++) {
        if (act[d] == LW_TRIP_STAYS_RUN) {
            s->run_day[s->runs++] = d;
            *used = 0;
        }
        *used += t->cell[s->place * t->in.days + d].use;
        plan->used[d + 1] = *used;
        if (!isnan(s->cold_frac))
            s->cold_frac =
                fmin(s->cold_frac, lw_trip_warm_frac(&t->site[s->place], to->file.from_day + d, to->file.coldest_c));
    }
    s->used_frac = (double)*used / LW_TRIP_FULL;
    put_calls(t, s->runs ? lw_trip_run_round(t, s->place) : -1, s->run_call, &s->run_calls, &s->run_lacks);
    note_calls(&to->file, s->call, s->calls, s->lacks, s);
    note_calls(&to->file, s->run_call, s->run_calls, s->run_lacks, s);
    note_passes(to, t, from, s);
    note_snow(to, t, from, s);
    write_notes(to, t, plan, s);
}

/* The last morning's drive; what is at hand should it be full there is that of the night before. */
static void fill_end(const lw_trip_planned *to, const lw_trip_tables *t, lw_trip_made *plan, int from)
{
    const int is_served = plan->out.chain.act[t->in.days] == LW_TRIP_DRIVES_SERVED,
              way = from * t->in.place_count + t->in.end;
    const lw_trip_leg *leg = &t->leg[way];
    lw_trip_stop end = {.place = t->in.end, .arrive = t->in.days};
    uint32_t lacks = 0;
    plan->end_min = end.drive_min = is_served ? leg->served_min : leg->road_min;
    plan->end_km = t->road_km[way];
    put_calls(t, is_served ? t->leg_round[way] : -1, plan->end_call, &plan->end_calls, &lacks);
    end.fallback = to->file.place[end.place].has_everything ? -1 : lw_trip_fallback(t, end.place, t->in.days - 1);
    end.fallback_min = end.fallback < 0 ? 0 : t->leg[end.place * t->in.place_count + end.fallback].road_min;
    set_out(to, t, &end);
    plan->end_leave_by_s = end.leave_by_s;
    plan->end_work_until_s = end.work_until_s;
}

/* Nobody knows the signal of a place: it is not counted on. */
static double least_signal(double so_far, double here)
{
    return fmin(isnan(so_far) ? 1.0 : so_far, isnan(here) ? 0.0 : here);
}

void lw_trip_fill_stops(lw_trip_planned *to, const lw_trip_tables *t, lw_trip_made *plan)
{
    int used = t->in.start_used, from = t->in.start;
    plan->work_frac = NAN;
    for (int w = 0; w < t->in.wish_count; w++) {
        plan->wishes_asked |= UINT32_C(1) << t->wish_of[w];
        plan->wishes_kept |= (plan->sum.wishes >> w & 1u) << t->wish_of[w];
    }
    for (int d = 0; d < t->in.days;) {
        lw_trip_stop *s = &plan->stop[plan->stop_count++];
        *s = (lw_trip_stop){.place = plan->out.chain.place[d], .arrive = d, .leave = d + 1};
        s->is_start = d == 0 && s->place == t->in.start;
        while (s->leave < t->in.days && plan->out.chain.place[s->leave] == s->place)
            s->leave++;
        fill_stop(to, t, plan, s, &used, from);
        for (int k = s->arrive; k < s->leave; k++)
            if (k > 0 && (t->work_days >> lw_weekday_of(to->file.from_day + k) & 1u))
                plan->work_frac = least_signal(plan->work_frac, to->file.place[s->place].signal_frac);
        from = s->place;
        d = s->leave;
    }
    if (plan->out.chain.act[t->in.days] != LW_TRIP_STAYS)
        fill_end(to, t, plan, from);
}
