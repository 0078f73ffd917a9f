#include "service/trip_grounds.h"

#include <math.h>
#include <stdio.h>

#include "exchange/usual_price.h"
#include "text/quantity.h"

static const double KM_PER_MILE = 1.609344; /* international mile, exact */

typedef struct usual {
    const char *key, *source, *kind;
    lw_dim dim;
} usual;

static const usual USUAL[LW_TRIP_USUAL_COUNT] = {
    [LW_TRIP_USUAL_WORK] = {"trip.work_chance", "how sure a day's work must be of its signal", "from judgement",
                            LW_DIM_FRACTION},
    [LW_TRIP_USUAL_DRIVE_DAY] = {"trip.drive_day", "hours at the wheel of a rig that stops for people, no source",
                                 "common practice", LW_DIM_TIME},
    [LW_TRIP_USUAL_DRIVE_WEEK] = {"trip.drive_week", "two long drives and a short one", "from memory", LW_DIM_TIME},
    [LW_TRIP_USUAL_NIGHTS] = {"trip.nights_chance", "how sure a night or day must be of the wished warmth",
                              "from judgement", LW_DIM_FRACTION},
    [LW_TRIP_USUAL_SUPPLIES] = {"trip.supplies_chance", "how sure the supplies must last between calls at services",
                                "from judgement", LW_DIM_FRACTION},
    [LW_TRIP_USUAL_PER_MILE] = {"trip.per_mile", NULL, NULL, LW_DIM_MONEY},
    [LW_TRIP_USUAL_HOUR] = {"trip.hour", "what an hour at the wheel or on a run weighs", "from memory", LW_DIM_MONEY},
    [LW_TRIP_USUAL_MOVE] = {"trip.move", "what breaking camp and setting up weighs", "from memory", LW_DIM_MONEY},
    [LW_TRIP_USUAL_WORTH] = {"places.worth", "a night, of places that do not say", "from memory", LW_DIM_MONEY},
};

static double value_of(const lw_trip_file *file, int which)
{
    const double of[LW_TRIP_USUAL_COUNT] = {
        [LW_TRIP_USUAL_WORK] = file->work_frac,          [LW_TRIP_USUAL_DRIVE_DAY] = file->drive_day_s,
        [LW_TRIP_USUAL_DRIVE_WEEK] = file->drive_week_s, [LW_TRIP_USUAL_NIGHTS] = file->nights_frac,
        [LW_TRIP_USUAL_SUPPLIES] = file->supplies_frac,  [LW_TRIP_USUAL_PER_MILE] = file->km_usd * KM_PER_MILE,
        [LW_TRIP_USUAL_HOUR] = file->hour_usd,           [LW_TRIP_USUAL_MOVE] = file->move_usd,
        [LW_TRIP_USUAL_WORTH] = LW_TRIP_WORTH_USD};
    return of[which];
}

/* Warmth that nobody wishes needs no chance. */
static int matters(const lw_trip_file *file, int which)
{
    return which != LW_TRIP_USUAL_NIGHTS || !isnan(file->coldest_c) || !isnan(file->hottest_c);
}

int lw_trip_grounds(const lw_trip_planned *p, lw_unit_system units, lw_assumption to[LW_TRIP_USUAL_COUNT])
{
    int count = 0;
    for (int i = 0; i < LW_TRIP_USUAL_COUNT; i++) {
        if (!(p->file.usual >> i & 1u) || !matters(&p->file, i))
            continue;
        const usual *u = &USUAL[i];
        lw_assumption *row = &to[count++];
        lw_usual_price price = {.usd = 0.0};
        lw_err unread = {0};
        const int is_listed = !u->source && lw_usual_price_of("rig-road-km", &price, &unread) == LW_OK;
        *row = (lw_assumption){.order = i};
        snprintf(row->key, sizeof row->key, "%s", u->key);
        lw_quantity_print(row->value, sizeof row->value, value_of(&p->file, i), u->dim, units);
        snprintf(row->source, sizeof row->source, "%s", is_listed ? price.source : u->source ? u->source : "");
        snprintf(row->kind, sizeof row->kind, "%s", is_listed ? price.kind : u->kind ? u->kind : "");
    }
    return count;
}
