/* service/errand_row.h: a service as the solver of runs takes it, and what it costs to have some things from it.
 *
 * Fees      one for all that is had there, and what is paid besides for one thing alone. Customers pay what they must buy as well, but where
 *           groceries, fuel, gas or drinking water are had there anyway. */
#ifndef LW_SERVICE_ERRAND_ROW_H
#define LW_SERVICE_ERRAND_ROW_H

#include "core/plan/runs.h"
#include "exchange/errands.h"

/* supply: lw_supply of each supply of the solver. Hours are the caller's. */
lw_run_service lw_errand_row(const lw_errand_service *service, const int *supply, int supply_count);

/* supplies: bit per lw_supply that is had there. */
double lw_errand_fee_usd(const lw_errand_service *service, uint32_t supplies);

/* What a lost spot costs, times its chance: the way to the fallback and its trouble. */
double lw_errand_lost_usd(const lw_errands *errands, const lw_errand_type *type, double hour_usd);

#endif
