/* core/base/arena.h: memory for whatever lives as long as one request or one run.
 *
 * The caller brings one block; pieces are lent from it and dropped together with lw_arena_reset. */
#ifndef LW_CORE_BASE_ARENA_H
#define LW_CORE_BASE_ARENA_H

#include <stddef.h>

typedef struct lw_arena {
    unsigned char *base; /* aligned for any type */
    size_t cap, used;
} lw_arena;

/* Borrowed until lw_arena_reset. NULL when full: the caller reports LW_E_FULL, the arena stays usable. */
static inline void *lw_arena_lend(lw_arena *arena, size_t size, size_t align)
{
    const size_t at = (arena->used + align - 1) & ~(align - 1); /* align is a power of two */
    if (at < arena->used || at > arena->cap || size > arena->cap - at)
        return NULL;
    arena->used = at + size;
    return arena->base + at;
}

static inline void lw_arena_reset(lw_arena *arena)
{
    arena->used = 0;
}

#endif
