/* exchange/tzif.h: the clock of a place from the system's tz database.
 *
 * Computes  lw_zone (core/base/civil.h): every change of the offset from UTC within a span, from the compiled zone file
 *           and, after its last change, from the rule in its footer.
 * Inputs    an IANA name ("America/Denver"), a span in UTC seconds of at most about 120 years.
 * Where     the folder $TZDIR if set, else /usr/share/zoneinfo, /usr/lib/zoneinfo, /usr/share/lib/zoneinfo, first hit.
 *           A name with "..", a leading "/" or characters that no zone has never reaches the file system.
 * Machine   lw_zone_machine: 1. the variable TZ when it holds a zone's name (":America/Denver" too); 2. the name behind
 *           ".../zoneinfo/" in the link /etc/localtime; 3. the first line of /etc/timezone; 4. UTC.
 * Errors    LW_E_MISSING unknown zone (the nearest names are offered) or no database; LW_E_SYNTAX a damaged file or one
 *           of version 1; LW_E_FULL more changes in the span than lw_zone holds; LW_E_RANGE span turned round. On
 *           failure zone is untouched.
 * Source    RFC 8536 (TZif), versions 2 and 3; IEEE Std 1003.1-2017, section 8.3, for the rule.
 * Limits    files that count leap seconds ("right/") are refused. Reads the environment; no state is kept. */
#ifndef LW_EXCHANGE_TZIF_H
#define LW_EXCHANGE_TZIF_H

#include <stddef.h>
#include <stdint.h>

#include "core/base/civil.h"
#include "core/base/err.h"

LW_MUST_USE lw_code lw_zone_load(const char *name, int64_t from_s, int64_t to_s, lw_zone *zone, lw_err *err);

/* The same from the bytes of a zone file. */
LW_MUST_USE lw_code lw_zone_read(const unsigned char *bytes, size_t n, const char *name, int64_t from_s, int64_t to_s,
                                 lw_zone *zone, lw_err *err);

/* The name of this machine's zone; buf of at least 48 bytes. Gives buf. */
char *lw_zone_machine(char *buf, size_t n);

#endif
