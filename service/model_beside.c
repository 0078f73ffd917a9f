#include "service/model_beside.h"

#include <stdio.h>
#include <string.h>

#include "text/say.h"

static lw_code check_name(const char *name, lw_err *err)
{
    const size_t n = strlen(name);
    if (n < sizeof((lw_beside_files *)0)->profile_name && !strpbrk(name, "/\\") && name[0] != '.')
        return LW_OK;
    return lw_fail(err, LW_E_SYNTAX,
                   "'%s' is no name of a profile; NAME is the file profiles/NAME.csv beside the table",
                   lw_quoted(name, n).text);
}

lw_code lw_beside_take(lw_beside_files *files, lw_column_kind kind, const char *name, lw_err *err)
{
    lw_code code = LW_OK;
    if (kind != LW_COLUMN_PROFILE)
        return LW_OK;
    if (!files->profile.numbers || strcmp(files->profile_name, name) != 0) {
        char path[4096];
        lw_profile_file_clear(&files->profile);
        code = check_name(name, err);
        if (!code) {
            snprintf(path, sizeof path, "%s%sprofiles/%s.csv", files->folder ? files->folder : "",
                     files->folder ? "/" : "", name);
            code = lw_profile_load(path, &files->profile, err);
        }
        if (!code)
            memcpy(files->profile_name, name, strlen(name) + 1);
    }
    files->now.profile = code ? NULL : &files->profile.profile;
    return code;
}

void lw_beside_clear(lw_beside_files *files)
{
    lw_profile_file_clear(&files->profile);
    files->now = (lw_beside){0};
}
