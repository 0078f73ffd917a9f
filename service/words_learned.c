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
        lw_line_add(&to, "No reading of your own yet: use and levels are those of the tables. leeway log takes one.");
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
        const int is_battery = g == LW_LEARN_GAUGES - 1;
        if (k->gauge[g].is_stuck && (is_battery || g < s->scenario->rig.vessel_count))
            lw_line_add(&to, "The %s seems stuck: it agrees with nothing else, so it is left out. ",
                        gauge_say(s, is_battery ? s->scenario->rig.vessel_count : g, name, sizeof name));
    }
    if (k->doubt == LW_DOUBT_HABITS)
        lw_line_add(&to,
                    "Since about %s your readings fit other habits far better. If something has changed, say so with "
                    "leeway log habits changed.",
                    lw_date_say(s, k->since_s, when, sizeof when));
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
