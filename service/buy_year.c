#include <math.h>
#include <stdio.h>
#include <string.h>

#include "book/household.h"
#include "exchange/year_file.h"
#include "service/buy.h"
#include "service/household.h"
#include "text/say.h"

/* A name that the file does not place: the book's, where there is one. */
static lw_code find_place(lw_book *book, const lw_year_file *file, const lw_year_file_stay *from, lw_year_stay *to,
                          lw_err *err)
{
    lw_kept_places places = {0};
    int64_t id = 0;
    lw_code code = book ? lw_household_place_named(book, from->place, &id, err) : LW_OK;
    if (!code && id)
        code = lw_book_list_places(book, &(lw_kept_key){.id = id}, &places, err);
    if (!code && places.place && places.count == 1) {
        to->latitude_deg = places.place[0].latitude_deg;
        to->longitude_deg = places.place[0].longitude_deg;
        to->elevation_m = isnan(places.place[0].elevation_m) ? 0.0 : places.place[0].elevation_m;
    } else if (!code)
        code = lw_fail(err, LW_E_MISSING,
                       "%s is not known%s; say its latitude, longitude and elevation, or write place: here for the "
                       "place of the scenario",
                       lw_quoted(from->place, strlen(from->place)).text, book ? " to the book" : "");
    lw_kept_places_clear(&places);
    return code ? lw_err_at(err, file->name, from->line, NULL) : LW_OK;
}

lw_code lw_year_of_file(const char *path, lw_book *book, const lw_loaded *loaded, lw_year *year, lw_err *err)
{
    lw_year_file file;
    lw_code code = lw_year_file_load(path, &file, err);
    *year = (lw_year){.from = LW_YEAR_GIVEN};
    for (int i = 0; i < file.count && !code; i++) {
        const lw_year_file_stay *from = &file.stay[i];
        const lw_place *here = &loaded->scenario->place;
        lw_year_stay *to = &year->stay[year->count++];
        *to = (lw_year_stay){.is_here = from->is_here,
                             .latitude_deg = from->is_here ? here->latitude_deg : from->latitude_deg,
                             .longitude_deg = from->is_here ? here->longitude_deg : from->longitude_deg,
                             .elevation_m = from->is_here ? here->elevation_m : from->elevation_m,
                             .day = from->from_day,
                             .nights = (int)(from->to_day - from->from_day)};
        snprintf(to->name, sizeof to->name, "%s", from->is_here ? here->name : from->place);
        if (!from->is_here && !from->has_spot)
            code = find_place(book, &file, from, to, err);
    }
    return code;
}
