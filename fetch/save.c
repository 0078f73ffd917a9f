#include "fetch/save.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "text/say.h"

static lw_code refuse(const char *path, lw_err *err)
{
    const int why = errno;
    lw_fail(err, LW_E_IO, "cannot be written: %s", strerror(why));
    return lw_err_at(err, path, 0, NULL);
}

static int write_all(int fd, const char *bytes, size_t n)
{
    while (n > 0) {
        const ssize_t put = write(fd, bytes, n);
        if (put < 0 && errno == EINTR)
            continue;
        if (put <= 0)
            return 0;
        bytes += put;
        n -= (size_t)put;
    }
    return 1;
}

/* The name itself must last too; a file system that cannot do this has still got the file. */
static void settle_folder(const char *path)
{
    char folder[PATH_MAX];
    const char *slash = strrchr(path, '/');
    snprintf(folder, sizeof folder, "%.*s", slash ? (int)(slash - path) + 1 : 1, slash ? path : ".");
    const int fd = open(folder, O_RDONLY);
    if (fd < 0)
        return;
    (void)fsync(fd);
    close(fd);
}

lw_code lw_save_whole(const char *path, const char *bytes, size_t n, lw_err *err)
{
    char beside[PATH_MAX];
    const int length = snprintf(beside, sizeof beside, "%s.XXXXXX", path);
    if (length < 0 || (size_t)length >= sizeof beside) {
        errno = ENAMETOOLONG;
        return refuse(path, err);
    }
    const int fd = mkstemp(beside);
    if (fd < 0)
        return refuse(path, err);
    const mode_t mask = umask(0);
    (void)umask(mask);
    int is_good = fchmod(fd, 0666 & ~mask) == 0 && write_all(fd, bytes, n) && fsync(fd) == 0;
    is_good = close(fd) == 0 && is_good;
    is_good = is_good && rename(beside, path) == 0;
    if (!is_good) {
        const lw_code code = refuse(path, err);
        (void)unlink(beside);
        return code;
    }
    settle_folder(path);
    return LW_OK;
}
