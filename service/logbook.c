#include "service/logbook.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/entries_apply.h"
#include "service/household.h"
#include "service/people.h"
#include "service/signal_log.h"
#include "text/say.h"

enum { LINE_TEXT = 4096 };

/* What was written into, where, and in which time. */
typedef struct desk {
    lw_book *book;
    const lw_log_line *line;
    lw_household home;
    int64_t at_s;
    lw_log_answer *answer;
    lw_logged logged;
    lw_entry entry[LW_LOG_RECORDS];
    lw_entry_room room[LW_LOG_RECORDS];
} desk;

static void say(desk *d, const char *text)
{
    if (d->answer->count < LW_LOGBOOK_SAID)
        snprintf(d->answer->said[d->answer->count++], LW_LOG_SAID, "%s", text);
}

/* Who came or left, into the crew at hand, and how many are there then. Where a number left, those are named who are taken to have. */
static lw_code move_people(desk *d, const lw_log_record *record, int *people, lw_err *err)
{
    lw_people_moved moved;
    const lw_crew *crew = &d->home.loaded.scenario->crew;
    char text[LW_LOG_SAID], names[200] = "";
    const int before = lw_people_at(&d->home.loaded, record->at_s);
    if (!lw_people_apply(&d->home.loaded, record, &moved))
        return record->people < 0
                   ? lw_fail(err, LW_E_RANGE, "%d cannot leave: there %s %d", -record->people,
                             before == 1 ? "is" : "are", before)
                   : lw_fail(err, LW_E_FULL, "more than %d people and animals are not followed", LW_PEOPLE);
    *people = lw_people_at(&d->home.loaded, record->at_s);
    for (int i = 0; i < moved.count; i++) {
        const size_t used = strlen(names);
        snprintf(names + used, sizeof names - used, "%s%s", i ? ", " : "", crew->person[moved.person[i]].name);
    }
    say(d, lw_log_say(&d->home.loaded, record, d->home.loaded.units, text, sizeof text));
    snprintf(text, sizeof text, "%s%s%s%d %s here", record->party[0] ? "" : "taken as ", record->party[0] ? "" : names,
             record->party[0] ? "" : "; ", *people, *people == 1 ? "is" : "are");
    say(d, text);
    return LW_OK;
}

/* A place that the book knows, or that is said to be at a spot, has its weather and rule from then on. A line that is sent again
 * finds its own place. */
static lw_code move_camp(desk *d, const lw_log_record *record, lw_err *err)
{
    int64_t place;
    char text[LW_LOG_SAID];
    lw_code code = lw_household_place_named(d->book, record->party, &place, err);
    if (!code && place && record->where[0] && !d->line->id)
        code = lw_fail(err, LW_E_CONFLICT, "the book knows %s already; leave out where it is", record->party);
    if (!code && !place && record->where[0]) {
        code = lw_household_put_place(d->book, &d->home, record->party, record->where, err);
        place = 1;
    }
    if (code)
        return code;
    if (place != 0)
        snprintf(text, sizeof text, "weather and rules are those of that place from now on");
    else
        snprintf(text, sizeof text,
                 "the book does not know that place, so weather and rules stay those of %.31s; say where it is: moved "
                 "%.31s at "
                 "38.57,-109.55,6000 ft",
                 d->home.loaded.scenario->place.name, record->party);
    say(d, text);
    return LW_OK;
}

static void sign(const desk *d, lw_entry *entry)
{
    entry->stay = d->home.stay;
    entry->device = d->line->device;
    entry->device_s = d->line->device_s ? d->line->device_s : d->line->now_s;
    entry->is_clock_doubted = d->line->is_clock_doubted;
}

static lw_code fill_entry(desk *d, int i, const char *line, lw_err *err)
{
    const lw_log_record *record = &d->logged.record[i];
    const lw_unit_system units = d->home.loaded.units;
    char text[LW_LOG_SAID];
    int people = 0;
    lw_code code = LW_OK;
    if (record->kind == LW_LOG_PEOPLE)
        code = move_people(d, record, &people, err);
    lw_entry_of_record(&d->home.loaded, record, people, line, &d->room[i], &d->entry[i]);
    sign(d, &d->entry[i]);
    if (record->kind != LW_LOG_PEOPLE)
        say(d, lw_log_say(&d->home.loaded, record, units, text, sizeof text));
    if (record->kind == LW_LOG_MOVED)
        code = move_camp(d, record, err);
    return code;
}

static lw_code log_records(desk *d, lw_err *err)
{
    lw_logged *logged = &d->logged;
    lw_id first = {{0}};
    char line[LW_ID_TEXT];
    lw_code code = lw_people_take(d->book, d->home.stay, d->at_s, &d->home.loaded, err);
    code = code ? code : lw_log_read(&d->home.loaded, d->at_s, d->line->word, d->line->count, logged, err);
    if (d->line->id)
        first = *d->line->id;
    else if (!code && logged->count > 1)
        code = lw_id_make(&first, err);
    (void)lw_id_print(line, sizeof line, &first);
    for (int i = 0; i < logged->count && !code; i++)
        code = fill_entry(d, i, logged->count > 1 ? line : NULL, err);
    if (logged->count > 0)
        d->entry[0].id = first;
    for (int i = 0; i < logged->unknown_count && !code; i++) {
        char text[LW_NAME + 40];
        snprintf(text, sizeof text, "%s not known, nothing kept", logged->unknown[i]);
        say(d, text);
    }
    return code || logged->count == 0 ? code : lw_book_append(d->book, d->entry, (size_t)logged->count, err);
}

static lw_code log_signal(desk *d, lw_err *err)
{
    const lw_log_line *line = d->line;
    lw_signal signal;
    lw_entry entry;
    char target[LW_SIGNAL_TARGET], detail[LW_SIGNAL_DETAIL], said[LW_SIGNAL_SAID], text[LINE_TEXT] = "";
    lw_code code = lw_signal_read(line->word + 1, line->count - 1, &signal, err);
    if (code)
        return code;
    for (int i = 0; i < line->count; i++) {
        const size_t used = strlen(text);
        snprintf(text + used, sizeof text - used, "%s%s", i ? " " : "", line->word[i]);
    }
    lw_entry_of_signal(&signal, target, detail, &entry);
    sign(d, &entry);
    entry.stated_s = d->at_s;
    entry.said = text;
    if (line->id)
        entry.id = *line->id;
    say(d, lw_signal_say(&signal, said, sizeof said));
    return lw_book_append(d->book, &entry, 1, err);
}

static lw_code find_time(desk *d, lw_err *err)
{
    const lw_log_line *line = d->line;
    const lw_zone *zone = &d->home.loaded.zone;
    char when[LW_WHEN], begun[LW_WHEN];
    if (line->at || !line->at_s) {
        if (lw_log_time(zone, line->at, line->now_s, d->home.arrival_s, &d->at_s, &d->answer->is_twice, err))
            return lw_err_at(err, "--at", 0, NULL);
        return LW_OK;
    }
    d->at_s = line->at_s;
    if (d->at_s < d->home.arrival_s)
        return lw_fail(err, LW_E_RANGE, "%s is before this stay began, %s",
                       lw_when_print(when, sizeof when, zone, d->at_s, line->is_12_hour),
                       lw_when_print(begun, sizeof begun, zone, d->home.arrival_s, line->is_12_hour));
    if (d->at_s > line->now_s)
        return lw_fail(err, LW_E_RANGE, "%s has not come yet",
                       lw_when_print(when, sizeof when, zone, d->at_s, line->is_12_hour));
    return LW_OK;
}

static void say_when(desk *d, int is_12_hour)
{
    (void)lw_when_print(d->answer->when, sizeof d->answer->when, &d->home.loaded.zone, d->at_s, is_12_hour);
}

/* What is paid or taken back after the stay is over belongs to it all the same. */
static int is_for_the_last(const lw_log_line *line)
{
    const char *word = line && line->count > 0 ? line->word[0] : "";
    return !line || strncmp(word, "spent", 5) == 0 || strncmp(word, "paid", 4) == 0;
}

/* line NULL: something is taken back. */
static lw_code open_desk(lw_book *book, int64_t now_s, const lw_log_line *line, lw_log_answer *answer, desk **made,
                         lw_err *err)
{
    desk *d = calloc(1, sizeof *d);
    if (!d)
        return lw_fail(err, LW_E_FULL, "not enough memory");
    d->book = book;
    d->line = line;
    d->answer = answer;
    *answer = (lw_log_answer){.count = 0};
    const lw_code code = is_for_the_last(line) ? lw_household_load_last(book, now_s, &d->home, err)
                                               : lw_household_load(book, now_s, 0, &d->home, err);
    if (code)
        free(d);
    else
        *made = d;
    return code;
}

static void close_desk(desk *d)
{
    lw_household_clear(&d->home);
    free(d);
}

lw_code lw_logbook_log(lw_book *book, const lw_log_line *line, lw_log_answer *answer, lw_err *err)
{
    desk *d = NULL;
    lw_code code = open_desk(book, line->here_s ? line->here_s : line->now_s, line, answer, &d, err);
    if (code || !d)
        return code;
    code = find_time(d, err);
    code = code ? code : lw_book_begin(book, err); /* a place that a move names goes in with it, or not at all */
    if (!code) {
        code = line->count > 0 && strcmp(line->word[0], "signal") == 0 ? log_signal(d, err) : log_records(d, err);
        code = lw_book_end(book, code, err);
    }
    say_when(d, line->is_12_hour);
    close_desk(d);
    return code;
}

/* ---- and out again ---- */

static void say_undone(desk *d, const lw_entry *entry)
{
    lw_log_record record;
    char text[LW_LOG_SAID];
    if (lw_record_of_entry(&d->home.loaded, entry, &record))
        say(d, lw_log_say(&d->home.loaded, &record, d->home.loaded.units, text, sizeof text));
    else
        say(d, entry->said ? entry->said : lw_entry_word(entry->kind));
}

/* What was typed in the same line as an entry that is taken back already. */
static lw_code undo_line(desk *d, const lw_log_undo *undo, const lw_entry *of, lw_err *err)
{
    char line[LW_ID_TEXT], other[LW_ID_TEXT];
    lw_entries same_time = {0};
    const lw_history which = {.from_s = of->stated_s, .to_s = of->stated_s + 1};
    if (!*lw_entry_line(of, line, sizeof line))
        return LW_OK;
    lw_code code = lw_book_history(d->book, &which, &same_time, err);
    for (size_t i = 0; i < same_time.count && !code; i++) {
        const lw_entry *entry = &same_time.entry[i];
        if (strcmp(lw_entry_line(entry, other, sizeof other), line) != 0)
            continue;
        code = lw_book_undo(d->book, &entry->id, entry->device, undo->now_s, NULL, err);
        say_undone(d, entry);
    }
    lw_entries_clear(&same_time);
    return code;
}

static lw_code undo_all(desk *d, const lw_log_undo *undo, lw_err *err)
{
    lw_entries undone = {0};
    lw_code code = lw_book_begin(d->book, err);
    if (code)
        return code;
    code = lw_book_undo(d->book, undo->which, undo->device, undo->now_s, &undone, err);
    if (!code && undone.count) {
        d->at_s = undone.entry[0].stated_s;
        say_undone(d, &undone.entry[0]);
        code = undo_line(d, undo, &undone.entry[0], err);
    }
    lw_entries_clear(&undone);
    return lw_book_end(d->book, code, err);
}

lw_code lw_logbook_undo(lw_book *book, const lw_log_undo *undo, lw_log_answer *answer, lw_err *err)
{
    desk *d = NULL;
    lw_code code = open_desk(book, undo->now_s, NULL, answer, &d, err);
    if (code || !d)
        return code;
    code = undo_all(d, undo, err);
    say_when(d, undo->is_12_hour);
    close_desk(d);
    return code;
}
