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

/* Those that are not kept yet, while they are reckoned. */
typedef struct reckoning {
    lw_book *book;
    const lw_signal_spots *spots;
    lw_seen_signals *rows;
    lw_spot *spot;
    double *frac;
    char *is_done;
    int *at; /* of each its row */
    int count, kept, is_stopped;
    lw_code code;
    lw_err *err;
} reckoning;

/* Rows that are through go into the book; those that are not are passed over. */
static void keep_done(reckoning *r)
{
    char *is_there = r->rows->is_there;
    for (int i = 0; i < r->count; i++)
        if (r->is_done[i])
            r->rows->frac[r->at[i]] = r->frac[i];
        else
            is_there[r->at[i]] = 1;
    r->code = r->code ? r->code : lw_book_keep_signals(r->book, r->rows, r->err);
    for (int i = 0; i < r->count; i++)
        is_there[r->at[i]] = r->is_done[i];
}

static int tell_reckoned(void *with, int done, int of)
{
    reckoning *r = with;
    if (done - r->kept >= LW_SIGNAL_KEEP_EVERY) {
        r->kept = done;
        keep_done(r);
    }
    r->is_stopped = r->spots->tell && !r->spots->tell(r->spots->with, done, of);
    return !r->is_stopped && !r->code;
}

static lw_code reckon_all(const lw_signal_ask *ask, reckoning *r, lw_err *err)
{
    lw_err said = {0};
    for (size_t i = 0; i < r->rows->count; i++)
        if (!r->rows->is_there[i]) {
            r->at[r->count] = (int)i;
            r->spot[r->count++] = r->rows->spot[i];
        }
    if (r->count == 0)
        return LW_OK;
    lw_code code = lw_signal_predict(ask,
                                     &(lw_signal_many){.spot = r->spot,
                                                       .count = r->count,
                                                       .frac = r->frac,
                                                       .is_done = r->is_done,
                                                       .tell = tell_reckoned,
                                                       .with = r},
                                     &said);
    if (r->code)
        return r->code;
    if (code && !r->is_stopped) {
        *err = said;
        return code;
    }
    keep_done(r);
    int done = 0;
    for (int i = 0; i < r->count; i++)
        done += r->is_done[i];
    if (!r->code && r->is_stopped && done < r->count)
        return lw_fail(err, LW_E_CONFLICT, "stopped; the signal at %d of %d places is worked out and kept", done,
                       r->count);
    return r->code;
}

static lw_code reckon(lw_book *book, const lw_signal_ask *ask, const lw_signal_spots *spots, lw_seen_signals *rows,
                      lw_err *err)
{
    reckoning r = {.book = book,
                   .spots = spots,
                   .rows = rows,
                   .spot = calloc(rows->count + 1, sizeof *r.spot),
                   .frac = calloc(rows->count + 1, sizeof *r.frac),
                   .is_done = calloc(rows->count + 1, 1),
                   .at = calloc(rows->count + 1, sizeof *r.at),
                   .err = err};
    const lw_code code = r.spot && r.frac && r.is_done && r.at
                             ? reckon_all(ask, &r, err)
                             : lw_fail(err, LW_E_FULL, "no memory for signal at %zu places", rows->count);
    free(r.spot);
    free(r.frac);
    free(r.is_done);
    free(r.at);
    return code;
}

lw_code lw_signal_kept(lw_book *book, int64_t now_s, const lw_signal_spots *spots, double *frac, lw_err *err)
{
    const int count = spots->count;
    lw_household home = {0};
    lw_err none = {0};
    char folder[LW_TERRAIN_PATH];
    for (int i = 0; i < count; i++)
        frac[i] = (double)NAN;
    if (count == 0 || lw_household_load_last(book, now_s, &home, &none))
        return LW_OK;
    lw_signal_ask *ask = calloc(1, sizeof *ask);
    lw_seen_signals rows = {
        .spot = spots->spot, .count = (size_t)count, .frac = frac, .is_there = calloc((size_t)count, 1)};
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
            code = code ? code : reckon(book, ask, spots, &rows, err);
        }
    }
    free(ask);
    free(rows.is_there);
    lw_household_clear(&home);
    return code;
}
