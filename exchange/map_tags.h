/* exchange/map_tags.h: what a spot's row keeps of a map's tags, "fee=yes; opening_hours=Mo-Fr 08:00-17:00; Sa off; access=yes": one by
 * one.
 *
 * Reads     name=value with "; " between; what stands behind a "; " without a name of its own still belongs to the value before it.
 * Errors    none: what is too long is cut; NULL and "" hold no tag.
 * Limits    a value that itself holds "; " and a name with = is cut there. */
#ifndef LW_EXCHANGE_MAP_TAGS_H
#define LW_EXCHANGE_MAP_TAGS_H

#include <stddef.h>

typedef struct lw_map_tag {
    const char *name, *value; /* in the text, not ended */
    size_t name_n, value_n;
} lw_map_tag;

/* The tag at `at` and where the next one begins; NULL: there is none. */
const char *lw_map_tag_next(const char *at, lw_map_tag *tag);

/* The value of a tag; 0, and buf "": it is not there. */
int lw_map_tag_of(const char *tags, const char *name, char *buf, size_t n);
int lw_map_tag_is(const lw_map_tag *tag, const char *name);

/* Text of a map as one line: control characters become blanks; cut, between characters of UTF-8, where there is no more room. */
void lw_map_line(char *to, size_t size, const char *text);

/* One more tag, of which the value is a line; left out where it has no room as a whole. Of a name 40 bytes are kept. */
void lw_map_tag_add(char *tags, size_t size, const char *name, const char *line);

#endif
