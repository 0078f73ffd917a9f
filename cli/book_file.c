#include "cli/book_file.h"

#include "text/say.h"

lw_code lw_book_file_open(const char *named, lw_book_mode mode, lw_book **book, lw_err *err)
{
    char usual[LW_BOOK_PATH_BYTES];
    lw_code code = named ? LW_OK : lw_book_default_path(usual, sizeof usual, err);
    if (code)
        return code;
    lw_err own = {0};
    code = lw_book_open(book, named ? named : usual, mode, &own);
    if (code == LW_E_MISSING && !named)
        return lw_fail(err, LW_E_MISSING,
                       "there is no book yet; name a scenario FILE, or begin a book with leeway begin FILE.yaml");
    if (code)
        *err = own;
    return code;
}
