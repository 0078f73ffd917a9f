#include "core/sim/ensemble.h"

#include <math.h>
#include <string.h>

#include "core/base/cpu.h"
#include "core/base/exp.h"
#include "core/base/num.h"
#include "core/base/random.h"
#include "core/sim/lanes_internal.h"
#include "core/sky/light_table.h"
#include "core/sky/weather_draw.h"

/* Which numbers of a draw: streams of core/base/random.h. */
enum { STREAM_HOUSEHOLD = 0x55530001, STREAM_DAY = 0x55530002, STREAM_DAY_MORE = 0x55530003 };

static const double DAY_H = 24.0;

struct lw_ensemble {
    lw_ensemble_in in;
    void (*run)(lw_lanes *lanes);
    int is_one_by_one;
    uint32_t lanes; /* draws that run takes at once */
    int light_count;
    float *light;   /* [what][knot][hour]: the cabin's gain, then of each array effective and total */
    float *by_hour; /* the same as [what][hour][knot] */
    uint8_t is_lit[LW_HOURS];
};

typedef struct lw_draw_scratch {
    lw_lanes lanes;
    lw_weather_day day[LW_WEATHER_DAYS];
    double air_c[LW_HOURS], clear_frac[LW_HOURS], wind_ms[LW_HOURS], dew_c[LW_HOURS], snow_mm[LW_HOURS];
    lw_hour hour[]; /* behind them the lanes' hours */
} lw_draw_scratch;

lw_code lw_ensemble_check(const lw_ensemble_in *in, lw_fault *fault)
{
    const lw_code bad = lw_want_range(fault, "steps_per_hour", in->context->steps_per_hour, 1, 1);
    if (bad)
        return bad;
    if (in->frame) {
        const lw_code other =
            lw_want_range(fault, "frame hours", in->frame->hours, in->context->steps, LW_WEATHER_HOURS);
        if (other)
            return other;
    }
    for (int g = 0; g < LW_GROUP_COUNT; g++) {
        const lw_code far = lw_want_range(fault, "spread", in->spread.household[g] + in->spread.day[g], 0.0, 2.0);
        if (far)
            return far;
    }
    return LW_OK;
}

enum { ALIGN = 64 }; /* of lanes, so that none straddles two lines of the cache */

static size_t light_floats(const lw_context *c)
{
    return (size_t)lw_light_count(c) * LW_LIGHT_KNOTS * (size_t)c->steps;
}

size_t lw_ensemble_bytes(const lw_context *c)
{
    return sizeof(lw_ensemble) + 2 * light_floats(c) * sizeof(float) + lw_prepare_hours_bytes(c->steps) + 256;
}

size_t lw_ensemble_scratch_bytes(const lw_context *c)
{
    return ALIGN + sizeof(lw_draw_scratch) + (size_t)c->steps * (sizeof(lw_hour) + sizeof(lw_lane_hour)) + ALIGN;
}

/* In the dark there is nothing to read from the tables, however clear it is. */
static void find_light(const lw_context *c, lw_ensemble *e)
{
    for (int i = 0; i < e->light_count * LW_LIGHT_KNOTS; i++)
        for (int h = 0; h < c->steps; h++)
            e->is_lit[h] |= e->light[(size_t)i * (size_t)c->steps + (size_t)h] > 0.0f;
}

static void turn_light(const lw_context *c, lw_ensemble *e)
{
    const size_t steps = (size_t)c->steps, table = LW_LIGHT_KNOTS * steps;
    for (size_t what = 0; what < (size_t)e->light_count; what++)
        for (size_t h = 0; h < steps; h++)
            for (size_t k = 0; k < LW_LIGHT_KNOTS; k++)
                e->by_hour[what * table + h * LW_LIGHT_KNOTS + k] = e->light[what * table + k * steps + h];
}

/* Without registers of four or eight numbers compilers make lanes slower than draws one by one. */
static void choose_way(lw_ensemble *e)
{
    e->run = lw_lanes_run_plain;
    e->is_one_by_one = e->in.how != LW_DRAWS_BY_PLAIN;
    e->lanes = LW_MOST_LANES;
#if LW_HAS_LEVELS
    const int level = e->in.how <= LW_DRAWS_BY_FOUR ? lw_cpu_level() : 0;
    if (level >= 3) {
        const int is_by_eight = level >= 4 && e->in.how == LW_DRAWS_BY_MACHINE;
        e->run = is_by_eight ? lw_lanes_run_v4 : lw_lanes_run_v3;
        e->lanes = is_by_eight ? LW_MOST_LANES : LW_MOST_LANES / 2;
        e->is_one_by_one = 0;
    }
#endif
}

lw_code lw_ensemble_prepare(const lw_ensemble_in *in, lw_arena *arena, lw_ensemble **ensemble, lw_fault *fault)
{
    const lw_code bad = lw_ensemble_check(in, fault);
    if (bad)
        return bad;
    const size_t align = sizeof(double) * 2;
    lw_ensemble *e = lw_arena_lend(arena, sizeof *e, align);
    float *light = lw_arena_lend(arena, light_floats(in->context) * sizeof *light, align);
    float *by_hour = lw_arena_lend(arena, light_floats(in->context) * sizeof *by_hour, align);
    const size_t kept = arena->used;
    void *memory = lw_arena_lend(arena, lw_prepare_hours_bytes(in->context->steps), align);
    if (!e || !light || !by_hour || !memory) {
        *fault = (lw_fault){.code = LW_E_FULL,
                            .field = "arena_bytes",
                            .value = (double)arena->cap,
                            .low = (double)lw_ensemble_bytes(in->context),
                            .high = INFINITY};
        return LW_E_FULL;
    }
    *e = (lw_ensemble){.in = *in, .light_count = lw_light_count(in->context), .light = light, .by_hour = by_hour};
    choose_way(e);
    lw_prepare_light(in->context, memory, light);
    arena->used = kept;
    find_light(in->context, e);
    turn_light(in->context, e);
    *ensemble = e;
    return LW_OK;
}

/* ------------------------------------------------------------------ one draw */

_Static_assert(LW_GROUP_COUNT == LW_LANES, "a day's factors are drawn as one vector");

static const lw_spread NONE = {.household = {0.0}};

/* Where use is not drawn the plain course's start stands too. */
static const lw_draw_start *start_of(const lw_ensemble *e, const lw_spread *spread, uint32_t draw)
{
    return e->in.start_count > 0 && spread != &NONE ? &e->in.start[draw % e->in.start_count] : NULL;
}

/* Its factors, which stay all through the draw. */
static void household_of(const lw_ensemble *e, const lw_spread *spread, const lw_random_key *key,
                         double household[LW_GROUP_COUNT])
{
    const lw_draw_start *start = start_of(e, spread, key->draw);
    const lw_random_words a = lw_random_block(key, STREAM_HOUSEHOLD, 0), b = lw_random_block(key, STREAM_HOUSEHOLD, 1);
    for (int g = 0; g < LW_GROUP_COUNT; g++)
        household[g] =
            start ? start->household[g]
            : spread->household[g] > 0.0
                ? lw_exp(spread->household[g] * lw_random_normal(lw_random_unit(g < 4 ? a.word[g] : b.word[g - 4])))
                : 1.0;
}

/* All groups of a day at once: household times lognormal of the day. */
static void draw_day(const lw_spread *spread, const lw_random_key *key, int64_t day,
                     const double household[LW_GROUP_COUNT], float factor[LW_GROUP_COUNT])
{
    const lw_random_words words[] = {lw_random_block(key, STREAM_DAY, day), lw_random_block(key, STREAM_DAY_MORE, day)};
    uint32_t word[LW_LANES];
    double deviate[LW_LANES], of_day[LW_LANES];
    memcpy(word, words, sizeof word);
    lw_random_normals(word, deviate);
    const lw_v sd = lw_vload(spread->day);
    lw_vstore(of_day, lw_choose((lw_m)(sd > 0.0), lw_vexp(sd * lw_vload(deviate) - 0.5 * sd * sd), lw_all(1.0)));
    for (int g = 0; g < LW_GROUP_COUNT; g++)
        factor[g] = (float)(household[g] * of_day[g]);
}

/* Factors of use by day and group; the heat's is for the cabin as a whole. */
static double draw_use(const lw_ensemble *e, const lw_spread *spread, const lw_random_key *key,
                       float (*factor)[LW_GROUP_COUNT])
{
    const lw_calendar *k = &e->in.context->scenario->calendar;
    const int days = k->civil_day[k->hours - 1] - k->civil_day[0] + 1;
    double household[LW_GROUP_COUNT];
    household_of(e, spread, key, household);
    for (int d = 0; d < days; d++)
        draw_day(spread, key, k->civil_day[0] + d, household, factor[d]);
    return household[LW_GROUP_HEAT];
}

void lw_ensemble_factors(const lw_ensemble *e, uint32_t draw, float (*factor)[LW_GROUP_COUNT])
{
    const lw_random_key key = {.seed = e->in.seed, .draw = draw};
    (void)draw_use(e, &e->in.spread, &key, factor);
}

static int has_wind_limit(const lw_rig *rig)
{
    int has = rig->awning_limit_ms > 0.0;
    for (int a = 0; a < rig->array_count; a++)
        has |= rig->array[a].wind_limit_ms > 0.0;
    return has;
}

/* Light of an hour under the draw's clearness. */
static void take_light(const lw_ensemble *e, const lw_draw_scratch *x, int h, lw_hour *hour, lw_snow_cover *cover)
{
    const lw_context *c = &x->lanes.context;
    const size_t table = (size_t)LW_LIGHT_KNOTS * (size_t)c->steps;
    const lw_light_spot spot = lw_light_spot_of(x->clear_frac[h]);
    hour->sun_gain_w = lw_light_at(e->light, c->steps, h, spot);
    for (int a = 0; a < c->scenario->rig.array_count; a++) {
        const float *of_array = e->light + (size_t)(1 + 2 * a) * table;
        lw_array_hour(c, a, h,
                      &(lw_array_light){lw_light_at(of_array, c->steps, h, spot),
                                        lw_light_at(of_array + table, c->steps, h, spot)},
                      x->snow_mm[h], hour, &cover[a]);
    }
}

/* Snow falls and lies by night too. */
static void take_dark(const lw_draw_scratch *x, int h, lw_hour *hour, lw_snow_cover *cover)
{
    hour->sun_gain_w = 0.0;
    for (int a = 0; a < x->lanes.context.scenario->rig.array_count; a++)
        lw_array_hour(&x->lanes.context, a, h, &(lw_array_light){0.0, 0.0}, x->snow_mm[h], hour, &cover[a]);
}

static void draw_weather(const lw_ensemble *e, const lw_random_key *key, lw_draw_scratch *x)
{
    const lw_context *c = &x->lanes.context;
    const int is_windy = has_wind_limit(&c->scenario->rig);
    lw_weather_draw(e->in.frame, key, e->in.with_place_error, x->day);
    lw_weather_hours(e->in.frame, x->day,
                     &(lw_weather_series){.air_c = x->air_c,
                                          .clear_frac = x->clear_frac,
                                          .wind_ms = x->wind_ms,
                                          .dew_c = x->dew_c,
                                          .snow_mm = x->snow_mm});
    lw_snow_cover cover[LW_ARRAYS] = {{0.0, 0.0}};
    int has_snow = 0;
    for (int h = 0; h < c->steps; h++) {
        lw_hour *hour = &x->hour[h];
        hour->air_c = x->air_c[h];
        hour->wind_ms = x->wind_ms[h];
        hour->dew_c = x->dew_c[h];
        hour->is_sun_on = 0;
        hour->snow_on = hour->wind_over = 0;
        hour->snow_mm = 0.0f;
        has_snow |= x->snow_mm[h] > 0.0; /* it may lie from then on */
        if (is_windy)
            lw_awning_wind(c, hour);
        if (e->is_lit[h])
            take_light(e, x, h, hour, cover);
        else if (has_snow || is_windy)
            take_dark(x, h, hour, cover);
        else
            memset(hour->panel_w, 0, sizeof hour->panel_w), hour->sun_gain_w = 0.0;
    }
}

static void *aligned(void *memory)
{
    return (char *)memory + (ALIGN - (uintptr_t)memory % ALIGN) % ALIGN;
}

/* The scratch holds a context like the shared one with hours of its own; what a draw changes in them it sets anew. */
static lw_draw_scratch *begin_part(const lw_ensemble *e, void *memory)
{
    const lw_context *c = e->in.context;
    lw_draw_scratch *x = aligned(memory);
    lw_lanes *lanes = &x->lanes;
    lanes->context = *c;
    lanes->is_one_by_one = e->is_one_by_one;
    memcpy(x->hour, c->hour, (size_t)c->steps * sizeof *x->hour);
    lanes->context.hour = x->hour;
    lanes->lane_hour = aligned(x->hour + c->steps);
    return x;
}

/* The weather of an hour is this lane's. */
static void give_weather(const lw_hour *hour, int arrays, int l, lw_lane_hour *to)
{
    to->air_c[l] = hour->air_c, to->wind_ms[l] = hour->wind_ms, to->dew_c[l] = hour->dew_c;
    to->sun_gain_w[l] = hour->sun_gain_w;
    for (int a = 0; a < arrays; a++)
        to->panel_w[a][l] = hour->panel_w[a], to->cell_c[a][l] = hour->cell_c[a];
    to->snow_on[l] = hour->snow_on, to->wind_over[l] = hour->wind_over, to->snow_mm[l] = hour->snow_mm;
    to->is_odd = (uint8_t)((l > 0 && to->is_odd) || hour->snow_on || hour->wind_over);
}

static void give_days(const lw_weather_day *day, int days, int l, lw_lanes *to)
{
    for (int d = 0; d < days; d++) {
        to->tmin_c[d][l] = day[d].tmin_c, to->tmax_c[d][l] = day[d].tmax_c;
        to->clear_frac[d][l] = day[d].clear_frac, to->wind_ms[d][l] = day[d].wind_ms;
        to->snow_mmph[d][l] = day[d].snow_mm / 24.0;
    }
}

static void prepare_draw(const lw_ensemble *e, const lw_spread *spread, int is_weather_drawn, uint32_t draw, int l,
                         lw_draw_scratch *x)
{
    const lw_context *shared = e->in.context;
    lw_lanes *lanes = &x->lanes;
    const lw_random_key key = {.seed = e->in.seed, .draw = draw};
    const double heat = draw_use(e, spread, &key, lanes->factor[l]);
    const lw_draw_start *start = start_of(e, spread, draw);
    const int is_drawn = e->in.frame && is_weather_drawn;
    lanes->start[l] = start ? &start->state : NULL;
    lanes->ua_wk[l] = shared->ua_wk * heat;
    lanes->wind_wkpms[l] = shared->wind_wkpms * heat;
    lanes->decay_calm[l] = exp(-lanes->ua_wk[l] * shared->step_h * 3600.0 / shared->mass_jk);
    lanes->frame = is_drawn && !lanes->is_one_by_one ? e->in.frame : NULL;
    lanes->light = e->by_hour, lanes->is_lit = e->is_lit;
    if (lanes->frame) {
        lw_weather_draw(e->in.frame, &key, e->in.with_place_error, x->day);
        give_days(x->day, e->in.frame->days, l, lanes);
        return;
    }
    if (is_drawn)
        draw_weather(e, &key, x);
    const lw_hour *hour = is_drawn ? x->hour : shared->hour;
    for (int h = 0; h < shared->steps; h++)
        give_weather(&hour[h], shared->scenario->rig.array_count, l, &lanes->lane_hour[h]);
}

/* Steps of the joint course: to the same moment in every draw, whenever its own shortages begin; -1: not said. */
static int joint_steps(const lw_ensemble *e)
{
    return e->in.joint_until_s ? (int)((e->in.joint_until_s - e->in.context->start_s) / 3600) : -1;
}

static float hours_to(double h, double horizon_h)
{
    return h < horizon_h ? (float)h : INFINITY;
}

static lw_draw_row row_of(const lw_context *c, const lw_course *own, const lw_course *joint, double joint_h)
{
    const double horizon_h = c->steps * c->step_h;
    lw_draw_row row = {.rubbish_age_h = hours_to(own->rubbish_age_h, horizon_h),
                       .leisure_end_h = hours_to(own->leisure_end_h, horizon_h),
                       .inside_low_c = (float)joint->comfort.inside_low_c,
                       .inside_high_c = (float)joint->comfort.inside_high_c,
                       .propane_kg = (float)own->gas_asked_kg,
                       .sun_wh = (float)own->panels_wh};
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        row.end_h[k] = hours_to(own->end_h[k], horizon_h);
    for (int v = 0; v < LW_VITALS; v++)
        row.vital_end_h[v] = hours_to(joint->vital_end_h[v], joint_h);
    for (int k = 0; k < LW_EVENT_KIND_COUNT; k++)
        row.kinds |= joint->event_sum[k].count > 0 ? UINT32_C(1) << k : 0u;
    row.too_cold = joint->event_sum[LW_EVENT_VITAL_COLD].seen;
    row.too_hot = joint->event_sum[LW_EVENT_VITAL_HOT].seen;
    return row;
}

/* Often all lanes fall into one bin: then it is one sum instead of eight, each of which would wait for the one before. */
static void count_bins(const uint8_t bin[LW_MOST_LANES], int count, uint64_t counted, uint32_t level[LW_LEVEL_BINS])
{
    uint64_t all;
    memcpy(&all, bin, sizeof all);
    if (((all ^ bin[0] * UINT64_C(0x0101010101010101)) & counted) == 0) {
        level[bin[0]] += (uint32_t)count;
        return;
    }
    for (int l = 0; l < count; l++)
        level[bin[l]]++;
}

static void count_levels(const lw_lanes *x, lw_draw_sums *sums)
{
    const lw_context *c = &x->context;
    const int marks = (c->steps + LW_MARK_HOURS - 1) / LW_MARK_HOURS;
    uint64_t counted = 0; /* the bytes of the lanes that are draws */
    memset(&counted, 0xff, (size_t)x->count);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        if (k != LW_SUPPLY_BATTERY && c->capacity[k] <= 0.0)
            continue;
        for (int m = 0; m < marks; m++)
            count_bins(x->bin[k][m], x->count, counted, sums->level[k][m]);
    }
    sums->draws += (uint32_t)x->count;
}

static uint32_t lanes_of(const lw_ensemble *e, uint32_t left)
{
    return left < e->lanes ? left : e->lanes;
}

/* As many draws from this one on as there are lanes, or fewer. */
static void run_draws(const lw_ensemble *e, uint32_t first, uint32_t left, lw_draw_scratch *x)
{
    x->lanes.joint_last = joint_steps(e);
    x->lanes.is_own_alone = 0;
    x->lanes.count = (int)lanes_of(e, left);
    for (int l = 0; l < x->lanes.count; l++)
        prepare_draw(e, &e->in.spread, 1, first + (uint32_t)l, l, x);
    e->run(&x->lanes);
}

void lw_ensemble_last(const lw_ensemble *e, uint32_t first, uint32_t count, void *scratch, lw_state *own,
                      lw_state *joint)
{
    lw_draw_scratch *x = begin_part(e, scratch);
    for (uint32_t i = 0; i < count; i += e->lanes) {
        run_draws(e, first + i, count - i, x);
        for (int l = 0; l < x->lanes.count; l++) {
            own[i + (uint32_t)l] = x->lanes.own[l].last;
            joint[i + (uint32_t)l] = x->lanes.joint[l].last;
        }
    }
}

void lw_ensemble_part(const lw_ensemble *e, uint32_t first, uint32_t count, void *scratch, lw_draw_row *row,
                      lw_draw_sums *sums)
{
    lw_draw_scratch *x = begin_part(e, scratch);
    lw_lanes *lanes = &x->lanes;
    const double joint_h = joint_steps(e) >= 0 ? joint_steps(e) : e->in.context->steps;
    for (uint32_t i = 0; i < count; i += e->lanes) {
        run_draws(e, first + i, count - i, x);
        for (int l = 0; l < lanes->count; l++)
            row[i + (uint32_t)l] = row_of(e->in.context, &lanes->own[l], &lanes->joint[l], joint_h);
        count_levels(lanes, sums);
    }
}

/* The context is as if there were this draw alone. */
static const lw_context *put_draw(const lw_ensemble *e, uint32_t draw, lw_draw_scratch *x)
{
    lw_lanes *lanes = &x->lanes;
    lanes->is_one_by_one = 1; /* hours of its own */
    prepare_draw(e, &e->in.spread, 1, draw, 0, x);
    for (int h = 0; h < lanes->context.steps; h++) {
        lw_lane_put(lanes, 0, h);
        lw_sum_uses(&lanes->context, &x->hour[h]);
    }
    return &lanes->context;
}

const lw_context *lw_ensemble_draw(const lw_ensemble *e, uint32_t draw, void *scratch)
{
    return put_draw(e, draw, begin_part(e, scratch));
}

/* Own courses alone, side by side. next: NULL, or how each household stands at the end. */
static void run_alone(const lw_ensemble *e, lw_drawn what, uint32_t first, uint32_t count, void *scratch,
                      lw_draw_ends *ends, lw_draw_start *next)
{
    lw_draw_scratch *x = begin_part(e, scratch);
    lw_lanes *lanes = &x->lanes;
    const lw_spread *spread = what == LW_DRAWN_WEATHER ? &NONE : &e->in.spread;
    const double horizon_h = e->in.context->steps * e->in.context->step_h;
    lanes->is_own_alone = 1;
    for (uint32_t i = 0; i < count; i += e->lanes) {
        lanes->count = (int)lanes_of(e, count - i);
        for (int l = 0; l < lanes->count; l++)
            prepare_draw(e, spread, what != LW_DRAWN_USE, first + i + (uint32_t)l, l, x);
        e->run(lanes);
        for (uint32_t l = 0; l < (uint32_t)lanes->count; l++) {
            const lw_random_key key = {.seed = e->in.seed, .draw = first + i + l};
            for (int k = 0; k < LW_SUPPLY_COUNT; k++)
                ends[i + l].end_h[k] = hours_to(lanes->own[l].end_h[k], horizon_h);
            if (!next)
                continue;
            next[i + l].state = lanes->own[l].last;
            household_of(e, spread, &key, next[i + l].household);
        }
    }
}

void lw_ensemble_alone(const lw_ensemble *e, lw_drawn what, uint32_t first, uint32_t count, void *scratch,
                       lw_draw_ends *ends)
{
    run_alone(e, what, first, count, scratch, ends, NULL);
}

void lw_ensemble_leave(const lw_ensemble *e, uint32_t first, uint32_t count, void *scratch, lw_draw_ends *ends,
                       lw_draw_start *next)
{
    run_alone(e, LW_DRAWN_BOTH, first, count, scratch, ends, next);
}

void lw_ensemble_flows(const lw_ensemble *e, uint32_t first, uint32_t count, void *scratch, lw_flows *flows,
                       lw_draw_ends *ends)
{
    lw_draw_scratch *x = begin_part(e, scratch);
    lw_course *own = &x->lanes.own[0];
    const double horizon_h = e->in.context->steps * e->in.context->step_h;
    for (uint32_t i = 0; i < count; i++) {
        const lw_context *c = put_draw(e, first + i, x);
        lw_state s;
        lw_state_start(c, &s);
        lw_course_clear(c, own);
        (void)lw_run_steps(&(lw_run){.context = c, .mode = LW_MODE_OWN}, 0, &s, own);
        flows[i] = own->total;
        for (int k = 0; k < LW_SUPPLY_COUNT; k++)
            ends[i].end_h[k] = hours_to(own->end_h[k], horizon_h);
    }
}

/* ------------------------------------------------------------------ all draws to an outlook */

static const double SHARE[LW_QUANTILES] = {0.1, 0.5, 0.9};

/* Sorts by heap: no memory, no worst case. */
static void sink(float *v, uint32_t at, uint32_t count)
{
    for (uint32_t child; (child = 2 * at + 1) < count; at = child) {
        if (child + 1 < count && v[child + 1] > v[child])
            child++;
        if (!(v[child] > v[at]))
            return;
        const float swap = v[at];
        v[at] = v[child], v[child] = swap;
    }
}

static void sort(float *v, uint32_t count)
{
    for (uint32_t i = count / 2; i-- > 0;)
        sink(v, i, count);
    for (uint32_t n = count; n-- > 1;) {
        const float swap = v[0];
        v[0] = v[n], v[n] = swap;
        sink(v, 0, n);
    }
}

/* Of sorted draws the smallest that at least this share does not exceed. */
static double quantile(const float *sorted, uint32_t count, double share)
{
    const double at = ceil(share * count) - 1.0;
    return (double)sorted[at > 0.0 ? (uint32_t)at : 0u];
}

static lw_quantile quantile_at(const lw_context *c, const float *sorted, uint32_t count, double share, double horizon_h)
{
    const double end_h = quantile(sorted, count, share);
    const int is_beyond = isinf(end_h);
    const double h = is_beyond ? horizon_h : end_h;
    return (lw_quantile){
        .days = h / DAY_H, .at_s = c->start_s + (int64_t)floor(h * 3600.0 + 0.5), .beyond_horizon = is_beyond};
}

static void set_quantiles(const lw_context *c, float *sorted, uint32_t count, double horizon_h, lw_leeway *to)
{
    sort(sorted, count);
    uint32_t beyond = 0;
    while (beyond < count && isinf(sorted[count - 1 - beyond]))
        beyond++;
    for (int i = 0; i < LW_QUANTILES; i++)
        to->q[i] = quantile_at(c, sorted, count, SHARE[i], horizon_h);
    to->beyond_frac = (double)beyond / count;
}

/* Share of the draws, sorted, that end after each day. */
static void set_chances(const float *sorted, uint32_t count, int days, float *to)
{
    uint32_t ended = 0;
    for (int d = 0; d < days; d++) {
        while (ended < count && sorted[ended] < (float)((d + 1) * DAY_H))
            ended++;
        to[d] = (float)(count - ended) / (float)count;
    }
}

static float level_quantile(const uint32_t *bins, uint32_t draws, double share)
{
    const double want = share * draws;
    double sum = 0.0;
    for (int b = 0; b < LW_LEVEL_BINS; b++) {
        if (sum + bins[b] >= want && bins[b] > 0)
            return (float)((b + (want - sum) / bins[b]) / LW_LEVEL_BINS);
        sum += bins[b];
    }
    return 1.0f;
}

static void set_bands(const lw_draw_sums *sums, lw_outlook *out)
{
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        if (!out->leeway[k].is_present || k == LW_SUPPLY_STAY)
            continue;
        for (int m = 0; m < out->mark_count; m++) {
            /* Bins are two percent wide: the course that is told lies in its band all the same. */
            const float low = level_quantile(sums->level[k][m], sums->draws, 0.1);
            const float high = level_quantile(sums->level[k][m], sums->draws, 0.9), mark = out->mark[k][m];
            out->mark_low[k][m] = low < mark ? low : mark;
            out->mark_high[k][m] = high > mark ? high : mark;
        }
    }
}

/* From P10 to P90 of one supply, hours. */
static double width_h(const lw_draw_ends *ends, int supply, uint32_t count, double horizon_h, float *memory)
{
    for (uint32_t i = 0; i < count; i++)
        memory[i] = (float)lw_least((double)ends[i].end_h[supply], horizon_h);
    sort(memory, count);
    return quantile(memory, count, SHARE[LW_QUANTILES - 1]) - quantile(memory, count, SHARE[0]);
}

void lw_ensemble_shares(const lw_ensemble *e, const lw_draw_ends *weather, const lw_draw_ends *use, uint32_t count,
                        float *memory, lw_outlook *out)
{
    const double horizon_h = e->in.context->steps * e->in.context->step_h;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        if (!out->leeway[k].is_present)
            continue;
        const double of_weather = width_h(weather, k, count, horizon_h, memory);
        const double of_use = width_h(use, k, count, horizon_h, memory);
        const double sum = of_use * of_use + of_weather * of_weather;
        out->leeway[k].spread_use_frac = sum > 0.0 ? of_use * of_use / sum : NAN;
    }
}

/* Deciles of what the draws need, P10 to P90. */
static void set_deciles(float *sorted, uint32_t count, double to[LW_DECILES])
{
    sort(sorted, count);
    for (int i = 0; i < LW_DECILES; i++)
        to[i] = quantile(sorted, count, (i + 1) / 10.0);
}

/* Which supply ends first in each draw, and when. */
static void set_first(const lw_context *c, const lw_draw_row *row, uint32_t count, float *memory, lw_outlook *out)
{
    const float wished_h = (float)((double)(out->departure_s - out->start_s) / 3600.0);
    uint32_t binds[LW_SUPPLY_COUNT] = {0}, stays = 0;
    for (uint32_t i = 0; i < count; i++) {
        int first = -1;
        for (int k = 0; k < LW_SUPPLY_COUNT; k++)
            if (out->leeway[k].is_present && !isinf(row[i].end_h[k]) &&
                (first < 0 || row[i].end_h[k] < row[i].end_h[first]))
                first = k;
        memory[i] = first >= 0 ? row[i].end_h[first] : INFINITY;
        const int is_reached = memory[i] >= wished_h; /* both as floats: an end at the departure itself is none */
        if (first >= 0 && !(out->departure_s && is_reached))
            binds[first]++;
        stays += is_reached ? 1u : 0u;
    }
    out->first.is_present = 1;
    out->first.vessel = -1;
    set_quantiles(c, memory, count, c->steps * c->step_h, &out->first);
    out->stays_frac = out->departure_s ? (double)stays / count : NAN;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        out->leeway[k].binds_frac = (double)binds[k] / count;
}

static void set_start(const lw_ensemble *e, int supply, uint32_t count, float *memory, lw_leeway *to)
{
    for (uint32_t i = 0; i < count; i++)
        memory[i] = (float)lw_supply_level(e->in.context, supply, &e->in.start[i % e->in.start_count].state);
    sort(memory, count);
    for (int q = 0; q < LW_QUANTILES; q++)
        to->start[q] = quantile(memory, count, SHARE[q]);
}

void lw_ensemble_finish(const lw_ensemble *e, const lw_draw_row *row, uint32_t count, const lw_draw_sums *sums,
                        float *memory, lw_outlook *out)
{
    const lw_context *c = e->in.context;
    const double horizon_h = c->steps * c->step_h;
    out->draws = (int)count;
    out->seed = e->in.seed;
    out->day_count = c->steps / 24 < LW_DAYS ? c->steps / 24 : LW_DAYS;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        if (!out->leeway[k].is_present)
            continue;
        for (uint32_t i = 0; i < count; i++)
            memory[i] = row[i].end_h[k];
        set_quantiles(c, memory, count, horizon_h, &out->leeway[k]);
        set_chances(memory, count, out->day_count, out->lasts_frac[k]);
        if (e->in.start_count > 0 && k != LW_SUPPLY_STAY)
            set_start(e, k, count, memory, &out->leeway[k]);
    }
    for (uint32_t i = 0; i < count; i++)
        memory[i] = row[i].rubbish_age_h;
    set_quantiles(c, memory, count, horizon_h, &out->rubbish_age);
    for (uint32_t i = 0; i < count; i++)
        memory[i] = row[i].leisure_end_h;
    set_quantiles(c, memory, count, horizon_h, &out->leisure_data);
    const double joint_h = (double)(out->joint_until_s - out->start_s) / 3600.0;
    for (int v = 0; v < out->vital_count; v++) {
        for (uint32_t i = 0; i < count; i++)
            memory[i] = row[i].vital_end_h[v];
        set_quantiles(c, memory, count, joint_h, &out->vital[v]);
        out->vital_p01[v] = quantile_at(c, memory, count, 0.01, joint_h);
    }
    for (int kind = 0; kind < LW_EVENT_KIND_COUNT; kind++) {
        uint32_t n = 0;
        for (uint32_t i = 0; i < count; i++)
            n += row[i].kinds >> kind & 1u;
        out->happens_frac[kind] = (float)n / (float)count;
    }
    for (int is_high = 0; is_high < 2; is_high++) {
        for (uint32_t i = 0; i < count; i++)
            memory[i] = is_high ? row[i].inside_high_c : row[i].inside_low_c;
        sort(memory, count);
        for (int q = 0; q < LW_QUANTILES; q++)
            (is_high ? out->inside_high_c : out->inside_low_c)[q] = quantile(memory, count, SHARE[q]);
    }
    for (uint32_t i = 0; i < count; i++)
        memory[i] = row[i].propane_kg;
    set_deciles(memory, count, out->propane_kg);
    for (uint32_t i = 0; i < count; i++)
        memory[i] = row[i].sun_wh;
    set_deciles(memory, count, out->sun_wh);
    for (int p = 0; p < c->scenario->crew.person_count; p++) {
        uint32_t cold = 0, hot = 0;
        for (uint32_t i = 0; i < count; i++)
            cold += row[i].too_cold >> p & 1u, hot += row[i].too_hot >> p & 1u;
        out->too_cold_frac[p] = (float)cold / (float)count;
        out->too_hot_frac[p] = (float)hot / (float)count;
    }
    set_first(c, row, count, memory, out);
    set_bands(sums, out);
    lw_sort_supplies(out);
}
