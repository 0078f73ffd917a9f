#include "cli/chart_text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "text/decimal.h"
#include "text/quantity.h"

enum {
    GAP = 2,
    SCALE_LEAST = 20,
    NAME_MOST = 16,
    LEFT_MOST = 22,
    DAYS = 5,
    MARK_LINES = 4,
    DAY_LEAST = 3 /* columns */
};

static const double STEADY_K = 3.0, WHOLE_DAY = 0.9;

static const char *const SURE = "━", *const LIKELY = "─", *const HARDLY = "┈", *const MIDDLE = "●", *const ON = "▸",
                         *const MARK = "┊";

typedef struct layout {
    int name, left; /* widths of the columns; left 0: no room for it */
    int at, width;  /* of the scale */
    double per_day; /* columns */
} layout;

static int least(int a, int b)
{
    return a < b ? a : b;
}

static layout layout_of(const lw_screen *screen, const lw_chart *chart)
{
    layout l = {0};
    for (int i = 0; i < chart->row_count; i++) {
        const int name = lw_columns_of(screen, chart->row[i].name), left = lw_columns_of(screen, chart->row[i].left);
        l.name = name > l.name ? name : l.name;
        l.left = left > l.left ? left : l.left;
    }
    l.name = least(l.name, NAME_MOST);
    l.left = least(l.left, LEFT_MOST);
    l.at = l.name + GAP + l.left + GAP + DAYS + GAP;
    if (screen->width - l.at < SCALE_LEAST) {
        l.at -= l.left + GAP;
        l.left = 0;
    }
    l.width = screen->width - l.at;
    l.per_day = l.width / chart->days_shown;
    return l;
}

static int column_of(const layout *l, double days)
{
    const double at = floor(days * l->per_day + 1e-9);
    return at < 0.0 ? 0 : at > l->width ? l->width : (int)at;
}

/* A line of cells under the scale, filled with words at columns; what would touch a word before it is left out. */
typedef struct line {
    char cell[LW_WIDTH_MOST + 1];
    int width;
} line;

static void line_clear(line *out, int width)
{
    memset(out->cell, ' ', sizeof out->cell);
    out->width = width;
}

static int line_place(line *out, int at, const char *text)
{
    const int n = (int)strlen(text);
    if (at < 0 || at + n > out->width)
        return 0;
    for (int i = at > 0 ? at - 1 : 0; i < least(at + n + 1, out->width); i++)
        if (out->cell[i] != ' ')
            return 0;
    memcpy(out->cell + at, text, (size_t)n);
    return 1;
}

/* Without the blanks at its end. */
static const char *line_end(line *out)
{
    int n = out->width;
    while (n > 0 && out->cell[n - 1] == ' ')
        n--;
    out->cell[n] = '\0';
    return out->cell;
}

static void line_put(lw_screen *screen, const layout *l, const char *title, line *out)
{
    const char *text = line_end(out);
    if (!text[0])
        return;
    lw_put_padded(screen, LW_PAINT_FAINT, title, l->at - GAP, 1);
    lw_put_blank(screen, GAP);
    lw_put(screen, LW_PAINT_FAINT, text);
    lw_put_end(screen);
}

/* A day that is cut short at either end gives its place to its neighbour. */
static int is_room_for(const layout *l, const lw_chart_day *day, int columns)
{
    return column_of(l, day->to_days) - column_of(l, day->from_days) >= columns;
}

/* Cut so short at the start of the stay that its letter and date would stand under its neighbour's. */
static int is_stub(const layout *l, const lw_chart *chart, int at)
{
    const lw_chart_day *day = &chart->day[at];
    return at == 0 && day->to_days - day->from_days < WHOLE_DAY && !is_room_for(l, day, 2);
}

/* The first day that is none, where the next Monday leaves room for its date. */
static int is_first_named(const layout *l, const lw_chart *chart, int at)
{
    enum { DATE_ROOM = 7 };
    if (at > 1 || is_stub(l, chart, at) || (at == 1 && !is_stub(l, chart, 0)))
        return 0;
    for (int i = at; i < chart->day_count; i++)
        if (chart->day[i].weekday == 0)
            return i == at ||
                   column_of(l, chart->day[i].from_days) - column_of(l, chart->day[at].from_days) >= DATE_ROOM;
    return 1;
}

static void put_weekdays(lw_screen *screen, const layout *l, const lw_chart *chart)
{
    line out;
    line_clear(&out, l->width);
    for (int i = 0; i < chart->day_count; i++) {
        const lw_chart_day *day = &chart->day[i];
        char text[sizeof day->letters];
        snprintf(text, sizeof text, "%.*s", l->per_day >= 3.0 ? 2 : 1, day->letters);
        const int is_there =
            l->per_day >= 2.0 ? is_room_for(l, day, (int)strlen(text) + 1) : day->weekday == 0 && !is_stub(l, chart, i);
        if (is_there)
            (void)line_place(&out, column_of(l, day->from_days), text);
    }
    line_put(screen, l, "days", &out);
}

/* "15 Jun" at Mondays and the first whole day; numbers alone at the other days where they fit. */
static void put_dates(lw_screen *screen, const layout *l, const lw_chart *chart)
{
    line out;
    line_clear(&out, l->width);
    const int is_daily = l->per_day >= 3.0;
    for (int i = 0; i < chart->day_count; i++) {
        const lw_chart_day *day = &chart->day[i];
        const int number = (int)strcspn(day->date, " ");
        const int is_named = l->per_day >= 7.0 ||
                             (!is_daily && !is_stub(l, chart, i) && (day->weekday == 0 || is_first_named(l, chart, i)));
        char text[sizeof day->date];
        snprintf(text, sizeof text, "%.*s", is_named ? (int)sizeof text - 1 : number, day->date);
        if (is_named || (is_daily && is_room_for(l, day, (int)strlen(text) + 1)))
            (void)line_place(&out, column_of(l, day->from_days), text);
    }
    line_put(screen, l, "", &out);
}

static double shown_temperature(const lw_chart *chart, double air_c)
{
    const lw_unit *unit = lw_quantity_unit(air_c, LW_DIM_TEMPERATURE, chart->units);
    return round(lw_unit_from_si(unit, air_c)) + 0.0; /* no "-0" */
}

/* Highs and lows tell something only where days differ; steady weather is said in a sentence elsewhere. A day that is cut
 * short has another range. */
static int differs(const lw_chart *chart)
{
    const lw_chart_day *first = NULL;
    for (int i = 0; i < chart->day_count; i++) {
        const lw_chart_day *day = &chart->day[i];
        if (day->to_days - day->from_days < WHOLE_DAY)
            continue;
        first = first ? first : day;
        if (fabs(day->high_c - first->high_c) > STEADY_K || fabs(day->low_c - first->low_c) > STEADY_K)
            return 1;
    }
    return 0;
}

static void put_air(lw_screen *screen, const layout *l, const lw_chart *chart, int is_high)
{
    line out;
    char title[32];
    line_clear(&out, l->width);
    for (int i = 0; i < chart->day_count; i++) {
        const lw_chart_day *day = &chart->day[i];
        char text[16];
        snprintf(text, sizeof text, "%.0f", shown_temperature(chart, is_high ? day->high_c : day->low_c));
        if (is_room_for(l, day, DAY_LEAST) && is_room_for(l, day, (int)strlen(text) + 1))
            (void)line_place(&out, column_of(l, day->from_days), text);
    }
    snprintf(title, sizeof title, "%s %s", is_high ? "high" : "low",
             lw_quantity_unit(0.0, LW_DIM_TEMPERATURE, chart->units)->symbol);
    line_put(screen, l, title, &out);
}

static int is_marked(const layout *l, const lw_chart *chart, int column)
{
    for (int i = 0; i < chart->mark_count; i++)
        if (chart->mark[i].at_days <= chart->days_shown && column_of(l, chart->mark[i].at_days) == column)
            return 1;
    return 0;
}

static void put_bar(lw_screen *screen, const layout *l, const lw_chart *chart, const lw_chart_row *row)
{
    const lw_paint paint = row->is_binding ? LW_PAINT_WARM : LW_PAINT_PLAIN;
    const int sure = row->p10_is_beyond ? l->width : column_of(l, row->p10_days);
    const int middle = row->p50_is_beyond ? l->width : column_of(l, row->p50_days);
    const int last = row->p90_is_beyond ? l->width : column_of(l, row->p90_days);
    char bar[LW_WIDTH_MOST * 4 + 1] = "";
    int end = l->width; /* blanks at the line's end are left out */
    while (end > 0 && end - 1 > last && end - 1 > middle && !is_marked(l, chart, end - 1))
        end--;
    size_t used = 0;
    for (int i = 0; i < end; i++) {
        const char *cell = " ";
        if (i == l->width - 1 && last >= l->width)
            cell = ON;
        else if (i == middle)
            cell = MIDDLE;
        else if (i < sure)
            cell = SURE;
        else if (i < middle)
            cell = LIKELY;
        else if (i < last)
            cell = HARDLY;
        else if (is_marked(l, chart, i))
            cell = MARK;
        used += (size_t)snprintf(bar + used, sizeof bar - used, "%s", cell);
    }
    lw_put(screen, paint, bar);
    lw_put_end(screen);
}

static void days_words(const lw_chart_row *row, char *buf, size_t n)
{
    char number[LW_DECIMAL_BYTES];
    lw_decimal_print(number, sizeof number, row->p50_days, row->p50_is_beyond ? 0 : 1, 1);
    snprintf(buf, n, "%s%s", number, row->p50_is_beyond ? "+" : "");
}

static void put_row(lw_screen *screen, const layout *l, const lw_chart *chart, const lw_chart_row *row)
{
    const lw_paint paint = row->is_binding ? LW_PAINT_WARM : LW_PAINT_PLAIN;
    char days[LW_DECIMAL_BYTES + 2];
    days_words(row, days, sizeof days);
    lw_put_padded(screen, paint, row->name, l->name, 0);
    lw_put_blank(screen, GAP);
    if (l->left > 0) {
        lw_put_padded(screen, LW_PAINT_PLAIN, row->left, l->left, 0);
        lw_put_blank(screen, GAP);
    }
    lw_put_padded(screen, paint, days, DAYS, 1);
    lw_put_blank(screen, GAP);
    put_bar(screen, l, chart, row);
}

/* Right of its column or, near the edge, left of it; 0 where there is no room in any of the lines. */
static int place_mark(line *out, int at, const char *text, int *used)
{
    char right[sizeof((lw_chart_mark *)0)->text + 4], left[sizeof right];
    snprintf(right, sizeof right, "^ %s", text);
    snprintf(left, sizeof left, "%s ^", text);
    for (int k = 0; k < MARK_LINES; k++)
        if (line_place(&out[k], at, right) || line_place(&out[k], at + 1 - (int)strlen(left), left)) {
            *used = k + 1 > *used ? k + 1 : *used;
            return 1;
        }
    return 0;
}

/* Each mark's words under its column; those without room there stand in a line of their own. */
static void put_marks(lw_screen *screen, const layout *l, const lw_chart *chart)
{
    line out[MARK_LINES];
    int used = 0, is_placed[LW_CHART_MARKS] = {0};
    for (int i = 0; i < MARK_LINES; i++)
        line_clear(&out[i], screen->width); /* words may begin under the names */
    for (int i = 0; i < chart->mark_count; i++)
        if (chart->mark[i].at_days <= chart->days_shown)
            is_placed[i] = place_mark(out, l->at + least(column_of(l, chart->mark[i].at_days), l->width - 1),
                                      chart->mark[i].text, &used);
    for (int i = 0; i < used; i++) {
        lw_put(screen, LW_PAINT_FAINT, line_end(&out[i]));
        lw_put_end(screen);
    }
    for (int i = 0; i < chart->mark_count; i++) {
        if (is_placed[i] || chart->mark[i].at_days > chart->days_shown)
            continue;
        lw_put(screen, LW_PAINT_FAINT, MARK);
        lw_put_blank(screen, 1);
        lw_put_wrapped(screen, LW_PAINT_FAINT, chart->mark[i].text, 2, 2);
    }
}

/* Only what is drawn is explained. */
static void put_legend(lw_screen *screen, const layout *l, const lw_chart *chart)
{
    int has_spread = 0, has_more = 0, has_end = 0, has_mark = 0;
    for (int i = 0; i < chart->row_count; i++) {
        const lw_chart_row *row = &chart->row[i];
        const int is_on = row->p90_is_beyond || column_of(l, row->p90_days) >= l->width;
        has_spread |= column_of(l, row->p10_days) != column_of(l, row->p90_days);
        has_more |= is_on;
        has_end |= !row->p50_is_beyond && column_of(l, row->p50_days) < l->width;
    }
    for (int i = 0; i < chart->mark_count; i++)
        has_mark |= chart->mark[i].at_days <= chart->days_shown;
    char text[256];
    size_t n = 0;
    text[0] = '\0';
    const struct {
        int is_shown;
        const char *sign, *what;
    } parts[] = {{1, SURE, has_spread ? "sure" : "lasts"},
                 {has_spread, LIKELY, "likely"},
                 {has_end, MIDDLE, has_spread ? "even chance" : "ends"},
                 {has_spread, HARDLY, "at best"},
                 {has_more, ON, "lasts longer"},
                 {has_mark, MARK, "marked below"}};
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++)
        if (parts[i].is_shown)
            n += (size_t)snprintf(text + n, sizeof text - n, "%s%s %s", n ? "   " : "", parts[i].sign, parts[i].what);
    lw_put_wrapped(screen, LW_PAINT_FAINT, text, 0, 0);
}

void lw_chart_text(lw_screen *screen, const lw_chart *chart)
{
    if (chart->row_count == 0 || !(chart->days_shown > 0.0))
        return;
    const layout l = layout_of(screen, chart);
    put_weekdays(screen, &l, chart);
    put_dates(screen, &l, chart);
    if (l.per_day >= 3.0 && differs(chart)) {
        put_air(screen, &l, chart, 1);
        put_air(screen, &l, chart, 0);
    }
    for (int i = 0; i < chart->row_count; i++)
        put_row(screen, &l, chart, &chart->row[i]);
    put_marks(screen, &l, chart);
    put_legend(screen, &l, chart);
}
