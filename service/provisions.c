#include "service/provisions.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "service/pool.h"
#include "text/decimal.h"
#include "text/say.h"

enum { CHANGE_BYTES = 160, TRIES = 12, ROUNDS = 12 };
static const double HOUR_S = 3600.0;
static const double TANK_MORE = 1.06; /* where tanks of one supply do not fill evenly: so much more at a time */
static const double RATE_SLACK =
    0.004; /* a supply whose share of draws is within this of what was counted is as counted */
static const double SAME_FRAC = 1e-6; /* amounts that differ by less are one */
static const double AIM_MOST = 0.9995, AIM_STEP = 0.002;

typedef struct work {
    lw_trials *trials;
    lw_provisions *to;
    int threads;
    lw_trial base;
    lw_bench *bench;
    lw_trial_row *row;                 /* the larger of draws and fresh draws */
    double *asked;                     /* [supply][draw], sorted; counted supplies only */
    double *by_draw;                   /* [supply][draw] */
    double more_frac[LW_SUPPLY_COUNT]; /* above what was counted */
} work;

static int is_ours(const lw_vessel *v, int supply)
{
    return (int)v->supply == supply && v->filter_life_l <= 0.0;
}

/* ------------------------------------------------------------------ what a share of the vessels gives or takes */

static double usable(const lw_rig *rig, int supply, double frac)
{
    double sum = 0.0;
    for (int i = 0; i < rig->vessel_count; i++) {
        const lw_vessel *v = &rig->vessel[i];
        if (!is_ours(v, supply))
            continue;
        if (lw_supply_fills((lw_supply)supply))
            sum += fmax(v->capacity - v->unusable - fmax(v->capacity * frac, v->residue), 0.0);
        else
            sum += fmax(v->capacity * frac - v->unusable, 0.0);
    }
    return sum;
}

static double capacity_of(const lw_rig *rig, int supply)
{
    double sum = 0.0;
    for (int i = 0; i < rig->vessel_count; i++)
        sum += is_ours(&rig->vessel[i], supply) ? rig->vessel[i].capacity : 0.0;
    return sum;
}

static void set_levels(lw_rig *rig, int supply, double frac)
{
    for (int i = 0; i < rig->vessel_count; i++)
        if (is_ours(&rig->vessel[i], supply))
            rig->vessel[i].level = lw_supply_fills((lw_supply)supply)
                                       ? fmax(rig->vessel[i].capacity * frac, rig->vessel[i].residue)
                                       : rig->vessel[i].capacity * frac;
}

/* The share of all vessels that gives so much, as far as they do; by halving. */
static double share_for(const lw_rig *rig, int supply, double amount)
{
    const int fills = lw_supply_fills((lw_supply)supply);
    double low = 0.0, high = 1.0;
    for (int i = 0; i < 60; i++) {
        const double middle = 0.5 * (low + high);
        if ((usable(rig, supply, middle) >= amount) != fills)
            high = middle;
        else
            low = middle;
    }
    return fills ? low : high;
}

/* One of what people count it in: a gallon or a litre, a pound or a kilogram, a bag. */
static double step_of(const work *w, int supply)
{
    static const char *const UNIT[2][2] = {{"gal", "L"}, {"lb", "kg"}};
    const int is_mass = supply == LW_SUPPLY_PROPANE;
    const char *name = UNIT[is_mass][w->to->wish.choice.units == LW_UNITS_SI];
    if (supply == LW_SUPPLY_FOOD || supply == LW_SUPPLY_DATA)
        return 1.0;
    if (supply == LW_SUPPLY_RUBBISH && w->base.loaded.bag_l > 0.0)
        return w->base.loaded.bag_l;
    return lw_unit_to_si(lw_unit_find(is_mass ? LW_DIM_MASS : LW_DIM_VOLUME, name, strlen(name)), 1.0);
}

static double up(double amount, double step)
{
    return ceil(amount / step - SAME_FRAC) * step;
}

static double down(double amount, double step)
{
    return floor(amount / step + SAME_FRAC) * step;
}

/* What to have on arrival for so much of it: in whole steps, what does not fit apart. */
static void place(const work *w, int supply, double amount, lw_provision *p)
{
    const lw_rig *rig = &w->base.loaded.scenario->rig;
    const double step = step_of(w, supply);
    const int fills = lw_supply_fills((lw_supply)supply);
    const double fits = usable(rig, supply, fills ? 0.0 : 1.0);
    p->sure = amount;
    p->more = amount > fits * (1.0 + SAME_FRAC) ? up(amount - fits, step) : 0.0;
    const double level = p->capacity * share_for(rig, supply, fmin(amount, fits));
    if (fills)
        p->level = p->more > 0.0 || amount >= fits ? 0.0 : down(level, step);
    else
        p->level = amount <= 0.0 ? 0.0 : fmin(up(level, step), p->capacity);
}

/* ------------------------------------------------------------------ the camp with what was chosen */

static int more_change(int supply, double amount, char *to)
{
    static const char *const FORM[LW_SUPPLY_COUNT] = {
        [LW_SUPPLY_FRESH] = "rig.tanks.fresh+={name: fresh brought, capacity: %s L, unusable: 0 L, order: 90}",
        [LW_SUPPLY_DRINKING] = "rig.drinking.bottled+=%s L",
        [LW_SUPPLY_GREY] =
            "rig.tanks.grey+={name: more grey room, capacity: %s L, residue: 0 L, spare: 0 L, order: 90}",
        [LW_SUPPLY_BLACK] =
            "rig.tanks.black+={name: more black room, capacity: %s L, residue: 0 L, spare: 0 L, order: 90}",
        [LW_SUPPLY_PROPANE] = "rig.propane.cylinders+={name: gas brought, capacity: %s kg, order: 90}",
        [LW_SUPPLY_FUEL] = "rig.fuel+={name: fuel brought, capacity: %s L, reserve: 0 %%, order: 90}",
        [LW_SUPPLY_RUBBISH] = "rig.rubbish+={name: more bags, place: bin, capacity: %s L, order: 90}",
        [LW_SUPPLY_FOOD] = "rig.food.capacity=%s person-days",
        [LW_SUPPLY_DATA] = "rig.data+={name: data brought, allowance: %s GB, power: 0 W, order: 90}",
    };
    char number[LW_DECIMAL_BYTES];
    if (!FORM[supply])
        return 0;
    (void)lw_decimal_print_digits(number, sizeof number, fmax(amount, 0.5), 12);
    const char *at = strstr(FORM[supply], "%s");
    snprintf(to, CHANGE_BYTES, "%.*s%s%s", (int)(at - FORM[supply]), FORM[supply], number, at + 2);
    for (char *twice = strstr(to, "%%"); twice; twice = strstr(to, "%%"))
        memmove(twice, twice + 1, strlen(twice));
    return 1;
}

/* Learned draws know the state of today; here the stay begins with what is said. */
static void begin_as_said(lw_trial *trial)
{
    for (uint32_t i = 0; i < trial->start_count; i++)
        lw_state_start(trial->context, &trial->start[i].state);
}

static lw_code make_trial(const work *w, lw_trial *trial, lw_err *err)
{
    char change[LW_SUPPLY_COUNT][CHANGE_BYTES];
    const char *at[LW_SUPPLY_COUNT];
    int count = 0;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (w->to->supply[k].is_counted && w->to->supply[k].more > 0.0 &&
            more_change(k, w->to->supply[k].more + (k == LW_SUPPLY_FOOD ? w->to->supply[k].capacity : 0.0),
                        change[count])) {
            at[count] = change[count];
            count++;
        }
    const lw_code code = lw_trial_make(w->trials, at, count, trial, err);
    if (code)
        return code;
    lw_rig *rig = &trial->loaded.scenario->rig;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        const lw_provision *p = &w->to->supply[k];
        if (p->is_counted && !(p->more > 0.0))
            set_levels(rig, k, p->capacity > 0.0 ? p->level / p->capacity : 0.0);
        else if (p->is_there)
            set_levels(rig, k, lw_supply_fills((lw_supply)k) ? 0.0 : 1.0);
    }
    begin_as_said(trial);
    return LW_OK;
}

/* ------------------------------------------------------------------ how many draws are enough */

static double joint_frac(const work *w, int count)
{
    int lasting = 0;
    for (int i = 0; i < count; i++) {
        int all = 1;
        for (int k = 0; all && k < LW_SUPPLY_COUNT; k++)
            all = !w->to->supply[k].is_counted || isinf(w->row[i].end_h[k]);
        lasting += all;
    }
    return (double)lasting / count;
}

static double lasting_frac(const work *w, int supply, int count)
{
    int lasting = 0;
    for (int i = 0; i < count; i++)
        lasting += isinf(w->row[i].end_h[supply]);
    return (double)lasting / count;
}

/* Share of the draws in which the n-th of each supply's sorted amounts is enough of all of them. */
static double counted_frac(const work *w, int n)
{
    const int draws = w->to->draws;
    int enough = 0;
    for (int i = 0; i < draws; i++) {
        int all = 1;
        for (int k = 0; all && k < LW_SUPPLY_COUNT; k++) {
            const size_t at = (size_t)k * (size_t)draws;
            all = !w->to->supply[k].is_counted || w->by_draw[at + (size_t)i] <= w->asked[at + (size_t)n];
        }
        enough += all;
    }
    return (double)enough / draws;
}

static int least_place(const work *w, double aim)
{
    int low = 0, high = w->to->draws - 1;
    while (low < high) {
        const int middle = (low + high) / 2;
        if (counted_frac(w, middle) >= aim)
            high = middle;
        else
            low = middle + 1;
    }
    return low;
}

static void place_all(const work *w, int n)
{
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (w->to->supply[k].is_counted)
            place(w, k, w->asked[(size_t)k * (size_t)w->to->draws + (size_t)n] * w->more_frac[k], &w->to->supply[k]);
}

/* Amounts for which the engine itself agrees, in the draws they are chosen by. */
static lw_code choose(work *w, double aim, lw_trial *trial, lw_err *err)
{
    const int draws = w->to->draws, n = least_place(w, aim);
    for (int round = 0;; round++) {
        int is_more = 0;
        place_all(w, n);
        const lw_code code = make_trial(w, trial, err);
        if (code)
            return code;
        lw_trial_rows_spread(trial, w->bench, w->threads, 0, (uint32_t)draws, w->row);
        if (joint_frac(w, draws) >= aim || round == ROUNDS)
            return LW_OK;
        for (int k = 0; k < LW_SUPPLY_COUNT; k++)
            if (w->to->supply[k].is_counted && lasting_frac(w, k, draws) < (n + 1.0) / draws - RATE_SLACK) {
                w->more_frac[k] *= TANK_MORE;
                is_more = 1;
            }
        if (!is_more)
            return LW_OK;
        lw_trial_clear(trial);
    }
}

static lw_code find(work *w, lw_err *err)
{
    lw_provisions *to = w->to;
    lw_trial trial = {.context = NULL};
    to->aimed_frac = to->wish.confidence_frac;
    for (int i = 0; i < TRIES; i++) {
        const lw_code code = choose(w, to->aimed_frac, &trial, err);
        if (code)
            return code;
        /* Each time others: draws that once refused would choose what passes them. */
        lw_trial_rows_spread(&trial, w->bench, w->threads, LW_TRIAL_FRESH + (uint32_t)(i * to->fresh_draws),
                             (uint32_t)to->fresh_draws, w->row);
        lw_trial_clear(&trial);
        to->fresh_frac = joint_frac(w, to->fresh_draws);
        to->is_reached = to->fresh_frac >= to->wish.confidence_frac;
        if (to->is_reached || to->aimed_frac >= AIM_MOST)
            break;
        to->aimed_frac = fmin(to->aimed_frac + fmax(to->wish.confidence_frac - to->fresh_frac, AIM_STEP), AIM_MOST);
        to->tightened++;
    }
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        to->supply[k].lasts_frac = to->supply[k].is_there ? lasting_frac(w, k, to->fresh_draws) : NAN;
    return LW_OK;
}

/* ------------------------------------------------------------------ what there is */

static int is_refilled(const lw_scenario *s, int supply)
{
    for (int i = 0; i < s->transfer_count; i++)
        if ((int)s->rig.vessel[s->transfer[i].vessel].supply == supply && s->transfer[i].at_s < s->stay.departure_s)
            return 1;
    return 0;
}

static void find_supplies(work *w, const lw_outlook *plain)
{
    const lw_scenario *s = w->base.loaded.scenario;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        lw_provision *p = &w->to->supply[k];
        p->capacity = k == LW_SUPPLY_BATTERY ? plain->leeway[k].capacity : capacity_of(&s->rig, k);
        p->is_there = plain->leeway[k].is_present && (p->capacity > 0.0 || k == LW_SUPPLY_STAY);
        p->is_refilled = p->is_there && is_refilled(s, k);
        p->is_counted = p->is_there && !p->is_refilled && k != LW_SUPPLY_BATTERY && k != LW_SUPPLY_STAY;
        p->middle = p->sure = NAN;
        w->more_frac[k] = 1.0;
    }
}

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static lw_code ask_all(work *w, lw_err *err)
{
    const size_t draws = (size_t)w->to->draws;
    lw_flows *flows = malloc(draws * sizeof *flows);
    if (!flows)
        return lw_fail(err, LW_E_FULL, "no memory for provisions");
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (w->to->supply[k].is_there && k != LW_SUPPLY_STAY && k != LW_SUPPLY_BATTERY)
            set_levels(&w->base.loaded.scenario->rig, k, lw_supply_fills((lw_supply)k) ? 0.0 : 1.0);
    begin_as_said(&w->base);
    lw_trial_flows_spread(&w->base, w->bench, w->threads, 0, (uint32_t)draws, flows);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        double *by_draw = w->by_draw + (size_t)k * draws, *asked = w->asked + (size_t)k * draws;
        for (size_t i = 0; i < draws; i++)
            by_draw[i] = lw_flows_demand(&flows[i], (lw_supply)k);
        memcpy(asked, by_draw, draws * sizeof *asked);
        qsort(asked, draws, sizeof *asked, by_size);
        w->to->supply[k].middle = w->to->supply[k].is_there ? asked[(draws - 1) / 2] : NAN;
    }
    free(flows);
    return LW_OK;
}

/* ------------------------------------------------------------------ mass */

static void weigh(work *w)
{
    lw_provisions *to = w->to;
    const lw_cargo *c = &to->cargo;
    double sum_kg = c->people_kg + (isnan(c->gear_kg) ? 0.0 : c->gear_kg), waste_kg = 0.0, used_kg = 0.0;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        lw_provision *p = &to->supply[k];
        const int fills = lw_supply_fills((lw_supply)k);
        const double each_kg = c->supply_kg[k];
        const double level = p->is_counted ? p->level : fills ? 0.0 : p->capacity;
        if (!p->is_there || !(each_kg > 0.0))
            continue;
        p->mass_kg = each_kg * (level + (fills ? 0.0 : p->more));
        sum_kg += p->mass_kg;
        if (fills)
            waste_kg += each_kg * fmin(p->middle, p->capacity);
        else
            used_kg += fmin(each_kg * p->middle, p->mass_kg);
    }
    to->arriving_kg = sum_kg;
    to->leaving_kg = sum_kg - used_kg + waste_kg;
    to->over_kg = fmax(fmax(to->arriving_kg, to->leaving_kg) - c->payload_kg, 0.0);
    if (isnan(c->payload_kg))
        to->over_kg = NAN;
}

/* ------------------------------------------------------------------ all of it */

static lw_code take_memory(work *w, lw_err *err)
{
    const size_t draws = (size_t)w->to->draws, fresh = (size_t)w->to->fresh_draws;
    w->bench = calloc((size_t)w->threads, sizeof *w->bench);
    w->row = malloc((draws > fresh ? draws : fresh) * sizeof *w->row);
    w->asked = malloc(LW_SUPPLY_COUNT * draws * sizeof *w->asked);
    w->by_draw = malloc(LW_SUPPLY_COUNT * draws * sizeof *w->by_draw);
    lw_code code =
        w->bench && w->row && w->asked && w->by_draw ? LW_OK : lw_fail(err, LW_E_FULL, "no memory for provisions");
    for (int i = 0; !code && i < w->threads; i++)
        code = lw_bench_open(&w->base, &w->bench[i], err);
    return code;
}

static void give_memory(work *w)
{
    for (int i = 0; w->bench && i < w->threads; i++)
        lw_bench_close(&w->bench[i]);
    free(w->bench);
    free(w->row);
    free(w->asked);
    free(w->by_draw);
    lw_trial_clear(&w->base);
}

static lw_code open_base(work *w, lw_err *err)
{
    const lw_scenario *s = w->trials->base.scenario;
    if (s->stay.departure_s <= s->calendar.start_s)
        return lw_fail_typed(err, LW_E_MISSING, "say when you leave with --until",
                             "provisions are for a stay with an end");
    w->trials->most_hours = (int)ceil((double)(s->stay.departure_s - s->calendar.start_s) / HOUR_S);
    return lw_trial_make(w->trials, NULL, 0, &w->base, err);
}

static lw_code make(work *w, lw_err *err)
{
    lw_code code = open_base(w, err);
    code = code ? code : take_memory(w, err);
    code = code ? code : lw_cargo_of(&w->base.loaded, &w->to->cargo, err);
    lw_outlook *plain = malloc(sizeof *plain);
    if (!code && !plain)
        code = lw_fail(err, LW_E_FULL, "no memory for provisions");
    if (code || !plain) {
        free(plain);
        return code;
    }
    lw_trial_plain(&w->base, plain);
    w->to->start_s = plain->start_s;
    w->to->departure_s = plain->departure_s;
    find_supplies(w, plain);
    free(plain);
    code = ask_all(w, err);
    code = code ? code : find(w, err);
    if (code)
        return code;
    weigh(w);
    const double bag_l = w->base.loaded.bag_l, rubbish_l = w->to->supply[LW_SUPPLY_RUBBISH].sure;
    if (bag_l > 0.0 && rubbish_l > 0.0)
        w->to->bags = (int)ceil(rubbish_l / bag_l - SAME_FRAC);
    lw_provisions_say(w->to, &w->base.loaded);
    return LW_OK;
}

lw_code lw_provisions_make(lw_trials *trials, const lw_provisions_wish *wish, lw_provisions *to, lw_err *err)
{
    *to = (lw_provisions){.wish = *wish, .seed = trials->seed};
    to->draws = wish->draws > 0 ? wish->draws : LW_PROVISION_DRAWS_USUAL;
    to->fresh_draws = wish->fresh > 0 ? wish->fresh : LW_PROVISION_FRESH;
    if (!(wish->confidence_frac >= 0.5 && wish->confidence_frac <= 0.99))
        return lw_fail(err, LW_E_RANGE, "a chance of %s; give 0.5 to 0.99", lw_num(wish->confidence_frac).text);
    trials->most_hours = 0;
    lw_code code = lw_trials_open(trials, err);
    if (code)
        return code;
    work w = {.trials = trials, .to = to, .threads = lw_pool_threads(trials->threads)};
    code = make(&w, err);
    give_memory(&w);
    lw_trials_close(trials);
    return code;
}
