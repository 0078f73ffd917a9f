/* exchange/climate.h: what the climate model (core/sky/climate.h) has to say, in words.
 *
 * lw_climate_doubts_say   a sentence for each doubt of lw_climate_doubts, in the units asked for; gives how many.
 * lw_climate_refuse       why there is no climate for a place, and what to do. Gives its code. */
#ifndef LW_EXCHANGE_CLIMATE_H
#define LW_EXCHANGE_CLIMATE_H

#include "core/base/units.h"
#include "core/sky/climate.h"

enum { LW_CLIMATE_DOUBTS = 5, LW_CLIMATE_SENTENCE = 256 };

int lw_climate_doubts_say(unsigned doubts, lw_unit_system units, char sentence[LW_CLIMATE_DOUBTS][LW_CLIMATE_SENTENCE]);

lw_code lw_climate_refuse(const lw_fault *fault, lw_unit_system units, lw_err *err);

#endif
