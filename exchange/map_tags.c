#include "exchange/map_tags.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

static size_t name_length(const char *at)
{
    size_t n = 0;
    while (isalpha((unsigned char)at[n]) || at[n] == '_' || at[n] == ':')
        n++;
    return n > 0 && at[n] == '=' ? n : 0;
}

const char *lw_map_tag_next(const char *at, lw_map_tag *tag)
{
    size_t name_n = 0;
    while (at && *at && !(name_n = name_length(at)))
        at = (at = strstr(at, "; ")) ? at + 2 : NULL;
    if (!at || !*at)
        return NULL;
    const char *value = at + name_n + 1, *end = value;
    while ((end = strchr(end, ';')) && !(end[1] == ' ' && name_length(end + 2)))
        end++;
    *tag = (lw_map_tag){at, value, name_n, end ? (size_t)(end - value) : strlen(value)};
    return end ? end + 2 : value + tag->value_n;
}

int lw_map_tag_is(const lw_map_tag *tag, const char *name)
{
    return strlen(name) == tag->name_n && strncmp(tag->name, name, tag->name_n) == 0;
}

int lw_map_tag_of(const char *tags, const char *name, char *buf, size_t n)
{
    lw_map_tag tag;
    buf[0] = '\0';
    for (const char *at = tags; (at = lw_map_tag_next(at, &tag));)
        if (lw_map_tag_is(&tag, name)) {
            snprintf(buf, n, "%.*s", (int)tag.value_n, tag.value);
            return 1;
        }
    return 0;
}

void lw_map_line(char *to, size_t size, const char *text)
{
    size_t n = 0;
    for (; text[n] && n + 1 < size; n++)
        to[n] = (unsigned char)text[n] < ' ' || text[n] == 127 ? ' ' : text[n];
    while (n && ((unsigned char)text[n] & 0xC0) == 0x80) /* not within a character */
        n--;
    to[n] = '\0';
}

void lw_map_tag_add(char *tags, size_t size, const char *name, const char *line)
{
    const size_t used = strlen(tags);
    if (used + strlen(name) + strlen(line) + 4 < size)
        snprintf(tags + used, size - used, "%s%.40s=%s", used ? "; " : "", name, line);
}
