/* Keeping: what gauges there are, readings and events into the book, and out again. Each exactly once. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/devices.h"
#include "service/ask_internal.h"
#include "service/entries_apply.h"
#include "service/household.h"
#include "service/log_internal.h"
#include "service/logbook.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/quantity.h"
#include "text/say.h"

/* ---- gauges ---- */

/* Whose newest readings are told. */
typedef struct panel {
    lw_household home;
    lw_entries newest, hours; /* of gauges; of the engine */
} panel;

static const char *kind_word(lw_gauge_kind kind)
{
    switch (kind) {
    case LW_GAUGE_PROBES:
        return "lamps";
    case LW_GAUGE_SCALE:
        return "mass";
    case LW_GAUGE_NONE:
        return "none";
    default: {
        static const char *const WORD[] = {
#define WORD_OF(id, word) word,
            LW_GAUGE_KINDS(WORD_OF)
#undef WORD_OF
        };
        return WORD[kind];
    }
    }
}

static void add_choice(lw_json *j, json_t *choices, const char *name, const char *says)
{
    char text[LW_LOG_TEXT];
    json_t *o = lw_json_object(j);
    snprintf(text, sizeof text, "%s=%s", name, says);
    lw_json_text(j, o, "says", says);
    lw_json_text(j, o, "text", text);
    lw_json_add(j, choices, o);
}

static void add_share(lw_json *j, json_t *choices, const char *name, double frac)
{
    char says[LW_QUANTITY_BYTES];
    add_choice(j, choices, name, lw_log_share(frac, says, sizeof says));
}

static double bags_of(const lw_loaded *rig, const lw_log_thing *thing)
{
    return rig->bag_l > 0.0 ? floor(thing->capacity / rig->bag_l + 1e-9) : 0.0;
}

/* What a thumb may choose from; none where a number is to be typed. */
static json_t *choices_of(lw_json *j, const lw_loaded *rig, const lw_log_thing *thing, const lw_gauge *gauge)
{
    enum { BAGS_MOST = 8, QUARTERS = 4 };
    json_t *choices = lw_json_array(j);
    char says[24];
    if (gauge->kind == LW_GAUGE_PROBES || gauge->kind == LW_GAUGE_NONE) {
        add_share(j, choices, thing->name, 0.0);
        for (int i = 0; i < gauge->probe_count && gauge->kind == LW_GAUGE_PROBES; i++)
            add_share(j, choices, thing->name, gauge->probe_frac[i]);
        for (int i = 1; i < QUARTERS && gauge->kind == LW_GAUGE_NONE; i++)
            add_share(j, choices, thing->name, (double)i / QUARTERS);
        add_share(j, choices, thing->name, 1.0);
    }
    for (int i = 0; gauge->kind == LW_GAUGE_COUNT && i <= BAGS_MOST && i <= bags_of(rig, thing); i++) {
        snprintf(says, sizeof says, "%d %s", i, i == 1 ? "bag" : "bags");
        add_choice(j, choices, thing->name, says);
    }
    return choices;
}

static void put_unit(lw_json *j, json_t *o, const lw_log_thing *thing, const lw_gauge *gauge, lw_unit_system units)
{
    char amount[LW_QUANTITY_BYTES], text[LW_LOG_TEXT];
    const char *unit = "", *example = amount;
    switch (gauge->kind) {
    case LW_GAUGE_PROBES:
        (void)lw_log_share(gauge->probe_count ? gauge->probe_frac[0] : 1.0, amount, sizeof amount);
        break;
    case LW_GAUGE_PERCENT:
        unit = "%", example = "40 %";
        break;
    case LW_GAUGE_VOLTS:
        unit = "V", example = "12.8 V";
        break;
    case LW_GAUGE_HOURS:
        unit = "h", example = "412.3 h";
        break;
    case LW_GAUGE_COUNT:
        unit = "bags", example = "2 bags";
        break;
    case LW_GAUGE_NONE:
        example = "1/2";
        break;
    default:
        (void)lw_amount_print(amount, sizeof amount, thing->supply, 0.5 * thing->capacity, units);
        unit = strchr(amount, ' ') ? strchr(amount, ' ') + 1 : "";
    }
    snprintf(text, sizeof text, "%s=%s", thing->name, example);
    lw_json_text(j, o, "unit", unit);
    lw_json_text(j, o, "example", text);
}

static json_t *last_of(lw_json *j, const lw_loaded *rig, const lw_entries *newest, const lw_log_thing *thing)
{
    for (size_t i = 0; i < newest->count; i++) {
        lw_log_record record;
        char text[LW_LOG_SAID];
        if (!lw_record_of_entry(rig, &newest->entry[i], &record) || record.vessel != thing->vessel ||
            !record.also != (strncmp(thing->name, "all ", 4) != 0))
            continue;
        const char *says = strchr(lw_log_print(rig, &record, text, sizeof text), '=');
        json_t *o = lw_json_object(j);
        lw_json_time(j, o, "at", newest->entry[i].stated_s);
        lw_json_text(j, o, "says", says ? says + 1 : text);
        return o;
    }
    return json_null();
}

/* "Fresh water", "Grey water: kitchen grey" where there are several. */
static void put_label(lw_json *j, json_t *o, const lw_loaded *rig, const lw_log_thing *thing)
{
    char label[2 * LW_NAME + 8];
    int of_supply = 0;
    for (int v = 0; v < rig->scenario->rig.vessel_count; v++)
        of_supply += rig->scenario->rig.vessel[v].supply == thing->supply;
    if (thing->vessel == LW_LOG_GENERATOR)
        snprintf(label, sizeof label, "Generator");
    else if (strncmp(thing->name, "all ", 4) == 0)
        snprintf(label, sizeof label, "%s: all on one gauge", lw_supply_name(thing->supply));
    else if (of_supply > 1)
        snprintf(label, sizeof label, "%s: %s", lw_supply_name(thing->supply), thing->name);
    else
        snprintf(label, sizeof label, "%s", lw_supply_name(thing->supply));
    lw_json_text(j, o, "label", label);
}

static void add_gauge(lw_json *j, json_t *list, const panel *p, const lw_log_thing *thing, int i, lw_unit_system units)
{
    const lw_loaded *rig = &p->home.loaded;
    const lw_gauge *gauge = &thing->gauges->gauge[i];
    char says[LW_LOG_SAID];
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "target", thing->name);
    lw_json_text(j, o, "supply", thing->vessel == LW_LOG_GENERATOR ? NULL : lw_supply_word(thing->supply));
    put_label(j, o, rig, thing);
    lw_json_text(j, o, "kind", kind_word(gauge->kind));
    put_unit(j, o, thing, gauge, units);
    lw_json_put(j, o, "choices", choices_of(j, rig, thing, gauge));
    lw_json_text(j, o, "shows", lw_log_gauges_say(rig, thing->vessel, units, says, sizeof says));
    lw_json_put(j, o, "last", last_of(j, rig, thing->vessel == LW_LOG_GENERATOR ? &p->hours : &p->newest, thing));
    lw_json_add(j, list, o);
}

static void add_gauges(lw_json *j, json_t *list, const panel *p, int vessel, lw_unit_system units)
{
    const lw_log_thing thing = lw_log_thing_of(&p->home.loaded, vessel);
    for (int i = 0; i < thing.gauges->count; i++)
        add_gauge(j, list, p, &thing, i, units);
}

/* Several tanks of one supply, all with the gauge of a built-in tank, may be shown by one together: "all grey", read as the first is. */
static void add_gauges_of_all(lw_json *j, json_t *list, const panel *p, lw_supply supply, lw_unit_system units)
{
    const lw_loaded *rig = &p->home.loaded;
    char name[LW_NAME];
    int first = -1, count = 0, is_shown = 1;
    for (int v = 0; v < rig->scenario->rig.vessel_count; v++) {
        if (rig->scenario->rig.vessel[v].supply != supply)
            continue;
        const lw_gauges *gauges = lw_log_thing_of(rig, v).gauges;
        const lw_gauge_kind kind = gauges->count ? gauges->gauge[0].kind : LW_GAUGE_NONE;
        is_shown = is_shown && (kind == LW_GAUGE_PROBES || kind == LW_GAUGE_PERCENT);
        first = first < 0 ? v : first;
        count++;
    }
    if (count < 2 || !is_shown)
        return;
    lw_log_thing thing = lw_log_thing_of(rig, first);
    snprintf(name, sizeof name, "all %s", lw_supply_word(supply));
    thing.name = name;
    add_gauge(j, list, p, &thing, 0, units);
}

/* ---- events that a thumb may choose ---- */

static void add_event(lw_json *j, json_t *list, const char *text, const char *label)
{
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "text", text);
    lw_json_text(j, o, "label", label);
    lw_json_add(j, list, o);
}

static int has_supply(const lw_rig *rig, lw_supply supply)
{
    for (int v = 0; v < rig->vessel_count; v++)
        if (rig->vessel[v].supply == supply)
            return 1;
    return 0;
}

static json_t *events_of(lw_json *j, const lw_rig *rig)
{
    static const struct {
        lw_supply supply;
        const char *text, *label;
    } EVENT[] = {
        {LW_SUPPLY_FRESH, "filled fresh", "Filled fresh water"},
        {LW_SUPPLY_DRINKING, "filled drinking", "Filled drinking water"},
        {LW_SUPPLY_GREY, "dumped grey", "Dumped grey"},
        {LW_SUPPLY_BLACK, "dumped black", "Dumped black"},
        {LW_SUPPLY_PROPANE, "filled propane", "Filled propane"},
        {LW_SUPPLY_FUEL, "refuelled", "Refuelled"},
        {LW_SUPPLY_RUBBISH, "dropped rubbish", "Dropped rubbish"},
        {LW_SUPPLY_FOOD, "filled food", "Bought food"},
    };
    json_t *list = lw_json_array(j);
    if (has_supply(rig, LW_SUPPLY_GREY) && has_supply(rig, LW_SUPPLY_BLACK))
        add_event(j, list, "dumped grey black", "Dumped grey and black");
    for (size_t i = 0; i < sizeof EVENT / sizeof EVENT[0]; i++)
        if (has_supply(rig, EVENT[i].supply))
            add_event(j, list, EVENT[i].text, EVENT[i].label);
    add_event(j, list, "people +1", "One person more");
    add_event(j, list, "people -1", "One person fewer");
    add_event(j, list, "habits changed", "We live otherwise now");
    return list;
}

lw_code lw_ask_gauges(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {NULL};
    panel p = {.newest = {0}};
    lw_words_choice choice = {.units = LW_UNITS_US};
    lw_code code = lw_asked_want_params(a, KEYS, err);
    code = code ? code : lw_asked_choice(a, &choice, err);
    code = code ? code : lw_household_load(a->book, a->ask->now_s, 0, &p.home, err);
    if (code == LW_E_MISSING)
        a->reply->status = 409;
    if (code)
        return code;
    code = lw_book_newest(a->book, LW_ENTRY_READING, p.home.stay, &p.newest, err);
    code = code ? code : lw_book_newest(a->book, LW_ENTRY_ENGINE_HOURS, p.home.stay, &p.hours, err);
    if (!code) {
        const lw_rig *rig = &p.home.loaded.scenario->rig;
        lw_json j = {.zone = &p.home.loaded.zone, .is_12_hour = choice.is_12_hour};
        json_t *root = lw_json_object(&j), *list = lw_json_array(&j);
        lw_json_text(&j, root, "schema", "leeway.gauges/1");
        for (int v = 0; v < rig->vessel_count; v++)
            add_gauges(&j, list, &p, v, choice.units);
        for (int k = LW_SUPPLY_FRESH; k <= LW_SUPPLY_BLACK; k++)
            add_gauges_of_all(&j, list, &p, (lw_supply)k, choice.units);
        if (rig->battery.capacity_ah > 0.0)
            add_gauges(&j, list, &p, LW_LOG_BATTERY, choice.units);
        if (rig->generator.is_present)
            add_gauges(&j, list, &p, LW_LOG_GENERATOR, choice.units);
        lw_json_put(&j, root, "gauges", list);
        lw_json_put(&j, root, "events", events_of(&j, rig));
        code = lw_asked_reply_json(a, &j, root, err);
    }
    lw_entries_clear(&p.newest);
    lw_entries_clear(&p.hours);
    lw_household_clear(&p.home);
    return code;
}

/* ---- exactly once ---- */

static const int64_t SKEW_S = 120; /* a device's clock may be off by so much without a word */

/* A message of a device. */
typedef struct message {
    json_t *root;
    lw_id id;
    const char *device;
    int64_t at_s;    /* by the clock of this machine; 0: now */
    int64_t shift_s; /* what was put right */
} message;

lw_code lw_asked_instant(lw_asked *a, const json_t *root, const char *key, int64_t *to_s, lw_err *err)
{
    const char *text;
    double at_s;
    lw_code code = lw_asked_text(a, root, key, &text, err);
    *to_s = 0;
    if (code || !text)
        return code;
    if (lw_instant_parse(text, &at_s, err)) {
        a->reply->status = 400;
        return lw_err_at(err, NULL, 0, key);
    }
    *to_s = (int64_t)floor(at_s);
    return LW_OK;
}

static lw_code take_message(lw_asked *a, message *m, lw_err *err)
{
    const char *device = NULL;
    int64_t sent_s = 0;
    lw_code code = lw_asked_body(a, &m->root, err);
    code = code ? code : lw_asked_id(a, m->root, "id", &m->id, err);
    code = code ? code : lw_asked_text(a, m->root, "device", &device, err);
    code = code ? code : lw_asked_instant(a, m->root, "at", &m->at_s, err);
    code = code ? code : lw_asked_instant(a, m->root, "sent", &sent_s, err);
    if (!code && sent_s)
        code = lw_asked_take_time(a, sent_s, err);
    code = code ? code : lw_asked_want_time(a, err);
    if (code)
        return code;
    m->device = lw_asked_device(a, device);
    const int64_t off_s = sent_s ? a->ask->now_s - sent_s : 0;
    if (off_s > SKEW_S || off_s < -SKEW_S)
        m->shift_s = off_s;
    if (m->at_s) {
        m->at_s += m->shift_s;
        /* What is left of the skew must not make a reading one of the future. */
        if (m->at_s > a->ask->now_s && m->at_s <= a->ask->now_s + SKEW_S)
            m->at_s = a->ask->now_s;
    }
    return LW_OK;
}

static void say_shift(lw_json *j, json_t *says, int64_t shift_s)
{
    char text[128], length[LW_QUANTITY_BYTES];
    if (!shift_s)
        return;
    (void)lw_quantity_print(length, sizeof length, fabs((double)shift_s), LW_DIM_TIME, LW_UNITS_SI);
    snprintf(text, sizeof text, "the clock of this device is %s %s; its times were put right", length,
             shift_s > 0 ? "slow" : "fast");
    lw_json_add(j, says, json_string(text));
}

static char *answer_text(const message *m, const char *schema, const lw_log_answer *said)
{
    char id[LW_ID_TEXT];
    lw_json j = {0};
    json_t *root = lw_json_object(&j), *says = lw_json_array(&j);
    lw_json_text(&j, root, "schema", schema);
    lw_json_text(&j, root, "id", lw_id_print(id, sizeof id, &m->id));
    for (int i = 0; i < said->count; i++) {
        json_t *text = json_string(said->said[i]);
        lw_json_add(&j, says, text ? text : json_string("?"));
    }
    say_shift(&j, says, m->shift_s);
    lw_json_put(&j, root, "says", says);
    lw_json_text(&j, root, "when", said->when);
    lw_json_flag(&j, root, "repeated", 0);
    return lw_json_finish(&j, root, 1);
}

/* The first answer, marked as one that came before. */
static lw_code reply_again(lw_asked *a, const char *text, lw_err *err)
{
    json_t *root = json_loads(text, 0, NULL);
    lw_json j = {.has_failed = !root};
    if (root)
        lw_json_flag(&j, root, "repeated", 1);
    return lw_asked_reply_json(a, &j, root, err);
}

typedef lw_code do_fn(lw_asked *a, const message *m, lw_log_answer *said, lw_err *err);

/* Change and answer are one transaction. */
static lw_code do_once(lw_asked *a, const message *m, const char *schema, do_fn *act, lw_err *err)
{
    lw_log_answer *said = calloc(1, sizeof *said);
    char *first = NULL, *text = NULL;
    lw_code code = said ? lw_book_begin(a->book, err) : lw_fail(err, LW_E_FULL, "not enough memory");
    if (code) {
        free(said);
        return code;
    }
    code = lw_book_answer_of(a->book, &m->id, &first, err);
    if (!code && !first) {
        code = act(a, m, said, err);
        if (!code && said) {
            text = answer_text(m, schema, said);
            code = text ? lw_book_keep_answer(a->book, &m->id, a->ask->now_s, text, err)
                        : lw_fail(err, LW_E_FULL, "not enough memory");
        }
    }
    code = lw_book_end(a->book, code, err);
    free(said);
    if (!code && first)
        code = reply_again(a, first, err);
    else if (!code) {
        code = lw_asked_reply(a, text, err);
        text = NULL;
    }
    free(first);
    free(text);
    return code;
}

/* What is no reading comes as people write it, "dumped grey black": it is parted at its blanks. */
typedef struct words {
    const char *word[LW_ASK_WORDS];
    int count;
    char text[LW_BOOK_TEXT_BYTES];
    size_t used;
} words;

static int add_word(words *w, const char *at, size_t n)
{
    if (w->count == LW_ASK_WORDS || n >= sizeof w->text - w->used)
        return 0;
    memcpy(w->text + w->used, at, n);
    w->text[w->used + n] = '\0';
    w->word[w->count++] = w->text + w->used;
    w->used += n + 1;
    return 1;
}

static int add_words(words *w, const char *text)
{
    if (strchr(text, '='))
        return add_word(w, text, strlen(text));
    for (;;) {
        text += strspn(text, " ");
        const size_t n = strcspn(text, " ");
        if (n == 0)
            return 1;
        if (!add_word(w, text, n))
            return 0;
        text += n;
    }
}

static lw_code take_words(lw_asked *a, const json_t *list, words *w, lw_err *err)
{
    const size_t count = json_array_size(list);
    a->reply->status = 400;
    for (size_t i = 0; i < count; i++) {
        const json_t *item = json_array_get(list, i);
        const char *text = json_string_value(item);
        if (!text || strlen(text) != json_string_length(item))
            return lw_fail(err, LW_E_SYNTAX, "words is to be a list of texts");
        if (!add_words(w, text))
            return lw_fail(err, LW_E_FULL, "words are %d at most, and %zu bytes", LW_ASK_WORDS, sizeof w->text);
    }
    if (w->count == 0)
        return lw_fail(err, LW_E_SYNTAX, "words is to be a list of texts, such as [\"fresh=2/3\"]");
    a->reply->status = 0;
    return LW_OK;
}

static lw_code log_words(lw_asked *a, const message *m, lw_log_answer *said, lw_err *err)
{
    words *w = calloc(1, sizeof *w);
    lw_code code =
        w ? take_words(a, json_object_get(m->root, "words"), w, err) : lw_fail(err, LW_E_FULL, "not enough memory");
    if (!code && w)
        code = lw_logbook_log(a->book,
                              &(lw_log_line){.word = w->word,
                                             .count = w->count,
                                             .at_s = m->at_s,
                                             .now_s = a->ask->now_s,
                                             .device_s = a->ask->now_s - m->shift_s,
                                             .device = m->device,
                                             .id = &m->id},
                              said, err);
    free(w);
    return code;
}

static lw_code undo(lw_asked *a, const message *m, lw_log_answer *said, lw_err *err)
{
    const json_t *which = json_object_get(m->root, "undoes");
    lw_id id = {{0}};
    lw_code code = which && !json_is_null(which) ? lw_asked_id(a, m->root, "undoes", &id, err) : LW_OK;
    const lw_log_undo wish = {.which = lw_id_is_none(&id) ? NULL : &id, .device = m->device, .now_s = a->ask->now_s};
    return code ? code : lw_logbook_undo(a->book, &wish, said, err);
}

static lw_code take_and_do(lw_asked *a, const char *schema, do_fn *act, lw_err *err)
{
    static const char *const KEYS[] = {NULL};
    message m = {.root = NULL};
    lw_code code = lw_asked_want_params(a, KEYS, err);
    code = code ? code : take_message(a, &m, err);
    code = code ? code : do_once(a, &m, schema, act, err);
    json_decref(m.root);
    return code;
}

lw_code lw_ask_entries(lw_asked *a, lw_err *err)
{
    return take_and_do(a, "leeway.logged/1", log_words, err);
}

lw_code lw_ask_undo(lw_asked *a, lw_err *err)
{
    return take_and_do(a, "leeway.undone/1", undo, err);
}
