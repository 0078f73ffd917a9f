/* service/learned_kept.h: what was learned, as bytes for the book and back again, and the key that it is kept by.
 *
 * Key        names all that a learning depends on: version and tables of the program, what the book says of rig, crew, place and
 *            stay, the weather of the hours until the moment, readings, fills and dumps, starts, spreads, draws and seed. Another
 *            key: to be learned again.
 * Bytes      in the order and form of this machine, with a form number in front and a hash behind. What was cut short,
 *            changed by a failing disk or written by another kind of machine or form is not taken (0): learned again.
 * Ownership  what lw_learned_unpack fills lies in the arena. */
#ifndef LW_SERVICE_LEARNED_KEPT_H
#define LW_SERVICE_LEARNED_KEPT_H

#include <stddef.h>
#include <stdint.h>

#include "core/learn/learn.h"

/* words: of lw_household. */
uint64_t lw_learned_key(const lw_learn_in *in, const lw_scenario *past, uint64_t words, int64_t moment_s);

size_t lw_learned_pack_bytes(const lw_learned *learned, int vessels, int readings);
/* `to` has room for lw_learned_pack_bytes. */
void lw_learned_pack(const lw_learned *learned, int vessels, int readings, unsigned char *to);

size_t lw_learned_unpack_bytes(uint32_t draws, int readings); /* of arena */
int lw_learned_unpack(const unsigned char *from, size_t count, uint32_t draws, int vessels, int readings,
                      lw_arena *arena, lw_learned *learned);

#endif
