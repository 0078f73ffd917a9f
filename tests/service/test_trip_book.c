/* Trips over places and services of the book: which may be stayed at, where tanks are served on the way. Places are invented; what is
 * expected follows from the rows written below. */
#include "service/trip.h"

#include "service/camps.h"
#include "service/map_import.h"
#include "tests/book/shelf.h"
#include "tests/service/camp_book.h"

enum { NOW_S = 1812110400 }; /* 4 June 2027 */

static void add(lw_book *book, const char *name, lw_spot spot, const char *const *change, int count)
{
    lw_camp_put put = {0};
    const lw_camp_order order = {.name = name,
                                 .spot = spot,
                                 .elevation_m = (double)NAN,
                                 .change = change,
                                 .change_count = count,
                                 .now_s = NOW_S};
    CHECK_OK(lw_camp_add(book, &order, &put, &err));
}

#define CHECK_SAYS(text, want)                                                                                         \
    do {                                                                                                               \
        if (!strstr(text, want))                                                                                       \
            fail_msg("\"%s\" does not say \"%s\"", text, want);                                                        \
    } while (0)

#define HEIGHT "elevation=5600 ft"
#define SIGNAL "signal+={line: A, chance: 90 %}"

static camp_book book_with_places(void)
{
    static const char *const BENCH_SAYS[] = {HEIGHT, SIGNAL, "manager=BLM Red Basin",
                                             "stay_rule={days: 3 days, window: 20 days}"},
                             *const SPRING[] = {HEIGHT, SIGNAL, "closed=06-12 to 06-13",
                                                "nearby+={what: an arch, time: 20 min}"},
                             *const MESA[] = {HEIGHT, "manager=Larkspur Forest", "signal+={line: A, chance: 60 %}"},
                             *const FAR_OFF[] = {HEIGHT, SIGNAL}, *const LOW[] = {SIGNAL};
    camp_book k = camp_book_open();
    lw_begun begun;
    CHECK_OK(lw_household_begin(k.book, "examples/couple-on-the-road.yaml", NOW_S, &begun, &err));
    add(k.book, "Juniper Bench", (lw_spot){37.1, -112.4}, BENCH_SAYS, 4);
    add(k.book, "Cold Spring", (lw_spot){37.3, -112.1}, SPRING, 4);
    add(k.book, "Silent Mesa", (lw_spot){37.2, -112.2}, MESA, 3);
    add(k.book, "Distant Wash", (lw_spot){41.0, -117.0}, FAR_OFF, 2);
    add(k.book, "Unmeasured Flat", (lw_spot){37.15, -112.3}, LOW, 1);
    return k;
}

static lw_code make(lw_book *book, const char *text, lw_trip_planned *p, lw_err *err)
{
    return lw_trip_make(&(lw_trip_ask){.path = "t.yaml",
                                       .text = text,
                                       .plans = 1,
                                       .draws = 16,
                                       .fresh = 400,
                                       .seed = 1,
                                       .book = book,
                                       .now_s = NOW_S},
                        p, err);
}

static int has_place(const lw_trip_planned *p, const char *name)
{
    for (int i = 0; i < p->file.place_count; i++)
        if (strcmp(p->file.place[i].name, name) == 0)
            return 1 + i;
    return 0;
}

static void the_book_gives_the_places_that_fit(void **state)
{
    (void)state;
    camp_book k = book_with_places();
    lw_trip_planned *p = calloc(1, sizeof *p);
    assert_non_null(p);
    CHECK_OK(make(k.book,
                  "leeway: 1\ntrip: {from: 2027-06-07, until: 2027-06-16, start: Juniper Bench, drive_days: Mon-Sun, "
                  "supplies_chance: 50 %, work_chance: 50 %}\n"
                  "services: [{name: Yard, latitude: 37.2, longitude: -112.2, gives: [dump, water, drinking, rubbish, "
                  "propane]}]\n"
                  "candidates: {near: Juniper Bench, drive: 3 h, signal: 50 %, worth: 50 USD}\n"
                  "wishes: [{what: an arch, at: Cold Spring, nights: 2, must: yes}]\n",
                  p, &err));
    assert_true(has_place(p, "Juniper Bench") && has_place(p, "Cold Spring"));
    assert_true(!has_place(p, "Distant Wash") && !has_place(p, "Unmeasured Flat"));
    CHECK_SAYS(p->gathered.note, "3 places of the book.");
    CHECK_SAYS(p->gathered.note, "1 too long a drive");
    CHECK_SAYS(p->gathered.note, "1 too little signal, or none known");
    CHECK_SAYS(p->gathered.note, "for want of a height: 1");
    assert_int_equal(p->plan_count, 1);
    int at_bench = 0, at_spring = 0;
    for (int d = 0; d < 9; d++) {
        const char *name = p->file.place[p->plan[0].out.chain.place[d]].name;
        const int is_spring = strcmp(name, "Cold Spring") == 0;
        if (is_spring && (d == 5 || d == 6))
            fail_msg("night %d is spent where it is closed", d); /* 12 and 13 June */
        at_bench += strcmp(name, "Juniper Bench") == 0;
        at_spring += is_spring;
    }
    if (at_bench > 3 || at_spring < 2)
        fail_msg("%d nights at the bench, 3 are allowed in 20; %d at the spring, 2 are a must", at_bench, at_spring);
    lw_trip_clear(p);
    free(p);
    camp_book_close(&k);
}

static void named_places_are_those_alone(void **state)
{
    (void)state;
    camp_book k = book_with_places();
    lw_trip_planned *p = calloc(1, sizeof *p);
    lw_trip_ask ask = {
        .path = "t.yaml",
        .text = "leeway: 1\ntrip: {from: 2027-06-07, until: 2027-06-09, start: Silent Mesa, drive_days: Mon-Sun, "
                "work_chance: 0 %, supplies_chance: 50 %}\ncandidates: {named: [Silent Mesa, Juniper Bench]}\n",
        .plans = 1,
        .draws = 16,
        .fresh = 200,
        .seed = 1,
        .book = k.book,
        .now_s = NOW_S};
    assert_non_null(p);
    CHECK_OK(lw_trip_make(&ask, p, &err));
    assert_int_equal(p->file.place_count, 2);
    lw_trip_clear(p);
    ask.candidates =
        "{\"named\": \"Silent Mesa\", \"near\": \"37.3,-112.1\", \"within\": \"1 km\"}"; /* replaces the file's */
    CHECK_OK(lw_trip_make(&ask, p, &err));
    assert_true(p->file.place_count == 2 && has_place(p, "Cold Spring"));
    lw_trip_clear(p);
    ask.candidates = "{named: Silent Messa}";
    CHECK_REFUSED(lw_trip_make(&ask, p, &err), LW_E_MISSING, "Silent Mesa");
    ask.candidates = "{named: Unmeasured Flat}";
    CHECK_REFUSED(lw_trip_make(&ask, p, &err), LW_E_MISSING, "height is not known");
    ask.text = "leeway: 1\ntrip: {from: 2027-06-07, until: 2027-06-09, start: Silent Mesa}\n";
    ask.candidates = "{manager: no such office}";
    CHECK_REFUSED(lw_trip_make(&ask, p, &err), LW_E_MISSING, "no place of the book fits what is asked: 0 places");
    ask.candidates = "{within: 30}";
    CHECK_REFUSED(lw_trip_make(&ask, p, &err), LW_E_UNIT, "30 has no unit");
    ask.candidates = "{}";
    ask.book = NULL;
    CHECK_REFUSED(lw_trip_make(&ask, p, &err), LW_E_MISSING, "there is none");
    free(p);
    camp_book_close(&k);
}

static void import(const camp_book *k, const char *rows)
{
    lw_map_done done;
    FILE *file = fopen(k->file, "w");
    assert_non_null(file);
    fprintf(file, "lat,lon,name,kind,access,drinking_water,opening_hours\n%s", rows);
    fclose(file);
    CHECK_OK(
        lw_map_import(k->book, &(lw_map_ask){.path = k->file, .kind = LW_MAP_PLACES, .now_s = NOW_S}, &done, &err));
}

static const lw_trip_stop *served_stop(const lw_trip_planned *p)
{
    for (int i = 0; i < p->plan[0].stop_count; i++)
        if (p->plan[0].stop[i].is_served)
            return &p->plan[0].stop[i];
    return NULL;
}

static int is_open_day(const lw_trip_planned *p, int day)
{
    const int weekday = lw_weekday_of(p->file.from_day + day);
    return weekday == 0 || weekday == 3;
}

/* Nobody says a road to services: what the map has is all there is, and the dump is open on Mondays and Thursdays alone. */
static void tanks_are_served_where_the_map_has_services_and_when_they_are_open(void **state)
{
    (void)state;
    static const char TEXT[] =
        "leeway: 1\ntrip: {from: 2027-06-07, until: 2027-06-25, start: Cold Spring, drive_days: Mon-Sun, "
        "work_chance: 0 %, supplies_chance: 50 %}\n"
        "candidates: {named: [Cold Spring, Silent Mesa, Juniper Bench]}\n";
    camp_book k = book_with_places();
    lw_trip_planned *p = calloc(1, sizeof *p), *shown = calloc(1, sizeof *shown);
    assert_true(p && shown);
    import(&k, "37.25,-112.15,Junction Dump,dump;water,yes,yes,\"Mo,Th 08:00-17:00\"\n"
               "37.26,-112.16,Side Coop,propane;rubbish,yes,,\n37.27,-112.17,Secret Dump,dump;water,,yes,\n");
    CHECK_OK(make(k.book, TEXT, p, &err));
    CHECK_SAYS(p->gathered.note, "who may use them: 1;");
    if (p->plan_count != 1)
        fail_msg("%s %s", p->why, p->relax[0]);
    const lw_trip_stop *s = served_stop(p);
    assert_non_null(s);
    assert_true(s->calls == 2 && s->lacks == 0);
    assert_string_equal(p->file.service[s->call[0]].name, "Junction Dump");
    for (int i = 0; i < p->plan[0].stop_count; i++) {
        const lw_trip_stop *one = &p->plan[0].stop[i];
        if (one->is_served && !is_open_day(p, one->arrive))
            fail_msg("served on day %d of the trip, no Monday or Thursday", one->arrive);
        for (int r = 0; r < one->runs; r++)
            if (!is_open_day(p, one->run_day[r]))
                fail_msg("a run on day %d of the trip, no Monday or Thursday", one->run_day[r]);
    }
    char *text = NULL;
    CHECK_OK(lw_trip_export(p, 0, LW_TRIP_GPX, NOW_S, "1", &text, &err));
    assert_non_null(strstr(text, "<name>Junction Dump</name>"));
    free(text);
    CHECK_OK(lw_trip_export(p, 0, LW_TRIP_SHEET, NOW_S, "1", &text, &err));
    assert_non_null(strstr(text, "tanks served on the way at Junction Dump and Side Coop"));
    assert_non_null(strstr(text, "call ahead"));
    free(text);

    /* Kept, it stays what it was, though the book forgets a place and its map files. */
    const lw_trip_ask ask = {.path = "t.yaml", .text = TEXT, .book = k.book, .now_s = NOW_S, .seed = 1};
    CHECK_OK(lw_trip_keep(k.book, "june", &ask, p, NOW_S, &err));
    CHECK_OK(lw_camp_forget(k.book, "Silent Mesa", &err));
    import(&k, "10,10,Elsewhere,dump,yes,,\n");
    CHECK_OK(lw_trip_show(k.book, "june", &ask, shown, &err));
    char *was = lw_trip_json(p, "1"), *is = lw_trip_json(shown, "1");
    assert_true(was && is);
    assert_string_equal(was, is);
    free(was);
    free(is);
    lw_trip_clear(shown);
    lw_trip_clear(p);
    free(shown);
    free(p);
    camp_book_close(&k);
}

/* Without propane in reach the load has it no fuller after the service: the tank of the couple's trailer runs down all along. */
static void what_is_not_had_there_is_not_filled(void **state)
{
    (void)state;
    static const char TEXT[] =
        "leeway: 1\ntrip: {from: 2027-04-01, until: 2027-05-08, start: Cold Spring, drive_days: Mon-Sun, "
        "work_chance: 0 %%, supplies_chance: 50 %%}\n"
        "services: [{name: Yard, latitude: 37.25, longitude: -112.15, gives: [dump, water, drinking, rubbish%s]}]\n"
        "candidates: {named: [Cold Spring, Silent Mesa]}\n";
    camp_book k = book_with_places();
    double holds[2] = {0.0, 0.0};
    for (int with = 0; with < 2; with++) {
        char text[1024];
        lw_trip_planned *p = calloc(1, sizeof *p);
        assert_non_null(p);
        snprintf(text, sizeof text, TEXT, with ? ", propane" : "");
        CHECK_OK(make(k.book, text, p, &err));
        assert_int_equal(p->plan_count, 1);
        holds[with] = p->plan[0].supplies_frac;
        if (!with && p->plan[0].short_supply != LW_SUPPLY_PROPANE)
            fail_msg("%d is short first, of %.2f", p->plan[0].short_supply, holds[with]);
        lw_trip_clear(p);
        free(p);
    }
    if (!(holds[0] + 0.2 < holds[1]))
        fail_msg("without propane %.2f, with it %.2f", holds[0], holds[1]);
    camp_book_close(&k);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_book_gives_the_places_that_fit),
        cmocka_unit_test(named_places_are_those_alone),
        cmocka_unit_test(tanks_are_served_where_the_map_has_services_and_when_they_are_open),
        cmocka_unit_test(what_is_not_had_there_is_not_filled),
    };
    return cmocka_run_group_tests_name("service/trip_book", tests, NULL, NULL);
}
