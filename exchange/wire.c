#include "exchange/wire.h"

uint64_t lw_wire_varint(lw_wire *wire)
{
    uint64_t value = 0;
    for (int shift = 0; shift < 70 && wire->at < wire->end; shift += 7) {
        const unsigned char byte = *wire->at++;
        value |= shift < 64 ? (uint64_t)(byte & 0x7F) << shift : 0;
        if (byte < 0x80)
            return value;
    }
    wire->is_bad = 1;
    return 0;
}

static int take_word(lw_wire *wire, int bytes, uint64_t *value)
{
    if (wire->end - wire->at < bytes)
        return 0;
    *value = 0;
    for (int i = 0; i < bytes; i++)
        *value |= (uint64_t)wire->at[i] << (8 * i);
    wire->at += bytes;
    return 1;
}

int lw_wire_next(lw_wire *wire, lw_wire_field *field)
{
    if (!lw_wire_is_left(wire))
        return 0;
    const uint64_t tag = lw_wire_varint(wire);
    uint64_t n;
    *field = (lw_wire_field){.number = (uint32_t)(tag >> 3)};
    switch (tag & 7) {
    case LW_WIRE_VARINT:
        field->value = lw_wire_varint(wire);
        break;
    case LW_WIRE_64:
        field->kind = LW_WIRE_64;
        wire->is_bad |= !take_word(wire, 8, &field->value);
        break;
    case LW_WIRE_32:
        field->kind = LW_WIRE_32;
        wire->is_bad |= !take_word(wire, 4, &field->value);
        break;
    case LW_WIRE_BYTES:
        field->kind = LW_WIRE_BYTES;
        n = lw_wire_varint(wire);
        if (wire->is_bad || n > (uint64_t)(wire->end - wire->at)) {
            wire->is_bad = 1;
        } else {
            field->bytes = lw_wire_of(wire->at, (size_t)n);
            wire->at += n;
        }
        break;
    default:
        wire->is_bad = 1;
    }
    wire->is_bad |= tag >> 3 == 0 || tag >> 35 != 0;
    return !wire->is_bad;
}
