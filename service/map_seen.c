#include "service/map_seen.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "service/json.h"
#include "service/land_at.h"
#include "service/map_tag_words.h"
#include "service/places.h"
#include "service/road_near.h"
#include "text/say.h"

/* ---- sources: each once, with its credit ---- */

static void add_credit(lw_json *j, json_t *credits, const char *source, const char *credit)
{
    for (size_t i = 0; i < json_array_size(credits); i++) {
        const char *known = json_string_value(json_object_get(json_array_get(credits, i), "source"));
        if (known && source && strcmp(known, source) == 0)
            return;
    }
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "source", source);
    lw_json_text(j, o, "credit", credit);
    lw_json_add(j, credits, o);
}

/* ---- spots ---- */

typedef struct cell {
    unsigned kinds;
    int count, first;
    double latitude_deg, longitude_deg; /* sums */
} cell;

static json_t *spot_json(lw_json *j, const lw_kept_spot *spot, const cell *c)
{
    static const char *const FIT[] = {"unknown", "yes", "no"};
    json_t *o = lw_json_object(j), *kinds = lw_json_array(j);
    const int is_one = c->count == 1;
    char detail[LW_MAP_TAGS_SAID];
    lw_map_tags_say(is_one ? spot->detail : NULL, detail);
    lw_json_count(j, o, "id", spot->id);
    lw_json_text(j, o, "name", is_one ? spot->name : NULL);
    for (int k = 0; k < LW_SPOT_KIND_COUNT; k++)
        if (c->kinds & 1u << k) {
            char word[LW_PLACE_KINDS];
            lw_json_add(j, kinds, json_string(lw_place_kinds_say(1u << k, word)));
        }
    lw_json_put(j, o, "kinds", kinds);
    lw_json_text(j, o, "is_drinkable",
                 is_one && spot->kinds & 1u << LW_SPOT_WATER && (unsigned)spot->fit < 3 ? FIT[spot->fit] : NULL);
    lw_json_text(j, o, "detail", detail[0] ? detail : NULL);
    lw_json_text(j, o, "source", is_one ? spot->source : NULL);
    lw_json_number(j, o, "latitude_deg", c->latitude_deg / c->count, 5);
    lw_json_number(j, o, "longitude_deg", c->longitude_deg / c->count, 5);
    lw_json_count(j, o, "count", c->count);
    return o;
}

static int cell_of(double value, double low, double high)
{
    const int at = (int)(LW_SEEN_GRID * (value - low) / (high - low));
    return at < 0 ? 0 : at < LW_SEEN_GRID ? at : LW_SEEN_GRID - 1;
}

static void add_cells(lw_json *j, json_t *rows, const lw_kept_spots *spots, const lw_map_window *w)
{
    cell grid[LW_SEEN_GRID * LW_SEEN_GRID] = {{0}};
    for (size_t i = 0; i < spots->count; i++) {
        const lw_kept_spot *s = &spots->spot[i];
        cell *c = &grid[cell_of(s->latitude_deg, w->south_deg, w->north_deg) * LW_SEEN_GRID +
                        cell_of(s->longitude_deg, w->west_deg, w->east_deg)];
        c->first = c->count ? c->first : (int)i;
        c->count++;
        c->kinds |= s->kinds;
        c->latitude_deg += s->latitude_deg;
        c->longitude_deg += s->longitude_deg;
    }
    for (int i = 0; i < LW_SEEN_GRID * LW_SEEN_GRID; i++)
        if (grid[i].count)
            lw_json_add(j, rows, spot_json(j, &spots->spot[grid[i].first], &grid[i]));
}

typedef struct seen {
    lw_json j;
    json_t *spots, *lands, *roads, *credits;
    double least_deg, half_px_m;
    size_t corners, corners_read, road_corners;
    int is_more_spots, is_more_lands, is_more_roads, land_count, road_count;
} seen;

static lw_code add_spots(lw_book *book, const lw_map_seen_ask *ask, const lw_map_window *w, seen *s, lw_err *err)
{
    lw_kept_spots spots = {0};
    const lw_code code = lw_book_spots_within(book, w, ask->kinds, LW_SEEN_SPOTS_READ, &spots, err);
    for (size_t i = 0; !code && i < spots.count; i++)
        add_credit(&s->j, s->credits, spots.spot[i].source, spots.spot[i].credit);
    if (!code && spots.count > LW_SEEN_SPOTS)
        add_cells(&s->j, s->spots, &spots, w);
    for (size_t i = 0; !code && spots.count <= LW_SEEN_SPOTS && i < spots.count; i++) {
        const lw_kept_spot *spot = &spots.spot[i];
        const cell one = {spot->kinds, 1, 0, spot->latitude_deg, spot->longitude_deg};
        lw_json_add(&s->j, s->spots, spot_json(&s->j, spot, &one));
    }
    s->is_more_spots |= spots.count == LW_SEEN_SPOTS_READ;
    lw_kept_spots_clear(&spots);
    return code;
}

/* ---- lands ---- */

static size_t add_ring(seen *s, json_t *rings, lw_corner *corner, size_t count)
{
    const size_t left = lw_ring_thin(corner, count, s->half_px_m);
    if (left < 4)
        return 0;
    const int decimals = s->half_px_m > 10.0 ? 4 : 5;
    json_t *ring = lw_json_array(&s->j);
    for (size_t i = 0; i < left; i++) {
        lw_json_add(&s->j, ring, lw_json_real(corner[i].longitude_e6 * 1e-6, decimals));
        lw_json_add(&s->j, ring, lw_json_real(corner[i].latitude_e6 * 1e-6, decimals));
    }
    lw_json_add(&s->j, rings, ring);
    return left;
}

static int show_land(void *with, const lw_kept_land *land)
{
    seen *s = with;
    size_t all = 0;
    for (size_t r = 0; r < land->shape.rings; r++)
        all += land->shape.ring[r];
    s->corners_read += all;
    lw_corner *corner = all ? malloc(all * sizeof *corner) : NULL;
    json_t *rings = lw_json_array(&s->j);
    if (corner)
        memcpy(corner, land->shape.corner, all * sizeof *corner);
    for (size_t r = 0, at = 0; corner && r < land->shape.rings; at += land->shape.ring[r++])
        s->corners += add_ring(s, rings, corner + at, land->shape.ring[r]);
    free(corner);
    if (json_array_size(rings) == 0) {
        json_decref(rings);
    } else {
        json_t *o = lw_json_object(&s->j);
        lw_json_count(&s->j, o, "id", land->id);
        lw_json_text(&s->j, o, "name", land->name ? land->name : land->said);
        lw_json_text(&s->j, o, "manager", land->manager ? land->manager : land->said);
        lw_json_text(&s->j, o, "access", lw_land_access_say(land));
        lw_json_put(&s->j, o, "rings", rings);
        lw_json_add(&s->j, s->lands, o);
        add_credit(&s->j, s->credits, land->source, land->credit);
    }
    s->land_count++;
    s->is_more_lands |=
        s->land_count == LW_SEEN_LANDS || s->corners > LW_SEEN_CORNERS || s->corners_read > LW_SEEN_CORNERS_READ;
    return !s->is_more_lands;
}

static lw_code add_lands(lw_book *book, const lw_map_window *w, seen *s, lw_err *err)
{
    const lw_lands_shown shown = {
        .window = *w, .least_deg = s->least_deg, .limit = LW_SEEN_LANDS, .show = show_land, .with = s};
    return lw_book_lands_within(book, &shown, err);
}

/* ---- roads ---- */

static void add_line(seen *s, json_t *lines, lw_corner *corner, size_t count)
{
    const size_t left = lw_ring_thin(corner, count, s->half_px_m);
    const int decimals = s->half_px_m > 10.0 ? 4 : 5;
    json_t *line = lw_json_array(&s->j);
    for (size_t i = 0; i < left; i++) {
        lw_json_add(&s->j, line, lw_json_real(corner[i].longitude_e6 * 1e-6, decimals));
        lw_json_add(&s->j, line, lw_json_real(corner[i].latitude_e6 * 1e-6, decimals));
    }
    lw_json_add(&s->j, lines, line);
    s->road_corners += left;
}

static int show_road(void *with, const lw_kept_road *road)
{
    seen *s = with;
    char words[LW_ROAD_WORDS];
    static const char *const YES_NO[] = {NULL, "yes", "no"};
    size_t all = 0;
    for (size_t r = 0; r < road->shape.rings; r++)
        all += road->shape.ring[r];
    lw_corner *corner = all ? malloc(all * sizeof *corner) : NULL;
    json_t *lines = lw_json_array(&s->j), *o = lw_json_object(&s->j);
    if (corner)
        memcpy(corner, road->shape.corner, all * sizeof *corner);
    for (size_t r = 0, at = 0; corner && r < road->shape.rings; at += road->shape.ring[r++])
        add_line(s, lines, corner + at, road->shape.ring[r]);
    free(corner);
    lw_json_count(&s->j, o, "id", road->id);
    lw_json_text(&s->j, o, "name", road->name);
    lw_json_text(&s->j, o, "class", lw_road_class_word(road->class));
    lw_json_text(&s->j, o, "is_paved", YES_NO[(unsigned)road->paved % 3]);
    lw_json_text(&s->j, o, "needs", lw_road_needs_word(road->needs));
    lw_json_text(&s->j, o, "says", lw_road_like(road, words));
    lw_json_put(&s->j, o, "lines", lines);
    lw_json_add(&s->j, s->roads, o);
    add_credit(&s->j, s->credits, road->source, road->credit);
    s->is_more_roads |= ++s->road_count == LW_SEEN_ROADS || s->road_corners > LW_SEEN_ROAD_CORNERS;
    return !s->is_more_roads;
}

/* Which classes a pixel of that size has room for (ours). */
static lw_road_class last_class(double px_m)
{
    return px_m > 1000.0  ? LW_ROAD_TRUNK
           : px_m > 300.0 ? LW_ROAD_PRIMARY
           : px_m > 100.0 ? LW_ROAD_SECONDARY
           : px_m > 50.0  ? LW_ROAD_TERTIARY
                          : LW_ROAD_STREET;
}

static lw_code add_roads(lw_book *book, const lw_map_window *w, seen *s, lw_err *err)
{
    const lw_roads_shown shown = {
        .window = *w, .last = last_class(2.0 * s->half_px_m), .limit = LW_SEEN_ROADS, .show = show_road, .with = s};
    return lw_book_roads_within(book, &shown, err);
}

/* ---- the answer ---- */

static lw_code want_window(const lw_map_seen_ask *ask, lw_err *err)
{
    const lw_map_window *w = &ask->window;
    if (w->south_deg >= -90.0 && w->north_deg <= 90.0 && w->south_deg < w->north_deg && w->west_deg >= -180.0 &&
        w->east_deg <= 180.0 && w->west_deg != w->east_deg)
        return LW_OK;
    return lw_fail(
        err, LW_E_RANGE,
        "west, south, east and north are a window in degrees, such as west=-112, south=37, east=-110, north=39");
}

lw_code lw_map_seen_json(lw_book *book, const lw_map_seen_ask *ask, const char *version, char **text, lw_err *err)
{
    static const double DEGREE_M = 111194.9; /* core/land/shape.h */
    const lw_map_window *w = &ask->window;
    const int is_over_seam = w->west_deg > w->east_deg;
    const double wide_deg = w->east_deg - w->west_deg + (is_over_seam ? 360.0 : 0.0);
    const double px_deg = wide_deg / (ask->width_px > 0 ? ask->width_px : 1000);
    const double shrink = cos((w->south_deg + w->north_deg) * 0.5 * 0.017453292519943295);
    const lw_map_window part[2] = {{w->west_deg, w->south_deg, is_over_seam ? 180.0 : w->east_deg, w->north_deg},
                                   {-180.0, w->south_deg, w->east_deg, w->north_deg}};
    seen s = {.j = {.zone = NULL}, .least_deg = 3.0 * px_deg, .half_px_m = 0.5 * px_deg * DEGREE_M * fmax(shrink, 0.1)};
    lw_code code = want_window(ask, err);
    if (code)
        return code;
    json_t *root = lw_json_object(&s.j);
    s.spots = lw_json_array(&s.j);
    s.lands = lw_json_array(&s.j);
    s.roads = lw_json_array(&s.j);
    s.credits = lw_json_array(&s.j);
    for (int i = 0; i <= is_over_seam && !code; i++) {
        code = ask->kinds ? add_spots(book, ask, &part[i], &s, err) : LW_OK;
        code = !code && ask->wants_lands && !s.is_more_lands ? add_lands(book, &part[i], &s, err) : code;
        code = !code && ask->wants_roads && !s.is_more_roads ? add_roads(book, &part[i], &s, err) : code;
    }
    lw_json_text(&s.j, root, "schema", "leeway.map/1");
    lw_json_text(&s.j, root, "program", version ? version : "unknown");
    lw_json_put(&s.j, root, "spots", s.spots);
    lw_json_put(&s.j, root, "lands", s.lands);
    lw_json_put(&s.j, root, "roads", s.roads);
    lw_json_put(&s.j, root, "credits", s.credits);
    lw_json_flag(&s.j, root, "is_more_spots", s.is_more_spots);
    lw_json_flag(&s.j, root, "is_more_lands", s.is_more_lands);
    lw_json_flag(&s.j, root, "is_more_roads", s.is_more_roads);
    *text = lw_json_finish(&s.j, root, 1);
    if (!code && !*text)
        code = lw_fail(err, LW_E_FULL, "not enough memory for a map");
    if (code) {
        free(*text);
        *text = NULL;
    }
    return code;
}
