/* service/files.h: files that travel inside the program, made at build time by tools/embed_files.cmake. */
#ifndef LW_SERVICE_FILES_H
#define LW_SERVICE_FILES_H

#include <stddef.h>

typedef struct lw_file {
    const char *name; /* "assets/index.js"; NULL: past the last */
    const unsigned char *bytes;
    size_t size;
} lw_file;

extern const lw_file lw_demo_files[]; /* of the demo household its scenario, and the services around it */

#endif
