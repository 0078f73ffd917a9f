/* text/spot_typed.h: a spot as it is typed: "38.2,-111.1", "38.2 N, 111.1 W". */
#ifndef LW_TEXT_SPOT_TYPED_H
#define LW_TEXT_SPOT_TYPED_H

#include "core/land/distance.h"

int lw_spot_typed(const char *text, lw_spot *spot); /* 0: it is none */

#endif
