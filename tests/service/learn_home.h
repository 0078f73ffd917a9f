/* tests/service/learn_home.h: a book of one stay, into which words are logged as `leeway log` does. */
#ifndef LW_TESTS_SERVICE_LEARN_HOME_H
#define LW_TESTS_SERVICE_LEARN_HOME_H

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "service/entries_apply.h"
#include "service/learning.h"
#include "service/log.h"
#include "tests/check.h"

typedef struct home {
    char folder[64], path[96];
    lw_book *book;
    int64_t arrival_s;
} home;

static inline void home_need(lw_code code, const lw_err *err)
{
    if (code)
        fail_msg("%s: %s", err->where, err->text);
}

/* scenario: the text of one. */
static inline void home_begin(home *h, const char *scenario, int64_t now_s)
{
    char path[112];
    lw_begun begun = {0};
    lw_err err = {0};
    snprintf(path, sizeof path, "%s/camp.yaml", h->folder);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fputs(scenario, file);
    fclose(file);
    home_need(lw_household_begin(h->book, path, now_s, &begun, &err), &err);
    unlink(path);
    h->arrival_s = begun.arrival_s;
}

static inline home home_open(const char *scenario, int64_t now_s)
{
    home h = {.arrival_s = 0};
    lw_err err = {0};
    /* In memory where the system has that: each entry is synchronised. */
    snprintf(h.folder, sizeof h.folder, "%s/leeway-home-XXXXXX", access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
    assert_non_null(mkdtemp(h.folder));
    snprintf(h.path, sizeof h.path, "%s/book.sqlite", h.folder);
    home_need(lw_book_open(&h.book, h.path, LW_BOOK_CREATE, &err), &err);
    home_begin(&h, scenario, now_s);
    return h;
}

static inline void home_close(home *h)
{
    static const char *const ENDS[] = {"", "-wal", "-shm"};
    lw_book_close(h->book);
    for (size_t i = 0; i < COUNT_OF(ENDS); i++) {
        char path[112];
        snprintf(path, sizeof path, "%s%s", h->path, ENDS[i]);
        (void)remove(path);
    }
    assert_int_equal(rmdir(h->folder), 0);
}

/* One line of words, parted by blanks. */
static inline void home_log(home *h, int64_t at_s, const char *line)
{
    static lw_logged logged;
    char words[256];
    const char *word[16];
    int count = 0;
    lw_household now = {0};
    lw_err err = {0};
    snprintf(words, sizeof words, "%s", line);
    for (char *next = words, *at; (at = strtok_r(next, " ", &next)) != NULL && count < (int)COUNT_OF(word);)
        word[count++] = at;
    home_need(lw_household_load(h->book, at_s, 0, &now, &err), &err);
    home_need(lw_log_read(&now.loaded, at_s, word, count, &logged, &err), &err);
    for (int i = 0; i < logged.count; i++) {
        lw_entry_room room;
        lw_entry entry;
        lw_entry_of_record(&now.loaded, &logged.record[i], 0, NULL, &room, &entry);
        entry.stay = now.stay;
        entry.device = "test";
        entry.device_s = at_s;
        home_need(lw_book_append(h->book, &entry, 1, &err), &err);
    }
    lw_household_clear(&now);
}

static inline lw_outlook_answer home_ask(home *h, const lw_learning_request *request)
{
    lw_outlook_answer answer = {0};
    lw_err err = {0};
    home_need(lw_learning_run(h->book, request, &answer, &err), &err);
    return answer;
}

#endif
