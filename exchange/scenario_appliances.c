#include <math.h>
#include <stdio.h>
#include <string.h>

#include "exchange/scenario_internal.h"
#include "text/say.h"

/* The named hours of data/appliances.csv. */
static const struct {
    const char *word, *hours;
} NAMED_HOURS[] = {
    {"always", "always"},       {"never", "never"},
    {"night", "22:00-7:00"},    {"evening", "18:00-23:00"},
    {"waking", "7:00-22:00"},   {"morning", "6:00-9:00"},
    {"breakfast", "7:00-8:00"}, {"meals", "7:00-8:00, 12:00-13:00, 18:00-19:00"},
    {"work", "8:00-17:00"},     {"school", "9:00-13:00"},
};

static void hours_named(const char *word, uint32_t hours[7])
{
    static const lw_key AS_HOURS = {.kind = LW_KEY_HOURS};
    lw_value value;
    lw_err own = {0};
    memset(hours, 0, 7 * sizeof *hours);
    for (size_t i = 0; i < sizeof NAMED_HOURS / sizeof NAMED_HOURS[0]; i++)
        if (strcmp(NAMED_HOURS[i].word, word) == 0 && !lw_value_read(&AS_HOURS, NAMED_HOURS[i].hours, &value, &own))
            memcpy(hours, value.hours, sizeof value.hours);
}

static double hours_a_day(const uint32_t hours[7])
{
    double count = 0.0;
    for (int day = 0; day < 7; day++)
        for (int h = 0; h < 24; h++)
            count += hours[day] >> h & 1u;
    return count / 7.0;
}

static int word_in(const char *words, const char *word)
{
    char buf[LW_NAME];
    for (int i = 0; lw_word_at(words, i, buf, sizeof buf); i++)
        if (strcmp(buf, word) == 0)
            return i;
    return -1;
}

static int group_of(const char *word)
{
#define GROUP(id, name)                                                                                                \
    if (strcmp(word, name) == 0)                                                                                       \
        return LW_GROUP_##id;
    LW_GROUPS(GROUP)
#undef GROUP
    return LW_GROUP_DEVICES;
}

/* A row of the table: its hours a day, spread over its named hours, give the share of time that it is on. */
static int load_of_row(lw_reader *r, const lw_table *table, int row, lw_load *load)
{
    double watts, duty, perday, cut_v, inside, flag[4];
    static const char *const FLAGS[4] = {"is_vital", "is_network", "is_alarm", "with_generator_only"};
    if (lw_table_number(table, row, "watts", &watts, r->err) ||
        lw_table_number(table, row, "duty_frac", &duty, r->err) ||
        lw_table_number(table, row, "hours_perday", &perday, r->err) ||
        lw_table_number(table, row, "cut_v", &cut_v, r->err) ||
        lw_table_number(table, row, "inside_frac", &inside, r->err))
        return 0;
    for (int i = 0; i < 4; i++)
        if (lw_table_number(table, row, FLAGS[i], &flag[i], r->err))
            return 0;
    *load = (lw_load){
        .watts = watts, .duty_frac = duty, .cut_v = cut_v, .inside_frac = inside, .person = -1, .above_c = NAN};
    load->is_vital = flag[0] > 0.0, load->is_network = flag[1] > 0.0, load->is_alarm = flag[2] > 0.0;
    load->with_generator_only = flag[3] > 0.0;
    load->power = strcmp(lw_table_cell(table, row, "power"), "ac") == 0 ? LW_POWER_AC : LW_POWER_DC;
    load->rhythm =
        (lw_load_rhythm)word_in(lw_key_at("rig.appliances[].when")->words, lw_table_cell(table, row, "rhythm"));
    load->group = (lw_group)group_of(lw_table_cell(table, row, "group"));
    hours_named(lw_table_cell(table, row, "hours"), load->hours);
    const double named = hours_a_day(load->hours);
    const int is_timed =
        load->rhythm == LW_LOAD_WEEKLY || load->rhythm == LW_LOAD_PRESENT || load->rhythm == LW_LOAD_DARK;
    if (is_timed && named > 0.0 && perday * duty < named)
        load->duty_frac = perday * duty / named;
    if (load->rhythm == LW_LOAD_CABIN_HOT)
        load->above_c = 26.0; /* upper end of summer comfort, ASHRAE 55 for light clothing */
    return 1;
}

static int person_named(const lw_crew *crew, const char *name)
{
    for (int i = 0; i < crew->person_count; i++)
        if (strcmp(crew->person[i].name, name) == 0)
            return i;
    return -1;
}

static void override_load(lw_reader *r, const lw_scope *in, lw_load *load, int is_own)
{
    /* a row of one's own takes the defaults of defaults.csv; a row of the table only what is written */
    const int all = is_own;
#define TAKES(key) (all || lw_read_is_given(r, in, key))
    if (lw_read_is_given(r, in, "watts"))
        load->watts = lw_read_si(r, in, "watts");
    if (TAKES("duty"))
        load->duty_frac = lw_read_si(r, in, "duty");
    if (TAKES("when"))
        load->rhythm = (lw_load_rhythm)lw_read_word(r, in, "when");
    if (lw_read_is_given(r, in, "hours"))
        (void)lw_read_hours(r, in, "hours", load->hours);
    if (TAKES("current"))
        load->power = (lw_supply_kind)lw_read_word(r, in, "current");
    if (TAKES("cut_off"))
        load->cut_v = lw_read_si(r, in, "cut_off");
    if (TAKES("inside"))
        load->inside_frac = lw_read_si(r, in, "inside");
#undef TAKES
    if (lw_read_is_given(r, in, "above"))
        load->above_c = lw_read_si(r, in, "above");
    if (lw_read_is_given(r, in, "generator_only"))
        load->with_generator_only = lw_read_yes(r, in, "generator_only");
    if (lw_read_is_given(r, in, "vital"))
        load->is_vital = lw_read_yes(r, in, "vital");
    if (lw_read_is_given(r, in, "network"))
        load->is_network = lw_read_yes(r, in, "network");
    if (lw_read_is_given(r, in, "alarm"))
        load->is_alarm = lw_read_yes(r, in, "alarm");
    if (lw_read_is_given(r, in, "hours") && !lw_read_is_given(r, in, "duty"))
        load->duty_frac = 1.0;
}

static void want_sense(lw_reader *r, const lw_scope *in, const lw_load *load)
{
    const lw_rig *rig = &r->out->scenario->rig;
    if (!r->code && !(load->watts > 0.0))
        lw_read_refuse(r, in, NULL, LW_E_MISSING, "watts is missing; write watts: 30 W");
    if (!r->code && load->power == LW_POWER_AC && !rig->inverter.is_present && !rig->generator.is_present)
        lw_read_refuse(r, in, NULL, LW_E_CONFLICT, "%s needs 120 V, but there is neither inverter nor generator",
                       load->name);
    if (!r->code && load->with_generator_only && !rig->generator.is_present)
        lw_read_note(r, in, NULL, "%s runs with a generator only, and there is none", load->name);
    if (!r->code && load->rhythm == LW_LOAD_CABIN_HOT && isnan(load->above_c))
        lw_read_refuse(r, in, NULL, LW_E_MISSING,
                       "above is missing; write above: 80 F, the cabin temperature that switches it on");
}

static int is_load_named(const lw_rig *rig, const char *name)
{
    for (int i = 0; i < rig->load_count; i++)
        if (strcmp(rig->load[i].name, name) == 0)
            return 1;
    return 0;
}

static void name_load(const lw_rig *rig, lw_load *load, const char *name)
{
    snprintf(load->name, sizeof load->name, "%.31s", name);
    for (unsigned char n = 2; is_load_named(rig, load->name); n++)
        snprintf(load->name, sizeof load->name, "%.26s %d", name, n);
}

static int start_load(lw_reader *r, const lw_scope *in, const lw_table *table, lw_load *load, const char *id)
{
    if (!id) {
        *load =
            (lw_load){.person = -1, .above_c = NAN, .duty_frac = 1.0, .inside_frac = 1.0, .group = LW_GROUP_DEVICES};
        hours_named("always", load->hours);
        return 1;
    }
    const int row = lw_table_row(table, "id", id);
    if (row >= 0)
        return load_of_row(r, table, row, load);
    enum { MOST = 100 };
    const char *names[MOST];
    const size_t count = lw_table_names(table, "id", names, MOST);
    const char *near = lw_nearest(id, names, count);
    if (near)
        lw_read_refuse(r, in, "id", LW_E_SYNTAX, "%s is not in the table of appliances; did you mean %s?", id, near);
    else
        lw_read_refuse(r, in, "id", LW_E_SYNTAX,
                       "%s is not in the table of appliances; give it a name and watts instead", id);
    return 0;
}

static void read_appliance(lw_reader *r, const lw_scope *in, const lw_table *table)
{
    lw_rig *rig = &r->out->scenario->rig;
    const char *id = lw_read_text(r, in, "id"), *name = lw_read_text(r, in, "name");
    lw_load load;
    if (!id && !name)
        lw_read_refuse(r, in, NULL, LW_E_MISSING,
                       "an appliance needs an id from the table of appliances, or a name of its own");
    if (r->code || !start_load(r, in, table, &load, id))
        return;
    override_load(r, in, &load, !id);
    const char *person = lw_read_text(r, in, "person");
    if (person) {
        load.person = person_named(&r->out->scenario->crew, person);
        if (load.person < 0)
            lw_read_refuse(r, in, "person", LW_E_MISSING, "there is nobody named %s in crew.people", person);
    }
    const double count = lw_read_is_given(r, in, "count") ? lw_read_si(r, in, "count") : 1.0;
    load.watts *= count;
    name_load(rig, &load, name ? name : id);
    if (!r->code && rig->load_count == LW_LOADS)
        lw_read_refuse(r, in, NULL, LW_E_FULL, "more than %d appliances; join small ones", LW_LOADS);
    want_sense(r, in, &load);
    if (!r->code)
        rig->load[rig->load_count++] = load;
}

/* What the engine simulates itself is no appliance besides. */
static void want_once(lw_reader *r, const lw_scope *in)
{
    static const char *const SIMULATED[] = {"fridge-control", "fridge-compressor", "furnace-blower",
                                            "water-pump",     "tank-pads",         "roof-unit"};
    const char *id = lw_read_text(r, in, "id");
    for (size_t i = 0; id && i < sizeof SIMULATED / sizeof SIMULATED[0]; i++)
        if (strcmp(id, SIMULATED[i]) == 0)
            lw_read_refuse(r, in, "id", LW_E_CONFLICT, "%s is already part of rig.cabin and would count twice", id);
}

void lw_read_appliances(lw_reader *r, const lw_scope *rig)
{
    lw_scope items[LW_ITEMS];
    lw_table table = {0};
    if (r->code)
        return;
    if ((r->code = lw_table_open("appliances", &table, r->err)) != LW_OK)
        return;
    const int count = lw_read_items(r, rig, "appliances", items);
    for (int i = 0; i < count && !r->code; i++) {
        want_once(r, &items[i]);
        read_appliance(r, &items[i], &table);
    }
    lw_table_clear(&table);
}
