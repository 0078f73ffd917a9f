#include "service/rank.h"

#include <math.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/sim/prepare.h"
#include "service/household.h"
#include "service/json.h"
#include "service/pool.h"
#include "service/stays.h"
#include "service/words.h"
#include "text/decimal.h"
#include "text/say.h"

enum { DAY_S = 86400, CHANGES = 6 };

/* What a thread needs to run a plain course. */
typedef struct bench {
    lw_scenario *scenario;
    lw_weather_frame *frame;
    lw_course *course;
    lw_arena arena;
} bench;

typedef struct work {
    const lw_rank_ask *ask;
    lw_rank *rank;
    lw_loaded *base;
    lw_rank_lands *lands; /* in the order of the rows before they are sorted */
    int64_t first_day;
    lw_sun_table sun; /* of the dates, for all places */
    bench bench[LW_POOL_THREADS];
    int threads, steps; /* steps of progress in all */
    atomic_int done, is_stopped, has_failed;
} work;

static lw_code no_memory(lw_err *err)
{
    return lw_fail(err, LW_E_FULL, "no memory to rank places");
}

void lw_rank_clear(lw_rank *rank)
{
    lw_camps_clear(&rank->camps);
    free(rank->row);
    *rank = (lw_rank){0};
}

/* ---- what all places share ---- */

/* The present camp, at its place with nothing known of it but where that is, for the dates asked. */
static lw_code load_base(lw_book *book, const lw_rank_ask *ask, lw_household *home, lw_err *err)
{
    lw_household now = {0};
    char place[320], arrive[96], leave[96], a[LW_DECIMAL_BYTES], b[LW_DECIMAL_BYTES], c[LW_DECIMAL_BYTES];
    lw_code code = lw_household_load_last(book, ask->now_s, &now, err);
    if (code)
        return code;
    const lw_place *at = &now.loaded.scenario->place;
    lw_decimal_print(a, sizeof a, at->latitude_deg, 6, 0);
    lw_decimal_print(b, sizeof b, at->longitude_deg, 6, 0);
    lw_decimal_print(c, sizeof c, at->elevation_m, 1, 0);
    snprintf(place, sizeof place, "place={name: here, latitude: '%s', longitude: '%s', elevation: %s m, zone: %s}", a,
             b, c, now.loaded.zone.name);
    snprintf(arrive, sizeof arrive, "stay.arrive=%.60s", ask->from);
    snprintf(leave, sizeof leave, "stay.leave=%.60s", ask->until);
    const char *const change[CHANGES] = {place, "stay={}", arrive, leave, "weather=climate"};
    code = lw_household_load_changed(book, ask->now_s, 0, NULL, change, CHANGES - 1, home, err);
    lw_household_clear(&now);
    if (!code && !home->loaded.scenario->stay.departure_s)
        code = lw_fail_typed(err, LW_E_MISSING, "such as --until 2026-06-24", "say until when");
    if (!code)
        lw_outlook_near(&home->loaded, home->loaded.scenario->calendar.start_s, 0);
    return code;
}

static lw_code load_lands(lw_book *book, work *w, lw_err *err)
{
    int *camp = calloc((size_t)w->rank->count + 1, sizeof *camp);
    if (!camp)
        return no_memory(err);
    for (int i = 0; i < w->rank->count; i++)
        camp[i] = w->rank->row[i].pick.camp;
    const lw_code code =
        lw_rank_lands_open(book, w->ask->now_s, w->first_day, &w->rank->camps, camp, w->rank->count, &w->lands, err);
    free(camp);
    return code;
}

/* ---- one place ---- */

static void tell(work *w, int worker)
{
    const int done = atomic_fetch_add(&w->done, 1) + 1;
    if (worker == 0 && w->ask->progress && !w->ask->progress(w->ask->with, done, w->steps))
        atomic_store(&w->is_stopped, 1);
}

/* The last day that the rule of the place leaves, over all stays. */
static void limit_stay(const work *w, const lw_ranked *row, lw_scenario *scenario)
{
    if (row->rule_by != LW_RULE_NONE && row->left.is_limited) {
        const int64_t end_s = lw_utc_of(&w->rank->zone, row->left.leave_day, DAY_S);
        scenario->stay.stay_end_s = end_s > scenario->stay.arrival_s ? end_s : scenario->stay.arrival_s;
    }
}

static void take_supplies(const lw_outlook *o, lw_ranked *row)
{
    for (int s = 0; s < LW_SUPPLY_COUNT; s++) {
        const lw_leeway *l = &o->leeway[s];
        row->supply_days[s] = l->is_present ? l->q[1].days : (double)NAN;
        row->supply_is_beyond[s] = l->is_present && l->q[1].beyond_horizon;
    }
}

/* Supplies that this rig has at all. */
static uint32_t supplies_of(const lw_scenario *s)
{
    uint32_t bits = 1u << LW_SUPPLY_BATTERY;
    for (int v = 0; v < s->rig.vessel_count; v++)
        bits |= 1u << s->rig.vessel[v].supply;
    return s->stay.stay_end_s ? bits | 1u << LW_SUPPLY_STAY : bits;
}

/* The course in which each supply's own leeway is found is enough to sift by. */
static void take_course(const lw_context *context, const bench *b, lw_ranked *row)
{
    const uint32_t has = supplies_of(b->scenario);
    const double horizon_d = lw_context_steps(context) / 24.0;
    lw_state state;
    lw_state_start(context, &state);
    lw_course_run(context, LW_MODE_OWN, &state, b->course, NULL);
    row->is_reckoned = row->is_beyond = 1;
    row->days = horizon_d;
    for (int s = 0; s < LW_SUPPLY_COUNT; s++) {
        const double days = b->course->end_h[s] / 24.0;
        row->supply_is_beyond[s] = (has >> s & 1u) && !(days < horizon_d);
        row->supply_days[s] = has >> s & 1u ? fmin(days, horizon_d) : (double)NAN;
        if (!(has >> s & 1u) || !(days < row->days))
            continue;
        row->days = days;
        row->binding = s;
        row->is_beyond = 0;
    }
}

static void screen(void *with, int worker, int at)
{
    work *w = with;
    bench *b = &w->bench[worker];
    lw_ranked *row = &w->rank->row[at];
    const lw_place_facts *f = &w->rank->camps.camp[row->pick.camp].facts;
    lw_loaded here;
    lw_context *context;
    lw_fault fault;
    if (atomic_load(&w->is_stopped))
        return;
    tell(w, worker);
    row->rule_by = lw_rank_lands_left(w->lands, at, &row->left);
    if (isnan(f->elevation_m) || !lw_loaded_put_down(w->base, f, NULL, b->scenario, b->frame, &here))
        return;
    limit_stay(w, row, b->scenario);
    b->arena.used = 0;
    if (lw_scenario_check(b->scenario, &fault) ||
        lw_prepare_under(b->scenario, 1, &w->sun, &b->arena, &context, &fault))
        return;
    take_course(context, b, row);
}

static void take_draws(const lw_outlook *o, lw_ranked *row)
{
    row->is_drawn = 1;
    row->stays_frac = o->stays_frac;
    row->p10_days = o->first.q[0].days;
    row->p50_days = o->first.q[1].days;
    row->p90_days = o->first.q[2].days;
    row->p50_is_beyond = o->first.q[1].beyond_horizon;
    row->binding = o->binding;
    take_supplies(o, row);
}

static void draw(void *with, int worker, int at)
{
    work *w = with;
    lw_ranked *row = &w->rank->row[at];
    const bench *b = &w->bench[worker];
    lw_loaded here;
    lw_outlook_answer answer = {0};
    lw_err own = {0};
    const lw_draws_wish wish = {.draws = w->rank->draws, .seed = w->rank->seed, .threads = 1, .ends_only = 1};
    lw_scenario *scenario = malloc(sizeof *scenario);
    if (!atomic_load(&w->is_stopped) && scenario && row->is_reckoned &&
        lw_loaded_put_down(w->base, &w->rank->camps.camp[row->pick.camp].facts, NULL, scenario, b->frame, &here)) {
        limit_stay(w, row, scenario);
        scenario = NULL; /* is the answer's from here on */
        if (lw_outlook_of_loaded(&here, 1, 0, &wish, &answer, &own) == LW_OK)
            take_draws(answer.outlook, row);
        else
            atomic_store(&w->has_failed, 1);
        lw_outlook_answer_clear(&answer);
    }
    free(scenario);
    tell(w, worker);
}

/* ---- order ---- */

static double capped(double days, int is_beyond)
{
    return is_beyond ? INFINITY : days;
}

static int falling(double a, double b)
{
    return (a < b) - (a > b);
}

/* Supplies that hold all through the stay: what a run need not be made for. */
static int held(const lw_ranked *r)
{
    int count = 0;
    for (int s = 0; s < LW_SUPPLY_COUNT; s++)
        count += r->supply_is_beyond[s];
    return count;
}

static int by_worth(const void *a, const void *b)
{
    const lw_ranked *x = a, *y = b;
    if (x->is_drawn != y->is_drawn || x->is_reckoned != y->is_reckoned)
        return x->is_drawn != y->is_drawn ? y->is_drawn - x->is_drawn : y->is_reckoned - x->is_reckoned;
    int way = 0;
    if (x->is_drawn)
        way = falling(nearbyint(x->stays_frac * 50.0), nearbyint(y->stays_frac * 50.0));
    if (!way && x->is_drawn)
        way = falling(capped(x->p50_days, x->p50_is_beyond), capped(y->p50_days, y->p50_is_beyond));
    if (!way && !x->is_drawn)
        way = falling(capped(x->days, x->is_beyond), capped(y->days, y->is_beyond));
    if (!way)
        way = held(y) - held(x);
    if (!way)
        way = -falling(x->pick.road.time_s.middle, y->pick.road.time_s.middle);
    return way ? way : (x->pick.camp > y->pick.camp) - (x->pick.camp < y->pick.camp);
}

/* ---- all of it ---- */

static lw_code open_benches(work *w, lw_err *err)
{
    for (int i = 0; i < w->threads; i++) {
        bench *b = &w->bench[i];
        b->scenario = malloc(sizeof *b->scenario);
        b->frame = malloc(sizeof *b->frame);
        b->course = malloc(sizeof *b->course);
        b->arena.cap = lw_prepare_bytes(w->base->scenario, 1);
        b->arena.base = malloc(b->arena.cap);
        if (!b->scenario || !b->frame || !b->course || !b->arena.base)
            return no_memory(err);
    }
    return LW_OK;
}

/* Places a turn of the earth apart have days that begin a day apart. */
static void make_sun(work *w)
{
    enum { MARGIN = 3 };
    const lw_calendar *k = &w->base->scenario->calendar;
    lw_sun_table_fill(&w->sun, k->start_s / DAY_S - MARGIN, k->hours / 24 + 2 * MARGIN + 2, LW_SPA_DELTA_T_S);
}

static void close_benches(work *w)
{
    for (int i = 0; i < w->threads; i++) {
        free(w->bench[i].scenario);
        free(w->bench[i].frame);
        free(w->bench[i].course);
        free(w->bench[i].arena.base);
    }
    lw_rank_lands_close(w->lands);
}

/* Only the named ones, in the order of the names. */
static lw_code keep_named(const lw_rank_ask *ask, const lw_camps *camps, lw_picks *picks, lw_err *err)
{
    lw_pick kept[LW_RANK_NAMED];
    for (int n = 0; n < ask->named_count; n++) {
        const lw_camp *camp;
        if (lw_camps_find(camps, ask->named[n], &camp, err))
            return err->code;
        for (int i = 0; i < picks->count; i++)
            if (&camps->camp[picks->pick[i].camp] == camp)
                kept[n] = picks->pick[i];
    }
    if (ask->named_count) {
        memcpy(picks->pick, kept, sizeof kept[0] * (size_t)ask->named_count);
        picks->count = ask->named_count;
    }
    return LW_OK;
}

static lw_code take_picks(lw_book *book, work *w, lw_err *err)
{
    lw_roads roads = {0};
    lw_picks picks = {0};
    lw_pick_wish wish = w->ask->named_count ? lw_pick_wish_none() : w->ask->wish;
    wish.is_any = w->ask->named_count > 0;
    wish.has_from = w->ask->wish.has_from;
    wish.from = w->ask->wish.from;
    wish.tell = w->ask->progress;
    wish.with = w->ask->with;
    wish.first_day = w->first_day;
    wish.until_day = lw_clock_at(&w->rank->zone, w->rank->departure_s).day;
    if (wish.until_day <= wish.first_day)
        wish.until_day = wish.first_day + 1;
    lw_code code = lw_roads_open(book, &w->rank->camps, w->ask->now_s, &roads, err);
    code = code ? code : lw_picks_make(book, &w->rank->camps, &roads, &wish, &picks, err);
    code = code ? code : keep_named(w->ask, &w->rank->camps, &picks, err);
    w->rank->row = calloc((size_t)picks.count + 1, sizeof *w->rank->row);
    if (!code && !w->rank->row)
        code = no_memory(err);
    for (int i = 0; w->rank->row && i < picks.count && !code; i++)
        w->rank->row[i] = (lw_ranked){.pick = picks.pick[i], .binding = -1};
    w->rank->count = code ? 0 : picks.count;
    memcpy(w->rank->sent_away, picks.sent_away, sizeof picks.sent_away);
    snprintf(w->rank->note, sizeof w->rank->note, "%s", roads.note);
    lw_picks_clear(&picks);
    lw_roads_clear(&roads);
    return code;
}

static lw_code run(work *w, lw_err *err)
{
    lw_rank *rank = w->rank;
    const int best = w->ask->named_count ? rank->count : w->ask->best ? w->ask->best : LW_RANK_BEST;
    rank->drawn = rank->count < best ? rank->count : best;
    rank->draws = w->ask->draws ? w->ask->draws : LW_RANK_DRAWS;
    rank->seed = w->ask->seed;
    w->steps = rank->count + rank->drawn;
    lw_code code = open_benches(w, err);
    if (code)
        return code;
    make_sun(w);
    lw_pool_run(w->threads, rank->count, screen, w);
    if (!w->ask->named_count)
        qsort(rank->row, (size_t)rank->count, sizeof *rank->row, by_worth);
    if (rank->draws > 1)
        lw_pool_run(w->threads, rank->drawn, draw, w);
    if (!w->ask->named_count)
        qsort(rank->row, (size_t)rank->count, sizeof *rank->row, by_worth);
    if (atomic_load(&w->is_stopped))
        return lw_fail(err, LW_E_CONFLICT, "stopped");
    return atomic_load(&w->has_failed) ? no_memory(err) : LW_OK;
}

lw_code lw_rank_make(lw_book *book, const lw_rank_ask *ask, lw_rank *rank, lw_err *err)
{
    lw_household home = {0};
    lw_rank made = {0};
    work *w = calloc(1, sizeof *w);
    if (!w)
        return no_memory(err);
    w->ask = ask;
    w->rank = &made;
    w->base = &home.loaded;
    w->threads = lw_pool_threads(ask->threads);
    lw_code code = lw_camps_load(book, &made.camps, err);
    code = code ? code : load_base(book, ask, &home, err);
    if (!code) {
        const lw_scenario *s = home.loaded.scenario;
        made.zone = home.loaded.zone;
        made.units = home.loaded.units;
        made.arrival_s = s->stay.arrival_s;
        made.departure_s = s->stay.departure_s;
        w->first_day = lw_clock_at(&made.zone, made.arrival_s).day;
        code = take_picks(book, w, err);
        code = code ? code : load_lands(book, w, err);
        code = code ? code : run(w, err);
    }
    close_benches(w);
    free(w);
    lw_household_clear(&home);
    if (code)
        lw_rank_clear(&made);
    else
        *rank = made;
    return code;
}

/* ---- JSON ---- */

static json_t *row_json(lw_json *j, const lw_rank *rank, const lw_ranked *r)
{
    static const char *const RULE_BY[] = {NULL, "yours", "map"};
    const lw_camp *camp = &rank->camps.camp[r->pick.camp];
    const int has_road = r->pick.road.time_s.middle > 0.0;
    json_t *o = lw_json_object(j), *supplies = lw_json_object(j);
    lw_json_count(j, o, "id", camp->id);
    lw_json_text(j, o, "name", camp->facts.name);
    lw_json_flag(j, o, "is_reckoned", r->is_reckoned);
    lw_json_flag(j, o, "is_drawn", r->is_drawn);
    lw_json_number(j, o, "days", r->is_reckoned ? r->days : (double)NAN, 2);
    lw_json_flag(j, o, "is_beyond", r->is_reckoned && r->is_beyond);
    lw_json_text(j, o, "binding", r->binding >= 0 ? lw_supply_word((lw_supply)r->binding) : NULL);
    lw_json_number(j, o, "stays_frac", r->is_drawn ? r->stays_frac : (double)NAN, 3);
    lw_json_number(j, o, "p10_days", r->is_drawn ? r->p10_days : (double)NAN, 2);
    lw_json_number(j, o, "p50_days", r->is_drawn ? r->p50_days : (double)NAN, 2);
    lw_json_number(j, o, "p90_days", r->is_drawn ? r->p90_days : (double)NAN, 2);
    for (int s = 0; s < LW_SUPPLY_COUNT; s++)
        if (r->is_reckoned && !isnan(r->supply_days[s]))
            lw_json_number(j, supplies, lw_supply_word((lw_supply)s), r->supply_days[s], 2);
    lw_json_put(j, o, "supply_days", supplies);
    lw_json_number(j, o, "stay_days_left",
                   r->rule_by != LW_RULE_NONE && r->left.is_limited ? r->left.left_days : (double)NAN, 0);
    lw_json_text(j, o, "rule_by", RULE_BY[r->rule_by]);
    lw_json_number(j, o, "distance_m", has_road ? r->pick.road.distance_m.middle : (double)NAN, 0);
    lw_json_number(j, o, "time_s", has_road ? r->pick.road.time_s.middle : (double)NAN, 0);
    lw_json_number(j, o, "night_c", r->pick.night_c, 1);
    lw_json_number(j, o, "day_c", r->pick.day_c, 1);
    lw_json_number(j, o, "signal_frac", r->pick.signal_frac, 3);
    lw_json_text(j, o, "signal_by", lw_chance_by_word(r->pick.signal_by));
    lw_json_number(j, o, "room_frac", r->pick.room_frac, 3);
    lw_json_number(j, o, "fee_usd", camp->facts.about.fee_usd, 2);
    return o;
}

char *lw_rank_json(const lw_rank *rank, const char *version)
{
    lw_json j = {.zone = &rank->zone};
    json_t *root = lw_json_object(&j), *list = lw_json_array(&j), *away = lw_json_array(&j);
    lw_json_text(&j, root, "schema", "leeway.rank/1");
    lw_json_text(&j, root, "program", version ? version : "unknown");
    lw_json_time(&j, root, "arrival", rank->arrival_s);
    lw_json_time(&j, root, "departure", rank->departure_s);
    lw_json_count(&j, root, "draws", rank->draws);
    lw_json_count(&j, root, "seed", (int64_t)rank->seed);
    lw_json_text(&j, root, "note", rank->note);
    for (int i = 0; i < rank->count; i++)
        lw_json_add(&j, list, row_json(&j, rank, &rank->row[i]));
    lw_json_put(&j, root, "places", list);
    for (int i = 0; i < LW_PICK_REASON_COUNT; i++) {
        if (!rank->sent_away[i])
            continue;
        json_t *o = lw_json_object(&j);
        lw_json_text(&j, o, "why", lw_pick_reason_word((lw_pick_reason)i));
        lw_json_count(&j, o, "places", rank->sent_away[i]);
        lw_json_add(&j, away, o);
    }
    lw_json_put(&j, root, "sent_away", away);
    return lw_json_finish(&j, root, 0);
}
