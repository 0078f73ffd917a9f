/* service/chart_svg.h: the leeway chart as one SVG picture.
 *
 * Form      self-contained, no scripts, no fonts but the system's, light and dark by the reader's preference; title and
 *           description for those who cannot see it; every text from outside escaped, control characters dropped.
 * Errors    LW_E_IO from the sink's flush, which is the caller's; a closed receiver drops the rest. */
#ifndef LW_SERVICE_CHART_SVG_H
#define LW_SERVICE_CHART_SVG_H

#include "service/chart.h"
#include "service/sink.h"

typedef struct lw_svg_options {
    int width_px;  /* 320..2000; 0: 760 */
    int is_inside; /* a part of a page, which has its own headline: leaves background and headline out */
} lw_svg_options;

void lw_chart_svg(const lw_chart *chart, const lw_svg_options *options, lw_sink *sink);

#endif
