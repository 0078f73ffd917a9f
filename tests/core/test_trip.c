/* Trips: invented places, held against an integer program solved by GLPK 5.0, a general solver (https://www.gnu.org/software/glpk/),
 * written from the sentences of docs/trip.md; against trying all chains; and against the stay rules of core/land. */
#include <glpk.h>

#include "tests/check.h"
#include "tests/core/trip_cases.h"

/* ---- small trips in which every kind of rule may bind ---- */

static void wild_rules(trip_case *c)
{
    lw_trip_in *in = &c->in;
    in->rule_count = 3;
    for (int r = 0; r < in->rule_count; r++) {
        lw_stay_rule *rule = &c->rule[r];
        *rule = (lw_stay_rule){.count = trip_unit(c) < 0.5 ? LW_STAY_NIGHTS : LW_STAY_ANY_PART};
        if (trip_unit(c) < 0.8) {
            rule->days = trip_whole(c, 2, 5);
            rule->window_days = rule->days + trip_whole(c, 1, 6);
            rule->radius_m = trip_unit(c) < 0.5 ? 0.0 : trip_between(c, 1000.0, 60000.0);
        }
        if (trip_unit(c) < 0.4)
            rule->consecutive_days = trip_whole(c, 2, 5), rule->site_m = 1.0;
        if (trip_unit(c) < 0.25)
            rule->site_gap_days = trip_whole(c, 2, 5), rule->site_m = 1.0;
        if (trip_unit(c) < 0.25)
            rule->year_days = trip_whole(c, 3, 9);
    }
}

static void wild_past(trip_case *c)
{
    lw_trip_in *in = &c->in;
    in->history.count = trip_whole(c, 0, 3);
    for (int i = 0; i < in->history.count; i++) {
        const int p = trip_whole(c, 0, in->place_count - 1), ago = trip_whole(c, 1, 9);
        c->past[i] = (lw_stay_past){c->place[p].at.spot, c->place[p].at.land, in->first_day - ago,
                                    in->first_day - ago + trip_whole(c, 0, 3)};
        if (c->past[i].last_day > in->first_day)
            c->past[i].last_day = in->first_day;
    }
}

static void wild_tables(trip_case *c)
{
    lw_trip_in *in = &c->in;
    const int n = in->place_count;
    double x_km[LW_TRIP_PLACES], y_km[LW_TRIP_PLACES];
    for (int p = 0; p < n; p++) {
        x_km[p] = trip_between(c, 0.0, 120.0), y_km[p] = trip_between(c, 0.0, 120.0);
        c->place[p] = (lw_trip_place){.at = {{40.0 + y_km[p] / 111.2, -110.0 + x_km[p] / 85.0}, trip_whole(c, 0, 3)},
                                      .rule = trip_whole(c, -1, in->rule_count - 1),
                                      .run_money_c = trip_whole(c, 500, 3000),
                                      .run_burden_c = trip_whole(c, 0, 2000)};
        const int worth_c = trip_whole(c, 1000, 8000), use = trip_unit(c) < 0.2 ? 0 : trip_whole(c, 120, 400);
        const double often = trip_between(c, 0.6, 1.0);
        for (int d = 0; d < in->days; d++) {
            lw_trip_cell *cell = &c->cell[p * in->days + d];
            cell->worth_c = worth_c + trip_whole(c, -500, 500);
            cell->fee_c = trip_unit(c) < 0.4 ? trip_whole(c, 0, 3000) : 0;
            cell->use = (uint16_t)use;
            for (int bit = 0; bit < 5; bit++)
                cell->may |= (uint8_t)((trip_unit(c) < often || (bit == 0 && p == 0)) << bit);
        }
    }
    for (int p = 0; p < n; p++)
        for (int q = 0; q < n; q++) {
            lw_trip_leg *leg = &c->leg[p * n + q];
            const int road_min = 20 + (int)(1.2 * hypot(x_km[p] - x_km[q], y_km[p] - y_km[q]));
            *leg = (lw_trip_leg){.road_min = trip_unit(c) < 0.1 ? LW_TRIP_NO_ROAD : (uint16_t)road_min,
                                 .served_min = trip_unit(c) < 0.4 ? LW_TRIP_NO_ROAD
                                                                  : (uint16_t)(road_min + trip_whole(c, 10, 60)),
                                 .money_c = trip_whole(c, 100, 2000),
                                 .burden_c = trip_whole(c, 100, 2000),
                                 .served_money_c = trip_whole(c, 500, 3500),
                                 .served_burden_c = trip_whole(c, 100, 2500),
                                 .served_shut = (uint8_t)(trip_unit(c) < 0.3 ? trip_whole(c, 0, 127) : 0)};
        }
}

static void wild_wishes(trip_case *c)
{
    lw_trip_in *in = &c->in;
    in->wish_count = trip_whole(c, 0, 5);
    for (int w = 0; w < in->wish_count; w++) {
        lw_trip_wish *wish = &c->wish[w];
        *wish = (lw_trip_wish){.nights = trip_whole(c, 1, in->days < 4 ? in->days : 4), .is_must = trip_unit(c) < 0.25};
        wish->from_day = trip_whole(c, 0, in->days - wish->nights);
        wish->until_day = trip_whole(c, wish->from_day + wish->nights, in->days);
        wish->value_c = wish->is_must ? 0 : trip_whole(c, 1000, 12000);
        for (int p = 0; p < in->place_count; p++)
            wish->of[0] |= (uint64_t)(trip_unit(c) < 0.3) << p;
    }
    in->cap_count = trip_whole(c, 0, 1);
    c->cap[0] = (lw_trip_cap){.nights = trip_whole(c, 2, in->days)};
    for (int p = 0; p < in->place_count; p++)
        c->cap[0].of[0] |= (uint64_t)(trip_unit(c) < 0.4) << p;
}

/* What has to be left should a place be full, drives that come too late, a pass that is closed on some days. */
static void wild_fallbacks(trip_case *c)
{
    lw_trip_in *in = &c->in;
    for (int p = 0; p < in->place_count; p++) {
        c->place[p].beyond = (uint16_t)(trip_unit(c) < 0.4);
        for (int d = 0; d < in->days; d++) {
            lw_trip_cell *cell = &c->cell[p * in->days + d];
            cell->spare = trip_unit(c) < 0.5 ? (uint16_t)trip_whole(c, 50, 500) : 0;
            cell->reach_min = trip_unit(c) < 0.2 ? (uint16_t)trip_whole(c, 40, 150) : 0;
        }
    }
    for (int d = 0; d <= in->days; d++)
        in->closed[d] = (uint16_t)(trip_unit(c) < 0.3);
}

static void wild_make(trip_case *c, uint32_t seed, int days_most, int places_most)
{
    *c = (trip_case){.seed = 1000u + seed};
    const int days = trip_whole(c, days_most / 2, days_most), places = trip_whole(c, places_most / 2, places_most);
    trip_case_lend(c, days, places);
    lw_trip_in *in = &c->in;
    in->first_day = lw_day_of((lw_date){2027, trip_whole(c, 1, 12), trip_whole(c, 1, 28)});
    for (int d = 0; d <= days; d++) {
        in->week[d] = (int16_t)((d + 3) / 7);
        in->day_min[d] = trip_unit(c) < 0.3 ? 0 : trip_whole(c, 60, 200);
    }
    in->week_min = trip_whole(c, 150, 500);
    in->week_used_min = trip_unit(c) < 0.3 ? 40 : 0;
    in->start_used = trip_unit(c) < 0.5 ? 0 : trip_whole(c, 0, 600);
    in->end = trip_unit(c) < 0.4 ? trip_whole(c, 0, places - 1) : -1;
    in->budget_c = trip_unit(c) < 0.5 ? trip_whole(c, 800, 2500) * days : -1;
    wild_rules(c);
    wild_tables(c);
    wild_wishes(c);
    wild_past(c);
    wild_fallbacks(c);
}

/* ---- the integer program ---- */

enum { TERMS = 4096 };

typedef struct program {
    const lw_trip_in *in;
    glp_prob *lp;
    int *x, *stay, *run, *z, *t, *used; /* columns by [place][day], legs by [from][to][day]; 0: none */
    int load[LW_TRIP_DAYS];
    int at[TERMS + 1], count;
    double by[TERMS + 1];
} program;

static int column(program *p, double worth, double high, int is_whole)
{
    const int at = glp_add_cols(p->lp, 1);
    glp_set_obj_coef(p->lp, at, worth);
    glp_set_col_bnds(p->lp, at, GLP_DB, 0.0, high);
    if (is_whole)
        glp_set_col_kind(p->lp, at, GLP_BV);
    return at;
}

static void add(program *p, int at, double by)
{
    if (at == 0)
        return;
    if (p->count == TERMS)
        abort();
    p->at[++p->count] = at;
    p->by[p->count] = by;
}

static void keep(program *p, int kind, double bound)
{
    if (p->count > 0) {
        const int row = glp_add_rows(p->lp, 1);
        glp_set_row_bnds(p->lp, row, kind, bound, bound);
        glp_set_mat_row(p->lp, row, p->count, p->at, p->by);
    } else if ((kind != GLP_UP && bound > 0.0) || (kind != GLP_LO && bound < 0.0)) { /* 0 cannot do it */
        const int row = glp_add_rows(p->lp, 1);
        glp_set_row_bnds(p->lp, row, GLP_FX, 1.0, 1.0);
    }
    p->count = 0;
}

static const lw_trip_cell *cell_of(const program *p, int place, int day)
{
    return &p->in->cell[place * p->in->days + day];
}

static int is_open(const lw_trip_in *in, int place, int day, int bit)
{
    return in->cell[place * in->days + day].may & bit;
}

static void add_columns(program *p)
{
    const lw_trip_in *in = p->in;
    const int n = in->place_count, days = in->days;
    for (int q = 0; q < n; q++)
        for (int d = 0; d < days; d++) {
            const lw_trip_cell *c = cell_of(p, q, d);
            if (!(c->may & LW_TRIP_NIGHT))
                continue;
            p->x[q * days + d] = column(p, c->worth_c - c->fee_c, 1.0, 1);
            if (d == 0 ? q == in->start : (c->may & LW_TRIP_DAY) != 0)
                p->stay[q * days + d] = column(p, 0.0, 1.0, 1);
            if (d > 0 && (c->may & LW_TRIP_DAY) && (c->may & LW_TRIP_RUN))
                p->run[q * days + d] = column(p, -in->place[q].run_money_c - in->place[q].run_burden_c, 1.0, 1);
        }
    for (int a = 0; a < n; a++)
        for (int q = 0; q < n; q++)
            for (int d = 0; d <= days; d++) {
                const lw_trip_leg *leg = &in->leg[a * n + q];
                const int at = (a * n + q) * (days + 1) + d;
                if (a == q || (d == 0 && a != in->start) || (d == days && q != in->end))
                    continue;
                if (d > 0 && !is_open(in, a, d < days ? d : days - 1, LW_TRIP_LEAVE))
                    continue;
                if (d < days && (!is_open(in, q, d, LW_TRIP_ARRIVE) || !is_open(in, q, d, LW_TRIP_NIGHT)))
                    continue;
                if ((in->closed[d] & 1u) && in->place[a].beyond != in->place[q].beyond)
                    continue;
                const lw_trip_cell *there = d < days ? cell_of(p, q, d) : NULL;
                const int late_min = there && there->reach_min ? there->reach_min : 1440;
                if (leg->road_min != LW_TRIP_NO_ROAD && leg->road_min <= in->day_min[d] && leg->road_min <= late_min)
                    p->z[at] = column(p, -leg->money_c - leg->burden_c, 1.0, 1);
                if (leg->served_shut >> lw_weekday_of(in->first_day + d) & 1u)
                    continue;
                if (leg->served_min != LW_TRIP_NO_ROAD && leg->served_min <= in->day_min[d] &&
                    leg->served_min <= late_min)
                    p->t[at] = column(p, -leg->served_money_c - leg->served_burden_c, 1.0, 1);
            }
}

static void add_legs(program *p, int from, int to, int day, double by)
{
    const int at = (from * p->in->place_count + to) * (p->in->days + 1) + day;
    add(p, p->z[at], by);
    add(p, p->t[at], by);
}

static void keep_flow(program *p)
{
    const lw_trip_in *in = p->in;
    const int n = in->place_count, days = in->days;
    for (int d = 0; d < days; d++)
        for (int q = 0; q < n; q++) {
            add(p, p->x[q * days + d], 1.0); /* who is there came or stayed */
            add(p, p->stay[q * days + d], -1.0);
            for (int a = 0; a < n; a++)
                add_legs(p, a, q, d, -1.0);
            keep(p, GLP_FX, 0.0);
            add(p, d > 0 ? p->x[q * days + d - 1] : 0, 1.0); /* who was there stays or goes */
            add(p, p->stay[q * days + d], -1.0);
            for (int a = 0; a < n; a++)
                add_legs(p, q, a, d, -1.0);
            keep(p, GLP_FX, d == 0 && q == in->start ? -1.0 : 0.0);
            add(p, p->run[q * days + d], 1.0);
            add(p, p->stay[q * days + d], -1.0);
            keep(p, GLP_UP, 0.0);
        }
    for (int a = 0; a < n && in->end >= 0; a++) {
        if (a == in->end)
            continue;
        add(p, p->x[a * days + days - 1], 1.0);
        add_legs(p, a, in->end, days, -1.0);
        keep(p, GLP_FX, 0.0);
    }
}

static void keep_weeks_and_budget(program *p)
{
    const lw_trip_in *in = p->in;
    const int n = in->place_count;
    for (int w = in->week[0]; w <= in->week[in->days]; w++) {
        for (int i = 0; i < n * n; i++)
            for (int d = 0; d <= in->days; d++)
                if (in->week[d] == w) {
                    add(p, p->z[i * (in->days + 1) + d], in->leg[i].road_min);
                    add(p, p->t[i * (in->days + 1) + d], in->leg[i].served_min);
                }
        keep(p, GLP_UP, in->week_min - (w == in->week[0] ? in->week_used_min : 0));
    }
    if (in->budget_c < 0)
        return;
    for (int i = 0; i < n * n; i++)
        for (int d = 0; d <= in->days; d++) {
            add(p, p->z[i * (in->days + 1) + d], in->leg[i].money_c);
            add(p, p->t[i * (in->days + 1) + d], in->leg[i].served_money_c);
        }
    for (int q = 0; q < n; q++)
        for (int d = 0; d < in->days; d++) {
            add(p, p->x[q * in->days + d], cell_of(p, q, d)->fee_c);
            add(p, p->run[q * in->days + d], in->place[q].run_money_c);
        }
    keep(p, GLP_UP, (double)in->budget_c);
}

static void keep_supplies(program *p)
{
    const lw_trip_in *in = p->in;
    const int n = in->place_count;
    for (int d = 0; d < in->days; d++) {
        p->load[d] = column(p, 0.0, LW_TRIP_FULL, 0);
        add(p, p->load[d], -1.0);
        for (int q = 0; q < n; q++)
            add(p, p->x[q * in->days + d], cell_of(p, q, d)->use);
        keep(p, GLP_UP, 0.0);
        add(p, p->load[d], -1.0);
        add(p, d > 0 ? p->load[d - 1] : 0, 1.0);
        for (int q = 0; q < n; q++) {
            add(p, p->x[q * in->days + d], cell_of(p, q, d)->use);
            add(p, p->run[q * in->days + d], -2.0 * LW_TRIP_FULL);
            for (int a = 0; a < n; a++)
                add(p, p->t[(a * n + q) * (in->days + 1) + d], -2.0 * LW_TRIP_FULL);
        }
        keep(p, GLP_UP, d > 0 ? 0.0 : -in->start_used);
        add(p, d > 0 ? p->load[d - 1] : 0, 1.0); /* who comes unserved has the spare left */
        for (int q = 0; q < n; q++)
            for (int a = 0; a < n; a++)
                add(p, p->z[(a * n + q) * (in->days + 1) + d], cell_of(p, q, d)->spare);
        keep(p, GLP_UP, d > 0 ? LW_TRIP_FULL : LW_TRIP_FULL - in->start_used);
    }
}

/* Days of the past that count for a place, within a radius (0: on all of its land). */
static int was_used(const lw_trip_in *in, int place, double radius_m, int64_t day, int is_any)
{
    for (int i = 0; i < in->history.count; i++) {
        const lw_stay_past *s = &in->history.stay[i];
        const int land = in->place[place].at.land;
        if ((land && s->land && land != s->land) ||
            (radius_m > 0.0 && lw_distance_m(s->spot, in->place[place].at.spot) > radius_m))
            continue;
        if (day >= s->first_day && day < s->last_day + is_any)
            return 1;
    }
    return 0;
}

static int counts_for(const lw_trip_in *in, int asked, int stay, double radius_m)
{
    const int a = in->place[asked].at.land, b = in->place[stay].at.land;
    return !(a && b && a != b) &&
           (radius_m <= 0.0 || lw_distance_m(in->place[asked].at.spot, in->place[stay].at.spot) <= radius_m);
}

/* A column a day: 1 where it counts for the place; 0 as its number where it never can; -1: it counts by the past. */
static void used_days(program *p, int place, double radius_m, int is_any, int *used)
{
    const lw_trip_in *in = p->in;
    for (int d = 0; d < in->days; d++) {
        used[d] = -1;
        if (was_used(in, place, radius_m, in->first_day + d, is_any))
            continue;
        used[d] = column(p, 0.0, 1.0, 0);
        for (int q = 0; q < in->place_count; q++)
            if (counts_for(in, place, q, radius_m))
                for (int back = 0; back <= is_any && back <= d; back++) {
                    add(p, p->x[q * in->days + d - back], 1.0);
                    add(p, used[d], -1.0);
                    keep(p, GLP_UP, 0.0);
                }
        add(p, used[d], 1.0); /* and not without a reason */
        for (int q = 0; q < in->place_count; q++)
            if (counts_for(in, place, q, radius_m))
                for (int back = 0; back <= is_any && back <= d; back++)
                    add(p, p->x[q * in->days + d - back], -1.0);
        keep(p, GLP_UP, 0.0);
    }
}

/* At most so many used days from..day-1, where the day is asked at the place, by the night of ask. */
static void keep_few(program *p, int place, double radius_m, int is_any, const int *used, int from, int day, int most,
                     int ask)
{
    const lw_trip_in *in = p->in;
    int past = 0;
    if (p->x[place * in->days + ask] == 0)
        return;
    for (int64_t d = from; d < 0; d++)
        past += was_used(in, place, radius_m, in->first_day + d, is_any);
    for (int d = from < 0 ? 0 : from; d < day; d++) {
        if (used[d] < 0)
            past++;
        else
            add(p, used[d], 1.0);
    }
    add(p, p->x[place * in->days + ask], 1000.0);
    keep(p, GLP_UP, 1000.0 + most - past);
}

static void keep_gap(program *p, int place, int is_any, double site_m, const int *used, int day, int ask)
{
    const lw_trip_in *in = p->in;
    const int gap = in->rule[in->place[place].rule].site_gap_days;
    const int yesterday = day > 0 ? used[day - 1] : was_used(in, place, site_m, in->first_day - 1, is_any) ? -1 : 0;
    if (p->x[place * in->days + ask] == 0 || yesterday < 0)
        return; /* it runs on */
    for (int d = day - gap; d < day - 1; d++) {
        const int was = d >= 0 ? used[d] : was_used(in, place, site_m, in->first_day + d, is_any) ? -1 : 0;
        if (was == 0)
            continue;
        add(p, p->x[place * in->days + ask], 1.0);
        if (was > 0)
            add(p, was, 1.0);
        add(p, yesterday, -1.0);
        keep(p, GLP_UP, was > 0 ? 1.0 : 0.0);
    }
}

static void keep_stay_rules(program *p)
{
    const lw_trip_in *in = p->in;
    for (int q = 0; q < in->place_count; q++) {
        if (in->place[q].rule < 0)
            continue;
        const lw_stay_rule *rule = &in->rule[in->place[q].rule];
        const int is_any = rule->count == LW_STAY_ANY_PART;
        int near[LW_TRIP_DAYS], site[LW_TRIP_DAYS], land[LW_TRIP_DAYS];
        if (rule->days)
            used_days(p, q, rule->radius_m, is_any, near);
        if (rule->consecutive_days || rule->site_gap_days)
            used_days(p, q, rule->site_m, is_any, site);
        if (rule->year_days)
            used_days(p, q, 0.0, is_any, land);
        for (int ask = 0; ask < in->days; ask++)
            for (int day = ask; day <= ask + is_any; day++) {
                if (rule->days)
                    keep_few(p, q, rule->radius_m, is_any, near, day - rule->window_days + 1, day, rule->days - 1, ask);
                if (rule->consecutive_days)
                    keep_few(p, q, rule->site_m, is_any, site, day - rule->consecutive_days, day,
                             rule->consecutive_days - 1, ask);
                if (rule->site_gap_days)
                    keep_gap(p, q, is_any, rule->site_m, site, day, ask);
                const int year = lw_date_of(in->first_day + day).year;
                if (rule->year_days)
                    keep_few(p, q, 0.0, is_any, land, (int)(lw_day_of((lw_date){year, 1, 1}) - in->first_day), day,
                             rule->year_days - 1, ask);
            }
    }
}

static void keep_wishes(program *p)
{
    const lw_trip_in *in = p->in;
    for (int w = 0; w < in->wish_count; w++) {
        const lw_trip_wish *wish = &in->wish[w];
        const int kept = column(p, wish->value_c, 1.0, 1);
        int begun[LW_TRIP_DAYS * 16], count = 0;
        for (int q = 0; q < in->place_count; q++)
            for (int d = wish->from_day; d + wish->nights <= wish->until_day && (wish->of[0] >> q & 1u); d++) {
                const int g = column(p, 0.0, 1.0, 1);
                for (int i = 0; i < wish->nights; i++) {
                    add(p, g, 1.0);
                    add(p, p->x[q * in->days + d + i], -1.0);
                    keep(p, GLP_UP, 0.0);
                }
                begun[count++] = g;
            }
        add(p, kept, 1.0);
        for (int i = 0; i < count; i++)
            add(p, begun[i], -1.0);
        keep(p, GLP_UP, 0.0);
        if (wish->is_must) {
            add(p, kept, 1.0);
            keep(p, GLP_LO, 1.0);
        }
    }
    for (int c = 0; c < in->cap_count; c++) {
        for (int q = 0; q < in->place_count; q++)
            for (int d = 0; d < in->days && (in->cap[c].of[0] >> q & 1u); d++)
                add(p, p->x[q * in->days + d], 1.0);
        keep(p, GLP_UP, in->cap[c].nights);
    }
}

/* -INFINITY: no trip. NaN: the solver came to its own limit, the case says nothing. */
static double by_program(const lw_trip_in *in)
{
    const size_t nights = (size_t)(in->place_count * in->days);
    const size_t legs = (size_t)(in->place_count * in->place_count * (in->days + 1));
    program *p = calloc(1, sizeof *p);
    int *columns = calloc(3 * nights + 2 * legs, sizeof *columns);
    double value = -INFINITY;
    glp_iocp how;
    if (!p || !columns)
        abort();
    p->in = in;
    p->x = columns, p->stay = p->x + nights, p->run = p->stay + nights;
    p->z = p->run + nights, p->t = p->z + legs;
    glp_term_out(GLP_OFF);
    p->lp = glp_create_prob();
    glp_set_obj_dir(p->lp, GLP_MAX);
    add_columns(p);
    keep_flow(p);
    keep_weeks_and_budget(p);
    keep_supplies(p);
    keep_stay_rules(p);
    keep_wishes(p);
    glp_init_iocp(&how);
    how.presolve = GLP_ON;
    how.gmi_cuts = how.cov_cuts = how.mir_cuts = GLP_ON;
    how.tm_lim = getenv("LEEWAY_SOAK") ? 120000 : 10000; /* ms */
    const int code = glp_intopt(p->lp, &how);
    if (code == 0 && glp_mip_status(p->lp) == GLP_OPT)
        value = glp_mip_obj_val(p->lp);
    else if (code == GLP_ETMLIM)
        value = NAN;
    glp_delete_prob(p->lp);
    free(columns);
    free(p);
    return value;
}

/* ---- ours ---- */

static int count_down(void *with, const lw_trip_out *so_far)
{
    int *left = with;
    (void)so_far;
    return (*left)-- > 0;
}

static lw_trip_out plan(const lw_trip_in *in, const lw_trip_how *how, int width)
{
    lw_arena arena = {.cap = lw_trip_bytes(in, width)};
    lw_trip_out out = {0};
    lw_fault fault = {0};
    arena.base = malloc(arena.cap);
    assert_non_null(arena.base);
    if (lw_trip_check(in, &fault) || lw_trip_plan(in, how, &arena, &out, &fault))
        fail_msg("%s %g", fault.field, fault.value);
    free(arena.base);
    return out;
}

static void want_walked(const lw_trip_in *in, const lw_trip_out *out, uint32_t seed)
{
    lw_trip_sum sum;
    lw_fault fault = {0};
    if (lw_trip_walk(in, &out->chain, &sum, &fault))
        fail_msg("case %u: the trip breaks %s on day %.0f", seed, fault.field, fault.value);
    if (sum.value_c != out->value_c || sum.worth_c != out->worth_c)
        fail_msg("case %u: walked %lld, stated %lld", seed, (long long)sum.value_c, (long long)out->value_c);
    if (out->bound_c < out->value_c)
        fail_msg("case %u: bound %lld below its own %lld", seed, (long long)out->bound_c, (long long)out->value_c);
}

static void the_best_trip_is_that_of_an_integer_program(void **state)
{
    const int is_soak = getenv("LEEWAY_SOAK") != NULL;
    const int wanted = is_soak ? 100 : 3; /* of ten some three have a trip */
    int found = 0, none = 0, unknown = 0;
    (void)state;
    for (uint32_t seed = 1; found < wanted && seed <= 10u * (uint32_t)wanted; seed++) {
        trip_case c;
        wild_make(&c, seed, is_soak ? 21 : 9, is_soak ? 10 : 5);
        const lw_trip_out out = plan(&c.in, &(lw_trip_how){0}, is_soak ? 65536 : 4096);
        const double want = by_program(&c.in);
        if (isnan(want))
            unknown++;
        else if (!out.is_proven || out.is_found != !isinf(want) ||
                 (out.is_found && !(fabs((double)out.value_c - want) < 0.5)))
            fail_msg("case %u: %d days, %d places: %s %lld (bound %lld, %s), the integer program has %.1f", seed,
                     c.in.days, c.in.place_count, out.is_found ? "found" : "none", (long long)out.value_c,
                     (long long)out.bound_c, out.is_proven ? "proven" : "not proven", want);
        if (out.is_found)
            want_walked(&c.in, &out, seed);
        found += out.is_found && !isnan(want), none += !out.is_found;
        trip_case_clear(&c);
    }
    if (is_soak)
        print_message("%d trips, %d without, %d beyond the solver's time\n", found, none, unknown);
    if (found < wanted || unknown > wanted / 3)
        fail_msg("lopsided: %d trips, %d without, %d beyond the solver's time", found, none, unknown);
}

/* All chains of tiny trips, walked one by one. */
static void no_chain_is_better(void **state)
{
    const uint32_t cases = getenv("LEEWAY_SOAK") ? 200 : 12;
    int found = 0;
    (void)state;
    for (uint32_t seed = 1; seed <= cases; seed++) {
        trip_case c;
        wild_make(&c, 5000 + seed, 4, 3);
        const lw_trip_in *in = &c.in;
        const lw_trip_out out = plan(in, &(lw_trip_how){0}, 256);
        const int choices = 2 * in->place_count;
        int64_t best = INT64_MIN, all = 2;
        for (int d = 0; d < in->days; d++)
            all *= choices;
        for (int64_t i = 0; i < all; i++) {
            lw_trip_chain chain = {0};
            lw_trip_sum sum;
            lw_fault fault;
            int64_t rest = i / 2;
            int at = in->start;
            for (int d = 0; d < in->days; d++, rest /= choices) {
                const int to = (int)(rest % choices) / 2, is_more = (int)(rest % choices) % 2;
                chain.place[d] = (int16_t)to;
                chain.act[d] = (uint8_t)(to == at ? is_more : 2 + is_more);
                at = to;
            }
            chain.act[in->days] = (uint8_t)(in->end >= 0 && at != in->end ? 2 + i % 2 : 0);
            if (lw_trip_walk(in, &chain, &sum, &fault) == LW_OK && sum.value_c > best)
                best = sum.value_c;
        }
        if (!out.is_proven || out.is_found != (best != INT64_MIN) || (out.is_found && out.value_c != best))
            fail_msg("case %u: %lld, of all chains %lld", seed, out.is_found ? (long long)out.value_c : -1,
                     (long long)best);
        found += out.is_found;
        trip_case_clear(&c);
    }
    assert_true(found > (int)cases / 4);
}

/* Stopped at any time: what is found breaks nothing, and no later trip passes the bound that was given. */
static void the_bound_holds_whenever_it_is_stopped(void **state)
{
    const int is_soak = getenv("LEEWAY_SOAK") != NULL, wanted = is_soak ? 20 : 2;
    int found = 0;
    (void)state;
    for (uint32_t seed = 1; found < wanted && seed <= 4u * (uint32_t)wanted; seed++) {
        trip_case c;
        trip_case_make(&c, seed, seed % 2 ? TRIP_MEDIUM : TRIP_EASY, is_soak ? 60 : 24, is_soak ? 150 : 60);
        int64_t least_bound = INT64_MAX, best = INT64_MIN;
        for (int asked = 1; asked < 1500; asked = asked * 3 + 1) {
            int left = asked;
            const lw_trip_out out =
                plan(&c.in, &(lw_trip_how){.go_on = count_down, .with = &left, .rounds = 60}, is_soak ? 4096 : 1024);
            least_bound = out.bound_c < least_bound ? out.bound_c : least_bound;
            if (out.is_found) {
                want_walked(&c.in, &out, seed);
                best = out.value_c > best ? out.value_c : best;
            }
            if (best > least_bound)
                fail_msg("case %u: a trip of %lld passes a bound of %lld", seed, (long long)best,
                         (long long)least_bound);
        }
        found += best != INT64_MIN;
        trip_case_clear(&c);
    }
    if (found < wanted)
        fail_msg("lopsided: %d trips, %d were wanted", found, wanted);
}

/* A thousand trips, each night walked again by core/land's own rules. */
static void no_trip_breaks_a_rule(void **state)
{
    const int wanted = getenv("LEEWAY_SOAK") ? 1000 : 8;
    int found = 0;
    (void)state;
    for (uint32_t seed = 1; found < wanted && seed <= 10u * (uint32_t)wanted; seed++) {
        trip_case c;
        wild_make(&c, 20000 + seed, 16, 9);
        const lw_trip_out out = plan(&c.in, &(lw_trip_how){.rounds = 20, .enough_frac = 0.1}, LW_TRIP_WIDTH_LEAST * 4);
        if (out.is_found)
            want_walked(&c.in, &out, seed);
        found += out.is_found;
        trip_case_clear(&c);
    }
    if (found < wanted)
        fail_msg("lopsided: %d trips, %d were wanted", found, wanted);
}

static void bad_input_is_refused(void **state)
{
    trip_case c;
    lw_fault fault = {0};
    (void)state;
    wild_make(&c, 1, 9, 5);
    c.in.start = c.in.place_count;
    assert_int_equal(lw_trip_check(&c.in, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "start");
    c.in.start = 0;
    c.in.week[1] = 9;
    assert_int_equal(lw_trip_check(&c.in, &fault), LW_E_RANGE);
    assert_string_equal(fault.field, "week");
    trip_case_clear(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_best_trip_is_that_of_an_integer_program),
        cmocka_unit_test(no_chain_is_better),
        cmocka_unit_test(the_bound_holds_whenever_it_is_stopped),
        cmocka_unit_test(no_trip_breaks_a_rule),
        cmocka_unit_test(bad_input_is_refused),
    };
    return cmocka_run_group_tests_name("core/trip", tests, NULL, NULL);
}
