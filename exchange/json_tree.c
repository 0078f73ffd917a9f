#include "exchange/json_tree.h"

#include <string.h>

#include "exchange/limits.h"
#include "text/say.h"

/* Counts what goes by on its way to the parser, so that neither length nor depth is the parser's to bear. */
typedef struct gate {
    lw_read_fn *read;
    void *context;
    size_t bytes, bytes_most;
    int depth, is_in_string, is_escaped;
    int is_refused, is_too_long, is_too_deep;
} gate;

static int is_shallow(gate *g, const char *bytes, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        const char c = bytes[i];
        if (g->is_in_string) {
            g->is_in_string = c != '"' || g->is_escaped;
            g->is_escaped = c == '\\' && !g->is_escaped;
        } else if (c == '"')
            g->is_in_string = 1;
        else if (c == '{' || c == '[')
            g->depth++;
        else if (c == '}' || c == ']')
            g->depth--;
        if (g->depth > LW_GRIDPOINT_DEPTH)
            return 0;
    }
    return 1;
}

static size_t through(void *buffer, size_t n, void *data)
{
    gate *g = data;
    const long got = g->read(g->context, buffer, n);
    g->is_refused = got < 0;
    if (got <= 0)
        return got < 0 ? (size_t)-1 : 0;
    g->bytes += (size_t)got;
    g->is_too_long = g->bytes > g->bytes_most;
    g->is_too_deep = !is_shallow(g, buffer, (size_t)got);
    return g->is_too_long || g->is_too_deep ? (size_t)-1 : (size_t)got;
}

static lw_code refuse(const gate *g, const json_error_t *why, lw_err *err)
{
    if (g->is_refused)
        return lw_fail(err, LW_E_IO, "the system refused to read it");
    if (g->is_too_long)
        return lw_fail(err, LW_E_FULL, "the JSON is longer than %zu bytes", g->bytes_most);
    if (g->is_too_deep)
        return lw_fail(err, LW_E_FULL, "the JSON is nested deeper than %d", LW_GRIDPOINT_DEPTH);
    if (g->bytes == 0)
        return lw_fail(err, LW_E_MISSING, "it is empty");
    if (json_error_code(why) == json_error_duplicate_key)
        lw_fail(err, LW_E_CONFLICT, "a key comes twice in one object");
    else if (json_error_code(why) == json_error_premature_end_of_input)
        lw_fail(err, LW_E_SYNTAX, "the JSON is cut: it ends before it is closed");
    else
        lw_fail(err, LW_E_SYNTAX, "this is no JSON");
    return lw_err_at(err, NULL, why->line > 0 ? why->line : 1, NULL);
}

lw_code lw_json_tree_read_up_to(size_t bytes_most, lw_read_fn *read, void *context, json_t **root, lw_err *err)
{
    gate g = {.read = read, .context = context, .bytes_most = bytes_most};
    json_error_t why;
    *root = json_load_callback(through, &g, JSON_REJECT_DUPLICATES, &why);
    return *root ? LW_OK : refuse(&g, &why, err);
}

lw_code lw_json_tree_read(lw_read_fn *read, void *context, json_t **root, lw_err *err)
{
    return lw_json_tree_read_up_to(LW_GRIDPOINT_BYTES, read, context, root, err);
}
