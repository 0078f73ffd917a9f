/* exchange/tables_typed.h: rows of data/ as the core's structs.
 *
 * Errors    LW_E_SYNTAX a word or number that is none; LW_E_RANGE, LW_E_CONFLICT what the core refuses, with the row's id. */
#ifndef LW_EXCHANGE_TABLES_TYPED_H
#define LW_EXCHANGE_TABLES_TYPED_H

#include "core/house/habit.h"
#include "core/land/stay_rule.h"
#include "exchange/tables.h"

LW_MUST_USE lw_code lw_habit_of_row(const lw_table *habits, int row, lw_habit *habit, lw_err *err);
LW_MUST_USE lw_code lw_stay_rule_of_row(const lw_table *rules, int row, lw_stay_rule *rule, lw_err *err);

/* A caution's trigger words are separated by blanks: is `trigger` among those of this row. */
int lw_caution_is_for(const lw_table *cautions, int row, const char *trigger);

#endif
