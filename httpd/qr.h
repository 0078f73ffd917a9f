/* httpd/qr.h: a text as a QR code (ISO/IEC 18004, by libqrencode) for a terminal: two modules a character, dark on light. */
#ifndef LW_HTTPD_QR_H
#define LW_HTTPD_QR_H

#include <stdio.h>

int lw_qr_print(const char *text, FILE *to); /* 0: it could not be made */

/* Its modules for whoever draws it: side * side of 0 and 1, row by row, the caller's (free); NULL: it does not fit, or no memory. */
unsigned char *lw_qr_modules(const char *text, int *side);

#endif
