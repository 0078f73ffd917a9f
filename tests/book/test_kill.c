/* Two programs write into one book and are killed in the middle of it, 200 times: what they acknowledged is there, and the
 * book is whole. Two that write at once and are left alone both succeed. */
#include <poll.h>
#include <signal.h>
#include <sys/wait.h>
#include <time.h>

#include "tests/book/shelf.h"

enum { WRITERS = 2, ROUNDS = 100, MOST = 20000 };

static lw_id acknowledged[MOST];
static int acknowledgements;

/* Appends until it is killed, or `count` times; each answer goes into the pipe. The exit code is 0 only without failure. */
static void write_on(const char *path, const char *device, int pipe_in, int count)
{
    lw_book *book = NULL;
    lw_err err = {0};
    if (lw_book_open(&book, path, LW_BOOK_CREATE, &err))
        _exit(2);
    for (int i = 0; count == 0 || i < count; i++) {
        lw_entry e = shelf_reading("fresh", SHELF_NOW_S + i, 0.5);
        e.device = device;
        if (lw_book_append(book, &e, 1, &err))
            _exit(3);
        if (write(pipe_in, &e.id, sizeof e.id) != (ssize_t)sizeof e.id)
            _exit(4);
    }
    lw_book_close(book);
    _exit(0);
}

static pid_t start(const char *path, const char *device, int *pipe_out, int count)
{
    int ends[2];
    assert_int_equal(pipe(ends), 0);
    const pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        close(ends[0]);
        write_on(path, device, ends[1], count);
    }
    close(ends[1]);
    *pipe_out = ends[0];
    return child;
}

/* However busy the machine is: the first acknowledgement of a round. */
static void await_answer(const int answers[WRITERS])
{
    struct pollfd ends[WRITERS];
    for (int i = 0; i < WRITERS; i++)
        ends[i] = (struct pollfd){.fd = answers[i], .events = POLLIN};
    assert_true(poll(ends, WRITERS, 30000) > 0);
}

static void take_answers(int pipe_out)
{
    lw_id id;
    while (read(pipe_out, &id, sizeof id) == (ssize_t)sizeof id) {
        assert_true(acknowledgements < MOST);
        acknowledged[acknowledgements++] = id;
    }
    close(pipe_out);
}

static void look(const shelf *s, int from)
{
    lw_book *book = NULL;
    CHECK_OK(lw_book_open(&book, s->path, LW_BOOK_CREATE, &err));
    CHECK_OK(lw_book_check(book, &err));
    for (int i = from; i < acknowledgements; i++)
        if (!shelf_has(book, &acknowledged[i]))
            fail_msg("acknowledgement %d of %d is not in the book", i, acknowledgements);
    lw_book_close(book);
}

static void what_was_acknowledged_outlives_200_kills(void **state)
{
    (void)state;
    const shelf s = shelf_open();
    acknowledgements = 0;
    for (int round = 0; round < ROUNDS; round++) {
        pid_t child[WRITERS];
        int answers[WRITERS], status;
        const int before = acknowledgements;
        for (int i = 0; i < WRITERS; i++)
            child[i] = start(s.path, i ? "laptop" : "phone", &answers[i], 0);
        if (round % 4 > 0) /* otherwise the kill may come while the book is being opened */
            await_answer(answers);
        const struct timespec wait = {.tv_nsec = (round * 7 % 13) * 1000000L};
        nanosleep(&wait, NULL);
        for (int i = 0; i < WRITERS; i++) {
            assert_int_equal(kill(child[i], SIGKILL), 0);
            assert_int_equal(waitpid(child[i], &status, 0), child[i]);
            if (!WIFSIGNALED(status))
                fail_msg("round %d: a writer ended by itself with %d", round, WEXITSTATUS(status));
        }
        for (int i = 0; i < WRITERS; i++)
            take_answers(answers[i]);
        look(&s, round % 10 == 9 || round == ROUNDS - 1 ? 0 : before);
    }
    assert_true(acknowledgements >= ROUNDS / 4 * 3);
    shelf_close(&s);
}

/* A look between another's first marks took the book for a stranger's: once in a hundred rounds like these. */
static void a_new_book_is_opened_by_four_at_once(void **state)
{
    (void)state;
    for (int round = 0; round < 60; round++) {
        const shelf s = shelf_open();
        pid_t child[4];
        int status;
        for (int i = 0; i < 4; i++) {
            child[i] = fork();
            assert_true(child[i] >= 0);
            if (child[i] == 0) {
                lw_book *book = NULL;
                lw_err err = {0};
                const lw_code code = lw_book_open(&book, s.path, LW_BOOK_CREATE, &err);
                if (code)
                    fprintf(stderr, "round %d: %s\n", round, err.text);
                lw_book_close(book);
                _exit(code ? 2 : 0);
            }
        }
        int refused = 0;
        for (int i = 0; i < 4; i++) {
            assert_int_equal(waitpid(child[i], &status, 0), child[i]);
            refused += !WIFEXITED(status) || WEXITSTATUS(status) != 0;
        }
        assert_int_equal(refused, 0);
        shelf_close(&s);
    }
}

static void two_writers_at_once_both_succeed(void **state)
{
    (void)state;
    const shelf s = shelf_open();
    pid_t child[WRITERS];
    int answers[WRITERS], status;
    acknowledgements = 0;
    for (int i = 0; i < WRITERS; i++)
        child[i] = start(s.path, i ? "laptop" : "phone", &answers[i], 200);
    for (int i = 0; i < WRITERS; i++)
        take_answers(answers[i]);
    for (int i = 0; i < WRITERS; i++) {
        assert_int_equal(waitpid(child[i], &status, 0), child[i]);
        assert_true(WIFEXITED(status));
        assert_int_equal(WEXITSTATUS(status), 0);
    }
    assert_int_equal(acknowledgements, WRITERS * 200);
    look(&s, 0);
    shelf_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_new_book_is_opened_by_four_at_once),
        cmocka_unit_test(two_writers_at_once_both_succeed),
        cmocka_unit_test(what_was_acknowledged_outlives_200_kills),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
