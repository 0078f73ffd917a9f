/* cli/place_typed.h: where a question about places is asked from. */
#ifndef LW_CLI_PLACE_TYPED_H
#define LW_CLI_PLACE_TYPED_H

#include "book/book.h"
#include "core/land/distance.h"

/* NULL: the stay that the book follows; else a spot as it is typed, or the name of a place of the book. */
LW_MUST_USE lw_code lw_place_typed(lw_book *book, const char *text, int64_t now_s, lw_spot *spot, lw_err *err);

#endif
