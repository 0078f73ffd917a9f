/* core/models.h: every model that can be run by name, in the order shown to people. */
#ifndef LW_CORE_MODELS_H
#define LW_CORE_MODELS_H

#include "core/base/model.h"

extern const lw_model *const lw_models[];
extern const size_t lw_models_count;

/* Borrowed for ever; NULL when there is none of that name. */
const lw_model *lw_model_named(const char *name);

#endif
