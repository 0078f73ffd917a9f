#include "cli/beside.h"

#include <limits.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

void lw_beside(const char *name, char *buf, size_t size)
{
    char self[PATH_MAX];
    const ssize_t n = readlink("/proc/self/exe", self, sizeof self - 1);
    self[n > 0 ? n : 0] = '\0';
    char *slash = strrchr(self, '/');
    if (slash && (size_t)(slash - self) + strlen(name) + 2 <= size) {
        snprintf(buf, size, "%.*s/%s", (int)(slash - self), self, name);
        if (access(buf, X_OK) == 0)
            return;
    }
    snprintf(buf, size, "%s", name);
}
