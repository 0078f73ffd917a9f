#include "service/stay_end.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/forecasts.h"
#include "exchange/tzif.h"
#include "service/stay_end_internal.h"
#include "service/words.h"
#include "text/say.h"

static const int64_t DAY_S = 86400;
enum { ZONE_DAYS = 800 };

const char *lw_happened_word(lw_happened happened)
{
    static const char *const WORD[] = {
#define LW_HAPPENED_WORD(id, word) word,
        LW_HAPPENED(LW_HAPPENED_WORD)
#undef LW_HAPPENED_WORD
    };
    return (unsigned)happened < LW_HAPPENED_COUNT ? WORD[happened] : "";
}

/* ---- what it was like ---- */

/* Place, nights and money, as the ledger has them. */
static lw_code take_ledger(lw_book *book, const lw_kept_stay *stay, lw_stay_summary *s, lw_err *err)
{
    lw_book_ledger ledger = {0};
    const lw_ledger_request request = {.now_s = stay->left_s, .stay = stay->id};
    const lw_code code = lw_book_ledger_make(book, &request, &ledger, err);
    if (code)
        return code;
    snprintf(s->place, sizeof s->place, "%s", ledger.stay[0].stay.place_name);
    memcpy(s->money, ledger.stay[0].money, sizeof s->money);
    const int64_t first = lw_clock_at(&s->zone, stay->arrival_s).day, last = lw_clock_at(&s->zone, stay->left_s).day;
    s->nights = (int)(last - first);
    lw_book_ledger_clear(&ledger);
    return LW_OK;
}

static lw_code take_forecast(lw_book *book, const lw_loaded *rig, const lw_kept_stay *stay, lw_stay_summary *s,
                             lw_err *err)
{
    lw_kept_forecasts kept = {0};
    lw_entries entries = {0};
    lw_err unread = {0};
    lw_forecast *first = malloc(sizeof *first);
    const lw_history which = {.stay = stay->id, .is_oldest_first = 1};
    lw_code code = first ? lw_book_list_forecasts(book, stay->id, &kept, err)
                         : lw_fail(err, LW_E_FULL, "no memory for the summary of a stay");
    if (!code && kept.count > 0 && lw_forecast_read(kept.forecast[0].result, first, &unread) == LW_OK) {
        code = lw_book_history(book, &which, &entries, err);
        code = code ? code : lw_stay_compare(rig, &entries, first, s, err);
    }
    free(first);
    lw_entries_clear(&entries);
    lw_kept_forecasts_clear(&kept);
    return code;
}

lw_code lw_stay_summarise(lw_book *book, const lw_kept_stay *stay, lw_stay_summary *summary, char **json, lw_err *err)
{
    char *text = NULL;
    lw_loaded rig = {0};
    *json = NULL;
    memset(summary, 0, sizeof *summary);
    summary->stay = stay->id;
    summary->arrival_s = stay->arrival_s;
    summary->departure_s = stay->departure_s;
    summary->left_s = stay->left_s;
    summary->binding = summary->first = -1;
    lw_code code = lw_stay_scenario(book, stay, &text, err);
    if (!code)
        code = lw_scenario_camp(
            &(lw_scenario_from){.path = "the book", .bytes = text, .size = strlen(text), .now_s = stay->left_s}, &rig,
            err);
    if (!code)
        summary->zone = rig.zone;
    code = code ? code : take_ledger(book, stay, summary, err);
    code = code ? code : take_forecast(book, &rig, stay, summary, err);
    if (!code && !(*json = lw_stay_summary_json(summary)))
        code = lw_fail(err, LW_E_FULL, "no memory for the summary of a stay");
    lw_loaded_clear(&rig);
    free(text);
    return code;
}

/* ---- leaving ---- */

static lw_code want_nothing_later(lw_book *book, const lw_kept_stay *stay, int64_t at_s, const lw_zone *zone,
                                  lw_err *err)
{
    lw_entries last = {0};
    char when[LW_WHEN];
    lw_code code = lw_book_history(book, &(lw_history){.stay = stay->id, .limit = 1}, &last, err);
    if (!code && last.count > 0 && last.entry[0].stated_s > at_s)
        code = lw_fail(err, LW_E_CONFLICT, "something was logged in this stay later than that, %s; end it after that",
                       lw_when_print(when, sizeof when, zone, last.entry[0].stated_s, 0));
    lw_entries_clear(&last);
    return code;
}

static lw_code leave(lw_book *book, lw_kept_stay *stay, int64_t at_s, lw_stay_summary *summary, lw_err *err)
{
    char *json = NULL;
    stay->left_s = at_s;
    lw_code code = lw_book_put_stay(book, stay, err); /* the ledger counts it as left */
    code = code ? code : lw_stay_summarise(book, stay, summary, &json, err);
    code = code ? code : want_nothing_later(book, stay, at_s, &summary->zone, err);
    if (!code) {
        stay->summary = json;
        code = lw_book_put_stay(book, stay, err);
    }
    free(json);
    return code;
}

lw_code lw_stay_end(lw_book *book, int64_t at_s, int64_t now_s, lw_stay_summary *summary, lw_err *err)
{
    lw_kept_stays open = {0};
    lw_code code = lw_book_begin(book, err);
    if (code)
        return code;
    code = lw_book_current_stay(book, now_s, &open, err);
    if (!code && open.count == 0)
        code = lw_fail(err, LW_E_MISSING, "the book has no stay that is going on");
    if (!code && (at_s < open.stay[0].arrival_s || at_s > now_s))
        code = lw_fail(err, LW_E_RANGE, "a stay ends after its arrival and not later than now");
    code = code ? code : leave(book, &open.stay[0], at_s, summary, err);
    lw_kept_stays_clear(&open);
    return lw_book_end(book, code, err);
}

/* ---- and going on ---- */

static lw_kept_stay *left_last(const lw_kept_stays *all)
{
    lw_kept_stay *last = NULL;
    for (size_t i = 0; i < all->count; i++)
        if (all->stay[i].left_s != LW_NO_TIME && (!last || all->stay[i].left_s >= last->left_s))
            last = &all->stay[i];
    return last;
}

lw_code lw_stay_left(lw_book *book, int64_t now_s, lw_stay_summary *summary, char **scenario, lw_err *err)
{
    lw_kept_stays all = {0}, open = {0};
    char *json = NULL;
    *scenario = NULL;
    lw_code code = lw_book_list_stays(book, NULL, &all, err);
    const lw_kept_stay *last = code ? NULL : left_last(&all);
    code = code ? code : lw_book_current_stay(book, now_s, &open, err);
    if (!code && (open.count > 0 || !last))
        code = lw_fail(err, LW_E_MISSING, open.count > 0 ? "a stay goes on" : "no stay of the book has ended");
    if (!code && last)
        code = lw_stay_summarise(book, last, summary, &json, err);
    if (!code && last)
        code = lw_stay_scenario(book, last, scenario, err);
    free(json);
    lw_kept_stays_clear(&open);
    lw_kept_stays_clear(&all);
    return code;
}

static lw_code name_of(lw_book *book, const lw_kept_stay *stay, char name[LW_NAME], lw_zone *zone, lw_err *err)
{
    lw_kept_places places = {0};
    lw_code code = lw_book_list_places(book, &(lw_kept_key){.id = stay->place}, &places, err);
    if (!code && places.count > 0) {
        snprintf(name, LW_NAME, "%.31s", places.place[0].name);
        if (zone)
            code = lw_zone_load(places.place[0].zone ? places.place[0].zone : "UTC",
                                stay->arrival_s - ZONE_DAYS * DAY_S, stay->arrival_s + ZONE_DAYS * DAY_S, zone, err);
    }
    lw_kept_places_clear(&places);
    return code;
}

/* A stay begun since in which nothing was logged was begun by mistake. */
static lw_code drop_begun_since(lw_book *book, const lw_kept_stay *stay, lw_gone_on *gone, lw_err *err)
{
    lw_entries any = {0};
    lw_code code = lw_book_history(book, &(lw_history){.stay = stay->id, .limit = 1, .has_undone = 1}, &any, err);
    code = code ? code : name_of(book, stay, gone->dropped, NULL, err);
    if (!code && any.count > 0)
        code = lw_fail(err, LW_E_CONFLICT,
                       "the stay at %s goes on since then, and something is logged in it; only one stay goes on at a "
                       "time",
                       gone->dropped);
    code = code ? code : lw_book_drop_stay(book, stay->id, err);
    lw_entries_clear(&any);
    return code;
}

static lw_code go_on(lw_book *book, int64_t now_s, lw_gone_on *gone, lw_err *err)
{
    lw_kept_stays all = {0}, open = {0};
    lw_code code = lw_book_list_stays(book, NULL, &all, err);
    lw_kept_stay *last = code ? NULL : left_last(&all);
    if (!code && !last)
        code = lw_fail(err, LW_E_MISSING, "no stay of the book has ended");
    code = code ? code : lw_book_current_stay(book, now_s, &open, err);
    if (!code && open.count > 0)
        code = drop_begun_since(book, &open.stay[0], gone, err);
    if (!code && last)
        code = name_of(book, last, gone->place, &gone->zone, err);
    if (!code && last) {
        gone->left_s = last->left_s;
        last->left_s = LW_NO_TIME;
        last->summary = NULL;
        code = lw_book_put_stay(book, last, err);
    }
    lw_kept_stays_clear(&open);
    lw_kept_stays_clear(&all);
    return code;
}

lw_code lw_stay_go_on(lw_book *book, int64_t now_s, lw_gone_on *gone, lw_err *err)
{
    memset(gone, 0, sizeof *gone);
    const lw_code code = lw_book_begin(book, err);
    return code ? code : lw_book_end(book, go_on(book, now_s, gone, err), err);
}
