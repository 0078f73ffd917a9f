/* tests/core/trip_cases.h: invented trips by number, for tests and for tools/trip-bench.
 *
 * A region of 1,000 x 800 km with places of four kinds: open land (14 days in 28 within 40 km, counted in any part), forest (14 nights
 * in 30 on all of its land), campgrounds (fees, 14 nights running), towns (everything at hand, dear, little joy). What a night is
 * worth, how cold it gets, who has signal and how long supplies last come from the number alone.
 * easy    free time, long drives, no budget; medium  work weeks with signal, 5 h a day and 12 h a week at the wheel, a must and some
 * wishes; tight  3.5 h and 7 h, a budget, supplies for five to nine nights, three musts with dates. */
#ifndef LW_TESTS_CORE_TRIP_CASES_H
#define LW_TESTS_CORE_TRIP_CASES_H

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/base/civil.h"
#include "core/base/random.h"
#include "core/plan/trip.h"

typedef enum trip_class { TRIP_EASY = 0, TRIP_MEDIUM, TRIP_TIGHT, TRIP_CLASSES } trip_class;

typedef struct trip_case {
    lw_trip_in in;
    lw_trip_cell *cell;
    lw_trip_leg *leg;
    lw_trip_place *place;
    lw_trip_wish wish[LW_TRIP_WISHES];
    lw_trip_cap cap[LW_TRIP_CAPS];
    lw_stay_rule rule[8];
    lw_stay_past past[8];
    uint32_t seed, at;
} trip_case;

static double trip_unit(trip_case *c)
{
    const lw_random_key key = {.seed = c->seed, .draw = c->at++};
    return lw_random_unit(lw_random_block(&key, 17, 0).word[0]);
}

static double trip_between(trip_case *c, double low, double high)
{
    return low + (high - low) * trip_unit(c);
}

static int trip_whole(trip_case *c, int low, int high)
{
    const int at = low + (int)(trip_unit(c) * (high - low + 1));
    return at < high ? at : high;
}

static void trip_case_clear(trip_case *c)
{
    free(c->cell);
    free(c->leg);
    free(c->place);
    *c = (trip_case){0};
}

static void trip_case_lend(trip_case *c, int days, int places)
{
    const size_t n = (size_t)places;
    c->cell = calloc(n * (size_t)days, sizeof *c->cell);
    c->leg = calloc(n * n, sizeof *c->leg);
    c->place = calloc(n, sizeof *c->place);
    if (!c->cell || !c->leg || !c->place)
        abort();
    c->in = (lw_trip_in){.days = days,
                         .place_count = places,
                         .end = -1,
                         .week_min = 10080,
                         .budget_c = -1,
                         .cell = c->cell,
                         .leg = c->leg,
                         .place = c->place,
                         .rule = c->rule,
                         .history = {c->past, 0},
                         .wish = c->wish,
                         .cap = c->cap};
}

typedef struct trip_spot {
    double x_km, y_km, height_m, beauty, signal_frac;
    int kind; /* 0 open land, 1 forest, 2 campground, 3 town */
    int lasts;
} trip_spot;

static void trip_case_roads(trip_case *c, const trip_spot *spot, double fuel_usd_km)
{
    const int n = c->in.place_count;
    for (int p = 0; p < n; p++)
        for (int q = 0; q < n; q++) {
            lw_trip_leg *leg = &c->leg[p * n + q];
            const double km = 1.3 * hypot(spot[p].x_km - spot[q].x_km, spot[p].y_km - spot[q].y_km);
            double detour_km = 1e9;
            for (int t = 0; t < n; t++)
                if (spot[t].kind == 3) {
                    const double by = 1.3 * (hypot(spot[p].x_km - spot[t].x_km, spot[p].y_km - spot[t].y_km) +
                                             hypot(spot[t].x_km - spot[q].x_km, spot[t].y_km - spot[q].y_km));
                    detour_km = by < detour_km ? by : detour_km;
                }
            const double hours = km / 75.0 + 0.3, served_h = detour_km / 75.0 + 1.0;
            leg->road_min = hours < 10.0 ? (uint16_t)ceil(60.0 * hours) : LW_TRIP_NO_ROAD;
            leg->served_min = served_h < 10.0 ? (uint16_t)ceil(60.0 * served_h) : LW_TRIP_NO_ROAD;
            leg->money_c = hours < 10.0 ? (int32_t)(100.0 * fuel_usd_km * km) : 0;
            leg->burden_c = hours < 10.0 ? (int32_t)(800.0 * hours + 800.0) : 0;
            leg->served_money_c = served_h < 10.0 ? (int32_t)(100.0 * fuel_usd_km * detour_km + 1500.0) : 0;
            leg->served_burden_c = served_h < 10.0 ? (int32_t)(800.0 * served_h + 800.0) : 0;
        }
}

static void trip_case_nights(trip_case *c, const trip_spot *spot, trip_class class)
{
    static const double FEE_USD[] = {0.0, 0.0, 24.0, 48.0};
    lw_trip_in *in = &c->in;
    for (int p = 0; p < in->place_count; p++)
        for (int d = 0; d < in->days; d++) {
            lw_trip_cell *cell = &c->cell[p * in->days + d];
            const int64_t day = in->first_day + d;
            const int is_work = class != TRIP_EASY && lw_weekday_of(day) < 5;
            const double season = cos((lw_date_of(day).month - 7 + lw_date_of(day).day / 30.0) * 0.5236);
            const double low_c = 12.0 + 9.0 * season - spot[p].height_m * 0.0065 - spot[p].y_km * 0.006;
            const double high_c = low_c + 16.0;
            cell->fee_c = (int32_t)(100.0 * FEE_USD[spot[p].kind]);
            cell->worth_c = (int32_t)(3000.0 + 6000.0 * spot[p].beauty - 80.0 * fabs(low_c - 8.0));
            cell->use =
                spot[p].kind == 3 ? 0 : (uint16_t)ceil(1000.0 / (spot[p].lasts - (low_c < 2.0) - (high_c > 28.0)));
            cell->may = p == 0 || (low_c >= -1.0 && high_c <= 33.0) ? LW_TRIP_NIGHT : 0;
            cell->may |= !is_work || spot[p].signal_frac >= 0.8 ? LW_TRIP_DAY : 0;
            cell->may |= !is_work ? LW_TRIP_LEAVE | LW_TRIP_ARRIVE | LW_TRIP_RUN : 0;
            if (is_work && lw_weekday_of(day) == 4 && spot[p].signal_frac >= 0.8)
                cell->may |= LW_TRIP_LEAVE; /* after work on Friday */
            if (is_work && lw_weekday_of(day) == 4)
                cell->may |= LW_TRIP_ARRIVE;
        }
}

/* Should a place be full: the nearest other that is open that night, by daylight, with supplies left for it. Campgrounds and towns are
 * booked. High places in the west and in the east lie beyond passes that winter closes; a quarter of the services is shut on Sundays. */
static void trip_case_fallbacks(trip_case *c, const trip_spot *spot)
{
    enum { NEAR_MIN = 150, DAYLIGHT_MIN = 690, EVENING_MIN = 270, SUNDAY = 64 };
    lw_trip_in *in = &c->in;
    const int n = in->place_count;
    for (int p = 0; p < n; p++) {
        const int is_high = spot[p].height_m > 2200.0;
        c->place[p].beyond = (uint16_t)((is_high && spot[p].x_km < 250.0) | (is_high && spot[p].x_km > 750.0) << 1);
        for (int q = 0; q < n; q++)
            c->leg[p * n + q].served_shut = (p * 7 + q) % 4 == 0 ? SUNDAY : 0;
        for (int d = 0; d < in->days && spot[p].kind < 2; d++) {
            lw_trip_cell *cell = &c->cell[p * in->days + d];
            int near = -1, near_min = NEAR_MIN + 1;
            for (int q = 0; q < n; q++)
                if (q != p && c->leg[p * n + q].road_min < near_min && (c->cell[q * in->days + d].may & LW_TRIP_NIGHT))
                    near = q, near_min = c->leg[p * n + q].road_min;
            const int is_evening = in->day_min[d] > 0 && in->day_min[d] <= NEAR_MIN;
            const int reach_min = (is_evening ? EVENING_MIN : DAYLIGHT_MIN) - near_min;
            if (near < 0 || reach_min <= 0)
                cell->may &= (uint8_t)~LW_TRIP_ARRIVE;
            else {
                cell->spare = c->cell[near * in->days + d].use;
                cell->reach_min = (uint16_t)reach_min;
            }
        }
    }
    for (int d = 0; d <= in->days; d++) {
        const int month = lw_date_of(in->first_day + d).month;
        in->closed[d] = (uint16_t)((month < 6 || month > 10) | (month < 5 || month > 9) << 1);
    }
}

static void trip_case_wishes(trip_case *c, const trip_spot *spot, int musts, int likes)
{
    lw_trip_in *in = &c->in;
    for (int w = 0; w < musts + likes; w++) {
        lw_trip_wish *wish = &c->wish[w];
        const double x_km = trip_between(c, 100.0, 900.0), y_km = trip_between(c, 100.0, 700.0);
        const int from = trip_whole(c, 0, in->days * 3 / 4), length = trip_whole(c, 10, 24);
        *wish = (lw_trip_wish){.nights = trip_whole(c, 1, 3), .is_must = w < musts};
        wish->value_c = wish->is_must ? 0 : trip_whole(c, 4000, 12000);
        wish->from_day = from < in->days - wish->nights ? from : in->days - wish->nights;
        wish->from_day = wish->from_day > 0 ? wish->from_day : 0;
        wish->until_day = from + length < in->days ? from + length : in->days;
        for (int p = 0; p < in->place_count; p++)
            if (hypot(spot[p].x_km - x_km, spot[p].y_km - y_km) < 110.0)
                wish->of[p / 64] |= UINT64_C(1) << (p % 64);
    }
    in->wish_count = musts + likes;
}

static void trip_case_make(trip_case *c, uint32_t seed, trip_class class, int days, int places)
{
    static const int DAY_MIN[] = {480, 300, 210}, WEEK_MIN[] = {2400, 720, 420}, LASTS[] = {12, 8, 6};
    static const int BUDGET_A_DAY_C[] = {-1, -1, 1700};
    trip_spot *spot = calloc((size_t)places, sizeof *spot);
    if (!spot)
        abort();
    *c = (trip_case){.seed = seed * 8u + (uint32_t) class};
    trip_case_lend(c, days, places);
    lw_trip_in *in = &c->in;
    in->first_day = lw_day_of((lw_date){2027, 1, 1}) + trip_whole(c, 90, 250);
    c->rule[0] = (lw_stay_rule){.days = 14, .window_days = 28, .count = LW_STAY_ANY_PART, .radius_m = 40234.0};
    c->rule[1] = (lw_stay_rule){.days = 14, .window_days = 30, .count = LW_STAY_NIGHTS};
    c->rule[2] = (lw_stay_rule){.consecutive_days = 14, .site_m = 500.0, .count = LW_STAY_NIGHTS};
    in->rule_count = 3;
    for (int p = 0; p < places; p++) {
        trip_spot *s = &spot[p];
        const double kind = trip_unit(c);
        *s = (trip_spot){trip_between(c, 0.0, 1000.0),
                         trip_between(c, 0.0, 800.0),
                         trip_between(c, 300.0, 2600.0),
                         trip_unit(c),
                         trip_unit(c) < 0.5 ? trip_between(c, 0.0, 0.8) : trip_between(c, 0.8, 1.0),
                         0,
                         0};
        s->kind = p == 0 ? 3 : kind < 0.5 ? 0 : kind < 0.75 ? 1 : kind < 0.92 ? 2 : 3;
        s->beauty *= s->kind == 3 ? 0.2 : 1.0;
        s->signal_frac = s->kind == 3 ? 0.95 : s->signal_frac;
        s->lasts = LASTS[class] + trip_whole(c, -1, 3);
        c->place[p] = (lw_trip_place){
            .at = {{36.0 + s->y_km / 111.2, -118.0 + s->x_km / 88.0}, s->kind == 1 ? 10 + p % 4 : s->kind + 1},
            .rule = s->kind < 3 ? s->kind : -1,
            .run_money_c = 2500,
            .run_burden_c = 2400};
    }
    for (int d = 0; d <= days; d++) {
        in->week[d] = (int16_t)((in->first_day + d + 3) / 7 - (in->first_day + 3) / 7);
        in->day_min[d] = class != TRIP_EASY && lw_weekday_of(in->first_day + d) == 4  ? 150
                         : class != TRIP_EASY && lw_weekday_of(in->first_day + d) < 4 ? 0
                                                                                      : DAY_MIN[class];
    }
    in->day_min[0] = in->day_min[days] = 600;
    in->week_min = WEEK_MIN[class];
    in->week_min = in->week_min > 600 ? in->week_min : 600;
    in->budget_c = BUDGET_A_DAY_C[class] < 0 ? -1 : (int64_t)BUDGET_A_DAY_C[class] * days;
    trip_case_roads(c, spot, class == TRIP_EASY ? 0.2 : 0.3);
    trip_case_nights(c, spot, class);
    if (class != TRIP_EASY)
        trip_case_fallbacks(c, spot);
    trip_case_wishes(c, spot, class == TRIP_EASY ? 0 : class == TRIP_MEDIUM ? 1 : 2, class == TRIP_TIGHT ? 4 : 3);
    free(spot);
}

#endif
