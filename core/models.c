#include "core/models.h"

/* A room adds its tables here: declare, then list. */
#define LW_MODELS(X)                                                                                                   \
    X(battery)                                                                                                         \
    X(kibam) X(peukert) X(rest_voltage) X(battery_size) X(wire) X(inverter) X(charger) X(controller) X(generator)      \
        X(noise) X(black_tank) X(water_use) X(rubbish) X(dose) X(data_use) X(stay_rule) X(distance)

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
