#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/house/house.h"
#include "exchange/scenario_internal.h"
#include "exchange/tables_typed.h"
#include "text/quantity.h"
#include "text/say.h"

/* ---- people ---- */

static int is_somebody(const lw_crew *crew, const char *name)
{
    for (int i = 0; i < crew->person_count; i++)
        if (strcmp(crew->person[i].name, name) == 0)
            return 1;
    return 0;
}

static void name_person(lw_reader *r, const lw_scope *in, lw_person *person)
{
    const lw_crew *crew = &r->out->scenario->crew;
    const char *given = lw_read_text(r, in, "name");
    char word[LW_NAME];
    if (given && is_somebody(crew, given)) {
        lw_read_refuse(r, in, "name", LW_E_CONFLICT, "there are two named %s; give each their own name", given);
        return;
    }
    if (given) {
        snprintf(person->name, sizeof person->name, "%.31s", given);
        return;
    }
    (void)lw_word_at(lw_key_at("crew.people[].kind")->words, (int)person->being, word, sizeof word);
    unsigned char n = 1;
    do
        snprintf(person->name, sizeof person->name, "%.20s %d", word, n++);
    while (is_somebody(crew, person->name));
}

/* Animals cannot open a window: their bounds come from the table. People have none unless they say so. */
static void read_vital(lw_reader *r, const lw_scope *in, const lw_table *people, lw_person *person)
{
    char id[LW_NAME];
    (void)lw_word_at(lw_key_at("crew.people[].kind")->words, (int)person->being, id, sizeof id);
    const int row = lw_table_row(people, "id", id);
    person->inside_low_c = lw_read_si(r, in, "keep_above");
    person->inside_high_c = lw_read_si(r, in, "keep_below");
    double low_c, high_c;
    if (r->code || person->being < LW_BEING_DOG)
        return;
    r->code = lw_table_number(people, row, "inside_low_c", &low_c, r->err);
    if (!r->code)
        r->code = lw_table_number(people, row, "inside_high_c", &high_c, r->err);
    if (r->code)
        return;
    const char *source = lw_table_cell(people, row, "source"), *kind = lw_table_cell(people, row, "kind");
    char shown[LW_QUANTITY_BYTES];
    if (isnan(person->inside_low_c) && !isnan(low_c)) {
        person->inside_low_c = low_c;
        lw_read_assume(r, in, "keep_above",
                       lw_quantity_print(shown, sizeof shown, low_c, LW_DIM_TEMPERATURE, r->out->units), source, kind);
    }
    if (isnan(person->inside_high_c) && !isnan(high_c)) {
        person->inside_high_c = high_c;
        lw_read_assume(r, in, "keep_below",
                       lw_quantity_print(shown, sizeof shown, high_c, LW_DIM_TEMPERATURE, r->out->units), source, kind);
    }
}

static void read_person(lw_reader *r, const lw_scope *in, const lw_scope *crew, const lw_table *people)
{
    lw_crew *to = &r->out->scenario->crew;
    lw_person person = {.being = (lw_being)lw_read_word(r, in, "kind")};
    name_person(r, in, &person);
    (void)lw_read_hours(r, in, "away", person.away);
    (void)lw_read_hours(r, in, "work", person.work);
    (void)lw_read_hours(r, in, "school", person.school);
    person.out_count = lw_read_spans(r, in, "out", person.out, LW_SPANS);
    lw_span guest[1];
    if (lw_read_spans(r, in, "guest", guest, 1) == 1)
        person.guest = guest[0];
    person.toilet_here_frac = lw_read_is_given(r, in, "toilet_here") ? lw_read_si(r, in, "toilet_here")
                              : person.being < LW_BEING_DOG          ? lw_read_si(r, crew, "toilet_here")
                                                                     : 0.0;
    read_vital(r, in, people, &person);
    if (!r->code && person.inside_low_c >= person.inside_high_c)
        lw_read_refuse(r, in, lw_read_is_given(r, in, "keep_above") ? "keep_above" : "keep_below", LW_E_CONFLICT,
                       "no temperature is both above and below what %s needs", person.name);
    if (!r->code && to->person_count == LW_PEOPLE)
        lw_read_refuse(r, in, NULL, LW_E_FULL, "more than %d people and animals", LW_PEOPLE);
    if (!r->code)
        to->person[to->person_count++] = person;
}

static void read_people(lw_reader *r, const lw_scope *crew)
{
    lw_scope items[LW_ITEMS];
    lw_table people = {0};
    if (!r->code)
        r->code = lw_table_open("people", &people, r->err);
    const int count = lw_read_items(r, crew, "people", items);
    for (int i = 0; i < count && !r->code; i++)
        read_person(r, &items[i], crew, &people);
    if (!r->code && r->out->scenario->crew.person_count == 0)
        lw_read_refuse(r, crew, "people", LW_E_MISSING, "nobody is there; write people: 2 adults");
    lw_table_clear(&people);
}

void lw_read_crew(lw_reader *r, const lw_scope *root)
{
    const lw_scope crew = lw_read_map(r, root, "crew");
    read_people(r, &crew);
}

/* ---- habits ---- */

enum { HABITS = 128 };

typedef struct habits {
    lw_habit row[HABITS];
    char style[HABITS][16]; /* normal, careful, both, cassette, other */
    int count;
} habits;

static const char *activity_word(lw_activity activity)
{
#define WORD(id, word) word,
    static const char *const WORDS[] = {LW_ACTIVITIES(WORD)};
#undef WORD
    return WORDS[activity];
}

/* "wet-soap-rinse", "shower-wet-soap-rinse" or a part between dashes that only one row of the activity has: "paper". */
static int is_part(const char *id, const char *part)
{
    const size_t n = strlen(part);
    for (const char *at = strstr(id, part); at; at = strstr(at + 1, part))
        if ((at == id || at[-1] == '-') && (at[n] == '\0' || at[n] == '-'))
            return 1;
    return 0;
}

static const char *behind_dash(const char *id)
{
    const char *dash = strchr(id, '-');
    return dash ? dash + 1 : id;
}

static void refuse_habit(lw_reader *r, const lw_scope *in, const habits *all, lw_activity activity, const char *as,
                         int found)
{
    char list[256] = "";
    for (int i = 0; i < all->count; i++) {
        const size_t used = strlen(list);
        if (all->row[i].activity == activity && (found == 0 || is_part(all->row[i].id, as)))
            snprintf(list + used, sizeof list - used, "%s%s", used ? ", " : "", all->row[i].id);
    }
    lw_read_refuse(r, in, "as", LW_E_SYNTAX,
                   found ? "%s fits several: %s" : "%s is not in the table of habits; there are %s",
                   lw_quoted(as, strlen(as)).text, list);
}

static int find_habit(lw_reader *r, const lw_scope *in, const habits *all, lw_activity activity, const char *as)
{
    int found = 0, at = -1;
    for (int i = 0; i < all->count; i++) {
        const lw_habit *row = &all->row[i];
        if (row->activity != activity)
            continue;
        if (strcmp(row->id, as) == 0 || strcmp(behind_dash(row->id), as) == 0 || strcmp(all->style[i], as) == 0)
            return i;
        if (is_part(row->id, as))
            at = i, found++;
    }
    if (found == 1)
        return at;
    refuse_habit(r, in, all, activity, as, found);
    return -1;
}

static uint32_t people_named(lw_reader *r, const lw_scope *in, const char *who)
{
    const lw_crew *crew = &r->out->scenario->crew;
    uint32_t bits = 0;
    while (*who) {
        size_t n = strcspn(who, ",");
        const size_t whole = n;
        const char *name = who;
        while (n && *name == ' ')
            name++, n--;
        while (n && name[n - 1] == ' ')
            n--;
        int at = -1;
        for (int i = 0; i < crew->person_count; i++)
            if (strlen(crew->person[i].name) == n && memcmp(crew->person[i].name, name, n) == 0)
                at = i;
        if (at < 0) {
            lw_read_refuse(r, in, "who", LW_E_MISSING, "there is nobody named %s in crew.people",
                           lw_quoted(name, n).text);
            return 0;
        }
        bits |= UINT32_C(1) << at;
        who += whole + (who[whole] == ',');
    }
    return bits;
}

/* What the core refuses of one choice, at that choice's own line. */
static void want_choice(lw_reader *r, const lw_scope *in, const lw_house_in *house, const lw_house_choice *choice)
{
    static const struct {
        const char *field, *sentence;
    } SENTENCES[] = {
        {"choice.toilet", "there is no toilet for it; crew.toilet or rig.tanks.black says none"},
        {"choice.flush", "a toilet of that kind is not flushed"},
        {"choice.water_l", "it takes no water that could be changed"},
        {"choice.rubbish_l", "it makes no rubbish that could be changed"},
        {"choice.data_gb", "it takes no data that could be changed"},
    };
    lw_house_in alone = {.choice = {*choice}, .choice_count = 1, .toilet = house->toilet, .filter_vessel = -1};
    lw_fault fault;
    if (r->code || !lw_house_check(&alone, &r->out->scenario->crew, &fault))
        return;
    for (size_t i = 0; i < sizeof SENTENCES / sizeof SENTENCES[0]; i++)
        if (fault.code == LW_E_CONFLICT && strcmp(fault.field, SENTENCES[i].field) == 0)
            lw_read_refuse(r, in, NULL, fault.code, "%s: %s", choice->habit->id, SENTENCES[i].sentence);
    lw_err own = {0};
    (void)lw_fault_say(&fault, &own);
    lw_read_refuse(r, in, NULL, own.code, "%s: %s", choice->habit->id, own.text);
}

static void add_choice(lw_reader *r, const lw_scope *in, lw_house_in *house, lw_house_choice choice)
{
    if (house->choice_count == LW_USES) {
        lw_read_refuse(r, in, NULL, LW_E_FULL, "more than %d habits", LW_USES);
        return;
    }
    house->choice[house->choice_count++] = choice;
}

static void read_choice(lw_reader *r, const lw_scope *in, const habits *all, lw_activity activity, lw_house_in *house)
{
    const char *as = lw_read_text(r, in, "as"), *who = lw_read_text(r, in, "who");
    const int at = r->code || !as ? -1 : find_habit(r, in, all, activity, as);
    if (at < 0)
        return;
    lw_house_choice choice = lw_house_choice_of(&all->row[at]);
    choice.rate = lw_read_si(r, in, "rate");
    const double every_s = lw_read_si(r, in, "every");
    choice.every_days = isnan(every_s) ? NAN : every_s / 86400.0;
    choice.water_l = lw_read_si(r, in, "water");
    choice.rubbish_l = lw_read_si(r, in, "rubbish");
    choice.data_gb = lw_read_si(r, in, "data") / 1000.0;
    if (!isnan(choice.rate) && !isnan(choice.every_days))
        lw_read_refuse(r, in, "every", LW_E_CONFLICT, "rate and every say the same thing; keep one");
    if (who)
        choice.people = people_named(r, in, who);
    want_choice(r, in, house, &choice);
    add_choice(r, in, house, choice);
}

static int has_supply(const lw_rig *rig, lw_supply supply, int is_filter)
{
    for (int i = 0; i < rig->vessel_count; i++)
        if (rig->vessel[i].supply == supply && (rig->vessel[i].filter_life_l > 0.0) == is_filter)
            return 1;
    return 0;
}

/* What nobody said: the row of the household's style. People drink what the rig has: bottles, a filter, or the tap. */
static int usual_habit(const lw_reader *r, const habits *all, lw_activity activity, const char *style)
{
    const lw_rig *rig = &r->out->scenario->rig;
    const char *drink = has_supply(rig, LW_SUPPLY_DRINKING, 0)   ? "drink-bottled"
                        : has_supply(rig, LW_SUPPLY_DRINKING, 1) ? "drink-filter"
                                                                 : "drink-tap";
    for (int i = 0; i < all->count; i++)
        if (all->row[i].activity == activity &&
            (activity == LW_ACTIVITY_DRINKING
                 ? strcmp(all->row[i].id, drink) == 0
                 : strcmp(all->style[i], style) == 0 || strcmp(all->style[i], "both") == 0))
            return i;
    return -1;
}

static int has_being(const lw_crew *crew, lw_being least, lw_being most)
{
    for (int i = 0; i < crew->person_count; i++)
        if (crew->person[i].being >= least && crew->person[i].being <= most)
            return 1;
    return 0;
}

static int has_hours(const lw_crew *crew, int is_school)
{
    for (int i = 0; i < crew->person_count; i++)
        for (int day = 0; day < 7; day++)
            if (is_school ? crew->person[i].school[day] : crew->person[i].work[day])
                return 1;
    return 0;
}

static int is_wanted(const lw_reader *r, lw_activity activity, lw_toilet_kind toilet)
{
    const lw_crew *crew = &r->out->scenario->crew;
    switch (activity) {
    case LW_ACTIVITY_FLUSH:
        return toilet == LW_TOILET_FLUSH || toilet == LW_TOILET_CASSETTE;
    case LW_ACTIVITY_EXCRETA:
    case LW_ACTIVITY_PAPER:
        return toilet != LW_TOILET_NONE;
    case LW_ACTIVITY_PET:
        return has_being(crew, LW_BEING_DOG, LW_BEING_CAT);
    case LW_ACTIVITY_WORK_DATA:
        return has_hours(crew, 0);
    case LW_ACTIVITY_SCHOOL_DATA:
        return has_hours(crew, 1);
    default:
        return 1;
    }
}

static int is_for_somebody(const lw_crew *crew, const lw_habit *habit)
{
    for (int i = 0; i < crew->person_count; i++)
        if (habit->rate[crew->person[i].being] > 0.0)
            return 1;
    return 0;
}

/* A cassette is small and is flushed so; who is careful is so with any toilet. */
static const char *style_of(lw_activity activity, lw_toilet_kind toilet, const char *style)
{
    const int is_small = activity == LW_ACTIVITY_FLUSH && toilet == LW_TOILET_CASSETTE;
    return is_small && strcmp(style, "normal") == 0 ? "cassette" : style;
}

static void take_usual(lw_reader *r, const lw_scope *in, const habits *all, lw_activity activity, const char *style,
                       const lw_table *table, lw_house_in *house)
{
    if (activity == LW_ACTIVITY_PET) { /* a row for each kind of animal; each counts for its own kind only */
        for (int i = 0; i < all->count; i++)
            if (all->row[i].activity == activity && is_for_somebody(&r->out->scenario->crew, &all->row[i]))
                add_choice(r, in, house, lw_house_choice_of(&all->row[i]));
        return;
    }
    const int at = usual_habit(r, all, activity, style);
    if (at < 0)
        return;
    add_choice(r, in, house, lw_house_choice_of(&all->row[at]));
    const int row = lw_table_row(table, "id", all->row[at].id);
    lw_read_assume(r, in, activity_word(activity), all->row[at].id, lw_table_cell(table, row, "source"),
                   lw_table_cell(table, row, "kind"));
}

static void read_activity(lw_reader *r, const lw_scope *in, const habits *all, lw_activity activity, const char *style,
                          const lw_table *table, lw_house_in *house)
{
    const char *word = activity_word(activity);
    const lw_yaml_node *node = in->node && in->node->kind == LW_YAML_MAP ? lw_yaml_child(in->node, word) : NULL;
    if (!node) {
        if (is_wanted(r, activity, house->toilet.kind))
            take_usual(r, in, all, activity, style_of(activity, house->toilet.kind, style), table, house);
        return;
    }
    lw_scope items[LW_ITEMS];
    const int count = lw_read_items(r, in, word, items);
    for (int i = 0; i < count && !r->code; i++)
        read_choice(r, &items[i], all, activity, house);
}

/* ---- the toilet ---- */

static int vessel_named(const lw_rig *rig, const char *name)
{
    for (int i = 0; i < rig->vessel_count; i++)
        if (rig->vessel[i].supply == LW_SUPPLY_BLACK && strcmp(rig->vessel[i].name, name) == 0)
            return i;
    return -1;
}

static void read_toilet(lw_reader *r, const lw_scope *crew, lw_house_in *house)
{
    const lw_rig *rig = &r->out->scenario->rig;
    const int has_black = has_supply(rig, LW_SUPPLY_BLACK, 0), is_given = lw_read_is_given(r, crew, "toilet");
    r->out->toilet = LW_TOILET_NONE;
    if (!has_black && !is_given) {
        house->toilet = lw_toilet_of(LW_TOILET_NONE);
        return;
    }
    const int word = lw_read_word(r, crew, "toilet");
    const lw_toilet_kind kind = word < 0 ? LW_TOILET_FLUSH : (lw_toilet_kind)word;
    r->out->toilet = kind;
    house->toilet = lw_toilet_of(kind);
    if (!has_black && (kind == LW_TOILET_FLUSH || kind == LW_TOILET_CASSETTE))
        lw_read_refuse(r, crew, "toilet", LW_E_CONFLICT, "there is no black tank under it; rig.tanks.black says none");
    if (kind != LW_TOILET_DRY)
        return;
    house->toilet.urine_vessel = vessel_named(rig, "urine");
    house->toilet.solids_vessel = vessel_named(rig, "solids");
    if (house->toilet.urine_vessel < 0 || house->toilet.solids_vessel < 0)
        lw_read_refuse(r, crew, "toilet", LW_E_MISSING,
                       "a dry toilet needs two vessels in rig.tanks.black, named urine and solids");
}

static void say_house_fault(lw_reader *r, const lw_scope *in, const lw_fault *fault)
{
    lw_err own = {0};
    (void)lw_fault_say(fault, &own);
    lw_read_refuse(r, in, NULL, own.code, "the habits do not fit together: %s", own.text);
}

static void want_drinking(lw_reader *r, const lw_scope *in, const lw_house_in *house)
{
    const lw_rig *rig = &r->out->scenario->rig;
    const int has_bottles = has_supply(rig, LW_SUPPLY_DRINKING, 0);
    for (int i = 0; i < house->choice_count && !has_bottles; i++)
        if (house->choice[i].habit->water_from == LW_WATER_FROM_DRINKING)
            lw_read_refuse(r, in, activity_word(house->choice[i].habit->activity), LW_E_CONFLICT,
                           "%s takes bottled water, but rig.drinking has no bottles", house->choice[i].habit->id);
}

/* A filter slower than people drink is a matter of days, not of hours: what it gives at night is drunk by day. */
static void say_slow_filter(lw_reader *r, const lw_scope *in, int filter_vessel)
{
    const lw_crew *crew = &r->out->scenario->crew;
    double drunk_l = 0.0;
    for (int u = 0; filter_vessel >= 0 && u < crew->use_count; u++)
        for (int e = 0; e < crew->use[u].effect_count; e++)
            for (int p = 0; p < crew->person_count; p++)
                if (crew->use[u].effect[e].kind == LW_EFFECT_VESSEL && crew->use[u].effect[e].at == filter_vessel)
                    drunk_l += fabs(crew->use[u].effect[e].amount) * crew->use[u].rate[p];
    if (r->out->filter_l_per_day <= 0.0 || drunk_l <= r->out->filter_l_per_day)
        return;
    char gives[LW_QUANTITY_BYTES], drunk[LW_QUANTITY_BYTES];
    lw_read_note(r, in, "drinking", "the filter gives %s a day at most, and %s are drunk",
                 lw_quantity_print(gives, sizeof gives, r->out->filter_l_per_day, LW_DIM_VOLUME, r->out->units),
                 lw_quantity_print(drunk, sizeof drunk, drunk_l, LW_DIM_VOLUME, r->out->units));
}

static void make_uses(lw_reader *r, const lw_scope *in, lw_house_in *house)
{
    lw_scenario *to = r->out->scenario;
    lw_fault fault = {0};
    lw_house_out out;
    house->outdoor_water = to->place.outdoor_water;
    house->filter_vessel = -1;
    for (int i = 0; i < to->rig.vessel_count; i++)
        if (to->rig.vessel[i].supply == LW_SUPPLY_DRINKING && to->rig.vessel[i].filter_life_l > 0.0)
            house->filter_vessel = i;
    want_drinking(r, in, house);
    if (r->code)
        return;
    if (lw_house_check(house, &to->crew, &fault)) {
        say_house_fault(r, in, &fault);
        return;
    }
    lw_house_make(house, &to->crew, &out);
    say_slow_filter(r, in, house->filter_vessel);
    for (int i = 0; i < house->choice_count; i++) {
        const lw_habit *habit = house->choice[i].habit;
        if (out.kept_off_ground >> i & 1u)
            lw_read_note(r, in, activity_word(habit->activity),
                         "%s: no water may go on the ground here, so it goes to the grey tank", habit->id);
        if (out.to_rubbish >> i & 1u)
            lw_read_note(r, in, activity_word(habit->activity),
                         "%s: this toilet has no bowl for it, so it goes to the rubbish", habit->id);
    }
}

static void load_habits(lw_reader *r, const lw_table *table, habits *all)
{
    all->count = 0;
    for (int row = 0; row < table->rows && row < HABITS && !r->code; row++) {
        r->code = lw_habit_of_row(table, row, &all->row[row], r->err);
        snprintf(all->style[row], sizeof all->style[row], "%.15s", lw_table_cell(table, row, "style"));
        all->count++;
    }
}

/* ---- what other ways are to them ---- */

static void read_nuisance(lw_reader *r, const lw_scope *in, const lw_table *levers)
{
    lw_loaded *out = r->out;
    const char *of = lw_read_text(r, in, "of");
    const double a_day = lw_read_si(r, in, "is");
    if (r->code || !of)
        return;
    if (lw_table_row(levers, "id", of) < 0) {
        const char *names[HABITS];
        const char *near = lw_nearest(of, names, lw_table_names(levers, "id", names, HABITS));
        lw_read_refuse(r, in, "of", LW_E_MISSING, "there is no lever %s; %s%s%s", lw_quoted(of, strlen(of)).text,
                       near ? "did you mean " : "data/levers.csv has them", near ? near : "", near ? "?" : "");
        return;
    }
    for (int i = 0; i < out->nuisance_count; i++)
        if (strcmp(out->nuisance[i].id, of) == 0)
            lw_read_refuse(r, in, "of", LW_E_CONFLICT, "%s stands here twice; keep one", of);
    if (r->code)
        return;
    lw_own_nuisance *to = &out->nuisance[out->nuisance_count++];
    *to = (lw_own_nuisance){.a_day = a_day};
    snprintf(to->id, sizeof to->id, "%.31s", of);
}

static void read_nuisances(lw_reader *r, const lw_scope *crew)
{
    lw_scope items[LW_ITEMS];
    lw_table levers = {0};
    r->out->nuisance_count = 0;
    if (!lw_read_is_given(r, crew, "nuisance"))
        return;
    const int count = lw_read_items(r, crew, "nuisance", items);
    if (!r->code)
        r->code = lw_table_open("levers", &levers, r->err);
    for (int i = 0; i < count && !r->code; i++)
        read_nuisance(r, &items[i], &levers);
    lw_table_clear(&levers);
}

void lw_read_habits(lw_reader *r, const lw_scope *root)
{
    const lw_scope crew = lw_read_map(r, root, "crew"), in = lw_read_map(r, &crew, "habits");
    lw_table table = {0};
    habits all = {.count = 0};
    lw_house_in house = {0};
    char style[16];
    if (!r->code)
        r->code = lw_table_open("habits", &table, r->err);
    if (!r->code)
        load_habits(r, &table, &all);
    read_toilet(r, &crew, &house);
    const int word = lw_read_word(r, &in, "style");
    if (!r->code) {
        (void)lw_word_at(lw_key_under("crew.habits", "style")->words, word, style, sizeof style);
        for (int activity = 0; activity < LW_ACTIVITY_COUNT && !r->code; activity++)
            read_activity(r, &in, &all, (lw_activity)activity, style, &table, &house);
    }
    if (!r->code)
        make_uses(r, &in, &house);
    read_nuisances(r, &crew);
    lw_table_clear(&table);
}
