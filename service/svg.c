#include "service/svg.h"

#include <string.h>

#include "text/decimal.h"
#include "text/utf8.h"

/* Light first; what differs in the dark follows. Custom properties are left out: not every renderer knows them. */
const char lw_svg_style[] =
    "<style>\n"
    ".paper{fill:#f8f5ec}.ink{fill:#22271f}.soft{fill:#646b5d}.work{fill:#ece6d4}.grid{stroke:#d9d3c2}\n"
    ".sure{fill:#33503f}.ring{stroke:#33503f;fill:#f8f5ec}.bind{fill:#b04e17}.bindring{stroke:#b04e17;fill:#f8f5ec}\n"
    ".bindink{fill:#9c4312}.day{stroke:#8b9182}.frost{stroke:#4f86b5}.frostink{fill:#2f6796}.mark{stroke:#22271f}\n"
    ".thin{fill-opacity:.38}\n"
    "text{font-family:system-ui,-apple-system,'Segoe UI',Roboto,'DejaVu Sans',sans-serif;font-size:13px}\n"
    ".e{paint-order:stroke;stroke:#f8f5ec;stroke-width:3px;stroke-linejoin:round;stroke-opacity:.9}\n"
    ".s{font-size:11px}.b{font-weight:600}.h{font-family:Georgia,'Times New Roman','DejaVu Serif',serif;"
    "font-size:22px}\n"
    "@media (prefers-color-scheme:dark){.paper{fill:#161911}.ink{fill:#ece8db}.soft{fill:#a9ad9c}.work{fill:#22261b}\n"
    ".grid{stroke:#363b2d}.sure{fill:#a3c6ae}.ring{stroke:#a3c6ae;fill:#161911}.bind{fill:#f0a067}\n"
    ".bindring{stroke:#f0a067;fill:#161911}.bindink{fill:#f4b183}.day{stroke:#81877a}.frost{stroke:#8fc0ea}\n"
    ".frostink{fill:#a9d0f2}.e{stroke:#161911}.mark{stroke:#ece8db}}\n"
    "</style>\n";

static void escaped_n(lw_sink *sink, const char *text, size_t length)
{
    const unsigned char *c = (const unsigned char *)text, *end = c + length;
    while (c < end && *c) {
        const size_t n = lw_utf8_length((const char *)c);
        if (*c == '&')
            lw_sink_text(sink, "&amp;");
        else if (*c == '<')
            lw_sink_text(sink, "&lt;");
        else if (*c == '>')
            lw_sink_text(sink, "&gt;");
        else if (*c == '"')
            lw_sink_text(sink, "&quot;");
        else if (n == 0 || n > (size_t)(end - c))
            lw_sink_text(sink, "?");
        else if (*c >= 0x20u && *c != 0x7Fu)
            lw_sink_put(sink, (const char *)c, n);
        c += n == 0 ? 1 : n;
    }
}

void lw_svg_escaped(lw_sink *sink, const char *text)
{
    escaped_n(sink, text, strlen(text));
}

void lw_svg_px(lw_sink *sink, const char *before, double px)
{
    char text[LW_DECIMAL_BYTES];
    lw_decimal_print(text, sizeof text, px, 1, 0);
    lw_sink_text(sink, before);
    lw_sink_text(sink, text);
}

void lw_svg_rect(lw_sink *sink, const char *class, double x, double y, double w, double h, double round)
{
    lw_sink_print(sink, "<rect class=\"%s\"", class);
    lw_svg_px(sink, " x=\"", x);
    lw_svg_px(sink, "\" y=\"", y);
    lw_svg_px(sink, "\" width=\"", w);
    lw_svg_px(sink, "\" height=\"", h);
    if (round > 0.0)
        lw_svg_px(sink, "\" rx=\"", round);
    lw_sink_text(sink, "\"/>\n");
}

void lw_svg_line(lw_sink *sink, const char *class, const char *more, double x1, double y1, double x2, double y2)
{
    lw_sink_print(sink, "<line class=\"%s\" %s", class, more);
    lw_svg_px(sink, " x1=\"", x1);
    lw_svg_px(sink, "\" y1=\"", y1);
    lw_svg_px(sink, "\" x2=\"", x2);
    lw_svg_px(sink, "\" y2=\"", y2);
    lw_sink_text(sink, "\"/>\n");
}

void lw_svg_text_n(lw_sink *sink, const char *class, const char *anchor, double x, double y, const char *text,
                   size_t length)
{
    lw_sink_print(sink, "<text class=\"%s\" text-anchor=\"%s\"", class, anchor);
    lw_svg_px(sink, " x=\"", x);
    lw_svg_px(sink, "\" y=\"", y);
    lw_sink_text(sink, "\">");
    escaped_n(sink, text, length);
    lw_sink_text(sink, "</text>\n");
}

void lw_svg_text(lw_sink *sink, const char *class, const char *anchor, double x, double y, const char *text)
{
    lw_svg_text_n(sink, class, anchor, x, y, text, strlen(text));
}
