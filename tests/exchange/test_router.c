#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "exchange/router.h"
#include "tests/check.h"

static const lw_spot HERE = {38.2, -111.1}, THERE[2] = {{38.5, -111.0}, {39.0, -112.0}};

static lw_code read_text(const char *text, double figure[4], lw_err *err)
{
    *err = (lw_err){0};
    return lw_router_read(text, strlen(text), 1, 2, figure, figure + 2, err);
}

static void an_answer_is_read_in_metres_and_seconds(void **state)
{
    (void)state;
    /* The form of the matrix answers of Valhalla's documented interface (from memory): kilometres or miles, seconds, null where
     * there is no way. */
    double f[4];
    lw_err err;
    assert_int_equal(
        read_text("{\"sources_to_targets\":[[{\"distance\":12.5,\"time\":900,\"to_index\":0,\"from_index\":0},"
                  "{\"distance\":null,\"time\":null,\"to_index\":1,\"from_index\":0}]],\"units\":\"kilometers\"}",
                  f, &err),
        LW_OK);
    CHECK_NEAR(f[0], 12500.0, 1e-9, "metres");
    CHECK_NEAR(f[2], 900.0, 1e-9, "seconds");
    assert_true(isnan(f[1]) && isnan(f[3]));
    assert_int_equal(
        read_text("{\"sources_to_targets\":[[{\"distance\":10,\"time\":600},{\"distance\":1,\"time\":60}]],"
                  "\"units\":\"miles\"}",
                  f, &err),
        LW_OK);
    CHECK_NEAR(f[0], 16093.44, 1e-6, "ten miles");
}

static void a_bad_answer_is_refused(void **state)
{
    (void)state;
    static const char *const BAD[] = {
        "",
        "[]",
        "{",
        "{\"error\":\"No path could be found\"}",
        "{\"sources_to_targets\":3}",
        "{\"sources_to_targets\":[[]]}",
        "{\"sources_to_targets\":[[{},1]]}",
        "{\"sources_to_targets\":[[{\"distance\":1,\"time\":1}],[]]}",
    };
    for (size_t i = 0; i < COUNT_OF(BAD); i++) {
        double f[4];
        lw_err err;
        if (read_text(BAD[i], f, &err) == LW_OK || !err.text[0])
            fail_msg("taken: %s", BAD[i]);
    }
    /* what cannot be a way is none */
    double f[4];
    lw_err err;
    assert_int_equal(
        read_text("{\"sources_to_targets\":[[{\"distance\":-1,\"time\":1},{\"distance\":1e300,\"time\":1}]]}", f, &err),
        LW_OK);
    assert_true(isnan(f[0]) && isnan(f[1]));
}

/* A program of our own that keeps the question and answers. */
static void a_program_is_asked_with_the_size_of_the_rig(void **state)
{
    (void)state;
    char folder[] = "/tmp/leeway-router-XXXXXX", program[64], asked[64], engine[160], text[2048] = "";
    assert_non_null(mkdtemp(folder));
    snprintf(program, sizeof program, "%s/engine", folder);
    snprintf(asked, sizeof asked, "%s/asked", folder);
    snprintf(engine, sizeof engine, "%s config.json", program);
    FILE *file = fopen(program, "w");
    assert_non_null(file);
    fprintf(file,
            "#!/bin/sh\nprintf '%%s %%s %%s' \"$1\" \"$2\" \"$3\" >%s\necho ready\n"
            "echo '{\"sources_to_targets\":[[{\"distance\":50,\"time\":3600},{\"distance\":null,\"time\":null}]]}'\n",
            asked);
    assert_int_equal(fclose(file), 0);
    assert_int_equal(chmod(program, 0700), 0);
    const lw_router_ask ask = {.engine = engine,
                               .from = &HERE,
                               .to = THERE,
                               .from_count = 1,
                               .to_count = 2,
                               .height_m = 3.4,
                               .width_m = 2.5,
                               .length_m = 8.5,
                               .weight_kg = 5500.0,
                               .wait_s = 10.0};
    double d[2], t[2];
    lw_err err = {0};
    if (lw_router_table(&ask, d, t, &err))
        fail_msg("%s: %s", err.where, err.text);
    CHECK_NEAR(d[0], 50000.0, 1e-6, "metres");
    CHECK_NEAR(t[0], 3600.0, 1e-9, "seconds");
    assert_true(isnan(d[1]));
    file = fopen(asked, "r");
    assert_non_null(file);
    assert_true(fread(text, 1, sizeof text - 1, file) > 0);
    fclose(file);
    static const char *const WANTED[] = {"config.json sources_to_targets {",
                                         "\"costing\":\"truck\"",
                                         "\"height\":3.4",
                                         "\"width\":2.5",
                                         "\"length\":8.5",
                                         "\"weight\":5.5",
                                         "\"lat\":38.2"};
    for (size_t i = 0; i < COUNT_OF(WANTED); i++)
        if (!strstr(text, WANTED[i]))
            fail_msg("%s is not in %s", WANTED[i], text);
    remove(asked);
    remove(program);
    assert_int_equal(rmdir(folder), 0);
}

static void what_cannot_answer_is_told_in_a_sentence(void **state)
{
    (void)state;
    static const struct {
        const char *engine, *says;
        lw_code code;
    } ROW[] = {
        {"leeway-no-such-program x", "is not installed", LW_E_MISSING},
        {"false", "it failed", LW_E_IO},
        {"echo", "sources_to_targets", LW_E_SYNTAX}, /* what it prints back is JSON of another kind */
        {"sleep 30", "", LW_E_IO},
        {"http://example.org:8002", "no server of this machine", LW_E_SYNTAX},
        {"http://127.0.0.1.example.org:80", "no server of this machine", LW_E_SYNTAX},
        {"http://localhost:x", "no server of this machine", LW_E_SYNTAX},
        {"https://127.0.0.1", "no routing engine", LW_E_SYNTAX},
        {"   ", "no routing engine", LW_E_SYNTAX},
        {"http://127.0.0.1:1", "nobody answers", LW_E_MISSING},
    };
    for (size_t i = 0; i < COUNT_OF(ROW); i++) {
        double d[2], t[2];
        lw_err err = {0};
        const lw_router_ask ask = {.engine = ROW[i].engine,
                                   .from = &HERE,
                                   .to = THERE,
                                   .from_count = 1,
                                   .to_count = 2,
                                   .height_m = (double)NAN,
                                   .width_m = (double)NAN,
                                   .length_m = (double)NAN,
                                   .weight_kg = (double)NAN,
                                   .wait_s = 0.3};
        const lw_code code = lw_router_table(&ask, d, t, &err);
        if (i == 2 ? code == LW_OK : code != ROW[i].code || !strstr(err.text, ROW[i].says))
            fail_msg("%s: %d, %s: %s", ROW[i].engine, code, err.where, err.text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_answer_is_read_in_metres_and_seconds),
        cmocka_unit_test(a_bad_answer_is_refused),
        cmocka_unit_test(a_program_is_asked_with_the_size_of_the_rig),
        cmocka_unit_test(what_cannot_answer_is_told_in_a_sentence),
    };
    return cmocka_run_group_tests_name("exchange/router", tests, NULL, NULL);
}
