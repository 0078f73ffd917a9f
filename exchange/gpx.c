#include "exchange/gpx.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "text/decimal.h"
#include "text/moment.h"

static void put_text(FILE *to, const char *text)
{
    for (; *text; text++) {
        const unsigned char c = (unsigned char)*text;
        if (c == '&')
            fputs("&amp;", to);
        else if (c == '<')
            fputs("&lt;", to);
        else if (c == '>')
            fputs("&gt;", to);
        else if (c == '"')
            fputs("&quot;", to);
        else
            fputc(c < 0x20 && c != '\n' && c != '\t' ? ' ' : c, to);
    }
}

static void put_point(FILE *to, const char *word, const lw_gpx_point *p, int is_whole)
{
    char latitude[LW_DECIMAL_BYTES], longitude[LW_DECIMAL_BYTES], height[LW_DECIMAL_BYTES];
    lw_decimal_print(latitude, sizeof latitude, p->spot.latitude_deg, 6, 0);
    lw_decimal_print(longitude, sizeof longitude, p->spot.longitude_deg, 6, 0);
    fprintf(to, "  <%s lat=\"%s\" lon=\"%s\">", word, latitude, longitude);
    if (is_whole && !isnan(p->elevation_m)) {
        lw_decimal_print(height, sizeof height, p->elevation_m, 1, 0);
        fprintf(to, "<ele>%s</ele>", height);
    }
    fputs("<name>", to);
    put_text(to, p->name);
    fputs("</name>", to);
    if (is_whole && p->description) {
        fputs("<desc>", to);
        put_text(to, p->description);
        fputs("</desc>", to);
    }
    fprintf(to, "</%s>\n", word);
}

char *lw_gpx_print(const lw_gpx *gpx)
{
    char *text = NULL, made[40];
    size_t size = 0;
    FILE *to = open_memstream(&text, &size);
    if (!to)
        return NULL;
    (void)lw_instant_print(made, sizeof made, (double)gpx->made_s, 0);
    fputs("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"leeway\" "
          "xmlns=\"http://www.topografix.com/GPX/1/1\">\n <metadata><name>",
          to);
    put_text(to, gpx->name);
    fprintf(to, "</name><time>%s</time></metadata>\n", made);
    for (size_t i = 0; i < gpx->count; i++)
        put_point(to, "wpt", &gpx->point[i], 1);
    fputs(" <rte><name>", to);
    put_text(to, gpx->name);
    fputs("</name>\n", to);
    for (size_t i = 0; i < gpx->count; i++)
        put_point(to, "rtept", &gpx->point[i], 0);
    fputs(" </rte>\n</gpx>\n", to);
    const int has_failed = ferror(to);
    if (fclose(to) || has_failed) {
        free(text);
        return NULL;
    }
    return text;
}
