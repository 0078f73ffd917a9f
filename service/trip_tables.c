#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/sky/sun_events.h"
#include "service/roads.h"
#include "service/trip_internal.h"
#include "text/say.h"

enum {
    SERVICE_MIN = 45,
    DRAWS_USUAL = 48,
    ENGINE_PLACES = 60,
    EVENING_HOUR = 19,
    MORNING_HOUR = 8,
    DUSK_UNKNOWN_HOUR = 17
};                                    /* hours: from memory */
static const double DELTA_T_S = 69.2; /* IERS, 2023: a second of it moves a sunset by nothing anybody sees */
static const double RUN_TROUBLE_USD = 5.0, OUTING_KMH = 60.0, ROAD_KMH = 60.0, MOST_ROAD_H = 14.0; /* from memory */

/* ---- how long a load lasts, by place and date ---- */

void lw_trip_tables_aim(lw_trip_tables *t, double aim_frac)
{
    const double at = fmax(0.0, (1.0 - aim_frac) * t->draws - 0.5); /* in the sorted row, between two of them */
    const int below = (int)at, above = below + 1 < t->draws ? below + 1 : below;
    for (int p = 0; p < t->file->place_count; p++)
        for (int i = 0; i < TRIP_SAMPLES; i++) {
            const int sample = i < t->samples ? i : t->samples - 1;
            const float *row = t->row + ((size_t)p * (size_t)t->samples + (size_t)sample) * lw_trip_row(t);
            const double nights = (double)row[below] + (at - below) * (double)(row[above] - row[below]);
            t->lasts[p][i] = t->file->place[p].has_everything ? INFINITY : nights;
            t->battery[p][i] = t->file->place[p].has_everything ? INFINITY : (double)row[t->draws + below];
        }
}

/* ---- climate ---- */

static double below_frac(double value, double mean, double sd)
{
    return 0.5 * erfc((mean - value) / (sd * sqrt(2.0)));
}

static double spread_of(const lw_climate_site *site, int64_t day, int is_high)
{
    const lw_date date = lw_date_of(day);
    lw_climate_day d;
    lw_climate_rms error;
    lw_climate_of_day(site, (double)(day - lw_day_of((lw_date){date.year, 1, 1}) + 1), &d);
    lw_climate_error(site, date.month, &error);
    const double own = is_high ? error.tmax_k : error.tmin_k, half = d.sddtr_k / 2.0;
    return sqrt(d.sd_k * d.sd_k + half * half + own * own);
}

double lw_trip_warm_frac(const lw_climate_site *site, int64_t day, double coldest_c)
{
    lw_climate_day d;
    if (isnan(coldest_c))
        return 1.0;
    lw_climate_of_day(site, (double)(day - lw_day_of((lw_date){lw_date_of(day).year, 1, 1}) + 1), &d);
    return 1.0 - below_frac(coldest_c, d.tmin_c, spread_of(site, day, 0));
}

double lw_trip_cool_frac(const lw_climate_site *site, int64_t day, double hottest_c)
{
    lw_climate_day d;
    if (isnan(hottest_c))
        return 1.0;
    lw_climate_of_day(site, (double)(day - lw_day_of((lw_date){lw_date_of(day).year, 1, 1}) + 1), &d);
    return below_frac(hottest_c, d.tmax_c, spread_of(site, day, 1));
}

/* ---- places, rules, stays of the past ---- */

static int is_same(double a, double b)
{
    return !(a < b) && !(a > b);
}

static int is_same_rule(const lw_stay_rule *a, const lw_stay_rule *b)
{
    return a->days == b->days && a->window_days == b->window_days && a->reading == b->reading && a->count == b->count &&
           is_same(a->radius_m, b->radius_m) && is_same(a->second_radius_m, b->second_radius_m) &&
           a->second_from == b->second_from && a->second_to == b->second_to &&
           a->consecutive_days == b->consecutive_days && is_same(a->site_m, b->site_m) &&
           a->year_days == b->year_days && a->site_gap_days == b->site_gap_days;
}

static int rule_number(lw_trip_tables *t, const lw_stay_rule *rule)
{
    for (int r = 0; r < t->rule_count; r++)
        if (is_same_rule(&t->rule[r], rule))
            return r;
    if (t->rule_count == LW_TRIP_RULES)
        return -1;
    t->rule[t->rule_count] = *rule;
    return t->rule_count++;
}

/* The land of one rule is of one number; a place whose manager nobody named stands for itself, or for its rule. */
static int land_number(const lw_trip_file *file, int place)
{
    const lw_trip_file_place *p = &file->place[place];
    const char *name = p->manager[0] ? p->manager : p->rule;
    if (!name[0])
        return 1000 + place;
    for (int q = 0; q < place; q++)
        if (strcmp(file->place[q].manager[0] ? file->place[q].manager : file->place[q].rule, name) == 0)
            return 1 + q;
    return 1 + place;
}

static lw_code too_many_rules(lw_err *err)
{
    return lw_fail(err, LW_E_FULL, "more than %d stay rules that differ", LW_TRIP_RULES);
}

/* Places of one row have one rule: it is read once. */
static lw_code fill_rule(lw_trip_tables *t, int place, lw_err *err)
{
    const lw_trip_file_place *p = &t->file->place[place];
    lw_loaded land = {.scenario = NULL};
    t->place[place].rule = -1;
    if (p->has_own_rule) {
        t->place[place].rule = rule_number(t, &p->own_rule);
        return t->place[place].rule < 0 ? too_many_rules(err) : LW_OK;
    }
    if (!p->rule[0])
        return LW_OK;
    for (int q = 0; q < place; q++)
        if (!t->file->place[q].has_own_rule && strcmp(t->file->place[q].rule, p->rule) == 0) {
            t->place[place].rule = t->place[q].rule;
            return LW_OK;
        }
    lw_code code = lw_trip_land_at(t->file, t->camp.zone.name, place, &land, err);
    if (code) {
        snprintf(err->where, sizeof err->where, "places.%s.rule", p->name);
        return code;
    }
    if (land.land.has_rule) {
        t->place[place].rule = rule_number(t, &land.land.rule);
        if (t->place[place].rule < 0)
            code = too_many_rules(err);
        else
            snprintf(t->rule_words[t->place[place].rule], LW_TRIP_FILE_LINE, "%.*s", LW_TRIP_FILE_LINE - 1,
                     land.rule_words);
    }
    lw_loaded_clear(&land);
    return code;
}

static lw_code fill_place(lw_trip_tables *t, int place, lw_err *err)
{
    const lw_trip_file *file = t->file;
    const lw_trip_file_place *p = &file->place[place];
    const lw_climate_place where = {p->spot.latitude_deg, p->spot.longitude_deg, p->elevation_m};
    lw_fault fault = {0};
    if (lw_climate_check(&where, &fault)) {
        (void)lw_fault_say(&fault, err);
        return lw_err_at(err, p->name, 0, NULL);
    }
    lw_climate_site_make(&where, &t->site[place]);
    t->place[place].at = (lw_stay_place){p->spot, land_number(file, place)};
    return fill_rule(t, place, err);
}

static void add_past(lw_trip_tables *t, lw_spot spot, int land, int64_t first_day, int64_t last_day)
{
    if (first_day < t->file->from_day && t->past_count < TRIP_PAST)
        t->past[t->past_count++] =
            (lw_stay_past){spot, land, first_day, last_day < t->file->from_day ? last_day : t->file->from_day};
}

/* Stays that the camp and the book tell, and those that a trip planned before has had. */
static void fill_past(lw_trip_tables *t, const lw_trip_ask *ask)
{
    const lw_land *land = &t->camp.land;
    for (int i = 0; i < land->earlier_count; i++) {
        const lw_named_stay *s = &land->earlier[i];
        int number = 0;
        for (int p = 0; p < t->file->place_count && s->manager[0] && !number; p++)
            if (strcmp(t->file->place[p].manager, s->manager) == 0)
                number = t->place[p].at.land;
        add_past(t, s->spot, number, s->arrival_day, s->departure_day);
    }
    for (int i = 0; i < ask->lived_count; i++) {
        const lw_stay_place *at = &t->place[ask->lived[i].place].at;
        add_past(t, at->spot, at->land, ask->lived[i].first_day, ask->lived[i].last_day);
    }
}

/* ---- the tables themselves ---- */

static int32_t cents(double usd)
{
    const double most = LW_TRIP_MOST_C;
    return (int32_t)lround(100.0 * usd < most ? 100.0 * usd : most);
}

static int fits_rig(const lw_trip_tables *t, const lw_trip_file_place *p)
{
    const lw_travel *rig = &t->camp.travel;
    return !(rig->length_m > p->length_m) && !(rig->height_m > p->height_m); /* NaN: nobody said */
}

/* Whoever travels along needs room beside us, and for the longest rig. */
static int fits_friends(const lw_trip_file *file, const lw_trip_file_place *p, int64_t day)
{
    int rigs = 1;
    for (int i = 0; i < file->friends_count; i++) {
        const lw_trip_file_friends *f = &file->friends[i];
        if ((f->from_day && day < f->from_day) || (f->until_day && day >= f->until_day))
            continue;
        rigs += f->rigs;
        if (f->length_m > p->length_m)
            return 0;
    }
    return !p->room || rigs <= p->room;
}

static int is_work_day(const lw_trip_tables *t, int64_t day)
{
    return (int)(t->work_days >> lw_weekday_of(day) & 1u);
}

static int is_drive_day(const lw_trip_tables *t, const lw_trip_file *file, int64_t day)
{
    return file->drive_days ? (int)(file->drive_days >> lw_weekday_of(day) & 1u) : !is_work_day(t, day);
}

int lw_trip_run_round(const lw_trip_tables *t, int place)
{
    return isnan(t->file->place[place].road_s) ? t->served[place * t->in.place_count + place].round : -1;
}

/* What a run from a place takes: by its own figure, else by the services known around. */
typedef struct run {
    double min, km, usd; /* min NaN: none can be made */
    unsigned days;
} run;

static run run_of(const lw_trip_tables *t, int place)
{
    const lw_trip_file_place *p = &t->file->place[place];
    const lw_trip_served *served = &t->served[place * t->in.place_count + place];
    if (!isnan(p->road_s))
        return (run){2.0 * p->road_s / 60.0 + SERVICE_MIN, 2.0 * p->road_s / 3600.0 * ROAD_KMH, p->service_usd, 127};
    if (served->round < 0)
        return (run){.min = NAN};
    return (run){(double)served->min, (double)served->km, t->round[served->round].fee_usd,
                 t->round[served->round].days};
}

/* On a work day a run has to fit between the work and the evening. */
static int is_run_day(const lw_trip_tables *t, const run *r, int64_t day)
{
    const int ends = t->work_until[lw_weekday_of(day)];
    return !isnan(r->min) && (r->days >> lw_weekday_of(day) & 1u) &&
           (!ends || 60.0 * ends + r->min <= 60.0 * EVENING_HOUR);
}

static int is_season(const lw_trip_file_place *p, int64_t day)
{
    for (int i = 0; i < p->shut_count; i++)
        if (day >= p->shut[i].from_day && day < p->shut[i].until_day)
            return 0;
    return (!p->from_day || day >= p->from_day) && (!p->until_day || day < p->until_day);
}

static void lay_nights(lw_trip_tables *t, const lw_trip_file *file, int place)
{
    const lw_trip_file_place *p = &file->place[place];
    const run r = run_of(t, place);
    for (int d = 0; d < t->in.days; d++) {
        lw_trip_cell *c = &t->cell[place * t->in.days + d];
        const int64_t day = file->from_day + d;
        const int is_work = is_work_day(t, day),
                  has_signal = p->signal_frac >= file->work_frac || file->work_frac <= 0.0;
        const int sample = (d + TRIP_EVERY_DAYS / 2) / TRIP_EVERY_DAYS;
        const double load = t->lasts[place][sample], battery = t->battery[place][sample];
        const double lasts = fmin(load, battery);
        *c = (lw_trip_cell){.worth_c = cents(p->worth_usd), .fee_c = cents(p->fee_usd)};
        c->use =
            isinf(lasts) || t->has_no_supplies ? 0 : (uint16_t)fmin(60000.0, ceil(LW_TRIP_FULL / fmax(lasts, 0.02)));
        if (is_season(p, day) && fits_rig(t, p) && fits_friends(file, p, day) &&
            lw_trip_warm_frac(&t->site[place], day, file->coldest_c) >= file->nights_frac &&
            lw_trip_cool_frac(&t->site[place], day, file->hottest_c) >= file->nights_frac)
            c->may |= LW_TRIP_NIGHT;
        if (!is_work || has_signal)
            c->may |= LW_TRIP_DAY | LW_TRIP_LEAVE | LW_TRIP_ARRIVE;
        if (is_run_day(t, &r, day) && battery >= load) /* a run brings no sun */
            c->may |= LW_TRIP_RUN;
    }
}

/* Services that are known by their spot, where that takes less time than the places' own figures. */
static void serve_by_round(lw_trip_tables *t, const lw_trip_file *file, int from, int to, lw_trip_leg *leg)
{
    const int at = from * t->in.place_count + to;
    const lw_trip_served *served = &t->served[at];
    if (served->round < 0)
        return;
    const lw_trip_round *round = &t->round[served->round];
    const double min = fmax((double)served->min, leg->road_min + round->inside_min),
                 km = fmax((double)served->km, t->road_km[at]);
    if (!(min < leg->served_min) || min > MOST_ROAD_H * 60.0)
        return;
    t->leg_round[at] = (int16_t)served->round;
    leg->served_min = (uint16_t)ceil(min);
    leg->served_money_c = cents(file->km_usd * km + round->fee_usd);
    leg->served_burden_c = cents(file->hour_usd * min / 60.0 + file->move_usd);
    leg->served_shut = (uint8_t)(~round->days & 127u);
}

static void lay_leg(lw_trip_tables *t, const lw_trip_file *file, int from, int to)
{
    const lw_trip_file_place *a = &file->place[from], *b = &file->place[to];
    lw_trip_leg *leg = &t->leg[from * t->in.place_count + to];
    const double km = t->road_km[from * t->in.place_count + to], hours = t->road_h[from * t->in.place_count + to];
    *leg = (lw_trip_leg){.road_min = LW_TRIP_NO_ROAD, .served_min = LW_TRIP_NO_ROAD};
    t->leg_round[from * t->in.place_count + to] = -1;
    if (from == to || hours > MOST_ROAD_H)
        return;
    leg->road_min = (uint16_t)ceil(60.0 * hours);
    leg->money_c = cents(file->km_usd * km);
    leg->burden_c = cents(file->hour_usd * hours + file->move_usd);
    double more_s = a->has_everything || b->has_everything
                        ? 0.0
                        : fmin(isnan(a->road_s) ? INFINITY : a->road_s, isnan(b->road_s) ? INFINITY : b->road_s);
    const double fee_usd = a->has_everything ? a->service_usd : b->service_usd;
    if (!isinf(more_s)) {
        more_s += 60.0 * SERVICE_MIN;
        leg->served_min = (uint16_t)(leg->road_min + (int)ceil(more_s / 60.0));
        leg->served_money_c = cents(file->km_usd * (km + more_s / 3600.0 * 50.0) + fee_usd);
        leg->served_burden_c = cents(file->hour_usd * (hours + more_s / 3600.0) + file->move_usd);
    }
    serve_by_round(t, file, from, to, leg);
}

int lw_trip_fallback(const lw_trip_tables *t, int place, int day)
{
    const int n = t->in.place_count, shut = t->in.closed[day];
    int best = -1;
    for (int q = 0; q < n; q++) {
        const int road_min = t->leg[place * n + q].road_min;
        const lw_trip_cell *c = &t->cell[q * t->in.days + day];
        if (q != place && road_min <= LW_TRIP_FALLBACK_MIN && (c->may & LW_TRIP_NIGHT) && c->use <= LW_TRIP_FULL &&
            !((t->place[place].beyond ^ t->place[q].beyond) & shut) &&
            (best < 0 || road_min < t->leg[place * n + best].road_min))
            best = q;
    }
    return best;
}

/* Somebody else may be there: a place is driven to only where another can be reached from it by daylight, with supplies for the night. */
static void lay_fallbacks(lw_trip_tables *t)
{
    const int n = t->in.place_count, days = t->in.days;
    for (int p = 0; p < n && !t->has_no_fallbacks; p++)
        for (int d = 0; d < days; d++) {
            lw_trip_cell *c = &t->cell[p * days + d];
            const int q = t->file->place[p].has_everything ? -1 : lw_trip_fallback(t, p, d);
            const int ends = t->work_until[lw_weekday_of(t->in.first_day + d)];
            const int sets_out_min = 60 * (ends > MORNING_HOUR ? ends : MORNING_HOUR);
            if (t->file->place[p].has_everything)
                continue;
            const int reach_min = q < 0 ? 0 : t->dusk_min[q * days + d] - t->leg[p * n + q].road_min - sets_out_min;
            if (reach_min <= 0) {
                c->may &= (uint8_t)~LW_TRIP_ARRIVE;
                continue;
            }
            c->reach_min = (uint16_t)reach_min;
            c->spare = t->cell[q * days + d].use;
        }
}

static void lay_passes(lw_trip_tables *t)
{
    for (int p = 0; p < t->in.place_count; p++)
        t->place[p].beyond = 0;
    for (int k = 0; k < t->file->pass_count; k++) {
        const lw_trip_file_pass *pass = &t->file->pass[k];
        for (int p = 0; p < t->in.place_count; p++)
            t->place[p].beyond |= (uint16_t)((pass->beyond[p / 64] >> (p % 64) & 1u) << k);
        for (int d = 0; d <= t->in.days; d++)
            t->in.closed[d] |= (uint16_t)((unsigned)lw_trip_file_is_shut(pass, t->in.first_day + d) << k);
    }
}

int lw_trip_dusk_min(const lw_trip_tables *t, int place, int day)
{
    lw_sun_events_out sun;
    const lw_spot spot = t->file->place[place].spot;
    const int64_t of_day = t->file->from_day + day;
    lw_sun_events(&(lw_sun_events_in){of_day, spot.latitude_deg, spot.longitude_deg, DELTA_T_S}, &sun);
    const double since_s = sun.sunset_s - (double)lw_utc_of(&t->camp.zone, of_day, 0);
    return (int)(isnan(sun.sunset_s) ? 60 * DUSK_UNKNOWN_HOUR : since_s / 60.0 - LW_TRIP_BEFORE_DARK_MIN);
}

static void find_dusk(lw_trip_tables *t, int days)
{
    for (int p = 0; p < t->file->place_count; p++)
        for (int d = 0; d < days; d++)
            t->dusk_min[p * days + d] = (int16_t)lw_trip_dusk_min(t, p, d);
}

double lw_trip_outing_usd(const lw_trip_file *file, const lw_trip_file_wish *wish)
{
    const double hours = 2.0 * wish->drive_s / 3600.0;
    return hours * (file->hour_usd + OUTING_KMH * file->km_usd);
}

static void lay_wishes(lw_trip_tables *t, const lw_trip_file *file)
{
    t->in.wish_count = 0;
    for (int w = 0; w < file->wish_count; w++) {
        const lw_trip_file_wish *from = &file->wish[w];
        lw_trip_wish *to = &t->wish[t->in.wish_count];
        t->wish_of[t->in.wish_count] = w;
        *to = (lw_trip_wish){.nights = from->nights, .is_must = from->is_must, .until_day = t->in.days};
        memcpy(to->of, from->of, sizeof to->of);
        if (from->from_day > file->from_day)
            to->from_day = (int)(from->from_day - file->from_day);
        if (from->until_day && from->until_day < file->until_day)
            to->until_day = (int)(from->until_day - file->from_day);
        to->value_c =
            from->is_must ? 0 : (int32_t)lround(fmax(0.0, 100.0 * (from->worth_usd - lw_trip_outing_usd(file, from))));
        t->in.wish_count += !from->is_had && to->from_day < t->in.days && to->until_day > to->from_day;
    }
}

void lw_trip_tables_lay(lw_trip_tables *t, const lw_trip_file *file)
{
    lw_trip_in *in = &t->in;
    const int n = in->place_count;
    in->week_min = (int)fmin(10080.0, file->drive_week_s / 60.0);
    in->start_used = t->has_no_supplies ? 0 : t->start_used;
    in->budget_c = isnan(file->budget_usd) ? -1 : (int64_t)llround(100.0 * file->budget_usd);
    for (int d = 0; d <= in->days; d++) {
        in->week[d] = (int16_t)((in->first_day + d + 3) / 7 - (in->first_day + 3) / 7); /* weeks begin on Monday */
        in->day_min[d] =
            is_drive_day(t, file, in->first_day + d) || d == 0 || d == in->days ? (int)(file->drive_day_s / 60.0) : 0;
    }
    for (int p = 0; p < n; p++) {
        const run r = run_of(t, p);
        lay_nights(t, file, p);
        t->place[p].run_money_c = isnan(r.min) ? 0 : cents(r.usd + r.km * file->km_usd);
        t->place[p].run_burden_c = isnan(r.min) ? 0 : cents(file->hour_usd * r.min / 60.0 + RUN_TROUBLE_USD);
        for (int q = 0; q < n; q++)
            lay_leg(t, file, p, q);
    }
    /* On the first day one sets out whatever the weekday, and is let in. */
    for (int p = 0; p < n; p++)
        t->cell[(size_t)p * (size_t)in->days].may |= LW_TRIP_ARRIVE;
    lay_passes(t);
    lay_fallbacks(t);
    lay_wishes(t, file);
}

static void find_work(lw_trip_tables *t)
{
    const lw_crew *crew = &t->camp.scenario->crew;
    for (int d = 0; d < 7; d++) {
        uint32_t hours = 0;
        for (int i = 0; i < crew->person_count; i++)
            hours |= crew->person[i].work[d] | crew->person[i].school[d];
        t->work_days |= (unsigned)(hours != 0) << d;
        for (int h = 0; h < 24; h++)
            if (hours >> h & 1u)
                t->work_until[d] = h + 1;
    }
}

/* The household's own figures and a routing engine of the book go before a guess; an engine is not asked for thousands of ways. */
static lw_code ask_roads(const lw_trip_ask *ask, lw_trip_tables *t, lw_spot *spot, lw_road *road, lw_err *err)
{
    const int n = t->file->place_count;
    lw_camps camps = {0};
    lw_roads roads = {0};
    for (int p = 0; p < n; p++)
        spot[p] = t->file->place[p].spot;
    lw_code code = LW_OK;
    if (ask->book) {
        code = lw_camps_load(ask->book, &camps, err);
        code = code ? code : lw_roads_open(ask->book, &camps, ask->now_s, &roads, err);
        if (!code && n > ENGINE_PLACES)
            roads.engine[0] = '\0';
    }
    if (!code)
        lw_roads_table(&roads, spot, n, spot, n, road);
    for (int i = 0; i < n * n && !code; i++) {
        t->road_km[i] = road[i].distance_m.middle / 1000.0;
        t->road_h[i] = road[i].is_none ? INFINITY : road[i].time_s.middle / 3600.0;
    }
    snprintf(t->road_note, sizeof t->road_note, "%s", roads.note);
    lw_roads_clear(&roads);
    lw_camps_clear(&camps);
    return code;
}

static lw_code fill_roads(const lw_trip_ask *ask, lw_trip_tables *t, lw_err *err)
{
    const size_t n = (size_t)t->file->place_count;
    lw_spot *spot = calloc(n, sizeof *spot);
    lw_road *road = calloc(n * n, sizeof *road);
    lw_code code = LW_E_FULL;
    if (spot && road)
        code = ask_roads(ask, t, spot, road, err);
    else
        (void)lw_fail(err, LW_E_FULL, "no memory for a trip's roads");
    free(spot);
    free(road);
    return code;
}

lw_code lw_trip_tables_make(const lw_trip_ask *ask, const lw_trip_file *file, lw_trip_tables *t, lw_err *err)
{
    const size_t n = (size_t)file->place_count, days = (size_t)(file->until_day - file->from_day);
    t->file = file;
    const lw_scenario_from from = {.path = lw_trip_camp_name(file),
                                   .bytes = file->camp_text,
                                   .size = strlen(file->camp_text),
                                   .earlier = ask->earlier,
                                   .earlier_count = ask->earlier_count,
                                   .now_s = ask->now_s};
    lw_code code = lw_scenario_load(&from, &t->camp, err);
    if (code)
        return code;
    t->cell = calloc(n * days, sizeof *t->cell);
    t->leg = calloc(n * n, sizeof *t->leg);
    t->road_km = calloc(n * n, sizeof *t->road_km);
    t->road_h = calloc(n * n, sizeof *t->road_h);
    t->place = calloc(n, sizeof *t->place);
    t->site = calloc(n, sizeof *t->site);
    t->lasts = calloc(n, sizeof *t->lasts);
    t->battery = calloc(n, sizeof *t->battery);
    t->dusk_min = calloc(n * days, sizeof *t->dusk_min);
    t->leg_round = calloc(n * n, sizeof *t->leg_round);
    if (!t->leg_round || !t->cell || !t->leg || !t->road_km || !t->road_h || !t->place || !t->site || !t->lasts ||
        !t->battery || !t->dusk_min)
        return lw_fail(err, LW_E_FULL, "no memory for a trip's tables");
    find_work(t);
    for (int p = 0; p < file->place_count && !code; p++)
        code = fill_place(t, p, err);
    code = code ? code : fill_roads(ask, t, err);
    code = code ? code : lw_trip_rounds(t, err);
    t->draws = ask->draws > 0 ? ask->draws : DRAWS_USUAL;
    t->samples = ((int)days - 1) / TRIP_EVERY_DAYS + 1;
    code = code ? code : lw_trip_supplies(ask, t, err);
    if (code)
        return code;
    find_dusk(t, (int)days);
    lw_trip_tables_aim(t, file->supplies_frac);
    fill_past(t, ask);
    t->in = (lw_trip_in){.days = (int)days,
                         .place_count = file->place_count,
                         .start = file->start,
                         .end = file->end,
                         .first_day = file->from_day,
                         .start_used = t->start_used,
                         .cell = t->cell,
                         .leg = t->leg,
                         .place = t->place,
                         .rule = t->rule,
                         .rule_count = t->rule_count,
                         .history = {t->past, t->past_count},
                         .wish = t->wish,
                         .cap = t->cap};
    lw_trip_tables_lay(t, file);
    return LW_OK;
}

void lw_trip_tables_clear(lw_trip_tables *t)
{
    lw_loaded_clear(&t->camp);
    free(t->cell);
    free(t->leg);
    free(t->road_km);
    free(t->road_h);
    free(t->place);
    free(t->site);
    free(t->lasts);
    free(t->battery);
    free(t->dusk_min);
    free(t->round);
    free(t->served);
    free(t->leg_round);
    free(t->row);
    *t = (lw_trip_tables){0};
}
