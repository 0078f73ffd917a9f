#include <math.h>
#include <stdio.h>

#include "service/learning.h"
#include "service/words_internal.h"
#include "text/decimal.h"

/* Nearer to the table than this, in the middle of what is believed, is "as the table has it". */
static const double AS_TABLE = 0.1;

const char *lw_group_word(lw_group group)
{
#define LW_GROUP_WORD(id, word) word,
    static const char *const WORDS[] = {LW_GROUPS(LW_GROUP_WORD)};
#undef LW_GROUP_WORD
    return WORDS[group];
}

const char *lw_group_say(lw_group group)
{
    static const char *const WORDS[LW_GROUP_COUNT] = {
        [LW_GROUP_SHOWERS] = "showers",   [LW_GROUP_DISHES] = "washing up", [LW_GROUP_TOILET] = "the toilet",
        [LW_GROUP_DRINKING] = "drinking", [LW_GROUP_HEAT] = "heat",         [LW_GROUP_DEVICES] = "devices",
        [LW_GROUP_RUBBISH] = "rubbish",   [LW_GROUP_DATA] = "mobile data",
    };
    return WORDS[group];
}

static const char *times(double factor, char *buf, size_t n)
{
    lw_decimal_print(buf, n, factor, factor < 0.95 ? 2 : 1, 0);
    return buf;
}

/* "showers 1.3 times the table (1.1 to 1.6)" for what the readings say something of. */
static int add_factors(const lw_learned *l, lw_line *to)
{
    int said = 0, as_table = 0;
    char middle[24], low[24], high[24];
    for (int g = 0; g < LW_GROUP_COUNT; g++) {
        const lw_learned_factor *f = &l->factor[g];
        if (!f->is_read)
            continue;
        if (fabs(f->now[1] - 1.0) < AS_TABLE) {
            as_table++;
            continue;
        }
        lw_line_add(to, "%s%s %s times the table (%s to %s)", said ? ", " : ": ", lw_group_say((lw_group)g),
                    times(f->now[1], middle, sizeof middle), times(f->now[0], low, sizeof low),
                    times(f->now[2], high, sizeof high));
        said++;
    }
    if (said && as_table)
        lw_line_add(to, "; the rest about as it says");
    else if (as_table)
        lw_line_add(to, ": about what the tables say");
    return said + as_table;
}

static void say_learned(const lw_speaker *s, const lw_learning *l, char *buf, size_t n)
{
    char when[LW_WHEN];
    lw_line to = lw_line_of(buf, n);
    if (l->readings == 0) {
        lw_line_add(&to, "No reading of your own yet: use and levels are those of the tables.%s",
                    lw_if_typed(&s->choice, " leeway log takes one."));
        return;
    }
    lw_line_add(&to, "From %d %s of your own since %s", l->readings, l->readings == 1 ? "reading" : "readings",
                lw_date_say(s, l->begin_s, when, sizeof when));
    if (!add_factors(&l->learned, &to))
        lw_line_add(&to, ": levels; of your habits they say nothing yet");
    lw_line_add(&to, ".");
}

static const char *gauge_say(const lw_speaker *s, int gauge, char *buf, size_t n)
{
    if (gauge >= s->scenario->rig.vessel_count)
        snprintf(buf, n, "battery gauge");
    else
        snprintf(buf, n, "gauge of %s", s->scenario->rig.vessel[gauge].name);
    return buf;
}

static void say_doubt(const lw_speaker *s, const lw_learning *l, char *buf, size_t n)
{
    const lw_learned *k = &l->learned;
    char when[LW_WHEN], name[96];
    lw_line to = lw_line_of(buf, n);
    /* A wrong rule of lamps looks like a stuck gauge as well: the rule is asked about first. */
    for (int g = 0; g < LW_LEARN_GAUGES && k->doubt != LW_DOUBT_RULE; g++) {
        const int is_battery = g == LW_LEARN_BATTERY;
        if (k->gauge[g].is_stuck && (is_battery || g < s->scenario->rig.vessel_count))
            lw_line_add(&to, "The %s seems stuck: it agrees with nothing else, so it is left out. ",
                        gauge_say(s, is_battery ? s->scenario->rig.vessel_count : g, name, sizeof name));
    }
    if (k->doubt == LW_DOUBT_HABITS)
        lw_line_add(
            &to, "Since about %s your readings fit other habits far better. If something has changed, say so%s.",
            lw_date_say(s, k->since_s, when, sizeof when), lw_if_typed(&s->choice, " with leeway log habits changed"));
    if (k->doubt == LW_DOUBT_RULE)
        lw_line_add(&to,
                    "Your lamps fit far better if a lamp shows the nearest mark, or the mark reached, and not what the "
                    "rig's file says: look at gauge in it.");
}

void lw_say_learned(const lw_speaker *s, const lw_learning *learning, lw_words *words)
{
    if (!learning)
        return;
    say_learned(s, learning, words->learned, sizeof words->learned);
    say_doubt(s, learning, words->learned_doubt, sizeof words->learned_doubt);
}

/* ------------------------------------------------------------------ what is not sure */

int lw_is_unsure(const lw_loaded *loaded, int vessel, lw_learned_what what)
{
    const lw_unsure *u = &loaded->unsure[vessel];
    const lw_gauges *g = &loaded->vessel_gauges[vessel];
    int has_bias = 0;
    for (int i = 0; i < g->count; i++)
        has_bias |= g->bias_sd[i] > 0.0;
    return what == LW_LEARNED_CAPACITY  ? u->capacity_sd > 0.0
           : what == LW_LEARNED_RESIDUE ? u->residue_sd > 0.0
           : what == LW_LEARNED_BIAS    ? has_bias
                                        : 0;
}

static const char *unsure_name(lw_learned_what what)
{
    return what == LW_LEARNED_CAPACITY ? "holds" : what == LW_LEARNED_RESIDUE ? "keeps when dumped" : "shows too much";
}

void lw_say_unsure(const lw_outlook_answer *answer, lw_unit_system units, int vessel, lw_learned_what what, int column,
                   char *buf, size_t n)
{
    const lw_learned *l = &answer->learning->learned;
    const lw_vessel *t = &answer->loaded.scenario->rig.vessel[vessel];
    const int q = column == 1 ? 1 : column == 2 ? 0 : 2;
    if (column == 0)
        snprintf(buf, n, "%s %s", t->name, unsure_name(what));
    else if (what == LW_LEARNED_BIAS)
        snprintf(buf, n, "%+.0f %%", 100.0 * l->bias[vessel][q]);
    else if (what == LW_LEARNED_CAPACITY) /* the scenario has the middle one by now */
        lw_amount_print(buf, n, t->supply, t->capacity * l->capacity_frac[vessel][q] / l->capacity_frac[vessel][1],
                        units);
    else
        lw_amount_print(buf, n, t->supply, t->residue * l->residue_frac[vessel][q] / l->residue_frac[vessel][1], units);
}

/* What one knows then whatever the other is. */
static const char *settles(const lw_learned_tie *tie, int fills)
{
    if (tie->b == LW_LEARNED_BIAS)
        return fills ? "A look at the gauge right behind a dump" : "A look at the gauge when it is filled to the brim";
    if (tie->b == LW_LEARNED_RESIDUE)
        return "A dump with a rinse until it is empty, and a look at the gauge,";
    if (!fills)
        return "One metered fill";
    return tie->b == LW_LEARNED_CAPACITY ? "A metered fill of the fresh tank, which says what came in here"
                                         : "Dumping it once";
}

void lw_say_tie(const lw_rig *rig, const lw_learning *learning, int vessel, int is_page, char *buf, size_t n)
{
    static const char *const WHAT[LW_LEARNED_WHATS] = {
        [LW_LEARNED_START] = "what was in it at the start",
        [LW_LEARNED_USE] = "what you use",
        [LW_LEARNED_CAPACITY] = "what it holds",
        [LW_LEARNED_RESIDUE] = "what a dump leaves in it",
        [LW_LEARNED_BIAS] = "what its gauge shows too much",
    };
    const lw_learned_tie *tie = &learning->learned.tie[vessel];
    const lw_vessel *t = &rig->vessel[vessel];
    const int fills = lw_supply_fills(t->supply);
    lw_line to = lw_line_of(buf, n);
    if (!tie->is_tied)
        return;
    lw_line_add(&to, "%s: %s and %s cannot be told apart yet. %s settles it", t->name, WHAT[tie->a], WHAT[tie->b],
                settles(tie, fills));
    if (!fills && tie->b != LW_LEARNED_BIAS && !is_page)
        lw_line_add(&to, ": leeway log filled %s 20 gal to the brim, with what went in", t->name);
    lw_line_add(&to, ".");
}
