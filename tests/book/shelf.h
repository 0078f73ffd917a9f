/* tests/book/shelf.h: a folder for the books of one test, a book with one stay in it, and entries that tell what they are. */
#ifndef LW_TESTS_BOOK_SHELF_H
#define LW_TESTS_BOOK_SHELF_H

#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "book/book.h"
#include "book/entries.h"
#include "book/household.h"
#include "tests/check.h"

enum { SHELF_NOW_S = 1781000000 };

typedef struct shelf {
    char folder[64], path[128];
} shelf;

static inline shelf shelf_open(void)
{
    shelf s;
    /* In memory where the system has that: what is tested is what the book writes, not how fast a disk is. */
    snprintf(s.folder, sizeof s.folder, "%s/leeway-book-XXXXXX", access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
    assert_non_null(mkdtemp(s.folder));
    snprintf(s.path, sizeof s.path, "%s/book.sqlite", s.folder);
    return s;
}

static inline void shelf_empty(const shelf *s)
{
    DIR *folder = opendir(s->folder);
    char path[384];
    for (struct dirent *file; folder && (file = readdir(folder)) != NULL;) {
        snprintf(path, sizeof path, "%s/%s", s->folder, file->d_name);
        if (file->d_name[0] != '.')
            unlink(path);
    }
    if (folder)
        closedir(folder);
}

static inline void shelf_close(const shelf *s)
{
    shelf_empty(s);
    rmdir(s->folder);
}

#define CHECK_OK(call)                                                                                                 \
    do {                                                                                                               \
        lw_err err = {0};                                                                                              \
        if (call)                                                                                                      \
            fail_msg("%s: %s: %s", #call, err.where, err.text);                                                        \
    } while (0)

/* A code and a piece of the sentence; one sentence is one line without a full stop at the end. */
#define CHECK_REFUSED(call, want_code, want_words)                                                                     \
    do {                                                                                                               \
        lw_err err = {0};                                                                                              \
        const lw_code code_ = (call);                                                                                  \
        if (code_ != (want_code) || !strstr(err.text, want_words) || strchr(err.text, '\n'))                           \
            fail_msg("%s: code %d, want %d; \"%s: %s\", want \"%s\"", #call, code_, want_code, err.where, err.text,    \
                     want_words);                                                                                      \
    } while (0)

static inline lw_entry shelf_reading(const char *target, int64_t stated_s, double level)
{
    return (lw_entry){.kind = LW_ENTRY_READING,
                      .device = "phone",
                      .target = target,
                      .unit = "frac",
                      .low = level,
                      .high = level,
                      .amount = (double)NAN,
                      .stated_s = stated_s,
                      .device_s = stated_s,
                      .server_s = stated_s};
}

/* One rig, crew, place and a stay that began a day before SHELF_NOW_S; gives its id. */
static inline int64_t shelf_stay(lw_book *book)
{
    lw_kept_doc rig = {.name = "the van", .doc = "rig: van\n"}, crew = {.name = "us", .doc = "crew: 2 adults\n"};
    lw_kept_place place = {.name = "dry lake",
                           .latitude_deg = 38.5,
                           .longitude_deg = -110.25,
                           .elevation_m = (double)NAN,
                           .zone = "America/Denver"};
    CHECK_OK(lw_book_put_rig(book, &rig, &err));
    CHECK_OK(lw_book_put_crew(book, &crew, &err));
    CHECK_OK(lw_book_put_place(book, &place, &err));
    lw_kept_stay stay = {.place = place.id,
                         .rig = rig.id,
                         .crew = crew.id,
                         .arrival_s = SHELF_NOW_S - 86400,
                         .departure_s = LW_NO_TIME,
                         .left_s = LW_NO_TIME};
    CHECK_OK(lw_book_put_stay(book, &stay, &err));
    return stay.id;
}

static inline int shelf_has(lw_book *book, const lw_id *id)
{
    lw_entries found = {0};
    CHECK_OK(lw_book_history(book, &(lw_history){.id = id, .has_undone = 1}, &found, &err));
    const int is_there = found.count == 1;
    lw_entries_clear(&found);
    return is_there;
}

#endif
