/* Every file of tests/bad-weather is refused by the sentence of tests/bad-weather/expected.csv, and stands in it. */
#include <dirent.h>

#include "exchange/ghcn.h"
#include "exchange/gridpoint.h"
#include "exchange/hourly.h"
#include "exchange/normals.h"
#include "tests/words.h"

#define FOLDER "tests/bad-weather/"

static lw_code read_hourly(const char *path, lw_err *err)
{
    lw_hourly h;
    lw_hourly_init(&h);
    const lw_code code = lw_hourly_read_path(path, &h, err);
    lw_hourly_clear(&h);
    return code;
}

static lw_code read_forecast(const char *path, lw_err *err)
{
    lw_forecast *f = malloc(sizeof *f);
    assert_non_null(f);
    const lw_code code = lw_gridpoint_read_path(path, 0, f, err);
    free(f);
    return code;
}

static lw_code read_any(const char *path, lw_err *err)
{
    const char *name = path + strlen(FOLDER);
    lw_ghcn_climate days;
    lw_station_climate normals;
    if (strncmp(name, "nsrdb-", 6) == 0)
        return read_hourly(path, err);
    if (strncmp(name, "forecast-", 9) == 0)
        return read_forecast(path, err);
    if (strncmp(name, "ghcn-", 5) == 0)
        return lw_ghcn_read_path(path, NULL, &days, err);
    return lw_normals_read_path(path, &(lw_normals_choice){NULL, (double)NAN, (double)NAN}, &normals, err);
}

static void each_is_refused_by_its_own_sentence(void **state)
{
    static words table;
    int wrong = 0;
    (void)state;
    words_open(&table, FOLDER "expected.csv");
    assert_true(table.rows > 20);
    for (int row = 1; row < table.rows; row++) {
        char path[160], where[200];
        lw_err err = {0};
        snprintf(path, sizeof path, FOLDER "%s", table.cell[row][0]);
        snprintf(where, sizeof where, "%s%s", path, words_at(&table, row, "place"));
        const lw_code code = read_any(path, &err);
        if (code && strcmp(err.where, where) == 0 && strcmp(err.text, words_at(&table, row, "sentence")) == 0)
            continue;
        print_error("%s: %d '%s' '%s'\n", table.cell[row][0], (int)code, err.where, err.text);
        wrong++;
    }
    assert_int_equal(wrong, 0);
}

static void no_file_is_left_out_of_the_table(void **state)
{
    static words table;
    DIR *folder = opendir(FOLDER);
    (void)state;
    assert_non_null(folder);
    words_open(&table, FOLDER "expected.csv");
    for (const struct dirent *file = readdir(folder); file; file = readdir(folder))
        if (file->d_name[0] != '.' && strcmp(file->d_name, "expected.csv") != 0)
            (void)words_row(&table, file->d_name);
    closedir(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_is_refused_by_its_own_sentence),
        cmocka_unit_test(no_file_is_left_out_of_the_table),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
