#include <stdio.h>
#include <string.h>

#include "service/words_internal.h"

static const double SMALL_L = 1.0; /* in all: less is rounding, or a drop */

typedef struct lw_spill {
    lw_supply supply;
    lw_flow flow;
    const char *what, *then;
} lw_spill;

static const lw_spill SPILL[] = {
    {LW_SUPPLY_GREY, LW_FLOW_GREY_OVER, "waste water that no tank of yours takes",
     "Catch it in a bucket or a can and empty that at a dump; on the ground only where the place and the law clearly "
     "allow it."},
    {LW_SUPPLY_BLACK, LW_FLOW_BLACK_OVER, "toilet waste that no tank of yours takes",
     "It must never go on the ground: use a closed container, or a toilet that the place has."},
    {LW_SUPPLY_RUBBISH, LW_FLOW_RUBBISH_OVER, "rubbish that no place of yours takes",
     "Keep it shut away from animals and heat, and carry all of it out."},
};

static void amount_say(const lw_speaker *s, lw_supply supply, double amount_l, char *buf, size_t n)
{
    if (supply != LW_SUPPLY_RUBBISH || !(s->loaded->bag_l > 0.0)) {
        lw_amount_print(buf, n, supply, amount_l, s->choice.units);
        return;
    }
    char number[32];
    lw_tenths_say(amount_l / s->loaded->bag_l, number, sizeof number);
    snprintf(buf, n, "%s %s", number, strcmp(number, "1") == 0 ? "bag" : "bags");
}

/* In the joint course a full tank stops what fills it: what is over there never had a vessel. */
void lw_say_spills(const lw_speaker *s, lw_words *words)
{
    const lw_outlook *o = s->outlook;
    const lw_flows *f = o->departure_s ? &o->joint_to_departure : &o->joint;
    const double days = (double)((o->departure_s ? o->departure_s : o->joint_until_s) - o->start_s) / 86400.0;
    for (size_t i = 0; i < sizeof SPILL / sizeof SPILL[0]; i++) {
        const double over_l = f->of[SPILL[i].flow];
        if (!(over_l >= SMALL_L) || words->warning_count == LW_WORDS_WARNINGS)
            continue;
        char all[64], daily[64];
        lw_warning *w = &words->warning[words->warning_count++];
        *w = (lw_warning){.kind = LW_EVENT_SUPPLY_END, .supply = (int)SPILL[i].supply, .index = -1, .times = 1};
        w->first_s = o->start_s;
        amount_say(s, SPILL[i].supply, over_l, all, sizeof all);
        amount_say(s, SPILL[i].supply, over_l / (days > 1.0 ? days : 1.0), daily, sizeof daily);
        lw_line to = lw_line_of(w->sentence, sizeof w->sentence);
        lw_line_add(&to, "From the start: %s a day of %s, %s in all. %s", daily, SPILL[i].what, all, SPILL[i].then);
    }
}

/* ------------------------------------------------------------------ water that people drink */

static int is_drunk(const lw_speaker *s, lw_supply supply)
{
    if (supply == LW_SUPPLY_DRINKING)
        return 1;
    /* Without bottles people drink from the tank; a cartridge drinks from it too. */
    const lw_rig *rig = &s->scenario->rig;
    for (int v = 0; v < rig->vessel_count; v++)
        if (rig->vessel[v].supply == LW_SUPPLY_DRINKING && rig->vessel[v].filter_life_l <= 0.0)
            return 0;
    return 1;
}

/* What stands in this vessel, or comes into it later. */
static lw_potable worst_of(const lw_speaker *s, int v)
{
    const lw_scenario *in = s->scenario;
    lw_potable worst = in->rig.vessel[v].potable;
    for (int t = 0; t < in->transfer_count; t++) {
        const lw_transfer *x = &in->transfer[t];
        const int brings = x->kind != LW_TRANSFER_EMPTY && (x->kind == LW_TRANSFER_FILL || x->amount > 0.0);
        if (x->vessel == v && brings && x->at_s < lw_concern_until(s) && worst != LW_POTABLE_NO &&
            x->potable != LW_POTABLE_YES)
            worst = x->potable;
    }
    return worst;
}

static int has_filter(const lw_speaker *s)
{
    const lw_rig *rig = &s->scenario->rig;
    for (int v = 0; v < rig->vessel_count; v++)
        if (rig->vessel[v].filter_life_l > 0.0)
            return 1;
    return 0;
}

void lw_say_doubtful_water(const lw_speaker *s, lw_words *words)
{
    const lw_rig *rig = &s->scenario->rig;
    lw_potable worst = LW_POTABLE_YES;
    char names[160] = "", name[96];
    lw_line list = lw_line_of(names, sizeof names);
    for (int v = 0; v < rig->vessel_count; v++) {
        const lw_vessel *t = &rig->vessel[v];
        if ((t->supply != LW_SUPPLY_FRESH && t->supply != LW_SUPPLY_DRINKING) || t->filter_life_l > 0.0 ||
            !is_drunk(s, t->supply))
            continue;
        const lw_potable own = worst_of(s, v);
        if (own == LW_POTABLE_YES)
            continue;
        lw_line_add(&list, "%sthe %s", names[0] ? ", " : "", lw_vessel_say(t, name, sizeof name));
        worst = worst == LW_POTABLE_NO ? worst : own;
    }
    if (worst == LW_POTABLE_YES || words->caution_count == LW_WORDS_CAUTIONS)
        return;
    lw_caution *c = &words->caution[words->caution_count++];
    snprintf(c->id, sizeof c->id, "water-not-known");
    snprintf(c->title, sizeof c->title, "Water to drink");
    snprintf(c->source, sizeof c->source, "the scenario: rig.tanks.fresh.potable");
    lw_line to = lw_line_of(c->text, sizeof c->text);
    if (worst == LW_POTABLE_NO)
        lw_line_add(&to,
                    "Your file says that the water in %s is not fit to drink, and people drink from there: carry "
                    "drinking water apart.",
                    names);
    else
        lw_line_add(&to,
                    "Nobody knows that the water in %s is fit to drink, and people drink from there: boil or "
                    "disinfect it, or carry drinking water, until the tank is sanitised and filled from a "
                    "drinking-water tap.",
                    names);
    if (has_filter(s))
        lw_line_add(&to, " A filter made for taste does not make it fit.");
}
