#include "exchange/yaml_print.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "text/say.h"

static void indent(FILE *to, int depth)
{
    for (int i = 0; i < 2 * depth; i++)
        putc(' ', to);
}

/* Letters, digits and what quantities and dates are made of need no quotes; a blank or a sign at an edge, or a colon before a blank,
 * does. */
static int is_plain(const char *text)
{
    static const char SAFE[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_ ./%+-:";
    const size_t n = strlen(text);
    if (n == 0 || strspn(text, SAFE) != n || strchr(" %+-:./", text[0]) || strchr(" :", text[n - 1]))
        return 0;
    return !strstr(text, ": ") && !strstr(text, "---");
}

static void put_scalar(FILE *to, const char *text)
{
    if (is_plain(text)) {
        fputs(text, to);
        return;
    }
    putc('"', to);
    for (const unsigned char *c = (const unsigned char *)text; *c; c++)
        if (*c == '"' || *c == '\\')
            fprintf(to, "\\%c", *c);
        else if (*c == '\n')
            fputs("\\n", to);
        else if (*c == '\t')
            fputs("\\t", to);
        else if (*c < 0x20 || *c == 0x7f)
            fprintf(to, "\\x%02X", *c);
        else
            putc(*c, to);
    putc('"', to);
}

static int is_left_out(const char *const *without, const lw_yaml_node *child)
{
    for (; without && *without; without++)
        if (child->key && strcmp(*without, child->key) == 0)
            return 1;
    return 0;
}

static int is_empty(const lw_yaml_node *node, const char *const *without)
{
    for (const lw_yaml_node *child = node->first; child; child = child->next)
        if (!is_left_out(without, child))
            return 0;
    return 1;
}

/* What stands behind "key:" or "-": on the same line, or on lines of its own. */
/* NOLINTNEXTLINE(misc-no-recursion): a tree is at most LW_YAML_DEPTH deep */
static void put_value(FILE *to, const lw_yaml_node *node, const char *const *without, int depth)
{
    if (node->kind == LW_YAML_SCALAR) {
        putc(' ', to);
        put_scalar(to, node->text);
        putc('\n', to);
    } else if (is_empty(node, without)) {
        fputs(node->kind == LW_YAML_MAP ? " {}\n" : " []\n", to);
    } else {
        putc('\n', to);
        for (const lw_yaml_node *child = node->first; child; child = child->next) {
            if (is_left_out(without, child))
                continue;
            indent(to, depth);
            if (node->kind == LW_YAML_MAP) {
                put_scalar(to, child->key);
                putc(':', to);
            } else
                putc('-', to);
            put_value(to, child, NULL, depth + 1);
        }
    }
}

static lw_code print_at(const lw_yaml_node *keyed, const char *const *without, int depth, char **text, lw_err *err)
{
    size_t size = 0;
    char *made = NULL;
    FILE *to = open_memstream(&made, &size);
    int is_bad = !to;
    if (to) {
        indent(to, depth);
        put_scalar(to, keyed->key);
        putc(':', to);
        put_value(to, keyed, without, depth + 1);
        is_bad = ferror(to);
        is_bad |= fclose(to) != 0;
    }
    if (is_bad) {
        free(made);
        return lw_fail(err, LW_E_FULL, "no memory to write YAML");
    }
    *text = made;
    return LW_OK;
}

lw_code lw_yaml_print(const lw_yaml_node *keyed, const char *const *without, char **text, lw_err *err)
{
    return print_at(keyed, without, 0, text, err);
}

lw_code lw_yaml_print_under(const lw_yaml_node *keyed, char **text, lw_err *err)
{
    return print_at(keyed, NULL, 1, text, err);
}
