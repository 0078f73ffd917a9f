#include <dirent.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "exchange/scenario.h"
#include "tests/check.h"

/* The first line of each file in tests/bad: "# expect: file:line key: sentence". */
static void read_expected(const char *path, char *want, size_t size)
{
    static const char MARK[] = "# expect: ";
    char line[700];
    FILE *file = fopen(path, "r");
    if (!file || !fgets(line, sizeof line, file) || strncmp(line, MARK, sizeof MARK - 1) != 0)
        fail_msg("%s does not begin with %s", path, MARK);
    fclose(file);
    line[strcspn(line, "\n")] = '\0';
    snprintf(want, size, "tests/bad/%s", line + sizeof MARK - 1);
}

static void check_refusal(const char *path)
{
    char want[700], got[700];
    lw_loaded loaded;
    lw_err err = {0};
    read_expected(path, want, sizeof want);
    const lw_code code = lw_scenario_load(&(lw_scenario_from){.path = path}, &loaded, &err);
    snprintf(got, sizeof got, "%s: %s", err.where, err.text);
    if (!code)
        fail_msg("%s was taken", path);
    if (strcmp(got, want) != 0)
        fail_msg("\n  got  %s\n  want %s", got, want);
    assert_null(loaded.scenario);
    assert_int_equal(loaded.assumption_count, 0);
}

static void each_bad_file_is_refused_by_its_one_sentence(void **state)
{
    (void)state;
    DIR *folder = opendir("tests/bad");
    int count = 0;
    assert_non_null(folder);
    for (const struct dirent *entry; (entry = readdir(folder));) {
        char path[400];
        const size_t n = strlen(entry->d_name);
        if (n < 6 || strcmp(entry->d_name + n - 5, ".yaml") != 0)
            continue;
        snprintf(path, sizeof path, "tests/bad/%s", entry->d_name);
        check_refusal(path);
        count++;
    }
    closedir(folder);
    assert_true(count >= 90);
}

static void check_sentence(const lw_scenario_from *from, const char *where, const char *part)
{
    lw_loaded loaded;
    lw_err err = {0};
    assert_int_not_equal(lw_scenario_load(from, &loaded, &err), LW_OK);
    assert_string_equal(err.where, where);
    if (!strstr(err.text, part))
        fail_msg("'%s' is not in '%s'", part, err.text);
    lw_loaded_clear(&loaded);
}

static void what_is_no_file_is_refused(void **state)
{
    (void)state;
    check_sentence(&(lw_scenario_from){.path = "tests/bad/nowhere.yaml"}, "tests/bad/nowhere.yaml", "no such file");
    check_sentence(&(lw_scenario_from){.path = "tests/bad"}, "tests/bad", "not a file but a directory");
    check_sentence(&(lw_scenario_from){.path = "/dev/null"}, "/dev/null", "not a file but a directory or device");
    check_sentence(&(lw_scenario_from){.path = "e.yaml", .bytes = "", .size = 0}, "e.yaml:1", "the file is empty");
}

static void a_huge_file_is_refused_unread(void **state)
{
    (void)state;
    char path[] = "/tmp/leeway-huge-XXXXXX";
    const int file = mkstemp(path);
    assert_true(file >= 0);
    assert_int_equal(ftruncate(file, (off_t)4 << 30), 0); /* sparse: takes no space */
    close(file);
    check_sentence(&(lw_scenario_from){.path = path}, path, "at most 1048576");
    unlink(path);
}

static void binary_junk_is_refused(void **state)
{
    (void)state;
    char junk[4096];
    unsigned x = 1u;
    for (size_t i = 0; i < sizeof junk; i++) {
        x = x * 1103515245u + 12345u; /* any bytes do */
        junk[i] = (char)(x >> 24);
    }
    check_sentence(&(lw_scenario_from){.path = "junk", .bytes = junk, .size = sizeof junk}, "junk:1",
                   "not a text file");
}

static void a_bad_change_is_refused_by_its_own_words(void **state)
{
    (void)state;
    static const struct {
        const char *change, *part;
    } row[] = {
        {"rig.solar=400", "400 has no unit; write 400 W"},
        {"rig.solr=400 W", "did you mean solar?"},
        {"crew.habits.dishes=lick", "lick is not in the table of habits"},
        {"crew.people.1.work=8:00-16:00", "people is a plain value (2 adults, 2 children) in the file"},
        {"stay.leave=2026-06-01", "the departure is not after the arrival"},
        {"rig.battery.capacity=-5 Ah", "-5 Ah does not fit"},
        {"weather.low=100 F", "the low is above the high"},
        {"rubbish", "a change is written key.key=value"},
    };
    for (size_t i = 0; i < COUNT_OF(row); i++) {
        const char *changes[] = {row[i].change};
        check_sentence(&(lw_scenario_from){.path = "examples/ten-lines.yaml", .change = changes, .change_count = 1},
                       row[i].change, row[i].part);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_bad_file_is_refused_by_its_one_sentence),
        cmocka_unit_test(what_is_no_file_is_refused),
        cmocka_unit_test(a_huge_file_is_refused_unread),
        cmocka_unit_test(binary_junk_is_refused),
        cmocka_unit_test(a_bad_change_is_refused_by_its_own_words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
