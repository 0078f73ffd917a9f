/* exchange/services.h: base addresses of public services, from data/services.csv. Nothing here asks them. */
#ifndef LW_EXCHANGE_SERVICES_H
#define LW_EXCHANGE_SERVICES_H

#include <stddef.h>

#include "core/base/err.h"

/* LW_E_MISSING for an id that the table does not have, LW_E_FULL where the address does not fit. */
LW_MUST_USE lw_code lw_service_base(const char *id, char *buf, size_t size, lw_err *err);

#endif
