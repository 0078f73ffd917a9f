/* Any bytes as a file of places handed over. */
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include "service/hand.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char path[64];
    lw_book *book = NULL;
    lw_err err = {0};
    lw_handed *handed = calloc(1, sizeof *handed);
    snprintf(path, sizeof path, "/tmp/leeway-fuzz-hand-%ld", (long)getpid());
    if (handed && lw_book_open(&book, path, LW_BOOK_CREATE, &err) == LW_OK &&
        lw_hand_take(book, "fuzz", (const char *)data, size, 1780000000, handed, &err) && !err.text[0])
        abort();
    lw_book_close(book);
    static const char *const ENDS[] = {"", "-wal", "-shm"};
    for (size_t i = 0; i < sizeof ENDS / sizeof ENDS[0]; i++) {
        char file[80];
        snprintf(file, sizeof file, "%s%s", path, ENDS[i]);
        (void)remove(file);
    }
    free(handed);
    return 0;
}
