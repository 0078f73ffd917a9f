/* core/base/hash.h: a short name for bytes, to tell whether they are the same as before.
 *
 * Computes  lw_hash: FNV-1a, 64 bits, going on from `hash`; LW_HASH_START begins one.
 * Limits    no protection against somebody who makes equal names on purpose.
 * Source    G. Fowler, L. C. Noll, K.-P. Vo, D. Eastlake, "The FNV Non-Cryptographic Hash Algorithm", RFC 9923. */
#ifndef LW_CORE_BASE_HASH_H
#define LW_CORE_BASE_HASH_H

#include <stddef.h>
#include <stdint.h>

#define LW_HASH_START UINT64_C(0xcbf29ce484222325)

static inline uint64_t lw_hash(uint64_t hash, const void *bytes, size_t n)
{
    const unsigned char *at = bytes;
    for (size_t i = 0; i < n; i++)
        hash = (hash ^ at[i]) * UINT64_C(0x100000001b3);
    return hash;
}

#endif
