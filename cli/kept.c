#include "cli/kept.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

#include "text/moment.h"
#include "text/say.h"

lw_code lw_kept_now(const char *value, lw_kept_order *order, lw_err *err)
{
    double now_s;
    const lw_code code = lw_instant_parse(value, &now_s, err);
    if (code)
        return lw_err_at(err, "--now", 0, NULL);
    order->now_s = (int64_t)floor(now_s);
    return LW_OK;
}

lw_code lw_kept_open_order(lw_kept_order *order, lw_err *err)
{
    if (!order->now_s)
        order->now_s = (int64_t)time(NULL);
    if (!order->book)
        return lw_book_default_path(order->path, sizeof order->path, err);
    if (!*order->book || strlen(order->book) >= sizeof order->path)
        return lw_fail(err, LW_E_SYNTAX, "--book: a path of 1 to 4095 bytes is needed");
    snprintf(order->path, sizeof order->path, "%s", order->book);
    return LW_OK;
}

static lw_code open_or_say(const lw_kept_order *order, lw_book_mode mode, const char *instead, lw_book **book,
                           lw_err *err)
{
    lw_err own = {0};
    const lw_code code = lw_book_open(book, order->path, mode, &own);
    if (code == LW_E_MISSING && !order->book)
        return lw_fail(err, LW_E_MISSING, "there is no book yet; begin one with leeway begin FILE.yaml%s", instead);
    if (code)
        *err = own;
    return code;
}

lw_code lw_kept_open(const lw_kept_order *order, lw_book_mode mode, lw_book **book, lw_err *err)
{
    return open_or_say(order, mode, "", book, err);
}

lw_code lw_kept_open_for(const lw_kept_order *order, int takes_file, lw_book **book, lw_err *err)
{
    return open_or_say(order, LW_BOOK_WRITE, takes_file ? ", or name a scenario FILE" : "", book, err);
}
