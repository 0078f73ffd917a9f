#include <string.h>

#include "exchange/xml_internal.h"
#include "text/decimal.h"
#include "text/say.h"

enum { PIECE = 65536 };

void lw_xml_stop(lw_xml *xml, lw_code code)
{
    xml->code = code;
    (void)XML_StopParser(xml->parser, XML_FALSE);
}

void lw_xml_refuse(lw_xml *xml, const char *what)
{
    lw_xml_stop(xml, lw_fail(xml->run->err, LW_E_SYNTAX, "%s", what));
}

const char *lw_xml_attribute(const char **attributes, const char *name)
{
    for (int i = 0; attributes[i]; i += 2)
        if (strcmp(attributes[i], name) == 0)
            return attributes[i + 1];
    return NULL;
}

int lw_xml_degrees(const char **attributes, const char *name, double *degrees)
{
    const char *text = lw_xml_attribute(attributes, name);
    return text && lw_decimal_parse(text, text + strlen(text), degrees);
}

void lw_xml_text_add(lw_xml_text *to, const char *text, size_t n)
{
    const size_t room = LW_XML_TEXT - 1 - to->n, take = n < room ? n : room;
    memcpy(to->text + to->n, text, take);
    to->n += take;
}

static int is_blank(char c)
{
    return c == ' ' || c == '\n' || c == '\r' || c == '\t';
}

const char *lw_xml_text_end(lw_xml_text *to)
{
    while (to->n && is_blank(to->text[to->n - 1]))
        to->n--;
    to->text[to->n] = '\0';
    const char *from = to->text;
    while (is_blank(*from))
        from++;
    to->n = 0;
    return from;
}

static void begin(void *context, const XML_Char *name, const XML_Char **attributes)
{
    lw_xml *xml = context;
    if (++xml->depth > LW_XML_DEPTH)
        lw_xml_refuse(xml, "the XML is nested too deep");
    else
        xml->begin(xml->context, name, attributes, xml->depth);
}

static void end(void *context, const XML_Char *name)
{
    lw_xml *xml = context;
    if (!xml->code)
        xml->end(xml->context, name, xml->depth);
    xml->depth--;
}

static void text(void *context, const XML_Char *bytes, int n)
{
    const lw_xml *xml = context;
    if (!xml->code)
        xml->text(xml->context, bytes, (size_t)n, xml->depth);
}

static void entity(void *context, const XML_Char *name, int is_parameter, const XML_Char *value, int n,
                   const XML_Char *base, const XML_Char *system_id, const XML_Char *public_id, const XML_Char *notation)
{
    (void)name, (void)is_parameter, (void)value, (void)n, (void)base, (void)system_id, (void)public_id, (void)notation;
    lw_xml_refuse(context, "the XML declares entities, which map files have no use for");
}

static lw_code parse_all(lw_xml *xml)
{
    long n;
    double given = 0.0;
    do {
        void *piece = XML_GetBuffer(xml->parser, PIECE);
        if (!piece)
            return lw_fail(xml->run->err, LW_E_FULL, "no memory to read XML");
        n = xml->run->read(xml->run->source, piece, PIECE);
        if (n < 0)
            return lw_fail(xml->run->err, LW_E_IO, "cannot be read");
        given += (double)n;
        if (XML_ParseBuffer(xml->parser, (int)n, n == 0) == XML_STATUS_OK) {
            if (n > 0 && given - (double)XML_GetCurrentByteIndex(xml->parser) > LW_XML_TAG_BYTES)
                return lw_fail(xml->run->err, LW_E_FULL, "a single tag of the XML is larger than 4 MB");
            continue;
        }
        if (!xml->code)
            xml->code = lw_fail(xml->run->err, LW_E_SYNTAX, "this XML is damaged: %s",
                                XML_ErrorString(XML_GetErrorCode(xml->parser)));
        return lw_err_at(xml->run->err, NULL, (long)XML_GetCurrentLineNumber(xml->parser), NULL);
    } while (n > 0);
    return LW_OK;
}

lw_code lw_xml_parse(lw_xml *xml)
{
    xml->parser = XML_ParserCreate(NULL);
    if (!xml->parser)
        return lw_fail(xml->run->err, LW_E_FULL, "no memory to read XML");
    xml->depth = 0;
    xml->code = LW_OK;
    XML_SetUserData(xml->parser, xml);
    XML_SetElementHandler(xml->parser, begin, end);
    if (xml->text)
        XML_SetCharacterDataHandler(xml->parser, text);
    XML_SetEntityDeclHandler(xml->parser, entity);
    const lw_code code = parse_all(xml);
    XML_ParserFree(xml->parser);
    xml->parser = NULL;
    return code;
}
