#include "service/map_tag_words.h"

#include <string.h>

#include "exchange/map_tags.h"
#include "service/words_internal.h"

enum { VALUE = 512 };

/* says: "" leaves it out. */
static const struct {
    const char *name, *value, *says;
} WORDS[] = {
    {"fee", "yes", "a fee"},
    {"access", "yes", "open to the public"},
    {"access", "public", "open to the public"},
    {"access", "permissive", "open to the public for now"},
    {"access", "customers", "for customers"},
    {"access", "private", "private"},
    {"access", "no", "not open to the public"},
    {"access", "permit", "with a permit"},
    {"opening_hours", "24/7", "always open"},
    {"seasonal", "yes", "not all year"},
    {"seasonal", "no", "all year"},
    {"intermittent", "yes", "does not always run"},
    {"intermittent", "no", ""},
    {"backcountry", "yes", "primitive"},
    {"backcountry", "no", ""},
    {"impromptu", "yes", "no camp, but people stay"},
    {"impromptu", "no", ""},
    {"bottle", "yes", "bottles can be filled"},
    {"internet_access", "wlan", "wireless internet"},
    {"sanitary_dump_station", "customers", "dump for customers"},
    {"openfire", "yes", "open fire allowed, as the map says"},
    {"openfire", "no", "no open fire"},
    {"fuel:lpg", "yes", "propane or LPG"},
    {"reservation", "required", "only with a reservation"},
};

/* Names whose value stands behind other words, with a unit where a bare number has one. */
static const struct {
    const char *name, *before, *unit;
} BEFORE[] = {
    {"charge", "", ""},
    {"opening_hours", "hours ", ""},
    {"seasonal", "season: ", ""},
    {"operator", "run by ", ""},
    {"maxlength", "no longer than ", " m"},
    {"maxheight", "no higher than ", " m"},
    {"maxwidth", "no wider than ", " m"},
    {"maxweight", "no heavier than ", " t"},
    {"maxstay", "stay at most ", ""},
    {"capacity", "room for ", ""},
    {"capacity:pitches", "pitches: ", ""},
    {"phone", "phone ", ""},
    {"website", "", ""},
    {"note", "", ""},
    {"description", "", ""},
};

static int is_number(const char *value)
{
    return *value && value[strspn(value, "0123456789.")] == '\0';
}

static int say_known(const lw_map_tag *tag, const char *value, lw_line *to)
{
    for (size_t i = 0; i < sizeof WORDS / sizeof WORDS[0]; i++)
        if (lw_map_tag_is(tag, WORDS[i].name) && strcmp(value, WORDS[i].value) == 0) {
            lw_line_add(to, "%s", WORDS[i].says);
            return 1;
        }
    for (size_t i = 0; i < sizeof BEFORE / sizeof BEFORE[0]; i++)
        if (lw_map_tag_is(tag, BEFORE[i].name)) {
            lw_line_add(to, "%s%s%s", BEFORE[i].before, value, is_number(value) ? BEFORE[i].unit : "");
            return 1;
        }
    return 0;
}

static void say_tag(const lw_map_tag *tag, const char *value, lw_line *to)
{
    char name[64];
    if (say_known(tag, value, to))
        return;
    lw_line line = lw_line_of(name, sizeof name);
    lw_line_add(&line, "%.*s", (int)tag->name_n, tag->name);
    for (char *at = name; *at; at++)
        *at = *at == '_' || *at == ':' ? ' ' : *at;
    if (strcmp(value, "yes") == 0)
        lw_line_add(to, "%s", name);
    else if (strcmp(value, "no") == 0)
        lw_line_add(to, "no %s", name);
    else
        lw_line_add(to, "%s: %s", name, value);
}

char *lw_map_tags_say(const char *tags, char buf[LW_MAP_TAGS_SAID])
{
    char value[VALUE], said[VALUE], charge[VALUE];
    lw_line to = lw_line_of(buf, LW_MAP_TAGS_SAID);
    lw_map_tag tag;
    int count = 0;
    buf[0] = '\0';
    const int has_charge = lw_map_tag_of(tags, "charge", charge, sizeof charge);
    for (const char *at = tags; (at = lw_map_tag_next(at, &tag));) {
        lw_line of = lw_line_of(value, sizeof value), one = lw_line_of(said, sizeof said);
        lw_line_add(&of, "%.*s", (int)tag.value_n, tag.value);
        if (has_charge && lw_map_tag_is(&tag, "fee") && strcmp(value, "yes") == 0)
            continue; /* the charge says it */
        said[0] = '\0';
        say_tag(&tag, value, &one);
        if (said[0])
            lw_line_add(&to, "%s%s", count++ ? "; " : "", said);
    }
    return buf;
}
