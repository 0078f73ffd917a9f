#include "cli/out.h"

#include <stdio.h>
#include <stdlib.h>

#include "cli/command.h"
#include "exchange/whole_file.h"
#include "text/say.h"

void lw_out_open(lw_sink *sink)
{
    /* The sink collects; a second buffer would only hide when the receiver goes. */
    (void)setvbuf(stdout, NULL, _IONBF, 0);
    lw_sink_init(sink, lw_write_file, stdout);
}

int lw_out_close(lw_sink *sink)
{
    lw_err err = {0};
    if (!lw_sink_flush(sink, &err))
        return LW_EXIT_DONE;
    lw_err_at(&err, "standard output", 0, NULL);
    return lw_refuse(&err);
}

lw_code lw_out_file(const char *path, lw_put_fn *put, void *context, lw_err *err)
{
    lw_sink *sink = malloc(sizeof *sink);
    if (!sink)
        return lw_fail(err, LW_E_FULL, "no memory to write a file");
    lw_whole_file file;
    lw_code code = lw_whole_file_open(&file, path, err);
    if (!code) {
        lw_sink_init(sink, lw_write_file, file.stream);
        code = put(context, sink, err);
        code = code ? code : lw_sink_flush(sink, err);
        code = lw_whole_file_close(&file, code, err);
    }
    free(sink);
    return code;
}
