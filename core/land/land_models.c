/* The rows by which this room's models are run by name. */
#include <math.h>

#include "core/base/model.h"
#include "core/land/distance.h"
#include "core/land/stay_rule.h"

static const lw_column distance_in[] = {
    {.name = "from_latitude_deg", .what = "north positive"},
    {.name = "from_longitude_deg", .what = "east positive"},
    {.name = "to_latitude_deg", .what = "north positive"},
    {.name = "to_longitude_deg", .what = "east positive"},
};
static const lw_column distance_out[] = {{.name = "distance_m", .what = "great circle", .decimals = 1}};

static lw_code apply_distance(const double *in, double *out, lw_fault *fault)
{
    const lw_spot from = {in[0], in[1]}, to = {in[2], in[3]};
    lw_code bad = lw_spot_check(&from, fault);
    if (!bad)
        bad = lw_spot_check(&to, fault);
    if (!bad)
        out[0] = lw_distance_m(from, to);
    return bad;
}

const lw_model lw_model_distance = {
    .name = "distance",
    .what = "Shortest way between two points of the ground",
    .source = "haversine formula on the mean radius 6,371,008.8 m",
    .in = LW_COLUMNS(distance_in),
    .out = LW_COLUMNS(distance_out),
    .apply = apply_distance,
};

static const lw_column stay_rule_in[] = {
    {.name = "days", .what = "allowed in the window"},
    {.name = "window_days", .what = "length of the window"},
    {.name = "reading", .what = "of the window", .kind = LW_COLUMN_CHOICE, .choices = "rolling|anchored|reset"},
    {.name = "stay1_first", .what = "an earlier stay there", .kind = LW_COLUMN_DATE, .is_optional = 1},
    {.name = "stay1_last", .what = "its last day", .kind = LW_COLUMN_DATE, .is_optional = 1},
    {.name = "stay2_first", .what = "another", .kind = LW_COLUMN_DATE, .is_optional = 1},
    {.name = "stay2_last", .what = "its last day", .kind = LW_COLUMN_DATE, .is_optional = 1},
    {.name = "day", .what = "the day asked", .kind = LW_COLUMN_DATE},
};
static const lw_column stay_rule_out[] = {
    {.name = "allowed", .what = "1: may stay on that day", .decimals = 1},
    {.name = "used_days", .what = "counted before it", .decimals = 1},
    {.name = "last_day",
     .what = "last allowed day of a stay from that day on; empty: not allowed, or none binds",
     .kind = LW_COLUMN_DATE},
};

/* Both dates of a stay or neither. */
static lw_code take_stay(const double *in, lw_stay_past *stay, int *count, lw_fault *fault)
{
    if (isnan(in[0]) && isnan(in[1]))
        return LW_OK;
    lw_code bad = lw_want_range(fault, "stay_first", in[0], -719162.0, 2932896.0);
    if (!bad)
        bad = lw_want_range(fault, "stay_last", in[1], -719162.0, 2932896.0);
    if (!bad)
        stay[(*count)++] = (lw_stay_past){.first_day = (int64_t)in[0], .last_day = (int64_t)in[1]};
    return bad;
}

static lw_code check_numbers(const double *in, lw_fault *fault)
{
    lw_code bad = lw_want_range(fault, "days", in[0], 1.0, LW_STAY_HORIZON_DAYS);
    if (!bad)
        bad = lw_want_range(fault, "window_days", in[1], 1.0, LW_STAY_HORIZON_DAYS);
    if (!bad)
        bad = lw_want_range(fault, "reading", in[2], 0.0, LW_STAY_READING_COUNT - 1);
    return bad ? bad : lw_want_range(fault, "day", in[7], -719162.0, 2932896.0);
}

static lw_code apply_stay_rule(const double *in, double *out, lw_fault *fault)
{
    lw_code bad = check_numbers(in, fault);
    if (bad)
        return bad;
    lw_stay_past past[2];
    lw_stay_history history = {.stay = past};
    for (size_t i = 0; i < 2 && !bad; i++)
        bad = take_stay(in + 3 + 2 * i, past, &history.count, fault);
    const lw_stay_rule rule = {.days = (int)in[0], .window_days = (int)in[1], .reading = (lw_stay_reading)in[2]};
    if (!bad)
        bad = lw_stay_rule_check(&rule, fault);
    if (!bad)
        bad = lw_stay_history_check(&history, fault);
    if (bad)
        return bad;
    const lw_stay_place place = {0};
    const lw_stay_verdict v = lw_stay_on(&rule, &history, place, (int64_t)in[7]);
    const lw_stay_until until = lw_stay_last_day(&rule, &history, place, (int64_t)in[7]);
    out[0] = v.is_allowed;
    out[1] = v.used_days;
    out[2] = v.is_allowed && until.is_limited ? (double)until.last_day : (double)NAN;
    return LW_OK;
}

const lw_model lw_model_stay_rule = {
    .name = "stay-rule",
    .what = "Whether a day is within N days of a window, and the last day that is",
    .source = "62 FR 66880 (22 Dec 1997): 14 days within any 28 consecutive days; anchored reading as an alternative",
    .in = LW_COLUMNS(stay_rule_in),
    .out = LW_COLUMNS(stay_rule_out),
    .apply = apply_stay_rule,
};
