/* tests/house_table.h: data/habits.csv as habits, for tests of the house room. */
#ifndef LW_TESTS_HOUSE_TABLE_H
#define LW_TESTS_HOUSE_TABLE_H

#include "core/house/habit.h"
#include "tests/words.h"

typedef struct house_table {
    words text;
    lw_habit habit[WORDS_ROWS];
    int count;
} house_table;

#define SECOND(id, word) word,
#define WORDS_OF(list)                                                                                                 \
    {                                                                                                                  \
        list(SECOND)                                                                                                   \
    }
static const char *const ACTIVITY_WORDS[] = WORDS_OF(LW_ACTIVITIES);
static const char *const GROUP_WORDS[] = WORDS_OF(LW_GROUPS);
static const char *const RHYTHM_WORDS[] = WORDS_OF(LW_RHYTHMS);
static const char *const FIXTURE_WORDS[] = WORDS_OF(LW_FIXTURES);
static const char *const FROM_WORDS[] = WORDS_OF(LW_WATER_FROMS);
static const char *const PROFILE_WORDS[] = WORDS_OF(LW_PROFILES);
#undef WORDS_OF
#undef SECOND

static inline int word_in(const house_table *t, int row, const char *column, const char *const *list, size_t count)
{
    return words_index(list, (int)count, words_at(&t->text, row, column), t->text.cell[row][0]);
}

static inline void house_table_row(house_table *t, int row, lw_habit *h)
{
    *h = (lw_habit){0};
    assert_true(strlen(t->text.cell[row][0]) < sizeof h->id);
    strcpy(h->id, t->text.cell[row][0]);
    h->activity = (lw_activity)word_in(t, row, "activity", ACTIVITY_WORDS, COUNT_OF(ACTIVITY_WORDS));
    h->group = (lw_group)word_in(t, row, "group", GROUP_WORDS, COUNT_OF(GROUP_WORDS));
    h->rhythm = (lw_rhythm)word_in(t, row, "rhythm", RHYTHM_WORDS, COUNT_OF(RHYTHM_WORDS));
    h->fixture = (lw_fixture)word_in(t, row, "fixture", FIXTURE_WORDS, COUNT_OF(FIXTURE_WORDS));
    h->water_from = (lw_water_from)word_in(t, row, "water_from", FROM_WORDS, COUNT_OF(FROM_WORDS));
    h->profile = (lw_profile)word_in(t, row, "profile", PROFILE_WORDS, COUNT_OF(PROFILE_WORDS));
    for (size_t i = 0; i < lw_habit_numbers_count; i++) {
        const double value = words_number(&t->text, row, lw_habit_numbers[i].name);
        memcpy((char *)h + lw_habit_numbers[i].offset, &value, sizeof value);
    }
    for (size_t i = 0; i < lw_habit_flags_count; i++) {
        const int value = (int)words_number(&t->text, row, lw_habit_flags[i].name);
        memcpy((char *)h + lw_habit_flags[i].offset, &value, sizeof value);
    }
}

static inline void house_table_open(house_table *t)
{
    words_open(&t->text, "data/habits.csv");
    t->count = t->text.rows - 1;
    for (int i = 0; i < t->count; i++)
        house_table_row(t, i + 1, &t->habit[i]);
}

static inline const lw_habit *habit_named(const house_table *t, const char *id)
{
    return &t->habit[words_row(&t->text, id) - 1];
}

#endif
