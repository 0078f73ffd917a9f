/* Any bytes as a place's section, an empty line, and a change to it: what a change gives can be read again. */
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/about.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *text = malloc(size + 1), *made = NULL;
    static lw_place_facts facts;
    lw_err err = {0};
    if (!text)
        return 0;
    if (size)
        memcpy(text, data, size);
    text[size] = '\0';
    char *change = strstr(text, "\n\n");
    if (change)
        change[1] = '\0';
    const char *const list[] = {change ? change + 2 : ""};
    if (lw_place_change(text, list, change ? 1 : 0, 1780000000, &made, &err)) {
        if (!err.text[0])
            abort();
    } else if (lw_place_read(made, &facts, &err))
        abort();
    free(made);
    free(text);
    return 0;
}
