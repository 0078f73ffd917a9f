#include "service/signal.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "core/land/radio.h"
#include "core/land/skyline.h"
#include "book/signal_maps.h"
#include "exchange/terrain.h"
#include "service/pool.h"
#include "text/say.h"

static const double MASTS_M = 40000.0, OWN_M = 10000.0, HERE_M = 100.0, TRIED_M = 1000.0, TWICE_M = 1000.0;
static const double F_GHZ = 0.8, MAST_HEIGHT_M = 30.0, PHONE_M = 1.5, LEAST_WAY_M = 250.0;
static const double LAPSE_NUPKM = 45.0, N0 = 320.0, INLAND_KM = 500.0; /* mid-latitude land */
static const double HALF_LOAD_DB = -3.0103, NOISE_DB = 9.0, PHONE_DBM = 23.0, DISH_DEG = 25.0, ROOF_M = 3.0;
static const lw_link_cell CELL = {.re_dbm = 25.0, .port_dbm = 15.2, .bandwidth_mhz = 10.0, .users = 4.0};
enum { PATH_POINTS = 201 };

/* What the questions of one answer share. */
typedef struct work {
    const lw_signal_ask *ask;
    lw_signal_answer *answer;
    lw_towers towers;
    lw_coverages coverages;
    lw_terrain_files terrain;
    double d_km[PATH_POINTS], h_m[PATH_POINTS];
    long points, unknown;
    int is_for_lines; /* masts of other networks are left aside: the list has room for so many */
} work;

typedef struct antenna {
    double height_m;
    lw_link_end end;
} antenna;

static void note(lw_signal_answer *answer, const char *text)
{
    if (answer->note_count < LW_SIGNAL_NOTES)
        snprintf(answer->note[answer->note_count++], LW_SIGNAL_TEXT, "%s", text);
}

/* ---- prediction ---- */

/* Loss from a mast to a point. Nearer than the method reaches it is that of free space. */
static double loss_db(work *w, lw_spot mast, lw_spot spot, double height_m, double *free_db)
{
    const double way_m = fmax(lw_distance_m(mast, spot), 20.0);
    *free_db = 92.45 + 20.0 * log10(F_GHZ) + 20.0 * log10(way_m / 1000.0);
    if (way_m < LEAST_WAY_M)
        return *free_db;
    const int unknown = lw_terrain_between(&w->terrain.terrain, mast, spot, PATH_POINTS, w->d_km, w->h_m);
    w->points += PATH_POINTS;
    w->unknown += unknown;
    for (int i = 0; i < PATH_POINTS && unknown == PATH_POINTS; i++)
        w->h_m[i] = 0.0;
    const lw_profile profile = {.count = PATH_POINTS, .d_km = w->d_km, .h_m = w->h_m};
    lw_radio radio;
    lw_radio_of(&(lw_radio_in){.profile = &profile,
                               .f_ghz = F_GHZ,
                               .tx_m = MAST_HEIGHT_M,
                               .rx_m = height_m,
                               .is_vertical = 1,
                               .time_pct = 50.0,
                               .place_pct = 50.0,
                               .dn_nupkm = LAPSE_NUPKM,
                               .n0 = N0,
                               .latitude_deg = 0.5 * (mast.latitude_deg + spot.latitude_deg),
                               .coast_tx_km = INLAND_KM,
                               .coast_rx_km = INLAND_KM},
                &radio);
    *free_db = radio.free_db;
    return radio.loss_db;
}

static void network_of(const lw_tower *tower, char network[LW_NETWORK])
{
    snprintf(network, LW_NETWORK, "%d-%d", tower->mcc, tower->net);
}

static int is_of(const lw_tower *tower, const char *network)
{
    char own[LW_NETWORK];
    network_of(tower, own);
    return strcmp(own, network) == 0;
}

typedef struct served {
    int masts;
    const lw_tower *best;
    double dbm, free_db, loss_db, disturb_dbm; /* dbm NaN: no mast */
} served;

static served serve(work *w, const char *network, lw_spot spot, const antenna *a)
{
    static const double NONE = -INFINITY;
    double *dbm = calloc(LW_TOWERS, sizeof *dbm);
    served s = {.dbm = (double)NAN, .disturb_dbm = NONE};
    for (int i = 0; dbm && i < w->towers.count; i++) {
        const lw_tower *t = &w->towers.tower[i];
        double free_db;
        dbm[i] = NONE; /* too far to disturb, or of somebody else */
        if (!is_of(t, network) || lw_distance_m(t->spot, spot) > MASTS_M + OWN_M)
            continue;
        const double loss = loss_db(w, t->spot, spot, a->height_m, &free_db);
        dbm[i] = lw_link_rsrp_dbm(&CELL, &a->end, loss);
        s.masts++;
        if (s.best && dbm[i] <= s.dbm)
            continue;
        s.best = t;
        s.dbm = dbm[i];
        s.free_db = free_db;
        s.loss_db = loss;
    }
    for (int i = 0; dbm && s.best && i < w->towers.count; i++) {
        const lw_tower *t = &w->towers.tower[i];
        if (dbm[i] > NONE && t->radio == s.best->radio && lw_distance_m(t->spot, s.best->spot) > TWICE_M)
            s.disturb_dbm = lw_link_sum_dbm(s.disturb_dbm, dbm[i] + HALF_LOAD_DB);
    }
    free(dbm);
    return s;
}

static double bearing_deg(lw_spot from, lw_spot to)
{
    const double rad = 0.017453292519943295, a = from.latitude_deg * rad, b = to.latitude_deg * rad,
                 east = (to.longitude_deg - from.longitude_deg) * rad;
    return fmod(atan2(sin(east) * cos(b), cos(a) * sin(b) - sin(a) * cos(b) * cos(east)) / rad + 360.0, 360.0);
}

/* ---- one carrier ---- */

/* "Anycell" is "ANYCELL" and begins "Anycell USA". */
static int is_name(const char *name, const char *other)
{
    const size_t n = strlen(name);
    return n > 0 && strncasecmp(name, other, n) == 0 && (other[n] == '\0' || other[n] == ' ' || other[n] == ',');
}

static antenna asked_antenna(const lw_signal_ask *ask)
{
    return (antenna){ask->antenna_m, {ask->gain_dbi, ask->cable_db, NOISE_DB, PHONE_DBM}};
}

static int is_enough(const lw_own_signal *own, const lw_link_rate *need)
{
    return own->call != 0 && !(own->down_mbit < need->down_mbit) && !(own->up_mbit < need->up_mbit);
}

/* Own readings of this carrier as evidence; those of one spot and antenna share their prediction. */
static int gather_own(work *w, lw_carrier_signal *to, lw_measured *measured)
{
    const antenna phone = {PHONE_M, {0.0, 0.0, NOISE_DB, PHONE_DBM}}, asked = asked_antenna(w->ask);
    const lw_own_signal *before = NULL;
    double predicted_dbm = (double)NAN, sum_dbm = 0.0;
    int count = 0;
    for (int i = 0; i < w->ask->own_count && count < LW_MEASURED_MOST; i++) {
        const lw_own_signal *own = &w->ask->own[i];
        const double way_m = lw_distance_m(own->spot, w->ask->spot);
        if (!is_name(to->name, own->carrier) || way_m > OWN_M)
            continue;
        if (way_m <= TRIED_M && (own->call >= 0 || !isnan(own->down_mbit) || !isnan(own->up_mbit))) {
            to->tried++;
            to->worked += is_enough(own, &w->ask->need);
        }
        if (isnan(own->dbm))
            continue;
        if (!before || before->has_antenna != own->has_antenna || lw_distance_m(before->spot, own->spot) > 1.0)
            predicted_dbm = serve(w, to->network, own->spot, own->has_antenna ? &asked : &phone).dbm;
        before = own;
        measured[count++] = (lw_measured){own->dbm, predicted_dbm, way_m};
        to->nearest_m = isnan(to->nearest_m) ? way_m : fmin(to->nearest_m, way_m);
        if (way_m <= HERE_M) {
            to->here_count++;
            sum_dbm += own->dbm;
        }
    }
    to->own_count = count;
    to->here_dbm = to->here_count ? sum_dbm / to->here_count : (double)NAN;
    return count;
}

static void find_claim(const work *w, lw_carrier_signal *to)
{
    to->claim = LW_CLAIM_UNKNOWN;
    for (int i = 0; i < w->coverages.count; i++) {
        const lw_coverage *c = &w->coverages.of[i];
        if (!is_name(to->name, c->who) && strcmp(to->network, c->who) != 0)
            continue;
        if (to->claim != LW_CLAIM_YES)
            to->coverage = *c;
        to->claim = c->is_claimed || to->claim == LW_CLAIM_YES ? LW_CLAIM_YES : LW_CLAIM_NO;
    }
}

static void judge(work *w, lw_carrier_signal *to)
{
    lw_measured *measured = calloc(LW_MEASURED_MOST, sizeof *measured);
    const antenna asked = asked_antenna(w->ask);
    const served s = serve(w, to->network, w->ask->spot, &asked);
    to->masts = s.masts;
    to->predicted_dbm = s.dbm;
    to->free_db = s.free_db;
    to->loss_db = s.loss_db;
    to->disturb_dbm = s.disturb_dbm;
    to->nearest_m = (double)NAN;
    if (s.best) {
        to->best = *s.best;
        to->toward_deg = bearing_deg(w->ask->spot, s.best->spot);
    }
    find_claim(w, to);
    const int count = measured ? gather_own(w, to, measured) : 0;
    to->belief = lw_belief_join(&(lw_evidence){.predicted_dbm = s.dbm,
                                               .has_terrain = w->answer->has_terrain,
                                               .claim = to->claim,
                                               .measured = measured,
                                               .measured_count = count});
    to->wanted_dbm = lw_link_wanted_dbm(&CELL, &asked.end, w->ask->need, s.disturb_dbm);
    if (to->belief.has_any)
        to->rate = lw_link_rate_of(&CELL, &asked.end, to->belief.dbm, s.disturb_dbm);
    to->frac = lw_belief_seen(lw_belief_frac(&to->belief, to->wanted_dbm), to->worked, to->tried);
    free(measured);
}

/* ---- all of them ---- */

static lw_carrier_signal *add_carrier(lw_signal_answer *answer, const char *name, const char *network, int is_line)
{
    if (answer->carrier_count == LW_CARRIERS)
        return NULL;
    lw_carrier_signal *c = &answer->carrier[answer->carrier_count++];
    *c = (lw_carrier_signal){.is_line = is_line};
    snprintf(c->name, sizeof c->name, "%s", name);
    snprintf(c->network, sizeof c->network, "%s", network);
    return c;
}

static int has_network(const lw_signal_answer *answer, const char *network)
{
    for (int i = 0; i < answer->carrier_count; i++)
        if (strcmp(answer->carrier[i].network, network) == 0)
            return 1;
    return 0;
}

static int has_name(const lw_signal_answer *answer, const char *name)
{
    for (int i = 0; i < answer->carrier_count; i++)
        if (is_name(answer->carrier[i].name, name) || strcmp(answer->carrier[i].network, name) == 0)
            return 1;
    return 0;
}

/* The household's lines first, then whatever else the files and the book know. */
static void list_carriers(work *w)
{
    char network[LW_NETWORK];
    for (int i = 0; i < w->ask->line_count; i++)
        (void)add_carrier(w->answer, w->ask->line[i].name, w->ask->line[i].network, 1);
    for (int i = 0; i < w->ask->own_count; i++)
        if (!has_name(w->answer, w->ask->own[i].carrier) && lw_distance_m(w->ask->own[i].spot, w->ask->spot) <= OWN_M)
            (void)add_carrier(w->answer, w->ask->own[i].carrier, "", 0);
    for (int i = 0; i < w->coverages.count; i++)
        if (!has_name(w->answer, w->coverages.of[i].who))
            (void)add_carrier(w->answer, w->coverages.of[i].who, "", 0);
    for (int i = 0; i < w->towers.count; i++) {
        network_of(&w->towers.tower[i], network);
        if (!has_network(w->answer, network))
            (void)add_carrier(w->answer, network, network, 0);
    }
}

static void sum_up(work *w)
{
    lw_signal_answer *a = w->answer;
    double frac[LW_CARRIERS];
    int count = 0;
    for (int i = 0; i < a->carrier_count; i++)
        if ((a->carrier[i].is_line || !w->ask->line_count) && !isnan(a->carrier[i].frac) && count < LW_LINES_MOST)
            frac[count++] = a->carrier[i].frac;
    a->any_frac = count ? lw_belief_any(frac, count) : (double)NAN;
    a->unknown_frac = w->points ? (double)w->unknown / (double)w->points : 0.0;
}

static void note_what_is_missing(work *w)
{
    lw_signal_answer *a = w->answer;
    char text[LW_SIGNAL_TEXT];
    if (!a->tower_count && !a->has_masts)
        note(a, "No list of masts near is known, so nothing is predicted: import one, or name its file.");
    else if (!a->tower_count)
        note(a, "The list of masts has none with LTE or NR within 40 km.");
    else if (!a->has_terrain)
        note(a, "No terrain is known: the ground is taken as level, and hills may take 20 to 60 dB more. Import its "
                "tiles, or name their folder.");
    else if (a->unknown_frac > 0.02) {
        snprintf(text, sizeof text,
                 "Tiles are missing for %.0f %% of the ground under the paths; it is taken from its edges.",
                 100.0 * a->unknown_frac);
        note(a, text);
    }
    for (int i = 0; i < a->carrier_count && a->tower_count; i++)
        if (a->carrier[i].is_line && !a->carrier[i].network[0]) {
            snprintf(text, sizeof text,
                     "%.60s has no codes of its network, so that its masts are not known; say them where the rig's "
                     "data are described, such as network: 310-260.",
                     a->carrier[i].name);
            note(a, text);
        }
    if (a->tower_count)
        note(a, "Of each mast are assumed: 800 MHz, 10 MHz wide, 30 m high, 20 W, an unknown direction, four users at "
                "a time.");
    note(a, "How busy the mast and what your plan allows at an hour is not in this; an antenna may be raised or "
            "turned, a measurement here tells most.");
}

static int is_named(const char *path)
{
    return path && path[0];
}

static int is_of_line(const lw_signal_ask *ask, const lw_kept_cell *cell)
{
    char network[LW_NETWORK];
    snprintf(network, sizeof network, "%d-%d", cell->mcc, cell->net);
    for (int i = 0; i < ask->line_count; i++)
        if (strcmp(ask->line[i].network, network) == 0)
            return 1;
    return ask->line_count == 0;
}

static lw_code add_cell(void *context, const lw_kept_cell *cell, lw_err *err)
{
    work *w = context;
    (void)err;
    w->towers.rows++;
    if (w->is_for_lines && !is_of_line(w->ask, cell))
        return LW_OK;
    lw_towers_add(&w->towers, w->ask->spot,
                  &(lw_tower){.mcc = cell->mcc,
                              .net = cell->net,
                              .radio = cell->radio ? LW_RADIO_NR : LW_RADIO_LTE,
                              .mast = cell->mast,
                              .spot = cell->spot,
                              .way_m = lw_distance_m(w->ask->spot, cell->spot),
                              .samples = cell->samples,
                              .is_exact = cell->is_exact,
                              .cells = 1});
    return LW_OK;
}

static lw_code add_coverage(void *context, const lw_kept_coverage *kept, lw_err *err)
{
    work *w = context;
    lw_coverage_row row = {.technology = kept->technology,
                           .is_in_vehicles = kept->is_in_vehicles,
                           .down_mbit = kept->down_mbit,
                           .up_mbit = kept->up_mbit};
    snprintf(row.who, sizeof row.who, "%.*s", LW_COVERAGE_NAME - 1, kept->who);
    return lw_coverages_add(&w->coverages, &row, kept->is_here, err);
}

/* What is named goes before what the book has. */
static lw_code load_files(work *w, double reach_m, lw_err *err)
{
    const lw_signal_ask *ask = w->ask;
    lw_code code = LW_OK;
    if (is_named(ask->towers))
        code = lw_towers_load(ask->towers, ask->spot, MASTS_M + reach_m, &w->towers, err);
    else if (ask->book)
        code = lw_book_cells_near(ask->book, ask->spot, MASTS_M + reach_m, add_cell, w, err);
    if (!code && is_named(ask->coverage))
        code = lw_coverages_load(ask->coverage, ask->spot, &w->coverages, err);
    else if (!code && ask->book)
        code = lw_book_coverage_at(ask->book, ask->spot, add_coverage, w, err);
    w->answer->has_masts = is_named(ask->towers) || w->towers.rows > 0;
    w->answer->has_coverage = w->coverages.count > 0;
    if (!code && ask->terrain && ask->terrain[0]) {
        code = lw_terrain_files_open(ask->terrain, &w->terrain, err);
        code = code ? code : lw_terrain_files_around(&w->terrain, ask->spot, MASTS_M + reach_m, err);
        w->answer->has_terrain = !code;
        if (code == LW_E_MISSING && ask->is_own_terrain) {
            *err = (lw_err){0};
            code = LW_OK;
        }
    }
    return code;
}

/* A dish that looks at the sky: what the land leaves above 25 deg, by solid angle. */
static double sky_frac(const work *w)
{
    const double floor_sin = sin(DISH_DEG * 0.017453292519943295);
    lw_skyline *line = calloc(1, sizeof *line);
    double sum = (double)NAN;
    if (line && w->answer->has_terrain &&
        lw_terrain_skyline(&w->terrain.terrain, w->ask->spot, ROOF_M, MASTS_M, line)) {
        sum = 0.0;
        for (int i = 0; i < LW_SKYLINE_POINTS; i++)
            sum += (1.0 - fmax(floor_sin, sin(line->seen_deg[i] * 0.017453292519943295))) / (1.0 - floor_sin);
        sum /= LW_SKYLINE_POINTS;
    }
    free(line);
    return sum;
}

static lw_code check_ask(const lw_signal_ask *ask, lw_err *err)
{
    const lw_want want[] = {
        {"antenna_m", ask->antenna_m, 1.0, 100.0},   {"gain_dbi", ask->gain_dbi, -20.0, 40.0},
        {"cable_db", ask->cable_db, 0.0, 60.0},      {"down_mbit", ask->need.down_mbit, 0.0, 1000.0},
        {"up_mbit", ask->need.up_mbit, 0.0, 1000.0},
    };
    lw_fault fault;
    if (lw_spot_check(&ask->spot, &fault) || lw_want_all(&fault, LW_WANTS(want)))
        return lw_fault_say(&fault, err);
    return LW_OK;
}

lw_code lw_signal_make(const lw_signal_ask *ask, lw_signal_answer *answer, lw_err *err)
{
    lw_code code = check_ask(ask, err);
    work *w = code ? NULL : calloc(1, sizeof *w);
    if (code)
        return code;
    if (!w)
        return lw_fail(err, LW_E_FULL, "no memory for an answer about signal");
    *answer = (lw_signal_answer){.ask = *ask};
    answer->ask.own = NULL;
    answer->ask.own_count = 0;
    w->ask = ask;
    w->answer = answer;
    code = load_files(w, 0.0, err);
    if (!code) {
        answer->tower_rows = w->towers.rows;
        answer->tower_count = w->towers.count;
        list_carriers(w);
        for (int i = 0; i < answer->carrier_count; i++)
            judge(w, &answer->carrier[i]);
        sum_up(w);
        answer->sky_frac = sky_frac(w);
        note_what_is_missing(w);
    }
    lw_terrain_files_clear(&w->terrain);
    free(w);
    return code;
}

/* ---- at many spots ---- */

static const double REACH_DEG = 0.5; /* spots of one such square share their tiles */
enum { BATCH = 64 };

typedef struct ordered {
    int at, row, column;
} ordered;

typedef struct batch {
    work *work; /* BATCH of them, with the terrain of the first */
    lw_signal_answer *answer;
    lw_signal_ask *ask;
    int at[BATCH], count;
    const lw_signal_many *many;
} batch;

static int by_square(const void *a, const void *b)
{
    const ordered *x = a, *y = b;
    return x->row != y->row         ? (x->row > y->row) - (x->row < y->row)
           : x->column != y->column ? (x->column > y->column) - (x->column < y->column)
                                    : (x->at > y->at) - (x->at < y->at);
}

static void judge_one(void *with, int worker, int at)
{
    const batch *b = with;
    work *w = &b->work[at];
    (void)worker;
    list_carriers(w);
    for (int i = 0; i < w->answer->carrier_count; i++)
        if (w->answer->carrier[i].is_line || !w->ask->line_count)
            judge(w, &w->answer->carrier[i]);
    sum_up(w);
    b->many->frac[b->at[at]] = w->answer->any_frac;
    if (b->many->is_done)
        b->many->is_done[b->at[at]] = 1;
}

/* What the book has around one spot; the terrain is there already. */
static lw_code gather_one(batch *b, const lw_signal_ask *ask, int at, int has_terrain, lw_err *err)
{
    const int i = b->count;
    work *w = &b->work[i];
    b->ask[i] = *ask;
    b->ask[i].own = NULL;
    b->ask[i].own_count = 0;
    b->ask[i].spot = b->many->spot[at];
    b->answer[i] = (lw_signal_answer){.has_terrain = has_terrain};
    *w = (work){.is_for_lines = 1,
                .ask = &b->ask[i],
                .answer = &b->answer[i],
                .terrain.terrain = b->work[BATCH].terrain.terrain};
    b->at[b->count++] = at;
    const lw_code code = lw_book_cells_near(ask->book, w->ask->spot, MASTS_M, add_cell, w, err);
    return code ? code : lw_book_coverage_at(ask->book, w->ask->spot, add_coverage, w, err);
}

/* Spots from `from` on that lie in one square. */
static int square_end(const ordered *order, int from, int count)
{
    int to = from;
    while (to < count && order[to].row == order[from].row && order[to].column == order[from].column)
        to++;
    return to;
}

static lw_code predict_square(batch *b, const lw_signal_ask *ask, const ordered *order, int from, int to, lw_err *err)
{
    lw_terrain_files *files = &b->work[BATCH].terrain;
    const lw_spot middle = {(order[from].row + 0.5) * REACH_DEG, (order[from].column + 0.5) * REACH_DEG};
    lw_err ignored = {0};
    const int is_open = files->path[0] != '\0';
    if (is_open) /* a middle without a tile is no failure */
        ignored.code = lw_terrain_files_around(files, middle, MASTS_M + 0.5 * REACH_DEG * 111194.9, &ignored);
    lw_code code = LW_OK;
    for (int i = from; i < to && !code; i++) {
        const int has_terrain = is_open && !isnan(lw_terrain_m(&files->terrain, b->many->spot[order[i].at]));
        code = gather_one(b, ask, order[i].at, has_terrain, err);
        if (code || (b->count < BATCH && i + 1 < to))
            continue;
        lw_pool_run(lw_pool_threads(0), b->count, judge_one, b);
        b->count = 0;
        if (b->many->tell && !b->many->tell(b->many->with, i + 1, b->many->count))
            code = lw_fail(err, LW_E_CONFLICT, "stopped");
    }
    return code;
}

lw_code lw_signal_predict(const lw_signal_ask *ask, const lw_signal_many *many, lw_err *err)
{
    ordered *order = calloc((size_t)many->count + 1, sizeof *order);
    batch b = {.work = calloc(BATCH + 1, sizeof *b.work),
               .answer = calloc(BATCH, sizeof *b.answer),
               .ask = calloc(BATCH, sizeof *b.ask),
               .many = many};
    lw_code code = LW_OK;
    if (!order || !b.work || !b.answer || !b.ask) {
        code = lw_fail(err, LW_E_FULL, "no memory for signal at %d places", many->count);
    } else {
        lw_err ignored = {0};
        for (int i = 0; i < many->count; i++)
            order[i] = (ordered){i, (int)floor(many->spot[i].latitude_deg / REACH_DEG),
                                 (int)floor(many->spot[i].longitude_deg / REACH_DEG)};
        qsort(order, (size_t)many->count, sizeof *order, by_square);
        if (is_named(ask->terrain) && lw_terrain_files_open(ask->terrain, &b.work[BATCH].terrain, &ignored))
            b.work[BATCH].terrain.path[0] = '\0';
        for (int from = 0, to; from < many->count && !code; from = to) {
            to = square_end(order, from, many->count);
            code = predict_square(&b, ask, order, from, to, err);
        }
        lw_terrain_files_clear(&b.work[BATCH].terrain);
    }
    free(order);
    free(b.work);
    free(b.answer);
    free(b.ask);
    return code;
}

/* ---- where to go for it ---- */

static const double RINGS_M[] = {1000.0,  2000.0,  3000.0,  4500.0,  6500.0, 9000.0,
                                 12000.0, 16000.0, 21000.0, 27000.0, 35000.0};
enum { RINGS = sizeof RINGS_M / sizeof RINGS_M[0], DIRECTIONS = 16 };

/* By the prediction alone: what coverage claims is weak, and own readings have their own way in. */
static double chance_at(work *w, const char *network, lw_spot spot)
{
    const antenna asked = asked_antenna(w->ask);
    const served s = serve(w, network, spot, &asked);
    const lw_belief belief = lw_belief_join(
        &(lw_evidence){.predicted_dbm = s.dbm, .has_terrain = w->answer->has_terrain, .claim = LW_CLAIM_UNKNOWN});
    return lw_belief_frac(&belief, lw_link_wanted_dbm(&CELL, &asked.end, w->ask->need, s.disturb_dbm));
}

static void find_own(const work *w, lw_signal_spot *to)
{
    for (int i = 0; i < w->ask->own_count; i++) {
        const lw_own_signal *own = &w->ask->own[i];
        const double way_m = lw_distance_m(own->spot, w->ask->spot);
        const int is_tried = own->call == 1 || !isnan(own->down_mbit) || !isnan(own->up_mbit);
        if (!is_name(to->name, own->carrier) || !is_tried || !is_enough(own, &w->ask->need) ||
            way_m > RINGS_M[RINGS - 1] || (to->is_found && way_m >= to->way_m))
            continue;
        to->is_found = to->is_own = 1;
        to->spot = own->spot;
        to->way_m = way_m;
        to->frac = lw_belief_seen((double)NAN, 1, 1);
    }
}

/* The spot itself, else the first ring with one that is good enough, and the best of it; none behind what worked before. */
static void find_ring(work *w, double chance_frac, lw_signal_spot *to)
{
    const double here_frac = chance_at(w, to->network, w->ask->spot);
    int is_done = here_frac >= chance_frac && !(to->is_found && to->way_m <= 0.0);
    if (is_done) {
        to->is_found = 1;
        to->is_own = 0;
        to->spot = w->ask->spot;
        to->way_m = 0.0;
        to->frac = here_frac;
    }
    for (int r = 0; r < RINGS && !is_done && (!to->is_found || RINGS_M[r] < to->way_m); r++)
        for (int d = 0; d < DIRECTIONS; d++) {
            const lw_walk walk = lw_walk_of(w->ask->spot, d * 360.0 / DIRECTIONS);
            const lw_spot spot = lw_walk_at(&walk, RINGS_M[r]);
            const double frac = chance_at(w, to->network, spot);
            if (!(frac >= chance_frac) || (is_done && frac <= to->frac))
                continue;
            is_done = to->is_found = 1;
            to->is_own = 0;
            to->spot = spot;
            to->way_m = RINGS_M[r];
            to->frac = frac;
        }
}

lw_code lw_signal_reach_make(const lw_signal_ask *ask, double chance_frac, lw_signal_reach *reach, lw_err *err)
{
    lw_signal_answer *answer = calloc(1, sizeof *answer);
    work *w = calloc(1, sizeof *w);
    lw_code code = answer && w ? check_ask(ask, err) : lw_fail(err, LW_E_FULL, "no memory for an answer about signal");
    if (!code && answer && w) {
        *reach = (lw_signal_reach){.from = ask->spot, .chance_frac = chance_frac};
        snprintf(reach->name, sizeof reach->name, "%s", ask->name);
        w->ask = ask;
        w->answer = answer;
        w->is_for_lines = 1;
        code = load_files(w, RINGS_M[RINGS - 1], err);
        if (!code)
            list_carriers(w);
        for (int i = 0; i < answer->carrier_count && !code; i++) {
            const lw_carrier_signal *c = &answer->carrier[i];
            if (!c->is_line && ask->line_count)
                continue;
            lw_signal_spot *to = &reach->spot[reach->count++];
            snprintf(to->name, sizeof to->name, "%s", c->name);
            snprintf(to->network, sizeof to->network, "%s", c->network);
            find_own(w, to);
            if (c->network[0] && w->towers.count)
                find_ring(w, chance_frac, to);
            to->toward_deg = to->is_found ? bearing_deg(ask->spot, to->spot) : 0.0;
        }
        reach->has_terrain = answer->has_terrain;
        reach->tower_count = w->towers.count;
        lw_terrain_files_clear(&w->terrain);
    }
    free(answer);
    free(w);
    return code;
}
