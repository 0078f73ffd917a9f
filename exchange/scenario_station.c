/* A weather station's own record in a scenario: the climate of the place is drawn towards it. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/land/distance.h"
#include "exchange/ghcn.h"
#include "exchange/normals.h"
#include "exchange/scenario_internal.h"
#include "text/quantity.h"
#include "text/say.h"

static const double HARDLY_FRAC = 0.1; /* a station that counts for less earns a note */

enum { FEW_MONTHS = 12, PATH_BYTES = 1400 };

static lw_code read_file(lw_reader *r, const char *key, const char *path, const char *station, lw_station_climate *out,
                         lw_err *err)
{
    const lw_place *place = &r->out->scenario->place;
    if (strcmp(key, "ghcn") == 0) {
        lw_ghcn_climate record;
        const lw_code code = lw_ghcn_read_path(path, station, &record, err);
        if (!code)
            *out = record.base;
        return code;
    }
    const lw_normals_choice choice = {
        .station = station, .latitude_deg = place->latitude_deg, .longitude_deg = place->longitude_deg};
    return lw_normals_read_path(path, &choice, out, err);
}

/* Two of the forms carry no place: the height must be said then, and the station is taken to stand at the place. */
static void find_place(lw_reader *r, const lw_scope *in, const char *key, lw_station_climate *record)
{
    const lw_place *place = &r->out->scenario->place;
    const double given_m = lw_read_si(r, in, "elevation");
    if (!isnan(given_m))
        record->elevation_m = given_m;
    if (isnan(record->elevation_m)) {
        lw_read_refuse(
            r, in, key, LW_E_MISSING,
            "the file does not say how high its station stands; write weather: {%s: ..., elevation: 4035 ft}", key);
        return;
    }
    if (isnan(record->latitude_deg) || isnan(record->longitude_deg)) {
        record->latitude_deg = place->latitude_deg;
        record->longitude_deg = place->longitude_deg;
        lw_read_note(r, in, key, "the file does not say where its station is; it is taken to stand at the place");
    }
}

static int count_months(const double value[LW_MONTHS])
{
    int count = 0;
    for (int m = 0; m < LW_MONTHS; m++)
        count += !isnan(value[m]);
    return count;
}

static void say_record(lw_reader *r, const lw_scope *in, const char *key, const lw_station_climate *record)
{
    const int highs = count_months(record->tmax_c), lows = count_months(record->tmin_c);
    if (highs < FEW_MONTHS || lows < FEW_MONTHS)
        lw_read_note(r, in, key,
                     "the station has highs of %d months and lows of %d; in the others the climate is not drawn to it",
                     highs, lows);
    if ((record->is_weak[LW_STATION_TMAX] | record->is_weak[LW_STATION_TMIN]) != 0)
        lw_read_note(r, in, key, "some of the station's values rest on a short record or on its neighbours");
    if (record->period[0] && strcmp(key, "normals") == 0 && strcmp(record->period, "1991-2020") != 0)
        lw_read_note(r, in, key, "the station's normals are of %s, the climate's of 1991-2020: it has warmed since",
                     record->period);
}

static lw_climate_station station_of(const lw_station_climate *record)
{
    lw_climate_station to = {.place = {record->latitude_deg, record->longitude_deg, record->elevation_m}};
    for (int m = 0; m < LW_MONTHS; m++) {
        to.tmax_c[m] = record->tmax_c[m];
        to.tmin_c[m] = record->tmin_c[m];
        to.wet_frac[m] = record->wet_frac[m];
        to.kt[m] = NAN;
    }
    return to;
}

static void say_height(lw_reader *r, double above_m, char *buf, size_t size)
{
    char shown[LW_QUANTITY_BYTES];
    const lw_unit *unit = lw_quantity_unit(100.0, LW_DIM_LENGTH, r->out->units);
    if (fabs(above_m) < 10.0)
        snprintf(buf, size, "at its height");
    else
        snprintf(buf, size, "%.30s %s", lw_quantity_print_in(shown, sizeof shown, fabs(above_m), unit, 2),
                 above_m > 0.0 ? "higher" : "lower");
}

static void say_station(lw_reader *r, const lw_scope *in, const char *key, const lw_climate_site *site,
                        const lw_station_climate *record, char *said, size_t size)
{
    const lw_place *place = &r->out->scenario->place;
    const double away_m = lw_distance_m((lw_spot){place->latitude_deg, place->longitude_deg},
                                        (lw_spot){record->latitude_deg, record->longitude_deg});
    char away[LW_QUANTITY_BYTES], height[64];
    lw_quantity_print(away, sizeof away, away_m, LW_DIM_LENGTH, r->out->units);
    say_height(r, record->elevation_m - place->elevation_m, height, sizeof height);
    if (site->station_frac < HARDLY_FRAC)
        lw_read_note(r, in, key,
                     "the station is %s from the place and %s: it counts for %ld %%, so the climate is hardly drawn to "
                     "it",
                     away, height, lround(100.0 * site->station_frac));
    snprintf(said, size, "%.44s, %.20s away, %.30s", record->name[0] ? record->name : record->id, away, height);
}

void lw_read_station(lw_reader *r, const lw_scope *in, lw_climate_site *site, char *said, size_t size)
{
    char path[PATH_BYTES];
    lw_station_climate record;
    lw_fault fault;
    lw_err own = {0};
    const int is_map = in->node && in->node->kind == LW_YAML_MAP;
    const char *key = is_map && lw_read_is_given(r, in, "ghcn")      ? "ghcn"
                      : is_map && lw_read_is_given(r, in, "normals") ? "normals"
                                                                     : NULL;
    if (!key)
        return;
    lw_scenario_beside(path, sizeof path, r->out->file, lw_read_text(r, in, key));
    if (read_file(r, key, path, lw_read_text(r, in, "station"), &record, &own)) {
        lw_read_refuse(r, in, key, own.code, "%s: %s", own.where, own.text);
        return;
    }
    find_place(r, in, key, &record);
    if (r->code)
        return;
    const lw_climate_station station = station_of(&record);
    if (lw_climate_check(&station.place, &fault)) {
        lw_read_refuse(r, in, key, LW_E_RANGE,
                       "its station stands outside the climate of North America, which cannot be drawn to it");
        return;
    }
    lw_climate_correct(site, &station, 1);
    say_record(r, in, key, &record);
    say_station(r, in, key, site, &record, said, size);
}
