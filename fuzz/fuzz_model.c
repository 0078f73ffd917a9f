#include <stdint.h>
#include <stdlib.h>

#include "service/model_run.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

static const lw_column IN[] = {
    {.name = "a_m", .what = "a length"},
    {.name = "t", .what = "a moment", .kind = LW_COLUMN_TIME, .is_optional = 1},
    {.name = "d", .what = "a date", .kind = LW_COLUMN_DATE, .is_optional = 1},
    {.name = "c", .what = "a choice", .kind = LW_COLUMN_CHOICE, .choices = "x|yy", .is_optional = 1},
};

static lw_code apply(const double *in, double *out, lw_fault *fault)
{
    (void)fault;
    for (int i = 0; i < 4; i++)
        out[i] = in[i];
    return LW_OK;
}

static const lw_model ECHO = {.name = "echo",
                              .what = "what came",
                              .source = "ours",
                              .in = IN,
                              .in_count = 4,
                              .out = IN,
                              .out_count = 4,
                              .apply = apply};

static lw_written drop(void *context, const char *bytes, size_t n)
{
    (void)bytes;
    *(size_t *)context += n;
    return LW_WRITTEN;
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    lw_bytes input = {(const char *)bytes, n};
    const lw_model_source source = {lw_read_bytes, &input, "made.csv", NULL};
    lw_sink *sink = malloc(sizeof *sink);
    lw_err err = {0};
    size_t written = 0;
    if (!sink)
        abort();
    lw_sink_init(sink, drop, &written);
    if (lw_model_run(&ECHO, &source, sink, &err) && !err.text[0])
        abort();
    free(sink);
    return 0;
}
