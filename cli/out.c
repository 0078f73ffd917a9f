#include "cli/out.h"

#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "cli/command.h"
#include "text/say.h"

void lw_out_open(lw_sink *sink)
{
    /* The sink collects; a second buffer would only hide when the receiver goes. */
    (void)setvbuf(stdout, NULL, _IONBF, 0);
    lw_sink_init(sink, lw_write_file, stdout);
}

int lw_out_close(lw_sink *sink)
{
    lw_err err = {0};
    if (!lw_sink_flush(sink, &err))
        return LW_EXIT_DONE;
    lw_err_at(&err, "standard output", 0, NULL);
    return lw_refuse(&err);
}

/* Those of a file that is plainly created; mkstemp gives fewer. */
static mode_t usual_rights(void)
{
    const mode_t mask = umask(0);
    (void)umask(mask);
    return 0666 & ~mask;
}

static lw_code refuse_path(const char *path, lw_err *err)
{
    const int why = errno;
    lw_fail(err, LW_E_IO, "cannot be written: %s", strerror(why));
    return lw_err_at(err, path, 0, NULL);
}

static lw_code fill(FILE *file, lw_put_fn *put, void *context, lw_err *err)
{
    lw_sink *sink = malloc(sizeof *sink);
    if (!sink)
        return lw_fail(err, LW_E_FULL, "no memory to write a file");
    lw_sink_init(sink, lw_write_file, file);
    lw_code code = put(context, sink, err);
    code = code ? code : lw_sink_flush(sink, err);
    free(sink);
    return code;
}

static lw_code put_into(FILE *file, const char *path, lw_put_fn *put, void *context, lw_err *err)
{
    lw_code code = fill(file, put, context, err);
    if (fclose(file) != 0 && !code)
        code = refuse_path(path, err);
    return code;
}

/* `beside` ends in XXXXXX and lies in the folder of `path`. */
static lw_code replace(const char *path, char *beside, mode_t rights, lw_put_fn *put, void *context, lw_err *err)
{
    const int fd = mkstemp(beside);
    if (fd < 0)
        return refuse_path(path, err);
    FILE *file = fchmod(fd, rights) == 0 ? fdopen(fd, "wb") : NULL;
    lw_code code = LW_OK;
    if (!file) {
        code = refuse_path(path, err);
        close(fd);
    } else {
        code = fill(file, put, context, err);
        if (!code && (fflush(file) != 0 || fsync(fd) != 0))
            code = refuse_path(path, err);
        if (fclose(file) != 0 && !code)
            code = refuse_path(path, err);
        if (!code && rename(beside, path) != 0)
            code = refuse_path(path, err);
    }
    if (code)
        unlink(beside);
    return code;
}

lw_code lw_out_file(const char *path, lw_put_fn *put, void *context, lw_err *err)
{
    struct stat there;
    const int is_there = stat(path, &there) == 0;
    if (is_there && !S_ISREG(there.st_mode)) {
        /* A device or a pipe cannot be replaced, only written to. */
        FILE *file = fopen(path, "wb");
        return file ? put_into(file, path, put, context, err) : refuse_path(path, err);
    }
    /* A link stays a link: what it points to is replaced. */
    char *real = is_there ? realpath(path, NULL) : NULL;
    const char *target = real ? real : path;
    char beside[PATH_MAX];
    const int n = snprintf(beside, sizeof beside, "%s.XXXXXX", target);
    lw_code code = LW_OK;
    if (n < 0 || (size_t)n >= sizeof beside) {
        errno = ENAMETOOLONG;
        code = refuse_path(path, err);
    } else
        code = replace(target, beside, is_there ? there.st_mode & 0777 : usual_rights(), put, context, err);
    free(real);
    return code;
}
