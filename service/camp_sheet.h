/* service/camp_sheet.h: the sheet of a place: what the book knows of it, in lines for people and as JSON.
 *
 * Lines      in the order in which they matter on arrival; what is not known is not there, but for the rules, of which it is said that
 *            nobody knows them. Rules always end by sending to the local office. With a rig, what is too long, too high or too heavy is said.
 * Results    lw_camp_sheet: total, nothing is owned.
 * JSON       docs/place.schema.json, in SI units. */
#ifndef LW_SERVICE_CAMP_SHEET_H
#define LW_SERVICE_CAMP_SHEET_H

#include "core/base/units.h"
#include "service/camps.h"
#include "service/household.h"
#include "service/roads.h"
#include "service/signal.h"

enum { LW_SHEET_LINES = 80, LW_SHEET_TEXT = 1100, LW_SHEET_WHAT = 16 };

typedef struct lw_sheet_line {
    char what[LW_SHEET_WHAT]; /* "road"; empty: goes on with the line before */
    char text[LW_SHEET_TEXT];
} lw_sheet_line;

typedef struct lw_camp_sheet {
    lw_sheet_line line[LW_SHEET_LINES];
    int count;
} lw_camp_sheet;

/* rig NULL: nothing is compared with it. */
void lw_camp_sheet_make(const lw_camp *camp, const lw_road_rig *rig, lw_unit_system units, lw_camp_sheet *sheet);

/* What lies around, behind it: the nearest service of each kind in map files, by air within 80 km; the road by a map; and what is known of signal for the lines of
 * the last stay, where that names masts, coverage or terrain, or something was measured within 10 km (service/signal.h). */
LW_MUST_USE lw_code lw_camp_sheet_around(lw_book *book, const lw_camp *camp, int64_t now_s, lw_unit_system units,
                                         lw_camp_sheet *sheet, lw_err *err);

/* What imported maps say of the road that leads there (service/road_near.h), and whose map it is. */
LW_MUST_USE lw_code lw_camp_sheet_road(lw_book *book, const lw_camp *camp, lw_unit_system units, lw_camp_sheet *sheet,
                                       lw_err *err);

/* The question of signal at a place, for the lines and with the maps of the last stay, and with what the book has where it names none. `home` is
 * filled too, must outlive the ask, and is cleared by the caller, on failure as well. LW_E_MISSING: the book has no stay. */
LW_MUST_USE lw_code lw_camp_signal_ask(lw_book *book, const lw_camp *camp, int64_t now_s, lw_household *home,
                                       lw_signal_ask *ask, lw_err *err);

/* What keeps a rig away from a place, in words; NULL: nothing that is known. Gives buf. */
const char *lw_camp_too_big(const lw_about *about, const lw_road_rig *rig, lw_unit_system units, char *buf, size_t n);

/* In feet or metres, whatever the height: nobody counts it in miles. Gives buf. */
char *lw_camp_height_say(double height_m, lw_unit_system units, char *buf, size_t n);
/* "38.2, -111.1". Gives buf. */
char *lw_camp_spot_say(lw_spot spot, char *buf, size_t n);

/* The caller's text (free), NULL: no memory. */
char *lw_camp_json(const lw_camp *camp, const lw_camp_put *put,
                   const char *version); /* put NULL: no duplicates were looked for */

#endif
