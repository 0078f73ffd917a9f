/* tests/exchange/loaded.h: loading a scenario in a test, and finding things in it. */
#ifndef LW_TESTS_EXCHANGE_LOADED_H
#define LW_TESTS_EXCHANGE_LOADED_H

#include <string.h>

#include "exchange/scenario.h"
#include "tests/check.h"

#define HEAD  "leeway: 1\n"
#define RIG   "rig: class-c\n"
#define CREW  "crew: 2 adults\n"
#define PLACE "place: {latitude: 38.2 N, longitude: 111.1 W, elevation: 1000 m, zone: America/Denver}\n"
#define STAY  "stay: {arrive: 2026-06-08 15:00, leave: 2026-06-18 10:00}\n"
#define AIR   "weather: {high: 30 C, low: 10 C}\n"

static inline void load_changed(lw_loaded *loaded, const char *text, const char *const *change, int count)
{
    lw_err err = {0};
    const lw_scenario_from from = {
        .path = "t.yaml", .bytes = text, .size = strlen(text), .change = change, .change_count = count};
    if (lw_scenario_load(&from, loaded, &err))
        fail_msg("refused: %s: %s", err.where, err.text);
}

static inline void load(lw_loaded *loaded, const char *text)
{
    load_changed(loaded, text, NULL, 0);
}

static inline void load_file(lw_loaded *loaded, const char *path)
{
    lw_err err = {0};
    if (lw_scenario_load(&(lw_scenario_from){.path = path}, loaded, &err))
        fail_msg("refused: %s: %s", err.where, err.text);
}

static inline const lw_assumption *assumed(const lw_loaded *loaded, const char *key)
{
    for (int i = 0; i < loaded->assumption_count; i++)
        if (strcmp(loaded->assumption[i].key, key) == 0)
            return &loaded->assumption[i];
    return NULL;
}

static inline int vessel_at(const lw_loaded *loaded, const char *name)
{
    const lw_rig *rig = &loaded->scenario->rig;
    for (int i = 0; i < rig->vessel_count; i++)
        if (strcmp(rig->vessel[i].name, name) == 0)
            return i;
    fail_msg("there is no vessel %s", name);
    return 0;
}

static inline const lw_vessel *vessel(const lw_loaded *loaded, const char *name)
{
    return &loaded->scenario->rig.vessel[vessel_at(loaded, name)];
}

static inline int has_note(const lw_loaded *loaded, const char *part)
{
    for (int i = 0; i < loaded->note_count; i++)
        if (strstr(loaded->note[i].text, part))
            return 1;
    return 0;
}

#endif
