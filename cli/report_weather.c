#include "cli/report_weather.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "text/decimal.h"
#include "text/quantity.h"

enum { WHOLE_TABLE = 68, NARROW_COLUMNS = 5 }; /* a narrower screen gets the first columns */

enum { INDENT = 2, NAME = 12, SCALE_LEAST = 20, SCALE_MOST = 72, CELL = 24 };

static const char *const BAR = "━", *const FREEZING = "┊";

static const char MONTHS[12][4] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
static const char DAYS[7][4] = {"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"};

typedef struct weather_view {
    const lw_weather_answer *answer;
    lw_unit_system units;
    int rows;
} weather_view;

/* ---- numbers, each in the unit that the head of its column names ---- */

static const char *symbol_of(lw_dim dim, lw_unit_system units)
{
    const int is_us = units == LW_UNITS_US;
    switch (dim) {
    case LW_DIM_SPEED:
        return is_us ? "mph" : "m/s";
    case LW_DIM_LENGTH: /* of rain */
        return is_us ? "in" : "mm";
    default:
        return is_us ? "F" : "C";
    }
}

static double in_unit(const weather_view *v, lw_dim dim, double si)
{
    const char *symbol = symbol_of(dim, v->units);
    const lw_unit *unit = lw_unit_find(dim, symbol, strlen(symbol));
    return unit ? lw_unit_from_si(unit, si) : si;
}

static void put_number(char *buf, size_t n, double value, int decimals)
{
    char text[LW_DECIMAL_BYTES];
    if (isfinite(value))
        lw_decimal_print(text, sizeof text, value, decimals, 1);
    snprintf(buf, n, "%s", isfinite(value) ? text : "-");
}

static void put_unit(const weather_view *v, char *buf, size_t n, lw_dim dim, double si, int decimals)
{
    put_number(buf, n, in_unit(v, dim, si), decimals);
}

static int rain_decimals(const weather_view *v)
{
    return v->units == LW_UNITS_US ? 2 : 1;
}

/* ---- tables ---- */

static void head_of(const weather_view *v, const char *const *words, int column, char *buf, size_t n)
{
    static const lw_dim DIMS[] = {LW_DIM_NUMBER, LW_DIM_TEMPERATURE, LW_DIM_TEMPERATURE, LW_DIM_TEMPERATURE,
                                  LW_DIM_NUMBER, LW_DIM_NUMBER,      LW_DIM_LENGTH,      LW_DIM_SPEED};
    const int has_unit = DIMS[column] != LW_DIM_NUMBER && *words[column];
    snprintf(buf, n, "%s%s%s", words[column], has_unit ? " " : "", has_unit ? symbol_of(DIMS[column], v->units) : "");
}

static void month_cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[] = {"month", "high", "low", "+-", "sun h", "wet days", "rain", "wind"};
    const weather_view *v = context;
    const lw_weather_month *m = &v->answer->month[row > 0 ? row - 1 : 0];
    char a[CELL], b[CELL];
    if (row == 0) {
        head_of(v, HEAD, column, buf, n);
        return;
    }
    switch (column) {
    case 0:
        snprintf(buf, n, "%s", MONTHS[row - 1]);
        break;
    case 1:
    case 2:
        put_unit(v, buf, n, LW_DIM_TEMPERATURE, column == 1 ? m->normal.tmax_c : m->normal.tmin_c, 0);
        break;
    case 3:
        put_number(a, sizeof a, m->error.tmax_k * (v->units == LW_UNITS_US ? 1.8 : 1.0), 1);
        put_number(b, sizeof b, m->error.tmin_k * (v->units == LW_UNITS_US ? 1.8 : 1.0), 1);
        snprintf(buf, n, "%s/%s", a, b);
        break;
    case 4:
        put_number(buf, n, m->sun_kwhm2, 1);
        break;
    case 5:
        put_number(buf, n, m->wet_days, 0);
        break;
    case 6:
        put_unit(v, buf, n, LW_DIM_LENGTH, m->rain_mm / 1000.0, rain_decimals(v) - 1);
        break;
    default:
        put_unit(v, buf, n, LW_DIM_SPEED, m->normal.wind_ms, 0);
        break;
    }
}

static void date_words(const lw_weather_date *d, int width, char *buf, size_t n)
{
    const lw_date date = lw_date_of(d->day);
    snprintf(buf, n, "%s %*d %s", DAYS[lw_weekday_of(d->day)], width, date.day, MONTHS[date.month - 1]);
}

static void date_cell(const void *context, int row, int column, char *buf, size_t n)
{
    static const char *const HEAD[] = {"day", "high", "low", "", "sun h", "clear %", "rain", "wind"};
    const weather_view *v = context;
    const lw_weather_date *d = &v->answer->date[row > 0 ? row - 1 : 0];
    if (row == 0) {
        head_of(v, HEAD, column, buf, n);
        return;
    }
    switch (column) {
    case 0:
        date_words(d, 2, buf, n);
        break;
    case 1:
    case 2:
        put_unit(v, buf, n, LW_DIM_TEMPERATURE, column == 1 ? d->high_c : d->low_c, 0);
        break;
    case 3:
        snprintf(buf, n, "%s", d->hours < 23 ? "part" : ""); /* days of 23 hours are whole */
        break;
    case 4:
        put_number(buf, n, d->sun_kwhm2, 1);
        break;
    case 5:
        put_number(buf, n, 100.0 * d->clear_frac, 0);
        break;
    case 6:
        put_unit(v, buf, n, LW_DIM_LENGTH, d->rain_mm / 1000.0, rain_decimals(v));
        break;
    default:
        put_unit(v, buf, n, LW_DIM_SPEED, d->wind_ms, 0);
        break;
    }
}

/* ---- the plot ---- */

static void span_of(const weather_view *v, int row, double *low_c, double *high_c)
{
    const lw_weather_answer *a = v->answer;
    *low_c = a->is_climate ? a->month[row].normal.tmin_c : a->date[row].low_c;
    *high_c = a->is_climate ? a->month[row].normal.tmax_c : a->date[row].high_c;
}

static int column_of(double celsius, double from_c, double to_c, int width)
{
    const double at = to_c > from_c ? (celsius - from_c) / (to_c - from_c) * (width - 1) : 0.0;
    return (int)lround(at);
}

static void put_bar(lw_screen *screen, const weather_view *v, int row, double from_c, double to_c, int width)
{
    double low_c, high_c;
    char name[CELL];
    span_of(v, row, &low_c, &high_c);
    if (v->answer->is_climate)
        snprintf(name, sizeof name, "%.3s", MONTHS[row]);
    else
        date_words(&v->answer->date[row], 2, name, sizeof name);
    const int low = column_of(low_c, from_c, to_c, width), high = column_of(high_c, from_c, to_c, width);
    const int freezing = from_c <= 0.0 && to_c >= 0.0 ? column_of(0.0, from_c, to_c, width) : -1;
    lw_put_blank(screen, INDENT);
    lw_put_padded(screen, LW_PAINT_PLAIN, name, NAME, 0);
    for (int at = 0; at <= (high > freezing ? high : freezing); at++)
        lw_put(screen, LW_PAINT_PLAIN, at >= low && at <= high ? BAR : at == freezing ? FREEZING : " ");
    lw_put_end(screen);
}

static void put_plot(lw_screen *screen, const weather_view *v)
{
    double from_c = HUGE_VAL, to_c = -HUGE_VAL;
    char left[CELL], right[CELL], scale[160];
    int width = screen->width - INDENT - NAME - 1;
    width = width > SCALE_MOST ? SCALE_MOST : width < SCALE_LEAST ? SCALE_LEAST : width;
    for (int row = 0; row < v->rows; row++) {
        double low_c, high_c;
        span_of(v, row, &low_c, &high_c);
        from_c = fmin(from_c, low_c);
        to_c = fmax(to_c, high_c);
    }
    put_unit(v, left, sizeof left, LW_DIM_TEMPERATURE, from_c, 0);
    put_unit(v, right, sizeof right, LW_DIM_TEMPERATURE, to_c, 0);
    lw_put_title(screen, "From low to high");
    snprintf(scale, sizeof scale, "%s %s%*s %s", left, symbol_of(LW_DIM_TEMPERATURE, v->units),
             width - (int)strlen(left) - 3, right, symbol_of(LW_DIM_TEMPERATURE, v->units));
    lw_put_blank(screen, INDENT + NAME);
    lw_put(screen, LW_PAINT_FAINT, scale);
    lw_put_end(screen);
    for (int row = 0; row < v->rows; row++)
        put_bar(screen, v, row, from_c, to_c, width);
}

/* ---- all of it ---- */

static void climate_words(const weather_view *v, char *buf, size_t n)
{
    char winter[LW_QUANTITY_BYTES], summer[LW_QUANTITY_BYTES];
    const lw_unit *unit = lw_quantity_unit(1.0, LW_DIM_TEMPERATURE_STEP, v->units);
    lw_quantity_print_in(winter, sizeof winter, v->answer->month[0].normal.sd_k, unit, 2);
    lw_quantity_print_in(summer, sizeof summer, v->answer->month[6].normal.sd_k, unit, 2);
    snprintf(
        buf, n,
        "Means of 1991-2020 by a fit to stations%s. +- is by how much the mean high and low may be off here; the mean "
        "of "
        "a "
        "single day spreads about its own by %s in January and %s in July. sun h: hours of full sun a day on level "
        "ground. Wind is that of airfields; a sheltered camp has less.",
        v->answer->loaded.climate.station_frac > 0.0 ? ", drawn to the station that the scenario names" : "", winter,
        summer);
}

static void put_heading(lw_screen *screen, const weather_view *v)
{
    const lw_weather_answer *a = v->answer;
    char text[600], height[LW_QUANTITY_BYTES], latitude[LW_DECIMAL_BYTES], longitude[LW_DECIMAL_BYTES];
    lw_decimal_print(latitude, sizeof latitude, fabs(a->place.latitude_deg), 3, 0);
    lw_decimal_print(longitude, sizeof longitude, fabs(a->place.longitude_deg), 3, 0);
    lw_quantity_print_in(height, sizeof height, a->place.elevation_m, lw_quantity_unit(100.0, LW_DIM_LENGTH, v->units),
                         4);
    snprintf(text, sizeof text, "%s %s %c, %s %c, %s", a->is_climate ? "Climate of" : "Weather at", latitude,
             a->place.latitude_deg < 0.0 ? 'S' : 'N', longitude, a->place.longitude_deg < 0.0 ? 'W' : 'E', height);
    lw_put_wrapped(screen, LW_PAINT_STRONG, text, 0, 0);
    if (a->is_climate)
        climate_words(v, text, sizeof text);
    else
        snprintf(text, sizeof text, "%s.", a->loaded.weather_source[0] ? a->loaded.weather_source : "source not said");
    lw_put_wrapped(screen, LW_PAINT_PLAIN, text, 0, 0);
}

/* How much of the sun the land takes, on the first and the last whole day; nothing in open country. */
static void put_skyline(lw_screen *screen, const weather_view *v)
{
    const lw_weather_date *ends[2] = {NULL, NULL};
    char text[256], day[2][CELL], direct[2][CELL], up[2][CELL];
    for (int i = 0; i < v->rows && !v->answer->is_climate; i++)
        if (v->answer->date[i].hours >= 23) {
            ends[0] = ends[0] ? ends[0] : &v->answer->date[i];
            ends[1] = &v->answer->date[i];
        }
    if (!ends[0] || !(ends[0]->up_h - ends[0]->direct_h >= 0.05 || ends[1]->up_h - ends[1]->direct_h >= 0.05))
        return;
    for (int k = 0; k < 2; k++) {
        date_words(ends[k], 1, day[k], CELL);
        put_number(direct[k], CELL, ends[k]->direct_h, 1);
        put_number(up[k], CELL, ends[k]->up_h, 1);
    }
    snprintf(text, sizeof text, "Over the skyline the sun stands %s of its %s h on %s", direct[0], up[0], day[0]);
    const size_t n = strlen(text);
    if (ends[1] != ends[0])
        snprintf(text + n, sizeof text - n, ", %s of %s h on %s; cloud and trees set aside.", direct[1], up[1], day[1]);
    else
        snprintf(text + n, sizeof text - n, "; cloud and trees set aside.");
    lw_put_end(screen);
    lw_put_blank(screen, INDENT);
    lw_put_wrapped(screen, LW_PAINT_PLAIN, text, INDENT, INDENT + 2);
}

static void put_notes(lw_screen *screen, const lw_weather_answer *a)
{
    if (a->note_count > 0)
        lw_put_title(screen, "Beware");
    for (int i = 0; i < a->note_count; i++) {
        lw_put_blank(screen, INDENT);
        lw_put_wrapped(screen, LW_PAINT_PLAIN, a->note[i], INDENT, INDENT + 2);
    }
}

void lw_report_weather(lw_screen *screen, const lw_weather_answer *answer, lw_unit_system units)
{
    const weather_view view = {.answer = answer, .units = units, .rows = answer->is_climate ? 12 : answer->stay_count};
    put_heading(screen, &view);
    lw_put_end(screen);
    lw_put_table(screen, &(lw_table){.rows = view.rows + 1,
                                     .columns = screen->width < WHOLE_TABLE ? NARROW_COLUMNS : LW_TABLE_COLUMNS,
                                     .right = 0xFEu,
                                     .indent = INDENT,
                                     .head = LW_PAINT_FAINT,
                                     .warm_row = -1,
                                     .context = &view,
                                     .cell = answer->is_climate ? month_cell : date_cell});
    put_plot(screen, &view);
    put_skyline(screen, &view);
    put_notes(screen, answer);
}
