#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/scenario.h"
#include "exchange/yaml_tree.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

static int count_below(const lw_yaml_node *node, int depth)
{
    int count = 1;
    if (depth > LW_YAML_DEPTH)
        abort();
    for (const lw_yaml_node *child = node->first; child; child = child->next) {
        if (child->parent != node)
            abort();
        count += count_below(child, depth + 1);
    }
    return count;
}

static void try_tree(const char *text, size_t n)
{
    lw_yaml tree;
    lw_err err = {0};
    char path[LW_YAML_PATH_BYTES];
    if (lw_yaml_read(&tree, "fuzz", text, n, &err)) {
        if (!err.text[0] || tree.root)
            abort();
        return;
    }
    if (!tree.root || count_below(tree.root, 0) > tree.node_count)
        abort();
    for (int i = 0; i < tree.node_count; i++)
        lw_yaml_path(&tree.nodes[i], path, sizeof path);
    lw_yaml_clear(&tree);
}

/* The bytes as a change of a small tree. */
static void try_change(const char *text)
{
    static const char BASE[] = "rig: {tanks: {grey: [{name: a, level: full}, {name: b}]}, solar: 400 W}\n";
    lw_yaml tree;
    lw_err err = {0};
    if (lw_yaml_read(&tree, "base", BASE, sizeof BASE - 1, &err))
        abort();
    if (lw_yaml_set(&tree, text, &err) && !err.text[0])
        abort();
    (void)count_below(tree.root, 0);
    lw_yaml_clear(&tree);
}

/* The weather's file could be any of the machine that fuzzes: those without an end are left out. */
static void try_scenario(const char *text, size_t n)
{
    lw_loaded loaded;
    lw_err err = {0};
    const lw_scenario_from from = {.path = "fuzz", .bytes = text, .size = n, .now_s = 1780952400};
    if (strstr(text, "/dev") || strstr(text, "/proc") || strstr(text, "/sys"))
        return;
    if (lw_scenario_load(&from, &loaded, &err)) {
        if (!err.text[0] || !err.where[0] || loaded.scenario)
            abort();
    } else if (!(loaded.scenario->place.latitude_deg >= -90.0 && loaded.scenario->place.latitude_deg <= 90.0)) {
        abort();
    }
    lw_loaded_clear(&loaded);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    char *text = malloc(n + 1);
    if (!text)
        abort();
    memcpy(text, bytes, n);
    text[n] = '\0';
    try_tree(text, n);
    try_change(text);
    try_scenario(text, n);
    free(text);
    return 0;
}
