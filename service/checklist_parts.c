/* The parts of a rig, of its crew and of how it travels that items of a checklist ask for. */
#include <string.h>

#include "core/power/battery.h"
#include "exchange/tables.h"
#include "service/checklist.h"
#include "service/log_internal.h"
#include "service/words_internal.h"

static int has_black(const lw_loaded *l)
{
    return lw_vessels_of(l->scenario, LW_SUPPLY_BLACK) > 0;
}

static int has_filter(const lw_loaded *l)
{
    const lw_rig *rig = &l->scenario->rig;
    for (int v = 0; v < rig->vessel_count; v++)
        if (rig->vessel[v].filter_life_l > 0.0)
            return 1;
    return 0;
}

static int has_cassette(const lw_loaded *l)
{
    return has_black(l) && l->toilet == LW_TOILET_CASSETTE;
}

static int has_dry_toilet(const lw_loaded *l)
{
    return l->toilet == LW_TOILET_DRY;
}

static int has_black_valve(const lw_loaded *l)
{
    return has_black(l) && !has_cassette(l) && !has_dry_toilet(l);
}

static int has_generator(const lw_loaded *l)
{
    return l->scenario->rig.generator.is_present;
}

static int has_inverter(const lw_loaded *l)
{
    return l->scenario->rig.inverter.is_present;
}

static int has_solar(const lw_loaded *l)
{
    return l->scenario->rig.array_count > 0;
}

static int is_portable(const lw_array *array)
{
    int is_always_out = 1;
    for (int day = 0; day < 7; day++)
        is_always_out &= (array->out[day] & 0xFFFFFFu) == 0xFFFFFFu;
    return array->moves_a_day > 0 || array->is_stowed_in_wind || !is_always_out;
}

static int has_array(const lw_loaded *l, int wants_portable)
{
    const lw_rig *rig = &l->scenario->rig;
    for (int a = 0; a < rig->array_count; a++)
        if (is_portable(&rig->array[a]) == wants_portable && (wants_portable || rig->array[a].tilt_deg > 0.0))
            return 1;
    return 0;
}

static int has_solar_portable(const lw_loaded *l)
{
    return has_array(l, 1);
}

static int has_solar_tilted(const lw_loaded *l)
{
    return has_array(l, 0);
}

static int has_awning(const lw_loaded *l)
{
    return l->has_awning;
}

static int has_slides(const lw_loaded *l)
{
    return l->has_slides;
}

static int has_water_heater(const lw_loaded *l)
{
    return l->scenario->rig.cabin.water_heater_is_present;
}

static int has_furnace(const lw_loaded *l)
{
    return l->scenario->rig.cabin.furnace_input_w > 0.0;
}

static int has_fridge_gas(const lw_loaded *l)
{
    const lw_cabin_use *cabin = &l->scenario->rig.cabin;
    return cabin->fridge_is_present && cabin->fridge.kind == LW_COOLING_ABSORPTION;
}

static int has_pads(const lw_loaded *l)
{
    const lw_rig *rig = &l->scenario->rig;
    for (int i = 0; i < rig->load_count; i++)
        if (rig->load[i].rhythm == LW_LOAD_BAY_COLD)
            return 1;
    return rig->cabin.pad_w > 0.0;
}

static int has_bay_cold(const lw_loaded *l)
{
    const lw_bay_kind bay = l->scenario->rig.cabin.bay;
    return bay == LW_BAY_KIND_EXPOSED || bay == LW_BAY_KIND_ENCLOSED;
}

static int has_lithium(const lw_loaded *l)
{
    return l->scenario->rig.battery.chemistry == (int)LW_CHEMISTRY_LFP;
}

static int has_lead_acid(const lw_loaded *l)
{
    return !has_lithium(l);
}

static int has_network(const lw_loaded *l)
{
    const lw_rig *rig = &l->scenario->rig;
    for (int i = 0; i < rig->load_count; i++)
        if (rig->load[i].is_network)
            return 1;
    return 0;
}

static int has_vital(const lw_loaded *l)
{
    const lw_rig *rig = &l->scenario->rig;
    for (int i = 0; i < rig->load_count; i++)
        if (rig->load[i].is_vital)
            return 1;
    return 0;
}

static int has_animals(const lw_loaded *l)
{
    const lw_crew *crew = &l->scenario->crew;
    for (int i = 0; i < crew->person_count; i++)
        if (crew->person[i].being >= LW_BEING_DOG)
            return 1;
    return 0;
}

static int has_work(const lw_loaded *l)
{
    const lw_crew *crew = &l->scenario->crew;
    for (int i = 0; i < crew->person_count; i++)
        for (int day = 0; day < 7; day++)
            if (crew->person[i].work[day] || crew->person[i].school[day])
                return 1;
    return 0;
}

static int travels(const lw_loaded *l, const char *how)
{
    lw_table rigs = {0};
    lw_err unread = {0};
    int is_so = 0;
    if (lw_table_open("rigs", &rigs, &unread) == LW_OK) {
        const int row = lw_table_row(&rigs, "id", l->rig_kind);
        is_so = row >= 0 && strcmp(lw_table_cell(&rigs, row, "travels"), how) == 0;
    }
    lw_table_clear(&rigs);
    return is_so;
}

static int is_towed(const lw_loaded *l)
{
    return travels(l, "towed");
}

static int is_driven(const lw_loaded *l)
{
    return travels(l, "driven");
}

static int is_carried(const lw_loaded *l)
{
    return travels(l, "carried");
}

static const struct {
    const char *word;
    int (*has)(const lw_loaded *l);
} PART[] = {
    {"filter", has_filter},
    {"black-valve", has_black_valve},
    {"cassette", has_cassette},
    {"dry-toilet", has_dry_toilet},
    {"generator", has_generator},
    {"inverter", has_inverter},
    {"solar", has_solar},
    {"solar-portable", has_solar_portable},
    {"solar-tilted", has_solar_tilted},
    {"awning", has_awning},
    {"slides", has_slides},
    {"water-heater", has_water_heater},
    {"furnace", has_furnace},
    {"fridge-gas", has_fridge_gas},
    {"pads", has_pads},
    {"bay-cold", has_bay_cold},
    {"lead-acid", has_lead_acid},
    {"lithium", has_lithium},
    {"network", has_network},
    {"vital", has_vital},
    {"animals", has_animals},
    {"work", has_work},
    {"towed", is_towed},
    {"driven", is_driven},
    {"carried", is_carried},
};

enum { YES = 1, NO = 0, NOT_SAID = -1, NO_PART = -2 };

static int has_part(const lw_loaded *loaded, const char *word, size_t n)
{
    for (int s = 0; s < LW_SUPPLY_COUNT; s++)
        if (lw_log_same(word, n, lw_supply_word((lw_supply)s)))
            return lw_vessels_of(loaded->scenario, (lw_supply)s) > 0;
    for (size_t i = 0; i < sizeof PART / sizeof PART[0]; i++)
        if (lw_log_same(word, n, PART[i].word))
            return PART[i].has(loaded);
    return NO_PART;
}

/* One of those parted by strokes. */
static int has_one(const lw_loaded *loaded, const char *words, size_t n)
{
    int best = NO;
    for (size_t at = 0; at < n;) {
        const char *stroke = memchr(words + at, '/', n - at);
        const size_t end = stroke ? (size_t)(stroke - words) : n;
        const int has = has_part(loaded, words + at, end - at);
        if (has == NO_PART)
            return NO_PART;
        best = has == YES || best == YES ? YES : has == NOT_SAID ? NOT_SAID : best;
        at = end + 1;
    }
    return best;
}

int lw_checklist_has(const lw_loaded *loaded, const char *parts)
{
    int all = YES;
    for (const char *at = parts; *at;) {
        const size_t n = strcspn(at, " ");
        const int has = has_one(loaded, at, n);
        if (has == NO_PART)
            return NO_PART;
        all = has == NO || all == NO ? NO : has == NOT_SAID ? NOT_SAID : all;
        at += n + strspn(at + n, " ");
    }
    return all;
}
