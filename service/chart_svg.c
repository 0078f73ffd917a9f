#include "service/chart_svg.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "service/svg.h"
#include "text/decimal.h"
#include "text/quantity.h"

/* Sizes in px, chosen by looking at the picture at 360, 760 and 1200 px. */
static const double PAD = 18.0, ROW = 40.0, BAR = 9.0, STRIP = 46.0, HEAD_LINE = 29.0, MARK_LINE = 15.0;
static const double HEAD_CHAR = 12.2, SMALL_CHAR = 5.7; /* mean advance of 22 px serif, 11 px sans */
static const double WIDE = 560.0;

typedef struct lw_canvas {
    const lw_chart *chart;
    lw_sink *sink;
    int is_inside;
    double width, left, right; /* of the axis: right is a coordinate */
    double head_y, strip_y, rows_y, bottom_y, height;
    int head_lines, mark_lines;
} lw_canvas;

/* ------------------------------------------------------------------ pieces */

static double x_of(const lw_canvas *c, double days)
{
    const double at = days < 0.0 ? 0.0 : days > c->chart->days_shown ? c->chart->days_shown : days;
    return c->left + (c->right - c->left) * at / c->chart->days_shown;
}

static void rect(const lw_canvas *c, const char *class, double x, double y, double w, double h, double round)
{
    lw_svg_rect(c->sink, class, x, y, w, h, round);
}

static void line(const lw_canvas *c, const char *class, const char *more, double x1, double y1, double x2, double y2)
{
    lw_svg_line(c->sink, class, more, x1, y1, x2, y2);
}

static void text_n(const lw_canvas *c, const char *class, const char *anchor, double x, double y, const char *text,
                   size_t length)
{
    lw_svg_text_n(c->sink, class, anchor, x, y, text, length);
}

static void text_at(const lw_canvas *c, const char *class, const char *anchor, double x, double y, const char *text)
{
    text_n(c, class, anchor, x, y, text, strlen(text));
}

/* ------------------------------------------------------------------ headline */

/* Cuts the headline at blanks; draws it where `draws`; gives the number of lines. */
static int headline(const lw_canvas *c, int draws)
{
    const size_t most = (size_t)fmax(12.0, (c->width - 2.0 * PAD) / HEAD_CHAR);
    const char *at = c->chart->headline;
    int lines = 0;
    while (*at) {
        size_t n = strlen(at);
        if (n > most) {
            n = most;
            while (n > 0 && at[n] != ' ')
                n--;
            if (n == 0) /* one long word */
                n = strcspn(at, " ");
        }
        if (draws)
            text_n(c, "h ink", "start", PAD, PAD + 20.0 + HEAD_LINE * lines, at, n);
        lines++;
        at += n;
        while (*at == ' ')
            at++;
    }
    return lines;
}

/* ------------------------------------------------------------------ days */

static double day_px(const lw_canvas *c)
{
    return (c->right - c->left) / c->chart->days_shown;
}

static void degrees(const lw_canvas *c, double air_c, char *buf, size_t n)
{
    const lw_unit *unit = lw_quantity_unit(air_c, LW_DIM_TEMPERATURE, c->chart->units);
    lw_decimal_print(buf, n, unit ? lw_unit_from_si(unit, air_c) : air_c, 0, 0);
}

static void day_names(const lw_canvas *c)
{
    const double px = day_px(c), y = c->strip_y - 12.0;
    for (int i = 0; i < c->chart->day_count; i++) {
        const lw_chart_day *d = &c->chart->day[i];
        const double middle = 0.5 * (x_of(c, d->from_days) + x_of(c, d->to_days));
        const double wide = x_of(c, d->to_days) - x_of(c, d->from_days);
        if (wide < 13.0)
            continue;
        text_n(c, d->weekday >= 5 ? "s ink b" : "s ink", "middle", middle, y - 13.0, d->letters, px < 18.0 ? 1 : 2);
        if (wide >= 38.0)
            text_at(c, "s soft", "middle", middle, y, d->date);
        else if (wide >= 15.0)
            text_n(c, "s soft", "middle", middle, y, d->date, strcspn(d->date, " "));
    }
}

static void work_days(const lw_canvas *c)
{
    for (int i = 0; i < c->chart->day_count; i++) {
        const lw_chart_day *d = &c->chart->day[i];
        const double x = x_of(c, d->from_days), w = x_of(c, d->to_days) - x;
        if (d->is_work)
            rect(c, "work", x, c->strip_y - 6.0, w, c->bottom_y - c->strip_y + 6.0, 0.0);
        if (i > 0)
            line(c, "grid", "stroke-width=\"0.6\"", x, c->strip_y - 6.0, x, c->bottom_y);
    }
}

static void extreme(const lw_canvas *c, const char *word, double air_c, double y)
{
    char figure[LW_DECIMAL_BYTES], text[96];
    degrees(c, air_c, figure, sizeof figure);
    snprintf(text, sizeof text, "%s %s \xC2\xB0%c", word, figure, c->chart->units == LW_UNITS_US ? 'F' : 'C');
    text_at(c, "s soft", "start", PAD, y, text);
}

/* Length is the day's range, strength its sun; blue where it freezes. */
static void temperatures(const lw_canvas *c)
{
    double low_c = INFINITY, high_c = -INFINITY;
    for (int i = 0; i < c->chart->day_count; i++) {
        low_c = fmin(low_c, c->chart->day[i].low_c);
        high_c = fmax(high_c, c->chart->day[i].high_c);
    }
    if (!(high_c >= low_c))
        return;
    const double span_c = fmax(high_c - low_c, 4.0), top = c->strip_y + 11.0, tall = STRIP - 24.0;
    for (int i = 0; i < c->chart->day_count; i++) {
        const lw_chart_day *d = &c->chart->day[i];
        const double wide = x_of(c, d->to_days) - x_of(c, d->from_days);
        const double middle = 0.5 * (x_of(c, d->from_days) + x_of(c, d->to_days));
        if (isnan(d->low_c) || wide < 6.0)
            continue;
        const double y_high = top + tall * (high_c - d->high_c) / span_c;
        const double y_low = fmax(top + tall * (high_c - d->low_c) / span_c, y_high + 1.0);
        const double strength = isnan(d->clear_frac) ? 0.8 : 0.35 + 0.65 * d->clear_frac;
        char more[80], opacity[LW_DECIMAL_BYTES], figure[LW_DECIMAL_BYTES];
        lw_decimal_print(opacity, sizeof opacity, strength, 2, 0);
        snprintf(more, sizeof more, "stroke-width=\"5\" stroke-linecap=\"round\" opacity=\"%.8s\"", opacity);
        line(c, d->is_frost ? "frost" : "day", more, middle, y_high, middle, y_low);
        if (wide < 22.0)
            continue;
        degrees(c, d->high_c, figure, sizeof figure);
        text_at(c, "s soft", "middle", middle, y_high - 5.0, figure);
        degrees(c, d->low_c, figure, sizeof figure);
        text_at(c, d->is_frost ? "s frostink b" : "s soft", "middle", middle, y_low + 13.0, figure);
    }
    extreme(c, "high", high_c, c->strip_y + 18.0);
    extreme(c, "low", low_c, c->strip_y + 32.0);
}

/* ------------------------------------------------------------------ rows */

static void band(const lw_canvas *c, const lw_chart_row *r, double y)
{
    const char *class = r->is_binding ? "bind" : "sure";
    const double from = x_of(c, r->p10_days), to = x_of(c, r->p90_days);
    const double shown = c->chart->days_shown, spread = r->p90_days - r->p10_days;
    const int is_cut = r->p10_days >= shown; /* its point must join without a notch */
    rect(c, class, c->left, y - 0.5 * BAR, fmax(from - c->left, 1.0), BAR, is_cut ? 0.0 : 1.5);
    if (to - from < 1.0)
        return;
    /* at the paper's edge a band that goes on is as thick as it would be there */
    const double left_over = r->p90_days > shown ? (r->p90_days - shown) / spread : 0.0;
    const double half = fmax(0.5 * BAR * left_over, 0.6);
    lw_sink_print(c->sink, "<path class=\"%s thin\"", class);
    lw_svg_px(c->sink, " d=\"M", from);
    lw_svg_px(c->sink, " ", y - 0.5 * BAR);
    lw_svg_px(c->sink, "L", to);
    lw_svg_px(c->sink, " ", y - half);
    lw_svg_px(c->sink, "V", y + half);
    lw_svg_px(c->sink, "L", from);
    lw_svg_px(c->sink, " ", y + 0.5 * BAR);
    lw_sink_text(c->sink, "Z\"/>\n");
}

/* A bar that leaves the paper ends in a point: it goes on. */
static void goes_on(const lw_canvas *c, const lw_chart_row *r, double y)
{
    lw_sink_print(c->sink, "<path class=\"%s\"", r->is_binding ? "bind" : "sure");
    lw_svg_px(c->sink, " d=\"M", c->right);
    lw_svg_px(c->sink, " ", y - 0.5 * BAR);
    lw_svg_px(c->sink, "l", 7.0);
    lw_svg_px(c->sink, " ", 0.5 * BAR);
    lw_svg_px(c->sink, "l", -7.0);
    lw_svg_px(c->sink, " ", 0.5 * BAR);
    lw_sink_text(c->sink, "Z\"/>\n");
}

static void end_of_row(const lw_canvas *c, const lw_chart_row *r, double y)
{
    const double x = x_of(c, r->p50_days);
    if (r->p50_is_beyond || r->p50_days > c->chart->days_shown) {
        goes_on(c, r, y);
        text_at(c, "s soft e", "end", c->right, y - 8.0, r->ends);
        return;
    }
    lw_sink_print(c->sink, "<circle class=\"%s\" stroke-width=\"2.4\"", r->is_binding ? "bindring" : "ring");
    lw_svg_px(c->sink, " cx=\"", x);
    lw_svg_px(c->sink, "\" cy=\"", y);
    lw_sink_text(c->sink, "\" r=\"4.6\"/>\n");
    const double needs = SMALL_CHAR * (double)strlen(r->ends) + 6.0;
    const char *class = r->is_binding ? "s bindink b e" : "s soft e";
    if (x + 10.0 + needs <= c->right) /* behind the ring, on the free line */
        text_at(c, class, "start", x + 5.0, y - 8.0, r->ends);
    else
        text_at(c, class, "end", fmax(x, c->left + needs), y - 8.0, r->ends);
}

static void rows(const lw_canvas *c)
{
    for (int i = 0; i < c->chart->row_count; i++) {
        const lw_chart_row *r = &c->chart->row[i];
        const double y = c->rows_y + ROW * (i + 0.5);
        lw_sink_text(c->sink, "<g role=\"listitem\"><title>");
        lw_svg_escaped(c->sink, r->name);
        lw_sink_text(c->sink, r->p50_is_beyond ? ": " : ": until ");
        lw_svg_escaped(c->sink, r->ends);
        lw_sink_text(c->sink, "; ");
        lw_svg_escaped(c->sink, r->left);
        lw_sink_text(c->sink, "</title>\n");
        text_at(c, r->is_binding ? "ink b" : "ink", "start", PAD, y - 1.0, r->name);
        text_at(c, "s soft", "start", PAD, y + 13.0, r->left);
        line(c, "grid", "stroke-width=\"1\"", c->left, y, c->right, y);
        band(c, r, y);
        end_of_row(c, r, y);
        lw_sink_text(c->sink, "</g>\n");
    }
}

/* ------------------------------------------------------------------ marks */

static const char *dash_of(lw_chart_mark_kind kind)
{
    switch (kind) {
    case LW_MARK_DEPARTURE:
        return "stroke-width=\"1.4\"";
    case LW_MARK_STAY_LIMIT:
        return "stroke-width=\"1.4\" stroke-dasharray=\"6 3\"";
    default:
        return "stroke-width=\"1\" stroke-dasharray=\"2 3\"";
    }
}

/* The latest on top, so that no line runs through the label of another that stands to its right. */
static void marks(const lw_canvas *c)
{
    for (int i = 0; i < c->chart->mark_count; i++) {
        const lw_chart_mark *m = &c->chart->mark[i];
        const double x = x_of(c, m->at_days), y = c->bottom_y + MARK_LINE * (c->chart->mark_count - i);
        const double needs = SMALL_CHAR * (double)strlen(m->text) + 8.0;
        line(c, "mark", dash_of(m->kind), x, c->rows_y - 4.0, x, y - 2.0);
        if (x + needs <= c->width - 4.0)
            text_at(c, "s ink e", "start", x + 4.0, y, m->text);
        else
            text_at(c, "s ink e", "end", x - 4.0, y, m->text);
    }
}

static void legend(const lw_canvas *c)
{
    int has_band = 0, has_work = 0, has_frost = 0;
    for (int i = 0; i < c->chart->row_count; i++)
        has_band |= c->chart->row[i].p90_days - c->chart->row[i].p10_days > 0.1;
    for (int i = 0; i < c->chart->day_count; i++) {
        has_work |= c->chart->day[i].is_work;
        has_frost |= c->chart->day[i].is_frost;
    }
    char text[200];
    snprintf(text, sizeof text, "%s%s%s", has_band ? "Solid: sure. Ring: as likely sooner as later." : "Ring: the end.",
             has_work ? " Shaded: work or school." : "", has_frost ? " Blue: frost." : "");
    text_at(c, "s soft", "start", PAD, c->height - 12.0, text);
}

/* ------------------------------------------------------------------ all of it */

static void put_description(const lw_canvas *c)
{
    lw_sink_text(c->sink, "<title id=\"leeway-title\">");
    lw_svg_escaped(c->sink, c->chart->headline);
    lw_sink_text(c->sink, "</title>\n<desc id=\"leeway-desc\">Leeway of each supply, ");
    lw_svg_escaped(c->sink, c->chart->span);
    lw_sink_text(c->sink, ".");
    for (int i = 0; i < c->chart->row_count; i++) {
        lw_sink_text(c->sink, " ");
        lw_svg_escaped(c->sink, c->chart->row[i].name);
        lw_sink_text(c->sink, c->chart->row[i].p50_is_beyond ? " lasts past what is shown: " : " until ");
        lw_svg_escaped(c->sink, c->chart->row[i].ends);
        lw_sink_text(c->sink, ".");
    }
    lw_sink_text(c->sink, "</desc>\n");
}

static lw_canvas lay_out(const lw_chart *chart, const lw_svg_options *options, lw_sink *sink)
{
    lw_canvas c = {.chart = chart, .sink = sink, .is_inside = options->is_inside};
    c.width = options->width_px <= 0 ? 760.0 : fmin(fmax(options->width_px, 320.0), 2000.0);
    c.left = c.width >= WIDE ? 150.0 : 122.0;
    c.right = c.width - PAD;
    c.head_lines = c.is_inside ? 0 : headline(&c, 0);
    c.head_y = PAD + HEAD_LINE * c.head_lines;
    c.strip_y = c.head_y + (c.is_inside ? 34.0 : 66.0);
    c.rows_y = c.strip_y + STRIP + 8.0;
    c.bottom_y = c.rows_y + ROW * chart->row_count;
    c.height = c.bottom_y + MARK_LINE * chart->mark_count + 34.0;
    return c;
}

void lw_chart_svg(const lw_chart *chart, const lw_svg_options *options, lw_sink *sink)
{
    const lw_canvas c = lay_out(chart, options, sink);
    lw_sink_text(sink, "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" "
                       "aria-labelledby=\"leeway-title leeway-desc\"");
    lw_svg_px(sink, " viewBox=\"0 0 ", c.width);
    lw_svg_px(sink, " ", c.height);
    lw_svg_px(sink, "\" width=\"", c.width);
    lw_svg_px(sink, "\" height=\"", c.height);
    lw_sink_text(sink, "\">\n");
    put_description(&c);
    lw_sink_text(sink, lw_svg_style);
    if (!c.is_inside) {
        rect(&c, "paper", 0.0, 0.0, c.width, c.height, 0.0);
        (void)headline(&c, 1);
        char under[160];
        snprintf(under, sizeof under, "%s%s%s", chart->place, chart->place[0] ? ", " : "", chart->span);
        text_at(&c, "soft", "start", PAD, c.head_y + 14.0, under);
    }
    work_days(&c);
    day_names(&c);
    temperatures(&c);
    marks(&c);
    rows(&c);
    legend(&c);
    lw_sink_text(sink, "</svg>\n");
}
