#include "service/pick.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "book/entries.h"
#include "book/household.h"
#include "book/spots.h"
#include "core/land/spot_kind.h"
#include "core/sky/climate.h"
#include "service/camp_sheet.h"
#include "service/json.h"
#include "service/signal_kept.h"
#include "service/signal_log.h"
#include "text/say.h"

static const double TRIED_M = 1000.0; /* as service/signal.h */

const char *lw_pick_reason_word(lw_pick_reason reason)
{
#define WORD(id, word) word,
    static const char *const WORDS[] = {LW_PICK_REASONS(WORD)};
#undef WORD
    return (unsigned)reason < LW_PICK_REASON_COUNT ? WORDS[reason] : "";
}

const char *lw_chance_by_word(lw_chance_by by)
{
    static const char *const WORDS[] = {NULL, "said", "tried", "predicted"};
    return WORDS[by];
}

lw_pick_wish lw_pick_wish_none(void)
{
    return (lw_pick_wish){.from_m = (double)NAN,
                          .within_m = (double)NAN,
                          .within_s = (double)NAN,
                          .night_low_c = (double)NAN,
                          .night_high_c = (double)NAN,
                          .signal_frac = (double)NAN,
                          .length_m = (double)NAN,
                          .first_day = LW_NO_DAY,
                          .until_day = LW_NO_DAY};
}

void lw_picks_clear(lw_picks *picks)
{
    free(picks->pick);
    *picks = (lw_picks){0};
}

/* ---- what is known of a place for these dates ---- */

static void fill_nights(const lw_place_facts *f, const lw_pick_wish *wish, lw_pick *pick)
{
    const lw_climate_place place = {f->spot.latitude_deg, f->spot.longitude_deg, f->elevation_m};
    lw_fault fault;
    lw_climate_site site;
    double low_c = 0.0, high_c = 0.0;
    int nights = 0;
    pick->night_c = pick->day_c = (double)NAN;
    if (wish->first_day == LW_NO_DAY || isnan(f->elevation_m) || lw_climate_check(&place, &fault))
        return;
    lw_climate_site_make(&place, &site);
    for (int64_t day = wish->first_day; day < wish->until_day; day++, nights++) {
        const int64_t new_year = lw_day_of((lw_date){lw_date_of(day).year, 1, 1});
        lw_climate_day normal;
        lw_climate_of_day(&site, (double)(day - new_year + 1), &normal);
        low_c += normal.tmin_c;
        high_c += normal.tmax_c;
    }
    pick->night_c = low_c / nights;
    pick->day_c = high_c / nights;
}

/* Own tries of a call: how often a work day was possible within a kilometre. */
typedef struct tries {
    lw_spot *spot;
    unsigned char *worked;
    size_t count;
} tries;

static lw_code gather_tries(lw_book *book, const lw_camps *camps, tries *to, lw_err *err)
{
    lw_entries entries = {0};
    lw_kept_stays stays = {0};
    const lw_history which = {.kinds = 1u << LW_ENTRY_SIGNAL};
    lw_code code = lw_book_history(book, &which, &entries, err);
    code = code ? code : lw_book_list_stays(book, NULL, &stays, err);
    to->spot = calloc(entries.count + 1, sizeof *to->spot);
    to->worked = calloc(entries.count + 1, 1);
    if (!code && (!to->spot || !to->worked))
        code = lw_fail(err, LW_E_FULL, "no memory for the signal of the book");
    for (size_t i = 0; to->spot && to->worked && i < entries.count && !code; i++) {
        lw_signal signal;
        int64_t place = 0;
        lw_signal_of_entry(&entries.entry[i], &signal);
        for (size_t s = 0; s < stays.count; s++)
            if (stays.stay[s].id == entries.entry[i].stay)
                place = stays.stay[s].place;
        for (int c = 0; c < camps->count && signal.call >= 0; c++)
            if (camps->camp[c].id == place) {
                to->spot[to->count] = camps->camp[c].facts.spot;
                to->worked[to->count++] = (unsigned char)signal.call;
            }
    }
    lw_kept_stays_clear(&stays);
    lw_entries_clear(&entries);
    return code;
}

static void fill_signal(const lw_place_facts *f, const tries *t, lw_pick *pick)
{
    double best = (double)NAN;
    int tried = 0, worked = 0;
    for (int i = 0; i < f->about.signal_count; i++)
        best = isnan(best) ? f->about.signal[i].chance_frac : fmax(best, f->about.signal[i].chance_frac);
    for (size_t i = 0; i < t->count; i++)
        if (lw_distance_m(t->spot[i], f->spot) <= TRIED_M) {
            tried++;
            worked += t->worked[i];
        }
    const int is_said = !isnan(best);
    pick->signal_by = is_said ? LW_CHANCE_SAID : tried ? LW_CHANCE_TRIED : LW_CHANCE_UNKNOWN;
    pick->signal_frac = !is_said && tried ? (worked + 1.0) / (tried + 2.0) : best; /* the rule of succession */
}

static int is_shut(const lw_about *about, const lw_pick_wish *wish)
{
    char why[128];
    for (int64_t day = wish->first_day; wish->first_day != LW_NO_DAY && day < wish->until_day; day++)
        if (lw_about_shut(about, day, why, sizeof why))
            return 1;
    return 0;
}

static int holds(const char *text, const char *part)
{
    const size_t n = strlen(part);
    for (; *text; text++)
        if (strncasecmp(text, part, n) == 0)
            return 1;
    return n == 0;
}

static int is_outside(double value, double low, double high)
{
    return (!isnan(low) && !(value >= low)) || (!isnan(high) && !(value <= high));
}

/* The first wish that sends it away; LW_PICK_REASON_COUNT: none of those that need no look into the maps. */
static lw_pick_reason reason_of(const lw_place_facts *f, const lw_road_rig *rig, const lw_pick_wish *wish,
                                const lw_pick *pick)
{
    char why[160];
    if (wish->is_any)
        return LW_PICK_REASON_COUNT;
    if (wish->name && !holds(f->name, wish->name))
        return LW_PICK_NAME;
    if (wish->manager && !holds(f->manager, wish->manager))
        return LW_PICK_MANAGER;
    if (wish->has_from && pick->road.air_m > wish->within_m)
        return LW_PICK_FAR;
    if (wish->has_from && pick->road.time_s.middle > wish->within_s)
        return LW_PICK_DRIVE;
    if (!wish->is_any_size && lw_camp_too_big(&f->about, rig, LW_UNITS_SI, why, sizeof why))
        return LW_PICK_BIG;
    if (!wish->is_shut_too && is_shut(&f->about, wish))
        return LW_PICK_SHUT;
    if (is_outside(pick->night_c, wish->night_low_c, wish->night_high_c))
        return LW_PICK_NIGHT;
    return LW_PICK_REASON_COUNT;
}

/* ---- services ---- */

static unsigned kinds_there(const lw_about *a)
{
    static const struct {
        lw_place_service service;
        lw_spot_kind kind;
    } SAME[] = {{LW_PLACE_SERVICE_WATER, LW_SPOT_WATER},
                {LW_PLACE_SERVICE_DUMP, LW_SPOT_DUMP},
                {LW_PLACE_SERVICE_RUBBISH, LW_SPOT_RUBBISH},
                {LW_PLACE_SERVICE_LAUNDRY, LW_SPOT_LAUNDRY}};
    unsigned kinds = 0;
    for (size_t i = 0; i < sizeof SAME / sizeof SAME[0]; i++)
        if (a->services & 1u << SAME[i].service)
            kinds |= 1u << SAME[i].kind;
    return kinds;
}

static lw_code has_services(lw_book *book, const lw_place_facts *f, unsigned wanted, int *has, lw_err *err)
{
    lw_code code = LW_OK;
    wanted &= ~kinds_there(&f->about);
    *has = 1;
    for (int k = 0; k < LW_SPOT_KIND_COUNT && *has && !code; k++) {
        lw_kept_spots near = {0};
        if (!(wanted & 1u << k))
            continue;
        code = lw_book_spots_near(
            book, &(lw_spots_near){f->spot.latitude_deg, f->spot.longitude_deg, LW_PICK_SERVICE_M, 1u << k, 1}, &near,
            err);
        *has = near.count > 0;
        lw_kept_spots_clear(&near);
    }
    return code;
}

/* ---- all of them ---- */

static int by_drive(const void *a, const void *b)
{
    const lw_pick *x = a, *y = b;
    if (x->road.time_s.middle < y->road.time_s.middle || x->road.time_s.middle > y->road.time_s.middle)
        return x->road.time_s.middle < y->road.time_s.middle ? -1 : 1;
    return (x->camp > y->camp) - (x->camp < y->camp);
}

static lw_code fill_roads(const lw_camps *camps, lw_roads *roads, const lw_pick_wish *wish, lw_road *road, lw_err *err)
{
    lw_spot *to = calloc((size_t)camps->count + 1, sizeof *to);
    if (!to)
        return lw_fail(err, LW_E_FULL, "no memory for the roads to %d places", camps->count);
    for (int i = 0; i < camps->count; i++)
        to[i] = camps->camp[i].facts.spot;
    lw_roads_table(roads, &wish->from, 1, to, camps->count, road);
    free(to);
    return LW_OK;
}

/* Whether one place fits as far as no map is looked into; where it does, it stands behind the others. */
static void sift(const lw_camps *camps, int at, const lw_road *road, const tries *t, const lw_road_rig *rig,
                 const lw_pick_wish *wish, lw_picks *to)
{
    const lw_place_facts *f = &camps->camp[at].facts;
    lw_pick *pick = &to->pick[to->count];
    *pick = (lw_pick){.camp = at, .road = *road};
    fill_signal(f, t, pick);
    pick->room_frac = wish->first_day == LW_NO_DAY ? (double)NAN : lw_about_room_frac(&f->about, wish->first_day);
    fill_nights(f, wish, pick);
    const lw_pick_reason why = reason_of(f, rig, wish, pick);
    if (why == LW_PICK_REASON_COUNT)
        to->count++;
    else
        to->sent_away[why]++;
}

/* Where nothing is said and nothing was tried. */
static lw_code predict_signal(lw_book *book, const lw_camps *camps, int64_t now_s, const lw_pick_wish *wish,
                              lw_picks *to, lw_err *err)
{
    lw_spot *spot = calloc((size_t)to->count + 1, sizeof *spot);
    double *frac = calloc((size_t)to->count + 1, sizeof *frac);
    int count = 0, from = 0;
    lw_code code = spot && frac ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for signal at %d places", to->count);
    for (int i = 0; !code && spot && i < to->count; i++)
        if (to->pick[i].signal_by == LW_CHANCE_UNKNOWN)
            spot[count++] = camps->camp[to->pick[i].camp].facts.spot;
    code =
        code ? code
             : lw_signal_kept(book, now_s,
                              &(lw_signal_spots){.spot = spot, .count = count, .tell = wish->tell, .with = wish->with},
                              frac, err);
    for (int i = 0; !code && frac && i < to->count; i++) {
        if (to->pick[i].signal_by != LW_CHANCE_UNKNOWN)
            continue;
        to->pick[i].signal_frac = frac[from];
        to->pick[i].signal_by = isnan(frac[from++]) ? LW_CHANCE_UNKNOWN : LW_CHANCE_PREDICTED;
    }
    free(spot);
    free(frac);
    return code;
}

/* What the maps say: signal, then services. */
static lw_code sift_by_maps(lw_book *book, const lw_camps *camps, const lw_pick_wish *wish, lw_picks *to, lw_err *err)
{
    lw_code code = LW_OK;
    int kept = 0;
    for (int i = 0; i < to->count && !code; i++) {
        const lw_pick *pick = &to->pick[i];
        int has = 1;
        const int is_weak = !isnan(wish->signal_frac) && !(pick->signal_frac >= wish->signal_frac);
        if (!is_weak && wish->services)
            code = has_services(book, &camps->camp[pick->camp].facts, wish->services, &has, err);
        if (is_weak || !has)
            to->sent_away[is_weak ? LW_PICK_SIGNAL : LW_PICK_SERVICE]++;
        else
            to->pick[kept++] = *pick;
    }
    to->count = kept;
    return code;
}

lw_code lw_picks_make(lw_book *book, const lw_camps *camps, lw_roads *roads, const lw_pick_wish *wish, lw_picks *picks,
                      lw_err *err)
{
    lw_picks made = {.pick = calloc((size_t)camps->count + 1, sizeof *made.pick)};
    lw_road *road = calloc((size_t)camps->count + 1, sizeof *road);
    tries t = {0};
    if (!made.pick || !road) {
        free(road);
        lw_picks_clear(&made);
        return lw_fail(err, LW_E_FULL, "no memory for %d places", camps->count);
    }
    lw_road_rig rig = roads->rig;
    rig.length_m = isnan(wish->length_m) ? rig.length_m : wish->length_m;
    lw_code code = gather_tries(book, camps, &t, err);
    if (!code && wish->has_from)
        code = fill_roads(camps, roads, wish, road, err);
    for (int i = 0; i < camps->count && !code; i++)
        sift(camps, i, &road[i], &t, &rig, wish, &made);
    code = code ? code : predict_signal(book, camps, roads->now_s, wish, &made, err);
    if (!code && !wish->is_any)
        code = sift_by_maps(book, camps, wish, &made, err);
    free(road);
    free(t.spot);
    free(t.worked);
    if (code) {
        lw_picks_clear(&made);
        return code;
    }
    if (wish->has_from)
        qsort(made.pick, (size_t)made.count, sizeof *made.pick, by_drive);
    *picks = made;
    return LW_OK;
}

char *lw_picks_say_away(const lw_picks *picks, char *buf, size_t n)
{
    size_t used = 0;
    buf[0] = '\0';
    for (int i = 0; i < LW_PICK_REASON_COUNT && used < n; i++)
        if (picks->sent_away[i])
            used += (size_t)snprintf(buf + used, n - used, "%s%d %s", used ? ", " : "Sent away: ", picks->sent_away[i],
                                     lw_pick_reason_word((lw_pick_reason)i));
    if (used && used + 2 < n)
        snprintf(buf + used, n - used, ".");
    return buf;
}

/* ---- JSON ---- */

static json_t *pick_json(lw_json *j, const lw_camp *camp, const lw_pick *p)
{
    static const char *const BY[] = {"yours", "engine", "guess"};
    const int has_road = p->road.time_s.middle > 0.0;
    json_t *o = lw_json_object(j);
    lw_json_count(j, o, "id", camp->id);
    lw_json_text(j, o, "name", camp->facts.name);
    lw_json_number(j, o, "latitude_deg", camp->facts.spot.latitude_deg, 6);
    lw_json_number(j, o, "longitude_deg", camp->facts.spot.longitude_deg, 6);
    lw_json_text(j, o, "manager", camp->facts.manager);
    lw_json_number(j, o, "fee_usd", camp->facts.about.fee_usd, 2);
    lw_json_number(j, o, "distance_m", has_road ? p->road.distance_m.middle : (double)NAN, 0);
    lw_json_number(j, o, "time_s", has_road ? p->road.time_s.middle : (double)NAN, 0);
    lw_json_text(j, o, "road_by", has_road ? BY[p->road.by] : NULL);
    lw_json_number(j, o, "night_c", p->night_c, 1);
    lw_json_number(j, o, "day_c", p->day_c, 1);
    lw_json_number(j, o, "signal_frac", p->signal_frac, 3);
    lw_json_text(j, o, "signal_by", lw_chance_by_word(p->signal_by));
    lw_json_number(j, o, "room_frac", p->room_frac, 3);
    return o;
}

char *lw_picks_json(const lw_camps *camps, const lw_picks *picks, const char *version)
{
    lw_json j = {.zone = NULL};
    json_t *root = lw_json_object(&j), *list = lw_json_array(&j), *away = lw_json_array(&j);
    lw_json_text(&j, root, "schema", "leeway.pick/1");
    lw_json_text(&j, root, "program", version ? version : "unknown");
    for (int i = 0; i < picks->count; i++)
        lw_json_add(&j, list, pick_json(&j, &camps->camp[picks->pick[i].camp], &picks->pick[i]));
    lw_json_put(&j, root, "places", list);
    for (int i = 0; i < LW_PICK_REASON_COUNT; i++) {
        if (!picks->sent_away[i])
            continue;
        json_t *o = lw_json_object(&j);
        lw_json_text(&j, o, "why", lw_pick_reason_word((lw_pick_reason)i));
        lw_json_count(&j, o, "places", picks->sent_away[i]);
        lw_json_add(&j, away, o);
    }
    lw_json_put(&j, root, "sent_away", away);
    return lw_json_finish(&j, root, 0);
}
