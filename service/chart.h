/* service/chart.h: the leeway chart as data, drawn as text by the terminal and as a picture by service/chart_svg.h.
 *
 * Computes   rows, soonest end on top, with x positions in days from the start; a scale of civil days with weekday, date,
 *            temperature range and work hours; marks for departure, stay limit and runs.
 * Width      the chart shows as many days as tell something: up to a day past the last end it can show or the wished
 *            departure, at least 4, at most 21 unless asked otherwise. What ends later runs off its right edge.
 * Errors     none. */
#ifndef LW_SERVICE_CHART_H
#define LW_SERVICE_CHART_H

#include "service/outlook.h"
#include "service/words.h"

enum { LW_CHART_DAYS = 63, LW_CHART_MARKS = 16 };

typedef struct lw_chart_row {
    lw_supply supply;
    char name[LW_NAME], left[64], ends[64];
    double p10_days, p50_days, p90_days; /* from the start; may lie past days_shown */
    int p10_is_beyond, p50_is_beyond, p90_is_beyond;
    int is_binding;
} lw_chart_row;

typedef struct lw_chart_day {
    double from_days, to_days; /* civil midnights, cut to the chart; days of 23 or 25 hours are as long as they are */
    char letters[4];           /* "Mo" */
    char date[16];             /* "15 Jun" */
    int weekday;               /* 0 = Monday */
    int is_work;               /* somebody works or learns on it */
    double low_c, high_c;      /* of the air */
    double clear_frac;         /* share of a clear day's sun, 0..1; NaN where irradiance is given instead */
    int is_frost;
} lw_chart_day;

typedef enum lw_chart_mark_kind { LW_MARK_DEPARTURE = 0, LW_MARK_STAY_LIMIT, LW_MARK_TRANSFER } lw_chart_mark_kind;

typedef struct lw_chart_mark {
    lw_chart_mark_kind kind;
    double at_days;
    char text[64]; /* "leave Thu 18 Jun 10:00" */
} lw_chart_mark;

typedef struct lw_chart {
    double days_shown;
    lw_unit_system units;
    lw_chart_row row[LW_SUPPLY_COUNT];
    int row_count;
    lw_chart_day day[LW_CHART_DAYS];
    int day_count;
    lw_chart_mark mark[LW_CHART_MARKS]; /* by time */
    int mark_count;
    char place[LW_NAME];
    char headline[LW_SENTENCE];
    char span[96]; /* "Sun 14 Jun to Thu 25 Jun": until the wished departure, else as far as the chart goes */
} lw_chart;

/* most_days 0: chosen. */
void lw_chart_make(const lw_outlook_answer *answer, const lw_words *words, const lw_words_choice *choice, int most_days,
                   lw_chart *chart);

#endif
