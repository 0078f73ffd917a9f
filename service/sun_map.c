#include "service/sun_map.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/land/skyline.h"
#include "core/sky/sun_table.h"
#include "exchange/terrain.h"
#include "service/json.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/say.h"

static const double EYE_M = 2.0, REACH_M = 20000.0, DELTA_T_S = 70.0;
static const double DEGREE_M = 111194.9;           /* of latitude on the mean sphere */
enum { STEP_S = 300, DAY_S = 86400, STEPS = 300 }; /* a day of 25 hours */

/* The sun of one civil day where it is above a level skyline. */
typedef struct course {
    int count;
    int64_t at_s[STEPS];
    double azimuth_deg[STEPS], elevation_deg[STEPS];
} course;

static void take_course(const lw_sun_ask *ask, int64_t day, double height_m, course *c)
{
    const int64_t from_s = lw_utc_of(&ask->zone, day, 0), until_s = lw_utc_of(&ask->zone, day + 1, 0);
    const lw_sun_place place = lw_sun_place_at(ask->spot.latitude_deg, ask->spot.longitude_deg, height_m);
    const int64_t first = from_s / DAY_S - (from_s % DAY_S < 0);
    lw_sun_table *table = malloc(sizeof *table);
    c->count = 0;
    if (!table)
        return;
    lw_sun_table_fill(table, first, 3, DELTA_T_S);
    for (int64_t at_s = from_s + STEP_S / 2; at_s < until_s && c->count < STEPS; at_s += STEP_S) {
        lw_sun sun;
        lw_sun_at(table, &place, (double)at_s, &sun);
        if (!(sun.apparent_elevation_deg > 0.0))
            continue;
        c->at_s[c->count] = at_s;
        c->azimuth_deg[c->count] = lw_sun_azimuth_deg(&sun);
        c->elevation_deg[c->count++] = sun.apparent_elevation_deg;
    }
    free(table);
}

static lw_code open_terrain(const lw_sun_ask *ask, lw_terrain_files *files, lw_err *err)
{
    if (!ask->terrain || !ask->terrain[0])
        return LW_OK;
    const lw_code code = lw_terrain_files_open(ask->terrain, files, err);
    return code ? code : lw_terrain_files_around(files, ask->spot, REACH_M + 1.5 * ask->half_m, err);
}

static lw_code check(const lw_sun_ask *ask, lw_err *err)
{
    lw_fault fault;
    return lw_spot_check(&ask->spot, &fault) ? lw_fault_say(&fault, err) : LW_OK;
}

/* ---- days ---- */

lw_code lw_sun_days_make(const lw_sun_ask *ask, lw_sun_day *day, lw_err *err)
{
    lw_terrain_files *files = calloc(1, sizeof *files);
    lw_skyline *line = calloc(1, sizeof *line);
    course *c = malloc(sizeof *c);
    lw_code code = check(ask, err);
    if (!code && (!files || !line || !c))
        code = lw_fail(err, LW_E_FULL, "no memory for the sun");
    if (code || !files || !line || !c) {
        free(files);
        free(line);
        free(c);
        return code;
    }
    code = open_terrain(ask, files, err);
    if (!code && files->terrain.count)
        (void)lw_terrain_skyline(&files->terrain, ask->spot, EYE_M, REACH_M, line);
    for (int i = 0; i < ask->days && !code; i++) {
        day[i] = (lw_sun_day){.day = ask->first_day + (int64_t)i * ask->step_days};
        take_course(ask, day[i].day, line->ground_m > 0.0 ? line->ground_m : 0.0, c);
        for (int k = 0; k < c->count; k++) {
            day[i].level_h += STEP_S / 3600.0;
            const double at = c->azimuth_deg[k], low = floor(at);
            const double a = line->seen_deg[(int)low % LW_SKYLINE_POINTS],
                         b = line->seen_deg[((int)low + 1) % LW_SKYLINE_POINTS];
            if (c->elevation_deg[k] <= a + (b - a) * (at - low))
                continue;
            day[i].direct_h += STEP_S / 3600.0;
            day[i].first_s = day[i].first_s ? day[i].first_s : c->at_s[k] - STEP_S / 2;
            day[i].last_s = c->at_s[k] + STEP_S / 2;
        }
    }
    lw_terrain_files_clear(files);
    free(files);
    free(line);
    free(c);
    return code;
}

/* ---- the map ---- */

static lw_spot spot_of(const lw_sun_ask *ask, const lw_sun_map *map, int cell)
{
    const int middle = map->side / 2, row = cell / map->side, column = cell % map->side;
    const double north_m = (middle - row) * map->cell_m, east_m = (column - middle) * map->cell_m;
    return (lw_spot){ask->spot.latitude_deg + north_m / DEGREE_M,
                     ask->spot.longitude_deg +
                         east_m / (DEGREE_M * fmax(0.01, cos(ask->spot.latitude_deg * 0.017453292519943295)))};
}

/* Hours of one cell: only the ground in the sun's own directions is looked at. */
static double hours_of(const lw_terrain *terrain, lw_spot spot, const course *c)
{
    double hours = 0.0;
    for (int k = 0; k < c->count; k++) {
        const lw_seen seen = lw_terrain_look(terrain, spot, EYE_M, c->azimuth_deg[k], REACH_M);
        hours += c->elevation_deg[k] > seen.seen_deg ? STEP_S / 3600.0 : 0.0;
    }
    return hours;
}

static void fill_map(const lw_sun_ask *ask, const lw_terrain *terrain, const course *c, lw_sun_map *map)
{
    const int count = map->side * map->side;
    double nearest_m = INFINITY;
    map->least_h = INFINITY;
    map->most_h = -INFINITY;
    map->best = -1;
    for (int i = 0; i < count; i++) {
        const lw_spot spot = spot_of(ask, map, i);
        map->ground_m[i] = lw_terrain_m(terrain, spot);
        map->hours[i] = isnan(map->ground_m[i]) ? (double)NAN : hours_of(terrain, spot, c);
        if (isnan(map->hours[i]))
            continue;
        const double away_m = lw_distance_m(spot, ask->spot);
        map->least_h = fmin(map->least_h, map->hours[i]);
        if (map->hours[i] > map->most_h + 0.01 || (map->hours[i] > map->most_h - 0.01 && away_m < nearest_m)) {
            map->most_h = fmax(map->most_h, map->hours[i]);
            nearest_m = away_m; /* of those with most the nearest */
            map->best = i;
        }
    }
    if (map->best >= 0)
        map->best_spot = spot_of(ask, map, map->best);
}

lw_code lw_sun_map_make(const lw_sun_ask *ask, lw_sun_map *map, lw_err *err)
{
    lw_code code = check(ask, err);
    if (!code && !(ask->half_m >= 50.0 && ask->half_m <= 5000.0))
        code = lw_fail(err, LW_E_RANGE, "a map of the sun reaches 50 m to 5 km around the spot");
    if (!code && (ask->side < 3 || ask->side > LW_SUN_SIDE || ask->side % 2 == 0))
        code = lw_fail(err, LW_E_RANGE, "a map of the sun has an odd number of cells a side, 3 to %d", LW_SUN_SIDE);
    if (!code && (!ask->terrain || !ask->terrain[0]))
        code = lw_fail_typed(err, LW_E_MISSING, "--terrain FOLDER names them", "a map of the sun needs terrain tiles");
    lw_terrain_files *files = code ? NULL : calloc(1, sizeof *files);
    course *c = code ? NULL : malloc(sizeof *c);
    if (!code && (!files || !c))
        code = lw_fail(err, LW_E_FULL, "no memory for the sun");
    if (!code && files && c) {
        code = open_terrain(ask, files, err);
        if (!code) {
            const double height_m = lw_terrain_m(&files->terrain, ask->spot);
            *map =
                (lw_sun_map){.side = ask->side, .cell_m = 2.0 * ask->half_m / (ask->side - 1), .day = ask->first_day};
            take_course(ask, ask->first_day, height_m > 0.0 ? height_m : 0.0, c);
            map->level_h = c->count * (STEP_S / 3600.0);
            fill_map(ask, &files->terrain, c, map);
        }
        lw_terrain_files_clear(files);
    }
    free(files);
    free(c);
    return code;
}

/* ---- forms ---- */

static json_t *map_json(lw_json *j, const lw_sun_map *map)
{
    json_t *o = lw_json_object(j), *hours = lw_json_array(j), *ground = lw_json_array(j);
    char day[40];
    lw_json_text(j, o, "day", lw_date_print(day, sizeof day, lw_date_of(map->day)));
    lw_json_count(j, o, "side", map->side);
    lw_json_number(j, o, "cell_m", map->cell_m, 2);
    lw_json_number(j, o, "level_h", map->level_h, 2);
    lw_json_number(j, o, "best_latitude_deg", map->best >= 0 ? map->best_spot.latitude_deg : (double)NAN, 6);
    lw_json_number(j, o, "best_longitude_deg", map->best >= 0 ? map->best_spot.longitude_deg : (double)NAN, 6);
    for (int i = 0; i < map->side * map->side; i++) {
        lw_json_add(j, hours, lw_json_real(map->hours[i], 2));
        lw_json_add(j, ground, lw_json_real(map->ground_m[i], 1));
    }
    lw_json_put(j, o, "direct_h", hours);
    lw_json_put(j, o, "ground_m", ground);
    return o;
}

enum { SKYLINE_TOLD = 72 };

char *lw_sun_json(const lw_sun_ask *ask, const lw_sun_day *day, const lw_sun_map *map, const char *version)
{
    lw_json j = {.zone = &ask->zone};
    json_t *root = lw_json_object(&j), *days = lw_json_array(&j);
    char text[40];
    lw_json_text(&j, root, "schema", "leeway.sun/1");
    lw_json_text(&j, root, "program", version ? version : "unknown");
    lw_json_number(&j, root, "latitude_deg", ask->spot.latitude_deg, 6);
    lw_json_number(&j, root, "longitude_deg", ask->spot.longitude_deg, 6);
    lw_json_flag(&j, root, "has_terrain", ask->terrain && ask->terrain[0]);
    for (int i = 0; i < ask->days; i++) {
        json_t *o = lw_json_object(&j);
        lw_json_text(&j, o, "day", lw_date_print(text, sizeof text, lw_date_of(day[i].day)));
        lw_json_number(&j, o, "direct_h", day[i].direct_h, 2);
        lw_json_number(&j, o, "level_h", day[i].level_h, 2);
        lw_json_time(&j, o, "first", day[i].first_s);
        lw_json_time(&j, o, "last", day[i].last_s);
        lw_json_add(&j, days, o);
    }
    lw_json_put(&j, root, "days", days);
    json_t *skyline = ask->skyline_deg ? lw_json_array(&j) : json_null();
    for (int i = 0; ask->skyline_deg && i < LW_SKYLINE_POINTS; i += LW_SKYLINE_POINTS / SKYLINE_TOLD)
        lw_json_add(&j, skyline, lw_json_real(ask->skyline_deg[i], 1));
    lw_json_put(&j, root, "skyline_deg", skyline);
    lw_json_put(&j, root, "map", map ? map_json(&j, map) : json_null());
    return lw_json_finish(&j, root, 0);
}

char *lw_sun_svg(const lw_sun_ask *ask, const lw_sun_map *map)
{
    enum { CELL = 12, FOOT = 34 };
    char *text = NULL, hours[LW_DECIMAL_BYTES], least[LW_DECIMAL_BYTES], most[LW_DECIMAL_BYTES], day[40],
         a[LW_DECIMAL_BYTES], b[LW_DECIMAL_BYTES];
    size_t size = 0;
    FILE *to = open_memstream(&text, &size);
    if (!to)
        return NULL;
    const int side = map->side * CELL;
    const double width_h = fmax(map->most_h - map->least_h, 0.1);
    fprintf(to,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %d %d\" font-family=\"sans-serif\" "
            "font-size=\"11\">\n",
            side, side + FOOT);
    for (int i = 0; i < map->side * map->side; i++) {
        const double share = isnan(map->hours[i]) ? 0.0 : (map->hours[i] - map->least_h) / width_h;
        const int grey = (int)(40.0 + 210.0 * share);
        lw_decimal_print(hours, sizeof hours, map->hours[i], 1, 0);
        fprintf(
            to,
            "<rect x=\"%d\" y=\"%d\" width=\"%d\" height=\"%d\" fill=\"rgb(%d,%d,%d)\"><title>%s h</title></rect>\n",
            i % map->side * CELL, i / map->side * CELL, CELL, CELL, grey, grey, grey * 3 / 4, hours);
    }
    if (map->best >= 0)
        fprintf(to, "<circle cx=\"%d\" cy=\"%d\" r=\"5\" fill=\"none\" stroke=\"black\" stroke-width=\"2\"/>\n",
                map->best % map->side * CELL + CELL / 2, map->best / map->side * CELL + CELL / 2);
    lw_decimal_print(least, sizeof least, map->least_h, 1, 0);
    lw_decimal_print(most, sizeof most, map->most_h, 1, 0);
    lw_decimal_print(a, sizeof a, ask->spot.latitude_deg, 5, 0);
    lw_decimal_print(b, sizeof b, ask->spot.longitude_deg, 5, 0);
    fprintf(to, "<text x=\"2\" y=\"%d\">%s: direct sun %s (dark) to %s h (light)</text>\n", side + 13,
            lw_date_print(day, sizeof day, lw_date_of(map->day)), least, most);
    fprintf(to, "<text x=\"2\" y=\"%d\">north up, middle %s, %s</text>\n</svg>\n", side + 27, a, b);
    if (fclose(to) != 0) {
        free(text);
        return NULL;
    }
    return text;
}
