#include "httpd/answer.h"

#include <stdlib.h>
#include <string.h>

#include <zlib.h>

enum { LEAST = 1024, LEVEL = 6, GZIP_WINDOW = 15 + 16, MEMORY = 8 };

static void pack(lw_answer *answer)
{
    z_stream z = {0};
    if (answer->size < LEAST || answer->size > UINT32_MAX ||
        deflateInit2(&z, LEVEL, Z_DEFLATED, GZIP_WINDOW, MEMORY, Z_DEFAULT_STRATEGY) != Z_OK)
        return;
    unsigned char *to = malloc(answer->size);
    z.next_in = (unsigned char *)answer->bytes;
    z.avail_in = (uInt)answer->size;
    z.next_out = to;
    z.avail_out = (uInt)answer->size;
    if (to && deflate(&z, Z_FINISH) == Z_STREAM_END) {
        answer->packed = to;
        answer->packed_size = z.total_out;
        unsigned char *fit = realloc(to, z.total_out);
        if (fit)
            answer->packed = fit;
    } else
        free(to);
    (void)deflateEnd(&z);
}

lw_answer *lw_answer_take(lw_reply *reply, int is_kept)
{
    lw_answer *made = calloc(1, sizeof *made);
    if (made) {
        atomic_init(&made->holders, 1);
        made->status = reply->status;
        made->type = reply->type;
        memcpy(made->allow, reply->allow, sizeof made->allow);
        made->bytes = reply->body;
        made->size = reply->body ? reply->size : 0;
        reply->body = NULL;
        if (is_kept)
            pack(made);
    }
    lw_reply_clear(reply);
    return made;
}

lw_answer *lw_answer_hold(lw_answer *answer)
{
    atomic_fetch_add(&answer->holders, 1);
    return answer;
}

void lw_answer_drop(lw_answer *answer)
{
    if (!answer || atomic_fetch_sub(&answer->holders, 1) > 1)
        return;
    free(answer->bytes);
    free(answer->packed);
    free(answer);
}
