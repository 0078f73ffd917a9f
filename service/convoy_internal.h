/* service/convoy_internal.h: what the parts of service/convoy share. */
#ifndef LW_SERVICE_CONVOY_INTERNAL_H
#define LW_SERVICE_CONVOY_INTERNAL_H

#include "service/convoy.h"

/* convoy_say.c: texts, of a run and, when all figures are there, of the rest. `service` maps the run's services to the errands';
 * supplies: bit per lw_supply. */
void lw_convoy_say_run(const lw_convoy *convoy, const lw_errands *errands, const lw_run *run, const int *service,
                       uint32_t supplies, lw_convoy_run *to);
void lw_convoy_say(const lw_errands *errands, lw_convoy *convoy);

#endif
