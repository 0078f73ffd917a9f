/* service/trip_request.h: a trip asked for and answered in JSON, for the page and other programs.
 *
 * Request   docs/trip-request.schema.json: `do` plan, show, replan, list, forget or year; and what that needs. A trip is the text of its
 *           file (YAML, or JSON as text); it takes the camp of the book, and cannot name a file of this machine.
 * Answer    docs/trip.schema.json for plan, show and replan; docs/trips.schema.json, the names, for list and forget;
 *           docs/trip-year.schema.json for year. The caller's text (free).
 * How       of `how` now_s, threads, progress and with alone are looked at: progress gives 0 to stop, which is LW_E_CONFLICT.
 * Errors    one sentence; those of service/trip.h; LW_E_SYNTAX for a request of another form. */
#ifndef LW_SERVICE_TRIP_REQUEST_H
#define LW_SERVICE_TRIP_REQUEST_H

#include "service/trip.h"

enum { LW_TRIP_REQUEST_SECONDS = 30 };

LW_MUST_USE lw_code lw_trip_request(lw_book *book, const char *json, size_t size, const lw_trip_ask *how,
                                    const char *version, char **answer, lw_err *err);

#endif
