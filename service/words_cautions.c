#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/power/battery.h"
#include "exchange/tables_typed.h"
#include "service/words_internal.h"

/* From these on a matter is touched; all from memory: what a careful neighbour would mention. */
static const double WIND_MS = 12.0, RAIN_MM = 10.0, WARM_ANIMAL_C = 27.0, COLD_NIGHT_C = 0.0;

enum { LW_TRIGGERS = 24 };

typedef struct lw_touched {
    const char *word[LW_TRIGGERS];
    int count;
} lw_touched;

static void touch(lw_touched *t, int is_so, const char *word)
{
    if (is_so && t->count < LW_TRIGGERS)
        t->word[t->count++] = word;
}

static int happens(const lw_speaker *s, lw_event_kind kind)
{
    for (int i = 0; i < s->outlook->event_count; i++)
        if (s->outlook->event[i].kind == kind && s->outlook->event[i].at_s < lw_concern_until(s))
            return 1;
    return 0;
}

static int is_water_doubtful(const lw_scenario *scenario)
{
    const lw_rig *rig = &scenario->rig;
    for (int v = 0; v < rig->vessel_count; v++) {
        const lw_supply k = rig->vessel[v].supply;
        if ((k == LW_SUPPLY_FRESH || k == LW_SUPPLY_DRINKING) && rig->vessel[v].potable != LW_POTABLE_YES)
            return 1;
    }
    return 0;
}

static int has_run(const lw_speaker *s)
{
    for (int t = 0; t < s->scenario->transfer_count; t++)
        if (s->scenario->rig.vessel[s->scenario->transfer[t].vessel].supply != LW_SUPPLY_DATA)
            return 1;
    return 0;
}

static void touch_weather(const lw_speaker *s, lw_touched *t)
{
    const lw_weather *w = &s->scenario->weather;
    const lw_calendar *c = &s->scenario->calendar;
    double low_c = 100.0, wind_ms = 0.0, day_mm = 0.0;
    int is_wet = 0;
    for (int h = 0; h < c->hours && c->start_s + 3600 * (int64_t)h < lw_concern_until(s); h++) {
        low_c = fmin(low_c, w->air_c[h]);
        wind_ms = fmax(wind_ms, w->wind_ms[h]);
        day_mm = h > 0 && c->civil_day[h] == c->civil_day[h - 1] ? day_mm + w->precip_mm[h] : w->precip_mm[h];
        is_wet |= day_mm >= RAIN_MM;
    }
    touch(t, low_c < COLD_NIGHT_C, "cold");
    touch(t, wind_ms >= WIND_MS, "wind");
    touch(t, is_wet, "rain");
}

static void touch_all(const lw_speaker *s, lw_touched *t)
{
    const lw_outlook *o = s->outlook;
    const lw_flows *f = o->departure_s ? &o->joint_to_departure : &o->joint;
    const lw_battery_use *b = &s->scenario->rig.battery;
    int has_animal = 0;
    for (int p = 0; p < s->scenario->crew.person_count; p++)
        has_animal |= s->scenario->crew.person[p].being >= LW_BEING_DOG;
    touch(t, o->vital_count > 0 || happens(s, LW_EVENT_VITAL_COLD) || happens(s, LW_EVENT_VITAL_HOT), "vital");
    touch(t, f->of[LW_FLOW_PROPANE_FURNACE] > 0.0, "furnace");
    touch(t, f->of[LW_FLOW_GENERATOR_HOURS] > 0.0, "generator");
    touch(t, f->of[LW_FLOW_PROPANE_OUT] > 0.0, "propane");
    touch(t, happens(s, LW_EVENT_CABIN_COLD) || happens(s, LW_EVENT_FURNACE_SHORT), "cold");
    touch(t, happens(s, LW_EVENT_PIPES_FREEZE) || happens(s, LW_EVENT_VALVE_FREEZES), "freeze");
    touch(t, happens(s, LW_EVENT_CABIN_HOT), "hot");
    touch(t, has_animal && o->comfort.inside_high_c > WARM_ANIMAL_C, "animals");
    touch(t, b->chemistry == LW_CHEMISTRY_LFP && happens(s, LW_EVENT_CHARGE_COLD), "lithium");
    touch(t, b->capacity_ah > 0.0 && b->chemistry != LW_CHEMISTRY_LFP, "lead-acid");
    touch(t, is_water_doubtful(s->scenario), "drinking");
    touch(t, lw_is_of_concern(s, LW_SUPPLY_GREY), "grey");
    touch(t, lw_is_of_concern(s, LW_SUPPLY_BLACK), "black");
    touch(t, has_run(s), "run");
    touch(t, lw_is_of_concern(s, LW_SUPPLY_STAY), "stay");
    touch_weather(s, t);
    touch(t, 1, "always");
}

static void fill(const lw_table *table, int row, lw_caution *c)
{
    snprintf(c->id, sizeof c->id, "%.31s", lw_table_cell(table, row, "id"));
    snprintf(c->title, sizeof c->title, "%.63s", lw_table_cell(table, row, "title"));
    snprintf(c->text, sizeof c->text, "%.479s", lw_table_cell(table, row, "text"));
    snprintf(c->source, sizeof c->source, "%.127s", lw_table_cell(table, row, "source"));
}

static void keep(const lw_table *table, int row, lw_words *words)
{
    if (words->caution_count < LW_WORDS_CAUTIONS)
        fill(table, row, &words->caution[words->caution_count++]);
}

lw_code lw_caution_named(const char *id, lw_caution *to, lw_err *err)
{
    lw_table table = {0};
    const lw_code code = lw_table_open("cautions", &table, err);
    if (!code)
        fill(&table, lw_table_row(&table, "id", id), to);
    lw_table_clear(&table);
    return code;
}

lw_code lw_say_cautions(const lw_speaker *s, lw_words *words, lw_err *err)
{
    lw_touched touched = {.count = 0};
    lw_table table = {0};
    const lw_code code = lw_table_open("cautions", &table, err);
    if (code)
        return code;
    touch_all(s, &touched);
    for (int row = 0; row < table.rows; row++) {
        int fits = 0;
        for (int i = 0; i < touched.count; i++)
            fits |= lw_caution_is_for(&table, row, touched.word[i]);
        if (fits)
            keep(&table, row, words);
    }
    lw_table_clear(&table);
    return LW_OK;
}
