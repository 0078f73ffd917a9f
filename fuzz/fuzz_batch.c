#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "service/batch.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

enum { LONGEST = 4096 }; /* an outlook takes milliseconds: few lines an input */

/* Each answer is one whole line of JSON with the number that is due. */
static lw_written check(void *number, const char *answer, size_t n)
{
    json_error_t why;
    json_t *root = json_loadb(answer, n, JSON_REJECT_DUPLICATES, &why);
    if (!root || n == 0 || memchr(answer, '\n', n) != answer + n - 1)
        abort();
    if (json_integer_value(json_object_get(root, "line")) != ++*(int64_t *)number)
        abort();
    if (!json_object_get(root, "id") || !json_object_get(root, "outlook") == !json_object_get(root, "error"))
        abort();
    json_decref(root);
    return LW_WRITTEN;
}

/* The weather's file could be any of the machine that fuzzes: those without an end are left out. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    lw_bytes source = {(const char *)bytes, n};
    int64_t answered = 0, lines = n > 0 && bytes[n - 1] != '\n';
    lw_err err = {0};
    char *text = malloc(n + 1);
    if (!text)
        abort();
    memcpy(text, bytes, n);
    text[n] = '\0';
    for (size_t i = 0; i < n; i++) {
        lines += text[i] == '\n';
        text[i] = text[i] == '\0' ? '?' : text[i];
    }
    if (n <= LONGEST && !strstr(text, "/dev") && !strstr(text, "/proc") && !strstr(text, "/sys")) {
        const lw_batch_wish wish = {.draws = 1, .threads = 1};
        const lw_batch_ends ends = {.read = lw_read_bytes, .from = &source, .write = check, .to = &answered};
        if (lw_batch_run(&wish, &ends, &err) || answered != lines)
            abort();
    }
    free(text);
    return 0;
}
