#include "exchange/yaml_whole.h"

#include <stdlib.h>
#include <string.h>

#include "text/say.h"

lw_code lw_yaml_whole(const lw_yaml_source *from, lw_yaml_taker *take, size_t size, void *to, lw_err *err)
{
    lw_yaml tree = {0};
    void *made = calloc(1, size);
    if (!made)
        return lw_fail(err, LW_E_FULL, "no memory to read %s", from->name);
    lw_code code = from->bytes ? lw_yaml_read(&tree, from->name, from->bytes, from->size, err)
                               : lw_yaml_load(&tree, from->name, err);
    code = code ? code : take(&tree, from->name, made, err);
    if (!code)
        memcpy(to, made, size);
    lw_yaml_clear(&tree);
    free(made);
    return code;
}
