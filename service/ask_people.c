/* Who is in camp, and where it could be moved to. */
#include "core/house/habit.h"
#include "service/ask_internal.h"
#include "service/household.h"
#include "service/people.h"

/* Spans that were logged without an end are longer than this. */
static const int64_t FOR_GOOD_S = INT64_C(300) * 86400;

/* When what is the case now ends; 0: nobody has said. */
static int64_t until_of(const lw_person *person, int is_guest, int64_t now_s)
{
    int64_t until_s = 0;
    for (int i = 0; i < person->out_count; i++)
        if (now_s >= person->out[i].from_s && now_s < person->out[i].to_s && person->out[i].to_s > until_s)
            until_s = person->out[i].to_s;
    if (!until_s && is_guest && now_s < person->guest.to_s)
        until_s = person->guest.to_s;
    return until_s - now_s > FOR_GOOD_S ? 0 : until_s;
}

static json_t *person_json(lw_json *j, const lw_person *person, int64_t now_s)
{
    static const char *const KIND[] = {
#define WORD_OF(id, word) [LW_BEING_##id] = (word),
        LW_BEINGS(WORD_OF)
#undef WORD_OF
    };
    const int is_guest = person->guest.to_s > person->guest.from_s;
    json_t *o = lw_json_object(j);
    lw_json_text(j, o, "name", person->name);
    lw_json_text(j, o, "kind", KIND[person->being]);
    lw_json_flag(j, o, "is_here", lw_person_is_here(person, now_s));
    lw_json_flag(j, o, "is_guest", is_guest);
    lw_json_time(j, o, "until", until_of(person, is_guest, now_s));
    return o;
}

static json_t *places_json(lw_json *j, const lw_kept_places *places)
{
    json_t *list = lw_json_array(j);
    for (size_t i = 0; i < places->count; i++)
        lw_json_add(j, list, json_string(places->place[i].name));
    return list;
}

lw_code lw_ask_people(lw_asked *a, lw_err *err)
{
    static const char *const KEYS[] = {NULL};
    lw_household home = {0};
    lw_kept_places places = {0};
    lw_words_choice choice = {.units = LW_UNITS_US};
    lw_code code = lw_asked_want_params(a, KEYS, err);
    code = code ? code : lw_asked_choice(a, &choice, err);
    code = code ? code : lw_household_load(a->book, a->ask->now_s, 0, &home, err);
    if (code == LW_E_MISSING)
        a->reply->status = 409;
    if (code)
        return code;
    code = lw_people_take(a->book, home.stay, a->ask->now_s, &home.loaded, err);
    code = code ? code : lw_book_list_places(a->book, NULL, &places, err);
    if (!code) {
        const lw_crew *crew = &home.loaded.scenario->crew;
        lw_json j = {.zone = &home.loaded.zone, .is_12_hour = choice.is_12_hour};
        json_t *root = lw_json_object(&j), *people = lw_json_array(&j);
        lw_json_text(&j, root, "schema", "leeway.people/1");
        lw_json_count(&j, root, "here", lw_people_at(&home.loaded, a->ask->now_s));
        for (int i = 0; i < crew->person_count; i++)
            lw_json_add(&j, people, person_json(&j, &crew->person[i], a->ask->now_s));
        lw_json_put(&j, root, "people", people);
        lw_json_text(&j, root, "place", home.loaded.scenario->place.name);
        lw_json_time(&j, root, "moved", home.moved_s);
        lw_json_put(&j, root, "places", places_json(&j, &places));
        code = lw_asked_reply_json(a, &j, root, err);
    }
    lw_kept_places_clear(&places);
    lw_household_clear(&home);
    return code;
}
