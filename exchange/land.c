#include "exchange/land.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

int lw_land_number(lw_land_ledger *ledger, const char *manager)
{
    if (!*manager)
        return 0;
    for (int i = 0; i < ledger->manager_count; i++)
        if (strcasecmp(ledger->manager[i], manager) == 0)
            return i + 1;
    if (ledger->manager_count == LW_MANAGERS)
        return 0;
    snprintf(ledger->manager[ledger->manager_count++], LW_NAME, "%.*s", LW_NAME - 1, manager);
    return ledger->manager_count;
}

static int is_same_permit(const lw_permit *a, const lw_permit *b)
{
    return a->manager == b->manager && a->first_day == b->first_day && a->last_day == b->last_day &&
           a->season_from == b->season_from && a->season_to == b->season_to && a->is_uncounted == b->is_uncounted &&
           a->renews_days == b->renews_days && !(a->price_usd < b->price_usd) && !(a->price_usd > b->price_usd);
}

static void add_permit(lw_land_ledger *to, const lw_named_permit *permit)
{
    lw_permit terms = permit->terms;
    int at = 0;
    terms.manager = lw_land_number(to, permit->manager);
    while (at < to->ledger.permit_count && !is_same_permit(&to->permit[at], &terms))
        at++;
    if (at < to->ledger.permit_count)
        return;
    snprintf(to->permit_name[at], LW_NAME, "%s", permit->name);
    to->permit[to->ledger.permit_count++] = terms;
}

/* At most LW_LEDGER_STAYS, the ones that ended last. */
static void add_stay(lw_land_ledger *to, const lw_named_stay *stay)
{
    int at = to->ledger.stay_count;
    if (at == LW_LEDGER_STAYS) {
        at = 0;
        for (int i = 1; i < LW_LEDGER_STAYS; i++)
            if (to->stay[i].departure_day < to->stay[at].departure_day)
                at = i;
        to->left_out++;
        if (to->stay[at].departure_day >= stay->departure_day)
            return;
    } else
        to->ledger.stay_count++;
    to->stay[at] = (lw_ledger_stay){.place = stay->place,
                                    .manager = lw_land_number(to, stay->manager),
                                    .spot = stay->spot,
                                    .arrival_day = stay->arrival_day,
                                    .departure_day = stay->departure_day};
}

void lw_land_ledger_of(const lw_named_stay *stay, int stay_count, const lw_named_permit *permit, int permit_count,
                       lw_land_ledger *to)
{
    memset(to, 0, sizeof *to);
    to->ledger.stay = to->stay;
    to->ledger.permit = to->permit;
    for (int i = 0; i < permit_count && to->ledger.permit_count < LW_PERMITS; i++)
        add_permit(to, &permit[i]);
    for (int i = 0; i < stay_count; i++)
        add_stay(to, &stay[i]);
}
