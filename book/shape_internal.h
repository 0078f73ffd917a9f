/* book/shape_internal.h: a shape (core/land/shape.h) as a blob: the number of rings, the corners of each, then longitude and latitude of each
 * corner in millionths of a degree; 32-bit words, the low byte first. */
#ifndef LW_BOOK_SHAPE_INTERNAL_H
#define LW_BOOK_SHAPE_INTERNAL_H

#include <stddef.h>

#include "core/base/err.h"
#include "core/land/shape.h"

/* The caller's (free); NULL: no memory. */
unsigned char *lw_shape_pack(const lw_shape *shape, size_t *bytes);
/* The caller's (free), the rings and corners within it; NULL: damaged, or no memory. */
void *lw_shape_unpack(const unsigned char *blob, size_t bytes, lw_shape *shape);

#endif
