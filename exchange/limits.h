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
#define LW_MODEL_COLUMNS    64     /* inputs or results of one model */

#endif
