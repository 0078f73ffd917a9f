#include "service/clock.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "book/household.h"
#include "exchange/tzif.h"
#include "service/words.h"
#include "text/moment.h"
#include "text/say.h"

static const char KEY[] = "clock_shift"; /* "SHIFT STARTED RUN" */
static const int64_t YEAR_S = INT64_C(366) * 86400;

typedef struct kept_shift {
    long long shift_s, started_s;
    char run[LW_CLOCK_RUN];
} kept_shift;

/* A text that is none of ours says nothing. */
static int read_shift(const char *text, kept_shift *to)
{
    to->run[0] = '\0';
    return sscanf(text, "%lld %lld %8s", &to->shift_s, &to->started_s, to->run) >= 2;
}

static int is_of_this_run(const kept_shift *kept, const lw_machine_clock *machine)
{
    const int64_t moved_s = machine->started_s - kept->started_s;
    return strcmp(kept->run, machine->run) == 0 && moved_s >= -LW_CLOCK_SLACK_S && moved_s <= LW_CLOCK_SLACK_S;
}

lw_code lw_clock_look(lw_book *book, const lw_machine_clock *machine, lw_clock_view *view, lw_err *err)
{
    char text[96];
    int is_there;
    kept_shift kept;
    lw_clock_view seen = {.now_s = machine->now_s};
    lw_code code = lw_book_get(book, KEY, text, sizeof text, &is_there, err);
    code = code ? code : lw_book_newest_time(book, &seen.newest_s, err);
    if (code)
        return code;
    if (is_there && read_shift(text, &kept) && is_of_this_run(&kept, machine)) {
        seen.shift_s = kept.shift_s;
        seen.now_s += kept.shift_s;
    }
    seen.is_doubted =
        seen.now_s < LW_CLOCK_LEAST_S || (seen.newest_s != LW_NO_TIME && seen.now_s < seen.newest_s - LW_CLOCK_SLACK_S);
    *view = seen;
    return LW_OK;
}

void lw_machine_clock_now(lw_machine_clock *machine)
{
    struct timespec up = {0};
    clock_gettime(CLOCK_BOOTTIME, &up);
    machine->now_s = (int64_t)time(NULL);
    machine->started_s = machine->now_s - (int64_t)up.tv_sec;
}

lw_machine_clock lw_machine_clock_read(void)
{
    lw_machine_clock machine = {0};
    FILE *file = fopen("/proc/sys/kernel/random/boot_id", "r");
    lw_machine_clock_now(&machine);
    if (file) {
        if (fread(machine.run, 1, sizeof machine.run - 1, file) < sizeof machine.run - 1)
            machine.run[0] = '\0';
        fclose(file);
    }
    return machine;
}

/* ---- zones ---- */

static lw_code zone_of_place(lw_book *book, int64_t place, int64_t at_s, lw_zone *zone, int *is_found, lw_err *err)
{
    lw_kept_places places = {0};
    lw_code code = lw_book_list_places(book, &(lw_kept_key){.id = place}, &places, err);
    if (!code && places.count && places.place[0].zone) {
        code = lw_zone_load(places.place[0].zone, at_s - YEAR_S, at_s + YEAR_S, zone, err);
        *is_found = !code;
    }
    lw_kept_places_clear(&places);
    return code;
}

lw_code lw_clock_zone(lw_book *book, int64_t stay, int64_t at_s, lw_zone *zone, lw_err *err)
{
    lw_kept_stays stays = {0};
    char machine[48];
    int is_found = 0;
    lw_code code = stay ? lw_book_list_stays(book, &(lw_kept_key){.id = stay}, &stays, err)
                        : lw_book_current_stay(book, at_s, &stays, err);
    if (!code && stays.count)
        code = zone_of_place(book, stays.stay[0].place, at_s, zone, &is_found, err);
    lw_kept_stays_clear(&stays);
    return code || is_found
               ? code
               : lw_zone_load(lw_zone_machine(machine, sizeof machine), at_s - YEAR_S, at_s + YEAR_S, zone, err);
}

/* ---- asking ---- */

/* "2026-06-18 07:30". Gives buf. */
static char *civil_print(char *buf, size_t n, const lw_zone *zone, int64_t at_s)
{
    const lw_clock c = lw_clock_at(zone, at_s);
    snprintf(buf, n, "%04d-%02d-%02d %02d:%02d", c.date.year, c.date.month, c.date.day, c.hour, c.minute);
    return buf;
}

lw_code lw_clock_ask(const lw_clock_view *view, const lw_zone *zone, lw_err *err)
{
    char now[48], newest[48], typed[80];
    civil_print(now, sizeof now, zone, view->now_s);
    if (view->newest_s == LW_NO_TIME)
        return lw_fail_typed(err, LW_E_CONFLICT, "such as leeway clock \"2026-06-18 13:30\"",
                             "this machine's clock shows %s, which cannot be; say what time it is", now);
    civil_print(newest, sizeof newest, zone, view->newest_s);
    snprintf(typed, sizeof typed, "such as leeway clock \"%s\"", newest);
    return lw_fail_typed(err, LW_E_CONFLICT, typed,
                         "this machine's clock shows %s, before what was logged last (%s); say what time it is", now,
                         newest);
}

char *lw_clock_device(const char *device, const lw_machine_clock *machine, char *buf, size_t n)
{
    snprintf(buf, n, "%s %s", device, machine->run[0] ? machine->run : "unknown");
    return buf;
}

/* ---- saying it ---- */

static lw_code want_possible(const lw_clock_view *view, const lw_zone *zone, int64_t said_s, lw_err *err)
{
    char said[48], newest[48];
    civil_print(said, sizeof said, zone, said_s);
    if (said_s < LW_CLOCK_LEAST_S)
        return lw_fail(err, LW_E_RANGE, "%s is before there was a Leeway; it is a later year", said);
    if (view->newest_s == LW_NO_TIME || said_s >= view->newest_s - LW_CLOCK_SLACK_S)
        return LW_OK;
    return lw_fail_typed(err, LW_E_RANGE, "leeway log --undo",
                         "%s is before what was logged last (%s); if that was wrong, take it back first", said,
                         civil_print(newest, sizeof newest, zone, view->newest_s));
}

static lw_code keep_shift(lw_book *book, const lw_machine_clock *machine, int64_t shift_s, lw_err *err)
{
    char text[96];
    snprintf(text, sizeof text, "%lld %lld %s", (long long)shift_s, (long long)machine->started_s, machine->run);
    return lw_book_set(book, KEY, shift_s ? text : NULL, err);
}

lw_code lw_clock_set(lw_book *book, const lw_machine_clock *machine, const lw_clock_view *view, const lw_zone *zone,
                     int64_t said_s, const char *device, lw_clock_told *told, lw_err *err)
{
    char doubted[LW_BOOK_WORD_BYTES];
    lw_clock_told made = {.shift_s = said_s - machine->now_s};
    lw_entries left = {0};
    if (want_possible(view, zone, said_s, err))
        return err->code;
    if (made.shift_s >= -LW_CLOCK_SLACK_S && made.shift_s <= LW_CLOCK_SLACK_S)
        made.shift_s = 0;
    lw_code code = lw_book_begin(book, err);
    if (code)
        return code;
    code = keep_shift(book, machine, made.shift_s, err);
    code = code ? code
                : lw_book_correct_clock(book, lw_clock_device(device, machine, doubted, sizeof doubted), made.shift_s,
                                        &made.corrected, err);
    code = code ? code : lw_book_history(book, &(lw_history){.is_doubted_only = 1}, &left, err);
    made.left = (int64_t)left.count;
    lw_entries_clear(&left);
    code = lw_book_end(book, code, err);
    if (!code)
        *told = made;
    return code;
}
