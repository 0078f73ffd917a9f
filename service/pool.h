/* service/pool.h: jobs by number on all cores.
 *
 * Calls     job(with, worker, at) for every `at` below `count`, each once, in no order; `worker` is below the threads given and
 *           belongs to one thread at a time. The calling thread works too; threads that cannot be had are done without.
 * Threads   0: one a core, at most LW_POOL_THREADS. */
#ifndef LW_SERVICE_POOL_H
#define LW_SERVICE_POOL_H

enum { LW_POOL_THREADS = 16 };

int lw_pool_threads(int wished);
void lw_pool_run(int threads, int count, void (*job)(void *with, int worker, int at), void *with);

#endif
