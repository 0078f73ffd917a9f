#include "service/learned_kept.h"

#include <math.h>
#include <string.h>

#include "core/base/hash.h"
#include "exchange/tables.h"

/* Grows with every change of what learning computes or of how it is kept. */
static const uint32_t FORM = 2;

/* ------------------------------------------------------------------ the key */

static void add(uint64_t *hash, const void *bytes, size_t n)
{
    *hash = lw_hash(*hash, bytes, n);
}

static void add_real(uint64_t *hash, double value)
{
    add(hash, &value, sizeof value);
}

static void add_whole(uint64_t *hash, int64_t value)
{
    add(hash, &value, sizeof value);
}

static void add_weather(uint64_t *hash, const lw_scenario *s, int64_t moment_s)
{
    const lw_weather *w = &s->weather;
    const lw_calendar *c = &s->calendar;
    const int64_t passed = (moment_s - c->start_s + 3599) / 3600;
    const size_t hours = (size_t)(passed < 0 ? 0 : passed < c->hours ? passed : c->hours);
    const double *const series[] = {w->air_c,   w->wind_ms,    w->humidity_frac, w->ghi_wm2, w->dni_wm2,
                                    w->dhi_wm2, w->clear_frac, w->precip_mm,     w->snow_mm};
    for (size_t i = 0; i < sizeof series / sizeof series[0]; i++)
        add(hash, series[i], hours * sizeof *series[i]);
    add_whole(hash, c->start_s);
    add(hash, c->civil_hour, hours * sizeof *c->civil_hour);
    add(hash, c->weekday, hours * sizeof *c->weekday);
    add(hash, c->civil_day, hours * sizeof *c->civil_day);
}

static void add_readings(uint64_t *hash, const lw_learn_in *in)
{
    for (int i = 0; i < in->reading_count; i++) {
        const lw_reading *r = &in->reading[i];
        add_whole(hash, r->at_s);
        add_whole(hash, r->vessel);
        add_real(hash, r->low);
        add_real(hash, r->high);
        add_real(hash, r->lie_frac);
        add_whole(hash, (int64_t)r->what);
        add_whole(hash, r->also);
    }
}

static void add_vessels(uint64_t *hash, const lw_learn_in *in, const lw_scenario *s)
{
    for (int v = 0; v < s->rig.vessel_count; v++) {
        add_real(hash, s->rig.vessel[v].level);
        add_real(hash, s->rig.vessel[v].capacity);
        add_real(hash, in->start_sd[v]);
        add_real(hash, in->rule_shift[v]);
        add_real(hash, in->capacity_sd[v]);
        add_real(hash, in->residue_sd[v]);
        add_real(hash, in->bias_sd[v]);
        add_whole(hash, in->is_start_share[v]);
    }
    add_real(hash, s->rig.battery.level_frac);
    add_real(hash, in->battery_sd_frac);
    for (int t = 0; t < s->transfer_count; t++) {
        const lw_transfer *transfer = &s->transfer[t];
        add_whole(hash, transfer->at_s);
        add_whole(hash, transfer->vessel);
        add_whole(hash, transfer->kind);
        add_real(hash, transfer->amount);
        add_real(hash, in->transfer_sd[t]);
    }
}

/* Who was there: of the crew's words, and what was logged of comings and goings. */
static void add_people(uint64_t *hash, const lw_scenario *s)
{
    add_whole(hash, s->crew.person_count);
    for (int p = 0; p < s->crew.person_count; p++) {
        const lw_person *person = &s->crew.person[p];
        add_whole(hash, (int64_t)person->being);
        add_whole(hash, person->guest.from_s);
        add_whole(hash, person->guest.to_s);
        for (int i = 0; i < person->out_count; i++) {
            add_whole(hash, person->out[i].from_s);
            add_whole(hash, person->out[i].to_s);
        }
    }
}

uint64_t lw_learned_key(const lw_learn_in *in, const lw_scenario *past, uint64_t words, int64_t moment_s)
{
    static const char VERSION[] = LW_VERSION;
    uint64_t hash = lw_hash(LW_HASH_START, VERSION, sizeof VERSION);
    add_whole(&hash, FORM);
    add_whole(&hash, (int64_t)lw_tables_hash());
    add_whole(&hash, (int64_t)words);
    add_whole(&hash, moment_s);
    add_weather(&hash, past, moment_s);
    add_readings(&hash, in);
    add_vessels(&hash, in, past);
    add_people(&hash, past);
    add(&hash, &in->spread, sizeof in->spread);
    add_whole(&hash, in->forget_before_s);
    add_whole(&hash, in->draws);
    add_whole(&hash, (int64_t)in->seed);
    add_whole(&hash, in->asks);
    return hash;
}

/* ------------------------------------------------------------------ to bytes and back */

/* One way through all that is kept serves counting, writing and reading, so that these cannot differ. */
typedef struct lw_pass {
    unsigned char *to;         /* writing */
    const unsigned char *from; /* reading; neither: counting */
    size_t done, size;
    int is_short;
} lw_pass;

static void pass(lw_pass *p, void *value, size_t n)
{
    if ((p->to || p->from) && p->done + n > p->size)
        p->is_short = 1;
    else if (p->from)
        memcpy(value, p->from + p->done, n);
    else if (p->to)
        memcpy(p->to + p->done, value, n);
    p->done += n;
}

/* Passes whatever it is given by its own size. */
#define PASS(p, value) pass(p, &(value), sizeof(value))

static void pass_state(lw_pass *p, lw_state *s, int vessels)
{
    pass(p, s->level, (size_t)vessels * sizeof s->level[0]);
    PASS(p, s->battery_q1_ah);
    PASS(p, s->battery_q2_ah);
    PASS(p, s->battery_c);
    PASS(p, s->cabin_c);
    PASS(p, s->bay_c);
    PASS(p, s->water_deficit_j);
    PASS(p, s->rubbish_age_frac);
    PASS(p, s->fridge_warm_h);
    PASS(p, s->freeze_valve_h);
    PASS(p, s->freeze_pipe_h);
    PASS(p, s->off_h);
    PASS(p, s->cut);
    PASS(p, s->is_generator_on);
}

static void pass_summary(lw_pass *p, lw_learned *l, int vessels, int readings)
{
    PASS(p, l->effective);
    PASS(p, l->log_evidence);
    PASS(p, l->powers);
    for (int g = 0; g < LW_GROUP_COUNT; g++) {
        PASS(p, l->factor[g].prior);
        PASS(p, l->factor[g].now);
        PASS(p, l->factor[g].is_read);
    }
    for (int v = 0; v < vessels; v++) {
        PASS(p, l->level[v]);
        PASS(p, l->tie[v].a);
        PASS(p, l->tie[v].b);
        PASS(p, l->tie[v].correlation);
        PASS(p, l->tie[v].is_tied);
        PASS(p, l->capacity_frac[v]);
        PASS(p, l->residue_frac[v]);
        PASS(p, l->bias[v]);
    }
    PASS(p, l->battery_frac);
    for (int g = 0; g < LW_LEARN_GAUGES; g++) {
        PASS(p, l->gauge[g].readings);
        PASS(p, l->gauge[g].stuck_frac);
        PASS(p, l->gauge[g].is_stuck);
    }
    PASS(p, l->doubt);
    PASS(p, l->doubt_log_odds);
    PASS(p, l->since_s);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        PASS(p, l->help[k].vessel);
        PASS(p, l->help[k].narrows_frac);
    }
    pass(p, l->lie_frac, (size_t)readings * sizeof l->lie_frac[0]);
}

static void pass_all(lw_pass *p, lw_learned *l, int vessels, int readings)
{
    uint32_t form = FORM, draws = l->draws;
    int32_t counts[] = {vessels, readings};
    PASS(p, form);
    PASS(p, draws);
    PASS(p, counts);
    if (form != FORM || draws != l->draws || counts[0] != vessels || counts[1] != readings) {
        p->is_short = 1;
        return;
    }
    pass_summary(p, l, vessels, readings);
    for (uint32_t i = 0; i < l->draws && !p->is_short; i++) {
        pass_state(p, &l->draw[i].state, vessels);
        PASS(p, l->draw[i].household);
        PASS(p, l->day[i]);
        pass(p, l->capacity[i], (size_t)vessels * sizeof l->capacity[i][0]);
    }
}

size_t lw_learned_pack_bytes(const lw_learned *learned, int vessels, int readings)
{
    lw_learned l = *learned;
    lw_pass p = {0};
    pass_all(&p, &l, vessels, readings);
    return p.done + sizeof(uint64_t);
}

void lw_learned_pack(const lw_learned *learned, int vessels, int readings, unsigned char *to)
{
    lw_learned l = *learned;
    lw_pass p = {.to = to, .size = lw_learned_pack_bytes(learned, vessels, readings)};
    pass_all(&p, &l, vessels, readings);
    uint64_t hash = lw_hash(LW_HASH_START, to, p.done);
    PASS(&p, hash);
}

/* The hash holds against chance; what is an index or a length later is looked at all the same. */
static int is_sound(const lw_learned *l, int vessels)
{
    int is_bad = (int)l->doubt < LW_DOUBT_NONE || l->doubt > LW_DOUBT_RULE || !isfinite(l->effective);
    for (int v = 0; v < vessels; v++)
        is_bad |= (int)l->tie[v].a < 0 || l->tie[v].a >= LW_LEARNED_WHATS || (int)l->tie[v].b < 0 ||
                  l->tie[v].b >= LW_LEARNED_WHATS;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        is_bad |= l->help[k].vessel < -1 || l->help[k].vessel >= vessels;
    for (int g = 0; g < LW_GROUP_COUNT; g++)
        is_bad |= !(l->factor[g].now[1] > 0.0) || !isfinite(l->factor[g].now[1]);
    for (uint32_t i = 0; i < l->draws && !is_bad; i++) {
        const lw_state *s = &l->draw[i].state;
        for (int v = 0; v < vessels; v++)
            is_bad |= !(s->level[v] >= 0.0 && s->level[v] < INFINITY);
        is_bad |= !isfinite(s->battery_q1_ah) || !isfinite(s->battery_q2_ah) || !isfinite(s->cabin_c);
    }
    return !is_bad;
}

size_t lw_learned_unpack_bytes(uint32_t draws, int readings)
{
    return draws * (sizeof(lw_draw_start) + sizeof(float[LW_GROUP_COUNT]) + sizeof(float[LW_VESSELS])) +
           (size_t)readings * sizeof(double) + 64;
}

int lw_learned_unpack(const unsigned char *from, size_t count, uint32_t draws, int vessels, int readings,
                      lw_arena *arena, lw_learned *learned)
{
    lw_learned l = {.draws = draws};
    uint64_t hash;
    if (count < sizeof hash)
        return 0;
    memcpy(&hash, from + count - sizeof hash, sizeof hash);
    if (hash != lw_hash(LW_HASH_START, from, count - sizeof hash))
        return 0;
    l.draw = lw_arena_lend(arena, draws * sizeof *l.draw, 16);
    l.day = lw_arena_lend(arena, draws * sizeof *l.day, 16);
    l.capacity = lw_arena_lend(arena, draws * sizeof *l.capacity, 16);
    l.lie_frac = lw_arena_lend(arena, (size_t)readings * sizeof *l.lie_frac, 16);
    if (!l.draw || !l.day || !l.capacity || !l.lie_frac)
        return 0;
    memset(l.draw, 0, draws * sizeof *l.draw);
    lw_pass p = {.from = from, .size = count - sizeof hash};
    pass_all(&p, &l, vessels, readings);
    if (p.is_short || p.done != p.size || !is_sound(&l, vessels))
        return 0;
    *learned = l;
    return 1;
}
