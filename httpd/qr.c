#include "httpd/qr.h"

#include <stdlib.h>

#include <qrencode.h>

enum { QUIET = 2 }; /* modules around it: four by the standard, but cameras read two on a terminal's own margin */

static int is_dark(const QRcode *code, int x, int y)
{
    return x >= 0 && y >= 0 && x < code->width && y < code->width && code->data[y * code->width + x] & 1;
}

unsigned char *lw_qr_modules(const char *text, int *side)
{
    QRcode *code = QRcode_encodeString(text, 0, QR_ECLEVEL_L, QR_MODE_8, 1);
    unsigned char *modules = code ? malloc((size_t)code->width * (size_t)code->width) : NULL;
    for (int i = 0; modules && i < code->width * code->width; i++)
        modules[i] = code->data[i] & 1;
    if (code) {
        *side = code->width;
        QRcode_free(code);
    }
    return modules;
}

int lw_qr_print(const char *text, FILE *to)
{
    /* Upper half, lower half: light modules are drawn, in colours of their own so that no theme turns them round. */
    static const char *const HALF[] = {" ", "\xE2\x96\x84", "\xE2\x96\x80", "\xE2\x96\x88"};
    QRcode *code = QRcode_encodeString(text, 0, QR_ECLEVEL_L, QR_MODE_8, 1);
    if (!code)
        return 0;
    for (int y = -QUIET; y < code->width + QUIET; y += 2) {
        fputs("  \033[97;40m", to);
        for (int x = -QUIET; x < code->width + QUIET; x++)
            fputs(HALF[2 * !is_dark(code, x, y) + (y + 1 >= code->width + QUIET || !is_dark(code, x, y + 1))], to);
        fputs("\033[0m\n", to);
    }
    QRcode_free(code);
    return 1;
}
