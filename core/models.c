#include "core/models.h"

/* One list a room, in the order shown to people: a room adds its tables on its own line. */
#define LW_SKY_MODELS(X)                                                                                               \
    X(sun) X(sun_events) X(clear_sky) X(split) X(plane) X(glass) X(air) X(climate) X(cloud) X(snowfall) X(snow_cover)
#define LW_POWER_MODELS(X)                                                                                             \
    X(cell)                                                                                                            \
    X(battery)                                                                                                         \
    X(kibam)                                                                                                           \
    X(peukert) X(rest_voltage) X(battery_size) X(wire) X(inverter) X(charger) X(controller) X(generator) X(noise)
#define LW_HEAT_MODELS(X)                                                                                              \
    X(fridge)                                                                                                          \
    X(water_heater)                                                                                                    \
    X(freeze)                                                                                                          \
    X(wind_chill)                                                                                                      \
    X(heat_index) X(ice) X(food_clock) X(cabin) X(heat_need) X(propane) X(propane_limit) X(cylinder) X(burner)
#define LW_HOUSE_MODELS(X) X(black_tank) X(water_use) X(rubbish) X(dose) X(data_use)
#define LW_LAND_MODELS(X)                                                                                              \
    X(distance)                                                                                                        \
    X(road_guess) X(drive) X(stay_rule) X(diffraction) X(p1812) X(elevation) X(horizon) X(link) X(signal)
#define LW_MODELS(X) LW_SKY_MODELS(X) LW_POWER_MODELS(X) LW_HEAT_MODELS(X) LW_HOUSE_MODELS(X) LW_LAND_MODELS(X)

#define DECLARE(id) extern const lw_model lw_model_##id;
LW_MODELS(DECLARE)

#define LIST(id) &lw_model_##id,
const lw_model *const lw_models[] = {LW_MODELS(LIST) NULL};
const size_t lw_models_count = sizeof lw_models / sizeof lw_models[0] - 1;

static int is_same(const char *a, const char *b)
{
    while (*a && *a == *b)
        a++, b++;
    return *a == *b;
}

const lw_model *lw_model_named(const char *name)
{
    for (size_t i = 0; i < lw_models_count; i++)
        if (is_same(lw_models[i]->name, name))
            return lw_models[i];
    return NULL;
}
