#include "service/errands_kept.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/land/spot_kind.h"
#include "exchange/map_tags.h"
#include "exchange/opening.h"
#include "exchange/spots.h"
#include "service/demo.h"
#include "service/files.h"
#include "service/prices.h"
#include "text/say.h"

enum { NEAR = 60, WEEKS = 4, KEPT_BYTES = LW_BOOK_TEXT_BYTES };

static const char KEY[] = "errands", NAME[] = "errands of the book";
static const double WITHIN_M = 80e3, ROAD_BY_AIR = 1.3, KM_AN_HOUR = 50.0;
static const double THERE_H = 1.0 / 3.0;

/* What a spot of each kind gives, in the words of a file of errands. */
static const struct {
    lw_spot_kind kind;
    const char *gives;
    int is_shop; /* there for everybody */
} KINDS[] = {{LW_SPOT_WATER, "water", 0},     {LW_SPOT_DUMP, "dump", 0}, {LW_SPOT_RUBBISH, "rubbish", 0},
             {LW_SPOT_PROPANE, "propane", 1}, {LW_SPOT_FUEL, "fuel", 1}, {LW_SPOT_GROCERIES, "groceries", 1}};

lw_code lw_errands_keep_text(lw_book *book, const char *name, const char *text, lw_err *err)
{
    lw_errands unused;
    if (strlen(text) >= KEPT_BYTES)
        return lw_fail(err, LW_E_FULL, "%s is longer than the %d letters that the book keeps of it", name,
                       KEPT_BYTES - 1);
    const lw_code code = lw_errands_read(name, text, strlen(text), &unused, err);
    return code ? code : lw_book_set(book, KEY, text, err);
}

lw_code lw_errands_keep(lw_book *book, const char *path, lw_err *err)
{
    char text[KEPT_BYTES];
    const lw_code code = lw_errands_text(path, text, sizeof text, err);
    return code ? code : lw_errands_keep_text(book, path, text, err);
}

lw_code lw_errands_kept(lw_book *book, char **text, lw_err *err)
{
    char kept[KEPT_BYTES];
    int is_there = 0;
    *text = NULL;
    lw_book_use use = LW_BOOK_IS_OWN;
    lw_code code = lw_book_get(book, KEY, kept, sizeof kept, &is_there, err);
    if (!code && !is_there)
        code = lw_book_use_of(book, &use, err);
    if (code || (!is_there && use != LW_BOOK_IS_DEMO))
        return code;
    *text = is_there ? strdup(kept) : strndup((const char *)lw_demo_files[1].bytes, lw_demo_files[1].size);
    return *text ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for the services of the book");
}

static lw_code own_errands(lw_book *book, lw_errands *to, int *has_own, lw_err *err)
{
    char *text = NULL;
    *to = (lw_errands){.service_count = 0};
    lw_code code = lw_errands_kept(book, &text, err);
    *has_own = text != NULL;
    if (!code && text)
        code = lw_errands_read(NAME, text, strlen(text), to, err);
    free(text);
    return code;
}

/* ------------------------------------------------------------------ spots of map files */

static lw_errand_users users_of(const char *access, int is_shop)
{
    if (strcmp(access, "yes") == 0 || strcmp(access, "public") == 0 || strcmp(access, "permissive") == 0)
        return LW_ERRAND_PUBLIC;
    if (strcmp(access, "customers") == 0)
        return LW_ERRAND_CUSTOMERS;
    return is_shop && !access[0] ? LW_ERRAND_PUBLIC : LW_ERRAND_UNKNOWN;
}

static lw_code fee_of(const lw_errand_service *s, const char *fee, double *usd, lw_err *err)
{
    *usd = 0.0;
    if (strcmp(fee, "no") == 0)
        return LW_OK;
    if (s->supplies >> LW_SUPPLY_GREY & 1u)
        return lw_price("run", usd, err);
    return s->supplies >> LW_SUPPLY_RUBBISH & 1u ? lw_price("rubbish", usd, err) : LW_OK;
}

/* What the map writes and nobody here understands is never open, and named. */
static void fill_hours(const lw_kept_spot *spot, int64_t first_day, int weeks, lw_errand_service *s)
{
    static const int FROM = 9, TO = 17;
    enum { WEEK = 7 };
    char text[LW_ERRAND_NAME * 4];
    lw_opening opening = {.rules = 0};
    const int has_hours = lw_map_tag_of(spot->detail, "opening_hours", text, sizeof text);
    if (has_hours)
        lw_opening_read(text, &opening);
    for (int d = 0; d < WEEK; d++) {
        s->open[d] = has_hours ? (UINT32_C(1) << 24) - 1u : ((UINT32_C(1) << TO) - 1u) & ~((UINT32_C(1) << FROM) - 1u);
        const int64_t day = first_day + (d - lw_weekday_of(first_day) + WEEK) % WEEK;
        for (int w = 0; w < weeks && has_hours; w++)
            s->open[d] &= lw_opening_hours(&opening, day + (int64_t)w * WEEK);
    }
    snprintf(s->source, sizeof s->source, "import %.40s; way, %sfee from memory", spot->source,
             has_hours ? "" : "hours and ");
    if (has_hours && !opening.is_understood) {
        s->users = LW_ERRAND_UNKNOWN;
        snprintf(s->name, sizeof s->name, "%.20s (open %.19s)", spot->name ? spot->name : "no name", text);
    }
}

lw_code lw_errand_of_spot(const lw_kept_spot *spot, int64_t first_day, int weeks, lw_errand_service *s, lw_err *err)
{
    char access[32], fee[32];
    int is_shop = 1;
    *s = (lw_errand_service){.is_guess = 1, .time_h = THERE_H};
    for (size_t i = 0; i < sizeof KINDS / sizeof KINDS[0]; i++)
        if (spot->kinds >> KINDS[i].kind & 1u) {
            s->supplies |= lw_errand_supplies(KINDS[i].gives);
            is_shop &= KINDS[i].is_shop;
        }
    if ((s->supplies >> LW_SUPPLY_FRESH & 1u) && spot->fit == LW_FIT_YES)
        s->supplies |= UINT32_C(1) << LW_SUPPLY_DRINKING;
    snprintf(s->name, sizeof s->name, "%.47s", spot->name ? spot->name : "a spot without a name");
    s->road_km = ROAD_BY_AIR * spot->way_m / 1000.0;
    s->road_h = s->road_km / KM_AN_HOUR;
    (void)lw_map_tag_of(spot->detail, "access", access, sizeof access);
    (void)lw_map_tag_of(spot->detail, "fee", fee, sizeof fee);
    s->users = users_of(access, is_shop);
    fill_hours(spot, first_day, weeks, s);
    return fee_of(s, fee, &s->fee_usd, err);
}

/* For what nobody gives yet that may be used; of what has to be asked for one is named. */
static void take_service(const lw_errand_service *s, lw_errands *to)
{
    uint32_t had = 0;
    for (int j = 0; j < to->service_count; j++)
        if (s->users == LW_ERRAND_UNKNOWN || to->service[j].users != LW_ERRAND_UNKNOWN)
            had |= to->service[j].supplies;
    if ((s->supplies & ~had) && to->service_count < LW_ERRAND_SERVICES)
        to->service[to->service_count++] = *s;
}

static lw_code add_imported(lw_book *book, const lw_loaded *camp, lw_errands *to, lw_err *err)
{
    lw_spots_near near = {.latitude_deg = camp->scenario->place.latitude_deg,
                          .longitude_deg = camp->scenario->place.longitude_deg,
                          .within_m = WITHIN_M,
                          .limit = NEAR};
    lw_kept_spots spots = {.count = 0};
    const int64_t first_day = lw_clock_at(&camp->zone, camp->scenario->calendar.start_s).day;
    for (size_t i = 0; i < sizeof KINDS / sizeof KINDS[0]; i++)
        near.kinds |= 1u << KINDS[i].kind;
    lw_code code = lw_book_spots_near(book, &near, &spots, err);
    for (size_t i = 0; i < spots.count && !code; i++) {
        lw_errand_service s;
        code = lw_errand_of_spot(&spots.spot[i], first_day, WEEKS, &s, err);
        if (!code)
            take_service(&s, to);
    }
    lw_kept_spots_clear(&spots);
    return code;
}

/* ------------------------------------------------------------------ ways to get there */

static lw_code add_usual_type(int is_break_camp, lw_errands *to, lw_err *err)
{
    static const char FROM[] = "the book keeps no ways: ";
    lw_errand_type *type = &to->type[to->type_count++];
    char source[80];
    *type = (lw_errand_type){.is_break_camp = is_break_camp,
                             .cans_l = NAN,
                             .waste_l = NAN,
                             .cans_said_l = NAN,
                             .waste_said_l = NAN,
                             .payload_kg = NAN,
                             .lift_kg = NAN,
                             .ready_h = is_break_camp ? 1.5 : 1.0 / 3.0};
    snprintf(type->name, sizeof type->name, "%s", is_break_camp ? "breaking camp" : "runabout");
    snprintf(source, sizeof source, "%s%s", FROM,
             is_break_camp ? "tearing down and setting up" : "packing and unpacking");
    lw_errands_assume(to, type->name, "ready", is_break_camp ? "90 min" : "20 min", source, NULL);
    return lw_errands_usual_way(to, type, err);
}

static lw_code add_usual_types(const lw_loaded *camp, lw_errands *to, lw_err *err)
{
    const lw_rig *rig = &camp->scenario->rig;
    int has_runabout = 0;
    for (int v = 0; v < rig->vessel_count; v++)
        has_runabout |= rig->vessel[v].supply == LW_SUPPLY_RUBBISH && rig->vessel[v].place == LW_RUBBISH_VEHICLE;
    const lw_code code = has_runabout ? add_usual_type(0, to, err) : LW_OK;
    return code ? code : add_usual_type(1, to, err);
}

lw_code lw_errands_of_book(lw_book *book, const lw_loaded *camp, lw_errands *errands, lw_err *err)
{
    int has_own = 0;
    lw_code code = own_errands(book, errands, &has_own, err);
    code = code ? code : add_imported(book, camp, errands, err);
    if (!code && errands->service_count == 0)
        return lw_fail_typed(err, LW_E_MISSING, "leeway plan runs --services FILE --keep, or leeway import",
                             "the book knows no services around here: keep your own, or import a map");
    if (!code && errands->type_count == 0)
        code = add_usual_types(camp, errands, err);
    return code;
}
