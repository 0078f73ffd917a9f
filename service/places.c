#include "service/places.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/json.h"
#include "service/map_tag_words.h"
#include "service/opening_now.h"
#include "service/signal_kept.h"
#include "text/moment.h"
#include "text/quantity.h"
#include "text/say.h"

/* ---- sentences ---- */

char *lw_place_kinds_say(unsigned kinds, char buf[LW_PLACE_KINDS])
{
    size_t used = 0;
    buf[0] = '\0';
    for (int k = 0; k < LW_SPOT_KIND_COUNT; k++)
        if (kinds & 1u << k && used < LW_PLACE_KINDS)
            used += (size_t)snprintf(buf + used, LW_PLACE_KINDS - used, "%s%s", used ? ", " : "",
                                     lw_spot_kind_word((lw_spot_kind)k));
    return buf;
}

char *lw_place_say(const lw_kept_spot *spot, const char *open, char buf[LW_PLACE_LINE])
{
    static const char *const WATER[] = {"not known whether fit to drink", "fit to drink", "not fit to drink"};
    static const char *const OTHER[] = {"", "drinking water too", "no drinking water"};
    const int has_water = (spot->kinds & 1u << LW_SPOT_WATER) != 0;
    char detail[LW_MAP_TAGS_SAID];
    lw_map_tags_say(spot->detail, detail);
    const char *fit = has_water ? WATER[spot->fit % 3] : OTHER[spot->fit % 3];
    snprintf(buf, LW_PLACE_LINE, "%s%s%s%s%s%s%s", spot->name && spot->name[0] ? spot->name : "(no name)",
             open[0] ? "; " : "", open, fit[0] ? "; " : "", fit, detail[0] ? "; " : "", detail);
    return buf;
}

char *lw_credit_say(const char *source, const char *credit, int64_t imported_s, int64_t data_s,
                    char buf[LW_CREDIT_LINE])
{
    const int has_date = data_s != LW_NO_TIME;
    char date[40];
    lw_instant_print(date, sizeof date, (double)(has_date ? data_s : imported_s), 0);
    snprintf(buf, LW_CREDIT_LINE, "From %.200s (%s %.10s)%s%.600s", source, has_date ? "data of" : "imported", date,
             credit ? ": " : "", credit ? credit : "");
    return buf;
}

const char *lw_place_toward(lw_spot from, const lw_kept_spot *spot)
{
    static const char *const WINDS[] = {"N", "NE", "E", "SE", "S", "SW", "W", "NW"};
    const double rad = 0.017453292519943295, a = from.latitude_deg * rad, b = spot->latitude_deg * rad;
    const double east = (spot->longitude_deg - from.longitude_deg) * rad;
    const double turn = atan2(sin(east) * cos(b), cos(a) * sin(b) - sin(a) * cos(b) * cos(east)) / (45.0 * rad);
    return WINDS[((int)floor(turn + 0.5) + 8) % 8];
}

char *lw_place_way_say(lw_spot from, const lw_kept_spot *spot, lw_unit_system units, char buf[LW_PLACE_WAY])
{
    static const double HERE_M = 5.0; /* maps and phones know a spot no better */
    char way[LW_QUANTITY_BYTES];
    if (spot->way_m < HERE_M)
        snprintf(buf, LW_PLACE_WAY, "here");
    else
        snprintf(buf, LW_PLACE_WAY, "%.24s %s", lw_quantity_print(way, sizeof way, spot->way_m, LW_DIM_LENGTH, units),
                 lw_place_toward(from, spot));
    return buf;
}

/* ---- what other maps say ---- */

static lw_code fill_more(lw_book *book, const lw_kept_spots *spots, int64_t now_s, lw_place_more *more, lw_err *err)
{
    lw_spot *spot = calloc(spots->count + 1, sizeof *spot);
    double *frac = calloc(spots->count + 1, sizeof *frac);
    lw_code code = spot && frac ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for %zu places", spots->count);
    for (size_t i = 0; !code && spot && i < spots->count; i++) {
        spot[i] = (lw_spot){spots->spot[i].latitude_deg, spots->spot[i].longitude_deg};
        code = lw_road_near_of(book, spot[i], &more[i].road, err);
    }
    code = code ? code
                : lw_signal_kept(book, now_s, &(lw_signal_spots){.spot = spot, .count = (int)spots->count}, frac, err);
    for (size_t i = 0; !code && frac && i < spots->count; i++)
        more[i].signal_frac = frac[i];
    free(spot);
    free(frac);
    return code;
}

lw_code lw_place_more_of(lw_book *book, const lw_kept_spots *spots, int64_t now_s, lw_place_more **more, lw_err *err)
{
    *more = calloc(spots->count + 1, sizeof **more);
    const lw_code code = *more ? fill_more(book, spots, now_s, *more, err)
                               : lw_fail(err, LW_E_FULL, "no memory for %zu places", spots->count);
    if (code) {
        lw_place_more_free(*more, spots->count);
        *more = NULL;
    }
    return code;
}

void lw_place_more_free(lw_place_more *more, size_t count)
{
    for (size_t i = 0; more && i < count; i++)
        lw_road_near_clear(&more[i].road);
    free(more);
}

/* ---- JSON ---- */

static json_t *spot_json(lw_json *j, const lw_kept_spot *s, const lw_place_more *more, const lw_spot *from,
                         const lw_zone *zone, int64_t now_s)
{
    char open[LW_OPENING_SAID];
    static const char *const FIT[] = {"unknown", "yes", "no"};
    char at[40];
    json_t *o = lw_json_object(j), *kinds = lw_json_array(j);
    lw_json_count(j, o, "id", s->id);
    lw_json_text(j, o, "name", s->name);
    for (int k = 0; k < LW_SPOT_KIND_COUNT; k++)
        if (s->kinds & 1u << k)
            lw_json_add(j, kinds, json_string(lw_spot_kind_word((lw_spot_kind)k)));
    lw_json_put(j, o, "kinds", kinds);
    lw_json_text(j, o, "is_drinkable", s->kinds & 1u << LW_SPOT_WATER ? FIT[s->fit % 3] : NULL);
    lw_json_number(j, o, "latitude_deg", s->latitude_deg, 6);
    lw_json_number(j, o, "longitude_deg", s->longitude_deg, 6);
    lw_json_number(j, o, "way_m", s->way_m, 0);
    lw_json_text(j, o, "toward", from ? lw_place_toward(*from, s) : NULL);
    lw_json_text(j, o, "detail", s->detail);
    lw_opening_now_say(s->detail, zone, now_s, open);
    lw_json_text(j, o, "opening", open[0] ? open : NULL);
    lw_json_put(j, o, "road", lw_road_near_json(j, &more->road));
    lw_json_number(j, o, "signal_frac", more->signal_frac, 3);
    lw_json_text(j, o, "source", s->source);
    lw_json_text(j, o, "credit", s->credit);
    lw_json_text(j, o, "imported", lw_instant_print(at, sizeof at, (double)s->imported_s, 0));
    lw_json_text(j, o, "data_of",
                 s->data_s == LW_NO_TIME ? NULL : lw_instant_print(at, sizeof at, (double)s->data_s, 0));
    return o;
}

char *lw_places_json(const lw_kept_spots *spots, const lw_place_more *more, const lw_spot *from, const lw_zone *zone,
                     int64_t now_s, const char *version)
{
    lw_json j = {.zone = NULL};
    json_t *root = lw_json_object(&j), *rows = lw_json_array(&j);
    lw_json_text(&j, root, "schema", "leeway.places/1");
    lw_json_text(&j, root, "program", version ? version : "unknown");
    lw_json_number(&j, root, "from_latitude_deg", from ? from->latitude_deg : (double)NAN, 6);
    lw_json_number(&j, root, "from_longitude_deg", from ? from->longitude_deg : (double)NAN, 6);
    for (size_t i = 0; i < spots->count; i++)
        lw_json_add(&j, rows, spot_json(&j, &spots->spot[i], &more[i], from, zone, now_s));
    lw_json_put(&j, root, "places", rows);
    return lw_json_finish(&j, root, 0);
}
