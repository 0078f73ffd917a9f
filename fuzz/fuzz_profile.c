#include <stdint.h>
#include <stdlib.h>

#include "exchange/profile.h"
#include "fuzz/own_file.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

/* What is read passes the check of the models. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    char path[OWN_FILE_PATH];
    lw_profile_file file;
    lw_err err = {0};
    lw_fault fault;
    const lw_code code = lw_profile_load(put_own_file(path, bytes, n), &file, &err);
    if (code ? !err.text[0] : lw_profile_check(&file.profile, &fault) != LW_OK)
        abort();
    lw_profile_file_clear(&file);
    remove_own_file(path);
    return 0;
}
