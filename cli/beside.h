/* cli/beside.h: the programs that stand beside this one: leeway-fetch has the network, leeway-serve the sockets. */
#ifndef LW_CLI_BESIDE_H
#define LW_CLI_BESIDE_H

#include <stddef.h>

/* The path of a program in the folder of this one; its name alone, for PATH, where there is none. */
void lw_beside(const char *name, char *buf, size_t size);

#endif
