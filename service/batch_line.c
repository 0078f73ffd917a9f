/* The answer to one line of a batch: no threads, no input, no output. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "service/batch.h"
#include "service/outlook_json.h"
#include "text/say.h"

/* Digits of a JSON number handed to the reader of scenarios: those that a decimal of a person keeps in a double. */
enum { SCENARIO_DIGITS = 15 };

typedef struct asked {
    json_t *root;           /* of the line */
    const json_t *scenario; /* in it */
    const char *id;         /* in the line's bytes; NULL: none */
    size_t id_n;
    const char *change[LW_BATCH_CHANGES];
    int change_count;
} asked;

/* ---- the line ---- */

static int is_blank(const char *text, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (!strchr(" \t\r", text[i]) || text[i] == '\0')
            return 0;
    return 1;
}

static lw_code refuse_form(const json_error_t *why, size_t size, lw_err *err)
{
    switch (json_error_code(why)) {
    case json_error_duplicate_key:
        return lw_fail(err, LW_E_CONFLICT, "a key stands twice in one object, near byte %d; keep one", why->position);
    case json_error_premature_end_of_input:
        return lw_fail(err, LW_E_SYNTAX, "the JSON is cut: the line ends after %zu bytes, before it is closed", size);
    case json_error_invalid_utf8:
        return lw_fail(err, LW_E_SYNTAX, "bytes that are no UTF-8, near byte %d", why->position);
    case json_error_null_byte_in_key:
    case json_error_null_character:
        return lw_fail(err, LW_E_SYNTAX, "a text holds a NUL character, near byte %d", why->position);
    case json_error_numeric_overflow:
        return lw_fail(err, LW_E_RANGE, "a number too large, near byte %d; put it in quotes", why->position);
    case json_error_stack_overflow:
        return lw_fail(err, LW_E_FULL, "the JSON is nested too deep, near byte %d", why->position);
    case json_error_end_of_input_expected:
        return lw_fail(err, LW_E_SYNTAX, "more stands behind the end of the JSON, at byte %d; one object a line",
                       why->position);
    case json_error_out_of_memory:
        return lw_fail(err, LW_E_FULL, "there is not enough memory to read this line");
    default:
        return lw_fail(err, LW_E_SYNTAX, "this is no JSON, near byte %d; one object a line, its names in double quotes",
                       why->position);
    }
}

static lw_code parse(const lw_batch_line *line, asked *a, lw_err *err)
{
    json_error_t why;
    if (!line->bytes)
        return lw_fail(err, LW_E_FULL, "the line is longer than %d bytes", LW_BATCH_LINE_BYTES);
    if (is_blank(line->bytes, line->size))
        return lw_fail(err, LW_E_MISSING, "the line is empty; a scenario as one JSON object belongs here");
    a->root = json_loadb(line->bytes, line->size, JSON_REJECT_DUPLICATES | JSON_DECODE_ANY, &why);
    if (!a->root)
        return refuse_form(&why, line->size, err);
    if (!json_is_object(a->root))
        return lw_fail(err, LW_E_SYNTAX, "this is JSON, but no object: {\"leeway\": 1, ...} belongs here");
    return LW_OK;
}

/* Past the JSON value at `at`, which was found sound: only quotes and brackets count. */
static const char *past_value(const char *at, const char *end)
{
    int depth = 0;
    for (; at < end; at++) {
        if (*at == '"')
            for (at++; at < end && *at != '"'; at++)
                at += *at == '\\';
        else if (*at == '{' || *at == '[')
            depth++;
        else if (depth == 0 && strchr(",}]", *at))
            return at;
        else if (*at == '}' || *at == ']')
            depth--;
    }
    return end;
}

static const char *past_blanks(const char *at, const char *end)
{
    while (at < end && strchr(" \t\r\n", *at))
        at++;
    return at;
}

/* The id as it stands in the line: numbers printed anew would lose digits. A key written with escapes is not found. */
static void find_id(const lw_batch_line *line, asked *a)
{
    const char *end = line->bytes + line->size, *at = past_blanks(line->bytes, end) + 1;
    while (at < end) {
        const char *key = past_blanks(at, end), *colon = key + 1;
        while (colon < end && *colon != '"')
            colon += *colon == '\\' ? 2 : 1;
        const char *value = past_blanks(past_blanks(colon + 1, end) + 1, end);
        if (value >= end)
            return;
        const char *stop = past_value(value, end);
        if (colon - key == 3 && memcmp(key, "\"id", 3) == 0) {
            while (stop > value && strchr(" \t\r\n", stop[-1]))
                stop--;
            a->id = value;
            a->id_n = (size_t)(stop - value);
            return;
        }
        at = stop + 1;
    }
}

static lw_code take_changes(const json_t *list, asked *a, lw_err *err)
{
    if (!json_is_array(list))
        return lw_fail(err, LW_E_SYNTAX, "change is no list; write \"change\": [\"rig.solar=400 W\"]");
    const size_t count = json_array_size(list);
    if (count > LW_BATCH_CHANGES)
        return lw_fail(err, LW_E_FULL, "%zu changes; a line has at most %d", count, LW_BATCH_CHANGES);
    for (size_t i = 0; i < count; i++) {
        const char *text = json_string_value(json_array_get(list, i));
        if (!text)
            return lw_fail(err, LW_E_SYNTAX, "change %zu is no text; write \"rig.solar=400 W\"", i + 1);
        if (!strchr(text, '=') || text[0] == '=')
            return lw_fail(err, LW_E_SYNTAX, "change %zu, %s, is not of the form KEY=VALUE, such as rig.solar=400 W",
                           i + 1, lw_quoted(text, strlen(text)).text);
        a->change[a->change_count++] = text;
    }
    return LW_OK;
}

/* A scenario has no key of these names, so "scenario" tells the two forms apart; with only an id or changes, it is missing. */
static lw_code take_form(const lw_batch_line *line, asked *a, lw_err *err)
{
    static const char *const KEYS[] = {"id", "scenario", "change"};
    const json_t *scenario = json_object_get(a->root, "scenario"), *change = json_object_get(a->root, "change");
    if (json_object_get(a->root, "id"))
        find_id(line, a);
    if (!scenario && !change && !json_object_get(a->root, "id")) {
        a->scenario = a->root;
        return LW_OK;
    }
    const char *key;
    json_t *value;
    json_object_foreach(a->root, key, value)
    {
        if (strcmp(key, KEYS[0]) == 0 || strcmp(key, KEYS[1]) == 0 || strcmp(key, KEYS[2]) == 0)
            continue;
        const lw_quoted_text quoted = lw_quoted(key, strlen(key));
        const char *near = lw_nearest(key, KEYS, sizeof KEYS / sizeof KEYS[0]);
        if (near)
            return lw_fail(err, LW_E_SYNTAX, "%s does not belong beside id, scenario and change; did you mean %s?",
                           quoted.text, near);
        return lw_fail(err, LW_E_SYNTAX, "%s does not belong beside id, scenario and change; put it into scenario",
                       quoted.text);
    }
    if (!scenario)
        return lw_fail(err, LW_E_MISSING, "there is no scenario beside id or change; write \"scenario\": {...}");
    if (!json_is_object(scenario))
        return lw_fail(err, LW_E_SYNTAX, "scenario is no object; write \"scenario\": {\"leeway\": 1, ...}");
    a->scenario = scenario;
    return change ? take_changes(change, a, err) : LW_OK;
}

/* ---- its outlook ---- */

typedef struct watch {
    const lw_batch_wish *wish;
} watch;

static int goes_on(void *with, int done, int of)
{
    const lw_batch_wish *wish = ((const watch *)with)->wish;
    (void)done;
    (void)of;
    return !wish->is_stopped || !wish->is_stopped(wish->with);
}

/* The scenario is printed anew for its reader, since YAML does not know all of JSON's escapes. */
static lw_code look_out(const asked *a, const char *name, int64_t now_s, const lw_batch_wish *wish, char **outlook,
                        lw_err *err)
{
    char *text = json_dumps(a->scenario, JSON_COMPACT | JSON_REAL_PRECISION(SCENARIO_DIGITS));
    if (!text)
        return lw_fail(err, LW_E_FULL, "there is not enough memory to read this line");
    watch w = {.wish = wish};
    const lw_outlook_request request = {
        .from = {.path = name,
                 .bytes = text,
                 .size = strlen(text),
                 .change = a->change,
                 .change_count = a->change_count,
                 .now_s = now_s},
        .draws = {.draws = wish->draws, .seed = wish->seed, .threads = 1, .progress = goes_on, .with = &w},
    };
    lw_outlook_answer answer = {0};
    lw_code code = lw_outlook_run(&request, &answer, err);
    if (!code)
        code = lw_outlook_json(&answer,
                               &(lw_json_options){.choice = {.units = answer.loaded.units},
                                                  .wants_assumptions = wish->wants_assumptions,
                                                  .is_compact = 1,
                                                  .version = wish->version},
                               outlook, err);
    lw_outlook_answer_clear(&answer);
    free(text);
    return code;
}

/* ---- the answer ---- */

/* The name of the line stands in front of every place, and the line within the line says nothing: "line 7 rig.solar". */
static void say_place(const char *name, lw_err *err)
{
    char place[sizeof err->where];
    const size_t n = strlen(name);
    const char *rest = strncmp(err->where, name, n) == 0 ? err->where + n : err->where;
    if (strncmp(rest, ":1", 2) == 0 && (rest[2] == ' ' || rest[2] == '\0'))
        rest += 2;
    rest += strspn(rest, " ");
    snprintf(place, sizeof place, "%s%s%.90s", name, rest[0] ? " " : "", rest);
    memcpy(err->where, place, sizeof place);
}

/* {"schema": .., "line": .., "id": .., KEY: BODY}, where the body comes with its line feed. */
static char *wrapped(int64_t number, const asked *a, const char *key, const char *body)
{
    char head[96], middle[32];
    const size_t id_n = a->id ? a->id_n : 4, body_n = strcspn(body, "\n");
    const size_t head_n =
        (size_t)snprintf(head, sizeof head, "{\"schema\":\"leeway.batch/1\",\"line\":%lld,\"id\":", (long long)number);
    const size_t middle_n = (size_t)snprintf(middle, sizeof middle, ",\"%s\":", key);
    char *text = malloc(head_n + id_n + middle_n + body_n + 3), *at = text;
    if (!text)
        return NULL;
    memcpy(at, head, head_n);
    at += head_n;
    memcpy(at, a->id ? a->id : "null", id_n);
    for (size_t i = 0; i < id_n; i++) /* a blank between its parts, but to some readers the end of a line */
        at[i] = at[i] == '\r' ? ' ' : at[i];
    at += id_n;
    memcpy(at, middle, middle_n);
    at += middle_n;
    memcpy(at, body, body_n);
    memcpy(at + body_n, "}\n", 3);
    return text;
}

/* Some programs put a byte order mark in front of the first line. */
static lw_batch_line without_mark(const lw_batch_line *line)
{
    static const char MARK[] = "\xEF\xBB\xBF";
    lw_batch_line plain = *line;
    if (plain.number == 1 && plain.bytes && plain.size >= 3 && memcmp(plain.bytes, MARK, 3) == 0) {
        plain.bytes += 3;
        plain.size -= 3;
    }
    return plain;
}

char *lw_batch_answer(const lw_batch_line *line, const lw_batch_wish *wish)
{
    const lw_batch_line plain = without_mark(line);
    asked a = {.root = NULL};
    lw_err err = {0};
    char name[32], *body = NULL;
    snprintf(name, sizeof name, "line %lld", (long long)line->number);
    lw_code code = parse(&plain, &a, &err);
    if (!code)
        code = take_form(&plain, &a, &err);
    if (!code)
        code = look_out(&a, name, line->now_s, wish, &body, &err);
    if (code) {
        say_place(name, &err);
        body = lw_err_json(&err, 1);
    }
    char *text = body ? wrapped(line->number, &a, code ? "error" : "outlook", body) : NULL;
    free(body);
    json_decref(a.root);
    return text;
}
