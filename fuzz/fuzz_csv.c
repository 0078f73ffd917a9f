#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/csv.h"
#include "tests/exchange/drip.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

/* First byte: flags and piece size. Fields are ended and inside the record's limits, lines only go up. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    if (n == 0)
        return 0;
    drip source = {{(const char *)bytes + 1, n - 1}, (size_t)(bytes[0] >> 2) * 17 + 1};
    lw_csv *csv = malloc(sizeof *csv);
    lw_err err = {0};
    long line = 0;
    if (!csv)
        abort();
    lw_csv_init(csv, read_drip, &source, bytes[0] & 3u);
    while (lw_csv_next(csv, &err) == LW_OK && csv->count > 0) {
        if (csv->line <= line || csv->raw_n > LW_CSV_RECORD_BYTES)
            abort();
        line = csv->line;
        for (size_t i = 0; i < csv->count; i++)
            if (strlen(csv->field[i]) != csv->field_n[i])
                abort();
    }
    if (err.code && !err.text[0])
        abort();
    free(csv);
    return 0;
}
