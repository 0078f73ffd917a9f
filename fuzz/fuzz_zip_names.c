#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/limits.h"
#include "exchange/zip_names.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

static void take(void *with, const char *name)
{
    int *count = with;
    if (strlen(name) >= LW_ZIP_NAME || ++*count > LW_ZIP_FILES)
        abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    int count = 0;
    lw_err err = {0};
    char *copy = malloc(n + 1);
    if (!copy || n == 0) {
        free(copy);
        return 0;
    }
    memcpy(copy, bytes, n);
    FILE *file = fmemopen(copy, n, "rb");
    if (file && lw_zip_names(file, take, &count, &err) && !err.text[0])
        abort();
    if (file)
        (void)fclose(file);
    free(copy);
    return 0;
}
