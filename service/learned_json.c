#include "service/learned_json.h"

#include <stdlib.h>

#include "service/json.h"
#include "text/say.h"

static json_t *band(lw_json *j, const double q[LW_QUANTILES], int decimals)
{
    json_t *list = lw_json_array(j);
    for (int i = 0; i < LW_QUANTILES; i++)
        lw_json_add(j, list, lw_json_real(q[i], decimals));
    return list;
}

static json_t *group(lw_json *j, int g, const lw_learned_factor *f)
{
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "group", lw_group_word((lw_group)g));
    lw_json_text(j, o, "label", lw_group_say((lw_group)g));
    lw_json_put(j, o, "assumed", band(j, f->prior, 3));
    lw_json_put(j, o, "learned", band(j, f->now, 3));
    lw_json_flag(j, o, "is_read", f->is_read);
    return o;
}

static json_t *level(lw_json *j, const lw_outlook_answer *answer, int vessel, int is_page)
{
    const lw_learned *l = &answer->learning->learned;
    const lw_vessel *v = vessel < 0 ? NULL : &answer->loaded.scenario->rig.vessel[vessel];
    const lw_learned_gauge *gauge = &l->gauge[vessel < 0 ? LW_LEARN_GAUGES - 1 : vessel];
    char tie[LW_SENTENCE] = "";
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "target", v ? v->name : "battery");
    lw_json_text(j, o, "supply", v ? lw_supply_word(v->supply) : "battery");
    lw_json_text(j, o, "unit", v ? lw_supply_unit(v->supply) : "frac");
    lw_json_number(j, o, "capacity", v ? v->capacity : 1.0, 3);
    lw_json_put(j, o, "now", band(j, v ? l->level[vessel] : l->battery_frac, 3));
    lw_json_count(j, o, "readings", gauge->readings);
    lw_json_flag(j, o, "is_stuck", gauge->is_stuck);
    /* What cannot be told apart yet, and what settles it. */
    if (v)
        lw_say_tie(&answer->loaded.scenario->rig, answer->learning, vessel, is_page, tie, sizeof tie);
    lw_json_text(j, o, "tie", tie);
    return o;
}

static json_t *help(lw_json *j, const lw_outlook_answer *answer)
{
    const lw_learned *l = &answer->learning->learned;
    int best = -1;
    for (int k = 0; k < LW_SUPPLY_COUNT; k++)
        if (l->help[k].vessel >= 0 && (best < 0 || l->help[k].narrows_frac > l->help[best].narrows_frac))
            best = k;
    if (best < 0)
        return json_null();
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "target", answer->loaded.scenario->rig.vessel[l->help[best].vessel].name);
    lw_json_text(j, o, "supply", lw_supply_word((lw_supply)best));
    lw_json_number(j, o, "narrows_frac", l->help[best].narrows_frac, 3);
    return o;
}

static char *print(const lw_outlook_answer *answer, const lw_words *words, const lw_words_choice *choice,
                   const char *version)
{
    const lw_learning *l = answer->learning;
    lw_json j = {.zone = &answer->loaded.zone, .is_12_hour = choice->is_12_hour};
    json_t *root = lw_json_object(&j), *groups = lw_json_array(&j), *levels = lw_json_array(&j);
    lw_json_text(&j, root, "schema", "leeway.learned/1");
    lw_json_text(&j, root, "program", version ? version : "unknown");
    lw_json_time(&j, root, "now", l->now_s);
    lw_json_text(&j, root, "says", words->learned);
    lw_json_text(&j, root, "doubt", words->learned_doubt);
    lw_json_count(&j, root, "readings", l->readings);
    lw_json_count(&j, root, "left_out", l->left_out);
    for (int g = 0; g < LW_GROUP_COUNT; g++)
        lw_json_add(&j, groups, group(&j, g, &l->learned.factor[g]));
    lw_json_put(&j, root, "groups", groups);
    const lw_rig *rig = &answer->loaded.scenario->rig;
    for (int v = rig->battery.capacity_ah > 0.0 ? -1 : 0; v < rig->vessel_count; v++)
        lw_json_add(&j, levels, level(&j, answer, v, choice->is_page));
    lw_json_put(&j, root, "levels", levels);
    lw_json_put(&j, root, "helps", help(&j, answer));
    return lw_json_finish(&j, root, 0);
}

lw_code lw_learned_json(const lw_outlook_answer *answer, const lw_words_choice *choice, const char *version,
                        char **text, lw_err *err)
{
    if (!answer->learning)
        return lw_fail(err, LW_E_MISSING, "this outlook is of a file, from which nothing is learned");
    lw_words *words = calloc(1, sizeof *words);
    if (!words)
        return lw_fail(err, LW_E_FULL, "no memory for what was learned");
    const lw_code code = lw_words_make(answer, choice, words, err);
    char *made = code ? NULL : print(answer, words, choice, version);
    lw_words_clear(words);
    free(words);
    if (!code && !made)
        return lw_fail(err, LW_E_FULL, "no memory for JSON");
    *text = made;
    return code;
}
