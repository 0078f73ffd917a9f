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

/* A book that is not there, or cannot be read, says nothing of the time; opening it for what is asked says why. */
static void look_at_clock(lw_kept_order *order)
{
    lw_err unread = {0}, ask = {0};
    lw_book *book = NULL;
    lw_zone zone;
    order->view = (lw_clock_view){
        .now_s = order->machine.now_s, .newest_s = LW_NO_TIME, .is_doubted = order->machine.now_s < LW_CLOCK_LEAST_S};
    lw_zone_utc(&zone);
    if (lw_book_open(&book, order->path, LW_BOOK_READ_ONLY, &unread) == LW_OK &&
        lw_clock_look(book, &order->machine, &order->view, &unread) == LW_OK && order->view.is_doubted &&
        order->view.newest_s != LW_NO_TIME)
        order->here_s = order->view.newest_s;
    order->now_s = order->view.now_s;
    order->is_doubted = order->view.is_doubted;
    if (order->is_doubted) {
        if (book && lw_clock_zone(book, 0, order->here_s ? order->here_s : order->now_s, &zone, &unread))
            lw_zone_utc(&zone);
        (void)lw_clock_ask(&order->view, &zone, &ask);
        snprintf(order->ask, sizeof order->ask, "%.160s, %.60s", ask.text, ask.typed);
        (void)lw_clock_device(LW_KEPT_DEVICE, &order->machine, order->device, sizeof order->device);
    }
    lw_book_close(book);
}

lw_code lw_kept_open_order(lw_kept_order *order, lw_err *err)
{
    const int is_said = order->now_s != 0;
    snprintf(order->device, sizeof order->device, "%s", LW_KEPT_DEVICE);
    if (order->book && (!*order->book || strlen(order->book) >= sizeof order->path))
        return lw_fail(err, LW_E_SYNTAX, "--book: a path of 1 to 4095 bytes is needed");
    if (order->book)
        snprintf(order->path, sizeof order->path, "%s", order->book);
    else if (lw_book_default_path(order->path, sizeof order->path, err))
        return err->code;
    order->machine = lw_machine_clock_read();
    if (!is_said)
        look_at_clock(order);
    if (!order->here_s)
        order->here_s = order->now_s;
    return LW_OK;
}

static lw_code open_or_say(const lw_kept_order *order, lw_book_mode mode, const char *instead, lw_book **book,
                           lw_err *err)
{
    lw_err own = {0};
    if (order->is_doubted && !order->keeps_doubt)
        return lw_fail(err, LW_E_CONFLICT, "%s", order->ask);
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
