/* service/outlook_csv.h: the hourly course of an outlook as CSV, one row an hour, headers with their unit.
 *
 * Columns   utc and civil time at which the hour begins, its weather, levels at its end, its flows: weather, sun on panels, levels by vessel, battery, cabin and bay, generator, loads, unmet,
 *           propane by use. The joint course: what happens, shortages included. A name of a vessel becomes its header in
 *           lower case with '_' for what is not a letter or digit, its number where two would be alike.
 * Errors    LW_E_MISSING the answer holds no hourly rows; LW_E_IO from the sink. A closed receiver stops the work. */
#ifndef LW_SERVICE_OUTLOOK_CSV_H
#define LW_SERVICE_OUTLOOK_CSV_H

#include "service/outlook.h"
#include "service/sink.h"

LW_MUST_USE lw_code lw_outlook_csv(const lw_outlook_answer *answer, lw_sink *sink, lw_err *err);

#endif
