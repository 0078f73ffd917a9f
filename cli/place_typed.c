#include "cli/place_typed.h"

#include <string.h>

#include "book/household.h"
#include "service/household.h"
#include "text/say.h"
#include "text/spot_typed.h"

static lw_code find_stay(lw_book *book, int64_t now_s, lw_spot *spot, lw_err *err)
{
    lw_household home = {0};
    const lw_code code = lw_household_load(book, now_s, 0, &home, err);
    if (!code)
        *spot = (lw_spot){home.loaded.scenario->place.latitude_deg, home.loaded.scenario->place.longitude_deg};
    lw_household_clear(&home);
    return code;
}

static lw_code find_place(lw_book *book, const char *name, lw_spot *spot, lw_err *err)
{
    lw_kept_places places = {0};
    lw_code code = lw_book_list_places(book, &(lw_kept_key){.name = name}, &places, err);
    if (!code && places.count == 0)
        code = lw_fail(err, LW_E_MISSING, "the book has no place %s; name one, or a spot such as 38.2,-111.1",
                       lw_quoted(name, strlen(name)).text);
    if (!code)
        *spot = (lw_spot){places.place[0].latitude_deg, places.place[0].longitude_deg};
    lw_kept_places_clear(&places);
    return code;
}

lw_code lw_place_typed(lw_book *book, const char *text, int64_t now_s, lw_spot *spot, lw_err *err)
{
    lw_fault fault;
    if (!text)
        return find_stay(book, now_s, spot, err);
    if (!lw_spot_typed(text, spot))
        return find_place(book, text, spot, err);
    return lw_spot_check(spot, &fault) ? lw_fault_say(&fault, err) : LW_OK;
}
