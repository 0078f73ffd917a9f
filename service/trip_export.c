#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/gpx.h"
#include "exchange/icalendar.h"
#include "service/trip_internal.h"
#include "service/words_internal.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/quantity.h"
#include "text/say.h"

enum { DESCRIPTION = 2048, SHEET = 1 << 17, CALL_AFTER_H = 24 };

static const char CAUTION[] =
    "This is an estimate. Roads are guessed from distances: ask a map what your rig may drive. Check the "
    "gauges, the forecast and the local office's orders before each move; turn back at your own limit.";

static lw_code no_memory(lw_err *err)
{
    return lw_fail(err, LW_E_FULL, "no memory to write a trip");
}

static void describe(const lw_trip_planned *p, const lw_trip_made *plan, int stop, const char *between, lw_line *line)
{
    const lw_trip_stop *s = &plan->stop[stop];
    const lw_trip_file_place *place = &p->file.place[s->place];
    char text[LW_SENTENCE], spot[64];
    lw_line_add(line, "%s", lw_trip_say_stop(p, plan, stop, p->units, text, sizeof text));
    if (place->address[0])
        lw_line_add(line, "%sAddress: %s.", between, place->address);
    lw_line_add(line, "%sSpot: %s.", between, lw_trip_say_spot(place->spot, spot));
    if (place->has_everything)
        lw_line_add(line, "%sServices: all at hand.", between);
    else if (place->is_of_book && place->road_s <= 0.0)
        lw_line_add(line, "%sServices: water and dump at hand.", between);
    else if (!isnan(place->road_s))
        lw_line_add(line, "%sServices: %d min away%s%s%s.", between, (int)lround(place->road_s / 60.0),
                    place->service_usd > 0.0 ? ", " : "",
                    place->service_usd > 0.0 ? lw_num(place->service_usd).text : "",
                    place->service_usd > 0.0 ? " USD" : "");
    if (place->rule_words[0])
        lw_line_add(line, "%sStay rule: %s%s%s. Signs win, and limits change: ask the field office.", between,
                    place->rule_words, place->manager[0] ? ", " : "", place->manager);
    else if (!place->has_everything)
        lw_line_add(line, "%sStay rule: none is known here%s%s; ask whether and how long one may stay.", between,
                    place->manager[0] ? ", " : "", place->manager);
    for (int i = 0; i < s->note_count; i++)
        lw_line_add(line, "%s%s", between, s->note[i]);
}

/* ---- calendar ---- */

static lw_code calendar(const lw_trip_planned *p, const lw_trip_made *plan, int64_t now_s, const char *version,
                        char **text, lw_err *err)
{
    const size_t n = (size_t)plan->stop_count, most = 2 * n + (size_t)plan->sum.runs + 1;
    lw_ical_event *event = calloc(most, sizeof *event);
    lw_ical_uid_text *uid = calloc(most, sizeof *uid);
    char(*said)[DESCRIPTION] = calloc(n, DESCRIPTION), (*name)[LW_SENTENCE] = calloc(most, LW_SENTENCE);
    const int has_room = event && uid && said && name;
    lw_code code = has_room ? LW_OK : no_memory(err);
    size_t count = 0;
    for (int i = 0; has_room && i < plan->stop_count; i++) {
        const lw_trip_stop *s = &plan->stop[i];
        const lw_trip_file_place *place = &p->file.place[s->place];
        lw_line line = lw_line_of(said[i], DESCRIPTION);
        describe(p, plan, i, "\n", &line);
        uid[count] = lw_ical_uid(p->file.camp, "trip-stay", i);
        snprintf(name[count], LW_SENTENCE, "%s", place->name);
        event[count] = (lw_ical_event){.uid = uid[count].text,
                                       .summary = name[count],
                                       .description = said[i],
                                       .location = place->address[0] ? place->address : NULL,
                                       .is_whole_days = 1,
                                       .from_day = p->file.from_day + s->arrive,
                                       .until_day = p->file.from_day + s->leave,
                                       .is_free = 1,
                                       .has_place = 1,
                                       .latitude_deg = place->spot.latitude_deg,
                                       .longitude_deg = place->spot.longitude_deg};
        count++;
        for (int r = 0; r < s->runs; r++) {
            char calls[LW_SENTENCE - 32];
            uid[count] = lw_ical_uid(p->file.camp, "trip-run", s->run_day[r]);
            snprintf(name[count], LW_SENTENCE, "Run for services%s%s", s->run_calls ? " at " : "",
                     lw_trip_say_calls(&p->file, s->run_call, s->run_calls, calls, sizeof calls));
            event[count] = (lw_ical_event){.uid = uid[count].text,
                                           .summary = name[count],
                                           .is_whole_days = 1,
                                           .from_day = p->file.from_day + s->run_day[r],
                                           .until_day = p->file.from_day + s->run_day[r] + 1,
                                           .is_free = 1};
            count++;
        }
        if (s->is_start)
            continue;
        uid[count] = lw_ical_uid(p->file.camp, "trip-drive", i);
        snprintf(name[count], LW_SENTENCE, "Set out for %s at the latest", place->name);
        event[count] = (lw_ical_event){.uid = uid[count].text,
                                       .summary = name[count],
                                       .start_s = s->leave_by_s,
                                       .end_s = s->leave_by_s + 60 * (int64_t)s->drive_min,
                                       .has_alarm = 1,
                                       .alarm_before_s = 7200};
        count++;
    }
    if (has_room && plan->end_min > 0) {
        uid[count] = lw_ical_uid(p->file.camp, "trip-drive", plan->stop_count);
        snprintf(name[count], LW_SENTENCE, "Set out for %s at the latest", p->file.place[p->file.end].name);
        event[count] = (lw_ical_event){.uid = uid[count].text,
                                       .summary = name[count],
                                       .start_s = plan->end_leave_by_s,
                                       .end_s = plan->end_leave_by_s + 60 * (int64_t)plan->end_min,
                                       .has_alarm = 1,
                                       .alarm_before_s = 7200};
        count++;
    }
    if (!code) {
        const lw_ical cal = {.name = "Trip", .version = version, .stamp_s = now_s, .event = event, .count = count};
        code = lw_ical_print(&cal, text, err);
    }
    free(event);
    free(uid);
    free(said);
    free(name);
    return code;
}

/* ---- points ---- */

static void add_service(const lw_trip_planned *p, int service, lw_gpx_point *point, char *said, size_t *count)
{
    const lw_trip_file_service *at = &p->file.service[service];
    lw_line line = lw_line_of(said, DESCRIPTION);
    lw_line_add(&line, "Tanks are served here:");
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (at->supplies >> k & 1u)
            lw_line_add(&line, " %s", lw_supply_word((lw_supply)k));
    lw_line_add(&line, at->is_guess ? ". By a map file: call ahead." : ".");
    point[(*count)++] = (lw_gpx_point){at->spot, NAN, at->name, said};
}

/* In the order of the way: what is called at before a stop stands before it. */
static lw_code gpx(const lw_trip_planned *p, const lw_trip_made *plan, int64_t now_s, char **text, lw_err *err)
{
    const size_t most = (size_t)plan->stop_count * (1 + LW_TRIP_CALLS) + LW_TRIP_CALLS;
    lw_gpx_point *point = calloc(most, sizeof *point);
    char(*said)[DESCRIPTION] = calloc(most, DESCRIPTION);
    size_t count = 0;
    const int has_room = point && said;
    lw_code code = has_room ? LW_OK : no_memory(err);
    for (int i = 0; has_room && i < plan->stop_count; i++) {
        const lw_trip_file_place *place = &p->file.place[plan->stop[i].place];
        for (int k = 0; k < plan->stop[i].calls; k++)
            add_service(p, plan->stop[i].call[k], &point[0], said[count], &count);
        lw_line line = lw_line_of(said[count], DESCRIPTION);
        describe(p, plan, i, "\n", &line);
        point[count] = (lw_gpx_point){place->spot, place->elevation_m, place->name, said[count]};
        count++;
    }
    for (int k = 0; has_room && k < plan->end_calls; k++)
        add_service(p, plan->end_call[k], &point[0], said[count], &count);
    if (!code) {
        *text = lw_gpx_print(&(lw_gpx){.name = "Trip", .made_s = now_s, .point = point, .count = count});
        code = *text ? LW_OK : no_memory(err);
    }
    free(point);
    free(said);
    return code;
}

/* ---- rows ---- */

static void add_cell(lw_line *line, const char *text, const char *end)
{
    const int is_bare = !strpbrk(text, ",\"\r\n");
    lw_line_add(line, is_bare ? "" : "\"");
    for (; *text; text++)
        lw_line_add(line, *text == '"' ? "\"\"" : "%c", *text);
    lw_line_add(line, "%s%s", is_bare ? "" : "\"", end);
}

static void rows(const lw_trip_planned *p, const lw_trip_made *plan, lw_line *line)
{
    lw_line_add(line,
                "place,latitude_deg,longitude_deg,arrive,leave,nights,drive_min,drive_km,is_served,set_out_by,fee_usd,"
                "used_frac,fallback,services\n");
    for (int i = 0; i < plan->stop_count; i++) {
        const lw_trip_stop *s = &plan->stop[i];
        const lw_trip_file_place *place = &p->file.place[s->place];
        char arrive[40], leave[40], by[40] = "", calls[LW_SENTENCE];
        add_cell(line, place->name, ",");
        if (!s->is_start)
            (void)lw_instant_print(by, sizeof by, (double)s->leave_by_s, 0);
        lw_line_add(line, "%s,%s,%s,%s,%d,%d,%s,%d,%s,%s,%s,", lw_num(place->spot.latitude_deg).text,
                    lw_num(place->spot.longitude_deg).text,
                    lw_date_print(arrive, sizeof arrive, lw_date_of(p->file.from_day + s->arrive)),
                    lw_date_print(leave, sizeof leave, lw_date_of(p->file.from_day + s->leave)), s->leave - s->arrive,
                    s->is_start ? 0 : s->drive_min, lw_num(s->is_start ? 0.0 : s->drive_km).text, s->is_served, by,
                    lw_num(place->fee_usd).text, lw_num(s->used_frac).text);
        add_cell(line, s->fallback >= 0 ? p->file.place[s->fallback].name : "", ",");
        add_cell(line, lw_trip_say_calls(&p->file, s->call, s->calls, calls, sizeof calls), "\n");
    }
}

/* ---- paper ---- */

static void sheet(const lw_trip_planned *p, int at, lw_line *line)
{
    const lw_trip_made *plan = &p->plan[at];
    char text[LW_SENTENCE];
    lw_line_add(line, "Trip\n\n%s\n", lw_trip_say_plan(p, at, text, sizeof text));
    lw_line_add(line, "%s\n", lw_trip_say_measured(p, at, text, sizeof text));
    for (int i = 0; i < plan->stop_count; i++) {
        lw_line_add(line, "\n%d. ", i + 1);
        describe(p, plan, i, "\n   ", line);
        lw_line_add(line, "\n");
    }
    if (lw_trip_say_end(p, plan, text, sizeof text)[0])
        lw_line_add(line, "\n%s\n", text);
    lw_line_add(line, "\n%s\n", CAUTION);
}

static const char *air(const lw_trip_planned *p, double way_m, char buf[64])
{
    return lw_quantity_print_in(buf, 64, way_m, lw_unit_find(LW_DIM_LENGTH, p->units == LW_UNITS_US ? "mi" : "km", 2),
                                2);
}

static void for_home(const lw_trip_planned *p, const lw_trip_made *plan, lw_line *line)
{
    char from[64], until[64], call[64], far[64], spot[64], text[LW_SENTENCE];
    lw_line_add(line, "Where we are, for somebody at home\n\nWe are %d %s", p->people,
                p->people == 1 ? "person" : "people");
    if (p->animals)
        lw_line_add(line, " and %d %s", p->animals, p->animals == 1 ? "animal" : "animals");
    lw_line_add(line, ", with a ");
    for (const char *at = p->rig[0] ? p->rig : "camper"; *at; at++)
        lw_line_add(line, "%c", *at == '-' ? ' ' : *at);
    lw_line_add(line, ". Write the number plate here: ____________\n\n");
    for (int i = 0; i < plan->stop_count; i++) {
        const lw_trip_stop *s = &plan->stop[i];
        const lw_trip_file_place *place = &p->file.place[s->place];
        lw_line_add(line, "%s to %s: %s, %s%s%s.",
                    lw_day_print(from, sizeof from, &p->zone, lw_trip_date_s(p, s->arrive, 12)),
                    lw_day_print(until, sizeof until, &p->zone, lw_trip_date_s(p, s->leave, 12)), place->name,
                    lw_trip_say_spot(place->spot, spot), place->address[0] ? ", " : "", place->address);
        if (s->fallback >= 0 && !s->is_start)
            lw_line_add(line, " Should it be full: %s, %s.", p->file.place[s->fallback].name,
                        lw_trip_say_spot(p->file.place[s->fallback].spot, spot));
        lw_line_add(line, "\n");
        if (place->signal_frac >= 0.5)
            continue;
        double nearest_m = INFINITY;
        const char *where = NULL;
        for (int q = 0; q < p->file.place_count; q++)
            if (p->file.place[q].signal_frac >= 0.8 && lw_distance_m(place->spot, p->file.place[q].spot) < nearest_m) {
                nearest_m = lw_distance_m(place->spot, p->file.place[q].spot);
                where = p->file.place[q].name;
            }
        lw_line_add(line, "  No signal to be relied on. ");
        if (where)
            lw_line_add(line, "The nearest that we know of is at %s, %s by air. ", where, air(p, nearest_m, far));
        else
            lw_line_add(line, "We know of no place with signal near. ");
        lw_line_add(line, "If you have heard nothing by %s, call the sheriff of that county and say this spot.\n",
                    lw_when_print(call, sizeof call, &p->zone,
                                  lw_trip_date_s(p, s->leave, 18) + INT64_C(3600) * CALL_AFTER_H, 0));
    }
    if (lw_trip_say_end(p, plan, text, sizeof text)[0])
        lw_line_add(line, "%s %s is at %s.\n", text, p->file.place[p->file.end].name,
                    lw_trip_say_spot(p->file.place[p->file.end].spot, spot));
    lw_line_add(line, "\nPlans change with weather and with places that are full: we say so when we have signal.\n");
}

/* ---- paper, as a page of its own ---- */

static void add_escaped(lw_line *line, const char *text)
{
    for (; *text; text++)
        switch (*text) {
        case '&':
            lw_line_add(line, "&amp;");
            break;
        case '<':
            lw_line_add(line, "&lt;");
            break;
        case '>':
            lw_line_add(line, "&gt;");
            break;
        case '\n':
            lw_line_add(line, "<br>");
            break;
        default:
            lw_line_add(line, "%c", *text);
        }
}

static void paper(const lw_trip_planned *p, int at, lw_line *line)
{
    const lw_trip_made *plan = &p->plan[at];
    char text[DESCRIPTION];
    lw_line_add(line,
                "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">"
                "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"><title>Trip</title>\n<style>"
                "body{font:11pt/1.4 sans-serif;max-width:44em;margin:2em auto;padding:0 1em;color:#111;background:#fff}"
                "li{margin:0 0 .8em;break-inside:avoid}p{margin:.4em 0}@media print{body{margin:0}}"
                "</style></head><body>\n<h1>Trip</h1>\n<p>");
    add_escaped(line, lw_trip_say_plan(p, at, text, sizeof text));
    lw_line_add(line, "</p>\n<p>");
    add_escaped(line, lw_trip_say_measured(p, at, text, sizeof text));
    lw_line_add(line, "</p>\n<ol>\n");
    for (int i = 0; i < plan->stop_count; i++) {
        lw_line said = lw_line_of(text, sizeof text);
        describe(p, plan, i, "\n", &said);
        lw_line_add(line, "<li>");
        add_escaped(line, text);
        lw_line_add(line, "</li>\n");
    }
    lw_line_add(line, "</ol>\n<p>");
    add_escaped(line, lw_trip_say_end(p, plan, text, sizeof text));
    lw_line_add(line, "</p>\n<p>%s</p>\n</body></html>\n", CAUTION);
}

lw_code lw_trip_export(const lw_trip_planned *p, int plan, lw_trip_form form, int64_t now_s, const char *version,
                       char **text, lw_err *err)
{
    if (plan < 0 || plan >= p->plan_count)
        return lw_fail(err, LW_E_MISSING,
                       p->plan_count ? "there is no such plan; there are %d" : "there is no trip to write down%.0d",
                       p->plan_count);
    if (form == LW_TRIP_CALENDAR)
        return calendar(p, &p->plan[plan], now_s, version, text, err);
    if (form == LW_TRIP_GPX)
        return gpx(p, &p->plan[plan], now_s, text, err);
    *text = calloc(1, SHEET);
    if (!*text)
        return no_memory(err);
    lw_line line = lw_line_of(*text, SHEET);
    if (form == LW_TRIP_CSV)
        rows(p, &p->plan[plan], &line);
    else if (form == LW_TRIP_SHEET)
        sheet(p, plan, &line);
    else if (form == LW_TRIP_PAPER)
        paper(p, plan, &line);
    else
        for_home(p, &p->plan[plan], &line);
    return LW_OK;
}
