#include "service/place_known.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/terrain.h"
#include "service/land_at.h"
#include "service/terrain_import.h"

static void find_terrain(lw_book *book, lw_place_known *known)
{
    char folder[LW_TERRAIN_PATH];
    if (!lw_terrain_folder(lw_book_path(book), folder) || !lw_terrain_has(folder, known->spot))
        return;
    char *whole = realpath(folder, NULL);
    if (whole && strlen(whole) < sizeof known->terrain)
        memcpy(known->terrain, whole, strlen(whole) + 1);
    free(whole);
}

static void find_rule(lw_book *book, lw_place_known *known)
{
    lw_land_here here = {0};
    lw_err ignored = {0};
    int64_t count = 0;
    if (lw_book_lands_count(book, &count, &ignored) || count == 0 || lw_land_at(book, known->spot, &here, &ignored))
        return;
    const lw_kept_land *land = here.lands.count ? &here.lands.land[0] : NULL;
    const lw_land_told *told = here.told;
    if (land && land->border_m > LW_LAND_NEAR_M && told[0].has_number) {
        snprintf(known->rule, sizeof known->rule, "%.47s", told[0].rule);
        snprintf(known->rule_kind, sizeof known->rule_kind, "%.23s", told[0].rule_kind);
        snprintf(known->rule_source, sizeof known->rule_source,
                 "what is usual on land of this manager, by the map %.50s; ask the office whether it holds here",
                 land->source);
    }
    lw_land_here_clear(&here);
}

void lw_place_known_find(lw_book *book, lw_spot spot, lw_place_known *known)
{
    *known = (lw_place_known){.spot = spot};
    find_terrain(book, known);
    find_rule(book, known);
}
