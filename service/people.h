/* service/people.h: who is in camp, by the crew of the scenario and by what was logged of comings and goings.
 *
 * Came       a number: first those of that kind come back who were logged as gone, then guests; a name: that person comes
 *            back, or is a guest of that name. A guest uses what the first of the crew of their kind uses (or, where there is
 *            none, the first of the next kind: adult, teen, child), and neither works nor learns.
 * Left       a number: guests first, the latest one before the others, then the crew from its end; a name: that person.
 * Until      what was logged ends at that time; without one it holds on.
 * Written    into spans of the loaded crew, so that outlook and learning need nothing new.
 * Limits     LW_PEOPLE beings, LW_SPANS absences of one; what does not fit is not applied. Animals do not come or go. */
#ifndef LW_SERVICE_PEOPLE_H
#define LW_SERVICE_PEOPLE_H

#include "book/entries.h"
#include "service/log.h"

typedef struct lw_people_moved {
    int person[LW_PEOPLE]; /* of the crew as it is afterwards */
    int count;
} lw_people_moved;

/* A record of comings or goings into the crew. 0: it does not fit, and the crew is as it was. */
int lw_people_apply(lw_loaded *loaded, const lw_log_record *record, lw_people_moved *moved);

/* All that was logged of one stay until to_s, of entries by time, the oldest first. */
LW_MUST_USE lw_code lw_people_take(lw_book *book, int64_t stay, int64_t to_s, lw_loaded *loaded, lw_err *err);

/* Those who eat and drink at the table at that moment; weekly absences do not count. */
int lw_people_at(const lw_loaded *loaded, int64_t at_s);
int lw_person_is_here(const lw_person *person, int64_t at_s);

/* Of the crew, by name or its beginning, whatever the case; -1: none or several. */
int lw_person_named(const lw_loaded *loaded, const char *name);

#endif
