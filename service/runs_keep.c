/* Planned runs as events of the stay (stay.events), and back: what of a stay's events is an errand that a new plan takes the place of. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "exchange/yaml_tree.h"
#include "service/household.h"
#include "service/runs_internal.h"
#include "text/moment.h"
#include "text/say.h"

/* What an errand may do, in the order a run goes about it. */
static const struct {
    lw_supply supply;
    const char *does, *carries; /* carries: by an amount, of what goes in cans or in a tank; NULL: never */
} TASKS[] = {{LW_SUPPLY_GREY, "dump", "take"}, {LW_SUPPLY_BLACK, "dump", NULL},    {LW_SUPPLY_RUBBISH, "dump", NULL},
             {LW_SUPPLY_FRESH, "fill", "add"}, {LW_SUPPLY_DRINKING, "fill", NULL}, {LW_SUPPLY_PROPANE, "fill", NULL},
             {LW_SUPPLY_FUEL, "fill", NULL},   {LW_SUPPLY_FOOD, "fill", NULL}};
enum { TASK_COUNT = sizeof TASKS / sizeof TASKS[0] };

static const char KEY[] = "stay.events=";

/* ------------------------------------------------------------------ events that are there */

static int is_text(const lw_yaml_node *event, const char *key, const char *wanted)
{
    const lw_yaml_node *value = lw_yaml_child(event, key);
    return value && value->text && wanted && strcmp(value->text, wanted) == 0;
}

static int is_errand(const lw_yaml_node *event, const lw_zone *zone, int64_t from_s)
{
    const lw_yaml_node *at = lw_yaml_child(event, "at");
    lw_moment moment;
    lw_err unused = {0};
    if (!at || !at->text || lw_moment_parse(at->text, &moment, &unused) || lw_moment_utc(&moment, zone) <= from_s)
        return 0;
    for (int i = 0; i < TASK_COUNT; i++)
        if (is_text(event, "what", lw_supply_word(TASKS[i].supply)) &&
            (is_text(event, "do", TASKS[i].does) || is_text(event, "do", TASKS[i].carries)))
            return 1;
    return 0;
}

static void put_text(FILE *to, const char *text)
{
    fputc('"', to);
    for (; *text; text++) {
        if (*text == '"' || *text == '\\')
            fputc('\\', to);
        fputc(*text, to);
    }
    fputc('"', to);
}

static void put_event(FILE *to, const lw_yaml_node *event, int *count)
{
    fprintf(to, "%s{", (*count)++ ? ", " : "");
    for (const lw_yaml_node *value = event->first; value; value = value->next) {
        fprintf(to, "%s%s: ", value == event->first ? "" : ", ", value->key);
        put_text(to, value->text ? value->text : "");
    }
    fputc('}', to);
}

/* All but the errands after that moment; gives how many of those there are. */
static lw_code put_others(lw_book *book, int64_t now_s, FILE *to, int *count, int *errands, lw_err *err)
{
    lw_household household = {0};
    lw_yaml tree = {0};
    char *text = NULL;
    lw_code code = lw_household_load(book, now_s, 0, &household, err);
    code = code ? code : lw_household_scenario(book, now_s, &text, err);
    code = code || !text ? code : lw_yaml_read(&tree, "the stay", text, strlen(text), err);
    const lw_yaml_node *list = code || !text ? NULL : lw_yaml_find(&tree, "stay.events");
    for (const lw_yaml_node *event = list ? list->first : NULL; event; event = event->next) {
        if (is_errand(event, &household.loaded.zone, now_s))
            (*errands)++;
        else
            put_event(to, event, count);
    }
    lw_yaml_clear(&tree);
    free(text);
    lw_household_clear(&household);
    return code;
}

/* ------------------------------------------------------------------ runs as events */

/* Where a run goes, as far as a scenario's `why` holds it. */
static void say_where(const lw_runs_planned *plan, const lw_run *run, char *buf, size_t n)
{
    size_t used = 0;
    buf[0] = '\0';
    for (int s = 0; s < plan->in.service_count; s++) {
        const char *name = plan->errands.service[plan->service[s]].name;
        if (!(run->services >> s & 1u) || (used > 0 && used + 2 + strlen(name) >= n))
            continue;
        used += (size_t)snprintf(buf + used, n - used, "%s%s", used ? ", " : "", name);
        used = used < n ? used : n - 1;
    }
}

static void put_run(FILE *to, const lw_runs_planned *plan, int at, int *count)
{
    const lw_run *run = &plan->out.run[at];
    const lw_errand_type *type = &plan->errands.type[run->type];
    const lw_clock clock = lw_clock_at(&plan->zone, plan->run[at].back_s);
    char where[LW_NAME], date[40];
    uint32_t supplies = 0;
    for (int k = 0; k < plan->in.supply_count; k++)
        supplies |= run->supplies >> k & 1u ? UINT32_C(1) << plan->supply[k] : 0u;
    say_where(plan, run, where, sizeof where);
    for (int i = 0; i < TASK_COUNT; i++) {
        const double carried_l = TASKS[i].supply == LW_SUPPLY_FRESH ? type->cans_l : type->waste_l;
        if (!(supplies >> TASKS[i].supply & 1u))
            continue;
        fprintf(to, "%s{at: \"%s %02d:%02d\", do: ", (*count)++ ? ", " : "",
                lw_date_print(date, sizeof date, clock.date), clock.hour, clock.minute);
        if (TASKS[i].carries && !type->is_break_camp && carried_l > 0.0)
            fprintf(to, "%s, what: %s, amount: %d.%d L", TASKS[i].carries, lw_supply_word(TASKS[i].supply),
                    (int)carried_l, (int)floor(10.0 * (carried_l - floor(carried_l))));
        else
            fprintf(to, "%s, what: %s", TASKS[i].does, lw_supply_word(TASKS[i].supply));
        fputs(", why: ", to);
        put_text(to, where);
        fputc('}', to);
    }
}

/* ------------------------------------------------------------------ */

static lw_code make_change(lw_book *book, int64_t now_s, const lw_runs_planned *plan, char **change, int *errands,
                           lw_err *err)
{
    size_t size = 0;
    int count = 0;
    *change = NULL;
    FILE *to = open_memstream(change, &size);
    if (!to)
        return lw_fail(err, LW_E_FULL, "no memory for the events of a stay");
    fprintf(to, "%s[", KEY);
    const lw_code code = put_others(book, now_s, to, &count, errands, err);
    for (int i = 0; !code && plan && i < plan->out.count; i++)
        put_run(to, plan, i, &count);
    fputc(']', to);
    const int is_bad = fclose(to) != 0;
    return code ? code : is_bad ? lw_fail(err, LW_E_FULL, "no memory for the events of a stay") : LW_OK;
}

lw_code lw_runs_without_kept(lw_book *book, int64_t now_s, char **change, int *errands, lw_err *err)
{
    *errands = 0;
    const lw_code code = make_change(book, now_s, NULL, change, errands, err);
    if (code || *errands > 0)
        return code;
    free(*change);
    *change = NULL;
    return LW_OK;
}

lw_code lw_runs_keep(lw_book *book, int64_t now_s, const lw_runs_planned *plan, lw_err *err)
{
    char *change = NULL;
    int errands = 0;
    if (!plan->out.is_found)
        return lw_fail(err, LW_E_CONFLICT, "no runs carry this stay to its end, so there is no plan to keep");
    lw_code code = make_change(book, now_s, plan, &change, &errands, err);
    const char *all = change;
    code = code ? code : lw_household_change(book, now_s, &all, 1, err);
    free(change);
    return code;
}
