#include "service/begin.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/yaml_tree.h"
#include "text/say.h"

/* ---- pages: texts of at most what the book keeps ---- */

typedef struct page {
    char *text; /* ends with its end mark always */
    size_t used;
    int is_over;
} page;

static void put_n(page *p, const char *bytes, size_t n)
{
    p->is_over |= p->used + n > LW_BOOK_DOC_BYTES;
    if (p->is_over)
        return;
    memcpy(p->text + p->used, bytes, n);
    p->used += n;
    p->text[p->used] = '\0';
}

static void put(page *p, const char *text)
{
    put_n(p, text, strlen(text));
}

static lw_code no_memory(lw_err *err)
{
    return lw_fail(err, LW_E_FULL, "not enough memory for this scenario");
}

/* ---- sections ---- */

/* LW_SECTION_COUNT: not kept, as it is written again when the sections are joined. */
static lw_section section_of(const char *key, size_t n)
{
    static const char *const OWN[] = {
        [LW_SECTION_RIG] = "rig", [LW_SECTION_CREW] = "crew", [LW_SECTION_PLACE] = "place"};
    for (int i = 0; i < LW_SECTION_STAY; i++)
        if (strlen(OWN[i]) == n && memcmp(OWN[i], key, n) == 0)
            return (lw_section)i;
    return n == strlen("leeway") && memcmp(key, "leeway", n) == 0 ? LW_SECTION_COUNT : LW_SECTION_STAY;
}

/* Length of the key that a line begins with at its first letter; 0: it belongs to what is above. */
static size_t key_length(const char *line, size_t n)
{
    size_t at = 0;
    while (at < n && ((line[at] >= 'a' && line[at] <= 'z') || line[at] == '_'))
        at++;
    return at > 0 && at < n && line[at] == ':' && (at + 1 == n || strchr(" \t\r\n", line[at + 1])) ? at : 0;
}

/* As it was written. Comments above a section stand at the end of the one before. */
static void cut_lines(const char *bytes, size_t size, page pages[LW_SECTION_COUNT])
{
    lw_section section = LW_SECTION_COUNT;
    for (size_t at = 0; at < size;) {
        const char *end = memchr(bytes + at, '\n', size - at);
        const size_t n = end ? (size_t)(end - bytes) - at + 1 : size - at;
        const size_t key = key_length(bytes + at, n);
        if (key)
            section = section_of(bytes + at, key);
        if (section < LW_SECTION_COUNT) {
            put_n(&pages[section], bytes + at, n);
            if (!end)
                put(&pages[section], "\n");
        }
        at += n;
    }
}

/* A text in double quotes, as YAML and JSON write it. */
static void put_quoted(page *p, const char *text)
{
    put(p, "\"");
    for (; *text; text++) {
        char escape[8];
        if (*text == '"' || *text == '\\')
            snprintf(escape, sizeof escape, "\\%c", *text);
        else if ((unsigned char)*text < 0x20)
            snprintf(escape, sizeof escape, "\\u%04x", (unsigned char)*text);
        else
            snprintf(escape, sizeof escape, "%c", *text);
        put(p, escape);
    }
    put(p, "\"");
}

/* NOLINTNEXTLINE(misc-no-recursion): as deep as the file, at most LW_YAML_DEPTH */
static void put_value(page *p, const lw_yaml_node *node)
{
    if (node->kind == LW_YAML_SCALAR) {
        put_quoted(p, node->text);
        return;
    }
    put(p, node->kind == LW_YAML_MAP ? "{" : "[");
    for (const lw_yaml_node *child = node->first; child; child = child->next) {
        if (child->key) {
            put_quoted(p, child->key);
            put(p, ": ");
        }
        put_value(p, child);
        put(p, child->next ? ", " : "");
    }
    put(p, node->kind == LW_YAML_MAP ? "}" : "]");
}

static void cut_values(const lw_yaml *tree, page pages[LW_SECTION_COUNT])
{
    for (const lw_yaml_node *child = tree->root->first; child; child = child->next) {
        const lw_section section = section_of(child->key, strlen(child->key));
        if (section == LW_SECTION_COUNT)
            continue;
        put(&pages[section], child->key);
        put(&pages[section], ": ");
        put_value(&pages[section], child);
        put(&pages[section], "\n");
    }
}

/* The same keys and texts; the order of a map's keys says nothing. */
/* NOLINTNEXTLINE(misc-no-recursion): as deep as the file, at most LW_YAML_DEPTH */
static int is_same_tree(const lw_yaml_node *a, const lw_yaml_node *b)
{
    if (!a || !b || a->kind != b->kind || a->count != b->count)
        return 0;
    if (a->kind == LW_YAML_SCALAR)
        return strcmp(a->text, b->text) == 0;
    const lw_yaml_node *other = b->first;
    for (const lw_yaml_node *child = a->first; child; child = child->next) {
        if (!is_same_tree(child, a->kind == LW_YAML_MAP ? lw_yaml_child(b, child->key) : other))
            return 0;
        other = other ? other->next : NULL;
    }
    return 1;
}

char *lw_sections_join(const char *const text[LW_SECTION_COUNT])
{
    static const char HEAD[] = "leeway: 1\n";
    size_t size = sizeof HEAD;
    for (int i = 0; i < LW_SECTION_COUNT; i++)
        size += strlen(text[i]);
    char *joined = malloc(size);
    if (!joined)
        return NULL;
    size_t used = (size_t)snprintf(joined, size, "%s", HEAD);
    for (int i = 0; i < LW_SECTION_COUNT; i++)
        used += (size_t)snprintf(joined + used, size - used, "%s", text[i]);
    return joined;
}

/* Joined, they are what was cut. */
static int is_whole(const lw_yaml *tree, page pages[LW_SECTION_COUNT])
{
    const char *text[LW_SECTION_COUNT];
    lw_yaml again = {0};
    lw_err unread = {0};
    for (int i = 0; i < LW_SECTION_COUNT; i++)
        text[i] = pages[i].text;
    char *joined = lw_sections_join(text);
    const int is_so = joined && !lw_yaml_read(&again, "book", joined, strlen(joined), &unread) &&
                      is_same_tree(tree->root, again.root);
    lw_yaml_clear(&again);
    free(joined);
    return is_so;
}

void lw_sections_clear(lw_sections *sections)
{
    for (int i = 0; i < LW_SECTION_COUNT; i++) {
        free(sections->text[i]);
        sections->text[i] = NULL;
    }
}

static int is_over(const page pages[LW_SECTION_COUNT])
{
    int any = 0;
    for (int i = 0; i < LW_SECTION_COUNT; i++)
        any |= pages[i].is_over;
    return any;
}

/* As it was written, or else value by value. */
static lw_code fill_pages(const lw_yaml *tree, const char *bytes, size_t size, page pages[LW_SECTION_COUNT],
                          lw_err *err)
{
    cut_lines(bytes, size, pages);
    if (!is_over(pages) && !is_whole(tree, pages)) {
        for (int i = 0; i < LW_SECTION_COUNT; i++) {
            pages[i].used = 0;
            put(&pages[i], "");
        }
        cut_values(tree, pages);
        if (!is_over(pages) && !is_whole(tree, pages))
            return lw_fail(err, LW_E_SYNTAX, "this text cannot be parted into its sections; write it in plain YAML");
    }
    return is_over(pages)
               ? lw_fail(err, LW_E_FULL, "a section is longer than the book keeps (%d bytes)", LW_BOOK_DOC_BYTES)
               : LW_OK;
}

lw_code lw_sections_cut(const char *name, const char *bytes, size_t size, lw_sections *sections, lw_err *err)
{
    lw_yaml tree = {0};
    page pages[LW_SECTION_COUNT] = {{0}};
    lw_sections made = {{0}};
    lw_code code = lw_yaml_read(&tree, name, bytes, size, err);
    if (!code && tree.root->kind != LW_YAML_MAP)
        code = lw_fail(err, LW_E_SYNTAX, "this is no scenario; a scenario is a map of keys and begins with leeway: 1");
    for (int i = 0; i < LW_SECTION_COUNT && !code; i++) {
        made.text[i] = calloc(1, LW_BOOK_DOC_BYTES + 1);
        pages[i].text = made.text[i];
        code = made.text[i] ? LW_OK : no_memory(err);
    }
    if (!code)
        code = fill_pages(&tree, bytes, size, pages, err);
    lw_yaml_clear(&tree);
    if (code)
        lw_sections_clear(&made);
    else
        *sections = made;
    return code;
}

/* ---- into the book ---- */

static void place_name(const lw_place *place, char *buf, size_t n)
{
    if (place->name[0])
        snprintf(buf, n, "%.31s", place->name);
    else
        snprintf(buf, n, "%d.%02d, %d.%02d", (int)place->latitude_deg, (int)(fabs(place->latitude_deg) * 100.0) % 100,
                 (int)place->longitude_deg, (int)(fabs(place->longitude_deg) * 100.0) % 100);
}

/* Where the scenario was read from, for the files beside it. */
static void beside_key(int64_t stay, char *buf, size_t n)
{
    snprintf(buf, n, "stay.%lld.file", (long long)stay);
}

static lw_code place_of_stay(lw_book *book, int64_t place, char *buf, size_t n, lw_err *err)
{
    lw_kept_places places = {0};
    const lw_code code = lw_book_list_places(book, &(lw_kept_key){.id = place}, &places, err);
    snprintf(buf, n, "%.31s", !code && places.count ? places.place[0].name : "");
    lw_kept_places_clear(&places);
    return code;
}

/* When a stay ends that nobody ended: as the next one begins, which may be the new one. */
static int64_t end_of(const lw_kept_stays *stays, const lw_kept_stay *stay, int64_t arrival_s)
{
    int64_t end_s = arrival_s;
    for (size_t i = 0; i < stays->count; i++)
        if (stays->stay[i].arrival_s > stay->arrival_s && stays->stay[i].arrival_s < end_s)
            end_s = stays->stay[i].arrival_s;
    return end_s;
}

/* The stay that is going on ends as the new one begins, once that has come. */
static lw_code end_before(lw_book *book, int64_t now_s, int64_t arrival_s, const char *place, lw_begun *begun,
                          lw_err *err)
{
    lw_kept_stays stays = {0};
    lw_code code = lw_book_list_stays(book, NULL, &stays, err);
    for (size_t i = 0; i < stays.count && !code; i++) {
        lw_kept_stay *stay = &stays.stay[i];
        char name[LW_NAME];
        if (stay->left_s != LW_NO_TIME)
            continue;
        code = place_of_stay(book, stay->place, name, sizeof name, err);
        if (!code && stay->arrival_s == arrival_s && strcmp(name, place) == 0)
            code = lw_fail(err, LW_E_CONFLICT, "the stay at %s from that hour on is in the book already", name);
        if (!code && stay->arrival_s >= arrival_s)
            code = lw_fail(err, LW_E_CONFLICT,
                           "the stay at %s, which is in the book, begins later; stays are begun in order", name);
        if (code || arrival_s > now_s)
            continue;
        stay->left_s = end_of(&stays, stay, arrival_s);
        code = lw_book_put_stay(book, stay, err);
        memcpy(begun->ended, name, sizeof name);
    }
    lw_kept_stays_clear(&stays);
    return code;
}

static lw_code put_all(lw_book *book, const char *path, const lw_loaded *loaded, const lw_sections *sections,
                       lw_begun *begun, lw_err *err)
{
    const lw_scenario *scenario = loaded->scenario;
    const double elevation_m = scenario->place.elevation_m;
    lw_kept_doc rig = {.name = begun->rig, .doc = sections->text[LW_SECTION_RIG]},
                crew = {.name = "household", .doc = sections->text[LW_SECTION_CREW]};
    lw_kept_place place = {.name = begun->place,
                           .latitude_deg = scenario->place.latitude_deg,
                           .longitude_deg = scenario->place.longitude_deg,
                           .elevation_m = elevation_m,
                           .zone = loaded->zone.name,
                           .doc = sections->text[LW_SECTION_PLACE]};
    char key[64];
    lw_code code = lw_book_put_rig(book, &rig, err);
    if (!code)
        code = lw_book_put_crew(book, &crew, err);
    if (!code)
        code = lw_book_put_place(book, &place, err);
    lw_kept_stay stay = {.place = place.id,
                         .rig = rig.id,
                         .crew = crew.id,
                         .arrival_s = scenario->stay.arrival_s,
                         .departure_s = scenario->stay.departure_s ? scenario->stay.departure_s : LW_NO_TIME,
                         .left_s = LW_NO_TIME,
                         .doc = sections->text[LW_SECTION_STAY]};
    if (!code)
        code = lw_book_put_stay(book, &stay, err);
    begun->stay = stay.id;
    beside_key(stay.id, key, sizeof key);
    return code ? code : lw_book_set(book, key, path, err);
}

lw_code lw_begin(lw_book *book, const char *path, const char *bytes, size_t size, int64_t now_s, lw_begun *begun,
                 lw_err *err)
{
    lw_loaded loaded = {0};
    lw_sections sections = {{0}};
    const lw_scenario_from from = {.path = path, .bytes = bytes, .size = size, .now_s = now_s};
    lw_begun made = {0};
    lw_code code = lw_scenario_load(&from, &loaded, err);
    if (!code)
        code = lw_sections_cut(path, bytes, size, &sections, err);
    if (!code) {
        made.arrival_s = loaded.scenario->stay.arrival_s;
        snprintf(made.rig, sizeof made.rig, "%s", loaded.scenario->rig.name);
        place_name(&loaded.scenario->place, made.place, sizeof made.place);
        code = lw_book_begin(book, err);
        if (!code) {
            code = end_before(book, now_s, made.arrival_s, made.place, &made, err);
            if (!code)
                code = put_all(book, path, &loaded, &sections, &made, err);
            code = lw_book_end(book, code, err);
        }
    }
    lw_sections_clear(&sections);
    lw_loaded_clear(&loaded);
    if (!code)
        *begun = made;
    return code;
}

/* ---- out of the book ---- */

static lw_code load_stay(lw_book *book, const lw_kept_stay *stay, lw_loaded *loaded, lw_err *err)
{
    lw_kept_docs rigs = {0}, crews = {0};
    lw_kept_places places = {0};
    char key[64], path[LW_BOOK_TEXT_BYTES];
    int is_there = 0;
    char *joined = NULL;
    beside_key(stay->id, key, sizeof key);
    lw_code code = lw_book_list_rigs(book, &(lw_kept_key){.id = stay->rig}, &rigs, err);
    if (!code)
        code = lw_book_list_crews(book, &(lw_kept_key){.id = stay->crew}, &crews, err);
    if (!code)
        code = lw_book_list_places(book, &(lw_kept_key){.id = stay->place}, &places, err);
    if (!code)
        code = lw_book_get(book, key, path, sizeof path, &is_there, err);
    if (!code && (!rigs.count || !crews.count || !places.count))
        code = lw_fail(err, LW_E_MISSING, "the book lacks the rig, the crew or the place of this stay");
    if (!code) {
        const char *const text[LW_SECTION_COUNT] = {rigs.doc[0].doc, crews.doc[0].doc, places.place[0].doc, stay->doc};
        joined = lw_sections_join(text);
        code = joined ? LW_OK : no_memory(err);
    }
    if (!code && joined)
        code = lw_scenario_load(&(lw_scenario_from){.path = is_there ? path : "the book",
                                                    .bytes = joined,
                                                    .size = strlen(joined),
                                                    .now_s = stay->arrival_s},
                                loaded, err);
    free(joined);
    lw_kept_docs_clear(&rigs);
    lw_kept_docs_clear(&crews);
    lw_kept_places_clear(&places);
    return code;
}

lw_code lw_stay_load(lw_book *book, int64_t now_s, lw_loaded *loaded, lw_kept_stay *stay, lw_err *err)
{
    lw_kept_stays stays = {0};
    lw_code code = lw_book_current_stay(book, now_s, &stays, err);
    if (!code && stays.count == 0)
        code = lw_fail(err, LW_E_MISSING,
                       "the book has no stay that has begun; leeway begin FILE.yaml takes one from a scenario");
    if (!code)
        code = load_stay(book, &stays.stay[0], loaded, err);
    if (!code) {
        *stay = stays.stay[0];
        stay->doc = NULL;
    }
    lw_kept_stays_clear(&stays);
    return code;
}
