/* httpd/pages.h: the page's files, which travel inside the program. */
#ifndef LW_HTTPD_PAGES_H
#define LW_HTTPD_PAGES_H

#include "service/files.h"

enum { LW_PAGE_TAG = 24 };

extern const lw_file lw_page_files[]; /* made at build time from web/dist; with "NAME.gz" where packing pays */

typedef struct lw_page {
    const lw_file *plain, *packed; /* packed NULL: none */
    const char *type;
    int is_lasting;        /* its name changes with its contents */
    char tag[LW_PAGE_TAG]; /* told by its contents */
} lw_page;

/* "/" is index.html. 0: there is no such file. */
int lw_page_find(const char *path, lw_page *page);

#endif
