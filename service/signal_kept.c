#include "service/signal_kept.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "book/signal_maps.h"
#include "core/base/hash.h"
#include "service/household.h"
#include "service/signal.h"
#include "service/terrain_import.h"
#include "text/say.h"

static const double PHONE_M = 1.5, DOWN_MBIT = 5.0, UP_MBIT = 1.0; /* as service/camp_sheet.c */

/* What the chance depends on besides the spot: 0 there are no maps. */
static lw_code key_of(lw_book *book, const lw_signal_ask *ask, uint64_t *key, lw_err *err)
{
    int64_t stamp = 0;
    struct stat st;
    const lw_code code = lw_book_signal_stamp(book, &stamp, err);
    *key = 0;
    if (code || stamp == 0)
        return code;
    uint64_t hash = lw_hash(LW_HASH_START, LW_VERSION, sizeof LW_VERSION);
    hash = lw_hash(hash, &stamp, sizeof stamp);
    for (int i = 0; i < ask->line_count; i++) {
        hash = lw_hash(hash, ask->line[i].name, strlen(ask->line[i].name) + 1);
        hash = lw_hash(hash, ask->line[i].network, strlen(ask->line[i].network) + 1);
    }
    if (ask->terrain && ask->terrain[0] && stat(ask->terrain, &st) == 0) {
        const int64_t changed_s = (int64_t)st.st_mtime;
        hash = lw_hash(hash, ask->terrain, strlen(ask->terrain) + 1);
        hash = lw_hash(hash, &changed_s, sizeof changed_s);
    }
    *key = hash ? hash : 1;
    return LW_OK;
}

/* Those that are not kept, reckoned and kept. */
static lw_code reckon(lw_book *book, const lw_signal_ask *ask, lw_seen_signals *rows, lw_err *err)
{
    lw_spot *spot = calloc(rows->count + 1, sizeof *spot);
    double *frac = calloc(rows->count + 1, sizeof *frac);
    int count = 0;
    lw_code code = spot && frac ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for signal at %zu places", rows->count);
    for (size_t i = 0; !code && spot && i < rows->count; i++)
        if (!rows->is_there[i])
            spot[count++] = rows->spot[i];
    if (!code && count) {
        code = lw_signal_predict(ask, &(lw_signal_many){.spot = spot, .count = count, .frac = frac}, err);
        int from = 0;
        for (size_t i = 0; !code && frac && i < rows->count; i++)
            if (!rows->is_there[i])
                rows->frac[i] = frac[from++];
        code = code ? code : lw_book_keep_signals(book, rows, err);
    }
    free(spot);
    free(frac);
    return code;
}

lw_code lw_signal_kept(lw_book *book, int64_t now_s, const lw_spot *spot, int count, double *frac, lw_err *err)
{
    lw_household home = {0};
    lw_err none = {0};
    char folder[LW_TERRAIN_PATH];
    for (int i = 0; i < count; i++)
        frac[i] = (double)NAN;
    if (count == 0 || lw_household_load_last(book, now_s, &home, &none))
        return LW_OK;
    lw_signal_ask *ask = calloc(1, sizeof *ask);
    lw_seen_signals rows = {.spot = spot, .count = (size_t)count, .frac = frac, .is_there = calloc((size_t)count, 1)};
    lw_code code = ask && rows.is_there ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for signal at %d places", count);
    if (!code && ask) {
        lw_signal_ask_of(&home.loaded, ask);
        ask->book = book;
        ask->antenna_m = PHONE_M;
        ask->need = (lw_link_rate){DOWN_MBIT, UP_MBIT};
        if (!ask->terrain[0] && lw_terrain_folder(lw_book_path(book), folder))
            ask->terrain = folder;
        code = key_of(book, ask, &rows.key, err);
        if (!code && rows.key) {
            code = lw_book_signals(book, &rows, err);
            code = code ? code : reckon(book, ask, &rows, err);
        }
    }
    free(ask);
    free(rows.is_there);
    lw_household_clear(&home);
    return code;
}
