/* exchange/trip_candidates.h: which places of the book a trip may stay at, besides those that its file writes out.
 *
 * Reads     the map `candidates` of a trip's file, with its dates: named (a list of names), and what parts the others: near (a place of the book
 *           or LAT,LON; else where the book says one is), within (by air), drive, manager, supply (kinds), signal, night ("25 F to 60 F", the mean
 *           low of the trip's dates), length (of a rig, instead of the book's), most (so many, the nearest), worth (of a night there). Names alone:
 *           those alone. An empty map: all.
 * Results   lw_trip_candidates in SI; NaN, 0, empty: not said. is_asked 0: the file has no such map.
 * Errors    one sentence with file, line and key; LW_E_FULL for more names than fit. */
#ifndef LW_EXCHANGE_TRIP_CANDIDATES_H
#define LW_EXCHANGE_TRIP_CANDIDATES_H

#include "exchange/trip_file.h"

enum { LW_TRIP_NAMED = 60 };

typedef struct lw_trip_candidates {
    int is_asked, has_filter;
    int has_places; /* the file has some of its own */
    char named[LW_TRIP_NAMED][LW_TRIP_FILE_NAME];
    int named_count;
    char near[64], manager[LW_NAME];
    double within_m, drive_s, signal_frac, night_low_c, night_high_c, length_m, worth_usd;
    unsigned supplies; /* bits of lw_spot_kind */
    int most;
    int64_t from_day, until_day; /* of the trip; 0: not said */
} lw_trip_candidates;

LW_MUST_USE lw_code lw_trip_candidates_read(const char *name, const char *bytes, size_t size, lw_trip_candidates *to,
                                            lw_err *err);

#endif
