#include "core/sim/lanes_internal.h"

#include <string.h>

#include "core/base/num.h"
#include "core/heat/cabin.h"
#include "core/heat/propane.h"
#include "core/house/rubbish.h"
#include "core/power/cell.h"
#include "core/sim/stretch_internal.h"
#include "core/sky/light_table.h"

#ifndef LW_LANES_RUN
#define LW_LANES_RUN lw_lanes_run_plain
#endif

static const double JOULE_PER_WH = 3600.0;
#define LW_MILD_C (-5.0)
/* Of an hour; of the battery's grid in one part: beyond that a lane goes alone. Where the wells are slow: WELLS_H. */
enum { PARTS = 3, LINES = 3, QUARTERS = LW_LANE_QUARTERS };

/* An hour of all lanes on its way. */
typedef struct lane_step {
    const lw_context *c;
    const lw_lanes *lanes;
    const lw_hour *hour;
    const lw_lane_hour *lane;
    lw_mode mode;
    lw_m alone;    /* lanes that have to go alone */
    lw_m goes;     /* lanes of the part */
    lw_v span_h;   /* of the part, for each lane */
    lw_v offset_h; /* where in the hour it begins */
    lw_v step_s;   /* the part's length in seconds */
    lw_v per_s;    /* 1 / step_s */
    lw_m is_whole; /* the part is a whole step: an hour, as all steps of draws */
    int is_all_whole;
    lw_v soc; /* of the battery as the part begins */
    lw_v air_c, devices, ua_wk, decay_calm, wind_wkpms;
    lw_v hot_l, gas_wh, pumped_l, uses_wh; /* expected of the uses */
    lw_m has_room;                         /* joint course: for all of them */
    const double (*factor)[LW_MOST_LANES]; /* of use, by group */
    double highest_floor_ah;               /* of a battery no colder than LW_MILD_C: the colder, the higher */

    lw_v level[LW_VESSELS];
    lw_v q1_ah, q2_ah, battery_c, cabin_c, bay_c, deficit_j, age_frac, fridge_warm_h, valve_h, pipe_h;
    lw_m is_on;

    /* What lw_step_note would say of the hour. */
    lw_m lack_vessels, lack_supplies;
    lw_m is_leisure_stopped, is_use_stopped, is_gas_over_limit, is_floor, is_power_told;
    lw_m is_hose_freezing, is_pipe_freezing, is_gas_cold;
    lw_v gas_limit_w, food_warm_h;
    lw_v furnace_duty, fridge_frac;
    lw_v gas_asked_kg, panels_wh, inside_min_c, inside_max_c;
} lane_step;

/* ------------------------------------------------------------------ rows of vessels */

static lw_v row_available(const lane_step *k, int supply)
{
    const lw_row *row = &k->c->row[supply];
    lw_v sum = lw_all(0.0);
    for (int i = 0; i < row->count; i++) {
        const int v = row->vessel[i];
        const lw_v here = k->level[v] - k->c->scenario->rig.vessel[v].unusable;
        sum = lw_choose((lw_m)(here > k->c->vessel_eps[v]), sum + here, sum);
    }
    return sum;
}

/* Returns what the row could not give. */
static lw_v row_draw(lane_step *k, int supply, lw_v amount)
{
    const lw_row *row = &k->c->row[supply];
    for (int i = 0; i < row->count && lw_any((lw_m)(amount > 0.0)); i++) {
        const int v = row->vessel[i];
        const lw_v here = k->level[v] - k->c->scenario->rig.vessel[v].unusable;
        const lw_v take =
            lw_where((lw_m)(here > 0.0) & (lw_m)(amount > 0.0), lw_choose((lw_m)(here < amount), here, amount));
        k->level[v] -= take;
        amount -= take;
    }
    return amount;
}

/* Cylinders open together share in a way that lanes take by themselves. */
static lw_v gas_draw(lane_step *k, lw_v kg)
{
    const lw_row *row = &k->c->row[LW_SUPPLY_PROPANE];
    if (k->c->scenario->rig.cabin.open_cylinders <= 1)
        return row_draw(k, LW_SUPPLY_PROPANE, kg);
    for (int l = 0; l < LW_LANES; l++) {
        lw_state s;
        for (int i = 0; i < row->count; i++)
            s.level[row->vessel[i]] = k->level[row->vessel[i]][l];
        kg[l] = lw_draw_gas(k->c, kg[l], &s);
        for (int i = 0; i < row->count; i++)
            k->level[row->vessel[i]][l] = s.level[row->vessel[i]];
    }
    return kg;
}

static lw_v vapour_limit_w(const lane_step *k, lw_m of, lw_v else_w)
{
    const lw_row *row = &k->c->row[LW_SUPPLY_PROPANE];
    for (int l = 0; l < LW_LANES; l++) {
        if (!of[l])
            continue;
        lw_state s;
        for (int i = 0; i < row->count; i++)
            s.level[row->vessel[i]] = k->level[row->vessel[i]][l];
        else_w[l] = lw_vapour_limit_w(k->c, &s, k->air_c[l]);
    }
    return else_w;
}

/* ------------------------------------------------------------------ uses */

static lw_m is_shower_barred(const lane_step *k, const lw_v *level)
{
    const int v = k->c->shower_rubbish;
    return v >= 0 ? (lw_m)(level[v] > k->c->vessel_eps[v]) : lw_mall(0);
}

static lw_v room_at(const lw_link *link, int i, const lw_v *level)
{
    const lw_v here = level[link->vessel[i]];
    const lw_v room = link->kind == LW_LINK_DRAW ? here - link->limit[i] : link->limit[i] - here;
    return lw_vmost(room, lw_all(0.0));
}

/* Moves an amount along the vessels in reach; returns what none of them could give or take. */
static lw_v move(const lw_link *link, lw_v amount, lw_v *level)
{
    for (int i = 0; i < link->count; i++) {
        lw_v *const at = &level[link->vessel[i]];
        const lw_v part = lw_vleast(room_at(link, i, level), amount);
        *at = link->kind == LW_LINK_DRAW ? *at - part : *at + part;
        amount -= part;
        if (!lw_any((lw_m)(amount > 0.0)))
            break;
    }
    return amount;
}

static void note_lack(lane_step *k, int is_leisure_data, const lw_link *link, lw_m is)
{
    if (link->supply == LW_SUPPLY_DATA && is_leisure_data) {
        k->is_leisure_stopped |= is;
        return;
    }
    k->lack_supplies |= is & lw_bit(link->supply);
    if (link->count > 0)
        k->lack_vessels |= is & lw_bit(link->vessel[link->count - 1]);
}

/* lw_has_room_for_uses */
static lw_m has_room_for_uses(const lane_step *k)
{
    const lw_hour *hour = k->hour;
    const lw_pour *pour = &k->c->pour[hour->pour_first];
    const lw_v share = k->span_h;
    lw_v level[LW_VESSELS];
    lw_m has = lw_mall(1);
    if (hour->pour_count == 0)
        return has;
    if (hour->is_use_barred_by_rubbish)
        has &= ~is_shower_barred(k, k->level);
    memcpy(level, k->level, (size_t)k->c->scenario->rig.vessel_count * sizeof *level);
    for (int i = 0; i < hour->pour_count; i++) {
        const lw_strand *strand = &k->c->strand[pour[i].strand];
        const lw_link *link = &strand->link;
        if (link->count == 0)
            continue;
        if (link->supply == LW_SUPPLY_PROPANE || link->supply == LW_SUPPLY_FUEL)
            return lw_mall(0);
        lw_v *const at = &level[link->vessel[0]];
        const lw_v amount = pour[i].amount * share * lw_vload(k->factor[strand->group]);
        const int is_draw = link->kind == LW_LINK_DRAW;
        has &= (lw_m)(amount <= (is_draw ? *at - link->limit[0] : link->limit[0] - *at));
        *at = is_draw ? *at - amount : *at + amount;
    }
    return hour->is_use_barred_by_rubbish ? has & ~is_shower_barred(k, level) : has;
}

/* Share of its wish a use can have in the joint course: possible_share of step_uses.c where all has power. */
static lw_v possible_share(const lane_step *k, const lw_chore *chore, lw_v units)
{
    lw_v share = lw_all(1.0);
    for (int i = 0; i < chore->link_count; i++) {
        const lw_link *link = &chore->link[i];
        const lw_v need = units * link->amount;
        if (link->kind > LW_LINK_PUT || link->count == 0)
            continue;
        lw_v room = lw_all(0.0);
        for (int n = 0; n < link->count; n++)
            room += room_at(link, n, k->level);
        share = lw_choose((lw_m)(need > 0.0) & (lw_m)(room < need), lw_vleast(share, room / need), share);
    }
    if (chore->is_stopped_by_rubbish)
        share = lw_where(~is_shower_barred(k, k->level), share);
    return lw_vmost(share, lw_all(0.0));
}

/* lw_uses_expected, where the joint course has no room for all. */
static void expect_uses(lane_step *k, lw_m of)
{
    const lw_hour *hour = k->hour;
    k->hot_l = lw_vload(k->lane->hot_l), k->gas_wh = lw_vload(k->lane->gas_wh);
    k->pumped_l = lw_vload(k->lane->pumped_l), k->uses_wh = lw_vload(k->lane->uses_wh);
    k->has_room = k->mode == LW_MODE_OWN ? lw_mall(1) : has_room_for_uses(k);
    const lw_m lacks = of & ~k->has_room;
    if (!lw_any(lacks))
        return;
    const lw_v share = k->span_h, zero = lw_all(0.0);
    for (int d = 0; d < hour->dose_count; d++) {
        const lw_dose *dose = &k->c->dose[hour->dose_first + d];
        const lw_chore *chore = &k->c->chore[dose->chore];
        if (chore->hot_l + chore->gas_wh + chore->pumped_l + chore->dc_wh <= 0.0)
            continue;
        const lw_v units = dose->units * lw_vload(k->factor[chore->group]);
        const lw_v part = possible_share(k, chore, units * share);
        const lw_v missing = lw_where(lacks & (lw_m)(part < 1.0), units * (1.0 - part));
        k->hot_l -= missing * chore->hot_l;
        k->gas_wh -= missing * chore->gas_wh;
        k->pumped_l -= missing * chore->pumped_l;
        k->uses_wh -= missing * chore->dc_wh;
    }
    k->hot_l = lw_choose(lacks, lw_vmost(k->hot_l, zero), k->hot_l);
    k->gas_wh = lw_choose(lacks, lw_vmost(k->gas_wh, zero), k->gas_wh);
    k->pumped_l = lw_choose(lacks, lw_vmost(k->pumped_l, zero), k->pumped_l);
    k->uses_wh = lw_choose(lacks, lw_vmost(k->uses_wh, zero), k->uses_wh);
}

/* lw_pour_uses */
static void pour_uses(lane_step *k, lw_m of)
{
    const lw_hour *hour = k->hour;
    const lw_pour *pour = &k->c->pour[hour->pour_first];
    const lw_v share = k->span_h;
    for (int i = 0; i < hour->pour_count; i++) {
        const lw_strand *strand = &k->c->strand[pour[i].strand];
        const lw_link *link = &strand->link;
        if (link->count == 0)
            continue;
        const lw_v amount = lw_where(of, pour[i].amount * share * lw_vload(k->factor[strand->group]));
        lw_v *const first = &k->level[link->vessel[0]];
        const int is_draw = link->kind == LW_LINK_DRAW;
        if (!lw_any((lw_m)(amount > (is_draw ? *first - link->limit[0] : link->limit[0] - *first)))) {
            *first = is_draw ? *first - amount : *first + amount;
            continue;
        }
        const lw_v rest = move(link, amount, k->level);
        note_lack(k, strand->is_leisure_data, link, (lw_m)(rest > k->c->vessel_eps[link->vessel[link->count - 1]]));
    }
    if (hour->is_use_barred_by_rubbish)
        k->is_use_stopped |= of & is_shower_barred(k, k->level);
}

/* do_chore of step_uses.c in the joint course */
static void do_chores(lane_step *k, lw_m of)
{
    const lw_hour *hour = k->hour;
    const lw_v share = k->span_h;
    for (int d = 0; d < hour->dose_count; d++) {
        const lw_dose *dose = &k->c->dose[hour->dose_first + d];
        const lw_chore *chore = &k->c->chore[dose->chore];
        const lw_v wished = dose->units * share * lw_vload(k->factor[chore->group]);
        const lw_v part = possible_share(k, chore, wished), units = lw_where(of, wished * part);
        const lw_m is_less = (lw_m)(part < 1.0);
        for (int i = 0; i < chore->link_count; i++) {
            const lw_link *link = &chore->link[i];
            if (link->kind > LW_LINK_PUT)
                continue;
            const int has_vessels = link->count > 0;
            const lw_v wish = wished * link->amount;
            lw_v room = lw_all(0.0);
            for (int n = 0; n < link->count; n++)
                room += room_at(link, n, k->level);
            const lw_v rest = move(link, units * link->amount, k->level);
            const lw_v lack = lw_choose(is_less, lw_vmost(wish - room, lw_all(0.0)), rest);
            const double nothing = has_vessels ? k->c->vessel_eps[link->vessel[link->count - 1]] : 0.0;
            if (has_vessels)
                note_lack(k, chore->is_leisure_data && k->c->has_work_data, link, of & (lw_m)(lack > nothing));
        }
    }
}

/* ------------------------------------------------------------------ heat */

typedef struct lane_heat {
    lw_v gain_w, fridge_w, cooking_w, water_gas_w, fridge_gas_w, deficit_j; /* fridge_w: electric */
    lw_v gas_frac, water_input_w, standing_w, furnace_input_w;
    lw_v limit_w, most_w; /* gas: vaporised; with what is held */
    lw_m is_limit_exact;
    lw_m wants_set; /* for cooling */
    lw_v gas_reserved_kg;
    lw_v electric_max_w, cool_max_w, electric_w;
    lw_v end_c, mean_c, heat_w, cool_w, held_frac;       /* of the cabin */
    lw_v duty_frac, furnace_gas_w, blower_w;             /* of the furnace */
    lw_v next_bay_c, bay_mean_c, pad_w, valve_h, pipe_h; /* of the bay */
    lw_v reaches_frac;
    lw_v capacity_w; /* of the set, where it runs */
    lw_m is_on;
} lane_heat;

/* Most hours no lane asks for one. */
static lw_v exp_of(lw_m of, lw_v x)
{
    return lw_any(of) ? lw_vexp(x) : x;
}

static lw_v small_burners_w(const lane_heat *h)
{
    return h->cooking_w + h->water_gas_w + h->fridge_gas_w;
}

static lw_v fan_frac(const lane_step *k, const lw_dynamic_load *fan, lw_v cabin_c)
{
    const lw_v share = (cabin_c - fan->above_c) / LW_FAN_RAMP_K;
    return k->hour->is_somebody_in ? lw_vleast(lw_vmost(share, lw_all(0.0)), lw_all(1.0)) : lw_all(0.0);
}

static lw_v loads_heat_w(const lane_step *k)
{
    const lw_m has_ac = k->is_on | lw_mall(k->hour->is_inverter_on);
    lw_v inside_w = lw_where(has_ac, k->devices * k->hour->ac_inside_w);
    for (int d = 0; d < k->c->dynamic_count; d++) {
        const lw_dynamic_load *fan = &k->c->dynamic[d];
        const lw_m is_fed = fan->with_generator_only ? k->is_on : fan->is_ac ? has_ac : lw_mall(1);
        inside_w += lw_where(is_fed, fan->watts * fan->inside_frac * fan_frac(k, fan, k->cabin_c));
    }
    return inside_w + k->devices * k->hour->loads_inside_w;
}

/* lw_water_heater_run */
static void run_water(const lane_step *k, lane_heat *h)
{
    const lw_cabin_use *use = &k->c->scenario->rig.cabin;
    const lw_water_heater *heater = &use->water_heater;
    h->deficit_j = k->deficit_j;
    h->water_gas_w = h->standing_w = lw_all(0.0);
    if (!use->water_heater_is_present)
        return;
    const lw_v hot_l = k->hot_l * (k->step_s * (1.0 / (k->c->step_h * JOULE_PER_WH)));
    const double rise_k = use->hot_c > use->cold_c ? use->hot_c - use->cold_c : 0.0;
    const lw_v draw_j = LW_WATER_JLK * hot_l * rise_k;
    const double stored_most_j = lw_water_heat_j(heater->volume_l, rise_k);
    const lw_v stored_j = lw_all(stored_most_j);
    const lw_v lacking_j = lw_vleast(k->deficit_j, stored_j);
    const lw_v hot_frac = stored_most_j > 0.0
                              ? lw_choose((lw_m)(lacking_j > 0.0), 1.0 - lacking_j * (1.0 / stored_most_j), lw_all(1.0))
                              : lw_all(0.0);
    const lw_v standing_j = lw_vleast(heater->standing_w * k->step_s, stored_j) * hot_frac;
    const lw_v wanted_j = lacking_j + draw_j + standing_j;
    const lw_v given_j = lw_vleast(wanted_j, h->water_input_w * heater->efficiency_frac * k->step_s);
    h->water_gas_w = given_j * (1.0 / heater->efficiency_frac) * k->per_s;
    h->standing_w = standing_j * k->per_s;
    h->deficit_j = lw_vleast(wanted_j - given_j, stored_j);
}

/* lw_fridge_run */
static void run_fridge(const lane_step *k, lane_heat *h)
{
    const lw_cabin_use *use = &k->c->scenario->rig.cabin;
    const lw_fridge *fridge = &use->fridge;
    h->fridge_w = h->fridge_gas_w = lw_all(0.0);
    if (!use->fridge_is_present)
        return;
    const lw_fridge_slope slope = lw_fridge_slope_of(fridge->kind);
    const lw_v factor = 1.0 + slope.per_k * (k->cabin_c - LW_FRIDGE_RATED_AT_C);
    const lw_v wish_w = fridge->rated_w * lw_vmost(factor, lw_all(slope.least_frac));
    if (fridge->kind == LW_COOLING_COMPRESSOR) {
        h->fridge_w = lw_vleast(wish_w, lw_all(fridge->running_w));
    } else {
        h->fridge_gas_w = lw_vleast(wish_w, lw_all(fridge->burner_w)) * h->gas_frac;
        h->fridge_w = lw_all(fridge->control_w);
    }
}

static lw_v held_w(const lane_step *k)
{
    return row_available(k, LW_SUPPLY_PROPANE) * (LW_PROPANE_HHV_JPKG * k->per_s);
}

/* In the joint course the burners have no more than the cylinders hold. */
static void set_most(const lane_step *k, lane_heat *h)
{
    h->most_w = lw_all(INFINITY);
    if (k->mode == LW_MODE_JOINT)
        h->most_w = lw_vleast(h->limit_w, held_w(k));
}

static void run_small_burners(const lane_step *k, lane_heat *h)
{
    h->cooking_w = k->gas_wh * h->gas_frac;
    run_water(k, h);
    run_fridge(k, h);
}

/* Lanes whose burners do not get what they ask for. */
static lw_m lacks_gas(const lane_step *k, lw_v asked_w, lane_heat *h)
{
    const lw_m is_unsure = ~h->is_limit_exact & (lw_m)(asked_w > lw_vleast(h->most_w, h->limit_w));
    if (lw_any(is_unsure)) {
        h->limit_w = vapour_limit_w(k, is_unsure, h->limit_w);
        h->is_limit_exact |= is_unsure;
        set_most(k, h);
    }
    return (lw_m)(asked_w > h->most_w);
}

/* Why: the cylinders are too cold to give what they hold, or hold no more. */
static void note_gas_lack(lane_step *k, lw_m lacks, const lane_heat *h)
{
    const lw_m is_cold = lacks & k->goes & (lw_m)(h->limit_w < held_w(k));
    k->is_gas_cold |= is_cold;
    k->lack_supplies |= lacks & k->goes & ~is_cold & lw_bit(LW_SUPPLY_PROPANE);
}

static void share_gas(lane_step *k, lane_heat *h)
{
    const lw_row *row = &k->c->row[LW_SUPPLY_PROPANE];
    h->gas_frac = lw_all(1.0);
    h->water_input_w = lw_all(k->c->water_input_w);
    h->furnace_input_w = lw_all(k->c->furnace.input_w);
    run_small_burners(k, h);
    h->limit_w = h->most_w = lw_all(INFINITY);
    h->is_limit_exact = lw_mall(1);
    if (row->count == 0)
        return;
    const lw_propane_sure sure = lw_propane_sure_of();
    lw_v most_kg = lw_all(0.0), most_w = lw_all(0.0);
    for (int i = 0; i < LW_PROPANE_SURE_ROWS; i++)
        most_w = lw_choose((lw_m)(k->air_c >= sure.from_c[i]), lw_all(sure.most_w[i]), most_w);
    for (int i = 0; i < row->count; i++)
        most_kg = lw_vmost(k->level[row->vessel[i]], most_kg);
    const lw_v share = lw_choose((lw_m)(most_kg < sure.below_kg), most_kg * sure.per_kg, lw_all(1.0));
    h->limit_w = lw_where((lw_m)(most_kg > 0.0), most_w * share * sure.rounding_frac);
    h->is_limit_exact = (lw_m)(most_kg <= 0.0); /* from empty ones there is none */
    set_most(k, h);
    const lw_m lacks = lacks_gas(k, small_burners_w(h), h);
    if (!lw_any(lacks))
        return;
    const lw_v first_w = h->cooking_w + h->fridge_gas_w, rest_w = lw_vmost(h->most_w - first_w, lw_all(0.0));
    note_gas_lack(k, lacks, h);
    h->gas_frac = lw_choose(lacks & (lw_m)(first_w > h->most_w), h->most_w / first_w, h->gas_frac);
    h->water_input_w = lw_choose(lacks, lw_vleast(h->water_input_w, rest_w), h->water_input_w);
    run_small_burners(k, h);
}

static lw_v series2(lw_m of, lw_v x)
{
    if (!lw_any(of))
        return x;
    const lw_v x2 = x * x;
    return LW_CABIN_SERIES(x, x2, x2 * x2);
}

typedef struct lane_cabin {
    lw_v ua_wk, decay_full, gain_w, heat_max_w, cool_max_w;
    lw_v heat_c, vent_c, cool_c; /* where devices begin to work */
    double mass_jk, vent_max_wk;
} lane_cabin;

/* What lw_cabin_step does in one phase: returns the lanes for which it holds to the end of the part. */
static lw_m cabin_at_once(const lane_step *k, const lane_cabin *in, lw_m of, lane_heat *h)
{
    const lw_v start_c = k->cabin_c, above_k = start_c - k->air_c;
    const lw_m at_heat = (lw_m)(start_c == in->heat_c), at_vent = (lw_m)(start_c == in->vent_c),
               at_cool = (lw_m)(start_c == in->cool_c), is_at_edge = at_heat | at_vent | at_cool;
    const lw_m is_below_vent = (lw_m)(start_c < in->vent_c), is_below_cool = (lw_m)(start_c < in->cool_c);

    /* Held by a device. */
    const lw_v surplus_w = in->gain_w - in->ua_wk * above_k, most_vent_w = in->vent_max_wk * above_k;
    const lw_v held_cool_w = surplus_w - lw_where((lw_m)(start_c > in->vent_c), most_vent_w);
    const lw_m heat_holds =
        at_heat & (lw_m)(surplus_w < 0.0) & (lw_m)(-surplus_w <= in->heat_max_w) & is_below_vent & is_below_cool;
    const lw_m vent_holds =
        ~at_heat & at_vent & (lw_m)(surplus_w >= 0.0) & (lw_m)(surplus_w <= most_vent_w) & is_below_cool;
    const lw_m cool_holds =
        ~at_heat & ~at_vent & at_cool & (lw_m)(held_cool_w >= 0.0) & (lw_m)(held_cool_w <= in->cool_max_w);

    /* Or it floats and meets no set-point. */
    const lw_m is_open = (lw_m)(start_c > in->vent_c);
    const lw_v low_c = lw_choose(is_open, in->vent_c, in->heat_c), vent_wk = lw_where(is_open, lw_all(in->vent_max_wk));
    const lw_v high_c = lw_choose(is_open | (lw_m)(in->cool_c < in->vent_c), in->cool_c, in->vent_c);
    const lw_v wk = in->ua_wk + vent_wk, per_wk = 1.0 / wk, x = wk * (k->step_s * (1.0 / in->mass_jk));
    lw_m floats =
        of & ~is_at_edge & (lw_m)(x >= LW_CABIN_SERIES_BELOW) & (lw_m)(start_c > low_c) & (lw_m)(start_c < high_c);
    const lw_m is_prepared = (lw_m)(in->decay_full > 0.0) & ~is_open;
    const lw_v decay = lw_choose(is_prepared, in->decay_full, exp_of(floats & ~is_prepared, -x));
    const lw_v pull_k = in->gain_w * per_wk - above_k, change_k = pull_k * (1.0 - decay), end_c = start_c + change_k;
    floats &= (lw_m)(end_c > low_c) & (lw_m)(end_c < high_c);
    const lw_v mean_above_k = above_k + pull_k - change_k * (in->mass_jk * per_wk * k->per_s);

    h->end_c = lw_choose(floats, end_c, start_c);
    h->mean_c = lw_choose(floats, k->air_c + mean_above_k, start_c);
    h->heat_w = lw_where(heat_holds, -surplus_w);
    h->held_frac = lw_where(heat_holds, lw_all(1.0));
    h->cool_w = lw_where(cool_holds, held_cool_w);
    return floats | heat_holds | vent_holds | cool_holds;
}

/* The same in up to LW_CABIN_PHASES phases. */
static void cabin_in_phases(const lane_step *k, const lane_cabin *in, lw_m of, lane_heat *h)
{
    const lw_v zero = lw_all(0.0), outside_c = k->air_c;
    lw_v now_c = k->cabin_c, left_s = k->step_s, above_ks = zero, heat_j = zero, cool_j = zero, held_s = zero;
    for (int i = 0; i < LW_CABIN_PHASES; i++) {
        const lw_m act = of & (lw_m)(left_s > 0.0);
        if (!lw_any(act))
            break;
        const lw_v above_k = now_c - outside_c, free_w = in->gain_w - in->ua_wk * above_k;
        const lw_v vent_w = in->vent_max_wk * above_k;
        const lw_m below_heat = (lw_m)(now_c < in->heat_c), to_heat = (lw_m)(now_c <= in->heat_c),
                   from_vent = (lw_m)(now_c >= in->vent_c), above_vent = (lw_m)(now_c > in->vent_c),
                   from_cool = (lw_m)(now_c >= in->cool_c), above_cool = (lw_m)(now_c > in->cool_c);
        const lw_v over_w = free_w + lw_where(below_heat, in->heat_max_w) - lw_where(from_vent, vent_w) -
                            lw_where(from_cool, in->cool_max_w);
        const lw_v under_w = free_w + lw_where(to_heat, in->heat_max_w) - lw_where(above_vent, vent_w) -
                             lw_where(above_cool, in->cool_max_w);

        const lw_m holds = act & (lw_m)(over_w <= 0.0) & (lw_m)(under_w >= 0.0);
        if (lw_any(holds)) {
            const lw_v heat_w = lw_where(below_heat, in->heat_max_w), cool_w = lw_where(above_cool, in->cool_max_w);
            const lw_v vent_wk = lw_where(above_vent, lw_all(in->vent_max_wk));
            const lw_v surplus_w = in->gain_w + heat_w - cool_w - (in->ua_wk + vent_wk) * above_k;
            const lw_m lacks = (lw_m)(surplus_w < 0.0);
            const lw_v held_heat_w = lw_where(lacks & to_heat & ~(lw_m)(heat_w > 0.0), -surplus_w);
            const lw_v held_vent_w =
                lw_where(~lacks & from_vent & ~(lw_m)(vent_wk > 0.0), lw_vleast(surplus_w, vent_w));
            const lw_v held_cool_w = lw_where(~lacks & from_cool & ~(lw_m)(cool_w > 0.0), surplus_w - held_vent_w);
            above_ks = lw_choose(holds, above_ks + above_k * left_s, above_ks);
            heat_j = lw_choose(holds, heat_j + (heat_w + held_heat_w) * left_s, heat_j);
            held_s = lw_choose(holds & (lw_m)(held_heat_w > 0.0), held_s + left_s, held_s);
            cool_j = lw_choose(holds, cool_j + (cool_w + held_cool_w) * left_s, cool_j);
        }
        const lw_m drifts = act & ~holds, is_rising = (lw_m)(over_w > 0.0);
        if (lw_any(drifts)) {
            const lw_m is_heating = (is_rising & below_heat) | (~is_rising & to_heat),
                       is_venting = (is_rising & from_vent) | (~is_rising & above_vent),
                       is_cooling = (is_rising & from_cool) | (~is_rising & above_cool);
            const lw_v edge[] = {in->heat_c, in->vent_c, in->cool_c};
            lw_v next_c = lw_choose(is_rising, lw_all(INFINITY), lw_all(-INFINITY));
            for (int e = 0; e < 3; e++) {
                const lw_m is_next = (is_rising & (lw_m)(edge[e] > now_c) & (lw_m)(edge[e] < next_c)) |
                                     (~is_rising & (lw_m)(edge[e] < now_c) & (lw_m)(edge[e] > next_c));
                next_c = lw_choose(is_next, edge[e], next_c);
            }
            const lw_v wk = in->ua_wk + lw_where(is_venting, lw_all(in->vent_max_wk));
            const lw_v rate_kps = lw_choose(is_rising, over_w, under_w) * (1.0 / in->mass_jk);
            const lw_v k_ps = wk * (1.0 / in->mass_jk), lag_s = in->mass_jk / wk;
            lw_v phase_s = left_s, x = k_ps * phase_s;
            const lw_m is_short = (lw_m)(x < LW_CABIN_SERIES_BELOW);
            const lw_m is_prepared =
                (lw_m)(in->decay_full > 0.0) & ~(lw_m)(wk > in->ua_wk) & ~(lw_m)(phase_s < k->step_s);
            const lw_v decay = lw_choose(is_prepared, in->decay_full, exp_of(drifts & ~is_short & ~is_prepared, -x));
            lw_v change_k = lw_choose(is_short, rate_kps * phase_s * (1.0 - x * series2(drifts & is_short, x)),
                                      rate_kps * lag_s * (1.0 - decay));
            const lw_v to_edge_k = next_c - now_c;
            const lw_m gains = (lw_m)(rate_kps > 0.0);
            const lw_m crosses =
                drifts & ((gains & (lw_m)(change_k >= to_edge_k)) | (~gains & (lw_m)(change_k <= to_edge_k)));
            if (lw_any(crosses)) {
                const lw_v straight_s = to_edge_k / rate_kps, share = k_ps * straight_s;
                const lw_v reach_s = lw_choose((lw_m)(share > 0.0), -lw_vlog1p(-share) * lag_s, straight_s);
                phase_s = lw_choose(crosses, lw_vleast(reach_s, left_s), phase_s);
                x = lw_choose(crosses, k_ps * phase_s, x);
                change_k = lw_choose(crosses, to_edge_k, change_k);
            }
            const lw_m is_brief = (lw_m)(x < LW_CABIN_SERIES_BELOW);
            const lw_v rise_ks = lw_choose(is_brief, rate_kps * phase_s * phase_s * series2(drifts & is_brief, x),
                                           (rate_kps * phase_s - change_k) * lag_s);
            above_ks = lw_choose(drifts, above_ks + (above_k * phase_s + rise_ks), above_ks);
            now_c = lw_choose(drifts, lw_choose(crosses, next_c, now_c + change_k), now_c);
            left_s = lw_choose(drifts, lw_where(crosses, left_s - phase_s), left_s);
            heat_j = lw_choose(drifts & is_heating, heat_j + in->heat_max_w * phase_s, heat_j);
            cool_j = lw_choose(drifts & is_cooling, cool_j + in->cool_max_w * phase_s, cool_j);
        }
        left_s = lw_choose(holds, zero, left_s);
    }
    h->end_c = lw_choose(of, now_c, h->end_c);
    h->mean_c = lw_choose(of, outside_c + above_ks * k->per_s, h->mean_c);
    h->heat_w = lw_choose(of, heat_j * k->per_s, h->heat_w);
    h->held_frac = lw_choose(of, held_s * k->per_s, h->held_frac);
    h->cool_w = lw_choose(of, cool_j * k->per_s, h->cool_w);
}

/* lw_furnace_run */
static void run_furnace(const lane_step *k, lw_v heat_w, lane_heat *h)
{
    const lw_furnace *f = &k->c->furnace;
    h->duty_frac = h->furnace_gas_w = h->blower_w = lw_all(0.0);
    const lw_m runs = (lw_m)(heat_w > 0.0) & (lw_m)(h->furnace_input_w > 0.0);
    if (!lw_any(runs))
        return;
    const lw_v most_w = h->furnace_input_w * f->efficiency_frac, one = lw_all(1.0);
    const lw_v wanted = lw_choose((lw_m)(most_w > 0.0), heat_w / most_w, lw_all(0.0));
    const lw_v duty = lw_vleast(wanted, one), most_ph = f->cycles_per_h * h->held_frac;
    const lw_v cycles_ph = lw_choose((lw_m)(duty < most_ph * f->runon_h), duty * (1.0 / f->runon_h), most_ph);
    h->duty_frac = lw_where(runs, duty);
    h->furnace_gas_w = lw_where(runs, duty * h->furnace_input_w);
    h->blower_w = lw_where(runs, f->blower_w * lw_vleast(duty + cycles_ph * f->runon_h, one));
}

static void run_cabin(const lane_step *k, lw_m of, lane_heat *h)
{
    const lw_hour *hour = k->hour;
    const lw_cabin_use *use = &k->c->scenario->rig.cabin;
    const double vent_set_c = lw_most(use->vent_above_c, hour->heat_set_c + LW_VENT_ABOVE_SET_K);
    lane_cabin in = {.mass_jk = k->c->mass_jk, .vent_max_wk = hour->is_grown_in ? use->vent_wk : 0.0};
    in.ua_wk = k->ua_wk + k->wind_wkpms * lw_vload(k->lane->wind_ms);
    in.decay_full = lw_where(k->is_whole & ~(lw_m)(k->wind_wkpms > 0.0), k->decay_calm);
    in.gain_w = h->gain_w;
    in.heat_max_w = h->furnace_input_w * k->c->furnace.efficiency_frac + h->electric_max_w;
    in.cool_max_w = h->cool_max_w;
    in.heat_c = lw_choose((lw_m)(in.heat_max_w > 0.0), lw_all(hour->heat_set_c), lw_all(-INFINITY));
    in.vent_c = in.vent_max_wk > 0.0 ? lw_vmost(lw_all(vent_set_c), k->air_c) : lw_all(INFINITY);
    in.cool_c = lw_choose((lw_m)(in.cool_max_w > 0.0), lw_all(use->cool_above_c), lw_all(INFINITY));
    const lw_m is_done = cabin_at_once(k, &in, of, h);
    if (lw_any(of & ~is_done))
        cabin_in_phases(k, &in, of & ~is_done, h);
    h->electric_w = lw_vleast(h->heat_w, h->electric_max_w);
    run_furnace(k, h->heat_w - h->electric_w, h);
}

static lw_v below_frac(lw_v from, lw_v to, double threshold)
{
    const lw_m is_first = (lw_m)(from < threshold), is_last = (lw_m)(to < threshold);
    const lw_m crosses = is_first ^ is_last;
    const lw_v below = lw_where(is_first, lw_all(1.0));
    if (!lw_any(crosses))
        return below;
    const lw_v share = (threshold - from) / (to - from);
    return lw_choose(crosses, lw_choose(is_first, share, 1.0 - share), below);
}

static lw_v clock_h(lw_v hours, lw_v below, lw_v step_h)
{
    return lw_vmost(hours + (2.0 * below - 1.0) * step_h, lw_all(0.0));
}

/* lw_bay_step */
static void run_bay(const lane_step *k, lane_heat *h)
{
    const lw_context *c = k->c;
    const lw_bay_spec *bay = &c->bay;
    const lw_m has_power =
        c->has_pads ? h->is_on | lw_mall(!(c->pad_needs_generator || (c->pad_is_ac && !k->hour->is_inverter_on)))
                    : lw_mall(0);
    const lw_v share = lw_choose((lw_m)(h->duty_frac > 0.0), lw_all(bay->inside_blown_frac), lw_all(bay->inside_frac));
    const lw_v mix_c = k->air_c + share * (h->mean_c - k->air_c);
    h->pad_w = lw_all(0.0);
    lw_v target_c = mix_c;
    if (lw_any(has_power)) {
        const lw_v wish_w = lw_where(has_power & (lw_m)(mix_c < LW_PAD_ON_C), bay->pad_ua_wk * (LW_PAD_ON_C - mix_c));
        h->pad_w = lw_vleast(wish_w, lw_all(bay->pad_max_w));
        target_c = lw_choose((lw_m)(h->pad_w > 0.0), mix_c + h->pad_w / bay->pad_ua_wk, mix_c);
    }
    const lw_v x = k->step_s * (1.0 / bay->lag_s);
    const lw_v decay = lw_choose(k->is_whole, lw_all(bay->decay_full), exp_of(~k->is_whole, -x));
    const lw_v end_c = target_c + (k->bay_c - target_c) * decay, step_h = k->step_s * (1.0 / 3600.0);
    h->next_bay_c = end_c;
    h->bay_mean_c = target_c + (k->bay_c - end_c) * (bay->lag_s * k->per_s);
    h->valve_h = clock_h(k->valve_h, lw_where((lw_m)(k->air_c < LW_HOSE_FREEZE_C), lw_all(1.0)), step_h);
    h->pipe_h = clock_h(k->pipe_h, below_frac(k->bay_c, end_c, bay->threshold_c), step_h);
}

/* ------------------------------------------------------------------ generator */

static int fuel_supply(const lane_step *k)
{
    return k->c->scenario->rig.generator.fuel == LW_ENGINE_FUEL_LPG ? LW_SUPPLY_PROPANE : LW_SUPPLY_FUEL;
}

/* What the burners of this part are sure of; only a set that runs on gas asks. */
static void reserve_gas(const lane_step *k, lw_v burners_w, lane_heat *h)
{
    if (fuel_supply(k) == LW_SUPPLY_PROPANE)
        h->gas_reserved_kg = burners_w * k->step_s / LW_PROPANE_HHV_JPKG;
}

static lw_v fuel_left(const lane_step *k, const lane_heat *h)
{
    const int supply = fuel_supply(k);
    if (k->c->row[supply].count == 0)
        return lw_all(INFINITY);
    const lw_v left = row_available(k, supply);
    return supply == LW_SUPPLY_PROPANE ? lw_vmost(left - h->gas_reserved_kg, lw_all(0.0)) : left;
}

static lw_v fuel_rate(const lane_step *k, lw_v load_w)
{
    const lw_generator *gen = &k->c->generator;
    const lw_v lph = gen->none_lph + gen->slope_lpw * lw_vmost(load_w, lw_all(0.0));
    return fuel_supply(k) == LW_SUPPLY_PROPANE ? lph * lw_lpg_kg(1.0) : lph;
}

/* lw_generator_is_wanted_on */
static lw_m wants_on(const lane_step *k, const lane_heat *h)
{
    const lw_generator_use *g = &k->c->scenario->rig.generator;
    if (!g->is_present || !k->hour->is_generator_allowed)
        return lw_mall(0);
    lw_m is = lw_mall(k->hour->is_generator_wanted) | h->wants_set;
    if (g->is_automatic) {
        is |= (k->is_on & (lw_m)(k->soc < g->stop_frac - 1e-9)) | (~k->is_on & (lw_m)(k->soc <= g->start_frac + 1e-9));
    }
    if (k->mode == LW_MODE_JOINT && lw_any(is))
        is &= ~(lw_m)(fuel_left(k, h) <= LW_LEAST_FUEL);
    return is;
}

/* lw_generator_capacity_w */
static lw_v capacity_w(const lane_step *k)
{
    const lw_generator *gen = &k->c->generator;
    lw_v frac = lw_all(1.0);
    if (gen->derate == LW_DERATE_SHEET)
        frac = gen->thin_air * (1.0 - 0.01 / 5.6 * lw_where((lw_m)(k->air_c > 25.0), k->air_c - 25.0));
    else if (gen->derate == LW_DERATE_J1349)
        frac = 1.0 / (1.18 * gen->thin_air * lw_vsqrt((k->air_c + 273.0) / 298.0) - 0.18);
    return gen->rated_w * lw_vleast(frac, lw_all(1.0));
}

static lw_v ac_w_of(const lane_step *k)
{
    return k->hour->vital_ac_w + k->devices * (k->hour->ac_w - k->hour->vital_ac_w);
}

static void share_generator(lane_step *k, lane_heat *h)
{
    const lw_cabin_use *use = &k->c->scenario->rig.cabin;
    const lw_v loads_w = ac_w_of(k) + k->devices * k->hour->ac_generator_w;
    const lw_v left_w = lw_vmost(h->capacity_w - loads_w, lw_all(0.0));
    const lw_m has_room = (lw_m)(left_w >= use->cool_electric_w);
    h->electric_max_w = lw_where(h->is_on, lw_vleast(lw_all(use->electric_w), left_w));
    h->cool_max_w = lw_where(h->is_on & has_room, lw_all(use->cool_w));
    k->is_power_told |= h->is_on & ~has_room & (lw_m)(k->cabin_c >= use->cool_above_c - LW_AT_SET_K) &
                        (lw_m)(use->cool_electric_w - left_w > 1.0);
}

/* limit_furnace of step.c */
static void limit_furnace(lane_step *k, lw_m of, lane_heat *h)
{
    const lw_m lacks = of & lacks_gas(k, small_burners_w(h) + h->furnace_gas_w, h);
    if (!lw_any(lacks))
        return;
    lw_v left_w = h->most_w - small_burners_w(h);
    left_w = lw_where(~(lw_m)(left_w < LW_ROUNDING_FRAC * k->c->furnace.input_w), left_w);
    const lw_m limits = lacks & (lw_m)(h->furnace_gas_w > left_w);
    if (!lw_any(limits))
        return;
    note_gas_lack(k, limits, h);
    h->furnace_input_w = lw_choose(limits, lw_vleast(h->furnace_input_w, left_w), h->furnace_input_w);
    run_cabin(k, of, h);
}

/* plan_heat of step.c */
static void plan_heat(lane_step *k, lw_m of, lane_heat *h)
{
    const lw_hour *hour = k->hour;
    const lw_cabin_use *use = &k->c->scenario->rig.cabin;
    const lw_generator_use *g = &k->c->scenario->rig.generator;
    expect_uses(k, of);
    share_gas(k, h);
    h->gain_w = lw_vload(k->lane->sun_gain_w) + hour->people_w + (loads_heat_w(k) + h->fridge_w) +
                (h->cooking_w + h->standing_w);

    const int can_cool = hour->is_generator_allowed && g->runs_for_cooling && use->cool_w > 0.0 && hour->is_grown_in;
    h->wants_set = lw_mall(can_cool) & (lw_m)(k->cabin_c >= use->cool_above_c - LW_AT_SET_K);
    reserve_gas(k, small_burners_w(h), h);
    h->is_on = wants_on(k, h);
    h->electric_max_w = h->cool_max_w = lw_all(0.0);
    if (lw_any(h->is_on)) {
        h->capacity_w = capacity_w(k);
        if (use->electric_w > 0.0 || use->cool_w > 0.0)
            share_generator(k, h);
    }
    run_cabin(k, of, h);
    limit_furnace(k, of, h);
    h->wants_set &= (lw_m)(h->cool_w > 0.0);
    h->reaches_frac = lw_all(1.0);
    if (can_cool) {
        const lw_m reaches =
            ~h->wants_set & (lw_m)(k->cabin_c < use->cool_above_c) & (lw_m)(h->end_c > use->cool_above_c);
        if (lw_any(reaches))
            h->reaches_frac =
                lw_choose(reaches, (use->cool_above_c - k->cabin_c) / (h->end_c - k->cabin_c), lw_all(1.0));
    }
    run_bay(k, h);
    reserve_gas(k, small_burners_w(h) + h->furnace_gas_w, h);
}

/* ------------------------------------------------------------------ battery */

/* The phase of each lane's part. */
typedef struct lane_phase {
    lw_v dt_h, keep, settle, reach_h, per_reach_h, per_dt_h;
    double share;
} lane_phase;

static lane_phase same_for_all(const lw_kibam_phase *p)
{
    return (lane_phase){lw_all(p->dt_h),        lw_all(p->keep),     lw_all(p->settle), lw_all(p->reach_h),
                        lw_all(p->per_reach_h), lw_all(p->per_dt_h), p->share};
}

static lane_phase phase_of(const lane_step *k)
{
    const lw_battery *b = &k->c->battery;
    lane_phase all = same_for_all(&b->step);
    if (k->is_all_whole)
        return all;
    if (b->step.share >= 1.0) { /* one well: lw_kibam_phase_of has nothing to work out */
        all.dt_h = all.reach_h = k->span_h;
        all.per_dt_h = all.per_reach_h = 1.0 / k->span_h;
        return all;
    }
    for (int l = 0; l < LW_LANES; l++) {
        if (k->is_whole[l])
            continue;
        const lw_kibam_phase odd = lw_kibam_phase_of(&b->wells, k->span_h[l]);
        all.dt_h[l] = odd.dt_h, all.keep[l] = odd.keep, all.settle[l] = odd.settle;
        all.reach_h[l] = odd.reach_h, all.per_reach_h[l] = odd.per_reach_h, all.per_dt_h[l] = odd.per_dt_h;
    }
    return all;
}

typedef struct lane_spot {
    lw_m i;
    lw_v over_ah, open_v;
    lw_v rest_v, rise_v_ah; /* of the line it lies on */
} lane_spot;

enum { LAST = LW_BATTERY_KNOTS - 2 };

static lane_spot spot_of(const lw_battery *b, lw_v q_ah)
{
    const lw_v above_ah = q_ah - b->empty_ah;
    const lw_v held = lw_vleast(lw_vmost(above_ah * b->per_grid_ah, lw_all(0.0)), lw_all(LAST));
    lane_spot at;
    at.i = lw_whole(held);
    at.over_ah = above_ah - lw_number(at.i) * b->grid_ah;
    at.rest_v = lw_vpick(b->rest_v, LW_BATTERY_KNOTS, at.i);
    at.rise_v_ah = lw_vpick(b->rise_v_ah, LW_BATTERY_KNOTS - 1, at.i);
    at.open_v = at.rest_v + at.rise_v_ah * at.over_ah;
    return at;
}

static lane_spot spot_after(const lw_battery *b, lane_spot from, lw_v q_ah, lw_v change_ah)
{
    const lw_v over_ah = from.over_ah + change_ah;
    const lw_m is_same = (lw_m)(over_ah >= 0.0) & (lw_m)(over_ah < b->grid_ah);
    lane_spot to = from;
    to.over_ah = over_ah;
    to.open_v = from.rest_v + from.rise_v_ah * over_ah;
    if (!lw_any(~is_same))
        return to;
    const lane_spot other = spot_of(b, q_ah + change_ah);
    to.i = (is_same & from.i) | (~is_same & other.i);
    to.over_ah = lw_choose(is_same, over_ah, other.over_ah);
    to.open_v = lw_choose(is_same, to.open_v, other.open_v);
    to.rest_v = lw_choose(is_same, from.rest_v, other.rest_v);
    return to;
}

static lw_v energy_at(const lw_battery *b, lane_spot at)
{
    return lw_vpick(b->energy_wh, LW_BATTERY_KNOTS, at.i) + at.over_ah * 0.5 * (at.rest_v + at.open_v);
}

static lw_v gain_wh(const lw_battery *b, lane_spot from, lane_spot to, lw_v change_ah)
{
    const lw_m is_same = (lw_m)(from.i == to.i);
    const lw_v on_line_wh = change_ah * 0.5 * (from.open_v + to.open_v);
    return lw_any(~is_same) ? lw_choose(is_same, on_line_wh, energy_at(b, to) - energy_at(b, from)) : on_line_wh;
}

typedef struct lane_flow {
    lw_v change_ah, end_v, terminal_w, current_a;
    lw_m is_limited, has_taper;
} lane_flow;

/* lw_battery_draw; lanes that it limits go alone. */
static void draw(lane_step *k, lw_m of, const lane_phase *phase, lane_spot from, lw_v power_w, lane_flow *flow)
{
    const lw_battery *b = &k->c->battery;
    const lw_v q_ah = k->q1_ah + k->q2_ah;
    const lw_v wells_a = (k->q1_ah * phase->keep + q_ah * phase->settle) * phase->per_reach_h;
    const lw_v cap_a = lw_vleast(q_ah * phase->per_dt_h, wells_a);
    lw_v open_v = from.open_v, way_ah = from.over_ah, line_w = power_w, current_a = lw_all(0.0);
    lw_v rise_v_ah = from.rise_v_ah;
    lw_m i = from.i, open = of & (lw_m)(cap_a > 0.0);
    k->alone |= of & ~open;
    for (int n = 0; n < LINES && lw_any(open); n++) {
        const lw_v bend_ohm = b->resistance_ohm + 0.5 * rise_v_ah * phase->dt_h;
        const lw_v root = open_v * open_v - 4.0 * line_w * bend_ohm;
        const lw_m is_real = (lw_m)(root > 0.0);
        const lw_v here_a = 2.0 * line_w / (open_v + lw_vsqrt(lw_choose(is_real, root, lw_all(1.0))));
        const lw_m ends = (lw_m)(i == 0) | (lw_m)(lw_vleast(here_a, cap_a) * phase->dt_h <= way_ah);
        const lw_m found = open & is_real & ends & (lw_m)(here_a < cap_a);
        current_a = lw_choose(found, here_a, current_a);
        k->alone |= open & (~is_real | (ends & ~found));
        open &= is_real & ~ends;
        if (!lw_any(open))
            break;
        const lw_m next = i + (open & -1);
        i = (open & next) | (~open & i);
        const lw_v next_v_ah = lw_vpick(b->rise_v_ah, LW_BATTERY_KNOTS - 1, i), steeper_v_ah = next_v_ah - rise_v_ah;
        rise_v_ah = next_v_ah;
        open_v = lw_choose(open, open_v + steeper_v_ah * way_ah, open_v);
        line_w = lw_choose(open, line_w + 0.5 * way_ah * way_ah * steeper_v_ah * phase->per_dt_h, line_w);
        way_ah = lw_choose(open, way_ah + b->grid_ah, way_ah);
    }
    k->alone |= open;
    const lw_v change_ah = -current_a * k->span_h, drop_v = current_a * b->resistance_ohm;
    const lane_spot to = spot_after(b, from, q_ah, change_ah);
    flow->change_ah = lw_where(of, change_ah);
    flow->end_v = to.open_v - drop_v;
    flow->current_a = -current_a;
    flow->terminal_w = -power_w;
    flow->is_limited = flow->has_taper = lw_mall(0);
}

/* lw_battery_fill */
static void fill(lane_step *k, lw_m of, const lane_phase *phase, lane_spot from, lw_v power_w, lw_v cap_a,
                 lane_flow *flow)
{
    const lw_battery *b = &k->c->battery;
    const lw_v q_ah = k->q1_ah + k->q2_ah, room_ah = b->wells.qmax_ah - q_ah, zero = lw_all(0.0);
    const double eta = b->coulombic_frac, per_eta = b->per_coulombic, r_ohm = b->charge_resistance_ohm;
    if (phase->share < 1.0) {
        const lw_v settled_ah = k->q1_ah * phase->keep + q_ah * phase->settle;
        const lw_v wells_a = (phase->share * b->wells.qmax_ah - settled_ah) * phase->per_reach_h * per_eta;
        cap_a = lw_vleast(wells_a, cap_a);
    }
    const lw_m asks = of & (lw_m)(power_w > 0.0), takes = asks & (lw_m)(cap_a > 0.0) & (lw_m)(room_ah > 0.0);
    const lw_v accept_a = b->accept_per_h * room_ah * per_eta;
    const lw_m is_all_taper =
        (lw_m)(accept_a <= cap_a) & (lw_m)(accept_a * (b->rest_v[LAST + 1] + accept_a * r_ohm) <= power_w);
    lw_v first_a = accept_a;
    lw_m is_capped = takes, open = takes & ~is_all_taper;

    const lw_v well_h = eta * phase->dt_h, per_well_h = per_eta * phase->per_dt_h;
    lw_v open_v = from.open_v, way_ah = b->grid_ah - from.over_ah, line_w = power_w, rise_v_ah = from.rise_v_ah;
    lw_m i = from.i;
    for (int n = 0; n < LINES && lw_any(open); n++) {
        const lw_v bend_ohm = r_ohm + 0.5 * rise_v_ah * well_h;
        const lw_v here_a = 2.0 * line_w / (open_v + lw_vsqrt(open_v * open_v + 4.0 * line_w * bend_ohm));
        const lw_m is_less = (lw_m)(here_a < cap_a);
        const lw_m ends = open & ((lw_m)(i == LAST) | (lw_m)(lw_vleast(here_a, cap_a) * well_h <= way_ah));
        first_a = lw_choose(ends, lw_choose(is_less, here_a, cap_a), first_a);
        is_capped &= ~(ends & is_less);
        open &= ~ends;
        if (!lw_any(open))
            break;
        const lw_m next = i - (open & -1);
        const lw_v next_v_ah = lw_vpick(b->rise_v_ah, LW_BATTERY_KNOTS - 1, next), steeper_v_ah = next_v_ah - rise_v_ah;
        i = next;
        rise_v_ah = next_v_ah;
        open_v = lw_choose(open, open_v - steeper_v_ah * way_ah, open_v);
        line_w = lw_choose(open, line_w - 0.5 * way_ah * way_ah * steeper_v_ah * per_well_h, line_w);
        way_ah = lw_choose(open, way_ah + b->grid_ah, way_ah);
    }
    k->alone |= open;

    const lw_v net_a = eta * first_a;
    lw_v steady_h = lw_choose((lw_m)(net_a > 0.0), room_ah / net_a - b->accept_h, phase->dt_h);
    steady_h = lw_choose(is_all_taper | (lw_m)(steady_h < 0.0), zero, lw_vleast(steady_h, phase->dt_h));
    const lw_v taper_h = phase->dt_h - steady_h;
    lw_v change_ah = net_a * steady_h, square_a2h = first_a * first_a * steady_h, end_a = first_a;
    const lw_m tapers = takes & (lw_m)(taper_h > 0.0);
    flow->has_taper = lw_mall(0);
    if (lw_any(tapers)) {
        const lw_v taper_ah = room_ah - change_ah;
        const lw_m is_step = (lw_m)(taper_h == b->step.dt_h);
        const lw_v left =
            lw_choose(is_step, lw_all(b->step_taper), exp_of(tapers & ~is_step, -b->accept_per_h * taper_h));
        const lw_v start_a = b->accept_per_h * taper_ah * per_eta;
        change_ah = lw_choose(tapers, change_ah + taper_ah * (1.0 - left), change_ah);
        square_a2h =
            lw_choose(tapers, square_a2h + start_a * start_a * (1.0 - left * left) * 0.5 * b->accept_h, square_a2h);
        end_a = lw_choose(tapers, start_a * left, end_a);
        flow->has_taper = tapers & (lw_m)(taper_ah > 0.0);
    }
    change_ah = lw_where(takes, change_ah);
    const lane_spot to = spot_after(b, from, q_ah, change_ah);
    const lw_v gained_wh = gain_wh(b, from, to, change_ah), ohmic_w = r_ohm * square_a2h * phase->per_dt_h;
    const lw_m is_limited = (is_capped & takes) | tapers;
    flow->change_ah = change_ah;
    flow->end_v = to.open_v + end_a * r_ohm;
    flow->current_a = lw_where(takes, change_ah * per_eta * phase->per_dt_h);
    flow->terminal_w = lw_where(takes, lw_choose(is_limited, gained_wh * per_eta * phase->per_dt_h + ohmic_w, power_w));
    flow->is_limited = is_limited | (asks & ~takes);
}

static lw_v charge_cap_a(const lane_step *k)
{
    const lw_battery *b = &k->c->battery;
    const lw_v most_a = lw_all(b->charge_limit_a);
    const lw_m is_cool = (lw_m)(k->battery_c < 10.0);
    if (b->chemistry != LW_CHEMISTRY_LFP || b->is_heated || !lw_any(is_cool))
        return most_a;
    const lw_v per_h =
        lw_choose((lw_m)(k->battery_c >= 5.0), lw_all(0.2), lw_where((lw_m)(k->battery_c >= 0.0), lw_all(0.1)));
    return lw_choose(is_cool, lw_vleast(most_a, per_h * b->capacity_ah), most_a);
}

/* lw_battery_apply */
static void apply_to_wells(lane_step *k, lw_m of, const lane_phase *phase, lw_v change_ah)
{
    const lw_battery *b = &k->c->battery;
    const lw_v zero = lw_all(0.0), most_ah = lw_all(b->wells.qmax_ah), before_ah = k->q1_ah + k->q2_ah;
    const lw_v q_ah = lw_vleast(lw_vmost(before_ah + change_ah, zero), most_ah);
    lw_v q1_ah = q_ah, q2_ah = zero;
    if (phase->share < 1.0) {
        const lw_v discharge_a = -change_ah * phase->per_dt_h;
        const lw_v brim_ah = lw_all(phase->share * b->wells.qmax_ah), bound_ah = b->wells.qmax_ah - brim_ah;
        q1_ah = k->q1_ah * phase->keep + before_ah * phase->settle - discharge_a * phase->reach_h;
        q1_ah = lw_vleast(lw_vmost(q1_ah, lw_vmost(zero, q_ah - bound_ah)), lw_vleast(brim_ah, q_ah));
        q2_ah = q_ah - q1_ah;
    }
    k->q1_ah = lw_choose(of, q1_ah, k->q1_ah);
    k->q2_ah = lw_choose(of, q2_ah, k->q2_ah);
}

/* lw_battery_rest */
static void rest_wells(lane_step *k, lw_m of)
{
    const lw_battery *b = &k->c->battery;
    /* 2^x as power_of_two in battery.c */
    const lw_v held = lw_vleast(lw_vmost((k->battery_c - 25.0) * 0.1, lw_all(-8.0)), lw_all(7.0));
    const lw_m i = lw_whole(held + 8.5);
    const lw_v y = 0.693147180559945309 * (held + 8.0 - lw_number(i));
    const lw_v whole = (lw_v)(((lw_bits)i + (1023 - 8)) << 52);
    const lw_v y2 = y * y;
    const lw_v x = b->self_discharge_per_h * (whole * LW_POWER_SERIES(y, y2, y2 * y2)) * k->span_h;
    k->alone |= (lw_m)(x >= LW_SLOW_DISCHARGE);
    const lw_v lost = lw_where((lw_m)(x > 0.0), x * LW_LOSS_SERIES(x, x * x));
    k->q1_ah = lw_choose(of, k->q1_ah - k->q1_ah * lost, k->q1_ah);
    k->q2_ah = lw_choose(of, k->q2_ah - k->q2_ah * lost, k->q2_ah);
}

/* ------------------------------------------------------------------ power */

typedef struct lane_wish {
    lw_v dc_w, ac_w, ac_generator_w;
} lane_wish;

static lw_v *line_of(int with_generator_only, int is_ac, lane_wish *wish)
{
    return with_generator_only ? &wish->ac_generator_w : is_ac ? &wish->ac_w : &wish->dc_w;
}

static void plan_loads(const lane_step *k, const lane_heat *h, lane_wish *wish)
{
    const lw_context *c = k->c;
    const lw_hour *hour = k->hour;
    const lw_cabin_use *use = &c->scenario->rig.cabin;
    wish->ac_w = ac_w_of(k);
    wish->ac_generator_w = k->devices * hour->ac_generator_w + h->electric_w;
    if (use->cool_w > 0.0 && lw_any((lw_m)(h->cool_w > 0.0)))
        wish->ac_generator_w =
            lw_choose((lw_m)(h->cool_w > 0.0), wish->ac_generator_w + use->cool_electric_w * h->cool_w / use->cool_w,
                      wish->ac_generator_w);
    const lw_v pump_wh = use->pump_wh_per_l * k->pumped_l + k->uses_wh;
    wish->dc_w = k->devices * hour->dc_varied_w + hour->dc_vital_w + h->blower_w + h->fridge_w + pump_wh;
    *line_of(c->pad_needs_generator, c->pad_is_ac, wish) += h->pad_w;
    for (int d = 0; d < c->dynamic_count; d++) {
        const lw_dynamic_load *fan = &c->dynamic[d];
        *line_of(fan->with_generator_only, fan->is_ac, wish) += fan->watts * fan_frac(k, fan, h->mean_c);
    }
}

/* The share of its best power that an array gives when held at the battery's voltage: held_frac of controller.c. */
static lw_v held_frac(const lw_controller_spec *spec, lw_v cell_c, lw_v battery_v)
{
    static const double STANDARD_C = 25.0, OPEN_TO_MP = 1.22;
    const lw_v mp_v = spec->array_v * (1.0 + spec->array_v_frac_per_k * (cell_c - STANDARD_C));
    const lw_v x = lw_choose((lw_m)(mp_v > 0.0), battery_v / mp_v, lw_all(OPEN_TO_MP));
    const lw_m is_below = (lw_m)(x <= 1.0);
    if (!lw_any(~is_below))
        return x;
    const lw_v above = lw_where((lw_m)(x < OPEN_TO_MP), x * (OPEN_TO_MP - x) / (OPEN_TO_MP - 1.0));
    return lw_choose(is_below, x, above);
}

/* sun_power of step_power.c */
static lw_v sun_offer_w(const lane_step *k, lw_v battery_v, lw_v *panels_w)
{
    lw_v offer_w = *panels_w = lw_all(0.0);
    for (int a = 0; a < k->c->scenario->rig.array_count; a++) {
        const lw_controller_spec *spec = &k->c->controller[a];
        const lw_v panel_w = lw_vload(k->lane->panel_w[a]);
        const lw_m shines = (lw_m)(panel_w > 0.0);
        if (!lw_any(shines))
            continue;
        const lw_v wired_w = panel_w * (1.0 - spec->soiling_frac) * (1.0 - spec->wiring_frac);
        const lw_v held =
            spec->kind == LW_CONTROLLER_PWM ? held_frac(spec, lw_vload(k->lane->cell_c[a]), battery_v) : lw_all(1.0);
        const lw_v out_w = wired_w * held * spec->efficiency_frac, rated_w = spec->rated_a * battery_v;
        const lw_m is_over = (lw_m)(out_w > rated_w);
        const lw_v given_w = lw_any(is_over) ? lw_choose(is_over, out_w * (rated_w / out_w), out_w) : out_w;
        *panels_w += lw_where(shines, panel_w);
        offer_w += lw_where(shines, given_w);
    }
    return offer_w;
}

static void note_floor(lane_step *k, lw_m of, lw_v from_ah, lw_v to_ah)
{
    const lw_battery *b = &k->c->battery;
    const lw_m is_near =
        of & ((lw_m)(k->battery_c < LW_MILD_C) | (lw_m)(lw_vleast(from_ah, to_ah) <= k->highest_floor_ah));
    if (!lw_any(is_near))
        return;
    for (int l = 0; l < LW_LANES; l++) {
        if (!is_near[l])
            continue;
        const double floor_ah = lw_battery_floor_ah(b, k->battery_c[l]);
        k->is_floor[l] |= from_ah[l] <= floor_ah || to_ah[l] <= floor_ah ? -1 : 0;
    }
}

/* The wells take less than is offered and than the charger gives; what they take falls while they fill. */
static lw_m are_wells_short(lw_m fills, const lane_flow *flow, lw_v cap_a)
{
    return fills & flow->is_limited & ~flow->has_taper & (lw_m)(flow->current_a < cap_a * (1.0 - 1e-9));
}

/* An hour in which that is so goes by quarters, as in lw_step_power, until the wells take all for the rest of it. */
static void fill_by_quarters(lane_step *k, lw_m of, lw_v offered_w, lw_v cap_a)
{
    const lw_battery *b = &k->c->battery;
    const lane_phase quarter = same_for_all(&k->lanes->quarter[0]);
    for (int left = QUARTERS; left > 0 && lw_any(of); left--) {
        const lane_phase rest = same_for_all(left < QUARTERS ? &k->lanes->quarter[left - 1] : &b->step);
        const lane_spot from = spot_of(b, k->q1_ah + k->q2_ah);
        lane_flow flow;
        fill(k, of, &rest, from, offered_w, cap_a, &flow);
        const lw_m goes_on = left > 1 ? are_wells_short(of, &flow, cap_a) : lw_mall(0);
        apply_to_wells(k, of & ~goes_on, &rest, flow.change_ah);
        if (lw_any(goes_on)) {
            fill(k, goes_on, &quarter, from, offered_w, cap_a, &flow);
            apply_to_wells(k, goes_on, &quarter, flow.change_ah);
        }
        of = goes_on;
    }
}

/* lw_step_power_steady; lanes in which something switches go alone. */
static void run_power(lane_step *k, lw_m of, const lane_heat *h)
{
    const lw_context *c = k->c;
    const lw_battery *b = &c->battery;
    const lw_generator_use *g = &c->scenario->rig.generator;
    const lw_v zero = lw_all(0.0), q_ah = k->q1_ah + k->q2_ah, cap_a = charge_cap_a(k);
    const lane_spot from = spot_of(b, q_ah);
    lane_wish wish;
    lw_v panels_w;
    plan_loads(k, h, &wish);
    const lw_v offer_w = sun_offer_w(k, from.open_v, &panels_w);
    const lw_m is_on = wants_on(k, h);

    lw_v ac_now_w = zero, charger_max_w = zero, dc_w = wish.dc_w, ac_lack_w = zero;
    if (lw_any(is_on)) {
        const lw_v wanted_w = wish.ac_w + wish.ac_generator_w;
        ac_now_w = lw_where(is_on, lw_vleast(wanted_w, h->capacity_w));
        ac_lack_w = lw_where(is_on, wanted_w - ac_now_w);
        const lw_v given_w = (h->capacity_w - ac_now_w) * c->charger.efficiency_frac;
        const lw_v charger_w = lw_vleast(given_w, c->charger.rated_a * from.open_v);
        charger_max_w = lw_where(is_on, lw_vmost(charger_w, zero));
    }
    if (k->hour->is_inverter_on) {
        const lw_inverter_spec *inv = &c->inverter;
        const lw_v asked_w = lw_vmost(wish.ac_w, zero), out_w = lw_vleast(asked_w, lw_all(inv->rated_w));
        const lw_v bent_w = inv->b_per_w * out_w * out_w;
        dc_w += lw_where(~is_on, inv->idle_w + out_w * (1.0 / inv->efficiency_frac) + bent_w);
        ac_lack_w = lw_choose(is_on, ac_lack_w, lw_where((lw_m)(asked_w > out_w), asked_w - out_w));
    } else {
        ac_lack_w = lw_choose(is_on, ac_lack_w, wish.ac_w);
    }
    k->is_power_told |= (lw_m)(ac_lack_w > 0.0);
    const lw_v net_w = offer_w + k->hour->drive_w - dc_w, offered_w = net_w + charger_max_w;

    const lane_phase phase = phase_of(k);
    const lw_m fills = of & (lw_m)(offered_w >= 0.0), draws = of & ~fills;
    lane_flow flow;
    flow.change_ah = flow.end_v = flow.terminal_w = flow.current_a = zero;
    flow.is_limited = flow.has_taper = lw_mall(0);
    if (lw_any(fills))
        fill(k, fills, &phase, from, offered_w, cap_a, &flow);
    if (lw_any(draws)) {
        lane_flow drawn;
        draw(k, draws, &phase, from, -offered_w, &drawn);
        flow.change_ah = lw_choose(draws, drawn.change_ah, flow.change_ah);
        flow.end_v = lw_choose(draws, drawn.end_v, flow.end_v);
    }
    const lw_m is_short = are_wells_short(fills, &flow, cap_a), by_quarters = is_short & k->is_whole & ~is_on;
    k->alone |= is_short & ~by_quarters;
    apply_to_wells(k, of & ~by_quarters, &phase, flow.change_ah);
    if (lw_any(by_quarters))
        fill_by_quarters(k, by_quarters, offered_w, cap_a);
    const lw_v end_ah = lw_choose(by_quarters, k->q1_ah + k->q2_ah, q_ah + flow.change_ah);

    if (c->cut_count > 0)
        k->alone |= draws & ~(lw_m)(flow.end_v > c->cut_v[0] + LW_CLEAR_OF_CUT_V);
    if (g->is_automatic && !k->hour->is_generator_wanted)
        k->alone |=
            fills & is_on & ~h->wants_set & (lw_m)(end_ah >= lw_battery_soc_ah(b, g->stop_frac) * (1.0 - 1e-12));
    if (g->is_present && g->is_automatic && k->hour->is_generator_allowed)
        k->alone |= draws & ~is_on & (lw_m)(end_ah <= lw_battery_soc_ah(b, g->start_frac) * (1.0 + 1e-12));

    note_floor(k, of, q_ah, end_ah);
    k->is_power_told |= fills & (lw_m)(cap_a <= 0.0) & (lw_m)(offered_w > 0.0);
    if (lw_any(of & is_on)) {
        const lw_v charger_w =
            lw_choose(draws, charger_max_w, lw_vleast(lw_vmost(flow.terminal_w - net_w, zero), charger_max_w));
        const lw_v rate = fuel_rate(k, ac_now_w + lw_vmost(charger_w, zero) * (1.0 / c->charger.efficiency_frac));
        const lw_v amount = lw_where(of & is_on, rate * k->span_h);
        if (k->mode == LW_MODE_JOINT)
            k->alone |= of & is_on & ~(lw_m)(fuel_left(k, h) > amount * (1.0 + 1e-12));
        const int supply = fuel_supply(k);
        const lw_v lack = row_draw(k, supply, amount);
        if (c->row[supply].count > 0)
            k->lack_supplies |= (lw_m)(lack > LW_NOTHING_KG) & lw_bit(supply);
        if (supply == LW_SUPPLY_PROPANE)
            k->gas_asked_kg += amount;
    }
    rest_wells(k, of);
    k->panels_wh = lw_choose(of, k->panels_wh + panels_w * k->span_h, k->panels_wh);
    k->is_on = (of & is_on) | (~of & k->is_on);
}

/* ------------------------------------------------------------------ gas and uses */

/* The cylinders give far less than holds the cabin at its lowest set-point, though they hold enough for many hours. */
static lw_m is_useless(const lane_step *k, const lane_heat *h)
{
    const lw_cabin_use *use = &k->c->scenario->rig.cabin;
    const double eff = k->c->furnace.efficiency_frac,
                 set_c = lw_least(lw_least(use->day_c, use->night_c), k->hour->heat_set_c);
    const lw_v ua_wk = k->ua_wk + k->wind_wkpms * lw_vload(k->lane->wind_ms);
    const lw_v held_w = eff > 0.0 ? ua_wk * lw_vmost(set_c - k->air_c, lw_all(0.0)) / eff : lw_all(0.0);
    const lw_v need_w = lw_vleast(h->furnace_gas_w, held_w) + small_burners_w(h);
    return (lw_m)(h->limit_w < LW_COLD_GAS_FRAC * need_w) &
           (lw_m)(row_available(k, LW_SUPPLY_PROPANE) * LW_PROPANE_HHV_JPKG > need_w * LW_COLD_GAS_LEFT_S);
}

static void book_gas(lane_step *k, lw_m of, const lane_heat *h)
{
    const lw_v burners_w = h->furnace_gas_w + small_burners_w(h);
    const lw_v all_kg = lw_where(of, burners_w * (k->step_s * (1.0 / LW_PROPANE_HHV_JPKG)));
    const lw_v lack_kg = gas_draw(k, all_kg);
    k->gas_asked_kg += all_kg;
    k->gas_limit_w = lw_choose(of, h->limit_w, k->gas_limit_w);
    k->is_gas_over_limit |= of & (lw_m)(small_burners_w(h) + h->furnace_gas_w > h->limit_w);
    if (k->c->row[LW_SUPPLY_PROPANE].count == 0)
        return;
    const lw_m is_low = of & (lw_m)(h->limit_w < LW_COLD_GAS_FRAC * burners_w);
    if (k->mode == LW_MODE_OWN && lw_any(is_low)) /* its own course may end by cold: cold_kg in step.c */
        k->alone |= is_low & is_useless(k, h);
    k->lack_supplies |= (lw_m)(lack_kg > LW_NOTHING_KG) & lw_bit(LW_SUPPLY_PROPANE);
}

/* ------------------------------------------------------------------ the hour */

/* note_fridge of step.c where all has power */
static void note_fridge(lane_step *k, lw_m of, const lane_heat *h)
{
    const lw_cabin_use *use = &k->c->scenario->rig.cabin;
    k->fridge_frac = lw_choose(of, lw_all(1.0), k->fridge_frac);
    if (!use->fridge_is_present)
        return;
    if (use->fridge.kind == LW_COOLING_ABSORPTION)
        k->fridge_frac = lw_choose(of, lw_vleast(lw_all(1.0), h->gas_frac), k->fridge_frac);
    const lw_m cools = (lw_m)(k->fridge_frac >= 0.5), warms = ~cools & (lw_m)(h->mean_c > LW_FOOD_SAFE_C);
    const lw_v warm_h = lw_choose(warms, k->fridge_warm_h + k->span_h * (1.0 - k->fridge_frac), k->fridge_warm_h);
    k->fridge_warm_h = lw_choose(of & cools, lw_all(0.0), k->fridge_warm_h);
    if (!lw_any(of & ~cools))
        return;
    const lw_m spoils = of & warms & (lw_m)(k->fridge_warm_h < LW_FOOD_WARM_H) & (lw_m)(warm_h >= LW_FOOD_WARM_H);
    const lw_v left_h = (LW_FOOD_WARM_H - k->fridge_warm_h) / (1.0 - k->fridge_frac);
    k->food_warm_h = lw_choose(spoils, k->offset_h + left_h, k->food_warm_h);
    k->fridge_warm_h = lw_choose(of & ~cools, warm_h, k->fridge_warm_h);
}

static void keep_heat(lane_step *k, lw_m of, const lane_heat *h)
{
    const lw_context *c = k->c;
    const lw_v low_c = lw_vleast(k->cabin_c, h->end_c), high_c = lw_vmost(k->cabin_c, h->end_c);
    k->inside_min_c = lw_choose(of, lw_vleast(k->inside_min_c, low_c), k->inside_min_c);
    k->inside_max_c = lw_choose(of, lw_vmost(k->inside_max_c, high_c), k->inside_max_c);
    k->is_hose_freezing |= of & (lw_m)(h->valve_h > LW_HOSE_WARN_H);
    k->is_pipe_freezing |= of & (lw_m)(h->pipe_h > LW_PIPE_WARN_H);
    k->furnace_duty = lw_choose(of, k->furnace_duty + h->duty_frac * k->span_h, k->furnace_duty);
    k->cabin_c = lw_choose(of, h->end_c, k->cabin_c);
    k->bay_c = lw_choose(of, h->next_bay_c, k->bay_c);
    k->valve_h = lw_choose(of, h->valve_h, k->valve_h);
    k->pipe_h = lw_choose(of, h->pipe_h, k->pipe_h);
    k->deficit_j = lw_choose(of, h->deficit_j, k->deficit_j);
    const lw_v around_c = c->scenario->rig.battery.is_inside ? h->mean_c : h->bay_mean_c;
    const lw_v keep =
        lw_choose(k->is_whole, lw_all(c->battery_decay), exp_of(~k->is_whole, -k->span_h * (1.0 / LW_BATTERY_LAG_H)));
    k->battery_c = lw_choose(of, around_c + (k->battery_c - around_c) * keep, k->battery_c);
}

static void age_rubbish(lane_step *k, lw_m of)
{
    const lw_context *c = k->c;
    const lw_row *row = &c->row[LW_SUPPLY_RUBBISH];
    lw_m has = lw_mall(0);
    for (int i = 0; i < row->count; i++) {
        const int v = row->vessel[i];
        has |= (lw_m)(k->level[v] > c->vessel_eps[v] + c->scenario->rig.vessel[v].residue);
    }
    has &= of;
    if (!lw_any(has))
        return;
    const lw_rubbish_place place = c->scenario->rig.vessel[row->vessel[0]].place;
    const lw_v around_c = place == LW_RUBBISH_BIN || place == LW_RUBBISH_SHOWER ? k->cabin_c : k->air_c;
    const lw_v aday = 0.2 + 0.01 * (around_c - 10.0);
    const lw_v held = lw_choose((lw_m)(aday < 0.05), lw_all(0.05), lw_vleast(aday, lw_all(0.5)));
    k->age_frac = lw_choose(has, k->age_frac + held * (1.0 / 24.0) * k->span_h, k->age_frac);
}

static void set_span(lane_step *k, lw_v span_h)
{
    k->span_h = span_h;
    k->step_s = span_h * JOULE_PER_WH;
    k->is_whole = ~(lw_m)(span_h < k->c->step_h);
    k->is_all_whole = !lw_any(~k->is_whole);
    k->per_s = k->is_all_whole ? lw_all(1.0 / (k->c->step_h * JOULE_PER_WH)) : 1.0 / k->step_s;
}

/* run_part of step.c, for lanes whose step is not over. */
static void run_part(lane_step *k, lw_m of, lw_v left_h)
{
    const lw_m alone = k->alone, is_told = k->is_power_told;
    lane_heat heat;
    const lw_battery *b = &k->c->battery;
    k->goes = of;
    set_span(k, left_h);
    k->soc = lw_vleast(lw_all(1.0), lw_vmost(lw_all(0.0), (k->q1_ah + k->q2_ah - b->empty_ah) * b->per_capacity));
    plan_heat(k, of, &heat);
    const lw_m reaches = of & (lw_m)(heat.reaches_frac < 1.0);
    if (lw_any(reaches)) {
        set_span(k, lw_choose(reaches, left_h * lw_vmost(heat.reaches_frac, lw_all(LW_SHORTEST_PART)), left_h));
        plan_heat(k, of, &heat);
    }
    run_power(k, of, &heat);
    book_gas(k, of, &heat);
    pour_uses(k, of & k->has_room);
    if (lw_any(of & ~k->has_room))
        do_chores(k, of & ~k->has_room);
    note_fridge(k, of, &heat);
    keep_heat(k, of, &heat);
    age_rubbish(k, of);
    k->alone = alone | (of & k->alone);
    k->is_power_told = is_told | (of & k->is_power_told);
}

static void load_state(const lw_lanes *x, lane_step *k)
{
    const lw_lane_state *s = &x->at;
    for (int v = 0; v < k->c->scenario->rig.vessel_count; v++)
        k->level[v] = lw_vload(s->level[v]);
    k->q1_ah = lw_vload(s->battery_q1_ah), k->q2_ah = lw_vload(s->battery_q2_ah);
    k->battery_c = lw_vload(s->battery_c), k->cabin_c = lw_vload(s->cabin_c), k->bay_c = lw_vload(s->bay_c);
    k->deficit_j = lw_vload(s->water_deficit_j), k->age_frac = lw_vload(s->rubbish_age_frac);
    k->fridge_warm_h = lw_vload(s->fridge_warm_h);
    k->valve_h = lw_vload(s->freeze_valve_h), k->pipe_h = lw_vload(s->freeze_pipe_h);
    k->is_on = lw_mload(s->is_generator_on);
}

static void store_state(const lane_step *k, lw_m of, lw_lanes *x)
{
    lw_lane_state *s = &x->at;
    for (int v = 0; v < k->c->scenario->rig.vessel_count; v++)
        lw_vkeep(s->level[v], of, k->level[v]);
    lw_vkeep(s->battery_q1_ah, of, k->q1_ah), lw_vkeep(s->battery_q2_ah, of, k->q2_ah);
    lw_vkeep(s->battery_c, of, k->battery_c), lw_vkeep(s->cabin_c, of, k->cabin_c), lw_vkeep(s->bay_c, of, k->bay_c);
    lw_vkeep(s->water_deficit_j, of, k->deficit_j), lw_vkeep(s->rubbish_age_frac, of, k->age_frac);
    lw_vkeep(s->fridge_warm_h, of, k->fridge_warm_h);
    lw_vkeep(s->freeze_valve_h, of, k->valve_h), lw_vkeep(s->freeze_pipe_h, of, k->pipe_h);
    lw_mstore(s->is_generator_on, (of & k->is_on) | (~of & lw_mload(s->is_generator_on)));
}

static void begin_hour(const lw_lanes *x, lw_mode mode, int step, lw_m of, lane_step *k)
{
    const lw_hour *hour = &x->context.hour[step];
    k->c = &x->context;
    k->lanes = x;
    k->hour = hour;
    k->lane = &x->lane_hour[step];
    k->mode = mode;
    k->alone = ~of;
    k->factor = x->factor_of[hour->day];
    k->highest_floor_ah = x->highest_floor_ah;
    k->air_c = lw_vload(k->lane->air_c);
    k->devices = lw_vload(k->factor[LW_GROUP_DEVICES]);
    k->ua_wk = lw_vload(x->ua_wk), k->wind_wkpms = lw_vload(x->wind_wkpms), k->decay_calm = lw_vload(x->decay_calm);
    load_state(x, k);
    k->lack_vessels = k->lack_supplies = k->is_leisure_stopped = k->is_use_stopped = k->is_gas_over_limit =
        k->is_hose_freezing = k->is_pipe_freezing = k->is_gas_cold = k->is_floor = k->is_power_told = lw_mall(0);
    k->gas_asked_kg = k->panels_wh = k->furnace_duty = k->fridge_frac = k->gas_limit_w = lw_all(0.0);
    k->food_warm_h = lw_all(INFINITY);
    k->inside_min_c = lw_all(INFINITY), k->inside_max_c = lw_all(-INFINITY);
}

static lw_m has_bits(lw_m bits)
{
    return (lw_m)(bits != 0);
}

/* Something ends in its own course that had not ended before. */
static lw_m is_ending(const lane_step *k, const lw_lane_course *sum)
{
    const lw_context *c = k->c;
    lw_m is = has_bits(k->lack_supplies & ~lw_mload(sum->ended_supplies)) |
              has_bits(k->lack_vessels & ~lw_mload(sum->ended_vessels)) |
              (k->is_leisure_stopped & ~lw_mload(sum->has_leisure_end)) |
              (k->is_floor & ~lw_mload(sum->has_battery_end));
    lw_m past = lw_mall(0);
    for (int i = 0; i < c->watched_count; i++) {
        const int v = c->watched[i];
        past |= (lw_m)(c->end_sign[i] * k->level[v] >= c->end_mark[i]) & lw_bit(v);
    }
    return is | has_bits(past & ~lw_mload(sum->known_vessels));
}

static lw_m is_parting(const lane_step *k)
{
    return has_bits(k->lack_supplies) | k->is_leisure_stopped | k->is_use_stopped | k->is_gas_over_limit;
}

/* A supply that had ended may be back, or one ends: tell_supplies in tell.c. */
static lw_m is_supply_told(const lane_step *k, lw_m kinds, const lw_lane_course *sum)
{
    const lw_context *c = k->c;
    const lw_rig *rig = &c->scenario->rig;
    const lw_row *data = &c->row[LW_SUPPLY_DATA];
    const lw_m ended = lw_mload(sum->supply_on), was_out = has_bits(kinds & LW_KIND(LEISURE_DATA_ENDS));
    lw_m is = has_bits(k->lack_vessels & ~ended) |
              has_bits(((k->lack_supplies >> LW_SUPPLY_PROPANE) & 3) & ~(ended >> LW_VESSELS));
    lw_m stays_out = was_out;
    for (int i = 0; i < data->count && lw_any(was_out); i++) {
        const lw_vessel *t = &rig->vessel[data->vessel[i]];
        const double back = lw_most(t->work_reserve, t->unusable) + LW_BACK_FRAC * t->capacity;
        stays_out &= ~(lw_m)(k->level[data->vessel[i]] > back);
    }
    is |= (k->is_leisure_stopped | stays_out) ^ was_out;
    if (!lw_any(ended))
        return is;
    for (int v = 0; v < rig->vessel_count; v++) {
        const lw_vessel *t = &rig->vessel[v];
        const lw_v room =
            lw_supply_fills(t->supply) ? t->capacity - t->unusable - k->level[v] : k->level[v] - t->unusable;
        is |= has_bits(ended & lw_bit(v)) & (lw_m)(room > LW_BACK_FRAC * t->capacity);
    }
    for (int s = LW_SUPPLY_PROPANE; s <= LW_SUPPLY_FUEL; s++)
        is |= has_bits(ended & lw_bit(LW_VESSELS + s - LW_SUPPLY_PROPANE)) &
              (lw_m)(row_available(k, s) > LW_BACK_FRAC * c->capacity[s]);
    return is;
}

static lw_m kind(lw_m is, uint32_t bit)
{
    return is & (int64_t)bit;
}

static lw_m dangerous_heat(const lane_step *k, lw_m of)
{
    for (int l = 0; l < LW_LANES; l++) {
        if (!of[l])
            continue;
        of[l] = lw_is_dangerously_hot(k->lane->dew_c[l], k->cabin_c[l]) ? -1 : 0;
    }
    return of;
}

/* Kinds of tell_heat in tell.c that hold now. */
static lw_m heat_kinds(const lane_step *k, lw_v before_c)
{
    const lw_context *c = k->c;
    const lw_hour *hour = k->hour;
    const lw_cabin_use *cabin = &c->scenario->rig.cabin;
    const double least_set_c =
        hour->is_somebody_in ? lw_least(cabin->day_c, cabin->night_c) : lw_least(cabin->away_c, hour->heat_set_c);
    const lw_m has_furnace = lw_mall(c->furnace.input_w > 0.0), somebody = lw_mall(hour->is_somebody_in);
    lw_m gas_out = has_bits(k->lack_supplies & lw_bit(LW_SUPPLY_PROPANE));
    if (c->row[LW_SUPPLY_PROPANE].count > 0)
        gas_out |= (lw_m)(row_available(k, LW_SUPPLY_PROPANE) <= 0.0);
    const lw_m is_cold_out = (lw_m)(k->cabin_c < hour->heat_set_c - 0.5),
               is_hot = (lw_m)(k->cabin_c >= LW_HEAT_BEGINS_C);
    const lw_m gas_frozen = k->is_gas_cold & (lw_m)(k->gas_limit_w < LW_NO_GAS_FRAC * c->furnace.input_w);
    lw_m now = kind(has_furnace & is_cold_out & (gas_out | gas_frozen), LW_KIND(FURNACE_STOPS));
    now |= kind(has_furnace & (lw_m)(k->cabin_c < least_set_c - 0.5) & (lw_m)(k->cabin_c <= before_c) & ~gas_out &
                    ~k->is_gas_cold & (lw_m)(k->furnace_duty > 0.99),
                LW_KIND(FURNACE_SHORT));
    now |= kind(k->is_gas_cold & (is_cold_out | ~has_furnace), LW_KIND(GAS_SHORT));
    now |= kind((lw_m)(k->fridge_frac < 0.5), LW_KIND(FRIDGE_STOPS));
    now |= kind((lw_m)(k->fridge_warm_h >= LW_FOOD_WARM_H), LW_KIND(FOOD_WARM));
    now |= kind(somebody & (lw_m)(k->cabin_c < LW_COLD_C), LW_KIND(CABIN_COLD));
    now |= kind((lw_m)(k->cabin_c < 0.0), LW_KIND(CABIN_FREEZES));
    now |= kind(k->is_hose_freezing, LW_KIND(VALVE_FREEZES));
    now |= kind(k->is_pipe_freezing, LW_KIND(PIPES_FREEZE));
    if (hour->is_somebody_in && lw_any(is_hot))
        now |= kind(dangerous_heat(k, is_hot), LW_KIND(CABIN_HOT));
    return now;
}

/* Something may have to be told: what lw_tell would begin or end. */
static lw_m is_told(const lane_step *k, const lw_lanes *x)
{
    const lw_context *c = k->c;
    const lw_row *rubbish = &c->row[LW_SUPPLY_RUBBISH];
    const lw_m kinds = lw_mload(x->sum.kinds_on), is_old = (lw_m)(k->age_frac >= 1.0);
    const lw_m beyond = (lw_m)(k->cabin_c < c->vital_low_c) | (lw_m)(k->cabin_c > c->vital_high_c);
    const lw_m steady = heat_kinds(k, lw_vload(x->at.cabin_c)) | kind(is_old, LW_KIND(RUBBISH_OLD));
    lw_m is = is_supply_told(k, kinds, &x->sum) | k->is_floor | k->is_power_told | beyond |
              has_bits((kinds & (int64_t) ~(uint32_t)LW_TELL_SUPPLY) ^ steady);
    for (int i = 1; i < rubbish->count; i++) {
        const int v = rubbish->vessel[i];
        is |= (lw_m)(k->level[v] > c->vessel_eps[v]) & ~(lw_m)(lw_vload(x->at.level[v]) > c->vessel_eps[v]);
    }
    return k->lane->is_odd ? lw_mall(1) : is;
}

/* ------------------------------------------------------------------ one lane alone */

static void take_state(const lw_lanes *x, int l, lw_state *s)
{
    const lw_lane_state *at = &x->at;
    for (int v = 0; v < x->context.scenario->rig.vessel_count; v++)
        s->level[v] = at->level[v][l];
    s->battery_q1_ah = at->battery_q1_ah[l], s->battery_q2_ah = at->battery_q2_ah[l];
    s->battery_c = at->battery_c[l], s->cabin_c = at->cabin_c[l], s->bay_c = at->bay_c[l];
    s->water_deficit_j = at->water_deficit_j[l], s->rubbish_age_frac = at->rubbish_age_frac[l];
    s->fridge_warm_h = at->fridge_warm_h[l];
    s->freeze_valve_h = at->freeze_valve_h[l], s->freeze_pipe_h = at->freeze_pipe_h[l];
    s->is_generator_on = at->is_generator_on[l] != 0;
}

static void give_state(const lw_state *s, int l, lw_lanes *x)
{
    lw_lane_state *at = &x->at;
    for (int v = 0; v < x->context.scenario->rig.vessel_count; v++)
        at->level[v][l] = s->level[v];
    at->battery_q1_ah[l] = s->battery_q1_ah, at->battery_q2_ah[l] = s->battery_q2_ah;
    at->battery_c[l] = s->battery_c, at->cabin_c[l] = s->cabin_c, at->bay_c[l] = s->bay_c;
    at->water_deficit_j[l] = s->water_deficit_j, at->rubbish_age_frac[l] = s->rubbish_age_frac;
    at->fridge_warm_h[l] = s->fridge_warm_h;
    at->freeze_valve_h[l] = s->freeze_valve_h, at->freeze_pipe_h[l] = s->freeze_pipe_h;
    at->is_generator_on[l] = s->is_generator_on ? -1 : 0;
    at->is_cut[l] = s->cut ? -1 : 0;
}

static void take_sums(const lw_lanes *x, int l, lw_course *course)
{
    course->gas_asked_kg = x->sum.gas_asked_kg[l];
    course->panels_wh = x->sum.panels_wh[l];
    course->comfort.inside_low_c = x->sum.inside_low_c[l];
    course->comfort.inside_high_c = x->sum.inside_high_c[l];
}

static void give_sums(const lw_course *course, int l, lw_lanes *x)
{
    lw_lane_course *sum = &x->sum;
    sum->gas_asked_kg[l] = course->gas_asked_kg;
    sum->panels_wh[l] = course->panels_wh;
    sum->inside_low_c[l] = course->comfort.inside_low_c;
    sum->inside_high_c[l] = course->comfort.inside_high_c;
    sum->ended_supplies[l] = course->ended_supplies;
    sum->ended_vessels[l] = course->ended_vessels;
    sum->known_vessels[l] = 0;
    for (int v = 0; v < x->context.scenario->rig.vessel_count; v++)
        sum->known_vessels[l] |= isinf(course->vessel_end_h[v]) ? 0 : (int64_t)lw_bit(v);
    sum->has_leisure_end[l] = isinf(course->leisure_end_h) ? 0 : -1;
    sum->has_battery_end[l] = isinf(course->end_h[LW_SUPPLY_BATTERY]) ? 0 : -1;
    sum->has_age_end[l] = isinf(course->rubbish_age_h) ? 0 : -1;
    sum->kinds_on[l] = course->kinds_on;
    sum->supply_on[l] = course->is_on[LW_EVENT_SUPPLY_END];
}

/* The lane's courses part in this step: the state is that before it. */
static void part(lw_lanes *x, int step, int l, const lw_state *s)
{
    x->parting[l] = step;
    x->joint_start[l] = *s;
    x->joint[l] = x->own[l];
}

static lw_run run_of(const lw_lanes *x, lw_mode mode, int step, int l)
{
    const int is_common = mode == LW_MODE_OWN && x->parting[l] > step;
    return (lw_run){.context = &x->context,
                    .mode = mode,
                    .tells = is_common || mode == LW_MODE_JOINT,
                    .stop_where_parting = is_common,
                    .last = step + 1,
                    .is_without_flows = 1};
}

/* What lw_step would have noted of this lane's hour, in which all had power. */
static void take_note(const lane_step *k, int l, lw_step_note *note)
{
    const double span_h = k->c->step_h;
    *note = (lw_step_note){
        .lack_vessels = (uint32_t)k->lack_vessels[l],
        .lack_supplies = (uint32_t)k->lack_supplies[l],
        .is_leisure_stopped = k->is_leisure_stopped[l] != 0,
        .is_use_stopped = k->is_use_stopped[l] != 0,
        .span_h = span_h,
        .offset_h = span_h,
        .all_served_h = span_h,
        .part_all_h = span_h,
        .done_h = span_h,
        .floor_h = INFINITY,
        .gas_asked_kg = k->gas_asked_kg[l],
        .panels_wh = k->panels_wh[l],
        .gas_limit_w = k->gas_limit_w[l],
        .furnace_duty = k->furnace_duty[l],
        .inside_min_c = k->inside_min_c[l],
        .inside_max_c = k->inside_max_c[l],
        .set_c = k->hour->heat_set_c,
        .fridge_frac = k->fridge_frac[l],
        .food_warm_h = k->food_warm_h[l],
        .is_hose_freezing = k->is_hose_freezing[l] != 0,
        .is_pipe_freezing = k->is_pipe_freezing[l] != 0,
        .is_gas_over_limit = k->is_gas_over_limit[l] != 0,
        .is_gas_cold = k->is_gas_cold[l] != 0,
    };
}

static void keep_alone(lw_lanes *x, const lane_step *k, int step, int l)
{
    lw_course *course = k->mode == LW_MODE_OWN ? &x->own[l] : &x->joint[l];
    lw_run run = run_of(x, k->mode, step, l);
    const lw_stretch_times at = {.from = 0.0, .to = 1.0, .h = step * k->c->step_h, .dt_h = k->c->step_h};
    lw_state before = x->state[l], s;
    lw_step_note note;
    lw_lane_put(x, l, step);
    take_state(x, l, &before);
    store_state(k, lw_mlane(l), x);
    s = before;
    take_state(x, l, &s);
    take_sums(x, l, course);
    take_note(k, l, &note);
    if (!lw_stretch_keep(&run, step, &at, &before, &s, &note, course)) {
        part(x, step, l, &before);
        run.tells = run.stop_where_parting = 0;
        (void)lw_stretch_keep(&run, step, &at, &before, &s, &note, course);
    }
    give_sums(course, l, x);
}

static void run_alone(lw_lanes *x, lw_mode mode, int step, int l)
{
    lw_course *course = mode == LW_MODE_OWN ? &x->own[l] : &x->joint[l];
    lw_state *s = &x->state[l];
    lw_run run = run_of(x, mode, step, l);
    lw_lane_put(x, l, step);
    take_state(x, l, s);
    take_sums(x, l, course);
    if (lw_run_steps(&run, step, s, course) == step) { /* its courses part in this hour */
        part(x, step, l, s);
        run.tells = run.stop_where_parting = 0;
        (void)lw_run_steps(&run, step, s, course);
    }
    give_sums(course, l, x);
    give_state(s, l, x);
}

/* An hour of the lanes in `of`; returns those for which it is done, the rest go alone. common: of them those whose courses
 * have not parted. What is new in a lane is kept as after a step of its own, from the same note. */
static lw_m run_hour(lw_lanes *x, lw_mode mode, int step, lw_m of, lw_m common)
{
    lane_step k;
    lw_v offset_h = lw_all(0.0);
    const lw_v whole_h = lw_all(x->context.step_h);
    begin_hour(x, mode, step, of, &k);
    for (int n = 0;; n++) {
        const lw_m goes_on = ~k.alone & (lw_m)(offset_h < whole_h * (1.0 - LW_SHORTEST_PART));
        if (!lw_any(goes_on))
            break;
        if (n == PARTS) {
            k.alone |= goes_on;
            break;
        }
        k.offset_h = offset_h;
        run_part(&k, goes_on, lw_choose(goes_on, whole_h - offset_h, whole_h));
        offset_h = lw_choose(goes_on, offset_h + k.span_h, offset_h);
    }
    const lw_m tells = mode == LW_MODE_JOINT ? lw_mall(1) : common;
    lw_m is_new = (lw_m)(k.age_frac >= 1.0) & ~lw_mload(x->sum.has_age_end);
    if (mode == LW_MODE_OWN)
        is_new |= is_ending(&k, &x->sum) | (common & is_parting(&k));
    if (lw_any(tells))
        is_new |= tells & is_told(&k, x);
    const lw_m done = ~k.alone & ~is_new;
    const lw_m is_noted = ~k.alone & is_new & ~k.is_floor & ~(tells & k.is_power_told);
    if (lw_any(is_noted))
        for (int l = 0; l < x->count; l++)
            if (is_noted[l])
                keep_alone(x, &k, step, l);
    store_state(&k, done, x);
    if (step < x->context.departure_step) {
        lw_vkeep(x->sum.gas_asked_kg, done, lw_vload(x->sum.gas_asked_kg) + k.gas_asked_kg);
        lw_vkeep(x->sum.panels_wh, done, lw_vload(x->sum.panels_wh) + k.panels_wh);
        lw_vkeep(x->sum.inside_low_c, done & tells, lw_vleast(k.inside_min_c, lw_vload(x->sum.inside_low_c)));
        lw_vkeep(x->sum.inside_high_c, done & tells, lw_vmost(k.inside_max_c, lw_vload(x->sum.inside_high_c)));
    }
    return done | is_noted;
}

/* ------------------------------------------------------------------ courses */

static void run_step(lw_lanes *x, lw_mode mode, int step, lw_m of, lw_m common)
{
    const int is_cut_up = x->is_one_by_one || x->context.hour[step].transfer_count > 0;
    const lw_m together = is_cut_up ? lw_mall(0) : of & ~lw_mload(x->at.is_cut);
    const lw_m rest = lw_any(together) ? of & ~run_hour(x, mode, step, together, common) : of;
    for (int l = 0; lw_any(rest) && l < x->count; l++)
        if (rest[l])
            run_alone(x, mode, step, l);
}

/* A level as a float falls into one of equal bins; what is above or below, into the last or first. */
static void keep_bins(lw_v level, uint8_t to[LW_MOST_LANES])
{
    const lw_vf at = __builtin_convertvector(level, lw_vf) * (float)LW_LEVEL_BINS;
    const lw_v bin = lw_vmost(lw_vleast(__builtin_convertvector(at, lw_v), lw_all(LW_LEVEL_BINS - 1.0)), lw_all(0.0));
    lw_vbytes(lw_whole(bin), to);
}

static void mark_levels(lw_lanes *x, int mark)
{
    const lw_context *c = &x->context;
    const lw_rig *rig = &c->scenario->rig;
    lw_v sum[LW_SUPPLY_COUNT];
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        sum[k] = lw_all(0.0);
    for (int v = 0; v < rig->vessel_count; v++)
        if (rig->vessel[v].filter_life_l <= 0.0)
            sum[rig->vessel[v].supply] += lw_vload(x->at.level[v]);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (c->capacity[k] > 0.0)
            keep_bins(sum[k] * c->per_capacity[k], x->bin[k][mark]);
    const lw_v frac =
        (lw_vload(x->at.battery_q1_ah) + lw_vload(x->at.battery_q2_ah) - c->battery.empty_ah) * c->battery.per_capacity;
    keep_bins(frac, x->bin[LW_SUPPLY_BATTERY][mark]);
}

static lw_m lanes_to(int count)
{
    lw_m is = {0};
    for (int l = 0; l < count; l++)
        is[l] = -1;
    return is;
}

static void finish(lw_lanes *x, int l, lw_course *course)
{
    take_sums(x, l, course);
    take_state(x, l, &x->state[l]);
    course->last = x->state[l];
}

static void run_joint(lw_lanes *x)
{
    const lw_context *c = &x->context;
    const lw_m all = lanes_to(x->count);
    int first = c->steps, last = 0;
    for (int l = 0; l < x->count; l++) {
        if (x->parting[l] >= c->steps) {
            x->last[l] = 0; /* it is the own course all the way */
            x->joint[l] = x->own[l];
            continue;
        }
        x->last[l] = x->joint_last < 0 ? lw_last_joint_step(c, (int)x->parting[l]) : x->joint_last;
        x->state[l] = x->joint_start[l];
        give_state(&x->state[l], l, x);
        give_sums(&x->joint[l], l, x);
        first = x->parting[l] < first ? (int)x->parting[l] : first;
        last = x->last[l] > last ? (int)x->last[l] : last;
    }
    for (int step = first; step < last; step++) {
        const lw_m of = all & (lw_m)(lw_mload(x->last) > step) & ~(lw_m)(lw_mload(x->parting) > step);
        if (lw_any(of))
            run_step(x, LW_MODE_JOINT, step, of, lw_mall(0));
    }
    for (int l = 0; l < x->count; l++)
        if (x->parting[l] < c->steps)
            finish(x, l, &x->joint[l]);
}

/* ------------------------------------------------------------------ weather */

static lw_v clamp(lw_v x, double low, double high)
{
    return lw_vleast(lw_vmost(x, lw_all(low)), lw_all(high));
}

/* lw_light_at */
static lw_v light_at(const float *of_hour, lw_m knot, lw_v share)
{
    lw_vf low = {0}, high = {0};
    lw_vpick_pair(of_hour, LW_LIGHT_KNOTS, knot, &low, &high);
    return __builtin_convertvector(low, lw_v) + share * __builtin_convertvector(high - low, lw_v);
}

static int has_wind_limit(const lw_rig *rig)
{
    int has = rig->awning_limit_ms > 0.0;
    for (int a = 0; a < rig->array_count; a++)
        has |= rig->array[a].wind_limit_ms > 0.0;
    return has;
}

/* Snow and wind: this lane's arrays in this hour, alone. */
static void cover_alone(const lw_context *c, int h, int l, double snow_mm, const lw_v *effective, const lw_v *total,
                        lw_snow_cover (*cover)[LW_ARRAYS], lw_lane_hour *to)
{
    lw_hour *hour = &c->hour[h]; /* the lanes' own: whoever goes alone puts all of it anew */
    hour->air_c = to->air_c[l], hour->wind_ms = to->wind_ms[l];
    hour->snow_on = hour->wind_over = 0;
    hour->snow_mm = 0.0f;
    lw_awning_wind(c, hour);
    for (int a = 0; a < c->scenario->rig.array_count; a++) {
        lw_array_hour(c, a, h, &(lw_array_light){effective[a][l], total[a][l]}, snow_mm, hour, &cover[l][a]);
        to->panel_w[a][l] = hour->panel_w[a];
        if (hour->panel_w[a] > 0.0)
            to->cell_c[a][l] = hour->cell_c[a];
    }
    to->snow_on[l] = hour->snow_on, to->wind_over[l] = hour->wind_over, to->snow_mm[l] = hour->snow_mm;
    to->is_odd |= (uint8_t)(hour->snow_on | hour->wind_over);
}

static int is_covered(const lw_snow_cover *cover, int arrays)
{
    for (int a = 0; a < arrays; a++)
        if (cover[a].cover_frac > 0.0)
            return 1;
    return 0;
}

/* An array's power and cells under bare glass: lw_array_hour. */
static void lay_array(const lw_context *c, int a, lw_v effective, lw_v total, lw_lane_hour *to)
{
    const lw_array *array = &c->scenario->rig.array[a];
    const lw_cell_line line = lw_cell_line_of((lw_mount)array->mount);
    const lw_v rise = lw_vexp(line.a + line.b * lw_vload(to->wind_ms)) + line.conduction_kpwm2;
    const lw_v cell_c = lw_vload(to->air_c) + total * rise, warm = 1.0 + array->gamma_perk * (cell_c - 25.0);
    const lw_v power_w = lw_vmost(array->rated_w * (1.0 / 1000.0) * effective * warm, lw_all(0.0));
    lw_vstore(to->cell_c[a], cell_c);
    lw_vstore(to->panel_w[a], lw_where((lw_m)(effective > 0.0), power_w));
}

/* lw_weather_hours and what the light makes of it. */
static void lay_weather(lw_lanes *x)
{
    const lw_context *c = &x->context;
    const lw_weather_frame *frame = x->frame;
    const int arrays = c->scenario->rig.array_count, is_windy = has_wind_limit(&c->scenario->rig);
    int is_snowy = 0; /* some lies in some lane */
    lw_snow_cover cover[LW_LANES][LW_ARRAYS];
    memset(cover, 0, sizeof cover);
    for (int h = 0; h < c->steps; h++) {
        const lw_weather_hour *from = &frame->hour[h];
        lw_lane_hour *to = &x->lane_hour[h];
        const lw_v low_c = lw_vload(x->tmin_c[from->low_day]), high_c = lw_vload(x->tmax_c[from->high_day]);
        const lw_v air_c = low_c + (double)from->share * (high_c - low_c) + (double)from->air_off_k;
        const lw_v dew_c = lw_vload(x->tmin_c[from->day]) - frame->day[from->day].dew_below_k;
        const lw_v snow_mm = lw_vload(x->snow_mmph[from->day]);
        lw_v effective[LW_ARRAYS], total[LW_ARRAYS];
        lw_vstore(to->air_c, air_c);
        lw_vstore(to->wind_ms, lw_vload(x->wind_ms[from->day]) * (double)from->wind);
        lw_vstore(to->dew_c, lw_vleast(clamp(dew_c, -45.0, 60.0), clamp(air_c, -45.0, 60.0)));
        memset(to->snow_on, 0, sizeof to->snow_on);
        memset(to->wind_over, 0, sizeof to->wind_over);
        memset(to->snow_mm, 0, sizeof to->snow_mm);
        to->is_odd = 0;
        if (x->is_lit[h]) {
            const size_t table = (size_t)LW_LIGHT_KNOTS * (size_t)c->steps;
            const float *light = x->light + (size_t)h * LW_LIGHT_KNOTS;
            const lw_v clear = clamp(lw_vload(x->clear_frac[from->day]) + (double)from->clear_off,
                                     LW_WEATHER_LEAST_CLEAR_FRAC, LW_WEATHER_MOST_CLEAR_FRAC);
            const lw_v at = clamp(clear * LW_LIGHT_KNOTS_PER_ONE, 0.0, LW_LIGHT_KNOTS - 1.0);
            const lw_m knot = lw_whole(lw_vleast(at, lw_all(LW_LIGHT_KNOTS - 2.0)));
            const lw_v share = at - lw_number(knot);
            lw_vstore(to->sun_gain_w, light_at(light, knot, share));
            for (int a = 0; a < arrays; a++) {
                effective[a] = light_at(light + (size_t)(1 + 2 * a) * table, knot, share);
                total[a] = light_at(light + (size_t)(2 + 2 * a) * table, knot, share);
                lay_array(c, a, effective[a], total[a], to);
            }
        } else {
            memset(to->sun_gain_w, 0, sizeof to->sun_gain_w);
            memset(to->panel_w, 0, (size_t)arrays * sizeof to->panel_w[0]);
            for (int a = 0; a < arrays; a++)
                effective[a] = total[a] = lw_all(0.0);
        }
        if (!is_windy && !is_snowy && !lw_any((lw_m)(snow_mm > LW_LEAST_SNOW_MMPH)))
            continue;
        is_snowy = 0;
        for (int l = 0; l < x->count; l++) {
            if (is_windy || snow_mm[l] > LW_LEAST_SNOW_MMPH || is_covered(cover[l], arrays))
                cover_alone(c, h, l, snow_mm[l], effective, total, cover, to);
            is_snowy |= is_covered(cover[l], arrays);
        }
    }
}

/* lw_sum_uses */
static void sum_uses(lw_lanes *x)
{
    const lw_context *c = &x->context;
    for (int d = 0; d <= c->hour[c->steps - 1].day; d++)
        for (int g = 0; g < LW_GROUP_COUNT; g++)
            for (int l = 0; l < LW_LANES; l++)
                x->factor_of[d][g][l] = (double)x->factor[l < x->count ? l : 0][d][g];
    for (int h = 0; h < c->steps; h++) {
        const lw_hour *hour = &c->hour[h];
        lw_lane_hour *to = &x->lane_hour[h];
        lw_v hot_l = lw_all(0.0), gas_wh = hot_l, pumped_l = hot_l, uses_wh = hot_l;
        for (int i = 0; i < hour->need_count; i++) {
            const lw_need *need = &c->need[hour->need_first + i];
            const lw_v units = lw_vload(x->factor_of[hour->day][need->group]);
            hot_l += units * need->hot_l;
            gas_wh += units * need->gas_wh;
            pumped_l += units * need->pumped_l;
            uses_wh += units * need->uses_wh;
        }
        lw_vstore(to->hot_l, hot_l), lw_vstore(to->gas_wh, gas_wh);
        lw_vstore(to->pumped_l, pumped_l), lw_vstore(to->uses_wh, uses_wh);
    }
}

void LW_LANES_RUN(lw_lanes *x)
{
    const lw_context *c = &x->context;
    const lw_m all = lanes_to(x->count);
    const int mark_steps = LW_MARK_HOURS * c->steps_per_hour;
    lw_state start[LW_LANES];
    memset(&x->at, 0, sizeof x->at);
    x->highest_floor_ah = lw_battery_floor_ah(&c->battery, LW_MILD_C);
    for (int n = 0; n < QUARTERS - 1; n++)
        x->quarter[n] = lw_kibam_phase_of(&c->battery.wells, (n + 1) * c->step_h / QUARTERS);
    if (x->frame)
        lay_weather(x);
    sum_uses(x);
    for (int l = 0; l < x->count; l++) {
        lw_lane_put(x, l, 0);
        lw_state_start(c, &start[l]);
        x->state[l] = start[l];
        x->parting[l] = x->is_own_alone ? 0 : c->steps;
        lw_course_clear(c, &x->own[l]);
        give_state(&start[l], l, x);
        give_sums(&x->own[l], l, x);
    }
    for (int step = 0; step < c->steps; step++) {
        if (step % mark_steps == 0)
            mark_levels(x, step / mark_steps);
        run_step(x, LW_MODE_OWN, step, all, all & (lw_m)(lw_mload(x->parting) > step));
    }
    for (int l = 0; l < x->count; l++)
        finish(x, l, &x->own[l]);
    if (x->is_own_alone)
        return;
    run_joint(x);
    for (int l = 0; l < x->count; l++)
        lw_settle_comfort(c, &start[l], &x->joint[l].comfort);
}
