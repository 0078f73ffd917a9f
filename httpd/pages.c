#include "httpd/pages.h"

#include <stdint.h>
#include <stdio.h>
#include <string.h>

static const lw_file *file_named(const char *name, const char *end)
{
    const size_t n = strlen(name);
    for (const lw_file *file = lw_page_files; file->name; file++)
        if (strncmp(file->name, name, n) == 0 && strcmp(file->name + n, end) == 0)
            return file;
    return NULL;
}

static const char *type_of(const char *name)
{
    static const char *const TYPE[][2] = {
        {".html", "text/html; charset=utf-8"},
        {".js", "text/javascript; charset=utf-8"},
        {".css", "text/css; charset=utf-8"},
        {".json", "application/json"},
        {".webmanifest", "application/manifest+json"},
        {".svg", "image/svg+xml"},
        {".png", "image/png"},
        {".ico", "image/x-icon"},
        {".woff2", "font/woff2"},
        {".wasm", "application/wasm"},
    };
    const size_t n = strlen(name);
    for (size_t i = 0; i < sizeof TYPE / sizeof TYPE[0]; i++) {
        const size_t m = strlen(TYPE[i][0]);
        if (n > m && strcmp(name + n - m, TYPE[i][0]) == 0)
            return TYPE[i][1];
    }
    return "application/octet-stream";
}

/* FNV-1a, 64 bits (the form of draft-eastlake-fnv): tells one build's file from another's, and is no secret. */
static uint64_t hash_of(const lw_file *file)
{
    uint64_t hash = 0xCBF29CE484222325u;
    for (size_t i = 0; i < file->size; i++)
        hash = (hash ^ file->bytes[i]) * 0x100000001B3u;
    return hash;
}

int lw_page_find(const char *path, lw_page *page)
{
    const char *name = strcmp(path, "/") == 0 ? "index.html" : path + 1;
    const lw_file *file = path[0] == '/' ? file_named(name, "") : NULL;
    if (!file)
        return 0;
    *page = (lw_page){.plain = file,
                      .packed = file_named(name, ".gz"),
                      .type = type_of(name),
                      .is_lasting = strncmp(name, "assets/", 7) == 0};
    snprintf(page->tag, sizeof page->tag, "%016llx", (unsigned long long)hash_of(file));
    return 1;
}
