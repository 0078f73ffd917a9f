/* exchange/limits.h: how much of a file is taken in. Beyond a limit the reader refuses with a sentence that names it.
 */
#ifndef LW_EXCHANGE_LIMITS_H
#define LW_EXCHANGE_LIMITS_H

#define LW_CSV_RECORD_BYTES 65536  /* one record of a CSV table with its line ends */
#define LW_CSV_FIELDS       512    /* fields of one record */
#define LW_CSV_BUFFER_BYTES 131072 /* read ahead; holds at least one whole record */
#define LW_TZIF_BYTES       65536  /* one compiled time zone; those in use are below 4 kB */
#define LW_TZIF_TIMES       2048   /* changes in one time zone */
#define LW_ZONE_TABLE_NAMES 700    /* rows of the zone table searched for a near name */
#define LW_HOURLY_RECORDS   35136  /* a leap year in quarter hours */
#define LW_HOURLY_GAP_H     6      /* missing values are bridged up to here */
#define LW_GHCN_FIRST_YEAR  1750   /* days before are refused */
#define LW_GHCN_LAST_YEAR   2099
#define LW_GHCN_YEARS_KEPT  30      /* the last years of a station stand for its climate */
#define LW_GHCN_YEARS_LEAST 10      /* fewer are no climate */
#define LW_GHCN_DAYS_LEAST  200     /* of one month of the year, over all years */
#define LW_GRIDPOINT_BYTES  3145728 /* a forecast; those of the service are below 1 MB */
#define LW_GRIDPOINT_DEPTH  24      /* of its JSON; the service's form has 8 */
#define LW_FORECAST_HOURS   240     /* the service looks ahead for some 180 */
#define LW_MODEL_COLUMNS    64      /* inputs or results of one model */
#define LW_ASCII_GRID_CELLS 4000000 /* heights of an ASCII grid: 2000 x 2000 */
#define LW_ASCII_GRID_BYTES 33554432
#define LW_COVERAGE_BYTES   33554432 /* of GeoJSON, unpacked */
#define LW_OSM_CORNERS      6000000  /* of the areas of an extract that are places: 96 MB */
#define LW_ROAD_CORNERS     4000000  /* of its roads: 64 MB */
#define LW_OSM_WAYS         1000000  /* of relations that are places: 48 MB */
#define LW_OSM_BLOCK_BYTES  33554432 /* of a PBF, packed or not: what its form allows */
#define LW_FEATURE_BYTES    33554432 /* one feature of GeoJSON */
#define LW_SHAPE_CORNERS    4000000  /* of one area */
#define LW_CHILD_WAIT_S     120      /* a program that converts maps may think so long before its next byte */
#define LW_CHILD_BYTES      8e9      /* that it may write in all */
#define LW_RASTER_TILES     25       /* degrees of one map of heights */
#define LW_RASTER_WAIT_S    600      /* that cutting one tile of it may take */
#define LW_XML_DEPTH        32       /* elements within each other */
#define LW_XML_TAG_BYTES    4194304  /* one tag with all that is in it, or one remark */
#define LW_UNPACKED_FREE    67108864 /* bytes of a packed file that are taken however small it is */
#define LW_UNPACKED_TIMES   200.0    /* its size, beyond that: maps pack to a tenth, hardly to a hundredth */
#define LW_ZIP_FILES        1000     /* looked through for a map */
#define LW_ROUTER_BYTES     4194304  /* an answer of a routing engine: 2,000 ways are some 200 kB */

#endif
