#include "book/id.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/random.h>

#include "text/say.h"

lw_code lw_id_make(lw_id *id, lw_err *err)
{
    lw_id made;
    if (getrandom(made.byte, sizeof made.byte, 0) != (ssize_t)sizeof made.byte)
        return lw_fail(err, LW_E_IO, "the system gives no random numbers: %s", strerror(errno));
    *id = made;
    return LW_OK;
}

static int digit_of(char c)
{
    static const char DIGITS[] = "0123456789abcdef0123456789ABCDEF";
    const char *at = c ? strchr(DIGITS, c) : NULL;
    return at ? (int)(at - DIGITS) % 16 : -1;
}

lw_code lw_id_parse(const char *text, lw_id *id, lw_err *err)
{
    lw_id made = {0};
    int is_good = strlen(text) == LW_ID_TEXT - 1;
    for (size_t i = 0; is_good && i < LW_ID_TEXT - 1; i++) {
        const int digit = digit_of(text[i]);
        is_good = digit >= 0;
        made.byte[i / 2] = (unsigned char)(made.byte[i / 2] << 4 | (digit & 15));
    }
    if (!is_good)
        return lw_fail(err, LW_E_SYNTAX, "%s is no id; one has 32 digits of 0-9 and a-f",
                       lw_quoted(text, strlen(text)).text);
    *id = made;
    return LW_OK;
}

char *lw_id_print(char *buf, size_t n, const lw_id *id)
{
    char text[LW_ID_TEXT];
    for (size_t i = 0; i < LW_ID_BYTES; i++)
        snprintf(text + 2 * i, 3, "%02x", id->byte[i]);
    snprintf(buf, n, "%s", text);
    return buf;
}

int lw_id_is_none(const lw_id *id)
{
    static const lw_id NONE = {0};
    return lw_id_equal(id, &NONE);
}

int lw_id_equal(const lw_id *a, const lw_id *b)
{
    return memcmp(a->byte, b->byte, LW_ID_BYTES) == 0;
}
