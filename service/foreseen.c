#include "service/foreseen.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "book/forecasts.h"
#include "service/json.h"
#include "text/moment.h"
#include "text/say.h"

static const int64_t MARK_S = INT64_C(3600) * LW_FORECAST_MARK_H;
enum { LEVEL_DECIMALS = 3 };

static void drop_oldest(lw_foreseen *to)
{
    const size_t rest = LW_FORESEEN_POINTS - 1;
    memmove(&to->at_s[0], &to->at_s[1], rest * sizeof to->at_s[0]);
    memmove(&to->level[0], &to->level[1], rest * sizeof to->level[0]);
    to->count--;
}

static void add_point(const lw_forecast *f, int64_t at_s, lw_foreseen *to)
{
    if (to->count == LW_FORESEEN_POINTS)
        drop_oldest(to);
    const int i = to->count++;
    to->at_s[i] = at_s;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        double band[LW_QUANTILES];
        const int is_known = lw_forecast_level(f, (lw_supply)k, at_s, band);
        for (int q = 0; q < LW_QUANTILES; q++)
            to->level[i][k][q] = is_known ? (float)band[q] : NAN;
    }
}

/* A forecast from from_s to to_s: both ends, and its own marks between them. */
static void add_stretch(const lw_forecast *f, int64_t from_s, int64_t to_s, lw_foreseen *to)
{
    if (from_s >= to_s)
        return;
    add_point(f, from_s, to);
    for (int64_t at_s = from_s + MARK_S - (from_s - f->start_s) % MARK_S; at_s < to_s; at_s += MARK_S)
        add_point(f, at_s, to);
    add_point(f, to_s, to);
}

lw_code lw_foreseen_make(lw_book *book, int64_t stay, int64_t from_s, int64_t to_s, lw_foreseen *foreseen, lw_err *err)
{
    lw_kept_forecasts kept = {0};
    lw_forecast *pair = malloc(2 * sizeof *pair); /* one in force, and the next */
    lw_code code = pair ? lw_book_list_forecasts(book, stay, &kept, err) : lw_fail(err, LW_E_FULL, "not enough memory");
    int has_one = 0;
    foreseen->count = 0;
    for (size_t i = 0; i < kept.count && !code && pair; i++) {
        lw_err unread = {0};
        if (lw_forecast_read(kept.forecast[i].result, &pair[1], &unread) || pair[1].start_s >= to_s)
            continue;
        if (has_one)
            add_stretch(&pair[0], pair[0].start_s > from_s ? pair[0].start_s : from_s, pair[1].start_s, foreseen);
        pair[0] = pair[1];
        has_one = 1;
    }
    if (has_one && pair && !code)
        add_stretch(&pair[0], pair[0].start_s > from_s ? pair[0].start_s : from_s, to_s, foreseen);
    lw_kept_forecasts_clear(&kept);
    free(pair);
    return code;
}

static json_t *quantile_json(lw_json *j, const lw_foreseen *f, int k, int q)
{
    json_t *list = lw_json_array(j);
    for (int i = 0; i < f->count; i++)
        lw_json_add(j, list, lw_json_real((double)f->level[i][k][q], LEVEL_DECIMALS)); /* NaN: null */
    return list;
}

char *lw_foreseen_json(const lw_foreseen *f)
{
    static const char *const KEY[LW_QUANTILES] = {"low_frac", "middle_frac", "high_frac"};
    lw_json j = {.zone = NULL};
    json_t *root = lw_json_object(&j), *at = lw_json_array(&j), *supplies = lw_json_object(&j);
    lw_json_text(&j, root, "schema", "leeway.foreseen/1");
    for (int i = 0; i < f->count; i++) {
        char text[48];
        lw_json_add(&j, at, json_string(lw_instant_print(text, sizeof text, (double)f->at_s[i], 0)));
    }
    lw_json_put(&j, root, "at", at);
    for (int k = 0; k < LW_SUPPLY_COUNT; k++) {
        int is_known = 0;
        for (int i = 0; i < f->count && !is_known; i++)
            is_known = !isnan(f->level[i][k][1]);
        if (!is_known)
            continue;
        json_t *o = lw_json_object(&j);
        for (int q = 0; q < LW_QUANTILES; q++)
            lw_json_put(&j, o, KEY[q], quantile_json(&j, f, k, q));
        lw_json_put(&j, supplies, lw_supply_word((lw_supply)k), o);
    }
    lw_json_put(&j, root, "supplies", supplies);
    return lw_json_finish(&j, root, 1);
}
