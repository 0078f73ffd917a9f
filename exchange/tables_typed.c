#include "exchange/tables_typed.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "text/say.h"

typedef struct row_in {
    const lw_table *table;
    int row;
    lw_err *err;
    lw_code code;
} row_in;

static int word_of(row_in *in, const char *column, const char *const *words, int count)
{
    const char *text = lw_table_cell(in->table, in->row, column);
    for (int i = 0; i < count; i++)
        if (strcmp(words[i], text) == 0)
            return i;
    if (!in->code)
        in->code = lw_fail(in->err, LW_E_SYNTAX, "%.40s, %s: %.40s is no word of that column",
                           lw_table_at(in->table, in->row, 0), column, text);
    return 0;
}

static double number_of(row_in *in, const char *column)
{
    double value = NAN;
    if (!in->code)
        in->code = lw_table_number(in->table, in->row, column, &value, in->err);
    return value;
}

static int whole_of(row_in *in, const char *column)
{
    const double value = number_of(in, column);
    return isnan(value) ? 0 : (int)value;
}

static lw_code say_fault(const row_in *in, const lw_fault *fault)
{
    lw_err own = {0};
    (void)lw_fault_say(fault, &own);
    return lw_fail(in->err, own.code, "%.40s: %s", lw_table_at(in->table, in->row, 0), own.text);
}

#define WORD(id, word) word,
#define WORD_OF(in, column, LIST)                                                                                      \
    word_of(in, column, (const char *const[]){LIST(WORD)},                                                             \
            (int)(sizeof((const char *const[]){LIST(WORD)}) / sizeof(const char *)))

lw_code lw_habit_of_row(const lw_table *habits, int row, lw_habit *habit, lw_err *err)
{
    row_in in = {habits, row, err, LW_OK};
    lw_habit made = {0};
    snprintf(made.id, sizeof made.id, "%.31s", lw_table_cell(habits, row, "id"));
    made.activity = (lw_activity)WORD_OF(&in, "activity", LW_ACTIVITIES);
    made.group = (lw_group)WORD_OF(&in, "group", LW_GROUPS);
    made.rhythm = (lw_rhythm)WORD_OF(&in, "rhythm", LW_RHYTHMS);
    made.fixture = (lw_fixture)WORD_OF(&in, "fixture", LW_FIXTURES);
    made.water_from = (lw_water_from)WORD_OF(&in, "water_from", LW_WATER_FROMS);
    made.profile = (lw_profile)WORD_OF(&in, "profile", LW_PROFILES);
    for (size_t i = 0; i < lw_habit_numbers_count; i++) {
        const double value = number_of(&in, lw_habit_numbers[i].name);
        memcpy((char *)&made + lw_habit_numbers[i].offset, &value, sizeof value);
    }
    for (size_t i = 0; i < lw_habit_flags_count; i++) {
        const int value = whole_of(&in, lw_habit_flags[i].name);
        memcpy((char *)&made + lw_habit_flags[i].offset, &value, sizeof value);
    }
    lw_fault fault;
    if (!in.code && lw_habit_check(&made, &fault))
        in.code = say_fault(&in, &fault);
    if (!in.code)
        *habit = made;
    return in.code;
}

lw_code lw_stay_rule_of_row(const lw_table *rules, int row, lw_stay_rule *rule, lw_err *err)
{
    row_in in = {rules, row, err, LW_OK};
    lw_stay_rule made = {
        .days = whole_of(&in, "days"),
        .window_days = whole_of(&in, "window_days"),
        .consecutive_days = whole_of(&in, "consecutive_days"),
        .year_days = whole_of(&in, "year_days"),
        .site_gap_days = whole_of(&in, "site_gap_days"),
        .second_from = whole_of(&in, "radius2_from"),
        .second_to = whole_of(&in, "radius2_to"),
    };
    const double radius_m = number_of(&in, "radius_m"), second_m = number_of(&in, "radius2_m"),
                 site_m = number_of(&in, "consecutive_m");
    made.radius_m = isnan(radius_m) ? 0.0 : radius_m;
    made.second_radius_m = isnan(second_m) ? 0.0 : second_m;
    made.site_m = isnan(site_m) ? 0.0 : site_m;
    if (*lw_table_cell(rules, row, "reading"))
        made.reading = (lw_stay_reading)WORD_OF(&in, "reading", LW_STAY_READINGS);
    if (*lw_table_cell(rules, row, "counts"))
        made.count = (lw_stay_count)WORD_OF(&in, "counts", LW_STAY_COUNTS);
    lw_fault fault;
    if (!in.code && lw_stay_rule_check(&made, &fault))
        in.code = say_fault(&in, &fault);
    if (!in.code)
        *rule = made;
    return in.code;
}

int lw_caution_is_for(const lw_table *cautions, int row, const char *trigger)
{
    const size_t n = strlen(trigger);
    for (const char *at = lw_table_cell(cautions, row, "triggers"); *at; at += at[0] == ' ') {
        const size_t m = strcspn(at, " ");
        if (m == n && memcmp(at, trigger, n) == 0)
            return 1;
        at += m;
    }
    return 0;
}
