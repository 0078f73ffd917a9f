/* Checklists: every row of the table, the dose against what is published, items by the rig's parts, ticks in the book. */
#include "service/checklist.h"

#include <sys/wait.h>

#include "exchange/tables.h"
#include "service/book_yaml.h"
#include "tests/book/shelf.h"
#include "tests/service/camp_answer.h"

static const double GAL_L = 3.785411784, ML_PER_FLOZ = 29.5735295625; /* NIST SP 811 */

static lw_checklist *list_of(const lw_loaded *loaded, lw_checklist_id id, double bleach_pct)
{
    lw_checklist *list = calloc(1, sizeof *list);
    lw_err err = {0};
    assert_non_null(list);
    const lw_checklist_in in = {.loaded = loaded, .id = id, .bleach_pct = bleach_pct, .units = LW_UNITS_US};
    if (lw_checklist_make(&in, list, &err) != LW_OK)
        fail_msg("%s: %s %s", lw_checklist_name(id), err.where, err.text);
    return list;
}

static int place_of(const lw_checklist *list, const char *id)
{
    for (int i = 0; i < list->count; i++)
        if (strcmp(list->item[i].id, id) == 0)
            return i;
    return -1;
}

/* A rig of which nothing is missing. */
static lw_scenario *whole_camp(void)
{
    lw_scenario *s = camp_new(10);
    camp_vessel(s, "cans", LW_SUPPLY_FRESH, 45.0, 45.0);
    camp_vessel(s, "cartridge", LW_SUPPLY_DRINKING, 1500.0, 1500.0)->filter_life_l = 1500.0;
    s->rig.generator.is_present = 1;
    s->rig.array_count = 2;
    s->rig.array[0].tilt_deg = 30.0;
    s->rig.array[0].moves_a_day = 0;
    memset(s->rig.array[0].out, 0xFF, sizeof s->rig.array[0].out);
    s->rig.array[1] = s->rig.array[0];
    s->rig.array[1].moves_a_day = 3;
    s->rig.load[0].is_network = s->rig.load[0].is_vital = 1;
    s->rig.inverter.is_present = 1;
    s->rig.cabin.furnace_input_w = 8800.0;
    s->rig.cabin.water_heater_is_present = s->rig.cabin.fridge_is_present = 1;
    s->rig.cabin.fridge.kind = LW_COOLING_ABSORPTION;
    s->rig.cabin.pad_w = 80.0;
    s->rig.cabin.bay = LW_BAY_KIND_EXPOSED;
    s->crew.person[s->crew.person_count++].being = LW_BEING_DOG;
    s->crew.person[0].work[0] = 0x1FE00;
    return s;
}

static lw_loaded whole_rig(lw_scenario *scenario)
{
    lw_loaded loaded = camp_loaded(scenario);
    loaded.has_awning = loaded.has_slides = 1;
    loaded.toilet = LW_TOILET_FLUSH;
    snprintf(loaded.rig_kind, sizeof loaded.rig_kind, "fifth-wheel");
    return loaded;
}

static void every_row_has_a_list_a_part_a_source_and_a_caution_that_exists(void **state)
{
    (void)state;
    lw_table table = {0}, cautions = {0};
    lw_err err = {0};
    lw_scenario *s = whole_camp();
    const lw_loaded loaded = whole_rig(s);
    assert_int_equal(lw_table_open("checklists", &table, &err), LW_OK);
    assert_int_equal(lw_table_open("cautions", &cautions, &err), LW_OK);
    for (int row = 0; row < table.rows; row++) {
        const char *id = lw_table_cell(&table, row, "id"), *name = lw_table_cell(&table, row, "list");
        const char *caution = lw_table_cell(&table, row, "caution"), *kind = lw_table_cell(&table, row, "kind");
        lw_checklist_id list;
        if (lw_checklist_find(name, &list, &err) != LW_OK || strcmp(lw_checklist_name(list), name) != 0)
            fail_msg("row %d, %s: there is no list %s", row, id, name);
        if (lw_checklist_has(&loaded, lw_table_cell(&table, row, "if")) < -1)
            fail_msg("%s/%s asks for a part that is none: %s", name, id, lw_table_cell(&table, row, "if"));
        if (*caution && lw_table_row(&cautions, "id", caution) < 0)
            fail_msg("%s/%s: there is no caution %s", name, id, caution);
        if (!*lw_table_cell(&table, row, "source") ||
            (strcmp(kind, "published") != 0 && strcmp(kind, "common practice") != 0 &&
             strcmp(kind, "from memory") != 0))
            fail_msg("%s/%s: source and kind are to be named", name, id);
        for (int other = 0; other < row; other++)
            if (strcmp(lw_table_cell(&table, other, "list"), name) == 0 &&
                strcmp(lw_table_cell(&table, other, "id"), id) == 0)
                fail_msg("%s/%s stands twice", name, id);
    }
    lw_table_clear(&table);
    lw_table_clear(&cautions);
    free(s);
}

/* What may hurt somebody has its caution beside it in the list in which it is done. */
static void what_may_hurt_has_its_caution(void **state)
{
    (void)state;
    static const struct {
        lw_checklist_id list;
        const char *item, *caution;
    } row[] = {
        {LW_CHECKLIST_LEAVING, "gas-off", "gas-driving"},       {LW_CHECKLIST_ARRIVING, "alarms", "co"},
        {LW_CHECKLIST_ARRIVING, "exhaust", "generator"},        {LW_CHECKLIST_DUMPING, "gloves", "waste-water"},
        {LW_CHECKLIST_DUMPING, "fresh-last", "drinking-water"}, {LW_CHECKLIST_SANITISING, "only-bleach", "bleach"},
        {LW_CHECKLIST_SANITISING, "flush", "bleach"},           {LW_CHECKLIST_WINTER_NIGHT, "no-flame", "flame-heat"},
        {LW_CHECKLIST_WINTER_NIGHT, "vital", "medical"},
    };
    lw_scenario *s = whole_camp();
    const lw_loaded loaded = whole_rig(s);
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_checklist *list = list_of(&loaded, row[i].list, NAN);
        const int at = place_of(list, row[i].item);
        int is_told = 0;
        for (int c = 0; c < list->caution_count; c++)
            is_told |= strcmp(list->caution[c].id, row[i].caution) == 0 && list->caution[c].text[0];
        if (at < 0 || strcmp(list->item[at].caution, row[i].caution) != 0 || !is_told)
            fail_msg("%s/%s is told without its caution %s", lw_checklist_name(row[i].list), row[i].item,
                     row[i].caution);
        free(list);
    }
    free(s);
}

static void litter_of_others_is_picked_up_whatever_the_rig(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(10);
    s->rig.vessel_count = s->rig.array_count = 0;
    const lw_loaded loaded = camp_loaded(s);
    lw_checklist *list = list_of(&loaded, LW_CHECKLIST_LEAVING, NAN);
    const int at = place_of(list, "litter");
    assert_true(at >= 0);
    assert_non_null(strstr(list->item[at].text, "others left"));
    free(list);
    free(s);
}

/* Kansas Department of Health and Environment, "Disinfecting", example 2: 1,000 gal to 50 mg/L with bleach of about 5.25 %
 * takes 122 fl oz. The page's 410 mg/L of one ounce in a gallon is rounded: half an ounce either way. */
static void the_dose_is_what_a_health_department_prints(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(10);
    int fresh = 0;
    while (s->rig.vessel[fresh].supply != LW_SUPPLY_FRESH)
        fresh++;
    s->rig.vessel[fresh].capacity = 1000.0 * GAL_L;
    const lw_loaded loaded = camp_loaded(s);
    lw_checklist *list = list_of(&loaded, LW_CHECKLIST_SANITISING, 5.25);
    assert_int_equal(list->dose_count, 1);
    CHECK_NEAR(list->dose[0].bleach_ml / ML_PER_FLOZ, 122.0, 0.5, "1,000 gal to 50 mg/L of 5.25 %%");
    CHECK_NEAR(list->dose[0].most_ml, list->dose[0].least_ml, 1e-9, "the label was read");
    assert_false(list->is_bleach_assumed);
    free(list);
    free(s);
}

/* CDC, Vessel Sanitation Program 2018 Operations Manual, 5.3: 50 mg/L for 4 hours. */
static void it_stands_as_long_as_the_cdc_prints(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(10);
    const lw_loaded loaded = camp_loaded(s);
    lw_checklist *list = list_of(&loaded, LW_CHECKLIST_SANITISING, 6.0);
    assert_non_null(strstr(list->item[place_of(list, "stand")].text, "4 hours or longer"));
    assert_non_null(strstr(list->item[place_of(list, "dose")].text, "50 mg/L"));
    free(list);
    free(s);
}

/* 40 gal to 50 mg/L: 126 mL of 6 %, 92 mL of 8.25 %, 144 mL of 5.25 % (arithmetic of the trade's table). */
static void an_unread_label_gives_a_band_and_says_so(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(10);
    int fresh = 0;
    while (s->rig.vessel[fresh].supply != LW_SUPPLY_FRESH)
        fresh++;
    s->rig.vessel[fresh].capacity = 40.0 * GAL_L;
    lw_loaded loaded = camp_loaded(s);
    lw_checklist *list = list_of(&loaded, LW_CHECKLIST_SANITISING, NAN);
    CHECK_NEAR(list->dose[0].bleach_ml, 126.2, 0.1, "6 %%");
    CHECK_NEAR(list->dose[0].least_ml, 91.8, 0.1, "8.25 %%");
    CHECK_NEAR(list->dose[0].most_ml, 144.2, 0.1, "5.25 %%");
    const char *text = list->item[place_of(list, "dose")].text;
    if (!strstr(text, "40 gal: 4.3 fl oz (126 mL) of 6 % bleach") || !strstr(text, "3.1 fl oz (92 mL) of 8.25 %") ||
        !strstr(text, "6 % is assumed"))
        fail_msg("the dose is told so: %s", text);
    free(list);
    free(s);
}

static void items_are_shown_for_what_the_rig_has(void **state)
{
    (void)state;
    static const struct {
        lw_checklist_id list;
        const char *item;
    } row[] = {
        {LW_CHECKLIST_LEAVING, "gas-off"},    {LW_CHECKLIST_LEAVING, "generator-off"},
        {LW_CHECKLIST_LEAVING, "panels-in"},  {LW_CHECKLIST_LEAVING, "panels-flat"},
        {LW_CHECKLIST_LEAVING, "awning-in"},  {LW_CHECKLIST_LEAVING, "slides-in"},
        {LW_CHECKLIST_LEAVING, "hitch"},      {LW_CHECKLIST_LEAVING, "animals"},
        {LW_CHECKLIST_LEAVING, "waste-shut"}, {LW_CHECKLIST_LEAVING, "fridge-road"},
        {LW_CHECKLIST_DUMPING, "black"},      {LW_CHECKLIST_DUMPING, "grey"},
        {LW_CHECKLIST_ARRIVING, "signal"},    {LW_CHECKLIST_SANITISING, "filter-out"},
        {LW_CHECKLIST_SANITISING, "dose"},    {LW_CHECKLIST_WINTER_NIGHT, "vital"},
        {LW_CHECKLIST_WINTER_NIGHT, "pads"},  {LW_CHECKLIST_WINTER_NIGHT, "flue"},
    };
    lw_scenario *whole = whole_camp(), *bare = camp_new(10);
    const lw_loaded has = whole_rig(whole);
    bare->rig.vessel_count = bare->rig.array_count = bare->rig.load_count = 0;
    bare->rig.generator.is_present = bare->rig.inverter.is_present = 0;
    bare->rig.cabin = (lw_cabin_use){.bay = LW_BAY_KIND_DUCTED};
    for (int p = 0; p < bare->crew.person_count; p++) {
        bare->crew.person[p].being = LW_BEING_ADULT;
        memset(bare->crew.person[p].work, 0, sizeof bare->crew.person[p].work);
        memset(bare->crew.person[p].school, 0, sizeof bare->crew.person[p].school);
    }
    lw_loaded none = camp_loaded(bare);
    snprintf(none.rig_kind, sizeof none.rig_kind, "van");
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        lw_checklist *with = list_of(&has, row[i].list, NAN), *without = list_of(&none, row[i].list, NAN);
        if (place_of(with, row[i].item) < 0 || place_of(without, row[i].item) >= 0)
            fail_msg("%s/%s: shown with its part %d, without %d", lw_checklist_name(row[i].list), row[i].item,
                     place_of(with, row[i].item) >= 0, place_of(without, row[i].item) >= 0);
        free(with);
        free(without);
    }
    free(whole);
    free(bare);
}

static void what_the_scenario_does_not_say_is_shown_and_marked(void **state)
{
    (void)state;
    lw_scenario *s = camp_new(10);
    lw_loaded loaded = camp_loaded(s);
    loaded.has_slides = -1;
    lw_checklist *list = list_of(&loaded, LW_CHECKLIST_LEAVING, NAN);
    const int at = place_of(list, "slides-in");
    assert_true(at >= 0);
    assert_true(list->item[at].is_unsure);
    assert_false(list->item[0].is_unsure);
    free(list);
    free(s);
}

static void a_cassette_is_carried_and_has_no_valve(void **state)
{
    (void)state;
    lw_scenario *s = whole_camp();
    lw_loaded loaded = whole_rig(s);
    loaded.toilet = LW_TOILET_CASSETTE;
    lw_checklist *list = list_of(&loaded, LW_CHECKLIST_DUMPING, NAN);
    assert_true(place_of(list, "cassette") >= 0);
    assert_int_equal(place_of(list, "black"), -1);
    assert_true(place_of(list, "shut") >= 0); /* the grey tank's */
    free(list);
    free(s);
}

static void a_list_is_found_by_its_beginning_in_either_spelling(void **state)
{
    (void)state;
    lw_checklist_id id;
    CHECK_OK(lw_checklist_find("sanitizing", &id, &err));
    assert_int_equal((int)id, (int)LW_CHECKLIST_SANITISING);
    CHECK_OK(lw_checklist_find("win", &id, &err));
    assert_int_equal((int)id, (int)LW_CHECKLIST_WINTER_NIGHT);
    CHECK_REFUSED(lw_checklist_find("laeving", &id, &err), LW_E_MISSING, "did you mean leaving?");
    CHECK_REFUSED(lw_checklist_find("", &id, &err), LW_E_MISSING, "there are arriving, leaving");
}

/* ---- ticks ---- */

typedef struct desk {
    shelf at;
    lw_book *book;
    lw_scenario *camp;
    lw_loaded loaded;
    lw_checklist *list;
    int64_t stay;
} desk;

static desk open_desk(void)
{
    desk d = {.at = shelf_open(), .camp = whole_camp()};
    CHECK_OK(lw_book_open(&d.book, d.at.path, LW_BOOK_CREATE, &err));
    d.stay = shelf_stay(d.book);
    d.loaded = whole_rig(d.camp);
    d.list = list_of(&d.loaded, LW_CHECKLIST_LEAVING, NAN);
    return d;
}

static void close_desk(desk *d)
{
    lw_book_close(d->book);
    shelf_close(&d->at);
    free(d->list);
    free(d->camp);
}

static void mark(desk *d, uint64_t on, uint64_t off, int is_fresh_start, int64_t after_s)
{
    const lw_checklist_marks marks = {.is_fresh_start = is_fresh_start,
                                      .ticked = on,
                                      .unticked = off,
                                      .stay = d->stay,
                                      .stated_s = SHELF_NOW_S + after_s,
                                      .device_s = SHELF_NOW_S + after_s,
                                      .device = "cli"};
    CHECK_OK(lw_checklist_mark(d->book, &marks, d->list, &err));
}

/* As another program finds it. */
static void read_again(desk *d)
{
    free(d->list);
    d->list = list_of(&d->loaded, LW_CHECKLIST_LEAVING, NAN);
    CHECK_OK(lw_checklist_take_ticks(d->book, d->stay, d->list, &err));
}

static void ticks_are_kept_with_their_time_until_taken_off(void **state)
{
    (void)state;
    desk d = open_desk();
    mark(&d, 1u << 2 | 1u << 4, 0, 0, 0);
    read_again(&d);
    assert_int_equal(d.list->ticked, 2);
    assert_int_equal(d.list->item[2].ticked_s, SHELF_NOW_S);
    mark(&d, 1u << 2, 1u << 4, 0, 600); /* a second tick keeps the first one's time */
    read_again(&d);
    assert_int_equal(d.list->ticked, 1);
    assert_int_equal(d.list->item[2].ticked_s, SHELF_NOW_S);
    assert_int_equal(d.list->item[4].ticked_s, LW_NO_TIME);
    close_desk(&d);
}

static void a_fresh_start_takes_all_off_and_may_tick_at_once(void **state)
{
    (void)state;
    desk d = open_desk();
    mark(&d, 7u, 0, 0, 0);
    mark(&d, 2u, 0, 1, 60);
    read_again(&d);
    assert_int_equal(d.list->ticked, 1);
    assert_true(d.list->item[1].is_ticked);
    assert_int_equal(d.list->item[1].ticked_s, SHELF_NOW_S + 60);
    assert_int_equal(d.list->since_s, SHELF_NOW_S + 60);
    /* also where the clock was put back in between: what arrived later counts */
    mark(&d, 1u, 0, 1, -3600);
    read_again(&d);
    assert_int_equal(d.list->ticked, 1);
    assert_true(d.list->item[0].is_ticked);
    close_desk(&d);
}

static void ticks_belong_to_their_stay_and_list(void **state)
{
    (void)state;
    desk d = open_desk();
    mark(&d, 7u, 0, 0, 0);
    d.stay = shelf_stay(d.book);
    read_again(&d);
    assert_int_equal(d.list->ticked, 0);
    close_desk(&d);
}

static void taking_back_what_was_logged_passes_ticks_over(void **state)
{
    (void)state;
    desk d = open_desk();
    lw_entry reading = shelf_reading("fresh", SHELF_NOW_S, 0.5);
    CHECK_OK(lw_book_append(d.book, &reading, 1, &err));
    mark(&d, 3u, 0, 0, 60);
    lw_entries undone = {0};
    CHECK_OK(lw_book_undo(d.book, NULL, NULL, SHELF_NOW_S + 120, &undone, &err));
    assert_int_equal((int)undone.entry[0].kind, (int)LW_ENTRY_READING);
    lw_entries_clear(&undone);
    read_again(&d);
    assert_int_equal(d.list->ticked, 2);
    close_desk(&d);
}

static void an_exported_book_carries_its_ticks(void **state)
{
    (void)state;
    desk d = open_desk();
    char path[160];
    lw_sink sink;
    lw_imported imported;
    mark(&d, 5u, 0, 0, 0);
    mark(&d, 0xF0u, 0, 1, 60);
    mark(&d, 0, 0x20u, 0, 120);
    snprintf(path, sizeof path, "%s/book.yaml", d.at.folder);
    FILE *file = fopen(path, "w+");
    assert_non_null(file);
    lw_sink_init(&sink, lw_write_file, file);
    CHECK_OK(lw_book_export(d.book, "test", &sink, &err));
    CHECK_OK(lw_sink_flush(&sink, &err));
    rewind(file);
    lw_book_close(d.book);
    snprintf(path, sizeof path, "%s/other.sqlite", d.at.folder);
    CHECK_OK(lw_book_open(&d.book, path, LW_BOOK_CREATE, &err));
    CHECK_OK(lw_book_import(d.book, "book.yaml", file, &imported, &err));
    fclose(file);
    read_again(&d);
    for (int i = 0; i < d.list->count; i++)
        if (d.list->item[i].is_ticked != (i >= 4 && i < 8 && i != 5))
            fail_msg("item %d is %sticked after export and import", i + 1, d.list->item[i].is_ticked ? "" : "not ");
    assert_int_equal(d.list->since_s, SHELF_NOW_S + 60);
    close_desk(&d);
}

static void a_tick_is_told_in_words(void **state)
{
    (void)state;
    static const struct {
        const char *target, *want;
        double amount;
    } row[] = {
        {"leaving/gas-off", "checklist leaving: gas-off ticked", 1.0},
        {"leaving/gas-off", "checklist leaving: gas-off not ticked any more", 0.0},
        {"leaving", "checklist leaving: begun again", (double)NAN},
    };
    char text[120];
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        const lw_entry entry = {.kind = LW_ENTRY_TICK, .target = row[i].target, .amount = row[i].amount};
        assert_string_equal(lw_checklist_entry_say(&entry, text, sizeof text), row[i].want);
    }
}

static void the_json_keeps_to_its_schema(void **state)
{
    (void)state;
    desk d = open_desk();
    char command[320], path[160];
    mark(&d, 5u, 0, 1, 0);
    for (int i = 0; i < LW_CHECKLIST_COUNT; i++) {
        lw_checklist *list = list_of(&d.loaded, (lw_checklist_id)i, i % 2 ? NAN : 6.0);
        CHECK_OK(lw_checklist_take_ticks(d.book, d.stay, list, &err));
        char *text = lw_checklist_json(&d.loaded, list, 0, "0.0.0");
        assert_non_null(text);
        snprintf(path, sizeof path, "%s/%d.json", d.at.folder, i);
        FILE *file = fopen(path, "w");
        if (!file || !text || fputs(text, file) < 0 || fclose(file) != 0)
            fail_msg("%s cannot be written", path);
        free(text);
        free(list);
    }
    snprintf(command, sizeof command, "python3 tests/service/check_schema.py docs/checklist.schema.json %s/*.json",
             d.at.folder);
    const int status = system(command);
    close_desk(&d);
    if (WIFEXITED(status) && WEXITSTATUS(status) == 77)
        skip();
    assert_int_equal(status, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_row_has_a_list_a_part_a_source_and_a_caution_that_exists),
        cmocka_unit_test(what_may_hurt_has_its_caution),
        cmocka_unit_test(litter_of_others_is_picked_up_whatever_the_rig),
        cmocka_unit_test(the_dose_is_what_a_health_department_prints),
        cmocka_unit_test(it_stands_as_long_as_the_cdc_prints),
        cmocka_unit_test(an_unread_label_gives_a_band_and_says_so),
        cmocka_unit_test(items_are_shown_for_what_the_rig_has),
        cmocka_unit_test(what_the_scenario_does_not_say_is_shown_and_marked),
        cmocka_unit_test(a_cassette_is_carried_and_has_no_valve),
        cmocka_unit_test(a_list_is_found_by_its_beginning_in_either_spelling),
        cmocka_unit_test(ticks_are_kept_with_their_time_until_taken_off),
        cmocka_unit_test(a_fresh_start_takes_all_off_and_may_tick_at_once),
        cmocka_unit_test(ticks_belong_to_their_stay_and_list),
        cmocka_unit_test(taking_back_what_was_logged_passes_ticks_over),
        cmocka_unit_test(an_exported_book_carries_its_ticks),
        cmocka_unit_test(a_tick_is_told_in_words),
        cmocka_unit_test(the_json_keeps_to_its_schema),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
