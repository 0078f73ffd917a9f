#include <stdlib.h>
#include <string.h>

#include "exchange/osm_internal.h"

enum { ROOM_FIRST = 1024 };

static void sift(int64_t *id, size_t at, size_t count)
{
    const int64_t moved = id[at];
    for (size_t child; (child = 2 * at + 1) < count; at = child) {
        child += child + 1 < count && id[child + 1] > id[child];
        if (id[child] <= moved)
            break;
        id[at] = id[child];
    }
    id[at] = moved;
}

/* In place: the library's qsort takes as much memory again. Each number once. */
static size_t sort_once(int64_t *id, size_t count)
{
    for (size_t i = count / 2; i-- > 0;)
        sift(id, i, count);
    for (size_t last = count; last-- > 1;) {
        const int64_t greatest = id[0];
        id[0] = id[last];
        id[last] = greatest;
        sift(id, 0, last);
    }
    size_t kept = 0;
    for (size_t i = 0; i < count; i++)
        if (kept == 0 || id[kept - 1] != id[i])
            id[kept++] = id[i];
    return kept;
}

static int make_room(lw_osm_set *set)
{
    if (set->room == set->most) /* neighbours share corners: each once may be few enough */
        set->count = sort_once(set->id, set->count);
    if (set->count <= set->room - set->room / 4 && set->room > 0)
        return 1;
    const size_t wanted = set->room ? 2 * set->room : ROOM_FIRST, room = wanted < set->most ? wanted : set->most;
    int64_t *id = room > set->room ? realloc(set->id, room * sizeof *id) : NULL;
    if (!id)
        return 0;
    set->id = id;
    set->room = room;
    return 1;
}

int lw_osm_set_add(lw_osm_set *set, int64_t id)
{
    if (set->count == set->room && !make_room(set))
        return 0;
    set->id[set->count++] = id;
    return 1;
}

int lw_osm_set_sort(lw_osm_set *set)
{
    set->is_sorted = 1;
    if (set->count == 0)
        return 1;
    set->count = sort_once(set->id, set->count);
    set->value = malloc(set->count * set->size);
    if (set->value)
        memset(set->value, 0xFF, set->count * set->size);
    return set->value != NULL;
}

/* The first that is not less, or the count. */
static size_t search(const lw_osm_set *set, int64_t id)
{
    size_t low = 0, high = set->count;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (set->id[middle] < id)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* Files have their numbers in order for the most part: from the last one on, before all are searched. */
void *lw_osm_set_find(lw_osm_set *set, int64_t id)
{
    size_t at = set->at;
    for (int steps = 0; steps < 4 && at < set->count && set->id[at] < id; steps++)
        at++;
    if ((at < set->count && set->id[at] < id) || (at > 0 && set->id[at - 1] >= id))
        at = search(set, id);
    set->at = at;
    return at < set->count && set->id[at] == id ? set->value + at * set->size : NULL;
}

void lw_osm_set_clear(lw_osm_set *set)
{
    free(set->id);
    free(set->value);
    set->id = NULL;
    set->value = NULL;
    set->count = set->room = 0;
}
