#include "text/utf8.h"

size_t lw_utf8_length(const char *at)
{
    const unsigned char *c = (const unsigned char *)at;
    const size_t n = c[0] < 0x80 ? 1 : c[0] < 0xC2 ? 0 : c[0] < 0xE0 ? 2 : c[0] < 0xF0 ? 3 : c[0] < 0xF5 ? 4 : 0;
    for (size_t i = 1; i < n; i++)
        if ((c[i] & 0xC0) != 0x80)
            return 0;
    if ((c[0] == 0xE0 && c[1] < 0xA0) || (c[0] == 0xED && c[1] > 0x9F) || (c[0] == 0xF0 && c[1] < 0x90) ||
        (c[0] == 0xF4 && c[1] > 0x8F))
        return 0;
    return n;
}
