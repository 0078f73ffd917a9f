#include "service/rank_land.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "book/lands.h"
#include "exchange/tables.h"
#include "service/stays.h"
#include "text/say.h"

/* Places whose earlier stays are the same: by whose land the maps say it is, and whether the place says it in words. */
typedef struct group {
    char by_map[LW_MAP_MANAGER];
    int says_manager;
    lw_land_ledger *ledger; /* owned */
} group;

typedef struct usual {
    char manager[LW_MAP_MANAGER];
    int has_rule;
    lw_stay_rule rule;
} usual;

typedef struct place {
    lw_rule_by by;
    const lw_stay_rule *rule;
    lw_stay_place at;
    int group;
} place;

struct lw_rank_lands {
    int64_t now_s, first_day;
    place *place;
    group *group; /* at most one a place */
    int group_count;
    usual *usual;
    int usual_count;
    lw_table managers;
};

static lw_code no_memory(lw_err *err)
{
    return lw_fail(err, LW_E_FULL, "no memory for the stay rules of the places");
}

/* A row of the table of rules, read as a place that names it is. */
static lw_code read_rule(const char *id, int64_t now_s, usual *to, lw_err *err)
{
    char *section = NULL, *changed = NULL, change[80];
    lw_place_facts *facts = calloc(1, sizeof *facts);
    const char *const changes[] = {change};
    snprintf(change, sizeof change, "stay_rule=%.60s", id);
    lw_code code = facts ? lw_place_section("place", (lw_spot){0.0, 0.0}, 0.0, NULL, &section, err) : no_memory(err);
    code = code ? code : lw_place_change(section, changes, 1, now_s, &changed, err);
    code = code ? code : lw_place_read(changed, facts, err);
    if (!code && facts) {
        to->rule = facts->rule;
        to->has_rule = facts->rule.days || facts->rule.consecutive_days || facts->rule.year_days; /* has a number */
    }
    free(facts);
    free(section);
    free(changed);
    return code;
}

static lw_code usual_of(lw_rank_lands *l, const char *by_map, const usual **out, lw_err *err)
{
    for (int i = 0; i < l->usual_count; i++)
        if (strcmp(l->usual[i].manager, by_map) == 0) {
            *out = &l->usual[i];
            return LW_OK;
        }
    usual *made = &l->usual[l->usual_count++]; /* one a manager at most */
    const int row = lw_table_row(&l->managers, "id", by_map);
    const char *rule = row >= 0 ? lw_table_cell(&l->managers, row, "stay_rule") : "";
    snprintf(made->manager, sizeof made->manager, "%s", by_map);
    *out = made;
    return rule[0] ? read_rule(rule, l->now_s, made, err) : LW_OK;
}

static lw_code ledger_of(const lw_book_stays *all, const lw_place_facts *f, group *to, lw_err *err)
{
    lw_land_of here = {.spot = f->spot};
    int count = 0;
    memcpy(here.manager, f->manager, sizeof here.manager);
    memcpy(here.by_map, to->by_map, sizeof here.by_map);
    lw_named_stay *named = lw_stays_named(all, INT64_MAX, 0, &here, &count);
    to->ledger = named ? calloc(1, sizeof *to->ledger) : NULL;
    if (to->ledger)
        lw_land_ledger_of(named, count, all->permit, all->permit_count, to->ledger);
    free(named);
    return to->ledger ? LW_OK : no_memory(err);
}

static lw_code group_of(lw_rank_lands *l, const lw_book_stays *all, const lw_place_facts *f, const char *by_map,
                        int *out, lw_err *err)
{
    const int says_manager = f->manager[0] != '\0';
    for (int i = 0; i < l->group_count; i++)
        if (l->group[i].says_manager == says_manager && strcmp(l->group[i].by_map, by_map) == 0) {
            *out = i;
            return LW_OK;
        }
    group *made = &l->group[ *out = l->group_count++];
    made->says_manager = says_manager;
    snprintf(made->by_map, sizeof made->by_map, "%s", by_map);
    return ledger_of(all, f, made, err);
}

static lw_code fill_place(lw_rank_lands *l, lw_book *book, const lw_book_stays *all, int has_maps,
                          const lw_place_facts *f, place *to, lw_err *err)
{
    char by_map[LW_MAP_MANAGER] = "";
    const usual *by_manager = NULL;
    lw_code code = has_maps ? lw_stays_by_map(book, f->spot, by_map, err) : LW_OK;
    if (!code && !f->has_rule && by_map[0])
        code = usual_of(l, by_map, &by_manager, err);
    code = code ? code : group_of(l, all, f, by_map, &to->group, err);
    if (code)
        return code;
    to->at = (lw_stay_place){f->spot, lw_land_number(l->group[to->group].ledger, f->manager)};
    to->by = f->has_rule ? LW_RULE_YOURS : by_manager && by_manager->has_rule ? LW_RULE_MAP : LW_RULE_NONE;
    to->rule = to->by == LW_RULE_YOURS ? &f->rule : to->by == LW_RULE_MAP ? &by_manager->rule : NULL;
    return LW_OK;
}

/* The present stay goes on until the day asked for. */
static void prolong(lw_book_stays *all, int64_t first_day)
{
    for (int i = 0; i < all->count; i++)
        if (all->stay[i].left_s == LW_NO_TIME && first_day > all->stay[i].departure_day)
            all->stay[i].departure_day = first_day;
}

lw_code lw_rank_lands_open(lw_book *book, int64_t now_s, int64_t first_day, const lw_camps *camps, const int *camp,
                           int count, lw_rank_lands **lands, lw_err *err)
{
    lw_book_stays all = {0};
    int64_t maps = 0;
    lw_rank_lands *l = calloc(1, sizeof *l);
    *lands = NULL;
    if (!l)
        return no_memory(err);
    l->now_s = now_s;
    l->first_day = first_day;
    l->place = calloc((size_t)count + 1, sizeof *l->place);
    l->group = calloc((size_t)count + 1, sizeof *l->group);
    lw_code code = l->place && l->group ? LW_OK : no_memory(err);
    code = code ? code : lw_table_open("land_managers", &l->managers, err);
    l->usual = code ? NULL : calloc((size_t)l->managers.rows + 1, sizeof *l->usual);
    code = code || l->usual ? code : no_memory(err);
    code = code ? code : lw_stays_gather(book, now_s, &all, err);
    code = code ? code : lw_book_lands_count(book, &maps, err);
    if (!code)
        prolong(&all, first_day);
    for (int i = 0; l->usual && i < count && !code; i++)
        code = fill_place(l, book, &all, maps > 0, &camps->camp[camp[i]].facts, &l->place[i], err);
    lw_stays_clear(&all);
    if (code)
        lw_rank_lands_close(l);
    else
        *lands = l;
    return code;
}

lw_rule_by lw_rank_lands_left(const lw_rank_lands *l, int of, lw_ledger_left *left)
{
    const place *p = &l->place[of];
    if (p->by != LW_RULE_NONE)
        *left = lw_ledger_left_at(&l->group[p->group].ledger->ledger, p->rule, p->at, l->first_day);
    return p->by;
}

void lw_rank_lands_close(lw_rank_lands *l)
{
    if (!l)
        return;
    for (int i = 0; i < l->group_count; i++)
        free(l->group[i].ledger);
    lw_table_clear(&l->managers);
    free(l->place);
    free(l->group);
    free(l->usual);
    free(l);
}
