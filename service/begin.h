/* service/begin.h: a scenario file taken into the book, and a scenario made of the book again.
 *
 * Cuts      the text of a scenario into its sections as they were written, comments too: rig, crew, place, and all the rest
 *           (stay, weather, units) with the stay. A text whose sections do not stand at the start of lines (JSON) is written
 *           anew, value by value. Joined again they are the same tree of keys and texts, which is checked.
 * Begins    lw_begin: rig, crew, place and a new stay into the book, all or none; a stay that was still going on ends when the
 *           new one begins; while that is still to come, it goes on. What a weather file's name is looked for beside is kept as a setting.
 * Loads     lw_stay_load: the current stay as a scenario, as exchange/scenario.h reads it.
 * Errors    those of exchange/scenario.h and book/book.h; LW_E_CONFLICT a stay that is in the book already, or one that began
 *           later; LW_E_MISSING no stay yet.
 * Limits    a section longer than LW_BOOK_DOC_BYTES is refused. */
#ifndef LW_SERVICE_BEGIN_H
#define LW_SERVICE_BEGIN_H

#include "book/household.h"
#include "exchange/scenario.h"

typedef enum lw_section {
    LW_SECTION_RIG = 0,
    LW_SECTION_CREW,
    LW_SECTION_PLACE,
    LW_SECTION_STAY,
    LW_SECTION_COUNT
} lw_section;

typedef struct lw_sections {
    char *text[LW_SECTION_COUNT]; /* owned; "" where the file says nothing */
} lw_sections;

LW_MUST_USE lw_code lw_sections_cut(const char *name, const char *bytes, size_t size, lw_sections *sections,
                                    lw_err *err);
void lw_sections_clear(lw_sections *sections); /* twice is fine, and so are zeros */

/* The scenario of these texts; the caller frees it. NULL: no memory. */
char *lw_sections_join(const char *const text[LW_SECTION_COUNT]);

typedef struct lw_begun {
    int64_t stay, arrival_s;
    char rig[LW_NAME], place[LW_NAME];
    char ended[LW_NAME]; /* place of the stay that ended by it; empty: none */
} lw_begun;

/* `path`: of the file that the bytes are; whole, where weather files beside it are to be found again. */
LW_MUST_USE lw_code lw_begin(lw_book *book, const char *path, const char *bytes, size_t size, int64_t now_s,
                             lw_begun *begun, lw_err *err);

/* On success `loaded` is the caller's to clear. */
LW_MUST_USE lw_code lw_stay_load(lw_book *book, int64_t now_s, lw_loaded *loaded, lw_kept_stay *stay, lw_err *err);

#endif
