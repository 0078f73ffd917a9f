/* exchange/hgt.h: a terrain tile of one degree (HGT, as the Shuttle Radar Topography Mission gave them out).
 *
 * Reads     signed 16-bit heights in metres, the high byte first, rows from north to south, samples on the degree lines;
 *           -32768 is "not known". The side follows from the size: 1201 (90 m) or 3601 (30 m), or any whose steps divide
 *           a degree evenly. As it is, or pressed with gzip. The name says the south-west corner: N44W072.
 * Results   heights in this machine's order; owned, freed by lw_hgt_clear. Heights that no land has are taken as not known
 *           and counted.
 * Errors    LW_E_SYNTAX a name without a corner, a size that is no square, a damaged gzip, more than a hundredth of heights
 *           that no land has (another kind of file); LW_E_FULL larger than LW_TERRAIN_SIDE_MOST^2 heights, also when
 *           unpacked; LW_E_IO. One sentence, the caller adds the place. Nothing is kept then.
 * Source    the layout: NASA/USGS SRTM documentation. Heights -500..9000 are the earth's land.
 * Limits    what the radar did not see is void or was filled by others; heights are above the geoid. */
#ifndef LW_EXCHANGE_HGT_H
#define LW_EXCHANGE_HGT_H

#include "core/land/terrain.h"
#include "exchange/csv.h"

typedef struct lw_hgt {
    lw_tile tile;
    int16_t *owned; /* behind tile.h_m */
    long odd;       /* heights that no land has */
} lw_hgt;

/* The corner that a file's name says ("N44W072.hgt", "n44w072.hgt.gz"); 0: it says none. */
int lw_hgt_corner(const char *name, int *south_deg, int *west_deg);

LW_MUST_USE lw_code lw_hgt_read(lw_read_fn *read, void *context, int south_deg, int west_deg, lw_hgt *out, lw_err *err);
void lw_hgt_clear(lw_hgt *hgt);

#endif
