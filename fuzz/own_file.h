/* fuzz/own_file.h: the input as a file of this process's own, for readers that take a path. */
#ifndef LW_FUZZ_OWN_FILE_H
#define LW_FUZZ_OWN_FILE_H

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

enum { OWN_FILE_PATH = 64 };

/* Gives buf; remove_own_file takes the file away again. */
static inline const char *put_own_file(char buf[OWN_FILE_PATH], const uint8_t *bytes, size_t n)
{
    snprintf(buf, OWN_FILE_PATH, "%s", "/tmp/leeway-fuzz-XXXXXX");
    const int fd = mkstemp(buf);
    if (fd < 0 || write(fd, bytes, n) != (ssize_t)n || close(fd))
        abort();
    return buf;
}

static inline void remove_own_file(const char *path)
{
    if (unlink(path))
        abort();
}

#endif
