#include "service/map_tag_words.h"

#include <string.h>

#include "tests/check.h"

/* Keys and values as the OpenStreetMap wiki defines them; the words are ours. */
static void tags_are_words(void **state)
{
    static const struct {
        const char *tags, *says;
    } SAYS[] = {
        {NULL, ""},
        {"", ""},
        {"fee=yes", "a fee"},
        {"fee=no; access=yes", "no fee; open to the public"},
        {"fee=yes; charge=10 USD; opening_hours=24/7", "10 USD; always open"},
        {"opening_hours=Mo-Sa 06:00-21:00; Su off; access=customers", "hours Mo-Sa 06:00-21:00; Su off; for customers"},
        {"fee=5 USD; seasonal=summer; intermittent=no", "fee: 5 USD; season: summer"},
        {"maxlength=9; maxweight=3.5; maxheight=12'6\"",
         "no longer than 9 m; no heavier than 3.5 t; no higher than 12'6\""},
        {"toilets=yes; power_supply=no; fuel:diesel=yes", "toilets; no power supply; fuel diesel"},
        {"note=ring; the bell; openfire=no", "ring; the bell; no open fire"},
        {"= ; nonsense; =x", ""},
    };
    char buf[LW_MAP_TAGS_SAID];
    (void)state;
    for (size_t i = 0; i < sizeof SAYS / sizeof SAYS[0]; i++)
        assert_string_equal(lw_map_tags_say(SAYS[i].tags, buf), SAYS[i].says);
}

static void what_is_too_long_is_cut(void **state)
{
    char tags[3000] = "note=", buf[LW_MAP_TAGS_SAID];
    (void)state;
    memset(tags + 5, 'a', sizeof tags - 6);
    tags[sizeof tags - 1] = '\0';
    assert_true(strlen(lw_map_tags_say(tags, buf)) < sizeof buf);
    for (size_t i = 0; i + 12 < sizeof tags; i += 11)
        memcpy(tags + i, "toilets=no; ", 12);
    assert_true(strlen(lw_map_tags_say(tags, buf)) < sizeof buf);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tags_are_words),
        cmocka_unit_test(what_is_too_long_is_cut),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
