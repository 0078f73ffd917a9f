#include "service/log.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/amount.h"
#include "service/log_internal.h"
#include "service/people.h"
#include "service/spent.h"
#include "service/words.h"
#include "text/moment.h"
#include "text/quantity.h"
#include "text/say.h"

enum { LINE = 1024, PEOPLE_MOST = 20, SECONDS_OF_DAY = 86400 };

static const struct {
    const char *word;
    lw_log_kind kind;
    const char *thing; /* what it is of where nothing is named */
} VERBS[] = {
    {"filled", LW_LOG_FILLED, NULL},
    {"refuelled", LW_LOG_FILLED, "fuel"},
    {"refueled", LW_LOG_FILLED, "fuel"},
    {"dumped", LW_LOG_DUMPED, NULL},
    {"dropped", LW_LOG_DUMPED, "rubbish"},
    {"gave", LW_LOG_GAVE, NULL},
    {"received", LW_LOG_RECEIVED, NULL},
    {"sanitised", LW_LOG_SANITISED, "fresh"},
    {"sanitized", LW_LOG_SANITISED, "fresh"},
    {"people", LW_LOG_PEOPLE, NULL},
    {"moved", LW_LOG_MOVED, NULL},
    {"changed", LW_LOG_HABITS, "habits"},
    {"spent", LW_LOG_SPENT, NULL},
    {"paid", LW_LOG_SPENT, NULL},
};
enum { VERB_COUNT = sizeof VERBS / sizeof VERBS[0] };

const char *lw_log_verb(lw_log_kind kind)
{
#define LW_LOG_VERB(id, verb) verb,
    static const char *const VERB[] = {LW_LOG_KINDS(LW_LOG_VERB)};
#undef LW_LOG_VERB
    return (unsigned)kind < LW_LOG_KIND_COUNT ? VERB[kind] : "";
}

static int verb_of(const char *word)
{
    for (int i = 0; i < VERB_COUNT; i++)
        if (lw_log_same(word, strlen(word), VERBS[i].word))
            return i;
    return -1;
}

/* Words joined by blanks. 0: they do not fit. */
static int join(const char *const *words, int count, char *buf, size_t n)
{
    size_t used = 0;
    buf[0] = '\0';
    for (int i = 0; i < count; i++) {
        const int put = snprintf(buf + used, n - used, "%s%s", i ? " " : "", words[i]);
        if (put < 0 || (size_t)put >= n - used)
            return 0;
        used += (size_t)put;
    }
    return 1;
}

static lw_code add(lw_logged *to, const lw_log_record *record, lw_err *err)
{
    for (int i = 0; i < to->count; i++)
        if (to->record[i].vessel == record->vessel && to->record[i].also == record->also &&
            record->vessel != LW_LOG_NOTHING && strcmp(to->record[i].unit, record->unit) == 0)
            return lw_fail(err, LW_E_CONFLICT, "%s stands twice in one line", record->target);
    if (to->count == LW_LOG_RECORDS)
        return lw_fail(err, LW_E_FULL, "more than %d in one line", LW_LOG_RECORDS);
    to->record[to->count++] = *record;
    return LW_OK;
}

static lw_log_record new_record(const lw_loaded *rig, lw_log_kind kind, int64_t at_s, int vessel, const char *text)
{
    lw_log_record record = {.kind = kind,
                            .at_s = at_s,
                            .vessel = vessel,
                            .low = NAN,
                            .high = NAN,
                            .shown = NAN,
                            .shown_before = NAN,
                            .gauge = LW_GAUGES_EACH,
                            .amount = NAN};
    if (vessel != LW_LOG_NOTHING) {
        const lw_log_thing thing = lw_log_thing_of(rig, vessel);
        snprintf(record.target, sizeof record.target, "%s", thing.name);
        snprintf(record.unit, sizeof record.unit, "%s", thing.unit);
    }
    snprintf(record.text, sizeof record.text, "%.95s", text);
    return record;
}

static lw_code refuse_several(const lw_loaded *rig, const int *vessel, int count, const char *name, size_t n,
                              const char *why, lw_err *err)
{
    char list[200] = "";
    for (int i = 0; i < count; i++) {
        const size_t used = strlen(list);
        snprintf(list + used, sizeof list - used, "%s%s", i ? ", " : "", rig->scenario->rig.vessel[vessel[i]].name);
    }
    return lw_fail(err, LW_E_SYNTAX, "%s stands for several: %s; %s", lw_quoted(name, n).text, list, why);
}

/* ---- money ---- */

static lw_code read_spent(const char *text, lw_log_record *record, lw_err *err)
{
    lw_spent spent;
    const lw_code code = lw_spent_read(text, &spent, err);
    if (code)
        return code;
    record->amount = (double)spent.cents / 100.0;
    snprintf(record->unit, sizeof record->unit, "%s", lw_currency_word(spent.currency));
    snprintf(record->target, sizeof record->target, "%s", lw_expense_word(spent.kind));
    memcpy(record->party, spent.what, sizeof record->party);
    return LW_OK;
}

/* ---- readings ---- */

static lw_code read_reading(const lw_loaded *rig, int64_t at_s, const char *text, lw_logged *to, lw_err *err)
{
    const char *equals = strchr(text, '=');
    int vessel[LW_VESSELS], is_unknown;
    size_t n = (size_t)(equals - text);
    while (n && text[n - 1] == ' ')
        n--;
    if (lw_log_same(text, n, "spent") || lw_log_same(text, n, "paid")) {
        lw_log_record money = new_record(rig, LW_LOG_SPENT, at_s, LW_LOG_NOTHING, text);
        const lw_code code = read_spent(equals + 1, &money, err);
        return code ? code : add(to, &money, err);
    }
    uint32_t also = 0;
    const int is_all = lw_log_find_all(rig, text, n, vessel, &also);
    const int count = is_all ? 1 : lw_log_find(rig, text, n, vessel, err);
    if (count == 0)
        return err->code;
    if (count > 1) {
        char why[120];
        snprintf(why, sizeof why, "say which, or all %s=1/2 where one gauge shows them together",
                 lw_supply_word(rig->scenario->rig.vessel[vessel[0]].supply));
        return refuse_several(rig, vessel, count, text, n, why, err);
    }
    if (strlen(text) >= LW_LOG_TEXT)
        return lw_fail(err, LW_E_FULL, "%s is too long to be a reading", lw_quoted(text, strlen(text)).text);
    lw_log_record record = new_record(rig, LW_LOG_READING, at_s, vessel[0], text);
    if (also) {
        record.also = also;
        snprintf(record.target, sizeof record.target, "all %s",
                 lw_supply_word(rig->scenario->rig.vessel[vessel[0]].supply));
    }
    lw_code code = lw_log_value(rig, equals + 1, &record, &is_unknown, err);
    if (code)
        return code;
    if (!is_unknown)
        return add(to, &record, err);
    if (to->unknown_count == LW_LOG_RECORDS)
        return lw_fail(err, LW_E_FULL, "more than %d in one line", LW_LOG_RECORDS);
    snprintf(to->unknown[to->unknown_count++], LW_NAME, "%s", record.target);
    return LW_OK;
}

static lw_code read_readings(const lw_loaded *rig, int64_t at_s, const char *const *words, int count, lw_logged *to,
                             lw_err *err)
{
    char text[LINE];
    int first = 0;
    lw_code code = LW_OK;
    for (int i = 0; i < count && !code; i++) {
        if (!strchr(words[i], '='))
            continue;
        if (!join(words + first, i + 1 - first, text, sizeof text))
            return lw_fail(err, LW_E_FULL, "this line is too long");
        code = read_reading(rig, at_s, text, to, err);
        first = i + 1;
    }
    if (!code && first < count)
        code = lw_fail(err, LW_E_SYNTAX, "%s belongs to nothing; a value with a blank needs quotes: propane=\"14 lb\"",
                       lw_quoted(words[first], strlen(words[first])).text);
    return code;
}

/* ---- events ---- */

/* At most so many times what is taken for the capacity, where that is not sure. */
static const double UNSURE_HOLDS = 2.5;

static int is_amount_word(const char *word)
{
    return (word[0] >= '0' && word[0] <= '9') || word[0] == '.' || word[0] == '-' || word[0] == '+';
}

static lw_code read_amount(const lw_loaded *rig, const char *text, lw_log_record *record, lw_err *err)
{
    const lw_vessel *vessel = &rig->scenario->rig.vessel[record->vessel];
    char most[LW_QUANTITY_BYTES];
    const lw_code code = lw_amount_parse_n(text, strlen(text), vessel->supply, rig->bag_l, &record->amount, err);
    if (code)
        return code;
    if (!(record->amount > 0.0))
        return lw_fail(err, LW_E_RANGE, "%s does not fit; an amount is above zero", lw_quoted(text, strlen(text)).text);
    /* where nobody knows what it holds, more than the table's figure may go in */
    const double sure = rig->unsure[record->vessel].capacity_sd > 0.0 ? UNSURE_HOLDS : 1.0;
    if (record->amount > vessel->capacity * sure * (1.0 + 1e-9))
        return lw_fail(err, LW_E_RANGE, "%s is more than %s holds (%s)", lw_quoted(text, strlen(text)).text,
                       vessel->name, lw_amount_print(most, sizeof most, vessel->supply, vessel->capacity, rig->units));
    return LW_OK;
}

static lw_code want_kind_fits(const lw_loaded *rig, lw_log_kind kind, int vessel, lw_err *err)
{
    if (vessel < 0)
        return lw_fail(err, LW_E_CONFLICT, "%s cannot be %s",
                       vessel == LW_LOG_BATTERY ? "the battery" : "the generator",
                       kind == LW_LOG_GAVE ? "given" : lw_log_verb(kind));
    const lw_vessel *v = &rig->scenario->rig.vessel[vessel];
    const int fills = lw_supply_fills(v->supply);
    if (kind == LW_LOG_SANITISED)
        return v->supply == LW_SUPPLY_FRESH
                   ? LW_OK
                   : lw_fail(err, LW_E_CONFLICT, "%s is no fresh tank; what is sanitised is one", v->name);
    if (kind == LW_LOG_DUMPED && !fills)
        return lw_fail(err, LW_E_CONFLICT, "%s is not dumped; write filled, gave or what it shows now", v->name);
    if (kind != LW_LOG_DUMPED && fills)
        return lw_fail(err, LW_E_CONFLICT, "%s is not %s; write dumped, or dropped for rubbish", v->name,
                       kind == LW_LOG_GAVE ? "given" : lw_log_verb(kind));
    return LW_OK;
}

/* "all grey" is what "grey" is: every tank of it. */
static const char ALL[] = "all ";

static int is_all(const lw_loaded *rig, const char *name)
{
    int first;
    uint32_t also;
    return lw_log_find_all(rig, name, strlen(name), &first, &also);
}

static int is_thing(const lw_loaded *rig, const char *name)
{
    return lw_log_is_name(rig, name, strlen(name)) || is_all(rig, name);
}

/* How many words are names; behind them stands an amount, or nothing. A number may end a name ("tank 2"): where what follows
 * it is an amount itself, or the end. */
static int words_of_things(const lw_loaded *rig, const char *const *words, int count)
{
    char name[LINE];
    for (int i = 0; i < count; i++) {
        int is_part = !is_amount_word(words[i]);
        for (int from = 0; from < i && !is_part && (i + 1 == count || is_amount_word(words[i + 1])); from++)
            is_part = join(words + from, i + 1 - from, name, sizeof name) && is_thing(rig, name);
        if (!is_part)
            return i;
    }
    return count;
}

/* Things named one behind the other, the longest name that fits first: "kitchen grey black". */
static lw_code read_things(const lw_loaded *rig, const char *const *words, int count, int *vessel, int *found,
                           lw_err *err)
{
    char name[LINE];
    *found = 0;
    for (int at = 0; at < count;) {
        int some[LW_VESSELS], n = count - at, got = 0;
        for (; n > 1; n--)
            if (join(words + at, n, name, sizeof name) && is_thing(rig, name))
                break;
        if (!join(words + at, n, name, sizeof name))
            return lw_fail(err, LW_E_FULL, "this line is too long");
        const char *whole = is_all(rig, name) ? name + strlen(ALL) : name;
        got = lw_log_find(rig, whole, strlen(whole), some, err);
        if (got == 0)
            return err->code;
        for (int i = 0; i < got; i++) {
            if (*found == LW_VESSELS)
                return lw_fail(err, LW_E_FULL, "more than %d things in one line", LW_VESSELS);
            vessel[(*found)++] = some[i];
        }
        at += n;
    }
    return LW_OK;
}

static lw_code read_party(lw_log_kind kind, const char *const *words, int count, int *end, lw_log_record *record,
                          lw_err *err)
{
    const char *link = kind == LW_LOG_GAVE ? "to" : "from";
    char name[LINE];
    for (*end = 0; *end < count && !lw_log_same(words[*end], strlen(words[*end]), link);)
        (*end)++;
    if (*end + 1 >= count)
        return lw_fail(err, LW_E_MISSING, "say %s whom, such as %s 5 gal %s Marlow", link,
                       kind == LW_LOG_GAVE ? "gave fresh" : "received fuel", link);
    if (!join(words + *end + 1, count - *end - 1, name, sizeof name) || strlen(name) >= LW_NAME)
        return lw_fail(err, LW_E_FULL, "this name is too long; %d letters fit", LW_NAME - 1);
    snprintf(record->party, sizeof record->party, "%.31s", name);
    return LW_OK;
}

enum { BRIM_WORDS = 3 };

static int ends_in_brim(const char *const *words, int count)
{
    static const char *const BRIM[BRIM_WORDS] = {"to", "the", "brim"};
    for (int i = 0; i < BRIM_WORDS; i++) {
        const char *word = count >= BRIM_WORDS ? words[count - BRIM_WORDS + i] : "";
        if (!lw_log_same(word, strlen(word), BRIM[i]))
            return 0;
    }
    return 1;
}

/* filled, dumped, gave, received, sanitised */
static lw_code read_transfer(const lw_loaded *rig, int64_t at_s, int verb, const char *const *words, int count,
                             const char *line, lw_logged *to, lw_err *err)
{
    const lw_log_kind kind = VERBS[verb].kind;
    const int is_between = kind == LW_LOG_GAVE || kind == LW_LOG_RECEIVED;
    int vessel[LW_VESSELS], found, end = count;
    char amount[LINE] = "";
    lw_log_record about = {0};
    lw_code code = is_between ? read_party(kind, words, count, &end, &about, err) : LW_OK;
    if (code)
        return code;
    if (kind == LW_LOG_FILLED && ends_in_brim(words, end)) {
        about.is_brim = 1;
        end -= BRIM_WORDS;
    }
    const int things = words_of_things(rig, words, end);
    if (!join(words + things, end - things, amount, sizeof amount))
        return lw_fail(err, LW_E_FULL, "this line is too long");
    const char *usual = VERBS[verb].thing;
    if (things == 0 && !usual)
        return lw_fail(err, LW_E_MISSING, "say what was %s, such as %s",
                       kind == LW_LOG_GAVE ? "given" : lw_log_verb(kind),
                       kind == LW_LOG_FILLED   ? "filled fresh"
                       : kind == LW_LOG_DUMPED ? "dumped grey"
                       : kind == LW_LOG_GAVE   ? "gave fresh 5 gal to Marlow"
                                               : "received fuel 2 gal from Marlow");
    code = things == 0 ? read_things(rig, &usual, 1, vessel, &found, err)
                       : read_things(rig, words, things, vessel, &found, err);
    for (int i = 0; i < found && !code; i++)
        code = want_kind_fits(rig, kind, vessel[i], err);
    for (int i = 0; i < found && !code && usual && things > 0; i++)
        if (strcmp(lw_supply_word(rig->scenario->rig.vessel[vessel[i]].supply), usual) != 0)
            code = lw_fail(err, LW_E_CONFLICT, "%s is said of %s; for %s write %s", VERBS[verb].word, usual,
                           rig->scenario->rig.vessel[vessel[i]].name, kind == LW_LOG_FILLED ? "filled" : "dumped");
    if (code)
        return code;
    if (kind == LW_LOG_SANITISED && amount[0])
        return lw_fail(err, LW_E_SYNTAX, "a tank is sanitised as a whole; leave out %s",
                       lw_quoted(amount, strlen(amount)).text);
    if (is_between && !amount[0])
        return lw_fail(err, LW_E_MISSING, "say how much, such as 5 gal");
    if (amount[0] && found > 1) {
        const char *name = things == 0 ? usual : words[0];
        return refuse_several(rig, vessel, found, name, strlen(name), "an amount is of one, so say of which", err);
    }
    for (int i = 0; i < found && !code; i++) {
        lw_log_record record = new_record(rig, kind, at_s, vessel[i], line);
        memcpy(record.party, about.party, sizeof record.party);
        record.is_brim = about.is_brim && amount[0];
        if (amount[0])
            code = read_amount(rig, amount, &record, err);
        if (!code)
            code = add(to, &record, err);
    }
    return code;
}

static lw_code refuse_people(const char *word, lw_err *err)
{
    return lw_fail(err, LW_E_SYNTAX,
                   "people takes who came or left, such as people +2, people -1 child or people -Ada, each with until "
                   "2026-06-20 12:00; %s is none of it",
                   word ? lw_quoted(word, strlen(word)).text : "nothing");
}

static int being_of(const char *word, lw_being *being)
{
    static const struct {
        const char *word;
        lw_being being;
    } ROW[] = {{"adult", LW_BEING_ADULT}, {"adults", LW_BEING_ADULT}, {"teen", LW_BEING_TEEN},
               {"teens", LW_BEING_TEEN},  {"child", LW_BEING_CHILD},  {"children", LW_BEING_CHILD}};
    for (size_t i = 0; i < sizeof ROW / sizeof ROW[0]; i++)
        if (lw_log_same(word, strlen(word), ROW[i].word)) {
            *being = ROW[i].being;
            return 1;
        }
    return 0;
}

/* "until 2026-06-20 12:00": a day alone is its noon. */
static lw_code read_until(const lw_loaded *rig, int64_t at_s, const char *const *words, int count, int64_t *until_s,
                          lw_err *err)
{
    static const int32_t NOON_S = SECONDS_OF_DAY / 2;
    char text[LINE];
    lw_moment moment;
    if (count == 0 || !join(words, count, text, sizeof text))
        return lw_fail(err, LW_E_MISSING, "say until when, such as until 2026-06-20 12:00");
    const lw_code code = lw_moment_parse(text, &moment, err);
    if (code)
        return code;
    if (!moment.has_time)
        moment.second = NOON_S;
    *until_s = lw_moment_utc(&moment, &rig->zone);
    return *until_s > at_s ? LW_OK
                           : lw_fail(err, LW_E_RANGE, "until %s is not after they came or left",
                                     lw_quoted(text, strlen(text)).text);
}

/* "+2", "-Ada" into the record. */
static lw_code read_change(const lw_loaded *rig, const char *text, lw_log_record *record, lw_err *err)
{
    char *end = NULL;
    const int is_signed = text[0] == '+' || text[0] == '-';
    if (!is_signed || !text[1])
        return refuse_people(text, err);
    if (text[1] >= '0' && text[1] <= '9') {
        const long number = strtol(text, &end, 10);
        if (*end || number == 0 || number > PEOPLE_MOST || number < -PEOPLE_MOST)
            return refuse_people(text, err);
        record->people = (int)number;
        return LW_OK;
    }
    const int named = lw_person_named(rig, text + 1);
    const lw_quoted_text name = lw_quoted(text + 1, strlen(text + 1));
    if (named < 0 && text[0] == '-')
        return lw_fail(err, LW_E_MISSING, "there is no %s in your crew, or several begin so", name.text);
    if (strlen(text + 1) >= LW_NAME)
        return lw_fail(err, LW_E_FULL, "this name is too long; %d letters fit", LW_NAME - 1);
    record->people = text[0] == '+' ? 1 : -1;
    snprintf(record->party, sizeof record->party, "%.31s",
             named >= 0 ? rig->scenario->crew.person[named].name : text + 1);
    return LW_OK;
}

/* A name may be of several words: "-Aunt May". A number takes what kind it is of, which is no name. */
static int words_of_name(const char *const *words, int count)
{
    lw_being being;
    int n = 1;
    const char first = words[0][0] ? words[0][1] : '\0';
    const int is_number = first >= '0' && first <= '9';
    while (n < count && !is_number && words[n][0] != '+' && words[n][0] != '-' && !being_of(words[n], &being))
        n++;
    return n;
}

static lw_code read_people(const lw_loaded *rig, int64_t at_s, const char *const *words, int count, const char *line,
                           lw_logged *to, lw_err *err)
{
    int64_t until_s = 0;
    int changes = 0;
    char name[LINE];
    lw_code code = LW_OK;
    while (changes < count && !lw_log_same(words[changes], strlen(words[changes]), "until"))
        changes++;
    if (changes == 0)
        return refuse_people(count ? words[0] : NULL, err);
    if (changes < count)
        code = read_until(rig, at_s, words + changes + 1, count - changes - 1, &until_s, err);
    for (int i = 0; i < changes && !code; i++) {
        lw_log_record record = new_record(rig, LW_LOG_PEOPLE, at_s, LW_LOG_NOTHING, line);
        record.until_s = until_s;
        const int more = words_of_name(words + i, changes - i) - 1;
        if (!join(words + i, 1 + more, name, sizeof name))
            return lw_fail(err, LW_E_FULL, "this line is too long");
        code = read_change(rig, name, &record, err);
        i += more;
        if (!code && i + 1 < changes && !record.party[0] && being_of(words[i + 1], &record.being)) {
            record.is_kind_said = 1;
            i++;
        }
        code = code ? code : add(to, &record, err);
    }
    return code;
}

/* "Far Wash", "Far Wash at 38.57,-109.55,6000 ft" */
static lw_code read_moved(const char *const *words, int count, lw_log_record *record, lw_err *err)
{
    char name[LINE], where[LINE] = "";
    int end = 0;
    while (end < count && !lw_log_same(words[end], strlen(words[end]), "at"))
        end++;
    if (end == 0 || (end < count && end + 1 == count))
        return lw_fail(err, LW_E_MISSING, "say where to, such as moved Juniper Bench at 38.57,-109.55,6000 ft");
    if (!join(words, end, name, sizeof name) || strlen(name) >= LW_NAME)
        return lw_fail(err, LW_E_FULL, "this name is too long; %d letters fit", LW_NAME - 1);
    if (end < count && (!join(words + end + 1, count - end - 1, where, sizeof where) || strlen(where) >= LW_LOG_WHERE))
        return lw_fail(err, LW_E_FULL, "this is too long to say where a place is, such as 38.57,-109.55,6000 ft");
    snprintf(record->party, sizeof record->party, "%.31s", name);
    snprintf(record->where, sizeof record->where, "%.47s", where);
    return LW_OK;
}

static lw_code read_event(const lw_loaded *rig, int64_t at_s, const char *const *words, int count, lw_logged *to,
                          lw_err *err)
{
    char line[LINE];
    const char *turned[LINE / 2];
    int verb = verb_of(words[0]);
    if (!join(words, count, line, sizeof line) || strlen(line) >= LW_LOG_TEXT)
        return lw_fail(err, LW_E_FULL, "this line is too long; %d letters fit", LW_LOG_TEXT - 1);
    if (verb < 0) {
        /* "rubbish dropped": the verb stands last */
        verb = verb_of(words[count - 1]);
        for (int i = 0; i + 1 < count; i++)
            turned[i + 1] = words[i];
        turned[0] = words[count - 1];
        words = turned;
    }
    for (int i = 0; i < count; i++)
        if (strchr(words[i], '='))
            return lw_fail(err, LW_E_SYNTAX,
                           "%s is a reading; readings and an event are written each in a line of its own",
                           lw_quoted(words[i], strlen(words[i])).text);
    const lw_log_kind kind = VERBS[verb].kind;
    lw_log_record record = new_record(rig, kind, at_s, LW_LOG_NOTHING, line);
    lw_code code = LW_OK;
    switch (kind) {
    case LW_LOG_PEOPLE:
        return read_people(rig, at_s, words + 1, count - 1, line, to, err);
    case LW_LOG_MOVED:
        if (count < 2)
            return lw_fail(err, LW_E_MISSING, "say where to, such as moved Juniper Bench");
        code = read_moved(words + 1, count - 1, &record, err);
        break;
    case LW_LOG_SPENT:
        if (!join(words + 1, count - 1, line, sizeof line))
            return lw_fail(err, LW_E_FULL, "this line is too long");
        code = read_spent(line, &record, err);
        break;
    case LW_LOG_HABITS:
        if (count != 2 || !lw_log_same(words[1], strlen(words[1]), "habits"))
            return lw_fail(err, LW_E_SYNTAX, "what changed is written as habits changed");
        break;
    default:
        return read_transfer(rig, at_s, verb, words + 1, count - 1, line, to, err);
    }
    return code ? code : add(to, &record, err);
}

static lw_code refuse_start(const lw_loaded *rig, const char *word, lw_err *err)
{
    const char *names[VERB_COUNT];
    for (int i = 0; i < VERB_COUNT; i++)
        names[i] = VERBS[i].word;
    const char *near = lw_nearest(word, names, VERB_COUNT);
    const lw_quoted_text typed = lw_quoted(word, strlen(word));
    if (near)
        return lw_fail(err, LW_E_SYNTAX, "%s is neither a reading nor an event; did you mean %s?", typed.text, near);
    if (lw_log_is_name(rig, word, strlen(word)))
        return lw_fail(err, LW_E_SYNTAX, "%s says nothing yet; write what it shows: %.20s=1/2", typed.text, typed.text);
    return lw_fail(
        err, LW_E_SYNTAX,
        "%s is neither a reading (fresh=2/3) nor an event (filled, refuelled, dumped, dropped, gave, received, "
        "sanitised, people, moved, spent, habits changed)",
        typed.text);
}

lw_code lw_log_read(const lw_loaded *rig, int64_t at_s, const char *const *words, int count, lw_logged *logged,
                    lw_err *err)
{
    static const lw_logged NOTHING;
    lw_logged found = NOTHING;
    lw_code code;
    if (count < 1)
        return lw_fail(err, LW_E_MISSING,
                       "say what a gauge shows, such as fresh=2/3, or what happened, such as dumped grey");
    if (count >= LINE / 2)
        return lw_fail(err, LW_E_FULL, "this line is too long");
    const char *turned[LINE / 2 + 1] = {"people"};
    if (strncmp(words[0], "people=", 7) == 0) { /* as one writes a reading */
        memcpy(turned + 1, words, (size_t)count * sizeof *words);
        turned[1] += 7;
        words = turned;
        count++;
    }
    const int is_reading = strchr(words[0], '=') != NULL;
    if (!is_reading && (verb_of(words[0]) >= 0 || verb_of(words[count - 1]) >= 0)) {
        code = read_event(rig, at_s, words, count, &found, err);
    } else {
        int has_value = 0;
        for (int i = 0; i < count; i++)
            has_value |= strchr(words[i], '=') != NULL;
        code = has_value ? read_readings(rig, at_s, words, count, &found, err) : refuse_start(rig, words[0], err);
    }
    if (!code)
        *logged = found;
    return code;
}

/* ---- time ---- */

lw_code lw_log_time(const lw_zone *zone, const char *text, int64_t now_s, int64_t from_s, int64_t *at_s, int *is_twice,
                    lw_err *err)
{
    lw_moment moment = {0};
    lw_err unread = {0};
    int32_t second;
    char when[LW_WHEN];
    *is_twice = 0;
    if (!text) {
        *at_s = now_s;
        return LW_OK;
    }
    if (!lw_time_parse(text, &second, &unread)) {
        moment = (lw_moment){.day = lw_clock_at(zone, now_s).day, .second = second, .has_time = 1};
    } else {
        const lw_code code = lw_moment_parse(text, &moment, err);
        if (code)
            return code;
    }
    if (!moment.has_time)
        return lw_fail(err, LW_E_MISSING, "%s has no time of day; write %.10s 7:30", lw_quoted(text, strlen(text)).text,
                       text);
    const int64_t utc_s = lw_moment_utc(&moment, zone);
    const lw_shown shown = lw_moment_shown(&moment, zone);
    if (shown == LW_SHOWN_NEVER)
        return lw_fail(err, LW_E_RANGE, "%s does not exist in %.40s: the clock is put forward over it",
                       lw_quoted(text, strlen(text)).text, zone->name);
    if (utc_s > now_s)
        return lw_fail(err, LW_E_RANGE, "%s has not come yet; it is %s", lw_quoted(text, strlen(text)).text,
                       lw_when_print(when, sizeof when, zone, now_s, 0));
    if (utc_s < from_s)
        return lw_fail(err, LW_E_RANGE, "%s is before this stay began, %s", lw_quoted(text, strlen(text)).text,
                       lw_when_print(when, sizeof when, zone, from_s, 0));
    *is_twice = shown == LW_SHOWN_TWICE;
    *at_s = utc_s;
    return LW_OK;
}
