#include "service/learning.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/entries.h"
#include "book/learned.h"
#include "book/weather_kept.h"
#include "core/learn/rest.h"
#include "exchange/spread.h"
#include "service/done.h"
#include "service/entries_apply.h"
#include "service/forecast.h"
#include "service/learned_kept.h"
#include "service/people.h"
#include "text/say.h"

static const int64_t HOUR_S = 3600, DAY_S = 86400;
/* A stay's past of more than PAST_DAYS does not fit the engine's calendar with a margin: then the last LATE_DAYS of it and up to
 * a week more, so that it begins anew once a week and not each hour. */
enum { PAST_DAYS = 58, LATE_DAYS = 30, WEEK_DAYS = 7 };
/* What a household says of its levels at the start is off by so much of the vessel; from memory. */
static const double START_FRAC = 0.02, BATTERY_START_FRAC = 0.03;
/* Nothing known of a level: as wide as even chances from empty to full (1 / sqrt 12). */
static const double UNKNOWN_FRAC = 0.29;
/* Fills and dumps that the scenario announced: from memory. */
static const double ANNOUNCED_FRAC = 0.03;

typedef struct lw_past_camp {
    lw_household household;
    lw_arena arena;
    lw_context *context;
    int is_late; /* begun without knowing the levels */
} lw_past_camp;

/* How many draws, and which. */
typedef struct lw_effort {
    uint32_t draws;
    uint64_t seed;
    int is_for_once; /* not worth keeping */
} lw_effort;

void lw_learning_free(lw_learning *learning)
{
    if (!learning)
        return;
    free(learning->arena.base);
    free(learning->reading);
    free(learning->start);
    free(learning);
}

static lw_code no_memory(lw_err *err)
{
    return lw_fail(err, LW_E_FULL, "no memory to learn from the book");
}

/* ------------------------------------------------------------------ weather */

/* Kept hours over those of the scenario, as far as they are known. */
static lw_code use_kept_weather(lw_book *book, int64_t place, lw_scenario *scenario, int64_t to_s, lw_err *err)
{
    lw_kept_hours kept = {0};
    const int64_t from_s = scenario->calendar.start_s;
    const lw_code code = lw_book_weather(book, place, from_s, to_s, &kept, err);
    for (size_t i = 0; !code && i < kept.count; i++) {
        const lw_kept_hour *k = &kept.hour[i];
        const int64_t h = (k->hour_s - from_s) / HOUR_S;
        if (h < 0 || h >= scenario->calendar.hours)
            continue;
        lw_weather *w = &scenario->weather;
        w->air_c[h] = isnan(k->air_c) ? w->air_c[h] : k->air_c;
        w->wind_ms[h] = isnan(k->wind_ms) ? w->wind_ms[h] : k->wind_ms;
        w->humidity_frac[h] = isnan(k->humidity_frac) ? w->humidity_frac[h] : k->humidity_frac;
        w->precip_mm[h] = isnan(k->precip_mm) ? w->precip_mm[h] : k->precip_mm;
        w->snow_mm[h] = isnan(k->snow_mm) ? w->snow_mm[h] : k->snow_mm;
        if (!isnan(k->ghi_wm2)) {
            w->ghi_wm2[h] = k->ghi_wm2;
            w->dni_wm2[h] = w->dhi_wm2[h] = NAN;
        }
    }
    lw_kept_hours_clear(&kept);
    return code;
}

/* Hours that have passed under a forecast are kept: the next forecast begins later and knows nothing of them. */
static lw_code keep_weather(lw_book *book, int64_t place, const lw_loaded *loaded, int64_t now_s, lw_err *err)
{
    const lw_scenario *s = loaded->scenario;
    const lw_weather *w = &s->weather;
    lw_kept_hours kept = {0};
    if (lw_book_mode_of(book) == LW_BOOK_READ_ONLY || !loaded->forecast_until_s)
        return LW_OK;
    const int64_t until_s = loaded->forecast_until_s < now_s ? loaded->forecast_until_s : now_s;
    const int first = (int)((loaded->forecast_from_s - s->calendar.start_s + HOUR_S - 1) / HOUR_S);
    const int last = (int)((until_s - s->calendar.start_s) / HOUR_S);
    lw_kept_hour hour[LW_HOURS];
    size_t count = 0;
    lw_code code = lw_book_weather(book, place, loaded->forecast_from_s, until_s, &kept, err);
    for (int h = first > 0 ? first : 0; !code && h < last && h < s->calendar.hours; h++) {
        const int64_t hour_s = (s->calendar.start_s + h * HOUR_S) / HOUR_S * HOUR_S;
        int is_known = 0;
        for (size_t i = 0; i < kept.count && !is_known; i++)
            is_known = kept.hour[i].hour_s == hour_s;
        if (!is_known)
            hour[count++] = (lw_kept_hour){.hour_s = hour_s,
                                           .air_c = w->air_c[h],
                                           .wind_ms = w->wind_ms[h],
                                           .humidity_frac = w->humidity_frac[h],
                                           .ghi_wm2 = w->ghi_wm2[h],
                                           .precip_mm = w->precip_mm[h],
                                           .snow_mm = w->snow_mm[h]};
    }
    lw_kept_hours_clear(&kept);
    if (!code && count > 0)
        code = lw_book_put_weather(book, place, loaded->weather_source, hour, count, err);
    return code;
}

/* ------------------------------------------------------------------ the past */

static void add_transfers(const lw_applied *applied, lw_scenario *s, double sd[LW_TRANSFERS])
{
    for (int i = 0; i < s->transfer_count; i++)
        sd[i] = ANNOUNCED_FRAC * s->rig.vessel[s->transfer[i].vessel].capacity;
    for (int i = 0; i < applied->transfer_count && s->transfer_count < LW_TRANSFERS; i++) {
        int at = s->transfer_count++;
        for (; at > 0 && s->transfer[at - 1].at_s > applied->transfer[i].at_s; at--)
            s->transfer[at] = s->transfer[at - 1], sd[at] = sd[at - 1];
        s->transfer[at] = applied->transfer[i];
        sd[at] = applied->transfer_sd[i];
    }
}

static void set_start(const lw_past_camp *past, lw_learn_in *in)
{
    lw_rig *rig = &past->household.loaded.scenario->rig;
    for (int v = 0; v < rig->vessel_count; v++) {
        if (past->is_late)
            rig->vessel[v].level = 0.5 * rig->vessel[v].capacity;
        in->start_sd[v] = (past->is_late ? UNKNOWN_FRAC : START_FRAC) * rig->vessel[v].capacity;
    }
    if (past->is_late)
        rig->battery.level_frac = 0.5;
    in->battery_sd_frac = past->is_late ? UNKNOWN_FRAC : BATTERY_START_FRAC;
}

/* Camp stood elsewhere until it was moved: those hours had that place's weather. Sun and skyline are the new place's. */
static lw_code weather_before_move(lw_book *book, int64_t now_s, lw_household *household, lw_err *err)
{
    lw_household before = {0};
    lw_scenario *s = household->loaded.scenario;
    lw_code code = lw_household_load_came(book, now_s, s->calendar.start_s, &before, err);
    code = code ? code : use_kept_weather(book, before.place, before.loaded.scenario, household->moved_s, err);
    if (!code) {
        lw_weather *to = &s->weather;
        const lw_weather *from = &before.loaded.scenario->weather;
        const int64_t passed = (household->moved_s - s->calendar.start_s) / HOUR_S;
        const int hours = passed < 0 ? 0 : passed < s->calendar.hours ? (int)passed : s->calendar.hours;
        double *const dest[] = {to->air_c,   to->wind_ms,    to->humidity_frac, to->ghi_wm2, to->dni_wm2,
                                to->dhi_wm2, to->clear_frac, to->precip_mm,     to->snow_mm};
        const double *const source[] = {from->air_c,      from->wind_ms,   from->humidity_frac,
                                        from->ghi_wm2,    from->dni_wm2,   from->dhi_wm2,
                                        from->clear_frac, from->precip_mm, from->snow_mm};
        for (size_t i = 0; i < sizeof dest / sizeof dest[0]; i++)
            memcpy(dest[i], source[i], (size_t)hours * sizeof *dest[i]);
    }
    lw_household_clear(&before);
    return code;
}

/* What is behind now is not needed of a past. */
static void end_at(lw_scenario *s, int64_t now_s)
{
    const int64_t hours = (now_s - s->calendar.start_s + HOUR_S - 1) / HOUR_S;
    if (hours >= 1 && hours < s->calendar.hours)
        s->calendar.hours = (int)hours;
}

static lw_code load_past(lw_book *book, int64_t now_s, lw_past_camp *past, lw_err *err)
{
    lw_code code = lw_household_load(book, now_s, 0, &past->household, err);
    if (code)
        return code;
    const int64_t week_s = WEEK_DAYS * DAY_S, arrival_s = past->household.arrival_s;
    const int64_t begin_s = arrival_s + (now_s - LATE_DAYS * DAY_S - arrival_s) / week_s * week_s;
    past->is_late = now_s - arrival_s > PAST_DAYS * DAY_S;
    if (past->is_late) {
        lw_household_clear(&past->household);
        code = lw_household_load(book, now_s, begin_s / HOUR_S * HOUR_S, &past->household, err);
    }
    code = code ? code : lw_people_take(book, past->household.stay, now_s, &past->household.loaded, err);
    code = code ? code : keep_weather(book, past->household.place, &past->household.loaded, now_s, err);
    code = code ? code : use_kept_weather(book, past->household.place, past->household.loaded.scenario, now_s, err);
    if (!code && past->household.moved_s)
        code = weather_before_move(book, now_s, &past->household, err);
    if (!code)
        end_at(past->household.loaded.scenario, now_s);
    return code;
}

/* Entries of the stay, from where its past begins to now. */
static lw_code read_book(lw_book *book, const lw_household *h, int64_t to_s, lw_applied *applied, lw_err *err)
{
    lw_entries entries = {0};
    const lw_history which = {
        .from_s = h->loaded.scenario->calendar.start_s, .to_s = to_s + 1, .stay = h->stay, .is_oldest_first = 1};
    lw_code code = lw_book_history(book, &which, &entries, err);
    code = code ? code : lw_entries_apply(&h->loaded, &entries, applied, err);
    lw_entries_clear(&entries);
    return code;
}

/* Levels and, of the battery's volts, those at rest, as states of charge; by time. */
static lw_code gather_readings(const lw_loaded *rig, const lw_applied *applied, lw_learning *to, lw_err *err)
{
    const lw_battery_spec spec = lw_battery_spec_of_use(&rig->scenario->rig.battery);
    to->reading = calloc((size_t)(applied->reading_count + applied->volts_count) + 1, sizeof *to->reading);
    if (!to->reading)
        return no_memory(err);
    for (int i = 0; i < applied->reading_count; i++)
        if (applied->reading[i].at_s >=
            rig->scenario->calendar.start_s) /* a fill in its first second has none before */
            to->reading[to->readings++] = applied->reading[i];
    for (int i = 0; i < applied->volts_count; i++) {
        const lw_meter_reading *v = &applied->volts[i];
        lw_reading read = {.at_s = v->at_s, .vessel = LW_READ_BATTERY, .lie_frac = v->lie_frac};
        lw_fault fault = {0};
        if (lw_rest_says(&spec, v->low, v->high, v->is_at_rest, &read.low, &read.high, &fault)) {
            to->left_out++; /* under load or charge volts say nothing of the charge */
            continue;
        }
        int at = to->readings++;
        for (; at > 0 && to->reading[at - 1].at_s > read.at_s; at--)
            to->reading[at] = to->reading[at - 1];
        to->reading[at] = read;
    }
    if (to->readings > LW_LEARN_READINGS) { /* the last ones */
        to->left_out += to->readings - LW_LEARN_READINGS;
        memmove(to->reading, to->reading + (to->readings - LW_LEARN_READINGS), LW_LEARN_READINGS * sizeof *to->reading);
        to->readings = LW_LEARN_READINGS;
    }
    return LW_OK;
}

/* A lamp that shows the nearest mark shows it from half a step below; one that must be reached, from the mark on. */
static double rule_shift(const lw_gauges *gauges, double capacity)
{
    for (int i = 0; i < gauges->count; i++) {
        const lw_gauge *g = &gauges->gauge[i];
        if (g->kind == LW_GAUGE_PROBES && g->probe_count > 0)
            return (g->rule == LW_GAUGE_REACHED ? -0.5 : 0.5) * g->probe_frac[0] * capacity;
    }
    return 0.0;
}

/* What the learning takes, but for the context. */
static lw_code make_in(lw_past_camp *past, const lw_applied *applied, const lw_learning *to, const lw_effort *effort,
                       lw_learn_in *in, lw_err *err)
{
    lw_scenario *s = past->household.loaded.scenario;
    *in = (lw_learn_in){.now_s = to->now_s,
                        .reading = to->reading,
                        .reading_count = to->readings,
                        .forget_before_s = applied->habits_changed_s,
                        .draws = effort->draws,
                        .seed = effort->seed,
                        .asks = 1};
    for (int v = 0; v < s->rig.vessel_count; v++) {
        const lw_unsure *unsure = &past->household.loaded.unsure[v];
        const lw_gauges *gauges = &past->household.loaded.vessel_gauges[v];
        in->rule_shift[v] = rule_shift(gauges, s->rig.vessel[v].capacity);
        in->capacity_sd[v] = unsure->capacity_sd;
        in->residue_sd[v] = unsure->residue_sd;
        in->is_start_share[v] = (uint8_t)(unsure->is_level_share || past->is_late);
        for (int i = 0; i < gauges->count; i++)
            in->bias_sd[v] = fmax(in->bias_sd[v], gauges->bias_sd[i]);
    }
    set_start(past, in);
    add_transfers(applied, s, in->transfer_sd);
    return lw_spread_load(&in->spread, err);
}

static lw_code prepare_past(lw_past_camp *past, lw_learn_in *in, lw_err *err)
{
    const lw_scenario *s = past->household.loaded.scenario;
    lw_fault fault = {0};
    past->arena.cap = lw_prepare_bytes(s, 1);
    past->arena.base = malloc(past->arena.cap);
    if (!past->arena.base)
        return no_memory(err);
    lw_code code = lw_scenario_check(s, &fault);
    code = code ? code : lw_prepare(s, 1, &past->arena, &past->context, &fault);
    in->past = past->context;
    code = code ? code : lw_learn_check(in, &fault);
    return code ? lw_fault_say(&fault, err) : LW_OK;
}

static lw_code take_memory(lw_learning *to, size_t bytes, lw_err *err)
{
    free(to->arena.base);
    to->arena = (lw_arena){.cap = bytes, .base = malloc(bytes)};
    return to->arena.base ? LW_OK : no_memory(err);
}

static lw_code learn(const lw_learn_in *in, lw_learning *to, lw_err *err)
{
    lw_fault fault = {0};
    lw_code code = take_memory(to, lw_learn_bytes(in), err);
    if (code)
        return code;
    code = lw_learn(in, &to->arena, &to->learned, &fault);
    return code ? lw_fault_say(&fault, err) : LW_OK;
}

/* ------------------------------------------------------------------ what is kept of it */

/* A book that takes no writes, or no more, does without: what is kept is only found again sooner. */
static void keep(lw_book *book, const lw_past_camp *past, const lw_learn_in *in, const lw_learning *l)
{
    const lw_scenario *s = past->household.loaded.scenario;
    const int vessels = s->rig.vessel_count, readings = in->reading_count;
    lw_err ignored = {0};
    lw_kept_learned kept = {.stay = past->household.stay,
                            .key = lw_learned_key(in, s, past->household.words_hash, l->now_s),
                            .moment_s = l->now_s,
                            .count = lw_learned_pack_bytes(&l->learned, vessels, readings)};
    if (lw_book_mode_of(book) == LW_BOOK_READ_ONLY || in->seed != LW_LEARN_SEED_USUAL)
        return;
    kept.bytes = malloc(kept.count);
    if (kept.bytes) {
        lw_learned_pack(&l->learned, vessels, readings, kept.bytes);
        (void)(lw_book_keep_learned(book, &kept, &ignored) == LW_OK);
    }
    lw_kept_learned_clear(&kept);
}

/* Whether what the book kept was learned from just this: then it is in *to, as of *moment_s. */
static int recall(lw_book *book, const lw_past_camp *past, const lw_learn_in *in, lw_learning *to, int64_t *moment_s)
{
    const lw_scenario *s = past->household.loaded.scenario;
    lw_kept_learned kept = {0};
    lw_err ignored = {0};
    int is_there = 0, is_same = 0;
    if (lw_book_learned(book, past->household.stay, &kept, &is_there, &ignored) || !is_there)
        return 0;
    const int64_t earliest_s = in->reading_count > 0 ? in->reading[in->reading_count - 1].at_s : s->calendar.start_s;
    if (kept.moment_s >= earliest_s && kept.moment_s <= in->now_s &&
        kept.key == lw_learned_key(in, s, past->household.words_hash, kept.moment_s) &&
        !take_memory(to, lw_learned_unpack_bytes(in->draws, in->reading_count), &ignored))
        is_same = lw_learned_unpack(kept.bytes, kept.count, in->draws, s->rig.vessel_count, in->reading_count,
                                    &to->arena, &to->learned);
    *moment_s = kept.moment_s;
    lw_kept_learned_clear(&kept);
    return is_same;
}

static lw_code go_on(lw_past_camp *past, lw_learn_in *in, int64_t from_s, lw_learning *to, lw_err *err)
{
    lw_fault fault = {0};
    if (from_s == in->now_s)
        return LW_OK;
    lw_code code = prepare_past(past, in, err);
    if (code)
        return code;
    lw_arena arena = {.cap = lw_learn_go_on_bytes(in)};
    arena.base = malloc(arena.cap);
    code = arena.base ? lw_learn_go_on(in, from_s, &arena, &to->learned, &fault) : no_memory(err);
    free(arena.base);
    return code && fault.code ? lw_fault_say(&fault, err) : code;
}

/* From what is kept where it was learned from the same; anew otherwise, and then that is kept. */
static lw_code find_learned(lw_book *book, lw_past_camp *past, lw_learn_in *in, int is_for_once, lw_learning *to,
                            lw_err *err)
{
    int64_t moment_s = 0;
    to->is_recalled = recall(book, past, in, to, &moment_s);
    if (to->is_recalled)
        return go_on(past, in, moment_s, to, err);
    lw_code code = prepare_past(past, in, err);
    code = code ? code : learn(in, to, err);
    if (!code && !is_for_once)
        keep(book, past, in, to);
    return code;
}

/* ------------------------------------------------------------------ from now on */

/* The plain course begins in the middle of what is believed. */
static void use_in_the_middle(const lw_learning *l, lw_scenario *s)
{
    for (int g = 0; g < LW_GROUP_COUNT; g++)
        s->factor[g] *= l->learned.factor[g].now[1];
    /* What a life hangs on runs as stated, whatever the other devices do. */
    for (int i = 0; i < s->rig.load_count; i++)
        if (s->rig.load[i].is_vital)
            s->rig.load[i].watts /= l->learned.factor[s->rig.load[i].group].now[1];
}

static void begin_in_the_middle(const lw_learning *l, const int was[LW_VESSELS], lw_scenario *s)
{
    for (int v = 0; v < s->rig.vessel_count; v++) {
        lw_vessel *t = &s->rig.vessel[v];
        if (was[v] < 0)
            continue;
        /* What stays in and what cannot be used stay below what it is learned to hold. */
        t->capacity = fmax(t->capacity * l->learned.capacity_frac[was[v]][1], 1.05 * (t->residue + t->unusable));
        t->residue = fmin(t->residue * l->learned.residue_frac[was[v]][1], 0.9 * (t->capacity - t->unusable));
        t->level = fmin(fmax(l->learned.level[was[v]][1], 0.0), t->capacity);
    }
    if (s->rig.battery.capacity_ah > 0.0)
        s->rig.battery.level_frac = fmin(fmax(l->learned.battery_frac[1], 0.0), 1.0);
    double cabin_c = 0.0;
    for (uint32_t i = 0; i < l->learned.draws; i++)
        cabin_c += l->learned.draw[i].state.cabin_c / l->learned.draws;
    s->rig.cabin.inside_c = cabin_c;
    use_in_the_middle(l, s);
}

/* Water from a neighbour is not known to be fit to drink; a tank that was sanitised is, whatever was said at the arrival. */
static lw_code mark_potable(lw_book *book, int64_t to_s, lw_household *now, lw_err *err)
{
    lw_entries entries = {0};
    lw_potable potable[LW_VESSELS];
    lw_scenario *scenario = now->loaded.scenario;
    lw_rig *rig = &scenario->rig;
    const lw_history which = {.from_s = now->arrival_s,
                              .to_s = to_s + 1,
                              .stay = now->stay,
                              .kinds = 1u << LW_ENTRY_RECEIVED | 1u << LW_ENTRY_SANITISED,
                              .is_oldest_first = 1};
    const lw_code code = lw_book_history(book, &which, &entries, err);
    if (code)
        return code;
    lw_entries_potable(&now->loaded, &entries, potable);
    for (int v = 0; v < rig->vessel_count; v++)
        rig->vessel[v].potable = potable[v];
    for (int t = 0; t < scenario->transfer_count; t++)
        if (scenario->transfer[t].is_as_tank)
            scenario->transfer[t].potable = potable[scenario->transfer[t].vessel];
    lw_entries_clear(&entries);
    return LW_OK;
}

/* The outlook knows one capacity, the middle one, which the scenario has by now: what fills is shifted, so that the room left is
 * that of the draw. */
static void keep_room(const lw_learning *l, const int was[LW_VESSELS], uint32_t draw, const lw_rig *rig,
                      lw_state *state)
{
    for (int v = 0; v < rig->vessel_count; v++) {
        if (was[v] < 0 || !lw_supply_fills(rig->vessel[v].supply))
            continue;
        const double middle = l->learned.capacity_frac[was[v]][1];
        state->level[v] -= rig->vessel[v].capacity * ((double)l->learned.capacity[draw][was[v]] / middle - 1.0);
    }
}

static lw_code share_households(const lw_learning *l, const int was[LW_VESSELS], const lw_rig *rig, const lw_done *done,
                                lw_draw_start **to, lw_err *err)
{
    lw_draw_start *start = calloc(l->learned.draws, sizeof *start);
    if (!start)
        return no_memory(err);
    for (uint32_t i = 0; i < l->learned.draws; i++) {
        start[i] = l->learned.draw[i];
        for (int v = 0; v < rig->vessel_count; v++)
            start[i].state.level[v] = was[v] >= 0 ? l->learned.draw[i].state.level[was[v]] : rig->vessel[v].level;
        for (int g = 0; g < LW_GROUP_COUNT; g++)
            start[i].household[g] /= l->learned.factor[g].now[1];
        lw_done_to_state(done, rig, &start[i].state);
        keep_room(l, was, i, rig, &start[i].state);
    }
    *to = start;
    return LW_OK;
}

/* Which vessel of the unchanged rig each one was: the n-th of a supply stays the n-th; one more was none (-1). */
static lw_code know_vessels(lw_book *book, const lw_learning_request *request, const lw_learning *l, const lw_rig *rig,
                            int was[LW_VESSELS], lw_err *err)
{
    lw_household usual = {0};
    for (int v = 0; v < LW_VESSELS; v++)
        was[v] = v;
    if (request->change_count == 0)
        return LW_OK;
    const lw_code code = lw_household_load(book, request->now_s, l->now_s, &usual, err);
    if (code)
        return code;
    const lw_rig *known = &usual.loaded.scenario->rig;
    for (int v = 0; v < rig->vessel_count; v++) {
        int rank = 0, at = 0;
        for (int i = 0; i < v; i++)
            rank += rig->vessel[i].supply == rig->vessel[v].supply;
        for (; at < known->vessel_count; at++)
            if (known->vessel[at].supply == rig->vessel[v].supply && rank-- == 0)
                break;
        was[v] = at < known->vessel_count ? at : -1;
    }
    lw_household_clear(&usual);
    return LW_OK;
}

lw_code lw_learning_changed(lw_book *book, const lw_learning_request *request, const lw_learning *l, lw_loaded *loaded,
                            lw_draw_start **start, lw_err *err)
{
    lw_household now = {0};
    lw_done done = {.count = 0};
    int was[LW_VESSELS];
    lw_code code = lw_household_load_changed(book, request->now_s, l->now_s, request->until, request->change,
                                             request->change_count, &now, err);
    if (code)
        return code;
    if (request->ahead_days > 0)
        lw_outlook_near(&now.loaded, l->now_s, request->ahead_days);
    code = know_vessels(book, request, l, &now.loaded.scenario->rig, was, err);
    if (!code)
        begin_in_the_middle(l, was, now.loaded.scenario);
    code = code ? code : lw_people_take(book, now.stay, l->now_s, &now.loaded, err);
    code = code ? code : mark_potable(book, l->now_s, &now, err);
    code = code ? code : lw_done_read(&now.loaded, request->now_s, request->done, request->done_count, &done, err);
    code = code ? code : share_households(l, was, &now.loaded.scenario->rig, &done, start, err);
    if (!code)
        lw_done_to_rig(&done, &now.loaded.scenario->rig);
    if (code)
        lw_household_clear(&now);
    else
        *loaded = now.loaded;
    return code;
}

lw_code lw_learning_anew(lw_book *book, const lw_learning *l, const char *const *change, int change_count,
                         lw_loaded *loaded, lw_draw_start **start, lw_err *err)
{
    char *text = NULL;
    lw_code code = lw_household_scenario(book, l->now_s, &text, err);
    if (code)
        return code;
    lw_draw_start *made = calloc(l->learned.draws, sizeof *made);
    const char **all = calloc((size_t)change_count + 1, sizeof *all);
    if (all) {
        all[0] = "stay.events=[]"; /* those are of the stay that goes on */
        for (int i = 0; i < change_count; i++)
            all[i + 1] = change[i];
    }
    const lw_scenario_from from = {.path = "the book",
                                   .bytes = text,
                                   .size = strlen(text),
                                   .change = all,
                                   .change_count = change_count + 1,
                                   .now_s = l->now_s};
    code = made && all ? lw_scenario_load(&from, loaded, err) : no_memory(err);
    free(text);
    free(all);
    if (code || !made) {
        free(made);
        return code;
    }
    use_in_the_middle(l, loaded->scenario);
    for (uint32_t i = 0; i < l->learned.draws; i++)
        for (int g = 0; g < LW_GROUP_COUNT; g++)
            made[i].household[g] = l->learned.draw[i].household[g] / l->learned.factor[g].now[1];
    *start = made;
    return LW_OK;
}

static lw_code look_out(lw_book *book, const lw_learning_request *request, lw_learning *l, lw_outlook_answer *answer,
                        lw_err *err)
{
    lw_loaded loaded = {0};
    const lw_code code = lw_learning_changed(book, request, l, &loaded, &l->start, err);
    if (code)
        return code;
    lw_draws_wish draws = request->draws;
    draws.start = l->start;
    draws.start_count = l->learned.draws;
    return lw_outlook_of_loaded(&loaded, 1, request->wants_series, &draws, answer, err);
}

/* The past of the current stay and what is learned of it, without an outlook. */
static lw_code look_back(lw_book *book, const lw_effort *effort, lw_learning *l, lw_err *err)
{
    lw_past_camp past = {.context = NULL};
    lw_applied applied = {0};
    lw_learn_in in;
    lw_code code = load_past(book, l->now_s, &past, err);
    if (!code)
        l->begin_s = past.household.loaded.scenario->calendar.start_s;
    code = code ? code : read_book(book, &past.household, l->now_s, &applied, err);
    code = code ? code : gather_readings(&past.household.loaded, &applied, l, err);
    code = code ? code : make_in(&past, &applied, l, effort, &in, err);
    code = code ? code : find_learned(book, &past, &in, effort->is_for_once, l, err);
    l->left_out += applied.passed_over;
    l->engine_h = NAN;
    if (applied.hours_count > 0) {
        const lw_meter_reading *last = &applied.hours[applied.hours_count - 1];
        l->engine_h = 0.5 * (last->low + last->high);
    }
    lw_applied_clear(&applied);
    free(past.arena.base);
    lw_household_clear(&past.household);
    return code;
}

static lw_learning *begin(int64_t now_s, lw_err *err)
{
    lw_learning *l = calloc(1, sizeof *l);
    if (l)
        l->now_s = (now_s + HOUR_S - 1) / HOUR_S * HOUR_S;
    else
        (void)no_memory(err);
    return l;
}

/* The answer stands whether it can be kept or not. */
static void keep_forecast(lw_book *book, const lw_outlook_answer *answer, int64_t now_s)
{
    lw_err ignored = {0};
    (void)(lw_forecast_keep(book, answer, now_s, &ignored) == LW_OK);
}

lw_code lw_learning_run(lw_book *book, const lw_learning_request *request, lw_outlook_answer *answer, lw_err *err)
{
    lw_learning *l = begin(request->now_s, err);
    if (!l)
        return err->code;
    const lw_effort effort = {.draws = request->learn_draws > 0 ? (uint32_t)request->learn_draws : LW_LEARN_DRAWS_USUAL,
                              .seed = request->draws.seed,
                              .is_for_once = request->is_for_once};
    lw_code code = look_back(book, &effort, l, err);
    code = code ? code : look_out(book, request, l, answer, err);
    if (code) {
        lw_learning_free(l);
        return code;
    }
    answer->learning = l;
    if (request->change_count == 0 && request->done_count == 0 && !request->until)
        keep_forecast(book, answer, request->now_s);
    return LW_OK;
}

lw_code lw_learning_keep(lw_book *book, int64_t now_s, lw_err *err)
{
    const lw_effort effort = {.draws = LW_LEARN_DRAWS_USUAL, .seed = LW_LEARN_SEED_USUAL};
    if (lw_book_mode_of(book) == LW_BOOK_READ_ONLY)
        return LW_OK;
    lw_learning *l = begin(now_s, err);
    if (!l)
        return err->code;
    const lw_code code = look_back(book, &effort, l, err);
    lw_learning_free(l);
    return code;
}

lw_code lw_learning_first_forecast(lw_book *book, int64_t now_s, lw_err *err)
{
    lw_outlook_answer answer = {0};
    const lw_learning_request request = {
        .now_s = now_s,
        .draws = {.draws = LW_FIRST_FORECAST_DRAWS, .seed = LW_LEARN_SEED_USUAL, .ends_only = 1},
        .learn_draws = LW_FIRST_FORECAST_DRAWS,
        .is_for_once = 1};
    if (lw_book_mode_of(book) == LW_BOOK_READ_ONLY)
        return LW_OK;
    const lw_code code = lw_learning_run(book, &request, &answer, err);
    lw_outlook_answer_clear(&answer);
    return code;
}
