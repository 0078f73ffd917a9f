/* Who may speak with the server. Address ranges: RFC 1918, 3927, 4193, 4291, as named in httpd/gate.h. */
#include <arpa/inet.h>
#include <netinet/in.h>
#include <string.h>

#include "httpd/gate.h"
#include "tests/check.h"

static void a_host_is_this_machine_or_nothing(void **state)
{
    (void)state;
    const lw_gate here = {.own_name = "camper"}, lan = {.is_lan = 1, .own_name = "camper", .more_name = "van.home"};
    static const struct {
        const char *host;
        int is_here, is_lan;
    } ROW[] = {
        {"localhost", 1, 1},
        {"LOCALHOST:5339", 1, 1},
        {"127.0.0.1:5339", 1, 1},
        {"127.1.2.3", 1, 1},
        {"[::1]:5339", 1, 1},
        {"192.168.1.4:5339", 0, 1},
        {"[fd00::1]", 0, 1},
        {"camper.local:5339", 0, 1},
        {"Camper", 0, 1},
        {"van.home:80", 0, 1},
        {"van.home.", 0, 1},
        {"camper.example", 0, 0},
        {"campers", 0, 0},
        {"evil.example:5339", 0, 0},
        {"127.0.0.1.evil.example", 0, 0},
        {"localhost.evil.example", 0, 0},
        {"", 0, 0},
        {":5339", 0, 0},
        {"localhost:53x9", 0, 0},
        {"[::1", 0, 0},
        {"user@localhost", 0, 0},
        {"0x7f000001", 0, 0},
        {"camper.localx", 0, 0},
    };
    for (size_t i = 0; i < COUNT_OF(ROW); i++) {
        if (lw_gate_is_host(&here, ROW[i].host) != ROW[i].is_here)
            fail_msg("on this machine alone %s is %s", ROW[i].host, ROW[i].is_here ? "refused" : "let in");
        if (lw_gate_is_host(&lan, ROW[i].host) != ROW[i].is_lan)
            fail_msg("on the network %s is %s", ROW[i].host, ROW[i].is_lan ? "refused" : "let in");
    }
    assert_false(lw_gate_is_host(&lan, NULL));
}

static void an_origin_is_the_host_itself(void **state)
{
    (void)state;
    assert_true(lw_gate_is_origin(NULL, "localhost:5339"));
    assert_true(lw_gate_is_origin("http://localhost:5339", "localhost:5339"));
    assert_false(lw_gate_is_origin("http://localhost:5340", "localhost:5339"));
    assert_false(lw_gate_is_origin("https://localhost:5339", "localhost:5339"));
    assert_false(lw_gate_is_origin("http://evil.example", "localhost:5339"));
    assert_false(lw_gate_is_origin("http://localhost:5339.evil.example", "localhost:5339"));
    assert_false(lw_gate_is_origin("null", "localhost:5339"));
    assert_false(lw_gate_is_origin("", "localhost:5339"));
}

static void only_local_networks_are_let_in(void **state)
{
    (void)state;
    static const struct {
        const char *address;
        int is_here, is_local;
    } ROW[] = {
        {"127.0.0.1", 1, 1},
        {"127.9.9.9", 1, 1},
        {"10.0.0.1", 0, 1},
        {"172.16.0.1", 0, 1},
        {"172.31.255.255", 0, 1},
        {"172.32.0.1", 0, 0},
        {"172.15.0.1", 0, 0},
        {"192.168.7.7", 0, 1},
        {"192.169.0.1", 0, 0},
        {"169.254.1.1", 0, 1},
        {"203.0.113.9", 0, 0},
        {"::1", 1, 1},
        {"fe80::1", 0, 1},
        {"fd12::1", 0, 1},
        {"fc00::1", 0, 1},
        {"2001:db8::1", 0, 0},
        {"::ffff:127.0.0.1", 1, 1},
        {"::ffff:10.1.1.1", 0, 1},
        {"::ffff:203.0.113.9", 0, 0},
    };
    for (size_t i = 0; i < COUNT_OF(ROW); i++) {
        struct sockaddr_in four = {.sin_family = AF_INET};
        struct sockaddr_in6 six = {.sin6_family = AF_INET6};
        const int is_four = inet_pton(AF_INET, ROW[i].address, &four.sin_addr) == 1;
        assert_true(is_four || inet_pton(AF_INET6, ROW[i].address, &six.sin6_addr) == 1);
        const struct sockaddr *peer = is_four ? (const void *)&four : (const void *)&six;
        if (lw_gate_is_here(peer) != ROW[i].is_here || lw_gate_is_local(peer) != ROW[i].is_local)
            fail_msg("%s: here %d, local %d", ROW[i].address, lw_gate_is_here(peer), lw_gate_is_local(peer));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_host_is_this_machine_or_nothing),
        cmocka_unit_test(an_origin_is_the_host_itself),
        cmocka_unit_test(only_local_networks_are_let_in),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
