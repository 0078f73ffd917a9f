#include <math.h>
#include <stdio.h>
#include <string.h>

#include "service/buy.h"
#include "service/svg.h"
#include "text/decimal.h"

/* Sizes in px, chosen by looking at the picture at 360 and 760 px. */
static const double PAD = 18.0, LEFT = 52.0, HEAD = 46.0, PLOT = 230.0, ROW = 18.0, DOT = 10.0;
static const double CHAR_PX = 5.9;
enum { TICKS = 4, WIDTH_USUAL = 760 };

typedef struct plot {
    const lw_bought *bought;
    lw_sink *sink;
    double width, height, most_usd, most_days;
} plot;

static double x_of(const plot *p, double usd)
{
    return LEFT + (p->width - PAD - LEFT) * usd / p->most_usd;
}

static double y_of(const plot *p, double days)
{
    return HEAD + PLOT - PLOT * days / p->most_days;
}

/* The next of 1, 2, 5 times a power of ten above a fourth of it, four times. */
static double round_most(double value)
{
    const double step = value / TICKS, ten = pow(10.0, floor(log10(fmax(step, 0.25))));
    const double part = step / ten;
    return TICKS * ten * (part <= 1.0 ? 1.0 : part <= 2.0 ? 2.0 : part <= 5.0 ? 5.0 : 10.0);
}

static void axes(const plot *p)
{
    char text[64], number[LW_DECIMAL_BYTES];
    for (int i = 0; i <= TICKS; i++) {
        const double days = p->most_days * i / TICKS, usd = p->most_usd * i / TICKS;
        lw_svg_line(p->sink, "grid", "", LEFT, y_of(p, days), p->width - PAD, y_of(p, days));
        lw_decimal_print(number, sizeof number, days, 1, 0);
        lw_svg_text(p->sink, "s soft", "end", LEFT - 6.0, y_of(p, days) + 4.0, number);
        lw_decimal_print(number, sizeof number, usd, 0, 0);
        snprintf(text, sizeof text, "%s%s", number, i == TICKS ? " USD" : "");
        lw_svg_text(p->sink, "s soft", i == TICKS ? "end" : "middle", x_of(p, usd), HEAD + PLOT + 16.0, text);
    }
    lw_svg_text(p->sink, "b ink", "start", PAD, 28.0, "Days gained a year, by what they cost to buy");
}

/* All that was tried, faint; the front as a stair with numbers, told below. */
static void points(const plot *p)
{
    const lw_bought *b = p->bought;
    char number[16];
    double y = y_of(p, 0.0);
    for (int i = 0; i < b->set_count; i++) {
        const lw_buy_set *s = &b->set[i];
        if (!s->is_on_front && !s->why_not[0] && s->gained_days > 0.0 && s->price_usd <= p->most_usd)
            lw_svg_rect(p->sink, "sure thin", x_of(p, s->price_usd) - 2.5, y_of(p, s->gained_days) - 2.5, 5.0, 5.0,
                        2.5);
    }
    for (int i = 0; i < b->front_count; i++) {
        const lw_buy_set *s = &b->set[b->front[i]];
        const double x = x_of(p, s->price_usd),
                     to_x = i + 1 < b->front_count ? x_of(p, b->set[b->front[i + 1]].price_usd) : p->width - PAD;
        const double up = y_of(p, s->gained_days);
        lw_svg_line(p->sink, "mark", "stroke-width=\"1.5\"", x, y, x, up);
        lw_svg_line(p->sink, "mark", "stroke-width=\"1.5\"", x, up, to_x, up);
        lw_svg_rect(p->sink, "sure", x - DOT / 2.0, up - DOT / 2.0, DOT, DOT, DOT / 2.0);
        snprintf(number, sizeof number, "%d", i + 1);
        lw_svg_text(p->sink, "s b ink e", "start", x + 7.0, up - 6.0, number);
        y = up;
    }
}

static void legend(const plot *p)
{
    const lw_bought *b = p->bought;
    char text[360], usd[LW_DECIMAL_BYTES], days[LW_DECIMAL_BYTES];
    const size_t most = (size_t)((p->width - 2.0 * PAD) / CHAR_PX);
    for (int i = 0; i < b->front_count; i++) {
        const lw_buy_set *s = &b->set[b->front[i]];
        lw_decimal_print(usd, sizeof usd, nearbyint(s->price_usd), 0, 0);
        lw_decimal_print(days, sizeof days, nearbyint(s->gained_days * 10.0) / 10.0, 1, 0);
        snprintf(text, sizeof text, "%d. %s USD, +%s days: %s", i + 1, usd, days, s->title);
        if (strlen(text) > most && most > 3)
            memcpy(text + most - 3, "...", 4);
        lw_svg_text(p->sink, "s ink", "start", PAD, HEAD + PLOT + 40.0 + ROW * i, text);
    }
}

void lw_buy_svg(const lw_bought *b, int width_px, lw_sink *sink)
{
    plot p = {.bought = b, .sink = sink, .width = width_px > 0 ? width_px : WIDTH_USUAL};
    double usd = 100.0, days = 1.0;
    for (int i = 0; i < b->front_count; i++) {
        usd = fmax(usd, b->set[b->front[i]].price_usd);
        days = fmax(days, b->set[b->front[i]].gained_days);
    }
    p.most_usd = round_most(usd);
    p.most_days = round_most(days);
    p.height = HEAD + PLOT + 40.0 + ROW * b->front_count + PAD;
    lw_sink_text(sink, "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\"");
    lw_svg_px(sink, " width=\"", p.width);
    lw_svg_px(sink, "\" height=\"", p.height);
    lw_svg_px(sink, "\" viewBox=\"0 0 ", p.width);
    lw_svg_px(sink, " ", p.height);
    lw_sink_text(sink, "\">\n<title>What to buy: days gained a year by price</title>\n<desc>");
    lw_svg_escaped(sink, b->headline);
    lw_sink_text(sink, " ");
    lw_svg_escaped(sink, b->advice);
    lw_sink_text(sink, "</desc>\n");
    lw_sink_text(sink, lw_svg_style);
    lw_svg_rect(sink, "paper", 0.0, 0.0, p.width, p.height, 0.0);
    axes(&p);
    points(&p);
    legend(&p);
    lw_sink_text(sink, "</svg>\n");
}
