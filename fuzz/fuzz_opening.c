#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/map_tags.h"
#include "exchange/opening.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

/* A text of up to 255 letters. What is not understood is never open; a change is never behind and never more than a fortnight and a day off. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    char text[256], hours[64];
    lw_opening o;
    int is_open;
    if (n >= sizeof text)
        return 0;
    memcpy(text, bytes, n);
    text[n] = '\0';
    lw_opening_read(text, &o);
    for (int64_t day = 20600; day < 20609; day++) {
        const uint32_t of_day = lw_opening_hours(&o, day);
        if (of_day >> 24 || (!o.is_understood && of_day))
            abort();
    }
    const int next = lw_opening_next_min(&o, 20605, 700, &is_open);
    if (next < -1 || next == 0 || next > 15 * LW_OPENING_DAY_MIN || (!o.is_understood && (is_open || next != -1)))
        abort();
    if (lw_map_tag_of(text, "opening_hours", hours, sizeof hours) && strlen(hours) >= sizeof hours)
        abort();
    return 0;
}
