/* httpd/gate.h: who may speak with the server, told from a request's address and header lines. No state, no sockets.
 *
 * Host      the name that was asked for must be this machine's: an address in figures, "localhost", or on the network its host
 *           name, alone or with ".local", or the name given by --name. So a page from elsewhere whose name was made to point
 *           here gets nothing.
 * Origin    where it is sent, it must be "http://" and the Host.
 * Peer      on the network only addresses of local networks: RFC 1918, RFC 3927 (169.254), RFC 4193 (fc00::/7), RFC 4291
 *           (fe80::/10). */
#ifndef LW_HTTPD_GATE_H
#define LW_HTTPD_GATE_H

#include <sys/socket.h>

typedef struct lw_gate {
    int is_lan;
    char own_name[256], more_name[256]; /* of the machine; of --name; empty: none */
} lw_gate;

int lw_gate_is_host(const lw_gate *gate, const char *host);
int lw_gate_is_origin(const char *origin, const char *host); /* origin NULL: not sent, which is fine */

int lw_gate_is_here(const struct sockaddr *peer);  /* loopback */
int lw_gate_is_local(const struct sockaddr *peer); /* loopback or a local network */

#endif
