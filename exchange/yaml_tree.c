#include "exchange/yaml_tree.h"

#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <sys/stat.h>
#include <yaml.h>

#include "text/say.h"

/* Room beyond the text itself: libyaml's escapes can grow a text by half, each scalar gets an end mark, overrides come
 * on top. Untouched pages cost nothing. */
static size_t text_room(size_t size)
{
    return 2 * size + (size_t)LW_YAML_NODES + (256u << 10);
}

/* ---- storage ---- */

static lw_code grow_node(lw_yaml *tree, lw_yaml_node **out, lw_err *err)
{
    if (tree->node_count == LW_YAML_NODES)
        return lw_fail(err, LW_E_FULL, "more than %d entries; a scenario needs a few hundred", LW_YAML_NODES);
    *out = &tree->nodes[tree->node_count++];
    return LW_OK;
}

static lw_code keep_text(lw_yaml *tree, const char *text, size_t n, const char **out, lw_err *err)
{
    assert(out);
    if (n + 1 > tree->text_size - tree->text_used)
        return lw_fail(err, LW_E_FULL, "too much text");
    char *at = tree->text + tree->text_used;
    memcpy(at, text, n);
    at[n] = '\0';
    tree->text_used += n + 1;
    *out = at;
    return LW_OK;
}

static void append(lw_yaml_node *parent, lw_yaml_node *child)
{
    assert(parent && child);
    child->parent = parent;
    child->next = NULL;
    if (parent->last)
        parent->last->next = child;
    else
        parent->first = child;
    parent->last = child;
    parent->count++;
}

static lw_code start(lw_yaml *tree, size_t size, lw_err *err)
{
    *tree = (lw_yaml){.text_size = text_room(size)};
    tree->nodes = calloc(LW_YAML_NODES, sizeof *tree->nodes);
    tree->text = malloc(tree->text_size);
    if (tree->nodes && tree->text)
        return LW_OK;
    lw_yaml_clear(tree);
    return lw_fail(err, LW_E_FULL, "not enough memory to read a file");
}

void lw_yaml_clear(lw_yaml *tree)
{
    free(tree->nodes);
    free(tree->text);
    *tree = (lw_yaml){0};
}

/* ---- reading ---- */

typedef struct reading {
    lw_yaml *tree;
    const char *from; /* kept text */
    int is_override;
    lw_yaml_node *open[LW_YAML_DEPTH];
    int depth, documents;
    lw_yaml_node *root;
    const char *key; /* of the map on top, waiting for its value */
    int line, column;
    lw_err *err;
} reading;

static lw_code refuse(reading *r, lw_code code)
{
    if (r->is_override)
        snprintf(r->err->where, sizeof r->err->where, "%.120s", r->from);
    else
        snprintf(r->err->where, sizeof r->err->where, "%.100s:%d", r->from, r->line);
    return code;
}

static lw_code want_plain_text(reading *r, const unsigned char *text, size_t n)
{
    if (n > LW_YAML_SCALAR_BYTES)
        return refuse(
            r, lw_fail(r->err, LW_E_FULL, "a text of %zu bytes; the longest that fits is %d", n, LW_YAML_SCALAR_BYTES));
    for (size_t i = 0; i < n; i++)
        if ((text[i] < 0x20 && text[i] != '\n' && text[i] != '\t') || text[i] == 0x7F)
            return refuse(r, lw_fail(r->err, LW_E_SYNTAX, "a text with a control character in it; write plain text"));
    return LW_OK;
}

static lw_code want_no_extras(reading *r, const void *anchor, const void *tag)
{
    if (anchor)
        return refuse(
            r, lw_fail(r->err, LW_E_SYNTAX, "an anchor (&) is not used here; write the value out in each place"));
    if (tag)
        return refuse(r, lw_fail(r->err, LW_E_SYNTAX, "a tag (!) is not used here; write the plain value"));
    return LW_OK;
}

static lw_code take_key(reading *r, lw_yaml_node *map, const char *text, size_t n)
{
    if (n == 0)
        return refuse(r, lw_fail(r->err, LW_E_SYNTAX, "a key without a name"));
    if (map->count == LW_YAML_MAP_KEYS)
        return refuse(r, lw_fail(r->err, LW_E_FULL, "more than %d keys at one level", LW_YAML_MAP_KEYS));
    for (const lw_yaml_node *child = map->first; child; child = child->next)
        if (strcmp(child->key, text) == 0)
            return refuse(r,
                          lw_fail(r->err, LW_E_CONFLICT, "%.60s stands twice at this level, first on line %d; keep one",
                                  text, child->line));
    return keep_text(r->tree, text, n, &r->key, r->err);
}

/* A new node in its place in the tree; the list, map or root that it belongs to is known from the stack. */
static lw_code place(reading *r, lw_yaml_kind kind, lw_yaml_node **out)
{
    lw_yaml_node *top = r->depth ? r->open[r->depth - 1] : NULL;
    if (top && top->kind == LW_YAML_MAP && !r->key)
        return refuse(r, lw_fail(r->err, LW_E_SYNTAX, "a key must be plain text, not a list or map"));
    lw_yaml_node *node = NULL;
    const lw_code code = grow_node(r->tree, &node, r->err);
    if (code)
        return refuse(r, code);
    *node = (lw_yaml_node){.kind = kind, .from = r->from, .line = r->line, .column = r->column, .key = r->key};
    r->key = NULL;
    if (top)
        append(top, node);
    else
        r->root = node;
    *out = node;
    return LW_OK;
}

static lw_code take_scalar(reading *r, const yaml_event_t *event)
{
    const char *text = (const char *)event->data.scalar.value;
    const size_t n = event->data.scalar.length;
    lw_code code = want_no_extras(r, event->data.scalar.anchor, event->data.scalar.tag);
    if (!code)
        code = want_plain_text(r, event->data.scalar.value, n);
    if (code)
        return code;
    lw_yaml_node *top = r->depth ? r->open[r->depth - 1] : NULL;
    if (top && top->kind == LW_YAML_MAP && !r->key)
        return take_key(r, top, text, n);
    lw_yaml_node *node = NULL;
    code = place(r, LW_YAML_SCALAR, &node);
    if (code)
        return code;
    assert(node);
    node->is_quoted = event->data.scalar.style != YAML_PLAIN_SCALAR_STYLE;
    return keep_text(r->tree, text, n, &node->text, r->err);
}

static lw_code take_open(reading *r, lw_yaml_kind kind, const void *anchor, const void *tag)
{
    lw_yaml_node *node = NULL;
    lw_code code = want_no_extras(r, anchor, tag);
    if (!code)
        code = place(r, kind, &node);
    if (code)
        return code;
    if (r->depth == LW_YAML_DEPTH)
        return refuse(r, lw_fail(r->err, LW_E_FULL, "more than %d levels inside one another", LW_YAML_DEPTH));
    r->open[r->depth++] = node;
    return LW_OK;
}

static lw_code take_document(reading *r, const yaml_event_t *event)
{
    if (event->data.document_start.version_directive ||
        event->data.document_start.tag_directives.start != event->data.document_start.tag_directives.end)
        return refuse(r, lw_fail(r->err, LW_E_SYNTAX, "a %% directive is not used here; leave the line out"));
    if (r->documents++)
        return refuse(r, lw_fail(r->err, LW_E_SYNTAX, "a second document begins (---); one file holds one"));
    return LW_OK;
}

static lw_code take_event(reading *r, const yaml_event_t *event)
{
    switch (event->type) {
    case YAML_DOCUMENT_START_EVENT:
        return take_document(r, event);
    case YAML_SCALAR_EVENT:
        return take_scalar(r, event);
    case YAML_SEQUENCE_START_EVENT:
        return take_open(r, LW_YAML_LIST, event->data.sequence_start.anchor, event->data.sequence_start.tag);
    case YAML_MAPPING_START_EVENT:
        return take_open(r, LW_YAML_MAP, event->data.mapping_start.anchor, event->data.mapping_start.tag);
    case YAML_SEQUENCE_END_EVENT:
    case YAML_MAPPING_END_EVENT:
        r->depth--;
        return LW_OK;
    case YAML_ALIAS_EVENT:
        return refuse(r,
                      lw_fail(r->err, LW_E_SYNTAX, "an alias (*) is not used here; write the value out in each place"));
    default:
        return LW_OK;
    }
}

static lw_code refuse_form(reading *r, const yaml_parser_t *parser)
{
    const size_t line = parser->problem_mark.line;
    if (parser->error == YAML_MEMORY_ERROR)
        return refuse(r, lw_fail(r->err, LW_E_FULL, "not enough memory to read it"));
    if (parser->error == YAML_READER_ERROR) {
        r->line = r->line ? r->line : 1;
        return refuse(r, lw_fail(r->err, LW_E_SYNTAX, "not a text file (byte %zu: %.60s); write plain UTF-8 text",
                                 parser->problem_offset, parser->problem ? parser->problem : "unreadable"));
    }
    r->line = line < 1000000u ? (int)line + 1 : 0;
    return refuse(r, lw_fail(r->err, LW_E_SYNTAX,
                             "the form is broken near column %zu: %.80s; check indents, colons and quotes",
                             parser->problem_mark.column + 1, parser->problem ? parser->problem : "unreadable"));
}

/* All events of one text; r->root is the outermost node, NULL when there was none. */
static lw_code read_events(reading *r, const char *bytes, size_t size)
{
    static const char MARK[] =
        "\xEF\xBB\xBF"; /* editors of some systems begin a text with it; an encoding that is set takes it as text */
    yaml_parser_t parser;
    if (size >= sizeof MARK - 1 && memcmp(bytes, MARK, sizeof MARK - 1) == 0) {
        bytes += sizeof MARK - 1;
        size -= sizeof MARK - 1;
    }
    if (!yaml_parser_initialize(&parser))
        return refuse(r, lw_fail(r->err, LW_E_FULL, "not enough memory to read it"));
    yaml_parser_set_encoding(&parser, YAML_UTF8_ENCODING);
    yaml_parser_set_input_string(&parser, (const unsigned char *)bytes, size);
    lw_code code = LW_OK;
    for (int is_end = 0; !code && !is_end;) {
        yaml_event_t event;
        if (!yaml_parser_parse(&parser, &event)) {
            code = refuse_form(r, &parser);
            break;
        }
        r->line = event.start_mark.line < 1000000u ? (int)event.start_mark.line + 1 : 0;
        r->column = event.start_mark.column < 1000000u ? (int)event.start_mark.column + 1 : 0;
        is_end = event.type == YAML_STREAM_END_EVENT;
        code = take_event(r, &event);
        yaml_event_delete(&event);
    }
    yaml_parser_delete(&parser);
    return code;
}

lw_code lw_yaml_read(lw_yaml *tree, const char *name, const char *bytes, size_t size, lw_err *err)
{
    *tree = (lw_yaml){0};
    reading r = {.tree = tree, .from = name, .line = 1, .err = err};
    if (size > LW_YAML_BYTES)
        return refuse(&r, lw_fail(err, LW_E_FULL, "%zu bytes; a scenario has at most %d", size, LW_YAML_BYTES));
    lw_code code = start(tree, size, err);
    if (!code)
        code = keep_text(tree, name, strlen(name), &r.from, err);
    if (!code)
        code = read_events(&r, bytes, size);
    if (!code && !r.root)
        code = refuse(&r, lw_fail(err, LW_E_MISSING, "the file is empty; a scenario begins with leeway: 1"));
    if (code)
        lw_yaml_clear(tree);
    else
        tree->root = r.root;
    return code;
}

lw_code lw_yaml_bytes(const char *path, char **to, size_t *size, lw_err *err)
{
    lw_code code = LW_OK;
    struct stat about;
    FILE *file = NULL;
    char *bytes = NULL;
    size_t count = 0;
    if (stat(path, &about) != 0)
        code = lw_fail(err, LW_E_IO, "there is no such file, or it may not be read; check the path");
    else if (!S_ISREG(about.st_mode))
        code = lw_fail(err, LW_E_IO, "this is not a file but a directory or device; give the scenario file itself");
    else if (about.st_size > LW_YAML_BYTES)
        code =
            lw_fail(err, LW_E_FULL, "%lld bytes; a scenario has at most %d", (long long)about.st_size, LW_YAML_BYTES);
    else if (!(file = fopen(path, "rb")))
        code = lw_fail(err, LW_E_IO, "the file may not be read; check who owns it");
    else if (!(bytes = malloc(LW_YAML_BYTES + 2)))
        code = lw_fail(err, LW_E_FULL, "not enough memory to read it");
    else if ((count = fread(bytes, 1, LW_YAML_BYTES + 1, file)), ferror(file))
        code = lw_fail(err, LW_E_IO, "reading stopped before the end; try again");
    if (file)
        fclose(file);
    if (code || !bytes) {
        snprintf(err->where, sizeof err->where, "%.120s", path);
        free(bytes);
        return code;
    }
    bytes[count] = '\0';
    *to = bytes;
    *size = count;
    return LW_OK;
}

lw_code lw_yaml_load(lw_yaml *tree, const char *path, lw_err *err)
{
    char *bytes = NULL;
    size_t size = 0;
    *tree = (lw_yaml){0};
    lw_code code = lw_yaml_bytes(path, &bytes, &size, err);
    if (!code)
        code = lw_yaml_read(tree, path, bytes, size, err);
    free(bytes);
    return code;
}

/* ---- looking up ---- */

static lw_yaml_node *child_of(const lw_yaml_node *map, const char *key, size_t n)
{
    if (!map || map->kind != LW_YAML_MAP)
        return NULL;
    for (lw_yaml_node *child = map->first; child; child = child->next)
        if (strlen(child->key) == n && memcmp(child->key, key, n) == 0)
            return child;
    return NULL;
}

static int number_of(const char *text, size_t n)
{
    int number = 0;
    if (n == 0 || n > 5)
        return 0;
    for (size_t i = 0; i < n; i++) {
        if (text[i] < '0' || text[i] > '9')
            return 0;
        number = number * 10 + (text[i] - '0');
    }
    return number;
}

static lw_yaml_node *item_of(const lw_yaml_node *list, const char *name, size_t n)
{
    if (!list || list->kind != LW_YAML_LIST)
        return NULL;
    for (lw_yaml_node *item = list->first; item; item = item->next) {
        const lw_yaml_node *own = child_of(item, "name", 4);
        if (own && own->kind == LW_YAML_SCALAR && strlen(own->text) == n && memcmp(own->text, name, n) == 0)
            return item;
    }
    int at = number_of(name, n);
    for (lw_yaml_node *item = list->first; item; item = item->next)
        if (--at == 0)
            return item;
    return NULL;
}

const lw_yaml_node *lw_yaml_child(const lw_yaml_node *map, const char *key)
{
    return child_of(map, key, strlen(key));
}

const lw_yaml_node *lw_yaml_item(const lw_yaml_node *list, const char *name_or_number)
{
    return item_of(list, name_or_number, strlen(name_or_number));
}

static lw_yaml_node *step(const lw_yaml_node *node, const char *part, size_t n)
{
    return node && node->kind == LW_YAML_LIST ? item_of(node, part, n) : child_of(node, part, n);
}

static lw_yaml_node *find(const lw_yaml *tree, const char *path, size_t n)
{
    lw_yaml_node *node = tree->root;
    while (node && n > 0) {
        const char *dot = memchr(path, '.', n);
        const size_t part = dot ? (size_t)(dot - path) : n, used = part + (dot != NULL);
        node = step(node, path, part);
        path += used;
        n -= used;
    }
    return node;
}

const lw_yaml_node *lw_yaml_find_n(const lw_yaml *tree, const char *path, size_t n)
{
    return find(tree, path, n);
}

const lw_yaml_node *lw_yaml_find(const lw_yaml *tree, const char *path)
{
    return find(tree, path, strlen(path));
}

static int place_in_list(const lw_yaml_node *node)
{
    int at = 1;
    for (const lw_yaml_node *item = node->parent->first; item && item != node; item = item->next)
        at++;
    return at;
}

void lw_yaml_path(const lw_yaml_node *node, char *buffer, size_t size)
{
    const lw_yaml_node *chain[LW_YAML_DEPTH + 1];
    int depth = 0;
    for (; node && node->parent && depth <= LW_YAML_DEPTH; node = node->parent)
        chain[depth++] = node;
    size_t used = 0;
    buffer[0] = '\0';
    while (depth-- > 0) {
        const lw_yaml_node *part = chain[depth];
        const lw_yaml_node *name = part->key ? NULL : child_of(part, "name", 4);
        char number[16];
        snprintf(number, sizeof number, "%d", part->key ? 0 : place_in_list(part));
        const char *word = part->key ? part->key : name && name->text ? name->text : number;
        const int n = snprintf(buffer + used, size - used, "%s%s", used ? "." : "", word);
        if (n < 0 || (size_t)n >= size - used)
            return;
        used += (size_t)n;
    }
}

lw_code lw_yaml_at(const lw_yaml_node *node, lw_err *err)
{
    enum { FILE_LETTERS = 60 };
    char path[LW_YAML_PATH_BYTES];
    lw_yaml_path(node, path, sizeof path);
    /* the end of a long file name tells more than its beginning */
    const size_t n = strlen(node->from);
    const char *file = n > FILE_LETTERS ? node->from + n - FILE_LETTERS : node->from;
    if (node->line > 0)
        snprintf(err->where, sizeof err->where, "%s:%d%s%.50s", file, node->line, path[0] ? " " : "", path);
    else
        snprintf(err->where, sizeof err->where, "%.120s", node->from);
    return err->code;
}

/* ---- setting ---- */

/* Takes the node with everything below out of its parent and puts `fresh` there. Its own storage stays until clear. */
static void replace(lw_yaml_node *old, lw_yaml_node *fresh)
{
    lw_yaml_node *parent = old->parent;
    assert(parent && fresh);
    fresh->key = old->key;
    fresh->parent = parent;
    fresh->next = old->next;
    if (parent->first == old)
        parent->first = fresh;
    for (lw_yaml_node *child = parent->first; child; child = child->next)
        if (child->next == old)
            child->next = fresh;
    if (parent->last == old)
        parent->last = fresh;
}

static lw_code say_override(const char *assignment, lw_code code, lw_err *err)
{
    snprintf(err->where, sizeof err->where, "%.120s", assignment);
    return code;
}

static int depth_of(const lw_yaml_node *node)
{
    int depth = 0;
    for (; node; node = node->parent)
        depth++;
    return depth;
}

/* The node that the last part of the path hangs on; maps that are missing on the way are made. */
static lw_code reach(lw_yaml *tree, const char *from, const char **path, lw_yaml_node **out, lw_err *err)
{
    lw_yaml_node *node = tree->root;
    for (;;) {
        const size_t n = strcspn(*path, ".=");
        if (n == 0 || n >= LW_YAML_PATH_BYTES)
            return lw_fail(err, LW_E_SYNTAX, "a change is written key.key=value, such as rig.solar=400 W");
        *out = node;
        if ((*path)[n] == '=')
            return LW_OK;
        lw_yaml_node *next = step(node, *path, n);
        if (!next && node->kind != LW_YAML_MAP)
            return lw_fail(err, LW_E_MISSING,
                           "there is no %.*s in that list; name an item or give its number, the first is 1",
                           (int)(n > 60 ? 60 : n), *path);
        if (!next) {
            const lw_code code = grow_node(tree, &next, err);
            if (code)
                return code;
            assert(next);
            *next = (lw_yaml_node){.kind = LW_YAML_MAP, .from = from};
            const lw_code kept = keep_text(tree, *path, n, &next->key, err);
            if (kept)
                return kept;
            append(node, next);
        }
        if (next->kind == LW_YAML_SCALAR)
            return lw_fail(err, LW_E_CONFLICT, "%.*s is a plain value (%.40s) in the file; replace it as a whole",
                           (int)(n > 60 ? 60 : n), *path, next->text);
        if (depth_of(next) >= LW_YAML_DEPTH)
            return lw_fail(err, LW_E_FULL, "more than %d levels inside one another", LW_YAML_DEPTH);
        node = next;
        *path += n + 1;
    }
}

static lw_code hang(lw_yaml *tree, lw_yaml_node *parent, const char *part, size_t n, lw_yaml_node *fresh, lw_err *err)
{
    assert(parent && fresh);
    lw_yaml_node *old = step(parent, part, n);
    if (old) {
        replace(old, fresh);
        return LW_OK;
    }
    if (parent->kind != LW_YAML_MAP)
        return lw_fail(err, LW_E_MISSING,
                       "there is no %.*s in that list; name an item or give its number, the first is 1",
                       (int)(n > 60 ? 60 : n), part);
    const lw_code code = keep_text(tree, part, n, &fresh->key, err);
    if (!code)
        append(parent, fresh);
    return code;
}

lw_code lw_yaml_wrap(lw_yaml *tree, const char *path, size_t n, const char *key, lw_err *err)
{
    lw_yaml_node *node = find(tree, path, n), *inner = NULL;
    if (!node || node->kind == LW_YAML_MAP)
        return LW_OK;
    lw_code code = grow_node(tree, &inner, err);
    if (code)
        return code;
    assert(inner);
    *inner = *node;
    code = keep_text(tree, key, strlen(key), &inner->key, err);
    if (code)
        return code;
    for (lw_yaml_node *child = inner->first; child; child = child->next)
        child->parent = inner;
    node->kind = LW_YAML_MAP;
    node->text = NULL;
    node->first = node->last = NULL;
    node->count = 0;
    append(node, inner);
    return LW_OK;
}

void lw_yaml_drop(lw_yaml *tree, const char *path, size_t n)
{
    lw_yaml_node *node = find(tree, path, n), *before = NULL;
    if (!node || !node->parent)
        return;
    lw_yaml_node *parent = node->parent;
    for (lw_yaml_node *child = parent->first; child != node; child = child->next)
        before = child;
    if (before)
        before->next = node->next;
    else
        parent->first = node->next;
    if (parent->last == node)
        parent->last = before;
    parent->count--;
}

/* Reads the value of an assignment and hangs it where its path ends. */
typedef lw_code hanger(lw_yaml *tree, lw_yaml_node *parent, const char *part, size_t n, lw_yaml_node *fresh,
                       lw_err *err);

static lw_code assign(lw_yaml *tree, const char *assignment, size_t sign, hanger *hang_it, lw_err *err)
{
    const char *path = assignment, *from = NULL;
    const size_t all = strlen(assignment);
    if (!tree->root || tree->root->kind != LW_YAML_MAP || all > LW_YAML_SCALAR_BYTES || !strchr(assignment, '='))
        return say_override(
            assignment, lw_fail(err, LW_E_SYNTAX, "a change is written key.key=value, such as rig.solar=400 W"), err);
    lw_code code = keep_text(tree, assignment, all, &from, err);
    lw_yaml_node *parent = NULL;
    if (!code)
        code = reach(tree, from, &path, &parent, err);
    if (code)
        return say_override(assignment, code, err);
    const size_t n = strcspn(path, "=");
    reading r = {.tree = tree, .from = from, .is_override = 1, .err = err};
    const char *value = path + n + 1;
    const int before = tree->node_count;
    code = read_events(&r, value, strlen(value));
    if (!code && !r.root)
        code = lw_fail(err, LW_E_MISSING, "there is no value behind the =");
    if (!code)
        code = hang_it(tree, parent, path, n - sign, r.root, err);
    for (int i = before; i < tree->node_count; i++)
        tree->nodes[i].line = tree->nodes[i].column = 0;
    return code ? say_override(assignment, code, err) : LW_OK;
}

lw_code lw_yaml_set(lw_yaml *tree, const char *assignment, lw_err *err)
{
    return assign(tree, assignment, 0, hang, err);
}

static lw_code hang_item(lw_yaml *tree, lw_yaml_node *parent, const char *part, size_t n, lw_yaml_node *fresh,
                         lw_err *err)
{
    lw_yaml_node *old = step(parent, part, n), *list = old;
    assert(fresh);
    if (!old || old->kind != LW_YAML_LIST) {
        lw_code code = grow_node(tree, &list, err);
        if (code)
            return code;
        assert(list);
        *list = (lw_yaml_node){.kind = LW_YAML_LIST, .from = fresh->from};
        code = hang(tree, parent, part, n, list, err);
        if (code)
            return code;
        if (old) {
            old->key = NULL;
            append(list, old);
        }
    }
    append(list, fresh);
    return LW_OK;
}

lw_code lw_yaml_append(lw_yaml *tree, const char *assignment, lw_err *err)
{
    return assign(tree, assignment, 1, hang_item, err);
}
