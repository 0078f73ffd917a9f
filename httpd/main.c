/* leeway-serve BOOK PORT here|lan demo|as-is NAME SHIFT: the server alone, as `leeway serve` starts it.
 * leeway-serve --qr TEXT: the text as a square for a camera, for leeway places give. */
#include <malloc.h>
#include <pthread.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "book/book.h"
#include "httpd/qr.h"
#include "httpd/server.h"
#include "service/demo.h"

enum { PROGRAM, BOOK, PORT, REACH, DEMO, NAME, SHIFT, ARGUMENTS };

/* The book is made where it is not there yet, and what is wrong with it is said now. */
static lw_code prepare_book(const char *path, int wants_demo, int64_t now_s, lw_err *err)
{
    lw_book *book = NULL;
    lw_book_use use = LW_BOOK_IS_OWN;
    lw_code code = lw_book_open(&book, path, LW_BOOK_CREATE, err);
    if (!code && wants_demo) {
        code = lw_book_use_of(book, &use, err);
        if (!code && use == LW_BOOK_IS_EMPTY)
            code = lw_demo_begin(book, now_s, err);
    }
    lw_book_close(book);
    return code;
}

static void be_small(void)
{
#ifdef __GLIBC__
    /* One heap for all threads, and large blocks back to the system at once: the server rests small. */
    (void)mallopt(M_ARENA_MAX, 1);
    (void)mallopt(M_MMAP_THRESHOLD, 128 << 10);
    (void)mallopt(M_TRIM_THRESHOLD, 256 << 10);
#endif
}

int main(int argc, char **argv)
{
    sigset_t ends;
    lw_err err = {0};
    if (argc == 3 && strcmp(argv[1], "--qr") == 0) /* leeway places give --qr */
        return lw_qr_print(argv[2], stdout) ? 0 : 2;
    if (argc != ARGUMENTS) {
        fputs("leeway-serve: is started by leeway serve\n", stderr);
        return 2;
    }
    be_small();
    (void)signal(SIGPIPE, SIG_IGN);
    sigemptyset(&ends);
    sigaddset(&ends, SIGINT);
    sigaddset(&ends, SIGTERM);
    (void)pthread_sigmask(SIG_BLOCK, &ends, NULL);
    const lw_server_order order = {.book_path = argv[BOOK],
                                   .version = LW_VERSION,
                                   .name = argv[NAME],
                                   .port = (int)strtol(argv[PORT], NULL, 10),
                                   .is_lan = strcmp(argv[REACH], "lan") == 0,
                                   .shift_s = strtoll(argv[SHIFT], NULL, 10)};
    lw_code code =
        prepare_book(order.book_path, strcmp(argv[DEMO], "demo") == 0, (int64_t)time(NULL) + order.shift_s, &err);
    code = code ? code : lw_server_run(&order, &err);
    if (code)
        fprintf(stderr, "leeway: %s%s%s\n", err.where, err.where[0] ? ": " : "", err.text);
    return code == LW_OK ? 0 : code == LW_E_IO ? 1 : 2;
}
