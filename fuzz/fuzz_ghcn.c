#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/ghcn.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

/* Ten years of days take more bytes than a fuzzer gives: they come first, then the input in the same form. */
typedef struct two_parts {
    lw_bytes first, then;
} two_parts;

static long read_two(void *context, char *buf, size_t n)
{
    two_parts *p = context;
    return p->first.left ? lw_read_bytes(&p->first, buf, n) : lw_read_bytes(&p->then, buf, n);
}

static void put_month(FILE *to, int year, int month, const char *element, int value)
{
    fprintf(to, "USX00000001%04d%02d%s", year, month, element);
    for (int day = 0; day < 31; day++)
        fprintf(to, "%5d   ", value + day);
    fprintf(to, "\n");
}

/* Fixed columns, made anew for each input: no state between inputs. */
static char *ten_years(size_t *n)
{
    char *text = NULL;
    FILE *to = open_memstream(&text, n);
    if (!to)
        abort();
    for (int year = 2001; year <= 2011; year++)
        for (int month = 1; month <= 12; month++) {
            put_month(to, year, month, "TMAX", 10 * month + 100);
            put_month(to, year, month, "TMIN", 10 * month);
        }
    fclose(to);
    return text;
}

static void check(lw_read_fn *read, void *context, const char *station)
{
    lw_ghcn_climate c;
    lw_err err = {0};
    const lw_code code = lw_ghcn_read(read, context, "fuzz", station, &c, &err);
    if (code != err.code || (code && !err.text[0]))
        abort();
    for (int m = 0; !code && m < LW_MONTHS; m++)
        if (c.sd_k[m] < 0.0 || fabs(c.r1[m]) > 1.0000001 || c.base.wet_frac[m] > 1.0)
            abort();
}

/* First byte: odd, ten good years come before it. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    if (n == 0)
        return 0;
    lw_bytes alone = {(const char *)bytes + 1, n - 1};
    if (bytes[0] % 2 == 0) {
        check(lw_read_bytes, &alone, NULL);
        return 0;
    }
    two_parts p = {.then = alone};
    char *text = ten_years(&p.first.left);
    p.first.at = text;
    check(read_two, &p, "USX00000001");
    free(text);
    return 0;
}
