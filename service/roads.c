#include "service/roads.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/power/generator.h"
#include "core/sky/air.h"
#include "exchange/tables.h"
#include "service/household.h"
#include "text/quantity.h"
#include "text/say.h"
#include "text/spot_typed.h"

static const double END_M = 300.0;            /* a place and where its track begins: common practice, no source */
static const double QUICK = 0.9, SLOW = 1.25; /* of a known time: roadworks, stops; common practice, no source */
static const double GRADE_FRAC = 0.05,
                    STEEP_FRAC = 0.06; /* mountain highways are laid out to 6 % (AASHTO, from memory) */
static const double WAIT_S = 20.0;
static const double LHV_PETROL_WHPL = 32.36e6 / 3600.0,
                    LHV_DIESEL_WHPL = 35.81e6 / 3600.0; /* US DOE, fuel properties (GREET) */
static const char USUAL[] = "class-c";                  /* where no stay goes on */

/* ---- the rig ---- */

static lw_code number_of(const lw_table *table, int row, const char *column, double said, double *to, lw_err *err)
{
    *to = said;
    return isnan(said) ? lw_table_number(table, row, column, to, err) : LW_OK;
}

static lw_code fill_rig(const lw_table *table, int row, const lw_travel *t, lw_road_rig *rig, lw_err *err)
{
    lw_drive_rig *d = &rig->drive;
    const struct {
        const char *column;
        double said;
        double *to;
    } FIGURE[] = {
        {"length_m", t->length_m, &rig->length_m},     {"height_m", t->height_m, &rig->height_m},
        {"width_m", t->width_m, &rig->width_m},        {"weight_kg", t->weight_kg, &rig->weight_kg},
        {"speed_ms", t->speed_ms, &rig->speed_ms},     {"power_w", t->power_w, &rig->power_w},
        {"drag_m2", (double)NAN, &d->drag_m2},         {"roll", (double)NAN, &d->roll},
        {"engine_frac", (double)NAN, &d->engine_frac}, {"drive_frac", (double)NAN, &d->drive_frac},
        {"idle_lph", (double)NAN, &d->idle_lph},       {"aux_w", (double)NAN, &d->aux_w},
    };
    for (size_t i = 0; i < sizeof FIGURE / sizeof FIGURE[0]; i++)
        if (number_of(table, row, FIGURE[i].column, FIGURE[i].said, FIGURE[i].to, err))
            return err->code;
    const int is_diesel = t->has_fuel ? t->is_diesel : strcmp(lw_table_cell(table, row, "fuel"), "diesel") == 0;
    d->mass_kg = rig->weight_kg;
    d->fuel_whpl = is_diesel ? LHV_DIESEL_WHPL : LHV_PETROL_WHPL;
    d->power_w = INFINITY;
    rig->is_turbo = t->is_turbo;
    rig->clearance = t->clearance;
    return LW_OK;
}

/* The efficiency with which the stated use comes out on a level highway at the sea's level. */
static void fit_use(lw_road_rig *rig, double use_l100km)
{
    const lw_drive_way way = {.distance_m = 1e5,
                              .grade_frac = GRADE_FRAC,
                              .speed_ms = rig->speed_ms,
                              .air_kgm3 = lw_air_standard(0.0).density_kgm3,
                              .roll_factor = 1.0};
    const double usual_l = lw_drive_of(&rig->drive, &way).fuel_l;
    rig->drive.engine_frac = fmin(1.0, fmax(0.05, rig->drive.engine_frac * usual_l / use_l100km));
}

lw_code lw_road_rig_of(const char *rig_kind, const lw_travel *travel, lw_road_rig *rig, lw_err *err)
{
    static const lw_travel NOTHING = {.length_m = (double)NAN,
                                      .height_m = (double)NAN,
                                      .width_m = (double)NAN,
                                      .weight_kg = (double)NAN,
                                      .use_l100km = (double)NAN,
                                      .power_w = (double)NAN,
                                      .speed_ms = (double)NAN};
    const lw_travel *t = travel ? travel : &NOTHING;
    lw_table table = {0};
    lw_road_rig made = {0};
    lw_code code = lw_table_open("travel", &table, err);
    if (code)
        return code;
    const int row = lw_table_row(&table, "id", rig_kind);
    code = fill_rig(&table, row >= 0 ? row : lw_table_row(&table, "id", USUAL), t, &made, err);
    lw_table_clear(&table);
    if (code)
        return code;
    if (!isnan(t->use_l100km))
        fit_use(&made, t->use_l100km);
    *rig = made;
    return LW_OK;
}

/* ---- what the household knows ---- */

static int find_end(const lw_camps *camps, const char *typed, lw_spot *spot, double *elevation_m)
{
    lw_fault fault;
    const lw_camp *camp = lw_camps_named(camps, typed);
    *elevation_m = camp ? camp->facts.elevation_m : (double)NAN;
    if (camp)
        *spot = camp->facts.spot;
    return camp || (lw_spot_typed(typed, spot) && !lw_spot_check(spot, &fault));
}

lw_code lw_roads_end(const lw_camps *camps, const char *typed, lw_spot *spot, double *elevation_m, lw_err *err)
{
    const lw_camp *camp;
    lw_err own = {0};
    if (find_end(camps, typed, spot, elevation_m))
        return LW_OK;
    const lw_code code = lw_camps_find(camps, typed, &camp, &own);
    return lw_fail(err, code ? code : LW_E_MISSING, "%.250s; a spot is written 38.2,-111.1", own.text);
}

static lw_code gather_legs(const lw_camps *camps, lw_roads *to, lw_err *err)
{
    size_t count = 0;
    for (int i = 0; i < camps->count; i++)
        count += (size_t)camps->camp[i].facts.about.drive_count;
    to->leg = calloc(count + 1, sizeof *to->leg);
    if (!to->leg)
        return lw_fail(err, LW_E_FULL, "no memory for the roads of the book");
    for (int i = 0; i < camps->count; i++) {
        const lw_about *about = &camps->camp[i].facts.about;
        for (int k = 0; k < about->drive_count; k++) {
            lw_spot end;
            double height_m;
            if (find_end(camps, about->drive[k].to, &end, &height_m))
                to->leg[to->leg_count++] =
                    (lw_roads_leg){camps->camp[i].facts.spot, end, about->drive[k].distance_m, about->drive[k].time_s};
        }
    }
    return LW_OK;
}

lw_code lw_roads_open(lw_book *book, const lw_camps *camps, int64_t now_s, lw_roads *roads, lw_err *err)
{
    lw_roads made = {.wait_s = WAIT_S, .now_s = now_s};
    lw_household home = {0};
    lw_err own = {0};
    int is_set = 0;
    lw_code code = lw_book_get(book, LW_ROADS_ENGINE_KEY, made.engine, sizeof made.engine, &is_set, err);
    if (!is_set)
        made.engine[0] = '\0';
    const int has_stay = !code && lw_household_load_last(book, now_s, &home, &own) == LW_OK;
    code = code ? code
                : lw_road_rig_of(has_stay ? home.loaded.rig_kind : USUAL, has_stay ? &home.loaded.travel : NULL,
                                 &made.rig, err);
    code = code ? code : gather_legs(camps, &made, err);
    lw_household_clear(&home);
    if (code)
        lw_roads_clear(&made);
    else
        *roads = made;
    return code;
}

void lw_roads_clear(lw_roads *roads)
{
    free(roads->leg);
    *roads = (lw_roads){0};
}

/* ---- ways ---- */

static void set_known(lw_road *road, lw_road_by by, double distance_m, double time_s)
{
    road->by = by;
    road->is_none = 0;
    road->distance_m = (lw_drive_band){distance_m, distance_m, distance_m};
    road->time_s = (lw_drive_band){time_s, time_s * QUICK, time_s * SLOW};
}

static void set_yours(lw_road *road, const lw_roads_leg *leg)
{
    if (isnan(leg->time_s)) { /* the way is known, its time by the usual pace */
        set_known(road, LW_ROAD_YOURS, leg->distance_m, 0.0);
        road->time_s = lw_drive_pace(leg->distance_m);
        return;
    }
    const double guessed_m = fmax(road->distance_m.middle, road->air_m);
    set_known(road, LW_ROAD_YOURS, isnan(leg->distance_m) ? guessed_m : leg->distance_m, leg->time_s);
    if (isnan(leg->distance_m))
        road->distance_m = (lw_drive_band){guessed_m, road->air_m, 1.5 * guessed_m};
}

static void guess(lw_spot from, lw_spot to, lw_road *road)
{
    const double air_m = lw_distance_m(from, to);
    const lw_drive_guessed g = lw_drive_guess(air_m);
    *road = (lw_road){.by = LW_ROAD_GUESS, .air_m = air_m, .distance_m = g.distance_m, .time_s = g.time_s};
}

static int is_end(lw_spot a, lw_spot b)
{
    static const double DEGREE_M = 111000.0; /* a little short: a quick look before the whole formula */
    return fabs(a.latitude_deg - b.latitude_deg) * DEGREE_M <= END_M && lw_distance_m(a, b) <= END_M;
}

/* The legs of one start with every target. */
static void lay_legs(const lw_roads *roads, lw_spot from, const lw_spot *to, int count, lw_road *row)
{
    for (int l = 0; l < roads->leg_count; l++) {
        const lw_roads_leg *leg = &roads->leg[l];
        const int is_there = is_end(from, leg->from), is_back = is_end(from, leg->to);
        for (int k = 0; (is_there || is_back) && k < count; k++)
            if ((is_there && is_end(to[k], leg->to)) || (is_back && is_end(to[k], leg->from)))
                set_yours(&row[k], leg);
    }
}

static int wants_engine(const lw_road *road, int count)
{
    for (int k = 0; k < count; k++)
        if (road[k].by == LW_ROAD_GUESS && road[k].air_m > END_M)
            return 1;
    return 0;
}

/* What the engine says of one start, as far as the household knows nothing. */
static void lay_engine(lw_roads *roads, lw_spot from, const lw_spot *to, int count, lw_road *row)
{
    double *figure = calloc(2 * (size_t)count, sizeof *figure);
    lw_err own = {0};
    const lw_router_ask ask = {.engine = roads->engine,
                               .from = &from,
                               .to = to,
                               .from_count = 1,
                               .to_count = count,
                               .height_m = roads->rig.height_m,
                               .width_m = roads->rig.width_m,
                               .length_m = roads->rig.length_m,
                               .weight_kg = roads->rig.weight_kg,
                               .wait_s = roads->wait_s};
    if (figure && lw_router_table(&ask, figure, figure + count, &own) == LW_OK) {
        for (int k = 0; k < count; k++)
            if (row[k].by == LW_ROAD_GUESS && row[k].air_m > END_M) {
                row[k].is_none = isnan(figure[k]);
                if (!row[k].is_none)
                    set_known(&row[k], LW_ROAD_ENGINE, figure[k], figure[count + k]);
            }
    } else if (figure) {
        snprintf(roads->note, sizeof roads->note, "The routing engine was no help, so ways are guessed: %s%s%.200s.",
                 own.where, own.where[0] ? ": " : "", own.text);
        roads->engine[0] = '\0';
    }
    free(figure);
}

void lw_roads_table(lw_roads *roads, const lw_spot *from, int from_count, const lw_spot *to, int to_count, lw_road *out)
{
    for (int i = 0; i < from_count; i++) {
        lw_road *row = out + (size_t)i * (size_t)to_count;
        for (int k = 0; k < to_count; k++)
            guess(from[i], to[k], &row[k]);
        lay_legs(roads, from[i], to, to_count, row);
        for (int k = 0; k < to_count; k += LW_ROUTER_PAIRS) {
            const int count = to_count - k < LW_ROUTER_PAIRS ? to_count - k : LW_ROUTER_PAIRS;
            if (roads->engine[0] && wants_engine(row + k, count))
                lay_engine(roads, from[i], to + k, count, row + k);
        }
    }
}

lw_road lw_roads_between(lw_roads *roads, lw_spot from, lw_spot to)
{
    lw_road road;
    lw_roads_table(roads, &from, 1, &to, 1, &road);
    return road;
}

/* ---- fuel ---- */

static double power_frac(const lw_road_rig *rig, double elevation_m)
{
    lw_generator engine;
    const lw_generator_spec spec = {.rated_w = 1.0, .derate = rig->is_turbo ? LW_DERATE_NONE : LW_DERATE_J1349};
    lw_generator_prepare(&spec, elevation_m, &engine);
    return lw_generator_capacity_w(&engine, lw_air_standard(elevation_m).temperature_c);
}

static double fuel_of(const lw_road_rig *rig, double distance_m, double climb_m, double fall_m, double air_kgm3)
{
    const lw_drive_way way = {.distance_m = distance_m,
                              .climb_m = climb_m,
                              .fall_m = fall_m,
                              .grade_frac = GRADE_FRAC,
                              .speed_ms = rig->speed_ms,
                              .air_kgm3 = air_kgm3,
                              .roll_factor = 1.0};
    return lw_drive_of(&rig->drive, &way).fuel_l;
}

lw_road_fuel lw_roads_fuel(const lw_road_rig *rig, const lw_road *road, double from_m, double to_m)
{
    const int is_known = !isnan(from_m) && !isnan(to_m);
    const double up_m = is_known ? to_m - from_m : 0.0, high_m = is_known ? fmax(0.0, fmax(from_m, to_m)) : 0.0;
    const double climb_m = fmax(0.0, up_m), fall_m = fmax(0.0, -up_m);
    const double air_kgm3 = lw_air_standard(is_known ? fmax(0.0, 0.5 * (from_m + to_m)) : 0.0).density_kgm3;
    lw_road_fuel f = {.fuel_l = fuel_of(rig, road->distance_m.middle, climb_m, fall_m, air_kgm3),
                      .low_l = fuel_of(rig, road->distance_m.low, climb_m, fall_m, air_kgm3),
                      .high_l = fuel_of(rig, road->distance_m.high, climb_m, fall_m, air_kgm3),
                      .power_frac = power_frac(rig, high_m)};
    lw_drive_rig thin = rig->drive;
    thin.power_w = rig->power_w * f.power_frac;
    const lw_drive_way steep = {.distance_m = 1000.0,
                                .climb_m = 1000.0 * STEEP_FRAC,
                                .grade_frac = STEEP_FRAC,
                                .speed_ms = rig->speed_ms,
                                .air_kgm3 = lw_air_standard(high_m).density_kgm3,
                                .roll_factor = 1.0};
    const lw_drive uphill = lw_drive_of(&thin, &steep);
    f.uphill_ms = uphill.is_held ? uphill.uphill_ms : 0.0;
    return f;
}

/* ---- words ---- */

char *lw_road_time_say(double time_s, char *buf, size_t n)
{
    const int minutes = (int)(time_s / 300.0 + 0.5) * 5;
    if (minutes < 60)
        snprintf(buf, n, "%d min", minutes < 5 ? 5 : minutes);
    else if (minutes % 60)
        snprintf(buf, n, "%d h %d min", minutes / 60, minutes % 60);
    else
        snprintf(buf, n, "%d h", minutes / 60);
    return buf;
}

char *lw_road_say(const lw_road *road, lw_unit_system units, char buf[LW_ROADS_SAY])
{
    char way[LW_QUANTITY_BYTES], air[LW_QUANTITY_BYTES], time[32], quick[32], slow[32];
    lw_quantity_print(way, sizeof way, road->distance_m.middle, LW_DIM_LENGTH, units);
    lw_quantity_print(air, sizeof air, road->air_m, LW_DIM_LENGTH, units);
    lw_road_time_say(road->time_s.middle, time, sizeof time);
    if (road->by == LW_ROAD_GUESS)
        snprintf(buf, LW_ROADS_SAY, "some %s, %s to %s (guessed: %s by air%s)", way,
                 lw_road_time_say(road->time_s.low, quick, sizeof quick),
                 lw_road_time_say(road->time_s.high, slow, sizeof slow), air,
                 road->is_none ? "; your road map has no way for this rig" : "");
    else
        snprintf(buf, LW_ROADS_SAY, "%s, %s (%s)", way, time,
                 road->by == LW_ROAD_YOURS ? "your own figure" : "by your road map");
    return buf;
}
