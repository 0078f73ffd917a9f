#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <expat.h>

#include "exchange/spots_internal.h"
#include "text/decimal.h"
#include "text/say.h"

enum { PIECE = 16384, DEPTH_MOST = 32, TEXT_MOST = 512 };

typedef struct gpx {
    const lw_spots_run *run;
    XML_Parser parser;
    lw_spot_draft draft;
    int depth, is_gpx, is_in_point;
    char element[32], text[TEXT_MOST]; /* of the child of a waypoint that is open */
    size_t text_n;
    lw_code code;
} gpx;

static void stop(gpx *g, lw_code code)
{
    g->code = code;
    (void)XML_StopParser(g->parser, XML_FALSE);
}

static void refuse(gpx *g, const char *what)
{
    stop(g, lw_fail(g->run->err, LW_E_SYNTAX, "%s", what));
}

static int degrees_of(const XML_Char **attributes, const char *name, double *degrees)
{
    for (int i = 0; attributes[i]; i += 2)
        if (strcmp(attributes[i], name) == 0)
            return lw_decimal_parse(attributes[i + 1], attributes[i + 1] + strlen(attributes[i + 1]), degrees);
    return 0;
}

static void begin(void *context, const XML_Char *name, const XML_Char **attributes)
{
    gpx *g = context;
    if (g->depth == 0)
        g->is_gpx = strcmp(name, "gpx") == 0;
    if (!g->is_gpx) {
        refuse(g, "this XML is no GPX; its first element is not gpx");
    } else if (++g->depth > DEPTH_MOST) {
        refuse(g, "the XML is nested too deep");
    } else if (g->depth == 2 && strcmp(name, "wpt") == 0) {
        g->draft = (lw_spot_draft){.has_water = 0};
        g->is_in_point = 1;
        if (!degrees_of(attributes, "lat", &g->draft.row.spot.latitude_deg) ||
            !degrees_of(attributes, "lon", &g->draft.row.spot.longitude_deg))
            refuse(g, "a waypoint needs lat and lon in degrees");
    } else if (g->depth == 3 && g->is_in_point) {
        snprintf(g->element, sizeof g->element, "%.31s", name);
        g->text_n = 0;
    }
}

static void characters(void *context, const XML_Char *text, int n)
{
    gpx *g = context;
    const size_t room = TEXT_MOST - 1 - g->text_n, take = (size_t)n < room ? (size_t)n : room;
    if (!g->is_in_point || g->depth != 3)
        return;
    memcpy(g->text + g->text_n, text, take);
    g->text_n += take;
}

static void end(void *context, const XML_Char *name)
{
    gpx *g = context;
    (void)name;
    if (g->depth == 3 && g->is_in_point) {
        g->text[g->text_n] = '\0';
        if (strcmp(g->element, "type") == 0) /* our own words, where they are there */
            g->draft.row.kinds |= lw_spot_kinds_of(g->text);
        lw_spot_tag(&g->draft,
                    strcmp(g->element, "desc") == 0  ? "description"
                    : strcmp(g->element, "cmt") == 0 ? "note"
                                                     : g->element,
                    g->text);
        g->text_n = 0;
    }
    if (g->depth == 2 && g->is_in_point) {
        g->is_in_point = 0;
        const lw_code code = lw_spot_done(g->run, &g->draft);
        if (code)
            stop(g, code);
    }
    g->depth--;
}

/* Nothing that a waypoint says needs one, and they are how a small file becomes a large one. */
static void entity(void *context, const XML_Char *name, int is_parameter, const XML_Char *value, int n,
                   const XML_Char *base, const XML_Char *system_id, const XML_Char *public_id, const XML_Char *notation)
{
    (void)name, (void)is_parameter, (void)value, (void)n, (void)base, (void)system_id, (void)public_id, (void)notation;
    refuse(context, "the XML declares entities, which GPX has no use for");
}

static lw_code parse_all(gpx *g)
{
    char piece[PIECE];
    long n;
    do {
        n = g->run->read(g->run->source, piece, sizeof piece);
        if (n < 0)
            return lw_fail(g->run->err, LW_E_IO, "cannot be read");
        if (XML_Parse(g->parser, piece, (int)n, n == 0) == XML_STATUS_OK)
            continue;
        if (!g->code)
            g->code = lw_fail(g->run->err, LW_E_SYNTAX, "this XML is damaged: %s",
                              XML_ErrorString(XML_GetErrorCode(g->parser)));
        return lw_err_at(g->run->err, NULL, (long)XML_GetCurrentLineNumber(g->parser), NULL);
    } while (n > 0);
    return LW_OK;
}

lw_code lw_spots_gpx(const lw_spots_run *run)
{
    gpx *g = calloc(1, sizeof *g);
    lw_code code = LW_E_FULL;
    if (g && (g->parser = XML_ParserCreate(NULL)) != NULL) {
        g->run = run;
        XML_SetUserData(g->parser, g);
        XML_SetElementHandler(g->parser, begin, end);
        XML_SetCharacterDataHandler(g->parser, characters);
        XML_SetEntityDeclHandler(g->parser, entity);
        code = parse_all(g);
        XML_ParserFree(g->parser);
    } else {
        lw_fail(run->err, code, "no memory to read places");
    }
    free(g);
    return code;
}
