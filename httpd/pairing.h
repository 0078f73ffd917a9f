/* httpd/pairing.h: how a device of the network is let in: by a code that stands on the terminal, once.
 *
 * Code      six digits. It is spent by the device that names it, and after LW_PAIRING_TRIES wrong ones; then there is a new one.
 * Waiting   after a code that was spent by wrong tries nothing is taken for a minute, then for two, four and so on up to an
 *           hour; a device that is let in ends that. Somebody who guesses has then some 120 tries a day of a million.
 * Token     256 random bits in 64 hexadecimal digits, told once; the book keeps their SHA-256 (FIPS 180-4, by nettle).
 * Errors    LW_E_CONFLICT a wrong code; LW_E_FULL wait; LW_E_IO the system gives no random numbers. */
#ifndef LW_HTTPD_PAIRING_H
#define LW_HTTPD_PAIRING_H

#include <stdint.h>

#include "book/devices.h"

enum { LW_PAIRING_CODE = 7, LW_PAIRING_TRIES = 5, LW_TOKEN_TEXT = 65 };

typedef struct lw_pairing {
    char code[LW_PAIRING_CODE];
    int tries;
    int64_t wait_s, until_s; /* next length of waiting; end of this one */
} lw_pairing;

LW_MUST_USE lw_code lw_pairing_begin(lw_pairing *pairing, lw_err *err); /* the first code */

/* Whether this code lets in; LW_OK and LW_E_CONFLICT may both have made a new one (*is_new). */
LW_MUST_USE lw_code lw_pairing_try(lw_pairing *pairing, const char *code, int64_t now_s, int *is_new, lw_err *err);

LW_MUST_USE lw_code lw_token_make(char token[LW_TOKEN_TEXT], lw_err *err);
void lw_token_hash(const char *token, unsigned char hash[LW_TOKEN_HASH]);

#endif
