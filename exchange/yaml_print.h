/* exchange/yaml_print.h: a part of a tree as YAML text again.
 *
 * Writes    a key of the root with all that is under it, in block style, as lines that may stand beside other such lines in one
 *           document: reading them gives the same tree. Comments and the form of quotes are lost; texts are kept to the byte.
 * Without   keys right under it that are left out: a list that ends with NULL; NULL: none.
 * Results   the caller's text (free).
 * Errors    LW_E_FULL no memory. */
#ifndef LW_EXCHANGE_YAML_PRINT_H
#define LW_EXCHANGE_YAML_PRINT_H

#include "exchange/yaml_tree.h"

LW_MUST_USE lw_code lw_yaml_print(const lw_yaml_node *keyed, const char *const *without, char **text, lw_err *err);

/* The same one level deeper: lines that go on a map which was printed by the above. */
LW_MUST_USE lw_code lw_yaml_print_under(const lw_yaml_node *keyed, char **text, lw_err *err);

#endif
