#include <math.h>
#include <string.h>

#include "core/base/num.h"
#include "core/heat/furnace.h"
#include "core/sim/context_internal.h"
#include "core/sim/prepare.h"

/* Ends of nothing: amounts smaller than this share of a vessel are rounding, not a shortage. */
static const double NOTHING_FRAC = 1e-9;
static const double FURNACE_CYCLES_PER_H = 5.0; /* 4-6, common practice */

/* ------------------------------------------------------------------ vessels and habits */

static void sort_by_order(const lw_scenario *s, lw_row *row)
{
    for (int i = 1; i < row->count; i++)
        for (int k = i; k > 0 && s->rig.vessel[row->vessel[k]].order < s->rig.vessel[row->vessel[k - 1]].order; k--) {
            const uint8_t swap = row->vessel[k];
            row->vessel[k] = row->vessel[k - 1];
            row->vessel[k - 1] = swap;
        }
}

static void watch(lw_context *c, int v)
{
    const lw_vessel *t = &c->scenario->rig.vessel[v];
    const int i = c->watched_count++, is_filling = lw_supply_fills(t->supply);
    c->watched[i] = (uint8_t)v;
    c->end_sign[i] = is_filling ? 1.0 : -1.0;
    c->end_mark[i] = is_filling ? t->capacity - t->unusable - c->vessel_eps[v] : -(t->unusable + c->vessel_eps[v]);
}

static void prepare_vessels(lw_context *c)
{
    const lw_rig *rig = &c->scenario->rig;
    c->shower_rubbish = -1;
    for (int v = 0; v < rig->vessel_count; v++) {
        const lw_vessel *t = &rig->vessel[v];
        lw_row *row = &c->row[t->supply];
        c->vessel_eps[v] = NOTHING_FRAC * (t->capacity > 0.0 ? t->capacity : 1.0);
        row->vessel[row->count++] = (uint8_t)v;
        if (t->filter_life_l <= 0.0)
            c->capacity[t->supply] += t->capacity;
        if (t->supply == LW_SUPPLY_RUBBISH && t->place == LW_RUBBISH_SHOWER)
            c->shower_rubbish = v;
    }
    for (int s = 0; s < LW_SUPPLY_COUNT; s++) {
        const lw_row *row = &c->row[s];
        c->per_capacity[s] = c->capacity[s] > 0.0 ? 1.0 / c->capacity[s] : 0.0;
        sort_by_order(c->scenario, &c->row[s]);
        const int is_burnt = s == LW_SUPPLY_PROPANE || s == LW_SUPPLY_FUEL;
        for (int i = 0; i < row->count && (is_burnt || row->count > 1); i++)
            watch(c, row->vessel[i]);
    }
}

static int is_water(int supply)
{
    return supply == LW_SUPPLY_FRESH || supply == LW_SUPPLY_DRINKING || supply == LW_SUPPLY_GREY ||
           supply == LW_SUPPLY_BLACK;
}

/* One tank for all waste: a black tank that names the fixture takes its grey water where no grey tank does. */
static void link_combined(const lw_context *c, lw_fixture fixture, lw_link *link)
{
    const lw_row *row = &c->row[LW_SUPPLY_BLACK];
    for (int i = 0; i < row->count && link->count < LW_CHAIN; i++)
        if (c->scenario->rig.vessel[row->vessel[i]].fixtures & lw_bit((int)fixture))
            link->vessel[link->count++] = row->vessel[i];
    if (link->count > 0)
        link->supply = LW_SUPPLY_BLACK;
}

/* The vessels of a supply that this use's fixture can reach. */
static void link_supply(const lw_context *c, int supply, lw_fixture fixture, lw_link *link)
{
    const lw_row *row = &c->row[supply];
    for (int i = 0; i < row->count && link->count < LW_CHAIN; i++) {
        const lw_vessel *t = &c->scenario->rig.vessel[row->vessel[i]];
        if (t->filter_life_l > 0.0)
            continue;
        if (t->fixtures == 0 || (t->fixtures & lw_bit((int)fixture)))
            link->vessel[link->count++] = row->vessel[i];
    }
}

static int is_cartridge(const lw_context *c, const lw_link *link)
{
    return link->count == 1 && c->scenario->rig.vessel[link->vessel[0]].filter_life_l > 0.0;
}

/* Limits and flows of a link whose vessels are known. */
static void finish_link(const lw_context *c, const lw_use *use, lw_link *link)
{
    const lw_flow_ids ids = lw_flow_ids_of(link->supply);
    for (int i = 0; i < link->count; i++) {
        const lw_vessel *t = &c->scenario->rig.vessel[link->vessel[i]];
        const double kept = use->is_leisure_data && t->work_reserve > t->unusable ? t->work_reserve : t->unusable;
        link->limit[i] = link->kind == LW_LINK_DRAW ? kept : t->capacity - t->unusable;
    }
    link->moved = is_cartridge(c, link) ? LW_NO_FLOW : ids.moved;
    link->lent = is_cartridge(c, link) ? LW_NO_FLOW : ids.lent;
}

static int reach_the_same(const lw_link *a, const lw_link *b)
{
    if (a->kind != b->kind || a->supply != b->supply || a->count != b->count)
        return 0;
    for (int i = 0; i < a->count; i++)
        if (a->vessel[i] != b->vessel[i])
            return 0;
    return 1;
}

/* Two effects of one use on the same vessels are one: what each may have of them could not be told apart. */
static void join_equal_links(lw_chore *chore)
{
    const lw_link *last = &chore->link[chore->link_count - 1];
    for (int l = 0; l < chore->link_count - 1; l++) {
        lw_link *other = &chore->link[l];
        if (reach_the_same(other, last)) {
            other->amount += last->amount;
            chore->link_count--;
            return;
        }
    }
}

static void add_effect(lw_context *c, const lw_use *use, const lw_effect *effect, lw_chore *chore)
{
    if (effect->kind == LW_EFFECT_PROPANE_W) {
        chore->gas_wh += effect->amount;
        return;
    }
    if (effect->kind == LW_EFFECT_DC_WH) {
        chore->dc_wh += effect->amount;
        return;
    }
    lw_link *link = &chore->link[chore->link_count++];
    *link = (lw_link){.amount = fabs(effect->amount)};
    if (effect->kind == LW_EFFECT_OUTDOORS_L || effect->kind == LW_EFFECT_GONE_L) {
        link->kind = effect->kind == LW_EFFECT_OUTDOORS_L ? LW_LINK_OUTDOORS : LW_LINK_GONE;
        return;
    }
    link->kind = effect->amount < 0.0 ? LW_LINK_DRAW : LW_LINK_PUT;
    if (effect->kind == LW_EFFECT_VESSEL) {
        link->supply = (uint8_t)c->scenario->rig.vessel[effect->at].supply;
        link->vessel[link->count++] = (uint8_t)effect->at;
    } else {
        link->supply = (uint8_t)effect->at;
        link_supply(c, effect->at, use->fixture, link);
        if (effect->at == LW_SUPPLY_GREY && link->count == 0)
            link_combined(c, use->fixture, link);
    }
    finish_link(c, use, link);
    join_equal_links(chore);
}

static void prepare_chores(lw_context *c)
{
    const lw_crew *crew = &c->scenario->crew;
    for (int u = 0; u < crew->use_count; u++) {
        const lw_use *use = &crew->use[u];
        lw_chore *chore = &c->chore[u];
        double drawn_l = 0.0, put_l = 0.0;
        *chore = (lw_chore){.group = (uint8_t)use->group,
                            .hot_l = use->hot_l,
                            .needs_pump = (uint8_t)(use->needs_pump != 0),
                            .is_leisure_data = (uint8_t)(use->is_leisure_data != 0),
                            .is_stopped_by_rubbish = (uint8_t)(use->is_stopped_by_rubbish_in_shower != 0)};
        for (int e = 0; e < use->effect_count; e++)
            add_effect(c, use, &use->effect[e], chore);
        for (int l = 0; l < chore->link_count; l++) {
            const lw_link *link = &chore->link[l];
            if (link->count > 0)
                chore->supplies |= lw_bit(link->supply);
            if (link->kind == LW_LINK_DRAW && is_water(link->supply) && !is_cartridge(c, link))
                drawn_l += link->amount;
            if (link->kind == LW_LINK_PUT && is_water(link->supply))
                put_l += link->amount;
            if (link->kind == LW_LINK_DRAW && link->supply == LW_SUPPLY_FRESH && use->needs_pump)
                chore->pumped_l += link->amount;
            if (link->kind == LW_LINK_DRAW && link->supply == LW_SUPPLY_DATA) {
                chore->is_network = 1;
                c->has_work_data |= !use->is_leisure_data;
            }
        }
        /* A use either moves tank water, which must come out somewhere, or is what people themselves add. */
        if (drawn_l == 0.0)
            chore->body_l = put_l;
    }
}

/* ------------------------------------------------------------------ strands */

static int is_same_strand(const lw_strand *a, const lw_strand *b)
{
    const lw_link *x = &a->link, *y = &b->link;
    if (a->group != b->group || a->is_leisure_data != b->is_leisure_data || x->moved != y->moved ||
        x->lent != y->lent || !reach_the_same(x, y))
        return 0;
    for (int i = 0; i < x->count; i++)
        if (x->limit[i] < y->limit[i] || x->limit[i] > y->limit[i])
            return 0;
    return 1;
}

static int16_t strand_of(lw_context *c, const lw_strand *wanted)
{
    for (int i = 0; i < c->strand_count; i++)
        if (is_same_strand(&c->strand[i], wanted))
            return (int16_t)i;
    c->strand[c->strand_count] = *wanted;
    return (int16_t)c->strand_count++;
}

/* Booked only: on the ground, gone, and what a rig does not track. */
static lw_link booked_as(int flow)
{
    return (lw_link){.kind = LW_LINK_GONE, .moved = LW_NO_FLOW, .lent = (int16_t)flow};
}

static void prepare_strands(lw_context *c)
{
    for (int u = 0; u < c->scenario->crew.use_count; u++) {
        const lw_chore *chore = &c->chore[u];
        for (int l = 0; l < chore->link_count; l++) {
            lw_strand strand = {.link = chore->link[l], .group = chore->group};
            if (strand.link.kind == LW_LINK_OUTDOORS || strand.link.kind == LW_LINK_GONE)
                strand.link = booked_as(strand.link.kind == LW_LINK_GONE ? LW_FLOW_GONE : LW_FLOW_OUTDOORS);
            else if (strand.link.count == 0)
                strand.link = booked_as(strand.link.lent);
            else if (strand.link.supply == LW_SUPPLY_DATA)
                strand.is_leisure_data = chore->is_leisure_data && c->has_work_data;
            c->strand_of[u][l] = strand_of(c, &strand);
        }
        const lw_strand body = {.link = booked_as(LW_FLOW_BODY_IN), .group = chore->group};
        c->strand_of[u][LW_EFFECTS] = (int16_t)(chore->body_l > 0.0 ? strand_of(c, &body) : -1);
    }
}

/* ------------------------------------------------------------------ cut-off classes */

/* The class of this kind with this voltage or, where voltages were more than classes, with the nearest. */
static int find_class(const lw_context *c, double cut_v, int is_vital)
{
    int nearest = -1;
    for (int k = 0; k < c->cut_count; k++)
        if (c->cut_is_vital[k] == is_vital &&
            (nearest < 0 || fabs(c->cut_v[k] - cut_v) < fabs(c->cut_v[nearest] - cut_v)))
            nearest = k;
    return nearest;
}

static void add_class(lw_context *c, double cut_v, int is_vital)
{
    const int k = find_class(c, cut_v, is_vital);
    const int last = is_vital ? LW_CUTS : LW_CUTS - 1; /* one class is kept for vital loads */
    if ((k >= 0 && fabs(c->cut_v[k] - cut_v) < 0.005) || c->cut_count >= last)
        return;
    c->cut_v[c->cut_count] = cut_v;
    c->cut_is_vital[c->cut_count++] = (uint8_t)is_vital;
}

/* Nothing runs below the voltage at which electronics stop, nor below the bank's own cut-out: that of a management board,
 * which lithium always has, or a disconnect that is stated. */
static double cut_of(const lw_context *c, double at_12_v)
{
    const lw_battery_use *b = &c->scenario->rig.battery;
    const int has_cut_out = !isnan(b->cut_v) || b->chemistry == LW_CHEMISTRY_LFP;
    const double own_v = at_12_v > 0.0 ? at_12_v * c->nominal_frac : 0.0;
    return lw_most(lw_most(own_v, b->system_cut_v), has_cut_out ? c->battery.cut_v : 0.0);
}

static int is_class_before(const lw_context *c, int a, int b)
{
    if (c->cut_is_vital[a] != c->cut_is_vital[b])
        return !c->cut_is_vital[a];
    return c->cut_v[a] > c->cut_v[b];
}

static void sort_classes(lw_context *c)
{
    for (int i = 1; i < c->cut_count; i++)
        for (int k = i; k > 0 && is_class_before(c, k, k - 1); k--) {
            const double v = c->cut_v[k];
            const uint8_t vital = c->cut_is_vital[k];
            c->cut_v[k] = c->cut_v[k - 1], c->cut_is_vital[k] = c->cut_is_vital[k - 1];
            c->cut_v[k - 1] = v, c->cut_is_vital[k - 1] = vital;
        }
}

/* A vital load runs down to the bank's own cut-out. */
int lw_load_class(const lw_context *c, const lw_load *load)
{
    if (load->with_generator_only)
        return c->system_cut;
    return load->is_vital ? find_class(c, cut_of(c, 0.0), 1) : find_class(c, cut_of(c, load->cut_v), 0);
}

static void prepare_classes(lw_context *c)
{
    const lw_rig *rig = &c->scenario->rig;
    add_class(c, cut_of(c, 0.0), 0);
    add_class(c, cut_of(c, rig->cabin.furnace_cut_v), 0);
    add_class(c, cut_of(c, rig->cabin.pump_cut_v), 0);
    add_class(c, cut_of(c, rig->cabin.fridge_cut_v), 0);
    for (int l = 0; l < rig->load_count; l++)
        if (!rig->load[l].is_vital && !rig->load[l].with_generator_only)
            add_class(c, cut_of(c, rig->load[l].cut_v), 0);
    for (int l = 0; l < rig->load_count; l++)
        if (rig->load[l].is_vital)
            add_class(c, cut_of(c, 0.0), 1);
    sort_classes(c);
    c->system_cut = (uint8_t)find_class(c, cut_of(c, 0.0), 0);
    c->blower_cut = (uint8_t)find_class(c, cut_of(c, rig->cabin.furnace_cut_v), 0);
    c->pump_cut = (uint8_t)find_class(c, cut_of(c, rig->cabin.pump_cut_v), 0);
    c->fridge_cut = (uint8_t)find_class(c, cut_of(c, rig->cabin.fridge_cut_v), 0);
}

static void prepare_loads(lw_context *c)
{
    const lw_rig *rig = &c->scenario->rig;
    c->pad_cut = c->system_cut;
    for (int l = 0; l < rig->load_count; l++) {
        const lw_load *d = &rig->load[l];
        const int k = lw_load_class(c, d);
        if (d->is_network)
            c->network_cuts |= lw_bit(d->power == LW_POWER_AC ? c->system_cut : k);
        if (d->is_alarm)
            c->alarm_cuts |= lw_bit(k);
        if (d->is_vital && c->vital_count < LW_VITALS) {
            c->vital_load[c->vital_count] = l;
            c->vital_is_ac[c->vital_count] = d->power == LW_POWER_AC || d->with_generator_only;
            c->vital_cut[c->vital_count++] = (uint8_t)k;
        }
        const double watts = d->watts * d->duty_frac * c->scenario->factor[d->group];
        if (d->rhythm == LW_LOAD_BAY_COLD) {
            c->pad_w += watts;
            c->pad_cut = (uint8_t)k;
            c->pad_is_ac = d->power == LW_POWER_AC;
            c->pad_needs_generator = d->with_generator_only != 0;
        }
        if (d->rhythm == LW_LOAD_CABIN_HOT)
            c->dynamic[c->dynamic_count++] = (lw_dynamic_load){.watts = watts,
                                                               .above_c = d->above_c,
                                                               .inside_frac = d->inside_frac,
                                                               .cut = (uint8_t)k,
                                                               .is_ac = d->power == LW_POWER_AC,
                                                               .with_generator_only = d->with_generator_only != 0};
    }
}

/* ------------------------------------------------------------------ power and heat */

lw_battery_spec lw_battery_spec_of_use(const lw_battery_use *b)
{
    lw_battery_spec spec =
        lw_battery_typical((lw_chemistry)b->chemistry, b->capacity_ah > 0.0 ? b->capacity_ah : 1e-3, b->nominal_v);
    spec.health_frac = b->health_frac;
    spec.floor_frac = b->floor_frac;
    spec.is_heated = b->is_heated;
    if (b->charge_limit_a > 0.0)
        spec.charge_limit_a = b->charge_limit_a;
    spec.resistance_ohm = b->resistance_ohm;
    spec.cut_v = b->cut_v;
    return spec;
}

static void prepare_power(lw_context *c)
{
    const lw_rig *rig = &c->scenario->rig;
    const lw_battery_use *b = &rig->battery;
    const lw_battery_spec spec = lw_battery_spec_of_use(b);
    lw_battery_prepare(&spec, &c->battery);
    lw_battery_set_step(&c->battery, c->step_h);
    c->nominal_frac = b->nominal_v / 12.0;

    c->inverter = (lw_inverter_spec){.rated_w = rig->inverter.rated_w,
                                     .idle_w = rig->inverter.idle_w,
                                     .efficiency_frac = rig->inverter.efficiency_frac,
                                     .per_efficiency = 1.0 / rig->inverter.efficiency_frac};
    c->charger = (lw_charger_spec){.rated_a = rig->charger.rated_a,
                                   .efficiency_frac = rig->charger.efficiency_frac,
                                   .power_factor = rig->charger.power_factor};
    if (rig->generator.is_present) {
        const lw_generator_spec g = {.rated_w = rig->generator.rated_w,
                                     .fuel = (lw_engine_fuel)rig->generator.fuel,
                                     .none_lph = rig->generator.none_lph,
                                     .slope_lpkwh = rig->generator.slope_lpkwh,
                                     .derate = (lw_derate)rig->generator.derate_rule};
        lw_generator_prepare(&g, c->scenario->place.elevation_m, &c->generator);
        c->is_set_on_gas = g.fuel == LW_ENGINE_FUEL_LPG;
    }
    for (int a = 0; a < rig->array_count; a++) {
        const lw_array *s = &rig->array[a];
        c->controller[a] = lw_controller_typical((lw_controller)s->controller, s->vmp_v);
        c->sin_tilt[a] = sin(s->tilt_deg * 0.0174532925199432958);
        c->controller[a].array_v_frac_per_k = s->vmp_v_frac_per_k;
        c->controller[a].wiring_frac = s->wiring_frac;
        c->controller[a].soiling_frac = s->soiling_frac;
    }
}

static void prepare_heat(lw_context *c)
{
    const lw_cabin_use *h = &c->scenario->rig.cabin;
    const double elevation_m = c->scenario->place.elevation_m, step_s = c->step_h * 3600.0;
    const lw_burner_derate furnace = {.rule = (lw_burner_rule)h->furnace_derate_rule,
                                      .listed_to_m = h->furnace_listed_to_m};
    const lw_burner_derate burner = {.rule = LW_BURNER_CODE_SEA_LEVEL};
    c->ua_wk = h->ua_wk * c->scenario->factor[LW_GROUP_HEAT];
    c->wind_wkpms = h->wind_wkpms * c->scenario->factor[LW_GROUP_HEAT];
    c->mass_jk = h->mass_jk;
    c->vital_low_c = -INFINITY;
    c->vital_high_c = INFINITY;
    for (int p = 0; p < c->scenario->crew.person_count; p++) {
        const lw_person *person = &c->scenario->crew.person[p];
        if (person->inside_low_c > c->vital_low_c)
            c->vital_low_c = person->inside_low_c;
        if (person->inside_high_c < c->vital_high_c)
            c->vital_high_c = person->inside_high_c;
    }
    c->decay_calm = exp(-c->ua_wk * step_s / c->mass_jk);
    c->furnace = (lw_furnace){.input_w = h->furnace_input_w * lw_burner_derate_frac(&furnace, elevation_m),
                              .efficiency_frac = h->furnace_frac,
                              .blower_w = h->blower_w,
                              .cycles_per_h = FURNACE_CYCLES_PER_H,
                              .runon_h = LW_FURNACE_RUNON_H};
    c->water_heater = h->water_heater;
    c->water_heater.per_efficiency = 1.0 / h->water_heater.efficiency_frac;
    c->water_input_w = h->water_heater.input_w * lw_burner_derate_frac(&burner, elevation_m);
    c->bay = lw_bay_of(h->bay);
    if (h->bay == LW_BAY_KIND_PAD && h->pad_w > 0.0)
        c->bay.pad_max_w = h->pad_w;
    if (c->pad_w > 0.0) {
        c->bay.pad_max_w += c->pad_w;
        c->bay.pad_ua_wk = lw_bay_of(LW_BAY_KIND_PAD).pad_ua_wk;
    }
    c->has_pads = c->bay.pad_max_w > 0.0;
    c->odd_bay = c->bay;
    c->bay.decay_full = exp(-step_s / c->bay.lag_s);
    c->battery_decay = exp(-c->step_h / LW_BATTERY_LAG_H);
}

/* In one step. */
static size_t pours_most(const lw_scenario *s)
{
    size_t most = 1;
    for (int u = 0; u < s->crew.use_count; u++)
        most += (size_t)s->crew.use[u].effect_count + 1;
    return most;
}

size_t lw_prepare_bytes(const lw_scenario *s, int steps_per_hour)
{
    const size_t steps = (size_t)s->calendar.hours * (size_t)steps_per_hour;
    const size_t doses = steps * (size_t)(s->crew.use_count > 0 ? s->crew.use_count : 1);
    return sizeof(lw_context) + steps * sizeof(lw_hour) + doses * sizeof(lw_dose) +
           steps * (pours_most(s) * sizeof(lw_pour) + LW_GROUP_COUNT * sizeof(lw_need)) +
           lw_prepare_hours_bytes((int)steps) + 256;
}

lw_code lw_prepare(const lw_scenario *s, int steps_per_hour, lw_arena *arena, lw_context **context, lw_fault *fault)
{
    return lw_prepare_under(s, steps_per_hour, NULL, arena, context, fault);
}

lw_code lw_prepare_under(const lw_scenario *s, int steps_per_hour, const lw_sun_table *sun, lw_arena *arena,
                         lw_context **context, lw_fault *fault)
{
    const lw_code bad = lw_want_range(fault, "steps_per_hour", steps_per_hour, 1, 12);
    if (bad)
        return bad;
    const int steps = s->calendar.hours * steps_per_hour;
    const size_t doses = (size_t)steps * (size_t)(s->crew.use_count > 0 ? s->crew.use_count : 1);
    const size_t align = sizeof(double) * 2;
    lw_context *c = lw_arena_lend(arena, sizeof *c, align);
    lw_hour *hour = lw_arena_lend(arena, (size_t)steps * sizeof *hour, align);
    lw_dose *dose = lw_arena_lend(arena, doses * sizeof *dose, align);
    lw_pour *pour = lw_arena_lend(arena, (size_t)steps * pours_most(s) * sizeof *pour, align);
    lw_need *need = lw_arena_lend(arena, (size_t)steps * LW_GROUP_COUNT * sizeof *need, align);
    void *scratch = lw_arena_lend(arena, lw_prepare_hours_bytes(steps), align);
    if (!c || !hour || !dose || !pour || !need || !scratch) {
        *fault = (lw_fault){.code = LW_E_FULL,
                            .field = "arena_bytes",
                            .value = (double)arena->cap,
                            .low = (double)lw_prepare_bytes(s, steps_per_hour),
                            .high = INFINITY};
        return LW_E_FULL;
    }
    memset(c, 0, sizeof *c);
    memset(hour, 0, (size_t)steps * sizeof *hour);
    c->scenario = s;
    c->start_s = s->calendar.start_s;
    c->steps_per_hour = steps_per_hour;
    c->steps = steps;
    c->step_h = 1.0 / steps_per_hour;
    c->per_step_h = 1.0 / c->step_h;
    c->per_step_s = 1.0 / (c->step_h * 3600.0);
    c->departure_step = steps;
    c->week_step = steps < 168 * steps_per_hour ? steps : 168 * steps_per_hour;
    if (s->stay.departure_s) {
        const double until_h = (double)(s->stay.departure_s - c->start_s) / 3600.0;
        const int at = (int)floor(until_h * steps_per_hour + 0.5);
        c->departure_step = at < 0 ? 0 : at > steps ? steps : at;
    }
    c->hour = hour;
    c->dose = dose;
    c->pour = pour;
    c->need = need;
    prepare_power(c);
    prepare_vessels(c);
    prepare_chores(c);
    prepare_strands(c);
    prepare_classes(c);
    prepare_loads(c);
    prepare_heat(c);
    lw_prepare_hours(c, sun, scratch);
    *context = c;
    return LW_OK;
}
