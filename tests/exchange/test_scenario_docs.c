/* The key reference and the example of every key, held to the table of keys.
 * Renew the reference from the source folder: build/<preset>/tests/exchange_scenario_docs_test --renew */
#include <stdlib.h>
#include <string.h>

#include "exchange/scenario.h"
#include "exchange/yaml_tree.h"
#include "tests/check.h"

static const char REFERENCE[] = "docs/use/scenario.md", EVERY_KEY[] = "examples/every-key.yaml";

static char *read_whole(const char *path)
{
    FILE *file = fopen(path, "rb");
    if (!file)
        fail_msg("%s cannot be opened", path);
    char *text = calloc(1, 1 << 20);
    assert_non_null(text);
    assert_true(fread(text, 1, (1 << 20) - 1, file) > 0);
    fclose(file);
    return text;
}

static void the_reference_is_what_the_table_of_keys_makes(void **state)
{
    (void)state;
    char *want = lw_scenario_reference(), *got = read_whole(REFERENCE);
    assert_non_null(want);
    if (strcmp(got, want) != 0) {
        size_t at = 0, line = 1;
        for (; got[at] && got[at] == want[at]; at++)
            line += got[at] == '\n';
        fail_msg("%s differs from the table of keys on line %zu; renew it (see the head of this test)", REFERENCE,
                 line);
    }
    free(want);
    free(got);
}

/* Does any node of the tree stand at this path of the schema; [] is any item, or the map or value that stands for a list. */
static int is_there(const lw_yaml_node *node, const char *path)
{
    const size_t n = strcspn(path, ".[");
    char key[64];
    if (!node || n >= sizeof key)
        return 0;
    memcpy(key, path, n);
    key[n] = '\0';
    const lw_yaml_node *child = lw_yaml_child(node, key);
    path += n;
    if (!child || !*path)
        return child != NULL;
    if (*path == '.')
        return is_there(child, path + 1);
    path += strlen("[].");
    if (child->kind != LW_YAML_LIST)
        return is_there(child, path);
    for (const lw_yaml_node *item = child->first; item; item = item->next)
        if (is_there(item, path))
            return 1;
    return 0;
}

/* Habits share their items: any of them may show the key. */
static int is_in_a_habit(const lw_yaml *tree, const char *key)
{
    const lw_yaml_node *habits = lw_yaml_find(tree, "crew.habits");
    for (const lw_yaml_node *one = habits ? habits->first : NULL; one; one = one->next)
        if (lw_yaml_child(one, key))
            return 1;
    return 0;
}

/* Gauges share their keys: any map under a key named gauge may show one. */
static int is_in_a_gauge(const lw_yaml *tree, const char *key)
{
    for (int i = 0; i < tree->node_count; i++) {
        const lw_yaml_node *node = &tree->nodes[i];
        if (node->key && strcmp(node->key, "gauge") == 0 && node->kind == LW_YAML_MAP && lw_yaml_child(node, key))
            return 1;
    }
    return 0;
}

static int is_in_a_comment(const char *text, const char *path)
{
    char line[80];
    snprintf(line, sizeof line, "\n  # %.60s:", strrchr(path, '.') + 1);
    const int is_file = strncmp(path, "weather.", 8) == 0 || strcmp(path, "place.terrain") == 0 ||
                        strcmp(path, "place.towers") == 0 || strcmp(path, "place.coverage") == 0;
    return is_file && strstr(text, line) != NULL;
}

static void every_key_stands_in_the_example_of_every_key(void **state)
{
    (void)state;
    char *text = read_whole(EVERY_KEY);
    lw_yaml tree;
    lw_err err = {0};
    static const char HABIT[] = "crew.habits[].", GAUGE[] = "rig.gauge[].";
    assert_int_equal(lw_yaml_load(&tree, EVERY_KEY, &err), LW_OK);
    int count = 0;
    for (; lw_scenario_key(count); count++) {
        const char *path = lw_scenario_key(count);
        const int is_habit = strncmp(path, HABIT, sizeof HABIT - 1) == 0;
        const int is_gauge = strncmp(path, GAUGE, sizeof GAUGE - 1) == 0;
        if (is_habit   ? !is_in_a_habit(&tree, path + sizeof HABIT - 1)
            : is_gauge ? !is_in_a_gauge(&tree, path + sizeof GAUGE - 1)
                       : !is_there(tree.root, path) && !is_in_a_comment(text, path))
            fail_msg("%s does not show %s", EVERY_KEY, path);
    }
    assert_true(count > 200);
    lw_yaml_clear(&tree);
    free(text);
}

static void each_line_of_the_example_of_every_key_is_short(void **state)
{
    (void)state;
    char *text = read_whole(EVERY_KEY);
    for (const char *line = text; *line;) {
        const size_t n = strcspn(line, "\n");
        if (n > 120)
            fail_msg("%zu letters: %.60s", n, line);
        line += n + (line[n] == '\n');
    }
    free(text);
}

static int renew(void)
{
    char *text = lw_scenario_reference();
    FILE *file = text ? fopen(REFERENCE, "wb") : NULL;
    const int is_done = file && fputs(text, file) >= 0;
    if (file)
        fclose(file);
    free(text);
    return is_done ? 0 : 1;
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_reference_is_what_the_table_of_keys_makes),
        cmocka_unit_test(every_key_stands_in_the_example_of_every_key),
        cmocka_unit_test(each_line_of_the_example_of_every_key_is_short),
    };
    if (argc > 1 && strcmp(argv[1], "--renew") == 0)
        return renew();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
