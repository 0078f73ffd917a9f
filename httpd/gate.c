#include "httpd/gate.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

enum { NAME_BYTES = 256 };

/* The host without its port and without the point at its end; 0: not of its form. */
static int cut_port(const char *host, char name[NAME_BYTES])
{
    size_t n;
    const char *port;
    if (host[0] == '[') {
        const char *end = strchr(host, ']');
        if (!end)
            return 0;
        n = (size_t)(end - host) - 1;
        host++;
        port = end + 1;
    } else {
        n = strcspn(host, ":");
        port = host + n;
    }
    if (n == 0 || n >= NAME_BYTES || (*port && (*port != ':' || port[1 + strspn(port + 1, "0123456789")])))
        return 0;
    snprintf(name, NAME_BYTES, "%.*s", (int)n, host);
    if (name[n - 1] == '.')
        name[n - 1] = '\0';
    return name[0] != '\0';
}

static int is_own_name(const char *own, const char *name)
{
    const size_t n = strlen(own);
    return n > 0 && strncasecmp(own, name, n) == 0 && (name[n] == '\0' || strcasecmp(name + n, ".local") == 0);
}

int lw_gate_is_host(const lw_gate *gate, const char *host)
{
    char name[NAME_BYTES];
    struct in_addr four;
    struct in6_addr six;
    if (!host || !cut_port(host, name))
        return 0;
    if (strcasecmp(name, "localhost") == 0 || (gate->more_name[0] && strcasecmp(name, gate->more_name) == 0))
        return 1;
    const int is_four = inet_pton(AF_INET, name, &four) == 1, is_six = !is_four && inet_pton(AF_INET6, name, &six) == 1;
    if (gate->is_lan)
        return is_four || is_six || is_own_name(gate->own_name, name);
    return (is_four && ntohl(four.s_addr) >> 24 == 127) || (is_six && IN6_IS_ADDR_LOOPBACK(&six));
}

int lw_gate_is_origin(const char *origin, const char *host)
{
    static const char SCHEME[] = "http://";
    const size_t n = sizeof SCHEME - 1;
    return !origin || (host && strncasecmp(origin, SCHEME, n) == 0 && strcasecmp(origin + n, host) == 0);
}

/* IPv4 in the form of IPv6 is IPv4. 0: neither. */
static int four_of(const struct sockaddr *peer, uint32_t *four)
{
    if (peer->sa_family == AF_INET) {
        *four = ntohl(((const struct sockaddr_in *)(const void *)peer)->sin_addr.s_addr);
        return 1;
    }
    if (peer->sa_family != AF_INET6)
        return 0;
    const struct in6_addr *six = &((const struct sockaddr_in6 *)(const void *)peer)->sin6_addr;
    if (!IN6_IS_ADDR_V4MAPPED(six))
        return 0;
    memcpy(four, six->s6_addr + 12, sizeof *four);
    *four = ntohl(*four);
    return 1;
}

static const struct in6_addr *six_of(const struct sockaddr *peer)
{
    return peer->sa_family == AF_INET6 ? &((const struct sockaddr_in6 *)(const void *)peer)->sin6_addr : NULL;
}

int lw_gate_is_here(const struct sockaddr *peer)
{
    uint32_t four;
    const struct in6_addr *six = six_of(peer);
    return four_of(peer, &four) ? four >> 24 == 127 : six && IN6_IS_ADDR_LOOPBACK(six);
}

int lw_gate_is_local(const struct sockaddr *peer)
{
    uint32_t four;
    const struct in6_addr *six = six_of(peer);
    if (lw_gate_is_here(peer))
        return 1;
    if (four_of(peer, &four))
        return four >> 24 == 10 || four >> 20 == (172u << 4 | 1u) || four >> 16 == (192u << 8 | 168u) ||
               four >> 16 == (169u << 8 | 254u);
    return six && (IN6_IS_ADDR_LINKLOCAL(six) || (six->s6_addr[0] & 0xFE) == 0xFC);
}
