/* Where a question about signal comes from: a scenario, and the readings in the book. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/entries.h"
#include "book/household.h"
#include "service/camps.h"
#include "service/signal.h"
#include "service/signal_log.h"
#include "text/say.h"

void lw_signal_ask_of(const lw_loaded *loaded, lw_signal_ask *ask)
{
    const lw_scenario *s = loaded->scenario;
    snprintf(ask->name, sizeof ask->name, "%s", s->place.name);
    ask->spot = (lw_spot){s->place.latitude_deg, s->place.longitude_deg};
    ask->terrain = loaded->terrain_path;
    ask->towers = loaded->towers_path;
    ask->coverage = loaded->coverage_path;
    for (int i = 0; i < loaded->connection_count && ask->line_count < LW_LINES_MOST; i++) {
        lw_signal_line *line = &ask->line[ask->line_count++];
        snprintf(line->name, sizeof line->name, "%s", s->rig.vessel[loaded->connection[i].vessel].name);
        snprintf(line->network, sizeof line->network, "%s", loaded->connection[i].network);
    }
}

static const lw_kept_place *place_of(const lw_kept_stays *stays, const lw_kept_places *places, int64_t stay)
{
    for (size_t i = 0; i < stays->count; i++)
        for (size_t k = 0; stays->stay[i].id == stay && k < places->count; k++)
            if (places->place[k].id == stays->stay[i].place)
                return &places->place[k];
    return NULL;
}

static lw_code take_entries(const lw_entries *entries, const lw_kept_stays *stays, const lw_kept_places *places,
                            lw_signal_ask *ask, lw_err *err)
{
    ask->own = calloc(entries->count ? entries->count : 1, sizeof *ask->own);
    if (!ask->own)
        return lw_fail(err, LW_E_FULL, "no memory for the signal log");
    for (size_t i = 0; i < entries->count; i++) {
        const lw_kept_place *place = place_of(stays, places, entries->entry[i].stay);
        lw_signal signal;
        lw_signal_of_entry(&entries->entry[i], &signal);
        if (!place || !signal.carrier[0])
            continue;
        lw_own_signal *own = &ask->own[ask->own_count++];
        *own = (lw_own_signal){.has_antenna = signal.antenna[0] != '\0',
                               .spot = {place->latitude_deg, place->longitude_deg},
                               .dbm = signal.dbm,
                               .down_mbit = signal.down_mbit,
                               .up_mbit = signal.up_mbit,
                               .call = signal.call};
        snprintf(own->carrier, sizeof own->carrier, "%s", signal.carrier);
    }
    return LW_OK;
}

lw_code lw_signal_own(lw_book *book, int64_t now_s, lw_signal_ask *ask, lw_err *err)
{
    lw_kept_stays stays = {0};
    lw_kept_places places = {0};
    lw_entries entries = {0};
    const lw_history which = {
        .from_s = now_s - (int64_t)LW_SIGNAL_OWN_DAYS * 86400, .to_s = INT64_MAX, .kinds = 1u << LW_ENTRY_SIGNAL};
    lw_signal_ask_clear(ask);
    lw_code code = lw_book_list_stays(book, NULL, &stays, err);
    code = code ? code : lw_book_list_places(book, NULL, &places, err);
    code = code ? code : lw_book_history(book, &which, &entries, err);
    code = code ? code : take_entries(&entries, &stays, &places, ask, err);
    lw_entries_clear(&entries);
    lw_kept_places_clear(&places);
    lw_kept_stays_clear(&stays);
    return code;
}

void lw_signal_ask_clear(lw_signal_ask *ask)
{
    free(ask->own);
    ask->own = NULL;
    ask->own_count = 0;
}

lw_code lw_signal_roads(lw_book *book, int64_t here_s, const lw_signal_reach *reach, lw_road *road, lw_err *err)
{
    lw_roads roads = {0};
    lw_camps camps = {0};
    lw_code code = LW_OK;
    if (book) {
        code = lw_camps_load(book, &camps, err);
        code = code ? code : lw_roads_open(book, &camps, here_s, &roads, err);
    }
    for (int i = 0; i < reach->count && !code; i++)
        road[i] = lw_roads_between(&roads, reach->from, reach->spot[i].is_found ? reach->spot[i].spot : reach->from);
    lw_roads_clear(&roads);
    lw_camps_clear(&camps);
    return code;
}
