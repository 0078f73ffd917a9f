#include "service/pool.h"

#include <pthread.h>
#include <stdatomic.h>
#include <unistd.h>

typedef struct pool {
    atomic_int next;
    int count;
    void (*job)(void *with, int worker, int at);
    void *with;
} pool;

typedef struct hand {
    pool *pool;
    int worker, is_started;
    pthread_t thread;
} hand;

static void *work(void *with)
{
    const hand *h = with;
    for (int at; (at = atomic_fetch_add(&h->pool->next, 1)) < h->pool->count;)
        h->pool->job(h->pool->with, h->worker, at);
    return NULL;
}

int lw_pool_threads(int wished)
{
    const long cores = sysconf(_SC_NPROCESSORS_ONLN);
    const int threads = wished > 0 ? wished : cores > 0 ? (int)cores : 1;
    return threads < LW_POOL_THREADS ? threads : LW_POOL_THREADS;
}

void lw_pool_run(int threads, int count, void (*job)(void *with, int worker, int at), void *with)
{
    pool p = {.count = count, .job = job, .with = with};
    hand hands[LW_POOL_THREADS] = {{.pool = &p}};
    const int all = threads < count ? threads : count;
    for (int i = 1; i < all; i++) {
        hands[i] = (hand){.pool = &p, .worker = i};
        hands[i].is_started = pthread_create(&hands[i].thread, NULL, work, &hands[i]) == 0;
    }
    (void)work(&hands[0]);
    for (int i = 1; i < all; i++)
        if (hands[i].is_started)
            (void)pthread_join(hands[i].thread, NULL);
}
