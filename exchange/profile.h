/* exchange/profile.h: the ground under a radio path, from a table.
 *
 * Reads     CSV (exchange/csv.h) with the columns d_km and h_m and, where it has them, clutter_m and zone (1 sea, 3 coast,
 *           4 inland); others are passed over, lines that begin with '#' too.
 * Results   a profile that lw_profile_check has passed; its arrays live until lw_profile_file_clear.
 * Errors    LW_E_MISSING no such file or column, LW_E_SYNTAX no number, LW_E_FULL too many points, and those of the check:
 *           one sentence with file, line and column. Nothing is kept then. */
#ifndef LW_EXCHANGE_PROFILE_H
#define LW_EXCHANGE_PROFILE_H

#include "core/land/profile.h"

typedef struct lw_profile_file {
    lw_profile profile;
    double *numbers; /* behind the profile's arrays */
    unsigned char *zones;
} lw_profile_file;

LW_MUST_USE lw_code lw_profile_load(const char *path, lw_profile_file *out, lw_err *err);
void lw_profile_file_clear(lw_profile_file *file);

#endif
