#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/house/toilet.h"
#include "core/power/generator.h"
#include "exchange/scenario_internal.h"
#include "text/quantity.h"

/* A set fed from the vehicle's tank stops at about a quarter; below this size a vessel is a can, which it empties. */
static const double VEHICLE_TANK_L = 60.0;

static void copy_name(char *to, const char *from)
{
    snprintf(to, LW_NAME, "%.31s", from);
}

/* ---- vessels ---- */

static int is_name_taken(const lw_rig *rig, const char *name)
{
    for (int i = 0; i < rig->vessel_count; i++)
        if (strcmp(rig->vessel[i].name, name) == 0)
            return 1;
    return 0;
}

/* A vessel with what all have: name, owner, order. Named by the file, else after its supply, with a number if need be. */
static lw_vessel *add_vessel(lw_reader *r, const lw_scope *item, lw_supply supply, const char *word)
{
    lw_rig *rig = &r->out->scenario->rig;
    if (r->code)
        return NULL;
    if (rig->vessel_count == LW_VESSELS) {
        lw_read_refuse(r, item, NULL, LW_E_FULL, "more than %d tanks, cylinders, places and connections in all",
                       LW_VESSELS);
        return NULL;
    }
    char name[LW_NAME];
    const char *given = lw_key_under(item->path, "name") ? lw_read_text(r, item, "name") : NULL;
    copy_name(name, given ? given : word);
    if (given && is_name_taken(rig, given)) {
        lw_read_refuse(r, item, "name", LW_E_CONFLICT, "there is another vessel named %s; give each its own name",
                       given);
        return NULL;
    }
    for (int n = 2; is_name_taken(rig, name); n++)
        snprintf(name, sizeof name, "%.20s %d", word, n);
    lw_vessel *vessel = &rig->vessel[rig->vessel_count++];
    *vessel = (lw_vessel){.supply = supply};
    copy_name(vessel->name, name);
    if (lw_key_under(item->path, "owner")) {
        const char *owner = lw_read_text(r, item, "owner");
        copy_name(vessel->owner, owner ? owner : "");
    }
    return vessel;
}

static double plain(double value)
{
    return isnan(value) ? 0.0 : value;
}

/* Of the vessel that was added last, once its capacity is known. */
static void read_gauges(lw_reader *r, const lw_scope *item)
{
    const int at = r->out->scenario->rig.vessel_count - 1;
    const lw_vessel *vessel = &r->out->scenario->rig.vessel[at];
    lw_read_gauges(r, item, vessel->supply, vessel->capacity, &r->out->vessel_gauges[at]);
}

static double need(lw_reader *r, const lw_scope *in, const char *key)
{
    const double value = lw_read_si(r, in, key);
    if (isnan(value))
        lw_read_refuse(r, in, NULL, LW_E_MISSING, "%s is missing, and this kind of rig has none by default", key);
    return value;
}

/* Of the water tank that was added last. */
static lw_unsure *unsure_of(lw_reader *r)
{
    return &r->out->unsure[r->out->scenario->rig.vessel_count - 1];
}

static double need_capacity(lw_reader *r, const lw_scope *in)
{
    const double capacity = lw_read_unsure(r, in, "capacity", "capacity", &unsure_of(r)->capacity_sd);
    if (isnan(capacity))
        lw_read_refuse(r, in, NULL, LW_E_MISSING,
                       "capacity is missing, and this kind of rig has none by default; write about how much, such as "
                       "about 30 gal");
    return capacity;
}

/* Full, empty and thirds are shares, and so is what a table says. */
static double read_tank_level(lw_reader *r, const lw_scope *in, double capacity)
{
    lw_value value = {.dim = LW_DIM_FRACTION};
    const int is_given = lw_read_is_given(r, in, "level") && lw_read_value(r, in, "level", &value);
    unsure_of(r)->is_level_share = !is_given || value.dim == LW_DIM_FRACTION;
    return lw_read_level(r, in, "level", capacity);
}

static unsigned fixtures_of(lw_reader *r, const lw_scope *item, const char *key)
{
    const lw_key *row = lw_key_under(item->path, key);
    const lw_yaml_node *node = item->node ? lw_yaml_child(item->node, key) : NULL;
    unsigned bits = 0;
    lw_value value;
    lw_err own = {0};
    if (r->code || !node)
        return 0;
    const int is_list = node->kind == LW_YAML_LIST;
    for (const lw_yaml_node *at = is_list ? node->first : node; at; at = is_list ? at->next : NULL)
        if (!lw_value_read(row, at->text, &value, &own))
            bits |= value.words;
    return bits;
}

static void want_room(lw_reader *r, const lw_scope *item, const char *key, const lw_vessel *vessel, double unusable)
{
    if (!r->code && unusable >= vessel->capacity)
        lw_read_refuse(r, item, key, LW_E_CONFLICT, "it is as much as %s holds, so nothing of it could be used",
                       vessel->name);
}

static void read_fresh(lw_reader *r, const lw_scope *tanks)
{
    lw_scope items[LW_ITEMS];
    const int count = lw_read_items(r, tanks, "fresh", items);
    for (int i = 0; i < count && !r->code; i++) {
        lw_vessel *vessel = add_vessel(r, &items[i], LW_SUPPLY_FRESH, "fresh");
        if (!vessel)
            return;
        vessel->capacity = need_capacity(r, &items[i]);
        vessel->level = read_tank_level(r, &items[i], vessel->capacity);
        /* a can is tipped out to the last drop; what has a pump and is a tank leaves some */
        vessel->unusable =
            i == 0 || lw_read_is_given(r, &items[i], "unusable") ? plain(lw_read_si(r, &items[i], "unusable")) : 0;
        want_room(r, &items[i], "unusable", vessel, vessel->unusable);
        vessel->fixtures = fixtures_of(r, &items[i], "feeds");
        vessel->potable = (lw_potable)lw_read_word(r, &items[i], "potable");
        vessel->order = (int)plain(lw_read_si(r, &items[i], "order"));
        read_gauges(r, &items[i]);
    }
}

static int is_cassette(lw_reader *r, const lw_scope *root)
{
    const lw_scope crew = lw_read_map(r, root, "crew");
    return lw_read_word(r, &crew, "toilet") == LW_TOILET_CASSETTE;
}

/* What stays in after it was emptied. A tank keeps some behind its valve, and is given some to start with. */
static double residue_of(lw_reader *r, const lw_scope *item, int is_carried)
{
    char none[LW_QUANTITY_BYTES];
    if (!is_carried || lw_read_is_given(r, item, "residue"))
        return plain(lw_read_unsure(r, item, "residue", "residue", &unsure_of(r)->residue_sd));
    lw_read_assume(r, item, "residue", lw_quantity_print(none, sizeof none, 0.0, LW_DIM_VOLUME, r->out->units),
                   "a cassette is carried out and emptied whole", "common practice");
    return 0.0;
}

static void read_waste(lw_reader *r, const lw_scope *root, const lw_scope *tanks, const char *key, lw_supply supply)
{
    lw_scope items[LW_ITEMS];
    const int count = lw_read_items(r, tanks, key, items);
    for (int i = 0; i < count && !r->code; i++) {
        const int is_carried = supply == LW_SUPPLY_BLACK && is_cassette(r, root);
        lw_vessel *vessel = add_vessel(r, &items[i], supply, is_carried ? "cassette" : key);
        if (!vessel)
            return;
        vessel->capacity = need_capacity(r, &items[i]);
        vessel->residue = residue_of(r, &items[i], is_carried);
        vessel->unusable = plain(lw_read_si(r, &items[i], "spare"));
        want_room(r, &items[i], "residue", vessel, vessel->residue + vessel->unusable);
        vessel->level = read_tank_level(r, &items[i], vessel->capacity);
        if (!lw_read_is_given(r, &items[i], "level") && vessel->level < vessel->residue)
            vessel->level = vessel->residue;
        vessel->fixtures = fixtures_of(r, &items[i], "from");
        vessel->order = (int)plain(lw_read_si(r, &items[i], "order"));
        read_gauges(r, &items[i]);
    }
}

/* Neither bottles nor cartridge: people drink from the fresh tank, and drinking water is no supply of its own. */
static void read_drinking(lw_reader *r, const lw_scope *rig)
{
    if (!lw_read_is_given(r, rig, "drinking"))
        return;
    const lw_scope drinking = lw_read_map(r, rig, "drinking");
    if (lw_read_is_given(r, &drinking, "bottled")) {
        lw_vessel *bottles = add_vessel(r, &drinking, LW_SUPPLY_DRINKING, "bottles");
        if (!bottles)
            return;
        bottles->capacity = lw_read_si(r, &drinking, "bottled");
        bottles->level = lw_read_level(r, &drinking, "level", bottles->capacity);
        bottles->order = 1;
        read_gauges(r, &drinking);
    }
    if (!lw_read_is_given(r, &drinking, "filter"))
        return;
    const lw_scope filter = lw_read_map(r, &drinking, "filter");
    lw_vessel *cartridge = add_vessel(r, &filter, LW_SUPPLY_DRINKING, "filter");
    if (!cartridge)
        return;
    cartridge->capacity = cartridge->filter_life_l = lw_read_si(r, &filter, "life");
    cartridge->level = lw_read_level(r, &filter, "left", cartridge->capacity);
    r->out->filter_l_per_day = plain(lw_read_si(r, &filter, "rate")) * 86400.0;
    cartridge->order = 2;
    read_gauges(r, &filter);
}

/* As many as may be open feed together; the others wait their turn. */
static void add_cylinder(lw_reader *r, const lw_scope *item, double capacity_kg, int number)
{
    lw_vessel *vessel = add_vessel(r, item, LW_SUPPLY_PROPANE, "cylinder");
    if (!vessel)
        return;
    vessel->capacity = capacity_kg;
    vessel->level = lw_read_level(r, item, "level", capacity_kg);
    vessel->order = lw_read_is_given(r, item, "order") ? (int)lw_read_si(r, item, "order")
                                                       : 1 + number / r->out->scenario->rig.cabin.open_cylinders;
    read_gauges(r, item);
}

static void read_propane(lw_reader *r, const lw_scope *rig)
{
    const lw_scope propane = lw_read_map(r, rig, "propane");
    lw_cabin_use *cabin = &r->out->scenario->rig.cabin;
    cabin->open_cylinders = 1;
    if (propane.node && !lw_read_is_given(r, rig, "propane"))
        return;
    const double open = lw_read_si(r, &propane, "open");
    cabin->open_cylinders = isnan(open) ? 1 : (int)open;
    lw_scope items[LW_ITEMS];
    const int count = propane.node ? lw_read_items(r, &propane, "cylinders", items) : 0;
    for (int i = 0; i < count && !r->code; i++) {
        lw_value capacity;
        if (!lw_read_value(r, &items[i], "capacity", &capacity))
            continue;
        add_cylinder(r, &items[i], capacity.dim == LW_DIM_VOLUME ? lw_lpg_kg(capacity.si) : capacity.si, i);
    }
    if (count == 0 && r->rig_row >= 0) {
        double total_kg, number;
        if (lw_table_number(&r->rigs, r->rig_row, "propane_kg", &total_kg, r->err) ||
            lw_table_number(&r->rigs, r->rig_row, "cylinders", &number, r->err) || !(total_kg > 0.0) ||
            !(number >= 1.0))
            return;
        lw_scope absent = {.key = lw_key_at("rig.propane.cylinders"),
                           .path = "rig.propane.cylinders[]",
                           .label = "rig.propane.cylinders"};
        char value[LW_TEXT_BYTES], each[LW_QUANTITY_BYTES];
        lw_quantity_print(each, sizeof each, total_kg / number, LW_DIM_MASS, r->out->units);
        snprintf(value, sizeof value, "%d x %.40s", (int)number, each);
        const int column = lw_table_row(&r->rig_columns, "column", "propane_kg");
        lw_read_assume(r, &propane, "cylinders", value, lw_table_cell(&r->rig_columns, column, "source"),
                       lw_table_cell(&r->rig_columns, column, "kind"));
        for (int i = 0; i < (int)number && !r->code; i++)
            add_cylinder(r, &absent, total_kg / number, i);
    }
}

static void read_fuel(lw_reader *r, const lw_scope *rig)
{
    lw_scope items[LW_ITEMS];
    const int count = lw_read_items(r, rig, "fuel", items);
    for (int i = 0; i < count && !r->code; i++) {
        lw_vessel *vessel = add_vessel(r, &items[i], LW_SUPPLY_FUEL, "fuel");
        if (!vessel)
            return;
        vessel->capacity = need(r, &items[i], "capacity");
        vessel->level = lw_read_level(r, &items[i], "level", vessel->capacity);
        if (vessel->capacity >= VEHICLE_TANK_L || lw_read_is_given(r, &items[i], "reserve"))
            vessel->unusable = plain(lw_read_level(r, &items[i], "reserve", vessel->capacity));
        vessel->order = (int)plain(lw_read_si(r, &items[i], "order"));
        read_gauges(r, &items[i]);
    }
}

static void read_rubbish(lw_reader *r, const lw_scope *rig)
{
    lw_scope items[LW_ITEMS];
    r->out->bag_l = lw_read_si(r, rig, "bag");
    const int count = lw_read_items(r, rig, "rubbish", items);
    for (int i = 0; i < count && !r->code; i++) {
        lw_value capacity;
        const int place = lw_read_word(r, &items[i], "place");
        char word[LW_NAME];
        lw_vessel *vessel = add_vessel(
            r, &items[i], LW_SUPPLY_RUBBISH,
            lw_word_at(lw_key_under(items[i].path, "place")->words, place < 0 ? 0 : place, word, sizeof word));
        if (!vessel || !lw_read_value(r, &items[i], "capacity", &capacity))
            return;
        vessel->capacity = capacity.dim == LW_DIM_BAGS ? capacity.si * r->out->bag_l : capacity.si;
        vessel->level = lw_read_level(r, &items[i], "level", vessel->capacity);
        vessel->place = (lw_rubbish_place)place;
        vessel->order = lw_read_is_given(r, &items[i], "order") ? (int)plain(lw_read_si(r, &items[i], "order")) : place;
        read_gauges(r, &items[i]);
    }
}

/* ---- data connections ---- */

static void add_router(lw_reader *r, const lw_scope *item, const char *name)
{
    lw_rig *rig = &r->out->scenario->rig;
    const double power_w = plain(lw_read_si(r, item, "power"));
    if (r->code || !(power_w > 0.0))
        return;
    if (rig->load_count == LW_LOADS) {
        lw_read_refuse(r, item, "power", LW_E_FULL, "more than %d appliances", LW_LOADS);
        return;
    }
    lw_load *load = &rig->load[rig->load_count++];
    *load = (lw_load){.watts = power_w,
                      .duty_frac = 1.0,
                      .rhythm = LW_LOAD_PRESENT,
                      .person = -1,
                      .is_network = 1,
                      .inside_frac = 1.0,
                      .group = LW_GROUP_DATA,
                      .above_c = NAN};
    snprintf(load->name, sizeof load->name, "%.22s router", name);
    for (int day = 0; day < 7; day++)
        load->hours[day] = UINT32_C(0xFFFFFF);
}

/* Whoever works or learns in camp needs a connection; for others its absence is no doubt about the answer. */
static int works_online(const lw_crew *crew)
{
    for (int i = 0; i < crew->person_count; i++)
        for (int day = 0; day < 7; day++)
            if (crew->person[i].work[day] || crew->person[i].school[day])
                return 1;
    return 0;
}

static void read_data(lw_reader *r, const lw_scope *rig)
{
    lw_scope items[LW_ITEMS];
    const int count = lw_read_items(r, rig, "data", items);
    for (int i = 0; i < count && !r->code; i++) {
        lw_vessel *vessel = add_vessel(r, &items[i], LW_SUPPLY_DATA, "data");
        if (!vessel)
            return;
        if (i == LW_CONNECTIONS) {
            lw_read_refuse(r, &items[i], NULL, LW_E_FULL, "more than %d data connections", LW_CONNECTIONS);
            return;
        }
        const double allowance_mb = need(r, &items[i], "allowance");
        vessel->capacity = allowance_mb / 1000.0;
        vessel->level = lw_read_level(r, &items[i], "left", allowance_mb) / 1000.0;
        vessel->work_reserve = plain(lw_read_si(r, &items[i], "work_reserve")) / 1000.0;
        if (vessel->work_reserve > vessel->capacity)
            lw_read_refuse(r, &items[i], "work_reserve", LW_E_CONFLICT, "more is kept for work than the plan allows");
        vessel->order = (int)plain(lw_read_si(r, &items[i], "order"));
        r->out->connection[r->out->connection_count++] = (lw_connection){
            .vessel = r->out->scenario->rig.vessel_count - 1,
            .slow_mbit = lw_read_si(r, &items[i], "slow"),
            .price_usd = lw_read_si(r, &items[i], "price"),
            .renews_day = (int)plain(lw_read_si(r, &items[i], "renews")),
        };
        const char *network = lw_read_text(r, &items[i], "network");
        snprintf(r->out->connection[i].network, sizeof r->out->connection[i].network, "%.15s", network ? network : "");
        read_gauges(r, &items[i]);
        add_router(r, &items[i], vessel->name);
    }
    if (count == 0 && works_online(&r->out->scenario->crew))
        lw_read_note(r, rig, "data", "no data connection is named, so data is not tracked");
}

/* Ten days of meals where nothing is said: staples keep longer, fresh food four to seven days (common practice). */
static void read_food(lw_reader *r, const lw_scope *rig)
{
    const lw_scope food = lw_read_map(r, rig, "food");
    const lw_crew *crew = &r->out->scenario->crew;
    int mouths = 0;
    for (int i = 0; i < crew->person_count; i++)
        mouths +=
            crew->person[i].being <= LW_BEING_CHILD && !(crew->person[i].guest.to_s > crew->person[i].guest.from_s);
    if (r->code || (food.node && !lw_read_is_given(r, rig, "food")) || mouths == 0)
        return;
    lw_vessel *vessel = add_vessel(r, &food, LW_SUPPLY_FOOD, "food");
    if (!vessel)
        return;
    vessel->capacity = lw_read_si(r, &food, "capacity");
    if (isnan(vessel->capacity)) {
        char value[LW_TEXT_BYTES];
        vessel->capacity = 10.0 * mouths;
        snprintf(value, sizeof value, "%d person-days", 10 * mouths);
        lw_read_assume(r, &food, "capacity", value, "ten days for everybody: fresh food keeps 4-7 days, staples longer",
                       "common practice");
    }
    vessel->level = lw_read_level(r, &food, "level", vessel->capacity);
    read_gauges(r, &food);
}

/* A part of which nothing is assumed: 1, 0 where it is none, -1 where the file does not say. */
static int has_part(lw_reader *r, const lw_scope *rig, const char *key)
{
    const int is_map = rig->node && rig->node->kind == LW_YAML_MAP;
    return is_map && lw_yaml_child(rig->node, key) ? lw_read_is_given(r, rig, key) : -1;
}

void lw_read_rig(lw_reader *r, const lw_scope *root)
{
    const lw_scope rig = lw_read_map(r, root, "rig");
    const char *name = lw_read_text(r, &rig, "name");
    if (rig.node && rig.node->kind != LW_YAML_MAP)
        name = NULL;
    copy_name(r->out->scenario->rig.name, name ? name : lw_table_cell(&r->rigs, r->rig_row, "id"));
    const lw_scope tanks = lw_read_map(r, &rig, "tanks");
    read_fresh(r, &tanks);
    read_waste(r, root, &tanks, "grey", LW_SUPPLY_GREY);
    read_waste(r, root, &tanks, "black", LW_SUPPLY_BLACK);
    read_drinking(r, &rig);
    read_propane(r, &rig);
    read_fuel(r, &rig);
    read_rubbish(r, &rig);
    read_data(r, &rig);
    read_food(r, &rig);
    lw_read_power(r, &rig);
    lw_read_cabin(r, &rig);
    lw_read_appliances(r, &rig);
    r->out->payload_kg = lw_read_si(r, &rig, "payload");
    r->out->gear_kg = lw_read_si(r, &rig, "gear");
    r->out->roof_m2 = lw_read_si(r, &rig, "roof");
    r->out->has_awning = has_part(r, &rig, "awning");
    r->out->has_slides = has_part(r, &rig, "slides");
    if (r->out->has_slides == 1 && !(lw_read_si(r, &rig, "slides") > 0.0))
        r->out->has_slides = 0;
}
