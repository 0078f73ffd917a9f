/* exchange/tables_internal.h: the files of data/ as they travel inside the program; filled by tools/embed.cmake. */
#ifndef LW_EXCHANGE_TABLES_INTERNAL_H
#define LW_EXCHANGE_TABLES_INTERNAL_H

typedef struct lw_embedded {
    const char *name, *text;
    unsigned size;
} lw_embedded;

extern const lw_embedded lw_embedded_tables[];
extern const unsigned lw_embedded_count;

#endif
