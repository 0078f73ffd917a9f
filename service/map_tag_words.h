/* service/map_tag_words.h: what a map's tags say of a spot, in words: "10 USD; hours Mo-Fr 08:00-17:00; Sa off; open to the public".
 *
 * Source    OpenStreetMap wiki, "Map features" and the page of each key; max... without a unit are metres, of a weight tonnes
 *           ("Key:maxlength", "Key:maxweight").
 * Limits    words of our own for the tags that exchange/spots.c keeps; of another one its name and value. */
#ifndef LW_SERVICE_MAP_TAG_WORDS_H
#define LW_SERVICE_MAP_TAG_WORDS_H

#include <stddef.h>

enum { LW_MAP_TAGS_SAID = 640 };

/* Gives buf; tags NULL: "". */
char *lw_map_tags_say(const char *tags, char buf[LW_MAP_TAGS_SAID]);

#endif
