#include "exchange/whole_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "text/say.h"

static lw_code refuse(const lw_whole_file *file, lw_err *err)
{
    const int why = errno;
    lw_fail(err, LW_E_IO, "cannot be written: %s", strerror(why));
    return lw_err_at(err, file->path, 0, NULL);
}

/* Those of a file that is plainly created; mkstemp gives fewer. */
static mode_t usual_rights(void)
{
    const mode_t mask = umask(0);
    (void)umask(mask);
    return 0666 & ~mask;
}

static void forget(lw_whole_file *file)
{
    free(file->target);
    free(file->beside);
    *file = (lw_whole_file){0};
}

static FILE *open_beside(char *beside, mode_t rights)
{
    const int fd = mkstemp(beside);
    if (fd < 0)
        return NULL;
    FILE *stream = fchmod(fd, rights) == 0 ? fdopen(fd, "wb") : NULL;
    if (!stream) {
        const int why = errno;
        close(fd);
        unlink(beside);
        errno = why;
    }
    return stream;
}

lw_code lw_whole_file_open(lw_whole_file *file, const char *path, lw_err *err)
{
    static const char ENDING[] = ".XXXXXX"; /* mkstemp's */
    struct stat there;
    const int is_there = stat(path, &there) == 0;
    *file = (lw_whole_file){.path = path};
    if (is_there && !S_ISREG(there.st_mode)) {
        file->stream = fopen(path, "wb");
    } else {
        file->target = is_there ? realpath(path, NULL) : strdup(path);
        file->beside = file->target ? malloc(strlen(file->target) + sizeof ENDING) : NULL;
        if (file->beside) {
            strcpy(file->beside, file->target);
            strcat(file->beside, ENDING);
            file->stream = open_beside(file->beside, is_there ? there.st_mode & 0777 : usual_rights());
        }
    }
    if (file->stream)
        return LW_OK;
    const lw_code code = refuse(file, err);
    forget(file);
    return code;
}

/* The name itself must last too; a file system that cannot do this has still got the file. */
static void settle_folder(char *path)
{
    char *slash = strrchr(path, '/');
    if (slash)
        slash[1] = '\0';
    const int fd = open(slash ? path : ".", O_RDONLY);
    if (fd < 0)
        return;
    (void)fsync(fd);
    close(fd);
}

lw_code lw_whole_file_close(lw_whole_file *file, lw_code code, lw_err *err)
{
    if (!code && (fflush(file->stream) != 0 || (file->beside && fsync(fileno(file->stream)) != 0)))
        code = refuse(file, err);
    if (fclose(file->stream) != 0 && !code)
        code = refuse(file, err);
    if (file->beside && !code && rename(file->beside, file->target) != 0)
        code = refuse(file, err);
    if (file->beside && code)
        unlink(file->beside);
    else if (file->beside)
        settle_folder(file->target);
    forget(file);
    return code;
}
