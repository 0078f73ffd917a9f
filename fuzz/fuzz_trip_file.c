#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "exchange/trip_file.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

/* What is taken has places for its start, end and wishes, and as many nights as the planner plans. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    lw_trip_file *file = calloc(1, sizeof *file);
    lw_err err = {0};
    if (!file)
        abort();
    if (lw_trip_file_read("trip.yaml", (const char *)bytes, n, NULL, file, &err)) {
        if (!err.text[0] || file->place_count != 0)
            abort();
    } else if (file->start < 0 || file->start >= file->place_count || file->end >= file->place_count ||
               file->until_day - file->from_day < 1 || file->until_day - file->from_day > LW_TRIP_DAYS) {
        abort();
    }
    for (int p = 0; p < file->place_count; p++) {
        lw_fault fault;
        if (lw_spot_check(&file->place[p].spot, &fault) || !isfinite(file->place[p].elevation_m))
            abort();
    }
    free(file);
    return 0;
}
