/* tests/service/camp_book.h: a book in a folder of its own, and stays of June 2026 begun in it. */
#ifndef LW_TESTS_SERVICE_CAMP_BOOK_H
#define LW_TESTS_SERVICE_CAMP_BOOK_H

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "service/household.h"
#include "tests/check.h"

enum { CAMP_DAY_S = 86400 };

typedef struct camp_book {
    char folder[64], path[96], file[96];
    lw_book *book;
} camp_book;

static inline camp_book camp_book_open(void)
{
    camp_book k = {.folder = "/tmp/leeway-stays-XXXXXX"};
    lw_err err = {0};
    assert_non_null(mkdtemp(k.folder));
    snprintf(k.path, sizeof k.path, "%s/book.sqlite", k.folder);
    snprintf(k.file, sizeof k.file, "%s/camp.yaml", k.folder);
    if (lw_book_open(&k.book, k.path, LW_BOOK_CREATE, &err) != LW_OK)
        fail_msg("%s: %s", err.where, err.text);
    return k;
}

static inline void camp_book_close(camp_book *k)
{
    static const char *const ends[] = {"", "-wal", "-shm"};
    lw_book_close(k->book);
    for (size_t i = 0; i < COUNT_OF(ends); i++) {
        char path[112];
        snprintf(path, sizeof path, "%s%s", k->path, ends[i]);
        (void)remove(path);
    }
    (void)remove(k->file);
    assert_int_equal(rmdir(k->folder), 0);
}

/* Civil days of June 2026 in UTC. */
static inline int64_t june(int day, int hour)
{
    return (lw_day_of((lw_date){2026, 6, 1}) + day - 1) * CAMP_DAY_S + hour * 3600;
}

static inline lw_begun camp_book_begin(const camp_book *k, int day, const char *rig, const char *place)
{
    FILE *file = fopen(k->file, "w");
    lw_begun begun = {0};
    lw_err err = {0};
    char at[24];
    assert_non_null(file);
    const lw_date date = lw_date_of(june(day, 0) / CAMP_DAY_S);
    snprintf(at, sizeof at, "%04d-%02d-%02d", date.year, date.month, date.day);
    fprintf(file, "leeway: 1\nrig: %s\ncrew: 2 adults\nplace: {zone: UTC, elevation: 2000 ft, %s}\n", rig, place);
    fprintf(file, "stay: {arrive: %s 12:00}\nweather: {high: 80 F, low: 50 F}\n", at);
    fclose(file);
    if (lw_household_begin(k->book, k->file, june(day, 13), &begun, &err) != LW_OK)
        fail_msg("%s: %s", err.where, err.text);
    return begun;
}

static inline lw_household camp_book_load(const camp_book *k, int64_t now_s)
{
    lw_household h = {0};
    lw_err err = {0};
    if (lw_household_load(k->book, now_s, 0, &h, &err) != LW_OK)
        fail_msg("%s: %s", err.where, err.text);
    return h;
}

#define BENCH  "name: Juniper Bench, latitude: 43 N, longitude: 118 W, manager: BLM Juniper, stay_rule: blm-usual"
#define FAR    "name: Far Wash, latitude: 43.6 N, longitude: 118 W, manager: BLM Juniper, stay_rule: blm-usual"
#define NEAR   "name: Near Wash, latitude: 43.1 N, longitude: 118 W, manager: blm juniper, stay_rule: blm-usual"
#define FOREST "name: Pine Flat, latitude: 43.1 N, longitude: 118 W, manager: Pine forest, stay_rule: usfs-14-30"

#endif
