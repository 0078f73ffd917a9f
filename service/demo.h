/* service/demo.h: the invented household of examples/family-at-work.yaml in an empty book, to look around with.
 *
 * Begin     lw_demo_begin: its stay since yesterday afternoon, at a place that suits the season, with a few readings. Only into
 *           a book without any stay.
 * Services  of examples/errands.yaml around it, while no others are kept (service/errands_kept.h).
 * End       lw_demo_end: takes all of it out again, with whatever was logged on it. Only while the book holds no other stay.
 * Own stay  one that begins while the demo is there takes its place (service/household.h).
 * Errors    LW_E_CONFLICT where the book is not as wanted; those of service/household.h. All or nothing. */
#ifndef LW_SERVICE_DEMO_H
#define LW_SERVICE_DEMO_H

#include "book/book.h"

#define LW_DEMO_KEY "demo" /* setting of a book that holds it */

typedef enum lw_book_use { LW_BOOK_IS_EMPTY = 0, LW_BOOK_IS_DEMO, LW_BOOK_IS_OWN } lw_book_use;

LW_MUST_USE lw_code lw_book_use_of(lw_book *book, lw_book_use *use, lw_err *err);
LW_MUST_USE lw_code lw_demo_begin(lw_book *book, int64_t now_s, lw_err *err);
LW_MUST_USE lw_code lw_demo_end(lw_book *book, lw_err *err);

#endif
