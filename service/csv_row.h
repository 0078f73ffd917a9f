/* service/csv_row.h: fields of a CSV line (RFC 4180) into a sink: quoted where they hold a comma, a quote or the end of a line. */
#ifndef LW_SERVICE_CSV_ROW_H
#define LW_SERVICE_CSV_ROW_H

#include "service/sink.h"

/* text NULL: an empty field. `end` stands behind it: "," or "\n". */
void lw_csv_field(lw_sink *sink, const char *text, const char *end);
void lw_csv_number(lw_sink *sink, double value, int decimals, const char *end); /* NaN: empty */

#endif
