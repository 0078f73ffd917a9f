#include "core/house/habit.h"

#include <math.h>

#define NUMBER(member)                                                                                                 \
    {                                                                                                                  \
#member, offsetof(lw_habit, member)                                                                            \
    }

const lw_habit_column lw_habit_numbers[] = {
    {"rate_adult", offsetof(lw_habit, rate) + LW_BEING_ADULT * sizeof(double)},
    {"rate_teen", offsetof(lw_habit, rate) + LW_BEING_TEEN * sizeof(double)},
    {"rate_child", offsetof(lw_habit, rate) + LW_BEING_CHILD * sizeof(double)},
    {"rate_dog", offsetof(lw_habit, rate) + LW_BEING_DOG * sizeof(double)},
    {"rate_cat", offsetof(lw_habit, rate) + LW_BEING_CAT * sizeof(double)},
    NUMBER(water_l),
    NUMBER(hot_l),
    NUMBER(to_grey_frac),
    NUMBER(to_black_frac),
    NUMBER(to_outdoors_frac),
    NUMBER(gone_frac),
    NUMBER(black_l),
    NUMBER(carry_flushes),
    NUMBER(carry_flush_l),
    NUMBER(rubbish_l),
    NUMBER(rubbish_kg),
    NUMBER(data_gb),
    NUMBER(food_person_days),
    NUMBER(propane_wh),
    NUMBER(dc_wh),
    NUMBER(minutes),
};
const size_t lw_habit_numbers_count = sizeof lw_habit_numbers / sizeof lw_habit_numbers[0];

const lw_habit_column lw_habit_flags[] = {NUMBER(needs_pump), NUMBER(is_leisure_data)};
const size_t lw_habit_flags_count = sizeof lw_habit_flags / sizeof lw_habit_flags[0];

/* Parts of a day in each civil hour, scaled to sum to 1 when they are asked for. Common practice, no source. */
static const unsigned char PARTS[LW_PROFILE_COUNT][24] = {
    [LW_PROFILE_MEALS] = {[7] = 12, [8] = 13, [12] = 14, [13] = 11, [17] = 6, [18] = 20, [19] = 16, [20] = 8},
    [LW_PROFILE_MORNING] = {[6] = 15, [7] = 35, [8] = 30, [9] = 15, [10] = 5},
    [LW_PROFILE_EVENING] = {[17] = 8, [18] = 12, [19] = 20, [20] = 25, [21] = 22, [22] = 13},
    [LW_PROFILE_SPREAD] = {1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1},
    [LW_PROFILE_WAKING] = {0, 0, 0, 0, 0, 0, 1, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 1, 0},
    [LW_PROFILE_TEETH] = {[6] = 10, [7] = 25, [8] = 15, [20] = 10, [21] = 25, [22] = 15},
    [LW_PROFILE_TOILET] = {1, 1, 1, 1, 1, 2, 5, 9, 8, 5, 4, 4, 4, 4, 4, 4, 4, 4, 5, 5, 5, 6, 6, 3},
};

void lw_profile_weights(lw_profile profile, double weight[24])
{
    double sum = 0.0;
    for (int hour = 0; hour < 24; hour++)
        sum += PARTS[profile][hour];
    for (int hour = 0; hour < 24; hour++)
        weight[hour] = PARTS[profile][hour] / sum;
}

/* A unit of anything beyond these is a slip of a decimal or a unit, not a habit. */
static lw_code check_amounts(const lw_habit *h, lw_fault *fault)
{
    const lw_want wants[] = {
        {"habit.water_l", h->water_l, 0.0, 1000.0},
        {"habit.hot_l", h->hot_l, 0.0, h->water_l},
        {"habit.to_grey_frac", h->to_grey_frac, 0.0, 1.0},
        {"habit.to_black_frac", h->to_black_frac, 0.0, 1.0},
        {"habit.to_outdoors_frac", h->to_outdoors_frac, 0.0, 1.0},
        {"habit.gone_frac", h->gone_frac, 0.0, 1.0},
        {"habit.black_l", h->black_l, 0.0, 20.0},
        {"habit.carry_flushes", h->carry_flushes, 0.0, h->activity == LW_ACTIVITY_PAPER ? 50.0 : 0.0},
        {"habit.carry_flush_l", h->carry_flush_l, 0.0, h->activity == LW_ACTIVITY_PAPER ? 20.0 : 0.0},
        {"habit.rubbish_l", h->rubbish_l, 0.0, 200.0},
        {"habit.rubbish_kg", h->rubbish_kg, 0.0, 100.0},
        {"habit.data_gb", h->data_gb, 0.0, 100.0},
        {"habit.food_person_days", h->food_person_days, 0.0, 10.0},
        {"habit.propane_wh", h->propane_wh, 0.0, 50000.0},
        {"habit.dc_wh", h->dc_wh, 0.0, 20000.0},
        {"habit.minutes", h->minutes, 0.0, 1440.0},
    };
    return lw_want_all(fault, LW_WANTS(wants));
}

static lw_code check_words(const lw_habit *h, lw_fault *fault)
{
    const lw_want wants[] = {
        {"habit.activity", (int)h->activity, 0.0, LW_ACTIVITY_COUNT - 1},
        {"habit.group", (int)h->group, 0.0, LW_GROUP_COUNT - 1},
        {"habit.rhythm", (int)h->rhythm, 0.0, LW_RHYTHM_SCHOOL},
        {"habit.fixture", (int)h->fixture, 0.0, LW_FIXTURE_COUNT - 1},
        {"habit.profile", (int)h->profile, 0.0, LW_PROFILE_COUNT - 1},
        {"habit.water_from", (int)h->water_from, 0.0, LW_WATER_FROM_COUNT - 1},
    };
    return lw_want_all(fault, LW_WANTS(wants));
}

/* Effects a use made of this row can have at most: drawn water, its ways, and each thing besides. */
static int effects_at_most(const lw_habit *h)
{
    const int has_water = h->water_l > 0.0;
    const int to_tanks = (has_water && h->to_black_frac > 0.0) || h->black_l > 0.0;
    /* a dry toilet parts urine from solids, a bag makes rubbish of both */
    const int parted = h->activity == LW_ACTIVITY_EXCRETA;
    return has_water * (1 + (h->water_from == LW_WATER_FROM_FILTER) + (h->to_grey_frac > 0.0) +
                        (h->to_outdoors_frac > 0.0) + (h->gone_frac > 0.0)) +
           to_tanks + parted + (h->rubbish_l > 0.0) + (h->data_gb > 0.0) + (h->food_person_days > 0.0) +
           (h->propane_wh > 0.0) + (h->dc_wh > 0.0);
}

lw_code lw_habit_check(const lw_habit *habit, lw_fault *fault)
{
    lw_code bad = check_words(habit, fault);
    if (!bad)
        bad = check_amounts(habit, fault);
    for (int being = 0; being < LW_BEING_COUNT && !bad; being++)
        bad = lw_want_range(fault, "habit.rate", habit->rate[being], 0.0, 1000.0);
    if (bad)
        return bad;
    const double sum = habit->to_grey_frac + habit->to_black_frac + habit->to_outdoors_frac + habit->gone_frac;
    if (!(fabs(sum - 1.0) <= 1e-12)) /* a few roundings of decimal shares */
        bad = lw_want_range(fault, "habit.to_grey_frac + to_black_frac + to_outdoors_frac + gone_frac", sum, 1.0, 1.0);
    else if (habit->to_outdoors_frac > 0.0 && (habit->to_black_frac > 0.0 || habit->fixture == LW_FIXTURE_TOILET)) {
        *fault = (lw_fault){.code = LW_E_CONFLICT, .field = "habit.to_outdoors_frac", .value = habit->to_outdoors_frac};
        bad = LW_E_CONFLICT;
    } else if (habit->water_l > 0.0 && habit->black_l > 0.0) {
        *fault = (lw_fault){.code = LW_E_CONFLICT, .field = "habit.black_l", .value = habit->black_l};
        bad = LW_E_CONFLICT;
    } else if (effects_at_most(habit) > LW_EFFECTS) {
        *fault = (lw_fault){
            .code = LW_E_FULL, .field = "habit.effects", .value = effects_at_most(habit), .high = LW_EFFECTS};
        bad = LW_E_FULL;
    }
    return bad;
}
