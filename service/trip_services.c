/* Where tanks are served on the way: services of the file and of the book's map files, put together to rounds that fill all up. */
#include <math.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/spots.h"
#include "core/land/drive.h"
#include "core/land/spot_kind.h"
#include "exchange/spots.h"
#include "service/errands_kept.h"
#include "service/trip_internal.h"
#include "service/words_internal.h"
#include "text/say.h"

enum { NEAREST = 3, FROM_HOUR = 8, UNTIL_HOUR = 18, OPEN_HOURS = 2, LACKING_MIN = 60, UNSURE_MOST = 200 };
static const double NEAR_M = 40e3;                          /* of a place of the trip */
static const double ROUND_M = 25e3;                         /* between the calls of a round */
static const double FIRST_MIN = 30.0, EACH_MORE_MIN = 15.0; /* at a service: from memory; all in one 30 min, three 60 */

#define BIT(supply) (UINT32_C(1) << LW_SUPPLY_##supply)
/* The rest is had on any road (fuel, groceries) or renews itself. */
static const uint32_t SERVED = BIT(FRESH) | BIT(DRINKING) | BIT(GREY) | BIT(BLACK) | BIT(PROPANE) | BIT(RUBBISH);
static const uint32_t VITAL =
    BIT(FRESH) | BIT(DRINKING) | BIT(GREY) | BIT(BLACK); /* a round without one of them is none */

/* ---- of the map files of the book ---- */

/* Weekdays on which it is open for two hours of the day at least. */
static unsigned days_of(const lw_errand_service *s)
{
    unsigned days = 0;
    for (int d = 0; d < 7; d++) {
        int hours = 0;
        for (int h = FROM_HOUR; h < UNTIL_HOUR; h++)
            hours += (int)(s->open[d] >> h & 1u);
        days |= (unsigned)(hours >= OPEN_HOURS) << d;
    }
    return days;
}

static int is_known(const lw_trip_file *file, const lw_errand_service *s, lw_spot spot)
{
    for (int i = 0; i < file->service_count; i++)
        if (lw_distance_m(file->service[i].spot, spot) < 1.0 &&
            (file->service[i].supplies & s->supplies) == s->supplies)
            return 1;
    return 0;
}

typedef struct unsure {
    int64_t id[UNSURE_MOST];
    int count;
} unsure;

static void add_unsure(unsure *to, int64_t id)
{
    for (int i = 0; i < to->count; i++)
        if (to->id[i] == id)
            return;
    if (to->count < UNSURE_MOST)
        to->id[to->count++] = id;
}

/* Dumps, taps and rubbish drop-offs only where the map says who may use them, as on any run. */
static lw_code take_spot(const lw_kept_spot *spot, int weeks, lw_trip_file *file, unsure *asked, lw_err *err)
{
    lw_errand_service s;
    const lw_spot at = {spot->latitude_deg, spot->longitude_deg};
    const lw_code code = lw_errand_of_spot(spot, file->from_day, weeks, &s, err);
    if (code || is_known(file, &s, at) || file->service_count == LW_TRIP_FILE_SERVICES)
        return code;
    const unsigned days = days_of(&s);
    if (s.users == LW_ERRAND_UNKNOWN || !days) {
        if (s.users == LW_ERRAND_UNKNOWN)
            add_unsure(asked, spot->id);
        return LW_OK;
    }
    lw_trip_file_service *to = &file->service[file->service_count++];
    *to = (lw_trip_file_service){
        .spot = at, .supplies = s.supplies & SERVED, .fee_usd = s.fee_usd, .days = days, .is_guess = s.is_guess};
    snprintf(to->name, sizeof to->name, "%s", s.name);
    return LW_OK;
}

lw_code lw_trip_gather_services(lw_book *book, lw_trip_file *file, int *asked_first, lw_err *err)
{
    static const lw_spot_kind KIND[] = {LW_SPOT_DUMP, LW_SPOT_WATER, LW_SPOT_RUBBISH, LW_SPOT_PROPANE};
    const int weeks = (int)((file->until_day - file->from_day) / 7) + 1;
    lw_code code = LW_OK;
    unsure asked = {.count = 0};
    for (size_t k = 0; k < sizeof KIND / sizeof KIND[0]; k++)
        for (int p = 0; p < file->place_count && !code; p++) {
            lw_kept_spots spots = {.count = 0};
            const lw_spot at = file->place[p].spot;
            code = lw_book_spots_near(
                book, &(lw_spots_near){at.latitude_deg, at.longitude_deg, NEAR_M, 1u << KIND[k], NEAREST}, &spots, err);
            for (size_t i = 0; i < spots.count && !code; i++)
                code = take_spot(&spots.spot[i], weeks, file, &asked, err);
            lw_kept_spots_clear(&spots);
        }
    *asked_first = asked.count;
    return code;
}

/* ---- rounds ---- */

static uint32_t needs_of(const lw_trip_tables *t)
{
    uint32_t needs = 0;
    for (int v = 0; v < t->camp.scenario->rig.vessel_count; v++)
        needs |= UINT32_C(1) << t->camp.scenario->rig.vessel[v].supply;
    return needs & SERVED;
}

/* From one service on, each next the nearest that has something that is still wanted. */
static void make_round(const lw_trip_file *file, uint32_t needs, int first, lw_trip_round *round)
{
    *round = (lw_trip_round){.call = {first}, .calls = 1, .days = file->service[first].days};
    uint32_t had = file->service[first].supplies;
    double min = FIRST_MIN, air_m = 0.0;
    round->fee_usd = file->service[first].fee_usd;
    while ((needs & ~had) && round->calls < LW_TRIP_CALLS) {
        const lw_spot at = file->service[round->call[round->calls - 1]].spot;
        double nearest_m = ROUND_M;
        int next = -1;
        for (int i = 0; i < file->service_count; i++) {
            const double way_m = lw_distance_m(at, file->service[i].spot);
            if (!(file->service[i].supplies & needs & ~had) || !(file->service[i].days & round->days) ||
                way_m > nearest_m)
                continue;
            nearest_m = way_m;
            next = i;
        }
        if (next < 0)
            break;
        const lw_drive_guessed way = lw_drive_guess(nearest_m);
        min += EACH_MORE_MIN + way.time_s.middle / 60.0;
        air_m += way.distance_m.middle;
        had |= file->service[next].supplies;
        round->fee_usd += file->service[next].fee_usd;
        round->days &= file->service[next].days;
        round->call[round->calls++] = next;
    }
    round->inside_min = min;
    round->inside_km = air_m / 1000.0;
    round->lacks = needs & ~had;
}

static int bits_of(uint32_t word)
{
    int count = 0;
    for (; word; word &= word - 1)
        count++;
    return count;
}

/* A round that lacks propane or rubbish costs as much as going for it some other time. */
static double weight(const lw_trip_round *round, double min)
{
    return min + LACKING_MIN * bits_of(round->lacks);
}

typedef struct ways {
    int services;
    lw_drive_guessed *to; /* [place * services + service] */
} ways;

/* The way a - first ... last - b, or the round the other way about. */
static double by_way(const ways *w, const lw_trip_round *round, int a, int b, double *km)
{
    const int first = round->call[0], last = round->call[round->calls - 1];
    const lw_drive_guessed *from_a = w->to + (ptrdiff_t)a * w->services, *from_b = w->to + (ptrdiff_t)b * w->services;
    const double one_s = from_a[first].time_s.middle + from_b[last].time_s.middle;
    const double other_s = from_a[last].time_s.middle + from_b[first].time_s.middle;
    const double one_m = from_a[first].distance_m.middle + from_b[last].distance_m.middle;
    const double other_m = from_a[last].distance_m.middle + from_b[first].distance_m.middle;
    *km = (one_s <= other_s ? one_m : other_m) / 1000.0 + round->inside_km;
    return fmin(one_s, other_s) / 60.0 + round->inside_min;
}

static void find_best(lw_trip_tables *t, const ways *w, int a, int b, lw_trip_served *to)
{
    double best = INFINITY;
    *to = (lw_trip_served){.round = -1};
    for (int r = 0; r < t->round_count; r++) {
        double km = 0.0;
        const double min = by_way(w, &t->round[r], a, b, &km);
        if (!(weight(&t->round[r], min) < best))
            continue;
        best = weight(&t->round[r], min);
        *to = (lw_trip_served){.round = r, .min = (float)min, .km = (float)km};
    }
}

static lw_code no_memory(lw_err *err)
{
    return lw_fail(err, LW_E_FULL, "no memory for a trip's services");
}

static lw_code fill_ways(const lw_trip_file *file, ways *w, lw_err *err)
{
    w->services = file->service_count;
    w->to = calloc((size_t)file->place_count * (size_t)w->services + 1, sizeof *w->to);
    if (!w->to)
        return no_memory(err);
    for (int p = 0; p < file->place_count; p++)
        for (int s = 0; s < w->services; s++)
            w->to[p * w->services + s] = lw_drive_guess(lw_distance_m(file->place[p].spot, file->service[s].spot));
    return LW_OK;
}

lw_code lw_trip_rounds(lw_trip_tables *t, lw_err *err)
{
    const lw_trip_file *file = t->file;
    const int n = file->place_count;
    const uint32_t needs = needs_of(t);
    ways w = {0};
    t->round = calloc((size_t)file->service_count + 1, sizeof *t->round);
    t->served = calloc((size_t)n * (size_t)n, sizeof *t->served);
    if (!t->round || !t->served)
        return no_memory(err);
    for (int s = 0; s < file->service_count; s++) {
        lw_trip_round *round = &t->round[t->round_count];
        if (!(file->service[s].supplies & needs))
            continue;
        make_round(file, needs, s, round);
        t->round_count += !(round->lacks & VITAL) && round->days != 0;
    }
    const lw_code code = fill_ways(file, &w, err);
    for (int a = 0; a < n && !code; a++)
        for (int b = 0; b < n; b++)
            find_best(t, &w, a, b, &t->served[a * n + b]);
    free(w.to);
    return code;
}

char *lw_trip_say_calls(const lw_trip_file *file, const int *call, int calls, char *buf, size_t n)
{
    lw_line line = lw_line_of(buf, n);
    for (int i = 0; i < calls; i++)
        lw_line_add(&line, "%s%s", i == 0 ? "" : i + 1 < calls ? ", " : " and ", file->service[call[i]].name);
    return buf;
}
