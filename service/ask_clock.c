#include <stdlib.h>

#include "service/ask_internal.h"
#include "text/say.h"

lw_code lw_ask_look_at_clock(lw_book *book, const lw_machine_clock *machine, lw_ask *ask, lw_err *err)
{
    ask->machine = *machine;
    const lw_code code = lw_clock_look(book, machine, &ask->clock, err);
    if (code)
        return code;
    ask->now_s = ask->clock.now_s;
    if (ask->clock.is_doubted && ask->clock.newest_s != LW_NO_TIME)
        ask->now_s = ask->clock.newest_s;
    return LW_OK;
}

static lw_code zone_here(const lw_asked *a, lw_zone **zone, lw_err *err)
{
    *zone = malloc(sizeof **zone);
    if (*zone)
        return lw_clock_zone(a->book, 0, a->ask->now_s, *zone, err);
    (void)lw_fail(err, LW_E_FULL, "no memory for the rules of a time zone");
    return LW_E_FULL;
}

lw_code lw_asked_want_time(lw_asked *a, lw_err *err)
{
    lw_zone *zone = NULL;
    if (!a->ask->clock.is_doubted)
        return LW_OK;
    lw_code code = zone_here(a, &zone, err);
    code = code ? code : lw_clock_ask(&a->ask->clock, zone, err);
    free(zone);
    return code;
}

lw_code lw_asked_take_time(lw_asked *a, int64_t said_s, lw_err *err)
{
    lw_zone *zone = NULL;
    lw_clock_told told;
    if (!a->ask->clock.is_doubted)
        return LW_OK;
    lw_code code = zone_here(a, &zone, err);
    code = code ? code
                : lw_clock_set(a->book, &a->ask->machine, &a->ask->clock, zone, said_s, LW_CLOCK_TERMINAL, &told, err);
    free(zone);
    if (code)
        return code;
    a->own = *a->ask;
    a->own.now_s = said_s;
    a->own.clock.is_doubted = 0;
    a->ask = &a->own;
    return LW_OK;
}

lw_code lw_ask_clock(lw_asked *a, lw_err *err)
{
    static const char *const NO_KEYS[] = {NULL};
    json_t *root = NULL;
    int64_t sent_s = 0;
    lw_code code = lw_asked_want_params(a, NO_KEYS, err);
    code = code ? code : lw_asked_body(a, &root, err);
    code = code ? code : lw_asked_instant(a, root, "sent", &sent_s, err);
    json_decref(root);
    if (!code && !sent_s) {
        a->reply->status = 400;
        code = lw_fail(err, LW_E_MISSING, "sent is missing: the time it is by the device that asks");
    }
    code = code ? code : lw_asked_take_time(a, sent_s, err);
    return code ? code : lw_ask_state(a, err);
}
