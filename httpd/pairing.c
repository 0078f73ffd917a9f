#include "httpd/pairing.h"

#include <stdio.h>
#include <string.h>
#include <sys/random.h>

#include <nettle/sha2.h>

#include "text/say.h"

static const int64_t FIRST_WAIT_S = 60, LONGEST_WAIT_S = 3600;

static lw_code random_bytes(void *to, size_t n, lw_err *err)
{
    return getrandom(to, n, 0) == (ssize_t)n ? LW_OK : lw_fail(err, LW_E_IO, "the system gives no random numbers");
}

/* Of 32 random bits those beyond the last whole million are drawn again, so that all codes are equally likely. */
static lw_code new_code(lw_pairing *pairing, lw_err *err)
{
    static const uint32_t CODES = 1000000u;
    uint32_t drawn;
    do {
        const lw_code code = random_bytes(&drawn, sizeof drawn, err);
        if (code)
            return code;
    } while (drawn >= UINT32_MAX / CODES * CODES);
    snprintf(pairing->code, sizeof pairing->code, "%06u", (unsigned)(drawn % CODES));
    pairing->tries = 0;
    return LW_OK;
}

lw_code lw_pairing_begin(lw_pairing *pairing, lw_err *err)
{
    *pairing = (lw_pairing){.wait_s = FIRST_WAIT_S};
    return new_code(pairing, err);
}

/* In the same time whichever digit is wrong. */
static int is_same(const char *a, const char *b)
{
    unsigned differs = strlen(a) != strlen(b);
    for (size_t i = 0; a[i] && b[i]; i++)
        differs |= (unsigned)(a[i] ^ b[i]);
    return !differs;
}

static lw_code take_wrong(lw_pairing *pairing, int64_t now_s, int *is_new, lw_err *err)
{
    if (++pairing->tries >= LW_PAIRING_TRIES) {
        pairing->until_s = now_s + pairing->wait_s;
        pairing->wait_s = 2 * pairing->wait_s < LONGEST_WAIT_S ? 2 * pairing->wait_s : LONGEST_WAIT_S;
        const lw_code code = new_code(pairing, err);
        if (code)
            return code;
        *is_new = 1;
    }
    return lw_fail(err, LW_E_CONFLICT, "this is not the code that stands on the terminal now");
}

lw_code lw_pairing_try(lw_pairing *pairing, const char *code, int64_t now_s, int *is_new, lw_err *err)
{
    *is_new = 0;
    if (now_s < pairing->until_s)
        return lw_fail(err, LW_E_FULL, "too many wrong codes; wait %d s, then use the code that stands on the terminal",
                       (int)(pairing->until_s - now_s));
    if (!is_same(code, pairing->code))
        return take_wrong(pairing, now_s, is_new, err);
    pairing->wait_s = FIRST_WAIT_S;
    *is_new = 1;
    return new_code(pairing, err);
}

lw_code lw_token_make(char token[LW_TOKEN_TEXT], lw_err *err)
{
    unsigned char byte[(LW_TOKEN_TEXT - 1) / 2];
    const lw_code code = random_bytes(byte, sizeof byte, err);
    for (size_t i = 0; i < sizeof byte && !code; i++)
        snprintf(token + 2 * i, 3, "%02x", byte[i]);
    return code;
}

void lw_token_hash(const char *token, unsigned char hash[LW_TOKEN_HASH])
{
    struct sha256_ctx sha;
    sha256_init(&sha);
    sha256_update(&sha, strlen(token), (const uint8_t *)token);
    sha256_digest(&sha, LW_TOKEN_HASH, hash);
}
