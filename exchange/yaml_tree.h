/* exchange/yaml_tree.h: a YAML (or JSON) text as a bounded tree in which every scalar is still text.
 *
 * Reads     one document, by libyaml's events; JSON is YAML's flow form and reads the same way.
 * Refuses   in one sentence with the line: aliases, anchors, tags, directives, a second document, a key that stands
 *           twice, a key that is not plain text, control characters, and whatever passes the limits below.
 * Paths     keys joined by dots: "rig.tanks.fresh". An item of a list is named by its `name` or by its number, the first
 *           being 1: "rig.tanks.grey.kitchen.level", "rig.solar.2.tilt".
 * Ownership the tree owns nodes and texts; every pointer to one is borrowed until lw_yaml_clear. Nodes do not move.
 * Limits    see the enum; what an override adds counts towards them too. */
#ifndef LW_EXCHANGE_YAML_TREE_H
#define LW_EXCHANGE_YAML_TREE_H

#include <stddef.h>

#include "core/base/err.h"

enum {
    LW_YAML_BYTES = 1 << 20, /* of the text */
    LW_YAML_DEPTH = 32,      /* lists and maps inside one another */
    LW_YAML_NODES = 20000,
    LW_YAML_SCALAR_BYTES = 4096,
    LW_YAML_MAP_KEYS = 1000, /* in one map: keeps the search for double keys short */
    LW_YAML_PATH_BYTES = 256,
};

typedef enum lw_yaml_kind { LW_YAML_SCALAR = 0, LW_YAML_LIST, LW_YAML_MAP } lw_yaml_kind;

typedef struct lw_yaml_node lw_yaml_node;
struct lw_yaml_node {
    lw_yaml_kind kind;
    int is_quoted;    /* scalar written in quotes or as a block */
    const char *key;  /* in a map; otherwise NULL */
    const char *text; /* scalar; otherwise NULL */
    const char *from; /* what the line counts in: the name of the file, or the override as it was typed */
    int line, column; /* from 1; 0 for an override */
    int count;        /* children */
    lw_yaml_node *parent, *first, *last, *next;
};

typedef struct lw_yaml {
    lw_yaml_node *root; /* NULL while nothing is read */
    lw_yaml_node *nodes;
    int node_count;
    char *text;
    size_t text_used, text_size;
} lw_yaml;

/* `name` stands in front of the line in errors. On failure the tree is empty. */
LW_MUST_USE lw_code lw_yaml_read(lw_yaml *tree, const char *name, const char *bytes, size_t size, lw_err *err);

/* The same from a file; refuses what is not a regular file. */
LW_MUST_USE lw_code lw_yaml_load(lw_yaml *tree, const char *path, lw_err *err);
/* Its bytes alone, the caller's (free), with a 0 behind them. */
LW_MUST_USE lw_code lw_yaml_bytes(const char *path, char **bytes, size_t *size, lw_err *err);

/* "rig.solar=400 W": replaces what stands at the path, or adds it with the maps on the way. The value is YAML itself, so
 * flow lists and maps work. On failure the tree may hold part of the path's maps; callers give it up. */
LW_MUST_USE lw_code lw_yaml_set(lw_yaml *tree, const char *assignment, lw_err *err);

/* "rig.solar+={rated: 200 W}": one more item at the end of the list at the path. What stands there without being a list becomes
 * the first of two; nothing there, the only one. */
LW_MUST_USE lw_code lw_yaml_append(lw_yaml *tree, const char *assignment, lw_err *err);

/* Puts what stands at the first n letters of a path one level down, under `key`: "crew: 2 adults" becomes
 * "crew: {people: 2 adults}". Nothing happens where nothing, or a map, stands there. */
LW_MUST_USE lw_code lw_yaml_wrap(lw_yaml *tree, const char *path, size_t n, const char *key, lw_err *err);

/* Takes what stands at the first n letters of a path out; nothing there is fine. */
void lw_yaml_drop(lw_yaml *tree, const char *path, size_t n);

void lw_yaml_clear(lw_yaml *tree); /* twice is fine, and so is a tree of zeros */

const lw_yaml_node *lw_yaml_child(const lw_yaml_node *map, const char *key); /* NULL: none, or not a map */
const lw_yaml_node *lw_yaml_item(const lw_yaml_node *list, const char *name_or_number);
const lw_yaml_node *lw_yaml_find(const lw_yaml *tree, const char *path);
const lw_yaml_node *lw_yaml_find_n(const lw_yaml *tree, const char *path, size_t n); /* by the first n letters */

/* "rig.tanks.grey.kitchen.level" of a node; cut where the buffer ends. */
void lw_yaml_path(const lw_yaml_node *node, char *buffer, size_t size);

/* Fills err->where with "family.yaml:14 rig.tanks.fresh" and returns err->code, for `return lw_yaml_at(...)`. */
lw_code lw_yaml_at(const lw_yaml_node *node, lw_err *err);

#endif
