#include "exchange/climate.h"

#include <stdio.h>

#include "text/decimal.h"
#include "text/quantity.h"
#include "text/say.h"

/* Figures of the fit's own check: data/climate/, core/sky/climate.h. */
static const double HIGHEST_M = 2807.0, POOL_K = 3.6, POOL_WORST_K = 9.4;

static char *step(char *buf, size_t n, double kelvin, lw_unit_system units)
{
    return lw_quantity_print_in(buf, n, kelvin, lw_quantity_unit(kelvin, LW_DIM_TEMPERATURE_STEP, units), 2);
}

/* Heights are told in feet or metres, never in miles. */
static char *height(char *buf, size_t n, double metres, lw_unit_system units)
{
    return lw_quantity_print_in(buf, n, metres, lw_quantity_unit(100.0, LW_DIM_LENGTH, units), 4);
}

int lw_climate_doubts_say(unsigned doubts, lw_unit_system units, char sentence[LW_CLIMATE_DOUBTS][LW_CLIMATE_SENTENCE])
{
    char a[LW_QUANTITY_BYTES], b[LW_QUANTITY_BYTES];
    int count = 0;
    if (doubts & LW_CLIMATE_COLD_POOL)
        snprintf(sentence[count++], LW_CLIMATE_SENTENCE,
                 "cold pools are not in the climate: on winter nights a basin or valley floor is colder than said; of "
                 "stations "
                 "this high one in twenty by more than %s in the mean of December to February, the worst by %s",
                 step(a, sizeof a, POOL_K, units), step(b, sizeof b, POOL_WORST_K, units));
    if (doubts & LW_CLIMATE_HIGH)
        snprintf(
            sentence[count++], LW_CLIMATE_SENTENCE,
            "the place lies above the highest station of the climate (%s); its air is carried on upwards from below",
            height(a, sizeof a, HIGHEST_M, units));
    if (doubts & LW_CLIMATE_FEW_NORTH)
        snprintf(
            sentence[count++], LW_CLIMATE_SENTENCE,
            "in Canada highs and lows rest on eight stations, and all else is carried on from south of the border");
    if (doubts & LW_CLIMATE_ROUGH_NORTH)
        snprintf(sentence[count++], LW_CLIMATE_SENTENCE,
                 "Alaska's climate is rough here: few stations, steep differences");
    if (doubts & LW_CLIMATE_SOUTH)
        snprintf(sentence[count++], LW_CLIMATE_SENTENCE,
                 "no station of the climate stands this far south: it is carried on from north of the border");
    return count;
}

lw_code lw_climate_refuse(const lw_fault *fault, lw_unit_system units, lw_err *err)
{
    const int is_height = fault->field[0] == 'e',
              is_latitude = fault->field[1] == 'a'; /* elevation, latitude, longitude */
    char value[LW_QUANTITY_BYTES], low[LW_QUANTITY_BYTES], high[LW_QUANTITY_BYTES];
    if (is_height) {
        height(value, sizeof value, fault->value, units);
        height(low, sizeof low, fault->low, units);
        height(high, sizeof high, fault->high, units);
    } else {
        lw_decimal_print(value, sizeof value, fault->value, 4, 0);
        lw_decimal_print(low, sizeof low, fault->low, 4, 0);
        lw_decimal_print(high, sizeof high, fault->high, 4, 0);
    }
    return lw_fail(err, LW_E_RANGE, "the climate of North America holds for %s from %s to %s, not for %s",
                   is_height     ? "elevations"
                   : is_latitude ? "latitudes"
                                 : "longitudes",
                   low, high, value);
}
