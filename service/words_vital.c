#include <math.h>
#include <stdio.h>
#include <string.h>

#include "service/words_internal.h"

static lw_vital_words *new_vital(lw_words *words)
{
    if (words->vital_count == LW_WORDS_VITALS)
        return NULL;
    lw_vital_words *v = &words->vital[words->vital_count++];
    *v = (lw_vital_words){.load = -1, .person = -1};
    return v;
}

/* "until Thu 18 Jun 10:00, when you leave" */
static void add_until(const lw_speaker *s, lw_line *to)
{
    char when[LW_WHEN];
    const int64_t until_s = lw_concern_until(s), seen_s = s->outlook->joint_until_s;
    const int is_departure = until_s == s->outlook->departure_s;
    lw_line_add(to, "until %s, %s", lw_when_say(s, is_departure ? until_s : seen_s, when, sizeof when),
                is_departure ? "when you leave" : "as far as is looked");
}

const lw_quantile *lw_vital_end(const lw_outlook *outlook, int vital)
{
    return outlook->draws > 1 ? &outlook->vital_p01[vital] : &outlook->vital[vital].q[1];
}

static void say_device(const lw_speaker *s, int i, lw_words *words)
{
    const lw_quantile *end = lw_vital_end(s->outlook, i);
    const lw_load *load = &s->scenario->rig.load[s->outlook->vital_load[i]];
    lw_vital_words *v = new_vital(words);
    if (!v)
        return;
    char when[LW_WHEN];
    lw_line to = lw_line_of(v->sentence, sizeof v->sentence);
    v->load = s->outlook->vital_load[i];
    v->lasts = end->beyond_horizon || end->at_s >= lw_concern_until(s);
    lw_line_add(&to, "%s: has power ", load->name);
    if (v->lasts) {
        lw_line_add(&to, "in all its hours ");
        add_until(s, &to);
    } else
        lw_line_add(&to, "until %s", lw_when_say(s, end->at_s, when, sizeof when));
    lw_line_add(&to, ".");
}

static int is_told(const lw_speaker *s, lw_event_kind kind, int person)
{
    for (int i = 0; i < s->outlook->event_count; i++) {
        const lw_event *e = &s->outlook->event[i];
        if (e->kind == kind && e->index == person && e->at_s < lw_concern_until(s))
            return 1;
    }
    return 0;
}

/* The coldest and the warmest of the whole stay say it too, where the list of events is full. */
static int is_within(const lw_speaker *s, const lw_person *p)
{
    const lw_comfort *c = &s->outlook->comfort;
    return !(c->inside_low_c < p->inside_low_c) && !(c->inside_high_c > p->inside_high_c);
}

/* Chance that the closer of the limits inside is passed; 0 with one course. */
static double being_chance(const lw_outlook *outlook, int person)
{
    const float cold = outlook->too_cold_frac[person], hot = outlook->too_hot_frac[person];
    return outlook->draws > 1 ? (double)(cold > hot ? cold : hot) : 0.0;
}

static void say_being(const lw_speaker *s, int person, lw_words *words)
{
    const lw_person *p = &s->scenario->crew.person[person];
    if (isnan(p->inside_low_c) && isnan(p->inside_high_c))
        return;
    lw_vital_words *v = new_vital(words);
    if (!v)
        return;
    char a[64], b[64];
    const int fails = is_told(s, LW_EVENT_VITAL_COLD, person) || is_told(s, LW_EVENT_VITAL_HOT, person);
    lw_line to = lw_line_of(v->sentence, sizeof v->sentence);
    v->person = person;
    const double passed = being_chance(s->outlook, person);
    v->lasts = !fails && passed <= LW_VITAL_FRAC && (s->outlook->event_lost == 0 || is_within(s, p));
    lw_line_add(&to, "%s: ", p->name[0] ? p->name : "someone on board");
    if (!v->lasts)
        lw_line_add(&to, "not always ");
    if (isnan(p->inside_high_c))
        lw_line_add(&to, "%s or more inside ", lw_temperature_say(s, p->inside_low_c, a, sizeof a));
    else if (isnan(p->inside_low_c))
        lw_line_add(&to, "%s or less inside ", lw_temperature_say(s, p->inside_high_c, a, sizeof a));
    else
        lw_line_add(&to, "between %s and %s inside ", lw_temperature_say(s, p->inside_low_c, a, sizeof a),
                    lw_temperature_say(s, p->inside_high_c, b, sizeof b));
    lw_line_add(&to, "while somebody is in, ");
    add_until(s, &to);
    lw_line_add(&to, ".");
}

void lw_say_vital(const lw_speaker *s, lw_words *words)
{
    int has_device = 0, is_said = 0, lasting = 0;
    for (int i = 0; i < s->outlook->vital_count; i++)
        say_device(s, i, words);
    for (int i = 0; i < s->scenario->crew.person_count; i++)
        say_being(s, i, words);
    for (int i = 0; i < words->vital_count; i++) {
        has_device |= words->vital[i].load >= 0;
        lasting += words->vital[i].lasts;
    }
    if (lasting == 0)
        return; /* the warnings say it all */
    for (int i = 0; i < words->warning_count; i++)
        is_said |= words->warning[i].kind == LW_EVENT_VITAL_STOPS;
    lw_line to = lw_line_of(words->vital_note, sizeof words->vital_note);
    lw_line_add(&to, "%s",
                s->outlook->draws <= 1             ? "That is one course only: plan with a spare."
                : s->outlook->draws < LW_DRAWS_FEW ? "So few courses are too few to plan a life on: 1000 would do."
                                                   : "Plan with a spare.");
    if (has_device && !is_said)
        lw_line_add(&to, " This program is not a medical device.");
}
