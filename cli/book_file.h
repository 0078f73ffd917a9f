/* cli/book_file.h: the book a command is told of by --book, or the usual one. */
#ifndef LW_CLI_BOOK_FILE_H
#define LW_CLI_BOOK_FILE_H

#include "book/book.h"

#define LW_BOOK_OPTION                                                                                                 \
    {                                                                                                                  \
        "book", 'b', "FILE", 0, "the book; without it leeway/book.sqlite in the data folder of this user"              \
    }

/* `named`: the value of --book, or NULL. Where there is no book yet it says how to begin one. */
LW_MUST_USE lw_code lw_book_file_open(const char *named, lw_book_mode mode, lw_book **book, lw_err *err);

#endif
