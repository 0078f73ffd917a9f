#include "core/house/house.h"

#include <math.h>
#include <string.h>

_Static_assert(LW_USES <= 64, "one bit per choice in lw_house_out");

/* What one unit of a use moves, before it becomes effects. */
typedef struct flows {
    double drawn_l, grey_l, black_l, outdoors_l, gone_l, urine_l, solids_l, rubbish_l;
    int is_kept_off_ground, is_to_rubbish;
} flows;

lw_house_choice lw_house_choice_of(const lw_habit *habit)
{
    const double unset = (double)NAN;
    return (lw_house_choice){
        .habit = habit, .rate = unset, .every_days = unset, .water_l = unset, .rubbish_l = unset, .data_gb = unset};
}

lw_toilet lw_toilet_of(lw_toilet_kind kind)
{
    /* a scoop of cover material a visit; an approved bag with its powder; both from memory */
    return (lw_toilet){.kind = kind, .urine_vessel = -1, .solids_vessel = -1, .cover_l = 0.15, .bag_l = 0.5};
}

static int is_toilet(lw_activity activity)
{
    return activity == LW_ACTIVITY_EXCRETA || activity == LW_ACTIVITY_FLUSH || activity == LW_ACTIVITY_PAPER;
}

static int has_bowl(const lw_toilet *toilet)
{
    return toilet->kind == LW_TOILET_FLUSH || toilet->kind == LW_TOILET_CASSETTE;
}

static lw_code refuse(lw_fault *fault, lw_code code, const char *field, double value)
{
    *fault = (lw_fault){.code = code, .field = field, .value = value};
    return code;
}

static lw_code want_unset_or(lw_fault *fault, const char *field, double value, double low, double high)
{
    return isnan(value) ? LW_OK : lw_want_range(fault, field, value, low, high);
}

static lw_code check_choice(const lw_house_choice *c, const lw_toilet *toilet, int person_count, lw_fault *fault)
{
    if (!c->habit)
        return refuse(fault, LW_E_MISSING, "choice.habit", 0.0);
    lw_code bad = lw_habit_check(c->habit, fault);
    if (!bad)
        bad = want_unset_or(fault, "choice.rate", c->rate, 0.0, 1000.0);
    if (!bad)
        bad = want_unset_or(fault, "choice.every_days", c->every_days, 0.01, 1000.0);
    if (!bad)
        bad = want_unset_or(fault, "choice.water_l", c->water_l, 0.0, 1000.0);
    if (!bad)
        bad = want_unset_or(fault, "choice.rubbish_l", c->rubbish_l, 0.0, 200.0);
    if (!bad)
        bad = want_unset_or(fault, "choice.data_gb", c->data_gb, 0.0, 100.0);
    if (!bad)
        bad = lw_want_range(fault, "choice.people", c->people, 0.0, (double)((UINT64_C(1) << person_count) - 1));
    if (bad)
        return bad;
    if (!isnan(c->rate) && !isnan(c->every_days))
        return refuse(fault, LW_E_CONFLICT, "choice.every_days", c->every_days);
    /* a row that moves no water, rubbish or data has no ways for them either */
    if (c->water_l > 0.0 && !(c->habit->water_l > 0.0))
        return refuse(fault, LW_E_CONFLICT, "choice.water_l", c->water_l);
    if (c->rubbish_l > 0.0 && !(c->habit->rubbish_l > 0.0))
        return refuse(fault, LW_E_CONFLICT, "choice.rubbish_l", c->rubbish_l);
    if (c->data_gb > 0.0 && !(c->habit->data_gb > 0.0))
        return refuse(fault, LW_E_CONFLICT, "choice.data_gb", c->data_gb);
    if (c->habit->activity == LW_ACTIVITY_FLUSH && !has_bowl(toilet))
        return refuse(fault, LW_E_CONFLICT, "choice.flush", (double)toilet->kind);
    if (is_toilet(c->habit->activity) && toilet->kind == LW_TOILET_NONE)
        return refuse(fault, LW_E_CONFLICT, "choice.toilet", (double)toilet->kind);
    return LW_OK;
}

static lw_code check_toilet(const lw_toilet *toilet, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "toilet.kind", (double)toilet->kind, 0.0, LW_TOILET_COUNT - 1);
    if (bad || toilet->kind == LW_TOILET_NONE || toilet->kind == LW_TOILET_FLUSH || toilet->kind == LW_TOILET_CASSETTE)
        return bad;
    if (toilet->kind == LW_TOILET_BAG)
        return lw_want_range(fault, "toilet.bag_l", toilet->bag_l, 0.0, 20.0);
    if (toilet->urine_vessel < 0)
        return refuse(fault, LW_E_MISSING, "toilet.urine_vessel", toilet->urine_vessel);
    if (toilet->solids_vessel < 0)
        return refuse(fault, LW_E_MISSING, "toilet.solids_vessel", toilet->solids_vessel);
    bad = lw_want_range(fault, "toilet.urine_vessel", toilet->urine_vessel, 0.0, LW_VESSELS - 1);
    if (!bad)
        bad = lw_want_range(fault, "toilet.solids_vessel", toilet->solids_vessel, 0.0, LW_VESSELS - 1);
    return bad ? bad : lw_want_range(fault, "toilet.cover_l", toilet->cover_l, 0.0, 20.0);
}

lw_code lw_house_check(const lw_house_in *in, const lw_crew *crew, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "crew.person_count", crew->person_count, 0.0, LW_PEOPLE);
    if (!bad)
        bad = lw_want_range(fault, "choice_count", in->choice_count, 0.0, INT32_MAX);
    if (!bad && in->choice_count > LW_USES) {
        *fault = (lw_fault){.code = LW_E_FULL, .field = "choice_count", .value = in->choice_count, .high = LW_USES};
        return LW_E_FULL;
    }
    if (!bad)
        bad = lw_want_range(fault, "outdoor_water", (double)in->outdoor_water, 0.0, LW_PERMISSION_UNKNOWN);
    if (!bad)
        bad = lw_want_range(fault, "filter_vessel", in->filter_vessel, -1.0, LW_VESSELS - 1);
    if (!bad)
        bad = check_toilet(&in->toilet, fault);
    for (int i = 0; i < crew->person_count && !bad; i++) {
        bad = lw_want_range(fault, "person.toilet_here_frac", crew->person[i].toilet_here_frac, 0.0, 1.0);
        if (!bad)
            bad = lw_want_range(fault, "person.being", (double)crew->person[i].being, 0.0, LW_BEING_COUNT - 1);
    }
    int uses = in->choice_count;
    for (int i = 0; i < in->choice_count && !bad; i++) {
        bad = check_choice(&in->choice[i], &in->toilet, crew->person_count, fault);
        uses += !bad && in->choice[i].habit->carry_flushes > 0.0;
    }
    if (!bad && uses > LW_USES) {
        *fault = (lw_fault){.code = LW_E_FULL, .field = "choice_count", .value = uses, .high = LW_USES};
        bad = LW_E_FULL;
    }
    return bad;
}

static int is_for(const lw_house_choice *c, int person)
{
    return !c->people || (c->people >> person & 1u);
}

static double water_of(const lw_house_choice *c)
{
    return isnan(c->water_l) ? c->habit->water_l : c->water_l;
}

/* Excreta and paper of a unit into what this toilet has for them. */
static void into_toilet(const lw_habit *h, const lw_toilet *toilet, flows *f)
{
    const int is_excreta = h->activity == LW_ACTIVITY_EXCRETA;
    switch (toilet->kind) {
    case LW_TOILET_DRY:
        f->urine_l = is_excreta ? h->black_l * LW_URINE_L / (LW_URINE_L + LW_FAECES_L) : 0.0;
        f->solids_l = is_excreta ? h->black_l * LW_FAECES_L / (LW_URINE_L + LW_FAECES_L) + toilet->cover_l : h->black_l;
        break;
    case LW_TOILET_BAG:
        f->rubbish_l += h->black_l + (is_excreta ? toilet->bag_l : 0.0);
        f->is_to_rubbish = h->black_l > 0.0;
        break;
    case LW_TOILET_NONE:
    case LW_TOILET_FLUSH:
    case LW_TOILET_CASSETTE:
    default:
        f->black_l += h->black_l;
        break;
    }
}

static flows flows_of(const lw_house_in *in, const lw_house_choice *c)
{
    const lw_habit *h = c->habit;
    const double water_l = water_of(c);
    flows f = {
        .drawn_l = water_l,
        .grey_l = water_l * h->to_grey_frac,
        .black_l = water_l * h->to_black_frac,
        .outdoors_l = water_l * h->to_outdoors_frac,
        .gone_l = water_l * h->gone_frac,
        .rubbish_l = isnan(c->rubbish_l) ? h->rubbish_l : c->rubbish_l,
    };
    if (f.outdoors_l > 0.0 && in->outdoor_water != LW_PERMISSION_YES) {
        f.grey_l += f.outdoors_l;
        f.outdoors_l = 0.0;
        f.is_kept_off_ground = 1;
    }
    into_toilet(h, &in->toilet, &f);
    return f;
}

static void add(lw_use *use, lw_effect_kind kind, int at, double amount)
{
    if (amount != 0.0 &&
        use->effect_count < LW_EFFECTS) /* the check has counted them: the bound is for readers of code */
        use->effect[use->effect_count++] = (lw_effect){.kind = kind, .at = at, .amount = amount};
}

static void set_effects(const lw_house_in *in, const lw_house_choice *c, const flows *f, lw_use *use)
{
    const lw_habit *h = c->habit;
    const int is_bottled = h->water_from == LW_WATER_FROM_DRINKING;
    add(use, LW_EFFECT_SUPPLY, is_bottled ? LW_SUPPLY_DRINKING : LW_SUPPLY_FRESH, -f->drawn_l);
    if (h->water_from == LW_WATER_FROM_FILTER && in->filter_vessel >= 0)
        add(use, LW_EFFECT_VESSEL, in->filter_vessel, -f->drawn_l);
    add(use, LW_EFFECT_SUPPLY, LW_SUPPLY_GREY, f->grey_l);
    add(use, LW_EFFECT_SUPPLY, LW_SUPPLY_BLACK, f->black_l);
    add(use, LW_EFFECT_OUTDOORS_L, 0, f->outdoors_l);
    add(use, LW_EFFECT_GONE_L, 0, f->gone_l);
    add(use, LW_EFFECT_VESSEL, in->toilet.urine_vessel, f->urine_l);
    add(use, LW_EFFECT_VESSEL, in->toilet.solids_vessel, f->solids_l);
    add(use, LW_EFFECT_SUPPLY, LW_SUPPLY_RUBBISH, f->rubbish_l);
    add(use, LW_EFFECT_SUPPLY, LW_SUPPLY_DATA, -(isnan(c->data_gb) ? h->data_gb : c->data_gb));
    add(use, LW_EFFECT_SUPPLY, LW_SUPPLY_FOOD, -h->food_person_days);
    add(use, LW_EFFECT_PROPANE_W, 0, h->propane_wh);
    add(use, LW_EFFECT_DC_WH, 0, h->dc_wh);
}

/* The table's rate of the first kind of being that has one: what an override of the rate is measured against. */
static double first_rate(const lw_habit *h)
{
    for (int being = 0; being < LW_BEING_COUNT; being++)
        if (h->rate[being] > 0.0)
            return h->rate[being];
    return 0.0;
}

static double rate_of(const lw_house_choice *c, lw_being being)
{
    const double table = c->habit->rate[being];
    if (isnan(c->rate) && isnan(c->every_days))
        return table;
    const double wanted = isnan(c->rate) ? 1.0 / c->every_days : c->rate;
    const double first = first_rate(c->habit);
    if (first > 0.0)
        return table / first * wanted;
    return being <= LW_BEING_CHILD ? wanted : 0.0; /* a row of zeros ("none") that somebody does after all */
}

static void set_rates(const lw_house_choice *c, const lw_crew *crew, lw_use *use)
{
    if (c->habit->rhythm == LW_RHYTHM_CAMP) {
        use->rate[0] = rate_of(c, LW_BEING_ADULT);
        return;
    }
    for (int i = 0; i < crew->person_count; i++) {
        const lw_person *person = &crew->person[i];
        if (!is_for(c, i))
            continue;
        const double here_frac = is_toilet(c->habit->activity) ? person->toilet_here_frac : 1.0;
        use->rate[i] = rate_of(c, person->being) * here_frac;
    }
}

static void make_use(const lw_house_in *in, const lw_house_choice *c, const flows *f, const lw_crew *crew, lw_use *use)
{
    const lw_habit *h = c->habit;
    *use = (lw_use){
        .group = h->group,
        .rhythm = h->rhythm,
        /* water kept off the ground is carried in and poured where a drain is */
        .fixture = f->is_kept_off_ground ? LW_FIXTURE_SHOWER : h->fixture,
        .needs_pump = h->needs_pump,
        .is_leisure_data = h->is_leisure_data,
    };
    use->is_stopped_by_rubbish_in_shower = f->drawn_l > 0.0 && use->fixture == LW_FIXTURE_SHOWER;
    memcpy(use->name, h->id, sizeof use->name);
    /* the hot share of a unit stays when its litres are changed */
    use->hot_l = h->water_l > 0.0 ? f->drawn_l * (h->hot_l / h->water_l) : 0.0;
    lw_profile_weights(h->profile, use->weight);
    set_rates(c, crew, use);
    set_effects(in, c, f, use);
}

/* How a person flushes; NULL: not at all. */
static const lw_house_choice *flush_of(const lw_house_in *in, int person)
{
    for (int i = 0; i < in->choice_count; i++)
        if (in->choice[i].habit->activity == LW_ACTIVITY_FLUSH && is_for(&in->choice[i], person))
            return &in->choice[i];
    return NULL;
}

/* The water that flushes are lengthened by to carry this paper. 0: there is no such need. */
static int make_carry(const lw_house_in *in, const lw_house_choice *paper, const lw_crew *crew, lw_use *use)
{
    const lw_habit *h = paper->habit;
    int is_needed = 0;
    *use = (lw_use){.name = "flush-for-paper", .group = h->group, .rhythm = LW_RHYTHM_PERSON, .fixture = h->fixture};
    lw_profile_weights(h->profile, use->weight);
    add(use, LW_EFFECT_SUPPLY, LW_SUPPLY_FRESH, -1.0);
    add(use, LW_EFFECT_SUPPLY, LW_SUPPLY_BLACK, 1.0);
    for (int i = 0; i < crew->person_count && has_bowl(&in->toilet) && h->rhythm == LW_RHYTHM_PERSON; i++) {
        const lw_house_choice *flush = is_for(paper, i) ? flush_of(in, i) : NULL;
        const double lack_l = flush ? h->carry_flush_l - water_of(flush) : 0.0;
        if (!(lack_l > 0.0))
            continue;
        const lw_person *person = &crew->person[i];
        use->rate[i] = rate_of(paper, person->being) * person->toilet_here_frac * h->carry_flushes * lack_l;
        use->needs_pump |= flush->habit->needs_pump;
        is_needed |= use->rate[i] > 0.0;
    }
    return is_needed;
}

void lw_house_make(const lw_house_in *in, lw_crew *crew, lw_house_out *out)
{
    *out = (lw_house_out){0};
    for (int i = 0; i < in->choice_count; i++) {
        const flows f = flows_of(in, &in->choice[i]);
        make_use(in, &in->choice[i], &f, crew, &crew->use[i]);
        out->kept_off_ground |= (uint64_t)f.is_kept_off_ground << i;
        out->to_rubbish |= (uint64_t)f.is_to_rubbish << i;
    }
    crew->use_count = in->choice_count;
    for (int i = 0; i < in->choice_count; i++)
        if (in->choice[i].habit->carry_flushes > 0.0)
            crew->use_count += make_carry(in, &in->choice[i], crew, &crew->use[crew->use_count]);
}

static int bits_of(uint32_t word)
{
    int count = 0;
    for (; word; word &= word - 1)
        count++;
    return count;
}

/* Hours a day, as the mean of a week, that a mask holds for a person in camp. */
static double hours_perday(const uint32_t mask[7], const uint32_t away[7])
{
    int hours = 0;
    for (int day = 0; day < 7; day++)
        hours += bits_of(mask[day] & ~away[day] & 0xFFFFFFu);
    return hours / 7.0;
}

static double units_perday(const lw_use *use, const lw_crew *crew, int i)
{
    const lw_person *person = &crew->person[i];
    switch (use->rhythm) {
    case LW_RHYTHM_WORK:
        return use->rate[i] * hours_perday(person->work, person->away);
    case LW_RHYTHM_SCHOOL:
        return use->rate[i] * hours_perday(person->school, person->away);
    case LW_RHYTHM_CAMP:
        return 0.0;
    case LW_RHYTHM_PERSON:
    default:
        return use->rate[i];
    }
}

static void add_supply(lw_house_day *day, int supply, double amount)
{
    switch (supply) {
    case LW_SUPPLY_FRESH:
        day->fresh_l -= amount;
        break;
    case LW_SUPPLY_DRINKING:
        day->drinking_l -= amount;
        break;
    case LW_SUPPLY_GREY:
        day->grey_l += amount;
        break;
    case LW_SUPPLY_BLACK:
        day->black_l += amount;
        break;
    case LW_SUPPLY_RUBBISH:
        day->rubbish_l += amount;
        break;
    case LW_SUPPLY_DATA:
        day->data_gb -= amount;
        break;
    case LW_SUPPLY_FOOD:
        day->food_person_days -= amount;
        break;
    default:
        break;
    }
}

static void add_units(lw_house_day *day, const lw_use *use, double units)
{
    day->hot_l += units * use->hot_l;
    for (int i = 0; i < use->effect_count; i++) {
        const double amount = units * use->effect[i].amount;
        switch (use->effect[i].kind) {
        case LW_EFFECT_SUPPLY:
            add_supply(day, use->effect[i].at, amount);
            break;
        case LW_EFFECT_VESSEL: /* into the vessels of a dry toilet; out of a filter's cartridge is no water of its own */
            day->black_l += amount > 0.0 ? amount : 0.0;
            break;
        case LW_EFFECT_OUTDOORS_L:
            day->outdoors_l += amount;
            break;
        case LW_EFFECT_GONE_L:
            day->gone_l += amount;
            break;
        case LW_EFFECT_PROPANE_W:
            day->propane_wh += amount;
            break;
        case LW_EFFECT_DC_WH:
            day->dc_wh += amount;
            break;
        default:
            break;
        }
    }
}

void lw_house_daily(const lw_crew *crew, int person, lw_house_day *day)
{
    *day = (lw_house_day){0};
    for (int u = 0; u < crew->use_count; u++) {
        const lw_use *use = &crew->use[u];
        double units = person < 0 && use->rhythm == LW_RHYTHM_CAMP ? use->rate[0] : 0.0;
        for (int i = 0; i < crew->person_count; i++) {
            const int is_guest = crew->person[i].guest.to_s > crew->person[i].guest.from_s;
            if (person < 0 ? !is_guest : i == person)
                units += units_perday(use, crew, i);
        }
        add_units(day, use, units);
    }
}
