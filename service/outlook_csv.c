#include "service/outlook_csv.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "service/words.h"
#include "text/decimal.h"
#include "text/moment.h"
#include "text/say.h"

static const struct {
    const char *header;
    lw_flow flow;
} FLOW[] = {
    {"sun_on_panels_wh", LW_FLOW_SUN_PANELS},  {"sun_used_wh", LW_FLOW_SUN_USED},
    {"sun_unused_wh", LW_FLOW_SUN_UNUSED},     {"generator_h", LW_FLOW_GENERATOR_HOURS},
    {"generator_ac_wh", LW_FLOW_GENERATOR_AC}, {"dc_loads_wh", LW_FLOW_DC_LOADS},
    {"inverter_in_wh", LW_FLOW_INVERTER_IN},   {"unmet_wh", LW_FLOW_UNMET_LOAD},
    {"battery_in_wh", LW_FLOW_BATTERY_IN},     {"battery_out_wh", LW_FLOW_BATTERY_OUT},
    {"propane_kg", LW_FLOW_PROPANE_OUT},       {"propane_furnace_kg", LW_FLOW_PROPANE_FURNACE},
    {"fresh_out_l", LW_FLOW_FRESH_OUT},        {"grey_in_l", LW_FLOW_GREY_IN},
    {"black_in_l", LW_FLOW_BLACK_IN},          {"rubbish_in_l", LW_FLOW_RUBBISH_IN},
    {"data_out_gb", LW_FLOW_DATA_OUT},
};

/* "kitchen grey" of litres: "kitchen_grey_level_l". A name that repeats gets its vessel's number. */
static void vessel_header(const lw_rig *rig, int vessel, char *buf, size_t n)
{
    char name[LW_VESSELS][LW_NAME];
    for (int v = 0; v <= vessel; v++) {
        size_t used = 0;
        for (const char *c = rig->vessel[v].name; *c && used < LW_NAME - 1; c++) {
            const int is_upper = *c >= 'A' && *c <= 'Z';
            const int is_plain = is_upper || (*c >= 'a' && *c <= 'z') || (*c >= '0' && *c <= '9');
            name[v][used++] = is_upper ? (char)(*c + ('a' - 'A')) : is_plain ? *c : '_';
        }
        name[v][used] = '\0';
    }
    int is_taken = name[vessel][0] == '\0';
    for (int v = 0; v < vessel; v++)
        is_taken |= strcmp(name[v], name[vessel]) == 0;
    const char *unit = lw_supply_unit(rig->vessel[vessel].supply);
    if (is_taken)
        snprintf(buf, n, "%.31s_%d_level_%s", name[vessel], vessel + 1, unit);
    else
        snprintf(buf, n, "%.31s_level_%s", name[vessel], unit);
}

static void put_number(lw_sink *sink, double value, int decimals)
{
    char text[LW_DECIMAL_BYTES];
    lw_sink_text(sink, ",");
    if (isnan(value)) /* not known: an empty field */
        return;
    lw_decimal_print(text, sizeof text, value, decimals, 0);
    lw_sink_text(sink, text);
}

static void put_header(const lw_rig *rig, lw_sink *sink)
{
    char name[96];
    lw_sink_text(sink, "utc,civil,air_c,wind_ms,humidity_frac,ghi_wm2,clear_frac,precip_mm,cabin_c,bay_c,battery_c,"
                       "battery_frac");
    for (int v = 0; v < rig->vessel_count; v++) {
        vessel_header(rig, v, name, sizeof name);
        lw_sink_print(sink, ",%s", name);
    }
    for (size_t i = 0; i < sizeof FLOW / sizeof FLOW[0]; i++)
        lw_sink_print(sink, ",%s", FLOW[i].header);
    lw_sink_text(sink, "\n");
}

static void put_row(const lw_outlook_answer *answer, int h, lw_sink *sink)
{
    const lw_scenario *s = answer->loaded.scenario;
    const lw_weather *w = &s->weather;
    const lw_state *state = &answer->joint.state[h];
    const lw_flows *flows = &answer->joint.flows[h];
    const int64_t at_s = answer->outlook->start_s + 3600 * (int64_t)h;
    const lw_clock civil = lw_clock_at(&answer->loaded.zone, at_s);
    char utc[48], clock[48];
    lw_sink_print(sink, "%s,%s", lw_instant_print(utc, sizeof utc, (double)at_s, 0),
                  lw_clock_print(clock, sizeof clock, &civil));
    put_number(sink, w->air_c[h], 1);
    put_number(sink, w->wind_ms[h], 1);
    put_number(sink, w->humidity_frac[h], 3);
    put_number(sink, w->ghi_wm2[h], 1);
    put_number(sink, w->clear_frac[h], 3);
    put_number(sink, w->precip_mm[h], 1);
    put_number(sink, state->cabin_c, 2);
    put_number(sink, state->bay_c, 2);
    put_number(sink, state->battery_c, 2);
    put_number(sink, answer->battery_frac[h], 4);
    for (int v = 0; v < s->rig.vessel_count; v++)
        put_number(sink, state->level[v], 3);
    for (size_t i = 0; i < sizeof FLOW / sizeof FLOW[0]; i++)
        put_number(sink, flows->of[FLOW[i].flow], 4);
    lw_sink_text(sink, "\n");
}

lw_code lw_outlook_csv(const lw_outlook_answer *answer, lw_sink *sink, lw_err *err)
{
    const lw_series *series = &answer->joint;
    if (!series->state || !series->flows || !answer->battery_frac)
        return lw_fail(err, LW_E_MISSING, "this outlook was made without its hourly rows");
    put_header(&answer->loaded.scenario->rig, sink);
    for (int h = 0; h < series->count && !lw_sink_is_closed(sink); h++)
        put_row(answer, h, sink);
    return lw_sink_flush(sink, err);
}
