/* A year by the climate: which places are mild in which month, and a way through them. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/usual_price.h"
#include "service/trip_internal.h"
#include "service/words_internal.h"
#include "text/quantity.h"
#include "text/say.h"

enum { MONTHS = 12 };

static const char *const MONTH[MONTHS] = {"January", "February", "March",     "April",   "May",      "June",
                                          "July",    "August",   "September", "October", "November", "December"};

/* Where nobody says what mild is: no frost, and what a camper without much shade bears; the chance is that of a trip's nights. */
static const double USUAL_COLDEST_C = 0.0, USUAL_HOTTEST_C = 35.0, USUAL_FRAC = 0.8;

static int month_at(const lw_trip_year *year, int k)
{
    return (year->first + k) % MONTHS;
}

/* ---- which places ---- */

/* Without a trip: all places of the book, the nearest first, or those that are asked for. */
static lw_code read_book(const lw_trip_ask *ask, lw_trip_year *year, lw_err *err)
{
    lw_trip_candidates *c = calloc(1, sizeof *c);
    lw_trip_gathered g = {.place = NULL};
    lw_usual_price price = {.usd = 0.0};
    const char *wish = ask->candidates ? ask->candidates : "{}";
    const size_t n = strlen(wish) + sizeof "candidates: \n";
    char *text = malloc(n);
    lw_code code = c && text ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for a year");
    if (!code && c && text) {
        snprintf(text, n, "candidates: %s\n", wish);
        code = lw_trip_candidates_read("request", text, strlen(text), c, err);
        c->most = c->most > 0 ? c->most : LW_TRIP_FILE_PLACES;
        code = code ? code : lw_trip_gather(ask, c, &g, err);
        code = code ? code : lw_usual_price_of("rig-road-km", &price, err);
    }
    if (!code) {
        lw_trip_file *file = &year->file;
        *file = (lw_trip_file){.from_day = ask->now_s / 86400,
                               .coldest_c = (double)NAN,
                               .hottest_c = (double)NAN,
                               .nights_frac = USUAL_FRAC,
                               .km_usd = price.usd,
                               .place_count = g.place_count};
        for (int p = 0; p < g.place_count; p++)
            file->place[p] = g.place[p];
        snprintf(year->note, sizeof year->note, "%s", g.note);
    }
    lw_trip_gathered_clear(&g);
    free(text);
    free(c);
    return code;
}

static lw_code read_trip(const lw_trip_ask *ask, lw_trip_year *year, lw_err *err)
{
    lw_trip_planned *read = calloc(1, sizeof *read);
    if (!read)
        return lw_fail(err, LW_E_FULL, "no memory for a year");
    const lw_code code = lw_trip_read(ask, read, err);
    if (!code) {
        year->file = read->file;
        snprintf(year->note, sizeof year->note, "%s", read->gathered.note);
    }
    lw_trip_clear(read);
    free(read);
    return code;
}

/* ---- month by month ---- */

static double margin_usd(const lw_trip_file *file, int p)
{
    return file->place[p].worth_usd - file->place[p].fee_usd;
}

static int goes_before(const lw_trip_year *year, int m, int a, int b)
{
    const double dearer = margin_usd(&year->file, a) - margin_usd(&year->file, b);
    const double surer = year->month[m].chance_frac[a] - year->month[m].chance_frac[b];
    return dearer > 0.0 || (!(dearer < 0.0) && surer > 0.0);
}

static void fill_place(lw_trip_year *year, int p, int of_year)
{
    const lw_trip_file_place *place = &year->file.place[p];
    const lw_climate_place where = {place->spot.latitude_deg, place->spot.longitude_deg, place->elevation_m};
    lw_climate_site site;
    lw_climate_site_make(&where, &site);
    for (int m = 0; m < MONTHS; m++) {
        lw_trip_month *month = &year->month[m];
        const int64_t day = lw_day_of((lw_date){of_year, m + 1, 15});
        lw_climate_day typical;
        lw_climate_of_month(&site, m + 1, &typical);
        month->low_c[p] = typical.tmin_c;
        month->high_c[p] = typical.tmax_c;
        month->warm_frac[p] = lw_trip_warm_frac(&site, day, year->coldest_c);
        month->cool_frac[p] = lw_trip_cool_frac(&site, day, year->hottest_c);
        month->chance_frac[p] = fmin(month->warm_frac[p], month->cool_frac[p]);
        if (month->chance_frac[p] < year->nights_frac)
            continue;
        int at = month->fit_count++;
        for (; at > 0 && goes_before(year, m, p, month->fit[at - 1]); at--)
            month->fit[at] = month->fit[at - 1];
        month->fit[at] = p;
    }
}

/* ---- the way through the year ---- */

static const double DAYS_OF_MONTH = 365.25 / MONTHS;

typedef struct chain {
    double usd[LW_TRIP_FILE_PLACES];
    int from[MONTHS][LW_TRIP_FILE_PLACES]; /* where one was in the month before; -1: nowhere yet */
} chain;

/* What the months up to this one are worth at most, should it be spent at p. */
static double best_before(const lw_trip_year *year, const chain *c, const lw_trip_month *before, int p, int *from)
{
    double best_usd = -INFINITY;
    for (int i = 0; i < before->fit_count; i++) {
        const int q = before->fit[i];
        const double km = lw_distance_m(year->file.place[q].spot, year->file.place[p].spot) / 1000.0;
        const double usd = c->usd[q] - km * year->file.km_usd;
        if (usd > best_usd) {
            best_usd = usd;
            *from = q;
        }
    }
    return best_usd;
}

/* Months in which no place is as wished are passed over: one goes on from where one was. */
static void follow(lw_trip_year *year, chain *c)
{
    double next[LW_TRIP_FILE_PLACES] = {0.0};
    const lw_trip_month *before = NULL;
    for (int k = 0; k < MONTHS; k++) {
        lw_trip_month *month = &year->month[month_at(year, k)];
        month->follow = -1;
        for (int i = 0; i < month->fit_count; i++) {
            const int p = month->fit[i];
            int from = -1;
            const double here_usd = DAYS_OF_MONTH * margin_usd(&year->file, p);
            next[p] = here_usd + (before ? best_before(year, c, before, p, &from) : 0.0);
            c->from[k][p] = from;
        }
        for (int i = 0; i < month->fit_count; i++)
            c->usd[month->fit[i]] = next[month->fit[i]];
        before = month->fit_count ? month : before;
    }
    if (!before)
        return;
    int at = before->fit[0];
    for (int i = 1; i < before->fit_count; i++)
        at = c->usd[before->fit[i]] > c->usd[at] ? before->fit[i] : at;
    for (int k = MONTHS - 1; k >= 0 && at >= 0; k--) {
        lw_trip_month *month = &year->month[month_at(year, k)];
        if (month->fit_count == 0)
            continue;
        month->follow = at;
        const int from = c->from[k][at];
        if (from >= 0 && from != at) {
            year->way_m += lw_distance_m(year->file.place[from].spot, year->file.place[at].spot);
            year->moves++;
        }
        at = from;
    }
}

lw_code lw_trip_year_make(const lw_trip_ask *ask, const lw_trip_year_wish *wish, lw_trip_year *year, lw_err *err)
{
    *year = (lw_trip_year){.first = 0};
    chain *c = calloc(1, sizeof *c);
    lw_code code = c ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for a year");
    code = code ? code : ask->path || ask->text ? read_trip(ask, year, err) : read_book(ask, year, err);
    if (!code && c) {
        const lw_trip_file *file = &year->file;
        const lw_date from = lw_date_of(file->from_day);
        year->first = from.month - 1;
        year->coldest_c = !isnan(wish->coldest_c)   ? wish->coldest_c
                          : !isnan(file->coldest_c) ? file->coldest_c
                                                    : USUAL_COLDEST_C;
        year->hottest_c = !isnan(wish->hottest_c)   ? wish->hottest_c
                          : !isnan(file->hottest_c) ? file->hottest_c
                                                    : USUAL_HOTTEST_C;
        year->nights_frac = isnan(wish->nights_frac) ? file->nights_frac : wish->nights_frac;
        for (int p = 0; p < file->place_count; p++)
            fill_place(year, p, from.year);
        follow(year, c);
    }
    free(c);
    return code;
}

/* ---- in words and JSON ---- */

static void say_months(const lw_trip_year *year, int from, int until, lw_line *line)
{
    const int p = year->month[month_at(year, from)].follow;
    lw_line_add(line, "%s%s %s", from ? "; " : "", p < 0 ? "nowhere" : year->file.place[p].name,
                MONTH[month_at(year, from)]);
    if (until - from > 1)
        lw_line_add(line, " %s %s", until - from > 2 ? "to" : "and", MONTH[month_at(year, until - 1)]);
}

char *lw_trip_year_say(const lw_trip_year *year, lw_unit_system units, char *buf, size_t n)
{
    lw_line line = lw_line_of(buf, n);
    char way[64];
    int from = 0;
    for (int k = 1; k <= MONTHS; k++)
        if (k == MONTHS || year->month[month_at(year, k)].follow != year->month[month_at(year, from)].follow) {
            say_months(year, from, k, &line);
            from = k;
        }
    lw_quantity_print_in(way, sizeof way, year->way_m,
                         lw_unit_find(LW_DIM_LENGTH, units == LW_UNITS_US ? "mi" : "km", 2), 2);
    if (year->moves)
        lw_line_add(&line, ". %d %s, about %s by air", year->moves, year->moves == 1 ? "move" : "moves", way);
    lw_line_add(&line, ".");
    return buf;
}

static json_t *place_json(lw_json *j, const lw_trip_year *year, int p)
{
    const lw_trip_file_place *place = &year->file.place[p];
    json_t *o = lw_json_object(j), *months = lw_json_array(j);
    lw_json_text(j, o, "name", place->name);
    lw_json_number(j, o, "latitude_deg", place->spot.latitude_deg, 6);
    lw_json_number(j, o, "longitude_deg", place->spot.longitude_deg, 6);
    lw_json_number(j, o, "elevation_m", place->elevation_m, 0);
    lw_json_flag(j, o, "is_of_book", place->is_of_book);
    for (int k = 0; k < MONTHS; k++) {
        const lw_trip_month *month = &year->month[month_at(year, k)];
        json_t *one = lw_json_object(j);
        lw_json_number(j, one, "low_c", month->low_c[p], 1);
        lw_json_number(j, one, "high_c", month->high_c[p], 1);
        lw_json_number(j, one, "warm_frac", month->warm_frac[p], 3);
        lw_json_number(j, one, "cool_frac", month->cool_frac[p], 3);
        lw_json_flag(j, one, "is_mild", month->chance_frac[p] >= year->nights_frac);
        lw_json_flag(j, one, "is_way", month->follow == p);
        lw_json_add(j, months, one);
    }
    lw_json_put(j, o, "months", months);
    return o;
}

/* Places of the way in the order in which it comes to them; the others by their months that are mild, the most first. */
static void order_places(const lw_trip_year *year, int order[LW_TRIP_FILE_PLACES])
{
    int mild[LW_TRIP_FILE_PLACES] = {0}, count = 0, on_way = 0;
    unsigned char is_in[LW_TRIP_FILE_PLACES] = {0};
    for (int k = 0; k < MONTHS; k++) {
        const lw_trip_month *month = &year->month[month_at(year, k)];
        for (int i = 0; i < month->fit_count; i++)
            mild[month->fit[i]]++;
        if (month->follow >= 0 && !is_in[month->follow]) {
            is_in[month->follow] = 1;
            order[count++] = month->follow;
        }
    }
    on_way = count;
    for (int p = 0; p < year->file.place_count; p++) {
        if (is_in[p])
            continue;
        int at = count++;
        for (; at > on_way && mild[p] > mild[order[at - 1]]; at--)
            order[at] = order[at - 1];
        order[at] = p;
    }
}

char *lw_trip_year_json(const lw_trip_year *year, lw_unit_system units, const char *version)
{
    lw_json j = {.zone = NULL};
    json_t *root = lw_json_object(&j), *months = lw_json_array(&j), *places = lw_json_array(&j);
    int order[LW_TRIP_FILE_PLACES] = {0};
    char text[2 * LW_SENTENCE];
    lw_json_text(&j, root, "schema", "leeway.trip-year/1");
    lw_json_text(&j, root, "program", version ? version : "unknown");
    lw_json_number(&j, root, "coldest_c", year->coldest_c, 2);
    lw_json_number(&j, root, "hottest_c", year->hottest_c, 2);
    lw_json_number(&j, root, "chance_frac", year->nights_frac, 3);
    for (int k = 0; k < MONTHS; k++)
        lw_json_add(&j, months, json_integer(month_at(year, k) + 1));
    lw_json_put(&j, root, "months", months);
    lw_json_text(&j, root, "way", lw_trip_year_say(year, units, text, sizeof text));
    lw_json_count(&j, root, "moves", year->moves);
    lw_json_number(&j, root, "way_m", year->way_m, 0);
    lw_json_text(&j, root, "places_note", year->note);
    order_places(year, order);
    for (int i = 0; i < year->file.place_count; i++)
        lw_json_add(&j, places, place_json(&j, year, order[i]));
    lw_json_put(&j, root, "places", places);
    return lw_json_finish(&j, root, 0);
}
