/* Nothing is hidden: engines that run at the same time in several threads give the same bytes as one that runs alone. */
#include <pthread.h>

#include "tests/check.h"

#include "tests/core/camp.h"

enum { THREADS = 2, CAMPS = 4, DAYS = 6 };

typedef struct work {
    int first;                /* camp to begin with: each thread takes another order */
    lw_outlook *outlook;      /* CAMPS of them, zeroed: bytes between members compare too */
    pthread_barrier_t *begin; /* NULL: alone */
} work;

static void *run_camps(void *given)
{
    const work *w = given;
    if (w->begin)
        pthread_barrier_wait(w->begin);
    for (int i = 0; i < CAMPS; i++) {
        const int number = (w->first + i) % CAMPS;
        camp c = camp_prepare(camp_random(DAYS, (uint64_t)number + 1), 1);
        lw_outlook_make(c.context, &w->outlook[number], NULL, NULL);
        camp_free(&c);
    }
    return NULL;
}

static void two_engines_in_two_threads_give_equal_bytes(void **state)
{
    (void)state;
    const size_t bytes = CAMPS * sizeof(lw_outlook);
    pthread_barrier_t begin;
    pthread_t thread[THREADS];
    work w[THREADS], alone = {.outlook = calloc(CAMPS, sizeof(lw_outlook))};
    assert_non_null(alone.outlook);
    run_camps(&alone);
    assert_int_equal(pthread_barrier_init(&begin, NULL, THREADS), 0);
    for (int t = 0; t < THREADS; t++) {
        w[t] = (work){.first = t, .outlook = calloc(CAMPS, sizeof(lw_outlook)), .begin = &begin};
        assert_non_null(w[t].outlook);
        assert_int_equal(pthread_create(&thread[t], NULL, run_camps, &w[t]), 0);
    }
    for (int t = 0; t < THREADS; t++) {
        assert_int_equal(pthread_join(thread[t], NULL), 0);
        if (memcmp(w[t].outlook, alone.outlook, bytes) != 0)
            fail_msg("thread %d gives other bytes than the run alone", t);
        free(w[t].outlook);
    }
    pthread_barrier_destroy(&begin);
    /* The bytes are of something: camps differ from one another, and end. */
    assert_memory_not_equal(&alone.outlook[0], &alone.outlook[1], sizeof(lw_outlook));
    assert_true(alone.outlook[0].order_count > 0);
    free(alone.outlook);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(two_engines_in_two_threads_give_equal_bytes)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
