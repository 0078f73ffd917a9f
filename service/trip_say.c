#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/json.h"
#include "service/trip_grounds.h"
#include "service/trip_internal.h"
#include "service/words_internal.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/quantity.h"
#include "text/say.h"

enum { RUNS_NAMED = 6 };

static const char *say_usd(int64_t of_cents, char buf[LW_DECIMAL_BYTES])
{
    lw_decimal_print(buf, LW_DECIMAL_BYTES, (double)of_cents / 100.0, 0, 0);
    return buf;
}

static const char *say_minutes(int minutes, char buf[32])
{
    if (minutes < 60)
        snprintf(buf, 32, "%d min", minutes);
    else if (minutes % 60 == 0)
        snprintf(buf, 32, "%d h", minutes / 60);
    else
        snprintf(buf, 32, "%d h %d min", minutes / 60, minutes % 60);
    return buf;
}

static const char *say_share(double frac, char buf[LW_DECIMAL_BYTES])
{
    /* Down, and never 100 %: a chance is not a promise. */
    lw_decimal_print(buf, LW_DECIMAL_BYTES, fmin(99.0, floor(100.0 * frac + 1e-9)), 0, 0);
    return buf;
}

/* " at Junction Dump and Coop", or nothing where only the places' own figures tell of services. */
static const char *say_at(const lw_trip_planned *p, const int *call, int calls, char buf[LW_SENTENCE])
{
    char names[LW_SENTENCE - 8];
    buf[0] = '\0';
    if (calls)
        snprintf(buf, LW_SENTENCE, " at %s", lw_trip_say_calls(&p->file, call, calls, names, sizeof names));
    return buf;
}

/* "; set out after work at 17:00 and by Fri 4 Jun 18:40." */
static void say_set_out(const lw_trip_planned *p, int64_t leave_by_s, int64_t work_until_s, lw_line *line)
{
    char when[64];
    lw_line_add(line, "; set out ");
    if (work_until_s && work_until_s <= leave_by_s)
        lw_line_add(line, "after work at %s and ",
                    lw_time_print(when, sizeof when, 3600 * lw_clock_at(&p->zone, work_until_s).hour));
    lw_line_add(line, "by %s.", lw_when_print(when, sizeof when, &p->zone, leave_by_s, 0));
}

static void say_way(const lw_trip_planned *p, const lw_trip_stop *s, lw_unit_system units, lw_line *line)
{
    char km[64], drive[32], at[LW_SENTENCE];
    if (s->is_start) {
        lw_line_add(line, " You are there.");
        return;
    }
    lw_quantity_print_in(km, sizeof km, s->drive_km * 1000.0,
                         lw_unit_find(LW_DIM_LENGTH, units == LW_UNITS_US ? "mi" : "km", 2), 2);
    lw_line_add(line, " %s on the road, about %s%s%s", say_minutes(s->drive_min, drive), km,
                s->is_served ? ", tanks served on the way" : "", say_at(p, s->call, s->calls, at));
    say_set_out(p, s->leave_by_s, s->work_until_s, line);
}

char *lw_trip_say_stop(const lw_trip_planned *planned, const lw_trip_made *plan, int stop, lw_unit_system units,
                       char *buf, size_t n)
{
    const lw_trip_planned *p = planned;
    const lw_trip_stop *s = &plan->stop[stop];
    const lw_trip_file_place *place = &p->file.place[s->place];
    lw_line line = lw_line_of(buf, n);
    char from[64], until[64], number[LW_DECIMAL_BYTES], drive[32], at[LW_SENTENCE];
    lw_line_add(&line, "%s to %s, %d %s: %s.",
                lw_day_print(from, sizeof from, &p->zone, lw_trip_date_s(p, s->arrive, 12)),
                lw_day_print(until, sizeof until, &p->zone, lw_trip_date_s(p, s->leave, 12)), s->leave - s->arrive,
                s->leave - s->arrive == 1 ? "night" : "nights", place->name);
    say_way(p, s, units, &line);
    if (place->fee_usd > 0.0)
        lw_line_add(&line, " %s USD a night.", lw_num(place->fee_usd).text);
    for (int r = 0; r < s->runs && s->runs <= RUNS_NAMED; r++)
        lw_line_add(&line, "%s %s", r == 0 ? " Run for services on" : ",",
                    lw_day_print(from, sizeof from, &p->zone, lw_trip_date_s(p, s->run_day[r], 12)));
    if (s->runs > RUNS_NAMED)
        lw_line_add(&line, " %d runs for services, from %s to %s", s->runs,
                    lw_day_print(from, sizeof from, &p->zone, lw_trip_date_s(p, s->run_day[0], 12)),
                    lw_day_print(until, sizeof until, &p->zone, lw_trip_date_s(p, s->run_day[s->runs - 1], 12)));
    lw_line_add(&line, "%s%s", s->runs ? say_at(p, s->run_call, s->run_calls, at) : "", s->runs ? "." : "");
    if (s->used_frac > 0.0)
        lw_line_add(&line, " %s %% of a load used on leaving.", lw_num(ceil(100.0 * s->used_frac)).text);
    if (!place->has_everything)
        lw_line_add(&line, " Supplies last through it with a chance of %s %%.", say_share(s->holds_frac, number));
    if (s->cold_frac < 1.0)
        lw_line_add(&line, " Its coldest night is warm enough with a chance of %s %%.",
                    say_share(s->cold_frac, number));
    if (s->fallback >= 0)
        lw_line_add(&line, " If it is full: %s, %s on.", p->file.place[s->fallback].name,
                    say_minutes(s->fallback_min, drive));
    return buf;
}

char *lw_trip_say_spot(lw_spot spot, char buf[64])
{
    char north[LW_DECIMAL_BYTES], east[LW_DECIMAL_BYTES];
    lw_decimal_print(north, sizeof north, fabs(spot.latitude_deg), 5, 1);
    lw_decimal_print(east, sizeof east, fabs(spot.longitude_deg), 5, 1);
    snprintf(buf, 64, "%.20s %s, %.20s %s", north, spot.latitude_deg < 0.0 ? "S" : "N", east,
             spot.longitude_deg < 0.0 ? "W" : "E");
    return buf;
}

char *lw_trip_say_end(const lw_trip_planned *p, const lw_trip_made *plan, char *buf, size_t n)
{
    char day[64], drive[32], km[64], at[LW_SENTENCE];
    const int days = (int)(p->file.until_day - p->file.from_day);
    lw_line line = lw_line_of(buf, n);
    if (plan->end_min <= 0)
        return buf;
    lw_quantity_print_in(km, sizeof km, plan->end_km * 1000.0,
                         lw_unit_find(LW_DIM_LENGTH, p->units == LW_UNITS_US ? "mi" : "km", 2), 2);
    lw_line_add(&line, "%s: on to %s, %s on the road, about %s%s%s",
                lw_day_print(day, sizeof day, &p->zone, lw_trip_date_s(p, days, 12)), p->file.place[p->file.end].name,
                say_minutes(plan->end_min, drive), km,
                plan->out.chain.act[days] == LW_TRIP_DRIVES_SERVED ? ", tanks served on the way" : "",
                say_at(p, plan->end_call, plan->end_calls, at));
    say_set_out(p, plan->end_leave_by_s, plan->end_work_until_s, &line);
    return buf;
}

char *lw_trip_say_plan(const lw_trip_planned *planned, int at, char *buf, size_t n)
{
    const lw_trip_planned *p = planned;
    const lw_trip_made *plan = &p->plan[at];
    char money[LW_DECIMAL_BYTES], worth[LW_DECIMAL_BYTES], all[LW_DECIMAL_BYTES], drive[32], gap[LW_DECIMAL_BYTES];
    lw_line line = lw_line_of(buf, n);
    lw_line_add(
        &line,
        "%d nights at %d %s, %s at the wheel, %s USD for fees, fuel and services, worth %s USD: %s for nights and "
        "wishes, less that money and %s for hours and trouble.",
        (int)(p->file.until_day - p->file.from_day), plan->stop_count, plan->stop_count == 1 ? "stop" : "stops",
        say_minutes(plan->sum.drive_min, drive), say_usd(plan->sum.money_c, money), say_usd(plan->out.value_c, worth),
        say_usd(plan->out.worth_c, all),
        lw_num(round((double)plan->out.worth_c / 100.0) - round((double)plan->out.value_c / 100.0) -
               round((double)plan->sum.money_c / 100.0))
            .text); /* of what is shown: the figures add up */
    lw_decimal_print(gap, sizeof gap, ceil(1000.0 * plan->out.gap_frac) / 10.0, 1, 0);
    if (plan->out.is_proven)
        lw_line_add(&line, " No trip of these places is worth more%s.",
                    at > 0 ? ", two nights in five being elsewhere" : "");
    else
        lw_line_add(&line, " No trip is worth more than %s %% above it.", gap);
    return buf;
}

char *lw_trip_say_measured(const lw_trip_planned *planned, int at, char *buf, size_t n)
{
    const lw_trip_planned *p = planned;
    const lw_trip_made *plan = &p->plan[at];
    char frac[LW_DECIMAL_BYTES];
    lw_line line = lw_line_of(buf, n);
    lw_line_add(&line,
                "The chance that supplies last from filling to filling all along is %s %%, measured on %d fresh draws.",
                say_share(plan->supplies_frac, frac), p->fresh_draws);
    if (plan->supplies_frac < p->file.supplies_frac)
        lw_line_add(&line, " That is less than the %s %% wished for; no surer trip was found.",
                    lw_num(round(100.0 * p->file.supplies_frac)).text);
    char name[64];
    if (plan->short_supply >= 0 && plan->supplies_frac < 1.0)
        lw_line_add(&line, " First to run short, most often: %s.",
                    lw_lower_first(lw_subject_say((lw_supply)plan->short_supply), name, sizeof name));
    if (plan->work_frac > 0.0)
        lw_line_add(&line, " Signal on work days: %s %% where it is least.", say_share(plan->work_frac, frac));
    else if (!isnan(plan->work_frac))
        lw_line_add(&line, " Signal on work days: none that is known, where it is least.");
    for (int w = 0; w < p->file.wish_count; w++)
        if ((plan->wishes_asked & ~plan->wishes_kept) >> w & 1u)
            lw_line_add(&line, " Not kept: %s%s%s.", p->file.wish[w].what, plan->why_missed[w][0] ? ", as " : "",
                        plan->why_missed[w]);
    if (p->gathered.note[0])
        lw_line_add(&line, " %s", p->gathered.note);
    if (p->left_out[0])
        lw_line_add(&line, " %s", p->left_out);
    if (p->road_note[0])
        lw_line_add(&line, " Roads: %s.", p->road_note);
    return buf;
}

/* ---- JSON ---- */

static void put_day(lw_json *j, json_t *o, const char *key, const lw_trip_planned *p, int day)
{
    char date[40];
    lw_json_text(j, o, key, lw_date_print(date, sizeof date, lw_date_of(p->file.from_day + day)));
}

static json_t *calls_json(lw_json *j, const lw_trip_planned *p, const int *call, int calls)
{
    json_t *list = lw_json_array(j);
    for (int i = 0; i < calls; i++) {
        const lw_trip_file_service *at = &p->file.service[call[i]];
        json_t *o = lw_json_object(j), *gives = lw_json_array(j);
        lw_json_text(j, o, "name", at->name);
        lw_json_number(j, o, "latitude_deg", at->spot.latitude_deg, 6);
        lw_json_number(j, o, "longitude_deg", at->spot.longitude_deg, 6);
        for (int k = 0; k < LW_SUPPLY_COUNT; k++)
            if (at->supplies >> k & 1u)
                lw_json_add(j, gives, json_string(lw_supply_word((lw_supply)k)));
        lw_json_put(j, o, "gives", gives);
        lw_json_number(j, o, "fee_usd", at->fee_usd, 2);
        lw_json_flag(j, o, "is_guess", at->is_guess);
        lw_json_add(j, list, o);
    }
    return list;
}

static json_t *stop_json(lw_json *j, const lw_trip_planned *p, const lw_trip_made *plan, int at)
{
    const lw_trip_stop *s = &plan->stop[at];
    const lw_trip_file_place *place = &p->file.place[s->place];
    json_t *o = lw_json_object(j), *runs = lw_json_array(j), *notes = lw_json_array(j);
    char text[LW_SENTENCE];
    lw_json_text(j, o, "place", place->name);
    lw_json_number(j, o, "latitude_deg", place->spot.latitude_deg, 6);
    lw_json_number(j, o, "longitude_deg", place->spot.longitude_deg, 6);
    put_day(j, o, "arrive", p, s->arrive);
    put_day(j, o, "leave", p, s->leave);
    lw_json_count(j, o, "nights", s->leave - s->arrive);
    lw_json_count(j, o, "drive_min", s->is_start ? 0 : s->drive_min);
    lw_json_number(j, o, "drive_km", s->is_start ? 0.0 : s->drive_km, 1);
    lw_json_flag(j, o, "is_served", s->is_served);
    lw_json_put(j, o, "services", calls_json(j, p, s->call, s->calls));
    lw_json_put(j, o, "run_services", calls_json(j, p, s->run_call, s->run_calls));
    lw_json_time(j, o, "set_out_by", s->is_start ? 0 : s->leave_by_s);
    lw_json_number(j, o, "fee_usd", place->fee_usd, 2);
    lw_json_number(j, o, "used_frac", s->used_frac, 3);
    lw_json_number(j, o, "holds_frac", s->holds_frac, 4);
    lw_json_number(j, o, "warm_frac", s->cold_frac, 3);
    lw_json_number(j, o, "signal_frac", place->signal_frac, 3);
    lw_json_text(j, o, "fallback", s->fallback >= 0 ? p->file.place[s->fallback].name : NULL);
    for (int r = 0; r < s->runs; r++) {
        char date[40];
        (void)lw_date_print(date, sizeof date, lw_date_of(p->file.from_day + s->run_day[r]));
        lw_json_add(j, runs, json_string(date));
    }
    lw_json_put(j, o, "runs", runs);
    for (int i = 0; i < s->note_count; i++)
        lw_json_add(j, notes, json_string(s->note[i]));
    lw_json_put(j, o, "notes", notes);
    lw_json_text(j, o, "sentence", lw_trip_say_stop(p, plan, at, p->units, text, sizeof text));
    return o;
}

static json_t *plan_json(lw_json *j, const lw_trip_planned *p, int at)
{
    const lw_trip_made *plan = &p->plan[at];
    json_t *o = lw_json_object(j), *stops = lw_json_array(j), *missed = lw_json_array(j), *why = lw_json_array(j);
    char text[LW_SENTENCE];
    lw_json_number(j, o, "value_usd", (double)plan->out.value_c / 100.0, 2);
    lw_json_number(j, o, "bound_usd", (double)plan->out.bound_c / 100.0, 2);
    lw_json_number(j, o, "worth_usd", (double)plan->out.worth_c / 100.0, 2);
    lw_json_number(j, o, "gap_frac", plan->out.gap_frac, 5);
    lw_json_flag(j, o, "is_proven", plan->out.is_proven);
    lw_json_number(j, o, "money_usd", (double)plan->sum.money_c / 100.0, 2);
    lw_json_count(j, o, "drive_min", plan->sum.drive_min);
    lw_json_number(j, o, "supplies_frac", plan->supplies_frac, 4);
    lw_json_number(j, o, "work_frac", plan->work_frac, 4);
    for (int w = 0; w < p->file.wish_count; w++)
        if ((plan->wishes_asked & ~plan->wishes_kept) >> w & 1u) {
            lw_json_add(j, missed, json_string(p->file.wish[w].what));
            lw_json_add(j, why, json_string(plan->why_missed[w]));
        }
    lw_json_put(j, o, "missed", missed);
    lw_json_put(j, o, "why_missed", why);
    lw_json_text(j, o, "headline", lw_trip_say_plan(p, at, text, sizeof text));
    lw_json_text(j, o, "measured", lw_trip_say_measured(p, at, text, sizeof text));
    for (int i = 0; i < plan->stop_count; i++)
        lw_json_add(j, stops, stop_json(j, p, plan, i));
    lw_json_put(j, o, "stops", stops);
    lw_json_text(j, o, "end", lw_trip_say_end(p, plan, text, sizeof text));
    lw_json_time(j, o, "end_set_out_by", plan->end_min > 0 ? plan->end_leave_by_s : 0);
    return o;
}

char *lw_trip_json(const lw_trip_planned *p, const char *version)
{
    lw_json j = {.zone = &p->zone};
    json_t *root = lw_json_object(&j), *program = lw_json_object(&j), *plans = lw_json_array(&j),
           *relax = lw_json_array(&j);
    char seed[24];
    lw_json_text(&j, root, "schema", "leeway.trip/1");
    lw_json_text(&j, program, "name", "leeway");
    lw_json_text(&j, program, "version", version ? version : "unknown");
    lw_json_put(&j, root, "program", program);
    snprintf(seed, sizeof seed, "%llu", (unsigned long long)p->seed);
    lw_json_text(&j, root, "seed", seed);
    lw_json_count(&j, root, "measured_draws", p->fresh_draws);
    put_day(&j, root, "from", p, 0);
    put_day(&j, root, "until", p, (int)(p->file.until_day - p->file.from_day));
    for (int i = 0; i < p->plan_count; i++)
        lw_json_add(&j, plans, plan_json(&j, p, i));
    lw_json_put(&j, root, "plans", plans);
    lw_json_text(&j, root, "places_note", p->gathered.note);
    lw_json_text(&j, root, "why", p->why);
    for (int i = 0; i < p->relax_count; i++)
        lw_json_add(&j, relax, json_string(p->relax[i]));
    lw_json_put(&j, root, "relax", relax);
    lw_assumption row[LW_TRIP_USUAL_COUNT];
    json_t *assumed = lw_json_array(&j);
    lw_json_assumptions(&j, assumed, row, lw_trip_grounds(p, LW_UNITS_SI, row));
    lw_json_put(&j, root, "assumptions", assumed);
    return lw_json_finish(&j, root, 0);
}
