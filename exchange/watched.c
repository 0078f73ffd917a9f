#include "exchange/watched.h"

#include <errno.h>
#include <math.h>
#include <string.h>
#include <sys/stat.h>

#include "text/say.h"

lw_code lw_watched_open(lw_watched *w, const char *path, const lw_watch *watch, lw_err *err)
{
    struct stat st = {0};
    FILE *file = fopen(path, "rb");
    if (!file) {
        lw_fail(err, LW_E_MISSING, "cannot be opened: %s", strerror(errno));
        return lw_err_at(err, path, 0, NULL);
    }
    const int has_size = fstat(fileno(file), &st) == 0 && S_ISREG(st.st_mode);
    *w = (lw_watched){.file = file, .watch = watch, .size = has_size ? (double)st.st_size : 0.0};
    return LW_OK;
}

long lw_watched_read(void *watched, char *buf, size_t n)
{
    lw_watched *w = watched;
    const long got = lw_read_file(w->file, buf, n);
    w->bytes += got > 0 ? (double)got : 0.0;
    if (w->watch)
        w->watch->tell(w->watch->with, w->rounds, w->size > 0.0 ? w->bytes / w->size : (double)NAN);
    return got;
}

int lw_watched_again(void *watched)
{
    lw_watched *w = watched;
    w->bytes = 0.0;
    w->rounds++;
    return fseek(w->file, 0, SEEK_SET);
}

void lw_watched_close(lw_watched *w)
{
    (void)fclose(w->file);
}
