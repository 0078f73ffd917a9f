#include "service/people.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "service/entries_apply.h"
#include "service/log_internal.h"

static const int64_t FOR_GOOD_S = INT64_C(400) * 86400; /* longer than any stay is looked at */

int lw_person_is_here(const lw_person *person, int64_t at_s)
{
    const int is_guest = person->guest.to_s > person->guest.from_s;
    if (is_guest && (at_s < person->guest.from_s || at_s >= person->guest.to_s))
        return 0;
    for (int i = 0; i < person->out_count; i++)
        if (at_s >= person->out[i].from_s && at_s < person->out[i].to_s)
            return 0;
    return 1;
}

int lw_people_at(const lw_loaded *loaded, int64_t at_s)
{
    const lw_crew *crew = &loaded->scenario->crew;
    int count = 0;
    for (int i = 0; i < crew->person_count; i++)
        count += crew->person[i].being <= LW_BEING_CHILD && lw_person_is_here(&crew->person[i], at_s);
    return count;
}

int lw_person_named(const lw_loaded *loaded, const char *name)
{
    const lw_crew *crew = &loaded->scenario->crew;
    const size_t n = strlen(name);
    int found = -1, count = 0;
    for (int i = 0; i < crew->person_count && n; i++) {
        char beginning[LW_NAME];
        if (lw_log_same(name, n, crew->person[i].name))
            return i;
        snprintf(beginning, sizeof beginning, "%.*s", (int)n, crew->person[i].name);
        if (n < LW_NAME && lw_log_same(name, n, beginning))
            found = i, count++;
    }
    return count == 1 ? found : -1;
}

/* ---- coming and going ---- */

static int64_t end_of(const lw_log_record *record)
{
    return record->until_s ? record->until_s : record->at_s + FOR_GOOD_S;
}

static int add_absence(lw_person *person, int64_t from_s, int64_t to_s)
{
    if (person->out_count == LW_SPANS)
        return 0;
    person->out[person->out_count++] = (lw_span){from_s, to_s};
    return 1;
}

/* An absence that is on ends now; with until it begins again then. A guest whose time is over has more of it. */
static int come_back(lw_person *person, const lw_log_record *record)
{
    lw_span *guest = &person->guest;
    for (int i = 0; i < person->out_count; i++) {
        lw_span *out = &person->out[i];
        if (record->at_s < out->from_s || record->at_s >= out->to_s)
            continue;
        if (record->until_s && record->until_s < out->to_s && !add_absence(person, record->until_s, out->to_s))
            return 0;
        out->to_s = record->at_s;
    }
    if (record->at_s < guest->from_s)
        guest->from_s = record->at_s; /* sooner than was planned */
    if (guest->to_s > guest->from_s && record->at_s >= guest->to_s) {
        if (record->at_s > guest->to_s && !add_absence(person, guest->to_s, record->at_s))
            return 0;
        guest->to_s = end_of(record);
    }
    return 1;
}

/* Whose uses a guest has: of their kind, or of the next. */
static int example_of(const lw_crew *crew, lw_being being)
{
    for (int kind = 0; kind <= (int)LW_BEING_CHILD; kind++)
        for (int i = 0; i < crew->person_count; i++)
            if ((int)crew->person[i].being == (kind == 0 ? (int)being : kind - 1))
                return i;
    for (int i = 0; i < crew->person_count; i++)
        if (crew->person[i].being == LW_BEING_CHILD)
            return i;
    return -1;
}

static int add_guest(lw_crew *crew, const lw_log_record *record, const char *name)
{
    const int like = example_of(crew, record->being), at = crew->person_count;
    if (like < 0 || at == LW_PEOPLE)
        return 0;
    crew->person[at] = (lw_person){.being = record->being,
                                   .guest = {record->at_s, end_of(record)},
                                   .toilet_here_frac = crew->person[like].toilet_here_frac,
                                   .inside_low_c = NAN,
                                   .inside_high_c = NAN};
    if (name[0])
        snprintf(crew->person[at].name, LW_NAME, "%.31s", name);
    else
        snprintf(crew->person[at].name, LW_NAME, "guest %d", at + 1);
    for (int u = 0; u < crew->use_count; u++)
        if (crew->use[u].rhythm != LW_RHYTHM_CAMP)
            crew->use[u].rate[at] = crew->use[u].rate[like];
    crew->person_count++;
    return 1;
}

static int come(lw_crew *crew, const lw_log_record *record, lw_people_moved *moved)
{
    for (int i = 0; i < crew->person_count && moved->count < record->people; i++) {
        lw_person *person = &crew->person[i];
        const int is_theirs = person->guest.to_s <= person->guest.from_s ||
                              (record->at_s >= person->guest.from_s && record->at_s < person->guest.to_s);
        if (person->being == record->being && is_theirs && !lw_person_is_here(person, record->at_s)) {
            if (!come_back(person, record))
                return 0;
            moved->person[moved->count++] = i;
        }
    }
    while (moved->count < record->people) {
        if (!add_guest(crew, record, ""))
            return 0;
        moved->person[moved->count++] = crew->person_count - 1;
    }
    return 1;
}

static int go(lw_crew *crew, const lw_log_record *record, lw_people_moved *moved)
{
    for (int wants_guests = 1; wants_guests >= 0; wants_guests--)
        for (int i = crew->person_count; i-- > 0 && moved->count < -record->people;) {
            lw_person *person = &crew->person[i];
            const int is_guest = person->guest.to_s > person->guest.from_s;
            const int fits = record->is_kind_said ? person->being == record->being : person->being <= LW_BEING_CHILD;
            if (is_guest != wants_guests || !fits || !lw_person_is_here(person, record->at_s))
                continue;
            if (!add_absence(person, record->at_s, end_of(record)))
                return 0;
            moved->person[moved->count++] = i;
        }
    return moved->count == -record->people;
}

int lw_people_apply(lw_loaded *loaded, const lw_log_record *record, lw_people_moved *moved)
{
    lw_crew made = loaded->scenario->crew;
    const int named = record->party[0] ? lw_person_named(loaded, record->party) : -1;
    int fits;
    *moved = (lw_people_moved){.count = 0};
    if (named >= 0) {
        fits = record->people > 0 ? come_back(&made.person[named], record)
                                  : add_absence(&made.person[named], record->at_s, end_of(record));
        moved->person[moved->count++] = named;
    } else if (record->party[0]) {
        fits = record->people > 0 && add_guest(&made, record, record->party);
        moved->person[moved->count++] = made.person_count - 1;
    } else {
        fits = record->people > 0 ? come(&made, record, moved) : go(&made, record, moved);
    }
    if (fits)
        loaded->scenario->crew = made;
    return fits;
}

lw_code lw_people_take(lw_book *book, int64_t stay, int64_t to_s, lw_loaded *loaded, lw_err *err)
{
    lw_entries entries = {0};
    const lw_history which = {
        .stay = stay, .kinds = 1u << LW_ENTRY_PEOPLE, .to_s = to_s + 1, .is_oldest_first = 1, .from_s = INT64_MIN};
    const lw_code code = lw_book_history(book, &which, &entries, err);
    for (size_t i = 0; i < entries.count && !code; i++) {
        lw_log_record record;
        lw_people_moved moved;
        if (!entries.entry[i].is_clock_doubted && lw_record_of_entry(loaded, &entries.entry[i], &record))
            (void)lw_people_apply(loaded, &record, &moved);
    }
    lw_entries_clear(&entries);
    return code;
}
