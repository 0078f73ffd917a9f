#include "service/demo.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

#include "book/devices.h"
#include "service/files.h"
#include "service/household.h"
#include "service/logbook.h"
#include "text/moment.h"
#include "text/say.h"

static const int64_t DAY_S = 86400;
static const int64_t ZONE_S = -25200; /* of both places, for the day that it is there */
enum { CHANGES = 16, CHANGE_BYTES = 96, DAYS = 13 };

lw_code lw_book_use_of(lw_book *book, lw_book_use *use, lw_err *err)
{
    lw_book_info info;
    char stay[32];
    int is_demo = 0;
    lw_code code = lw_book_info_of(book, &info, err);
    code = code ? code : lw_book_get(book, LW_DEMO_KEY, stay, sizeof stay, &is_demo, err);
    if (!code)
        *use = info.stays == 0 ? LW_BOOK_IS_EMPTY : is_demo && info.stays == 1 ? LW_BOOK_IS_DEMO : LW_BOOK_IS_OWN;
    return code;
}

typedef struct changes {
    char text[CHANGES][CHANGE_BYTES];
    const char *at[CHANGES];
    int count;
} changes;

static void LW_PRINTF(2, 3) add(changes *c, const char *fmt, ...)
{
    va_list args;
    va_start(args, fmt);
    (void)vsnprintf(c->text[c->count], CHANGE_BYTES, fmt, args);
    va_end(args);
    c->at[c->count] = c->text[c->count];
    c->count++;
}

/* In the cold half of the year such a household is in the low desert. Both places are invented. */
static void add_place(changes *c, int month)
{
    if (month >= 5 && month <= 9)
        return;
    add(c, "place.name=Ocotillo Flat");
    add(c, "place.latitude=33.1 N");
    add(c, "place.longitude=113.6 W");
    add(c, "place.elevation=700 ft");
    add(c, "place.zone=America/Phoenix");
}

static lw_code log_some(lw_book *book, int64_t arrival_s, int64_t now_s, lw_err *err)
{
    /* What the gauges of such a camp would show then. */
    static const struct {
        int64_t after_s;
        const char *word[3];
        int count;
    } ROUND[] = {{10800, {"main=full", "grey=empty", "battery=97 %"}, 3}, {57600, {"main=2/3", "grey=empty", NULL}, 2}};
    lw_log_answer *answer = malloc(sizeof *answer);
    lw_code code = answer ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for the demo");
    for (size_t i = 0; i < sizeof ROUND / sizeof ROUND[0] && !code; i++)
        if (arrival_s + ROUND[i].after_s <= now_s)
            code = lw_logbook_log(book,
                                  &(lw_log_line){.word = ROUND[i].word,
                                                 .count = ROUND[i].count,
                                                 .at_s = arrival_s + ROUND[i].after_s,
                                                 .now_s = now_s,
                                                 .device = "demo"},
                                  answer, err);
    free(answer);
    return code;
}

static lw_code begin(lw_book *book, int64_t now_s, lw_err *err)
{
    const int64_t today = (now_s + ZONE_S) / DAY_S;
    char date[40];
    changes c = {.count = 0};
    lw_begun begun;
    add(&c, "stay.arrive=%s 15:00", lw_date_print(date, sizeof date, lw_date_of(today - 1)));
    add(&c, "stay.leave=%s 10:00", lw_date_print(date, sizeof date, lw_date_of(today + DAYS)));
    add(&c, "stay.earlier=[]");
    add(&c, "weather=climate");
    add_place(&c, lw_date_of(today).month);
    const lw_scenario_from from = {.path = lw_demo_files[0].name,
                                   .bytes = (const char *)lw_demo_files[0].bytes,
                                   .size = lw_demo_files[0].size,
                                   .change = c.at,
                                   .change_count = c.count,
                                   .now_s = now_s};
    lw_code code = lw_household_begin_from(book, &from, &begun, err);
    if (code)
        return code;
    snprintf(date, sizeof date, "%lld", (long long)begun.stay);
    code = lw_book_set(book, LW_DEMO_KEY, date, err);
    return code ? code : log_some(book, begun.arrival_s, now_s, err);
}

lw_code lw_demo_begin(lw_book *book, int64_t now_s, lw_err *err)
{
    lw_book_use use = LW_BOOK_IS_OWN;
    lw_code code = lw_book_begin(book, err);
    if (code)
        return code;
    code = lw_book_use_of(book, &use, err);
    if (!code && use != LW_BOOK_IS_EMPTY)
        code = lw_fail(err, LW_E_CONFLICT, "the demo goes into an empty book only; this one holds %s",
                       use == LW_BOOK_IS_DEMO ? "the demo already" : "a stay of yours");
    code = code ? code : begin(book, now_s, err);
    return lw_book_end(book, code, err);
}

lw_code lw_demo_end(lw_book *book, lw_err *err)
{
    lw_book_use use = LW_BOOK_IS_OWN;
    lw_code code = lw_book_begin(book, err);
    if (code)
        return code;
    code = lw_book_use_of(book, &use, err);
    if (!code && use != LW_BOOK_IS_DEMO)
        code = lw_fail(err, LW_E_CONFLICT, "the book does not hold the demo alone, so nothing was taken out");
    code = code ? code : lw_book_take_all_out(book, LW_DEMO_KEY, err);
    return lw_book_end(book, code, err);
}
