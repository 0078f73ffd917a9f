/* service/rhythm_internal.h: what the parts of service/rhythm share. */
#ifndef LW_SERVICE_RHYTHM_INTERNAL_H
#define LW_SERVICE_RHYTHM_INTERNAL_H

#include "service/rhythm.h"

/* rhythm_say.c: texts of a rhythm whose figures are there. */
void lw_rhythm_say(const lw_loaded *loaded, const lw_errands *errands, int is_page, lw_long_stay *rhythm);

#endif
