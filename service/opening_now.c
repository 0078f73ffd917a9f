#include "service/opening_now.h"

#include <stdio.h>
#include <string.h>

#include "book/household.h"
#include "exchange/map_tags.h"
#include "exchange/opening.h"
#include "exchange/tzif.h"
#include "service/ledger.h"

char *lw_opening_now_say(const char *detail, const lw_zone *zone, int64_t now_s, char buf[LW_OPENING_SAID])
{
    static const char *const WEEKDAYS[] = {"Monday", "Tuesday",  "Wednesday", "Thursday",
                                           "Friday", "Saturday", "Sunday"};
    char hours[512], day_said[40];
    lw_opening opening;
    int is_open;
    buf[0] = '\0';
    if (!detail || !lw_map_tag_of(detail, "opening_hours", hours, sizeof hours))
        return buf;
    lw_opening_read(hours, &opening);
    if (!opening.is_understood)
        return buf;
    const lw_clock now = lw_clock_at(zone, now_s);
    const int minute = now.hour * 60 + now.minute;
    const int next = lw_opening_next_min(&opening, now.day, minute, &is_open);
    const char *word = is_open ? "open" : "closed";
    const int later = minute + next, days = later / LW_OPENING_DAY_MIN, at = later % LW_OPENING_DAY_MIN;
    if (next < 0)
        snprintf(buf, LW_OPENING_SAID, "%s%s", word, is_open ? "" : " for two weeks or longer");
    else if (days == 0)
        snprintf(buf, LW_OPENING_SAID, "%s until %d:%02d", word, at / 60, at % 60);
    else
        snprintf(buf, LW_OPENING_SAID, "%s until %.30s %d:%02d", word,
                 days < 7 ? WEEKDAYS[(now.weekday + days) % 7]
                          : lw_civil_say(day_said, sizeof day_said, now.day + days),
                 at / 60, at % 60);
    return buf;
}

lw_code lw_zone_here(lw_book *book, const char *name, int64_t now_s, lw_zone *zone, lw_err *err)
{
    static const int64_t SPAN_S = 40 * INT64_C(86400);
    char found[48] = "";
    lw_kept_stays open = {0};
    lw_kept_places places = {0};
    lw_code code = LW_OK;
    snprintf(found, sizeof found, "%.47s", name ? name : "");
    if (!found[0])
        code = lw_book_current_stay(book, now_s, &open, err);
    if (!code && open.count)
        code = lw_book_list_places(book, &(lw_kept_key){.id = open.stay[0].place}, &places, err);
    if (!code && places.count && places.place[0].zone)
        snprintf(found, sizeof found, "%.47s", places.place[0].zone);
    if (!found[0])
        lw_zone_machine(found, sizeof found);
    lw_kept_places_clear(&places);
    lw_kept_stays_clear(&open);
    return code ? code : lw_zone_load(found, now_s - SPAN_S, now_s + SPAN_S, zone, err);
}
