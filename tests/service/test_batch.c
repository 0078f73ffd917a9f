/* Lines in, answers out: their order, their bytes on any number of threads, what is said of bad ones, limits. */
#include "service/batch.h"

#include <jansson.h>
#include <pthread.h>
#include <sched.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "service/outlook.h"
#include "service/outlook_json.h"
#include "tests/check.h"

#define CAMP                                                                                                           \
    "{\"leeway\": 1, \"rig\": \"van\", \"crew\": \"2 adults\", \"place\": {\"latitude\": \"38.2 N\", \"longitude\": "  \
    "\"111.1 W\", \"zone\": \"America/Denver\"}, \"stay\": {\"arrive\": \"2026-06-08 15:00\"}}"

/* ---- one line ---- */

static char *answer_to(const char *text)
{
    const lw_batch_line line = {.number = 7, .bytes = text, .size = strlen(text)};
    char *answer = lw_batch_answer(&line, &(lw_batch_wish){.draws = 1, .seed = 1, .version = "0.1.0"});
    assert_non_null(answer);
    return answer;
}

static json_t *decoded(const char *text)
{
    json_error_t error;
    json_t *root = json_loads(text, JSON_REJECT_DUPLICATES, &error);
    if (!root)
        fail_msg("column %d: %s in %.200s", error.column, error.text, text);
    return root;
}

static const char *said(const json_t *root, const char *key)
{
    const char *text = json_string_value(json_object_get(json_object_get(root, "error"), key));
    return text ? text : "(no error)";
}

static void a_line_is_answered_as_the_outlook_of_its_scenario(void **state)
{
    (void)state;
    lw_outlook_answer answer = {0};
    lw_err err = {0};
    char *want = NULL,
         *got = answer_to("{\"id\": 3, \"scenario\": " CAMP ", \"change\": [\"crew=3 adults\", \"units=si\"]}");
    const char *const change[] = {"crew=3 adults", "units=si"};
    const lw_outlook_request request = {
        .from = {.path = "line 7", .bytes = CAMP, .size = strlen(CAMP), .change = change, .change_count = 2},
        .draws = {.draws = 1, .seed = 1}};
    assert_int_equal(lw_outlook_run(&request, &answer, &err), LW_OK);
    const lw_json_options options = {.choice = {.units = LW_UNITS_SI}, .is_compact = 1, .version = "0.1.0"};
    assert_int_equal(lw_outlook_json(&answer, &options, &want, &err), LW_OK);
    static const char HEAD[] = "{\"schema\":\"leeway.batch/1\",\"line\":7,\"id\":3,\"outlook\":";
    const size_t n = strlen(want) - 1;
    assert_memory_equal(got, HEAD, sizeof HEAD - 1);
    assert_memory_equal(got + sizeof HEAD - 1, want, n);
    assert_string_equal(got + sizeof HEAD - 1 + n, "}\n");
    free(want);
    free(got);
    lw_outlook_answer_clear(&answer);
}

static void a_bare_scenario_and_a_wrapped_one_give_the_same_outlook(void **state)
{
    (void)state;
    char *bare = answer_to(CAMP), *wrapped = answer_to("{\"scenario\":" CAMP "}\r");
    assert_string_equal(bare, wrapped);
    free(bare);
    free(wrapped);
}

static void an_id_comes_back_byte_for_byte(void **state)
{
    (void)state;
    static const char *const ID[] = {
        "1",
        "\"a\"",
        "null",
        "0.1000000000000000055511",
        "{\"b\" : [1, \"},]\\\"\", {}], \"id\": 2}",
        "[[],[[]], {}]",
        "\"\\u00e9\\ud83d\\ude00 caf\xC3\xA9 \\\\\"",
        "true",
        "-0",
    };
    for (size_t i = 0; i < COUNT_OF(ID); i++) {
        char line[256], want[256];
        for (int is_last = 0; is_last < 2; is_last++) {
            snprintf(line, sizeof line,
                     is_last ? "{\"scenario\" :{\"a\\\"id\":[1,{}]} ,\"id\" : %s }" : " { \"id\":%s, \"scenario\":{} }",
                     ID[i]);
            snprintf(want, sizeof want, "{\"schema\":\"leeway.batch/1\",\"line\":7,\"id\":%s,\"error\":", ID[i]);
            char *got = answer_to(line);
            if (strncmp(got, want, strlen(want)) != 0)
                fail_msg("%s\n gives %s\n want %s", line, got, want);
            json_decref(decoded(got));
            free(got);
        }
    }
}

static void what_json_alone_can_write_reaches_the_scenario(void **state)
{
    (void)state;
    char *got = answer_to("{\"leeway\": 1, \"rig\": \"van\", \"crew\": \"2 adults\", \"place\": {\"name\": "
                          "\"A\\/B \\ud83d\\ude00 \\u00e9\", \"latitude\": \"38.2 N\", \"longitude\": \"111.1 W\"}, "
                          "\"stay\": {\"arrive\": \"2026-06-08 15:00\"}}");
    json_t *root = decoded(got);
    const json_t *place = json_object_get(json_object_get(root, "outlook"), "place");
    assert_string_equal(json_string_value(json_object_get(place, "name")), "A/B \xF0\x9F\x98\x80 \xC3\xA9");
    json_decref(root);
    free(got);
}

/* A bad line, the place and a part of the sentence. */
static const struct {
    const char *line, *where, *text;
} BAD[] = {
    {"", "line 7", "the line is empty"},
    {" \t\r", "line 7", "the line is empty"},
    {"{", "line 7", "the JSON is cut"},
    {"{\"leeway\": 1", "line 7", "the JSON is cut"},
    {"leeway: 1", "line 7", "this is no JSON, near byte"},
    {"{'leeway': 1}", "line 7", "its names in double quotes"},
    {"[1, 2]", "line 7", "this is JSON, but no object"},
    {"42", "line 7", "this is JSON, but no object"},
    {CAMP CAMP, "line 7", "more stands behind the end of the JSON"},
    {"{\"leeway\": 1, \"leeway\": 1}", "line 7", "a key stands twice in one object"},
    {"{\"id\": \"\xFF\"}", "line 7", "bytes that are no UTF-8"},
    {"{\"id\": 123456789012345678901234567890}", "line 7", "a number too large"},
    {"{\"id\": \"a\\u0000b\"}", "line 7", "a text holds a NUL character"},
    {"{}", "line 7", "leeway"},
    {"{\"id\": 1}", "line 7", "there is no scenario beside id or change"},
    {"{\"scenario\": 5}", "line 7", "scenario is no object"},
    {"{\"scenario\": {}, \"changes\": []}", "line 7", "did you mean change?"},
    {"{\"scenario\": {}, \"rig\": \"van\"}", "line 7", "rig does not belong beside id, scenario and change"},
    {"{\"scenario\": {}, \"change\": \"a=b\"}", "line 7", "change is no list"},
    {"{\"scenario\": {}, \"change\": [\"a=b\", 2]}", "line 7", "change 2 is no text"},
    {"{\"scenario\": {}, \"change\": [\"rig\"]}", "line 7", "change 1, rig, is not of the form KEY=VALUE"},
    {"{\"leeway\": 2}", "line 7 leeway", "2"},
    {"{\"leeway\": 1, \"rgi\": \"van\"}", "line 7 rgi", "did you mean rig?"},
    {"{\"leeway\": 1, \"rig\": \"balloon\"}", "line 7 rig", "balloon is no kind of rig"},
    {"{\"scenario\": " CAMP ", \"change\": [\"rig.battery.floor=10\"]}", "line 7 rig.battery.floor=10", "10"},
    {"{\"scenario\": " CAMP ", \"change\": [\"stay.leave=2026-06-01\"]}", "line 7 stay.leave",
     "the departure is not after the arrival"},
    {"{\"scenario\": " CAMP ", \"change\": [\"weather={file: nowhere.epw}\"]}", "line 7 weather", "nowhere.epw"},
};

static void bad_lines_each_get_a_sentence_of_their_own(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT_OF(BAD); i++) {
        char *got = answer_to(BAD[i].line);
        json_t *root = decoded(got);
        if (strncmp(said(root, "where"), BAD[i].where, strlen(BAD[i].where)) != 0 ||
            !strstr(said(root, "text"), BAD[i].text))
            fail_msg("%s\n gives %s\n want %s: %s", BAD[i].line, got, BAD[i].where, BAD[i].text);
        assert_ptr_equal(strchr(got, '\n'), got + strlen(got) - 1);
        json_decref(root);
        free(got);
    }
}

static void depth_and_the_number_of_changes_have_limits(void **state)
{
    (void)state;
    enum { DEEP = 100000, MANY = LW_BATCH_CHANGES + 1 };
    char *line = malloc(DEEP + 16);
    assert_non_null(line);
    memset(line, '[', DEEP);
    line[DEEP] = '\0';
    char *got = answer_to(line);
    assert_non_null(strstr(got, "nested too deep"));
    free(got);
    strcpy(line, "{\"scenario\":{},\"change\":[");
    for (int i = 0; i < MANY; i++)
        strcat(line, i ? ",\"a=b\"" : "\"a=b\"");
    strcat(line, "]}");
    got = answer_to(line);
    assert_non_null(strstr(got, "65 changes; a line has at most 64"));
    free(got);
    free(line);
}

/* ---- many lines ---- */

typedef struct memory {
    const char *bytes; /* still to read */
    size_t left, step; /* of `left`, handed out `step` at a time */
    char *text;        /* written */
    size_t used, room;
    int refuse_after; /* lines; -1: never */
    lw_written refusal;
    int writes;
    atomic_int inside, overlaps; /* writers at a time */
    atomic_int *is_stopped;
    int stop_after; /* lines written; -1: never */
} memory;

static long get(void *from, char *buf, size_t n)
{
    memory *m = from;
    const size_t most = m->step < n ? m->step : n, count = m->left < most ? m->left : most;
    memcpy(buf, m->bytes, count);
    m->bytes += count;
    m->left -= count;
    return (long)count;
}

static long get_nothing(void *from, char *buf, size_t n)
{
    (void)from;
    (void)buf;
    (void)n;
    return -1;
}

static lw_written put(void *to, const char *bytes, size_t n)
{
    memory *m = to;
    if (m->writes == m->refuse_after)
        return m->refusal;
    atomic_fetch_add(&m->overlaps, atomic_fetch_add(&m->inside, 1));
    (void)sched_yield();
    atomic_fetch_sub(&m->inside, 1);
    m->writes++;
    if (m->writes == m->stop_after)
        atomic_store(m->is_stopped, 1);
    if (m->used + n + 1 > m->room) {
        m->room = 2 * (m->used + n + 1);
        m->text = realloc(m->text, m->room);
        assert_non_null(m->text);
    }
    memcpy(m->text + m->used, bytes, n);
    m->used += n;
    m->text[m->used] = '\0';
    return LW_WRITTEN;
}

static int asks_flag(void *with)
{
    return atomic_load((atomic_int *)with);
}

static lw_code run_all(memory *m, int threads, int draws, lw_err *err)
{
    const lw_batch_wish wish = {.draws = draws,
                                .seed = 5,
                                .threads = threads,
                                .is_stopped = m->is_stopped ? asks_flag : NULL,
                                .with = m->is_stopped};
    return lw_batch_run(&wish, &(lw_batch_ends){.read = get, .from = m, .write = put, .to = m}, err);
}

/* Answers to a text, the caller's. */
static char *answers_to(const char *text, size_t n, size_t step, int threads)
{
    memory m = {.bytes = text, .left = n, .step = step, .refuse_after = -1, .stop_after = -1};
    lw_err err = {0};
    if (run_all(&m, threads, 40, &err))
        fail_msg("%s: %s", err.where, err.text);
    assert_int_equal(m.overlaps, 0);
    return m.text ? m.text : calloc(1, 1);
}

/* Every third line needs a thousand times the work of the others, so that on several threads they end out of order. */
static char *mixed_lines(int count)
{
    char *text = malloc((size_t)count * 600 + 1);
    assert_non_null(text);
    size_t n = 0;
    for (int i = 0; i < count; i++)
        if (i % 3 == 0)
            n += (size_t)sprintf(text + n, "{\"id\":%d,\"scenario\":" CAMP "}\n", i);
        else
            n += (size_t)sprintf(text + n, i % 3 == 1 ? "{\"id\":%d}\n" : "bad %d\n", i);
    return text;
}

static void answers_keep_the_order_of_lines_of_very_different_cost(void **state)
{
    (void)state;
    enum { LINES = 90 };
    char *text = mixed_lines(LINES), *got = answers_to(text, strlen(text), 1000, 8), *at = got;
    for (int i = 0; i < LINES; i++) {
        char *end = strchr(at, '\n');
        if (!end)
            fail_msg("only %d of %d lines are answered", i, LINES);
        *end = '\0';
        json_t *root = decoded(at);
        assert_int_equal(json_integer_value(json_object_get(root, "line")), i + 1);
        assert_int_equal(json_object_get(root, "outlook") != NULL, i % 3 == 0);
        assert_int_equal(json_object_get(root, "error") != NULL, i % 3 != 0);
        if (i % 3 < 2)
            assert_int_equal(json_integer_value(json_object_get(root, "id")), i);
        json_decref(root);
        at = end + 1;
    }
    assert_int_equal(*at, '\0');
    free(text);
    free(got);
}

static void one_thread_and_eight_give_the_same_bytes(void **state)
{
    (void)state;
    char *text = mixed_lines(60), *one = answers_to(text, strlen(text), 65536, 1);
    char *eight = answers_to(text, strlen(text), 7, 8);
    assert_string_equal(one, eight);
    free(text);
    free(one);
    free(eight);
}

static int lines_in(const char *text)
{
    int count = 0;
    for (; *text; text++)
        count += *text == '\n';
    return count;
}

static void every_line_is_answered_once_however_it_ends(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int answers;
    } row[] = {{"", 0},     {"\n", 1},       {"x", 1},      {"x\n", 1},
               {"x\ny", 2}, {"x\n\ny\n", 3}, {"\n\n\n", 3}, {"x\r\ny\r\n", 2}};
    for (size_t i = 0; i < COUNT_OF(row); i++)
        for (size_t step = 1; step < 4; step++) {
            char *got = answers_to(row[i].text, strlen(row[i].text), step, 2);
            assert_int_equal(lines_in(got), row[i].answers);
            free(got);
        }
}

static void a_byte_order_mark_is_passed_over_in_front_only(void **state)
{
    (void)state;
    static const char TEXT[] = "\xEF\xBB\xBF" CAMP "\n\xEF\xBB\xBF" CAMP "\n";
    char *got = answers_to(TEXT, sizeof TEXT - 1, 100, 2);
    const char *second = strchr(got, '\n');
    assert_non_null(second);
    assert_non_null(strstr(got, "\"outlook\":"));
    assert_null(strstr(second, "\"outlook\":"));
    free(got);
}

static void a_line_too_long_is_refused_and_the_next_is_answered(void **state)
{
    (void)state;
    const size_t most = LW_BATCH_LINE_BYTES;
    char *text = malloc(3 * most);
    assert_non_null(text);
    memset(text, ' ', 3 * most);
    memcpy(text + 10, "{\"id\":1}", 8); /* as long as may be */
    text[most] = '\n';
    memcpy(text + most + 11, "{\"id\":2}", 8); /* a byte longer */
    text[2 * most + 2] = '\n';
    memcpy(text + 2 * most + 3, "{\"id\":3}\n", 9);
    char *got = answers_to(text, 2 * most + 12, 65536, 2);
    assert_int_equal(lines_in(got), 3);
    assert_non_null(strstr(got, "\"line\":1,\"id\":1,"));
    assert_non_null(strstr(got, "\"line\":2,\"id\":null,\"error\":{\"schema\":\"leeway.error/1\",\"code\":\"full\","
                                "\"where\":\"line 2\",\"text\":\"the line is longer than 1048576 bytes\"}}\n"));
    assert_non_null(strstr(got, "\"line\":3,\"id\":3,"));
    free(got);
    free(text);
}

static void a_receiver_that_refuses_ends_the_run(void **state)
{
    (void)state;
    static const lw_written REFUSAL[] = {LW_WRITE_CLOSED, LW_WRITE_REFUSED};
    char *text = mixed_lines(300);
    for (size_t i = 0; i < COUNT_OF(REFUSAL); i++) {
        memory m = {.bytes = text,
                    .left = strlen(text),
                    .step = 100,
                    .refuse_after = 4,
                    .refusal = REFUSAL[i],
                    .stop_after = -1};
        lw_err err = {0};
        const lw_code code = run_all(&m, 4, 1, &err);
        assert_int_equal(code, REFUSAL[i] == LW_WRITE_CLOSED ? LW_OK : LW_E_IO);
        assert_int_equal(lines_in(m.text), 4);
        assert_true(m.left > 0); /* the rest was not even read */
        free(m.text);
    }
    free(text);
}

static void a_stopped_run_ends_behind_a_whole_answer(void **state)
{
    (void)state;
    char *text = mixed_lines(300);
    atomic_int is_stopped = 0;
    memory m = {.bytes = text,
                .left = strlen(text),
                .step = 100,
                .refuse_after = -1,
                .is_stopped = &is_stopped,
                .stop_after = 5};
    lw_err err = {0};
    assert_int_equal(run_all(&m, 4, 1, &err), LW_OK);
    assert_true(m.writes >= 5 && m.writes < 300);
    assert_int_equal(lines_in(m.text), m.writes);
    assert_int_equal(m.text[m.used - 1], '\n');
    assert_null(strstr(m.text, "memory")); /* what was given up is not answered */
    assert_true(m.left > 0);
    free(m.text);
    free(text);
}

static void a_failed_read_is_said(void **state)
{
    (void)state;
    memory m = {.refuse_after = -1, .stop_after = -1};
    lw_err err = {0};
    const lw_batch_ends ends = {.read = get_nothing, .from = &m, .write = put, .to = &m};
    assert_int_equal(lw_batch_run(&(lw_batch_wish){.draws = 1, .threads = 1}, &ends, &err), LW_E_IO);
    assert_string_equal(err.text, "the system refused to read on");
}

/* Reads a line only when the one before is answered, as a program does that writes a line and waits. */
typedef struct talk {
    pthread_mutex_t lock;
    pthread_cond_t answered;
    int asked, answers;
} talk;

static long ask(void *from, char *buf, size_t n)
{
    static const char LINE[] = "{\"id\":1}\n";
    talk *t = from;
    assert_true(n >= sizeof LINE);
    pthread_mutex_lock(&t->lock);
    while (t->answers < t->asked)
        pthread_cond_wait(&t->answered, &t->lock);
    const int is_end = t->asked++ == 5;
    pthread_mutex_unlock(&t->lock);
    memcpy(buf, LINE, sizeof LINE - 1);
    return is_end ? 0 : (long)sizeof LINE - 1;
}

static lw_written hear(void *to, const char *bytes, size_t n)
{
    talk *t = to;
    pthread_mutex_lock(&t->lock);
    t->answers += bytes[n - 1] == '\n';
    pthread_cond_signal(&t->answered);
    pthread_mutex_unlock(&t->lock);
    return LW_WRITTEN;
}

static void an_answer_comes_before_the_next_line_is_read(void **state)
{
    (void)state;
    talk t = {.lock = PTHREAD_MUTEX_INITIALIZER, .answered = PTHREAD_COND_INITIALIZER};
    lw_err err = {0};
    const lw_batch_ends ends = {.read = ask, .from = &t, .write = hear, .to = &t};
    assert_int_equal(lw_batch_run(&(lw_batch_wish){.draws = 1, .threads = 3}, &ends, &err), LW_OK);
    assert_int_equal(t.answers, 5);
}

/* ---- the form ---- */

static void hold_to(const char *schema, const char *folder, const char *ending)
{
    char command[256];
    snprintf(command, sizeof command, "python3 tests/service/check_schema.py %s %s/*.%s", schema, folder, ending);
    const int status = system(command);
    if (WIFEXITED(status) && WEXITSTATUS(status) == 77)
        return;
    assert_int_equal(status, 0);
}

static void put_file(const char *folder, size_t number, const char *ending, const char *text)
{
    char path[64];
    snprintf(path, sizeof path, "%s/%zu.%s", folder, number, ending);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fputs(text, file);
    fclose(file);
}

static void answers_fit_their_schema(void **state)
{
    (void)state;
    char folder[] = "/tmp/leeway-batch-XXXXXX", command[64];
    assert_non_null(mkdtemp(folder));
    static const char *const GOOD[] = {CAMP, "{\"id\":[1,{}],\"scenario\":" CAMP "}",
                                       "{\"scenario\":" CAMP ",\"change\":[\"units=si\",\"rig=class-a\"]}"};
    for (size_t i = 0; i < COUNT_OF(GOOD) + COUNT_OF(BAD); i++) {
        char *got = answer_to(i < COUNT_OF(GOOD) ? GOOD[i] : BAD[i - COUNT_OF(GOOD)].line);
        put_file(folder, i, "batch", got);
        if (i < COUNT_OF(GOOD)) {
            json_t *root = decoded(got);
            char *outlook = json_dumps(json_object_get(root, "outlook"), 0);
            assert_non_null(outlook);
            put_file(folder, i, "outlook", outlook);
            free(outlook);
            json_decref(root);
        }
        free(got);
    }
    hold_to("docs/batch.schema.json", folder, "batch");
    hold_to("docs/outlook.schema.json", folder, "outlook");
    snprintf(command, sizeof command, "rm -r %s", folder);
    assert_int_equal(system(command), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_line_is_answered_as_the_outlook_of_its_scenario),
        cmocka_unit_test(a_bare_scenario_and_a_wrapped_one_give_the_same_outlook),
        cmocka_unit_test(an_id_comes_back_byte_for_byte),
        cmocka_unit_test(what_json_alone_can_write_reaches_the_scenario),
        cmocka_unit_test(bad_lines_each_get_a_sentence_of_their_own),
        cmocka_unit_test(depth_and_the_number_of_changes_have_limits),
        cmocka_unit_test(answers_keep_the_order_of_lines_of_very_different_cost),
        cmocka_unit_test(one_thread_and_eight_give_the_same_bytes),
        cmocka_unit_test(every_line_is_answered_once_however_it_ends),
        cmocka_unit_test(a_byte_order_mark_is_passed_over_in_front_only),
        cmocka_unit_test(a_line_too_long_is_refused_and_the_next_is_answered),
        cmocka_unit_test(a_receiver_that_refuses_ends_the_run),
        cmocka_unit_test(a_stopped_run_ends_behind_a_whole_answer),
        cmocka_unit_test(a_failed_read_is_said),
        cmocka_unit_test(an_answer_comes_before_the_next_line_is_read),
        cmocka_unit_test(answers_fit_their_schema),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
