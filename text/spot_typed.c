#include "text/spot_typed.h"

#include <string.h>

#include "text/decimal.h"

int lw_spot_typed(const char *text, lw_spot *spot)
{
    double *const to[2] = {&spot->latitude_deg, &spot->longitude_deg};
    static const char *const SIDES[2] = {"NS", "EW"};
    for (int i = 0; i < 2; i++) {
        text += strspn(text, " ");
        text = lw_decimal_scan(text, text + strlen(text), to[i]);
        if (!text)
            return 0;
        text += strspn(text, " ");
        if (*text && strchr(SIDES[i], *text)) {
            *to[i] = *text == SIDES[i][1] ? -*to[i] : *to[i];
            text++;
        }
        text += strspn(text, " ");
        if (*text != (i == 0 ? ',' : '\0'))
            return 0;
        text += i == 0;
    }
    return 1;
}
