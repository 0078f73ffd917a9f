/* exchange/xml_internal.h: what the readers of XML map files share.
 *
 * Refused   XML that is damaged, nested deeper than LW_XML_DEPTH, has a tag of more than LW_XML_TAG_BYTES, or declares entities: none of these forms needs one, and they
 *           are how a small file becomes a large one. The sentence has the line. */
#ifndef LW_EXCHANGE_XML_INTERNAL_H
#define LW_EXCHANGE_XML_INTERNAL_H

#include <expat.h>

#include "exchange/spots_internal.h"

typedef struct lw_xml {
    const lw_spots_run *run;
    XML_Parser parser;
    void *context;
    /* depth: 1 for the first element and, at its end, for it again; attributes NULL at the end. */
    void (*begin)(void *context, const char *name, const char **attributes, int depth);
    void (*end)(void *context, const char *name, int depth);
    void (*text)(void *context, const char *text, size_t n, int depth); /* NULL: of no use */
    int depth;
    lw_code code;
} lw_xml;

/* The handlers and the context are set. */
lw_code lw_xml_parse(lw_xml *xml);
void lw_xml_stop(lw_xml *xml, lw_code code);
void lw_xml_refuse(lw_xml *xml, const char *what);

const char *lw_xml_attribute(const char **attributes, const char *name); /* NULL: none */
int lw_xml_degrees(const char **attributes, const char *name, double *degrees);

/* Text as it comes in pieces; what is too long is cut, and line ends at its sides are left out. */
enum { LW_XML_TEXT = 1024 };
typedef struct lw_xml_text {
    char text[LW_XML_TEXT];
    size_t n;
} lw_xml_text;
void lw_xml_text_add(lw_xml_text *to, const char *text, size_t n);
const char *lw_xml_text_end(lw_xml_text *to); /* borrowed until the next is begun */

#endif
