/* service/svg.h: pieces of a picture in SVG, and the one style of all of them.
 *
 * Form      classes of lw_svg_style; lengths in px to a tenth; texts from outside escaped, control characters dropped.
 * Errors    those of the sink, at its flush. */
#ifndef LW_SERVICE_SVG_H
#define LW_SERVICE_SVG_H

#include "service/sink.h"

extern const char lw_svg_style[]; /* a <style> element, light and dark */

void lw_svg_escaped(lw_sink *sink, const char *text);
void lw_svg_px(lw_sink *sink, const char *before, double px);
void lw_svg_rect(lw_sink *sink, const char *class, double x, double y, double w, double h, double round);
/* `more`: further attributes, or "". */
void lw_svg_line(lw_sink *sink, const char *class, const char *more, double x1, double y1, double x2, double y2);
/* anchor: start, middle, end. */
void lw_svg_text(lw_sink *sink, const char *class, const char *anchor, double x, double y, const char *text);
void lw_svg_text_n(lw_sink *sink, const char *class, const char *anchor, double x, double y, const char *text,
                   size_t length);

#endif
