/* exchange/wire.h: messages in the wire form of Protocol Buffers, field by field, where they lie.
 *
 * Reads     varints, 64-bit and 32-bit words, and runs of bytes, which hold texts, messages and packed numbers. Groups (kinds 3
 *           and 4, long out of use) are refused.
 * Results   lw_wire_next: the next field; 0 at the end or where the bytes are damaged (is_bad). Nothing is copied.
 * Errors    none of its own: is_bad stays set.
 * Source    "Encoding", in the published documentation of Protocol Buffers. */
#ifndef LW_EXCHANGE_WIRE_H
#define LW_EXCHANGE_WIRE_H

#include <stddef.h>
#include <stdint.h>

typedef struct lw_wire {
    const unsigned char *at, *end;
    int is_bad;
} lw_wire;

typedef enum lw_wire_kind { LW_WIRE_VARINT = 0, LW_WIRE_64 = 1, LW_WIRE_BYTES = 2, LW_WIRE_32 = 5 } lw_wire_kind;

typedef struct lw_wire_field {
    uint32_t number;
    lw_wire_kind kind;
    uint64_t value; /* of the kinds that are numbers */
    lw_wire bytes;  /* of LW_WIRE_BYTES; empty otherwise */
} lw_wire_field;

static inline lw_wire lw_wire_of(const void *bytes, size_t n)
{
    return (lw_wire){bytes, (const unsigned char *)bytes + n, 0};
}

static inline int lw_wire_is_left(const lw_wire *wire)
{
    return wire->at < wire->end && !wire->is_bad;
}

uint64_t lw_wire_varint(lw_wire *wire); /* 0 and is_bad where there is none */
int lw_wire_next(lw_wire *wire, lw_wire_field *field);

static inline int64_t lw_wire_zigzag(uint64_t value)
{
    return (int64_t)(value >> 1) ^ -(int64_t)(value & 1);
}

/* The sum goes round instead of overflowing: what comes of damaged bytes is refused by its range. */
static inline int64_t lw_wire_add(int64_t to, uint64_t zigzag)
{
    return (int64_t)((uint64_t)to + (uint64_t)lw_wire_zigzag(zigzag));
}

#endif
