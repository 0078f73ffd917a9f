#include "service/history.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/checklist.h"
#include "service/clock.h"
#include "service/entries_apply.h"
#include "service/json.h"
#include "service/ledger.h"
#include "text/say.h"

void lw_history_clear(lw_history_answer *answer)
{
    free(answer->signal);
    free(answer->zone);
    lw_entries_clear(&answer->doubted);
    lw_entries_clear(&answer->entries);
    lw_household_clear(&answer->home);
    *answer = (lw_history_answer){0};
}

static lw_code since_of(const lw_history_wish *wish, const lw_household *home, int64_t *from_s, lw_err *err)
{
    *from_s = home->arrival_s;
    if (!wish->since)
        return LW_OK;
    if (lw_since_read(wish->since, wish->now_s, &home->loaded.zone, from_s, err))
        return lw_err_at(err, "--since", 0, NULL);
    return LW_OK;
}

/* "fresh" is of "fresh/main" and "fresh/jugs" too. */
static int is_of(const lw_entry *entry, const char *target)
{
    const size_t n = strlen(target);
    return entry->target && strncmp(entry->target, target, n) == 0 &&
           (entry->target[n] == '\0' || entry->target[n] == '/');
}

size_t lw_history_count(const lw_history_answer *answer)
{
    return answer->entries.count + answer->doubted.count;
}

const lw_entry *lw_history_at(const lw_history_answer *answer, size_t at)
{
    return at < answer->entries.count ? &answer->entries.entry[at] : &answer->doubted.entry[at - answer->entries.count];
}

/* What was kept under a doubted clock stands at no time of its own: it is taken out from among the others. */
static lw_code part_doubted(lw_book *book, const lw_history *which, lw_history_answer *to, lw_err *err)
{
    size_t count = 0;
    for (size_t i = 0; i < to->entries.count; i++)
        if (!to->entries.entry[i].is_clock_doubted)
            to->entries.entry[count++] = to->entries.entry[i];
    to->entries.count = count;
    return lw_book_history(book,
                           &(lw_history){.is_doubted_only = 1, .is_oldest_first = 1, .has_undone = which->has_undone},
                           &to->doubted, err);
}

const lw_zone *lw_history_zone(const lw_history_answer *answer, const lw_entry *entry)
{
    for (size_t i = 0; i < answer->zone_count; i++)
        if (answer->zone[i].stay == entry->stay)
            return &answer->zone[i].zone;
    return &answer->home.loaded.zone;
}

static lw_code gather_zones(lw_book *book, lw_history_answer *to, lw_err *err)
{
    lw_code code = LW_OK;
    for (size_t i = 0; i < lw_history_count(to) && !code; i++) {
        const lw_entry *entry = lw_history_at(to, i);
        int is_known = !entry->stay || entry->stay == to->home.stay;
        for (size_t k = 0; k < to->zone_count && !is_known; k++)
            is_known = to->zone[k].stay == entry->stay;
        if (is_known)
            continue;
        lw_stay_zone *more = realloc(to->zone, (to->zone_count + 1) * sizeof *more);
        if (!more)
            return lw_fail(err, LW_E_FULL, "not enough memory");
        to->zone = more;
        to->zone[to->zone_count].stay = entry->stay;
        code = lw_clock_zone(book, entry->stay, entry->stated_s, &to->zone[to->zone_count].zone, err);
        to->zone_count += !code;
    }
    return code;
}

static void keep_wished(const lw_history_wish *wish, lw_entries *entries)
{
    size_t kept = 0;
    for (size_t i = 0; i < entries->count; i++)
        if (!wish->target || is_of(&entries->entry[i], wish->target))
            entries->entry[kept++] = entries->entry[i];
    const size_t over = wish->last > 0 && kept > (size_t)wish->last ? kept - (size_t)wish->last : 0;
    if (over > 0)
        memmove(entries->entry, entries->entry + over, (kept - over) * sizeof *entries->entry);
    entries->count = kept - over;
}

lw_code lw_history_gather(lw_book *book, const lw_history_wish *wish, lw_history_answer *answer, lw_err *err)
{
    lw_history which = {.is_oldest_first = 1, .has_undone = wish->has_undone, .to_s = INT64_MAX};
    lw_history_answer made = {0};
    lw_code code = lw_household_load_last(book, wish->now_s, &made.home, err);
    if (code)
        return code;
    code = since_of(wish, &made.home, &which.from_s, err);
    if (wish->is_signal)
        which.kinds = 1u << LW_ENTRY_SIGNAL;
    code = code ? code : lw_book_history(book, &which, &made.entries, err);
    code = code ? code : part_doubted(book, &which, &made, err);
    code = code ? code : gather_zones(book, &made, err);
    if (!code)
        keep_wished(wish, &made.entries);
    if (!code && wish->is_signal)
        code = lw_signal_table(&made.home.loaded.zone, &made.entries, &made.signal, &made.signal_count, err);
    if (code)
        lw_history_clear(&made);
    else
        *answer = made;
    return code;
}

char *lw_history_say(const lw_history_answer *answer, const lw_entry *entry, char *buf, size_t n)
{
    const lw_loaded *rig = &answer->home.loaded;
    lw_log_record record;
    lw_signal signal;
    if (entry->kind == LW_ENTRY_SIGNAL) {
        lw_signal_of_entry(entry, &signal);
        lw_signal_say(&signal, buf, n);
    } else if (entry->kind == LW_ENTRY_TICK) {
        (void)lw_checklist_entry_say(entry, buf, n);
    } else if (lw_record_of_entry(rig, entry, &record)) {
        lw_log_say(rig, &record, rig->units, buf, n);
    } else {
        snprintf(buf, n, "%s%s%s%s%s", lw_entry_word(entry->kind), entry->target ? " " : "",
                 entry->target ? entry->target : "", entry->said ? ": " : "", entry->said ? entry->said : "");
    }
    return buf;
}

static json_t *entry_json(lw_json *j, const lw_history_answer *answer, const lw_entry *e)
{
    enum { DECIMALS = LW_HISTORY_DECIMALS };
    json_t *o = lw_json_object(j);
    char text[LW_LOG_SAID];
    lw_json_text(j, o, "id", lw_id_print(text, sizeof text, &e->id));
    j->zone = lw_history_zone(answer, e);
    lw_json_time(j, o, "at", e->stated_s);
    lw_json_text(j, o, "kind", lw_entry_word(e->kind));
    lw_json_text(j, o, "target", e->target);
    lw_json_number(j, o, "low", e->low, DECIMALS);
    lw_json_number(j, o, "high", e->high, DECIMALS);
    lw_json_number(j, o, "amount", e->amount, DECIMALS);
    lw_json_text(j, o, "unit", e->unit);
    lw_json_text(j, o, "said", e->said);
    lw_json_text(j, o, "understood", lw_history_say(answer, e, text, sizeof text));
    lw_json_flag(j, o, "is_undone", e->is_undone);
    lw_json_flag(j, o, "is_clock_doubted", e->is_clock_doubted);
    return o;
}

static json_t *signal_json(lw_json *j, const lw_signal_row *r)
{
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "what", r->what);
    lw_json_flag(j, o, "is_weekend", r->is_weekend);
    lw_json_count(j, o, "hour", r->hour);
    lw_json_count(j, o, "readings", r->readings);
    lw_json_number(j, o, "dbm", r->dbm, 1);
    lw_json_number(j, o, "bars", r->bars, 1);
    lw_json_number(j, o, "down_mbit", r->down_mbit, 3);
    lw_json_number(j, o, "up_mbit", r->up_mbit, 3);
    lw_json_count(j, o, "calls", r->calls);
    lw_json_count(j, o, "calls_asked", r->calls_asked);
    return o;
}

char *lw_history_json(const lw_history_answer *answer, int is_signal)
{
    lw_json j = {.zone = &answer->home.loaded.zone};
    json_t *root = lw_json_object(&j), *rows = lw_json_array(&j);
    lw_json_text(&j, root, "schema", is_signal ? "leeway.signal/1" : "leeway.history/1");
    for (size_t i = 0; i < lw_history_count(answer) && !is_signal; i++)
        lw_json_add(&j, rows, entry_json(&j, answer, lw_history_at(answer, i)));
    for (size_t i = 0; i < answer->signal_count && is_signal; i++)
        lw_json_add(&j, rows, signal_json(&j, &answer->signal[i]));
    lw_json_put(&j, root, is_signal ? "hours" : "entries", rows);
    return lw_json_finish(&j, root, 0);
}
